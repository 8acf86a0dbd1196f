/* glueup.c - the glue-up sheet: what to lay out, and the timed list for the
 * wall, stage by stage.
 *
 * Each line of the list has its action and its times in type for 1.5 m and a
 * sentence in type for 0.7 m.  The band at its left shows how much of the open
 * time has run out: a wedge that grows to the right until the joint is closed. */
#include <stdlib.h>
#include <string.h>

#include "sheets/picture.h"
#include "sheets/session.h"
#include "sheets/table.h"

static const double BAND = 9.0;       /* width of the band, mm */
static const double NUMBER = 9.5;     /* of the line's number */
static const double TICK = 9.0;       /* side of a box to tick */
static const double REAL = 18.0;      /* the blank for the real time */
static const double GAP = 2.5;
static const double CAPTION_LEAST = 10; /* points */
static const double PAD = 1.0;        /* above and below what stands in a line */

typedef struct glueing {
  gw_flow flow;
  const gw_sheets_job *job;
  int index;               /* of the stage */
  const gw_stage *stage;
  const gw_glue_use *use;  /* NULL in a dry stage */
  const char *title;
  bool list;               /* the pages of the timed list have column heads */
  double line_h, base_h;   /* a line in wall type, and its baseline under its top */
  double time_w, who_w;    /* columns; 0: not there */
  double x_text, x_at, x_by, x_tick, x_real, x_who;
} glueing;

#define SAY(g, ...) gw_flow_say(&(g)->flow, __VA_ARGS__)
#define OR(g, text) gw_flow_text_or(&(g)->flow, (text))

/* ---- columns -------------------------------------------------------------------------- */

/* "T+" in bench type, the figures in wall type. */
static const char *time_sign(int seconds) { return seconds < 0 ? "T\xE2\x88\x92" : "T+"; }

static double time_width(glueing *g, int seconds) {
  char buffer[GW_TIME_TEXT];
  gw_time_text(abs(seconds), buffer, sizeof buffer);
  return gw_text_width(g->flow.doc, gw_flow_bench(&g->flow), time_sign(seconds)) + 0.6 +
         gw_text_width(g->flow.doc, gw_flow_wall(&g->flow), buffer);
}

static void draw_time(glueing *g, double x, double base, int seconds) {
  char buffer[GW_TIME_TEXT];
  gw_time_text(abs(seconds), buffer, sizeof buffer);
  gw_type small = gw_flow_bench(&g->flow);
  const char *sign = time_sign(seconds);
  gw_text_line(g->flow.page, x, base, small, GW_ALIGN_LEFT, sign);
  gw_text_line(g->flow.page, x + gw_text_width(g->flow.doc, small, sign) + 0.6, base,
               gw_flow_wall(&g->flow), GW_ALIGN_LEFT, buffer);
}

/* A line of wall type stands alone, so it takes its capitals and what hangs
 * below them (brackets, the bar of a mark), not the height for a paragraph. */
static void set_line(glueing *g) {
  gw_type wall = gw_flow_wall(&g->flow);
  g->base_h = gw_cap_height(g->flow.doc, wall) + 0.8;
  g->line_h = g->base_h + gw_text_mark_drop(wall.size) + 0.2;
}

static void set_columns(glueing *g) {
  set_line(g);
  g->time_w = g->who_w = 0;
  for (int i = 0; g->use != NULL && i < g->stage->n_steps; ++i) {
    const gw_step *step = &g->stage->steps[i];
    double at = time_width(g, step->start_s), by = time_width(g, step->stop_by_s);
    if (at > g->time_w) g->time_w = at;
    if (step->stop_by_s >= 0 && by > g->time_w) g->time_w = by;
  }
  for (int i = 0; g->job->model->shop.hands > 1 && i < g->stage->n_steps; ++i) {
    const char *who = OR(g, gw_session_people(g->job, g->flow.arena, &g->stage->steps[i]));
    double width = gw_text_width(g->flow.doc, GW_TYPE_BOLD(g->flow.bench), who);
    if (width > g->who_w) g->who_w = width;
  }
  double right = g->flow.body.x + g->flow.body.w;
  g->x_real = right - REAL;
  g->x_tick = g->x_real - GAP - TICK;
  g->x_who = g->x_tick - (g->who_w > 0 ? GAP + g->who_w : 0);
  double frame = g->who_w > 0 ? 0 : 1.2; /* keeps the frame clear of the box to tick */
  g->x_by = g->x_who - (g->use != NULL ? GAP + frame + g->time_w : 0);
  g->x_at = g->x_by - (g->use != NULL ? 2 * GAP + g->time_w : 0);
  g->x_text = g->flow.body.x + (g->use != NULL ? BAND + GAP : 0) + NUMBER;
}

