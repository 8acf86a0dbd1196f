/* picture_cut.c - what lies beyond a plane is cut off: lines, faces and blocks;
 * and the planes of a part's mitres. */
#include <math.h>
#include <string.h>

#include "sheets/picture_inner.h"

#define NEAR 1e-3 /* nearer to a plane than this is on it, mm */

/* ---- lines and faces ---------------------------------------------------------------- */

double gw_plane_beyond(const gw_plane *plane, const double p[3]) {
  return plane->n[0] * p[0] + plane->n[1] * p[1] + plane->n[2] * p[2] - plane->at;
}

/* Where the line from a to b goes through a plane that lies between them. */
static void meet(const double a[3], double at_a, const double b[3], double at_b, double out[3]) {
  double f = at_a / (at_a - at_b);
  for (int axis = 0; axis < 3; ++axis) out[axis] = a[axis] + f * (b[axis] - a[axis]);
}

bool gw_cut_line(const gw_plane *planes, int n, double a[3], double b[3]) {
  for (int i = 0; i < n; ++i) {
    double at_a = gw_plane_beyond(&planes[i], a), at_b = gw_plane_beyond(&planes[i], b);
    double through[3];
    if (at_a > NEAR && at_b > NEAR) return false;
    if (at_a <= NEAR && at_b <= NEAR) continue;
    meet(a, at_a, b, at_b, through);
    memcpy(at_a > NEAR ? a : b, through, sizeof through);
  }
  return true;
}

static int cut_by(const gw_plane *plane, double corners[][3], int count) {
  double in[GW_CORNERS_MOST][3];
  int kept = 0;
  memcpy(in, corners, (size_t)count * sizeof *in);
  for (int i = 0; i < count; ++i) {
    const double *p = in[i], *q = in[(i + 1) % count];
    double at_p = gw_plane_beyond(plane, p), at_q = gw_plane_beyond(plane, q);
    if (at_p <= NEAR && kept < GW_CORNERS_MOST) memcpy(corners[kept++], p, sizeof *in);
    bool through = (at_p > NEAR && at_q < -NEAR) || (at_p < -NEAR && at_q > NEAR);
    if (through && kept < GW_CORNERS_MOST) meet(p, at_p, q, at_q, corners[kept++]);
  }
  return kept;
}

int gw_cut_face(const gw_plane *planes, int n, double corners[][3], int count) {
  for (int i = 0; i < n && count >= 3; ++i) count = cut_by(&planes[i], corners, count);
  return count >= 3 ? count : 0;
}

bool gw_cut_trace(const gw_plane *plane, const double corners[][3], int count, double a[3],
                  double b[3]) {
  int found = 0;
  bool inside = false, beyond = false;
  for (int i = 0; i < count; ++i) {
    const double *p = corners[i], *q = corners[(i + 1) % count];
    double at_p = gw_plane_beyond(plane, p), at_q = gw_plane_beyond(plane, q);
    inside = inside || at_p < -NEAR;
    beyond = beyond || at_p > NEAR;
    double *out = found == 0 ? a : b;
    if (fabs(at_p) <= NEAR) {
      memcpy(out, p, 3 * sizeof *out);
      ++found;
    } else if (fabs(at_q) > NEAR && (at_p > 0) != (at_q > 0)) {
      meet(p, at_p, q, at_q, out);
      ++found;
    }
  }
  return inside && beyond && found == 2;
}

/* ---- blocks ------------------------------------------------------------------------- */

/* The i-th side of a block: six of its box, then its cuts. */
static gw_plane side_of(const gw_block *b, int i) {
  gw_plane side = {.at = 0};
  if (i >= 6) return b->cuts[i - 6];
  side.n[i / 2] = i % 2 ? 1 : -1;
  side.at = i % 2 ? b->hi[i / 2] : -b->lo[i / 2];
  return side;
}

/* The point where three planes meet; false when there is none. */
static bool corner_of(const gw_plane *a, const gw_plane *b, const gw_plane *c, double out[3]) {
  const gw_plane *rows[3] = {a, b, c};
  double cross[3][3], volume = 0;
  for (int i = 0; i < 3; ++i) {
    const double *p = rows[(i + 1) % 3]->n, *q = rows[(i + 2) % 3]->n;
    for (int axis = 0; axis < 3; ++axis)
      cross[i][axis] =
          p[(axis + 1) % 3] * q[(axis + 2) % 3] - p[(axis + 2) % 3] * q[(axis + 1) % 3];
  }
  for (int axis = 0; axis < 3; ++axis) volume += a->n[axis] * cross[0][axis];
  if (fabs(volume) < 1e-9) return false;
  for (int axis = 0; axis < 3; ++axis)
    out[axis] = (a->at * cross[0][axis] + b->at * cross[1][axis] + c->at * cross[2][axis]) / volume;
  return true;
}

