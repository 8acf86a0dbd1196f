/* The glue-up sheet and the facts of a stage that it tells. */
#include "sheet_probe.h"

#include <math.h>

#include "sheets/session.h"

#define CHEST "projects/lantern-chest.xml"
#define DOOR "projects/pantry-door.xml"
#define TABLE "projects/side-table.xml"
#define BOOKCASE "projects/study-bookcase.xml"
#define DRAWERS "projects/chest-of-drawers.xml"

static const char *const PROJECTS[] = {CHEST, DOOR, TABLE, BOOKCASE};
enum { N_PROJECTS = sizeof PROJECTS / sizeof *PROJECTS };

/* The file's own words, without the hard spaces. */
static char *plain_words(const char *words, char *buffer, size_t size) {
  size_t used = 0;
  for (; *words != '\0' && used + 1 < size; ++words) {
    bool hard = words[0] == '\xC2' && words[1] == '\xA0';
    buffer[used++] = hard ? ' ' : *words;
    words += hard;
  }
  buffer[used] = '\0';
  return buffer;
}

/* ---- facts ---------------------------------------------------------------------------- */

START_TEST(pot_holds_a_quarter_more_in_fives) {
  ck_assert_int_eq(gw_session_pot_grams(0.1), 5);
  ck_assert_int_eq(gw_session_pot_grams(4), 5);   /* 5.0 */
  ck_assert_int_eq(gw_session_pot_grams(4.1), 10); /* 5.1 */
  ck_assert_int_eq(gw_session_pot_grams(40), 50);
}
END_TEST

START_TEST(durations_are_rounded_up_to_minutes) {
  gw_arena *arena = gw_arena_new();
  ck_assert_ptr_nonnull(arena);
  ck_assert_str_eq(gw_session_duration(arena, 0), "0 min");
  ck_assert_str_eq(gw_session_duration(arena, 1), "1 min");
  ck_assert_str_eq(gw_session_duration(arena, 2700), "45 min");
  ck_assert_str_eq(gw_session_duration(arena, 2701), "46 min");
  ck_assert_str_eq(gw_session_duration(arena, 5400), "1 h 30 min");
  ck_assert_str_eq(gw_session_duration(arena, 86400), "24 h");
  gw_arena_free(arena);
}
END_TEST

START_TEST(clamps_that_are_lacking_are_named) {
  gw_arena *arena = gw_arena_new();
  gw_clamps sash = {.kind = "sash", .count = 4};
  gw_model model = {.units = GW_UNITS_MM, .shop = {.clamps = &sash, .n_clamps = 1}};
  gw_sheets_job job = {.model = &model};
  gw_pull pull = {.axis = GW_Z, .count = 4, .wanted = 4, .opening = 590 * GW_MM};
  ck_assert_str_eq(gw_session_clamps(&job, arena, &pull),
                   "4\xC2\xA0sash clamps opened to 590\xC2\xA0mm, bottom to top");
  pull.wanted = 6;
  ck_assert_str_eq(gw_session_clamps(&job, arena, &pull),
                   "4\xC2\xA0sash clamps opened to 590\xC2\xA0mm, bottom to top (the pressure wants "
                   "6; no\xC2\xA0more are free)");
  pull = (gw_pull){.axis = GW_X, .count = 1, .opening = 590 * GW_MM, .kind = -1};
  ck_assert_str_eq(gw_session_clamps(&job, arena, &pull),
                   "1\xC2\xA0" "clamp opened to 590\xC2\xA0mm, left to right (the shop has none so long)");
  gw_arena_free(arena);
}
END_TEST

