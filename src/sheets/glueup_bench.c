/* glueup_bench.c - what must lie ready before the glue is opened, and how the
 * list is read. */
#include <stdlib.h>
#include <string.h>

#include "sheets/glueup_inner.h"

#define HARD_SPACE "\xC2\xA0"

/* ---- what must lie on the bench ------------------------------------------------------- */

/* No one checks more letters than this: the number is told, and those that the
 * stage joins to, when they are not many. */
enum { MANY = 12, AMONG = 6 };

static bool met_in_stage(const glueing *g, int part) {
  const gw_model *m = g->job->model;
  for (int i = 0; i < g->stage->n_joins; ++i) {
    const gw_join *join = &g->job->order->joins[g->stage->joins[i]];
    for (int k = 0; k < join->n_joints; ++k) {
      const gw_joint *joint = &m->joints[join->joints[k]];
      if (gw_joint_enters(m, joint) == part || gw_joint_receives(m, joint) == part) return true;
    }
  }
  return false;
}

/* ", NR and RK among them" */
static const char *among_words(glueing *g, const int *parts, int count) {
  int met[AMONG], n = 0;
  for (int i = 0; i < count; ++i) {
    if (!met_in_stage(g, parts[i])) continue;
    if (n == AMONG) return "";
    met[n++] = parts[i];
  }
  if (n == 0) return "";
  return SAY(g, ", %s among them",
             OR(g, gw_session_list(g->job, g->flow.arena, met, n, true)));
}

static const char *needed_words(glueing *g, const gw_needed *needed) {
  if (needed->part >= 0)
    return SAY(g, "%s  %s", gw_session_letter(g->job, needed->part),
               g->job->model->parts[needed->part].name);
  int count;
  const int *parts = gw_session_parts_of(g->job, needed, &count);
  const char *off =
      g->job->clock->stages[needed->stage].n_pulls > 0 ? ", out of its clamps" : "";
  if (count > MANY)
    return SAY(g, "From stage %d%s: %d parts that are together%s", needed->stage + 1, off, count,
               among_words(g, parts, count));
  int group = gw_session_common_group(g->job, parts, count);
  const char *from = group < 0 ? "From" : SAY(g, "%s from", g->job->model->groups[group].name);
  return SAY(g, "%s stage %d%s: %s", from, needed->stage + 1, off,
             OR(g, gw_session_list(g->job, g->flow.arena, parts, count, true)));
}

/* Letters that are in both lower case and capitals. */
static bool says_glass(const char *words) {
  static const char glass[] = "glass";
  for (; words != NULL && *words != '\0'; ++words) {
    size_t i = 0;
    while (i < 5 && (words[i] | 0x20) == glass[i]) ++i;
    if (i == 5) return true;
  }
  return false;
}

bool gw_glueup_glass(const glueing *g) {
  for (int i = 0; i < g->stage->n_joins; ++i) {
    const gw_join *join = &g->job->order->joins[g->stage->joins[i]];
    for (int k = 0; k < join->n_moving && join->n_glued == 0; ++k) {
      const gw_part *part = &g->job->model->parts[join->moving[k]];
      if (says_glass(part->material) || says_glass(part->name)) return true;
    }
  }
  return false;
}

static bool is_long(glueing *g, const gw_needed *needed) {
  int count = 0;
  if (needed->part < 0) gw_session_parts_of(g->job, needed, &count);
  return count > 4;
}

static void lay_out_parts(glueing *g) {
  gw_needed *needed =
      gw_arena_alloc(g->flow.arena, (size_t)g->stage->n_joins * 2 + 1, sizeof *needed);
  if (needed == NULL) {
    g->flow.no_memory = true;
    return;
  }
  size_t count = gw_session_needs(g->job, g->index, needed);
  gw_flow_row beside = {.columns = count > 4 ? 3 : 2};
  for (size_t i = 0; i < count; ++i) /* many letters would fill a column to the foot */
    if (is_long(g, &needed[i]))
      gw_flow_tick(&g->flow, gw_flow_bench(&g->flow), needed_words(g, &needed[i]));
  for (size_t i = 0; i < count; ++i)
    if (!is_long(g, &needed[i]))
      gw_flow_tick_in(&g->flow, &beside, gw_flow_bench(&g->flow), needed_words(g, &needed[i]));
  gw_flow_row_end(&g->flow, &beside);
}

