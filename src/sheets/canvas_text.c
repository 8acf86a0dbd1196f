/* canvas_text.c - measuring and drawing words. */
#include "sheets/canvas_inner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* In ems.  Tallest and deepest plain letters of Andika (l 0.782, g -0.230),
 * for the page's bounds. */
#define ASCENT 0.80
#define DESCENT 0.25
#define LEADING 1.3
/* From the top of a line of LEADING to its baseline: letters in its middle. */
#define FIRST_BASELINE 0.92
#define ROUNDING 1e-6 /* mm that sums of the same widths may differ by */

double gw_type_size_for(double distance_m, double arcmin, double cap_ratio) {
  const double pi = 3.14159265358979323846;
  double height_mm = 2 * distance_m * 1000 * tan(arcmin / 60 * pi / 180 / 2);
  return height_mm * GW_CANVAS_MM_PT / cap_ratio;
}

/* ---- measuring ------------------------------------------------------------------ */

typedef struct ruler { gw_doc *doc; gw_type type; } ruler;

/* Width in mm of clean text, each character in the face that draws it.  There
 * is no kerning, so widths add up; the bar under a character has none. */
static double measure(void *context, const char *text, size_t bytes) {
  ruler *r = context;
  size_t at = 0;
  double units = 0;
  while (at < bytes) {
    uint32_t code = gw_text_next(text, bytes, &at);
    if (code == GW_TEXT_BAR) continue;
    gw_canvas_font which = gw_canvas_face_for(r->doc, r->type.face, &code);
    HPDF_Font font = gw_canvas_font_of(r->doc, which);
    if (font == NULL) return 0;
    units += HPDF_Font_GetUnicodeWidth(font, (HPDF_UNICODE)code);
  }
  return units / 1000 * r->type.size / GW_CANVAS_MM_PT;
}

/* A clean copy to be freed, with room for an ellipsis; NULL after a failure. */
static char *cleaned(gw_doc *doc, const char *text) {
  if (doc == NULL || gw_doc_failed(doc)) return NULL;
  if (text == NULL) text = "";
  size_t size = gw_text_clean_size(strlen(text));
  char *copy = size == 0 ? NULL : malloc(size + sizeof GW_TEXT_ELLIPSIS);
  if (copy == NULL) gw_canvas_fail(doc, GW_NO_MEMORY, "not enough memory");
  else gw_canvas_clean(doc, text, copy);
  return copy;
}

static bool good_type(gw_doc *doc, const char *call, gw_type type) {
  return gw_canvas_in_range(doc, call, "size of type", type.size, 1, 300) &&
         gw_canvas_in_range(doc, call, "grey", type.grey, 0, 1);
}

double gw_text_width(gw_doc *doc, gw_type type, const char *text) {
  char *clean = cleaned(doc, text);
  if (clean == NULL) return 0;
  ruler r = {doc, type};
  double width = good_type(doc, "gw_text_width", type) ? measure(&r, clean, strlen(clean)) : 0;
  free(clean);
  return width;
}

double gw_cap_ratio(gw_doc *doc, gw_face face) {
  return doc == NULL || gw_doc_failed(doc) ? 0 : gw_canvas_cap(doc, face);
}

double gw_cap_height(gw_doc *doc, gw_type type) {
  return gw_cap_ratio(doc, type.face) * type.size / GW_CANVAS_MM_PT;
}

double gw_line_height(gw_type type) { return LEADING * type.size / GW_CANVAS_MM_PT; }

/* ---- drawing one line --------------------------------------------------------------- */

/* A line set out on the page: where its left end is and how it is turned. */
typedef struct setting {
  double x, y, width; /* mm */
  double cosine, sine;
} setting;

static setting set_out(double x, double y, double degrees, double width, gw_align align) {
  static const double quarters[5] = {0, 1, 0, -1, 0};
  setting s = {x, y, width, cos(degrees * acos(-1) / 180), sin(degrees * acos(-1) / 180)};
  if (fmod(degrees, 90) == 0 && degrees >= 0 && degrees < 360) {
    int quarter = (int)(degrees / 90);
    s.sine = quarters[quarter];
    s.cosine = quarters[quarter + 1];
  }
  double back = align == GW_ALIGN_LEFT ? 0 : align == GW_ALIGN_CENTRE ? width / 2 : width;
  s.x -= back * s.cosine;
  s.y += back * s.sine;
  return s;
}

