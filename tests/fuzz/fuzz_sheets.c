/* The whole way from a file to its sheets.
 *
 * One input in eight, chosen by its own bytes, is printed too (into the folder
 * that FUZZ_SHEETS names, else one in /tmp): printing takes far longer than all
 * the rest.  FUZZ_PRINT_ALL prints each. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"
#include "cli/view.h"
#include "fuzz.h"
#include "sheets/sheets.h"

/* The search for an order is stopped after so many looks at the clock. */
static bool stop(void *data) {
  int *looks = data;
  return ++*looks > 3;
}

static void check_shape(const gw_job *job) {
  const gw_model *m = job->model;
  if (job->order == NULL) return;
  /* A tree of joins that takes up each part once. */
  if (job->order->n_joins > m->n_parts) abort();
  if (job->order->bound > job->order->cost) abort();
  if (job->clock == NULL || !gw_job_mates(job)) return;
  int joins = 0;
  for (int i = 0; i < job->clock->n_stages; ++i) joins += job->clock->stages[i].n_joins;
  if (joins != job->order->n_joins) abort();
}

static void show(const gw_job *job) {
  FILE *nowhere = fopen("/dev/null", "w");
  if (nowhere == NULL) abort();
  gw_json_check(job, nowhere);
  gw_view view = {.job = job, .hours = true, .start_s = 50000};
  if (gw_json_order(&view, nowhere) != GW_OK) abort();
  if (job->order != NULL && job->clock != NULL && gw_text_order(&view, nowhere) != GW_OK) abort();
  fclose(nowhere);
}

static void print(const gw_job *job) {
  const char *folder = getenv("FUZZ_SHEETS");
  gw_error err = {0};
  gw_sheets_job sheets = {.model = job->model, .fit = job->fit, .marks = job->marks,
                          .order = job->order, .clock = job->clock, .findings = job->findings,
                          .draft = !gw_job_mates(job)};
  gw_status status =
      gw_sheets_print(&sheets, folder == NULL ? "/tmp/gluewright-fuzz" : folder, &err);
  if (status == GW_OK || status == GW_TOO_LARGE) return;
  fprintf(stderr, "print: status %d: %s\n", (int)status, err.words);
  abort();
}

static unsigned sum_of(const uint8_t *data, size_t size) {
  unsigned sum = 0;
  for (size_t i = 0; i < size; ++i) sum = sum * 31 + data[i];
  return sum >> 8;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  int looks = 0;
  gw_job job;
  gw_error err = {0};
  gw_job_request request = {.path = "file", .bytes = (const char *)data, .count = size,
                            .depth = GW_TIMED, .stop = stop, .stop_data = &looks};
  gw_status status = gw_job_run(&job, &request, &err);
  if (status != GW_OK && status != GW_BAD_INPUT && status != GW_TOO_LARGE) {
    fprintf(stderr, "status %d: %s\n", (int)status, err.words);
    abort();
  }
  if (status == GW_OK) {
    check_shape(&job);
    show(&job);
    bool chosen = sum_of(data, size) % 8 == 0 || getenv("FUZZ_PRINT_ALL") != NULL;
    if (chosen && job.fit != NULL && job.marks != NULL && job.model->n_parts <= 60) print(&job);
  }
  gw_job_clear(&job);
  return 0;
}
