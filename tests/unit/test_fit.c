/* test_fit.c - how halves seat, where parts stand, and loops that stay open.
 *
 * The places of the four pieces are worked out by hand from their files; each
 * table says how. */
#include "project.h"

#include <stdlib.h>

#define MM(x) ((gw_len)((x) * 16000.0))

/* Two parts, as the tests below put them together. */
/* x 300, y 80, z 20 */
#define SHELF "length='300' width='80' thickness='20' face='up' edge='front'"
/* x 20, y 80, z 200 */
#define SIDE "length='200' width='80' thickness='20' face='left' edge='front'"
/* x 300, y 20, z 80 */
#define FRONT "length='300' width='80' thickness='20' face='front' edge='up'"
#define BOARD "length='200' width='80' thickness='20' face='left' edge='up'" /* x 20, y 200, z 80 */
#define RAIL "length='300' width='60' thickness='20' face='front' edge='up'" /* x 300, y 20, z 60 */
/* x 60, y 20, z 200 */
#define STILE "length='200' width='60' thickness='20' face='front' edge='right'"
/* x 40, y 40, z 400 */
#define POST "length='400' width='40' thickness='40' face='front' edge='left'"
/* x 280, y 8, z 200 */
#define BACK "length='200' width='280' thickness='8' face='front' edge='left'"

static project fit_two(const char *part_e, const char *half_e, const char *part_r,
                       const char *half_r) {
  char text[2048];
  snprintf(text, sizeof text, "<part id='e' %s>\n<%s into='r/h'/></part>\n<part id='r' %s>\n"
           "<%s id='h'/></part>", part_e, half_e, part_r, half_r);
  return project_fit(project_read(text));
}

/* ---- places ----------------------------------------------------------------------- */

typedef struct place {
  const char *part;
  double lo[3], hi[3]; /* millimetres, in halves: exact */
} place;

static void expect_places(const char *path, const place *places, int count) {
  project p = project_file(path);
  expect_good(&p);
  ck_assert_int_eq(p.model->n_parts, count);
  for (int i = 0; i < count; ++i) {
    const gw_box *box = &p.fit->boxes[part_of(&p, places[i].part)];
    for (int axis = 0; axis < 3; ++axis) {
      ck_assert_msg(box->lo[axis] == MM(places[i].lo[axis]) &&
                        box->hi[axis] == MM(places[i].hi[axis]),
                    "%s along %c: %f to %f", places[i].part, "xyz"[axis], gw_len_mm(box->lo[axis]),
                    gw_len_mm(box->hi[axis]));
    }
  }
  project_clear(&p);
}

#define EXPECT_PLACES(path, places) \
  expect_places(path, places, (int)(sizeof(places) / sizeof *(places)))

/* The sides run from front to back, 420; the front and the back lie between
 * x 0 and 760.  The bottom is 732 by 392 in an opening of 720 by 380: it stands
 * 6 into each groove, 12 above the lower edge. */
START_TEST(chest) {
  static const place places[] = {
      {"front", {0, 0, 0}, {760, 20, 380}},
      {"back", {0, 400, 0}, {760, 420, 380}},
      {"left", {0, 0, 0}, {20, 420, 380}},
      {"right", {740, 0, 0}, {760, 420, 380}},
      {"bottom", {14, 14, 12}, {746, 406, 22}},
  };
  EXPECT_PLACES("projects/lantern-chest.xml", places);
}
END_TEST

/* Rails of 490 less two tenons of 60: 370 between the stiles of 95, 560 over
 * all.  The lock rail's mortise begins at 665 and its tenon, 90 in 120, 15 above
 * its lower edge: 650.  The upper opening is 770 to 1405, the panel 653: 9 into
 * each groove; the lower one 150 to 650 and 518. */
START_TEST(door) {
  static const place places[] = {
      {"hinge", {0, 0, 0}, {95, 24, 1500}},     {"shut", {465, 0, 0}, {560, 24, 1500}},
      {"top", {35, 0, 1405}, {525, 24, 1500}},  {"lock", {35, 0, 650}, {525, 24, 770}},
      {"bottom", {35, 0, 0}, {525, 24, 150}},   {"upper", {88, 5, 761}, {472, 19, 1414}},
      {"lower", {88, 5, 141}, {472, 19, 659}},
  };
  EXPECT_PLACES("projects/pantry-door.xml", places);
}
END_TEST

/* The top overhangs by 20, so the frame is 440 by 360.  Aprons of 404 and 324
 * less two tenons of 22 make 360 and 280 between the legs of 40.  An apron's
 * tenon, 6 in 18, lies 10 in from the outside of the leg: the apron 4 in.  The
 * lower rail's mortise begins at 446, the rail 6 lower.  The drawer hangs in the
 * middle of an opening of 360: 1 to spare on each side. */
