/* Judged as measured: where values come from, what closes, what is to be done. */
#include <stdlib.h>
#include <unistd.h>

#include "fit/asmade.h"
#include "project.h"
#include "read/measured.h"

/* A frame; `measured` is put behind it. */
static project frame(const char *measured) {
  static char text[8192];
  snprintf(text, sizeof text,
           "<part id='l' length='600' width='60' thickness='20' face='front' edge='right'>"
           "<mortise id='t' at='right' thickness='6' width='40' depth='31' from-top='10'/>"
           "<mortise id='b' at='right' thickness='6' width='40' depth='31' from-bottom='10'/></part>"
           "<part id='r' mirror-of='l'/>"
           "<part id='top' length='300' width='60' thickness='20' face='front' edge='down' "
           "tolerance='0.5'><tenon at='left' into='l/t' thickness='6' width='40' depth='30'/>"
           "<tenon at='right' into='r/t' thickness='6' width='40' depth='30'/></part>"
           "<part id='bot' like='top' into='l/b r/b'/>\n%s", measured);
  project p = project_read(text);
  return p;
}

static project as_measured(const char *measured) {
  project p = frame(measured);
  ck_assert_msg(project_good(&p), "%s", all_words(&p));
  ck_assert_int_eq(gw_measured_apply(p.model, p.findings), GW_OK);
  return project_fit(p);
}

#define M(part, more, value) "<measured part='" part "' " more " value='" value "'/>"

START_TEST(drawn_sizes_stay_until_asked) {
  project p = project_fit(frame(M("top", "size='length'", "290")));
  expect_good(&p);
  ck_assert_int_eq(p.model->n_measured, 1);
  ck_assert_int_eq(p.model->parts[2].length, 300 * GW_MM);
  project_clear(&p);
}
END_TEST

START_TEST(values_take_their_places) {
  project p = as_measured(M("top", "size='width'", "59.9") M("top", "half='left' size='depth'", "30.02")
                          M("l", "half='t' size='thickness'", "6.05")
                          M("l", "half='b' size='from-bottom'", "10.02"));
  expect_good(&p);
  const gw_part *top = &p.model->parts[part_of(&p, "top")];
  ck_assert_int_eq(top->width, 599 * GW_MM / 10);
  ck_assert_int_eq(top->size[GW_Z], top->width);
  ck_assert_int_eq(top->tolerance, 0);
  ck_assert_int_eq(half_of(&p, "top", 0)->depth, 3002 * GW_MM / 100);
  ck_assert_int_eq(half_of(&p, "l", 0)->thickness, 605 * GW_MM / 100);
  ck_assert_int_eq(half_of(&p, "l", 1)->from[GW_DOWN], 1002 * GW_MM / 100);
  project_clear(&p);
}
END_TEST

/* A tenth of a millimetre for each joint is drawn shut: a loop of four joints. */
START_TEST(wood_gives_a_little) {
  project p = as_measured(M("top", "size='length'", "300.2"));
  expect_good(&p);
  project_clear(&p);
  p = as_measured(M("top", "size='length'", "300.3"));
  expect_one(&p, "loop-open", 1);
  project_clear(&p);
}
END_TEST

/* Longer by 0.8: the loop gives 0.2, 0.6 is to come off, and the plane and the
 * saw are named before the shim. */
START_TEST(what_is_to_be_done) {
  project p = as_measured(M("top", "size='length'", "300.8"));
  expect_one(&p, "loop-open", 1);
  const char *words = gw_findings_at(p.findings, 0)->words;
  const char *saw = strstr(words, "saw 0.6 off the length of top (300.8 to 300.2)");
  const char *shim = strstr(words, "shim bot by 0.6");
  const char *shoulder = strstr(words, "cut the shoulder back by 0.6 at the tenon at the left of top");
  ck_assert_msg(saw != NULL, "%s", words);
  ck_assert_msg(shoulder != NULL && (shim == NULL || shoulder < shim), "%s", words);
  ck_assert_ptr_null(strstr(words, "change one"));
  project_clear(&p);
}
END_TEST

