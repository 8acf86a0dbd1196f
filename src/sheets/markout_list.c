/* markout_list.c - which settings a piece needs, and where each is struck. */
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/markout_inner.h"

/* ---- words -------------------------------------------------------------------------- */

char *gw_figure_words(const gw_sheets_job *job, gw_len length, char *buffer, size_t size) {
  char plain[GW_LEN_TEXT];
  gw_len_text(gw_len_fine(length, job->model->units), job->model->units, plain, sizeof plain);
  const char *fraction = strchr(plain, ' '); /* no line ends within a number */
  if (fraction == NULL) snprintf(buffer, size, "%s", plain);
  else
    snprintf(buffer, size, "%.*s" GW_HARD_SPACE "%s", (int)(fraction - plain), plain, fraction + 1);
  return buffer;
}

char *gw_length_words(const gw_sheets_job *job, gw_len length, char *buffer, size_t size) {
  char figure[GW_LEN_TEXT];
  gw_figure_words(job, length, figure, sizeof figure);
  snprintf(buffer, size, "%s" GW_HARD_SPACE "%s", figure,
           job->model->units == GW_UNITS_MM ? "mm" : "in");
  return buffer;
}

char *gw_slope_words(int slope, char *buffer, size_t size) {
  double degrees = atan2(100, slope) * 180 / acos(-1);
  snprintf(buffer, size, "1:%g = %.2f\xC2\xB0", slope / 100.0, degrees);
  return buffer;
}

char *gw_strike_setting(const gw_sheets_job *job, const gw_strike *s, char *buffer, size_t size) {
  char a[48], b[48], c[48];
  gw_length_words(job, s->a, a, sizeof a);
  gw_length_words(job, s->b, b, sizeof b);
  gw_length_words(job, s->c, c, sizeof c);
  switch (s->tool) {
    case GW_TOOL_GAUGE: snprintf(buffer, size, "Marking gauge: %s", a); break;
    case GW_TOOL_MORTISE:
      snprintf(buffer, size, "Mortise gauge: pins %s apart, the nearer %s from the stock", a, b);
      break;
    case GW_TOOL_PLOUGH:
      snprintf(buffer, size, "Plough: iron %s, fence %s from it, depth stop %s", a, b, c);
      break;
    case GW_TOOL_DEPTH: snprintf(buffer, size, "Depth: %s", a); break;
    case GW_TOOL_BEVEL:
      if (s->a == 0) snprintf(buffer, size, "Sliding bevel: 45\xC2\xB0");
      else snprintf(buffer, size, "Sliding bevel: %s", gw_slope_words((int)s->a, a, sizeof a));
      break;
    case GW_TOOL_LEAN: {
      double off = (double)s->a / 100;
      snprintf(buffer, size, "Sliding bevel: %.2f\xC2\xB0, which is %.2f\xC2\xB0 out of square",
               90 - off, off);
      break;
    }
    default:
      if (s->a == s->b) snprintf(buffer, size, "Rule: %s", a);
      else snprintf(buffer, size, "Rule: from %s to %s", a, b);
  }
  return buffer;
}

/* What a half is called: its element with spaces for the dashes. */
static const char *half_name(const gw_half *half, char *buffer, size_t size) {
  snprintf(buffer, size, "%s", half->element);
  for (char *at = buffer; *at != '\0'; ++at)
    if (*at == '-') *at = ' ';
  return buffer;
}

/* ---- sides of a part ---------------------------------------------------------------- */

const char *gw_side_word(gw_dir dir) {
  static const char *const words[6] = {"left", "right", "front", "back", "lower", "upper"};
  return words[dir];
}

/* "the face side", "the left end"; what lies opposite to face side and face
 * edge is called the far side and the far edge. */