static void add_corner(gw_block *b, const double p[3], const gw_plane *sides, int n) {
  gw_corner corner = {{p[0], p[1], p[2]}, 0};
  for (int i = 0; i < n; ++i) {
    double beyond = gw_plane_beyond(&sides[i], p);
    if (beyond > NEAR) return;
    if (beyond >= -NEAR) corner.sides |= 1u << i;
  }
  for (int i = 0; i < b->n_corners; ++i)
    if (b->corners[i].sides == corner.sides) return;
  if (b->n_corners < GW_CORNERS_MOST) b->corners[b->n_corners++] = corner;
}

static void note_corners(gw_block *b) {
  gw_plane sides[6 + GW_CUTS_MOST];
  int n = 6 + b->n_cuts;
  double p[3];
  b->n_corners = 0;
  for (int i = 0; i < n; ++i) sides[i] = side_of(b, i);
  for (int i = 0; i < n; ++i)
    for (int j = i + 1; j < n; ++j)
      for (int k = j + 1; k < n; ++k)
        if (corner_of(&sides[i], &sides[j], &sides[k], p)) add_corner(b, p, sides, n);
}

/* Whether some of the block's box lies within the plane, and some beyond. */
static void box_beyond(const gw_block *b, const gw_plane *plane, double *least, double *most) {
  *least = *most = -plane->at;
  for (int axis = 0; axis < 3; ++axis) {
    double at_lo = plane->n[axis] * b->lo[axis], at_hi = plane->n[axis] * b->hi[axis];
    *least += fmin(at_lo, at_hi);
    *most += fmax(at_lo, at_hi);
  }
}

bool gw_cut_block(const gw_plane *planes, int n, gw_block *b) {
  b->n_cuts = 0;
  for (int i = 0; i < n; ++i) {
    double least, most;
    box_beyond(b, &planes[i], &least, &most);
    if (least >= -NEAR) return false;
    if (most > NEAR && b->n_cuts < GW_CUTS_MOST) b->cuts[b->n_cuts++] = planes[i];
  }
  note_corners(b);
  return b->n_corners >= 4;
}

/* ---- mitres ------------------------------------------------------------------------- */

bool gw_is_mitre(const gw_sheets_job *job, int joint) {
  gw_kind kind = job->model->joints[joint].kind;
  return (kind == GW_MITRE || kind == GW_KEYED_MITRE) &&
         job->fit->seatings[joint].style == GW_CORNER && job->fit->seatings[joint].second >= 0;
}

static double face_at(const gw_box *box, gw_dir side) {
  int axis = gw_dir_axis(side);
  return gw_len_mm(gw_dir_sign(side) > 0 ? box->hi[axis] : box->lo[axis]);
}

/* From the outer corner, where the entering part ends in its outer face, to the
 * inner one, as far away as the other part is thick along n and the entering
 * part along q.  Going in from the corner by a along n and b along q, the
 * entering part keeps a / deep_n >= b / deep_q, the other the rest. */
static gw_plane mitre_plane(const gw_sheets_job *job, int joint, bool entering,
                            const double shift[3]) {
  const gw_model *m = job->model;
  const gw_joint *j = &m->joints[joint];
  const gw_seating *s = &job->fit->seatings[joint];
  gw_dir along_n = m->halves[j->entering].at, along_q = m->halves[j->receiving].at;
  int e = gw_joint_enters(m, j), r = gw_joint_receives(m, j), n = s->normal, q = s->second;
  double deep_n = gw_len_mm(m->parts[r].size[n]), deep_q = gw_len_mm(m->parts[e].size[q]);
  double slant = hypot(deep_n, deep_q), turn = entering ? 1 : -1;
  gw_plane plane = {.at = 0};
  if (slant <= 0) return plane;
  plane.n[n] = turn * gw_dir_sign(along_n) * deep_q / slant;
  plane.n[q] = -turn * gw_dir_sign(along_q) * deep_n / slant;
  const gw_box *box = &job->fit->boxes[e];
  plane.at = plane.n[n] * (face_at(box, along_n) + shift[n]) +
             plane.n[q] * (face_at(box, along_q) + shift[q]);
  return plane;
}

int gw_mitre_planes(const gw_sheets_job *job, const gw_stand *stand, gw_plane *planes) {
  const gw_part *p = &job->model->parts[stand->part];
  int count = 0;
  if (!job->fit->placed) return 0;
  for (int i = p->first_half; i < p->first_half + p->n_halves && count < GW_CUTS_MOST; ++i) {
    const gw_half *half = &job->model->halves[i];
    if (half->joint < 0 || !gw_is_mitre(job, half->joint)) continue;
    planes[count] = mitre_plane(job, half->joint, half->enters, stand->shift);
    planes[count++].closed = stand->apart != NULL && !stand->apart[half->joint];
  }
  return count;
}

gw_box gw_mitre_middle(const gw_sheets_job *job, int joint) {
  const gw_seating *s = &job->fit->seatings[joint];
  gw_box box = gw_fit_joint_box(job->fit, job->model, joint);
  const int axes[2] = {s->normal, s->second};
  for (int i = 0; i < 2; ++i)
    box.lo[axes[i]] = box.hi[axes[i]] = (box.lo[axes[i]] + box.hi[axes[i]]) / 2;
  return box;
}
