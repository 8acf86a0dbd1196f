/* Clamps: how many, how long, how strong.
 *
 * Clamps are set once in a stage, after its last part has come: no clamp stands
 * in the way of a part that is still to come, and a sub-assembly is taken up
 * only when its own clamps are off.  A stage that cannot wait so long is cut in
 * two by the closed time.
 *
 * A pull is an axis along which glued joints of the stage close; a joint closes
 * against the way in which it can open.  Along it the joints stand on lines of wood
 * without a gap; on one line, joints behind each other share their clamps and the
 * force, joints side by side add up.  Lines that are much shorter than others are a
 * pull of their own, with shorter clamps. */
#include <math.h>
#include <stdlib.h>

#include "clock/inside.h"

/* Lines of clamps closer than this are one. */
static const gw_len LINE = 80 * GW_MM;
/* A clamp's pressure spreads at about 45 degrees, so along a joint they stand
 * no farther apart than this; common practice, no source. */
static const gw_len REACH = 300 * GW_MM;

/* ---- lines ----------------------------------------------------------------------------------- */

typedef struct pull_line {
  gw_len at[2];  /* middle, along the two other axes */
  int clamps;
  gw_len lo, hi; /* what stands on it, from face to face along the axis */
  int pull;      /* which of the axis's pulls it is of */
} pull_line;

/* Joints of one line at one place along the axis. */
typedef struct pull_level {
  int line;
  gw_len lo, hi;
  double area_mm2;
} pull_level;

typedef struct pull_lines {
  pull_line *lines;
  pull_level *levels;
  size_t n_lines, line_room, n_levels, level_room;
} pull_lines;

static bool opens_along(const gw_freedom *f, int axis) {
  if (f->kind == GW_FREE_BOX || f->kind == GW_FREE_SLANT) return (f->ways & (3u << (axis * 2))) != 0;
  return f->normal.c[axis] != 0;
}

static bool pulls_along(const gw_planning *p, int joint, int axis) {
  const gw_joint *j = &p->m->joints[joint];
  const gw_seating *s = &p->fit->seatings[joint];
  if (!j->glued || !gw_kind_of(j->kind)->clamp || !opens_along(&s->freedom, axis)) return false;
  /* What cannot open square to its faces is drawn home along them. */
  if (!opens_along(&s->freedom, s->normal)) return true;
  return s->normal == axis || (s->style == GW_CORNER && s->second == axis && j->kind != GW_REBATE);
}

static bool near(const gw_len *a, const gw_len *b) {
  for (int k = 0; k < 2; ++k)
    if (a[k] - b[k] >= LINE || b[k] - a[k] >= LINE) return false;
  return true;
}

static bool as_far(gw_len a, gw_len b) { return a - b <= GW_CAUL && b - a <= GW_CAUL; }

/* The line at a place, over wood from lo to hi; a new one when there is none. */
static gw_status find_line(pull_lines *all, const gw_len *at, gw_len lo, gw_len hi,
                           size_t *line) {
  for (*line = 0; *line < all->n_lines; ++*line) {
    const pull_line *l = &all->lines[*line];
    if (near(l->at, at) && as_far(l->lo, lo) && as_far(l->hi, hi)) return GW_OK;
  }
  GW_TRY(gw_grow(&all->lines, &all->line_room, all->n_lines + 1, sizeof *all->lines));
  all->lines[all->n_lines++] = (pull_line){.at = {at[0], at[1]}, .lo = lo, .hi = hi};
  return GW_OK;
}

static gw_status add_level(pull_lines *all, pull_level level) {
  for (size_t i = 0; i < all->n_levels; ++i) {
    pull_level *l = &all->levels[i];
    if (l->line != level.line || level.lo > l->hi || level.hi < l->lo) continue;
    l->area_mm2 += level.area_mm2;
    return GW_OK;
  }
  GW_TRY(gw_grow(&all->levels, &all->level_room, all->n_levels + 1, sizeof *all->levels));
  all->levels[all->n_levels++] = level;
  return GW_OK;
}

