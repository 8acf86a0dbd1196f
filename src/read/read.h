/* read.h - from an XML project file to a model.
 *
 * Reads with libxml2: no network, no document type, no entities; checks
 * against the schema that is built into the program; then builds the model.
 * All problems of a file are added to the findings, each with its line. */
#ifndef GW_READ_H
#define GW_READ_H

#include "base/base.h"
#include "base/findings.h"
#include "model/model.h"

/* What a file may hold; more is refused with the finding too-many.  Far above
 * what a piece needs (the largest that is ordered has 3000 parts), low enough that
 * no file takes more than seconds. */
enum {
  GW_READ_MAX_BYTES = 64 * 1024 * 1024,
  GW_READ_MAX_ELEMENTS = 500000,
  GW_READ_MAX_ALL_ATTRIBUTES = 3000000,
  GW_READ_MAX_ATTRIBUTES = 64, /* of one element */
  GW_READ_MAX_PARTS = 120000,  /* with those of copied groups */
  GW_READ_MAX_HALVES = 1000,   /* on one part */
  GW_READ_MAX_ALL_HALVES = 600000,
  GW_READ_MAX_RULES = 1000     /* glues, fits, rates, groups, wishes, gauges: of each */
};

/* Reads the file at `path` ("-" is standard input).
 * GW_OK: *out is a model (free with gw_model_free), although findings may
 *   speak of errors in it.
 * GW_BAD_INPUT: it is not a project file of ours; the findings say why.
 * GW_IO: it could not be read; `err` has the words.
 * GW_NO_MEMORY: memory was short. */
gw_status gw_read_file(const char *path, gw_findings *findings, gw_model **out, gw_error *err);

/* The same for bytes in memory; `name` is used in messages. */
gw_status gw_read_bytes(const char *name, const char *bytes, size_t count,
                        gw_findings *findings, gw_model **out);

/* The schema as text, for writing to a file.  Static storage. */
const char *gw_read_schema(size_t *length);
/* The same as RELAX NG. */
const char *gw_read_relaxng(size_t *length);

#endif
