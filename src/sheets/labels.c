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
  int across, down; /* small labels in a label */
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

/* The next free label, without a line round it; a new sheet when the last one is full. */
static gw_area next_cell(roll *r) {
  if (r->page == NULL || r->next >= r->grid.columns * r->grid.rows) {
    bool first = r->page == NULL;
    new_page(r);
    r->next = first ? r->grid.first - 1 : 0;
  }
  return gw_labels_cell(&r->grid, r->next++);
}

static gw_area next_label(roll *r) {
  gw_area cell = next_cell(r);
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

/* A label cut up into small ones, or on our own grid all that is left of a row of
 * labels; `next` is the next free one of them. */
typedef struct strip {
  gw_area cell;
  int columns, rows, next; /* of the strip */
  int across, down;        /* of each label */
  int halves;              /* how many there are in all */
  gw_half_style style;
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

/* How many sheets are begun by rows of labels that begin with this free one, the first
 * row with so many small labels. */
static int sheets_for(const roll *r, const strip *s, int free, int in_first) {
  int whole_row = r->grid.columns * s->across * s->down, left = s->halves - in_first;
  int more = left > 0 ? (left + whole_row - 1) / whole_row : 0;
  int rows = free / r->grid.columns + 1 + more;
  return (rows + r->grid.rows - 1) / r->grid.rows;
}

#define LOW 14.5 /* small labels are this high at the least, where that spares a sheet; mm */

/* On our own grid one row more in each label, when that spares a sheet. */
static void spare_a_sheet(const roll *r, strip *s) {
  int labels = r->grid.columns * r->grid.rows, free = r->next >= labels ? 0 : r->next;
  strip lower = *s;
  ++lower.down;
  if (!gw_labels_own_grid(r->job) || r->grid.height / lower.down < LOW) return;
  int cells = r->grid.columns - free % r->grid.columns;
  if (sheets_for(r, &lower, free, cells * lower.across * lower.down) <
      sheets_for(r, s, free, cells * s->across * s->down))
    *s = lower;
}

/* On our own grid, from the next free label to the end of its row, so that the two
 * halves of a joint stand side by side; in an even number of columns, unless that
 * took a sheet more. */
static void begin_row(roll *r, strip *s) {
  bool first = s->columns == 0;
  s->cell = next_cell(r);
  int cells = 1;
  for (; r->next % r->grid.columns != 0; ++cells) ++r->next;
  s->cell.w += (cells - 1) * (r->grid.width + r->grid.gap_x);
  s->columns = cells * s->across;
  s->rows = s->down;
  int even = s->columns - s->columns % 2, at = r->next - cells;
  if (first && even > 0 &&
      sheets_for(r, s, at, even * s->rows) == sheets_for(r, s, at, s->columns * s->rows))
    s->columns = even;
}

static void begin_strip(roll *r, strip *s) {
  s->next = 0;
  if (gw_labels_own_grid(r->job)) {
    begin_row(r, s);
    return;
  }
  s->cell = next_label(r);
  s->columns = s->across;
  s->rows = s->down;
  draw_cuts(r, s);
}

static void draw_half(roll *r, strip *s, int half, int copy) {
  if (s->next >= s->columns * s->rows) begin_strip(r, s);
  double w = s->cell.w / s->columns, h = s->cell.h / s->rows;
  int column = s->next % s->columns, row = s->next / s->columns;
  gw_area small = {s->cell.x + column * w, s->cell.y + row * h, w, h};
  ++s->next;
  if (gw_labels_own_grid(r->job)) gw_draw_area(r->page, CUT, small);
  gw_label_half(r->page, small, r->job, half, copy, &s->style);
}

static void draw_halves(roll *r) {
  const gw_model *m = r->job->model;
  strip s = {.halves = 2 * m->n_joints * m->copies};
  gw_labels_cut_up(&r->grid, &s.across, &s.down);
  spare_a_sheet(r, &s);
  r->across = s.across;
  r->down = s.down;
  gw_area small = {0, 0, r->grid.width / s.across, r->grid.height / s.down};
  s.style = gw_label_half_style(r->doc, small, r->job);
  for (int copy = 1; copy <= m->copies; ++copy)
    for (int k = 0; k < m->n_joints && !gw_doc_failed(r->doc); ++k) {
      const gw_joint *j = &m->joints[r->job->marks->joint_walk[k]];
      draw_half(r, &s, j->entering, copy);
      draw_half(r, &s, j->receiving, copy);
    }
}

/* ---- the trial page ----------------------------------------------------------------- */

#define SIGNS                                                                              \
  "  The signs: the loop is drawn on the face side and its tail runs to the face edge; the V " \
  "stands on the face edge and points at the face side."
static const char TRIAL_WORDS[] =
    "Trial page.  Print it on plain paper and hold it behind a sheet of labels against the "
    "light: each outline lies on its label.  " GW_LEGEND_WORDS SIGNS;
static const char PLAIN_WORDS[] =
    "Trial page.  The outlines are where the labels lie: large ones for parts, dashed small ones "
    "for joints.  " GW_LEGEND_WORDS SIGNS;

static bool meet(gw_area a, gw_area b) {
  return a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;
}

/* The place of a label's number: that of its corners which the words leave free. */
static bool number_place(const roll *r, int index, gw_area words, gw_area *place) {
  gw_area cell = gw_labels_cell(&r->grid, index);
  const double wide = 10, high = 5;
  for (int i = 0; i < 4; ++i) {
    *place = (gw_area){i % 2 == 0 ? cell.x + 1 : cell.x + cell.w - 1 - wide,
                       i / 2 == 0 ? cell.y + 1 : cell.y + cell.h - 1 - high, wide, high};
    if (!meet(*place, words)) return true;
  }
  return false;
}

static void number_label(roll *r, int index, gw_area words) {
  char number[16];
  gw_area place, cell = gw_labels_cell(&r->grid, index);
  if (!number_place(r, index, words, &place)) return;
  bool left = place.x < cell.x + cell.w / 2;
  snprintf(number, sizeof number, "%d", index + 1);
  gw_text_line(r->page, left ? place.x + 1 : place.x + place.w - 1, place.y + 4, GW_TYPE(8),
               left ? GW_ALIGN_LEFT : GW_ALIGN_RIGHT, number);
}

/* The small labels of a label's place. */
static void draw_small(roll *r, gw_area cell) {
  const gw_pen pen = {GW_STROKE_DASHED, 0.15, 0.3};
  for (int i = 1; i < r->across; ++i) {
    double x = cell.x + cell.w * i / r->across;
    gw_draw_line(r->page, pen, x, cell.y, x, cell.y + cell.h);
  }
  for (int i = 1; i < r->down; ++i) {
    double y = cell.y + cell.h * i / r->down;
    gw_draw_line(r->page, pen, cell.x, y, cell.x + cell.w, y);
  }
}

/* In the middle, or where the words hide fewest numbers. */
static gw_area place_words(const roll *r, double wide, double high) {
  double page = gw_doc_height(r->doc);
  gw_area best = {(gw_doc_width(r->doc) - wide) / 2, (page - high) / 2, wide, high}, box = best;
  int least = r->grid.columns * r->grid.rows + 1;
  for (int step = 0; step < 40; ++step) {
    int hidden = 0;
    gw_area place;
    box.y = (page - high) / 2 + (step % 2 == 0 ? 1 : -1) * (step / 2 + step % 2);
    for (int i = 0; i < r->grid.columns * r->grid.rows; ++i)
      hidden += !number_place(r, i, box, &place);
    if (hidden >= least) continue;
    least = hidden;
    best = box;
  }
  return best;
}

static void draw_trial(roll *r) {
  const double wide = 112;
  const char *text = gw_labels_own_grid(r->job) ? PLAIN_WORDS : TRIAL_WORDS;
  gw_type type = GW_TYPE(9);
  r->page = gw_page_new(r->doc, "Labels, trial");
  gw_page_footer_at(r->page, gw_labels_footer_at(&r->grid, gw_doc_height(r->doc)));
  double words = gw_text_box_height(r->doc, wide - 12, type, text);
  gw_area box = place_words(r, wide, words + 22);
  for (int i = 0; i < r->grid.columns * r->grid.rows; ++i) {
    gw_area cell = gw_labels_cell(&r->grid, i);
    draw_small(r, cell);
    gw_draw_area(r->page, GW_PEN_THIN, cell);
    number_label(r, i, box);
  }
  gw_fill_area(r->page, 1, box);
  gw_draw_area(r->page, CUT, box);
  gw_text_box(r->page, (gw_area){box.x + 6, box.y + 3, wide - 12, words + 0.1}, type,
              GW_ALIGN_LEFT, text);
  gw_draw_ruler(r->page, box.x + 6, box.y + box.h - GW_RULER_DROP - 3);
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