static void lay_out_clamps(glueing *g) {
  int clamps = 0;
  gw_type bench = gw_flow_bench(&g->flow);
  for (int i = 0; i < g->stage->n_pulls; ++i) {
    const gw_pull *pull = &g->stage->pulls[i];
    clamps += pull->count;
    gw_flow_tick(&g->flow, bench, OR(g, gw_session_clamps(g->job, g->flow.arena, pull)));
  }
  if (clamps == 0) return;
  gw_flow_tick(&g->flow, bench,
               SAY(g, "%d cauls %s thick, two to a clamp, taped or waxed; the openings include "
                      "them%s", 2 * clamps,
                   OR(g, gw_session_length(g->job, g->flow.arena, GW_CAUL)),
                   OR(g, gw_session_tapers(g->job, g->flow.arena, g->stage))));
}

static bool has_mortises(const glueing *g) {
  for (int i = 0; i < g->stage->n_steps; ++i) {
    const gw_step *step = &g->stage->steps[i];
    if (step->action == GW_SPREAD && g->job->model->joints[step->joint].kind == GW_MORTISE_TENON)
      return true;
  }
  return false;
}

/* What the lines of a dry stage want: hands for glass, and no tape without
 * something to measure. */
static void lay_out_dry_tools(glueing *g) {
  gw_type bench = gw_flow_bench(&g->flow);
  gw_flow_row beside = {.columns = 2};
  if (!gw_glueup_glass(g)) gw_flow_tick_in(&g->flow, &beside, bench, "mallet and a block");
  if (g->measures) gw_flow_tick_in(&g->flow, &beside, bench, "square");
  if (g->measures) gw_flow_tick_in(&g->flow, &beside, bench, "tape measure or pinch rods");
  gw_flow_tick_in(&g->flow, &beside, bench, "pegs, screws or whatever is to hold it");
  gw_flow_row_end(&g->flow, &beside);
}

static void lay_out_tools(glueing *g) {
  static const char *const common[] = {"mallet and a block", "square", "tape measure or pinch rods",
                                       "pencil, and a clock in sight"};
  const char *const wet[] = {has_mortises(g) ? "brush, and a stick for the mortises" : "brush",
                             "water and two rags"};
  static const char *const reacting[] = {"spreader, mixing board", "gloves, rags, and the cleaner "
                                         "that the glue's label names"};
  gw_type bench = gw_flow_bench(&g->flow);
  gw_flow_row beside = {.columns = 2};
  for (int i = 0; i < 2; ++i)
    gw_flow_tick_in(&g->flow, &beside, bench,
                    g->use->kind->family == GW_REACTING ? reacting[i] : wet[i]);
  for (int i = 0; i < 4; ++i)
    if ((i != 2 || g->measures) && (i != 1 || strncmp(g->check, "see ", 4) != 0))
      gw_flow_tick_in(&g->flow, &beside, bench, common[i]);
  gw_flow_row_end(&g->flow, &beside);
}

static void lay_out_glue(glueing *g) {
  gw_flow_tick(&g->flow, gw_flow_bench(&g->flow),
               SAY(g, "%s, \"%s\": %s on the wood; have %d" HARD_SPACE "g" HARD_SPACE "ready",
                   OR(g, gw_session_sentence(g->flow.arena, g->use->kind->words)),
                   g->use->glue->id,
                   g->stage->grams < 1 ? "less than 1" HARD_SPACE "g"
                                       : SAY(g, "about %.0f" HARD_SPACE "g", g->stage->grams),
                   gw_session_pot_grams(g->stage->grams)));
}

/* ---- time ----------------------------------------------------------------------------- */

/* "12 min 34 s", kept on one line. */
static const char *span_words(glueing *g, int seconds) {
  int min = seconds / 60, s = seconds % 60;
  if (min == 0) return SAY(g, "%d" HARD_SPACE "s", s);
  if (s == 0) return SAY(g, "%d" HARD_SPACE "min", min);
  return SAY(g, "%d" HARD_SPACE "min" HARD_SPACE "%d" HARD_SPACE "s", min, s);
}

/* What the margin is worth. */
static const char *margin_words(const glueing *g) {
  if (!g->stage->fits || g->stage->margin_pm < 10 * g->job->model->shop.margin_pc)
    return ". THIS PLAN IS TOO TIGHT: rehearse till it is quicker, take a helper or a slower glue";
  return "";
}

/* Where the times of the lines come from. */
static const char *rate_words(const glueing *g) {
  int typical = 0;
  for (int i = 0; i < g->stage->n_steps; ++i)
    typical += g->stage->steps[i].source == GW_TYPICAL_RATE;
  if (typical == 0) return "How long a line takes is your own figure, or from your rehearsal.";
  return typical == g->stage->n_steps
             ? "How long a line takes is a planning figure (common practice, no source): your "
               "rehearsal replaces it."
             : "How long a line takes is your own figure where you gave one, else a planning "
               "figure (common practice, no source): your rehearsal replaces it.";
}

