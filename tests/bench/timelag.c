/* timelag.c - solves a scheduling instance in the published .sch format and
 * prints `optimum N`, `infeasible` or `bound L U` (U is `-` when no schedule
 * was found).
 *
 * usage: timelag [-n NODES] [-s SECONDS] [-l LIMIT] [-v] FILE.sch
 *
 * The format (ProGen/max, PSPLIB), separated by white space: `n R 0 0`; n + 2
 * lines `id modes k succ_1 .. succ_k [lag_1] .. [lag_k]` with
 * start[succ] >= start[id] + lag; n + 2 lines `id mode duration req_1 .. req_R`;
 * then the R capacities. */
#include "clock/timelag.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { MOST_ACTIVITIES = 3000, MOST_RESOURCES = 32, MOST_SUCCESSORS = 3000 };

typedef struct instance {
  int n, resources; /* n counts the source and the sink */
  int *from, *to;
  int64_t *lag;
  size_t n_lags, from_room, to_room, lag_room;
  int64_t duration[MOST_ACTIVITIES];
  int64_t demand[MOST_ACTIVITIES][MOST_RESOURCES];
  int64_t capacity[MOST_RESOURCES];
  int successors[MOST_SUCCESSORS]; /* of the line being read */
} instance;

static bool add_lag(instance *in, int from, int to, int64_t lag) {
  size_t need = in->n_lags + 1;
  if (to < 0 || to >= in->n) return false;
  if (gw_grow(&in->from, &in->from_room, need, sizeof *in->from) != GW_OK ||
      gw_grow(&in->to, &in->to_room, need, sizeof *in->to) != GW_OK ||
      gw_grow(&in->lag, &in->lag_room, need, sizeof *in->lag) != GW_OK)
    return false;
  in->from[in->n_lags] = from;
  in->to[in->n_lags] = to;
  in->lag[in->n_lags++] = lag;
  return true;
}

static bool read_successors(FILE *file, instance *in, int activity) {
  int id, modes, count;
  if (fscanf(file, "%d %d %d", &id, &modes, &count) != 3) return false;
  if (id != activity || modes != 1 || count < 0 || count > MOST_SUCCESSORS) return false;
  for (int k = 0; k < count; k++) {
    if (fscanf(file, "%d", &in->successors[k]) != 1) return false;
  }
  for (int k = 0; k < count; k++) {
    int64_t lag;
    if (fscanf(file, " [%" SCNd64 "]", &lag) != 1) return false;
    if (!add_lag(in, activity, in->successors[k], lag)) return false;
  }
  return true;
}

static bool read_instance(FILE *file, instance *in) {
  int spare;
  if (fscanf(file, "%d %d %d %d", &in->n, &in->resources, &spare, &spare) != 4) return false;
  if (in->n < 0 || in->n > MOST_ACTIVITIES - 2) return false;
  if (in->resources < 0 || in->resources > MOST_RESOURCES) return false;
  in->n += 2;
  for (int i = 0; i < in->n; i++) {
    if (!read_successors(file, in, i)) return false;
  }
  for (int i = 0; i < in->n; i++) {
    int id, mode;
    if (fscanf(file, "%d %d %" SCNd64, &id, &mode, &in->duration[i]) != 3 || id != i)
      return false;
    for (int r = 0; r < in->resources; r++) {
      if (fscanf(file, "%" SCNd64, &in->demand[i][r]) != 1) return false;
    }
  }
  for (int r = 0; r < in->resources; r++) {
    if (fscanf(file, "%" SCNd64, &in->capacity[r]) != 1) return false;
  }
  return true;
}

static gw_timelag *question_of(const instance *in) {
  gw_timelag *q = gw_timelag_new(in->resources, in->capacity);
  if (q == NULL) return NULL;
  bool fine = true;
  for (int i = 0; i < in->n && fine; i++)
    fine = gw_timelag_activity(q, in->duration[i], in->demand[i], NULL) == GW_OK;
  for (size_t k = 0; k < in->n_lags && fine; k++)
    fine = gw_timelag_lag(q, in->from[k], in->to[k], in->lag[k]) == GW_OK;
  if (fine) return q;
  gw_timelag_free(q);
  return NULL;
}

static double seconds(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static bool past(void *with) { return seconds() > *(const double *)with; }

/* The answer, and the schedule judged by the independent check. */
static int print_answer(const gw_timelag *q, const gw_timelag_answer *a, const int64_t *start) {
  if (a->found) {
    gw_timelag_verdict verdict = gw_timelag_check(q, start);
    if (verdict.fault != GW_TIMELAG_FINE || verdict.end != a->upper) {
      printf("wrong schedule\n");
      return 1;
    }
  }
  if (a->kind == GW_TIMELAG_OPTIMUM)
    printf("optimum %" PRId64 "\n", a->upper);
  else if (a->kind == GW_TIMELAG_INFEASIBLE)
    printf("infeasible\n");
  else if (a->found)
    printf("bound %" PRId64 " %" PRId64 "\n", a->lower, a->upper);
  else
    printf("bound %" PRId64 " -\n", a->lower);
  return 0;
}

static int solve(const gw_timelag *q, gw_timelag_options *options, double limit, bool verbose) {
  int64_t *start = calloc((size_t)gw_timelag_count(q) + 1, sizeof *start);
  gw_timelag_answer answer;
  double begin = seconds(), end = begin + limit;
  if (limit > 0) {
    options->stop = past;
    options->with = &end;
  }
  if (start == NULL || gw_timelag_solve(q, options, start, &answer) != GW_OK) {
    fprintf(stderr, "timelag: the search failed\n");
    free(start);
    return 1;
  }
  int status = print_answer(q, &answer, start);
  if (verbose)
    fprintf(stderr, "%" PRId64 " nodes, %.3f s\n", answer.nodes, seconds() - begin);
  free(start);
  return status;
}

static gw_timelag *read_question(const char *name) {
  instance *in = calloc(1, sizeof *in);
  FILE *file = fopen(name, "r");
  gw_timelag *q = NULL;
  if (in != NULL && file != NULL && read_instance(file, in)) q = question_of(in);
  if (file != NULL) fclose(file);
  if (in != NULL) {
    free(in->from);
    free(in->to);
    free(in->lag);
  }
  free(in);
  return q;
}

int main(int argc, char **argv) {
  gw_timelag_options options = {.limit = -1};
  double limit = 0;
  bool verbose = false;
  for (int c; (c = getopt(argc, argv, "n:s:l:v")) != -1;) {
    if (c == 'n') options.nodes = strtoll(optarg, NULL, 10);
    if (c == 's') limit = strtod(optarg, NULL);
    if (c == 'l') options.limit = strtoll(optarg, NULL, 10);
    if (c == 'v') verbose = true;
    if (c == '?') return 2;
  }
  if (optind + 1 != argc) {
    fprintf(stderr, "usage: timelag [-n NODES] [-s SECONDS] [-l LIMIT] [-v] FILE.sch\n");
    return 2;
  }
  gw_timelag *q = read_question(argv[optind]);
  if (q == NULL) {
    fprintf(stderr, "timelag: %s cannot be read as an instance\n", argv[optind]);
    return 1;
  }
  int status = solve(q, &options, limit, verbose);
  gw_timelag_free(q);
  return status;
}
