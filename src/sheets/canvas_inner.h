/* canvas_inner.h - what the files canvas_*.c share.  For them and their tests
 * only; the pages' code sees canvas.h. */
#ifndef GW_SHEETS_CANVAS_INNER_H
#define GW_SHEETS_CANVAS_INNER_H

#include "sheets/canvas.h"
#include "sheets/text.h"

#include <hpdf.h>

#define GW_TEXT_BAR 0x332u /* combining low line: a bar under what stands before it */
#define GW_CANVAS_MM_PT (72.0 / 25.4) /* points in a millimetre */

/* ---- what a TrueType file covers (canvas_cmap.c) ------------------------- */

/* One bit for each code point of the first plane. */
typedef struct gw_cmap { uint8_t bits[65536 / 8]; } gw_cmap;

/* Reads the character map (table `cmap`, format 4; OpenType 1.9) of a
 * TrueType file held in memory.  Every table must lie inside the file, so a
 * file cut short is refused before libharu, which is not safe with one, gets
 * it.  NULL when it is good, or a sentence part saying what is wrong. */
const char *gw_cmap_read(const uint8_t *data, size_t size, gw_cmap *out);
/* The same from a file of at most 16 MiB. */
const char *gw_cmap_load(const char *path, gw_cmap *out);
bool gw_cmap_has(const gw_cmap *map, uint32_t code);

/* ---- document ---------------------------------------------------------------- */

typedef enum gw_canvas_font {
  GW_CANVAS_REGULAR, GW_CANVAS_BOLD,
  GW_CANVAS_SPARE, /* for what the other two lack; loaded when first needed */
  GW_CANVAS_FONTS
} gw_canvas_font;

typedef struct gw_canvas_face {
  const char *path; /* NULL when there is no such face */
  gw_cmap cmap;
  bool mapped;      /* cmap is read */
  HPDF_Font font;   /* NULL until loaded */
} gw_canvas_face;

struct gw_page {
  gw_doc *doc;
  HPDF_Page pdf;
  const char *sheet;
  double footer_y;
  int clips;
};

struct gw_doc {
  gw_arena *arena;
  HPDF_Doc pdf;
  HPDF_Encoder encoder;
  double width, height; /* mm */
  const char *title, *digest;
  char date[16]; /* "2024-02-29", or empty */
  bool draft, finished;
  gw_error failure; /* status GW_OK while all is well */
  gw_canvas_face faces[GW_CANVAS_FONTS];
  gw_page **pages;
  size_t n_pages, pages_capacity;
  uint32_t *missing; /* rising */
  size_t n_missing, missing_capacity;
  size_t cuts;
  size_t outlines;
};

/* Records a failure unless there is one already. */
void gw_canvas_fail(gw_doc *doc, gw_status status, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* Whether the page can be drawn on: it is there, not finished, not failed.
 * Drawing on a finished document is recorded as a failure. */
bool gw_canvas_open(gw_page *page);
/* Whether x, y and the rest are finite and on the page; else a failure that
 * names the call. */
bool gw_canvas_on_page(gw_page *page, const char *call, double x, double y);
bool gw_canvas_area_on_page(gw_page *page, const char *call, gw_area area);
bool gw_canvas_in_range(gw_doc *doc, const char *call, const char *what, double value,
                        double least, double most);
/* Cleans a text (see gw_text_clean) and notes what is above U+FFFF as missing. */
void gw_canvas_clean(gw_doc *doc, const char *text, char *out);
/* From millimetres on the page to libharu's points. */
HPDF_REAL gw_canvas_x(double x);
HPDF_REAL gw_canvas_y(const gw_page *page, double y);

/* ---- faces (canvas_face.c) ------------------------------------------------------ */

/* Finds and loads the faces; GW_IO when none is there. */
gw_status gw_canvas_faces_find(gw_doc *doc, const char *fonts_dir);
/* The face that draws a code point of clean text in the wanted face; *code
 * becomes what is drawn.  A glyph that no face has is noted as missing. */
gw_canvas_font gw_canvas_face_for(gw_doc *doc, gw_face face, uint32_t *code);
void gw_canvas_note_missing(gw_doc *doc, uint32_t code);
HPDF_Font gw_canvas_font_of(gw_doc *doc, gw_canvas_font font);
/* Height of H over 1 em. */
double gw_canvas_cap(gw_doc *doc, gw_face face);

/* ---- text (canvas_text.c) ------------------------------------------------------- */

/* Draws text turned by any angle (degrees, counter-clockwise) about (x, y).
 * The bounds are checked under the name of `call`. */
void gw_canvas_turned(gw_page *page, const char *call, double x, double y, double degrees,
                      gw_type type, gw_align align, const char *text);

/* ---- furniture (canvas_frame.c) --------------------------------------------------- */

void gw_canvas_banner_under(gw_page *page); /* when the page is made */
void gw_canvas_finish(gw_doc *doc);         /* footers and page labels, once */

#endif
