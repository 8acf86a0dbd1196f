/* canvas.h - the paper under every printed sheet.
 *
 * A thin layer over libharu, so that the pages' code never calls it.  It is
 * here because libharu lets much go wrong in silence: a NaN is written into
 * the page, a missing glyph is an empty box, a character above U+FFFF is a
 * gap, a coordinate beyond the paper is simply not seen.
 *
 * Measures.  Millimetres from the TOP LEFT corner of the page, x to the right
 * and y downwards; sizes of type in points (1 pt = 1/72 in); greys from 0
 * (black) to 1 (white).
 *
 * Failure.  The first failure is kept in the document and nothing is drawn
 * after it.  Every function here may be called after a failure, and with a
 * NULL page or document: it does nothing.  So a sheet draws all its pages and
 * the command looks once, at gw_doc_save().  A coordinate that is not finite,
 * or a thing drawn beyond the page, is a failure (GW_INTERNAL, with words
 * saying which call and where): text that comes from a user is to be drawn
 * with the functions that are given a width.
 *
 * Ownership.  The document owns its pages and outline entries; all pointers
 * are borrowed until gw_doc_free().  Strings passed in are copied.
 *
 * Same input, same bytes: no clock is read.  A date is shown only when the
 * environment gives SOURCE_DATE_EPOCH, and is then that date, in UTC.
 *
 * The face is Andika (fonts-sil-andika), with DejaVu Sans (fonts-dejavu-core)
 * behind it, character by character, for what Andika lacks.  A strip of
 * "6 9 1 I l 0 O 16 91 B 8" was set in both at 44, 30, 20, 12 and 9 pt and
 * looked at on a screen at 80 dots per inch.  In Andika I has serifs, 1 a flag
 * and no foot, l is bare and taller than a capital: the three differ at every
 * size.  In DejaVu Sans 1 has a flag and a foot, but I and l are two bare
 * strokes that differ only a little in height: one alone cannot be told.  In
 * both, O is rounder and wider than 0 and neither 0 has a slash, B is square
 * at the left where 8 is round, and 6 and 9 are half turns of each other (hence
 * the bar under marks).  DejaVu Sans sets its figures wider apart, which helps
 * at 9 pt; I and l settled it.  (Text recognition was no judge: it confused
 * 1, I and l in both.)  Andika sets 8 % narrower in regular, 14 % in bold.
 *
 * Size of type for a distance.  The height of capitals that fill a visual
 * angle a at distance D is H = 2 D tan(a / 2).  Labels should fill 20
 * minutes of arc, 15 at the least (NUREG-0700 Rev 3, 11.4.1.5-1; 16 at the
 * least in NUREG-0700 Rev 2, 1.3.1-4, whose H = 6.283 D MA / 21600 is the
 * same rule for small angles).  With Andika's capitals of 0.712 em:
 *
 *   read from        capitals at 20'     size of type
 *   0.7 m (bench)     4.07 mm            16.2 pt
 *   1.5 m (wall)      8.73 mm            34.8 pt   (at 16': 27.8 pt)
 *
 * gw_type_size_for() computes them; point size is not the height of letters,
 * so the ratio of the face in use goes in (gw_cap_ratio). */
#ifndef GW_SHEETS_CANVAS_H
#define GW_SHEETS_CANVAS_H

#include "base/base.h"

typedef struct gw_doc gw_doc;         /* a PDF being written */
typedef struct gw_page gw_page;       /* one of its pages */
typedef struct gw_outline gw_outline; /* an entry in its outline */

typedef struct gw_spot { double x, y; } gw_spot;       /* mm */
typedef struct gw_area { double x, y, w, h; } gw_area; /* mm, (x, y) is the top left */

/* ---- document ----------------------------------------------------------- */

typedef enum gw_paper { GW_PAPER_A4, GW_PAPER_LETTER } gw_paper;

