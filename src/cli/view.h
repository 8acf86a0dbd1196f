/* view.h - the plan as it is to be shown: hours, ways to win time, rehearsal. */
#ifndef GW_CLI_VIEW_H
#define GW_CLI_VIEW_H

#include "cli/job.h"
#include "clock/ways.h"

typedef struct gw_view {
  const gw_job *job;
  bool hours;             /* --start was given … */
  int start_s;            /* … so many seconds after midnight */
  const gw_ways *ways;    /* or NULL */
  const gw_clock *plain;  /* planned without the times of a rehearsal, or NULL */
} gw_view;

/* Reads "14:00" into seconds after midnight; false when it is no hour. */
bool gw_hour_parse(const char *text, int *seconds);
/* The hour so many seconds after the start, whole minutes, rounded up: "14:05",
 * "9:30 the day after", "9:30 in 3 days". */
char *gw_hour_text(const gw_view *view, int64_t seconds, char *buffer, size_t size);
#define GW_HOUR_TEXT 40

/* The plan, and what else is wanted with it: text.c and json.c. */
gw_status gw_text_order(const gw_view *view, FILE *out);
gw_status gw_json_order(const gw_view *view, FILE *out);

#endif