/* Whether all four corners of the line's letters are on the page. */
static bool line_on_page(gw_page *page, const char *call, const setting *s, double size) {
  double em = size / GW_CANVAS_MM_PT;
  for (int i = 0; i < 4; i++) {
    double along = i & 1 ? s->width : 0, up = i & 2 ? ASCENT * em : -DESCENT * em;
    double x = s->x + along * s->cosine - up * s->sine;
    double y = s->y - along * s->sine - up * s->cosine;
    if (!gw_canvas_on_page(page, call, x, y)) return false;
  }
  return true;
}

/* Characters of one face gathered until the face changes or it is full. */
typedef struct run { char text[256]; size_t used; gw_canvas_font font; } run;

static void flush_run(gw_page *page, run *r, double size) {
  HPDF_Font font = r->used == 0 ? NULL : gw_canvas_font_of(page->doc, r->font);
  if (font != NULL) {
    r->text[r->used] = '\0';
    HPDF_Page_SetFontAndSize(page->pdf, font, (HPDF_REAL)size);
    HPDF_Page_ShowText(page->pdf, r->text);
  }
  r->used = 0;
}

static void show(gw_page *page, gw_type type, const char *text, size_t bytes) {
  run r = {.used = 0};
  for (size_t at = 0; at < bytes;) {
    uint32_t code = gw_text_next(text, bytes, &at);
    if (code == GW_TEXT_BAR) continue;
    gw_canvas_font font = gw_canvas_face_for(page->doc, type.face, &code);
    if (font != r.font || r.used + 4 > sizeof r.text) flush_run(page, &r, type.size);
    r.font = font;
    r.used += gw_text_put(code, r.text + r.used);
  }
  flush_run(page, &r, type.size);
}

/* A bar under the line from `from` to `to` mm along it. */
static void draw_bar(gw_page *page, const setting *s, gw_type type, double from, double to) {
  double em = type.size / GW_CANVAS_MM_PT;
  gw_spot spots[4];
  for (int i = 0; i < 4; i++) {
    double along = i == 1 || i == 2 ? to : from;
    double down = (i < 2 ? GW_MARK_GAP : GW_MARK_GAP + GW_MARK_THICK) * em;
    spots[i] = (gw_spot){s->x + along * s->cosine + down * s->sine,
                         s->y - along * s->sine + down * s->cosine};
  }
  gw_fill_polygon(page, type.grey, spots, 4);
}

/* The bars under characters that GW_TEXT_BAR follows; neighbours share one. */
static void draw_bars(gw_page *page, const setting *s, gw_type type, const char *text,
                      size_t bytes) {
  ruler r = {page->doc, type};
  double x = 0, from = 0;
  bool open = false;
  for (size_t at = 0; at < bytes;) {
    size_t begin = at;
    if (gw_text_next(text, bytes, &at) == GW_TEXT_BAR) continue;
    size_t after = at;
    bool barred = gw_text_next(text, bytes, &after) == GW_TEXT_BAR;
    if (open && !barred) draw_bar(page, s, type, from, x);
    if (barred && !open) from = x;
    open = barred;
    x += measure(&r, text + begin, at - begin);
  }
  if (open) draw_bar(page, s, type, from, x);
}

/* Clean text from its setting.  Blank text draws nothing. */
static void draw_set(gw_page *page, const setting *s, gw_type type, const char *text,
                     size_t bytes) {
  if (bytes == 0) return;
  HPDF_Page_SetGrayFill(page->pdf, (HPDF_REAL)type.grey);
  HPDF_Page_BeginText(page->pdf);
  HPDF_Page_SetTextMatrix(page->pdf, (HPDF_REAL)s->cosine, (HPDF_REAL)s->sine,
                          (HPDF_REAL)-s->sine, (HPDF_REAL)s->cosine, gw_canvas_x(s->x),
                          gw_canvas_y(page, s->y));
  show(page, type, text, bytes);
  HPDF_Page_EndText(page->pdf);
  draw_bars(page, s, type, text, bytes);
}

