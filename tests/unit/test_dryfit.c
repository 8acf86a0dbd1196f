/* The dry-fit sheet, and what a tape tells of a frame. */
#include "sheet_probe.h"

#include <math.h>

#include "sheets/session.h"
#include "sheets/square.h"

#define CHEST "projects/lantern-chest.xml"
#define DOOR "projects/pantry-door.xml"
#define TABLE "projects/side-table.xml"
#define BOOKCASE "projects/study-bookcase.xml"

static const char *const PROJECTS[] = {CHEST, DOOR, TABLE, BOOKCASE};
enum { N_PROJECTS = sizeof PROJECTS / sizeof *PROJECTS };

/* ---- diagonals: computed geometry ----------------------------------------------------- */

/* Reference rows of the formulas in square.h, computed independently to the
 * decimals shown. */
static const struct {
  double w, h, diagonal, difference, longer, shorter, angle, lean_over_h, lean_over_w;
} FRAMES[] = {
    {600, 400, 721.1103, 2, 722.1096, 720.1096, 0.17215, 1.2018, 1.8028},
    {600, 800, 1000.0000, 2, 1000.9995, 998.9995, 0.11937, 1.6667, 1.2500},
    {900, 600, 1081.6654, 3, 1083.1643, 1080.1643, 0.17215, 1.8028, 2.7042},
    {1200, 600, 1341.6408, 1.5, 1342.3906, 1340.8906, 0.08007, 0.8385, 1.6771},
    {500, 500, 707.1068, 1, 707.6066, 706.6066, 0.08103, 0.7071, 0.7071},
    {2000, 700, 2118.9620, 4, 2120.9611, 2116.9611, 0.17344, 2.1190, 6.0542},
};

START_TEST(diagonals_agree_with_the_reference) {
  const double w = FRAMES[_i].w, h = FRAMES[_i].h, half = 0.5e-4;
  double longer, shorter;
  ck_assert_double_eq_tol(gw_square_diagonal(w, h), FRAMES[_i].diagonal, half);
  gw_square_pair(w, h, FRAMES[_i].difference, &longer, &shorter);
  ck_assert_double_eq_tol(longer, FRAMES[_i].longer, half);
  ck_assert_double_eq_tol(shorter, FRAMES[_i].shorter, half);
  ck_assert_double_eq_tol(gw_square_angle(w, h, longer, shorter), FRAMES[_i].angle, half / 10);
  ck_assert_double_eq_tol(gw_square_lean(w, longer, shorter), FRAMES[_i].lean_over_h, half);
  ck_assert_double_eq_tol(gw_square_lean(h, longer, shorter), FRAMES[_i].lean_over_w, half);
  ck_assert_double_eq_tol(longer * longer + shorter * shorter, 2 * (w * w + h * h), 1e-6);
}
END_TEST

START_TEST(whole_triples_have_whole_diagonals) {
  const double triples[][3] = {{3, 4, 5}, {5, 12, 13}, {8, 15, 17}, {600, 800, 1000},
                               {900, 1200, 1500}};
  for (int i = 0; i < 5; ++i) {
    ck_assert_double_eq_tol(gw_square_diagonal(triples[i][0], triples[i][1]), triples[i][2], 1e-9);
    double d = triples[i][2];
    ck_assert_double_eq_tol(gw_square_angle(triples[i][0], triples[i][1], d, d), 0, 1e-12);
  }
}
END_TEST

/* A leaning frame, drawn from its corners: W along the base, the sides turned
 * by e.  What the tape would show is worked back to e. */
START_TEST(a_leaning_frame_is_read_back) {
  const double w = 600, h = 400, e = 1.5 * acos(-1) / 180;
  double x = h * sin(e), y = h * cos(e);
  double longer = hypot(w + x, y), shorter = hypot(w - x, y);
  ck_assert_double_eq_tol(gw_square_angle(w, h, longer, shorter), 1.5, 1e-9);
  ck_assert_double_eq_tol(gw_square_lean(w, longer, shorter), x, 1e-9);
}
END_TEST

START_TEST(a_millimetre_in_a_metre_is_let_pass) {
  const double rows[][2] = {{100, 0.5}, {500, 0.5},    {500.1, 1},
                            {1000, 1},  {1000.5, 1.5}, {2000, 2}};
  for (int i = 0; i < 6; ++i)
    ck_assert_double_eq_tol(gw_square_allowed(rows[i][0], GW_UNITS_MM), rows[i][1], 1e-12);
}
END_TEST

/* In inches and 64ths: 15 5/8 in is a thousand 64ths. */
START_TEST(an_inch_shop_reads_the_difference_in_64ths) {
  const double rows[][2] = {{3, 1}, {15.625, 1}, {15.63, 2}, {31.25, 2}, {32, 3}};
  for (int i = 0; i < 5; ++i)
    ck_assert_double_eq_tol(gw_square_allowed(rows[i][0] * 25.4, GW_UNITS_INCH),
                            rows[i][1] * 25.4 / 64, 1e-12);
}
END_TEST

