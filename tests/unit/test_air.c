/* Vapour pressure against a published table, and the air's effect on glue by its
 * properties: what may never happen, whatever the air. */
#include <check.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>

#include "clock/air.h"

/* CRC Handbook of Chemistry and Physics (1992-93), kPa; within 0.3 percent. */
START_TEST(saturation_by_the_table) {
  static const struct { double celsius, table, wmo; } ROW[] = {
    {0, 0.61129, 0.61120}, {5, 0.8726, 0.87174},  {10, 1.2281, 1.22603}, {15, 1.7056, 1.70167},
    {20, 2.3388, 2.33260}, {25, 3.1690, 3.16006}, {30, 4.2455, 4.23372}, {40, 7.3814, 7.36746}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    double kpa = gw_air_saturation(ROW[i].celsius);
    ck_assert_double_eq_tol(kpa, ROW[i].table, ROW[i].table * 0.003);
    ck_assert_double_eq_tol(kpa, ROW[i].wmo, 0.000006); /* the formula, by hand */
  }
}
END_TEST

/* Worked out from the WMO formula. */
START_TEST(dew_points) {
  static const struct { double celsius, humidity, dew; } ROW[] = {
    {20, 0.50, 9.255}, {20, 0.65, 13.217}, {25, 0.40, 10.457}, {10, 0.80, 6.706}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    double dew = gw_air_dew_point(ROW[i].celsius, ROW[i].humidity);
    ck_assert_double_eq_tol(dew, ROW[i].dew, 0.0006);
    ck_assert_double_eq_tol(gw_air_saturation(dew),
                            ROW[i].humidity * gw_air_saturation(ROW[i].celsius), 1e-9);
  }
  ck_assert_double_eq_tol(gw_air_dew_point(17, 1), 17, 1e-9);
}
END_TEST

START_TEST(physics_has_limits) {
  ck_assert_double_nan(gw_air_saturation(-45.1));
  ck_assert_double_nan(gw_air_saturation(60.1));
  ck_assert_double_nan(gw_air_saturation((double)NAN));
  ck_assert_double_nan(gw_air_deficit(20, 1.01));
  ck_assert_double_nan(gw_air_deficit(20, -0.01));
  ck_assert_double_nan(gw_air_deficit(61, 0.5));
  ck_assert_double_nan(gw_air_dew_point(20, 0));
  ck_assert_double_nan(gw_air_dew_point(20, 1.01));
  ck_assert_double_eq_tol(gw_air_deficit(20, 0.5), 2.3388 / 2, 2.3388 / 2 * 0.003);
  ck_assert_double_eq_tol(gw_air_deficit(20, 1), 0, 1e-12);
}
END_TEST

static const gw_glue_family FAMILIES[] = {GW_WATER_BORNE, GW_REACTING, GW_GELLING};

static gw_air_effect effect_of(gw_glue_family family, int t, int h) {
  gw_air_effect effect;
  ck_assert_msg(!gw_air_outside(gw_air_effect_on(family, t, h, &effect)), "%d %d", t, h);
  return effect;
}

START_TEST(reference_air_changes_nothing) {
  for (int f = 0; f < 3; f++) {
    gw_air_effect effect;
    ck_assert_int_eq(gw_air_effect_on(FAMILIES[f], GW_AIR_REFERENCE_DC, GW_AIR_REFERENCE_PC,
                                      &effect), GW_AIR_OK);
    ck_assert_int_eq(effect.open_pm, 1000);
    ck_assert_int_eq(effect.clamp_pm, 1000);
  }
}
END_TEST

/* By hand from the table of vapour pressures, which agrees to 0.3 percent. */
START_TEST(water_borne_by_the_table) {
  static const struct { int t, h; double pressure; } ROW[] = {
    {250, 40, 3.1690}, {250, 50, 3.1690}, {300, 20, 4.2455}, {200, 40, 2.3388},
    {200, 60, 2.3388}, {150, 50, 1.7056}, {150, 40, 1.7056}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    double expected = 1000 * 2.3388 * 0.5 / (ROW[i].pressure * (1 - ROW[i].h / 100.0));
    gw_air_effect effect = effect_of(GW_WATER_BORNE, ROW[i].t, ROW[i].h);
    ck_assert_double_eq_tol(effect.open_pm, expected, expected * 0.003 + 1);
  }
}
END_TEST

