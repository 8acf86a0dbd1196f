/* picture_spot.c - the spot of a half that its mark points at: on wood of its
 * part, where that is seen, as near to the middle of the half as may be. */
#include <math.h>
#include <string.h>

#include "sheets/picture_inner.h"

#define NEAR 0.3 /* a face so near to a half belongs to it, mm */

static gw_spot page_spot(const gw_scene *scene, const gw_setting_out *set, const double p[3]) {
  return gw_set_out(set, gw_view_spot(&scene->view, p));
}

static bool is_own(const gw_aim *aim, int part) {
  return part >= 0 && (part == aim->part || part == aim->mate);
}

static void middle_of(const gw_aim *aim, double middle[3]) {
  for (int axis = 0; axis < 3; ++axis)
    middle[axis] = gw_len_mm(aim->box.lo[axis] + aim->box.hi[axis]) / 2 + aim->shift[axis];
}

static double side_at(const gw_aim *aim, int axis, bool high) {
  return gw_len_mm(high ? aim->box.hi[axis] : aim->box.lo[axis]) + aim->shift[axis];
}

/* ---- faces of a cut ------------------------------------------------------------------ */

/* The middle of a piece on paper, and its area. */
static gw_spot middle_of_piece(const gw_piece *piece, double *area) {
  double twice = 0;
  gw_spot middle = {0, 0};
  for (int i = 0; i < piece->n; ++i) {
    gw_spot a = piece->spots[i], b = piece->spots[(i + 1) % piece->n];
    double part = a.x * b.y - b.x * a.y;
    twice += part;
    middle.x += (a.x + b.x) * part;
    middle.y += (a.y + b.y) * part;
  }
  *area = fabs(twice) / 2;
  if (*area <= 0) return piece->spots[0];
  return (gw_spot){middle.x / (3 * twice), middle.y / (3 * twice)};
}

/* Where the ray through a spot on paper meets a plane; right and down on paper
 * are of length 1 and square to each other. */
static bool lift(const gw_view *view, const gw_plane *plane, gw_spot s, double p[3]) {
  double off = -plane->at, facing = 0;
  for (int axis = 0; axis < 3; ++axis) {
    p[axis] = s.x * view->u[axis] + s.y * view->v[axis];
    off += plane->n[axis] * p[axis];
    facing += plane->n[axis] * view->toward[axis];
  }
  if (fabs(facing) < 1e-9) return false;
  for (int axis = 0; axis < 3; ++axis) p[axis] -= off / facing * view->toward[axis];
  return true;
}

static bool in_box(const gw_aim *aim, const double p[3]) {
  for (int axis = 0; axis < 3; ++axis) {
    double by = NEAR + (axis == GW_Z ? 0 : aim->stray);
    if (p[axis] < side_at(aim, axis, false) - by || p[axis] > side_at(aim, axis, true) + by)
      return false;
  }
  return true;
}

/* The largest face of the cut that shows. */
static bool on_cut(const gw_scene *scene, const gw_setting_out *set, const gw_seen *seen,
                   const gw_aim *aim, gw_spot *spot) {
  double most = 0;
  for (size_t i = 0; i < seen->count; ++i) {
    const gw_piece *piece = &seen->pieces[i];
    double area, p[3];
    if (piece->part != aim->part || piece->shade != GW_SHADE_CUT) continue;
    gw_spot middle = middle_of_piece(piece, &area);
    if (area <= most || !lift(&scene->view, &piece->plane, middle, p) || !in_box(aim, p)) continue;
    most = area;
    *spot = gw_set_out(set, middle);
  }
  /* A sliver is none. */
  return most * set->scale * set->scale > 0.5;
}

/* ---- points of its box --------------------------------------------------------------- */

/* Whether the part shows at the spot, or `by` mm beside it. */
static bool shows(const gw_seen *seen, const gw_aim *aim, gw_spot s, double by) {
  for (int i = 0; i < 9; ++i) {
    gw_spot beside = {s.x + by * (i % 3 - 1), s.y + by * (i / 3 - 1)};
    if ((by > 0 || i == 4) && is_own(aim, gw_ground_part(seen->ground, beside))) return true;
  }
  return false;
}

enum { POINTS = 5 }; /* along each axis */

/* The k-th point on the outside of the box, and how far it is from the middle;
 * false for one inside. */
static bool point_of(const gw_aim *aim, int k, double p[3], double *away) {
  const int at[3] = {k % POINTS, k / POINTS % POINTS, k / POINTS / POINTS};
  bool outside = false;
  *away = 0;
  for (int axis = 0; axis < 3; ++axis) {
    double lo = side_at(aim, axis, false), hi = side_at(aim, axis, true);
    double off = (hi - lo) * ((double)at[axis] / (POINTS - 1) - 0.5);
    outside = outside || at[axis] == 0 || at[axis] == POINTS - 1;
    p[axis] = (lo + hi) / 2 + off;
    *away += off * off;
  }
  return outside;
}

static bool on_box(const gw_scene *scene, const gw_setting_out *set, const gw_seen *seen,
                   const gw_aim *aim, double by, gw_spot *spot) {
  double best = INFINITY;
  for (int k = 0; k < POINTS * POINTS * POINTS; ++k) {
    double p[3], away;
    if (!point_of(aim, k, p, &away) || away >= best - 1e-9) continue;
    gw_spot there = page_spot(scene, set, p);
    if (!shows(seen, aim, there, by) || gw_scene_hides(scene, p)) continue;
    best = away;
    *spot = there;
  }
  return isfinite(best);
}

/* ---- the whole ---------------------------------------------------------------------- */

gw_spot gw_scene_spot_of(const gw_scene *scene, const gw_setting_out *set, const gw_seen *seen,
                         const gw_aim *aim, bool *is_seen) {
  double middle[3];
  gw_spot spot;
  *is_seen = true;
  if (aim->cut && on_cut(scene, set, seen, aim, &spot)) return spot;
  if (on_box(scene, set, seen, aim, 0, &spot)) return spot;
  if (on_box(scene, set, seen, aim, 0.6, &spot)) return spot;
  *is_seen = false;
  middle_of(aim, middle);
  /* Of what is cut away the floor, which is wood. */
  int axis = gw_dir_axis(aim->at);
  if (aim->cut) middle[axis] = side_at(aim, axis, gw_dir_sign(aim->at) < 0);
  return page_spot(scene, set, middle);
}
