/* The timed list of a stage. */
#include <limits.h>
#include <stdlib.h>

#include "clock/inside.h"

/* ---- words ----------------------------------------------------------------------------------- */

/* The marks of the stage's glued dovetails, which are seated and not clamped;
 * "" when there is none. */
static const char *dovetails(const gw_staging *s) {
  gw_arena *arena = s->p->clock->arena;
  const char *list = "";
  int count = 0;
  for (int i = 0; i < s->plan.n_spreads; ++i) {
    const gw_kind_row *kind = gw_kind_of(s->p->m->joints[s->joint[i]].kind);
    if (kind->clamp) continue;
    char mark[GW_MARK_SHOWN];
    gw_mark_show(&s->p->marks->joints[s->joint[i]], mark);
    list = gw_arena_printf(arena, "%s%s%s", list, count++ > 0 ? ", " : "", mark);
    if (list == NULL) return NULL;
  }
  if (count == 0) return "";
  return gw_arena_printf(arena, "seat joint%s %s with mallet and block, %s no clamp",
                         count == 1 ? "" : "s", list, count == 1 ? "it wants" : "they want");
}

static const char *clamp_words(const gw_staging *s) {
  gw_arena *arena = s->p->clock->arena;
  int clamps = gw_pulls_sum(s->pulls.items, s->pulls.count, false);
  const char *seated = dovetails(s);
  if (seated == NULL) return NULL;
  const char *and = seated[0] != '\0' ? "; " : "";
  if (clamps > 0)
    return gw_arena_printf(arena, "%s%sset %d clamp%s, check the diagonals", seated, and, clamps,
                           clamps == 1 ? "" : "s");
  if (seated[0] != '\0') return gw_arena_printf(arena, "%s; check the diagonals", seated);
  return gw_arena_text(arena, "seat every joint, check the diagonals");
}

/* ---- steps ----------------------------------------------------------------------------------- */

static gw_status describe(const gw_staging *s, int task, gw_step *step) {
  const gw_planning *p = s->p;
  char mark[GW_MARK_SHOWN];
  int join = task - s->plan.n_spreads;
  step->joint = -1;
  if (join < 0) {
    step->action = GW_SPREAD;
    step->joint = s->joint[task];
    step->source = p->spread[step->joint].source;
    step->words = gw_arena_printf(p->clock->arena, "spread glue on joint %s",
                                  gw_mark_show(&p->marks->joints[step->joint], mark));
  } else if (join < s->plan.n_joins) {
    step->action = GW_BRING;
    step->join = s->first + join;
    step->source = p->bring[step->join].source;
    step->words = p->order->joins[step->join].words;
  } else {
    step->action = GW_CLAMP;
    step->join = s->last - 1;
    step->source = s->clamp.source;
    step->words = clamp_words(s);
  }
  return step->words == NULL ? GW_NO_MEMORY : GW_OK;
}

/* Whether `step` is as late as `late`: what begins after it waits for it. */
static bool waits(const gw_step *steps, int late, int step) {
  return step != late && steps[step].start_s >= steps[late].end_s;
}

/* The spread of a join that is begun first. */
static int first_of(const gw_plan_join *j, const gw_step *steps) {
  int first = j->first;
  for (int i = first; i < j->first + j->spreads; ++i)
    if (steps[i].start_s < steps[first].start_s) first = i;
  return first;
}

/* What the pot leaves between the first spread of all and the last join. */
static int pot_room(const gw_staging *s, const gw_step *steps, int late) {
  int pot_s = s->p->clock->uses[s->glue].pot_s, first = 0;
  int last = gw_plan_bring(&s->plan, s->plan.n_joins - 1);
  for (int i = 1; i < s->plan.n_spreads; ++i)
    if (steps[i].start_s < steps[first].start_s) first = i;
  bool limited = pot_s > 0 && s->plan.n_spreads > 0 && !waits(steps, late, first) &&
                 (last == late || waits(steps, late, last));
  return limited ? steps[first].start_s + pot_s - steps[last].end_s : INT_MAX;
}

/* Whether what is set, seated and squared last must be done before a join grabs: where it
 * wants pressure always, else where the plan is so quick. */
static bool holds_clamps(const gw_staging *s, const gw_step *steps, int join) {
  const gw_plan_join *j = &s->plan.joins[join];
  int grabs = steps[gw_plan_bring(&s->plan, join)].end_s + s->p->clock->uses[s->glue].closed_s;
  return j->pressure || (j->spreads > 0 && steps[gw_plan_clamp(&s->plan)].end_s <= grabs);
}

/* How much later `late` may end, all that begins after it being as much later: each
 * join may use what its first spread leaves, the margin not taken off, and the last
 * step what the first joint to come together leaves before it grabs. */
static int room_for(const gw_staging *s, const gw_step *steps, int late) {
  const gw_glue_use *use = &s->p->clock->uses[s->glue];
  int clamp = gw_plan_clamp(&s->plan), room = pot_room(s, steps, late);
  bool clamps_late = s->plan.clamp_s > 0 && (clamp == late || waits(steps, late, clamp));
  for (int join = 0; join < s->plan.n_joins; ++join) {
    const gw_plan_join *j = &s->plan.joins[join];
    int bring = gw_plan_bring(&s->plan, join), left = INT_MAX;
    if (bring != late && !waits(steps, late, bring)) {
      if (clamps_late && holds_clamps(s, steps, join))
        left = steps[bring].end_s + use->closed_s - steps[clamp].end_s;
    } else if (j->spreads > 0 && !waits(steps, late, first_of(j, steps))) {
      left = steps[first_of(j, steps)].start_s + use->open_s - steps[bring].end_s;
    }
    if (left < room) room = left;
  }
  return room;
}

