/* How long an action takes and how much is glued.
 *
 * All rates are hand figures for planning only (common practice, no source);
 * the file's own replace them, and the times of a rehearsal replace both. */
#include <stdlib.h>

#include "clock/inside.h"

enum {
  BRING_S = 20,        /* offer and seat a part with one joint: 20 to 40 s */
  BRING_MORE_S = 10,   /* each further joint to line up */
  CLAMP_S = 20,        /* set one clamp: 15 to 25 s */
  SQUARE_S = 30,       /* check the diagonals */
  SPREAD_LEAST_S = 10,
  HEAVY_G = 12000,     /* more than this is held by two (common practice, no source) */
  MANY = 4             /* so many joints are started by two */
};
static const gw_len LONG = 1200 * GW_MM; /* a longer part has one person at each end */

static const gw_rate *own_rate(const gw_model *m, gw_rate_action action, gw_kind kind) {
  for (int i = 0; i < m->n_rates; ++i)
    if (m->rates[i].action == action && m->rates[i].kind == kind) return &m->rates[i];
  return NULL;
}

static gw_work rate_of(const gw_model *m, gw_rate_action action, int typical_s) {
  const gw_rate *own = own_rate(m, action, GW_NO_KIND);
  if (own == NULL) return (gw_work){typical_s, GW_TYPICAL_RATE};
  return (gw_work){own->seconds, GW_OWN_RATE};
}

/* ---- spreading ------------------------------------------------------------------------------- */

/* Length in mm over which a joint runs. */
static double run_mm(const gw_planning *p, int joint) {
  gw_box box = gw_fit_joint_box(p->fit, p->m, joint);
  const gw_seating *s = &p->fit->seatings[joint];
  gw_len longest = 0;
  for (int axis = 0; axis < 3; ++axis)
    if (axis != s->normal && box.hi[axis] - box.lo[axis] > longest)
      longest = box.hi[axis] - box.lo[axis];
  return gw_len_mm(longest);
}

/* How many times what the kind's rate is for: a joint, five tails, 300 mm or a
 * metre. */
static double share_of(const gw_planning *p, int joint) {
  int count = p->fit->seatings[joint].count;
  switch (gw_kind_of(p->m->joints[joint].kind)->per) {
    case GW_FIVE: return count > 0 ? count / 5.0 : 1;
    case GW_SPAN: return run_mm(p, joint) / 300;
    case GW_METRE: return run_mm(p, joint) / 1000;
    case GW_EACH: break;
  }
  return 1;
}

/* Half the wood takes half the time (our own, no source). */
static bool one_face(const gw_planning *p, int joint) {
  int glue = p->m->joints[joint].glue;
  return p->options->one_face && glue >= 0 && p->clock->uses[glue].kind->faces.value == 1;
}

static gw_work spread(const gw_planning *p, int joint) {
  gw_kind kind = p->m->joints[joint].kind;
  const gw_rate *of_kind = own_rate(p->m, GW_RATE_SPREAD, kind);
  const gw_rate *any = own_rate(p->m, GW_RATE_SPREAD, GW_NO_KIND);
  double seconds = gw_kind_of(kind)->spread_s * share_of(p, joint);
  if (of_kind != NULL) seconds = of_kind->seconds * share_of(p, joint);
  else if (any != NULL) seconds = any->seconds;
  bool own = of_kind != NULL || any != NULL;
  if (one_face(p, joint)) seconds /= 2;
  int whole = (int)(seconds + 0.5), least = own ? 1 : SPREAD_LEAST_S;
  return (gw_work){whole < least ? least : whole, own ? GW_OWN_RATE : GW_TYPICAL_RATE};
}

/* ---- bringing together, clamping ------------------------------------------------------------- */

static gw_work bring(const gw_planning *p, int join) {
  const gw_join *j = &p->order->joins[join];
  gw_work work = rate_of(p->m, GW_RATE_BRING, BRING_S);
  if (j->n_joints > 1) work.seconds += BRING_MORE_S * (j->n_joints - 1);
  return work;
}

gw_work gw_work_clamp(const gw_planning *p, int clamps) {
  gw_work one = rate_of(p->m, GW_RATE_CLAMP, CLAMP_S),
          square = rate_of(p->m, GW_RATE_SQUARE, SQUARE_S);
  if (clamps == 0) return square;
  int part = p->options->clamp_pc > 0 ? p->options->clamp_pc : 100;
  one.seconds = (clamps * one.seconds * part + 99) / 100 + square.seconds;
  return one;
}

/* Two people where there are two, when more than two bodies, a heavy or a long one
 * must be held, or many joints started at once.  Common practice, no source. */
