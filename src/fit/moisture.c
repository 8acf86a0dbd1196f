#include "fit/moisture.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

/* ---- moisture content ------------------------------------------------------- */

/* WH Eq. 4-5; t in degrees C, h from 0 to 1. */
static double content_of(double t, double h) {
  double w = 349 + 1.29 * t + 0.0135 * t * t;
  double k = 0.805 + 0.000736 * t - 0.00000273 * t * t;
  double k1 = 6.27 - 0.00938 * t - 0.000303 * t * t;
  double k2 = 1.91 + 0.0407 * t - 0.000293 * t * t;
  double kh = k * h;
  double once = k1 * kh, twice = k1 * k2 * kh * kh;
  return 1800 / w * (kh / (1 - kh) + (once + 2 * twice) / (1 + once + twice));
}

gw_moisture_verdict gw_moisture_content(int temperature_dc, int humidity_pc, double *content) {
  if (temperature_dc < GW_MOISTURE_COLDEST_DC || temperature_dc > GW_MOISTURE_WARMEST_DC ||
      humidity_pc < GW_MOISTURE_DRIEST_PC || humidity_pc > GW_MOISTURE_DAMPEST_PC)
    return GW_MOISTURE_NO_AIR;
  *content = content_of(temperature_dc / 10.0, humidity_pc / 100.0);
  return GW_MOISTURE_OK;
}

/* ---- woods ------------------------------------------------------------------- */

/* WH Table 13-5 (printed page 13-16).  The table's text as read breaks off
 * before yellow-poplar.  White fir's radial figure is read from the worked
 * example of WH ch. 13.  The last two rows are no woods: the largest figures of
 * each kind above. */
#define READ {GW_READ, GW_READ}
#define MEMORY {GW_FROM_MEMORY, GW_FROM_MEMORY}
#define LARGEST {GW_LARGEST_OF_TABLE, GW_LARGEST_OF_TABLE}
static const gw_wood WOODS[] = {
  /* name, also, softwood, {tangential, radial}, known, saturation */
  {"red oak", NULL, false, {369, 158}, READ, 30},
  {"white oak", NULL, false, {365, 180}, READ, 30},
  {"black cherry", "cherry", false, {248, 126}, READ, 30},
  {"black walnut", "walnut", false, {274, 190}, READ, 30},
  {"sugar maple", "hard maple", false, {353, 165}, READ, 30},
  {"red maple", NULL, false, {289, 137}, READ, 30},
  {"american beech", NULL, false, {431, 190}, READ, 30},
  {"white ash", NULL, false, {274, 169}, READ, 30},
  {"yellow birch", NULL, false, {338, 256}, READ, 30},
  {"red alder", NULL, false, {256, 151}, READ, 30},
  {"american basswood", "basswood", false, {330, 230}, READ, 30},
  {"yellow poplar", "tulipwood", false, {289, 158}, MEMORY, 30},
  {"eastern white pine", NULL, true, {212, 71}, MEMORY, 30},
  {"ponderosa pine", NULL, true, {216, 133}, MEMORY, 30},
  {"coast douglas fir", "douglas fir", true, {267, 165}, MEMORY, 30},
  {"white fir", NULL, true, {245, 112}, {GW_FROM_MEMORY, GW_READ}, 30},
  {"mahogany", NULL, false, {238, 172}, MEMORY, 22},
  {"teak", NULL, false, {186, 101}, MEMORY, 22},
  {"hardwood", NULL, false, {431, 256}, LARGEST, 30},
  {"softwood", NULL, true, {267, 165}, LARGEST, 30},
};
enum { N_WOODS = sizeof WOODS / sizeof *WOODS };

size_t gw_wood_count(void) { return N_WOODS; }

const gw_wood *gw_wood_at(size_t index) { return index < N_WOODS ? &WOODS[index] : NULL; }

static char plain(char sign) {
  return sign == '-' ? ' ' : (char)tolower((unsigned char)sign);
}

static bool same_name(const char *a, const char *b) {
  for (; *a != '\0' && *b != '\0'; a++, b++)
    if (plain(*a) != plain(*b)) return false;
  return *a == *b;
}

const gw_wood *gw_wood_find(const char *name) {
  for (size_t i = 0; i < N_WOODS; i++) {
    if (same_name(name, WOODS[i].name)) return &WOODS[i];
    if (WOODS[i].also != NULL && same_name(name, WOODS[i].also)) return &WOODS[i];
  }
  return NULL;
}

const char *gw_wood_nearest(const char *name) {
  const char *names[2 * N_WOODS];
  size_t n = 0;
  for (size_t i = 0; i < N_WOODS; i++) {
    names[n++] = WOODS[i].name;
    if (WOODS[i].also != NULL) names[n++] = WOODS[i].also;
  }
  int at = gw_nearest(name, names, n);
  return at < 0 ? NULL : names[at];
}

const char *gw_wood_source(const gw_wood *wood, gw_grain grain) {
  switch (wood->known[grain]) {
    case GW_READ: return "Wood Handbook FPL-GTR-190 (2010), ch. 13";
    case GW_FROM_MEMORY: return "Wood Handbook FPL-GTR-190 (2010), Table 13-5, from memory";
    case GW_LARGEST_OF_TABLE:
      return "the largest figure listed for woods of this kind; common practice, no source";
  }
  return "";
}

/* ---- movement ------------------------------------------------------------------ */

enum { NARROW_LOW = 6, NARROW_HIGH = 14 }; /* percent: where Eq. 13-2 holds */

static bool narrow(double content) { return content >= NARROW_LOW && content <= NARROW_HIGH; }

gw_moisture_verdict gw_moisture_move(gw_len width, const gw_wood *wood, gw_grain grain,
                                     double from, double to, gw_len *change) {
  if (width < 0 || width > GW_LEN_MAX) return GW_MOISTURE_NO_WIDTH;
  /* Written so that a value that is no number is refused too. */
  if (!(from >= 0 && from <= wood->saturation_pc && to >= 0 && to <= wood->saturation_pc))
    return GW_MOISTURE_NO_CONTENT;
  double c = wood->coefficient[grain] / 100000.0;
  bool near = narrow(from) && narrow(to);
  double part = near ? c * (to - from) : (to - from) / (1 / c - 10 + from);
  *change = (gw_len)llround((double)width * part);
  return near ? GW_MOISTURE_OK : GW_MOISTURE_WIDE;
}

gw_moisture_verdict gw_moisture_change(gw_len width, const char *wood, gw_grain grain,
                                       int from_humidity_pc, int to_humidity_pc,
                                       int temperature_dc, gw_len *change) {
  const gw_wood *row = gw_wood_find(wood);
  if (row == NULL) return GW_MOISTURE_NO_WOOD;
  double from, to;
  gw_moisture_verdict verdict = gw_moisture_content(temperature_dc, from_humidity_pc, &from);
  if (verdict != GW_MOISTURE_OK) return verdict;
  verdict = gw_moisture_content(temperature_dc, to_humidity_pc, &to);
  if (verdict != GW_MOISTURE_OK) return verdict;
  return gw_moisture_move(width, row, grain, from, to, change);
}
