/* split.h - assembly by disassembly on a blocking graph.
 *
 * This is the abstract core of the order room.  It knows no geometry: parts
 * are numbers 0 .. n_parts-1, directions are numbers 0 .. n_dirs-1, and all it
 * is told about space is which part, moving along a direction, is stopped by
 * which other part.
 *
 * A set S of parts can leave the rest R of a group along direction d when no
 * arc (d, mover in S, blocker in R) exists.  Moving S along d is the same
 * motion as moving R along the opposite of d; arcs are read both ways, so the
 * caller may give either half of such a pair or both.  (Blocking graph per
 * direction: Wilson and Latombe, "On the qualitative structure of a mechanical
 * assembly", AAAI-92.  Tree of two-handed joins: Homem de Mello and Sanderson,
 * "AND/OR graph representation of assembly plans", IEEE T-RA 6(2), 1990; from
 * memory.)
 *
 * Whether the piece comes apart at all is decided exactly at any size: a group
 * is locked when its blocking graph is strongly connected in every direction,
 * and a piece has an order exactly when no group of it is locked.  (Part of a
 * piece that comes apart comes apart too: a split of the whole either splits
 * the part in the same direction or leaves it on one side.)
 *
 * Which order is best: exact up to `exact_limit` parts within `node_budget`,
 * bounded beyond; the result says which, with the cost and a lower bound.
 *
 * What is compared.  A join puts two nodes together; an order is a binary tree
 * of joins.  Write c(X) for the number of pieces into which a set X falls when
 * only its joints hold it.  A split S|R of a group G is tidy when
 * c(S) + c(R) = max(2, c(G)): of a connected group both sides are connected, of
 * a group of loose bodies no body is broken.  Of each group the tidy splits are
 * tried; only when none of them works out are all splits tried.  A join of more
 * than two bodies therefore shows as a chain of joins, the early ones `loose`:
 * bodies laid in place and held until a joint closes.
 *
 * The cost of a join, in units (1 unit is a gram moved at the default weights;
 * the weights are this program's own judgement, no source):
 *   align   * g * g         g glued joints brought into line at once
 *   beside  * u             u joints that are not glued, when g > 0: they hold up
 *                           a join in which glue is open; by themselves free
 *   loose   * (b - 2)       b bodies to hold, where b is the pieces of the
 *                           moving side plus the pieces of the base that a
 *                           joint of this join touches (at least 1)
 *   hands   * (b - hands - 1)  when positive: more bodies than can be held
 *   dir     * dir_cost[d]   d: the direction in which the moving side leaves
 *   mass    * grams of the moving side
 *   slide   * sum of slide * (p - 2)   over the joints closed, p: parts in the
 *                           group; a long slide is better closed early
 *   turn + turned * grams   for each side that is a join and whose own last
 *                           join was on another axis (an axis is a direction
 *                           and its opposite): that side is turned over and
 *                           the clamps are set anew
 *   against * number of joints closed whose `mover` stands still */
#ifndef GW_ORDER_SPLIT_H
#define GW_ORDER_SPLIT_H

#include "base/base.h"

#define GW_SPLIT_MAX_PARTS 20000
#define GW_SPLIT_MAX_DIRS 256
#define GW_SPLIT_EXACT_MAX 64 /* exact_limit is never taken as more */

typedef struct gw_split_joint {
  int a, b;      /* the two parts */
  bool glued;
  int64_t slide; /* length of the slide, in mm; 0 for short */
  int mover;     /* the part (a or b) that is better moved onto the other, as a
                  * tail board onto a standing pin board; -1: no matter */
} gw_split_joint;

typedef struct gw_split_arc {
  int dir, mover, blocker; /* mover alone, moving along dir, is stopped by blocker */
  int joint;               /* the joint that stops it; -1: the bodies themselves */
} gw_split_arc;

/* What the maker wants.  The order is a sequence in which every sub-assembly
 * is finished before the next is begun; "before" is meant in that sequence.
 * The joining of a part is the join in which it, still single, is a side. */
typedef enum gw_split_wish_kind {
  GW_SPLIT_GROUP_FIRST, /* `parts` are put together by themselves */
  GW_SPLIT_PART_BEFORE, /* part x is joined no later than part y */
  GW_SPLIT_JOINT_BEFORE /* joint x closes no later than joint y */
} gw_split_wish_kind;

typedef struct gw_split_wish {
  gw_split_wish_kind kind;
  const int *parts; /* GROUP_FIRST */
  int n_parts;
  int x, y;
  bool strict;      /* earlier, not in the same join (PART and JOINT) */
} gw_split_wish;

typedef struct gw_split_weights {
  int64_t align, beside, loose, hands, dir, mass, slide, turn, turned, against;
} gw_split_weights;

