/* markout_tails.c - dovetails and fingers at full scale: the tail board on its face and the
 * other board's end beside it; what is longer than the page goes on in a second strip. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/markout_inner.h"
#include "sheets/picture_inner.h"

static const gw_pen WOOD = {GW_STROKE_FULL, 0.35, 0};
static const gw_pen FINE = {GW_STROKE_FULL, 0.18, 0};
#define FIGURES 13.5 /* for figures before the end of the tails, mm */
#define STUMP 15.0   /* of the board behind the baseline, with its figures */
#define BETWEEN 5.0  /* from one board to the other */
#define STRIPS_APART 8.0
#define ABOVE 9.0    /* over the boards: what they are */
#define PAGE_HEAD 28.0 /* title and line of 100 mm of a page */
enum { STRIPS_MOST = 4 };

/* From where to where a strip shows the board, and the gaps between tails that it has. */
typedef struct strip { double from, to; int first, last; } strip;

typedef struct tails {
  gw_flow *flow;
  const gw_sheets_job *job;
  const gw_seating *s;
  const gw_half *half; /* the entering one */
  const gw_part *part;
  int joint, count;
  bool flip;           /* counted from the upper side of the run, where the face edge is */
  double whole, before, wide; /* of the board; before the tails; of all tails: mm */
  double length, thick;
  double shear;        /* of an end that is aslant: to the right for each down */
  int strips, shown;   /* strips, and the gaps that are shown in them */
  strip strip[STRIPS_MOST];
} tails;

static double mm_at(gw_len length) { return gw_len_mm(length); }

/* Along the entering half, as it is measured on a board that may lean. */
static gw_len along_wood(const gw_sheets_job *job, int joint, gw_len stands) {
  const gw_half *e = &job->model->halves[job->model->joints[joint].entering];
  return gw_on_wood(&job->model->parts[e->part], e, job->fit->seatings[joint].run, stands);
}

/* The k-th tail as it is counted on the sheet, from the board's edge. */
static gw_tail tail_of(const tails *t, int k) {
  gw_tail a = gw_tails_at(t->job->model, t->job->fit, t->joint, t->flip ? t->count - 1 - k : k);
  const gw_span *e = &t->s->e[t->s->run];
  gw_len before = t->flip ? t->part->size[t->s->run] - e->lo - e->size : e->lo;
  if (t->flip)
    a = (gw_tail){e->size - a.end_hi, e->size - a.end_lo, e->size - a.base_hi, e->size - a.base_lo};
  gw_len *all[4] = {&a.end_lo, &a.end_hi, &a.base_lo, &a.base_hi};
  for (int i = 0; i < 4; ++i) *all[i] = along_wood(t->job, t->joint, before + *all[i]);
  return a;
}

static double middle_of(const tails *t, int k) {
  gw_tail tail = tail_of(t, k);
  return mm_at((tail.base_lo + tail.base_hi) / 2);
}

/* ---- strips ------------------------------------------------------------------------- */

/* Fills strips of `room` mm, each torn in the middle of a tail; the gaps that they show. */
static int fill_strips(const tails *t, double room, int most, strip *out, int *strips) {
  double from = 0;
  int gap = 0;
  for (*strips = 0; *strips < most && gap <= t->count; ++*strips) {
    int last = gap - 1;
    double to = from;
    for (int k = gap; k <= t->count; ++k) {
      double end = k == t->count ? t->whole : middle_of(t, k);
      if (end - from > room) break;
      last = k;
      to = end;
    }
    if (last < gap) break;
    out[*strips] = (strip){from, to, gap, last};
    from = to;
    gap = last + 1;
  }
  return gap;
}

static double strip_wide(const tails *t) {
  return FIGURES + t->length + STUMP + BETWEEN + t->thick + fabs(t->shear) * t->whole;
}

/* As few strips as hold it, of like height. */
static void set_strips(tails *t, double room) {
  int most = (int)((t->flow->body.w + STRIPS_APART) / (strip_wide(t) + STRIPS_APART)), strips;
  if (most > STRIPS_MOST) most = STRIPS_MOST;
  t->shown = fill_strips(t, room, most, t->strip, &t->strips);
  if (t->shown <= t->count || t->strips < 2) return;
  for (double less = t->whole / t->strips; less < room; less += 1) {
    strip even[STRIPS_MOST];
    if (fill_strips(t, less, t->strips, even, &strips) <= t->count) continue;
    memcpy(t->strip, even, sizeof even);
    t->strips = strips;
    return;
  }
}

