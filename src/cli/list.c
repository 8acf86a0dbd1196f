/* `gluewright list`: parts, joints and the timed order for a spreadsheet. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "cli/cli.h"
#include "cli/csv.h"
#include "cli/files.h"

static void put_number(FILE *out, bool first, int64_t value) {
  char text[24];
  snprintf(text, sizeof text, "%lld", (long long)value);
  gw_csv_text(out, first, text);
}

static void put_length(FILE *out, const gw_job *job, gw_len length) {
  char text[GW_LEN_TEXT];
  gw_csv_text(out, false, gw_len_text(length, job->model->units, text, sizeof text));
}

static const char *or_empty(const char *text) { return text == NULL ? "" : text; }
static const char *yes_no(bool yes) { return yes ? "yes" : "no"; }

/* Parts in the order of their letters; the sizes are finished sizes, overall, in
 * the units of the piece. */
static void list_parts(const gw_job *job, FILE *out) {
  const gw_model *m = job->model;
  fputs("mark,id,name,length,width,thickness,material,count\n", out);
  for (int k = 0; k < m->n_parts; ++k) {
    int i = job->marks->part_walk[k];
    const gw_part *p = &m->parts[i];
    gw_csv_text(out, true, job->marks->parts[i].text);
    gw_csv_text(out, false, p->id);
    gw_csv_text(out, false, or_empty(p->name));
    gw_len size[3];
    gw_fit_finished(job->fit, m, i, size);
    for (int axis = 0; axis < 3; ++axis) put_length(out, job, size[axis]);
    gw_csv_text(out, false, or_empty(p->material));
    put_number(out, false, m->copies);
    gw_csv_end(out);
  }
}

static void list_joints(const gw_job *job, FILE *out) {
  const gw_model *m = job->model;
  fputs("mark,bar,kind,entering,receiving,glue\n", out);
  for (int k = 0; k < m->n_joints; ++k) {
    int i = job->marks->joint_walk[k];
    const gw_joint *j = &m->joints[i];
    gw_csv_text(out, true, job->marks->joints[i].text);
    gw_csv_text(out, false, yes_no(job->marks->joints[i].bar));
    gw_csv_text(out, false, gw_kind_of(j->kind)->words);
    gw_csv_text(out, false, m->parts[gw_joint_enters(m, j)].id);
    gw_csv_text(out, false, m->parts[gw_joint_receives(m, j)].id);
    gw_csv_text(out, false, j->glued && j->glue >= 0 ? m->glues[j->glue].id : "");
    gw_csv_end(out);
  }
}

static void list_step(const gw_job *job, int stage, const gw_step *s, FILE *out) {
  static const char *const actions[] = {"spread", "bring together", "clamp"};
  int glue = job->clock->stages[stage].glue;
  put_number(out, true, stage + 1);
  gw_csv_text(out, false, glue < 0 ? "" : job->model->glues[glue].id);
  put_number(out, false, s->join + 1);
  gw_csv_text(out, false, actions[s->action]);
  gw_csv_text(out, false, s->joint < 0 ? "" : job->marks->joints[s->joint].text);
  put_number(out, false, s->start_s);
  put_number(out, false, s->end_s);
  if (s->stop_by_s < 0)
    gw_csv_text(out, false, "");
  else
    put_number(out, false, s->stop_by_s);
  put_number(out, false, s->hands);
  gw_csv_text(out, false, or_empty(s->words));
  gw_csv_end(out);
}

/* Seconds from the first glue of the stage. */
static void list_order(const gw_job *job, FILE *out) {
  fputs("stage,glue,join,action,joint,start,end,done by,people,words\n", out);
  for (int i = 0; job->clock != NULL && i < job->clock->n_stages; ++i)
    for (int k = 0; k < job->clock->stages[i].n_steps; ++k)
      list_step(job, i, &job->clock->stages[i].steps[k], out);
}

static const struct {
  const char *name;
  void (*write)(const gw_job *job, FILE *out);
} tables[] = {{"parts", list_parts}, {"joints", list_joints}, {"order", list_order}};
enum { TABLES = sizeof tables / sizeof *tables };

gw_status gw_list_table(const gw_job *job, const char *table, FILE *out) {
  if (job->marks == NULL) return GW_BAD_INPUT;
  for (int i = 0; i < TABLES; ++i)
    if (strcmp(tables[i].name, table) == 0) {
      tables[i].write(job, out);
      return ferror(out) ? GW_IO : GW_OK;
    }
  return GW_BAD_INPUT;
}

/* ---- the command ----------------------------------------------------------------- */

static gw_status list_into(const gw_job *job, const char *table, const char *folder,
                           gw_error *err) {
  size_t size = strlen(folder) + strlen(table) + sizeof "/.csv";
  char *path = malloc(size);
  if (path == NULL) return GW_NO_MEMORY;
  snprintf(path, size, "%s/%s.csv", folder, table);
  FILE *out = gw_file_open(path, false, err);
  gw_status status = out == NULL ? err->status : gw_list_table(job, table, out);
  if (out != NULL) {
    gw_status closed = gw_file_close(out, path, err);
    if (status == GW_OK) status = closed;
  }
  free(path);
  return status;
}

/* One table, or all of them with an empty line between. */
static gw_status list_all(const gw_options *o, const gw_job *job, gw_error *err) {
  if (o->output != NULL && mkdir(o->output, 0777) != 0 && errno != EEXIST)
    return gw_fail(err, GW_IO, "the folder %s cannot be made: %s", o->output, strerror(errno));
  for (int i = 0, n = 0; i < TABLES; ++i) {
    if (o->table != NULL && strcmp(o->table, tables[i].name) != 0) continue;
    if (o->output != NULL) {
      GW_TRY(list_into(job, tables[i].name, o->output, err));
      continue;
    }
    if (n++ > 0) putchar('\n');
    GW_TRY(gw_list_table(job, tables[i].name, stdout));
  }
  return GW_OK;
}

static bool is_table(const char *name) {
  for (int i = 0; i < TABLES; ++i)
    if (strcmp(tables[i].name, name) == 0) return true;
  return false;
}

gw_exit gw_cli_list(const gw_options *o) {
  gw_job job;
  gw_error err = {0};
  if (o->table != NULL && !is_table(o->table)) {
    fprintf(stderr, "gluewright: there are the tables parts, joints and order, but no %s\n",
            o->table);
    return GW_EXIT_NOT_JUDGED;
  }
  gw_status status = gw_cli_run(o, GW_TIMED, &job, &err);
  gw_exit exit = GW_EXIT_MATES;
  if (status != GW_OK) {
    exit = gw_cli_unreadable(o, &job, status, &err);
  } else {
    gw_cli_show(o, &job);
    status = job.marks == NULL ? GW_OK : list_all(o, &job, &err);
    if (!gw_job_mates(&job)) exit = GW_EXIT_WILL_NOT;
    if (status != GW_OK) exit = gw_cli_failed(status, &err);
  }
  gw_job_clear(&job);
  return exit;
}