/* The figures in force that the file does not state. */
static const char *typical_words(glueing *g) {
  const gw_glue *own = g->use->glue;
  const gw_glue_kind *kind = g->use->kind;
  const struct { bool is; const char *name; } figures[] = {
      {g->use->typical_open, "open time"},
      {own->closed_s < 0, "closed time"},
      {own->clamp_s < 0, g->stage->n_pulls > 0 ? "clamp time" : "setting time"},
      {own->cure_s < 0, "time to full strength"},
      {own->pot_s < 0 && kind->pot_s.value > 0, "pot life"},
      {own->spread_gm2 < 0, "grams"},
      {own->pressure_kpa < 0 && g->stage->n_pulls > 0, "pressure"}};
  enum { FIGURES = sizeof figures / sizeof *figures };
  int count = 0, said = 0;
  const char *text = "";
  for (int i = 0; i < FIGURES; ++i) count += figures[i].is;
  for (int i = 0; i < FIGURES; ++i) {
    if (!figures[i].is) continue;
    text = SAY(g, "%s%s%s", text, said == 0 ? "" : said + 1 == count ? " and " : ", ",
               figures[i].name);
    ++said;
  }
  if (count >= 4) return " The glue's figures that the file does not state: " GW_GLUE_TYPICAL ".";
  return count == 0 ? "" : SAY(g, " The glue's %s: " GW_GLUE_TYPICAL ".", text);
}

static void tell_time(glueing *g) {
  gw_flow *flow = &g->flow;
  char whole[GW_TIME_TEXT];
  gw_flow_heading(flow, "The clock", 20);
  gw_flow_text(
      flow, gw_flow_bench(flow), 0,
      SAY(g,
          "T+0:00 is the first glue on wood. A joint has %s from first glue to faces together; the "
          "tightest takes %s, a margin of %d" HARD_SPACE "%% (%d" HARD_SPACE
          "%% asked for)%s. All is %s at T+%s.%s",
          span_words(g, g->use->open_s), span_words(g, g->stage->wet_s), g->stage->margin_pm / 10,
          g->job->model->shop.margin_pc, margin_words(g),
          g->stage->n_pulls > 0 ? "clamped" : "closed",
          gw_time_text(g->stage->end_s, whole, sizeof whole),
          g->job->model->shop.hands == 1 ? " One person." : ""));
  if (g->told_use == g->use) return;
  int own = g->use->typical_open ? g->use->kind->open_s.value : g->use->glue->open_s;
  gw_flow_text(flow, GW_FLOW_SMALL, 0,
               SAY(g, "Open time: %s%s%s", span_words(g, own),
                   OR(g, gw_session_open_words(g->job, flow->arena, g->use)), typical_words(g)));
}

/* The step of that action that comes first in the list, or NULL. */
static const gw_step *first_step(const glueing *g, gw_action action) {
  for (int i = 0; i < g->stage->n_steps; ++i) {
    const gw_step *step = &g->stage->steps[i];
    bool closes = action == GW_SPREAD || g->job->order->joins[step->join].n_joints > 0;
    if (step->action == action && closes) return step;
  }
  return NULL;
}

/* The list's own first lines as examples. */
static const char *example_words(glueing *g) {
  const gw_step *spread = first_step(g, GW_SPREAD), *bring = first_step(g, GW_BRING);
  const char *text = "";
  char mark[GW_MARK_SHOWN];
  if (spread != NULL)
    text = SAY(g, " GLUE %s: spread joint %s, %s.",
               gw_session_joint(g->job, spread->joint, mark), mark,
               g->use->kind->faces.value == 2 ? "both its faces" : "one of its two faces");
  if (bring == NULL) return text;
  const gw_join *join = &g->job->order->joins[bring->join];
  const char *moving, *onto;
  if (!gw_session_join_sides(g->job, g->flow.arena, bring->join, &moving, &onto)) {
    g->flow.no_memory = true;
    return text;
  }
  return SAY(g, "%s %s: bring %s %s %s, so that joint%s %s close%s.", text,
             OR(g, gw_session_join_action(g->job, g->flow.arena, bring->join)), moving,
             gw_session_goes_in(g->job, bring->join) ? "into" : "onto", onto,
             join->n_joints == 1 ? "" : "s",
             OR(g, gw_session_list(g->job, g->flow.arena, join->joints, join->n_joints, false)),
             join->n_joints == 1 ? "s" : "");
}

