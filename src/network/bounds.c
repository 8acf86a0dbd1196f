/* bounds.c - shortest distances.  Once x[] holds for every arc, what an arc
 * leaves over is never negative, and Dijkstra's method applies to it. */
#include "network/inside.h"

#include <string.h>

/* Distances in a direction: along the arcs, or against them. */
typedef struct walk {
  gw_net *net;
  bool forward;
  int64_t *key;   /* distance with x[] taken off; GW_NET_FAR: not reached */
  int *heap, len; /* nodes, the least key first, the lower node among equals */
  int *at;        /* place in the heap, or -1 */
} walk;

/* Keys can reach GW_NET_FAR in size, so "not reached" lies above them all. */
#define NOT_REACHED INT64_MAX

static bool before(const walk *w, int a, int b) {
  return w->key[a] != w->key[b] ? w->key[a] < w->key[b] : a < b;
}

static void put(walk *w, int place, int v) {
  w->heap[place] = v;
  w->at[v] = place;
}

static void rise(walk *w, int place) {
  const int v = w->heap[place];
  while (place > 0 && before(w, v, w->heap[(place - 1) / 2])) {
    put(w, place, w->heap[(place - 1) / 2]);
    place = (place - 1) / 2;
  }
  put(w, place, v);
}

static void sink(walk *w, int place) {
  const int v = w->heap[place];
  for (;;) {
    int child = 2 * place + 1;
    if (child >= w->len) break;
    if (child + 1 < w->len && before(w, w->heap[child + 1], w->heap[child])) child++;
    if (!before(w, w->heap[child], v)) break;
    put(w, place, w->heap[child]);
    place = child;
  }
  put(w, place, v);
}

static int take(walk *w) {
  const int v = w->heap[0];
  w->at[v] = -1;
  if (--w->len > 0) {
    put(w, 0, w->heap[w->len]);
    sink(w, 0);
  }
  return v;
}

static void reach(walk *w, int v, int64_t key) {
  if (key >= w->key[v]) return;
  w->key[v] = key;
  if (w->at[v] < 0) put(w, w->len++, v);
  rise(w, w->at[v]);
}

static void run(walk *w) {
  const gw_net *net = w->net;
  const gw_net_index *index = w->forward ? &net->out : &net->in;
  while (w->len > 0) {
    int u = take(w);
    for (int k = index->start[u]; k < index->start[u + 1]; k++) {
      const gw_net_arc *a = &net->arcs[index->arc[k]];
      reach(w, w->forward ? a->to : a->from, w->key[u] + gw_net_rest(net, index->arc[k]));
    }
  }
}

static gw_status walk_init(walk *w, gw_net *net, bool forward, gw_arena *scratch) {
  size_t n = (size_t)net->n;
  *w = (walk){.net = net, .forward = forward};
  w->key = gw_arena_alloc(scratch, n, sizeof *w->key);
  w->heap = gw_arena_alloc(scratch, n, sizeof *w->heap);
  w->at = gw_arena_alloc(scratch, n, sizeof *w->at);
  if (w->key == NULL || w->heap == NULL || w->at == NULL) return GW_NO_MEMORY;
  for (size_t v = 0; v < n; v++) {
    w->key[v] = NOT_REACHED;
    w->at[v] = -1;
  }
  return GW_OK;
}

/* x[] lies along the arcs: distance = key + x when walking forward, key - x
 * when walking back. */
static int64_t distance(const walk *w, int v) {
  if (w->key[v] == NOT_REACHED) return GW_NET_FAR;
  return w->forward ? w->key[v] + w->net->x[v] : w->key[v] - w->net->x[v];
}

static gw_status distances_with(gw_net *net, int root, bool forward, int64_t *out,
                                gw_arena *scratch) {
  walk w;
  GW_TRY(walk_init(&w, net, forward, scratch));
  reach(&w, root, forward ? -net->x[root] : net->x[root]);
  run(&w);
  for (int v = 0; v < net->n; v++) out[v] = distance(&w, v);
  return GW_OK;
}

static gw_status distances(gw_net *net, int root, bool forward, int64_t *out) {
  gw_arena *scratch = gw_arena_new();
  if (scratch == NULL) return GW_NO_MEMORY;
  gw_status status = distances_with(net, root, forward, out, scratch);
  gw_arena_free(scratch);
  return status;
}

static gw_status need_solution(gw_net *net) {
  GW_TRY(gw_net_build(net));
  GW_TRY(gw_net_place(net, true));
  return net->placed && net->n_broken == 0 ? GW_OK : GW_BAD_INPUT;
}

gw_status gw_net_range(gw_net *net, int root, int64_t *least, int64_t *most) {
  if (root < 0 || root >= net->n) return GW_BAD_INPUT;
  GW_TRY(need_solution(net));
  if (most != NULL) GW_TRY(distances(net, root, true, most));
  if (least == NULL) return GW_OK;
  GW_TRY(distances(net, root, false, least));
  for (int v = 0; v < net->n; v++) least[v] = -least[v];
  return GW_OK;
}

gw_status gw_net_slack(gw_net *net, int i, int j, int64_t *lo, int64_t *hi) {
  if (i < 0 || j < 0 || i >= net->n || j >= net->n) return GW_BAD_INPUT;
  gw_arena *scratch = gw_arena_new();
  if (scratch == NULL) return GW_NO_MEMORY;
  int64_t *least = gw_arena_alloc(scratch, (size_t)net->n, sizeof *least);
  int64_t *most = gw_arena_alloc(scratch, (size_t)net->n, sizeof *most);
  gw_status status = least == NULL || most == NULL ? GW_NO_MEMORY
                                                   : gw_net_range(net, i, least, most);
  if (status == GW_OK) {
    *lo = least[j];
    *hi = most[j];
  }
  gw_arena_free(scratch);
  return status;
}

/* ---- the plain solution ------------------------------------------------------------ */

/* The largest solution below 0: the distances from a node that has an arc of
 * weight 0 to every other. */
static gw_status highest(gw_net *net, gw_arena *scratch, int64_t *x) {
  walk w;
  GW_TRY(walk_init(&w, net, true, scratch));
  for (int v = 0; v < net->n; v++) reach(&w, v, -net->x[v]);
  run(&w);
  for (int v = 0; v < net->n; v++) x[v] = distance(&w, v);
  return GW_OK;
}

gw_status gw_net_solve(gw_net *net, gw_arena *arena, int64_t *x, gw_net_cycle *cycle) {
  *cycle = (gw_net_cycle){.length = 0};
  GW_TRY(gw_net_build(net));
  GW_TRY(gw_net_place(net, true));
  if (net->n_broken > 0) return gw_net_copy_cycle(net, arena, &net->seen, cycle);
  gw_arena *scratch = gw_arena_new();
  if (scratch == NULL) return GW_NO_MEMORY;
  gw_status status = highest(net, scratch, x);
  gw_arena_free(scratch);
  return status;
}
