/* labels.c - labels.pdf: one label for each part, a small one for each half,
 * and a page to try the grid with. */
#include <math.h>

#include "sheets/labels_inner.h"
#include "sheets/picture_inner.h"

typedef struct roll {
  const gw_sheets_job *job;
  gw_doc *doc;
  gw_label_grid grid;
  gw_page *page;
  int next; /* the next free label on the page */
} roll;

static const gw_pen CUT = {GW_STROKE_FULL, 0.15, 0.3};

/* ---- pages -------------------------------------------------------------------------- */

static void new_page(roll *r) {
  r->page = gw_page_new(r->doc, "Labels");
  double footer = gw_labels_footer_at(&r->grid, gw_doc_height(r->doc));
  double legend = gw_labels_legend_at(r->job, &r->grid, r->doc);
  gw_page_footer_at(r->page, footer);
  if (legend > 0)
    gw_text_fit(r->page, r->grid.left, legend, gw_doc_width(r->doc) - 2 * fmax(r->grid.left, 5),
                GW_TYPE(9), 6, GW_ALIGN_LEFT, GW_LEGEND_WORDS);
}

/* The next free label; a new sheet when the last one is full. */
static gw_area next_label(roll *r) {
  if (r->page == NULL || r->next >= r->grid.columns * r->grid.rows) {
    bool first = r->page == NULL;
    new_page(r);
    r->next = first ? r->grid.first - 1 : 0;
  }
  gw_area cell = gw_labels_cell(&r->grid, r->next++);
  if (gw_labels_own_grid(r->job)) gw_draw_area(r->page, CUT, cell);
  return cell;
}

/* ---- parts -------------------------------------------------------------------------- */

static void draw_parts(roll *r) {
  const gw_model *m = r->job->model;
  for (int copy = 1; copy <= m->copies; ++copy)
    for (int k = 0; k < m->n_parts && !gw_doc_failed(r->doc); ++k) {
      gw_area cell = next_label(r);
      gw_label_part(r->page, cell, r->job, r->job->marks->part_walk[k], copy);
    }
}

/* ---- halves ------------------------------------------------------------------------- */

/* A label cut up into small ones; `next` is the next free one of them. */
typedef struct strip {
  gw_area cell;
  int columns, rows, next;
} strip;

/* Lines to cut along between the small labels. */
static void draw_cuts(roll *r, const strip *s) {
  for (int i = 1; i < s->columns; ++i) {
    double x = s->cell.x + s->cell.w * i / s->columns;
    gw_draw_line(r->page, CUT, x, s->cell.y, x, s->cell.y + s->cell.h);
  }
  for (int i = 1; i < s->rows; ++i) {
    double y = s->cell.y + s->cell.h * i / s->rows;
    gw_draw_line(r->page, CUT, s->cell.x, y, s->cell.x + s->cell.w, y);
  }
}

static void draw_half(roll *r, strip *s, int half, int copy) {
  if (s->next >= s->columns * s->rows) {
    s->cell = next_label(r);
    s->next = 0;
    draw_cuts(r, s);
  }
  double w = s->cell.w / s->columns, h = s->cell.h / s->rows;
  int column = s->next % s->columns, row = s->next / s->columns;
  gw_area small = {s->cell.x + column * w, s->cell.y + row * h, w, h};
  ++s->next;
  gw_label_half(r->page, small, r->job, half, copy);
}

static void draw_halves(roll *r) {
  const gw_model *m = r->job->model;
  strip s = {.columns = 1};
  gw_labels_cut_up(&r->grid, &s.columns, &s.rows);
  s.next = s.columns * s.rows;
  for (int copy = 1; copy <= m->copies; ++copy)
    for (int k = 0; k < m->n_joints && !gw_doc_failed(r->doc); ++k) {
      const gw_joint *j = &m->joints[r->job->marks->joint_walk[k]];
      draw_half(r, &s, j->entering, copy);
      draw_half(r, &s, j->receiving, copy);
    }
}

/* ---- the trial page ----------------------------------------------------------------- */

static const char TRIAL_WORDS[] =
    "Trial page.  Print it on plain paper and hold it behind a sheet of labels against the "
    "light: each outline lies on its label.  " GW_LEGEND_WORDS
    "  The signs: the loop is drawn on the face side and its tail runs to the face edge; the V "
    "stands on the face edge and points at the face side.";

static bool meet(gw_area a, gw_area b) {
  return a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;
}

static void number_label(roll *r, int index, gw_area middle) {
  char number[16];
  gw_area cell = gw_labels_cell(&r->grid, index);
  gw_area place = {cell.x + 1, cell.y + 1, 10, 5};
  if (meet(place, middle)) return;
  snprintf(number, sizeof number, "%d", index + 1);
  gw_text_line(r->page, cell.x + 2, cell.y + 5, GW_TYPE(8), GW_ALIGN_LEFT, number);
}

static void draw_trial(roll *r) {
  double wide = 112, x = (gw_doc_width(r->doc) - wide) / 2;
  gw_type type = GW_TYPE(9);
  r->page = gw_page_new(r->doc, "Labels, trial");
  gw_page_footer_at(r->page, gw_labels_footer_at(&r->grid, gw_doc_height(r->doc)));
  double words = gw_text_box_height(r->doc, wide - 12, type, TRIAL_WORDS);
  gw_area box = {x, gw_doc_height(r->doc) / 2 - (words + 22) / 2, wide, words + 22};
  for (int i = 0; i < r->grid.columns * r->grid.rows; ++i) {
    gw_draw_area(r->page, GW_PEN_THIN, gw_labels_cell(&r->grid, i));
    number_label(r, i, box);
  }
  gw_fill_area(r->page, 1, box);
  gw_draw_area(r->page, CUT, box);
  gw_text_box(r->page, (gw_area){x + 6, box.y + 3, wide - 12, words + 0.1}, type, GW_ALIGN_LEFT,
              TRIAL_WORDS);
  gw_draw_ruler(r->page, x + 6, box.y + box.h - GW_RULER_DROP - 3);
}

/* ---- the file ----------------------------------------------------------------------- */

static gw_status check_copies(const gw_sheets_job *job, gw_error *err) {
  if (job->model->copies <= GW_MARK_COPIES_MAX) return GW_OK;
  return gw_fail(err, GW_TOO_LARGE, "%d copies of a piece are more than set signs tell apart (%d)",
                 job->model->copies, GW_MARK_COPIES_MAX);
}

gw_status gw_sheets_labels(const gw_sheets_job *job, const char *path, gw_error *err) {
  roll r = {.job = job};
  gw_error own = {GW_OK, ""};
  if (err == NULL) err = &own;
  GW_TRY(check_copies(job, err));
  r.doc = gw_sheets_open(job, "Labels", err);
  if (r.doc == NULL) return err->status;
  gw_status status = gw_labels_grid(job, r.doc, &r.grid, err);
  if (status == GW_OK) {
    draw_parts(&r);
    draw_halves(&r);
    draw_trial(&r);
    status = gw_doc_save(r.doc, path, err);
  }
  gw_doc_free(r.doc);
  return status;
}
