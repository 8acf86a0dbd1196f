/* order.h - how the piece goes together, or what locks it.
 *
 * The order is a tree of joins found by taking the piece apart (split.h).
 * What stops what is found here, from the freedoms of the joints and from the
 * room that parts sweep when they move. */
#ifndef GW_ORDER_H
#define GW_ORDER_H

#include "base/findings.h"
#include "fit/fit.h"
#include "marks/marks.h"
#include "model/model.h"

/* More parts than this are not ordered: every part may stand in the way of
 * every other. */
enum { GW_ORDER_MAX_PARTS = 3000 };

/* One join.  Sides are lists of part indices, ascending. */
typedef struct gw_join {
  int *moving, *onto;
  int n_moving, n_onto;
  int moving_join, onto_join; /* the earlier join that a side is, or -1: a part */
  int parent;                 /* the join that this one is a side of, or -1 */
  gw_vec way;                 /* in which the moving side goes in */
  int *joints;                /* closed here, in the order of their marks */
  int n_joints;
  int n_glued;
  int bodies;                 /* to be held together at once */
  bool over_hands;            /* more than the hands can hold */
  bool loose;                 /* laid in place; no joint holds the whole yet */
  bool ends_stage;            /* the file wants it to be a stage of its own */
  const char *direction;      /* the way in words: "down", "to the left" */
  const char *words;          /* the instruction: "lower Top (C) onto …" */
} gw_join;

typedef struct gw_order {
  gw_join *joins; /* in order of building */
  int n_joins;
  bool optimal;   /* proven; else `bound` is what it could cost at best */
  int64_t cost, bound, nodes;
  gw_arena *arena;
} gw_order;

typedef struct gw_order_options {
  int exact_limit;     /* 0: the default */
  int64_t node_budget; /* 0: the default */
  bool any; /* the first order will do, and none at all is given where that one
               exists is plain without it and the file has no wishes */
  /* Asked now and then; true ends the search with the best order found so far,
   * or with a quick one when there is none yet (note search-stopped). */
  bool (*stop)(void *stop_data);
  /* Told of the best order found so far; may be NULL. */
  void (*better)(void *stop_data, int64_t cost, int64_t bound);
  void *stop_data;
} gw_order_options;

/* Finds the order.  *out is the caller's (gw_order_free), and NULL when the
 * piece is locked, has more than GW_ORDER_MAX_PARTS parts, or when any order will
 * do; then, and for
 * wishes that cannot be had, findings say why (codes locked, wish-refused,
 * too-many-parts). */
gw_status gw_order_make(const gw_model *model, const gw_fit *fit, const gw_marks *marks,
                        const gw_order_options *options, gw_findings *findings, gw_order **out,
                        gw_error *err);
void gw_order_free(gw_order *order);

/* The group that two parts or more are all of and that has no others, or -1. */
int gw_order_group(const gw_model *model, const int *parts, int count);

/* A side of a join as it is named: what moves as a whole group by the group's name; of
 * what moves, all parts where there are three at most, else those that meet the other
 * side; of the other, those that are met.  By their letters, "C + K + N"; with `names` a
 * single one is "Front (C)".  The arena's; NULL when memory is short. */
const char *gw_order_side(const gw_model *model, const gw_marks *marks, gw_arena *arena,
                          const gw_join *join, bool moving, bool names);

/* ---- inside the room -------------------------------------------------------- */

enum { GW_WAYS_MOST = 256 }; /* not more than GW_SPLIT_MAX_DIRS */

/* Candidate directions and who stops whom along each.  Freed with
 * gw_blocking_free. */
typedef struct gw_blocking {
  gw_vec dirs[GW_WAYS_MOST];
  int opposite[GW_WAYS_MOST];
  int cost[GW_WAYS_MOST];
  int n_dirs;
  bool dropped; /* there are more than GW_WAYS_MOST: the others are not tried */
  struct gw_split_arc *arcs;
  size_t n_arcs;
} gw_blocking;
/* A glued joint that can open square to its faces is not taken as free to slide
 * along them, since a slide wipes the glue off, unless `slides` (one for each
 * joint) says so. */
gw_status gw_blocking_make(const gw_model *model, const gw_fit *fit, const bool *slides,
                           gw_blocking *out);
void gw_blocking_free(gw_blocking *blocking);

/* "down", "to the left", "back and up": into `buffer`. */
char *gw_way_words(gw_vec way, char *buffer, size_t size);

#endif
