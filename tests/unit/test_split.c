/* The core of the order room against brute force, counts and made pieces. */
#include <stdio.h>

#include "order/split_internal.h"
#include "split_oracle.h"

/* ---- random problems ---- */

#define MAX_ARCS 512

typedef struct sample {
  gw_split_problem p;
  int64_t mass[8];
  int dir_cost[8], dir_opposite[8];
  gw_split_arc arcs[MAX_ARCS];
  gw_split_joint joints[24];
  gw_split_wish wishes[4];
  int groups[4][8];
  uint64_t seed;
} sample;

/* SplitMix64 (Steele, Lea, Flood 2014), from memory: any good mixer would do. */
static uint64_t next_random(sample *s) {
  uint64_t z = (s->seed += UINT64_C(0x9E3779B97F4A7C15));
  z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
  z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
  return z ^ (z >> 31);
}
static int pick(sample *s, int n) { return (int)(next_random(s) % (uint64_t)n); }

static void random_dirs(sample *s) {
  static const int kinds[][2] = {{6, 6}, {4, 4}, {2, 2}, {3, 0}, {1, 0}, {5, 4}};
  const int *kind = kinds[pick(s, 6)];
  s->p.n_dirs = kind[0];
  for (int d = 0; d < kind[0]; d++) {
    s->dir_opposite[d] = d < kind[1] ? d ^ 1 : -1;
    s->dir_cost[d] = pick(s, 4);
  }
  s->p.dir_cost = s->dir_cost;
  s->p.dir_opposite = s->dir_opposite;
}

static void random_joints(sample *s) {
  int n = s->p.n_parts, whole = pick(s, 10) > 0;
  for (int v = 1; v < n && whole; v++)
    s->joints[s->p.n_joints++] = (gw_split_joint){.a = v, .b = pick(s, v)};
  for (int more = pick(s, 2 * n); more > 0; more--) {
    int a = pick(s, n), b = pick(s, n);
    if (a != b) s->joints[s->p.n_joints++] = (gw_split_joint){.a = a, .b = b};
  }
  for (int j = 0; j < s->p.n_joints; j++) {
    gw_split_joint *joint = &s->joints[j];
    joint->glued = pick(s, 3) > 0;
    joint->slide = pick(s, 3) ? 0 : pick(s, 400);
    joint->mover = pick(s, 3) ? -1 : pick(s, 2) ? joint->a : joint->b;
  }
  s->p.joints = s->joints;
}

/* Weights out of all proportion, so that each term decides now and then. */
static void random_weights(sample *s) {
  gw_split_weights *w = &s->p.weights;
  int64_t *terms[] = {&w->align, &w->beside, &w->loose,  &w->hands,  &w->dir,
                      &w->mass,  &w->slide,  &w->turn,   &w->turned, &w->against};
  for (size_t i = 0; i < sizeof terms / sizeof *terms; i++)
    *terms[i] = pick(s, 3) ? pick(s, 10000) : 0;
}

static int joint_between(const sample *s, int a, int b) {
  for (int j = 0; j < s->p.n_joints; j++)
    if ((s->joints[j].a == a && s->joints[j].b == b) ||
        (s->joints[j].a == b && s->joints[j].b == a))
      return j;
  return -1;
}

static void random_arcs(sample *s) {
  int n = s->p.n_parts, percent = pick(s, 70);
  for (int d = 0; d < s->p.n_dirs; d++)
    for (int a = 0; a < n; a++)
      for (int b = 0; b < n; b++)
        if (a != b && pick(s, 100) < percent && s->p.n_arcs < MAX_ARCS)
          s->arcs[s->p.n_arcs++] = (gw_split_arc){d, a, b, joint_between(s, a, b)};
  s->p.arcs = s->arcs;
}

static void random_problem(sample *s, uint64_t seed, int max_parts) {
  memset(s, 0, sizeof *s);
  s->seed = seed;
  s->p = gw_split_problem_default();
  s->p.n_parts = 2 + pick(s, max_parts - 1);
  s->p.hands = 1 + pick(s, 2);
  for (int v = 0; v < s->p.n_parts; v++) s->mass[v] = pick(s, 5000);
  s->p.mass_g = s->mass;
  if (pick(s, 4) == 0) random_weights(s);
  random_dirs(s);
  random_joints(s);
  random_arcs(s);
}

static void random_wishes(sample *s) {
  s->p.n_wishes = 1 + pick(s, 4);
  s->p.wishes = s->wishes;
  for (int i = 0; i < s->p.n_wishes; i++) {
    gw_split_wish *w = &s->wishes[i];
    w->kind = s->p.n_joints > 1 ? (gw_split_wish_kind)pick(s, 3) : GW_SPLIT_GROUP_FIRST;
    w->strict = pick(s, 2);
    if (w->kind == GW_SPLIT_GROUP_FIRST) {
      w->parts = s->groups[i];
      for (int v = 0; v < s->p.n_parts; v++)
        if (pick(s, 2) || (v + 1 == s->p.n_parts && w->n_parts == 0))
          s->groups[i][w->n_parts++] = v;
    } else {
      int n = w->kind == GW_SPLIT_PART_BEFORE ? s->p.n_parts : s->p.n_joints;
      w->x = pick(s, n);
      w->y = (w->x + 1 + pick(s, n - 1)) % n;
    }
  }
}

static gw_split_result *solved(const gw_split_problem *p) {
  gw_split_result *result;
  gw_error err = {0};
  gw_status status = gw_split_solve(p, &result, &err);
  ck_assert_msg(status == GW_OK, "%s", err.words);
  return result;
}

/* ---- locks ---- */

