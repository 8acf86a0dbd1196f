/* mixups_inside.h - shared inside the mix-up analysis only. */
#ifndef GW_MIXUPS_INSIDE_H
#define GW_MIXUPS_INSIDE_H

#include "mating/mixups.h"

/* Spots and sizes are the same when they differ by no more: play. */
#define GW_MIXUP_NEAR (GW_MM / 5)

static inline bool gw_mixup_near(gw_len a, gw_len b) {
  return a - b <= GW_MIXUP_NEAR && b - a <= GW_MIXUP_NEAR;
}

/* So many turns behind each other, from a multiple of it on, have the axes in one
 * order and differ in the flips only. */
enum { GW_TURNS_ALIKE = 4 };

/* Whether the part, turned, would go into the place of another part. */
bool gw_mixup_goes(const gw_model *model, const gw_fit *fit, int part, int place,
                   const gw_turn *turn);
/* Whether a receiving half of that thickness takes an entering one. */
bool gw_mixup_room(const gw_model *model, gw_kind kind, gw_len entering, gw_len receiving);
/* Fills joint_class and n_joint_classes. */
gw_status gw_mixups_joints(const gw_model *model, const gw_fit *fit, gw_mixups *mixups);
gw_status gw_mixups_say(const gw_model *model, const gw_mixups *mixups, gw_findings *findings);
int gw_mixup_harm(const gw_model *model, const gw_mixup *way);

#endif
