/* smallest.c - the negative cycle with the fewest constraints.
 *
 * gw_net_place leaves x[] that every arc but a few broken ones keeps.  Measured
 * by what an arc leaves over in x[], a cycle has the same sum as by its
 * weights, and only broken arcs are negative.  A negative cycle can be turned
 * so that every sum along the way from its start is negative; it then starts
 * with a broken arc, whatever x[] is.  So: from the tail of each broken arc,
 * walk level by level, dropping every walk whose sum is not negative or not
 * better than a shorter walk to the same node. */
#include "network/inside.h"

#include <stdlib.h>
#include <string.h>

/* A walk, as its last arc and the walk before it. */
typedef struct step {
  int node, before, arc;
  int64_t sum;
} step;

typedef struct search {
  gw_net *net;
  step *steps;
  size_t n_steps, room;
  int64_t *best;      /* least sum to each node from the present start, or 0 */
  int *place;         /* the step of each node in the level being made, or -1 */
  bool *allowed;      /* NULL: all nodes */
  bool *met;          /* scratch for telling simple walks */
  gw_net_cycle found; /* constraints: room for all nodes */
  int64_t looks;      /* arcs still to be looked along */
  bool cut_short;
} search;

/* How many walks from one start are kept before the search counts as cut short. */
#define MOST_STEPS ((size_t)1 << 21)

/* True when the walk passes no node twice. */
static bool is_simple(search *s, size_t last) {
  bool simple = true;
  for (size_t k = last; s->steps[k].before >= 0; k = (size_t)s->steps[k].before) {
    if (s->met[s->steps[k].node]) simple = false;
    s->met[s->steps[k].node] = true;
  }
  for (size_t k = last; s->steps[k].before >= 0; k = (size_t)s->steps[k].before)
    s->met[s->steps[k].node] = false;
  return simple;
}

/* Takes the walk to steps[last], closed by `arc`, when it beats what is found. */
static void close_walk(search *s, size_t last, int arc, int length, int64_t sum) {
  gw_net_cycle *f = &s->found;
  if (length > f->length || (length == f->length && sum >= f->sum)) return;
  if (!is_simple(s, last)) return;
  f->length = length;
  f->sum = sum;
  f->constraints[--length] = arc;
  for (size_t k = last; s->steps[k].before >= 0; k = (size_t)s->steps[k].before)
    f->constraints[--length] = s->steps[k].arc;
}

static gw_status extend(search *s, size_t from, int arc, int64_t sum) {
  const int v = s->net->arcs[arc].to;
  if (sum >= s->best[v] || (s->allowed != NULL && !s->allowed[v])) return GW_OK;
  s->best[v] = sum;
  size_t at = s->n_steps;
  if (s->place[v] >= 0) {
    at = (size_t)s->place[v];
  } else {
    GW_TRY(gw_grow(&s->steps, &s->room, s->n_steps + 1, sizeof *s->steps));
    s->place[v] = (int)s->n_steps++;
  }
  s->steps[at] = (step){.node = v, .before = (int)from, .arc = arc, .sum = sum};
  return GW_OK;
}

/* Lengthens the walk steps[k], of length - 1 arcs, by one arc each way. */
static gw_status expand(search *s, size_t k, int length) {
  const gw_net *net = s->net;
  const int u = s->steps[k].node, start = s->steps[0].node;
  const int64_t sum = s->steps[k].sum;
  s->looks -= net->out.start[u + 1] - net->out.start[u];
  for (int i = net->out.start[u]; i < net->out.start[u + 1]; i++) {
    int arc = net->out.arc[i];
    if (net->banned[arc]) continue;
    int64_t longer = sum + gw_net_rest(net, arc);
    if (longer >= 0) continue;
    if (net->arcs[arc].to == start)
      close_walk(s, k, arc, length, longer);
    else
      GW_TRY(extend(s, k, arc, longer));
  }
  return GW_OK;
}

/* All walks from `start`, level by level, none longer than what is found. */
static gw_status search_from(search *s, int start) {
  s->n_steps = 0;
  GW_TRY(gw_grow(&s->steps, &s->room, 1, sizeof *s->steps));
  s->steps[s->n_steps++] = (step){.node = start, .before = -1, .arc = -1};
  size_t level = 0;
  gw_status status = GW_OK;
  for (int length = 1; length <= s->found.length && level < s->n_steps; length++) {
    size_t end = s->n_steps;
    for (size_t k = level; k < end && status == GW_OK && s->looks > 0 && s->n_steps <= MOST_STEPS;
         k++)
      status = expand(s, k, length);
    for (size_t k = end; k < s->n_steps; k++) s->place[s->steps[k].node] = -1;
    level = end;
    if (s->looks <= 0 || s->n_steps > MOST_STEPS) s->cut_short = true;
    if (status != GW_OK || s->cut_short) break;
  }
  for (size_t k = 0; k < s->n_steps; k++) s->best[s->steps[k].node] = 0;
  return status;
}