/* A part where a clamp reaches over it: of what leans, its section midway up the joint. */
static gw_box wood_at(const gw_planning *p, int part, const gw_box *joint, int axis) {
  if (axis == GW_Z || !gw_fit_slants(p->fit, part)) return gw_fit_around(p->fit, part);
  const gw_box stands = gw_fit_around(p->fit, part);
  gw_solid solid = gw_fit_solid(p->fit, part, p->fit->boxes[part]);
  gw_box box = gw_solid_section(&solid, (joint->lo[GW_Z] + joint->hi[GW_Z]) / 2);
  box.lo[GW_Z] = stands.lo[GW_Z];
  box.hi[GW_Z] = stands.hi[GW_Z];
  return box;
}

static bool is_beside(const gw_box *wood, const gw_box *joint, int axis) {
  for (int k = 1; k < 3; ++k) {
    int across = (axis + k) % 3;
    if (wood->lo[across] >= joint->hi[across] || wood->hi[across] <= joint->lo[across]) return true;
  }
  return false;
}

/* A clamp reaches over all that stands without a gap where its joint is, along the axis:
 * not over a top that hangs over above it, nor to a rail across the opening, but over a
 * side glued on before. */
static void reach_over(const gw_planning *p, const gw_join *whole, const gw_box *joint, int axis,
                       gw_len *lo, gw_len *hi) {
  *lo = joint->lo[axis];
  *hi = joint->hi[axis];
  for (bool more = true; more;) {
    more = false;
    for (int i = 0; i < whole->n_moving + whole->n_onto; ++i) {
      int part = i < whole->n_moving ? whole->moving[i] : whole->onto[i - whole->n_moving];
      const gw_box wood = wood_at(p, part, joint, axis);
      if (is_beside(&wood, joint, axis)) continue;
      if (wood.lo[axis] > *hi + GW_MM || wood.hi[axis] < *lo - GW_MM) continue;
      more = more || wood.lo[axis] < *lo || wood.hi[axis] > *hi;
      if (wood.lo[axis] < *lo) *lo = wood.lo[axis];
      if (wood.hi[axis] > *hi) *hi = wood.hi[axis];
    }
  }
}

/* The middle of a joint across the axis; returns its longer side there. */
static gw_len middle_of(const gw_box *box, int axis, gw_len at[2]) {
  const int across[2] = {(axis + 1) % 3, (axis + 2) % 3};
  gw_len longest = 0;
  for (int k = 0; k < 2; ++k) {
    at[k] = (box->lo[across[k]] + box->hi[across[k]]) / 2;
    gw_len side = box->hi[across[k]] - box->lo[across[k]];
    if (side > longest) longest = side;
  }
  return longest;
}

/* A clamp from seat to foot runs along the leg, which is longer than it stands high. */
static gw_len along_leg(const gw_planning *p, int joint, gw_len stands) {
  const gw_joint *j = &p->m->joints[joint];
  double e = gw_lean_resultant(p->m->parts[gw_joint_enters(p->m, j)].lean);
  double r = gw_lean_resultant(p->m->parts[gw_joint_receives(p->m, j)].lean);
  return (gw_len)llround((double)stands / cos(fmax(e, r) * acos(-1) / 180));
}

/* The line of a joint; returns the longer side of the joint across it. */
static gw_status line_of(const gw_planning *p, const gw_join *whole, int joint, int axis,
                         pull_lines *all, size_t *line, gw_len *longest) {
  gw_box box = gw_fit_joint_box(p->fit, p->m, joint);
  gw_len at[2], lo, hi;
  *longest = middle_of(&box, axis, at);
  reach_over(p, whole, &box, axis, &lo, &hi);
  if (axis == GW_Z) hi = lo + along_leg(p, joint, hi - lo);
  return find_line(all, at, lo, hi, line);
}

static gw_status add_joint(const gw_planning *p, const gw_join *whole, int joint, int axis,
                           pull_lines *all) {
  gw_box box = gw_fit_joint_box(p->fit, p->m, joint);
  gw_len longest;
  size_t line;
  GW_TRY(line_of(p, whole, joint, axis, all, &line, &longest));
  int clamps = (int)((longest + REACH - 1) / REACH);
  if (clamps > all->lines[line].clamps) all->lines[line].clamps = clamps;
  if (all->lines[line].clamps < 1) all->lines[line].clamps = 1;
  return add_level(all, (pull_level){.line = (int)line, .lo = box.lo[axis], .hi = box.hi[axis],
                                     .area_mm2 = gw_work_pressed(p, joint, axis)});
}

