/* api.c - the interface of include/gluewright/gluewright.h, over a job. */
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"
#include "cli/view.h"
#include "gluewright/gluewright.h"
#include "sheets/sheets.h"

struct gw_project {
  gw_job job;
  gw_status status;
  gw_error trouble;
};

const char *gw_project_version(void) { return GW_VERSION; }

static gw_project *open_request(const gw_job_request *request) {
  gw_project *project = calloc(1, sizeof *project);
  if (project == NULL) return NULL;
  project->status = gw_job_run(&project->job, request, &project->trouble);
  if (project->status != GW_NO_MEMORY) return project;
  gw_project_free(project);
  return NULL;
}

gw_project *gw_project_open(const char *path, gw_project_depth depth) {
  gw_job_request request = {.path = path,
                            .depth = depth == GW_PROJECT_PLAN ? GW_TIMED : GW_CHECKED};
  return open_request(&request);
}

gw_project *gw_project_open_bytes(const char *name, const void *bytes, size_t count,
                                  gw_project_depth depth) {
  gw_job_request request = {.path = name, .bytes = bytes == NULL ? "" : bytes, .count = count,
                            .depth = depth == GW_PROJECT_PLAN ? GW_TIMED : GW_CHECKED};
  return open_request(&request);
}

void gw_project_free(gw_project *project) {
  if (project == NULL) return;
  gw_job_clear(&project->job);
  free(project);
}

gw_project_verdict gw_project_judge(const gw_project *project) {
  if (project->status != GW_OK) return GW_PROJECT_NOT_JUDGED;
  return gw_job_mates(&project->job) ? GW_PROJECT_MATES : GW_PROJECT_WILL_NOT;
}

const char *gw_project_trouble(const gw_project *project) { return project->trouble.words; }

const char *gw_project_name(const gw_project *project) {
  const gw_model *m = project->job.model;
  return m == NULL || m->name == NULL ? "" : m->name;
}

/* ---- findings, parts, joints --------------------------------------------------------- */

size_t gw_project_findings(const gw_project *project) {
  return gw_findings_count(project->job.findings);
}

bool gw_project_finding_at(const gw_project *project, size_t index, gw_project_finding *out) {
  static const gw_project_severity severities[] = {
      [GW_ERROR] = GW_PROJECT_ERROR,
      [GW_WARNING] = GW_PROJECT_WARNING,
      [GW_NOTE] = GW_PROJECT_NOTE};
  if (index >= gw_project_findings(project)) return false;
  const gw_finding *f = gw_findings_at(project->job.findings, index);
  *out = (gw_project_finding){.severity = severities[f->severity], .code = f->code,
                              .words = f->words, .line = f->line};
  return true;
}

static const char *or_empty(const char *text) { return text == NULL ? "" : text; }

size_t gw_project_parts(const gw_project *project) {
  return project->job.marks == NULL ? 0 : (size_t)project->job.model->n_parts;
}

bool gw_project_part_at(const gw_project *project, size_t index, gw_project_part *out) {
  const gw_job *job = &project->job;
  if (index >= gw_project_parts(project)) return false;
  int part = job->marks->part_walk[index];
  *out = (gw_project_part){.id = job->model->parts[part].id,
                           .name = or_empty(job->model->parts[part].name),
                           .mark = job->marks->parts[part].text};
  return true;
}

size_t gw_project_joints(const gw_project *project) {
  return project->job.marks == NULL ? 0 : (size_t)project->job.model->n_joints;
}

bool gw_project_joint_at(const gw_project *project, size_t index, gw_project_joint *out) {
  const gw_job *job = &project->job;
  const gw_model *m = job->model;
  if (index >= gw_project_joints(project)) return false;
  int joint = job->marks->joint_walk[index];
  const gw_joint *j = &m->joints[joint];
  *out = (gw_project_joint){.mark = job->marks->joints[joint].text,
                            .bar = job->marks->joints[joint].bar,
                            .kind = gw_kind_of(j->kind)->code,
                            .entering = m->parts[gw_joint_enters(m, j)].id,
                            .receiving = m->parts[gw_joint_receives(m, j)].id,
                            .glued = j->glued};
  return true;
}

/* ---- order and sheets -------------------------------------------------------------------- */

typedef gw_status view_writer(const gw_view *view, FILE *out);

static char *write_view(const gw_project *project, view_writer *write) {
  char *text = NULL;
  size_t size;
  gw_view view = {.job = &project->job};
  if (project->job.order == NULL || project->job.clock == NULL) return NULL;
  FILE *out = open_memstream(&text, &size);
  if (out == NULL) return NULL;
  gw_status status = write(&view, out);
  if (fclose(out) == 0 && status == GW_OK) return text;
  free(text);
  return NULL;
}

char *gw_project_order_text(const gw_project *project) {
  return write_view(project, gw_text_order);
}

char *gw_project_order_json(const gw_project *project) {
  return write_view(project, gw_json_order);
}

static gw_status print(gw_project *project, const char *folder, gw_project_paper paper,
                       bool draft) {
  const gw_job *job = &project->job;
  bool mates = gw_project_judge(project) == GW_PROJECT_MATES;
  if (job->fit == NULL || job->marks == NULL)
    return gw_fail(&project->trouble, GW_BAD_INPUT, "too little is known of it to be printed");
  if (!mates && !draft)
    return gw_fail(&project->trouble, GW_BAD_INPUT, "it will not mate");
  if (mates && job->clock == NULL)
    return gw_fail(&project->trouble, GW_BAD_INPUT, "it has no timed order; open it to be planned");
  gw_sheets_job sheets = gw_job_sheets(job, &job->model->labels, 0);
  sheets.paper = paper == GW_PROJECT_LETTER ? GW_PAPER_LETTER : GW_PAPER_A4;
  return gw_sheets_print(&sheets, folder, &project->trouble);
}

bool gw_project_print(gw_project *project, const char *folder, gw_project_paper paper, bool draft) {
  project->trouble.words[0] = '\0';
  gw_status status = print(project, folder, paper, draft);
  if (status != GW_OK && project->trouble.words[0] == '\0')
    gw_fail(&project->trouble, status, "memory is short");
  return status == GW_OK;
}
