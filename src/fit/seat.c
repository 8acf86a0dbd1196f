/* How the halves of one joint seat: sizes filled in and compared, and the
 * bounds they set on the places of their parts. */
#include <string.h>

#include "fit/asmade.h"
#include "fit/fit.h"

/* One joint being looked at. */
typedef struct seat {
  const gw_model *m;
  gw_findings *findings;
  const gw_joint *joint;
  int index;
  const gw_kind_row *kind;
  const gw_half *e, *r;
  const gw_part *a, *b; /* of the entering and of the receiving half */
  gw_seating *s;
  gw_len tight, loose;
  gw_half level[2]; /* the halves of parts that lean, their sizes level */
} seat;

static bool set(gw_len length) { return length != GW_UNSET; }

static bool leaning(const seat *c) { return gw_leans(c->a->lean) || gw_leans(c->b->lean); }

/* Drawn sizes agree exactly; wood that is cut gives a little. */
static gw_len give(const seat *c) { return c->m->as_measured ? GW_FIT_GIVE : 0; }

static bool differ(const seat *c, gw_len a, gw_len b) {
  return a - b > give(c) || b - a > give(c);
}

/* ---- findings ------------------------------------------------------------------- */

static const char *text(const seat *c, gw_len length, char buffer[GW_LEN_TEXT]) {
  return gw_len_text(length, c->m->units, buffer, GW_LEN_TEXT);
}

static gw_status about(const seat *c) {
  GW_TRY(gw_find_part(c->findings, c->e->part));
  GW_TRY(gw_find_part(c->findings, c->r->part));
  return gw_find_joint(c->findings, c->index);
}

/* Whether the half itself gives the measure. */
static bool gives(const gw_half *half, const char *measure) {
  return (strcmp(measure, "thickness") == 0 && set(half->thickness)) ||
         (strcmp(measure, "width") == 0 && set(half->width)) ||
         (strcmp(measure, "depth") == 0 && set(half->depth)) ||
         (strcmp(measure, "lap") == 0 && set(half->lap));
}

/* The line of the entering half, unless only the receiving one gives the measure. */
static int line_of(const seat *c, const char *measure) {
  return gives(c->r, measure) && !gives(c->e, measure) ? c->r->line : c->e->line;
}

/* "the tenon of rail (8) and the mortise m of leg (9): what" */
static gw_status unlike(const seat *c, const char *code, const char *measure, gw_len of_e,
                        gw_len of_r, const char *what) {
  char one[GW_LEN_TEXT], two[GW_LEN_TEXT], between[GW_LEN_TEXT];
  gw_len apart = of_e > of_r ? of_e - of_r : of_r - of_e;
  const char *deed = !c->m->as_measured ? "change one of the two"
                     : of_e > of_r ? "take so much off the first, or cut the other so much larger"
                                   : "glue a slip on the first and fit it, or cut one of the two again";
  GW_TRY(gw_find(c->findings, GW_ERROR, code, line_of(c, measure),
                 "the %s of %s has a %s of %s, the %s %s of %s one of %s: %s %s; %s",
                 c->e->element, c->a->id, measure, text(c, of_e, one), c->r->element, c->r->id,
                 c->b->id, text(c, of_r, two), text(c, apart, between), what, deed));
  return about(c);
}

static gw_status missing(const seat *c, const char *measure) {
  GW_TRY(gw_find(c->findings, GW_ERROR, "size-missing", c->e->line,
                 "neither the %s of %s nor the %s %s of %s has a %s; give it on one of the two",
                 c->e->element, c->a->id, c->r->element, c->r->id, c->b->id, measure));
  return about(c);
}

/* ---- axes ------------------------------------------------------------------------- */

static gw_status wrong_sides(const seat *c) {
  bool corner = c->kind->style == GW_CORNER;
  GW_TRY(gw_find(c->findings, GW_ERROR, "sides-do-not-meet", c->e->line,
                 "the %s is at the %s of %s and the %s %s at the %s of %s; in a %s these two %s",
                 c->e->element, gw_dir_name(c->e->at), c->a->id, c->r->element, c->r->id,
                 gw_dir_name(c->r->at), c->b->id, c->kind->words,
                 corner ? "stand square to each other" : "face each other"));
  return about(c);
}

