/* Which figures of which glue are in force. */
#include "clock/inside.h"

/* Above this density wood counts as dense for the pressure it wants, kg/m3;
 * our own line between the two published ranges, common practice, no source. */
enum { DENSE = 600 };

static int choose(int own, int typical, bool *used_typical) {
  if (own >= 0) return own;
  *used_typical = true;
  return typical;
}

static bool dense_wood(const gw_model *m) {
  int dense = 0;
  for (int i = 0; i < m->n_parts; ++i) dense += m->parts[i].density > DENSE;
  return 2 * dense >= m->n_parts;
}

static gw_status say_unknown(const gw_glue *glue, gw_findings *findings) {
  const char *near = gw_glue_kind_nearest(glue->kind);
  if (near != NULL)
    return gw_find(findings, GW_ERROR, "unknown-glue-kind", glue->line,
                   "there is no kind of glue %s; did you mean %s?", glue->kind, near);
  char kinds[400];
  size_t used = 0;
  for (size_t i = 0; i < gw_glue_kind_count() && used < sizeof kinds; ++i)
    used += (size_t)snprintf(kinds + used, sizeof kinds - used, "%s%s", i == 0 ? "" : ", ",
                             gw_glue_kind_at(i)->name);
  return gw_find(findings, GW_ERROR, "unknown-glue-kind", glue->line,
                 "there is no kind of glue %s; take the nearest of %s, and put the figures of the "
                 "label beside it", glue->kind, kinds);
}

gw_status gw_clock_glues_known(const gw_model *m, gw_findings *findings, bool *known) {
  *known = true;
  for (int i = 0; i < m->n_glues; ++i) {
    if (gw_glue_kind_find(m->glues[i].kind) != NULL) continue;
    *known = false;
    GW_TRY(say_unknown(&m->glues[i], findings));
  }
  return GW_OK;
}

static gw_status find_kind(gw_planning *p, gw_glue_use *use) {
  use->kind = gw_glue_kind_find(use->glue->kind);
  if (use->kind != NULL) return GW_OK;
  use->kind = gw_glue_kind_at(0);
  return say_unknown(use->glue, p->findings);
}

static gw_status check_air(gw_planning *p, gw_glue_use *use) {
  const gw_shop *shop = &p->m->shop;
  bool typical = false;
  int lowest = use->glue->lowest_dc > -1000 ? use->glue->lowest_dc
                                            : choose(-1, use->kind->lowest_dc.value, &typical);
  int line = shop->line > 0 ? shop->line : use->glue->line;
  if (!gw_air_warm_enough(shop->temperature_dc, lowest))
    GW_TRY(gw_find(p->findings, GW_ERROR, "too-cold", line,
                   "the shop has %g degrees and %s wants %g at least%s; warm shop, wood and glue",
                   shop->temperature_dc / 10.0, use->glue->id, lowest / 10.0,
                   typical ? " (" GW_GLUE_TYPICAL ")" : ""));
  if (!gw_air_outside(use->air)) return GW_OK;
  return gw_find(p->findings, GW_WARNING, "air-outside", line, "%s; the times of %s are not moved",
                 gw_air_words(use->air), use->glue->id);
}

static gw_status fill(gw_planning *p, int index) {
  gw_glue_use *use = &p->clock->uses[index];
  const gw_glue *g = use->glue = &p->m->glues[index];
  GW_TRY(find_kind(p, use));
  const gw_glue_kind *k = use->kind;
  use->air = gw_air_effect_on(k->family, p->m->shop.temperature_dc, p->m->shop.humidity_pc,
                              &use->effect);
  use->open_s = gw_air_open_time(choose(g->open_s, k->open_s.value, &use->typical_open), use->effect);
  use->typical_any = use->typical_open;
  bool *any = &use->typical_any;
  use->closed_s = gw_air_open_time(choose(g->closed_s, k->closed_s.value, any), use->effect);
  use->clamp_s = gw_air_clamp_time(choose(g->clamp_s, k->clamp_s.value, any), use->effect);
  use->cure_s = gw_air_clamp_time(choose(g->cure_s, k->cure_s.value, any), use->effect);
  use->pot_s = gw_air_open_time(choose(g->pot_s, k->pot_s.value, any), use->effect);
  use->spread_gm2 = choose(g->spread_gm2, k->spread_gm2.value, any);
  use->pressure_kpa = choose(g->pressure_kpa, dense_wood(p->m) ? k->pressure_high_kpa.value
                                                               : k->pressure_low_kpa.value, any);
  return check_air(p, use);
}

gw_status gw_clock_uses(gw_planning *p) {
  p->clock->uses = gw_arena_alloc(p->clock->arena, (size_t)p->m->n_glues, sizeof *p->clock->uses);
  if (p->clock->uses == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < p->m->n_glues; ++i) GW_TRY(fill(p, i));
  for (int i = 0; i < p->m->n_joints; ++i) {
    if (!p->m->joints[i].glued || p->m->joints[i].glue >= 0) continue;
    GW_TRY(gw_find(p->findings, GW_ERROR, "no-glue", p->m->line,
                   "the piece has glued joints but no glue; add a <glue>, or say glued=\"no\""));
    break;
  }
  return GW_OK;
}