static void column_heads(glueing *g) {
  gw_flow *flow = &g->flow;
  gw_type type = GW_TYPE_BOLD(flow->bench);
  double base = flow->y + gw_flow_first_baseline(type);
  if (g->use != NULL) {
    gw_text_line(flow->page, g->x_at, base, type, GW_ALIGN_LEFT, "start");
    gw_text_line(flow->page, g->x_by, base, type, GW_ALIGN_LEFT, "done by");
  }
  if (g->who_w > 0) gw_text_line(flow->page, g->x_who, base, type, GW_ALIGN_LEFT, "who");
  gw_text_line(flow->page, g->x_text, base, type, GW_ALIGN_LEFT, "do");
  gw_text_line(flow->page, g->x_real, base, type, GW_ALIGN_LEFT, "real");
  flow->y += gw_line_height(type) + 1;
}

/* Every page of a stage begins with this. */
static void page_head(gw_flow *flow, void *data) {
  glueing *g = data;
  char apart[GW_TIME_TEXT];
  const char *right = "";
  if (g->list && g->use != NULL)
    right = SAY(g, "no undoing after T+%s",
                gw_time_text(gw_session_pull_apart(g->job, g->stage), apart, sizeof apart));
  gw_flow_title(flow, g->title, g->job->model->name, right);
  if (g->list) column_heads(g);
}

/* ---- one line of the list ------------------------------------------------------------- */

typedef struct row {
  const char *action, *detail;
  bool wide;      /* the action has lines of its own under the times */
  double action_h, detail_h, height;
} row;

static double right_of(const glueing *g) { return g->flow.body.x + g->flow.body.w; }

static row make_row(glueing *g, const gw_step *step) {
  gw_flow *flow = &g->flow;
  row r = {.action = OR(g, gw_session_action(g->job, flow->arena, g->stage, step)),
           .detail = OR(g, gw_session_detail(g->job, flow->arena, g->stage, step))};
  gw_type wall = gw_flow_wall(flow);
  double beside = (g->use != NULL ? g->x_at
                   : g->who_w > 0 ? g->x_who
                                  : g->x_tick) -
                  GAP - g->x_text;
  double full = right_of(g) - g->x_text;
  const char *close = OR(g, gw_session_closer(flow->arena, r.action));
  double width = gw_text_width(flow->doc, wall, r.action);
  double closer = gw_text_width(flow->doc, wall, close);
  if ((width > beside && closer <= beside) || width > full) {
    r.action = close;
    width = closer;
  }
  r.wide = width > beside;
  if (r.wide)
    r.action_h = width <= full ? g->line_h : gw_text_box_height(flow->doc, full, wall, r.action);
  r.detail_h = gw_text_box_height(flow->doc, full, gw_flow_bench(flow), r.detail);
  r.height = 2 * PAD + g->line_h + r.action_h + r.detail_h;
  return r;
}

/* The wedge: open time used up at the start and at the end of the line. */
static void draw_band(glueing *g, const gw_step *step, double top, double height) {
  gw_flow *flow = &g->flow;
  double x = flow->body.x;
  double used[2] = {gw_session_open_used(g->job, g->stage, step->start_s, false),
                    gw_session_open_used(g->job, g->stage, step->end_s, true)};
  for (int i = 0; i < 2; ++i)
    if (used[i] > 1) used[i] = 1;
  const gw_spot wedge[4] = {{x, top}, {x + BAND * used[0], top},
                            {x + BAND * used[1], top + height}, {x, top + height}};
  gw_fill_polygon(flow->page, 0.35, wedge, 4);
  gw_draw_area(flow->page, GW_PEN_THIN, (gw_area){x, top, BAND, height});
  double margin = x + BAND * (1 - g->job->model->shop.margin_pc / 100.0);
  gw_draw_line(flow->page, GW_PEN_HIDDEN, margin, top, margin, top + height);
}