/* Decides the style and the axes; *good is false when the surfaces cannot meet. */
static gw_status choose_axes(seat *c, bool *good) {
  gw_seating *s = c->s;
  const int length = gw_part_length_axis(c->a), width = gw_dir_axis(c->a->edge);
  const int thick = gw_dir_axis(c->a->face);
  bool facing = c->r->at == gw_dir_back(c->e->at);
  bool square = gw_dir_axis(c->r->at) != gw_dir_axis(c->e->at);
  s->style = c->kind->style == GW_EITHER ? (square ? GW_CORNER : GW_STRAIGHT) : c->kind->style;
  *good = s->style == GW_CORNER ? square : facing;
  if (!*good) return wrong_sides(c);
  s->normal = gw_dir_axis(c->e->at);
  s->second = s->style == GW_CORNER ? (int)gw_dir_axis(c->r->at) : -1;
  if (s->style == GW_CORNER) {
    int third = 3 - s->normal - s->second;
    s->narrow = c->kind->whole ? -1 : third;
    s->run = c->kind->whole ? third : -1;
  } else if (s->normal == length) {
    s->narrow = thick;
    s->run = width;
  } else if (s->normal == width) {
    s->narrow = thick;
    s->run = length;
  } else {
    s->narrow = width;
    s->run = length;
  }
  return GW_OK;
}

/* ---- parts that lean -------------------------------------------------------------- */

/* Across a joint both halves are gauged as the entering part leans, unless what
 * enters is cut plumb. */
static gw_len as_level(const seat *c, int axis, gw_len gauged) {
  if (axis < 0 || axis == GW_Z || !set(gauged) || c->e->plumb) return gauged;
  return gw_part_stands(c->a, axis, gauged);
}

static gw_len as_gauged(const seat *c, int axis, gw_len level) {
  if (axis < 0 || axis == GW_Z || !set(level) || c->e->plumb) return level;
  return gw_part_cut(c->a, axis, level);
}

/* Sizes are written as they are gauged, square to surfaces that may lean; all
 * reckoning is in level ones. */
static void make_level(seat *c) {
  if (!leaning(c) || c->s->style == GW_CROSS) return;
  for (int i = 0; i < 2; ++i) {
    const gw_half *from = i == 0 ? c->e : c->r;
    const gw_part *part = i == 0 ? c->a : c->b;
    gw_half *to = &c->level[i];
    *to = *from;
    to->thickness = as_level(c, c->s->narrow, from->thickness);
    to->width = as_level(c, c->s->run, from->width);
    for (int dir = 0; dir < GW_DOWN; ++dir)
      if (set(from->from[dir])) to->from[dir] = gw_part_stands(part, dir / 2, from->from[dir]);
  }
  c->e = &c->level[0];
  c->r = &c->level[1];
}

/* ---- depths ----------------------------------------------------------------------- */

/* A mortise is cut deeper than its tenon is long by this: 1 to 2 mm, common
 * practice, no source. */
static const gw_len MORTISE_ROOM = GW_MM;

static gw_status depth_straight(seat *c) {
  gw_seating *s = c->s;
  gw_len there = c->b->size[s->normal];
  gw_len of_e = c->e->depth, of_r = c->r->through ? there : c->r->depth;
  bool shoulder = c->kind->seat == GW_SHOULDER;
  gw_len room = shoulder && !c->r->through ? MORTISE_ROOM : 0;
  if (c->kind->seat == GW_FACE) {
    s->depth_e = s->depth_r = 0;
    return GW_OK;
  }
  if (!set(of_e) && !set(of_r)) {
    s->depth_e = s->depth_r = 0;
    return missing(c, "depth");
  }
  s->depth_e = set(of_e) ? of_e : of_r > 2 * room ? of_r - room : of_r;
  s->depth_r = set(of_r) ? of_r : of_e + room;
  if (c->kind->seat == GW_FLOAT && !set(of_e)) s->depth_e = s->depth_r;
  if (set(of_e) && set(of_r) && of_e > of_r + give(c))
    return unlike(c, "too-deep", "depth", of_e, of_r, "too deep to close");
  if (set(of_e) && set(of_r) && c->kind->seat == GW_FLOOR && differ(c, of_e, of_r))
    return unlike(c, "too-shallow", "depth", of_e, of_r, "left open at the floor");
  if (s->depth_r >= there && !c->r->through && c->kind->seat != GW_FLOOR) {
    char one[GW_LEN_TEXT], two[GW_LEN_TEXT];
    GW_TRY(gw_find(c->findings, GW_ERROR, "breaks-through", line_of(c, "depth"),
                   "the %s %s of %s is %s deep, but the wood there is %s; make it shallower, or "
                   "say through=\"yes\"", c->r->element, c->r->id, c->b->id,
                   text(c, s->depth_r, one), text(c, there, two)));
    return about(c);
  }
  return GW_OK;
}

/* A quarter to a third: common practice, no source. */
static gw_status lap_too_thick(const seat *c, gw_len lap, gw_len there) {
  char one[GW_LEN_TEXT], two[GW_LEN_TEXT];
  GW_TRY(gw_find(c->findings, GW_ERROR, "lap-too-thick", line_of(c, "lap"),
                 "the lap at the %s of %s is %s, and the wood is %s there: nothing is left for the "
                 "tails; a quarter to a third is usual", gw_dir_name(c->r->at), c->b->id,
                 text(c, lap, one), text(c, there, two)));
  return about(c);
}