static gw_status gather_more(const gw_planning *p, const gw_join *whole, int index, int axis,
                             pull_lines *all) {
  const gw_join *join = &p->order->joins[index];
  for (int k = 0; k < join->n_joints; ++k)
    if (pulls_along(p, join->joints[k], axis))
      GW_TRY(add_joint(p, whole, join->joints[k], axis, all));
  return GW_OK;
}

static gw_status gather(const gw_planning *p, int first, int last, int axis, pull_lines *all) {
  all->n_lines = all->n_levels = 0;
  for (int i = first; i < last; ++i)
    if (p->pressure[i]) GW_TRY(gather_more(p, &p->order->joins[last - 1], i, axis, all));
  return GW_OK;
}

/* What is pressed: of each line its largest level, since the others stand
 * behind it. */
static double pressed_area(const pull_lines *all, int pull) {
  double sum = 0;
  for (size_t line = 0; line < all->n_lines; ++line) {
    double most = 0;
    if (all->lines[line].pull != pull) continue;
    for (size_t i = 0; i < all->n_levels; ++i)
      if (all->levels[i].line == (int)line) most = fmax(most, all->levels[i].area_mm2);
    sum += most;
  }
  return sum;
}

/* ---- a pull ---------------------------------------------------------------------------------- */

/* Shares the lines out to pulls: with the longest go all that are no more than a caul
 * shorter, and so on.  Returns how many there are. */
static int share_out(pull_lines *all) {
  int pulls = 0;
  for (size_t i = 0; i < all->n_lines; ++i) all->lines[i].pull = -1;
  for (; pulls < GW_PULLS_OF_AXIS; ++pulls) {
    gw_len most = 0;
    for (size_t i = 0; i < all->n_lines; ++i) {
      const pull_line *l = &all->lines[i];
      if (l->pull < 0 && l->hi - l->lo > most) most = l->hi - l->lo;
    }
    if (most == 0) break;
    for (size_t i = 0; i < all->n_lines; ++i) {
      pull_line *l = &all->lines[i];
      bool joins = l->hi - l->lo >= most - GW_CAUL || pulls + 1 == GW_PULLS_OF_AXIS;
      if (l->pull < 0 && joins) l->pull = pulls;
    }
  }
  return pulls;
}

/* Over the longest of the lines, and a caul on each end. */
static gw_len opening(const pull_lines *all, int pull) {
  gw_len most = 0;
  for (size_t i = 0; i < all->n_lines; ++i) {
    const pull_line *l = &all->lines[i];
    if (l->pull == pull && l->hi - l->lo > most) most = l->hi - l->lo;
  }
  return most + 2 * GW_CAUL;
}

/* Enough for the lines and, where a clamp's force is known, for the pressure. */
static int wanted_of(const gw_clamps *clamps, int lines, double force_n) {
  if (clamps->force_n <= 0) return lines;
  double wanted = ceil(force_n / clamps->force_n);
  return wanted > lines ? (int)fmin(wanted, 9999) : lines;
}

/* How many there are of this kind, longer ones counted in. */
static int owned_of(const gw_shop *shop, int kind) {
  int owned = 0;
  for (int i = 0; i < shop->n_clamps; ++i)
    if (shop->clamps[i].opening >= shop->clamps[kind].opening) owned += shop->clamps[i].count;
  return owned;
}

/* Of the kinds that open wide enough: one of which there are enough, then the
 * one of which fewest are wanted, then the shortest. */
static int choose_kind(const gw_shop *shop, gw_len opening_wanted, int lines, double force_n) {
  int best = -1, best_wanted = 0;
  bool best_enough = false;
  for (int i = 0; i < shop->n_clamps; ++i) {
    const gw_clamps *c = &shop->clamps[i];
    if (c->opening == GW_UNSET || c->opening < opening_wanted) continue;
    int wanted = wanted_of(c, lines, force_n);
    bool enough = wanted <= owned_of(shop, i);
    bool better = best < 0 || (enough != best_enough ? enough
                               : wanted != best_wanted ? wanted < best_wanted
                                                       : c->opening < shop->clamps[best].opening);
    if (!better) continue;
    best = i;
    best_wanted = wanted;
    best_enough = enough;
  }
  return best;
}

