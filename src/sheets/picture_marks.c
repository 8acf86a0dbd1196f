/* picture_marks.c - places for marks: each has a list of candidate places, the
 * nearest first; the marks take the best that is free one after the other, and
 * then move by turns as long as the whole gets better. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/picture_inner.h"

enum { RINGS = 16, SECTORS = 16, ROUNDS = 4 };
#define SIZE_LEAST 6.0   /* points */
#define GAP 0.8          /* between two marks, mm */
#define CLEAR 1.0        /* from a number to its spot, at the least, mm */
#define COST_CROSSING 12.0 /* two lines that cross, in mm of distance */
#define COST_COVER 8.0     /* a mark over another one's spot */
#define COST_AWAY 4.0      /* a mark that is not where it had better be */
#define COST_LINE 2.0      /* each mm of line that a mark lies over */
#define COST_LEADER 0.8    /* each mm that its line runs on other lines */
#define LEADER_STEP 0.6
#define COST_ASTRAY 7.0    /* a mark that lies wholly on another part */
#define COST_NEARER 5.0    /* a number that is nearer to another one's spot */
#define CROWDED 2.4        /* mean cost over the height of a tag; then type is set smaller */
#define SIZE_CROWDED 8.0   /* but not smaller than this for that reason, points */

typedef struct table {
  gw_area area;
  const gw_ground *ground;
  gw_tag *tags;
  gw_area *reach; /* of each tag: its place, its spot and the line between them */
  size_t count;
  double size;
} table;

/* ---- shapes ------------------------------------------------------------------------- */

static bool overlap(gw_area a, gw_area b, double gap) {
  return a.x < b.x + b.w + gap && b.x < a.x + a.w + gap && a.y < b.y + b.h + gap &&
         b.y < a.y + a.h + gap;
}

static bool within(gw_area a, gw_area b) {
  return a.x >= b.x && a.y >= b.y && a.x + a.w <= b.x + b.w && a.y + a.h <= b.y + b.h;
}

static double off(double value, double lo, double hi) {
  return value < lo ? lo - value : value > hi ? value - hi : 0;
}

/* How far a spot lies outside of an area. */
static double distance(gw_area a, gw_spot s) {
  return hypot(off(s.x, a.x, a.x + a.w), off(s.y, a.y, a.y + a.h));
}

/* Where the line to a mark's spot begins: the nearest point of its edge. */
static gw_spot leader_start(gw_area a, gw_spot s) {
  return (gw_spot){fmin(fmax(s.x, a.x), a.x + a.w), fmin(fmax(s.y, a.y), a.y + a.h)};
}

