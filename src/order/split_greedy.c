/* split_greedy.c - an order for pieces of any size, split by split.
 *
 * A group is split again and again into a small side and the rest, the rest in
 * a loop and the small sides afterwards, until what is left fits the masks of
 * split_exact.c.  Two ways of choosing: `even` looks at single parts and at
 * components of the blocking graph with all they must take along, and takes
 * the split that loses least (adds least to the bound) by part of its smaller
 * side; otherwise single parts are taken away as long as that does not break
 * what holds the rest together, with counters instead of searches. */
#include <stdlib.h>
#include <string.h>

#include "order/split_internal.h"

#define LEAF_BUDGET 100000 /* splits looked at in a leaf, to have it exact */
#define LOOKS 64           /* components looked at along one axis by `even` */
#define FEW_LOOKS 4        /* otherwise, and when the budget is spent */
#define SET_SHARE 64       /* parts of a group that count as one split looked at */

/* A split found: `small` of n_small parts against the rest of the group. */
typedef struct choice {
  int64_t least; /* own cost and what the sides cannot cost less than */
  double loss;   /* what that adds to the group's bound, by part of the smaller side */
  int *small;
  int n_small, dir, axis;
  bool small_moves, small_first, tidy, found;
} choice;

typedef struct greedy {
  gw_split_search *s;
  const gw_split_graph *g;
  gw_split_plan *plan;
  bool even;
  int *label, n_labels;  /* which group a part is in */
  int *out, *in;         /* by axis and part: arcs inside the group */
  int *bind;             /* next part of the wished group that binds it, or -1 */
  bool *hinge;           /* without it the group falls into more pieces */
  int *component, *side; /* scratch by part */
  int *stack, *index, *low, *next, *list, *seeds;
  const gw_split_wish **wished; /* groups in force, by size */
  int n_wished;
} greedy;

typedef struct group {
  int *parts; /* ascending */
  int n, label, pieces, parent; /* parent: axis of the join above, or -1 */
  int64_t glued, mass;
  int heaviest, second; /* parts; second -1 when alone */
  int64_t least;        /* what it cannot cost less than */
} group;

static bool inside(const greedy *r, const group *q, int v) { return r->label[v] == q->label; }

/* ---- a group's figures ---- */

static void measure(const greedy *r, group *q) {
  const gw_split_lists *at = &r->g->at;
  int64_t twice = 0;
  q->mass = 0;
  q->heaviest = q->second = -1;
  for (int i = 0; i < q->n; i++) {
    int v = q->parts[i];
    int64_t m = gw_split_mass(r->g, v);
    q->mass += m;
    if (q->heaviest < 0 || m > gw_split_mass(r->g, q->heaviest)) {
      q->second = q->heaviest;
      q->heaviest = v;
    } else if (q->second < 0 || m > gw_split_mass(r->g, q->second)) {
      q->second = v;
    }
    for (int k = at->start[v]; k < at->start[v + 1]; k++)
      twice += inside(r, q, at->to[k]) && r->g->p->joints[at->joint[k]].glued;
  }
  q->glued = twice / 2;
}

static int degree(const greedy *r, const group *q, const gw_split_lists *lists, int v) {
  int n = 0;
  for (int k = lists->start[v]; k < lists->start[v + 1]; k++) n += inside(r, q, lists->to[k]);
  return n;
}

static int *arcs_at(const greedy *r, int *counts, int axis, int v) {
  return &counts[(size_t)axis * (size_t)r->g->n + (size_t)v];
}

static void count_arcs(greedy *r, const group *q) {
  for (int a = 0; a < r->g->n_axes; a++)
    for (int i = 0; i < q->n; i++) {
      int v = q->parts[i];
      *arcs_at(r, r->out, a, v) = degree(r, q, &r->g->stops[a], v);
      *arcs_at(r, r->in, a, v) = degree(r, q, &r->g->stopped[a], v);
    }
}

/* v leaves the group: its arcs no longer count for those that stay. */
static void uncount_arcs(greedy *r, int v) {
  for (int a = 0; a < r->g->n_axes; a++) {
    const gw_split_lists *stops = &r->g->stops[a], *stopped = &r->g->stopped[a];
    for (int k = stops->start[v]; k < stops->start[v + 1]; k++)
      --*arcs_at(r, r->in, a, stops->to[k]);
    for (int k = stopped->start[v]; k < stopped->start[v + 1]; k++)
      --*arcs_at(r, r->out, a, stopped->to[k]);
  }
}

