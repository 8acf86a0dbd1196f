/* markout_plate.c - tenons, mortises and dowels at full scale: each half seen square on
 * the surface that it is cut in, both level with each other. */
#include <math.h>
#include <string.h>

#include "sheets/markout_inner.h"
#include "sheets/picture_inner.h"

static const gw_pen WOOD = {GW_STROKE_FULL, 0.35, 0};
static const gw_pen FINE = {GW_STROKE_FULL, 0.18, 0};

static double mm_at(gw_len length) { return gw_len_mm(length); }
static gw_len rounded(gw_len length) { return length / (GW_MM / 100); }

/* One axis of a surface: the part's extent, the half's stretch on it, and how
 * much of it is drawn. */
typedef struct stretch_of {
  double whole, lo, hi; /* mm */
  double from, to;      /* drawn */
} stretch_of;

#define STUMP 30.0    /* of what is too long, mm */
#define BESIDE 10.0   /* of the part shown beside a half, mm */
#define NEAR_END 30.0 /* nearer to the part's end than this, the end is shown */

/* `drawn_whole`: what is no longer than this is not broken off. */
static stretch_of look_along(const gw_span *span, gw_len whole, double drawn_whole, double most) {
  stretch_of s = {.whole = mm_at(whole), .lo = mm_at(span->lo),
                  .hi = mm_at(span->lo + span->size)};
  /* A draft may have a half beside its part. */
  s.lo = fmin(fmax(s.lo, 0), s.whole);
  s.hi = fmin(fmax(s.hi, s.lo), s.whole);
  s.from = s.lo <= NEAR_END ? 0 : s.lo - BESIDE;
  s.to = s.whole - s.hi <= NEAR_END ? s.whole : s.hi + BESIDE;
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
  const gw_part *part;
  gw_dir across_way, down_way; /* which way right and down are on the part */
  gw_place places[2];          /* across and down */
  bool varies;                 /* its place down is not that of all the joints */
  double climb; /* of level lines, where the part leans: mm up for each to the right */
} plate;

enum { ACROSS_WHOLE = 76, ACROSS_MOST = 76, DOWN_WHOLE = 60, DOWN_MOST = 150 };

/* Which way across and down of the drawing go on the part, as one sees it from
 * the side that it is cut in; turned a quarter when that puts the thickness across, and so
 * that both halves have the same side above. */
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

static gw_place place_of(const char *name, gw_dir way, const gw_span *span, gw_len whole) {
  return (gw_place){name, gw_dir_back(way), span->lo, span->size, whole - span->lo - span->size};
}

