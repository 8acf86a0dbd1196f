/* timelag_search.c - branching.
 *
 * The least starts keep every lag; where they also keep every resource they
 * are a schedule.  Otherwise some activities that run at one moment are
 * together too much; a smallest such group cannot all run at once, so of some
 * two of them one ends before the other starts.  A node tries such an order,
 * and then its opposite ("does not end before"), which parts the schedules
 * left over without overlap.  Depth first; the stack holds the orders tried,
 * and an opposite belongs to the state below it. */
#include "clock/timelag_inside.h"

#include <stdlib.h>

/* How many nodes pass between two questions to the stop callback. */
#define NODES_A_QUESTION 64

typedef struct stack {
  gw_timelag_pair *tried;
  size_t depth, room;
} stack;

/* Activities that are together too much, and the orders still open among them. */
typedef struct group {
  int *members, count; /* members: room for all activities */
  int r, open; int64_t w;
  int64_t at;
} group;

/* ---- finding a conflict ------------------------------------------------------------ */

static int by_start(const void *left, const void *right) {
  const gw_timelag_seat *a = left, *b = right;
  if (a->start != b->start) return a->start < b->start ? -1 : 1;
  return a->i < b->i ? -1 : 1;
}

static int seat_users(gw_timelag_search *s, int r) {
  for (int k = 0; k < s->n_users[r]; k++) {
    int i = s->users[r][k];
    s->seats[k] = (gw_timelag_seat){.start = gw_timelag_least(s, i), .i = i};
  }
  qsort(s->seats, (size_t)s->n_users[r], sizeof *s->seats, by_start);
  return s->n_users[r];
}

/* The first moment at which the earliest starts use too much of resource r:
 * fills s->active and returns how many run then, or 0. */
static int first_conflict(gw_timelag_search *s, int r, int64_t *at) {
  const int count = seat_users(s, r);
  int running = 0;
  int64_t used = 0;
  for (int k = 0; k < count; k++) {
    const gw_timelag_seat *seat = &s->seats[k];
    int kept = 0;
    for (int a = 0; a < running; a++) {
      int i = s->active[a];
      if (gw_timelag_least(s, i) + s->q->duration[i] > seat->start)
        s->active[kept++] = i;
      else
        used -= gw_timelag_need(s->q, i, r);
    }
    running = kept;
    s->active[running++] = seat->i;
    used += gw_timelag_need(s->q, seat->i, r);
    *at = seat->start;
    if (used > s->q->capacity[r]) return running;
  }
  return 0;
}

/* Orders still open between member k and the others. */
static int open_of(gw_timelag_search *s, const int *members, int count, int k) {
  int open = 0;
  for (int m = 0; m < count; m++) {
    if (m == k) continue;
    open += gw_timelag_can_precede(s, members[k], members[m]);
    open += gw_timelag_can_precede(s, members[m], members[k]);
  }
  return open;
}

/* Leaves out members, those with most open orders first, while the rest is
 * still too much; returns how many stay. */
static int shrink(gw_timelag_search *s, int r, int *members, int count) {
  int64_t used = 0;
  for (int k = 0; k < count; k++) used += gw_timelag_need(s->q, members[k], r);
  for (;;) {
    int out = -1, most = -1;
    for (int k = 0; k < count; k++) {
      if (used - gw_timelag_need(s->q, members[k], r) <= s->q->capacity[r]) continue;
      int open = open_of(s, members, count, k);
      if (open < most) continue;
      most = open;
      out = k;
    }
    if (out < 0) return count;
    used -= gw_timelag_need(s->q, members[out], r);
    for (int k = out; k + 1 < count; k++) members[k] = members[k + 1];
    count--;
  }
}

static void take_group(gw_timelag_search *s, group *g, int r, int count, int64_t at) {
  int open = 0;
  count = shrink(s, r, s->active, count);
  for (int k = 0; k < count; k++) open += open_of(s, s->active, count, k);
  open /= 2; /* each order was seen from both of its ends */
  int64_t w=1; for (int k = 0; k < count; k++) w += s->weight[s->active[k]];
  if (g->count > 0 && (open*g->w > g->open*w || (open*g->w == g->open*w && at >= g->at))) return;
  g->w=w;
  g->count = count;
  g->r = r;
  g->open = open;
  g->at = at;
  for (int k = 0; k < count; k++) g->members[k] = s->active[k];
}

