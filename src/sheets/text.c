/* text.c - cleaning, wrapping and cutting of words.  See text.h. */
#include "sheets/text.h"

#include <string.h>

/* ---- code points -------------------------------------------------------- */

/* Length of the sequence that a lead byte promises, and the bits it carries;
 * 0 for a byte that cannot lead. */
static size_t lead(unsigned char byte, uint32_t *bits) {
  *bits = byte;
  if (byte < 0x80) return 1;
  if (byte >= 0xC2 && byte <= 0xDF) { *bits = byte & 0x1Fu; return 2; }
  if (byte >= 0xE0 && byte <= 0xEF) { *bits = byte & 0x0Fu; return 3; }
  if (byte >= 0xF0 && byte <= 0xF4) { *bits = byte & 0x07u; return 4; }
  return 0;
}

/* Whether a code point of that many bytes is neither overlong, nor half of a
 * surrogate pair, nor beyond the last plane. */
static bool well_formed(uint32_t code, size_t length) {
  static const uint32_t least[5] = {0, 0, 0x80, 0x800, 0x10000};
  return code >= least[length] && code <= 0x10FFFF && !(code >= 0xD800 && code <= 0xDFFF);
}

uint32_t gw_text_next(const char *text, size_t size, size_t *at) {
  if (*at >= size) return 0;
  uint32_t code;
  size_t length = lead((unsigned char)text[*at], &code), i = 1;
  for (; i < length; i++) {
    unsigned char byte = *at + i < size ? (unsigned char)text[*at + i] : 0;
    if ((byte & 0xC0u) != 0x80u) break;
    code = code << 6 | (byte & 0x3Fu);
  }
  if (length == 0 || i < length || !well_formed(code, length)) {
    *at += 1;
    return GW_TEXT_REPLACEMENT;
  }
  *at += length;
  return code;
}

size_t gw_text_put(uint32_t code, char *out) {
  if (code < 0x80) {
    out[0] = (char)code;
    return 1;
  }
  if (code < 0x800) {
    out[0] = (char)(0xC0u | code >> 6);
    out[1] = (char)(0x80u | (code & 0x3Fu));
    return 2;
  }
  out[0] = (char)(0xE0u | code >> 12);
  out[1] = (char)(0x80u | (code >> 6 & 0x3Fu));
  out[2] = (char)(0x80u | (code & 0x3Fu));
  return 3;
}

/* ---- cleaning -------------------------------------------------------------- */

typedef struct range { uint32_t first, last; } range;

static bool in_ranges(uint32_t code, const range *ranges, size_t count) {
  for (size_t i = 0; i < count; i++)
    if (code >= ranges[i].first && code <= ranges[i].last) return true;
  return false;
}
#define IN_RANGES(code, table) in_ranges(code, table, sizeof table / sizeof table[0])

/* Tab, line and page ends, and the spaces of other widths. */
static const range spaces[] = {{0x09, 0x0D}, {0x20, 0x20}, {0x85, 0x85}, {0x1680, 0x1680},
                               {0x2000, 0x2006}, {0x2008, 0x200A}, {0x2028, 0x2029},
                               {0x205F, 0x205F}, {0x3000, 0x3000}};
/* No-break spaces: plain, figure, narrow. */
static const range hard_spaces[] = {{0xA0, 0xA0}, {0x2007, 0x2007}, {0x202F, 0x202F}};
/* Soft hyphen, zero widths, joiners, direction marks, variation selectors. */
static const range dropped[] = {{0xAD, 0xAD},     {0x200B, 0x200F}, {0x202A, 0x202E},
                                {0x2060, 0x206F}, {0xFE00, 0xFE0F}, {0xFEFF, 0xFEFF}};
/* Controls, non-characters, all that libharu cannot draw. */
static const range refused[] = {{0x00, 0x1F}, {0x7F, 0x9F}, {0xFDD0, 0xFDEF},
                                {0xFFFE, 0x10FFFF}};

size_t gw_text_clean_size(size_t size) { return size > (SIZE_MAX - 1) / 3 ? 0 : 3 * size + 1; }

size_t gw_text_clean(const char *text, char *out) {
  size_t size = strlen(text), at = 0, used = 0;
  while (at < size) {
    uint32_t code = gw_text_next(text, size, &at);
    if (IN_RANGES(code, dropped)) continue;
    if (IN_RANGES(code, spaces)) code = ' ';
    else if (IN_RANGES(code, hard_spaces)) code = GW_TEXT_HARD_SPACE;
    else if (IN_RANGES(code, refused)) code = GW_TEXT_REPLACEMENT;
    used += gw_text_put(code, out + used);
  }
  out[used] = '\0';
  return used;
}

/* ---- wrapping ---------------------------------------------------------------- */

static const range combining[] = {{0x300, 0x36F}, {0x1AB0, 0x1AFF}, {0x1DC0, 0x1DFF},
                                  {0x20D0, 0x20FF}, {0xFE20, 0xFE2F}};

/* Whether a line may end at byte `at`, after the character at `last` of a piece
 * that begins at `piece`: before a space, at the end, or after a '-' or '/'
 * that neither begins the piece nor has a digit or such a sign after it. */
static bool may_end(const char *text, size_t piece, size_t last, size_t at) {
  char sign = text[last], after = text[at];
  if (after == '\0' || after == ' ') return true;
  bool held = (after >= '0' && after <= '9') || after == '-' || after == '/';
  return (sign == '-' || sign == '/') && last > piece && !held;
}

static size_t skip_spaces(const char *text, size_t at) {
  while (text[at] == ' ') at++;
  return at;
}

/* One walk, which stops a character beyond the line: `whole` is the end of the
 * last piece that fits, `fits` the end of the last character that does. */
size_t gw_text_wrap(const char *text, size_t from, double width, gw_text_width_fn *measure,
                    void *context, gw_text_span *line) {
  size_t start = skip_spaces(text, from), at = start, piece = start;
  size_t whole = start, fits = start;
  double used = 0;
  while (text[at] != '\0') {
    size_t last = at;
    uint32_t code = gw_text_next(text, at + strnlen(text + at, 4), &at);
    used += measure(context, text + last, at - last);
    if (code == ' ') {
      piece = at;
      continue;
    }
    if (last > start && !IN_RANGES(code, combining)) fits = last;
    if (used > width && whole == start) whole = fits;
    if (used > width && whole > start) break;
    if (may_end(text, piece, last, at)) whole = piece = at;
  }
  *line = (gw_text_span){start, whole - start};
  return skip_spaces(text, whole);
}

size_t gw_text_line_count(const char *text, double width, gw_text_width_fn *measure,
                          void *context) {
  size_t at = 0, lines = 0;
  gw_text_span line;
  while (text[at] != '\0') {
    at = gw_text_wrap(text, at, width, measure, context, &line);
    if (line.bytes > 0) lines++;
  }
  return lines;
}

size_t gw_text_cut(const char *text, size_t bytes, double width, gw_text_width_fn *measure,
                   void *context) {
  if (measure(context, text, bytes) <= width) return bytes;
  double room = width - measure(context, GW_TEXT_ELLIPSIS, sizeof GW_TEXT_ELLIPSIS - 1);
  size_t at = 0, fits = 0;
  double used = 0;
  while (at < bytes) {
    size_t begin = at;
    uint32_t code = gw_text_next(text, bytes, &at);
    used += measure(context, text + begin, at - begin);
    if (used > room) break;
    if (code != ' ') fits = at;
  }
  return fits;
}
