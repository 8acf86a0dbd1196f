/* rehearse.h - the times of a rehearsal: an empty table to fill in, and the
 * filled table read back. */
#ifndef GW_CLI_REHEARSE_H
#define GW_CLI_REHEARSE_H

#include "cli/job.h"

/* Writes a row for each action of the plan: stage, step, action, number (the
 * joint's mark for a spread, else the join's number), words, planned seconds, and
 * the real ones: real_s[k] of the k-th action counted through all stages, blank
 * where it is negative or real_s is NULL. */
gw_status gw_rehearse_write(const gw_job *job, const int *real_s, FILE *out);

/* Times read from such a table; rows without a real time are passed over. */
typedef struct gw_rehearsal {
  gw_times times;
  gw_time *items;
  int *lines;     /* on which each stands */
} gw_rehearsal;

/* Reads the table at `path`.  Real times may be seconds (35, 35 s, 35.5) or
 * minutes and seconds (1:05).  GW_BAD_INPUT or GW_IO with words in *err.  Clear
 * with gw_rehearsal_clear whatever the outcome. */
gw_status gw_rehearsal_read(const char *path, gw_rehearsal *out, gw_error *err);
void gw_rehearsal_clear(gw_rehearsal *rehearsal);

/* Whether the piece has the action that a time is for. */
bool gw_rehearsal_known(const gw_job *job, const gw_time *time);

/* As gw_cli_run for a timed plan, with the times of --times if there are any; they
 * are the caller's to clear whatever the outcome (order.c). */
struct gw_options;
gw_status gw_cli_run_rehearsed(const struct gw_options *options, gw_job *job,
                               gw_rehearsal *rehearsal, gw_error *err);

/* "spread", "bring-together", "clamp": as in the table and in JSON. */
const char *gw_action_name(gw_action action);
/* The joint's mark or the join's number of a step. */
int gw_step_number(const gw_job *job, const gw_step *step);
/* The step of a plan that does the same as this one, or NULL. */
const gw_step *gw_step_like(const gw_clock *clock, const gw_step *step);

#endif
