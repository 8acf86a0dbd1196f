/* Where joints leave too little wood, take it from each other, or hold badly.
 *
 * All limits here are common practice, no source. */
#include <stdio.h>
#include <stdlib.h>

#include "fit/review.h"

static const gw_len LEAST_WALL = 6 * GW_MM; /* beside a mortise; or a third of the part */
static const gw_len LEAST_LAP = 3 * GW_MM;
static const gw_len TOUCH = GW_MM / 5;      /* less than this is play */
static const gw_len MEANT = 10 * GW_MM;     /* shoulders that differ by more differ on purpose */

enum { MAX_SAID = 20 };

typedef struct weak {
  const gw_model *m;
  const gw_fit *fit;
  gw_findings *findings;
  /* What was said of walls: copies of a part are not spoken of again. */
  struct said {
    const gw_part *part;
    gw_len wall;
  } said[MAX_SAID];
  int n_said;
} weak;

static const char *text(const weak *w, gw_len length, char buffer[GW_LEN_TEXT]) {
  return gw_len_text(length, w->m->units, buffer, GW_LEN_TEXT);
}

/* Whether the same was said of a part of the same sizes; if not, notes it. */
static bool said_already(weak *w, int part, gw_len wall) {
  const gw_part *p = &w->m->parts[part];
  for (int i = 0; i < w->n_said; ++i) {
    const gw_part *q = w->said[i].part;
    if (w->said[i].wall == wall && q->length == p->length && q->width == p->width &&
        q->thickness == p->thickness)
      return true;
  }
  if (w->n_said == MAX_SAID) return true;
  w->said[w->n_said++] = (struct said){p, wall};
  return false;
}

/* ---- thin walls and laps ------------------------------------------------------------ */

static gw_status wall_along(weak *w, int joint, int axis) {
  const gw_half *r = &w->m->halves[w->m->joints[joint].receiving];
  const gw_span *span = &w->fit->seatings[joint].r[axis];
  gw_len there = w->m->parts[r->part].size[axis], third = there / 3;
  gw_len low = span->lo, high = there - span->lo - span->size;
  bool at_low = low > TOUCH && (high <= TOUCH || low <= high);
  gw_len wall = at_low ? low : high, least = third < LEAST_WALL ? third : LEAST_WALL;
  if (wall <= TOUCH || wall >= least || said_already(w, r->part, wall)) return GW_OK;
  char at[3][GW_LEN_TEXT];
  GW_TRY(gw_find(w->findings, GW_WARNING, "thin-wall", r->line,
                 "the mortise %s of %s leaves %s of wood at its %s side, where %s should stay; move "
                 "it by %s, or make it narrower", r->id, w->m->parts[r->part].id,
                 text(w, wall, at[0]), gw_dir_name(gw_dir_of(axis, at_low ? -1 : 1)),
                 text(w, least, at[1]), text(w, least - wall, at[2])));
  GW_TRY(gw_find_part(w->findings, r->part));
  return gw_find_joint(w->findings, joint);
}

static gw_status thin_lap(weak *w, int joint) {
  const gw_seating *s = &w->fit->seatings[joint];
  const gw_half *r = &w->m->halves[w->m->joints[joint].receiving];
  gw_len lap = w->m->parts[r->part].size[s->normal] - s->depth_e;
  if (lap >= LEAST_LAP || said_already(w, r->part, lap)) return GW_OK;
  char at[3][GW_LEN_TEXT];
  GW_TRY(gw_find(w->findings, GW_WARNING, "thin-lap", r->line,
                 "the lap at the %s of %s is %s, and %s should stay: it breaks out under the "
                 "chisel; make the lap %s thicker", gw_dir_name(r->at), w->m->parts[r->part].id,
                 text(w, lap, at[0]), text(w, LEAST_LAP, at[1]),
                 text(w, LEAST_LAP - lap, at[2])));
  GW_TRY(gw_find_part(w->findings, r->part));
  return gw_find_joint(w->findings, joint);
}

/* A tail is narrowest at the baseline, a pin at the end; the slopes run out by
 * depth / slope on either side between the two. */
