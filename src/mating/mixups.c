#include "mating/mixups.h"

#include <stdlib.h>
#include <string.h>

#include "mating/mixups_inside.h"

/* Up to so many parts every pair is compared; in larger pieces a part is
 * compared with one of each class. */
enum { EVERY_PAIR = 200 };

typedef struct making {
  const gw_model *m;
  const gw_fit *fit;
  gw_mixups *out;
  int *order;      /* parts, those that may be alike next to each other */
  gw_len (*sizes)[3]; /* of each part, the largest first */
  int *root;       /* union-find over parts */
  size_t way_room;
} making;

/* ---- counting ------------------------------------------------------------------------ */

static uint64_t times(uint64_t a, uint64_t b) {
  return a != 0 && b > UINT64_MAX / a ? UINT64_MAX : a * b;
}

static uint64_t plus(uint64_t a, uint64_t b) { return a > UINT64_MAX - b ? UINT64_MAX : a + b; }

/* f[set] counts the ways in which the first |set| parts fill the places of
 * the set. */
gw_status gw_mixups_count(const int *ways, int n, uint64_t *out) {
  if (n < 0 || n > GW_MIXUP_EXACT) return GW_TOO_LARGE;
  size_t sets = (size_t)1 << n;
  uint64_t *f = calloc(sets, sizeof *f);
  if (f == NULL) return GW_NO_MEMORY;
  f[0] = 1;
  for (size_t set = 0; set + 1 < sets; ++set) {
    if (f[set] == 0) continue;
    int part = 0;
    for (size_t rest = set; rest != 0; rest &= rest - 1) ++part;
    for (int place = 0; place < n; ++place) {
      if ((set >> place) & 1 || ways[part * n + place] == 0) continue;
      size_t more = set | (size_t)1 << place;
      f[more] = plus(f[more], times(f[set], (uint64_t)ways[part * n + place]));
    }
  }
  *out = f[sets - 1];
  free(f);
  return GW_OK;
}

/* ---- who may be like whom ------------------------------------------------------------- */

static int by_size(gw_len (*sizes)[3], const gw_model *m, int a, int b) {
  if (m->parts[a].n_halves != m->parts[b].n_halves)
    return m->parts[a].n_halves < m->parts[b].n_halves ? -1 : 1;
  for (int i = 0; i < 3; ++i)
    if (sizes[a][i] != sizes[b][i]) return sizes[a][i] > sizes[b][i] ? -1 : 1;
  return a < b ? -1 : a > b;
}

/* A merge sort, since qsort cannot be told of the sizes. */
static void sort_parts(const making *k, int *list, int count, int *scratch) {
  if (count < 2) return;
  int half = count / 2, a = 0, b = half;
  sort_parts(k, list, half, scratch);
  sort_parts(k, list + half, count - half, scratch);
  for (int i = 0; i < count; ++i) {
    bool left = b == count || (a < half && by_size(k->sizes, k->m, list[a], list[b]) < 0);
    scratch[i] = left ? list[a++] : list[b++];
  }
  memcpy(list, scratch, (size_t)count * sizeof *list);
}

static void sort_sizes(gw_len size[3]) {
  for (int i = 0; i < 2; ++i)
    for (int j = 0; j < 2 - i; ++j)
      if (size[j] < size[j + 1]) {
        gw_len swap = size[j];
        size[j] = size[j + 1];
        size[j + 1] = swap;
      }
}

static gw_status arrange(making *k) {
  size_t n = (size_t)k->m->n_parts;
  int *scratch = calloc(n + 1, sizeof *scratch);
  if (scratch == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < k->m->n_parts; ++i) {
    k->order[i] = k->root[i] = i;
    memcpy(k->sizes[i], k->m->parts[i].size, sizeof k->sizes[i]);
    sort_sizes(k->sizes[i]);
  }
  sort_parts(k, k->order, k->m->n_parts, scratch);
  free(scratch);
  return GW_OK;
}

static int root_of(making *k, int i) {
  while (k->root[i] != i) i = k->root[i] = k->root[k->root[i]];
  return i;
}

