/* One stage: who does what when. */
#include <stdlib.h>
#include <string.h>

#include "clock/clock.h"
#include "clock/timelag.h"

/* The search is asked to stop after this many nodes for one question. */
enum { SEARCH_NODES = 20000, MAX_TASKS = 400 };

/* A thing to be done; `start` is filled by the planner. */
typedef struct task {
  gw_action action;
  int join, joint, seconds, hands;
  int start;
} task;

typedef struct staging {
  gw_planning *p;
  gw_stage *stage;
  task tasks[MAX_TASKS];
  int n_tasks;
  int first, last;        /* joins of the order */
  int people;
  int open_s, closed_s, pot_s; /* limits with the margin taken off; 0: none */
} staging;

/* ---- what is to be done --------------------------------------------------------------- */

static int stage_root(const staging *s, int join) {
  const gw_order *order = s->p->order;
  while (order->joins[join].parent >= 0 && order->joins[join].parent < s->last)
    join = order->joins[join].parent;
  return join;
}

static bool needs_pressure(const staging *s, int join) {
  const gw_join *j = &s->p->order->joins[join];
  for (int i = 0; i < j->n_joints; ++i) {
    const gw_joint *joint = &s->p->m->joints[j->joints[i]];
    if (joint->glued && gw_kind_of(joint->kind)->clamp) return true;
  }
  return false;
}

static bool add_task(staging *s, task t) {
  if (s->n_tasks >= MAX_TASKS) return false;
  s->tasks[s->n_tasks++] = t;
  return true;
}

/* Two people where there are two, when more than two bodies or more than 12 kg
 * must be held (common practice, no source). */
static int people_for(const staging *s, int join) {
  const gw_join *j = &s->p->order->joins[join];
  double grams = 0;
  for (int i = 0; i < j->n_moving; ++i) {
    const gw_part *part = &s->p->m->parts[j->moving[i]];
    grams += gw_len_mm(part->length) * gw_len_mm(part->width) * gw_len_mm(part->thickness) / 1e6 *
             part->density;
  }
  return s->people > 1 && (j->bodies > 2 || grams > 12000) ? 2 : 1;
}

static bool list_join(staging *s, int join) {
  const gw_join *j = &s->p->order->joins[join];
  for (int i = 0; i < j->n_joints; ++i) {
    int joint = j->joints[i];
    if (!s->p->m->joints[joint].glued) continue;
    if (!add_task(s, (task){GW_SPREAD, join, joint, gw_work_spread(s->p, joint), 1, 0})) return false;
  }
  if (!add_task(s, (task){GW_BRING, join, -1, gw_work_bring(s->p, join), people_for(s, join), 0}))
    return false;
  if (stage_root(s, join) != join) return true;
  int clamps = 0;
  for (int i = 0; i < s->stage->n_pulls; ++i)
    if (s->stage->pulls[i].join == join) clamps += s->stage->pulls[i].count;
  /* Diagonals are checked also where nothing needs a clamp. */
  int seconds = clamps > 0 ? gw_work_clamp(clamps) : j->n_glued > 0 ? 30 : 0;
  return seconds == 0 || add_task(s, (task){GW_CLAMP, join, -1, seconds, 1, 0});
}

/* ---- the plan without search ------------------------------------------------------------ */

/* Spreads of one join, longest first, each to whoever is free first, so that
 * all end as the parts are brought together. */
static void list_spreads(staging *s, int from, int to, int begin, int *ready) {
  int free_at[100], people = s->people < 100 ? s->people : 100;
  bool done[MAX_TASKS] = {false};
  for (int i = 0; i < people; ++i) free_at[i] = begin;
  for (int n = from; n < to; ++n) {
    int longest = -1, who = 0;
    for (int i = from; i < to; ++i)
      if (!done[i] && (longest < 0 || s->tasks[i].seconds > s->tasks[longest].seconds)) longest = i;
    for (int i = 1; i < people; ++i)
      if (free_at[i] < free_at[who]) who = i;
    done[longest] = true;
    s->tasks[longest].start = free_at[who];
    free_at[who] += s->tasks[longest].seconds;
  }
  *ready = begin;
  for (int i = 0; i < people; ++i)
    if (free_at[i] > *ready) *ready = free_at[i];
}

/* Join after join: spread, bring together, clamp.  With one pair of hands no
 * plan opens a joint for a shorter time: what is spread for a join must all
 * be done, and the parts brought together, before its first joint closes. */
static void plan_in_line(staging *s) {
  int now = 0;
  for (int i = 0; i < s->n_tasks;) {
    int to = i;
    while (to < s->n_tasks && s->tasks[to].action == GW_SPREAD) ++to;
    if (to > i) {
      list_spreads(s, i, to, now, &now);
      i = to;
      continue;
    }
    s->tasks[i].start = now;
    now += s->tasks[i++].seconds;
  }
}

