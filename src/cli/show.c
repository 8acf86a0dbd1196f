#include "cli/show.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "cli/codes.h"
#include "cli/files.h"

enum { LARGEST = 64 * 1024 * 1024, ATTRIBUTE = 64, MARGIN = 5 };

/* ---- colours ------------------------------------------------------------------ */

static const char *on(const gw_term *term, const char *colour) {
  return term->colour ? colour : "";
}
static const char BOLD[] = "\033[1m", GREEN[] = "\033[32m", PLAIN[] = "\033[0m";
static const char *colour_of(gw_severity severity) {
  static const char *const colours[] = {"\033[1;31m", "\033[1;35m", "\033[1;36m"};
  return colours[severity];
}

/* ---- the words ------------------------------------------------------------------- */

typedef struct writing {
  FILE *out;
  int width, column; /* width 0: lines are not broken */
} writing;

static int columns_in(const char *text, size_t count) {
  int columns = 0;
  for (size_t at = 0, bytes; at < count; at += bytes) columns += gw_term_columns(text + at, &bytes);
  return columns;
}

/* Writes words, each with a blank before it, or on a new line, two blanks in,
 * where it would not fit. */
static void write_words(writing *w, const char *text) {
  while (*text != '\0') {
    size_t length = strcspn(text, " ");
    int columns = columns_in(text, length);
    bool breaks = w->width > 0 && w->column > 2 && w->column + 1 + columns > w->width;
    fputs(breaks ? "\n  " : " ", w->out);
    w->column = breaks ? 2 + columns : w->column + 1 + columns;
    fwrite(text, 1, length, w->out);
    text += length + (text[length] == ' ');
  }
}

static void write_finding(const gw_findings *list, const gw_finding *f, const gw_term *term,
                          FILE *out) {
  char line[16] = "";
  writing w = {.out = out, .width = term->width};
  const char *file = gw_findings_file(list), *grave = gw_severity_name(f->severity);
  if (f->line > 0) snprintf(line, sizeof line, ":%d", f->line);
  fprintf(out, "%s%s%s:%s %s%s:%s", on(term, BOLD), file, line, on(term, PLAIN),
          on(term, colour_of(f->severity)), grave, on(term, PLAIN));
  w.column = columns_in(file, strlen(file)) + (int)strlen(line) + (int)strlen(grave) + 3;
  write_words(&w, f->words);
  bool breaks = w.width > 0 && w.column + 3 + (int)strlen(f->code) > w.width;
  fprintf(out, "%s[%s]\n", breaks ? "\n  " : " ", f->code);
}

/* ---- the line of the file ----------------------------------------------------------- */

static bool starts_name(char c) { return isalpha((unsigned char)c) || c == '_'; }
static bool in_name(char c) {
  return isalnum((unsigned char)c) || c == '_' || c == '-' || c == '.' || c == ':';
}
static bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; }

/* The attribute in the tag whose name ends at `at`: its name and value. */
static bool find_attribute(const char *text, size_t count, size_t at, const char *attribute,
                           size_t *from, size_t *to) {
  size_t length = strlen(attribute);
  while (at < count && text[at] != '>') {
    if (text[at] == '"' || text[at] == '\'') {
      const char *end = memchr(text + at + 1, text[at], count - at - 1);
      if (end == NULL) return false;
      at = (size_t)(end - text) + 1;
      continue;
    }
    bool here = is_blank(text[at - 1]) && count - at > length &&
                strncmp(text + at, attribute, length) == 0 && !in_name(text[at + length]);
    if (!here) {
      ++at;
      continue;
    }
    const char *open = memchr(text + at, '"', count - at);
    size_t left = open == NULL ? 0 : count - (size_t)(open - text) - 1;
    const char *shut = open == NULL ? NULL : memchr(open + 1, '"', left);
    *from = at;
    *to = shut == NULL ? at + length : (size_t)(shut - text) + 1;
    return true;
  }
  return false;
}

static void set_line(const char *text, size_t count, gw_pointed *spot) {
  spot->begin = spot->from;
  while (spot->begin > 0 && text[spot->begin - 1] != '\n') --spot->begin;
  const char *end = memchr(text + spot->from, '\n', count - spot->from);
  spot->end = end == NULL ? count : (size_t)(end - text);
  if (spot->end > spot->begin && text[spot->end - 1] == '\r') --spot->end;
  if (spot->to > spot->end) spot->to = spot->end;
}

bool gw_show_spot(const char *text, size_t count, int line, const char *attribute,
                  gw_pointed *out) {
  size_t at = 0;
  bool found = false;
  for (int here = 1; here < line; ++here) {
    const char *end = memchr(text + at, '\n', count - at);
    if (end == NULL) return false;
    at = (size_t)(end - text) + 1;
  }
  *out = (gw_pointed){.line = line};
  for (; at + 1 < count && text[at] != '\n'; ++at) {
    if (text[at] != '<' || !starts_name(text[at + 1])) continue;
    size_t name = at + 1, from, to;
    while (name < count && in_name(text[name])) ++name;
    if (!found) out->from = at, out->to = name;
    found = true;
    if (attribute == NULL || !find_attribute(text, count, name, attribute, &from, &to)) continue;
    for (size_t i = at; i < from; ++i) out->line += text[i] == '\n';
    out->from = from;
    out->to = to;
    break;
  }
  if (found) set_line(text, count, out);
  return found;
}