static int people_for(const gw_planning *p, int join) {
  const gw_join *j = &p->order->joins[join];
  double grams = 0;
  bool is_long = false;
  if (p->m->shop.hands < 2) return 1;
  for (int i = 0; i < j->n_moving; ++i) {
    const gw_part *part = &p->m->parts[j->moving[i]];
    grams += gw_len_mm(part->length) * gw_len_mm(part->width) * gw_len_mm(part->thickness) / 1e6 *
             part->density;
    is_long = is_long || part->length > LONG;
  }
  return j->bodies > 2 || grams > HEAVY_G || is_long || j->n_joints >= MANY ? 2 : 1;
}

/* ---- all of them ----------------------------------------------------------------------------- */

static void fill_join(gw_planning *p, int join) {
  const gw_join *j = &p->order->joins[join];
  p->bring[join] = bring(p, join);
  p->hands[join] = people_for(p, join);
  p->clamped_s[join] = -1;
  for (int i = 0; i < j->n_joints; ++i) {
    const gw_joint *joint = &p->m->joints[j->joints[i]];
    p->glued[join] += joint->glued;
    if (joint->glued && gw_kind_of(joint->kind)->clamp) p->pressure[join] = true;
  }
}

static void take_time(gw_planning *p, const gw_time *time) {
  gw_work work = {time->seconds, GW_REHEARSED};
  if (time->action == GW_SPREAD) {
    for (int i = 0; i < p->m->n_joints; ++i)
      if (p->m->joints[i].glued && atoi(p->marks->joints[i].text) == time->number)
        p->spread[i] = work;
  } else if (time->number >= 1 && time->number <= p->order->n_joins) {
    if (time->action == GW_BRING) p->bring[time->number - 1] = work;
    else p->clamped_s[time->number - 1] = time->seconds;
  }
}

gw_status gw_work_fill(gw_planning *p) {
  size_t joints = (size_t)p->m->n_joints, joins = (size_t)p->order->n_joins;
  gw_arena *arena = p->clock->arena;
  p->spread = gw_arena_alloc(arena, joints + 1, sizeof *p->spread);
  p->bring = gw_arena_alloc(arena, joins + 1, sizeof *p->bring);
  p->hands = gw_arena_alloc(arena, joins + 1, sizeof *p->hands);
  p->pressure = gw_arena_alloc(arena, joins + 1, sizeof *p->pressure);
  p->glued = gw_arena_alloc(arena, joins + 1, sizeof *p->glued);
  p->clamped_s = gw_arena_alloc(arena, joins + 1, sizeof *p->clamped_s);
  if (p->spread == NULL || p->bring == NULL || p->hands == NULL || p->pressure == NULL ||
      p->glued == NULL || p->clamped_s == NULL)
    return GW_NO_MEMORY;
  for (int i = 0; i < p->m->n_joints; ++i)
    if (p->m->joints[i].glued) p->spread[i] = spread(p, i);
  for (int i = 0; i < p->order->n_joins; ++i) fill_join(p, i);
  const gw_times *times = p->options->times;
  for (int i = 0; times != NULL && i < times->count; ++i) take_time(p, &times->items[i]);
  return GW_OK;
}

/* ---- areas ----------------------------------------------------------------------------------- */

static double side(const gw_box *box, int axis) { return gw_len_mm(box->hi[axis] - box->lo[axis]); }

/* The faces that bear glue: the two cheeks of a tenon or tongue, the flanks of
 * tails, the floor and walls of a housing, the whole of a flat joint. */
double gw_work_area(const gw_planning *p, int joint) {
  const gw_seating *s = &p->fit->seatings[joint];
  gw_box box = gw_fit_joint_box(p->fit, p->m, joint);
  const int n = s->normal;
  if (s->style == GW_CORNER) {
    int third = 3 - n - s->second;
    int count = s->count > 0 ? s->count : 1;
    if (gw_kind_of(p->m->joints[joint].kind)->per == GW_FIVE)
      return 2.0 * count * side(&box, n) * side(&box, s->second); /* flanks */
    return side(&box, third) * (side(&box, n) > side(&box, s->second) ? side(&box, n)
                                                                       : side(&box, s->second));
  }
  double deep = side(&box, n), wide = 0, area = 1;
  for (int axis = 0; axis < 3; ++axis) {
    if (axis == n) continue;
    area *= side(&box, axis);
    if (side(&box, axis) > wide) wide = side(&box, axis);
  }
  return deep <= 0 ? area : 2 * deep * wide + (s->depth_e == s->depth_r ? area : 0);
}

/* A clamp presses the faces square to its pull: a floor, a butted face.  The
 * cheeks of a tenon and the flanks of fingers are pressed by their fit, and the
 * clamp only brings the shoulder home, for which no force is published. */
double gw_work_pressed(const gw_planning *p, int joint, int axis) {
  gw_seat seat = gw_kind_of(p->m->joints[joint].kind)->seat;
  if (seat != GW_FLOOR && seat != GW_FACE) return 0;
  gw_box box = gw_fit_joint_box(p->fit, p->m, joint);
  return side(&box, (axis + 1) % 3) * side(&box, (axis + 2) % 3);
}
