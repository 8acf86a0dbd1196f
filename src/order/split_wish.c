/* split_wish.c - what wishes ask of a split, and which contradict each other. */
#include <stdlib.h>
#include <string.h>

#include "order/split_internal.h"

/* "x is joined no later than y."  A part alone on its side is joined by the
 * split itself; one inside a larger side was joined earlier. */
gw_split_ask gw_split_ask_part(int side_x, bool alone_x, int side_y, bool alone_y, bool strict) {
  if (side_x < 0 || side_y < 0 || side_x == side_y) return GW_SPLIT_FREE;
  if (alone_x && alone_y) return strict ? GW_SPLIT_BROKEN : GW_SPLIT_FREE;
  if (alone_x) return GW_SPLIT_BROKEN;
  if (alone_y) return GW_SPLIT_FREE;
  return side_x == 0 ? GW_SPLIT_ZERO_FIRST : GW_SPLIT_ONE_FIRST;
}

/* "x closes no later than y."  A cut joint closes in the split itself. */
gw_split_ask gw_split_ask_joint(int side_x, int side_y, bool strict) {
  if (side_x < 0 || side_y < 0) return GW_SPLIT_FREE;
  if (side_x == 2) return side_y == 2 && !strict ? GW_SPLIT_FREE : GW_SPLIT_BROKEN;
  if (side_y == 2 || side_x == side_y) return GW_SPLIT_FREE;
  return side_x == 0 ? GW_SPLIT_ZERO_FIRST : GW_SPLIT_ONE_FIRST;
}

gw_split_ask gw_split_ask_both(gw_split_ask a, gw_split_ask b) {
  if (a == GW_SPLIT_FREE || a == b) return b;
  return b == GW_SPLIT_FREE ? a : GW_SPLIT_BROKEN;
}

gw_status gw_split_add_conflict(gw_split_result *result, const bool *in, int n_wishes,
                                bool proven) {
  gw_split_conflict *grown = gw_arena_alloc(result->arena, (size_t)result->n_conflicts + 1,
                                            sizeof *grown);
  int *wishes = gw_arena_alloc(result->arena, (size_t)n_wishes + 1, sizeof(int));
  if (!grown || !wishes) return GW_NO_MEMORY;
  int n = 0;
  for (int i = 0; i < n_wishes; i++)
    if (in[i]) wishes[n++] = i;
  if (n == 0) return GW_INTERNAL;
  if (result->n_conflicts > 0)
    memcpy(grown, result->conflicts, (size_t)result->n_conflicts * sizeof *grown);
  grown[result->n_conflicts++] = (gw_split_conflict){wishes, n, wishes[n - 1], proven};
  result->conflicts = grown;
  return GW_OK;
}

/* ---- wishes in a circle ---- */

/* Whether wishes of one kind lead from y back to x; reached[] is scratch, by
 * part or joint. */
static bool leads_back(const gw_split_problem *p, const bool *active, const gw_split_wish *from,
                       bool *reached, size_t n) {
  memset(reached, 0, n * sizeof(bool));
  reached[from->y] = true;
  for (bool more = true; more && !reached[from->x];) {
    more = false;
    for (int i = 0; i < p->n_wishes; i++) {
      const gw_split_wish *w = &p->wishes[i];
      if (!active[i] || w->kind != from->kind || !reached[w->x] || reached[w->y]) continue;
      reached[w->y] = more = true;
    }
  }
  return reached[from->x];
}

gw_status gw_split_wish_circle(const gw_split_graph *g, const bool *active, bool *circle) {
  const gw_split_problem *p = g->p;
  size_t n = (size_t)(p->n_parts > p->n_joints ? p->n_parts : p->n_joints);
  *circle = false;
  if (p->n_wishes == 0) return GW_OK;
  bool *reached = malloc(n * sizeof(bool));
  if (!reached) return GW_NO_MEMORY;
  for (int i = 0; i < p->n_wishes && !*circle; i++) {
    const gw_split_wish *w = &p->wishes[i];
    if (active[i] && w->kind != GW_SPLIT_GROUP_FIRST && w->strict)
      *circle = leads_back(p, active, w, reached, n);
  }
  free(reached);
  return GW_OK;
}

