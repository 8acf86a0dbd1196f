/* Clamps: how many, how long, how strong. */
#include <math.h>

#include "clock/clock.h"

/* A caul under each pad, and lines of clamps closer than this are one. */
static const gw_len CAUL = 20 * GW_MM, LINE = 80 * GW_MM;
/* A clamp's pressure spreads at about 45 degrees, so along a joint they stand
 * no farther apart than this; common practice, no source. */
static const gw_len REACH = 300 * GW_MM;
enum { MAX_LINES = 64 };

/* The joints of one pull: glued, needing pressure along the axis, closed in
 * the stage under the join `root`. */
typedef struct pull_lines {
  gw_len at[MAX_LINES][2]; /* middle, along the two other axes */
  int clamps[MAX_LINES];
  int count;
  double area;
} pull_lines;

static bool pulls_along(const gw_planning *p, int joint, int axis) {
  const gw_joint *j = &p->m->joints[joint];
  const gw_seating *s = &p->fit->seatings[joint];
  if (!j->glued || !gw_kind_of(j->kind)->clamp) return false;
  return s->normal == axis || (s->style == GW_CORNER && s->second == axis && j->kind != GW_REBATE);
}

static void add_line(const gw_planning *p, int joint, int axis, pull_lines *lines) {
  gw_box box = gw_fit_joint_box(p->fit, p->m, joint);
  int across[2] = {(axis + 1) % 3, (axis + 2) % 3};
  gw_len at[2], longest = 0;
  for (int k = 0; k < 2; ++k) {
    at[k] = (box.lo[across[k]] + box.hi[across[k]]) / 2;
    gw_len side = box.hi[across[k]] - box.lo[across[k]];
    if (side > longest) longest = side;
  }
  lines->area += gw_work_area(p, joint);
  int clamps = (int)((longest + REACH - 1) / REACH);
  if (clamps < 1) clamps = 1;
  for (int i = 0; i < lines->count; ++i) {
    gw_len a = at[0] - lines->at[i][0], b = at[1] - lines->at[i][1];
    if (a > -LINE && a < LINE && b > -LINE && b < LINE) {
      if (clamps > lines->clamps[i]) lines->clamps[i] = clamps;
      return;
    }
  }
  if (lines->count >= MAX_LINES) return;
  lines->at[lines->count][0] = at[0];
  lines->at[lines->count][1] = at[1];
  lines->clamps[lines->count++] = clamps;
}

static bool in_stage(const gw_stage *stage, int join) {
  for (int i = 0; i < stage->n_joins; ++i)
    if (stage->joins[i] == join) return true;
  return false;
}

/* The topmost join of the stage over this one. */
static int root_in_stage(const gw_planning *p, const gw_stage *stage, int join) {
  while (p->order->joins[join].parent >= 0 && in_stage(stage, p->order->joins[join].parent))
    join = p->order->joins[join].parent;
  return join;
}

static void gather(const gw_planning *p, const gw_stage *stage, int root, int axis,
                   pull_lines *lines) {
  *lines = (pull_lines){.count = 0};
  for (int i = 0; i < stage->n_joins; ++i) {
    const gw_join *join = &p->order->joins[stage->joins[i]];
    if (root_in_stage(p, stage, stage->joins[i]) != root) continue;
    for (int k = 0; k < join->n_joints; ++k)
      if (pulls_along(p, join->joints[k], axis)) add_line(p, join->joints[k], axis, lines);
  }
}

/* From face to face of the assembly, and a caul on each. */
static gw_len opening(const gw_planning *p, int root, int axis) {
  const gw_join *join = &p->order->joins[root];
  gw_len low = INT64_MAX, high = INT64_MIN;
  for (int side = 0; side < 2; ++side) {
    const int *parts = side ? join->moving : join->onto;
    int count = side ? join->n_moving : join->n_onto;
    for (int i = 0; i < count; ++i) {
      const gw_box *box = &p->fit->boxes[parts[i]];
      if (box->lo[axis] < low) low = box->lo[axis];
      if (box->hi[axis] > high) high = box->hi[axis];
    }
  }
  return high - low + 2 * CAUL;
}

