/* picture_tails.c - tails, pins and fingers: where they lie, and how they show
 * on the faces of their parts.
 *
 * Words used below, for a corner: the entering part comes along the axis n;
 * the receiving part ends along the axis q; the joint runs along the axis t. */
#include <string.h>

#include "sheets/picture_inner.h"

/* ---- layout ------------------------------------------------------------------------- */

static bool is_tails(gw_kind kind) {
  return kind == GW_THROUGH_DOVETAIL || kind == GW_LAPPED_DOVETAIL || kind == GW_COMB;
}

bool gw_tails_counted(const gw_model *m, const gw_fit *fit, int joint) {
  const gw_seating *s = &fit->seatings[joint];
  return is_tails(m->joints[joint].kind) && s->style == GW_CORNER && s->count > 0 && s->run >= 0;
}

/* How far one flank runs out between end and baseline. */
static gw_len run_out(const gw_seating *s) {
  return s->slope > 0 ? s->depth_e * 100 / s->slope : 0;
}

/* The width of a pin between two tails at their ends, where it is narrowest. */
static gw_len pin_at_end(const gw_seating *s, gw_len pitch) {
  gw_len out = run_out(s), pin = pitch / 4 - out;
  gw_len most = pitch - 2 * out - GW_PIN_LEAST; /* leaves some tail at the baseline */
  if (pin < GW_PIN_LEAST) pin = GW_PIN_LEAST;
  if (pin > most) pin = most > 0 ? most : 0;
  return pin;
}

gw_tail gw_tails_at(const gw_model *m, const gw_fit *fit, int joint, int k) {
  const gw_seating *s = &fit->seatings[joint];
  gw_len wide = s->e[s->run].size, lo = wide * k / s->count, hi = wide * (k + 1) / s->count;
  if (m->joints[joint].kind == GW_COMB) {
    gw_len middle = (lo + hi) / 2;
    return (gw_tail){lo, middle, lo, middle};
  }
  gw_len pin = pin_at_end(s, wide / s->count) / 2, base = pin + run_out(s);
  return (gw_tail){lo + pin, hi - pin, lo + base, hi - base};
}

/* ---- a corner ----------------------------------------------------------------------- */

/* A corner as one of its two parts stands, in millimetres. */
typedef struct corner {
  const gw_sheets_job *job;
  int joint, part, n, q, t;
  gw_dir e_at, r_at;
  double end, base;      /* along n: the end of the tails, the baseline */
  double out, in;        /* along q: the entering part's outer and inner face */
  double pin_base;       /* along q: the baseline on the receiving part */
  double lo, hi;         /* along t */
  double far;            /* along n: the receiving part's far face */
} corner;

static double side_of(const gw_box *box, gw_dir side) {
  int axis = gw_dir_axis(side);
  return gw_len_mm(gw_dir_sign(side) > 0 ? box->hi[axis] : box->lo[axis]);
}

static corner look(const gw_sheets_job *job, const gw_stand *stand, int joint) {
  const gw_model *m = job->model;
  const gw_joint *j = &m->joints[joint];
  const gw_seating *s = &job->fit->seatings[joint];
  const gw_half *e = &m->halves[j->entering], *r = &m->halves[j->receiving];
  const gw_box *a = &job->fit->boxes[e->part], *b = &job->fit->boxes[r->part];
  corner c = {.job = job, .joint = joint, .part = stand->part, .n = s->normal, .q = s->second,
              .t = 3 - s->normal - s->second, .e_at = e->at, .r_at = r->at};
  const double *shift = stand->shift;
  c.end = side_of(a, e->at) + shift[c.n];
  c.base = c.end - gw_dir_sign(e->at) * gw_len_mm(s->depth_e);
  c.far = side_of(b, e->at) + shift[c.n];
  c.out = side_of(a, r->at) + shift[c.q];
  c.in = side_of(a, gw_dir_back(r->at)) + shift[c.q];
  c.pin_base = side_of(b, r->at) - gw_dir_sign(r->at) * gw_len_mm(s->depth_r) + shift[c.q];
  gw_box shared = gw_fit_joint_box(job->fit, m, joint);
  c.lo = gw_len_mm(shared.lo[c.t]) + shift[c.t];
  c.hi = gw_len_mm(shared.hi[c.t]) + shift[c.t];
  return c;
}

static bool is_corner(const gw_sheets_job *job, int joint) {
  return job->fit->seatings[joint].style == GW_CORNER && is_tails(job->model->joints[joint].kind);
}

static bool apart(const gw_stand *stand, int joint) {
  return stand->apart == NULL || stand->apart[joint];
}

