/* split_bound.c - what no order of the whole piece costs less than.
 *
 * The align term is a sum of squares.  Whatever order the piece has, what it
 * does to the parts of a set X is an order of X by itself: each split of the
 * piece splits X in the same direction or leaves it whole.  And (x + y)^2 is at
 * least x^2 + y^2.  So bounds for sets of parts add up as long as no joint is
 * counted in two of them.  Ways to choose the sets are tried, and the best one
 * is kept: the blocks of the joint graph, and small regions in
 * which the least sum of squares is worked out exactly, blocking and all. */
#include <stdlib.h>
#include <string.h>

#include "order/split_internal.h"

#define REGION 10 /* parts; 3^10 splits are looked at */

/* ---- blocks of the joint graph (Hopcroft and Tarjan 1973) ---- */

/* Any order joins the parts of a block in exactly (parts - 1) of its joins. */
typedef struct blocks {
  const gw_split_graph *g;
  int *index, *low, *next, *via, *path, *open;
  bool *used; /* joints */
  int n_path, n_open, clock;
  int64_t sum;
} blocks;

/* The joints opened since `joint` are a block; its parts are those of a
 * connected graph: count the distinct ends. */
static void close_block(blocks *b, int joint, int *stamp) {
  int parts = 0, j;
  int64_t glued = 0;
  b->clock++;
  do {
    j = b->open[--b->n_open];
    const gw_split_joint *joined = &b->g->p->joints[j];
    int ends[] = {joined->a, joined->b};
    for (int k = 0; k < 2; k++) {
      if (stamp[ends[k]] == b->clock) continue;
      stamp[ends[k]] = b->clock;
      parts++;
    }
    glued += joined->glued;
  } while (j != joint);
  b->sum += gw_split_least_squares(glued, parts - 1);
}

static void enter_block(blocks *b, int v, int via) {
  b->index[v] = b->low[v] = ++b->clock;
  b->next[v] = b->g->at.start[v];
  b->via[v] = via;
  b->path[b->n_path++] = v;
}

static void leave_block(blocks *b, int *stamp) {
  int v = b->path[--b->n_path];
  if (b->n_path == 0) return;
  int up = b->path[b->n_path - 1];
  if (b->low[v] < b->low[up]) b->low[up] = b->low[v];
  if (b->low[v] >= b->index[up]) close_block(b, b->via[v], stamp);
}

static void run_blocks(blocks *b, int root, int *stamp) {
  enter_block(b, root, -1);
  while (b->n_path > 0) {
    int v = b->path[b->n_path - 1];
    if (b->next[v] == b->g->at.start[v + 1]) {
      leave_block(b, stamp);
      continue;
    }
    int i = b->next[v]++, w = b->g->at.to[i], j = b->g->at.joint[i];
    if (b->used[j]) continue;
    b->used[j] = true;
    b->open[b->n_open++] = j;
    if (b->index[w] == 0)
      enter_block(b, w, j);
    else if (b->index[w] < b->low[v])
      b->low[v] = b->index[w];
  }
}

/* Over the joints for which used[] is false at first; it is true afterwards. */
static gw_status squares_by_block(const gw_split_graph *g, bool *used, int64_t *sum) {
  size_t n = (size_t)g->n, m = (size_t)g->p->n_joints;
  int *store = calloc(6 * n + m + 1, sizeof(int));
  if (!store) return GW_NO_MEMORY;
  blocks b = {.g = g, .index = store, .low = store + n, .next = store + 2 * n,
              .via = store + 3 * n, .path = store + 4 * n, .open = store + 6 * n, .used = used};
  for (int v = 0; v < g->n; v++)
    if (b.index[v] == 0) run_blocks(&b, v, store + 5 * n);
  *sum += b.sum;
  free(store);
  return GW_OK;
}

/* ---- regions ---- */

typedef struct region {
  int n, parts[REGION];
  unsigned out[GW_SPLIT_MAX_DIRS][REGION]; /* by axis: stopped by, as a set */
  int glued[REGION][REGION];               /* joints not counted before */
  int64_t best[1 << REGION];               /* least sum of squares, by set */
  unsigned *reach;                         /* by axis and set: all stopped by */
} region;

typedef struct regions {
  const gw_split_graph *g;
  bool *used;          /* joints counted */
  int *place, *pull;   /* by part: place in the region or -1; free joints into it */
  region *now;
  int64_t sum;
  bool close; /* stop growing when a ring is closed and the next part closes none */
} regions;

