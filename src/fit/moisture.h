/* moisture.h - how much wood moves with the damp of the air.
 *
 * WH below is Forest Products Laboratory, Wood Handbook - Wood as an
 * Engineering Material, FPL-GTR-190 (2010), US Forest Service.  "From memory"
 * means that the figure could not be read in a copy of it.
 *
 * Units: temperature in tenths of a degree C (dc), relative humidity in percent
 * (pc), moisture content in percent of the dry weight, lengths as gw_len.
 *
 * Nothing is extrapolated.  Beyond a limit a function answers with a verdict
 * and no figure.  The moisture figures are of use to a maker, not to physics:
 * FPL-GTR-229 (Glass, Zelinka, Johnson 2014) finds the data behind them
 * practical, but unfit for thermodynamics.
 *
 * No function here allocates or keeps state; woods are static. */
#ifndef GW_MOISTURE_H
#define GW_MOISTURE_H

#include "base/base.h"

/* The table behind the equation starts at 30 degrees F and its rows were
 * compared up to 140 degrees F and from 5 to 95 percent. */
#define GW_MOISTURE_COLDEST_DC (-11)
#define GW_MOISTURE_WARMEST_DC 600
#define GW_MOISTURE_DRIEST_PC 5
#define GW_MOISTURE_DAMPEST_PC 95

typedef enum gw_moisture_verdict {
  GW_MOISTURE_OK = 0,
  GW_MOISTURE_WIDE,         /* a figure, but by Eq. 13-3: outside 6 to 14 percent */
  GW_MOISTURE_NO_AIR,       /* no figure: temperature or humidity outside the table */
  GW_MOISTURE_NO_CONTENT,   /* no figure: moisture content outside 0 to 30 (or 22) percent */
  GW_MOISTURE_NO_WOOD,      /* no figure: the wood is not in the table */
  GW_MOISTURE_NO_WIDTH      /* no figure: the width is under 0 or over GW_LEN_MAX */
} gw_moisture_verdict;

/* Equilibrium moisture content of wood left long in such air, in percent, into
 * *content: WH Eq. 4-5 (Simpson, FPL-RN-0268, 1998), any species.  GW_MOISTURE_OK
 * or GW_MOISTURE_NO_AIR; then *content is left alone. */
gw_moisture_verdict gw_moisture_content(int temperature_dc, int humidity_pc, double *content);

/* ---- woods ---------------------------------------------------------------- */

typedef enum gw_grain {
  GW_TANGENTIAL, /* flat sawn: along the rings */
  GW_RADIAL      /* quarter sawn: across the rings */
} gw_grain;

/* How well a figure stands. */
typedef enum gw_known { GW_READ, GW_FROM_MEMORY, GW_LARGEST_OF_TABLE } gw_known;

/* Part of the width at 10 percent by which it changes for each percent of
 * moisture, in hundred-thousandths (WH Table 13-5: 0.00369 is 369). */
typedef struct gw_wood {
  const char *name;     /* small letters: "red oak" */
  const char *also;     /* a second name of the same wood, or NULL */
  bool softwood;
  int coefficient[2];   /* by gw_grain */
  gw_known known[2];    /* by gw_grain */
  int saturation_pc;    /* the moisture content above which it does not move */
} gw_wood;

size_t gw_wood_count(void);
const gw_wood *gw_wood_at(size_t index);

/* A wood by name; capitals count as small letters, hyphens as spaces.  NULL
 * when it is not in the table: there is no silent stand-in.  The maker may name
 * "hardwood" or "softwood" instead, which are the largest figures of the woods of
 * that kind in the table, so that room made by them is rather too large; other
 * woods may move more still. */
const gw_wood *gw_wood_find(const char *name);

/* The table's name that `name` may be a misspelling of, or NULL. */
const char *gw_wood_nearest(const char *name);

/* Where a figure comes from, for a sheet: static storage. */
const char *gw_wood_source(const gw_wood *wood, gw_grain grain);

/* ---- movement -------------------------------------------------------------- */

/* The change in width, across the grain, when moisture content goes `from` ..
 * `to` percent, into *change: positive when the wood grows.  `width` is the
 * width at `from`.  Within 6 to 14 percent by WH Eq. 13-2,
 *     change = width * C * (to - from),
 * otherwise (GW_MOISTURE_WIDE) by Eq. 13-3, from memory,
 *     change = width * (to - from) / (100 f / S - f + from),
 * f the moisture content where movement ends and S the shrinkage from there to
 * dry; with C = S / (f (100 - S (f - 10) / f)), the relation by which the
 * table's C belong to their S, the divisor is 1 / C - 10 + from, so that no
 * shrinkage need be known.  Neither content may be over f (30, or 22 for
 * mahogany and teak).  *change is left alone when there is no figure. */
gw_moisture_verdict gw_moisture_move(gw_len width, const gw_wood *wood, gw_grain grain,
                                     double from, double to, gw_len *change);

/* The same when the air goes from one humidity to another at one temperature
 * and the wood has had time to follow.  `wood` is a name. */
gw_moisture_verdict gw_moisture_change(gw_len width, const char *wood, gw_grain grain,
                                       int from_humidity_pc, int to_humidity_pc,
                                       int temperature_dc, gw_len *change);

#endif
