/* markout_draw.c - layouts at full scale. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/markout_inner.h"
#include "sheets/picture_inner.h"

static const gw_pen WOOD = {GW_STROKE_FULL, 0.35, 0};
static const gw_pen FINE = {GW_STROKE_FULL, 0.18, 0};
static const gw_pen TORN = {GW_STROKE_FULL, 0.18, 0.3};
#define WASTE 0.85      /* grey of what is cut away or goes in */
#define FIGURE 8.0      /* size of the figures beside a drawing, points */
#define FIGURE_STEP 3.2 /* from one figure to the next at the least, mm */
#define FIGURE_WIDE 17.0 /* kept for a column of figures, mm */
#define BELOW 7.0       /* white under a drawing */
#define TAILS_ABOVE 5.0 /* over a drawing of tails: what its boards are */

/* ---- joints that share a layout ----------------------------------------------------- */

static gw_len rounded(gw_len length) { return length / (GW_MM / 100); }

/* Whether what the layout of one half shows is the same. */
static bool same_half(const gw_sheets_job *job, int a, int b, bool entering) {
  const gw_model *m = job->model;
  const gw_joint *ja = &m->joints[a], *jb = &m->joints[b];
  const gw_half *ha = &m->halves[entering ? ja->entering : ja->receiving];
  const gw_half *hb = &m->halves[entering ? jb->entering : jb->receiving];
  const gw_seating *sa = &job->fit->seatings[a], *sb = &job->fit->seatings[b];
  const gw_span *ea = entering ? sa->e : sa->r, *eb = entering ? sb->e : sb->r;
  const gw_part *pa = &m->parts[ha->part], *pb = &m->parts[hb->part];
  const int axes_a[2] = {sa->narrow, sa->run}, axes_b[2] = {sb->narrow, sb->run};
  for (int i = 0; i < 2; ++i) {
    int x = axes_a[i], y = axes_b[i];
    if ((x < 0) != (y < 0)) return false;
    if (x >= 0 && (rounded(ea[x].lo) != rounded(eb[y].lo) ||
                   rounded(ea[x].size) != rounded(eb[y].size) ||
                   rounded(pa->size[x]) != rounded(pb->size[y])))
      return false;
  }
  return true;
}

static bool same_depths(const gw_sheets_job *job, int a, int b) {
  const gw_seating *sa = &job->fit->seatings[a], *sb = &job->fit->seatings[b];
  return job->model->joints[a].kind == job->model->joints[b].kind && sa->style == sb->style &&
         rounded(sa->depth_e) == rounded(sb->depth_e) &&
         rounded(sa->depth_r) == rounded(sb->depth_r) && sa->count == sb->count &&
         sa->slope == sb->slope;
}

const char *gw_joints_words(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count) {
  const char *words = count == 1 ? "joint" : "joints";
  for (int i = 0; i < count; ++i) {
    char number[GW_MARK_SHOWN];
    const char *link = i == 0 ? " " : i == count - 1 ? " and " : ", ";
    words = gw_flow_say(flow, "%s%s%s", words, link,
                        gw_mark_show(&job->marks->joints[joints[i]], number));
  }
  return words;
}

/* ---- figures beside a drawing ------------------------------------------------------- */

typedef struct figure { double y; const char *text; } figure;

/* Figures in a column at their lines' heights, pushed apart where they would
 * touch; a fine line leads from each to its own height. */
static void draw_figures(gw_flow *flow, double x, bool to_left, figure *items, int count) {
  double cap = gw_cap_height(flow->doc, GW_TYPE(FIGURE)), last = -1e9;
  for (int i = 0; i < count; ++i) {
    double y = fmax(items[i].y, last + FIGURE_STEP), away = to_left ? -1 : 1;
    gw_draw_line(flow->page, FINE, x, items[i].y, x + away * 2.5, y);
    gw_text_fit(flow->page, x + away * 3, y + cap / 2, FIGURE_WIDE - 3, GW_TYPE(FIGURE), 5,
                to_left ? GW_ALIGN_RIGHT : GW_ALIGN_LEFT, items[i].text);
    last = y;
  }
}

/* ---- tails -------------------------------------------------------------------------- */

typedef struct tails {
  gw_flow *flow;
  const gw_sheets_job *job;
  int joint, count, shown; /* of the tails, those drawn before the break */
  const gw_seating *s;
  double wide, length, thick, lap; /* mm */
  double x, y, high;               /* of the drawing on the page */
} tails;

static double mm_at(gw_len length) { return gw_len_mm(length); }

/* Along the entering half, as it is measured on a board that may lean. */
static gw_len along_wood(const gw_sheets_job *job, int joint, gw_len stands) {
  const gw_half *e = &job->model->halves[job->model->joints[joint].entering];
  return gw_on_wood(&job->model->parts[e->part], e, job->fit->seatings[joint].run, stands);
}