/* By when each step must be done. */
static void stop_steps(const gw_staging *s, gw_step *steps) {
  for (int join = 0; join < s->plan.n_joins; ++join) {
    const gw_plan_join *j = &s->plan.joins[join];
    for (int i = j->first; i < j->first + j->spreads; ++i) steps[i].join = s->first + join;
  }
  for (int i = 0; s->glue >= 0 && i < gw_plan_tasks(&s->plan); ++i) {
    int room = room_for(s, steps, i);
    if (room < INT_MAX) steps[i].stop_by_s = steps[i].end_s + room;
  }
}

/* Whoever keeps the time of one line must not be told at the next that it has gone:
 * no step has more room than one that waits for it.  The steps stand by their start, so
 * those behind still have the room of their own. */
static void stop_in_turn(gw_stage *stage) {
  for (int i = 0; i < stage->n_steps; ++i) {
    gw_step *step = &stage->steps[i];
    for (int k = i + 1; k < stage->n_steps; ++k) {
      const gw_step *later = &stage->steps[k];
      if (later->stop_by_s < 0 || !waits(stage->steps, i, k)) continue;
      int by = step->end_s + later->stop_by_s - later->end_s;
      if (step->stop_by_s < 0 || by < step->stop_by_s) step->stop_by_s = by;
    }
  }
}

/* The end of the stage, and the last moment to pull it apart. */
static void end_stage(const gw_staging *s, const gw_step *steps, gw_stage *stage) {
  stage->pull_apart_s = -1;
  for (int i = 0; i < stage->n_steps; ++i) {
    const gw_step *step = &steps[i];
    if (step->end_s > stage->end_s) stage->end_s = step->end_s;
    if (-step->start_s > stage->lead_s) stage->lead_s = -step->start_s;
    if (step->action != GW_BRING || s->plan.joins[step->join - s->first].spreads == 0) continue;
    int grabs = step->end_s + s->p->clock->uses[s->glue].closed_s;
    if (stage->pull_apart_s < 0 || grabs < stage->pull_apart_s) stage->pull_apart_s = grabs;
  }
}

/* ---- who ------------------------------------------------------------------------------------- */

enum { MOST_PEOPLE = 99 };

/* The person who has been free longest, at `now`, and is not taken; -1: none. */
static int longest_free(const int *free_at, int people, int now) {
  int who = -1;
  for (int i = 0; i < people; ++i)
    if (free_at[i] <= now && (who < 0 || free_at[i] < free_at[who])) who = i;
  return who;
}

static void assign_people(gw_stage *stage, int people) {
  int free_at[MOST_PEOPLE];
  if (people > MOST_PEOPLE) people = MOST_PEOPLE;
  for (int i = 0; i < people; ++i) free_at[i] = INT32_MIN;
  for (int i = 0; i < stage->n_steps; ++i) {
    gw_step *step = &stage->steps[i];
    for (int n = 0; n < step->hands; ++n) {
      int who = longest_free(free_at, people, step->start_s);
      if (who < 0) break;
      if (n == 0 || who < step->hand) step->hand = who;
      free_at[who] = step->end_s > step->start_s ? step->end_s : step->start_s + 1;
    }
  }
}

/* ---- the list -------------------------------------------------------------------------------- */

static int by_start(const void *left, const void *right) {
  const gw_step *a = left, *b = right;
  if (a->start_s != b->start_s) return a->start_s < b->start_s ? -1 : 1;
  if (a->join != b->join) return a->join < b->join ? -1 : 1;
  if (a->action != b->action) return a->action < b->action ? -1 : 1;
  return a->joint < b->joint ? -1 : a->joint > b->joint;
}

/* The first glue on wood is time nought. */
static int first_spread(const gw_staging *s) {
  int first = 0;
  for (int i = 0; i < s->plan.n_spreads; ++i)
    if (i == 0 || s->start[i] < first) first = s->start[i];
  return first;
}

gw_status gw_stage_steps(const gw_staging *s, gw_stage *stage) {
  int zero = first_spread(s);
  stage->n_steps = gw_plan_tasks(&s->plan);
  stage->steps =
      gw_arena_alloc(s->p->clock->arena, (size_t)stage->n_steps + 1, sizeof *stage->steps);
  if (stage->steps == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < stage->n_steps; ++i) {
    gw_step *step = &stage->steps[i];
    step->start_s = s->start[i] - zero;
    step->end_s = step->start_s + gw_plan_seconds(&s->plan, i);
    step->hands = gw_plan_hands(&s->plan, i);
    step->stop_by_s = -1;
    GW_TRY(describe(s, i, step));
  }
  stop_steps(s, stage->steps);
  end_stage(s, stage->steps, stage);
  qsort(stage->steps, (size_t)stage->n_steps, sizeof *stage->steps, by_start);
  stop_in_turn(stage);
  assign_people(stage, s->plan.people);
  return GW_OK;
}
