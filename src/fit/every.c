/* Tolerances: that some choice of sizes inside them closes every loop is what
 * placing the parts decides.  Here: does every choice?
 *
 * Decided, exactly: along each axis, for each fundamental loop of one spanning
 * forest of the joints (breadth first, so that loops are short), whether the
 * loop closes for every choice of sizes inside the tolerances, when the joints
 * may stand anywhere in their play once the sizes are known.  A part that
 * enters a loop more than once enters with its net share.  Not decided: whether
 * several loops that share a joint's play can all have it at once; sums of
 * loops may be worse than each. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fit/axis.h"
#include "fit/review.h"

/* MAX_STEPS bounds the walk round all loops: about a tenth of a second. */
enum { MAX_SAID = 6, MAX_STEPS = 4000000 };

/* A hundredth of a millimetre is less than anyone can measure in wood. */
static const gw_len NOTHING = GW_MM / 100;

typedef struct loops {
  const gw_model *m;
  const gw_seating *seatings;
  int axis;
  int *parent, *depth, *queue; /* parent: the joint towards the root, or -1 */
  int *share;                  /* of each part's size, in halves; 0 between loops */
  int *touched, n_touched;
  int64_t steps;
} loops;

/* A loop that may not close. */
typedef struct doubt {
  int joint, axis;
  gw_len room, worst, rss; /* play to spare; what tolerances may take of it */
  int largest;             /* the part whose tolerance has the largest share */
} doubt;

typedef struct doubts {
  doubt *items;
  size_t count, room;
} doubts;

/* ---- the forest ------------------------------------------------------------------ */

static int other_end(const gw_model *m, int joint, int part) {
  int e = gw_joint_enters(m, &m->joints[joint]);
  return e == part ? gw_joint_receives(m, &m->joints[joint]) : e;
}

static void grow_from(loops *l, int root) {
  int head = 0, tail = 0;
  l->parent[root] = -1;
  l->depth[root] = 0;
  l->queue[tail++] = root;
  while (head < tail) {
    int at = l->queue[head++];
    const gw_part *part = &l->m->parts[at];
    for (int i = part->first_half; i < part->first_half + part->n_halves; ++i) {
      int joint = l->m->halves[i].joint;
      if (joint < 0 || !l->seatings[joint].bound[l->axis].stated) continue;
      int next = other_end(l->m, joint, at);
      if (l->depth[next] >= 0) continue;
      l->parent[next] = joint;
      l->depth[next] = l->depth[at] + 1;
      l->queue[tail++] = next;
    }
  }
}

static void grow_forest(loops *l) {
  for (int i = 0; i < l->m->n_parts; ++i) l->depth[i] = -1;
  for (int i = 0; i < l->m->n_parts; ++i)
    if (l->depth[i] < 0) grow_from(l, i);
}

/* ---- one loop ---------------------------------------------------------------------- */

static void count_share(loops *l, int part, gw_ref ref, int sign) {
  static const int halves[] = {[GW_REF_LOW] = 0, [GW_REF_HIGH] = 2, [GW_REF_MIDDLE] = 1};
  if (halves[ref] == 0 || l->m->parts[part].tolerance == 0) return;
  if (l->share[part] == 0) l->touched[l->n_touched++] = part;
  l->share[part] += sign * halves[ref];
}

/* Goes over a joint, towards its entering part when `forward`; adds to the
 * range of the sum round the loop. */
static void step(loops *l, int joint, bool forward, gw_len *low, gw_len *high) {
  const gw_bound *b = &l->seatings[joint].bound[l->axis];
  int e = gw_joint_enters(l->m, &l->m->joints[joint]);
  int r = gw_joint_receives(l->m, &l->m->joints[joint]);
  gw_len off = gw_fit_plane(&l->m->parts[r], l->axis, b->r) -
               gw_fit_plane(&l->m->parts[e], l->axis, b->e);
  *low += forward ? b->lo + off : -(b->hi + off);
  *high += forward ? b->hi + off : -(b->lo + off);
  count_share(l, r, b->r, forward ? 1 : -1);
  count_share(l, e, b->e, forward ? -1 : 1);
  l->steps++;
}

