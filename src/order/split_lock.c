/* split_lock.c - the smallest locked groups, and what proves and unlocks them. */
#include <stdlib.h>
#include <string.h>

#include "order/split_internal.h"

typedef struct lock_work {
  const gw_split_graph *g;
  int *label, *set, *trial, *size, *queue, *before;
  bool *needed, *seen;
} lock_work;

static gw_status work_make(lock_work *w, const gw_split_graph *g, gw_arena *arena) {
  size_t n = (size_t)g->n + 1;
  w->g = g;
  int **ints[] = {&w->label, &w->set, &w->trial, &w->size, &w->queue, &w->before};
  for (size_t i = 0; i < sizeof ints / sizeof *ints; i++) {
    *ints[i] = gw_arena_alloc(arena, n, sizeof(int));
    if (!*ints[i]) return GW_NO_MEMORY;
  }
  w->needed = gw_arena_alloc(arena, n, sizeof(bool));
  w->seen = gw_arena_alloc(arena, n, sizeof(bool));
  return w->needed && w->seen ? GW_OK : GW_NO_MEMORY;
}

/* Of the classes in w->label, the one of two or more parts that has fewest
 * (lowest number on ties), or -1. */
static int smallest_class(lock_work *w, const int *parts, int n, int count) {
  for (int k = 0; k < count; k++) w->size[k] = 0;
  for (int i = 0; i < n; i++) w->size[w->label[parts[i]]]++;
  int best = -1;
  for (int k = 0; k < count; k++)
    if (w->size[k] > 1 && (best < 0 || w->size[k] < w->size[best])) best = k;
  return best;
}

/* Tries w->set without one part; true when a locked group is left, which then
 * becomes w->set. */
static gw_status try_without(lock_work *w, int *n, int part, bool *smaller) {
  int m = 0, count;
  for (int i = 0; i < *n; i++)
    if (w->set[i] != part) w->trial[m++] = w->set[i];
  GW_TRY(gw_split_classes(w->g, w->trial, m, -1, NULL, w->label, &count));
  int best = smallest_class(w, w->trial, m, count);
  *smaller = best >= 0;
  if (!*smaller) return GW_OK;
  *n = 0;
  for (int i = 0; i < m; i++)
    if (w->label[w->trial[i]] == best) w->set[(*n)++] = w->trial[i];
  return GW_OK;
}

/* Shrinks w->set until no part can be left out.  A part once needed stays
 * needed: less of the group holds no more locked groups. */
static gw_status shrink(lock_work *w, int *n) {
  for (int v = 0; v < w->g->n; v++) w->needed[v] = false;
  for (int i = 0; i < *n;) {
    int part = w->set[i];
    bool smaller = false;
    if (!w->needed[part]) GW_TRY(try_without(w, n, part, &smaller));
    if (smaller) {
      i = 0;
    } else {
      w->needed[part] = true;
      i++;
    }
  }
  return GW_OK;
}

/* ---- witnesses ---- */

/* Breadth first along `stops` inside the group (label 0) to the nearest part
 * not yet seen, or to `home`; w->before leads back.  Returns where it ended. */
static int nearest(lock_work *w, const gw_split_lists *stops, int from, int home) {
  int head = 0, tail = 0;
  for (int v = 0; v < w->g->n; v++) w->before[v] = -1;
  w->queue[tail++] = from;
  while (head < tail) {
    int v = w->queue[head++];
    for (int i = stops->start[v]; i < stops->start[v + 1]; i++) {
      int u = stops->to[i];
      if (w->label[u] != 0 || u == from || w->before[u] >= 0) continue;
      w->before[u] = v;
      if (home >= 0 ? u == home : !w->seen[u]) return u;
      w->queue[tail++] = u;
    }
  }
  return -1;
}

typedef struct walk_list {
  int *at;
  size_t n, room;
} walk_list;

/* Adds the way from `from` (left out) to `to` (put in). */
static gw_status add_way(lock_work *w, walk_list *list, int from, int to) {
  size_t length = 0;
  for (int v = to; v != from; v = w->before[v]) length++;
  GW_TRY(gw_grow(&list->at, &list->room, list->n + length, sizeof(int)));
  size_t end = list->n + length;
  for (int v = to; v != from; v = w->before[v]) {
    list->at[--end] = v;
    w->seen[v] = true;
  }
  list->n += length;
  return GW_OK;
}

static gw_status walk_axis(lock_work *w, int n, int axis, walk_list *list) {
  const gw_split_lists *stops = &w->g->stops[axis];
  int first = w->set[0], here = first;
  for (int v = 0; v < w->g->n; v++) w->seen[v] = false;
  w->seen[first] = true;
  list->n = 0;
  GW_TRY(gw_grow(&list->at, &list->room, 1, sizeof(int)));
  list->at[list->n++] = first;
  for (;;) {
    int to = nearest(w, stops, here, -1);
    if (to < 0) break;
    GW_TRY(add_way(w, list, here, to));
    here = to;
  }
  if (here == first) return n == 1 ? GW_OK : GW_INTERNAL;
  if (nearest(w, stops, here, first) < 0) return GW_INTERNAL;
  GW_TRY(add_way(w, list, here, first));
  list->n--; /* home again: the walk closes */
  return GW_OK;
}

