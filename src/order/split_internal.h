/* split_internal.h - shared by the files of split.h only.
 *
 * graph   the problem, arcs read both ways and sorted, joints by part
 * search  what is common to one run: graph, wishes in force, budget
 * view    up to 64 parts of a graph as bit masks
 * plan    joins as they are found, children before parents */
#ifndef GW_ORDER_SPLIT_INTERNAL_H
#define GW_ORDER_SPLIT_INTERNAL_H

#include "order/split.h"

#define GW_SPLIT_NEVER INT64_MAX /* the cost of what cannot be done */

/* ---- graph (split_graph.c) ---- */

/* Lists by part: the items of part v are to[start[v] .. start[v + 1] - 1]. */
typedef struct gw_split_lists {
  int *start, *to, *joint;
} gw_split_lists;

typedef struct gw_split_graph {
  const gw_split_problem *p;
  int n, n_axes;
  int axis_of[GW_SPLIT_MAX_DIRS];   /* of a direction */
  int axis_dir[GW_SPLIT_MAX_DIRS];  /* an axis and the direction it stands for */
  int axis_back[GW_SPLIT_MAX_DIRS]; /* its opposite, or -1 */
  gw_split_lists *stops;   /* by axis: mover to blocker along axis_dir */
  gw_split_lists *stopped; /* by axis: blocker to mover */
  gw_split_lists at;       /* joints at each part: to = other part, joint = index */
  int64_t least_dir;       /* the smallest direction cost */
  int64_t least_joint_dir; /* the smallest along which some joint can part */
} gw_split_graph;

/* All of it lives in the arena. */
gw_status gw_split_graph_make(const gw_split_problem *p, gw_arena *arena, gw_split_graph *g);
int64_t gw_split_mass(const gw_split_graph *g, int part);

/* Strongly connected components along one axis of the parts for which
 * label[v] == want, leaving out the arcs of joint `skip` (-1: none) and adding
 * the arcs bind[v] (-1: none; NULL: none at all).  Sets component[v] from 0 up
 * in such an order that arcs lead to equal or lower numbers; returns how many,
 * or -1 when memory is short. */
typedef struct gw_split_scc_in {
  const gw_split_graph *g;
  int axis;
  const int *parts;
  int n_parts;
  const int *label;
  int want, skip;
  const int *bind;
} gw_split_scc_in;
int gw_split_scc(const gw_split_scc_in *in, int *component);

/* The largest locked groups inside a set of parts: label[v] (room for all
 * parts of the graph) becomes a number from 0 up, equal for two parts exactly
 * when one locked group holds both; -1 outside the set.  With `bind`, parts
 * bound into a ring count as one.  *count: how many numbers. */
gw_status gw_split_classes(const gw_split_graph *g, const int *parts, int n_parts, int skip,
                           const int *bind, int *label, int *count);

/* ---- locks (split_lock.c) ---- */

/* Fills result->locks when a locked group exists (result->kind is set then). */
gw_status gw_split_find_locks(const gw_split_graph *g, gw_split_result *result);

/* ---- cost (split_cost.c) ---- */

typedef struct gw_split_load {
  int glued, dry, against, turns, bodies, parts, dir;
  int64_t slide, mass, turned; /* turned: mass of the sides that are turned */
} gw_split_load;
gw_split_cost gw_split_price(const gw_split_problem *p, const gw_split_load *load);

/* The least sum of squares of so many joints spread over so many joins. */
int64_t gw_split_least_squares(int64_t joints, int64_t joins);

/* A group by its figures: parts, pieces its joints hold together, glued joints
 * inside, mass, mass of the heaviest part. */
typedef struct gw_split_whole {
  int n, pieces;
  int64_t glued, mass, heaviest;
} gw_split_whole;
/* No order of such a group costs less. */
int64_t gw_split_least(const gw_split_graph *g, const gw_split_whole *whole);

/* The same for the whole piece, sharper (split_bound.c). */
gw_status gw_split_bound(const gw_split_graph *g, int64_t *bound);

/* ---- search ---- */

typedef struct gw_split_search {
  const gw_split_graph *g;
  const bool *active; /* wishes in force */
  int64_t nodes;      /* splits looked at, all told */
  int64_t limit;      /* of `nodes`, for the run under way */
  bool spent;         /* the limit was passed */
  bool stopped;       /* the callback said so */
  bool any;           /* look for any order, not for a good one */
  int64_t bound;      /* no order of the whole costs less */
  int leaf;           /* groups of up to so many parts are left to the masks */
} gw_split_search;

/* Counts nodes; false when the run must end. */
bool gw_split_tick(gw_split_search *s, int64_t nodes);

/* What a wish asks of a split.  Sides are 0 and 1; a joint's side is 2 when it
 * is cut.  -1: outside the group.  `alone`: the side is that part only. */
typedef enum gw_split_ask {
  GW_SPLIT_FREE, GW_SPLIT_ZERO_FIRST, GW_SPLIT_ONE_FIRST, GW_SPLIT_BROKEN
} gw_split_ask;
gw_split_ask gw_split_ask_part(int side_x, bool alone_x, int side_y, bool alone_y, bool strict);
gw_split_ask gw_split_ask_joint(int side_x, int side_y, bool strict);
/* Both together. */
gw_split_ask gw_split_ask_both(gw_split_ask a, gw_split_ask b);

/* ---- plan (split_plan.c) ---- */