START_TEST(table) {
  static const place places[] = {
      {"leg-fl", {20, 20, 0}, {60, 60, 560}},
      {"leg-fr", {420, 20, 0}, {460, 60, 560}},
      {"leg-bl", {20, 340, 0}, {60, 380, 560}},
      {"leg-br", {420, 340, 0}, {460, 380, 560}},
      {"upper", {40, 20, 542}, {440, 60, 560}},
      {"lower", {40, 20, 440}, {440, 60, 458}},
      {"back", {38, 358, 440}, {442, 376, 560}},
      {"left", {24, 38, 440}, {42, 362, 560}},
      {"right", {438, 38, 440}, {456, 362, 560}},
      {"runner-l", {42, 60, 440}, {75, 340, 458}},
      {"runner-r", {405, 60, 440}, {438, 340, 458}},
      {"top", {0, 0, 560}, {480, 400, 578}},
      {"drawer.front", {61, 20, 458}, {419, 38, 540}},
      {"drawer.left", {61, 25, 458}, {71, 350, 540}},
      {"drawer.right", {409, 25, 458}, {419, 350, 540}},
      {"drawer.back", {61, 340, 472}, {419, 350, 536}},
      {"drawer.bottom", {66.5, 33.5, 466}, {413.5, 349.5, 472}},
  };
  EXPECT_PLACES("projects/side-table.xml", places);
}
END_TEST

/* Shelves of 774 less two housings of 7 make 760 between sides of 20: 800 over
 * all.  The back, 775, has half a millimetre to spare at each side, and reaches
 * from the underside of the bottom at 60 to 8 below the top at 1200 - 20 + 8. */
START_TEST(bookcase) {
  static const place places[] = {
      {"left", {0, 0, 0}, {20, 250, 1200}},      {"right", {780, 0, 0}, {800, 250, 1200}},
      {"top", {10, 0, 1180}, {790, 250, 1200}},  {"high", {13, 0, 880}, {787, 242, 900}},
      {"middle", {13, 0, 610}, {787, 242, 630}}, {"low", {13, 0, 320}, {787, 242, 340}},
      {"bottom", {13, 0, 60}, {787, 242, 80}},   {"back", {12.5, 242, 60}, {787.5, 250, 1188}},
  };
  EXPECT_PLACES("projects/study-bookcase.xml", places);
}
END_TEST

/* ---- freedom ---------------------------------------------------------------------- */

enum { L = 1 << GW_LEFT, R = 1 << GW_RIGHT, F = 1 << GW_FRONT, B = 1 << GW_BACK,
       D = 1 << GW_DOWN, U = 1 << GW_UP };

typedef struct parting {
  const char *what, *part_e, *half_e, *part_r, *half_r;
  unsigned ways; /* of the six */
} parting;

