#include "sheets/square.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- diagonals ------------------------------------------------------------------------ */

double gw_square_diagonal(double w, double h) { return sqrt(w * w + h * h); }

void gw_square_pair(double w, double h, double difference, double *longer, double *shorter) {
  double half = difference / 2;
  double middle = sqrt(w * w + h * h - half * half);
  *longer = middle + half;
  *shorter = middle - half;
}

double gw_square_angle(double w, double h, double longer, double shorter) {
  double sine = (longer * longer - shorter * shorter) / (4 * w * h);
  return asin(sine) * 180 / acos(-1);
}

double gw_square_lean(double base, double longer, double shorter) {
  return (longer * longer - shorter * shorter) / (4 * base);
}

double gw_square_allowed(double diagonal, gw_units units) {
  double step = units == GW_UNITS_INCH ? 25.4 / 64 : 0.5;
  return fmax(1, ceil(diagonal / 1000 / step - 1e-9)) * step;
}

/* ---- a section through the wood ------------------------------------------------------- */

enum { MAX_WOOD = 24 };
/* A slice thinner than this is not looked at. */
static const gw_len SLICE = 3 * GW_MM;

/* `box` holds along the axis; of what leans, looked at from above, at the slice. */
typedef struct piece_of_wood {
  gw_box box;
  int part;
  gw_solid solid;
} piece_of_wood;

/* One group seen along one axis; `cells` is the section, us by vs. */
typedef struct section {
  const gw_model *m;
  piece_of_wood *wood;
  size_t n_wood;
  int axis, across[2], group;
  bool edges;     /* the slice is at the upper edges of what leans */
  gw_len *lines[2];
  int n_lines[2]; /* cells are one fewer */
  int *cells;     /* part, EMPTY, or from FIRST_MARK down: which void it is of */
  int *stack;
} section;
enum { EMPTY = -1, OPEN_AIR = -2, FIRST_VOID = -3 };

typedef struct list {
  gw_opening *items;
  size_t count, capacity;
} list;

static int by_length(const void *left, const void *right) {
  gw_len a = *(const gw_len *)left, b = *(const gw_len *)right;
  return a < b ? -1 : a > b;
}

/* Sorts, and leaves out what is there twice. */
static int distinct(gw_len *values, int count) {
  qsort(values, (size_t)count, sizeof *values, by_length);
  int kept = 0;
  for (int i = 0; i < count; ++i)
    if (kept == 0 || values[kept - 1] != values[i]) values[kept++] = values[i];
  return kept;
}

/* A section that is not level cuts leaning wood in no rectangle: see frames. */
static bool in_slice(const section *s, size_t i, gw_len at) {
  if (s->axis != GW_Z && gw_solid_slants(&s->wood[i].solid)) return false;
  return s->wood[i].box.lo[s->axis] <= at && s->wood[i].box.hi[s->axis] > at;
}

static int width_of(const section *s) { return s->n_lines[0] - 1; }
static int *cell(const section *s, int i, int j) { return &s->cells[j * width_of(s) + i]; }

static void rule_lines(section *s, gw_len at) {
  for (int k = 0; k < 2; ++k) {
    int n = 0;
    for (size_t i = 0; i < s->n_wood; ++i) {
      if (!in_slice(s, i, at)) continue;
      s->lines[k][n++] = s->wood[i].box.lo[s->across[k]];
      s->lines[k][n++] = s->wood[i].box.hi[s->across[k]];
    }
    s->n_lines[k] = distinct(s->lines[k], n);
  }
}

static int line_of(const section *s, int k, gw_len value) {
  const gw_len *found =
      bsearch(&value, s->lines[k], (size_t)s->n_lines[k], sizeof value, by_length);
  return (int)(found - s->lines[k]);
}

