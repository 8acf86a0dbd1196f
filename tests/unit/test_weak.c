/* Thin walls and laps, cuts into each other, tenons that meet, shoulders, end grain. */
#include "fit/review.h"
#include "project.h"

static project looked_at(const char *form, ...) __attribute__((format(printf, 1, 2)));

/* Fits the pieces and, when they are sound, looks for weak places. */
static project looked_at(const char *form, ...) {
  static char text[8192];
  va_list args;
  va_start(args, form);
  vsnprintf(text, sizeof text, form, args);
  va_end(args);
  project p = project_fit(project_read(text));
  if (project_good(&p)) ck_assert_int_eq(gw_fit_weak(p.model, p.fit, p.findings), GW_OK);
  return p;
}

static void expect(const project *p, gw_severity severity, const char *code, const char *words) {
  ck_assert_msg(gw_findings_count(p->findings) == 1, "wanted [%s] alone:\n%s", code, all_words(p));
  const gw_finding *f = gw_findings_at(p->findings, 0);
  ck_assert_str_eq(f->code, code);
  ck_assert_int_eq(f->severity, severity);
  ck_assert_msg(strstr(f->words, words) != NULL, "%s", f->words);
}

/* ---- walls and laps ------------------------------------------------------------------ */

static project tenoned(double thick, double from_front) {
  return looked_at("<part id='post' length='600' width='60' thickness='%g' face='front' "
                   "edge='right'><mortise id='m' at='right' thickness='6' width='40' "
                   "from-top='60' from-front='%g'/></part>"
                   "<part id='rail' length='300' width='60' thickness='18' face='front' edge='up'>"
                   "<tenon at='left' into='post/m' depth='30'/></part>", thick, from_front);
}

START_TEST(walls) {
  static const struct {
    double thick, from_front;
    const char *words; /* NULL: good */
  } rows[] = {
      {30, 6, NULL},
      {30, 5.5, "leaves 5.5 of wood at its front side, where 6 should stay; move it by 0.5"},
      {30, 19, "leaves 5 of wood at its back side"},
      {18, 6, NULL},
      {15, 5, "leaves 4 of wood at its back side, where 5 should stay"}, /* a third */
      {15, 4, "leaves 4 of wood at its front side, where 5 should stay"},
      {30, 0, NULL}, /* open to the front: no wall at all */
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    project p = tenoned(rows[i].thick, rows[i].from_front);
    if (rows[i].words == NULL) expect_good(&p);
    else expect(&p, GW_WARNING, "thin-wall", rows[i].words);
    project_clear(&p);
  }
}
END_TEST

START_TEST(laps) {
  static const char *const form =
      "<part id='front' length='300' width='80' thickness='18' face='front' edge='up'>"
      "<lapped-socket id='left' at='left' lap='%s'/></part>"
      "<part id='side' length='300' width='80' thickness='10' face='left' edge='up'>"
      "<lapped-tail at='front' into='front/left' count='3'/></part>";
  project p = looked_at(form, "3");
  expect_good(&p);
  project_clear(&p);
  p = looked_at(form, "2.5");
  expect(&p, GW_WARNING, "thin-lap", "the lap at the left of front is 2.5, and 3 should stay");
  project_clear(&p);
}
END_TEST

/* 18 deep at 1:8 runs out by 2.25, and 2 are left of a pin and of a tail: 80 have
 * room for nine times 8.5. */
