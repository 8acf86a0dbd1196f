/* split_exact.c - dynamic programming over groups of up to 64 parts.
 *
 * A state is a group and the axis of its last join; what a group costs inside
 * a larger one depends on nothing else.  Candidate splits are tried in order
 * of (own cost + what neither side can cost less than), and trying ends when
 * that sum reaches the best cost found: no answer is lost. */
#include <stdlib.h>
#include <string.h>

#include "order/split_internal.h"

/* The best way to split a group when its last join is on a given axis. */
typedef struct cell {
  int64_t cost; /* of the whole group; GW_SPLIT_NEVER when there is no way */
  uint64_t moving;
  int dir;
  bool moving_first;
} cell;

typedef struct candidate {
  uint64_t moving;
  int64_t own, least; /* its own cost without turns; a bound on the whole */
  double loss;        /* what it adds to the bound, by part of its smaller side */
  int dir, axis;
  bool moving_first;
} candidate;

typedef struct candidates {
  candidate *at;
  size_t n, room;
} candidates;

typedef struct exact {
  gw_split_search *s;
  const gw_split_view *view;
  gw_split_effort effort;
  int n_axes;
  gw_split_table table;
  cell *cells; /* n_axes for each group of the table */
  size_t cell_room;
  gw_split_masks sides; /* scratch */
} exact;

static uint64_t bit(int part) { return (uint64_t)1 << part; }

/* ---- solved groups ---- */

static bool known(const exact *e, uint64_t group) {
  return gw_split_table_find(&e->table, group) >= 0;
}

static const cell *cells_of(const exact *e, uint64_t group) {
  return e->cells + (size_t)gw_split_table_find(&e->table, group) * (size_t)e->n_axes;
}

static gw_status store(exact *e, uint64_t group, const cell *cells) {
  size_t k = (size_t)e->n_axes, at = (size_t)e->table.n * k;
  GW_TRY(gw_grow(&e->cells, &e->cell_room, at + k, sizeof *e->cells));
  memcpy(e->cells + at, cells, k * sizeof *cells);
  return gw_split_table_add(&e->table, group);
}

/* ---- one split ---- */

static bool single(uint64_t set) { return (set & (set - 1)) == 0; }

static int64_t sum_mass(const exact *e, uint64_t set, int64_t *heaviest) {
  int64_t sum = 0, most = 0;
  for (uint64_t left = set; left; left &= left - 1) {
    int64_t m = e->view->mass[__builtin_ctzll(left)];
    sum += m;
    if (m > most) most = m;
  }
  if (heaviest) *heaviest = most;
  return sum;
}

static int64_t least(const exact *e, uint64_t set) {
  if (e->s->any || single(set)) return 0;
  gw_split_whole whole = {.n = __builtin_popcountll(set),
                          .pieces = gw_split_pieces(e->view, set)};
  whole.mass = sum_mass(e, set, &whole.heaviest);
  for (int j = 0; j < e->view->n_joints; j++) {
    const gw_split_view_joint *joint = &e->view->joints[j];
    whole.glued += joint->glued && (joint->ends & ~set) == 0;
  }
  return gw_split_least(e->s->g, &whole);
}

static gw_split_load weigh(const exact *e, uint64_t moving, uint64_t base, int dir) {
  uint64_t group = moving | base, touched = 0;
  gw_split_load load = {.dir = dir, .parts = __builtin_popcountll(group),
                        .mass = sum_mass(e, moving, NULL)};
  for (int j = 0; j < e->view->n_joints; j++) {
    const gw_split_view_joint *joint = &e->view->joints[j];
    if ((joint->ends & ~group) || !(joint->ends & moving) || !(joint->ends & base)) continue;
    load.glued += joint->glued;
    load.dry += !joint->glued;
    load.slide += joint->slide;
    load.against += joint->mover >= 0 && (base & bit(joint->mover)) != 0;
    touched |= joint->ends & base;
  }
  load.bodies = gw_split_pieces(e->view, moving);
  int held = 0;
  for (uint64_t left = base; left;) {
    uint64_t body = gw_split_flood(e->view->adj, left & -left, left);
    held += (body & touched) != 0;
    left &= ~body;
  }
  load.bodies += held ? held : 1;
  return load;
}

