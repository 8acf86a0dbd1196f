/* canvas.c - the document, its guards, its outline and links.  See canvas.h. */
#include "sheets/canvas_inner.h"

#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define SLACK 0.01 /* mm that rounding may put a thing beyond the page */
#define CLIPS_MOST 20 /* libharu stops at 28 saved states */

/* ---- failures ------------------------------------------------------------- */

void gw_canvas_fail(gw_doc *doc, gw_status status, const char *format, ...) {
  if (doc == NULL || doc->failure.status != GW_OK) return;
  char words[sizeof doc->failure.words];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(words, sizeof words, format, arguments);
  va_end(arguments);
  gw_fail(&doc->failure, status, "%s", words);
}

void gw_doc_fail(gw_doc *doc, gw_status status, const char *words) {
  if (status != GW_OK) gw_canvas_fail(doc, status, "%s", words);
}

/* What libharu's commonest codes mean. */
static const char *library_words(HPDF_STATUS code) {
  switch (code) {
  case HPDF_FAILD_TO_ALLOC_MEM: return "not enough memory";
  case HPDF_FILE_IO_ERROR: return "reading or writing failed";
  case HPDF_FILE_OPEN_ERROR: return "a file cannot be opened";
  case HPDF_INVALID_DOCUMENT: return "the document failed earlier";
  case HPDF_EXCEED_GSTATE_LIMIT: return "clips are nested too deep";
  case HPDF_PAGE_INVALID_FONT_SIZE: return "a size of type is out of range";
  case HPDF_PAGE_INVALID_GMODE: return "a drawing call came at the wrong time";
  case HPDF_PAGE_OUT_OF_RANGE: return "a number is out of range";
  case HPDF_TTF_MISSING_TABLE:
  case HPDF_TTF_INVALID_CMAP:
  case HPDF_TTF_INVALID_FOMAT: return "a typeface cannot be used";
  default: return "an unexpected failure";
  }
}

static gw_status library_status(HPDF_STATUS code) {
  if (code == HPDF_FAILD_TO_ALLOC_MEM) return GW_NO_MEMORY;
  if (code == HPDF_FILE_IO_ERROR || code == HPDF_FILE_OPEN_ERROR) return GW_IO;
  return GW_INTERNAL;
}

/* libharu calls this at each error; the first is the one that matters. */
static void on_library_error(HPDF_STATUS code, HPDF_STATUS detail, void *context) {
  if (code == HPDF_STREAM_EOF) return; /* the ordinary end of a stream */
  gw_canvas_fail(context, library_status(code), "the PDF library reports: %s (code %lx, %lu)",
                 library_words(code), (unsigned long)code, (unsigned long)detail);
}

bool gw_doc_failed(const gw_doc *doc) { return doc == NULL || doc->failure.status != GW_OK; }

const gw_error *gw_doc_failure(const gw_doc *doc) {
  return doc != NULL && gw_doc_failed(doc) ? &doc->failure : NULL;
}

/* ---- guards ------------------------------------------------------------------ */

bool gw_canvas_open(gw_page *page) {
  if (page == NULL || gw_doc_failed(page->doc)) return false;
  if (page->doc->finished)
    gw_canvas_fail(page->doc, GW_INTERNAL, "drawing on a document that is saved already");
  return !page->doc->finished;
}

bool gw_canvas_on_page(gw_page *page, const char *call, double x, double y) {
  gw_doc *doc = page->doc;
  if (isfinite(x) && isfinite(y) && x >= -SLACK && x <= doc->width + SLACK && y >= -SLACK &&
      y <= doc->height + SLACK)
    return true;
  gw_canvas_fail(doc, GW_INTERNAL,
                 "%s: the point %.4g, %.4g mm is not on the page of %.4g x %.4g mm"
                 " (sheet \"%.40s\")", call, x, y, doc->width, doc->height, page->sheet);
  return false;
}

bool gw_canvas_area_on_page(gw_page *page, const char *call, gw_area area) {
  if (!gw_canvas_in_range(page->doc, call, "width", area.w, 0, 1000)) return false;
  if (!gw_canvas_in_range(page->doc, call, "height", area.h, 0, 1000)) return false;
  return gw_canvas_on_page(page, call, area.x, area.y) &&
         gw_canvas_on_page(page, call, area.x + area.w, area.y + area.h);
}

