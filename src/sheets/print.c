/* print.c - all the sheets of a project into one folder. */
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "sheets/sheets.h"

typedef gw_status sheet_fn(const gw_sheets_job *job, const char *path, gw_error *err);

/* Makes the folder, and those above it that are not there. */
static gw_status make_folder(const char *folder, char *path, gw_error *err) {
  size_t length = strlen(folder);
  memcpy(path, folder, length + 1);
  for (size_t i = 1; i <= length; ++i) {
    if (folder[i] != '/' && folder[i] != '\0') continue;
    path[i] = '\0';
    struct stat there;
    bool is_folder = stat(path, &there) == 0 && S_ISDIR(there.st_mode);
    if (!is_folder && mkdir(path, 0777) != 0)
      return gw_fail(err, GW_IO, "the folder %s cannot be made: %s", path, strerror(errno));
    path[i] = folder[i];
  }
  return GW_OK;
}

/* ---- all or none -------------------------------------------------------------- */

enum { SHEETS = 4 };

/* The sheets are made beside their places and moved there when all are made. */
typedef struct staging {
  char *target[SHEETS], *staged[SHEETS];
  bool made[SHEETS];
} staging;

static const struct { char name[24]; sheet_fn *print; } sheets[SHEETS] = {
    {"labels.pdf", gw_sheets_labels}, {"marking-out.pdf", gw_sheets_mark_out},
    {"dry-fit.pdf", gw_sheets_dry_fit}, {"glue-up.pdf", gw_sheets_glue_up}};

/* "sheets/labels.pdf" gives "sheets/.gluewright-labels.pdf", to be freed. */
static char *name_staged(const char *target) {
  const char *slash = strrchr(target, '/');
  int folder = slash == NULL ? 0 : (int)(slash - target) + 1;
  size_t size = strlen(target) + sizeof GW_DOC_BESIDE;
  char *name = malloc(size);
  if (name != NULL) snprintf(name, size, "%.*s" GW_DOC_BESIDE "%s", folder, target, target + folder);
  return name;
}

static gw_status name_files(staging *s, const char *folder, char *path, size_t size,
                            gw_error *err) {
  for (int i = 0; i < SHEETS; ++i) {
    snprintf(path, size, "%s/%s", folder, sheets[i].name);
    s->target[i] = gw_doc_target(path, err);
    if (s->target[i] == NULL) return GW_IO;
    s->staged[i] = name_staged(s->target[i]);
    if (s->staged[i] == NULL) return gw_fail(err, GW_NO_MEMORY, "memory is short");
  }
  return GW_OK;
}

static gw_status print_all(const gw_sheets_job *job, staging *s, gw_error *err) {
  for (int i = 0; i < SHEETS; ++i) {
    GW_TRY(sheets[i].print(job, s->staged[i], err));
    s->made[i] = true;
  }
  for (int i = 0; i < SHEETS; ++i) {
    GW_TRY(gw_doc_place(s->staged[i], s->target[i], err));
    s->made[i] = false;
  }
  for (int i = 0; i < SHEETS; ++i) gw_doc_settle(s->target[i]);
  return GW_OK;
}

static void clear(staging *s) {
  for (int i = 0; i < SHEETS; ++i) {
    if (s->made[i]) unlink(s->staged[i]);
    free(s->target[i]);
    free(s->staged[i]);
  }
}

/* Takes out what a print that was killed has left in the folder. */
static void sweep(const char *folder) {
  DIR *list = opendir(folder);
  if (list == NULL) return;
  for (struct dirent *entry; (entry = readdir(list)) != NULL;)
    if (strncmp(entry->d_name, GW_DOC_BESIDE, sizeof GW_DOC_BESIDE - 1) == 0)
      unlinkat(dirfd(list), entry->d_name, 0);
  closedir(list);
}

/* Keeps the folder for this print until *lock is closed.  A file system without
 * locks is printed into all the same. */
static gw_status keep_folder(const char *folder, int *lock, gw_error *err) {
  *lock = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (*lock >= 0 && flock(*lock, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK)
    return gw_fail(err, GW_IO, "another print into %s is under way; wait for it, or print into "
                   "another folder", folder);
  sweep(folder);
  return GW_OK;
}

static gw_status print_into(const gw_sheets_job *job, const char *folder, char *path, size_t size,
                            gw_error *err) {
  int lock = -1;
  staging s = {0};
  gw_status status = keep_folder(folder, &lock, err);
  if (status == GW_OK) status = name_files(&s, folder, path, size, err);
  if (status == GW_OK) status = print_all(job, &s, err);
  clear(&s);
  if (lock >= 0) close(lock);
  return status;
}

gw_status gw_sheets_print(const gw_sheets_job *job, const char *folder, gw_error *err) {
  if (folder[0] == '\0') return gw_fail(err, GW_IO, "the folder for the sheets has no name");
  size_t size = strlen(folder) + 1 + sizeof sheets[0].name;
  char *path = malloc(size);
  if (path == NULL) return gw_fail(err, GW_NO_MEMORY, "memory is short");
  gw_status status = make_folder(folder, path, err);
  if (status == GW_OK) status = print_into(job, folder, path, size, err);
  free(path);
  return status;
}
