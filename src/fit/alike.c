/* Joints that are copies of each other: what is wrong with one is wrong with
 * all, and is said once. */
#include "fit/fit.h"

static bool same_pair(gw_len a, gw_len b, gw_len c, gw_len d) {
  return (a == c && b == d) || (a == d && b == c);
}

/* A copied half stands on the line of its part. */
static bool is_copied(const gw_model *m, const gw_half *half) {
  return half->line == m->parts[half->part].line;
}

/* The same sizes; a copy is in the same place as well, but for copies being
 * turned and mirrored, which exchanges the ends of an axis. */
static bool halves_alike(const gw_half *a, const gw_half *b, bool copied) {
  if (a->element != b->element || gw_dir_axis(a->at) != gw_dir_axis(b->at)) return false;
  if (a->thickness != b->thickness || a->width != b->width || a->depth != b->depth) return false;
  if (a->lap != b->lap || a->inset != b->inset || a->through != b->through) return false;
  if (a->count != b->count || a->slope != b->slope) return false;
  for (int axis = 0; copied && axis < 3; ++axis) {
    const gw_len *one = &a->from[2 * axis], *two = &b->from[2 * axis];
    if (!same_pair(one[0], one[1], two[0], two[1])) return false;
  }
  return true;
}

static bool parts_alike(const gw_part *a, const gw_part *b) {
  return a->length == b->length && a->width == b->width && a->thickness == b->thickness;
}

/* Whether b has the sizes of a, and what is copied in b is like that in a. */
static bool joints_alike(const gw_model *m, const gw_joint *a, const gw_joint *b) {
  const gw_half *e = &m->halves[a->entering], *r = &m->halves[a->receiving];
  const gw_half *f = &m->halves[b->entering], *s = &m->halves[b->receiving];
  bool f_copied = is_copied(m, f), s_copied = is_copied(m, s);
  return (f_copied || s_copied) && a->kind == b->kind && halves_alike(e, f, f_copied) &&
         halves_alike(r, s, s_copied) &&
         parts_alike(&m->parts[e->part], &m->parts[f->part]) &&
         parts_alike(&m->parts[r->part], &m->parts[s->part]);
}

/* The joints that were found bad: so many are remembered that what is said
 * more than once is bearable, and no more, so that a file of bad joints alone
 * takes no longer than a good one. */
enum { REMEMBERED = 200 };
typedef struct bad {
  int joints[REMEMBERED], count;
} bad;

static bool said_already(const gw_model *m, int joint, const bad *list) {
  for (int i = 0; i < list->count; ++i)
    if (joints_alike(m, &m->joints[list->joints[i]], &m->joints[joint])) return true;
  return false;
}

static gw_status seat_each(const gw_model *m, gw_findings *findings, gw_findings *silent,
                           gw_seating *seatings) {
  bad list = {.count = 0};
  size_t before = gw_findings_count_of(findings, GW_ERROR);
  for (int i = 0; i < m->n_joints; ++i) {
    bool again = said_already(m, i, &list);
    GW_TRY(gw_fit_seat(m, i, again ? silent : findings, &seatings[i]));
    if (again || list.count == REMEMBERED) continue;
    size_t after = gw_findings_count_of(findings, GW_ERROR);
    if (after > before) list.joints[list.count++] = i;
    before = after;
  }
  return GW_OK;
}

gw_status gw_fit_seat_all(const gw_model *m, gw_findings *findings, gw_seating *seatings) {
  gw_findings *silent = gw_findings_new("-");
  if (silent == NULL) return GW_NO_MEMORY;
  gw_status status = seat_each(m, findings, silent, seatings);
  gw_findings_free(silent);
  return status;
}