static bool free_joint(const regions *s, int i) {
  int j = s->g->at.joint[i];
  return !s->used[j] && s->g->p->joints[j].glued;
}

static void add_part(regions *s, int v) {
  s->place[v] = s->now->n;
  s->now->parts[s->now->n++] = v;
  for (int i = s->g->at.start[v]; i < s->g->at.start[v + 1]; i++)
    if (free_joint(s, i)) s->pull[s->g->at.to[i]]++;
}

/* The part outside that most free joints tie to the region, or -1. */
static int most_pulled(const regions *s) {
  int best = -1;
  for (int k = 0; k < s->now->n; k++) {
    int v = s->now->parts[k];
    for (int i = s->g->at.start[v]; i < s->g->at.start[v + 1]; i++) {
      int w = s->g->at.to[i];
      if (s->place[w] >= 0 || !free_joint(s, i)) continue;
      if (best < 0 || s->pull[w] > s->pull[best] || (s->pull[w] == s->pull[best] && w < best))
        best = w;
    }
  }
  return best;
}

static int ties(const regions *s, int v) {
  int n = 0;
  for (int i = s->g->at.start[v]; i < s->g->at.start[v + 1]; i++)
    n += free_joint(s, i) && s->place[s->g->at.to[i]] >= 0;
  return n;
}

/* Leaves out parts that hang on one joint: it may be of more use elsewhere. */
static void drop_hanging(regions *s) {
  region *r = s->now;
  for (int k = r->n - 1; k >= 0; k--) {
    if (ties(s, r->parts[k]) > 1) continue;
    s->place[r->parts[k]] = -1;
    r->parts[k] = r->parts[--r->n];
    k = r->n; /* look at all of them again */
  }
  for (int k = 0; k < r->n; k++) s->place[r->parts[k]] = k;
}

static void fill_region(regions *s) {
  region *r = s->now;
  memset(r->out, 0, sizeof r->out);
  memset(r->glued, 0, sizeof r->glued);
  for (int k = 0; k < r->n; k++) {
    int v = r->parts[k];
    for (int a = 0; a < s->g->n_axes; a++)
      for (int i = s->g->stops[a].start[v]; i < s->g->stops[a].start[v + 1]; i++)
        if (s->place[s->g->stops[a].to[i]] >= 0)
          r->out[a][k] |= 1u << s->place[s->g->stops[a].to[i]];
    for (int i = s->g->at.start[v]; i < s->g->at.start[v + 1]; i++)
      if (free_joint(s, i) && s->place[s->g->at.to[i]] >= 0)
        r->glued[k][s->place[s->g->at.to[i]]]++;
  }
}

static int64_t cut_squared(const region *r, unsigned left, unsigned right) {
  int64_t cut = 0;
  for (int a = 0; a < r->n; a++)
    for (int b = 0; b < r->n && (left >> a & 1); b++)
      if (right >> b & 1) cut += r->glued[a][b];
  return cut * cut;
}

static bool parts_from(const regions *s, unsigned left, unsigned right) {
  const region *r = s->now;
  for (int a = 0; a < s->g->n_axes; a++) {
    const unsigned *reach = r->reach + ((size_t)a << REGION);
    if ((reach[left] & right) == 0 || (reach[right] & left) == 0) return true;
  }
  return false;
}

static void solve_set(regions *s, unsigned set) {
  region *r = s->now;
  unsigned low = set & -set;
  r->best[set] = INT64_MAX;
  for (unsigned left = (set - 1) & set; left; left = (left - 1) & set) {
    unsigned right = set & ~left;
    if (!(left & low) || r->best[left] + r->best[right] >= r->best[set]) continue;
    if (!parts_from(s, left, right)) continue;
    int64_t sum = r->best[left] + r->best[right] + cut_squared(r, left, right);
    if (sum < r->best[set]) r->best[set] = sum;
  }
}

static int64_t solve_region(regions *s) {
  region *r = s->now;
  fill_region(s);
  for (int a = 0; a < s->g->n_axes; a++) {
    unsigned *reach = r->reach + ((size_t)a << REGION);
    reach[0] = 0;
    for (unsigned set = 1; set < 1u << r->n; set++)
      reach[set] = reach[set & (set - 1)] | r->out[a][__builtin_ctz(set)];
  }
  for (unsigned set = 1; set < 1u << r->n; set++)
    if ((set & (set - 1)) == 0)
      r->best[set] = 0;
    else
      solve_set(s, set);
  return r->best[(1u << r->n) - 1];
}

