/* timelag_search.c - branching.
 *
 * The least starts keep every lag; where they also keep every resource they
 * are a schedule.  Otherwise some activities that run at one moment are
 * together too much; a smallest such group cannot all run at once, so of some
 * two of them one ends before the other starts.  A node tries such an order,
 * and then its opposite ("does not end before"), which parts the schedules
 * left over without overlap.  Depth first; the stack holds the orders tried,
 * and an opposite belongs to the state below it.
 *
 * Three turns: unless a schedule was built, runs from the root, ever longer,
 * until one finds a schedule; then by turns, each time with twice the effort,
 * stretches of it are opened again while the rest keeps its order, to shorten
 * it, and a search from the root tries to reach the end, for the proof. */
#include "clock/timelag_inside.h"

#include <stdlib.h>

/* How many nodes pass between two questions to the stop callback. */
#define NODES_A_QUESTION 8
/* The first run from the root has so many nodes, each later one a quarter more. */
#define FIRST_RUN 100
/* Opening stretches: their first length, how often at most, and no question
 * with more activities, for which it takes too long. */
#define FIRST_STRETCH 6
#define MOST_STRETCHES 600
#define STRETCH_ACTIVITIES 400

typedef struct stack {
  gw_timelag_pair *tried;
  size_t depth, room;
} stack;

/* Activities that are together too much, and the orders still open among them. */
typedef struct group {
  int *members, count; /* members: room for all activities */
  int r, open;
  int64_t at, weight;
} group;

/* One depth-first run: what ends it, and how it ended. */
typedef enum outcome { EXHAUSTED, RUN_OUT, FOUND, STOPPED } outcome;
typedef struct run {
  const gw_timelag_options *options;
  int64_t until;    /* ends at so many nodes in all; 0: no such limit */
  bool until_found; /* ends with the first schedule */
  int64_t asked;    /* nodes at which the stop callback is next asked */
  int64_t effort;   /* 1, 2, 4, ... */
  outcome how;
} run;

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

/* What the group has to do with dead ends so far, while none has led to a
 * schedule; afterwards all groups weigh the same. */
static int64_t weight_of(const gw_timelag_search *s, const int *members, int count) {
  int64_t weight = 1;
  for (int k = 0; k < count && !s->found; k++) weight += s->weight[members[k]];
  return weight;
}

static void take_group(gw_timelag_search *s, group *g, int r, int count, int64_t at) {
  int open = 0;
  count = shrink(s, r, s->active, count);
  for (int k = 0; k < count; k++) open += open_of(s, s->active, count, k);
  open /= 2; /* each order was seen from both of its ends */
  int64_t weight = weight_of(s, s->active, count);
  int64_t ours = open * g->weight, theirs = g->open * weight;
  if (g->count > 0 && (ours > theirs || (ours == theirs && at >= g->at))) return;
  *g = (group){.members = g->members, .count = count, .r = r, .open = open, .at = at,
               .weight = weight};
  for (int k = 0; k < count; k++) g->members[k] = s->active[k];
}

/* Of the first conflict of each resource, the one with fewest open orders for
 * its weight. */
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
      int64_t room = gw_timelag_most(s, j) - gw_timelag_least(s, i) - s->q->duration[i];
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
  s->nodes++;
  s->weight[pair.i]++;
  s->weight[pair.j]++;
  *ok = true;
  GW_TRY(gw_timelag_lower(s, s->end, s->target, ok));
  return *ok ? gw_timelag_forbid(s, pair.i, pair.j, ok) : GW_OK;
}

static bool must_stop(const gw_timelag_search *s, run *r) {
  const gw_timelag_options *o = r->options;
  if (o->nodes > 0 && s->nodes >= o->nodes) return true;
  if (o->first && s->found) return true;
  if (o->stop == NULL || s->nodes < r->asked) return false;
  r->asked = s->nodes + NODES_A_QUESTION;
  return o->stop(o->with);
}

static bool run_ends(const gw_timelag_search *s, run *r) {
  if (must_stop(s, r))
    r->how = STOPPED;
  else if (r->until_found && s->found)
    r->how = FOUND;
  else if (r->until > 0 && s->nodes >= r->until)
    r->how = RUN_OUT;
  else
    return false;
  return true;
}

/* Searches depth first from the present state and returns to it, but for the
 * opposites settled for good.  r->how says what ended it. */
static gw_status depth_first(gw_timelag_search *s, stack *t, run *r) {
  bool ok = true, done = false;
  GW_TRY(gw_timelag_lower(s, s->end, s->target, &ok));
  r->how = EXHAUSTED;
  while (!done && !run_ends(s, r)) GW_TRY(ok ? descend(s, t, &ok) : back(s, t, &ok, &done));
  for (; t->depth > 0; t->depth--) gw_timelag_pop(s);
  return GW_OK;
}

/* ---- the three turns -------------------------------------------------------------------- */

/* Runs from the root, each a quarter longer, until one finds a schedule or has
 * seen all there is. */
static gw_status find_first(gw_timelag_search *s, stack *t, run *r) {
  r->until_found = true;
  int64_t length = FIRST_RUN;
  do {
    r->until = s->nodes + length;
    length += length / 4;
    GW_TRY(depth_first(s, t, r));
  } while (r->how == RUN_OUT);
  r->until_found = false;
  return GW_OK;
}

static bool share_resource(const gw_timelag *q, int i, int j) {
  for (int r = 0; r < q->resources; r++) {
    if (gw_timelag_need(q, i, r) > 0 && gw_timelag_need(q, j, r) > 0) return true;
  }
  return false;
}