/* What differs from stage to stage, and to be said again on each. */
static void tell_reading(glueing *g) {
  gw_flow *flow = &g->flow;
  int hands = g->job->model->shop.hands;
  gw_flow_heading(flow, "Reading the list", 20);
  gw_flow_text(flow, gw_flow_bench(flow), 0,
               SAY(g,
                   "Letters are parts, numbers are joints, as they are written on the wood.%s Done "
                   "by: a line finished by then leaves time for all the lines after it; past it, "
                   "pull apart while you still may.%s Dot: a joint; ring: a hidden one; dashes: what "
                   "hides it.",
                   example_words(g),
                   hands == 1   ? ""
                   : hands == 2 ? " P1 and P2 are the two people."
                                : SAY(g, " P1 to P%d are the people.", hands)));
  const char *rates = rate_words(g);
  if (g->told_use == g->use && strcmp(g->told_rates, rates) == 0) {
    gw_flow_text(flow, gw_flow_bench(flow), 0,
                 SAY(g, "The dark wedge and the open time: see stage %d.", g->told_stage));
    return;
  }
  gw_flow_text(flow, gw_flow_bench(flow), 0,
               SAY(g,
                   "The dark wedge at the left of a line is the open time used up by the joint wet "
                   "longest: at the dashed line the margin begins, at the right edge the time is "
                   "over. %s",
                   rates));
  g->told_use = g->use;
  g->told_rates = rates;
  g->told_stage = g->index + 1;
}

/* Whether it takes up what a stage has glued. */
static bool takes_up_glued(glueing *g) {
  for (int i = 0; i < g->stage->n_joins; ++i) {
    const gw_join *join = &g->job->order->joins[g->stage->joins[i]];
    for (int s = 0; s < g->index; ++s)
      for (int k = 0; k < g->job->clock->stages[s].n_joins; ++k) {
        int before = g->job->clock->stages[s].joins[k];
        if ((before == join->moving_join || before == join->onto_join) &&
            g->job->clock->stages[s].glue >= 0)
          return true;
      }
  }
  return false;
}

static void caution(glueing *g) {
  if (g->use == NULL) {
    const char *ready = !takes_up_glued(g) ? ""
                                           : ", and that what was glued has had its time: the hour "
                                             "is in the last box of its stage";
    gw_flow_box(&g->flow, "Before you begin",
                SAY(g, "No glue in this stage. See that the work cannot topple%s.%s Practised "
                       "hands and local rules come before this sheet.", ready,
                    gw_glueup_glass(g) ? " Lay glass in by hand: no mallet near it." : ""));
    return;
  }
  const char *clamps = g->stage->n_pulls == 0
                           ? ""
                           : " Clamps hold a force: keep fingers and face out of their line, and "
                             "see that none can slip or topple the work.";
  gw_flow_box(&g->flow, "Before you begin",
              SAY(g, "%s Read the label of your own glue and its safety data sheet first: they, "
                     "practised hands and local rules win over this sheet.%s",
                  g->use->kind->cautions, clamps));
}

/* Of a piece that is made more than once. */
static void tell_copy(glueing *g) {
  gw_flow *flow = &g->flow;
  gw_type bench = gw_flow_bench(flow);
  if (g->job->model->copies <= 1) return;
  double base = flow->y + gw_flow_first_baseline(bench) + 2;
  const char *words = SAY(g, "%d of these are made, each glued by itself. This is copy",
                          g->job->model->copies);
  gw_text_line(flow->page, flow->body.x, base, bench, GW_ALIGN_LEFT, words);
  gw_flow_blank(flow, flow->body.x + gw_text_width(flow->doc, bench, words) + GW_GLUEUP_GAP,
                base + 1, 24);
  flow->y = base + 3;
}

/* ---- all of it -------------------------------------------------------------------------- */

void gw_glueup_bench(glueing *g) {
  gw_flow *flow = &g->flow;
  tell_copy(g);
  gw_flow_heading(flow, g->use != NULL ? "On the bench before the glue is opened" : "On the bench",
                  20);
  lay_out_parts(g);
  gw_flow_gap(flow, 1.5);
  lay_out_clamps(g);
  if (g->use != NULL) {
    lay_out_glue(g);
    lay_out_tools(g);
    tell_time(g);
    tell_reading(g);
  } else {
    lay_out_dry_tools(g);
  }
  gw_flow_gap(flow, 2);
  caution(g);
  gw_flow_gap(flow, 2);
}
