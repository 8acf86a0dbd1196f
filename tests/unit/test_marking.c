/* Marking out of kinds that none of the projects has, and sheets of labels that
 * a project names. */
#include "marks/symbols.h"

#include "cli/cli.h"
#include "project.h"
#include "sheet_probe.h"
#include "sheets/labels_inner.h"
#include "sheets/markout_inner.h"

/* A probe of `inside` as the content of a piece in millimetres. */
static probe probe_of(const char *inside) {
  probe p = probe_place();
  FILE *file = fopen(p.xml, "w");
  ck_assert_ptr_nonnull(file);
  fprintf(file, HEAD ">%s</piece>", inside);
  ck_assert_int_eq(fclose(file), 0);
  probe_read(&p, p.xml);
  ck_assert_msg(gw_job_mates(&p.job), "%s", gw_findings_at(p.job.findings, 0)->words);
  return p;
}

/* How many settings are these, on which words begin so. */
static int settings(const gw_strikes *list, gw_tool tool, gw_len a, gw_len b, const char *words) {
  int count = 0;
  for (size_t i = 0; i < list->count; ++i) {
    const gw_strike *s = &list->items[i];
    count += s->tool == tool && s->a == a && s->b == b && strncmp(s->words, words, strlen(words)) == 0;
  }
  return count;
}

#define LADDER                                                                              \
  "<glue id='g' kind='pva'/>"                                                               \
  "<part id='left' length='400' width='60' thickness='24' face='front' edge='right'>"       \
  "<dowel-holes id='rung' at='right' from-front='3' from-bottom='100'/></part>"             \
  "<part id='right' mirror-of='left'/>"                                                     \
  "<part id='rung' length='300' width='50' thickness='18' face='front' edge='up'>"          \
  "<dowels at='left' into='left/rung'/><dowels at='right' into='right/rung'/></part>"

/* A rung of 18, three behind the stiles' faces: dowels at 9 in it, at 12 in them. */
START_TEST(dowels_by_their_middle) {
  probe p = probe_of(LADDER);
  gw_arena *arena = gw_arena_new();
  gw_strikes list;
  ck_assert_int_eq(gw_strikes_make(&p.sheets, arena, &list), GW_OK);
  const char *words = "middle of the dowels, on ";
  ck_assert_int_eq(settings(&list, GW_TOOL_GAUGE, 9 * GW_MM, 0, words), 2);
  ck_assert_int_eq(settings(&list, GW_TOOL_GAUGE, 12 * GW_MM, 0, words), 2);
  ck_assert_uint_eq(list.count, 4);
  for (size_t i = 0; i < list.count; ++i) ck_assert_str_eq(list.items[i].from, "the face side");
  free(list.items);
  gw_arena_free(arena);
  probe_print(&p, gw_sheets_mark_out);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "Marking gauge: 12 mm"));
  free(text);
  probe_check_words(&p);
  probe_close(&p);
}
END_TEST

#define SHELF                                                                               \
  "<glue id='g' kind='pva'/>"                                                               \
  "<part id='left' length='600' width='200' thickness='20' face='left' edge='front'>"       \
  "<sliding-socket id='shelf' at='right' from-bottom='300' depth='8' slope='1:8'/></part>"  \
  "<part id='right' mirror-of='left'/>"                                                     \
  "<part id='shelf' length='476' width='200' thickness='18' face='up' edge='front'>"        \
  "<sliding-tail at='left' into='left/shelf' slope='1:8'/>"                                 \
  "<sliding-tail at='right' into='right/shelf' slope='1:8'/></part>"

/* A bevel on tails and sockets; the sockets' place by the rule, 8 deep. */
START_TEST(sliding_dovetails_by_bevel_and_rule) {
  probe p = probe_of(SHELF);
  gw_arena *arena = gw_arena_new();
  gw_strikes list;
  ck_assert_int_eq(gw_strikes_make(&p.sheets, arena, &list), GW_OK);
  ck_assert_int_eq(settings(&list, GW_TOOL_BEVEL, 800, 800, "flanks of the sliding tail"), 2);
  ck_assert_int_eq(settings(&list, GW_TOOL_BEVEL, 800, 800, "flanks of the sliding socket"), 2);
  ck_assert_int_eq(settings(&list, GW_TOOL_DEPTH, 8 * GW_MM, 8 * GW_MM, "sliding socket"), 2);
  ck_assert_int_eq(settings(&list, GW_TOOL_RULE, 300 * GW_MM, 318 * GW_MM, "sliding socket"), 2);
  free(list.items);
  gw_arena_free(arena);
  probe_close(&p);
}
END_TEST

/* ---- the sheet of labels that a project names ------------------------------------------ */

#define SHEET "<labels columns='3' rows='7' width='63.5' height='38.1' "

