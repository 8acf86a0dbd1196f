/* `gluewright new --from-list`: a project file from a parts list. */
#include <ctype.h>
#include <libxml/xmlstring.h>
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"
#include "cli/csv.h"
#include "cli/files.h"

enum {
  LARGEST = 16 * 1024 * 1024,
  ID_LENGTH = 40,     /* as in the schema */
  SUFFIX_ROOM = 12,   /* kept free in an id for two numbers, "-999-20000" */
  NAME_LENGTH = 80,   /* characters, as in the schema */
  MOST_OF_ONE = 999,
  MOST_PARTS = 20000
};

/* The columns of ours; others are left alone. */
typedef enum column { ID, NAME, LENGTH, WIDTH, THICKNESS, MATERIAL, COUNT, COLUMNS } column;
static const char *const titles[COLUMNS] = {"id",        "name",     "length", "width",
                                            "thickness", "material", "count"};

typedef struct listing {
  const gw_options *o;
  gw_csv csv;
  int at[COLUMNS]; /* which field; -1: no such column */
  gw_names *ids;
  FILE *out;
  int parts;
  gw_error *err;
} listing;

/* ---- the rows ---------------------------------------------------------------------- */

static const char *field(const listing *l, const gw_csv_row *row, column which) {
  int at = l->at[which];
  return at < 0 || at >= row->n_fields ? "" : row->fields[at];
}

static bool is_title(const char *text, const char *title) {
  for (; *title != '\0'; ++text, ++title)
    if (tolower((unsigned char)*text) != *title) return false;
  return *text == '\0';
}

static gw_status find_columns(listing *l) {
  const gw_csv_row *head = &l->csv.rows[0];
  for (int c = 0; c < COLUMNS; ++c) {
    l->at[c] = -1;
    for (int i = 0; i < head->n_fields && l->at[c] < 0; ++i)
      if (is_title(head->fields[i], titles[c])) l->at[c] = i;
  }
  if (l->at[ID] < 0 && l->at[NAME] < 0)
    return gw_fail(l->err, GW_BAD_INPUT, "line %d: the first row names the columns; one of them "
                   "has to be id or name", head->line);
  for (int c = LENGTH; c <= THICKNESS; ++c)
    if (l->at[c] < 0)
      return gw_fail(l->err, GW_BAD_INPUT, "line %d: there is no column %s (wanted are id or name, "
                     "length, width, thickness; material and count if you like)", head->line,
                     titles[c]);
  return GW_OK;
}

/* A size as it goes into the file. */
static gw_status take_size(const listing *l, const gw_csv_row *row, column which, char *out,
                           size_t room) {
  gw_len length = 0;
  const char *text = field(l, row, which);
  if (strlen(text) >= room)
    return gw_fail(l->err, GW_BAD_INPUT, "line %d: %s is no length", row->line, titles[which]);
  size_t used = 0; /* the file has one blank at most between two words */
  for (const char *c = text; *c != '\0'; ++c)
    if (*c != ' ' || c[1] != ' ') out[used++] = *c;
  out[used] = '\0';
  char *comma = l->csv.decimal_comma ? strchr(out, ',') : NULL;
  if (comma != NULL) *comma = '.';
  const char *wrong = gw_len_parse(out, l->o->units, &length);
  if (wrong != NULL)
    return gw_fail(l->err, GW_BAD_INPUT, "line %d: %s \"%s\" %s", row->line, titles[which], text,
                   wrong);
  if (length <= 0)
    return gw_fail(l->err, GW_BAD_INPUT, "line %d: %s is nought or less", row->line, titles[which]);
  return GW_OK;
}

static gw_status take_count(const listing *l, const gw_csv_row *row, int *count) {
  const char *text = field(l, row, COUNT);
  char *end;
  long value = text[0] == '\0' ? 1 : strtol(text, &end, 10);
  if (text[0] != '\0' && (*end != '\0' || value < 1 || value > MOST_OF_ONE))
    return gw_fail(l->err, GW_BAD_INPUT, "line %d: count \"%s\" is no whole number from 1 to %d",
                   row->line, text, MOST_OF_ONE);
  *count = (int)value;
  return GW_OK;
}

