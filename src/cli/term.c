#include "cli/term.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

enum { NARROWEST = 40, WIDEST = 1000 };

static int width_of(int descriptor) {
  const char *stated = getenv("COLUMNS");
  struct winsize size;
  long width = stated == NULL ? 0 : strtol(stated, NULL, 10);
  if (width <= 0 && ioctl(descriptor, TIOCGWINSZ, &size) == 0) width = size.ws_col;
  if (width > WIDEST) width = WIDEST;
  return width < NARROWEST ? 0 : (int)width;
}

static bool shows_colour(void) {
  const char *term = getenv("TERM"), *none = getenv("NO_COLOR");
  if (none != NULL && none[0] != '\0') return false;
  return term != NULL && term[0] != '\0' && strcmp(term, "dumb") != 0;
}

gw_term gw_term_at(int descriptor, gw_colour colour) {
  gw_term term = {.is_terminal = isatty(descriptor) == 1};
  if (term.is_terminal) term.width = width_of(descriptor);
  term.colour = colour == GW_COLOUR_ALWAYS ||
                (colour == GW_COLOUR_AUTO && term.is_terminal && shows_colour());
  return term;
}

/* Marks that stand on the letter before them; wide ones of East Asia (the
 * blocks of Unicode Standard Annex 11, from memory). */
static int columns_of(uint32_t c) {
  if ((c >= 0x300 && c <= 0x36f) || (c >= 0x200b && c <= 0x200f) || (c >= 0xfe00 && c <= 0xfe0f))
    return 0;
  bool wide = (c >= 0x1100 && c <= 0x115f) || (c >= 0x2e80 && c <= 0xa4cf) ||
              (c >= 0xac00 && c <= 0xd7a3) || (c >= 0xf900 && c <= 0xfaff) ||
              (c >= 0xfe30 && c <= 0xfe6f) || (c >= 0xff00 && c <= 0xff60) ||
              (c >= 0x1f300 && c <= 0x1faff) || (c >= 0x20000 && c <= 0x3fffd);
  return wide ? 2 : 1;
}

int gw_term_columns(const char *text, size_t *bytes) {
  const unsigned char *at = (const unsigned char *)text;
  size_t more = at[0] >= 0xf0 && at[0] < 0xf8 ? 3 : at[0] >= 0xe0 ? 2 : at[0] >= 0xc0 ? 1 : 0;
  uint32_t c = at[0] >= 0xf8 || more == 0 ? at[0] : at[0] & (0x3fu >> more);
  *bytes = 1;
  if (at[0] >= 0xf8) return 1;
  for (size_t i = 1; i <= more; ++i) {
    if ((at[i] & 0xc0) != 0x80) return 1;
    c = c << 6 | (at[i] & 0x3fu);
  }
  *bytes = more + 1;
  return columns_of(c);
}