static void unite(making *k, int a, int b) {
  a = root_of(k, a);
  b = root_of(k, b);
  if (a < b) k->root[b] = a;
  else k->root[a] = b;
}

/* ---- ways ------------------------------------------------------------------------------- */

static gw_status add_way(making *k, int part, int place, int turn) {
  gw_mixups *out = k->out;
  GW_TRY(gw_grow(&out->ways, &k->way_room, (size_t)out->n_ways + 1, sizeof *out->ways));
  gw_mixup way = {part, place, turn, 0};
  way.harm = gw_mixup_harm(k->m, &way);
  out->ways[out->n_ways++] = way;
  return GW_OK;
}

/* Whether the sizes of a part are those of a place, its axes in that order. */
static bool sizes_go(const making *k, int part, int place, const gw_turn *turn) {
  for (int axis = 0; axis < 3; ++axis)
    if (!gw_mixup_near(k->m->parts[part].size[axis], k->m->parts[place].size[turn->axis[axis]]))
      return false;
  return true;
}

/* The first turn from t on by which the sizes go, or GW_TURNS. */
static int next_turn(const making *k, int part, int place, int t) {
  while (t < GW_TURNS) {
    gw_turn turn = gw_turn_at(t);
    if (sizes_go(k, part, place, &turn)) return t;
    t += GW_TURNS_ALIKE - t % GW_TURNS_ALIKE;
  }
  return GW_TURNS;
}

/* All turns of a part into a place; *any tells whether there was one. */
static gw_status try_pair(making *k, int part, int place, bool *any) {
  *any = false;
  for (int t = next_turn(k, part, place, 0); t < GW_TURNS; t = next_turn(k, part, place, t + 1)) {
    gw_turn turn = gw_turn_at(t);
    if (part == place && t == 0) continue;
    if (!gw_mixup_goes(k->m, k->fit, part, place, &turn)) continue;
    *any = true;
    GW_TRY(add_way(k, part, place, t));
  }
  return GW_OK;
}

static bool may_be_like(const making *k, int a, int b) {
  if (k->m->parts[a].n_halves != k->m->parts[b].n_halves) return false;
  for (int i = 0; i < 3; ++i)
    if (!gw_mixup_near(k->sizes[a][i], k->sizes[b][i])) return false;
  return true;
}

/* Parts in order of size: those that follow while the largest size is near. */
static bool in_reach(const making *k, int a, int b) {
  return k->m->parts[a].n_halves == k->m->parts[b].n_halves &&
         gw_mixup_near(k->sizes[a][0], k->sizes[b][0]);
}

static gw_status compare_every_pair(making *k) {
  const int n = k->m->n_parts;
  bool any;
  for (int i = 0; i < n; ++i) {
    int a = k->order[i];
    GW_TRY(try_pair(k, a, a, &any));
    for (int j = i + 1; j < n && in_reach(k, a, k->order[j]); ++j) {
      int b = k->order[j];
      if (!may_be_like(k, a, b)) continue;
      GW_TRY(try_pair(k, a, b, &any));
      if (any) unite(k, a, b);
      GW_TRY(try_pair(k, b, a, &any));
      if (any) unite(k, a, b);
    }
  }
  return GW_OK;
}

/* In a large piece: a part joins the first class whose first part it can
 * replace and be replaced by.  `heads` are the first parts of the classes that
 * are still in reach. */
