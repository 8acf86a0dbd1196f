/* markout.c - marking-out.pdf: all that is struck with one setting before it is
 * changed, then the layouts at full scale. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/markout_inner.h"

#define LETTER_WIDE 13.0 /* column of part letters, mm */
#define JOINTS_WIDE 27.0 /* column of joint numbers */
#define ROW_GAP 1.0
#define ROW_WORDS 10.5 /* size of their type, points */
#define WHOLE_SETTING 45.0 /* what is no higher keeps to one page, mm */

/* ---- the settings ------------------------------------------------------------------- */

/* Strikes of one part with the same words stand in one row. */
static size_t row_end(const gw_strikes *list, size_t from) {
  size_t to = from + 1;
  while (to < list->count && gw_strikes_same_setting(&list->items[from], &list->items[to]) &&
         list->items[to].part == list->items[from].part &&
         strcmp(list->items[to].words, list->items[from].words) == 0)
    ++to;
  return to;
}

/* Whether a joint stands in the list before `at`. */
static bool named(const gw_strikes *list, size_t from, size_t at) {
  for (size_t i = from; i < at; ++i)
    if (list->items[i].joint == list->items[at].joint) return true;
  return false;
}

static size_t count_joints(const gw_strikes *list, size_t from, size_t to) {
  size_t count = 0;
  for (size_t i = from; i < to; ++i) count += !named(list, from, i);
  return count;
}

static const char *numbers(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list,
                           size_t from, size_t to) {
  const char *words = "";
  for (size_t i = from; i < to; ++i) {
    char number[GW_MARK_SHOWN];
    if (list->items[i].joint < 0 || named(list, from, i)) continue;
    words = gw_flow_say(flow, "%s%s%s", words, i > from ? ", " : "",
                        gw_mark_show(&job->marks->joints[list->items[i].joint], number));
  }
  return words;
}

/* ", from the left end (5, 8) and the right end (7)": strikes from one side lie
 * side by side.  Numbers are left out where they are those of the whole row. */
static const char *sides(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list,
                         size_t from, size_t to) {
  const char *words = "";
  for (size_t i = from; i < to;) {
    size_t end = i + 1;
    while (end < to && strcmp(list->items[end].from, list->items[i].from) == 0) ++end;
    const char *link = i == from ? ", from " : end == to ? " and " : ", ";
    bool all = count_joints(list, i, end) == count_joints(list, from, to);
    if (list->items[i].from[0] != '\0')
      words = all ? gw_flow_say(flow, "%s%s%s", words, link, list->items[i].from)
                  : gw_flow_say(flow, "%s%s%s (%s)", words, link, list->items[i].from,
                                numbers(flow, job, list, i, end));
    i = end;
  }
  return words;
}

typedef struct row {
  const char *part, *joints, *words;
  double of_joints, of_words, high; /* mm */
} row;

static row row_of(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list, size_t from,
                  size_t to) {
  const gw_strike *s = &list->items[from];
  const gw_part *p = &job->model->parts[s->part];
  row r = {.part = job->marks->parts[s->part].text, .joints = numbers(flow, job, list, from, to)};
  r.words = gw_flow_say(flow, "%s: %s%s", p->name != NULL ? p->name : p->id, s->words,
                        sides(flow, job, list, from, to));
  r.of_words = gw_text_box_height(flow->doc, flow->body.w - LETTER_WIDE - JOINTS_WIDE,
                                  GW_TYPE(ROW_WORDS), r.words);
  r.of_joints =
      gw_text_box_height(flow->doc, JOINTS_WIDE - 2, GW_TYPE_BOLD(flow->bench), r.joints);
  double letters = gw_line_height(GW_TYPE_BOLD(flow->bench));
  r.high = fmax(letters, fmax(r.of_words, r.of_joints)) + ROW_GAP;
  return r;
}

static void draw_row(gw_flow *flow, const row *r) {
  gw_type bold = GW_TYPE_BOLD(flow->bench), type = GW_TYPE(ROW_WORDS);
  double x = flow->body.x, base = flow->y + gw_flow_first_baseline(bold);
  gw_text_fit(flow->page, x, base, LETTER_WIDE - 1, bold, 6, GW_ALIGN_LEFT, r->part);
  gw_text_box(flow->page, (gw_area){x + LETTER_WIDE, flow->y, JOINTS_WIDE - 2, r->of_joints + 0.01},
              bold, GW_ALIGN_LEFT, r->joints);
  double lower = base - gw_flow_first_baseline(type); /* on the same baseline */
  if (lower + r->of_words > flow->y + r->high) lower = flow->y;
  double wide = flow->body.w - LETTER_WIDE - JOINTS_WIDE;
  gw_text_box(flow->page, (gw_area){x + LETTER_WIDE + JOINTS_WIDE, lower, wide, r->of_words + 0.01},
              type, GW_ALIGN_LEFT, r->words);
  flow->y += r->high;
}