const char *gw_surface_words(const gw_part *p, gw_dir dir, char *buffer, size_t size) {
  if (dir == p->face) snprintf(buffer, size, "the face side");
  else if (dir == p->edge) snprintf(buffer, size, "the face edge");
  else if (dir == gw_dir_back(p->face)) snprintf(buffer, size, "the far side");
  else if (dir == gw_dir_back(p->edge)) snprintf(buffer, size, "the far edge");
  else snprintf(buffer, size, "the %s end", gw_side_word(dir));
  return buffer;
}
enum { SIDE_TEXT = 48, NAME_TEXT = 32, LINE_TEXT = 112 };

const char *gw_sides_words(const gw_part *p, int axis) {
  if ((int)gw_dir_axis(p->face) == axis) return "both faces";
  return (int)gw_dir_axis(p->edge) == axis ? "both edges" : "both ends";
}

/* ---- strikes ------------------------------------------------------------------------ */

/* One half being looked at. */
typedef struct look {
  const gw_sheets_job *job;
  gw_strikes *out;
  const gw_half *half, *mate;
  const gw_part *part;
  const gw_seating *s;
  const gw_span *spans;
  gw_kind kind;
  int joint, part_at, joint_at;
  gw_len depth;
  const char *link; /* before what it is struck from: NULL for "from" */
} look;

/* Longer than this no marking gauge is (common practice, no source). */
#define GAUGE_REACHES (250 * GW_MM)

/* `from` is where the stock rests, NULL when nothing is said of it. */
__attribute__((format(printf, 6, 7)))
static gw_status strike(const look *l, gw_tool tool, gw_len a, gw_len b, const char *from,
                        const char *format, ...) {
  char words[320];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(words, sizeof words, format, arguments);
  va_end(arguments);
  gw_strikes *out = l->out;
  gw_len stop = tool == GW_TOOL_PLOUGH ? gw_len_fine(l->depth, l->job->model->units) : 0;
  if (tool != GW_TOOL_BEVEL) {
    a = gw_len_fine(a, l->job->model->units);
    b = gw_len_fine(b, l->job->model->units);
  }
  if (tool == GW_TOOL_GAUGE && a > GAUGE_REACHES) { /* the rule does */
    tool = GW_TOOL_RULE;
    b = a;
  }
  if (a < 0 || (a == 0 && tool != GW_TOOL_BEVEL && b <= 0)) return GW_OK;
  GW_TRY(gw_grow(&out->items, &out->room, out->count + 1, sizeof *out->items));
  const char *kept = gw_arena_text(out->arena, words);
  const char *from_kept = gw_arena_text(out->arena, from == NULL ? "" : from);
  if (kept == NULL || from_kept == NULL) return GW_NO_MEMORY;
  out->items[out->count++] = (gw_strike){
      .tool = tool, .a = a, .b = b, .c = stop, .part = l->half->part, .joint = l->joint,
      .part_at = l->part_at, .joint_at = l->joint_at, .words = kept, .from = from_kept,
      .link = l->link != NULL ? l->link : "from"};
  return GW_OK;
}

/* The side from which a half is measured along an axis: the one that the file
 * names, else face side or face edge, else the nearer end. */
static gw_dir ref_side(const look *l, int axis) {
  gw_dir low = gw_dir_of(axis, -1), high = gw_dir_of(axis, 1);
  if (l->half->from[low] != GW_UNSET) return low;
  if (l->half->from[high] != GW_UNSET) return high;
  if ((int)gw_dir_axis(l->part->face) == axis) return l->part->face;
  if ((int)gw_dir_axis(l->part->edge) == axis) return l->part->edge;
  const gw_span *span = &l->spans[axis];
  return span->lo <= l->part->size[axis] - span->lo - span->size ? low : high;
}

gw_len gw_on_wood(const gw_part *part, const gw_half *half, int axis, gw_len stands) {
  return half->plumb && axis != GW_Z ? stands : gw_part_cut(part, axis, stands);
}

static gw_len on_wood(const look *l, int axis, gw_len stands) {
  return gw_on_wood(l->part, l->half, axis, stands);
}

