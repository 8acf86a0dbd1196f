/* Moisture content and movement against the Wood Handbook (FPL-GTR-190, 2010)
 * where its figures could be read; what could not is marked from memory. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fit/moisture.h"

/* The nearest tenth of a degree C to a row of the table, which is in F. */
static int from_fahrenheit(int f) { return (int)lround((f - 32) / 1.8 * 10); }

/* Table 4-2.  The table is rounded to 0.1; 0.06 allows for its rounding edges. */
START_TEST(table_4_2) {
  static const struct { int f, humidity; double content; } ROW[] = {
    {30, 95, 24.3}, {40, 65, 12.3}, {50, 30, 6.3},  {50, 80, 16.4},
    {60, 50, 9.4},  {70, 20, 4.5},  {70, 30, 6.2},  {70, 40, 7.7},
    {70, 50, 9.2},  {70, 65, 12.0}, {70, 80, 16.0}, {70, 95, 23.9},
    {80, 60, 10.8}, {90, 50, 8.9},  {100, 90, 19.5}, {140, 55, 8.4},
    /* cells on a rounding edge */
    {30, 70, 13.5}, {60, 30, 6.2},  {70, 85, 17.9}, {90, 85, 17.3},
    {90, 90, 19.8}, {110, 95, 22.4}, {130, 60, 9.4}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    double content = -1;
    ck_assert_int_eq(gw_moisture_content(from_fahrenheit(ROW[i].f), ROW[i].humidity, &content),
                     GW_MOISTURE_OK);
    ck_assert_msg(fabs(content - ROW[i].content) < 0.06, "%d F %d %%: %.4f", ROW[i].f,
                  ROW[i].humidity, content);
  }
}
END_TEST

/* Worked out from the equation itself, no table cell. */
START_TEST(equation_points) {
  double content;
  ck_assert_int_eq(gw_moisture_content(200, 65, &content), GW_MOISTURE_OK);
  ck_assert_double_eq_tol(content, 11.996, 0.0005);
  ck_assert_int_eq(gw_moisture_content(0, 50, &content), GW_MOISTURE_OK);
  ck_assert_double_eq_tol(content, 9.519, 0.0005);
}
END_TEST

START_TEST(content_rises_with_humidity) {
  for (int t = GW_MOISTURE_COLDEST_DC; t <= GW_MOISTURE_WARMEST_DC; t++) {
    double before = 0;
    for (int h = GW_MOISTURE_DRIEST_PC; h <= GW_MOISTURE_DAMPEST_PC; h++) {
      double content;
      ck_assert_int_eq(gw_moisture_content(t, h, &content), GW_MOISTURE_OK);
      ck_assert(content > before);
      before = content;
    }
    ck_assert(before < 30);
  }
}
END_TEST

START_TEST(no_content_outside_the_table) {
  static const int AIR[][2] = {{-12, 50}, {601, 50}, {200, 4}, {200, 96}, {200, -5}, {200, 100}};
  for (size_t i = 0; i < sizeof AIR / sizeof *AIR; i++) {
    double content = 77;
    ck_assert_int_eq(gw_moisture_content(AIR[i][0], AIR[i][1], &content), GW_MOISTURE_NO_AIR);
    ck_assert_double_eq(content, 77);
  }
}
END_TEST

static gw_len moved(gw_len width, const char *wood, gw_grain grain, double from, double to) {
  const gw_wood *row = gw_wood_find(wood);
  gw_len change = GW_UNSET;
  ck_assert_ptr_nonnull(row);
  gw_moisture_verdict verdict = gw_moisture_move(width, row, grain, from, to, &change);
  ck_assert(verdict == GW_MOISTURE_OK || verdict == GW_MOISTURE_WIDE);
  return change;
}

