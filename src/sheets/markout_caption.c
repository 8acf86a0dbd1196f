/* markout_caption.c - what all layouts have in common: what is said over a drawing, and how
 * wood that goes in, wood that goes and broken edges are drawn. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/markout_inner.h"

static const gw_pen HATCH = {GW_STROKE_FULL, 0.12, 0.35};
static const gw_pen TORN = {GW_STROKE_FULL, 0.18, 0.3};
#define HATCH_STEP 1.8     /* from line to line, mm */
#define TITLE GW_TYPE_BOLD(10)
#define LINES GW_TYPE(9)

/* ---- words -------------------------------------------------------------------------- */

double gw_caption_height(gw_flow *flow, const gw_caption *c, double wide) {
  double high = gw_text_box_height(flow->doc, wide, TITLE, c->title);
  for (int i = 0; i < GW_CAPTION_LINES; ++i)
    if (c->lines[i] != NULL) high += gw_text_box_height(flow->doc, wide, LINES, c->lines[i]);
  return high + 2.4;
}

void gw_caption_draw(gw_flow *flow, const gw_caption *c, double x, double y, double wide) {
  double high = gw_text_box_height(flow->doc, wide, TITLE, c->title);
  gw_text_box(flow->page, (gw_area){x, y, wide, high + 0.01}, TITLE, GW_ALIGN_LEFT, c->title);
  y += high;
  for (int i = 0; i < GW_CAPTION_LINES; ++i) {
    if (c->lines[i] == NULL) continue;
    high = gw_text_box_height(flow->doc, wide, LINES, c->lines[i]);
    gw_text_box(flow->page, (gw_area){x, y, wide, high + 0.01}, LINES, GW_ALIGN_LEFT, c->lines[i]);
    y += high;
  }
}

/* Without "the". */
static const char *surface(gw_flow *flow, const gw_part *part, gw_dir dir) {
  char words[48];
  gw_surface_words(part, dir, words, sizeof words);
  return gw_flow_say(flow, "%s", words + 4);
}

static bool is_face(const gw_part *part, gw_dir dir) {
  return dir == part->face || dir == part->edge;
}

const char *gw_turn_words(gw_flow *flow, const gw_part *part, gw_dir above, gw_dir left) {
  const char *words = gw_flow_say(flow, "%s above", surface(flow, part, above));
  if ((int)gw_dir_axis(left) == gw_part_length_axis(part)) return words;
  bool right = is_face(part, gw_dir_back(left));
  return gw_flow_say(flow, "%s, %s %s", words,
                     surface(flow, part, right ? gw_dir_back(left) : left),
                     right ? "right" : "left");
}

/* "across: 8 mm, 12 mm from the far edge"; `place` NULL to leave the place out. */
const char *gw_place_words(gw_flow *flow, const gw_sheets_job *job, const gw_part *part,
                           const gw_place *p, bool with_place) {
  char size[48], off[48], from[48];
  const char *words =
      gw_flow_say(flow, "%s: %s", p->name, gw_length_words(job, p->size, size, sizeof size));
  if (!with_place || (p->lo == 0 && p->rest == 0)) return words;
  if (llabs(p->lo - p->rest) < GW_MM / 50) return gw_flow_say(flow, "%s, in the middle", words);
  bool far = p->rest < p->lo;
  gw_surface_words(part, far ? gw_dir_back(p->start) : p->start, from, sizeof from);
  if ((far ? p->rest : p->lo) == 0) return gw_flow_say(flow, "%s, from %s", words, from);
  return gw_flow_say(flow, "%s, %s from %s", words,
                     gw_length_words(job, far ? p->rest : p->lo, off, sizeof off), from);
}

bool gw_half_is_struck(const gw_flow *flow, const gw_half *half) {
  const gw_layouting *l = flow->data;
  for (size_t i = 0; l != NULL && i < l->list->count; ++i) {
    const gw_strike *s = &l->list->items[i];
    bool places =
        s->tool == GW_TOOL_RULE || s->tool == GW_TOOL_PLOUGH || s->tool == GW_TOOL_MORTISE;
    if (s->joint == half->joint && s->part == half->part && places) return true;
  }
  return false;
}

const char *gw_halves_title(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                            bool entering) {
  const gw_model *m = job->model;
  const char *letters = "";
  int named[4], n = 0;
  const gw_half *first = &m->halves[entering ? m->joints[joints[0]].entering
                                             : m->joints[joints[0]].receiving];
  const char *what = gw_flow_text_or(flow, gw_half_words(flow->arena, first));
  for (int i = 0; i < count; ++i) {
    const gw_joint *j = &m->joints[joints[i]];
    int part = m->halves[entering ? j->entering : j->receiving].part, k = 0;
    while (k < n && named[k] != part) ++k;
    if (k < n) continue;
    if (n == 4) return what; /* the heading names them */
    named[n++] = part;
    letters =
        gw_flow_say(flow, "%s%s%s", letters, n > 1 ? ", " : " on ", job->marks->parts[part].text);
  }
  return gw_flow_say(flow, "%s%s", what, letters);
}

const char *gw_of_one_joint(gw_flow *flow, const gw_sheets_job *job, int joint, const char *words) {
  char number[GW_MARK_SHOWN];
  return gw_flow_say(flow, "joint %s: %s", gw_mark_show(&job->marks->joints[joint], number), words);
}