static gw_status baseline_off(const seat *c, gw_len thick) {
  char one[GW_LEN_TEXT], two[GW_LEN_TEXT];
  GW_TRY(gw_find(c->findings, GW_ERROR, "baseline-off", c->r->line,
                 "the %s %s of %s is %s deep, but %s, which goes in there, is %s thick; leave the "
                 "depth out, and the baseline is struck to that", c->r->element, c->r->id,
                 c->b->id, text(c, c->r->depth, one), c->a->id, text(c, thick, two)));
  return about(c);
}

/* The entering depth at a corner: through the other part, less the lap. */
static gw_status depth_corner_entering(seat *c) {
  gw_seating *s = c->s;
  gw_len there = c->b->size[s->normal], lap = set(c->r->lap) ? c->r->lap : c->e->lap;
  bool lapped = c->joint->kind == GW_LAPPED_DOVETAIL;
  if (set(c->e->lap) && set(c->r->lap) && differ(c, c->e->lap, c->r->lap))
    GW_TRY(unlike(c, "lap-unlike", "lap", c->e->lap, c->r->lap, "apart"));
  if (lapped && !set(lap) && !set(c->e->depth)) {
    s->depth_e = there;
    return missing(c, "lap");
  }
  if (c->joint->kind == GW_REBATE) {
    /* The rebate's width is how far the board goes in. */
    gw_len wide = c->r->width;
    s->depth_e = set(c->e->depth) ? c->e->depth : set(wide) ? wide : 0;
    if (!set(c->e->depth) && !set(wide)) return missing(c, "width");
    if (set(c->e->depth) && set(wide) && c->e->depth > wide)
      return unlike(c, "too-deep", "depth", c->e->depth, wide, "too deep to close");
    return GW_OK;
  }
  gw_len wanted = set(lap) ? there - lap : there;
  s->depth_e = set(c->e->depth) ? c->e->depth : wanted;
  if (s->depth_e <= 0 || (set(lap) && lap >= there)) {
    s->depth_e = there;
    return lap_too_thick(c, lap, there);
  }
  if (set(c->e->depth) && (lapped ? set(lap) : c->kind->seat == GW_SHOULDER) &&
      differ(c, c->e->depth, wanted))
    return unlike(c, c->e->depth > wanted ? "too-deep" : "too-shallow", "depth", c->e->depth,
                  wanted, c->e->depth > wanted ? "proud" : "short of the far side");
  return GW_OK;
}

static gw_status depth_corner(seat *c) {
  gw_seating *s = c->s;
  GW_TRY(depth_corner_entering(c));
  gw_len thick = c->a->size[s->second];
  s->depth_r = set(c->r->depth) ? c->r->depth : thick;
  bool must_match = c->kind->seat == GW_SHOULDER;
  if (must_match && set(c->r->depth) && differ(c, c->r->depth, thick))
    return baseline_off(c, thick);
  return GW_OK;
}

static gw_status depth_cross(seat *c) {
  gw_seating *s = c->s;
  gw_len there = c->b->size[s->normal];
  s->depth_e = set(c->e->depth) ? c->e->depth
               : set(c->r->depth) ? there - c->r->depth : c->a->size[s->normal] / 2;
  s->depth_r = set(c->r->depth) ? c->r->depth : there - s->depth_e;
  if (s->depth_e <= 0 || s->depth_r <= 0 || s->depth_r >= there ||
      s->depth_e >= c->a->size[s->normal])
    return unlike(c, "breaks-through", "depth", s->depth_e, s->depth_r,
                  "and one of the parts is cut through");
  return GW_OK;
}

/* ---- spans ------------------------------------------------------------------------ */

static gw_dir low_end(int axis) { return gw_dir_of(axis, -1); }
static gw_dir high_end(int axis) { return gw_dir_of(axis, 1); }

static gw_status outside(const seat *c, const gw_half *half, const gw_part *part, int axis) {
  GW_TRY(gw_find(c->findings, GW_ERROR, "half-outside", half->line,
                 "the %s at the %s of %s reaches beyond its %s or %s side; check its size and its "
                 "place", half->element, gw_dir_name(half->at), part->id,
                 gw_dir_name(low_end(axis)), gw_dir_name(high_end(axis))));
  return about(c);
}

static gw_status contradicts(const seat *c, const gw_half *half, const gw_part *part, int axis) {
  GW_TRY(gw_find(c->findings, GW_ERROR, "place-contradicts", half->line,
                 "the %s at the %s of %s is placed from both its %s and its %s side, and its size "
                 "does not fit between; leave one of the three out", half->element,
                 gw_dir_name(half->at), part->id, gw_dir_name(low_end(axis)),
                 gw_dir_name(high_end(axis))));
  return about(c);
}

/* Where a half of `size` (unset: as much as there is) lies along `axis`.
 * `centred`: in the middle unless stated. */
