#include "sheets/session.h"

#include <math.h>
#include <string.h>

#define HARD_SPACE "\xC2\xA0"
static const char *const SPANS[3] = {"left to right", "front to back", "bottom to top"};

/* ---- names ---------------------------------------------------------------------------- */

const char *gw_session_joint(const gw_sheets_job *job, int joint, char *buffer) {
  if (job->marks == NULL) return "?";
  return gw_mark_show(&job->marks->joints[joint], buffer);
}

const char *gw_session_letter(const gw_sheets_job *job, int part) {
  return job->marks == NULL ? "?" : job->marks->parts[part].text;
}

const char *gw_session_part(const gw_sheets_job *job, gw_arena *arena, int part) {
  return gw_arena_printf(arena, "%s (%s)", job->model->parts[part].name,
                         gw_session_letter(job, part));
}

const char *gw_session_list(const gw_sheets_job *job, gw_arena *arena, const int *items, int count,
                            bool parts) {
  const char *text = "";
  char buffer[GW_MARK_SHOWN];
  for (int i = 0; i < count && text != NULL; ++i)
    text = gw_arena_printf(arena, "%s%s%s", text,
                           i == 0 ? "" : i + 1 == count ? " and" HARD_SPACE : ", ",
                           parts ? gw_session_letter(job, items[i])
                                 : gw_session_joint(job, items[i], buffer));
  return text;
}

/* With hard spaces, so that no line ends within a length. */
static const char *unbroken(gw_arena *arena, const char *number, const char *unit) {
  const char *fraction = strchr(number, ' ');
  if (fraction == NULL) return gw_arena_printf(arena, "%s" HARD_SPACE "%s", number, unit);
  return gw_arena_printf(arena, "%.*s" HARD_SPACE "%s" HARD_SPACE "%s", (int)(fraction - number),
                         number, fraction + 1, unit);
}

const char *gw_session_length(const gw_sheets_job *job, gw_arena *arena, gw_len length) {
  char buffer[GW_LEN_TEXT];
  gw_units units = job->model->units;
  /* Of pieces that lean nothing is round: as fine as a rule is read. */
  if (job->fit != NULL && job->fit->slants != NULL) length = gw_len_fine(length, units);
  return unbroken(arena, gw_len_text(length, units, buffer, sizeof buffer),
                  units == GW_UNITS_MM ? "mm" : "in");
}

const char *gw_session_number(const gw_sheets_job *job, gw_arena *arena, double mm) {
  char buffer[GW_LEN_TEXT];
  gw_units units = job->model->units;
  bool inches = units == GW_UNITS_INCH;
  gw_len length = gw_len_fine((gw_len)llround(mm * GW_MM), units);
  if (length == 0 && mm > 0)
    return gw_arena_printf(arena, "under" HARD_SPACE "%s", inches ? "1/64" HARD_SPACE "in"
                                                                  : "0.1" HARD_SPACE "mm");
  return unbroken(arena, gw_len_text(length, units, buffer, sizeof buffer),
                  inches ? "in" : "mm");
}

const char *gw_session_duration(gw_arena *arena, int64_t seconds) {
  long long minutes = (long long)((seconds + 59) / 60);
  if (minutes < 60) return gw_arena_printf(arena, "%lld min", minutes);
  if (minutes % 60 == 0) return gw_arena_printf(arena, "%lld h", minutes / 60);
  return gw_arena_printf(arena, "%lld h %lld min", minutes / 60, minutes % 60);
}

const char *gw_session_people(const gw_sheets_job *job, gw_arena *arena, const gw_step *step) {
  if (step->hands > 1 && step->hands >= job->model->shop.hands)
    return job->model->shop.hands == 2 ? "both" : "all";
  if (step->hands > 1) return gw_arena_printf(arena, "P%d +%d", step->hand + 1, step->hands - 1);
  return gw_arena_printf(arena, "P%d", step->hand + 1);
}

/* ---- findings ----------------------------------------------------------------------------- */

const char *gw_session_sentence(gw_arena *arena, const char *words) {
  char *text = words == NULL ? NULL : gw_arena_text(arena, words);
  if (text != NULL && text[0] >= 'a' && text[0] <= 'z') text[0] = (char)(text[0] - 'a' + 'A');
  return text;
}

static bool goes_on(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
         c == '_' || (unsigned char)c >= 0x80;
}

