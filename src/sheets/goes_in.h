/* goes_in.h - how far a joint goes in, as it is in the wood: what the layouts
 * and the dry fit both say of it. */
#ifndef GW_SHEETS_GOES_IN_H
#define GW_SHEETS_GOES_IN_H

#include "sheets/sheets.h"

typedef struct gw_depths {
  gw_len in;   /* how far the entering half stands in the other part, 0 when faces meet */
  gw_len deep; /* how far it could go: the depth of mortise, groove or housing, and of a
                * rebate what is cut along the way in; 0 when the half goes right through,
                * or when what the other part is cut lies along another way (tails, fingers,
                * corner bridles, halvings) */
  gw_len room; /* deep less in where the half has no shoulder that stops it (panels, boards,
                * shelves), else 0 */
} gw_depths;

/* Of panels, boards and shelves from where the parts stand: what of the entering
 * part is in the receiving one along the joint's normal; of halves with a shoulder
 * their length.  Where the parts have no places, as far as the halves would let. */
gw_depths gw_goes_in(const gw_sheets_job *job, int joint);

/* "goes in 7 mm, groove 10 mm deep: 3 mm room", "goes in 45 mm, mortise 46 mm deep",
 * "goes in 8 mm, rebate 10 mm wide: 2 mm room"; "" when faces meet.  From the arena; NULL
 * when memory is short. */
const char *gw_goes_in_words(const gw_sheets_job *job, gw_arena *arena, int joint);

/* What a half is called on the sheets: its element with spaces for the dashes.
 * NULL when memory is short. */
const char *gw_half_words(gw_arena *arena, const gw_half *half);

#endif