/* ---- veils -------------------------------------------------------------------------- */

static const gw_len HAIR = GW_MM / 10;

static void veil(gw_veils *veils, gw_box box) {
  for (int axis = 0; axis < 3; ++axis) {
    box.lo[axis] -= HAIR;
    box.hi[axis] += HAIR;
  }
  if (veils->n < GW_VEILS_MOST) veils->boxes[veils->n++] = box;
}

/* The receiving part keeps its outline; its inner arris ends at the pins. */
static void veil_receiving(const gw_sheets_job *job, int joint, gw_box box, gw_veils *veils) {
  const gw_seating *s = &job->fit->seatings[joint];
  const gw_model *m = job->model;
  gw_dir e_at = m->halves[m->joints[joint].entering].at;
  gw_dir r_at = m->halves[m->joints[joint].receiving].at;
  int n = s->normal, q = s->second;
  gw_box line = box;
  if (gw_dir_sign(e_at) > 0) line.hi[n] = line.lo[n];
  else line.lo[n] = line.hi[n];
  if (gw_dir_sign(r_at) > 0) line.lo[q] = line.hi[q];
  else line.hi[q] = line.lo[q];
  veil(veils, line);
}

void gw_tails_veil(const gw_sheets_job *job, const gw_stand *stand, gw_veils *veils) {
  const gw_part *p = &job->model->parts[stand->part];
  veils->n = 0;
  if (!job->fit->placed) return;
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i) {
    const gw_half *half = &job->model->halves[i];
    if (half->joint < 0 || !is_corner(job, half->joint) || apart(stand, half->joint)) continue;
    gw_box box = gw_fit_joint_box(job->fit, job->model, half->joint);
    if (half->enters) veil(veils, box);
    else veil_receiving(job, half->joint, box, veils);
  }
}

/* ---- what else is cut there ----------------------------------------------------------- */

static bool meets(const gw_box *a, const gw_box *b) {
  for (int axis = 0; axis < 3; ++axis)
    if (a->lo[axis] >= b->hi[axis] || b->lo[axis] >= a->hi[axis]) return false;
  return true;
}

/* Whether the middle of a cut, along the joint, is in a tail. */
static bool in_tail(const gw_sheets_job *job, int joint, const gw_box *both, const gw_box *cut) {
  const gw_seating *s = &job->fit->seatings[joint];
  int t = 3 - s->normal - s->second;
  gw_len twice = cut->lo[t] + cut->hi[t] - 2 * both->lo[t];
  for (int k = 0; k < s->count; ++k) {
    gw_tail tail = gw_tails_at(job->model, job->fit, joint, k);
    if (twice > tail.end_lo + tail.base_lo && twice < tail.end_hi + tail.base_hi) return true;
  }
  return false;
}

void gw_tails_trim(const gw_sheets_job *job, int part, gw_box *cut) {
  const gw_part *p = &job->model->parts[part];
  for (int i = p->first_half; i < p->first_half + p->n_halves && job->fit->placed; ++i) {
    const gw_half *half = &job->model->halves[i];
    if (half->joint < 0 || !gw_tails_counted(job->model, job->fit, half->joint)) continue;
    gw_box both = gw_fit_joint_box(job->fit, job->model, half->joint);
    if (!meets(&both, cut) || in_tail(job, half->joint, &both, cut) == half->enters) continue;
    int axis = gw_dir_axis(half->at);
    if (gw_dir_sign(half->at) > 0) cut->hi[axis] = both.lo[axis];
    else cut->lo[axis] = both.hi[axis];
  }
}

/* ---- painting ----------------------------------------------------------------------- */

static void put(const corner *c, double n, double q, double t, double p[3]) {
  p[c->n] = n;
  p[c->q] = q;
  p[c->t] = t;
}

static gw_status line(gw_scene *scene, const corner *c, const double from[3], const double to[3]) {
  double a[3], b[3];
  put(c, from[0], from[1], from[2], a);
  put(c, to[0], to[1], to[2], b);
  return gw_scene_add_edge(scene, a, b, true);
}

/* Four corners in n, q, t: filled as cut away when the halves are apart. */
static gw_status patch(gw_scene *scene, const corner *c, gw_dir side, const double nqt[4][3],
                       unsigned sides) {
  double corners[4][3];
  if (!gw_view_faces(&scene->view, side)) return GW_OK;
  for (int i = 0; i < 4; ++i) put(c, nqt[i][0], nqt[i][1], nqt[i][2], corners[i]);
  GW_TRY(gw_scene_add_facet(scene, side, c->part, GW_SHADE_CUT, corners));
  for (int i = 0; i < 4; ++i)
    if (sides >> i & 1) GW_TRY(gw_scene_add_edge(scene, corners[i], corners[(i + 1) % 4], true));
  return GW_OK;
}

