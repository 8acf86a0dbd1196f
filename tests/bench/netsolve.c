/* netsolve.c - reads systems of difference constraints and prints what the
 * network room makes of them, for comparison with another program.
 *
 * Input, any number of times: `n m`, then m times `i j w` (x_j - x_i <= w).
 * Output for each system:
 *   solution x0 x1 ...          or  cycle SUM c1 c2 ... (constraint numbers)
 *   range lo0 hi0 lo1 hi1 ...   or  smallest SUM PROVED c1 c2 ...
 *                                   apart SUM c1 c2 ... (up to five times)
 *   end
 * With -t, prints instead the seconds that each system takes. */
#include "network/network.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define MOST_APART 5

static double seconds(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static gw_status read_system(gw_net *net, int n, int m) {
  GW_TRY(gw_net_add_nodes(net, n, NULL));
  for (int k = 0; k < m; k++) {
    int i, j;
    int64_t w;
    if (scanf("%d %d %" SCNd64, &i, &j, &w) != 3) return GW_BAD_INPUT;
    GW_TRY(gw_net_at_most(net, i, j, w, k));
  }
  return GW_OK;
}

static void print_cycle(const char *word, const gw_net_cycle *cycle, bool with_proof) {
  printf("%s %" PRId64, word, cycle->sum);
  if (with_proof) printf(" %d", cycle->smallest);
  for (int k = 0; k < cycle->length; k++) printf(" %d", cycle->constraints[k]);
  putchar('\n');
}

static gw_status print_solution(gw_net *net, const int64_t *x, int64_t *lo, int64_t *hi) {
  int n = gw_net_nodes(net);
  GW_TRY(gw_net_range(net, 0, lo, hi));
  printf("solution");
  for (int v = 0; v < n; v++) printf(" %" PRId64, x[v]);
  printf("\nrange");
  for (int v = 0; v < n; v++) printf(" %" PRId64 " %" PRId64, lo[v], hi[v]);
  putchar('\n');
  return GW_OK;
}

static gw_status print_cycles(gw_net *net, gw_arena *arena, const gw_net_cycle *cycle) {
  gw_net_cycle smallest, apart[MOST_APART];
  int count;
  print_cycle("cycle", cycle, false);
  GW_TRY(gw_net_smallest_cycle(net, arena, &smallest));
  print_cycle("smallest", &smallest, true);
  GW_TRY(gw_net_bad_cycles(net, arena, MOST_APART, apart, &count));
  for (int k = 0; k < count; k++) print_cycle("apart", &apart[k], false);
  return GW_OK;
}

static gw_status answer(gw_net *net, gw_arena *arena, bool timed) {
  size_t n = (size_t)gw_net_nodes(net);
  int64_t *x = gw_arena_alloc(arena, n, sizeof *x);
  int64_t *lo = gw_arena_alloc(arena, n, sizeof *lo);
  int64_t *hi = gw_arena_alloc(arena, n, sizeof *hi);
  gw_net_cycle cycle, smallest;
  if (x == NULL || lo == NULL || hi == NULL) return GW_NO_MEMORY;
  double start = seconds();
  GW_TRY(gw_net_solve(net, arena, x, &cycle));
  double solved = seconds();
  if (timed) {
    GW_TRY(gw_net_smallest_cycle(net, arena, &smallest));
    printf("%s %.3f s, smallest %d (%s) %.3f s\n", cycle.length ? "cycle" : "solution",
           solved - start, smallest.length, smallest.smallest ? "proved" : "not proved",
           seconds() - solved);
    return GW_OK;
  }
  GW_TRY(cycle.length == 0 ? print_solution(net, x, lo, hi) : print_cycles(net, arena, &cycle));
  puts("end");
  return GW_OK;
}

static gw_status one_system(int n, int m, bool timed) {
  gw_net *net = gw_net_new();
  gw_arena *arena = gw_arena_new();
  gw_status status = net == NULL || arena == NULL ? GW_NO_MEMORY : read_system(net, n, m);
  if (status == GW_OK) status = answer(net, arena, timed);
  gw_arena_free(arena);
  gw_net_free(net);
  return status;
}

int main(int argc, char **argv) {
  bool timed = argc > 1 && strcmp(argv[1], "-t") == 0;
  int n, m;
  while (scanf("%d %d", &n, &m) == 2) {
    gw_status status = one_system(n, m, timed);
    if (status != GW_OK) {
      fprintf(stderr, "netsolve: failed with status %d\n", (int)status);
      return 1;
    }
  }
  return fflush(stdout) == 0 ? 0 : 1;
}
