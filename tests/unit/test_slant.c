/* test_slant.c - parts that lean. */
#include "project.h"

#include <math.h>
#include <stdlib.h>

#include "fit/review.h"
#include "mating/mixups.h"
#include "read/measured.h"

#define MM(x) ((gw_len)((x) * 16000))

/* ---- angles and sizes --------------------------------------------------------------- */

/* A slope of 3 : 4 and its right-angled triangle of sides 3, 4 and 5 (Euclid). */
static gw_part leaning(gw_dir face, gw_dir edge, int32_t x, int32_t y) {
  return (gw_part){.face = face, .edge = edge, .lean = {x, y}};
}

START_TEST(three_four_five) {
  gw_part leg = leaning(GW_FRONT, GW_LEFT, 750000, 0), rail = leaning(GW_FRONT, GW_UP, 0, 750000);
  ck_assert_int_eq(gw_part_cut(&leg, GW_Z, MM(400)), MM(500));
  ck_assert_int_eq(gw_part_stands(&leg, GW_Z, MM(500)), MM(400));
  ck_assert_int_eq(gw_part_stands(&leg, GW_X, MM(40)), MM(50)); /* wider on the level */
  ck_assert_int_eq(gw_part_cut(&leg, GW_X, MM(50)), MM(40));
  ck_assert_int_eq(gw_part_stands(&leg, GW_Y, MM(40)), MM(40));
  ck_assert_int_eq(gw_part_cut(&rail, GW_Z, MM(80)), MM(100)); /* as ripped */
  ck_assert_int_eq(gw_part_cut(&rail, GW_X, MM(300)), MM(300)); /* its length is level */
  ck_assert_int_eq(gw_part_stands(&rail, GW_Y, MM(16)), MM(20));
  ck_assert_int_eq(gw_part_written(&leg, GW_Z, MM(400)), MM(400));
  ck_assert_int_eq(gw_part_written(&leg, GW_X, MM(50)), MM(40));
}
END_TEST

/* A board that leans along its own length is ripped to its plumb width. */
START_TEST(along_its_length) {
  gw_part board = leaning(GW_FRONT, GW_UP, 750000, 0);
  ck_assert_int_eq(gw_part_cut(&board, GW_Z, MM(80)), MM(80));
  ck_assert_int_eq(gw_part_cut(&board, GW_X, MM(300)), MM(300));
}
END_TEST

START_TEST(angles) {
  const int32_t one = gw_lean_of_degrees(4500);
  ck_assert_int_eq(one, GW_LEAN_ONE);
  ck_assert_int_eq(gw_lean_of_degrees(0), 0);
  ck_assert_double_eq_tol(gw_lean_degrees(-one), -45, 1e-9);
  /* Diagonals of a cube: a plane of 45 degrees on a surface of 45 degrees cuts it at
   * atan(1 / sqrt 2); two such surfaces meet at 120 degrees, as three faces of a
   * cube stood on a corner do in plan; the diagonal leans atan(sqrt 2). */
  ck_assert_double_eq_tol(gw_lean_slant(one, one), atan(1 / sqrt(2)) * 180 / acos(-1), 1e-9);
  ck_assert_double_eq_tol(gw_lean_bevel(one, one), 30, 1e-9);
  ck_assert_double_eq_tol(gw_lean_bevel(one, -one), -30, 1e-9);
  const int32_t both[2] = {one, one}, side[2] = {-one, 0}, back[2] = {0, one};
  ck_assert_double_eq_tol(gw_lean_resultant(both), atan(sqrt(2)) * 180 / acos(-1), 1e-9);
  ck_assert_double_eq_tol(gw_lean_sight(both), 45, 1e-9);
  ck_assert_double_eq_tol(gw_lean_sight(side), 0, 1e-9);
  ck_assert_double_eq_tol(gw_lean_sight(back), 90, 1e-9);
}
END_TEST

START_TEST(shifts_are_mirror_images) {
  for (gw_len h = -30; h <= 30; ++h)
    for (int32_t lean = -GW_LEAN_MOST; lean <= GW_LEAN_MOST; lean += 62500) {
      ck_assert_int_eq(gw_lean_shift(-lean, h), -gw_lean_shift(lean, h));
      ck_assert_int_eq(gw_lean_shift(lean, -h), -gw_lean_shift(lean, h));
      ck_assert_int_le(llabs(gw_lean_shift(lean, h) * GW_LEAN_ONE - h * lean), GW_LEAN_ONE / 2);
    }
  ck_assert_int_eq(gw_lean_shift(GW_LEAN_ONE, INT64_MAX), GW_LEN_MAX);
  ck_assert_int_eq(gw_lean_shift(GW_LEAN_ONE, -INT64_MAX), -GW_LEN_MAX);
}
END_TEST

