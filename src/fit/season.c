/* What the seasons do: solid wood moves across its grain, and its grooves, or
 * the glue, must let it.
 *
 * The piece is made in the shop's own air and then stands, long enough for the
 * wood to follow, in the driest and the dampest air of the year (moisture.h has
 * the figures and their sources).  Frames are taken to stand still: along the
 * grain wood moves hardly at all, and a stile's width lies outside the grooves. */
#include <stdio.h>
#include <string.h>

#include "fit/moisture.h"
#include "fit/review.h"

/* Both common practice, no source. */
static const gw_len HARMLESS = 120 * GW_MM; /* glued across the grain */
static const gw_len LEAST_HOLD = GW_MM;     /* of a panel in its groove */

enum { MAX_NAME = 96, MAX_UNKNOWN = 20 };

typedef struct season {
  const gw_model *m;
  const gw_fit *fit;
  gw_findings *findings;
  const char *unknown[MAX_UNKNOWN]; /* materials that were spoken of */
  int n_unknown;
  bool no_air;          /* that the air is outside the table was said */
} season;

/* How much a width changes from the shop's air. */
typedef struct movement {
  bool known;
  gw_len grows, shrinks; /* neither below nought */
} movement;

static const char *text(const season *s, gw_len length, char buffer[GW_LEN_TEXT]) {
  return gw_len_text(length, s->m->units, buffer, GW_LEN_TEXT);
}

/* ---- woods ------------------------------------------------------------------------- */

/* Boards that are made not to move; common practice, no source. */
static bool keeps_still(const char *material) {
  static const char *const still[] = {"plywood", "ply", "mdf", "hardboard", "chipboard",
                                      "particleboard", "fibreboard", "fiberboard", "blockboard",
                                      "glass", "metal", "brass", "steel", "slate", "cork"};
  char low[MAX_NAME];
  size_t length = 0;
  for (; material[length] != '\0' && length + 1 < sizeof low; ++length)
    low[length] = (char)(material[length] >= 'A' && material[length] <= 'Z'
                             ? material[length] - 'A' + 'a' : material[length]);
  low[length] = '\0';
  char *rest;
  for (char *word = strtok_r(low, " ,-", &rest); word != NULL; word = strtok_r(NULL, " ,-", &rest))
    for (size_t i = 0; i < sizeof still / sizeof *still; ++i)
      if (strcmp(word, still[i]) == 0) return true;
  return false;
}

/* "oak, white" is white oak. */
static const char *plain_name(const char *material, char *buffer) {
  const char *comma = strchr(material, ',');
  if (comma == NULL || strlen(material) + 1 >= MAX_NAME) return material;
  const char *after = comma + 1 + strspn(comma + 1, " ");
  snprintf(buffer, MAX_NAME, "%s %.*s", after, (int)(comma - material), material);
  return buffer;
}

/* Once for each material. */
static gw_status say_unknown(season *s, int part, const char *name) {
  const char *material = s->m->parts[part].material;
  for (int i = 0; i < s->n_unknown; ++i)
    if (strcmp(s->unknown[i], material == NULL ? "" : material) == 0) return GW_OK;
  if (s->n_unknown == MAX_UNKNOWN) return GW_OK;
  s->unknown[s->n_unknown++] = material == NULL ? "" : material;
  if (material == NULL)
    return gw_find(s->findings, GW_NOTE, "unknown-wood", s->m->parts[part].line,
                   "%s has no material, so it is not known how much it moves; give one, such as "
                   "white oak, hardwood or softwood", s->m->parts[part].id);
  const char *near = gw_wood_nearest(name);
  return gw_find(s->findings, GW_NOTE, "unknown-wood", s->m->parts[part].line,
                 "it is not known how much %s moves%s%s%s", material,
                 near == NULL ? "; the nearest that is known may be hardwood or softwood"
                              : "; did you mean ", near == NULL ? "" : near,
                 near == NULL ? "" : "?");
}

static gw_status say_no_air(season *s) {
  if (s->no_air) return GW_OK;
  s->no_air = true;
  int line = s->m->shop.line > 0 ? s->m->shop.line : s->m->line;
  return gw_find(s->findings, GW_NOTE, "season-not-judged", line,
                 "how the wood moves is not judged: temperature or humidity outside the published "
                 "table: no figure; it is known from %d to %d %% humidity",
                 GW_MOISTURE_DRIEST_PC, GW_MOISTURE_DAMPEST_PC);
}