static double turn(gw_spot o, gw_spot a, gw_spot b) {
  return (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
}

static bool cross(gw_spot a, gw_spot b, gw_spot c, gw_spot d) {
  return (turn(a, b, c) > 0) != (turn(a, b, d) > 0) && (turn(c, d, a) > 0) != (turn(c, d, b) > 0);
}

static bool near(gw_area a, gw_spot s, double by) {
  return s.x >= a.x - by && s.x <= a.x + a.w + by && s.y >= a.y - by && s.y <= a.y + a.h + by;
}

static bool holds(gw_area a, gw_spot s) { return near(a, s, 0); }

static bool line_meets(gw_spot a, gw_spot b, gw_area box) {
  if (fmax(a.x, b.x) < box.x || fmin(a.x, b.x) > box.x + box.w || fmax(a.y, b.y) < box.y ||
      fmin(a.y, b.y) > box.y + box.h)
    return false;
  const gw_spot corner[4] = {{box.x, box.y}, {box.x + box.w, box.y},
                             {box.x + box.w, box.y + box.h}, {box.x, box.y + box.h}};
  if (holds(box, a) || holds(box, b)) return true;
  for (int i = 0; i < 4; ++i)
    if (cross(a, b, corner[i], corner[(i + 1) % 4])) return true;
  return false;
}

/* ---- one candidate ------------------------------------------------------------------ */

/* What the tag costs at `place` because of one other that has its own place;
 * below 0 when the two cannot both be. */
static double cost_beside(const gw_tag *tag, gw_area place, gw_spot start, const gw_tag *other) {
  bool leads = !holds(place, tag->spot);
  bool other_leads = !other->fixed && !holds(other->place, other->spot);
  double cost = 0;
  if (leads && line_meets(start, tag->spot, other->place)) {
    /* No line can avoid what lies over its own spot. */
    if (!other->fixed && !holds(other->place, tag->spot)) return -1;
    cost += COST_COVER;
  }
  if (!other_leads) return cost;
  gw_spot other_start = leader_start(other->place, other->spot);
  if (line_meets(other_start, other->spot, place)) {
    if (!holds(place, other->spot)) return -1;
    cost += COST_COVER;
  }
  return cost + (leads && cross(start, tag->spot, other_start, other->spot) ? COST_CROSSING : 0);
}

/* Whether a place lies over another one's mark. */
static bool taken(const table *t, size_t index, gw_area place) {
  for (size_t i = 0; i < t->count; ++i)
    if (i != index && t->tags[i].place.w > 0 && overlap(place, t->reach[i], GAP) &&
        overlap(place, t->tags[i].place, GAP))
      return true;
  return false;
}

static bool same_spot(gw_spot a, gw_spot b) {
  return fabs(a.x - b.x) < 0.5 && fabs(a.y - b.y) < 0.5;
}

/* The box round a place and its spot; a tag without a place has its spot only,
 * and what is fixed no spot. */
static gw_area reach(gw_area place, gw_spot spot, bool fixed) {
  if (fixed) return place;
  double x = spot.x, y = spot.y, right = spot.x, bottom = spot.y;
  if (place.w > 0) {
    x = fmin(x, place.x);
    y = fmin(y, place.y);
    right = fmax(right, place.x + place.w);
    bottom = fmax(bottom, place.y + place.h);
  }
  return (gw_area){x, y, right - x, bottom - y};
}

static void put(table *t, size_t index, gw_area place) {
  gw_tag *tag = &t->tags[index];
  tag->place = place;
  t->reach[index] = reach(place, tag->spot, tag->fixed);
}

/* The white under a mark: a figure without a bar takes less than its line's height. */
static gw_area white_of(const gw_tag *tag, gw_area place) {
  double in = tag->boxed || tag->bar ? 0 : 0.09 * place.h;
  return (gw_area){place.x, place.y + in, place.w, place.h - 2 * in};
}

/* What a place costs for what is drawn there: lines, other parts. */
static double cost_of_ground(const table *t, const gw_tag *tag, gw_area place) {
  if (t->ground == NULL) return 0;
  place = white_of(tag, place);
  return COST_LINE * gw_ground_lines(t->ground, place) +
         COST_ASTRAY * gw_ground_astray(t->ground, place, tag->own);
}

/* What the line to the spot costs: it had better not run along others. */
static double cost_of_leader(const table *t, const gw_tag *tag, gw_area place) {
  gw_spot from = leader_start(place, tag->spot);
  double length = hypot(from.x - tag->spot.x, from.y - tag->spot.y), lines = 0;
  int steps = t->ground == NULL ? 0 : (int)(length / LEADER_STEP);
  for (int i = 0; i < steps; ++i) {
    double f = (i + 1.0) / (steps + 1);
    gw_spot s = {from.x + f * (tag->spot.x - from.x), from.y + f * (tag->spot.y - from.y)};
    lines += gw_ground_lines(t->ground, (gw_area){s.x, s.y, 0.01, 0.01}) > 0;
  }
  return COST_LEADER * LEADER_STEP * lines;
}

/* A number that stands nearer to another one's spot than to its own may be taken for
 * that one's. */
static bool nearer_to_another(const table *t, size_t index, gw_area place, double away) {
  const gw_tag *tag = &t->tags[index];
  for (size_t i = 0; i < t->count && !tag->boxed; ++i) {
    const gw_tag *other = &t->tags[i];
    if (i == index || other->fixed || other->boxed || same_spot(other->spot, tag->spot)) continue;
    if (near(place, other->spot, away) && distance(place, other->spot) < away - 0.2) return true;
  }
  return false;
}

#define BESIDE_SPOT 0.5 /* a place so near to another's spot lies over it, mm */

/* What a place costs a tag, given the others that have theirs; below 0 when it
 * cannot be had, or costs no less than `most` (0: any cost will do). */
static double cost_of(const table *t, size_t index, gw_area place, double most) {
  const gw_tag *tag = &t->tags[index];
  double cost = distance(place, tag->spot);
  if (!within(place, t->area) || (most > 0 && cost >= most)) return -1;
  if ((!tag->on_spot && cost < CLEAR - 1e-6) || taken(t, index, place)) return -1;
  double away = cost;
  if (tag->home.w > 0 && !within(place, tag->home)) cost += COST_AWAY;
  cost += cost_of_ground(t, tag, place);
  if (most > 0 && cost >= most) return -1;
  if (nearer_to_another(t, index, place, away)) cost += COST_NEARER;
  cost += cost_of_leader(t, tag, place);
  gw_spot start = leader_start(place, tag->spot);
  gw_area mine = reach(place, tag->spot, false);
  for (size_t i = 0; i < t->count; ++i) {
    const gw_tag *other = &t->tags[i];
    /* Most are far off, and cost nothing. */
    if (i == index || !overlap(mine, t->reach[i], 2 * BESIDE_SPOT)) continue;
    if (most > 0 && cost >= most) return -1;
    if (!other->fixed && near(place, other->spot, BESIDE_SPOT) &&
        !same_spot(other->spot, tag->spot))
      cost += COST_COVER;
    if (other->place.w <= 0) continue;
    double more = cost_beside(tag, place, start, other);
    if (more < 0) return -1;
    cost += more;
  }
  return most > 0 && cost >= most ? -1 : cost;
}

/* The width and height that a tag takes, with white round it. */
static gw_area extent(gw_doc *doc, const gw_tag *tag, double size) {
  double em = size * 25.4 / 72, pad = 0.12 * em;
  gw_area a = {0, 0, gw_text_mark_width(doc, size, tag->text) + 2 * pad, 1.06 * em};
  if (tag->boxed && a.w < a.h) a.w = a.h;
  return a;
}

/* Moves a place out along the ray from its spot until it is clear of it. */
static gw_area at_ring(const gw_tag *tag, gw_area size, double angle, double out) {
  double c = cos(angle), s = sin(angle);
  /* From the middle of the box to its edge along the ray. */
  double edge = fmin(fabs(c) > 1e-9 ? size.w / 2 / fabs(c) : INFINITY,
                     fabs(s) > 1e-9 ? size.h / 2 / fabs(s) : INFINITY);
  double radius = out < 0 ? 0 : edge + out;
  gw_area place = {tag->spot.x + radius * c - size.w / 2, tag->spot.y + radius * s - size.h / 2,
                   size.w, size.h};
  if (out < 0) return place;
  double short_by = out - distance(place, tag->spot);
  place.x += short_by * c;
  place.y += short_by * s;
  return place;
}

/* Tries the rings round the spot; the best free place becomes the tag's.
 * Returns its cost, below 0 when none is free that costs less than `most` (below
 * 0: any cost will do). */
static double settle(table *t, size_t index, gw_area size, double most) {
  gw_tag *tag = &t->tags[index];
  double best = most;
  gw_area found = {0, 0, 0, 0};
  for (int ring = tag->on_spot ? 0 : 1; ring <= RINGS; ++ring) {
    double out = ring == 0 ? -1 : CLEAR + 0.1 + (ring - 1) * size.h * 0.45;
    if (found.w > 0 && best < out) break; /* farther costs more */
    int sectors = ring == 0 ? 1 : ring < 4 ? SECTORS : 2 * SECTORS;
    for (int k = 0; k < sectors; ++k) {
      double angle = 2 * acos(-1) * (k + 0.5 * (ring % 2)) / sectors - acos(-1) / 2;
      gw_area place = at_ring(tag, size, angle, out);
      double cost = cost_of(t, index, place, best);
      if (cost < 0 || (best >= 0 && cost >= best - 1e-9)) continue;
      best = cost;
      found = place;
    }
  }
  put(t, index, found);
  return found.w > 0 ? best : -1;
}

/* Any free place at all, row by row. */
static double settle_anywhere(table *t, size_t index, gw_area size) {
  double best = -1;
  gw_area found = {0, 0, 0, 0};
  for (double y = t->area.y; y + size.h <= t->area.y + t->area.h; y += size.h / 2)
    for (double x = t->area.x; x + size.w <= t->area.x + t->area.w; x += size.w / 2) {
      gw_area place = {x, y, size.w, size.h};
      double cost = cost_of(t, index, place, best);
      if (cost < 0 || (best >= 0 && cost >= best - 1e-9)) continue;
      best = cost;
      found = place;
    }
  put(t, index, found);
  return best;
}

/* ---- all of them -------------------------------------------------------------------- */

enum how {
  PLACE_TRYING, /* ends with the first tag that finds no place, or when all cost too much */
  PLACE_NEAR,   /* tags that find no place have none */
  PLACE_ANYWHERE
};

/* Gives each tag the best place that those before it have left, letters first,
 * until together they cost more than `most`.  Whether all found one. */
static bool place_all(table *t, gw_doc *doc, enum how how, double most) {
  double total = 0;
  bool all = true;
  for (size_t i = 0; i < t->count; ++i)
    put(t, i, t->tags[i].fixed ? t->tags[i].place : (gw_area){0, 0, 0, 0});
  for (int boxed = 1; boxed >= 0; --boxed)
    for (size_t i = 0; i < t->count; ++i) {
      if (t->tags[i].fixed || t->tags[i].boxed != (boxed == 1)) continue;
      gw_area size = extent(doc, &t->tags[i], t->size);
      double cost = settle(t, i, size, -1);
      if (cost < 0 && how == PLACE_ANYWHERE) cost = settle_anywhere(t, i, size);
      if (cost < 0) all = false;
      else total += cost;
      if (how == PLACE_TRYING && (!all || total > most)) return false;
    }
  return all;
}

/* Each tag in turn looks for a better place than it has; true when one did. */
static bool improve(table *t, gw_doc *doc) {
  bool better = false;
  for (size_t i = 0; i < t->count; ++i) {
    gw_tag *tag = &t->tags[i];
    if (tag->fixed) continue;
    gw_area before = tag->place;
    double was = before.w > 0 ? cost_of(t, i, before, 0) : -1;
    if (before.w > 0 && was < 0) continue; /* it stays where others have come too near */
    double now = settle(t, i, extent(doc, tag, t->size), was);
    if (now >= 0 && (was < 0 || now < was - 1e-6)) better = true;
    else put(t, i, before);
  }
  return better;
}

/* Whether the tags are too large for their places, and may be smaller. */
static bool too_large(table *t, gw_doc *doc) {
  if (t->size <= SIZE_LEAST) return false;
  double most = CROWDED * t->size * 25.4 / 72 * (double)t->count;
  return !place_all(t, doc, PLACE_TRYING, t->size > SIZE_CROWDED ? most : INFINITY);
}

/* A letter that has found its place on the plain face of its part needs no line to it. */
static void free_of_leader(const gw_ground *ground, gw_tag *tag) {
  if (!tag->boxed || !tag->seen || tag->place.w <= 0 || gw_ground_lines(ground, tag->place) > 0.3)
    return;
  for (int i = 0; i < 9; ++i) {
    gw_spot s = {tag->place.x + tag->place.w * (i % 3) / 2,
                 tag->place.y + tag->place.h * (i / 3) / 2};
    if (gw_ground_part(ground, s) != tag->own[0]) return;
  }
  tag->spot = (gw_spot){tag->place.x + tag->place.w / 2, tag->place.y + tag->place.h / 2};
}

double gw_tags_place(gw_doc *doc, gw_area area, const gw_ground *ground, gw_tag *tags,
                     size_t count, double most) {
  table t = {area, ground, tags, NULL, count, most};
  if (count == 0 || gw_doc_failed(doc)) return most;
  t.reach = calloc(count, sizeof *t.reach);
  if (t.reach == NULL) {
    gw_doc_fail(doc, GW_NO_MEMORY, "memory is short");
    return most;
  }
  while (too_large(&t, doc)) t.size = fmax(SIZE_LEAST, t.size * 0.9);
  if (!place_all(&t, doc, PLACE_NEAR, INFINITY)) place_all(&t, doc, PLACE_ANYWHERE, INFINITY);
  for (int round = 0; round < ROUNDS; ++round)
    if (!improve(&t, doc)) break;
  for (size_t i = 0; i < count && ground != NULL; ++i) free_of_leader(ground, &tags[i]);
  free(t.reach);
  return t.size;
}

/* ---- drawing ------------------------------------------------------------------------ */

static const gw_pen LEADER = {GW_STROKE_FULL, 0.18, 0};

static void draw_leader(gw_page *page, const gw_tag *tag) {
  gw_spot start = leader_start(tag->place, tag->spot);
  if (holds(tag->place, tag->spot)) return;
  gw_draw_line(page, (gw_pen){GW_STROKE_FULL, 0.45, 1}, start.x, start.y, tag->spot.x, tag->spot.y);
  gw_draw_line(page, LEADER, start.x, start.y, tag->spot.x, tag->spot.y);
  if (tag->seen) {
    gw_fill_circle(page, 0, tag->spot.x, tag->spot.y, 0.45);
  } else {
    gw_fill_circle(page, 1, tag->spot.x, tag->spot.y, 0.6);
    gw_draw_circle(page, LEADER, tag->spot.x, tag->spot.y, 0.6);
  }
}

static void draw_tag(gw_page *page, const gw_tag *tag, double size) {
  double em = size * 25.4 / 72, wide = gw_text_mark_width(gw_page_doc(page), size, tag->text);
  double capital = gw_cap_height(gw_page_doc(page), GW_TYPE_BOLD(size));
  double middle = tag->place.y + tag->place.h / 2;
  gw_fill_area(page, 1, white_of(tag, tag->place));
  if (tag->boxed) gw_draw_area(page, LEADER, tag->place);
  double lift = tag->bar ? (GW_MARK_GAP + GW_MARK_THICK) * em / 2 : 0;
  gw_text_mark(page, tag->place.x + (tag->place.w - wide) / 2, middle + capital / 2 - lift, size,
               tag->text, tag->bar);
}

void gw_tags_draw(gw_page *page, const gw_tag *tags, size_t count, double size) {
  for (size_t i = 0; i < count; ++i)
    if (tags[i].place.w > 0 && !tags[i].fixed) draw_leader(page, &tags[i]);
  for (size_t i = 0; i < count; ++i)
    if (tags[i].place.w > 0 && !tags[i].fixed) draw_tag(page, &tags[i], size);
}