static void fill_cells(section *s, gw_len at) {
  int count = width_of(s) * (s->n_lines[1] - 1);
  for (int i = 0; i < count; ++i) s->cells[i] = EMPTY;
  for (size_t i = 0; i < s->n_wood; ++i) {
    if (!in_slice(s, i, at)) continue;
    const gw_box *box = &s->wood[i].box;
    int u0 = line_of(s, 0, box->lo[s->across[0]]), u1 = line_of(s, 0, box->hi[s->across[0]]);
    int v0 = line_of(s, 1, box->lo[s->across[1]]), v1 = line_of(s, 1, box->hi[s->across[1]]);
    for (int v = v0; v < v1; ++v)
      for (int u = u0; u < u1; ++u) *cell(s, u, v) = s->wood[i].part;
  }
}

/* Marks all empty cells joined to (i, j). */
static void flood(section *s, int i, int j, int mark) {
  int width = width_of(s), height = s->n_lines[1] - 1, top = 0;
  if (*cell(s, i, j) != EMPTY) return;
  *cell(s, i, j) = mark;
  s->stack[top++] = j * width + i;
  while (top > 0) {
    int at = s->stack[--top], u = at % width, v = at / width;
    const int beside[4][2] = {{u - 1, v}, {u + 1, v}, {u, v - 1}, {u, v + 1}};
    for (int n = 0; n < 4; ++n) {
      int x = beside[n][0], y = beside[n][1];
      if (x < 0 || y < 0 || x >= width || y >= height || *cell(s, x, y) != EMPTY) continue;
      *cell(s, x, y) = mark;
      s->stack[top++] = y * width + x;
    }
  }
}

static void flood_from_outside(section *s) {
  int width = width_of(s), height = s->n_lines[1] - 1;
  for (int i = 0; i < width; ++i) {
    flood(s, i, 0, OPEN_AIR);
    flood(s, i, height - 1, OPEN_AIR);
  }
  for (int j = 0; j < height; ++j) {
    flood(s, 0, j, OPEN_AIR);
    flood(s, width - 1, j, OPEN_AIR);
  }
}

/* ---- the shape of a void -------------------------------------------------------------- */

typedef struct cells { int lo[2], hi[2]; } cells; /* hi not counted */

static int bounds_of(const section *s, int mark, cells *out) {
  int count = 0;
  *out = (cells){{s->n_lines[0], s->n_lines[1]}, {0, 0}};
  for (int j = 0; j < s->n_lines[1] - 1; ++j)
    for (int i = 0; i < width_of(s); ++i) {
      if (*cell(s, i, j) != mark) continue;
      const int at[2] = {i, j};
      for (int k = 0; k < 2; ++k) {
        if (at[k] < out->lo[k]) out->lo[k] = at[k];
        if (at[k] >= out->hi[k]) out->hi[k] = at[k] + 1;
      }
      ++count;
    }
  return count;
}

/* How many cells of wood stand in one corner of the bounds, each way. */
static int corner(const section *s, int mark, const cells *b, bool far_u, bool far_v,
                  int deep[2]) {
  int u = far_u ? b->hi[0] - 1 : b->lo[0], v = far_v ? b->hi[1] - 1 : b->lo[1];
  int du = far_u ? -1 : 1, dv = far_v ? -1 : 1;
  deep[0] = deep[1] = 0;
  for (int i = u; i >= b->lo[0] && i < b->hi[0] && *cell(s, i, v) != mark; i += du) ++deep[0];
  for (int j = v; j >= b->lo[1] && j < b->hi[1] && *cell(s, u, j) != mark; j += dv) ++deep[1];
  int solid = 0;
  for (int j = 0; j < deep[1]; ++j)
    for (int i = 0; i < deep[0]; ++i) solid += *cell(s, u + du * i, v + dv * j) != mark;
  return solid == deep[0] * deep[1] ? solid : -1;
}

/* A rectangle, or one with posts in all four corners whose inner corners make
 * a rectangle; *inner is then that one. */