static gw_tail tail_on_wood(const gw_sheets_job *job, int joint, int k) {
  gw_tail tail = gw_tails_at(job->model, job->fit, joint, k);
  return (gw_tail){along_wood(job, joint, tail.end_lo), along_wood(job, joint, tail.end_hi),
                   along_wood(job, joint, tail.base_lo), along_wood(job, joint, tail.base_hi)};
}

/* The four corners of a gap between tails (k = count: behind the last). */
static void gap_corners(const tails *t, int k, double end, double base, gw_spot out[4]) {
  double lo_end = 0, lo_base = 0, hi_end = t->wide, hi_base = t->wide;
  if (k > 0) {
    gw_tail before = tail_on_wood(t->job, t->joint, k - 1);
    lo_end = mm_at(before.end_hi);
    lo_base = mm_at(before.base_hi);
  }
  if (k < t->count) {
    gw_tail after = tail_on_wood(t->job, t->joint, k);
    hi_end = mm_at(after.end_lo);
    hi_base = mm_at(after.base_lo);
  }
  out[0] = (gw_spot){base, t->y + lo_base};
  out[1] = (gw_spot){end, t->y + lo_end};
  out[2] = (gw_spot){end, t->y + hi_end};
  out[3] = (gw_spot){base, t->y + hi_base};
}

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

static void four_lines(gw_flow *flow, const gw_spot spots[4], const bool sides[4]) {
  for (int i = 0; i < 4; ++i)
    if (sides[i])
      gw_draw_line(flow->page, WOOD, spots[i].x, spots[i].y, spots[(i + 1) % 4].x,
                   spots[(i + 1) % 4].y);
}

/* How much of the width is drawn. */
static double drawn_width(const tails *t) {
  if (t->shown == t->count) return t->wide;
  gw_tail last = tail_on_wood(t->job, t->joint, t->shown);
  return mm_at((last.base_lo + last.base_hi) / 2);
}

/* The tail board's end on its face side: the gaps between the tails are waste. */
static void draw_tail_board(const tails *t) {
  double end = t->x + FIGURE_WIDE, base = end + t->length, far = base + 14, high = drawn_width(t);
  bool whole = t->shown == t->count;
  gw_spot gap[4];
  for (int k = 0; k <= t->shown; ++k) {
    gap_corners(t, k, end, base, gap);
    gw_fill_polygon(t->flow->page, WASTE, gap, 4);
    bool sides[4] = {k > 0, true, k < t->count, true};
    four_lines(t->flow, gap, sides);
  }
  gw_draw_line(t->flow->page, WOOD, end, t->y, far, t->y);
  gw_draw_line(t->flow->page, WOOD, end, t->y, end, t->y + high);
  gw_draw_line(t->flow->page, FINE, base, t->y, base, t->y + high);
  if (whole) gw_draw_line(t->flow->page, WOOD, end, t->y + high, far, t->y + high);
  else gw_layout_torn_across(t->flow, end, far, t->y + high);
  gw_layout_torn_down(t->flow, far, t->y, t->y + high);
  gw_text_line(t->flow->page, end, t->y - 1.5, GW_TYPE(8), GW_ALIGN_LEFT, "tails");
}

/* The pin board's end grain: the sockets between the pins are waste. */
static void draw_pin_board(const tails *t, double x) {
  double far = x, near = x + t->length + t->lap, base = near, end = near - t->length;
  double high = drawn_width(t);
  for (int k = 0; k < t->shown; ++k) {
    gw_tail tail = tail_on_wood(t->job, t->joint, k);
    const gw_spot socket[4] = {
        {base, t->y + mm_at(tail.base_lo)}, {end, t->y + mm_at(tail.end_lo)},
        {end, t->y + mm_at(tail.end_hi)}, {base, t->y + mm_at(tail.base_hi)}};
    gw_fill_polygon(t->flow->page, WASTE, socket, 4);
    four_lines(t->flow, socket, (const bool[4]){true, true, true, true});
  }
  gw_draw_line(t->flow->page, WOOD, far, t->y, near, t->y);
  gw_draw_line(t->flow->page, WOOD, far, t->y, far, t->y + high);
  gw_draw_line(t->flow->page, WOOD, near, t->y, near, t->y + high);
  if (t->lap > 0) gw_draw_line(t->flow->page, FINE, end, t->y, end, t->y + high);
  if (t->shown == t->count) gw_draw_line(t->flow->page, WOOD, far, t->y + high, near, t->y + high);
  else gw_layout_torn_across(t->flow, far, near, t->y + high);
  gw_text_line(t->flow->page, far, t->y - 1.5, GW_TYPE(8), GW_ALIGN_LEFT, "pins, on the end");
}

