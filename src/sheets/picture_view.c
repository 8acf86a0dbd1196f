/* picture_view.c - projection, and what is hidden, exactly. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/picture_inner.h"

/* Blocks are taken this much smaller when they hide lines and points, mm: what
 * lies on a surface is seen. */
#define SKIN 0.02
#define SPECK 0.05 /* areas in mm2 of wood under this are nothing */

/* ---- views -------------------------------------------------------------------------- */

gw_view gw_view_isometric(void) {
  const double a = 1 / sqrt(2), b = 1 / sqrt(6);
  return (gw_view){.toward = {1, -1, 1}, .u = {a, a, 0}, .v = {b, -b, -2 * b}};
}

/* Turned to the right by `turn` from the front, and up by `rise`; degrees. */
static gw_view turned(double turn, double rise) {
  const double t = turn * acos(-1) / 180, r = rise * acos(-1) / 180;
  return (gw_view){.toward = {sin(t) * cos(r), -cos(t) * cos(r), sin(r)},
                   .u = {cos(t), sin(t), 0},
                   .v = {sin(t) * sin(r), -cos(t) * sin(r), -cos(r)}};
}

gw_view gw_view_onto(gw_axis axis) {
  return axis == GW_X ? turned(68, 18) : axis == GW_Y ? turned(22, 18) : turned(25, 58);
}

bool gw_view_faces(const gw_view *view, gw_dir side) {
  return view->toward[gw_dir_axis(side)] * gw_dir_sign(side) > 1e-9;
}

gw_view gw_view_from(gw_dir side) {
  static const gw_view views[6] = {
      [GW_LEFT] = {{-1, 0, 0}, {0, -1, 0}, {0, 0, -1}},
      [GW_RIGHT] = {{1, 0, 0}, {0, 1, 0}, {0, 0, -1}},
      [GW_FRONT] = {{0, -1, 0}, {1, 0, 0}, {0, 0, -1}},
      [GW_BACK] = {{0, 1, 0}, {-1, 0, 0}, {0, 0, -1}},
      [GW_DOWN] = {{0, 0, -1}, {1, 0, 0}, {0, 1, 0}},
      [GW_UP] = {{0, 0, 1}, {1, 0, 0}, {0, -1, 0}},
  };
  return views[side];
}

static double dot(const double a[3], const double b[3]) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

gw_spot gw_view_spot(const gw_view *view, const double p[3]) {
  return (gw_spot){dot(view->u, p), dot(view->v, p)};
}

void gw_view_sort_round(const gw_view *view, double corners[][3], int count) {
  double angles[GW_CORNERS_MOST];
  gw_spot middle = {0, 0};
  for (int i = 0; i < count; ++i) {
    gw_spot s = gw_view_spot(view, corners[i]);
    middle.x += s.x / count;
    middle.y += s.y / count;
  }
  for (int i = 0; i < count; ++i) {
    gw_spot s = gw_view_spot(view, corners[i]);
    angles[i] = atan2(s.y - middle.y, s.x - middle.x);
  }
  for (int i = 1; i < count; ++i)
    for (int k = i; k > 0 && angles[k] < angles[k - 1]; --k) {
      double kept[3], angle = angles[k];
      memcpy(kept, corners[k], sizeof kept);
      memcpy(corners[k], corners[k - 1], sizeof kept);
      memcpy(corners[k - 1], kept, sizeof kept);
      angles[k] = angles[k - 1];
      angles[k - 1] = angle;
    }
}

gw_area gw_scene_bounds(const gw_scene *scene) {
  gw_area all = {0, 0, 0, 0};
  for (size_t i = 0; i < scene->n_blocks; ++i) {
    const gw_block *b = &scene->blocks[i];
    if (i == 0) all = (gw_area){b->left, b->top, b->right, b->bottom};
    all.x = fmin(all.x, b->left);
    all.y = fmin(all.y, b->top);
    all.w = fmax(all.w, b->right);
    all.h = fmax(all.h, b->bottom);
  }
  all.w -= all.x;
  all.h -= all.y;
  return all;
}