/* ---- reading ------------------------------------------------------------------------ */

static project one_leg(const char *splay) {
  char text[512];
  snprintf(text, sizeof text,
           "<part id='leg' length='400' width='40' thickness='40' face='front' edge='left' "
           "splay='%s'/>", splay);
  return project_read(text);
}

START_TEST(splay_is_read) {
  static const struct { const char *splay; int32_t x, y; } rows[] = {
      {"left 45", 1000000, 0},      {"right 1:8", -125000, 0},
      {"front 1:10", 0, 100000},    {"back 1:7.5 left 1:4", 250000, -133333},
      {"left 0", 0, 0},             {"front 1:1 right 1:99.99", -10001, 1000000},
      {"left 7.25", 127216, 0}, /* tan 7.25 degrees = 0.1272156 */
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    project p = one_leg(rows[i].splay);
    ck_assert_msg(project_good(&p), "%s", rows[i].splay);
    ck_assert_int_eq(p.model->parts[0].lean[0], rows[i].x);
    ck_assert_int_eq(p.model->parts[0].lean[1], rows[i].y);
    project_clear(&p);
  }
}
END_TEST

static void expect_code(project *p, const char *code) {
  ck_assert_uint_eq(gw_findings_count_of(p->findings, GW_ERROR), 1);
  ck_assert_str_eq(gw_findings_at(p->findings, 0)->code, code);
  project_clear(p);
}

START_TEST(splay_is_refused) {
  static const char *const rows[][2] = {
      {"left 45.01", "splay-steep"}, {"left 99", "splay-steep"},   {"left 1:0.99", "splay-steep"},
      {"left 1:0", "splay-steep"},   {"left 5 left 5", "splay-twice"}, {"front 3 back 1:9", "splay-twice"},
      {"up 5", "bad-value"},         {"left", "bad-value"},        {"left -5", "bad-value"},
      {"left 5 front 5 left 5", "bad-value"}, {"left 5.123", "bad-value"}, {"", "bad-value"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    project p = one_leg(rows[i][0]);
    expect_code(&p, rows[i][1]);
  }
}
END_TEST

START_TEST(copies_lean) {
  project p = project_read(
      "<part id='a' length='400' width='40' thickness='30' face='front' edge='left' "
      "splay='left 1:8 front 1:10'/>"
      "<part id='like' like='a'/><part id='turned' like='a' turned='about-up'/>"
      "<part id='over' like='a' turned='about-right'/><part id='lr' mirror-of='a'/>"
      "<part id='fb' mirror-of='a' mirrored='front-back'/>"
      "<part id='ud' mirror-of='a' mirrored='up-down'/>"
      "<part id='own' like='a' splay='right 1:5'/>");
  static const struct { const char *id; int32_t x, y; } rows[] = {
      {"a", 125000, 100000},    {"like", 125000, 100000}, {"turned", -125000, -100000},
      {"over", -125000, 100000}, {"lr", -125000, 100000},  {"fb", 125000, -100000},
      {"ud", -125000, -100000}, {"own", -200000, 0}};
  ck_assert(project_good(&p));
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    const gw_part *part = &p.model->parts[part_of(&p, rows[i].id)];
    ck_assert_msg(part->lean[0] == rows[i].x && part->lean[1] == rows[i].y, "%s", rows[i].id);
    ck_assert_int_eq(part->size[GW_Z], MM(400)); /* plumb in the file */
    ck_assert_int_eq(part->width, MM(40));       /* as planed */
  }
  ck_assert_int_gt(p.model->parts[0].length, MM(405)); /* 400 times the root of 1.025625 */
  ck_assert_int_lt(p.model->parts[0].length, MM(405.1));
  project_clear(&p);
}
END_TEST

/* ---- places ------------------------------------------------------------------------- */