/* Distances from the upper edge, at the ends of the tails and at the baseline. */
static void draw_tail_figures(const tails *t, bool at_end, double x, bool to_left) {
  size_t room = 2 * (size_t)t->shown + 1;
  figure *items = gw_arena_alloc(t->flow->arena, room, sizeof *items);
  int count = 0;
  char words[48];
  if (items == NULL) {
    t->flow->no_memory = true;
    return;
  }
  for (int k = 0; k < t->shown; ++k) {
    gw_tail tail = tail_on_wood(t->job, t->joint, k);
    const gw_len at[2] = {at_end ? tail.end_lo : tail.base_lo, at_end ? tail.end_hi : tail.base_hi};
    for (int i = 0; i < 2; ++i)
      items[count++] = (figure){
          t->y + mm_at(at[i]),
          gw_flow_say(t->flow, "%s", gw_figure_words(t->job, at[i], words, sizeof words))};
  }
  draw_figures(t->flow, x, to_left, items, count);
}

static const char *parts_words(gw_flow *flow, const gw_sheets_job *job, int joint) {
  const gw_model *m = job->model;
  const gw_joint *j = &m->joints[joint];
  int e = gw_joint_enters(m, j), r = gw_joint_receives(m, j);
  return gw_flow_say(flow, "%s into %s", job->marks->parts[e].text, job->marks->parts[r].text);
}

/* "Joints 5 and 8: through dovetail (N into C, N into K)". */
static const char *heading_words(gw_flow *flow, const gw_sheets_job *job, const int *joints,
                                 int count) {
  const char *parts = parts_words(flow, job, joints[0]);
  for (int i = 1; i < count; ++i)
    parts = gw_flow_say(flow, "%s, %s", parts, parts_words(flow, job, joints[i]));
  const char *which = gw_joints_words(flow, job, joints, count) + 1; /* after its small j */
  return gw_flow_say(flow, "J%s: %s (%s)", which,
                     gw_kind_of(job->model->joints[joints[0]].kind)->words, parts);
}

/* The layouts begin on the page of the last settings where the first of them has
 * room there. */
static void begin(gw_flow *flow, double height) {
  bool *waits = flow->data;
  if (waits == NULL || !*waits) return;
  *waits = false;
  if (gw_flow_left(flow) < height + GW_LAYOUTS_HEAD) {
    gw_flow_page(flow);
    return;
  }
  gw_flow_heading(flow, "Layouts at full scale", GW_LAYOUTS_RULER);
  gw_draw_ruler(flow->page, flow->body.x, flow->y + 4);
  flow->y += GW_LAYOUTS_RULER;
}

static double heading_height(gw_flow *flow, const gw_sheets_job *job, const int *joints,
                             int count) {
  return 2 + gw_text_box_height(flow->doc, flow->body.w, GW_TYPE_BOLD(flow->bench),
                                heading_words(flow, job, joints, count));
}

double gw_layout_words_height(gw_flow *flow, const char *words) {
  return 1.5 + gw_text_box_height(flow->doc, flow->body.w, GW_TYPE(GW_LAYOUT_WORDS), words);
}

/* Words that fill pages run on; other ones stand over what follows. */
void gw_layout_heading(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                       double follows) {
  double high = heading_height(flow, job, joints, count) + follows;
  begin(flow, high);
  gw_flow_need(flow, high);
  gw_flow_text(flow, GW_TYPE_BOLD(flow->bench), 0, heading_words(flow, job, joints, count));
  gw_flow_need(flow, follows); /* words of a page or more have used up what was there */
}

static const char *tails_words(gw_flow *flow, const gw_sheets_job *job, int joint) {
  const gw_seating *s = &job->fit->seatings[joint];
  char pitch[48], pin[48], length[48], slope[48], words[96] = "";
  gw_tail first = tail_on_wood(job, joint, 0);
  bool comb = job->model->joints[joint].kind == GW_COMB;
  gw_length_words(job, along_wood(job, joint, s->e[s->run].size) / s->count, pitch, sizeof pitch);
  gw_length_words(job, comb ? first.end_hi - first.end_lo : 2 * first.end_lo, pin, sizeof pin);
  gw_length_words(job, s->depth_e, length, sizeof length);
  if (s->slope > 0)
    snprintf(words, sizeof words, ", slope %s", gw_slope_words(s->slope, slope, sizeof slope));
  return gw_flow_say(flow, "%d %s%s, %s long; from one to the next %s; %s %s wide%s.", s->count,
                     comb ? "finger" : "tail", s->count == 1 ? "" : "s", length, pitch,
                     comb ? "a finger" : "a pin at the narrowest", pin, words);
}

/* All distances in one paragraph, for what the paper cannot show. */
static void say_all_distances(gw_flow *flow, const gw_sheets_job *job, int joint) {
  const gw_seating *s = &job->fit->seatings[joint];
  const char *words = "Longer than the paper, and so drawn from one edge on.  All distances from "
                      "that edge, at the end of the tails:";
  char a[48], b[48];
  for (int k = 0; k < s->count; ++k) {
    gw_tail tail = tail_on_wood(job, joint, k);
    words = gw_flow_say(flow, "%s%s %s to %s", words, k > 0 ? "," : "",
                        gw_figure_words(job, tail.end_lo, a, sizeof a),
                        gw_figure_words(job, tail.end_hi, b, sizeof b));
  }
  gw_flow_text(flow, GW_TYPE(10), 0, gw_flow_say(flow, "%s.", words));
}