/* Table 13-5, as tangential and radial. */
START_TEST(table_13_5) {
  static const struct { const char *name; int t, r; gw_known known; } ROW[] = {
    {"red oak", 369, 158, GW_READ},          {"white oak", 365, 180, GW_READ},
    {"cherry", 248, 126, GW_READ},           {"walnut", 274, 190, GW_READ},
    {"sugar maple", 353, 165, GW_READ},      {"red maple", 289, 137, GW_READ},
    {"American beech", 431, 190, GW_READ},   {"white ash", 274, 169, GW_READ},
    {"yellow birch", 338, 256, GW_READ},     {"red alder", 256, 151, GW_READ},
    {"basswood", 330, 230, GW_READ},         {"yellow-poplar", 289, 158, GW_FROM_MEMORY},
    {"eastern white pine", 212, 71, GW_FROM_MEMORY},
    {"ponderosa pine", 216, 133, GW_FROM_MEMORY},
    {"Douglas-fir", 267, 165, GW_FROM_MEMORY},
    {"mahogany", 238, 172, GW_FROM_MEMORY},  {"teak", 186, 101, GW_FROM_MEMORY}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    const gw_wood *wood = gw_wood_find(ROW[i].name);
    ck_assert_msg(wood != NULL, "%s", ROW[i].name);
    ck_assert_int_eq(wood->coefficient[GW_TANGENTIAL], ROW[i].t);
    ck_assert_int_eq(wood->coefficient[GW_RADIAL], ROW[i].r);
    ck_assert_int_eq(wood->known[GW_TANGENTIAL], ROW[i].known);
    ck_assert_int_eq(wood->known[GW_RADIAL], ROW[i].known);
  }
}
END_TEST

/* WH ch. 13, worked example: 232 mm (9.15 in) grows by 1.7 mm (0.067 in) up to
 * 11 percent.  White fir, from 8 percent and C_T 0.00245 are from memory. */
START_TEST(worked_example) {
  gw_len change = moved(232 * GW_MM, "white fir", GW_TANGENTIAL, 8, 11);
  ck_assert_double_eq_tol(gw_len_mm(change), 1.7, 0.05);
  change = moved((gw_len)(915 * GW_INCH / 100), "white fir", GW_TANGENTIAL, 8, 11);
  ck_assert_double_eq_tol(gw_len_mm(change) / 25.4, 0.067, 0.0005);
  ck_assert_int_eq(gw_wood_find("white fir")->known[GW_RADIAL], GW_READ);
  ck_assert_int_eq(gw_wood_find("white fir")->coefficient[GW_RADIAL], 112);
}
END_TEST

/* 600 mm wide, 4 percent more: products of the table's figures. */
START_TEST(six_hundred_wide) {
  static const struct { const char *wood; gw_grain grain; double mm; } ROW[] = {
    {"red oak", GW_TANGENTIAL, 8.856},     {"red oak", GW_RADIAL, 3.792},
    {"white oak", GW_TANGENTIAL, 8.760},   {"cherry", GW_TANGENTIAL, 5.952},
    {"walnut", GW_TANGENTIAL, 6.576},      {"white ash", GW_TANGENTIAL, 6.576},
    {"sugar maple", GW_TANGENTIAL, 8.472}, {"american beech", GW_TANGENTIAL, 10.344}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    gw_len change = moved(600 * GW_MM, ROW[i].wood, ROW[i].grain, 8, 12);
    ck_assert_msg(change == (gw_len)lround(ROW[i].mm * 16000), "%s", ROW[i].wood);
    ck_assert_int_eq(moved(600 * GW_MM, ROW[i].wood, ROW[i].grain, 12, 8), -change);
  }
}
END_TEST

/* Eq. 13-3 as printed, with total shrinkage.  The equation and the shrinkages are
 * from memory; C has five decimals only, which allows about 1 in 200. */
