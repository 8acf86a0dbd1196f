/* Labels and marking out, judged by what is in the files. */
#include "pdf_ops.h"

#include <ctype.h>
#include <math.h>

#include "sheets/labels_inner.h"
#include "sheets/markout_inner.h"
#include "sheets/picture_inner.h"

#define CHEST "projects/lantern-chest.xml"
#define DOOR "projects/pantry-door.xml"
#define TABLE "projects/side-table.xml"
#define BOOKCASE "projects/study-bookcase.xml"
#define RACK "projects/coat-rack.xml"

static const char *const PROJECTS[] = {CHEST, DOOR, TABLE, BOOKCASE, RACK};
enum { N_PROJECTS = sizeof PROJECTS / sizeof *PROJECTS };

static bool all_digits(const char *text) {
  for (const char *at = text; *at != '\0'; ++at)
    if (!isdigit((unsigned char)*at)) return false;
  return text[0] != '\0';
}

/* Widths are measured in a document of the same faces. */
static gw_doc *measures(const probe *p) {
  gw_error err = {GW_OK, ""};
  gw_doc *doc = gw_sheets_open(&p->sheets, "measures", &err);
  ck_assert_ptr_nonnull(doc);
  return doc;
}

/* ---- sound pages -------------------------------------------------------------------- */

/* How far a text reaches under its baseline, in ems: capitals do not. */
static double reach_below(const char *text) {
  for (const char *at = text; *at != '\0'; ++at)
    if (!isupper((unsigned char)*at)) return 0.22;
  return 0.02;
}

/* No two texts meet: as wide as the face sets them, as high as tall letters
 * and the drop of a bar. */
static void check_apart(const ops *all, gw_doc *doc) {
  double *wide = calloc(all->count, sizeof *wide);
  ck_assert_ptr_nonnull(wide);
  for (size_t i = 0; i < all->count; ++i) {
    const op *o = &all->items[i];
    if (o->kind == OP_TEXT && strpbrk(o->text, "?>") == NULL)
      wide[i] = gw_text_width(doc, (gw_type){o->bold ? GW_FACE_BOLD : GW_FACE_REGULAR, o->h, 0},
                              o->text);
  }
  for (size_t i = 0; i < all->count; ++i)
    for (size_t k = i + 1; k < all->count && wide[i] > 0; ++k) {
      const op *a = &all->items[i], *b = &all->items[k];
      double em_a = a->h * 25.4 / 72, em_b = b->h * 25.4 / 72;
      if (b->kind != OP_TEXT || wide[k] <= 0) continue;
      if (a->page != b->page) break;
      bool beside = a->x + wide[i] <= b->x + 0.05 || b->x + wide[k] <= a->x + 0.05;
      bool under = a->y + reach_below(a->text) * em_a <= b->y - 0.74 * em_b ||
                   b->y + reach_below(b->text) * em_b <= a->y - 0.74 * em_a;
      ck_assert_msg(beside || under, "'%s' and '%s' meet on page %d", a->text, b->text,
                    a->page + 1);
    }
  free(wide);
}

/* Every joint's number is somewhere. */
static void check_joints_named(const probe *p) {
  probe_words words = probe_words_of(p);
  for (int i = 0; i < p->job.model->n_joints; ++i) {
    const char *mark = p->job.marks->joints[i].text;
    bool found = false;
    for (size_t k = 0; k < words.count && !found; ++k) {
      const char *at = words.items[k].text + strspn(words.items[k].text, "(,");
      found = strncmp(at, mark, strlen(mark)) == 0 && !isdigit((unsigned char)at[strlen(mark)]);
    }
    ck_assert_msg(found, "joint %s is not named", mark);
  }
  free(words.items);
}

static void check_sheet(probe *p, probe_print_fn *print) {
  probe_print(p, print);
  if (p->sheets.grid.columns == 0) probe_check_words(p);
  ops all = ops_of(p);
  gw_doc *doc = measures(p);
  if (!p->sheets.draft) check_apart(&all, doc);
  gw_doc_free(doc);
  ops_free(&all);
  probe_check_file(p);
  probe_check_same_twice(p, print);
}

START_TEST(sheets_are_sound) {
  probe p = probe_open(PROJECTS[_i / 2]);
  p.sheets.paper = _i % 2 ? GW_PAPER_LETTER : GW_PAPER_A4;
  check_sheet(&p, gw_sheets_labels);
  probe_check_names(&p);
  check_sheet(&p, gw_sheets_mark_out);
  check_joints_named(&p);
  probe_close(&p);
}
END_TEST

/* Long names in several scripts wrap, shrink or are cut; none leaves its label. */
START_TEST(long_names_stay_inside) {
  probe p = probe_open_changed(
      CHEST,
      "s/name=\"Front\"/name=\"Vorderst\xC3\xBC"
      "ck mit gro\xC3\x9F"
      "er "
      "F\xC3\xBCllung f\xC3\xBCr den Leuchtturm, "
      "\xCE\xA0\xCE\xB5\xCF\x81\xCE\xB9\xCE\xB3\xCF\x81\xCE\xB1\xCF\x86\xCE\xAE, "
      "\xD1\x81\xD1\x82\xD0\xBE\xD0\xBB\"/;"
      "s/name=\"Left side\"/name=\"Donaudampfschifffahrtsgesellschaftskapitaenskajuetentruhenwand"
      "stueck\"/");
  check_sheet(&p, gw_sheets_labels);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "Leuchtturm, \xCE\xA0\xCE\xB5\xCF\x81\xCE\xB9\xCE\xB3"));
  free(text);
  check_sheet(&p, gw_sheets_mark_out);
  probe_close(&p);
}
END_TEST