/* libharu 2.3.0 reads through null pointers where its memory runs out, and
 * gives its allocator nothing to report to.  A command hands in one that ends the
 * program rather than give NULL; what it gives is freed with free(). */
typedef void *gw_allocate(unsigned int size);

/* All zero is a good start; every string may be NULL. */
typedef struct gw_doc_options {
  gw_paper paper;
  const char *title;     /* the project's name; also in the footer */
  const char *subject;
  const char *language;  /* NULL is "en" */
  const char *digest;    /* of the project file, short; in the footer */
  const char *fonts_dir; /* looked in before the default places; NULL for none.
                            For the program's own installed faces, never for a
                            user's: libharu is not safe with broken ones. */
  bool draft;            /* every page says DRAFT: WILL NOT MATE */
  gw_allocate *allocate; /* for libharu; NULL is malloc */
} gw_doc_options;

/* A new document; NULL with *err filled when memory is short, no face is
 * found (GW_IO) or SOURCE_DATE_EPOCH is not a number (GW_BAD_INPUT). */
gw_doc *gw_doc_new(const gw_doc_options *options, gw_error *err);
void gw_doc_free(gw_doc *doc);

/* Whether something went wrong, and what (NULL when nothing did). */
bool gw_doc_failed(const gw_doc *doc);
const gw_error *gw_doc_failure(const gw_doc *doc);
/* A page's own code has failed (memory was short): the document fails, unless
 * it has already.  GW_OK does nothing. */
void gw_doc_fail(gw_doc *doc, gw_status status, const char *words);

/* Finishes the pages (footers) and writes the file: to a temporary one
 * beside it, flushed to the disk, then renamed, so that `path` holds either
 * the old file or the whole new one.  Mode 0644 less the umask.  A symbolic
 * link is followed.  Fails with the document's first failure when it has
 * one; GW_IO when `path` is there and is not an ordinary file.  No page can be
 * added or drawn on afterwards; saving again writes the same bytes. */
gw_status gw_doc_save(gw_doc *doc, const char *path, gw_error *err);
/* The same to an open stream (standard output), which is flushed. */
gw_status gw_doc_write(gw_doc *doc, FILE *out, gw_error *err);
/* The file that `path` stands for, to be freed: the end of a symbolic link, else
 * itself.  NULL with *err filled when something is there that is not an
 * ordinary file. */
char *gw_doc_target(const char *path, gw_error *err);
/* Renames a saved file to its place, which gw_doc_target has told; to outlast a
 * loss of power the place is to be settled. */
gw_status gw_doc_place(const char *staged, const char *target, gw_error *err);
void gw_doc_settle(const char *target);
/* How the names of files begin that are not in their place yet. */
#define GW_DOC_BESIDE ".gluewright-"

double gw_doc_width(const gw_doc *doc);  /* mm */
double gw_doc_height(const gw_doc *doc); /* mm */
/* The part of a page that is free for a sheet: inside the margins, above the
 * footer, below the draft banner when there is one. */
gw_area gw_doc_body(const gw_doc *doc);
size_t gw_doc_page_count(const gw_doc *doc);

/* An outline entry under `parent` (NULL: at the top) leading to height y of a
 * page.  NULL after a failure. */
gw_outline *gw_doc_outline(gw_doc *doc, gw_outline *parent, const char *title,
                           const gw_page *page, double y);

/* Whether one of the faces has a glyph for the code point. */
bool gw_doc_has_glyph(gw_doc *doc, uint32_t code);
/* The code points met so far that no face has, rising; drawn as U+FFFD.
 * Borrowed until the next call that measures or draws. */
const uint32_t *gw_doc_missing(const gw_doc *doc, size_t *count);
/* How many texts were cut short with an ellipsis so far. */
size_t gw_doc_cut_count(const gw_doc *doc);

/* ---- pages ---------------------------------------------------------------- */

/* A new page of the named sheet ("Labels", "Glue-up").  The name stands in
 * the footer and, with a number counted within the sheet, is the label that a
 * viewer shows for the page.  NULL after a failure. */
