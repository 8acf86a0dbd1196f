/* split_cost.c - the cost of a join, and what no order can cost less than. */
#include <stdlib.h>

#include "order/split_internal.h"

gw_split_weights gw_split_default_weights(void) {
  return (gw_split_weights){.align = 10000, .beside = 1000, .loose = 50000,
                            .hands = 1000000, .dir = 2000, .mass = 1, .slide = 2,
                            .turn = 5000, .turned = 1, .against = 500};
}

gw_split_cost gw_split_price(const gw_split_problem *p, const gw_split_load *load) {
  const gw_split_weights *w = &p->weights;
  gw_split_cost c = {0};
  int over = load->bodies - p->hands - 1;
  c.align = w->align * load->glued * load->glued;
  c.beside = load->glued > 0 ? w->beside * load->dry : 0;
  c.loose = w->loose * (load->bodies - 2);
  c.hands = over > 0 ? w->hands * over : 0;
  c.dir = p->dir_cost ? w->dir * p->dir_cost[load->dir] : 0;
  c.mass = w->mass * load->mass;
  c.slide = w->slide * load->slide * (load->parts - 2);
  c.turn = w->turn * load->turns + w->turned * load->turned;
  c.against = w->against * load->against;
  c.total = c.align + c.beside + c.loose + c.hands + c.dir + c.mass + c.slide + c.turn + c.against;
  return c;
}

int64_t gw_split_least_squares(int64_t joints, int64_t joins) {
  if (joins == 0) return 0;
  int64_t q = joints / joins, more = joints % joins;
  return (joins - more) * q * q + more * (q + 1) * (q + 1);
}

/* Moved mass: every join moves at least its lighter side, and the sum of the
 * lighter sides over any binary tree is at least all but the heaviest part (by
 * induction: min(S, R) is at least the smaller of the two heaviest parts).
 *
 * Directions: n - 1 joins turn n pieces into c, so n - c pieces are merged.  A
 * join of b bodies merges at most b - 1, one that closes no joint none; hence
 * of the joins that close none, all but c - 1 are paid for by as many bodies
 * beyond two elsewhere. */
int64_t gw_split_least(const gw_split_graph *g, const gw_split_whole *whole) {
  const gw_split_weights *w = &g->p->weights;
  int64_t closing = w->dir * g->least_joint_dir, bare = w->dir * g->least_dir;
  if (bare + w->loose < closing) closing = bare + w->loose;
  return w->align * gw_split_least_squares(whole->glued, whole->n - 1) +
         bare * (whole->pieces - 1) + closing * (whole->n - whole->pieces) +
         w->mass * (whole->mass - whole->heaviest);
}
