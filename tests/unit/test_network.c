/* test_network.c - difference constraints: textbook systems with their known
 * answers, then random ones against plain repetition. */
#include "network/network.h"

#include <check.h>
#include <stdlib.h>

typedef struct row {
  int j, i; /* x_j - x_i <= w, numbered from 1 as in the books */
  int64_t w;
} row;

static gw_net *net_of(int n, const row *rows, int count) {
  gw_net *net = gw_net_new();
  ck_assert_ptr_nonnull(net);
  ck_assert_int_eq(gw_net_add_nodes(net, n, NULL), GW_OK);
  for (int k = 0; k < count; k++)
    ck_assert_int_eq(gw_net_at_most(net, rows[k].i - 1, rows[k].j - 1, rows[k].w, k), GW_OK);
  return net;
}

static void expect_solution(int n, const row *rows, int count, const int64_t *expected) {
  gw_net *net = net_of(n, rows, count);
  gw_arena *arena = gw_arena_new();
  int64_t x[8];
  gw_net_cycle cycle;
  ck_assert_int_eq(gw_net_solve(net, arena, x, &cycle), GW_OK);
  ck_assert_int_eq(cycle.length, 0);
  for (int v = 0; v < n; v++) ck_assert_int_eq(x[v], expected[v]);
  ck_assert_int_eq(gw_net_smallest_cycle(net, arena, &cycle), GW_OK);
  ck_assert_int_eq(cycle.length, 0);
  gw_arena_free(arena);
  gw_net_free(net);
}

#define COUNT(rows) ((int)(sizeof(rows) / sizeof *(rows)))

/* Cormen, Leiserson, Rivest, Stein, "Introduction to Algorithms", the section
 * on difference constraints: the main example (system from memory, solution as
 * published). */
START_TEST(clrs_main_example) {
  const row rows[] = {{1, 2, 0}, {1, 5, -1}, {2, 5, 1}, {3, 1, 5},
                      {4, 1, 4}, {4, 3, -1}, {5, 3, -3}, {5, 4, -3}};
  const int64_t x[] = {-5, -3, 0, -1, -4};
  expect_solution(5, rows, COUNT(rows), x);
}
END_TEST

/* The same book, exercise 24.4-1 (2nd and 3rd edition); solution recomputed. */
START_TEST(clrs_exercise_1) {
  const row rows[] = {{1, 2, 1}, {1, 4, -4}, {2, 3, 2},  {2, 5, 7}, {2, 6, 5},
                      {3, 6, 10}, {4, 2, 2}, {5, 1, -1}, {5, 4, 3}, {6, 3, -8}};
  const int64_t x[] = {-5, -3, 0, -1, -6, -8};
  expect_solution(6, rows, COUNT(rows), x);
}
END_TEST

/* The same book, exercise 24.4-2 (system from memory): no solution; the only
 * negative simple cycle, worked by hand, is x2 x3 x5 x1 x4 x2 with
 * 1 - 4 + 5 + 3 - 6 = -1. */
START_TEST(clrs_exercise_2_names_the_loop) {
  const row rows[] = {{1, 2, 4}, {1, 5, 5},  {2, 4, -6}, {3, 2, 1}, {4, 1, 3},
                      {4, 3, 5}, {4, 5, 10}, {5, 3, -4}, {5, 4, -8}};
  const int walk[] = {4, 2, 3, 7, 1}; /* from x1: x4, x2, x3, x5, x1 */
  gw_net *net = net_of(5, rows, COUNT(rows));
  gw_arena *arena = gw_arena_new();
  int64_t x[5];
  gw_net_cycle found[3];
  ck_assert_int_eq(gw_net_solve(net, arena, x, &found[0]), GW_OK);
  ck_assert_int_eq(gw_net_smallest_cycle(net, arena, &found[1]), GW_OK);
  int count;
  ck_assert_int_eq(gw_net_bad_cycles(net, arena, 1, &found[2], &count), GW_OK);
  ck_assert_int_eq(count, 1);
  for (int k = 0; k < 3; k++) {
    ck_assert_int_eq(found[k].length, 5);
    ck_assert_int_eq(found[k].sum, -1);
    int64_t sum = 0;
    for (int c = 0; c < 5; c++) sum += rows[found[k].constraints[c]].w;
    ck_assert_int_eq(sum, -1);
    for (int c = 0; c < 5; c++) ck_assert_int_eq(found[k].constraints[c], walk[c]);
  }
  ck_assert(found[1].smallest);
  gw_arena_free(arena);
  gw_net_free(net);
}
END_TEST

