/* picture_flanks.c - the flanks of dovetailed halvings: where they cut a tail out of
 * a lap, and what they leave of the wood beside a socket.
 *
 * Words used below: l is the axis along the tail, w the one across it, n the one
 * along which the halves come together.  The tail is wide at one end of its space
 * along l, and narrower at the other by `in` on either side. */
#include <math.h>

#include "sheets/picture_inner.h"

typedef struct tail {
  const gw_half *half;
  gw_box space;     /* of the wood that is shaped: the lap, or what the socket lies in */
  int l, w, n;
  gw_dir wide;      /* the end along l at which the tail is wide */
  gw_len in;
} tail;

/* What is left of the part beyond the notch of a half that enters. */
static gw_box lap_of(const gw_sheets_job *job, const gw_half *half, gw_box notch) {
  gw_box body = job->fit->boxes[half->part];
  int n = gw_dir_axis(half->at);
  if (gw_dir_sign(half->at) > 0) {
    notch.hi[n] = notch.lo[n];
    notch.lo[n] = body.lo[n];
  } else {
    notch.lo[n] = notch.hi[n];
    notch.hi[n] = body.hi[n];
  }
  return notch;
}

/* Whether a half is one of a dovetailed halving whose flanks can be drawn. */
static bool look(const gw_sheets_job *job, int index, tail *t) {
  const gw_model *m = job->model;
  const gw_half *half = &m->halves[index];
  if (half->joint < 0 || m->joints[half->joint].kind != GW_DOVETAIL_HALVING) return false;
  const gw_seating *s = &job->fit->seatings[half->joint];
  if (s->style != GW_CROSS || s->slope <= 0 || gw_fit_slants(job->fit, half->part)) return false;
  const gw_part *with_tail = &m->parts[gw_joint_enters(m, &m->joints[half->joint])];
  *t = (tail){.half = half, .n = gw_dir_axis(half->at), .l = gw_part_length_axis(with_tail)};
  if (t->l == t->n) return false;
  t->w = 3 - t->l - t->n;
  t->wide = gw_fit_wide_end(job->fit, m, half->joint);
  t->space = gw_half_space(job, index);
  if (half->enters) t->space = lap_of(job, half, t->space);
  t->in = (t->space.hi[t->l] - t->space.lo[t->l]) * 100 / s->slope;
  return t->in > 0 && 2 * t->in < t->space.hi[t->w] - t->space.lo[t->w];
}

static double mm(gw_len value, const gw_stand *stand, int axis) {
  return gw_len_mm(value) + stand->shift[axis];
}

static gw_len end_at(const tail *t, gw_dir end) {
  return gw_dir_sign(end) > 0 ? t->space.hi[t->l] : t->space.lo[t->l];
}

/* Across the tail: its edge at the wide end on one side, and `in` of it. */
static gw_len edge_at(const tail *t, int side, gw_len in) {
  return side > 0 ? t->space.hi[t->w] - in : t->space.lo[t->w] + in;
}

/* The plane of the flank on one side; what lies outside of the tail is beyond it. */
static gw_plane flank(const tail *t, const gw_stand *stand, int side) {
  double run = gw_len_mm(t->space.hi[t->l] - t->space.lo[t->l]), in = gw_len_mm(t->in);
  double length = sqrt(run * run + in * in);
  gw_plane plane = {.closed = stand->apart != NULL && !stand->apart[t->half->joint]};
  plane.n[t->w] = side * run / length;
  plane.n[t->l] = -gw_dir_sign(t->wide) * in / length;
  plane.at = plane.n[t->w] * mm(edge_at(t, side, 0), stand, t->w) +
             plane.n[t->l] * mm(end_at(t, t->wide), stand, t->l);
  return plane;
}

static gw_plane turned(gw_plane plane) {
  for (int axis = 0; axis < 3; ++axis) plane.n[axis] = -plane.n[axis];
  plane.at = -plane.at;
  return plane;
}

/* ---- wood between flanks ------------------------------------------------------------- */

/* The strip beside a socket on one side, as wide as its flank goes in. */
static gw_zone beside_socket(const tail *t, const gw_stand *stand, int side) {
  gw_zone zone = {.box = t->space, .n = 1, .planes = {turned(flank(t, stand, side))}};
  zone.planes[0].closed = true; /* a line on its part's face, as of all that is cut */
  if (side > 0) zone.box.lo[t->w] = edge_at(t, side, t->in);
  else zone.box.hi[t->w] = edge_at(t, side, t->in);
  return zone;
}

