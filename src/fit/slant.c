/* Parts that lean.
 *
 * Heights do not depend on how parts lean, so they are found first.  Then the
 * height of each joint is known, and with it how far each of its parts has
 * shifted there: the bounds across are moved by the difference, and the same
 * system of difference constraints serves.  A part's place across is that of its
 * level section midway up. */
#include <math.h>
#include <stdlib.h>

#include "fit/fit.h"

/* A size between parts that lean is never round; this much either way is what
 * writing it to a tenth of a millimetre leaves. */
static const gw_len ROUNDED = GW_MM / 20;

/* ---- sections ----------------------------------------------------------------------- */

static gw_len middle(const gw_box *box) { return box->lo[GW_Z] + (box->hi[GW_Z] - box->lo[GW_Z]) / 2; }

static bool upright(const gw_slant *s) {
  return s->side[0] == 0 && s->side[1] == 0 && s->side[2] == 0 && s->side[3] == 0;
}

bool gw_solid_slants(const gw_solid *solid) { return !upright(&solid->slant); }

bool gw_fit_slants(const gw_fit *fit, int part) {
  return fit->slants != NULL && !upright(&fit->slants[part]);
}

gw_solid gw_fit_solid(const gw_fit *fit, int part, gw_box box) {
  gw_solid solid = {.box = box, .at = middle(&fit->boxes[part])};
  if (fit->slants != NULL) solid.slant = fit->slants[part];
  return solid;
}

gw_box gw_solid_section(const gw_solid *s, gw_len height) {
  gw_box box = s->box;
  for (int axis = 0; axis < 2; ++axis) {
    box.lo[axis] += gw_lean_shift(s->slant.side[2 * axis], height - s->at);
    box.hi[axis] += gw_lean_shift(s->slant.side[2 * axis + 1], height - s->at);
  }
  return box;
}

gw_box gw_solid_around(const gw_solid *s) {
  gw_box box = s->box;
  gw_box foot = gw_solid_section(s, box.lo[GW_Z]), top = gw_solid_section(s, box.hi[GW_Z]);
  for (int axis = 0; axis < 2; ++axis) {
    box.lo[axis] = foot.lo[axis] < top.lo[axis] ? foot.lo[axis] : top.lo[axis];
    box.hi[axis] = foot.hi[axis] > top.hi[axis] ? foot.hi[axis] : top.hi[axis];
  }
  return box;
}

/* ---- two of them ---------------------------------------------------------------------- */

/* Keeps of low..high the heights at which `room` above nought, which is `at_low`
 * at the one and `at_high` at the other and changes evenly between. */
static bool keep_open(double *low, double *high, double at_low, double at_high) {
  if (at_low <= 0 && at_high <= 0) return false;
  if (at_low > 0 && at_high > 0) return true;
  double root = *low + (*high - *low) * at_low / (at_low - at_high);
  if (at_low <= 0) *low = root;
  else *high = root;
  return *low < *high;
}

/* The room between side `hi` of one and side `lo` of the other, less the play. */
static double room_at(const gw_solid *one, const gw_solid *other, int axis, double height,
                      double play) {
  double hi = (double)one->box.hi[axis] +
              (height - (double)one->at) * one->slant.side[2 * axis + 1] / GW_LEAN_ONE;
  double lo = (double)other->box.lo[axis] +
              (height - (double)other->at) * other->slant.side[2 * axis] / GW_LEAN_ONE;
  return hi - lo - play;
}

/* Whether some height between *low and *high leaves room between each two of them. */
static bool keep_rooms(const gw_solid *const *all, int count, gw_len play, double *low,
                       double *high) {
  for (int axis = 0; axis < 2; ++axis)
    for (int i = 0; i < count; ++i)
      for (int k = 0; k < count; ++k)
        if (i != k && !keep_open(low, high, room_at(all[i], all[k], axis, *low, (double)play),
                                 room_at(all[i], all[k], axis, *high, (double)play)))
          return false;
  return true;
}