typedef struct gw_split_step {
  int moving, base, dir;
} gw_split_step;
typedef struct gw_split_plan {
  gw_split_step *steps;
  size_t n, room;
  int64_t cost; /* of a whole order, as found by whoever made the plan */
} gw_split_plan;

/* Adds a join; its node is *node. */
gw_status gw_split_plan_add(const gw_split_graph *g, gw_split_plan *plan, gw_split_step step,
                            int *node);
/* Writes the joins of a whole plan into the result, with joints and costs
 * worked out afresh from the problem. */
gw_status gw_split_plan_write(const gw_split_graph *g, const gw_split_plan *plan,
                              gw_split_result *result);
/* Sets plan->cost, worked out in the same way. */
gw_status gw_split_plan_price(const gw_split_graph *g, gw_split_plan *plan);

/* ---- numbers for groups (split_table.c) ---- */

typedef struct gw_split_table {
  uint64_t *groups; /* by number */
  int n;
  size_t room;
  int *slots; /* hash table: number + 1, 0 for empty */
  size_t n_slots;
} gw_split_table;

/* The number of a group, or -1. */
int gw_split_table_find(const gw_split_table *t, uint64_t group);
/* Adds a group that is not in the table; its number is the old t->n. */
gw_status gw_split_table_add(gw_split_table *t, uint64_t group);
void gw_split_table_clear(gw_split_table *t);

/* ---- masks (split_view.c, split_enum.c, split_exact.c) ---- */

typedef struct gw_split_view_joint {
  int a, b, mover, id; /* local parts; id in the problem */
  uint64_t ends;
  bool glued;
  int64_t slide;
} gw_split_view_joint;

typedef struct gw_split_view_wish {
  gw_split_wish_kind kind;
  uint64_t parts;
  int x, y; /* local parts, or places in `joints` */
  bool strict;
} gw_split_view_wish;

typedef struct gw_split_view {
  const gw_split_graph *g;
  int n, ids[64]; /* ascending */
  int64_t mass[64];
  uint64_t adj[64];
  uint64_t (*out)[64], (*in)[64]; /* by axis: whom a part is stopped by; whom it stops */
  gw_split_view_joint *joints;
  int n_joints;
  gw_split_view_wish *wishes;
  int n_wishes;
  bool asks; /* some wish is not GROUP_FIRST */
  gw_arena *arena;
} gw_split_view;

/* `parts` ascending, at most 64.  Free with gw_split_view_clear. */
gw_status gw_split_view_make(const gw_split_search *s, const int *parts, int n,
                             gw_split_view *view);
void gw_split_view_clear(gw_split_view *view);

/* What `seed` reaches over joints without leaving `within`. */
uint64_t gw_split_flood(const uint64_t *adj, uint64_t seed, uint64_t within);
/* The number of pieces of a set. */
int gw_split_pieces(const gw_split_view *view, uint64_t set);

typedef struct gw_split_masks {
  uint64_t *at;
  size_t n, room;
} gw_split_masks;

/* How many of the sides that can leave: all; some, the first met with; few,
 * those made by one part and all it must take along, and by one part that stays
 * and all that must stay with it. */
typedef enum gw_split_ways { GW_SPLIT_ALL, GW_SPLIT_SOME, GW_SPLIT_FEW } gw_split_ways;

/* Adds to `list` the sides that can leave the rest of `group` along the axis'
 * direction, cut no wished group and, when `tidy`, are tidy.  Counts nodes in
 * `s`; ends early when the run must end, unless only few are asked for. */
typedef struct gw_split_enum_in {
  const gw_split_view *view;
  gw_split_search *s;
  uint64_t group;
  int axis;
  bool tidy;
  gw_split_ways ways;
} gw_split_enum_in;
gw_status gw_split_enum(const gw_split_enum_in *in, gw_split_masks *list);

/* The best order of a view's parts, as a part of a piece whose next join is on
 * axis `parent` (-1: none).  Groups of up to `wide` parts are split in all
 * ways, of larger ones only the `keep` most promising among few ways (among
 * some, when none of the few works out); wide of
 * 64 makes the answer exact unless the run was cut short (s->spent; then no
 * plan is added unless `keep` is positive).  *cost is GW_SPLIT_NEVER when
 * nothing was found. */
typedef struct gw_split_effort {
  int wide, keep;
} gw_split_effort;
gw_status gw_split_exact(gw_split_search *s, const gw_split_view *view, gw_split_effort effort,
                         int parent, gw_split_plan *plan, int *node, int64_t *cost);

/* ---- any size (split_greedy.c) ---- */

/* An order found by taking the most promising split again and again; `even`
 * looks at more splits and is drawn to those that halve a group. */
gw_status gw_split_greedy(gw_split_search *s, bool even, gw_split_plan *plan, bool *found);

/* ---- wishes (split_wish.c) ---- */

/* Takes wishes out of force (active[], all true at first) that contradict each
 * other or the blocking whatever the joints, and adds the conflicts. */
gw_status gw_split_wish_groups(const gw_split_graph *g, bool *active, gw_split_result *result);
/* Whether wishes in force ask, in a circle, for one thing before itself. */
gw_status gw_split_wish_circle(const gw_split_graph *g, const bool *active, bool *circle);
gw_status gw_split_add_conflict(gw_split_result *result, const bool *in, int n_wishes, bool proven);

#endif
