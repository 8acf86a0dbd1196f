/* Layouts at full scale and the rows of settings, judged by what is on the paper. */
#include <math.h>

#include "sheet_probe.h"
#include "sheets/markout_inner.h"
#include "sheets/picture_inner.h"

#define CHEST "projects/lantern-chest.xml"
#define DOOR "projects/pantry-door.xml"
#define MM_PT (25.4 / 72)

/* The word that is this text and nothing else, or NULL; from this page on. */
static const probe_word *word_of(const probe_words *words, const char *text, int page) {
  for (size_t i = 0; i < words->count; ++i)
    if (words->items[i].page >= page && strcmp(words->items[i].text, text) == 0)
      return &words->items[i];
  return NULL;
}

static bool says(const probe *p, const char *words) {
  char *text = probe_text(p);
  bool found = probe_says(text, words);
  free(text);
  return found;
}

/* Seven tails on boards of 380 are longer than the paper: of each tail all four
 * distances stand there, at the place where they are. */
START_TEST(long_tails_in_two_strips) {
  static const gw_paper papers[2] = {GW_PAPER_A4, GW_PAPER_LETTER};
  probe p = probe_open(CHEST);
  const gw_model *m = p.job.model;
  p.sheets.paper = papers[_i];
  probe_print(&p, gw_sheets_mark_out);
  ck_assert(says(&p, "7 tails") && !says(&p, "Longer than the paper"));
  int joint = 0, found = 0;
  while (m->joints[joint].kind != GW_THROUGH_DOVETAIL) ++joint;
  probe_words words = probe_words_of(&p);
  const probe_word *last[2] = {NULL, NULL};
  double before[2] = {0, 0};
  for (int k = 0; k < 7; ++k) {
    /* From the face edge, which is up: the last tail first. */
    gw_tail t = gw_tails_at(m, p.job.fit, joint, 6 - k);
    const gw_len whole = 380 * GW_MM;
    const gw_len at[2][2] = {{whole - t.end_hi, whole - t.end_lo},
                             {whole - t.base_hi, whole - t.base_lo}};
    for (int column = 0; column < 2; ++column)
      for (int i = 0; i < 2; ++i) {
        char figure[48];
        const probe_word *w =
            word_of(&words, gw_figure_words(&p.sheets, at[column][i], figure, sizeof figure), 2);
        ck_assert_msg(w != NULL, "tail %d: no %s", k, figure);
        double down = gw_len_mm(at[column][i]);
        /* Within a strip they stand as far apart as they say. */
        if (last[column] != NULL && w->y0 > last[column]->y0)
          ck_assert_double_eq_tol((w->y0 - last[column]->y0) * MM_PT, down - before[column], 0.3);
        last[column] = w;
        before[column] = down;
        ++found;
      }
  }
  ck_assert_int_eq(found, 28);
  free(words.items);
  probe_close(&p);
}
END_TEST

/* What no two strips hold says so, and gives all distances in words. */
START_TEST(what_is_longer_says_so) {
  probe p = probe_open_changed(CHEST, "s/width=\"380\"/width=\"1500\"/");
  probe_print(&p, gw_sheets_mark_out);
  ck_assert(says(&p, "Longer than the paper"));
  probe_check_words(&p);
  probe_close(&p);
}
END_TEST

/* The board's end is drawn as it is: from its edge, six before the first tail. */
START_TEST(figures_from_the_edge) {
  probe p = probe_open("projects/side-table.xml");
  const gw_model *m = p.job.model;
  probe_print(&p, gw_sheets_mark_out);
  int seen = 0;
  for (int joint = 0; joint < m->n_joints; ++joint) {
    const gw_seating *s = &p.job.fit->seatings[joint];
    if (m->joints[joint].kind != GW_LAPPED_DOVETAIL || s->count != 1) continue;
    gw_len before = s->e[s->run].lo;
    char figure[48];
    ck_assert_int_eq(before, 6 * GW_MM);
    gw_len at = before + gw_tails_at(m, p.job.fit, joint, 0).end_lo;
    probe_words words = probe_words_of(&p);
    ck_assert(word_of(&words, gw_figure_words(&p.sheets, at, figure, sizeof figure), 1) != NULL);
    free(words.items);
    ++seen;
  }
  ck_assert_int_eq(seen, 2);
  ck_assert(says(&p, "1 tail, 20 mm long, slope 1:8 = 7.13\xC2\xB0. Figures"));
  probe_close(&p);
}
END_TEST

/* Headings on one line, in the left and in the right half. */
START_TEST(narrow_ones_side_by_side) {
  probe p = probe_open(DOOR);
  probe_print(&p, gw_sheets_mark_out);
  probe_words words = probe_words_of(&p);
  int pairs = 0;
  for (size_t i = 0; i < words.count; ++i)
    for (size_t k = 0; k < words.count; ++k) {
      const probe_word *a = &words.items[i], *b = &words.items[k];
      pairs += strcmp(a->text, "Joints") == 0 && strcmp(b->text, "Joints") == 0 &&
               a->page == b->page && fabs(a->y0 - b->y0) < 0.1 && a->x0 < words.width / 3 &&
               b->x0 > words.width / 2;
    }
  ck_assert_int_ge(pairs, 2);
  ck_assert_int_le(words.pages, 4);
  free(words.items);
  probe_close(&p);
}
END_TEST

