/* Where every part stands: along each axis a system of difference constraints
 * over the lower, middle and upper planes of the parts. */
#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "fit/axis.h"

/* FEW_JOINTS: see stray_limit. */
enum { MAX_LOOPS = 8, MAX_STRAYS = 20, FEW_JOINTS = 100 };

/* ---- loops that do not close ------------------------------------------------------- */

static gw_status to_loop(const gw_fit_axis *p, const gw_fit *fit,
                         const gw_net_cycle *cycle, gw_arena *arena, gw_fit_loop *loop) {
  loop->axis = p->axis;
  loop->short_by = -cycle->sum;
  loop->length = 0;
  loop->joints = gw_arena_alloc(arena, (size_t)cycle->length, sizeof *loop->joints);
  loop->forward = gw_arena_alloc(arena, (size_t)cycle->length, sizeof *loop->forward);
  loop->high = gw_arena_alloc(arena, (size_t)cycle->length, sizeof *loop->high);
  if (loop->joints == NULL || loop->forward == NULL || loop->high == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < cycle->length; ++i) {
    const gw_net_arc *arc = gw_net_arc_at(p->net, cycle->constraints[i]);
    if (arc->tag == GW_FIT_SIZE_TAG) continue;
    gw_len unused;
    const gw_bound *bound = &fit->seatings[arc->tag].bound[p->axis];
    loop->short_by += bound->give; /* what is missing is told from the middle */
    int e = gw_fit_axis_node(p, gw_joint_enters(p->m, &p->m->joints[arc->tag]), bound->e, &unused);
    loop->joints[loop->length] = arc->tag;
    loop->forward[loop->length] = arc->to == e;
    loop->high[loop->length] = arc->to == e;
    loop->length++;
  }
  return GW_OK;
}

static gw_status say_loops(const gw_fit_axis *p, const gw_fit *fit, gw_findings *findings) {
  gw_arena *arena = gw_arena_new();
  if (arena == NULL) return GW_NO_MEMORY;
  gw_net_cycle cycles[MAX_LOOPS];
  int count = 0;
  gw_status status = gw_net_bad_cycles(p->net, arena, MAX_LOOPS, cycles, &count);
  for (int i = 0; i < count && status == GW_OK; ++i) {
    gw_fit_loop loop;
    status = to_loop(p, fit, &cycles[i], arena, &loop);
    if (status == GW_OK) status = gw_fit_say_loop(p->m, findings, fit, &loop);
  }
  gw_arena_free(arena);
  return status;
}

/* ---- places -------------------------------------------------------------------------- */

/* A part that can shift by more than this along an axis has no place there. */
static const gw_len STRAY = 40 * GW_MM;

