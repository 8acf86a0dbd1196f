/* Text that is higher than a page runs on from page to page, and loses nothing. */
#include "sheet_probe.h"
#include "sheets/table.h"

static const gw_type TYPE = GW_TYPE(11);

typedef struct sheet {
  probe p;
  gw_doc *doc;
  gw_flow flow;
} sheet;

static void head(gw_flow *flow, void *data) {
  gw_flow_title(flow, "Sheet", data, "");
}

static void sheet_begin(sheet *s) {
  gw_error err = {GW_OK, ""};
  *s = (sheet){.p = probe_place()};
  s->doc = gw_doc_new(&(gw_doc_options){.title = "Piece"}, &err);
  ck_assert_msg(s->doc != NULL, "%s", err.words);
  ck_assert(gw_flow_begin(&s->flow, s->doc, "Sheet"));
  s->flow.head = head;
  s->flow.data = "Piece";
}

static void sheet_save(sheet *s) {
  gw_error err = {GW_OK, ""};
  ck_assert_int_eq(gw_flow_end(&s->flow), GW_OK);
  gw_status status = gw_doc_save(s->doc, s->p.pdf, &err);
  ck_assert_msg(status == GW_OK, "%s", err.words);
}

static void sheet_end(sheet *s) {
  gw_doc_free(s->doc);
  probe_close(&s->p);
}

/* "w1000 w1001 ..." */
static char *numbered(int count) {
  char *text = malloc((size_t)count * 6 + 1);
  ck_assert_ptr_nonnull(text);
  for (int i = 0; i < count; ++i) sprintf(text + 6 * i, "w%d ", 1000 + i);
  text[count * 6 - 1] = '\0';
  return text;
}

/* Each word once, in its order, none over the foot of a page. */
START_TEST(long_text_runs_on) {
  const int count = 2400;
  sheet s;
  sheet_begin(&s);
  gw_flow_text(&s.flow, TYPE, 0, "Before.");
  char *text = numbered(count);
  gw_flow_text(&s.flow, TYPE, _i * 20.0, text);
  gw_flow_text(&s.flow, TYPE, 0, "Behind.");
  free(text);
  sheet_save(&s);
  probe_words words = probe_words_of(&s.p);
  ck_assert_int_gt(words.pages, 2);
  int next = 1000, last_page = 0, behind = 0;
  for (size_t i = 0; i < words.count; ++i) {
    const probe_word *w = &words.items[i];
    behind += strcmp(w->text, "Behind.") == 0;
    if (w->text[0] != 'w') continue;
    ck_assert_int_eq(atoi(w->text + 1), next++);
    ck_assert_int_ge(w->page, last_page);
    last_page = w->page;
    ck_assert_double_le(w->y1 * 25.4 / 72, s.flow.body.y + s.flow.body.h + 0.5);
  }
  ck_assert_int_eq(next, 1000 + count);
  ck_assert_int_eq(behind, 1);
  /* It began under what stood on the first page, not on a new one. */
  ck_assert_int_eq(words.items[0].page, 1);
  int first = 0;
  for (size_t i = 0; i < words.count; ++i) first += words.items[i].page == 1;
  ck_assert_int_gt(first, 300);
  free(words.items);
  probe_check_words(&s.p);
  sheet_end(&s);
}
END_TEST

/* What fits on a page is kept whole: it goes to the next one. */
START_TEST(a_paragraph_is_kept_whole) {
  sheet s;
  sheet_begin(&s);
  gw_flow_page(&s.flow);
  gw_flow_gap(&s.flow, gw_flow_left(&s.flow) - 3 * gw_line_height(TYPE));
  char *text = numbered(100);
  gw_flow_text(&s.flow, TYPE, 0, text);
  free(text);
  sheet_save(&s);
  probe_words words = probe_words_of(&s.p);
  ck_assert_int_eq(words.pages, 2);
  for (size_t i = 0; i < words.count; ++i)
    if (words.items[i].text[0] == 'w') ck_assert_int_eq(words.items[i].page, 2);
  free(words.items);
  sheet_end(&s);
}
END_TEST

/* One word without a blank that is longer than a page ends all the same. */
START_TEST(a_word_without_end) {
  sheet s;
  sheet_begin(&s);
  char *text = malloc(60001);
  ck_assert_ptr_nonnull(text);
  memset(text, 'x', 60000);
  text[60000] = '\0';
  gw_flow_text(&s.flow, TYPE, 0, text);
  free(text);
  sheet_save(&s);
  ck_assert_uint_ge(gw_doc_page_count(s.doc), 1);
  ck_assert_uint_le(gw_doc_page_count(s.doc), 3);
  probe_check_file(&s.p);
  sheet_end(&s);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("flow");
  TCase *c = tcase_create("flow");
  tcase_set_timeout(c, 60);
  tcase_add_loop_test(c, long_text_runs_on, 0, 2);
  tcase_add_test(c, a_paragraph_is_kept_whole);
  tcase_add_test(c, a_word_without_end);
  suite_add_tcase(suite, c);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failures = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failures == 0 ? 0 : 1;
}