/* From that side to the near side of the half. */
static gw_len offset(const look *l, int axis, gw_dir from) {
  const gw_span *span = &l->spans[axis];
  return on_wood(l, axis, gw_dir_sign(from) < 0
                              ? span->lo : l->part->size[axis] - span->lo - span->size);
}

static bool is_whole(const look *l, int axis) {
  const gw_len play = GW_MM / 10;
  return axis < 0 || l->spans[axis].size >= l->part->size[axis] - play;
}

/* Whether the end or edge at which the half is stands square to the sides. */
static bool square_end(const look *l) {
  const gw_fit *fit = l->job->fit;
  const gw_dir at = l->half->at;
  if (fit->slants == NULL) return true;
  if (gw_dir_axis(at) == GW_Z) return !gw_leans(l->part->lean);
  return (int)gw_dir_axis(at) != gw_part_length_axis(l->part) ||
         fit->slants[l->half->part].side[at] == 0;
}

/* A line round the part as far from its end as the half is deep.  From an end that is
 * aslant it is nowhere as far off square to the end as along the wood, and not equally
 * so on all sides: no gauge carries it round. */
static gw_status strike_round(const look *l, const char *end, const char *what, const char *on) {
  gw_len depth = on_wood(l, gw_dir_axis(l->half->at), l->depth);
  if (square_end(l))
    return strike(l, GW_TOOL_GAUGE, depth, 0, end, "%s, %s", what, on);
  return strike(l, GW_TOOL_RULE, depth, depth, end,
                "%s, %s: along the wood, parallel to the end", what, on);
}

/* ---- corners: tails, fingers, rebates, bridles, mitres ------------------------------ */

/* The two ends of a half along its run, each from the side of the part that is nearer. */
static gw_status strike_run_edges(const look *l, const char *what) {
  char buffer[SIDE_TEXT];
  int axis = l->s->run;
  if (is_whole(l, axis) || !l->spans[axis].located) return GW_OK;
  for (int sign = -1; sign <= 1; sign += 2) {
    gw_dir from = gw_dir_of(axis, sign);
    gw_len near = offset(l, axis, from);
    gw_len rest = on_wood(l, axis, l->part->size[axis]) - near;
    if (near == 0) continue;
    if (rest < near) from = gw_dir_back(from);
    GW_TRY(strike(l, GW_TOOL_GAUGE, rest < near ? rest : near, 0,
                  gw_surface_words(l->part, from, buffer, sizeof buffer), "%s", what));
  }
  return GW_OK;
}

static gw_status strike_slope(const look *l, const char *what) {
  if (l->s->slope <= 0) return GW_OK;
  return strike(l, GW_TOOL_BEVEL, l->s->slope, l->s->slope, NULL, "flanks of the %s", what);
}

/* Beside the outermost tails there is half a pin; fingers begin right away. */
static void outer_edges(const look *l, const char *what, char *buffer, size_t size) {
  snprintf(buffer, size, "outer edge of the %s, on the end",
           l->kind == GW_COMB ? what : "half pin");
}

static gw_status strike_entering_tails(const look *l) {
  char buffer[SIDE_TEXT], line[LINE_TEXT], edges[LINE_TEXT];
  const char *what = l->kind == GW_COMB ? "fingers" : l->s->count == 1 ? "tail" : "tails";
  snprintf(line, sizeof line, "baseline of the %s", what);
  outer_edges(l, what, edges, sizeof edges);
  GW_TRY(strike_round(l, gw_surface_words(l->part, l->half->at, buffer, sizeof buffer), line,
                      "on both faces and both edges"));
  GW_TRY(strike_run_edges(l, edges));
  return strike_slope(l, what);
}