/* cs.stackexchange.com question 35351, system and solution as published. */
START_TEST(stackexchange_35351) {
  const row rows[] = {{1, 4, 1}, {2, 1, 2}, {2, 4, 0}, {3, 1, 1}, {4, 1, -1}, {4, 3, -2}};
  const int64_t x[] = {-1, -2, 0, -2};
  expect_solution(4, rows, COUNT(rows), x);
}
END_TEST

/* Dechter, Meiri and Pearl, "Temporal constraint networks", 1991: John and
 * Fred.  Constraints from memory; the distances recomputed. */
static gw_net *john_and_fred(void) {
  gw_net *net = gw_net_new();
  ck_assert_int_eq(gw_net_add_nodes(net, 5, NULL), GW_OK);
  ck_assert_int_eq(gw_net_between(net, 0, 1, 10, 20, 1), GW_OK);
  ck_assert_int_eq(gw_net_between(net, 1, 2, 30, 40, 2), GW_OK);
  ck_assert_int_eq(gw_net_between(net, 3, 4, 40, 50, 3), GW_OK);
  ck_assert_int_eq(gw_net_between(net, 3, 2, 10, 20, 4), GW_OK);
  ck_assert_int_eq(gw_net_between(net, 0, 4, 60, 70, 5), GW_OK);
  return net;
}

START_TEST(dechter_distances) {
  const int64_t d[5][5] = {{0, 20, 50, 30, 70},
                           {-10, 0, 40, 20, 60},
                           {-40, -30, 0, -10, 30},
                           {-20, -10, 20, 0, 50},
                           {-60, -50, -20, -40, 0}};
  gw_net *net = john_and_fred();
  for (int i = 0; i < 5; i++) {
    int64_t least[5], most[5];
    ck_assert_int_eq(gw_net_range(net, i, least, most), GW_OK);
    for (int j = 0; j < 5; j++) {
      int64_t lo, hi;
      ck_assert_int_eq(gw_net_slack(net, i, j, &lo, &hi), GW_OK);
      ck_assert_int_eq(hi, d[i][j]);
      ck_assert_int_eq(lo, -d[j][i]);
      ck_assert_int_eq(most[j], hi);
      ck_assert_int_eq(least[j], lo);
    }
  }
  gw_net_free(net);
}
END_TEST

START_TEST(dechter_step_by_step) {
  const int64_t least[] = {0, 10, 40, 20, 60}, most[] = {0, 20, 50, 30, 70};
  gw_net *net = john_and_fred();
  gw_net_trail *trail;
  bool ok;
  ck_assert_int_eq(gw_net_trail_new(net, 0, GW_NET_FAR, &trail, &ok), GW_OK);
  ck_assert(ok);
  ck_assert_int_eq(gw_net_trail_lower(trail, 0, 0, &ok), GW_OK);
  ck_assert(ok);
  for (int v = 0; v < 5; v++) {
    ck_assert_int_eq(gw_net_trail_least(trail, v), least[v]);
    ck_assert_int_eq(gw_net_trail_most(trail, v), most[v]);
  }
  ck_assert_int_eq(gw_net_trail_push(trail), GW_OK);
  ck_assert_int_eq(gw_net_trail_apart(trail, 1, 3, 21, &ok), GW_OK); /* at most 20 */
  ck_assert(!ok);
  gw_net_trail_pop(trail);
  ck_assert_int_eq(gw_net_trail_apart(trail, 1, 3, 20, &ok), GW_OK);
  ck_assert(ok);
  ck_assert_int_eq(gw_net_trail_least(trail, 3), 30);
  ck_assert_int_eq(gw_net_trail_most(trail, 1), 10);
  gw_net_trail_free(trail);
  gw_net_free(net);
}
END_TEST