bool gw_canvas_in_range(gw_doc *doc, const char *call, const char *what, double value,
                        double least, double most) {
  if (isfinite(value) && value >= least && value <= most) return true;
  gw_canvas_fail(doc, GW_INTERNAL, "%s: the %s %.4g is not between %.4g and %.4g", call, what,
                 value, least, most);
  return false;
}

HPDF_REAL gw_canvas_x(double x) { return (HPDF_REAL)(x * GW_CANVAS_MM_PT); }

HPDF_REAL gw_canvas_y(const gw_page *page, double y) {
  return (HPDF_REAL)((page->doc->height - y) * GW_CANVAS_MM_PT);
}

/* ---- a new document ------------------------------------------------------------ */

void gw_canvas_clean(gw_doc *doc, const char *text, char *out) {
  size_t size = strlen(text), at = 0;
  while (at < size) {
    uint32_t code = gw_text_next(text, size, &at);
    if (code > 0xFFFF) gw_canvas_note_missing(doc, code);
  }
  gw_text_clean(text, out);
}

/* A clean copy of a text, owned by the document; NULL text gives "". */
static const char *keep(gw_doc *doc, const char *text) {
  size_t size = gw_text_clean_size(text == NULL ? 0 : strlen(text));
  char *copy = size == 0 ? NULL : gw_arena_alloc(doc->arena, size, 1);
  if (copy == NULL) {
    gw_canvas_fail(doc, GW_NO_MEMORY, "not enough memory");
    return "";
  }
  gw_canvas_clean(doc, text == NULL ? "" : text, copy);
  return copy;
}

static void set_paper(gw_doc *doc, gw_paper paper) {
  bool letter = paper == GW_PAPER_LETTER; /* ANSI A, 8.5 x 11 in; else ISO 216 */
  doc->width = letter ? 215.9 : 210;
  doc->height = letter ? 279.4 : 297;
}

/* The reproducible-builds convention: seconds since 1970 in the environment. */
static void set_date(gw_doc *doc) {
  const char *epoch = getenv("SOURCE_DATE_EPOCH");
  if (epoch == NULL || *epoch == '\0') return;
  char *end;
  errno = 0;
  long long seconds = strtoll(epoch, &end, 10);
  time_t when = (time_t)seconds;
  struct tm day;
  if (*end != '\0' || *epoch < '0' || *epoch > '9' || errno != 0 || seconds > 253402300799LL ||
      gmtime_r(&when, &day) == NULL) {
    gw_canvas_fail(doc, GW_BAD_INPUT, "SOURCE_DATE_EPOCH is \"%.40s\": a number of seconds"
                   " since 1970 is wanted", epoch);
    return;
  }
  strftime(doc->date, sizeof doc->date, "%Y-%m-%d", &day);
  HPDF_Date date = {day.tm_year + 1900, day.tm_mon + 1, day.tm_mday, day.tm_hour, day.tm_min,
                    day.tm_sec, '+', 0, 0};
  HPDF_SetInfoDateAttr(doc->pdf, HPDF_INFO_CREATION_DATE, date);
  HPDF_SetInfoDateAttr(doc->pdf, HPDF_INFO_MOD_DATE, date);
}

/* libharu has no call for the language, which screen readers go by; the entry
 * is put into the catalogue by hand. */
static void set_language(gw_doc *doc, const char *language) {
  HPDF_Dict catalog = doc->pdf->catalog;
  HPDF_String text =
      HPDF_String_New(doc->pdf->mmgr, language == NULL ? "en" : language, NULL);
  if (text != NULL) HPDF_Dict_Add(catalog, "Lang", text);
}

/* UTF-8 to UCS-2, as libharu wants it for its fonts.  Its own function writes
 * to where malloc has given nothing.  What is returned libharu frees. */
static char *encode_text(HPDF_Encoder encoder, const char *text, HPDF_UINT size,
                         HPDF_UINT *length) {
  *length = 0;
  char *codes = malloc(2 * (size_t)size + 1);
  if (codes == NULL) {
    HPDF_RaiseError(encoder->error, HPDF_FAILD_TO_ALLOC_MEM, 0);
    return NULL;
  }
  for (size_t at = 0; at < size;) {
    uint32_t code = gw_text_next(text, size, &at);
    codes[(*length)++] = (char)(code >> 8);
    codes[(*length)++] = (char)(code & 0xFF);
  }
  return codes;
}

