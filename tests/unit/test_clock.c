/* Stages and their timed lists: an own checker of every plan, brute force on
 * small questions, and what must never make an answer worse. */
#include "clock/clock.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>

#include "clock/cutting.h"
#include "clock/plan.h"
#include "clock/ways.h"
#include "fit/moisture.h"
#include "project.h"

/* ---- chance, the same on every machine ------------------------------------------------------- */

static unsigned roll(unsigned *state, unsigned sides) {
  *state = *state * 1664525u + 1013904223u;
  return (*state >> 16) % sides;
}

/* ---- a piece with its plan ------------------------------------------------------------------- */

typedef struct timed {
  project p;
  gw_marks *marks;
  gw_order *order;
  gw_clock *clock;
} timed;

static timed time_with(project p, const gw_clock_options *options) {
  timed t = {.p = p};
  gw_error err = {0};
  ck_assert_msg(project_good(&t.p) && t.p.fit != NULL, "%s", all_words(&t.p));
  ck_assert_int_eq(gw_marks_make(t.p.model, t.p.fit, &t.marks), GW_OK);
  ck_assert_int_eq(gw_order_make(t.p.model, t.p.fit, t.marks, NULL, t.p.findings, &t.order, &err),
                   GW_OK);
  ck_assert_ptr_nonnull(t.order);
  ck_assert_int_eq(gw_clock_make_with(t.p.model, t.p.fit, t.marks, t.order, options, t.p.findings,
                                      &t.clock), GW_OK);
  return t;
}

static timed time_project(project p) { return time_with(p, NULL); }
static timed time_text(const char *inside) {
  return time_project(project_fit(project_read(inside)));
}

static void clear(timed *t) {
  gw_clock_free(t->clock);
  gw_order_free(t->order);
  gw_marks_free(t->marks);
  project_clear(&t->p);
}

static int found(const timed *t, const char *code) {
  int count = 0;
  for (size_t i = 0; i < gw_findings_count(t->p.findings); ++i)
    count += strcmp(gw_findings_at(t->p.findings, i)->code, code) == 0;
  return count;
}

static const gw_finding *first_found(const timed *t, const char *code) {
  for (size_t i = 0; i < gw_findings_count(t->p.findings); ++i)
    if (strcmp(gw_findings_at(t->p.findings, i)->code, code) == 0)
      return gw_findings_at(t->p.findings, i);
  ck_abort_msg("no finding %s:\n%s", code, all_words(&t->p));
  return NULL;
}

/* ---- an own checker -------------------------------------------------------------------------- */

static int busy_at(const gw_stage *stage, int moment) {
  int hands = 0;
  for (int i = 0; i < stage->n_steps; ++i)
    if (stage->steps[i].start_s <= moment && moment < stage->steps[i].end_s)
      hands += stage->steps[i].hands;
  return hands;
}

static const gw_step *step_of(const gw_stage *stage, gw_action action, int number) {
  for (int i = 0; i < stage->n_steps; ++i) {
    const gw_step *s = &stage->steps[i];
    if (s->action == action && (action == GW_SPREAD ? s->joint : s->join) == number) return s;
  }
  return NULL;
}

/* What each join of a stage asks for; adds up the longest waits. */
static void check_join(const timed *t, const gw_stage *stage, int join, int *open_s,
                       int *closed_s) {
  const gw_join *j = &t->order->joins[join];
  const gw_step *bring = step_of(stage, GW_BRING, join);
  const gw_step *clamp = step_of(stage, GW_CLAMP, stage->joins[stage->n_joins - 1]);
  ck_assert_ptr_nonnull(bring);
  bool pressure = false;
  for (int i = 0; i < j->n_joints; ++i) {
    const gw_joint *joint = &t->p.model->joints[j->joints[i]];
    const gw_step *spread = step_of(stage, GW_SPREAD, j->joints[i]);
    ck_assert_int_eq(joint->glued, spread != NULL);
    if (spread == NULL) continue;
    ck_assert_int_ge(spread->start_s, 0);
    ck_assert_int_le(spread->end_s, bring->start_s);
    if (bring->end_s - spread->start_s > *open_s) *open_s = bring->end_s - spread->start_s;
    pressure = pressure || gw_kind_of(joint->kind)->clamp;
  }
  if (j->parent >= 0) {
    const gw_step *parent = step_of(stage, GW_BRING, j->parent);
    if (parent != NULL) ck_assert_int_le(bring->end_s, parent->start_s);
  }
  if (clamp == NULL) return;
  ck_assert_int_le(bring->end_s, clamp->start_s);
  if (pressure && clamp->end_s - bring->end_s > *closed_s) *closed_s = clamp->end_s - bring->end_s;
}

/* The stage with step k done `late` seconds late and all that begins after it as late:
 * whether every joint is still closed in its glue's open time, the clamps set before the
 * first that wants pressure grabs, and the pot empty in time. */
static bool still_in_time(const timed *t, const gw_stage *stage, int k, int late) {
  const gw_glue_use *use = &t->clock->uses[stage->glue];
  int starts[512], ends[512], last = 0, first = INT_MAX, clamp = -1;
  ck_assert_int_le(stage->n_steps, 512);
  for (int i = 0; i < stage->n_steps; ++i) {
    const gw_step *s = &stage->steps[i];
    bool waits = i != k && s->start_s >= stage->steps[k].end_s;
    starts[i] = s->start_s + (waits ? late : 0);
    ends[i] = s->end_s + (waits || i == k ? late : 0);
    if (s->action == GW_SPREAD && starts[i] < first) first = starts[i];
    if (s->action == GW_BRING && ends[i] > last) last = ends[i];
    if (s->action == GW_CLAMP) clamp = i;
  }
  for (int i = 0; i < stage->n_steps; ++i) {
    if (stage->steps[i].action != GW_BRING) continue;
    bool pressure = false;
    for (int n = 0; n < stage->n_steps; ++n) {
      const gw_step *s = &stage->steps[n];
      if (s->action != GW_SPREAD || s->join != stage->steps[i].join) continue;
      if (ends[i] - starts[n] > use->open_s) return false;
      /* What wants no pressure is seated and squared before it grabs, too, unless the plan
       * itself is slower than that. */
      pressure = pressure || gw_kind_of(t->p.model->joints[s->joint].kind)->clamp ||
                 (clamp >= 0 && stage->steps[clamp].end_s - stage->steps[i].end_s <= use->closed_s);
    }
    if (clamp >= 0 && pressure && ends[clamp] - ends[i] > use->closed_s) return false;
  }
  return use->pot_s == 0 || first == INT_MAX || last - first <= use->pot_s;
}

/* What "done by" promises, and that it promises no less than it could: one second
 * later this step or one that waits for it is too late. */
static void check_done_by(const timed *t, const gw_stage *stage) {
  for (int k = 0; k < stage->n_steps; ++k) {
    const gw_step *step = &stage->steps[k];
    int room = step->stop_by_s - step->end_s;
    if (step->stop_by_s < 0) room = 7 * 24 * 3600;
    ck_assert_int_ge(room, 0);
    ck_assert(still_in_time(t, stage, k, room));
    bool tight = step->stop_by_s < 0 || !still_in_time(t, stage, k, room + 1);
    for (int i = 0; i < stage->n_steps; ++i) {
      const gw_step *later = &stage->steps[i];
      if (i == k || later->start_s < step->end_s || later->stop_by_s < 0) continue;
      ck_assert_int_ge(later->stop_by_s - later->end_s, room);
      tight = tight || !still_in_time(t, stage, i, room + 1);
    }
    ck_assert(tight);
  }
}