/* Ties the parts of wished groups that lie inside the group and are not all of
 * it; a larger group's ring replaces that of a smaller one inside it. */
static void bind_groups(greedy *r, const group *q) {
  for (int i = 0; i < q->n; i++) r->bind[q->parts[i]] = -1;
  for (int i = 0; i < r->n_wished; i++) {
    const gw_split_wish *w = r->wished[i];
    if (w->n_parts < 2 || w->n_parts >= q->n || !inside(r, q, w->parts[0])) continue;
    for (int k = 0; k < w->n_parts; k++) r->bind[w->parts[k]] = w->parts[(k + 1) % w->n_parts];
  }
}

/* ---- pieces and hinges (Hopcroft and Tarjan 1973) ---- */

static void hinge_enter(greedy *r, int v, int *depth, int *clock) {
  r->index[v] = r->low[v] = ++*clock;
  r->next[v] = r->g->at.start[v];
  r->hinge[v] = false;
  r->stack[(*depth)++] = v;
}

/* A part below the first is a hinge when something beyond it reaches no
 * higher; the first when it has two branches. */
static void hinge_leave(greedy *r, int *depth, int *branches) {
  int v = r->stack[--*depth];
  if (*depth == 0) return;
  int up = r->stack[*depth - 1];
  if (r->low[v] < r->low[up]) r->low[up] = r->low[v];
  if (*depth == 1)
    ++*branches;
  else if (r->low[v] >= r->index[up])
    r->hinge[up] = true;
}

static void find_hinges(greedy *r, group *q) {
  const gw_split_lists *at = &r->g->at;
  int clock = 0;
  q->pieces = 0;
  for (int i = 0; i < q->n; i++) r->index[q->parts[i]] = 0;
  for (int i = 0; i < q->n; i++) {
    int first = q->parts[i], depth = 0, branches = 0;
    if (r->index[first]) continue;
    q->pieces++;
    hinge_enter(r, first, &depth, &clock);
    while (depth > 0) {
      int v = r->stack[depth - 1], w = r->next[v] < at->start[v + 1] ? at->to[r->next[v]++] : -1;
      if (w < 0)
        hinge_leave(r, &depth, &branches);
      else if (!inside(r, q, w))
        continue;
      else if (r->index[w] == 0)
        hinge_enter(r, w, &depth, &clock);
      else if (r->index[w] < r->low[v])
        r->low[v] = r->index[w];
    }
    r->hinge[first] = branches > 1;
  }
}

/* ---- choosing ---- */

/* What the wishes ask of the parts with side 0 against the rest, side 1. */
static int part_side(const greedy *r, const group *q, int v) {
  return inside(r, q, v) ? r->side[v] : -1;
}

static int joint_side(const greedy *r, const group *q, int j) {
  int a = part_side(r, q, r->g->p->joints[j].a), b = part_side(r, q, r->g->p->joints[j].b);
  if (a < 0 || b < 0) return -1;
  return a == b ? a : 2;
}

static gw_split_ask ask(const greedy *r, const group *q, int n_zero) {
  gw_split_ask all = GW_SPLIT_FREE;
  int n_one = q->n - n_zero;
  for (int i = 0; i < r->g->p->n_wishes; i++) {
    const gw_split_wish *w = &r->g->p->wishes[i];
    if (!r->s->active[i] || w->kind == GW_SPLIT_GROUP_FIRST) continue;
    if (w->kind == GW_SPLIT_PART_BEFORE) {
      int x = part_side(r, q, w->x), y = part_side(r, q, w->y);
      bool alone_x = (x == 0 ? n_zero : n_one) == 1, alone_y = (y == 0 ? n_zero : n_one) == 1;
      all = gw_split_ask_both(all, gw_split_ask_part(x, alone_x, y, alone_y, w->strict));
    } else {
      int x = joint_side(r, q, w->x), y = joint_side(r, q, w->y);
      all = gw_split_ask_both(all, gw_split_ask_joint(x, y, w->strict));
    }
  }
  return all;
}