static void set_up_pdf(gw_doc *doc, const gw_doc_options *options) {
  HPDF_UseUTFEncodings(doc->pdf);
  HPDF_SetCurrentEncoder(doc->pdf, "UTF-8");
  doc->encoder = HPDF_GetEncoder(doc->pdf, "UTF-8");
  if (doc->encoder != NULL) doc->encoder->encode_text_fn = encode_text;
  HPDF_SetCompressionMode(doc->pdf, HPDF_COMP_ALL);
  HPDF_SetViewerPreference(doc->pdf, HPDF_PRINT_SCALING_NONE);
  HPDF_SetInfoAttr(doc->pdf, HPDF_INFO_TITLE, doc->title);
  HPDF_SetInfoAttr(doc->pdf, HPDF_INFO_CREATOR, "gluewright");
  if (options->subject != NULL)
    HPDF_SetInfoAttr(doc->pdf, HPDF_INFO_SUBJECT, keep(doc, options->subject));
  set_language(doc, options->language);
  set_date(doc);
}

static void fill(gw_doc *doc, const gw_doc_options *options) {
  doc->draft = options->draft;
  set_paper(doc, options->paper);
  doc->title = keep(doc, options->title);
  doc->digest = keep(doc, options->digest);
  gw_allocate *allocate = options->allocate;
  doc->pdf = HPDF_NewEx(on_library_error, allocate, allocate == NULL ? NULL : free, 0, doc);
  if (doc->pdf == NULL) {
    gw_canvas_fail(doc, GW_NO_MEMORY, "not enough memory");
    return;
  }
  set_up_pdf(doc, options);
  if (!gw_doc_failed(doc)) gw_canvas_faces_find(doc, options->fonts_dir);
  gw_text_width(doc, GW_TYPE_BOLD(8), doc->title); /* notes what the footer will miss */
}

gw_doc *gw_doc_new(const gw_doc_options *options, gw_error *err) {
  gw_doc *doc = calloc(1, sizeof *doc);
  if (doc != NULL) doc->arena = gw_arena_new();
  if (doc == NULL || doc->arena == NULL) {
    free(doc);
    gw_fail(err, GW_NO_MEMORY, "not enough memory");
    return NULL;
  }
  fill(doc, options);
  if (!gw_doc_failed(doc)) return doc;
  gw_fail(err, doc->failure.status, "%s", doc->failure.words);
  gw_doc_free(doc);
  return NULL;
}

/* libharu 2.3.0 does not free the states of clips that were never ended. */
static void end_clips(gw_doc *doc) {
  HPDF_ResetError(doc->pdf);
  for (size_t i = 0; i < doc->n_pages; i++)
    for (; doc->pages[i]->clips > 0; doc->pages[i]->clips--)
      HPDF_Page_GRestore(doc->pages[i]->pdf);
}

void gw_doc_free(gw_doc *doc) {
  if (doc == NULL) return;
  if (doc->pdf != NULL) {
    end_clips(doc);
    HPDF_Free(doc->pdf);
  }
  gw_arena_free(doc->arena);
  free(doc->pages);
  free(doc->missing);
  free(doc);
}

double gw_doc_width(const gw_doc *doc) { return doc == NULL ? 0 : doc->width; }
double gw_doc_height(const gw_doc *doc) { return doc == NULL ? 0 : doc->height; }
size_t gw_doc_page_count(const gw_doc *doc) { return doc == NULL ? 0 : doc->n_pages; }
size_t gw_doc_cut_count(const gw_doc *doc) { return doc == NULL ? 0 : doc->cuts; }

/* ---- pages ------------------------------------------------------------------------ */

static gw_page *add_page(gw_doc *doc, const char *sheet) {
  gw_page *page = gw_arena_alloc(doc->arena, 1, sizeof *page);
  if (page == NULL || gw_grow(&doc->pages, &doc->pages_capacity, doc->n_pages + 1,
                              sizeof(gw_page *)) != GW_OK) {
    gw_canvas_fail(doc, GW_NO_MEMORY, "not enough memory");
    return NULL;
  }
  *page = (gw_page){.doc = doc, .pdf = HPDF_AddPage(doc->pdf), .sheet = keep(doc, sheet),
                    .footer_y = doc->height - 7};
  if (page->pdf == NULL || gw_doc_failed(doc)) return NULL;
  HPDF_Page_SetWidth(page->pdf, gw_canvas_x(doc->width));
  HPDF_Page_SetHeight(page->pdf, gw_canvas_x(doc->height));
  doc->pages[doc->n_pages++] = page;
  return page;
}

