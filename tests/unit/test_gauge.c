/* Distances that a project asks for, worst case and root-sum-square. */
#include <math.h>

#include "fit/review.h"
#include "project.h"

#define BLOCK "width='30' thickness='20' face='front' edge='up' "

/* A base of 40 with blocks of 25, 2 and 10 on it, end to end from its left. */
#define STACK(t40, t25, t2, t10)                                                             \
  "<part id='base' length='40' " BLOCK "tolerance='" t40 "'>"                                \
  "<butt-face id='top' at='up' from-left='0' from-front='0'/></part>"                        \
  "<part id='block' length='25' " BLOCK "tolerance='" t25 "'>"                               \
  "<butt at='down' into='base/top'/><butt-face id='end' at='right' from-bottom='0' "         \
  "from-front='0'/></part>"                                                                  \
  "<part id='shim' length='2' " BLOCK "tolerance='" t2 "'><butt at='left' into='block/end'/>"\
  "<butt-face id='end' at='right' from-bottom='0' from-front='0'/></part>"                   \
  "<part id='stop' length='10' " BLOCK "tolerance='" t10 "'>"                                \
  "<butt at='left' into='shim/end'/></part>\n"                                               \
  "<gauge name='gap' from='stop' from-side='right' to='base' to-side='right' "

static gw_gauged gauge_of(const project *p) {
  gw_gauged is = {0};
  ck_assert_msg(p->fit != NULL && p->fit->placed, "%s", all_words(p));
  ck_assert_int_eq(gw_fit_gauge(p->model, p->fit, &p->model->gauges[0], &is), GW_OK);
  return is;
}

/* Published stack (metricmech.com, worked example of a tolerance stack):
 * 40 +-0.10 less 25 +-0.05, 2 +-0.03 and 10 +-0.05: gap 3.00, worst case
 * +-0.23, root-sum-square +-0.12610. */
START_TEST(published_stack) {
  project p = project_fit(project_read(STACK("0.1", "0.05", "0.03", "0.05") "least='2.77' most='3.23'/>"));
  gw_gauged is = gauge_of(&p);
  expect_good(&p);
  ck_assert_int_eq(is.nominal, 3 * GW_MM);
  ck_assert_int_eq(is.least, 277 * GW_MM / 100);
  ck_assert_int_eq(is.most, 323 * GW_MM / 100);
  ck_assert_double_eq_tol(gw_len_mm(is.rss), 0.12610, 0.0001);
  project_clear(&p);
}
END_TEST

/* The same source: a limit of 0 to 1.0 fails even at the nominal size. */
START_TEST(published_limit_is_missed) {
  project p = project_fit(project_read(STACK("0.1", "0.05", "0.03", "0.05") "least='0' most='1'/>"));
  expect_one(&p, "gauge-missed", 2);
  project_clear(&p);
}
END_TEST

START_TEST(only_the_worst_case_is_out) {
  project p = project_fit(project_read(STACK("0.1", "0.05", "0.03", "0.05") "least='2.8' most='3.2'/>"));
  ck_assert_int_eq(gw_findings_count(p.findings), 1);
  const gw_finding *f = gw_findings_at(p.findings, 0);
  ck_assert_str_eq(f->code, "gauge-worst-case");
  ck_assert_int_eq(f->severity, GW_WARNING);
  ck_assert_ptr_nonnull(strstr(f->words, "2.77 to 3.23 mm at worst"));
  ck_assert_ptr_nonnull(strstr(f->words, "2.874 to 3.126 mm by root-sum-square"));
  project_clear(&p);
}
END_TEST

START_TEST(a_good_one_is_a_note) {
  project p = project_fit(project_read(STACK("0.1", "0.05", "0.03", "0.05") "least='2' most='4'/>"));
  expect_good(&p);
  ck_assert_int_eq(gw_fit_gauges(p.model, p.fit, p.findings, true), GW_OK);
  ck_assert_int_eq(gw_findings_count(p.findings), 1);
  ck_assert_str_eq(gw_findings_at(p.findings, 0)->code, "gauge");
  ck_assert_int_eq(gw_findings_at(p.findings, 0)->severity, GW_NOTE);
  project_clear(&p);
}
END_TEST

/* Ten parts of +-0.1 in a row: worst case +-1, root-sum-square +-0.316; five:
 * +-0.5 and +-0.224 (the same ratio, the root of their number, in any book). */