/* What the finding says does put it right. */
START_TEST(the_deed_helps) {
  project p = as_measured(M("top", "size='length'", "300.8") M("top", "half='left' size='depth'", "30.6"));
  expect_good(&p);
  project_clear(&p);
}
END_TEST

START_TEST(halves_are_judged) {
  project p = as_measured(M("top", "half='left' size='thickness'", "6.3"));
  expect_one(&p, "too-thick", 1);
  ck_assert_ptr_nonnull(strstr(gw_findings_at(p.findings, 0)->words, "take so much off the first"));
  project_clear(&p);
  p = as_measured(M("top", "half='left' size='thickness'", "5.5"));
  expect_one(&p, "too-loose", 1);
  ck_assert_ptr_nonnull(strstr(gw_findings_at(p.findings, 0)->words, "glue a slip on the first"));
  project_clear(&p);
  p = as_measured(M("top", "half='left' size='thickness'", "6.08"));
  expect_good(&p);
  project_clear(&p);
}
END_TEST

START_TEST(nothing_measured_is_said) {
  project p = as_measured("");
  ck_assert_int_eq(gw_findings_count(p.findings), 1);
  ck_assert_str_eq(gw_findings_at(p.findings, 0)->code, "nothing-measured");
  ck_assert_int_eq(gw_findings_at(p.findings, 0)->severity, GW_WARNING);
  project_clear(&p);
}
END_TEST

