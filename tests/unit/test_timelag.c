/* test_timelag.c - schedules with least and greatest lags: small questions
 * worked by hand, the checker, limits, and hundreds of random tiny questions
 * against trying every schedule. */
#include "clock/timelag.h"

#include <check.h>
#include <stdlib.h>

static const gw_timelag_options no_limits = {.limit = -1};

static gw_timelag *question(int resources, const int64_t *capacity) {
  gw_timelag *q = gw_timelag_new(resources, capacity);
  ck_assert_ptr_nonnull(q);
  return q;
}

static int activity(gw_timelag *q, int64_t duration, int64_t need) {
  int index = -1;
  ck_assert_int_eq(gw_timelag_activity(q, duration, &need, &index), GW_OK);
  return index;
}

static void lag(gw_timelag *q, int i, int j, int64_t lag_ij) {
  ck_assert_int_eq(gw_timelag_lag(q, i, j, lag_ij), GW_OK);
}

/* Solves and, where there is a schedule, has it judged. */
static gw_timelag_answer solve(const gw_timelag *q, const gw_timelag_options *options) {
  int64_t start[64];
  gw_timelag_answer a;
  ck_assert_int_le(gw_timelag_count(q), 64);
  ck_assert_int_eq(gw_timelag_solve(q, options, start, &a), GW_OK);
  if (a.found) {
    gw_timelag_verdict v = gw_timelag_check(q, start);
    ck_assert_int_eq(v.fault, GW_TIMELAG_FINE);
    ck_assert_int_eq(v.end, a.upper);
    ck_assert_int_le(a.lower, a.upper);
  }
  return a;
}

static void expect_end(const gw_timelag *q, int64_t end) {
  gw_timelag_answer a = solve(q, &no_limits);
  ck_assert_int_eq(a.kind, GW_TIMELAG_OPTIMUM);
  ck_assert(a.found);
  ck_assert_int_eq(a.upper, end);
  ck_assert_int_eq(a.lower, end);
}

static void expect_none(const gw_timelag *q) {
  gw_timelag_answer a = solve(q, &no_limits);
  ck_assert_int_eq(a.kind, GW_TIMELAG_INFEASIBLE);
  ck_assert(!a.found);
}

/* ---- worked by hand -------------------------------------------------------------- */

START_TEST(nothing_ends_at_once) {
  gw_timelag *q = question(0, NULL);
  expect_end(q, 0);
  gw_timelag_free(q);
}
END_TEST

/* Jobs of 3 and 4 for one pair of hands: 7; with a second pair: 4. */
START_TEST(one_and_two_pairs_of_hands) {
  for (int64_t hands = 1; hands <= 2; hands++) {
    gw_timelag *q = question(1, &hands);
    activity(q, 3, 1);
    activity(q, 4, 1);
    expect_end(q, hands == 1 ? 7 : 4);
    gw_timelag_free(q);
  }
}
END_TEST

/* Three spreads of 2 and then a closing of 1: the first spread waits 6.  An
 * open time of 6 from the start of spreading just does, 5 does not. */
START_TEST(open_time_decides) {
  for (int64_t open = 5; open <= 6; open++) {
    const int64_t hands = 1;
    gw_timelag *q = question(1, &hands);
    int spread[3], close;
    for (int k = 0; k < 3; k++) spread[k] = activity(q, 2, 1);
    close = activity(q, 1, 1);
    for (int k = 0; k < 3; k++) {
      lag(q, spread[k], close, 2);
      lag(q, close, spread[k], -open);
    }
    if (open == 6)
      expect_end(q, 7);
    else
      expect_none(q);
    gw_timelag_free(q);
  }
}
END_TEST

/* Needs of 4 out of 10: any two run together and no three; 3 + 3 beside 6. */
START_TEST(any_two_of_three) {
  const int64_t clamps = 10;
  gw_timelag *q = question(1, &clamps);
  activity(q, 6, 4);
  activity(q, 3, 4);
  activity(q, 3, 4);
  expect_end(q, 6);
  gw_timelag_free(q);
}
END_TEST

