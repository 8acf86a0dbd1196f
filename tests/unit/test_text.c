/* Cleaning, wrapping and cutting of words, measured with a ruler on which
 * every code point is one wide. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/text.h"

/* ---- code points ------------------------------------------------------------- */

START_TEST(code_points_are_read) {
  static const struct { const char *bytes; uint32_t code; size_t length; } ROW[] = {
    {"A", 'A', 1}, {"\xC2\xBD", 0xBD, 2}, {"\xE2\x80\xA6", 0x2026, 3},
    {"\xF0\x9F\x98\x80", 0x1F600, 4}, {"\xF4\x8F\xBF\xBF", 0x10FFFF, 4},
    {"\xEF\xBF\xBF", 0xFFFF, 3}, {"\xDF\xBF", 0x7FF, 2}, {"\xE0\xA0\x80", 0x800, 3}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    size_t at = 0, size = strlen(ROW[i].bytes);
    ck_assert_uint_eq(gw_text_next(ROW[i].bytes, size, &at), ROW[i].code);
    ck_assert_uint_eq(at, ROW[i].length);
    ck_assert_uint_eq(gw_text_next(ROW[i].bytes, size, &at), 0);
    ck_assert_uint_eq(at, ROW[i].length);
  }
}
END_TEST

/* The ways in which RFC 3629 says a sequence can be wrong. */
START_TEST(malformed_bytes_become_replacements) {
  static const char *const ROW[] = {
    "\x80", "\xBF", "\xC0\xAF", "\xC1\xBF", "\xE0\x80\xAF", "\xE0\x9F\xBF", "\xED\xA0\x80",
    "\xED\xBF\xBF", "\xF0\x80\x80\xAF", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xFE", "\xFF",
    "\xE2\x80", "\xC2", "\xF0\x9F\x98", "\xC2\x41"};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    size_t at = 0, size = strlen(ROW[i]);
    ck_assert_msg(gw_text_next(ROW[i], size, &at) == GW_TEXT_REPLACEMENT, "row %zu", i);
    ck_assert_uint_eq(at, 1);
  }
}
END_TEST

/* A sequence that would end beyond the size is not read beyond it. */
START_TEST(reading_stops_at_the_size) {
  size_t at = 0;
  ck_assert_uint_eq(gw_text_next("\xE2\x80\xA6", 2, &at), GW_TEXT_REPLACEMENT);
  ck_assert_uint_eq(at, 1);
}
END_TEST

START_TEST(putting_and_reading_agree) {
  for (uint32_t code = 1; code <= 0xFFFF; code++) {
    char bytes[3];
    size_t size = gw_text_put(code, bytes), at = 0;
    uint32_t want = code >= 0xD800 && code <= 0xDFFF ? GW_TEXT_REPLACEMENT : code;
    ck_assert_uint_eq(gw_text_next(bytes, size, &at), want);
    if (want == code) ck_assert_uint_eq(at, size);
  }
}
END_TEST

/* ---- cleaning ------------------------------------------------------------------- */

START_TEST(text_is_cleaned) {
  static const struct { const char *text, *clean; } ROW[] = {
    {"", ""}, {"plain", "plain"}, {"a\tb\nc\rd", "a b c d"},
    {"12\xC2\xA0mm", "12\xC2\xA0mm"},             /* no-break space stays hard */
    {"12\xE2\x80\xAFmm", "12\xC2\xA0mm"},         /* so does the narrow one */
    {"a\xE2\x80\x83" "b", "a b"},                 /* em space */
    {"so\xC2\xAD" "ft", "soft"},                  /* soft hyphen */
    {"ze\xE2\x80\x8Bro", "zero"},                 /* zero width space */
    {"\xEF\xBB\xBFmark", "mark"},                 /* byte order mark */
    {"l\xE2\x80\xAEr", "lr"},                     /* right-to-left override */
    {"\xF0\x9F\x98\x80", "\xEF\xBF\xBD"},         /* above U+FFFF */
    {"\x01|\x7F|\xC2\x9F", "\xEF\xBF\xBD|\xEF\xBF\xBD|\xEF\xBF\xBD"}, /* controls */
    {"\xEF\xBF\xBE", "\xEF\xBF\xBD"},             /* not a character */
    {"\xC3x", "\xEF\xBF\xBDx"}, {"caf\xC3\xA9 \xC2\xBD", "caf\xC3\xA9 \xC2\xBD"}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    char out[64];
    ck_assert_uint_le(gw_text_clean_size(strlen(ROW[i].text)), sizeof out);
    size_t used = gw_text_clean(ROW[i].text, out);
    ck_assert_str_eq(out, ROW[i].clean);
    ck_assert_uint_eq(used, strlen(out));
  }
}
END_TEST

