/* timelag.c - the question, the independent check, and the frame of the
 * search: root bounds first, then branch and bound. */
#include "clock/timelag_inside.h"

#include <stdlib.h>
#include <string.h>

/* ---- the question ------------------------------------------------------------------ */

static bool capacities_fit(int resources, const int64_t *capacity) {
  if (resources < 0 || resources > GW_TIMELAG_RESOURCES) return false;
  for (int r = 0; r < resources; r++) {
    if (capacity[r] < 0 || capacity[r] > GW_TIMELAG_MOST) return false;
  }
  return true;
}

gw_timelag *gw_timelag_new(int resources, const int64_t *capacity) {
  if (!capacities_fit(resources, capacity)) return NULL;
  gw_timelag *q = calloc(1, sizeof *q);
  if (q == NULL) return NULL;
  q->resources = resources;
  q->capacity = calloc((size_t)resources + 1, sizeof *q->capacity);
  if (q->capacity == NULL) {
    free(q);
    return NULL;
  }
  if (resources > 0) memcpy(q->capacity, capacity, (size_t)resources * sizeof *capacity);
  return q;
}

void gw_timelag_free(gw_timelag *q) {
  if (q == NULL) return;
  free(q->capacity);
  free(q->duration);
  free(q->demand);
  free(q->links);
  free(q);
}

static gw_status demands_fit(const gw_timelag *q, const int64_t *demand) {
  for (int r = 0; demand != NULL && r < q->resources; r++) {
    if (demand[r] < 0) return GW_BAD_INPUT;
    if (demand[r] > GW_TIMELAG_MOST) return GW_TOO_LARGE;
  }
  return GW_OK;
}

gw_status gw_timelag_activity(gw_timelag *q, int64_t duration, const int64_t *demand,
                              int *index) {
  size_t width = (size_t)q->resources, n = (size_t)q->n;
  if (duration < 0) return GW_BAD_INPUT;
  if (duration > GW_TIMELAG_LONGEST || q->n == GW_TIMELAG_ACTIVITIES) return GW_TOO_LARGE;
  GW_TRY(demands_fit(q, demand));
  GW_TRY(gw_grow(&q->duration, &q->duration_room, n + 1, sizeof *q->duration));
  GW_TRY(gw_grow(&q->demand, &q->demand_room, (n + 1) * width + 1, sizeof *q->demand));
  q->duration[n] = duration;
  for (size_t r = 0; r < width; r++) q->demand[n * width + r] = demand ? demand[r] : 0;
  if (index != NULL) *index = q->n;
  q->n++;
  return GW_OK;
}

gw_status gw_timelag_lag(gw_timelag *q, int i, int j, int64_t lag) {
  if (i < 0 || j < 0 || i >= q->n || j >= q->n) return GW_BAD_INPUT;
  if (lag > GW_TIMELAG_LONGEST || lag < -GW_TIMELAG_LONGEST) return GW_TOO_LARGE;
  GW_TRY(gw_grow(&q->links, &q->link_room, q->n_links + 1, sizeof *q->links));
  q->links[q->n_links++] = (gw_timelag_link){.i = i, .j = j, .lag = lag};
  return GW_OK;
}

int gw_timelag_count(const gw_timelag *q) { return q->n; }

/* ---- the check ------------------------------------------------------------------------ */

/* What resource r is over its capacity at the start of activity i. */
static int64_t over_at(const gw_timelag *q, const int64_t *start, int r, int64_t time) {
  int64_t used = 0;
  for (int i = 0; i < q->n; i++) {
    if (start[i] <= time && time < start[i] + q->duration[i]) used += gw_timelag_need(q, i, r);
  }
  return used - q->capacity[r];
}

/* Use only rises where an activity starts, so only starts need looking at. */
static void check_resources(const gw_timelag *q, const int64_t *start, gw_timelag_verdict *v) {
  for (int i = 0; i < q->n; i++) {
    for (int r = 0; r < q->resources && q->duration[i] > 0; r++) {
      if (gw_timelag_need(q, i, r) == 0) continue;
      if (v->fault != GW_TIMELAG_FINE && start[i] >= v->time) continue;
      int64_t over = over_at(q, start, r, start[i]);
      if (over <= 0) continue;
      v->fault = GW_TIMELAG_RESOURCE;
      v->i = r;
      v->time = start[i];
      v->amount = over;
    }
  }
}

gw_timelag_verdict gw_timelag_check(const gw_timelag *q, const int64_t *start) {
  gw_timelag_verdict v = {.fault = GW_TIMELAG_FINE, .i = -1, .j = -1};
  for (int i = 0; i < q->n; i++) {
    if (start[i] + q->duration[i] > v.end) v.end = start[i] + q->duration[i];
    if (start[i] >= 0 || v.fault != GW_TIMELAG_FINE) continue;
    v.fault = GW_TIMELAG_EARLY;
    v.i = i;
    v.amount = -start[i];
  }
  for (size_t k = 0; k < q->n_links && v.fault == GW_TIMELAG_FINE; k++) {
    const gw_timelag_link *link = &q->links[k];
    int64_t lacks = start[link->i] + link->lag - start[link->j];
    if (lacks <= 0) continue;
    v.fault = GW_TIMELAG_LAG;
    v.i = link->i;
    v.j = link->j;
    v.amount = lacks;
  }
  if (v.fault == GW_TIMELAG_FINE) check_resources(q, start, &v);
  return v;
}

