#include "cli/codes.h"

#include <string.h>

#include "codes_text.h"

static const gw_code rows[] = {
#define CODE(code, severity, look_at, means, advice, example) \
  {code, severity, look_at, means, advice},
#include "cli/codes/codes.def"
#undef CODE
};
enum { ROWS = sizeof rows / sizeof *rows };
_Static_assert(ROWS == sizeof examples / sizeof *examples, "examples of another codes.def");

size_t gw_code_count(void) { return ROWS; }
const gw_code *gw_code_at(size_t index) { return &rows[index]; }
const char *gw_code_example(size_t index) { return examples[index]; }

int gw_code_find(const char *code) {
  for (int i = 0; i < ROWS; ++i)
    if (strcmp(rows[i].code, code) == 0) return i;
  return -1;
}
