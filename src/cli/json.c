/* The two shapes for programs; tests/schemas describes them. */
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"

/* Jansson's objects steal what is put into them and take NULL for a failure,
 * so a tree is built in one go and looked at once. */

static json_t *text(const char *words) { return json_string(words == NULL ? "" : words); }

/* Ids of parts. */
static json_t *part_ids(const gw_job *job, const int *parts, int count) {
  json_t *list = json_array();
  for (int i = 0; i < count; ++i)
    json_array_append_new(list, text(job->model->parts[parts[i]].id));
  return list;
}

static json_t *joint_marks(const gw_job *job, const int *joints, int count) {
  json_t *list = json_array();
  for (int i = 0; i < count && job->marks != NULL; ++i)
    json_array_append_new(list, text(job->marks->joints[joints[i]].text));
  return list;
}

static json_t *finding(const gw_job *job, const gw_finding *f) {
  return json_pack("{s:s, s:s, s:s, s:i, s:s, s:o, s:o}", "severity", gw_severity_name(f->severity),
                   "code", f->code, "file", gw_findings_file(job->findings), "line", f->line,
                   "message", f->words, "parts", part_ids(job, f->parts, f->n_parts), "joints",
                   joint_marks(job, f->joints, f->n_joints));
}

static json_t *findings(const gw_job *job) {
  json_t *list = json_array();
  for (size_t i = 0; i < gw_findings_count(job->findings); ++i)
    json_array_append_new(list, finding(job, gw_findings_at(job->findings, i)));
  return list;
}

/* As text first, so that nothing is printed when memory is short. */
static gw_status dump(json_t *root, FILE *out) {
  if (root == NULL) return GW_NO_MEMORY;
  char *words = json_dumps(root, JSON_INDENT(1));
  json_decref(root);
  if (words == NULL) return GW_NO_MEMORY;
  bool good = fputs(words, out) >= 0 && fputc('\n', out) != EOF;
  free(words);
  return good ? GW_OK : GW_IO;
}

static const char *project_name(const gw_job *job) {
  return job->model != NULL && job->model->name != NULL ? job->model->name : "";
}

gw_status gw_json_check(const gw_job *job, FILE *out) {
  return dump(json_pack("{s:s, s:s, s:o}", "project", project_name(job), "verdict",
                        gw_job_mates(job) ? "mates" : "will-not-mate", "findings", findings(job)),
              out);
}

/* ---- order ------------------------------------------------------------------------- */

static json_t *marks(const gw_job *job) {
  json_t *parts = json_object(), *joints = json_array();
  const gw_model *m = job->model;
  for (int i = 0; job->marks != NULL && i < m->n_parts; ++i)
    json_object_set_new(parts, m->parts[i].id, text(job->marks->parts[i].text));
  for (int k = 0; job->marks != NULL && k < m->n_joints; ++k) {
    int i = job->marks->joint_walk[k];
    const gw_joint *j = &m->joints[i];
    json_array_append_new(
        joints,
        json_pack("{s:s, s:b, s:s, s:s, s:s, s:b}", "mark", job->marks->joints[i].text, "bar",
                  (int)job->marks->joints[i].bar, "entering", m->parts[gw_joint_enters(m, j)].id,
                  "receiving", m->parts[gw_joint_receives(m, j)].id, "kind",
                  gw_kind_of(j->kind)->code, "glued", (int)j->glued));
  }
  return json_pack("{s:o, s:o}", "parts", parts, "joints", joints);
}

static json_t *joins(const gw_job *job, const gw_stage *stage) {
  json_t *list = json_array();
  for (int i = 0; i < stage->n_joins; ++i) {
    const gw_join *j = &job->order->joins[stage->joins[i]];
    json_array_append_new(
        list, json_pack("{s:i, s:o, s:o, s:s, s:o, s:s}", "join", stage->joins[i] + 1, "moving",
                        part_ids(job, j->moving, j->n_moving), "onto",
                        part_ids(job, j->onto, j->n_onto), "direction", j->direction, "joints",
                        joint_marks(job, j->joints, j->n_joints), "words", j->words));
  }
  return list;
}

static json_t *step(const gw_job *job, const gw_step *s) {
  static const char *const actions[] = {"spread", "bring-together", "clamp"};
  json_t *o = json_pack("{s:i, s:i, s:i, s:i, s:s, s:s}", "start_s", s->start_s, "end_s", s->end_s,
                        "hand", s->hand + 1, "hands", s->hands, "action", actions[s->action],
                        "words", s->words);
  if (o == NULL) return NULL;
  if (s->joint >= 0) json_object_set_new(o, "joint", text(job->marks->joints[s->joint].text));
  else json_object_set_new(o, "join", json_integer(s->join + 1));
  json_object_set_new(o, "stop_by_s", s->stop_by_s < 0 ? json_null() : json_integer(s->stop_by_s));
  return o;
}

static json_t *steps(const gw_job *job, const gw_stage *stage) {
  json_t *list = json_array();
  for (int i = 0; i < stage->n_steps; ++i)
    json_array_append_new(list, step(job, &stage->steps[i]));
  return list;
}

static json_t *stages(const gw_job *job) {
  json_t *list = json_array();
  for (int i = 0; job->clock != NULL && i < job->clock->n_stages; ++i) {
    const gw_stage *s = &job->clock->stages[i];
    json_t *glue = s->glue < 0 ? json_null() : text(job->model->glues[s->glue].id);
    json_array_append_new(
        list, json_pack("{s:i, s:o, s:o, s:o, s:i, s:i, s:f, s:i, s:I, s:b}", "stage", i + 1,
                        "glue", glue, "joins", joins(job, s), "steps", steps(job, s), "wet_s",
                        s->wet_s, "limit_s", s->limit_s, "margin", s->margin_pm / 1000.0, "clamp_s",
                        s->clamp_s, "begins_s", (json_int_t)s->begins_s, "proven",
                        (int)s->proven));
  }
  return list;
}

gw_status gw_json_order(const gw_job *job, FILE *out) {
  const char *proof = job->order == NULL ? "none" : job->order->optimal ? "optimal" : "bound";
  json_t *root = json_pack("{s:s, s:o, s:o, s:s, s:o}", "project", project_name(job), "marks",
                           marks(job), "stages", stages(job), "proof", proof, "findings",
                           findings(job));
  if (root != NULL && job->order != NULL) {
    json_object_set_new(root, "cost", json_integer(job->order->cost));
    json_object_set_new(root, "bound", json_integer(job->order->bound));
  }
  return dump(root, out);
}
