/* glueup.c - the glue-up sheet: what to lay out, and the timed list for the
 * wall, stage by stage.
 *
 * Each line of the list has its action and its times in type for 1.5 m and a
 * sentence in type for 0.7 m.  The band at its left shows how much of the open
 * time has run out: a wedge that grows to the right until the joint is closed. */
#include <stdlib.h>
#include <string.h>

#include "sheets/glueup_inner.h"

static const double BAND = 9.0;       /* width of the band, mm */
static const double NUMBER = 9.5;     /* of the line's number */
static const double TICK = 9.0;       /* side of a box to tick */
static const double REAL = 18.0;      /* the blank for the real time */
static const double GAP = GW_GLUEUP_GAP;
/* Above and below what stands in a line; the less where that spares a page. */
static const double PAD = 0.8, LEAST_PAD = 0.5;
static const double BAR_GAP = 1.2; /* from a bar under a mark to the times below it */
static const double FRAME_PAD = 2.5;  /* inside a frame */
static const double HOUR_H = 10.0;    /* a blank for an hour, with gluey fingers */
static const double HOUR_W = 20.0, HOUR_MOST = 48.0;    /* its width */

typedef struct glueup_row {
  const char *action, *detail;
  bool beside;     /* the sentence stands beside the times */
  double action_h; /* of an action that has the whole width, above its times; else 0 */
  double detail_w, detail_h, height;
} row;

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

static double heads_height(const glueing *g) {
  return gw_line_height(GW_TYPE_BOLD(g->flow.bench)) + 1;
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
  flow->y += heads_height(g);
}

/* The group that a stage is about, or -1. */
static int group_of_stage(const glueing *g) {
  int group = -1;
  for (int i = 0; i < g->stage->n_joins; ++i) {
    const gw_join *join = &g->job->order->joins[g->stage->joins[i]];
    int moved = gw_session_common_group(g->job, join->moving, join->n_moving);
    int met = gw_session_common_group(g->job, join->onto, join->n_onto);
    if (moved < 0 || moved != met || (i > 0 && moved != group)) return -1;
    group = moved;
  }
  return group;
}

/* Every page of a stage begins with this. */
static void page_head(gw_flow *flow, void *data) {
  glueing *g = data;
  char apart[GW_TIME_TEXT];
  const char *right = "";
  if (g->list && g->use != NULL)
    right = SAY(g, "holds from T+%s",
                gw_time_text(gw_session_pull_apart(g->job, g->stage), apart, sizeof apart));
  /* The name stands at the foot too, and would be cut short beside so much. */
  bool full = right[0] != '\0' && group_of_stage(g) >= 0;
  gw_flow_title(flow, g->title, full ? "" : g->job->model->name, right);
  if (g->list && !g->with_pictures) column_heads(g);
}

/* ---- one line of the list ------------------------------------------------------------- */

static double right_of(const glueing *g) { return g->flow.body.x + g->flow.body.w; }

/* How wide the text may be that stands beside the times. */
static double beside_times(const glueing *g) {
  double right = g->use != NULL ? g->x_at : g->who_w > 0 ? g->x_who : g->x_tick;
  return right - GAP - g->x_text;
}

/* What does not fit beside its times stands above them, and then the sentence
 * has the room beside them, or below where that is less high. */
static row make_row(glueing *g, const gw_step *step) {
  gw_flow *flow = &g->flow;
  row r = {.action = OR(g, gw_session_action(g->job, flow->arena, g->stage, step)),
           .detail = OR(g, gw_session_detail(g->job, flow->arena, g->stage, step, g->check))};
  gw_type wall = gw_flow_wall(flow), bench = gw_flow_bench(flow);
  double full = right_of(g) - g->x_text, width = gw_text_width(flow->doc, wall, r.action);
  double under = gw_text_box_height(flow->doc, full, bench, r.detail);
  double aside = gw_text_box_height(flow->doc, beside_times(g), bench, r.detail);
  bool wide = width > beside_times(g);
  r.beside = wide && aside <= g->line_h + under;
  r.detail_w = r.beside ? beside_times(g) : full;
  r.detail_h = r.beside ? aside : under;
  if (wide)
    r.action_h = BAR_GAP + (width <= full ? g->line_h
                                          : gw_text_box_height(flow->doc, full, wall, r.action));
  r.height = 2 * g->pad + r.action_h +
             (!r.beside ? g->line_h + under : aside > g->line_h ? aside : g->line_h);
  return r;
}