/* How joints come apart: common practice, no source. */
static const parting PARTINGS[] = {
    {"through dovetail", BOARD, "tail at='front'", FRONT, "socket at='left'", L},
    {"lapped dovetail", BOARD, "lapped-tail at='front'", FRONT,
     "lapped-socket at='right' lap='5'", R},
    {"rail lapped into the top of a leg", SHELF, "lapped-tail at='left' width='30' from-front='5'",
     POST, "lapped-socket at='up' lap='20' from-front='5'", U},
    {"sliding dovetail", SHELF, "sliding-tail at='left' depth='6'", SIDE,
     "sliding-socket at='right' from-bottom='50'", F | B},
    {"stopped sliding dovetail", SHELF, "sliding-tail at='left' depth='6' from-front='20'", SIDE,
     "sliding-socket at='right' from-bottom='50' from-front='20'", B},
    {"mortise and tenon", RAIL, "tenon at='left' depth='30'", STILE,
     "mortise at='right' thickness='6' width='40' from-top='10'", R},
    {"through mortise", RAIL, "tenon at='left' depth='60'", STILE,
     "mortise at='right' thickness='6' width='40' from-top='10' through='yes'", R},
    {"mortise open at the end", RAIL, "tenon at='left' depth='30' from-top='0'", STILE,
     "mortise at='right' thickness='6' width='40' from-top='0'", R | U},
    {"bridle at a corner", RAIL, "bridle-tenon at='left' thickness='7'", STILE,
     "bridle-slot at='up'", R | U},
    {"bridle along a leg", RAIL, "bridle-tenon at='left' thickness='7' depth='60'", STILE,
     "bridle-slot at='right' width='60' from-top='20' through='yes'", R},
    {"tongue", FRONT, "tongue at='down' thickness='6' depth='6'", FRONT, "groove at='up'",
     U | L | R},
    {"panel edge", BACK, "panel-edge at='left'", SIDE,
     "groove at='right' from-front='20' depth='6'",
     R | U | D},
    {"panel edge in a stopped groove", BACK,
     "panel-edge at='left' from-bottom='20' from-top='20'", SIDE,
     "groove at='right' from-front='20' from-bottom='15' from-top='15' depth='6'", R},
    {"housing", SHELF, "shelf-end at='left'", SIDE, "housing at='right' from-bottom='50' depth='6'",
     R | F | B},
    {"stopped housing", SHELF, "shelf-end at='left' from-front='15'", SIDE,
     "housing at='right' from-bottom='50' from-front='15' depth='6'", R | B},
    {"rebate", BACK, "board-edge at='left'", SIDE, "rebate at='back' width='8'", B | R | U | D},
    {"halving across", RAIL, "halving-over at='back' from-left='100'", STILE,
     "halving-under at='front' from-top='50'", F},
    {"halving at an end", RAIL, "halving-over at='back' from-left='0'", STILE,
     "halving-under at='front' from-top='50'", F | R},
    {"halving at a corner", RAIL, "halving-over at='back' from-left='0'", STILE,
     "halving-under at='front' from-top='0'", F | R | U},
    {"dovetail halving at an end", RAIL, "dovetail-halving-over at='back' from-left='0'", STILE,
     "dovetail-halving-under at='front' from-top='50'", F},
    {"dovetail halving at a corner", RAIL, "dovetail-halving-over at='back' from-left='0'", STILE,
     "dovetail-halving-under at='front' from-top='0'", F},
    {"comb", BOARD, "fingers at='front'", FRONT, "finger-slots at='left'", L | B},
    {"mitre", BOARD, "mitre at='front'", FRONT, "mitre-face at='left'", L | B | U | D},
    {"keyed mitre", BOARD, "keyed-mitre at='front'", FRONT, "keyed-mitre-face at='left'", 0},
    {"dowels", RAIL, "dowels at='left'", STILE,
     "dowel-holes at='right' from-front='0' from-top='0'",
     R},
    {"butt", RAIL, "butt at='left'", STILE, "butt-face at='right' from-front='0' from-top='0'",
     R | F | B | U | D},
    {"runner", BOARD, "slide at='down'", SHELF, "runner at='up' from-left='0' from-front='0'",
     U | L | R | F | B},
};

static unsigned six_ways(const gw_freedom *freedom) {
  unsigned ways = 0;
  for (int dir = 0; dir < 6; ++dir) {
    gw_vec d = {{0, 0, 0}};
    d.c[dir / 2] = gw_dir_sign((gw_dir)dir);
    if (gw_freedom_allows(freedom, d)) ways |= 1u << dir;
  }
  return ways;
}

START_TEST(joints_come_apart) {
  const parting *row = &PARTINGS[_i];
  project p = fit_two(row->part_e, row->half_e, row->part_r, row->half_r);
  ck_assert_msg(project_good(&p), "%s: %s", row->what, all_words(&p));
  const gw_freedom *freedom = &p.fit->seatings[0].freedom;
  ck_assert_msg(six_ways(freedom) == row->ways, "%s: %02x, not %02x", row->what,
                six_ways(freedom), row->ways);
  ck_assert(!gw_freedom_allows(freedom, (gw_vec){{0, 0, 0}}) || freedom->kind != GW_FREE_RAY);
  project_clear(&p);
}
END_TEST

START_TEST(every_kind_comes_apart) {
  bool seen[GW_KINDS] = {false};
  for (size_t i = 0; i < sizeof PARTINGS / sizeof *PARTINGS; ++i)
    for (int k = 0; k < GW_KINDS; ++k) {
      const gw_kind_row *row = gw_kind_of((gw_kind)k);
      size_t length = strlen(row->entering);
      if (strncmp(PARTINGS[i].half_e, row->entering, length) == 0 &&
          PARTINGS[i].half_e[length] == ' ')
        seen[k] = true;
    }
  for (int k = 0; k < GW_KINDS; ++k) ck_assert_msg(seen[k], "%s", gw_kind_of((gw_kind)k)->code);
}
END_TEST

START_TEST(slanting_ways) {
  project p = fit_two(BOARD, "mitre at='front'", FRONT, "mitre-face at='left'");
  expect_good(&p);
  const gw_freedom *mitre = &p.fit->seatings[0].freedom;
  ck_assert(gw_freedom_allows(mitre, (gw_vec){{-1, 1, 0}})); /* square off the faces */
  ck_assert(gw_freedom_allows(mitre, (gw_vec){{1, 1, 0}}));  /* along them */
  ck_assert(!gw_freedom_allows(mitre, (gw_vec){{1, -1, 0}}));
  project_clear(&p);
  p = fit_two(BOARD, "keyed-mitre at='front'", FRONT, "keyed-mitre-face at='left'");
  expect_good(&p);
  const gw_freedom *keyed = &p.fit->seatings[0].freedom;
  ck_assert(gw_freedom_allows(keyed, (gw_vec){{-1, 1, 0}}));
  ck_assert(gw_freedom_allows(keyed, (gw_vec){{-3, 3, 0}}));
  ck_assert(!gw_freedom_allows(keyed, (gw_vec){{1, -1, 0}}));
  ck_assert(!gw_freedom_allows(keyed, (gw_vec){{1, 1, 0}}));
  ck_assert(!gw_freedom_allows(keyed, (gw_vec){{-1, 1, 1}}));
  project_clear(&p);
}
END_TEST

