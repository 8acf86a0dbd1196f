/* show.h - findings for people at a terminal.
 *
 * Not on a terminal each is the one line of gw_findings_print.  On a terminal
 * long ones are broken at blanks, and below stands the line of the file with a
 * caret under the attribute or the element to look at. */
#ifndef GW_CLI_SHOW_H
#define GW_CLI_SHOW_H

#include "base/findings.h"
#include "cli/term.h"

/* Writes the findings; with `quiet` the errors only.  The file is read again
 * for its lines, unless it is standard input. */
gw_status gw_show_findings(const gw_findings *findings, bool quiet, const gw_term *term,
                           FILE *out);

/* What there is to look at in the text of a file, from a line (from 1) on: an
 * attribute of the first start tag on that line that has it, or the name of the
 * tag itself when `attribute` is NULL or not there.  False when no start tag
 * begins on that line.  Offsets into the text. */
typedef struct gw_pointed {
  int line;           /* where the attribute stands, which may be below */
  size_t begin, end;  /* of the line, line feed left out */
  size_t from, to;    /* what to point at */
} gw_pointed;
bool gw_show_spot(const char *text, size_t count, int line, const char *attribute, gw_pointed *out);

#endif