static const char *tool_words(gw_tool tool) {
  static const char *const words[GW_TOOLS] = {
      [GW_TOOL_GAUGE] = "With the marking gauge",
      [GW_TOOL_MORTISE] = "With the mortise gauge",
      [GW_TOOL_PLOUGH] = "With the plough",
      [GW_TOOL_DEPTH] = "With the depth stop",
      [GW_TOOL_BEVEL] = "With the bevel",
      [GW_TOOL_LEAN] = "With the sliding bevel: what leans",
      [GW_TOOL_RULE] = "With the rule or the story stick"};
  return words[tool];
}

static double rows_height(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list,
                          size_t from, size_t to) {
  double high = 0;
  for (size_t i = from; i < to; i = row_end(list, i))
    high += row_of(flow, job, list, i, row_end(list, i)).high;
  return high;
}

/* What a setting wants on its first page: all of it, or its first rows. */
static double setting_height(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list,
                             size_t from, size_t to) {
  double line = gw_line_height(GW_TYPE_BOLD(flow->bench));
  double high = rows_height(flow, job, list, from, to);
  return line + 1 + (high > WHOLE_SETTING ? 3 * line : high);
}

/* Rows that run over a page stand under their setting again, without its box. */
static void draw_setting(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list,
                         size_t from, size_t to) {
  char setting[160];
  gw_strike_setting(job, &list->items[from], setting, sizeof setting);
  gw_type type = GW_TYPE_BOLD(flow->bench);
  gw_flow_need(flow, setting_height(flow, job, list, from, to));
  gw_flow_tick(flow, type, setting);
  for (size_t i = from; i < to;) {
    size_t end = row_end(list, i);
    row r = row_of(flow, job, list, i, end);
    if (gw_flow_left(flow) < r.high) {
      gw_flow_page(flow);
      gw_flow_text(flow, type, 0, gw_flow_say(flow, "%s, continued", setting));
    }
    draw_row(flow, &r);
    i = end;
  }
  gw_flow_gap(flow, 2.5);
}

static void draw_settings(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list) {
  int tool = -1;
  for (size_t i = 0; i < list->count && !gw_doc_failed(flow->doc);) {
    size_t end = i + 1;
    while (end < list->count && gw_strikes_same_setting(&list->items[i], &list->items[end])) ++end;
    if ((int)list->items[i].tool != tool)
      gw_flow_heading(flow, tool_words(list->items[i].tool),
                      setting_height(flow, job, list, i, end) + 1);
    tool = (int)list->items[i].tool;
    draw_setting(flow, job, list, i, end);
    i = end;
  }
}

/* ---- the sheet ---------------------------------------------------------------------- */

static const char INTRO[] =
    "Each setting is used everywhere before it is changed: strike all its rows, then tick it.  "
    "The far side and the far edge are those opposite to the face side and the face edge.  "
    "A bar under a number means: this is the bottom.";

static void settings_head(gw_flow *flow, void *data) {
  (void)data;
  gw_flow_title(flow, "Marking out: settings", "", "");
}

/* Each page of layouts has its own line of 100 mm. */
static void layouts_head(gw_flow *flow, void *data) {
  (void)data;
  gw_flow_title(flow, "Marking out: layouts at full scale", "", "");
  gw_draw_ruler(flow->page, flow->body.x, flow->y + 4);
  flow->y += GW_LAYOUTS_RULER;
}

static void say_what_is_missing(gw_flow *flow, const gw_sheets_job *job) {
  if (job->fit->placed) return;
  gw_flow_text(flow, GW_TYPE_BOLD(10.5), 0,
               "The parts have no places yet: what depends on them is left out.");
}

static gw_status draw(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list) {
  char copies[96];
  flow->head = settings_head;
  gw_flow_page(flow);
  gw_flow_text(flow, GW_TYPE(10.5), 0, INTRO);
  if (job->model->copies > 1) {
    snprintf(copies, sizeof copies, "%d copies are made: strike each row on all of them.",
             job->model->copies);
    gw_flow_text(flow, GW_TYPE_BOLD(10.5), 0, copies);
  }
  say_what_is_missing(flow, job);
  draw_settings(flow, job, list);
  if (list->count == 0)
    gw_flow_text(flow, GW_TYPE(10.5), 0, "No joint of this piece is struck with a setting.");
  bool waits = true;
  flow->data = &waits;
  gw_status status = gw_layouts_draw(flow, job, layouts_head);
  flow->data = NULL;
  return status;
}

gw_status gw_sheets_mark_out(const gw_sheets_job *job, const char *path, gw_error *err) {
  gw_error own = {GW_OK, ""};
  gw_flow flow;
  gw_strikes list = {0};
  if (err == NULL) err = &own;
  gw_doc *doc = gw_sheets_open(job, "Marking out", err);
  if (doc == NULL) return err->status;
  gw_status status = GW_NO_MEMORY;
  if (gw_flow_begin(&flow, doc, "Marking out")) {
    status = gw_strikes_make(job, flow.arena, &list);
    if (status == GW_OK) status = draw(&flow, job, &list);
    gw_status ended = gw_flow_end(&flow);
    if (status == GW_OK) status = ended;
  }
  free(list.items);
  if (status == GW_OK) status = gw_doc_save(doc, path, err);
  else gw_fail(err, status, "memory is short");
  gw_doc_free(doc);
  return status;
}
