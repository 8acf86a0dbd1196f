/* trail.c - least and most of every node, kept while constraints come and go.
 *
 * Invariant between calls that report consistency: the bounds are a fixed
 * point, least[j] >= least[i] + lag and most[i] <= most[j] - lag for every
 * link.  Adding a link i -> j then closes an impossible cycle exactly when the
 * news of it comes back to the node it started from: some way from j to i has
 * more than -lag. */
#include "network/inside.h"

#include <stdlib.h>

typedef struct link {
  int from, to; /* x_to >= x_from + lag */
  int64_t lag;
  int next_out, next_in; /* further links of the same node, or -1 */
} link;

/* What to put back: a bound of a node, or (node < 0) the newest link. */
typedef struct change {
  int node;
  bool is_most;
  int64_t old;
} change;

struct gw_net_trail {
  int n;
  int64_t lag_limit;
  link *links;
  size_t n_links, link_room;
  change *changes;
  size_t n_changes, change_room;
  size_t *marks; /* n_changes at each push */
  size_t n_marks, mark_room;
  int *first_out, *first_in;
  int64_t *least, *most;
  int *queue, head, waiting;
  bool *queued;
  gw_arena *store;
};

void gw_net_trail_free(gw_net_trail *trail) {
  if (trail == NULL) return;
  gw_arena_free(trail->store);
  free(trail->links);
  free(trail->changes);
  free(trail->marks);
  free(trail);
}

/* ---- changing and undoing --------------------------------------------------------- */

static gw_status record(gw_net_trail *t, int node, bool is_most, int64_t old) {
  if (t->n_marks == 0) return GW_OK;
  GW_TRY(gw_grow(&t->changes, &t->change_room, t->n_changes + 1, sizeof *t->changes));
  t->changes[t->n_changes++] = (change){.node = node, .is_most = is_most, .old = old};
  return GW_OK;
}

static gw_status add_link(gw_net_trail *t, int from, int to, int64_t lag) {
  if (lag > t->lag_limit || lag < -t->lag_limit || t->n_links > INT32_MAX / 4)
    return GW_TOO_LARGE;
  GW_TRY(gw_grow(&t->links, &t->link_room, t->n_links + 1, sizeof *t->links));
  GW_TRY(record(t, -1, false, 0));
  t->links[t->n_links] = (link){.from = from, .to = to, .lag = lag,
                                .next_out = t->first_out[from], .next_in = t->first_in[to]};
  t->first_out[from] = t->first_in[to] = (int)t->n_links++;
  return GW_OK;
}

static void undo(gw_net_trail *t, const change *c) {
  if (c->node < 0) {
    const link *k = &t->links[--t->n_links];
    t->first_out[k->from] = k->next_out;
    t->first_in[k->to] = k->next_in;
  } else if (c->is_most) {
    t->most[c->node] = c->old;
  } else {
    t->least[c->node] = c->old;
  }
}

gw_status gw_net_trail_push(gw_net_trail *t) {
  GW_TRY(gw_grow(&t->marks, &t->mark_room, t->n_marks + 1, sizeof *t->marks));
  t->marks[t->n_marks++] = t->n_changes;
  return GW_OK;
}

void gw_net_trail_pop(gw_net_trail *t) {
  if (t->n_marks == 0) return;
  size_t mark = t->marks[--t->n_marks];
  while (t->n_changes > mark) undo(t, &t->changes[--t->n_changes]);
}

/* ---- propagation -------------------------------------------------------------------- */

static void enqueue(gw_net_trail *t, int v) {
  if (t->queued[v]) return;
  t->queued[v] = true;
  t->queue[(t->head + t->waiting++) % t->n] = v;
}

static int dequeue(gw_net_trail *t) {
  int v = t->queue[t->head];
  t->head = (t->head + 1) % t->n;
  t->waiting--;
  t->queued[v] = false;
  return v;
}

static void empty_queue(gw_net_trail *t) {
  while (t->waiting > 0) dequeue(t);
}

static gw_status set_least(gw_net_trail *t, int v, int64_t value, bool *consistent) {
  GW_TRY(record(t, v, false, t->least[v]));
  t->least[v] = value;
  if (value > t->most[v]) *consistent = false;
  enqueue(t, v);
  return GW_OK;
}

static gw_status set_most(gw_net_trail *t, int v, int64_t value, bool *consistent) {
  GW_TRY(record(t, v, true, t->most[v]));
  t->most[v] = value;
  if (value < t->least[v]) *consistent = false;
  enqueue(t, v);
  return GW_OK;
}

/* Carries raised least bounds along the links; reaching `origin` (when not
 * negative) is a cycle that cannot close. */
static gw_status carry_least(gw_net_trail *t, int origin, bool *consistent) {
  while (t->waiting > 0 && *consistent) {
    int u = dequeue(t);
    for (int k = t->first_out[u]; k >= 0 && *consistent; k = t->links[k].next_out) {
      int v = t->links[k].to;
      int64_t value = t->least[u] + t->links[k].lag;
      if (value <= t->least[v]) continue;
      if (v == origin) *consistent = false;
      GW_TRY(set_least(t, v, value, consistent));
    }
  }
  empty_queue(t);
  return GW_OK;
}