/* ---- setting the search up ------------------------------------------------------------- */

/* The lags and "the end is after every activity" as difference constraints. */
static gw_status fill_net(const gw_timelag *q, gw_net *net) {
  GW_TRY(gw_net_add_nodes(net, q->n + 1, NULL));
  for (size_t k = 0; k < q->n_links; k++)
    GW_TRY(gw_net_at_most(net, q->links[k].j, q->links[k].i, -q->links[k].lag, (int)k));
  for (int i = 0; i < q->n; i++)
    GW_TRY(gw_net_at_most(net, q->n, i, -q->duration[i], -1));
  return GW_OK;
}

/* If there is any schedule, there is one that ends by this time: in a schedule
 * that ends first, at every moment some activity runs or some lag runs down
 * (Bartusch, Moehring and Radermacher 1988; from memory). */
static gw_status horizon(const gw_timelag_search *s, int64_t *sum) {
  const gw_timelag *q = s->q;
  int64_t *longest = gw_arena_alloc(s->store, (size_t)q->n, sizeof *longest);
  if (longest == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < q->n; i++) longest[i] = q->duration[i];
  for (size_t k = 0; k < q->n_links; k++) {
    if (q->links[k].lag > longest[q->links[k].i]) longest[q->links[k].i] = q->links[k].lag;
  }
  *sum = 0;
  for (int i = 0; i < q->n; i++) *sum += longest[i];
  return GW_OK;
}

static bool cannot_share(const gw_timelag *q, int i, int j) {
  if (q->duration[i] == 0 || q->duration[j] == 0) return false;
  for (int r = 0; r < q->resources; r++) {
    int64_t a = gw_timelag_need(q, i, r), b = gw_timelag_need(q, j, r);
    if (a > 0 && b > 0 && a + b > q->capacity[r]) return true;
  }
  return false;
}

static gw_status collect_clashes(gw_timelag_search *s) {
  for (int i = 0; i < s->n; i++) {
    for (int j = i + 1; j < s->n; j++) {
      if (!cannot_share(s->q, i, j)) continue;
      GW_TRY(gw_grow(&s->clashes, &s->clash_room, s->n_clashes + 1, sizeof *s->clashes));
      s->clashes[s->n_clashes++] = (gw_timelag_pair){.i = i, .j = j};
    }
  }
  return GW_OK;
}

static gw_status collect_users(gw_timelag_search *s) {
  size_t resources = (size_t)s->q->resources;
  s->users = gw_arena_alloc(s->store, resources, sizeof *s->users);
  s->n_users = gw_arena_alloc(s->store, resources, sizeof *s->n_users);
  if (s->users == NULL || s->n_users == NULL) return GW_NO_MEMORY;
  for (int r = 0; r < s->q->resources; r++) {
    s->users[r] = gw_arena_alloc(s->store, (size_t)s->n, sizeof(int));
    if (s->users[r] == NULL) return GW_NO_MEMORY;
    for (int i = 0; i < s->n; i++) {
      if (s->q->duration[i] > 0 && gw_timelag_need(s->q, i, r) > 0)
        s->users[r][s->n_users[r]++] = i;
    }
  }
  return GW_OK;
}

static gw_status search_init(gw_timelag_search *s, const gw_timelag *q, int64_t *start) {
  size_t n = (size_t)q->n;
  *s = (gw_timelag_search){.q = q, .n = q->n, .end = q->n, .best = start};
  s->store = gw_arena_new();
  if (s->store == NULL) return GW_NO_MEMORY;
  s->settled = gw_arena_alloc(s->store, n * n, sizeof *s->settled);
  s->profile = gw_arena_alloc(s->store, 2 * n + 2, sizeof *s->profile);
  s->jobs = gw_arena_alloc(s->store, n, sizeof *s->jobs);
  s->seats = gw_arena_alloc(s->store, n, sizeof *s->seats);
  s->placed = gw_arena_alloc(s->store, n, sizeof *s->placed);
  s->was = gw_arena_alloc(s->store, n, sizeof *s->was);
  s->active = gw_arena_alloc(s->store, n, sizeof *s->active);
  s->group = gw_arena_alloc(s->store, n, sizeof *s->group);
  s->windows = gw_arena_alloc(s->store, n, sizeof *s->windows);
  s->weight = gw_arena_alloc(s->store, n, sizeof *s->weight);
  if (s->settled == NULL || s->profile == NULL || s->jobs == NULL || s->seats == NULL ||
      s->placed == NULL || s->was == NULL ||
      s->active == NULL || s->group == NULL || s->windows == NULL ||
      s->weight == NULL)
    return GW_NO_MEMORY;
  GW_TRY(collect_users(s));
  return collect_clashes(s);
}

