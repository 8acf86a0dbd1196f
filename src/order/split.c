/* split.c - checks the problem and runs the searches in turn. */
#include "order/split.h"

#include <stdlib.h>

#include "order/split_internal.h"

#define NODE_BUDGET 2000000      /* splits looked at: about a second */
#define ASK_EVERY 1024           /* nodes between two questions to the stop callback */

gw_split_problem gw_split_problem_default(void) {
  return (gw_split_problem){.hands = 1, .weights = gw_split_default_weights(),
                            .exact_limit = GW_SPLIT_EXACT_MAX, .node_budget = NODE_BUDGET};
}

bool gw_split_tick(gw_split_search *s, int64_t nodes) {
  int64_t before = s->nodes / ASK_EVERY;
  const gw_split_problem *p = s->g->p;
  s->nodes += nodes;
  if (s->nodes > s->limit) s->spent = true;
  if (p->stop && s->nodes / ASK_EVERY != before && p->stop(p->stop_data)) s->stopped = true;
  return !s->spent && !s->stopped;
}

/* ---- checks ---- */

static gw_status check_dirs(const gw_split_problem *p, gw_error *err) {
  if (p->n_dirs < 1 || p->n_dirs > GW_SPLIT_MAX_DIRS)
    return gw_fail(err, GW_BAD_INPUT, "%d directions; 1 to %d are allowed", p->n_dirs,
                   GW_SPLIT_MAX_DIRS);
  for (int d = 0; d < p->n_dirs; d++) {
    int back = p->dir_opposite ? p->dir_opposite[d] : -1;
    if (back < -1 || back >= p->n_dirs || back == d || (back >= 0 && p->dir_opposite[back] != d))
      return gw_fail(err, GW_BAD_INPUT, "direction %d has no proper opposite", d);
    if (p->dir_cost && p->dir_cost[d] < 0)
      return gw_fail(err, GW_BAD_INPUT, "direction %d has a negative cost", d);
  }
  return GW_OK;
}

static bool is_part(const gw_split_problem *p, int v) { return v >= 0 && v < p->n_parts; }

static gw_status check_arcs(const gw_split_problem *p, gw_error *err) {
  if (p->n_arcs > INT32_MAX / 2) return gw_fail(err, GW_TOO_LARGE, "too many blocking arcs");
  for (size_t i = 0; i < p->n_arcs; i++) {
    const gw_split_arc *a = &p->arcs[i];
    if (!is_part(p, a->mover) || !is_part(p, a->blocker) || a->mover == a->blocker ||
        a->dir < 0 || a->dir >= p->n_dirs || a->joint < -1 || a->joint >= p->n_joints)
      return gw_fail(err, GW_BAD_INPUT, "blocking arc %zu is out of range", i);
  }
  return GW_OK;
}

static gw_status check_joints(const gw_split_problem *p, gw_error *err) {
  if (p->n_joints < 0 || p->n_joints > INT32_MAX / 4)
    return gw_fail(err, GW_TOO_LARGE, "too many joints");
  for (int j = 0; j < p->n_joints; j++) {
    const gw_split_joint *joint = &p->joints[j];
    if (!is_part(p, joint->a) || !is_part(p, joint->b) || joint->a == joint->b ||
        joint->slide < 0 ||
        (joint->mover != -1 && joint->mover != joint->a && joint->mover != joint->b))
      return gw_fail(err, GW_BAD_INPUT, "joint %d is out of range", j);
  }
  return GW_OK;
}

static gw_status check_group(const gw_split_problem *p, int i, gw_error *err) {
  const gw_split_wish *w = &p->wishes[i];
  if (w->n_parts < 1) return gw_fail(err, GW_BAD_INPUT, "wish %d names no parts", i);
  for (int k = 0; k < w->n_parts; k++) {
    if (!is_part(p, w->parts[k])) return gw_fail(err, GW_BAD_INPUT, "wish %d is out of range", i);
    for (int m = 0; m < k; m++)
      if (w->parts[m] == w->parts[k])
        return gw_fail(err, GW_BAD_INPUT, "wish %d names part %d twice", i, w->parts[k]);
  }
  return GW_OK;
}

