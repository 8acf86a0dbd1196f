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
  const gw_part *p = &job->model->parts[part];
  const gw_units units = job->model->units;
  char length[GW_LEN_TEXT], width[GW_LEN_TEXT], thickness[GW_LEN_TEXT];
  snprintf(buffer, size, "%s x %s x %s %s", gw_len_text(p->length, units, length, sizeof length),
           gw_len_text(p->width, units, width, sizeof width),
           gw_len_text(p->thickness, units, thickness, sizeof thickness),
           units == GW_UNITS_MM ? "mm" : "in");
  return buffer;
}
