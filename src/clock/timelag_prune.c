/* timelag_prune.c - what follows from the resources at a search node: orders
 * of pairs that cannot run at once, compulsory parts, and energy. */
#include "clock/timelag_inside.h"

#include <stdlib.h>

/* ---- settling and undoing --------------------------------------------------------- */

static gw_status settle(gw_timelag_search *s, int i, int j, int flag) {
  GW_TRY(gw_grow(&s->undo, &s->undo_room, s->n_undo + 1, sizeof *s->undo));
  size_t at = (size_t)i * (size_t)s->n + (size_t)j;
  s->settled[at] |= (unsigned char)flag;
  s->undo[s->n_undo++] = at * 4 + (size_t)flag;
  s->changed = true;
  return GW_OK;
}

gw_status gw_timelag_push(gw_timelag_search *s) {
  GW_TRY(gw_grow(&s->marks, &s->mark_room, s->n_marks + 1, sizeof *s->marks));
  GW_TRY(gw_net_trail_push(s->trail));
  s->marks[s->n_marks++] = s->n_undo;
  return GW_OK;
}

void gw_timelag_pop(gw_timelag_search *s) {
  size_t mark = s->marks[--s->n_marks];
  while (s->n_undo > mark) {
    size_t what = s->undo[--s->n_undo];
    s->settled[what / 4] &= (unsigned char)~(what % 4);
  }
  gw_net_trail_pop(s->trail);
}

bool gw_timelag_can_precede(gw_timelag_search *s, int i, int j) {
  return (*gw_timelag_settled(s, i, j) & GW_TIMELAG_NOT) == 0 &&
         gw_timelag_least(s, i) + s->q->duration[i] <= gw_timelag_most(s, j);
}

gw_status gw_timelag_precede(gw_timelag_search *s, int i, int j, bool *ok) {
  if (*gw_timelag_settled(s, i, j) & GW_TIMELAG_BEFORE) return GW_OK;
  GW_TRY(settle(s, i, j, GW_TIMELAG_BEFORE));
  return gw_net_trail_apart(s->trail, i, j, s->q->duration[i], ok);
}

/* Not start[j] >= start[i] + duration: start[i] >= start[j] - duration + 1. */
gw_status gw_timelag_forbid(gw_timelag_search *s, int i, int j, bool *ok) {
  if (*gw_timelag_settled(s, i, j) & GW_TIMELAG_NOT) return GW_OK;
  GW_TRY(settle(s, i, j, GW_TIMELAG_NOT));
  return gw_net_trail_apart(s->trail, j, i, 1 - s->q->duration[i], ok);
}

gw_status gw_timelag_raise(gw_timelag_search *s, int i, int64_t least, bool *ok) {
  if (least <= gw_timelag_least(s, i)) return GW_OK;
  s->changed = true;
  return gw_net_trail_raise(s->trail, i, least, ok);
}

gw_status gw_timelag_lower(gw_timelag_search *s, int i, int64_t most, bool *ok) {
  if (most >= gw_timelag_most(s, i)) return GW_OK;
  s->changed = true;
  return gw_net_trail_lower(s->trail, i, most, ok);
}

/* ---- pairs ------------------------------------------------------------------------------ */

static gw_status prune_pair(gw_timelag_search *s, int i, int j, bool *ok) {
  const int settled = *gw_timelag_settled(s, i, j) | *gw_timelag_settled(s, j, i);
  if (settled & GW_TIMELAG_BEFORE) return GW_OK;
  bool ij = gw_timelag_can_precede(s, i, j), ji = gw_timelag_can_precede(s, j, i);
  if (ij && ji) return GW_OK;
  if (!ij && !ji) {
    *ok = false;
    return GW_OK;
  }
  return ij ? gw_timelag_precede(s, i, j, ok) : gw_timelag_precede(s, j, i, ok);
}

static gw_status prune_pairs(gw_timelag_search *s, bool *ok) {
  for (size_t k = 0; k < s->n_clashes && *ok; k++)
    GW_TRY(prune_pair(s, s->clashes[k].i, s->clashes[k].j, ok));
  return GW_OK;
}

/* ---- compulsory parts ------------------------------------------------------------------- */