static gw_status check_wishes(const gw_split_problem *p, gw_error *err) {
  for (int i = 0; i < p->n_wishes; i++) {
    const gw_split_wish *w = &p->wishes[i];
    int end = w->kind == GW_SPLIT_PART_BEFORE ? p->n_parts : p->n_joints;
    if (w->kind == GW_SPLIT_GROUP_FIRST)
      GW_TRY(check_group(p, i, err));
    else if (w->x < 0 || w->y < 0 || w->x >= end || w->y >= end)
      return gw_fail(err, GW_BAD_INPUT, "wish %d is out of range", i);
  }
  return GW_OK;
}

/* An estimate from above of what an order can cost, in floating point. */
static double worst_cost(const gw_split_problem *p) {
  double n = p->n_parts, mass = 0, slide = 0, dir = 0;
  const gw_split_weights *w = &p->weights;
  for (int v = 0; v < p->n_parts && p->mass_g; v++) mass += (double)p->mass_g[v];
  for (int j = 0; j < p->n_joints; j++) slide += (double)p->joints[j].slide;
  for (int d = 0; d < p->n_dirs && p->dir_cost; d++)
    if (p->dir_cost[d] > dir) dir = p->dir_cost[d];
  double joints = p->n_joints;
  return (double)w->align * joints * joints + ((double)w->loose + (double)w->hands) * n * n +
         n * ((double)w->dir * dir + ((double)w->mass + (double)w->turned) * mass +
              2 * (double)w->turn) +
         (double)w->slide * slide * n + ((double)w->against + (double)w->beside) * joints;
}

static gw_status check_costs(const gw_split_problem *p, gw_error *err) {
  const gw_split_weights *all = &p->weights;
  int64_t terms[] = {all->align, all->beside, all->loose, all->hands,  all->dir,
                     all->mass,  all->slide,  all->turn,  all->turned, all->against};
  for (size_t i = 0; i < sizeof terms / sizeof *terms; i++)
    if (terms[i] < 0) return gw_fail(err, GW_BAD_INPUT, "a weight is negative");
  for (int v = 0; v < p->n_parts && p->mass_g; v++)
    if (p->mass_g[v] < 0) return gw_fail(err, GW_BAD_INPUT, "part %d has a negative mass", v);
  if (worst_cost(p) > 4e18) return gw_fail(err, GW_TOO_LARGE, "costs could overflow");
  return GW_OK;
}

gw_status gw_split_check(const gw_split_problem *p, gw_error *err) {
  if (p->n_parts < 1) return gw_fail(err, GW_BAD_INPUT, "no parts to put in order");
  if (p->n_parts > GW_SPLIT_MAX_PARTS)
    return gw_fail(err, GW_TOO_LARGE, "%d parts; at most %d are put in order", p->n_parts,
                   GW_SPLIT_MAX_PARTS);
  if (p->hands < 1) return gw_fail(err, GW_BAD_INPUT, "no hands to put it together");
  GW_TRY(check_dirs(p, err));
  GW_TRY(check_joints(p, err));
  GW_TRY(check_arcs(p, err));
  GW_TRY(check_wishes(p, err));
  return check_costs(p, err);
}

/* ---- the searches in turn ---- */

static void start_run(gw_split_search *s, int64_t budget) {
  s->limit = s->nodes + budget;
  s->spent = false;
}

/* Up to 64 parts at once, every one of them. */
static gw_status search_masks(gw_split_search *s, gw_split_effort effort, gw_split_plan *plan,
                              bool *found) {
  int parts[64], node;
  gw_split_view view;
  for (int v = 0; v < s->g->n; v++) parts[v] = v;
  plan->n = 0;
  gw_status status = gw_split_view_make(s, parts, s->g->n, &view);
  if (status == GW_OK) status = gw_split_exact(s, &view, effort, -1, plan, &node, &plan->cost);
  gw_split_view_clear(&view);
  *found = plan->cost != GW_SPLIT_NEVER;
  return status;
}

