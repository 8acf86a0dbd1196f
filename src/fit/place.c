/* Where every part stands: along each axis a system of difference constraints
 * over the lower, middle and upper planes of the parts. */
#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "fit/fit.h"
#include "network/network.h"

/* Constraints of a part's own size carry this tag; those of joints their
 * joint's index. */
enum { SIZE_TAG = -1, MAX_LOOPS = 8 };

/* The nodes of one axis.  A part without tolerance has one node, its lower
 * plane; the others lie at known distances from it.  A part with a tolerance
 * has three, so that its size is one unknown wherever it enters. */
typedef struct planes {
  const gw_model *m;
  int axis;
  int *node; /* of each part's lower plane */
} planes;

static int plane_node(const planes *p, int part, gw_ref ref, gw_len *offset) {
  const gw_part *that = &p->m->parts[part];
  *offset = 0;
  if (that->tolerance > 0) return p->node[part] + (int)ref;
  if (ref == GW_REF_HIGH) *offset = that->size[p->axis];
  if (ref == GW_REF_MIDDLE) *offset = that->size[p->axis] / 2;
  return p->node[part];
}

static gw_status add_part(gw_net *net, planes *p, int part) {
  const gw_part *that = &p->m->parts[part];
  bool varies = that->tolerance > 0;
  GW_TRY(gw_net_add_nodes(net, varies ? 3 : 1, &p->node[part]));
  if (!varies) return GW_OK;
  gw_len size = that->size[p->axis], t = that->tolerance;
  int low = p->node[part];
  GW_TRY(gw_net_between(net, low, low + GW_REF_HIGH, size - t, size + t, SIZE_TAG));
  GW_TRY(gw_net_between(net, low, low + GW_REF_MIDDLE, (size - t) / 2, (size + t) / 2, SIZE_TAG));
  return gw_net_between(net, low + GW_REF_MIDDLE, low + GW_REF_HIGH, (size - t) / 2,
                        (size + t + 1) / 2, SIZE_TAG);
}

static gw_status add_joint(gw_net *net, const planes *p, const gw_fit *fit, int joint) {
  const gw_bound *bound = &fit->seatings[joint].bound[p->axis];
  if (!bound->stated) return GW_OK;
  gw_len off_e, off_r;
  int e = plane_node(p, gw_joint_enters(p->m, &p->m->joints[joint]), bound->e, &off_e);
  int r = plane_node(p, gw_joint_receives(p->m, &p->m->joints[joint]), bound->r, &off_r);
  return gw_net_between(net, r, e, bound->lo + off_r - off_e, bound->hi + off_r - off_e, joint);
}

static gw_status build(gw_net *net, planes *p, const gw_fit *fit) {
  for (int i = 0; i < p->m->n_parts; ++i) GW_TRY(add_part(net, p, i));
  for (int i = 0; i < p->m->n_joints; ++i) GW_TRY(add_joint(net, p, fit, i));
  return GW_OK;
}

/* ---- loops that do not close ------------------------------------------------------- */

static gw_status to_loop(const gw_net *net, const planes *p, const gw_fit *fit,
                         const gw_net_cycle *cycle, gw_arena *arena, gw_fit_loop *loop) {
  loop->axis = p->axis;
  loop->short_by = -cycle->sum;
  loop->length = 0;
  loop->joints = gw_arena_alloc(arena, (size_t)cycle->length, sizeof *loop->joints);
  loop->forward = gw_arena_alloc(arena, (size_t)cycle->length, sizeof *loop->forward);
  loop->high = gw_arena_alloc(arena, (size_t)cycle->length, sizeof *loop->high);
  if (loop->joints == NULL || loop->forward == NULL || loop->high == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < cycle->length; ++i) {
    const gw_net_arc *arc = gw_net_arc_at(net, cycle->constraints[i]);
    if (arc->tag == SIZE_TAG) continue;
    gw_len unused;
    const gw_bound *bound = &fit->seatings[arc->tag].bound[p->axis];
    int e = plane_node(p, gw_joint_enters(p->m, &p->m->joints[arc->tag]), bound->e, &unused);
    loop->joints[loop->length] = arc->tag;
    loop->forward[loop->length] = arc->to == e;
    loop->high[loop->length] = arc->to == e;
    loop->length++;
  }
  return GW_OK;
}