typedef struct gw_split_problem {
  int n_parts;
  const int64_t *mass_g; /* NULL: all 0 */
  int n_dirs;
  const int *dir_cost;     /* awkwardness of a side leaving along it (so put in
                            * against it), 0 for up: lowered on; NULL: all 0 */
  const int *dir_opposite; /* index of the opposite, or -1; NULL: all -1 */
  const gw_split_arc *arcs;
  size_t n_arcs;
  const gw_split_joint *joints;
  int n_joints;
  const gw_split_wish *wishes;
  int n_wishes;
  int hands; /* pairs of hands, at least 1 */
  gw_split_weights weights;
  int exact_limit;     /* parts; at most GW_SPLIT_EXACT_MAX, which is the default:
                        * the budget ends what would take long */
  int64_t node_budget; /* splits looked at; the default takes about a second */
  bool any; /* the first order found will do; its bound is 0 */
  bool (*stop)(void *stop_data); /* asked now and then; true ends the search */
  /* Told, after each search that found an order, of the best one; may be NULL. */
  void (*better)(void *stop_data, int64_t cost, int64_t bound);
  void *stop_data;
} gw_split_problem;

/* What a join costs, term by term; `total` is their sum. */
typedef struct gw_split_cost {
  int64_t align, beside, loose, hands, dir, mass, slide, turn, against, total;
} gw_split_cost;

/* A node below n_parts is a part; node n_parts + i is join i. */
typedef struct gw_split_join {
  int moving, base; /* nodes; the moving side is put onto the base */
  int dir;          /* in which the moving side leaves; put in the other way */
  int *joints;      /* closed here, ascending, glued or not */
  int n_joints;
  int n_parts;      /* parts in the whole of the join */
  int bodies;       /* to be held together, as in the cost */
  bool loose;       /* no joints hold the whole of it together yet */
  bool over_hands;  /* more bodies than hands + 1 */
  gw_split_cost cost;
} gw_split_join;

typedef enum gw_split_kind {
  GW_SPLIT_ORDER,  /* joins[] is a whole order */
  GW_SPLIT_LOCKED, /* no order exists; locks[] says why */
  GW_SPLIT_STOPPED /* the stop callback ended the search before an order was found */
} gw_split_kind;

typedef enum gw_split_proof {
  GW_SPLIT_OPTIMAL, /* no order of the kind described above costs less */
  GW_SPLIT_BOUND    /* cost may be up to cost - bound too much */
} gw_split_proof;

/* A witness that a group is strongly connected in one direction: each part is
 * stopped by the next, the last by the first, and every part of the group
 * occurs.  A part may occur more than once. */
typedef struct gw_split_walk {
  int dir;
  int *parts;
  int n_parts;
} gw_split_walk;

/* A joint without which the group would come apart; `whole`: the whole piece
 * would. */
typedef struct gw_split_key {
  int joint;
  bool whole;
} gw_split_key;

/* A group of which no proper non-empty subset can leave the rest in any
 * direction, and that has no proper subset of two or more parts of which the
 * same is true.  `around` counts the parts of the largest locked group that it
 * lies in. */
typedef struct gw_split_lock {
  int *parts; /* ascending */
  int n_parts, around;
  gw_split_walk *walks; /* one for each direction */
  int n_walks;
  gw_split_key *keys; /* ascending */
  int n_keys;
} gw_split_lock;

/* Wishes that cannot be kept together given the blocking; without any one of
 * them the others can.  `dropped` was left out so as to find an order. */
typedef struct gw_split_conflict {
  int *wishes; /* ascending */
  int n_wishes;
  int dropped;
  bool proven; /* false: the bounded search found no order that keeps them */
} gw_split_conflict;

typedef struct gw_split_result {
  gw_split_kind kind;
  int n_parts;
  gw_split_join *joins; /* n_parts - 1, in order of building */
  int n_joins;
  gw_split_proof proof;
  int64_t cost, bound;
  int64_t nodes; /* splits looked at */
  gw_split_lock *locks; /* one for each largest locked group; fewest parts first */
  int n_locks;
  gw_split_conflict *conflicts;
  int n_conflicts;
  gw_arena *arena; /* owns all of the above */
} gw_split_result;

/* The default weights. */
gw_split_weights gw_split_default_weights(void);

/* A problem with no parts yet: one pair of hands, default weights and limits. */
gw_split_problem gw_split_problem_default(void);

/* Solves; *out is the caller's, freed with gw_split_free().  GW_BAD_INPUT for a
 * problem that contradicts itself (an index out of range, a part joined to
 * itself), GW_TOO_LARGE beyond the limits above or when costs could overflow,
 * GW_NO_MEMORY; *err has the words.  A locked piece, refused wishes and a
 * stopped search are results, not failures. */
gw_status gw_split_solve(const gw_split_problem *problem, gw_split_result **out, gw_error *err);

/* Whether the problem could be taken on at all: gw_split_solve begins with this. */
gw_status gw_split_check(const gw_split_problem *problem, gw_error *err);
void gw_split_free(gw_split_result *result);

/* The parts of a node, ascending, into members[0 .. n_parts-1] (the caller's,
 * room for result->n_parts); returns how many. */
int gw_split_members(const gw_split_result *result, int node, int *members);

/* Counts, by looking at all of them, the groups that tidy splits lead to
 * (single parts included) and their splits into two sides, each pair of sides
 * counted once whatever the direction.  Without arcs these are the connected
 * groups and binary joins of the joint graph.  At most GW_SPLIT_EXACT_MAX
 * parts; GW_TOO_LARGE when node_budget runs out. */
typedef struct gw_split_counts {
  int64_t groups, joins;
} gw_split_counts;
gw_status gw_split_count(const gw_split_problem *problem, gw_split_counts *out, gw_error *err);

#endif