/* Keeps the order of i and j as the schedule has it. */
static gw_status keep_order(gw_timelag_search *s, const int64_t *was, int i, int j, bool *ok) {
  if (!share_resource(s->q, i, j)) return GW_OK;
  if (was[i] + s->q->duration[i] <= was[j]) return gw_timelag_precede(s, i, j, ok);
  if (was[j] + s->q->duration[j] <= was[i]) return gw_timelag_precede(s, j, i, ok);
  return GW_OK;
}

/* Keeps the order of seats[a] before all later ones but those of the stretch.
 * An order that follows from one kept already, through the successor that ends
 * first, is left out: there are very many. */
static gw_status keep_after(gw_timelag_search *s, const gw_timelag_seat *seats, int a, int at,
                            int length, bool *ok) {
  int first = -1; /* of the successors of a, the one that ends first */
  for (int b = a + 1; b < s->n && *ok; b++) {
    int j = seats[b].i;
    if (b >= at && b < at + length) continue;
    if (first >= 0 && s->was[first] + s->q->duration[first] <= s->was[j] &&
        share_resource(s->q, first, j))
      continue;
    GW_TRY(keep_order(s, s->was, seats[a].i, j, ok));
    if ((*gw_timelag_settled(s, seats[a].i, j) & GW_TIMELAG_BEFORE) == 0) continue;
    if (first < 0 || s->was[j] + s->q->duration[j] < s->was[first] + s->q->duration[first])
      first = j;
  }
  return GW_OK;
}

/* Keeps the orders of all but seats[at] .. seats[at + length - 1]. */
static gw_status keep_rest(gw_timelag_search *s, const gw_timelag_seat *seats, int at,
                           int length, bool *ok) {
  for (int a = 0; a < s->n && *ok; a++) {
    if (a < at || a >= at + length) GW_TRY(keep_after(s, seats, a, at, length, ok));
  }
  return GW_OK;
}

/* Opens one stretch of the best schedule; *better when that shortened it. */
static gw_status open_stretch(gw_timelag_search *s, stack *t, run *r, int at, int length,
                              bool *better) {
  const int64_t before = s->target;
  bool ok = true;
  for (int i = 0; i < s->n; i++) {
    s->was[i] = s->best[i];
    s->placed[i] = (gw_timelag_seat){.start = s->best[i], .i = i};
  }
  qsort(s->placed, (size_t)s->n, sizeof *s->placed, by_start);
  GW_TRY(gw_timelag_push(s));
  gw_status status = gw_timelag_lower(s, s->end, s->target, &ok);
  if (status == GW_OK && ok) status = keep_rest(s, s->placed, at, length, &ok);
  r->until = s->nodes + r->effort * (FIRST_RUN + 10 * length);
  if (status == GW_OK && ok) status = depth_first(s, t, r);
  gw_timelag_pop(s);
  if (s->target < before) *better = true;
  return status;
}

/* Opens overlapping stretches from first to last, again while that helps, then
 * longer ones.  Where the first one begins changes with the effort. */
static gw_status shorten(gw_timelag_search *s, stack *t, run *r) {
  int left = MOST_STRETCHES;
  bool better = false;
  for (int length = FIRST_STRETCH; length < s->n; length += better ? 0 : length / 2) {
    better = false;
    for (int at = -(int)(r->effort % 7 % length); at < s->n; at += length / 2) {
      if (s->target < s->lower || left-- == 0) return GW_OK;
      GW_TRY(open_stretch(s, t, r, at, length, &better));
      if (r->how == STOPPED) return GW_OK;
    }
  }
  return GW_OK;
}

/* Raises the lower bound as far as probing refutes ends before the best one. */
static gw_status raise_lower(gw_timelag_search *s, run *r) {
  int64_t high = s->target + 1;
  while (s->lower < high && !run_ends(s, r)) {
    int64_t middle = s->lower + (high - s->lower) / 2;
    bool ok = true;
    GW_TRY(gw_timelag_push(s));
    gw_status status = gw_timelag_lower(s, s->end, middle, &ok);
    if (status == GW_OK && ok) status = gw_timelag_probe(s, &ok);
    gw_timelag_pop(s);
    if (status != GW_OK) return status;
    if (ok)
      high = middle;
    else
      s->lower = middle + 1;
  }
  return GW_OK;
}

/* One turn at the proof, as long as the turn before it at shortening. */
static gw_status prove(gw_timelag_search *s, stack *t, run *r, int64_t spent) {
  bool ok = true;
  const int64_t least = FIRST_RUN * 50 * r->effort;
  r->until = 0;
  if (r->effort == 1) GW_TRY(raise_lower(s, r));
  GW_TRY(gw_timelag_lower(s, s->end, s->target, &ok));
  if (ok) GW_TRY(gw_timelag_probe(s, &ok));
  r->until = s->nodes + (spent > least ? spent : least);
  r->how = EXHAUSTED;
  return ok ? depth_first(s, t, r) : GW_OK;
}

static gw_status run_all(gw_timelag_search *s, stack *t, run *r) {
  r->how = RUN_OUT;
  if (!s->found) {
    GW_TRY(find_first(s, t, r));
    if (r->how != FOUND) return GW_OK;
  }
  for (r->effort = 1;; r->effort *= 2) {
    int64_t before = s->nodes;
    if (s->n <= STRETCH_ACTIVITIES) GW_TRY(shorten(s, t, r));
    if (r->how == STOPPED) return GW_OK;
    GW_TRY(prove(s, t, r, s->nodes - before));
    if (r->how != RUN_OUT) return GW_OK;
  }
}

gw_status gw_timelag_run(gw_timelag_search *s, const gw_timelag_options *options,
                         bool *stopped) {
  stack t = {.tried = NULL};
  run r = {.options = options};
  gw_status status = run_all(s, &t, &r);
  *stopped = r.how == STOPPED;
  free(t.tried);
  return status;
}
