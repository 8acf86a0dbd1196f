/* review.h - what is said of a piece once it is placed: distances that were
 * asked for, tolerances, the seasons, thin wood.  Findings: DEVELOPERS.md. */
#ifndef GW_FIT_REVIEW_H
#define GW_FIT_REVIEW_H

#include "fit/fit.h"

/* Pins and tails are nowhere narrower than a saw kerf (common practice, no source). */
#define GW_PIN_LEAST (2 * GW_MM)

/* All of the below but gw_fit_gauges' errors and warnings, which gw_fit_make
 * has found already.  Does nothing when the parts have no places. */
gw_status gw_fit_review(const gw_model *model, const gw_fit *fit, gw_findings *findings);

/* Distances that the file asks for, each with what play and tolerances can make
 * of it:
 * - at worst: the least and the most it can be in any piece that goes together
 *   with every size inside its tolerance and every joint anywhere in its play;
 * - by root-sum-square: the nominal distance, plus or minus the root of the sum
 *   of the squares of the tolerances and half plays along the chain of parts
 *   and joints, from the one surface to the other, for which that root is
 *   smallest.  It presumes that they are independent, centred and normal.  It
 *   is never given wider than the worst case.
 * Errors `gauge-missed` (the nominal distance is outside) and warnings
 * `gauge-worst-case` (only the worst case is); with `notes`, instead of these,
 * a note `gauge` for each distance that is neither. */
gw_status gw_fit_gauges(const gw_model *model, const gw_fit *fit, gw_findings *findings,
                        bool notes);

/* What a gauge measures.  Where one of the two surfaces leans or is an end cut
 * aslant, that is at one height: midway up what both parts have in height, or
 * midway between them when one stands higher than the other. */
typedef struct gw_gauged {
  gw_len nominal, least, most; /* as placed; the worst case */
  gw_len rss;                  /* plus or minus */
  gw_len height;               /* above the lowest of the piece; GW_UNSET: at any */
} gw_gauged;
gw_status gw_fit_gauge(const gw_model *model, const gw_fit *fit, const gw_gauge *gauge,
                       gw_gauged *out);

/* Whether every choice of sizes inside the tolerances closes each fundamental
 * loop; what is decided, and what is not, stands in every.c.  Warnings
 * `loop-may-not-close`, the worst first, at most six. */
gw_status gw_fit_every(const gw_model *model, const gw_fit *fit, gw_findings *findings);

/* The seasons: `panel-binds` and `panel-falls-out` (warnings) of dry panels in
 * grooves; notes `cross-grain`, `unknown-wood` (once for each material that
 * matters) and `season-not-judged`. */
gw_status gw_fit_season(const gw_model *model, const gw_fit *fit, gw_findings *findings);

/* Thin walls beside mortises, thin laps, shoulders that are unlike, end grain
 * that nothing but glue holds (warnings `thin-wall`, `thin-lap`, `pins-too-thin`,
 * `shoulders-unlike`, `end-grain`, of mitres a note), and cuts that take each other's
 * wood (errors `joint-cut-away`); see weak.c. */
gw_status gw_fit_weak(const gw_model *model, const gw_fit *fit, gw_findings *findings);

#endif