/* ---- openings ------------------------------------------------------------------------- */

/* Sizes in mm, seen along the axis; outside ones too. */
typedef struct expected { int axis, w, h; bool outside; int group; } expected;

static void check_openings(const char *path, const expected *rows, size_t n_rows) {
  probe p = probe_open(path);
  gw_opening *found;
  size_t count;
  ck_assert_int_eq(gw_square_openings(p.job.model, p.job.fit, &found, &count), GW_OK);
  for (size_t i = 0; i < n_rows; ++i) {
    bool there = false;
    for (size_t k = 0; k < count; ++k)
      there = there || (found[k].axis == rows[i].axis && found[k].outside == rows[i].outside &&
                        found[k].group == rows[i].group &&
                        found[k].hi[0] - found[k].lo[0] == rows[i].w * GW_MM &&
                        found[k].hi[1] - found[k].lo[1] == rows[i].h * GW_MM);
    ck_assert_msg(there, "%s: no opening of %d x %d", path, rows[i].w, rows[i].h);
  }
  ck_assert_uint_eq(count, n_rows);
  free(found);
  probe_close(&p);
}

/* The sizes follow from the project files: outside less the boards. */
START_TEST(openings_are_found) {
  const expected chest[] = {{GW_Z, 720, 380, false, -1}, {GW_Z, 760, 420, true, -1}};
  const expected door[] = {{GW_Y, 370, 500, false, -1}, {GW_Y, 370, 635, false, -1},
                           {GW_Y, 560, 1500, true, -1}};
  const expected bookcase[] = {{GW_Y, 760, 240, false, -1}, {GW_Y, 760, 270, false, -1},
                               {GW_Y, 760, 250, false, -1}, {GW_Y, 760, 280, false, -1},
                               {GW_Y, 800, 1200, true, -1}};
  const expected table[] = {{GW_Y, 360, 84, false, -1}, {GW_Z, 440, 360, true, -1},
                            {GW_Z, 338, 302, false, 0}, {GW_Z, 358, 330, true, 0}};
  check_openings(CHEST, chest, sizeof chest / sizeof *chest);
  check_openings(DOOR, door, sizeof door / sizeof *door);
  check_openings(BOOKCASE, bookcase, sizeof bookcase / sizeof *bookcase);
  check_openings(TABLE, table, sizeof table / sizeof *table);
}
END_TEST

START_TEST(an_opening_names_the_four_parts_round_it) {
  probe p = probe_open(DOOR);
  gw_opening *found;
  size_t count;
  ck_assert_int_eq(gw_square_openings(p.job.model, p.job.fit, &found, &count), GW_OK);
  ck_assert_uint_gt(count, 0);
  const char *const names[4] = {"hinge", "shut", "bottom", "lock"};
  for (int i = 0; i < 4; ++i)
    ck_assert_str_eq(p.job.model->parts[found[0].parts[i]].id, names[i]);
  free(found);
  probe_close(&p);
}
END_TEST

/* 315 by 215 outside, less 12 mm boards that are 12 times the root of 1 + 1/16 wide
 * on the level. */
START_TEST(sloping_boards_are_measured_along_their_upper_edges) {
  probe p = probe_open("tests/pieces/pear-tray.xml");
  gw_opening *found;
  size_t count;
  const double inside = 2 * 12 * sqrt(1 + 1 / 16.0);
  ck_assert_int_eq(gw_square_openings(p.job.model, p.job.fit, &found, &count), GW_OK);
  ck_assert_uint_eq(count, 2);
  for (size_t i = 0; i < count; ++i) {
    double off = found[i].outside ? 0 : inside;
    ck_assert(found[i].edges && found[i].axis == GW_Z);
    ck_assert_double_eq_tol(gw_len_mm(found[i].hi[0] - found[i].lo[0]), 315 - off, 0.11);
    ck_assert_double_eq_tol(gw_len_mm(found[i].hi[1] - found[i].lo[1]), 215 - off, 0.11);
  }
  free(found);
  probe_close(&p);
}
END_TEST

/* The stool has two rails between its legs at the sides and one in front and behind;
 * where posts lean alike to both sides the two diagonals are equal. */