/* What no face can print is said once, with its numbers. */
START_TEST(missing_characters_are_told) {
  probe p = probe_open_changed(CHEST, "s/name=\"Front\"/name=\"Front \xE7\x81\xAF\xE5\x8F\xB0\"/");
  gw_error err = {GW_OK, ""};
  gw_findings *list = gw_findings_new("x");
  ck_assert_int_eq(gw_sheets_missing(&p.sheets, list, &err), GW_OK);
  ck_assert_uint_eq(gw_findings_count(list), 1);
  const gw_finding *f = gw_findings_at(list, 0);
  ck_assert_str_eq(f->code, "missing-glyph");
  ck_assert_ptr_nonnull(strstr(f->words, "U+53F0, U+706F"));
  probe_close(&p);
  p = probe_open(CHEST);
  ck_assert_int_eq(gw_sheets_missing(&p.sheets, list, &err), GW_OK);
  ck_assert_uint_eq(gw_findings_count(list), 1); /* none for ordinary names */
  gw_findings_free(list);
  probe_close(&p);
}
END_TEST

/* A piece whose loop does not close has no places: what is known is printed. */
START_TEST(a_draft_without_places) {
  probe p = probe_open_changed(CHEST, "s/length=\"732\"/length=\"742\"/");
  ck_assert(!p.job.fit->placed);
  p.sheets.draft = true;
  check_sheet(&p, gw_sheets_labels);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, GW_DRAFT_WORDS));
  free(text);
  probe_check_names(&p);
  check_sheet(&p, gw_sheets_mark_out);
  probe_close(&p);
}
END_TEST

/* Sixty parts: two sides and 58 shelves. */
static void write_shelves(const char *path) {
  FILE *out = fopen(path, "w");
  ck_assert_ptr_nonnull(out);
  fputs("<piece xmlns=\"urn:gluewright:piece:1\" version=\"1\" name=\"Pigeon holes\">"
        "<glue id=\"g\" kind=\"slow-pva\" open=\"15 min\" closed=\"20 min\" clamp=\"60 min\"/>",
        out);
  for (int side = 0; side < 2; ++side) {
    fprintf(out, "<part id=\"s%d\" name=\"Side %d\" length=\"3560\" width=\"250\" thickness=\"20\""
            " face=\"%s\" edge=\"front\">", side, side, side ? "right" : "left");
    for (int k = 0; k < 58; ++k)
      fprintf(out, "<housing id=\"h%d\" at=\"%s\" from-bottom=\"%d\" depth=\"7\"/>", k,
              side ? "left" : "right", 40 + 60 * k);
    fputs("</part>", out);
  }
  for (int k = 0; k < 58; ++k)
    fprintf(out, "<part id=\"p%d\" name=\"Shelf %d\" length=\"500\" width=\"250\" thickness=\"12\""
            " face=\"up\" edge=\"front\"><shelf-end at=\"left\" into=\"s0/h%d\"/>"
            "<shelf-end at=\"right\" into=\"s1/h%d\"/></part>", k, k + 1, k, k);
  fputs("</piece>", out);
  fclose(out);
}

START_TEST(sixty_parts) {
  probe p = probe_place();
  write_shelves(p.xml);
  gw_error err = {GW_OK, ""};
  gw_job_request request = {.path = p.xml, .depth = GW_CHECKED};
  ck_assert_int_eq(gw_job_run(&p.job, &request, &err), GW_OK);
  ck_assert_int_eq(p.job.model->n_parts, 60);
  p.sheets = (gw_sheets_job){.model = p.job.model, .fit = p.job.fit, .marks = p.job.marks,
                             .findings = p.job.findings};
  check_sheet(&p, gw_sheets_labels);
  probe_check_names(&p);
  check_sheet(&p, gw_sheets_mark_out);
  probe_close(&p);
}
END_TEST

/* More joints of one layout than a page can name: the heading runs on to the
 * next page, whole, and the drawing stays on the paper. */
START_TEST(a_heading_of_more_than_a_page) {
  probe p = probe_place();
  free(probe_run("/usr/bin/python3 tests/bench/make_piece.py fence 200 > %s", p.xml));
  gw_error err = {GW_OK, ""};
  gw_job_request request = {.path = p.xml, .depth = GW_CHECKED};
  ck_assert_int_eq(gw_job_run(&p.job, &request, &err), GW_OK);
  p.sheets = (gw_sheets_job){.model = p.job.model, .fit = p.job.fit, .marks = p.job.marks,
                             .findings = p.job.findings};
  check_sheet(&p, gw_sheets_mark_out);
  check_joints_named(&p);
  char *text = probe_text(&p);
  ck_assert(!probe_says(text, "\xE2\x80\xA6")); /* nothing is cut short */
  int apart = 0;
  for (int k = 1; k < p.job.model->n_joints; ++k) {
    char words[2 * GW_MARK_TEXT + 2];
    const gw_mark *before = &p.job.marks->joints[p.job.marks->joint_walk[k - 1]];
    const gw_mark *after = &p.job.marks->joints[p.job.marks->joint_walk[k]];
    snprintf(words, sizeof words, "%s,%s", before->text, after->text);
    apart += !probe_says(text, words);
  }
  /* Two layouts, upper rails and lower: "and" before the last of each, and where
   * the one ends; at the most two more where a page ends. */
  ck_assert_int_le(apart, 3 + 2);
  free(text);
  probe_close(&p);
}
END_TEST

/* ---- each half on its own label ----------------------------------------------------- */

/* The numbers of half labels are the only ones in bold of 13.5 points or more:
 * sketches have 13 at the most. */
static int count_large(const ops *all, const char *text) {
  int count = 0;
  for (size_t i = 0; i < all->count; ++i)
    count += all->items[i].kind == OP_TEXT && all->items[i].bold && all->items[i].h >= 13.5 &&
             strcmp(all->items[i].text, text) == 0;
  return count;
}

