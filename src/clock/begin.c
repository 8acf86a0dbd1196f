/* When each stage begins.
 *
 * A stage waits for the hands, for the clamps to come off what it takes up, and
 * for the clamps that it needs itself: those of sub-assemblies glued before are
 * still on them.  Clamps are laid where they will be used before the bottle is
 * opened, so a stage needs its clamps from its first step. */
#include <stdlib.h>

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
  int *stage_of;  /* the stage of each join */
  int *held;      /* stages whose clamps may still be on */
  int n_held;
  int *need;      /* clamps of each kind in use, and those wanted now */
} beginning;

/* Clamps off whatever the stage takes up. */
static int64_t parts_ready(const beginning *b, int index) {
  const gw_clock *clock = b->p->clock;
  const gw_stage *stage = &clock->stages[index];
  int64_t ready = 0;
  for (int i = 0; i < stage->n_joins; ++i) {
    const gw_join *join = &b->p->order->joins[stage->joins[i]];
    const int taken[2] = {join->moving_join, join->onto_join};
    for (int k = 0; k < 2; ++k) {
      if (taken[k] < 0 || b->stage_of[taken[k]] == index) continue;
      int64_t off = gw_clock_off(&clock->stages[b->stage_of[taken[k]]]);
      if (off > ready) ready = off;
    }
  }
  return ready;
}

/* Forgets the stages whose clamps are off at `now`; the next time at which some
 * come off, or -1. */
static int64_t let_go(beginning *b, int64_t now) {
  int left = 0;
  int64_t next = -1;
  for (int i = 0; i < b->n_held; ++i) {
    int64_t off = gw_clock_off(&b->p->clock->stages[b->held[i]]);
    if (off <= now) continue;
    if (next < 0 || off < next) next = off;
    b->held[left++] = b->held[i];
  }
  b->n_held = left;
  return next;
}

/* The first moment from `ready` at which the clamps suffice, or at which all
 * are off: then more are wanted than there are, which a finding says. */
static int64_t clamps_ready(beginning *b, const gw_stage *stage, int64_t ready) {
  const gw_shop *shop = &b->p->m->shop;
  if (stage->n_pulls == 0 || shop->n_clamps == 0) return ready;
  for (int lacking;;) {
    int64_t next = let_go(b, ready);
    if (next < 0) return ready;
    for (int i = 0; i < shop->n_clamps; ++i) b->need[i] = 0;
    for (int i = 0; i < b->n_held; ++i) {
      const gw_stage *held = &b->p->clock->stages[b->held[i]];
      gw_clock_need(held->pulls, held->n_pulls, b->need);
    }
    gw_clock_need(stage->pulls, stage->n_pulls, b->need);
    if (gw_clock_lacking(shop, b->need, &lacking) < 0) return ready;
    ready = next;
  }
}

static void begin_all(beginning *b) {
  gw_clock *clock = b->p->clock;
  int64_t hands_free = 0;
  for (int i = 0; i < clock->n_stages; ++i) {
    gw_stage *stage = &clock->stages[i];
    for (int k = 0; k < stage->n_joins; ++k) b->stage_of[stage->joins[k]] = i;
    int64_t ready = parts_ready(b, i);
    stage->begins_s = clamps_ready(b, stage, ready > hands_free ? ready : hands_free);
    hands_free = stage->begins_s + stage->lead_s + stage->end_s;
    if (stage->n_pulls > 0) b->held[b->n_held++] = i;
    if (gw_clock_off(stage) > clock->whole_s) clock->whole_s = gw_clock_off(stage);
  }
}

gw_status gw_clock_begin(gw_planning *p) {
  beginning b = {.p = p};
  b.stage_of = calloc((size_t)p->order->n_joins + 1, sizeof *b.stage_of);
  b.held = calloc((size_t)p->clock->n_stages + 1, sizeof *b.held);
  b.need = calloc((size_t)p->m->shop.n_clamps + 1, sizeof *b.need);
  bool room = b.stage_of != NULL && b.held != NULL && b.need != NULL;
  if (room) begin_all(&b);
  free(b.stage_of);
  free(b.held);
  free(b.need);
  return room ? GW_OK : GW_NO_MEMORY;
}