START_TEST(frames_that_lean) {
  probe p = probe_open("projects/ringers-stool.xml");
  gw_frame *found;
  size_t count;
  ck_assert_int_eq(gw_square_frames(p.job.model, p.job.fit, &found, &count), GW_OK);
  ck_assert_uint_eq(count, 6);
  int to_the_floor = 0;
  for (size_t i = 0; i < count; ++i) {
    const gw_frame *f = &found[i];
    to_the_floor += f->rails[1] < 0;
    ck_assert_double_eq_tol(f->diagonal[0], f->diagonal[1], 0.05);
    ck_assert_double_gt(f->width[0], f->width[1]);
    /* Ptolemy, for the trapezium that it is: the square of a diagonal is that of a
     * side and the product of the two widths. */
    ck_assert_double_eq_tol(f->diagonal[0] * f->diagonal[0],
                            f->side * f->side + f->width[0] * f->width[1], 40);
  }
  ck_assert_int_eq(to_the_floor, 4);
  free(found);
  probe_close(&p);
  p = probe_open(DOOR);
  ck_assert_int_eq(gw_square_frames(p.job.model, p.job.fit, &found, &count), GW_OK);
  ck_assert_uint_eq(count, 0);
  probe_close(&p);
}
END_TEST

START_TEST(nothing_is_sought_in_parts_without_places) {
  probe p = probe_open(DOOR);
  gw_opening *found;
  size_t count = 9;
  p.job.fit->placed = false;
  ck_assert_int_eq(gw_square_openings(p.job.model, p.job.fit, &found, &count), GW_OK);
  ck_assert_uint_eq(count, 0);
  ck_assert_ptr_null(found);
  ck_assert_int_eq(gw_square_openings(p.job.model, NULL, &found, &count), GW_OK);
  ck_assert_uint_eq(count, 0);
  probe_close(&p);
}
END_TEST

/* Boxes in mm, with a joint between each two that are named. */
typedef struct blocks {
  gw_model model;
  gw_fit fit;
  gw_part parts[12];
  gw_box boxes[12];
  gw_half halves[32];
  gw_joint joints[16];
} blocks;

static void add_block(blocks *b, int x0, int x1, int y0, int y1, int z0, int z1) {
  b->parts[b->model.n_parts] = (gw_part){.id = "block", .group = -1};
  b->boxes[b->model.n_parts++] = (gw_box){{x0 * GW_MM, y0 * GW_MM, z0 * GW_MM},
                                          {x1 * GW_MM, y1 * GW_MM, z1 * GW_MM}};
}

static void join_blocks(blocks *b, int one, int other) {
  int n = b->model.n_joints++;
  b->halves[2 * n].part = one;
  b->halves[2 * n + 1].part = other;
  b->joints[n] = (gw_joint){.entering = 2 * n, .receiving = 2 * n + 1};
}

/* Four boards round a void of w by h that begins at (10, 10), 10 thick. */
static void add_ring(blocks *b, int w, int h, int z0, int z1, bool joined) {
  int first = b->model.n_parts;
  add_block(b, 0, 10, 0, h + 20, z0, z1);
  add_block(b, w + 10, w + 20, 0, h + 20, z0, z1);
  add_block(b, 10, w + 10, 0, 10, z0, z1);
  add_block(b, 10, w + 10, h + 10, h + 20, z0, z1);
  for (int i = 0; i < 4 && joined; ++i) join_blocks(b, first + i / 2, first + 2 + i % 2);
}

static size_t open_blocks(blocks *b, gw_opening **found) {
  size_t count;
  b->model.parts = b->parts;
  b->model.halves = b->halves;
  b->model.joints = b->joints;
  b->fit = (gw_fit){.boxes = b->boxes, .placed = true};
  ck_assert_int_eq(gw_square_openings(&b->model, &b->fit, found, &count), GW_OK);
  return count;
}

static void check_size(const gw_opening *o, int w, int h, bool outside, bool posts) {
  ck_assert_int_eq(o->axis, GW_Z);
  ck_assert_int_eq(o->hi[0] - o->lo[0], w * GW_MM);
  ck_assert_int_eq(o->hi[1] - o->lo[1], h * GW_MM);
  ck_assert(o->outside == outside && o->posts == posts);
}

START_TEST(of_outer_rectangles_the_largest_is_kept) {
  for (int turn = 0; turn < 2; ++turn) {
    blocks b = {0};
    gw_opening *found;
    add_ring(&b, 200, 100, turn * 50, turn * 50 + 50, true);
    add_ring(&b, 80, 60, 50 - turn * 50, 100 - turn * 50, true);
    ck_assert_uint_eq(open_blocks(&b, &found), 3);
    check_size(&found[turn], 200, 100, false, false);
    check_size(&found[1 - turn], 80, 60, false, false);
    check_size(&found[2], 220, 120, true, false);
    free(found);
  }
}
END_TEST

/* One over the other, seen from above: two frames, but one when they have a board in
 * common. */