static gw_status say_loops(gw_net *net, const planes *p, const gw_fit *fit, gw_findings *findings) {
  gw_arena *arena = gw_arena_new();
  if (arena == NULL) return GW_NO_MEMORY;
  gw_net_cycle cycles[MAX_LOOPS];
  int count = 0;
  gw_status status = gw_net_bad_cycles(net, arena, MAX_LOOPS, cycles, &count);
  for (int i = 0; i < count && status == GW_OK; ++i) {
    gw_fit_loop loop;
    status = to_loop(net, p, fit, &cycles[i], arena, &loop);
    if (status == GW_OK) status = gw_fit_say_loop(p->m, findings, fit, &loop);
  }
  gw_arena_free(arena);
  return status;
}

/* ---- places -------------------------------------------------------------------------- */

/* A part that can shift by more than this along an axis has no place there. */
static const gw_len STRAY = 40 * GW_MM;

static gw_status say_stray(const planes *p, int part, gw_findings *findings) {
  static const char *const how[3] = {"how far left or right", "how far to the front or back",
                                     "how high"};
  static const char *const which[3] = {"from-left or from-right", "from-front or from-back",
                                       "from-bottom or from-top"};
  const gw_part *that = &p->m->parts[part];
  GW_TRY(gw_find(findings, GW_ERROR, "no-place", that->line,
                 "nothing says %s %s stands in the piece; give %s on one of its joints",
                 how[p->axis], that->id, which[p->axis]));
  return gw_find_part(findings, part);
}

static bool strays(gw_len low, gw_len high) {
  return low <= -GW_NET_FAR || high >= GW_NET_FAR || high - low > STRAY;
}

/* Whether a part that was spoken of already takes this one along: one missing
 * place is said once, however many parts hang on it. */
static gw_status spoken_of(gw_net *net, const planes *p, int part, const bool *said, bool *out) {
  *out = false;
  for (int i = 0; i < part && !*out; ++i) {
    if (!said[i]) continue;
    int64_t low, high;
    GW_TRY(gw_net_slack(net, p->node[i], p->node[part], &low, &high));
    *out = !strays(low, high);
  }
  return GW_OK;
}

/* Midway between the lowest and the highest place is a place too: the
 * solutions of a system of difference constraints are convex. */
static gw_status take_places(gw_net *net, const planes *p, const int64_t *least,
                             const int64_t *most, gw_fit *fit, gw_findings *findings, bool *said,
                             bool *all) {
  for (int i = 0; i < p->m->n_parts; ++i) {
    int node = p->node[i];
    if (strays(least[node], most[node])) {
      bool again;
      *all = false;
      GW_TRY(spoken_of(net, p, i, said, &again));
      if (again) continue;
      said[i] = true;
      GW_TRY(say_stray(p, i, findings));
      continue;
    }
    gw_len at = least[node] + (most[node] - least[node]) / 2;
    fit->boxes[i].lo[p->axis] = at;
    fit->boxes[i].hi[p->axis] = at + p->m->parts[i].size[p->axis];
  }
  return GW_OK;
}

/* ---- distances that are asked for ------------------------------------------------------ */

static gw_ref side_ref(gw_dir side) { return gw_dir_sign(side) > 0 ? GW_REF_HIGH : GW_REF_LOW; }

static gw_len side_at(const gw_box *box, gw_dir side) {
  int axis = gw_dir_axis(side);
  return gw_dir_sign(side) > 0 ? box->hi[axis] : box->lo[axis];
}

static gw_status say_gauge(const planes *p, const gw_gauge *gauge, gw_len is, gw_len low,
                           gw_len high, gw_findings *findings) {
  char at[5][GW_LEN_TEXT];
  const gw_len value[5] = {is, gauge->least, gauge->most, low, high};
  for (int i = 0; i < 5; ++i) gw_len_text(value[i], p->m->units, at[i], GW_LEN_TEXT);
  bool off = is < gauge->least || is > gauge->most;
  GW_TRY(gw_find(findings, off ? GW_ERROR : GW_WARNING, off ? "gauge-off" : "gauge-tight",
                 gauge->line, "%s: from the %s side of %s to the %s side of %s is %s (%s to %s with "
                 "the play of the joints and the tolerances); %s to %s is asked for", gauge->name,
                 gw_dir_name(gauge->side[0]), p->m->parts[gauge->part[0]].id,
                 gw_dir_name(gauge->side[1]), p->m->parts[gauge->part[1]].id, at[0], at[3], at[4],
                 at[1], at[2]));
  GW_TRY(gw_find_part(findings, gauge->part[0]));
  return gw_find_part(findings, gauge->part[1]);
}