START_TEST(what_cannot_be_measured) {
  static const struct { const char *element, *code; } rows[] = {
      {M("topp", "size='length'", "1"), "unknown-part"},
      {M("top", "size='depth'", "1"), "measured-where"},
      {M("top", "half='up' size='depth'", "1"), "measured-where"},
      {M("l", "half='right' size='depth'", "1"), "measured-where"}, /* there are two */
      {M("l", "half='t' size='length'", "1"), "measured-where"},
      {M("top", "size='length'", "0"), "size-nought"},
      {M("l", "size='length'", "600") M("l", "size='length'", "601"), "measured-twice"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    project p = frame(rows[i].element);
    expect_one(&p, rows[i].code, 2);
    project_clear(&p);
  }
}
END_TEST

/* ---- what can be cut -------------------------------------------------------------------- */

START_TEST(only_smaller_without_glue) {
  project p = project_fit(frame(""));
  const gw_model *m = p.model;
  int tenon = m->parts[2].first_half, mortise = m->parts[0].first_half;
  ck_assert(m->halves[tenon].enters && !m->halves[mortise].enters);
  ck_assert(gw_fit_can_cut(m, -1, "length", 300, 299));
  ck_assert(!gw_fit_can_cut(m, -1, "length", 299, 300));
  ck_assert(gw_fit_can_cut(m, tenon, "thickness", 7, 6) && !gw_fit_can_cut(m, tenon, "thickness", 6, 7));
  ck_assert(gw_fit_can_cut(m, mortise, "width", 6, 7) && !gw_fit_can_cut(m, mortise, "width", 7, 6));
  ck_assert(gw_fit_can_cut(m, tenon, "depth", 6, 7) && !gw_fit_can_cut(m, tenon, "depth", 7, 6));
  ck_assert(!gw_fit_can_cut(m, mortise, "from-left", 6, 7));
  gw_arena *arena = gw_arena_new();
  ck_assert_str_eq(gw_fit_do_words(arena, m, 2, tenon, "thickness", 7 * GW_MM, 6 * GW_MM),
                   "pare 1 off the tenon at the left of top (thickness 7 to 6)");
  ck_assert_str_eq(gw_fit_do_words(arena, m, 0, mortise, "depth", 30 * GW_MM, 31 * GW_MM),
                   "cut 1 deeper the mortise at the right of l (depth 30 to 31)");
  ck_assert_str_eq(gw_fit_do_words(arena, m, 0, mortise, "from-top", 10 * GW_MM, 11 * GW_MM),
                   "cut l again, the from-top of its mortise at the right 11 instead of 10");
  ck_assert_str_eq(gw_fit_do_words(arena, m, 0, -1, "width", 60 * GW_MM, 61 * GW_MM),
                   "shim l by 1, or cut it again, its width 61 instead of 60");
  gw_arena_free(arena);
  project_clear(&p);
}
END_TEST

/* ---- lists ------------------------------------------------------------------------------------ */

static gw_status with_list(project *p, const char *bytes, gw_error *err) {
  char path[] = "/tmp/measured-XXXXXX";
  int file = mkstemp(path);
  ck_assert_int_ge(file, 0);
  ck_assert_int_eq(write(file, bytes, strlen(bytes)), (ssize_t)strlen(bytes));
  close(file);
  *p = frame(M("top", "size='length'", "290"));
  gw_status status = gw_measured_list(p->model, path, err);
  unlink(path);
  return status;
}

START_TEST(a_list_adds_and_wins) {
  project p;
  gw_error err = {0};
  ck_assert_int_eq(with_list(&p, "\xEF\xBB\xBFpart,size,value\r\n top , length , 300.1\r\n\r\n"
                                 "l/t,depth,31.5 mm\nbot/left,thickness,5.95", &err), GW_OK);
  ck_assert_int_eq(p.model->n_measured, 4);
  ck_assert_int_eq(gw_measured_apply(p.model, p.findings), GW_OK);
  ck_assert_int_eq(p.model->parts[part_of(&p, "top")].length, 3001 * GW_MM / 10);
  ck_assert_int_eq(half_of(&p, "l", 0)->depth, 315 * GW_MM / 10);
  ck_assert_int_eq(half_of(&p, "bot", 0)->thickness, 595 * GW_MM / 100);
  p = project_fit(p);
  expect_good(&p);
  project_clear(&p);
}
END_TEST

START_TEST(bad_lists) {
  static const struct { const char *bytes, *words; } rows[] = {
      {"", "the list is empty"},
      {"top,length,300\n", ":1: the first line is  part,size,value"},
      {"part,size,value\ntop,length\n", ":2: a line has a part, a size and a value"},
      {"part,size,value\ntop,length,300,1\n", ":2: a line has"},
      {"part,size,value\ntopp,length,300\n", ":2: topp is not a part of the project"},
      {"part,size,value\n\ntop,girth,300\n", ":3: girth is no size that is measured"},
      {"part,size,value\ntop,length,abc\n", ":2: abc "},
      {"part,size,value\ntop,length,0\n", ":2: 0 is nought or less"},
      {"part,size,value\ntop,length,-4\n", ":2: -4 is nought or less"},
      {"part,size,value\nl/right,depth,4\n", ":2: depth is of a side with more than one half"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    project p;
    gw_error err = {0};
    ck_assert_int_eq(with_list(&p, rows[i].bytes, &err), GW_BAD_INPUT);
    ck_assert_msg(strstr(err.words, rows[i].words) != NULL, "%s", err.words);
    ck_assert_int_eq(p.model->n_measured, 1);
    project_clear(&p);
  }
  static char longest[2000] = "part,size,value\n";
  memset(longest + strlen(longest), 'x', 1000);
  project p;
  gw_error err = {0};
  ck_assert_int_eq(with_list(&p, longest, &err), GW_BAD_INPUT);
  ck_assert_ptr_nonnull(strstr(err.words, "the line is too long"));
  ck_assert_int_eq(gw_measured_list(p.model, "/nowhere/at/all.csv", &err), GW_BAD_INPUT);
  project_clear(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("measured");
  TCase *measured = tcase_create("measured");
  tcase_add_test(measured, drawn_sizes_stay_until_asked);
  tcase_add_test(measured, values_take_their_places);
  tcase_add_test(measured, wood_gives_a_little);
  tcase_add_test(measured, what_is_to_be_done);
  tcase_add_test(measured, the_deed_helps);
  tcase_add_test(measured, halves_are_judged);
  tcase_add_test(measured, nothing_measured_is_said);
  tcase_add_test(measured, what_cannot_be_measured);
  tcase_add_test(measured, only_smaller_without_glue);
  tcase_add_test(measured, a_list_adds_and_wins);
  tcase_add_test(measured, bad_lists);
  suite_add_tcase(suite, measured);
  return run_suite(suite);
}