static gw_status thin_pins(weak *w, int joint) {
  const gw_seating *s = &w->fit->seatings[joint];
  const gw_half *e = &w->m->halves[w->m->joints[joint].entering];
  if (s->count <= 0 || s->run < 0) return GW_OK;
  gw_len wide = s->e[s->run].size, out = s->slope > 0 ? s->depth_e * 100 / s->slope : 0;
  gw_len most = wide / (2 * (out + GW_PIN_LEAST));
  if (s->count <= most || said_already(w, e->part, s->count)) return GW_OK;
  char at[2][GW_LEN_TEXT];
  GW_TRY(gw_find(w->findings, GW_WARNING, "pins-too-thin", e->line,
                 "%d tails across the %s of %s leave no pins, or no tails at the baseline, as wide as "
                 "a saw kerf of %s; make them %d at most, or less steep", s->count,
                 text(w, wide, at[0]), w->m->parts[e->part].id, text(w, GW_PIN_LEAST, at[1]),
                 most > 0 ? (int)most : 1));
  GW_TRY(gw_find_part(w->findings, e->part));
  return gw_find_joint(w->findings, joint);
}

static gw_status thin_wood(weak *w) {
  for (int i = 0; i < w->m->n_joints; ++i) {
    const gw_seating *s = &w->fit->seatings[i];
    const gw_kind kind = w->m->joints[i].kind;
    if (kind == GW_LAPPED_DOVETAIL || kind == GW_THROUGH_DOVETAIL) GW_TRY(thin_pins(w, i));
    if (kind == GW_LAPPED_DOVETAIL) GW_TRY(thin_lap(w, i));
    if (kind != GW_MORTISE_TENON) continue;
    if (s->narrow >= 0) GW_TRY(wall_along(w, i, s->narrow));
    if (s->run >= 0) GW_TRY(wall_along(w, i, s->run));
  }
  return GW_OK;
}

/* ---- joints that cut each other away --------------------------------------------------- */

/* What a half takes out of its part. */
typedef struct cut {
  int half;
  gw_kind kind;
  gw_box box;   /* from the lower corner of the part */
  gw_len depth; /* along the axis of half->at */
} cut;

static void from_side(gw_box *box, const gw_part *part, int axis, bool high, gw_len depth) {
  box->lo[axis] = high ? part->size[axis] - depth : 0;
  box->hi[axis] = high ? part->size[axis] : depth;
}

/* False when the half takes nothing that could matter to another. */
static bool cut_of(const weak *w, int index, cut *out) {
  const gw_half *half = &w->m->halves[index];
  if (half->joint < 0) return false;
  const gw_joint *joint = &w->m->joints[half->joint];
  const gw_seating *s = &w->fit->seatings[half->joint];
  const gw_part *part = &w->m->parts[half->part];
  gw_kind kind = joint->kind;
  if (half->enters && s->style != GW_CROSS) return false;
  if (kind == GW_REBATE || kind == GW_MITRE || kind == GW_KEYED_MITRE) return false;
  if (kind == GW_BUTT || kind == GW_RUNNER) return false;
  *out = (cut){.half = index, .kind = kind, .depth = half->enters ? s->depth_e : s->depth_r};
  for (int axis = 0; axis < 3; ++axis) {
    const gw_span *span = half->enters ? &s->e[axis] : &s->r[axis];
    out->box.lo[axis] = span->lo;
    out->box.hi[axis] = span->lo + span->size;
  }
  from_side(&out->box, part, gw_dir_axis(half->at), gw_dir_sign(half->at) > 0, out->depth);
  if (s->style == GW_CORNER) {
    const gw_half *e = &w->m->halves[joint->entering];
    from_side(&out->box, part, s->normal, gw_dir_sign(e->at) < 0, s->depth_e);
  }
  return true;
}

static bool is_groove(const cut *c) {
  return c->kind == GW_PANEL_GROOVE || c->kind == GW_TONGUE_GROOVE;
}

static bool is_corner(const weak *w, const cut *c) {
  return w->fit->seatings[w->m->halves[c->half].joint].style == GW_CORNER;
}

static bool meet(const gw_box *a, const gw_box *b, gw_box *both) {
  for (int axis = 0; axis < 3; ++axis) {
    both->lo[axis] = a->lo[axis] > b->lo[axis] ? a->lo[axis] : b->lo[axis];
    both->hi[axis] = a->hi[axis] < b->hi[axis] ? a->hi[axis] : b->hi[axis];
    if (both->hi[axis] - both->lo[axis] <= TOUCH) return false;
  }
  return true;
}