static plate plate_of(const gw_sheets_job *job, int joint, bool entering) {
  const gw_model *m = job->model;
  const gw_joint *j = &m->joints[joint];
  const gw_half *half = &m->halves[entering ? j->entering : j->receiving];
  const gw_part *p = &m->parts[half->part];
  const gw_seating *s = &job->fit->seatings[joint];
  const gw_span *spans = entering ? s->e : s->r;
  plate out = {.half = half, .part = p};
  gw_dir across, of_entering;
  turn_plate(s, half->at, &across, &out.down_way);
  turn_plate(s, m->halves[j->entering].at, &(gw_dir){GW_NO_DIR}, &of_entering);
  if (out.down_way != of_entering) {
    out.down_way = gw_dir_back(out.down_way);
    across = gw_dir_back(across);
  }
  out.across_way = across;
  gw_span a = seen_span(&spans[s->narrow], p->size[s->narrow], across);
  gw_span d = seen_span(&spans[s->run], p->size[s->run], out.down_way);
  on_wood(&a, p, half, s->narrow);
  on_wood(&d, p, half, s->run);
  gw_len wide = gw_on_wood(p, half, s->narrow, p->size[s->narrow]);
  gw_len high = gw_on_wood(p, half, s->run, p->size[s->run]);
  out.climb = climb_of(p, half, s, across, out.down_way);
  out.across = look_along(&a, wide, ACROSS_WHOLE, ACROSS_MOST);
  out.down = look_along(&d, high, DOWN_WHOLE, DOWN_MOST);
  out.places[0] = place_of("across", across, &a, wide);
  out.places[1] = place_of("down", out.down_way, &d, high);
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

static bool is_dowelled(const gw_sheets_job *job, int joint) {
  return job->model->joints[joint].kind == GW_DOWELS && job->fit->seatings[joint].count > 0 &&
         job->fit->seatings[joint].thickness > 0;
}

/* Figures of dowels are from the side above: its name must be the same, unless they are as
 * far from the other side. */
static bool same_above(const plate *a, const plate *b) {
  char of_a[48], of_b[48];
  if (rounded(a->places[1].lo) == rounded(a->places[1].rest)) return true;
  return strcmp(gw_surface_words(a->part, gw_dir_back(a->down_way), of_a, sizeof of_a),
                gw_surface_words(b->part, gw_dir_back(b->down_way), of_b, sizeof of_b)) == 0;
}

bool gw_plates_alike(const gw_sheets_job *job, int a, int b) {
  for (int i = 0; i < 2; ++i) {
    plate of_a = plate_of(job, a, i == 0), of_b = plate_of(job, b, i == 0);
    if (!same_stretch(&of_a.across, &of_b.across) || !same_stretch(&of_a.down, &of_b.down) ||
        fabs(of_a.climb - of_b.climb) > 1e-4 ||
        (is_dowelled(job, a) && !same_above(&of_a, &of_b)))
      return false;
  }
  return true;
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

/* ---- words -------------------------------------------------------------------------- */

/* What is said of a half's place, or, where that is not the same on all joints of the
 * drawing, its size alone. */
static const char *place_line(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                              bool entering, int which) {
  plate first = plate_of(job, joints[0], entering);
  const char *words = gw_place_words(flow, job, first.part, &first.places[which], true);
  for (int i = 1; i < count; ++i) {
    plate p = plate_of(job, joints[i], entering);
    if (strcmp(words, gw_place_words(flow, job, p.part, &p.places[which], true)) == 0) continue;
    words = gw_place_words(flow, job, first.part, &first.places[which], false);
    return gw_half_is_struck(flow, first.half)
               ? gw_flow_say(flow, "%s; its place: see the settings", words) : words;
  }
  return words;
}

/* "seen on the far side, upper end above, face edge left". */
static const char *view_line(gw_flow *flow, const plate *p) {
  char on[48];
  const char *turn =
      gw_turn_words(flow, p->part, gw_dir_back(p->down_way), gw_dir_back(p->across_way));
  if ((int)gw_dir_axis(p->half->at) == gw_part_length_axis(p->part))
    return gw_flow_say(flow, "end view, %s", turn);
  return gw_flow_say(flow, "seen on %s, %s", gw_surface_words(p->part, p->half->at, on, sizeof on),
                     turn);
}

gw_caption gw_plates_caption(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                             bool entering) {
  plate first = plate_of(job, joints[0], entering);
  gw_caption c = {.title = gw_halves_title(flow, job, joints, count, entering)};
  c.lines[0] = view_line(flow, &first);
  for (int i = 1; i < count; ++i) {
    plate p = plate_of(job, joints[i], entering);
    if (strcmp(c.lines[0], view_line(flow, &p)) == 0) continue;
    c.lines[0] = gw_of_one_joint(flow, job, joints[0], c.lines[0]);
    break;
  }
  for (int which = 0; which < 2; ++which)
    c.lines[1 + which] = place_line(flow, job, joints, count, entering, which);
  return c;
}

/* ---- drawings ----------------------------------------------------------------------- */

/* Middles of dowel holes, and how far each is from the side above: evenly along
 * the half, half a distance from either end (common practice, no source). */
static void draw_holes(gw_flow *flow, const gw_sheets_job *job, const plate *p, double x,
                       double top) {
  const gw_seating *s = &job->fit->seatings[p->half->joint];
  double right = x + p->across.to - p->across.from, r = mm_at(s->thickness) / 2;
  double middle = x + on_plate(&p->across, (p->across.lo + p->across.hi) / 2);
  gw_figure *items = gw_arena_alloc(flow->arena, (size_t)s->count + 1, sizeof *items);
  char words[48];
  int shown = 0;
  if (items == NULL) {
    flow->no_memory = true;
    return;
  }
  for (int k = 0; k < s->count; ++k) {
    gw_len at = p->places[1].lo + p->places[1].size * (2 * k + 1) / (2 * s->count);
    double y = top + mm_at(at) - p->down.from;
    if (mm_at(at) < p->down.from || mm_at(at) > p->down.to) continue;
    gw_draw_circle(flow->page, FINE, middle, y, r);
    gw_draw_line(flow->page, FINE, middle - r - 1.5, y, middle + r + 1.5, y);
    gw_draw_line(flow->page, FINE, middle, y - r - 1.5, middle, y + r + 1.5);
    const char *text =
        gw_flow_say(flow, "%s", p->varies ? "" : gw_figure_words(job, at, words, sizeof words));
    items[shown++] = (gw_figure){right + 1, y, text};
  }
  gw_layout_figures(flow, false, items, shown);
}

/* The four corners of a stretch of the surface; its level lines climb. */
static void corners(const plate *p, double x, const double edges[4], gw_spot out[4]) {
  double middle = x + (p->across.to - p->across.from) / 2;
  double of_left = p->climb * (middle - edges[0]), of_right = p->climb * (middle - edges[1]);
  out[0] = (gw_spot){edges[0], edges[2] + of_left};
  out[1] = (gw_spot){edges[1], edges[2] + of_right};
  out[2] = (gw_spot){edges[1], edges[3] + of_right};
  out[3] = (gw_spot){edges[0], edges[3] + of_left};
}

/* A mortise is cut away; a tenon goes in, and what is beside it is cut away. */
static void draw_cut(gw_flow *flow, const plate *p, double x, double top) {
  const double all[4] = {x, x + p->across.to - p->across.from, top,
                         top + p->down.to - p->down.from};
  const double half[4] = {
      x + on_plate(&p->across, p->across.lo), x + on_plate(&p->across, p->across.hi),
      top + on_plate(&p->down, p->down.lo), top + on_plate(&p->down, p->down.hi)};
  gw_spot whole[4], spots[4];
  corners(p, x, all, whole);
  corners(p, x, half, spots);
  if (p->half->enters) gw_fill_polygon(flow->page, GW_LAYOUT_WASTE, whole, 4);
  if (p->half->enters) gw_layout_goes_in(flow, spots);
  else gw_fill_polygon(flow->page, GW_LAYOUT_WASTE, spots, 4);
  for (int i = 0; i < 4; ++i) {
    bool drawn = i % 2 == 1 || (i == 0 ? p->down.lo >= p->down.from : p->down.hi <= p->down.to);
    const gw_spot *a = &spots[i], *b = &spots[(i + 1) % 4];
    if (drawn) gw_draw_line(flow->page, WOOD, a->x, a->y, b->x, b->y);
  }
}

static void draw_plate(gw_flow *flow, const gw_sheets_job *job, const plate *p, double x,
                       double top) {
  if (is_dowelled(job, p->half->joint)) draw_holes(flow, job, p, x, top);
  else draw_cut(flow, p, x, top);
  plate_edges(flow, p, x, top, p->across.to - p->across.from, p->down.to - p->down.from);
}

static const char *depth_words(gw_flow *flow, const gw_sheets_job *job, int joint) {
  char depth[48];
  const gw_model *m = job->model;
  const gw_seating *s = &job->fit->seatings[joint];
  if (is_dowelled(job, joint))
    return gw_flow_say(flow, "%d dowels %s thick, evenly along the joint; the figures are from "
                             "the side above.", s->count,
                       gw_length_words(job, s->thickness, depth, sizeof depth));
  const gw_half *e = &m->halves[m->joints[joint].entering];
  bool upright = e->plumb && gw_leans(m->parts[e->part].lean);
  return gw_flow_say(flow, "%s%s", gw_depth_sentence(flow, job, joint),
                     upright
                         ? "  The figures are those at the shoulder; from there the tenon stands "
                           "upright."
                         : "");
}

/* How far down from the top of the drawings each begins, so that the halves are level. */
static void set_level(const plate both[2], double drop[2]) {
  double lead[2];
  for (int i = 0; i < 2; ++i) lead[i] = both[i].down.lo - both[i].down.from;
  for (int i = 0; i < 2; ++i) drop[i] = fmax(0, lead[1 - i] - lead[i]);
}

static double slope_room(const plate *p) {
  return fabs(p->climb) * (p->across.to - p->across.from) / 2;
}

static double drawn_high(const plate both[2]) {
  double drop[2], high = 0;
  set_level(both, drop);
  for (int i = 0; i < 2; ++i)
    high = fmax(high, drop[i] + both[i].down.to - both[i].down.from + 2 * slope_room(&both[i]));
  return high;
}

static double drawn_wide(const gw_sheets_job *job, const plate *p) {
  return p->across.to - p->across.from + (is_dowelled(job, p->half->joint) ? 14 : 0);
}

static gw_split split_of(const gw_flow *flow, const gw_sheets_job *job, const plate both[2]) {
  return gw_layout_split(flow, drawn_wide(job, &both[0]), drawn_wide(job, &both[1]));
}

static double words_high(gw_flow *flow, const gw_caption both[2], const gw_split *split) {
  return fmax(gw_caption_height(flow, &both[0], split->words[0]),
              gw_caption_height(flow, &both[1], split->words[1]));
}

static void both_of(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                    plate plates[2], gw_caption captions[2]) {
  for (int i = 0; i < 2; ++i) {
    plates[i] = plate_of(job, joints[0], i == 0);
    captions[i] = gw_plates_caption(flow, job, joints, count, i == 0);
    for (int k = 1; k < count; ++k)
      plates[i].varies =
          plates[i].varies ||
          rounded(plate_of(job, joints[k], i == 0).places[1].lo) != rounded(plates[i].places[1].lo);
  }
}

gw_layout_size gw_plates_size(gw_flow *flow, const gw_sheets_job *job, const int *joints,
                              int count) {
  plate plates[2];
  gw_caption captions[2];
  both_of(flow, job, joints, count, plates, captions);
  gw_split split = split_of(flow, job, plates);
  return (gw_layout_size){gw_split_wide(drawn_wide(job, &plates[0]), drawn_wide(job, &plates[1])),
                          gw_layout_words_height(flow, depth_words(flow, job, joints[0])) +
                              words_high(flow, captions, &split) + drawn_high(plates) +
                              GW_LAYOUT_BELOW};
}

void gw_plates_draw(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count) {
  plate plates[2];
  gw_caption captions[2];
  double drop[2];
  both_of(flow, job, joints, count, plates, captions);
  set_level(plates, drop);
  gw_layout_words(flow, depth_words(flow, job, joints[0]));
  gw_split split = split_of(flow, job, plates);
  double top = flow->y + words_high(flow, captions, &split);
  for (int i = 0; i < 2; ++i) {
    double x = flow->body.x + i * split.second;
    gw_caption_draw(flow, &captions[i], x, flow->y, split.words[i]);
    draw_plate(flow, job, &plates[i], x, top + drop[i] + slope_room(&plates[i]));
  }
  flow->y = top + drawn_high(plates) + GW_LAYOUT_BELOW;
}

bool gw_plates_has(const gw_sheets_job *job, int joint) {
  const gw_seating *s = &job->fit->seatings[joint];
  gw_kind kind = job->model->joints[joint].kind;
  bool square = s->style == GW_STRAIGHT && s->narrow >= 0 && s->run >= 0;
  if (!square || !s->bound[s->normal].stated) return false;
  return gw_kind_of(kind)->seat != GW_FACE || is_dowelled(job, joint);
}