/* How an end that is aslant runs: the tangent, to the right going down on the sheet. */
static double shear_of(const tails *t) {
  const gw_fit *fit = t->job->fit;
  const gw_dir at = t->half->at;
  const int length = gw_dir_axis(at);
  if (fit->slants == NULL || t->s->run != GW_Z || length != gw_part_length_axis(t->part)) return 0;
  int32_t slope = fit->slants[t->half->part].side[at];
  if (slope == 0) return 0;
  double degrees = fabs(gw_lean_slant(t->part->lean[1 - length], slope));
  bool upper_longer = (slope > 0) == (gw_dir_sign(at) > 0);
  return tan(degrees * acos(-1) / 180) * (upper_longer == t->flip ? 1 : -1);
}

/* ---- words -------------------------------------------------------------------------- */

/* "7 tails, 20 mm long, slope 1:8 = 7.13°; from one to the next 54.3 mm, …". */
static const char *tails_words(const tails *t) {
  gw_flow *flow = t->flow;
  char pitch[48], pin[48], length[48], slope[48], edge[48];
  gw_tail first = tail_of(t, 0), last = tail_of(t, t->count - 1);
  bool comb = t->job->model->joints[t->joint].kind == GW_COMB;
  const char *words = gw_flow_say(flow, "%d %s%s, %s long", t->count, comb ? "finger" : "tail",
                                  t->count == 1 ? "" : "s",
                                  gw_length_words(t->job, t->s->depth_e, length, sizeof length));
  if (t->s->slope > 0)
    words =
        gw_flow_say(flow, "%s, slope %s", words, gw_slope_words(t->s->slope, slope, sizeof slope));
  if (t->count > 1) {
    gw_len next = tail_of(t, 1).end_lo;
    gw_length_words(t->job, (last.end_lo - first.end_lo) / (t->count - 1), pitch, sizeof pitch);
    gw_length_words(t->job, comb ? first.end_hi - first.end_lo : next - first.end_hi, pin,
                    sizeof pin);
    words = gw_flow_say(flow, "%s; from one to the next %s; %s %s wide", words, pitch,
                        comb ? "a finger" : "a pin at the narrowest", pin);
  }
  gw_surface_words(t->part, gw_dir_of(t->s->run, t->flip ? 1 : -1), edge, sizeof edge);
  return gw_flow_say(
      flow, "%s.  Figures in %s, %sfrom %s%s: left at the end, right at the baseline.", words,
      t->job->model->units == GW_UNITS_MM ? "mm" : "inches", t->shear != 0 ? "square " : "", edge,
      t->shear != 0 ? " (the end is aslant)" : "");
}

/* All distances in one paragraph, for what the paper cannot show. */
static const char *all_distances(const tails *t) {
  const char *words = t->shown > 0 ? "Longer than the paper, and so drawn from one edge on.  All "
                                     "distances, at the end:"
                                   : "Wider than the paper.  All distances, at the end:";
  char a[48], b[48];
  for (int k = 0; k < t->count; ++k) {
    gw_tail tail = tail_of(t, k);
    words = gw_flow_say(t->flow, "%s%s %s to %s", words, k > 0 ? "," : "",
                        gw_figure_words(t->job, tail.end_lo, a, sizeof a),
                        gw_figure_words(t->job, tail.end_hi, b, sizeof b));
  }
  return gw_flow_say(t->flow, "%s.", words);
}

/* ---- what a page holds ---------------------------------------------------------------- */