static gw_status search_greedy(gw_split_search *s, bool even, gw_split_plan *plan, bool *found) {
  plan->n = 0;
  start_run(s, s->g->p->node_budget / 4);
  GW_TRY(gw_split_greedy(s, even, plan, found));
  return *found ? gw_split_plan_price(s->g, plan) : GW_OK;
}

static bool met(const gw_split_search *s, const gw_split_plan *plan) {
  return s->any || plan->cost <= s->bound;
}

static void keep_better(gw_split_plan *plan, bool *found, gw_split_plan *other, bool better) {
  if (!better || (*found && plan->cost <= other->cost)) return;
  gw_split_plan old = *plan;
  *plan = *other;
  *other = old;
  *found = true;
}

static gw_status search_bounded(gw_split_search *s, gw_split_plan *plan, bool *found) {
  gw_split_plan other = {0};
  bool also = false;
  start_run(s, s->g->p->node_budget / 4);
  if (s->g->n <= GW_SPLIT_EXACT_MAX)
    return search_masks(s, (gw_split_effort){12, 4}, plan, found);
  GW_TRY(search_greedy(s, false, plan, found));
  if (s->stopped || (*found && met(s, plan))) return GW_OK;
  gw_status status = search_greedy(s, true, &other, &also);
  if (status == GW_OK) keep_better(plan, found, &other, also);
  free(other.steps);
  return status;
}

static bool small(const gw_split_problem *p) {
  return p->n_parts <= p->exact_limit && p->n_parts <= GW_SPLIT_EXACT_MAX;
}

static void tell_better(const gw_split_search *s, const gw_split_plan *plan, bool found) {
  const gw_split_problem *p = s->g->p;
  if (found && !s->any && p->better) p->better(p->stop_data, plan->cost, s->bound);
}

/* One try with the wishes in force: *found, and *proven when the answer (an
 * order of least cost, or none) is certain.  Quick searches come first: their
 * order may meet the bound. */
static gw_status search_once(gw_split_search *s, gw_split_plan *plan, bool *found, bool *proven) {
  const gw_split_problem *p = s->g->p;
  gw_split_plan exact = {0};
  bool also = false;
  *found = false;
  GW_TRY(gw_split_wish_circle(s->g, s->active, proven));
  if (*proven) return GW_OK;
  GW_TRY(search_bounded(s, plan, found));
  tell_better(s, plan, *found);
  *proven = *found && met(s, plan);
  if (*proven || s->stopped || !small(p)) return GW_OK;
  start_run(s, p->node_budget);
  gw_status status = search_masks(s, (gw_split_effort){64, 0}, &exact, &also);
  *proven = !s->spent && !s->stopped;
  if (status == GW_OK) keep_better(plan, found, &exact, also);
  free(exact.steps);
  return status;
}

/* ---- refused wishes ---- */

typedef struct blame {
  bool *core, *trial; /* by wish: known to be needed; tried now */
  int n, end;         /* wishes from `end` on are not needed */
  bool proven;        /* that the core contradicts itself, as far as looked */
} blame;

static gw_status possible(gw_split_search *s, const bool *wishes, bool *found, bool *proven) {
  gw_split_plan plan = {0};
  const bool *was = s->active;
  bool any = s->any;
  s->active = wishes;
  s->any = true;
  gw_status status = search_once(s, &plan, found, proven);
  s->any = any;
  s->active = was;
  free(plan.steps);
  return status;
}

/* Adds wishes to the core one by one until they contradict each other; the one
 * that did it belongs to the core.  *more: there was one. */
static gw_status grow_core(gw_split_search *s, blame *b, const bool *active, bool *more) {
  bool found;
  for (int i = 0; i < b->n; i++) b->trial[i] = b->core[i];
  GW_TRY(possible(s, b->trial, &found, &b->proven));
  *more = false;
  if (!found) return GW_OK;
  for (int i = 0; i < b->end && !s->stopped; i++) {
    if (!active[i] || b->core[i]) continue;
    b->trial[i] = true;
    GW_TRY(possible(s, b->trial, &found, &b->proven));
    if (found) continue;
    b->core[i] = *more = true;
    b->end = i;
    return GW_OK;
  }
  return GW_OK;
}

