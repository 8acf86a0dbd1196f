#include "clock/ways.h"

#include <stdlib.h>
#include <string.h>

#include "fit/moisture.h"

enum { COOLER_DC = 50, DAMPER_PC = 15, PRESET_PC = 50, MOST_DRY = 12, DAMPEST_WOOD = 15 };

typedef struct trying {
  const gw_model *m;
  const gw_fit *fit;
  const gw_marks *marks;
  const gw_order *order;
  const gw_clock *clock; /* the plan as it stands */
  gw_ways *ways;
  size_t room;
  gw_way *grown;         /* the ways while they grow */
} trying;

/* ---- one way --------------------------------------------------------------------------------- */

/* Less is better. */
static int compare(int64_t a, int64_t b) { return a < b ? -1 : a > b; }

static bool helps(const gw_clock *now, const gw_way *way) {
  if (way->failing != now->failing) return way->failing < now->failing;
  return way->stages < now->n_stages || way->margin_pm > now->margin_pm ||
         way->whole_s < now->whole_s;
}

static gw_status keep(trying *t, const char *code, const char *words, const gw_clock *clock) {
  if (words == NULL) return GW_NO_MEMORY;
  GW_TRY(gw_grow(&t->grown, &t->room, (size_t)t->ways->count + 1, sizeof *t->grown));
  gw_way *way = &t->grown[t->ways->count++];
  *way = (gw_way){.code = code,
                  .words = words,
                  .failing = clock->failing,
                  .stages = clock->n_stages,
                  .margin_pm = clock->margin_pm,
                  .whole_s = clock->whole_s,
                  .proven = clock->proven};
  way->helps = helps(t->clock, way);
  return GW_OK;
}

/* Plans the changed project; what a glue may not do (too cold) is no way. */
static gw_status try_way(trying *t, const gw_model *changed, const gw_clock_options *options,
                         const char *code, const char *words) {
  gw_findings *findings = gw_findings_new(changed->file);
  gw_clock *clock = NULL;
  if (findings == NULL) return GW_NO_MEMORY;
  gw_clock_options asked = options != NULL ? *options : (gw_clock_options){.effort = 0};
  asked.effort = GW_CLOCK_EFFORT / 4;
  gw_status status =
      gw_clock_make_with(changed, t->fit, t->marks, t->order, &asked, findings, &clock);
  bool allowed = true;
  for (size_t i = 0; i < gw_findings_count(findings); ++i)
    if (strcmp(gw_findings_at(findings, i)->code, "too-cold") == 0) allowed = false;
  if (status == GW_OK && allowed) status = keep(t, code, words, clock);
  gw_clock_free(clock);
  gw_findings_free(findings);
  return status;
}

static char *say(const trying *t, const char *words) {
  return gw_arena_text(t->ways->arena, words);
}

/* ---- hands and clamps ------------------------------------------------------------------------ */

static gw_status try_helper(trying *t) {
  gw_model m = *t->m;
  if (m.shop.hands >= 99) return GW_OK;
  ++m.shop.hands;
  return try_way(t, &m, NULL, "helper", say(t, m.shop.hands == 2 ? "a second pair of hands"
                                                                  : "one more pair of hands"));
}

static gw_status try_preset(trying *t) {
  bool clamped = false;
  for (int i = 0; i < t->clock->n_stages; ++i) clamped = clamped || t->clock->stages[i].n_pulls > 0;
  gw_clock_options options = {.clamp_pc = PRESET_PC};
  if (!clamped) return GW_OK;
  return try_way(t, t->m, &options, "pre-set-clamps",
                 say(t, "clamps set to size and laid out at the dry fit (half the time to set)"));
}

static gw_status try_more_stages(trying *t) {
  gw_clock_options options = {.more_stages = 1};
  GW_TRY(try_way(t, t->m, &options, "more-stages", say(t, "one more stage")));
  /* When another cut does not raise the margin, the plan is the same. */
  if (t->ways->count > 0 && t->grown[t->ways->count - 1].stages == t->clock->n_stages)
    --t->ways->count;
  return GW_OK;
}

/* ---- glue ------------------------------------------------------------------------------------ */

static bool is_used(const trying *t, int glue) {
  for (int i = 0; i < t->clock->n_stages; ++i)
    if (t->clock->stages[i].glue == glue) return true;
  return false;
}