static bool has_arc(const gw_split_problem *p, int d, int mover, int blocker) {
  for (size_t i = 0; i < p->n_arcs; i++) {
    const gw_split_arc *a = &p->arcs[i];
    if (a->dir == d && a->mover == mover && a->blocker == blocker) return true;
    if (a->dir == opposite(p, d) && a->mover == blocker && a->blocker == mover) return true;
  }
  return false;
}

static void check_walk(const gw_split_problem *p, const gw_split_walk *walk, unsigned set) {
  unsigned seen = 0;
  for (int i = 0; i < walk->n_parts; i++) {
    int v = walk->parts[i], w = walk->parts[(i + 1) % walk->n_parts];
    seen |= 1u << v;
    ck_assert(has_arc(p, walk->dir, v, w));
  }
  ck_assert_uint_eq(seen, set);
}

static void check_keys(const gw_split_problem *p, const gw_split_lock *lock, unsigned set) {
  unsigned all = (1u << p->n_parts) - 1;
  int k = 0;
  for (int j = 0; j < p->n_joints; j++) {
    if (!has(set, p->joints[j].a) || !has(set, p->joints[j].b)) continue;
    if (is_locked(p, set, j)) continue;
    ck_assert_int_lt(k, lock->n_keys);
    ck_assert_int_eq(lock->keys[k].joint, j);
    ck_assert_int_eq(lock->keys[k].whole, !holds_lock(p, all, j));
    k++;
  }
  ck_assert_int_eq(k, lock->n_keys);
}

static void check_lock(const gw_split_problem *p, const gw_split_lock *lock) {
  unsigned set = 0;
  for (int i = 0; i < lock->n_parts; i++) set |= 1u << lock->parts[i];
  ck_assert_int_ge(lock->n_parts, 2);
  ck_assert_int_ge(lock->around, lock->n_parts);
  ck_assert(is_locked(p, set, -1));
  for (unsigned s = (set - 1) & set; s; s = (s - 1) & set)
    ck_assert(count_bits(s) < 2 || !is_locked(p, s, -1));
  ck_assert_int_eq(lock->n_walks, p->n_dirs);
  for (int i = 0; i < lock->n_walks; i++) {
    ck_assert_int_eq(lock->walks[i].dir, i);
    check_walk(p, &lock->walks[i], set);
  }
  check_keys(p, lock, set);
}

/* ---- tests on random problems ---- */

START_TEST(random_agree) {
  static sample s;
  int orders = 0, locked = 0, over_hands = 0, loose = 0;
  for (uint64_t seed = 1; seed <= 6000; seed++) {
    random_problem(&s, seed, seed % 12 == 0 ? 7 : 6);
    int64_t best = brute_best(&s.p);
    gw_split_result *r = solved(&s.p);
    if (best == NEVER) {
      ck_assert_int_eq(r->kind, GW_SPLIT_LOCKED);
      ck_assert_int_gt(r->n_locks, 0);
      for (int i = 0; i < r->n_locks; i++) check_lock(&s.p, &r->locks[i]);
      locked++;
    } else {
      replay_order(&s.p, r);
      check_costs(&s.p, r);
      ck_assert_int_eq(r->proof, GW_SPLIT_OPTIMAL);
      ck_assert_msg(r->cost == best, "seed %d", (int)seed);
      orders++;
      for (int i = 0; i < r->n_joins; i++) {
        over_hands += r->joins[i].over_hands;
        loose += r->joins[i].loose;
      }
    }
    gw_split_free(r);
  }
  printf("random: %d orders, %d locked, %d joins over hands, %d loose\n", orders, locked,
         over_hands, loose);
  ck_assert_int_ge(orders, 1500);
  ck_assert_int_ge(locked, 1500);
  ck_assert_int_ge(over_hands, 20); /* the rare ways are walked too */
  ck_assert_int_ge(loose, 20);
}
END_TEST

/* Never once does taking a wrong split first lead to a dead end. */
START_TEST(splitting_needs_no_going_back) {
  static sample s;
  int tried = 0;
  for (uint64_t seed = 20001; seed <= 21000; seed++) {
    random_problem(&s, seed, 6);
    unsigned all = (1u << s.p.n_parts) - 1;
    if (brute_best(&s.p) == NEVER) continue;
    tried++;
    ck_assert(!holds_lock(&s.p, all, -1));
    for (unsigned set = 1; set <= all; set++) /* so every group met can be split */
      ck_assert(count_bits(set) < 2 || !is_locked(&s.p, set, -1));
  }
  ck_assert_int_ge(tried, 200);
}
END_TEST

/* ---- quick and large ---- */

/* The bounded way on the same problems: never better than the best, its bound
 * never above it. */
START_TEST(bounded_brackets_best) {
  static sample s;
  int orders = 0;
  for (uint64_t seed = 30001; seed <= 31000; seed++) {
    random_problem(&s, seed, 6);
    s.p.exact_limit = 0;
    int64_t best = brute_best(&s.p);
    gw_split_result *r = solved(&s.p);
    ck_assert_int_eq(r->kind == GW_SPLIT_LOCKED, best == NEVER);
    if (best != NEVER) {
      replay_order(&s.p, r);
      check_costs(&s.p, r);
      ck_assert_int_ge(r->cost, best);
      ck_assert_int_le(r->bound, best);
      orders++;
    }
    gw_split_free(r);
  }
  ck_assert_int_ge(orders, 300);
}
END_TEST