/* The part of the finding whose id the words begin with, or -1. */
static int part_at(const gw_model *m, const gw_finding *found, const char *words) {
  int best = -1;
  size_t most = 0;
  for (int i = 0; i < found->n_parts; ++i) {
    const char *id = m->parts[found->parts[i]].id;
    size_t length = strlen(id);
    bool ends = strncmp(words, id, length) == 0 && !goes_on(words[length]) &&
                !(words[length] == '.' && goes_on(words[length + 1]));
    if (!ends || length <= most) continue;
    best = found->parts[i];
    most = length;
  }
  return best;
}

/* Whether the words go on with the id of a part in a group, which is no other word. */
static bool grouped_at(const gw_model *m, const gw_finding *found, const char *words) {
  int part = part_at(m, found, words);
  return part >= 0 && strchr(m->parts[part].id, '.') != NULL;
}

/* How long the link is after which another id may come, or 0. */
static size_t link_at(const char *words, bool in_list) {
  static const char *const links[] = {" of ", ", and ", " mate on ", ", ", " and "};
  for (size_t i = 0; i < (in_list ? 5 : 3); ++i)
    if (strncmp(words, links[i], strlen(links[i])) == 0) return strlen(links[i]);
  return 0;
}

const char *gw_session_finding(const gw_sheets_job *job, gw_arena *arena, const gw_finding *found) {
  const char *words = found->words, *text = "";
  bool in_list = true; /* of ids that the sentence begins with */
  while (words != NULL && *words != '\0' && text != NULL) {
    int part = part_at(job->model, found, words);
    if (part >= 0) {
      const char *name = gw_session_part(job, arena, part);
      if (name == NULL) return NULL;
      text = gw_arena_printf(arena, "%s%s", text, name);
      words += strlen(job->model->parts[part].id);
      in_list = true; /* ", and b, c and d also go in" */
    } else {
      in_list = false;
    }
    const char *from = words;
    size_t link = link_at(words, in_list);
    while (link == 0 && *words != '\0') {
      bool begins = !goes_on(*words++) && words[-1] != '.';
      if (begins && grouped_at(job->model, found, words)) break;
      link = link_at(words, false);
    }
    words += link;
    if (text != NULL)
      text = gw_arena_printf(arena, "%s%.*s", text, (int)(words - from), from);
  }
  return gw_session_sentence(arena, text);
}

/* ---- what must lie ready -------------------------------------------------------------- */

static bool in_stage(const gw_stage *stage, int join) {
  for (int i = 0; i < stage->n_joins; ++i)
    if (stage->joins[i] == join) return true;
  return false;
}

static int stage_of(const gw_clock *clock, int join) {
  for (int i = 0; i < clock->n_stages; ++i)
    if (in_stage(&clock->stages[i], join)) return i;
  return -1;
}

static size_t take_side(const gw_sheets_job *job, const gw_stage *stage, int join,
                        const int *parts, int count, gw_needed *needed) {
  if (join >= 0) {
    if (in_stage(stage, join)) return 0;
    needed[0] = (gw_needed){-1, join, stage_of(job->clock, join)};
    return 1;
  }
  needed[0] = (gw_needed){count > 0 ? parts[0] : -1, -1, -1};
  return count > 0;
}

size_t gw_session_needs(const gw_sheets_job *job, int index, gw_needed *needed) {
  const gw_stage *stage = &job->clock->stages[index];
  size_t count = 0;
  for (int i = 0; i < stage->n_joins; ++i) {
    const gw_join *j = &job->order->joins[stage->joins[i]];
    count += take_side(job, stage, j->onto_join, j->onto, j->n_onto, needed + count);
    count += take_side(job, stage, j->moving_join, j->moving, j->n_moving, needed + count);
  }
  return count;
}

const int *gw_session_parts_of(const gw_sheets_job *job, const gw_needed *needed, int *count) {
  if (needed->part >= 0) {
    *count = 1;
    return &needed->part;
  }
  /* The join that takes it up has its parts as one side. */
  for (int i = needed->join + 1; i < job->order->n_joins; ++i) {
    const gw_join *j = &job->order->joins[i];
    bool moves = j->moving_join == needed->join;
    if (!moves && j->onto_join != needed->join) continue;
    *count = moves ? j->n_moving : j->n_onto;
    return moves ? j->moving : j->onto;
  }
  *count = 0;
  return NULL;
}

/* ---- clamps and glue ------------------------------------------------------------------ */