static gw_status check_words(const listing *l, const gw_csv_row *row, column which) {
  const char *text = field(l, row, which);
  int characters = 0;
  for (const char *c = text; *c != '\0'; ++c) characters += ((unsigned char)*c & 0xc0) != 0x80;
  if (characters <= NAME_LENGTH) return GW_OK;
  return gw_fail(l->err, GW_BAD_INPUT, "line %d: %s is longer than %d characters", row->line,
                 titles[which], NAME_LENGTH);
}

/* ---- ids ----------------------------------------------------------------------------- */

/* "Top rail, left" becomes "top-rail-left". */
static void make_id(const char *text, bool lower, char out[ID_LENGTH + 1]) {
  size_t used = 0;
  bool gap = false;
  for (; *text != '\0' && used < ID_LENGTH - SUFFIX_ROOM - 2; ++text) {
    unsigned char c = (unsigned char)*text;
    if (c >= 0x80 || (!isalnum(c) && c != '_')) {
      gap = true;
      continue;
    }
    if (used == 0 && !isalpha(c)) {
      out[used++] = 'p';
      gap = true;
    }
    if (gap && used > 0) out[used++] = '-';
    out[used++] = lower ? (char)tolower(c) : (char)c;
    gap = false;
  }
  out[used] = '\0';
  if (used == 0) strcpy(out, "part");
}

/* Takes an id into use; a given one must be new, a made one gets a number until
 * it is. */
static gw_status take_id(listing *l, const gw_csv_row *row, bool given, char *id) {
  size_t stem = strlen(id);
  for (int number = 2; number <= MOST_PARTS; ++number) {
    char *kept = gw_arena_text(l->csv.arena, id);
    if (kept == NULL) return GW_NO_MEMORY;
    gw_status status = gw_names_add(l->ids, kept, row->line);
    if (status != GW_BAD_INPUT) return status;
    if (given)
      return gw_fail(l->err, GW_BAD_INPUT, "line %d: the id %s stands on line %d already",
                     row->line, id, gw_names_find(l->ids, kept));
    snprintf(id + stem, ID_LENGTH + 1 - stem, "-%d", number);
  }
  return GW_TOO_LARGE;
}

/* ---- the file -------------------------------------------------------------------------- */

static void write_escaped(FILE *out, const char *name, const char *text) {
  if (text[0] == '\0') return;
  fprintf(out, " %s=\"", name);
  for (; *text != '\0'; ++text) {
    switch (*text) {
      case '<': fputs("&lt;", out); break;
      case '&': fputs("&amp;", out); break;
      case '"': fputs("&quot;", out); break;
      default: fputc(*text, out);
    }
  }
  fputc('"', out);
}

/* The part itself, or one like the first of its kind. */
static void write_part(const listing *l, const gw_csv_row *row, const char *id, const char *like,
                       char (*sizes)[32], int number) {
  char name[NAME_LENGTH * 4 + 16];
  const char *words = field(l, row, NAME);
  snprintf(name, sizeof name, number > 0 && words[0] != '\0' ? "%s %d" : "%s", words, number);
  fprintf(l->out, "  <part id=\"%s\"", id);
  write_escaped(l->out, "name", name);
  if (like != NULL) {
    fprintf(l->out, " like=\"%s\"/>\n", like);
    return;
  }
  write_escaped(l->out, "material", field(l, row, MATERIAL));
  for (int c = LENGTH; c <= THICKNESS; ++c) write_escaped(l->out, titles[c], sizes[c - LENGTH]);
  fputs(" face=\"front\" edge=\"up\"/>\n", l->out);
}

static gw_status write_row(listing *l, const gw_csv_row *row) {
  char sizes[3][32], stem[ID_LENGTH + 1], id[ID_LENGTH + 1], first[ID_LENGTH + 1];
  int count = 0;
  bool given = field(l, row, ID)[0] != '\0';
  for (int c = LENGTH; c <= THICKNESS; ++c)
    GW_TRY(take_size(l, row, (column)c, sizes[c - LENGTH], sizeof sizes[0]));
  GW_TRY(take_count(l, row, &count));
  GW_TRY(check_words(l, row, NAME));
  GW_TRY(check_words(l, row, MATERIAL));
  make_id(field(l, row, given ? ID : NAME), !given, stem);
  for (int i = 1; i <= count; ++i) {
    if (++l->parts > MOST_PARTS)
      return gw_fail(l->err, GW_TOO_LARGE, "more than %d parts", MOST_PARTS);
    snprintf(id, sizeof id, count > 1 ? "%s-%d" : "%s", stem, i);
    GW_TRY(take_id(l, row, given, id));
    if (i == 1) strcpy(first, id);
    write_part(l, row, id, i == 1 ? NULL : first, sizes, count > 1 ? i : 0);
  }
  return GW_OK;
}