START_TEST(frames_over_each_other_are_measured_each) {
  blocks b = {0};
  gw_opening *found;
  add_ring(&b, 200, 100, 0, 50, true);
  add_ring(&b, 200, 100, 60, 110, true);
  ck_assert_uint_eq(open_blocks(&b, &found), 3);
  for (int i = 0; i < 3; ++i)
    check_size(&found[i], i < 2 ? 200 : 220, i < 2 ? 100 : 120, i == 2, false);
  ck_assert_int_ne(found[0].parts[0], found[1].parts[0]);
  free(found);
}
END_TEST

START_TEST(frames_with_a_board_in_common_are_one) {
  blocks b = {0};
  gw_opening *found;
  add_ring(&b, 200, 100, 0, 50, true);
  b.boxes[0].hi[GW_Z] = 110 * GW_MM;
  add_block(&b, 210, 220, 0, 120, 60, 110);
  add_block(&b, 10, 210, 0, 10, 60, 110);
  add_block(&b, 10, 210, 110, 120, 60, 110);
  for (int i = 0; i < 4; ++i) join_blocks(&b, i / 2 == 0 ? 0 : 4, 5 + i % 2);
  ck_assert_uint_eq(open_blocks(&b, &found), 2);
  check_size(&found[0], 200, 100, false, false);
  check_size(&found[1], 220, 120, true, false);
  free(found);
}
END_TEST

START_TEST(boards_that_are_not_joined_are_no_frame) {
  blocks b = {0};
  gw_opening *found;
  add_ring(&b, 200, 100, 0, 50, false);
  ck_assert_uint_eq(open_blocks(&b, &found), 1);
  check_size(&found[0], 220, 120, true, false);
  free(found);
}
END_TEST

START_TEST(small_voids_are_not_measured) {
  blocks b = {0};
  gw_opening *found;
  add_ring(&b, 200, 39, 0, 50, true);
  ck_assert_uint_eq(open_blocks(&b, &found), 0);
  free(found);
}
END_TEST

/* Posts of 30 at the corners of 300 by 200, boards of 10 between their middles. */
START_TEST(between_posts_the_inner_corners_count) {
  blocks b = {0};
  gw_opening *found;
  for (int i = 0; i < 4; ++i) {
    int x = i % 2 ? 270 : 0, y = i / 2 ? 170 : 0;
    add_block(&b, x, x + 30, y, y + 30, 0, 50);
  }
  add_block(&b, 10, 20, 30, 170, 0, 50);
  add_block(&b, 280, 290, 30, 170, 0, 50);
  add_block(&b, 30, 270, 10, 20, 0, 50);
  add_block(&b, 30, 270, 180, 190, 0, 50);
  ck_assert_uint_eq(open_blocks(&b, &found), 2);
  check_size(&found[0], 240, 140, false, true);
  const int parts[4] = {4, 5, 6, 7};
  for (int i = 0; i < 4; ++i) ck_assert_int_eq(found[0].parts[i], parts[i]);
  check_size(&found[1], 300, 200, true, false);
  free(found);
}
END_TEST

START_TEST(a_void_that_is_no_rectangle_is_left_alone) {
  blocks b = {0};
  gw_opening *found;
  add_ring(&b, 200, 100, 0, 50, true);
  add_block(&b, 40, 60, 10, 60, 0, 50); /* half a wall */
  ck_assert_uint_eq(open_blocks(&b, &found), 1);
  check_size(&found[0], 220, 120, true, false);
  free(found);
}
END_TEST

/* ---- lengths that must agree ---------------------------------------------------------- */

/* "left right 280": ids in the order of the file, and the length in mm. */
static char *equals_text(const probe *p, const gw_fit *fit) {
  gw_arena *arena = gw_arena_new();
  gw_equal *equals;
  size_t count, used = 0;
  char *text = calloc(4000, 1);
  ck_assert(arena != NULL && text != NULL);
  ck_assert_int_eq(gw_square_equals(p->job.model, fit, arena, &equals, &count), GW_OK);
  for (size_t i = 0; i < count; ++i) {
    for (int k = 0; k < equals[i].count; ++k)
      used += (size_t)snprintf(text + used, 4000 - used, "%s ",
                               p->job.model->parts[equals[i].parts[k]].id);
    used += (size_t)snprintf(text + used, 4000 - used, "%s%g\n", equals[i].shoulders ? "| " : "",
                             gw_len_mm(equals[i].length));
  }
  gw_arena_free(arena);
  return text;
}

START_TEST(facing_parts_of_one_length_are_grouped) {
  const char *const wanted[N_PROJECTS] = {
      "front back 760\nleft right 420\n", "hinge shut 1500\ntop lock bottom | 370\n",
      "leg-fl leg-fr leg-bl leg-br 560\nupper lower back | 360\nleft right runner-l runner-r | "
      "280\n"
      "drawer.front drawer.back 358\ndrawer.left drawer.right 325\n",
      "left right 1200\nhigh middle low bottom 774\nhigh middle low | 760\n"};
  probe p = probe_open(PROJECTS[_i]);
  char *text = equals_text(&p, p.job.fit);
  ck_assert_str_eq(text, wanted[_i]);
  free(text);
  probe_close(&p);
}
END_TEST

