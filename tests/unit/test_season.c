/* Panels in their grooves through the year, and glue across the grain. */
#include <math.h>

#include "fit/moisture.h"
#include "fit/review.h"
#include "project.h"

/* A frame with an opening 400 wide, grooves 10 deep, and a panel. */
static project framed(const char *shop, const char *width, const char *wood) {
  static char text[8192];
  snprintf(text, sizeof text,
           "%s<part id='l' material='red oak' length='600' width='60' thickness='20' face='front' "
           "edge='right'><mortise id='t' at='right' thickness='6' width='40' from-top='10'/>"
           "<mortise id='b' at='right' thickness='6' width='40' from-bottom='10'/>"
           "<groove id='p' at='right' thickness='6' depth='10'/></part>"
           "<part id='r' mirror-of='l'/>"
           "<part id='top' material='red oak' length='460' width='60' thickness='20' face='front' "
           "edge='down'><tenon at='left' into='l/t' depth='30' from-top='10'/>"
           "<tenon at='right' into='r/t' depth='30' from-top='10'/>"
           "<groove id='p' at='down' thickness='6' depth='10'/></part>"
           "<part id='bot' material='red oak' length='460' width='60' thickness='20' face='front' "
           "edge='up'><tenon at='left' into='l/b' depth='30' from-bottom='10'/>"
           "<tenon at='right' into='r/b' depth='30' from-bottom='10'/>"
           "<groove id='p' at='up' thickness='6' depth='10'/></part>\n"
           "<part id='panel' length='496' width='%s' thickness='6' face='front' edge='left' %s>"
           "<panel-edge at='up' into='top/p'/><panel-edge at='down' into='bot/p'/>"
           "<panel-edge at='left' into='l/p'/><panel-edge at='right' into='r/p'/></part>",
           shop, width, wood);
  project p = project_fit(project_read(text));
  expect_good(&p);
  ck_assert_int_eq(gw_fit_season(p.model, p.fit, p.findings), GW_OK);
  return p;
}

static void expect(const project *p, gw_severity severity, const char *code, int line) {
  ck_assert_msg(gw_findings_count(p->findings) == 1, "wanted [%s] alone:\n%s", code, all_words(p));
  const gw_finding *f = gw_findings_at(p->findings, 0);
  ck_assert_str_eq(f->code, code);
  ck_assert_int_eq(f->severity, severity);
  ck_assert_int_eq(f->line, line);
}

/* 418 wide: 2 mm of room.  At 20 degrees from 50 to 65 percent the moisture
 * content goes from 9.3 to 12.0 (Wood Handbook Eq. 4-5), so flat sawn red oak
 * (C_T 0.00369, Table 13-5) grows by some 4.2 mm and quarter sawn (C_R 0.00158)
 * by 1.8. */
START_TEST(flat_binds_and_quarter_does_not) {
  project p = framed("", "418", "material='red oak'");
  expect(&p, GW_WARNING, "panel-binds", 2);
  gw_len grows;
  ck_assert_int_eq(gw_moisture_change(418 * GW_MM, "red oak", GW_TANGENTIAL, 50, 65, 200, &grows),
                   GW_MOISTURE_OK);
  ck_assert_double_eq_tol(gw_len_mm(grows), 418 * 0.00369 * 2.72, 0.03);
  char by[GW_LEN_TEXT], words[64];
  snprintf(words, sizeof words, "grows by %s ", gw_len_text(grows, GW_UNITS_MM, by, sizeof by));
  ck_assert_msg(strstr(all_words(&p), words) != NULL, "%s", all_words(&p));
  snprintf(words, sizeof words, "make panel %s narrower",
           gw_len_text(grows - 2 * GW_MM, GW_UNITS_MM, by, sizeof by));
  ck_assert_msg(strstr(all_words(&p), words) != NULL, "%s", all_words(&p));
  project_clear(&p);
  p = framed("", "418", "material='oak, red' cut='quarter'");
  expect_good(&p);
  project_clear(&p);
  p = framed("", "418", "material='birch plywood'");
  expect_good(&p);
  project_clear(&p);
}
END_TEST