/* How many tails, from the upper edge, fit above the ruler of a fresh page. */
static int tails_that_fit(const tails *t, double room) {
  if (t->wide <= room) return t->count;
  int fit = 0;
  while (fit < t->count - 1) {
    gw_tail next = tail_on_wood(t->job, t->joint, fit + 1);
    if (mm_at((next.base_lo + next.base_hi) / 2) > room) break;
    ++fit;
  }
  return fit;
}

static tails tails_of(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count) {
  const gw_model *m = job->model;
  int joint = joints[0];
  const gw_seating *s = &job->fit->seatings[joint];
  tails t = {.flow = flow, .job = job, .joint = joint, .count = s->count, .s = s,
             .wide = mm_at(along_wood(job, joint, s->e[s->run].size)), .length = mm_at(s->depth_e)};
  t.thick = mm_at(m->parts[gw_joint_receives(m, &m->joints[joint])].size[s->normal]);
  t.lap = fmax(0, t.thick - t.length);
  double across = 3 * FIGURE_WIDE + 2 * t.length + t.lap + 28;
  double words = heading_height(flow, job, joints, count);
  if (words > flow->body.h / 3) words = 0; /* those pages are filled by the words alone */
  t.shown = tails_that_fit(&t, flow->body.h - 70 - words);
  if (across > flow->body.w) t.shown = 0;
  return t;
}

/* Under the heading; what is too long has words of its own as well. */
static double tails_height(const tails *t) {
  double words = gw_layout_words_height(t->flow, tails_words(t->flow, t->job, t->joint));
  return words + (t->shown > 0 ? TAILS_ABOVE + drawn_width(t) + 2 : 0);
}

static void draw_tails(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count) {
  tails t = tails_of(flow, job, joints, count);
  gw_layout_heading(flow, job, joints, count, tails_height(&t));
  gw_flow_text(flow, GW_TYPE(GW_LAYOUT_WORDS), 0, tails_words(flow, job, t.joint));
  if (t.shown < t.count) say_all_distances(flow, job, t.joint);
  if (t.shown == 0) return;
  t.x = flow->body.x;
  t.y = flow->y + TAILS_ABOVE;
  double pins = t.x + 2 * FIGURE_WIDE + t.length + 14 + 10;
  draw_tail_board(&t);
  draw_pin_board(&t, pins);
  draw_tail_figures(&t, true, t.x + FIGURE_WIDE - 0.5, true);
  draw_tail_figures(&t, false, t.x + FIGURE_WIDE + t.length + 14.8, false);
  flow->y = t.y + drawn_width(&t) + BELOW;
}

/* ---- tenons, mortises, grooves, housings -------------------------------------------- */

/* One axis of a surface: the part's extent, the half's stretch on it, and how
 * much of it is drawn. */
typedef struct stretch_of {
  double whole, lo, hi; /* mm */
  double from, to;      /* drawn */
} stretch_of;

#define STUMP 30.0  /* of what is too long, mm */
#define BESIDE 10.0 /* of the part shown beside a half, mm */

/* `drawn_whole`: what is no longer than this is not broken off. */
static stretch_of look_along(const gw_span *span, gw_len whole, double drawn_whole, double most) {
  stretch_of s = {.whole = mm_at(whole), .lo = mm_at(span->lo),
                  .hi = mm_at(span->lo + span->size)};
  /* A draft may have a half beside its part. */
  s.lo = fmin(fmax(s.lo, 0), s.whole);
  s.hi = fmin(fmax(s.hi, s.lo), s.whole);
  s.from = s.lo < 2.5 * BESIDE ? 0 : s.lo - BESIDE;
  s.to = s.whole - s.hi < 2.5 * BESIDE ? s.whole : s.hi + BESIDE;
  if (s.whole <= drawn_whole) {
    s.from = 0;
    s.to = s.whole;
  }
  if (s.to - s.from > most) s.to = fmax(s.from, s.lo) + STUMP; /* the rest is broken off */
  return s;
}

typedef struct plate {
  stretch_of across, down;
  const gw_half *half;
  gw_dir down_way;   /* which way down is on the part */
  gw_len figures[6]; /* across: offset, thickness, what is left; the same down */
  bool same[6];      /* of all the joints that share the drawing */
  double climb;      /* of level lines, where the part leans: mm up for each to the right */
} plate;

enum { ACROSS_WHOLE = 76, ACROSS_MOST = 76, DOWN_WHOLE = 60, DOWN_MOST = 150 };

const char *gw_seen_word(gw_dir side) {
  static const char *const words[6] = {"left", "right", "front", "back", "underside", "top"};
  return words[side];
}

