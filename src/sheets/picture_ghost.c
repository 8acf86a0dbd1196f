/* picture_ghost.c - what stands in front of joints that are to be closed: it is drawn in
 * dashes, as if one looked through it (ISO 128 has a line of its own for what lies in
 * front of a cut; from memory). */
#include <stdlib.h>
#include <string.h>

#include "sheets/picture_inner.h"

static bool is_open(const gw_sheets_job *job, const gw_apart *g, int joint) {
  const gw_joint *j = &job->model->joints[joint];
  int a = gw_joint_enters(job->model, j), b = gw_joint_receives(job->model, j);
  return g->shown[a] && g->shown[b] && g->moved[a] != g->moved[b];
}

/* Stands still, and is of no joint that is to be closed. */
static bool may_be_ghost(const gw_sheets_job *job, const gw_apart *g, int part) {
  const gw_model *m = job->model;
  const gw_part *p = &m->parts[part];
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i)
    if (m->halves[i].joint >= 0 && is_open(job, g, m->halves[i].joint)) return false;
  return !g->moved[part];
}

static gw_status add_part(gw_scene *scene, const gw_sheets_job *job, const gw_apart *g, int part) {
  gw_stand stand = {.part = part, .apart = g->apart};
  if (g->moved[part]) memcpy(stand.shift, g->shift, sizeof stand.shift);
  return gw_scene_add_part(scene, job, &stand);
}

gw_status gw_apart_add(gw_scene *scene, const gw_sheets_job *job, const gw_apart *g,
                       const bool *chosen, bool those) {
  for (int i = 0; i < g->n_parts; ++i)
    if (chosen[g->parts[i]] == those) GW_TRY(add_part(scene, job, g, g->parts[i]));
  return GW_OK;
}

/* ---- places that should be seen ------------------------------------------------------- */

typedef struct place { double p[3]; } place;
typedef struct places { place *items; size_t count, room; } places;

/* A corner, the middle of an edge or a side, or the middle of a half's space. */
static place place_of(const gw_box *box, const double shift[3], int i) {
  const int third[3] = {i % 3, i / 3 % 3, i / 9};
  place out;
  for (int axis = 0; axis < 3; ++axis)
    out.p[axis] = gw_len_mm(box->lo[axis]) + shift[axis] +
                  third[axis] * gw_len_mm(box->hi[axis] - box->lo[axis]) / 2;
  return out;
}

enum { OF_BOX = 27 };

typedef struct gathering {
  const gw_sheets_job *job;
  const gw_apart *g;
  const gw_scene *all; /* with every part */
  gw_scene core;       /* without those that may be ghosts; made when it is wanted */
  const bool *may;
  places hidden;
} gathering;

/* Where something of a part could be seen but for what stands in front of it; nothing when
 * some of it is seen. */
static gw_status gather_box(gathering *o, const gw_box *box, int part) {
  static const double still[3] = {0, 0, 0};
  const double *shift = o->g->moved[part] ? o->g->shift : still;
  for (int i = 0; i < OF_BOX; ++i) {
    place at = place_of(box, shift, i);
    if (!gw_scene_hides(o->all, at.p)) return GW_OK;
  }
  if (o->core.n_blocks == 0) GW_TRY(gw_apart_add(&o->core, o->job, o->g, o->may, false));
  for (int i = 0; i < OF_BOX; ++i) {
    place at = place_of(box, shift, i);
    places *to = &o->hidden;
    if (gw_scene_hides(&o->core, at.p)) continue;
    GW_TRY(gw_grow(&to->items, &to->room, to->count + 1, sizeof *to->items));
    to->items[to->count++] = at;
  }
  return GW_OK;
}

/* Both halves of a joint, and the parts that they are on. */
static gw_status gather_joint(gathering *o, const gw_joint *j) {
  const int halves[2] = {j->entering, j->receiving};
  for (int i = 0; i < 2; ++i) {
    int part = o->job->model->halves[halves[i]].part;
    gw_box half = gw_half_place(o->job, halves[i]), whole = gw_fit_around(o->job->fit, part);
    GW_TRY(gather_box(o, &half, part));
    GW_TRY(gather_box(o, &whole, part));
  }
  return GW_OK;
}

static gw_status gather(gathering *o) {
  for (int joint = 0; joint < o->job->model->n_joints; ++joint)
    if (is_open(o->job, o->g, joint)) GW_TRY(gather_joint(o, &o->job->model->joints[joint]));
  return GW_OK;
}

/* ---- what hides them -------------------------------------------------------------------- */

static gw_status hides_some(const gw_sheets_job *job, const gw_apart *g, gw_view view, int part,
                            const places *hidden, bool *out) {
  gw_scene alone = {.view = view};
  gw_status status = add_part(&alone, job, g, part);
  for (size_t i = 0; i < hidden->count && status == GW_OK && !*out; ++i)
    *out = gw_scene_hides(&alone, hidden->items[i].p);
  gw_scene_clear(&alone);
  return status;
}

static gw_status choose(const gw_sheets_job *job, const gw_apart *g, gw_view view,
                        const places *hidden, bool *ghost) {
  for (int i = 0; i < g->n_parts; ++i) {
    int part = g->parts[i];
    bool may = ghost[part];
    ghost[part] = false;
    if (may && hidden->count > 0)
      GW_TRY(hides_some(job, g, view, part, hidden, &ghost[part]));
  }
  return GW_OK;
}

gw_status gw_ghosts_choose(const gw_sheets_job *job, const gw_apart *g, const gw_scene *all,
                           bool *ghost, bool *any) {
  gathering o = {.job = job, .g = g, .all = all, .core = {.view = all->view}, .may = ghost};
  *any = false;
  for (int i = 0; i < g->n_parts; ++i) {
    ghost[g->parts[i]] = may_be_ghost(job, g, g->parts[i]);
    *any = *any || ghost[g->parts[i]];
  }
  if (!*any) return GW_OK;
  gw_status status = gather(&o);
  if (status == GW_OK) status = choose(job, g, all->view, &o.hidden, ghost);
  *any = false;
  for (int i = 0; i < g->n_parts; ++i) *any = *any || ghost[g->parts[i]];
  gw_scene_clear(&o.core);
  free(o.hidden.items);
  return status;
}