/* Clean text, checked against the page's bounds. */
static void draw_clean(gw_page *page, const char *call, gw_spot at, double degrees, gw_type type,
                       gw_align align, const char *text, size_t bytes) {
  ruler r = {page->doc, type};
  setting s = set_out(at.x, at.y, degrees, measure(&r, text, bytes), align);
  if (line_on_page(page, call, &s, type.size)) draw_set(page, &s, type, text, bytes);
}

void gw_canvas_turned(gw_page *page, const char *call, double x, double y, double degrees,
                      gw_type type, gw_align align, const char *text) {
  if (!gw_canvas_open(page) || !good_type(page->doc, call, type)) return;
  char *clean = cleaned(page->doc, text);
  if (clean != NULL)
    draw_clean(page, call, (gw_spot){x, y}, degrees, type, align, clean, strlen(clean));
  free(clean);
}

void gw_text_line(gw_page *page, double x, double y, gw_type type, gw_align align,
                  const char *text) {
  gw_canvas_turned(page, "gw_text_line", x, y, 0, type, align, text);
}

void gw_text_turned(gw_page *page, double x, double y, int degrees, gw_type type,
                    gw_align align, const char *text) {
  if (!gw_canvas_open(page)) return;
  if (degrees != 0 && degrees != 90 && degrees != 180 && degrees != 270)
    gw_canvas_fail(page->doc, GW_INTERNAL, "gw_text_turned: %d degrees", degrees);
  gw_canvas_turned(page, "gw_text_turned", x, y, degrees, type, align, text);
}

/* ---- making it fit --------------------------------------------------------------------- */

/* The size at which clean text is at most `width` wide, rounded down to a
 * tenth of a point, between the least size and the type's own. */
static double size_to_fit(gw_doc *doc, gw_type type, double least, double width,
                          const char *text) {
  ruler r = {doc, type};
  double wide = measure(&r, text, strlen(text));
  if (wide <= width + ROUNDING) return type.size;
  double size = floor(type.size * width / wide * 10) / 10;
  return size < least ? least : size;
}

/* Cuts clean text in its buffer so that it fits, with an ellipsis; nothing is
 * left when not even that fits. */
static void cut_to_fit(gw_doc *doc, gw_type type, double width, char *text) {
  ruler r = {doc, type};
  size_t bytes = strlen(text);
  size_t fits = gw_text_cut(text, bytes, width + ROUNDING, measure, &r);
  if (fits == bytes) return;
  doc->cuts++;
  double dots = measure(&r, GW_TEXT_ELLIPSIS, sizeof GW_TEXT_ELLIPSIS - 1);
  if (dots > width) text[0] = '\0';
  else memcpy(text + fits, GW_TEXT_ELLIPSIS, sizeof GW_TEXT_ELLIPSIS);
}

static double draw_fit(gw_page *page, const char *call, gw_spot at, double width, gw_type type,
                       double least, gw_align align, const char *text) {
  gw_doc *doc = page->doc;
  if (!good_type(doc, call, type) ||
      !gw_canvas_in_range(doc, call, "least size", least, 1, type.size) ||
      !gw_canvas_in_range(doc, call, "width", width, 0, 1000))
    return type.size;
  char *clean = cleaned(doc, text);
  if (clean == NULL) return type.size;
  type.size = size_to_fit(doc, type, least, width, clean);
  cut_to_fit(doc, type, width, clean);
  draw_clean(page, call, at, 0, type, align, clean, strlen(clean));
  free(clean);
  return type.size;
}

double gw_text_fit(gw_page *page, double x, double y, double width, gw_type type,
                   double min_size, gw_align align, const char *text) {
  if (!gw_canvas_open(page)) return type.size;
  return draw_fit(page, "gw_text_fit", (gw_spot){x, y}, width, type, min_size, align, text);
}

/* The width at which text in the type would have capitals as high as the area:
 * where height is what holds, the type is set smaller first. */
static gw_type lower_to(gw_doc *doc, gw_type type, double height) {
  double capital = gw_cap_height(doc, type);
  if (capital > height && capital > 0) type.size = floor(type.size * height / capital * 10) / 10;
  return type;
}

