#include "marks/symbols.h"

#include <string.h>

/* The letters in use.  N is the only one that reads as a letter when turned,
 * and reads as itself; so a string of these letters is readable turned only
 * when it is all N, and then reads the same.  No string has to be left out. */
static const char LETTERS[] = "ACFKNR";
enum { N_LETTERS = sizeof LETTERS - 1 };

/* One capital: what it reads as when turned half round (0: nothing), and why
 * it is left out (NULL: it is used). */
typedef struct letter_row {
  char turned;
  const char *reason;
} letter_row;

static const letter_row ROWS[26] = {
  ['A' - 'A'] = {0, NULL},
  ['B' - 'A'] = {'8', "it can be taken for 8"},
  ['C' - 'A'] = {0, NULL},
  ['D' - 'A'] = {0, "it can be taken for 0 or O"},
  ['E' - 'A'] = {'3', "turned half round it reads as 3"},
  ['F' - 'A'] = {0, NULL},
  ['G' - 'A'] = {'9', "it can be taken for 6, and turned half round for 9"},
  ['H' - 'A'] = {'H', "an open 4 turned half round reads as a small h"},
  ['I' - 'A'] = {'I', "it can be taken for 1"},
  ['J' - 'A'] = {0, "it can be taken for a 1 with a hook"},
  ['K' - 'A'] = {0, NULL},
  ['L' - 'A'] = {'7', "turned half round it reads as 7"},
  ['M' - 'A'] = {'W', "turned half round it reads as W"},
  ['N' - 'A'] = {'N', NULL},
  ['O' - 'A'] = {'O', "it can be taken for 0"},
  ['P' - 'A'] = {'D', "turned half round it reads as a small d"},
  ['Q' - 'A'] = {'0', "it can be taken for 0"},
  ['R' - 'A'] = {0, NULL},
  ['S' - 'A'] = {'S', "it can be taken for 5"},
  ['T' - 'A'] = {'1', "turned half round it reads as a 1 with a foot"},
  ['U' - 'A'] = {'N', "turned half round it reads as a small n"},
  ['V' - 'A'] = {'A', "turned half round it reads as an A without its bar"},
  ['W' - 'A'] = {'M', "turned half round it reads as M"},
  ['X' - 'A'] = {'X', "a cross on wood means waste"},
  ['Y' - 'A'] = {0, "it can be taken for an open 4"},
  ['Z' - 'A'] = {'Z', "it can be taken for 2"},
};

/* What one sign reads as when turned half round; 0 when it reads as nothing. */
static char turned_sign(char sign) {
  static const char DIGITS[10] = {'0', '1', 0, 0, 0, 0, '9', 0, '8', '6'};
  if (sign >= '0' && sign <= '9') return DIGITS[sign - '0'];
  if (sign >= 'A' && sign <= 'Z') return ROWS[sign - 'A'].turned;
  return 0;
}

/* Drops zeros at the front, but leaves one sign. */
static void drop_zeros(char *text) {
  size_t zeros = strspn(text, "0");
  if (zeros > 0 && text[zeros] == '\0') zeros--;
  if (zeros > 0) memmove(text, text + zeros, strlen(text + zeros) + 1);
}

bool gw_mark_turned(const char *text, char *buffer) {
  size_t length = strlen(text);
  buffer[0] = '\0';
  if (length == 0 || length >= GW_MARK_TEXT) return false;
  for (size_t i = 0; i < length; i++) {
    buffer[i] = turned_sign(text[length - 1 - i]);
    if (buffer[i] == 0) {
      buffer[0] = '\0';
      return false;
    }
  }
  buffer[length] = '\0';
  drop_zeros(buffer);
  return true;
}

bool gw_mark_ambiguous(const char *text) {
  char image[GW_MARK_TEXT];
  return gw_mark_turned(text, image) && strcmp(text, image) != 0;
}

/* The number in decimal; `number` is from 1 to INT_MAX. */
static void write_number(int number, char *buffer) {
  char reversed[GW_MARK_TEXT];
  size_t n = 0;
  for (; number > 0; number /= 10) reversed[n++] = (char)('0' + number % 10);
  for (size_t i = 0; i < n; i++) buffer[i] = reversed[n - 1 - i];
  buffer[n] = '\0';
}

gw_status gw_mark_number(int k, gw_mark_mode mode, gw_mark *mark) {
  if (k < 1 || k > GW_MARK_MAX) return GW_TOO_LARGE;
  mark->bar = false;
  if (mode == GW_MARK_BAR) {
    write_number(k, mark->text);
    mark->bar = gw_mark_ambiguous(mark->text);
    return GW_OK;
  }
  for (int number = 1, left = k; left > 0; number++) {
    write_number(number, mark->text);
    if (!gw_mark_ambiguous(mark->text)) left--;
  }
  return GW_OK;
}

/* Counting with N_LETTERS signs and no zero: after R comes AA. */
gw_status gw_mark_letter(int k, gw_mark *mark) {
  if (k < 1 || k > GW_MARK_MAX) return GW_TOO_LARGE;
  char reversed[GW_MARK_TEXT];
  size_t n = 0;
  for (int rest = k; rest > 0; rest = (rest - 1) / N_LETTERS)
    reversed[n++] = LETTERS[(rest - 1) % N_LETTERS];
  for (size_t i = 0; i < n; i++) mark->text[i] = reversed[n - 1 - i];
  mark->text[n] = '\0';
  mark->bar = false;
  return GW_OK;
}

const char *gw_mark_letter_reason(char letter) {
  return letter >= 'A' && letter <= 'Z' ? ROWS[letter - 'A'].reason : NULL;
}

gw_status gw_mark_set(int copy, int copies, char *buffer) {
  buffer[0] = '\0';
  if (copies > GW_MARK_COPIES_MAX || copy < 1 || copy > copies) return GW_TOO_LARGE;
  if (copies == 1) return GW_OK;
  size_t n = 0;
  for (int fives = copy / 5; fives > 0; fives--) buffer[n++] = '#';
  for (int ones = copy % 5; ones > 0; ones--) buffer[n++] = '+';
  buffer[n] = '\0';
  return GW_OK;
}
