/* labels_grid.c - where labels lie on their sheets. */
#include <math.h>

#include "sheets/labels_inner.h"

#define LEGEND_HEIGHT 6.0 /* kept free above our own grid, mm */
#define FOOTER_ROOM 11.0  /* the footer's usual place needs this much, mm */

bool gw_labels_own_grid(const gw_sheets_job *job) {
  return job->grid.columns <= 0 || job->grid.rows <= 0;
}

/* Two by four, filling the part of the page that is free for a sheet. */
static gw_label_grid own_grid(const gw_doc *doc, int first) {
  gw_area body = gw_doc_body(doc);
  gw_label_grid g = {.columns = 2, .rows = 4, .left = body.x, .top = body.y + LEGEND_HEIGHT,
                     .first = first};
  g.width = body.w / g.columns;
  g.height = (body.h - LEGEND_HEIGHT) / g.rows;
  return g;
}

/* What is not said along one way: the label's size from the margin, the margin
 * from the size, or both so that the labels fill what a printer reaches. */
static void fill_in(int count, double page, double least, double gap, double *size,
                    double *margin) {
  double gaps = gap * (count - 1);
  if (*size <= 0 && *margin <= 0) *margin = least;
  if (*size <= 0) *size = (page - 2 * *margin - gaps) / count;
  if (*margin <= 0) *margin = fmax(0, (page - *size * count - gaps) / 2);
}

static bool fits(const gw_label_grid *g, double width, double height) {
  const double slack = 0.1;
  double right = g->left + g->columns * g->width + (g->columns - 1) * g->gap_x;
  double bottom = g->top + g->rows * g->height + (g->rows - 1) * g->gap_y;
  return isfinite(right) && isfinite(bottom) && g->left >= 0 && g->top >= 0 && g->gap_x >= 0 &&
         g->gap_y >= 0 && right <= width + slack && bottom <= height + slack;
}

enum { LABELS_MOST = 1000 };
#define LABEL_WIDTH 20.0 /* smaller ones hold no part, mm */
#define LABEL_HEIGHT 10.0

gw_status gw_labels_grid(const gw_sheets_job *job, const gw_doc *doc, gw_label_grid *out,
                         gw_error *err) {
  gw_label_grid g = job->grid;
  double width = gw_doc_width(doc), height = gw_doc_height(doc);
  if (gw_labels_own_grid(job)) {
    g = own_grid(doc, job->grid.first);
  } else {
    if (g.columns > LABELS_MOST || g.rows > LABELS_MOST || g.columns * g.rows > LABELS_MOST)
      return gw_fail(err, GW_BAD_INPUT, "more than %d labels on a sheet", LABELS_MOST);
    fill_in(g.columns, width, 5, g.gap_x, &g.width, &g.left);
    fill_in(g.rows, height, 10, g.gap_y, &g.height, &g.top);
  }
  if (!fits(&g, width, height))
    return gw_fail(err, GW_BAD_INPUT,
                   "%d x %d labels of %.4g x %.4g mm do not fit on paper of %.4g x %.4g mm",
                   g.columns, g.rows, g.width, g.height, width, height);
  if (g.width < LABEL_WIDTH || g.height < LABEL_HEIGHT)
    return gw_fail(err, GW_BAD_INPUT,
                   "labels of %.4g x %.4g mm are too small; %g x %g is the least",
                   g.width, g.height, LABEL_WIDTH, LABEL_HEIGHT);
  if (g.first <= 0) g.first = 1;
  if (g.first > g.columns * g.rows)
    return gw_fail(err, GW_BAD_INPUT, "the first free label is %d, but a sheet has %d", g.first,
                   g.columns * g.rows);
  *out = g;
  return GW_OK;
}

gw_area gw_labels_cell(const gw_label_grid *g, int index) {
  int row = index / g->columns, column = index % g->columns;
  return (gw_area){g->left + column * (g->width + g->gap_x), g->top + row * (g->height + g->gap_y),
                   g->width, g->height};
}

void gw_labels_cut_up(const gw_label_grid *g, int *columns, int *rows) {
  *columns = (int)fmax(1, floor(g->width / GW_HALF_WIDTH + 1e-9));
  *rows = (int)fmax(1, floor(g->height / GW_HALF_HEIGHT + 1e-9));
}

double gw_labels_footer_at(const gw_label_grid *g, double page_height) {
  double bottom = g->top + g->rows * g->height + (g->rows - 1) * g->gap_y;
  double room = page_height - bottom;
  if (room >= FOOTER_ROOM) return page_height - 7;
  if (room >= 7) return bottom + 5;
  if (g->top >= 9) return 7;
  return page_height - 2.5; /* over the last row's lower edge: there is no other place */
}

double gw_labels_legend_at(const gw_sheets_job *job, const gw_label_grid *g, const gw_doc *doc) {
  if (gw_labels_own_grid(job)) return gw_doc_body(doc).y + 4;
  bool footer_on_top = gw_labels_footer_at(g, gw_doc_height(doc)) < g->top;
  double above = footer_on_top ? 9 : job->draft ? 14 : 5;
  return g->top - above >= 3 ? g->top - 1.2 : 0;
}
