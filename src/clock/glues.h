/* glues.h - generic kinds of glue and their typical figures.
 *
 * A project names its glue and gives the figures of the bottle's label; where
 * it gives none, the figures here stand in.  No brand is meant.  They are for
 * 20 degrees C and 50 percent relative humidity (see air.h).  Nearly all are
 * common practice without a source, and every sheet that uses one prints
 * GW_GLUE_TYPICAL beside it.
 *
 * Units: times in seconds, temperature in tenths of a degree C (dc), spread in
 * grams per square metre of glue line, pressure in kilopascals.
 *
 * The table is constant; nothing here allocates or keeps state. */
#ifndef GW_GLUES_H
#define GW_GLUES_H

#include "base/base.h"

#define GW_GLUE_TYPICAL "typical value; the label on the bottle wins"

/* What ends the open time, and so how the air moves it. */
typedef enum gw_glue_family {
  GW_WATER_BORNE, /* water leaves into the air and the wood */
  GW_REACTING,    /* a chemical reaction, faster when warm */
  GW_GELLING      /* gels by cooling */
} gw_glue_family;

/* A figure and where it comes from (static storage, never NULL). */
typedef struct gw_glue_figure {
  int value;
  const char *source;
} gw_glue_figure;

typedef struct gw_glue_kind {
  const char *name;       /* as in the project file: "pva" */
  const char *words;      /* for sheets: "white or yellow wood glue (PVA)" */
  gw_glue_family family;
  gw_glue_figure open_s;    /* start of spreading to faces together */
  gw_glue_figure closed_s;  /* faces together to full pressure */
  gw_glue_figure clamp_s;   /* full pressure to clamps off */
  gw_glue_figure cure_s;    /* to full strength, from full pressure */
  gw_glue_figure pot_s;     /* mixed or melted to unusable; 0: it has none */
  gw_glue_figure lowest_dc; /* coldest air, wood and glue it may be used in */
  gw_glue_figure spread_gm2; /* in all, on one face or shared between both */
  gw_glue_figure pressure_low_kpa;  /* least, on low-density wood; 0: contact */
  gw_glue_figure pressure_high_kpa; /* least, on high-density wood; 0: contact */
  gw_glue_figure faces;   /* 1: one face of the two is enough; 2: both */
  const char *cautions;   /* sentences for the glue-up sheet */
} gw_glue_kind;

size_t gw_glue_kind_count(void);
/* NULL when there is no such row. */
const gw_glue_kind *gw_glue_kind_at(size_t index);

/* The kind of that exact name, or NULL. */
const gw_glue_kind *gw_glue_kind_find(const char *name);

/* The kind's name that `name` may be a misspelling of, or NULL. */
const char *gw_glue_kind_nearest(const char *name);

#endif
