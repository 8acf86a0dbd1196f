/* Sharing works among people: longest first, and where that is not plainly
 * best, by trying all others that could be better. */
#include <stdlib.h>
#include <string.h>

#include "clock/plan.h"

enum { MOST_PEOPLE = 99, MOST_WORKS = 64, NODES = 100000 };

typedef struct sharing {
  const int *seconds;
  int order[MOST_WORKS]; /* longest first, ties by index */
  int who[MOST_WORKS], best_who[MOST_WORKS];
  int load[MOST_PEOPLE];
  int count, people;
  int best, least;       /* end of the best sharing; none ends sooner than this */
  int nodes;
} sharing;

static void sort_longest(const int *seconds, int count, int *order) {
  for (int i = 0; i < count; ++i) {
    int at = i;
    for (; at > 0 && seconds[order[at - 1]] < seconds[i]; --at) order[at] = order[at - 1];
    order[at] = i;
  }
}

/* No sharing ends before an even one, the longest work, or the two shortest of
 * the people + 1 longest one after the other. */
static int lower_bound(const int *seconds, const int *order, int count, int people) {
  int64_t sum = 0;
  for (int i = 0; i < count; ++i) sum += seconds[i];
  int bound = (int)((sum + people - 1) / people);
  if (count > 0 && seconds[order[0]] > bound) bound = seconds[order[0]];
  if (count > people) {
    int two = seconds[order[people - 1]] + seconds[order[people]];
    if (two > bound) bound = two;
  }
  return bound;
}

/* Each to whoever is free first. */
static int share_greedily(const int *seconds, const int *order, int count, int people, int *who) {
  int load[MOST_PEOPLE] = {0}, end = 0;
  for (int i = 0; i < count; ++i) {
    int free = 0;
    for (int k = 1; k < people; ++k)
      if (load[k] < load[free]) free = k;
    who[order[i]] = free;
    load[free] += seconds[order[i]];
    if (load[free] > end) end = load[free];
  }
  return end;
}

/* Tries the i-th longest with each person; people with equal loads are alike. */
static void try_sharing(sharing *s, int i, int end) {
  if (end >= s->best || s->best == s->least || ++s->nodes > NODES) return;
  if (i == s->count) {
    s->best = end;
    memcpy(s->best_who, s->who, sizeof s->who);
    return;
  }
  int work = s->order[i];
  for (int k = 0; k < s->people; ++k) {
    bool alike = false;
    for (int other = 0; other < k && !alike; ++other) alike = s->load[other] == s->load[k];
    if (alike) continue;
    s->load[k] += s->seconds[work];
    s->who[work] = k;
    try_sharing(s, i + 1, s->load[k] > end ? s->load[k] : end);
    s->load[k] -= s->seconds[work];
  }
}

int gw_plan_share(const int *seconds, int count, int people, int *who, bool *proven) {
  if (people > MOST_PEOPLE) people = MOST_PEOPLE;
  *proven = true;
  if (people == 1 || count == 0) {
    int sum = 0;
    for (int i = 0; i < count; ++i) {
      who[i] = 0;
      sum += seconds[i];
    }
    return sum;
  }
  int small[MOST_WORKS];
  int *order = count <= MOST_WORKS ? small : malloc((size_t)count * sizeof *order);
  *proven = false;
  if (order == NULL) return gw_plan_share(seconds, count, 1, who, &(bool){false});
  sort_longest(seconds, count, order);
  int end = share_greedily(seconds, order, count, people, who);
  int least = lower_bound(seconds, order, count, people);
  *proven = end == least;
  if (!*proven && count <= MOST_WORKS) {
    sharing s = {.seconds = seconds, .count = count, .people = people, .best = end, .least = least};
    memcpy(s.order, order, (size_t)count * sizeof *order);
    memcpy(s.best_who, who, (size_t)count * sizeof *who);
    try_sharing(&s, 0, 0);
    memcpy(who, s.best_who, (size_t)count * sizeof *who);
    end = s.best;
    *proven = s.nodes <= NODES || s.best == least;
  }
  if (order != small) free(order);
  return end;
}
