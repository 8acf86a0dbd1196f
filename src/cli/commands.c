#include <errno.h>
#include <string.h>

#include "cli/cli.h"
#include "read/read.h"
#include "sheets/sheets.h"

gw_exit gw_cli_failed(const gw_job *job, gw_status status, const gw_error *err) {
  if (job->findings != NULL) gw_findings_print(job->findings, stderr);
  switch (status) {
    case GW_BAD_INPUT:
      if (err->words[0] != '\0') fprintf(stderr, "gluewright: %s\n", err->words);
      return GW_EXIT_NOT_JUDGED;
    case GW_NO_MEMORY: fputs("gluewright: memory is short\n", stderr); return GW_EXIT_MACHINE;
    case GW_IO:
      fprintf(stderr, "gluewright: %s\n", err->words);
      return GW_EXIT_MACHINE;
    case GW_TOO_LARGE:
      fprintf(stderr, "gluewright: %s\n", err->words[0] ? err->words : "the project is too large");
      return GW_EXIT_NOT_JUDGED;
    default:
      fprintf(stderr, "gluewright: %s\n", err->words[0] ? err->words : "a fault inside the program");
      return GW_EXIT_MACHINE;
  }
}

/* Findings, with --quiet the errors only. */
static void show_findings(const gw_options *o, const gw_job *job) {
  if (!o->quiet) {
    gw_findings_print(job->findings, stderr);
    return;
  }
  for (size_t i = 0; i < gw_findings_count(job->findings); ++i) {
    const gw_finding *f = gw_findings_at(job->findings, i);
    if (f->severity == GW_ERROR)
      fprintf(stderr, "%s:%d: error: %s [%s]\n", gw_findings_file(job->findings), f->line, f->words,
              f->code);
  }
}

/* A file that cannot be opened is one that could not be judged. */
static gw_exit unreadable(const gw_job *job, gw_status status, const gw_error *err) {
  gw_exit exit = gw_cli_failed(job, status, err);
  return status == GW_IO && job->model == NULL ? GW_EXIT_NOT_JUDGED : exit;
}

static gw_exit verdict(const gw_job *job) {
  return gw_job_mates(job) ? GW_EXIT_MATES : GW_EXIT_WILL_NOT;
}

static void say_verdict(const gw_options *o, const gw_job *job) {
  size_t errors = gw_findings_count_of(job->findings, GW_ERROR);
  if (o->quiet) return;
  if (errors == 0)
    printf("%s: it goes together (%d parts, %d joints)\n", job->model->name, job->model->n_parts,
           job->model->n_joints);
  else
    printf("%s: it does not go together: %zu error%s\n", job->model->name, errors,
           errors == 1 ? "" : "s");
}

gw_exit gw_cli_check(const gw_options *o) {
  gw_job job;
  gw_error err = {0};
  gw_status status = gw_job_run(&job, o->operand, GW_CHECKED, &err);
  gw_exit exit;
  if (status != GW_OK) {
    exit = unreadable(&job, status, &err);
  } else {
    exit = verdict(&job);
    if (o->json) {
      if (gw_json_check(&job, stdout) != GW_OK) exit = GW_EXIT_MACHINE;
    } else {
      show_findings(o, &job);
      say_verdict(o, &job);
    }
  }
  gw_job_clear(&job);
  return exit;
}

/* ---- order ------------------------------------------------------------------------- */

static void print_step(const gw_step *step) {
  char at[GW_TIME_TEXT], by[GW_TIME_TEXT] = "";
  if (step->start_s < 0) snprintf(at, sizeof at, "before");
  else snprintf(at, sizeof at, "T+%s", gw_time_text(step->start_s, by, sizeof by));
  by[0] = '\0';
  if (step->stop_by_s >= 0) gw_time_text(step->stop_by_s, by, sizeof by);
  printf("  %-9s %-9s %s%s\n", at, by, step->hands > 1 ? "(two people) " : "", step->words);
}

