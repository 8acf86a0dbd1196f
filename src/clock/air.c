#include "clock/air.h"

#include <limits.h>
#include <math.h>

/* ---- physics ------------------------------------------------------------------ */

/* WMO-No. 8 (2008), Annex 4.B. */
#define MAGNUS_KPA 0.6112
#define MAGNUS_FACTOR 17.62
#define MAGNUS_CELSIUS 243.12

double gw_air_saturation(double celsius) {
  if (!(celsius >= -45 && celsius <= 60)) return NAN;
  return MAGNUS_KPA * exp(MAGNUS_FACTOR * celsius / (MAGNUS_CELSIUS + celsius));
}

double gw_air_deficit(double celsius, double humidity) {
  if (!(humidity >= 0 && humidity <= 1)) return NAN;
  return (1 - humidity) * gw_air_saturation(celsius);
}

double gw_air_dew_point(double celsius, double humidity) {
  if (!(humidity > 0 && humidity <= 1)) return NAN;
  double exponent = log(humidity * gw_air_saturation(celsius) / MAGNUS_KPA);
  return MAGNUS_CELSIUS * exponent / (MAGNUS_FACTOR - exponent);
}

/* ---- the model ------------------------------------------------------------------ */

static const double GLUE_CELSIUS = 60, GEL_CELSIUS = 35; /* hot glue; from memory */

const char *gw_air_words(gw_air_verdict verdict) {
  switch (verdict) {
    case GW_AIR_OK: return "open time moved by the air of the shop";
    case GW_AIR_CUT_OFF: return "open time lengthened by half, the most that is allowed for";
    case GW_AIR_TOO_COLD: return "colder than 5 degrees C: no figure for open time";
    case GW_AIR_TOO_WARM: return "warmer than 35 degrees C: no figure for open time";
    case GW_AIR_TOO_DRY: return "drier than 20 percent: no figure for open time";
    case GW_AIR_TOO_DAMP: return "damper than 90 percent: no figure for open time";
  }
  return "";
}

static gw_air_verdict range_of(gw_glue_family family, int temperature_dc, int humidity_pc) {
  if (temperature_dc < GW_AIR_COLDEST_DC) return GW_AIR_TOO_COLD;
  if (temperature_dc > GW_AIR_WARMEST_DC) return GW_AIR_TOO_WARM;
  if (family == GW_REACTING) return GW_AIR_OK;
  if (humidity_pc < GW_AIR_DRIEST_PC) return GW_AIR_TOO_DRY;
  if (humidity_pc > GW_AIR_DAMPEST_PC) return GW_AIR_TOO_DAMP;
  return GW_AIR_OK;
}

/* Water-borne: the reference air's deficit over this air's. */
static double drying(double celsius, double humidity) {
  return gw_air_deficit(GW_AIR_REFERENCE_DC / 10.0, GW_AIR_REFERENCE_PC / 100.0) /
         gw_air_deficit(celsius, humidity);
}

static double reaction(double celsius) {
  return exp2((GW_AIR_REFERENCE_DC / 10.0 - celsius) / 10);
}

/* Seconds to the gel, in units of the cooling's own time; air as warm as the
 * gel never gets there (and the logarithm has no value). */
static double cooling(double celsius) {
  if (celsius >= GEL_CELSIUS) return INFINITY;
  return log((GLUE_CELSIUS - celsius) / (GEL_CELSIUS - celsius));
}

static double open_factor(gw_glue_family family, double celsius, double humidity) {
  switch (family) {
    case GW_WATER_BORNE: return drying(celsius, humidity);
    case GW_REACTING: return reaction(celsius);
    case GW_GELLING: break;
  }
  double gel = cooling(celsius) / cooling(GW_AIR_REFERENCE_DC / 10.0);
  return fmin(gel, drying(celsius, humidity));
}

gw_air_verdict gw_air_effect_on(gw_glue_family family, int temperature_dc, int humidity_pc,
                                gw_air_effect *effect) {
  *effect = (gw_air_effect){GW_AIR_SAME_PM, GW_AIR_SAME_PM};
  gw_air_verdict verdict = range_of(family, temperature_dc, humidity_pc);
  if (verdict != GW_AIR_OK) return verdict;
  double factor = open_factor(family, temperature_dc / 10.0, humidity_pc / 100.0);
  double open = fmin(factor, GW_AIR_OPEN_MOST_PM / 1000.0);
  double clamp = fmax(1, family == GW_REACTING ? factor : open);
  effect->open_pm = (int)floor(open * 1000);
  effect->clamp_pm = (int)ceil(clamp * 1000);
  return factor > open ? GW_AIR_CUT_OFF : GW_AIR_OK;
}

static int capped(int64_t seconds) { return seconds > INT_MAX ? INT_MAX : (int)seconds; }

int gw_air_open_time(int seconds, gw_air_effect effect) {
  return capped((int64_t)seconds * effect.open_pm / 1000);
}

int gw_air_clamp_time(int seconds, gw_air_effect effect) {
  return capped(((int64_t)seconds * effect.clamp_pm + 999) / 1000);
}

bool gw_air_warm_enough(int temperature_dc, int lowest_dc) { return temperature_dc >= lowest_dc; }
