/* timelag_clique.c - sets of activities of which no two can run at once (by
 * their demands or by their lags), and edge finding on them: Nuijten's form
 * of Carlier and Pinson's rules for one machine (Baptiste, Le Pape, Nuijten,
 * "Constraint-Based Scheduling", 2001; from memory). */
#include "clock/timelag_inside.h"

#include <stdlib.h>

/* No more cliques than this, and none smaller: pairs are looked after singly. */
#define MOST_CLIQUES 48
#define LEAST_MEMBERS 3

/* ---- finding them -------------------------------------------------------------------- */

/* One row of n flags per activity: can never run at the same time. */
static bool *disjoint_pairs(gw_timelag_search *s) {
  size_t n = (size_t)s->n;
  bool *apart = gw_arena_alloc(s->store, n * n, sizeof *apart);
  if (apart == NULL) return NULL;
  for (size_t k = 0; k < s->n_clashes; k++) {
    size_t i = (size_t)s->clashes[k].i, j = (size_t)s->clashes[k].j;
    apart[i * n + j] = apart[j * n + i] = true;
  }
  for (size_t i = 0; i < n; i++) {
    for (size_t j = 0; j < n; j++) {
      if (s->settled[i * n + j] & GW_TIMELAG_BEFORE) apart[i * n + j] = apart[j * n + i] = true;
    }
  }
  return apart;
}

static bool joins(const bool *apart, int n, const int *members, int count, int i) {
  for (int k = 0; k < count; k++) {
    if (members[k] == i || !apart[(size_t)i * (size_t)n + (size_t)members[k]]) return false;
  }
  return true;
}

/* The longest activity not yet in `members` that runs at the same time as none
 * of them; among equals the lowest.  -1: none. */
static int next_member(const gw_timelag_search *s, const bool *apart, const int *members,
                       int count) {
  int best = -1;
  for (int i = 0; i < s->n; i++) {
    if (s->q->duration[i] == 0 || !joins(apart, s->n, members, count, i)) continue;
    if (best < 0 || s->q->duration[i] > s->q->duration[best]) best = i;
  }
  return best;
}

static gw_status keep_clique(gw_timelag_search *s, const int *members, int count) {
  int *list = gw_arena_alloc(s->store, (size_t)count, sizeof *list);
  if (list == NULL) return GW_NO_MEMORY;
  for (int k = 0; k < count; k++) list[k] = members[k];
  s->cliques[s->n_cliques].members = list;
  s->cliques[s->n_cliques++].count = count;
  return GW_OK;
}

/* Grows a clique from each pair of clashing activities no clique covers yet. */
static gw_status grow_cliques(gw_timelag_search *s, const bool *apart, bool *covered) {
  size_t n = (size_t)s->n;
  for (size_t c = 0; c < s->n_clashes && s->n_cliques < MOST_CLIQUES; c++) {
    if (covered[(size_t)s->clashes[c].i * n + (size_t)s->clashes[c].j]) continue;
    int *members = s->active, count = 2;
    members[0] = s->clashes[c].i;
    members[1] = s->clashes[c].j;
    for (int i; (i = next_member(s, apart, members, count)) >= 0;) members[count++] = i;
    for (int a = 0; a < count; a++) {
      for (int b = 0; b < count; b++)
        covered[(size_t)members[a] * n + (size_t)members[b]] = true;
    }
    if (count >= LEAST_MEMBERS) GW_TRY(keep_clique(s, members, count));
  }
  return GW_OK;
}

gw_status gw_timelag_find_cliques(gw_timelag_search *s) {
  size_t n = (size_t)s->n;
  s->cliques = gw_arena_alloc(s->store, MOST_CLIQUES, sizeof *s->cliques);
  bool *apart = disjoint_pairs(s), *covered = gw_arena_alloc(s->store, n * n, sizeof *covered);
  if (s->cliques == NULL || apart == NULL || covered == NULL) return GW_NO_MEMORY;
  return grow_cliques(s, apart, covered);
}

/* ---- edge finding --------------------------------------------------------------------- */

/* A member in its window; `best` collects what its start is raised to, and
 * `after` is where the members from here on end when packed. */
typedef gw_timelag_window window;

static int by_from(const void *left, const void *right) {
  const window *a = left, *b = right;
  if (a->from != b->from) return a->from < b->from ? -1 : 1;
  return a->i < b->i ? -1 : 1;
}

#define NEVER (-GW_NET_FAR)

static int64_t larger(int64_t a, int64_t b) { return a > b ? a : b; }

/* All members that must end by `to`, against the others.  `w` is in order of
 * `from`.  False when those members do not fit. */
static bool find_edges(window *w, int count, int64_t to) {
  int64_t load = 0, packed = NEVER, reach = NEVER;
  for (int k = count - 1; k >= 0; k--) {
    if (w[k].to <= to) {
      load += w[k].duration;
      packed = larger(packed, w[k].from + load);
      if (packed > to) return false;
    }
    w[k].after = packed;
  }
  for (int k = 0; k < count; k++) {
    if (w[k].to <= to) {
      reach = larger(reach, w[k].from + load);
      load -= w[k].duration;
      continue;
    }
    if (w[k].from + load + w[k].duration > to) w[k].best = larger(w[k].best, w[k].after);
    if (reach + w[k].duration > to) w[k].best = larger(w[k].best, packed);
  }
  return true;
}

/* The members' windows, or with `mirrored` those of the time run backwards, in
 * which ends are starts. */
static void make_windows(gw_timelag_search *s, const gw_timelag_clique *c, bool mirrored) {
  for (int k = 0; k < c->count; k++) {
    int i = c->members[k];
    int64_t from = gw_timelag_least(s, i), to = gw_timelag_most(s, i) + s->q->duration[i];
    s->windows[k] = (window){.from = mirrored ? -to : from,
                             .to = mirrored ? -from : to,
                             .duration = s->q->duration[i],
                             .best = NEVER,
                             .i = i};
  }
  qsort(s->windows, (size_t)c->count, sizeof *s->windows, by_from);
}

static gw_status prune_side(gw_timelag_search *s, const gw_timelag_clique *c, bool mirrored,
                            bool *ok) {
  window *w = s->windows;
  make_windows(s, c, mirrored);
  for (int k = 0; k < c->count && *ok; k++) *ok = find_edges(w, c->count, w[k].to);
  for (int k = 0; k < c->count && *ok; k++) {
    if (w[k].best <= w[k].from) continue;
    if (mirrored)
      GW_TRY(gw_timelag_lower(s, w[k].i, -w[k].best - w[k].duration, ok));
    else
      GW_TRY(gw_timelag_raise(s, w[k].i, w[k].best, ok));
  }
  return GW_OK;
}

gw_status gw_timelag_edges(gw_timelag_search *s, const gw_timelag_clique *c, bool *ok) {
  GW_TRY(prune_side(s, c, false, ok));
  return *ok ? prune_side(s, c, true, ok) : GW_OK;
}