static void print_stage(const gw_job *job, int index) {
  const gw_stage *stage = &job->clock->stages[index];
  char wet[GW_TIME_TEXT], limit[GW_TIME_TEXT], clamp[GW_TIME_TEXT], apart[GW_TIME_TEXT];
  if (stage->glue < 0) {
    printf("\nStage %d, dry\n", index + 1);
  } else {
    const gw_glue_use *use = &job->clock->uses[stage->glue];
    gw_time_text(stage->wet_s, wet, sizeof wet);
    gw_time_text(stage->limit_s, limit, sizeof limit);
    gw_time_text(stage->clamp_s, clamp, sizeof clamp);
    printf("\nStage %d, %s: open %s of %s%s, margin %d %%, about %.0f g of glue\n", index + 1,
           use->glue->id, wet, limit, use->typical_open ? " (" GW_GLUE_TYPICAL ")" : "",
           stage->margin_pm / 10, stage->grams);
  }
  printf("  %-9s %-9s\n", "at", "done by");
  for (int i = 0; i < stage->n_steps; ++i) print_step(&stage->steps[i]);
  if (stage->glue < 0) return;
  printf("  Last moment to pull apart: T+%s.  In clamps for %s.\n",
         gw_time_text(stage->pull_apart_s, apart, sizeof apart), clamp);
}

static void print_text(const gw_job *job) {
  const gw_order *order = job->order;
  printf("%s: %d joins", job->model->name, order->n_joins);
  if (order->optimal) printf(", the best order there is\n");
  else printf(", a good order (cost %lld, none below %lld)\n", (long long)order->cost,
              (long long)order->bound);
  for (int i = 0; i < job->clock->n_stages; ++i) print_stage(job, i);
}

/* Sub-assemblies, two blanks deeper at each join. */
static void print_tree(const gw_job *job) {
  const gw_order *order = job->order;
  for (int i = order->n_joins - 1; i >= 0; --i) {
    int deep = 0;
    for (int up = order->joins[i].parent; up >= 0; up = order->joins[up].parent) ++deep;
    printf("%*s%d. %s\n", deep * 2, "", i + 1, order->joins[i].words);
  }
}

gw_exit gw_cli_order(const gw_options *o) {
  gw_job job;
  gw_error err = {0};
  gw_status status = gw_job_run(&job, o->operand, GW_TIMED, &err);
  gw_exit exit;
  if (status != GW_OK) {
    exit = unreadable(&job, status, &err);
  } else {
    exit = verdict(&job);
    show_findings(o, &job);
    bool timed = job.order != NULL && job.clock != NULL;
    if (o->json) {
      if (gw_json_order(&job, stdout) != GW_OK) exit = GW_EXIT_MACHINE;
    } else if (timed && o->tree) {
      print_tree(&job);
    } else if (timed) {
      print_text(&job);
    }
  }
  gw_job_clear(&job);
  return exit;
}

/* ---- print ------------------------------------------------------------------------- */

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
  gw_sheets_job sheets = {.model = job->model, .fit = job->fit, .marks = job->marks,
                          .order = job->order, .clock = job->clock, .findings = job->findings,
                          .draft = !mates, .paper = o->letter ? GW_PAPER_LETTER : GW_PAPER_A4};
  gw_status status = gw_sheets_print(&sheets, folder, err);
  if (status != GW_OK) {
    fprintf(stderr, "gluewright: %s\n", err->words[0] ? err->words : "memory is short");
    return GW_EXIT_MACHINE;
  }
  if (!o->quiet) printf("%s: sheets printed into %s\n", job->model->name, folder);
  return mates ? GW_EXIT_MATES : GW_EXIT_WILL_NOT;
}

gw_exit gw_cli_print(const gw_options *o) {
  gw_job job;
  gw_error err = {0};
  gw_status status = gw_job_run(&job, o->operand, GW_TIMED, &err);
  gw_exit exit;
  if (status != GW_OK) {
    exit = unreadable(&job, status, &err);
  } else {
    show_findings(o, &job);
    exit = print_job(o, &job, &err);
  }
  gw_job_clear(&job);
  return exit;
}

/* ---- schema -------------------------------------------------------------------------- */

gw_exit gw_cli_schema(const gw_options *o) {
  size_t length;
  const char *text = gw_read_schema(&length);
  FILE *out = o->output == NULL ? stdout : fopen(o->output, "wb");
  if (out == NULL || fwrite(text, 1, length, out) != length ||
      (o->output != NULL && fclose(out) != 0)) {
    fprintf(stderr, "gluewright: %s cannot be written: %s\n", o->output ? o->output : "output",
            strerror(errno));
    return GW_EXIT_MACHINE;
  }
  return GW_EXIT_MATES;
}
