/* apart.h - whether the piece comes apart at all, without a list of who stops whom.
 *
 * For `check`, which asks for no order.  The list has an arc for nearly every two
 * parts; here the next part that is in the way is looked up in a tree of boxes
 * when it is needed, so that a large piece costs little more than its size. */
#ifndef GW_ORDER_APART_H
#define GW_ORDER_APART_H

#include "order/order.h"

/* Sets *apart when no group of the piece is locked, joints sliding along their
 * faces only where `slides` (one for each joint) says so.  The answer is that of
 * gw_blocking_make and gw_split_solve together.  GW_NO_MEMORY. */
gw_status gw_order_apart(const gw_model *model, const gw_fit *fit, const bool *slides, bool *apart);

/* ---- what blocking.c knows ---------------------------------------------------- */

/* The wood of all parts, for sweeping.  Freed with gw_bodies_free. */
typedef struct gw_bodies gw_bodies;
gw_status gw_bodies_make(const gw_model *model, const gw_fit *fit, gw_bodies **out);
void gw_bodies_free(gw_bodies *bodies);

/* A box that holds all of the part. */
const gw_box *gw_bodies_whole(const gw_bodies *bodies, int part);
/* Whether part one, moving along d without end, meets part other. */
bool gw_bodies_meet(const gw_bodies *b, int one, int other, gw_vec d);
/* The same of boxes.  Larger boxes meet whatever smaller ones inside them meet. */
bool gw_box_meets(const gw_box *a, const gw_box *b, gw_vec d);

/* Fills in the candidate directions of *blocking alone. */
void gw_blocking_dirs(const gw_model *model, const gw_fit *fit, gw_blocking *blocking);
/* Whether the joint keeps its entering part from moving along d. */
bool gw_blocking_joint(const gw_model *model, const gw_fit *fit, int joint, bool slides, gw_vec d);

#endif