/* The glue of the stage with the least margin. */
static int tightest_glue(const trying *t) {
  int best = -1;
  for (int i = 0; i < t->clock->n_stages; ++i) {
    const gw_stage *s = &t->clock->stages[i];
    if (s->glue >= 0 && (best < 0 || s->margin_pm < t->clock->stages[best].margin_pm)) best = i;
  }
  return best < 0 ? -1 : t->clock->stages[best].glue;
}

static gw_status try_kind(trying *t, int glue, const gw_glue_kind *kind, gw_glue *glues) {
  gw_model m = *t->m;
  char open[GW_TIME_TEXT];
  glues[glue] = (gw_glue){.id = t->m->glues[glue].id,
                          .kind = kind->name,
                          .line = t->m->glues[glue].line,
                          .open_s = -1,
                          .closed_s = -1,
                          .clamp_s = -1,
                          .cure_s = -1,
                          .pot_s = -1,
                          .lowest_dc = -1000,
                          .spread_gm2 = -1,
                          .pressure_kpa = -1};
  m.glues = glues;
  return try_way(t, &m, NULL, "slower-glue",
                 gw_arena_printf(t->ways->arena, "%s instead of %s (open %s; " GW_GLUE_TYPICAL ")",
                                 kind->words, t->m->glues[glue].id,
                                 gw_time_text(kind->open_s.value, open, sizeof open)));
}

static gw_status try_slower(trying *t) {
  int glue = tightest_glue(t);
  if (glue < 0) return GW_OK;
  const gw_glue_use *use = &t->clock->uses[glue];
  int open = use->glue->open_s >= 0 ? use->glue->open_s : use->kind->open_s.value;
  size_t size = (size_t)t->m->n_glues * sizeof(gw_glue);
  gw_glue *glues = malloc(size);
  gw_status status = glues == NULL ? GW_NO_MEMORY : GW_OK;
  for (size_t i = 0; i < gw_glue_kind_count() && status == GW_OK; ++i) {
    const gw_glue_kind *kind = gw_glue_kind_at(i);
    if (kind == use->kind || kind->family != use->kind->family || kind->open_s.value <= open)
      continue;
    memcpy(glues, t->m->glues, size);
    status = try_kind(t, glue, kind, glues);
  }
  free(glues);
  return status;
}

static gw_status try_one_face(trying *t) {
  bool some = false;
  for (int i = 0; i < t->m->n_glues; ++i)
    some = some || (is_used(t, i) && t->clock->uses[i].kind->faces.value == 1);
  gw_clock_options options = {.one_face = true};
  if (!some) return GW_OK;
  return try_way(
      t, t->m, &options, "one-face",
      say(t, "glue on one face of each joint, where the glue allows it (half the time to spread)"));
}

/* ---- air ------------------------------------------------------------------------------------- */

/* Whether the model of the air speaks of all glues in such air. */
static bool air_known(const trying *t, int temperature_dc, int humidity_pc) {
  for (int i = 0; i < t->m->n_glues; ++i) {
    gw_air_effect effect;
    if (is_used(t, i) && gw_air_outside(gw_air_effect_on(t->clock->uses[i].kind->family,
                                                         temperature_dc, humidity_pc, &effect)))
      return false;
  }
  return true;
}

static gw_status try_cooler(trying *t) {
  gw_model m = *t->m;
  m.shop.temperature_dc -= COOLER_DC;
  if (!air_known(t, t->m->shop.temperature_dc, m.shop.humidity_pc) ||
      !air_known(t, m.shop.temperature_dc, m.shop.humidity_pc))
    return GW_OK;
  return try_way(t, &m, NULL, "cooler",
                 gw_arena_printf(t->ways->arena,
                                 "a cooler hour: %g \xC2\xB0"
                                 "C in shop, wood and glue",
                                 m.shop.temperature_dc / 10.0));
}

static gw_status try_damper(trying *t) {
  gw_model m = *t->m;
  double content;
  m.shop.humidity_pc += DAMPER_PC;
  bool moved = false; /* a glue that dampness slows */
  for (int i = 0; i < m.n_glues; ++i)
    moved = moved || (is_used(t, i) && t->clock->uses[i].kind->family != GW_REACTING);
  if (!moved || !air_known(t, m.shop.temperature_dc, t->m->shop.humidity_pc) ||
      !air_known(t, m.shop.temperature_dc, m.shop.humidity_pc) ||
      gw_moisture_content(m.shop.temperature_dc, m.shop.humidity_pc, &content) != GW_MOISTURE_OK ||
      content > DAMPEST_WOOD)
    return GW_OK;
  return try_way(
      t, &m, NULL, "damper",
      gw_arena_printf(t->ways->arena, "a damper day: %d %% humidity", m.shop.humidity_pc));
}