/* Which way across and down of the drawing go on the part, as one sees it from
 * the side that it is cut in; turned a quarter when that puts the thickness
 * across. */
static void turn_plate(const gw_seating *s, gw_dir side, gw_dir *across, gw_dir *down) {
  gw_view view = gw_view_from(side);
  bool turned = fabs(view.u[s->narrow]) < 0.5;
  *across = gw_dir_of(s->narrow, (turned ? -view.v[s->narrow] : view.u[s->narrow]) > 0 ? 1 : -1);
  *down = gw_dir_of(s->run, (turned ? view.u[s->run] : view.v[s->run]) > 0 ? 1 : -1);
}

/* The span as counted from the side that is at the left or above. */
static gw_span seen_span(const gw_span *span, gw_len whole, gw_dir way) {
  gw_span out = *span;
  if (gw_dir_sign(way) < 0) out.lo = whole - span->lo - span->size;
  return out;
}

static const char *plate_title(gw_flow *flow, const gw_sheets_job *job, const gw_half *half,
                               gw_dir down) {
  char element[32];
  snprintf(element, sizeof element, "%s", half->element);
  for (char *at = element; *at != '\0'; ++at)
    if (*at == '-') *at = ' ';
  return gw_flow_say(flow, "%s on %s, seen from the %s, %s side above", element,
                     job->marks->parts[half->part].text, gw_seen_word(half->at),
                     gw_side_word(gw_dir_back(down)));
}

/* Level lines on the surface, as the part lies on the bench; see gw_strikes_lean. */
static double climb_of(const gw_part *p, const gw_half *half, const gw_seating *s, gw_dir across,
                       gw_dir down) {
  int axis = gw_dir_axis(half->at);
  if (s->run != GW_Z || axis == GW_Z || s->narrow == GW_Z) return 0;
  double degrees = gw_lean_slant(p->lean[axis], p->lean[s->narrow]);
  return tan(degrees * acos(-1) / 180) * gw_dir_sign(across) * (down == GW_DOWN ? 1 : -1);
}

static void on_wood(gw_span *span, const gw_part *p, const gw_half *half, int axis) {
  span->lo = gw_on_wood(p, half, axis, span->lo);
  span->size = gw_on_wood(p, half, axis, span->size);
}

static plate plate_of(const gw_sheets_job *job, int joint, bool entering) {
  const gw_model *m = job->model;
  const gw_joint *j = &m->joints[joint];
  const gw_half *half = &m->halves[entering ? j->entering : j->receiving];
  const gw_part *p = &m->parts[half->part];
  const gw_seating *s = &job->fit->seatings[joint];
  const gw_span *spans = entering ? s->e : s->r;
  plate out = {.half = half};
  gw_dir across;
  turn_plate(s, half->at, &across, &out.down_way);
  gw_span a = seen_span(&spans[s->narrow], p->size[s->narrow], across);
  gw_span d = seen_span(&spans[s->run], p->size[s->run], out.down_way);
  on_wood(&a, p, half, s->narrow);
  on_wood(&d, p, half, s->run);
  gw_len wide = gw_on_wood(p, half, s->narrow, p->size[s->narrow]);
  gw_len high = gw_on_wood(p, half, s->run, p->size[s->run]);
  out.climb = climb_of(p, half, s, across, out.down_way);
  out.across = look_along(&a, wide, ACROSS_WHOLE, ACROSS_MOST);
  out.down = look_along(&d, high, DOWN_WHOLE, DOWN_MOST);
  const gw_len figures[6] = {a.lo, a.size, wide - a.lo - a.size, d.lo, d.size, high - d.lo - d.size};
  memcpy(out.figures, figures, sizeof figures);
  for (int i = 0; i < 6; ++i) out.same[i] = true;
  return out;
}

/* The same drawing: how much there is of the part where it is torn does not
 * show. */
static bool same_stretch(const stretch_of *a, const stretch_of *b) {
  return fabs(a->lo - a->from - b->lo + b->from) < 0.01 &&
         fabs(a->hi - a->lo - b->hi + b->lo) < 0.01 &&
         fabs(a->to - a->from - b->to + b->from) < 0.01 && (a->from > 0) == (b->from > 0) &&
         (a->to < a->whole) == (b->to < b->whole);
}

static bool same_plates(const gw_sheets_job *job, int a, int b) {
  for (int i = 0; i < 2; ++i) {
    plate of_a = plate_of(job, a, i == 0), of_b = plate_of(job, b, i == 0);
    if (!same_stretch(&of_a.across, &of_b.across) || !same_stretch(&of_a.down, &of_b.down) ||
        fabs(of_a.climb - of_b.climb) > 1e-4)
      return false;
  }
  return true;
}

/* Notes which figures are those of all the joints. */
static void compare_plates(const gw_sheets_job *job, const int *joints, int count, bool entering,
                           plate *first) {
  for (int i = 1; i < count; ++i) {
    plate other = plate_of(job, joints[i], entering);
    for (int k = 0; k < 6; ++k)
      first->same[k] =
          first->same[k] && rounded(first->figures[k]) == rounded(other.figures[k]);
  }
}