START_TEST(wide_range_by_shrinkage) {
  static const struct { const char *wood; gw_grain grain; double f, s; } ROW[] = {
    {"cherry", GW_RADIAL, 30, 3.7},       {"cherry", GW_TANGENTIAL, 30, 7.1},
    {"walnut", GW_RADIAL, 30, 5.5},       {"walnut", GW_TANGENTIAL, 30, 7.8},
    {"sugar maple", GW_RADIAL, 30, 4.8},  {"sugar maple", GW_TANGENTIAL, 30, 9.9},
    {"american beech", GW_RADIAL, 30, 5.5}, {"american beech", GW_TANGENTIAL, 30, 11.9},
    {"white ash", GW_RADIAL, 30, 4.9},    {"white ash", GW_TANGENTIAL, 30, 7.8},
    {"white fir", GW_TANGENTIAL, 30, 7.0}, {"mahogany", GW_TANGENTIAL, 22, 5.1},
    {"teak", GW_RADIAL, 22, 2.2},         {"teak", GW_TANGENTIAL, 22, 4.0}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    gw_len change = 0, width = 600 * GW_MM;
    double expected = 600 * (20.0 - 4) / (ROW[i].f * 100 / ROW[i].s - ROW[i].f + 4);
    ck_assert_int_eq(gw_moisture_move(width, gw_wood_find(ROW[i].wood), ROW[i].grain, 4, 20,
                                      &change), GW_MOISTURE_WIDE);
    ck_assert_msg(fabs(gw_len_mm(change) / expected - 1) < 0.005, "%s %.4f %.4f", ROW[i].wood,
                  gw_len_mm(change), expected);
    /* from full swell to dry is the shrinkage itself */
    gw_moisture_move(width, gw_wood_find(ROW[i].wood), ROW[i].grain, ROW[i].f, 0, &change);
    ck_assert_double_eq_tol(-gw_len_mm(change), 6 * ROW[i].s, 6 * ROW[i].s * 0.005);
  }
}
END_TEST

/* Going away and coming back ends at the width it started from. */
START_TEST(there_and_back) {
  const gw_wood *wood = gw_wood_find("white oak");
  for (int to = 0; to <= 30; to++) {
    gw_len width = 600 * GW_MM, out = 0, back = 0;
    ck_assert_int_eq(gw_moisture_move(width, wood, GW_TANGENTIAL, 5, to, &out), GW_MOISTURE_WIDE);
    ck_assert_int_eq(gw_moisture_move(width + out, wood, GW_TANGENTIAL, to, 5, &back),
                     GW_MOISTURE_WIDE);
    ck_assert_int_le(llabs(out + back), 1);
  }
}
END_TEST

START_TEST(limits_of_movement) {
  const gw_wood *oak = gw_wood_find("red oak"), *teak = gw_wood_find("teak");
  gw_len change = 77, width = 100 * GW_MM;
  ck_assert_int_eq(gw_moisture_move(width, oak, GW_RADIAL, 6, 14, &change), GW_MOISTURE_OK);
  ck_assert_int_eq(gw_moisture_move(width, oak, GW_RADIAL, 5.9, 14, &change), GW_MOISTURE_WIDE);
  ck_assert_int_eq(gw_moisture_move(width, oak, GW_RADIAL, 6, 14.1, &change), GW_MOISTURE_WIDE);
  ck_assert_int_eq(gw_moisture_move(width, oak, GW_RADIAL, 0, 30, &change), GW_MOISTURE_WIDE);
  change = 77;
  ck_assert_int_eq(gw_moisture_move(width, oak, GW_RADIAL, 8, 30.1, &change),
                   GW_MOISTURE_NO_CONTENT);
  ck_assert_int_eq(gw_moisture_move(width, oak, GW_RADIAL, -0.1, 8, &change),
                   GW_MOISTURE_NO_CONTENT);
  ck_assert_int_eq(gw_moisture_move(width, teak, GW_RADIAL, 8, 22.1, &change),
                   GW_MOISTURE_NO_CONTENT);
  ck_assert_int_eq(gw_moisture_move(width, oak, GW_RADIAL, (double)NAN, 8, &change),
                   GW_MOISTURE_NO_CONTENT);
  ck_assert_int_eq(gw_moisture_move(-1, oak, GW_RADIAL, 8, 9, &change), GW_MOISTURE_NO_WIDTH);
  ck_assert_int_eq(gw_moisture_move(GW_LEN_MAX + 1, oak, GW_RADIAL, 8, 9, &change),
                   GW_MOISTURE_NO_WIDTH);
  ck_assert_int_eq(change, 77);
}
END_TEST

