#include "clock/clock.h"

#include <stdlib.h>
#include <string.h>

char *gw_time_text(int64_t seconds, char *buffer, size_t size) {
  const char *sign = seconds < 0 ? "-" : "";
  if (seconds < 0) seconds = -seconds;
  long long h = seconds / 3600, m = seconds / 60 % 60, s = seconds % 60;
  if (h > 0) snprintf(buffer, size, "%s%lld:%02lld:%02lld", sign, h, m, s);
  else snprintf(buffer, size, "%s%lld:%02lld", sign, m, s);
  return buffer;
}

/* ---- cutting the order into stages ----------------------------------------------------- */

/* The best way to glue the first i joins: fewest stages, then the largest
 * least margin. */
typedef struct prefix {
  int stages, from;
  int margin_pm;
  bool bad; /* a stage in it does not keep its limits */
} prefix;

static bool better(const prefix *a, const prefix *b) {
  if (a->bad != b->bad) return !a->bad;
  if (a->stages != b->stages) return a->stages < b->stages;
  return a->margin_pm > b->margin_pm;
}

static bool has_glue(const gw_order *order, int join) { return order->joins[join].n_glued > 0; }

/* A stage is one assembly: one of its joins takes up all the others, and that
 * one is glued (what is laid on dry has a stage by itself).  The file may want
 * an assembly to be a stage by itself. */
static bool one_assembly(const gw_order *order, int from, int to) {
  bool glued = has_glue(order, to - 1);
  for (int i = from; i < to; ++i) {
    int parent = order->joins[i].parent;
    if (i < to - 1 && (parent < 0 || parent >= to || order->joins[i].ends_stage)) return false;
    if (!glued && has_glue(order, i)) return false;
  }
  return true;
}

/* A longer run of joins than one that does not keep its limits will not keep
 * them either, so a row ends at its first failure. */
static gw_status extend(gw_planning *p, prefix *best, int from, int last) {
  for (int to = from + 1; to <= last; ++to) {
    if (!one_assembly(p->order, from, to)) continue;
    gw_stage stage;
    bool fits;
    GW_TRY(gw_stage_plan(p, from, to, p->m->shop.margin_pc, &stage, &fits));
    bool dry = stage.glue < 0;
    if (!fits && to > from + 1) break;
    prefix candidate = {.stages = best[from].stages + 1, .from = from,
                        .margin_pm = best[from].margin_pm, .bad = best[from].bad || !fits};
    if (!dry && stage.margin_pm < candidate.margin_pm) candidate.margin_pm = stage.margin_pm;
    if (best[to].stages < 0 || better(&candidate, &best[to])) best[to] = candidate;
    if (!fits) break;
  }
  return GW_OK;
}

static gw_status cut(gw_planning *p, prefix *best, int last) {
  for (int i = 0; i <= last; ++i) best[i] = (prefix){.stages = -1};
  best[0] = (prefix){.stages = 0, .margin_pm = 1000};
  for (int i = 0; i < last; ++i)
    if (best[i].stages >= 0) GW_TRY(extend(p, best, i, last));
  return GW_OK;
}

/* ---- findings -------------------------------------------------------------------------------- */

static const char *stage_parts(gw_planning *p, const gw_stage *stage) {
  return p->order->joins[stage->joins[stage->n_joins - 1]].words;
}

static gw_status judge(gw_planning *p, const gw_stage *stage, bool fits) {
  if (stage->glue < 0) return GW_OK;
  char wet[GW_TIME_TEXT], open[GW_TIME_TEXT];
  const gw_glue_use *use = &p->clock->uses[stage->glue];
  gw_time_text(stage->wet_s, wet, sizeof wet);
  gw_time_text(use->open_s, open, sizeof open);
  int line = use->glue->line;
  if (stage->wet_s > use->open_s)
    return gw_find(p->findings, GW_ERROR, "open-time", line,
                   "\"%s\" takes %s from first glue to faces together, and the glue stays open "
                   "for %s; take a slower glue, or one more pair of hands", stage_parts(p, stage),
                   wet, open);
  if (fits) return GW_OK;
  return gw_find(p->findings, GW_WARNING, "margin-short", line,
                 "\"%s\" keeps less than the margin of %d %% (%s of %s open time used, or too "
                 "long to the clamps); rehearse it, take a slower glue or a helper",
                 stage_parts(p, stage), p->m->shop.margin_pc, wet, open);
}