static double on_plate(const stretch_of *s, double value) {
  return fmin(fmax(value, s->from), s->to) - s->from;
}

static void plate_edges(gw_flow *flow, const plate *p, double x, double y, double w, double h) {
  double at_top = p->down.from <= 0 ? p->climb * w / 2 : 0;
  double at_foot = p->down.to >= p->down.whole ? p->climb * w / 2 : 0;
  if (p->across.from <= 0) gw_draw_line(flow->page, WOOD, x, y + at_top, x, y + h + at_foot);
  else gw_layout_torn_down(flow, x, y, y + h);
  if (p->across.to >= p->across.whole)
    gw_draw_line(flow->page, WOOD, x + w, y - at_top, x + w, y + h - at_foot);
  else gw_layout_torn_down(flow, x + w, y, y + h);
  double up = p->climb * w / 2; /* at the right, and down at the left */
  if (p->down.from <= 0) gw_draw_line(flow->page, WOOD, x, y + up, x + w, y - up);
  else gw_layout_torn_across(flow, x, x + w, y);
  if (p->down.to >= p->down.whole) gw_draw_line(flow->page, WOOD, x, y + h + up, x + w, y + h - up);
  else gw_layout_torn_across(flow, x, x + w, y + h);
}

/* "across: 10 + 6 + 24 mm"; of joints that share a drawing a
 * figure may vary. */
static const char *plate_chain(gw_flow *flow, const gw_sheets_job *job, const char *name,
                               const plate *p, int first) {
  char text[3][48];
  for (int i = 0; i < 3; ++i)
    if (p->same[first + i]) gw_figure_words(job, p->figures[first + i], text[i], sizeof text[i]);
    else snprintf(text[i], sizeof text[i], "varies");
  return gw_flow_say(flow, "%s: %s + %s + %s %s%s", name, text[0], text[1], text[2],
                     job->model->units == GW_UNITS_MM ? "mm" : "in",
                     p->same[first] ? "" : " (see the settings)");
}

static void plate_words(gw_flow *flow, const gw_sheets_job *job, const plate *p, double x, double y,
                        double w) {
  gw_text_fit(flow->page, x, y, w, GW_TYPE(FIGURE + 1), 5, GW_ALIGN_LEFT,
              plate_chain(flow, job, "across", p, 0));
  gw_text_fit(flow->page, x, y + 3.9, w, GW_TYPE(FIGURE + 1), 5, GW_ALIGN_LEFT,
              plate_chain(flow, job, "down", p, 3));
}

#define PLATE_WORDS 14.2 /* above a plate: title and two lines, mm */
#define PLATE_WIDE 88.0

/* Middles of dowel holes, and how far each is from the side above: evenly along
 * the half, half a distance from either end (common practice, no source). */
static void draw_holes(gw_flow *flow, const gw_sheets_job *job, const plate *p, double x,
                       double top) {
  const gw_seating *s = &job->fit->seatings[p->half->joint];
  double right = x + p->across.to - p->across.from, r = mm_at(s->thickness) / 2;
  double middle = x + on_plate(&p->across, (p->across.lo + p->across.hi) / 2);
  figure *items = gw_arena_alloc(flow->arena, (size_t)s->count + 1, sizeof *items);
  char words[48];
  int shown = 0;
  if (items == NULL) {
    flow->no_memory = true;
    return;
  }
  for (int k = 0; k < s->count; ++k) {
    gw_len at = p->figures[3] + p->figures[4] * (2 * k + 1) / (2 * s->count);
    double y = top + mm_at(at) - p->down.from;
    if (mm_at(at) < p->down.from || mm_at(at) > p->down.to) continue;
    gw_draw_circle(flow->page, FINE, middle, y, r);
    gw_draw_line(flow->page, FINE, middle - r - 1.5, y, middle + r + 1.5, y);
    gw_draw_line(flow->page, FINE, middle, y - r - 1.5, middle, y + r + 1.5);
    const char *text = gw_flow_say(flow, "%s", p->same[3] ? gw_figure_words(job, at, words,
                                                                            sizeof words) : "");
    items[shown++] = (figure){y, text};
  }
  draw_figures(flow, right + 1, false, items, shown);
}

static void draw_cut(gw_flow *flow, const plate *p, double x, double top) {
  double left = x + on_plate(&p->across, p->across.lo);
  double right = x + on_plate(&p->across, p->across.hi);
  double up = top + on_plate(&p->down, p->down.lo), low = top + on_plate(&p->down, p->down.hi);
  double middle = x + (p->across.to - p->across.from) / 2;
  double of_left = p->climb * (middle - left), of_right = p->climb * (middle - right);
  const gw_spot spots[4] = {{left, up + of_left}, {right, up + of_right}, {right, low + of_right},
                            {left, low + of_left}};
  gw_fill_polygon(flow->page, WASTE, spots, 4);
  gw_draw_line(flow->page, WOOD, left, spots[0].y, left, spots[3].y);
  gw_draw_line(flow->page, WOOD, right, spots[1].y, right, spots[2].y);
  if (p->down.lo >= p->down.from)
    gw_draw_line(flow->page, WOOD, left, spots[0].y, right, spots[1].y);
  if (p->down.hi <= p->down.to)
    gw_draw_line(flow->page, WOOD, left, spots[3].y, right, spots[2].y);
}

