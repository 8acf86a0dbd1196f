/* test_mating.c - which half goes into which. */
#include "project.h"

#define WOOD "length='300' width='80' thickness='20' face='front' edge='up'"
#define SIDE "length='200' width='80' thickness='20' face='left' edge='up'"

static project mate(const char *inside) {
  project p = project_read(inside);
  expect_good(&p);
  ck_assert_int_eq(gw_mate(p.model, p.findings), GW_OK);
  gw_findings_sort(p.findings);
  return p;
}

static void one_finding(const char *inside, const char *code, int line) {
  project p = mate(inside);
  expect_one(&p, code, line);
  project_clear(&p);
}

START_TEST(each_kind_mates_its_own_halves_only) {
  const gw_kind_row *e = gw_kind_of((gw_kind)(_i / GW_KINDS));
  const gw_kind_row *r = gw_kind_of((gw_kind)(_i % GW_KINDS));
  char text[1024];
  snprintf(text, sizeof text, "<part id='a' " SIDE ">\n<%s at='front' into='b/h'/></part>"
           "<part id='b' " WOOD "><%s id='h' at='left'/></part>", e->entering, r->receiving);
  project p = mate(text);
  /* Two kinds share the groove: tongues and panels. */
  if (strcmp(e->receiving, r->receiving) == 0) {
    expect_good(&p);
    ck_assert_int_eq(p.model->n_joints, 1);
    const gw_joint *joint = &p.model->joints[0];
    ck_assert_str_eq(gw_kind_of(joint->kind)->entering, e->entering);
    ck_assert_int_eq(joint->glued, e->glued);
    ck_assert_int_eq(gw_joint_enters(p.model, joint), 0);
    ck_assert_int_eq(gw_joint_receives(p.model, joint), 1);
    ck_assert_int_eq(p.model->halves[joint->entering].joint, 0);
    ck_assert_int_eq(p.model->halves[joint->receiving].joint, 0);
  } else {
    expect_one(&p, "wrong-kind", 2);
    ck_assert_int_eq(p.model->n_joints, 0);
  }
  project_clear(&p);
}
END_TEST

START_TEST(two_into_one_names_the_free_one) {
  project p = mate("<part id='a' " SIDE "><tail at='front' into='b/l'/>\n"
                   "<tail at='back' into='b/l'/></part>"
                   "<part id='b' " WOOD "><socket id='l' at='left'/>"
                   "<socket id='r' at='right'/></part>");
  expect_one(&p, "two-into-one", 2);
  ck_assert_ptr_nonnull(strstr(gw_findings_at(p.findings, 0)->words, "b/r"));
  ck_assert_ptr_nonnull(strstr(gw_findings_at(p.findings, 0)->words, "line 1"));
  project_clear(&p);
}
END_TEST

START_TEST(left_over) {
  one_finding("<part id='a' " SIDE "><tail at='front' into='b/l'/></part>"
              "<part id='b' " WOOD "><socket id='l' at='left'/>\n"
              "<mortise id='r' at='right'/></part>",
              "left-over", 2);
}
END_TEST

START_TEST(unknown_half_guesses_and_says_it_once) {
  project p = mate("<part id='a' " SIDE ">\n<tail at='front' into='b/lfet'/></part>"
                   "<part id='b' " WOOD "><socket id='left' at='left'/></part>");
  expect_one(&p, "unknown-half", 2);
  ck_assert_ptr_nonnull(strstr(gw_findings_at(p.findings, 0)->words, "did you mean b/left?"));
  project_clear(&p);
}
END_TEST

START_TEST(into_itself) {
  one_finding("<part id='a' " SIDE ">\n<tail at='front' into='a/l'/>"
              "<socket id='l' at='left'/></part>",
              "into-itself", 2);
}
END_TEST

