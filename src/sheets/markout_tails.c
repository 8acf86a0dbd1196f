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
  const gw_part *part, *other; /* that with the tails, and that with the sockets */
  int joint, count;
  bool flip;           /* counted from the upper side of the run, where the face edge is */
  double whole, before, wide; /* of the board; before the tails; of all tails: mm */
  double length, thick;
  double shear;        /* of an end that is aslant: to the right for each down */
  double pins[2];      /* where the other board begins and ends on the tails' scale, mm */
  gw_len less;         /* by which its own figures are less than those of the tails */
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
  return FIGURES + t->length + STUMP + BETWEEN + t->thick + 2 * fabs(t->shear) * t->whole;
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

/* Where the other board lies along the run: its own edges, as they are on the tails' scale. */
static void set_pins(tails *t) {
  const gw_half *r = &t->job->model->halves[t->job->model->joints[t->joint].receiving];
  const int run = t->s->run;
  const gw_span *on_e = &t->s->e[run], *on_r = &t->s->r[run];
  gw_len whole = t->other->size[run], before_e = on_e->lo, before_r = on_r->lo;
  if (t->flip) {
    before_e = t->part->size[run] - on_e->lo - on_e->size;
    before_r = whole - on_r->lo - on_r->size;
  }
  gw_len at = along_wood(t->job, t->joint, before_e);
  t->less = at - gw_on_wood(t->other, r, run, before_r);
  if (llabs(t->less) < GW_MM / 10) t->less = 0;
  t->pins[0] = mm_at(t->less);
  t->pins[1] = t->pins[0] + mm_at(gw_on_wood(t->other, r, run, whole));
  if (fabs(t->pins[1] - t->whole) < 0.1) t->pins[1] = t->whole;
}

static tails tails_of(gw_flow *flow, const gw_sheets_job *job, int joint) {
  const gw_model *m = job->model;
  const gw_joint *j = &m->joints[joint];
  const gw_seating *s = &job->fit->seatings[joint];
  tails t = {.flow = flow, .job = job, .s = s, .half = &m->halves[j->entering], .joint = joint,
             .count = s->count, .length = mm_at(s->depth_e)};
  t.part = &m->parts[t.half->part];
  t.other = &m->parts[gw_joint_receives(m, j)];
  gw_dir high = gw_dir_of(s->run, 1);
  t.flip = t.part->edge == high || t.part->face == high;
  t.whole = mm_at(along_wood(job, joint, t.part->size[s->run]));
  t.thick = mm_at(t.other->size[s->normal]);
  t.shear = shear_of(&t);
  set_pins(&t);
  return t;
}

/* ---- words -------------------------------------------------------------------------- */

/* The side of either board from which its figures count; both stand at one end of the run. */
static const char *counted_from(const tails *t, const gw_part *part) {
  char words[48];
  gw_dir from = gw_dir_of(t->s->run, t->flip ? 1 : -1);
  return gw_flow_say(t->flow, "%s", gw_surface_words(part, from, words, sizeof words));
}

/* Where the other board counts from another side, or begins elsewhere. */
static const char *on_the_other(const tails *t, const char *from) {
  char less[48];
  const char *its = counted_from(t, t->other);
  if (t->less == 0 && strcmp(its, from) == 0) return "";
  const char *words = gw_flow_say(t->flow, "  On the other board, from its %s,", its + 4);
  if (t->less == 0) return gw_flow_say(t->flow, "%s they are the same.", words);
  return gw_flow_say(t->flow, "%s all are %s %s.", words,
                     gw_length_words(t->job, llabs(t->less), less, sizeof less),
                     t->less > 0 ? "less" : "more");
}

/* Whether the outside of a joint is at the left, as the drawing has it, when one looks at the
 * sockets' end with the side above from which its figures count. */
static bool outside_is_left(const tails *t) {
  const gw_model *m = t->job->model;
  const gw_dir end = m->halves[m->joints[t->joint].receiving].at, outside = t->half->at;
  const int up = t->s->run, toward = gw_dir_axis(end);
  if (up == toward || up == (int)gw_dir_axis(outside)) return true;
  /* What is at the right is up by towards the viewer. */
  int sign = (t->flip ? 1 : -1) * gw_dir_sign(end) * ((up + 1) % 3 == toward ? 1 : -1);
  return sign != gw_dir_sign(outside);
}

/* Of the other board. */
static const char *sockets_word(const tails *t) {
  if (t->job->model->joints[t->joint].kind == GW_COMB) return "slots";
  return t->count == 1 ? "socket" : "sockets";
}

