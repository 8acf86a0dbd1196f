/* markout_inner.h - what the files markout*.c share. */
#ifndef GW_SHEETS_MARKOUT_INNER_H
#define GW_SHEETS_MARKOUT_INNER_H

#include "sheets/goes_in.h"
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
#define GW_LAYOUT_WORDS 10    /* type of the words under a layout's heading, points */
#define GW_LAYOUT_WASTE 0.85  /* grey of what is cut away */
#define GW_LAYOUT_BELOW 7.0   /* white under a drawing, mm */
#define GW_LAYOUT_APART 5.0   /* white between two that stand side by side */

/* While layouts are drawn, flow->data is one of these. */
typedef struct gw_layouting {
  bool waits;             /* the layouts have not begun */
  const gw_strikes *list; /* the settings */
} gw_layouting;

/* Names the joints that need no layout, then draws each different layout once,
 * at full scale, on pages that begin with `head`: in order, but a small one before its
 * turn where a tall one would leave a page half empty, and narrow ones side by side. */
gw_status gw_layouts_draw(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list,
                          gw_flow_head_fn *head);

/* "joint 5", "joints 5 and 8", "joints 1, 5 and 8". */
const char *gw_joints_words(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count);
/* How far a joint goes in, as a sentence. */
const char *gw_depth_sentence(gw_flow *flow, const gw_sheets_job *job, int joint);

/* How a joint is laid out. */
typedef enum gw_form {
  GW_FORM_NONE,
  GW_FORM_TAILS,
  GW_FORM_STRAIGHT, /* markout_plate.c */
  GW_FORM_SECTION
} gw_form;
gw_form gw_layout_form(const gw_sheets_job *job, int joint);
/* The joints that share the layout of the k-th in the walk, that one first: into `same`, and
 * ticked in `done`; those that are done before it are left out.  Their number. */
int gw_layout_gather(const gw_sheets_job *job, int k, bool *done, int *same);

/* The forms of layouts.  Each takes `flow->body.w` as its width; its height is what it
 * takes under its heading, its width the least it wants, mm. */
typedef struct gw_layout_size { double wide, high; } gw_layout_size;

/* Height of the words under a heading. */
double gw_layout_words_height(gw_flow *flow, const char *words);
void gw_layout_words(gw_flow *flow, const char *words);

/* ---- what drawings have in common (markout_caption.c) ----------------------------- */

/* What is said over one drawing; lines may be NULL. */
enum { GW_CAPTION_LINES = 4 };
typedef struct gw_caption {
  const char *title;
  const char *lines[GW_CAPTION_LINES];
} gw_caption;
double gw_caption_height(gw_flow *flow, const gw_caption *caption, double wide);
void gw_caption_draw(gw_flow *flow, const gw_caption *caption, double x, double y, double wide);

/* "far side above, face edge left": with the sides of the part that are above and at the
 * left; what lies along the part's length is said of above only. */
const char *gw_turn_words(gw_flow *flow, const gw_part *part, gw_dir above, gw_dir left);

/* Where a half lies along one way of its drawing: the part's side from which `lo` counts,
 * the half's size, and what is behind it. */
typedef struct gw_place {
  const char *name; /* "across", "down" */
  gw_dir start;
  gw_len lo, size, rest;
} gw_place;
/* "across: 8 mm, 12 mm from the far edge", from the nearer side; without `with_place`
 * the size alone. */
const char *gw_place_words(gw_flow *flow, const gw_sheets_job *job, const gw_part *part,
                           const gw_place *place, bool with_place);
/* Whether some setting gives the place of a half. */
bool gw_half_is_struck(const gw_flow *flow, const gw_half *half);
/* "mortise on K, N": of the joints of one drawing, no letters where they are many. */
const char *gw_halves_title(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                            bool entering);

/* "joint 5: ...": words that do not hold for all joints of a drawing. */
const char *gw_of_one_joint(gw_flow *flow, const gw_sheets_job *job, int joint, const char *words);

/* Two drawings side by side, and the words over each: where the second begins, mm from the
 * left of the body, and how wide the words of the two may be; and what they want at the
 * least. */
typedef struct gw_split { double second, words[2]; } gw_split;
gw_split gw_layout_split(const gw_flow *flow, double first, double second);
double gw_split_wide(double first, double second);

/* Lines where a drawing is broken off. */
void gw_layout_torn_across(gw_flow *flow, double x1, double x2, double y);
void gw_layout_torn_down(gw_flow *flow, double x, double y1, double y2);
/* What goes in: hatched and outlined, over what is there; a convex shape. */
void gw_layout_goes_in(gw_flow *flow, const gw_spot spots[4]);
/* The line of 100 mm and what grey and hatching mean. */
void gw_layouts_key(gw_flow *flow);

/* Figures in a column at their lines' heights, pushed apart where they would touch; a
 * fine line leads from each to its own height. */
typedef struct gw_figure { double x, y; const char *text; } gw_figure;
void gw_layout_figures(gw_flow *flow, bool to_left, const gw_figure *items, int count);

/* ---- tails (markout_tails.c) ------------------------------------------------------ */

/* What is said over the drawing of these joints, the first of which is drawn. */
const char *gw_tails_words(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count);
bool gw_tails_alike(const gw_sheets_job *job, int a, int b);
/* Under a heading of that height, mm. */
gw_layout_size gw_tails_size(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                             double heading);
void gw_tails_draw(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                   double heading);

/* ---- tenons, mortises and dowels, seen square on (markout_plate.c) ------------------ */

bool gw_plates_has(const gw_sheets_job *job, int joint);
bool gw_plates_alike(const gw_sheets_job *job, int a, int b);
/* What is said over one half of these joints, the first of which is drawn. */
gw_caption gw_plates_caption(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                             bool entering);
gw_layout_size gw_plates_size(gw_flow *flow, const gw_sheets_job *job, const int *joints,
                              int count);
void gw_plates_draw(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count);

/* ---- sections (markout_section.c) ------------------------------------------------ */

/* Whether a joint is drawn cut through: grooves, housings, rebates, halvings,
 * bridles, mitres. */
bool gw_section_has(const gw_sheets_job *job, int joint);
/* Whether the sections of two joints are one drawing. */
bool gw_section_alike(const gw_sheets_job *job, int a, int b);
/* What is said over one half of these joints, the first of which is drawn. */
gw_caption gw_section_caption(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                              bool entering);
/* The same for one of dovetail halvings as it is seen from above. */
gw_caption gw_plan_caption(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                           bool entering);
gw_layout_size gw_section_size(gw_flow *flow, const gw_sheets_job *job, const int *joints,
                               int count);
void gw_section_draw(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count);

#endif