static void draw_right(glueing *g, const gw_step *step, double top, double base) {
  gw_flow *flow = &g->flow;
  if (g->use != NULL) {
    draw_time(g, g->x_at, base, step->start_s);
    if (step->stop_by_s >= 0) {
      draw_time(g, g->x_by, base, step->stop_by_s);
      gw_draw_area(flow->page, GW_PEN_THICK,
                   (gw_area){g->x_by - 1.2, top - 0.6, g->time_w + 2.4, g->base_h + 2.2});
    }
  }
  if (g->who_w > 0)
    gw_text_line(flow->page, g->x_who, base, GW_TYPE_BOLD(flow->bench), GW_ALIGN_LEFT,
                 OR(g, gw_session_people(g->job, flow->arena, step)));
  gw_draw_tick_box(flow->page, g->x_tick, base + 1.6 - TICK, TICK);
  gw_flow_blank(flow, g->x_real, base + 1, REAL);
}

/* What the first line says when the action has lines of its own. */
static const char *verb(const glueing *g, const gw_step *step) {
  if (step->action == GW_SPREAD) return "GLUE";
  if (step->action == GW_CLAMP) return "CLAMP";
  return g->job->order->joins[step->join].n_joints > 0 ? "JOIN" : "HOLD";
}

static void draw_row(glueing *g, int i) {
  gw_flow *flow = &g->flow;
  const gw_step *step = &g->stage->steps[i];
  row r = make_row(g, step);
  gw_flow_need(flow, r.height);
  double top = flow->y, left = gw_flow_left(flow), height = r.height < left ? r.height : left;
  double base = top + PAD + g->base_h;
  if (g->use != NULL) draw_band(g, step, top, height);
  gw_text_line(flow->page, g->x_text - 2, base, gw_flow_bench(flow), GW_ALIGN_RIGHT,
               SAY(g, "%d", i + 1));
  gw_text_line(flow->page, g->x_text, base, gw_flow_wall(flow), GW_ALIGN_LEFT,
               r.wide ? verb(g, step) : r.action);
  draw_right(g, step, top + PAD, base);
  gw_area area = {g->x_text, top + PAD + g->line_h, right_of(g) - g->x_text, r.action_h};
  if (r.wide && r.action_h <= g->line_h)
    gw_text_line(flow->page, g->x_text, area.y + g->base_h, gw_flow_wall(flow), GW_ALIGN_LEFT,
                 r.action);
  else if (r.wide)
    gw_text_box(flow->page, area, gw_flow_wall(flow), GW_ALIGN_LEFT, r.action);
  area.y += r.action_h;
  double foot = flow->body.y + flow->body.h;
  area.h = area.y + r.detail_h < foot ? r.detail_h : foot - area.y;
  gw_text_box(flow->page, area, gw_flow_bench(flow), GW_ALIGN_LEFT, r.detail);
  flow->y = top + height;
  gw_draw_line(flow->page, step->action == GW_SPREAD ? GW_PEN_THIN : GW_PEN_THICK,
               g->x_text, flow->y, right_of(g), flow->y);
}

/* A join's spread lines and its bring-together line stay together: the end of
 * the run of lines that begins at `from`. */
static int run_end(const gw_stage *stage, int from) {
  int end = from;
  while (end + 1 < stage->n_steps && stage->steps[end].action == GW_SPREAD) ++end;
  return end + 1;
}

static double rows_height(glueing *g, int from, int to) {
  double height = 0;
  for (int i = from; i < to; ++i) height += make_row(g, &g->stage->steps[i]).height;
  return height;
}

static double page_height(const glueing *g) {
  return g->flow.body.h - (g->flow.fresh_y - g->flow.body.y);
}

/* The first line of the last page, were the runs set one after the other, and
 * how much of that page is left below them. */
static int last_page(glueing *g, double *left) {
  int begins = 0;
  *left = gw_flow_left(&g->flow);
  for (int from = 0; from < g->stage->n_steps; from = run_end(g->stage, from)) {
    double height = rows_height(g, from, run_end(g->stage, from));
    if (height > *left) {
      begins = from;
      *left = page_height(g);
    }
    *left -= height;
  }
  return begins;
}

/* The line that had better begin a page, so that what is said after the list
 * does not stand alone on one: the run of the last join, or the last run.  -1:
 * none. */
