/* canvas_frame.c - what every page carries: footer, page label, draft banner. */
#include "sheets/canvas_inner.h"

#include <math.h>
#include <string.h>

#define SIDE 12.0       /* margin at the sides, mm */
#define TOP 10.0        /* margin at the top */
#define FOOT 13.0       /* kept free at the foot for the footer */
#define BAND_TOP 5.0    /* where the draft band begins and how high it is; */
#define BAND_HEIGHT 8.0 /* printers leave some 4 mm blank: common practice, no source */

gw_area gw_doc_body(const gw_doc *doc) {
  if (doc == NULL) return (gw_area){0, 0, 0, 0};
  double top = doc->draft ? BAND_TOP + BAND_HEIGHT + 2 : TOP;
  return (gw_area){SIDE, top, doc->width - 2 * SIDE, doc->height - FOOT - top};
}

/* ---- draft ------------------------------------------------------------------------ */

/* Large, light and corner to corner, drawn before the page's own contents so
 * that nothing is made harder to read by it. */
void gw_canvas_banner_under(gw_page *page) {
  gw_doc *doc = page->doc;
  double angle = atan2(doc->height, doc->width), diagonal = hypot(doc->width, doc->height);
  double at_100 = gw_text_width(doc, GW_TYPE_BOLD(100), GW_DRAFT_WORDS);
  if (at_100 <= 0) return;
  gw_type type = {GW_FACE_BOLD, 100 * 0.75 * diagonal / at_100, 0.86};
  double half = gw_cap_height(doc, type) / 2;
  gw_canvas_turned(page, "draft banner", doc->width / 2 + half * sin(angle),
                   doc->height / 2 + half * cos(angle), angle * 180 / acos(-1), type,
                   GW_ALIGN_CENTRE, GW_DRAFT_WORDS);
}

/* The same words in black on white at the top, drawn over the contents: the
 * light ones may be covered. */
static void draft_band(gw_page *page) {
  double width = 90, x = (page->doc->width - width) / 2;
  gw_area band = {x, BAND_TOP, width, BAND_HEIGHT};
  gw_fill_area(page, 1, band);
  gw_draw_area(page, GW_PEN_THICK, band);
  gw_text_middle(page, band, GW_TYPE_BOLD(18), 8, GW_DRAFT_WORDS);
}

/* ---- footer -------------------------------------------------------------------------- */

static void footer(gw_page *page, size_t number) {
  gw_doc *doc = page->doc;
  double y = page->footer_y, wide = doc->width - 2 * SIDE;
  char middle[128], right[256];
  bool digest = doc->digest[0] != '\0';
  snprintf(middle, sizeof middle, "%s%.64s%s%s", digest ? "file " : "", doc->digest,
           digest && doc->date[0] != '\0' ? "   " : "", doc->date);
  snprintf(right, sizeof right, "%.200s%spage %zu of %zu", page->sheet,
           page->sheet[0] == '\0' ? "" : ", ", number, doc->n_pages);
  gw_draw_line(page, GW_PEN_THIN, SIDE, y - 3.6, doc->width - SIDE, y - 3.6);
  gw_text_fit(page, SIDE, y, 0.34 * wide, GW_TYPE_BOLD(8), 6, GW_ALIGN_LEFT, doc->title);
  gw_text_fit(page, doc->width / 2, y, 0.28 * wide, GW_TYPE(8), 6, GW_ALIGN_CENTRE, middle);
  gw_text_fit(page, doc->width - SIDE, y, 0.34 * wide, GW_TYPE(8), 6, GW_ALIGN_RIGHT, right);
}

/* ---- page labels ---------------------------------------------------------------------- */

/* The sheet's name and a space.  libharu writes it as it is, so all beyond
 * ASCII would be garbled by the viewer: it becomes '?'. */
static const char *label_prefix(gw_doc *doc, const char *sheet) {
  if (sheet[0] == '\0') return "";
  char *prefix = gw_arena_printf(doc->arena, "%s ", sheet);
  if (prefix == NULL) {
    gw_canvas_fail(doc, GW_NO_MEMORY, "not enough memory");
    return "";
  }
  char *out = prefix;
  for (const char *in = prefix; *in != '\0'; in++) {
    bool ascii = (unsigned char)*in < 0x80, follows = ((unsigned char)*in & 0xC0u) == 0x80u;
    if (!follows) *out++ = ascii ? *in : '?';
  }
  *out = '\0';
  return prefix;
}

/* Pages count from 1 within each stretch of the same sheet: "Labels 2". */
static void page_labels(gw_doc *doc) {
  for (size_t i = 0; i < doc->n_pages; i++) {
    const char *sheet = doc->pages[i]->sheet;
    if (i > 0 && strcmp(sheet, doc->pages[i - 1]->sheet) == 0) continue;
    HPDF_AddPageLabel(doc->pdf, (HPDF_UINT)i, HPDF_PAGE_NUM_STYLE_DECIMAL, 1,
                      label_prefix(doc, sheet));
  }
}

void gw_canvas_finish(gw_doc *doc) {
  if (gw_doc_failed(doc) || doc->finished) return;
  if (doc->n_pages == 0) gw_canvas_fail(doc, GW_INTERNAL, "the document has no pages");
  for (size_t i = 0; i < doc->n_pages && !gw_doc_failed(doc); i++) {
    gw_page *page = doc->pages[i];
    if (page->clips > 0)
      gw_canvas_fail(doc, GW_INTERNAL, "page %zu: a clip is not ended", i + 1);
    footer(page, i + 1);
    if (doc->draft) draft_band(page);
  }
  page_labels(doc);
  doc->finished = !gw_doc_failed(doc);
}