/* A cut without the deepest quarter of it. */
static gw_box without_end(const weak *w, const cut *c) {
  gw_dir at = w->m->halves[c->half].at;
  gw_box box = c->box;
  if (gw_dir_sign(at) > 0) box.lo[gw_dir_axis(at)] += c->depth / 4;
  else box.hi[gw_dir_axis(at)] -= c->depth / 4;
  return box;
}

/* Grooves run through the mouths of mortises, on into each other and out
 * through corners, and mortises may meet at their ends inside a leg: that is
 * how frames and boxes are made.  Two cuts spoil each other when they share
 * more than the deepest quarter of one of them, and grooves from opposite faces
 * as soon as they meet. */
static bool spoils(const weak *w, const cut *a, const cut *b) {
  gw_dir at_a = w->m->halves[a->half].at, at_b = w->m->halves[b->half].at;
  gw_box both, one = without_end(w, a), two = without_end(w, b);
  if ((is_groove(a) || is_groove(b)) && at_a == at_b) return false;
  if ((is_groove(a) && is_corner(w, b)) || (is_groove(b) && is_corner(w, a))) return false;
  if (is_groove(a) && is_groove(b) && at_a == gw_dir_back(at_b)) return true;
  return meet(&one, &two, &both);
}

/* How much of a's depth lies in both. */
static gw_len shared_depth(const weak *w, const cut *a, const gw_box *both) {
  int axis = gw_dir_axis(w->m->halves[a->half].at);
  return both->hi[axis] - both->lo[axis];
}

static gw_status say_cut_away(weak *w, const cut *a, const cut *b, const gw_box *both) {
  const gw_half *one = &w->m->halves[a->half], *two = &w->m->halves[b->half];
  char at[4][GW_LEN_TEXT];
  GW_TRY(gw_find(w->findings, GW_ERROR, "joint-cut-away",
                 two->line > one->line ? two->line : one->line,
                 "in %s the %s at the %s and the %s at the %s take each other's wood: %s of %s depth "
                 "of the one and %s of %s of the other; move one of them, or make both shallower",
                 w->m->parts[one->part].id, one->element, gw_dir_name(one->at), two->element,
                 gw_dir_name(two->at), text(w, shared_depth(w, a, both), at[0]),
                 text(w, a->depth, at[1]), text(w, shared_depth(w, b, both), at[2]),
                 text(w, b->depth, at[3])));
  GW_TRY(gw_find_part(w->findings, one->part));
  GW_TRY(gw_find_joint(w->findings, one->joint));
  return gw_find_joint(w->findings, two->joint);
}

static int by_low_end(const void *left, const void *right) {
  const cut *a = left, *b = right;
  if (a->box.lo[0] != b->box.lo[0]) return a->box.lo[0] < b->box.lo[0] ? -1 : 1;
  return a->half < b->half ? -1 : a->half > b->half;
}

/* Copies have their faults from the part they are copied from. */
static bool is_copy(const weak *w, const cut *c) {
  const gw_half *half = &w->m->halves[c->half];
  return half->line == w->m->parts[half->part].line;
}

static gw_status cuts_of_part(weak *w, cut *cuts, int count) {
  qsort(cuts, (size_t)count, sizeof *cuts, by_low_end);
  for (int i = 0; i < count; ++i)
    for (int k = i + 1; k < count && cuts[k].box.lo[0] < cuts[i].box.hi[0] - TOUCH; ++k) {
      gw_box both;
      if (!meet(&cuts[i].box, &cuts[k].box, &both) || !spoils(w, &cuts[i], &cuts[k])) continue;
      if (is_copy(w, &cuts[i]) && is_copy(w, &cuts[k]) &&
          said_already(w, w->m->halves[cuts[i].half].part, -1))
        continue;
      if (!is_copy(w, &cuts[i])) said_already(w, w->m->halves[cuts[i].half].part, -1);
      return say_cut_away(w, &cuts[i], &cuts[k], &both);
    }
  return GW_OK;
}

static gw_status cut_away(weak *w) {
  cut *cuts = NULL;
  size_t room = 0;
  gw_status status = GW_OK;
  for (int i = 0; i < w->m->n_parts && status == GW_OK; ++i) {
    const gw_part *part = &w->m->parts[i];
    int count = 0;
    status = gw_grow(&cuts, &room, (size_t)part->n_halves, sizeof *cuts);
    for (int k = 0; k < part->n_halves && status == GW_OK; ++k)
      if (cut_of(w, part->first_half + k, &cuts[count])) ++count;
    if (status == GW_OK && count > 1) status = cuts_of_part(w, cuts, count);
  }
  free(cuts);
  return status;
}