static int break_before_closing(glueing *g, double closing) {
  double left;
  int begins = last_page(g, &left), join = 0, last = 0;
  if (left >= closing) return -1;
  for (int from = 0; from < g->stage->n_steps; from = run_end(g->stage, from)) {
    last = from;
    if (g->stage->steps[run_end(g->stage, from) - 1].action == GW_BRING) join = from;
  }
  const int tries[2] = {join, last};
  for (int i = 0; i < 2; ++i)
    if (tries[i] > begins &&
        rows_height(g, tries[i], g->stage->n_steps) + closing <= page_height(g))
      return tries[i];
  return -1;
}

static void draw_rows(glueing *g, double closing) {
  double page = page_height(g);
  int break_at = break_before_closing(g, closing);
  for (int from = 0; from < g->stage->n_steps;) {
    int to = run_end(g->stage, from);
    double height = rows_height(g, from, to);
    /* A run taller than a page begins where it is and breaks where it must. */
    if (from == break_at && g->flow.y > g->flow.fresh_y) gw_flow_page(&g->flow);
    else if (height <= page) gw_flow_need(&g->flow, height);
    for (int i = from; i < to; ++i) draw_row(g, i);
    from = to;
  }
}

/* ---- after the list ------------------------------------------------------------------- */

static const char *next_words(glueing *g) {
  if (g->index + 1 >= g->job->clock->n_stages) return "This is the last stage.";
  const gw_stage *next = g->stage + 1;
  int64_t wait = next->begins_s - g->stage->begins_s - g->stage->end_s;
  if (next->glue < 0) return SAY(g, "Next: stage %d, dry, when the clamps are off.", g->index + 2);
  if (wait <= 0)
    return SAY(g, "Next: stage %d can begin at once; it does not take up this one.", g->index + 2);
  return SAY(g, "Next: stage %d, not before %s after the last clamp.", g->index + 2,
             OR(g, gw_session_duration(g->flow.arena, wait)));
}

static const char *apart_words(glueing *g) {
  char grab[GW_TIME_TEXT];
  int holds = gw_session_grab(g->job, g->stage);
  return SAY(g, "From T+%s the joint closed first holds. %s",
             gw_time_text(holds, grab, sizeof grab), gw_session_rescue(g->use->kind->family));
}

typedef struct closing {
  const char *heads[2], *texts[2];
  double height;
} closing;

static closing make_closing(glueing *g) {
  gw_flow *flow = &g->flow;
  char apart[GW_TIME_TEXT];
  gw_time_text(gw_session_pull_apart(g->job, g->stage), apart, sizeof apart);
  const char *clamped = OR(g, gw_session_duration(flow->arena, g->stage->clamp_s));
  closing c = {
      .heads = {SAY(g, "Gone wrong? Last moment to pull it apart: T+%s", apart),
                SAY(g, "In clamps for %s", clamped)},
      .texts = {apart_words(g),
                SAY(g, "Last clamp on at .......... o'clock; clamps off not before .......... "
                       "o'clock. Full strength after %s: no load before that. %s",
                    OR(g, gw_session_duration(flow->arena, g->stage->cure_s)), next_words(g))}};
  c.height = gw_flow_box_height(flow, c.heads[0], c.texts[0]) +
             gw_flow_box_height(flow, c.heads[1], c.texts[1]) + 2;
  return c;
}

static void draw_closing(glueing *g, const closing *c) {
  gw_flow *flow = &g->flow;
  gw_flow_need(flow, c->height);
  gw_flow_gap(flow, 2);
  for (int i = 0; i < 2; ++i) gw_flow_box(flow, c->heads[i], c->texts[i]);
}

/* ---- what must lie on the bench ------------------------------------------------------- */

static const char *needed_words(glueing *g, const gw_needed *needed) {
  if (needed->part >= 0)
    return SAY(g, "%s  %s", gw_session_letter(g->job, needed->part),
               g->job->model->parts[needed->part].name);
  int count;
  const int *parts = gw_session_parts_of(g->job, needed, &count);
  return SAY(g, "From stage %d, out of its clamps: %s", needed->stage + 1,
             OR(g, gw_session_list(g->job, g->flow.arena, parts, count, true)));
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
               SAY(g, "%d cauls %s thick, two to a clamp, faced with tape or wax so that no glue "
                      "holds them (the openings count with them)%s", 2 * clamps,
                   OR(g, gw_session_length(g->job, g->flow.arena, GW_CAUL)),
                   OR(g, gw_session_tapers(g->job, g->flow.arena, g->stage))));
}

