#include "fit/axis.h"

#include <stdlib.h>

#include "fit/asmade.h"

gw_len gw_fit_plane(const gw_part *part, int axis, gw_ref ref) {
  return ref == GW_REF_LOW ? 0 : ref == GW_REF_HIGH ? part->size[axis] : part->size[axis] / 2;
}

int gw_fit_axis_node(const gw_fit_axis *a, int part, gw_ref ref, gw_len *offset) {
  const gw_part *that = &a->m->parts[part];
  bool varies = that->tolerance > 0;
  *offset = varies ? 0 : gw_fit_plane(that, a->axis, ref);
  return a->node[part] + (varies ? (int)ref : 0);
}

static gw_status add_part(gw_fit_axis *a, int part) {
  const gw_part *that = &a->m->parts[part];
  bool varies = that->tolerance > 0;
  GW_TRY(gw_net_add_nodes(a->net, varies ? 3 : 1, &a->node[part]));
  if (!varies) return GW_OK;
  gw_len size = that->size[a->axis], t = that->tolerance;
  int low = a->node[part], middle = low + GW_REF_MIDDLE, high = low + GW_REF_HIGH;
  GW_TRY(gw_net_between(a->net, low, high, size - t, size + t, GW_FIT_SIZE_TAG));
  GW_TRY(gw_net_between(a->net, low, middle, (size - t) / 2, (size + t) / 2, GW_FIT_SIZE_TAG));
  return gw_net_between(a->net, middle, high, (size - t) / 2, (size + t + 1) / 2,
                        GW_FIT_SIZE_TAG);
}

static gw_status add_joint(gw_fit_axis *a, const gw_seating *seating, int joint) {
  const gw_bound *bound = &seating->bound[a->axis];
  if (!bound->stated) return GW_OK;
  gw_len off_e, off_r;
  const gw_joint *that = &a->m->joints[joint];
  int e = gw_fit_axis_node(a, gw_joint_enters(a->m, that), bound->e, &off_e);
  int r = gw_fit_axis_node(a, gw_joint_receives(a->m, that), bound->r, &off_r);
  gw_len give = a->m->as_measured ? GW_FIT_GIVE / 2 : 0;
  return gw_net_between(a->net, r, e, bound->lo + off_r - off_e - give,
                        bound->hi + off_r - off_e + give, joint);
}

gw_status gw_fit_axis_build(const gw_model *m, const gw_seating *seatings, int axis,
                            gw_fit_axis *a) {
  *a = (gw_fit_axis){.m = m, .axis = axis, .net = gw_net_new()};
  a->node = malloc(((size_t)m->n_parts + 1) * sizeof *a->node);
  if (a->net == NULL || a->node == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < m->n_parts; ++i) GW_TRY(add_part(a, i));
  for (int i = 0; i < m->n_joints; ++i) GW_TRY(add_joint(a, &seatings[i], i));
  return GW_OK;
}

void gw_fit_axis_clear(gw_fit_axis *a) {
  gw_net_free(a->net);
  free(a->node);
}
