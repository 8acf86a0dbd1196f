/* job.h - one project on its way through the rooms. */
#ifndef GW_JOB_H
#define GW_JOB_H

#include "base/findings.h"
#include "clock/clock.h"
#include "fit/fit.h"
#include "marks/marks.h"
#include "mating/mixups.h"
#include "model/model.h"
#include "order/order.h"
#include "sheets/sheets.h"

typedef struct gw_job {
  gw_findings *findings;
  gw_model *model; /* each of these is NULL when it could not be made */
  gw_fit *fit;
  gw_marks *marks;
  gw_mixups *mixups;
  gw_order *order;
  gw_clock *clock;
} gw_job;

/* How far to go. */
typedef enum gw_depth {
  GW_CHECKED, /* does it mate, and is there an order at all? */
  GW_TIMED    /* the best order, and the stages */
} gw_depth;

/* What is to be judged, all borrowed. */
typedef struct gw_job_request {
  const char *path;  /* of the project file; with `bytes`, its name in messages */
  const char *bytes; /* NULL: read the file */
  size_t count;
  gw_depth depth;
  bool as_measured;  /* by the measured sizes, not the drawn ones */
  const char *measured_list; /* a file with more of them (measured.h), or NULL */
  const gw_clock_options *clock; /* GW_TIMED: other ways to plan, or NULL */
  /* GW_TIMED: asked and told while the order is looked for (order.h), and told
   * when that begins and ends; may be NULL. */
  void (*searching)(void *stop_data, bool begins);
  bool (*stop)(void *stop_data);
  void (*better)(void *stop_data, int64_t cost, int64_t bound);
  void *stop_data;
} gw_job_request;

/* Takes the project through the rooms.  What could be made is in *job, which is
 * to be cleared with gw_job_clear whatever the outcome.  GW_BAD_INPUT: it could
 * not be judged; the findings or `err` say why.  Findings are sorted. */
gw_status gw_job_run(gw_job *job, const gw_job_request *request, gw_error *err);
void gw_job_clear(gw_job *job);

/* Whether the piece goes together: no error among the findings. */
bool gw_job_mates(const gw_job *job);

/* What the sheets of it are made from, on A4, as a draft when it does not go
 * together.  Labels as on that sheet, from the label `first` on (0: as the sheet
 * says). */
gw_sheets_job gw_job_sheets(const gw_job *job, const gw_label_sheet *labels, int first);

#endif