START_TEST(reacting_doubles_in_ten_degrees) {
  ck_assert_int_eq(effect_of(GW_REACTING, 300, 50).open_pm, 500);
  ck_assert_int_eq(effect_of(GW_REACTING, 300, 50).clamp_pm, 1000);
  ck_assert_int_eq(effect_of(GW_REACTING, 100, 50).clamp_pm, 2000);
  ck_assert_int_eq(effect_of(GW_REACTING, 100, 50).open_pm, GW_AIR_OPEN_MOST_PM);
  ck_assert_int_eq(effect_of(GW_REACTING, 250, 50).open_pm, 707);
  ck_assert_int_eq(effect_of(GW_REACTING, 150, 50).open_pm, 1414);
  ck_assert_int_eq(effect_of(GW_REACTING, 150, 50).clamp_pm, 1415);
}
END_TEST

/* ln(55/30) / ln(40/15) and ln(45/20) / ln(40/15), worked out apart. */
START_TEST(gelling_by_cooling) {
  ck_assert_int_eq(effect_of(GW_GELLING, 50, 50).open_pm, 617);
  ck_assert_int_eq(effect_of(GW_GELLING, 150, 50).open_pm, 826);
  /* warm and dry: it dries before it gels */
  ck_assert_int_eq(effect_of(GW_GELLING, 300, 20).open_pm,
                   effect_of(GW_WATER_BORNE, 300, 20).open_pm);
  /* as warm as the gel: it only dries */
  ck_assert_int_eq(effect_of(GW_GELLING, 350, 40).open_pm,
                   effect_of(GW_WATER_BORNE, 350, 40).open_pm);
}
END_TEST

/* One degree, or one percent, on from (t, h): nothing moves the wrong way. */
static void steps_are_right(gw_glue_family family, int t, int h) {
  gw_air_effect here = effect_of(family, t, h);
  if (h < GW_AIR_DAMPEST_PC) {
    gw_air_effect damper = effect_of(family, t, h + 1);
    ck_assert_int_ge(damper.open_pm, here.open_pm);
    ck_assert_int_ge(damper.clamp_pm, here.clamp_pm);
  }
  if (t == GW_AIR_COLDEST_DC) return;
  gw_air_effect cooler = effect_of(family, t - 1, h);
  if (family != GW_GELLING) {
    ck_assert_int_ge(cooler.open_pm, here.open_pm);
    ck_assert_int_ge(cooler.clamp_pm, here.clamp_pm);
  } else if (here.open_pm < effect_of(GW_WATER_BORNE, t, h).open_pm) {
    ck_assert_int_le(cooler.open_pm, here.open_pm); /* the gel comes first */
  }
}

START_TEST(cooler_or_damper_air_never_hurts_the_wrong_way) {
  for (int f = 0; f < 3; f++)
    for (int t = GW_AIR_COLDEST_DC; t <= GW_AIR_WARMEST_DC; t++)
      for (int h = GW_AIR_DRIEST_PC; h <= GW_AIR_DAMPEST_PC; h++)
        steps_are_right(FAMILIES[f], t, h);
}
END_TEST

START_TEST(factors_stay_within_limits) {
  int cut_off = 0;
  for (int f = 0; f < 3; f++)
    for (int t = GW_AIR_COLDEST_DC; t <= GW_AIR_WARMEST_DC; t++)
      for (int h = GW_AIR_DRIEST_PC; h <= GW_AIR_DAMPEST_PC; h++) {
        gw_air_effect effect;
        gw_air_verdict verdict = gw_air_effect_on(FAMILIES[f], t, h, &effect);
        ck_assert(effect.open_pm >= 250 && effect.open_pm <= GW_AIR_OPEN_MOST_PM);
        ck_assert(effect.clamp_pm >= 1000 && effect.clamp_pm <= 3000);
        ck_assert_int_ge(effect.clamp_pm, effect.open_pm);
        if (verdict == GW_AIR_CUT_OFF) {
          ck_assert_int_eq(effect.open_pm, GW_AIR_OPEN_MOST_PM);
          cut_off++;
        }
      }
  ck_assert_int_gt(cut_off, 0);
}
END_TEST

