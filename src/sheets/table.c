#include "sheets/table.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

static const double BOX = 4.2;      /* side of a box to tick */
static const double INDENT = 6.5;   /* from the box to its words */
static const double ABOVE = 2.5;    /* white over a heading */
static const double BELOW = 1.2;    /* white under a paragraph */
static const double PAD = 2.5;      /* inside a frame */
static const double COLUMN_GAP = 4.0;
static const double EM_MM = 25.4 / 72;
static const double FIRST_BASELINE = 0.92; /* of the size, as in gw_text_box */

bool gw_flow_begin(gw_flow *flow, gw_doc *doc, const char *sheet) {
  *flow = (gw_flow){.doc = doc, .body = gw_doc_body(doc), .sheet = sheet, .above = ABOVE,
                    .below = BELOW};
  double ratio = gw_cap_ratio(doc, GW_FACE_REGULAR), bold = gw_cap_ratio(doc, GW_FACE_BOLD);
  if (ratio <= 0 || bold <= 0) ratio = bold = 0.7; /* the document has failed */
  flow->bench = gw_type_size_for(GW_FLOW_BENCH_M, GW_FLOW_ARCMIN, ratio);
  flow->wall = gw_type_size_for(GW_FLOW_WALL_M, GW_FLOW_ARCMIN, bold);
  flow->arena = gw_arena_new();
  return flow->arena != NULL;
}

gw_status gw_flow_end(gw_flow *flow) {
  gw_arena_free(flow->arena);
  flow->arena = NULL;
  return flow->no_memory ? GW_NO_MEMORY : GW_OK;
}

const char *gw_flow_text_or(gw_flow *flow, const char *text) {
  if (text != NULL) return text;
  flow->no_memory = true;
  return "";
}

const char *gw_flow_say(gw_flow *flow, const char *format, ...) {
  va_list arguments, again;
  va_start(arguments, format);
  va_copy(again, arguments);
  int length = vsnprintf(NULL, 0, format, arguments);
  va_end(arguments);
  char *text = length < 0 ? NULL : gw_arena_alloc(flow->arena, (size_t)length + 1, 1);
  if (text != NULL) vsnprintf(text, (size_t)length + 1, format, again);
  va_end(again);
  return gw_flow_text_or(flow, text);
}

/* ---- pages ---------------------------------------------------------------------------- */

void gw_flow_page(gw_flow *flow) {
  flow->page = gw_page_new(flow->doc, flow->sheet);
  flow->y = flow->body.y;
  if (flow->head != NULL) flow->head(flow, flow->data);
  flow->fresh_y = flow->y;
}

double gw_flow_left(const gw_flow *flow) {
  return flow->page == NULL ? 0 : flow->body.y + flow->body.h - flow->y;
}

void gw_flow_need(gw_flow *flow, double height) {
  bool fresh = flow->page != NULL && flow->y <= flow->fresh_y;
  if (gw_flow_left(flow) < height && !fresh) gw_flow_page(flow);
}

/* ---- type ----------------------------------------------------------------------------- */

gw_type gw_flow_bench(const gw_flow *flow) { return GW_TYPE(flow->bench); }
gw_type gw_flow_wall(const gw_flow *flow) { return GW_TYPE_BOLD(flow->wall); }

double gw_flow_first_baseline(gw_type type) { return FIRST_BASELINE * type.size * EM_MM; }

/* ---- paragraphs ----------------------------------------------------------------------- */

/* The area from (x, y) down to the foot of the body: more than the foot is cut
 * with an ellipsis by gw_text_box. */
static double set_text(gw_flow *flow, double x, double width, gw_type type, const char *text) {
  double left = gw_flow_left(flow);
  double height = gw_text_box_height(flow->doc, width, type, text);
  gw_text_box(flow->page, (gw_area){x, flow->y, width, height < left ? height : left}, type,
              GW_ALIGN_LEFT, text);
  return height;
}

/* How much of the text, up to a blank, is at most `height` high. */
static size_t part_that_fits(gw_flow *flow, double width, gw_type type, const char *text,
                             double height) {
  size_t low = 0, high = strlen(text);
  char *copy = gw_arena_alloc(flow->arena, high + 1, 1);
  if (copy == NULL) {
    flow->no_memory = true;
    return 0;
  }
  while (low + 1 < high) {
    size_t middle = (low + high) / 2, at = middle;
    while (at > low && text[at] != ' ') --at;
    if (at == low)
      for (at = middle; at < high && text[at] != ' ';) ++at;
    if (at >= high) break;
    memcpy(copy, text, at);
    copy[at] = '\0';
    if (gw_text_box_height(flow->doc, width, type, copy) <= height) low = at;
    else high = at;
  }
  return low;
}

/* Pages full of a text that is higher than a page; what is left is returned. */
static const char *fill_pages(gw_flow *flow, double indent, gw_type type, const char *text) {
  double width = flow->body.w - indent;
  while (gw_text_box_height(flow->doc, width, type, text) > gw_flow_left(flow)) {
    bool fresh = flow->y <= flow->fresh_y;
    size_t length = part_that_fits(flow, width, type, text, gw_flow_left(flow));
    if (length > 0)
      set_text(flow, flow->body.x + indent, width, type,
               gw_flow_say(flow, "%.*s", (int)length, text));
    if (length == 0 && (fresh || gw_doc_failed(flow->doc))) break; /* not even one line */
    text += length + (text[length] == ' ');
    gw_flow_page(flow);
  }
  return text;
}