/* From part a, and from part b, up to where the two ways meet: one of them is
 * walked forward, the other against the walk. */
static void walk_up(loops *l, int a, int b, gw_len *low, gw_len *high) {
  while (a != b) {
    bool from_a = l->depth[a] >= l->depth[b];
    int at = from_a ? a : b, joint = l->parent[at];
    bool up_enters = gw_joint_enters(l->m, &l->m->joints[joint]) != at;
    step(l, joint, from_a ? up_enters : !up_enters, low, high);
    int next = other_end(l->m, joint, at);
    if (from_a) a = next;
    else b = next;
  }
}

/* What the tolerances come to; empties the shares. */
static void sum_up(loops *l, doubt *d) {
  double squares = 0, largest = 0;
  d->worst = 0;
  d->largest = -1;
  for (int i = 0; i < l->n_touched; ++i) {
    int part = l->touched[i];
    gw_len t = (gw_len)abs(l->share[part]) * l->m->parts[part].tolerance / 2;
    l->share[part] = 0;
    d->worst += t;
    squares += (double)t * (double)t;
    if ((double)t <= largest) continue;
    largest = (double)t;
    d->largest = part;
  }
  l->n_touched = 0;
  d->rss = (gw_len)llround(sqrt(squares));
}

static gw_status try_loop(loops *l, int joint, doubts *all) {
  gw_len low = 0, high = 0;
  doubt d = {.joint = joint, .axis = l->axis};
  step(l, joint, true, &low, &high);
  walk_up(l, gw_joint_enters(l->m, &l->m->joints[joint]),
          gw_joint_receives(l->m, &l->m->joints[joint]), &low, &high);
  sum_up(l, &d);
  d.room = high < -low ? high : -low;
  if (d.worst == 0 || d.worst - d.room <= NOTHING) return GW_OK;
  GW_TRY(gw_grow(&all->items, &all->room, all->count + 1, sizeof *all->items));
  all->items[all->count++] = d;
  return GW_OK;
}

static gw_status try_axis(loops *l, doubts *all) {
  grow_forest(l);
  for (int j = 0; j < l->m->n_joints && l->steps < MAX_STEPS; ++j) {
    if (!l->seatings[j].bound[l->axis].stated) continue;
    int e = gw_joint_enters(l->m, &l->m->joints[j]), r = gw_joint_receives(l->m, &l->m->joints[j]);
    if (l->parent[e] == j || l->parent[r] == j) continue;
    GW_TRY(try_loop(l, j, all));
  }
  return GW_OK;
}

/* ---- words ------------------------------------------------------------------------------ */

static int by_shortfall(const void *left, const void *right) {
  const doubt *a = left, *b = right;
  gw_len short_a = a->worst - a->room, short_b = b->worst - b->room;
  if (short_a != short_b) return short_a > short_b ? -1 : 1;
  if (a->axis != b->axis) return a->axis < b->axis ? -1 : 1;
  return a->joint < b->joint ? -1 : a->joint > b->joint;
}

/* The ids of the parts round the loop, in walking order: `way` is filled with
 * at most l->m->n_parts of them. */
static int way_round(loops *l, const doubt *d, int *way) {
  int a = gw_joint_enters(l->m, &l->m->joints[d->joint]), count = 0, end = l->m->n_parts;
  int b = gw_joint_receives(l->m, &l->m->joints[d->joint]);
  while (a != b) {
    bool from_a = l->depth[a] >= l->depth[b];
    if (from_a) {
      way[count++] = a;
      a = other_end(l->m, l->parent[a], a);
    } else {
      way[--end] = b;
      b = other_end(l->m, l->parent[b], b);
    }
  }
  way[count++] = a;
  while (end < l->m->n_parts) way[count++] = way[end++];
  return count;
}