START_TEST(alone_and_apart) {
  one_finding("<part id='a' " SIDE "><butt at='front' into='b/l'/></part>"
              "<part id='b' " WOOD "><butt-face id='l' at='back'/></part>\n<part id='c' " WOOD "/>",
              "part-alone", 2);
  one_finding("<part id='a' " SIDE "><butt at='front' into='b/l'/></part>"
              "<part id='b' " WOOD "><butt-face id='l' at='back'/></part>\n"
              "<part id='c' " SIDE "><butt at='front' into='d/l'/></part>"
              "<part id='d' " WOOD "><butt-face id='l' at='back'/></part>",
              "not-connected", 2);
  project p = mate("<part id='a' " WOOD "/>"); /* a board by itself is a piece */
  expect_good(&p);
  project_clear(&p);
}
END_TEST

START_TEST(copied_and_own_ids_meet) {
  one_finding("<part id='a' " SIDE "><butt at='front' into='b/l'/></part>"
              "<part id='b' " WOOD "><butt-face id='l' at='back'/></part>"
              "<part id='c' " SIDE "><butt at='front' into='d/l'/></part>"
              "<part id='d' like='b'>\n<butt-face id='l' at='front'/></part>",
              "id-twice", 2);
}
END_TEST

#define RUN "length='300' width='80' thickness='10' face='front' edge='up'"
START_TEST(groups_look_at_home_first) {
  project p = mate("<part id='front' " RUN "><socket id='l' at='left'/></part>"
                   "<part id='side' " SIDE "><tail at='front' into='front/l'/>"
                   "<butt-face id='x' at='right'/></part>"
                   "<group id='g'><part id='front' " RUN "><socket id='l' at='left'/></part>"
                   "<part id='side' " SIDE "><tail at='front' into='front/l'/></part>"
                   "<butt part='side' at='left' into='side/x'/></group>");
  expect_good(&p);
  ck_assert_int_eq(p.model->n_joints, 3);
  for (int i = 0; i < 3; ++i) {
    const gw_joint *joint = &p.model->joints[i];
    const char *e = p.model->parts[gw_joint_enters(p.model, joint)].id;
    const char *r = p.model->parts[gw_joint_receives(p.model, joint)].id;
    if (strcmp(e, "side") == 0) ck_assert_str_eq(r, "front");
    else ck_assert_str_eq(r, joint->kind == GW_BUTT ? "side" : "g.front");
  }
  project_clear(&p);
}
END_TEST

START_TEST(glue_of_a_joint) {
  project p = mate("<glue id='own' kind='pva'/><glue id='slow' kind='epoxy-slow'/>"
                   "<part id='a' " SIDE "><tail at='front' into='b/l'/>"
                   "<tail at='back' into='b/r' glue='slow'/><butt at='up' into='b/t' glued='no'/>"
                   "<butt at='down' into='b/u'/></part>"
                   "<part id='b' " WOOD "><socket id='l' at='left'/><socket id='r' at='right'/>"
                   "<butt-face id='t' at='down'/><butt-face id='u' at='up' glue='slow'/></part>");
  expect_good(&p);
  static const int glue[] = {0, 1, -1, 1};
  for (int i = 0; i < 4; ++i) {
    ck_assert_int_eq(p.model->joints[i].glue, glue[i]);
    ck_assert_int_eq(p.model->joints[i].glued, glue[i] >= 0);
  }
  project_clear(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("mating");
  TCase *rules = tcase_create("rules");
  tcase_add_loop_test(rules, each_kind_mates_its_own_halves_only, 0, GW_KINDS * GW_KINDS);
  tcase_add_test(rules, two_into_one_names_the_free_one);
  tcase_add_test(rules, left_over);
  tcase_add_test(rules, unknown_half_guesses_and_says_it_once);
  tcase_add_test(rules, into_itself);
  tcase_add_test(rules, alone_and_apart);
  tcase_add_test(rules, copied_and_own_ids_meet);
  tcase_add_test(rules, groups_look_at_home_first);
  tcase_add_test(rules, glue_of_a_joint);
  suite_add_tcase(suite, rules);
  return run_suite(suite);
}