static gw_status find_span(const seat *c, const gw_half *half, const gw_part *part, int axis,
                           gw_len size, bool centred, gw_span *out) {
  gw_len there = part->size[axis];
  gw_len low = half->from[low_end(axis)], high = half->from[high_end(axis)];
  gw_len left = there - (set(low) ? low : 0) - (set(high) ? high : 0);
  if (!set(size)) size = left;
  out->size = size;
  out->located = set(low) || set(high) || centred || size == there;
  if (set(low))
    out->lo = low;
  else if (set(high))
    out->lo = there - high - size;
  else
    out->lo = (there - size) / 2;
  /* What leans is rounded once more. */
  bool agrees = size == left || (leaning(c) && size - left <= 2 && left - size <= 2);
  if (set(low) && set(high) && !agrees) return contradicts(c, half, part, axis);
  bool over_the_edge = c->kind->seat == GW_FACE && !half->enters;
  if (!over_the_edge && (size <= 0 || out->lo < 0 || out->lo + size > there))
    return outside(c, half, part, axis);
  return GW_OK;
}

/* Sizes across the joint, each half's own or taken over from the other. */
typedef struct measures {
  gw_len e, r;
} measures;

static measures narrow_sizes(const seat *c) {
  measures size = {c->e->thickness, c->r->thickness};
  if (!set(size.e)) size.e = c->kind->whole ? c->a->size[c->s->narrow] : size.r;
  if (!set(size.r)) size.r = size.e;
  return size;
}

static measures run_sizes(const seat *c) {
  measures size = {c->e->width, c->r->width};
  gw_len whole = c->a->size[c->s->run];
  bool runs = c->kind->freedom & GW_RUN && c->joint->kind != GW_MORTISE_TENON;
  if (c->joint->kind == GW_REBATE) size.r = GW_UNSET;
  if (runs) {
    if (!set(size.e)) {
      /* From one side or between two: as long as what is left of the part. */
      bool placed = set(c->e->from[low_end(c->s->run)]) || set(c->e->from[high_end(c->s->run)]);
      size.e = placed ? GW_UNSET : whole;
    }
    return size; /* an unset r runs the whole length */
  }
  if (!set(size.e)) size.e = set(size.r) ? size.r : whole;
  /* At a corner a half that is not placed spans its whole part, so that two
   * boards of unlike width are found out. */
  bool placed = set(c->r->from[low_end(c->s->run)]) != set(c->r->from[high_end(c->s->run)]);
  if (!set(size.r) && (placed || c->s->style == GW_STRAIGHT)) size.r = size.e;
  return size;
}

/* Whether a receiving half lies midway across its narrow axis unless stated: a
 * mortise in a leg or a groove in an edge does, a groove or a housing across a
 * wide face does not. */
static bool midway(const seat *c) {
  int axis = c->s->narrow;
  if (c->kind->seat == GW_FACE || axis == gw_part_length_axis(c->b)) return false;
  return c->kind->seat == GW_SHOULDER || axis == (int)gw_dir_axis(c->b->face);
}

/* Which axes have a size of their own in a straight or corner joint. */
static gw_status spans_between(seat *c) {
  gw_seating *s = c->s;
  bool face = c->kind->seat == GW_FACE;
  if (s->narrow >= 0) {
    measures size = narrow_sizes(c);
    if (face) size = (measures){c->a->size[s->narrow], c->r->thickness};
    if (!face && !set(size.e)) {
      GW_TRY(missing(c, "thickness"));
      size.e = size.r = c->a->size[s->narrow];
    }
    if (face && !set(size.r)) size.r = size.e;
    s->thickness = as_gauged(c, s->narrow, face ? c->e->thickness : size.e);
    GW_TRY(find_span(c, c->e, c->a, s->narrow, size.e, true, &s->e[s->narrow]));
    GW_TRY(find_span(c, c->r, c->b, s->narrow, size.r, midway(c), &s->r[s->narrow]));
  }
  if (s->run >= 0) {
    measures size = run_sizes(c);
    if (face && s->style == GW_STRAIGHT)
      size = (measures){c->a->size[s->run], set(c->r->width) ? c->r->width : c->a->size[s->run]};
    s->width = as_gauged(c, s->run, size.e);
    GW_TRY(find_span(c, c->e, c->a, s->run, size.e, true, &s->e[s->run]));
    GW_TRY(find_span(c, c->r, c->b, s->run, size.r, false, &s->r[s->run]));
  }
  return GW_OK;
}

/* Each part of a crossing is notched over the size of the other. */
static gw_status spans_cross(seat *c) {
  gw_seating *s = c->s;
  for (int axis = 0; axis < 3; ++axis) {
    if (axis == s->normal) continue;
    gw_len of_e = axis == gw_part_length_axis(c->a) ? c->b->size[axis] : GW_UNSET;
    gw_len of_r = axis == gw_part_length_axis(c->b) ? c->a->size[axis] : GW_UNSET;
    if (set(of_e) && set(c->e->width)) of_e = c->e->width;
    if (set(of_r) && set(c->r->width)) of_r = c->r->width;
    GW_TRY(find_span(c, c->e, c->a, axis, of_e, false, &s->e[axis]));
    GW_TRY(find_span(c, c->r, c->b, axis, of_r, false, &s->r[axis]));
  }
  return GW_OK;
}