START_TEST(stated_openings_win) {
  project p = fit_two(SHELF, "shelf-end at='left'", SIDE,
                      "housing at='right' from-bottom='50' depth='6' open='none'");
  expect_good(&p);
  ck_assert_uint_eq(six_ways(&p.fit->seatings[0].freedom), R);
  project_clear(&p);
}
END_TEST

/* ---- sizes taken over ------------------------------------------------------------- */

START_TEST(a_tenon_takes_its_mortise) {
  project p = fit_two(RAIL, "tenon at='left'", STILE,
                      "mortise at='right' thickness='6' width='40' depth='31' from-bottom='80'");
  expect_good(&p);
  const gw_seating *s = &p.fit->seatings[0];
  ck_assert_int_eq(s->thickness, MM(6));
  ck_assert_int_eq(s->width, MM(40));
  ck_assert_int_eq(s->depth_e, MM(30)); /* a millimetre of room at the bottom */
  ck_assert_int_eq(s->depth_r, MM(31));
  ck_assert_int_eq(s->e[GW_Y].lo, MM(7)); /* 6 in the middle of 20 */
  ck_assert_int_eq(s->e[GW_Z].lo, MM(10)); /* 40 in the middle of 60 */
  const gw_box *rail = &p.fit->boxes[0], *stile = &p.fit->boxes[1];
  ck_assert_int_eq(rail->lo[GW_Z] - stile->lo[GW_Z], MM(70));
  ck_assert_int_eq(stile->hi[GW_X] - rail->lo[GW_X], MM(30));
  project_clear(&p);
}
END_TEST

START_TEST(a_housing_is_not_put_midway) {
  project p = fit_two(SHELF, "shelf-end at='left'", SIDE, "housing at='right' depth='6'");
  expect_one(&p, "no-place", 1);
  project_clear(&p);
  p = fit_two(RAIL, "tenon at='left' width='40' depth='30'", STILE,
              "mortise at='right' thickness='6'");
  expect_one(&p, "no-place", 1);
  project_clear(&p);
}
END_TEST

/* One missing place is said once, though four parts hang on it. */
START_TEST(a_missing_place_is_said_once) {
  project p = project_read("<part id='r' " SIDE "><housing id='h' at='right' depth='6'/></part>"
                           "\n<part id='e' " SHELF "><shelf-end at='left' into='r/h'/>"
                           "<butt-face id='t' at='up' from-left='0' from-front='0'/></part>"
                           "<part id='f' " RAIL "><butt at='down' into='e/t'/></part>");
  p = project_fit(p);
  expect_one(&p, "no-place", 2);
  project_clear(&p);
}
END_TEST

START_TEST(stopped_halves_rest_on_their_stop) {
  project p = fit_two(SHELF, "shelf-end at='left' from-front='15'", "length='200' width='90' "
                      "thickness='20' face='left' edge='front'",
                      "housing at='right' from-bottom='50' from-front='15' depth='6'");
  expect_good(&p); /* ten to spare behind, but flush in front */
  ck_assert_int_eq(p.fit->boxes[0].lo[GW_Y], p.fit->boxes[1].lo[GW_Y]);
  project_clear(&p);
}
END_TEST

/* The groove of the side is not placed: it lies where the panel is. */
START_TEST(a_half_takes_its_place_from_its_mate) {
  project p = project_read(
      "<part id='a' " SIDE "><groove id='g' at='right' depth='6'/>"
      "<housing id='h' at='right' from-bottom='50' from-front='0' depth='6'/></part>"
      "<part id='s' " SHELF "><shelf-end at='left' into='a/h'/>"
      "<groove id='g' at='up' depth='6' from-front='30'/></part>"
      "<part id='p' length='100' width='280' thickness='8' face='front' edge='left'>"
      "<panel-edge at='left' into='a/g'/><panel-edge at='down' into='s/g'/></part>");
  p = project_fit(p);
  expect_good(&p);
  const gw_seating *s = NULL;
  for (int i = 0; i < p.model->n_joints; ++i)
    if (p.model->joints[i].kind == GW_PANEL_GROOVE &&
        gw_joint_receives(p.model, &p.model->joints[i]) == 0)
      s = &p.fit->seatings[i];
  ck_assert_ptr_nonnull(s);
  ck_assert(s->r[GW_Y].located);
  ck_assert_int_eq(s->r[GW_Y].lo, MM(30));
  project_clear(&p);
}
END_TEST

