/* split_graph.c - the blocking graph by direction, its strongly connected
 * components and the largest locked groups. */
#include <stdlib.h>
#include <string.h>

#include "order/split_internal.h"

int64_t gw_split_mass(const gw_split_graph *g, int part) {
  return g->p->mass_g ? g->p->mass_g[part] : 0;
}

static void make_axes(gw_split_graph *g) {
  const gw_split_problem *p = g->p;
  g->least_dir = p->dir_cost ? INT64_MAX : 0;
  for (int d = 0; d < p->n_dirs; d++) {
    int back = p->dir_opposite ? p->dir_opposite[d] : -1;
    if (p->dir_cost && p->dir_cost[d] < g->least_dir) g->least_dir = p->dir_cost[d];
    if (back >= 0 && back < d) {
      g->axis_of[d] = g->axis_of[back];
      continue;
    }
    g->axis_of[d] = g->n_axes;
    g->axis_dir[g->n_axes] = d;
    g->axis_back[g->n_axes++] = back;
  }
}

static gw_status lists_make(gw_arena *arena, int n, size_t items, gw_split_lists *lists) {
  lists->start = gw_arena_alloc(arena, (size_t)n + 2, sizeof(int));
  lists->to = gw_arena_alloc(arena, items + 1, sizeof(int));
  lists->joint = gw_arena_alloc(arena, items + 1, sizeof(int));
  return lists->start && lists->to && lists->joint ? GW_OK : GW_NO_MEMORY;
}

/* Counting sort in two passes: lists_count for each item, lists_sum once, then
 * lists_put for each item, after which start[] is right. */
static void lists_count(gw_split_lists *lists, int from) { lists->start[from + 2]++; }

static void lists_sum(gw_split_lists *lists, int n) {
  for (int v = 0; v < n; v++) lists->start[v + 2] += lists->start[v + 1];
}

static void lists_put(gw_split_lists *lists, int from, int to, int joint) {
  int at = lists->start[from + 1]++;
  lists->to[at] = to;
  lists->joint[at] = joint;
}

static bool forward(const gw_split_graph *g, const gw_split_arc *arc) {
  return g->axis_dir[g->axis_of[arc->dir]] == arc->dir;
}

static gw_status make_axis(gw_split_graph *g, gw_arena *arena, int axis, size_t items) {
  gw_split_lists *stops = &g->stops[axis], *stopped = &g->stopped[axis];
  GW_TRY(lists_make(arena, g->n, items, stops));
  GW_TRY(lists_make(arena, g->n, items, stopped));
  for (int pass = 0; pass < 2; pass++) {
    for (size_t i = 0; i < g->p->n_arcs; i++) {
      const gw_split_arc *arc = &g->p->arcs[i];
      if (g->axis_of[arc->dir] != axis) continue;
      int from = forward(g, arc) ? arc->mover : arc->blocker;
      int to = forward(g, arc) ? arc->blocker : arc->mover;
      if (pass == 0) {
        lists_count(stops, from);
        lists_count(stopped, to);
      } else {
        lists_put(stops, from, to, arc->joint);
        lists_put(stopped, to, from, arc->joint);
      }
    }
    if (pass == 0) {
      lists_sum(stops, g->n);
      lists_sum(stopped, g->n);
    }
  }
  return GW_OK;
}

static gw_status make_at(gw_split_graph *g, gw_arena *arena) {
  const gw_split_problem *p = g->p;
  GW_TRY(lists_make(arena, g->n, 2 * (size_t)p->n_joints, &g->at));
  for (int j = 0; j < p->n_joints; j++) {
    lists_count(&g->at, p->joints[j].a);
    lists_count(&g->at, p->joints[j].b);
  }
  lists_sum(&g->at, g->n);
  for (int j = 0; j < p->n_joints; j++) {
    lists_put(&g->at, p->joints[j].a, p->joints[j].b, j);
    lists_put(&g->at, p->joints[j].b, p->joints[j].a, j);
  }
  return GW_OK;
}

static bool stops(const gw_split_graph *g, int axis, int mover, int blocker) {
  const gw_split_lists *lists = &g->stops[axis];
  for (int i = lists->start[mover]; i < lists->start[mover + 1]; i++)
    if (lists->to[i] == blocker) return true;
  return false;
}

