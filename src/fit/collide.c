/* Two placed parts that share wood outside a joint. */
#include <stdlib.h>
#include <string.h>

#include "fit/fit.h"

/* Less than this is the play of joints, not a collision. */
static const gw_len TOUCH = GW_MM / 5;
enum { MAX_WOOD = 64, MAX_SAID = 20 };

/* A box of wood and whose it is. */
typedef struct wood {
  gw_solid solid;
  int part;
  gw_len from, to; /* along the longest axis of the piece */
} wood;

static int by_low_end(const void *left, const void *right) {
  const wood *a = left, *b = right;
  if (a->from != b->from) return a->from < b->from ? -1 : 1;
  return a->part < b->part ? -1 : a->part > b->part;
}

static bool overlap(const gw_solid *one, const gw_solid *two, gw_box *shared) {
  const gw_box *a = &one->box, *b = &two->box;
  if (gw_solid_slants(one) || gw_solid_slants(two))
    return gw_solids_share((const gw_solid *[]){one, two}, 2, TOUCH, shared);
  for (int axis = 0; axis < 3; ++axis) {
    shared->lo[axis] = a->lo[axis] > b->lo[axis] ? a->lo[axis] : b->lo[axis];
    shared->hi[axis] = a->hi[axis] < b->hi[axis] ? a->hi[axis] : b->hi[axis];
    if (shared->hi[axis] - shared->lo[axis] <= TOUCH) return false;
  }
  return true;
}

static bool inside(const gw_box *a, const gw_box *b) {
  for (int axis = 0; axis < 3; ++axis)
    if (a->lo[axis] < b->lo[axis] - TOUCH || a->hi[axis] > b->hi[axis] + TOUCH) return false;
  return true;
}

/* A half's box less its stretch along `axis`, on one side of it. */
static gw_solid beside(const gw_fit *fit, const gw_half *half, gw_len depth, const gw_span *span,
                       int axis, bool above) {
  gw_box box = fit->boxes[half->part];
  const int normal = gw_dir_axis(half->at);
  if (half->plumb && gw_dir_sign(half->at) > 0) box.lo[normal] = box.hi[normal] - depth;
  else if (half->plumb) box.hi[normal] = box.lo[normal] + depth;
  gw_len low = box.lo[axis] + span->lo;
  if (above) box.lo[axis] = low + span->size;
  else box.hi[axis] = low;
  gw_solid solid = gw_fit_half_solid(fit, half, box);
  if (axis == GW_Z) return solid;
  /* Both its sides lean as that of the half does. */
  solid.slant.side[2 * axis + above] = solid.slant.side[2 * axis + !above];
  return solid;
}

/* Whether the joint leaves some of what the two share outside its half. */
static bool strays(const gw_model *m, const gw_fit *fit, int joint, const wood *one,
                   const wood *two) {
  const gw_seating *s = &fit->seatings[joint];
  const gw_half *e = &m->halves[m->joints[joint].entering];
  for (int axis = 0; axis < 3 && s->style != GW_CROSS; ++axis)
    for (int above = 0; above < 2; ++above) {
      if (axis != s->narrow && axis != s->run) continue;
      gw_solid strip = beside(fit, e, s->depth_e, &s->e[axis], axis, above != 0);
      gw_box unused;
      if (gw_solids_share((const gw_solid *[]){&one->solid, &two->solid, &strip}, 3, TOUCH, &unused))
        return true;
    }
  return false;
}

/* Whether a joint between the two parts makes room for what they share. */
static bool allowed(const gw_model *m, const gw_fit *fit, const wood *one, const wood *two,
                    const gw_box *shared) {
  const int a = one->part, b = two->part;
  const bool slanting = gw_fit_slants(fit, a) || gw_fit_slants(fit, b);
  const gw_part *part = &m->parts[m->parts[a].n_halves < m->parts[b].n_halves ? a : b];
  for (int i = part->first_half; i < part->first_half + part->n_halves; ++i) {
    int joint = m->halves[i].joint;
    if (joint < 0) continue;
    int e = gw_joint_enters(m, &m->joints[joint]), r = gw_joint_receives(m, &m->joints[joint]);
    if (!((e == a && r == b) || (e == b && r == a))) continue;
    gw_box box = gw_fit_joint_box(fit, m, joint);
    if (slanting ? !strays(m, fit, joint, one, two) : inside(shared, &box)) return true;
  }
  return false;
}