static bool rectangular(const section *s, int mark, cells *inner, bool *posts) {
  cells b;
  int count = bounds_of(s, mark, &b), solid = 0, deep[2][2][2];
  for (int fu = 0; fu < 2; ++fu)
    for (int fv = 0; fv < 2; ++fv) {
      int block = corner(s, mark, &b, fu, fv, deep[fu][fv]);
      if (block < 0) return false;
      solid += block;
    }
  if (count + solid != (b.hi[0] - b.lo[0]) * (b.hi[1] - b.lo[1])) return false;
  for (int f = 0; f < 2; ++f)
    if (deep[f][0][0] != deep[f][1][0] || deep[0][f][1] != deep[1][f][1]) return false;
  *posts = solid > 0;
  *inner = (cells){{b.lo[0] + deep[0][0][0], b.lo[1] + deep[0][0][1]},
                   {b.hi[0] - deep[1][0][0], b.hi[1] - deep[0][1][1]}};
  return inner->lo[0] < inner->hi[0] && inner->lo[1] < inner->hi[1];
}

/* ---- gathering ------------------------------------------------------------------------ */

static bool same_rectangle(const gw_opening *a, const gw_opening *b) {
  bool shared = a->outside; /* frames behind each other share a side, or are two */
  for (int i = 0; i < 4; ++i) shared = shared || a->parts[i] == b->parts[i];
  return a->axis == b->axis && a->group == b->group && a->outside == b->outside && shared &&
         memcmp(a->lo, b->lo, sizeof a->lo) == 0 && memcmp(a->hi, b->hi, sizeof a->hi) == 0;
}

static gw_status keep(list *found, const gw_opening *opening) {
  for (size_t i = 0; i < found->count; ++i)
    if (same_rectangle(&found->items[i], opening)) return GW_OK;
  GW_TRY(gw_grow(&found->items, &found->capacity, found->count + 1, sizeof *found->items));
  found->items[found->count++] = *opening;
  return GW_OK;
}

static bool joined(const gw_model *m, int a, int b) {
  for (int i = 0; i < m->n_joints; ++i) {
    int e = gw_joint_enters(m, &m->joints[i]), r = gw_joint_receives(m, &m->joints[i]);
    if ((e == a && r == b) || (e == b && r == a)) return true;
  }
  return false;
}

/* Four parts that only happen to lie round a void are no frame: each side must
 * be joined to the next, or posts stand between them. */
static bool is_frame(const section *s, const gw_opening *o) {
  for (int i = 0; i < 4 && !o->posts; ++i)
    if (!joined(s->m, o->parts[i / 2], o->parts[2 + i % 2])) return false;
  return true;
}

static bool worth_a_tape(const gw_opening *o) {
  return o->hi[0] - o->lo[0] >= GW_SQUARE_LEAST && o->hi[1] - o->lo[1] >= GW_SQUARE_LEAST;
}

/* The part that bounds the void on a side, at the middle of that side. */
static int part_beside(const section *s, const cells *inner, int k, bool far_side, int mark) {
  int other = 1 - k, at[2];
  gw_len middle = (s->lines[other][inner->lo[other]] + s->lines[other][inner->hi[other]]) / 2;
  at[other] = inner->lo[other];
  while (at[other] + 1 < inner->hi[other] && s->lines[other][at[other] + 1] <= middle) ++at[other];
  at[k] = far_side ? inner->hi[k] - 1 : inner->lo[k];
  while (*cell(s, at[0], at[1]) == mark) at[k] += far_side ? 1 : -1;
  return *cell(s, at[0], at[1]);
}

static gw_status keep_void(const section *s, int mark, list *found, bool *any) {
  cells inner;
  gw_opening o = {.axis = s->axis, .group = s->group, .edges = s->edges};
  if (!rectangular(s, mark, &inner, &o.posts)) {
    cells b;
    bounds_of(s, mark, &b);
    *any = *any || (s->lines[0][b.hi[0]] - s->lines[0][b.lo[0]] >= GW_SQUARE_LEAST &&
                    s->lines[1][b.hi[1]] - s->lines[1][b.lo[1]] >= GW_SQUARE_LEAST);
    return GW_OK;
  }
  for (int k = 0; k < 2; ++k) {
    o.lo[k] = s->lines[k][inner.lo[k]];
    o.hi[k] = s->lines[k][inner.hi[k]];
    o.parts[2 * k] = part_beside(s, &inner, k, false, mark);
    o.parts[2 * k + 1] = part_beside(s, &inner, k, true, mark);
  }
  if (!worth_a_tape(&o)) return GW_OK;
  *any = true;
  return is_frame(s, &o) ? keep(found, &o) : GW_OK;
}