/* Where the k-th tail lies along t, in millimetres. */
typedef struct flanks { double end_lo, end_hi, base_lo, base_hi; } flanks;

static flanks flanks_at(const corner *c, int k) {
  gw_tail tail = gw_tails_at(c->job->model, c->job->fit, c->joint, k);
  return (flanks){c->lo + gw_len_mm(tail.end_lo), c->lo + gw_len_mm(tail.end_hi),
                  c->lo + gw_len_mm(tail.base_lo), c->lo + gw_len_mm(tail.base_hi)};
}

/* The gap before the k-th tail (k = count: behind the last one). */
static flanks gap_at(const corner *c, int k, int count) {
  flanks gap = {c->lo, c->hi, c->lo, c->hi};
  if (k > 0) {
    flanks before = flanks_at(c, k - 1);
    gap.end_lo = before.end_hi;
    gap.base_lo = before.base_hi;
  }
  if (k < count) {
    flanks after = flanks_at(c, k);
    gap.end_hi = after.end_lo;
    gap.base_hi = after.base_lo;
  }
  return gap;
}

/* A shape between end and baseline on a face square to q. */
static gw_status slope_patch(gw_scene *scene, const corner *c, gw_dir side, double q, flanks f,
                             unsigned sides) {
  const double nqt[4][3] = {{c->base, q, f.base_lo}, {c->end, q, f.end_lo},
                            {c->end, q, f.end_hi}, {c->base, q, f.base_hi}};
  return patch(scene, c, side, nqt, sides);
}

/* A rectangle on a face square to n. */
static gw_status flat_patch(gw_scene *scene, const corner *c, gw_dir side, double n, double q1,
                            double q2, double lo, double hi) {
  const double nqt[4][3] = {{n, q1, lo}, {n, q2, lo}, {n, q2, hi}, {n, q1, hi}};
  return patch(scene, c, side, nqt, 0xF);
}

/* The entering part by itself: the gaps between its tails. */
static gw_status paint_entering(gw_scene *scene, const corner *c, int count) {
  for (int k = 0; k <= count; ++k) {
    flanks gap = gap_at(c, k, count);
    if (gap.end_hi - gap.end_lo <= 0) continue;
    GW_TRY(slope_patch(scene, c, c->r_at, c->out, gap, 0xF));
    GW_TRY(slope_patch(scene, c, gw_dir_back(c->r_at), c->in, gap, 0xF));
    GW_TRY(flat_patch(scene, c, c->e_at, c->end, c->in, c->out, gap.end_lo, gap.end_hi));
  }
  return GW_OK;
}

static bool goes_through(const corner *c) {
  double short_by = (c->far - c->end) * gw_dir_sign(c->e_at);
  return short_by < 0.1;
}

/* The receiving part by itself: the sockets between its pins. */
static gw_status paint_receiving(gw_scene *scene, const corner *c, int count) {
  double end = c->pin_base + (c->out - c->in); /* as thick as the other part */
  for (int k = 0; k < count; ++k) {
    flanks f = flanks_at(c, k);
    GW_TRY(slope_patch(scene, c, c->r_at, end, f, 0xF));
    if (goes_through(c))
      GW_TRY(flat_patch(scene, c, c->e_at, c->far, c->pin_base, end, f.end_lo, f.end_hi));
    GW_TRY(flat_patch(scene, c, gw_dir_back(c->e_at), c->base, c->pin_base, end, f.base_lo,
                      f.base_hi));
  }
  return GW_OK;
}

/* A line from n, q, t to n, q, t. */
static gw_status draw(gw_scene *scene, const corner *c, double n1, double q1, double t1, double n2,
                      double q2, double t2) {
  return line(scene, c, (double[]){n1, q1, t1}, (double[]){n2, q2, t2});
}

/* One tail's lines where the corner is closed. */
static gw_status outline_tail(gw_scene *scene, const corner *c, flanks f) {
  const double base = c->base, end = c->end, out = c->out, in = c->in;
  GW_TRY(draw(scene, c, base, out, f.base_lo, end, out, f.end_lo));
  GW_TRY(draw(scene, c, base, out, f.base_hi, end, out, f.end_hi));
  GW_TRY(draw(scene, c, end, out, f.end_lo, end, out, f.end_hi));
  if (!goes_through(c)) return GW_OK;
  GW_TRY(draw(scene, c, end, out, f.end_lo, end, in, f.end_lo));
  GW_TRY(draw(scene, c, end, out, f.end_hi, end, in, f.end_hi));
  return draw(scene, c, end, in, f.end_lo, end, in, f.end_hi);
}

