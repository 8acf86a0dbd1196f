#include "cli/rehearse.h"

#include <stdlib.h>
#include <string.h>

#include "cli/csv.h"
#include "cli/files.h"

static const char *const action_names[] = {"spread", "bring-together", "clamp"};
static const char *const columns[] = {"stage", "step",      "action", "number",
                                      "words", "planned_s", "real_s"};
enum {
  COLUMNS = sizeof columns / sizeof *columns,
  ACTIONS = 3,
  MOST_BYTES = 1 << 22,
  LONGEST_S = 86400
};

const char *gw_action_name(gw_action action) { return action_names[action]; }

int gw_step_number(const gw_job *job, const gw_step *step) {
  return step->action == GW_SPREAD ? atoi(job->marks->joints[step->joint].text) : step->join + 1;
}

const gw_step *gw_step_like(const gw_clock *clock, const gw_step *step) {
  for (int k = 0; clock != NULL && k < clock->n_stages; ++k)
    for (int i = 0; i < clock->stages[k].n_steps; ++i) {
      const gw_step *s = &clock->stages[k].steps[i];
      if (s->action == step->action && (s->action == GW_SPREAD ? s->joint == step->joint
                                                               : s->join == step->join))
        return s;
    }
  return NULL;
}

/* ---- writing --------------------------------------------------------------------------------- */

static void write_number(int number, FILE *out) {
  char text[16];
  snprintf(text, sizeof text, "%d", number);
  gw_csv_text(out, false, text);
}

static void write_row(const gw_job *job, int stage, int index, int real_s, FILE *out) {
  const gw_step *step = &job->clock->stages[stage].steps[index];
  char text[16];
  snprintf(text, sizeof text, "%d", stage + 1);
  gw_csv_text(out, true, text);
  write_number(index + 1, out);
  gw_csv_text(out, false, action_names[step->action]);
  write_number(gw_step_number(job, step), out);
  gw_csv_text(out, false, step->words);
  write_number(step->end_s - step->start_s, out);
  if (real_s >= 0) write_number(real_s, out);
  else gw_csv_text(out, false, "");
  gw_csv_end(out);
}

gw_status gw_rehearse_write(const gw_job *job, const int *real_s, FILE *out) {
  for (int i = 0; i < COLUMNS; ++i) gw_csv_text(out, i == 0, columns[i]);
  gw_csv_end(out);
  for (int stage = 0, row = 0; stage < job->clock->n_stages; ++stage)
    for (int i = 0; i < job->clock->stages[stage].n_steps; ++i, ++row)
      write_row(job, stage, i, real_s == NULL ? -1 : real_s[row], out);
  return ferror(out) ? GW_IO : GW_OK;
}

/* ---- reading --------------------------------------------------------------------------------- */

/* Whole seconds from "35", "35 s", "35.5" or "1:05"; -1 when it is none of them. */
static int parse_seconds(const char *text) {
  char *end;
  long number = strtol(text, &end, 10);
  if (end == text || number < 0 || number > LONGEST_S) return -1;
  if (*end == ':') {
    const char *rest = end + 1;
    long seconds = strtol(rest, &end, 10);
    if (end - rest != 2 || seconds < 0 || seconds > 59 || *end != '\0') return -1;
    number = number * 60 + seconds;
  } else if (*end == '.' || *end == ',') {
    ++end;
    if (*end >= '5' && *end <= '9') ++number;
    end += strspn(end, "0123456789");
  }
  end += strspn(end, " ");
  if (*end == 's') ++end;
  return *end == '\0' && number <= LONGEST_S ? (int)number : -1;
}

static int column_of(const gw_csv_row *head, const char *name) {
  for (int i = 0; i < head->n_fields; ++i)
    if (strcmp(head->fields[i], name) == 0) return i;
  return -1;
}

static const char *field(const gw_csv_row *row, int column) {
  return column < row->n_fields ? row->fields[column] : "";
}

typedef struct reading {
  const char *path;
  int action, number, real;
  gw_rehearsal *out;
  gw_error *err;
} reading;

static gw_status read_row(const reading *r, const gw_csv_row *row) {
  const char *real = field(row, r->real), *action = field(row, r->action);
  if (real[0] == '\0') return GW_OK;
  int kind = 0, seconds = parse_seconds(real);
  while (kind < ACTIONS && strcmp(action_names[kind], action) != 0) ++kind;
  if (kind == ACTIONS)
    return gw_fail(r->err, GW_BAD_INPUT,
                   "%s:%d: the action is spread, bring-together or clamp, not \"%.40s\"", r->path,
                   row->line, action);
  if (seconds < 0)
    return gw_fail(r->err, GW_BAD_INPUT, "%s:%d: \"%.40s\" is no time; write 35, 35 s or 1:05",
                   r->path, row->line, real);
  gw_rehearsal *out = r->out;
  out->lines[out->times.count] = row->line;
  out->items[out->times.count++] = (gw_time){(gw_action)kind, atoi(field(row, r->number)),
                                             seconds > 0 ? seconds : 1};
  return GW_OK;
}

static gw_status read_rows(const char *path, const gw_csv *csv, gw_rehearsal *out, gw_error *err) {
  const gw_csv_row *head = csv->rows;
  if (csv->n_rows == 0) return gw_fail(err, GW_BAD_INPUT, "%s is empty", path);
  reading r = {
      path, column_of(head, "action"), column_of(head, "number"), column_of(head, "real_s"), out,
      err};
  if (r.action < 0 || r.number < 0 || r.real < 0)
    return gw_fail(err, GW_BAD_INPUT, "%s has no columns action, number and real_s; begin with "
                   "gluewright order --rehearse", path);
  out->items = calloc((size_t)csv->n_rows, sizeof *out->items);
  out->lines = calloc((size_t)csv->n_rows, sizeof *out->lines);
  if (out->items == NULL || out->lines == NULL) return GW_NO_MEMORY;
  out->times.items = out->items;
  for (int i = 1; i < csv->n_rows; ++i) GW_TRY(read_row(&r, &csv->rows[i]));
  return GW_OK;
}

gw_status gw_rehearsal_read(const char *path, gw_rehearsal *out, gw_error *err) {
  char *bytes;
  size_t count;
  gw_csv csv = {0};
  *out = (gw_rehearsal){.items = NULL};
  GW_TRY(gw_file_read(path, MOST_BYTES, &bytes, &count, err));
  gw_status status = gw_csv_read(bytes, count, &csv, err);
  if (status == GW_OK) status = read_rows(path, &csv, out, err);
  gw_csv_clear(&csv);
  free(bytes);
  return status;
}

void gw_rehearsal_clear(gw_rehearsal *r) {
  free(r->items);
  free(r->lines);
  *r = (gw_rehearsal){.items = NULL};
}

bool gw_rehearsal_known(const gw_job *job, const gw_time *time) {
  if (time->action != GW_SPREAD) return time->number >= 1 && time->number <= job->order->n_joins;
  for (int i = 0; i < job->model->n_joints; ++i)
    if (job->model->joints[i].glued && atoi(job->marks->joints[i].text) == time->number)
      return true;
  return false;
}