/* A set against the rest of its group: the loads of either as the one that
 * moves, and the least that both can cost. */
typedef struct trial {
  const int *set;
  int n;
  gw_split_load set_moves, rest_moves;
  int64_t sides;
  bool tidy;
} trial;

static bool better(const greedy *r, const choice *a, const choice *b) {
  if (!b->found) return true;
  if (a->tidy != b->tidy) return a->tidy;
  if (r->even && (a->loss < b->loss || a->loss > b->loss)) return a->loss < b->loss;
  return a->least < b->least;
}

static int smaller_side(const group *q, const trial *t) {
  return 2 * t->n <= q->n ? t->n : q->n - t->n;
}

/* Takes the trial as the choice when its motion along one axis is better.
 * `leaves`: the set can leave along the axis' direction; else the rest can. */
static void offer(greedy *r, const group *q, const trial *t, int axis, bool leaves,
                  choice *best) {
  const gw_split_graph *g = r->g;
  bool small = 2 * t->n <= q->n;
  for (int way = 0; way < 2; way++) {
    choice c = {.dir = way == 0 ? g->axis_dir[axis] : g->axis_back[axis], .axis = axis,
                .small = best->small, .tidy = t->tidy, .found = true};
    if (c.dir < 0) continue;
    bool set_moves = leaves == (way == 0);
    gw_split_load load = set_moves ? t->set_moves : t->rest_moves;
    load.dir = c.dir;
    load.turns = q->parent >= 0 && q->parent != axis; /* by the join above */
    load.turned = load.turns * q->mass;
    c.least = gw_split_price(g->p, &load).total + t->sides;
    c.loss = (double)(c.least - q->least) / smaller_side(q, t);
    c.small_moves = set_moves == small;
    r->s->nodes++;
    if (!better(r, &c, best)) continue;
    gw_split_ask asked = ask(r, q, t->n);
    if (asked == GW_SPLIT_BROKEN) continue;
    c.small_first = asked == GW_SPLIT_FREE ? !c.small_moves
                                           : (asked == GW_SPLIT_ZERO_FIRST) == small;
    for (int i = 0; i < q->n; i++)
      if ((r->side[q->parts[i]] == 0) == small) c.small[c.n_small++] = q->parts[i];
    *best = c;
  }
}

/* ---- single parts ---- */

static void weigh_single(const greedy *r, const group *q, int v, trial *t) {
  const gw_split_lists *at = &r->g->at;
  gw_split_load load = {.bodies = 2, .parts = q->n};
  int for_v = 0, for_rest = 0;
  for (int k = at->start[v]; k < at->start[v + 1]; k++) {
    const gw_split_joint *j = &r->g->p->joints[at->joint[k]];
    if (!inside(r, q, at->to[k])) continue;
    load.glued += j->glued;
    load.dry += !j->glued;
    load.slide += j->slide;
    for_v += j->mover == v;
    for_rest += j->mover >= 0 && j->mover != v;
  }
  int64_t m = gw_split_mass(r->g, v), heavy;
  heavy = gw_split_mass(r->g, v == q->heaviest ? q->second : q->heaviest);
  t->set_moves = t->rest_moves = load;
  t->set_moves.against = for_rest;
  t->set_moves.mass = m;
  t->rest_moves.against = for_v;
  t->rest_moves.mass = q->mass - m;
  gw_split_whole rest = {q->n - 1, q->pieces > 1 ? q->pieces - 1 : 1, q->glued - load.glued,
                         q->mass - m, heavy};
  t->sides = gw_split_least(r->g, &rest);
}

static bool can_go_alone(const greedy *r, const group *q, int v) {
  if (r->bind[v] >= 0) return false;
  return q->pieces == 1 ? !r->hinge[v] : degree(r, q, &r->g->at, v) == 0;
}

static void try_singles(greedy *r, const group *q, choice *best) {
  for (int i = q->n - 1; i >= 0; i--) { /* on ties high numbers go on last */
    int v = q->parts[i];
    trial t = {.set = &v, .n = 1, .tidy = true};
    if (!can_go_alone(r, q, v)) continue;
    weigh_single(r, q, v, &t);
    r->side[v] = 0;
    for (int a = 0; a < r->g->n_axes; a++) {
      if (*arcs_at(r, r->out, a, v) == 0) offer(r, q, &t, a, true, best);
      if (*arcs_at(r, r->in, a, v) == 0) offer(r, q, &t, a, false, best);
    }
    r->side[v] = 1;
  }
}

