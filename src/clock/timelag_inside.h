/* timelag_inside.h - what the files of the schedule search share; nobody
 * else's. */
#ifndef GW_CLOCK_TIMELAG_INSIDE_H
#define GW_CLOCK_TIMELAG_INSIDE_H

#include "clock/timelag.h"
#include "network/network.h"

typedef struct gw_timelag_link {
  int i, j;
  int64_t lag; /* start[j] >= start[i] + lag */
} gw_timelag_link;

struct gw_timelag {
  int n, resources;
  int64_t *capacity;
  int64_t *duration; /* one per activity */
  int64_t *demand;   /* `resources` per activity */
  gw_timelag_link *links;
  size_t n_links, link_room, duration_room, demand_room;
};

static inline int64_t gw_timelag_need(const gw_timelag *q, int i, int r) {
  return q->demand[(size_t)i * (size_t)q->resources + (size_t)r];
}

/* What is settled about an ordered pair (i, j). */
enum { GW_TIMELAG_BEFORE = 1, /* i ends before j starts */
       GW_TIMELAG_NOT = 2,    /* i does not end before j starts */
       GW_TIMELAG_REACHES = 4 /* lags bound the start of j by that of i */ };

typedef struct gw_timelag_pair { int i, j; } gw_timelag_pair;

/* One step of the timetable: `height` is in use from `at` to the next step. */
typedef struct gw_timelag_step {
  int64_t at, height;
} gw_timelag_step;

/* A piece of work within a window, for counting energy. */
typedef struct gw_timelag_job {
  int64_t from, to, energy; /* must lie within [from, to) */
} gw_timelag_job;

/* An activity as the earliest starts place it. */
typedef struct gw_timelag_seat {
  int64_t start;
  int i;
} gw_timelag_seat;

/* Activities of which no two can run at once. */
typedef struct gw_timelag_clique {
  int *members, count;
} gw_timelag_clique;

/* A member of a clique in its window of time, for edge finding. */
typedef struct gw_timelag_window {
  int64_t from, to, duration, best, after;
  int i;
} gw_timelag_window;

/* The search.  Node n of the trail is the end of all activities.  Everything
 * in `store` lives as long as the search. */
typedef struct gw_timelag_search {
  const gw_timelag *q;
  int n, end;
  gw_net_trail *trail;
  unsigned char *settled; /* n * n flags */
  size_t *undo, n_undo, undo_room; /* settled flags to take back */
  size_t *marks, n_marks, mark_room;
  gw_timelag_pair *clashes; /* pairs that cannot run at once; i < j */
  size_t n_clashes, clash_room;
  gw_timelag_clique *cliques;
  int n_cliques;
  int **users, *n_users; /* of each resource: activities that need it */
  gw_timelag_step *profile;
  int n_profile;
  gw_timelag_job *jobs;   /* scratch: n entries each */
  gw_timelag_seat *seats, *placed;
  gw_timelag_window *windows;
  int *active, *group;
  int64_t *was;    /* scratch: a schedule */
  int64_t *weight; /* how often each activity was part of a dead end */
  bool changed; /* a bound or an order changed since it was cleared */
  gw_arena *store;
  /* results */
  int64_t *best;
  int64_t lower, target; /* no earlier end is possible, no later one of interest */
  bool found;
  int64_t nodes;
} gw_timelag_search;

static inline int64_t gw_timelag_least(const gw_timelag_search *s, int i) {
  return gw_net_trail_least(s->trail, i);
}
static inline int64_t gw_timelag_most(const gw_timelag_search *s, int i) {
  return gw_net_trail_most(s->trail, i);
}
static inline unsigned char *gw_timelag_settled(gw_timelag_search *s, int i, int j) {
  return &s->settled[(size_t)i * (size_t)s->n + (size_t)j];
}

/* True when i before j is neither settled against nor out of reach. */
bool gw_timelag_can_precede(gw_timelag_search *s, int i, int j);

/* Settles that i ends before j starts, or that it does not. */
gw_status gw_timelag_precede(gw_timelag_search *s, int i, int j, bool *ok);
gw_status gw_timelag_forbid(gw_timelag_search *s, int i, int j, bool *ok);

/* Raises or lowers a bound when that changes it. */
gw_status gw_timelag_raise(gw_timelag_search *s, int i, int64_t least, bool *ok);
gw_status gw_timelag_lower(gw_timelag_search *s, int i, int64_t most, bool *ok);

gw_status gw_timelag_push(gw_timelag_search *s);
void gw_timelag_pop(gw_timelag_search *s);

/* Cuts bounds and settles orders until nothing more follows. */
gw_status gw_timelag_prune(gw_timelag_search *s, bool *ok);
/* The parts of it: compulsory parts and energy of a resource, edges of a clique. */
gw_status gw_timelag_timetable(gw_timelag_search *s, int r, bool *ok);
gw_status gw_timelag_energy(gw_timelag_search *s, int r, bool *ok);
gw_status gw_timelag_edges(gw_timelag_search *s, const gw_timelag_clique *c, bool *ok);

/* Prunes, then tries both orders of each pair that cannot run at once and
 * settles those that pruning refutes; slow, for the root. */
gw_status gw_timelag_probe(gw_timelag_search *s, bool *ok);

/* Finds cliques among the clashes and the orders settled so far. */
gw_status gw_timelag_find_cliques(gw_timelag_search *s);

/* Solves the parts that lags hold together and puts a first schedule together
 * from them; *ok is false when some part has none. */
gw_status gw_timelag_build(gw_timelag_search *s, const gw_timelag_options *options, bool *ok);

/* The search itself, from a pruned root with lower and target set; *stopped
 * when it was cut short. */
gw_status gw_timelag_run(gw_timelag_search *s, const gw_timelag_options *options, bool *stopped);

#endif
