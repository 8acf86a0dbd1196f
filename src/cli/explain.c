/* `gluewright explain`: what a code means. */
#include <string.h>
#include <unistd.h>

#include "cli/cli.h"
#include "cli/codes.h"
#include "cli/term.h"

enum { USUAL_WIDTH = 78 };

/* Words, broken at blanks. */
static void write_wrapped(const char *text, int width) {
  int column = 0;
  while (*text != '\0') {
    size_t length = strcspn(text, " ");
    if (column > 0 && column + 1 + (int)length > width) {
      putchar('\n');
      column = 0;
    }
    column += printf("%s%.*s", column > 0 ? " " : "", (int)length, text);
    text += length + (text[length] == ' ');
  }
  putchar('\n');
}

static void write_example(const char *lines) {
  if (lines[0] == '\0') return;
  fputs("\nFor example:\n\n", stdout);
  while (*lines != '\0') {
    size_t length = strcspn(lines, "\n");
    printf("    %.*s\n", (int)length, lines);
    lines += length + 1;
  }
}

static int width_of_page(void) {
  int width = gw_term_at(STDOUT_FILENO, GW_COLOUR_NEVER).width;
  return width > 0 && width < USUAL_WIDTH ? width : USUAL_WIDTH;
}

static gw_exit list_codes(void) {
  for (size_t i = 0; i < gw_code_count(); ++i)
    printf("%-20s  %s\n", gw_code_at(i)->code, gw_code_at(i)->means);
  return GW_EXIT_MATES;
}

static gw_exit no_such_code(const char *word) {
  enum { MOST = 200 };
  const char *names[MOST];
  size_t count = gw_code_count() < MOST ? gw_code_count() : MOST;
  for (size_t i = 0; i < count; ++i) names[i] = gw_code_at(i)->code;
  int near = gw_nearest(word, names, count);
  if (near >= 0)
    fprintf(stderr, "gluewright: there is no code %s; did you mean %s?\n", word, names[near]);
  else
    fprintf(stderr, "gluewright: there is no code %s; 'gluewright explain' lists them\n", word);
  return GW_EXIT_NOT_JUDGED;
}

gw_exit gw_cli_explain(const gw_options *o) {
  if (o->operand == NULL) return list_codes();
  int index = gw_code_find(o->operand);
  if (index < 0) return no_such_code(o->operand);
  const gw_code *code = gw_code_at((size_t)index);
  int width = width_of_page();
  printf("%s (%s)\n", code->code, code->severity);
  write_wrapped(code->means, width);
  putchar('\n');
  write_wrapped(code->advice, width);
  write_example(gw_code_example((size_t)index));
  return GW_EXIT_MATES;
}