START_TEST(without_places_lengths_alone_are_compared) {
  probe p = probe_open(CHEST);
  char *text = equals_text(&p, NULL);
  ck_assert_str_eq(text, "front back 760\nleft right 420\n");
  free(text);
  probe_close(&p);
}
END_TEST

/* ---- the sheet ------------------------------------------------------------------------ */

static void check_sheet(const probe *p) {
  probe_print(p, gw_sheets_dry_fit);
  probe_check_file(p);
  probe_check_words(p);
  probe_check_names(p);
  probe_check_same_twice(p, gw_sheets_dry_fit);
}

START_TEST(every_project_prints) {
  probe p = probe_open(PROJECTS[_i / 2]);
  p.sheets.paper = _i % 2 ? GW_PAPER_LETTER : GW_PAPER_A4;
  check_sheet(&p);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "the glue may be opened"));
  ck_assert(probe_says(text, "Rehearsal"));
  free(text);
  probe_close(&p);
}
END_TEST

/* sqrt(720^2 + 380^2) = 814.13 mm = 32.052 in; a millimetre is 0.039 in. */
START_TEST(inches_print) {
  probe p = probe_open(CHEST);
  p.job.model->units = GW_UNITS_INCH;
  check_sheet(&p);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "both diagonals 32 3/64 in. They may differ by 3/64 in"));
  free(text);
  text = probe_run("pdftotext -q %s -", p.pdf);
  ck_assert_ptr_null(strstr(text, " mm"));
  free(text);
  probe_close(&p);
}
END_TEST

START_TEST(diagonals_are_printed) {
  probe p = probe_open(CHEST);
  probe_print(&p, gw_sheets_dry_fit);
  char *text = probe_text(&p);
  ck_assert(
      probe_says(text, "720 \xC3\x97 380 mm: both diagonals 814.1 mm. They may differ by 1 mm"));
  /* asin of (d1 + d2)(d1 - d2) / (4 W H): 0.0852 degrees; over 380 mm: 0.57 mm. */
  ck_assert(probe_says(text, "miss 90\xC2\xB0 by 0.09\xC2\xB0, a lean of 0.6 mm over 380 mm"));
  ck_assert(probe_says(text, "Front (C) and Back (K): 760 mm"));
  free(text);
  probe_close(&p);
}
END_TEST

/* Every joint has its own row: its two parts, and how deep it goes. */
START_TEST(every_joint_has_a_row) {
  probe p = probe_open(PROJECTS[_i]);
  probe_print(&p, gw_sheets_dry_fit);
  char *text = probe_text(&p), words[200];
  const gw_model *m = p.job.model;
  for (int i = 0; i < m->n_joints; ++i) {
    int e = gw_joint_enters(m, &m->joints[i]), r = gw_joint_receives(m, &m->joints[i]);
    bool faces = gw_kind_of(m->joints[i].kind)->seat == GW_FACE; /* nothing goes in */
    snprintf(words, sizeof words, "%s %s (%s) %s %s (%s)", p.job.marks->joints[i].text,
             m->parts[e].name, p.job.marks->parts[e].text, faces ? "against" : "into",
             m->parts[r].name, p.job.marks->parts[r].text);
    ck_assert_msg(probe_says(text, words), "%s", words);
  }
  free(text);
  probe_close(&p);
}
END_TEST

/* Those that are about joints have a number, which the rows of these joints name. */
START_TEST(findings_stand_under_look_out) {
  probe p = probe_open(DOOR);
  gw_findings *findings = gw_findings_new("door.xml");
  ck_assert_ptr_nonnull(findings);
  ck_assert_int_eq(gw_find(findings, GW_NOTE, "end-grain", 3, "this one hardly holds"), GW_OK);
  ck_assert_int_eq(gw_find_joint(findings, 0), GW_OK);
  ck_assert_int_eq(gw_find(findings, GW_WARNING, "tight", 4, "that one is tight."), GW_OK);
  ck_assert_int_eq(gw_find(findings, GW_NOTE, "loose", 5, "the other is loose"), GW_OK);
  ck_assert_int_eq(gw_find_joint(findings, 1), GW_OK);
  p.sheets.findings = findings;
  check_sheet(&p);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "Look out That one is tight. !1 This one hardly holds. "
                             "!2 The other is loose."));
  const char *named = strstr(text, ";lookout!1");
  ck_assert_ptr_nonnull(named); /* once, in the row of that joint */
  ck_assert_ptr_null(strstr(named + 1, ";lookout!1"));
  ck_assert(probe_says(text, "; look out !2"));
  char row[200];
  int part = gw_joint_enters(p.job.model, &p.job.model->joints[0]);
  snprintf(row, sizeof row, "%s(%s)into", p.job.model->parts[part].name,
           p.job.marks->parts[part].text);
  probe_squeeze(row);
  const char *last = NULL;
  for (const char *at = text; (at = strstr(at, "into")) != NULL && at < named; ++at) last = at;
  ck_assert_ptr_nonnull(last);
  ck_assert_int_eq(strncmp(last + 4 - strlen(row), row, strlen(row)), 0);
  free(text);
  gw_findings_free(findings);
  probe_close(&p);
}
END_TEST