/* ---- half against half ------------------------------------------------------------ */

static gw_status compare_narrow(const seat *c) {
  const gw_seating *s = c->s;
  if (s->narrow < 0 || c->kind->seat == GW_FACE || s->style == GW_CROSS) return GW_OK;
  gw_len of_e = s->e[s->narrow].size, of_r = s->r[s->narrow].size, room = of_r - of_e;
  if (room < c->tight - give(c))
    return unlike(c, "too-thick", "thickness", as_gauged(c, s->narrow, of_e),
                  as_gauged(c, s->narrow, of_r), "too thick to go in");
  if (room > c->loose + give(c))
    return unlike(c, "too-loose", "thickness", as_gauged(c, s->narrow, of_e),
                  as_gauged(c, s->narrow, of_r), "of play");
  return GW_OK;
}

/* A tenon's width in its mortise: up to a millimetre of room, so that the rail
 * can be shifted into line (common practice, no source). */
static const gw_len WIDTH_ROOM = GW_MM;

static gw_status compare_run(const seat *c) {
  const gw_seating *s = c->s;
  if (s->run < 0 || s->style == GW_CROSS) return GW_OK;
  if (c->kind->seat == GW_FACE && s->style != GW_CORNER) return GW_OK;
  gw_len of_e = s->e[s->run].size, of_r = s->r[s->run].size;
  bool runs = c->kind->freedom & GW_RUN && c->joint->kind != GW_MORTISE_TENON;
  if (of_e > of_r + give(c)) return unlike(c, "too-wide", "width", of_e, of_r, "too wide to go in");
  gw_len most = s->style == GW_CORNER ? give(c) : WIDTH_ROOM;
  if (!runs && of_r - of_e > most) return unlike(c, "width-unlike", "width", of_e, of_r, "apart");
  return GW_OK;
}

static gw_status compare_layout(seat *c) {
  gw_seating *s = c->s;
  s->slope = c->e->slope ? c->e->slope : c->r->slope;
  s->count = c->e->count ? c->e->count : c->r->count;
  if (c->e->slope && c->r->slope && c->e->slope != c->r->slope) {
    GW_TRY(gw_find(c->findings, GW_ERROR, "slope-unlike", c->e->line,
                   "the %s of %s slopes 1:%g, the %s %s of %s 1:%g; mark both with one template",
                   c->e->element, c->a->id, c->e->slope / 100.0, c->r->element, c->r->id,
                   c->b->id, c->r->slope / 100.0));
    GW_TRY(about(c));
  }
  if (c->e->count && c->r->count && c->e->count != c->r->count) {
    GW_TRY(gw_find(c->findings, GW_ERROR, "count-unlike", c->e->line,
                   "the %s of %s counts %d, the %s %s of %s %d; make them one number",
                   c->e->element, c->a->id, c->e->count, c->r->element, c->r->id, c->b->id,
                   c->r->count));
    GW_TRY(about(c));
  }
  return GW_OK;
}

/* ---- bounds ----------------------------------------------------------------------- */

static gw_ref low_ref(int sign) { return sign > 0 ? GW_REF_LOW : GW_REF_HIGH; }

static void bind(gw_seating *s, int axis, gw_ref e, gw_ref r, gw_len lo, gw_len hi) {
  s->bound[axis] = (gw_bound){.e = e, .r = r, .lo = lo, .hi = hi, .stated = true};
}

/* A panel or a board in a rebate must stay in by a third of the depth (common
 * practice, no source); it may go to the floor. */
static gw_len least_hold(gw_len depth) { return depth / 3; }

/* The entering part's end goes `least` to `most` deep past the surface of the
 * other part that it meets. */
static void bind_depth(seat *c, gw_len least, gw_len most) {
  int sign = gw_dir_sign(c->e->at);
  gw_ref end = low_ref(-sign), surface = low_ref(sign);
  bind(c->s, c->s->normal, end, surface, sign > 0 ? least : -most, sign > 0 ? most : -least);
}

/* A corner that is cut right through is flush with the far side of the other
 * part, or short of it by the lap. */
static void bind_through(seat *c) {
  int sign = gw_dir_sign(c->e->at);
  gw_ref far = low_ref(-sign);
  gw_len lap = set(c->r->lap) ? c->r->lap : set(c->e->lap) ? c->e->lap : 0;
  bind(c->s, c->s->normal, far, far, -sign * lap, -sign * lap);
}