/* The same walk read from the other end serves the opposite direction. */
static gw_status keep_walk(const walk_list *list, int dir, bool back, gw_arena *arena,
                           gw_split_walk *walk) {
  walk->dir = dir;
  walk->n_parts = (int)list->n;
  walk->parts = gw_arena_alloc(arena, list->n, sizeof(int));
  if (!walk->parts) return GW_NO_MEMORY;
  for (size_t i = 0; i < list->n; i++)
    walk->parts[i] = list->at[back && i > 0 ? list->n - i : i];
  return GW_OK;
}

static gw_status add_walks(lock_work *w, gw_split_lock *lock, gw_arena *arena) {
  walk_list list = {0};
  gw_status status = GW_OK;
  lock->n_walks = w->g->p->n_dirs;
  lock->walks = gw_arena_alloc(arena, (size_t)lock->n_walks, sizeof *lock->walks);
  if (!lock->walks) return GW_NO_MEMORY;
  for (int v = 0; v < w->g->n; v++) w->label[v] = -1;
  for (int i = 0; i < lock->n_parts; i++) w->label[w->set[i]] = 0;
  for (int a = 0; a < w->g->n_axes && status == GW_OK; a++) {
    int dir = w->g->axis_dir[a], back = w->g->axis_back[a];
    status = walk_axis(w, lock->n_parts, a, &list);
    if (status == GW_OK) status = keep_walk(&list, dir, false, arena, &lock->walks[dir]);
    if (status == GW_OK && back >= 0)
      status = keep_walk(&list, back, true, arena, &lock->walks[back]);
  }
  free(list.at);
  return status;
}

/* ---- keys ---- */

static gw_status opens(lock_work *w, const int *parts, int n, int joint, bool *open) {
  int count;
  GW_TRY(gw_split_classes(w->g, parts, n, joint, NULL, w->label, &count));
  *open = smallest_class(w, parts, n, count) < 0;
  return GW_OK;
}

static gw_status add_keys(lock_work *w, gw_split_lock *lock, const int *all, gw_arena *arena) {
  const gw_split_graph *g = w->g;
  bool *inside = w->needed; /* free again */
  for (int v = 0; v < g->n; v++) inside[v] = false;
  for (int i = 0; i < lock->n_parts; i++) inside[lock->parts[i]] = true;
  lock->keys = gw_arena_alloc(arena, (size_t)g->p->n_joints + 1, sizeof *lock->keys);
  if (!lock->keys) return GW_NO_MEMORY;
  for (int j = 0; j < g->p->n_joints; j++) {
    bool open = false, whole = false;
    if (!inside[g->p->joints[j].a] || !inside[g->p->joints[j].b]) continue;
    GW_TRY(opens(w, lock->parts, lock->n_parts, j, &open));
    if (!open) continue;
    GW_TRY(opens(w, all, g->n, j, &whole));
    lock->keys[lock->n_keys++] = (gw_split_key){j, whole};
  }
  return GW_OK;
}

/* ---- all locks ---- */

static gw_status make_lock(lock_work *w, const int *label, int class, const int *all,
                           gw_arena *arena, gw_split_lock *lock) {
  int n = 0;
  for (int v = 0; v < w->g->n; v++)
    if (label[v] == class) w->set[n++] = v;
  lock->around = n;
  GW_TRY(shrink(w, &n));
  lock->n_parts = n;
  lock->parts = gw_arena_alloc(arena, (size_t)n, sizeof(int));
  if (!lock->parts) return GW_NO_MEMORY;
  memcpy(lock->parts, w->set, (size_t)n * sizeof(int));
  GW_TRY(add_walks(w, lock, arena));
  return add_keys(w, lock, all, arena);
}

static int by_size(const void *left, const void *right) {
  const gw_split_lock *a = left, *b = right;
  if (a->n_parts != b->n_parts) return a->n_parts < b->n_parts ? -1 : 1;
  return a->parts[0] < b->parts[0] ? -1 : 1;
}

static gw_status make_locks(lock_work *w, const int *label, int count, const int *all,
                            gw_split_result *result) {
  int *size = gw_arena_alloc(result->arena, (size_t)count + 1, sizeof(int));
  if (!size) return GW_NO_MEMORY;
  int locked = 0;
  for (int v = 0; v < w->g->n; v++)
    if (++size[label[v]] == 2) locked++;
  if (locked == 0) return GW_OK;
  result->kind = GW_SPLIT_LOCKED;
  result->locks = gw_arena_alloc(result->arena, (size_t)locked, sizeof *result->locks);
  if (!result->locks) return GW_NO_MEMORY;
  for (int k = 0; k < count; k++)
    if (size[k] > 1)
      GW_TRY(make_lock(w, label, k, all, result->arena, &result->locks[result->n_locks++]));
  qsort(result->locks, (size_t)locked, sizeof *result->locks, by_size);
  return GW_OK;
}

gw_status gw_split_find_locks(const gw_split_graph *g, gw_split_result *result) {
  lock_work w;
  int count;
  GW_TRY(work_make(&w, g, result->arena));
  int *all = gw_arena_alloc(result->arena, (size_t)g->n, sizeof(int));
  int *label = gw_arena_alloc(result->arena, (size_t)g->n, sizeof(int));
  if (!all || !label) return GW_NO_MEMORY;
  for (int v = 0; v < g->n; v++) all[v] = v;
  GW_TRY(gw_split_classes(g, all, g->n, -1, NULL, label, &count));
  return make_locks(&w, label, count, all, result);
}
