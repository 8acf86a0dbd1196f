/* apart.c - whether the piece comes apart at all.
 *
 * Along an axis a group of parts falls into the strongly connected components of
 * "is stopped by"; each of them is a group that is looked at again along every
 * axis.  The piece comes apart when only single parts are left.  (See split.h.)
 *
 * Components by Kosaraju's two walks, which need no more than "a part not yet
 * visited that this one is stopped by" and, the second time, "that is stopped by
 * this one": the joints of the part tell the one half, a tree of boxes from which
 * visited parts are taken the other.  (Aho, Hopcroft, Ullman, "Data Structures and
 * Algorithms", 1983, 6.7; from memory.) */
#include "order/apart.h"

#include <stdlib.h>
#include <string.h>

/* A stretch of the list of parts, its box, and how many of it are not visited.
 * Node k has the halves of its stretch in 2k + 1 and 2k + 2. */
typedef struct node {
  gw_box box;
  int from, to, left;
} node;

/* Parts of one group: list[from] .. list[to - 1]. */
typedef struct stretch {
  int from, to;
} stretch;

typedef struct looking {
  const gw_model *m;
  const gw_fit *fit;
  const bool *slides;
  gw_bodies *bodies;
  gw_blocking dirs;
  node *nodes;
  int *list, *sorted; /* parts, group after group; those of the group as the tree has them */
  int *leaf;          /* by part: its node */
  int *half;          /* by part: the next of its halves to follow */
  int *path, *ended;  /* parts on the way; those that the first walk left, in order */
  int *joined;        /* by part: the part whose neighbours were marked last */
  bool *open;         /* by part: of this group and not visited */
  stretch *waiting;   /* groups are disjoint: at most as many as parts */
  int n_waiting;
  int dir;            /* the axis looked along, and whether backwards */
  bool back;
} looking;

/* ---- the tree ----------------------------------------------------------------- */

static gw_len middle(const looking *l, int part, int axis) {
  const gw_box *box = gw_bodies_whole(l->bodies, part);
  return box->lo[axis] + box->hi[axis]; /* twice that */
}

/* Quickselect: puts the part that is at `at` in order of the middles there, none
 * behind it before it. */
static void select_middle(looking *l, int from, int to, int at, int axis) {
  int *s = l->sorted;
  while (to - from > 1) {
    gw_len pivot = middle(l, s[from + (to - from) / 2], axis);
    int low = from, high = to - 1;
    while (low <= high) {
      while (middle(l, s[low], axis) < pivot) ++low;
      while (middle(l, s[high], axis) > pivot) --high;
      if (low > high) break;
      int swap = s[low];
      s[low++] = s[high];
      s[high--] = swap;
    }
    if (at <= high) to = high + 1;
    else if (at >= low) from = low;
    else return;
  }
}

static gw_box box_round(const looking *l, int from, int to) {
  gw_box box = *gw_bodies_whole(l->bodies, l->sorted[from]);
  for (int i = from + 1; i < to; ++i) {
    const gw_box *more = gw_bodies_whole(l->bodies, l->sorted[i]);
    for (int axis = 0; axis < 3; ++axis) {
      if (more->lo[axis] < box.lo[axis]) box.lo[axis] = more->lo[axis];
      if (more->hi[axis] > box.hi[axis]) box.hi[axis] = more->hi[axis];
    }
  }
  return box;
}

static void build(looking *l, int k, int from, int to) {
  node *n = &l->nodes[k];
  *n = (node){box_round(l, from, to), from, to, to - from};
  if (to - from == 1) {
    l->leaf[l->sorted[from]] = k;
    return;
  }
  int widest = 0, half = from + (to - from) / 2;
  for (int axis = 1; axis < 3; ++axis)
    if (n->box.hi[axis] - n->box.lo[axis] > n->box.hi[widest] - n->box.lo[widest]) widest = axis;
  select_middle(l, from, to, half, widest);
  build(l, 2 * k + 1, from, half);
  build(l, 2 * k + 2, half, to);
}

/* All parts of the group count as not visited. */
static void refill(looking *l, int k) {
  node *n = &l->nodes[k];
  n->left = n->to - n->from;
  if (n->left == 1) {
    l->open[l->sorted[n->from]] = true;
    l->half[l->sorted[n->from]] = 0;
    return;
  }
  refill(l, 2 * k + 1);
  refill(l, 2 * k + 2);
}

static void visit(looking *l, int part) {
  l->open[part] = false;
  for (int k = l->leaf[part]; k > 0; k = (k - 1) / 2) --l->nodes[k].left;
  --l->nodes[0].left;
}

/* ---- who is in the way -------------------------------------------------------------- */

static bool in_the_way(const looking *l, int mover, int blocker) {
  const gw_vec *d = l->dirs.dirs;
  return gw_bodies_meet(l->bodies, mover, blocker, d[l->dir]) ||
         gw_bodies_meet(l->bodies, blocker, mover, d[l->dirs.opposite[l->dir]]);
}

/* An open part of the stretch that bodies alone lead to from `part`, or -1. */
static int find_body(const looking *l, int part, int k) {
  const node *n = &l->nodes[k];
  const gw_box *own = gw_bodies_whole(l->bodies, part);
  gw_vec d = l->dirs.dirs[l->dir];
  if (n->left == 0) return -1;
  if (!(l->back ? gw_box_meets(&n->box, own, d) : gw_box_meets(own, &n->box, d))) return -1;
  if (n->to - n->from == 1) {
    int other = l->sorted[n->from];
    if (l->joined[other] == part) return -1;
    return (l->back ? in_the_way(l, other, part) : in_the_way(l, part, other)) ? other : -1;
  }
  int found = find_body(l, part, 2 * k + 1);
  return found >= 0 ? found : find_body(l, part, 2 * k + 2);
}