/* A panel must stay in its grooves by a third of their depth, and may go to
 * their floors: 560 between the sides, grooves of 9. */
static void panel_of(const char *length, const char *code) {
  char text[2048];
  snprintf(text, sizeof text,
           "<part id='front' length='600' width='80' thickness='20' face='front' edge='up'>"
           "<socket id='l' at='left'/><socket id='r' at='right'/></part>"
           "<part id='left' " BOARD "><tail at='front' into='front/l'/>"
           "<groove id='g' at='right' from-bottom='10' from-front='20' depth='9'/></part>"
           "<part id='right' mirror-of='left' into='front/r'/>\n"
           "<part id='p' length='%s' width='150' thickness='6' face='up' edge='front'>"
           "<panel-edge at='left' into='left/g'/><panel-edge at='right' into='right/g'/></part>",
           length);
  project p = project_fit(project_read(text));
  if (code == NULL) expect_good(&p);
  else ck_assert_str_eq(gw_findings_at(p.findings, 0)->code, code);
  project_clear(&p);
}

START_TEST(panels_float_between_bounds) {
  panel_of("578", NULL);
  panel_of("578.01", "loop-open");
  panel_of("566", NULL);
  panel_of("565.99", "loop-open");
}
END_TEST

/* A part that can shift by 40 has a place; one that can shift by more has none. */
START_TEST(loose_parts_have_no_place) {
  project p = fit_two(SHELF, "shelf-end at='left'", "length='200' width='120' thickness='20' "
                      "face='left' edge='front'", "housing at='right' from-bottom='50' depth='6'");
  expect_good(&p);
  ck_assert_int_eq(p.fit->boxes[0].lo[GW_Y], MM(20));
  project_clear(&p);
  p = fit_two(SHELF, "shelf-end at='left'", "length='200' width='120.5' thickness='20' "
              "face='left' edge='front'", "housing at='right' from-bottom='50' depth='6'");
  expect_one(&p, "no-place", 1);
  project_clear(&p);
}
END_TEST

START_TEST(room_across_the_width) {
  static const struct {
    const char *mortise, *code;
  } rows[] = {{"40", NULL}, {"41", NULL}, {"41.01", "width-unlike"}, {"39.99", "too-wide"}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    char half[128];
    snprintf(half, sizeof half, "mortise at='right' thickness='6' width='%s' from-top='10'",
             rows[i].mortise);
    project p = fit_two(RAIL, "tenon at='left' width='40' depth='30'", STILE, half);
    if (rows[i].code == NULL) expect_good(&p);
    else expect_one(&p, rows[i].code, 2);
    project_clear(&p);
  }
}
END_TEST

/* Three shelves like the first: what is wrong with their ends is said of the
 * first alone, but what is wrong with a copy of its own is said of the copy. */
static project shelves(const char *end, const char *second) {
  char text[2048];
  snprintf(text, sizeof text,
           "<part id='side' length='600' width='80' thickness='20' face='left' edge='front'>\n"
           "<housing id='a' at='right' from-bottom='50' from-front='0' depth='6'/>"
           "<housing id='b' at='right' from-bottom='150' from-front='0' depth='6'/>"
           "<housing id='c' at='right' from-bottom='250' from-front='0' depth='6'/></part>"
           "<part id='a' " SHELF ">\n<shelf-end at='left' into='side/a' %s/></part>\n"
           "<part id='b' like='a' into='side/b' %s/>\n<part id='c' like='b' into='side/c'/>",
           end, second);
  return project_fit(project_read(text));
}

/* A copied half is not like another of its part that has another size, or lies elsewhere:
 * what is wrong there is said too. */
START_TEST(copies_of_other_sizes_are_others) {
  static const char *const second[] = {"16", "18"};
  for (int i = 0; i < 2; ++i) {
    char text[2048];
    snprintf(text, sizeof text,
             "<part id='left' length='900' width='80' thickness='20' face='left' edge='front'>"
             "<housing id='a' at='right' from-bottom='100' thickness='18' depth='6'/>"
             "<housing id='b' at='right' from-bottom='500' thickness='%s' depth='6'/></part>\n"
             "<part id='right' mirror-of='left'/>\n"
             "<part id='one' " SHELF "><shelf-end at='left' into='left/a'/>"
             "<shelf-end at='right' into='right/a'/></part>\n"
             "<part id='two' " SHELF "><shelf-end at='left' into='left/b' thickness='%s'/>"
             "<shelf-end at='right' into='right/b'/></part>", second[i], second[i]);
    project p = project_fit(project_read(text));
    ck_assert_msg(gw_findings_count_of(p.findings, GW_ERROR) == 2, "%s", all_words(&p));
    ck_assert_ptr_nonnull(strstr(all_words(&p), "the housing a of left one of 18"));
    ck_assert_ptr_nonnull(strstr(all_words(&p), "the housing b of right one of"));
    project_clear(&p);
  }
}
END_TEST