/* Grows a region from one joint; counts its joints unless it fell apart. */
static void grow_region(regions *s, int joint) {
  region *r = s->now;
  r->n = 0;
  add_part(s, s->g->p->joints[joint].a);
  add_part(s, s->g->p->joints[joint].b);
  bool ring = false;
  for (int v; r->n < REGION && (v = most_pulled(s)) >= 0;) {
    if (s->close && ring && s->pull[v] < 2) break;
    ring |= s->pull[v] > 1;
    add_part(s, v);
  }
  int grown[REGION], n = r->n;
  memcpy(grown, r->parts, sizeof grown);
  drop_hanging(s);
  if (r->n > 2) s->sum += solve_region(s);
  for (int k = 0; k < r->n && r->n > 2; k++)
    for (int i = s->g->at.start[r->parts[k]]; i < s->g->at.start[r->parts[k] + 1]; i++)
      if (s->place[s->g->at.to[i]] >= 0) s->used[s->g->at.joint[i]] = true;
  for (int k = 0; k < n; k++) {
    s->place[grown[k]] = -1;
    for (int i = s->g->at.start[grown[k]]; i < s->g->at.start[grown[k] + 1]; i++)
      s->pull[s->g->at.to[i]] = 0;
  }
}

static gw_status squares_by_region(const gw_split_graph *g, bool close, bool *used,
                                   int64_t *sum) {
  regions s = {.g = g, .used = used, .close = close};
  s.now = malloc(sizeof *s.now);
  unsigned *reach = malloc(((size_t)g->n_axes << REGION) * sizeof *reach);
  s.place = malloc((size_t)g->n * sizeof(int));
  s.pull = calloc((size_t)g->n, sizeof(int));
  gw_status status = s.now && reach && s.place && s.pull ? GW_OK : GW_NO_MEMORY;
  if (status == GW_OK) {
    s.now->reach = reach;
    for (int v = 0; v < g->n; v++) s.place[v] = -1;
    for (int j = 0; j < g->p->n_joints; j++)
      if (!used[j] && g->p->joints[j].glued) grow_region(&s, j);
    *sum += s.sum;
  }
  free(s.now);
  free(reach);
  free(s.place);
  free(s.pull);
  return status;
}

/* ---- the whole ---- */

static gw_status best_squares(const gw_split_graph *g, int64_t *squares) {
  size_t m = (size_t)g->p->n_joints;
  bool *used = calloc(m + 1, sizeof(bool));
  gw_status status = used ? GW_OK : GW_NO_MEMORY;
  *squares = 0;
  for (int way = 0; way < 3 && status == GW_OK; way++) { /* no regions, two kinds of them */
    int64_t sum = 0;
    memset(used, 0, m * sizeof(bool));
    if (way > 0) status = squares_by_region(g, way == 1, used, &sum);
    if (status == GW_OK) status = squares_by_block(g, used, &sum);
    if (sum > *squares) *squares = sum;
  }
  free(used);
  return status;
}

/* The pieces of the whole, by joining them joint by joint. */
static gw_status count_pieces(const gw_split_graph *g, int *pieces) {
  int *up = malloc((size_t)g->n * sizeof(int));
  if (!up) return GW_NO_MEMORY;
  for (int v = 0; v < g->n; v++) up[v] = v;
  *pieces = g->n;
  for (int j = 0; j < g->p->n_joints; j++) {
    int a = g->p->joints[j].a, b = g->p->joints[j].b;
    while (up[a] != a) a = up[a] = up[up[a]];
    while (up[b] != b) b = up[b] = up[up[b]];
    *pieces -= a != b;
    up[a] = b;
  }
  free(up);
  return GW_OK;
}

gw_status gw_split_bound(const gw_split_graph *g, int64_t *bound) {
  gw_split_whole whole = {.n = g->n};
  int64_t squares = 0;
  for (int v = 0; v < g->n; v++) {
    int64_t m = gw_split_mass(g, v);
    whole.mass += m;
    if (m > whole.heaviest) whole.heaviest = m;
  }
  GW_TRY(count_pieces(g, &whole.pieces));
  GW_TRY(best_squares(g, &squares));
  *bound = gw_split_least(g, &whole) + g->p->weights.align * squares;
  return GW_OK;
}