static tails tails_of(gw_flow *flow, const gw_sheets_job *job, int joint) {
  const gw_model *m = job->model;
  const gw_joint *j = &m->joints[joint];
  const gw_seating *s = &job->fit->seatings[joint];
  tails t = {.flow = flow, .job = job, .s = s, .half = &m->halves[j->entering], .joint = joint,
             .count = s->count, .length = mm_at(s->depth_e)};
  t.part = &m->parts[t.half->part];
  gw_dir high = gw_dir_of(s->run, 1);
  t.flip = t.part->edge == high || t.part->face == high;
  t.whole = mm_at(along_wood(job, joint, t.part->size[s->run]));
  t.thick = mm_at(m->parts[gw_joint_receives(m, j)].size[s->normal]);
  t.shear = shear_of(&t);
  return t;
}

/* With its strips, as a page holds them under a heading `heading` mm high; words that fill
 * pages leave a fresh one. */
static tails strips_of(gw_flow *flow, const gw_sheets_job *job, int joint, double heading) {
  tails t = tails_of(flow, job, joint);
  double page = flow->body.h - PAGE_HEAD - ABOVE, high = heading;
  high += gw_layout_words_height(flow, tails_words(&t));
  set_strips(&t, page - (high > page / 2 ? 0 : high));
  if (t.shown > t.count) return t;
  high += gw_layout_words_height(flow, all_distances(&t));
  set_strips(&t, page - (high > page / 2 ? 0 : high));
  return t;
}

static double strips_high(const tails *t) {
  double high = 0;
  for (int i = 0; i < t->strips; ++i) high = fmax(high, t->strip[i].to - t->strip[i].from);
  return high;
}

/* ---- boards ------------------------------------------------------------------------- */

/* One strip on the page: x of the end of the tails, y of its upper end. */
typedef struct board { const tails *t; const strip *s; double end, y; } board;

static gw_spot spot(const board *b, double along, double down) {
  return (gw_spot){b->end + along + b->t->shear * down, b->y + down - b->s->from};
}

static void line(const board *b, gw_pen pen, gw_spot from, gw_spot to) {
  gw_draw_line(b->t->flow->page, pen, from.x, from.y, to.x, to.y);
}

/* A gap between tails is waste: at the end, and at the baseline. */
static void draw_gap(const board *b, int k) {
  const tails *t = b->t;
  double lo_end = 0, lo_base = 0, hi_end = t->whole, hi_base = t->whole;
  if (k > 0) {
    gw_tail before = tail_of(t, k - 1);
    lo_end = mm_at(before.end_hi);
    lo_base = mm_at(before.base_hi);
  }
  if (k < t->count) {
    gw_tail after = tail_of(t, k);
    hi_end = mm_at(after.end_lo);
    hi_base = mm_at(after.base_lo);
  }
  if (hi_end <= lo_end && hi_base <= lo_base) return; /* fingers begin at the edge */
  const gw_spot gap[4] = {spot(b, t->length, lo_base), spot(b, 0, lo_end), spot(b, 0, hi_end),
                          spot(b, t->length, hi_base)};
  gw_fill_polygon(t->flow->page, GW_LAYOUT_WASTE, gap, 4);
  if (k > 0) line(b, WOOD, gap[0], gap[1]);
  if (k < t->count) line(b, WOOD, gap[2], gap[3]);
  line(b, WOOD, gap[3], gap[0]);
}

/* `ends`: whether the board itself ends above and below. */
static void draw_outline(const board *b, double left, double right, double shear,
                         const bool ends[2]) {
  const strip *s = b->s;
  gw_flow *flow = b->t->flow;
  double low = b->y + s->to - s->from, up = b->y, of_up = shear * s->from, of_low = shear * s->to;
  gw_draw_line(flow->page, WOOD, left + of_up, up, left + of_low, low);
  if (s->from <= 0 && ends[0]) gw_draw_line(flow->page, WOOD, left + of_up, up, right, up);
  else gw_layout_torn_across(flow, left + of_up, right, up);
  if (s->last == b->t->count && ends[1])
    gw_draw_line(flow->page, WOOD, left + of_low, low, right, low);
  else gw_layout_torn_across(flow, left + of_low, right, low);
}

static void draw_tail_board(const board *b) {
  const tails *t = b->t;
  double far = b->end + t->length + STUMP + fmax(0, t->shear * t->whole);
  for (int k = b->s->first; k <= b->s->last; ++k) draw_gap(b, k);
  line(b, FINE, spot(b, t->length, b->s->from), spot(b, t->length, b->s->to));
  draw_outline(b, b->end, far, t->shear, (const bool[2]){true, true});
  gw_layout_torn_down(t->flow, far, b->y, b->y + b->s->to - b->s->from);
}

