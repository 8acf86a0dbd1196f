/* The two shapes for programs; tests/schemas describes them. */
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"
#include "cli/rehearse.h"
#include "cli/view.h"
#include "sheets/session.h"

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

/* ---- order ----------------------------------------------------------------------------------- */

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
  static const char *const rates[] = {"typical", "own", "rehearsed"};
  json_t *o = json_pack("{s:i, s:i, s:i, s:i, s:s, s:s, s:s}", "start_s", s->start_s, "end_s",
                        s->end_s, "hand", s->hand + 1, "hands", s->hands, "action",
                        gw_action_name(s->action), "rate", rates[s->source], "words", s->words);
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

static json_t *clamps(const gw_job *job, const gw_stage *stage) {
  static const char *const along[] = {"left-right", "front-back", "down-up"};
  json_t *list = json_array();
  for (int i = 0; i < stage->n_pulls; ++i) {
    const gw_pull *pull = &stage->pulls[i];
    json_t *kind = pull->kind < 0 ? json_null() : text(job->model->shop.clamps[pull->kind].kind);
    json_array_append_new(
        list, json_pack("{s:s, s:i, s:i, s:f, s:o, s:f}", "along", along[pull->axis], "count",
                        pull->count, "wanted", pull->wanted, "opening_mm", gw_len_mm(pull->opening),
                        "kind", kind, "force_n", pull->force_n));
  }
  return list;
}

static void add_hours(const gw_view *view, const gw_stage *s, json_t *o) {
  char begins[GW_HOUR_TEXT], off[GW_HOUR_TEXT], cured[GW_HOUR_TEXT];
  json_t *hours =
      json_pack("{s:s}", "begins", gw_hour_text(view, s->begins_s, begins, sizeof begins));
  if (s->glue >= 0) {
    json_object_set_new(hours, "clamps_off",
                        text(gw_hour_text(view, gw_clock_off(s), off, sizeof off)));
    json_object_set_new(hours, "cured",
                        text(gw_hour_text(view, gw_clock_cured(s), cured, sizeof cured)));
  }
  json_object_set_new(o, "hours", hours);
}

/* What only a stage with glue has. */
static void add_glue(const gw_job *job, const gw_stage *s, json_t *o) {
  const gw_glue_use *use = &job->clock->uses[s->glue];
  json_object_set_new(o, "closed_s", json_integer(s->closed_s));
  json_object_set_new(o, "closed_limit_s", json_integer(use->closed_s));
  json_object_set_new(o, "pull_apart_s", json_integer(s->pull_apart_s));
  json_object_set_new(o, "rescue", text(gw_session_rescue(use->kind->family)));
  json_object_set_new(o, "cure_s", json_integer(s->cure_s));
  json_object_set_new(o, "grams", json_real(s->grams));
  json_object_set_new(o, "limit_is_typical", json_boolean(use->typical_open));
}

static json_t *stage(const gw_view *view, int index) {
  const gw_job *job = view->job;
  const gw_stage *s = &job->clock->stages[index];
  json_t *glue = s->glue < 0 ? json_null() : text(job->model->glues[s->glue].id);
  json_t *o =
      json_pack("{s:i, s:o, s:o, s:o, s:i, s:i, s:f, s:i, s:I, s:b, s:b, s:i, s:i, s:o}", "stage",
                index + 1, "glue", glue, "joins", joins(job, s), "steps", steps(job, s), "wet_s",
                s->wet_s, "limit_s", s->limit_s, "margin", s->margin_pm / 1000.0, "clamp_s",
                s->clamp_s, "begins_s", (json_int_t)s->begins_s, "proven", (int)s->proven, "fits",
                (int)s->fits, "lead_s", s->lead_s, "end_s", s->end_s, "clamps", clamps(job, s));
  if (o != NULL && s->glue >= 0) add_glue(job, s, o);
  if (o != NULL && view->hours) add_hours(view, s, o);
  return o;
}

static json_t *stages(const gw_view *view) {
  json_t *list = json_array();
  for (int i = 0; view->job->clock != NULL && i < view->job->clock->n_stages; ++i)
    json_array_append_new(list, stage(view, i));
  return list;
}

/* ---- rates, rehearsal, ways ------------------------------------------------------------------ */

static json_t *rates(const gw_model *m) {
  static const char *const actions[] = {"spread", "bring", "clamp", "square"};
  json_t *list = json_array();
  for (int i = 0; m != NULL && i < m->n_rates; ++i) {
    const gw_rate *rate = &m->rates[i];
    json_t *joint = rate->kind == GW_NO_KIND ? json_null() : text(gw_kind_of(rate->kind)->code);
    json_array_append_new(list, json_pack("{s:s, s:o, s:i}", "action", actions[rate->action],
                                          "joint", joint, "time_s", rate->seconds));
  }
  return list;
}

static json_t *rehearsal(const gw_view *view) {
  const gw_clock *clock = view->job->clock;
  json_t *list = json_array();
  for (int k = 0; k < clock->n_stages; ++k)
    for (int i = 0; i < clock->stages[k].n_steps; ++i) {
      const gw_step *s = &clock->stages[k].steps[i], *before = gw_step_like(view->plain, s);
      if (s->source != GW_REHEARSED) continue;
      json_t *planned =
          before == NULL ? json_null() : json_integer(before->end_s - before->start_s);
      json_array_append_new(
          list, json_pack("{s:s, s:i, s:o, s:i}", "action", gw_action_name(s->action), "number",
                          gw_step_number(view->job, s), "planned_s", planned, "real_s",
                          s->end_s - s->start_s));
    }
  return list;
}

static json_t *ways(const gw_ways *all) {
  json_t *list = json_array();
  for (int i = 0; i < all->count; ++i) {
    const gw_way *w = &all->items[i];
    json_array_append_new(list, json_pack("{s:s, s:s, s:b, s:i, s:i, s:f, s:I, s:b}", "way",
                                          w->code, "words", w->words, "helps", (int)w->helps,
                                          "failing", w->failing, "stages", w->stages, "margin",
                                          w->margin_pm / 1000.0, "whole_s", (json_int_t)w->whole_s,
                                          "proven", (int)w->proven));
  }
  return list;
}

/* ---- the whole ------------------------------------------------------------------------------- */

static void add_clock(const gw_view *view, json_t *root) {
  const gw_clock *clock = view->job->clock;
  json_object_set_new(root, "failing", json_integer(clock->failing));
  json_object_set_new(root, "margin", json_real(clock->margin_pm / 1000.0));
  json_object_set_new(root, "whole_s", json_integer((json_int_t)clock->whole_s));
  json_object_set_new(root, "rates", rates(view->job->model));
  if (view->plain != NULL) json_object_set_new(root, "rehearsal", rehearsal(view));
  if (view->ways != NULL) json_object_set_new(root, "ways", ways(view->ways));
}

gw_status gw_json_order(const gw_view *view, FILE *out) {
  const gw_job *job = view->job;
  const char *proof = job->order == NULL ? "none" : job->order->optimal ? "optimal" : "bound";
  json_t *root = json_pack("{s:s, s:o, s:o, s:s, s:o}", "project", project_name(job), "marks",
                           marks(job), "stages", stages(view), "proof", proof, "findings",
                           findings(job));
  if (root != NULL && job->order != NULL) {
    json_object_set_new(root, "cost", json_integer(job->order->cost));
    json_object_set_new(root, "bound", json_integer(job->order->bound));
  }
  if (root != NULL && job->clock != NULL) add_clock(view, root);
  return dump(root, out);
}
