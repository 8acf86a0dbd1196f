/* labels_inner.h - what the files labels*.c share. */
#ifndef GW_SHEETS_LABELS_INNER_H
#define GW_SHEETS_LABELS_INNER_H

#include "sheets/sheets.h"

/* ---- the grid (labels_grid.c) ------------------------------------------------- */

/* The grid of a job, with what it leaves open filled in.  GW_BAD_INPUT with
 * words when it does not fit on the paper. */
gw_status gw_labels_grid(const gw_sheets_job *job, const gw_doc *doc, gw_label_grid *out,
                         gw_error *err);
/* Whether the job leaves the grid to us: then we draw lines to cut along. */
bool gw_labels_own_grid(const gw_sheets_job *job);
/* The place of a label on its sheet, counted from 0. */
gw_area gw_labels_cell(const gw_label_grid *grid, int index);

/* How a label's place is cut up for halves: at least this large each, mm. */
#define GW_HALF_WIDTH 30.0
#define GW_HALF_HEIGHT 20.0
void gw_labels_cut_up(const gw_label_grid *grid, int *columns, int *rows);

/* The height of the page at which the footer and the legend (0: no room) go. */
double gw_labels_footer_at(const gw_label_grid *grid, double page_height);
double gw_labels_legend_at(const gw_sheets_job *job, const gw_label_grid *grid,
                           const gw_doc *doc);

/* ---- one label (labels_draw.c) --------------------------------------------------- */

/* `copy` counts from 1. */
void gw_label_part(gw_page *page, gw_area area, const gw_sheets_job *job, int part, int copy);

/* How the words on the labels of halves are set, the same on all: the size of type in
 * points at which those for whom there is room fit, and whether each half's own part is
 * named beside its letter. */
typedef struct gw_half_style {
  double type;
  bool names;
} gw_half_style;
gw_half_style gw_label_half_style(gw_doc *doc, gw_area area, const gw_sheets_job *job);
void gw_label_half(gw_page *page, gw_area area, const gw_sheets_job *job, int half, int copy,
                   const gw_half_style *style);

/* A paragraph set smaller, down to `least` points, until it fits the area. */
void gw_label_box(gw_page *page, gw_area area, gw_type type, double least, const char *text);

#define GW_LEGEND_WORDS \
  "A bar under a number means: this is the bottom. A ring: the joint is on the far side of the part."

#endif
