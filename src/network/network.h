/* network.h - systems of difference constraints x_j - x_i <= w on integers.
 *
 * Two uses: where parts stand along an axis (large, nearly tree-like), and
 * time lags (small, changed step by step while a schedule is searched for).
 *
 * A constraint is an arc i -> j of weight w.  A system has a solution exactly
 * when no cycle of arcs has a negative sum (Dechter, Meiri and Pearl,
 * "Temporal constraint networks", Artificial Intelligence 49, 1991).
 *
 * Everything here is deterministic and on integers.  Weights may be anything
 * as long as (nodes + 1) * largest |weight| <= GW_NET_SUM_MAX; beyond that the
 * functions return GW_TOO_LARGE, so that no sum can overflow. */
#ifndef GW_NETWORK_H
#define GW_NETWORK_H

#include "base/base.h"

#define GW_NET_SUM_MAX ((int64_t)1 << 59)
/* "No bound": larger than any bound that can arise; its negative serves too. */
#define GW_NET_FAR ((int64_t)1 << 61)

/* ---- a system ------------------------------------------------------------- */

typedef struct gw_net gw_net;

/* A new system without nodes; NULL when memory is short. */
gw_net *gw_net_new(void);
void gw_net_free(gw_net *net);

/* Adds `count` nodes, numbered from the number there were (put in *first,
 * which may be NULL). */
gw_status gw_net_add_nodes(gw_net *net, int count, int *first);

/* Adds x_j - x_i <= w.  `tag` is the caller's own number for reports.
 * Constraints are numbered 0, 1, 2, ... in the order in which they are added.
 * i and j must be nodes (else GW_BAD_INPUT). */
gw_status gw_net_at_most(gw_net *net, int i, int j, int64_t w, int tag);

/* Adds lo <= x_j - x_i <= hi: two constraints with one tag, the upper first.
 * A side at or beyond -GW_NET_FAR or GW_NET_FAR is left out. */
gw_status gw_net_between(gw_net *net, int i, int j, int64_t lo, int64_t hi, int tag);

int gw_net_nodes(const gw_net *net);
int gw_net_constraints(const gw_net *net);

typedef struct gw_net_arc {
  int from, to; /* x_to - x_from <= w */
  int64_t w;
  int tag;
} gw_net_arc;

/* The constraint with that number; borrowed until the next one is added. */
const gw_net_arc *gw_net_arc_at(const gw_net *net, int constraint);

/* ---- solving ---------------------------------------------------------------- */

/* A simple cycle of constraints with a negative sum: each one starts where the
 * one before ended, the last ends where the first starts.  It starts at its
 * lowest node.  Dropping any one constraint breaks it. */
typedef struct gw_net_cycle {
  int *constraints; /* in walking order; owned by the arena of the caller */
  int length;       /* 0: there is no such cycle */
  int64_t sum;      /* negative; -sum is what the cycle is short of closing */
  bool smallest;    /* proved to have the fewest constraints of all */
} gw_net_cycle;

/* Solves.  Either cycle->length is 0 and x (one per node, owned by the caller)
 * is the largest solution with every x <= 0, or the cycle tells why there is
 * none (x is then not written).  Any negative cycle will do here; it is found
 * by the labelling method with a queue and subtree disassembly (Tarjan; see
 * Cherkassky and Goldberg, "Negative-cycle detection algorithms", Mathematical
 * Programming 85, 1999), started from the places a spanning forest of the
 * tightest pairs gives, so that tree-like systems take near linear time. */
gw_status gw_net_solve(gw_net *net, gw_arena *arena, int64_t *x, gw_net_cycle *cycle);

/* How many arcs gw_net_smallest_cycle looks along before it settles for the
 * smallest cycle met so far (about a third of a second). */
#define GW_NET_LOOKS 40000000

/* The negative cycle with the fewest constraints and, among those, the most
 * negative; among equals, the one first met when nodes and constraints are
 * gone through in order.  When GW_NET_LOOKS runs out, cycle->smallest is false
 * and the cycle is the smallest met, shortened as far as constraints between
 * its own nodes allow. */
gw_status gw_net_smallest_cycle(gw_net *net, gw_arena *arena, gw_net_cycle *cycle);

/* Up to `max` negative cycles, no two sharing a constraint: the smallest, then
 * the smallest of what remains without its constraints, and so on.  `cycles`
 * has room for `max`; *count says how many there are. */
gw_status gw_net_bad_cycles(gw_net *net, gw_arena *arena, int max, gw_net_cycle *cycles,
                            int *count);

/* ---- bounds ------------------------------------------------------------------- */

/* Between which values every x lies when x_root is 0: the earliest and the
 * latest place (least and most: one per node, either may be NULL).  Where
 * there is no bound, -GW_NET_FAR or GW_NET_FAR.  GW_BAD_INPUT when the system
 * has no solution. */
gw_status gw_net_range(gw_net *net, int root, int64_t *least, int64_t *most);

/* Between which values x_j - x_i can lie.  As gw_net_range. */
gw_status gw_net_slack(gw_net *net, int i, int j, int64_t *lo, int64_t *hi);

/* ---- step by step --------------------------------------------------------------- */

/* Bounds on every x that follow constraints as they are added and taken back:
 * for each node the least and the most it can be (heads and tails of a
 * schedule).  Every change is undone by gw_net_trail_pop. */
typedef struct gw_net_trail gw_net_trail;

/* Starts from the constraints of `net` (copied) with least <= x <= most for
 * every node, and propagates; *consistent is false when that cannot hold.
 * `most` may be GW_NET_FAR (no bound); otherwise both must be within
 * GW_NET_SUM_MAX of 0, as must the bounds of raise and lower below.
 * Free *out with gw_net_trail_free, also when it is inconsistent. */
gw_status gw_net_trail_new(gw_net *net, int64_t least, int64_t most, gw_net_trail **out,
                           bool *consistent);
void gw_net_trail_free(gw_net_trail *trail);

/* Remembers the present state; pop returns to the one remembered last. */
gw_status gw_net_trail_push(gw_net_trail *trail);
void gw_net_trail_pop(gw_net_trail *trail);

/* Each of these three adds one condition and propagates it to all bounds.
 * *consistent becomes false when a bound would pass its opposite or a cycle
 * could never close; the bounds are then meaningless until the next pop.
 * GW_TOO_LARGE when sums could overflow. */
gw_status gw_net_trail_apart(gw_net_trail *trail, int i, int j, int64_t lag,
                             bool *consistent); /* x_j >= x_i + lag */
gw_status gw_net_trail_raise(gw_net_trail *trail, int i, int64_t least, bool *consistent);
gw_status gw_net_trail_lower(gw_net_trail *trail, int i, int64_t most, bool *consistent);

int64_t gw_net_trail_least(const gw_net_trail *trail, int i);
int64_t gw_net_trail_most(const gw_net_trail *trail, int i);

#endif
