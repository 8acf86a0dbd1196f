/* Plans small glue-ups from plain numbers, for tests/oracle/clock_oracle.py.
 *
 * Reads problems from standard input, all numbers whole, blanks between:
 *   people open closed pot clamp joins
 * (seconds; 0: no limit; clamp: what setting clamps takes beside the joins' own
 * share), then for each join:
 *   parent hands bring pressure clamp spreads second...
 * (parent: the later join that takes it up, -1 for the last).
 *
 * Writes for each problem, on one line: as one stage "fits proven open", and
 * cut into stages "failing stages margin proven", then the microseconds that both
 * took together. */
#include <stdlib.h>
#include <time.h>

#include "clock/cutting.h"
#include "clock/plan.h"

enum { MOST_JOINS = 60, MOST_SPREADS = 400 };

typedef struct problem {
  int people, open_s, closed_s, pot_s, clamp_s, n_joins, n_spreads;
  gw_plan_join joins[MOST_JOINS];
  int join_clamp_s[MOST_JOINS], spread_s[MOST_SPREADS];
} problem;

static bool number(int *out) { return scanf("%d", out) == 1; }

static bool read_join(problem *p, int join) {
  gw_plan_join *j = &p->joins[join];
  int pressure;
  if (!number(&j->parent) || !number(&j->hands) || !number(&j->bring_s) || !number(&pressure) ||
      !number(&p->join_clamp_s[join]) || !number(&j->spreads))
    return false;
  j->pressure = pressure != 0;
  j->first = p->n_spreads;
  if (j->spreads < 0 || p->n_spreads + j->spreads > MOST_SPREADS) return false;
  for (int i = 0; i < j->spreads; ++i)
    if (!number(&p->spread_s[p->n_spreads++])) return false;
  return true;
}

static bool read_problem(problem *p) {
  p->n_spreads = 0;
  if (!number(&p->people) || !number(&p->open_s) || !number(&p->closed_s) || !number(&p->pot_s) ||
      !number(&p->clamp_s) || !number(&p->n_joins) || p->n_joins < 1 || p->n_joins > MOST_JOINS)
    return false;
  for (int join = 0; join < p->n_joins; ++join)
    if (!read_join(p, join)) return false;
  return true;
}

/* The joins [from, to) as a stage. */
static gw_status plan_part(const problem *p, int from, int to, gw_plan_answer *answer) {
  gw_plan_join joins[MOST_JOINS];
  int first = p->joins[from].first, end = first;
  gw_plan q = {.joins = joins, .n_joins = to - from, .spread_s = p->spread_s + first,
               .clamp_s = p->clamp_s, .people = p->people, .open_s = p->open_s,
               .closed_s = p->closed_s, .pot_s = p->pot_s};
  for (int i = from; i < to; ++i) {
    joins[i - from] = p->joins[i];
    joins[i - from].first -= first;
    joins[i - from].parent = i == to - 1 ? -1 : p->joins[i].parent - from;
    q.clamp_s += p->join_clamp_s[i];
    end = p->joins[i].first + p->joins[i].spreads;
  }
  q.n_spreads = end - first;
  return gw_plan_solve(&q, answer);
}

static bool possible(void *with, int from, int to, bool *never) {
  const problem *p = with;
  *never = false;
  for (int i = from; i < to - 1; ++i)
    if (p->joins[i].parent < 0 || p->joins[i].parent >= to) return false;
  return true;
}

static gw_status plan_run(void *with, int from, int to, gw_cutting_run *run) {
  int start[MOST_JOINS + MOST_SPREADS + 1];
  gw_plan_answer answer = {.start = start};
  const problem *p = with;
  GW_TRY(plan_part(p, from, to, &answer));
  run->fits = answer.fits;
  run->proven = answer.proven;
  run->margin_pm = (int)(((int64_t)p->open_s - answer.open_s) * 1000 / p->open_s);
  return GW_OK;
}

static int64_t now_us(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (int64_t)t.tv_sec * 1000000 + t.tv_nsec / 1000;
}

static gw_status solve(problem *p) {
  int start[MOST_JOINS + MOST_SPREADS + 1], ends[MOST_JOINS];
  gw_plan_answer answer = {.start = start};
  gw_cutting_asker asker = {plan_run, NULL, possible, p};
  gw_cutting cut = {.ends = ends};
  int64_t began = now_us();
  GW_TRY(plan_part(p, 0, p->n_joins, &answer));
  GW_TRY(gw_cutting_make(p->n_joins, 0, &asker, &cut));
  printf("%d %d %d  %d %d %d %d  %lld\n", answer.fits, answer.proven, answer.open_s, cut.failing,
         cut.stages, cut.margin_pm, cut.proven, (long long)(now_us() - began));
  return GW_OK;
}

int main(void) {
  problem *p = malloc(sizeof *p);
  if (p == NULL) return 3;
  while (read_problem(p))
    if (solve(p) != GW_OK) {
      free(p);
      return 3;
    }
  bool all_read = feof(stdin) != 0;
  free(p);
  return all_read ? 0 : 2;
}