/* ---- cycles ------------------------------------------------------------------------ */

/* A long bad loop and a short one that share no constraint, and a short one
 * that is less bad than another of its size: worked by hand. */
START_TEST(smallest_then_the_rest) {
  const row rows[] = {{2, 1, 1}, {3, 2, 1}, {4, 3, 1}, {1, 4, -9}, /* 1 2 3 4: -6 */
                      {6, 5, 2}, {5, 6, -3},                       /* 5 6: -1 */
                      {8, 7, 2}, {7, 8, -4},                       /* 7 8: -2 */
                      {5, 4, 0}, {7, 6, 0}};
  gw_net *net = net_of(8, rows, COUNT(rows));
  gw_arena *arena = gw_arena_new();
  gw_net_cycle c[9];
  int count;
  ck_assert_int_eq(gw_net_bad_cycles(net, arena, 9, c, &count), GW_OK);
  ck_assert_int_eq(count, 3);
  ck_assert(c[0].length == 2 && c[0].sum == -2 && c[0].constraints[0] == 6);
  ck_assert(c[1].length == 2 && c[1].sum == -1 && c[1].constraints[0] == 4);
  ck_assert(c[2].length == 4 && c[2].sum == -6 && c[2].constraints[0] == 0);
  ck_assert(c[0].smallest && c[1].smallest && c[2].smallest);
  ck_assert_int_eq(gw_net_bad_cycles(net, arena, 2, c, &count), GW_OK);
  ck_assert_int_eq(count, 2);
  gw_arena_free(arena);
  gw_net_free(net);
}
END_TEST

START_TEST(a_constraint_on_itself) {
  const row fine[] = {{1, 1, 0}}, bad[] = {{1, 2, 5}, {2, 2, -1}, {1, 1, -3}};
  const int64_t x[] = {0};
  expect_solution(1, fine, 1, x);
  gw_net *net = net_of(2, bad, 3);
  gw_arena *arena = gw_arena_new();
  gw_net_cycle c;
  ck_assert_int_eq(gw_net_smallest_cycle(net, arena, &c), GW_OK);
  ck_assert(c.length == 1 && c.sum == -3 && c.constraints[0] == 2);
  gw_arena_free(arena);
  gw_net_free(net);
}
END_TEST

/* Tags and added constraints: the system is judged anew after each change. */
START_TEST(constraints_can_follow) {
  gw_net *net = gw_net_new();
  gw_arena *arena = gw_arena_new();
  gw_net_cycle c;
  int64_t x[2];
  int first = -1;
  ck_assert_int_eq(gw_net_add_nodes(net, 1, NULL), GW_OK);
  ck_assert_int_eq(gw_net_add_nodes(net, 1, &first), GW_OK);
  ck_assert_int_eq(first, 1);
  ck_assert_int_eq(gw_net_between(net, 0, 1, 3, 4, 77), GW_OK);
  ck_assert_int_eq(gw_net_solve(net, arena, x, &c), GW_OK);
  ck_assert(c.length == 0 && x[1] == 0 && x[0] == -3);
  ck_assert_int_eq(gw_net_between(net, 0, 1, 5, GW_NET_FAR, 78), GW_OK);
  ck_assert_int_eq(gw_net_constraints(net), 3);
  ck_assert_int_eq(gw_net_solve(net, arena, x, &c), GW_OK);
  ck_assert(c.length == 2 && c.sum == -1);
  ck_assert_int_eq(gw_net_arc_at(net, c.constraints[0])->tag, 77);
  ck_assert_int_eq(gw_net_arc_at(net, c.constraints[1])->tag, 78);
  int64_t lo, hi;
  ck_assert_int_eq(gw_net_slack(net, 0, 1, &lo, &hi), GW_BAD_INPUT);
  gw_arena_free(arena);
  gw_net_free(net);
}
END_TEST

