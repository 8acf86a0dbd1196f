/* guess.c - where the nodes probably stand: a spanning forest of the pairs
 * that leave the least room between them, each set to the middle of its room.
 * Equalities come first and hold exactly, and nominal sizes that agree with
 * each other break nothing, so little is left for the labelling to correct. */
#include "network/inside.h"

#include <stdlib.h>

/* The room between two neighbours: -down <= x_hi - x_lo <= up. */
typedef struct pair {
  int lo, hi, rank;
  int64_t up, down; /* GW_NET_FAR: no such constraint */
} pair;

typedef struct forest {
  int *parent, *size;
  int64_t *offset; /* x of the node minus x of its parent */
} forest;

static int64_t room_of(const pair *p) {
  return p->up >= GW_NET_FAR || p->down >= GW_NET_FAR ? GW_NET_FAR : p->up + p->down;
}

static int by_room(const void *left, const void *right) {
  const pair *a = left, *b = right;
  int64_t room_a = room_of(a), room_b = room_of(b);
  if (room_a != room_b) return room_a < room_b ? -1 : 1;
  return a->rank < b->rank ? -1 : 1;
}

/* The pair of u and v, made when it is new.  `slot` says where the pair of a
 * neighbour of u is; a pair of an earlier u does not count. */
static pair *pair_of(pair *pairs, int *count, int *slot, int u, int v) {
  int at = slot[v];
  if (at < *count && pairs[at].lo == u && pairs[at].hi == v) return &pairs[at];
  pairs[*count] = (pair){.lo = u, .hi = v, .rank = *count, .up = GW_NET_FAR, .down = GW_NET_FAR};
  slot[v] = *count;
  return &pairs[(*count)++];
}

static void collect_at(const gw_net *net, int u, pair *pairs, int *count, int *slot) {
  for (int k = net->out.start[u]; k < net->out.start[u + 1]; k++) {
    const gw_net_arc *a = &net->arcs[net->out.arc[k]];
    if (a->to <= u || net->banned[net->out.arc[k]]) continue;
    pair *p = pair_of(pairs, count, slot, u, a->to);
    if (a->w < p->up) p->up = a->w;
  }
  for (int k = net->in.start[u]; k < net->in.start[u + 1]; k++) {
    const gw_net_arc *a = &net->arcs[net->in.arc[k]];
    if (a->from <= u || net->banned[net->in.arc[k]]) continue;
    pair *p = pair_of(pairs, count, slot, u, a->from);
    if (a->w < p->down) p->down = a->w;
  }
}

/* The root of v's tree and x_v - x_root; shortens the way for the next time. */
static int find(forest *f, int v, int64_t *offset) {
  int root = v;
  int64_t sum = 0;
  while (f->parent[root] != root) {
    sum += f->offset[root];
    root = f->parent[root];
  }
  *offset = sum;
  while (v != root) {
    int next = f->parent[v];
    int64_t own = f->offset[v];
    f->parent[v] = root;
    f->offset[v] = sum;
    sum -= own;
    v = next;
  }
  return root;
}

/* x_hi - x_lo in the middle of the room, or as near as the one side allows. */
static int64_t middle(const pair *p) {
  if (p->down >= GW_NET_FAR) return p->up;
  if (p->up >= GW_NET_FAR) return -p->down;
  return p->up - (p->up + p->down) / 2;
}

static void join(forest *f, const pair *p) {
  int64_t from_lo, from_hi;
  int lo = find(f, p->lo, &from_lo), hi = find(f, p->hi, &from_hi);
  if (lo == hi) return;
  int64_t apart = from_lo + middle(p) - from_hi; /* x of root hi minus x of root lo */
  if (f->size[lo] < f->size[hi]) {
    int swap = lo;
    lo = hi;
    hi = swap;
    apart = -apart;
  }
  f->parent[hi] = lo;
  f->offset[hi] = apart;
  f->size[lo] += f->size[hi];
}

static gw_status forest_init(forest *f, gw_arena *scratch, int n) {
  f->parent = gw_arena_alloc(scratch, (size_t)n, sizeof *f->parent);
  f->size = gw_arena_alloc(scratch, (size_t)n, sizeof *f->size);
  f->offset = gw_arena_alloc(scratch, (size_t)n, sizeof *f->offset);
  if (f->parent == NULL || f->size == NULL || f->offset == NULL) return GW_NO_MEMORY;
  for (int v = 0; v < n; v++) {
    f->parent[v] = v;
    f->size[v] = 1;
  }
  return GW_OK;
}

static gw_status guess_with(gw_net *net, gw_arena *scratch) {
  pair *pairs = gw_arena_alloc(scratch, (size_t)net->m, sizeof *pairs);
  int *slot = gw_arena_alloc(scratch, (size_t)net->n, sizeof *slot);
  forest f;
  if (pairs == NULL || slot == NULL) return GW_NO_MEMORY;
  GW_TRY(forest_init(&f, scratch, net->n));
  int count = 0;
  for (int u = 0; u < net->n; u++) collect_at(net, u, pairs, &count, slot);
  qsort(pairs, (size_t)count, sizeof *pairs, by_room);
  for (int k = 0; k < count; k++) join(&f, &pairs[k]);
  for (int v = 0; v < net->n; v++) find(&f, v, &net->x[v]);
  return GW_OK;
}

gw_status gw_net_guess(gw_net *net) {
  gw_arena *scratch = gw_arena_new();
  if (scratch == NULL) return GW_NO_MEMORY;
  gw_status status = guess_with(net, scratch);
  gw_arena_free(scratch);
  return status;
}