/* Boards' other ends are the drawing's mirror image. */
static const char *mirrored(const tails *t, const int *joints, int count) {
  int *those = gw_arena_alloc(t->flow->arena, (size_t)count + 1, sizeof *those), n = 0;
  char side[48];
  if (those == NULL) return gw_flow_text_or(t->flow, NULL);
  for (int i = 0; i < count; ++i) {
    tails one = tails_of(t->flow, t->job, joints[i]);
    if (!outside_is_left(&one)) those[n++] = joints[i];
  }
  if (n == 0) return "";
  gw_dir above = gw_dir_of(t->s->run, t->flip ? 1 : -1);
  gw_surface_words(t->other, above, side, sizeof side);
  return gw_flow_say(t->flow, "  On %s, with %s above, outside is right: mirror the %s.",
                     gw_joints_words(t->flow, t->job, those, n), side, sockets_word(t));
}

/* "7 tails, 20 mm long, slope 1:8 = 7.13°; from one to the next 54.3 mm, …". */
static const char *words_of(const tails *t, const int *joints, int count) {
  gw_flow *flow = t->flow;
  char pitch[48], pin[48], length[48], slope[48];
  gw_tail first = tail_of(t, 0), last = tail_of(t, t->count - 1);
  bool comb = t->job->model->joints[t->joint].kind == GW_COMB;
  const char *words = gw_flow_say(flow, "%d %s%s, %s long", t->count, comb ? "finger" : "tail",
                                  t->count == 1 ? "" : "s",
                                  gw_length_words(t->job, t->s->depth_e, length, sizeof length));
  if (t->s->slope > 0)
    words =
        gw_flow_say(flow, "%s, slope %s", words, gw_slope_words(t->s->slope, slope, sizeof slope));
  if (t->count > 1) {
    gw_units units = t->job->model->units; /* as the figures have it */
    gw_len next = gw_len_fine(tail_of(t, 1).end_lo, units);
    gw_length_words(t->job, (last.end_lo - first.end_lo) / (t->count - 1), pitch, sizeof pitch);
    gw_length_words(t->job, comb ? first.end_hi - first.end_lo
                                 : next - gw_len_fine(first.end_hi, units), pin, sizeof pin);
    words = gw_flow_say(flow, "%s; from one to the next %s; %s %s wide", words, pitch,
                        comb ? "a finger" : "a pin at the narrowest", pin);
  }
  const char *from = counted_from(t, t->part);
  return gw_flow_say(
      flow, "%s.  Figures in %s, %sfrom %s%s: left at the end, right at the baseline.%s%s", words,
      t->job->model->units == GW_UNITS_MM ? "mm" : "inches", t->shear != 0 ? "square " : "", from,
      t->shear != 0 ? " (the end is aslant)" : "", on_the_other(t, from),
      mirrored(t, joints, count));
}

/* The tails that no strip has both sides of, in one paragraph. */
static const char *other_distances(const tails *t) {
  const char *words = t->shown > 0 ? "Longer than the paper.  The others, at the end and, in "
                                     "brackets, at the baseline:"
                                   : "Wider than the paper.  All, at the end and, in brackets, at "
                                     "the baseline:";
  int first = t->shown > 0 ? t->shown - 1 : 0;
  for (int k = first; k < t->count; ++k) {
    gw_tail tail = tail_of(t, k);
    char a[48], b[48], c[48], d[48];
    words = gw_flow_say(t->flow, "%s%s %s to %s (%s to %s)", words, k > first ? "," : "",
                        gw_figure_words(t->job, tail.end_lo, a, sizeof a),
                        gw_figure_words(t->job, tail.end_hi, b, sizeof b),
                        gw_figure_words(t->job, tail.base_lo, c, sizeof c),
                        gw_figure_words(t->job, tail.base_hi, d, sizeof d));
  }
  return gw_flow_say(t->flow, "%s.", words);
}

/* ---- what a page holds ---------------------------------------------------------------- */

/* With its strips, as a page holds them under a heading `heading` mm high; words that fill
 * pages leave a fresh one. */
static tails strips_of(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                       double heading) {
  tails t = tails_of(flow, job, joints[0]);
  double page = flow->body.h - PAGE_HEAD - ABOVE, high = heading;
  high += gw_layout_words_height(flow, words_of(&t, joints, count));
  set_strips(&t, page - (high > page / 2 ? 0 : high));
  if (t.shown > t.count) return t;
  high += gw_layout_words_height(flow, other_distances(&t));
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
  /* Beside the other board the wood runs on to its end. */
  double first = fmax(0, t->pins[0]), last = fmin(t->whole, t->pins[1]);
  double lo_end = first, lo_base = first, hi_end = last, hi_base = last;
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
  if (k > 0 || first > 0) line(b, WOOD, gap[0], gap[1]);
  if (k < t->count || last < t->whole) line(b, WOOD, gap[2], gap[3]);
  line(b, WOOD, gap[3], gap[0]);
}