static gw_status strike_receiving_tails(const look *l) {
  char end[SIDE_TEXT], inside_words[SIDE_TEXT], line[SIDE_TEXT], on[SIDE_TEXT + 4];
  gw_dir inside = gw_dir_back(l->mate->at);
  const char *end_words = gw_surface_words(l->part, l->half->at, end, sizeof end);
  const char *in_words = gw_surface_words(l->part, inside, inside_words, sizeof inside_words);
  char edges[LINE_TEXT];
  bool lapped = l->kind == GW_LAPPED_DOVETAIL, one = l->s->count == 1;
  bool at_end = (int)gw_dir_axis(l->half->at) == gw_part_length_axis(l->part);
  const char *what = l->kind == GW_COMB ? "slots" : one ? "socket" : "sockets";
  snprintf(line, sizeof line, "baseline of the %s", what);
  outer_edges(l, what, edges, sizeof edges);
  snprintf(on, sizeof on, "on %s", lapped ? in_words : gw_sides_words(l->part, l->s->normal));
  GW_TRY(strike_round(l, end_words, line, on));
  if (lapped)
    GW_TRY(strike(l, GW_TOOL_GAUGE, l->s->depth_e, 0, in_words, "length of the %s, on %s",
                  one ? "tail" : "tails", at_end ? "the end" : end_words));
  if (l->half->inset != GW_UNSET)
    GW_TRY(strike(l, GW_TOOL_GAUGE, l->half->inset, 0, end_words,
                  "inset of the other part, on %s", gw_sides_words(l->part, l->s->normal)));
  GW_TRY(strike_run_edges(l, edges));
  return strike_slope(l, what);
}

/* A rebate is struck on two surfaces, each from the other. */
static gw_status strike_rebate(const look *l) {
  char end[SIDE_TEXT], in[SIDE_TEXT];
  const char *end_words = gw_surface_words(l->part, l->half->at, end, sizeof end);
  const char *in_words = gw_surface_words(l->part, gw_dir_back(l->mate->at), in, sizeof in);
  gw_len width = l->half->width != GW_UNSET ? l->half->width : l->s->depth_e;
  GW_TRY(strike(l, GW_TOOL_GAUGE, width, 0, in_words, "rebate, on %s", end_words));
  return strike(l, GW_TOOL_GAUGE, l->depth, 0, end_words, "rebate, on %s", in_words);
}

/* ---- straight: tenons, grooves, housings -------------------------------------------- */

/* Thickness and place across the half, with one tool for both. */
static gw_status strike_narrow(const look *l, gw_tool tool, const char *what, const char *on) {
  char buffer[SIDE_TEXT];
  int axis = l->s->narrow;
  if (axis < 0 || is_whole(l, axis) || !l->spans[axis].located) return GW_OK;
  gw_dir from = ref_side(l, axis);
  gw_len near = offset(l, axis, from), size = on_wood(l, axis, l->spans[axis].size);
  const char *side = gw_surface_words(l->part, from, buffer, sizeof buffer);
  if (axis == gw_part_length_axis(l->part)) /* too far from the end for a gauge */
    return strike(l, GW_TOOL_RULE, near, near + size, side, "%s, both walls, on %s", what, on);
  return strike(l, tool, size, near, side, "%s, on %s", what, on);
}

/* Where a half that does not run right through begins and ends. */
static gw_status strike_ends(const look *l, const char *what, const char *on) {
  char buffer[SIDE_TEXT];
  int axis = l->s->run;
  if (is_whole(l, axis) || !l->spans[axis].located) return GW_OK;
  gw_dir from = ref_side(l, axis);
  gw_len near = offset(l, axis, from), far = near + on_wood(l, axis, l->spans[axis].size);
  const char *side = gw_surface_words(l->part, from, buffer, sizeof buffer);
  bool stops_far = far < on_wood(l, axis, l->part->size[axis]);
  if (near == 0)
    return strike(l, GW_TOOL_RULE, far, far, side, "%s ends, on %s", what, on);
  if (!stops_far)
    return strike(l, GW_TOOL_RULE, near, near, side, "%s begins, on %s", what, on);
  return strike(l, GW_TOOL_RULE, near, far, side, "%s, both ends, on %s", what, on);
}