static double area_of(const gw_opening *o) {
  return gw_len_mm(o->hi[0] - o->lo[0]) * gw_len_mm(o->hi[1] - o->lo[1]);
}

/* The outer rectangle of the section, when its corners are wood. */
static void take_outside(const section *s, gw_opening *largest) {
  int u = width_of(s) - 1, v = s->n_lines[1] - 2;
  if (*cell(s, 0, 0) < 0 || *cell(s, u, 0) < 0 || *cell(s, 0, v) < 0 || *cell(s, u, v) < 0) return;
  gw_opening o = {.axis = s->axis, .group = s->group, .edges = s->edges, .outside = true,
                  .parts = {*cell(s, 0, 0), *cell(s, u, 0), *cell(s, u, v), *cell(s, 0, v)}};
  for (int k = 0; k < 2; ++k) {
    o.lo[k] = s->lines[k][0];
    o.hi[k] = s->lines[k][s->n_lines[k] - 1];
  }
  if (worth_a_tape(&o) && area_of(&o) > area_of(largest)) *largest = o;
}

static gw_status look_at(section *s, gw_len at, list *found, gw_opening *largest) {
  rule_lines(s, at);
  if (s->n_lines[0] < 4 || s->n_lines[1] < 4) return GW_OK; /* nothing can be enclosed */
  fill_cells(s, at);
  flood_from_outside(s);
  int mark = FIRST_VOID;
  bool any = false;
  for (int j = 0; j < s->n_lines[1] - 1; ++j)
    for (int i = 0; i < width_of(s); ++i) {
      if (*cell(s, i, j) != EMPTY) continue;
      flood(s, i, j, mark);
      GW_TRY(keep_void(s, mark--, found, &any));
    }
  if (any) take_outside(s, largest);
  return GW_OK;
}

/* Takes level sections of what leans; false when nothing does in this slice. */
static bool lean_to(section *s, gw_len at) {
  bool any = false;
  for (size_t i = 0; i < s->n_wood && s->axis == GW_Z; ++i) {
    if (!gw_solid_slants(&s->wood[i].solid) || !in_slice(s, i, at)) continue;
    s->wood[i].box = gw_solid_section(&s->wood[i].solid, at);
    any = true;
  }
  return any;
}

/* Every slice between two neighbouring faces: midway, but along the upper edges
 * of what leans, where a tape can be laid. */
static gw_status look_along(section *s, gw_len *faces, list *found) {
  int n = 0;
  for (size_t i = 0; i < s->n_wood; ++i) {
    faces[n++] = s->wood[i].box.lo[s->axis];
    faces[n++] = s->wood[i].box.hi[s->axis];
  }
  n = distinct(faces, n);
  gw_opening largest = {0};
  for (int i = 0; i + 1 < n; ++i)
    if (faces[i + 1] - faces[i] >= SLICE) {
      s->edges = lean_to(s, faces[i + 1] - 1);
      GW_TRY(look_at(s, s->edges ? faces[i + 1] - 1 : faces[i] + (faces[i + 1] - faces[i]) / 2, found,
                     &largest));
    }
  return largest.outside ? keep(found, &largest) : GW_OK;
}

static size_t gather_group(const gw_model *m, const gw_fit *fit, int group, piece_of_wood *wood) {
  size_t count = 0;
  gw_solid solids[MAX_WOOD];
  for (int i = 0; i < m->n_parts; ++i) {
    if (m->parts[i].group != group) continue;
    int n = gw_fit_wood(fit, m, i, solids, MAX_WOOD);
    for (int k = 0; k < n && k < MAX_WOOD; ++k) wood[count++] = (piece_of_wood){solids[k].box, i, solids[k]};
  }
  return count;
}