/* Searches from the tail of every broken arc, in the order of the nodes. */
static gw_status search_all(search *s, const bool *starts, int64_t looks) {
  s->looks = looks;
  s->cut_short = false;
  for (int v = 0; v < s->net->n && !s->cut_short; v++) {
    if (starts[v] && (s->allowed == NULL || s->allowed[v])) GW_TRY(search_from(s, v));
  }
  return GW_OK;
}

static gw_status search_init(search *s, gw_net *net, gw_arena *scratch) {
  size_t n = (size_t)net->n;
  *s = (search){.net = net};
  s->best = gw_arena_alloc(scratch, n, sizeof *s->best);
  s->place = gw_arena_alloc(scratch, n, sizeof *s->place);
  s->allowed = gw_arena_alloc(scratch, n, sizeof *s->allowed);
  s->met = gw_arena_alloc(scratch, n, sizeof *s->met);
  s->found.constraints = gw_arena_alloc(scratch, n, sizeof(int));
  if (s->best == NULL || s->place == NULL || s->allowed == NULL || s->met == NULL ||
      s->found.constraints == NULL)
    return GW_NO_MEMORY;
  for (size_t v = 0; v < n; v++) s->place[v] = -1;
  s->found.length = net->seen.length;
  s->found.sum = net->seen.sum;
  memcpy(s->found.constraints, net->seen.constraints, (size_t)net->seen.length * sizeof(int));
  return GW_OK;
}

/* First within the nodes of the shortest cycle met, which shortens it, then
 * everywhere, which proves it. */
static gw_status search_with(search *s, gw_net *net, gw_arena *scratch, gw_arena *arena,
                             gw_net_cycle *cycle) {
  GW_TRY(search_init(s, net, scratch));
  bool *starts = gw_arena_alloc(scratch, (size_t)net->n, sizeof *starts);
  if (starts == NULL) return GW_NO_MEMORY;
  for (int a = 0; a < net->m; a++) {
    if (!net->banned[a] && gw_net_rest(net, a) < 0) starts[net->arcs[a].from] = true;
  }
  for (int k = 0; k < net->seen.length; k++)
    s->allowed[net->arcs[net->seen.constraints[k]].from] = true;
  GW_TRY(search_all(s, starts, GW_NET_LOOKS / 4));
  s->allowed = NULL;
  GW_TRY(search_all(s, starts, GW_NET_LOOKS));
  s->found.smallest = !s->cut_short;
  return gw_net_copy_cycle(net, arena, &s->found, cycle);
}

gw_status gw_net_smallest_cycle(gw_net *net, gw_arena *arena, gw_net_cycle *cycle) {
  *cycle = (gw_net_cycle){.length = 0};
  GW_TRY(gw_net_build(net));
  GW_TRY(gw_net_place(net, false));
  if (net->n_broken == 0) return GW_OK;
  gw_arena *scratch = gw_arena_new();
  if (scratch == NULL) return GW_NO_MEMORY;
  search s = {.steps = NULL};
  gw_status status = search_with(&s, net, scratch, arena, cycle);
  free(s.steps);
  gw_arena_free(scratch);
  return status;
}

static gw_status bad_cycles(gw_net *net, gw_arena *arena, int max, gw_net_cycle *cycles,
                            int *count) {
  while (*count < max) {
    gw_net_cycle *c = &cycles[*count];
    GW_TRY(gw_net_smallest_cycle(net, arena, c));
    if (c->length == 0) break;
    for (int k = 0; k < c->length; k++) net->banned[c->constraints[k]] = true;
    net->placed = false;
    ++*count;
  }
  return GW_OK;
}

gw_status gw_net_bad_cycles(gw_net *net, gw_arena *arena, int max, gw_net_cycle *cycles,
                            int *count) {
  *count = 0;
  GW_TRY(gw_net_build(net));
  gw_status status = bad_cycles(net, arena, max, cycles, count);
  if (*count > 0) {
    memset(net->banned, 0, (size_t)net->m * sizeof *net->banned);
    net->placed = false;
  }
  return status;
}