START_TEST(change_of_air) {
  gw_len change = 77, grown = 0, shrunk = 0;
  ck_assert_int_eq(gw_moisture_change(600 * GW_MM, "red oak", GW_TANGENTIAL, 40, 65, 211, &grown),
                   GW_MOISTURE_OK);
  /* 21.1 C: 7.7 to 12.0 percent by Table 4-2, each to 0.06 */
  ck_assert_double_eq_tol(gw_len_mm(grown), 600 * 0.00369 * 4.3, 600 * 0.00369 * 0.12);
  ck_assert_int_eq(gw_moisture_change(600 * GW_MM, "red oak", GW_TANGENTIAL, 65, 40, 211, &shrunk),
                   GW_MOISTURE_OK);
  ck_assert_int_eq(shrunk, -grown);
  ck_assert_int_eq(gw_moisture_change(GW_MM, "red oak", GW_RADIAL, 50, 50, 200, &change),
                   GW_MOISTURE_OK);
  ck_assert_int_eq(change, 0);
  change = 77;
  ck_assert_int_eq(gw_moisture_change(GW_MM, "ironwood", GW_RADIAL, 40, 50, 200, &change),
                   GW_MOISTURE_NO_WOOD);
  ck_assert_int_eq(gw_moisture_change(GW_MM, "red oak", GW_RADIAL, 3, 50, 200, &change),
                   GW_MOISTURE_NO_AIR);
  ck_assert_int_eq(gw_moisture_change(GW_MM, "red oak", GW_RADIAL, 50, 99, 200, &change),
                   GW_MOISTURE_NO_AIR);
  ck_assert_int_eq(gw_moisture_change(GW_MM, "teak", GW_RADIAL, 50, 95, 0, &change),
                   GW_MOISTURE_NO_CONTENT);
  ck_assert_int_eq(change, 77);
}
END_TEST

/* "hardwood" and "softwood" are the largest of their kind in the table. */
START_TEST(stand_ins_are_the_largest) {
  int largest[2][2] = {{0, 0}, {0, 0}};
  for (size_t i = 0; i < gw_wood_count(); i++) {
    const gw_wood *w = gw_wood_at(i);
    ck_assert_int_gt(w->coefficient[GW_TANGENTIAL], w->coefficient[GW_RADIAL]);
    for (int g = 0; g < 2; g++)
      if (w->known[g] != GW_LARGEST_OF_TABLE && w->coefficient[g] > largest[w->softwood][g])
        largest[w->softwood][g] = w->coefficient[g];
  }
  for (int g = 0; g < 2; g++) {
    ck_assert_int_eq(gw_wood_find("hardwood")->coefficient[g], largest[0][g]);
    ck_assert_int_eq(gw_wood_find("softwood")->coefficient[g], largest[1][g]);
    ck_assert_int_eq(gw_wood_find("softwood")->known[g], GW_LARGEST_OF_TABLE);
  }
  ck_assert_ptr_null(gw_wood_at(gw_wood_count()));
}
END_TEST

START_TEST(names) {
  ck_assert_ptr_eq(gw_wood_find("Red-Oak"), gw_wood_find("red oak"));
  ck_assert_ptr_null(gw_wood_find("oak"));
  ck_assert_ptr_null(gw_wood_find("red oak "));
  ck_assert_ptr_null(gw_wood_find(""));
  ck_assert_str_eq(gw_wood_nearest("wallnut"), "walnut");
  ck_assert_ptr_null(gw_wood_nearest("zzzzzzzz"));
  ck_assert_ptr_nonnull(strstr(gw_wood_source(gw_wood_find("teak"), GW_RADIAL), "from memory"));
  ck_assert_ptr_null(strstr(gw_wood_source(gw_wood_find("red oak"), GW_RADIAL), "from memory"));
  ck_assert_ptr_nonnull(strstr(gw_wood_source(gw_wood_find("hardwood"), GW_RADIAL), "no source"));
}
END_TEST

int main(void) {
  Suite *suite = suite_create("moisture");
  TCase *tc = tcase_create("moisture");
  tcase_add_test(tc, table_4_2);
  tcase_add_test(tc, equation_points);
  tcase_add_test(tc, content_rises_with_humidity);
  tcase_add_test(tc, no_content_outside_the_table);
  tcase_add_test(tc, table_13_5);
  tcase_add_test(tc, worked_example);
  tcase_add_test(tc, six_hundred_wide);
  tcase_add_test(tc, wide_range_by_shrinkage);
  tcase_add_test(tc, there_and_back);
  tcase_add_test(tc, limits_of_movement);
  tcase_add_test(tc, change_of_air);
  tcase_add_test(tc, stand_ins_are_the_largest);
  tcase_add_test(tc, names);
  suite_add_tcase(suite, tc);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
