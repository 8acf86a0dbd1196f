/* print.c - all the sheets of a project into one folder. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

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

static gw_status print_all(const gw_sheets_job *job, const char *folder, char *path, size_t size,
                           gw_error *err) {
  static const struct { const char *name; sheet_fn *print; } sheets[] = {
      {"labels", gw_sheets_labels}, {"marking-out", gw_sheets_mark_out},
      {"dry-fit", gw_sheets_dry_fit}, {"glue-up", gw_sheets_glue_up}};
  for (size_t i = 0; i < sizeof sheets / sizeof *sheets; ++i) {
    snprintf(path, size, "%s/%s.pdf", folder, sheets[i].name);
    GW_TRY(sheets[i].print(job, path, err));
  }
  return GW_OK;
}

gw_status gw_sheets_print(const gw_sheets_job *job, const char *folder, gw_error *err) {
  if (folder[0] == '\0') return gw_fail(err, GW_IO, "the folder for the sheets has no name");
  size_t size = strlen(folder) + sizeof "/marking-out.pdf";
  char *path = malloc(size);
  if (path == NULL) return gw_fail(err, GW_NO_MEMORY, "memory is short");
  gw_status status = make_folder(folder, path, err);
  if (status == GW_OK) status = print_all(job, folder, path, size, err);
  free(path);
  return status;
}