static int side_of(uint64_t set, uint64_t moving, uint64_t base) {
  if ((set & ~moving) == 0) return 0;
  if ((set & ~base) == 0) return 1;
  return (set & ~(moving | base)) == 0 ? 2 : -1;
}

/* What the wishes ask of the order of the sides; the moving side is side 0. */
static gw_split_ask ask(const exact *e, uint64_t moving, uint64_t base) {
  gw_split_ask all = GW_SPLIT_FREE;
  for (int i = 0; i < e->view->n_wishes && e->view->asks; i++) {
    const gw_split_view_wish *wish = &e->view->wishes[i];
    if (wish->kind == GW_SPLIT_PART_BEFORE) {
      int x = side_of(bit(wish->x), moving, base), y = side_of(bit(wish->y), moving, base);
      all = gw_split_ask_both(all, gw_split_ask_part(x, single(x == 1 ? base : moving), y,
                                                     single(y == 1 ? base : moving),
                                                     wish->strict));
    } else if (wish->kind == GW_SPLIT_JOINT_BEFORE) {
      int x = side_of(e->view->joints[wish->x].ends, moving, base);
      int y = side_of(e->view->joints[wish->y].ends, moving, base);
      all = gw_split_ask_both(all, gw_split_ask_joint(x, y, wish->strict));
    }
  }
  return all;
}

/* The same motion may be made by either side: the cheaper, then that of fewer
 * parts, then that without the lowest part. */
static candidate choose_mover(const exact *e, uint64_t side, uint64_t rest, int axis) {
  const gw_split_graph *g = e->s->g;
  candidate c = {.moving = side, .axis = axis, .dir = g->axis_dir[axis]};
  if (e->s->any) return c;
  gw_split_load load = weigh(e, side, rest, c.dir);
  c.own = gw_split_price(g->p, &load).total;
  if (g->axis_back[axis] < 0) return c;
  candidate d = {.moving = rest, .axis = axis, .dir = g->axis_back[axis]};
  load = weigh(e, rest, side, d.dir);
  d.own = gw_split_price(g->p, &load).total;
  if (d.own != c.own) return d.own < c.own ? d : c;
  int few = __builtin_popcountll(rest) - __builtin_popcountll(side);
  if (few != 0) return few < 0 ? d : c;
  return side & -(side | rest) & (side | rest) ? d : c;
}

static gw_status add_candidate(exact *e, uint64_t group, uint64_t side, int axis,
                               candidates *list) {
  candidate c = choose_mover(e, side, group & ~side, axis);
  gw_split_ask asked = ask(e, c.moving, group & ~c.moving);
  if (asked == GW_SPLIT_BROKEN) return GW_OK;
  c.moving_first = asked == GW_SPLIT_ZERO_FIRST;
  c.least = c.own + least(e, side) + least(e, group & ~side);
  GW_TRY(gw_grow(&list->at, &list->room, list->n + 1, sizeof *list->at));
  list->at[list->n++] = c;
  return GW_OK;
}

static int by_promise(const void *left, const void *right) {
  const candidate *a = left, *b = right;
  if (a->least != b->least) return a->least < b->least ? -1 : 1;
  if (a->own != b->own) return a->own < b->own ? -1 : 1;
  if (a->moving != b->moving) return a->moving > b->moving ? -1 : 1; /* high parts go on last */
  return a->dir < b->dir ? -1 : a->dir > b->dir;
}

/* Of many candidates in order of promise keeps a few: the first half of them,
 * and those that lose least by part of their smaller side.  A split that costs
 * much may be cheap for having halved the group. */