/* Why they are bad, and what to do, is said once; what is about no part comes last. */
START_TEST(mix_ups_are_listed_under_one_sentence) {
  probe p = probe_open(DOOR);
  gw_findings *findings = gw_findings_new("door.xml");
  ck_assert_ptr_nonnull(findings);
  ck_assert_int_eq(gw_find(findings, GW_NOTE, "mix-up", 1, "2 more parts could"), GW_OK);
  ck_assert_int_eq(gw_find(findings, GW_NOTE, "mix-up", 3, "hinge and shut could change places; "
                                                           "they will not close"), GW_OK);
  for (int i = 0; i < 2; ++i) {
    int part = 0;
    while (strcmp(p.job.model->parts[part].id, i == 0 ? "hinge" : "shut") != 0) ++part;
    ck_assert_int_eq(gw_find_part(findings, part), GW_OK);
  }
  p.sheets.findings = findings;
  check_sheet(&p);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "Write the marks before the dry fit is taken apart. Hinge stile (N) "
                             "and Shutting stile (K) could change places. 2 more parts could."));
  ck_assert(!probe_says(text, "will not close"));
  free(text);
  gw_findings_free(findings);
  probe_close(&p);
}
END_TEST

/* Panels of 384 in an opening of 370 go in 7 at each stile, 10 being there. */
START_TEST(how_far_a_joint_goes_in) {
  probe p = probe_open(DOOR);
  probe_print(&p, gw_sheets_dry_fit);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "goes in 7 mm, groove 10 mm deep: 3 mm room; dry, moves by hand"));
  ck_assert(probe_says(text, "goes in 60 mm, mortise 61 mm deep"));
  ck_assert(probe_says(text, "panels move by hand"));
  free(text);
  probe_close(&p);
}
END_TEST

/* The rail is 900 between its shoulders, and has slats at 75, 245 and 420 from either. */
START_TEST(slats_have_gaps_and_not_diagonals) {
  probe p = probe_open("projects/bed-head.xml");
  probe_print(&p, gw_sheets_dry_fit);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "AA's left side 75 mm from A's left shoulder"));
  ck_assert(probe_says(text, "AC's left side 245 mm from A's left shoulder"));
  ck_assert(probe_says(text, "Slat (R) and Right post (C), from left to right: 75 mm, 110 mm, "
                             "115 mm, 115 mm, 110 mm and 75 mm, each the same above and below."));
  ck_assert(!probe_says(text, "75 \xC3\x97 510 mm"));
  ck_assert(probe_says(text, "outer corners of Left post (F) and Right post (C), seen from the "
                             "front, 1040 \xC3\x97 1050 mm"));
  ck_assert(!probe_says(text, "panels move"));
  ck_assert(!probe_says(text, "4 W H"));
  free(text);
  probe_close(&p);
}
END_TEST

/* From the end that the project counts from, as the settings do, and only what is to be
 * seen: the back is 0.5 wider than the bottom at either side, inside the rebates. */
START_TEST(a_part_is_measured_where_it_shows) {
  probe p = probe_open(BOOKCASE);
  probe_print(&p, gw_sheets_dry_fit);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "AA's lower side 880 mm from K's lower end"));
  ck_assert(probe_says(text, "N's lower side 610 mm from F's lower end"));
  ck_assert(probe_says(text, "goes in 7.5 mm, rebate 8 mm wide: 0.5 mm room"));
  ck_assert(!probe_says(text, "proud"));
  free(text);
  probe_close(&p);
  p = probe_open(TABLE); /* the front of the drawer on a rail with tenons of 20 */
  probe_print(&p, gw_sheets_dry_fit);
  text = probe_text(&p);
  ck_assert(probe_says(text, "AF's left end 1 mm from N's left shoulder"));
  ck_assert(probe_says(text, "flush with CC's shoulders at front and back")); /* its tenons stick out */
  free(text);
  probe_close(&p);
}
END_TEST

/* A partition housed at both ends, before its rails go in, shows between two boards; what
 * has no room does not move; what goes on over a page says what it is of; and joints alike
 * all send back to the one warning. */
