#include "cli/progress.h"

#include <stdio.h>
#include <unistd.h>

enum { FIRST_MS = 1000, EVERY_MS = 200 };

static int64_t elapsed_ms(const gw_progress *p) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (int64_t)(now.tv_sec - p->begun.tv_sec) * 1000 +
         (now.tv_nsec - p->begun.tv_nsec) / 1000000;
}

static sigset_t interrupt(void) {
  sigset_t set;
  sigemptyset(&set);
  sigaddset(&set, SIGINT);
  return set;
}

static void wipe(gw_progress *p) {
  if (p->shown) fprintf(stderr, "\r%79s\r", "");
  p->shown = false;
}

/* Whether the search is to end; then signals are no longer held back. */
static bool interrupted(gw_progress *p) {
  sigset_t set = interrupt();
  const struct timespec at_once = {0, 0};
  if (p->stopped || sigtimedwait(&set, NULL, &at_once) != SIGINT) return p->stopped;
  p->stopped = true;
  sigprocmask(SIG_SETMASK, &p->before, NULL);
  return true;
}

void gw_progress_searching(void *progress, bool begins) {
  gw_progress *p = progress;
  sigset_t set = interrupt();
  if (begins) {
    *p = (gw_progress){.quiet = p->quiet, .cost = -1};
    p->shows = !p->quiet && isatty(STDERR_FILENO) == 1;
    clock_gettime(CLOCK_MONOTONIC, &p->begun);
    sigprocmask(SIG_BLOCK, &set, &p->before);
    return;
  }
  wipe(p);
  /* One that came when the search was over has nothing left to end. */
  if (!interrupted(p)) sigprocmask(SIG_SETMASK, &p->before, NULL);
}

static void say(gw_progress *p, int64_t now) {
  char line[80];
  int used = snprintf(line, sizeof line, "looking for the best order: %lld s",
                      (long long)(now / 1000));
  if (p->cost >= 0)
    used += snprintf(line + used, sizeof line - (size_t)used,
                     ", best so far %lld (none below %lld)", (long long)p->cost,
                     (long long)p->bound);
  if (used < 66) snprintf(line + used, sizeof line - (size_t)used, "; ^C ends it");
  fprintf(stderr, "\r%-79s", line);
  fflush(stderr);
  p->shown = true;
  p->said_ms = now;
}

bool gw_progress_stop(void *progress) {
  gw_progress *p = progress;
  if (interrupted(p)) return true;
  if (!p->shows) return false;
  int64_t now = elapsed_ms(p);
  if (now >= FIRST_MS && (!p->shown || now - p->said_ms >= EVERY_MS)) say(p, now);
  return false;
}

void gw_progress_better(void *progress, int64_t cost, int64_t bound) {
  gw_progress *p = progress;
  if (p->cost >= 0 && cost >= p->cost) return;
  p->cost = cost;
  p->bound = bound;
}
