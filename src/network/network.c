/* network.c - building a system, its index, and the plain solution. */
#include "network/inside.h"

#include <stdlib.h>
#include <string.h>

gw_net *gw_net_new(void) { return calloc(1, sizeof(gw_net)); }

/* Forgets all that was worked out from the arcs. */
static void forget(gw_net *net) {
  gw_arena_free(net->store);
  net->store = NULL;
  net->indexed = net->placed = false;
}

void gw_net_free(gw_net *net) {
  if (net == NULL) return;
  forget(net);
  free(net->arcs);
  free(net);
}

gw_status gw_net_add_nodes(gw_net *net, int count, int *first) {
  if (count < 0) return GW_BAD_INPUT;
  if (count > INT32_MAX / 4 - net->n) return GW_TOO_LARGE;
  if (first != NULL) *first = net->n;
  net->n += count;
  forget(net);
  return GW_OK;
}

gw_status gw_net_at_most(gw_net *net, int i, int j, int64_t w, int tag) {
  if (i < 0 || j < 0 || i >= net->n || j >= net->n) return GW_BAD_INPUT;
  if (w > GW_NET_SUM_MAX || w < -GW_NET_SUM_MAX || net->m == INT32_MAX / 4) return GW_TOO_LARGE;
  GW_TRY(gw_grow(&net->arcs, &net->arc_room, (size_t)net->m + 1, sizeof *net->arcs));
  net->arcs[net->m++] = (gw_net_arc){.from = i, .to = j, .w = w, .tag = tag};
  int64_t size = w < 0 ? -w : w;
  if (size > net->largest) net->largest = size;
  if (net->indexed) forget(net);
  return GW_OK;
}

gw_status gw_net_between(gw_net *net, int i, int j, int64_t lo, int64_t hi, int tag) {
  if (hi < GW_NET_FAR) GW_TRY(gw_net_at_most(net, i, j, hi, tag));
  if (lo > GW_NET_FAR) return GW_TOO_LARGE;
  if (lo > -GW_NET_FAR) GW_TRY(gw_net_at_most(net, j, i, -lo, tag));
  return GW_OK;
}

int gw_net_nodes(const gw_net *net) { return net->n; }

int gw_net_constraints(const gw_net *net) { return net->m; }

const gw_net_arc *gw_net_arc_at(const gw_net *net, int constraint) {
  return &net->arcs[constraint];
}

/* ---- the index ------------------------------------------------------------------ */

static int end_of(const gw_net_arc *arc, bool out) { return out ? arc->from : arc->to; }

/* Counting sort, so that the arcs of a node stay in the order of their numbers. */
static gw_status group(gw_net *net, bool out, gw_net_index *index) {
  index->start = gw_arena_alloc(net->store, (size_t)net->n + 2, sizeof(int));
  index->arc = gw_arena_alloc(net->store, (size_t)net->m, sizeof(int));
  if (index->start == NULL || index->arc == NULL) return GW_NO_MEMORY;
  int *at = index->start + 1; /* at[v] is the next free place of v, then its end */
  for (int a = 0; a < net->m; a++) at[end_of(&net->arcs[a], out) + 1]++;
  for (int v = 0; v < net->n; v++) at[v + 1] += at[v];
  for (int a = 0; a < net->m; a++) index->arc[at[end_of(&net->arcs[a], out)]++] = a;
  return GW_OK;
}

gw_status gw_net_build(gw_net *net) {
  if (net->indexed) return GW_OK;
  if (net->largest > GW_NET_SUM_MAX / (net->n + 1)) return GW_TOO_LARGE;
  forget(net);
  net->store = gw_arena_new();
  if (net->store == NULL) return GW_NO_MEMORY;
  GW_TRY(group(net, true, &net->out));
  GW_TRY(group(net, false, &net->in));
  net->off = gw_arena_alloc(net->store, (size_t)net->m, sizeof *net->off);
  net->banned = gw_arena_alloc(net->store, (size_t)net->m, sizeof *net->banned);
  net->x = gw_arena_alloc(net->store, (size_t)net->n, sizeof *net->x);
  net->seen.constraints = gw_arena_alloc(net->store, (size_t)net->n + 1, sizeof(int));
  if (net->off == NULL || net->banned == NULL || net->x == NULL ||
      net->seen.constraints == NULL)
    return GW_NO_MEMORY;
  net->indexed = true;
  return GW_OK;
}

/* ---- cycles ------------------------------------------------------------------------ */

gw_status gw_net_copy_cycle(const gw_net *net, gw_arena *arena, const gw_net_cycle *from,
                            gw_net_cycle *to) {
  int *list = gw_arena_alloc(arena, (size_t)from->length, sizeof *list);
  if (list == NULL) return GW_NO_MEMORY;
  int lowest = 0;
  for (int k = 1; k < from->length; k++) {
    if (net->arcs[from->constraints[k]].from < net->arcs[from->constraints[lowest]].from)
      lowest = k;
  }
  for (int k = 0; k < from->length; k++)
    list[k] = from->constraints[(lowest + k) % from->length];
  *to = *from;
  to->constraints = list;
  return GW_OK;
}
