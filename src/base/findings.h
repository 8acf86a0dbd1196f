/* findings.h - what is wrong with a project, in the maker's words.
 *
 * A finding names the line it stands on, how grave it is, a code in plain
 * hyphenated words, a sentence, and the parts and joints it is about.  Every
 * room adds to one list; the command prints it, sorted by line. */
#ifndef GW_FINDINGS_H
#define GW_FINDINGS_H

#include "base/base.h"

typedef enum gw_severity { GW_ERROR, GW_WARNING, GW_NOTE } gw_severity;

typedef struct gw_finding {
  gw_severity severity;
  const char *code;  /* static storage, such as "no-socket" */
  int line;          /* 1-based; 0 when no line can be named */
  const char *words; /* owned by the list */
  /* Indices of the parts and joints it is about, in the order in which the
   * sentence walks them. */
  int *parts, *joints;
  int n_parts, n_joints;
} gw_finding;

typedef struct gw_findings gw_findings;

/* A new, empty list for the named file; NULL when memory is short. */
gw_findings *gw_findings_new(const char *file);
void gw_findings_free(gw_findings *list);

/* Adds one finding.  `code` must be a static string.  The words are printf. */
gw_status gw_find(gw_findings *list, gw_severity severity, const char *code, int line,
                  const char *format, ...) __attribute__((format(printf, 5, 6)));
/* Says which parts and joints the finding added last is about. */
gw_status gw_find_part(gw_findings *list, int part);
gw_status gw_find_joint(gw_findings *list, int joint);

size_t gw_findings_count(const gw_findings *list);
size_t gw_findings_count_of(const gw_findings *list, gw_severity severity);
/* Borrowed until the next gw_find().  In line order after gw_findings_sort. */
const gw_finding *gw_findings_at(const gw_findings *list, size_t index);
void gw_findings_sort(gw_findings *list);
const char *gw_findings_file(const gw_findings *list);
const char *gw_severity_name(gw_severity severity);

/* Writes `FILE:LINE: error: words [code]`, a line each. */
gw_status gw_findings_print(const gw_findings *list, FILE *out);

#endif
