/* A project read from text, for the tests of reading, mating and fitting. */
#ifndef GW_TEST_PROJECT_H
#define GW_TEST_PROJECT_H

#include <check.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "fit/fit.h"
#include "mating/mating.h"
#include "read/read.h"

typedef struct project {
  gw_findings *findings;
  gw_model *model; /* NULL when the text is not a project */
  gw_fit *fit;     /* NULL until fitted */
  gw_status status;
} project;

#define HEAD "<piece xmlns=\"urn:gluewright:piece:1\" version=\"1\" name=\"Test\""

static inline project project_bytes(const char *bytes, size_t count) {
  project p = {.findings = gw_findings_new("test.xml")};
  ck_assert_ptr_nonnull(p.findings);
  p.status = gw_read_bytes("test.xml", bytes, count, p.findings, &p.model);
  return p;
}

/* Reads `inside` as the content of a piece in millimetres. */
static inline project project_read(const char *inside) {
  static char text[16384];
  int length = snprintf(text, sizeof text, HEAD ">%s</piece>", inside);
  ck_assert_int_lt(length, (int)sizeof text);
  return project_bytes(text, (size_t)length);
}

static inline bool project_good(const project *p) {
  return p->model != NULL && gw_findings_count_of(p->findings, GW_ERROR) == 0;
}

/* Mates and fits as far as there is no error. */
static inline project project_fit(project p) {
  if (project_good(&p)) ck_assert_int_eq(gw_mate(p.model, p.findings), GW_OK);
  if (project_good(&p)) ck_assert_int_eq(gw_fit_make(p.model, p.findings, &p.fit), GW_OK);
  gw_findings_sort(p.findings);
  return p;
}

static inline project project_file(const char *path) {
  project p = {.findings = gw_findings_new(path)};
  gw_error err = {0};
  ck_assert_ptr_nonnull(p.findings);
  p.status = gw_read_file(path, p.findings, &p.model, &err);
  ck_assert_msg(p.status == GW_OK, "%s: %s", path, err.words);
  return project_fit(p);
}

static inline void project_clear(project *p) {
  gw_fit_free(p->fit);
  if (p->model != NULL) gw_model_free(p->model);
  gw_findings_free(p->findings);
}

static inline int part_of(const project *p, const char *id) {
  for (int i = 0; i < p->model->n_parts; ++i)
    if (strcmp(p->model->parts[i].id, id) == 0) return i;
  ck_abort_msg("there is no part %s", id);
  return -1;
}

/* The n-th half of a part. */
static inline const gw_half *half_of(const project *p, const char *id, int n) {
  const gw_part *part = &p->model->parts[part_of(p, id)];
  ck_assert_int_lt(n, part->n_halves);
  return &p->model->halves[part->first_half + n];
}

static inline const char *all_words(const project *p) {
  static char text[4096];
  size_t at = 0;
  text[0] = '\0';
  for (size_t i = 0; i < gw_findings_count(p->findings) && at < sizeof text; ++i) {
    const gw_finding *f = gw_findings_at(p->findings, i);
    at += (size_t)snprintf(text + at, sizeof text - at, "%d: %s [%s]\n", f->line, f->words,
                           f->code);
  }
  return text;
}

static inline void expect_good(const project *p) {
  ck_assert_msg(project_good(p) && gw_findings_count(p->findings) == 0, "%s", all_words(p));
}

/* The project has just this one finding, an error on that line. */
static inline void expect_one(const project *p, const char *code, int line) {
  ck_assert_msg(gw_findings_count(p->findings) == 1, "wanted [%s] alone:\n%s", code, all_words(p));
  const gw_finding *f = gw_findings_at(p->findings, 0);
  ck_assert_str_eq(f->code, code);
  ck_assert_int_eq(f->severity, GW_ERROR);
  ck_assert_msg(f->line == line, "wanted line %d:\n%s", line, all_words(p));
}

static inline int run_suite(Suite *suite) {
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? 0 : 1;
}

#endif