static void check_stage(const timed *t, int index) {
  const gw_stage *stage = &t->clock->stages[index];
  int open_s = 0, closed_s = 0, people = t->p.model->shop.hands;
  for (int i = 0; i < stage->n_steps; ++i) {
    ck_assert_int_le(busy_at(stage, stage->steps[i].start_s), people);
    ck_assert_int_lt(stage->steps[i].hand + stage->steps[i].hands - 1, people);
    if (i > 0) ck_assert_int_ge(stage->steps[i].start_s, stage->steps[i - 1].start_s);
    ck_assert_str_ne(stage->steps[i].words, "");
  }
  for (int i = 0; i < stage->n_joins; ++i)
    check_join(t, stage, stage->joins[i], &open_s, &closed_s);
  ck_assert_int_eq(stage->wet_s, open_s);
  ck_assert_int_eq(stage->closed_s, stage->glue < 0 ? 0 : closed_s);
  if (stage->glue < 0 || !stage->fits) return;
  const gw_glue_use *use = &t->clock->uses[stage->glue];
  ck_assert_int_le(open_s * 100, use->open_s * (100 - t->p.model->shop.margin_pc));
  ck_assert_int_le(closed_s * 100, use->closed_s * (100 - t->p.model->shop.margin_pc));
  ck_assert_int_eq(stage->margin_pm, (use->open_s - open_s) * 1000 / use->open_s);
  check_done_by(t, stage);
}

/* Clamps on at a moment, of kinds that open to `opening` or more. */
static int clamps_on(const timed *t, int64_t moment, gw_len opening) {
  int count = 0;
  for (int k = 0; k < t->clock->n_stages; ++k) {
    const gw_stage *stage = &t->clock->stages[k];
    if (stage->begins_s > moment || gw_clock_off(stage) <= moment) continue;
    for (int i = 0; i < stage->n_pulls; ++i)
      if (stage->pulls[i].kind >= 0 &&
          t->p.model->shop.clamps[stage->pulls[i].kind].opening >= opening)
        count += stage->pulls[i].count;
  }
  return count;
}

static void check_clamps(const timed *t) {
  const gw_shop *shop = &t->p.model->shop;
  if (found(t, "clamps-too-few") > 0) return;
  for (int k = 0; k < t->clock->n_stages; ++k)
    for (int kind = 0; kind < shop->n_clamps; ++kind) {
      int owned = 0;
      for (int i = 0; i < shop->n_clamps; ++i)
        if (shop->clamps[i].opening >= shop->clamps[kind].opening) owned += shop->clamps[i].count;
      ck_assert_int_le(clamps_on(t, t->clock->stages[k].begins_s, shop->clamps[kind].opening),
                       owned);
    }
}

/* Stages hold the order's joins, each once, and begin when hands and
 * sub-assemblies are free. */
static void check_begins(const timed *t) {
  int joins = 0;
  int *stage_of = calloc((size_t)t->order->n_joins + 1, sizeof *stage_of);
  ck_assert_ptr_nonnull(stage_of);
  for (int i = 0; i < t->order->n_joins; ++i) stage_of[i] = -1;
  for (int k = 0; k < t->clock->n_stages; ++k) {
    const gw_stage *stage = &t->clock->stages[k];
    for (int i = 0; i < stage->n_joins; ++i, ++joins) {
      if (i > 0) ck_assert_int_eq(stage->joins[i], stage->joins[i - 1] + 1); /* a run */
      ck_assert_int_eq(stage_of[stage->joins[i]], -1);
      stage_of[stage->joins[i]] = k;
    }
  }
  ck_assert_int_eq(joins, t->order->n_joins);
  for (int i = 0; i < t->order->n_joins; ++i) {
    int parent = t->order->joins[i].parent;
    if (parent < 0 || stage_of[parent] == stage_of[i]) continue;
    ck_assert(t->clock->stages[stage_of[parent]].begins_s >=
              gw_clock_off(&t->clock->stages[stage_of[i]]));
  }
  for (int k = 1; k < t->clock->n_stages; ++k) {
    const gw_stage *before = &t->clock->stages[k - 1];
    ck_assert(t->clock->stages[k].begins_s >= before->begins_s + before->lead_s + before->end_s);
  }
  free(stage_of);
}

static void check_all(const timed *t) {
  for (int k = 0; k < t->clock->n_stages; ++k) check_stage(t, k);
  check_begins(t);
  check_clamps(t);
}

/* ---- plain numbers --------------------------------------------------------------------------- */

enum { JOINS = 4, SPREADS = 12 };
typedef struct numbers {
  gw_plan q;
  gw_plan_join joins[JOINS];
  int spread_s[SPREADS];
} numbers;

static void draw(unsigned *state, numbers *n) {
  int spreads = 0, count = 1 + (int)roll(state, JOINS);
  for (int i = 0; i < count; ++i) {
    gw_plan_join *j = &n->joins[i];
    *j = (gw_plan_join){
        .parent = i == count - 1 ? -1 : i + 1 + (int)roll(state, (unsigned)(count - 1 - i)),
        .first = spreads,
        .spreads = (int)roll(state, 3) + (i == count - 1),
        .bring_s = 10 + 5 * (int)roll(state, 5),
        .hands = 1 + (roll(state, 4) == 0),
        .pressure = roll(state, 2) == 0};
    for (int k = 0; k < j->spreads; ++k) n->spread_s[spreads++] = 10 + 5 * (int)roll(state, 12);
  }
  n->q = (gw_plan){.joins = n->joins,
                   .n_joins = count,
                   .spread_s = n->spread_s,
                   .n_spreads = spreads,
                   .clamp_s = 20 * (int)roll(state, 4),
                   .people = 1 + (int)roll(state, 3),
                   .open_s = 60 + (int)roll(state, 200),
                   .closed_s = 60 + (int)roll(state, 200)};
}

static gw_plan_answer solve(const gw_plan *q, int *start) {
  gw_plan_answer a = {.start = start};
  ck_assert_int_eq(gw_plan_solve(q, &a), GW_OK);
  return a;
}

/* Nobody does two things at once, and everything is in its order. */
static void check_plan(const gw_plan *q, const gw_plan_answer *a) {
  for (int i = 0; i < gw_plan_tasks(q); ++i) {
    int hands = 0;
    for (int k = 0; k < gw_plan_tasks(q); ++k)
      if (a->start[k] <= a->start[i] && a->start[i] < a->start[k] + gw_plan_seconds(q, k))
        hands += gw_plan_hands(q, k);
    ck_assert_int_le(hands, q->people);
    ck_assert_int_ge(a->start[i], 0);
  }
  int open = 0, closed = 0;
  for (int join = 0; join < q->n_joins; ++join) {
    const gw_plan_join *j = &q->joins[join];
    int bring = a->start[gw_plan_bring(q, join)], together = bring + j->bring_s;
    for (int i = j->first; i < j->first + j->spreads; ++i) {
      ck_assert_int_le(a->start[i] + q->spread_s[i], bring);
      if (together - a->start[i] > open) open = together - a->start[i];
    }
    if (j->parent >= 0) ck_assert_int_le(together, a->start[gw_plan_bring(q, j->parent)]);
    if (q->clamp_s == 0) continue;
    ck_assert_int_le(together, a->start[gw_plan_clamp(q)]);
    int wait = a->start[gw_plan_clamp(q)] + q->clamp_s - together;
    if (j->pressure && wait > closed) closed = wait;
  }
  ck_assert_int_eq(a->open_s, open);
  ck_assert_int_eq(a->closed_s, closed);
  ck_assert_int_eq(a->fits, open <= q->open_s && closed <= q->closed_s);
  ck_assert_int_ge(a->open_s, a->bound_s);
}