static gw_pull size_pull(const gw_planning *p, int root, int axis, int glue,
                         const pull_lines *all, int index) {
  const gw_shop *shop = &p->m->shop;
  gw_pull pull = {.join = root, .axis = axis, .opening = opening(all, index),
                  .area_mm2 = pressed_area(all, index)};
  for (size_t i = 0; i < all->n_lines; ++i)
    if (all->lines[i].pull == index) pull.count += all->lines[i].clamps;
  /* kPa are thousandths of N/mm2. */
  if (glue >= 0) pull.force_n = p->clock->uses[glue].pressure_kpa / 1000.0 * pull.area_mm2;
  pull.kind = choose_kind(shop, pull.opening, pull.count, pull.force_n);
  pull.wanted = pull.count;
  if (pull.kind < 0) return pull;
  pull.wanted = wanted_of(&shop->clamps[pull.kind], pull.count, pull.force_n);
  return pull;
}

gw_status gw_clock_pulls(const gw_planning *p, int first, int last, int glue, gw_pulls *out) {
  pull_lines all = {0};
  gw_status status = GW_OK;
  out->count = 0;
  for (int axis = 0; axis < 3 && status == GW_OK; ++axis) {
    status = gather(p, first, last, axis, &all);
    int pulls = status == GW_OK ? share_out(&all) : 0;
    for (int i = 0; i < pulls; ++i)
      out->items[out->count++] = size_pull(p, last - 1, axis, glue, &all, i);
  }
  free(all.lines);
  free(all.levels);
  return status;
}

/* ---- where they go --------------------------------------------------------------------------- */

static gw_status place_all(const gw_planning *p, const gw_stage *stage, const gw_pull *pull,
                           pull_lines *all, gw_arena *arena, gw_clamp_line *lines) {
  for (size_t i = 0; i < all->n_lines; ++i) {
    lines[i] = (gw_clamp_line){.clamps = all->lines[i].clamps};
    lines[i].joints = gw_arena_alloc(arena, (size_t)p->m->n_joints, sizeof *lines[i].joints);
    if (lines[i].joints == NULL) return GW_NO_MEMORY;
  }
  for (int i = 0; i < stage->n_joins; ++i) {
    const gw_join *join = &p->order->joins[stage->joins[i]];
    for (int k = 0; k < join->n_joints; ++k) {
      size_t line;
      gw_len unused;
      if (!pulls_along(p, join->joints[k], pull->axis)) continue;
      GW_TRY(line_of(p, &p->order->joins[pull->join], join->joints[k], pull->axis, all, &line,
                     &unused));
      lines[line].joints[lines[line].n_joints++] = join->joints[k];
    }
  }
  return GW_OK;
}

/* Leaves those of the one pull, which its opening tells from others of the axis. */
static int keep_own(pull_lines *all, const gw_pull *pull, gw_clamp_line *lines) {
  int kept = 0;
  share_out(all);
  for (size_t i = 0; i < all->n_lines; ++i)
    if (opening(all, all->lines[i].pull) == pull->opening) lines[kept++] = lines[i];
  return kept;
}

gw_status gw_clock_lines(const gw_model *model, const gw_fit *fit, const gw_order *order,
                         const gw_stage *stage, const gw_pull *pull, gw_arena *arena,
                         gw_clamp_line **out, int *count) {
  const gw_planning p = {.m = model, .fit = fit, .order = order};
  pull_lines all = {0};
  gw_status status = GW_OK;
  *count = 0;
  *out = NULL;
  for (int i = 0; i < stage->n_joins && status == GW_OK; ++i)
    status = gather_more(&p, &order->joins[pull->join], stage->joins[i], pull->axis, &all);
  if (status == GW_OK) *out = gw_arena_alloc(arena, all.n_lines + 1, sizeof **out);
  if (*out == NULL) status = GW_NO_MEMORY;
  if (status == GW_OK) status = place_all(&p, stage, pull, &all, arena, *out);
  if (status == GW_OK) *count = keep_own(&all, pull, *out);
  free(all.lines);
  free(all.levels);
  return status;
}

/* ---- enough of them -------------------------------------------------------------------------- */

static bool suffice(const gw_shop *shop, const gw_pulls *pulls, int *need) {
  int lacking;
  for (int i = 0; i < shop->n_clamps; ++i) need[i] = 0;
  gw_clock_need(pulls->items, pulls->count, need);
  return gw_clock_lacking(shop, need, &lacking) < 0;
}