static bool has_mortises(const glueing *g) {
  const gw_model *m = g->job->model;
  for (int i = 0; i < m->n_joints; ++i)
    if (m->joints[i].kind == GW_MORTISE_TENON) return true;
  return false;
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
  for (int i = 0; g->use != NULL && i < 2; ++i)
    gw_flow_tick_in(&g->flow, &beside, bench,
                    g->use->kind->family == GW_REACTING ? reacting[i] : wet[i]);
  for (int i = 0; i < 4; ++i)
    if (g->use != NULL || i != 3) gw_flow_tick_in(&g->flow, &beside, bench, common[i]);
  gw_flow_row_end(&g->flow, &beside);
}

static void lay_out_glue(glueing *g) {
  gw_flow_tick(&g->flow, gw_flow_bench(&g->flow),
               SAY(g, "%s, \"%s\": %s on the wood; have %d g ready",
                   OR(g, gw_session_sentence(g->flow.arena, g->use->kind->words)),
                   g->use->glue->id,
                   g->stage->grams < 1 ? "less than 1 g goes"
                                       : SAY(g, "about %.0f g go", g->stage->grams),
                   gw_session_pot_grams(g->stage->grams)));
}

/* ---- time ----------------------------------------------------------------------------- */

static const char *people_words(glueing *g) {
  int hands = g->job->model->shop.hands;
  return hands == 1 ? "One person." : SAY(g, "%d people, P1 %s P%d.", hands,
                                         hands == 2 ? "and" : "to", hands);
}

