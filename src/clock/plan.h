/* plan.h - one stage from plain numbers: who does what when, so that no joint
 * is open longer than need be.
 *
 * The joins of a stage are numbered in an order in which they can be built;
 * each but the last has a later one that takes it up.  Every join has spreads
 * (one for each glued joint that it closes) and one bringing together; the
 * clamps are set once, when the last join is together.  Hands do one thing at a
 * time.  The rules that a plan keeps:
 *
 *   spread of a join before it is brought together; a join before the one that
 *   takes it up; the clamps after the last;
 *   start of a spread to faces together <= open time;
 *   faces together to the last clamp <= closed time, for joins that want
 *   pressure;
 *   first start of a spread to the last faces together <= pot life.
 *
 * Sought is the plan in which the joint that is open longest is so for the
 * shortest time.  With the limits of closed time and pot life out of the way the
 * answer is exact without search: while a join is being spread, nothing else
 * need be done, so its joints are open at least for the best sharing of its
 * spreads among the people and the bringing together after it, and the plan that
 * takes join after join opens none for longer.
 *
 * Times are whole seconds from the first thing done.  Nothing here knows of
 * wood, files or findings. */
#ifndef GW_CLOCK_PLAN_H
#define GW_CLOCK_PLAN_H

#include "base/base.h"

typedef struct gw_plan_join {
  int parent;   /* the later join that takes this one up, -1 for the last */
  int first;    /* its spreads are [first, first + spreads) of the stage's */
  int spreads;
  int bring_s, hands; /* to bring together: seconds, and people at once */
  bool pressure;
} gw_plan_join;

typedef struct gw_plan {
  const gw_plan_join *joins; /* borrowed */
  int n_joins;
  const int *spread_s;       /* borrowed; those of a join stand together, join after join */
  int n_spreads;
  int clamp_s;               /* 0: nothing is done after the last join */
  int people;
  int open_s, closed_s, pot_s; /* limits; 0: none */
  int64_t *effort; /* left for searching in all the stages of a piece, taken off as it is
                    * used; NULL: enough */
} gw_plan;

/* What is done, in this numbering: the spreads, the bringings together, the
 * clamps (when clamp_s is not 0). */
static inline int gw_plan_tasks(const gw_plan *q) {
  return q->n_spreads + q->n_joins + (q->clamp_s > 0);
}
static inline int gw_plan_bring(const gw_plan *q, int join) { return q->n_spreads + join; }
static inline int gw_plan_clamp(const gw_plan *q) { return q->n_spreads + q->n_joins; }
int gw_plan_seconds(const gw_plan *q, int task);
int gw_plan_hands(const gw_plan *q, int task);

typedef struct gw_plan_answer {
  int *start;    /* one for each task; the caller's */
  int open_s;    /* longest from a start of spreading to faces together */
  int closed_s;  /* longest from faces together to the last clamp */
  int pot_s;     /* first start of spreading to the last faces together */
  int end_s;
  int bound_s;   /* no plan, whatever its limits, opens all joints for less */
  bool fits;     /* keeps all limits */
  bool proven;   /* fits: no plan that does opens a joint for less; else: none does */
} gw_plan_answer;

/* Most tasks for which a plan is searched for when taking join after join does
 * not keep the limits; beyond, the answer is not proven. */
enum { GW_PLAN_SEARCHED = 80 };

/* Plans.  answer->start must have room for gw_plan_tasks(q) numbers.  When no
 * plan is found that keeps the limits, start[] is join after join. */
gw_status gw_plan_solve(const gw_plan *q, gw_plan_answer *answer);

/* Makes the whole stage shorter where the hands allow it, with no joint open
 * longer than answer->open_s; then what is spread is spread as late as it can
 * be.  Takes what gw_plan_solve gave. */
gw_status gw_plan_shorten(const gw_plan *q, gw_plan_answer *answer);

/* ---- inside the room ---------------------------------------------------------- */

/* plan_share.c: shares `count` works among people so that the last ends first;
 * who[i] gets the person.  Returns the end; *proven: no sharing ends sooner. */
int gw_plan_share(const int *seconds, int count, int people, int *who, bool *proven);

/* plan.c: what a set of starts comes to. */
void gw_plan_measure(const gw_plan *q, gw_plan_answer *answer);

/* plan_search.c: a plan in which no joint is open for more than open_s, and
 * which ends first of those that the search sees, or the first one seen when
 * `any` will do; into start[].  *sure: when none was found, there is none. */
gw_status gw_plan_search(const gw_plan *q, int open_s, bool any, int *start, bool *found,
                         bool *sure);

#endif