START_TEST(limits_are_refused) {
  gw_net *net = gw_net_new();
  gw_arena *arena = gw_arena_new();
  gw_net_cycle c;
  int64_t x[4];
  ck_assert_int_eq(gw_net_add_nodes(net, 4, NULL), GW_OK);
  ck_assert_int_eq(gw_net_add_nodes(net, -1, NULL), GW_BAD_INPUT);
  ck_assert_int_eq(gw_net_at_most(net, 0, 4, 1, 0), GW_BAD_INPUT);
  ck_assert_int_eq(gw_net_at_most(net, -1, 0, 1, 0), GW_BAD_INPUT);
  ck_assert_int_eq(gw_net_at_most(net, 0, 1, INT64_MIN, 0), GW_TOO_LARGE);
  ck_assert_int_eq(gw_net_at_most(net, 0, 1, GW_NET_SUM_MAX / 5, 0), GW_OK);
  ck_assert_int_eq(gw_net_solve(net, arena, x, &c), GW_OK);
  ck_assert_int_eq(gw_net_at_most(net, 0, 1, GW_NET_SUM_MAX, 0), GW_OK);
  ck_assert_int_eq(gw_net_solve(net, arena, x, &c), GW_TOO_LARGE);
  ck_assert_int_eq(gw_net_range(net, 4, x, x), GW_BAD_INPUT);
  gw_arena_free(arena);
  gw_net_free(net);
}
END_TEST

START_TEST(nothing_is_fine) {
  gw_net *net = gw_net_new();
  gw_arena *arena = gw_arena_new();
  gw_net_cycle c;
  int64_t x[2], least[2], most[2];
  ck_assert_int_eq(gw_net_solve(net, arena, x, &c), GW_OK);
  ck_assert_int_eq(c.length, 0);
  ck_assert_int_eq(gw_net_add_nodes(net, 2, NULL), GW_OK);
  ck_assert_int_eq(gw_net_range(net, 0, least, most), GW_OK);
  ck_assert(least[0] == 0 && most[0] == 0);
  ck_assert(least[1] == -GW_NET_FAR && most[1] == GW_NET_FAR);
  gw_arena_free(arena);
  gw_net_free(net);
}
END_TEST

/* ---- a large one ---------------------------------------------------------------------- */

/* A board of 200 x 200 nodes whose neighbours are all a known distance apart:
 * solved as built; then one distance is 7 out, and the loop named must be the
 * square it stands in. */
START_TEST(a_large_board_with_one_wrong_size) {
  enum { SIDE = 200, NODES = SIDE * SIDE, WRONG = 60 * SIDE + 70 };
  for (int wrong = 0; wrong <= 7; wrong += 7) {
    gw_net *net = gw_net_new();
    gw_arena *arena = gw_arena_new();
    gw_net_cycle c;
    int64_t *x = gw_arena_alloc(arena, NODES, sizeof *x);
    ck_assert_int_eq(gw_net_add_nodes(net, NODES, NULL), GW_OK);
    for (int v = 0; v < NODES; v++) {
      int64_t across = (v % SIDE) * 31 + 5, down = (v / SIDE) * 17 - 400;
      if (v == WRONG) across += wrong;
      if (v % SIDE + 1 < SIDE) gw_net_between(net, v, v + 1, across, across, v);
      if (v / SIDE + 1 < SIDE) gw_net_between(net, v, v + SIDE, down, down, NODES + v);
    }
    ck_assert_int_eq(gw_net_smallest_cycle(net, arena, &c), GW_OK);
    ck_assert_int_eq(c.length, wrong ? 4 : 0);
    ck_assert_int_eq(c.sum, -wrong);
    int named = 0;
    for (int k = 0; k < c.length; k++) named += gw_net_arc_at(net, c.constraints[k])->tag == WRONG;
    ck_assert_int_eq(named, wrong ? 1 : 0);
    ck_assert_int_eq(gw_net_solve(net, arena, x, &c), GW_OK);
    for (int k = 0; wrong == 0 && k < gw_net_constraints(net); k++) {
      const gw_net_arc *a = gw_net_arc_at(net, k);
      ck_assert(x[a->to] - x[a->from] <= a->w);
    }
    gw_arena_free(arena);
    gw_net_free(net);
  }
}
END_TEST