static gw_status look_at_group(const gw_model *m, const gw_fit *fit, int group, gw_arena *arena,
                               list *found) {
  size_t most = (size_t)m->n_parts * MAX_WOOD;
  piece_of_wood *wood = gw_arena_alloc(arena, most, sizeof *wood);
  if (wood == NULL) return GW_NO_MEMORY;
  size_t n = gather_group(m, fit, group, wood);
  section s = {.m = m, .wood = wood, .n_wood = n, .group = group};
  gw_len *faces = gw_arena_alloc(arena, 2 * n + 1, sizeof *faces);
  for (int k = 0; k < 2; ++k) s.lines[k] = gw_arena_alloc(arena, 2 * n + 1, sizeof *faces);
  s.cells = gw_arena_alloc(arena, 4 * n * n + 1, sizeof *s.cells);
  s.stack = gw_arena_alloc(arena, 4 * n * n + 1, sizeof *s.stack);
  if (!faces || !s.lines[0] || !s.lines[1] || !s.cells || !s.stack) return GW_NO_MEMORY;
  for (s.axis = 0; s.axis < 3; ++s.axis) {
    s.across[0] = s.axis == 0 ? 1 : 0;
    s.across[1] = s.axis == 2 ? 1 : 2;
    GW_TRY(look_along(&s, faces, found));
  }
  return GW_OK;
}

gw_status gw_square_openings(const gw_model *m, const gw_fit *fit, gw_opening **out,
                             size_t *count) {
  list found = {0};
  *out = NULL;
  *count = 0;
  if (fit == NULL || !fit->placed || m->n_parts > GW_SQUARE_MAX_PARTS) return GW_OK;
  gw_arena *arena = gw_arena_new();
  gw_status status = arena == NULL ? GW_NO_MEMORY : GW_OK;
  for (int group = -1; group < m->n_groups && status == GW_OK; ++group)
    status = look_at_group(m, fit, group, arena, &found);
  gw_arena_free(arena);
  if (status != GW_OK) {
    free(found.items);
    return status;
  }
  *out = found.items;
  *count = found.count;
  return GW_OK;
}

int gw_square_narrow(const gw_opening *o) {
  gw_len w = o->hi[0] - o->lo[0], h = o->hi[1] - o->lo[1];
  return o->outside ? -1 : w * GW_SQUARE_NARROW < h ? 0 : h * GW_SQUARE_NARROW < w ? 1 : -1;
}

bool gw_square_stands(const gw_opening *o, const int *body) {
  for (int i = 1; i < 4; ++i)
    if (body[o->parts[i]] != body[o->parts[0]]) return false;
  return true;
}

/* ---- frames that lean ------------------------------------------------------------------ */

typedef struct frames {
  gw_frame *items;
  size_t count, capacity;
} frames;

/* The joint by which two parts meet along `axis`, or -1. */
static int meet_along(const gw_model *m, int a, int b, int axis) {
  for (int i = 0; i < m->n_joints; ++i) {
    const gw_joint *j = &m->joints[i];
    int e = gw_joint_enters(m, j), r = gw_joint_receives(m, j);
    if (((e == a && r == b) || (e == b && r == a)) &&
        (int)gw_dir_axis(m->halves[j->entering].at) == axis)
      return i;
  }
  return -1;
}

static bool is_post(const gw_model *m, const gw_fit *fit, int part) {
  return gw_part_length_axis(&m->parts[part]) == GW_Z && gw_fit_slants(fit, part);
}

/* The inner corner of a post at a height, mm. */
static void corner_at(const gw_fit *fit, int post, int axis, bool upper, gw_len height, double p[3]) {
  gw_solid solid = gw_fit_solid(fit, post, fit->boxes[post]);
  gw_box box = gw_solid_section(&solid, height);
  p[axis] = gw_len_mm(upper ? box.hi[axis] : box.lo[axis]);
  p[1 - axis] = gw_len_mm(box.lo[1 - axis] + box.hi[1 - axis]) / 2;
  p[GW_Z] = gw_len_mm(height);
}

static double apart(const double a[3], const double b[3]) {
  double sum = 0;
  for (int i = 0; i < 3; ++i) sum += (a[i] - b[i]) * (a[i] - b[i]);
  return sqrt(sum);
}