/* The worst growth is a lone bad byte, to three. */
START_TEST(clean_size_always_suffices) {
  char bad[1001], out[3001];
  memset(bad, 0xFF, 1000);
  bad[1000] = '\0';
  ck_assert_uint_eq(gw_text_clean_size(1000), sizeof out);
  ck_assert_uint_eq(gw_text_clean(bad, out), 3000);
  ck_assert_uint_eq(gw_text_clean_size(SIZE_MAX), 0);
}
END_TEST

/* ---- wrapping -------------------------------------------------------------------- */

static double one_each(void *context, const char *text, size_t bytes) {
  size_t at = 0, count = 0;
  for (; at < bytes; count++) gw_text_next(text, bytes, &at);
  if (context != NULL) *(size_t *)context += count;
  return (double)count;
}

/* All lines with a bar after each. */
static void wrapped(const char *text, double width, char *out) {
  size_t at = 0, used = 0;
  while (text[at] != '\0') {
    gw_text_span line;
    size_t next = gw_text_wrap(text, at, width, one_each, NULL, &line);
    ck_assert_uint_gt(next, at);
    ck_assert_uint_ge(line.start, at);
    ck_assert_uint_le(line.start + line.bytes, next);
    memcpy(out + used, text + line.start, line.bytes);
    used += line.bytes;
    out[used++] = '|';
    at = next;
  }
  out[used] = '\0';
}

START_TEST(text_is_wrapped) {
  static const struct { const char *text; double width; const char *lines; } ROW[] = {
    {"", 10, ""}, {"one", 10, "one|"}, {"one two", 7, "one two|"}, {"one two", 6, "one|two|"},
    {"one  two", 7, "one|two|"},                   /* spaces at the break go */
    {"one two   ", 7, "one two|"}, {"  one", 10, "one|"}, {"   ", 10, "|"},
    {"tongue-and-groove", 11, "tongue-and-|groove|"},
    {"tongue-and-groove", 7, "tongue-|and-|groove|"},
    {"front/left", 7, "front/|left|"},
    {"use 3/8 in", 6, "use|3/8 in|"}, {"is -5 mm", 4, "is|-5|mm|"}, {"ab 10-12", 6, "ab|10-12|"},
    {"a -- b", 3, "a|--|b|"},
    {"abcdefghij", 4, "abcd|efgh|ij|"}, {"ab abcdefghij k", 4, "ab|abcd|efgh|ij k|"},
    {"\xC3\xA9\xC3\xA9\xC3\xA9", 2, "\xC3\xA9\xC3\xA9|\xC3\xA9|"},
    {"12\xC2\xA0mm of", 5, "12\xC2\xA0mm|of|"}, {"a 12\xC2\xA0mm", 5, "a|12\xC2\xA0mm|"},
    {"abc", 0, "a|b|c|"}, {"a bc", -1, "a|b|c|"},   /* always gets on */
    {"aae\xCC\x81x", 3, "aa|e\xCC\x81x|"}};         /* an accent stays on its letter */
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    char out[128];
    wrapped(ROW[i].text, ROW[i].width, out);
    ck_assert_str_eq(out, ROW[i].lines);
    size_t lines = 0;
    for (const char *c = out; *c != '\0'; c++) lines += *c == '|';
    if (strcmp(out, "|") == 0) lines = 0; /* only spaces: no line at all */
    ck_assert_uint_eq(gw_text_line_count(ROW[i].text, ROW[i].width, one_each, NULL), lines);
  }
}
END_TEST

