/* progress.h - a long search: what a person at a terminal sees of it, and ^C.
 *
 * After a second one line of standard error, written over again and again, has
 * the time and the best order so far; it is taken away at the end.  Nothing is
 * written unless standard error is a terminal.
 *
 * While the search lasts SIGINT is held back, so that it ends the search and the
 * best order so far is used; a second one ends the program in the usual way. */
#ifndef GW_CLI_PROGRESS_H
#define GW_CLI_PROGRESS_H

#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <time.h>

typedef struct gw_progress {
  bool quiet;           /* set by the caller, all else is set when the search begins */
  bool shows, shown;    /* the line may be written; it stands there now */
  bool stopped;
  int64_t cost, bound;  /* of the best order so far; cost -1: none */
  int64_t said_ms;      /* when the line was written last */
  struct timespec begun;
  sigset_t before;      /* signals held back before */
} gw_progress;

/* For gw_job_request; `progress` is a gw_progress. */
void gw_progress_searching(void *progress, bool begins);
bool gw_progress_stop(void *progress);
void gw_progress_better(void *progress, int64_t cost, int64_t bound);

#endif