/* A tenon that stands upright on a part that leans: as it goes up the part moves away
 * from under it, and so its lines are not along the part.  On the end, which is level, they
 * are as far from the sides as at the shoulder, less what the part has moved. */
static gw_len upright_offset(const look *l, int axis, gw_dir from) {
  gw_len moved = gw_lean_shift(l->part->lean[axis], l->depth);
  return offset(l, axis, from) + (gw_dir_sign(from) == gw_dir_sign(l->half->at) ? moved : -moved);
}

static gw_status strike_upright(const look *l, const char *what) {
  char buffer[SIDE_TEXT];
  const int axes[2] = {l->s->narrow, l->s->run};
  for (int i = 0; i < 2; ++i) {
    int axis = axes[i];
    if (axis < 0 || is_whole(l, axis) || !l->spans[axis].located) continue;
    gw_dir from = ref_side(l, axis);
    gw_len near = upright_offset(l, axis, from);
    GW_TRY(strike(l, GW_TOOL_RULE, near, near + l->spans[axis].size,
                  gw_surface_words(l->part, from, buffer, sizeof buffer),
                  "%s, upright: on the end, then down %s, square to the shoulder", what,
                  gw_sides_words(l->part, axes[1 - i])));
  }
  return GW_OK;
}

static gw_status strike_tenon(const look *l) {
  char buffer[SIDE_TEXT], line[LINE_TEXT], on[LINE_TEXT], what[NAME_TEXT];
  const gw_part *p = l->part;
  const char *end = gw_surface_words(p, l->half->at, buffer, sizeof buffer);
  half_name(l->half, what, sizeof what);
  bool stands_in = is_whole(l, l->s->narrow) && is_whole(l, l->s->run);
  snprintf(line, sizeof line, "shoulder of the %s", what);
  if (!stands_in) GW_TRY(strike_round(l, end, line, "all round"));
  if (l->half->plumb && gw_leans(p->lean)) return strike_upright(l, what);
  bool at_end = (int)gw_dir_axis(l->half->at) == gw_part_length_axis(p);
  snprintf(on, sizeof on, "the %s and from there down to the shoulder on %s",
           at_end ? "end" : "edge", gw_sides_words(p, l->s->run));
  GW_TRY(strike_narrow(l, GW_TOOL_MORTISE, what, on));
  snprintf(line, sizeof line, "width of the %s, on the %s and %s", what, at_end ? "end" : "edge",
           gw_sides_words(p, l->s->narrow));
  return strike_run_edges(l, line);
}

static gw_status strike_mortise(const look *l) {
  char buffer[SIDE_TEXT];
  const char *on = gw_surface_words(l->part, l->half->at, buffer, sizeof buffer);
  char what[NAME_TEXT];
  half_name(l->half, what, sizeof what);
  if (l->half->through) on = gw_sides_words(l->part, gw_dir_axis(l->half->at));
  GW_TRY(strike_narrow(l, GW_TOOL_MORTISE, what, on));
  GW_TRY(strike_ends(l, what, on));
  if (l->half->through) return GW_OK;
  return strike(l, GW_TOOL_DEPTH, l->depth, l->depth, NULL, "%s in %s", what, on);
}

/* The plough has its own depth stop; where it is not used, the depth stands alone. */
static gw_status strike_groove(const look *l) {
  char buffer[SIDE_TEXT];
  const char *on = gw_surface_words(l->part, l->half->at, buffer, sizeof buffer);
  size_t before = l->out->count;
  GW_TRY(strike_narrow(l, GW_TOOL_PLOUGH, "groove", on));
  bool ploughed = l->out->count > before && l->out->items[before].tool == GW_TOOL_PLOUGH;
  GW_TRY(strike_ends(l, "groove", on));
  if (ploughed) return GW_OK;
  return strike(l, GW_TOOL_DEPTH, l->depth, l->depth, NULL, "groove in %s", on);
}

