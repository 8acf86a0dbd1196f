/* inside.h - what the files of the clock room share; nobody else's. */
#ifndef GW_CLOCK_INSIDE_H
#define GW_CLOCK_INSIDE_H

#include "clock/clock.h"
#include "clock/plan.h"

/* ---- a piece being planned ---------------------------------------------------- */

/* Seconds that an action takes, and where they come from. */
typedef struct gw_work {
  int seconds;
  gw_source source;
} gw_work;

typedef struct gw_planning {
  const gw_model *m;
  const gw_fit *fit;
  const gw_marks *marks;
  const gw_order *order;
  const gw_clock_options *options;
  gw_findings *findings;
  gw_clock *clock;
  gw_work *spread;   /* one for each joint */
  gw_work *bring;    /* one for each join */
  int *hands;        /* people that each join takes */
  bool *pressure;    /* whether a glued joint of each join wants clamps */
  int *glued;        /* how many glued joints each join closes */
  int *clamped_s;    /* rehearsed setting of the clamps of a stage that ends with this
                      * join; -1: not rehearsed */
} gw_planning;

/* uses.c: the figures in force. */
gw_status gw_clock_uses(gw_planning *p);
/* wood.c: whether the air of the shop makes the wood too damp or too dry. */
gw_status gw_clock_wood(gw_planning *p);

/* work.c: fills spread to clamped_s. */
gw_status gw_work_fill(gw_planning *p);
/* To set so many clamps and check the diagonals after them. */
gw_work gw_work_clamp(const gw_planning *p, int clamps);
/* The glued area of a joint, and the part of it that a pull along the axis
 * presses, in mm2. */
double gw_work_area(const gw_planning *p, int joint);
double gw_work_pressed(const gw_planning *p, int joint, int axis);

/* ---- clamps -------------------------------------------------------------------- */

enum { GW_PULLS_OF_AXIS = 4 };
typedef struct gw_pulls {
  gw_pull items[3 * GW_PULLS_OF_AXIS];
  int count;
} gw_pulls;

/* clamps.c: the pulls of the joins [first, last) as one stage with that glue. */
gw_status gw_clock_pulls(const gw_planning *p, int first, int last, int glue, gw_pulls *out);
/* All clamps together: `wanted` ones for the time they take, or those to be set. */
int gw_pulls_sum(const gw_pull *pulls, int count, bool wanted);
/* Whether the shop has the clamps for the lines of all pulls.  With `raise` each
 * pull is given more of what is left, as far as its force wants them. */
gw_status gw_pulls_fit(const gw_shop *shop, gw_pulls *pulls, bool raise, bool *enough);
/* Adds the clamps to need[], which has a number for each kind of the shop. */
void gw_clock_need(const gw_pull *pulls, int count, int *need);
/* The kind of which need[] asks for more than the shop has (longer ones may
 * stand in for shorter ones), or -1.  *lacking: how many. */
int gw_clock_lacking(const gw_shop *shop, const int *need, int *lacking);
/* Findings when the shop cannot give what the stage wants. */
gw_status gw_clock_say_clamps(gw_planning *p, const gw_stage *stage);
/* begin.c: when each stage begins, and the whole. */
gw_status gw_clock_begin(gw_planning *p);

/* ---- stages -------------------------------------------------------------------- */

/* A run of joins as one stage; the arrays are made once and used for every run. */
typedef struct gw_staging {
  gw_planning *p;
  int first, last;   /* joins [first, last) */
  int glue;          /* -1: none */
  bool mixed;        /* more than one glue */
  gw_plan_join *joins;
  int *spread_s, *joint; /* of each spread */
  int *start;
  gw_pulls pulls;
  gw_work clamp;
  gw_plan plan;
  gw_plan_answer answer;
  bool fits, proven; /* with the shop's margin */
  bool enough;       /* the shop has clamps for it */
  int64_t effort;    /* left for searching (plan.h) */
} gw_staging;

gw_status gw_staging_make(gw_planning *p, gw_staging *out);
void gw_staging_clear(gw_staging *staging);

/* Plans the joins [first, last) as one stage with the shop's margin; a single
 * join that does not keep it is planned without. */
gw_status gw_stage_try(gw_staging *s, int first, int last);
/* Thousandths of the open time that the last plan leaves; 1001 without glue. */
int gw_stage_margin(const gw_staging *s);
/* The same, and writes it down, as short as the hands allow. */
gw_status gw_stage_keep(gw_staging *s, int first, int last, gw_stage *out);
/* steps.c: the timed list of a stage that is written down otherwise. */
gw_status gw_stage_steps(const gw_staging *s, gw_stage *stage);

#endif
