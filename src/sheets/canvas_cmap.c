/* canvas_cmap.c - which characters a TrueType file has glyphs for.
 *
 * libharu draws an empty box for a glyph that is missing and says nothing, so
 * the character map is read here.  Layout: OpenType 1.9, "cmap", format 4;
 * checked against the maps of Andika and DejaVu Sans. */
#include "sheets/canvas_inner.h"

#include <stdlib.h>
#include <string.h>

#define FILE_LIMIT ((size_t)16 << 20)

/* A stretch of the file; reads outside it give 0 and spoil it. */
typedef struct view {
  const uint8_t *data;
  size_t size;
  bool spoilt;
} view;

static uint32_t read_16(view *v, size_t at) {
  if (at > v->size || v->size - at < 2) {
    v->spoilt = true;
    return 0;
  }
  return (uint32_t)v->data[at] << 8 | v->data[at + 1];
}

static uint32_t read_32(view *v, size_t at) {
  uint32_t high = read_16(v, at);
  return high << 16 | read_16(v, at + 2);
}

static bool cut(const view *from, size_t at, size_t size, view *out) {
  if (at > from->size || from->size - at < size) return false;
  *out = (view){from->data + at, size, false};
  return true;
}

/* Every table of the directory must lie inside the file. */
static bool tables_inside(view *file) {
  uint32_t count = read_16(file, 4);
  for (uint32_t i = 0; i < count; i++) {
    view table;
    size_t entry = 12 + 16 * (size_t)i;
    if (!cut(file, read_32(file, entry + 8), read_32(file, entry + 12), &table)) return false;
  }
  return count > 0 && !file->spoilt;
}

static bool find_table(view *file, const char *tag, view *out) {
  uint32_t count = read_16(file, 4);
  for (uint32_t i = 0; i < count; i++) {
    size_t entry = 12 + 16 * (size_t)i;
    if (entry + 16 > file->size || memcmp(file->data + entry, tag, 4) != 0) continue;
    return cut(file, read_32(file, entry + 8), read_32(file, entry + 12), out);
  }
  return false;
}

/* The first subtable of format 4 for Unicode: platform 0, or 3 with encoding 1. */
static bool find_format_4(view *cmap, view *out) {
  uint32_t count = read_16(cmap, 2);
  for (uint32_t i = 0; i < count && !cmap->spoilt; i++) {
    size_t entry = 4 + 8 * (size_t)i;
    uint32_t platform = read_16(cmap, entry), encoding = read_16(cmap, entry + 2);
    size_t at = read_32(cmap, entry + 4);
    bool unicode = platform == 0 || (platform == 3 && encoding == 1);
    if (unicode && read_16(cmap, at) == 4) return cut(cmap, at, read_16(cmap, at + 2), out);
  }
  return false;
}

/* Where the four arrays of a format 4 table begin. */
typedef struct segments { size_t count, ends, starts, deltas, offsets; } segments;

static uint32_t glyph_of(view *map, const segments *s, size_t i, uint32_t code) {
  uint32_t start = read_16(map, s->starts + 2 * i), delta = read_16(map, s->deltas + 2 * i);
  size_t at = s->offsets + 2 * i;
  uint32_t offset = read_16(map, at);
  if (offset == 0) return (code + delta) & 0xFFFFu;
  uint32_t glyph = read_16(map, at + offset + 2 * (size_t)(code - start));
  return glyph == 0 ? 0 : (glyph + delta) & 0xFFFFu;
}

static void mark_segment(view *map, const segments *s, size_t i, uint32_t glyphs, gw_cmap *out) {
  uint32_t start = read_16(map, s->starts + 2 * i), end = read_16(map, s->ends + 2 * i);
  for (uint32_t code = start; code <= end && code < 0xFFFF && !map->spoilt; code++) {
    uint32_t glyph = glyph_of(map, s, i, code);
    if (glyph != 0 && glyph < glyphs && !map->spoilt)
      out->bits[code / 8] |= (uint8_t)(1u << code % 8);
  }
}

/* Segments must rise and not overlap, as the format demands; so the whole is
 * at most 65,536 steps whatever the file says. */
static const char *read_segments(view *map, uint32_t glyphs, gw_cmap *out) {
  segments s = {.count = read_16(map, 6) / 2, .ends = 14};
  s.starts = s.ends + 2 * s.count + 2;
  s.deltas = s.starts + 2 * s.count;
  s.offsets = s.deltas + 2 * s.count;
  for (size_t i = 0; i < s.count && !map->spoilt; i++) {
    uint32_t start = read_16(map, s.starts + 2 * i), end = read_16(map, s.ends + 2 * i);
    if (start > end || (i > 0 && start <= read_16(map, s.ends + 2 * (i - 1))))
      return "its character map is out of order";
    mark_segment(map, &s, i, glyphs, out);
  }
  return map->spoilt || s.count == 0 ? "its character map is cut short" : NULL;
}

const char *gw_cmap_read(const uint8_t *data, size_t size, gw_cmap *out) {
  view file = {data, size, false}, cmap, map, maxp;
  memset(out, 0, sizeof *out);
  if (read_32(&file, 0) != 0x00010000u) return "it is not a TrueType face";
  if (!tables_inside(&file)) return "it is cut short";
  if (!find_table(&file, "cmap", &cmap) || !find_table(&file, "maxp", &maxp))
    return "it has no character map";
  if (!find_format_4(&cmap, &map)) return "it has no character map of format 4";
  uint32_t glyphs = read_16(&maxp, 4);
  return read_segments(&map, glyphs, out);
}

/* The whole file in memory, to be freed by the caller; NULL when it cannot be. */
static uint8_t *slurp(const char *path, size_t *size) {
  FILE *file = fopen(path, "rb");
  if (file == NULL) return NULL;
  uint8_t *data = malloc(FILE_LIMIT);
  *size = data == NULL ? 0 : fread(data, 1, FILE_LIMIT, file);
  bool whole = data != NULL && !ferror(file) && feof(file);
  if (fclose(file) != 0 || !whole) {
    free(data);
    return NULL;
  }
  return data;
}

const char *gw_cmap_load(const char *path, gw_cmap *out) {
  size_t size;
  uint8_t *data = slurp(path, &size);
  if (data == NULL) return "it cannot be read";
  const char *wrong = gw_cmap_read(data, size, out);
  free(data);
  return wrong;
}

bool gw_cmap_has(const gw_cmap *map, uint32_t code) {
  return code <= 0xFFFF && (map->bits[code / 8] >> code % 8 & 1);
}