static bool is_dowelled(const gw_sheets_job *job, int joint) {
  return job->model->joints[joint].kind == GW_DOWELS && job->fit->seatings[joint].count > 0 &&
         job->fit->seatings[joint].thickness > 0;
}

static void draw_plate(gw_flow *flow, const gw_sheets_job *job, const plate *p, double x,
                       double y) {
  double w = p->across.to - p->across.from, h = p->down.to - p->down.from, top = y + PLATE_WORDS;
  gw_text_fit(flow->page, x, y + 3.5, PLATE_WIDE - 4, GW_TYPE_BOLD(9), 6, GW_ALIGN_LEFT,
              plate_title(flow, job, p->half, p->down_way));
  plate_words(flow, job, p, x, y + 7.4, PLATE_WIDE - 4);
  if (is_dowelled(job, p->half->joint)) draw_holes(flow, job, p, x, top);
  else draw_cut(flow, p, x, top);
  plate_edges(flow, p, x, top, w, h);
}

static const char *straight_words(gw_flow *flow, const gw_sheets_job *job, int joint) {
  char depth[48], deep[48];
  const gw_seating *s = &job->fit->seatings[joint];
  if (is_dowelled(job, joint))
    return gw_flow_say(flow, "%d dowels %s thick, evenly along the joint; the figures are from "
                             "the side above.", s->count,
                       gw_length_words(job, s->thickness, depth, sizeof depth));
  gw_length_words(job, s->depth_e, depth, sizeof depth);
  gw_length_words(job, s->depth_r, deep, sizeof deep);
  return gw_flow_say(flow, "Enters %s, cut %s deep.", depth, deep);
}

static double plates_high(const gw_sheets_job *job, int joint) {
  plate e = plate_of(job, joint, true), r = plate_of(job, joint, false);
  return PLATE_WORDS + fmax(e.down.to - e.down.from, r.down.to - r.down.from);
}

static double straight_height(gw_flow *flow, const gw_sheets_job *job, int joint) {
  return gw_layout_words_height(flow, straight_words(flow, job, joint)) +
         plates_high(job, joint) + 2;
}

static void draw_straight(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count) {
  gw_layout_heading(flow, job, joints, count, straight_height(flow, job, joints[0]));
  gw_flow_text(flow, GW_TYPE(GW_LAYOUT_WORDS), 0, straight_words(flow, job, joints[0]));
  for (int i = 0; i < 2; ++i) {
    plate p = plate_of(job, joints[0], i == 0);
    compare_plates(job, joints, count, i == 0, &p);
    draw_plate(flow, job, &p, flow->body.x + i * (flow->body.w / 2), flow->y);
  }
  flow->y += plates_high(job, joints[0]) + BELOW;
}

/* ---- each layout once --------------------------------------------------------------- */

typedef enum form { FORM_NONE, FORM_TAILS, FORM_STRAIGHT, FORM_SECTION } form;

static form form_of(const gw_sheets_job *job, int joint) {
  const gw_seating *s = &job->fit->seatings[joint];
  gw_kind kind = job->model->joints[joint].kind;
  if (gw_tails_counted(job->model, job->fit, joint)) return FORM_TAILS;
  if (gw_section_has(job, joint)) return FORM_SECTION;
  bool square = s->style == GW_STRAIGHT && s->narrow >= 0 && s->run >= 0;
  bool seated = s->bound[s->normal].stated;
  if (!square || !seated) return FORM_NONE;
  if (gw_kind_of(kind)->seat == GW_FACE && !is_dowelled(job, joint)) return FORM_NONE;
  return FORM_STRAIGHT;
}

/* The joints of one drawing. */
typedef struct layout {
  form form;
  const int *joints;
  int count;
  double high; /* with its heading, mm */
  bool drawn;
} layout;

static double height_of(gw_flow *flow, const gw_sheets_job *job, const layout *l) {
  double heading = heading_height(flow, job, l->joints, l->count);
  if (l->form == FORM_SECTION)
    return heading + gw_section_height(flow, job, l->joints[0]);
  if (l->form == FORM_STRAIGHT) return heading + straight_height(flow, job, l->joints[0]);
  tails t = tails_of(flow, job, l->joints, l->count);
  return heading + tails_height(&t);
}