/* ---- joints that can wait -------------------------------------------------------------------- */

static bool can_be_dry(gw_kind kind) {
  return kind == GW_REBATE || kind == GW_TONGUE_GROOVE || kind == GW_BUTT;
}

/* Makes the glued joints by which a part enters dry, if all of them can be; how
 * many there are. */
static int make_dry(const gw_model *m, int part, gw_joint *joints) {
  int count = 0;
  for (int i = 0; i < m->n_joints; ++i) {
    if (!m->joints[i].glued || gw_joint_enters(m, &m->joints[i]) != part) continue;
    if (!can_be_dry(m->joints[i].kind)) return 0;
    joints[i].glued = false;
    joints[i].glue = -1;
    ++count;
  }
  return count;
}

static gw_status try_dry(trying *t) {
  size_t size = (size_t)t->m->n_joints * sizeof(gw_joint);
  gw_joint *joints = malloc(size + 1);
  gw_status status = joints == NULL ? GW_NO_MEMORY : GW_OK;
  int tried = 0;
  for (int part = 0; part < t->m->n_parts && tried < MOST_DRY && status == GW_OK; ++part) {
    gw_model m = *t->m;
    memcpy(joints, t->m->joints, size);
    m.joints = joints;
    if (make_dry(t->m, part, joints) == 0) continue;
    ++tried;
    const gw_part *p = &t->m->parts[part];
    status =
        try_way(t, &m, NULL, "leave-dry",
                gw_arena_printf(t->ways->arena, "%s (%s) put in dry, and pinned or screwed later",
                                p->name != NULL ? p->name : p->id, t->marks->parts[part].text));
  }
  free(joints);
  return status;
}

/* ---- all ways -------------------------------------------------------------------------------- */

static int by_gain(const void *left, const void *right) {
  const gw_way *a = left, *b = right;
  if (a->helps != b->helps) return a->helps ? -1 : 1;
  int order = compare(a->failing, b->failing);
  if (order == 0) order = compare(a->stages, b->stages);
  if (order == 0) order = compare(b->margin_pm, a->margin_pm);
  if (order == 0) order = compare(a->whole_s, b->whole_s);
  if (order == 0) order = strcmp(a->code, b->code);
  return order != 0 ? order : strcmp(a->words, b->words);
}

static gw_status settle(trying *t) {
  size_t count = (size_t)t->ways->count;
  t->ways->items = gw_arena_alloc(t->ways->arena, count + 1, sizeof *t->ways->items);
  if (t->ways->items == NULL) return GW_NO_MEMORY;
  if (count > 0) {
    qsort(t->grown, count, sizeof *t->grown, by_gain);
    memcpy(t->ways->items, t->grown, count * sizeof *t->grown);
  }
  return GW_OK;
}

static gw_status try_all(trying *t) {
  if (tightest_glue(t) >= 0) {
    GW_TRY(try_helper(t));
    GW_TRY(try_preset(t));
    GW_TRY(try_slower(t));
    GW_TRY(try_cooler(t));
    GW_TRY(try_damper(t));
    GW_TRY(try_more_stages(t));
    GW_TRY(try_one_face(t));
    GW_TRY(try_dry(t));
  }
  return settle(t);
}

gw_status gw_ways_make(const gw_model *model, const gw_fit *fit, const gw_marks *marks,
                       const gw_order *order, const gw_clock *clock, gw_ways **out) {
  gw_ways *ways = calloc(1, sizeof *ways);
  if (ways == NULL) return GW_NO_MEMORY;
  ways->arena = gw_arena_new();
  trying t = {.m = model, .fit = fit, .marks = marks, .order = order, .clock = clock, .ways = ways};
  gw_status status = ways->arena == NULL ? GW_NO_MEMORY : try_all(&t);
  free(t.grown);
  if (status != GW_OK) {
    gw_ways_free(ways);
    return status;
  }
  *out = ways;
  return GW_OK;
}

void gw_ways_free(gw_ways *ways) {
  if (ways == NULL) return;
  gw_arena_free(ways->arena);
  free(ways);
}