static gw_status join_class(making *k, int part, int *heads, int *count) {
  enum { MOST = 64 };
  int kept = 0;
  for (int i = 0; i < *count; ++i)
    if (in_reach(k, heads[i], part)) heads[kept++] = heads[i];
  *count = kept;
  for (int i = 0; i < kept; ++i) {
    if (!may_be_like(k, heads[i], part)) continue;
    for (int t = next_turn(k, part, heads[i], 0); t < GW_TURNS;
         t = next_turn(k, part, heads[i], t + 1)) {
      gw_turn turn = gw_turn_at(t);
      if (!gw_mixup_goes(k->m, k->fit, part, heads[i], &turn)) continue;
      if (root_of(k, heads[i]) == heads[i] && k->out->part_class[heads[i]] == 0) {
        bool any;
        k->out->part_class[heads[i]] = 1; /* one pair stands for the class */
        GW_TRY(try_pair(k, part, heads[i], &any));
      }
      k->root[part] = heads[i];
      return GW_OK;
    }
  }
  if (kept == MOST) memmove(heads, heads + 1, (size_t)(--*count) * sizeof *heads);
  heads[(*count)++] = part;
  bool any;
  return try_pair(k, part, part, &any);
}

static gw_status compare_with_heads(making *k) {
  int heads[64], count = 0;
  for (int i = 0; i < k->m->n_parts; ++i)
    GW_TRY(join_class(k, k->order[i], heads, &count));
  return GW_OK;
}

/* ---- classes and their number -------------------------------------------------------------- */

static void number_classes(making *k) {
  for (int i = 0; i < k->m->n_parts; ++i) k->out->part_class[i] = -1;
  for (int i = 0; i < k->m->n_parts; ++i) {
    int root = root_of(k, i);
    if (k->out->part_class[root] < 0) k->out->part_class[root] = k->out->n_part_classes++;
    k->out->part_class[i] = k->out->part_class[root];
  }
}

/* The number of ways of each pair inside one small class. */
static gw_status count_class(const making *k, int class, const int *at, int n, uint64_t *out) {
  int *ways = calloc((size_t)n * (size_t)n, sizeof *ways);
  if (ways == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < n; ++i) ways[i * n + i] = 1;
  for (int i = 0; i < k->out->n_ways; ++i) {
    const gw_mixup *way = &k->out->ways[i];
    if (k->out->part_class[way->part] == class) ways[at[way->part] * n + at[way->place]]++;
  }
  gw_status status = gw_mixups_count(ways, n, out);
  free(ways);
  return status;
}

/* Where only the first of a class was compared, all others do as it does: n
 * parts with s turns each go together in n! times s to the n ways. */
static uint64_t count_alike(uint64_t turns, int n) {
  uint64_t count = 1;
  for (int i = 2; i <= n; ++i) count = times(count, (uint64_t)i);
  for (int i = 0; i < n; ++i) count = times(count, turns);
  return count;
}

/* Only the right one, and each part turned in its own place: what can be said
 * of a class that is too large to be counted. */
static void count_turns(const making *k, uint64_t *turns) {
  for (int i = 0; i < k->m->n_parts; ++i) turns[i] = 1;
  for (int i = 0; i < k->out->n_ways; ++i) {
    const gw_mixup *way = &k->out->ways[i];
    if (way->part == way->place) turns[way->part]++;
  }
}

/* `at` numbers the parts within their class; `n` counts them. */
static gw_status count_all(making *k, int *at, int *n, uint64_t *turns) {
  gw_mixups *out = k->out;
  bool every_pair = k->m->n_parts <= EVERY_PAIR;
  uint64_t all = 1;
  for (int i = 0; i < k->m->n_parts; ++i) at[i] = n[out->part_class[i]]++;
  count_turns(k, turns);
  out->exact = every_pair;
  for (int i = 0; i < k->m->n_parts; ++i) {
    int class = out->part_class[i], size = n[class];
    uint64_t count = 1;
    if (every_pair && size > GW_MIXUP_EXACT) {
      all = times(all, turns[i]);
      out->exact = false;
    } else if (at[i] == 0 && every_pair) {
      GW_TRY(count_class(k, class, at, size, &count));
    } else if (at[i] == 0) {
      count = count_alike(turns[root_of(k, i)], size);
    }
    all = times(all, count);
  }
  if (all == UINT64_MAX) out->exact = false;
  out->wrong = all - 1;
  return GW_OK;
}

