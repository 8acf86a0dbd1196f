/* When each stage begins, and in what turn.
 *
 * A stage waits for the hands, for the clamps to come off what it takes up, and
 * for the clamps that it needs itself: those of sub-assemblies glued before are
 * still on them.  Clamps are laid where they will be used before the bottle is
 * opened, so a stage needs its clamps from its first step.
 *
 * What is next is the stage that can begin first, so that a drawer is glued while the
 * carcass is in its clamps; of those, the first in the order of assembly.  Where the
 * file asks that something come before something else, the order is kept. */
#include <stdlib.h>
#include <string.h>

#include "clock/inside.h"

int64_t gw_clock_off(const gw_stage *stage) {
  return stage->begins_s + stage->lead_s + stage->end_s + stage->clamp_s;
}

int64_t gw_clock_cured(const gw_stage *stage) {
  if (stage->cure_s == 0) return 0;
  return stage->begins_s + stage->lead_s + stage->end_s + stage->cure_s;
}

typedef struct beginning {
  gw_planning *p;
  int *stage_of; /* the stage of each join */
  bool *begun;   /* for each stage: its beginning is known */
  int *turn;     /* the stages in turn */
  int *need;     /* clamps of each kind in use, and those wanted now */
} beginning;

/* Clamps off whatever the stage takes up; -1 while that has not begun itself. */
static int64_t parts_ready(const beginning *b, int index) {
  const gw_clock *clock = b->p->clock;
  const gw_stage *stage = &clock->stages[index];
  int64_t ready = 0;
  for (int i = 0; i < stage->n_joins; ++i) {
    const gw_join *join = &b->p->order->joins[stage->joins[i]];
    const int taken[2] = {join->moving_join, join->onto_join};
    for (int k = 0; k < 2; ++k) {
      if (taken[k] < 0 || b->stage_of[taken[k]] == index) continue;
      if (!b->begun[b->stage_of[taken[k]]]) return -1;
      int64_t off = gw_clock_off(&clock->stages[b->stage_of[taken[k]]]);
      if (off > ready) ready = off;
    }
  }
  return ready;
}

/* Notes the clamps that are on at `now`; the next time at which some come off, or
 * -1. */
static int64_t clamps_on(const beginning *b, int64_t now) {
  const gw_clock *clock = b->p->clock;
  int64_t next = -1;
  for (int i = 0; i < b->p->m->shop.n_clamps; ++i) b->need[i] = 0;
  for (int i = 0; i < clock->n_stages; ++i) {
    const gw_stage *stage = &clock->stages[i];
    int64_t off = gw_clock_off(stage);
    if (!b->begun[i] || stage->n_pulls == 0 || off <= now) continue;
    if (next < 0 || off < next) next = off;
    gw_clock_need(stage->pulls, stage->n_pulls, b->need);
  }
  return next;
}

/* The first moment from `ready` at which the clamps suffice, or at which all
 * are off: then more are wanted than there are, which a finding says. */
static int64_t clamps_ready(const beginning *b, const gw_stage *stage, int64_t ready) {
  const gw_shop *shop = &b->p->m->shop;
  if (stage->n_pulls == 0 || shop->n_clamps == 0) return ready;
  for (int lacking;;) {
    int64_t next = clamps_on(b, ready);
    if (next < 0) return ready;
    gw_clock_need(stage->pulls, stage->n_pulls, b->need);
    if (gw_clock_lacking(shop, b->need, &lacking) < 0) return ready;
    ready = next;
  }
}

static bool has_wishes(const gw_model *m) {
  for (int i = 0; i < m->n_wishes; ++i)
    if (m->wishes[i].kind == GW_WISH_BEFORE) return true;
  return false;
}

/* The stage that can begin first; its beginning is noted. */
static int next_stage(beginning *b, int64_t hands_free, bool in_order) {
  gw_clock *clock = b->p->clock;
  int best = -1;
  for (int i = 0; i < clock->n_stages; ++i) {
    if (b->begun[i]) continue;
    int64_t ready = parts_ready(b, i);
    if (ready < 0) continue;
    gw_stage *stage = &clock->stages[i];
    stage->begins_s = clamps_ready(b, stage, ready > hands_free ? ready : hands_free);
    if (best < 0 || stage->begins_s < clock->stages[best].begins_s) best = i;
    if (in_order || clock->stages[best].begins_s <= hands_free) break;
  }
  return best;
}

static void begin_all(beginning *b) {
  gw_clock *clock = b->p->clock;
  bool in_order = has_wishes(b->p->m);
  int64_t hands_free = 0;
  for (int i = 0; i < clock->n_stages; ++i)
    for (int k = 0; k < clock->stages[i].n_joins; ++k) b->stage_of[clock->stages[i].joins[k]] = i;
  for (int i = 0; i < clock->n_stages; ++i) {
    int next = next_stage(b, hands_free, in_order);
    const gw_stage *stage = &clock->stages[next];
    b->begun[next] = true;
    b->turn[i] = next;
    hands_free = stage->begins_s + stage->lead_s + stage->end_s;
    if (gw_clock_off(stage) > clock->whole_s) clock->whole_s = gw_clock_off(stage);
  }
}

static gw_status put_in_turn(gw_clock *clock, const int *turn) {
  size_t size = (size_t)clock->n_stages * sizeof *clock->stages;
  gw_stage *as_cut = malloc(size + 1);
  if (as_cut == NULL) return GW_NO_MEMORY;
  memcpy(as_cut, clock->stages, size);
  for (int i = 0; i < clock->n_stages; ++i) clock->stages[i] = as_cut[turn[i]];
  free(as_cut);
  return GW_OK;
}

gw_status gw_clock_begin(gw_planning *p) {
  beginning b = {.p = p};
  size_t stages = (size_t)p->clock->n_stages + 1;
  b.stage_of = calloc((size_t)p->order->n_joins + 1, sizeof *b.stage_of);
  b.begun = calloc(stages, sizeof *b.begun);
  b.turn = calloc(stages, sizeof *b.turn);
  b.need = calloc((size_t)p->m->shop.n_clamps + 1, sizeof *b.need);
  gw_status status = GW_NO_MEMORY;
  if (b.stage_of != NULL && b.begun != NULL && b.turn != NULL && b.need != NULL) {
    begin_all(&b);
    status = put_in_turn(p->clock, b.turn);
  }
  free(b.stage_of);
  free(b.begun);
  free(b.turn);
  free(b.need);
  return status;
}
