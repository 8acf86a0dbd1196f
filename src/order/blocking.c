/* Who stops whom along which direction. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "order/apart.h"
#include "order/order.h"
#include "order/split.h"

/* Parts that touch, or overlap by less than the play of a joint, slide past
 * each other. */
static const gw_len TOUCH = GW_MM / 5;
enum { MAX_WOOD = 16 };

typedef struct body {
  gw_solid solid[MAX_WOOD];
  int count;
} body;

struct gw_bodies {
  gw_box *whole; /* by part: round all its boxes */
  body *all;
};

/* ---- directions ------------------------------------------------------------------ */

static int find_dir(const gw_blocking *b, gw_vec d) {
  for (int i = 0; i < b->n_dirs; ++i)
    if (memcmp(&b->dirs[i], &d, sizeof d) == 0) return i;
  return -1;
}

/* How awkward it is to put something in against this direction, the side `lay`
 * of the piece being down: lowering is easiest, sideways next, from below
 * worst.  Common practice, no source. */
static int awkwardness(gw_vec d, gw_dir lay) {
  int axis = gw_dir_axis(lay), up = -d.c[axis] * gw_dir_sign(lay);
  bool slanting = d.c[(axis + 1) % 3] != 0 || d.c[(axis + 2) % 3] != 0;
  if (up > 0) return slanting ? 1 : 0;
  return up < 0 ? 3 : 1;
}

static void add_dir(gw_blocking *b, gw_dir lay, gw_vec d) {
  if (find_dir(b, d) >= 0) return;
  if (b->n_dirs + 2 > GW_WAYS_MOST) b->dropped = true;
  if (b->dropped) return;
  gw_vec back = {{-d.c[0], -d.c[1], -d.c[2]}};
  b->dirs[b->n_dirs] = d;
  b->dirs[b->n_dirs + 1] = back;
  b->cost[b->n_dirs] = awkwardness(d, lay);
  b->cost[b->n_dirs + 1] = awkwardness(back, lay);
  b->opposite[b->n_dirs] = b->n_dirs + 1;
  b->opposite[b->n_dirs + 1] = b->n_dirs;
  b->n_dirs += 2;
}

/* The way of a joint of its own: the normal of a mitre or a key, or along parts that
 * lean.  Faces that lean are brought together on the level: straight down upon one
 * would scrape the glue off it. */
static gw_vec own_way(const gw_freedom *f) {
  gw_vec d = f->normal;
  for (int axis = 0; axis < 3 && f->kind == GW_FREE_HALF; ++axis)
    d.c[axis] = axis == GW_Z && (d.c[GW_X] != 0 || d.c[GW_Y] != 0) ? 0 : (d.c[axis] > 0) - (d.c[axis] < 0);
  return d;
}

/* The axes of the piece, and the slanting ways of mitres, keys and what leans. */
void gw_blocking_dirs(const gw_model *m, const gw_fit *fit, gw_blocking *b) {
  for (int axis = 2; axis >= 0; --axis) {
    gw_vec d = {{0, 0, 0}};
    d.c[axis] = 1;
    add_dir(b, m->lay, d);
  }
  for (int i = 0; i < m->n_joints; ++i)
    if (fit->seatings[i].freedom.kind != GW_FREE_BOX)
      add_dir(b, m->lay, own_way(&fit->seatings[i].freedom));
}

/* ---- joints ------------------------------------------------------------------------ */

static gw_status add_arc(gw_blocking *b, size_t *room, gw_split_arc arc) {
  GW_TRY(gw_grow(&b->arcs, room, b->n_arcs + 1, sizeof *b->arcs));
  b->arcs[b->n_arcs++] = arc;
  return GW_OK;
}

/* Whether moving along d opens the joint's faces rather than sliding on them. */
static bool opens(const gw_model *m, const gw_fit *fit, int joint, gw_vec d) {
  const gw_joint *j = &m->joints[joint];
  const gw_freedom *f = &fit->seatings[joint].freedom;
  const gw_kind_row *kind = gw_kind_of(j->kind);
  if (!j->glued) return true;
  if (f->kind == GW_FREE_HALF) {
    const gw_vec own = own_way(f);
    int64_t dot = 0;
    for (int axis = 0; axis < 3; ++axis) dot += (int64_t)own.c[axis] * d.c[axis];
    return dot > 0;
  }
  if (!(kind->freedom & GW_OUT) || !(kind->freedom & GW_RUN)) return true;
  gw_dir out = m->halves[j->receiving].at, away = gw_dir_back(m->halves[j->entering].at);
  bool by_out = gw_freedom_along(f, d, gw_dir_axis(out)) * gw_dir_sign(out) > 0;
  return by_out || (kind->freedom & GW_AWAY &&
                    gw_freedom_along(f, d, gw_dir_axis(away)) * gw_dir_sign(away) > 0);
}