START_TEST(copies_share_their_faults) {
  project p = shelves("", "");
  expect_good(&p);
  project_clear(&p);
  p = shelves("depth='7'", "");
  expect_one(&p, "too-deep", 3);
  project_clear(&p);
  p = shelves("", "width='82'"); /* c is like b */
  expect_one(&p, "too-wide", 4);
  project_clear(&p);
  p = shelves("depth='7'", "width='82'");
  ck_assert_int_gt(gw_findings_count(p.findings), 1);
  project_clear(&p);
}
END_TEST

/* ---- wood ------------------------------------------------------------------------- */

static int wood_of(const project *p, const char *id, gw_box *boxes, int room) {
  gw_solid solids[8];
  ck_assert_int_le(room, 8);
  int count = gw_fit_wood(p->fit, p->model, part_of(p, id), solids, room);
  for (int i = 0; i < count; ++i) {
    ck_assert(!gw_solid_slants(&solids[i]));
    boxes[i] = solids[i].box;
  }
  return count;
}

START_TEST(wood_has_shoulders) {
  gw_box boxes[8];
  project p = project_file("projects/side-table.xml");
  expect_good(&p);
  ck_assert_int_eq(wood_of(&p, "back", boxes, 8), 3); /* 404 with tenons of 22 */
  ck_assert_int_eq(boxes[0].hi[GW_X] - boxes[0].lo[GW_X], MM(360));
  ck_assert_int_eq(boxes[1].hi[GW_Z] - boxes[1].lo[GW_Z], MM(100));
  /* The rail's tail is 28 of 40 wide: its shoulders stop at the leg. */
  ck_assert_int_eq(wood_of(&p, "upper", boxes, 8), 3);
  ck_assert_int_eq(boxes[0].lo[GW_X], MM(60));
  ck_assert_int_eq(boxes[1].hi[GW_Y] - boxes[1].lo[GW_Y], MM(28));
  ck_assert_int_eq(boxes[1].hi[GW_Z] - boxes[1].lo[GW_Z], MM(18));
  /* A drawer side runs on under the back: nothing is cut off it. */
  ck_assert_int_eq(wood_of(&p, "drawer.left", boxes, 8), 1);
  ck_assert_int_eq(boxes[0].hi[GW_Y] - boxes[0].lo[GW_Y], MM(325));
  project_clear(&p);
}
END_TEST

START_TEST(fielded_panels_have_tongues) {
  gw_box boxes[8];
  project p = project_file("projects/pantry-door.xml");
  expect_good(&p);
  ck_assert_int_eq(wood_of(&p, "upper", boxes, 8), 5);
  ck_assert_int_eq(boxes[0].hi[GW_X] - boxes[0].lo[GW_X], MM(384 - 20));
  ck_assert_int_eq(boxes[0].hi[GW_Z] - boxes[0].lo[GW_Z], MM(653 - 20));
  ck_assert_int_eq(boxes[0].hi[GW_Y] - boxes[0].lo[GW_Y], MM(14));
  for (int i = 1; i < 5; ++i) ck_assert_int_eq(boxes[i].hi[GW_Y] - boxes[i].lo[GW_Y], MM(8));
  project_clear(&p);
}
END_TEST

/* ---- loops ------------------------------------------------------------------------ */

/* A box of four boards with sizes of your own. */
static project box(const char *front, const char *back, const char *left, const char *right) {
  char text[4096];
  snprintf(text, sizeof text,
           "\n<part id='front' thickness='20' width='80' face='front' edge='up' %s>"
           "<socket id='l' at='left'/><socket id='r' at='right'/></part>"
           "\n<part id='back' thickness='20' width='80' face='back' edge='up' %s>"
           "<socket id='l' at='left'/><socket id='r' at='right'/></part>"
           "\n<part id='left' thickness='20' width='80' face='left' edge='up' %s>"
           "<tail at='front' into='front/l'/><tail at='back' into='back/l'/></part>"
           "\n<part id='right' thickness='20' width='80' face='right' edge='up' %s>"
           "<tail at='front' into='front/r'/><tail at='back' into='back/r'/></part>",
           front, back, left, right);
  return project_fit(project_read(text));
}

static void expect_words(const project *p, const char *words) {
  ck_assert_msg(strstr(gw_findings_at(p->findings, 0)->words, words) != NULL, "wanted: %s\n%s",
                words, all_words(p));
}