/* The outer face of the entering part is flush with the end that receives it,
 * or its inner face sits on a baseline or a rebate's floor that is stated. */
static void bind_second(seat *c) {
  int axis = c->s->second, sign = gw_dir_sign(c->r->at);
  gw_len inset = set(c->r->inset) ? c->r->inset : 0;
  gw_ref outer = low_ref(-sign), inner = low_ref(sign);
  if (set(c->r->depth))
    bind(c->s, axis, inner, outer, -sign * (c->s->depth_r + inset),
         -sign * (c->s->depth_r + inset));
  else
    bind(c->s, axis, outer, outer, -sign * inset, -sign * inset);
}

static void bind_cross(seat *c) {
  gw_seating *s = c->s;
  int sign = gw_dir_sign(c->e->at);
  gw_len deep = s->depth_r + s->depth_e;
  if (set(c->e->depth) && set(c->r->depth))
    bind(s, s->normal, low_ref(-sign), low_ref(sign), sign * deep, sign * deep);
  else
    bind(s, s->normal, low_ref(-sign), low_ref(-sign), 0, 0); /* flush */
}

/* From which side of its part a span is measured, and how far from there its
 * middle lies. */
static gw_ref span_ref(const gw_half *half, const gw_part *part, const gw_span *span, int axis,
                       gw_len *low_edge) {
  bool low = set(half->from[low_end(axis)]), high = set(half->from[high_end(axis)]);
  gw_ref ref = low || span->size == part->size[axis] ? GW_REF_LOW
               : high                                ? GW_REF_HIGH
                                                     : GW_REF_MIDDLE;
  gw_len at = ref == GW_REF_LOW ? 0 : ref == GW_REF_HIGH ? part->size[axis] : part->size[axis] / 2;
  *low_edge = span->lo - at;
  return ref;
}

/* Whether the middle of the part or of the half falls between two units. */
static bool halved(const gw_part *part, gw_ref ref, gw_len size, int axis) {
  return ref == GW_REF_MIDDLE && (part->size[axis] % 2 != 0 || size % 2 != 0);
}

/* The side at which a stopped half rests against its stop: both halves are
 * measured from there, and nothing floats.  GW_NO_DIR when there is none. */
static gw_dir stop_of(const seat *c, int axis) {
  if (axis != c->s->run || !(c->kind->freedom & GW_RUN)) return GW_NO_DIR;
  if (c->kind->seat == GW_FLOAT || c->kind->seat == GW_FACE) return GW_NO_DIR;
  if (c->joint->kind == GW_MORTISE_TENON) return GW_NO_DIR;
  bool low = set(c->r->from[low_end(axis)]), high = set(c->r->from[high_end(axis)]);
  if (low == high) return GW_NO_DIR;
  gw_dir side = low ? low_end(axis) : high_end(axis);
  bool whole = c->s->e[axis].size == c->a->size[axis];
  return whole || set(c->e->from[side]) ? side : GW_NO_DIR;
}

/* The entering span lies inside the receiving one. */
static void bind_span(seat *c, int axis) {
  const gw_span *e = &c->s->e[axis], *r = &c->s->r[axis];
  if (!e->located || !r->located) return;
  gw_len low_e, low_r;
  gw_ref ref_e = span_ref(c->e, c->a, e, axis, &low_e);
  gw_ref ref_r = span_ref(c->r, c->b, r, axis, &low_r);
  gw_len lo = low_r - low_e, hi = lo + r->size - e->size;
  if (hi < lo) lo = hi = (lo + hi) / 2; /* too large, and said so: centre it */
  gw_dir stop = stop_of(c, axis);
  if (stop == low_end(axis)) hi = lo;
  if (stop == high_end(axis)) lo = hi;
  if (halved(c->a, ref_e, e->size, axis) || halved(c->b, ref_r, r->size, axis)) {
    --lo; /* half a unit was rounded away: it must not open a loop */
    ++hi;
  }
  bind(c->s, axis, ref_e, ref_r, lo, hi);
}

static void bind_all(seat *c) {
  gw_seating *s = c->s;
  bool stated_depth = set(c->e->depth) || c->joint->kind == GW_REBATE;
  if (s->style == GW_CROSS) bind_cross(c);
  else if (c->kind->seat == GW_FLOAT && !stated_depth)
    bind_depth(c, least_hold(s->depth_r), s->depth_r);
  else if (c->joint->kind == GW_REBATE) bind_depth(c, least_hold(s->depth_e), s->depth_e);
  else if (s->style == GW_CORNER && !stated_depth) bind_through(c);
  else if (c->kind->seat == GW_FLOOR) bind_depth(c, s->depth_r, s->depth_r);
  else bind_depth(c, s->depth_e, s->depth_e);
  if (s->style == GW_CORNER) bind_second(c);
  for (int axis = 0; axis < 3; ++axis)
    if (axis != s->normal && axis != s->second) bind_span(c, axis);
}