START_TEST(plans_keep_the_rules) {
  unsigned state = 1;
  int start[64], kept = 0;
  for (int n = 0; n < 400; ++n) {
    numbers m;
    draw(&state, &m);
    gw_plan_answer a = solve(&m.q, start);
    check_plan(&m.q, &a);
    int open = a.open_s, end = a.end_s;
    kept += a.fits;
    ck_assert_int_eq(gw_plan_shorten(&m.q, &a), GW_OK);
    check_plan(&m.q, &a);
    ck_assert_int_le(a.end_s, end);
    if (a.fits) ck_assert_int_le(a.open_s, open);
  }
  ck_assert_int_gt(kept, 100);
}
END_TEST

/* Fifty joins in a row, more than are searched: all spread first (500 s), then brought
 * together (4 s each) and clamped (30 s) keeps a closed time of 49 x 4 + 30, which join
 * after join, with 10 s of spreading between, does not. */
START_TEST(many_joins_are_spread_first) {
  enum { MANY = 50 };
  gw_plan_join joins[MANY];
  int spread[MANY], start[2 * MANY + 1];
  for (int i = 0; i < MANY; ++i) {
    joins[i] = (gw_plan_join){.parent = i + 1 < MANY ? i + 1 : -1, .first = i, .spreads = 1,
                              .bring_s = 4, .hands = 1, .pressure = true};
    spread[i] = 10;
  }
  gw_plan q = {.joins = joins, .n_joins = MANY, .spread_s = spread, .n_spreads = MANY,
               .clamp_s = 30, .people = 1, .open_s = 2000, .closed_s = 49 * 4 + 30};
  ck_assert_int_gt(gw_plan_tasks(&q), GW_PLAN_SEARCHED);
  gw_plan_answer a = solve(&q, start);
  check_plan(&q, &a);
  ck_assert(a.fits && !a.proven);
  ck_assert_int_eq(a.closed_s, 226);
  ck_assert_int_eq(a.open_s, 500 + 4);
  ck_assert_int_eq(a.end_s, 500 + 200 + 30);
  q.open_s = 504;
  ck_assert(solve(&q, start).fits);
  q.open_s = 503;
  a = solve(&q, start);
  ck_assert(!a.fits && !a.proven);
  q.open_s = 2000;
  q.closed_s = 225;
  a = solve(&q, start);
  ck_assert(!a.fits && !a.proven);
  ck_assert_int_eq(a.open_s, 14); /* join after join */
}
END_TEST

/* Two joins of 10 s of spreading and 5 s of bringing together: the pot is used for 30 s
 * by one person, for 20 by two, and never for less. */
START_TEST(the_pot_is_a_limit) {
  static const struct { int people, pot; bool fits; } rows[] = {
      {1, 30, true}, {1, 29, false}, {2, 20, true}, {2, 19, false}, {1, 0, true}};
  const gw_plan_join joins[] = {{1, 0, 1, 5, 1, true}, {-1, 1, 1, 5, 1, true}};
  const int spread[] = {10, 10};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    int start[5];
    gw_plan q = {.joins = joins, .n_joins = 2, .spread_s = spread, .n_spreads = 2, .clamp_s = 20,
                 .people = rows[i].people, .open_s = 100, .closed_s = 100, .pot_s = rows[i].pot};
    gw_plan_answer a = solve(&q, start);
    ck_assert_msg(a.fits == rows[i].fits, "row %zu", i);
    ck_assert_msg(a.proven, "row %zu", i);
    if (rows[i].pot > 0 && a.fits) ck_assert_int_eq(a.pot_s, rows[i].pot);
    if (a.fits) check_plan(&q, &a);
  }
}
END_TEST

/* More works than are tried every way: each to whoever is free first, and to nobody else. */
START_TEST(many_works_are_shared_too) {
  enum { WORKS = 84 };
  for (int people = 1; people <= 4; ++people) {
    int seconds[WORKS], who[WORKS], load[4] = {0};
    bool proven;
    for (int i = 0; i < WORKS; ++i) seconds[i] = 10;
    ck_assert_int_eq(gw_plan_share(seconds, WORKS, people, who, &proven), WORKS * 10 / people);
    for (int i = 0; i < WORKS; ++i) {
      ck_assert(who[i] >= 0 && who[i] < people);
      load[who[i]] += seconds[i];
    }
    for (int k = 0; k < people; ++k) ck_assert_int_eq(load[k], WORKS * 10 / people);
    ck_assert(proven);
  }
}
END_TEST

/* With one more, or one longer, the answer must not be worse. */
static void expect_no_worse(const gw_plan *a, const gw_plan *b) {
  int start[64];
  gw_plan_answer before = solve(a, start), after = solve(b, start);
  if (!before.proven || !after.proven || !before.fits) return;
  ck_assert(after.fits);
  ck_assert_int_le(after.open_s, before.open_s);
}

START_TEST(more_is_never_worse_in_a_stage) {
  unsigned state = 7;
  int start[64], proven = 0;
  for (int n = 0; n < 300; ++n) {
    numbers m;
    draw(&state, &m);
    proven += solve(&m.q, start).proven;
    gw_plan more = m.q;
    ++more.people;
    expect_no_worse(&m.q, &more);
    more = m.q;
    more.closed_s += (int)roll(&state, 100);
    expect_no_worse(&m.q, &more);
    more = m.q;
    more.open_s += (int)roll(&state, 100);
    expect_no_worse(&m.q, &more);
    more = m.q;
    more.clamp_s /= 2;
    expect_no_worse(&m.q, &more);
  }
  ck_assert_int_ge(proven, 290);
}
END_TEST

static int share_by_force(const int *seconds, int count, int people, int *load, int i) {
  if (i == count) {
    int end = 0;
    for (int k = 0; k < people; ++k)
      if (load[k] > end) end = load[k];
    return end;
  }
  int best = INT32_MAX;
  for (int k = 0; k < people; ++k) {
    load[k] += seconds[i];
    int end = share_by_force(seconds, count, people, load, i + 1);
    load[k] -= seconds[i];
    if (end < best) best = end;
  }
  return best;
}

START_TEST(works_are_shared_evenly) {
  unsigned state = 3;
  for (int n = 0; n < 300; ++n) {
    int seconds[7], who[7], load[3] = {0}, sums[3] = {0}, count = 1 + (int)roll(&state, 7);
    int people = 1 + (int)roll(&state, 3);
    bool proven;
    for (int i = 0; i < count; ++i) seconds[i] = 1 + (int)roll(&state, 40);
    int end = gw_plan_share(seconds, count, people, who, &proven);
    for (int i = 0; i < count; ++i) sums[who[i]] += seconds[i];
    for (int k = 0; k < people; ++k) ck_assert_int_le(sums[k], end);
    ck_assert(proven);
    ck_assert_int_eq(end, share_by_force(seconds, count, people, load, 0));
  }
}
END_TEST

/* ---- cutting --------------------------------------------------------------------------------- */

enum { ROW = 7 };
typedef struct table {
  gw_cutting_run runs[ROW][ROW + 1];
} table;

static bool any_run(void *with, int from, int to, bool *never) {
  (void)with;
  (void)from;
  (void)to;
  *never = false;
  return true;
}

static gw_status look_up(void *with, int from, int to, gw_cutting_run *run) {
  const table *t = with;
  int keep_from = run->from, keep_to = run->to;
  *run = t->runs[from][to];
  run->from = keep_from;
  run->to = keep_to;
  return GW_OK;
}

/* Tries every set of ends: failing, stages, margin of the best; up to `most`
 * stages, or any number when it is 0: then fewest come first. */
