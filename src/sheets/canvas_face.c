/* canvas_face.c - finding the faces and choosing one for each character. */
#include "sheets/canvas_inner.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

#define ANDIKA "/usr/share/fonts/truetype/andika"
#define DEJAVU "/usr/share/fonts/truetype/dejavu"

static const char *const andika_names[2] = {"Andika-Regular.ttf", "Andika-Bold.ttf"};
static const char *const dejavu_names[2] = {"DejaVuSans.ttf", "DejaVuSans-Bold.ttf"};

/* The file in one of two directories (the first may be NULL), when it can be
 * read; owned by the arena. */
static const char *find_file(gw_doc *doc, const char *own_dir, const char *dir,
                             const char *name) {
  const char *dirs[2] = {own_dir, dir};
  for (int i = 0; i < 2; i++) {
    if (dirs[i] == NULL) continue;
    const char *path = gw_arena_printf(doc->arena, "%s/%s", dirs[i], name);
    if (path == NULL) {
      gw_canvas_fail(doc, GW_NO_MEMORY, "not enough memory");
      return NULL;
    }
    if (access(path, R_OK) == 0) return path;
  }
  return NULL;
}

static bool find_pair(gw_doc *doc, const char *own_dir, const char *dir,
                      const char *const names[2]) {
  const char *paths[2];
  for (int i = 0; i < 2; i++) paths[i] = find_file(doc, own_dir, dir, names[i]);
  if (paths[0] == NULL || paths[1] == NULL) return false;
  doc->faces[GW_CANVAS_REGULAR].path = paths[0];
  doc->faces[GW_CANVAS_BOLD].path = paths[1];
  return true;
}

/* Reads the character map of a face once.  False after a failure. */
static bool map_face(gw_doc *doc, gw_canvas_face *face) {
  if (face->mapped || face->path == NULL) return face->mapped;
  const char *wrong = gw_cmap_load(face->path, &face->cmap);
  if (wrong != NULL) {
    gw_canvas_fail(doc, GW_IO, "the typeface %s cannot be used: %s", face->path, wrong);
    return false;
  }
  face->mapped = true;
  return true;
}

HPDF_Font gw_canvas_font_of(gw_doc *doc, gw_canvas_font which) {
  gw_canvas_face *face = &doc->faces[which];
  if (face->font != NULL || gw_doc_failed(doc) || face->path == NULL) return face->font;
  if (!map_face(doc, face)) return NULL;
  const char *name = HPDF_LoadTTFontFromFile(doc->pdf, face->path, HPDF_TRUE);
  if (name != NULL) face->font = HPDF_GetFont(doc->pdf, name, "UTF-8");
  if (face->font == NULL) gw_canvas_fail(doc, GW_IO, "cannot load the typeface %s", face->path);
  return face->font;
}

gw_status gw_canvas_faces_find(gw_doc *doc, const char *fonts_dir) {
  if (find_pair(doc, fonts_dir, ANDIKA, andika_names)) {
    doc->faces[GW_CANVAS_SPARE].path = find_file(doc, fonts_dir, DEJAVU, dejavu_names[0]);
  } else if (!find_pair(doc, fonts_dir, DEJAVU, dejavu_names)) {
    gw_canvas_fail(doc, GW_IO, "no typeface found: neither %s/%s nor %s/%s can be read"
                   " (Debian packages fonts-sil-andika, fonts-dejavu-core)",
                   ANDIKA, andika_names[0], DEJAVU, dejavu_names[0]);
  }
  gw_canvas_font_of(doc, GW_CANVAS_REGULAR);
  gw_canvas_font_of(doc, GW_CANVAS_BOLD);
  return doc->failure.status;
}

/* Keeps the list rising and without doubles. */
void gw_canvas_note_missing(gw_doc *doc, uint32_t code) {
  size_t at = 0;
  while (at < doc->n_missing && doc->missing[at] < code) at++;
  if (at < doc->n_missing && doc->missing[at] == code) return;
  if (gw_grow(&doc->missing, &doc->missing_capacity, doc->n_missing + 1, sizeof(uint32_t))) {
    gw_canvas_fail(doc, GW_NO_MEMORY, "not enough memory");
    return;
  }
  memmove(doc->missing + at + 1, doc->missing + at,
          (doc->n_missing - at) * sizeof(uint32_t));
  doc->missing[at] = code;
  doc->n_missing++;
}

/* The wanted face or the spare one, or GW_CANVAS_FONTS when neither has it. */
static gw_canvas_font having(gw_doc *doc, gw_canvas_font wanted, uint32_t code) {
  gw_canvas_face *spare = &doc->faces[GW_CANVAS_SPARE];
  if (gw_cmap_has(&doc->faces[wanted].cmap, code)) return wanted;
  if (map_face(doc, spare) && gw_cmap_has(&spare->cmap, code)) return GW_CANVAS_SPARE;
  return GW_CANVAS_FONTS;
}

gw_canvas_font gw_canvas_face_for(gw_doc *doc, gw_face face, uint32_t *code) {
  gw_canvas_font wanted = face == GW_FACE_BOLD ? GW_CANVAS_BOLD : GW_CANVAS_REGULAR;
  if (*code == GW_TEXT_HARD_SPACE) *code = ' ';
  gw_canvas_font found = having(doc, wanted, *code);
  if (found != GW_CANVAS_FONTS) return found;
  gw_canvas_note_missing(doc, *code);
  *code = GW_TEXT_REPLACEMENT;
  found = having(doc, wanted, *code);
  if (found != GW_CANVAS_FONTS) return found;
  *code = '?';
  return wanted;
}

double gw_canvas_cap(gw_doc *doc, gw_face face) {
  HPDF_Font font =
      gw_canvas_font_of(doc, face == GW_FACE_BOLD ? GW_CANVAS_BOLD : GW_CANVAS_REGULAR);
  return font == NULL ? 0 : HPDF_Font_GetCapHeight(font) / 1000.0;
}

bool gw_doc_has_glyph(gw_doc *doc, uint32_t code) {
  if (doc == NULL || gw_doc_failed(doc)) return false;
  return having(doc, GW_CANVAS_REGULAR, code) != GW_CANVAS_FONTS;
}

const uint32_t *gw_doc_missing(const gw_doc *doc, size_t *count) {
  *count = doc == NULL ? 0 : doc->n_missing;
  return *count == 0 ? NULL : doc->missing;
}