void gw_flow_text(gw_flow *flow, gw_type type, double indent, const char *text) {
  double width = flow->body.w - indent, high = gw_text_box_height(flow->doc, width, type, text);
  if (flow->page == NULL) gw_flow_page(flow);
  if (high > flow->body.y + flow->body.h - flow->fresh_y) {
    gw_flow_need(flow, 3 * gw_line_height(type));
    text = fill_pages(flow, indent, type, text);
  }
  else gw_flow_need(flow, high);
  flow->y += set_text(flow, flow->body.x + indent, width, type, text) + flow->below;
}

static void tick_box(gw_flow *flow, double x, gw_type type) {
  double y = flow->y + gw_flow_first_baseline(type) - BOX + 0.4;
  gw_draw_tick_box(flow->page, x, y < flow->y ? flow->y : y, BOX);
}

static double tick_high(const gw_flow *flow, double width, gw_type type, const char *text) {
  double height = gw_text_box_height(flow->doc, width, type, text);
  return height < BOX + 0.6 ? BOX + 0.6 : height;
}

double gw_flow_tick_height(const gw_flow *flow, gw_type type, const char *text) {
  return tick_high(flow, flow->body.w - INDENT, type, text) + flow->below;
}

void gw_flow_tick(gw_flow *flow, gw_type type, const char *text) {
  gw_flow_row row = {.columns = 1};
  gw_flow_tick_in(flow, &row, type, text);
}

void gw_flow_tick_in(gw_flow *flow, gw_flow_row *row, gw_type type, const char *text) {
  double column = (flow->body.w + COLUMN_GAP) / row->columns, width = column - COLUMN_GAP - INDENT;
  double height = tick_high(flow, width, type, text);
  /* A tall text late in a row must not drive its row over the page's foot. */
  if (row->at > 0 && gw_flow_left(flow) < height) gw_flow_row_end(flow, row);
  if (row->at == 0) gw_flow_need(flow, height);
  double x = flow->body.x + column * row->at;
  tick_box(flow, x, type);
  set_text(flow, x + INDENT, width, type, text);
  if (height > row->height) row->height = height;
  if (++row->at == row->columns) gw_flow_row_end(flow, row);
}

void gw_flow_row_end(gw_flow *flow, gw_flow_row *row) {
  if (row->at == 0) return;
  flow->y += row->height + flow->below;
  row->at = 0;
  row->height = 0;
}

void gw_flow_blank(gw_flow *flow, double x, double y, double width) {
  gw_draw_line(flow->page, GW_PEN_THIN, x, y, x + width, y);
}

void gw_flow_gap(gw_flow *flow, double height) {
  double left = gw_flow_left(flow);
  flow->y += height < left ? height : left;
}

/* ---- headings and frames -------------------------------------------------------------- */

void gw_flow_title(gw_flow *flow, const char *title, const char *name, const char *right) {
  gw_type type = GW_TYPE_BOLD(20);
  double base = flow->y + gw_flow_first_baseline(type), edge = flow->body.x + flow->body.w;
  double taken = gw_text_width(flow->doc, type, title) + COLUMN_GAP;
  double kept = right[0] == '\0' ? 0 : gw_text_width(flow->doc, type, right) + COLUMN_GAP;
  gw_text_line(flow->page, flow->body.x, base, type, GW_ALIGN_LEFT, title);
  if (flow->body.w > taken + kept)
    gw_text_fit(flow->page, flow->body.x + taken, base, flow->body.w - taken - kept, GW_TYPE(20),
                9, GW_ALIGN_LEFT, name);
  gw_text_line(flow->page, edge, base, type, GW_ALIGN_RIGHT, right);
  flow->y = base + 3.0;
  gw_draw_line(flow->page, GW_PEN_THICK, flow->body.x, flow->y, edge, flow->y);
  flow->y += 2.0;
}

void gw_flow_heading(gw_flow *flow, const char *heading, double follows) {
  gw_type type = GW_TYPE_BOLD(flow->bench + 2);
  double height = gw_text_box_height(flow->doc, flow->body.w, type, heading);
  gw_flow_need(flow, flow->above + height + follows);
  gw_flow_gap(flow, flow->above);
  flow->y += set_text(flow, flow->body.x, flow->body.w, type, heading) + 0.6;
}

static gw_type box_head(const gw_flow *flow) { return GW_TYPE_BOLD(flow->bench + 3); }

double gw_flow_box_height(gw_flow *flow, const char *head, const char *text) {
  double width = flow->body.w - 2 * PAD;
  return gw_text_box_height(flow->doc, width, box_head(flow), head) +
         gw_text_box_height(flow->doc, width, gw_flow_bench(flow), text) + 2 * PAD + BELOW;
}

void gw_flow_box(gw_flow *flow, const char *head, const char *text) {
  double width = flow->body.w - 2 * PAD;
  gw_flow_need(flow, gw_flow_box_height(flow, head, text));
  double top = flow->y, foot = flow->body.y + flow->body.h;
  flow->y += PAD - 0.5;
  flow->y += set_text(flow, flow->body.x + PAD, width, box_head(flow), head);
  flow->y += set_text(flow, flow->body.x + PAD, width, gw_flow_bench(flow), text) + PAD;
  if (flow->y > foot) flow->y = foot;
  gw_draw_area(flow->page, GW_PEN_THICK,
               (gw_area){flow->body.x, top, flow->body.w, flow->y - top});
  flow->y += BELOW;
}