static char *name_way(const gw_model *m, gw_arena *arena, const int *way, int count) {
  enum { SHOWN = 12 };
  char *text = gw_arena_text(arena, m->parts[way[0]].id);
  for (int i = 1; i < count && text != NULL; ++i) {
    if (i == SHOWN && count > SHOWN + 1) {
      text = gw_arena_printf(arena, "%s – … (%d more)", text, count - SHOWN);
      break;
    }
    text = gw_arena_printf(arena, "%s – %s", text, m->parts[way[i]].id);
  }
  return text == NULL ? NULL : gw_arena_printf(arena, "%s – %s", text, m->parts[way[0]].id);
}

static gw_status say(loops *l, const doubt *d, gw_arena *arena, gw_findings *findings) {
  static const char *const along[3] = {"from left to right", "from front to back",
                                       "from bottom to top"};
  const gw_model *m = l->m;
  int count = way_round(l, d, l->queue);
  char *way = name_way(m, arena, l->queue, count);
  if (way == NULL) return GW_NO_MEMORY;
  const gw_len room = d->room > 0 ? d->room : 0;
  const gw_len value[4] = {d->worst - d->room, d->rss - d->room, d->worst, room};
  char at[4][GW_LEN_TEXT];
  for (int i = 0; i < 4; ++i) gw_len_text(value[i] < 0 ? 0 : value[i], m->units, at[i], GW_LEN_TEXT);
  GW_TRY(gw_find(findings, GW_WARNING, "loop-may-not-close", m->parts[d->largest].line,
                 "the loop %s may miss by %s %s at worst, %s by root-sum-square: the tolerances "
                 "come to %s, the joints give %s; cut %s last, to the piece and not to the "
                 "drawing", way, at[0], along[d->axis], at[1], at[2], at[3],
                 m->parts[d->largest].id));
  for (int i = 0; i < count; ++i) GW_TRY(gw_find_part(findings, l->queue[i]));
  return GW_OK;
}

/* The worst loops, each part's tolerance blamed once along an axis. */
static gw_status say_worst(loops *l, doubts *all, gw_arena *arena, gw_findings *findings) {
  int said[MAX_SAID] = {0}, n_said = 0;
  if (all->count == 0) return GW_OK;
  qsort(all->items, all->count, sizeof *all->items, by_shortfall);
  for (size_t i = 0; i < all->count && n_said < MAX_SAID; ++i) {
    const doubt *d = &all->items[i];
    bool again = false;
    for (int k = 0; k < n_said; ++k)
      again = again || (all->items[said[k]].largest == d->largest &&
                        all->items[said[k]].axis == d->axis);
    if (again) continue;
    said[n_said++] = (int)i;
    if (l->axis != d->axis) {
      l->axis = d->axis;
      grow_forest(l);
    }
    GW_TRY(say(l, d, arena, findings));
  }
  return GW_OK;
}

static gw_status judge(loops *l, gw_arena *arena, doubts *all, gw_findings *findings) {
  int **lists[] = {&l->parent, &l->depth, &l->queue, &l->share, &l->touched};
  for (size_t k = 0; k < sizeof lists / sizeof *lists; ++k) {
    *lists[k] = gw_arena_alloc(arena, (size_t)l->m->n_parts, sizeof(int));
    if (*lists[k] == NULL) return GW_NO_MEMORY;
  }
  for (l->axis = 0; l->axis < 3; ++l->axis) GW_TRY(try_axis(l, all));
  return say_worst(l, all, arena, findings);
}

gw_status gw_fit_every(const gw_model *m, const gw_fit *fit, gw_findings *findings) {
  bool varies = false;
  for (int i = 0; i < m->n_parts; ++i) varies = varies || m->parts[i].tolerance > 0;
  if (!varies) return GW_OK;
  gw_arena *arena = gw_arena_new();
  if (arena == NULL) return GW_NO_MEMORY;
  loops l = {.m = m, .seatings = fit->seatings};
  doubts all = {0};
  gw_status status = judge(&l, arena, &all, findings);
  free(all.items);
  gw_arena_free(arena);
  return status;
}