/* Without resources the longest way decides: 7 + 3. */
START_TEST(lags_alone) {
  gw_timelag *q = question(0, NULL);
  int a = activity(q, 2, 0), b = activity(q, 3, 0), c = activity(q, 4, 0);
  lag(q, a, b, 7);
  lag(q, b, c, -2); /* c at 5 or later, so it ends at 9 */
  expect_end(q, 10);
  lag(q, b, a, -6);
  expect_none(q); /* b at least 7 and at most 6 after a */
  gw_timelag_free(q);
}
END_TEST

/* Three joints: spread 1, set 1 within 3 of it with the clamp held 10 from the
 * setting; one pair of hands, two clamps.  The first clamp is on at 1, and one
 * clamp has to hold twice: 21. */
START_TEST(hands_and_clamps) {
  const int64_t capacity[] = {1, 2}, hand[] = {1, 0}, clamp[] = {0, 1};
  gw_timelag *q = question(2, capacity);
  for (int k = 0; k < 3; k++) {
    int spread, set, hold;
    ck_assert_int_eq(gw_timelag_activity(q, 1, hand, &spread), GW_OK);
    ck_assert_int_eq(gw_timelag_activity(q, 1, hand, &set), GW_OK);
    ck_assert_int_eq(gw_timelag_activity(q, 10, clamp, &hold), GW_OK);
    lag(q, spread, set, 1);
    lag(q, set, spread, -3);
    lag(q, set, hold, 0);
    lag(q, hold, set, 0);
  }
  expect_end(q, 21);
  gw_timelag_free(q);
}
END_TEST

/* Forty halves for one pair of hands: two are spread and must be closed within
 * the open time of both.  One after the other they
 * can be done, so some schedule must be found, however little is searched; one
 * pair of hands is busy for all of it, so none can end sooner than its work. */
START_TEST(many_joints_find_a_schedule) {
  const int64_t hands = 1;
  gw_timelag *q = question(1, &hands);
  int64_t work = 0;
  for (int k = 0; k < 20; k++) {
    int64_t spread = 20 + (k * 37) % 71, close = 15 + (k * 23) % 46;
    int a = activity(q, spread, 1), b = activity(q, spread + 3, 1), c = activity(q, close, 1);
    lag(q, a, c, spread);
    lag(q, b, c, spread + 3);
    lag(q, c, a, -300);
    lag(q, c, b, -300);
    work += 2 * spread + 3 + close;
  }
  gw_timelag_options options = {.limit = -1, .nodes = 500};
  gw_timelag_answer a = solve(q, &options);
  ck_assert(a.found);
  ck_assert_int_eq(a.lower, work);
  gw_timelag_free(q);
}
END_TEST

START_TEST(a_need_beyond_what_there_is) {
  const int64_t clamps = 3;
  gw_timelag *q = question(1, &clamps);
  activity(q, 0, 4); /* takes no time, so it uses nothing */
  expect_end(q, 0);
  activity(q, 2, 4);
  expect_none(q);
  gw_timelag_free(q);
}
END_TEST

/* ---- limits ------------------------------------------------------------------------ */

START_TEST(a_limit_is_kept) {
  const int64_t hands = 1;
  gw_timelag *q = question(1, &hands);
  activity(q, 3, 1);
  activity(q, 4, 1);
  gw_timelag_options options = {.limit = 7};
  gw_timelag_answer a = solve(q, &options);
  ck_assert(a.kind == GW_TIMELAG_OPTIMUM && a.upper == 7);
  options.limit = 6;
  ck_assert_int_eq(solve(q, &options).kind, GW_TIMELAG_INFEASIBLE);
  gw_timelag_free(q);
}
END_TEST

/* Twelve jobs on a resource of 10: hard enough not to be done in a few nodes. */
static gw_timelag *many_jobs(void) {
  const int64_t room = 10;
  const int64_t need[] = {3, 4, 5, 6, 2, 7, 3, 4, 5, 6, 2, 7};
  gw_timelag *q = question(1, &room);
  for (int k = 0; k < 12; k++) activity(q, 3 + (k * 7) % 5, need[k]);
  for (int k = 0; k + 3 < 12; k += 2) {
    lag(q, k, k + 3, 2);
    lag(q, k + 3, k, -9);
  }
  return q;
}

