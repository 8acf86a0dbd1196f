/* inside.h - what the files of the network room share; nobody else's. */
#ifndef GW_NETWORK_INSIDE_H
#define GW_NETWORK_INSIDE_H

#include "network/network.h"

/* Arcs grouped by the node they leave (or enter): those of node v are
 * arc[start[v]] .. arc[start[v + 1] - 1], in the order of their numbers. */
typedef struct gw_net_index {
  int *start, *arc;
} gw_net_index;

/* Invariant: when `indexed`, out, in and off match the arcs; when `placed`,
 * x[] holds for every arc that is not off; `n_broken` arcs are off (none: the
 * system has a solution). */
struct gw_net {
  int n, m;
  gw_net_arc *arcs;
  size_t arc_room;
  int64_t largest; /* largest |w| */
  bool indexed, placed;
  gw_net_index out, in;
  bool *off;    /* arcs left out of account */
  bool *banned; /* arcs of cycles already reported */
  int64_t *x;
  int n_broken;
  gw_net_cycle seen; /* the shortest cycle met by gw_net_place */
  gw_arena *store;   /* owns all of the above but arcs */
};

/* Builds the index when it is not there; checks the limit on sums. */
gw_status gw_net_build(gw_net *net);

/* Finds x[] for the arcs that are not banned, switching off at least one arc
 * of every negative cycle.  The shortest cycle met on the way is in `seen`.
 * With `first`, stops at the first cycle; in any case stops when cycles are
 * known and a share of GW_NET_LOOKS has run out.  `placed` is then false and
 * other arcs than those switched off may be broken. */
gw_status gw_net_place(gw_net *net, bool first);

/* A first guess at x[] from a spanning forest of the tightest pairs. */
gw_status gw_net_guess(gw_net *net);

/* Copies a cycle, turned to start at its lowest node, into the arena. */
gw_status gw_net_copy_cycle(const gw_net *net, gw_arena *arena, const gw_net_cycle *from,
                            gw_net_cycle *to);

/* The sum the arc has left over in x[]: negative when it is broken. */
static inline int64_t gw_net_rest(const gw_net *net, int arc) {
  const gw_net_arc *a = &net->arcs[arc];
  return a->w + net->x[a->from] - net->x[a->to];
}

#endif