/* ---- judging a plan ------------------------------------------------------------------------- */

static int find_bring(const staging *s, int join) {
  for (int i = 0; i < s->n_tasks; ++i)
    if (s->tasks[i].action == GW_BRING && s->tasks[i].join == join) return i;
  return -1;
}

static int task_end(const task *t) { return t->start + t->seconds; }

/* The longest that any joint is open. */
static int wet(const staging *s) {
  int longest = 0;
  for (int i = 0; i < s->n_tasks; ++i) {
    if (s->tasks[i].action != GW_SPREAD) continue;
    int open = task_end(&s->tasks[find_bring(s, s->tasks[i].join)]) - s->tasks[i].start;
    if (open > longest) longest = open;
  }
  return longest;
}

/* The longest from faces together to pressure. */
static int closed(const staging *s) {
  int longest = 0;
  for (int i = 0; i < s->n_tasks; ++i) {
    if (s->tasks[i].action != GW_CLAMP) continue;
    for (int k = 0; k < s->n_tasks; ++k) {
      const task *bring = &s->tasks[k];
      if (bring->action != GW_BRING || stage_root(s, bring->join) != s->tasks[i].join ||
          !needs_pressure(s, bring->join))
        continue;
      int wait = task_end(&s->tasks[i]) - task_end(bring);
      if (wait > longest) longest = wait;
    }
  }
  return longest;
}

static int first_spread(const staging *s) {
  int first = -1;
  for (int i = 0; i < s->n_tasks; ++i)
    if (s->tasks[i].action == GW_SPREAD && (first < 0 || s->tasks[i].start < first))
      first = s->tasks[i].start;
  return first < 0 ? 0 : first;
}

static int last_bring(const staging *s) {
  int last = 0;
  for (int i = 0; i < s->n_tasks; ++i)
    if (s->tasks[i].action == GW_BRING && task_end(&s->tasks[i]) > last) last = task_end(&s->tasks[i]);
  return last;
}

static bool keeps_limits(const staging *s) {
  if (s->stage->glue < 0) return true;
  if (s->pot_s > 0 && last_bring(s) - first_spread(s) > s->pot_s) return false;
  return wet(s) <= s->open_s && closed(s) <= s->closed_s;
}

/* No plan can open a joint for a shorter time than this. */
static int wet_at_least(const staging *s) {
  int least = 0;
  for (int join = s->first; join < s->last; ++join) {
    int sum = 0, longest = 0, bring = find_bring(s, join);
    for (int i = 0; i < s->n_tasks; ++i) {
      if (s->tasks[i].action != GW_SPREAD || s->tasks[i].join != join) continue;
      sum += s->tasks[i].seconds;
      if (s->tasks[i].seconds > longest) longest = s->tasks[i].seconds;
    }
    if (sum == 0) continue;
    int shared = (sum + s->people - 1) / s->people;
    int open = (shared > longest ? shared : longest) + s->tasks[bring].seconds;
    if (open > least) least = open;
  }
  return least;
}

/* ---- searching ------------------------------------------------------------------------------- */

static gw_status add_lags(const staging *s, gw_timelag *q, int open_limit) {
  const gw_order *order = s->p->order;
  for (int i = 0; i < s->n_tasks; ++i) {
    const task *t = &s->tasks[i];
    int bring = find_bring(s, t->join);
    if (t->action == GW_SPREAD) {
      GW_TRY(gw_timelag_lag(q, i, bring, t->seconds));
      GW_TRY(gw_timelag_lag(q, bring, i, s->tasks[bring].seconds - open_limit));
    } else if (t->action == GW_BRING) {
      int parent = order->joins[t->join].parent;
      if (parent >= s->first && parent < s->last)
        GW_TRY(gw_timelag_lag(q, i, find_bring(s, parent), t->seconds));
    } else {
      GW_TRY(gw_timelag_lag(q, bring, i, s->tasks[bring].seconds));
      for (int k = 0; k < s->n_tasks; ++k) {
        const task *b = &s->tasks[k];
        if (b->action != GW_BRING || stage_root(s, b->join) != t->join ||
            !needs_pressure(s, b->join) || s->stage->glue < 0)
          continue;
        GW_TRY(gw_timelag_lag(q, i, k, t->seconds - b->seconds - s->closed_s));
      }
    }
  }
  return GW_OK;
}

/* Looks for a plan in which no joint is open longer than `open_limit`; takes
 * it over when there is one.  *proven: there is none. */