/* Activity i runs for certain from its greatest start to its least end. */
static int64_t sure_from(const gw_timelag_search *s, int i) { return gw_timelag_most(s, i); }
static int64_t sure_to(const gw_timelag_search *s, int i) {
  return gw_timelag_least(s, i) + s->q->duration[i];
}

static int by_time(const void *left, const void *right) {
  const gw_timelag_step *a = left, *b = right;
  if (a->at != b->at) return a->at < b->at ? -1 : 1;
  return a->height != b->height ? (a->height < b->height ? -1 : 1) : 0;
}

/* What resource r is sure to be used for over time; false when too much. */
static bool make_profile(gw_timelag_search *s, int r) {
  int count = 0, kept = 0;
  for (int k = 0; k < s->n_users[r]; k++) {
    int i = s->users[r][k];
    int64_t from = sure_from(s, i), to = sure_to(s, i), need = gw_timelag_need(s->q, i, r);
    if (from >= to) continue;
    s->profile[count++] = (gw_timelag_step){.at = from, .height = need};
    s->profile[count++] = (gw_timelag_step){.at = to, .height = -need};
  }
  qsort(s->profile, (size_t)count, sizeof *s->profile, by_time);
  int64_t height = 0;
  for (int k = 0; k < count; k++) {
    height += s->profile[k].height;
    if (k + 1 < count && s->profile[k + 1].at == s->profile[k].at) continue;
    if (height > s->q->capacity[r]) return false;
    s->profile[kept++] = (gw_timelag_step){.at = s->profile[k].at, .height = height};
  }
  s->n_profile = kept;
  return true;
}

/* True when activity i cannot run during step k: its own sure part, which the
 * profile counts, does not stand in its way. */
static bool step_blocks(const gw_timelag_search *s, int r, int i, int k) {
  const gw_timelag_step *step = &s->profile[k];
  int64_t need = gw_timelag_need(s->q, i, r), others = step->height;
  if (sure_from(s, i) <= step->at && step->at < sure_to(s, i)) others -= need;
  return others + need > s->q->capacity[r];
}

/* The first step that ends after `time`. */
static int step_after(const gw_timelag_search *s, int64_t time) {
  int low = 0, high = s->n_profile - 1; /* the last step has height 0, no end */
  while (low < high) {
    int middle = (low + high) / 2;
    if (s->profile[middle + 1].at > time)
      high = middle;
    else
      low = middle + 1;
  }
  return low;
}

/* The earliest start from the least one on at which nothing sure blocks i. */
static int64_t earliest_free(const gw_timelag_search *s, int r, int i) {
  int64_t start = gw_timelag_least(s, i);
  for (int k = step_after(s, start); k + 1 < s->n_profile; k++) {
    if (s->profile[k].at >= start + s->q->duration[i]) break;
    if (s->profile[k + 1].at > start && step_blocks(s, r, i, k)) start = s->profile[k + 1].at;
  }
  return start;
}

static int64_t latest_free(const gw_timelag_search *s, int r, int i) {
  int64_t finish = gw_timelag_most(s, i) + s->q->duration[i];
  int last = s->n_profile - 2;
  int k = step_after(s, finish);
  for (k = k < last ? k : last; k >= 0; k--) {
    if (s->profile[k + 1].at <= finish - s->q->duration[i]) break;
    if (s->profile[k].at < finish && step_blocks(s, r, i, k)) finish = s->profile[k].at;
  }
  return finish - s->q->duration[i];
}

gw_status gw_timelag_timetable(gw_timelag_search *s, int r, bool *ok) {
  *ok = make_profile(s, r);
  /* The profile stays true while bounds tighten: sure parts only grow. */
  for (int k = 0; k < s->n_users[r] && *ok && s->n_profile > 1; k++) {
    int i = s->users[r][k];
    if (sure_from(s, i) < sure_to(s, i) && gw_timelag_least(s, i) == gw_timelag_most(s, i))
      continue;
    GW_TRY(gw_timelag_raise(s, i, earliest_free(s, r, i), ok));
    if (*ok) GW_TRY(gw_timelag_lower(s, i, latest_free(s, r, i), ok));
  }
  return GW_OK;
}

