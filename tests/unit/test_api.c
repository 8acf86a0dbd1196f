/* The interface for other programs. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "gluewright/gluewright.h"

#define HEAD "<piece xmlns='urn:gluewright:piece:1' version='1' name='Plate shelf'>"
#define SIDES                                                                                \
  "<part id='left' name='Left side' length='300' width='200' thickness='20' face='left' edge='front'>" \
  "<housing id='s' at='right' from-bottom='100' thickness='20' depth='7'/></part>\n"           \
  "<part id='right' name='Right side' mirror-of='left'/>\n"
#define SHELF(length)                                                                          \
  "<part id='shelf' name='Shelf' length='" length "' width='200' thickness='20' face='up' edge='front'>" \
  "<shelf-end at='left' into='left/s'/><shelf-end at='right' into='right/s'/></part></piece>"
static const char good[] = HEAD "<glue id='g' kind='pva'/>" SIDES SHELF("614");
static const char bad[] = HEAD "<glue id='g' kind='pva'/>\n" SIDES
    "<part id='loose' length='1' width='1' thickness='1' face='up' edge='front'/>" SHELF("614");

static gw_project *open_text(const char *text, gw_project_depth depth) {
  gw_project *p = gw_project_open_bytes("shelf.xml", text, strlen(text), depth);
  ck_assert_ptr_nonnull(p);
  return p;
}

START_TEST(a_good_piece) {
  gw_project *p = open_text(good, GW_PROJECT_PLAN);
  ck_assert_int_eq(gw_project_judge(p), GW_PROJECT_MATES);
  ck_assert_str_eq(gw_project_name(p), "Plate shelf");
  ck_assert_str_eq(gw_project_trouble(p), "");
  gw_project_part part;
  gw_project_joint joint;
  ck_assert_uint_eq(gw_project_parts(p), 3);
  ck_assert_uint_eq(gw_project_joints(p), 2);
  for (size_t i = 0; i < 3; ++i) {
    ck_assert(gw_project_part_at(p, i, &part));
    ck_assert_str_eq(part.mark, ((const char *[]){"A", "C", "F"})[i]);
  }
  ck_assert(!gw_project_part_at(p, 3, &part));
  ck_assert(gw_project_joint_at(p, 0, &joint));
  ck_assert_str_eq(joint.mark, "1");
  ck_assert_str_eq(joint.kind, "housing");
  ck_assert_str_eq(joint.entering, "shelf");
  ck_assert(joint.glued && !joint.bar);
  ck_assert(!gw_project_joint_at(p, 2, &joint));
  char *text = gw_project_order_text(p), *json = gw_project_order_json(p);
  ck_assert_msg(text != NULL && strstr(text, "Plate shelf: 2 joins") == text, "%s", text);
  ck_assert_msg(json != NULL && strstr(json, "\"proof\": \"optimal\"") != NULL, "%s", json);
  free(text);
  free(json);
  gw_project_free(p);
}
END_TEST

START_TEST(checked_only) {
  gw_project *p = open_text(good, GW_PROJECT_CHECK);
  ck_assert_int_eq(gw_project_judge(p), GW_PROJECT_MATES);
  ck_assert_ptr_null(gw_project_order_text(p));
  ck_assert_ptr_null(gw_project_order_json(p));
  ck_assert(!gw_project_print(p, "/nowhere", GW_PROJECT_A4, false));
  ck_assert_msg(strstr(gw_project_trouble(p), "order") != NULL, "%s", gw_project_trouble(p));
  gw_project_free(p);
}
END_TEST

START_TEST(what_does_not_mate) {
  gw_project *p = open_text(bad, GW_PROJECT_PLAN);
  gw_project_finding f;
  ck_assert_int_eq(gw_project_judge(p), GW_PROJECT_WILL_NOT);
  ck_assert_uint_eq(gw_project_findings(p), 1);
  ck_assert(gw_project_finding_at(p, 0, &f));
  ck_assert_str_eq(f.code, "part-alone");
  ck_assert_int_eq(f.severity, GW_PROJECT_ERROR);
  ck_assert_int_eq(f.line, 4);
  ck_assert_ptr_nonnull(strstr(f.words, "loose"));
  ck_assert(!gw_project_finding_at(p, 1, &f));
  ck_assert_ptr_null(gw_project_order_text(p));
  ck_assert(!gw_project_print(p, "/nowhere", GW_PROJECT_A4, false));
  ck_assert_str_ne(gw_project_trouble(p), "");
  gw_project_free(p);
}
END_TEST

START_TEST(what_cannot_be_judged) {
  static const char *const texts[] = {"", "<piece", "<nail/>", "<!DOCTYPE a><a/>"};
  gw_project_finding f;
  for (size_t i = 0; i < sizeof texts / sizeof *texts; ++i) {
    gw_project *p = open_text(texts[i], GW_PROJECT_PLAN);
    ck_assert_int_eq(gw_project_judge(p), GW_PROJECT_NOT_JUDGED);
    ck_assert_uint_ge(gw_project_findings(p), 1);
    ck_assert(gw_project_finding_at(p, 0, &f));
    ck_assert_uint_eq(gw_project_parts(p) + gw_project_joints(p), 0);
    ck_assert_str_eq(gw_project_name(p), "");
    gw_project_free(p);
  }
  gw_project *p = gw_project_open("/nowhere/chest.xml", GW_PROJECT_CHECK);
  ck_assert_int_eq(gw_project_judge(p), GW_PROJECT_NOT_JUDGED);
  ck_assert_ptr_nonnull(strstr(gw_project_trouble(p), "/nowhere/chest.xml"));
  gw_project_free(p);
  gw_project_free(NULL);
  p = gw_project_open_bytes("nothing", NULL, 0, GW_PROJECT_CHECK);
  ck_assert_int_eq(gw_project_judge(p), GW_PROJECT_NOT_JUDGED);
  gw_project_free(p);
}
END_TEST

START_TEST(sheets) {
  static const char *const names[] = {"labels", "marking-out", "dry-fit", "glue-up"};
  char folder[] = "/tmp/gw_api_XXXXXX", path[64];
  ck_assert_ptr_nonnull(mkdtemp(folder));
  gw_project *p = open_text(good, GW_PROJECT_PLAN);
  ck_assert_msg(gw_project_print(p, folder, GW_PROJECT_LETTER, false), "%s", gw_project_trouble(p));
  for (int i = 0; i < 4; ++i) {
    struct stat about;
    snprintf(path, sizeof path, "%s/%s.pdf", folder, names[i]);
    ck_assert_msg(stat(path, &about) == 0 && about.st_size > 1000, "%s", path);
    ck_assert_int_eq(unlink(path), 0);
  }
  ck_assert_int_eq(rmdir(folder), 0);
  ck_assert(!gw_project_print(p, "/proc/nowhere", GW_PROJECT_A4, false));
  ck_assert_ptr_nonnull(strstr(gw_project_trouble(p), "/proc/nowhere"));
  gw_project_free(p);
}
END_TEST

/* What cannot be printed says why, and makes no folder. */
START_TEST(no_sheets) {
  char folder[] = "/tmp/gw-api-XXXXXX";
  ck_assert_ptr_nonnull(mkdtemp(folder));
  char inner[64];
  struct stat about;
  snprintf(inner, sizeof inner, "%s/sheets", folder);
  static const struct { const char *text; gw_project_depth depth; bool draft; const char *why; } rows[] = {
      {HEAD SIDES SHELF("612"), GW_PROJECT_PLAN, false, "it will not mate"},
      {HEAD SIDES SHELF("614"), GW_PROJECT_CHECK, false, "it has no timed order"},
      {"<piece/>", GW_PROJECT_PLAN, true, "too little is known"}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    gw_project *p = open_text(rows[i].text, rows[i].depth);
    ck_assert(!gw_project_print(p, inner, GW_PROJECT_A4, rows[i].draft));
    ck_assert_msg(strstr(gw_project_trouble(p), rows[i].why) != NULL, "%s", gw_project_trouble(p));
    ck_assert_int_ne(stat(inner, &about), 0);
    gw_project_free(p);
  }
  ck_assert_int_eq(rmdir(folder), 0);
}
END_TEST

/* Three numbers with points between. */
START_TEST(version) {
  int end = 0;
  unsigned a, b, c;
  ck_assert_int_eq(sscanf(gw_project_version(), "%u.%u.%u%n", &a, &b, &c, &end), 3);
  ck_assert_int_eq(end, (int)strlen(gw_project_version()));
}
END_TEST

int main(void) {
  Suite *s = suite_create("api");
  TCase *c = tcase_create("api");
  tcase_add_test(c, a_good_piece);
  tcase_add_test(c, checked_only);
  tcase_add_test(c, what_does_not_mate);
  tcase_add_test(c, what_cannot_be_judged);
  tcase_add_test(c, sheets);
  tcase_add_test(c, no_sheets);
  tcase_add_test(c, version);
  suite_add_tcase(s, c);
  SRunner *runner = srunner_create(s);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? 0 : 1;
}