/* ---- sets of parts ---- */

/* Numbers the pieces of both sides in r->component; counts them by side. */
static void find_pieces(greedy *r, const group *q, int pieces[2]) {
  const gw_split_lists *at = &r->g->at;
  int number = 0;
  pieces[0] = pieces[1] = 0;
  for (int i = 0; i < q->n; i++) r->component[q->parts[i]] = -1;
  for (int i = 0; i < q->n; i++) {
    int depth = 0, first = q->parts[i];
    if (r->component[first] >= 0) continue;
    pieces[r->side[first]]++;
    r->component[first] = number;
    r->stack[depth++] = first;
    while (depth > 0) {
      int v = r->stack[--depth];
      for (int k = at->start[v]; k < at->start[v + 1]; k++) {
        int w = at->to[k];
        if (!inside(r, q, w) || r->side[w] != r->side[v] || r->component[w] >= 0) continue;
        r->component[w] = number;
        r->stack[depth++] = w;
      }
    }
    number++;
  }
}

/* Figures of one side, or (side 2) of what lies between. */
typedef struct figures {
  int64_t glued[3], mass[2], heaviest[2], slide;
  int n[2], for_side[2], touched[2], dry;
} figures;

static void add_joint(greedy *r, figures *f, int v, int w, const gw_split_joint *j) {
  int side = r->side[v], other = r->side[w];
  if (side == other) {
    f->glued[side] += j->glued;
  } else {
    f->glued[2] += j->glued;
    if (side == 0) {
      f->slide += j->slide;
      f->dry += !j->glued;
      if (j->mover >= 0) f->for_side[j->mover == v ? 0 : 1]++;
    }
    if (r->low[r->component[v]] == 0) { /* low: pieces touched so far */
      r->low[r->component[v]] = 1;
      f->touched[side]++;
    }
  }
}

static figures figure(greedy *r, const group *q) {
  const gw_split_lists *at = &r->g->at;
  figures f = {0};
  for (int i = 0; i < q->n; i++) r->low[i] = 0;
  for (int i = 0; i < q->n; i++) {
    int v = q->parts[i], side = r->side[v];
    int64_t m = gw_split_mass(r->g, v);
    f.n[side]++;
    f.mass[side] += m;
    if (m > f.heaviest[side]) f.heaviest[side] = m;
    for (int k = at->start[v]; k < at->start[v + 1]; k++)
      if (inside(r, q, at->to[k]))
        add_joint(r, &f, v, at->to[k], &r->g->p->joints[at->joint[k]]);
  }
  for (int k = 0; k < 3; k++) f.glued[k] /= 2; /* seen from both ends */
  return f;
}

static void weigh_set(greedy *r, const group *q, trial *t) {
  int pieces[2];
  find_pieces(r, q, pieces);
  figures f = figure(r, q);
  gw_split_load load = {.glued = (int)f.glued[2], .dry = f.dry, .slide = f.slide,
                        .parts = q->n};
  t->set_moves = t->rest_moves = load;
  t->set_moves.mass = f.mass[0];
  t->set_moves.against = f.for_side[1];
  t->set_moves.bodies = pieces[0] + (f.touched[1] ? f.touched[1] : 1);
  t->rest_moves.mass = f.mass[1];
  t->rest_moves.against = f.for_side[0];
  t->rest_moves.bodies = pieces[1] + (f.touched[0] ? f.touched[0] : 1);
  t->tidy = pieces[0] + pieces[1] == (q->pieces > 2 ? q->pieces : 2);
  t->sides = 0;
  for (int k = 0; k < 2; k++) {
    gw_split_whole whole = {f.n[k], pieces[k], f.glued[k], f.mass[k], f.heaviest[k]};
    t->sides += gw_split_least(r->g, &whole);
  }
}

/* Whether no arc of the lists leads from the set (side 0) to the rest. */
static bool closed(const greedy *r, const group *q, const trial *t, const gw_split_lists *lists) {
  for (int i = 0; i < t->n; i++) {
    int v = t->set[i];
    for (int k = lists->start[v]; k < lists->start[v + 1]; k++)
      if (inside(r, q, lists->to[k]) && r->side[lists->to[k]] == 1) return false;
  }
  return true;
}