/* ---- two side by side ---------------------------------------------------------------- */

#define GUTTER 4.0       /* between two drawings, and their words, mm */
#define WORDS_LEAST 31.0 /* less no words are set on */

double gw_split_wide(double first, double second) {
  return fmax(first, WORDS_LEAST) + fmax(second, WORDS_LEAST) + GUTTER;
}

gw_split gw_layout_split(const gw_flow *flow, double first, double second) {
  double at = flow->body.w / 2, most = flow->body.w - second;
  if (at > most) at = most;
  if (at < first + GUTTER) at = first + GUTTER;
  return (gw_split){at, {at - GUTTER, flow->body.w - at}};
}

/* ---- lines -------------------------------------------------------------------------- */

void gw_layout_torn_across(gw_flow *flow, double x1, double x2, double y) {
  gw_spot spots[9];
  for (int i = 0; i < 9; ++i)
    spots[i] = (gw_spot){x1 + (x2 - x1) * i / 8, y + (i % 2 == 0 ? 0 : i % 4 == 1 ? 1.2 : -1.2)};
  gw_draw_polyline(flow->page, TORN, spots, 9, false);
}

void gw_layout_torn_down(gw_flow *flow, double x, double y1, double y2) {
  gw_spot spots[9];
  for (int i = 0; i < 9; ++i)
    spots[i] = (gw_spot){x + (i % 2 == 0 ? 0 : i % 4 == 1 ? 1.2 : -1.2), y1 + (y2 - y1) * i / 8};
  gw_draw_polyline(flow->page, TORN, spots, 9, false);
}

/* The stretch of the line x - y = at inside a convex shape with four corners. */
static int crossings(const gw_spot spots[4], double at, gw_spot out[2]) {
  int found = 0;
  for (int i = 0; i < 4 && found < 2; ++i) {
    const gw_spot *a = &spots[i], *b = &spots[(i + 1) % 4];
    double of_a = a->x - a->y - at, of_b = b->x - b->y - at;
    if ((of_a < 0) == (of_b < 0)) continue;
    double t = of_a / (of_a - of_b);
    out[found++] = (gw_spot){a->x + t * (b->x - a->x), a->y + t * (b->y - a->y)};
  }
  return found;
}

void gw_layout_goes_in(gw_flow *flow, const gw_spot spots[4]) {
  double least = 1e9, most = -1e9;
  for (int i = 0; i < 4; ++i) {
    least = fmin(least, spots[i].x - spots[i].y);
    most = fmax(most, spots[i].x - spots[i].y);
  }
  gw_fill_polygon(flow->page, 1, spots, 4);
  for (double at = least + HATCH_STEP / 2; at < most; at += HATCH_STEP) {
    gw_spot ends[2];
    if (crossings(spots, at, ends) < 2) continue;
    gw_draw_line(flow->page, HATCH, ends[0].x, ends[0].y, ends[1].x, ends[1].y);
  }
  gw_draw_polyline(flow->page, HATCH, spots, 4, true);
}

/* ---- the head of a page -------------------------------------------------------------- */

static void key_box(gw_flow *flow, double x, double y, bool cut) {
  const gw_spot spots[4] = {{x, y}, {x + 7, y}, {x + 7, y + 3.4}, {x, y + 3.4}};
  if (cut) gw_fill_polygon(flow->page, GW_LAYOUT_WASTE, spots, 4);
  else gw_layout_goes_in(flow, spots);
}

void gw_layouts_key(gw_flow *flow) {
  double x = flow->body.x + flow->body.w - 58, y = flow->y + 2;
  gw_draw_ruler(flow->page, flow->body.x, flow->y + 4);
  key_box(flow, x, y, true);
  gw_text_line(flow->page, x + 9, y + 2.9, LINES, GW_ALIGN_LEFT, "grey: is cut away");
  key_box(flow, x, y + 5, false);
  gw_text_line(flow->page, x + 9, y + 7.9, LINES, GW_ALIGN_LEFT,
               "hatched: goes into the other part");
  flow->y += GW_LAYOUTS_RULER;
}

/* ---- figures ------------------------------------------------------------------------ */

#define FIGURE 8.0       /* their size, points */
#define FIGURE_STEP 3.2  /* from one to the next at the least, mm */
#define FIGURE_WIDE 10.5 /* kept for one beside its leader */

void gw_layout_figures(gw_flow *flow, bool to_left, const gw_figure *items, int count) {
  const gw_pen fine = {GW_STROKE_FULL, 0.18, 0};
  double cap = gw_cap_height(flow->doc, GW_TYPE(FIGURE)), last = -1e9, away = to_left ? -1 : 1;
  for (int i = 0; i < count; ++i) {
    double y = fmax(items[i].y, last + FIGURE_STEP);
    gw_draw_line(flow->page, fine, items[i].x, items[i].y, items[i].x + away * 2, y);
    gw_text_fit(flow->page, items[i].x + away * 2.5, y + cap / 2, FIGURE_WIDE, GW_TYPE(FIGURE), 5,
                to_left ? GW_ALIGN_RIGHT : GW_ALIGN_LEFT, items[i].text);
    last = y;
  }
}
