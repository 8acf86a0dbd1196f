/* split_count.c - how many groups and binary joins a problem has. */
#include <stdlib.h>

#include "order/split_internal.h"

typedef struct counter {
  gw_split_search *s;
  gw_split_view view;
  gw_split_table table;
  gw_split_masks sides;
  gw_split_counts counts;
} counter;

static int by_value(const void *left, const void *right) {
  uint64_t a = *(const uint64_t *)left, b = *(const uint64_t *)right;
  return a < b ? -1 : a > b;
}

static gw_status meet(counter *c, uint64_t group) {
  return gw_split_table_find(&c->table, group) < 0 ? gw_split_table_add(&c->table, group) : GW_OK;
}

/* All tidy splits of a group, each named by the side with the lowest part. */
static gw_status count_group(counter *c, uint64_t group) {
  uint64_t low = group & -group;
  c->sides.n = 0;
  for (int axis = 0; axis < c->s->g->n_axes; axis++) {
    gw_split_enum_in in = {&c->view, c->s, group, axis, true, GW_SPLIT_ALL};
    GW_TRY(gw_split_enum(&in, &c->sides));
  }
  for (size_t i = 0; i < c->sides.n; i++)
    if (!(c->sides.at[i] & low)) c->sides.at[i] = group & ~c->sides.at[i];
  if (c->sides.n > 1) qsort(c->sides.at, c->sides.n, sizeof *c->sides.at, by_value);
  for (size_t i = 0; i < c->sides.n; i++) {
    if (i > 0 && c->sides.at[i] == c->sides.at[i - 1]) continue;
    c->counts.joins++;
    GW_TRY(meet(c, c->sides.at[i]));
    GW_TRY(meet(c, group & ~c->sides.at[i]));
  }
  return GW_OK;
}

static gw_status count_all(counter *c) {
  int n = c->s->g->n, parts[64];
  for (int v = 0; v < n; v++) parts[v] = v;
  GW_TRY(gw_split_view_make(c->s, parts, n, &c->view));
  GW_TRY(meet(c, n == 64 ? UINT64_MAX : ((uint64_t)1 << n) - 1));
  for (int i = 0; i < c->table.n; i++) {
    uint64_t group = c->table.groups[i];
    if (group & (group - 1)) GW_TRY(count_group(c, group));
    if (c->s->spent || c->s->stopped) return GW_TOO_LARGE;
  }
  c->counts.groups = c->table.n;
  return GW_OK;
}

static gw_status count(const gw_split_problem *p, gw_arena *arena, gw_split_counts *out) {
  gw_split_graph g;
  GW_TRY(gw_split_graph_make(p, arena, &g));
  bool *active = gw_arena_alloc(arena, (size_t)p->n_wishes + 1, sizeof(bool));
  if (!active) return GW_NO_MEMORY;
  gw_split_search s = {.g = &g, .active = active, .limit = p->node_budget};
  counter c = {.s = &s};
  gw_status status = count_all(&c);
  gw_split_view_clear(&c.view);
  gw_split_table_clear(&c.table);
  free(c.sides.at);
  *out = c.counts;
  return status;
}

gw_status gw_split_count(const gw_split_problem *problem, gw_split_counts *out, gw_error *err) {
  *out = (gw_split_counts){0};
  GW_TRY(gw_split_check(problem, err));
  if (problem->n_parts > GW_SPLIT_EXACT_MAX)
    return gw_fail(err, GW_TOO_LARGE, "groups of at most %d parts are counted",
                   GW_SPLIT_EXACT_MAX);
  gw_arena *arena = gw_arena_new();
  gw_status status = arena ? count(problem, arena, out) : GW_NO_MEMORY;
  gw_arena_free(arena);
  return status ? gw_fail(err, status, "the groups could not be counted") : GW_OK;
}
