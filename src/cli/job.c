#include "cli/job.h"

#include <string.h>

#include "fit/review.h"
#include "mating/mating.h"
#include "read/read.h"

/* Enough splits to find some order; that one exists is decided exactly
 * whatever the budget. */
static const int64_t GLANCE = 200;

bool gw_job_mates(const gw_job *job) {
  return gw_findings_count_of(job->findings, GW_ERROR) == 0;
}

static gw_status run(gw_job *job, const char *path, gw_depth depth, gw_error *err) {
  GW_TRY(gw_read_file(path, job->findings, &job->model, err));
  /* What is missing here would be blamed again as joints and loops. */
  if (!gw_job_mates(job)) return GW_OK;
  GW_TRY(gw_mate(job->model, job->findings));
  if (!gw_job_mates(job)) return GW_OK;
  GW_TRY(gw_fit_make(job->model, job->findings, &job->fit));
  GW_TRY(gw_marks_make(job->model, job->fit, &job->marks));
  if (!job->fit->placed) return GW_OK;
  if (gw_job_mates(job)) GW_TRY(gw_fit_review(job->model, job->fit, job->findings));
  if (gw_job_mates(job))
    GW_TRY(gw_mixups_make(job->model, job->fit, job->findings, &job->mixups));
  /* Parts that stand in each other's way would be blamed again as locked. */
  if (depth == GW_CHECKED && !gw_job_mates(job)) return GW_OK;
  gw_order_options options = {.node_budget = depth == GW_CHECKED ? GLANCE : 0};
  bool quiet = depth == GW_CHECKED && job->model->n_parts > GW_ORDER_MAX_PARTS;
  if (!quiet)
    GW_TRY(gw_order_make(job->model, job->fit, job->marks, &options, job->findings, &job->order,
                         err));
  if (depth == GW_CHECKED || job->order == NULL) return GW_OK;
  return gw_clock_make(job->model, job->fit, job->marks, job->order, job->findings, &job->clock);
}

gw_status gw_job_run(gw_job *job, const char *path, gw_depth depth, gw_error *err) {
  memset(job, 0, sizeof *job);
  job->findings = gw_findings_new(path);
  if (job->findings == NULL) return GW_NO_MEMORY;
  gw_status status = run(job, path, depth, err);
  gw_findings_sort(job->findings);
  return status;
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