/* Five slats are one row, not five. */
START_TEST(like_rows_are_one) {
  probe p = probe_open("projects/bed-head.xml");
  probe_print(&p, gw_sheets_mark_out);
  ck_assert(says(&p, "K N R AA AC 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 Slat: tenon, on the end"));
  ck_assert(says(&p, "on both edges, from the face side"));
  probe_close(&p);
}
END_TEST

START_TEST(nothing_to_strike) {
  probe p = probe_open("projects/bench-top.xml");
  probe_print(&p, gw_sheets_mark_out);
  ck_assert(says(&p, "No joint of this piece is struck with a setting."));
  ck_assert(says(&p, "Joints 1, 2, 3, 4 and 5 need no marking out: faces meet."));
  ck_assert(!says(&p, "Each setting") && !says(&p, "settings give all"));
  probe_close(&p);
}
END_TEST

/* A panel is struck with no setting where it goes in as it is. */
START_TEST(no_word_of_settings_that_are_none) {
  probe p = probe_open(CHEST);
  probe_print(&p, gw_sheets_mark_out);
  ck_assert(says(&p, "Goes in 6 mm, groove 8 mm deep: 2 mm room."));
  ck_assert(!says(&p, "see the settings") && !says(&p, "varies"));
  probe_close(&p);
}
END_TEST

/* End laps have one shoulder; the socket says where it is wide. */
START_TEST(laps_and_sockets) {
  probe p = probe_open("projects/coat-rack.xml");
  probe_print(&p, gw_sheets_mark_out);
  ck_assert(says(&p, "shoulder of the tail, on the far side, from both ends"));
  ck_assert(says(&p, "socket at its wider end, which is at the far edge"));
  ck_assert(says(&p, "Rule: 70 mm") && !says(&p, "from 0 mm"));
  ck_assert(!says(&p, "both sides") && !says(&p, "part itself"));
  probe_close(&p);
}
END_TEST

/* What the maker is told, piece by piece. */
START_TEST(plain_words) {
  static const struct { const char *piece, *says, *not; } cases[] = {
      {"projects/tool-tote.xml", "mortise, both ends, on both faces, from the upper end", NULL},
      {"projects/gallery-frame.xml", "keyed mitre (A to C, A to K, N to C, N to K)", "A into C"},
      {"projects/gallery-frame.xml", "The rebate goes 12 mm in from the far side.", "is cut 12 mm"},
      {"projects/side-table.xml", "outer edge of the half pin, on the end", "edge of the tail"},
      {"projects/pantry-door.xml", "down: 10 mm to the shoulder, of this 7 mm in", "down: 7 mm"},
      {"tests/pieces/plant-stand.xml", "line where A begins, on the far side, along the wood", NULL},
      {"projects/side-table.xml", "socket (end) end baseline outside left", NULL},
      {"projects/coat-rack.xml", "flanks of the tail", "flanks of the socket"},
      {"projects/ringers-stool.xml", "the lower face is the longer", "as the part stands"},
      {"tests/pieces/wharf-stool-inch.xml", "do each row on both.", "all of them"},
      /* As the figures have it: 2 7/32 less 1 25/32. */
      {"tests/pieces/wharf-stool-inch.xml", "a pin at the narrowest 7/16 in wide", "27/64"},
      {"projects/side-table.xml", "length of the tails, on the end", "on the left end"}};
  probe p = probe_open(cases[_i].piece);
  probe_print(&p, gw_sheets_mark_out);
  ck_assert_msg(says(&p, cases[_i].says), "no '%s'", cases[_i].says);
  ck_assert(cases[_i].not == NULL || !says(&p, cases[_i].not));
  probe_close(&p);
}
END_TEST

/* What has no room under another stands beside it; columns are as wide as saves lines. */
START_TEST(no_more_pages) {
  static const struct { const char *piece; gw_paper paper; int pages; } cases[] = {
      {"projects/bed-head.xml", GW_PAPER_A4, 3},
      {"projects/study-bookcase.xml", GW_PAPER_A4, 2},
      {"projects/gallery-frame.xml", GW_PAPER_LETTER, 1}};
  probe p = probe_open(cases[_i].piece);
  p.sheets.paper = cases[_i].paper;
  probe_print(&p, gw_sheets_mark_out);
  probe_words words = probe_words_of(&p);
  ck_assert_int_le(words.pages, cases[_i].pages);
  probe_check_words(&p);
  free(words.items);
  probe_close(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("layouts");
  TCase *c = tcase_create("layouts");
  tcase_set_timeout(c, 120);
  tcase_add_loop_test(c, long_tails_in_two_strips, 0, 2);
  tcase_add_test(c, what_is_longer_says_so);
  tcase_add_test(c, figures_from_the_edge);
  tcase_add_test(c, narrow_ones_side_by_side);
  tcase_add_test(c, like_rows_are_one);
  tcase_add_test(c, nothing_to_strike);
  tcase_add_test(c, no_word_of_settings_that_are_none);
  tcase_add_test(c, laps_and_sockets);
  tcase_add_loop_test(c, plain_words, 0, 12);
  tcase_add_loop_test(c, no_more_pages, 0, 3);
  suite_add_tcase(suite, c);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? 0 : 1;
}