static bool at_once(void *asked) {
  ++*(int *)asked;
  return true;
}

START_TEST(a_stopped_search_gives_bounds) {
  gw_timelag *q = many_jobs();
  gw_timelag_answer whole = solve(q, &no_limits);
  ck_assert_int_eq(whole.kind, GW_TIMELAG_OPTIMUM);
  ck_assert_int_gt(whole.nodes, 20);
  for (int64_t nodes = 1; nodes < whole.nodes; nodes += 1 + whole.nodes / 9) {
    gw_timelag_options options = {.limit = -1, .nodes = nodes};
    gw_timelag_answer a = solve(q, &options);
    ck_assert_int_le(a.nodes, nodes);
    ck_assert_int_le(a.lower, whole.upper);
    if (a.kind == GW_TIMELAG_BOUND && a.found) ck_assert_int_ge(a.upper, whole.upper);
    if (a.kind == GW_TIMELAG_OPTIMUM) ck_assert_int_eq(a.upper, whole.upper);
    ck_assert_int_ne(a.kind, GW_TIMELAG_INFEASIBLE);
  }
  int asked = 0;
  gw_timelag_options options = {.limit = -1, .stop = at_once, .with = &asked};
  gw_timelag_answer a = solve(q, &options);
  ck_assert(a.kind == GW_TIMELAG_BOUND && asked >= 1);
  ck_assert_int_lt(a.nodes, whole.nodes);
  gw_timelag_free(q);
}
END_TEST

START_TEST(the_same_question_gets_the_same_answer) {
  gw_timelag *q = many_jobs();
  int64_t first[12], second[12];
  gw_timelag_answer a, b;
  ck_assert_int_eq(gw_timelag_solve(q, &no_limits, first, &a), GW_OK);
  ck_assert_int_eq(gw_timelag_solve(q, &no_limits, second, &b), GW_OK);
  ck_assert_int_eq(a.nodes, b.nodes);
  for (int i = 0; i < 12; i++) ck_assert_int_eq(first[i], second[i]);
  gw_timelag_free(q);
}
END_TEST

START_TEST(wrong_figures_are_refused) {
  const int64_t negative = -1, much = GW_TIMELAG_MOST + 1, one = 1;
  ck_assert_ptr_null(gw_timelag_new(1, &negative));
  ck_assert_ptr_null(gw_timelag_new(1, &much));
  ck_assert_ptr_null(gw_timelag_new(-1, &one));
  gw_timelag *q = question(1, &one);
  ck_assert_int_eq(gw_timelag_activity(q, -1, &one, NULL), GW_BAD_INPUT);
  ck_assert_int_eq(gw_timelag_activity(q, 1, &negative, NULL), GW_BAD_INPUT);
  ck_assert_int_eq(gw_timelag_activity(q, 1, &much, NULL), GW_TOO_LARGE);
  ck_assert_int_eq(gw_timelag_activity(q, GW_TIMELAG_LONGEST + 1, &one, NULL), GW_TOO_LARGE);
  ck_assert_int_eq(gw_timelag_activity(q, 1, NULL, NULL), GW_OK);
  ck_assert_int_eq(gw_timelag_lag(q, 0, 1, 0), GW_BAD_INPUT);
  ck_assert_int_eq(gw_timelag_lag(q, 0, 0, INT64_MIN), GW_TOO_LARGE);
  ck_assert_int_eq(gw_timelag_count(q), 1);
  gw_timelag_free(q);
}
END_TEST

/* ---- the checker --------------------------------------------------------------------- */

