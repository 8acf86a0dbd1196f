/* timelag_build.c - a first schedule, block by block.
 *
 * Activities that lags hold together both ways (each is bounded by the other)
 * form a block; between blocks there are only least lags.  A question has a
 * schedule exactly when each block by itself has one: set the blocks one after
 * the other (Neumann and Zhan 1995, on "cycle structures"; from memory).  So:
 * solve each block alone, then place the blocks as they are, one by one, each
 * at the earliest time at which the resources have room for it. */
#include "clock/timelag_inside.h"

#include <string.h>

/* A block alone may take so many nodes. */
#define BLOCK_NODES 20000

typedef struct block {
  int *members, count;
  int before;      /* blocks to be placed first, not placed yet */
  int64_t urgency; /* the lower, the sooner; by the rule in use */
  bool placed;
} block;

typedef struct builder {
  gw_timelag_search *s;
  block *blocks;
  int n_blocks;
  int64_t *offset; /* start of each activity within its block */
  int64_t *start;
  gw_timelag_step **steps; /* use of each resource by what is placed, from 0 on */
  int *n_steps;
} builder;

static bool reaches(gw_timelag_search *s, int i, int j) {
  return (*gw_timelag_settled(s, i, j) & GW_TIMELAG_REACHES) != 0;
}

/* ---- blocks ---------------------------------------------------------------------- */

static gw_status collect_block(builder *b, int first) {
  gw_timelag_search *s = b->s;
  block *made = &b->blocks[b->n_blocks++];
  int count = 0;
  for (int i = first; i < s->n; i++) {
    if (i == first || (reaches(s, first, i) && reaches(s, i, first))) s->active[count++] = i;
  }
  made->members = gw_arena_alloc(s->store, (size_t)count, sizeof *made->members);
  if (made->members == NULL) return GW_NO_MEMORY;
  memcpy(made->members, s->active, (size_t)count * sizeof *made->members);
  made->count = count;
  return GW_OK;
}

static bool opens_block(gw_timelag_search *s, int i) {
  for (int j = 0; j < i; j++) {
    if (reaches(s, i, j) && reaches(s, j, i)) return false;
  }
  return true;
}

static gw_status builder_init(builder *b, gw_timelag_search *s) {
  size_t n = (size_t)s->n, resources = (size_t)s->q->resources;
  *b = (builder){.s = s};
  b->blocks = gw_arena_alloc(s->store, n, sizeof *b->blocks);
  b->offset = gw_arena_alloc(s->store, n, sizeof *b->offset);
  b->start = gw_arena_alloc(s->store, n, sizeof *b->start);
  b->steps = gw_arena_alloc(s->store, resources, sizeof *b->steps);
  b->n_steps = gw_arena_alloc(s->store, resources, sizeof *b->n_steps);
  if (b->blocks == NULL || b->offset == NULL || b->start == NULL || b->steps == NULL ||
      b->n_steps == NULL)
    return GW_NO_MEMORY;
  for (size_t r = 0; r < resources; r++) {
    b->steps[r] = gw_arena_alloc(s->store, 2 * n + 2, sizeof **b->steps);
    if (b->steps[r] == NULL) return GW_NO_MEMORY;
  }
  for (int i = 0; i < s->n; i++) {
    if (opens_block(s, i)) GW_TRY(collect_block(b, i));
  }
  return GW_OK;
}

/* ---- a block alone ------------------------------------------------------------------ */

/* `number` says where each activity stands in the block, or -1. */
static gw_status fill_alone(const gw_timelag *q, const block *k, const int *number,
                            gw_timelag *alone) {
  for (int m = 0; m < k->count; m++) {
    size_t i = (size_t)k->members[m];
    const int64_t *demand = &q->demand[i * (size_t)q->resources];
    GW_TRY(gw_timelag_activity(alone, q->duration[i], demand, NULL));
  }
  for (size_t l = 0; l < q->n_links; l++) {
    int i = number[q->links[l].i], j = number[q->links[l].j];
    if (i >= 0 && j >= 0) GW_TRY(gw_timelag_lag(alone, i, j, q->links[l].lag));
  }
  return GW_OK;
}

static gw_status solve_alone(builder *b, const block *k, const gw_timelag *alone,
                             const gw_timelag_options *options, gw_timelag_answer *answer) {
  gw_timelag_options own = *options;
  int64_t *start = gw_arena_alloc(b->s->store, (size_t)k->count, sizeof *start);
  if (start == NULL) return GW_NO_MEMORY;
  own.limit = -1;
  if (own.nodes > 0) own.nodes -= b->s->nodes;
  if (own.nodes == 0 || own.nodes > BLOCK_NODES) own.nodes = BLOCK_NODES;
  GW_TRY(gw_timelag_solve(alone, &own, start, answer));
  for (int m = 0; m < k->count && answer->found; m++) b->offset[k->members[m]] = start[m];
  b->s->nodes += answer->nodes;
  return GW_OK;
}