static bool cuts_wish(const greedy *r, const group *q) {
  for (int i = 0; i < q->n; i++) {
    int v = q->parts[i];
    if (r->bind[v] >= 0 && r->side[r->bind[v]] != r->side[v]) return true;
  }
  return false;
}

static void try_set(greedy *r, const group *q, const int *set, int n, choice *best) {
  trial t = {.set = set, .n = n};
  bool weighed = false;
  if (n == 0 || n == q->n) return;
  gw_split_tick(r->s, 1 + q->n / SET_SHARE);
  for (int i = 0; i < n; i++) r->side[set[i]] = 0;
  bool whole = !cuts_wish(r, q);
  for (int a = 0; a < r->g->n_axes && whole; a++) {
    bool leaves = closed(r, q, &t, &r->g->stops[a]), stays = closed(r, q, &t, &r->g->stopped[a]);
    if (!weighed && (leaves || stays)) weigh_set(r, q, &t);
    weighed |= leaves || stays;
    if (leaves) offer(r, q, &t, a, true, best);
    if (stays) offer(r, q, &t, a, false, best);
  }
  for (int i = 0; i < n; i++) r->side[set[i]] = 1;
}

/* Each piece of a group of loose bodies. */
static void try_pieces(greedy *r, const group *q, choice *best) {
  int pieces[2], n_all;
  find_pieces(r, q, pieces);
  n_all = pieces[1];
  memcpy(r->index, r->component, (size_t)r->g->n * sizeof(int));
  for (int k = 0; k < n_all; k++) {
    int n = 0;
    for (int i = 0; i < q->n; i++)
      if (r->index[q->parts[i]] == k) r->list[n++] = q->parts[i];
    try_set(r, q, r->list, n, best);
  }
}

/* All that `from` must take along (or, with the lists turned round, all that
 * must stay with it), into r->list. */
static int take_along(greedy *r, const group *q, const gw_split_lists *lists, int from) {
  int n = 0, head = 0;
  for (int i = 0; i < q->n; i++) r->next[q->parts[i]] = 0;
  r->list[n++] = from;
  r->next[from] = 1;
  while (head < n) {
    int v = r->list[head++];
    for (int k = lists->start[v]; k <= lists->start[v + 1]; k++) {
      int w = k < lists->start[v + 1] ? lists->to[k] : r->bind[v];
      if (w < 0 || !inside(r, q, w) || r->next[w]) continue;
      r->next[w] = 1;
      r->list[n++] = w;
    }
  }
  return n;
}

/* One part of each of some components along an axis, the outermost among them,
 * into r->seeds; returns how many, or -1. */
static int pick_seeds(greedy *r, const group *q, int axis) {
  gw_split_scc_in in = {r->g, axis, q->parts, q->n, r->label, q->label, -1, r->bind};
  int count = gw_split_scc(&in, r->index), n = 0;
  if (count < 0) return -1;
  if (count == 1) return 0;
  int stride = count / (r->even && !r->s->spent ? LOOKS : FEW_LOOKS) + 1;
  for (int k = 0; k < count; k++) r->low[k] = 0;
  for (int i = 0; i < q->n; i++) {
    int v = q->parts[i], k = r->index[v];
    bool end = k == 0 || k == count - 1; /* the last stops nobody's way out */
    if (r->low[k] || (k % stride != 0 && !end)) continue;
    r->low[k] = 1;
    r->seeds[n++] = v;
  }
  return n;
}

static gw_status try_components(greedy *r, const group *q, choice *best) {
  for (int a = 0; a < r->g->n_axes; a++) {
    int n = pick_seeds(r, q, a);
    if (n < 0) return GW_NO_MEMORY;
    for (int i = 0; i < n; i++) {
      int size = take_along(r, q, &r->g->stops[a], r->seeds[i]);
      try_set(r, q, r->list, size, best);
      size = take_along(r, q, &r->g->stopped[a], r->seeds[i]);
      try_set(r, q, r->list, size, best);
    }
  }
  return GW_OK;
}