static gw_status carry_most(gw_net_trail *t, int origin, bool *consistent) {
  while (t->waiting > 0 && *consistent) {
    int v = dequeue(t);
    if (t->most[v] >= GW_NET_FAR) continue;
    for (int k = t->first_in[v]; k >= 0 && *consistent; k = t->links[k].next_in) {
      int u = t->links[k].from;
      int64_t value = t->most[v] - t->links[k].lag;
      if (value >= t->most[u]) continue;
      if (u == origin) *consistent = false;
      GW_TRY(set_most(t, u, value, consistent));
    }
  }
  empty_queue(t);
  return GW_OK;
}

static gw_status raise(gw_net_trail *t, int v, int64_t value, int origin, bool *consistent) {
  if (value <= t->least[v]) return GW_OK;
  gw_status status = set_least(t, v, value, consistent);
  return status != GW_OK ? status : carry_least(t, origin, consistent);
}

static gw_status lower(gw_net_trail *t, int v, int64_t value, int origin, bool *consistent) {
  if (value >= t->most[v]) return GW_OK;
  gw_status status = set_most(t, v, value, consistent);
  return status != GW_OK ? status : carry_most(t, origin, consistent);
}

gw_status gw_net_trail_apart(gw_net_trail *t, int i, int j, int64_t lag, bool *consistent) {
  if (i < 0 || j < 0 || i >= t->n || j >= t->n) return GW_BAD_INPUT;
  *consistent = i != j || lag <= 0;
  if (i == j) return GW_OK;
  GW_TRY(add_link(t, i, j, lag));
  GW_TRY(raise(t, j, t->least[i] + lag, i, consistent));
  if (!*consistent || t->most[j] >= GW_NET_FAR) return GW_OK;
  return lower(t, i, t->most[j] - lag, j, consistent);
}

static bool within_sums(int64_t value) {
  return value <= GW_NET_SUM_MAX && value >= -GW_NET_SUM_MAX;
}

gw_status gw_net_trail_raise(gw_net_trail *t, int i, int64_t least, bool *consistent) {
  if (i < 0 || i >= t->n) return GW_BAD_INPUT;
  if (!within_sums(least)) return GW_TOO_LARGE;
  *consistent = true;
  return raise(t, i, least, -1, consistent);
}

gw_status gw_net_trail_lower(gw_net_trail *t, int i, int64_t most, bool *consistent) {
  if (i < 0 || i >= t->n) return GW_BAD_INPUT;
  if (!within_sums(most)) return GW_TOO_LARGE;
  *consistent = true;
  return lower(t, i, most, -1, consistent);
}

int64_t gw_net_trail_least(const gw_net_trail *t, int i) { return t->least[i]; }

int64_t gw_net_trail_most(const gw_net_trail *t, int i) { return t->most[i]; }

/* ---- the start ------------------------------------------------------------------------ */

static gw_status trail_init(gw_net_trail *t, const gw_net *net, int64_t least, int64_t most) {
  size_t n = (size_t)net->n;
  t->n = net->n;
  t->lag_limit = GW_NET_SUM_MAX / (net->n + 1);
  t->store = gw_arena_new();
  if (t->store == NULL) return GW_NO_MEMORY;
  t->first_out = gw_arena_alloc(t->store, n, sizeof(int));
  t->first_in = gw_arena_alloc(t->store, n, sizeof(int));
  t->queue = gw_arena_alloc(t->store, n, sizeof(int));
  t->queued = gw_arena_alloc(t->store, n, sizeof(bool));
  t->least = gw_arena_alloc(t->store, n, sizeof(int64_t));
  t->most = gw_arena_alloc(t->store, n, sizeof(int64_t));
  if (t->first_out == NULL || t->first_in == NULL || t->queue == NULL || t->queued == NULL ||
      t->least == NULL || t->most == NULL)
    return GW_NO_MEMORY;
  for (int v = 0; v < t->n; v++) {
    t->first_out[v] = t->first_in[v] = -1;
    t->least[v] = least;
    t->most[v] = most;
  }
  return GW_OK;
}

/* x_j - x_i <= w reads x_i >= x_j - w. */
static gw_status take_arcs(gw_net_trail *t, const gw_net *net) {
  for (int a = net->m - 1; a >= 0; a--) {
    const gw_net_arc *arc = &net->arcs[a];
    if (arc->from != arc->to) GW_TRY(add_link(t, arc->to, arc->from, -arc->w));
  }
  return GW_OK;
}

static gw_status start(gw_net_trail *t, bool *consistent) {
  *consistent = true;
  for (int v = 0; v < t->n; v++) enqueue(t, v);
  GW_TRY(carry_least(t, -1, consistent));
  for (int v = 0; v < t->n && *consistent; v++) enqueue(t, v);
  return carry_most(t, -1, consistent);
}

static gw_status fill(gw_net_trail *t, gw_net *net, int64_t least, int64_t most,
                      bool *consistent) {
  GW_TRY(trail_init(t, net, least, most));
  GW_TRY(take_arcs(t, net));
  *consistent = net->n_broken == 0 && least <= most;
  return *consistent ? start(t, consistent) : GW_OK;
}

gw_status gw_net_trail_new(gw_net *net, int64_t least, int64_t most, gw_net_trail **out,
                           bool *consistent) {
  *out = NULL;
  if (!within_sums(least) || (most < GW_NET_FAR && !within_sums(most))) return GW_TOO_LARGE;
  GW_TRY(gw_net_build(net));
  GW_TRY(gw_net_place(net, true));
  gw_net_trail *t = calloc(1, sizeof *t);
  if (t == NULL) return GW_NO_MEMORY;
  gw_status status = fill(t, net, least, most, consistent);
  if (status != GW_OK) {
    gw_net_trail_free(t);
    return status;
  }
  *out = t;
  return GW_OK;
}