/* The attribute that a finding is about: see codes.def. */
static const char *attribute_of(const gw_finding *f, char buffer[ATTRIBUTE]) {
  int code = gw_code_find(f->code);
  const char *hint = code < 0 ? "" : gw_code_at((size_t)code)->look_at;
  if (hint[0] == '\0') return NULL;
  if (hint[0] != '@') return hint;
  const char *words = hint[1] == '\0' ? f->words : strstr(f->words, hint + 1);
  if (words == NULL) return NULL;
  if (hint[1] != '\0') words += strlen(hint + 1);
  size_t length = strspn(words, "abcdefghijklmnopqrstuvwxyz-");
  if (length == 0 || length >= ATTRIBUTE) return NULL;
  memcpy(buffer, words, length);
  buffer[length] = '\0';
  return buffer;
}

/* Writes [from, to) of the text as it may reach a terminal; returns columns. */
static int write_line(const char *text, size_t from, size_t to, FILE *out) {
  int columns = 0;
  while (from < to) {
    unsigned char c = (unsigned char)text[from];
    size_t bytes;
    int wide = gw_term_columns(text + from, &bytes);
    if (bytes > to - from) bytes = to - from;
    bool hidden = c < 0x20 || c == 0x7f || (bytes == 1 && c >= 0x80) ||
                  (c == 0xc2 && bytes == 2 && (unsigned char)text[from + 1] < 0xa0);
    if (out != NULL && hidden) fputc(c == '\t' ? ' ' : '?', out);
    if (out != NULL && !hidden) fwrite(text + from, 1, bytes, out);
    columns += hidden ? 1 : wide;
    from += bytes;
  }
  return columns;
}

/* Leaves out the front of a line, then its end, until the spot is in view. */
static void crop(const char *text, const gw_pointed *spot, int room, size_t *from, size_t *to) {
  size_t bytes;
  *from = spot->begin;
  *to = spot->end;
  while (*from < spot->from && write_line(text, *from, spot->to, NULL) > room) {
    gw_term_columns(text + *from, &bytes);
    *from += bytes;
  }
  while (*to > *from && write_line(text, *from, *to, NULL) > room) {
    --*to;
    while (*to > *from && ((unsigned char)text[*to] & 0xc0) == 0x80) --*to;
  }
}

static void write_spot(const char *text, const gw_pointed *spot, const gw_term *term, FILE *out) {
  size_t from = spot->begin, to = spot->end, end;
  if (term->width > 0) crop(text, spot, term->width - MARGIN - 4, &from, &to);
  fprintf(out, "%*d | ", MARGIN, spot->line);
  write_line(text, from, to, out);
  fprintf(out, "\n%*s | ", MARGIN, "");
  end = spot->to < to ? spot->to : to;
  int before = write_line(text, from, spot->from, NULL);
  int under = write_line(text, spot->from, end, NULL);
  fprintf(out, "%*s%s^", before, "", on(term, GREEN));
  for (int i = 1; i < under; ++i) fputc('~', out);
  fprintf(out, "%s\n", on(term, PLAIN));
}

/* ---- the file ------------------------------------------------------------------------ */

/* The whole of a plain file, malloc'd; NULL when it cannot be had, which is no
 * failure: the findings are shown without its lines. */
static char *read_again(const char *path, size_t *count) {
  struct stat about;
  char *text = NULL;
  if (stat(path, &about) != 0 || !S_ISREG(about.st_mode)) return NULL;
  if (gw_file_read(path, LARGEST, &text, count, NULL) != GW_OK) return NULL;
  return text;
}

static void show(const gw_findings *list, bool quiet, const gw_term *term, const char *text,
                 size_t count, FILE *out) {
  for (size_t i = 0; i < gw_findings_count(list); ++i) {
    const gw_finding *f = gw_findings_at(list, i);
    char buffer[ATTRIBUTE];
    gw_pointed spot;
    if (quiet && f->severity != GW_ERROR) continue;
    write_finding(list, f, term, out);
    if (text != NULL && f->line > 0 &&
        gw_show_spot(text, count, f->line, attribute_of(f, buffer), &spot))
      write_spot(text, &spot, term, out);
  }
}

gw_status gw_show_findings(const gw_findings *findings, bool quiet, const gw_term *term,
                           FILE *out) {
  size_t count = 0, errors = gw_findings_count_of(findings, GW_ERROR);
  char *text = NULL;
  if (!term->is_terminal && !term->colour && !quiet) return gw_findings_print(findings, out);
  if (term->is_terminal) text = read_again(gw_findings_file(findings), &count);
  show(findings, quiet, term, text, count, out);
  free(text);
  if (term->is_terminal && errors > 0)
    fprintf(out, "More about a code in brackets: gluewright explain CODE\n");
  return ferror(out) ? GW_IO : GW_OK;
}
