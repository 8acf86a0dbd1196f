/* print --labels: a sheet of labels described on the command line, by the same
 * names as the project's <labels>. */
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"

static bool wrong(const char *what, const char *word) {
  fprintf(stderr,
          "gluewright: --labels: %s%s; give "
          "columns=3,rows=8,width=63.5,height=33.9,left=7,top=13,gap-x=2.5,gap-y=0\n", what, word);
  return false;
}

/* Counts are kept in the first two, lengths in the others. */
static const char *const names[] = {"columns", "rows", "width", "height",
                                    "left",    "top",  "gap-x", "gap-y"};
enum { NAMES = sizeof names / sizeof *names, COUNTS = 2, NEEDED = 4 };

static bool take(gw_label_sheet *sheet, int which, const char *value) {
  int *counts[COUNTS] = {&sheet->columns, &sheet->rows};
  gw_len *lengths[NAMES - COUNTS] = {&sheet->width, &sheet->height, &sheet->left,
                                     &sheet->top,   &sheet->gap_x,  &sheet->gap_y};
  if (which < COUNTS) {
    char *end;
    long count = strtol(value, &end, 10);
    if (*end != '\0' || count < 1 || count > 99) return wrong("a count is 1 to 99, not ", value);
    *counts[which] = (int)count;
    return true;
  }
  gw_len length;
  const char *fault = gw_len_parse(value, GW_UNITS_MM, &length);
  if (fault != NULL || length < 0) return wrong("not a length: ", value);
  *lengths[which - COUNTS] = length;
  return true;
}

static bool take_word(gw_label_sheet *sheet, char *word, unsigned *given) {
  char *value = strchr(word, '=');
  if (value == NULL) return wrong("no value for ", word);
  *value++ = '\0';
  for (int i = 0; i < NAMES; ++i) {
    if (strcmp(word, names[i]) != 0) continue;
    *given |= 1u << i;
    return take(sheet, i, value);
  }
  return wrong("no such measure: ", word);
}

bool gw_cli_labels(const char *text, gw_label_sheet *sheet) {
  char copy[256], *rest;
  unsigned given = 0;
  if (strlen(text) >= sizeof copy) return wrong("too long", "");
  strcpy(copy, text);
  *sheet = (gw_label_sheet){.first = 1};
  for (char *word = strtok_r(copy, ",", &rest); word != NULL; word = strtok_r(NULL, ",", &rest))
    if (!take_word(sheet, word, &given)) return false;
  for (int i = 0; i < NEEDED; ++i)
    if (!((given >> i) & 1)) return wrong("missing: ", names[i]);
  return true;
}