static void cut_by_force(const table *t, int joins, int most, int *best) {
  bool none = true;
  for (unsigned ends = 0; ends < 1u << (joins - 1); ++ends) {
    int failing = 0, stages = 0, margin = GW_CUTTING_DRY, from = 0;
    bool allowed = true;
    for (int to = 1; to <= joins; ++to) {
      if (to < joins && !(ends & 1u << (to - 1))) continue;
      const gw_cutting_run *run = &t->runs[from][to];
      allowed = allowed && (run->fits || to == from + 1);
      failing += !run->fits;
      ++stages;
      if (run->margin_pm < margin) margin = run->margin_pm;
      from = to;
    }
    if (!allowed || (most > 0 && stages > most)) continue;
    bool better = none || failing < best[0];
    if (!better && failing == best[0])
      better = most > 0 ? margin > best[2] || (margin == best[2] && stages < best[1])
                        : stages < best[1] || (stages == best[1] && margin > best[2]);
    if (!better) continue;
    none = false;
    best[0] = failing;
    best[1] = stages;
    best[2] = margin;
  }
}

/* Longer runs are worse, as those of glue are. */
static void draw_table(unsigned *state, table *t) {
  for (int from = ROW - 1; from >= 0; --from)
    for (int to = from + 1; to <= ROW; ++to) {
      gw_cutting_run run = {.margin_pm = 300 + (int)roll(state, 600), .fits = roll(state, 6) > 0,
                            .proven = true};
      if (to > from + 1) {
        const gw_cutting_run *inner[2] = {&t->runs[from][to - 1], &t->runs[from + 1][to]};
        for (int k = 0; k < 2; ++k) {
          if (inner[k]->margin_pm < run.margin_pm) run.margin_pm = inner[k]->margin_pm;
          run.fits = run.fits && inner[k]->fits;
        }
      }
      t->runs[from][to] = run;
    }
}

START_TEST(cuts_are_the_best) {
  unsigned state = 11;
  for (int n = 0; n < 300; ++n) {
    table t;
    int ends[ROW], best[3];
    draw_table(&state, &t);
    gw_cutting cut = {.ends = ends};
    gw_cutting_asker asker = {look_up, NULL, any_run, &t};
    ck_assert_int_eq(gw_cutting_make(ROW, 0, &asker, &cut), GW_OK);
    cut_by_force(&t, ROW, 0, best);
    ck_assert_int_eq(cut.failing, best[0]);
    ck_assert_int_eq(cut.stages, best[1]);
    ck_assert_int_eq(cut.margin_pm, best[2]);
    ck_assert_int_eq(ends[cut.stages - 1], ROW);
    int most = cut.stages + 1;
    ck_assert_int_eq(gw_cutting_make(ROW, 1, &asker, &cut), GW_OK);
    cut_by_force(&t, ROW, most, best);
    ck_assert_int_eq(cut.failing, best[0]);
    ck_assert_int_eq(cut.margin_pm, best[2]);
    ck_assert_int_eq(cut.stages, best[1]);
  }
}
END_TEST

/* ---- pieces ---------------------------------------------------------------------------------- */

/* A bookcase: two sides and `shelves` shelves in housings. */
static const char *bookcase(char *text, size_t size, const char *shop, const char *glue,
                            int shelves) {
  size_t at = (size_t)snprintf(text, size, "%s%s<part id=\"left\" length=\"1800\" width=\"200\" "
                               "thickness=\"20\" face=\"left\" edge=\"front\">", shop, glue);
  for (int i = 0; i < shelves; ++i)
    at += (size_t)snprintf(text + at, size - at,
                           "<housing id=\"s%d\" at=\"right\" from-bottom=\"%d\" "
                           "depth=\"7\"/>",
                           i, 40 + 150 * i);
  at += (size_t)snprintf(text + at, size - at, "</part><part id=\"right\" mirror-of=\"left\"/>");
  for (int i = 0; i < shelves; ++i)
    at += (size_t)snprintf(text + at, size - at,
                           "<part id=\"shelf%d\" length=\"614\" width=\"200\" "
                           "thickness=\"20\" face=\"up\" edge=\"front\"><shelf-end at=\"left\" "
                           "into=\"left/s%d\"/><shelf-end at=\"right\" into=\"right/s%d\"/></part>",
                           i, i, i);
  ck_assert_uint_lt(at, size);
  return text;
}

static timed time_bookcase(const char *shop, const char *glue, int shelves) {
  char text[8192];
  return time_text(bookcase(text, sizeof text, shop, glue, shelves));
}

static const char *const FILES[] = {"projects/lantern-chest.xml", "projects/side-table.xml",
                                    "projects/study-bookcase.xml", "projects/pantry-door.xml",
                                    "tests/pieces/carcass-16.xml"};

START_TEST(every_schedule_keeps_the_rules) {
  timed t = time_project(project_file(FILES[_i]));
  check_all(&t);
  ck_assert_int_gt(t.clock->n_stages, 0);
  ck_assert(t.clock->proven);
  clear(&t);
}
END_TEST

/* Random shops and glues on random bookcases. */
static void draw_shop(unsigned *state, char *shop, size_t size, int *clamps, int *hands,
                      int *warm) {
  *clamps = 2 + (int)roll(state, 14);
  *hands = 1 + (int)roll(state, 2);
  *warm = 18 + (int)roll(state, 8);
  snprintf(shop, size, "<shop hands=\"%d\" temperature=\"%d\"><clamps kind=\"bar\" count=\"%d\" "
           "opening=\"900\"/></shop>", *hands, *warm, *clamps);
}

static void write_glue(char *glue, size_t size, int open_s, int closed_s) {
  snprintf(glue, size,
           "<glue id=\"g\" kind=\"pva\" open=\"%d s\" closed=\"%d s\" clamp=\"30 min\"/>", open_s,
           closed_s);
}

static void expect_no_worse_piece(const gw_clock *a, const gw_clock *b) {
  if (!a->proven || !b->proven) return;
  ck_assert_int_le(b->failing, a->failing);
  if (b->failing < a->failing) return;
  ck_assert_int_le(b->n_stages, a->n_stages);
  if (b->n_stages == a->n_stages && a->failing == 0) ck_assert_int_ge(b->margin_pm, a->margin_pm);
}

static void compare(const timed *a, const char *shop, const char *glue, int shelves) {
  timed b = time_bookcase(shop, glue, shelves);
  check_all(&b);
  expect_no_worse_piece(a->clock, b.clock);
  clear(&b);
}

START_TEST(more_is_never_worse_in_a_piece) {
  unsigned state = 5 + (unsigned)_i * 97;
  char shop[200], glue[200];
  int clamps, hands, warm, shelves = 2 + (int)roll(&state, 6);
  int open_s = 120 + (int)roll(&state, 500), closed_s = 120 + (int)roll(&state, 500);
  draw_shop(&state, shop, sizeof shop, &clamps, &hands, &warm);
  write_glue(glue, sizeof glue, open_s, closed_s);
  timed a = time_bookcase(shop, glue, shelves);
  check_all(&a);
  static const char form[] =
      "<shop hands=\"%d\" temperature=\"%d\"><clamps kind=\"bar\" count=\"%d\" "
      "opening=\"900\"/></shop>";
  char other[200];
  snprintf(other, sizeof other, form, hands + 1, warm, clamps);
  compare(&a, other, glue, shelves);
  snprintf(other, sizeof other, form, hands, warm, clamps + 3);
  compare(&a, other, glue, shelves);
  snprintf(other, sizeof other, form, hands, warm - 5, clamps);
  compare(&a, other, glue, shelves);
  write_glue(glue, sizeof glue, open_s + 60, closed_s + 60);
  compare(&a, shop, glue, shelves);
  clear(&a);
}
END_TEST

/* One pair of hands and a fast glue: the sixteen joints do not go at once. */
START_TEST(carcass_is_cut_into_stages) {
  timed t = time_project(project_file("tests/pieces/carcass-16.xml"));
  int glued = 0;
  for (int i = 0; i < t.p.model->n_joints; ++i) glued += t.p.model->joints[i].glued;
  ck_assert_int_eq(glued, 16);
  ck_assert_int_eq(t.p.model->shop.hands, 1);
  ck_assert_int_eq(t.clock->failing, 0);
  ck_assert(t.clock->proven);
  ck_assert_int_ge(t.clock->n_stages, 2);
  ck_assert_int_le(t.clock->n_stages, 4);
  /* Not one stage could hold them: the closed time is passed by far. */
  for (int k = 0; k < t.clock->n_stages; ++k)
    ck_assert_int_lt(t.clock->stages[k].n_joins, t.order->n_joins);
  clear(&t);
}
END_TEST

