/* Distances between two surfaces that the project asks for. */
#include <math.h>

#include "fit/axis.h"
#include "fit/review.h"

static gw_ref side_ref(gw_dir side) { return gw_dir_sign(side) > 0 ? GW_REF_HIGH : GW_REF_LOW; }

static gw_len side_at(const gw_box *box, gw_dir side) {
  int axis = gw_dir_axis(side);
  return gw_dir_sign(side) > 0 ? box->hi[axis] : box->lo[axis];
}

/* A play beyond this (10 mm either way) is no matter of chance; squares of more
 * would not fit the sums of the network. */
static const int64_t MOST_PLAY = 10 * GW_MM;

/* The square of half the room between the two constraints of a pair. */
static int64_t variance(int64_t up, int64_t down) {
  int64_t half = (up + down + 1) / 2;
  if (half < 0) half = 0;
  if (half > MOST_PLAY) half = MOST_PLAY;
  return half * half;
}

/* In the system of squares each plane is two nodes: where a chain comes onto
 * its part, and where it leaves it.  So a part enters a chain once, by the two
 * planes that the chain touches: its halves do not vary apart. */
static int comes(int node) { return 2 * node; }
static int leaves(int node) { return 2 * node + 1; }

static gw_status add_squares(gw_net *squares, const gw_net_arc *up, const gw_net_arc *down) {
  int64_t w = variance(up->w, down->w);
  if (up->tag == GW_FIT_SIZE_TAG) {
    GW_TRY(gw_net_at_most(squares, comes(up->from), leaves(up->to), w, 0));
    return gw_net_at_most(squares, comes(up->to), leaves(up->from), w, 0);
  }
  GW_TRY(gw_net_at_most(squares, leaves(up->from), comes(up->to), w, 0));
  return gw_net_at_most(squares, leaves(up->to), comes(up->from), w, 0);
}

/* Squares add up along a chain: the smallest sum between two planes is a
 * shortest distance in a system whose weights are the squares. */
static gw_status least_variance(const gw_net *net, int from, int to, int64_t *out) {
  const int nodes = gw_net_nodes(net);
  gw_net *squares = gw_net_new();
  gw_status status = squares == NULL ? GW_NO_MEMORY : GW_OK;
  if (status == GW_OK) status = gw_net_add_nodes(squares, 2 * nodes, NULL);
  for (int k = 0; k < nodes && status == GW_OK; ++k)
    status = gw_net_at_most(squares, comes(k), leaves(k), 0, 0);
  for (int k = 0; k + 1 < gw_net_constraints(net) && status == GW_OK; k += 2)
    status = add_squares(squares, gw_net_arc_at(net, k), gw_net_arc_at(net, k + 1));
  int64_t low;
  if (status == GW_OK) status = gw_net_slack(squares, comes(from), leaves(to), &low, out);
  gw_net_free(squares);
  return status;
}

/* ---- surfaces that lean --------------------------------------------------------------- */

static int32_t lean_of(const gw_fit *fit, const gw_gauge *g, int end) {
  bool level = gw_dir_axis(g->side[end]) == GW_Z;
  return level || fit->slants == NULL ? 0 : fit->slants[g->part[end]].side[g->side[end]];
}

static gw_len height_of(const gw_fit *fit, const gw_gauge *g) {
  const gw_box *a = &fit->boxes[g->part[0]], *b = &fit->boxes[g->part[1]];
  gw_len low = a->lo[GW_Z] > b->lo[GW_Z] ? a->lo[GW_Z] : b->lo[GW_Z];
  gw_len high = a->hi[GW_Z] < b->hi[GW_Z] ? a->hi[GW_Z] : b->hi[GW_Z];
  return lean_of(fit, g, 0) == 0 && lean_of(fit, g, 1) == 0 ? GW_UNSET : low + (high - low) / 2;
}

/* How far a surface has shifted there from where it is midway up its part. */
static gw_len shifted(const gw_fit *fit, const gw_gauge *g, int end, gw_len height) {
  gw_solid solid = gw_fit_solid(fit, g->part[end], fit->boxes[g->part[end]]);
  return height == GW_UNSET ? 0 : gw_lean_shift(lean_of(fit, g, end), height - solid.at);
}

/* ---- measuring ------------------------------------------------------------------------ */

static gw_status measure(const gw_fit_axis *a, const gw_fit *fit, const gw_gauge *g,
                         gw_gauged *out) {
  gw_len off[2];
  int from = gw_fit_axis_node(a, g->part[0], side_ref(g->side[0]), &off[0]);
  int to = gw_fit_axis_node(a, g->part[1], side_ref(g->side[1]), &off[1]);
  int64_t squares;
  GW_TRY(gw_net_slack(a->net, from, to, &out->least, &out->most));
  GW_TRY(least_variance(a->net, from, to, &squares));
  out->height = height_of(fit, g);
  gw_len more = shifted(fit, g, 1, out->height) - shifted(fit, g, 0, out->height);
  out->least += off[1] - off[0] + more;
  out->most += off[1] - off[0] + more;
  out->nominal = side_at(&fit->boxes[g->part[1]], g->side[1]) -
                 side_at(&fit->boxes[g->part[0]], g->side[0]) + more;
  gw_len room = (out->most - out->least + 1) / 2;
  out->rss = (gw_len)llround(sqrt((double)squares));
  if (out->rss > room) out->rss = room;
  return GW_OK;
}