/* ---- when each stage begins ------------------------------------------------------------------- */

static bool uses_join(const gw_planning *p, const gw_stage *stage, int join) {
  for (int i = 0; i < stage->n_joins; ++i) {
    const gw_join *j = &p->order->joins[stage->joins[i]];
    if (j->moving_join == join || j->onto_join == join) return true;
  }
  return false;
}

/* A stage waits for the hands, and for the clamps to come off whatever it
 * takes up; other sub-assemblies set meanwhile. */
static void set_begins(gw_planning *p) {
  gw_clock *clock = p->clock;
  int64_t hands_free = 0;
  for (int i = 0; i < clock->n_stages; ++i) {
    gw_stage *stage = &clock->stages[i];
    stage->begins_s = hands_free;
    for (int k = 0; k < i; ++k) {
      const gw_stage *before = &clock->stages[k];
      int64_t off = before->begins_s + before->end_s + before->clamp_s;
      for (int j = 0; j < before->n_joins; ++j)
        if (uses_join(p, stage, before->joins[j]) && off > stage->begins_s) stage->begins_s = off;
    }
    hands_free = stage->begins_s + stage->end_s;
    int64_t off = hands_free + stage->clamp_s;
    if (off > clock->whole_s) clock->whole_s = off;
  }
}

/* ---- the whole ---------------------------------------------------------------------------------- */

static gw_status keep_stage(gw_planning *p, int from, int to, int index) {
  bool fits;
  gw_stage *stage = &p->clock->stages[index];
  GW_TRY(gw_stage_plan(p, from, to, p->m->shop.margin_pc, stage, &fits));
  p->clock->proven = p->clock->proven && (stage->proven || stage->glue < 0);
  GW_TRY(judge(p, stage, fits));
  return gw_clock_say_clamps(p, stage);
}

static gw_status keep_stages(gw_planning *p, const prefix *best, int last) {
  gw_clock *clock = p->clock;
  clock->n_stages = best[last].stages;
  clock->stages = gw_arena_alloc(clock->arena, (size_t)clock->n_stages, sizeof *clock->stages);
  if (clock->stages == NULL) return GW_NO_MEMORY;
  clock->proven = true;
  for (int to = last, i = clock->n_stages - 1; i >= 0; to = best[to].from, --i)
    GW_TRY(keep_stage(p, best[to].from, to, i));
  return GW_OK;
}

static gw_status make(gw_planning *p) {
  GW_TRY(gw_clock_uses(p));
  int last = p->order->n_joins;
  for (int i = 0; i < p->m->n_joints; ++i)
    if (p->m->joints[i].glued && p->m->joints[i].glue < 0) return GW_OK; /* said above */
  prefix *best = malloc(((size_t)last + 1) * sizeof *best);
  if (best == NULL) return GW_NO_MEMORY;
  gw_status status = cut(p, best, last);
  if (status == GW_OK) status = keep_stages(p, best, last);
  free(best);
  if (status == GW_OK) set_begins(p);
  return status;
}

gw_status gw_clock_make(const gw_model *m, const gw_fit *fit, const gw_marks *marks,
                        const gw_order *order, gw_findings *findings, gw_clock **out) {
  gw_clock *clock = calloc(1, sizeof *clock);
  if (clock == NULL) return GW_NO_MEMORY;
  clock->arena = gw_arena_new();
  gw_planning p = {m, fit, marks, order, findings, clock};
  gw_status status = clock->arena == NULL ? GW_NO_MEMORY : make(&p);
  if (status != GW_OK) {
    gw_clock_free(clock);
    return status;
  }
  *out = clock;
  return GW_OK;
}

void gw_clock_free(gw_clock *clock) {
  if (clock == NULL) return;
  gw_arena_free(clock->arena);
  free(clock);
}
