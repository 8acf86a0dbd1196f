#include "clock/clock.h"

#include <stdlib.h>
#include <string.h>

#include "clock/cutting.h"
#include "clock/inside.h"

char *gw_time_text(int64_t seconds, char *buffer, size_t size) {
  const char *sign = seconds < 0 ? "-" : "";
  if (seconds < 0) seconds = -seconds;
  long long h = seconds / 3600, m = seconds / 60 % 60, s = seconds % 60;
  if (h > 0) snprintf(buffer, size, "%s%lld:%02lld:%02lld", sign, h, m, s);
  else snprintf(buffer, size, "%s%lld:%02lld", sign, m, s);
  return buffer;
}

/* ---- cutting the order into stages ----------------------------------------------------------- */

/* A row of runs that begin with the same join, grown one join at a time. */
typedef struct row {
  gw_planning *p;
  gw_staging staging;
  int last_parent; /* the latest join that takes up one of the run but its last */
  int glued;       /* glued joints in the run */
  bool broken;     /* a join in it is a whole by itself */
} row;

/* A stage is one assembly: its last join takes up all the others, and that one
 * is glued if any is (what is laid on dry has a stage by itself).  The file may
 * want an assembly to be a stage by itself. */
static bool possible(void *with, int from, int to, bool *never) {
  row *r = with;
  const gw_join *joins = r->p->order->joins;
  if (to == from + 1) {
    r->last_parent = r->glued = 0;
    r->broken = false;
  } else {
    const gw_join *before = &joins[to - 2];
    r->broken = r->broken || before->ends_stage || before->parent < 0;
    if (before->parent > r->last_parent) r->last_parent = before->parent;
  }
  r->glued += r->p->glued[to - 1];
  *never = r->broken;
  if (r->broken || (to > from + 1 && r->last_parent > to - 1)) return false;
  return r->p->glued[to - 1] > 0 || r->glued == 0;
}

static gw_status plan_run(void *with, int from, int to, gw_cutting_run *run) {
  row *r = with;
  GW_TRY(gw_stage_try(&r->staging, from, to));
  run->margin_pm = gw_stage_margin(&r->staging);
  run->clamp_s = r->staging.clamp.seconds;
  run->fits = r->staging.fits && r->staging.enough;
  run->proven = r->staging.proven || r->staging.glue < 0;
  return GW_OK;
}

static gw_status clamp_run(void *with, int from, int to, int *seconds) {
  row *r = with;
  gw_pulls pulls;
  int glue = r->staging.glue;
  GW_TRY(gw_clock_pulls(r->p, from, to, glue, &pulls));
  *seconds = gw_work_clamp(r->p, gw_pulls_sum(pulls.items, pulls.count, true)).seconds;
  return GW_OK;
}

/* Only where kinds of clamps differ in force can a longer run take fewer. */
static bool kinds_differ(const gw_planning *p) {
  const gw_shop *shop = &p->m->shop;
  for (int i = 1; i < shop->n_clamps; ++i)
    if (shop->clamps[i].force_n != shop->clamps[0].force_n) return true;
  return p->options->times != NULL;
}

/* ---- findings -------------------------------------------------------------------------------- */

static gw_status too_long(gw_planning *p, const gw_stage *stage, const char *code, int took_s,
                          int limit_s, const char *from_to, const char *limit_words) {
  char took[GW_TIME_TEXT], limit[GW_TIME_TEXT];
  gw_time_text(took_s, took, sizeof took);
  gw_time_text(limit_s, limit, sizeof limit);
  return gw_find(p->findings, GW_ERROR, code, p->clock->uses[stage->glue].glue->line,
                 "\"%s\" takes %s from %s, and the glue %s %s; take a slower glue, or one more "
                 "pair of hands", p->order->joins[stage->joins[stage->n_joins - 1]].words, took,
                 from_to, limit_words, limit);
}