static void keep_few(exact *e, uint64_t group, size_t keep, candidates *list) {
  int64_t whole = least(e, group);
  size_t n = keep / 2;
  if (list->n <= keep) return;
  for (size_t i = n; i < list->n; i++) {
    candidate *c = &list->at[i];
    int moving = __builtin_popcountll(c->moving), base = __builtin_popcountll(group) - moving;
    c->loss = (double)(c->least - whole) / (moving < base ? moving : base);
  }
  for (; n < keep; n++) {
    size_t best = n;
    for (size_t i = n + 1; i < list->n; i++)
      if (list->at[i].loss < list->at[best].loss) best = i;
    candidate c = list->at[best];
    memmove(&list->at[n + 1], &list->at[n], (best - n) * sizeof c);
    list->at[n] = c;
  }
  list->n = keep;
}

static gw_status gather_sides(exact *e, uint64_t group, bool tidy, gw_split_ways ways,
                              candidates *list) {
  list->n = 0;
  for (int axis = 0; axis < e->n_axes; axis++) {
    gw_split_enum_in in = {e->view, e->s, group, axis, tidy, ways};
    e->sides.n = 0;
    GW_TRY(gw_split_enum(&in, &e->sides));
    for (size_t i = 0; i < e->sides.n; i++)
      GW_TRY(add_candidate(e, group, e->sides.at[i], axis, list));
  }
  return GW_OK;
}

static gw_status gather(exact *e, uint64_t group, bool tidy, gw_split_ways ways,
                        candidates *list) {
  bool greedy = e->effort.keep > 0; /* goes on when the budget is spent */
  GW_TRY(gather_sides(e, group, tidy, ways, list));
  if (greedy && ways != GW_SPLIT_FEW && e->s->spent) { /* cut short on the way */
    ways = GW_SPLIT_FEW;
    GW_TRY(gather_sides(e, group, tidy, ways, list));
  }
  if (list->n > 0) qsort(list->at, list->n, sizeof *list->at, by_promise);
  if (ways != GW_SPLIT_ALL)
    keep_few(e, group, e->s->spent ? 1 : (size_t)e->effort.keep, list);
  return GW_OK;
}

/* ---- groups ---- */

static gw_status solve(exact *e, uint64_t group);

/* What it costs to turn a group below a join on another axis. */
static int64_t turn(const exact *e, uint64_t group) {
  const gw_split_weights *w = &e->s->g->p->weights;
  return e->s->any ? 0 : w->turn + w->turned * sum_mass(e, group, NULL);
}

/* The cost of a solved group below a join on `axis`; *best is its own axis. */
static int64_t cost_under(const exact *e, uint64_t group, int axis, int *best) {
  int64_t least_cost = GW_SPLIT_NEVER;
  const cell *cells = cells_of(e, group);
  int64_t turned = axis < 0 ? 0 : turn(e, group);
  for (int k = 0; k < e->n_axes; k++) {
    int b = axis < 0 ? k : (axis + k) % e->n_axes; /* no turn first */
    if (cells[b].cost == GW_SPLIT_NEVER) continue;
    int64_t cost = cells[b].cost + (b == axis ? 0 : turned);
    if (cost >= least_cost) continue;
    least_cost = cost;
    if (best) *best = b;
  }
  return least_cost;
}

static gw_status side_cost(exact *e, uint64_t side, int axis, int64_t *cost) {
  *cost = 0;
  if (single(side)) return GW_OK;
  if (!known(e, side)) GW_TRY(solve(e, side));
  *cost = known(e, side) ? cost_under(e, side, axis, NULL) : GW_SPLIT_NEVER;
  return GW_OK;
}

/* What a candidate on an axis must stay below to be of any use: the same group
 * split on another axis and turned. */
static int64_t goal(const exact *e, const cell *cells, int axis, int64_t turned) {
  int64_t best = GW_SPLIT_NEVER;
  for (int k = 0; k < e->n_axes; k++) {
    if (cells[k].cost == GW_SPLIT_NEVER) continue;
    int64_t cost = cells[k].cost + (k == axis ? 0 : turned);
    if (cost < best) best = cost;
  }
  return best;
}