START_TEST(a_loop_says_by_how_much_and_what_to_change) {
  project p = box("length='600'", "length='601.5'", "length='400'", "length='400'");
  expect_one(&p, "loop-open", 3);
  expect_words(&p, "misses by 1.5 from left to right");
  expect_words(&p, "change one: length of back 601.5 to 600; or length of front 600 to 601.5");
  const gw_finding *f = gw_findings_at(p.findings, 0);
  ck_assert_int_eq(f->n_parts, 4);
  ck_assert_int_eq(f->n_joints, 4);
  ck_assert(!p.fit->placed);
  project_clear(&p);
}
END_TEST

START_TEST(the_smallest_amount_opens_a_loop) {
  project p = box("length='600'", "length='600.0001'", "length='400'", "length='400'");
  expect_one(&p, "loop-open", 3); /* 0.0001 mm is 1.6 sixteenths of a micrometre */
  project_clear(&p);
  p = box("length='600'", "length='600'", "length='400'", "length='400'");
  expect_good(&p);
  ck_assert(p.fit->placed);
  ck_assert_int_eq(p.fit->extent[GW_X], MM(600));
  ck_assert_int_eq(p.fit->extent[GW_Y], MM(400));
  ck_assert_int_eq(p.fit->extent[GW_Z], MM(80));
  project_clear(&p);
}
END_TEST

/* Two lengths, each plus or minus 0.5: they meet when they are 1 apart, and not
 * when they are more. */
START_TEST(tolerances_are_slack) {
  project p = box("length='600' tolerance='0.5'", "length='601' tolerance='0.5'", "length='400'",
                  "length='400'");
  ck_assert_msg(project_good(&p), "%s", all_words(&p));
  project_clear(&p);
  p = box("length='600' tolerance='0.5'", "length='601.25' tolerance='0.5'", "length='400'",
          "length='400'");
  expect_one(&p, "loop-open", 3);
  expect_words(&p, "misses by 0.25");
  project_clear(&p);
}
END_TEST

/* Halves that lie midway in parts of an odd number of units: 1/128 in is 3175. */
START_TEST(halved_units_open_no_loop) {
  static const char frame[] = HEAD " units='in'>"
      "<part id='l' length='20 1/128' width='3 1/128' thickness='1' face='front' edge='right'>"
      "<mortise id='t' at='right' thickness='43/128' width='2 1/128' from-top='1/2'/>"
      "<mortise id='b' at='right' thickness='43/128' width='2 1/128' from-bottom='1/2'/></part>"
      "<part id='r' length='20 1/128' width='3 1/128' thickness='1 1/128' face='front' edge='left'>"
      "<mortise id='t' at='left' thickness='3/8' width='2 1/128' from-top='1/2'/>"
      "<mortise id='b' at='left' thickness='43/128' width='2 1/128' from-bottom='1/2'/></part>"
      "<part id='t' length='12' width='3' thickness='7/8' face='front' edge='down'>"
      "<tenon at='left' into='l/t' width='2' depth='1 1/2'/>"
      "<tenon at='right' into='r/t' width='2' depth='1 1/2'/></part>"
      "<part id='b' like='t' thickness='111/128' into='l/b r/b'/></piece>";
  project p = project_fit(project_bytes(frame, sizeof frame - 1));
  expect_good(&p);
  project_clear(&p);
}
END_TEST

/* Both directions and both axes: whichever board is wrong is named. */
START_TEST(whichever_board_is_wrong) {
  const char *length[4] = {"length='600'", "length='600'", "length='400'", "length='400'"};
  static const char *const wrong[4] = {"length='593'", "length='607'", "length='393'",
                                       "length='407'"};
  static const char *const id[4] = {"front", "back", "left", "right"};
  length[_i] = wrong[_i];
  project p = box(length[0], length[1], length[2], length[3]);
  expect_one(&p, "loop-open", _i + 2);
  char words[64];
  snprintf(words, sizeof words, "change one: length of %s %.3s to %d; or ", id[_i], wrong[_i] + 8,
           _i < 2 ? 600 : 400);
  expect_words(&p, words);
  project_clear(&p);
}
END_TEST

/* Two loops that share no joint are both told in one run. */
START_TEST(two_loops_at_once) {
  project p = box("length='600'", "length='601'", "length='400'", "length='402'");
  ck_assert_int_eq(gw_findings_count(p.findings), 2);
  for (size_t i = 0; i < 2; ++i)
    ck_assert_str_eq(gw_findings_at(p.findings, i)->code, "loop-open");
  project_clear(&p);
}
END_TEST

/* ---- distances -------------------------------------------------------------------- */