static gw_status judge(gw_planning *p, const gw_stage *stage, int pot_used_s) {
  if (stage->glue < 0) return GW_OK;
  const gw_glue_use *use = &p->clock->uses[stage->glue];
  if (stage->wet_s > use->open_s)
    return too_long(p, stage, "open-time", stage->wet_s, use->open_s,
                    "first glue to faces together", "stays open for");
  if (stage->closed_s > use->closed_s)
    return too_long(p, stage, "closed-time", stage->closed_s, use->closed_s,
                    "faces together to the last clamp", "may wait for pressure for");
  if (use->pot_s > 0 && pot_used_s > use->pot_s)
    return too_long(p, stage, "pot-time", pot_used_s, use->pot_s,
                    "first glue to the last faces together", "lasts in the pot for");
  if (stage->fits) return GW_OK;
  char wet[GW_TIME_TEXT], open[GW_TIME_TEXT], closed[GW_TIME_TEXT], may[GW_TIME_TEXT];
  return gw_find(p->findings, GW_WARNING, "margin-short", use->glue->line,
                 "\"%s\" keeps less than the margin of %d %% (open %s of %s, closed %s of %s); "
                 "rehearse it, take a slower glue or a helper",
                 p->order->joins[stage->joins[stage->n_joins - 1]].words, p->m->shop.margin_pc,
                 gw_time_text(stage->wet_s, wet, sizeof wet),
                 gw_time_text(use->open_s, open, sizeof open),
                 gw_time_text(stage->closed_s, closed, sizeof closed),
                 gw_time_text(use->closed_s, may, sizeof may));
}

/* ---- the whole ----------------------------------------------------------------------------------
 */

static gw_status keep_stages(gw_planning *p, gw_staging *staging, const gw_cutting *cut) {
  gw_clock *clock = p->clock;
  clock->n_stages = cut->stages;
  clock->failing = cut->failing;
  clock->margin_pm = cut->margin_pm < GW_CUTTING_DRY ? cut->margin_pm : 1000;
  clock->proven = cut->proven;
  clock->stages = gw_arena_alloc(clock->arena, (size_t)clock->n_stages + 1, sizeof *clock->stages);
  if (clock->stages == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < clock->n_stages; ++i) {
    gw_stage *stage = &clock->stages[i];
    GW_TRY(gw_stage_keep(staging, i > 0 ? cut->ends[i - 1] : 0, cut->ends[i], stage));
    GW_TRY(judge(p, stage, staging->answer.pot_s));
    GW_TRY(gw_clock_say_clamps(p, stage));
  }
  return GW_OK;
}

static gw_status cut_and_keep(gw_planning *p) {
  int joins = p->order->n_joins;
  row r = {.p = p};
  gw_status status = gw_staging_make(p, &r.staging);
  gw_cutting cut = {.ends = calloc((size_t)joins + 1, sizeof *cut.ends)};
  if (cut.ends == NULL) status = GW_NO_MEMORY;
  gw_cutting_asker asker = {plan_run, kinds_differ(p) ? clamp_run : NULL, possible, &r};
  if (status == GW_OK) status = gw_cutting_make(joins, p->options->more_stages, &asker, &cut);
  if (status == GW_OK) status = keep_stages(p, &r.staging, &cut);
  free(cut.ends);
  gw_staging_clear(&r.staging);
  return status;
}

static gw_status make(gw_planning *p) {
  GW_TRY(gw_clock_uses(p));
  for (int i = 0; i < p->m->n_joints; ++i)
    if (p->m->joints[i].glued && p->m->joints[i].glue < 0) return GW_OK; /* said above */
  GW_TRY(gw_clock_wood(p));
  GW_TRY(gw_work_fill(p));
  GW_TRY(cut_and_keep(p));
  return gw_clock_begin(p);
}

gw_status gw_clock_make_with(const gw_model *m, const gw_fit *fit, const gw_marks *marks,
                             const gw_order *order, const gw_clock_options *options,
                             gw_findings *findings, gw_clock **out) {
  static const gw_clock_options plain = {0};
  gw_clock *clock = calloc(1, sizeof *clock);
  if (clock == NULL) return GW_NO_MEMORY;
  clock->arena = gw_arena_new();
  gw_planning p = {.m = m, .fit = fit, .marks = marks, .order = order,
                   .options = options != NULL ? options : &plain, .findings = findings,
                   .clock = clock};
  gw_status status = clock->arena == NULL ? GW_NO_MEMORY : make(&p);
  if (status != GW_OK) {
    gw_clock_free(clock);
    return status;
  }
  *out = clock;
  return GW_OK;
}

gw_status gw_clock_make(const gw_model *m, const gw_fit *fit, const gw_marks *marks,
                        const gw_order *order, gw_findings *findings, gw_clock **out) {
  return gw_clock_make_with(m, fit, marks, order, NULL, findings, out);
}

void gw_clock_free(gw_clock *clock) {
  if (clock == NULL) return;
  gw_arena_free(clock->arena);
  free(clock);
}