/* ---- shoulders ------------------------------------------------------------------------------ */

/* A part with a shoulder at either end. */
typedef struct rail {
  int part, axis, face;
  gw_len end[2][3]; /* the sizes of the parts that it goes into */
  gw_len between;   /* shoulder to shoulder */
} rail;

static bool rail_of(const weak *w, int index, rail *out) {
  const gw_part *part = &w->m->parts[index];
  bool there[2] = {false, false};
  *out = (rail){.part = index, .axis = gw_part_length_axis(part), .face = gw_dir_axis(part->face),
                .between = part->length};
  for (int i = part->first_half; i < part->first_half + part->n_halves; ++i) {
    const gw_half *half = &w->m->halves[i];
    if (!half->enters || half->joint < 0 || (int)gw_dir_axis(half->at) != out->axis) continue;
    const gw_seating *s = &w->fit->seatings[half->joint];
    const gw_joint *joint = &w->m->joints[half->joint];
    if (s->style != GW_STRAIGHT || gw_kind_of(joint->kind)->seat != GW_SHOULDER) continue;
    int side = gw_dir_sign(half->at) > 0;
    if (there[side]) continue;
    there[side] = true;
    out->between -= s->depth_e;
    const gw_part *into = &w->m->parts[gw_joint_receives(w->m, joint)];
    for (int axis = 0; axis < 3; ++axis) out->end[side][axis] = into->size[axis];
  }
  return there[0] && there[1];
}

/* By everything but the length between shoulders. */
static int by_place(const rail *a, const rail *b) {
  if (a->axis != b->axis) return a->axis < b->axis ? -1 : 1;
  if (a->face != b->face) return a->face < b->face ? -1 : 1;
  for (int side = 0; side < 2; ++side)
    for (int axis = 0; axis < 3; ++axis)
      if (a->end[side][axis] != b->end[side][axis])
        return a->end[side][axis] < b->end[side][axis] ? -1 : 1;
  return 0;
}

static int by_shoulders(const void *left, const void *right) {
  const rail *a = left, *b = right;
  int place = by_place(a, b);
  if (place != 0) return place;
  if (a->between != b->between) return a->between < b->between ? -1 : 1;
  return a->part < b->part ? -1 : a->part > b->part;
}

static gw_status say_unlike(weak *w, const rail *a, const rail *b) {
  char at[3][GW_LEN_TEXT];
  const gw_part *p = &w->m->parts[a->part], *q = &w->m->parts[b->part];
  GW_TRY(gw_find(w->findings, GW_WARNING, "shoulders-unlike",
                 p->line > q->line ? p->line : q->line,
                 "%s has %s between its shoulders and %s, which lies like it, %s: %s apart; if they "
                 "stand opposite each other, make them one length and compare them stick to stick",
                 p->id, text(w, a->between, at[0]), q->id, text(w, b->between, at[1]),
                 text(w, b->between - a->between, at[2])));
  GW_TRY(gw_find_part(w->findings, a->part));
  return gw_find_part(w->findings, b->part);
}

static gw_status shoulders(weak *w) {
  rail *rails = calloc((size_t)w->m->n_parts + 1, sizeof *rails);
  if (rails == NULL) return GW_NO_MEMORY;
  size_t count = 0;
  int said = 0;
  gw_status status = GW_OK;
  for (int i = 0; i < w->m->n_parts; ++i)
    if (rail_of(w, i, &rails[count])) ++count;
  qsort(rails, count, sizeof *rails, by_shoulders);
  for (size_t i = 1; i < count && said < MAX_SAID && status == GW_OK; ++i) {
    gw_len apart = rails[i].between - rails[i - 1].between;
    if (by_place(&rails[i - 1], &rails[i]) != 0 || apart <= TOUCH || apart >= MEANT) continue;
    status = say_unlike(w, &rails[i - 1], &rails[i]);
    ++said;
  }
  free(rails);
  return status;
}

/* ---- end grain --------------------------------------------------------------------------- */

