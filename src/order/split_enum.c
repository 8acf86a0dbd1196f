/* split_enum.c - the sides that can leave a group along one direction.
 *
 * A side can leave when it holds, with each part, every part that stops it:
 * when it is closed under "is stopped by".  So not all subsets are looked at:
 * parts are decided one by one, a part that goes takes along all it reaches in
 * the blocking graph, a part that stays keeps all that reach it.  For tidy
 * splits a branch ends as soon as one side can no longer be connected, and the
 * next part decided is a neighbour of the side that holds the lowest part, so
 * that a chain or a ring takes no more steps than it has splits. */
#include "order/split_internal.h"

#define SOME_STEPS 2000 /* from each of the two starts together */

typedef struct enum_work {
  const gw_split_enum_in *in;
  const uint64_t *adj;
  uint64_t group;
  uint64_t along[64], with[64]; /* goes: takes along; stays: keeps with it */
  bool connect;                 /* both sides must be connected */
  int steps_left; /* for some ways */
  gw_split_masks *list;
  gw_status status;
} enum_work;

static uint64_t bit(int part) { return (uint64_t)1 << part; }

/* Ties the parts of `set` to each other: all go or all stay. */
static void tie(uint64_t *out, uint64_t *in, uint64_t set) {
  for (uint64_t left = set; left; left &= left - 1) {
    int v = __builtin_ctzll(left);
    out[v] |= set & ~bit(v);
    in[v] |= set & ~bit(v);
  }
}

/* Arcs inside the group, wished groups tied, bodies tied when loose. */
static void prepare(enum_work *w) {
  const gw_split_view *view = w->in->view;
  uint64_t out[64], in[64], group = w->group;
  for (uint64_t left = group; left; left &= left - 1) {
    int v = __builtin_ctzll(left);
    out[v] = view->out[w->in->axis][v] & group;
    in[v] = view->in[w->in->axis][v] & group;
  }
  for (int i = 0; i < view->n_wishes; i++) {
    const gw_split_view_wish *wish = &view->wishes[i];
    if (wish->kind == GW_SPLIT_GROUP_FIRST && (wish->parts & ~group) == 0 &&
        wish->parts != group)
      tie(out, in, wish->parts);
  }
  uint64_t body = gw_split_flood(w->adj, group & -group, group);
  w->connect = w->in->tidy && body == group;
  for (uint64_t left = group; w->in->tidy && !w->connect && left; left &= ~body) {
    body = gw_split_flood(w->adj, left & -left, group);
    tie(out, in, body);
  }
  for (uint64_t left = group; left; left &= left - 1) {
    int v = __builtin_ctzll(left);
    w->along[v] = gw_split_flood(out, bit(v), group);
    w->with[v] = gw_split_flood(in, bit(v), group);
  }
}

static bool connected(const enum_work *w, uint64_t set, uint64_t through) {
  return set == 0 || (set & ~gw_split_flood(w->adj, set & -set, set | through)) == 0;
}

static void add(enum_work *w, uint64_t side) {
  gw_split_masks *list = w->list;
  w->status = gw_grow(&list->at, &list->room, list->n + 1, sizeof *list->at);
  if (w->status == GW_OK) list->at[list->n++] = side;
}

/* `go` holds all that it reaches and `stay` all that reaches it, so what is
 * open can still go either way.  The side that holds the
 * lowest part of the group is grown over its neighbours. */
static void grow(enum_work *w, uint64_t go, uint64_t stay) {
  if (w->status != GW_OK || !gw_split_tick(w->in->s, 1)) return;
  if (w->in->ways == GW_SPLIT_SOME && --w->steps_left < 0) return;
  uint64_t open = w->group & ~(go | stay);
  if (w->connect && !(connected(w, go, open) && connected(w, stay, open))) return;
  if (open == 0) {
    if (go && stay) add(w, go);
    return;
  }
  uint64_t low = w->group & -w->group, core = go & low ? go : stay, edge = 0;
  for (uint64_t left = core; left; left &= left - 1) edge |= w->adj[__builtin_ctzll(left)];
  edge &= open;
  if (w->connect && !edge) { /* what is left cannot be reached by that side */
    int v = __builtin_ctzll(open);
    if (go & low)
      grow(w, go, stay | w->with[v]);
    else
      grow(w, go | w->along[v], stay);
    return;
  }
  int v = __builtin_ctzll(edge ? edge : open);
  grow(w, go | w->along[v], stay);
  grow(w, go, stay | w->with[v]);
}

static void add_few(enum_work *w, uint64_t go) {
  uint64_t stay = w->group & ~go;
  if (!go || !stay || w->status != GW_OK || w->in->s->stopped) return;
  gw_split_tick(w->in->s, 1); /* few are looked at even when the budget is spent */
  if (w->connect && !(connected(w, go, 0) && connected(w, stay, 0))) return;
  add(w, go);
}

gw_status gw_split_enum(const gw_split_enum_in *in, gw_split_masks *list) {
  enum_work w = {.in = in, .adj = in->view->adj, .group = in->group, .list = list,
                 .steps_left = SOME_STEPS};
  prepare(&w);
  if (in->ways == GW_SPLIT_FEW) {
    for (uint64_t left = w.group; left; left &= left - 1) {
      int v = __builtin_ctzll(left);
      add_few(&w, w.along[v]);
      add_few(&w, w.group & ~w.with[v]);
    }
    return w.status;
  }
  int low = __builtin_ctzll(w.group);
  grow(&w, w.along[low], 0);
  grow(&w, 0, w.with[low]);
  return w.status;
}