START_TEST(nothing_is_extrapolated) {
  static const struct { int t, h; gw_air_verdict verdict; } ROW[] = {
    {49, 50, GW_AIR_TOO_COLD}, {-100, 50, GW_AIR_TOO_COLD}, {351, 50, GW_AIR_TOO_WARM},
    {200, 19, GW_AIR_TOO_DRY}, {200, 91, GW_AIR_TOO_DAMP},  {200, 100, GW_AIR_TOO_DAMP}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++)
    for (int f = 0; f < 3; f++) {
      gw_air_effect effect = {1, 1};
      gw_air_verdict verdict = gw_air_effect_on(FAMILIES[f], ROW[i].t, ROW[i].h, &effect);
      bool damp = ROW[i].verdict == GW_AIR_TOO_DRY || ROW[i].verdict == GW_AIR_TOO_DAMP;
      ck_assert_int_eq(verdict, FAMILIES[f] == GW_REACTING && damp ? GW_AIR_OK : ROW[i].verdict);
      ck_assert_int_eq(effect.open_pm, 1000);
      ck_assert_int_eq(effect.clamp_pm, 1000);
    }
  ck_assert(gw_air_outside(GW_AIR_TOO_COLD) && gw_air_outside(GW_AIR_TOO_DAMP));
  ck_assert(!gw_air_outside(GW_AIR_OK) && !gw_air_outside(GW_AIR_CUT_OFF));
  ck_assert_str_ne(gw_air_words(GW_AIR_TOO_DRY), gw_air_words(GW_AIR_TOO_DAMP));
}
END_TEST

START_TEST(times_are_whole_seconds) {
  gw_air_effect effect = {707, 1415};
  ck_assert_int_eq(gw_air_open_time(360, effect), 254);   /* 254.52 */
  ck_assert_int_eq(gw_air_clamp_time(2400, effect), 3396);
  ck_assert_int_eq(gw_air_clamp_time(1, effect), 2);      /* 1.415 */
  ck_assert_int_eq(gw_air_open_time(0, effect), 0);
  ck_assert_int_eq(gw_air_clamp_time(0, effect), 0);
  ck_assert_int_eq(gw_air_clamp_time(INT_MAX, effect), INT_MAX);
  ck_assert_int_eq(gw_air_open_time(360, (gw_air_effect){1000, 1000}), 360);
  ck_assert_int_eq(gw_air_clamp_time(360, (gw_air_effect){1000, 1000}), 360);
}
END_TEST

START_TEST(lowest_temperature) {
  ck_assert(gw_air_warm_enough(100, 100));
  ck_assert(gw_air_warm_enough(101, 100));
  ck_assert(!gw_air_warm_enough(99, 100));
  ck_assert(!gw_air_warm_enough(-10, 50));
}
END_TEST

int main(void) {
  Suite *suite = suite_create("air");
  TCase *tc = tcase_create("air");
  tcase_set_timeout(tc, 60);
  tcase_add_test(tc, saturation_by_the_table);
  tcase_add_test(tc, dew_points);
  tcase_add_test(tc, physics_has_limits);
  tcase_add_test(tc, reference_air_changes_nothing);
  tcase_add_test(tc, water_borne_by_the_table);
  tcase_add_test(tc, reacting_doubles_in_ten_degrees);
  tcase_add_test(tc, gelling_by_cooling);
  tcase_add_test(tc, cooler_or_damper_air_never_hurts_the_wrong_way);
  tcase_add_test(tc, factors_stay_within_limits);
  tcase_add_test(tc, nothing_is_extrapolated);
  tcase_add_test(tc, times_are_whole_seconds);
  tcase_add_test(tc, lowest_temperature);
  suite_add_tcase(suite, tc);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
