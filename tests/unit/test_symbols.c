/* Marks that cannot be mistaken: against OEIS A000787, against counts of
 * confusable labels, and every mark up to 10,000 against every other. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "marks/symbols.h"

enum { LAST = 10000 };

/* The half-turn image of a number by arithmetic, apart from the code under
 * test: -1 when some digit reads as none.  Zeros at the front vanish. */
static long image_of(long number) {
  static const int IMAGE[10] = {0, 1, -1, -1, -1, -1, 9, -1, 8, 6};
  long image = 0;
  for (; number > 0; number /= 10) {
    if (IMAGE[number % 10] < 0) return -1;
    image = image * 10 + IMAGE[number % 10];
  }
  return image;
}

enum { TEXT = 24 }; /* holds any number and its sign */

static bool ambiguous_number(long number) {
  char text[TEXT];
  snprintf(text, sizeof text, "%ld", number);
  return gw_mark_ambiguous(text);
}

/* OEIS A000787, the terms up to 1001 (and 0). */
START_TEST(reads_the_same_as_listed) {
  static const long SAME[] = {0,   1,   8,   11,  69,  88,  96,  101, 111, 181,
                              609, 619, 689, 808, 818, 888, 906, 916, 986, 1001};
  size_t next = 0;
  for (long n = 0; n <= 1001; n++) {
    char text[TEXT], image[GW_MARK_TEXT];
    snprintf(text, sizeof text, "%ld", n);
    bool same = gw_mark_turned(text, image) && strcmp(text, image) == 0;
    bool listed = next < sizeof SAME / sizeof *SAME && SAME[next] == n;
    ck_assert_msg(same == listed, "%ld", n);
    if (same) ck_assert(!gw_mark_ambiguous(text));
    if (listed) next++;
  }
  ck_assert_uint_eq(next, sizeof SAME / sizeof *SAME);
}
END_TEST

/* Per number of digits: numbers that read the same, numbers of the five
 * digits, and confusable pairs among numbers without a final 0.  The counts
 * of the first column are those of A000787. */
START_TEST(counts_by_digits) {
  static const int SAME[] = {3, 4, 12, 20, 60, 100};
  static const int READABLE[] = {5, 20, 100, 500, 2500, 12500};
  static const int PAIRS[] = {1, 6, 34, 190, 970, 4950};
  long from = 0, to = 10;
  for (int d = 0; d < 6; d++, from = to, to *= 10) {
    int same = 0, readable = 0, ambiguous = 0;
    for (long n = from; n < to; n++) {
      char text[TEXT], image[GW_MARK_TEXT];
      snprintf(text, sizeof text, "%ld", n);
      if (!gw_mark_turned(text, image)) continue;
      readable++;
      if (strcmp(text, image) == 0) same++;
      if (n % 10 != 0 && gw_mark_ambiguous(text)) ambiguous++;
    }
    ck_assert_int_eq(same, SAME[d]);
    ck_assert_int_eq(readable, READABLE[d]);
    ck_assert_int_eq(ambiguous, 2 * PAIRS[d]);
  }
}
END_TEST

/* Labels filled up with zeros to d digits: pairs whose images differ.  Without
 * the zeros in front two labels of one width differ all the same. */
START_TEST(counts_of_padded_labels) {
  static const int PAIRS[] = {1, 10, 55, 300, 1525, 7750};
  long end = 10;
  for (int d = 0; d < 6; d++, end *= 10) {
    int differing = 0;
    for (long n = 0; n < end; n++) {
      char text[TEXT], image[GW_MARK_TEXT];
      snprintf(text, sizeof text, "%06ld", n);
      if (gw_mark_turned(text + 5 - d, image) && atol(image) != n) differing++;
    }
    ck_assert_int_eq(differing, 2 * PAIRS[d]);
  }
}
END_TEST

