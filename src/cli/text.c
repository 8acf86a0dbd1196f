/* The order as text: a timed list, or a tree. */
#include "cli/cli.h"
#include "cli/rehearse.h"
#include "cli/view.h"
#include "sheets/session.h"

/* ---- a stage --------------------------------------------------------------------------------- */

static void write_step(const gw_step *step, FILE *out) {
  static const char *const sources[] = {"", " (your own time)", " (as rehearsed)"};
  char at[GW_TIME_TEXT], by[GW_TIME_TEXT] = "";
  if (step->start_s < 0) snprintf(at, sizeof at, "before");
  else snprintf(at, sizeof at, "T+%s", gw_time_text(step->start_s, by, sizeof by));
  by[0] = '\0';
  if (step->stop_by_s >= 0) gw_time_text(step->stop_by_s, by, sizeof by);
  fprintf(out, "  %-9s %-9s %s%s%s\n", at, by, step->hands > 1 ? "(two people) " : "", step->words,
          sources[step->source]);
}

/* When it begins, when the clamps come off, when it may be worked on. */
static void write_hours(const gw_view *view, const gw_stage *stage, FILE *out) {
  char begins[GW_HOUR_TEXT], opened[GW_HOUR_TEXT], off[GW_HOUR_TEXT], cured[GW_HOUR_TEXT];
  fprintf(out, "  Begins %s", gw_hour_text(view, stage->begins_s, begins, sizeof begins));
  if (stage->glue >= 0) {
    if (stage->lead_s > 0)
      fprintf(out, ", glue opened %s",
              gw_hour_text(view, stage->begins_s + stage->lead_s, opened, sizeof opened));
    fprintf(out, "; %s %s, ready to plane %s",
            stage->n_pulls > 0 ? "clamps off" : "left alone till",
            gw_hour_text(view, gw_clock_off(stage), off, sizeof off),
            gw_hour_text(view, gw_clock_cured(stage), cured, sizeof cured));
  }
  fputs(".\n", out);
}

static void write_head(const gw_job *job, int index, FILE *out) {
  const gw_stage *stage = &job->clock->stages[index];
  char wet[GW_TIME_TEXT], limit[GW_TIME_TEXT];
  if (stage->glue < 0) {
    fprintf(out, "\nStage %d, dry\n", index + 1);
    return;
  }
  const gw_glue_use *use = &job->clock->uses[stage->glue];
  fprintf(out, "\nStage %d, %s: open %s of %s%s, margin %d %%, about %.0f g of glue\n", index + 1,
          use->glue->id, gw_time_text(stage->wet_s, wet, sizeof wet),
          gw_time_text(stage->limit_s, limit, sizeof limit),
          use->typical_open ? " (" GW_GLUE_TYPICAL ")" : "", stage->margin_pm / 10, stage->grams);
}

static void write_foot(const gw_job *job, const gw_stage *stage, FILE *out) {
  char clamp[GW_TIME_TEXT], apart[GW_TIME_TEXT];
  fprintf(out, "  Last moment to pull apart: T+%s.  %s for %s.\n",
          gw_time_text(stage->pull_apart_s, apart, sizeof apart),
          stage->n_pulls > 0 ? "In clamps" : "Leave it alone",
          gw_time_text(stage->clamp_s, clamp, sizeof clamp));
  fprintf(out, "  If it goes wrong: %s\n",
          gw_session_rescue(job->clock->uses[stage->glue].kind->family));
}

static void write_stage(const gw_view *view, int index, FILE *out) {
  const gw_stage *stage = &view->job->clock->stages[index];
  write_head(view->job, index, out);
  if (view->hours) write_hours(view, stage, out);
  fprintf(out, "  %-9s %-9s\n", "at", "done by");
  for (int i = 0; i < stage->n_steps; ++i) write_step(&stage->steps[i], out);
  if (stage->glue >= 0) write_foot(view->job, stage, out);
}

/* ---- rates, rehearsal, ways ------------------------------------------------------------------ */

