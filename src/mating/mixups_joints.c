/* Classes of joints whose halves could be exchanged. */
#include <stdlib.h>

#include "mating/mixups_inside.h"

/* What must be alike for a joint's halves to go into another's. */
typedef struct sort {
  int joint, group;
  gw_kind kind;
  gw_style style;
  int slope, count;
  gw_len thick[2], run[2], depth[2]; /* of the entering and of the receiving half */
} sort;

static sort sort_of(const gw_model *m, const gw_fit *fit, int joint) {
  const gw_seating *s = &fit->seatings[joint];
  sort out = {.joint = joint, .kind = m->joints[joint].kind, .style = s->style, .slope = s->slope,
              .count = s->count, .depth = {s->depth_e, s->depth_r}};
  if (s->style == GW_CROSS) {
    int a = (s->normal + 1) % 3, b = (s->normal + 2) % 3;
    gw_len e = s->e[a].size < s->e[b].size ? s->e[a].size : s->e[b].size;
    gw_len r = s->r[a].size < s->r[b].size ? s->r[a].size : s->r[b].size;
    out.run[0] = e;
    out.run[1] = r;
    return out;
  }
  if (s->narrow >= 0) {
    out.thick[0] = s->e[s->narrow].size;
    out.thick[1] = s->r[s->narrow].size;
  }
  if (s->run >= 0) {
    out.run[0] = s->e[s->run].size;
    out.run[1] = s->r[s->run].size;
  }
  return out;
}

static int order_of(gw_len a, gw_len b) { return a < b ? -1 : a > b; }

static int by_likeness(const sort *a, const sort *b) {
  int order = order_of(a->kind, b->kind);
  if (order == 0) order = order_of(a->style, b->style);
  if (order == 0) order = order_of(a->slope, b->slope);
  if (order == 0) order = order_of(a->count, b->count);
  for (int i = 0; i < 2 && order == 0; ++i) {
    order = order_of(a->thick[i], b->thick[i]);
    if (order == 0) order = order_of(a->run[i], b->run[i]);
    if (order == 0) order = order_of(a->depth[i], b->depth[i]);
  }
  return order;
}

static int by_likeness_and_joint(const void *left, const void *right) {
  const sort *a = left, *b = right;
  int order = by_likeness(a, b);
  return order != 0 ? order : order_of(a->joint, b->joint);
}

/* Whether the entering half of a goes into the receiving half of b. */
static bool goes_into(const gw_model *m, const sort *a, const sort *b) {
  if (a->kind != b->kind || a->style != b->style) return false;
  if (a->slope != b->slope || a->count != b->count) return false;
  if ((a->thick[0] != 0 || b->thick[1] != 0) && gw_kind_of(a->kind)->seat != GW_FACE &&
      !gw_mixup_room(m, a->kind, a->thick[0], b->thick[1]))
    return false;
  return gw_mixup_near(a->run[0], b->run[0]) && gw_mixup_near(a->run[1], b->run[1]) &&
         gw_mixup_near(a->depth[0], b->depth[0]) && gw_mixup_near(a->depth[1], b->depth[1]);
}

static int root_of(int *group, int i) {
  while (group[i] != i) i = group[i] = group[group[i]];
  return i;
}

/* Groups of unlike, but fitting, joints are put together; `first` holds one
 * joint of each group. */
static void merge(const gw_model *m, const sort *sorts, const int *first, int groups, int *group) {
  enum { MOST = 400 }; /* groups that are compared with each other */
  int count = groups < MOST ? groups : MOST;
  for (int i = 0; i < count; ++i)
    for (int k = i + 1; k < count; ++k) {
      const sort *a = &sorts[first[i]], *b = &sorts[first[k]];
      if (!goes_into(m, a, b) || !goes_into(m, b, a)) continue;
      int one = root_of(group, i), two = root_of(group, k);
      if (one < two) group[two] = one;
      else group[one] = two;
    }
}

/* Numbers the classes in the order of their first joints. */
static void number(gw_mixups *out, const sort *sorts, int n_joints, int *group, int *name) {
  for (int i = 0; i < n_joints; ++i) name[i] = -1;
  for (int i = 0; i < n_joints; ++i)
    out->joint_class[sorts[i].joint] = root_of(group, sorts[i].group);
  for (int j = 0; j < n_joints; ++j) {
    int class = out->joint_class[j];
    if (name[class] < 0) name[class] = out->n_joint_classes++;
    out->joint_class[j] = name[class];
  }
}

gw_status gw_mixups_joints(const gw_model *m, const gw_fit *fit, gw_mixups *out) {
  size_t n = (size_t)m->n_joints + 1;
  out->joint_class = gw_arena_alloc(out->arena, n, sizeof *out->joint_class);
  sort *sorts = calloc(n, sizeof *sorts);
  int *first = calloc(3 * n, sizeof *first);
  gw_status status = GW_NO_MEMORY;
  if (out->joint_class != NULL && sorts != NULL && first != NULL) {
    int groups = 0, *group = first + n, *name = group + n;
    for (int i = 0; i < m->n_joints; ++i) sorts[i] = sort_of(m, fit, i);
    qsort(sorts, (size_t)m->n_joints, sizeof *sorts, by_likeness_and_joint);
    for (int i = 0; i < m->n_joints; ++i) {
      if (i == 0 || by_likeness(&sorts[i - 1], &sorts[i]) != 0) {
        first[groups] = i;
        group[groups] = groups;
        groups++;
      }
      sorts[i].group = groups - 1;
    }
    merge(m, sorts, first, groups, group);
    number(out, sorts, m->n_joints, group, name);
    status = GW_OK;
  }
  free(sorts);
  free(first);
  return status;
}
