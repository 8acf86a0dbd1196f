/* sheets.c - what all sheets share.  See sheets.h. */
#include "sheets/sheets.h"

gw_doc *gw_sheets_open(const gw_sheets_job *job, const char *subject, gw_error *err) {
  const gw_model *m = job->model;
  gw_doc_options options = {.paper = job->paper, .title = m->name, .subject = subject,
                            .language = "en", .digest = m->digest, .draft = job->draft,
                            .allocate = job->allocate};
  return gw_doc_new(&options, err);
}

char *gw_sheets_size(const gw_sheets_job *job, int part, char *buffer, size_t size) {
  const gw_units units = job->model->units;
  char text[3][GW_LEN_TEXT];
  gw_len finished[3];
  gw_fit_finished(job->fit, job->model, part, finished);
  for (int i = 0; i < 3; ++i) gw_len_text(finished[i], units, text[i], GW_LEN_TEXT);
  snprintf(buffer, size, "%s \xC3\x97 %s \xC3\x97 %s %s", text[0], text[1], text[2],
           units == GW_UNITS_MM ? "mm" : "in");
  return buffer;
}

/* ---- characters that no face has ---------------------------------------------- */

/* Measuring a text notes what is missing of it. */
static void measure_all(gw_doc *doc, const gw_model *m) {
  const gw_type type = GW_TYPE(10);
  for (int i = 0; i < m->n_parts; ++i) {
    gw_text_width(doc, type, m->parts[i].name);
    gw_text_width(doc, type, m->parts[i].material);
  }
  for (int i = 0; i < m->n_groups; ++i) gw_text_width(doc, type, m->groups[i].name);
}

enum { SAID_MOST = 8 };

static gw_status say_missing(const gw_doc *doc, const gw_model *m, gw_findings *findings) {
  size_t count, used = 0;
  char list[16 * SAID_MOST + 1] = "";
  const uint32_t *missing = gw_doc_missing(doc, &count);
  if (count == 0) return GW_OK;
  for (size_t i = 0; i < count && i < SAID_MOST; ++i)
    used += (size_t)snprintf(list + used, sizeof list - used, "%sU+%04X", i > 0 ? ", " : "",
                             (unsigned)missing[i]);
  return gw_find(findings, GW_NOTE, "missing-glyph", m->line,
                 "%zu character%s of the names cannot be printed: %s%s; use others", count,
                 count == 1 ? "" : "s", list, count > SAID_MOST ? " and more" : "");
}

gw_status gw_sheets_missing(const gw_sheets_job *job, gw_findings *findings, gw_error *err) {
  gw_error own = {GW_OK, ""};
  if (err == NULL) err = &own;
  gw_doc *doc = gw_sheets_open(job, "", err);
  if (doc == NULL) return err->status;
  measure_all(doc, job->model);
  gw_status status = say_missing(doc, job->model, findings);
  if (gw_doc_failed(doc)) {
    *err = *gw_doc_failure(doc);
    status = err->status;
  }
  gw_doc_free(doc);
  return status;
}