const char *gw_session_clamps(const gw_sheets_job *job, gw_arena *arena, const gw_pull *pull) {
  const char *opening = gw_session_length(job, arena, pull->opening);
  if (opening == NULL) return NULL;
  const char *kind = pull->kind >= 0 ? job->model->shop.clamps[pull->kind].kind : NULL;
  const char *lack = "";
  if (pull->kind < 0 && job->model->shop.n_clamps > 0) lack = " (the shop has none so long)";
  if (pull->kind >= 0 && pull->wanted > pull->count)
    lack = gw_arena_printf(arena, " (the pressure wants %d; no" HARD_SPACE "more are free)",
                           pull->wanted);
  if (lack == NULL) return NULL;
  return gw_arena_printf(arena, "%d" HARD_SPACE "%s%sclamp%s opened to %s, %s%s", pull->count, kind ? kind : "",
                         kind ? " " : "", pull->count == 1 ? "" : "s", opening,
                         SPANS[pull->axis], lack);
}

static void widen(const gw_fit *fit, const int *parts, int count, int axis, gw_len *lo,
                  gw_len *hi) {
  for (int i = 0; i < count; ++i) {
    const gw_box box = gw_fit_around(fit, parts[i]);
    if (box.lo[axis] < *lo) *lo = box.lo[axis];
    if (box.hi[axis] > *hi) *hi = box.hi[axis];
  }
}

/* A part's level section at a height; empty where it does not reach there. */
static gw_box section_at(const gw_fit *fit, int part, gw_len height) {
  gw_solid solid = gw_fit_solid(fit, part, fit->boxes[part]);
  if (height < fit->boxes[part].lo[GW_Z] || height > fit->boxes[part].hi[GW_Z])
    return (gw_box){{INT64_MAX, INT64_MAX, INT64_MAX}, {INT64_MIN, INT64_MIN, INT64_MIN}};
  return gw_solid_section(&solid, height);
}

/* By how many degrees the cauls of a level pull must taper: by the lean of what reaches
 * farthest on either side, at the height of its joints.  *one: on one side alone. */
static double taper(const gw_sheets_job *job, const gw_pull *pull, bool *one) {
  const gw_join *join = &job->order->joins[pull->join];
  const gw_box joint = gw_fit_joint_box(job->fit, job->model, join->joints[0]);
  gw_len height = joint.lo[GW_Z] + (joint.hi[GW_Z] - joint.lo[GW_Z]) / 2;
  gw_len reach[2] = {INT64_MAX, INT64_MIN};
  int32_t lean[2] = {0, 0};
  for (int i = 0; i < join->n_moving + join->n_onto && job->fit->slants != NULL; ++i) {
    int part = i < join->n_moving ? join->moving[i] : join->onto[i - join->n_moving];
    const gw_box box = section_at(job->fit, part, height);
    const gw_len ends[2] = {box.lo[pull->axis], box.hi[pull->axis]};
    for (int k = 0; k < 2; ++k) {
      if (k == 0 ? ends[k] >= reach[k] : ends[k] <= reach[k]) continue;
      reach[k] = ends[k];
      lean[k] = job->fit->slants[part].side[2 * pull->axis + k];
      if (lean[k] < 0) lean[k] = -lean[k];
    }
  }
  *one = (lean[0] == 0) != (lean[1] == 0);
  return gw_lean_degrees(lean[0] > lean[1] ? lean[0] : lean[1]);
}

/* By how many degrees the legs that stand lowest are out of plumb: a clamp from seat to
 * foot runs along one, and its cauls lie on what is level. */
static double leg_taper(const gw_sheets_job *job, const gw_pull *pull) {
  const gw_join *join = &job->order->joins[pull->join];
  gw_len lo = INT64_MAX, hi = INT64_MIN;
  double most = 0;
  widen(job->fit, join->moving, join->n_moving, GW_Z, &lo, &hi);
  widen(job->fit, join->onto, join->n_onto, GW_Z, &lo, &hi);
  for (int i = 0; i < join->n_moving + join->n_onto; ++i) {
    int part = i < join->n_moving ? join->moving[i] : join->onto[i - join->n_moving];
    const gw_box box = gw_fit_around(job->fit, part);
    if (box.lo[GW_Z] <= lo + GW_MM)
      most = fmax(most, gw_lean_resultant(job->model->parts[part].lean));
  }
  return most;
}

const char *gw_session_tapers(const gw_sheets_job *job, gw_arena *arena, const gw_stage *stage) {
  static const char *const along[] = {"left to right", "front to back"};
  const char *text = "", *legs = "";
  for (int i = 0; i < stage->n_pulls && text != NULL && legs != NULL; ++i) {
    const gw_pull *pull = &stage->pulls[i];
    bool one = false;
    double by = pull->axis == GW_Z ? leg_taper(job, pull) : taper(job, pull, &one);
    if (by <= 0 || (i > 0 && stage->pulls[i - 1].axis == pull->axis)) continue;
    if (pull->axis == GW_Z)
      legs = gw_arena_printf(arena, "; tapered %.1f\xC2\xB0 on top and under the feet, as these "
                             "clamps run along the legs", by);
    else
      text = gw_arena_printf(arena, "%s%s%.1f\xC2\xB0 %s%s", text,
                             text[0] ? ", " : "; tapered to sit on the leaning faces, so that the "
                                              "clamps pull level: ", by, along[pull->axis],
                             one ? ", one of each two" : "");
  }
  return text == NULL || legs == NULL ? NULL : gw_arena_printf(arena, "%s%s", text, legs);
}

