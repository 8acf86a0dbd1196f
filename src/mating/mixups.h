/* mixups.h - which wrong pairings would also go together.
 *
 * Joints: two joints are of one class when the entering half of each would go
 * into the receiving half of the other: same kind, slope and number of tails,
 * thickness inside the fit of that kind, the other measures equal but for 0.2 mm.
 *
 * Parts: a part would also go in, in its own place or another's, when a rigid
 * turn of its box (24 there are) brings the box onto that of the place and every
 * half onto a half of the place that is of the same kind, on the same surface, at
 * the same spot, and fits the mate that is there.  Spots and sizes are compared
 * to 0.2 mm, thickness by the fit.  The other places are taken to be as drawn.
 *
 * Whole assemblies: each part in some place that it would go into, one in each,
 * is a perfect matching of parts and places, counted once for each turn.  All
 * joints are then as drawn, so every matching goes together, but that parts which
 * differ inside the fit are counted as if they fitted each other too.  Not
 * counted are assemblies in which several parts are wrong in one and the same
 * way and so agree with each other, not with the drawing: a frame whose tenons
 * lie off the middle, put together with every part face about. */
#ifndef GW_MIXUPS_H
#define GW_MIXUPS_H

#include "base/findings.h"
#include "fit/fit.h"
#include "model/model.h"

/* A rigid turn: what pointed along `axis` a points along axis[a] afterwards, the
 * other way when flip[a]. */
typedef struct gw_turn {
  int axis[3];
  bool flip[3];
} gw_turn;

enum { GW_TURNS = 24, GW_MIXUP_EXACT = 20 };

/* The turns, the one that leaves all as it is first. */
gw_turn gw_turn_at(int index);
gw_dir gw_turn_dir(const gw_turn *turn, gw_dir dir);

/* A part that would go into a place where it does not belong, or into its own
 * turned.  `harm` is the sum of
 *   8  the wood is another, or a size differs inside the fit: it shows for good
 *   4  a joint without room in its fit, cut to its own mate alone, such as a
 *      dovetail: it will not close on another
 *   2  the face side or the face edge then points another way
 *   1  a joint of it is glued: it cannot be taken apart again
 * and rank is by harm, then in the order of the file. */
typedef struct gw_mixup {
  int part, place; /* the part whose place it is */
  int turn;
  int harm;
} gw_mixup;

typedef struct gw_mixups {
  int *joint_class; /* for each joint; joints of one class have one number */
  int n_joint_classes;
  int *part_class;  /* for each part: parts that can change places, maybe by way of others */
  int n_part_classes;
  gw_mixup *ways;   /* ranked; in a large piece one part of each class stands for all */
  int n_ways;
  /* Complete assemblies (see above) but for the right one.  Exact when the piece
   * has no more than 200 parts, no class has more than GW_MIXUP_EXACT and nothing
   * overflowed; otherwise there are at least so many. */
  uint64_t wrong;
  bool exact;
  gw_arena *arena;
} gw_mixups;

/* *out is the caller's (gw_mixups_free).  The parts must have their places.
 * Notes `mix-up`, the most harmful first, at most twelve. */
gw_status gw_mixups_make(const gw_model *model, const gw_fit *fit, gw_findings *findings,
                         gw_mixups **out);
void gw_mixups_free(gw_mixups *mixups);

/* The number of perfect matchings of n (at most GW_MIXUP_EXACT) parts and
 * places, ways[part * n + place] counting the ways of each pair: the matrix's
 * permanent.  UINT64_MAX when it is that or more.  GW_NO_MEMORY, GW_TOO_LARGE. */
gw_status gw_mixups_count(const int *ways, int n, uint64_t *out);

#endif