/* A spent budget still gives an order, and says that it is not proven. */
START_TEST(small_budget_still_gives_an_order) {
  static sample s;
  int unproven = 0;
  for (uint64_t seed = 40001; seed <= 40400; seed++) {
    random_problem(&s, seed, 7);
    s.p.node_budget = 8;
    int64_t best = brute_best(&s.p);
    gw_split_result *r = solved(&s.p);
    if (best != NEVER) {
      replay_order(&s.p, r);
      check_costs(&s.p, r);
      ck_assert_int_ge(r->cost, best);
      ck_assert_int_le(r->bound, best);
      if (r->proof == GW_SPLIT_OPTIMAL) ck_assert_int_eq(r->cost, best);
      unproven += r->proof == GW_SPLIT_BOUND;
    }
    gw_split_free(r);
  }
  ck_assert_int_ge(unproven, 20);
}
END_TEST

/* The way of large pieces, down to single parts, on small ones: one order of
 * those that can be written out, never one that is better than the best. */
static bool greedy_order(const gw_split_problem *p, bool even, gw_split_result *r) {
  gw_split_graph g;
  gw_split_plan plan = {0};
  bool active[4] = {true, true, true, true}, found = false;
  ck_assert_int_eq(gw_split_graph_make(p, r->arena, &g), GW_OK);
  gw_split_search s = {.g = &g, .active = active, .leaf = 1, .limit = 100000};
  ck_assert_int_eq(gw_split_greedy(&s, even, &plan, &found), GW_OK);
  if (found) ck_assert_int_eq(gw_split_plan_write(&g, &plan, r), GW_OK);
  ck_assert_int_eq(gw_split_bound(&g, &r->bound), GW_OK);
  free(plan.steps);
  return found;
}

typedef struct greedy_sums {
  int orders, over_hands, none; /* none: wishes that it could not keep, though they can be */
  double ratio;
} greedy_sums;

static void check_greedy(const gw_split_problem *p, bool even, int64_t best, greedy_sums *sums) {
  gw_split_result r = {.kind = GW_SPLIT_ORDER, .n_parts = p->n_parts, .arena = gw_arena_new()};
  ck_assert_ptr_nonnull(r.arena);
  if (greedy_order(p, even, &r)) {
    r.proof = GW_SPLIT_BOUND;
    sequence q = sequence_of(&r);
    replay_order(p, &r);
    check_costs(p, &r);
    ck_assert(keeps_all(p, (1u << p->n_wishes) - 1, &q, (1u << p->n_parts) - 1));
    ck_assert_int_ge(r.cost, best);
    ck_assert_int_le(r.bound, best);
    sums->orders++;
    sums->ratio += best > 0 ? (double)r.cost / (double)best : 1;
    for (int i = 0; i < r.n_joins; i++) sums->over_hands += r.joins[i].over_hands;
  } else {
    ck_assert_int_gt(p->n_wishes, 0);
    sums->none += best != NEVER;
  }
  gw_arena_free(r.arena);
}

START_TEST(greedy_on_small_problems) {
  static sample s;
  greedy_sums plain[2] = {{0}}, wished[2] = {{0}};
  for (uint64_t seed = 60001; seed <= 61500; seed++) {
    random_problem(&s, seed, 6);
    s.p.weights = gw_split_default_weights();
    int64_t best = brute_best(&s.p);
    if (best == NEVER) continue;
    for (int even = 0; even < 2; even++) check_greedy(&s.p, even, best, &plain[even]);
    if (s.p.n_parts > 5 || (s.p.n_parts == 5 && s.p.n_dirs > 2)) continue;
    random_wishes(&s);
    best = written_best(&s.p, (1u << s.p.n_wishes) - 1);
    for (int even = 0; even < 2; even++) check_greedy(&s.p, even, best, &wished[even]);
  }
  for (int even = 0; even < 2; even++) {
    printf("greedy %d: %d orders, mean cost %.3f of best, %d over hands; wishes: %d kept, %d not\n",
           even, plain[even].orders, plain[even].ratio / plain[even].orders,
           plain[even].over_hands, wished[even].orders, wished[even].none);
    ck_assert_int_ge(plain[even].orders, 500);
    ck_assert(plain[even].ratio < 1.2 * plain[even].orders); /* it is of some use */
    ck_assert_int_lt(plain[even].over_hands, 30);
    ck_assert_int_ge(wished[even].orders, 100);
    ck_assert_int_lt(10 * wished[even].none, wished[even].orders);
  }
}
END_TEST

/* ---- made pieces ---- */

enum { LEFT, RIGHT, FRONT, BACK, DOWN, UP, N_DIRS };
#define ONLY(dir) (1u << (dir))

/* What the maker lowers on costs nothing, what goes in from below most. */
static const int made_opposite[] = {RIGHT, LEFT, BACK, FRONT, UP, DOWN};
static const int made_cost[] = {1, 1, 1, 1, 2, 0};

typedef struct made {
  gw_split_problem p;
  int64_t *mass;
  gw_split_joint *joints;
  gw_split_arc *arcs;
  size_t joint_room, arc_room;
} made;

static void made_start(made *m, int n) {
  *m = (made){.p = gw_split_problem_default()};
  m->mass = calloc((size_t)n, sizeof *m->mass);
  ck_assert_ptr_nonnull(m->mass);
  m->p.n_parts = n;
  m->p.mass_g = m->mass;
  m->p.n_dirs = N_DIRS;
  m->p.dir_opposite = made_opposite;
  m->p.dir_cost = made_cost;
}