/* The change of `width`, which lies along `axis` of the part. */
static gw_status find_movement(season *s, int part, int axis, gw_len width, movement *out) {
  const gw_part *p = &s->m->parts[part];
  const gw_shop *shop = &s->m->shop;
  char buffer[MAX_NAME];
  *out = (movement){0};
  if (p->material == NULL) return say_unknown(s, part, "");
  if (keeps_still(p->material)) return GW_OK;
  const char *name = plain_name(p->material, buffer);
  if (gw_wood_find(name) == NULL) return say_unknown(s, part, name);
  bool quarter = p->cut == GW_CUT_QUARTER, across_faces = axis == (int)gw_dir_axis(p->face);
  gw_grain grain = quarter != across_faces ? GW_RADIAL : GW_TANGENTIAL;
  gw_len dry, damp;
  gw_moisture_verdict low = gw_moisture_change(width, name, grain, shop->humidity_pc,
                                               shop->driest_pc, shop->temperature_dc, &dry);
  gw_moisture_verdict high = gw_moisture_change(width, name, grain, shop->humidity_pc,
                                                shop->dampest_pc, shop->temperature_dc, &damp);
  if (low == GW_MOISTURE_NO_AIR || high == GW_MOISTURE_NO_AIR) return say_no_air(s);
  out->known = low <= GW_MOISTURE_WIDE && high <= GW_MOISTURE_WIDE;
  if (!out->known) return GW_OK;
  out->grows = damp > 0 ? damp : 0;
  out->shrinks = dry < 0 ? -dry : 0;
  return GW_OK;
}

/* ---- panels -------------------------------------------------------------------------- */

/* One side of a panel, across the grain. */
typedef struct hold {
  bool there;
  int joint;
  gw_len in, room; /* how far it is in its groove, and how far it could go on */
} hold;

static void find_hold(const season *s, const gw_half *half, hold *out) {
  const gw_joint *joint = &s->m->joints[half->joint];
  int axis = gw_dir_axis(half->at);
  const gw_box *a = &s->fit->boxes[half->part];
  const gw_box *b = &s->fit->boxes[gw_joint_receives(s->m, joint)];
  gw_len in = gw_dir_sign(half->at) > 0 ? a->hi[axis] - b->lo[axis] : b->hi[axis] - a->lo[axis];
  gw_len room = s->fit->seatings[half->joint].depth_r - in;
  /* Along one side there may be several grooves: the least room counts. */
  if (out->there && out->room <= room) return;
  *out = (hold){true, half->joint, in, room};
}

static gw_status say_binds(season *s, int part, gw_len grows, gw_len room, int sides) {
  char at[4][GW_LEN_TEXT];
  const gw_part *p = &s->m->parts[part];
  GW_TRY(gw_find(s->findings, GW_WARNING, "panel-binds", p->line,
                 "%s grows by %s across the grain from %d to %d %% humidity, and its groove%s leave%s "
                 "it %s: the frame will be pushed apart; make %s %s narrower, or the groove%s "
                 "deeper", p->id, text(s, grows, at[0]), s->m->shop.humidity_pc,
                 s->m->shop.dampest_pc, sides > 1 ? "s" : "", sides > 1 ? "" : "s",
                 text(s, room, at[1]), p->id, text(s, grows - room, at[2]), sides > 1 ? "s" : ""));
  return gw_find_part(s->findings, part);
}

static gw_status say_falls_out(season *s, int part, gw_len shrinks, gw_len in, gw_len then,
                               int sides) {
  char at[4][GW_LEN_TEXT];
  const gw_part *p = &s->m->parts[part];
  GW_TRY(gw_find(s->findings, GW_WARNING, "panel-falls-out", p->line,
                 "%s shrinks by %s across the grain from %d to %d %% humidity: it is %s in its "
                 "groove%s now, midway between its stops, and will be %s; make %s %s wider, and the "
                 "groove%s deeper if need be", p->id, text(s, shrinks, at[0]),
                 s->m->shop.humidity_pc, s->m->shop.driest_pc, text(s, in, at[1]),
                 sides > 1 ? "s on either side" : "", then > 0 ? text(s, then, at[2]) : "out of it",
                 p->id, text(s, (LEAST_HOLD - then) * sides, at[3]), sides > 1 ? "s" : ""));
  return gw_find_part(s->findings, part);
}