bool gw_blocking_joint(const gw_model *m, const gw_fit *fit, int joint, bool slides, gw_vec d) {
  return !gw_freedom_allows(&fit->seatings[joint].freedom, d) ||
         !(slides || opens(m, fit, joint, d));
}

static gw_status block_joint(const gw_model *m, const gw_fit *fit, int joint, bool slides,
                             gw_blocking *b, size_t *room) {
  int e = gw_joint_enters(m, &m->joints[joint]), r = gw_joint_receives(m, &m->joints[joint]);
  for (int i = 0; i < b->n_dirs; ++i) {
    if (!gw_blocking_joint(m, fit, joint, slides, b->dirs[i])) continue;
    GW_TRY(add_arc(b, room, (gw_split_arc){i, e, r, joint}));
    GW_TRY(add_arc(b, room, (gw_split_arc){b->opposite[i], r, e, joint}));
  }
  return GW_OK;
}

/* ---- sweeps -------------------------------------------------------------------------- */

/* Whether box a, moving along d without end, meets box b: the times at which
 * it overlaps b along each axis have a time in common. */
bool gw_box_meets(const gw_box *a, const gw_box *b, gw_vec d) {
  double from = 0, to = 1e30;
  for (int axis = 0; axis < 3; ++axis) {
    /* a + t * d overlaps b along the axis while low < t * d < high. */
    double low = (double)(b->lo[axis] - a->hi[axis] + TOUCH);
    double high = (double)(b->hi[axis] - a->lo[axis] - TOUCH);
    if (low >= high) return false;
    if (d.c[axis] == 0) {
      if (low >= 0 || high <= 0) return false;
      continue;
    }
    double begin = low / d.c[axis], end = high / d.c[axis];
    if (begin > end) {
      double swap = begin;
      begin = end;
      end = swap;
    }
    if (begin > from) from = begin;
    if (end < to) to = end;
  }
  return from < to;
}

/* The same of solids that lean.  At the height z, after a time t, each side of the
 * one must be within the opposite side of the other: half-planes over (t, z), so
 * a wide rectangle is cut by one after the other. */
typedef struct corner { double t, z; } corner;
enum { CORNERS_MOST = 16 };

/* Keeps what has k + at t + az z > 0; returns how many corners are left. */
static int keep_side(corner *poly, int n, double k, double at, double az) {
  corner out[CORNERS_MOST];
  int kept = 0;
  for (int i = 0; i < n; ++i) {
    corner p = poly[i], q = poly[(i + 1) % n];
    double of_p = k + at * p.t + az * p.z, of_q = k + at * q.t + az * q.z;
    if (of_p > 0 && kept < CORNERS_MOST) out[kept++] = p;
    if ((of_p > 0) == (of_q > 0) || kept >= CORNERS_MOST) continue;
    double f = of_p / (of_p - of_q);
    out[kept++] = (corner){p.t + f * (q.t - p.t), p.z + f * (q.z - p.z)};
  }
  memcpy(poly, out, (size_t)kept * sizeof *out);
  return kept;
}

/* a's lower side is below b's upper one, or the other way round (`over`). */
static int keep_within(corner *poly, int n, const gw_solid *a, const gw_solid *b, const double *way,
                       int axis, bool over) {
  double of_a = (double)a->slant.side[2 * axis + over] / GW_LEAN_ONE;
  double of_b = (double)b->slant.side[2 * axis + !over] / GW_LEAN_ONE;
  double at_a = (double)(over ? a->box.hi[axis] : a->box.lo[axis]) - of_a * (double)a->at;
  double at_b = (double)(over ? b->box.lo[axis] : b->box.hi[axis]) - of_b * (double)b->at;
  /* a at z after t is a at z - t way.z, shifted by t way. */
  double k = at_a - at_b, t = way[axis] - of_a * way[GW_Z], z = of_a - of_b;
  return over ? keep_side(poly, n, k - (double)TOUCH, t, z)
              : keep_side(poly, n, -k - (double)TOUCH, -t, -z);
}

static double measure(const corner *poly, int n) {
  double twice = 0;
  for (int i = 1; i + 1 < n; ++i)
    twice += (poly[i].t - poly[0].t) * (poly[i + 1].z - poly[0].z) -
             (poly[i + 1].t - poly[0].t) * (poly[i].z - poly[0].z);
  return fabs(twice);
}