/* ---- step by step against solving afresh ------------------------------------------------ */

static uint32_t draw(uint32_t *seed, uint32_t below) {
  *seed = *seed * 1664525u + 1013904223u; /* Numerical Recipes' generator */
  return (*seed >> 8) % below;
}

enum { TRAIL_NODES = 8, MOST_LINKS = 64, HORIZON = 60 };

typedef struct script {
  int i[MOST_LINKS], j[MOST_LINKS], count;
  int64_t lag[MOST_LINKS];
} script;

/* Bounds by plain repetition; false when one passes its opposite. */
static bool plain_bounds(const script *s, int64_t *least, int64_t *most) {
  for (int v = 0; v < TRAIL_NODES; v++) {
    least[v] = 0;
    most[v] = HORIZON;
  }
  for (bool again = true; again;) {
    again = false;
    for (int k = 0; k < s->count; k++) {
      int i = s->i[k], j = s->j[k];
      if (least[i] + s->lag[k] > least[j]) {
        least[j] = least[i] + s->lag[k];
        again = true;
      }
      if (most[j] - s->lag[k] < most[i]) {
        most[i] = most[j] - s->lag[k];
        again = true;
      }
      if (least[j] > most[j] || least[i] > most[i]) return false;
    }
  }
  return true;
}

static void same_as_plain(const gw_net_trail *trail, const script *s) {
  int64_t least[TRAIL_NODES], most[TRAIL_NODES];
  ck_assert(plain_bounds(s, least, most));
  for (int v = 0; v < TRAIL_NODES; v++) {
    ck_assert_int_eq(gw_net_trail_least(trail, v), least[v]);
    ck_assert_int_eq(gw_net_trail_most(trail, v), most[v]);
  }
}

/* A random link; adds it to the script, which is taken back when it fails. */
static bool random_link(gw_net_trail *trail, script *s, uint32_t *seed) {
  int64_t least[TRAIL_NODES], most[TRAIL_NODES];
  int k = s->count++;
  s->i[k] = (int)draw(seed, TRAIL_NODES);
  s->j[k] = (int)draw(seed, TRAIL_NODES);
  s->lag[k] = (int64_t)draw(seed, 40) - 25;
  bool ok;
  ck_assert_int_eq(gw_net_trail_apart(trail, s->i[k], s->j[k], s->lag[k], &ok), GW_OK);
  bool plain = plain_bounds(s, least, most) && (s->i[k] != s->j[k] || s->lag[k] <= 0);
  ck_assert(ok == plain);
  return ok;
}

