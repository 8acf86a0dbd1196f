/* dryfit_rehearsal.c - the glue-up gone through with the clock running, dry. */
#include "sheets/dryfit_inner.h"

/* Columns from the right: the blank, the time a line takes, its start, who does it. */
static const double BLANK = 24, TAKES = 18, START = 18, WHO = 16, GAP = 4;

static bool has_glue(const gw_stage *stage) { return stage->glue >= 0; }

static bool many_hands(const gw_dryfit *f) { return f->job->model->shop.hands > 1; }

typedef struct line {
  const char *number, *words, *who, *start, *takes, *real;
  bool bold;
} line;

static double number_width(const gw_dryfit *f) {
  return gw_text_width(f->flow.doc, gw_flow_bench(&f->flow), "00") + 2.5;
}

static gw_type type_of(const gw_dryfit *f, const line *l) {
  return l->bold ? GW_TYPE_BOLD(f->flow.bench) : gw_flow_bench(&f->flow);
}

/* How wide the words may be. */
static double words_width(const gw_dryfit *f, const line *l) {
  double number = l->number == NULL ? 0 : number_width(f), who = l->who[0] ? WHO : 0;
  return f->flow.body.w - number - BLANK - GAP - TAKES - START - who - 1;
}

/* Words that are too long for their line run on under it. */
static double line_height(const gw_dryfit *f, const line *l) {
  gw_type type = type_of(f, l);
  double high = gw_text_box_height(f->flow.doc, words_width(f, l), type, l->words);
  return f->look.row + (high > gw_line_height(type) * 1.5 ? high - gw_line_height(type) : 0);
}

/* With a rule under it, to write on at its right end and to lead the eye there. */
static void set_line(gw_dryfit *f, const line *l) {
  gw_flow *flow = &f->flow;
  gw_type type = type_of(f, l);
  double right = flow->body.x + flow->body.w, base = flow->y + f->look.row - 2.4;
  double number = l->number == NULL ? 0 : number_width(f), x = flow->body.x + number;
  double starts = right - BLANK - GAP - TAKES, who = starts - START - (many_hands(f) ? WHO : 0);
  double high = line_height(f, l), first = base - gw_flow_first_baseline(type);
  if (l->number != NULL)
    gw_text_line(flow->page, x - 2.5, base, type, GW_ALIGN_RIGHT, l->number);
  gw_text_box(flow->page, (gw_area){x, first, words_width(f, l), high}, type, GW_ALIGN_LEFT,
              l->words);
  gw_text_line(flow->page, who, base, type, GW_ALIGN_LEFT, l->who);
  gw_text_line(flow->page, starts, base, type, GW_ALIGN_RIGHT, l->start);
  gw_text_line(flow->page, right - BLANK - GAP, base, type, GW_ALIGN_RIGHT, l->takes);
  gw_text_line(flow->page, right - BLANK, base, type, GW_ALIGN_LEFT, l->real);
  flow->y += high;
  if (!l->bold) gw_flow_blank(flow, flow->body.x, flow->y - 1.2, flow->body.w);
}

void gw_dryfit_table_head(gw_dryfit *f, int stage, bool again) {
  set_line(f, &(line){.words = SAY(f, "Stage %d%s", stage + 1, again ? ", continued" : ""),
                      .who = many_hands(f) ? "who" : "", .start = "start", .takes = "takes",
                      .real = "real", .bold = true});
}

/* `follows`: what must stand on the same page. */
static void step_line(gw_dryfit *f, const gw_stage *stage, int i, double follows) {
  const gw_step *step = &stage->steps[i];
  char start[GW_TIME_TEXT], takes[GW_TIME_TEXT];
  gw_time_text(step->start_s, start, sizeof start);
  gw_time_text(step->end_s - step->start_s, takes, sizeof takes);
  const char *who = many_hands(f) ? OR(f, gw_session_people(f->job, f->flow.arena, step)) : "";
  const char *words = OR(f, gw_session_action(f->job, f->flow.arena, stage, step));
  const line l = {SAY(f, "%d", i + 1), words, who, start, takes, "", false};
  gw_flow_need(&f->flow, line_height(f, &l) + follows);
  set_line(f, &l);
}

