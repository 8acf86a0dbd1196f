#include <string.h>
#include <unistd.h>

#include "cli/cli.h"
#include "cli/files.h"
#include "cli/progress.h"
#include "cli/show.h"
#include "read/read.h"
#include "sheets/sheets.h"

void gw_cli_show(const gw_options *o, const gw_job *job) {
  gw_term term = gw_term_at(STDERR_FILENO, o->colour);
  gw_show_findings(job->findings, o->quiet, &term, stderr);
}

gw_exit gw_cli_failed(gw_status status, const gw_error *err) {
  switch (status) {
    case GW_BAD_INPUT:
      if (err->words[0] != '\0') fprintf(stderr, "gluewright: %s\n", err->words);
      return GW_EXIT_NOT_JUDGED;
    case GW_NO_MEMORY: fputs("gluewright: memory is short\n", stderr); return GW_EXIT_MACHINE;
    case GW_IO: /* what has no name is standard output */
      fprintf(stderr, "gluewright: %s\n",
              err->words[0] ? err->words : "standard output could not be written");
      return GW_EXIT_MACHINE;
    case GW_TOO_LARGE:
      fprintf(stderr, "gluewright: %s\n", err->words[0] ? err->words : "the project is too large");
      return GW_EXIT_NOT_JUDGED;
    default:
      fprintf(stderr, "gluewright: %s\n", err->words[0] ? err->words : "a fault inside the program");
      return GW_EXIT_MACHINE;
  }
}

gw_exit gw_cli_unreadable(const gw_options *o, const gw_job *job, gw_status status,
                          const gw_error *err) {
  if (job->findings != NULL) gw_cli_show(o, job);
  gw_exit exit = gw_cli_failed(status, err);
  return status == GW_IO && job->model == NULL ? GW_EXIT_NOT_JUDGED : exit;
}

static gw_exit verdict(const gw_job *job) {
  return gw_job_mates(job) ? GW_EXIT_MATES : GW_EXIT_WILL_NOT;
}

static void say_verdict(const gw_options *o, const gw_job *job) {
  size_t errors = gw_findings_count_of(job->findings, GW_ERROR);
  if (o->quiet) return;
  if (errors == 0)
    printf("%s%s: it goes together (%d parts, %d joints)\n", job->model->name,
           o->as_measured ? ", as measured" : "", job->model->n_parts, job->model->n_joints);
  else
    printf("%s%s: it does not go together: %zu error%s\n", job->model->name,
           o->as_measured ? ", as measured" : "", errors, errors == 1 ? "" : "s");
}

gw_status gw_cli_run(const gw_options *o, gw_depth depth, gw_job *job, gw_error *err) {
  gw_job_request request = {.path = o->operand, .depth = depth, .as_measured = o->as_measured,
                            .measured_list = o->measured, .clock = o->clock};
  gw_progress progress = {.quiet = o->quiet};
  if (depth == GW_TIMED) {
    request.searching = gw_progress_searching;
    request.stop = gw_progress_stop;
    request.better = gw_progress_better;
    request.stop_data = &progress;
  }
  return gw_job_run(job, &request, err);
}

gw_exit gw_cli_check(const gw_options *o) {
  gw_job job;
  gw_error err = {0};
  gw_status status = gw_cli_run(o, GW_CHECKED, &job, &err);
  gw_exit exit;
  if (status != GW_OK) {
    exit = gw_cli_unreadable(o, &job, status, &err);
  } else {
    exit = verdict(&job);
    if (o->json) {
      status = gw_json_check(&job, stdout);
      if (status != GW_OK) exit = gw_cli_failed(status, &err);
    } else {
      gw_cli_show(o, &job);
      say_verdict(o, &job);
    }
  }
  gw_job_clear(&job);
  return exit;
}

/* ---- print ------------------------------------------------------------------------- */

/* What the sheets are made from; `labels` is how the labels lie. */
static gw_sheets_job sheets_of(const gw_options *o, const gw_job *job, const gw_label_sheet *labels) {
  gw_sheets_job sheets = gw_job_sheets(job, labels, o->first_label);
  if (o->letter) sheets.paper = GW_PAPER_LETTER;
  sheets.allocate = gw_cli_allocate;
  return sheets;
}

/* Prints, or says why not. */
static gw_exit print_job(const gw_options *o, const gw_job *job, gw_error *err) {
  bool mates = gw_job_mates(job);
  const char *folder = o->output == NULL ? "output" : o->output;
  bool can = job->fit != NULL && job->marks != NULL;
  if (!mates && (!o->draft || !can)) {
    if (!o->quiet)
      fprintf(stderr, "gluewright: nothing is printed of a piece that will not mate%s\n",
              can ? "; --draft prints it all the same, each page marked so" : "");
    return GW_EXIT_WILL_NOT;
  }
  gw_label_sheet labels = job->model->labels;
  if (o->labels != NULL && !gw_cli_labels(o->labels, &labels)) return GW_EXIT_NOT_JUDGED;
  gw_sheets_job sheets = sheets_of(o, job, &labels);
  gw_status status = gw_sheets_print(&sheets, folder, err);
  if (status != GW_OK) return gw_cli_failed(status, err);
  if (!o->quiet) printf("%s: sheets printed into %s\n", job->model->name, folder);
  return mates ? GW_EXIT_MATES : GW_EXIT_WILL_NOT;
}

gw_exit gw_cli_print(const gw_options *o) {
  gw_job job;
  gw_error err = {0};
  gw_status status = gw_cli_run(o, GW_TIMED, &job, &err);
  gw_exit exit;
  if (status != GW_OK) {
    exit = gw_cli_unreadable(o, &job, status, &err);
  } else {
    gw_sheets_job sheets = sheets_of(o, &job, &job.model->labels);
    bool drawable = job.fit != NULL && job.marks != NULL;
    status = drawable ? gw_sheets_missing(&sheets, job.findings, &err) : GW_OK;
    gw_findings_sort(job.findings);
    gw_cli_show(o, &job);
    exit = status == GW_OK ? print_job(o, &job, &err) : gw_cli_failed(status, &err);
  }
  gw_job_clear(&job);
  return exit;
}

/* ---- schema -------------------------------------------------------------------------- */

gw_exit gw_cli_schema(const gw_options *o) {
  size_t length;
  const char *text = o->relaxng ? gw_read_relaxng(&length) : gw_read_schema(&length);
  gw_error err = {0};
  FILE *out = gw_file_open(o->output, false, &err);
  gw_status status = err.status;
  if (out != NULL) {
    fwrite(text, 1, length, out);
    status = gw_file_close(out, o->output, &err);
  }
  return status == GW_OK ? GW_EXIT_MATES : gw_cli_failed(status, &err);
}
