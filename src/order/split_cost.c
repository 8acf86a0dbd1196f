/* split_cost.c - the cost of a join, and what no order can cost less than. */
#include <stdlib.h>

#include "order/split_internal.h"

gw_split_weights gw_split_default_weights(void) {
  return (gw_split_weights){.align = 10000, .loose = 50000, .hands = 1000000, .dir = 2000,
                            .mass = 1, .slide = 2, .turn = 5000, .against = 500};
}

gw_split_cost gw_split_price(const gw_split_problem *p, const gw_split_load *load) {
  const gw_split_weights *w = &p->weights;
  gw_split_cost c = {0};
  int over = load->bodies - p->hands - 1;
  c.align = w->align * load->glued * load->glued;
  c.loose = w->loose * (load->bodies - 2);
  c.hands = over > 0 ? w->hands * over : 0;
  c.dir = p->dir_cost ? w->dir * p->dir_cost[load->dir] : 0;
  c.mass = w->mass * load->mass;
  c.slide = w->slide * load->slide * (load->parts - 2);
  c.turn = w->turn * load->turns;
  c.against = w->against * load->against;
  c.total = c.align + c.loose + c.hands + c.dir + c.mass + c.slide + c.turn + c.against;
  return c;
}

/* The least sum of squares of so many joints spread over so many joins. */
static int64_t least_squares(int64_t joints, int64_t joins) {
  if (joins == 0) return 0;
  int64_t q = joints / joins, more = joints % joins;
  return (joins - more) * q * q + more * (q + 1) * (q + 1);
}

/* Moved mass: every join moves at least its lighter side, and the sum of the
 * lighter sides over any binary tree is at least all but the heaviest part (by
 * induction: min(S, R) is at least the smaller of the two heaviest parts). */
int64_t gw_split_least(const gw_split_graph *g, int n, int64_t glued, int64_t mass,
                       int64_t heaviest) {
  const gw_split_weights *w = &g->p->weights;
  return w->align * least_squares(glued, n - 1) + w->dir * g->least_dir * (n - 1) +
         w->mass * (mass - heaviest);
}

/* ---- blocks of the joint graph (Hopcroft and Tarjan 1973) ---- */

/* A joint lies in one block.  Any order joins the parts of a block in exactly
 * (parts - 1) of its joins, and (x + y)^2 >= x^2 + y^2 where a join closes
 * joints of several blocks; so the sums of squares of the blocks add up. */
typedef struct blocks {
  const gw_split_graph *g;
  int *index, *low, *next, *via, *path, *open;
  bool *used; /* joints */
  int n_path, n_open, clock;
  int64_t sum;
} blocks;

/* The joints opened since `joint` are a block; its parts are those of a
 * connected graph: count the distinct ends. */
static void close_block(blocks *b, int joint, int *stamp) {
  int parts = 0, j;
  int64_t glued = 0;
  b->clock++;
  do {
    j = b->open[--b->n_open];
    const gw_split_joint *joined = &b->g->p->joints[j];
    int ends[] = {joined->a, joined->b};
    for (int k = 0; k < 2; k++) {
      if (stamp[ends[k]] == b->clock) continue;
      stamp[ends[k]] = b->clock;
      parts++;
    }
    glued += joined->glued;
  } while (j != joint);
  b->sum += least_squares(glued, parts - 1);
}

static void enter_block(blocks *b, int v, int via) {
  b->index[v] = b->low[v] = ++b->clock;
  b->next[v] = b->g->at.start[v];
  b->via[v] = via;
  b->path[b->n_path++] = v;
}

static void leave_block(blocks *b, int *stamp) {
  int v = b->path[--b->n_path];
  if (b->n_path == 0) return;
  int up = b->path[b->n_path - 1];
  if (b->low[v] < b->low[up]) b->low[up] = b->low[v];
  if (b->low[v] >= b->index[up]) close_block(b, b->via[v], stamp);
}

static void run_blocks(blocks *b, int root, int *stamp) {
  enter_block(b, root, -1);
  while (b->n_path > 0) {
    int v = b->path[b->n_path - 1];
    if (b->next[v] == b->g->at.start[v + 1]) {
      leave_block(b, stamp);
      continue;
    }
    int i = b->next[v]++, w = b->g->at.to[i], j = b->g->at.joint[i];
    if (b->used[j]) continue;
    b->used[j] = true;
    b->open[b->n_open++] = j;
    if (b->index[w] == 0)
      enter_block(b, w, j);
    else if (b->index[w] < b->low[v])
      b->low[v] = b->index[w];
  }
}

static gw_status squares_by_block(const gw_split_graph *g, int64_t *sum) {
  size_t n = (size_t)g->n, m = (size_t)g->p->n_joints;
  int *store = calloc(6 * n + m + 1, sizeof(int));
  bool *used = calloc(m + 1, sizeof(bool));
  gw_status status = store && used ? GW_OK : GW_NO_MEMORY;
  if (status == GW_OK) {
    blocks b = {.g = g, .index = store, .low = store + n, .next = store + 2 * n,
                .via = store + 3 * n, .path = store + 4 * n, .open = store + 6 * n, .used = used};
    for (int v = 0; v < g->n; v++)
      if (b.index[v] == 0) run_blocks(&b, v, store + 5 * n);
    *sum = b.sum;
  }
  free(store);
  free(used);
  return status;
}

gw_status gw_split_bound(const gw_split_graph *g, int64_t *bound) {
  int64_t mass = 0, heaviest = 0, squares = 0;
  for (int v = 0; v < g->n; v++) {
    int64_t m = gw_split_mass(g, v);
    mass += m;
    if (m > heaviest) heaviest = m;
  }
  GW_TRY(squares_by_block(g, &squares));
  *bound = gw_split_least(g, g->n, 0, mass, heaviest) + g->p->weights.align * squares;
  return GW_OK;
}