bool gw_solids_share(const gw_solid *const *all, int count, gw_len play, gw_box *shared) {
  gw_len least = all[0]->box.lo[GW_Z], most = all[0]->box.hi[GW_Z];
  for (int i = 1; i < count; ++i) {
    if (all[i]->box.lo[GW_Z] > least) least = all[i]->box.lo[GW_Z];
    if (all[i]->box.hi[GW_Z] < most) most = all[i]->box.hi[GW_Z];
  }
  double low = (double)least, high = (double)most;
  if (most - least <= play || !keep_rooms(all, count, play, &low, &high)) return false;
  if (high - low <= (double)play) return false;
  *shared = gw_solid_section(all[0], (gw_len)((low + high) / 2));
  for (int i = 1; i < count; ++i) {
    gw_box other = gw_solid_section(all[i], (gw_len)((low + high) / 2));
    for (int axis = 0; axis < 2; ++axis) {
      if (other.lo[axis] > shared->lo[axis]) shared->lo[axis] = other.lo[axis];
      if (other.hi[axis] < shared->hi[axis]) shared->hi[axis] = other.hi[axis];
    }
  }
  shared->lo[GW_Z] = (gw_len)low;
  shared->hi[GW_Z] = (gw_len)high;
  return true;
}

gw_box gw_fit_around(const gw_fit *fit, int part) {
  gw_solid solid = gw_fit_solid(fit, part, fit->boxes[part]);
  return gw_solid_around(&solid);
}

/* The largest level size along an axis. */
static gw_len widest(const gw_solid *solid, int axis) {
  gw_box foot = gw_solid_section(solid, solid->box.lo[GW_Z]);
  gw_box top = gw_solid_section(solid, solid->box.hi[GW_Z]);
  gw_len low = foot.hi[axis] - foot.lo[axis], high = top.hi[axis] - top.lo[axis];
  return low > high ? low : high;
}

/* A side that does not lean as the one opposite tapers the part. */
static gw_len overall(const gw_fit *fit, const gw_model *m, int part, int axis, gw_len cut) {
  const gw_slant *slant = &fit->slants[part];
  if (axis == GW_Z || !fit->placed || slant->side[2 * axis] == slant->side[2 * axis + 1]) return cut;
  gw_solid solid = gw_fit_solid(fit, part, fit->boxes[part]);
  return gw_part_cut(&m->parts[part], axis, widest(&solid, axis));
}

void gw_fit_finished(const gw_fit *fit, const gw_model *m, int part, gw_len size[3]) {
  const gw_part *p = &m->parts[part];
  size[0] = p->length;
  size[1] = p->width;
  size[2] = p->thickness;
  if (!gw_fit_slants(fit, part)) return;
  const int axis[3] = {gw_part_length_axis(p), gw_dir_axis(p->edge), gw_dir_axis(p->face)};
  for (int i = 0; i < 3; ++i)
    size[i] = gw_len_fine(overall(fit, m, part, axis[i], size[i]), m->units);
}

/* ---- ends that cross ------------------------------------------------------------------ */

static gw_status say_cross(const gw_model *m, int part, bool top, gw_findings *findings) {
  const gw_part *p = &m->parts[part];
  GW_TRY(gw_find(findings, GW_ERROR, "ends-cross", p->line,
                 "the ends of %s are cut aslant as the parts lean that it meets, and they cross before "
                 "its %s edge: nothing is left of it there; make it longer or less high, or give those "
                 "parts less splay", p->id, top ? "upper" : "lower"));
  return gw_find_part(findings, part);
}