/* Two posts that lean 3 : 4 apart, a rail between them midway up, 100 high. */
static project trestle(const char *length) {
  char text[1024];
  snprintf(text, sizeof text,
           "<part id='l' length='400' width='40' thickness='40' face='front' edge='left' splay='left 1:1.33'>"
           "<mortise id='m' at='right' thickness='10' from-bottom='160' width='80'/></part>"
           "<part id='r' mirror-of='l'/>"
           "<part id='rail' length='%s' width='100' thickness='20' face='front' edge='up'>"
           "<tenon at='left' into='l/m' width='80' depth='20'/>"
           "<tenon at='right' into='r/m' width='80' depth='20'/></part>", length);
  return project_fit(project_read(text));
}

START_TEST(rail_between_posts) {
  project p = trestle("700");
  ck_assert(project_good(&p));
  int rail = part_of(&p, "rail"), l = part_of(&p, "l"), r = part_of(&p, "r");
  const int32_t lean = p.model->parts[l].lean[0]; /* 1 / 1.33 */
  /* Its middle and those of the posts are at one height, so nothing has shifted. */
  ck_assert_int_eq(p.fit->boxes[rail].lo[GW_Z], MM(150));
  ck_assert_int_le(llabs(p.fit->boxes[r].lo[GW_X] - p.fit->boxes[l].hi[GW_X] - MM(660)), MM(0.2));
  ck_assert_int_eq(p.fit->slants[rail].side[GW_LEFT], lean);
  ck_assert_int_eq(p.fit->slants[rail].side[GW_RIGHT], -lean);
  ck_assert_int_eq(p.fit->slants[rail].side[GW_FRONT], 0);
  gw_len size[3];
  gw_fit_finished(p.fit, p.model, rail, size); /* 700 + 100 / 1.33 along its lower edge */
  ck_assert_int_eq(size[0], MM(775.2));
  gw_box whole = gw_fit_around(p.fit, l);
  ck_assert_int_eq(whole.lo[GW_X], 0);
  ck_assert_int_le(llabs(whole.hi[GW_X] - whole.lo[GW_X] - (p.model->parts[l].size[GW_X] +
                         gw_lean_shift(lean, MM(400)))), 2);
  project_clear(&p);
}
END_TEST

/* As high again above the middle of the posts, the same rail is too long by what
 * two posts shift. */
START_TEST(height_counts) {
  project p = trestle("700");
  int l = part_of(&p, "l"), r = part_of(&p, "r");
  gw_solid of_l = gw_fit_solid(p.fit, l, p.fit->boxes[l]), of_r = gw_fit_solid(p.fit, r, p.fit->boxes[r]);
  gw_box a = gw_solid_section(&of_l, MM(300)), b = gw_solid_section(&of_r, MM(300));
  gw_len there = b.lo[GW_X] - a.hi[GW_X];
  ck_assert_int_le(llabs(there - (MM(660) - 2 * gw_lean_shift(p.model->parts[l].lean[0], MM(100)))), MM(0.2));
  project_clear(&p);
}
END_TEST

/* ---- solids ------------------------------------------------------------------------- */

static gw_solid post(double x, int32_t lean) {
  return (gw_solid){.box = {{MM(x), 0, 0}, {MM(x + 10), MM(10), MM(100)}},
                    .slant = {{lean, lean, 0, 0}}, .at = 0};
}

START_TEST(solids_share_where_they_cross) {
  gw_box shared;
  gw_solid upright = post(50, 0), leaning_in = post(0, 500000), leaning_out = post(0, -500000);
  /* At its top it stands from 50 to 60. */
  ck_assert(gw_solids_share((const gw_solid *[]){&upright, &leaning_in}, 2, MM(0.1), &shared));
  ck_assert_int_ge(shared.lo[GW_Z], MM(80)); /* it comes in at 80 */
  ck_assert_int_le(shared.lo[GW_Z], MM(80.5));
  ck_assert_int_eq(shared.hi[GW_Z], MM(100));
  ck_assert(!gw_solids_share((const gw_solid *[]){&upright, &leaning_out}, 2, MM(0.1), &shared));
  gw_solid strip = upright; /* and a third that is not there */
  strip.box.hi[GW_Z] = MM(79);
  ck_assert(!gw_solids_share((const gw_solid *[]){&upright, &leaning_in, &strip}, 3, MM(0.1), &shared));
  strip.box.hi[GW_Z] = MM(90);
  ck_assert(gw_solids_share((const gw_solid *[]){&upright, &leaning_in, &strip}, 3, MM(0.1), &shared));
  ck_assert_int_le(shared.hi[GW_Z], MM(90));
}
END_TEST