/* A panel with grooves on both sides may shift, so their room adds up and it is
 * taken to lie midway; one with a groove on one side only is held on the other,
 * but free to grow there. */
static gw_status judge_panel(season *s, int part, const hold side[2]) {
  int axis = gw_dir_axis(s->m->parts[part].edge);
  int sides = (int)side[0].there + (int)side[1].there;
  movement moves;
  GW_TRY(find_movement(s, part, axis, s->m->parts[part].size[axis], &moves));
  if (!moves.known) return GW_OK;
  gw_len in = 0, room = 0;
  for (int i = 0; i < 2; ++i) {
    in += side[i].in;
    room += side[i].room;
  }
  if (sides == 2 && moves.grows > room)
    GW_TRY(say_binds(s, part, moves.grows, room, sides));
  gw_len then = (in - moves.shrinks) / sides;
  if (then >= LEAST_HOLD || moves.shrinks == 0) return GW_OK;
  return say_falls_out(s, part, moves.shrinks, in / sides, then, sides);
}

static gw_status judge_part(season *s, int part) {
  const gw_part *p = &s->m->parts[part];
  hold side[2] = {0};
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i) {
    const gw_half *half = &s->m->halves[i];
    if (half->joint < 0 || !half->enters) continue;
    if (gw_kind_of(s->m->joints[half->joint].kind)->seat != GW_FLOAT) continue;
    if (s->m->joints[half->joint].glued || gw_dir_axis(half->at) != gw_dir_axis(p->edge)) continue;
    find_hold(s, half, &side[gw_dir_sign(half->at) > 0]);
  }
  return side[0].there || side[1].there ? judge_panel(s, part, side) : GW_OK;
}

/* ---- glue across the grain ----------------------------------------------------------------- */

static gw_status say_cross(season *s, int joint, int mover, gw_len over, const movement *moves) {
  char at[2][GW_LEN_TEXT];
  const gw_joint *j = &s->m->joints[joint];
  int e = gw_joint_enters(s->m, j), r = gw_joint_receives(s->m, j);
  GW_TRY(gw_find(s->findings, GW_NOTE, "cross-grain", s->m->halves[j->entering].line,
                 "%s is glued to %s over %s across the grain of %s, which will move by %s there "
                 "between %d and %d %% humidity; glue the middle third only, or divide the joint",
                 s->m->parts[e].id, s->m->parts[r].id, text(s, over, at[0]), s->m->parts[mover].id,
                 text(s, moves->grows + moves->shrinks, at[1]), s->m->shop.driest_pc,
                 s->m->shop.dampest_pc));
  GW_TRY(gw_find_part(s->findings, e));
  GW_TRY(gw_find_part(s->findings, r));
  return gw_find_joint(s->findings, joint);
}

/* Along an axis where the grain of just one of the two parts runs, the other
 * moves and is not let. */
static gw_status judge_joint(season *s, int joint) {
  const gw_joint *j = &s->m->joints[joint];
  if (!j->glued) return GW_OK;
  int e = gw_joint_enters(s->m, j), r = gw_joint_receives(s->m, j);
  int grain_e = gw_part_length_axis(&s->m->parts[e]), grain_r = gw_part_length_axis(&s->m->parts[r]);
  gw_box box = gw_fit_joint_box(s->fit, s->m, joint);
  for (int axis = 0; axis < 3; ++axis) {
    gw_len over = box.hi[axis] - box.lo[axis];
    if (over <= HARMLESS || (grain_e == axis) == (grain_r == axis)) continue;
    int mover = grain_e == axis ? r : e, holds = grain_e == axis ? e : r;
    const char *held_by = s->m->parts[holds].material;
    if (held_by != NULL && keeps_still(held_by)) continue;
    movement moves;
    GW_TRY(find_movement(s, mover, axis, over, &moves));
    if (moves.known && moves.grows + moves.shrinks > 0)
      GW_TRY(say_cross(s, joint, mover, over, &moves));
  }
  return GW_OK;
}

gw_status gw_fit_season(const gw_model *m, const gw_fit *fit, gw_findings *findings) {
  season s = {.m = m, .fit = fit, .findings = findings};
  gw_status status = GW_OK;
  for (int i = 0; i < m->n_parts && status == GW_OK; ++i) status = judge_part(&s, i);
  for (int i = 0; i < m->n_joints && status == GW_OK; ++i) status = judge_joint(&s, i);
  return status;
}
