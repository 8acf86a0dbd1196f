/* table.h - a sheet that runs from page to page: a place on the page, and
 * lines, boxes to tick and blanks that move it on.
 *
 * A flow draws on one document, which it does not own, and has an arena for
 * its texts, which it does.  When memory is short, texts become empty and
 * gw_flow_end() says so.  Measures are millimetres, as in canvas.h. */
#ifndef GW_SHEETS_TABLE_H
#define GW_SHEETS_TABLE_H

#include "sheets/canvas.h"

typedef struct gw_flow gw_flow;
/* Draws what each page begins with, and moves flow->y below it. */
typedef void gw_flow_head_fn(gw_flow *flow, void *data);

struct gw_flow {
  gw_doc *doc;
  gw_page *page;
  gw_area body;
  double y;            /* where the next thing begins */
  double fresh_y;      /* y on a page that has its head only */
  const char *sheet;   /* its name in the footer */
  double bench, wall;  /* sizes of type to be read at 0.7 m and at 1.5 m */
  double above, below; /* white over a heading, and under a paragraph */
  gw_flow_head_fn *head;
  void *data;
  gw_arena *arena;
  bool no_memory;
};

/* Distances, and the angle that capitals fill: 16 minutes of arc, the least of
 * NUREG-0700 Rev 2, 1.3.1-4 (see canvas.h). */
#define GW_FLOW_BENCH_M 0.7
#define GW_FLOW_WALL_M 1.5
#define GW_FLOW_ARCMIN 16.0

/* Begins without a page, `above` and `below` as most sheets have them.  False when memory is short. */
bool gw_flow_begin(gw_flow *flow, gw_doc *doc, const char *sheet);
/* Frees what the flow has, and returns GW_NO_MEMORY when it ever lacked it. */
gw_status gw_flow_end(gw_flow *flow);

/* A text from the flow's arena, or "". */
const char *gw_flow_say(gw_flow *flow, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* The same for a text that may be NULL because memory was short. */
const char *gw_flow_text_or(gw_flow *flow, const char *text);

/* ---- pages ------------------------------------------------------------------- */

/* A new page that begins with the head, if there is one. */
void gw_flow_page(gw_flow *flow);
double gw_flow_left(const gw_flow *flow); /* height that is still free */
/* A new page when less than this is left and the page is not a fresh one. */
void gw_flow_need(gw_flow *flow, double height);

/* ---- type ---------------------------------------------------------------------- */

gw_type gw_flow_bench(const gw_flow *flow);
gw_type gw_flow_wall(const gw_flow *flow); /* bold */
/* For sources and explanations, that are read sitting down. */
#define GW_FLOW_SMALL GW_TYPE(9.5)

/* ---- what is set one under the other ----------------------------------------------- */

/* What a page is headed with, over a line: its title, a name that is set
 * smaller or cut where it is long, and words of weight at the right end. */
void gw_flow_title(gw_flow *flow, const char *title, const char *name, const char *right);
/* A heading, and room for `follows` mm under it. */
void gw_flow_heading(gw_flow *flow, const char *heading, double follows);
/* A paragraph `indent` from the left; kept whole, or, when it is higher than a
 * page, running on from page to page. */
void gw_flow_text(gw_flow *flow, gw_type type, double indent, const char *text);
/* A paragraph with a box to tick before it; kept whole. */
void gw_flow_tick(gw_flow *flow, gw_type type, const char *text);
double gw_flow_tick_height(const gw_flow *flow, gw_type type, const char *text);
/* The same in `columns` columns beside each other: call with column 0, 1 ...;
 * the flow moves on after the last, or with gw_flow_row_end. */
typedef struct gw_flow_row { int columns, at; double height; } gw_flow_row;
void gw_flow_tick_in(gw_flow *flow, gw_flow_row *row, gw_type type, const char *text);
void gw_flow_row_end(gw_flow *flow, gw_flow_row *row);
/* A rule to write on, `width` long, its left end at x and on the baseline y. */
void gw_flow_blank(gw_flow *flow, double x, double y, double width);
void gw_flow_gap(gw_flow *flow, double height);

/* A framed paragraph in bench type with a bold head, kept whole. */
void gw_flow_box(gw_flow *flow, const char *head, const char *text);
double gw_flow_box_height(gw_flow *flow, const char *head, const char *text);

/* How far the baseline of the first line lies under the top of a paragraph, as
 * gw_text_box sets it. */
double gw_flow_first_baseline(gw_type type);

#endif