START_TEST(known_marks) {
  static const struct { const char *text, *image; bool ambiguous; } ROW[] = {
    {"6", "9", true},    {"9", "6", true},    {"16", "91", true},  {"18", "81", true},
    {"66", "99", true},  {"68", "89", true},  {"8", "8", false},   {"11", "11", false},
    {"69", "69", false}, {"10", "1", true},   {"60", "9", true},   {"100", "1", true},
    {"0", "0", false},   {"7", "", false},    {"26", "", false},   {"M", "W", true},
    {"W", "M", true},    {"N", "N", false},   {"NX", "XN", true},  {"A", "", false},
    {"L", "7", true},    {"", "", false},     {"a", "", false},    {"6+", "", false},
    {"9999999999999999", "", false}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    char image[GW_MARK_TEXT];
    ck_assert_msg(gw_mark_turned(ROW[i].text, image) == (ROW[i].image[0] != 0), "%s",
                  ROW[i].text);
    ck_assert_str_eq(image, ROW[i].image);
    ck_assert_msg(gw_mark_ambiguous(ROW[i].text) == ROW[i].ambiguous, "%s", ROW[i].text);
  }
}
END_TEST

/* Every mark up to 10,000 as printed.  A bar under a mark comes to stand over
 * it when it is turned, so a turned mark with a bar equals no printed mark; a
 * mark without a bar must read as itself or as no number. */
START_TEST(no_two_bar_marks_are_images) {
  for (int k = 1; k <= LAST; k++) {
    gw_mark mark;
    ck_assert_int_eq(gw_mark_number(k, GW_MARK_BAR, &mark), GW_OK);
    ck_assert_int_eq(atol(mark.text), k);
    long image = image_of(k);
    if (!mark.bar) ck_assert_msg(image < 0 || image == k, "%d has no bar", k);
    if (mark.bar) ck_assert_msg(image >= 0 && image != k, "%d has a needless bar", k);
  }
}
END_TEST

START_TEST(no_two_skip_marks_are_images) {
  long before = 0;
  for (int k = 1; before < LAST; k++) {
    gw_mark mark;
    ck_assert_int_eq(gw_mark_number(k, GW_MARK_SKIP, &mark), GW_OK);
    long number = atol(mark.text), image = image_of(number);
    ck_assert(!mark.bar);
    ck_assert(number > before);
    ck_assert_msg(image < 0 || image == number, "%ld", number);
    for (long left_out = before + 1; left_out < number; left_out++)
      ck_assert_msg(image_of(left_out) >= 0 && image_of(left_out) != left_out, "%ld", left_out);
    before = number;
  }
}
END_TEST

/* Letters that some digit, upright or turned, can be taken for; written out
 * here apart from the table under test. */
static const char DIGIT_LIKE[] = "BDEGHIJLOQSTYZ";

START_TEST(letters_are_no_digits_and_no_images) {
  char seen[27] = "";
  for (int k = 1; k <= 6; k++) {
    gw_mark mark;
    ck_assert_int_eq(gw_mark_letter(k, &mark), GW_OK);
    ck_assert_uint_eq(strlen(mark.text), 1);
    ck_assert_ptr_null(strchr(DIGIT_LIKE, mark.text[0]));
    ck_assert_ptr_null(strchr("MWPUV", mark.text[0]));
    ck_assert_ptr_null(gw_mark_letter_reason(mark.text[0]));
    seen[mark.text[0] - 'A'] = 1;
  }
  for (char letter = 'A'; letter <= 'Z'; letter++)
    ck_assert_msg((gw_mark_letter_reason(letter) == NULL) == (seen[letter - 'A'] == 1), "%c",
                  letter);
  ck_assert_ptr_null(gw_mark_letter_reason('6'));
}
END_TEST

static int by_text(const void *a, const void *b) { return strcmp(a, b); }