static void write_rates(const gw_job *job, FILE *out) {
  static const char *const words[] = {"spread", "bring a part in", "set a clamp",
                                      "check the diagonals"};
  const gw_model *m = job->model;
  for (int i = 0; i < m->n_rates; ++i) {
    const gw_rate *rate = &m->rates[i];
    bool of_kind = rate->kind != GW_NO_KIND;
    fprintf(out, "%s%s%s%s %d s", i == 0 ? "Your own times: " : ", ", words[rate->action],
            of_kind ? " " : "", of_kind ? gw_kind_of(rate->kind)->words : "", rate->seconds);
  }
  if (m->n_rates > 0) fputs("; all others are typical\n", out);
}

/* Planned against real, action for action. */
static void write_rehearsal(const gw_view *view, FILE *out) {
  const gw_clock *clock = view->job->clock;
  int64_t planned = 0, real = 0;
  fprintf(out, "\nRehearsed\n  %8s %8s %8s\n", "planned", "real", "more");
  for (int k = 0; k < clock->n_stages; ++k)
    for (int i = 0; i < clock->stages[k].n_steps; ++i) {
      const gw_step *step = &clock->stages[k].steps[i], *before = gw_step_like(view->plain, step);
      if (step->source != GW_REHEARSED) continue;
      int took = step->end_s - step->start_s,
          was = before == NULL ? took : before->end_s - before->start_s;
      fprintf(out, "  %6d s %6d s %+6d s  %s\n", was, took, took - was, step->words);
      planned += was;
      real += took;
    }
  fprintf(out, "  %6lld s %6lld s %+6lld s  in all\n", (long long)planned, (long long)real,
          (long long)(real - planned));
}

static void write_answer(int failing, int stages, int margin_pm, int64_t whole_s, FILE *out) {
  char whole[GW_TIME_TEXT];
  fprintf(out, "%d stage%s, margin %d %%, whole %s", stages, stages == 1 ? "" : "s", margin_pm / 10,
          gw_time_text(whole_s, whole, sizeof whole));
  if (failing > 0) fprintf(out, ", %d of the stages not in their limits", failing);
}

static void write_ways(const gw_view *view, FILE *out) {
  const gw_clock *clock = view->job->clock;
  const gw_ways *ways = view->ways;
  fputs("\nWays to win time (as it stands: ", out);
  write_answer(clock->failing, clock->n_stages, clock->margin_pm, clock->whole_s, out);
  fputs(")\n", out);
  for (int i = 0; i < ways->count; ++i) {
    const gw_way *way = &ways->items[i];
    fprintf(out, "  %s%s: ", way->helps ? "" : "no gain: ", way->words);
    write_answer(way->failing, way->stages, way->margin_pm, way->whole_s, out);
    fputc('\n', out);
  }
  if (ways->count == 0) fputs("  none: nothing is glued\n", out);
}

/* ---- the whole ----------------------------------------------------------------------------------
 */

gw_status gw_text_order(const gw_view *view, FILE *out) {
  const gw_job *job = view->job;
  const gw_order *order = job->order;
  fprintf(out, "%s: %d joins", job->model->name, order->n_joins);
  if (order->optimal) fprintf(out, ", the best order there is\n");
  else fprintf(out, ", a good order (cost %lld, none below %lld)\n", (long long)order->cost,
               (long long)order->bound);
  write_rates(job, out);
  for (int i = 0; i < job->clock->n_stages; ++i) write_stage(view, i, out);
  if (view->plain != NULL) write_rehearsal(view, out);
  if (view->ways != NULL) write_ways(view, out);
  return ferror(out) ? GW_IO : GW_OK;
}

/* Sub-assemblies, two blanks deeper at each join. */
gw_status gw_text_tree(const gw_job *job, FILE *out) {
  const gw_order *order = job->order;
  for (int i = order->n_joins - 1; i >= 0; --i) {
    int deep = 0;
    for (int up = order->joins[i].parent; up >= 0; up = order->joins[up].parent) ++deep;
    fprintf(out, "%*s%d. %s\n", deep * 2, "", i + 1, order->joins[i].words);
  }
  return ferror(out) ? GW_IO : GW_OK;
}