/* Random pairs against a fine row of heights. */
START_TEST(solids_share_as_their_sections_do) {
  unsigned seed = 7;
  for (int round = 0; round < 2000; ++round) {
    gw_solid two[2];
    for (int i = 0; i < 2; ++i) {
      gw_solid *s = &two[i];
      for (int axis = 0; axis < 3; ++axis) {
        s->box.lo[axis] = MM(rand_r(&seed) % 60);
        s->box.hi[axis] = s->box.lo[axis] + MM(5 + rand_r(&seed) % 40);
      }
      for (int side = 0; side < 4; ++side)
        s->slant.side[side] = (int)(rand_r(&seed) % 600001) - 300000;
      s->at = (s->box.lo[GW_Z] + s->box.hi[GW_Z]) / 2;
    }
    gw_len most = 0, play = MM(0.2);
    for (gw_len z = 0; z <= MM(110); z += MM(0.5)) {
      gw_box a = gw_solid_section(&two[0], z), b = gw_solid_section(&two[1], z);
      bool meets = z >= a.lo[GW_Z] && z <= a.hi[GW_Z] && z >= b.lo[GW_Z] && z <= b.hi[GW_Z];
      for (int axis = 0; axis < 2; ++axis)
        meets = meets && a.hi[axis] - b.lo[axis] > play && b.hi[axis] - a.lo[axis] > play;
      most += meets ? MM(0.5) : 0;
    }
    gw_box shared;
    bool found = gw_solids_share((const gw_solid *[]){&two[0], &two[1]}, 2, play, &shared);
    gw_len high = found ? shared.hi[GW_Z] - shared.lo[GW_Z] : 0;
    ck_assert_msg(llabs(high - most) <= MM(1.01), "round %d: %g and %g mm", round,
                  gw_len_mm(high), gw_len_mm(most));
  }
}
END_TEST

/* ---- freedom ------------------------------------------------------------------------ */

START_TEST(slanting_freedom) {
  gw_freedom f = {.kind = GW_FREE_SLANT, .ways = 1u << GW_DOWN, .normal = {{-100, -50, 1000}}};
  ck_assert(gw_freedom_allows(&f, (gw_vec){{100, 50, -1000}}));
  ck_assert(gw_freedom_allows(&f, (gw_vec){{2, 1, -20}}));
  ck_assert(!gw_freedom_allows(&f, (gw_vec){{-2, -1, 20}}));
  ck_assert(!gw_freedom_allows(&f, (gw_vec){{0, 0, -1}}));
  ck_assert(!gw_freedom_allows(&f, (gw_vec){{1, 0, 0}}));
  f.ways |= 1u << GW_LEFT;
  ck_assert(gw_freedom_allows(&f, (gw_vec){{1, 1, -20}}));
  ck_assert(gw_freedom_allows(&f, (gw_vec){{-1, 0, 0}}));
  ck_assert(!gw_freedom_allows(&f, (gw_vec){{3, 1, -20}}));
  f.ways = 1u << GW_UP | 1u << GW_DOWN;
  ck_assert(gw_freedom_allows(&f, (gw_vec){{-2, -1, 20}}));
  ck_assert(gw_freedom_allows(&f, (gw_vec){{2, 1, -20}}));
  ck_assert(!gw_freedom_allows(&f, (gw_vec){{0, 0, 1}}));
}
END_TEST

/* ---- whole pieces ------------------------------------------------------------------- */

static const gw_freedom *freedom_of(const project *p, const char *id) {
  const gw_part *part = &p->model->parts[part_of(p, id)];
  return &p->fit->seatings[p->model->halves[part->first_half].joint].freedom;
}