static void search_clear(gw_timelag_search *s) {
  gw_net_trail_free(s->trail);
  free(s->undo);
  free(s->marks);
  free(s->clashes);
  gw_arena_free(s->store);
}

/* ---- bounds at the root ---------------------------------------------------------------- */

/* What the lags alone settle about every pair: distances between starts. */
static gw_status settle_by_lags(gw_timelag_search *s, gw_net *net, int64_t *least, int i) {
  GW_TRY(gw_net_range(net, i, least, NULL)); /* start[j] - start[i] >= least[j] */
  for (int j = 0; j < s->n; j++) {
    if (j == i || least[j] <= -GW_NET_FAR) continue;
    *gw_timelag_settled(s, i, j) |= GW_TIMELAG_REACHES;
    if (least[j] >= s->q->duration[i]) *gw_timelag_settled(s, i, j) |= GW_TIMELAG_BEFORE;
    if (least[j] > -s->q->duration[j]) *gw_timelag_settled(s, j, i) |= GW_TIMELAG_NOT;
  }
  return GW_OK;
}

static gw_status make_trail(gw_timelag_search *s, gw_net *net, int64_t limit, bool *ok) {
  GW_TRY(fill_net(s->q, net));
  GW_TRY(gw_net_trail_new(net, 0, limit, &s->trail, ok));
  if (!*ok) return GW_OK;
  int64_t *least = gw_arena_alloc(s->store, (size_t)s->n + 1, sizeof *least);
  if (least == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < s->n; i++) GW_TRY(settle_by_lags(s, net, least, i));
  return gw_timelag_find_cliques(s);
}

static bool fits_alone(const gw_timelag *q) {
  for (int i = 0; i < q->n; i++) {
    for (int r = 0; r < q->resources && q->duration[i] > 0; r++) {
      if (gw_timelag_need(q, i, r) > q->capacity[r]) return false;
    }
  }
  return true;
}

/* Whether pruning refutes an end at or before `time`. */
static gw_status refutes(gw_timelag_search *s, int64_t time, bool *refuted) {
  bool ok = true;
  GW_TRY(gw_timelag_push(s));
  gw_status status = gw_timelag_lower(s, s->end, time, &ok);
  if (status == GW_OK && ok) status = gw_timelag_prune(s, &ok);
  gw_timelag_pop(s);
  *refuted = !ok;
  return status;
}

/* The earliest end that is not refuted so, by halving. */
static gw_status root_bound(gw_timelag_search *s, int64_t limit, int64_t *lower) {
  int64_t low = gw_timelag_least(s, s->end), high = limit;
  while (low < high) {
    int64_t middle = low + (high - low) / 2;
    bool refuted;
    GW_TRY(refutes(s, middle, &refuted));
    if (refuted)
      low = middle + 1;
    else
      high = middle;
  }
  *lower = low;
  return GW_OK;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static void conclude(const gw_timelag_search *s, bool stopped, int64_t lower,
                     gw_timelag_answer *answer) {
  answer->nodes = s->nodes;
  answer->found = s->found;
  answer->lower = lower;
  answer->upper = s->found ? s->target + 1 : 0;
  if (!stopped && s->found) answer->lower = answer->upper;
  answer->kind = stopped && !(s->found && answer->upper <= lower) ? GW_TIMELAG_BOUND
                 : s->found                                       ? GW_TIMELAG_OPTIMUM
                                                                  : GW_TIMELAG_INFEASIBLE;
}

static gw_status solve_with(gw_timelag_search *s, gw_net *net, const gw_timelag_options *options,
                            gw_timelag_answer *answer) {
  int64_t limit, lower = 0;
  GW_TRY(horizon(s, &limit));
  if (options->limit >= 0 && options->limit < limit) limit = options->limit;
  bool ok = fits_alone(s->q), stopped = false;
  if (ok) GW_TRY(make_trail(s, net, limit, &ok));
  if (ok) GW_TRY(gw_timelag_prune(s, &ok));
  if (ok) {
    GW_TRY(root_bound(s, limit, &lower));
    s->target = limit;
    s->lower = lower;
    GW_TRY(gw_timelag_raise(s, s->end, lower, &ok));
    if (ok) GW_TRY(gw_timelag_build(s, options, &ok));
    if (ok) GW_TRY(gw_timelag_run(s, options, &stopped));
  }
  conclude(s, stopped, s->lower > lower ? s->lower : lower, answer);
  return GW_OK;
}

gw_status gw_timelag_solve(const gw_timelag *q, const gw_timelag_options *options,
                           int64_t *start, gw_timelag_answer *answer) {
  gw_timelag_search s;
  gw_net *net = gw_net_new();
  if (net == NULL) return GW_NO_MEMORY;
  gw_status status = search_init(&s, q, start);
  if (status == GW_OK) status = solve_with(&s, net, options, answer);
  search_clear(&s);
  gw_net_free(net);
  return status;
}