static void least_cost(int64_t *least, const gw_split_problem *p, int dir) {
  if (dir >= 0 && p->dir_cost[dir] < *least) *least = p->dir_cost[dir];
}

/* The cheapest direction in which the ends of some joint can leave each other. */
static void find_joint_dir(gw_split_graph *g) {
  const gw_split_problem *p = g->p;
  g->least_joint_dir = p->dir_cost && p->n_joints > 0 ? INT64_MAX : 0;
  for (int j = 0; j < p->n_joints && p->dir_cost; j++)
    for (int axis = 0; axis < g->n_axes; axis++) {
      int a = p->joints[j].a, b = p->joints[j].b;
      if (stops(g, axis, a, b) && stops(g, axis, b, a)) continue;
      least_cost(&g->least_joint_dir, p, g->axis_dir[axis]);
      least_cost(&g->least_joint_dir, p, g->axis_back[axis]);
    }
  if (g->least_joint_dir == INT64_MAX) g->least_joint_dir = 0; /* no joint can part */
}

gw_status gw_split_graph_make(const gw_split_problem *p, gw_arena *arena, gw_split_graph *g) {
  memset(g, 0, sizeof *g);
  g->p = p;
  g->n = p->n_parts;
  make_axes(g);
  g->stops = gw_arena_alloc(arena, (size_t)g->n_axes, sizeof *g->stops);
  g->stopped = gw_arena_alloc(arena, (size_t)g->n_axes, sizeof *g->stopped);
  if (!g->stops || !g->stopped) return GW_NO_MEMORY;
  size_t count[GW_SPLIT_MAX_DIRS] = {0};
  for (size_t i = 0; i < p->n_arcs; i++) count[g->axis_of[p->arcs[i].dir]]++;
  for (int a = 0; a < g->n_axes; a++) GW_TRY(make_axis(g, arena, a, count[a]));
  find_joint_dir(g);
  return make_at(g, arena);
}

/* ---- strongly connected components (Tarjan 1972), without recursion ---- */

typedef struct tarjan {
  const gw_split_scc_in *in;
  const gw_split_lists *stops;
  int *index, *low, *next; /* by part; index 0: not seen */
  int *path, *open;        /* the call stack; parts without a component yet */
  int n_path, n_open, clock, n_components;
  int *component;
} tarjan;

/* The next part that v is stopped by, or -1.  The place one past the last arc
 * stands for the binding. */
static int next_stop(tarjan *t, int v) {
  const gw_split_scc_in *in = t->in;
  int end = t->stops->start[v + 1];
  while (t->next[v] < end) {
    int i = t->next[v]++, w = t->stops->to[i];
    if (in->label[w] == in->want && (in->skip < 0 || t->stops->joint[i] != in->skip)) return w;
  }
  if (t->next[v] == end) {
    t->next[v]++;
    if (in->bind && in->bind[v] >= 0 && in->label[in->bind[v]] == in->want) return in->bind[v];
  }
  return -1;
}

static void enter(tarjan *t, int v) {
  t->index[v] = t->low[v] = ++t->clock;
  t->next[v] = t->stops->start[v];
  t->path[t->n_path++] = v;
  t->open[t->n_open++] = v;
  t->component[v] = -1;
}

static void leave(tarjan *t, int v) {
  t->n_path--;
  if (t->low[v] == t->index[v]) {
    int w;
    do {
      w = t->open[--t->n_open];
      t->component[w] = t->n_components;
    } while (w != v);
    t->n_components++;
  }
  if (t->n_path > 0) {
    int up = t->path[t->n_path - 1];
    if (t->low[v] < t->low[up]) t->low[up] = t->low[v];
  }
}

static void run_from(tarjan *t, int root) {
  enter(t, root);
  while (t->n_path > 0) {
    int v = t->path[t->n_path - 1], w = next_stop(t, v);
    if (w < 0) {
      leave(t, v);
    } else if (t->index[w] == 0) {
      enter(t, w);
    } else if (t->component[w] < 0 && t->index[w] < t->low[v]) {
      t->low[v] = t->index[w];
    }
  }
}