gw_status gw_fit_ends(const gw_model *m, const gw_fit *fit, gw_findings *findings) {
  for (int i = 0; i < m->n_parts; ++i) {
    if (!gw_fit_slants(fit, i)) continue;
    gw_solid solid = gw_fit_solid(fit, i, fit->boxes[i]);
    for (int top = 0; top < 2; ++top) {
      gw_box section = gw_solid_section(&solid, top ? solid.box.hi[GW_Z] : solid.box.lo[GW_Z]);
      if (section.lo[GW_X] < section.hi[GW_X] && section.lo[GW_Y] < section.hi[GW_Y]) continue;
      GW_TRY(say_cross(m, i, top != 0, findings));
    }
  }
  return GW_OK;
}

/* ---- what a joint says ---------------------------------------------------------------- */

static const gw_part *part_of(const gw_model *m, int half) { return &m->parts[m->halves[half].part]; }

/* Leans are told as a splay is written: by the side to which the foot is carried.
 * Never -0, which would be printed so. */
static double foot_out(const gw_part *p, int axis, int sign) {
  return -sign * gw_lean_degrees(p->lean[axis]) + 0.0;
}

/* `how` the entering half lies to the other. */
static gw_status say_apart(const gw_model *m, int index, gw_findings *findings, int axis,
                           const char *how) {
  const gw_joint *j = &m->joints[index];
  const gw_half *e = &m->halves[j->entering], *r = &m->halves[j->receiving];
  const gw_part *a = &m->parts[e->part], *b = &m->parts[r->part];
  const int32_t told = b->lean[axis] != 0 ? b->lean[axis] : a->lean[axis];
  const int sign = told > 0 ? -1 : 1;
  const char *side = gw_dir_name(gw_dir_of(axis, sign));
  GW_TRY(gw_find(findings, GW_ERROR, "leans-apart", e->line,
                 "the %s of %s %s the %s %s of %s, and the two lean apart: the foot of %s is "
                 "carried %.4g degrees to the %s, that of %s %.4g; give both the same splay there, "
                 "such as splay=\"%s %.4g\"", e->element, a->id, how, r->element, r->id, b->id,
                 a->id, foot_out(a, axis, sign), side, b->id, foot_out(b, axis, sign), side,
                 fabs(gw_lean_degrees(told))));
  GW_TRY(gw_find_part(findings, e->part));
  GW_TRY(gw_find_part(findings, r->part));
  return gw_find_joint(findings, index);
}

static gw_status say_corner(const gw_model *m, int index, gw_findings *findings) {
  const gw_joint *j = &m->joints[index];
  const gw_half *e = &m->halves[j->entering], *r = &m->halves[j->receiving];
  GW_TRY(gw_find(findings, GW_ERROR, "leans-at-corner", e->line,
                 "the %s between %s and %s is cut square, but one of the two leans there; join a part "
                 "that leans with a tenon, dowels or a housing, or take the splay away",
                 gw_kind_of(j->kind)->words, m->parts[e->part].id, m->parts[r->part].id));
  GW_TRY(gw_find_part(findings, e->part));
  GW_TRY(gw_find_part(findings, r->part));
  return gw_find_joint(findings, index);
}

/* A mitre whose boards lean unlike does not lie midway. */
static bool mitred(const gw_joint *j) {
  return (gw_kind_of(j->kind)->freedom & (GW_MITRE_WAY | GW_KEY)) != 0;
}

static int32_t amount(int32_t lean) { return lean < 0 ? -lean : lean; }