static gw_status say(const gw_model *m, gw_findings *findings, int a, int b, const gw_box *shared) {
  char size[3][GW_LEN_TEXT];
  int later = m->parts[a].line > m->parts[b].line ? a : b, other = later == a ? b : a;
  for (int axis = 0; axis < 3; ++axis)
    gw_len_text(shared->hi[axis] - shared->lo[axis], m->units, size[axis], GW_LEN_TEXT);
  GW_TRY(gw_find(findings, GW_ERROR, "collision", m->parts[later].line,
                 "%s and %s stand in the same place: they share %s across, %s front to back and "
                 "%s in height; move or shorten one of the two", m->parts[later].id,
                 m->parts[other].id, size[0], size[1], size[2]));
  GW_TRY(gw_find_part(findings, later));
  return gw_find_part(findings, other);
}

typedef struct said {
  int a, b;
} said;

static bool said_already(const said *list, int count, int a, int b) {
  for (int i = 0; i < count; ++i)
    if ((list[i].a == a && list[i].b == b) || (list[i].a == b && list[i].b == a)) return true;
  return false;
}

/* Boxes in order along the longest axis of the piece; only those that reach far
 * enough along it are compared. */
static gw_status sweep(const gw_model *m, gw_findings *findings, const gw_fit *fit, wood *all,
                       size_t count) {
  said list[MAX_SAID];
  int n_said = 0;
  qsort(all, count, sizeof *all, by_low_end);
  for (size_t i = 0; i < count; ++i)
    for (size_t j = i + 1; j < count && all[j].from < all[i].to - TOUCH; ++j) {
      gw_box shared;
      int a = all[i].part, b = all[j].part;
      if (a == b || !overlap(&all[i].solid, &all[j].solid, &shared)) continue;
      if (allowed(m, fit, &all[i], &all[j], &shared) || said_already(list, n_said, a, b)) continue;
      if (n_said >= MAX_SAID) return GW_OK;
      list[n_said++] = (said){a, b};
      bool inside_a_third;
      /* Of solids that lean, what they share and the room of their joints are
       * taken at unlike heights. */
      gw_len play = gw_fit_slants(fit, a) || gw_fit_slants(fit, b) ? 5 * GW_MM : TOUCH;
      GW_TRY(gw_fit_say_meeting(m, findings, fit, a, b, &shared, play, &inside_a_third));
      if (!inside_a_third) GW_TRY(say(m, findings, a, b, &shared));
    }
  return GW_OK;
}

static wood wood_of(const gw_solid *solid, int part, int axis) {
  gw_box around = gw_solid_around(solid);
  return (wood){*solid, part, around.lo[axis], around.hi[axis]};
}

gw_status gw_fit_collide(const gw_model *m, gw_findings *findings, const gw_fit *fit) {
  size_t room = 0, count = 0;
  wood *all = NULL;
  gw_status status = GW_OK;
  int axis = 0;
  for (int other = 1; other < 3; ++other)
    if (fit->extent[other] > fit->extent[axis]) axis = other;
  for (int i = 0; i < m->n_parts && status == GW_OK; ++i) {
    gw_solid solids[MAX_WOOD];
    int n = gw_fit_wood(fit, m, i, solids, MAX_WOOD);
    if (n > MAX_WOOD) n = MAX_WOOD;
    status = gw_grow(&all, &room, count + (size_t)n, sizeof *all);
    for (int k = 0; k < n && status == GW_OK; ++k) all[count++] = wood_of(&solids[k], i, axis);
  }
  if (status == GW_OK) status = sweep(m, findings, fit, all, count);
  free(all);
  return status;
}