START_TEST(each_half_has_its_label) {
  probe p = probe_open(PROJECTS[_i % N_PROJECTS]);
  int copies = _i < N_PROJECTS ? 1 : 3;
  p.job.model->copies = copies;
  probe_print(&p, gw_sheets_labels);
  ops all = ops_of(&p);
  for (int i = 0; i < p.job.model->n_joints; ++i) {
    const char *mark = p.job.marks->joints[i].text;
    ck_assert_msg(count_large(&all, mark) == 2 * copies, "%s: %d labels", mark,
                  count_large(&all, mark));
  }
  int numbers = 0;
  for (size_t i = 0; i < all.count; ++i)
    numbers += all.items[i].kind == OP_TEXT && all.items[i].bold && all.items[i].h >= 13.5 &&
               all_digits(all.items[i].text);
  ck_assert_int_eq(numbers, 2 * copies * p.job.model->n_joints); /* and none besides */
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* Each copy's sign stands on each of its labels. */
START_TEST(copies_bear_their_signs) {
  probe p = probe_open(CHEST);
  p.job.model->copies = 6;
  probe_print(&p, gw_sheets_labels);
  ops all = ops_of(&p);
  int labels = p.job.model->n_parts + 2 * p.job.model->n_joints;
  for (int copy = 1; copy <= 6; ++copy) {
    char sign[GW_MARK_TEXT];
    int count = 0;
    ck_assert_int_eq(gw_mark_set(copy, 6, sign), GW_OK);
    for (size_t i = 0; i < all.count; ++i)
      count += all.items[i].kind == OP_TEXT && strcmp(all.items[i].text, sign) == 0;
    ck_assert_int_eq(count, labels);
  }
  ops_free(&all);
  probe_close(&p);
}
END_TEST

START_TEST(too_many_copies_are_refused) {
  probe p = probe_open(CHEST);
  gw_error err = {GW_OK, ""};
  p.job.model->copies = GW_MARK_COPIES_MAX + 1;
  ck_assert_int_eq(gw_sheets_labels(&p.sheets, p.pdf, &err), GW_TOO_LARGE);
  ck_assert_int_ne(access(p.pdf, F_OK), 0);
  probe_close(&p);
}
END_TEST

/* ---- bars --------------------------------------------------------------------------- */

static const gw_mark *mark_of(const probe *p, const char *text) {
  for (int i = 0; i < p->job.model->n_joints; ++i)
    if (strcmp(p->job.marks->joints[i].text, text) == 0) return &p->job.marks->joints[i];
  return NULL;
}

/* Marks that stand alone: on half labels and in sketches. */
static int check_lone_bars(const probe *p, const ops *all, gw_doc *doc) {
  int barred = 0;
  for (size_t i = 0; i < all->count; ++i) {
    const op *o = &all->items[i];
    if (o->kind != OP_TEXT || !o->bold || !all_digits(o->text)) continue;
    const gw_mark *mark = mark_of(p, o->text);
    ck_assert_msg(mark != NULL, "'%s' is no joint", o->text);
    double wide = gw_text_mark_width(doc, o->h, o->text);
    ck_assert_msg(ops_barred(all, o, o->x, o->x + wide) == mark->bar, "bar of %s on page %d",
                  o->text, o->page + 1);
    barred += mark->bar;
  }
  return barred;
}

/* Marks before an arrow in the list of neighbours. */
static int check_list_bars(const probe *p, const ops *all, gw_doc *doc) {
  int barred = 0;
  for (size_t i = 0; i < all->count; ++i) {
    const op *o = &all->items[i];
    const gw_type type = {o->bold ? GW_FACE_BOLD : GW_FACE_REGULAR, o->h, 0};
    if (o->kind != OP_TEXT || strchr(o->text, '>') == NULL) continue;
    for (const char *at = o->text; *at != '\0';) {
      size_t digits = strspn(at, "0123456789");
      if (digits == 0) {
        ++at;
        continue;
      }
      char number[16], before[256];
      snprintf(number, sizeof number, "%.*s", (int)digits, at);
      snprintf(before, sizeof before, "%.*s", (int)(at - o->text), o->text);
      for (char *c = before; *c != '\0'; ++c) ck_assert_int_ne(*c, '?');
      /* The arrow has the width that it has in the face. */
      char spelt[512] = "";
      for (const char *c = before; *c != '\0'; ++c)
        snprintf(spelt + strlen(spelt), 8, "%s", *c == '>' ? "\xE2\x86\x92" : (char[]){*c, 0});
      double x0 = o->x + gw_text_width(doc, type, spelt);
      const gw_mark *mark = mark_of(p, number);
      ck_assert_ptr_nonnull(mark);
      ck_assert_msg(ops_barred(all, o, x0, x0 + gw_text_width(doc, type, number)) == mark->bar,
                    "bar of %s in a list", number);
      barred += mark->bar;
      at += digits;
    }
  }
  return barred;
}

START_TEST(ambiguous_marks_carry_bars) {
  probe p = probe_open(PROJECTS[_i]);
  probe_print(&p, gw_sheets_labels);
  ops all = ops_of(&p);
  gw_doc *doc = measures(&p);
  int ambiguous = 0;
  for (int i = 0; i < p.job.model->n_joints; ++i) ambiguous += p.job.marks->joints[i].bar;
  ck_assert_int_gt(ambiguous, 0);
  /* On two half labels and in two sketches; in two lists. */
  ck_assert_int_eq(check_lone_bars(&p, &all, doc), 4 * ambiguous);
  ck_assert_int_eq(check_list_bars(&p, &all, doc), 2 * ambiguous);
  gw_doc_free(doc);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* ---- sizes and grids ---------------------------------------------------------------- */

/* Grids: ours; 3 by 7; 5 by 13, the smallest that are sold for papers. */
static const gw_label_grid GRIDS[] = {
    {0}, {.columns = 3, .rows = 7, .width = 63.5, .height = 38.1, .gap_x = 2.5},
    {.columns = 5, .rows = 13, .width = 38.1, .height = 21.2}, {.columns = 2, .rows = 7}};
enum { N_GRIDS = sizeof GRIDS / sizeof *GRIDS };

/* 20 minutes of arc at 0.7 m are 4.072 mm of capital (NUREG-0700 Rev 3,
 * 11.4.1.5-1), 16.2 points in a face with capitals of 0.712 em. */
START_TEST(letters_are_read_from_the_bench) {
  probe p = probe_open(TABLE);
  p.sheets.grid = GRIDS[_i];
  probe_print(&p, gw_sheets_labels);
  ops all = ops_of(&p);
  for (int i = 0; i < p.job.model->n_parts; ++i) {
    double most = 0;
    for (size_t k = 0; k < all.count; ++k)
      if (all.items[k].kind == OP_TEXT &&
          strcmp(all.items[k].text, p.job.marks->parts[i].text) == 0)
        most = fmax(most, all.items[k].h);
    ck_assert_msg(most >= 16.2, "%s: %.1f pt", p.job.marks->parts[i].text, most);
  }
  ops_free(&all);
  probe_close(&p);
}
END_TEST

static bool inside_one(const gw_label_grid *g, const op *o, double wide) {
  for (int i = 0; i < g->columns * g->rows; ++i) {
    gw_area c = gw_labels_cell(g, i);
    if (o->x >= c.x && o->x + wide <= c.x + c.w && o->y >= c.y && o->y <= c.y + c.h) return true;
  }
  return false;
}

/* All text but legend and footer lies inside one label. */
START_TEST(nothing_crosses_a_label) {
  probe p = probe_open(TABLE);
  p.sheets.grid = GRIDS[_i];
  probe_print(&p, gw_sheets_labels);
  ops all = ops_of(&p);
  gw_doc *doc = measures(&p);
  gw_label_grid g;
  gw_error err = {GW_OK, ""};
  ck_assert_int_eq(gw_labels_grid(&p.sheets, doc, &g, &err), GW_OK);
  size_t inside = 0;
  for (size_t i = 0; i < all.count; ++i) {
    const op *o = &all.items[i];
    if (o->kind != OP_TEXT || o->page == all.pages - 1) continue; /* the trial page */
    if (strcmp(o->text, GW_LEGEND_WORDS) == 0) continue;
    bool in_footer = fabs(o->y - gw_labels_footer_at(&g, all.height)) < 0.01;
    if (in_footer) continue;
    gw_type type = {o->bold ? GW_FACE_BOLD : GW_FACE_REGULAR, o->h, 0};
    double wide = strchr(o->text, '>') == NULL ? gw_text_width(doc, type, o->text) : 0;
    ck_assert_msg(inside_one(&g, o, wide), "'%s' crosses a label", o->text);
    ++inside;
  }
  ck_assert_uint_gt(inside, 100);
  gw_doc_free(doc);
  ops_free(&all);
  check_sheet(&p, gw_sheets_labels);
  probe_close(&p);
}
END_TEST

/* The first label is the first free one; a sheet less is used when it fits. */
START_TEST(a_part_used_sheet) {
  probe p = probe_open(CHEST);
  p.sheets.grid = GRIDS[1];
  for (int first = 1; first <= 21; first += 4) {
    p.sheets.grid.first = first;
    probe_print(&p, gw_sheets_labels);
    ops all = ops_of(&p);
    gw_doc *doc = measures(&p);
    gw_label_grid g;
    gw_error err = {GW_OK, ""};
    ck_assert_int_eq(gw_labels_grid(&p.sheets, doc, &g, &err), GW_OK);
    gw_area c = gw_labels_cell(&g, first - 1);
    const op *letter = NULL;
    for (size_t i = 0; i < all.count && letter == NULL; ++i)
      if (all.items[i].kind == OP_TEXT && all.items[i].bold && all.items[i].h >= 16)
        letter = &all.items[i];
    ck_assert_ptr_nonnull(letter);
    ck_assert(letter->x > c.x && letter->x < c.x + c.w && letter->y > c.y && letter->y < c.y + c.h);
    /* 5 parts, 16 halves four to a label (two by one of 31.75 mm: 8 labels). */
    int columns, rows;
    gw_labels_cut_up(&g, &columns, &rows);
    int labels = 5 + (16 + columns * rows - 1) / (columns * rows);
    ck_assert_int_eq(all.pages, (first - 1 + labels + 20) / 21 + 1);
    gw_doc_free(doc);
    ops_free(&all);
  }
  probe_close(&p);
}
END_TEST

START_TEST(grids_that_do_not_fit_are_refused) {
  static const gw_label_grid BAD[] = {
      {.columns = 4, .rows = 7, .width = 60, .height = 38},
      {.columns = 3, .rows = 9, .width = 60, .height = 38},
      {.columns = 3, .rows = 7, .width = 63.5, .height = 38.1, .first = 22},
      {.columns = 20, .rows = 3}, {.columns = 2000000, .rows = 2000000},
      {.columns = 2, .rows = 2, .left = -5, .width = 50, .height = 50, .gap_x = -3}};
  probe p = probe_open(CHEST);
  for (size_t i = 0; i < sizeof BAD / sizeof *BAD; ++i) {
    gw_error err = {GW_OK, ""};
    p.sheets.grid = BAD[i];
    ck_assert_msg(gw_sheets_labels(&p.sheets, p.pdf, &err) == GW_BAD_INPUT, "row %zu", i);
    ck_assert_str_ne(err.words, "");
    ck_assert_int_ne(access(p.pdf, F_OK), 0);
  }
  probe_close(&p);
}
END_TEST

/* The large numbers of a joint's halves, which are in bold of 13.5 points or more. */
static int find_numbers(const ops *all, const char *text, const op *found[2]) {
  int count = 0;
  for (size_t i = 0; i < all->count; ++i) {
    const op *o = &all->items[i];
    if (o->kind != OP_TEXT || !o->bold || o->h < 13.5 || strcmp(o->text, text) != 0) continue;
    if (count < 2) found[count] = o;
    ++count;
  }
  return count;
}

/* On plain paper the two halves of a joint stand side by side, and the numbers follow
 * each other along the rows. */
START_TEST(halves_stand_side_by_side) {
  probe p = probe_open(PROJECTS[_i]);
  probe_print(&p, gw_sheets_labels);
  ops all = ops_of(&p);
  gw_doc *doc = measures(&p);
  const op *before = NULL, *found[2] = {NULL, NULL};
  for (int k = 0; k < p.job.model->n_joints; ++k) {
    const char *text = p.job.marks->joints[p.job.marks->joint_walk[k]].text;
    ck_assert_int_eq(find_numbers(&all, text, found), 2);
    ck_assert_uint_eq(found[0]->page, found[1]->page);
    ck_assert_double_eq_tol(found[0]->y, found[1]->y, 0.01);
    double apart = found[1]->x - found[0]->x;
    ck_assert_msg(apart > 25 && apart < 50, "%s: %g mm apart", text, apart);
    if (before != NULL && before->page == found[0]->page)
      ck_assert(found[0]->y > before->y + 1 || found[0]->x > before->x);
    before = found[1];
  }
  gw_doc_free(doc);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* Small labels are set lower where that spares a sheet: the tote's ten joints go on the
 * row below its six parts. */
START_TEST(a_sheet_is_spared) {
  probe p = probe_open("projects/tool-tote.xml");
  probe_print(&p, gw_sheets_labels);
  ops all = ops_of(&p);
  ck_assert_int_eq(p.job.model->n_parts, 6);
  ck_assert_int_eq(p.job.model->n_joints, 10);
  ck_assert_int_eq(all.pages, 2); /* and the trial page */
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* What the halves meet is set in one size; their own parts are named on all or none. */
START_TEST(halves_have_one_type) {
  probe p = probe_open(PROJECTS[_i]);
  probe_print(&p, gw_sheets_labels);
  ops all = ops_of(&p);
  double size = 0;
  int meets = 0;
  for (size_t i = 0; i < all.count; ++i) {
    const op *o = &all.items[i];
    if (o->kind != OP_TEXT || strncmp(o->text, "meets ", 6) != 0) continue;
    if (size <= 0) size = o->h;
    ck_assert_double_eq_tol(o->h, size, 0.01);
    ++meets;
  }
  ck_assert_int_eq(meets, 2 * p.job.model->n_joints);
  int named = 0;
  for (int i = 0; i < p.job.model->n_halves; ++i) {
    const gw_half *half = &p.job.model->halves[i];
    char words[200];
    snprintf(words, sizeof words, ", %s", p.job.model->parts[half->part].name);
    bool found = false;
    for (size_t k = 0; k < all.count && !found; ++k) {
      const op *o = &all.items[k];
      found = o->kind == OP_TEXT && strncmp(o->text, "meets ", 6) != 0 && o->h < 12 &&
              strstr(o->text, words) != NULL;
    }
    named += found;
  }
  ck_assert(named == 0 || named == p.job.model->n_halves);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* The number of each label stands on the trial page, whatever its words cover. */
START_TEST(the_trial_page_numbers_all_labels) {
  static const int grids[] = {0, 1, 3};
  probe p = probe_open(CHEST);
  p.sheets.grid = GRIDS[grids[_i]];
  probe_print(&p, gw_sheets_labels);
  ops all = ops_of(&p);
  gw_doc *doc = measures(&p);
  gw_label_grid g;
  gw_error err = {GW_OK, ""};
  ck_assert_int_eq(gw_labels_grid(&p.sheets, doc, &g, &err), GW_OK);
  for (int k = 1; k <= g.columns * g.rows; ++k) {
    char number[16];
    gw_area cell = gw_labels_cell(&g, k - 1);
    int count = 0;
    snprintf(number, sizeof number, "%d", k);
    for (size_t i = 0; i < all.count; ++i) {
      const op *o = &all.items[i];
      count += o->kind == OP_TEXT && o->page == all.pages - 1 && strcmp(o->text, number) == 0 &&
               o->x > cell.x && o->x < cell.x + cell.w && o->y > cell.y && o->y < cell.y + cell.h;
    }
    ck_assert_msg(count == 1, "label %d", k);
  }
  gw_doc_free(doc);
  ops_free(&all);
  check_sheet(&p, gw_sheets_labels);
  probe_close(&p);
}
END_TEST

/* The trial page has the outline of each label, and 100 mm. */
START_TEST(the_trial_page_shows_the_grid) {
  probe p = probe_open(CHEST);
  p.sheets.grid = GRIDS[_i];
  probe_print(&p, gw_sheets_labels);
  ops all = ops_of(&p);
  gw_doc *doc = measures(&p);
  gw_label_grid g;
  gw_error err = {GW_OK, ""};
  ck_assert_int_eq(gw_labels_grid(&p.sheets, doc, &g, &err), GW_OK);
  int found = 0, rulers = 0;
  for (size_t i = 0; i < all.count; ++i) {
    const op *o = &all.items[i];
    if (o->kind != OP_STROKE || o->page != all.pages - 1) continue;
    rulers += fabs(o->w - 100) < 0.01 && o->h < 0.01;
    for (int k = 0; k < g.columns * g.rows; ++k) {
      gw_area c = gw_labels_cell(&g, k);
      found += fabs(o->x - c.x) < 0.01 && fabs(o->y - c.y) < 0.01 && fabs(o->w - c.w) < 0.01 &&
               fabs(o->h - c.h) < 0.01;
    }
  }
  ck_assert_int_eq(found, g.columns * g.rows);
  ck_assert_int_eq(rulers, 1);
  gw_doc_free(doc);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* ---- marking out: settings ---------------------------------------------------------- */

static int count_strikes(const gw_strikes *list, gw_tool tool, gw_len a, gw_len b) {
  int count = 0;
  for (size_t i = 0; i < list->count; ++i)
    count += list->items[i].tool == tool && list->items[i].a == a && list->items[i].b == b;
  return count;
}

/* Grooves: their depth is the plough's third setting. */
static int ploughed(const gw_strikes *list, gw_len deep) {
  int count = 0;
  for (size_t i = 0; i < list->count; ++i)
    count += list->items[i].tool == GW_TOOL_PLOUGH && list->items[i].c == deep;
  return count;
}

/* Counted by hand.  The chest: four corners, each with a baseline and a slope
 * on both halves; four grooves of one iron, fence and depth, those of the sides
 * stopped 12 mm from both ends.  The panel goes in as it is. */
START_TEST(settings_of_the_chest) {
  probe p = probe_open(CHEST);
  gw_arena *arena = gw_arena_new();
  gw_strikes list;
  ck_assert_int_eq(gw_strikes_make(&p.sheets, arena, &list), GW_OK);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_GAUGE, 20 * GW_MM, 0), 8);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_PLOUGH, 10 * GW_MM, 12 * GW_MM), 4);
  ck_assert_int_eq(ploughed(&list, 8 * GW_MM), 4);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_BEVEL, 800, 800), 8);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_RULE, 12 * GW_MM, 408 * GW_MM), 2);
  ck_assert_uint_eq(list.count, 22);
  free(list.items);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* The door: six tenons 60 long, 8 thick in the middle of 24, in mortises of
 * the same setting; mortises 61 deep.  Grooves 8 wide, 8 from the face, in
 * four rail edges and twice in each stile; the panels' tongues 8 of 14. */
