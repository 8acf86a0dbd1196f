/* following.h - a glue-up being followed: which step it is at, what it took, by
 * when it must be done.  Knows no terminal; times are milliseconds of a clock
 * that never goes back. */
#ifndef GW_CLI_FOLLOWING_H
#define GW_CLI_FOLLOWING_H

#include "cli/job.h"

typedef struct gw_follow_item {
  int stage;
  const gw_step *step;
  int64_t done_ms;     /* -1: not yet */
} gw_follow_item;

typedef struct gw_following {
  const gw_job *job;
  gw_follow_item *items; /* all steps of all stages, one after the other */
  int count, at;         /* `at` is the one to be done; count: all are done */
  int64_t *begun_ms;     /* of each stage, -1: not yet */
  bool stopping;         /* it is asked whether to stop */
} gw_following;

gw_status gw_following_make(const gw_job *job, gw_following *out);
void gw_following_clear(gw_following *f);

/* Whether a stage is still to be begun; its number. */
bool gw_following_waits(const gw_following *f, int *stage);
/* The key for "done": begins the stage that waits, or ends the step. */
void gw_following_done(gw_following *f, int64_t now_ms);
/* Takes the last of these back. */
void gw_following_back(gw_following *f);

/* When a step began: when the same person and what must come before it were
 * done. */
int64_t gw_following_began(const gw_following *f, int item);
/* By when it must be done, from what was really done when; -1: no limit.  The open
 * time counts from the first spread of the join, the closed time from the first
 * joint together that wants pressure. */
int64_t gw_following_deadline(const gw_following *f, int item);
/* The first glue of the stage in hand; -1: none yet. */
int64_t gw_following_zero(const gw_following *f, int stage);
/* When the clamps are off what a stage takes up, as far as that was done; -1. */
int64_t gw_following_free(const gw_following *f, int stage);
/* Real seconds of each step, rounded, -1 where it was not done. */
void gw_following_seconds(const gw_following *f, int *real_s);

#endif