/* Of the first conflict of each resource, the one with fewest open orders. */
static void find_group(gw_timelag_search *s, group *g) {
  *g = (group){.members = s->group, .count = 0};
  for (int r = 0; r < s->q->resources; r++) {
    int64_t at;
    int count = first_conflict(s, r, &at);
    if (count > 0) take_group(s, g, r, count, at);
  }
}

/* The open order that leaves the second most room. */
static gw_timelag_pair choose(gw_timelag_search *s, const group *g) {
  gw_timelag_pair best = {.i = -1, .j = -1};
  int64_t best_room = 0;
  for (int a = 0; a < g->count; a++) {
    for (int b = 0; b < g->count; b++) {
      int i = g->members[a], j = g->members[b];
      if (a == b || !gw_timelag_can_precede(s, i, j)) continue;
      /*X*/ int64_t room = gw_timelag_most(s, j) - gw_timelag_least(s, i) - s->q->duration[i];
      if (best.i >= 0 && room <= best_room) continue;
      best = (gw_timelag_pair){.i = i, .j = j};
      best_room = room;
    }
  }
  return best;
}

/* ---- depth first ------------------------------------------------------------------------ */

static void take_schedule(gw_timelag_search *s) {
  for (int i = 0; i < s->n; i++) s->best[i] = gw_timelag_least(s, i);
  s->found = true;
  s->target = gw_timelag_least(s, s->end) - 1;
}

static gw_status branch(gw_timelag_search *s, stack *t, gw_timelag_pair pair, bool *ok) {
  GW_TRY(gw_grow(&t->tried, &t->room, t->depth + 1, sizeof *t->tried));
  GW_TRY(gw_timelag_push(s));
  t->tried[t->depth++] = pair;
  s->nodes++;
  return gw_timelag_precede(s, pair.i, pair.j, ok);
}

/* Goes on from a consistent state to a conflict and branches on it; a state
 * without conflict is a schedule, after which only earlier ends count. */
static gw_status descend(gw_timelag_search *s, stack *t, bool *ok) {
  group g;
  GW_TRY(gw_timelag_prune(s, ok));
  if (!*ok) return GW_OK;
  find_group(s, &g);
  if (g.count == 0) {
    take_schedule(s);
    *ok = false;
  } else if (g.open == 0) {
    *ok = false;
  } else if (g.open == 1) {
    gw_timelag_pair pair = choose(s, &g);
    return gw_timelag_precede(s, pair.i, pair.j, ok);
  } else {
    return branch(s, t, choose(s, &g), ok);
  }
  return GW_OK;
}

/* Takes the last order back and settles its opposite; *done when none is left. */
static gw_status back(gw_timelag_search *s, stack *t, bool *ok, bool *done) {
  if (t->depth == 0) {
    *done = true;
    return GW_OK;
  }
  gw_timelag_pair pair = t->tried[--t->depth];
  gw_timelag_pop(s);
  s->weight[pair.i]++; s->weight[pair.j]++;
  s->nodes++;
  *ok = true;
  GW_TRY(gw_timelag_lower(s, s->end, s->target, ok));
  return *ok ? gw_timelag_forbid(s, pair.i, pair.j, ok) : GW_OK;
}

static bool must_stop(const gw_timelag_search *s, const gw_timelag_options *o, int64_t *asked) {
  if (o->nodes > 0 && s->nodes >= o->nodes) return true;
  if (o->stop == NULL || s->nodes < *asked) return false;
  *asked = s->nodes + NODES_A_QUESTION;
  return o->stop(o->with);
}

static gw_status run_with(gw_timelag_search *s, stack *t, const gw_timelag_options *options,
                          bool *stopped) {
  bool ok = true, done = false;
  int64_t asked = 0, round = 100, until = 100;
  while (!done) {
    if (!s->found && s->nodes >= until && t->depth > 0) {
      while (t->depth > 0) { t->depth--; gw_timelag_pop(s); }
      ok = true;
      GW_TRY(gw_timelag_lower(s, s->end, s->target, &ok));
      round = round * 5 / 4;
      until = s->nodes + round;
    }
    if (must_stop(s, options, &asked)) {
      *stopped = true;
      return GW_OK;
    }
    GW_TRY(ok ? descend(s, t, &ok) : back(s, t, &ok, &done));
  }
  return GW_OK;
}

gw_status gw_timelag_run(gw_timelag_search *s, const gw_timelag_options *options,
                         bool *stopped) {
  stack t = {.tried = NULL};
  gw_status status = run_with(s, &t, options, stopped);
  free(t.tried);
  return status;
}