static gw_status choose(greedy *r, group *q, choice *best) {
  measure(r, q);
  bind_groups(r, q);
  find_hinges(r, q);
  gw_split_whole whole = {q->n, q->pieces, q->glued, q->mass, gw_split_mass(r->g, q->heaviest)};
  q->least = gw_split_least(r->g, &whole);
  for (int i = 0; i < q->n; i++) r->side[q->parts[i]] = 1;
  try_singles(r, q, best);
  bool sets = !best->found || (r->even && !r->s->spent && best->least > q->least);
  if (sets && q->pieces > 1) try_pieces(r, q, best);
  return sets ? try_components(r, q, best) : GW_OK;
}

/* ---- the plan ---- */

typedef struct cut {
  int *small;
  int n, dir, axis;
  bool moves, first;
  int node;
} cut;

typedef struct cuts {
  cut *at;
  size_t n, room;
} cuts;

static gw_status solve(greedy *r, const int *parts, int n, int parent, int *node, bool *found);

/* Takes the chosen side out of the group. */
static gw_status take(greedy *r, group *q, const choice *c, cuts *list) {
  GW_TRY(gw_grow(&list->at, &list->room, list->n + 1, sizeof *list->at));
  cut *to = &list->at[list->n];
  *to = (cut){.n = c->n_small, .dir = c->dir, .axis = c->axis, .moves = c->small_moves,
              .first = c->small_first, .node = -1};
  to->small = malloc((size_t)c->n_small * sizeof(int));
  if (!to->small) return GW_NO_MEMORY;
  list->n++;
  memcpy(to->small, c->small, (size_t)c->n_small * sizeof(int));
  int fresh = r->n_labels++, n = 0;
  for (int i = 0; i < c->n_small; i++) {
    r->label[c->small[i]] = fresh;
    uncount_arcs(r, c->small[i]);
  }
  for (int i = 0; i < q->n; i++)
    if (inside(r, q, q->parts[i])) q->parts[n++] = q->parts[i];
  q->n = n;
  q->parent = c->axis;
  return GW_OK;
}

static gw_status take_all(greedy *r, group *q, choice *best, cuts *list, bool *found) {
  count_arcs(r, q);
  while (q->n > r->s->leaf) {
    best->found = false;
    best->n_small = 0;
    gw_split_tick(r->s, 1);
    *found &= !r->s->stopped;
    if (*found) GW_TRY(choose(r, q, best));
    *found = *found && best->found;
    if (!*found) return GW_OK;
    GW_TRY(take(r, q, best, list));
  }
  return GW_OK;
}

/* Exact when that takes little, else a few ways at each turn. */
static gw_status solve_view(greedy *r, const gw_split_view *view, int parent, int *node,
                            int64_t *cost) {
  gw_split_search *s = r->s;
  int64_t limit = s->limit;
  bool spent = s->spent;
  *cost = GW_SPLIT_NEVER;
  if (!spent && s->nodes + LEAF_BUDGET < limit) {
    s->limit = s->nodes + LEAF_BUDGET;
    GW_TRY(gw_split_exact(s, view, (gw_split_effort){64, 0}, parent, r->plan, node, cost));
    spent = s->spent;
    s->limit = limit;
    s->spent = false;
    if (!spent) return GW_OK;
  }
  s->spent = s->nodes > limit;
  return gw_split_exact(s, view, (gw_split_effort){10, 2}, parent, r->plan, node, cost);
}

static gw_status solve_leaf(greedy *r, const group *q, int *node, bool *found) {
  int64_t cost;
  gw_split_view view;
  if (q->n == 1) {
    *node = q->parts[0];
    return GW_OK;
  }
  gw_status status = gw_split_view_make(r->s, q->parts, q->n, &view);
  if (status == GW_OK) status = solve_view(r, &view, q->parent, node, &cost);
  gw_split_view_clear(&view);
  if (status == GW_OK && cost == GW_SPLIT_NEVER) *found = false;
  return status;
}

static gw_status solve_small(greedy *r, cut *c, bool *found) {
  return solve(r, c->small, c->n, c->axis, &c->node, found);
}