START_TEST(equal_parts_in_a_row) {
  const int count = _i;
  static char text[16384];
  int at = 0;
  for (int i = 0; i < count; ++i) {
    at += snprintf(text + at, sizeof text - (size_t)at, "<part id='p%d' length='20' " BLOCK
                   "tolerance='0.1'>", i);
    if (i > 0)
      at += snprintf(text + at, sizeof text - (size_t)at, "<butt at='left' into='p%d/end'/>", i - 1);
    if (i + 1 < count)
      at += snprintf(text + at, sizeof text - (size_t)at,
                     "<butt-face id='end' at='right' from-bottom='0' from-front='0'/>");
    at += snprintf(text + at, sizeof text - (size_t)at, "</part>");
  }
  snprintf(text + at, sizeof text - (size_t)at, "<gauge name='row' from='p0' from-side='left' "
           "to='p%d' to-side='right' least='0' most='9999'/>", count - 1);
  project p = project_fit(project_read(text));
  gw_gauged is = gauge_of(&p);
  ck_assert_int_eq(is.nominal, 20 * count * GW_MM);
  ck_assert_int_eq(is.most - is.nominal, count * GW_MM / 10);
  ck_assert_int_eq(is.nominal - is.least, count * GW_MM / 10);
  ck_assert_double_eq_tol(gw_len_mm(is.rss), 0.1 * sqrt(count), 0.0002);
  project_clear(&p);
}
END_TEST

/* The play of a joint counts: a runner 2 mm wider than what slides in it. */
START_TEST(play_counts) {
  project p = project_fit(project_read(
      "<part id='base' length='100' " BLOCK "><runner id='way' at='up' from-left='10' "
      "width='42' from-front='0'/></part>"
      "<part id='slider' length='40' " BLOCK "><slide at='down' into='base/way'/></part>"
      "<gauge name='stroke' from='base' from-side='left' to='slider' to-side='left' least='0' "
      "most='20'/>"));
  gw_gauged is = gauge_of(&p);
  ck_assert_int_eq(is.nominal, 11 * GW_MM);
  ck_assert_int_eq(is.least, 10 * GW_MM);
  ck_assert_int_eq(is.most, 12 * GW_MM);
  ck_assert_int_eq(is.rss, GW_MM);
  project_clear(&p);
}
END_TEST

/* The same slider, 40 long on a base of 100, by all four pairs of sides: parts of
 * exact size are one unknown each, and their sizes come in as they are. */
START_TEST(sides_of_exact_parts) {
  static const struct { const char *between; int nominal; } rows[] = {
      {"from='base' from-side='left' to='slider' to-side='left'", 11},
      {"from='base' from-side='left' to='slider' to-side='right'", 51},
      {"from='slider' from-side='right' to='base' to-side='right'", 49},
      {"from='slider' from-side='left' to='base' to-side='right'", 89},
      {"from='base' from-side='right' to='slider' to-side='left'", -89}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    char text[1024];
    snprintf(text, sizeof text,
             "<part id='base' length='100' " BLOCK "><runner id='way' at='up' from-left='10' "
             "width='42' from-front='0'/></part>"
             "<part id='slider' length='40' " BLOCK "><slide at='down' into='base/way'/></part>"
             "<gauge name='stroke' %s least='-200' most='200'/>", rows[i].between);
    project p = project_fit(project_read(text));
    gw_gauged is = gauge_of(&p);
    ck_assert_int_eq(is.nominal, rows[i].nominal * GW_MM);
    ck_assert_int_eq(is.least, (rows[i].nominal - 1) * GW_MM);
    ck_assert_int_eq(is.most, (rows[i].nominal + 1) * GW_MM);
    ck_assert_int_eq(is.rss, GW_MM);
    project_clear(&p);
  }
}
END_TEST

int main(void) {
  Suite *suite = suite_create("gauge");
  TCase *stacks = tcase_create("stacks");
  tcase_add_test(stacks, published_stack);
  tcase_add_test(stacks, published_limit_is_missed);
  tcase_add_test(stacks, only_the_worst_case_is_out);
  tcase_add_test(stacks, a_good_one_is_a_note);
  tcase_add_loop_test(stacks, equal_parts_in_a_row, 1, 11);
  tcase_add_test(stacks, play_counts);
  tcase_add_test(stacks, sides_of_exact_parts);
  suite_add_tcase(suite, stacks);
  return run_suite(suite);
}