/* One more to each pull in turn while there are any left. */
static void raise_pulls(const gw_shop *shop, gw_pulls *pulls, int *need) {
  for (bool raised = true; raised;) {
    raised = false;
    for (int i = 0; i < pulls->count; ++i) {
      gw_pull *pull = &pulls->items[i];
      if (pull->count >= pull->wanted) continue;
      ++pull->count;
      if (suffice(shop, pulls, need)) raised = true;
      else --pull->count;
    }
  }
}

gw_status gw_pulls_fit(const gw_shop *shop, gw_pulls *pulls, bool raise, bool *enough) {
  *enough = true;
  if (shop->n_clamps == 0 || pulls->count == 0) return GW_OK;
  int *need = malloc((size_t)shop->n_clamps * sizeof *need);
  if (need == NULL) return GW_NO_MEMORY;
  *enough = suffice(shop, pulls, need);
  if (*enough && raise) raise_pulls(shop, pulls, need);
  free(need);
  return GW_OK;
}

int gw_pulls_sum(const gw_pull *pulls, int count, bool wanted) {
  int sum = 0;
  for (int i = 0; i < count; ++i) sum += wanted ? pulls[i].wanted : pulls[i].count;
  return sum;
}

/* ---- against the shop ------------------------------------------------------------------------ */

void gw_clock_need(const gw_pull *pulls, int count, int *need) {
  for (int i = 0; i < count; ++i)
    if (pulls[i].kind >= 0) need[pulls[i].kind] += pulls[i].count;
}

int gw_clock_lacking(const gw_shop *shop, const int *need, int *lacking) {
  int worst = -1;
  *lacking = 0;
  for (int kind = 0; kind < shop->n_clamps; ++kind) {
    int wanted = 0;
    for (int i = 0; i < shop->n_clamps; ++i)
      if (shop->clamps[i].opening >= shop->clamps[kind].opening) wanted += need[i];
    if (wanted - owned_of(shop, kind) <= *lacking) continue;
    *lacking = wanted - owned_of(shop, kind);
    worst = kind;
  }
  return worst;
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
  const gw_shop *shop = &p->m->shop;
  int *need = calloc((size_t)shop->n_clamps, sizeof *need), lacking;
  if (need == NULL) return GW_NO_MEMORY;
  gw_clock_need(stage->pulls, stage->n_pulls, need);
  int kind = gw_clock_lacking(shop, need, &lacking);
  free(need);
  if (kind < 0) return GW_OK;
  int owned = owned_of(shop, kind);
  char opening_words[GW_LEN_TEXT];
  gw_len_text(shop->clamps[kind].opening, p->m->units, opening_words, sizeof opening_words);
  return gw_find(
      p->findings, GW_WARNING, "clamps-too-few", shop->clamps[kind].line,
      "a stage wants %d clamps that open to %s or more and the shop has %d; get %d more, "
      "or glue it in more stages",
      owned + lacking, opening_words, owned, lacking);
}

static gw_status say_weak(gw_planning *p, const gw_stage *stage, const gw_pull *pull) {
  static const char *const along[] = {"left to right", "front to back", "bottom to top"};
  const gw_clamps *clamps = &p->m->shop.clamps[pull->kind];
  const gw_glue_use *use = &p->clock->uses[stage->glue];
  return gw_find(
      p->findings, GW_WARNING, "clamps-too-weak", clamps->line,
      "the glue \"%s\" wants %.2f N/mm\xC2\xB2 on wood like this, %.1f kN on the %.0f cm\xC2\xB2 that a stage "
      "presses %s, and %d %s clamps give %.1f kN; set %d, use stronger ones, or rely on "
      "a close fit",
      use->glue->id, use->pressure_kpa / 1000.0, pull->force_n / 1000, pull->area_mm2 / 100,
      along[pull->axis], pull->count, clamps->kind, (double)clamps->force_n * pull->count / 1000,
      pull->wanted);
}

gw_status gw_clock_say_clamps(gw_planning *p, const gw_stage *stage) {
  if (p->m->shop.n_clamps == 0) return GW_OK;
  for (int i = 0; i < stage->n_pulls; ++i) {
    const gw_pull *pull = &stage->pulls[i];
    if (pull->kind < 0) GW_TRY(say_short(p, pull));
    else if (pull->wanted > pull->count) GW_TRY(say_weak(p, stage, pull));
  }
  return say_few(p, stage);
}