START_TEST(plumb_and_in_line) {
  static const char *const text =
      "<part id='leg' length='400' width='40' thickness='40' face='front' edge='left' splay='left 1:8'>"
      "<tenon at='up' into='top/m' thickness='12' width='20' depth='16' %s/></part>"
      "<part id='top' length='300' width='200' thickness='30' face='up' edge='front'>"
      "<mortise id='m' at='down' from-left='40' from-front='40'/></part>";
  char in_line[1024], plumb[1024];
  snprintf(in_line, sizeof in_line, text, "");
  snprintf(plumb, sizeof plumb, text, "plumb='yes'");
  project p = project_fit(project_read(in_line)), q = project_fit(project_read(plumb));
  ck_assert(project_good(&p) && project_good(&q));
  ck_assert_int_eq(freedom_of(&p, "leg")->kind, GW_FREE_SLANT);
  ck_assert(gw_freedom_allows(freedom_of(&p, "leg"), (gw_vec){{-1, 0, -8}}));
  ck_assert(!gw_freedom_allows(freedom_of(&p, "leg"), (gw_vec){{0, 0, -1}}));
  ck_assert(gw_freedom_allows(freedom_of(&q, "leg"), (gw_vec){{0, 0, -1}}));
  ck_assert(!gw_freedom_allows(freedom_of(&q, "leg"), (gw_vec){{-1, 0, -8}}));
  project_clear(&p);
  project_clear(&q);
}
END_TEST

/* What runs up a leaning part goes in along it, whatever else it is held by. */
START_TEST(grooves_lead_along_the_lean) {
  project p = project_fit(project_read(
      "<part id='l' length='300' width='40' thickness='30' face='left' edge='front' splay='front 1:4'>"
      "<groove id='in' at='right' thickness='8' depth='8' from-bottom='34'/>"
      "<mortise id='rail' at='right' thickness='8' from-bottom='8'/></part>"
      "<part id='r' mirror-of='l'/>"
      "<part id='panel' length='412' width='200' thickness='8' face='front' edge='up' splay='front 1:4'>"
      "<panel-edge at='left' into='l/in'/><panel-edge at='right' into='r/in'/>"
      "<panel-edge at='down' into='rail/in' depth='6'/></part>"
      "<part id='rail' length='440' width='40' thickness='20' face='front' edge='up' splay='front 1:4'>"
      "<tenon at='left' into='l/rail' width='24' depth='20'/><tenon at='right' into='r/rail' width='24' depth='20'/>"
      "<groove id='in' at='up' thickness='8' depth='8'/></part>"));
  ck_assert_msg(project_good(&p), "%s", all_words(&p));
  const gw_part *panel = &p.model->parts[part_of(&p, "panel")];
  for (int i = 0; i < 3; ++i) {
    const gw_freedom *f = &p.fit->seatings[p.model->halves[panel->first_half + i].joint].freedom;
    ck_assert(gw_freedom_allows(f, (gw_vec){{0, 1, 4}}));
    ck_assert(!gw_freedom_allows(f, (gw_vec){{0, 0, 1}}));
    ck_assert(!gw_freedom_allows(f, (gw_vec){{0, -1, 4}}));
    ck_assert(!gw_freedom_allows(f, (gw_vec){{0, -1, -4}}));
    ck_assert_int_eq(gw_freedom_allows(f, (gw_vec){{1, 0, 0}}), i != 1); /* the rail's is open at its ends */
    ck_assert_int_eq(gw_freedom_allows(f, (gw_vec){{4, 1, 4}}), i != 1);
  }
  project_clear(&p);
}
END_TEST

/* Two dividers notched into each other, each leaning across itself: the one goes down
 * along the walls of the other's notch and its own lean. */
START_TEST(crossing_dividers_lead_along_both) {
  project p = project_fit(project_read(
      "<part id='a' length='200' width='80' thickness='10' face='front' edge='up' splay='front 1:4'>"
      "<halving-over at='down' into='b/n' from-left='95'/></part>"
      "<part id='b' length='200' width='80' thickness='10' face='left' edge='up' splay='left 1:8'>"
      "<halving-under id='n' at='up' from-front='95'/></part>"));
  ck_assert_msg(project_good(&p), "%s", all_words(&p));
  const gw_freedom *f = freedom_of(&p, "a");
  ck_assert(gw_freedom_allows(f, (gw_vec){{1, 2, 8}}));
  ck_assert(!gw_freedom_allows(f, (gw_vec){{0, 0, 1}}));
  ck_assert(!gw_freedom_allows(f, (gw_vec){{2, 1, 8}}));
  ck_assert(!gw_freedom_allows(f, (gw_vec){{-1, -2, -8}}));
  project_clear(&p);
}
END_TEST