static gw_status block_alone(builder *b, const block *k, const gw_timelag_options *options,
                             gw_timelag_answer *answer) {
  const gw_timelag *q = b->s->q;
  int *number = gw_arena_alloc(b->s->store, (size_t)q->n, sizeof *number);
  gw_timelag *alone = gw_timelag_new(q->resources, q->capacity);
  gw_status status = number == NULL || alone == NULL ? GW_NO_MEMORY : GW_OK;
  if (status == GW_OK) {
    for (int i = 0; i < q->n; i++) number[i] = -1;
    for (int m = 0; m < k->count; m++) number[k->members[m]] = m;
    status = fill_alone(q, k, number, alone);
  }
  if (status == GW_OK) status = solve_alone(b, k, alone, options, answer);
  gw_timelag_free(alone);
  return status;
}

/* Solves every block alone.  *ok is false when one has no schedule; *whole is
 * false when one was given up. */
static gw_status solve_blocks(builder *b, const gw_timelag_options *options, bool *ok,
                              bool *whole) {
  for (int k = 0; k < b->n_blocks && *ok && *whole; k++) {
    gw_timelag_answer answer;
    if (b->blocks[k].count == 1) continue;
    *whole = options->nodes == 0 || b->s->nodes < options->nodes;
    if (!*whole) break;
    GW_TRY(block_alone(b, &b->blocks[k], options, &answer));
    *ok = answer.kind != GW_TIMELAG_INFEASIBLE;
    *whole = answer.found;
  }
  return GW_OK;
}

/* ---- placing -------------------------------------------------------------------------- */

/* The step in force at `time`, which is not before the first. */
static int step_at(const gw_timelag_step *steps, int count, int64_t time) {
  int low = 0, high = count - 1;
  while (low < high) {
    int middle = (low + high + 1) / 2;
    if (steps[middle].at <= time)
      low = middle;
    else
      high = middle - 1;
  }
  return low;
}

/* Makes a step begin at `time`; returns which it is. */
static int split_step(builder *b, int r, int64_t time) {
  gw_timelag_step *steps = b->steps[r];
  int k = step_at(steps, b->n_steps[r], time);
  if (steps[k].at == time) return k;
  memmove(&steps[k + 2], &steps[k + 1], (size_t)(b->n_steps[r] - k - 1) * sizeof *steps);
  steps[k + 1] = (gw_timelag_step){.at = time, .height = steps[k].height};
  b->n_steps[r]++;
  return k + 1;
}

static void occupy(builder *b, int i) {
  const gw_timelag *q = b->s->q;
  for (int r = 0; r < q->resources && q->duration[i] > 0; r++) {
    if (gw_timelag_need(q, i, r) == 0) continue;
    int from = split_step(b, r, b->start[i]);
    int to = split_step(b, r, b->start[i] + q->duration[i]);
    for (int k = from; k < to; k++) b->steps[r][k].height += gw_timelag_need(q, i, r);
  }
}

/* What the block uses of resource r at `time` after its own start. */
static int64_t block_use(const builder *b, const block *k, int r, int64_t time) {
  const gw_timelag *q = b->s->q;
  int64_t use = 0;
  for (int m = 0; m < k->count; m++) {
    int i = k->members[m];
    if (b->offset[i] <= time && time < b->offset[i] + q->duration[i])
      use += gw_timelag_need(q, i, r);
  }
  return use;
}

/* With the block at `at`: how much later it must be at least because of the
 * time that member i runs on resource r; 0: nothing is in its way.  What is in
 * the way stays so until the use by the others changes. */
static int64_t delay_of(const builder *b, const block *k, int i, int r, int64_t at) {
  const gw_timelag_step *steps = b->steps[r];
  int64_t from = at + b->offset[i], to = from + b->s->q->duration[i];
  for (int n = step_at(steps, b->n_steps[r], from); n < b->n_steps[r]; n++) {
    int64_t time = steps[n].at > from ? steps[n].at : from;
    if (time >= to) break;
    if (steps[n].height + block_use(b, k, r, time - at) > b->s->q->capacity[r])
      return steps[n + 1].at - time;
  }
  return 0;
}

