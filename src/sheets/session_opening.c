/* session_opening.c - which opening a group goes into, such as a drawer: said by
 * where it stands among those that go in the same way. */
#include "sheets/session.h"

int gw_session_common_group(const gw_sheets_job *job, const int *parts, int count) {
  const gw_model *m = job->model;
  int group = count > 0 ? m->parts[parts[0]].group : -1;
  for (int i = 1; i < count; ++i)
    if (m->parts[parts[i]].group != group) return -1;
  return group;
}

int gw_session_group(const gw_sheets_job *job, int index) {
  const gw_join *join = &job->order->joins[index];
  return gw_order_group(job->model, join->moving, join->n_moving);
}

bool gw_session_slides(const gw_sheets_job *job, int index) {
  const gw_join *join = &job->order->joins[index];
  bool level = join->way.c[GW_Z] == 0 && (join->way.c[GW_X] == 0) != (join->way.c[GW_Y] == 0);
  return level && join->n_joints > 0 && join->n_glued == 0 && gw_session_group(job, index) >= 0;
}

static bool same_way(const gw_join *a, const gw_join *b) {
  for (int axis = 0; axis < 3; ++axis)
    if ((a->way.c[axis] > 0) != (b->way.c[axis] > 0) ||
        (a->way.c[axis] < 0) != (b->way.c[axis] < 0))
      return false;
  return true;
}

/* From where to where a join's moved parts reach. */
static gw_box around(const gw_sheets_job *job, int index) {
  const gw_join *join = &job->order->joins[index];
  gw_box all = gw_fit_around(job->fit, join->moving[0]);
  for (int i = 1; i < join->n_moving; ++i) {
    const gw_box box = gw_fit_around(job->fit, join->moving[i]);
    for (int axis = 0; axis < 3; ++axis) {
      if (box.lo[axis] < all.lo[axis]) all.lo[axis] = box.lo[axis];
      if (box.hi[axis] > all.hi[axis]) all.hi[axis] = box.hi[axis];
    }
  }
  return all;
}

static bool overlap(const gw_box *a, const gw_box *b, int axis) {
  return a->lo[axis] < b->hi[axis] && b->lo[axis] < a->hi[axis];
}

/* Whether they stand in rows along an axis: of those marked, any two beside each other
 * share all of it. */
static bool in_rows(const gw_box *all, const bool *in, int n, int axis) {
  for (int i = 0; i < n; ++i)
    for (int k = 0; k < i; ++k)
      if (in[i] && in[k] && overlap(&all[i], &all[k], axis) &&
          (all[i].lo[axis] != all[k].lo[axis] || all[i].hi[axis] != all[k].hi[axis]))
        return false;
  return true;
}

/* How many rows there are, and how many before its own. */
typedef struct in_row { int count, before; } in_row;

static in_row place_in(const gw_box *all, const bool *in, int n, int self, int axis) {
  in_row place = {0, 0};
  for (int i = 0; i < n; ++i) {
    bool first = in[i]; /* a row is counted by the first that stands in it */
    for (int k = 0; k < i && first; ++k) first = !in[k] || !overlap(&all[i], &all[k], axis);
    if (!first) continue;
    ++place.count;
    place.before += all[i].hi[axis] <= all[self].lo[axis];
  }
  return place;
}

static const char *const ORDINALS[] = {"", "second", "third", "fourth", "fifth", "sixth",
                                       "seventh", "eighth", "ninth"};
enum { N_ORDINALS = sizeof ORDINALS / sizeof *ORDINALS };

/* Two words for each place: before and after "opening".  Counted from the left, the
 * front or the top; of two and three each has a name. */
static bool name_place(in_row place, int axis, const char *words[2]) {
  static const char *const two[3][2] = {{"left", "right"}, {"front", "back"}, {"lower", "upper"}};
  static const char *const ends[3][2] = {{"left", "right"}, {"front", "back"}, {"bottom", "top"}};
  static const char *const from[3] = {" from the left", " from the front", " from the top"};
  int last = place.count - 1, at = axis == GW_Z ? last - place.before : place.before;
  words[0] = words[1] = "";
  if (last == 0) return true;
  if (place.before == 0 || place.before == last)
    words[0] = (last == 1 ? two : ends)[axis][place.before > 0];
  else if (last == 2) words[0] = "middle";
  else if (at >= N_ORDINALS) return false;
  else {
    words[0] = ORDINALS[at];
    words[1] = from[axis];
  }
  return true;
}

/* The boxes of all that go in as this one does; *self: which is its own. */
static int gather(const gw_sheets_job *job, int index, gw_box *all, int *self) {
  int count = 0;
  for (int i = 0; i < job->order->n_joins; ++i) {
    if (!gw_session_slides(job, i) || !same_way(&job->order->joins[i], &job->order->joins[index])) continue;
    if (i == index) *self = count;
    all[count++] = around(job, i);
  }
  return count;
}

/* The place along `first` among all, and along `second` among those in line with it. */
static bool name_both(const gw_box *all, bool *in, int n, int self, int first, int second,
                      const char *words[3][2]) {
  for (int i = 0; i < n; ++i) in[i] = true;
  if (!in_rows(all, in, n, first)) return false;
  if (!name_place(place_in(all, in, n, self, first), first, words[first])) return false;
  for (int i = 0; i < n; ++i) in[i] = overlap(&all[i], &all[self], first);
  return in_rows(all, in, n, second) &&
         name_place(place_in(all, in, n, self, second), second, words[second]);
}

const char *gw_session_opening(const gw_sheets_job *job, gw_arena *arena, int index) {
  if (job->fit == NULL || !job->fit->placed || !gw_session_slides(job, index)) return "";
  size_t most = (size_t)job->order->n_joins + 1;
  gw_box *all = gw_arena_alloc(arena, most, sizeof *all);
  bool *in = gw_arena_alloc(arena, most, sizeof *in);
  if (all == NULL || in == NULL) return NULL;
  const char *words[3][2];
  int self = 0, n = gather(job, index, all, &self);
  int across = job->order->joins[index].way.c[GW_X] != 0 ? GW_Y : GW_X;
  if (!name_both(all, in, n, self, across, GW_Z, words) &&
      !name_both(all, in, n, self, GW_Z, across, words))
    return "";
  const char **column = words[across], **row = words[GW_Z];
  if (column[0][0] == '\0' && row[0][0] == '\0') return "";
  return gw_arena_printf(arena, "%s%s%s%s opening%s", column[0], column[1],
                         column[0][0] && row[0][0] ? ", " : "", row[0], row[1]);
}