gw_page *gw_page_new(gw_doc *doc, const char *sheet);
gw_doc *gw_page_doc(const gw_page *page);

/* The footer (title, digest, date, sheet, "page n of m") is drawn when the
 * document is saved, in 8 pt with its baseline 7 mm above the foot of the
 * page.  This moves the baseline to height y of the page, for a label sheet
 * whose lowest row needs the place. */
void gw_page_footer_at(gw_page *page, double y);

/* A click on the area goes to height y of the other page. */
void gw_page_link(gw_page *page, gw_area area, const gw_page *target, double y);

/* Draws inside the area only, until gw_page_unclip(); may be nested 20 deep.
 * What is clipped must still lie on the page. */
void gw_page_clip(gw_page *page, gw_area area);
void gw_page_unclip(gw_page *page);

/* ---- type ------------------------------------------------------------------ */

typedef enum gw_face { GW_FACE_REGULAR, GW_FACE_BOLD } gw_face;
typedef struct gw_type {
  gw_face face;
  double size; /* points, 1 to 300 */
  double grey; /* 0 is black */
} gw_type;
#define GW_TYPE(points) ((gw_type){GW_FACE_REGULAR, (points), 0.0})
#define GW_TYPE_BOLD(points) ((gw_type){GW_FACE_BOLD, (points), 0.0})

typedef enum gw_align { GW_ALIGN_LEFT, GW_ALIGN_CENTRE, GW_ALIGN_RIGHT } gw_align;

/* Size of type in points whose capitals fill `arcmin` minutes of arc at
 * `distance_m` metres; cap_ratio is the height of a capital over the size. */
double gw_type_size_for(double distance_m, double arcmin, double cap_ratio);

/* All in mm, or 0 after a failure. */
double gw_text_width(gw_doc *doc, gw_type type, const char *text);
double gw_cap_height(gw_doc *doc, gw_type type);  /* of a flat capital, H */
double gw_line_height(gw_type type);              /* baseline to baseline: 1.3 of the size */
double gw_cap_ratio(gw_doc *doc, gw_face face);   /* of 1 em, no unit */

/* In every text here U+0332 (combining low line) stands for a bar under the
 * character before it, as gw_text_mark draws it; it has no width, and
 * characters side by side share one bar: marks in running text are written so. */

/* One line; x is its left end, middle or right end, y its baseline. */
void gw_text_line(gw_page *page, double x, double y, gw_type type, gw_align align,
                  const char *text);

/* One line at most `width` mm wide: set smaller, down to min_size points, and
 * then cut short with an ellipsis.  Returns the size used. */
double gw_text_fit(gw_page *page, double x, double y, double width, gw_type type,
                   double min_size, gw_align align, const char *text);

/* One line in the middle of an area: centred across, and its capitals centred
 * in height.  Made to fit the width as gw_text_fit does (and set small enough
 * for its capitals to fit the height).  Returns the size used. */
double gw_text_middle(gw_page *page, gw_area area, gw_type type, double min_size,
                      const char *text);

/* A paragraph, wrapped (see gw_text_wrap) from the top of the area down.
 * Returns the height in mm that the whole text needs; lines that do not fit
 * in area.h are not drawn, and the last one that does ends in an ellipsis. */
double gw_text_box(gw_page *page, gw_area area, gw_type type, gw_align align,
                   const char *text);
/* The same height without drawing: measure first, then ask for a new page. */
double gw_text_box_height(gw_doc *doc, double width, gw_type type, const char *text);

/* One line turned by 90 (reads upwards), 180 or 270 (reads downwards) degrees
 * about its anchor (x, y), which lies on the baseline as in gw_text_line. */
void gw_text_turned(gw_page *page, double x, double y, int degrees, gw_type type,
                    gw_align align, const char *text);

