/* What must be known of the bytes before libxml2 sees them.
 *
 * libxml2 2.9 compares each attribute of an element with all before it: a
 * megabyte of attributes on one element keeps it busy for hours.  So they are
 * counted here first.  The count needs to know where a tag ends, which the bytes
 * tell in every encoding that has ASCII in it; the others are refused. */
#include <string.h>

#include "read/parts.h"

/* The text as numbers of one byte or two; markup is ASCII in both. */
typedef struct units {
  const unsigned char *bytes;
  size_t count, at, width, low; /* `low`: where the low byte of a number lies */
} units;

enum { END = -1 };

static int next_unit(units *u) {
  if (u->at + u->width > u->count) return END;
  int unit = u->bytes[u->at + u->low];
  if (u->width == 2 && u->bytes[u->at + 1 - u->low] != 0) unit = 0xFF; /* no markup */
  u->at += u->width;
  return unit;
}

/* Whether `word` comes next; if so it is passed. */
static bool take(units *u, const char *word) {
  units ahead = *u;
  for (; *word != '\0'; ++word)
    if (next_unit(&ahead) != (unsigned char)*word) return false;
  *u = ahead;
  return true;
}

/* Passes everything up to the next such unit, and that; false at the end. */
static bool skip_to(units *u, int wanted) {
  if (u->width == 1) {
    const unsigned char *found = memchr(u->bytes + u->at, wanted, u->count - u->at);
    u->at = found == NULL ? u->count : (size_t)(found - u->bytes) + 1;
    return found != NULL;
  }
  int unit = next_unit(u);
  while (unit != wanted && unit != END) unit = next_unit(u);
  return unit == wanted;
}

static void skip_past(units *u, const char *word) {
  while (!take(u, word) && next_unit(u) != END) continue;
}

/* The next unit that begins or ends something in a tag. */
static int next_mark(units *u) {
  int unit;
  do {
    unit = u->width > 1 ? next_unit(u) : u->at < u->count ? u->bytes[u->at++] : END;
  } while (unit != '>' && unit != '<' && unit != '"' && unit != '\'' && unit != END);
  return unit;
}

/* Attributes of the tag that begins here; it ends at ">", or, ill-formed, at "<". */
static int count_attributes(units *u) {
  int count = 0;
  for (int unit = next_mark(u); unit == '"' || unit == '\''; unit = next_mark(u)) {
    ++count;
    skip_to(u, unit);
  }
  return count;
}

static void look_at_order(units *u) {
  const unsigned char *b = u->bytes;
  if (u->count < 4) return;
  bool big = (b[0] == 0xFE && b[1] == 0xFF) || (b[0] == 0 && b[1] != 0);
  bool little = (b[0] == 0xFF && b[1] == 0xFE) || (b[0] != 0 && b[1] == 0);
  if (!big && !little) return;
  u->width = 2;
  u->low = big ? 1 : 0;
}

static int line_at(units *u, size_t end) {
  int line = 1;
  u->at = 0;
  while (skip_to(u, '\n') && u->at <= end) ++line;
  return line;
}

int gw_read_scan(const char *bytes, size_t count) {
  units u = {.bytes = (const unsigned char *)bytes, .count = count, .width = 1};
  look_at_order(&u);
  while (skip_to(&u, '<')) {
    size_t begin = u.at;
    if (take(&u, "!--")) skip_past(&u, "-->");
    else if (take(&u, "![CDATA[")) skip_past(&u, "]]>");
    else if (take(&u, "?")) skip_past(&u, "?>");
    else if (count_attributes(&u) > GW_READ_MAX_ATTRIBUTES) return line_at(&u, begin);
  }
  return 0;
}

bool gw_read_knows_encoding(const char *bytes, size_t count, const char *name) {
  static const char *const known[] = {"UTF-8", "UTF8", "UTF-16", "UTF-16LE", "UTF-16BE",
                                      "US-ASCII", "ASCII", "ISO-8859-", "WINDOWS-125"};
  static const unsigned char wide[][4] = {{0, 0, 0, '<'}, {'<', 0, 0, 0}, {0, 0, 0xFE, 0xFF},
                                          {0xFF, 0xFE, 0, 0}, {0x4C, 0x6F, 0xA7, 0x94}};
  for (size_t i = 0; count >= 4 && i < sizeof wide / sizeof *wide; ++i)
    if (memcmp(bytes, wide[i], 4) == 0) return false;
  if (name == NULL) return true;
  for (size_t i = 0; i < sizeof known / sizeof *known; ++i) {
    size_t length = strlen(known[i]);
    bool family = known[i][length - 1] == '-' || i == sizeof known / sizeof *known - 1;
    if (xmlStrncasecmp((const xmlChar *)name, (const xmlChar *)known[i], (int)length) == 0 &&
        (family || name[length] == '\0'))
      return true;
  }
  return false;
}