/* Whether the other board ends where the tail board does. */
static void flush_ends(const tails *t, bool ends[2]) {
  const gw_model *m = t->job->model;
  const int run = t->s->run;
  const gw_span *e = &t->s->e[run], *r = &t->s->r[run];
  gw_len rest_e = t->part->size[run] - e->lo - e->size;
  gw_len rest_r = m->parts[gw_joint_receives(m, &m->joints[t->joint])].size[run] - r->lo - r->size;
  bool low = llabs(e->lo - r->lo) < GW_MM / 10, high = llabs(rest_e - rest_r) < GW_MM / 10;
  ends[0] = t->flip ? high : low;
  ends[1] = t->flip ? low : high;
}

/* The end of the other board: sockets are waste.  Of one that the strip cuts the half. */
static void draw_pin_board(const board *b, double x) {
  const tails *t = b->t;
  gw_flow *flow = t->flow;
  double near = x + t->thick, end = near - t->length, high = b->s->to - b->s->from;
  for (int k = b->s->first - 1; k <= b->s->last; ++k) {
    if (k < 0 || k >= t->count) continue;
    gw_tail tail = tail_of(t, k);
    bool upper = k >= b->s->first, lower = k < b->s->last; /* flanks that the strip has */
    double middle = middle_of(t, k);
    double lo_base = upper ? mm_at(tail.base_lo) : middle,
           lo_end = upper ? mm_at(tail.end_lo) : middle;
    double hi_base = lower ? mm_at(tail.base_hi) : middle,
           hi_end = lower ? mm_at(tail.end_hi) : middle;
    double y = b->y - b->s->from;
    const gw_spot socket[4] = {
        {near, y + lo_base}, {end, y + lo_end}, {end, y + hi_end}, {near, y + hi_base}};
    gw_fill_polygon(flow->page, GW_LAYOUT_WASTE, socket, 4);
    if (upper) line(b, WOOD, socket[0], socket[1]);
    if (lower) line(b, WOOD, socket[2], socket[3]);
    line(b, WOOD, socket[1], socket[2]);
  }
  gw_draw_line(flow->page, WOOD, near, b->y, near, b->y + high);
  if (t->thick > t->length + 0.01) gw_draw_line(flow->page, FINE, end, b->y, end, b->y + high);
  bool ends[2];
  flush_ends(t, ends);
  draw_outline(b, x, near, 0, ends);
}

/* All lines of the strip, at the ends of the tails or at the baseline. */
static void draw_figures(const board *b, bool at_end) {
  const tails *t = b->t;
  gw_figure *items = gw_arena_alloc(t->flow->arena, 2 * (size_t)t->count + 2, sizeof *items);
  int count = 0;
  char words[48];
  if (items == NULL) {
    t->flow->no_memory = true;
    return;
  }
  for (int k = b->s->first - 1; k <= b->s->last; ++k) {
    if (k < 0 || k >= t->count) continue;
    gw_tail tail = tail_of(t, k);
    const gw_len at[2] = {at_end ? tail.end_lo : tail.base_lo, at_end ? tail.end_hi : tail.base_hi};
    for (int i = 0; i < 2; ++i) {
      if ((i == 0 && k < b->s->first) || (i == 1 && k >= b->s->last)) continue;
      gw_spot s = spot(b, at_end ? -0.5 : t->length + 0.5, mm_at(at[i]));
      items[count++] = (gw_figure){
          s.x, s.y,
          gw_flow_say(t->flow, "%s", gw_figure_words(t->job, at[i], words, sizeof words))};
    }
  }
  gw_layout_figures(t->flow, at_end, items, count);
}

