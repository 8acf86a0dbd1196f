#include "cli/job.h"

#include <string.h>

#include "mating/mating.h"
#include "read/read.h"

bool gw_job_mates(const gw_job *job) {
  return gw_findings_count_of(job->findings, GW_ERROR) == 0;
}

gw_status gw_job_check(gw_job *job, const char *path, gw_error *err) {
  memset(job, 0, sizeof *job);
  job->findings = gw_findings_new(path);
  if (job->findings == NULL) return GW_NO_MEMORY;
  GW_TRY(gw_read_file(path, job->findings, &job->model, err));
  /* Sizes and names that are missing would be blamed again as loops. */
  if (!gw_job_mates(job)) return GW_OK;
  GW_TRY(gw_mate(job->model, job->findings));
  if (!gw_job_mates(job)) return GW_OK;
  GW_TRY(gw_fit_make(job->model, job->findings, &job->fit));
  return gw_marks_make(job->model, job->fit, &job->marks);
}

void gw_job_clear(gw_job *job) {
  gw_marks_free(job->marks);
  gw_fit_free(job->fit);
  gw_model_free(job->model);
  gw_findings_free(job->findings);
  memset(job, 0, sizeof *job);
}