int gw_split_scc(const gw_split_scc_in *in, int *component) {
  size_t n = (size_t)in->g->n;
  int *store = calloc(5 * n + 1, sizeof(int));
  if (!store) return -1;
  tarjan t = {.in = in, .stops = &in->g->stops[in->axis], .index = store, .low = store + n,
              .next = store + 2 * n, .path = store + 3 * n, .open = store + 4 * n,
              .component = component};
  for (int i = 0; i < in->n_parts; i++)
    if (t.index[in->parts[i]] == 0) run_from(&t, in->parts[i]);
  free(store);
  return t.n_components;
}

/* ---- locked groups ---- */

/* A set of parts waits in `parts` at from .. to-1 to be looked at; all carry
 * one label. */
typedef struct block {
  int from, to;
} block;

typedef struct classes {
  const gw_split_graph *g;
  int skip;
  const int *bind;
  int *parts, *other, *component, *place;
  int *label, n_labels;
  block *wait; /* blocks are disjoint: at most n */
  int n_wait;
} classes;

/* Gives each component of a block its own label and queues it. */
static void cut_block(classes *c, block b, int n_components) {
  memset(c->place, 0, ((size_t)n_components + 1) * sizeof(int));
  for (int i = b.from; i < b.to; i++) c->place[c->component[c->parts[i]] + 1]++;
  for (int k = 0; k < n_components; k++) c->place[k + 1] += c->place[k];
  for (int k = 0; k < n_components; k++)
    c->wait[c->n_wait++] = (block){b.from + c->place[k], b.from + c->place[k + 1]};
  for (int i = b.from; i < b.to; i++) {
    int v = c->parts[i];
    c->label[v] = c->n_labels + c->component[v];
    c->other[b.from + c->place[c->component[v]]++] = v;
  }
  memcpy(c->parts + b.from, c->other + b.from, (size_t)(b.to - b.from) * sizeof(int));
  c->n_labels += n_components;
}

/* Splits a block along the first axis in which it is not strongly connected. */
static gw_status look_at(classes *c, block b) {
  if (b.to - b.from < 2) return GW_OK;
  for (int a = 0; a < c->g->n_axes; a++) {
    gw_split_scc_in in = {c->g, a, c->parts + b.from, b.to - b.from, c->label,
                          c->label[c->parts[b.from]], c->skip, c->bind};
    int n = gw_split_scc(&in, c->component);
    if (n < 0) return GW_NO_MEMORY;
    if (n > 1) {
      cut_block(c, b, n);
      return GW_OK;
    }
  }
  return GW_OK;
}

/* Numbers the labels from 0 up in order of the parts. */
static gw_status pack_labels(classes *c, const int *parts, int n, int *count) {
  int *fresh = malloc(((size_t)c->n_labels + 1) * sizeof(int));
  if (!fresh) return GW_NO_MEMORY;
  for (int k = 0; k < c->n_labels; k++) fresh[k] = -1;
  *count = 0;
  for (int i = 0; i < n; i++) {
    int *f = &fresh[c->label[parts[i]]];
    if (*f < 0) *f = (*count)++;
    c->label[parts[i]] = *f;
  }
  free(fresh);
  return GW_OK;
}

gw_status gw_split_classes(const gw_split_graph *g, const int *parts, int n_parts, int skip,
                           const int *bind, int *label, int *count) {
  size_t n = (size_t)g->n;
  *count = 0;
  for (size_t v = 0; v < n; v++) label[v] = -1;
  if (n_parts == 0) return GW_OK;
  int *store = malloc((4 * n + 2) * sizeof(int));
  block *wait = malloc((n + 1) * sizeof *wait);
  classes c = {.g = g, .skip = skip, .bind = bind, .label = label, .n_labels = 1, .wait = wait};
  gw_status status = store && wait ? GW_OK : GW_NO_MEMORY;
  if (status == GW_OK) {
    c.parts = store;
    c.other = store + n;
    c.component = store + 2 * n;
    c.place = store + 3 * n;
    memcpy(c.parts, parts, (size_t)n_parts * sizeof(int));
    for (int i = 0; i < n_parts; i++) label[parts[i]] = 0;
    wait[c.n_wait++] = (block){0, n_parts};
  }
  while (status == GW_OK && c.n_wait > 0) status = look_at(&c, wait[--c.n_wait]);
  if (status == GW_OK) status = pack_labels(&c, parts, n_parts, count);
  free(store);
  free(wait);
  return status;
}