static bool on_end_grain(const weak *w, int half) {
  const gw_half *h = &w->m->halves[half];
  return (int)gw_dir_axis(h->at) == gw_part_length_axis(&w->m->parts[h->part]);
}

/* Whether a joint is held by nothing but the glue on faces that end grain is
 * part of: a butt with either half on it, a mitre across the ends of both parts. */
static bool glued_end(const weak *w, const gw_joint *joint) {
  bool e = on_end_grain(w, joint->entering), r = on_end_grain(w, joint->receiving);
  if (!joint->glued) return false;
  return (joint->kind == GW_BUTT && (e || r)) || (joint->kind == GW_MITRE && e && r);
}

/* Whether the two parts have another glued joint, which holds better. */
static bool held_besides(const weak *w, const gw_joint *joint) {
  const gw_part *part = &w->m->parts[gw_joint_enters(w->m, joint)];
  int other = gw_joint_receives(w->m, joint);
  for (int i = part->first_half; i < part->first_half + part->n_halves; ++i) {
    if (w->m->halves[i].joint < 0) continue;
    const gw_joint *j = &w->m->joints[w->m->halves[i].joint];
    bool same = gw_joint_enters(w->m, j) == other || gw_joint_receives(w->m, j) == other;
    if (same && j->glued && !glued_end(w, j)) return true;
  }
  return false;
}

/* Whether the same is to be said of another joint as of this one. */
static bool is_like(const weak *w, const gw_joint *joint, const gw_joint *other) {
  const gw_part *p = &w->m->parts[gw_joint_enters(w->m, joint)];
  const gw_part *q = &w->m->parts[gw_joint_enters(w->m, other)];
  return other->kind == joint->kind && q->length == p->length && q->width == p->width &&
         q->thickness == p->thickness && glued_end(w, other) && !held_besides(w, other);
}

/* Wood Handbook FPL-GTR-190 ch. 10: an end-grain butt glued in the best way has
 * about a quarter of the wood's own strength along the grain. */
static gw_status say_end_grain(weak *w, int joint) {
  const gw_joint *j = &w->m->joints[joint];
  const gw_half *e = &w->m->halves[j->entering], *r = &w->m->halves[j->receiving];
  bool mitre = j->kind == GW_MITRE;
  char more[64] = "";
  int like = 0;
  for (int i = joint + 1; i < w->m->n_joints; ++i) like += is_like(w, j, &w->m->joints[i]);
  if (like > 0) snprintf(more, sizeof more, ", nor those of %d joint%s like it", like, like == 1 ? "" : "s");
  GW_TRY(gw_find(w->findings, mitre ? GW_NOTE : GW_WARNING, "end-grain", e->line,
                 "the %s of %s and its mate on %s are glued on end grain, which %s, and nothing else "
                 "holds them%s; %s", e->element, w->m->parts[e->part].id, w->m->parts[r->part].id,
                 mitre ? "hardly holds" : "has a quarter of the wood's strength at best", more,
                 mitre ? "key the mitre, or glue blocks into its corner"
                       : "use dowels, a tenon or a housing, or screw it as well"));
  GW_TRY(gw_find_part(w->findings, e->part));
  GW_TRY(gw_find_part(w->findings, r->part));
  GW_TRY(gw_find_joint(w->findings, joint));
  for (int i = joint + 1; i < w->m->n_joints; ++i)
    if (is_like(w, j, &w->m->joints[i])) GW_TRY(gw_find_joint(w->findings, i));
  return GW_OK;
}

/* Neither the other end nor copies are spoken of again: their joints are named. */
static gw_status end_grain(weak *w) {
  for (int i = 0; i < w->m->n_joints; ++i) {
    const gw_joint *joint = &w->m->joints[i];
    if (!glued_end(w, joint) || held_besides(w, joint)) continue;
    if (!said_already(w, gw_joint_enters(w->m, joint), joint->kind))
      GW_TRY(say_end_grain(w, i));
  }
  return GW_OK;
}

gw_status gw_fit_weak(const gw_model *m, const gw_fit *fit, gw_findings *findings) {
  weak w = {.m = m, .fit = fit, .findings = findings};
  GW_TRY(thin_wood(&w));
  w.n_said = 0;
  GW_TRY(cut_away(&w));
  w.n_said = 0;
  GW_TRY(end_grain(&w));
  return shoulders(&w);
}