/* No letter mark turned reads as another mark; all differ; none is a number. */
START_TEST(letter_marks_up_to_ten_thousand) {
  static char all[LAST][GW_MARK_TEXT];
  for (int k = 1; k <= LAST; k++) {
    gw_mark mark;
    char image[GW_MARK_TEXT];
    ck_assert_int_eq(gw_mark_letter(k, &mark), GW_OK);
    ck_assert(!mark.bar);
    ck_assert_uint_eq(strspn(mark.text, "ACFKNR"), strlen(mark.text));
    if (gw_mark_turned(mark.text, image)) ck_assert_str_eq(image, mark.text);
    memcpy(all[k - 1], mark.text, GW_MARK_TEXT);
  }
  ck_assert_str_eq(all[0], "A");
  ck_assert_str_eq(all[5], "R");
  ck_assert_str_eq(all[6], "AA");
  ck_assert_str_eq(all[7], "AC");
  ck_assert_str_eq(all[41], "RR");
  ck_assert_str_eq(all[42], "AAA");
  qsort(all, LAST, GW_MARK_TEXT, by_text);
  for (int i = 1; i < LAST; i++) ck_assert_str_ne(all[i - 1], all[i]);
}
END_TEST

START_TEST(limits_are_kept) {
  gw_mark mark;
  ck_assert_int_eq(gw_mark_number(0, GW_MARK_BAR, &mark), GW_TOO_LARGE);
  ck_assert_int_eq(gw_mark_number(GW_MARK_MAX + 1, GW_MARK_SKIP, &mark), GW_TOO_LARGE);
  ck_assert_int_eq(gw_mark_number(GW_MARK_MAX, GW_MARK_SKIP, &mark), GW_OK);
  ck_assert(!ambiguous_number(atol(mark.text)));
  ck_assert_int_eq(gw_mark_letter(-1, &mark), GW_TOO_LARGE);
  ck_assert_int_eq(gw_mark_letter(GW_MARK_MAX + 1, &mark), GW_TOO_LARGE);
  ck_assert_int_eq(gw_mark_letter(GW_MARK_MAX, &mark), GW_OK);
  ck_assert_uint_lt(strlen(mark.text), GW_MARK_TEXT);
}
END_TEST

START_TEST(set_signs) {
  char sign[GW_MARK_TEXT];
  ck_assert_int_eq(gw_mark_set(1, 1, sign), GW_OK);
  ck_assert_str_eq(sign, "");
  for (int copy = 1; copy <= GW_MARK_COPIES_MAX; copy++) {
    ck_assert_int_eq(gw_mark_set(copy, GW_MARK_COPIES_MAX, sign), GW_OK);
    int sum = 0; /* whichever end it is read from */
    for (size_t i = 0; sign[i] != 0; i++) {
      ck_assert(sign[i] == '#' || sign[i] == '+');
      sum += sign[i] == '#' ? 5 : 1;
    }
    ck_assert_int_eq(sum, copy);
  }
  ck_assert_int_eq(gw_mark_set(6, 8, sign), GW_OK);
  ck_assert_str_eq(sign, "#+");
  ck_assert_int_eq(gw_mark_set(0, 3, sign), GW_TOO_LARGE);
  ck_assert_int_eq(gw_mark_set(4, 3, sign), GW_TOO_LARGE);
  ck_assert_int_eq(gw_mark_set(1, GW_MARK_COPIES_MAX + 1, sign), GW_TOO_LARGE);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("symbols");
  TCase *tc = tcase_create("symbols");
  tcase_set_timeout(tc, 60);
  tcase_add_test(tc, reads_the_same_as_listed);
  tcase_add_test(tc, counts_by_digits);
  tcase_add_test(tc, counts_of_padded_labels);
  tcase_add_test(tc, known_marks);
  tcase_add_test(tc, no_two_bar_marks_are_images);
  tcase_add_test(tc, no_two_skip_marks_are_images);
  tcase_add_test(tc, letters_are_no_digits_and_no_images);
  tcase_add_test(tc, letter_marks_up_to_ten_thousand);
  tcase_add_test(tc, limits_are_kept);
  tcase_add_test(tc, set_signs);
  suite_add_tcase(suite, tc);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