int gw_flank_zones(const gw_sheets_job *job, const gw_stand *stand, gw_zone zones[GW_ZONES_MOST]) {
  const gw_part *p = &job->model->parts[stand->part];
  int count = 0;
  if (!job->fit->placed) return 0;
  for (int i = p->first_half; i < p->first_half + p->n_halves && count + 2 <= GW_ZONES_MOST; ++i) {
    tail t;
    if (!look(job, i, &t)) continue;
    if (t.half->enters) {
      zones[count++] = (gw_zone){.box = t.space, .n = 2,
                                 .planes = {flank(&t, stand, -1), flank(&t, stand, 1)}};
      continue;
    }
    zones[count++] = beside_socket(&t, stand, -1);
    zones[count++] = beside_socket(&t, stand, 1);
  }
  return count;
}

/* ---- what squares off the flanks ------------------------------------------------------ */

/* A corner of what is added beside the flanks. */
static void put(const tail *t, const gw_stand *stand, gw_len l, gw_len w, gw_len n, double p[3]) {
  p[t->l] = mm(l, stand, t->l);
  p[t->w] = mm(w, stand, t->w);
  p[t->n] = mm(n, stand, t->n);
}

/* The shoulder beside a tail's root, with its outline but for the side that goes on
 * into the shoulder of the notch. */
static gw_status add_shoulder(gw_scene *scene, const tail *t, const gw_stand *stand, int side) {
  double c[4][3];
  bool high = gw_dir_sign(t->half->at) > 0;
  gw_len l = end_at(t, gw_dir_back(t->wide));
  gw_len w0 = edge_at(t, side, 0), w1 = edge_at(t, side, t->in);
  gw_len floor = high ? t->space.hi[t->n] : t->space.lo[t->n];
  gw_len face = high ? t->space.lo[t->n] : t->space.hi[t->n];
  put(t, stand, l, w0, floor, c[0]);
  put(t, stand, l, w0, face, c[1]);
  put(t, stand, l, w1, face, c[2]);
  put(t, stand, l, w1, floor, c[3]);
  GW_TRY(gw_scene_add_facet(scene, t->wide, t->half->part, GW_SHADE_CUT, (const double(*)[3])c));
  for (int i = 0; i < 3; ++i) GW_TRY(gw_scene_add_edge(scene, c[i], c[i + 1], i != 1));
  return GW_OK;
}

/* The socket's floor and edges where the strip beside it has no wood. */
static gw_status add_floor(gw_scene *scene, const tail *t, const gw_stand *stand, int side) {
  double c[4][3], up[3];
  bool high = gw_dir_sign(t->half->at) > 0;
  gw_len wide = end_at(t, t->wide), narrow = end_at(t, gw_dir_back(t->wide));
  gw_len w0 = edge_at(t, side, 0), w1 = edge_at(t, side, t->in);
  gw_len floor = high ? t->space.lo[t->n] : t->space.hi[t->n];
  gw_len face = high ? t->space.hi[t->n] : t->space.lo[t->n];
  put(t, stand, narrow, w1, floor, c[0]);
  put(t, stand, wide, w1, floor, c[1]);
  put(t, stand, wide, w0, floor, c[2]);
  put(t, stand, narrow, w0, floor, c[3]);
  put(t, stand, wide, w0, face, up);
  GW_TRY(gw_scene_add_facet(scene, t->half->at, t->half->part, GW_SHADE_CUT,
                            (const double(*)[3])c));
  GW_TRY(gw_scene_add_edge(scene, c[1], c[2], true));
  GW_TRY(gw_scene_add_edge(scene, c[2], c[0], true));
  return gw_scene_add_edge(scene, c[2], up, true);
}

gw_status gw_flanks_paint(gw_scene *scene, const gw_sheets_job *job, const gw_stand *stand) {
  const gw_part *p = &job->model->parts[stand->part];
  if (!job->fit->placed) return GW_OK;
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i) {
    tail t;
    if (!look(job, i, &t)) continue;
    for (int side = -1; side <= 1; side += 2)
      GW_TRY(t.half->enters ? add_shoulder(scene, &t, stand, side)
                            : add_floor(scene, &t, stand, side));
  }
  return GW_OK;
}