/* ---- lines -------------------------------------------------------------------------- */

/* c + k t: a bound on how far along the ray, for the point t of the line. */
typedef struct linear { double c, k; } linear;

/* Keeps of *s the t for which low(t) < high(t). */
static bool keep_below(gw_stretch *s, linear low, linear high) {
  double c = high.c - low.c, k = high.k - low.k; /* c + k t > 0 */
  if (fabs(k) < 1e-12) return c > 0;
  double root = -c / k;
  if (k > 0 && root > s->from) s->from = root;
  if (k < 0 && root < s->to) s->to = root;
  return s->from < s->to;
}

/* How far along the ray a block lets one be in its inside. */
typedef struct reach {
  linear low[4 + GW_CUTS_MOST], high[3 + GW_CUTS_MOST];
  int n_low, n_high;
} reach;

/* Within a cut: n . (a + t (b - a) + r toward) < at. */
static bool bound_by_cut(const gw_view *view, const gw_plane *cut, const double a[3],
                         const double b[3], gw_stretch *s, reach *r) {
  double here = gw_plane_beyond(cut, a) + SKIN, k = gw_plane_beyond(cut, b) + SKIN - here;
  double facing = 0;
  for (int axis = 0; axis < 3; ++axis) facing += cut->n[axis] * view->toward[axis];
  if (fabs(facing) < 1e-9) return keep_below(s, (linear){here, k}, (linear){0, 0});
  linear at = {-here / facing, -k / facing};
  if (facing > 0) r->high[r->n_high++] = at;
  else r->low[r->n_low++] = at;
  return true;
}

/* The stretch of the line that a block hides: those t from which the ray
 * a + t (b - a) + r toward, r > 0, meets its inside.  Along each axis the
 * inside bounds r, or t itself where the ray does not move; no lower bound may
 * pass an upper one. */
static bool hidden_by(const gw_view *view, const gw_block *block, const double a[3],
                      const double b[3], gw_stretch *out) {
  reach r = {.n_low = 1};
  r.low[0] = (linear){0, 0};
  gw_stretch s = {0, 1};
  for (int axis = 0; axis < 3; ++axis) {
    double lo = block->lo[axis] + SKIN, hi = block->hi[axis] - SKIN, k = b[axis] - a[axis];
    linear at = {a[axis], k};
    double step = view->toward[axis];
    if (step == 0) {
      if (!keep_below(&s, (linear){lo, 0}, at) || !keep_below(&s, at, (linear){hi, 0}))
        return false;
      continue;
    }
    const linear to_lo = {(lo - a[axis]) / step, -k / step};
    const linear to_hi = {(hi - a[axis]) / step, -k / step};
    r.low[r.n_low++] = step > 0 ? to_lo : to_hi;
    r.high[r.n_high++] = step > 0 ? to_hi : to_lo;
  }
  for (int i = 0; i < block->n_cuts; ++i)
    if (!bound_by_cut(view, &block->cuts[i], a, b, &s, &r)) return false;
  for (int i = 0; i < r.n_low; ++i)
    for (int j = 0; j < r.n_high; ++j)
      if (!keep_below(&s, r.low[i], r.high[j])) return false;
  *out = s;
  return true;
}

bool gw_scene_hides(const gw_scene *scene, const double p[3]) {
  gw_stretch unused;
  gw_spot s = gw_view_spot(&scene->view, p);
  for (size_t i = 0; i < scene->n_blocks; ++i) {
    const gw_block *b = &scene->blocks[i];
    if (s.x < b->left || s.x > b->right || s.y < b->top || s.y > b->bottom) continue;
    if (hidden_by(&scene->view, b, p, p, &unused)) return true;
  }
  return false;
}