/* A joint in which a can leave b along the directions of a set only. */
static int made_joint(made *m, int a, int b, unsigned ways, bool glued) {
  int j = m->p.n_joints;
  ck_assert_int_eq(gw_grow(&m->joints, &m->joint_room, (size_t)j + 1, sizeof *m->joints), GW_OK);
  m->joints[j] = (gw_split_joint){.a = a, .b = b, .glued = glued, .mover = -1};
  m->p.joints = m->joints;
  m->p.n_joints++;
  for (int d = 0; d < N_DIRS; d++) {
    if (ways >> d & 1) continue;
    ck_assert_int_eq(gw_grow(&m->arcs, &m->arc_room, m->p.n_arcs + 1, sizeof *m->arcs), GW_OK);
    m->arcs[m->p.n_arcs++] = (gw_split_arc){d, a, b, j};
  }
  m->p.arcs = m->arcs;
  return j;
}

static void made_free(made *m) {
  free(m->mass);
  free(m->joints);
  free(m->arcs);
}

/* The join in which part v is a side, as a number. */
static int join_of(const gw_split_result *r, int v) {
  for (int i = 0; i < r->n_joins; i++)
    if (r->joins[i].moving == v || r->joins[i].base == v) return i;
  return -1;
}

static bool is_node(const gw_split_result *r, unsigned set) {
  for (int i = 0; i < r->n_joins; i++)
    if (set_of(r, r->n_parts + i) == set) return true;
  return false;
}

static gw_split_result *best_order(const made *m) {
  gw_split_result *r = solved(&m->p);
  replay_order(&m->p, r);
  check_costs(&m->p, r);
  ck_assert_int_eq(r->proof, GW_SPLIT_OPTIMAL);
  return r;
}