START_TEST(steps_agree_with_solving_afresh) {
  uint32_t seed = (uint32_t)_i;
  gw_net *net = gw_net_new();
  gw_net_trail *trail;
  script s = {.count = 0};
  int depth = 0, counts[200], failures = 0;
  bool ok;
  ck_assert_int_eq(gw_net_add_nodes(net, TRAIL_NODES, NULL), GW_OK);
  ck_assert_int_eq(gw_net_trail_new(net, 0, HORIZON, &trail, &ok), GW_OK);
  ck_assert(ok);
  for (int step = 0; step < 400; step++) {
    bool back = depth > 0 && (draw(&seed, 3) == 0 || s.count > 50 || depth > 150);
    if (!back) {
      ck_assert_int_eq(gw_net_trail_push(trail), GW_OK);
      counts[depth++] = s.count;
      back = !random_link(trail, &s, &seed);
      failures += back;
    }
    if (back) {
      gw_net_trail_pop(trail);
      s.count = counts[--depth];
    }
    same_as_plain(trail, &s);
  }
  ck_assert_int_gt(failures, 0);
  gw_net_trail_free(trail);
  gw_net_free(net);
}
END_TEST

/* Without a latest time, a cycle that cannot close is found by itself. */
START_TEST(steps_find_cycles_without_an_end) {
  gw_net *net = gw_net_new();
  gw_net_trail *trail;
  bool ok;
  ck_assert_int_eq(gw_net_add_nodes(net, 3, NULL), GW_OK);
  ck_assert_int_eq(gw_net_at_most(net, 1, 0, -5, 0), GW_OK); /* x0 <= x1 - 5 */
  ck_assert_int_eq(gw_net_at_most(net, 2, 1, -5, 0), GW_OK);
  ck_assert_int_eq(gw_net_trail_new(net, 0, GW_NET_FAR, &trail, &ok), GW_OK);
  ck_assert(ok);
  ck_assert_int_eq(gw_net_trail_least(trail, 2), 10);
  ck_assert_int_eq(gw_net_trail_most(trail, 2), GW_NET_FAR);
  ck_assert_int_eq(gw_net_trail_push(trail), GW_OK);
  ck_assert_int_eq(gw_net_trail_apart(trail, 2, 0, -9, &ok), GW_OK);
  ck_assert(!ok);
  gw_net_trail_pop(trail);
  ck_assert_int_eq(gw_net_trail_apart(trail, 2, 0, -10, &ok), GW_OK);
  ck_assert(ok);
  ck_assert_int_eq(gw_net_trail_raise(trail, 0, 3, &ok), GW_OK);
  ck_assert(ok);
  ck_assert_int_eq(gw_net_trail_least(trail, 2), 13);
  ck_assert_int_eq(gw_net_trail_raise(trail, 0, INT64_MAX, &ok), GW_TOO_LARGE);
  gw_net_trail_free(trail);
  ck_assert_int_eq(gw_net_at_most(net, 0, 2, 9, 0), GW_OK);
  ck_assert_int_eq(gw_net_trail_new(net, 0, GW_NET_FAR, &trail, &ok), GW_OK);
  ck_assert(!ok);
  gw_net_trail_free(trail);
  gw_net_free(net);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("network");
  TCase *books = tcase_create("published systems");
  tcase_add_test(books, clrs_main_example);
  tcase_add_test(books, clrs_exercise_1);
  tcase_add_test(books, clrs_exercise_2_names_the_loop);
  tcase_add_test(books, stackexchange_35351);
  tcase_add_test(books, dechter_distances);
  tcase_add_test(books, dechter_step_by_step);
  suite_add_tcase(suite, books);
  TCase *own = tcase_create("own systems");
  tcase_set_timeout(own, 30);
  tcase_add_test(own, smallest_then_the_rest);
  tcase_add_test(own, a_constraint_on_itself);
  tcase_add_test(own, constraints_can_follow);
  tcase_add_test(own, limits_are_refused);
  tcase_add_test(own, nothing_is_fine);
  tcase_add_test(own, a_large_board_with_one_wrong_size);
  tcase_add_loop_test(own, steps_agree_with_solving_afresh, 0, 50);
  tcase_add_test(own, steps_find_cycles_without_an_end);
  suite_add_tcase(suite, own);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? 0 : 1;
}