/* As placed it is an error; with the worst that play and tolerances can do, a
 * warning. */
static gw_status check_gauges(gw_net *net, const planes *p, const gw_fit *fit,
                              gw_findings *findings) {
  for (int i = 0; i < p->m->n_gauges; ++i) {
    const gw_gauge *g = &p->m->gauges[i];
    if ((int)gw_dir_axis(g->side[0]) != p->axis) continue;
    gw_len off[2], low, high;
    int from = plane_node(p, g->part[0], side_ref(g->side[0]), &off[0]);
    int to = plane_node(p, g->part[1], side_ref(g->side[1]), &off[1]);
    GW_TRY(gw_net_slack(net, from, to, &low, &high));
    low += off[1] - off[0];
    high += off[1] - off[0];
    gw_len is = side_at(&fit->boxes[g->part[1]], g->side[1]) -
                side_at(&fit->boxes[g->part[0]], g->side[0]);
    if (low >= g->least && high <= g->most) continue;
    GW_TRY(say_gauge(p, g, is, low, high, findings));
  }
  return GW_OK;
}

/* The part that receives the most, less what it enters, stands still: others
 * are placed from it, so that slack adds up over as few joints as can be. */
static int choose_root(const gw_model *m) {
  int root = 0, best = INT_MIN;
  for (int i = 0; i < m->n_parts; ++i) {
    const gw_part *part = &m->parts[i];
    int score = 0;
    for (int k = part->first_half; k < part->first_half + part->n_halves; ++k)
      score += m->halves[k].enters ? -1 : 1;
    if (score <= best) continue;
    best = score;
    root = i;
  }
  return root;
}

static gw_status place_axis(gw_net *net, planes *p, gw_fit *fit, gw_findings *findings,
                            bool *closes) {
  GW_TRY(build(net, p, fit));
  size_t nodes = (size_t)gw_net_nodes(net);
  int64_t *least = malloc(nodes * sizeof *least), *most = malloc(nodes * sizeof *most);
  bool *said = calloc((size_t)p->m->n_parts, sizeof *said);
  gw_status status = GW_NO_MEMORY;
  if (least != NULL && most != NULL && said != NULL) {
    status = gw_net_range(net, p->node[choose_root(p->m)], least, most);
    if (status == GW_BAD_INPUT) {
      *closes = false;
      status = say_loops(net, p, fit, findings);
    } else if (status == GW_OK) {
      status = take_places(net, p, least, most, fit, findings, said, closes);
      if (status == GW_OK && *closes) status = check_gauges(net, p, fit, findings);
    }
  }
  free(said);
  free(least);
  free(most);
  return status;
}

/* Moves the whole piece so that its lowest corner is the origin. */
static void settle(const gw_model *m, gw_fit *fit) {
  for (int axis = 0; axis < 3; ++axis) {
    gw_len low = INT64_MAX, high = INT64_MIN;
    for (int i = 0; i < m->n_parts; ++i) {
      if (fit->boxes[i].lo[axis] < low) low = fit->boxes[i].lo[axis];
      if (fit->boxes[i].hi[axis] > high) high = fit->boxes[i].hi[axis];
    }
    for (int i = 0; i < m->n_parts; ++i) {
      fit->boxes[i].lo[axis] -= low;
      fit->boxes[i].hi[axis] -= low;
    }
    fit->extent[axis] = high - low;
  }
}

gw_status gw_fit_place(const gw_model *m, gw_findings *findings, gw_fit *fit, bool *closes) {
  *closes = true;
  int *node = malloc((size_t)m->n_parts * sizeof *node);
  if (node == NULL) return GW_NO_MEMORY;
  gw_status status = GW_OK;
  for (int axis = 0; axis < 3 && status == GW_OK; ++axis) {
    planes p = {m, axis, node};
    gw_net *net = gw_net_new();
    status = net == NULL ? GW_NO_MEMORY : place_axis(net, &p, fit, findings, closes);
    gw_net_free(net);
  }
  free(node);
  if (status == GW_OK && *closes) settle(m, fit);
  return status;
}