/* ---- energy ---------------------------------------------------------------------------------- */

static int by_end(const void *left, const void *right) {
  const gw_timelag_job *a = left, *b = right;
  if (a->to != b->to) return a->to < b->to ? -1 : 1;
  if (a->from != b->from) return a->from < b->from ? -1 : 1;
  return a->energy != b->energy ? (a->energy < b->energy ? -1 : 1) : 0;
}

/* True when the jobs that must start at or after `from` need more, up to some
 * time, than the resource has. */
static bool overloads(const gw_timelag_job *jobs, int count, int64_t from, int64_t capacity) {
  int64_t sum = 0;
  for (int k = 0; k < count; k++) {
    if (jobs[k].from < from) continue;
    sum += jobs[k].energy;
    if (sum > capacity * (jobs[k].to - from)) return true;
  }
  return false;
}

gw_status gw_timelag_energy(gw_timelag_search *s, int r, bool *ok) {
  gw_timelag_job *jobs = s->jobs;
  const int count = s->n_users[r];
  for (int k = 0; k < count; k++) {
    int i = s->users[r][k];
    jobs[k].from = gw_timelag_least(s, i);
    jobs[k].to = gw_timelag_most(s, i) + s->q->duration[i];
    jobs[k].energy = s->q->duration[i] * gw_timelag_need(s->q, i, r);
  }
  qsort(jobs, (size_t)count, sizeof *jobs, by_end);
  for (int k = 0; k < count && *ok; k++)
    *ok = !overloads(jobs, count, jobs[k].from, s->q->capacity[r]);
  return GW_OK;
}

/* ---- all of it ------------------------------------------------------------------------------ */

gw_status gw_timelag_prune(gw_timelag_search *s, bool *ok) {
  do {
    s->changed = false;
    GW_TRY(prune_pairs(s, ok));
    for (int r = 0; r < s->q->resources && *ok; r++) GW_TRY(gw_timelag_timetable(s, r, ok));
    if (s->changed) continue;
    for (int c = 0; c < s->n_cliques && *ok; c++)
      GW_TRY(gw_timelag_edges(s, &s->cliques[c], ok));
  } while (*ok && s->changed);
  for (int r = 0; r < s->q->resources && *ok; r++) GW_TRY(gw_timelag_energy(s, r, ok));
  return GW_OK;
}

/* ---- probing ----------------------------------------------------------------------------- */

/* With more pairs than this, trying them all takes too long; and so often at
 * most they are all tried. */
#define MOST_PROBES 600
#define PROBE_ROUNDS 3

/* Settles j before i when i before j does not hold up. */
static gw_status probe_order(gw_timelag_search *s, int i, int j, bool *settled, bool *ok) {
  bool holds = true;
  GW_TRY(gw_timelag_push(s));
  gw_status status = gw_timelag_precede(s, i, j, &holds);
  if (status == GW_OK && holds) status = gw_timelag_prune(s, &holds);
  gw_timelag_pop(s);
  if (status != GW_OK || holds) return status;
  *settled = true;
  GW_TRY(gw_timelag_precede(s, j, i, ok));
  return *ok ? gw_timelag_prune(s, ok) : GW_OK;
}

static bool is_settled(gw_timelag_search *s, int i, int j) {
  return ((*gw_timelag_settled(s, i, j) | *gw_timelag_settled(s, j, i)) & GW_TIMELAG_BEFORE) != 0;
}

gw_status gw_timelag_probe(gw_timelag_search *s, bool *ok) {
  bool settled = true;
  GW_TRY(gw_timelag_prune(s, ok));
  if (s->n_clashes > MOST_PROBES) return GW_OK;
  for (int round = 0; settled && *ok && round < PROBE_ROUNDS; round++) {
    settled = false;
    for (size_t k = 0; k < s->n_clashes && *ok; k++) {
      int i = s->clashes[k].i, j = s->clashes[k].j;
      if (!is_settled(s, i, j)) GW_TRY(probe_order(s, i, j, &settled, ok));
      if (*ok && !is_settled(s, i, j)) GW_TRY(probe_order(s, j, i, &settled, ok));
    }
  }
  return GW_OK;
}
