/* sheets.h - the printed sheets: labels, marking-out, dry fit, glue-up. */
#ifndef GW_SHEETS_H
#define GW_SHEETS_H

#include "base/findings.h"
#include "clock/clock.h"
#include "fit/fit.h"
#include "marks/marks.h"
#include "model/model.h"
#include "order/order.h"
#include "sheets/canvas.h"

/* How a sheet of labels is divided, mm; 0 for a column of the default grid. */
typedef struct gw_label_grid {
  int columns, rows;
  double width, height;  /* of one label */
  double left, top;      /* margins of the sheet */
  double gap_x, gap_y;
  int first;             /* first free label on a part-used sheet, from 1 */
} gw_label_grid;

/* What the sheets are made from; all borrowed.  `order` and `clock` may be NULL
 * and the parts unplaced when `draft` is set: what cannot be known is then
 * left out and the page says so. */
typedef struct gw_sheets_job {
  const gw_model *model;
  const gw_fit *fit;
  const gw_marks *marks;
  const gw_order *order;
  const gw_clock *clock;
  const gw_findings *findings;
  bool draft;
  gw_paper paper;
  gw_label_grid grid;
  gw_allocate *allocate; /* for libharu; see canvas.h */
} gw_sheets_job;

/* Each writes one PDF to `path`, whole or not at all.  GW_IO with words in *err
 * when it cannot be written; GW_BAD_INPUT when the labels' grid cannot be. */
gw_status gw_sheets_labels(const gw_sheets_job *job, const char *path, gw_error *err);
gw_status gw_sheets_mark_out(const gw_sheets_job *job, const char *path, gw_error *err);
gw_status gw_sheets_dry_fit(const gw_sheets_job *job, const char *path, gw_error *err);
gw_status gw_sheets_glue_up(const gw_sheets_job *job, const char *path, gw_error *err);

/* Makes the folder when it is not there and writes labels.pdf,
 * marking-out.pdf, dry-fit.pdf and glue-up.pdf into it: all of them, or, when
 * one cannot be made, none.  One process at a time prints into a folder. */
gw_status gw_sheets_print(const gw_sheets_job *job, const char *folder, gw_error *err);

/* Adds a note (code missing-glyph) when names or materials hold characters that
 * no typeface of the sheets has; they are printed as U+FFFD. */
gw_status gw_sheets_missing(const gw_sheets_job *job, gw_findings *findings, gw_error *err);

/* ---- inside the room ---------------------------------------------------------- */

/* The document of one sheet, with title, digest and draft banner set. */
gw_doc *gw_sheets_open(const gw_sheets_job *job, const char *subject, gw_error *err);

/* "760 x 380 x 20 mm": length, width, thickness in the piece's units. */
char *gw_sheets_size(const gw_sheets_job *job, int part, char *buffer, size_t size);

#endif
