/* asmade.h - what can still be done about a size once the wood is cut: it can be
 * taken down by saw, plane and chisel, and only a shim or another piece of wood
 * makes up for what is gone.  Inside the fit room. */
#ifndef GW_FIT_ASMADE_H
#define GW_FIT_ASMADE_H

#include "fit/fit.h"

/* Gaps that clamps pull shut, and wood that gives: common practice, no source.
 * Real parts are compared with this much less strictness: each joint's place to
 * half of it either way. */
#define GW_FIT_GIVE (GW_MM / 10)

/* Whether taking wood away brings the size from `value` to `wanted`.  `half` is
 * -1 for a size of the part itself; `words` name the size ("length", "depth",
 * "from-left" …). */
bool gw_fit_can_cut(const gw_model *model, int half, const char *words, gw_len value,
                    gw_len wanted);

/* "plane 0.4 off the thickness of front (20.4 to 20)"; NULL when memory is short. */
const char *gw_fit_do_words(gw_arena *arena, const gw_model *model, int part, int half,
                            const char *words, gw_len value, gw_len wanted);

#endif
