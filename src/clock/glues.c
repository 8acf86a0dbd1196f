#include "clock/glues.h"

#include <string.h>

/* Where the figures come from.  No published minutes of open or closed assembly
 * time were found for any kind. */
#define TYPICAL "typical value, common practice, no source: the label on the bottle wins"
#define NO_POT "comes ready to use, common practice, no source"
#define SPREAD_PVA "about 150 to 250 g/m2, from memory, no source: the label on the bottle wins"
#define SOFT "100 psi, lower end of 100 to 150 psi for softwoods, WOOD magazine, September 2021"
#define HARD "175 psi, lower end of 175 to 250 psi for hardwoods, WOOD magazine, September 2021"
#define RESORCINOL_SOFT                                                                \
  "125 psi, lower end of 125 to 150 psi for softwoods, FAA AC 43.13-1B (1998) para 1-10"
#define RESORCINOL_HARD                                                                \
  "150 psi, lower end of 150 to 200 psi for hardwoods, FAA AC 43.13-1B (1998) para 1-10"
#define CONTACT                                                                        \
  "no figure published: some epoxies need much lower pressure than resorcinol, FAA AC " \
  "43.13-1B (1998) para 1-10"
#define BOTH_FACES "both mating surfaces, thin and even, FAA AC 43.13-1B (1998) para 1-7"

enum { MINUTE = 60, HOUR = 3600 };

/* 1 psi is 6.894757 kPa. */
#define SHOP_PRESSURE .pressure_low_kpa = {689, SOFT}, .pressure_high_kpa = {1207, HARD}
#define CONTACT_PRESSURE .pressure_low_kpa = {0, CONTACT}, .pressure_high_kpa = {0, CONTACT}

#define WEAR "Wear gloves and eye protection."
#define EPOXY_CAUTIONS                                                                 \
  WEAR " Air the room: resin and hardener can bring on a lasting allergy. A full pot " \
  "heats itself: mix little, spread it out. Do not sand it before it has cured."

