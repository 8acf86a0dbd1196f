/* split_bench.c - parts against time and splits looked at, exact and bounded.
 *
 * Pieces are made on a grid.  `free` ones have joints but no blocking, so that
 * every set may leave.  In `tight` ones a joint lets go along its own axis
 * only: neighbours along x part along x.  `bays` are uprights side by side
 * with shelves between them. */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "order/split.h"

typedef struct piece {
  gw_split_problem p;
  gw_split_joint *joints;
  gw_split_arc *arcs;
  int64_t *mass;
  size_t joint_room, arc_room;
} piece;

/* 0 -x, 1 +x, 2 -y, 3 +y, 4 -z, 5 +z; leaving upward is lowered on: no cost. */
static const int opposites[] = {1, 0, 3, 2, 5, 4};
static const int costs[] = {1, 1, 1, 1, 2, 0};

static void die(void) {
  fputs("split_bench: out of memory or wrong problem\n", stderr);
  exit(3);
}

static void add_arc(piece *q, int dir, int mover, int blocker, int joint) {
  if (gw_grow(&q->arcs, &q->arc_room, q->p.n_arcs + 1, sizeof *q->arcs)) die();
  q->arcs[q->p.n_arcs++] = (gw_split_arc){dir, mover, blocker, joint};
  q->p.arcs = q->arcs;
}

/* a is on the negative side of b along the axis. */
static void add_joint(piece *q, int a, int b, int axis, bool tight) {
  int j = q->p.n_joints;
  if (gw_grow(&q->joints, &q->joint_room, (size_t)j + 1, sizeof *q->joints)) die();
  q->joints[j] = (gw_split_joint){.a = a, .b = b, .glued = true, .mover = -1};
  q->p.n_joints++;
  q->p.joints = q->joints;
  for (int d = 0; d < 6 && tight; d++)
    if (d != 2 * axis) add_arc(q, d, a, b, j);
}

static void start(piece *q, int n) {
  *q = (piece){.p = gw_split_problem_default()};
  q->p.n_parts = n;
  q->p.n_dirs = 6;
  q->p.dir_opposite = opposites;
  q->p.dir_cost = costs;
  q->mass = calloc((size_t)n, sizeof *q->mass);
  if (!q->mass) die();
  for (int v = 0; v < n; v++) q->mass[v] = 1000 + 100 * (v % 7);
  q->p.mass_g = q->mass;
}

static void finish(piece *q) {
  free(q->joints);
  free(q->arcs);
  free(q->mass);
}

static void make_grid(piece *q, int w, int h, bool tight) {
  start(q, w * h);
  for (int y = 0; y < h; y++)
    for (int x = 0; x < w; x++) {
      if (x + 1 < w) add_joint(q, y * w + x, y * w + x + 1, 0, tight);
      if (y + 1 < h) add_joint(q, y * w + x, (y + 1) * w + x, 1, tight);
    }
}

static void make_chain(piece *q, int n, bool tight) { make_grid(q, n, 1, tight); }
static void make_ladder(piece *q, int n, bool tight) { make_grid(q, (n + 1) / 2, 2, tight); }

/* The border of a grid, two parts deep: a frame of n parts. */
static void make_ring(piece *q, int n, bool tight) {
  int half = n / 2;
  start(q, 2 * half);
  for (int row = 0; row < 2; row++)
    for (int x = 0; x + 1 < half; x++)
      add_joint(q, row * half + x, row * half + x + 1, 0, tight);
  add_joint(q, 0, half, 1, tight);
  add_joint(q, half - 1, 2 * half - 1, 1, tight);
}

/* Uprights with four shelves in each bay: 5k + 1 parts. */
static void make_bays(piece *q, int n, bool tight) {
  int bays = n / 5;
  start(q, 5 * bays + 1);
  for (int b = 0; b < bays; b++)
    for (int s = 1; s < 5; s++) {
      add_joint(q, 5 * b, 5 * b + s, 0, tight);
      add_joint(q, 5 * b + s, 5 * b + 5, 0, tight);
    }
}

static void make_square(piece *q, int n, bool tight) {
  int w = 1;
  while ((w + 1) * (w + 1) <= n) w++;
  make_grid(q, w, w, tight);
}

static double seconds(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static int64_t run(const gw_split_problem *p, bool exact, bool *optimal) {
  gw_split_result *r;
  gw_split_problem copy = *p;
  double from = seconds();
  copy.exact_limit = exact ? 64 : 0;
  if (gw_split_solve(&copy, &r, NULL)) die();
  *optimal = r->proof == GW_SPLIT_OPTIMAL;
  printf("  %-7s %9.4f s %9lld splits  cost %9lld  bound %9lld %s\n", exact ? "exact" : "bounded",
         seconds() - from, (long long)r->nodes, (long long)r->cost, (long long)r->bound,
         r->kind != GW_SPLIT_ORDER ? "no order" : *optimal ? "proven" : "");
  int64_t cost = r->cost;
  gw_split_free(r);
  return cost;
}

typedef struct shape {
  const char *name;
  void (*make)(piece *q, int n, bool tight);
} shape;

static void bench(const shape *s, int n, bool tight, int exact_to) {
  piece q;
  bool optimal, bounded;
  s->make(&q, n, tight);
  printf("%s, %s, %d parts, %d joints\n", s->name, tight ? "tight" : "free", q.p.n_parts,
         q.p.n_joints);
  int64_t best = 0, cost;
  if (q.p.n_parts <= exact_to) best = run(&q.p, true, &optimal);
  cost = run(&q.p, false, &bounded);
  if (q.p.n_parts <= exact_to && optimal && best > 0)
    printf("  bounded / exact %.3f\n", (double)cost / (double)best);
  fflush(stdout);
  finish(&q);
}

int main(void) {
  static const shape shapes[] = {{"chain", make_chain}, {"ring", make_ring},
                                 {"ladder", make_ladder}, {"grid", make_square},
                                 {"bays", make_bays}};
  static const int sizes[] = {8, 16, 24, 36, 49, 64, 100, 300, 1000};
  for (size_t s = 0; s < sizeof shapes / sizeof *shapes; s++)
    for (int tight = 0; tight < 2; tight++)
      for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        bench(&shapes[s], sizes[i], tight, 64);
  return 0;
}