/* What the margin is worth. */
static const char *margin_words(const glueing *g) {
  if (!g->stage->fits || g->stage->margin_pm < 10 * g->job->model->shop.margin_pc)
    return ". THIS PLAN IS TOO TIGHT: rehearse till it is quicker, take a helper or a slower glue";
  return g->stage->proven ? "; no plan of these joins keeps more" : "";
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

static void tell_time(glueing *g) {
  gw_flow *flow = &g->flow;
  char open[GW_TIME_TEXT], wet[GW_TIME_TEXT], whole[GW_TIME_TEXT];
  gw_time_text(g->use->open_s, open, sizeof open);
  gw_time_text(g->stage->wet_s, wet, sizeof wet);
  gw_time_text(g->stage->end_s, whole, sizeof whole);
  gw_flow_heading(flow, "The clock", 20);
  gw_flow_text(flow, gw_flow_bench(flow), 0,
               SAY(g,
                   "T+0:00 is the first glue on wood. From its first glue to faces together a "
                   "joint has %s min; the tightest joint of this plan uses %s, a margin of %d %% "
                   "(%d %% asked for)%s. All is clamped at T+%s. %s",
                   open, wet, g->stage->margin_pm / 10, g->job->model->shop.margin_pc,
                   margin_words(g), whole, people_words(g)));
  const char *others = g->use->typical_any && !g->use->typical_open
                           ? " Other figures of the glue: " GW_GLUE_TYPICAL "." : "";
  gw_flow_text(flow, gw_flow_bench(flow), 0,
               SAY(g, "Open time %s%s", OR(g, gw_session_open_words(g->job, flow->arena, g->use)),
                   others));
}

static void tell_reading(glueing *g) {
  gw_flow *flow = &g->flow;
  gw_flow_heading(flow, "Reading the list", 20);
  gw_flow_text(
      flow, gw_flow_bench(flow), 0,
      "Letters are parts, numbers are joints, as they are written on the wood. GLUE 6\xCC\xB2: "
      "spread joint 6\xCC\xB2. F \xE2\x86\x92 C + K (2, 7): bring F onto C and K, so that "
      "joints 2 and 7 go together. In the drawings a ring is at what is hidden.");
  gw_flow_text(flow, gw_flow_bench(flow), 0,
               SAY(g,
                   "The dark wedge at the left is the open time used up by the joint that has been "
                   "wet longest: at the dashed line the margin begins, at the right edge the time "
                   "is over. %s",
                   rate_words(g)));
}

static void caution(glueing *g) {
  if (g->use == NULL) {
    gw_flow_box(
        &g->flow, "Before you begin",
        "No glue in this stage. See that the work cannot topple, and that it has been out of "
        "its clamps long enough. Practised hands and local rules come before anything "
        "printed here.");
    return;
  }
  gw_flow_box(&g->flow, "Before you begin",
              SAY(g, "%s Read the label of your own glue and its safety data sheet first: they win "
                     "over this sheet. Clamps hold a force: keep fingers and face out of their "
                     "line, and see that none can slip or topple the work. Practised hands and "
                     "local rules come before anything printed here.",
                  g->use->kind->cautions));
}

/* ---- drawings ------------------------------------------------------------------------- */

/* The line of the list in which a join is brought together, from 1. */
static int line_of(const gw_stage *stage, int join) {
  for (int i = 0; i < stage->n_steps; ++i)
    if (stage->steps[i].action == GW_BRING && stage->steps[i].join == join) return i + 1;
  return 0;
}

/* Of more parts than PARTS_IN_PICTURE only those round the join are drawn: the
 * whole would be too small to find them in it.  In a picture of more parts than
 * ALL_LETTERED only those that meet have their letters. */
enum { PARTS_IN_PICTURE = 24, ALL_LETTERED = 8 };

/* What a picture of a join shows; arrays for each part of the model. */
typedef struct scenery {
  int *parts, count;
  bool *meets;  /* has a joint of this join, or is brought without one */
  bool *beside; /* has a joint with one of those */
} scenery;

static void find_near(const gw_model *m, const gw_join *j, scenery *s) {
  for (int i = 0; i < j->n_joints; ++i) {
    const gw_joint *joint = &m->joints[j->joints[i]];
    s->meets[gw_joint_enters(m, joint)] = s->meets[gw_joint_receives(m, joint)] = true;
  }
  for (int i = 0; i < j->n_moving && j->n_joints == 0; ++i) s->meets[j->moving[i]] = true;
  for (int i = 0; i < m->n_joints; ++i) {
    int a = gw_joint_enters(m, &m->joints[i]), b = gw_joint_receives(m, &m->joints[i]);
    if (s->meets[a]) s->beside[b] = true;
    if (s->meets[b]) s->beside[a] = true;
  }
}

static bool set_scenery(glueing *g, const gw_join *j, scenery *s) {
  const gw_model *m = g->job->model;
  int whole = j->n_moving + j->n_onto;
  s->parts = gw_arena_alloc(g->flow.arena, (size_t)whole + 1, sizeof *s->parts);
  s->meets = gw_arena_alloc(g->flow.arena, (size_t)m->n_parts + 1, sizeof *s->meets);
  s->beside = gw_arena_alloc(g->flow.arena, (size_t)m->n_parts + 1, sizeof *s->beside);
  if (s->parts == NULL || s->meets == NULL || s->beside == NULL) {
    g->flow.no_memory = true;
    return false;
  }
  find_near(m, j, s);
  for (int i = 0; i < whole; ++i) {
    int part = i < j->n_onto ? j->onto[i] : j->moving[i - j->n_onto];
    if (whole <= PARTS_IN_PICTURE || s->meets[part] || s->beside[part]) s->parts[s->count++] = part;
  }
  return true;
}

/* The line's number and what it says, or less where that is too long: the line
 * itself has it all. */
static const char *caption_words(glueing *g, int join, bool part_of_it, double wide) {
  const gw_join *j = &g->job->order->joins[join];
  int line = line_of(g->stage, join);
  const char *near = part_of_it ? ", and what is near" : "";
  const char *words = SAY(g, "Line %d: %s%s", line,
                          OR(g, gw_session_join_action(g->job, g->flow.arena, join)), near);
  if (gw_text_width(g->flow.doc, GW_TYPE_BOLD(CAPTION_LEAST), words) <= wide) return words;
  words = SAY(g, "Line %d: joint%s %s%s", line, j->n_joints == 1 ? "" : "s",
              OR(g, gw_session_list(g->job, g->flow.arena, j->joints, j->n_joints, false)), near);
  if (gw_text_width(g->flow.doc, GW_TYPE_BOLD(CAPTION_LEAST), words) <= wide) return words;
  return SAY(g, "Line %d%s", line, near);
}

static void draw_join(glueing *g, gw_area area, int join) {
  const gw_join *j = &g->job->order->joins[join];
  scenery s = {.count = 0};
  if (!set_scenery(g, j, &s)) return;
  bool part_of_it = s.count < j->n_moving + j->n_onto;
  gw_picture picture = {.parts = s.parts, .n_parts = s.count, .moved = j->moving,
                        .n_moved = j->n_moving, .way = j->way, .letters = true,
                        .lettered = s.count > ALL_LETTERED ? s.meets : NULL,
                        .joints = j->joints, .n_joints = j->n_joints};
  gw_type type = GW_TYPE_BOLD(g->flow.bench);
  double caption = gw_line_height(type);
  gw_text_fit(g->flow.page, area.x, area.y + gw_flow_first_baseline(type), area.w, type,
              CAPTION_LEAST, GW_ALIGN_LEFT, caption_words(g, join, part_of_it, area.w));
  gw_picture_draw(g->flow.page, (gw_area){area.x, area.y + caption, area.w, area.h - caption},
                  g->job, &picture);
}

static const double PICTURE_W = 56, PICTURE_H = 60, /* the least that is worth while */
                    RICH_W = 76, RICH_H = 72,       /* where many marks stand in a picture */
                    PICTURE_MOST = 120;
enum { RICH = 13 };

/* Whether one of the pictures has many marks: a letter on each part, a number
 * on each half. */
static bool is_rich(const glueing *g, const int *joins, int count) {
  for (int i = 0; i < count; ++i) {
    const gw_join *j = &g->job->order->joins[joins[i]];
    int parts = j->n_moving + j->n_onto, letters = 2 * j->n_joints;
    if (parts <= ALL_LETTERED || parts < letters) letters = parts;
    if (letters + 2 * j->n_joints > RICH) return true;
  }
  return false;
}

/* Columns that make `count` pictures largest in the area, or 0. */
static int best_columns(const glueing *g, double height, int count, bool rich, double *size) {
  double width = g->flow.body.w, least_w = rich ? RICH_W : PICTURE_W;
  double least_h = rich ? RICH_H : PICTURE_H;
  int best = 0;
  *size = 0;
  for (int columns = 1; columns <= 4; ++columns) {
    int rows = (count + columns - 1) / columns;
    double w = width / columns, h = height / rows;
    double fits = w < h * 1.25 ? w : h * 1.25;
    if (w < least_w || h < least_h || fits <= *size) continue;
    *size = fits;
    best = columns;
  }
  return best;
}

/* How many pictures a fresh page has room for. */
static int most_on_page(const glueing *g, double height, int count, bool rich) {
  double size;
  while (count > 1 && best_columns(g, height, count, rich, &size) == 0) --count;
  return count;
}

static void draw_grid(glueing *g, const int *joins, int from, int to, int columns,
                      double height) {
  gw_flow *flow = &g->flow;
  int rows = (to - from + columns - 1) / columns;
  double w = flow->body.w / columns, h = height / rows;
  double most = w < PICTURE_MOST ? w : PICTURE_MOST;
  if (h > most) h = most; /* no taller than wide: white there helps no one */
  for (int i = from; i < to; ++i) {
    int n = i - from;
    gw_area area = {flow->body.x + w * (n % columns), flow->y + h * (n / columns), w - GAP,
                    h - GAP};
    draw_join(g, area, joins[i]);
  }
  flow->y += h * rows;
}

/* The joins in the order of their lines. */
static int *joins_by_line(glueing *g, int *count) {
  int *joins = gw_arena_alloc(g->flow.arena, (size_t)g->stage->n_steps + 1, sizeof *joins);
  *count = 0;
  if (joins == NULL) g->flow.no_memory = true;
  for (int i = 0; joins != NULL && i < g->stage->n_steps; ++i)
    if (g->stage->steps[i].action == GW_BRING) joins[(*count)++] = g->stage->steps[i].join;
  return joins;
}

static void draw_pictures(glueing *g) {
  gw_flow *flow = &g->flow;
  double size;
  int count;
  const int *joins = joins_by_line(g, &count);
  if (!g->job->fit->placed || count == 0) return;
  bool rich = is_rich(g, joins, count);
  int columns = best_columns(g, gw_flow_left(flow), count, rich, &size);
  if (columns > 0) {
    draw_grid(g, joins, 0, count, columns, gw_flow_left(flow));
    return;
  }
  gw_flow_page(flow);
  int most = most_on_page(g, gw_flow_left(flow), count, rich), pages = (count + most - 1) / most;
  for (int from = 0; from < count; --pages) { /* as many on each */
    int to = from + (count - from + pages - 1) / pages;
    if (from > 0) gw_flow_page(flow);
    columns = best_columns(g, gw_flow_left(flow), to - from, rich, &size);
    draw_grid(g, joins, from, to, columns > 0 ? columns : 1, gw_flow_left(flow));
    from = to;
  }
}

/* ---- a stage -------------------------------------------------------------------------- */

static void draw_list(glueing *g) {
  gw_flow *flow = &g->flow;
  set_columns(g);
  double height = rows_height(g, 0, g->stage->n_steps) + 30;
  bool here = g->use == NULL && height <= gw_flow_left(flow);
  g->list = true;
  if (here) column_heads(g);
  else gw_flow_page(flow);
  closing after = {.height = 0};
  if (g->use != NULL) after = make_closing(g);
  draw_rows(g, after.height);
  g->list = false;
  if (g->use != NULL) draw_closing(g, &after);
}

static void draw_stage(glueing *g) {
  gw_flow *flow = &g->flow;
  int stages = g->job->clock->n_stages;
  g->stage = &g->job->clock->stages[g->index];
  g->use = g->stage->glue < 0 ? NULL : &g->job->clock->uses[g->stage->glue];
  g->title = SAY(g, "Stage %d of %d%s", g->index + 1, stages, g->use == NULL ? ", dry" : "");
  g->list = false;
  gw_flow_page(flow);
  gw_doc_outline(flow->doc, NULL, g->title, flow->page, flow->body.y);
  gw_flow_heading(flow, g->use != NULL ? "On the bench before the glue is opened" : "On the bench",
                  20);
  lay_out_parts(g);
  gw_flow_gap(flow, 1.5);
  lay_out_clamps(g);
  if (g->use != NULL) lay_out_glue(g);
  lay_out_tools(g);
  if (g->use != NULL) {
    tell_time(g);
    tell_reading(g);
  }
  gw_flow_gap(flow, 2);
  caution(g);
  gw_flow_gap(flow, 2);
  if (g->use != NULL) {
    draw_pictures(g);
    draw_list(g);
  } else {
    draw_list(g);
    gw_flow_gap(flow, 3);
    draw_pictures(g);
  }
}

/* Without an order there is nothing to time. */
static void draw_none(glueing *g) {
  g->title = "Glue-up";
  gw_flow_page(&g->flow);
  gw_flow_text(&g->flow, gw_flow_bench(&g->flow), 0,
               "There is no order of gluing to print: the piece does not go together as it is "
               "written. What stands in the way is listed here and on the dry-fit sheet.");
  const gw_findings *findings = g->job->findings;
  for (size_t i = 0; findings != NULL && i < gw_findings_count(findings); ++i) {
    const gw_finding *f = gw_findings_at(findings, i);
    if (f->severity != GW_ERROR) continue;
    gw_flow_tick(&g->flow, gw_flow_bench(&g->flow),
                 SAY(g, "Line %d: %s", f->line,
                     OR(g, gw_session_finding(g->job, g->flow.arena, f))));
  }
}

static gw_status draw(const gw_sheets_job *job, gw_doc *doc) {
  glueing g = {.job = job};
  if (!gw_flow_begin(&g.flow, doc, "Glue-up")) return GW_NO_MEMORY;
  g.flow.head = page_head;
  g.flow.data = &g;
  bool timed = job->order != NULL && job->clock != NULL && job->clock->n_stages > 0;
  for (g.index = 0; timed && g.index < job->clock->n_stages; ++g.index) draw_stage(&g);
  if (!timed) draw_none(&g);
  return gw_flow_end(&g.flow);
}

gw_status gw_sheets_glue_up(const gw_sheets_job *job, const char *path, gw_error *err) {
  gw_doc *doc = gw_sheets_open(job, "Glue-up", err);
  if (doc == NULL) return err != NULL ? err->status : GW_INTERNAL;
  gw_status status = draw(job, doc);
  if (status == GW_NO_MEMORY) gw_fail(err, status, "memory is short");
  if (status == GW_OK) status = gw_doc_save(doc, path, err);
  gw_doc_free(doc);
  return status;
}