/* Where the two inner faces meet: as each leans by itself along its own way. */
static gw_status inner_line(gw_scene *scene, const corner *c, const gw_stand *stand) {
  double a[3], b[3], of_mate[2][3];
  put(c, c->base, c->in, c->lo, a);
  put(c, c->base, c->in, c->hi, b);
  if (!scene->lean.on) return gw_scene_add_edge(scene, a, b, true);
  gw_stand mate = *stand;
  mate.part = gw_joint_receives(c->job->model, &c->job->model->joints[c->joint]);
  gw_leaning lean = scene->lean, lean_of_mate = gw_leaning_of(c->job, &mate);
  double *ends[2] = {a, b};
  for (int i = 0; i < 2; ++i) {
    memcpy(of_mate[i], ends[i], sizeof of_mate[i]);
    gw_lean_point(&lean_of_mate, of_mate[i]);
    gw_lean_point(&lean, ends[i]);
    ends[i][c->n] = of_mate[i][c->n];
  }
  scene->lean.on = false;
  gw_status status = gw_scene_add_edge(scene, a, b, true);
  scene->lean = lean;
  return status;
}

static gw_status outline_closed(gw_scene *scene, const corner *c, int count) {
  for (int k = 0; k < count; ++k) GW_TRY(outline_tail(scene, c, flanks_at(c, k)));
  for (int k = 0; k <= count; ++k) {
    flanks gap = gap_at(c, k, count);
    GW_TRY(draw(scene, c, c->base, c->out, gap.base_lo, c->base, c->out, gap.base_hi));
  }
  return GW_OK;
}

/* Whether a cut runs out at the end that the tails are on: a stopped groove does not. */
static bool reaches_end(const corner *c, const gw_box *cut) {
  const gw_box *body = &c->job->fit->boxes[c->part];
  int axis = gw_dir_axis(c->e_at);
  return gw_dir_sign(c->e_at) > 0 ? cut->hi[axis] >= body->hi[axis] : cut->lo[axis] <= body->lo[axis];
}

/* Where a groove of the entering part comes out at the end of one of its tails. */
static gw_status paint_outlets(gw_scene *scene, const corner *c, const gw_stand *stand) {
  const gw_sheets_job *job = c->job;
  const gw_part *p = &job->model->parts[c->part];
  gw_box both = gw_fit_joint_box(job->fit, job->model, c->joint);
  for (int i = p->first_half; i < p->first_half + p->n_halves && goes_through(c); ++i) {
    if (!gw_half_cuts(job, i)) continue;
    gw_box cut = gw_half_space(job, i);
    double lo[3], hi[3];
    if (!meets(&both, &cut) || !in_tail(job, c->joint, &both, &cut)) continue;
    if (!reaches_end(c, &cut)) continue;
    for (int axis = 0; axis < 3; ++axis) {
      lo[axis] = gw_len_mm(cut.lo[axis]) + stand->shift[axis];
      hi[axis] = gw_len_mm(cut.hi[axis]) + stand->shift[axis];
    }
    GW_TRY(flat_patch(scene, c, c->e_at, c->end, lo[c->q], hi[c->q], lo[c->t], hi[c->t]));
  }
  return GW_OK;
}

static gw_status paint_closed(gw_scene *scene, const corner *c, const gw_stand *stand, int count) {
  GW_TRY(outline_closed(scene, c, count));
  GW_TRY(inner_line(scene, c, stand));
  return paint_outlets(scene, c, stand);
}

static gw_status paint_half(gw_scene *scene, const gw_sheets_job *job, const gw_stand *stand,
                            const gw_half *half) {
  corner c = look(job, stand, half->joint);
  int count = job->fit->seatings[half->joint].count;
  if (!gw_tails_counted(job->model, job->fit, half->joint)) return GW_OK;
  if (!apart(stand, half->joint))
    return half->enters ? paint_closed(scene, &c, stand, count) : GW_OK;
  return half->enters ? paint_entering(scene, &c, count) : paint_receiving(scene, &c, count);
}

gw_status gw_tails_paint(gw_scene *scene, const gw_sheets_job *job, const gw_stand *stand) {
  const gw_part *p = &job->model->parts[stand->part];
  if (!job->fit->placed) return GW_OK;
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i) {
    const gw_half *half = &job->model->halves[i];
    if (half->joint < 0 || !is_corner(job, half->joint)) continue;
    GW_TRY(paint_half(scene, job, stand, half));
  }
  return GW_OK;
}
