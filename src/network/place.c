/* place.c - the labelling method with a queue and subtree disassembly.
 *
 * A label x[v] that was lowered along an arc u -> v hangs under u in a tree.
 * When v is lowered again, all that hangs under it has a stale label and is
 * taken off; when u itself hangs under v, the arc closes a negative cycle.
 * The cycle is noted, its worst arc switched off, and the work goes on.
 * A node's tree is kept as a ring in preorder (next, previous) with depths, so
 * that what hangs under v is the run of deeper nodes after it. */
#include "network/inside.h"

#include <string.h>

typedef struct labels {
  gw_net *net;
  int *parent; /* the arc that gave the label, or -1 */
  int *next, *previous, *depth;
  int *queue, head, waiting;
  bool *queued, *active;
  int64_t *guess; /* x as it was at first */
  int *blame;     /* how many cycles so far went through each arc */
  bool first;     /* stop at the first cycle */
  int64_t looks;  /* arcs still to be looked along once a cycle is known */
} labels;

static gw_status labels_init(labels *l, gw_net *net, gw_arena *scratch) {
  size_t n = (size_t)net->n;
  *l = (labels){.net = net};
  int **lists[] = {&l->parent, &l->next, &l->previous, &l->depth, &l->queue};
  for (size_t k = 0; k < sizeof lists / sizeof *lists; k++) {
    *lists[k] = gw_arena_alloc(scratch, n, sizeof(int));
    if (*lists[k] == NULL) return GW_NO_MEMORY;
  }
  l->queued = gw_arena_alloc(scratch, n, sizeof(bool));
  l->active = gw_arena_alloc(scratch, n, sizeof(bool));
  l->guess = gw_arena_alloc(scratch, n, sizeof(int64_t));
  l->blame = gw_arena_alloc(scratch, (size_t)net->m, sizeof(int));
  if (l->queued == NULL || l->active == NULL || l->guess == NULL || l->blame == NULL)
    return GW_NO_MEMORY;
  memcpy(l->guess, net->x, n * sizeof(int64_t));
  return GW_OK;
}

static void enqueue(labels *l, int v) {
  l->active[v] = true;
  if (l->queued[v]) return;
  l->queued[v] = true;
  l->queue[(l->head + l->waiting++) % l->net->n] = v;
}

static int dequeue(labels *l) {
  int v = l->queue[l->head];
  l->head = (l->head + 1) % l->net->n;
  l->waiting--;
  l->queued[v] = false;
  return v;
}

/* Makes v a tree of its own with a label nobody gave it. */
static void single(labels *l, int v) {
  l->parent[v] = -1;
  l->next[v] = l->previous[v] = v;
  l->depth[v] = 0;
}

/* The first node after v in its ring that does not hang under v. */
static int after_subtree(const labels *l, int v) {
  int y = l->next[v];
  while (y != v && l->depth[y] > l->depth[v]) y = l->next[y];
  return y;
}

static bool hangs_under(const labels *l, int u, int v) {
  for (int y = l->next[v]; y != v && l->depth[y] > l->depth[v]; y = l->next[y]) {
    if (y == u) return true;
  }
  return false;
}

/* Takes v and all under it out of the ring; all but v are stale. */
static void disassemble(labels *l, int v) {
  int end = after_subtree(l, v), before = l->previous[v];
  for (int y = l->next[v]; y != end;) {
    int next = l->next[y];
    single(l, y);
    l->active[y] = false;
    y = next;
  }
  if (end != v) {
    l->next[before] = end;
    l->previous[end] = before;
  }
  single(l, v);
}

/* Cuts v with all under it off its tree; the labels stay. */
static void cut(labels *l, int v) {
  int end = after_subtree(l, v), before = l->previous[v], last = l->previous[end];
  l->next[before] = end;
  l->previous[end] = before;
  l->next[last] = v;
  l->previous[v] = last;
  l->parent[v] = -1;
}

static void hang(labels *l, int v, int u, int arc) {
  l->parent[v] = arc;
  l->depth[v] = l->depth[u] + 1;
  l->next[v] = l->next[u];
  l->previous[v] = u;
  l->previous[l->next[u]] = v;
  l->next[u] = v;
}

static void switch_off(gw_net *net, int arc) {
  net->off[arc] = true;
  net->n_broken++;
}

/* True when arc a should go rather than arc b: the one that more cycles went
 * through (one wrong size shows in all of them), then the one more broken at
 * first. */
