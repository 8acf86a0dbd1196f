/* timelag.h - activities with least and greatest time lags between their
 * starts, on resources of limited capacity: the schedule that ends first.
 *
 * In the trade's words: spreading, bringing together and clamping are the
 * activities; open time is a greatest lag; hands and clamps are the resources.
 * In the books this is RCPSP/max (Bartusch, Moehring and Radermacher 1988);
 * finding any schedule at all is already NP-hard, so the answer says whether
 * it is proved.
 *
 * Times are whole numbers of whatever unit the caller keeps to; all starts are
 * at or after 0.  Activity i runs from start[i] to start[i] + duration. */
#ifndef GW_CLOCK_TIMELAG_H
#define GW_CLOCK_TIMELAG_H

#include "base/base.h"

/* ---- the question ------------------------------------------------------------ */

#define GW_TIMELAG_ACTIVITIES 4000 /* no more activities than this */
#define GW_TIMELAG_RESOURCES 64    /* no more resources than this */
#define GW_TIMELAG_LONGEST ((int64_t)1 << 30) /* of durations and lags */
#define GW_TIMELAG_MOST ((int64_t)1 << 20)    /* of demands and capacities */

typedef struct gw_timelag gw_timelag;

/* A new question with the given resources (capacities are copied); NULL when
 * memory is short, a capacity is out of range or there are too many. */
gw_timelag *gw_timelag_new(int resources, const int64_t *capacity);
void gw_timelag_free(gw_timelag *question);

/* Adds an activity; its number (from 0 up) goes to *index when not NULL.
 * `demand` has an entry for each resource, or is NULL for none.
 * GW_BAD_INPUT for a negative figure, GW_TOO_LARGE beyond the limits. */
gw_status gw_timelag_activity(gw_timelag *question, int64_t duration, const int64_t *demand,
                              int *index);

/* Adds start[j] >= start[i] + lag.  A negative lag is a greatest lag the other
 * way: start[i] <= start[j] - lag. */
gw_status gw_timelag_lag(gw_timelag *question, int i, int j, int64_t lag);

int gw_timelag_count(const gw_timelag *question);

/* ---- the answer ----------------------------------------------------------------- */

typedef enum gw_timelag_kind {
  GW_TIMELAG_OPTIMUM,    /* start[] ends at `upper`, and nothing ends earlier */
  GW_TIMELAG_INFEASIBLE, /* proved: there is no schedule (within the limit) */
  GW_TIMELAG_BOUND       /* stopped: nothing ends before `lower` */
} gw_timelag_kind;

typedef struct gw_timelag_options {
  int64_t nodes;            /* stop after so many search nodes; 0: no limit */
  bool (*stop)(void *with); /* asked now and then; true stops; may be NULL */
  void *with;
  bool first;               /* any schedule will do: stop at the first one found */
  int64_t limit;            /* no schedule that ends later counts; < 0: none */
} gw_timelag_options;

typedef struct gw_timelag_answer {
  gw_timelag_kind kind;
  bool found;           /* start[] was written */
  int64_t lower, upper; /* end of all activities; upper only when found */
  int64_t nodes;        /* search nodes used */
} gw_timelag_answer;

/* Searches for the schedule that ends first.  start[] (one per activity, owned
 * by the caller) gets the best schedule found.  Without a stop callback the
 * same question always gets the same answer.
 *
 * A first schedule is put together from the parts that lags hold together, and
 * shortened by opening stretches of it again.  The proof is branch and bound:
 * take a time at which the earliest starts need more than there is, pick two of
 * the activities in the way, and try "the one after the other" and then "not
 * so".  Least and greatest starts are kept by the constraint network; resources
 * cut them by compulsory parts, energy and edge finding.  The two take turns
 * with growing effort until one ends or the search is stopped. */
gw_status gw_timelag_solve(const gw_timelag *question, const gw_timelag_options *options,
                           int64_t *start, gw_timelag_answer *answer);

/* ---- checking a schedule ------------------------------------------------------------ */

typedef enum gw_timelag_fault {
  GW_TIMELAG_FINE,
  GW_TIMELAG_EARLY,   /* activity i starts before 0 */
  GW_TIMELAG_LAG,     /* start[j] < start[i] + lag; `amount` is what lacks */
  GW_TIMELAG_RESOURCE /* at `time` resource i is `amount` over its capacity */
} gw_timelag_fault;

typedef struct gw_timelag_verdict {
  gw_timelag_fault fault;
  int i, j;
  int64_t time, amount;
  int64_t end; /* when the last activity ends */
} gw_timelag_verdict;

/* Judges a schedule against the question alone, sharing nothing with the
 * search: the first fault found, lags in the order in which they were added,
 * then resources in order of time. */
gw_timelag_verdict gw_timelag_check(const gw_timelag *question, const int64_t *start);

#endif