START_TEST(labels_are_read) {
  project p = project_read(SHEET "left='7.2' top='15.1' gap-x='2.5' first='5'/>" LADDER);
  ck_assert(project_good(&p));
  const gw_label_sheet *l = &p.model->labels;
  ck_assert(l->columns == 3 && l->rows == 7 && l->first == 5);
  ck_assert_int_eq(l->width, 635 * GW_MM / 10);
  ck_assert_int_eq(l->height, 381 * GW_MM / 10);
  ck_assert_int_eq(l->left, 72 * GW_MM / 10);
  ck_assert_int_eq(l->top, 151 * GW_MM / 10);
  ck_assert_int_eq(l->gap_x, 25 * GW_MM / 10);
  ck_assert_int_eq(l->gap_y, 0);
  project_clear(&p);
  p = project_read(SHEET "/>" LADDER);
  ck_assert(project_good(&p));
  ck_assert(p.model->labels.first == 1 && p.model->labels.left == 0 && p.model->labels.gap_x == 0);
  project_clear(&p);
  p = project_read(LADDER);
  ck_assert(project_good(&p) && p.model->labels.columns == 0);
  project_clear(&p);
}
END_TEST

/* The command line wins over the file, and the first free label over both. */
START_TEST(labels_of_the_command_win) {
  probe p = probe_of(SHEET "first='5'/>" LADDER);
  gw_label_sheet sheet = p.job.model->labels;
  gw_sheets_job job = gw_job_sheets(&p.job, &sheet, 0);
  ck_assert(job.grid.columns == 3 && job.grid.first == 5);
  ck_assert_double_eq_tol(job.grid.width, 63.5, 1e-9);
  ck_assert_int_eq(gw_job_sheets(&p.job, &sheet, 9).grid.first, 9);
  ck_assert(gw_cli_labels("rows=8,columns=2,width=4in,height=33.9,top=13", &sheet));
  job = gw_job_sheets(&p.job, &sheet, 0);
  ck_assert(job.grid.columns == 2 && job.grid.rows == 8 && job.grid.first == 1);
  ck_assert_double_eq_tol(job.grid.width, 101.6, 1e-9);
  ck_assert_double_eq_tol(job.grid.top, 13, 1e-9);
  probe_close(&p);
}
END_TEST

/* A sheet that no paper holds is refused with a sentence. */
START_TEST(labels_beyond_the_paper) {
  static const struct { const char *sheet, *words; } bad[] = {
      {"columns=3,rows=7,width=71,height=38.1", "do not fit on paper of 210 x 297 mm"},
      {"columns=3,rows=8,width=63.5,height=38.1", "do not fit on paper of 210 x 297 mm"},
      {"columns=3,rows=7,width=63.5,height=38.1,left=20", "do not fit on paper"},
      {"columns=3,rows=7,width=63.5,height=38.1,gap-y=6", "do not fit on paper"},
      {"columns=40,rows=26,width=5,height=10", "more than 1000 labels on a sheet"},
      {"columns=30,rows=26,width=5,height=10", "5 x 10 mm"}};
  for (size_t i = 0; i < sizeof bad / sizeof *bad; ++i) {
    probe p = probe_of(LADDER);
    gw_error err = {GW_OK, ""};
    gw_label_sheet sheet;
    ck_assert(gw_cli_labels(bad[i].sheet, &sheet));
    gw_sheets_job job = gw_job_sheets(&p.job, &sheet, 0);
    ck_assert_int_eq(gw_sheets_labels(&job, p.pdf, &err), GW_BAD_INPUT);
    ck_assert_msg(strstr(err.words, bad[i].words) != NULL, "%s: %s", bad[i].sheet, err.words);
    ck_assert_int_ne(access(p.pdf, F_OK), 0);
    probe_close(&p);
  }
}
END_TEST

/* ---- numbers that read otherwise upside down, left out ---------------------------------- */

START_TEST(marks_are_skipped) {
  probe barred = probe_open("projects/pantry-door.xml");
  probe p = probe_open_changed("projects/pantry-door.xml", "s/ name=\"Pantry door\"/ marks=\"skip\"&/");
  ck_assert(p.job.model->skip_marks && !barred.job.model->skip_marks);
  int n = p.job.model->n_joints, bars = 0;
  ck_assert_int_eq(n, barred.job.model->n_joints);
  ck_assert_int_ge(n, 9); /* so 6 and 9 would be among them */
  for (int i = 0; i < n; ++i) {
    bars += barred.job.marks->joints[i].bar;
    ck_assert(!p.job.marks->joints[i].bar);
    ck_assert_msg(!gw_mark_ambiguous(p.job.marks->joints[i].text), "%s", p.job.marks->joints[i].text);
    for (int k = 0; k < i; ++k)
      ck_assert_str_ne(p.job.marks->joints[i].text, p.job.marks->joints[k].text);
  }
  ck_assert_int_ge(bars, 2);
  probe_close(&p);
  probe_close(&barred);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("marking");
  TCase *c = tcase_create("marking");
  tcase_set_timeout(c, 60);
  tcase_add_test(c, dowels_by_their_middle);
  tcase_add_test(c, sliding_dovetails_by_bevel_and_rule);
  tcase_add_test(c, labels_are_read);
  tcase_add_test(c, labels_of_the_command_win);
  tcase_add_test(c, labels_beyond_the_paper);
  tcase_add_test(c, marks_are_skipped);
  suite_add_tcase(suite, c);
  return run_suite(suite);
}
