/* markout_lean.c - the angles of parts that lean: ends, edges, sections, and
 * mortises that are cut level.  The formulas are those of model/lean.h. */
#include <math.h>
#include <stdarg.h>
#include <string.h>

#include "sheets/markout_inner.h"

/* Less than this nobody sets a bevel to, hundredths of a degree. */
enum { LEAST = 5 };

typedef struct leaning {
  const gw_sheets_job *job;
  gw_strikes *out;
  const gw_part *part;
  const gw_slant *slant;
  int index, part_at, joint, joint_at;
} leaning;

__attribute__((format(printf, 3, 4)))
static gw_status angle(const leaning *l, double degrees, const char *format, ...) {
  char words[320];
  va_list arguments;
  gw_len hundredths = (gw_len)lround(fabs(degrees) * 100);
  if (hundredths < LEAST) return GW_OK;
  va_start(arguments, format);
  vsnprintf(words, sizeof words, format, arguments);
  va_end(arguments);
  gw_strikes *out = l->out;
  GW_TRY(gw_grow(&out->items, &out->room, out->count + 1, sizeof *out->items));
  const char *kept = gw_arena_text(out->arena, words);
  if (kept == NULL) return GW_NO_MEMORY;
  out->items[out->count++] = (gw_strike){
      .tool = GW_TOOL_LEAN, .a = hundredths, .b = hundredths, .part = l->index, .joint = l->joint,
      .part_at = l->part_at, .joint_at = l->joint_at, .words = kept, .from = "", .link = "from"};
  return GW_OK;
}

/* The two sides of the part that are square to an axis, or would be. */
static const char *pair_words(const gw_part *p, int axis) {
  if ((int)gw_dir_axis(p->face) == axis) return "the face side and the far side";
  return (int)gw_dir_axis(p->edge) == axis ? "the face edge and the far edge" : "both ends";
}

/* ---- legs and posts ------------------------------------------------------------------- */

/* Seen on the part as it lies on the bench, its upper end up: what is level climbs
 * towards the side to which the top leans. */
static const char *higher(int32_t lean, int axis) {
  return gw_side_word(gw_dir_of(axis, lean > 0 ? 1 : -1));
}

/* How far a leg with level ends reaches from end to end, along it: more than along any
 * one arris, by what the level lines climb across its faces. */
static gw_len over_ends(const gw_part *p) {
  double climb = 0;
  for (int axis = 0; axis < 2; ++axis) {
    double slant = gw_lean_slant(p->lean[axis], p->lean[1 - axis]) * acos(-1) / 180;
    climb += (double)gw_part_cut(p, 1 - axis, p->size[1 - axis]) * fabs(tan(slant));
  }
  return gw_part_cut(p, GW_Z, p->size[GW_Z]) + (gw_len)llround(climb);
}

static gw_status level_lines(const leaning *l) {
  char blank[48];
  gw_length_words(l->job, over_ends(l->part), blank, sizeof blank);
  for (int axis = 0; axis < 2; ++axis) {
    int32_t across = l->part->lean[axis], along = l->part->lean[1 - axis];
    GW_TRY(angle(l, gw_lean_slant(across, along),
                 "level lines (top, foot, shoulders, ends of mortises; sawn %s long), on %s: nearer "
                 "to the upper end at the %s", blank, pair_words(l->part, axis),
                 higher(along, 1 - axis)));
  }
  return GW_OK;
}

/* Of compound splay the corners are not square: those towards which and against
 * which the foot goes are blunt. */
static gw_status section(const leaning *l) {
  const int32_t *lean = l->part->lean;
  double off = gw_lean_bevel(lean[0], lean[1]);
  const char *left = off > 0 ? "front" : "back", *right = off > 0 ? "back" : "front";
  return angle(l, off,
               "section: a lozenge, planed before the joints are struck; blunt arrises at the left %s "
               "and the right %s, keen ones at the other two", left, right);
}

/* ---- aprons, rails and boards --------------------------------------------------------- */

/* "lower edge", of what lies flat "lower face", of what stands "lower end". */
static const char *level_side(const gw_part *p, bool upper) {
  static const char *const words[3][2] = {
      {"lower edge", "upper edge"}, {"lower face", "upper face"}, {"lower end", "upper end"}};
  int which = (int)gw_dir_axis(p->face) == GW_Z ? 1 : (int)gw_dir_axis(p->edge) == GW_Z ? 0 : 2;
  return words[which][upper];
}

static const char *longer(const gw_part *p, int32_t slope, int sign) {
  return level_side(p, (slope > 0) == (sign > 0));
}

static gw_status aslant_end(const leaning *l, int length, int sign, const char *which) {
  int32_t slope = l->slant->side[gw_dir_of(length, sign)];
  return angle(l, gw_lean_slant(l->part->lean[1 - length], slope),
               "%s, with shoulders and baselines, on %s: the %s is the longer", which,
               pair_words(l->part, 1 - length), longer(l->part, slope, sign));
}