/* Which surface of the other board is at the left of its end, or right. */
static void name_sides(const board *b, double x) {
  const tails *t = b->t;
  const gw_model *m = t->job->model;
  const gw_half *other = &m->halves[m->joints[t->joint].receiving];
  const gw_part *p = &m->parts[other->part];
  gw_dir inside = gw_dir_back(t->half->at);
  bool left = gw_dir_back(inside) == p->face || gw_dir_back(inside) == p->edge;
  char words[48];
  gw_surface_words(p, left ? gw_dir_back(inside) : inside, words, sizeof words);
  gw_text_line(t->flow->page, left ? x : x + t->thick, b->y - 1.5, GW_TYPE(7.5),
               left || t->thick < 12 ? GW_ALIGN_LEFT : GW_ALIGN_RIGHT,
               gw_flow_say(t->flow, left ? "%s left" : "%s right", words + 4));
}

static void draw_strip(const tails *t, const strip *s, double x, double y) {
  board b = {t, s, x + FIGURES + fmax(0, -t->shear * t->whole), y};
  double pins = x + strip_wide(t) - t->thick, lean = t->shear * s->from;
  bool comb = t->job->model->joints[t->joint].kind == GW_COMB;
  gw_page *page = t->flow->page;
  gw_text_line(page, b.end + lean, y - 5.2, GW_TYPE_BOLD(9), GW_ALIGN_LEFT,
               comb ? "fingers" : "tails");
  gw_text_line(page, b.end + lean + 0.5, y - 1.5, GW_TYPE(7.5), GW_ALIGN_RIGHT, "end");
  gw_text_line(page, b.end + lean + t->length, y - 1.5, GW_TYPE(7.5), GW_ALIGN_LEFT, "baseline");
  gw_text_line(page, pins, y - 5.2, GW_TYPE_BOLD(9), GW_ALIGN_LEFT,
               comb ? "slots (end)" : "sockets (end)");
  name_sides(&b, pins);
  draw_tail_board(&b);
  draw_pin_board(&b, pins);
  draw_figures(&b, true);
  draw_figures(&b, false);
}

/* ---- all ---------------------------------------------------------------------------- */

/* What is too long has words of its own as well, which may run over pages. */
gw_layout_size gw_tails_size(gw_flow *flow, const gw_sheets_job *job, int joint, double heading) {
  tails t = strips_of(flow, job, joint, heading);
  double words = gw_layout_words_height(flow, tails_words(&t));
  double wide = t.strips * (strip_wide(&t) + STRIPS_APART) - STRIPS_APART;
  if (t.shown <= t.count) wide = flow->body.w + 1; /* more width would show more of it */
  return (gw_layout_size){wide,
                          words + (t.strips > 0 ? ABOVE + strips_high(&t) + GW_LAYOUT_BELOW : 0)};
}

void gw_tails_draw(gw_flow *flow, const gw_sheets_job *job, int joint, double heading) {
  tails t = strips_of(flow, job, joint, heading);
  gw_layout_words(flow, tails_words(&t));
  if (t.shown <= t.count) gw_layout_words(flow, all_distances(&t));
  if (t.strips == 0) return;
  gw_flow_need(flow, ABOVE + strips_high(&t) + 2);
  for (int i = 0; i < t.strips; ++i)
    draw_strip(&t, &t.strip[i], flow->body.x + i * (strip_wide(&t) + STRIPS_APART),
               flow->y + ABOVE);
  flow->y += ABOVE + strips_high(&t) + GW_LAYOUT_BELOW;
}

static gw_len rounded(gw_len length) { return length / (GW_MM / 100); }

/* Whether the k-th tail, and the boards, are the same. */
bool gw_tails_alike(const gw_sheets_job *job, int a, int b) {
  gw_flow none = {.body = {0, 0, 1000, 1000}};
  tails of_a = tails_of(&none, job, a), of_b = tails_of(&none, job, b);
  if (of_a.count != of_b.count || fabs(of_a.whole - of_b.whole) > 0.01 ||
      of_a.s->slope != of_b.s->slope || fabs(of_a.thick - of_b.thick) > 0.01 ||
      fabs(of_a.length - of_b.length) > 0.01 || fabs(of_a.shear - of_b.shear) > 1e-6)
    return false;
  gw_tail one = tail_of(&of_a, 0), other = tail_of(&of_b, 0);
  return rounded(one.end_lo) == rounded(other.end_lo) &&
         rounded(one.base_hi) == rounded(other.base_hi);
}