START_TEST(a_chest_is_measured_where_it_shows) {
  probe p = probe_open("projects/chest-of-drawers.xml");
  probe_print(&p, gw_sheets_dry_fit);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "flush at the front; FC 240 mm above AF"));
  ck_assert(probe_says(text, "flush at the back; AAN 500 mm above AF"));
  ck_assert(probe_says(text, "groove 6 mm deep: no room; dry"));
  ck_assert(!probe_says(text, "no room; dry, moves"));
  ck_assert(probe_says(text, "1 mm room; dry, moves by hand"));
  ck_assert(probe_says(text, "25. Drawer 1 \xE2\x86\x92 AF, continued"));
  ck_assert(probe_says(text, "its mate on Plinth front (C) are glued"));
  const char *first = strstr(text, "lookout!1");
  ck_assert_ptr_nonnull(first);
  ck_assert_ptr_nonnull(strstr(first + 1, "lookout!1")); /* the left mitre, and the right */
  free(text);
  probe_close(&p);
}
END_TEST

/* The rails of the stool are in its legs by then: from the shoulder, not from the end of
 * the tenon. */
START_TEST(what_leans_is_measured_from_its_shoulders) {
  probe p = probe_open("projects/ringers-stool.xml");
  probe_print(&p, gw_sheets_dry_fit);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "102 mm from F's front shoulder"));
  ck_assert(!probe_says(text, "120 mm from"));
  free(text);
  probe_close(&p);
}
END_TEST

/* Names of many parts run on under their line, in the same type. */
START_TEST(long_lines_of_the_rehearsal_run_on) {
  probe p = probe_open(TABLE);
  gw_step *step = NULL;
  for (int i = 0; i < p.job.clock->n_stages && step == NULL; ++i)
    for (int k = 0; k < p.job.clock->stages[i].n_steps; ++k)
      if (p.job.clock->stages[i].steps[k].action == GW_BRING)
        step = &p.job.clock->stages[i].steps[k];
  ck_assert_ptr_nonnull(step);
  gw_join *join = &p.job.order->joins[step->join];
  enum { MANY = 24 };
  int many[MANY];
  for (int i = 0; i < MANY; ++i) many[i] = i % p.job.model->n_joints;
  int *kept = join->joints, n = join->n_joints;
  join->joints = many;
  join->n_joints = MANY;
  check_sheet(&p);
  ck_assert_double_ge(probe_ink_height(&p, "GLUE", 0), 3.1);
  char *text = probe_text(&p);
  ck_assert(!probe_says(text, "\xE2\x80\xA6")); /* nothing is cut */
  free(text);
  join->joints = kept;
  join->n_joints = n;
  probe_close(&p);
}
END_TEST

START_TEST(what_a_piece_has_not_is_not_spoken_of) {
  probe p = probe_open("tests/pieces/pear-tray.xml");
  probe_print(&p, gw_sheets_dry_fit);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "All together and checked at"));
  ck_assert(!probe_says(text, "clamp"));
  ck_assert(!probe_says(text, "copy"));
  ck_assert(!probe_says(text, "P1"));
  free(text);
  probe_close(&p);
  p = probe_open("projects/bench-top.xml");
  probe_print(&p, gw_sheets_dry_fit);
  text = probe_text(&p);
  ck_assert(!probe_says(text, "shoulder that takes"));
  ck_assert(!probe_says(text, "the two at the right"));
  free(text);
  probe_close(&p);
}
END_TEST

/* 12:00 less 25 %. */
START_TEST(copies_people_and_limits_are_explained) {
  probe p = probe_open("tests/pieces/wharf-stool-inch.xml");
  check_sheet(&p);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "copy ____"));
  ck_assert(probe_says(text, "from + for the first to ++ for the last"));
  ck_assert(probe_says(text, "P1 and P2 are the two who do it"));
  ck_assert(probe_says(text, "Longest a joint stays open; limit 9:00"));
  free(text);
  probe_close(&p);
}
END_TEST

#define LONG_NAME                                                                                  \
  "\xC3\x84u\xC3\x9F"                                                                              \
  "erste linke Seitenwand der gro\xC3\x9F"                                                         \
  "en "                                                                                            \
  "\xC5\x81\xC3\xB3"                                                                               \
  "dzkie Schatulle f\xC3\xBCr \xD0\x9E\xD0\xBB\xD1\x8C\xD0\xB3\xD0\xB0"

START_TEST(long_names_print) {
  probe p = probe_open_changed(CHEST, "s/name=\"[A-Z][a-z ]*\"/name=\"" LONG_NAME "\"/");
  ck_assert_str_eq(p.job.model->parts[0].name, LONG_NAME);
  check_sheet(&p);
  probe_close(&p);
}
END_TEST