/* Takes a hidden stretch out of the seen ones. */
static size_t take_out(gw_stretch *seen, size_t count, size_t room, gw_stretch hidden) {
  size_t kept = 0;
  for (size_t i = 0; i < count; ++i) {
    gw_stretch s = seen[i];
    if (hidden.to <= s.from || hidden.from >= s.to) {
      seen[kept++] = s;
      continue;
    }
    bool before = hidden.from > s.from, after = hidden.to < s.to;
    if (before && after) {
      if (count >= room) return count; /* no room to split: show too much */
      memmove(&seen[i + 2], &seen[i + 1], (count - i - 1) * sizeof *seen);
      ++count;
      seen[i + 1] = (gw_stretch){hidden.to, s.to};
      seen[kept++] = (gw_stretch){s.from, hidden.from};
      seen[kept++] = seen[i + 1];
      ++i;
    } else if (before) {
      seen[kept++] = (gw_stretch){s.from, hidden.from};
    } else if (after) {
      seen[kept++] = (gw_stretch){hidden.to, s.to};
    }
  }
  return kept;
}

static bool apart_on_paper(const gw_block *block, gw_area box) {
  return block->right < box.x || block->left > box.x + box.w || block->bottom < box.y ||
         block->top > box.y + box.h;
}

static gw_area around(const gw_spot *spots, size_t count) {
  gw_area box = {spots[0].x, spots[0].y, spots[0].x, spots[0].y};
  for (size_t i = 1; i < count; ++i) {
    box.x = fmin(box.x, spots[i].x);
    box.y = fmin(box.y, spots[i].y);
    box.w = fmax(box.w, spots[i].x);
    box.h = fmax(box.h, spots[i].y);
  }
  box.w -= box.x;
  box.h -= box.y;
  return box;
}

size_t gw_scene_seen(const gw_scene *scene, const gw_edge *edge, gw_stretch *out, size_t room) {
  const gw_spot ends[2] = {gw_view_spot(&scene->view, edge->a),
                           gw_view_spot(&scene->view, edge->b)};
  gw_area box = around(ends, 2);
  size_t count = 1;
  out[0] = (gw_stretch){0, 1};
  for (size_t i = 0; i < scene->n_blocks && count > 0; ++i) {
    gw_stretch hidden;
    if (apart_on_paper(&scene->blocks[i], box)) continue;
    if (!hidden_by(&scene->view, &scene->blocks[i], edge->a, edge->b, &hidden)) continue;
    count = take_out(out, count, room, hidden);
  }
  return count;
}

/* ---- facets ------------------------------------------------------------------------- */

