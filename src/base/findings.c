#include "base/findings.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

struct gw_findings {
  gw_arena *arena; /* words and index lists */
  char *file;
  gw_finding *items;
  size_t count, capacity;
};

gw_findings *gw_findings_new(const char *file) {
  gw_findings *list = calloc(1, sizeof *list);
  if (list == NULL) return NULL;
  list->arena = gw_arena_new();
  if (list->arena != NULL) list->file = gw_arena_text(list->arena, file);
  if (list->file == NULL) {
    gw_findings_free(list);
    return NULL;
  }
  return list;
}

void gw_findings_free(gw_findings *list) {
  if (list == NULL) return;
  gw_arena_free(list->arena);
  free(list->items);
  free(list);
}

/* Control characters in echoed input must not reach a terminal. */
static void make_printable(char *words) {
  for (char *at = words; *at != '\0'; ++at)
    if ((unsigned char)*at < 0x20 || *at == 0x7f) *at = ' ';
}

gw_status gw_find(gw_findings *list, gw_severity severity, const char *code, int line,
                  const char *format, ...) {
  GW_TRY(gw_grow(&list->items, &list->capacity, list->count + 1, sizeof *list->items));
  va_list args, again;
  va_start(args, format);
  va_copy(again, args);
  int length = vsnprintf(NULL, 0, format, args);
  va_end(args);
  char *words = length < 0 ? NULL : gw_arena_alloc(list->arena, (size_t)length + 1, 1);
  if (words != NULL) vsnprintf(words, (size_t)length + 1, format, again);
  va_end(again);
  if (words == NULL) return GW_NO_MEMORY;
  make_printable(words);
  list->items[list->count++] =
      (gw_finding){.severity = severity, .code = code, .line = line, .words = words};
  return GW_OK;
}

static gw_status append_index(gw_arena *arena, int **items, int *count, int value) {
  /* Lists are short but for long loops; room doubles at powers of two. */
  if ((*count & (*count - 1)) == 0) {
    int *wider = gw_arena_alloc(arena, (size_t)(*count == 0 ? 1 : *count * 2), sizeof *wider);
    if (wider == NULL) return GW_NO_MEMORY;
    if (*count > 0) memcpy(wider, *items, (size_t)*count * sizeof *wider);
    *items = wider;
  }
  (*items)[(*count)++] = value;
  return GW_OK;
}

gw_status gw_find_part(gw_findings *list, int part) {
  gw_finding *last = &list->items[list->count - 1];
  return append_index(list->arena, &last->parts, &last->n_parts, part);
}

gw_status gw_find_joint(gw_findings *list, int joint) {
  gw_finding *last = &list->items[list->count - 1];
  return append_index(list->arena, &last->joints, &last->n_joints, joint);
}

size_t gw_findings_count(const gw_findings *list) { return list->count; }

size_t gw_findings_count_of(const gw_findings *list, gw_severity severity) {
  size_t count = 0;
  for (size_t i = 0; i < list->count; ++i) count += list->items[i].severity == severity;
  return count;
}

const gw_finding *gw_findings_at(const gw_findings *list, size_t index) {
  return &list->items[index];
}

static int by_line(const void *left, const void *right) {
  const gw_finding *a = left, *b = right;
  if (a->line != b->line) return a->line < b->line ? -1 : 1;
  if (a->severity != b->severity) return a->severity < b->severity ? -1 : 1;
  int order = strcmp(a->code, b->code);
  return order != 0 ? order : strcmp(a->words, b->words);
}

void gw_findings_sort(gw_findings *list) {
  if (list->count > 1) qsort(list->items, list->count, sizeof *list->items, by_line);
}

const char *gw_findings_file(const gw_findings *list) { return list->file; }

const char *gw_severity_name(gw_severity severity) {
  static const char *const names[] = {"error", "warning", "note"};
  return names[severity];
}

gw_status gw_findings_print(const gw_findings *list, FILE *out) {
  for (size_t i = 0; i < list->count; ++i) {
    const gw_finding *f = &list->items[i];
    int written = f->line > 0
        ? fprintf(out, "%s:%d: %s: %s [%s]\n", list->file, f->line,
                  gw_severity_name(f->severity), f->words, f->code)
        : fprintf(out, "%s: %s: %s [%s]\n", list->file, gw_severity_name(f->severity), f->words,
                  f->code);
    if (written < 0) return GW_IO;
  }
  return GW_OK;
}
