/* split_view.c - up to 64 parts of a problem as bit masks. */
#include <string.h>

#include "order/split_internal.h"

static uint64_t bit(int part) { return (uint64_t)1 << part; }

static void add_arcs(gw_split_view *view, const int *local, int axis) {
  const gw_split_lists *stops = &view->g->stops[axis];
  for (int v = 0; v < view->n; v++) {
    int id = view->ids[v];
    for (int i = stops->start[id]; i < stops->start[id + 1]; i++) {
      int w = local[stops->to[i]];
      if (w < 0) continue;
      view->out[axis][v] |= bit(w);
      view->in[axis][w] |= bit(v);
    }
  }
}

/* The joints with both ends in the view; place[] tells where each went. */
static gw_status add_joints(gw_split_view *view, const int *local, int *place) {
  const gw_split_problem *p = view->g->p;
  view->joints = gw_arena_alloc(view->arena, (size_t)p->n_joints + 1, sizeof *view->joints);
  if (!view->joints) return GW_NO_MEMORY;
  for (int j = 0; j < p->n_joints; j++) {
    const gw_split_joint *from = &p->joints[j];
    int a = local[from->a], b = local[from->b];
    place[j] = -1;
    if (a < 0 || b < 0) continue;
    place[j] = view->n_joints;
    view->joints[view->n_joints++] = (gw_split_view_joint){
        a, b, from->mover < 0 ? -1 : local[from->mover], j, bit(a) | bit(b), from->glued,
        from->slide};
    view->adj[a] |= bit(b);
    view->adj[b] |= bit(a);
  }
  return GW_OK;
}

static void add_group(gw_split_view *view, const gw_split_wish *wish, const int *local) {
  gw_split_view_wish to = {.kind = GW_SPLIT_GROUP_FIRST};
  for (int i = 0; i < wish->n_parts; i++) {
    if (local[wish->parts[i]] < 0) return; /* the view lies inside the group, or apart */
    to.parts |= bit(local[wish->parts[i]]);
  }
  view->wishes[view->n_wishes++] = to;
}

static gw_status add_wishes(gw_split_view *view, const bool *active, const int *local,
                            const int *place) {
  const gw_split_problem *p = view->g->p;
  view->wishes = gw_arena_alloc(view->arena, (size_t)p->n_wishes + 1, sizeof *view->wishes);
  if (!view->wishes) return GW_NO_MEMORY;
  for (int i = 0; i < p->n_wishes; i++) {
    const gw_split_wish *wish = &p->wishes[i];
    if (!active[i]) continue;
    if (wish->kind == GW_SPLIT_GROUP_FIRST) {
      add_group(view, wish, local);
      continue;
    }
    const int *where = wish->kind == GW_SPLIT_PART_BEFORE ? local : place;
    int x = where[wish->x], y = where[wish->y];
    if (x < 0 || y < 0) continue;
    view->asks = true;
    view->wishes[view->n_wishes++] =
        (gw_split_view_wish){.kind = wish->kind, .x = x, .y = y, .strict = wish->strict};
  }
  return GW_OK;
}

static gw_status fill(const gw_split_search *s, gw_split_view *view) {
  const gw_split_problem *p = s->g->p;
  int *local = gw_arena_alloc(view->arena, (size_t)p->n_parts, sizeof(int));
  int *place = gw_arena_alloc(view->arena, (size_t)p->n_joints + 1, sizeof(int));
  view->out = gw_arena_alloc(view->arena, (size_t)s->g->n_axes, sizeof *view->out);
  view->in = gw_arena_alloc(view->arena, (size_t)s->g->n_axes, sizeof *view->in);
  if (!local || !place || !view->out || !view->in) return GW_NO_MEMORY;
  for (int v = 0; v < p->n_parts; v++) local[v] = -1;
  for (int v = 0; v < view->n; v++) {
    local[view->ids[v]] = v;
    view->mass[v] = gw_split_mass(s->g, view->ids[v]);
  }
  for (int a = 0; a < s->g->n_axes; a++) add_arcs(view, local, a);
  GW_TRY(add_joints(view, local, place));
  return add_wishes(view, s->active, local, place);
}

gw_status gw_split_view_make(const gw_split_search *s, const int *parts, int n,
                             gw_split_view *view) {
  memset(view, 0, sizeof *view);
  if (n > 64) return GW_TOO_LARGE;
  view->g = s->g;
  view->n = n;
  memcpy(view->ids, parts, (size_t)n * sizeof(int));
  view->arena = gw_arena_new();
  return view->arena ? fill(s, view) : GW_NO_MEMORY;
}

void gw_split_view_clear(gw_split_view *view) {
  gw_arena_free(view->arena);
  view->arena = NULL;
}

uint64_t gw_split_flood(const uint64_t *adj, uint64_t seed, uint64_t within) {
  uint64_t seen = seed, front = seed;
  while (front) {
    int v = __builtin_ctzll(front);
    front &= front - 1;
    uint64_t fresh = adj[v] & within & ~seen;
    seen |= fresh;
    front |= fresh;
  }
  return seen;
}

int gw_split_pieces(const gw_split_view *view, uint64_t set) {
  int pieces = 0;
  while (set) {
    set &= ~gw_split_flood(view->adj, set & -set, set);
    pieces++;
  }
  return pieces;
}