/* 0, 1 stiles; 2, 3 rails; 4 panel, dry in its grooves. */
START_TEST(frame_one_stile_last) {
  static const int64_t mass[] = {1500, 1500, 700, 700, 1900};
  made m;
  made_start(&m, 5);
  memcpy(m.mass, mass, sizeof mass);
  for (int rail = 2; rail < 4; rail++) {
    made_joint(&m, rail, 0, ONLY(RIGHT), true);
    made_joint(&m, rail, 1, ONLY(LEFT), true);
  }
  made_joint(&m, 4, 0, ONLY(RIGHT), false);
  made_joint(&m, 4, 1, ONLY(LEFT), false);
  made_joint(&m, 4, 2, ONLY(DOWN) | ONLY(LEFT) | ONLY(RIGHT), false);
  made_joint(&m, 4, 3, ONLY(UP) | ONLY(LEFT) | ONLY(RIGHT), false);
  gw_split_result *r = best_order(&m);
  ck_assert(is_node(r, 0xd) || is_node(r, 0xe));    /* rails onto one stile */
  ck_assert(is_node(r, 0x1d) || is_node(r, 0x1e));  /* the panel in */
  ck_assert_int_lt(r->joins[3].moving, 2);          /* the other stile last */
  ck_assert_int_eq(r->joins[3].n_joints, 3);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* 0, 1 front and back with pins; 2, 3 sides with tails; 4 bottom in grooves. */
START_TEST(chest_bottom_before_fourth_board) {
  static const int64_t mass[] = {5000, 5000, 2500, 2500, 4000};
  made m;
  made_start(&m, 5);
  memcpy(m.mass, mass, sizeof mass);
  for (int pins = 0; pins < 2; pins++)
    for (int tails = 2; tails < 4; tails++) {
      int j = made_joint(&m, tails, pins, ONLY(tails == 2 ? LEFT : RIGHT), true);
      m.joints[j].mover = tails;
    }
  made_joint(&m, 4, 0, ONLY(BACK) | ONLY(LEFT) | ONLY(RIGHT), false);
  made_joint(&m, 4, 1, ONLY(FRONT) | ONLY(LEFT) | ONLY(RIGHT), false);
  made_joint(&m, 4, 2, ONLY(RIGHT) | ONLY(FRONT) | ONLY(BACK), false);
  made_joint(&m, 4, 3, ONLY(LEFT) | ONLY(FRONT) | ONLY(BACK), false);
  gw_split_result *r = best_order(&m);
  const gw_split_join *last = &r->joins[3];
  ck_assert(last->moving == 2 || last->moving == 3); /* a tail board goes on last */
  ck_assert_int_eq(last->n_joints, 3);
  ck_assert_int_lt(join_of(r, 4), 3);
  ck_assert_int_eq(join_of(r, 4), 2); /* the bottom into three boards */
  for (int i = 0; i < r->n_joins; i++) ck_assert(!r->joins[i].over_hands);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* Legs 0 to 3 (front left, front right, back left, back right), long rails 4
 * front and 5 back, short rails 6 left and 7 right. */
static void make_table(made *m) {
  static const int64_t mass[] = {1100, 1100, 1100, 1100, 1700, 1700, 900, 900};
  made_start(m, 8);
  memcpy(m->mass, mass, sizeof mass);
  made_joint(m, 4, 0, ONLY(RIGHT), true);
  made_joint(m, 4, 1, ONLY(LEFT), true);
  made_joint(m, 5, 2, ONLY(RIGHT), true);
  made_joint(m, 5, 3, ONLY(LEFT), true);
  made_joint(m, 6, 0, ONLY(BACK), true);
  made_joint(m, 6, 2, ONLY(FRONT), true);
  made_joint(m, 7, 1, ONLY(BACK), true);
  made_joint(m, 7, 3, ONLY(FRONT), true);
}

START_TEST(table_ends_first) {
  made m;
  make_table(&m);
  gw_split_result *r = best_order(&m);
  const unsigned left = 0x45, right = 0x8a;
  ck_assert(is_node(r, left));
  ck_assert(is_node(r, right));
  ck_assert(is_node(r, left | 0x30) || is_node(r, right | 0x30)); /* long rails onto one end */
  unsigned moved = set_of(r, r->joins[6].moving);
  ck_assert(moved == left || moved == right); /* the other end last */
  ck_assert_int_eq(r->joins[6].n_joints, 2);
  /* Both ends are built alike: the same steps, part for part. */
  static const int mirror[] = {1, 0, 3, 2, 5, 4, 7, 6};
  for (int i = 0; i < r->n_joins; i++) {
    unsigned set = set_of(r, r->n_parts + i), other = 0;
    if (set & ~left) continue;
    for (int v = 0; v < 8; v++)
      if (has(set, v)) other |= 1u << mirror[v];
    ck_assert(is_node(r, other));
  }
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* Sides 0 and 1, shelves 2 to 6; the piece lies on side 0, so that what leaves
 * to the right is lowered on. */
START_TEST(bookcase_side_last) {
  static const int lying[] = {2, 0, 1, 1, 1, 1};
  made m;
  made_start(&m, 7);
  m.p.dir_cost = lying;
  for (int v = 0; v < 7; v++) m.mass[v] = v < 2 ? 6000 : 2000;
  for (int shelf = 2; shelf < 7; shelf++) {
    made_joint(&m, shelf, 0, ONLY(RIGHT), true);
    made_joint(&m, shelf, 1, ONLY(LEFT), true);
  }
  gw_split_result *r = best_order(&m);
  for (int i = 0; i < 5; i++) { /* shelf by shelf, in order, onto side 0 */
    ck_assert_int_eq(r->joins[i].moving, 2 + i);
    ck_assert_int_eq(r->joins[i].n_joints, 1);
    ck_assert_int_eq(r->joins[i].dir, RIGHT);
  }
  ck_assert_int_eq(r->joins[5].moving, 1);
  ck_assert_int_eq(r->joins[5].n_joints, 5);
  ck_assert_int_eq(r->joins[5].dir, RIGHT);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* 1 and 2 are joined to 0 only, but neither leaves it without the other. */
START_TEST(loose_parts_are_flagged) {
  made m;
  made_start(&m, 3);
  made_joint(&m, 1, 0, ONLY(UP), true);
  made_joint(&m, 2, 0, ONLY(UP), true);
  gw_split_arc more[] = {{UP, 1, 2, -1}, {UP, 2, 1, -1}};
  for (int i = 0; i < 2; i++) {
    ck_assert_int_eq(gw_grow(&m.arcs, &m.arc_room, m.p.n_arcs + 1, sizeof *m.arcs), GW_OK);
    m.arcs[m.p.n_arcs++] = more[i];
  }
  m.p.arcs = m.arcs;
  gw_split_result *r = best_order(&m);
  ck_assert_int_eq(r->n_joins, 2);
  ck_assert(r->joins[0].loose);
  ck_assert_int_eq(r->joins[0].n_joints, 0);
  ck_assert(!r->joins[1].loose);
  ck_assert_int_eq(r->joins[1].bodies, 3);
  ck_assert(r->joins[1].over_hands); /* one pair of hands */
  gw_split_free(r);
  m.p.hands = 2;
  r = best_order(&m);
  ck_assert(!r->joins[1].over_hands);
  gw_split_free(r);
  /* Laying loose costs nothing but a body more to hold: the bound allows for it. */
  static const int steep[] = {0, 0, 0, 0, 5, 5};
  m.p.dir_cost = steep;
  m.p.weights = (gw_split_weights){.dir = 1};
  r = best_order(&m);
  ck_assert_int_eq(r->cost, 5);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* ---- locks ---- */

/* Four parts, each stopped by the next in every direction. */
START_TEST(ring_of_four_is_locked) {
  made m;
  made_start(&m, 6);
  for (int v = 0; v < 4; v++) made_joint(&m, v, (v + 1) % 4, 0, true);
  made_joint(&m, 4, 0, ONLY(UP), true); /* two that come off */
  made_joint(&m, 5, 4, ONLY(UP), true);
  m.p.n_arcs = 0;
  for (int d = 0; d < N_DIRS; d += 2)
    for (int v = 0; v < 4; v++) m.arcs[m.p.n_arcs++] = (gw_split_arc){d, v, (v + 1) % 4, v};
  gw_split_result *r = solved(&m.p);
  ck_assert_int_eq(r->kind, GW_SPLIT_LOCKED);
  ck_assert_int_eq(r->n_locks, 1);
  ck_assert_int_eq(r->locks[0].n_parts, 4);
  for (int i = 0; i < 4; i++) ck_assert_int_eq(r->locks[0].parts[i], i);
  check_lock(&m.p, &r->locks[0]);
  for (int d = 0; d < N_DIRS; d++) ck_assert_int_eq(r->locks[0].walks[d].n_parts, 4);
  ck_assert_int_eq(r->locks[0].n_keys, 4); /* any one joint left out frees it */
  for (int k = 0; k < 4; k++) ck_assert(r->locks[0].keys[k].whole);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* Two locked pairs far apart: each is named, neither key frees the whole. */
START_TEST(two_locks_are_both_named) {
  made m;
  made_start(&m, 5);
  made_joint(&m, 0, 1, 0, true);
  made_joint(&m, 1, 2, ONLY(UP), true);
  made_joint(&m, 3, 4, 0, true);
  gw_split_result *r = solved(&m.p);
  ck_assert_int_eq(r->n_locks, 2);
  for (int i = 0; i < 2; i++) {
    check_lock(&m.p, &r->locks[i]);
    ck_assert_int_eq(r->locks[i].n_parts, 2);
    ck_assert_int_eq(r->locks[i].parts[0], 3 * i);
    ck_assert_int_eq(r->locks[i].n_keys, 1);
    ck_assert(!r->locks[i].keys[0].whole);
  }
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* ---- wishes ---- */

static unsigned check_conflicts(const sample *s, const gw_split_result *r) {
  unsigned kept = (1u << s->p.n_wishes) - 1;
  for (int i = 0; i < r->n_conflicts; i++) {
    const gw_split_conflict *c = &r->conflicts[i];
    unsigned set = 0;
    for (int k = 0; k < c->n_wishes; k++) set |= 1u << c->wishes[k];
    ck_assert(c->proven);
    ck_assert(has(set, c->dropped));
    ck_assert(written_best(&s->p, set) == NEVER);
    for (int k = 0; k < c->n_wishes; k++)
      ck_assert(written_best(&s->p, set & ~(1u << c->wishes[k])) != NEVER);
    kept &= ~(1u << c->dropped);
  }
  return kept;
}

START_TEST(wishes_agree) {
  static sample s;
  int orders = 0, conflicts[4] = {0};
  for (uint64_t seed = 50001; seed <= 51000; seed++) {
    random_problem(&s, seed, 5);
    if (s.p.n_parts == 5 && s.p.n_dirs > 2) continue; /* too many to write out */
    random_wishes(&s);
    gw_split_result *r = solved(&s.p);
    if (r->kind == GW_SPLIT_ORDER) {
      unsigned kept = check_conflicts(&s, r);
      sequence q = sequence_of(r);
      replay_order(&s.p, r);
      ck_assert_int_eq(r->proof, GW_SPLIT_OPTIMAL);
      ck_assert_msg(r->cost == written_best(&s.p, kept), "seed %d", (int)seed);
      ck_assert(keeps_all(&s.p, kept, &q, (1u << s.p.n_parts) - 1));
      for (int i = 0; i < r->n_conflicts; i++) conflicts[r->conflicts[i].n_wishes - 1]++;
      orders++;
    }
    gw_split_free(r);
  }
  printf("wishes: %d orders; conflicts of one %d, two %d, more %d\n", orders, conflicts[0],
         conflicts[1], conflicts[2] + conflicts[3]);
  ck_assert_int_ge(orders, 400);
  ck_assert_int_ge(conflicts[0], 50);
  ck_assert_int_ge(conflicts[1], 20);
}
END_TEST

START_TEST(wish_against_blocking_is_named) {
  static const int sides[] = {0, 1}, end[] = {0, 2, 6}, across[] = {0, 1, 4};
  made m;
  make_table(&m);
  gw_split_wish wishes[] = {
      {.kind = GW_SPLIT_GROUP_FIRST, .parts = end, .n_parts = 3},
      {.kind = GW_SPLIT_GROUP_FIRST, .parts = across, .n_parts = 3},  /* shares leg 0 */
      {.kind = GW_SPLIT_JOINT_BEFORE, .x = 0, .y = 4, .strict = true} /* long before short */
  };
  m.p.wishes = wishes;
  m.p.n_wishes = 3;
  gw_split_result *r = solved(&m.p);
  replay_order(&m.p, r);
  ck_assert_int_eq(r->n_conflicts, 2);
  ck_assert_int_eq(r->conflicts[0].n_wishes, 2); /* overlapping groups */
  ck_assert_int_eq(r->conflicts[0].dropped, 1);
  ck_assert_int_eq(r->conflicts[1].n_wishes, 2); /* the end first, but not its joint */
  ck_assert_int_eq(r->conflicts[1].wishes[0], 0);
  ck_assert_int_eq(r->conflicts[1].dropped, 2);
  ck_assert(r->conflicts[0].proven && r->conflicts[1].proven);
  gw_split_free(r);
  made_free(&m);
  /* Two sides of a box as a body by themselves: the lid between cannot go in. */
  made_start(&m, 3);
  made_joint(&m, 2, 0, ONLY(RIGHT), true);
  made_joint(&m, 2, 1, ONLY(LEFT), true);
  gw_split_wish both = {.kind = GW_SPLIT_GROUP_FIRST, .parts = sides, .n_parts = 2};
  m.p.wishes = &both;
  m.p.n_wishes = 1;
  r = solved(&m.p);
  replay_order(&m.p, r);
  ck_assert_int_eq(r->n_conflicts, 1);
  ck_assert_int_eq(r->conflicts[0].n_wishes, 1);
  ck_assert(r->conflicts[0].proven);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* ---- counts (chain, ring, star, complete: closed formulas) ---- */

typedef struct tally {
  int64_t groups, joins;
} tally;

static int64_t power(int64_t base, int n) { return n == 0 ? 1 : base * power(base, n - 1); }

static tally chain_tally(int64_t n) { return (tally){n * (n + 1) / 2, (n + 1) * n * (n - 1) / 6}; }
static tally ring_tally(int64_t n) { return (tally){n * n - n + 1, n * (n - 1) * (n - 1) / 2}; }
static tally star_tally(int64_t n) {
  return (tally){power(2, (int)n - 1) + n - 1, (n - 1) * power(2, (int)n - 2)};
}
static tally complete_tally(int64_t n) {
  return (tally){power(2, (int)n) - 1, (power(3, (int)n) - power(2, (int)n + 1) + 1) / 2};
}

static bool joined(int kind, int n, int a, int b) {
  if (kind == 0) return b == a + 1;
  if (kind == 1) return b == a + 1 || (a == 0 && b == n - 1);
  return kind == 2 ? a == 0 : true;
}

START_TEST(counts_agree) {
  static tally (*const tallies[])(int64_t) = {chain_tally, ring_tally, star_tally,
                                              complete_tally};
  for (int kind = 0; kind < 4; kind++)
    for (int n = 3; n <= 10; n++) {
      made m;
      gw_split_counts counts;
      made_start(&m, n);
      for (int a = 0; a < n; a++)
        for (int b = a + 1; b < n; b++)
          if (joined(kind, n, a, b)) made_joint(&m, a, b, ~0u, true);
      ck_assert_int_eq(gw_split_count(&m.p, &counts, NULL), GW_OK);
      ck_assert_int_eq(counts.groups, tallies[kind](n).groups);
      ck_assert_int_eq(counts.joins, tallies[kind](n).joins);
      made_free(&m);
    }
}
END_TEST

/* ---- large ---- */

/* Uprights with four shelves in each bay; parts let go sideways only.  The last
 * upright of a bay closes four joints, so the least sum of squares is 20 a bay. */
static void make_bays(made *m, int bays) {
  made_start(m, 5 * bays + 1);
  for (int v = 0; v < m->p.n_parts; v++) m->mass[v] = v % 5 ? 2000 : 6000;
  for (int b = 0; b < bays; b++)
    for (int s = 1; s < 5; s++) {
      made_joint(m, 5 * b + s, 5 * b, ONLY(RIGHT), true);
      made_joint(m, 5 * b + s, 5 * b + 5, ONLY(LEFT), true);
    }
}

START_TEST(thousand_parts) {
  made m;
  make_bays(&m, 200);
  gw_split_result *r = solved(&m.p);
  replay_order(&m.p, r);
  ck_assert_int_eq(r->proof, GW_SPLIT_OPTIMAL); /* the bound is met */
  int64_t squares = 0;
  for (int i = 0; i < r->n_joins; i++) {
    squares += r->joins[i].cost.align;
    ck_assert(!r->joins[i].over_hands);
  }
  ck_assert_int_eq(squares, 200 * 20 * m.p.weights.align);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* Two rows of 150 parts, joined at both ends: the last join closes two joints
 * and turns two sides, which the bound knows nothing of. */
START_TEST(bound_of_a_ring_is_near) {
  made m;
  made_start(&m, 300);
  for (int v = 0; v < 300; v++) m.mass[v] = 800 + v % 3;
  for (int row = 0; row < 2; row++)
    for (int x = 0; x < 149; x++)
      made_joint(&m, 150 * row + x + 1, 150 * row + x, ONLY(RIGHT), true);
  made_joint(&m, 150, 0, ONLY(BACK), true);
  made_joint(&m, 299, 149, ONLY(BACK), true);
  gw_split_result *r = solved(&m.p);
  replay_order(&m.p, r);
  ck_assert_int_eq(r->proof, GW_SPLIT_BOUND);
  ck_assert_int_gt(100 * r->bound, 99 * r->cost);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* A lattice of w by h parts, joints letting go along one axis only, each bar
 * held by collars that block some more. */
static void make_lattice(made *m, int w, int h) {
  made_start(m, w * h);
  for (int v = 0; v < w * h; v++) m->mass[v] = 500 + 37 * (v % 11);
  for (int y = 0; y < h; y++)
    for (int x = 0; x < w; x++) {
      int v = y * w + x;
      if (x + 1 < w) made_joint(m, v + 1, v, ONLY(RIGHT), (x + y) % 5 > 0);
      if (y + 1 < h) made_joint(m, v + w, v, ONLY(BACK) | ((x % 3) ? 0 : ONLY(UP)), true);
    }
}

START_TEST(lattices_of_many_sizes) {
  for (int w = 5; w <= 17; w += 4)
    for (int h = 3; h <= 19; h += 8) {
      made m;
      make_lattice(&m, w, h);
      gw_split_result *r = solved(&m.p);
      replay_order(&m.p, r);
      gw_split_free(r);
      made_free(&m);
    }
}
END_TEST

/* Wished groups and joints in a piece too large for the masks. */
START_TEST(large_with_wishes) {
  static const int bay[] = {150, 151, 152, 153, 154, 155}, inner[] = {150, 151};
  gw_split_wish wishes[] = {
      {.kind = GW_SPLIT_GROUP_FIRST, .parts = bay, .n_parts = 6},
      {.kind = GW_SPLIT_GROUP_FIRST, .parts = inner, .n_parts = 2},
      {.kind = GW_SPLIT_PART_BEFORE, .x = 190, .y = 10, .strict = true},
      {.kind = GW_SPLIT_JOINT_BEFORE, .x = 240, .y = 0, .strict = true}};
  made m;
  make_bays(&m, 40);
  m.p.wishes = wishes;
  m.p.n_wishes = 4;
  gw_split_result *r = solved(&m.p);
  replay_order(&m.p, r);
  ck_assert_int_eq(r->n_conflicts, 0);
  int seen = 0, closed[2] = {-1, -1}, *members = malloc(201 * sizeof(int));
  ck_assert_ptr_nonnull(members);
  for (int i = 0; i < r->n_joins; i++) {
    int n = gw_split_members(r, r->n_parts + i, members);
    seen += n == 6 && memcmp(members, bay, sizeof bay) == 0;
    seen += n == 2 && memcmp(members, inner, sizeof inner) == 0;
    for (int k = 0; k < r->joins[i].n_joints; k++) {
      if (r->joins[i].joints[k] == 240) closed[0] = i;
      if (r->joins[i].joints[k] == 0) closed[1] = i;
    }
  }
  free(members);
  ck_assert_int_eq(seen, 2);
  ck_assert_int_lt(join_of(r, 190), join_of(r, 10));
  ck_assert_int_lt(closed[0], closed[1]);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* A ring of 300 parts, each stopped by the next in every direction. */
START_TEST(large_lock) {
  made m;
  made_start(&m, 320);
  for (int v = 0; v < 300; v++) made_joint(&m, v, (v + 1) % 300, 0, true);
  for (int v = 300; v < 320; v++) made_joint(&m, v, v - 1, ONLY(UP), true);
  m.p.n_arcs = 0;
  for (int d = 0; d < N_DIRS; d += 2)
    for (int v = 0; v < 300; v++) m.arcs[m.p.n_arcs++] = (gw_split_arc){d, v, (v + 1) % 300, v};
  gw_split_result *r = solved(&m.p);
  ck_assert_int_eq(r->kind, GW_SPLIT_LOCKED);
  ck_assert_int_eq(r->n_locks, 1);
  ck_assert_int_eq(r->locks[0].n_parts, 300);
  ck_assert_int_eq(r->locks[0].n_keys, 300);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

/* ---- refusals ---- */

static gw_status status_of(const gw_split_problem *p) {
  gw_split_result *r = NULL;
  gw_error err = {0};
  gw_status status = gw_split_solve(p, &r, &err);
  ck_assert(status == GW_OK ? r != NULL : r == NULL && err.words[0]);
  gw_split_free(r);
  return status;
}

START_TEST(wrong_problems_are_refused) {
  static const int wrong_pair[] = {1, 2, 0, 3, 5, 4}, twice[] = {1, 1};
  made m;
  make_table(&m);
  ck_assert_int_eq(status_of(&m.p), GW_OK);
  gw_split_problem p = m.p;
  p.n_parts = 0;
  ck_assert_int_eq(status_of(&p), GW_BAD_INPUT);
  p.n_parts = 7; /* joints and arcs name an eighth */
  ck_assert_int_eq(status_of(&p), GW_BAD_INPUT);
  p = m.p, p.n_dirs = GW_SPLIT_MAX_DIRS + 1;
  ck_assert_int_eq(status_of(&p), GW_BAD_INPUT);
  p = m.p, p.dir_opposite = wrong_pair;
  ck_assert_int_eq(status_of(&p), GW_BAD_INPUT);
  p = m.p, p.hands = 0;
  ck_assert_int_eq(status_of(&p), GW_BAD_INPUT);
  p = m.p, p.weights.turn = -1;
  ck_assert_int_eq(status_of(&p), GW_BAD_INPUT);
  p = m.p, p.weights.mass = INT64_MAX / 4;
  ck_assert_int_eq(status_of(&p), GW_TOO_LARGE);
  gw_split_arc self = {0, 2, 2, -1};
  p = m.p, p.arcs = &self, p.n_arcs = 1;
  ck_assert_int_eq(status_of(&p), GW_BAD_INPUT);
  gw_split_wish double_part = {.kind = GW_SPLIT_GROUP_FIRST, .parts = twice, .n_parts = 2};
  p = m.p, p.wishes = &double_part, p.n_wishes = 1;
  ck_assert_int_eq(status_of(&p), GW_BAD_INPUT);
  made_free(&m);
}
END_TEST

static bool stop_now(void *data) {
  ++*(int *)data;
  return true;
}

START_TEST(stop_ends_the_search) {
  made m;
  int asked = 0;
  make_lattice(&m, 30, 30);
  m.p.stop = stop_now;
  m.p.stop_data = &asked;
  gw_split_result *r = solved(&m.p);
  ck_assert_int_eq(r->kind, GW_SPLIT_STOPPED);
  ck_assert_int_ge(asked, 1);
  ck_assert_int_eq(r->n_joins, 0);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

START_TEST(one_part_is_an_order) {
  made m;
  made_start(&m, 1);
  gw_split_result *r = best_order(&m);
  ck_assert_int_eq(r->n_joins, 0);
  ck_assert_int_eq(r->cost, 0);
  gw_split_free(r);
  made_free(&m);
}
END_TEST

static TCase *new_case(Suite *s, const char *name) {
  TCase *c = tcase_create(name);
  tcase_set_timeout(c, 300);
  suite_add_tcase(s, c);
  return c;
}

static Suite *suite(void) {
  Suite *s = suite_create("split");
  TCase *c = new_case(s, "random");
  tcase_add_test(c, random_agree);
  tcase_add_test(c, splitting_needs_no_going_back);
  tcase_add_test(c, bounded_brackets_best);
  tcase_add_test(c, small_budget_still_gives_an_order);
  tcase_add_test(c, wishes_agree);
  tcase_add_test(c, greedy_on_small_problems);
  c = new_case(s, "pieces");
  tcase_add_test(c, frame_one_stile_last);
  tcase_add_test(c, chest_bottom_before_fourth_board);
  tcase_add_test(c, table_ends_first);
  tcase_add_test(c, bookcase_side_last);
  tcase_add_test(c, loose_parts_are_flagged);
  tcase_add_test(c, one_part_is_an_order);
  c = new_case(s, "locks and wishes");
  tcase_add_test(c, ring_of_four_is_locked);
  tcase_add_test(c, two_locks_are_both_named);
  tcase_add_test(c, wish_against_blocking_is_named);
  tcase_add_test(c, wrong_problems_are_refused);
  c = new_case(s, "large");
  tcase_add_test(c, counts_agree);
  tcase_add_test(c, thousand_parts);
  tcase_add_test(c, bound_of_a_ring_is_near);
  tcase_add_test(c, lattices_of_many_sizes);
  tcase_add_test(c, large_with_wishes);
  tcase_add_test(c, large_lock);
  tcase_add_test(c, stop_ends_the_search);
  return s;
}

int main(void) {
  SRunner *runner = srunner_create(suite());
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed ? 1 : 0;
}
