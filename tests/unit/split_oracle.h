/* split_oracle.h - what test_split.c knows of split.h from its words alone:
 * arcs, joints, joins and wishes, all looked at one by one.  Slow on purpose. */
#ifndef SPLIT_ORACLE_H
#define SPLIT_ORACLE_H

#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "order/split.h"

#define NEVER INT64_MAX

static int opposite(const gw_split_problem *p, int d) {
  return p->dir_opposite ? p->dir_opposite[d] : -1;
}

static bool has(unsigned set, int v) { return (set >> v & 1) != 0; }
static int count_bits(unsigned set) { return __builtin_popcount(set); }

/* ---- motion ---- */

/* Whether `moving` can leave `base` along d, arcs read both ways; the arcs of
 * joint `without` (-1: none) are left out. */
static bool can_leave(const gw_split_problem *p, unsigned moving, unsigned base, int d,
                      int without) {
  for (size_t i = 0; i < p->n_arcs; i++) {
    const gw_split_arc *a = &p->arcs[i];
    if (without >= 0 && a->joint == without) continue;
    if (a->dir == d && has(moving, a->mover) && has(base, a->blocker)) return false;
    if (a->dir == opposite(p, d) && has(base, a->mover) && has(moving, a->blocker)) return false;
  }
  return true;
}

static bool is_locked(const gw_split_problem *p, unsigned set, int without) {
  for (unsigned s = (set - 1) & set; s; s = (s - 1) & set)
    for (int d = 0; d < p->n_dirs; d++)
      if (can_leave(p, s, set & ~s, d, without)) return false;
  return true;
}

/* Whether any subset of two or more parts is locked. */
static bool holds_lock(const gw_split_problem *p, unsigned set, int without) {
  for (unsigned s = set; s; s = (s - 1) & set)
    if (count_bits(s) > 1 && is_locked(p, s, without)) return true;
  return false;
}

/* ---- joints ---- */

static unsigned piece_of(const gw_split_problem *p, int v, unsigned set) {
  unsigned piece = 1u << v;
  for (int again = 1; again;) {
    again = 0;
    for (int j = 0; j < p->n_joints; j++) {
      int a = p->joints[j].a, b = p->joints[j].b;
      if (!has(set, a) || !has(set, b) || has(piece, a) == has(piece, b)) continue;
      piece |= 1u << a | 1u << b;
      again = 1;
    }
  }
  return piece;
}

static int count_pieces(const gw_split_problem *p, unsigned set) {
  int n = 0;
  for (int v = 0; v < p->n_parts; v++) {
    if (!has(set, v)) continue;
    set &= ~piece_of(p, v, set);
    n++;
  }
  return n;
}

static bool crosses(const gw_split_joint *j, unsigned s, unsigned r) {
  return (has(s, j->a) && has(r, j->b)) || (has(r, j->a) && has(s, j->b));
}

static bool is_tidy(const gw_split_problem *p, unsigned s, unsigned r) {
  int whole = count_pieces(p, s | r);
  return count_pieces(p, s) + count_pieces(p, r) == (whole > 2 ? whole : 2);
}

/* ---- cost of a join, from the header's words ---- */

static int bodies_held(const gw_split_problem *p, unsigned moving, unsigned base) {
  int held = 0;
  for (unsigned left = base; left;) {
    int v = __builtin_ctz(left);
    unsigned piece = piece_of(p, v, base);
    bool touched = false;
    for (int j = 0; j < p->n_joints; j++)
      touched |= crosses(&p->joints[j], moving, piece);
    held += touched;
    left &= ~piece;
  }
  return count_pieces(p, moving) + (held > 1 ? held : 1);
}

static int64_t grams(const gw_split_problem *p, unsigned set) {
  int64_t sum = 0;
  for (int v = 0; v < p->n_parts; v++)
    if (has(set, v) && p->mass_g) sum += p->mass_g[v];
  return sum;
}

/* All but the turning of sides. */
static int64_t cost_of(const gw_split_problem *p, unsigned moving, unsigned base, int d) {
  const gw_split_weights *w = &p->weights;
  int64_t glued = 0, dry = 0, cost = 0;
  for (int j = 0; j < p->n_joints; j++) {
    const gw_split_joint *joint = &p->joints[j];
    if (!crosses(joint, moving, base)) continue;
    glued += joint->glued;
    dry += !joint->glued;
    cost += w->slide * joint->slide * (count_bits(moving | base) - 2);
    if (joint->mover >= 0 && has(base, joint->mover)) cost += w->against;
  }
  int bodies = bodies_held(p, moving, base);
  cost += w->align * glued * glued + w->loose * (bodies - 2);
  if (glued > 0) cost += w->beside * dry;
  if (bodies > p->hands + 1) cost += w->hands * (bodies - p->hands - 1);
  if (p->dir_cost) cost += w->dir * p->dir_cost[d];
  return cost + w->mass * grams(p, moving);
}