/* ---- rates and rehearsals -------------------------------------------------------------------- */

#define GLUE "<glue id=\"g\" kind=\"pva\" open=\"20 min\" closed=\"20 min\" clamp=\"30 min\"/>"
#define SHOP "<shop><clamps kind=\"bar\" count=\"12\" opening=\"900\"/></shop>"

static const gw_step *nth_step(const timed *t, gw_action action, int n) {
  for (int k = 0; k < t->clock->n_stages; ++k)
    for (int i = 0; i < t->clock->stages[k].n_steps; ++i) {
      const gw_step *s = &t->clock->stages[k].steps[i];
      if (s->action == action && n-- == 0) return s;
    }
  ck_abort_msg("no such step");
  return NULL;
}

static int seconds_of(const gw_step *s) { return s->end_s - s->start_s; }

START_TEST(typical_rates) {
  timed t = time_bookcase(SHOP, GLUE, 3);
  /* A housing 200 mm long at 40 s per 300 mm; 20 s a part; 20 s a clamp and 30 s. */
  ck_assert_int_eq(seconds_of(nth_step(&t, GW_SPREAD, 0)), 27);
  ck_assert_int_eq(seconds_of(nth_step(&t, GW_BRING, 0)), 20);
  ck_assert_int_eq(seconds_of(nth_step(&t, GW_CLAMP, 0)), 3 * 20 + 30);
  ck_assert_int_eq(nth_step(&t, GW_SPREAD, 0)->source, GW_TYPICAL_RATE);
  clear(&t);
}
END_TEST

START_TEST(own_rates) {
  timed t =
      time_bookcase(SHOP,
                    GLUE "<rate action=\"spread\" time=\"33 s\"/><rate action=\"spread\" "
                         "joint=\"housing\" time=\"1 min\"/><rate action=\"clamp\" time=\"12 s\"/>"
                         "<rate action=\"square\" time=\"8 s\"/>",
                    3);
  ck_assert_int_eq(seconds_of(nth_step(&t, GW_SPREAD, 0)), 40); /* 60 s per 300 mm */
  ck_assert_int_eq(nth_step(&t, GW_SPREAD, 0)->source, GW_OWN_RATE);
  ck_assert_int_eq(seconds_of(nth_step(&t, GW_BRING, 0)), 20);
  ck_assert_int_eq(nth_step(&t, GW_BRING, 0)->source, GW_TYPICAL_RATE);
  ck_assert_int_eq(seconds_of(nth_step(&t, GW_CLAMP, 0)), 3 * 12 + 8);
  ck_assert_int_eq(nth_step(&t, GW_CLAMP, 0)->source, GW_OWN_RATE);
  clear(&t);
  t = time_bookcase(
      SHOP, GLUE "<rate action=\"spread\" time=\"33 s\"/><rate action=\"bring\" time=\"50 s\"/>",
      3);
  ck_assert_int_eq(seconds_of(nth_step(&t, GW_SPREAD, 0)), 33);
  ck_assert_int_eq(seconds_of(nth_step(&t, GW_BRING, 0)), 50);
  clear(&t);
}
END_TEST

START_TEST(rehearsed_times) {
  gw_time items[] = {{GW_SPREAD, 1, 77}, {GW_BRING, 1, 55}, {GW_CLAMP, 3, 100}, {GW_BRING, 999, 5}};
  gw_times times = {items, 4};
  gw_clock_options options = {.times = &times};
  char text[8192];
  timed t =
      time_with(project_fit(project_read(bookcase(text, sizeof text, SHOP, GLUE, 3))), &options);
  check_all(&t);
  int spread = 0;
  for (int k = 0; k < t.clock->n_stages; ++k)
    for (int i = 0; i < t.clock->stages[k].n_steps; ++i) {
      const gw_step *s = &t.clock->stages[k].steps[i];
      bool timed_one = s->action == GW_SPREAD && strcmp(t.marks->joints[s->joint].text, "1") == 0;
      ck_assert_int_eq(s->source == GW_REHEARSED,
                       timed_one || (s->action == GW_BRING && s->join == 0) ||
                           (s->action == GW_CLAMP && s->join == 2));
      if (timed_one) ck_assert_int_eq(seconds_of(s), 77);
      spread += timed_one;
    }
  ck_assert_int_eq(spread, 1);
  ck_assert_int_eq(seconds_of(nth_step(&t, GW_BRING, 0)), 55);
  clear(&t);
}
END_TEST

/* ---- clamps ---------------------------------------------------------------------------------- */

START_TEST(clamps_by_force) {
  /* Two shelves 600 by 200 by 20: 586 mm between the sides, two housing floors
   * of 200 by 20 mm in line; oak: 1207 kPa on 4000 mm2 each is 4828 N a line. */
  timed t = time_bookcase(
      "<shop><clamps kind=\"bar\" count=\"9\" opening=\"900\" force=\"2000\"/></shop>", GLUE, 2);
  const gw_stage *stage = &t.clock->stages[0];
  ck_assert_int_eq(stage->n_pulls, 1);
  ck_assert_int_eq(stage->pulls[0].axis, GW_X);
  ck_assert_int_eq((int)stage->pulls[0].force_n, 9656);
  ck_assert_int_eq(stage->pulls[0].count, 5);
  ck_assert_int_eq((int)gw_len_mm(stage->pulls[0].opening), 614 - 14 + 40 + 40);
  ck_assert_int_eq(found(&t, "clamps-too-weak"), 0);
  clear(&t);
  t = time_bookcase(
      "<shop><clamps kind=\"bar\" count=\"3\" opening=\"900\" force=\"2000\"/></shop>", GLUE, 2);
  ck_assert_int_eq(t.clock->stages[0].pulls[0].count, 3);
  ck_assert_int_eq(t.clock->stages[0].pulls[0].wanted, 5);
  const char *words = first_found(&t, "clamps-too-weak")->words;
  ck_assert_msg(strstr(words, "9.7 kN") != NULL &&
                    strstr(words, "3 bar clamps give 6.0 kN") != NULL,
                "%s", words);
  ck_assert_int_eq(found(&t, "clamps-too-few"), 0);
  clear(&t);
  t = time_bookcase("<shop><clamps kind=\"bar\" count=\"3\" opening=\"900\"/></shop>", GLUE, 2);
  ck_assert_int_eq(t.clock->stages[0].pulls[0].count, 2);
  ck_assert_int_eq(found(&t, "clamps-too-weak"), 0);
  clear(&t);
}
END_TEST

START_TEST(clamps_too_short_or_few) {
  timed t =
      time_bookcase("<shop><clamps kind=\"bar\" count=\"9\" opening=\"600\"/></shop>", GLUE, 2);
  first_found(&t, "clamps-too-short");
  clear(&t);
  /* The last side closes two housings 150 mm apart: two clamps at least. */
  t = time_bookcase("<shop><clamps kind=\"bar\" count=\"1\" opening=\"900\"/></shop>", GLUE, 2);
  const char *words = first_found(&t, "clamps-too-few")->words;
  ck_assert_msg(strstr(words, "wants 2 clamps") != NULL &&
                    strstr(words, "has 1; get 1 more") != NULL,
                "%s", words);
  clear(&t);
}
END_TEST

/* Two frames are glued by themselves; with clamps for one only, the second waits
 * until those of the first are off. */