/* The width is taken from the shelf itself; the rule gives its place. */
static gw_status strike_housing(const look *l) {
  char buffer[SIDE_TEXT], from_words[SIDE_TEXT];
  const char *on = gw_surface_words(l->part, l->half->at, buffer, sizeof buffer);
  int axis = l->s->narrow;
  char what[NAME_TEXT];
  half_name(l->half, what, sizeof what);
  if (axis >= 0 && l->spans[axis].located) {
    gw_dir from = ref_side(l, axis);
    gw_len near = offset(l, axis, from);
    GW_TRY(strike(l, GW_TOOL_RULE, near, near + on_wood(l, axis, l->spans[axis].size),
                  gw_surface_words(l->part, from, from_words, sizeof from_words),
                  "%s, both walls, on %s", what, on));
  }
  GW_TRY(strike_run_edges(l, "where the housing stops"));
  return strike(l, GW_TOOL_DEPTH, l->depth, l->depth, NULL, "%s in %s", what, on);
}

/* A shelf's end is cut back where its housing stops. */
static gw_status strike_shelf(const look *l) {
  char buffer[SIDE_TEXT], on[SIDE_TEXT];
  if (is_whole(l, l->s->run)) return GW_OK;
  snprintf(on, sizeof on, "on %s", gw_sides_words(l->part, l->s->narrow));
  GW_TRY(strike_round(l, gw_surface_words(l->part, l->half->at, buffer, sizeof buffer), "notch",
                      on));
  return strike_run_edges(l, "notch");
}

/* ---- notches and what lies on a face ------------------------------------------------ */

/* "halving", and of a dovetailed one "tail" and "socket". */
static const char *notch_word(const look *l) {
  if (l->kind != GW_DOVETAIL_HALVING) return "halving";
  return l->half->enters ? "tail" : "socket";
}

/* Its floor is gauged from the face side or face edge on both parts, so that they come
 * flush whatever the thickness; the line falls beside the notch, and at an end round it. */
static gw_status strike_floor(const look *l, bool at_end) {
  char buffer[SIDE_TEXT];
  const gw_part *p = l->part;
  gw_dir from = l->half->at;
  gw_len depth = on_wood(l, gw_dir_axis(from), l->depth);
  int beside = 3 - l->s->normal - gw_part_length_axis(p);
  if (beside < 0 || beside > 2) return GW_OK;
  if (gw_dir_back(from) == p->face || gw_dir_back(from) == p->edge) {
    depth = on_wood(l, gw_dir_axis(from), p->size[gw_dir_axis(from)]) - depth;
    from = gw_dir_back(from);
  }
  const char *on = gw_sides_words(p, beside);
  return strike(l, GW_TOOL_GAUGE, depth, 0, gw_surface_words(p, from, buffer, sizeof buffer),
                "floor of the %s, on %s%s", notch_word(l), on, at_end ? " and round the end" : "");
}

/* Towards which side of the socket the tail's end lies. */
static gw_dir wider_end(const look *l) {
  const gw_part *tail = &l->job->model->parts[l->mate->part];
  int axis = gw_part_length_axis(tail);
  const gw_span *span = &l->s->e[axis];
  return gw_dir_of(axis, span->lo <= tail->size[axis] - span->lo - span->size ? -1 : 1);
}

