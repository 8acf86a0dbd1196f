/* markout_inner.h - what the files markout*.c share. */
#ifndef GW_SHEETS_MARKOUT_INNER_H
#define GW_SHEETS_MARKOUT_INNER_H

#include "sheets/sheets.h"
#include "sheets/table.h"

/* ---- settings (markout_list.c) -------------------------------------------------- */

#define GW_HARD_SPACE "\xC2\xA0"

typedef enum gw_tool {
  GW_TOOL_LEAN,    /* hundredths of a degree out of square, for parts that lean: planed and
                    * sawn before all else is struck */
  GW_TOOL_GAUGE,   /* one pin; a is its distance from the stock */
  GW_TOOL_MORTISE, /* two pins, a apart, the nearer b from the stock */
  GW_TOOL_PLOUGH,  /* iron a wide, fence b away, depth stop at c */
  GW_TOOL_DEPTH,   /* a deep, by another tool */
  GW_TOOL_BEVEL,   /* 1 : a / 100; 0 for half a right angle */
  GW_TOOL_RULE,    /* rule or story stick: a and, when b is not a, to b */
  GW_TOOLS
} gw_tool;

/* One setting used on one half of a joint. */
typedef struct gw_strike {
  gw_tool tool;
  gw_len a, b, c;
  int part, joint;       /* joint: -1 when it is the part's own */
  int part_at, joint_at; /* their places in the two walks */
  const char *words;     /* what is struck, on which face */
  const char *from;      /* from which side; "" when there is none */
  const char *link;      /* "from", or "at"; static */
} gw_strike;

typedef struct gw_strikes {
  gw_strike *items;
  size_t count, room;
  gw_arena *arena; /* of the words; not owned */
} gw_strikes;

/* All strikes of the piece, those of one setting side by side: by tool, then
 * by value, then in the walk round the piece.  The caller frees items. */
gw_status gw_strikes_make(const gw_sheets_job *job, gw_arena *arena, gw_strikes *out);
/* "the face side", "the left end"; what lies opposite to face side and face edge is
 * called the far side and the far edge. */
const char *gw_surface_words(const gw_part *part, gw_dir dir, char *buffer, size_t size);
/* "both faces", "both edges" or "both ends": the surfaces square to an axis. */
const char *gw_sides_words(const gw_part *part, int axis);
/* "left", "right", "front", "back", "lower", "upper". */
const char *gw_side_word(gw_dir dir);
/* From which side a drawing is seen: the same, but "underside" and "top". */
const char *gw_seen_word(gw_dir side);

/* A length as it is measured on the wood, from that as it stands: along a part that
 * leans, and square to its sides. */
gw_len gw_on_wood(const gw_part *part, const gw_half *half, int axis, gw_len stands);

/* Adds the angles of what leans (markout_lean.c). */
gw_status gw_strikes_lean(const gw_sheets_job *job, const int *part_at, gw_strikes *out);
bool gw_strikes_same_setting(const gw_strike *a, const gw_strike *b);
/* What to set, such as "Mortise gauge: pins 6 mm apart, the nearer 10 mm from
 * the stock". */
char *gw_strike_setting(const gw_sheets_job *job, const gw_strike *strike, char *buffer,
                        size_t size);

/* "1:8 = 7.13 degrees"; the angle is atan(1 / n).  `slope` in hundredths. */
char *gw_slope_words(int slope, char *buffer, size_t size);
/* A length as a gauge is set: to a tenth of a millimetre or the 64th of an
 * inch; without and with its unit. */
char *gw_figure_words(const gw_sheets_job *job, gw_len length, char *buffer, size_t size);
char *gw_length_words(const gw_sheets_job *job, gw_len length, char *buffer, size_t size);

/* ---- layouts (markout_draw.c) ---------------------------------------------------- */

#define GW_LAYOUTS_RULER 15.0 /* the line of 100 mm with what is round it, mm */
#define GW_LAYOUTS_HEAD 26.0  /* with a heading */
/* Names the joints that need no layout (`list` tells which have settings), then draws each different layout once,
 * at full scale, on pages that begin with `head`: in order, but a small one before its
 * turn where a tall one would leave a page half empty.  flow->data is a bool: true
 * while the layouts have not begun. */
gw_status gw_layouts_draw(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list,
                          gw_flow_head_fn *head);

/* The heading over the layout of some joints, and `follows` mm under it. */
void gw_layout_heading(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                       double follows);
/* Height of the words under it, in type of GW_LAYOUT_WORDS points. */
double gw_layout_words_height(gw_flow *flow, const char *words);
#define GW_LAYOUT_WORDS 10
/* Lines where a drawing is broken off. */
void gw_layout_torn_across(gw_flow *flow, double x1, double x2, double y);
void gw_layout_torn_down(gw_flow *flow, double x, double y1, double y2);

/* ---- sections (markout_section.c) ------------------------------------------------ */

/* Whether a joint is drawn cut through: grooves, housings, rebates, halvings,
 * bridles, mitres. */
bool gw_section_has(const gw_sheets_job *job, int joint);
/* Whether the sections of two joints are one drawing. */
bool gw_section_alike(const gw_sheets_job *job, int a, int b);
/* What a section takes under its heading, mm. */
double gw_section_height(gw_flow *flow, const gw_sheets_job *job, int joint);
void gw_section_draw(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count);

/* "joint 5", "joints 5 and 8", "joints 1, 5 and 8". */
const char *gw_joints_words(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count);

#endif