static const char *two_frames(char *text, size_t size, int clamps) {
  static const char frame[] =
      "<group id=\"%s\"><part id=\"a\" length=\"400\" width=\"40\" thickness=\"20\" face=\"%s\" "
      "edge=\"left\">"
      "<mortise id=\"m\" at=\"right\" width=\"20\" thickness=\"7\" depth=\"21\" "
      "from-bottom=\"190\"/></part>"
      "<part id=\"b\" length=\"400\" width=\"40\" thickness=\"20\" face=\"%s\" edge=\"right\">"
      "<mortise id=\"m\" at=\"left\" width=\"20\" thickness=\"7\" depth=\"21\" "
      "from-bottom=\"190\"/></part>"
      "<part id=\"c\" length=\"240\" width=\"20\" thickness=\"20\" face=\"%s\" edge=\"up\">"
      "<tenon at=\"left\" into=\"%s.a/m\" width=\"20\" thickness=\"7\" depth=\"20\"/>"
      "<tenon at=\"right\" into=\"%s.b/m\" width=\"20\" thickness=\"7\" "
      "depth=\"20\"/>%s</part></group>";
  size_t at = (size_t)snprintf(
      text, size, "<shop><clamps kind=\"bar\" count=\"%d\" opening=\"600\"/></shop>" GLUE, clamps);
  at += (size_t)snprintf(text + at, size - at, frame, "f", "front", "front", "front", "f", "f",
                         "<butt-face id=\"x\" at=\"back\" from-left=\"0\" from-bottom=\"0\"/>");
  at += (size_t)snprintf(
      text + at, size - at, frame, "g", "front", "front", "front", "g", "g",
      "<butt at=\"front\" into=\"f.c/x\" glued=\"no\" from-left=\"0\" from-bottom=\"0\"/>");
  ck_assert_uint_lt(at, size);
  return text;
}

START_TEST(stages_wait_for_clamps) {
  char text[4096];
  timed t = time_text(two_frames(text, sizeof text, 12));
  check_all(&t);
  ck_assert_int_ge(t.clock->n_stages, 2);
  int64_t soon = t.clock->stages[1].begins_s;
  int wanted = 0;
  for (int i = 0; i < t.clock->stages[0].n_pulls; ++i) wanted += t.clock->stages[0].pulls[i].count;
  ck_assert_int_gt(wanted, 0);
  ck_assert(soon < gw_clock_off(&t.clock->stages[0]));
  clear(&t);
  t = time_text(two_frames(text, sizeof text, wanted));
  check_all(&t);
  ck_assert_int_eq(found(&t, "clamps-too-few"), 0);
  ck_assert(t.clock->stages[1].begins_s == gw_clock_off(&t.clock->stages[0]));
  clear(&t);
}
END_TEST

/* The chest's drawers need no clamps: they are glued while the carcass is in its own, and
 * put in when it is whole.  Where the file asks for one thing before another, the stages
 * stay as they are. */
START_TEST(what_can_begin_is_begun) {
  timed t = time_project(project_file("projects/chest-of-drawers.xml"));
  const gw_clock *c = t.clock;
  int64_t off = gw_clock_off(&c->stages[0]), hands = c->stages[0].lead_s + c->stages[0].end_s;
  for (int k = 1; k < 8; ++k) { /* six drawers, and the sides */
    ck_assert_int_ge(c->stages[k].glue, 0);
    ck_assert_int_eq(c->stages[k].n_pulls > 0 && c->stages[k].begins_s >= off, k == 7);
    if (k < 7) ck_assert(c->stages[k].begins_s == hands);
    hands += c->stages[k].lead_s + c->stages[k].end_s;
  }
  ck_assert(c->whole_s < 2 * off + 24 * 3600);
  check_begins(&t);
  clear(&t);
  enum { ROOM = 1 << 16 };
  char *text = calloc(ROOM, 1);
  FILE *file = fopen("projects/chest-of-drawers.xml", "rb");
  ck_assert(text != NULL && file != NULL);
  ck_assert_uint_gt(fread(text, 1, ROOM - 100, file), 0);
  fclose(file);
  char *end = strstr(text, "</piece>");
  ck_assert_ptr_nonnull(end);
  strcpy(end, "<before part=\"top\" then=\"back\"/></piece>");
  t = time_project(project_fit(project_bytes(text, strlen(text))));
  int next = 0;
  for (int k = 0; k < t.clock->n_stages; ++k)
    for (int i = 0; i < t.clock->stages[k].n_joins; ++i)
      ck_assert_int_eq(t.clock->stages[k].joins[i], next++);
  clear(&t);
  free(text);
}
END_TEST

/* Two hold what is long and what closes four joints or more; one does the rest, where
 * the shop has two and nothing is heavy. */
START_TEST(long_parts_and_many_joints_take_two) {
  static const char *const BY_TWO[] = {"projects/pantry-door.xml", "projects/bed-head.xml"};
  timed t = time_project(project_file(BY_TWO[_i]));
  int by_two = 0;
  ck_assert_int_eq(t.p.model->shop.hands, 2);
  for (int k = 0; k < t.clock->n_stages; ++k)
    for (int i = 0; i < t.clock->stages[k].n_steps; ++i) {
      const gw_step *s = &t.clock->stages[k].steps[i];
      if (s->action != GW_BRING) continue;
      const gw_join *j = &t.order->joins[s->join];
      bool two = j->n_joints >= 4 || j->bodies > 2;
      for (int m = 0; m < j->n_moving; ++m)
        two = two || t.p.model->parts[j->moving[m]].length > 1200 * GW_MM;
      if (j->n_moving == 1) ck_assert_int_eq(s->hands, two ? 2 : 1);
      by_two += s->hands == 2;
    }
  ck_assert_int_ge(by_two, 1);
  clear(&t);
}
END_TEST

/* A clamp is opened over what stands where it is set.  The rails of the chest go into the
 * partition 446 mm from their free ends to its far face, under a top of 900; its frames
 * are 440 deep under one of 450.  The plant stand's board, 18 mm thick, leans 10 degrees:
 * level, it is 18 / cos 10 under the clamp, and the cleat on it 20. */
START_TEST(clamps_reach_over_their_own_line) {
  timed t = time_project(project_file("projects/chest-of-drawers.xml"));
  const gw_stage *stage = &t.clock->stages[0];
  ck_assert_int_eq(stage->n_pulls, 3);
  ck_assert_int_eq(stage->pulls[0].axis, GW_X);
  ck_assert_int_eq((int)gw_len_mm(stage->pulls[0].opening), 446 + 40);
  ck_assert_int_eq((int)gw_len_mm(stage->pulls[1].opening), 440 + 40);
  clear(&t);
  /* A runner of 33 mm on the inside of an apron of 18: nothing stands between the two
   * runners, so each has a short clamp of its own beside the long ones. */
  t = time_project(project_file("projects/side-table.xml"));
  int own = 0;
  stage = &t.clock->stages[0];
  for (int i = 0; i < stage->n_pulls; ++i)
    if (stage->pulls[i].opening == (33 + 18 + 40) * GW_MM) own += stage->pulls[i].count;
  ck_assert_int_eq(own, 2);
  clear(&t);
  /* The stool's legs lean 7 and 5 degrees; from the floor to the top of the seat it is
   * 448 - 18 + 26 high. */
  t = time_project(project_file("projects/ringers-stool.xml"));
  const gw_pull *seat = &t.clock->stages[t.clock->n_stages - 1].pulls[0];
  double degree = acos(-1) / 180;
  ck_assert_int_eq(seat->axis, GW_Z);
  ck_assert_double_eq_tol(gw_len_mm(seat->opening),
                          456 * sqrt(1 + pow(tan(7 * degree), 2) + pow(tan(5 * degree), 2)) + 40,
                          0.1);
  clear(&t);
  t = time_project(project_file("tests/pieces/plant-stand.xml"));
  ck_assert_int_eq(t.clock->stages[0].n_pulls, 1);
  ck_assert_double_eq_tol(gw_len_mm(t.clock->stages[0].pulls[0].opening),
                          18 / cos(10 * acos(-1) / 180) + 20 + 40, 0.05);
  clear(&t);
}
END_TEST

