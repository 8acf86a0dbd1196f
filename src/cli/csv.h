/* csv.h - tables with commas (RFC 4180), for spreadsheets. */
#ifndef GW_CLI_CSV_H
#define GW_CLI_CSV_H

#include "base/base.h"

/* ---- writing ---- */

/* One field, in quotation marks where it needs them; `first` says that it opens
 * a row.  gw_csv_end ends the row. */
void gw_csv_text(FILE *out, bool first, const char *text);
void gw_csv_end(FILE *out);

/* ---- reading ---- */

typedef struct gw_csv_row {
  int line;      /* on which it begins */
  char **fields; /* blanks around them left out */
  int n_fields;
} gw_csv_row;

typedef struct gw_csv {
  gw_csv_row *rows; /* empty ones left out */
  int n_rows;
  bool decimal_comma; /* the fields are not divided by commas */
  gw_arena *arena;
} gw_csv;

/* Reads a table.  Fields are divided by commas, semicolons or tabs, whichever
 * the first row has most of.  GW_BAD_INPUT with words in *err when it is no such
 * table.  Clear with gw_csv_clear whatever the outcome. */
gw_status gw_csv_read(const char *text, size_t count, gw_csv *out, gw_error *err);
void gw_csv_clear(gw_csv *csv);

#endif