/* ---- freedom ---------------------------------------------------------------------- */

int64_t gw_freedom_along(const gw_freedom *f, gw_vec d, int axis) {
  const int32_t *n = f->normal.c;
  if (f->kind != GW_FREE_SLANT || axis == GW_Z) return d.c[axis];
  return (int64_t)n[GW_Z] * d.c[axis] - (int64_t)d.c[GW_Z] * n[axis];
}

bool gw_freedom_allows(const gw_freedom *f, gw_vec d) {
  const int32_t *n = f->normal.c;
  int64_t dot = 0;
  switch (f->kind) {
    case GW_FREE_BOX:
      for (int axis = 0; axis < 3; ++axis)
        if (d.c[axis] != 0 && !((f->ways >> gw_dir_of(axis, d.c[axis])) & 1)) return false;
      return true;
    case GW_FREE_HALF:
      for (int axis = 0; axis < 3; ++axis) dot += (int64_t)n[axis] * d.c[axis];
      return dot >= 0;
    case GW_FREE_SLANT:
      for (int axis = 0; axis < 3; ++axis) {
        int64_t by = gw_freedom_along(f, d, axis);
        if (by != 0 && !((f->ways >> gw_dir_of(axis, by > 0 ? 1 : -1)) & 1)) return false;
      }
      return true;
    case GW_FREE_RAY:
      for (int axis = 0; axis < 3; ++axis) dot += (int64_t)n[axis] * d.c[axis];
      for (int axis = 0; axis < 3; ++axis) {
        int next = (axis + 1) % 3;
        if ((int64_t)n[axis] * d.c[next] != (int64_t)n[next] * d.c[axis]) return false;
      }
      return dot > 0;
  }
  return false;
}

/* Open to each side to which the span on the part reaches. */
static unsigned reaches(const gw_span *span, const gw_part *part, int axis) {
  unsigned ways = 0;
  if (span->lo <= 0) ways |= 1u << low_end(axis);
  if (span->lo + span->size >= part->size[axis]) ways |= 1u << high_end(axis);
  return ways;
}

static unsigned run_ways(const seat *c) {
  const gw_seating *s = c->s;
  unsigned ways = 0;
  if (c->r->open_stated) return c->r->open;
  for (int axis = 0; axis < 3; ++axis) {
    if (axis == s->normal || axis == s->second) continue;
    if (c->kind->seat == GW_FACE) ways |= 1u << low_end(axis) | 1u << high_end(axis);
    else if (s->r[axis].located) ways |= reaches(&s->r[axis], c->b, axis);
  }
  return ways;
}

/* A crossing is held by the walls of both notches: along an axis the notch
 * that lies across it decides. */
static unsigned cross_ways(const seat *c) {
  unsigned ways = 0;
  const gw_seating *s = c->s;
  if (c->r->open_stated) return c->r->open;
  for (int axis = 0; axis < 3; ++axis) {
    if (axis == s->normal) continue;
    bool along_a = axis == gw_part_length_axis(c->a), along_b = axis == gw_part_length_axis(c->b);
    if (along_b && !along_a && s->r[axis].located) ways |= reaches(&s->r[axis], c->b, axis);
    if (along_a && !along_b && s->e[axis].located) {
      unsigned other = reaches(&s->e[axis], c->a, axis);
      if ((other >> low_end(axis)) & 1) ways |= 1u << high_end(axis);
      if ((other >> high_end(axis)) & 1) ways |= 1u << low_end(axis);
    }
  }
  return ways;
}

/* What slides up along the surfaces of a joint is carried to a side by their lean.
 * A tenon on the top or foot of a part goes in along that part unless it is cut
 * plumb; else a surface leans as its part does, and in a crossing the walls that
 * stand across one part are those of the other. */
static int32_t carried(const seat *c, int axis) {
  if (c->s->style == GW_CROSS)
    return (axis == gw_part_length_axis(c->a) ? c->b : c->a)->lean[axis];
  if (c->s->normal == GW_Z) return c->e->plumb ? 0 : c->a->lean[axis];
  return (axis == c->s->second ? c->a : c->b)->lean[axis];
}

/* Up and down are along the joint. */
static void slant(const seat *c, gw_freedom *f) {
  const int32_t by[2] = {carried(c, GW_X), carried(c, GW_Y)};
  if (!gw_leans(by) || !(f->ways & (1u << GW_UP | 1u << GW_DOWN))) return;
  f->kind = GW_FREE_SLANT;
  f->normal = (gw_vec){{by[GW_X], by[GW_Y], GW_LEAN_ONE}};
}

/* The normal of a face that leans is not level. */
static void tilt(const seat *c, gw_freedom *f) {
  int32_t *n = f->normal.c;
  int32_t rise = -(n[GW_X] * carried(c, GW_X) + n[GW_Y] * carried(c, GW_Y));
  if (rise == 0) return;
  f->normal = (gw_vec){{n[GW_X] * GW_LEAN_ONE, n[GW_Y] * GW_LEAN_ONE, rise}};
}