static gw_status try_candidate(exact *e, uint64_t group, const candidate *c, int64_t turned,
                               cell *cells) {
  int64_t limit = goal(e, cells, c->axis, turned), moving, base;
  uint64_t rest = group & ~c->moving;
  if (c->least >= limit) return GW_OK;
  GW_TRY(side_cost(e, c->moving, c->axis, &moving));
  if (moving == GW_SPLIT_NEVER || c->own + moving + least(e, rest) >= limit) return GW_OK;
  GW_TRY(side_cost(e, rest, c->axis, &base));
  if (base == GW_SPLIT_NEVER || c->own + moving + base >= limit) return GW_OK;
  cells[c->axis] = (cell){c->own + moving + base, c->moving, c->dir, c->moving_first};
  return GW_OK;
}

static bool given_up(const exact *e) {
  return e->s->stopped || (e->s->spent && e->effort.keep == 0);
}

/* Tries tidy or all splits unless a way was found before (*done). */
static gw_status try_ways(exact *e, uint64_t group, bool tidy, gw_split_ways ways, cell *cells,
                          bool *done) {
  candidates list = {0};
  int64_t turned = turn(e, group);
  if (*done || given_up(e)) return GW_OK;
  gw_status status = gather(e, group, tidy, ways, &list);
  for (size_t i = 0; i < list.n && status == GW_OK && !given_up(e); i++)
    status = try_candidate(e, group, &list.at[i], turned, cells);
  free(list.at);
  for (int k = 0; k < e->n_axes; k++) *done |= cells[k].cost != GW_SPLIT_NEVER;
  return status;
}

static gw_status solve(exact *e, uint64_t group) {
  cell cells[GW_SPLIT_MAX_DIRS];
  bool done = false;
  bool few = __builtin_popcountll(group) > e->effort.wide || (e->effort.keep > 0 && e->s->spent);
  gw_split_ways ways = few ? GW_SPLIT_FEW : GW_SPLIT_ALL;
  for (int k = 0; k < e->n_axes; k++) cells[k] = (cell){.cost = GW_SPLIT_NEVER};
  GW_TRY(try_ways(e, group, true, ways, cells, &done));
  if (few && !e->s->spent) GW_TRY(try_ways(e, group, true, GW_SPLIT_SOME, cells, &done));
  GW_TRY(try_ways(e, group, false, ways, cells, &done));
  return given_up(e) ? GW_OK : store(e, group, cells); /* else not known */
}

/* ---- the plan ---- */

static gw_status emit(exact *e, uint64_t group, int axis, gw_split_plan *plan, int *node) {
  if (single(group)) {
    *node = e->view->ids[__builtin_ctzll(group)];
    return GW_OK;
  }
  int own = 0;
  cost_under(e, group, axis, &own);
  cell c = cells_of(e, group)[own];
  gw_split_step step = {.dir = c.dir};
  if (c.moving_first) GW_TRY(emit(e, c.moving, own, plan, &step.moving));
  GW_TRY(emit(e, group & ~c.moving, own, plan, &step.base));
  if (!c.moving_first) GW_TRY(emit(e, c.moving, own, plan, &step.moving));
  return gw_split_plan_add(e->s->g, plan, step, node);
}

static gw_status run(exact *e, int parent, gw_split_plan *plan, int *node, int64_t *cost) {
  int n = e->view->n;
  uint64_t all = n == 64 ? UINT64_MAX : bit(n) - 1;
  *cost = GW_SPLIT_NEVER;
  GW_TRY(side_cost(e, all, parent, cost));
  if (*cost == GW_SPLIT_NEVER) return GW_OK;
  return emit(e, all, parent, plan, node);
}

gw_status gw_split_exact(gw_split_search *s, const gw_split_view *view, gw_split_effort effort,
                         int parent, gw_split_plan *plan, int *node, int64_t *cost) {
  exact e = {.s = s, .view = view, .effort = effort, .n_axes = s->g->n_axes};
  gw_status status = run(&e, parent, plan, node, cost);
  gw_split_table_clear(&e.table);
  free(e.cells);
  free(e.sides.at);
  return status;
}
