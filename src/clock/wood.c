/* Whether the wood is fit to be glued: wood that has long stood in the shop's
 * air has its equilibrium moisture content. */
#include "clock/inside.h"
#include "fit/moisture.h"

/* Percent.  EN 204, class D1 (interior): wood at most 15 % damp (as quoted);
 * Wood Handbook FPL-GTR-190 ch. 10: 5 to 12 % is typical indoors. */
static const double DAMPEST = 15, DRIEST = 5;

gw_status gw_clock_wood(gw_planning *p) {
  const gw_shop *shop = &p->m->shop;
  double content;
  bool glued = false;
  for (int i = 0; i < p->m->n_joints; ++i) glued = glued || p->m->joints[i].glued;
  if (!glued ||
      gw_moisture_content(shop->temperature_dc, shop->humidity_pc, &content) != GW_MOISTURE_OK)
    return GW_OK;
  int line = shop->line > 0 ? shop->line : p->m->line;
  if (content > DAMPEST)
    return gw_find(p->findings, GW_WARNING, "wood-too-damp", line,
                   "wood left in this air (%g \xC2\xB0"
                   "C, %d %%) comes to %.1f %% of moisture, and for "
                   "gluing indoor work it should have at most %g %% (EN 204, D1); let it dry in a "
                   "heated room first",
                   shop->temperature_dc / 10.0, shop->humidity_pc, content, DAMPEST);
  if (content < DRIEST)
    return gw_find(p->findings, GW_WARNING, "wood-too-dry", line,
                   "wood left in this air (%g \xC2\xB0"
                   "C, %d %%) comes to %.1f %% of moisture, and %g to "
                   "12 %% is usual indoors (Wood Handbook ch. 10): it will swell later, and it "
                   "drinks the glue; damp the air",
                   shop->temperature_dc / 10.0, shop->humidity_pc, content, DRIEST);
  return GW_OK;
}
