/* axis.h - what the joints and the sizes say along one axis, as a system of
 * difference constraints over the lower, middle and upper planes of the parts.
 * Inside the fit room. */
#ifndef GW_FIT_AXIS_H
#define GW_FIT_AXIS_H

#include "fit/fit.h"
#include "network/network.h"

/* Constraints of a part's own size carry this tag; those of joints their
 * joint's index.  Each comes as a pair, the upper bound first. */
enum { GW_FIT_SIZE_TAG = -1 };

/* The nodes of one axis.  A part without tolerance has one node, its lower
 * plane; the others lie at known distances from it.  A part with a tolerance
 * has three, so that its size is one unknown wherever it enters. */
typedef struct gw_fit_axis {
  const gw_model *m;
  int axis;
  gw_net *net;
  int *node; /* of each part's lower plane */
} gw_fit_axis;

/* Fills *a, which is to be cleared whatever the outcome. */
gw_status gw_fit_axis_build(const gw_model *model, const gw_seating *seatings, int axis,
                            gw_fit_axis *a);
void gw_fit_axis_clear(gw_fit_axis *a);

/* The node of a plane of a part, and how far above that node the plane lies. */
int gw_fit_axis_node(const gw_fit_axis *a, int part, gw_ref ref, gw_len *offset);

/* How far above the lower side of the part that plane is, by the drawn sizes. */
gw_len gw_fit_plane(const gw_part *part, int axis, gw_ref ref);

#endif
