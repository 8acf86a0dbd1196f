/* cutting.h - cuts a row of joins into stages: fewest stages first, then the
 * largest least margin.
 *
 * A stage is a run of joins that stand together in the order.  What a run comes
 * to is asked of the caller; here only the best way to cut is found, by dynamic
 * programming over the ends of runs: the best cut of the first i joins is the
 * best cut of the joins before its last stage, and that stage. */
#ifndef GW_CLOCK_CUTTING_H
#define GW_CLOCK_CUTTING_H

#include "base/base.h"

/* What a run of joins comes to as one stage. */
typedef struct gw_cutting_run {
  int from, to;     /* joins [from, to) */
  int margin_pm;    /* thousandths of the open time; more than 1000: no glue in it */
  int clamp_s;      /* what setting its clamps takes */
  bool fits;        /* keeps its limits */
  bool proven;      /* nothing better, or that it does not fit, is proved */
} gw_cutting_run;

typedef struct gw_cutting_asker {
  /* Fills all of *run but from and to. */
  gw_status (*plan)(void *with, int from, int to, gw_cutting_run *run);
  /* Seconds of setting clamps for the run, where a longer run may take fewer;
   * NULL when none does. */
  gw_status (*clamp)(void *with, int from, int to, int *seconds);
  /* Whether the run can be a stage at all; *never: nor can any longer one. */
  bool (*possible)(void *with, int from, int to, bool *never);
  void *with;
} gw_cutting_asker;

enum { GW_CUTTING_DRY = 1001 };

typedef struct gw_cutting {
  int *ends;      /* stage k is joins [ends[k - 1], ends[k]), ends[-1] taken as 0 */
  int stages;
  int failing;    /* stages of one join that keep their limits in no plan */
  int margin_pm;  /* least over all stages with glue; GW_CUTTING_DRY: there is none */
  bool proven;    /* no other cut is better, for the runs as they were answered */
} gw_cutting;

/* Cuts `joins` joins into the fewest stages and `more` stages beyond, if that
 * raises the margin.  out->ends (of `joins` numbers) is the caller's.
 *
 * A run that does not fit ends its row: a longer one has more to spread, to
 * bring together and, but for clamps of another kind, to clamp.  A longer run
 * that takes less clamping is therefore asked for all the same.  A single join
 * that does not fit is a stage all the same (and counted as failing). */
gw_status gw_cutting_make(int joins, int more, const gw_cutting_asker *asker, gw_cutting *out);

#endif