/* Which way the corner o, a, b turns; above 0 clockwise on paper. */
static double turn(gw_spot o, gw_spot a, gw_spot b) {
  return (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
}

static int by_place(const void *left, const void *right) {
  const gw_spot *a = left, *b = right;
  if (a->x != b->x) return a->x < b->x ? -1 : 1;
  return a->y < b->y ? -1 : a->y > b->y;
}

enum { HULL_MOST = GW_CORNERS_MOST * 3 };

/* The convex hull of some spots, clockwise; returns how many corners. */
static int hull(gw_spot *spots, int count, gw_spot out[HULL_MOST]) {
  int n = 0;
  qsort(spots, (size_t)count, sizeof *spots, by_place);
  for (int pass = 0; pass < 2; ++pass) {
    int first = n;
    for (int k = 0; k < count; ++k) {
      gw_spot s = spots[pass == 0 ? k : count - 1 - k];
      while (n - first >= 2 && turn(out[n - 2], out[n - 1], s) <= 1e-9) --n;
      out[n++] = s;
    }
    --n; /* the last one begins the other side */
  }
  return n;
}

/* The axis that a plane is square to; -1 for a slanting one. */
static int axis_of(const gw_plane *plane) {
  for (int axis = 0; axis < 3; ++axis)
    if (fabs(plane->n[axis]) == 1) return axis;
  return -1;
}

/* A box cut off square. */
static int box_before(const gw_scene *scene, const gw_block *block, const gw_plane *plane, int axis,
                      gw_spot spots[HULL_MOST]) {
  double lo[3], hi[3], at = plane->n[axis] * plane->at;
  memcpy(lo, block->lo, sizeof lo);
  memcpy(hi, block->hi, sizeof hi);
  if (plane->n[axis] > 0) lo[axis] = fmax(lo[axis], at);
  else hi[axis] = fmin(hi[axis], at);
  if (hi[axis] - lo[axis] < SKIN) return 0;
  for (int i = 0; i < 8; ++i) {
    const double p[3] = {i & 1 ? hi[0] : lo[0], i & 2 ? hi[1] : lo[1], i & 4 ? hi[2] : lo[2]};
    spots[i] = gw_view_spot(&scene->view, p);
  }
  return 8;
}

static int corners_of(const gw_block *block, gw_corner out[GW_CORNERS_MOST]) {
  if (block->n_cuts > 0) {
    memcpy(out, block->corners, (size_t)block->n_corners * sizeof *out);
    return block->n_corners;
  }
  for (int i = 0; i < 8; ++i) {
    out[i].sides = 0;
    for (int axis = 0; axis < 3; ++axis) {
      bool high = i >> axis & 1;
      out[i].p[axis] = high ? block->hi[axis] : block->lo[axis];
      out[i].sides |= 1u << (2 * axis + high);
    }
  }
  return 8;
}

/* Two corners of a block have an edge between them when they share two sides. */
static bool neighbours(const gw_corner *a, const gw_corner *b) {
  unsigned shared = a->sides & b->sides;
  return (shared & (shared - 1)) != 0;
}

/* A block cut off at any plane: the corners before it, and where it goes
 * through the edges. */
static int block_before(const gw_scene *scene, const gw_block *block, const gw_plane *plane,
                        gw_spot spots[HULL_MOST]) {
  gw_corner c[GW_CORNERS_MOST];
  double off[GW_CORNERS_MOST], most = 0;
  int n = corners_of(block, c), count = 0;
  for (int i = 0; i < n; ++i) {
    off[i] = gw_plane_beyond(plane, c[i].p);
    most = fmax(most, off[i]);
    if (off[i] >= 0) spots[count++] = gw_view_spot(&scene->view, c[i].p);
  }
  if (most < SKIN) return 0;
  for (int i = 0; i < n; ++i)
    for (int k = i + 1; k < n; ++k) {
      if ((off[i] >= 0) == (off[k] >= 0) || !neighbours(&c[i], &c[k])) continue;
      double f = off[i] / (off[i] - off[k]), p[3];
      for (int axis = 0; axis < 3; ++axis)
        p[axis] = c[i].p[axis] + f * (c[k].p[axis] - c[i].p[axis]);
      if (count < HULL_MOST / 2) spots[count++] = gw_view_spot(&scene->view, p);
    }
  return count;
}

/* To a millionth of a millimetre, so that corners behind one another on paper
 * are at one place and those in a row are sorted along it. */
static int snapped(gw_spot *spots, int count) {
  for (int i = 0; i < count; ++i)
    spots[i] = (gw_spot){rint(spots[i].x * 1e6) / 1e6, rint(spots[i].y * 1e6) / 1e6};
  return count;
}

/* The outline on paper of that part of a block which lies on the viewer's side
 * of the facet's plane: all that it hides of the facet.  0 when nothing does. */
static int outline(const gw_scene *scene, const gw_block *block, const gw_facet *facet,
                   gw_spot out[HULL_MOST]) {
  gw_spot spots[HULL_MOST];
  int axis = axis_of(&facet->plane);
  int count = axis >= 0 && block->n_cuts == 0
                  ? box_before(scene, block, &facet->plane, axis, spots)
                  : snapped(spots, block_before(scene, block, &facet->plane, spots));
  return count < 3 ? 0 : hull(spots, count, out);
}

static double area_of(const gw_piece *p) {
  double twice = 0;
  for (int i = 1; i + 1 < p->n; ++i) twice += turn(p->spots[0], p->spots[i], p->spots[i + 1]);
  return fabs(twice) / 2;
}

/* The part of a piece on one side of the line through a and b: `inside` on its
 * right hand, where a clockwise outline has its inside. */
static gw_piece cut(const gw_piece *piece, gw_spot a, gw_spot b, bool inside) {
  gw_piece out = *piece;
  out.n = 0;
  for (int i = 0; i < piece->n; ++i) {
    gw_spot p = piece->spots[i], q = piece->spots[(i + 1) % piece->n];
    double at_p = turn(a, b, p) * (inside ? 1 : -1), at_q = turn(a, b, q) * (inside ? 1 : -1);
    if (at_p >= 0 && out.n < GW_PIECE_MOST) out.spots[out.n++] = p;
    if ((at_p >= 0) == (at_q >= 0) || out.n >= GW_PIECE_MOST) continue;
    double f = at_p / (at_p - at_q);
    out.spots[out.n++] = (gw_spot){p.x + f * (q.x - p.x), p.y + f * (q.y - p.y)};
  }
  return out;
}

typedef struct pieces { gw_piece *items; size_t count, room; } pieces;

static gw_status keep(pieces *list, const gw_piece *piece) {
  if (piece->n < 3 || area_of(piece) < SPECK) return GW_OK;
  GW_TRY(gw_grow(&list->items, &list->room, list->count + 1, sizeof *list->items));
  list->items[list->count++] = *piece;
  return GW_OK;
}

/* What an outline leaves of a piece: side after side what lies beyond it. */
static gw_status subtract(pieces *list, gw_piece piece, const gw_spot *around_it, int n) {
  for (int i = 0; i < n; ++i) {
    gw_piece beyond = cut(&piece, around_it[i], around_it[(i + 1) % n], false);
    GW_TRY(keep(list, &beyond));
    piece = cut(&piece, around_it[i], around_it[(i + 1) % n], true);
    if (piece.n < 3) return GW_OK;
  }
  return GW_OK;
}

/* Whether the outline leaves the whole piece alone: a line between them. */
static bool misses(const gw_piece *piece, const gw_spot *around_it, int n) {
  for (int i = 0; i < n; ++i) {
    bool all = true;
    for (int k = 0; k < piece->n && all; ++k)
      all = turn(around_it[i], around_it[(i + 1) % n], piece->spots[k]) <= 1e-6;
    if (all) return true;
  }
  return false;
}

static gw_status hide(pieces *list, const gw_spot *outline_, int n) {
  size_t count = list->count, kept = 0;
  for (size_t i = 0; i < count; ++i) {
    gw_piece piece = list->items[i];
    if (misses(&piece, outline_, n)) list->items[kept++] = piece;
    else GW_TRY(subtract(list, piece, outline_, n));
  }
  memmove(list->items + kept, list->items + count, (list->count - count) * sizeof *list->items);
  list->count -= count - kept;
  return GW_OK;
}

gw_status gw_scene_pieces(const gw_scene *scene, const gw_facet *facet, gw_piece **out,
                          size_t *count, size_t *room) {
  pieces list = {0};
  gw_piece whole = {.n = facet->n, .part = facet->part, .shade = facet->shade,
                    .plane = facet->plane};
  memcpy(whole.spots, facet->spots, (size_t)facet->n * sizeof *facet->spots);
  gw_area box = around(facet->spots, (size_t)facet->n);
  gw_status status = keep(&list, &whole);
  for (size_t i = 0; i < scene->n_blocks && list.count > 0 && status == GW_OK; ++i) {
    gw_spot spots[HULL_MOST];
    if (apart_on_paper(&scene->blocks[i], box)) continue;
    int n = outline(scene, &scene->blocks[i], facet, spots);
    if (n >= 3) status = hide(&list, spots, n);
  }
  if (status == GW_OK) status = gw_grow(out, room, *count + list.count, sizeof **out);
  if (status == GW_OK && list.count > 0) {
    memcpy(*out + *count, list.items, list.count * sizeof **out);
    *count += list.count;
  }
  free(list.items);
  return status;
}