static int64_t turn_of(const gw_split_problem *p, unsigned side) {
  return p->weights.turn + p->weights.turned * grams(p, side);
}

static int axis_name(const gw_split_problem *p, int d) {
  int back = opposite(p, d);
  return back >= 0 && back < d ? back : d;
}

/* ---- the best order by trying everything, no wishes ---- */

typedef struct brute {
  const gw_split_problem *p;
  int64_t best[128][8]; /* by set and name of the axis of its last join */
} brute;

static int64_t brute_side(const brute *b, unsigned set, int axis) {
  if (count_bits(set) == 1) return 0;
  int64_t best = NEVER;
  for (int a = 0; a < b->p->n_dirs; a++) {
    if (b->best[set][a] == NEVER) continue;
    int64_t cost = b->best[set][a] + (a == axis ? 0 : turn_of(b->p, set));
    if (cost < best) best = cost;
  }
  return best;
}

static bool brute_set(brute *b, unsigned set, bool tidy) {
  bool found = false;
  for (unsigned s = (set - 1) & set; s; s = (s - 1) & set) {
    unsigned r = set & ~s;
    if (tidy && !is_tidy(b->p, s, r)) continue;
    for (int d = 0; d < b->p->n_dirs; d++) {
      if (!can_leave(b->p, s, r, d, -1)) continue;
      int axis = axis_name(b->p, d);
      int64_t cs = brute_side(b, s, axis), cr = brute_side(b, r, axis);
      if (cs == NEVER || cr == NEVER) continue;
      int64_t cost = cs + cr + cost_of(b->p, s, r, d);
      if (cost < b->best[set][axis]) b->best[set][axis] = cost;
      found = true;
    }
  }
  return found;
}

/* NEVER when there is no order. */
static int64_t brute_best(const gw_split_problem *p) {
  brute *b = malloc(sizeof *b);
  ck_assert_ptr_nonnull(b);
  b->p = p;
  unsigned all = (1u << p->n_parts) - 1;
  for (unsigned set = 1; set <= all; set++) {
    for (int a = 0; a < 8; a++) b->best[set][a] = NEVER;
    if (count_bits(set) > 1 && !brute_set(b, set, true)) brute_set(b, set, false);
  }
  int64_t best = p->n_parts == 1 ? 0 : NEVER;
  for (int a = 0; a < p->n_dirs; a++)
    if (b->best[all][a] < best) best = b->best[all][a];
  free(b);
  return best;
}

/* ---- the best order with wishes: all orders, written out ---- */

typedef struct event {
  unsigned moving, base;
} event;
typedef struct sequence {
  int n, axis;
  int64_t cost;
  event at[6];
} sequence;
typedef struct sequences {
  sequence *at;
  size_t n, room;
} sequences;

/* When joint j closes, or -1. */
static int closes_at(const gw_split_problem *p, const sequence *q, int j) {
  for (int i = 0; i < q->n; i++)
    if (crosses(&p->joints[j], q->at[i].moving, q->at[i].base)) return i;
  return -1;
}

/* When part v is joined, or -1. */
static int joined_at(const sequence *q, int v) {
  for (int i = 0; i < q->n; i++)
    if (q->at[i].moving == 1u << v || q->at[i].base == 1u << v) return i;
  return -1;
}

static unsigned parts_of(const gw_split_wish *w) {
  unsigned set = 0;
  for (int i = 0; i < w->n_parts; i++) set |= 1u << w->parts[i];
  return set;
}

/* Whether a sequence that builds `set` keeps a wish, as far as it can tell. */
static bool keeps(const gw_split_problem *p, const gw_split_wish *w, const sequence *q,
                  unsigned set) {
  if (w->kind == GW_SPLIT_GROUP_FIRST) {
    unsigned want = parts_of(w);
    if ((want & ~set) || want == set || count_bits(want) == 1) return true;
    for (int i = 0; i < q->n; i++)
      if ((q->at[i].moving | q->at[i].base) == want) return true;
    return false;
  }
  bool part = w->kind == GW_SPLIT_PART_BEFORE;
  int x = part ? joined_at(q, w->x) : closes_at(p, q, w->x);
  int y = part ? joined_at(q, w->y) : closes_at(p, q, w->y);
  return x < 0 || y < 0 || x < y || (x == y && !w->strict);
}

