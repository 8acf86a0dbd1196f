/* job.h - one project on its way through the rooms. */
#ifndef GW_JOB_H
#define GW_JOB_H

#include "base/findings.h"
#include "fit/fit.h"
#include "marks/marks.h"
#include "model/model.h"

typedef struct gw_job {
  gw_findings *findings;
  gw_model *model;
  gw_fit *fit;
  gw_marks *marks;
} gw_job;

/* Reads and checks the project at `path`.  What could be made is in *job, which
 * is to be cleared with gw_job_clear whatever the outcome.  GW_BAD_INPUT: it
 * could not be judged; the findings or `err` say why. */
gw_status gw_job_check(gw_job *job, const char *path, gw_error *err);
void gw_job_clear(gw_job *job);

/* Whether the piece goes together: no error among the findings. */
bool gw_job_mates(const gw_job *job);

#endif