/* What the finding asks for is enough, and no more than enough. */
START_TEST(narrower_as_told_is_enough) {
  project p = framed("", "413.8", "material='red oak'");
  expect_good(&p); /* 6.2 of room, grows by less */
  project_clear(&p);
  p = framed("", "416", "material='red oak'");
  expect(&p, GW_WARNING, "panel-binds", 2); /* 4 of room, grows by 4.18 */
  project_clear(&p);
}
END_TEST

/* 407 wide: 3.5 in on either side.  Down to 35 percent it shrinks by 3.4 and
 * holds; down to 20 percent by 7 and does not. */
START_TEST(dry_air_lets_it_out) {
  project p = framed("<shop humidity='50'/>", "407", "material='red oak'");
  expect_good(&p);
  project_clear(&p);
  p = framed("<shop humidity='50' driest='20'/>", "407", "material='red oak'");
  expect(&p, GW_WARNING, "panel-falls-out", 2);
  ck_assert_ptr_nonnull(strstr(all_words(&p), "from 50 to 20 % humidity: it is 3.5 in its grooves"));
  project_clear(&p);
}
END_TEST

START_TEST(made_in_damp_air_it_only_shrinks) {
  project p = framed("<shop humidity='65'/>", "419", "material='red oak'");
  expect_good(&p);
  project_clear(&p);
}
END_TEST

START_TEST(woods_that_are_not_known) {
  project p = framed("", "410", "material='red oke'");
  expect(&p, GW_NOTE, "unknown-wood", 2);
  ck_assert_ptr_nonnull(strstr(all_words(&p), "did you mean red oak?"));
  project_clear(&p);
  p = framed("", "410", "");
  expect(&p, GW_NOTE, "unknown-wood", 2);
  project_clear(&p);
  p = framed("<shop dampest='99'/>", "410", "material='red oak'");
  expect(&p, GW_NOTE, "season-not-judged", 1);
  project_clear(&p);
}
END_TEST

/* A batten across a board. */
static project battened(const char *width, const char *glued) {
  static char text[2048];
  snprintf(text, sizeof text,
           "<part id='board' material='beech, american' length='600' width='%s' thickness='20' "
           "face='up' edge='front'><butt-face id='b' at='down' from-left='100' "
           "from-front='0'/></part>\n"
           "<part id='batten' material='american beech' length='%s' width='40' thickness='20' "
           "face='down' edge='left'><butt at='up' into='board/b' glued='%s'/></part>",
           width, width, glued);
  project p = project_fit(project_read(text));
  expect_good(&p);
  ck_assert_int_eq(gw_fit_season(p.model, p.fit, p.findings), GW_OK);
  return p;
}

START_TEST(battens) {
  project p = battened("300", "yes");
  expect(&p, GW_NOTE, "cross-grain", 2);
  gw_len dry, damp;
  gw_moisture_change(300 * GW_MM, "american beech", GW_TANGENTIAL, 50, 35, 200, &dry);
  gw_moisture_change(300 * GW_MM, "american beech", GW_TANGENTIAL, 50, 65, 200, &damp);
  char by[GW_LEN_TEXT], words[64];
  snprintf(words, sizeof words, "will move by %s ",
           gw_len_text(damp - dry, GW_UNITS_MM, by, sizeof by));
  ck_assert_msg(strstr(all_words(&p), words) != NULL, "%s", all_words(&p));
  project_clear(&p);
  p = battened("300", "no");
  expect_good(&p);
  project_clear(&p);
  p = battened("120", "yes");
  expect_good(&p);
  project_clear(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("season");
  TCase *season = tcase_create("season");
  tcase_add_test(season, flat_binds_and_quarter_does_not);
  tcase_add_test(season, narrower_as_told_is_enough);
  tcase_add_test(season, dry_air_lets_it_out);
  tcase_add_test(season, made_in_damp_air_it_only_shrinks);
  tcase_add_test(season, woods_that_are_not_known);
  tcase_add_test(season, battens);
  suite_add_tcase(suite, season);
  return run_suite(suite);
}