static const gw_glue_kind KINDS[] = {
  {.name = "pva", .words = "white or yellow wood glue (PVA)", .family = GW_WATER_BORNE,
   .open_s = {6 * MINUTE, TYPICAL}, .closed_s = {5 * MINUTE, TYPICAL},
   .clamp_s = {40 * MINUTE, TYPICAL}, .cure_s = {24 * HOUR, TYPICAL}, .pot_s = {0, NO_POT},
   .lowest_dc = {100, TYPICAL}, .spread_gm2 = {180, SPREAD_PVA}, SHOP_PRESSURE,
   .faces = {1, TYPICAL},
   .cautions = "Keep the glue out of the eyes. Wipe squeezed-out glue off at once."},
  {.name = "cross-linking-pva", .words = "water-resistant wood glue (cross-linking PVA)",
   .family = GW_WATER_BORNE,
   .open_s = {5 * MINUTE, TYPICAL}, .closed_s = {5 * MINUTE, TYPICAL},
   .clamp_s = {60 * MINUTE, TYPICAL}, .cure_s = {24 * HOUR, TYPICAL}, .pot_s = {0, NO_POT},
   .lowest_dc = {130, TYPICAL}, .spread_gm2 = {180, SPREAD_PVA}, SHOP_PRESSURE,
   .faces = {1, TYPICAL},
   .cautions = "Keep the glue off the skin and out of the eyes. Air the room."},
  {.name = "slow-pva", .words = "slow-setting wood glue (PVA)", .family = GW_WATER_BORNE,
   .open_s = {12 * MINUTE, TYPICAL}, .closed_s = {8 * MINUTE, TYPICAL},
   .clamp_s = {60 * MINUTE, TYPICAL}, .cure_s = {24 * HOUR, TYPICAL}, .pot_s = {0, NO_POT},
   .lowest_dc = {100, TYPICAL}, .spread_gm2 = {180, SPREAD_PVA}, SHOP_PRESSURE,
   .faces = {1, TYPICAL},
   .cautions = "Keep the glue out of the eyes. Wipe squeezed-out glue off at once."},
  {.name = "hot-hide", .words = "hot hide glue", .family = GW_GELLING,
   .open_s = {1 * MINUTE, TYPICAL}, .closed_s = {1 * MINUTE, TYPICAL},
   .clamp_s = {6 * HOUR, TYPICAL}, .cure_s = {24 * HOUR, TYPICAL},
   .pot_s = {4 * HOUR, TYPICAL}, .lowest_dc = {180, TYPICAL}, .spread_gm2 = {200, TYPICAL},
   SHOP_PRESSURE, .faces = {2, BOTH_FACES},
   .cautions = "The pot, the brush and the glue scald: gloves and eye protection at the pot. "
               "Warm the parts; keep draughts off. Never boil it."},
  {.name = "liquid-hide", .words = "liquid hide glue", .family = GW_WATER_BORNE,
   .open_s = {10 * MINUTE, TYPICAL}, .closed_s = {10 * MINUTE, TYPICAL},
   .clamp_s = {6 * HOUR, TYPICAL}, .cure_s = {24 * HOUR, TYPICAL}, .pot_s = {0, NO_POT},
   .lowest_dc = {100, TYPICAL}, .spread_gm2 = {200, TYPICAL}, SHOP_PRESSURE,
   .faces = {2, BOTH_FACES},
   .cautions = "Look at the date on the bottle: old liquid hide glue does not set. Keep the "
               "glue out of the eyes."},
  {.name = "urea-formaldehyde", .words = "urea-formaldehyde resin glue", .family = GW_REACTING,
   .open_s = {10 * MINUTE, TYPICAL}, .closed_s = {10 * MINUTE, TYPICAL},
   .clamp_s = {12 * HOUR, TYPICAL}, .cure_s = {48 * HOUR, TYPICAL},
   .pot_s = {2 * HOUR, TYPICAL}, .lowest_dc = {180, TYPICAL}, .spread_gm2 = {200, TYPICAL},
   SHOP_PRESSURE, .faces = {2, BOTH_FACES},
   .cautions = WEAR " A dust mask while mixing the powder. It gives off formaldehyde: air the "
               "room while it is mixed, spread and cured. Its edges cut: scrape, do not wipe by "
               "hand."},
  {.name = "resorcinol", .words = "resorcinol resin glue", .family = GW_REACTING,
   .open_s = {10 * MINUTE, TYPICAL}, .closed_s = {20 * MINUTE, TYPICAL},
   .clamp_s = {12 * HOUR, TYPICAL}, .cure_s = {72 * HOUR, TYPICAL},
   .pot_s = {2 * HOUR, TYPICAL}, .lowest_dc = {210, TYPICAL}, .spread_gm2 = {250, TYPICAL},
   .pressure_low_kpa = {862, RESORCINOL_SOFT}, .pressure_high_kpa = {1034, RESORCINOL_HARD},
   .faces = {2, BOTH_FACES},
   .cautions = WEAR " A dust mask while mixing the powder. It gives off formaldehyde: air the "
               "room while it is mixed, spread and cured. Its dark red stains do not come out: "
               "cover bench and clothes."},
  {.name = "polyurethane", .words = "polyurethane glue", .family = GW_REACTING,
   .open_s = {15 * MINUTE, TYPICAL}, .closed_s = {10 * MINUTE, TYPICAL},
   .clamp_s = {4 * HOUR, TYPICAL}, .cure_s = {24 * HOUR, TYPICAL}, .pot_s = {0, NO_POT},
   .lowest_dc = {100, TYPICAL}, .spread_gm2 = {150, TYPICAL}, SHOP_PRESSURE,
   .faces = {1, TYPICAL},
   .cautions = WEAR " It holds isocyanates: air the room, and keep away if you have asthma. "
               "Dampen the face without glue. It foams: mask the faces beside the joint."},
  {.name = "epoxy-quick", .words = "quick epoxy (about 5 minutes in the pot)",
   .family = GW_REACTING,
   .open_s = {4 * MINUTE, TYPICAL}, .closed_s = {1 * MINUTE, TYPICAL},
   .clamp_s = {1 * HOUR, TYPICAL}, .cure_s = {24 * HOUR, TYPICAL},
   .pot_s = {5 * MINUTE, TYPICAL}, .lowest_dc = {150, TYPICAL}, .spread_gm2 = {250, TYPICAL},
   CONTACT_PRESSURE, .faces = {2, BOTH_FACES}, .cautions = EPOXY_CAUTIONS},
  {.name = "epoxy-medium", .words = "medium epoxy (about 30 minutes in the pot)",
   .family = GW_REACTING,
   .open_s = {25 * MINUTE, TYPICAL}, .closed_s = {5 * MINUTE, TYPICAL},
   .clamp_s = {8 * HOUR, TYPICAL}, .cure_s = {48 * HOUR, TYPICAL},
   .pot_s = {30 * MINUTE, TYPICAL}, .lowest_dc = {150, TYPICAL}, .spread_gm2 = {250, TYPICAL},
   CONTACT_PRESSURE, .faces = {2, BOTH_FACES}, .cautions = EPOXY_CAUTIONS},
  {.name = "epoxy-slow", .words = "slow epoxy (about 90 minutes in the pot)",
   .family = GW_REACTING,
   .open_s = {75 * MINUTE, TYPICAL}, .closed_s = {15 * MINUTE, TYPICAL},
   .clamp_s = {24 * HOUR, TYPICAL}, .cure_s = {72 * HOUR, TYPICAL},
   .pot_s = {90 * MINUTE, TYPICAL}, .lowest_dc = {150, TYPICAL}, .spread_gm2 = {250, TYPICAL},
   CONTACT_PRESSURE, .faces = {2, BOTH_FACES}, .cautions = EPOXY_CAUTIONS},
};
enum { N_KINDS = sizeof KINDS / sizeof *KINDS };

size_t gw_glue_kind_count(void) { return N_KINDS; }

const gw_glue_kind *gw_glue_kind_at(size_t index) {
  return index < N_KINDS ? &KINDS[index] : NULL;
}

const gw_glue_kind *gw_glue_kind_find(const char *name) {
  for (size_t i = 0; i < N_KINDS; i++)
    if (strcmp(name, KINDS[i].name) == 0) return &KINDS[i];
  return NULL;
}

const char *gw_glue_kind_nearest(const char *name) {
  const char *names[N_KINDS];
  for (size_t i = 0; i < N_KINDS; i++) names[i] = KINDS[i].name;
  int at = gw_nearest(name, names, N_KINDS);
  return at < 0 ? NULL : names[at];
}
