/* ways.h - what else could be done to win time, each way planned anew.
 *
 * A way changes one thing in the shop, the glue or the work, and the whole piece
 * is planned again with it; nothing is estimated. */
#ifndef GW_CLOCK_WAYS_H
#define GW_CLOCK_WAYS_H

#include "clock/clock.h"

typedef struct gw_way {
  /* helper, pre-set-clamps, slower-glue, cooler, damper, more-stages, one-face,
   * leave-dry; static storage */
  const char *code;
  const char *words;  /* what to do */
  int failing, stages, margin_pm; /* as gw_clock has them */
  int64_t whole_s;
  bool helps;         /* better than the plan: less failing, or else fewer stages, a larger
                       * margin or a shorter whole */
  bool proven;
} gw_way;

typedef struct gw_ways {
  gw_way *items;      /* those that help first; each lot ranked by failing stages, stages,
                       * margin, whole */
  int count;
  gw_arena *arena;
} gw_ways;

/* Tries all ways that suit the piece; none when it has no glue.  *out is the
 * caller's (gw_ways_free).  The suppositions, all our own without a source:
 * clamps set to size beforehand take half their time; spreading on one face
 * takes half, where the kind of glue allows it; 5 degrees cooler or 15 points
 * damper as far as the glue, the wood and the model of the air allow; a slower
 * glue of the same family with its typical figures; rebated, tongued and butted
 * parts may wait and be pinned or screwed dry. */
gw_status gw_ways_make(const gw_model *model, const gw_fit *fit, const gw_marks *marks,
                       const gw_order *order, const gw_clock *clock, gw_ways **out);
void gw_ways_free(gw_ways *ways);

#endif