static gw_status aslant_ends(const leaning *l, int length) {
  const gw_dir low = gw_dir_of(length, -1), high = gw_dir_of(length, 1);
  char which[32];
  if (l->slant->side[low] == -l->slant->side[high]) return aslant_end(l, length, 1, "both ends");
  for (int sign = -1; sign <= 1; sign += 2) {
    snprintf(which, sizeof which, "%s end", gw_side_word(sign < 0 ? low : high));
    GW_TRY(aslant_end(l, length, sign, which));
  }
  return GW_OK;
}

/* The upper and lower edges lie level: on one face they stand as much higher as the
 * lean carries over the thickness, and the board must be wider by that. */
static gw_status level_edges(const leaning *l, int length) {
  char wide[48];
  int32_t lean = l->part->lean[1 - length];
  gw_len more = gw_lean_shift(lean < 0 ? -lean : lean, l->part->thickness);
  gw_len sawn = gw_part_cut(l->part, GW_Z, l->part->size[GW_Z]) + more;
  return angle(l, gw_lean_degrees(lean),
               "upper and lower edges, planed level (sawn %s wide): the %s face is the higher at both",
               gw_length_words(l->job, sawn, wide, sizeof wide), higher(lean, 1 - length));
}

/* ---- sides that lie against what leans otherwise ---------------------------------------- */

static gw_status tapered_side(const leaning *l, gw_dir side) {
  const gw_part *p = l->part;
  const int axis = gw_dir_axis(side);
  const char *words = side == p->face ? "the face side" : side == p->edge ? "the face edge"
                      : gw_dir_back(side) == p->face ? "the far side" : "the far edge";
  double off = gw_lean_degrees(l->slant->side[side]) - gw_lean_degrees(p->lean[axis]);
  return angle(l, off, "%s, planed to lie against what leans: the wood is thicker towards its %s",
               words, longer(p, off > 0 ? 1 : -1, gw_dir_sign(side)));
}

static gw_status tapered_sides(const leaning *l) {
  for (int side = 0; side < 4; ++side)
    if ((int)gw_dir_axis((gw_dir)side) != gw_part_length_axis(l->part))
      GW_TRY(tapered_side(l, (gw_dir)side));
  return GW_OK;
}

/* ---- mortises and the like ------------------------------------------------------------ */

/* What is cut level into a surface that leans, or along a leaning part into a
 * level one. */
static gw_status cut_in(const leaning *l, const gw_half *half) {
  const gw_model *m = l->job->model;
  const gw_joint *j = &m->joints[half->joint];
  const gw_seating *s = &l->job->fit->seatings[half->joint];
  const gw_half *e = &m->halves[j->entering];
  const gw_part *a = &m->parts[e->part];
  const int axis = gw_dir_axis(half->at);
  if (s->style != GW_STRAIGHT || s->depth_r <= 0) return GW_OK;
  if (axis != GW_Z) {
    bool down = (l->part->lean[axis] > 0) == (gw_dir_sign(half->at) > 0);
    return angle(l, gw_lean_degrees(l->part->lean[axis]),
                 "%s in the %s side, cut level: not square to it but, going in, towards the %s",
                 half->element, gw_side_word(half->at), level_side(l->part, !down));
  }
  if (s->freedom.kind != GW_FREE_SLANT) return GW_OK;
  return angle(l, gw_lean_resultant(a->lean),
               "%s in the %s side, in line with what goes in: resultant angle, on a sight line %.1f\xC2\xB0 "
               "from the left-right line; going up it leads to the %s and the %s", half->element,
               gw_side_word(half->at), gw_lean_sight(a->lean), higher(a->lean[0], 0),
               higher(a->lean[1], 1));
}

/* ---- all ------------------------------------------------------------------------------ */

static gw_status strike_part(leaning *l) {
  const gw_part *p = l->part;
  int length = gw_part_length_axis(p);
  l->joint = l->joint_at = -1;
  if (length == GW_Z) {
    GW_TRY(level_lines(l));
    GW_TRY(section(l));
  } else {
    GW_TRY(aslant_ends(l, length));
    GW_TRY(level_edges(l, length));
  }
  return tapered_sides(l);
}

gw_status gw_strikes_lean(const gw_sheets_job *job, const int *part_at, gw_strikes *out) {
  const gw_model *m = job->model;
  if (!job->fit->placed || job->fit->slants == NULL) return GW_OK;
  for (int i = 0; i < m->n_parts; ++i) {
    leaning l = {.job = job, .out = out, .part = &m->parts[i], .slant = &job->fit->slants[i],
                 .index = i, .part_at = part_at[i]};
    if (gw_fit_slants(job->fit, i)) GW_TRY(strike_part(&l));
    for (int k = m->parts[i].first_half; k < m->parts[i].first_half + m->parts[i].n_halves; ++k) {
      if (m->halves[k].enters || m->halves[k].joint < 0) continue;
      l.joint = m->halves[k].joint;
      for (l.joint_at = 0; job->marks->joint_walk[l.joint_at] != l.joint;) ++l.joint_at;
      GW_TRY(cut_in(&l, &m->halves[k]));
    }
  }
  return GW_OK;
}