static void find_freedom(seat *c) {
  gw_freedom *f = &c->s->freedom;
  const unsigned has = c->kind->freedom;
  gw_dir out = c->r->at, away = gw_dir_back(c->e->at);
  memset(f, 0, sizeof *f);
  f->kind = GW_FREE_BOX;
  if (has & GW_OUT) f->ways |= 1u << out;
  if (has & GW_AWAY && c->s->style == GW_CORNER) f->ways |= 1u << away;
  if (has & GW_RUN) f->ways |= c->s->style == GW_CROSS ? cross_ways(c) : run_ways(c);
  if (!(has & GW_RUN) && c->r->open_stated) f->ways |= c->r->open;
  slant(c, f);
  if (!(has & (GW_HALF | GW_MITRE_WAY | GW_KEY))) return;
  f->kind = has & GW_KEY ? GW_FREE_RAY : GW_FREE_HALF;
  f->normal.c[gw_dir_axis(out)] += gw_dir_sign(out);
  if (!(has & GW_HALF)) f->normal.c[gw_dir_axis(away)] += gw_dir_sign(away);
  if (f->kind == GW_FREE_HALF) tilt(c, f);
}

/* ---- one joint, all joints -------------------------------------------------------- */

static void choose_fit(seat *c) {
  c->tight = (gw_len)c->kind->tight_um * GW_MM / 1000;
  c->loose = (gw_len)c->kind->loose_um * GW_MM / 1000;
  for (int i = 0; i < c->m->n_fits; ++i) {
    if (c->m->fits[i].kind != c->joint->kind) continue;
    c->tight = c->m->fits[i].tight;
    c->loose = c->m->fits[i].loose;
  }
}

static gw_status seat_it(seat *c) {
  bool good;
  c->s->thickness = c->s->width = GW_UNSET;
  choose_fit(c);
  GW_TRY(choose_axes(c, &good));
  if (!good) return GW_OK;
  make_level(c);
  if (c->s->style == GW_CROSS) {
    GW_TRY(depth_cross(c));
    GW_TRY(spans_cross(c));
  } else {
    GW_TRY(c->s->style == GW_CORNER ? depth_corner(c) : depth_straight(c));
    GW_TRY(spans_between(c));
  }
  GW_TRY(compare_narrow(c));
  GW_TRY(compare_run(c));
  GW_TRY(compare_layout(c));
  bind_all(c);
  find_freedom(c);
  return gw_fit_leaning(c->m, c->index, c->findings, c->s);
}

static seat look_at(const gw_model *m, int index, gw_findings *findings, gw_seating *out) {
  const gw_joint *joint = &m->joints[index];
  seat c = {.m = m, .findings = findings, .joint = joint, .index = index,
            .kind = gw_kind_of(joint->kind), .e = &m->halves[joint->entering],
            .r = &m->halves[joint->receiving], .s = out};
  c.a = &m->parts[c.e->part];
  c.b = &m->parts[c.r->part];
  return c;
}

gw_status gw_fit_seat(const gw_model *m, int index, gw_findings *findings, gw_seating *out) {
  memset(out, 0, sizeof *out);
  seat c = look_at(m, index, findings, out);
  return seat_it(&c);
}

/* A half that was not placed itself lies where its mate is. */
static void locate(gw_span *span, const gw_box *own, const gw_span *mate, const gw_box *other,
                   int axis) {
  gw_len middle = other->lo[axis] + mate->lo + mate->size / 2;
  span->lo = middle - span->size / 2 - own->lo[axis];
  span->located = true;
}

/* Less than this beyond the end of a part is the play of joints. */
static const gw_len BEYOND = GW_MM / 5;

gw_status gw_fit_locate(const gw_model *m, int index, const gw_box *boxes, gw_findings *findings,
                        gw_seating *s) {
  seat c = look_at(m, index, findings, s);
  const gw_box *a = &boxes[c.e->part], *b = &boxes[c.r->part];
  for (int axis = 0; axis < 3; ++axis) {
    bool across = s->style == GW_CROSS ? axis != s->normal : axis == s->narrow || axis == s->run;
    bool of_e = s->e[axis].located;
    if (!across || of_e == s->r[axis].located) continue;
    gw_span *span = of_e ? &s->r[axis] : &s->e[axis];
    const gw_part *part = of_e ? c.b : c.a;
    locate(span, of_e ? b : a, of_e ? &s->e[axis] : &s->r[axis], of_e ? a : b, axis);
    if (c.kind->seat == GW_FACE) continue;
    if (span->lo < -BEYOND || span->lo + span->size > part->size[axis] + BEYOND)
      return outside(&c, of_e ? c.r : c.e, part, axis);
  }
  find_freedom(&c);
  return GW_OK;
}