static gw_status count_assemblies(making *k) {
  size_t n = (size_t)k->m->n_parts + 1;
  int *at = calloc(n, sizeof *at), *count = calloc(n, sizeof *count);
  uint64_t *turns = calloc(n, sizeof *turns);
  gw_status status = GW_NO_MEMORY;
  if (at != NULL && count != NULL && turns != NULL) status = count_all(k, at, count, turns);
  free(at);
  free(count);
  free(turns);
  return status;
}

/* ---- the whole ------------------------------------------------------------------------------- */

/* What ways are ranked by: the most harmful first, then as the parts stand in the
 * file. */
enum { HARM_MOST = 15 };
static int by_turn(const gw_mixup *way) { return way->turn; }
static int by_place(const gw_mixup *way) { return way->place; }
static int by_part(const gw_mixup *way) { return way->part; }
static int by_harm(const gw_mixup *way) { return HARM_MOST - way->harm; }

/* A counting sort from one list to another; what is equal stays in order.
 * `count` has room for one key more than there are. */
static void sort_ways(const gw_mixup *from, gw_mixup *to, int n, int (*key)(const gw_mixup *),
                      size_t keys, int *count) {
  memset(count, 0, (keys + 1) * sizeof *count);
  for (int i = 0; i < n; ++i) count[key(&from[i]) + 1]++;
  for (size_t i = 0; i < keys; ++i) count[i + 1] += count[i];
  for (int i = 0; i < n; ++i) to[count[key(&from[i])]++] = from[i];
}

/* Every two parts of a row of like ones are a way, so there are many. */
static gw_status rank(gw_mixups *out, size_t parts) {
  size_t keys = parts < GW_TURNS ? GW_TURNS : parts;
  gw_mixup *other = calloc((size_t)out->n_ways + 1, sizeof *other);
  int *count = calloc(keys + 1, sizeof *count);
  gw_status status = other == NULL || count == NULL ? GW_NO_MEMORY : GW_OK;
  if (status == GW_OK && out->n_ways > 0) {
    sort_ways(out->ways, other, out->n_ways, by_turn, GW_TURNS, count);
    sort_ways(other, out->ways, out->n_ways, by_place, parts, count);
    sort_ways(out->ways, other, out->n_ways, by_part, parts, count);
    sort_ways(other, out->ways, out->n_ways, by_harm, HARM_MOST + 1, count);
  }
  free(other);
  free(count);
  return status;
}

static gw_status make(making *k) {
  size_t n = (size_t)k->m->n_parts + 1;
  k->out->part_class = gw_arena_alloc(k->out->arena, n, sizeof *k->out->part_class);
  k->order = calloc(n, sizeof *k->order);
  k->root = calloc(n, sizeof *k->root);
  k->sizes = calloc(n, sizeof *k->sizes);
  if (k->out->part_class == NULL || k->order == NULL || k->root == NULL || k->sizes == NULL)
    return GW_NO_MEMORY;
  GW_TRY(arrange(k));
  GW_TRY(k->m->n_parts <= EVERY_PAIR ? compare_every_pair(k) : compare_with_heads(k));
  number_classes(k);
  GW_TRY(count_assemblies(k));
  GW_TRY(rank(k->out, n));
  return gw_mixups_joints(k->m, k->fit, k->out);
}

gw_status gw_mixups_make(const gw_model *m, const gw_fit *fit, gw_findings *findings,
                         gw_mixups **out) {
  gw_mixups *made = calloc(1, sizeof *made);
  if (made == NULL) return GW_NO_MEMORY;
  making k = {.m = m, .fit = fit, .out = made};
  made->arena = gw_arena_new();
  gw_status status = made->arena == NULL ? GW_NO_MEMORY : make(&k);
  free(k.order);
  free(k.root);
  free(k.sizes);
  if (status == GW_OK) status = gw_mixups_say(m, made, findings);
  if (status != GW_OK) gw_mixups_free(made);
  else *out = made;
  return status;
}

void gw_mixups_free(gw_mixups *mixups) {
  if (mixups == NULL) return;
  gw_arena_free(mixups->arena);
  free(mixups->ways);
  free(mixups);
}
