/* air.h - how the air of the shop moves a glue's times.
 *
 * Units: temperature in tenths of a degree C (dc), relative humidity in percent
 * (pc), vapour pressure in kilopascals, factors in thousandths (pm), so that
 * schedules stay integers.
 *
 * The figures of a glue are taken to hold for 20 degrees C and 50 percent (the
 * reference air), where every factor is 1000.  How they move is this project's
 * own model, built from published vapour pressures and rules of the shop; it is
 * no measurement of any glue, and a sheet that uses it says so:
 *
 * water-borne  Open time is inversely proportional to the vapour pressure
 *              deficit of the air: (1 - RH) * saturation pressure.  Water also
 *              leaves into the wood (Wood Handbook FPL-GTR-190 ch. 10), which
 *              damp air does not slow, so the gain is cut off at
 *              GW_AIR_OPEN_MOST_PM; a loss is not cut off.
 * reacting     A reaction is twice as fast when 10 degrees warmer (van 't Hoff's
 *              rule, from memory): open time * 2 ^ ((20 - T) / 10), cut off
 *              likewise.  Humidity plays no part, so it is not looked at.  (Dry
 *              air slows polyurethane, which the maker answers by damping one
 *              face.)
 * gelling      Glue spread at 60 degrees cools towards the air and gels at 35
 *              (both from memory, common practice) by Newton's law of cooling:
 *              open time as ln((60 - T) / (35 - T)).  It dries as it cools, so
 *              the water-borne factor counts too when it is the smaller.
 *
 * Clamp time is never shortened.  It is lengthened as open time is, and for
 * reacting glues without the cut-off, since there the rule works against the
 * maker.
 *
 * Outside 5 to 35 degrees C, and for glues that humidity moves outside 20 to 90
 * percent, nothing is extrapolated: a verdict says so. */
#ifndef GW_AIR_H
#define GW_AIR_H

#include "base/base.h"
#include "clock/glues.h"

#define GW_AIR_REFERENCE_DC 200
#define GW_AIR_REFERENCE_PC 50
#define GW_AIR_COLDEST_DC 50
#define GW_AIR_WARMEST_DC 350
#define GW_AIR_DRIEST_PC 20
#define GW_AIR_DAMPEST_PC 90
#define GW_AIR_SAME_PM 1000
#define GW_AIR_OPEN_MOST_PM 1500 /* open time is lengthened by half at most */

typedef enum gw_air_verdict {
  GW_AIR_OK = 0,
  GW_AIR_CUT_OFF,  /* the model gives more open time than is allowed for */
  GW_AIR_TOO_COLD, /* below the model's range */
  GW_AIR_TOO_WARM,
  GW_AIR_TOO_DRY,
  GW_AIR_TOO_DAMP
} gw_air_verdict;

/* Whether the verdict is "outside the model's range". */
static inline bool gw_air_outside(gw_air_verdict verdict) { return verdict >= GW_AIR_TOO_COLD; }

/* Words for a sheet or a finding; static storage. */
const char *gw_air_words(gw_air_verdict verdict);

typedef struct gw_air_effect {
  int open_pm;  /* for open and closed times, and pot time unless the pot is heated */
  int clamp_pm; /* for clamp and cure times; 1000 or more */
} gw_air_effect;

/* The effect of such air on a glue of this family, into *effect.  Outside the
 * range both factors are 1000, the glue's own figures, and the caller must pass
 * the verdict on. */
gw_air_verdict gw_air_effect_on(gw_glue_family family, int temperature_dc, int humidity_pc,
                                gw_air_effect *effect);

/* A time in seconds (not negative) by a factor: an open time is rounded down, a
 * clamp time up.  Capped at INT_MAX. */
int gw_air_open_time(int seconds, gw_air_effect effect);
int gw_air_clamp_time(int seconds, gw_air_effect effect);

/* Whether it is warm enough for a glue whose lowest temperature is lowest_dc;
 * the wood and the glue must be as warm as the air. */
bool gw_air_warm_enough(int temperature_dc, int lowest_dc);

/* ---- physics ------------------------------------------------------------------ */

/* Saturation vapour pressure over water in kPa, at `celsius` degrees C:
 * 0.6112 exp(17.62 T / (243.12 + T)), WMO-No. 8 (2008), Annex 4.B, which gives
 * it for -45 to 60 degrees (the range from memory).  NAN outside. */
double gw_air_saturation(double celsius);

/* What the air still lacks to saturation, in kPa; `humidity` from 0 to 1.
 * NAN when either is out of range. */
double gw_air_deficit(double celsius, double humidity);

/* The temperature in degrees C of a surface on which such air begins to leave
 * dew (the inverse of the same formula): wood colder than this gets wet.  NAN
 * when celsius is out of range or humidity is not within (0, 1]. */
double gw_air_dew_point(double celsius, double humidity);

#endif