static bool keeps_all(const gw_split_problem *p, unsigned wishes, const sequence *q,
                      unsigned set) {
  for (int i = 0; i < p->n_wishes; i++)
    if (has(wishes, i) && !keeps(p, &p->wishes[i], q, set)) return false;
  return true;
}

static void add_sequence(sequences *list, const sequence *q) {
  ck_assert_int_eq(gw_grow(&list->at, &list->room, list->n + 1, sizeof *list->at), GW_OK);
  list->at[list->n++] = *q;
}

static void append(sequence *to, const sequence *from) {
  for (int i = 0; i < from->n; i++) to->at[to->n++] = from->at[i];
  to->cost += from->cost;
}

typedef struct writer {
  const gw_split_problem *p;
  unsigned wishes;
  sequences of[32]; /* by set */
} writer;

static void join_all(writer *w, unsigned s, unsigned r, int d) {
  int axis = axis_name(w->p, d);
  for (size_t i = 0; i < w->of[s].n; i++)
    for (size_t k = 0; k < w->of[r].n; k++) {
      const sequence *a = &w->of[s].at[i], *b = &w->of[r].at[k];
      int64_t cost = cost_of(w->p, s, r, d);
      if (a->n > 0 && a->axis != axis) cost += turn_of(w->p, s);
      if (b->n > 0 && b->axis != axis) cost += turn_of(w->p, r);
      for (int first = 0; first < 2; first++) {
        sequence q = {.axis = axis, .cost = cost};
        append(&q, first ? a : b);
        append(&q, first ? b : a);
        q.at[q.n++] = (event){s, r};
        if (keeps_all(w->p, w->wishes, &q, s | r)) add_sequence(&w->of[s | r], &q);
      }
    }
}

static void write_set(writer *w, unsigned set) {
  if (count_bits(set) == 1) {
    sequence nothing = {0};
    add_sequence(&w->of[set], &nothing);
    return;
  }
  for (int tidy = 1; tidy >= 0 && w->of[set].n == 0; tidy--)
    for (unsigned s = (set - 1) & set; s; s = (s - 1) & set) {
      if (tidy && !is_tidy(w->p, s, set & ~s)) continue;
      for (int d = 0; d < w->p->n_dirs; d++)
        if (can_leave(w->p, s, set & ~s, d, -1)) join_all(w, s, set & ~s, d);
    }
}

/* The best cost of an order that keeps the wishes in a set of them, or NEVER. */
static int64_t written_best(const gw_split_problem *p, unsigned wishes) {
  writer w = {.p = p, .wishes = wishes};
  unsigned all = (1u << p->n_parts) - 1;
  int64_t best = NEVER;
  for (unsigned set = 1; set <= all; set++) write_set(&w, set);
  for (size_t i = 0; i < w.of[all].n; i++)
    if (w.of[all].at[i].cost < best) best = w.of[all].at[i].cost;
  for (unsigned set = 1; set <= all; set++) free(w.of[set].at);
  return best;
}

/* ---- replay: any size, knows arcs, joints and joins only ---- */

typedef struct replay {
  const gw_split_problem *p;
  int *node; /* by part: the node it is in now */
  int *axis; /* by node */
} replay;

static void replay_motion(const replay *r, const gw_split_join *j) {
  for (size_t i = 0; i < r->p->n_arcs; i++) {
    const gw_split_arc *a = &r->p->arcs[i];
    if (a->dir == j->dir)
      ck_assert(!(r->node[a->mover] == j->moving && r->node[a->blocker] == j->base));
    if (a->dir == opposite(r->p, j->dir))
      ck_assert(!(r->node[a->mover] == j->base && r->node[a->blocker] == j->moving));
  }
}

static void replay_joints(const replay *r, const gw_split_join *j) {
  int n = 0;
  int64_t glued = 0;
  for (int k = 0; k < r->p->n_joints; k++) {
    int a = r->node[r->p->joints[k].a], b = r->node[r->p->joints[k].b];
    if (!((a == j->moving && b == j->base) || (b == j->moving && a == j->base))) continue;
    ck_assert_int_lt(n, j->n_joints);
    ck_assert_int_eq(j->joints[n++], k);
    glued += r->p->joints[k].glued;
  }
  ck_assert_int_eq(n, j->n_joints);
  ck_assert_int_eq(j->cost.align, r->p->weights.align * glued * glued);
}