/* The name of the file without folder and ending. */
static const char *piece_name(const char *path, char *buffer, size_t room) {
  const char *base = strrchr(path, '/') == NULL ? path : strrchr(path, '/') + 1;
  snprintf(buffer, room, "%s", base);
  char *dot = strrchr(buffer, '.');
  if (dot != NULL && dot != buffer) *dot = '\0';
  bool usable = buffer[0] != '\0' && strcmp(buffer, "-") != 0 && xmlCheckUTF8((xmlChar *)buffer);
  for (char *c = buffer; *c != '\0'; ++c) usable = usable && (unsigned char)*c >= 0x20;
  return usable ? buffer : "Parts list";
}

static void write_head(const listing *l) {
  char name[NAME_LENGTH];
  fputs("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
        "<!-- From a parts list.  Sizes are overall: length along the grain, tails and tenons\n"
        "     included.  Put right for each part where its face side (face) and its face edge\n"
        "     (edge) point as the piece stands before you, then give it the halves of its joints. -->\n"
        "<piece xmlns=\"urn:gluewright:piece:1\" version=\"1\"", l->out);
  write_escaped(l->out, "name", piece_name(l->o->from_list, name, sizeof name));
  fprintf(l->out, " units=\"%s\">\n", l->o->units == GW_UNITS_INCH ? "in" : "mm");
  fputs("  <!-- Your glue: put in what the label says; it wins over the typical figures. -->\n"
        "  <glue id=\"bottle\" kind=\"pva\"/>\n\n", l->out);
}

static gw_status write_list(listing *l, const char *bytes, size_t count) {
  GW_TRY(gw_csv_read(bytes, count, &l->csv, l->err));
  if (!xmlCheckUTF8((const xmlChar *)bytes))
    return gw_fail(l->err, GW_BAD_INPUT, "the list is not in UTF-8; save it so");
  GW_TRY(find_columns(l));
  if (l->csv.n_rows < 2) return gw_fail(l->err, GW_BAD_INPUT, "the list has no parts");
  l->ids = gw_names_new();
  if (l->ids == NULL) return GW_NO_MEMORY;
  write_head(l);
  for (int i = 1; i < l->csv.n_rows; ++i) GW_TRY(write_row(l, &l->csv.rows[i]));
  fputs("</piece>\n", l->out);
  return GW_OK;
}

/* Written into memory first: a list with a slip in it leaves no file behind. */
static gw_status convert(const gw_options *o, char **text, size_t *size, gw_error *err) {
  char *bytes = NULL;
  size_t count;
  GW_TRY(gw_file_read(o->from_list, LARGEST, &bytes, &count, err));
  listing l = {.o = o, .err = err, .out = open_memstream(text, size)};
  gw_status status = l.out == NULL ? GW_NO_MEMORY : write_list(&l, bytes, count);
  if (l.out != NULL && fclose(l.out) != 0 && status == GW_OK) status = GW_NO_MEMORY;
  gw_names_free(l.ids);
  gw_csv_clear(&l.csv);
  free(bytes);
  return status;
}

gw_exit gw_cli_from_list(const gw_options *o) {
  char *text = NULL;
  size_t size = 0;
  gw_error err = {0}, named = {0};
  gw_status status = convert(o, &text, &size, &err);
  if (status == GW_BAD_INPUT || status == GW_TOO_LARGE)
    gw_fail(&named, status, "%s: %s", o->from_list, err.words);
  FILE *out = status == GW_OK ? gw_file_open(o->output, true, &named) : NULL;
  if (status == GW_OK) status = out == NULL ? named.status : GW_OK;
  if (out != NULL) {
    fwrite(text, 1, size, out);
    status = gw_file_close(out, o->output, &named);
  }
  free(text);
  if (status == GW_OK) return GW_EXIT_MATES;
  gw_exit exit = gw_cli_failed(status, named.words[0] != '\0' ? &named : &err);
  return status == GW_IO && out == NULL && size == 0 ? GW_EXIT_NOT_JUDGED : exit;
}
