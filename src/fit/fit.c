#include "fit/fit.h"

#include <stdlib.h>

#include "fit/review.h"

/* ---- space ----------------------------------------------------------------------- */

static gw_len least(gw_len a, gw_len b) { return a < b ? a : b; }
static gw_len most(gw_len a, gw_len b) { return a > b ? a : b; }

/* What both parts have along an axis, where the entering half is. */
static void common(gw_box *box, const gw_seating *s, const gw_box *a, const gw_box *b, int axis) {
  box->lo[axis] = most(a->lo[axis], b->lo[axis]);
  box->hi[axis] = least(a->hi[axis], b->hi[axis]);
  if (s->style != GW_CROSS && (axis == s->narrow || axis == s->run)) {
    box->lo[axis] = most(box->lo[axis], a->lo[axis] + s->e[axis].lo);
    box->hi[axis] = least(box->hi[axis], a->lo[axis] + s->e[axis].lo + s->e[axis].size);
  }
  if (box->hi[axis] < box->lo[axis]) box->hi[axis] = box->lo[axis];
}

gw_box gw_fit_joint_box(const gw_fit *fit, const gw_model *m, int index) {
  const gw_seating *s = &fit->seatings[index];
  const int e = gw_joint_enters(m, &m->joints[index]), r = gw_joint_receives(m, &m->joints[index]);
  gw_box a = fit->boxes[e], b = fit->boxes[r], box;
  common(&box, s, &a, &b, GW_Z);
  if (fit->slants != NULL) { /* their sections at the height of the joint */
    gw_len height = box.lo[GW_Z] + (box.hi[GW_Z] - box.lo[GW_Z]) / 2;
    gw_solid of_a = gw_fit_solid(fit, e, a), of_b = gw_fit_solid(fit, r, b);
    a = gw_solid_section(&of_a, height);
    b = gw_solid_section(&of_b, height);
  }
  common(&box, s, &a, &b, GW_X);
  common(&box, s, &a, &b, GW_Y);
  return box;
}

gw_dir gw_fit_wide_end(const gw_fit *fit, const gw_model *m, int joint) {
  const gw_part *part = &m->parts[gw_joint_enters(m, &m->joints[joint])];
  int axis = gw_part_length_axis(part);
  const gw_span *span = &fit->seatings[joint].e[axis];
  return gw_dir_of(axis, span->lo <= part->size[axis] - span->lo - span->size ? -1 : 1);
}

/* Cuts the end zone of a half with shoulders off the body. */
static void cut_shoulder(gw_box *body, const gw_half *half, gw_len depth) {
  int axis = gw_dir_axis(half->at);
  if (gw_dir_sign(half->at) > 0) body->hi[axis] -= depth;
  else body->lo[axis] += depth;
}

/* Whether some of the entering part beside its half, across `axis`, would
 * stand in the receiving part. */
static bool beside_meets(const gw_fit *fit, const gw_joint *joint, const gw_model *m, int axis) {
  const gw_span *e = &fit->seatings[joint - m->joints].e[axis];
  const gw_box *a = &fit->boxes[gw_joint_enters(m, joint)];
  const gw_box *b = &fit->boxes[gw_joint_receives(m, joint)];
  gw_len low = a->lo[axis] + e->lo, high = low + e->size;
  return least(low, b->hi[axis]) > most(a->lo[axis], b->lo[axis]) ||
         least(a->hi[axis], b->hi[axis]) > most(high, b->lo[axis]);
}

/* How far the part is cut back beside an entering half: the depth of its
 * shoulder, or 0 when there is none. */
static gw_len shoulder(const gw_fit *fit, const gw_model *m, const gw_half *half) {
  if (!half->enters || half->joint < 0) return 0;
  const gw_joint *joint = &m->joints[half->joint];
  const gw_seating *s = &fit->seatings[half->joint];
  const gw_seat seat = gw_kind_of(joint->kind)->seat;
  if (s->style == GW_CROSS) return 0;
  bool cut = s->style == GW_STRAIGHT && seat == GW_SHOULDER;
  if (s->narrow >= 0) cut = cut || beside_meets(fit, joint, m, s->narrow);
  if (s->run >= 0) cut = cut || beside_meets(fit, joint, m, s->run);
  return cut ? s->depth_e : 0;
}