static int64_t delay(const builder *b, const block *k, int64_t at) {
  const gw_timelag *q = b->s->q;
  for (int m = 0; m < k->count; m++) {
    int i = k->members[m];
    for (int r = 0; r < q->resources && q->duration[i] > 0; r++) {
      if (gw_timelag_need(q, i, r) == 0) continue;
      int64_t later = delay_of(b, k, i, r, at);
      if (later > 0) return later;
    }
  }
  return 0;
}

/* The earliest start that the lags from what is placed allow. */
static int64_t earliest(const builder *b, const int *of, int own) {
  const gw_timelag *q = b->s->q;
  int64_t at = 0;
  for (size_t l = 0; l < q->n_links; l++) {
    const gw_timelag_link *link = &q->links[l];
    if (of[link->j] != own || of[link->i] == own) continue;
    int64_t after = b->start[link->i] + link->lag - b->offset[link->j];
    if (after > at) at = after;
  }
  return at;
}

static void place(builder *b, const int *of, int own) {
  block *k = &b->blocks[own];
  int64_t at = earliest(b, of, own);
  for (int64_t later; (later = delay(b, k, at)) > 0;) at += later;
  for (int m = 0; m < k->count; m++) {
    b->start[k->members[m]] = at + b->offset[k->members[m]];
    occupy(b, k->members[m]);
  }
  k->placed = true;
  for (int o = 0; o < b->n_blocks; o++) {
    block *other = &b->blocks[o];
    if (!other->placed && reaches(b->s, k->members[0], other->members[0])) other->before--;
  }
}

/* ---- rules ------------------------------------------------------------------------------ */

/* Which of the blocks that can be placed goes first. */
typedef enum rule { LATEST_START, EARLIEST_START, MOST_WORK, RULES } rule;

static int64_t urgency_of(const builder *b, const block *k, rule by) {
  gw_timelag_search *s = b->s;
  int64_t least = GW_NET_FAR;
  for (int m = 0; m < k->count; m++) {
    int i = k->members[m];
    int64_t value = by == LATEST_START     ? gw_timelag_most(s, i)
                    : by == EARLIEST_START ? gw_timelag_least(s, i)
                                           : -s->q->duration[i] * k->count;
    if (value < least) least = value;
  }
  return least;
}

static void prepare(builder *b, rule by) {
  for (int r = 0; r < b->s->q->resources; r++) {
    b->steps[r][0] = (gw_timelag_step){.at = 0, .height = 0};
    b->n_steps[r] = 1;
  }
  for (int k = 0; k < b->n_blocks; k++) {
    block *own = &b->blocks[k];
    own->placed = false;
    own->before = 0;
    own->urgency = urgency_of(b, own, by);
    for (int o = 0; o < b->n_blocks; o++)
      own->before += o != k && reaches(b->s, b->blocks[o].members[0], own->members[0]);
  }
}

static int next_block(const builder *b) {
  int best = -1;
  for (int k = 0; k < b->n_blocks; k++) {
    const block *own = &b->blocks[k];
    if (own->placed || own->before > 0) continue;
    if (best < 0 || own->urgency < b->blocks[best].urgency) best = k;
  }
  return best;
}

/* Places all blocks by one rule and keeps the schedule if it is the best. */
static void build_by(builder *b, const int *of, rule by) {
  gw_timelag_search *s = b->s;
  int64_t end = 0;
  prepare(b, by);
  for (int k; (k = next_block(b)) >= 0;) place(b, of, k);
  for (int i = 0; i < s->n; i++) {
    if (b->start[i] + s->q->duration[i] > end) end = b->start[i] + s->q->duration[i];
  }
  if (end > s->target) return;
  memcpy(s->best, b->start, (size_t)s->n * sizeof *s->best);
  s->found = true;
  s->target = end - 1;
}

gw_status gw_timelag_build(gw_timelag_search *s, const gw_timelag_options *options, bool *ok) {
  builder b;
  bool whole = true;
  GW_TRY(builder_init(&b, s));
  if (b.n_blocks < 2) return GW_OK; /* nothing is gained by taking it apart */
  GW_TRY(solve_blocks(&b, options, ok, &whole));
  if (!*ok || !whole) return GW_OK;
  int *of = gw_arena_alloc(s->store, (size_t)s->n, sizeof *of);
  if (of == NULL) return GW_NO_MEMORY;
  for (int k = 0; k < b.n_blocks; k++) {
    for (int m = 0; m < b.blocks[k].count; m++) of[b.blocks[k].members[m]] = k;
  }
  for (rule by = LATEST_START; by < RULES; by++) build_by(&b, of, by);
  return GW_OK;
}
