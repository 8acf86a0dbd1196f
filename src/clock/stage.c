/* One stage: from the joins of the order to plain numbers, and back. */
#include <stdlib.h>

#include "clock/inside.h"

/* ---- the joins in numbers -------------------------------------------------------------------- */

/* The glue of all glued joints; where there is more than one, that with the
 * shortest open time. */
static void find_glue(gw_staging *s) {
  const gw_planning *p = s->p;
  s->glue = -1;
  s->mixed = false;
  for (int i = s->first; i < s->last; ++i)
    for (int k = 0; k < p->order->joins[i].n_joints; ++k) {
      const gw_joint *joint = &p->m->joints[p->order->joins[i].joints[k]];
      if (!joint->glued || joint->glue == s->glue) continue;
      s->mixed = s->mixed || s->glue >= 0;
      if (s->glue < 0 || p->clock->uses[joint->glue].open_s < p->clock->uses[s->glue].open_s)
        s->glue = joint->glue;
    }
}

static void list_join(gw_staging *s, int join) {
  const gw_planning *p = s->p;
  const gw_join *j = &p->order->joins[join];
  gw_plan_join *numbers = &s->joins[join - s->first];
  *numbers =
      (gw_plan_join){.parent = j->parent >= 0 && j->parent < s->last ? j->parent - s->first : -1,
                     .first = s->plan.n_spreads,
                     .bring_s = p->bring[join].seconds,
                     .hands = p->hands[join],
                     .pressure = p->pressure[join]};
  for (int i = 0; i < j->n_joints; ++i) {
    if (!p->m->joints[j->joints[i]].glued) continue;
    s->joint[s->plan.n_spreads] = j->joints[i];
    s->spread_s[s->plan.n_spreads++] = p->spread[j->joints[i]].seconds;
    ++numbers->spreads;
  }
}

/* Diagonals are checked also where nothing needs a clamp. */
static gw_status list_clamps(gw_staging *s) {
  s->clamp = (gw_work){0, GW_TYPICAL_RATE};
  s->pulls.count = 0;
  if (s->glue < 0) return GW_OK;
  GW_TRY(gw_clock_pulls(s->p, s->first, s->last, s->glue, &s->pulls));
  s->clamp = gw_work_clamp(s->p, gw_pulls_sum(s->pulls.items, s->pulls.count, true));
  if (s->p->clamped_s[s->last - 1] > 0)
    s->clamp = (gw_work){s->p->clamped_s[s->last - 1], GW_REHEARSED};
  return GW_OK;
}

static int kept(int limit_s, int margin_pc) {
  return (int)((int64_t)limit_s * (100 - margin_pc) / 100);
}

/* A limit of nought would be none. */
static void set_limits(gw_staging *s, int margin_pc) {
  if (s->glue < 0) return;
  const gw_glue_use *use = &s->p->clock->uses[s->glue];
  s->plan.open_s = kept(use->open_s, margin_pc);
  s->plan.closed_s = kept(use->closed_s, margin_pc);
  if (s->plan.open_s < 1) s->plan.open_s = 1;
  if (s->plan.closed_s < 1) s->plan.closed_s = 1;
  s->plan.pot_s = kept(use->pot_s, margin_pc);
}

static gw_status list_all(gw_staging *s, int first, int last) {
  s->first = first;
  s->last = last;
  s->plan = (gw_plan){.joins = s->joins, .n_joins = last - first, .spread_s = s->spread_s,
                      .people = s->p->m->shop.hands, .effort = &s->effort};
  find_glue(s);
  for (int i = first; i < last; ++i) list_join(s, i);
  GW_TRY(list_clamps(s));
  s->plan.clamp_s = s->clamp.seconds;
  s->answer = (gw_plan_answer){.start = s->start};
  return GW_OK;
}

/* ---- planning ---------------------------------------------------------------------------------
 */

