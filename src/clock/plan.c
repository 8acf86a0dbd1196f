#include "clock/plan.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

/* ---- tasks ----------------------------------------------------------------------------------- */

int gw_plan_seconds(const gw_plan *q, int task) {
  if (task < q->n_spreads) return q->spread_s[task];
  if (task < q->n_spreads + q->n_joins) return q->joins[task - q->n_spreads].bring_s;
  return q->clamp_s;
}

int gw_plan_hands(const gw_plan *q, int task) {
  if (task < q->n_spreads || task >= q->n_spreads + q->n_joins) return 1;
  int hands = q->joins[task - q->n_spreads].hands;
  return hands > q->people ? q->people : hands;
}

/* ---- what a plan comes to -------------------------------------------------------------------- */

static int bring_end(const gw_plan *q, const int *start, int join) {
  return start[gw_plan_bring(q, join)] + q->joins[join].bring_s;
}

static void measure_join(const gw_plan *q, gw_plan_answer *a, int join, int *first, int *last) {
  const gw_plan_join *j = &q->joins[join];
  int together = bring_end(q, a->start, join);
  for (int i = j->first; i < j->first + j->spreads; ++i) {
    if (together - a->start[i] > a->open_s) a->open_s = together - a->start[i];
    if (a->start[i] < *first) *first = a->start[i];
    if (together > *last) *last = together;
  }
  if (q->clamp_s == 0 || !j->pressure) return;
  int wait = a->start[gw_plan_clamp(q)] + q->clamp_s - together;
  if (wait > a->closed_s) a->closed_s = wait;
}

static bool within(int value, int limit) { return limit <= 0 || value <= limit; }

void gw_plan_measure(const gw_plan *q, gw_plan_answer *a) {
  int first = INT_MAX, last = INT_MIN;
  a->open_s = a->closed_s = a->pot_s = a->end_s = 0;
  for (int i = 0; i < gw_plan_tasks(q); ++i) {
    int end = a->start[i] + gw_plan_seconds(q, i);
    if (end > a->end_s) a->end_s = end;
  }
  for (int join = 0; join < q->n_joins; ++join) measure_join(q, a, join, &first, &last);
  if (last > first) a->pot_s = last - first;
  a->fits = within(a->open_s, q->open_s) && within(a->closed_s, q->closed_s) &&
            within(a->pot_s, q->pot_s);
}

/* ---- two plans without search ---------------------------------------------------------------- */

/* A plan being laid down: when the next thing can begin. */
typedef struct laying {
  const gw_plan *q;
  int *start, *who;
  bool *dry;      /* no glue in it nor in what it takes up */
  int now;
  int bound_s;
  bool proven;    /* every sharing is the best there is */
} laying;

/* Spreads of one join, shared out, each person's so late that all end when the
 * parts are brought together. */
static void lay_spreads(laying *l, int join) {
  const gw_plan_join *j = &l->q->joins[join];
  const int *seconds = l->q->spread_s + j->first;
  int left[100] = {0};
  bool proven;
  int end = gw_plan_share(seconds, j->spreads, l->q->people, l->who, &proven);
  for (int i = 0; i < j->spreads; ++i) left[l->who[i]] += seconds[i];
  for (int i = 0; i < j->spreads; ++i) {
    l->start[j->first + i] = l->now + end - left[l->who[i]];
    left[l->who[i]] -= seconds[i];
  }
  l->now += end;
  if (j->spreads == 0) return;
  l->proven = l->proven && proven;
  if (end + j->bring_s > l->bound_s) l->bound_s = end + j->bring_s;
}

static void lay_bring(laying *l, int join) {
  l->start[gw_plan_bring(l->q, join)] = l->now;
  l->now += l->q->joins[join].bring_s;
}

static void find_dry(laying *l) {
  const gw_plan *q = l->q;
  for (int join = 0; join < q->n_joins; ++join) l->dry[join] = q->joins[join].spreads == 0;
  for (int join = 0; join < q->n_joins; ++join)
    if (!l->dry[join] && q->joins[join].parent >= 0) l->dry[q->joins[join].parent] = false;
}

/* What takes no glue is put together before the bottle is opened.  Then, join
 * after join: spread, bring together; or (late) all spread first.  The clamps
 * last. */
static void lay(laying *l, bool late) {
  const gw_plan *q = l->q;
  l->now = l->bound_s = 0;
  l->proven = true;
  for (int join = 0; join < q->n_joins; ++join)
    if (l->dry[join]) lay_bring(l, join);
  for (int join = 0; late && join < q->n_joins; ++join) lay_spreads(l, join);
  for (int join = 0; join < q->n_joins; ++join) {
    if (l->dry[join]) continue;
    if (!late) lay_spreads(l, join);
    lay_bring(l, join);
  }
  if (q->clamp_s > 0) l->start[gw_plan_clamp(q)] = l->now;
}

/* ---- the best -------------------------------------------------------------------------------- */

enum { MOST_UNSURE = 2 }; /* the proof is lost with the first; more is not gained by many */

/* Halves the range between what is impossible and what is held, until they
 * meet; `held` and the answer's starts are a plan that fits. */
