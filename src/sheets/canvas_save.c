/* canvas_save.c - from the finished document to a whole file, or none. */
#define _XOPEN_SOURCE 700 /* realpath */
#include "sheets/canvas_inner.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Finishes the pages once and has libharu lay the file out in memory. */
static gw_status lay_out(gw_doc *doc, gw_error *err) {
  if (doc == NULL) return gw_fail(err, GW_INTERNAL, "there is no document to save");
  gw_canvas_finish(doc);
  if (!gw_doc_failed(doc)) HPDF_SaveToStream(doc->pdf);
  if (!gw_doc_failed(doc)) return GW_OK;
  return gw_fail(err, doc->failure.status, "%s", doc->failure.words);
}

/* Copies the laid out file.  The last piece comes together with the end of
 * the stream, so a piece is written before its status is looked at. */
static gw_status pump(gw_doc *doc, FILE *out) {
  HPDF_BYTE piece[16384];
  HPDF_STATUS status = HPDF_OK;
  HPDF_ResetStream(doc->pdf);
  while (status == HPDF_OK) {
    HPDF_UINT32 size = sizeof piece;
    status = HPDF_ReadFromStream(doc->pdf, piece, &size);
    if (size > sizeof piece || fwrite(piece, 1, size, out) != size) return GW_IO;
  }
  return status == HPDF_STREAM_EOF && fflush(out) == 0 ? GW_OK : GW_IO;
}

gw_status gw_doc_write(gw_doc *doc, FILE *out, gw_error *err) {
  GW_TRY(lay_out(doc, err));
  errno = 0;
  if (pump(doc, out) == GW_OK) return GW_OK;
  return gw_fail(err, GW_IO, "cannot write the PDF: %s", strerror(errno));
}

/* ---- beside, then renamed ----------------------------------------------------- */

/* Renaming over a device or a pipe would replace it. */
char *gw_doc_target(const char *path, gw_error *err) {
  struct stat there;
  char *target;
  if (lstat(path, &there) == 0 && S_ISLNK(there.st_mode)) target = realpath(path, NULL);
  else target = strdup(path);
  if (target == NULL) {
    gw_fail(err, GW_IO, "cannot write %s: %s", path, strerror(errno));
  } else if (stat(target, &there) == 0 && !S_ISREG(there.st_mode)) {
    gw_fail(err, GW_IO, "cannot write %s: it is not an ordinary file", path);
    free(target);
    target = NULL;
  }
  return target;
}

/* A name for mkstemp in the directory of `target`, to be freed. */
static char *name_beside(const char *target) {
  static const char pattern[] = GW_DOC_BESIDE "XXXXXX";
  const char *slash = strrchr(target, '/');
  size_t directory = slash == NULL ? 0 : (size_t)(slash - target) + 1;
  char *name = malloc(directory + sizeof pattern);
  if (name == NULL) return NULL;
  memcpy(name, target, directory);
  memcpy(name + directory, pattern, sizeof pattern);
  return name;
}

/* mkstemp makes files for the owner alone; a print is for all to read, less
 * what the umask takes away (it can only be read by setting it). */
static bool open_up(int fd) {
  mode_t mask = umask(0);
  umask(mask);
  return fchmod(fd, (mode_t)0644 & ~mask) == 0;
}

/* Writes through to the disk; errno tells why not. */
static bool write_out(gw_doc *doc, int fd) {
  FILE *out = fdopen(fd, "wb");
  if (out == NULL) {
    close(fd);
    return false;
  }
  bool good = pump(doc, out) == GW_OK && open_up(fd) && fsync(fd) == 0;
  int why = errno;
  if (fclose(out) != 0 && good) return false;
  if (!good) errno = why;
  return good;
}

/* So that the new name outlasts a loss of power; not every file system can. */
void gw_doc_settle(const char *target) {
  const char *slash = strrchr(target, '/');
  char *directory = slash == NULL ? strdup(".") : strndup(target, (size_t)(slash - target) + 1);
  int fd = directory == NULL ? -1 : open(directory, O_RDONLY);
  if (fd >= 0) {
    (void)fsync(fd);
    close(fd);
  }
  free(directory);
}

gw_status gw_doc_place(const char *staged, const char *target, gw_error *err) {
  if (rename(staged, target) != 0)
    return gw_fail(err, GW_IO, "cannot write %s: %s", target, strerror(errno));
  return GW_OK;
}

static bool replace(gw_doc *doc, const char *target) {
  char *beside = name_beside(target);
  if (beside == NULL) return false;
  int fd = mkstemp(beside);
  bool good = fd >= 0 && write_out(doc, fd) && rename(beside, target) == 0;
  int why = errno;
  if (good) gw_doc_settle(target);
  else if (fd >= 0) unlink(beside);
  free(beside);
  errno = why;
  return good;
}

gw_status gw_doc_save(gw_doc *doc, const char *path, gw_error *err) {
  GW_TRY(lay_out(doc, err));
  char *target = gw_doc_target(path, err);
  if (target == NULL) return GW_IO;
  errno = 0;
  bool good = replace(doc, target);
  free(target);
  return good ? GW_OK : gw_fail(err, GW_IO, "cannot write %s: %s", path, strerror(errno));
}