START_TEST(settings_of_the_door) {
  probe p = probe_open(DOOR);
  gw_arena *arena = gw_arena_new();
  gw_strikes list;
  ck_assert_int_eq(gw_strikes_make(&p.sheets, arena, &list), GW_OK);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_GAUGE, 60 * GW_MM, 0), 6);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_MORTISE, 8 * GW_MM, 8 * GW_MM), 12);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_DEPTH, 61 * GW_MM, 61 * GW_MM), 6);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_PLOUGH, 8 * GW_MM, 8 * GW_MM), 8);
  ck_assert_int_eq(ploughed(&list, 10 * GW_MM), 8);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_MORTISE, 8 * GW_MM, 3 * GW_MM), 8);
  free(list.items);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* The table: a lapped dovetail has its tail's length on the end grain at the
 * same setting as the tail's own baseline: 40 - 20, 18 - 5. */
START_TEST(settings_of_the_table) {
  probe p = probe_open(TABLE);
  gw_arena *arena = gw_arena_new();
  gw_strikes list;
  ck_assert_int_eq(gw_strikes_make(&p.sheets, arena, &list), GW_OK);
  int ends = 0, tails = 0;
  for (size_t i = 0; i < list.count; ++i) {
    const gw_strike *s = &list.items[i];
    if (s->a != 20 * GW_MM && s->a != 13 * GW_MM) continue;
    ends += strncmp(s->words, "length of the tail", 18) == 0;
    tails += strncmp(s->words, "baseline of the tail", 20) == 0;
  }
  ck_assert_int_eq(ends, 4);
  ck_assert_int_eq(tails, 4);
  free(list.items);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* The stool: shoulders 18 from ends that are aslant, on twelve ends of aprons and stretchers by the
 * rule along the wood; on four legs that lean by 7 and 5 degrees that is 18 times the
 * root of 1 + tan2 7 + tan2 5. */
START_TEST(shoulders_of_the_stool) {
  probe p = probe_open("projects/ringers-stool.xml");
  gw_arena *arena = gw_arena_new();
  gw_strikes list;
  ck_assert_int_eq(gw_strikes_make(&p.sheets, arena, &list), GW_OK);
  int round = 0, by_gauge = 0;
  for (size_t i = 0; i < list.count; ++i) {
    bool shoulder = strncmp(list.items[i].words, "shoulder of the tenon", 21) == 0;
    round += shoulder;
    by_gauge += shoulder && list.items[i].tool == GW_TOOL_GAUGE;
  }
  ck_assert_int_eq(round, 18);
  ck_assert_int_eq(by_gauge, 0);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_RULE, 18 * GW_MM, 18 * GW_MM), 12);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_RULE, 182 * GW_MM / 10, 182 * GW_MM / 10), 4);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_RULE, 12 * GW_MM, 12 * GW_MM), 2);
  free(list.items);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