/* A cleat flat against a side that leans 45 degrees: 20 thick midway up and 30 high, so
 * that it is planed from 35. */
START_TEST(cleat_is_tapered) {
  project p = project_fit(project_read(
      "<part id='side' length='500' width='250' thickness='18' face='left' edge='front' splay='left 45'>"
      "<butt-face id='c' at='right' from-bottom='200' from-front='10'/></part>"
      "<part id='cleat' length='200' width='30' thickness='20' face='right' edge='up'>"
      "<butt at='left' into='side/c'/></part>"));
  ck_assert_msg(project_good(&p), "%s", all_words(&p));
  gw_len size[3];
  gw_fit_finished(p.fit, p.model, part_of(&p, "cleat"), size);
  ck_assert_int_eq(size[0], MM(200));
  ck_assert_int_eq(size[1], MM(30));
  ck_assert_int_eq(size[2], MM(35));
  gw_fit_finished(p.fit, p.model, part_of(&p, "side"), size);
  ck_assert_int_eq(size[1], MM(250));
  ck_assert_int_eq(size[2], MM(18));
  project_clear(&p);
}
END_TEST

/* A stay butted on a post that leans away from it at the top can rise, not sink. */
START_TEST(leaning_faces_part) {
  project p = project_fit(project_read(
      "<part id='post' length='400' width='40' thickness='40' face='front' edge='left' splay='right 1:4'>"
      "<butt-face id='f' at='right' from-bottom='180' from-front='0'/></part>"
      "<part id='stay' length='200' width='40' thickness='40' face='front' edge='up'>"
      "<butt at='left' into='post/f'/></part>"));
  ck_assert_msg(project_good(&p), "%s", all_words(&p));
  const gw_freedom *f = freedom_of(&p, "stay");
  ck_assert(gw_freedom_allows(f, (gw_vec){{1, 0, 0}}));
  ck_assert(gw_freedom_allows(f, (gw_vec){{0, 0, 1}}));
  ck_assert(gw_freedom_allows(f, (gw_vec){{-1, 0, 4}})); /* along the face */
  ck_assert(gw_freedom_allows(f, (gw_vec){{1, 0, -4}}));
  ck_assert(!gw_freedom_allows(f, (gw_vec){{0, 0, -1}}));
  ck_assert(!gw_freedom_allows(f, (gw_vec){{-1, 0, 0}}));
  project_clear(&p);
}
END_TEST

/* A rail whose tenon stands along a mortise in a leg that leans across the rail. */
static project rail_and_leg(const char *splay, bool dowelled) {
  char text[1024];
  snprintf(text, sizeof text,
           "<part id='leg' length='400' width='40' thickness='40' face='front' edge='left' splay='left 1:8 back 6'>"
           "<%s id='m' at='right' count='%d' from-top='10' from-front='16'/></part>"
           "<part id='rail' length='300' width='60' thickness='20' face='front' edge='up' %s>"
           "<%s at='left' into='leg/m' thickness='8' width='40' depth='20'/></part>",
           dowelled ? "dowel-holes" : "mortise", dowelled ? 2 : 1, splay,
           dowelled ? "dowels" : "tenon");
  return project_fit(project_read(text));
}

