#include "cli/files.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static gw_status read_all(FILE *in, const char *path, size_t limit, char **bytes, size_t *count,
                          gw_error *err) {
  enum { STEP = 65536 };
  size_t room = 0, got;
  do {
    GW_TRY(gw_grow(bytes, &room, *count + STEP + 1, 1));
    got = fread(*bytes + *count, 1, STEP, in);
    *count += got;
    if (*count > limit) return gw_fail(err, GW_IO, "%s is too large for what it should be", path);
  } while (got > 0);
  (*bytes)[*count] = '\0';
  if (ferror(in)) return gw_fail(err, GW_IO, "%s cannot be read: %s", path, strerror(errno));
  return GW_OK;
}

gw_status gw_file_read(const char *path, size_t limit, char **bytes, size_t *count,
                       gw_error *err) {
  bool standard = strcmp(path, "-") == 0;
  FILE *in = standard ? stdin : fopen(path, "rb");
  *bytes = NULL;
  *count = 0;
  if (in == NULL) return gw_fail(err, GW_IO, "%s cannot be opened: %s", path, strerror(errno));
  gw_status status = read_all(in, path, limit, bytes, count, err);
  if (!standard) fclose(in);
  if (status == GW_OK) return GW_OK;
  free(*bytes);
  *bytes = NULL;
  return status;
}

FILE *gw_file_open(const char *path, bool fresh, gw_error *err) {
  if (path == NULL) return stdout;
  FILE *out = fopen(path, fresh ? "wbx" : "wb");
  if (out == NULL && errno == EEXIST)
    gw_fail(err, GW_BAD_INPUT, "%s is there already, and is not written over; give another name", path);
  else if (out == NULL)
    gw_fail(err, GW_IO, "%s cannot be written: %s", path, strerror(errno));
  return out;
}

gw_status gw_file_close(FILE *out, const char *path, gw_error *err) {
  bool failed = ferror(out) != 0;
  if (path != NULL) failed = fclose(out) != 0 || failed;
  if (!failed) return GW_OK;
  struct stat there;
  if (path != NULL && stat(path, &there) == 0 && S_ISREG(there.st_mode)) remove(path);
  return gw_fail(err, GW_IO, "%s cannot be written", path == NULL ? "standard output" : path);
}