static int count_words(const gw_strikes *list, const char *words) {
  int count = 0;
  for (size_t i = 0; i < list->count; ++i) count += strstr(list->items[i].words, words) != NULL;
  return count;
}

/* The stock on the face side: a tenon's lines fall on the end and on both edges, a
 * panel edge's along an edge on both ends. */
START_TEST(lines_fall_on_edges) {
  probe p = probe_open(DOOR);
  gw_arena *arena = gw_arena_new();
  gw_strikes list;
  ck_assert_int_eq(gw_strikes_make(&p.sheets, arena, &list), GW_OK);
  ck_assert_int_eq(
      count_words(&list, "tenon, on the end and from there down to the shoulder on both edges"), 6);
  ck_assert_int_eq(
      count_words(&list,
                  "panel edge, on the end and from there down to the shoulder on both edges"),
      4);
  ck_assert_int_eq(
      count_words(&list,
                  "panel edge, on the edge and from there down to the shoulder on both ends"),
      4);
  ck_assert_int_eq(count_words(&list, "both sides"), 0);
  free(list.items);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* Tenons of the stool's legs stand upright in the seat, 22 by 14 in the middle of the
 * level section: 18 higher the leg has gone on by 18 tan 7 =
 * 2.21 and 18 tan 5 = 1.57, and no gauge line along it is the tenon's. */
START_TEST(upright_tenons_of_the_stool) {
  probe p = probe_open("projects/ringers-stool.xml");
  gw_arena *arena = gw_arena_new();
  gw_strikes list;
  ck_assert_int_eq(gw_strikes_make(&p.sheets, arena, &list), GW_OK);
  ck_assert_int_eq(count_words(&list, "tenon, upright: "), 8);
  int checked = 0;
  for (size_t i = 0; i < list.count; ++i) {
    const gw_strike *s = &list.items[i];
    if (strncmp(s->words, "tenon, upright: ", 16) != 0) continue;
    ck_assert_int_eq(s->tool, GW_TOOL_RULE);
    double from = gw_len_mm(s->a), wide = gw_len_mm(s->b - s->a);
    bool narrow = fabs(wide - 14) < 0.11;
    ck_assert(narrow || fabs(wide - 22) < 0.11);
    const gw_box *box = &p.job.fit->boxes[s->part];
    double shoulder = (gw_len_mm(box->hi[narrow] - box->lo[narrow]) - (narrow ? 14 : 22)) / 2;
    ck_assert_msg(fabs(from - (shoulder - 18 * tan((narrow ? 5 : 7) * acos(-1) / 180))) < 0.15,
                  "%s: %g from %s, at the shoulder %g", s->words, from, s->from, shoulder);
    ++checked;
  }
  ck_assert_int_eq(checked, 8);
  free(list.items);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* The cleat's left side follows the stand, which leans to the right going up. */
START_TEST(side_against_what_leans) {
  probe p = probe_open("tests/pieces/plant-stand.xml");
  gw_arena *arena = gw_arena_new();
  gw_strikes list;
  ck_assert_int_eq(gw_strikes_make(&p.sheets, arena, &list), GW_OK);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_LEAN, 1000, 1000), 2); /* and the side's ends */
  int tapers = 0;
  for (size_t i = 0; i < list.count; ++i)
    tapers +=
        strcmp(list.items[i].words, "the far side, planed to lie against what leans: the wood is "
                                    "thicker towards its lower edge") == 0;
  ck_assert_int_eq(tapers, 1);
  free(list.items);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* The rack: six halvings, each with a floor on both parts at 14; four of them
 * dovetailed, the flanks of their sockets struck from the tails.  Two posts are 70 wide: so far go the tails. */
START_TEST(settings_of_the_rack) {
  probe p = probe_open(RACK);
  gw_arena *arena = gw_arena_new();
  gw_strikes list;
  ck_assert_int_eq(gw_strikes_make(&p.sheets, arena, &list), GW_OK);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_GAUGE, 14 * GW_MM, 0), 12);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_BEVEL, 800, 800), 4);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_RULE, 70 * GW_MM, 70 * GW_MM), 4);
  ck_assert_int_eq(count_strikes(&list, GW_TOOL_RULE, 0, 70 * GW_MM), 0);
  int sockets = 0;
  for (size_t i = 0; i < list.count; ++i)
    sockets += strncmp(list.items[i].words, "socket at its wider end", 23) == 0;
  ck_assert_int_eq(sockets, 4);
  free(list.items);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* One setting stands once: equal ones lie side by side, and on the paper each
 * has one box to tick. */