/* Whatever the text and the width: no line is too wide unless it is one code
 * point with its accents, nothing but spaces is lost, nothing is doubled. */
START_TEST(wrapping_loses_nothing) {
  static const char *const WORDS[] = {"a", "to-", "/", "3/8", "tenon", " ", "  ", "-",
                                      "\xC3\xA9t\xC3\xA9", "\xCC\x81", "\xC2\xA0", "haunched"};
  unsigned seed = 12345;
  for (int round = 0; round < 4000; round++) {
    char text[256] = "", out[512], kept[256] = "";
    double width = round % 13;
    for (int i = 0; i < 12; i++) {
      seed = seed * 1103515245u + 12345u;
      strcat(text, WORDS[(seed >> 16) % (sizeof WORDS / sizeof *WORDS)]);
    }
    wrapped(text, width, out);
    size_t used = 0;
    for (const char *line = out; *line != '\0'; line = strchr(line, '|') + 1) {
      size_t bytes = (size_t)(strchr(line, '|') - line), first = 0;
      if (bytes > 0) gw_text_next(line, bytes, &first);
      while (first < bytes && memcmp(line + first, "\xCC\x81", 2) == 0) first += 2;
      ck_assert_msg(one_each(NULL, line, bytes) <= width || bytes == first, "'%s' at %g: '%s'",
                    text, width, out);
      for (size_t i = 0; i < bytes; i++)
        if (line[i] != ' ') kept[used++] = line[i];
    }
    kept[used] = '\0';
    char *to = text;
    for (const char *from = text; *from != '\0'; from++)
      if (*from != ' ') *to++ = *from;
    *to = '\0';
    ck_assert_str_eq(kept, text);
  }
}
END_TEST

/* Time grows with the length, not with its square. */
START_TEST(wrapping_is_linear) {
  enum { LONG = 20000 };
  char *text = malloc(LONG + 1);
  ck_assert_ptr_nonnull(text);
  for (int i = 0; i < LONG; i++) text[i] = i % 6 == 5 ? ' ' : 'x';
  text[LONG] = '\0';
  size_t measured = 0;
  gw_text_line_count(text, 40, one_each, &measured);
  ck_assert_uint_le(measured, 2 * LONG);
  memset(text, 'x', LONG);
  measured = 0;
  ck_assert_uint_eq(gw_text_line_count(text, 40, one_each, &measured), LONG / 40);
  ck_assert_uint_le(measured, 2 * LONG);
  free(text);
}
END_TEST

START_TEST(text_is_cut) {
  static const struct { const char *text; double width; size_t fits; } ROW[] = {
    {"abcdef", 6, 6}, {"abcdef", 5, 4}, {"abcdef", 1, 0}, {"abcdef", 0, 0}, {"", 0, 0},
    {"ab cdef", 4, 2}, /* no space before the ellipsis */
    {"\xC3\xA9\xC3\xA9\xC3\xA9", 2, 2}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++)
    ck_assert_uint_eq(gw_text_cut(ROW[i].text, strlen(ROW[i].text), ROW[i].width, one_each, NULL),
                      ROW[i].fits);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("text");
  TCase *words = tcase_create("words");
  tcase_add_test(words, code_points_are_read);
  tcase_add_test(words, malformed_bytes_become_replacements);
  tcase_add_test(words, reading_stops_at_the_size);
  tcase_add_test(words, putting_and_reading_agree);
  tcase_add_test(words, text_is_cleaned);
  tcase_add_test(words, clean_size_always_suffices);
  tcase_add_test(words, text_is_wrapped);
  tcase_add_test(words, wrapping_loses_nothing);
  tcase_add_test(words, wrapping_is_linear);
  tcase_add_test(words, text_is_cut);
  suite_add_tcase(suite, words);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
