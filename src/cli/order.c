/* The command `order`. */
#include <string.h>

#include "cli/cli.h"
#include "cli/files.h"
#include "cli/rehearse.h"
#include "cli/view.h"

static void warn_unknown(const gw_options *o, const gw_job *job, const gw_rehearsal *r) {
  for (int i = 0; i < r->times.count && !o->quiet; ++i)
    if (!gw_rehearsal_known(job, &r->items[i]))
      fprintf(stderr, "gluewright: %s:%d: the piece has no %s %d to %s; the row is passed over\n",
              o->times, r->lines[i], r->items[i].action == GW_SPREAD ? "glued joint" : "join",
              r->items[i].number, gw_action_name(r->items[i].action));
}

/* The same piece without the rehearsed times, for comparison. */
static gw_status plan_plainly(const gw_job *job, gw_clock **out) {
  gw_findings *unheard = gw_findings_new(job->model->file);
  if (unheard == NULL) return GW_NO_MEMORY;
  gw_status status = gw_clock_make(job->model, job->fit, job->marks, job->order, unheard, out);
  gw_findings_free(unheard);
  return status;
}

static gw_status write_table(const gw_options *o, const gw_job *job, gw_error *err) {
  FILE *out = gw_file_open(o->output, false, err);
  if (out == NULL) return err->status;
  gw_status status = gw_rehearse_write(job, NULL, out);
  gw_status closed = gw_file_close(out, o->output, err);
  return status == GW_OK ? closed : status;
}

static gw_status write_view(const gw_options *o, gw_view *view) {
  const gw_job *job = view->job;
  gw_ways *ways = NULL;
  gw_clock *plain = NULL;
  bool timed = job->order != NULL && job->clock != NULL;
  gw_status status = GW_OK;
  if (timed && o->ways)
    status = gw_ways_make(job->model, job->fit, job->marks, job->order, job->clock, &ways);
  if (timed && o->times != NULL && status == GW_OK) status = plan_plainly(job, &plain);
  view->ways = ways;
  view->plain = plain;
  if (status == GW_OK && o->json) status = gw_json_order(view, stdout);
  else if (status == GW_OK && timed)
    status = o->tree ? gw_text_tree(job, stdout) : gw_text_order(view, stdout);
  gw_clock_free(plain);
  gw_ways_free(ways);
  return status;
}

static gw_exit show(const gw_options *o, const gw_job *job, gw_error *err) {
  gw_view view = {.job = job, .hours = o->start != NULL};
  if (view.hours && !gw_hour_parse(o->start, &view.start_s)) {
    fprintf(stderr, "gluewright: --start is an hour such as 14:00, not %s\n", o->start);
    return GW_EXIT_NOT_JUDGED;
  }
  gw_cli_show(o, job);
  bool timed = job->order != NULL && job->clock != NULL;
  gw_status status = GW_OK;
  if (o->rehearse && timed) status = write_table(o, job, err);
  else if (!o->rehearse) status = write_view(o, &view);
  if (status != GW_OK) return gw_cli_failed(status, err);
  return gw_job_mates(job) ? GW_EXIT_MATES : GW_EXIT_WILL_NOT;
}

gw_status gw_cli_run_rehearsed(const gw_options *options, gw_job *job, gw_rehearsal *rehearsal,
                               gw_error *err) {
  gw_options o = *options;
  gw_clock_options clock = {.times = &rehearsal->times};
  if (o.times != NULL) {
    gw_status status = gw_rehearsal_read(o.times, rehearsal, err);
    if (status != GW_OK) return status == GW_IO ? GW_BAD_INPUT : status;
    o.clock = &clock;
  }
  GW_TRY(gw_cli_run(&o, GW_TIMED, job, err));
  if (job->order != NULL) warn_unknown(&o, job, rehearsal);
  return GW_OK;
}

gw_exit gw_cli_order(const gw_options *o) {
  gw_job job = {0};
  gw_error err = {0};
  gw_rehearsal rehearsal = {.items = NULL};
  gw_status status = gw_cli_run_rehearsed(o, &job, &rehearsal, &err);
  gw_exit exit = status == GW_OK ? show(o, &job, &err) : gw_cli_unreadable(o, &job, status, &err);
  gw_job_clear(&job);
  gw_rehearsal_clear(&rehearsal);
  return exit;
}