START_TEST(a_setting_stands_once) {
  probe p = probe_open(PROJECTS[_i]);
  gw_arena *arena = gw_arena_new();
  gw_strikes list;
  ck_assert_int_eq(gw_strikes_make(&p.sheets, arena, &list), GW_OK);
  int settings = 0, boxes = 0;
  for (size_t i = 0; i < list.count; ++i) {
    if (i > 0 && gw_strikes_same_setting(&list.items[i - 1], &list.items[i])) continue;
    ++settings;
    for (size_t k = 0; k < i; ++k)
      ck_assert(!gw_strikes_same_setting(&list.items[k], &list.items[i]));
  }
  probe_print(&p, gw_sheets_mark_out);
  ops all = ops_of(&p);
  for (size_t i = 0; i < all.count; ++i) {
    const op *o = &all.items[i];
    boxes += o->kind == OP_STROKE && fabs(o->w - o->h) < 0.01 && o->w > 3 && o->w < 6 &&
             fabs(o->pen - 0.4) < 0.01;
  }
  /* One that runs on over a page has its box there too. */
  char *text = probe_text(&p);
  for (const char *at = text; (at = strstr(at, ", continued")) != NULL; ++at) ++settings;
  free(text);
  ck_assert_int_eq(boxes, settings);
  ops_free(&all);
  free(list.items);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* Angles of slopes: atan(1 / n), computed independently. */
START_TEST(slopes_in_degrees) {
  static const struct { int n; double degrees; } ROWS[] = {
      {4, 14.0362}, {5, 11.3099}, {6, 9.4623}, {7, 8.1301}, {8, 7.1250}, {9, 6.3402}, {10, 5.7106}};
  for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; ++i) {
    char words[48];
    double n, degrees;
    gw_slope_words(ROWS[i].n * 100, words, sizeof words);
    ck_assert_int_eq(sscanf(words, "1:%lf = %lf", &n, &degrees), 2);
    ck_assert_double_eq(n, ROWS[i].n);
    ck_assert_double_eq_tol(degrees, ROWS[i].degrees, 0.00501);
  }
}
END_TEST

