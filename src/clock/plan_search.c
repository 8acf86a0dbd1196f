/* A stage as a question of time lags. */
#include <limits.h>
#include <stdlib.h>

#include "clock/plan.h"
#include "clock/timelag.h"

/* A node of the search costs about the square of the tasks.  One search may take
 * so many squares, and when the effort left for the whole piece is used up, only
 * few. */
enum { MOST_EFFORT = 2000000, LEAST_EFFORT = 1500000, MOST_NODES = 100000 };

static int64_t square(const gw_plan *q) {
  int64_t tasks = gw_plan_tasks(q);
  return tasks * tasks + 1;
}

static int64_t nodes_for(const gw_plan *q) {
  int64_t effort = q->effort == NULL || *q->effort > MOST_EFFORT ? MOST_EFFORT : *q->effort;
  if (effort < LEAST_EFFORT) effort = LEAST_EFFORT;
  int64_t nodes = effort / square(q) + 1;
  return nodes < MOST_NODES ? nodes : MOST_NODES;
}

static gw_status add_tasks(const gw_plan *q, gw_timelag *t) {
  for (int i = 0; i < gw_plan_tasks(q); ++i) {
    int64_t hands = gw_plan_hands(q, i);
    GW_TRY(gw_timelag_activity(t, gw_plan_seconds(q, i), &hands, NULL));
  }
  return GW_OK;
}

static gw_status add_open(const gw_plan *q, gw_timelag *t, int join, int open_s) {
  const gw_plan_join *j = &q->joins[join];
  int bring = gw_plan_bring(q, join), last = gw_plan_bring(q, q->n_joins - 1);
  for (int i = j->first; i < j->first + j->spreads; ++i) {
    GW_TRY(gw_timelag_lag(t, i, bring, q->spread_s[i]));
    if (open_s < INT_MAX) GW_TRY(gw_timelag_lag(t, bring, i, (int64_t)j->bring_s - open_s));
    if (q->pot_s > 0)
      GW_TRY(gw_timelag_lag(t, last, i, (int64_t)q->joins[q->n_joins - 1].bring_s - q->pot_s));
  }
  return GW_OK;
}

static gw_status add_closed(const gw_plan *q, gw_timelag *t, int join) {
  const gw_plan_join *j = &q->joins[join];
  int bring = gw_plan_bring(q, join);
  if (j->parent >= 0) return gw_timelag_lag(t, bring, gw_plan_bring(q, j->parent), j->bring_s);
  return q->clamp_s > 0 ? gw_timelag_lag(t, bring, gw_plan_clamp(q), j->bring_s) : GW_OK;
}

static gw_status add_lags(const gw_plan *q, gw_timelag *t, int open_s) {
  for (int join = 0; join < q->n_joins; ++join) {
    const gw_plan_join *j = &q->joins[join];
    GW_TRY(add_open(q, t, join, open_s));
    GW_TRY(add_closed(q, t, join));
    if (j->pressure && q->clamp_s > 0 && q->closed_s > 0)
      GW_TRY(gw_timelag_lag(t, gw_plan_clamp(q), gw_plan_bring(q, join),
                            (int64_t)q->clamp_s - j->bring_s - q->closed_s));
  }
  return GW_OK;
}

static gw_status ask(const gw_plan *q, gw_timelag *t, int open_s, bool any, int64_t *start,
                     gw_timelag_answer *answer) {
  gw_timelag_options options = {.nodes = nodes_for(q), .first = any, .limit = -1};
  GW_TRY(add_tasks(q, t));
  GW_TRY(add_lags(q, t, open_s));
  return gw_timelag_solve(t, &options, start, answer);
}

gw_status gw_plan_search(const gw_plan *q, int open_s, bool any, int *start, bool *found,
                         bool *sure) {
  int tasks = gw_plan_tasks(q);
  *found = *sure = false;
  if (tasks > GW_PLAN_SEARCHED) return GW_OK;
  int64_t people = q->people, *at = malloc(((size_t)tasks + 1) * sizeof *at);
  gw_timelag *t = gw_timelag_new(1, &people);
  gw_timelag_answer answer = {0};
  gw_status status = t == NULL || at == NULL ? GW_NO_MEMORY : ask(q, t, open_s, any, at, &answer);
  *found = status == GW_OK && answer.found;
  *sure = answer.kind == GW_TIMELAG_INFEASIBLE;
  if (q->effort != NULL) *q->effort -= answer.nodes * square(q);
  for (int i = 0; i < tasks && *found; ++i) start[i] = (int)at[i];
  gw_timelag_free(t);
  free(at);
  return status;
}
