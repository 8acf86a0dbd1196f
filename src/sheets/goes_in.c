#include "sheets/goes_in.h"

#include "sheets/session.h"

static bool has_shoulder(const gw_sheets_job *job, int joint) {
  return gw_kind_of(job->model->joints[joint].kind)->seat == GW_SHOULDER;
}

static gw_len placed_depth(const gw_sheets_job *job, int joint) {
  const gw_seating *s = &job->fit->seatings[joint];
  if (!job->fit->placed || has_shoulder(job, joint) || s->style == GW_CROSS) return s->depth_e;
  gw_box box = gw_fit_joint_box(job->fit, job->model, joint);
  gw_len in = box.hi[s->normal] - box.lo[s->normal];
  /* Of parts that lean nothing is round. */
  return job->fit->slants == NULL ? in : gw_len_fine(in, job->model->units);
}

gw_depths gw_goes_in(const gw_sheets_job *job, int joint) {
  const gw_joint *j = &job->model->joints[joint];
  const gw_seating *s = &job->fit->seatings[joint];
  gw_depths d = {0, 0, 0};
  if (gw_kind_of(j->kind)->seat == GW_FACE || s->depth_e <= 0) return d;
  d.in = placed_depth(job, joint);
  if (j->kind == GW_REBATE) d.deep = s->depth_e;
  else if (s->style == GW_STRAIGHT && !job->model->halves[j->receiving].through)
    d.deep = s->depth_r;
  if (!has_shoulder(job, joint) && d.deep > d.in) d.room = d.deep - d.in;
  return d;
}

const char *gw_half_words(gw_arena *arena, const gw_half *half) {
  char *words = gw_arena_text(arena, half->element);
  for (char *at = words; at != NULL && *at != '\0'; ++at)
    if (*at == '-') *at = ' ';
  return words;
}

/* ", groove 10 mm deep": where the half does not fill it, and of what floats always. */
static const char *deep_words(const gw_sheets_job *job, gw_arena *arena, int joint,
                              const gw_depths *d) {
  const gw_joint *j = &job->model->joints[joint];
  bool floats = gw_kind_of(j->kind)->seat == GW_FLOAT && job->fit->placed;
  if (job->model->halves[j->receiving].through) return ", right through";
  if (d->deep == 0 || (d->deep <= d->in && !floats)) return "";
  const char *deep = gw_session_length(job, arena, d->deep);
  const char *what = gw_half_words(arena, &job->model->halves[j->receiving]);
  const char *room = d->room > 0 ? gw_session_length(job, arena, d->room) : "no";
  if (deep == NULL || what == NULL || room == NULL) return NULL;
  const char *along = j->kind == GW_REBATE ? " wide" : " deep";
  if (d->room == 0 && !floats) return gw_arena_printf(arena, ", %s %s%s", what, deep, along);
  return gw_arena_printf(arena, ", %s %s%s: %s room", what, deep, along, room);
}

const char *gw_goes_in_words(const gw_sheets_job *job, gw_arena *arena, int joint) {
  gw_depths d = gw_goes_in(job, joint);
  if (d.in <= 0) return "";
  const char *in = gw_session_length(job, arena, d.in);
  const char *deep = deep_words(job, arena, joint, &d);
  if (in == NULL || deep == NULL) return NULL;
  return gw_arena_printf(arena, "goes in %s%s", in, deep);
}