static void replay_join(replay *r, const gw_split_result *result, int i) {
  const gw_split_join *j = &result->joins[i];
  int n_parts[2] = {0, 0};
  int64_t mass[2] = {0, 0}, turn = 0;
  ck_assert_int_ne(j->moving, j->base);
  ck_assert_int_ge(j->dir, 0);
  ck_assert_int_lt(j->dir, r->p->n_dirs);
  for (int v = 0; v < r->p->n_parts; v++) {
    n_parts[0] += r->node[v] == j->moving;
    n_parts[1] += r->node[v] == j->base;
    if (r->node[v] == j->moving) mass[0] += r->p->mass_g[v];
    if (r->node[v] == j->base) mass[1] += r->p->mass_g[v];
  }
  ck_assert_int_gt(n_parts[0], 0); /* built, and not yet part of another */
  ck_assert_int_gt(n_parts[1], 0);
  ck_assert_int_eq(n_parts[0] + n_parts[1], j->n_parts);
  replay_motion(r, j);
  replay_joints(r, j);
  const gw_split_weights *w = &r->p->weights;
  int axis = axis_name(r->p, j->dir), sides[] = {j->moving, j->base};
  for (int k = 0; k < 2; k++)
    if (n_parts[k] > 1 && r->axis[sides[k]] != axis) turn += w->turn + w->turned * mass[k];
  ck_assert_int_eq(j->cost.turn, turn);
  ck_assert_int_eq(j->cost.mass, w->mass * mass[0]);
  r->axis[r->p->n_parts + i] = axis;
  for (int v = 0; v < r->p->n_parts; v++)
    if (r->node[v] == j->moving || r->node[v] == j->base) r->node[v] = r->p->n_parts + i;
}

/* Replays an order of any size; for small ones the whole cost too. */
static void replay_order(const gw_split_problem *p, const gw_split_result *result) {
  size_t n = (size_t)p->n_parts;
  replay r = {p, malloc(n * sizeof(int)), malloc(2 * n * sizeof(int))};
  ck_assert(r.node && r.axis);
  ck_assert_int_eq(result->kind, GW_SPLIT_ORDER);
  ck_assert_int_eq(result->n_joins, p->n_parts - 1);
  for (int v = 0; v < p->n_parts; v++) r.node[v] = v;
  int64_t sum = 0;
  for (int i = 0; i < result->n_joins; i++) {
    replay_join(&r, result, i);
    sum += result->joins[i].cost.total;
  }
  for (int v = 0; v < p->n_parts; v++)
    ck_assert_int_eq(r.node[v], p->n_parts == 1 ? v : 2 * p->n_parts - 2);
  ck_assert_int_eq(sum, result->cost);
  ck_assert_int_le(result->bound, result->cost);
  ck_assert(result->proof == GW_SPLIT_BOUND || result->bound == result->cost);
  free(r.node);
  free(r.axis);
}

static unsigned set_of(const gw_split_result *result, int node) {
  int members[32];
  unsigned set = 0;
  int n = gw_split_members(result, node, members);
  for (int i = 0; i < n; i++) {
    ck_assert(i == 0 || members[i] > members[i - 1]);
    set |= 1u << members[i];
  }
  return set;
}

/* The parts of the cost that replay_order() leaves out, for up to 30 parts. */
static void check_costs(const gw_split_problem *p, const gw_split_result *result) {
  for (int i = 0; i < result->n_joins; i++) {
    const gw_split_join *j = &result->joins[i];
    unsigned moving = set_of(result, j->moving), base = set_of(result, j->base);
    int bodies = bodies_held(p, moving, base);
    ck_assert_int_eq(j->cost.total - j->cost.turn, cost_of(p, moving, base, j->dir));
    ck_assert_int_eq(j->bodies, bodies);
    ck_assert_int_eq(j->over_hands, bodies > p->hands + 1);
    ck_assert_int_eq(j->loose, count_pieces(p, moving | base) > 1);
  }
}

/* An order as a sequence, for keeps(). */
static sequence sequence_of(const gw_split_result *result) {
  sequence q = {.n = result->n_joins};
  for (int i = 0; i < q.n; i++)
    q.at[i] = (event){set_of(result, result->joins[i].moving),
                      set_of(result, result->joins[i].base)};
  return q;
}

#endif