static gw_status halve(const gw_plan *q, gw_plan_answer *a, int *trial) {
  int least = a->bound_s, unsure = 0;
  while (least < a->open_s && unsure < MOST_UNSURE) {
    int middle = least + (a->open_s - least) / 2;
    bool found, sure;
    GW_TRY(gw_plan_search(q, middle, true, trial, &found, &sure));
    if (found) {
      memcpy(a->start, trial, (size_t)gw_plan_tasks(q) * sizeof *trial);
      gw_plan_measure(q, a);
    } else {
      unsure += !sure;
      least = middle + 1;
    }
  }
  a->proven = unsure == 0;
  return GW_OK;
}

/* Join after join does not keep the limits: another plan may. */
static gw_status seek(laying *l, gw_plan_answer *a, int *trial) {
  const gw_plan *q = l->q;
  gw_plan_answer late = {.start = trial, .bound_s = a->bound_s};
  int *line = a->start;
  l->start = trial;
  lay(l, true);
  gw_plan_measure(q, &late);
  bool found = late.fits, sure = true;
  if (!found) {
    int open = q->open_s > 0 ? q->open_s : INT_MAX;
    /* Even one join by itself is open for too long. */
    if (within(a->bound_s, open)) GW_TRY(gw_plan_search(q, open, true, trial, &found, &sure));
    else sure = l->proven;
  }
  a->proven = !found && sure;
  if (!found) return GW_OK;
  memcpy(line, trial, (size_t)gw_plan_tasks(q) * sizeof *trial);
  gw_plan_measure(q, a);
  return halve(q, a, trial);
}

static gw_status solve(laying *l, gw_plan_answer *a, int *trial) {
  find_dry(l);
  lay(l, false);
  a->bound_s = l->bound_s;
  gw_plan_measure(l->q, a);
  a->proven = l->proven;
  if (a->fits) return GW_OK;
  return seek(l, a, trial);
}

gw_status gw_plan_solve(const gw_plan *q, gw_plan_answer *a) {
  size_t tasks = (size_t)gw_plan_tasks(q);
  int *room = malloc((tasks * 2 + 1) * sizeof *room);
  bool *dry = malloc(((size_t)q->n_joins + 1) * sizeof *dry);
  gw_status status = GW_NO_MEMORY;
  if (room != NULL && dry != NULL) {
    laying l = {.q = q, .start = a->start, .who = room, .dry = dry};
    status = solve(&l, a, room + tasks);
  }
  free(dry);
  free(room);
  return status;
}

/* ---- shorter ------------------------------------------------------------------------------------
 */

/* Hands in use by all tasks but one at a moment. */
static int busy(const gw_plan *q, const int *start, int but, int moment) {
  int hands = 0;
  for (int i = 0; i < gw_plan_tasks(q); ++i)
    if (i != but && start[i] <= moment && moment < start[i] + gw_plan_seconds(q, i))
      hands += gw_plan_hands(q, i);
  return hands;
}

/* Whether someone is free for the spread all the time if it starts then; hands
 * get fewer only where a task starts. */
static bool can_start(const gw_plan *q, const int *start, int spread, int at) {
  int end = at + q->spread_s[spread];
  if (busy(q, start, spread, at) >= q->people) return false;
  for (int i = 0; i < gw_plan_tasks(q); ++i)
    if (i != spread && start[i] > at && start[i] < end &&
        busy(q, start, spread, start[i]) >= q->people)
      return false;
  return true;
}

/* The latest start of a spread: right before its parts are brought together, or
 * right before some other thing begins. */
static void delay(const gw_plan *q, int *start, int spread, int join) {
  int latest = start[gw_plan_bring(q, join)] - q->spread_s[spread], best = start[spread];
  if (can_start(q, start, spread, latest)) best = latest;
  for (int i = 0; i < gw_plan_tasks(q); ++i) {
    int at = start[i] - q->spread_s[spread];
    if (i != spread && at > best && at <= latest && can_start(q, start, spread, at)) best = at;
  }
  start[spread] = best;
}

gw_status gw_plan_shorten(const gw_plan *q, gw_plan_answer *a) {
  size_t tasks = (size_t)gw_plan_tasks(q);
  if (q->people == 1 || !a->fits || tasks > GW_PLAN_SEARCHED || q->n_spreads == 0) return GW_OK;
  int *trial = malloc((tasks + 1) * sizeof *trial);
  if (trial == NULL) return GW_NO_MEMORY;
  bool found, sure;
  gw_status status = gw_plan_search(q, a->open_s, false, trial, &found, &sure);
  gw_plan_answer shorter = *a;
  shorter.start = trial;
  if (status == GW_OK && found) gw_plan_measure(q, &shorter);
  if (status == GW_OK && found && shorter.fits && shorter.end_s < a->end_s) {
    for (int join = q->n_joins - 1; join >= 0; --join)
      for (int i = q->joins[join].spreads - 1; i >= 0; --i)
        delay(q, trial, q->joins[join].first + i, join);
    memcpy(a->start, trial, tasks * sizeof *trial);
    gw_plan_measure(q, a);
  }
  free(trial);
  return status;
}