START_TEST(a_draft_prints_what_is_known) {
  probe p = probe_open(CHEST);
  p.sheets.order = NULL;
  p.sheets.clock = NULL;
  p.sheets.draft = true;
  p.job.fit->placed = _i == 0; /* then without places too */
  check_sheet(&p);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, GW_DRAFT_WORDS));
  ck_assert(probe_says(text, "Not all is known"));
  ck_assert(!probe_says(text, "Rehearsal with"));
  ck_assert(!probe_says(text, "the glue may be opened"));
  ck_assert(probe_says(text, "do not open the glue"));
  ck_assert(probe_says(text, "both diagonals 814.1") == (_i == 0));
  free(text);
  probe_close(&p);
}
END_TEST

/* 16 minutes of arc at 0.7 m are capitals of 3.258 mm (NUREG-0700 Rev 2,
 * 1.3.1-4). */
START_TEST(the_list_is_read_at_arms_length) {
  probe p = probe_open(CHEST);
  probe_print(&p, gw_sheets_dry_fit);
  ck_assert_double_ge(probe_ink_height(&p, "GLUE", 0), 3.1);
  ck_assert_double_le(probe_ink_height(&p, "GLUE", 0), 3.6);
  probe_close(&p);
}
END_TEST

START_TEST(a_path_that_cannot_be_written_is_an_io_failure) {
  probe p = probe_open(CHEST);
  gw_error err = {GW_OK, ""};
  ck_assert_int_eq(gw_sheets_dry_fit(&p.sheets, "/no/such/folder/x.pdf", &err), GW_IO);
  ck_assert_uint_gt(strlen(err.words), 0);
  probe_close(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("dry fit");
  TCase *square = tcase_create("square");
  tcase_add_loop_test(square, diagonals_agree_with_the_reference, 0,
                      sizeof FRAMES / sizeof *FRAMES);
  tcase_add_test(square, whole_triples_have_whole_diagonals);
  tcase_add_test(square, a_leaning_frame_is_read_back);
  tcase_add_test(square, a_millimetre_in_a_metre_is_let_pass);
  tcase_add_test(square, an_inch_shop_reads_the_difference_in_64ths);
  tcase_add_test(square, openings_are_found);
  tcase_add_test(square, sloping_boards_are_measured_along_their_upper_edges);
  tcase_add_test(square, frames_that_lean);
  tcase_add_test(square, an_opening_names_the_four_parts_round_it);
  tcase_add_test(square, of_outer_rectangles_the_largest_is_kept);
  tcase_add_test(square, frames_over_each_other_are_measured_each);
  tcase_add_test(square, frames_with_a_board_in_common_are_one);
  tcase_add_test(square, boards_that_are_not_joined_are_no_frame);
  tcase_add_test(square, small_voids_are_not_measured);
  tcase_add_test(square, between_posts_the_inner_corners_count);
  tcase_add_test(square, a_void_that_is_no_rectangle_is_left_alone);
  tcase_add_test(square, nothing_is_sought_in_parts_without_places);
  tcase_add_loop_test(square, facing_parts_of_one_length_are_grouped, 0, N_PROJECTS);
  tcase_add_test(square, without_places_lengths_alone_are_compared);
  tcase_set_timeout(square, 60);
  suite_add_tcase(suite, square);
  TCase *sheet = tcase_create("sheet");
  tcase_set_timeout(sheet, 120);
  tcase_add_loop_test(sheet, every_project_prints, 0, 2 * N_PROJECTS);
  tcase_add_test(sheet, inches_print);
  tcase_add_test(sheet, diagonals_are_printed);
  tcase_add_loop_test(sheet, every_joint_has_a_row, 0, N_PROJECTS);
  tcase_add_test(sheet, findings_stand_under_look_out);
  tcase_add_test(sheet, mix_ups_are_listed_under_one_sentence);
  tcase_add_test(sheet, how_far_a_joint_goes_in);
  tcase_add_test(sheet, slats_have_gaps_and_not_diagonals);
  tcase_add_test(sheet, a_part_is_measured_where_it_shows);
  tcase_add_test(sheet, a_chest_is_measured_where_it_shows);
  tcase_add_test(sheet, what_leans_is_measured_from_its_shoulders);
  tcase_add_test(sheet, long_lines_of_the_rehearsal_run_on);
  tcase_add_test(sheet, what_a_piece_has_not_is_not_spoken_of);
  tcase_add_test(sheet, copies_people_and_limits_are_explained);
  tcase_add_test(sheet, long_names_print);
  tcase_add_loop_test(sheet, a_draft_prints_what_is_known, 0, 2);
  tcase_add_test(sheet, the_list_is_read_at_arms_length);
  tcase_add_test(sheet, a_path_that_cannot_be_written_is_an_io_failure);
  suite_add_tcase(suite, sheet);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? 0 : 1;
}