static gw_status search(staging *s, int open_limit, bool *found, bool *proven) {
  int64_t people = s->people, start[MAX_TASKS];
  gw_timelag *q = gw_timelag_new(1, &people);
  if (q == NULL) return GW_NO_MEMORY;
  gw_status status = GW_OK;
  for (int i = 0; i < s->n_tasks && status == GW_OK; ++i) {
    int64_t hands = s->tasks[i].hands;
    status = gw_timelag_activity(q, s->tasks[i].seconds, &hands, NULL);
  }
  if (status == GW_OK) status = add_lags(s, q, open_limit);
  gw_timelag_options options = {.nodes = SEARCH_NODES, .limit = s->pot_s > 0 ? s->pot_s : -1};
  gw_timelag_answer answer = {0};
  if (status == GW_OK) status = gw_timelag_solve(q, &options, start, &answer);
  gw_timelag_free(q);
  if (status != GW_OK) return status;
  *found = answer.found;
  *proven = answer.kind == GW_TIMELAG_INFEASIBLE;
  for (int i = 0; i < s->n_tasks && answer.found; ++i) s->tasks[i].start = (int)start[i];
  return GW_OK;
}

/* The smallest limit on open time for which a plan is found, by halving. */
static gw_status search_best(staging *s) {
  bool fits = keeps_limits(s), found, none;
  int least = wet_at_least(s), most = fits ? wet(s) : s->open_s;
  s->stage->proven = fits && wet(s) <= least;
  if (s->stage->proven || s->stage->glue < 0) return GW_OK;
  if (!fits) {
    GW_TRY(search(s, most, &found, &none));
    if (!found) {
      s->stage->proven = none;
      return GW_OK;
    }
    most = wet(s);
  }
  bool sure = true;
  while (least < most) {
    int middle = least + (most - least) / 2;
    GW_TRY(search(s, middle, &found, &none));
    if (found) {
      most = wet(s);
    } else {
      sure = sure && none;
      least = middle + 1;
    }
  }
  s->stage->proven = sure;
  return GW_OK;
}

/* ---- the list ------------------------------------------------------------------------------------ */

static int by_start(const void *left, const void *right) {
  const task *a = left, *b = right;
  if (a->start != b->start) return a->start < b->start ? -1 : 1;
  if (a->join != b->join) return a->join < b->join ? -1 : 1;
  return a->joint < b->joint ? -1 : a->joint > b->joint;
}

static const char *task_words(const staging *s, const task *t) {
  gw_arena *arena = s->p->clock->arena;
  char mark[GW_MARK_SHOWN];
  if (t->action == GW_SPREAD)
    return gw_arena_printf(arena, "spread glue on joint %s",
                           gw_mark_show(&s->p->marks->joints[t->joint], mark));
  if (t->action == GW_BRING) return s->p->order->joins[t->join].words;
  int clamps = 0;
  for (int i = 0; i < s->stage->n_pulls; ++i)
    if (s->stage->pulls[i].join == t->join) clamps += s->stage->pulls[i].count;
  if (clamps == 0) return gw_arena_text(arena, "seat every joint, check the diagonals");
  return gw_arena_printf(arena, "set %d clamp%s, check the diagonals", clamps, clamps == 1 ? "" : "s");
}

/* When a step must be done, the margin not taken off: in seconds from 0. */
static int stop_by(const staging *s, const task *t, int zero) {
  if (s->stage->glue < 0) return -1;
  const gw_glue_use *use = &s->p->clock->uses[s->stage->glue];
  int by = -1;
  for (int i = 0; i < s->n_tasks; ++i) {
    const task *o = &s->tasks[i];
    int limit = -1;
    if (o->action == GW_SPREAD && o->join == t->join && t->action == GW_BRING)
      limit = o->start + use->open_s;
    if (o == t && t->action == GW_SPREAD)
      limit = o->start + use->open_s - s->tasks[find_bring(s, t->join)].seconds;
    if (o->action == GW_BRING && t->action == GW_CLAMP && stage_root(s, o->join) == t->join &&
        needs_pressure(s, o->join))
      limit = task_end(o) + use->closed_s;
    if (limit >= 0 && (by < 0 || limit < by)) by = limit;
  }
  return by < 0 ? -1 : by - zero;
}

/* People are taken in turn: whoever has been free longest does the next. */
static void assign_people(gw_stage *stage, int people) {
  int free_at[100] = {0};
  if (people > 100) people = 100;
  for (int i = 0; i < people; ++i) free_at[i] = INT32_MIN;
  for (int i = 0; i < stage->n_steps; ++i) {
    gw_step *step = &stage->steps[i];
    int who = 0;
    while (who + 1 < people && free_at[who] > step->start_s) ++who;
    step->hand = who;
    for (int n = 0, k = who; n < step->hands && k < people; ++k)
      if (free_at[k] <= step->start_s) {
        free_at[k] = step->end_s;
        ++n;
      }
  }
}