START_TEST(pins) {
  static const struct { int count; const char *slope, *words; } rows[] = {
      {9, "1:8", NULL}, {10, "1:8", "10 tails across the 80 of side leave no pins, or no tails at the baseline, "
                                    "as wide as a saw kerf of 2; make them 9 at most"},
      {10, "1:9", NULL}, {99, "1:8", "make them 9 at most"}, {5, "1:3", NULL}, {6, "1:3", "make them 5 at most"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    project p = looked_at("<part id='front' length='300' width='80' thickness='18' face='front' edge='up'>"
                          "<socket id='left' at='left'/></part>"
                          "<part id='side' length='300' width='80' thickness='18' face='left' edge='up'>"
                          "<tail at='front' into='front/left' count='%d' slope='%s'/></part>",
                          rows[i].count, rows[i].slope);
    if (rows[i].words == NULL) expect_good(&p);
    else expect(&p, GW_WARNING, "pins-too-thin", rows[i].words);
    project_clear(&p);
  }
}
END_TEST

/* ---- cuts into each other --------------------------------------------------------------- */

/* A leg 40 square with a mortise from the right (x 40-a .. 40, y 10 .. 16) and
 * one from the back (y 40-b .. 40, x 10 .. 16); the tenons are c and d long. */
static project leg(double a, double c, double b, double d) {
  return looked_at("<part id='leg' length='500' width='40' thickness='40' face='front' edge='left'>"
                   "<mortise id='one' at='right' thickness='6' width='50' depth='%g' "
                   "from-front='10' from-top='20'/>\n"
                   "<mortise id='two' at='back' thickness='6' width='50' depth='%g' "
                   "from-left='10' from-top='20'/></part>"
                   "<part id='rail' length='300' width='90' thickness='18' face='front' edge='up'>"
                   "<tenon at='left' into='leg/one' depth='%g'/></part>"
                   "<part id='apron' length='300' width='90' thickness='18' face='left' edge='up'>"
                   "<tenon at='front' into='leg/two' depth='%g'/></part>", a, b, c, d);
}

START_TEST(mortises_in_a_leg) {
  project p = leg(22, 21, 23, 22); /* x 18.., y 17..: they miss each other */
  expect_good(&p);
  project_clear(&p);
  p = leg(25, 22, 25, 22); /* x 15.., y 15..: they meet at their ends */
  expect_good(&p);
  project_clear(&p);
  p = leg(38, 20, 38, 20); /* each goes right through the other */
  expect(&p, GW_ERROR, "joint-cut-away", "in leg the mortise at the right and the mortise at the "
         "back take each other's wood: 6 of 38 depth of the one and 6 of 38 of the other");
  project_clear(&p);
}
END_TEST

START_TEST(tenons_in_a_leg) {
  project p = leg(31, 24, 31, 24); /* x 16.., y 16..: they touch at one edge */
  expect_good(&p);
  project_clear(&p);
  p = leg(31, 27, 31, 26); /* x 13 .. 16, y 14 .. 16 are wanted by both */
  expect(&p, GW_ERROR, "tenons-meet", "the tenon of rail and the tenon of apron meet inside leg; "
         "make the one 3 shorter, or the other 2");
  project_clear(&p);
}
END_TEST

/* The one that the file has first is named first, wherever it stands; the line is
 * the other's. */
START_TEST(tenons_are_named_in_the_order_of_the_file) {
  project p = looked_at(
      "<part id='leg' length='500' width='40' thickness='40' face='front' edge='left'>"
      "<mortise id='one' at='right' thickness='6' width='50' depth='31' from-front='10' from-top='20'/>"
      "<mortise id='two' at='back' thickness='6' width='50' depth='31' from-left='10' from-top='20'/></part>\n"
      "<part id='apron' length='300' width='90' thickness='18' face='left' edge='up'>"
      "<tenon at='front' into='leg/two' depth='26'/></part>\n"
      "<part id='rail' length='300' width='90' thickness='18' face='front' edge='up'>"
      "<tenon at='left' into='leg/one' depth='27'/></part>");
  expect(&p, GW_ERROR, "tenons-meet", "the tenon of apron and the tenon of rail meet inside leg; "
         "make the one 2 shorter, or the other 3");
  ck_assert_int_eq(gw_findings_at(p.findings, 0)->line, 3);
  project_clear(&p);
}
END_TEST

/* A stile 18 thick, a mortise in its middle (y 6 .. 12) and a groove that runs
 * along: on the same edge, or on the front face over the mortise. */
static project stile(const char *at, const char *place, double depth) {
  return looked_at("<part id='stile' length='600' width='60' thickness='18' face='front' "
                   "edge='right'><mortise id='m' at='right' thickness='6' width='40' "
                   "from-top='60'/>\n<groove id='g' at='%s' thickness='6' depth='%g' %s/></part>"
                   "<part id='rail' length='300' width='60' thickness='18' face='front' edge='up'>"
                   "<tenon at='left' into='stile/m' depth='30'/></part>"
                   "<part id='strip' length='%s' width='40' thickness='6' face='%s' edge='%s'>"
                   "<panel-edge at='%s' into='stile/g' from-top='0'/></part>", at, depth, place,
                   "600", strcmp(at, "front") == 0 ? "left" : "front",
                   strcmp(at, "front") == 0 ? "front" : "right",
                   strcmp(at, "front") == 0 ? "back" : "left");
}

START_TEST(grooves_and_mortises) {
  project p = stile("front", "from-left='40' from-top='0'", 6);
  expect_good(&p); /* down to the mortise, not into it */
  project_clear(&p);
  p = stile("front", "from-left='40' from-top='0'", 7);
  expect_good(&p); /* grazes it */
  project_clear(&p);
  p = stile("front", "from-left='40' from-top='0'", 12);
  /* the strip's edge reaches into the tenon itself, or it is said of the cuts */
  ck_assert_msg(!project_good(&p), "%s", all_words(&p));
  project_clear(&p);
}
END_TEST

/* ---- shoulders ------------------------------------------------------------------------------ */

static project horse(double low) {
  return looked_at("<part id='post' length='900' width='60' thickness='30' face='front' "
                   "edge='right'><mortise id='high' at='right' thickness='10' from-top='40'/>"
                   "<mortise id='low' at='right' thickness='10' from-bottom='40'/></part>"
                   "<part id='a' length='400' width='60' thickness='30' face='front' edge='right'>"
                   "<mortise id='r' at='left' thickness='10' from-top='40'/></part>"
                   "<part id='b' like='a'/>"
                   "<part id='one' length='660' width='50' thickness='30' face='front' edge='up'>"
                   "<tenon at='left' into='post/high' width='34' depth='30'/>"
                   "<tenon at='right' into='a/r' width='34' depth='30'/></part>\n"
                   "<part id='two' like='one' length='%g' into='post/low b/r'/>", low);
}

START_TEST(shoulders) {
  project p = horse(660);
  expect_good(&p);
  project_clear(&p);
  p = horse(660.2);
  expect_good(&p);
  project_clear(&p);
  p = horse(662);
  expect(&p, GW_WARNING, "shoulders-unlike", "one has 600 between its shoulders and two, which lies "
         "like it, 602: 2 apart");
  ck_assert_int_eq(gw_findings_at(p.findings, 0)->line, 2);
  project_clear(&p);
  p = horse(700);
  expect_good(&p); /* meant to be longer */
  project_clear(&p);
}
END_TEST

/* ---- end grain ------------------------------------------------------------------------------ */

#define RAIL "<part id='rail' length='300' width='60' thickness='20' face='front' edge='up'>"
#define POST "<part id='post' length='600' width='60' thickness='20' face='front' edge='right'>"
#define SIDE "<part id='side' length='300' width='60' thickness='20' face='left' edge='up'>"
#define ON_POST "<butt-face id='b' at='right' from-top='0' from-front='0'/>"

START_TEST(end_grain) {
  static const struct {
    const char *one, *other;
    const char *words; /* NULL: good */
    gw_severity severity;
  } rows[] = {
      {POST ON_POST, RAIL "<butt at='left' into='post/b'/>",
       "the butt of rail and its mate on post are glued on end grain, which has a quarter",
       GW_WARNING},
      {POST ON_POST, RAIL "<butt at='left' into='post/b' glued='no'/>", NULL, GW_NOTE},
      {POST ON_POST "<dowel-holes id='d' at='right' from-top='0' from-front='0'/>",
       RAIL "<butt at='left' into='post/b'/><dowels at='left' into='post/d'/>", NULL, GW_NOTE},
      /* onto the end of the part that receives */
      {POST "<butt-face id='b' at='up' from-left='0' from-front='0'/>",
       RAIL "<butt at='down' into='post/b'/>", "glued on end grain", GW_WARNING},
      /* face to face, edge to edge: long grain */
      {RAIL "<butt-face id='b' at='back' from-left='0' from-top='0'/>",
       "<part id='three' length='300' width='60' thickness='20' face='front' edge='up'>"
       "<butt at='front' into='rail/b'/><butt at='back' into='four/b'/></part>"
       "<part id='four' length='300' width='60' thickness='20' face='front' edge='up'>"
       "<butt-face id='b' at='front' from-left='0' from-top='0'/>", NULL, GW_NOTE},
      {RAIL "<mitre-face id='m' at='left'/>", SIDE "<mitre at='front' into='rail/m'/>",
       "which hardly holds", GW_NOTE},
      {RAIL "<keyed-mitre-face id='m' at='left'/>", SIDE "<keyed-mitre at='front' into='rail/m'/>",
       NULL, GW_NOTE},
      /* a mitre along the grain of both */
      {RAIL "<mitre-face id='m' at='down'/>",
       "<part id='floor' length='300' width='60' thickness='20' face='down' edge='back'>"
       "<mitre at='front' into='rail/m'/>", NULL, GW_NOTE},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    project p = looked_at("%s</part>%s</part>", rows[i].one, rows[i].other);
    if (rows[i].words == NULL) expect_good(&p);
    else expect(&p, rows[i].severity, "end-grain", rows[i].words);
    project_clear(&p);
  }
}
END_TEST

/* Both ends of two like rails: it is said once. */
START_TEST(end_grain_is_said_once) {
  project p = looked_at(
      POST ON_POST "<butt-face id='c' at='right' from-bottom='0' from-front='0'/></part>"
      "<part id='twin' mirror-of='post'/>\n" RAIL "<butt at='left' into='post/b'/>"
      "<butt at='right' into='twin/b'/></part><part id='low' like='rail' into='post/c twin/c'/>");
  expect(&p, GW_WARNING, "end-grain", "the butt of rail and its mate on post");
  ck_assert_int_eq(gw_findings_at(p.findings, 0)->line, 2);
  ck_assert_int_eq(gw_findings_at(p.findings, 0)->n_joints, 4); /* of all four */
  project_clear(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("weak");
  TCase *weak = tcase_create("weak");
  tcase_add_test(weak, walls);
  tcase_add_test(weak, laps);
  tcase_add_test(weak, pins);
  tcase_add_test(weak, mortises_in_a_leg);
  tcase_add_test(weak, tenons_in_a_leg);
  tcase_add_test(weak, tenons_are_named_in_the_order_of_the_file);
  tcase_add_test(weak, grooves_and_mortises);
  tcase_add_test(weak, shoulders);
  tcase_add_test(weak, end_grain);
  tcase_add_test(weak, end_grain_is_said_once);
  suite_add_tcase(suite, weak);
  return run_suite(suite);
}