START_TEST(the_checker_names_the_fault) {
  const int64_t room = 3;
  gw_timelag *q = question(1, &room);
  int a = activity(q, 4, 2), b = activity(q, 4, 2);
  lag(q, a, b, 2);
  lag(q, b, a, -5);
  const int64_t early[] = {-1, 3}, soon[] = {0, 1}, late[] = {0, 6}, both[] = {1, 4},
                fine[] = {1, 5};
  gw_timelag_verdict v = gw_timelag_check(q, early);
  ck_assert(v.fault == GW_TIMELAG_EARLY && v.i == 0 && v.amount == 1);
  v = gw_timelag_check(q, soon);
  ck_assert(v.fault == GW_TIMELAG_LAG && v.i == a && v.j == b && v.amount == 1);
  v = gw_timelag_check(q, late);
  ck_assert(v.fault == GW_TIMELAG_LAG && v.i == b && v.j == a && v.amount == 1);
  v = gw_timelag_check(q, both);
  ck_assert(v.fault == GW_TIMELAG_RESOURCE && v.i == 0 && v.time == 4 && v.amount == 1);
  v = gw_timelag_check(q, fine);
  ck_assert(v.fault == GW_TIMELAG_FINE && v.end == 9);
  gw_timelag_free(q);
}
END_TEST

/* ---- against trying everything ------------------------------------------------------------ */

enum { MOST = 6, MOST_LAGS = 16 };

typedef struct tiny {
  int n, resources, n_lags;
  int64_t capacity[2], duration[MOST], demand[MOST][2];
  int from[MOST_LAGS], to[MOST_LAGS];
  int64_t lag[MOST_LAGS];
  int64_t horizon, best; /* best: horizon + 1 when there is none */
  int64_t start[MOST];
} tiny;

static uint32_t draw(uint32_t *seed, uint32_t below) {
  *seed = *seed * 1664525u + 1013904223u; /* Numerical Recipes' generator */
  return (*seed >> 8) % below;
}

/* Needs up to the capacity, or (`small`) such that two or three fit at once. */
static int64_t draw_need(const tiny *t, int r, bool small, uint32_t *seed) {
  if (small) return t->capacity[r] < 2 ? 1 : 1 + (int64_t)draw(seed, 2);
  return draw(seed, (uint32_t)t->capacity[r] + 1);
}

static void draw_tiny(tiny *t, bool small, uint32_t *seed) {
  *t = (tiny){.n = 3 + (int)draw(seed, 4), .resources = 1 + (int)draw(seed, 2)};
  for (int r = 0; r < t->resources; r++) t->capacity[r] = 1 + draw(seed, 4);
  for (int i = 0; i < t->n; i++) {
    t->duration[i] = draw(seed, 4);
    for (int r = 0; r < t->resources; r++) t->demand[i][r] = draw_need(t, r, small, seed);
  }
  t->n_lags = (int)draw(seed, 9);
  for (int k = 0; k < t->n_lags; k++) {
    t->from[k] = (int)draw(seed, (uint32_t)t->n);
    t->to[k] = (int)draw(seed, (uint32_t)t->n);
    t->lag[k] = (int64_t)draw(seed, 8) - (t->from[k] >= t->to[k] ? 6 : 2);
  }
  /* Beyond the sum of all figures nothing can be worth waiting for. */
  for (int i = 0; i < t->n; i++) t->horizon += t->duration[i];
  for (int k = 0; k < t->n_lags; k++) t->horizon += t->lag[k] > 0 ? t->lag[k] : 0;
  t->best = t->horizon + 1;
}

static bool lags_hold(const tiny *t, int placed) {
  for (int k = 0; k < t->n_lags; k++) {
    if (t->from[k] >= placed || t->to[k] >= placed) continue;
    if (t->start[t->to[k]] < t->start[t->from[k]] + t->lag[k]) return false;
  }
  return true;
}

static bool resources_hold(const tiny *t, int placed) {
  for (int r = 0; r < t->resources; r++) {
    for (int64_t time = 0; time < t->horizon; time++) {
      int64_t used = 0;
      for (int i = 0; i < placed; i++) {
        if (t->start[i] <= time && time < t->start[i] + t->duration[i]) used += t->demand[i][r];
      }
      if (used > t->capacity[r]) return false;
    }
  }
  return true;
}

/* Tries every start of activity `placed` and of all after it. */
static void try_all(tiny *t, int placed, int64_t end) {
  if (end >= t->best || !lags_hold(t, placed) || !resources_hold(t, placed)) return;
  if (placed == t->n) {
    t->best = end;
    return;
  }
  for (int64_t start = 0; start + t->duration[placed] <= t->horizon; start++) {
    t->start[placed] = start;
    int64_t own = start + t->duration[placed];
    try_all(t, placed + 1, own > end ? own : end);
  }
}