int gw_session_pot_grams(double grams) {
  int fives = (int)ceil(grams * 1.25 / 5 - 1e-9);
  return fives < 1 ? 5 : 5 * fives;
}

/* ---- times ---------------------------------------------------------------------------- */

static bool is_wet(const gw_sheets_job *job, const gw_step *step) {
  return step->action == GW_BRING && job->order->joins[step->join].n_glued > 0;
}

int gw_session_grab(const gw_sheets_job *job, const gw_stage *stage) {
  if (stage->glue < 0) return -1;
  int grab = -1;
  for (int i = 0; i < stage->n_steps; ++i) {
    if (!is_wet(job, &stage->steps[i])) continue;
    int holds = stage->steps[i].end_s + job->clock->uses[stage->glue].closed_s;
    if (grab < 0 || holds < grab) grab = holds;
  }
  return grab;
}

int gw_session_pull_apart(const gw_sheets_job *job, const gw_stage *stage) {
  int grab = gw_session_grab(job, stage);
  return grab >= 0 && grab < stage->pull_apart_s ? grab : stage->pull_apart_s;
}

static const gw_step *bring_of(const gw_stage *stage, int join) {
  for (int i = 0; i < stage->n_steps; ++i)
    if (stage->steps[i].action == GW_BRING && stage->steps[i].join == join) return &stage->steps[i];
  return NULL;
}

double gw_session_open_used(const gw_sheets_job *job, const gw_stage *stage, int t, bool closing) {
  if (stage->glue < 0) return 0;
  double most = 0, open = job->clock->uses[stage->glue].open_s;
  for (int i = 0; i < stage->n_steps && open > 0; ++i) {
    const gw_step *spread = &stage->steps[i];
    if (spread->action != GW_SPREAD || spread->start_s > t) continue;
    const gw_step *bring = bring_of(stage, spread->join);
    bool over = bring != NULL && (closing ? bring->end_s < t : bring->end_s <= t);
    if (over) continue;
    double used = (t - spread->start_s) / open;
    if (used > most) most = used;
  }
  return most;
}

const char *gw_session_rescue(gw_glue_family family) {
  switch (family) {
    case GW_WATER_BORNE:
      return "Knock it apart with mallet and block. Wipe and scrape all glue off with a wet rag "
             "while it is soft. Let the wood dry till it feels dry and no longer cool, at best "
             "overnight; try it dry; start again with fresh glue.";
    case GW_GELLING:
      return "Knock it apart. Warm water softens the glue: wipe it off, or leave a thin coat, "
             "since new hot glue melts into old. Warm the parts and start again.";
    case GW_REACTING:
      return "Knock it apart at once: water does not stop this glue. Gloves on; scrape it off, "
             "wipe with what the glue's label names. Start again with fresh glue; what has "
             "hardened must be scraped or planed to bare wood.";
  }
  return "";
}

/* "18 Â°C, 55 % humidity", kept on one line each. */
static const char *air_words(const gw_sheets_job *job, gw_arena *arena) {
  const gw_shop *shop = &job->model->shop;
  return gw_arena_printf(arena,
                         "%g" HARD_SPACE "\xC2\xB0"
                         "C, %d" HARD_SPACE "%%" HARD_SPACE "humidity",
                         shop->temperature_dc / 10.0, shop->humidity_pc);
}

const char *gw_session_open_words(const gw_sheets_job *job, gw_arena *arena,
                                  const gw_glue_use *use) {
  const char *air = air_words(job, arena);
  const char *own = use->typical_open ? "," : " from the project file,";
  if (air == NULL) return NULL;
  if (gw_air_outside(use->air))
    return gw_arena_printf(arena, "%s not changed for the air in the shop (%s): %s.", own, air,
                           gw_air_words(use->air));
  if (use->effect.open_pm == GW_AIR_SAME_PM)
    return gw_arena_printf(arena, "%s not changed by the air in the shop (%s).", own, air);
  return gw_arena_printf(arena,
                         "%s times %.2f%s for the air in the shop (%s; reckoned, not measured).", own, use->effect.open_pm / 1000.0,
                         use->air == GW_AIR_CUT_OFF ? " at most" : "", air);
}