START_TEST(dovetails_are_seated) {
  timed t = time_project(project_file("projects/lantern-chest.xml"));
  const gw_step *last = nth_step(&t, GW_CLAMP, 0);
  ck_assert_msg(strstr(last->words, "no clamp") != NULL, "%s", last->words);
  ck_assert_int_eq(t.clock->stages[0].n_pulls, 0);
  ck_assert_int_eq(last->stop_by_s, t.clock->stages[0].pull_apart_s);
  clear(&t);
}
END_TEST

/* ---- findings -------------------------------------------------------------------------------- */

START_TEST(damp_and_dry_wood) {
  static const struct { int humidity; const char *code; } airs[] = {
      {50, NULL}, {85, "wood-too-damp"}, {15, "wood-too-dry"}};
  for (size_t i = 0; i < sizeof airs / sizeof *airs; ++i) {
    char shop[160];
    double content;
    snprintf(shop, sizeof shop, "<shop humidity=\"%d\"/>", airs[i].humidity);
    timed t = time_bookcase(shop, GLUE, 2);
    ck_assert_int_eq(gw_moisture_content(200, airs[i].humidity, &content), GW_MOISTURE_OK);
    ck_assert_int_eq(found(&t, "wood-too-damp"), content > 15);
    ck_assert_int_eq(found(&t, "wood-too-dry"), content < 5);
    if (airs[i].code != NULL) ck_assert_int_eq(first_found(&t, airs[i].code)->severity, GW_WARNING);
    clear(&t);
  }
}
END_TEST

static void expect_time(const char *glue, const char *code, gw_severity severity) {
  timed t = time_bookcase(SHOP, glue, 3);
  ck_assert_int_eq(first_found(&t, code)->severity, severity);
  ck_assert_int_gt(t.clock->failing, 0);
  check_begins(&t);
  clear(&t);
}

START_TEST(limits_that_are_not_kept) {
  expect_time("<glue id=\"g\" kind=\"pva\" open=\"45 s\" closed=\"9 min\"/>", "open-time",
              GW_ERROR);
  expect_time("<glue id=\"g\" kind=\"pva\" open=\"9 min\" closed=\"40 s\"/>", "closed-time",
              GW_ERROR);
  expect_time("<glue id=\"g\" kind=\"pva\" open=\"9 min\" closed=\"9 min\" pot=\"40 s\"/>",
              "pot-time", GW_ERROR);
  /* The last side: three spreads of 27 s and 40 s to seat it, 121 s of 130. */
  expect_time("<glue id=\"g\" kind=\"pva\" open=\"130 s\" closed=\"9 min\"/>", "margin-short",
              GW_WARNING);
}
END_TEST

/* ---- ways to win time ------------------------------------------------------------------------ */

static gw_ways *ways_of(const timed *t) {
  gw_ways *ways = NULL;
  ck_assert_int_eq(gw_ways_make(t->p.model, t->p.fit, t->marks, t->order, t->clock, &ways), GW_OK);
  ck_assert_ptr_nonnull(ways);
  return ways;
}

static const gw_way *way_of(const gw_ways *ways, const char *code) {
  for (int i = 0; i < ways->count; ++i)
    if (strcmp(ways->items[i].code, code) == 0) return &ways->items[i];
  return NULL;
}

/* The helper's gain is what planning with one more pair of hands gives. */
START_TEST(ways_are_solved_again) {
  timed t = time_bookcase(SHOP, "<glue id=\"g\" kind=\"pva\" open=\"4 min\" closed=\"4 min\"/>", 5);
  gw_ways *ways = ways_of(&t);
  const gw_way *helper = way_of(ways, "helper");
  ck_assert_ptr_nonnull(helper);
  timed two =
      time_bookcase("<shop hands=\"2\"><clamps kind=\"bar\" count=\"12\" opening=\"900\"/></shop>",
                    "<glue id=\"g\" kind=\"pva\" open=\"4 min\" closed=\"4 min\"/>", 5);
  ck_assert_int_eq(helper->stages, two.clock->n_stages);
  ck_assert_int_eq(helper->margin_pm, two.clock->margin_pm);
  ck_assert(helper->whole_s == two.clock->whole_s);
  ck_assert(helper->helps);
  static const char *const codes[] = {"pre-set-clamps", "slower-glue", "cooler", "one-face"};
  for (size_t i = 0; i < sizeof codes / sizeof *codes; ++i)
    ck_assert_msg(way_of(ways, codes[i]) != NULL, "no way %s", codes[i]);
  for (int i = 1; i < ways->count; ++i) {
    const gw_way *a = &ways->items[i - 1], *b = &ways->items[i];
    ck_assert(a->helps || !b->helps);
    if (!a->helps || !b->helps) continue;
    ck_assert_int_le(a->failing, b->failing);
    if (a->failing == b->failing) ck_assert_int_le(a->stages, b->stages);
    if (a->failing == b->failing && a->stages == b->stages)
      ck_assert_int_ge(a->margin_pm, b->margin_pm);
  }
  gw_ways_free(ways);
  clear(&two);
  clear(&t);
}
END_TEST

START_TEST(nothing_to_win_without_glue) {
  timed t = time_text(
      "<part id=\"a\" length=\"100\" width=\"50\" thickness=\"20\" face=\"front\" edge=\"up\">"
      "<mortise id=\"m\" at=\"right\" thickness=\"6\" width=\"20\" depth=\"15\" "
      "from-top=\"10\"/></part>"
      "<part id=\"b\" length=\"90\" width=\"50\" thickness=\"20\" face=\"front\" edge=\"up\">"
      "<tenon at=\"left\" into=\"a/m\" thickness=\"6\" width=\"20\" depth=\"15\" from-top=\"10\" "
      "glued=\"no\"/></part>");
  gw_ways *ways = ways_of(&t);
  ck_assert_int_eq(ways->count, 0);
  gw_ways_free(ways);
  clear(&t);
}
END_TEST

/* ---- what the file, the air and the glue have a say in ---------------------------------------- */

#define FRAME(alone)                                                                             \
  "<glue id='g' kind='pva' open='60 min' closed='60 min' clamp='30 min'/>"                       \
  "<part id='fl' length='400' width='40' thickness='40' face='front' edge='left'>"               \
  "<mortise id='x' at='right' from-top='10' width='60' thickness='8' depth='16'/>"               \
  "<mortise id='y' at='back' from-top='10' width='60' thickness='8' depth='16'/></part>"         \
  "<part id='fr' mirror-of='fl'/><part id='bl' mirror-of='fl' mirrored='front-back'/>"           \
  "<part id='br' mirror-of='bl'/>"                                                               \
  "<part id='f' length='330' width='60' thickness='20' face='front' edge='up'>"                  \
  "<tenon at='left' into='fl/x' depth='15'/><tenon at='right' into='fr/x' depth='15'/></part>"   \
  "<part id='b' mirror-of='f' mirrored='front-back' into='bl/x br/x'/>"                          \
  "<part id='l' length='230' width='60' thickness='20' face='left' edge='up'>"                   \
  "<tenon at='front' into='fl/y' depth='15'/><tenon at='back' into='bl/y' depth='15'/></part>"   \
  "<part id='r' mirror-of='l' into='fr/y br/y'/>" alone

