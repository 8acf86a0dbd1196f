/* Does every choice of sizes inside the tolerances close each loop? */
#include <math.h>

#include "fit/review.h"
#include "project.h"

/* Two stiles and two rails; the tenons have no play in their depth, so the
 * loop has none from left to right. */
static project frame(const char *stile, const char *rail) {
  static char text[8192];
  snprintf(text, sizeof text,
           "<part id='l' length='600' width='60' thickness='20' face='front' edge='right'%s>"
           "<mortise id='t' at='right' thickness='6' from-top='10'/>"
           "<mortise id='b' at='right' thickness='6' from-bottom='10'/></part>"
           "<part id='r' mirror-of='l'/>"
           "<part id='top' length='300' width='60' thickness='20' face='front' edge='down'%s>"
           "<tenon at='left' into='l/t' width='40' depth='30'/>"
           "<tenon at='right' into='r/t' width='40' depth='30'/></part>"
           "<part id='bot' like='top' into='l/b r/b'/>", stile, rail);
  project p = project_fit(project_read(text));
  expect_good(&p);
  ck_assert_int_eq(gw_fit_every(p.model, p.fit, p.findings), GW_OK);
  return p;
}

static void expect_doubt(const project *p, const char *words) {
  ck_assert_msg(gw_findings_count(p->findings) == 1, "%s", all_words(p));
  const gw_finding *f = gw_findings_at(p->findings, 0);
  ck_assert_str_eq(f->code, "loop-may-not-close");
  ck_assert_int_eq(f->severity, GW_WARNING);
  ck_assert_msg(strstr(f->words, words) != NULL, "%s", f->words);
}

START_TEST(no_tolerance_no_doubt) {
  project p = frame("", "");
  expect_good(&p);
  project_clear(&p);
}
END_TEST

/* Two rails of +-0.2: the loop may miss by 0.4, or 0.2 times the root of 2. */
START_TEST(two_rails) {
  project p = frame("", " tolerance='0.2'");
  expect_doubt(&p, "may miss by 0.4 from left to right at worst, 0.283 by root-sum-square");
  project_clear(&p);
}
END_TEST

/* The loop comes onto a stile and leaves it by the same side: a stile's width
 * does not enter.  (Its length does, from bottom to top, where nothing closes
 * a loop: the lower rail is measured from below, the upper from above.) */
START_TEST(net_shares) {
  project p = frame(" tolerance='0.3'", "");
  for (size_t i = 0; i < gw_findings_count(p.findings); ++i)
    ck_assert_ptr_null(strstr(gw_findings_at(p.findings, i)->words, "left to right"));
  project_clear(&p);
}
END_TEST

/* Each size of the frame at one end or the other of its tolerance: the loop
 * misses in some corner by just what is said, and by no more in any. */
START_TEST(against_all_corners) {
  static const char *const form =
      "<part id='l' length='600' width='60' thickness='20' face='front' edge='right'>"
      "<mortise id='t' at='right' thickness='6' from-top='10'/>"
      "<mortise id='b' at='right' thickness='6' from-bottom='10'/></part>"
      "<part id='r' mirror-of='l'/>"
      "<part id='top' length='%g' width='60' thickness='20' face='front' edge='down'>"
      "<tenon at='left' into='l/t' width='40' depth='30'/>"
      "<tenon at='right' into='r/t' width='40' depth='30'/></part>"
      "<part id='bot' length='%g' width='60' thickness='20' face='front' edge='up'>"
      "<tenon at='left' into='l/b' width='40' depth='30'/>"
      "<tenon at='right' into='r/b' width='40' depth='30'/></part>";
  static char text[8192];
  double worst = 0;
  for (int corner = 0; corner < 4; ++corner) {
    double top = corner & 1 ? 0.25 : -0.25, bottom = corner & 2 ? 0.25 : -0.25;
    snprintf(text, sizeof text, form, 300 + top, 300 + bottom);
    project p = project_fit(project_read(text));
    double misses = fabs(top - bottom);
    if (misses > worst) worst = misses;
    ck_assert_msg((misses > 0) == !project_good(&p), "%s", all_words(&p));
    if (misses > 0) ck_assert_msg(strstr(all_words(&p), "misses by 0.5 ") != NULL, "%s", all_words(&p));
    project_clear(&p);
  }
  ck_assert_double_eq_tol(worst, 0.5, 1e-9);
  project p = frame("", " tolerance='0.25'");
  expect_doubt(&p, "may miss by 0.5 from left to right");
  project_clear(&p);
}
END_TEST

/* Play of the joints is taken off: dry slides with 1 mm of room. */
START_TEST(play_closes_it) {
  static const char *const form =
      "<part id='base' length='200' width='60' thickness='20' face='up' edge='front'%s>"
      "<runner id='one' at='up' from-left='10' width='42' from-front='0'/>"
      "<runner id='two' at='up' from-left='110' width='42' from-front='0'/></part>"
      "<part id='a' length='40' width='60' thickness='20' face='up' edge='front'>"
      "<slide at='down' into='base/one'/><butt-face id='e' at='right' from-front='0' "
      "from-bottom='0'/></part>"
      "<part id='between' length='60' width='60' thickness='20' face='up' edge='front' "
      "tolerance='%s'><butt at='left' into='a/e'/><butt-face id='e' at='right' from-front='0' "
      "from-bottom='0'/></part>"
      "<part id='b' length='40' width='60' thickness='20' face='up' edge='front'>"
      "<slide at='down' into='base/two'/><butt at='left' into='between/e'/></part>";
  static char text[8192];
  snprintf(text, sizeof text, form, "", "1.9");
  project p = project_fit(project_read(text));
  ck_assert_int_eq(gw_fit_every(p.model, p.fit, p.findings), GW_OK);
  expect_good(&p); /* two runners with 2 mm of room each: 2 mm either way */
  project_clear(&p);
  snprintf(text, sizeof text, form, "", "2.3");
  p = project_fit(project_read(text));
  ck_assert_int_eq(gw_fit_every(p.model, p.fit, p.findings), GW_OK);
  expect_doubt(&p, "may miss by 0.3 from left to right at worst, 0.3 by root-sum-square: the "
               "tolerances come to 2.3, the joints give 2");
  project_clear(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("every");
  TCase *loops = tcase_create("loops");
  tcase_add_test(loops, no_tolerance_no_doubt);
  tcase_add_test(loops, two_rails);
  tcase_add_test(loops, net_shares);
  tcase_add_test(loops, against_all_corners);
  tcase_add_test(loops, play_closes_it);
  suite_add_tcase(suite, loops);
  return run_suite(suite);
}
