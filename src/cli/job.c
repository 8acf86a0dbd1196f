#include "cli/job.h"

#include <string.h>

#include "fit/review.h"
#include "mating/mating.h"
#include "read/measured.h"
#include "read/read.h"

/* Enough splits to find some order; that one exists is decided exactly
 * whatever the budget. */
static const int64_t GLANCE = 200;

bool gw_job_mates(const gw_job *job) {
  return gw_findings_count_of(job->findings, GW_ERROR) == 0;
}

static gw_status read_project(gw_job *job, const gw_job_request *r, gw_error *err) {
  if (r->bytes == NULL) return gw_read_file(r->path, job->findings, &job->model, err);
  if (r->count > GW_READ_MAX_BYTES)
    return gw_fail(err, GW_TOO_LARGE, "%s is larger than 64 MiB", r->path);
  return gw_read_bytes(r->path, r->bytes, r->count, job->findings, &job->model);
}

static gw_status find_order(gw_job *job, const gw_job_request *r, gw_error *err) {
  bool glance = r->depth == GW_CHECKED;
  if (glance && job->model->n_parts > GW_ORDER_MAX_PARTS) return GW_OK;
  gw_order_options options = {.node_budget = glance ? GLANCE : 0, .any = glance,
                              .stop = r->stop, .better = r->better, .stop_data = r->stop_data};
  if (r->searching != NULL) r->searching(r->stop_data, true);
  gw_status status =
      gw_order_make(job->model, job->fit, job->marks, &options, job->findings, &job->order, err);
  if (r->searching != NULL) r->searching(r->stop_data, false);
  return status;
}

static gw_status take_measures(gw_job *job, const gw_job_request *r, gw_error *err) {
  if (!r->as_measured) return GW_OK;
  if (r->measured_list != NULL) GW_TRY(gw_measured_list(job->model, r->measured_list, err));
  return gw_measured_apply(job->model, job->findings);
}

static gw_status run(gw_job *job, const gw_job_request *r, gw_error *err) {
  GW_TRY(read_project(job, r, err));
  /* What is missing here would be blamed again as joints and loops. */
  if (!gw_job_mates(job)) return GW_OK;
  GW_TRY(take_measures(job, r, err));
  GW_TRY(gw_mate(job->model, job->findings));
  if (!gw_job_mates(job)) return GW_OK;
  GW_TRY(gw_fit_make(job->model, job->findings, &job->fit));
  GW_TRY(gw_marks_make(job->model, job->fit, &job->marks));
  if (!job->fit->placed) return GW_OK;
  if (gw_job_mates(job)) GW_TRY(gw_fit_review(job->model, job->fit, job->findings));
  if (gw_job_mates(job))
    GW_TRY(gw_mixups_make(job->model, job->fit, job->findings, &job->mixups));
  bool known;
  GW_TRY(gw_clock_glues_known(job->model, job->findings, &known));
  if (!known) return GW_OK; /* nothing could be timed by it */
  /* Parts that stand in each other's way would be blamed again as locked. */
  if (r->depth == GW_CHECKED && !gw_job_mates(job)) return GW_OK;
  GW_TRY(find_order(job, r, err));
  if (r->depth == GW_CHECKED || job->order == NULL) return GW_OK;
  return gw_clock_make_with(job->model, job->fit, job->marks, job->order, r->clock, job->findings,
                            &job->clock);
}

gw_status gw_job_run(gw_job *job, const gw_job_request *request, gw_error *err) {
  memset(job, 0, sizeof *job);
  job->findings = gw_findings_new(request->path);
  if (job->findings == NULL) return GW_NO_MEMORY;
  gw_status status = run(job, request, err);
  gw_findings_sort(job->findings);
  return status;
}

/* The sheet of labels in the measures of the pages. */
static gw_label_grid label_grid(const gw_label_sheet *sheet, int first) {
  gw_label_grid grid = {.columns = sheet->columns, .rows = sheet->rows,
                        .width = gw_len_mm(sheet->width), .height = gw_len_mm(sheet->height),
                        .left = gw_len_mm(sheet->left), .top = gw_len_mm(sheet->top),
                        .gap_x = gw_len_mm(sheet->gap_x), .gap_y = gw_len_mm(sheet->gap_y),
                        .first = first > 0 ? first : sheet->first};
  return grid;
}

gw_sheets_job gw_job_sheets(const gw_job *job, const gw_label_sheet *labels, int first) {
  return (gw_sheets_job){.model = job->model, .fit = job->fit, .marks = job->marks,
                         .order = job->order, .clock = job->clock, .findings = job->findings,
                         .draft = !gw_job_mates(job), .paper = GW_PAPER_A4,
                         .grid = label_grid(labels, first)};
}

void gw_job_clear(gw_job *job) {
  gw_clock_free(job->clock);
  gw_order_free(job->order);
  gw_mixups_free(job->mixups);
  gw_marks_free(job->marks);
  gw_fit_free(job->fit);
  gw_model_free(job->model);
  gw_findings_free(job->findings);
  memset(job, 0, sizeof *job);
}
