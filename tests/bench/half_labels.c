/* half_labels.c - small labels of halves, to be read by a machine.
 *
 *   half_labels PIECE.xml OUT.pdf [nobars]
 *
 * One label for each joint of the piece, in our own grid of labels and in the
 * order of the marks; `nobars` leaves the bars out.  Writes one line for each
 * to standard output: mark, bar (0 or 1), page from 1, left, top, width and
 * height of the label in mm. */
#include <stdio.h>
#include <string.h>

#include "cli/job.h"
#include "sheets/labels_inner.h"

typedef struct run {
  gw_job job;
  gw_sheets_job sheets;
  gw_doc *doc;
  gw_label_grid grid;
} run;

static int complain(const char *words) {
  fprintf(stderr, "half_labels: %s\n", words);
  return 3;
}

/* The k-th small label of the file; `*page` is the page that it lies on. */
static gw_area small_label(run *r, int k, gw_page **page) {
  int columns, rows;
  gw_labels_cut_up(&r->grid, &columns, &rows);
  int in_cell = columns * rows, on_page = in_cell * r->grid.columns * r->grid.rows;
  if (k % on_page == 0) *page = gw_page_new(r->doc, "Labels");
  gw_area cell = gw_labels_cell(&r->grid, k % on_page / in_cell);
  double w = cell.w / columns, h = cell.h / rows;
  int column = k % in_cell % columns, row = k % in_cell / columns;
  return (gw_area){cell.x + column * w, cell.y + row * h, w, h};
}

static void draw_all(run *r, bool bars) {
  gw_page *page = NULL;
  const gw_model *m = r->job.model;
  int columns, rows;
  gw_labels_cut_up(&r->grid, &columns, &rows);
  gw_area small = {0, 0, r->grid.width / columns, r->grid.height / rows};
  gw_half_style style = gw_label_half_style(r->doc, small, &r->sheets);
  for (int k = 0; k < m->n_joints; ++k) {
    int joint = r->job.marks->joint_walk[k];
    gw_mark *mark = &r->job.marks->joints[joint];
    if (!bars) mark->bar = false;
    gw_area area = small_label(r, k, &page);
    gw_label_half(page, area, &r->sheets, m->joints[joint].entering, 1, &style);
    printf("%s %d %zu %.3f %.3f %.3f %.3f\n", mark->text, mark->bar, gw_doc_page_count(r->doc),
           area.x, area.y, area.w, area.h);
  }
}

static gw_status print_to(run *r, const char *path, bool bars, gw_error *err) {
  r->sheets = (gw_sheets_job){.model = r->job.model, .fit = r->job.fit, .marks = r->job.marks,
                              .findings = r->job.findings};
  r->doc = gw_sheets_open(&r->sheets, "Labels", err);
  if (r->doc == NULL) return err->status;
  gw_status status = gw_labels_grid(&r->sheets, r->doc, &r->grid, err);
  if (status == GW_OK) {
    draw_all(r, bars);
    status = gw_doc_save(r->doc, path, err);
  }
  gw_doc_free(r->doc);
  return status;
}

int main(int argc, char **argv) {
  run r = {0};
  gw_error err = {GW_OK, ""};
  if (argc < 3) return complain("usage: half_labels PIECE.xml OUT.pdf [nobars]");
  gw_job_request request = {.path = argv[1], .depth = GW_CHECKED};
  gw_status status = gw_job_run(&r.job, &request, &err);
  if (status == GW_OK)
    status = print_to(&r, argv[2], argc < 4 || strcmp(argv[3], "nobars") != 0, &err);
  gw_job_clear(&r.job);
  return status == GW_OK ? 0 : complain(err.words);
}