/* Names a conflict among the wishes in force and drops one of its wishes.
 * Growing asks for few answers of "impossible", which are the slow ones. */
static gw_status refuse(gw_split_search *s, bool *active, gw_split_result *result) {
  int n = s->g->p->n_wishes;
  bool more = true;
  blame b = {.n = n, .end = n};
  b.core = gw_arena_alloc(result->arena, (size_t)n + 1, sizeof(bool));
  b.trial = gw_arena_alloc(result->arena, (size_t)n + 1, sizeof(bool));
  if (!b.core || !b.trial) return GW_NO_MEMORY;
  while (more && !s->stopped) GW_TRY(grow_core(s, &b, active, &more));
  if (s->stopped) return GW_OK;
  if (b.end == n) /* all of them could be kept when only that was asked for */
    for (int i = 0; i < n; i++) b.core[i] = active[i];
  GW_TRY(gw_split_add_conflict(result, b.core, n, b.proven && b.end < n));
  active[result->conflicts[result->n_conflicts - 1].dropped] = false;
  return GW_OK;
}

/* ---- the whole ---- */

static gw_status finish(gw_split_search *s, const gw_split_plan *plan, bool proven,
                        gw_split_result *result) {
  GW_TRY(gw_split_plan_write(s->g, plan, result));
  result->bound = s->bound;
  result->kind = GW_SPLIT_ORDER;
  /* A search for any order leaves off before the costs are complete. */
  if (!s->any && (result->bound > result->cost || plan->cost != result->cost)) return GW_INTERNAL;
  if (proven && !s->any) result->bound = result->cost;
  result->proof = result->bound == result->cost ? GW_SPLIT_OPTIMAL : GW_SPLIT_BOUND;
  return result->n_joins == s->g->n - 1 ? GW_OK : GW_INTERNAL;
}

static gw_status search(gw_split_search *s, bool *active, gw_split_result *result) {
  gw_split_plan plan = {0};
  bool found = false, proven = false;
  gw_status status;
  for (;;) {
    status = search_once(s, &plan, &found, &proven);
    if (status != GW_OK || found || s->stopped) break;
    status = refuse(s, active, result);
    if (status != GW_OK || s->stopped) break;
  }
  result->kind = GW_SPLIT_STOPPED;
  if (status == GW_OK && found) status = finish(s, &plan, proven, result);
  result->nodes = s->nodes;
  free(plan.steps);
  return status;
}

static gw_status solve(const gw_split_problem *p, gw_split_result *result) {
  gw_split_graph g;
  GW_TRY(gw_split_graph_make(p, result->arena, &g));
  result->n_parts = p->n_parts;
  GW_TRY(gw_split_find_locks(&g, result));
  if (result->kind == GW_SPLIT_LOCKED) return GW_OK;
  bool *active = gw_arena_alloc(result->arena, (size_t)p->n_wishes + 1, sizeof(bool));
  if (!active) return GW_NO_MEMORY;
  for (int i = 0; i < p->n_wishes; i++) active[i] = true;
  GW_TRY(gw_split_wish_groups(&g, active, result));
  gw_split_search s = {.g = &g, .active = active, .leaf = GW_SPLIT_EXACT_MAX, .any = p->any};
  if (!p->any) GW_TRY(gw_split_bound(&g, &s.bound));
  return search(&s, active, result);
}

gw_status gw_split_solve(const gw_split_problem *problem, gw_split_result **out, gw_error *err) {
  *out = NULL;
  GW_TRY(gw_split_check(problem, err));
  gw_split_result *result = calloc(1, sizeof *result);
  if (!result) return gw_fail(err, GW_NO_MEMORY, "out of memory");
  result->arena = gw_arena_new();
  gw_status status = result->arena ? solve(problem, result) : GW_NO_MEMORY;
  if (status == GW_OK) {
    *out = result;
    return GW_OK;
  }
  gw_split_free(result);
  return gw_fail(err, status, "the order of assembly could not be worked out");
}

void gw_split_free(gw_split_result *result) {
  if (!result) return;
  gw_arena_free(result->arena);
  free(result);
}