/* ---- marking out: full scale -------------------------------------------------------- */

/* The drawer's back corners (three tails 10 long over 64): each gap between
 * the tails is a fill; measured in the file against the layout. */
START_TEST(tails_are_drawn_at_full_scale) {
  probe p = probe_open(TABLE);
  p.sheets.paper = _i ? GW_PAPER_LETTER : GW_PAPER_A4;
  probe_print(&p, gw_sheets_mark_out);
  ops all = ops_of(&p);
  const gw_model *m = p.job.model;
  int joint = -1;
  for (int i = 0; i < m->n_joints; ++i)
    if (m->joints[i].kind == GW_THROUGH_DOVETAIL) joint = i;
  ck_assert_int_ge(joint, 0);
  const gw_seating *s = &p.job.fit->seatings[joint];
  ck_assert_int_eq(s->count, 3);
  gw_tail t[3];
  for (int k = 0; k < 3; ++k) t[k] = gw_tails_at(m, p.job.fit, joint, k);
  double wide[3] = {gw_len_mm(t[1].base_lo - t[0].base_hi), gw_len_mm(t[2].base_lo - t[1].base_hi),
                    gw_len_mm(t[0].end_hi - t[0].end_lo)};
  int gaps = 0, sockets = 0;
  double first = -1, second = -1;
  for (size_t i = 0; i < all.count; ++i) {
    const op *o = &all.items[i];
    if (o->kind != OP_FILL || fabs(o->w - 10) > 0.02) continue; /* 10 mm long */
    if (fabs(o->h - wide[0]) < 0.02) {
      if (gaps == 0) first = o->y;
      if (gaps == 1) second = o->y;
      ++gaps;
    }
    sockets += fabs(o->h - wide[2]) < 0.02;
  }
  ck_assert_int_eq(gaps, 2);
  ck_assert_int_eq(sockets, 3);
  ck_assert_double_eq_tol(second - first, gw_len_mm(t[1].base_hi - t[0].base_hi), 0.02);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* Mortises of the door: 8 wide and 70, 90 and 110 long, each drawn so. */
START_TEST(mortises_are_drawn_at_full_scale) {
  probe p = probe_open(DOOR);
  probe_print(&p, gw_sheets_mark_out);
  ops all = ops_of(&p);
  static const double LONG[] = {70, 90, 110};
  for (int k = 0; k < 3; ++k) {
    int found = 0;
    for (size_t i = 0; i < all.count; ++i) {
      const op *o = &all.items[i];
      found += o->kind == OP_FILL && fabs(o->w - 8) < 0.02 && fabs(o->h - LONG[k]) < 0.02;
    }
    ck_assert_msg(found == 2, "%g mm: %d", LONG[k], found); /* tenon and mortise */
  }
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* Each page of layouts has a line of 100 mm. */
START_TEST(each_page_of_layouts_has_a_ruler) {
  probe p = probe_open(PROJECTS[_i]);
  probe_print(&p, gw_sheets_mark_out);
  ops all = ops_of(&p);
  int pages = 0, rulers = 0;
  for (size_t i = 0; i < all.count; ++i) {
    const op *o = &all.items[i];
    pages += o->kind == OP_TEXT && (strncmp(o->text, "Marking out: layouts", 20) == 0 ||
                                    strcmp(o->text, "Layouts at full scale") == 0);
    rulers += o->kind == OP_STROKE && fabs(o->w - 100) < 0.01 && o->h < 0.01;
  }
  ck_assert_int_gt(pages, 0);
  ck_assert_int_eq(rulers, pages);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* Inches are printed as inches, to the 64th. */
START_TEST(inches_stay_inches) {
  probe p = probe_open_changed(
      CHEST, "s/units=\"mm\"/units=\"in\"/; s/opening=\"900\" force=\"2000\"/opening=\"36\"/;"
      "s/\"760\"/\"30\"/; s/\"380\"/\"15\"/; s/\"420\"/\"16 1\\/2\"/; s/\"20\"/\"3\\/4\"/;"
      "s/\"12\"/\"1\\/2\"/; s/\"10\"/\"3\\/8\"/g; s/depth=\"8\"/depth=\"1\\/4\"/;"
      "s/\"732\"/\"28 7\\/8\"/; s/\"392\"/\"15 3\\/8\"/");
  check_sheet(&p, gw_sheets_labels);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "30 × 15 × 3/4 in") && !probe_says(text, "3/4 mm"));
  free(text);
  check_sheet(&p, gw_sheets_mark_out);
  text = probe_text(&p);
  ck_assert(probe_says(text, "Marking gauge: 3/4 in"));
  ck_assert(probe_says(text, "Plough: iron 3/8 in, fence 1/2 in from it, depth stop"));
  free(text);
  probe_close(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("labels");
  TCase *tests = tcase_create("sheets");
  tcase_set_timeout(tests, 240);
  tcase_add_loop_test(tests, sheets_are_sound, 0, 2 * N_PROJECTS);
  tcase_add_test(tests, long_names_stay_inside);
  tcase_add_test(tests, missing_characters_are_told);
  tcase_add_test(tests, a_draft_without_places);
  tcase_add_test(tests, sixty_parts);
  tcase_add_test(tests, a_heading_of_more_than_a_page);
  tcase_add_loop_test(tests, each_half_has_its_label, 0, 2 * N_PROJECTS);
  tcase_add_test(tests, copies_bear_their_signs);
  tcase_add_test(tests, too_many_copies_are_refused);
  tcase_add_loop_test(tests, ambiguous_marks_carry_bars, 0, N_PROJECTS);
  tcase_add_loop_test(tests, letters_are_read_from_the_bench, 0, N_GRIDS);
  tcase_add_loop_test(tests, nothing_crosses_a_label, 0, N_GRIDS);
  tcase_add_test(tests, a_part_used_sheet);
  tcase_add_test(tests, grids_that_do_not_fit_are_refused);
  tcase_add_loop_test(tests, halves_stand_side_by_side, 0, N_PROJECTS);
  tcase_add_loop_test(tests, halves_have_one_type, 0, N_PROJECTS);
  tcase_add_test(tests, a_sheet_is_spared);
  tcase_add_loop_test(tests, the_trial_page_numbers_all_labels, 0, 3);
  tcase_add_loop_test(tests, the_trial_page_shows_the_grid, 0, N_GRIDS);
  tcase_add_test(tests, settings_of_the_chest);
  tcase_add_test(tests, settings_of_the_door);
  tcase_add_test(tests, settings_of_the_table);
  tcase_add_test(tests, shoulders_of_the_stool);
  tcase_add_test(tests, upright_tenons_of_the_stool);
  tcase_add_test(tests, lines_fall_on_edges);
  tcase_add_test(tests, side_against_what_leans);
  tcase_add_test(tests, settings_of_the_rack);
  tcase_add_loop_test(tests, a_setting_stands_once, 0, N_PROJECTS);
  tcase_add_test(tests, slopes_in_degrees);
  tcase_add_loop_test(tests, tails_are_drawn_at_full_scale, 0, 2);
  tcase_add_test(tests, mortises_are_drawn_at_full_scale);
  tcase_add_loop_test(tests, each_page_of_layouts_has_a_ruler, 0, N_PROJECTS);
  tcase_add_test(tests, inches_stay_inches);
  suite_add_tcase(suite, tests);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