static gw_status say_stray(const gw_fit_axis *p, int part, gw_findings *findings) {
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

/* What is known while parts are given their places along an axis. */
typedef struct placing {
  const gw_fit_axis *axis;
  int64_t *least, *most; /* of each node, from the part that stands still */
  int64_t *low, *high;   /* the same from a part that was spoken of last */
  bool *spoken;          /* of each part: its missing place was said, or goes along with one */
  int said;
  gw_len limit;          /* a part that can shift by more than this strays */
} placing;

/* Small play adds up along a long row, and so do tolerances: that is no
 * straying. */
static gw_len stray_limit(const gw_fit_axis *p, const gw_fit *fit) {
  static const gw_len small = 5 * GW_MM;
  gw_len limit = STRAY;
  for (int i = 0; i < p->m->n_parts; ++i) limit += 2 * p->m->parts[i].tolerance;
  for (int i = 0; i < p->m->n_joints; ++i) {
    const gw_bound *bound = &fit->seatings[i].bound[p->axis];
    gw_len play = bound->stated ? bound->hi - bound->lo : 0;
    /* That of the first few lies within STRAY. */
    if (play <= small && i >= FEW_JOINTS) limit += play;
  }
  return limit;
}

static bool strays(const placing *k, gw_len low, gw_len high) {
  return low <= -GW_NET_FAR || high >= GW_NET_FAR || high - low > k->limit;
}

/* One missing place is said once, however many parts hang on it. */
static gw_status speak_of(placing *k, int part, gw_findings *findings) {
  const gw_fit_axis *p = k->axis;
  if (k->spoken[part] || k->said == MAX_STRAYS) return GW_OK;
  k->said++;
  GW_TRY(say_stray(p, part, findings));
  GW_TRY(gw_net_range(p->net, p->node[part], k->low, k->high));
  for (int i = 0; i < p->m->n_parts; ++i)
    if (!strays(k, k->low[p->node[i]], k->high[p->node[i]])) k->spoken[i] = true;
  return GW_OK;
}

/* Midway between the lowest and the highest place is a place too: the
 * solutions of a system of difference constraints are convex. */
static gw_status take_places(placing *k, gw_fit *fit, gw_findings *findings, bool *all) {
  const gw_fit_axis *p = k->axis;
  for (int i = 0; i < p->m->n_parts; ++i) {
    int node = p->node[i];
    if (strays(k, k->least[node], k->most[node])) {
      *all = false;
      GW_TRY(speak_of(k, i, findings));
      continue;
    }
    gw_len at = k->least[node] + (k->most[node] - k->least[node]) / 2;
    fit->boxes[i].lo[p->axis] = at;
    fit->boxes[i].hi[p->axis] = at + p->m->parts[i].size[p->axis];
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

static gw_status place_with(placing *k, gw_fit *fit, gw_findings *findings, bool *closes) {
  const gw_fit_axis *p = k->axis;
  k->limit = stray_limit(p, fit);
  gw_status status = gw_net_range(p->net, p->node[choose_root(p->m)], k->least, k->most);
  if (status == GW_OK) return take_places(k, fit, findings, closes);
  if (status != GW_BAD_INPUT) return status;
  *closes = false;
  return say_loops(p, fit, findings);
}

static gw_status place_axis(const gw_fit_axis *p, gw_fit *fit, gw_findings *findings,
                            bool *closes) {
  size_t nodes = (size_t)gw_net_nodes(p->net);
  int64_t *ranges = calloc(4 * nodes, sizeof *ranges);
  placing k = {.axis = p, .spoken = calloc((size_t)p->m->n_parts, sizeof *k.spoken)};
  gw_status status = GW_NO_MEMORY;
  if (ranges != NULL && k.spoken != NULL) {
    k.least = ranges;
    k.most = ranges + nodes;
    k.low = ranges + 2 * nodes;
    k.high = ranges + 3 * nodes;
    status = place_with(&k, fit, findings, closes);
  }
  free(k.spoken);
  free(ranges);
  return status;
}

/* Moves the whole piece so that its lowest corner is the origin. */
static void settle(const gw_model *m, gw_fit *fit) {
  for (int axis = 0; axis < 3; ++axis) {
    gw_len low = INT64_MAX, high = INT64_MIN;
    for (int i = 0; i < m->n_parts; ++i) {
      const gw_box box = gw_fit_around(fit, i);
      if (box.lo[axis] < low) low = box.lo[axis];
      if (box.hi[axis] > high) high = box.hi[axis];
    }
    for (int i = 0; i < m->n_parts; ++i) {
      fit->boxes[i].lo[axis] -= low;
      fit->boxes[i].hi[axis] -= low;
    }
    fit->extent[axis] = high - low;
  }
}

gw_status gw_fit_place_along(const gw_model *m, gw_findings *findings, gw_fit *fit, int axis,
                             bool *closes) {
  gw_fit_axis a;
  gw_status status = gw_fit_axis_build(m, fit->seatings, axis, &a);
  if (status == GW_OK) status = place_axis(&a, fit, findings, closes);
  gw_fit_axis_clear(&a);
  return status;
}

gw_status gw_fit_place(const gw_model *m, gw_findings *findings, gw_fit *fit, bool *closes) {
  *closes = true;
  bool leans = false;
  for (int i = 0; i < m->n_parts && !leans; ++i) leans = gw_leans(m->parts[i].lean);
  for (int k = 0; k < 3; ++k) {
    /* Heights first: how far a part that leans has shifted hangs on them. */
    int axis = leans ? (k + GW_Z) % 3 : k;
    if (leans && axis == GW_X && !*closes) return GW_OK;
    if (leans && axis == GW_X) GW_TRY(gw_fit_lean(m, fit));
    GW_TRY(gw_fit_place_along(m, findings, fit, axis, closes));
  }
  if (*closes) settle(m, fit);
  return GW_OK;
}