static void make_rows(glueing *g) {
  size_t n = (size_t)g->stage->n_steps;
  g->rows = gw_arena_alloc(g->flow.arena, n + 1, sizeof *g->rows);
  if (g->rows == NULL) g->flow.no_memory = true;
  for (size_t i = 0; g->rows != NULL && i < n; ++i) g->rows[i] = make_row(g, &g->stage->steps[i]);
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
                   (gw_area){g->x_by - 1.2, top - 0.4, g->time_w + 2.4, g->base_h + 2.0});
    }
  }
  if (g->who_w > 0)
    gw_text_line(flow->page, g->x_who, base, GW_TYPE_BOLD(flow->bench), GW_ALIGN_LEFT,
                 OR(g, gw_session_people(g->job, flow->arena, step)));
  gw_draw_tick_box(flow->page, g->x_tick, base + 1.6 - TICK, TICK);
  gw_flow_blank(flow, g->x_real, base + 1, REAL);
}

/* The action over the whole width. */
static void draw_wide(glueing *g, const row *r, double top) {
  gw_type wall = gw_flow_wall(&g->flow);
  if (r->action_h <= g->line_h + BAR_GAP)
    gw_text_line(g->flow.page, g->x_text, top + g->base_h, wall, GW_ALIGN_LEFT, r->action);
  else
    gw_text_box(g->flow.page, (gw_area){g->x_text, top, right_of(g) - g->x_text, r->action_h}, wall,
                GW_ALIGN_LEFT, r->action);
}

/* Under the action, or beside the times whose row begins at `top`. */
static void draw_detail(glueing *g, const row *r, double top) {
  double y = top + g->line_h, foot = g->flow.body.y + g->flow.body.h;
  if (r->beside) y = r->detail_h < g->line_h ? top + (g->line_h - r->detail_h) / 2 : top;
  double h = y + r->detail_h < foot ? r->detail_h : foot - y;
  gw_text_box(g->flow.page, (gw_area){g->x_text, y, r->detail_w, h}, gw_flow_bench(&g->flow),
              GW_ALIGN_LEFT, r->detail);
}