/* The wood of an entering half that stands out `depth` from the body. */
static gw_box half_box(const gw_seating *s, const gw_half *half, const gw_box *whole,
                       gw_len depth) {
  gw_box box = *whole;
  int axis = s->normal;
  if (gw_dir_sign(half->at) > 0) box.lo[axis] = whole->hi[axis] - depth;
  else box.hi[axis] = whole->lo[axis] + depth;
  for (int across = 0; across < 3; ++across) {
    if (across != s->narrow && across != s->run) continue;
    box.lo[across] = whole->lo[across] + s->e[across].lo;
    box.hi[across] = box.lo[across] + s->e[across].size;
  }
  return box;
}

gw_solid gw_fit_half_solid(const gw_fit *fit, const gw_half *half, gw_box box) {
  gw_solid solid = gw_fit_solid(fit, half->part, box);
  if (!half->plumb) return solid;
  /* It stands on the level section where the shoulder is. */
  gw_len shoulder = gw_dir_sign(half->at) > 0 ? box.lo[GW_Z] : box.hi[GW_Z];
  solid.box = gw_solid_section(&solid, shoulder);
  solid.slant = (gw_slant){{0, 0, 0, 0}};
  return solid;
}

int gw_fit_wood(const gw_fit *fit, const gw_model *m, int part, gw_solid *solids, int room) {
  const gw_part *p = &m->parts[part];
  const gw_box whole = fit->boxes[part];
  gw_box body = whole;
  int count = 1;
  gw_len cut[6] = {0};
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i) {
    const gw_half *half = &m->halves[i];
    gw_len depth = shoulder(fit, m, half);
    if (depth <= 0) continue;
    if (depth > cut[half->at]) {
      cut_shoulder(&body, half, depth - cut[half->at]);
      cut[half->at] = depth;
    }
    if (count >= room) continue;
    gw_box box = half_box(&fit->seatings[half->joint], half, &whole, depth);
    solids[count++] = gw_fit_half_solid(fit, half, box);
  }
  if (room > 0) solids[0] = gw_fit_solid(fit, part, body);
  return count;
}

/* ---- the whole ---------------------------------------------------------------------- */

static gw_status make(const gw_model *m, gw_findings *findings, gw_fit *fit) {
  fit->seatings = gw_arena_alloc(fit->arena, (size_t)m->n_joints, sizeof *fit->seatings);
  fit->boxes = gw_arena_alloc(fit->arena, (size_t)m->n_parts, sizeof *fit->boxes);
  if (fit->seatings == NULL || fit->boxes == NULL) return GW_NO_MEMORY;
  size_t before = gw_findings_count_of(findings, GW_ERROR);
  GW_TRY(gw_fit_seat_all(m, findings, fit->seatings));
  /* A joint that does not seat would be blamed once more as a loop. */
  if (gw_findings_count_of(findings, GW_ERROR) > before) return GW_OK;
  bool closes;
  GW_TRY(gw_fit_place(m, findings, fit, &closes));
  fit->placed = closes;
  if (!closes) return GW_OK;
  GW_TRY(gw_fit_ends(m, fit, findings));
  GW_TRY(gw_fit_gauges(m, fit, findings, false));
  for (int i = 0; i < m->n_joints; ++i)
    GW_TRY(gw_fit_locate(m, i, fit->boxes, findings, &fit->seatings[i]));
  return gw_fit_collide(m, findings, fit);
}

gw_status gw_fit_make(const gw_model *m, gw_findings *findings, gw_fit **out) {
  gw_fit *fit = calloc(1, sizeof *fit);
  if (fit == NULL) return GW_NO_MEMORY;
  fit->arena = gw_arena_new();
  gw_status status = fit->arena == NULL ? GW_NO_MEMORY : make(m, findings, fit);
  if (status != GW_OK) {
    gw_fit_free(fit);
    return status;
  }
  *out = fit;
  return GW_OK;
}

void gw_fit_free(gw_fit *fit) {
  if (fit == NULL) return;
  gw_arena_free(fit->arena);
  free(fit);
}
