/* split_plan.c - joins as they are found, and the result made of them. */
#include <stdlib.h>
#include <string.h>

#include "order/split_internal.h"

gw_status gw_split_plan_add(const gw_split_graph *g, gw_split_plan *plan, gw_split_step step,
                            int *node) {
  GW_TRY(gw_grow(&plan->steps, &plan->room, plan->n + 1, sizeof *plan->steps));
  plan->steps[plan->n] = step;
  *node = g->n + (int)plan->n++;
  return GW_OK;
}

/* A node that is built: its parts are a linked list. */
typedef struct built {
  int first, last, parts, pieces, axis;
  int64_t mass;
} built;

typedef struct writer {
  const gw_split_graph *g;
  built *nodes;
  int *link;  /* next part of the same node, or -1 */
  int *whole; /* sets of parts in one node: union-find */
  int *piece; /* sets of parts that closed joints hold together */
  int *touched, *cut;
} writer;

static int root(int *up, int v) {
  while (up[v] != v) {
    up[v] = up[up[v]];
    v = up[v];
  }
  return v;
}

static gw_status writer_make(writer *w, const gw_split_graph *g, int n_nodes, gw_arena *arena) {
  size_t n = (size_t)g->n;
  w->g = g;
  w->nodes = gw_arena_alloc(arena, (size_t)n_nodes, sizeof *w->nodes);
  w->link = gw_arena_alloc(arena, n, sizeof(int));
  w->whole = gw_arena_alloc(arena, n, sizeof(int));
  w->piece = gw_arena_alloc(arena, n, sizeof(int));
  w->touched = gw_arena_alloc(arena, n, sizeof(int));
  w->cut = gw_arena_alloc(arena, (size_t)g->p->n_joints + 1, sizeof(int));
  if (!w->nodes || !w->link || !w->whole || !w->piece || !w->touched || !w->cut)
    return GW_NO_MEMORY;
  for (int v = 0; v < g->n; v++) {
    w->nodes[v] = (built){v, v, 1, 1, -1, gw_split_mass(g, v)};
    w->link[v] = -1;
    w->whole[v] = w->piece[v] = v;
    w->touched[v] = -1;
  }
  return GW_OK;
}

static int ascending(const void *left, const void *right) {
  int a = *(const int *)left, b = *(const int *)right;
  return a < b ? -1 : a > b;
}

/* The joints between two nodes, found from the smaller. */
static int find_cut(writer *w, const built *left, const built *right) {
  const built *from = left->parts <= right->parts ? left : right;
  const built *to = from == left ? right : left;
  int n = 0, want = root(w->whole, to->first);
  for (int v = from->first; v >= 0; v = w->link[v])
    for (int i = w->g->at.start[v]; i < w->g->at.start[v + 1]; i++)
      if (root(w->whole, w->g->at.to[i]) == want) w->cut[n++] = w->g->at.joint[i];
  qsort(w->cut, (size_t)n, sizeof(int), ascending);
  return n;
}

/* What the joints in w->cut come to; then they hold. */
static void close_joints(writer *w, int n, const built *base, int join, gw_split_load *load,
                         int *pieces) {
  int in_base = root(w->whole, base->first), held = 0;
  for (int i = 0; i < n; i++) {
    const gw_split_joint *j = &w->g->p->joints[w->cut[i]];
    int end = root(w->whole, j->a) == in_base ? j->a : j->b;
    int piece = root(w->piece, end);
    load->glued += j->glued;
    load->dry += !j->glued;
    load->slide += j->slide;
    load->against += j->mover >= 0 && j->mover == end;
    held += w->touched[piece] != join;
    w->touched[piece] = join;
  }
  for (int i = 0; i < n; i++) {
    const gw_split_joint *j = &w->g->p->joints[w->cut[i]];
    int a = root(w->piece, j->a), b = root(w->piece, j->b);
    *pieces -= a != b;
    w->piece[a] = b;
  }
  load->bodies += held ? held : 1;
}

static void merge(writer *w, built *to, const built *moving, const built *base, int pieces,
                  int axis) {
  w->whole[root(w->whole, moving->first)] = root(w->whole, base->first);
  w->link[base->last] = moving->first;
  *to = (built){base->first, moving->last, base->parts + moving->parts, pieces, axis,
                base->mass + moving->mass};
}

static void add_turn(gw_split_load *load, const built *side, int axis) {
  if (side->parts == 1 || side->axis == axis) return;
  load->turns++;
  load->turned += side->mass;
}

static gw_status write_join(writer *w, const gw_split_step *step, int i, gw_split_result *result) {
  gw_split_join *join = &result->joins[i];
  const built *moving = &w->nodes[step->moving], *base = &w->nodes[step->base];
  int axis = w->g->axis_of[step->dir], pieces = moving->pieces + base->pieces;
  int n = find_cut(w, moving, base);
  gw_split_load load = {.dir = step->dir, .mass = moving->mass, .bodies = moving->pieces,
                        .parts = moving->parts + base->parts};
  add_turn(&load, moving, axis);
  add_turn(&load, base, axis);
  close_joints(w, n, base, i, &load, &pieces);
  *join = (gw_split_join){.moving = step->moving, .base = step->base, .dir = step->dir,
                          .n_joints = n, .n_parts = load.parts, .bodies = load.bodies,
                          .loose = pieces > 1, .over_hands = load.bodies > w->g->p->hands + 1,
                          .cost = gw_split_price(w->g->p, &load)};
  join->joints = gw_arena_alloc(result->arena, (size_t)n + 1, sizeof(int));
  if (!join->joints) return GW_NO_MEMORY;
  memcpy(join->joints, w->cut, (size_t)n * sizeof(int));
  merge(w, &w->nodes[w->g->n + i], moving, base, pieces, axis);
  result->cost += join->cost.total;
  return GW_OK;
}

gw_status gw_split_plan_write(const gw_split_graph *g, const gw_split_plan *plan,
                              gw_split_result *result) {
  writer w;
  result->n_joins = (int)plan->n;
  result->cost = 0;
  result->joins = gw_arena_alloc(result->arena, plan->n + 1, sizeof *result->joins);
  if (!result->joins) return GW_NO_MEMORY;
  GW_TRY(writer_make(&w, g, g->n + result->n_joins, result->arena));
  for (int i = 0; i < result->n_joins; i++) GW_TRY(write_join(&w, &plan->steps[i], i, result));
  return GW_OK;
}

gw_status gw_split_plan_price(const gw_split_graph *g, gw_split_plan *plan) {
  gw_split_result scratch = {.arena = gw_arena_new()};
  if (!scratch.arena) return GW_NO_MEMORY;
  gw_status status = gw_split_plan_write(g, plan, &scratch);
  plan->cost = scratch.cost;
  gw_arena_free(scratch.arena);
  return status;
}

/* Nodes to be opened wait at the front of the room, parts found gather at its
 * end; each waiting node holds a part not yet found, so the two never meet. */
int gw_split_members(const gw_split_result *result, int node, int *members) {
  int waiting = 1, n = 0, room = result->n_parts;
  members[0] = node;
  while (waiting > 0) {
    int at = members[--waiting];
    if (at < result->n_parts) {
      members[room - ++n] = at;
    } else {
      members[waiting++] = result->joins[at - result->n_parts].moving;
      members[waiting++] = result->joins[at - result->n_parts].base;
    }
  }
  memmove(members, members + room - n, (size_t)n * sizeof(int));
  qsort(members, (size_t)n, sizeof(int), ascending);
  return n;
}
