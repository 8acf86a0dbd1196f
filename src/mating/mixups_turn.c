/* Rigid turns, and whether a turned part would go into a place. */
#include <stdlib.h>
#include <string.h>

#include "mating/mixups_inside.h"

/* The six orders of the axes in turn.  Of the eight ways to flip axes, those with
 * an even number of flips keep an even order right-handed, those with an odd
 * number an odd one. */
gw_turn gw_turn_at(int index) {
  static const gw_turn turns[GW_TURNS] = {
      {{0, 1, 2}, {0, 0, 0}}, {{0, 1, 2}, {1, 1, 0}},
      {{0, 1, 2}, {1, 0, 1}}, {{0, 1, 2}, {0, 1, 1}},
      {{0, 2, 1}, {1, 0, 0}}, {{0, 2, 1}, {0, 1, 0}},
      {{0, 2, 1}, {0, 0, 1}}, {{0, 2, 1}, {1, 1, 1}},
      {{1, 0, 2}, {1, 0, 0}}, {{1, 0, 2}, {0, 1, 0}},
      {{1, 0, 2}, {0, 0, 1}}, {{1, 0, 2}, {1, 1, 1}},
      {{1, 2, 0}, {0, 0, 0}}, {{1, 2, 0}, {1, 1, 0}},
      {{1, 2, 0}, {1, 0, 1}}, {{1, 2, 0}, {0, 1, 1}},
      {{2, 0, 1}, {0, 0, 0}}, {{2, 0, 1}, {1, 1, 0}},
      {{2, 0, 1}, {1, 0, 1}}, {{2, 0, 1}, {0, 1, 1}},
      {{2, 1, 0}, {1, 0, 0}}, {{2, 1, 0}, {0, 1, 0}},
      {{2, 1, 0}, {0, 0, 1}}, {{2, 1, 0}, {1, 1, 1}}};
  return turns[index];
}

gw_dir gw_turn_dir(const gw_turn *turn, gw_dir dir) {
  int axis = gw_dir_axis(dir), sign = gw_dir_sign(dir);
  return gw_dir_of(turn->axis[axis], turn->flip[axis] ? -sign : sign);
}

bool gw_mixup_room(const gw_model *m, gw_kind kind, gw_len entering, gw_len receiving) {
  const gw_kind_row *row = gw_kind_of(kind);
  gw_len tight = (gw_len)row->tight_um * GW_MM / 1000, loose = (gw_len)row->loose_um * GW_MM / 1000;
  for (int i = 0; i < m->n_fits; ++i) {
    if (m->fits[i].kind != kind) continue;
    tight = m->fits[i].tight;
    loose = m->fits[i].loose;
  }
  return receiving - entering >= tight && receiving - entering <= loose;
}

typedef struct looking {
  const gw_model *m;
  const gw_fit *fit;
  const gw_part *part, *place;
  const gw_turn *turn;
} looking;

static const gw_half *mate_of(const gw_model *m, const gw_half *half) {
  const gw_joint *joint = &m->joints[half->joint];
  return &m->halves[half->enters ? joint->receiving : joint->entering];
}

/* Along an axis of the part: is the half there, turned, where the other is? */
static bool same_span(const looking *l, const gw_half *g, const gw_half *h, int axis) {
  const gw_seating *sg = &l->fit->seatings[g->joint], *sh = &l->fit->seatings[h->joint];
  int to = l->turn->axis[axis];
  gw_span from = g->enters ? sg->e[axis] : sg->r[axis];
  gw_span there = h->enters ? sh->e[to] : sh->r[to];
  gw_len lo = l->turn->flip[axis] ? l->part->size[axis] - from.lo - from.size : from.lo;
  gw_kind kind = l->m->joints[h->joint].kind;
  bool by_fit = to == sh->narrow && gw_kind_of(kind)->seat != GW_FACE;
  if (!by_fit) return gw_mixup_near(lo, there.lo) && gw_mixup_near(from.size, there.size);
  gw_len off = (from.size - there.size) / 2; /* about the same middle */
  if (!gw_mixup_near(lo + off, there.lo)) return false;
  return g->enters ? gw_mixup_room(l->m, kind, from.size, sh->r[to].size)
                   : gw_mixup_room(l->m, kind, sh->e[to].size, from.size);
}