/* A mark as it is written on wood: bold, its left end at x and its baseline
 * at y, with a bar under it when `bar`.  The bar is as wide as the text; its
 * top is GW_MARK_GAP of the size below the baseline (clear of the tail of Q,
 * 0.112 em) and it is GW_MARK_THICK of the size thick: less than a quarter of
 * the height of a capital away, so that it belongs to this mark and to
 * nothing under it.  Returns the width in mm. */
double gw_text_mark(gw_page *page, double x, double y, double size, const char *mark,
                    bool bar);
#define GW_MARK_GAP 0.15
#define GW_MARK_THICK 0.10
/* How far a mark with a bar reaches below its baseline, mm. */
double gw_text_mark_drop(double size);
/* Its width in mm, without drawing. */
double gw_text_mark_width(gw_doc *doc, double size, const char *mark);

/* ---- lines and shapes --------------------------------------------------------- */

/* Line kinds and the 2 : 1 ratio of widths as in ISO 128 (from memory:
 * 0.5 mm wide, 0.25 mm narrow; dashes 12 d with gaps of 3 d, chain dashes
 * 24 d; libharu takes whole points, so 3.2 / 0.7 mm and 6.0 / 0.7 mm). */
typedef enum gw_stroke { GW_STROKE_FULL, GW_STROKE_DASHED, GW_STROKE_CHAIN } gw_stroke;
typedef struct gw_pen {
  gw_stroke stroke;
  double width; /* mm, 0.05 to 20 */
  double grey;
} gw_pen;
#define GW_PEN_THICK ((gw_pen){GW_STROKE_FULL, 0.5, 0.0})     /* visible edges */
#define GW_PEN_THIN ((gw_pen){GW_STROKE_FULL, 0.25, 0.0})     /* dimensions, tables */
#define GW_PEN_HIDDEN ((gw_pen){GW_STROKE_DASHED, 0.25, 0.0}) /* hidden edges */
#define GW_PEN_CENTRE ((gw_pen){GW_STROKE_CHAIN, 0.25, 0.0})  /* centre lines */

void gw_draw_line(gw_page *page, gw_pen pen, double x1, double y1, double x2, double y2);
void gw_draw_area(gw_page *page, gw_pen pen, gw_area area);
void gw_draw_polyline(gw_page *page, gw_pen pen, const gw_spot *spots, size_t count,
                      bool closed);
void gw_draw_circle(gw_page *page, gw_pen pen, double x, double y, double radius);
/* Filled, without an edge; drawn over what is there. */
void gw_fill_area(gw_page *page, double grey, gw_area area);
void gw_fill_polygon(gw_page *page, double grey, const gw_spot *spots, size_t count);
/* Many polygons of one grey at once, `counts[i]` spots each, so that no hair of
 * white shows where two of them touch. */
void gw_fill_polygons(gw_page *page, double grey, const gw_spot *spots, const size_t *counts,
                      size_t polygons);
void gw_fill_circle(gw_page *page, double grey, double x, double y, double radius);

/* A line from 1 to 2 with a filled head of length `head` mm at 2 (shortened
 * to the line's length), 0.7 as wide as it is long.  Nothing when 1 is 2. */
void gw_draw_arrow(gw_page *page, gw_pen pen, double x1, double y1, double x2, double y2,
                   double head);
/* An empty box to be ticked by hand; (x, y) is its top left. */
void gw_draw_tick_box(gw_page *page, double x, double y, double side);
/* A ruler 100 mm long with ticks each 10 mm, and the words that ask for it to
 * be measured under it; (x, y) is the left end of its line.  Takes 3 mm above
 * and GW_RULER_DROP below. */
void gw_draw_ruler(gw_page *page, double x, double y);
#define GW_RULER_DROP 6.0
/* The words, for those who look for them in a print. */
#define GW_RULER_WORDS "This line is 100 mm long. If it is not, print again at 100 %, not fitted."

#define GW_DRAFT_WORDS "DRAFT: WILL NOT MATE"

#endif