static void draw_tail_board(const board *b) {
  const tails *t = b->t;
  const strip *s = b->s;
  gw_flow *flow = t->flow;
  double far = b->end + t->length + STUMP + fmax(0, t->shear * t->whole);
  for (int k = s->first; k <= s->last; ++k) draw_gap(b, k);
  line(b, FINE, spot(b, t->length, s->from), spot(b, t->length, s->to));
  gw_spot up = spot(b, 0, s->from), low = spot(b, 0, s->to);
  line(b, WOOD, up, low);
  if (s->from <= 0) gw_draw_line(flow->page, WOOD, up.x, up.y, far, up.y);
  else gw_layout_torn_across(flow, up.x, far, up.y);
  if (s->last == t->count) gw_draw_line(flow->page, WOOD, low.x, low.y, far, low.y);
  else gw_layout_torn_across(flow, low.x, far, low.y);
  gw_layout_torn_down(flow, far, up.y, low.y);
}

/* What the strip shows of the other board, which may be narrower. */
static void pins_span(const board *b, double span[2], bool ends[2]) {
  const double *pins = b->t->pins;
  ends[0] = pins[0] >= b->s->from && pins[0] < b->s->to;
  ends[1] = pins[1] <= b->s->to && pins[1] > b->s->from;
  span[0] = ends[0] ? pins[0] : b->s->from;
  span[1] = ends[1] ? pins[1] : b->s->to;
}

/* On the end of the other board, whose outside is at `x` where the run begins.  Its faces stand
 * as the end and the baseline of the tails do. */
static gw_spot pin_spot(const board *b, double x, double from_outside, double down) {
  return (gw_spot){x + from_outside + b->t->shear * down, b->y + down - b->s->from};
}

/* Sockets are waste; of one that the strip cuts the half. */
static void draw_socket(const board *b, int k, double x) {
  const tails *t = b->t;
  gw_tail tail = tail_of(t, k);
  bool upper = k >= b->s->first, lower = k < b->s->last; /* flanks that the strip has */
  double middle = middle_of(t, k), near = t->thick, end = t->thick - t->length;
  double lo_base = upper ? mm_at(tail.base_lo) : middle,
         lo_end = upper ? mm_at(tail.end_lo) : middle;
  double hi_base = lower ? mm_at(tail.base_hi) : middle,
         hi_end = lower ? mm_at(tail.end_hi) : middle;
  const gw_spot socket[4] = {pin_spot(b, x, near, lo_base), pin_spot(b, x, end, lo_end),
                             pin_spot(b, x, end, hi_end), pin_spot(b, x, near, hi_base)};
  gw_fill_polygon(t->flow->page, GW_LAYOUT_WASTE, socket, 4);
  if (upper) line(b, WOOD, socket[0], socket[1]);
  if (lower) line(b, WOOD, socket[2], socket[3]);
  line(b, WOOD, socket[1], socket[2]);
}