static void draw_layout(gw_flow *flow, const gw_sheets_job *job, layout *l) {
  l->drawn = true;
  if (l->form == FORM_TAILS) draw_tails(flow, job, l->joints, l->count);
  else if (l->form == FORM_SECTION) gw_section_draw(flow, job, l->joints, l->count);
  else draw_straight(flow, job, l->joints, l->count);
}

static bool same_layout(const gw_sheets_job *job, int a, int b) {
  form f = form_of(job, a);
  if (f != form_of(job, b) || !same_depths(job, a, b)) return false;
  if (f == FORM_SECTION) return gw_section_alike(job, a, b);
  if (f == FORM_STRAIGHT) return same_plates(job, a, b);
  return same_half(job, a, b, true) && same_half(job, a, b, false);
}

/* Gathers the joints that share the layout of the k-th in the walk. */
static int gather(const gw_sheets_job *job, int k, bool *done, int *same) {
  const gw_model *m = job->model;
  const int *walk = job->marks->joint_walk;
  int count = 0;
  for (int i = k; i < m->n_joints; ++i) {
    if (done[walk[i]] || form_of(job, walk[i]) == FORM_NONE) continue;
    if (!same_layout(job, walk[k], walk[i])) continue;
    done[walk[i]] = true;
    same[count++] = walk[i];
  }
  return count;
}

static bool has_setting(const gw_strikes *list, int joint) {
  for (size_t i = 0; i < list->count; ++i)
    if (list->items[i].joint == joint && list->items[i].tool != GW_TOOL_LEAN) return true;
  return false;
}

static const char *rest_words(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list,
                              bool with_settings) {
  int *rest = gw_arena_alloc(flow->arena, (size_t)job->model->n_joints + 1, sizeof *rest);
  int count = 0;
  if (rest == NULL) return gw_flow_text_or(flow, NULL);
  for (int k = 0; k < job->model->n_joints; ++k) {
    int joint = job->marks->joint_walk[k];
    bool meets = gw_kind_of(job->model->joints[joint].kind)->seat == GW_FACE;
    if (form_of(job, joint) == FORM_NONE &&
        (with_settings ? has_setting(list, joint) : meets && !has_setting(list, joint)))
      rest[count++] = joint;
  }
  if (count == 0) return "";
  const char *joints = gw_joints_words(flow, job, rest, count);
  if (with_settings)
    return gw_flow_say(flow, "For %s the settings give all; no drawing is needed.  ", joints);
  return gw_flow_say(flow, "J%s need%s no marking out: faces meet.", joints + 1, count == 1 ? "s" : "");
}

/* Before the layouts, so that it does not stand on a page by itself. */
static void say_rest(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list) {
  const char *words = gw_flow_say(flow, "%s%s", rest_words(flow, job, list, true),
                                  rest_words(flow, job, list, false));
  if (words[0] == '\0') return;
  gw_flow_gap(flow, 2);
  gw_flow_text(flow, GW_TYPE(10), 0, words);
}

/* All different layouts: by form, then in the walk round the piece. */
static int list_layouts(gw_flow *flow, const gw_sheets_job *job, layout *out, int *joints,
                        bool *done) {
  const gw_model *m = job->model;
  int count = 0;
  for (int pass = FORM_TAILS; pass <= FORM_SECTION; ++pass)
    for (int k = 0; k < m->n_joints && !gw_doc_failed(flow->doc); ++k) {
      int joint = job->marks->joint_walk[k];
      if (done[joint] || (int)form_of(job, joint) != pass) continue;
      layout *l = &out[count++];
      *l = (layout){.form = (form)pass, .joints = joints, .count = gather(job, k, done, joints)};
      joints += l->count;
      l->high = height_of(flow, job, l);
    }
  return count;
}

/* The first that has room on this page, so that small ones fill what tall ones
 * leave; else the first of all, which begins a page. */
static layout *next_layout(gw_flow *flow, layout *list, int count) {
  const bool *waits = flow->data;
  double left = gw_flow_left(flow) - (waits != NULL && *waits ? GW_LAYOUTS_HEAD : 0);
  layout *first = NULL;
  for (int i = 0; i < count; ++i) {
    if (list[i].drawn) continue;
    if (list[i].high <= left) return &list[i];
    if (first == NULL) first = &list[i];
  }
  return first;
}

gw_status gw_layouts_draw(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *strikes,
                          gw_flow_head_fn *head) {
  size_t room = (size_t)job->model->n_joints + 1;
  bool *done = gw_arena_alloc(flow->arena, room, sizeof *done);
  int *joints = gw_arena_alloc(flow->arena, room, sizeof *joints);
  layout *list = gw_arena_alloc(flow->arena, room, sizeof *list), *next;
  if (done == NULL || joints == NULL || list == NULL) return GW_NO_MEMORY;
  say_rest(flow, job, strikes);
  flow->head = head;
  int count = list_layouts(flow, job, list, joints, done);
  while (!gw_doc_failed(flow->doc) && (next = next_layout(flow, list, count)) != NULL)
    draw_layout(flow, job, next);
  return GW_OK;
}
