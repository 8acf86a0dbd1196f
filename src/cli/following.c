#include "cli/following.h"

#include <stdlib.h>

gw_status gw_following_make(const gw_job *job, gw_following *f) {
  const gw_clock *clock = job->clock;
  *f = (gw_following){.job = job};
  for (int k = 0; k < clock->n_stages; ++k) f->count += clock->stages[k].n_steps;
  f->items = calloc((size_t)f->count + 1, sizeof *f->items);
  f->begun_ms = calloc((size_t)clock->n_stages + 1, sizeof *f->begun_ms);
  if (f->items == NULL || f->begun_ms == NULL) return GW_NO_MEMORY;
  for (int k = 0, n = 0; k < clock->n_stages; ++k) {
    f->begun_ms[k] = -1;
    for (int i = 0; i < clock->stages[k].n_steps; ++i)
      f->items[n++] =
          (gw_follow_item){.stage = k, .step = &clock->stages[k].steps[i], .done_ms = -1};
  }
  return GW_OK;
}

void gw_following_clear(gw_following *f) {
  free(f->items);
  free(f->begun_ms);
}

/* ---- going on and back ----------------------------------------------------------------------- */

bool gw_following_waits(const gw_following *f, int *stage) {
  if (f->at >= f->count) return false;
  *stage = f->items[f->at].stage;
  return f->begun_ms[*stage] < 0;
}

void gw_following_done(gw_following *f, int64_t now_ms) {
  int stage;
  if (f->at >= f->count) return;
  if (gw_following_waits(f, &stage)) f->begun_ms[stage] = now_ms;
  else f->items[f->at++].done_ms = now_ms;
}

void gw_following_back(gw_following *f) {
  int stage = f->at < f->count ? f->items[f->at].stage : -1;
  bool first = stage >= 0 && (f->at == 0 || f->items[f->at - 1].stage != stage);
  if (first && f->begun_ms[stage] >= 0) f->begun_ms[stage] = -1;
  else if (f->at > 0) f->items[--f->at].done_ms = -1;
}

/* ---- times ----------------------------------------------------------------------------------- */

/* What of an earlier step of the stage must be done before a step begins. */
static bool waits_for(const gw_following *f, const gw_step *step, const gw_step *earlier) {
  if (earlier->hand == step->hand || step->action == GW_CLAMP) return true;
  if (step->action != GW_BRING) return false;
  if (earlier->action == GW_SPREAD) return earlier->join == step->join;
  return earlier->action == GW_BRING && f->job->order->joins[earlier->join].parent == step->join;
}

int64_t gw_following_began(const gw_following *f, int item) {
  const gw_follow_item *it = &f->items[item];
  int64_t began = f->begun_ms[it->stage];
  for (int i = item - 1; i >= 0 && f->items[i].stage == it->stage; --i)
    if (f->items[i].done_ms > began && waits_for(f, it->step, f->items[i].step))
      began = f->items[i].done_ms;
  return began;
}

static bool wants_pressure(const gw_job *job, int join) {
  const gw_join *j = &job->order->joins[join];
  for (int i = 0; i < j->n_joints; ++i) {
    const gw_joint *joint = &job->model->joints[j->joints[i]];
    if (joint->glued && gw_kind_of(joint->kind)->clamp) return true;
  }
  return false;
}

/* The earliest of two, where -1 is none. */
static int64_t earlier_of(int64_t a, int64_t b) { return a < 0 ? b : b < 0 || a < b ? a : b; }

static int planned_bring(const gw_stage *stage, int join) {
  for (int i = 0; i < stage->n_steps; ++i)
    if (stage->steps[i].action == GW_BRING && stage->steps[i].join == join)
      return stage->steps[i].end_s - stage->steps[i].start_s;
  return 0;
}

int64_t gw_following_deadline(const gw_following *f, int item) {
  const gw_follow_item *it = &f->items[item];
  const gw_stage *stage = &f->job->clock->stages[it->stage];
  if (stage->glue < 0) return -1;
  const gw_glue_use *use = &f->job->clock->uses[stage->glue];
  int64_t by = -1;
  for (int i = 0; i < f->count; ++i) {
    const gw_follow_item *other = &f->items[i];
    if (other->stage != it->stage || i > f->at) continue;
    const gw_step *s = other->step;
    if (it->step->action == GW_CLAMP) {
      if (s->action == GW_BRING && other->done_ms >= 0 && wants_pressure(f->job, s->join))
        by = earlier_of(by, other->done_ms + (int64_t)use->closed_s * 1000);
    } else if (s->action == GW_SPREAD && s->join == it->step->join) {
      by = earlier_of(by, gw_following_began(f, i) + (int64_t)use->open_s * 1000);
    }
  }
  if (by < 0 || it->step->action != GW_SPREAD) return by;
  return by - (int64_t)planned_bring(stage, it->step->join) * 1000;
}

int64_t gw_following_zero(const gw_following *f, int stage) {
  for (int i = 0; i < f->count && i <= f->at; ++i)
    if (f->items[i].stage == stage && f->items[i].step->action == GW_SPREAD &&
        f->begun_ms[stage] >= 0)
      return gw_following_began(f, i);
  return -1;
}

/* When the last step of a stage was done; -1: not yet. */
static int64_t stage_done(const gw_following *f, int stage) {
  int64_t done = -1;
  for (int i = 0; i < f->count; ++i) {
    if (f->items[i].stage != stage) continue;
    if (f->items[i].done_ms < 0) return -1;
    if (f->items[i].done_ms > done) done = f->items[i].done_ms;
  }
  return done;
}

static bool takes_up(const gw_job *job, const gw_stage *stage, const gw_stage *before) {
  for (int i = 0; i < stage->n_joins; ++i)
    for (int k = 0; k < before->n_joins; ++k) {
      const gw_join *j = &job->order->joins[stage->joins[i]];
      if (j->moving_join == before->joins[k] || j->onto_join == before->joins[k]) return true;
    }
  return false;
}

int64_t gw_following_free(const gw_following *f, int stage) {
  const gw_clock *clock = f->job->clock;
  int64_t last = -1;
  for (int k = 0; k < stage; ++k) {
    int64_t done = stage_done(f, k);
    if (done < 0 || !takes_up(f->job, &clock->stages[stage], &clock->stages[k])) continue;
    int64_t off = done + (int64_t)clock->stages[k].clamp_s * 1000;
    if (off > last) last = off;
  }
  return last;
}

void gw_following_seconds(const gw_following *f, int *real_s) {
  for (int i = 0; i < f->count; ++i) {
    real_s[i] = -1;
    if (f->items[i].done_ms >= 0)
      real_s[i] = (int)((f->items[i].done_ms - gw_following_began(f, i) + 500) / 1000);
  }
}
