/* How long an action takes and how much is glued.
 *
 * All rates are hand figures for planning only (common practice, no source):
 * a rehearsal replaces them. */
#include "clock/clock.h"

enum {
  BRING_S = 20,        /* offer and seat a part with one joint: 20 to 40 s */
  BRING_MORE_S = 10,   /* each further joint to line up */
  CLAMP_S = 20,        /* set one clamp: 15 to 25 s */
  SQUARE_S = 30,       /* check the diagonals */
  SPREAD_LEAST_S = 10
};

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

int gw_work_spread(const gw_planning *p, int joint) {
  const gw_kind_row *kind = gw_kind_of(p->m->joints[joint].kind);
  int count = p->fit->seatings[joint].count;
  double share = 1;
  if (kind->per == GW_FIVE) share = count > 0 ? count / 5.0 : 1;
  if (kind->per == GW_SPAN) share = run_mm(p, joint) / 300;
  if (kind->per == GW_METRE) share = run_mm(p, joint) / 1000;
  int seconds = (int)(kind->spread_s * share + 0.5);
  return seconds < SPREAD_LEAST_S ? SPREAD_LEAST_S : seconds;
}

int gw_work_bring(const gw_planning *p, int join) {
  const gw_join *j = &p->order->joins[join];
  int more = j->n_joints > 1 ? j->n_joints - 1 : 0;
  return BRING_S + BRING_MORE_S * more;
}

int gw_work_clamp(int clamps) { return clamps > 0 ? clamps * CLAMP_S + SQUARE_S : 0; }

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