/* Before the arrow what is moved, after it only what this join's joints are on. */
START_TEST(a_join_names_the_parts_it_meets) {
  probe p = probe_open(CHEST);
  gw_arena *arena = gw_arena_new();
  ck_assert_ptr_nonnull(arena);
  ck_assert_str_eq(gw_session_join_action(&p.sheets, arena, 1), "K\xC2\xA0\xE2\x86\x92 N (8)");
  ck_assert_int_eq(p.job.order->joins[1].n_onto, 2); /* C is there, and is not met */
  ck_assert_str_eq(gw_session_join_words(&p.sheets, arena, 1, true),
                   "Bring Back (K) to the left onto Left side (N), joint\xC2\xA0" "8");
  for (int i = 0; i < p.job.order->n_joins; ++i) {
    const gw_join *join = &p.job.order->joins[i];
    const char *moving, *onto;
    ck_assert(gw_session_join_sides(&p.sheets, arena, i, &moving, &onto));
    for (int k = 0; k < join->n_onto; ++k) {
      bool met = false;
      for (int n = 0; n < join->n_joints; ++n) {
        const gw_joint *joint = &p.job.model->joints[join->joints[n]];
        met = met || gw_joint_enters(p.job.model, joint) == join->onto[k] ||
              gw_joint_receives(p.job.model, joint) == join->onto[k];
      }
      const char *letter = gw_session_letter(&p.sheets, join->onto[k]);
      ck_assert_uint_eq(strlen(letter), 1); /* so that it can be sought in the words */
      ck_assert(met == (strstr(onto, letter) != NULL));
    }
  }
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

START_TEST(a_dry_join_says_so_where_there_is_glue) {
  probe p = probe_open(CHEST);
  gw_arena *arena = gw_arena_new();
  ck_assert_ptr_nonnull(arena);
  ck_assert_str_eq(gw_session_join_words(&p.sheets, arena, 2, true),
                   "Bring Bottom (A) to the left into C + K + N, joints\xC2\xA0" "1, 3 and\xC2\xA0" "4; no "
                   "glue here");
  ck_assert_ptr_null(strstr(gw_session_join_words(&p.sheets, arena, 2, false), "glue"));
  const char *mixed = gw_session_join_words(&p.sheets, arena, 3, true);
  ck_assert_ptr_nonnull(strstr(mixed, "; no glue in 2"));
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* The join that moves a group of that name whole, or -1. */
static int join_of_group(const probe *p, const char *name) {
  for (int i = 0; i < p->job.order->n_joins; ++i) {
    int group = gw_session_group(&p->sheets, i);
    if (group >= 0 && strcmp(p->job.model->groups[group].name, name) == 0) return i;
  }
  return -1;
}

static void expect_opening(const probe *p, gw_arena *arena, const char *group, const char *words) {
  int join = join_of_group(p, group);
  ck_assert_msg(join >= 0, "%s", group);
  ck_assert_msg(strcmp(gw_session_opening(&p->sheets, arena, join), words) == 0, "%s: %s", group,
                gw_session_opening(&p->sheets, arena, join));
}

/* Two columns of three, as they stand. */
START_TEST(a_drawer_is_told_its_opening) {
  static const char *const words[6] = {"left, bottom opening",  "left, middle opening",
                                       "left, top opening",     "right, bottom opening",
                                       "right, middle opening", "right, top opening"};
  probe p = probe_open(DRAWERS);
  gw_arena *arena = gw_arena_new();
  char name[32], plain[256];
  for (int i = 0; i < 6; ++i) {
    snprintf(name, sizeof name, "Drawer %d", i + 1);
    expect_opening(&p, arena, name, words[i]);
    int join = join_of_group(&p, name);
    ck_assert(gw_session_slides(&p.sheets, join));
    const char *line = gw_session_join_words(&p.sheets, arena, join, false);
    ck_assert_msg(strstr(plain_words(line, plain, sizeof plain), words[i]) != NULL, "%s", plain);
  }
  int plinth = join_of_group(&p, "Plinth");
  ck_assert(plinth >= 0 && !gw_session_slides(&p.sheets, plinth)); /* raised, and screwed */
  expect_opening(&p, arena, "Plinth", "");
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* One without another is told no opening; five, one above the other, are counted from the
 * top; two beside each other in one of the rows are left and right in it. */
START_TEST(openings_are_counted_in_rows) {
  gw_group groups[7] = {{.name = "A"}, {.name = "B"}, {.name = "C"}, {.name = "D"},
                        {.name = "E"}, {.name = "F"}, {.name = "G"}};
  gw_part parts[14];
  gw_box boxes[14];
  gw_join joins[7];
  int moved[7][2], none[1] = {0};
  for (int i = 0; i < 7; ++i) { /* the sixth and the seventh share the row of the first */
    bool half = i == 0 || i > 4;
    for (int k = 0; k < 2; ++k) {
      gw_len low = half ? 0 : i * 100;
      gw_len left = i == 5 ? 200 : i == 6 ? 400 : 0;
      moved[i][k] = 2 * i + k;
      parts[2 * i + k] = (gw_part){.group = i};
      boxes[2 * i + k] = (gw_box){{left + k, 0, low + k}, {left + (half ? 150 : 550), 400, low + 90}};
    }
    joins[i] = (gw_join){.moving = moved[i], .n_moving = 2, .way = {{0, 1, 0}}, .joints = none,
                         .n_joints = 1};
  }
  gw_model model = {.parts = parts, .n_parts = 14, .groups = groups, .n_groups = 7};
  gw_order order = {.joins = joins, .n_joins = 1};
  gw_fit fit = {.placed = true, .boxes = boxes};
  gw_sheets_job job = {.model = &model, .fit = &fit, .order = &order};
  gw_arena *arena = gw_arena_new();
  ck_assert_str_eq(gw_session_opening(&job, arena, 0), "");
  order.n_joins = 5;
  ck_assert_str_eq(gw_session_opening(&job, arena, 0), "bottom opening");
  ck_assert_str_eq(gw_session_opening(&job, arena, 3), "second opening from the top");
  ck_assert_str_eq(gw_session_opening(&job, arena, 1), "fourth opening from the top");
  order.n_joins = 7;
  ck_assert_str_eq(gw_session_opening(&job, arena, 4), "top opening");
  ck_assert_str_eq(gw_session_opening(&job, arena, 0), "left, bottom opening");
  ck_assert_str_eq(gw_session_opening(&job, arena, 5), "middle, bottom opening");
  ck_assert_str_eq(gw_session_opening(&job, arena, 6), "right, bottom opening");
  boxes[11].hi[GW_Z] += 50; /* reaches into the row above: no rows any more */
  ck_assert_str_eq(gw_session_opening(&job, arena, 6), "");
  joins[3].n_glued = 1;
  ck_assert(!gw_session_slides(&job, 3));
  gw_arena_free(arena);
}
END_TEST

/* The three rails of the door, each with a joint at either end. */
START_TEST(clamps_stand_on_lines_of_joints) {
  probe p = probe_open(DOOR);
  gw_arena *arena = gw_arena_new();
  const gw_stage *stage = &p.job.clock->stages[0];
  gw_clamp_line *lines;
  int count, clamps = 0;
  ck_assert_int_eq(stage->n_pulls, 1);
  ck_assert_int_eq(gw_clock_lines(p.job.model, p.job.fit, p.job.order, stage, &stage->pulls[0],
                                  arena, &lines, &count), GW_OK);
  ck_assert_int_eq(count, 3);
  for (int i = 0; i < count; ++i) {
    ck_assert_int_eq(lines[i].n_joints, 2);
    clamps += lines[i].clamps;
    for (int k = 0; k < 2; ++k) ck_assert(p.job.model->joints[lines[i].joints[k]].glued);
    ck_assert_int_eq(gw_joint_enters(p.job.model, &p.job.model->joints[lines[i].joints[0]]),
                     gw_joint_enters(p.job.model, &p.job.model->joints[lines[i].joints[1]]));
  }
  ck_assert_int_eq(clamps, stage->pulls[0].count);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* Two boxes, of which the second stage makes one: the opening between them is
 * measured then, and only then. */
START_TEST(an_opening_stands_when_its_parts_are_one_body) {
  const gw_opening opening = {.parts = {0, 2, 1, 3}};
  const int apart[4] = {0, 0, 2, 2}, one[4] = {3, 3, 3, 3};
  ck_assert(!gw_square_stands(&opening, apart));
  ck_assert(gw_square_stands(&opening, one));
  const gw_frame frame = {.posts = {0, 1}, .rails = {2, -1}};
  const int railed[4] = {1, 1, 1, 9}, loose[4] = {1, 1, 2, 9};
  ck_assert(gw_square_frame_stands(&frame, railed));
  ck_assert(!gw_square_frame_stands(&frame, loose));
}
END_TEST

/* A made-up stage of two joins: the first wet from 0 to 100, the second from
 * 150 to 250; open time 200. */
typedef struct made_up {
  gw_glue_use use;
  gw_clock clock;
  gw_join joins[2];
  gw_order order;
  gw_step steps[4];
  gw_stage stage;
  gw_sheets_job job;
} made_up;

static void make_up(made_up *m) {
  *m = (made_up){
      .use = {.open_s = 200, .closed_s = 60},
      .joins = {{.n_glued = 1}, {.n_glued = 1}},
      .steps = {{.action = GW_SPREAD, .start_s = 0, .end_s = 80, .join = 0},
                {.action = GW_BRING, .start_s = 80, .end_s = 100, .join = 0, .joint = -1},
                {.action = GW_SPREAD, .start_s = 150, .end_s = 230, .join = 1},
                {.action = GW_BRING, .start_s = 230, .end_s = 250, .join = 1, .joint = -1}}};
  m->clock = (gw_clock){.uses = &m->use};
  m->order = (gw_order){.joins = m->joins, .n_joins = 2};
  m->stage = (gw_stage){.glue = 0, .steps = m->steps, .n_steps = 4, .pull_apart_s = 350};
  m->job = (gw_sheets_job){.order = &m->order, .clock = &m->clock};
}

START_TEST(open_time_runs_out_from_spread_to_joined) {
  made_up m;
  make_up(&m);
  const struct { int t; bool closing; double used; } rows[] = {
      {0, false, 0}, {50, false, 0.25}, {80, true, 0.4}, {100, true, 0.5}, {100, false, 0},
      {120, false, 0}, {150, false, 0}, {250, true, 0.5}, {250, false, 0}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i)
    ck_assert_double_eq_tol(gw_session_open_used(&m.job, &m.stage, rows[i].t, rows[i].closing),
                            rows[i].used, 1e-12);
  m.steps[3].end_s = 400; /* too late: more than all of it */
  ck_assert_double_eq_tol(gw_session_open_used(&m.job, &m.stage, 400, true), 1.25, 1e-12);
}
END_TEST

START_TEST(pulling_apart_ends_when_the_first_joint_holds) {
  made_up m;
  make_up(&m);
  ck_assert_int_eq(gw_session_grab(&m.job, &m.stage), 160);
  ck_assert_int_eq(gw_session_pull_apart(&m.job, &m.stage), 160);
  m.stage.pull_apart_s = 140;
  ck_assert_int_eq(gw_session_pull_apart(&m.job, &m.stage), 140);
  m.joins[0].n_glued = 0; /* a dry join holds nothing */
  ck_assert_int_eq(gw_session_grab(&m.job, &m.stage), 310);
  m.stage.glue = -1;
  ck_assert_int_eq(gw_session_grab(&m.job, &m.stage), -1);
}
END_TEST

/* Over all stages each part is laid out once as itself. */
START_TEST(each_part_is_laid_out_once) {
  probe p = probe_open(PROJECTS[_i]);
  int *seen = calloc((size_t)p.job.model->n_parts, sizeof *seen), count;
  ck_assert_ptr_nonnull(seen);
  for (int i = 0; i < p.job.clock->n_stages; ++i) {
    gw_needed needed[200];
    ck_assert_int_le(p.job.clock->stages[i].n_joins, 100);
    size_t n = gw_session_needs(&p.sheets, i, needed);
    for (size_t k = 0; k < n; ++k) {
      if (needed[k].part >= 0) ++seen[needed[k].part];
      else ck_assert_int_lt(needed[k].stage, i);
      const int *parts = gw_session_parts_of(&p.sheets, &needed[k], &count);
      ck_assert_ptr_nonnull(parts);
      ck_assert_int_ge(count, needed[k].part >= 0 ? 1 : 2);
    }
  }
  for (int i = 0; i < p.job.model->n_parts; ++i) ck_assert_int_eq(seen[i], 1);
  free(seen);
  probe_close(&p);
}
END_TEST

/* ---- the sheet ------------------------------------------------------------------------ */

static void check_sheet(const probe *p) {
  probe_print(p, gw_sheets_glue_up);
  probe_check_file(p);
  probe_check_words(p);
  probe_check_names(p);
  probe_check_same_twice(p, gw_sheets_glue_up);
}

START_TEST(every_project_prints) {
  probe p = probe_open(PROJECTS[_i / 2]);
  p.sheets.paper = _i % 2 ? GW_PAPER_LETTER : GW_PAPER_A4;
  check_sheet(&p);
  probe_close(&p);
}
END_TEST

START_TEST(inches_print) {
  probe p = probe_open(CHEST);
  p.job.model->units = GW_UNITS_INCH;
  check_sheet(&p);
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

/* Each line's times, as the clock has them. */
START_TEST(every_time_is_printed) {
  probe p = probe_open(PROJECTS[_i]);
  probe_print(&p, gw_sheets_glue_up);
  char *text = probe_text(&p), time[GW_TIME_TEXT], words[64];
  for (int i = 0; i < p.job.clock->n_stages; ++i) {
    const gw_stage *stage = &p.job.clock->stages[i];
    if (stage->glue < 0) continue;
    for (int k = 0; k < stage->n_steps; ++k) {
      snprintf(words, sizeof words, "T+%s",
               gw_time_text(stage->steps[k].start_s, time, sizeof time));
      ck_assert_msg(probe_says(text, words), "%s", words);
      if (stage->steps[k].stop_by_s < 0) continue;
      snprintf(words, sizeof words, "T+%s",
               gw_time_text(stage->steps[k].stop_by_s, time, sizeof time));
      ck_assert_msg(probe_says(text, words), "%s", words);
    }
    snprintf(words, sizeof words, "pull it apart: T+%s",
             gw_time_text(gw_session_pull_apart(&p.sheets, stage), time, sizeof time));
    ck_assert_msg(probe_says(text, words), "%s", words);
  }
  free(text);
  probe_close(&p);
}
END_TEST

/* 16 minutes of arc at 1.5 m are capitals of 6.981 mm (NUREG-0700 Rev 2,
 * 1.3.1-4, H = 6.283 D MA / 21600), at 0.7 m 3.258 mm. */
START_TEST(the_wall_is_read_from_a_metre_and_a_half) {
  probe p = probe_open(CHEST);
  probe_print(&p, gw_sheets_glue_up);
  ck_assert_double_ge(probe_ink_height(&p, "GLUE", 1), 6.9); /* the first is in a sentence */
  ck_assert_double_le(probe_ink_height(&p, "GLUE", 1), 7.6);
  ck_assert_double_ge(probe_ink_height(&p, "SQUARE", 0), 6.9);
  ck_assert_double_ge(probe_ink_height(&p, "T+", 0), 3.1);
  ck_assert_double_le(probe_ink_height(&p, "T+", 0), 3.6);
  probe_close(&p);
}
END_TEST

/* The spread lines of a join and the line that brings it together share a page
 * when a page can hold them. */
START_TEST(a_join_stays_on_one_page) {
  probe p = probe_open(DOOR);
  probe_print(&p, gw_sheets_glue_up);
  const gw_stage *stage = &p.job.clock->stages[0];
  probe_words words = probe_words_of(&p);
  int pages[100] = {0};
  ck_assert_int_le(stage->n_steps, 99);
  for (size_t i = 0; i < words.count; ++i) { /* line numbers end 31 mm from the edge */
    char *end;
    long line = strtol(words.items[i].text, &end, 10);
    bool number = *end == '\0' && fabs(words.items[i].x1 - 31 * 72 / 25.4) < 1;
    if (number && line > 0 && line <= stage->n_steps) pages[line] = words.items[i].page;
  }
  int first = pages[1], last = pages[stage->n_steps];
  ck_assert_int_gt(first, 0);
  ck_assert_int_gt(last, first); /* so there is a break to look at */
  for (int i = 0; i + 1 < stage->n_steps; ++i) {
    ck_assert_int_gt(pages[i + 2], 0);
    if (stage->steps[i].action == GW_SPREAD) ck_assert_int_eq(pages[i + 1], pages[i + 2]);
  }
  free(words.items);
  probe_close(&p);
}
END_TEST

START_TEST(typical_figures_are_named_as_such) {
  probe p = probe_open(TABLE); /* its glue has no figures of its own */
  probe_print(&p, gw_sheets_glue_up);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, GW_GLUE_TYPICAL));
  ck_assert(!probe_says(text, "from the project file"));
  free(text);
  probe_close(&p);
  p = probe_open(CHEST);
  probe_print(&p, gw_sheets_glue_up);
  text = probe_text(&p);
  ck_assert(probe_says(text, "Open time: 10 min from the project file, times 1.26 for the air in the shop"));
  ck_assert(probe_says(text, "The glue's time to full strength and grams: " GW_GLUE_TYPICAL));
  ck_assert(probe_says(text, "safety data sheet"));
  ck_assert(probe_says(text, "is a planning figure (common practice, no source)"));
  ck_assert(probe_says(text, p.job.clock->uses[0].kind->cautions));
  free(text);
  probe_close(&p);
}
END_TEST

START_TEST(a_margin_that_is_too_small_is_called_so) {
  probe p = probe_open(CHEST);
  probe_print(&p, gw_sheets_glue_up);
  char *text = probe_text(&p);
  ck_assert(!probe_says(text, "TOO TIGHT"));
  free(text);
  gw_stage *stage = &p.job.clock->stages[0];
  stage->margin_pm = 249; /* 25 % are asked for */
  for (int i = 0; i < stage->n_steps; ++i) stage->steps[i].source = GW_REHEARSED;
  probe_print(&p, gw_sheets_glue_up);
  text = probe_text(&p);
  ck_assert(probe_says(text, "a margin of 24 % (25 % asked for). THIS PLAN IS TOO TIGHT"));
  ck_assert(probe_says(text, "is your own figure, or from your rehearsal"));
  ck_assert(!probe_says(text, "planning figure"));
  free(text);
  probe_close(&p);
}
END_TEST

/* PVA wants one face spread, liquid hide glue both (glues.c). */
START_TEST(glue_on_both_faces_only_where_the_glue_wants_it) {
  const char *const paths[2] = {CHEST, TABLE};
  for (int i = 0; i < 2; ++i) {
    probe p = probe_open(paths[i]);
    ck_assert_int_eq(p.job.clock->uses[0].kind->faces.value, i + 1);
    probe_print(&p, gw_sheets_glue_up);
    char *text = probe_text(&p);
    ck_assert(probe_says(text, "glue on both") == (i == 1));
    free(text);
    probe_close(&p);
  }
}
END_TEST

/* Words that a piece's sheet must have, or must not have. */
static void check_says(const char *path, const char *const *with, const char *const *without) {
  probe p = probe_open(path);
  probe_print(&p, gw_sheets_glue_up);
  char *text = probe_text(&p);
  for (; *with != NULL; ++with) ck_assert_msg(probe_says(text, *with), "%s: %s", path, *with);
  for (; *without != NULL; ++without)
    ck_assert_msg(!probe_says(text, *without), "%s: %s", path, *without);
  free(text);
  probe_close(&p);
}
#define WORDS(...) (const char *const[]){__VA_ARGS__, NULL}

START_TEST(without_clamps_there_is_no_word_of_them) {
  check_says(CHEST,
             WORDS("All is closed at T+10:54", "Leave it alone for 57 min", "last joint home",
                   "hands off till", "with mallet and block: they want no clamp"),
             WORDS("All is clamped", "In clamps for", "last clamp", "Clamps hold", "CLAMPS", "cauls",
                   "out of its clamps"));
  check_says(DOOR, WORDS("All is clamped at", "In clamps for", "last clamp on", "Clamps hold",
                         "CLAMPS: 3", "one along each of F, AA and A", "6 cauls 20 mm thick"),
             WORDS("Leave it alone", "133 CLAMPS"));
  check_says("projects/bench-top.xml", /* more than the lines want, for the force */
             WORDS("19 bar clamps", "19 side by side, each over joints 2, 3, 1, 4 and 5; then"), WORDS("beside them"));
  check_says(BOOKCASE, WORDS("8 bar clamps", "AC, the other 3 beside them"), WORDS("8 along"));
}
END_TEST

/* 720 x 380 inside, 768 x 405 over all: sqrt(720^2 + 380^2) = 814.12. */
START_TEST(diagonals_are_told_where_the_stage_completes_them) {
  check_says(CHEST, WORDS("compare the diagonals: over the outer corners 868.3",
                          "inside N, F, C and K 814.1", "(may differ by 1"),
             WORDS("try the corners"));
  check_says("tests/pieces/plant-stand.xml",
             WORDS("pull level: 10.0\xC2\xB0 left to right, one of each two", "then see that every joint is closed all round"),
             WORDS("diagonals", "tape measure"));
  check_says("projects/bed-head.xml",
             WORDS("measure the gaps as in the dry fit, and try the corners with a square",
                   "Every joint home; then compare the diagonals"),
             WORDS("inside K, AC"));
  check_says("projects/chest-of-drawers.xml",
             WORDS("the others as in the dry fit", "parts that are together, AF among them"),
             WORDS("inside AF, ", "RK, NR, AFR, AF, NC"));
}
END_TEST

START_TEST(the_list_is_explained_by_its_own_lines) {
  check_says(CHEST,
             WORDS("GLUE 5: spread joint 5, one of its two faces. N \xE2\x86\x92 C (5): bring N onto "
                   "C, so that joint 5 closes.", "Before T+15:00: knock it apart",
                   "From T+15:00 the joint closed first holds", "55 % humidity"),
             WORDS("P1", "F \xE2\x86\x92 C + K (2, 7)", "JOIN", "damp", "o'clock", "own model"));
  check_says(TABLE, WORDS("both its faces", "One person.", "The dark wedge and the open time: see stage 1"),
             WORDS("JOIN", "P1"));
  check_says(DOOR, WORDS("P1 and P2 are the two people", "bring F into N, so that joint 8 closes"),
             WORDS("One person"));
}
END_TEST

/* An id in a group is no word of a sentence, wherever it stands; one without may be. */
START_TEST(ids_of_parts_become_names) {
  probe p = probe_open(DRAWERS);
  gw_arena *arena = gw_arena_new();
  gw_findings *findings = gw_findings_new("chest.xml");
  ck_assert_ptr_nonnull(findings);
  ck_assert_int_eq(gw_find(findings, GW_NOTE, "end-grain", 1,
                           "the mitre of plinth.left and its mate on plinth.front are glued to the "
                           "left, as (plinth.front) is; left's mate on left"), GW_OK);
  static const char *const ids[] = {"plinth.left", "plinth.front", "left"};
  for (int i = 0; i < 3; ++i) {
    int part = 0;
    while (strcmp(p.job.model->parts[part].id, ids[i]) != 0) ++part;
    ck_assert_int_eq(gw_find_part(findings, part), GW_OK);
  }
  ck_assert_str_eq(gw_session_finding(&p.sheets, arena, gw_findings_at(findings, 0)),
                   "The mitre of Plinth left (AC) and its mate on Plinth front (C) are glued to the "
                   "left, as (Plinth front (C)) is; left's mate on Left side (RK)");
  gw_findings_free(findings);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* What the next stage waits for may be another one than this: it is named, and no time is
 * counted from here for its sake. */
START_TEST(the_next_stage_waits_for_what_it_takes_up) {
  check_says(DRAWERS,
             WORDS("Next: stage 2 can begin at once; it does not take up this one.",
                   "Next: stage 8 when stage 1 is out of its clamps; the hour is in the last box of "
                   "that stage.", "Next: stage 9, dry, when the clamps are off."),
             WORDS("not before 5 h", "after the last joint is home"));
}
END_TEST

/* The captions of a row in one form: with the joints only where that fits for all. */
START_TEST(a_picture_of_a_drawer_names_it) {
  check_says(DRAWERS,
             WORDS("Line 2: Drawer 2, left, middle opening", "Line 21: AAN \xE2\x86\x92 AAR + ACA",
                   "Line 12: KA \xE2\x86\x92 KC + KF", "Stage 2 of 16: Drawer 1",
                   "Drawer 1 from stage 2: AR, CN, CA and FA",
                   "to the front into AR + CN + CA + FA", "holds from T+18:36"),
             WORDS("pull apart by", "Line 21: joints", "Line 12: KA \xE2\x86\x92 KC + KF (47"));
}
END_TEST

START_TEST(glass_is_laid_in_by_hand) {
  check_says("projects/gallery-frame.xml",
             WORDS("Lay glass in by hand: no mallet near it", "Every joint home, by hand.",
                   "The keys of joints 1, 8, 2 and 7, as you cut them, are sawn in and glued",
                   "the hour is in the last box of its stage"),
             WORDS("long enough", "out of its clamps: nothing"));
  check_says(BOOKCASE, WORDS("Every joint home.", "whatever is to hold it"), WORDS("glass"));
}
END_TEST

/* Legs 7 and 5 degrees out of plumb: atan(hypot(tan 7, tan 5)) = 8.57. */
START_TEST(clamps_along_legs_want_tapered_cauls) {
  check_says("projects/ringers-stool.xml",
             WORDS("pull level: 7.0\xC2\xB0 left to right, 5.0\xC2\xB0 front to back",
                   "tapered 8.6\xC2\xB0 on top and under the feet"),
             WORDS("to back, 5.0\xC2\xB0"));
}
END_TEST

START_TEST(copies_are_glued_one_by_one) {
  check_says("tests/pieces/wharf-stool-inch.xml",
             WORDS("2 of these are made, each glued by itself. This is copy"), WORDS("3 of these"));
  check_says(CHEST, WORDS("On the bench"), WORDS("This is copy"));
}
END_TEST

/* What does not fit beside its times is not set smaller: the arrows of all joins
 * are as large as a GLUE of the same page. */
START_TEST(long_joins_keep_the_type_of_the_wall) {
  probe p = probe_open(DOOR);
  probe_print(&p, gw_sheets_glue_up);
  probe_words words = probe_words_of(&p);
  int page = 0, arrows = 0;
  double high = 0;
  for (size_t i = 0; i < words.count; ++i) {
    const probe_word *w = &words.items[i];
    if (strcmp(w->text, "GLUE") == 0 && w->y1 - w->y0 > 30) { /* not the one in a sentence */
      page = w->page;
      high = w->y1 - w->y0;
    }
    if (w->page != page || strcmp(w->text, "\xE2\x86\x92") != 0) continue;
    ck_assert_double_eq_tol(w->y1 - w->y0, high, 0.1);
    ++arrows;
  }
  ck_assert_int_eq(arrows, p.job.order->n_joins);
  free(words.items);
  probe_close(&p);
}
END_TEST

START_TEST(without_an_order_it_says_so) {
  probe p = probe_open(CHEST);
  p.sheets.order = NULL;
  p.sheets.clock = NULL;
  p.sheets.draft = true;
  probe_print(&p, gw_sheets_glue_up);
  probe_check_file(&p);
  probe_check_words(&p);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, GW_DRAFT_WORDS));
  ck_assert(probe_says(text, "There is no order of gluing"));
  free(text);
  probe_close(&p);
}
END_TEST

START_TEST(a_path_that_cannot_be_written_is_an_io_failure) {
  probe p = probe_open(CHEST);
  gw_error err = {GW_OK, ""};
  ck_assert_int_eq(gw_sheets_glue_up(&p.sheets, "/no/such/folder/x.pdf", &err), GW_IO);
  ck_assert_uint_gt(strlen(err.words), 0);
  probe_close(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("glue-up");
  TCase *facts = tcase_create("facts");
  tcase_add_test(facts, pot_holds_a_quarter_more_in_fives);
  tcase_add_test(facts, durations_are_rounded_up_to_minutes);
  tcase_add_test(facts, clamps_that_are_lacking_are_named);
  tcase_add_test(facts, a_join_names_the_parts_it_meets);
  tcase_add_test(facts, a_dry_join_says_so_where_there_is_glue);
  tcase_add_test(facts, a_drawer_is_told_its_opening);
  tcase_add_test(facts, openings_are_counted_in_rows);
  tcase_add_test(facts, ids_of_parts_become_names);
  tcase_add_test(facts, clamps_stand_on_lines_of_joints);
  tcase_add_test(facts, an_opening_stands_when_its_parts_are_one_body);
  tcase_add_test(facts, open_time_runs_out_from_spread_to_joined);
  tcase_add_test(facts, pulling_apart_ends_when_the_first_joint_holds);
  tcase_add_loop_test(facts, each_part_is_laid_out_once, 0, N_PROJECTS);
  tcase_set_timeout(facts, 60);
  suite_add_tcase(suite, facts);
  TCase *sheet = tcase_create("sheet");
  tcase_set_timeout(sheet, 120);
  tcase_add_loop_test(sheet, every_project_prints, 0, 2 * N_PROJECTS);
  tcase_add_test(sheet, inches_print);
  tcase_add_test(sheet, long_names_print);
  tcase_add_loop_test(sheet, every_time_is_printed, 0, N_PROJECTS);
  tcase_add_test(sheet, the_wall_is_read_from_a_metre_and_a_half);
  tcase_add_test(sheet, a_join_stays_on_one_page);
  tcase_add_test(sheet, typical_figures_are_named_as_such);
  tcase_add_test(sheet, a_margin_that_is_too_small_is_called_so);
  tcase_add_test(sheet, glue_on_both_faces_only_where_the_glue_wants_it);
  tcase_add_test(sheet, without_clamps_there_is_no_word_of_them);
  tcase_add_test(sheet, diagonals_are_told_where_the_stage_completes_them);
  tcase_add_test(sheet, the_list_is_explained_by_its_own_lines);
  tcase_add_test(sheet, the_next_stage_waits_for_what_it_takes_up);
  tcase_add_test(sheet, a_picture_of_a_drawer_names_it);
  tcase_add_test(sheet, glass_is_laid_in_by_hand);
  tcase_add_test(sheet, clamps_along_legs_want_tapered_cauls);
  tcase_add_test(sheet, copies_are_glued_one_by_one);
  tcase_add_test(sheet, long_joins_keep_the_type_of_the_wall);
  tcase_add_test(sheet, without_an_order_it_says_so);
  tcase_add_test(sheet, a_path_that_cannot_be_written_is_an_io_failure);
  suite_add_tcase(suite, sheet);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? 0 : 1;
}