static void draw_row(glueing *g, int i) {
  gw_flow *flow = &g->flow;
  const gw_step *step = &g->stage->steps[i];
  const row *r = &g->rows[i];
  gw_flow_need(flow, r->height);
  double top = flow->y, left = gw_flow_left(flow), height = r->height < left ? r->height : left;
  double times = top + g->pad + r->action_h;
  if (g->use != NULL) draw_band(g, step, top, height);
  gw_text_line(flow->page, g->x_text - 2, top + g->pad + g->base_h, gw_flow_bench(flow),
               GW_ALIGN_RIGHT, SAY(g, "%d", i + 1));
  if (r->action_h > 0) draw_wide(g, r, top + g->pad);
  else
    gw_text_line(flow->page, g->x_text, times + g->base_h, gw_flow_wall(flow), GW_ALIGN_LEFT,
                 r->action);
  draw_right(g, step, times, times + g->base_h);
  draw_detail(g, r, times);
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

static double rows_height(const glueing *g, int from, int to) {
  double height = 0;
  for (int i = from; i < to; ++i) height += g->rows[i].height;
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

/* The line that had better begin a page, so that neither what is said after the
 * list nor the clamps stand alone on one: the run of the last join, or else the
 * last run.  -1: none. */
static int break_before_closing(glueing *g, double closing) {
  double left;
  int begins = last_page(g, &left), join = 0, last = 0;
  for (int from = 0; from < g->stage->n_steps; from = run_end(g->stage, from)) {
    last = from;
    if (g->stage->steps[run_end(g->stage, from) - 1].action == GW_BRING) join = from;
  }
  bool alone = begins == last && last > join && join > 0;
  if (left >= closing && !alone) return -1;
  const int tries[2] = {join, last};
  for (int i = 0; i < 2; ++i)
    if ((tries[i] > begins || (alone && i == 0)) &&
        rows_height(g, tries[i], g->stage->n_steps) + closing <= page_height(g))
      return tries[i];
  return -1;
}

/* Whether a page is begun for the run from `from` to `to`. */
static bool breaks(const glueing *g, int from, int to, int break_at, double left) {
  double height = rows_height(g, from, to);
  return from == break_at || (height > left && height <= page_height(g));
}

/* How many pages the list takes; *at_foot: whether one other than the last has
 * `wanted` mm free at its foot. */
static int list_pages(glueing *g, double closing, double wanted, bool *at_foot) {
  double left = gw_flow_left(&g->flow);
  int break_at = break_before_closing(g, closing), pages = 1;
  *at_foot = false;
  for (int from = 0; from < g->stage->n_steps; from = run_end(g->stage, from)) {
    int to = run_end(g->stage, from);
    if (from > 0 && breaks(g, from, to, break_at, left)) {
      if (left >= wanted) *at_foot = true;
      left = page_height(g);
      ++pages;
    }
    left -= rows_height(g, from, to);
  }
  return pages;
}

/* What to do when it goes wrong. */
static void draw_rescue(glueing *g) {
  gw_flow_box(&g->flow, g->rescue[0], g->rescue[1]);
  g->rescue[0] = NULL;
}

/* A run taller than a page begins where it is and breaks where it must. */
static void draw_rows(glueing *g, double closing, double rescue_h) {
  int break_at = break_before_closing(g, closing);
  for (int from = 0; from < g->stage->n_steps;) {
    int to = run_end(g->stage, from);
    if (g->flow.y > g->flow.fresh_y && breaks(g, from, to, break_at, gw_flow_left(&g->flow))) {
      if (rescue_h > 0 && g->rescue[0] != NULL && gw_flow_left(&g->flow) >= rescue_h) {
        gw_flow_gap(&g->flow, 2);
        draw_rescue(g);
      }
      gw_flow_page(&g->flow);
    }
    for (int i = from; i < to; ++i) draw_row(g, i);
    from = to;
  }
}

/* ---- after the list ------------------------------------------------------------------- */

/* The keys are no part of the project file. */
static const char *key_words(glueing *g) {
  int count = 0,
      *keyed = gw_arena_alloc(g->flow.arena, (size_t)g->stage->n_steps + 1, sizeof *keyed);
  if (keyed == NULL) g->flow.no_memory = true;
  for (int i = 0; keyed != NULL && i < g->stage->n_steps; ++i) {
    const gw_step *step = &g->stage->steps[i];
    if (step->action == GW_SPREAD && g->job->model->joints[step->joint].kind == GW_KEYED_MITRE)
      keyed[count++] = step->joint;
  }
  if (count == 0) return "";
  return SAY(g, "The keys of joint%s %s, as you cut them, are sawn in and glued when the frame is "
                "out of its clamps. ", count == 1 ? "" : "s",
             OR(g, gw_session_list(g->job, g->flow.arena, keyed, count, false)));
}

static const char *apart_words(glueing *g, const char *apart) {
  char *rescue = gw_arena_text(g->flow.arena, gw_session_rescue(g->use->kind->family));
  if (rescue == NULL) g->flow.no_memory = true;
  else if (rescue[0] >= 'A' && rescue[0] <= 'Z') rescue[0] = (char)(rescue[0] - 'A' + 'a');
  return SAY(g, "Before T+%s: %s From T+%s the joint closed first holds: leave it and go on.",
             apart, rescue == NULL ? "" : rescue, apart);
}

/* The two boxes.  `hours` are the words before the blanks of the second. */
typedef struct closing {
  const char *heads[2], *texts[2], *hours[2];
  double apart_h, rest_h;
  bool beside; /* the blanks stand beside the head */
} closing;

static gw_type frame_head(const glueing *g) { return GW_TYPE_BOLD(g->flow.bench + 3); }

static double hours_width(glueing *g, const closing *c) {
  gw_type type = gw_flow_bench(&g->flow);
  return gw_text_width(g->flow.doc, type, c->hours[0]) +
         gw_text_width(g->flow.doc, type, c->hours[1]) + 2 * HOUR_W + 3 * GAP;
}

static closing make_closing(glueing *g) {
  gw_flow *flow = &g->flow;
  bool clamps = g->stage->n_pulls > 0;
  char apart[GW_TIME_TEXT];
  gw_time_text(gw_session_pull_apart(g->job, g->stage), apart, sizeof apart);
  const char *kept = OR(g, gw_session_duration(flow->arena, g->stage->clamp_s));
  closing c = {
      .heads = {SAY(g, "Gone wrong? Last moment to pull it apart: T+%s", apart),
                clamps ? SAY(g, "In clamps for %s", kept) : SAY(g, "Leave it alone for %s", kept)},
      .texts = {apart_words(g, apart),
                SAY(g, "%sFull strength after %s: no load or hard blow before that. %s",
                    key_words(g), OR(g, gw_session_duration(flow->arena, g->stage->cure_s)),
                    gw_glueup_next_words(g))},
      .hours = {clamps ? "last clamp on" : "last joint home",
                clamps ? "off not before" : "hands off till"}};
  double wide = flow->body.w - 2 * FRAME_PAD, head = gw_line_height(frame_head(g));
  c.beside = gw_text_width(flow->doc, frame_head(g), c.heads[1]) + 2 * GAP + hours_width(g, &c) <=
             wide;
  c.apart_h = gw_flow_box_height(flow, c.heads[0], c.texts[0]) + 1;
  c.rest_h = (c.beside ? 0 : head) + HOUR_H + 2 * FRAME_PAD + 1.2 +
             gw_text_box_height(flow->doc, wide, gw_flow_bench(flow), c.texts[1]);
  return c;
}

/* Words and a rule for the hour, twice, from x to the right edge of the frame. */
static void draw_hours(glueing *g, const closing *c, double x, double base) {
  gw_flow *flow = &g->flow;
  gw_type type = gw_flow_bench(flow);
  double right = right_of(g) - FRAME_PAD;
  double blank = HOUR_W + (right - x - hours_width(g, c)) / 2;
  if (blank > HOUR_MOST) blank = HOUR_MOST;
  for (int i = 0; i < 2; ++i) {
    gw_text_line(flow->page, x, base, type, GW_ALIGN_LEFT, c->hours[i]);
    x += gw_text_width(flow->doc, type, c->hours[i]) + GAP;
    gw_flow_blank(flow, x, base + 1, blank);
    x += blank + GAP;
  }
}

static void draw_rest(glueing *g, const closing *c) {
  gw_flow *flow = &g->flow;
  gw_type head = frame_head(g), bench = gw_flow_bench(flow);
  double top = flow->y, x = flow->body.x + FRAME_PAD, wide = flow->body.w - 2 * FRAME_PAD;
  double base = top + FRAME_PAD + (c->beside ? HOUR_H - 4 : gw_flow_first_baseline(head));
  gw_text_line(flow->page, x, base, head, GW_ALIGN_LEFT, c->heads[1]);
  double hours = c->beside ? base : top + FRAME_PAD + gw_line_height(head) + HOUR_H - 4;
  double after = c->beside ? gw_text_width(flow->doc, head, c->heads[1]) + 2 * GAP : 0;
  draw_hours(g, c, x + after, hours);
  double text_h = gw_text_box_height(flow->doc, wide, bench, c->texts[1]);
  gw_text_box(flow->page, (gw_area){x, hours + 4, wide, text_h}, bench, GW_ALIGN_LEFT, c->texts[1]);
  flow->y = top + c->rest_h - 1.2;
  gw_draw_area(flow->page, GW_PEN_THICK,
               (gw_area){flow->body.x, top, flow->body.w, flow->y - top});
  flow->y += 1.2;
}

static void draw_closing(glueing *g, const closing *c) {
  gw_flow *flow = &g->flow;
  gw_flow_need(flow, c->rest_h + (g->rescue[0] != NULL ? c->apart_h : 0) + 2);
  gw_flow_gap(flow, 2);
  if (g->rescue[0] != NULL) {
    draw_rescue(g);
    gw_flow_gap(flow, 1);
  }
  draw_rest(g, c);
}

/* ---- a stage -------------------------------------------------------------------------- */

/* In a dry stage, which has no line for it. */
static void check_dry(glueing *g) {
  gw_type bench = gw_flow_bench(&g->flow);
  gw_flow_gap(&g->flow, 2);
  gw_flow_tick(&g->flow, bench,
               SAY(g, "Every joint home%s%s%s.", gw_glueup_glass(g) ? ", by hand" : "",
                   g->measures ? "; then " : "", g->measures ? g->check : ""));
  gw_flow_tick(&g->flow, bench,
               "Fixed with its pegs, screws, buttons, sprigs or whatever is to hold it.");
}

/* The list of a stage with glue, on this page or a new one.  `at_foot`: the first
 * box stands at the foot of one of its pages. */
static void draw_list(glueing *g, const closing *after, bool at_foot) {
  bool here = g->list, rescue = g->rescue[0] != NULL && !at_foot;
  g->list = true;
  if (here) column_heads(g);
  else gw_flow_page(&g->flow);
  draw_rows(g, after->rest_h + (rescue ? after->apart_h : 0) + 2,
            at_foot ? after->apart_h + 2 : 0);
  g->list = false;
  draw_closing(g, after);
}

static void draw_dry(glueing *g) {
  gw_flow *flow = &g->flow;
  double height = rows_height(g, 0, g->stage->n_steps) + 30;
  bool here = height <= gw_flow_left(flow);
  g->list = true;
  if (here) column_heads(g);
  else gw_flow_page(flow);
  draw_rows(g, 0, 0);
  g->list = false;
  check_dry(g);
  gw_flow_gap(flow, 3);
  gw_glueup_pictures(g, 0, 0);
}

/* Where the box stands that says what to do when it goes wrong: after the list, or
 * where with it the end of the list would not stay on its page. */
typedef enum rescue_place { AFTER, AT_FOOT, BEFORE, BELOW_PICTURES } rescue_place;

static rescue_place place_rescue(glueing *g, const closing *c) {
  double y = g->flow.y, fresh = g->flow.fresh_y, rest = c->rest_h + 2;
  g->flow.y = g->flow.fresh_y += heads_height(g); /* as on the page on which it begins */
  bool better = break_before_closing(g, rest + c->apart_h) >= 0 &&
                break_before_closing(g, rest) < 0;
  bool at_foot = false;
  if (better) list_pages(g, rest, c->apart_h + 2, &at_foot);
  g->flow.y = y;
  g->flow.fresh_y = fresh;
  if (!better) return AFTER;
  if (at_foot) return AT_FOOT;
  if (gw_flow_left(&g->flow) >= c->apart_h) return BEFORE;
  double least = gw_glueup_pictures_least(g);
  return least > 0 && least + c->apart_h + 3 <= page_height(g) ? BELOW_PICTURES : AFTER;
}

/* The pictures and the list on one page, when they fit. */
static bool draw_together(glueing *g, const closing *after) {
  gw_flow *flow = &g->flow;
  double least = gw_glueup_pictures_least(g);
  double list = rows_height(g, 0, g->stage->n_steps) + heads_height(g) + after->rest_h +
                after->apart_h + 4;
  if (least <= 0 || least <= gw_flow_left(flow) || least + list > page_height(g)) return false;
  g->list = g->with_pictures = true;
  gw_flow_page(flow);
  g->with_pictures = false;
  gw_glueup_pictures(g, gw_flow_left(flow) - list, 0);
  draw_list(g, after, false);
  return true;
}

/* Makes the lines lower where the list then takes a page less. */
static void choose_pad(glueing *g, const closing *c) {
  double y = g->flow.y, fresh = g->flow.fresh_y, rest = c->rest_h + 2;
  bool at_foot;
  g->flow.y = g->flow.fresh_y += heads_height(g);
  int pages = list_pages(g, rest, 0, &at_foot);
  g->pad = LEAST_PAD;
  make_rows(g);
  if (g->rows != NULL && list_pages(g, rest, 0, &at_foot) == pages) {
    g->pad = PAD;
    make_rows(g);
  }
  g->flow.y = y;
  g->flow.fresh_y = fresh;
}

static void draw_wet(glueing *g) {
  closing after = make_closing(g);
  choose_pad(g, &after);
  if (g->rows == NULL) return;
  g->rescue[0] = after.heads[0];
  g->rescue[1] = after.texts[0];
  if (draw_together(g, &after)) return;
  rescue_place place = place_rescue(g, &after);
  if (place == BEFORE) {
    draw_rescue(g);
    gw_flow_gap(&g->flow, 2);
  }
  gw_glueup_pictures(g, 0, place == BELOW_PICTURES ? after.apart_h + 3 : 0);
  if (place == BELOW_PICTURES) draw_rescue(g);
  draw_list(g, &after, place == AT_FOOT);
}

static void set_stage(glueing *g) {
  g->stage = &g->job->clock->stages[g->index];
  g->use = g->stage->glue < 0 ? NULL : &g->job->clock->uses[g->stage->glue];
  int group = group_of_stage(g);
  g->title = SAY(g, "Stage %d of %d%s%s%s", g->index + 1, g->job->clock->n_stages,
                 g->use == NULL ? ", dry" : "", group < 0 ? "" : ": ",
                 group < 0 ? "" : g->job->model->groups[group].name);
  g->check = OR(g, gw_session_check(g->job, g->flow.arena, g->index, &g->squares));
  g->measures = strncmp(g->check, "try ", 4) != 0 && strncmp(g->check, "see ", 4) != 0;
  g->list = false;
  set_columns(g);
  g->pad = PAD;
  make_rows(g);
}

static void draw_stage(glueing *g) {
  set_stage(g);
  if (g->rows == NULL) return;
  gw_flow_page(&g->flow);
  gw_doc_outline(g->flow.doc, NULL, g->title, g->flow.page, g->flow.body.y);
  gw_glueup_bench(g);
  if (g->use != NULL) draw_wet(g);
  else draw_dry(g);
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
  if (job->clock != NULL && gw_session_squares_find(job, &g.squares) != GW_OK)
    g.flow.no_memory = true;
  bool timed = job->order != NULL && job->clock != NULL && job->clock->n_stages > 0;
  for (g.index = 0; timed && g.index < job->clock->n_stages; ++g.index) draw_stage(&g);
  if (!timed) draw_none(&g);
  gw_session_squares_clear(&g.squares);
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