static bool worse(const labels *l, int a, int b) {
  const gw_net_arc *p = &l->net->arcs[a], *q = &l->net->arcs[b];
  if (l->blame[a] != l->blame[b]) return l->blame[a] > l->blame[b];
  int64_t rest_a = p->w + l->guess[p->from] - l->guess[p->to];
  int64_t rest_b = q->w + l->guess[q->from] - l->guess[q->to];
  return rest_a != rest_b ? rest_a < rest_b : a < b;
}

/* Notes the cycle when it is the shortest so far. */
static void note(labels *l, int closing) {
  gw_net *net = l->net;
  const int stop = net->arcs[closing].to;
  int length = 1;
  for (int v = net->arcs[closing].from; v != stop; v = net->arcs[l->parent[v]].from) length++;
  if (net->seen.length > 0 && net->seen.length <= length) return;
  net->seen.length = length;
  net->seen.sum = net->arcs[closing].w;
  net->seen.constraints[--length] = closing;
  for (int v = net->arcs[closing].from; v != stop; v = net->arcs[l->parent[v]].from) {
    net->seen.constraints[--length] = l->parent[v];
    net->seen.sum += net->arcs[l->parent[v]].w;
  }
}

/* Breaks the cycle that `closing` closes at its worst arc. */
static void break_cycle(labels *l, int closing) {
  const gw_net_arc *arcs = l->net->arcs;
  int worst = closing;
  note(l, closing);
  for (int v = arcs[closing].from; v != arcs[closing].to; v = arcs[l->parent[v]].from) {
    if (worse(l, l->parent[v], worst)) worst = l->parent[v];
    l->blame[l->parent[v]]++;
  }
  l->blame[closing]++;
  switch_off(l->net, worst);
  if (worst != closing) cut(l, arcs[worst].to);
}

static gw_status relax(labels *l, int arc) {
  gw_net *net = l->net;
  const int u = net->arcs[arc].from, v = net->arcs[arc].to;
  if (hangs_under(l, u, v)) break_cycle(l, arc);
  if (net->off[arc]) return GW_OK;
  int64_t label = net->x[u] + net->arcs[arc].w;
  if (label < -GW_NET_FAR) return GW_TOO_LARGE;
  disassemble(l, v);
  net->x[v] = label;
  hang(l, v, u, arc);
  enqueue(l, v);
  return GW_OK;
}

static gw_status scan(labels *l, int u) {
  gw_net *net = l->net;
  l->active[u] = false;
  if (net->n_broken > 0) l->looks -= net->out.start[u + 1] - net->out.start[u];
  for (int k = net->out.start[u]; k < net->out.start[u + 1]; k++) {
    int arc = net->out.arc[k];
    if (net->off[arc] || gw_net_rest(net, arc) >= 0) continue;
    GW_TRY(relax(l, arc));
    if (l->first && net->n_broken > 0) break;
  }
  return GW_OK;
}

/* An arc from a node to itself can only be a cycle of one. */
static void break_loops(gw_net *net) {
  for (int a = 0; a < net->m; a++) {
    if (net->arcs[a].from != net->arcs[a].to || net->arcs[a].w >= 0 || net->off[a]) continue;
    switch_off(net, a);
    if (net->seen.length == 1 && net->seen.sum <= net->arcs[a].w) continue;
    net->seen.length = 1;
    net->seen.sum = net->arcs[a].w;
    net->seen.constraints[0] = a;
  }
}

static gw_status place_with(gw_net *net, bool first, gw_arena *scratch) {
  labels l;
  GW_TRY(labels_init(&l, net, scratch));
  l.first = first;
  l.looks = GW_NET_LOOKS / 4;
  for (int v = 0; v < net->n; v++) {
    single(&l, v);
    enqueue(&l, v);
  }
  while (l.waiting > 0 && l.looks > 0 && !(first && net->n_broken > 0)) {
    int u = dequeue(&l);
    if (l.active[u]) GW_TRY(scan(&l, u));
  }
  net->placed = l.waiting == 0 && !(first && net->n_broken > 0);
  return GW_OK;
}

gw_status gw_net_place(gw_net *net, bool first) {
  if (net->placed) return GW_OK;
  gw_arena *scratch = gw_arena_new();
  if (scratch == NULL) return GW_NO_MEMORY;
  net->n_broken = 0;
  net->seen.length = 0;
  memcpy(net->off, net->banned, (size_t)net->m * sizeof *net->off);
  break_loops(net);
  gw_status status = gw_net_guess(net);
  if (status == GW_OK) status = place_with(net, first, scratch);
  gw_arena_free(scratch);
  return status;
}