static gw_status write_steps(staging *s) {
  gw_stage *stage = s->stage;
  int zero = first_spread(s);
  stage->steps = gw_arena_alloc(s->p->clock->arena, (size_t)s->n_tasks, sizeof *stage->steps);
  if (stage->steps == NULL) return GW_NO_MEMORY;
  qsort(s->tasks, (size_t)s->n_tasks, sizeof *s->tasks, by_start);
  stage->n_steps = s->n_tasks;
  stage->pull_apart_s = -1;
  for (int i = 0; i < s->n_tasks; ++i) {
    const task *t = &s->tasks[i];
    gw_step *step = &stage->steps[i];
    *step = (gw_step){.action = t->action, .start_s = t->start - zero, .end_s = task_end(t) - zero,
                      .hands = t->hands, .join = t->join, .joint = t->joint,
                      .stop_by_s = stop_by(s, t, zero), .words = task_words(s, t)};
    if (step->words == NULL) return GW_NO_MEMORY;
    if (step->end_s > stage->end_s) stage->end_s = step->end_s;
    bool wet_bring = t->action == GW_BRING && step->stop_by_s >= 0;
    int grabs = wet_bring ? step->end_s + s->p->clock->uses[stage->glue].closed_s : -1;
    if (wet_bring && (stage->pull_apart_s < 0 || grabs < stage->pull_apart_s))
      stage->pull_apart_s = grabs;
  }
  assign_people(stage, s->people);
  return GW_OK;
}

/* ---- one stage ---------------------------------------------------------------------------------------- */

/* The glue of all glued joints; *mixed when there is more than one. */
static int glue_of(const gw_planning *p, int first, int last, bool *mixed) {
  int glue = -1;
  *mixed = false;
  for (int i = first; i < last; ++i)
    for (int k = 0; k < p->order->joins[i].n_joints; ++k) {
      const gw_joint *joint = &p->m->joints[p->order->joins[i].joints[k]];
      if (!joint->glued) continue;
      if (glue >= 0 && joint->glue != glue) *mixed = true;
      else glue = joint->glue;
    }
  return glue;
}

static void sum_up(staging *s) {
  gw_stage *stage = s->stage;
  if (stage->glue < 0) return;
  const gw_glue_use *use = &s->p->clock->uses[stage->glue];
  stage->wet_s = wet(s);
  stage->limit_s = use->open_s;
  stage->margin_pm = (int)(((int64_t)use->open_s - stage->wet_s) * 1000 / use->open_s);
  stage->clamp_s = use->clamp_s;
  stage->cure_s = use->cure_s;
  for (int i = 0; i < s->n_tasks; ++i)
    if (s->tasks[i].action == GW_SPREAD) stage->area_mm2 += gw_work_area(s->p, s->tasks[i].joint);
  stage->grams = stage->area_mm2 / 1e6 * use->spread_gm2;
}

static gw_status prepare(staging *s, int margin_pc) {
  gw_stage *stage = s->stage;
  stage->joins = gw_arena_alloc(s->p->clock->arena, (size_t)(s->last - s->first), sizeof *stage->joins);
  if (stage->joins == NULL) return GW_NO_MEMORY;
  for (int i = s->first; i < s->last; ++i) stage->joins[stage->n_joins++] = i;
  if (stage->glue >= 0) {
    const gw_glue_use *use = &s->p->clock->uses[stage->glue];
    int kept = 100 - margin_pc;
    s->open_s = (int)((int64_t)use->open_s * kept / 100);
    s->closed_s = (int)((int64_t)use->closed_s * kept / 100);
    s->pot_s = (int)((int64_t)use->pot_s * kept / 100);
  }
  return gw_clock_pulls(s->p, stage);
}

gw_status gw_stage_plan(gw_planning *p, int first, int last, int margin_pc, gw_stage *out,
                        bool *fits) {
  memset(out, 0, sizeof *out);
  bool mixed;
  staging *s = calloc(1, sizeof *s);
  if (s == NULL) return GW_NO_MEMORY;
  *s = (staging){.p = p, .stage = out, .first = first, .last = last, .people = p->m->shop.hands};
  out->glue = glue_of(p, first, last, &mixed);
  gw_status status = prepare(s, margin_pc);
  bool room = true;
  for (int i = first; i < last && room; ++i) room = list_join(s, i);
  *fits = room && !(mixed && last - first > 1);
  if (status == GW_OK && *fits) {
    plan_in_line(s);
    status = search_best(s);
    *fits = keeps_limits(s);
    sum_up(s);
    if (status == GW_OK) status = write_steps(s);
  }
  free(s);
  return status;
}
