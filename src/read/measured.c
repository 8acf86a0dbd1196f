#include "read/measured.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "read/read.h"

/* ---- words to sizes ---------------------------------------------------------------- */

static const char *const words[GW_MEASURED_SIZES] = {
    [GW_MEASURED_LENGTH] = "length",
    [GW_MEASURED_WIDTH] = "width",
    [GW_MEASURED_THICKNESS] = "thickness",
    [GW_MEASURED_DEPTH] = "depth",
    [GW_MEASURED_LAP] = "lap",
    [GW_MEASURED_INSET] = "inset",
    [GW_MEASURED_FROM + GW_LEFT] = "from-left",
    [GW_MEASURED_FROM + GW_RIGHT] = "from-right",
    [GW_MEASURED_FROM + GW_FRONT] = "from-front",
    [GW_MEASURED_FROM + GW_BACK] = "from-back",
    [GW_MEASURED_FROM + GW_DOWN] = "from-bottom",
    [GW_MEASURED_FROM + GW_UP] = "from-top"};

static int size_named(const char *size) {
  for (int i = 0; i < GW_MEASURED_SIZES; ++i)
    if (strcmp(words[i], size) == 0) return i;
  return -1;
}

/* The half with that id, else the one at that side: -1 none, -2 several. */
static int half_named(const gw_model *m, int part, const char *name) {
  const gw_part *p = &m->parts[part];
  int found = -1;
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i)
    if (m->halves[i].id != NULL && strcmp(m->halves[i].id, name) == 0) return i;
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i)
    if (strcmp(gw_dir_name(m->halves[i].at), name) == 0) found = found == -1 ? i : -2;
  return found;
}

const char *gw_measured_find(const gw_model *m, int part, const char *half, const char *size,
                             gw_measured *out) {
  out->part = part;
  out->half = -1;
  out->which = (gw_measured_which)size_named(size);
  if (size_named(size) < 0) return "is no size that is measured";
  if (half == NULL)
    return out->which <= GW_MEASURED_THICKNESS
               ? NULL : "is a size of a half; say which half was measured";
  out->half = half_named(m, part, half);
  if (out->half == -1) return "is of a half that the part has not; give its id, or its side";
  if (out->half == -2) return "is of a side with more than one half; give the half's id";
  return out->which == GW_MEASURED_LENGTH ? "is no size of a half" : NULL;
}

static gw_len *part_size(gw_part *part, gw_measured_which which) {
  if (which == GW_MEASURED_LENGTH) return &part->size[gw_part_length_axis(part)];
  return &part->size[gw_dir_axis(which == GW_MEASURED_WIDTH ? part->edge : part->face)];
}

gw_len *gw_measured_size(gw_model *m, const gw_measured *measured) {
  if (measured->half < 0) return part_size(&m->parts[measured->part], measured->which);
  gw_half *half = &m->halves[measured->half];
  switch (measured->which) {
    case GW_MEASURED_LENGTH:
    case GW_MEASURED_WIDTH: return &half->width;
    case GW_MEASURED_THICKNESS: return &half->thickness;
    case GW_MEASURED_DEPTH: return &half->depth;
    case GW_MEASURED_LAP: return &half->lap;
    case GW_MEASURED_INSET: return &half->inset;
    default: return &half->from[measured->which - GW_MEASURED_FROM];
  }
}

/* ---- a list ------------------------------------------------------------------------------ */

typedef struct list {
  gw_model *m;
  gw_names *names;
  const char *path;
  int line;
  gw_measured *items;
  size_t count, room;
  gw_error *err;
} list;

static gw_status wrong(const list *l, const char *what, const char *word) {
  return gw_fail(l->err, GW_BAD_INPUT, "%s:%d: %s%s%s", l->path, l->line, word, *word ? " " : "",
                 what);
}

static char *trim(char *text) {
  text += strspn(text, " \t");
  size_t length = strlen(text);
  while (length > 0 && strchr(" \t\r\n", text[length - 1]) != NULL) text[--length] = '\0';
  return text;
}

/* Cuts a line into its three fields; false when it has not just three. */
static bool cut_fields(char *line, char *field[3]) {
  for (int i = 0; i < 3; ++i) {
    char *comma = strchr(line, ',');
    if ((comma != NULL) != (i < 2)) return false;
    if (comma != NULL) *comma = '\0';
    field[i] = trim(line);
    if (comma != NULL) line = comma + 1;
  }
  return true;
}

