#include "clock/cutting.h"

#include <limits.h>
#include <stdlib.h>

/* ---- the runs -------------------------------------------------------------------------------- */

typedef struct runs {
  gw_cutting_run *items; /* by `from`, then `to` */
  size_t count, room;
  bool proven;
} runs;

static gw_status keep(runs *all, gw_cutting_run run) {
  GW_TRY(gw_grow(&all->items, &all->room, all->count + 1, sizeof *all->items));
  all->items[all->count++] = run;
  return GW_OK;
}

/* All runs that begin at `from` and are worth while. */
static gw_status list_row(int from, int joins, const gw_cutting_asker *asker, runs *all) {
  int failed_clamp_s = INT_MAX;
  for (int to = from + 1; to <= joins; ++to) {
    bool never = false;
    gw_cutting_run run = {.from = from, .to = to};
    if (!asker->possible(asker->with, from, to, &never)) {
      if (never) break;
      continue;
    }
    int clamp_s = 0;
    if (failed_clamp_s < INT_MAX) GW_TRY(asker->clamp(asker->with, from, to, &clamp_s));
    if (clamp_s >= failed_clamp_s) continue;
    GW_TRY(asker->plan(asker->with, from, to, &run));
    all->proven = all->proven && run.proven;
    if (run.fits || to == from + 1) GW_TRY(keep(all, run));
    if (run.fits) continue;
    if (asker->clamp == NULL) break;
    failed_clamp_s = run.clamp_s;
  }
  return GW_OK;
}

/* ---- the best cut ---------------------------------------------------------------------------- */

/* The best way to cut the first i joins (into so many stages). */
typedef struct prefix {
  int failing, stages, margin_pm;
  int from;
} prefix;

static bool better(const prefix *a, const prefix *b) {
  if (a->failing != b->failing) return a->failing < b->failing;
  if (a->stages != b->stages) return a->stages < b->stages;
  return a->margin_pm > b->margin_pm;
}

static prefix with_run(const prefix *before, const gw_cutting_run *run) {
  prefix p = {.failing = before->failing + !run->fits, .stages = before->stages + 1,
              .margin_pm = before->margin_pm, .from = run->from};
  if (run->margin_pm < p.margin_pm) p.margin_pm = run->margin_pm;
  return p;
}

static const prefix NONE = {
    .failing = INT_MAX, .stages = INT_MAX, .margin_pm = INT_MIN, .from = -1};
static const prefix START = {.margin_pm = GW_CUTTING_DRY, .from = -1};

static void cut_fewest(int joins, const runs *all, prefix *best) {
  for (int i = 0; i <= joins; ++i) best[i] = NONE;
  best[0] = START;
  for (size_t k = 0; k < all->count; ++k) {
    const gw_cutting_run *run = &all->items[k];
    if (best[run->from].failing == INT_MAX) continue;
    prefix p = with_run(&best[run->from], run);
    if (better(&p, &best[run->to])) best[run->to] = p;
  }
}

/* table[s][i]: the first i joins in s stages. */
static void cut_into(int joins, int stages, const runs *all, prefix *table) {
  size_t width = (size_t)joins + 1;
  for (size_t i = 0; i < width * ((size_t)stages + 1); ++i) table[i] = NONE;
  table[0] = START;
  for (int s = 0; s < stages; ++s)
    for (size_t k = 0; k < all->count; ++k) {
      const gw_cutting_run *run = &all->items[k];
      const prefix *before = &table[(size_t)s * width + (size_t)run->from];
      prefix *after = &table[((size_t)s + 1) * width + (size_t)run->to];
      if (before->failing == INT_MAX) continue;
      prefix p = with_run(before, run);
      if (better(&p, after)) *after = p;
    }
}

/* Follows the stages from the last; `step` prefixes lie between one number of
 * stages and the next (0: one row holds all). */
static void follow(const prefix *last, const prefix *table, size_t step, int joins,
                   gw_cutting *out) {
  out->stages = last->stages;
  out->failing = last->failing;
  out->margin_pm = last->margin_pm;
  int end = joins;
  for (int s = out->stages; s > 0; --s) {
    out->ends[s - 1] = end;
    end = table[(size_t)s * step + (size_t)end].from;
  }
}

static gw_status add_stages(int joins, int more, const runs *all, gw_cutting *out) {
  int most = out->stages + more < joins ? out->stages + more : joins;
  size_t width = (size_t)joins + 1;
  prefix *table = malloc(width * ((size_t)most + 1) * sizeof *table);
  if (table == NULL) return GW_NO_MEMORY;
  cut_into(joins, most, all, table);
  int best = out->stages;
  for (int s = out->stages + 1; s <= most; ++s) {
    const prefix *a = &table[(size_t)s * width + (size_t)joins];
    const prefix *b = &table[(size_t)best * width + (size_t)joins];
    if (a->failing < b->failing || (a->failing == b->failing && a->margin_pm > b->margin_pm))
      best = s;
  }
  follow(&table[(size_t)best * width + (size_t)joins], table, width, joins, out);
  free(table);
  return GW_OK;
}

gw_status gw_cutting_make(int joins, int more, const gw_cutting_asker *asker, gw_cutting *out) {
  runs all = {.proven = true};
  gw_status status = GW_OK;
  for (int from = 0; from < joins && status == GW_OK; ++from)
    status = list_row(from, joins, asker, &all);
  prefix *best = malloc(((size_t)joins + 1) * sizeof *best);
  if (best == NULL) status = GW_NO_MEMORY;
  if (status == GW_OK) {
    cut_fewest(joins, &all, best);
    follow(&best[joins], best, 0, joins, out);
    out->proven = all.proven;
  }
  if (status == GW_OK && more > 0) status = add_stages(joins, more, &all, out);
  free(best);
  free(all.items);
  return status;
}