gw_status gw_stage_try(gw_staging *s, int first, int last) {
  GW_TRY(list_all(s, first, last));
  set_limits(s, s->p->m->shop.margin_pc);
  GW_TRY(gw_pulls_fit(&s->p->m->shop, &s->pulls, false, &s->enough));
  /* Two bottles are two stages, and so are more clamps than there are. */
  if (last - first > 1 && (s->mixed || !s->enough)) {
    s->fits = false;
    s->proven = true;
    return GW_OK;
  }
  GW_TRY(gw_plan_solve(&s->plan, &s->answer));
  s->fits = s->answer.fits;
  s->proven = s->answer.proven;
  if (s->fits || last - first > 1) return GW_OK;
  set_limits(s, 0);
  return gw_plan_solve(&s->plan, &s->answer);
}

int gw_stage_margin(const gw_staging *s) {
  if (s->glue < 0) return 1001;
  int open = s->p->clock->uses[s->glue].open_s;
  return open <= 0 ? -1000 : (int)(((int64_t)open - s->answer.open_s) * 1000 / open);
}

/* ---- writing down ---------------------------------------------------------------------------- */

static void sum_up(const gw_staging *s, gw_stage *stage) {
  stage->fits = s->fits;
  stage->proven = s->proven;
  if (s->glue < 0) return;
  const gw_glue_use *use = &s->p->clock->uses[s->glue];
  stage->wet_s = s->answer.open_s;
  stage->limit_s = use->open_s;
  stage->margin_pm = gw_stage_margin(s);
  stage->closed_s = s->answer.closed_s;
  stage->clamp_s = use->clamp_s;
  stage->cure_s = use->cure_s;
  for (int i = 0; i < s->plan.n_spreads; ++i) stage->area_mm2 += gw_work_area(s->p, s->joint[i]);
  stage->grams = stage->area_mm2 / 1e6 * use->spread_gm2;
}

static gw_status copy_lists(const gw_staging *s, gw_stage *stage) {
  gw_arena *arena = s->p->clock->arena;
  stage->n_joins = s->last - s->first;
  stage->joins = gw_arena_alloc(arena, (size_t)stage->n_joins, sizeof *stage->joins);
  stage->n_pulls = s->pulls.count;
  stage->pulls = gw_arena_alloc(arena, (size_t)stage->n_pulls + 1, sizeof *stage->pulls);
  if (stage->joins == NULL || stage->pulls == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < stage->n_joins; ++i) stage->joins[i] = s->first + i;
  for (int i = 0; i < stage->n_pulls; ++i) stage->pulls[i] = s->pulls.items[i];
  return GW_OK;
}

gw_status gw_stage_keep(gw_staging *s, int first, int last, gw_stage *out) {
  GW_TRY(gw_stage_try(s, first, last));
  GW_TRY(gw_plan_shorten(&s->plan, &s->answer));
  GW_TRY(gw_pulls_fit(&s->p->m->shop, &s->pulls, true, &s->enough));
  *out = (gw_stage){.glue = s->glue};
  GW_TRY(copy_lists(s, out));
  sum_up(s, out);
  return gw_stage_steps(s, out);
}

/* ---- room ------------------------------------------------------------------------------------ */

gw_status gw_staging_make(gw_planning *p, gw_staging *out) {
  size_t joins = (size_t)p->order->n_joins + 1, joints = (size_t)p->m->n_joints + 1;
  *out =
      (gw_staging){.p = p, .effort = p->options->effort > 0 ? p->options->effort : GW_CLOCK_EFFORT};
  out->joins = calloc(joins, sizeof *out->joins);
  out->spread_s = calloc(joints, sizeof *out->spread_s);
  out->joint = calloc(joints, sizeof *out->joint);
  out->start = calloc(joins + joints + 1, sizeof *out->start);
  if (out->joins == NULL || out->spread_s == NULL || out->joint == NULL || out->start == NULL)
    return GW_NO_MEMORY;
  return GW_OK;
}

void gw_staging_clear(gw_staging *s) {
  free(s->joins);
  free(s->spread_s);
  free(s->joint);
  free(s->start);
}