gw_status gw_fit_gauge(const gw_model *m, const gw_fit *fit, const gw_gauge *g, gw_gauged *out) {
  gw_fit_axis a;
  gw_status status = gw_fit_axis_build(m, fit->seatings, gw_dir_axis(g->side[0]), &a);
  if (status == GW_OK) status = measure(&a, fit, g, out);
  gw_fit_axis_clear(&a);
  return status;
}

static const char *unit_of(const gw_model *m) {
  return m->units == GW_UNITS_MM ? "mm" : "in";
}

/* What it can come to, in brackets; nothing when it cannot be anything else. */
static void say_range(const gw_model *m, const gw_gauged *is, char *buffer, size_t size) {
  const gw_len value[4] = {is->least, is->most, is->nominal - is->rss, is->nominal + is->rss};
  char at[4][GW_LEN_TEXT];
  buffer[0] = '\0';
  if (is->least == is->most) return;
  for (int i = 0; i < 4; ++i) gw_len_text(value[i], m->units, at[i], GW_LEN_TEXT);
  snprintf(buffer, size,
           " (with the play of the joints and the tolerances %s to %s %s at worst, %s to %s %s by "
           "root-sum-square)", at[0], at[1], unit_of(m), at[2], at[3], unit_of(m));
}

/* "the left side", "the top", "the underside". */
static const char *side_words(gw_dir side, char *buffer, size_t size) {
  if (gw_dir_axis(side) == GW_Z) return gw_dir_sign(side) > 0 ? "the top" : "the underside";
  snprintf(buffer, size, "the %s side", gw_dir_name(side));
  return buffer;
}

/* At what height, where that makes a difference. */
static void say_height(const gw_model *m, const gw_gauged *is, char *buffer, size_t size) {
  char height[GW_LEN_TEXT];
  buffer[0] = '\0';
  if (is->height == GW_UNSET) return;
  gw_len_text(is->height, m->units, height, sizeof height);
  snprintf(buffer, size, ", measured at a height of %s %s above the floor,", height,
           unit_of(m));
}

static gw_status say(const gw_model *m, const gw_gauge *g, const gw_gauged *is,
                     gw_severity severity, const char *code, const char *advice,
                     gw_findings *findings) {
  const gw_len value[3] = {is->nominal, g->least, g->most};
  char at[3][GW_LEN_TEXT], range[256], height[96], sides[2][32], asked[2 * GW_LEN_TEXT + 8];
  for (int i = 0; i < 3; ++i) gw_len_text(value[i], m->units, at[i], GW_LEN_TEXT);
  say_range(m, is, range, sizeof range);
  say_height(m, is, height, sizeof height);
  snprintf(asked, sizeof asked, g->least == g->most ? "%s" : "%s to %s", at[1], at[2]);
  GW_TRY(gw_find(findings, severity, code, g->line,
                 "%s: from %s of %s to %s of %s%s is %s %s%s; %s %s is asked for%s", g->name,
                 side_words(g->side[0], sides[0], sizeof sides[0]), m->parts[g->part[0]].id,
                 side_words(g->side[1], sides[1], sizeof sides[1]), m->parts[g->part[1]].id, height,
                 at[0], unit_of(m), range, asked, unit_of(m), advice));
  GW_TRY(gw_find_part(findings, g->part[0]));
  return gw_find_part(findings, g->part[1]);
}

static gw_status judge(const gw_model *m, const gw_gauge *g, const gw_gauged *is, bool notes,
                       gw_findings *findings) {
  bool missed = is->nominal < g->least || is->nominal > g->most;
  bool at_worst = is->least < g->least || is->most > g->most;
  if (notes)
    return missed || at_worst ? GW_OK : say(m, g, is, GW_NOTE, "gauge", "", findings);
  if (missed)
    return say(m, g, is, GW_ERROR, "gauge-missed",
               "; change a size between the two, or what is asked for", findings);
  if (!at_worst) return GW_OK;
  return say(m, g, is, GW_WARNING, "gauge-worst-case",
             "; measure before the glue, or work to a smaller tolerance", findings);
}

gw_status gw_fit_gauges(const gw_model *m, const gw_fit *fit, gw_findings *findings, bool notes) {
  for (int axis = 0; axis < 3; ++axis) {
    gw_fit_axis a = {0};
    gw_status status = GW_OK;
    for (int i = 0; i < m->n_gauges && status == GW_OK; ++i) {
      gw_gauged is;
      if ((int)gw_dir_axis(m->gauges[i].side[0]) != axis) continue;
      if (a.net == NULL) status = gw_fit_axis_build(m, fit->seatings, axis, &a);
      if (status == GW_OK) status = measure(&a, fit, &m->gauges[i], &is);
      if (status == GW_OK) status = judge(m, &m->gauges[i], &is, notes, findings);
    }
    gw_fit_axis_clear(&a);
    GW_TRY(status);
  }
  return GW_OK;
}