/* Parts joined to each other are judged by their joints alone. */
static void mark_joined(looking *l, int part) {
  const gw_part *p = &l->m->parts[part];
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i) {
    int joint = l->m->halves[i].joint;
    if (joint < 0) continue;
    l->joined[gw_joint_enters(l->m, &l->m->joints[joint])] = part;
    l->joined[gw_joint_receives(l->m, &l->m->joints[joint])] = part;
  }
}

/* The entering part moving along d or, which is the same, the receiving one
 * moving the other way. */
static bool joint_leads(const looking *l, int joint, bool enters) {
  int d = enters != l->back ? l->dir : l->dirs.opposite[l->dir];
  return gw_blocking_joint(l->m, l->fit, joint, l->slides[joint], l->dirs.dirs[d]);
}

/* The next open part that the walk leads to from `part`, or -1. */
static int next(looking *l, int part) {
  const gw_part *p = &l->m->parts[part];
  while (l->half[part] < p->n_halves) {
    const gw_half *half = &l->m->halves[p->first_half + l->half[part]++];
    if (half->joint < 0) continue;
    const gw_joint *joint = &l->m->joints[half->joint];
    int e = gw_joint_enters(l->m, joint), other = e == part ? gw_joint_receives(l->m, joint) : e;
    if (l->open[other] && joint_leads(l, half->joint, e == part)) return other;
  }
  mark_joined(l, part);
  return find_body(l, part, 0);
}

/* ---- components ---------------------------------------------------------------------- */

/* Visits all that `first` leads to; they are put at `out` as they are left.
 * Returns how many. */
static int walk(looking *l, int first, int *out) {
  int depth = 0, n = 0;
  visit(l, first);
  l->path[depth++] = first;
  while (depth > 0) {
    int to = next(l, l->path[depth - 1]);
    if (to < 0) {
      out[n++] = l->path[--depth];
    } else {
      visit(l, to);
      l->path[depth++] = to;
    }
  }
  return n;
}

/* Puts the components of a group along the axis behind each other in its stretch
 * and those of two or more parts on the waiting list; false when it is but one. */
static bool cut(looking *l, stretch group) {
  int n = group.to - group.from, done = 0, waiting = l->n_waiting;
  l->back = false;
  refill(l, 0);
  for (int i = group.from; i < group.to; ++i)
    if (l->open[l->list[i]]) done += walk(l, l->list[i], l->ended + done);
  l->back = true;
  refill(l, 0);
  for (int i = n - 1, at = group.from; i >= 0; --i) {
    if (!l->open[l->ended[i]]) continue;
    int size = walk(l, l->ended[i], l->list + at);
    if (size == n) return false;
    if (size > 1) l->waiting[waiting++] = (stretch){at, at + size};
    at += size;
  }
  l->n_waiting = waiting;
  return true;
}

static bool is_locked(looking *l, stretch group) {
  memcpy(l->sorted, l->list + group.from, (size_t)(group.to - group.from) * sizeof *l->list);
  build(l, 0, 0, group.to - group.from);
  bool apart = false;
  for (int d = 0; d < l->dirs.n_dirs && !apart; ++d) {
    l->dir = d;
    if (l->dirs.opposite[d] > d) apart = cut(l, group);
  }
  return !apart;
}

static void look(looking *l, bool *apart) {
  *apart = true;
  for (int i = 0; i < l->m->n_parts; ++i) {
    l->list[i] = i;
    l->joined[i] = -1;
  }
  if (l->m->n_parts > 1) l->waiting[l->n_waiting++] = (stretch){0, l->m->n_parts};
  while (*apart && l->n_waiting > 0) *apart = !is_locked(l, l->waiting[--l->n_waiting]);
}

gw_status gw_order_apart(const gw_model *m, const gw_fit *fit, const bool *slides, bool *apart) {
  looking l = {.m = m, .fit = fit, .slides = slides};
  gw_arena *arena = gw_arena_new();
  size_t n = (size_t)m->n_parts;
  gw_status status = arena == NULL ? GW_NO_MEMORY : gw_bodies_make(m, fit, &l.bodies);
  int **ints[] = {&l.list, &l.sorted, &l.leaf, &l.half, &l.path, &l.ended, &l.joined};
  for (size_t i = 0; status == GW_OK && i < sizeof ints / sizeof *ints; ++i) {
    *ints[i] = gw_arena_alloc(arena, n, sizeof(int));
    if (*ints[i] == NULL) status = GW_NO_MEMORY;
  }
  if (status == GW_OK) {
    l.nodes = gw_arena_alloc(arena, 4 * n, sizeof *l.nodes);
    l.open = gw_arena_alloc(arena, n, sizeof *l.open);
    l.waiting = gw_arena_alloc(arena, n, sizeof *l.waiting);
    if (l.nodes == NULL || l.open == NULL || l.waiting == NULL) status = GW_NO_MEMORY;
  }
  gw_blocking_dirs(m, fit, &l.dirs);
  if (status == GW_OK) look(&l, apart);
  gw_bodies_free(l.bodies);
  gw_arena_free(arena);
  return status;
}