double gw_text_middle(gw_page *page, gw_area area, gw_type type, double min_size,
                      const char *text) {
  const char *call = "gw_text_middle";
  if (!gw_canvas_open(page) || !gw_canvas_area_on_page(page, call, area)) return type.size;
  type = lower_to(page->doc, type, area.h);
  if (type.size < min_size) type.size = min_size;
  char *clean = cleaned(page->doc, text);
  if (clean == NULL) return type.size;
  gw_type fitted = type;
  fitted.size = size_to_fit(page->doc, type, min_size, area.w, clean);
  free(clean);
  gw_spot at = {area.x + area.w / 2,
                area.y + (area.h + gw_cap_height(page->doc, fitted)) / 2};
  return draw_fit(page, call, at, area.w, type, min_size, GW_ALIGN_CENTRE, text);
}

/* ---- paragraphs ------------------------------------------------------------------------- */

static double align_x(gw_area area, gw_align align) {
  return area.x + (align == GW_ALIGN_LEFT ? 0 : align == GW_ALIGN_CENTRE ? area.w / 2 : area.w);
}

/* Draws the lines of clean text that fit in the area's height, and returns how
 * many were drawn.  The buffer is cut where the last one ends. */
static size_t draw_lines(gw_page *page, gw_area area, gw_type type, gw_align align, char *text) {
  const char *call = "gw_text_box";
  ruler r = {page->doc, type};
  double line_height = gw_line_height(type);
  size_t room = (size_t)floor((area.h + ROUNDING) / line_height), at = 0, drawn = 0;
  double x = align_x(area, align);
  double y = area.y + FIRST_BASELINE * type.size / GW_CANVAS_MM_PT;
  while (text[at] != '\0' && drawn < room) {
    gw_text_span line;
    at = gw_text_wrap(text, at, area.w + ROUNDING, measure, &r, &line);
    gw_spot spot = {x, y + (double)drawn * line_height};
    if (++drawn == room && text[at] != '\0') {
      cut_to_fit(page->doc, type, area.w, text + line.start);
      line.bytes = strlen(text + line.start);
      at = line.start + line.bytes;
    }
    draw_clean(page, call, spot, 0, type, align, text + line.start, line.bytes);
  }
  if (text[at] != '\0') page->doc->cuts++; /* no room for even one line */
  return drawn;
}

static bool good_box(gw_doc *doc, const char *call, double width, gw_type type) {
  return good_type(doc, call, type) && gw_canvas_in_range(doc, call, "width", width, 0.1, 1000);
}

double gw_text_box_height(gw_doc *doc, double width, gw_type type, const char *text) {
  char *clean = cleaned(doc, text);
  if (clean == NULL) return 0;
  ruler r = {doc, type};
  size_t lines = good_box(doc, "gw_text_box_height", width, type)
                     ? gw_text_line_count(clean, width + ROUNDING, measure, &r) : 0;
  free(clean);
  return (double)lines * gw_line_height(type);
}

double gw_text_box(gw_page *page, gw_area area, gw_type type, gw_align align,
                   const char *text) {
  if (!gw_canvas_open(page) || !gw_canvas_area_on_page(page, "gw_text_box", area)) return 0;
  double height = gw_text_box_height(page->doc, area.w, type, text);
  char *clean = cleaned(page->doc, text);
  if (clean != NULL) draw_lines(page, area, type, align, clean);
  free(clean);
  return height;
}

/* ---- marks -------------------------------------------------------------------------------- */

double gw_text_mark_drop(double size) {
  return (GW_MARK_GAP + GW_MARK_THICK) * size / GW_CANVAS_MM_PT;
}

double gw_text_mark_width(gw_doc *doc, double size, const char *mark) {
  return gw_text_width(doc, GW_TYPE_BOLD(size), mark);
}

double gw_text_mark(gw_page *page, double x, double y, double size, const char *mark,
                    bool bar) {
  if (!gw_canvas_open(page)) return 0;
  double width = gw_text_mark_width(page->doc, size, mark), em = size / GW_CANVAS_MM_PT;
  gw_canvas_turned(page, "gw_text_mark", x, y, 0, GW_TYPE_BOLD(size), GW_ALIGN_LEFT, mark);
  if (bar && width > 0 && !gw_doc_failed(page->doc))
    gw_fill_area(page, 0, (gw_area){x, y + GW_MARK_GAP * em, width, GW_MARK_THICK * em});
  return width;
}