static gw_timelag *question_of(const tiny *t) {
  gw_timelag *q = question(t->resources, t->capacity);
  for (int i = 0; i < t->n; i++)
    ck_assert_int_eq(gw_timelag_activity(q, t->duration[i], t->demand[i], NULL), GW_OK);
  for (int k = 0; k < t->n_lags; k++) lag(q, t->from[k], t->to[k], t->lag[k]);
  return q;
}

/* Solves with a limit; the answer must be the best end, or that there is none. */
static int64_t expect_tiny(const tiny *t, const gw_timelag *q, int64_t limit, int number) {
  gw_timelag_options options = {.limit = limit};
  gw_timelag_answer a = solve(q, &options);
  bool none = t->best > t->horizon || (limit >= 0 && limit < t->best);
  if (none)
    ck_assert_msg(a.kind == GW_TIMELAG_INFEASIBLE, "question %d", number);
  else
    ck_assert_msg(a.kind == GW_TIMELAG_OPTIMUM && a.upper == t->best,
                  "question %d: %d, expected %d", number, (int)a.upper, (int)t->best);
  return a.nodes;
}

/* Cut short, the answer still encloses the best end. */
static void expect_enclosed(const tiny *t, const gw_timelag *q, int64_t nodes) {
  gw_timelag_options options = {.limit = -1, .nodes = nodes};
  gw_timelag_answer a = solve(q, &options);
  if (t->best > t->horizon) {
    ck_assert(!a.found);
    return;
  }
  ck_assert_int_ne(a.kind, GW_TIMELAG_INFEASIBLE);
  ck_assert_int_le(a.lower, t->best);
  if (a.found) ck_assert_int_ge(a.upper, t->best);
}

/* A limit at the best end leaves nothing to spare, one below it nothing. */
START_TEST(tiny_questions_agree_with_trying_everything) {
  uint32_t seed = 77;
  int feasible = 0, infeasible = 0, searched = 0;
  for (int number = 0; number < 6000; number++) {
    tiny t;
    draw_tiny(&t, number % 2, &seed);
    try_all(&t, 0, 0);
    gw_timelag *q = question_of(&t);
    searched += expect_tiny(&t, q, -1, number) > 2;
    searched += expect_tiny(&t, q, t.best, number) > 2;
    if (t.best > 0) searched += expect_tiny(&t, q, t.best - 1, number) > 2;
    for (int64_t nodes = 1; nodes <= 16; nodes *= 4) expect_enclosed(&t, q, nodes);
    feasible += t.best <= t.horizon;
    infeasible += t.best > t.horizon;
    gw_timelag_free(q);
  }
  ck_assert_int_gt(feasible, 1500);
  ck_assert_int_gt(infeasible, 400);
  ck_assert_int_gt(searched, 100);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("timelag");
  TCase *hand = tcase_create("by hand");
  tcase_add_test(hand, nothing_ends_at_once);
  tcase_add_test(hand, one_and_two_pairs_of_hands);
  tcase_add_test(hand, open_time_decides);
  tcase_add_test(hand, any_two_of_three);
  tcase_add_test(hand, lags_alone);
  tcase_add_test(hand, hands_and_clamps);
  tcase_add_test(hand, many_joints_find_a_schedule);
  tcase_add_test(hand, a_need_beyond_what_there_is);
  tcase_add_test(hand, a_limit_is_kept);
  tcase_add_test(hand, a_stopped_search_gives_bounds);
  tcase_add_test(hand, the_same_question_gets_the_same_answer);
  tcase_add_test(hand, wrong_figures_are_refused);
  tcase_add_test(hand, the_checker_names_the_fault);
  suite_add_tcase(suite, hand);
  TCase *all = tcase_create("against trying everything");
  tcase_set_timeout(all, 120);
  tcase_add_test(all, tiny_questions_agree_with_trying_everything);
  suite_add_tcase(suite, all);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? 0 : 1;
}