/* ---- groups against groups ---- */

static gw_status add_pair(gw_split_result *result, bool *active, int i, int j, int n_wishes) {
  bool *in = calloc((size_t)n_wishes, sizeof(bool));
  if (!in) return GW_NO_MEMORY;
  in[i] = in[j] = true;
  active[j] = false; /* j is the later, or the only one */
  gw_status status = gw_split_add_conflict(result, in, n_wishes, true);
  free(in);
  return status;
}

/* Two groups overlap when they share a part and neither holds the other: no
 * tree has both.  `mark` is 1 for the parts of `a`. */
static bool overlap(const gw_split_wish *a, const gw_split_wish *b, const char *mark) {
  int common = 0;
  for (int i = 0; i < b->n_parts; i++) common += mark[b->parts[i]];
  return common > 0 && common < a->n_parts && common < b->n_parts;
}

static bool group_on(const gw_split_graph *g, const bool *active, int i) {
  return active[i] && g->p->wishes[i].kind == GW_SPLIT_GROUP_FIRST;
}

static gw_status drop_overlaps(const gw_split_graph *g, bool *active, gw_split_result *result) {
  int n = g->p->n_wishes;
  char *mark = calloc((size_t)g->n, 1);
  gw_status status = mark ? GW_OK : GW_NO_MEMORY;
  for (int i = 0; i < n && status == GW_OK; i++) {
    if (!group_on(g, active, i)) continue;
    const gw_split_wish *a = &g->p->wishes[i];
    for (int k = 0; k < a->n_parts; k++) mark[a->parts[k]] = 1;
    for (int j = i + 1; j < n && status == GW_OK; j++)
      if (group_on(g, active, j) && overlap(a, &g->p->wishes[j], mark))
        status = add_pair(result, active, i, j, n);
    for (int k = 0; k < a->n_parts; k++) mark[a->parts[k]] = 0;
  }
  free(mark);
  return status;
}

/* ---- groups against the blocking ---- */

/* The parts of a group bound into one body; the piece comes apart around it
 * exactly when no class then holds parts of more than that body. */
static gw_status comes_apart_around(const gw_split_graph *g, const gw_split_wish *group,
                                    int *store, bool *apart) {
  int *all = store, *bind = store + g->n, *label = store + 2 * g->n, *size = store + 3 * g->n;
  int count;
  for (int v = 0; v < g->n; v++) {
    all[v] = v;
    bind[v] = -1;
    size[v] = 0;
  }
  for (int i = 0; i < group->n_parts; i++)
    bind[group->parts[i]] = group->parts[(i + 1) % group->n_parts];
  GW_TRY(gw_split_classes(g, all, g->n, -1, bind, label, &count));
  *apart = true;
  for (int v = 0; v < g->n; v++) size[label[v]]++;
  for (int v = 0; v < g->n; v++)
    if (size[label[v]] > 1 && (bind[v] < 0 || size[label[v]] > group->n_parts)) *apart = false;
  return GW_OK;
}

static gw_status drop_blocked(const gw_split_graph *g, bool *active, gw_split_result *result) {
  int *store = malloc(4 * (size_t)g->n * sizeof(int));
  gw_status status = store ? GW_OK : GW_NO_MEMORY;
  for (int i = 0; i < g->p->n_wishes && status == GW_OK; i++) {
    bool apart = true;
    if (!group_on(g, active, i)) continue;
    status = comes_apart_around(g, &g->p->wishes[i], store, &apart);
    if (status == GW_OK && !apart) status = add_pair(result, active, i, i, g->p->n_wishes);
  }
  free(store);
  return status;
}

gw_status gw_split_wish_groups(const gw_split_graph *g, bool *active, gw_split_result *result) {
  GW_TRY(drop_blocked(g, active, result));
  return drop_overlaps(g, active, result);
}