/* The walls of a notch across the part; at an end there is but one, the shoulder. */
static gw_status strike_walls(const look *l, int axis, const char *open) {
  char buffer[SIDE_TEXT], wide[SIDE_TEXT];
  gw_dir from = ref_side(l, axis);
  gw_len whole = on_wood(l, axis, l->part->size[axis]),
         size = on_wood(l, axis, l->spans[axis].size);
  gw_len near = offset(l, axis, from);
  if (near > 0 && near + size >= whole) {
    from = gw_dir_back(from);
    near = 0;
  }
  const char *side = gw_surface_words(l->part, from, buffer, sizeof buffer);
  if (near == 0)
    return strike(l, GW_TOOL_RULE, size, size, side, "shoulder of the %s, on %s", notch_word(l),
                  open);
  if (l->kind == GW_DOVETAIL_HALVING && !l->half->enters)
    return strike(
        l, GW_TOOL_RULE, near, near + size, side,
        "socket at its wider end, which is at %s (its flanks from the tail itself), on %s",
        gw_surface_words(l->part, wider_end(l), wide, sizeof wide), open);
  return strike(l, GW_TOOL_RULE, near, near + size, side,
                "%s, both walls, on %s", notch_word(l), open);
}

static gw_status strike_notch(const look *l) {
  char buffer[SIDE_TEXT];
  int axis = gw_part_length_axis(l->part);
  const gw_span *span = &l->spans[axis];
  const char *open = gw_surface_words(l->part, l->half->at, buffer, sizeof buffer);
  bool at_end = span->located && axis != l->s->normal &&
                (span->lo == 0 || span->lo + span->size >= l->part->size[axis]);
  GW_TRY(strike_floor(l, at_end));
  if (l->half->enters) GW_TRY(strike_slope(l, "tail, from the corners of its end"));
  if (axis == l->s->normal || !span->located || is_whole(l, axis)) return GW_OK;
  return strike_walls(l, axis, open);
}

/* Where a part lies on a face, when the file says so. */
static gw_status strike_place(const look *l) {
  char buffer[SIDE_TEXT], on_words[SIDE_TEXT];
  const char *on = gw_surface_words(l->part, l->half->at, on_words, sizeof on_words);
  if (l->half->enters) return GW_OK;
  for (int axis = 0; axis < 3; ++axis) {
    if (axis != l->s->narrow && axis != l->s->run) continue;
    gw_dir from = ref_side(l, axis);
    if (l->half->from[from] == GW_UNSET || !l->spans[axis].located) continue;
    const gw_span *span = &l->spans[axis];
    gw_len near = offset(l, axis, from);
    gw_len stands = gw_dir_sign(from) < 0 ? span->lo : l->part->size[axis] - span->lo - span->size;
    GW_TRY(strike(l, GW_TOOL_RULE, near, near,
                  gw_surface_words(l->part, from, buffer, sizeof buffer),
                  "line where %s begins, on %s%s", l->job->marks->parts[l->mate->part].text, on,
                  near != stands ? ", along the wood" : ""));
  }
  return GW_OK;
}

static gw_status strike_mitre(const look *l) {
  char buffer[SIDE_TEXT];
  look at = *l;
  at.link = "at";
  return strike(&at, GW_TOOL_BEVEL, 0, 0,
                gw_surface_words(l->part, l->half->at, buffer, sizeof buffer), "mitre");
}

static gw_status strike_dowels(const look *l) {
  char buffer[SIDE_TEXT], on_words[SIDE_TEXT];
  int axis = l->s->narrow;
  const char *on = gw_surface_words(l->part, l->half->at, on_words, sizeof on_words);
  if (axis < 0 || !l->spans[axis].located) return GW_OK;
  gw_dir from = ref_side(l, axis);
  gw_len middle = offset(l, axis, from) + on_wood(l, axis, l->spans[axis].size) / 2;
  return strike(l, GW_TOOL_GAUGE, middle, 0, gw_surface_words(l->part, from, buffer, sizeof buffer),
                "middle of the dowels, on %s", on);
}

/* ---- all halves --------------------------------------------------------------------- */