/* A dovetailed halving's socket takes its tail with the wider end one way only. */
static bool widens_alike(const looking *l, const gw_half *g, const gw_half *h) {
  if (l->m->joints[g->joint].kind != GW_DOVETAIL_HALVING) return true;
  return gw_turn_dir(l->turn, gw_fit_wide_end(l->fit, l->m, g->joint)) ==
         gw_fit_wide_end(l->fit, l->m, h->joint);
}

static bool half_goes(const looking *l, const gw_half *g, const gw_half *h) {
  if (g->element != h->element || gw_turn_dir(l->turn, g->at) != h->at) return false;
  if (g->joint < 0 || h->joint < 0) return false;
  if (l->m->joints[g->joint].kind != l->m->joints[h->joint].kind) return false;
  if (gw_turn_dir(l->turn, mate_of(l->m, g)->at) != mate_of(l->m, h)->at) return false;
  const gw_seating *sg = &l->fit->seatings[g->joint], *sh = &l->fit->seatings[h->joint];
  if (sg->style != sh->style || sg->slope != sh->slope || sg->count != sh->count) return false;
  if (!gw_mixup_near(g->enters ? sg->depth_e : sg->depth_r, h->enters ? sh->depth_e : sh->depth_r))
    return false;
  for (int axis = 0; axis < 3; ++axis) {
    int to = l->turn->axis[axis];
    bool across = sh->style == GW_CROSS ? to != sh->normal : to == sh->narrow || to == sh->run;
    if (across && !same_span(l, g, h, axis)) return false;
  }
  return widens_alike(l, g, h);
}

static bool sizes_go(const looking *l) {
  for (int axis = 0; axis < 3; ++axis)
    if (!gw_mixup_near(l->part->size[axis], l->place->size[l->turn->axis[axis]])) return false;
  return true;
}

/* What leans goes in only so that it leans the same way again, and ends that are
 * cut aslant must slant alike: over the height of the part to what is near. */
static bool slants_go(const looking *l, int part, int place) {
  const gw_len high = l->part->size[GW_Z];
  if (!gw_fit_slants(l->fit, part) && !gw_fit_slants(l->fit, place)) return true;
  if (l->turn->axis[GW_Z] != GW_Z) return false;
  for (int side = 0; side < 4; ++side) {
    gw_dir to = gw_turn_dir(l->turn, (gw_dir)side);
    bool changed = l->turn->flip[side / 2] != l->turn->flip[GW_Z];
    int32_t own = l->fit->slants[part].side[side];
    int32_t there = l->fit->slants[place].side[to];
    if (!gw_mixup_near(gw_lean_shift(changed ? -own : own, high), gw_lean_shift(there, high)))
      return false;
  }
  return true;
}

/* Halves are told apart by their spots, so the first that goes is the one. */
static bool all_go(const looking *l, bool *used) {
  const gw_half *own = &l->m->halves[l->part->first_half];
  const gw_half *there = &l->m->halves[l->place->first_half];
  for (int i = 0; i < l->place->n_halves; ++i) {
    int found = -1;
    for (int k = 0; k < l->part->n_halves && found < 0; ++k)
      if (!used[k] && half_goes(l, &own[k], &there[i])) found = k;
    if (found < 0) return false;
    used[found] = true;
  }
  return true;
}

enum { FEW = 64 };

bool gw_mixup_goes(const gw_model *m, const gw_fit *fit, int part, int place, const gw_turn *turn) {
  looking l = {m, fit, &m->parts[part], &m->parts[place], turn};
  bool used[FEW] = {false};
  /* A part with more joints than that is told from others by its size alone. */
  if (l.part->n_halves != l.place->n_halves || l.part->n_halves > FEW) return false;
  return sizes_go(&l) && slants_go(&l, part, place) && all_go(&l, used);
}