static gw_status keep_frame(frames *found, const gw_fit *fit, gw_frame f, gw_len low, gw_len high) {
  double at[2][2][3]; /* lower and upper, left and right */
  if (high - low < GW_SQUARE_LEAST) return GW_OK;
  for (int up = 0; up < 2; ++up)
    for (int far = 0; far < 2; ++far)
      corner_at(fit, f.posts[far], f.axis, far == 0, up ? high : low, at[up][far]);
  for (int up = 0; up < 2; ++up) f.width[up] = apart(at[up][0], at[up][1]);
  f.side = (apart(at[0][0], at[1][0]) + apart(at[0][1], at[1][1])) / 2;
  f.diagonal[0] = apart(at[0][0], at[1][1]);
  f.diagonal[1] = apart(at[0][1], at[1][0]);
  GW_TRY(gw_grow(&found->items, &found->capacity, found->count + 1, sizeof *found->items));
  found->items[found->count++] = f;
  return GW_OK;
}

/* Below each rail between the two posts: down to the next rail, or to the feet. */
static gw_status look_below(const gw_fit *fit, gw_frame f, const int *rails, int n,
                            frames *found) {
  for (int i = 0; i < n; ++i) {
    gw_len high = fit->boxes[rails[i]].lo[GW_Z], low = fit->boxes[f.posts[0]].lo[GW_Z];
    f.rails[0] = rails[i];
    f.rails[1] = -1;
    for (int k = 0; k < n; ++k) {
      gw_len top = fit->boxes[rails[k]].hi[GW_Z];
      if (top > high || top < low || k == i) continue;
      low = top;
      f.rails[1] = rails[k];
    }
    if (f.rails[1] < 0 && low != fit->boxes[f.posts[1]].lo[GW_Z]) continue;
    GW_TRY(keep_frame(found, fit, f, low, high));
  }
  return GW_OK;
}

static gw_status look_between(const gw_model *m, const gw_fit *fit, int a, int b, int axis,
                              int *rails, frames *found) {
  int n = 0;
  gw_frame f = {.axis = axis, .posts = {a, b}};
  for (int i = 0; i < m->n_parts; ++i)
    if (i != a && i != b && meet_along(m, i, a, axis) >= 0 && meet_along(m, i, b, axis) >= 0)
      rails[n++] = i;
  return look_below(fit, f, rails, n, found);
}

gw_status gw_square_frames(const gw_model *m, const gw_fit *fit, gw_frame **out, size_t *count) {
  frames found = {0};
  gw_status status = GW_OK;
  *out = NULL;
  *count = 0;
  if (fit == NULL || !fit->placed || fit->slants == NULL || m->n_parts > GW_SQUARE_MAX_PARTS)
    return GW_OK;
  int *rails = malloc((size_t)m->n_parts * sizeof *rails);
  if (rails == NULL) return GW_NO_MEMORY;
  for (int axis = 0; axis < 2; ++axis)
    for (int a = 0; a < m->n_parts; ++a)
      for (int b = 0; b < m->n_parts && status == GW_OK; ++b)
        if (a != b && is_post(m, fit, a) && is_post(m, fit, b) &&
            fit->boxes[a].lo[axis] < fit->boxes[b].lo[axis])
          status = look_between(m, fit, a, b, axis, rails, &found);
  free(rails);
  if (status != GW_OK) free(found.items);
  else *out = found.items;
  *count = status == GW_OK ? found.count : 0;
  return status;
}

bool gw_square_frame_stands(const gw_frame *f, const int *body) {
  int one = body[f->posts[0]];
  return body[f->posts[1]] == one && body[f->rails[0]] == one &&
         (f->rails[1] < 0 || body[f->rails[1]] == one);
}

/* ---- lengths that must agree ---------------------------------------------------------- */

/* Of each part: where it begins along its length, and how long it is. */
typedef struct stretches {
  gw_len *lo, *length;
  bool *taken;
} stretches;