static gw_status strike_half(const look *l) {
  bool enters = l->half->enters;
  if (l->s->style == GW_CROSS) return strike_notch(l);
  switch (l->kind) {
    case GW_THROUGH_DOVETAIL:
    case GW_LAPPED_DOVETAIL:
    case GW_COMB: return enters ? strike_entering_tails(l) : strike_receiving_tails(l);
    case GW_REBATE: return enters ? GW_OK : strike_rebate(l);
    case GW_MITRE:
    case GW_KEYED_MITRE: return strike_mitre(l);
    case GW_DOWELS: return strike_dowels(l);
    case GW_BUTT:
    case GW_RUNNER: return strike_place(l);
    case GW_HOUSING: return enters ? strike_shelf(l) : strike_housing(l);
    case GW_PANEL_GROOVE:
    case GW_TONGUE_GROOVE: return enters ? strike_tenon(l) : strike_groove(l);
    case GW_SLIDING_DOVETAIL:
      GW_TRY(strike_slope(l, enters ? "sliding tail" : "sliding socket"));
      return enters ? strike_tenon(l) : strike_housing(l);
    default: return enters ? strike_tenon(l) : strike_mortise(l);
  }
}

static gw_status strike_joint(const gw_sheets_job *job, gw_strikes *out, int joint, int joint_at,
                              const int *part_at) {
  const gw_model *m = job->model;
  const gw_joint *j = &m->joints[joint];
  const gw_seating *s = &job->fit->seatings[joint];
  for (int i = 0; i < 2; ++i) {
    const gw_half *half = &m->halves[i == 0 ? j->entering : j->receiving];
    look l = {.job = job, .out = out, .half = half,
              .mate = &m->halves[i == 0 ? j->receiving : j->entering],
              .part = &m->parts[half->part], .s = s, .spans = i == 0 ? s->e : s->r,
              .kind = j->kind, .joint = joint, .part_at = part_at[half->part],
              .joint_at = joint_at, .depth = i == 0 ? s->depth_e : s->depth_r};
    GW_TRY(strike_half(&l));
  }
  return GW_OK;
}

bool gw_strikes_same_setting(const gw_strike *a, const gw_strike *b) {
  return a->tool == b->tool && a->a == b->a && a->b == b->b && a->c == b->c;
}

static int compare_len(gw_len a, gw_len b) { return a < b ? -1 : a > b; }

static int by_setting(const void *left, const void *right) {
  const gw_strike *a = left, *b = right;
  if (a->tool != b->tool) return a->tool < b->tool ? -1 : 1;
  if (a->a != b->a) return compare_len(a->a, b->a);
  if (a->b != b->b) return compare_len(a->b, b->b);
  if (a->c != b->c) return compare_len(a->c, b->c);
  if (a->part_at != b->part_at) return a->part_at < b->part_at ? -1 : 1;
  int words = strcmp(a->words, b->words);
  if (words != 0) return words;
  if (a->joint_at != b->joint_at) return a->joint_at < b->joint_at ? -1 : 1;
  return strcmp(a->from, b->from);
}

/* Whether a joint was seated: one with surfaces that cannot meet was not. */
static bool was_seated(const gw_seating *s) {
  return s->bound[0].stated || s->bound[1].stated || s->bound[2].stated;
}

gw_status gw_strikes_make(const gw_sheets_job *job, gw_arena *arena, gw_strikes *out) {
  const gw_model *m = job->model;
  *out = (gw_strikes){.arena = arena};
  int *part_at = malloc(((size_t)m->n_parts + 1) * sizeof *part_at);
  if (part_at == NULL) return GW_NO_MEMORY;
  for (int k = 0; k < m->n_parts; ++k) part_at[job->marks->part_walk[k]] = k;
  gw_status status = GW_OK;
  for (int k = 0; k < m->n_joints && status == GW_OK; ++k) {
    int joint = job->marks->joint_walk[k];
    if (was_seated(&job->fit->seatings[joint])) status = strike_joint(job, out, joint, k, part_at);
  }
  if (status == GW_OK) status = gw_strikes_lean(job, part_at, out);
  free(part_at);
  if (out->count > 0) qsort(out->items, out->count, sizeof *out->items, by_setting);
  return status;
}