START_TEST(mortise_runs_up_its_leg) {
  static const struct { const char *splay, *words; } rows[] = {
      {"", "the foot of rail is carried 0 degrees to the back, that of leg 6; give both the same "
           "splay there, such as splay=\"back 6\""},
      {"splay='back 5'", "the foot of rail is carried 5 degrees to the back, that of leg 6;"},
      {"splay='front 3'", "the foot of rail is carried -3 degrees to the back, that of leg 6;"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    project p = rail_and_leg(rows[i].splay, false);
    ck_assert_uint_eq(gw_findings_count_of(p.findings, GW_ERROR), 1);
    const gw_finding *f = gw_findings_at(p.findings, 0);
    ck_assert_str_eq(f->code, "leans-apart");
    ck_assert_msg(strstr(f->words, rows[i].words) != NULL, "%s", f->words);
    project_clear(&p);
  }
  project alike = rail_and_leg("splay='back 6'", false), dowels = rail_and_leg("", true);
  ck_assert(project_good(&alike));
  ck_assert(project_good(&dowels));
  project_clear(&alike);
  project_clear(&dowels);
}
END_TEST

/* On a rail that leans with its legs plumb says nothing: its tenon is gauged along it. */
START_TEST(plumb_on_a_rail) {
  static const char *const text =
      "<part id='leg' length='400' width='40' thickness='40' face='front' edge='left' splay='left 1:8 back 1:1.33'>"
      "<mortise id='m' at='right' from-top='10'/></part>"
      "<part id='rail' length='300' width='60' thickness='20' face='front' edge='up' splay='back 1:1.33'>"
      "<tenon at='left' into='leg/m' thickness='8' width='40' depth='20' %s/></part>";
  gw_len across[2];
  for (int i = 0; i < 2; ++i) {
    char piece[1024];
    snprintf(piece, sizeof piece, text, i == 0 ? "" : "plumb='yes'");
    project p = project_fit(project_read(piece));
    ck_assert_msg(project_good(&p), "%s", all_words(&p));
    across[i] = p.fit->seatings[0].e[GW_Y].size;
    project_clear(&p);
  }
  ck_assert_int_eq(across[1], across[0]);
  ck_assert_int_le(llabs(across[0] - MM(10)), MM(0.02)); /* 8 square to it, level 10 by 3:4:5 */
}
END_TEST

/* A tray of four boards that slope outwards alike, dovetailed: the classic box of
 * compound angles. */
START_TEST(sloping_box_closes) {
  project p = project_fit(project_read(
      "<part id='front' length='300' width='60' thickness='12' face='front' edge='up' splay='back 1:4'>"
      "<tail at='left' into='left/f' count='2' slope='1:6'/><tail at='right' into='right/f' count='2' slope='1:6'/></part>"
      "<part id='back' mirror-of='front' mirrored='front-back' into='left/b right/b'/>"
      "<part id='left' length='200' width='60' thickness='12' face='left' edge='up' splay='right 1:4'>"
      "<socket id='f' at='front'/><socket id='b' at='back'/></part>"
      "<part id='right' mirror-of='left'/>"));
  for (size_t i = 0; i < gw_findings_count(p.findings); ++i)
    ck_assert_msg(gw_findings_at(p.findings, i)->severity != GW_ERROR, "%s",
                  gw_findings_at(p.findings, i)->words);
  ck_assert(p.fit->placed);
  int front = part_of(&p, "front"), left = part_of(&p, "left");
  /* The ends follow the sides, whose tops stand farther out. */
  ck_assert_int_eq(p.fit->slants[front].side[GW_LEFT], p.model->parts[left].lean[0]);
  ck_assert_int_eq(p.fit->slants[left].side[GW_FRONT], p.model->parts[front].lean[1]);
  ck_assert_int_lt(p.model->parts[left].lean[0], 0);
  /* Flush midway up: 300 wide and 200 deep there, 15 more at the top. */
  gw_box a = gw_fit_around(p.fit, front), b = gw_fit_around(p.fit, left);
  ck_assert_int_le(llabs(a.hi[GW_X] - a.lo[GW_X] - MM(315)), MM(0.3));
  ck_assert_int_le(llabs(b.hi[GW_Y] - b.lo[GW_Y] - MM(215)), MM(0.3));
  project_clear(&p);
}
END_TEST

START_TEST(measured_along_the_wood) {
  project p = project_read(
      "<part id='leg' length='400' width='40' thickness='40' face='front' edge='left' splay='left 1:1.33'/>"
      "<measured part='leg' size='length' value='502'/>"
      "<measured part='leg' size='width' value='39'/>");
  ck_assert(project_good(&p));
  ck_assert_int_eq(gw_measured_apply(p.model, p.findings), GW_OK);
  const gw_part *leg = &p.model->parts[0];
  ck_assert_int_le(llabs(leg->length - MM(502)), 1);
  ck_assert_int_le(llabs(leg->size[GW_Z] - gw_part_stands(leg, GW_Z, MM(502))), 0);
  ck_assert_int_lt(leg->size[GW_Z], MM(402));
  ck_assert_int_gt(leg->size[GW_X], MM(48)); /* 39 square to it, level 48.8 */
  ck_assert_int_le(llabs(leg->width - MM(39)), 1);
  project_clear(&p);
}
END_TEST

/* ---- distances ---------------------------------------------------------------------- */

static gw_gauged gauged(const project *p, int gauge) {
  gw_gauged is;
  ck_assert_msg(p->fit != NULL && p->fit->placed, "%s", all_words(p));
  ck_assert_int_eq(gw_fit_gauge(p->model, p->fit, &p->model->gauges[gauge], &is), GW_OK);
  return is;
}

/* Posts at 45 degrees, 400 high, 200 apart midway up: at the height of the rail, 100
 * up, they are 400 apart, and the rail's end stands 20 in from the face of its post. */
START_TEST(gauges_at_one_height) {
  project p = project_fit(project_read(
      "<part id='l' length='400' width='40' thickness='40' face='front' edge='left' splay='left 45'>"
      "<mortise id='m' at='right' thickness='10' from-bottom='90'/></part>"
      "<part id='r' mirror-of='l'/>"
      "<part id='rail' length='440' width='40' thickness='20' face='front' edge='up'>"
      "<tenon at='left' into='l/m' width='20' depth='20'/>"
      "<tenon at='right' into='r/m' width='20' depth='20'/></part>"
      "<gauge name='a' from='l' from-side='right' to='r' to-side='left' least='199' most='201'/>"
      "<gauge name='b' from='rail' from-side='left' to='l' to-side='right' least='19' most='21'/>"
      "<gauge name='c' from='rail' from-side='left' to='rail' to-side='right' least='439' most='441'/>"
      "<gauge name='d' from='l' from-side='front' to='r' to-side='back' least='39' most='41'/>"
      "<gauge name='e' from='l' from-side='down' to='rail' to-side='down' least='300' most='301'/>"));
  static const struct { double mm, height; } rows[] = {
      {200, 200}, {20, 100}, {440, 100}, {40, -1}, {80, -1}};
  for (int i = 0; i < 5; ++i) {
    gw_gauged is = gauged(&p, i);
    ck_assert_msg(llabs(is.nominal - MM(rows[i].mm)) <= MM(0.1), "gauge %d: %g", i,
                  gw_len_mm(is.nominal));
    ck_assert_int_le(is.least, is.nominal);
    ck_assert_int_ge(is.most, is.nominal);
    ck_assert_int_le(is.most - is.least, MM(0.3));
    if (rows[i].height < 0) ck_assert_int_eq(is.height, GW_UNSET);
    else ck_assert_int_le(llabs(is.height - MM(rows[i].height)), MM(1));
  }
  ck_assert_ptr_nonnull(strstr(all_words(&p), "[gauge-missed]")); /* the last is asked too much */
  ck_assert_ptr_null(strstr(all_words(&p), "measured at a height"));
  ck_assert_int_eq(gw_fit_gauges(p.model, p.fit, p.findings, true), GW_OK);
  ck_assert_ptr_nonnull(strstr(all_words(&p), "left side of r, measured at a height of 200 mm above the floor, is "));
  project_clear(&p);
}
END_TEST

static Suite *slant_suite(void) {
  Suite *suite = suite_create("slant");
  TCase *all = tcase_create("all");
  tcase_add_test(all, three_four_five);
  tcase_add_test(all, along_its_length);
  tcase_add_test(all, angles);
  tcase_add_test(all, shifts_are_mirror_images);
  tcase_add_test(all, splay_is_read);
  tcase_add_test(all, splay_is_refused);
  tcase_add_test(all, copies_lean);
  tcase_add_test(all, rail_between_posts);
  tcase_add_test(all, height_counts);
  tcase_add_test(all, solids_share_where_they_cross);
  tcase_add_test(all, solids_share_as_their_sections_do);
  tcase_add_test(all, slanting_freedom);
  tcase_add_test(all, plumb_and_in_line);
  tcase_add_test(all, grooves_lead_along_the_lean);
  tcase_add_test(all, crossing_dividers_lead_along_both);
  tcase_add_test(all, leaning_faces_part);
  tcase_add_test(all, cleat_is_tapered);
  tcase_add_test(all, mortise_runs_up_its_leg);
  tcase_add_test(all, plumb_on_a_rail);
  tcase_add_test(all, sloping_box_closes);
  tcase_add_test(all, measured_along_the_wood);
  tcase_add_test(all, gauges_at_one_height);
  suite_add_tcase(suite, all);
  return suite;
}

int main(void) {
  SRunner *runner = srunner_create(slant_suite());
  srunner_run_all(runner, CK_NORMAL);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? 0 : 1;
}
