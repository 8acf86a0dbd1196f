/* The command `follow`: the glue-up at a terminal, step by step, with a clock. */
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "cli/cli.h"
#include "cli/files.h"
#include "cli/follow_draw.h"
#include "cli/rawterm.h"
#include "cli/rehearse.h"

enum { TICK_MS = 200, DEFAULT_WIDTH = 80, CONTROL_C = 3 };

static int64_t now_ms(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

/* A finger on the wrong key must not end a glue-up: q asks, and a second one stops.
 * Any other key takes the question back and does nothing else. */
static bool stops(gw_following *f, int *key) {
  if (*key == GW_KEY_NONE) return false;
  bool again = f->stopping, is_q = *key == 'q' || *key == 'Q';
  f->stopping = is_q && !again;
  if (again && !is_q) *key = GW_KEY_NONE;
  return again && is_q;
}

/* Until the last step is done, or it is stopped. */
static void follow(gw_following *f, gw_rawterm *term, const gw_options *o) {
  for (int key = GW_KEY_NONE; f->at < f->count;) {
    int width = gw_term_at(STDOUT_FILENO, o->colour).width;
    gw_follow_draw(f, now_ms(), width > 0 ? width : DEFAULT_WIDTH, stdout);
    key = gw_rawterm_key(term, TICK_MS);
    if (key == GW_KEY_END || key == CONTROL_C || stops(f, &key)) return;
    if (f->stopping || key == GW_KEY_NONE) continue;
    if (key == ' ' || key == '\r' || key == '\n') gw_following_done(f, now_ms());
    if (key == 'b' || key == 'B') gw_following_back(f);
  }
}

static gw_status write_times(const gw_following *f, FILE *out) {
  int *real_s = malloc(((size_t)f->count + 1) * sizeof *real_s);
  if (real_s == NULL) return GW_NO_MEMORY;
  gw_following_seconds(f, real_s);
  gw_status status = gw_rehearse_write(f->job, real_s, out);
  free(real_s);
  return status;
}

static gw_status follow_and_write(const gw_options *o, const gw_job *job, FILE *out,
                                  gw_error *err) {
  gw_following f;
  gw_rawterm term;
  gw_status status = gw_following_make(job, &f);
  if (status == GW_OK && !gw_rawterm_open(&term))
    status = gw_fail(err, GW_BAD_INPUT,
                     "follow needs a terminal; gluewright order prints the same list");
  if (status == GW_OK) {
    follow(&f, &term, o);
    gw_rawterm_close(&term);
    if (out != NULL) status = write_times(&f, out);
    printf("%s: %d of %d steps done%s%s\n", job->model->name, f.at, f.count,
           out != NULL ? "; times in " : "", out != NULL ? o->output : "");
    if (out != NULL && fflush(out) != 0) status = GW_IO;
    fflush(stdout);
    gw_rawterm_release(&term);
  }
  gw_following_clear(&f);
  return status;
}

/* The table is opened first: an hour's times must not be lost for a wrong name. */
static gw_status follow_job(const gw_options *o, const gw_job *job, gw_error *err) {
  if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO)) return follow_and_write(o, job, NULL, err);
  FILE *out = o->output == NULL ? NULL : gw_file_open(o->output, true, err);
  if (o->output != NULL && out == NULL) return err->status;
  gw_status status = follow_and_write(o, job, out, err);
  if (out == NULL) return status;
  gw_status closed = gw_file_close(out, o->output, err);
  return status == GW_OK ? closed : status;
}

gw_exit gw_cli_follow(const gw_options *options) {
  gw_job job = {0};
  gw_error err = {0};
  gw_rehearsal rehearsal = {.items = NULL};
  gw_exit exit = GW_EXIT_MATES;
  gw_status status = gw_cli_run_rehearsed(options, &job, &rehearsal, &err);
  if (status != GW_OK) {
    exit = gw_cli_unreadable(options, &job, status, &err);
  } else {
    gw_cli_show(options, &job);
    bool ready = gw_job_mates(&job) && job.clock != NULL;
    if (ready) status = follow_job(options, &job, &err);
    if (!ready) exit = GW_EXIT_WILL_NOT;
    if (status != GW_OK) exit = gw_cli_failed(status, &err);
  }
  gw_job_clear(&job);
  gw_rehearsal_clear(&rehearsal);
  return exit;
}
