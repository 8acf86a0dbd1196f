/* term.h - what stands at the other end of standard error.
 *
 * Environment: COLUMNS, TERM, NO_COLOR. */
#ifndef GW_CLI_TERM_H
#define GW_CLI_TERM_H

#include <stdbool.h>
#include <stddef.h>

typedef enum gw_colour { GW_COLOUR_AUTO, GW_COLOUR_ALWAYS, GW_COLOUR_NEVER } gw_colour;

typedef struct gw_term {
  bool is_terminal;
  bool colour; /* wanted and, unless it was asked for, shown by the terminal */
  int width;   /* columns; 0: lines are not broken */
} gw_term;

/* The terminal at a file descriptor; one that is narrower than 40 columns is
 * taken as one that breaks lines itself. */
gw_term gw_term_at(int descriptor, gw_colour colour);

/* Reads one character of UTF-8: how many columns it takes, and in *bytes (at
 * least 1) how many bytes.  A byte that is no UTF-8 takes one column. */
int gw_term_columns(const char *text, size_t *bytes);

#endif