/* Small sides that are wanted first, then the last rest, then upwards. */
static gw_status put_together(greedy *r, const group *q, const cuts *list, int *node,
                              bool *found) {
  for (size_t i = 0; i < list->n && *found; i++)
    if (list->at[i].first) GW_TRY(solve_small(r, &list->at[i], found));
  if (*found) GW_TRY(solve_leaf(r, q, node, found));
  for (size_t i = list->n; i-- > 0 && *found;) {
    cut *c = &list->at[i];
    if (!c->first) GW_TRY(solve_small(r, c, found));
    if (!*found) break;
    gw_split_step step = {c->moves ? c->node : *node, c->moves ? *node : c->node, c->dir};
    GW_TRY(gw_split_plan_add(r->g, r->plan, step, node));
  }
  return GW_OK;
}

static gw_status solve(greedy *r, const int *parts, int n, int parent, int *node, bool *found) {
  group q = {.n = n, .parent = parent, .label = r->n_labels++};
  choice best = {0};
  cuts list = {0};
  gw_status status = GW_NO_MEMORY;
  q.parts = malloc((size_t)n * sizeof(int));
  best.small = malloc((size_t)n * sizeof(int));
  if (q.parts && best.small) {
    memcpy(q.parts, parts, (size_t)n * sizeof(int));
    for (int i = 0; i < n; i++) r->label[parts[i]] = q.label;
    status = take_all(r, &q, &best, &list, found);
    if (status == GW_OK && *found) status = put_together(r, &q, &list, node, found);
  }
  for (size_t i = 0; i < list.n; i++) free(list.at[i].small);
  free(list.at);
  free(best.small);
  free(q.parts);
  return status;
}

/* ---- the whole ---- */

static int by_size(const void *left, const void *right) {
  const gw_split_wish *a = *(const gw_split_wish *const *)left;
  const gw_split_wish *b = *(const gw_split_wish *const *)right;
  if (a->n_parts != b->n_parts) return a->n_parts < b->n_parts ? -1 : 1;
  return a < b ? -1 : a > b;
}

static gw_status prepare_wishes(greedy *r, gw_arena *arena) {
  const gw_split_problem *p = r->g->p;
  r->wished = gw_arena_alloc(arena, (size_t)p->n_wishes + 1, sizeof *r->wished);
  if (!r->wished) return GW_NO_MEMORY;
  for (int i = 0; i < p->n_wishes; i++)
    if (r->s->active[i] && p->wishes[i].kind == GW_SPLIT_GROUP_FIRST)
      r->wished[r->n_wished++] = &p->wishes[i];
  if (r->n_wished > 1) qsort(r->wished, (size_t)r->n_wished, sizeof *r->wished, by_size);
  return GW_OK;
}

static gw_status prepare(greedy *r, gw_arena *arena) {
  size_t n = (size_t)r->g->n;
  int **ints[] = {&r->label, &r->bind, &r->component, &r->side, &r->stack,
                  &r->index, &r->low,  &r->next,      &r->list, &r->seeds};
  for (size_t i = 0; i < sizeof ints / sizeof *ints; i++) {
    *ints[i] = gw_arena_alloc(arena, n + 1, sizeof(int));
    if (!*ints[i]) return GW_NO_MEMORY;
  }
  r->out = gw_arena_alloc(arena, n * (size_t)r->g->n_axes, sizeof(int));
  r->in = gw_arena_alloc(arena, n * (size_t)r->g->n_axes, sizeof(int));
  r->hinge = gw_arena_alloc(arena, n, sizeof(bool));
  if (!r->out || !r->in || !r->hinge) return GW_NO_MEMORY;
  for (size_t v = 0; v < n; v++) r->label[v] = -1;
  return prepare_wishes(r, arena);
}

gw_status gw_split_greedy(gw_split_search *s, bool even, gw_split_plan *plan, bool *found) {
  greedy r = {.s = s, .g = s->g, .plan = plan, .even = even};
  gw_arena *arena = gw_arena_new();
  gw_status status = arena ? prepare(&r, arena) : GW_NO_MEMORY;
  int *all = status == GW_OK ? gw_arena_alloc(arena, (size_t)s->g->n, sizeof(int)) : NULL;
  int node;
  *found = true;
  if (status == GW_OK && !all) status = GW_NO_MEMORY;
  if (status == GW_OK) {
    for (int v = 0; v < s->g->n; v++) all[v] = v;
    status = solve(&r, all, s->g->n, -1, &node, found);
  }
  gw_arena_free(arena);
  return status;
}
