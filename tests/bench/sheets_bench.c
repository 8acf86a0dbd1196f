/* sheets_bench.c - what one printed sheet of a piece costs.
 *
 *   sheets_bench PIECE.xml OUT.pdf labels|mark-out|dry-fit|glue-up
 *
 * Judges the piece as far as the sheet needs, prints the sheet, and writes one
 * line to standard output: processor seconds of judging, processor seconds of
 * printing, largest resident KiB of the whole.  See sheets_bench.sh. */
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>

#include "cli/job.h"
#include "sheets/sheets.h"

typedef gw_status print_fn(const gw_sheets_job *job, const char *path, gw_error *err);

static const struct sheet {
  const char *name;
  print_fn *print;
  gw_depth depth;
} SHEETS[] = {{"labels", gw_sheets_labels, GW_CHECKED},
              {"mark-out", gw_sheets_mark_out, GW_CHECKED},
              {"dry-fit", gw_sheets_dry_fit, GW_TIMED},
              {"glue-up", gw_sheets_glue_up, GW_TIMED}};

static int complain(const char *words) {
  fprintf(stderr, "sheets_bench: %s\n", words);
  return 3;
}

static double seconds(long *kib) {
  struct rusage used;
  if (getrusage(RUSAGE_SELF, &used) != 0) return 0;
  *kib = used.ru_maxrss;
  return (double)(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
         1e-6 * (double)(used.ru_utime.tv_usec + used.ru_stime.tv_usec);
}

static gw_status measure(const struct sheet *sheet, const char *piece, const char *pdf, gw_job *job,
                         gw_error *err) {
  long kib = 0;
  double begin = seconds(&kib);
  gw_job_request request = {.path = piece, .depth = sheet->depth};
  GW_TRY(gw_job_run(job, &request, err));
  double judged = seconds(&kib);
  gw_sheets_job sheets = {.model = job->model, .fit = job->fit, .marks = job->marks,
                          .order = job->order, .clock = job->clock, .findings = job->findings};
  GW_TRY(sheet->print(&sheets, pdf, err));
  double printed = seconds(&kib);
  printf("%.3f %.3f %ld\n", judged - begin, printed - judged, kib);
  return GW_OK;
}

int main(int argc, char **argv) {
  const struct sheet *sheet = NULL;
  gw_job job = {0};
  gw_error err = {GW_OK, "it failed"};
  for (size_t i = 0; argc == 4 && i < sizeof SHEETS / sizeof *SHEETS; ++i)
    if (strcmp(argv[3], SHEETS[i].name) == 0) sheet = &SHEETS[i];
  if (sheet == NULL)
    return complain("usage: sheets_bench PIECE.xml OUT.pdf labels|mark-out|dry-fit|glue-up");
  gw_status status = measure(sheet, argv[1], argv[2], &job, &err);
  gw_job_clear(&job);
  return status == GW_OK ? 0 : complain(err.words);
}
