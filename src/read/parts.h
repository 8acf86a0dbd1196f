/* Shared inside the read room only. */
#ifndef GW_READ_PARTS_H
#define GW_READ_PARTS_H

#include <libxml/tree.h>
#include <libxml/xmlerror.h>

#include "read/read.h"

/* The line on which an element begins (set while parsing). */
int gw_read_line(const xmlNode *node);

/* The line of a tag that has more than GW_READ_MAX_ATTRIBUTES attributes, or 0. */
int gw_read_scan(const char *bytes, size_t count);
/* Whether markup can be told in bytes of this encoding; NULL: none is named. */
bool gw_read_knows_encoding(const char *bytes, size_t count, const char *name);

/* Checks the document against the schema; GW_BAD_INPUT after findings. */
gw_status gw_read_validate(xmlDocPtr doc, gw_findings *findings);

/* Fills the model from a valid document. */
gw_status gw_read_build(xmlDocPtr doc, gw_model *model, gw_findings *findings);

enum { GW_READ_STRETCHES = 32 }; /* more than the schema has names below the piece */

/* Halves and parts grow here until the model is complete. */
typedef struct gw_draft {
  gw_model *model;
  gw_findings *findings;
  size_t part_room, half_room, group_room, glue_room, clamp_room, fit_room, rate_room, wish_room,
         gauge_room, measured_room;
  struct gw_draft_part {
    const char *like, *mirror_of, *turned, *mirrored, *into;
    int state;       /* 0 not yet, 1 being resolved, 2 done */
    int source;      /* once it is resolved: the part that it copies, or -1 */
    bool lost;       /* a finding has said what it lacks: nothing more is said of it */
    gw_half *halves; /* copied, own, and those of its group, malloc'd */
    size_t count, room;
    size_t grouped;  /* how many at the end are the group's: they are not copied with a part */
  } *drafts;
  size_t draft_room;
  struct gw_draft_group {
    const char *like, *into;
    int first_part, n_parts;
  } *draft_groups;
  size_t draft_group_room;
  /* For each name of an element right below the piece, the first and the last of it. */
  struct gw_draft_stretch {
    const xmlChar *name;
    xmlNode *first, *last;
  } stretches[GW_READ_STRETCHES];
  int n_stretches;
  gw_names *part_names;
  size_t all_halves;
  int searched; /* unknown names for which the nearest was looked for */
} gw_draft;

/* Counts `more` halves for a part that has `has`; GW_BAD_INPUT after a finding
 * when there are too many. */
gw_status gw_read_more_halves(gw_draft *draft, int line, size_t has, size_t more);

/* The part that a word names, or -1 after a finding with the nearest name. */
gw_status gw_read_part_named(gw_draft *draft, int line, const char *word, int *out);

/* Completes parts that are like others or their mirror images. */
gw_status gw_read_copies(gw_draft *draft);

#endif