/* The whole length, or the stretch between the shoulders. */
static void stretch(const gw_model *m, const gw_fit *fit, int part, bool shoulders, stretches *s) {
  const gw_part *p = &m->parts[part];
  int axis = gw_part_length_axis(p);
  s->lo[part] = 0;
  s->length[part] = p->length;
  s->taken[part] = false;
  if (fit == NULL || !fit->placed) return;
  gw_box box = fit->boxes[part];
  gw_solid body;
  if (shoulders && gw_fit_wood(fit, m, part, &body, 1) > 0) box = body.box;
  s->lo[part] = box.lo[axis];
  s->length[part] = box.hi[axis] - box.lo[axis];
}

static bool beside(const gw_model *m, const stretches *s, int a, int b) {
  gw_len apart = s->lo[a] - s->lo[b];
  return gw_part_length_axis(&m->parts[a]) == gw_part_length_axis(&m->parts[b]) &&
         s->length[a] == s->length[b] && apart <= GW_SQUARE_BESIDE && apart >= -GW_SQUARE_BESIDE;
}

static gw_status take_equals(const gw_model *m, const stretches *s, int first, gw_arena *arena,
                             gw_equal *equal) {
  *equal = (gw_equal){.axis = gw_part_length_axis(&m->parts[first]), .length = s->length[first]};
  for (int i = first; i < m->n_parts; ++i)
    equal->count += !s->taken[i] && beside(m, s, first, i);
  if (equal->count < 2) return GW_OK;
  equal->parts = gw_arena_alloc(arena, (size_t)equal->count, sizeof *equal->parts);
  if (equal->parts == NULL) return GW_NO_MEMORY;
  for (int i = first, n = 0; i < m->n_parts; ++i) {
    if (s->taken[i] || !beside(m, s, first, i)) continue;
    s->taken[i] = true;
    equal->parts[n++] = i;
    equal->shoulders = equal->shoulders || m->parts[i].length != equal->length;
  }
  return GW_OK;
}

/* Both lists rise. */
static bool is_within(const gw_equal *a, const gw_equal *b) {
  int k = 0;
  for (int i = 0; i < a->count; ++i) {
    while (k < b->count && b->parts[k] < a->parts[i]) ++k;
    if (k == b->count || b->parts[k] != a->parts[i]) return false;
  }
  return true;
}

/* Sets of one kind after those that are there.  A set of whole lengths says
 * nothing more when its parts are all in one set between shoulders; a set
 * without shoulders among those is one of whole lengths, found again. */
static gw_status add_sets(const gw_model *m, const gw_fit *fit, bool shoulders, gw_arena *arena,
                          stretches *s, gw_equal *equals, size_t *count) {
  size_t before = *count;
  for (int i = 0; i < m->n_parts; ++i) stretch(m, fit, i, shoulders, s);
  for (int i = 0; i < m->n_parts; ++i) {
    if (s->taken[i]) continue;
    gw_equal *equal = &equals[*count];
    GW_TRY(take_equals(m, s, i, arena, equal));
    bool more = equal->count >= 2 && equal->shoulders == shoulders;
    for (size_t k = 0; k < before && more; ++k) more = !is_within(equal, &equals[k]);
    *count += more;
  }
  return GW_OK;
}

static int by_first_part(const void *left, const void *right) {
  const gw_equal *a = left, *b = right;
  if (a->parts[0] != b->parts[0]) return a->parts[0] < b->parts[0] ? -1 : 1;
  return (int)a->shoulders - (int)b->shoulders;
}

gw_status gw_square_equals(const gw_model *m, const gw_fit *fit, gw_arena *arena, gw_equal **out,
                           size_t *count) {
  size_t n = (size_t)m->n_parts;
  stretches s = {gw_arena_alloc(arena, n + 1, sizeof *s.lo),
                 gw_arena_alloc(arena, n + 1, sizeof *s.length),
                 gw_arena_alloc(arena, n + 1, sizeof *s.taken)};
  *out = gw_arena_alloc(arena, 2 * n + 1, sizeof **out);
  *count = 0;
  if (!s.lo || !s.length || !s.taken || !*out) return GW_NO_MEMORY;
  GW_TRY(add_sets(m, fit, true, arena, &s, *out, count));
  GW_TRY(add_sets(m, fit, false, arena, &s, *out, count));
  if (*count > 1) qsort(*out, *count, sizeof **out, by_first_part);
  return GW_OK;
}