gw_page *gw_page_new(gw_doc *doc, const char *sheet) {
  if (doc == NULL || gw_doc_failed(doc)) return NULL;
  if (doc->finished) {
    gw_canvas_fail(doc, GW_INTERNAL, "a page is added to a document that is saved already");
    return NULL;
  }
  gw_page *page = add_page(doc, sheet);
  if (page != NULL && doc->draft) gw_canvas_banner_under(page);
  return gw_doc_failed(doc) ? NULL : page;
}

gw_doc *gw_page_doc(const gw_page *page) { return page == NULL ? NULL : page->doc; }

void gw_page_footer_at(gw_page *page, double y) {
  if (gw_canvas_open(page) && gw_canvas_on_page(page, "gw_page_footer_at", 0, y))
    page->footer_y = y;
}

void gw_page_clip(gw_page *page, gw_area area) {
  if (!gw_canvas_open(page) || !gw_canvas_area_on_page(page, "gw_page_clip", area)) return;
  if (page->clips >= CLIPS_MOST) {
    gw_canvas_fail(page->doc, GW_INTERNAL, "gw_page_clip: more than %d clips nested", CLIPS_MOST);
    return;
  }
  page->clips++;
  HPDF_Page_GSave(page->pdf);
  HPDF_Page_Rectangle(page->pdf, gw_canvas_x(area.x), gw_canvas_y(page, area.y + area.h),
                      gw_canvas_x(area.w), gw_canvas_x(area.h));
  HPDF_Page_Clip(page->pdf);
  HPDF_Page_EndPath(page->pdf);
}

void gw_page_unclip(gw_page *page) {
  if (!gw_canvas_open(page)) return;
  if (page->clips == 0) {
    gw_canvas_fail(page->doc, GW_INTERNAL, "gw_page_unclip: nothing is clipped");
    return;
  }
  page->clips--;
  HPDF_Page_GRestore(page->pdf);
}

/* ---- outline and links -------------------------------------------------------------- */

/* The full width of a page, from height y down. */
static HPDF_Destination destination(const gw_page *page, double y) {
  HPDF_Destination there = HPDF_Page_CreateDestination(page->pdf);
  if (there != NULL) HPDF_Destination_SetFitH(there, gw_canvas_y(page, y));
  return there;
}

gw_outline *gw_doc_outline(gw_doc *doc, gw_outline *parent, const char *title,
                           const gw_page *page, double y) {
  gw_page *open = (gw_page *)page; /* only its document is changed */
  if (!gw_canvas_open(open) || !gw_canvas_on_page(open, "gw_doc_outline", 0, y)) return NULL;
  const char *words = keep(doc, title);
  HPDF_Outline entry =
      HPDF_CreateOutline(doc->pdf, (HPDF_Outline)(void *)parent, words, doc->encoder);
  if (entry == NULL) return NULL;
  if (doc->outlines++ == 0) HPDF_SetPageMode(doc->pdf, HPDF_PAGE_MODE_USE_OUTLINE);
  HPDF_Outline_SetDestination(entry, destination(page, y));
  return gw_doc_failed(doc) ? NULL : (gw_outline *)(void *)entry;
}

void gw_page_link(gw_page *page, gw_area area, const gw_page *target, double y) {
  const char *call = "gw_page_link";
  if (!gw_canvas_open(page) || target == NULL) return;
  if (!gw_canvas_area_on_page(page, call, area) ||
      !gw_canvas_on_page((gw_page *)target, call, 0, y))
    return;
  HPDF_Rect rect = {gw_canvas_x(area.x), gw_canvas_y(page, area.y + area.h),
                    gw_canvas_x(area.x + area.w), gw_canvas_y(page, area.y)};
  HPDF_Annotation link =
      HPDF_Page_CreateLinkAnnot(page->pdf, rect, destination(target, y));
  if (link != NULL) HPDF_LinkAnnot_SetBorderStyle(link, 0, 0, 0);
}