/* The glue's open time less the shop's margin. */
static int limit_of(const gw_dryfit *f, const gw_stage *stage) {
  int margin = f->job->model->shop.margin_pc;
  return (int)((int64_t)f->job->clock->uses[stage->glue].open_s * (100 - margin) / 100);
}

static void sums(gw_dryfit *f, const gw_stage *stage) {
  char text[GW_TIME_TEXT];
  gw_time_text(stage->end_s, text, sizeof text);
  set_line(f, &(line){NULL, stage->n_pulls > 0 ? "All clamped and checked at"
                                               : "All together and checked at",
                      "", text, "", "", false});
  gw_time_text(limit_of(f, stage), text, sizeof text);
  const char *words = SAY(f, "Longest a joint stays open; limit %s", text);
  gw_time_text(stage->wet_s, text, sizeof text);
  set_line(f, &(line){NULL, words, "", "", text, "", false});
}

/* The last two lines, the sums and, at the end of the sheet, the box to sign stand on one
 * page. */
static void rehearse_stage(gw_dryfit *f, int index, bool last) {
  const gw_stage *stage = &f->job->clock->stages[index];
  const double row = f->look.row;
  double after = 2 * row + (last ? GW_DRYFIT_SIGN_HIGH + GW_DRYFIT_SIGN_GAP : 0);
  f->table = -1;
  double all = (1 + stage->n_steps) * row + after;
  bool whole = stage->n_steps < 5 || all < f->look.keep * gw_dryfit_page(f);
  gw_flow_need(&f->flow, whole ? all : 4 * row);
  gw_dryfit_table_head(f, index, false);
  f->table = index;
  for (int i = 0; i < stage->n_steps; ++i)
    step_line(f, stage, i, i + 2 == stage->n_steps ? row + after : 0);
  sums(f, stage);
  f->table = -1;
  gw_flow_gap(&f->flow, 2);
}

/* How much stands under the heading: the first table, or its beginning. */
static double first_table(const gw_dryfit *f) {
  int i = 0;
  while (!has_glue(&f->job->clock->stages[i])) ++i;
  double all = (3 + f->job->clock->stages[i].n_steps) * f->look.row;
  return all < f->look.keep * gw_dryfit_page(f) ? all : 4 * f->look.row;
}

static const char *people_words(const gw_dryfit *f) {
  if (!many_hands(f)) return "";
  return f->job->model->shop.hands == 2 ? " P1 and P2 are the two who do it."
                                        : " P1, P2 and so on are those who do it.";
}

void gw_dryfit_rehearsal(gw_dryfit *f) {
  const gw_clock *clock = f->job->clock;
  int last = -1;
  for (int i = 0; clock != NULL && i < clock->n_stages; ++i)
    if (has_glue(&clock->stages[i])) last = i;
  if (last < 0) return;
  gw_type type = gw_flow_bench(&f->flow);
  const char *text = gw_dryfit_whole(
      f, SAY(f, "Go through the motions of every line and write down how long it really took. A "
                "joint is open from its first glue to its faces together. Where that is longer "
                "than the limit, the glue's open time less the margin of %d\xC2\xA0%%, it wants "
                "another pair of hands, a slower glue or one more stage.%s",
             f->job->model->shop.margin_pc, people_words(f)));
  gw_flow_heading(&f->flow, "Rehearsal with the clock running, without glue",
                  gw_text_box_height(f->flow.doc, f->flow.body.w, type, text) +
                      f->look.row + first_table(f));
  gw_flow_text(&f->flow, type, 0, text);
  for (int i = 0; i <= last; ++i)
    if (has_glue(&clock->stages[i])) rehearse_stage(f, i, i == last);
}