static project gauged(const char *tolerance, const char *least, const char *most) {
  char text[2048];
  snprintf(text, sizeof text, "<part id='e' " RAIL " tolerance='%s'>"
           "<butt at='left' into='r/h'/></part><part id='r' " STILE ">"
           "<butt-face id='h' at='right' from-front='0' from-top='0'/></part>\n"
           "<gauge name='over all' from='r' from-side='left' to='e' to-side='right' least='%s' "
           "most='%s'/>", tolerance, least, most);
  return project_fit(project_read(text));
}

START_TEST(distances_are_checked) {
  project p = gauged("0", "360", "360"); /* 60 + 300 */
  expect_good(&p);
  project_clear(&p);
  p = gauged("0", "360.5", "370");
  expect_one(&p, "gauge-missed", 2);
  expect_words(&p, "over all: from the left side of r to the right side of e is 360 mm;");
  project_clear(&p);
  p = gauged("0", "350", "359");
  expect_one(&p, "gauge-missed", 2);
  project_clear(&p);
  p = gauged("0.5", "359.5", "360.5");
  expect_good(&p);
  project_clear(&p);
  p = gauged("0.5", "359.75", "361");
  ck_assert_int_eq(gw_findings_count(p.findings), 1);
  ck_assert_int_eq(gw_findings_at(p.findings, 0)->severity, GW_WARNING);
  ck_assert_str_eq(gw_findings_at(p.findings, 0)->code, "gauge-worst-case");
  expect_words(&p, "359.5 to 360.5");
  project_clear(&p);
}
END_TEST

/* ---- fits ------------------------------------------------------------------------- */

static void tenon_of(const char *rule, const char *thickness, const char *code) {
  char text[2048];
  snprintf(text, sizeof text, "%s<part id='e' " RAIL ">\n<tenon at='left' width='40' depth='30' "
           "thickness='%s' into='r/h'/></part><part id='r' " STILE ">"
           "<mortise id='h' at='right' thickness='6' from-top='10'/></part>", rule, thickness);
  project p = project_fit(project_read(text));
  if (code == NULL) expect_good(&p);
  else expect_one(&p, code, 2);
  project_clear(&p);
}

START_TEST(room_across_the_thickness) {
  tenon_of("", "6", NULL);
  tenon_of("", "5.85", NULL);
  tenon_of("", "5.84", "too-loose");
  tenon_of("", "6.01", "too-thick");
  const char *own = "<fit kind='mortise-and-tenon' tight='-0.05' loose='0.05'/>";
  tenon_of(own, "6.05", NULL);
  tenon_of(own, "6.06", "too-thick");
  tenon_of(own, "5.94", "too-loose");
}
END_TEST

int main(void) {
  Suite *suite = suite_create("fit");
  TCase *places = tcase_create("places");
  tcase_add_test(places, chest);
  tcase_add_test(places, door);
  tcase_add_test(places, table);
  tcase_add_test(places, bookcase);
  suite_add_tcase(suite, places);
  TCase *freedom = tcase_create("freedom");
  tcase_add_loop_test(freedom, joints_come_apart, 0, (int)(sizeof PARTINGS / sizeof *PARTINGS));
  tcase_add_test(freedom, every_kind_comes_apart);
  tcase_add_test(freedom, slanting_ways);
  tcase_add_test(freedom, stated_openings_win);
  suite_add_tcase(suite, freedom);
  TCase *sizes = tcase_create("sizes");
  tcase_add_test(sizes, a_tenon_takes_its_mortise);
  tcase_add_test(sizes, a_housing_is_not_put_midway);
  tcase_add_test(sizes, a_missing_place_is_said_once);
  tcase_add_test(sizes, stopped_halves_rest_on_their_stop);
  tcase_add_test(sizes, a_half_takes_its_place_from_its_mate);
  tcase_add_test(sizes, panels_float_between_bounds);
  tcase_add_test(sizes, loose_parts_have_no_place);
  tcase_add_test(sizes, copies_share_their_faults);
  tcase_add_test(sizes, copies_of_other_sizes_are_others);
  tcase_add_test(sizes, room_across_the_thickness);
  tcase_add_test(sizes, room_across_the_width);
  tcase_add_test(sizes, wood_has_shoulders);
  tcase_add_test(sizes, fielded_panels_have_tongues);
  suite_add_tcase(suite, sizes);
  TCase *loops = tcase_create("loops");
  tcase_add_test(loops, a_loop_says_by_how_much_and_what_to_change);
  tcase_add_test(loops, the_smallest_amount_opens_a_loop);
  tcase_add_test(loops, tolerances_are_slack);
  tcase_add_test(loops, halved_units_open_no_loop);
  tcase_add_loop_test(loops, whichever_board_is_wrong, 0, 4);
  tcase_add_test(loops, two_loops_at_once);
  tcase_add_test(loops, distances_are_checked);
  suite_add_tcase(suite, loops);
  return run_suite(suite);
}
