#include "cli/csv.h"

#include <string.h>

enum { MOST_FIELDS = 64, MOST_ROWS = 100000, LONGEST_FIELD = 1000 };

/* ---- writing -------------------------------------------------------------------- */

void gw_csv_text(FILE *out, bool first, const char *text) {
  bool plain = strpbrk(text, ",\"\r\n;\t") == NULL;
  if (!first) fputc(',', out);
  if (!plain) fputc('"', out);
  for (; *text != '\0'; ++text) {
    if (*text == '"') fputc('"', out);
    fputc(*text, out);
  }
  if (!plain) fputc('"', out);
}

void gw_csv_end(FILE *out) { fputc('\n', out); }

/* ---- reading -------------------------------------------------------------------- */

typedef struct reading {
  const char *at, *end;
  int line;
  char divider;
  gw_csv *csv;
  gw_error *err;
} reading;

static char divider_of(const char *at, const char *end) {
  static const char dividers[] = {',', ';', '\t'};
  int best = 0, counts[3] = {0};
  bool quoted = false;
  for (; at < end && (quoted || (*at != '\n' && *at != '\r')); ++at) {
    if (*at == '"') quoted = !quoted;
    for (int i = 0; i < 3 && !quoted; ++i) counts[i] += *at == dividers[i];
  }
  for (int i = 1; i < 3; ++i)
    if (counts[i] > counts[best]) best = i;
  return dividers[best];
}

static bool ends_field(const reading *r, char c) {
  return c == r->divider || c == '\n' || c == '\r';
}

/* One field into `buffer`, blanks around it left out; returns its length. */
static gw_status take_field(reading *r, char *buffer, size_t *length) {
  size_t used = 0, keep = 0; /* quoted blanks are kept */
  bool quoted = false;
  while (r->at < r->end && (quoted || !ends_field(r, *r->at))) {
    char c = *r->at++;
    if (c == '"' && (quoted || used == 0)) {
      bool twice = quoted && r->at < r->end && *r->at == '"';
      if (!twice) {
        quoted = !quoted;
        continue;
      }
      ++r->at;
    }
    if (c == '\n') r->line++;
    if ((c == ' ' || c == '\t') && !quoted && used == 0) continue;
    if ((unsigned char)c < 0x20) c = ' ';
    if (used == LONGEST_FIELD)
      return gw_fail(r->err, GW_BAD_INPUT, "line %d: a field is longer than %d bytes", r->line,
                     LONGEST_FIELD);
    buffer[used++] = c;
    if (quoted || c != ' ') keep = used;
  }
  if (quoted)
    return gw_fail(r->err, GW_BAD_INPUT, "line %d: a quotation mark is not closed", r->line);
  *length = keep;
  return GW_OK;
}

static gw_status add_field(reading *r, gw_csv_row *row, const char *text, size_t length) {
  if (row->n_fields == MOST_FIELDS)
    return gw_fail(r->err, GW_BAD_INPUT, "line %d: more than %d columns", r->line, MOST_FIELDS);
  row->fields[row->n_fields] = gw_arena_text_n(r->csv->arena, text, length);
  return row->fields[row->n_fields++] == NULL ? GW_NO_MEMORY : GW_OK;
}

static gw_status take_row(reading *r, gw_csv_row *row, bool *empty) {
  char *fields[MOST_FIELDS], buffer[LONGEST_FIELD];
  size_t length = 0;
  *row = (gw_csv_row){.line = r->line, .fields = fields};
  *empty = true;
  for (bool more = true; more;) {
    GW_TRY(take_field(r, buffer, &length));
    GW_TRY(add_field(r, row, buffer, length));
    *empty = *empty && length == 0;
    more = r->at < r->end && *r->at == r->divider;
    if (more) ++r->at;
  }
  if (r->at < r->end && *r->at == '\r') ++r->at;
  if (r->at < r->end && *r->at == '\n') ++r->at;
  r->line++;
  row->fields = gw_arena_alloc(r->csv->arena, (size_t)row->n_fields, sizeof *row->fields);
  if (row->fields == NULL) return GW_NO_MEMORY;
  memcpy(row->fields, fields, (size_t)row->n_fields * sizeof *fields);
  return GW_OK;
}

static gw_status take_rows(reading *r) {
  gw_csv *csv = r->csv;
  int room = 0;
  while (r->at < r->end) {
    bool empty;
    gw_csv_row row;
    GW_TRY(take_row(r, &row, &empty));
    if (empty) continue;
    if (csv->n_rows == MOST_ROWS)
      return gw_fail(r->err, GW_TOO_LARGE, "more than %d rows", MOST_ROWS);
    if (csv->n_rows == room) {
      gw_csv_row *wider = gw_arena_alloc(csv->arena, (size_t)(room = room * 2 + 64), sizeof *wider);
      if (wider == NULL) return GW_NO_MEMORY;
      if (csv->n_rows > 0) memcpy(wider, csv->rows, (size_t)csv->n_rows * sizeof *wider);
      csv->rows = wider;
    }
    csv->rows[csv->n_rows++] = row;
  }
  return csv->n_rows > 0 ? GW_OK : gw_fail(r->err, GW_BAD_INPUT, "the list is empty");
}

gw_status gw_csv_read(const char *text, size_t count, gw_csv *out, gw_error *err) {
  static const char mark[] = "\xEF\xBB\xBF"; /* byte order mark */
  *out = (gw_csv){.arena = gw_arena_new()};
  if (out->arena == NULL) return GW_NO_MEMORY;
  if (memchr(text, '\0', count) != NULL)
    return gw_fail(err, GW_BAD_INPUT, "this is not text; save the list as CSV");
  reading r = {.at = text, .end = text + count, .line = 1, .csv = out, .err = err};
  if (count >= 3 && memcmp(text, mark, 3) == 0) r.at += 3;
  r.divider = divider_of(r.at, r.end);
  out->decimal_comma = r.divider != ',';
  return take_rows(&r);
}

void gw_csv_clear(gw_csv *csv) {
  gw_arena_free(csv->arena);
  *csv = (gw_csv){0};
}