static void draw_pin_board(const board *b, double x) {
  const tails *t = b->t;
  double span[2], lap = t->thick - t->length;
  bool ends[2];
  pins_span(b, span, ends);
  for (int k = b->s->first - 1; k <= b->s->last; ++k)
    if (k >= 0 && k < t->count) draw_socket(b, k, x);
  if (lap > 0.01) line(b, FINE, pin_spot(b, x, lap, span[0]), pin_spot(b, x, lap, span[1]));
  for (int i = 0; i < 2; ++i) {
    gw_spot out = pin_spot(b, x, 0, span[i]), in = pin_spot(b, x, t->thick, span[i]);
    if (ends[i]) line(b, WOOD, out, in);
    else gw_layout_torn_across(t->flow, out.x, in.x, out.y);
    double along = i * t->thick;
    line(b, WOOD, pin_spot(b, x, along, span[0]), pin_spot(b, x, along, span[1]));
  }
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

/* What the boards are, and what their lines are where the strip begins with their edge. */
static void name_boards(const board *b, double pins) {
  const tails *t = b->t;
  gw_page *page = t->flow->page;
  bool comb = t->job->model->joints[t->joint].kind == GW_COMB, on = b->s->from > 0;
  double up = b->y - 5.2, low = b->y - 1.5, end = spot(b, 0, b->s->from).x;
  gw_text_line(page, end, up, GW_TYPE_BOLD(9), GW_ALIGN_LEFT,
               gw_flow_say(t->flow, "%s%s", comb ? "fingers" : t->count == 1 ? "tail" : "tails",
                           on ? ", continued" : ""));
  gw_text_line(page, pins, up, GW_TYPE_BOLD(9), GW_ALIGN_LEFT,
               gw_flow_say(t->flow, "%s (end)", sockets_word(t)));
  if (on) return;
  gw_text_line(page, end + 0.5, low, GW_TYPE(7.5), GW_ALIGN_RIGHT, "end");
  gw_text_line(page, end + t->length, low, GW_TYPE(7.5), GW_ALIGN_LEFT, "baseline");
  /* Of face sides this is not true everywhere. */
  gw_text_line(page, pins, low, GW_TYPE(7.5), GW_ALIGN_LEFT, "outside left");
}

static void draw_strip(const tails *t, const strip *s, double x, double y) {
  double aslant = t->shear * t->whole;
  board b = {t, s, x + FIGURES + fmax(0, -aslant), y};
  double pins = x + strip_wide(t) - t->thick - fmax(0, aslant);
  name_boards(&b, pin_spot(&b, pins, 0, s->from).x);
  draw_tail_board(&b);
  draw_pin_board(&b, pins);
  draw_figures(&b, true);
  draw_figures(&b, false);
}

/* ---- all ---------------------------------------------------------------------------- */

const char *gw_tails_words(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count) {
  tails t = tails_of(flow, job, joints[0]);
  return words_of(&t, joints, count);
}

/* What is too long has words of its own as well, which may run over pages. */
gw_layout_size gw_tails_size(gw_flow *flow, const gw_sheets_job *job, const int *joints,
                             int count, double heading) {
  tails t = strips_of(flow, job, joints, count, heading);
  double words = gw_layout_words_height(flow, words_of(&t, joints, count));
  double wide = t.strips * (strip_wide(&t) + STRIPS_APART) - STRIPS_APART;
  if (t.shown <= t.count) wide = flow->body.w + 1; /* more width would show more of it */
  return (gw_layout_size){wide,
                          words + (t.strips > 0 ? ABOVE + strips_high(&t) + GW_LAYOUT_BELOW : 0)};
}

void gw_tails_draw(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                   double heading) {
  tails t = strips_of(flow, job, joints, count, heading);
  gw_layout_words(flow, words_of(&t, joints, count));
  if (t.shown <= t.count) gw_layout_words(flow, other_distances(&t));
  if (t.strips == 0) return;
  gw_flow_need(flow, ABOVE + strips_high(&t) + 2);
  for (int i = 0; i < t.strips; ++i)
    draw_strip(&t, &t.strip[i], flow->body.x + i * (strip_wide(&t) + STRIPS_APART),
               flow->y + ABOVE);
  flow->y += ABOVE + strips_high(&t) + GW_LAYOUT_BELOW;
}

static gw_len rounded(gw_len length) { return length / (GW_MM / 100); }

/* Whether the same is said of both: from where their boards are counted, and where the
 * sockets' board begins and ends. */
static bool same_sides(const tails *a, const tails *b) {
  char of_a[48], of_b[48];
  gw_dir from_a = gw_dir_of(a->s->run, a->flip ? 1 : -1),
         from_b = gw_dir_of(b->s->run, b->flip ? 1 : -1);
  if (a->less != b->less || (a->pins[1] < a->whole) != (b->pins[1] < b->whole) ||
      (a->pins[1] < a->whole && fabs(a->pins[1] - b->pins[1]) > 0.01))
    return false;
  const gw_part *const parts[2][2] = {{a->part, b->part}, {a->other, b->other}};
  for (int i = 0; i < 2; ++i)
    if (strcmp(gw_surface_words(parts[i][0], from_a, of_a, sizeof of_a),
               gw_surface_words(parts[i][1], from_b, of_b, sizeof of_b)) != 0)
      return false;
  return true;
}

/* Whether the k-th tail, and the boards, are the same. */
bool gw_tails_alike(const gw_sheets_job *job, int a, int b) {
  gw_flow none = {.body = {0, 0, 1000, 1000}};
  tails of_a = tails_of(&none, job, a), of_b = tails_of(&none, job, b);
  if (of_a.count != of_b.count || fabs(of_a.whole - of_b.whole) > 0.01 ||
      of_a.s->slope != of_b.s->slope || fabs(of_a.thick - of_b.thick) > 0.01 ||
      fabs(of_a.length - of_b.length) > 0.01 || fabs(of_a.shear - of_b.shear) > 1e-6)
    return false;
  if (!same_sides(&of_a, &of_b)) return false;
  gw_tail one = tail_of(&of_a, 0), other = tail_of(&of_b, 0);
  return rounded(one.end_lo) == rounded(other.end_lo) &&
         rounded(one.base_hi) == rounded(other.base_hi);
}