static gw_status read_line(list *l, char *field[3]) {
  char *half = strchr(field[0], '/');
  if (half != NULL) *half++ = '\0';
  int part = gw_names_find(l->names, field[0]);
  if (part < 0) return wrong(l, "is not a part of the project", field[0]);
  GW_TRY(gw_grow(&l->items, &l->room, l->count + 1, sizeof *l->items));
  gw_measured *item = &l->items[l->count];
  *item = (gw_measured){.line = 0};
  const char *what = gw_measured_find(l->m, part, half, field[1], item);
  if (what != NULL) return wrong(l, what, field[1]);
  what = gw_len_parse(field[2], l->m->units, &item->value);
  if (what != NULL) return wrong(l, what, field[2]);
  if (item->value <= 0 && item->which < GW_MEASURED_INSET)
    return wrong(l, "is nought or less; wood has a size", field[2]);
  if (item->value > GW_LEN_MAX) return wrong(l, "is longer than any part", field[2]);
  l->count++;
  return GW_OK;
}

static gw_status read_lines(list *l, FILE *in) {
  char line[256], *field[3];
  bool headed = false;
  for (l->line = 1; fgets(line, sizeof line, in) != NULL; ++l->line) {
    if (strchr(line, '\n') == NULL && !feof(in)) return wrong(l, "the line is too long", "");
    char *text = trim(strncmp(line, "\xEF\xBB\xBF", 3) == 0 ? line + 3 : line);
    if (*text == '\0') continue;
    if (!cut_fields(text, field)) return wrong(l, "a line has a part, a size and a value", "");
    if (l->count == GW_READ_MAX_ELEMENTS) return wrong(l, "the list is too long", "");
    if (headed) GW_TRY(read_line(l, field));
    else if (strcmp(field[0], "part") != 0 || strcmp(field[1], "size") != 0 ||
             strcmp(field[2], "value") != 0)
      return wrong(l, "the first line is  part,size,value", "");
    headed = true;
  }
  if (ferror(in)) return gw_fail(l->err, GW_IO, "%s cannot be read: %s", l->path, strerror(errno));
  return headed ? GW_OK : wrong(l, "the list is empty; its first line is  part,size,value", "");
}

/* Appends the list's values to the model's. */
static gw_status keep(list *l) {
  gw_model *m = l->m;
  size_t before = (size_t)m->n_measured;
  gw_measured *all = gw_arena_alloc(m->arena, before + l->count + 1, sizeof *all);
  if (all == NULL) return GW_NO_MEMORY;
  if (before > 0) memcpy(all, m->measured, before * sizeof *all);
  if (l->count > 0) memcpy(all + before, l->items, l->count * sizeof *all);
  m->measured = all;
  m->n_measured += (int)l->count;
  return GW_OK;
}

static gw_status enter_names(list *l) {
  if (l->names == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < l->m->n_parts; ++i) {
    gw_status status = gw_names_add(l->names, l->m->parts[i].id, i);
    if (status != GW_BAD_INPUT) GW_TRY(status);
  }
  return GW_OK;
}

gw_status gw_measured_list(gw_model *m, const char *path, gw_error *err) {
  FILE *in = fopen(path, "rb");
  if (in == NULL)
    return gw_fail(err, GW_BAD_INPUT, "%s cannot be opened: %s", path, strerror(errno));
  list l = {.m = m, .names = gw_names_new(), .path = path, .err = err};
  gw_status status = enter_names(&l);
  if (status == GW_OK) status = read_lines(&l, in);
  if (status == GW_OK) status = keep(&l);
  fclose(in);
  free(l.items);
  gw_names_free(l.names);
  return status;
}

/* ---- in the place of the drawn ------------------------------------------------------------- */

/* A tape measures along the wood, whichever way it will stand. */
static gw_len as_cut(const gw_part *part, int axis) {
  return gw_part_cut(part, axis, part->size[axis]);
}

gw_status gw_measured_apply(gw_model *m, gw_findings *findings) {
  m->as_measured = true;
  for (int i = 0; i < m->n_parts; ++i) m->parts[i].tolerance = 0;
  for (int i = 0; i < m->n_measured; ++i) {
    const gw_measured *measured = &m->measured[i];
    gw_part *part = &m->parts[measured->part];
    gw_len *size = gw_measured_size(m, measured);
    *size = measured->value;
    if (measured->half < 0) *size = gw_part_stands(part, (int)(size - part->size), measured->value);
    part->length = as_cut(part, gw_part_length_axis(part));
    part->width = as_cut(part, gw_dir_axis(part->edge));
    part->thickness = as_cut(part, gw_dir_axis(part->face));
  }
  if (m->n_measured > 0) return GW_OK;
  return gw_find(findings, GW_WARNING, "nothing-measured", m->line,
                 "no size is given as it was measured; write <measured part=\"…\" size=\"…\" "
                 "value=\"…\"/>, or name a list");
}