/* The shortest kind of clamp that opens wide enough. */
static int choose_kind(const gw_shop *shop, gw_len wanted) {
  int best = -1;
  for (int i = 0; i < shop->n_clamps; ++i)
    if (shop->clamps[i].opening != GW_UNSET && shop->clamps[i].opening >= wanted &&
        (best < 0 || shop->clamps[i].opening < shop->clamps[best].opening))
      best = i;
  return best;
}

static gw_status say_short(gw_planning *p, const gw_pull *pull) {
  gw_len longest = 0;
  char wanted[GW_LEN_TEXT], have[GW_LEN_TEXT];
  for (int i = 0; i < p->m->shop.n_clamps; ++i)
    if (p->m->shop.clamps[i].opening > longest) longest = p->m->shop.clamps[i].opening;
  gw_len_text(pull->opening, p->m->units, wanted, sizeof wanted);
  gw_len_text(longest, p->m->units, have, sizeof have);
  return gw_find(p->findings, GW_WARNING, "clamps-too-short", p->m->shop.line,
                 "a stage wants clamps that open to %s (two cauls included) and the longest open "
                 "to %s; join two clamps, or borrow longer ones", wanted, have);
}

static gw_status say_few(gw_planning *p, const gw_stage *stage) {
  for (int kind = 0; kind < p->m->shop.n_clamps; ++kind) {
    int wanted = 0, longer = 0;
    for (int i = 0; i < stage->n_pulls; ++i)
      if (stage->pulls[i].kind == kind) wanted += stage->pulls[i].count;
    for (int i = 0; i < p->m->shop.n_clamps; ++i)
      if (p->m->shop.clamps[i].opening >= p->m->shop.clamps[kind].opening)
        longer += p->m->shop.clamps[i].count;
    if (wanted > longer)
      GW_TRY(gw_find(p->findings, GW_WARNING, "clamps-too-few", p->m->shop.clamps[kind].line,
                     "a stage wants %d clamps of at least this opening and the shop has %d; get "
                     "%d more, or glue it in more stages", wanted, longer, wanted - longer));
  }
  return GW_OK;
}

/* Enough for the lines and, where the clamps' force is given, for the pressure. */
static void size_pull(const gw_planning *p, const gw_stage *stage, const pull_lines *lines,
                      gw_pull *pull) {
  for (int i = 0; i < lines->count; ++i) pull->count += lines->clamps[i];
  if (stage->glue < 0) return;
  /* kPa are thousandths of N/mm2. */
  pull->force_n = p->clock->uses[stage->glue].pressure_kpa / 1000.0 * lines->area;
}

gw_status gw_clock_pulls(gw_planning *p, gw_stage *stage) {
  stage->pulls = gw_arena_alloc(p->clock->arena, (size_t)stage->n_joins * 3, sizeof *stage->pulls);
  if (stage->pulls == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < stage->n_joins; ++i) {
    int root = stage->joins[i];
    if (root_in_stage(p, stage, root) != root) continue;
    for (int axis = 0; axis < 3; ++axis) {
      pull_lines lines;
      gather(p, stage, root, axis, &lines);
      if (lines.count == 0) continue;
      gw_pull *pull = &stage->pulls[stage->n_pulls++];
      *pull = (gw_pull){.join = root, .axis = axis, .opening = opening(p, root, axis)};
      pull->kind = choose_kind(&p->m->shop, pull->opening);
      size_pull(p, stage, &lines, pull);
    }
  }
  return GW_OK;
}

gw_status gw_clock_say_clamps(gw_planning *p, const gw_stage *stage) {
  if (p->m->shop.n_clamps == 0) return GW_OK;
  for (int i = 0; i < stage->n_pulls; ++i)
    if (stage->pulls[i].kind < 0) GW_TRY(say_short(p, &stage->pulls[i]));
  return say_few(p, stage);
}