gw_status gw_fit_leaning(const gw_model *m, int index, gw_findings *findings, const gw_seating *s) {
  const gw_joint *j = &m->joints[index];
  const gw_part *a = part_of(m, j->entering), *b = part_of(m, j->receiving);
  if (!gw_leans(a->lean) && !gw_leans(b->lean)) return GW_OK;
  if (s->style == GW_CORNER) {
    int level = s->normal == GW_Z ? s->second : s->normal;
    bool up = s->normal == GW_Z || s->second == GW_Z;
    if (up && (a->lean[level] != 0 || b->lean[level] != 0)) return say_corner(m, index, findings);
    if (!up && mitred(j) && amount(a->lean[s->second]) != amount(b->lean[s->normal]))
      return say_corner(m, index, findings);
    return GW_OK;
  }
  /* A mortise too is gauged from the faces of its part, and runs up as they do. */
  bool runs = gw_kind_of(j->kind)->freedom & GW_RUN;
  bool up = s->style == GW_STRAIGHT && s->run == GW_Z && s->narrow >= 0 && s->narrow != GW_Z;
  if (runs && up && a->lean[s->narrow] != b->lean[s->narrow])
    return say_apart(m, index, findings, s->narrow, "runs up");
  if (s->style == GW_CROSS && s->normal != GW_Z && a->lean[s->normal] != b->lean[s->normal])
    return say_apart(m, index, findings, s->normal, "lies face to face with");
  return GW_OK;
}

/* ---- shifting the bounds ---------------------------------------------------------------- */

/* The height at which the two parts meet, for what lies along `axis`. */
static gw_len height_of(const gw_model *m, const gw_fit *fit, const gw_joint *j, int axis) {
  const gw_seating *s = &fit->seatings[j - m->joints];
  const gw_half *r = &m->halves[j->receiving];
  const gw_box *b = &fit->boxes[r->part];
  if (s->style != GW_CORNER && s->normal == GW_Z)
    return gw_dir_sign(r->at) > 0 ? b->hi[GW_Z] : b->lo[GW_Z];
  /* The size along an axis is that midway up the part whose end lies there. */
  return middle(axis == s->second ? b : &fit->boxes[gw_joint_enters(m, j)]);
}

static void shift_bound(const gw_model *m, gw_fit *fit, int index, int axis) {
  const gw_joint *j = &m->joints[index];
  gw_bound *bound = &fit->seatings[index].bound[axis];
  const int e = gw_joint_enters(m, j), r = gw_joint_receives(m, j);
  if (!bound->stated || (m->parts[e].lean[axis] == 0 && m->parts[r].lean[axis] == 0)) return;
  gw_len height = height_of(m, fit, j, axis);
  gw_len by = gw_lean_shift(m->parts[r].lean[axis], height - middle(&fit->boxes[r])) -
              gw_lean_shift(m->parts[e].lean[axis], height - middle(&fit->boxes[e]));
  bound->lo += by - ROUNDED;
  bound->hi += by + ROUNDED;
  bound->give = ROUNDED;
}

/* ---- sides ------------------------------------------------------------------------------ */

static bool is_level(gw_dir side) { return gw_dir_axis(side) != GW_Z; }

/* The ends that a joint cuts aslant: that of the entering part follows the
 * surface that receives it, and at a corner the receiving end the face outside. */
static void cut_ends(const gw_model *m, const gw_fit *fit, int index) {
  const gw_joint *j = &m->joints[index];
  const gw_seating *s = &fit->seatings[index];
  const gw_half *e = &m->halves[j->entering], *r = &m->halves[j->receiving];
  if (s->style == GW_CROSS) return;
  if (is_level(e->at))
    fit->slants[e->part].side[e->at] = m->parts[r->part].lean[gw_dir_axis(e->at)];
  if (s->style == GW_CORNER && is_level(r->at))
    fit->slants[r->part].side[r->at] = m->parts[e->part].lean[gw_dir_axis(r->at)];
}

gw_status gw_fit_lean(const gw_model *m, gw_fit *fit) {
  fit->slants = gw_arena_alloc(fit->arena, (size_t)m->n_parts, sizeof *fit->slants);
  if (fit->slants == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < m->n_parts; ++i)
    for (int side = 0; side < 4; ++side) fit->slants[i].side[side] = m->parts[i].lean[side / 2];
  for (int i = 0; i < m->n_joints; ++i) {
    cut_ends(m, fit, i);
    for (int axis = 0; axis < 2; ++axis) shift_bound(m, fit, i, axis);
  }
  return GW_OK;
}