/* What the file wants by itself ends a stage, though the glue would last for more. */
START_TEST(an_assembly_alone_is_a_stage) {
  timed plain = time_text(FRAME("")), t = time_text(FRAME("<alone parts='fl fr f'/>"));
  check_all(&plain);
  check_all(&t);
  ck_assert_int_gt(t.clock->n_stages, plain.clock->n_stages);
  int ends = 0, joins = 0;
  for (int i = 0; i < t.clock->n_stages; ++i) {
    const gw_stage *stage = &t.clock->stages[i];
    joins += stage->n_joins;
    for (int k = 0; k < stage->n_joins; ++k) {
      if (!t.order->joins[stage->joins[k]].ends_stage) continue;
      ++ends;
      ck_assert_int_eq(k, stage->n_joins - 1);
      ck_assert_int_eq(stage->n_joins, 2); /* one leg, rail, the other leg */
    }
  }
  ck_assert_int_eq(ends, 1);
  ck_assert_int_eq(joins, t.order->n_joins);
  clear(&t);
  clear(&plain);
}
END_TEST

/* A cooler hour and a damper day are offered only where the air model speaks of them, and
 * of glues that are used: 5 degrees less, down to 5 and to where the glue ends; 15 % more,
 * while wood stays at 15 % (at 20 degrees that is between 75 and 81 % of humidity). */
START_TEST(ways_of_the_air) {
  static const struct { int tenths, humidity; const char *glues; bool cooler, damper; } rows[] = {
      {200, 50, "<glue id='g' kind='pva'/>", true, true},
      {150, 50, "<glue id='g' kind='pva'/>", true, true},
      {149, 50, "<glue id='g' kind='pva'/>", false, true},
      {100, 50, "<glue id='g' kind='pva' lowest='0'/>", true, true},
      {99, 50, "<glue id='g' kind='pva' lowest='0'/>", false, true},
      {351, 50, "<glue id='g' kind='pva'/>", false, false},
      {200, 60, "<glue id='g' kind='pva'/>", true, true},
      {200, 66, "<glue id='g' kind='pva'/>", true, false},
      {200, 19, "<glue id='g' kind='pva'/>", false, false},
      {200, 50, "<glue id='g' kind='epoxy-medium'/>", true, false},
      {200, 50, "<glue id='g' kind='epoxy-medium'/><glue id='other' kind='pva'/>", true, false},
      {200, 50, "<glue id='g' kind='pva'/><glue id='other' kind='epoxy-medium'/>", true, true}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    char shop[128], text[8192];
    snprintf(shop, sizeof shop, "<shop temperature=\"%d.%d\" humidity=\"%d\"/>",
             rows[i].tenths / 10, rows[i].tenths % 10, rows[i].humidity);
    timed t = time_text(bookcase(text, sizeof text, shop, rows[i].glues, 2));
    gw_ways *ways = ways_of(&t);
    ck_assert_msg((way_of(ways, "cooler") != NULL) == rows[i].cooler, "row %zu: cooler", i);
    ck_assert_msg((way_of(ways, "damper") != NULL) == rows[i].damper, "row %zu: damper", i);
    gw_ways_free(ways);
    clear(&t);
  }
}
END_TEST

/* A closed time that is kept only by spreading much beforehand: in two stages each joint is
 * open for less.  With time enough the last join has the most to spread, cut or not. */
START_TEST(one_more_stage_is_a_way) {
  static const struct { const char *glue; bool helps; } rows[] = {
      {"<glue id='g' kind='pva' open='20 min' closed='240 s'/>", true},
      {"<glue id='g' kind='pva' open='20 min' closed='360 s'/>", false}};
  for (int i = 0; i < 2; ++i) {
    timed t = time_bookcase(SHOP, rows[i].glue, 3);
    gw_ways *ways = ways_of(&t);
    const gw_way *more = way_of(ways, "more-stages");
    ck_assert_int_eq(t.clock->n_stages, 1);
    ck_assert_int_eq(more != NULL, rows[i].helps);
    if (more != NULL) {
      ck_assert_int_eq(more->stages, 2);
      ck_assert_int_gt(more->margin_pm, t.clock->margin_pm);
    }
    ck_assert_ptr_nonnull(way_of(ways, "helper"));
    gw_ways_free(ways);
    clear(&t);
  }
}
END_TEST

static void expect_last_words(const char *glue, const char *shop, const char *wanted) {
  timed t = time_bookcase(shop, glue, 1);
  ck_assert_int_eq(t.clock->n_stages, 1);
  const gw_stage *stage = &t.clock->stages[0];
  const gw_step *last = step_of(stage, GW_CLAMP, stage->joins[stage->n_joins - 1]);
  ck_assert_ptr_nonnull(last);
  ck_assert_str_eq(last->words, wanted);
  clear(&t);
}

/* A shelf 200 wide between sides: one line of clamps; two where one is too weak. */
START_TEST(clamps_in_words) {
  const char *glue = "<glue id='g' kind='pva' pressure='700'/>";
  expect_last_words(glue, "<shop><clamps kind='bar' count='9' opening='900'/></shop>",
                    "set 1 clamp, check the diagonals");
  expect_last_words(glue, "<shop><clamps kind='bar' count='9' opening='900' force='2000'/></shop>",
                    "set 2 clamps, check the diagonals");
}
END_TEST

START_TEST(times_in_words) {
  static const struct { int64_t seconds; const char *words; } rows[] = {
      {0, "0:00"},        {59, "0:59"},         {60, "1:00"},       {3599, "59:59"},
      {3600, "1:00:00"},  {36061, "10:01:01"},  {-1, "-0:01"},      {-61, "-1:01"},
      {-3600, "-1:00:00"}};
  char text[GW_TIME_TEXT];
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i)
    ck_assert_str_eq(gw_time_text(rows[i].seconds, text, sizeof text), rows[i].words);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("clock");
  TCase *numbers_case = tcase_create("plain numbers"), *pieces = tcase_create("pieces");
  tcase_set_timeout(numbers_case, 60);
  tcase_set_timeout(pieces, 60);
  tcase_add_test(numbers_case, plans_keep_the_rules);
  tcase_add_test(numbers_case, more_is_never_worse_in_a_stage);
  tcase_add_test(numbers_case, works_are_shared_evenly);
  tcase_add_test(numbers_case, cuts_are_the_best);
  tcase_add_loop_test(pieces, every_schedule_keeps_the_rules, 0,
                      (int)(sizeof FILES / sizeof *FILES));
  tcase_add_loop_test(pieces, more_is_never_worse_in_a_piece, 0, 24);
  tcase_add_test(numbers_case, times_in_words);
  tcase_add_test(numbers_case, many_works_are_shared_too);
  tcase_add_test(numbers_case, many_joins_are_spread_first);
  tcase_add_test(numbers_case, the_pot_is_a_limit);
  tcase_add_test(pieces, an_assembly_alone_is_a_stage);
  tcase_add_test(pieces, ways_of_the_air);
  tcase_add_test(pieces, clamps_in_words);
  tcase_add_test(pieces, one_more_stage_is_a_way);
  tcase_add_test(pieces, carcass_is_cut_into_stages);
  tcase_add_test(pieces, typical_rates);
  tcase_add_test(pieces, own_rates);
  tcase_add_test(pieces, rehearsed_times);
  tcase_add_test(pieces, clamps_by_force);
  tcase_add_test(pieces, clamps_too_short_or_few);
  tcase_add_test(pieces, stages_wait_for_clamps);
  tcase_add_test(pieces, what_can_begin_is_begun);
  tcase_add_loop_test(pieces, long_parts_and_many_joints_take_two, 0, 2);
  tcase_add_test(pieces, clamps_reach_over_their_own_line);
  tcase_add_test(pieces, dovetails_are_seated);
  tcase_add_test(pieces, damp_and_dry_wood);
  tcase_add_test(pieces, limits_that_are_not_kept);
  tcase_add_test(pieces, ways_are_solved_again);
  tcase_add_test(pieces, nothing_to_win_without_glue);
  suite_add_tcase(suite, numbers_case);
  suite_add_tcase(suite, pieces);
  return run_suite(suite);
}
