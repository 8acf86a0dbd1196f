/* files.h - whole files. */
#ifndef GW_CLI_FILES_H
#define GW_CLI_FILES_H

#include "base/base.h"

/* Reads all of a file ("-": standard input) of at most `limit` bytes; *bytes,
 * with a zero behind them, are the caller's (free).  GW_IO with words in *err. */
gw_status gw_file_read(const char *path, size_t limit, char **bytes, size_t *count, gw_error *err);

/* Opens for writing; NULL is standard output.  `fresh`: the file must not be
 * there yet.  NULL with words in *err; GW_BAD_INPUT there when it is. */
FILE *gw_file_open(const char *path, bool fresh, gw_error *err);
/* Closes what gw_file_open opened and says whether all was written; half a file is
 * taken away. */
gw_status gw_file_close(FILE *out, const char *path, gw_error *err);

#endif
