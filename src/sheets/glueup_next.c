/* glueup_next.c - what the stage that comes next waits for.
 *
 * Stages are begun in the turn in which they can begin (clock.h), so that what the next
 * one waits for may be a stage long before this one.  It is told as what the maker sees,
 * a stage out of its clamps: a time counted from here would hold only where he went from
 * stage to stage without a pause. */
#include "sheets/glueup_inner.h"

static bool has_join(const gw_stage *stage, int join) {
  for (int i = 0; i < stage->n_joins; ++i)
    if (stage->joins[i] == join) return true;
  return false;
}

/* Whether a stage takes up what another one has put together. */
static bool takes_up(const gw_sheets_job *job, const gw_stage *stage, const gw_stage *other) {
  for (int i = 0; i < stage->n_joins; ++i) {
    const gw_join *join = &job->order->joins[stage->joins[i]];
    if (join->moving_join >= 0 && has_join(other, join->moving_join)) return true;
    if (join->onto_join >= 0 && has_join(other, join->onto_join)) return true;
  }
  return false;
}

/* Whether the next stage waits for the one of that index: it takes it up, and that is
 * this one or still in its clamps by now; or it wants its clamps. */
static bool waits_for(const glueing *g, int index) {
  const gw_stage *next = g->stage + 1, *other = &g->job->clock->stages[index];
  int64_t now = g->stage->begins_s + g->stage->lead_s + g->stage->end_s;
  int64_t off = gw_clock_off(other);
  if (takes_up(g->job, next, other)) return index == g->index || off > now;
  return other->n_pulls > 0 && off > now && off == next->begins_s;
}

/* "1", "1, 3 and 7": those that the next stage waits for, with clamps or without. */
static const char *list_waits(glueing *g, bool clamps, int *count) {
  const char *text = "";
  int said = 0;
  *count = 0;
  for (int i = 0; i <= g->index; ++i)
    *count += waits_for(g, i) && (g->job->clock->stages[i].n_pulls > 0) == clamps;
  for (int i = 0; i <= g->index; ++i) {
    if (!waits_for(g, i) || (g->job->clock->stages[i].n_pulls > 0) != clamps) continue;
    text = SAY(g, "%s%s%d", text, said == 0 ? "" : said + 1 == *count ? " and\xC2\xA0" : ", ",
               i + 1);
    ++said;
  }
  return text;
}

/* "when stages 1 and 3 are out of their clamps and stage 7 may be touched" */
static const char *wait_words(glueing *g) {
  int clamped, bare;
  const char *one = list_waits(g, true, &clamped), *two = list_waits(g, false, &bare);
  const char *out = "", *touch = "";
  if (clamped > 0)
    out = SAY(g, "stage%s\xC2\xA0%s %s out of %s clamps", clamped == 1 ? "" : "s", one,
              clamped == 1 ? "is" : "are", clamped == 1 ? "its" : "their");
  if (bare > 0) touch = SAY(g, "stage%s\xC2\xA0%s may be touched", bare == 1 ? "" : "s", two);
  return SAY(g, "%s%s%s", out, clamped > 0 && bare > 0 ? " and " : "", touch);
}

const char *gw_glueup_next_words(glueing *g) {
  if (g->index + 1 >= g->job->clock->n_stages) return "This is the last stage.";
  int count = 0;
  for (int i = 0; i <= g->index; ++i) count += waits_for(g, i);
  const char *stage = SAY(g, "Next: stage\xC2\xA0%d%s", g->index + 2,
                          g->stage[1].glue < 0 ? ", dry," : "");
  if (count == 0) return SAY(g, "%s can begin at once; it does not take up this one.", stage);
  if (count == 1 && waits_for(g, g->index))
    return SAY(g, "%s when %s.", stage,
               g->stage->n_pulls > 0 ? "the clamps are off" : "this one may be touched");
  return SAY(g, "%s when %s; the hour is in the last box of %s.", stage, wait_words(g),
             count == 1 ? "that stage" : "each");
}