static bool solids_meet(const gw_solid *a, const gw_solid *b, gw_vec d) {
  if (!gw_solid_slants(a) && !gw_solid_slants(b)) return gw_box_meets(&a->box, &b->box, d);
  double length = sqrt((double)d.c[0] * d.c[0] + (double)d.c[1] * d.c[1] + (double)d.c[2] * d.c[2]);
  const double way[3] = {d.c[0] / length, d.c[1] / length, d.c[2] / length};
  const double far = 4.0 * GW_LEN_MAX, low = (double)b->box.lo[GW_Z] + TOUCH / 2.0,
               high = (double)b->box.hi[GW_Z] - TOUCH / 2.0;
  corner poly[CORNERS_MOST] = {{0, low}, {far, low}, {far, high}, {0, high}};
  int n = high > low ? 4 : 0;
  /* a stands at that height after the time t. */
  n = keep_side(poly, n, -(double)a->box.lo[GW_Z] - TOUCH / 2.0, -way[GW_Z], 1);
  n = keep_side(poly, n, (double)a->box.hi[GW_Z] - TOUCH / 2.0, way[GW_Z], -1);
  for (int axis = 0; axis < 2; ++axis)
    for (int over = 0; over < 2; ++over) n = keep_within(poly, n, a, b, way, axis, over != 0);
  /* Within the play of a joint by less than that: they slide past each other. */
  return n >= 3 && measure(poly, n) > (double)TOUCH * (double)TOUCH;
}

static bool part_sweep_meets(const body *a, const body *b, gw_vec d) {
  for (int i = 0; i < a->count; ++i)
    for (int j = 0; j < b->count; ++j)
      if (solids_meet(&a->solid[i], &b->solid[j], d)) return true;
  return false;
}

bool gw_bodies_meet(const gw_bodies *b, int one, int other, gw_vec d) {
  return gw_box_meets(&b->whole[one], &b->whole[other], d) &&
         part_sweep_meets(&b->all[one], &b->all[other], d);
}

const gw_box *gw_bodies_whole(const gw_bodies *bodies, int part) { return &bodies->whole[part]; }

static gw_box box_round(const body *it) {
  gw_box whole = gw_solid_around(&it->solid[0]);
  for (int i = 1; i < it->count; ++i) {
    gw_box more = gw_solid_around(&it->solid[i]);
    for (int axis = 0; axis < 3; ++axis) {
      if (more.lo[axis] < whole.lo[axis]) whole.lo[axis] = more.lo[axis];
      if (more.hi[axis] > whole.hi[axis]) whole.hi[axis] = more.hi[axis];
    }
  }
  return whole;
}

gw_status gw_bodies_make(const gw_model *m, const gw_fit *fit, gw_bodies **out) {
  gw_bodies *made = calloc(1, sizeof *made);
  *out = made;
  if (made == NULL) return GW_NO_MEMORY;
  made->whole = calloc((size_t)m->n_parts, sizeof *made->whole);
  made->all = calloc((size_t)m->n_parts, sizeof *made->all);
  if (made->whole == NULL || made->all == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < m->n_parts; ++i) {
    body *it = &made->all[i];
    it->count = gw_fit_wood(fit, m, i, it->solid, MAX_WOOD);
    if (it->count > MAX_WOOD) it->count = MAX_WOOD;
    made->whole[i] = box_round(it);
  }
  return GW_OK;
}

void gw_bodies_free(gw_bodies *bodies) {
  if (bodies == NULL) return;
  free(bodies->whole);
  free(bodies->all);
  free(bodies);
}

/* Parts joined to each other are judged by their joints alone. */
static void mark_joined(const gw_model *m, int part, char *joined) {
  const gw_part *p = &m->parts[part];
  memset(joined, 0, (size_t)m->n_parts);
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i) {
    int joint = m->halves[i].joint;
    if (joint < 0) continue;
    joined[gw_joint_enters(m, &m->joints[joint])] = 1;
    joined[gw_joint_receives(m, &m->joints[joint])] = 1;
  }
}

static gw_status block_sweeps(const gw_model *m, const gw_bodies *all, char *joined, gw_blocking *b,
                              size_t *room) {
  for (int i = 0; i < m->n_parts; ++i) {
    mark_joined(m, i, joined);
    for (int j = 0; j < m->n_parts; ++j) {
      if (i == j || joined[j]) continue;
      for (int d = 0; d < b->n_dirs; ++d)
        if (gw_bodies_meet(all, i, j, b->dirs[d]))
          GW_TRY(add_arc(b, room, (gw_split_arc){d, i, j, -1}));
    }
  }
  return GW_OK;
}

gw_status gw_blocking_make(const gw_model *m, const gw_fit *fit, const bool *slides,
                           gw_blocking *out) {
  memset(out, 0, sizeof *out);
  size_t room = 0;
  gw_bodies *bodies;
  char *joined = malloc((size_t)m->n_parts);
  gw_status status = gw_bodies_make(m, fit, &bodies);
  if (joined == NULL) status = GW_NO_MEMORY;
  gw_blocking_dirs(m, fit, out);
  for (int i = 0; i < m->n_joints && status == GW_OK; ++i)
    status = block_joint(m, fit, i, slides[i], out, &room);
  if (status == GW_OK) status = block_sweeps(m, bodies, joined, out, &room);
  free(joined);
  gw_bodies_free(bodies);
  if (status != GW_OK) gw_blocking_free(out);
  return status;
}

void gw_blocking_free(gw_blocking *b) {
  free(b->arcs);
  b->arcs = NULL;
  b->n_arcs = 0;
}
