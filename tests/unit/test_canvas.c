/* The drawing layer, judged by what other programs find in the files it
 * writes: qpdf, poppler-utils and mupdf-tools.  A missing one fails the test. */
#include <check.h>
#include <errno.h>
#include <math.h>
#include <signal.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "sheets/canvas_inner.h"

#define ANDIKA "/usr/share/fonts/truetype/andika/Andika-Regular.ttf"
#define DEJAVU "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"
#define MM_PER_PT (25.4 / 72)

/* ---- helpers ------------------------------------------------------------------- */

/* A directory of this test's own, removed at its end. */
typedef struct scratch { char dir[32], pdf[64]; } scratch;

static scratch scratch_new(void) {
  scratch s = {.dir = "/tmp/gw-canvas-XXXXXX"};
  ck_assert_ptr_nonnull(mkdtemp(s.dir));
  snprintf(s.pdf, sizeof s.pdf, "%s/out.pdf", s.dir);
  return s;
}

/* Runs a command that must succeed; its output (cut to fit) goes to `out`. */
__attribute__((format(printf, 3, 4)))
static void run(char *out, size_t size, const char *format, ...) {
  char command[512];
  va_list arguments;
  va_start(arguments, format);
  ck_assert_int_lt(vsnprintf(command, sizeof command, format, arguments), sizeof command);
  va_end(arguments);
  FILE *pipe = popen(command, "r");
  ck_assert_ptr_nonnull(pipe);
  size_t used = fread(out, 1, size - 1, pipe);
  out[used] = '\0';
  while (fgetc(pipe) != EOF) continue;
  int status = pclose(pipe);
  ck_assert_msg(status == 0, "'%s' ended with %d: %s", command, status, out);
}

static void scratch_free(const scratch *s) {
  char out[64];
  run(out, sizeof out, "rm -r %s", s->dir);
}

static gw_doc *doc_new(const gw_doc_options *options) {
  gw_error err = {GW_OK, ""};
  gw_doc *doc = gw_doc_new(options, &err);
  ck_assert_msg(doc != NULL, "%s", err.words);
  return doc;
}

static gw_doc *plain(void) { return doc_new(&(gw_doc_options){.title = "Box"}); }

static void save(gw_doc *doc, const char *path) {
  gw_error err = {GW_OK, ""};
  gw_status status = gw_doc_save(doc, path, &err);
  ck_assert_msg(status == GW_OK, "%s", err.words);
}

static void save_and_free(gw_doc *doc, const char *path) {
  save(doc, path);
  gw_doc_free(doc);
}

static size_t count_of(const char *text, const char *needle) {
  size_t count = 0;
  for (; (text = strstr(text, needle)) != NULL; text += strlen(needle)) count++;
  return count;
}

static bool same_files(const char *a, const char *b) {
  char command[512];
  snprintf(command, sizeof command, "cmp -s %s %s", a, b);
  return system(command) == 0;
}

/* A page rendered to greys; mm are turned into pixels by `scale`. */
typedef struct picture { uint8_t *data; int w, h; double scale; } picture;

static picture render(const scratch *s, int page, int dpi) {
  char out[64], path[64];
  run(out, sizeof out, "pdftoppm -r %d -gray -aa no -aaVector no -singlefile -f %d %s %s/page"
      " 2>/dev/null", dpi, page, s->pdf, s->dir);
  snprintf(path, sizeof path, "%s/page.pgm", s->dir);
  FILE *file = fopen(path, "rb");
  ck_assert_ptr_nonnull(file);
  picture p = {.scale = dpi / 25.4};
  ck_assert_int_eq(fscanf(file, "P5 %d %d 255", &p.w, &p.h), 2);
  ck_assert(fgetc(file) == '\n' && p.w > 0 && p.h > 0);
  p.data = malloc((size_t)p.w * (size_t)p.h);
  ck_assert_ptr_nonnull(p.data);
  ck_assert_uint_eq(fread(p.data, (size_t)p.w, (size_t)p.h, file), p.h);
  fclose(file);
  return p;
}

static bool dark(const picture *p, double x, double y) {
  int column = (int)(x * p->scale), row = (int)(y * p->scale);
  ck_assert(column >= 0 && column < p->w && row >= 0 && row < p->h);
  return p->data[(size_t)row * (size_t)p->w + (size_t)column] < 128;
}

/* The smallest area that holds all dark pixels of `within`; w is 0 if none. */
static gw_area ink(const picture *p, gw_area within) {
  int left = p->w, right = -1, top = p->h, bottom = -1;
  int x1 = (int)(within.x * p->scale), x2 = (int)((within.x + within.w) * p->scale);
  int y1 = (int)(within.y * p->scale), y2 = (int)((within.y + within.h) * p->scale);
  for (int y = y1; y < y2 && y < p->h; y++)
    for (int x = x1; x < x2 && x < p->w; x++) {
      if (p->data[(size_t)y * (size_t)p->w + (size_t)x] >= 128) continue;
      left = x < left ? x : left;
      right = x > right ? x : right;
      top = y < top ? y : top;
      bottom = y > bottom ? y : bottom;
    }
  if (right < 0) return (gw_area){0, 0, 0, 0};
  return (gw_area){left / p->scale, top / p->scale, (right + 1 - left) / p->scale,
                   (bottom + 1 - top) / p->scale};
}

/* ---- sizes of type ----------------------------------------------------------------- */

/* H = 2 D tan(a / 2), computed by hand for the two distances; and the rule of
 * NUREG-0700 Rev 2, 1.3.1-4: H = 6.283 D MA / 21600. */
START_TEST(type_sizes_by_the_table) {
  static const struct { double metres, arcmin, capital_pt, at_718, at_562; } ROW[] = {
    {0.7, 16, 9.24, 12.9, 16.4},  {0.7, 20, 11.54, 16.1, 20.5}, {0.7, 22, 12.70, 17.7, 22.6},
    {1.5, 16, 19.79, 27.6, 35.2}, {1.5, 20, 24.74, 34.5, 44.0}, {1.5, 22, 27.21, 37.9, 48.4}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    double metres = ROW[i].metres, arcmin = ROW[i].arcmin;
    double capital = gw_type_size_for(metres, arcmin, 1);
    ck_assert_double_eq_tol(capital, ROW[i].capital_pt, 0.00501);
    ck_assert_double_eq_tol(gw_type_size_for(metres, arcmin, 0.718), ROW[i].at_718, 0.0501);
    ck_assert_double_eq_tol(gw_type_size_for(metres, arcmin, 0.562), ROW[i].at_562, 0.0501);
    double nureg_mm = 6.283 * metres * 1000 * arcmin / 21600;
    ck_assert_double_eq_tol(capital * MM_PER_PT, nureg_mm, nureg_mm * 1e-4);
  }
}
END_TEST

/* The figures that the head of canvas.h gives for Andika. */
START_TEST(type_sizes_of_the_face) {
  gw_doc *doc = plain();
  double ratio = gw_cap_ratio(doc, GW_FACE_BOLD);
  ck_assert_double_eq_tol(ratio, 0.712, 0.0005);
  ck_assert_double_eq_tol(gw_type_size_for(0.7, 20, ratio), 16.2, 0.05);
  ck_assert_double_eq_tol(gw_type_size_for(1.5, 20, ratio), 34.75, 0.05);
  ck_assert_double_eq_tol(gw_type_size_for(1.5, 16, ratio), 27.8, 0.05);
  gw_doc_free(doc);
}
END_TEST

/* Flat capitals printed at a known size are as high as is said. */
START_TEST(capitals_are_as_high_as_said) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  gw_text_line(page, 20, 60, GW_TYPE(100), GW_ALIGN_LEFT, "H");
  gw_text_line(page, 20, 160, GW_TYPE_BOLD(100), GW_ALIGN_LEFT, "H");
  double high[2] = {gw_cap_height(doc, GW_TYPE(100)), gw_cap_height(doc, GW_TYPE_BOLD(100))};
  save_and_free(doc, s.pdf);
  picture p = render(&s, 1, 254); /* ten pixels to the mm */
  for (int i = 0; i < 2; i++) {
    gw_area h = ink(&p, (gw_area){0, 20 + 100 * i, 200, 60});
    ck_assert_double_eq_tol(h.h, high[i], 0.15);
    ck_assert_double_eq_tol(h.y + h.h, 60 + 100 * i, 0.15);
  }
  free(p.data);
  scratch_free(&s);
}
END_TEST

/* A word's width here is its width in the file, in each face. */
START_TEST(widths_are_those_of_the_file) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  static const char *const WORDS[] = {"Hamburgefonstiv", "0123456789", "\xE2\x98\x90\xE2\x98\x91"};
  for (int i = 0; i < 6; i++)
    gw_text_line(page, 20, 40 + 20 * i, (gw_type){i % 2, 24, 0}, GW_ALIGN_LEFT, WORDS[i / 2]);
  double wide[6];
  for (int i = 0; i < 6; i++) wide[i] = gw_text_width(doc, (gw_type){i % 2, 24, 0}, WORDS[i / 2]);
  save_and_free(doc, s.pdf);
  char out[16384];
  run(out, sizeof out, "pdftotext -bbox %s - 2>/dev/null", s.pdf);
  const char *at = out;
  for (int i = 0; i < 6; i++) {
    double left, right;
    at = strstr(at, "<word xMin=\"");
    ck_assert_ptr_nonnull(at);
    ck_assert_int_eq(sscanf(at, "<word xMin=\"%lf\" yMin=\"%*f\" xMax=\"%lf\"", &left, &right), 2);
    ck_assert_double_eq_tol(left * MM_PER_PT, 20, 0.01);
    ck_assert_double_eq_tol((right - left) * MM_PER_PT, wide[i], 0.01);
    at++;
  }
  scratch_free(&s);
}
END_TEST

/* ---- what the faces cover ------------------------------------------------------------ */

START_TEST(faces_cover_what_is_known) {
  static const uint32_t BOTH[] = {'A', '0', '~', 0xBD, 0xBC, 0xBE, 0x215B, 0x215C, 0x215D, 0x215E,
                                  0xD7, 0x2032, 0x2033, 0x2192, 0xB0, 0xB1, 0x2013, 0x2014, 0x2026,
                                  0x2265, 0x3A9, 0xFFFD, 0xE9};
  static const uint32_t SPARE[] = {0x2610, 0x2611, 0x2300}; /* boxes, diameter */
  gw_cmap *andika = malloc(sizeof *andika), *dejavu = malloc(sizeof *dejavu);
  ck_assert(andika != NULL && dejavu != NULL);
  ck_assert_ptr_null(gw_cmap_load(ANDIKA, andika));
  ck_assert_ptr_null(gw_cmap_load(DEJAVU, dejavu));
  for (size_t i = 0; i < sizeof BOTH / sizeof *BOTH; i++)
    ck_assert_msg(gw_cmap_has(andika, BOTH[i]) && gw_cmap_has(dejavu, BOTH[i]), "U+%04X", BOTH[i]);
  for (size_t i = 0; i < sizeof SPARE / sizeof *SPARE; i++)
    ck_assert_msg(!gw_cmap_has(andika, SPARE[i]) && gw_cmap_has(dejavu, SPARE[i]), "U+%04X",
                  SPARE[i]);
  ck_assert(!gw_cmap_has(andika, 0x4E00) && !gw_cmap_has(dejavu, 0x4E00));
  ck_assert(!gw_cmap_has(dejavu, 0xFFFF) && !gw_cmap_has(dejavu, 0x1F600));
  free(andika);
  free(dejavu);
}
END_TEST

/* A face made by hand: directory, maxp with 100 glyphs, and a map of format 4
 * with three segments: A to C by a delta, E and F through the glyph array
 * (F has glyph 0), and the closing one. */
enum { HAND_SEGMENTS = 64 + 12 + 14, HAND_SIZE = HAND_SEGMENTS + 26 + 4 };
static void make_face(uint8_t face[HAND_SIZE]) {
  static const uint16_t words[HAND_SIZE / 2] = {
    0x0001, 0x0000, 2, 0, 0, 0,
    /* cmap, checksum, offset 64, length; maxp, checksum, offset 44, length 20 */
    0x636D, 0x6170, 0, 0, 0, 64, 0, HAND_SIZE - 64,
    0x6D61, 0x7870, 0, 0, 0, 44, 0, 20,
    0x0001, 0x0000, 100, 0, 0, 0, 0, 0, 0, 0, /* maxp */
    0, 1, 3, 1, 0, 12,                        /* cmap: one table, at 12 */
    4, HAND_SIZE - 76, 0, 6, 0, 0, 0,         /* format 4, three segments */
    'C', 'F', 0xFFFF, 0, 'A', 'E', 0xFFFF,    /* ends, pad, starts */
    (uint16_t)(10 - 'A'), 5, 1, 0, 4, 0,      /* deltas, offsets */
    7, 0};                                    /* glyphs of E and F */
  for (size_t i = 0; i < HAND_SIZE / 2; i++) {
    face[2 * i] = (uint8_t)(words[i] >> 8);
    face[2 * i + 1] = (uint8_t)words[i];
  }
}

START_TEST(a_map_made_by_hand) {
  uint8_t face[HAND_SIZE];
  gw_cmap map;
  make_face(face);
  ck_assert_ptr_null(gw_cmap_read(face, sizeof face, &map));
  for (uint32_t code = 0; code <= 0x10FFFF; code++)
    ck_assert_msg(gw_cmap_has(&map, code) == ((code >= 'A' && code <= 'C') || code == 'E'),
                  "U+%04X", code);
  face[49] = 11; /* only 11 glyphs: B and C (11, 12) and E (12) fall away */
  ck_assert_ptr_null(gw_cmap_read(face, sizeof face, &map));
  ck_assert(gw_cmap_has(&map, 'A') && !gw_cmap_has(&map, 'B') && !gw_cmap_has(&map, 'E'));
}
END_TEST

/* Cut at any byte: refused (in memory of just that size, for sanitizers). */
START_TEST(a_map_cut_short_is_refused) {
  uint8_t face[HAND_SIZE];
  make_face(face);
  for (size_t size = 0; size < HAND_SIZE; size++) {
    uint8_t *part = malloc(size + !size);
    gw_cmap map;
    ck_assert_ptr_nonnull(part);
    memcpy(part, face, size);
    ck_assert_ptr_nonnull(gw_cmap_read(part, size, &map));
    free(part);
  }
}
END_TEST

START_TEST(a_map_out_of_order_is_refused) {
  static const struct { size_t at; uint8_t value; } ROW[] = {
    {HAND_SEGMENTS + 1, '@'},     /* the first segment ends before it begins */
    {HAND_SEGMENTS + 1, 'E'},     /* the second begins inside the first */
    {77, 6},                      /* another format */
    {67, 0},                      /* no tables in the map */
    {HAND_SEGMENTS + 23, 40},     /* glyphs looked up beyond the table */
    {3, 1}};                      /* not a TrueType file */
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    uint8_t face[HAND_SIZE];
    gw_cmap map;
    make_face(face);
    face[ROW[i].at] = ROW[i].value;
    ck_assert_msg(gw_cmap_read(face, sizeof face, &map) != NULL, "row %zu", i);
  }
}
END_TEST

/* Real faces with bytes changed by chance: any answer will do, but it comes. */
START_TEST(a_damaged_map_is_survived) {
  static uint8_t face[700000];
  FILE *file = fopen(ANDIKA, "rb");
  ck_assert_ptr_nonnull(file);
  size_t size = fread(face, 1, sizeof face, file), refused = 0;
  fclose(file);
  gw_cmap map;
  ck_assert_ptr_null(gw_cmap_read(face, size, &map));
  uint32_t cmap = 0;
  for (size_t at = 12; cmap == 0; at += 16)
    if (memcmp(face + at, "cmap", 4) == 0)
      cmap = (uint32_t)face[at + 9] << 16 | (uint32_t)face[at + 10] << 8 | face[at + 11];
  unsigned seed = 7;
  for (int i = 0; i < 300; i++) {
    seed = seed * 1103515245u + 12345u;
    size_t at = (i % 2 ? cmap : 0) + (seed >> 16) % (i % 2 ? 3000 : 300);
    uint8_t old = face[at];
    face[at] = (uint8_t)(seed >> 8);
    refused += gw_cmap_read(face, size, &map) != NULL;
    face[at] = old;
  }
  ck_assert_uint_gt(refused, 10);
  ck_assert_uint_lt(refused, 300);
}
END_TEST

/* A face that is cut short never reaches libharu. */
START_TEST(a_broken_face_is_refused) {
  scratch s = scratch_new();
  char out[64];
  run(out, sizeof out, "head -c 300000 %s > %s/Andika-Regular.ttf", ANDIKA, s.dir);
  gw_error err = {GW_OK, ""};
  ck_assert_ptr_null(gw_doc_new(&(gw_doc_options){.fonts_dir = s.dir}, &err));
  ck_assert_int_eq(err.status, GW_IO);
  ck_assert_ptr_nonnull(strstr(err.words, "Andika-Regular.ttf cannot be used: it is cut short"));
  scratch_free(&s);
}
END_TEST

/* Only what the face lacks is drawn in the spare one; only then is it there. */
START_TEST(the_spare_face_comes_when_needed) {
  for (int need = 0; need < 2; need++) {
    scratch s = scratch_new();
    gw_doc *doc = plain();
    gw_text_line(gw_page_new(doc, "Sheet"), 20, 40, GW_TYPE_BOLD(12), GW_ALIGN_LEFT,
                 need ? "oak \xE2\x98\x91 done" : "oak done");
    save_and_free(doc, s.pdf);
    char out[4096];
    run(out, sizeof out, "pdffonts %s 2>/dev/null", s.pdf);
    ck_assert_uint_eq(count_of(out, "\n"), need ? 5 : 4); /* with two lines of heading */
    ck_assert_uint_eq(count_of(out, "yes yes yes"), need ? 3 : 2);
    ck_assert_uint_eq(count_of(out, "DejaVuSans"), need);
    run(out, sizeof out, "pdftotext -layout %s - 2>/dev/null", s.pdf);
    ck_assert_ptr_nonnull(strstr(out, need ? "oak \xE2\x98\x91 done" : "oak done"));
    scratch_free(&s);
  }
}
END_TEST

START_TEST(missing_glyphs_are_told) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  size_t count = 1;
  ck_assert_ptr_null(gw_doc_missing(doc, &count));
  ck_assert_uint_eq(count, 0);
  ck_assert(gw_doc_has_glyph(doc, 'A') && gw_doc_has_glyph(doc, 0x2610));
  ck_assert(!gw_doc_has_glyph(doc, 0x4E00) && !gw_doc_has_glyph(doc, 0x1F600));
  gw_doc_missing(doc, &count);
  ck_assert_uint_eq(count, 0); /* asking is not using */
  gw_text_line(gw_page_new(doc, "Sheet"), 20, 40, GW_TYPE(12), GW_ALIGN_LEFT,
               "\xF0\x9F\x98\x80 \xE4\xB8\x81 \xE4\xB8\x80 \xE4\xB8\x81 end");
  const uint32_t *missing = gw_doc_missing(doc, &count);
  ck_assert_uint_eq(count, 3);
  ck_assert(missing[0] == 0x4E00 && missing[1] == 0x4E01 && missing[2] == 0x1F600);
  save_and_free(doc, s.pdf);
  char out[4096];
  run(out, sizeof out, "pdftotext -layout %s - 2>/dev/null", s.pdf);
  ck_assert_uint_eq(count_of(out, "\xEF\xBF\xBD"), 4);
  scratch_free(&s);
}
END_TEST

/* What the footer will not be able to draw is known from the start. */
START_TEST(missing_in_the_title_is_told) {
  gw_doc *doc = doc_new(&(gw_doc_options){.title = "Kiste \xE4\xB8\x80"});
  size_t count;
  const uint32_t *missing = gw_doc_missing(doc, &count);
  ck_assert(count == 1 && missing[0] == 0x4E00);
  gw_doc_free(doc);
}
END_TEST

/* Every character that this room's own words use is in the first face. */
START_TEST(own_words_are_covered) {
  gw_cmap andika;
  ck_assert_ptr_null(gw_cmap_load(ANDIKA, &andika));
  const char *words = GW_RULER_WORDS GW_DRAFT_WORDS GW_TEXT_ELLIPSIS "page of ,0123456789-";
  for (size_t at = 0, size = strlen(words); at < size;)
    ck_assert(gw_cmap_has(&andika, gw_text_next(words, size, &at)));
}
END_TEST

/* ---- whole pages ------------------------------------------------------------------------ */

/* As much as a page can hold, up to its margins. */
static void stress_page(gw_doc *doc, const char *sheet) {
  static const char LONG_TEXT[] =
      "Wider than it is tall, tongue-and-groove, front/left, 3/8 in; "
      "Rindfleischetikettierungs\xC3\xBC" "berwachungsaufgaben\xC3\xBC" "bertragungsgesetz "
      "\xE2\x98\x90 \xE2\x8C\x80 12 \xC2\xB1 0.1 \xFF\xC3 \xF0\x9F\x98\x80 end. ";
  gw_page *page = gw_page_new(doc, sheet);
  gw_area body = gw_doc_body(doc);
  char text[8 * sizeof LONG_TEXT] = "";
  for (int i = 0; i < 8; i++) strcat(text, LONG_TEXT);
  gw_draw_area(page, GW_PEN_THICK, body);
  double used = gw_text_box(page, (gw_area){body.x, body.y, body.w / 2, 100}, GW_TYPE(10),
                            GW_ALIGN_LEFT, text);
  ck_assert_double_gt(used, 0);
  gw_text_box(page, (gw_area){body.x + body.w / 2, body.y, body.w / 2, 40}, GW_TYPE_BOLD(14),
              GW_ALIGN_CENTRE, text);
  gw_text_box(page, (gw_area){body.x + body.w / 2, body.y + 45, 20, 50}, GW_TYPE(6),
              GW_ALIGN_RIGHT, text);
  gw_text_fit(page, body.x, body.y + body.h - 2, body.w, GW_TYPE_BOLD(60), 20, GW_ALIGN_LEFT,
              text);
  gw_text_middle(page, (gw_area){body.x, 130, 30, 15}, GW_TYPE_BOLD(60), 6, "106");
  gw_text_mark(page, 60, 145, 40, "16", true);
  gw_text_turned(page, 150, 200, 90, GW_TYPE(12), GW_ALIGN_LEFT, "upwards");
  gw_text_turned(page, 160, 200, 270, GW_TYPE(12), GW_ALIGN_RIGHT, "downwards");
  gw_text_turned(page, 150, 220, 180, GW_TYPE(12), GW_ALIGN_CENTRE, "over");
  gw_draw_ruler(page, 50, 180);
  gw_draw_circle(page, GW_PEN_CENTRE, 100, 220, 15);
  gw_draw_line(page, GW_PEN_HIDDEN, 0, 0, gw_doc_width(doc), gw_doc_height(doc));
  gw_fill_polygon(page, 0.8, (const gw_spot[]){{20, 200}, {40, 200}, {30, 215}}, 3);
  gw_draw_arrow(page, GW_PEN_THICK, 20, 220, 45, 235, 5);
  gw_draw_tick_box(page, 50, 225, 5);
}

/* Every word of pdftotext -bbox lies on its page. */
static size_t words_on_page(const char *boxes, double w, double h) {
  size_t words = 0;
  for (const char *at = boxes; (at = strstr(at, "<word ")) != NULL; at++, words++) {
    double x1, y1, x2, y2;
    ck_assert_int_eq(sscanf(at, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"", &x1,
                            &y1, &x2, &y2), 4);
    ck_assert_msg(x1 >= 0 && y1 >= 0 && x2 <= w && y2 <= h, "%.60s", at);
  }
  return words;
}

START_TEST(full_pages_are_sound) {
  gw_doc_options options = {.paper = _i % 2 ? GW_PAPER_LETTER : GW_PAPER_A4, .draft = _i / 2,
                            .title = "A chest of a name that does not end until the line does, "
                                     "and then some more", .digest = "3fa9c1d2e0b4"};
  scratch s = scratch_new();
  gw_doc *doc = doc_new(&options);
  for (int i = 0; i < 3; i++) stress_page(doc, i < 2 ? "Labels" : "Glue-up");
  ck_assert_msg(!gw_doc_failed(doc), "%s", gw_doc_failure(doc)->words);
  save_and_free(doc, s.pdf);
  static char out[1 << 18];
  run(out, sizeof out, "qpdf --check %s 2>&1", s.pdf);
  ck_assert_ptr_nonnull(strstr(out, "No syntax or stream encoding errors"));
  run(out, sizeof out, "mutool draw -F txt -o %s/out.txt %s 2>&1", s.dir, s.pdf);
  ck_assert_ptr_null(strstr(out, "error"));
  run(out, sizeof out, "pdffonts %s 2>/dev/null", s.pdf);
  ck_assert_uint_eq(count_of(out, "\n"), 5);
  ck_assert_uint_eq(count_of(out, "yes yes yes"), 3);
  run(out, sizeof out, "pdfinfo %s", s.pdf);
  ck_assert_ptr_nonnull(strstr(out, "Pages:           3\n"));
  const char *paper = _i % 2 ? "612 x 792 pts (letter)" : "595.276 x 841.89 pts (A4)";
  ck_assert_ptr_nonnull(strstr(out, paper));
  run(out, sizeof out, "pdftotext -bbox %s - 2>/dev/null", s.pdf);
  ck_assert_uint_gt(words_on_page(out, _i % 2 ? 612 : 595.28, _i % 2 ? 792 : 841.89), 300);
  scratch_free(&s);
}
END_TEST

START_TEST(every_page_has_its_furniture) {
  scratch s = scratch_new();
  setenv("SOURCE_DATE_EPOCH", "1709164800", 1); /* 2024-02-29 */
  gw_doc_options options = {.title = "Lantern box", .digest = "3fa9c1d2", .draft = _i};
  gw_doc *doc = doc_new(&options);
  for (int i = 0; i < 3; i++) gw_page_new(doc, i == 0 ? "Labels" : "Glue-up");
  unsetenv("SOURCE_DATE_EPOCH");
  save_and_free(doc, s.pdf);
  for (int i = 1; i <= 3; i++) {
    char out[4096], want[64];
    run(out, sizeof out, "pdftotext -layout -f %d -l %d %s - 2>/dev/null", i, i, s.pdf);
    snprintf(want, sizeof want, "%s, page %d of 3", i == 1 ? "Labels" : "Glue-up", i);
    ck_assert_msg(strstr(out, want) != NULL, "%s", out);
    ck_assert(strstr(out, "Lantern box") && strstr(out, "file 3fa9c1d2"));
    ck_assert_ptr_nonnull(strstr(out, "2024-02-29"));
    ck_assert_int_eq(strstr(out, GW_DRAFT_WORDS) != NULL, _i);
  }
  scratch_free(&s);
}
END_TEST

/* The large light words are under the page's contents and cross its middle. */
START_TEST(a_draft_is_seen_from_afar) {
  scratch s = scratch_new();
  gw_doc *doc = doc_new(&(gw_doc_options){.draft = true});
  gw_page *page = gw_page_new(doc, "Sheet");
  gw_fill_area(page, 0, (gw_area){20, 240, 10, 10});
  save_and_free(doc, s.pdf);
  picture p = render(&s, 1, 72);
  size_t grey = 0, middle = 0;
  for (int y = 0; y < p.h; y++)
    for (int x = 0; x < p.w; x++) {
      uint8_t value = p.data[y * p.w + x];
      bool light = value > 200 && value < 240;
      grey += light;
      middle += light && abs(x - p.w / 2) < 60 && abs(y - p.h / 2) < 60;
    }
  ck_assert_uint_gt(grey, (size_t)p.w * (size_t)p.h / 50);
  ck_assert_uint_gt(middle, 500);
  gw_area black = ink(&p, (gw_area){15, 235, 20, 20});
  ck_assert_double_eq_tol(black.w * black.h, 100, 8);
  free(p.data);
  scratch_free(&s);
}
END_TEST

START_TEST(outline_links_and_labels) {
  scratch s = scratch_new();
  gw_doc *doc = doc_new(&(gw_doc_options){.title = "Caf\xC3\xA9 <&>", .language = "en-GB"});
  gw_page *first = gw_page_new(doc, "Labels"), *second = gw_page_new(doc, "Glu\xC3\xA9");
  gw_outline *top = gw_doc_outline(doc, NULL, "Labels \xC2\xBD", first, 0);
  ck_assert_ptr_nonnull(gw_doc_outline(doc, top, "inner", second, 97));
  gw_page_link(first, (gw_area){10, 10, 20, 5}, second, 50);
  save_and_free(doc, s.pdf);
  static char out[1 << 18];
  run(out, sizeof out, "mutool show %s outline", s.pdf);
  ck_assert_ptr_nonnull(strstr(out, "\"Labels \xC2\xBD\"\t#page=1&view=FitH,0\n"));
  ck_assert_ptr_nonnull(strstr(out, "|\t\t\"inner\"\t#page=2&view=FitH,274.9")); /* 97 mm */
  run(out, sizeof out, "qpdf --qdf --object-streams=disable %s - | grep -a -A8 -E "
      "'/PageLabels|/Lang|/PrintScaling|/Subtype /Link|/S /D'", s.pdf);
  ck_assert_ptr_nonnull(strstr(out, "/Lang (en-GB)"));
  ck_assert_ptr_nonnull(strstr(out, "/PrintScaling /None"));
  ck_assert_ptr_nonnull(strstr(out, "/P (Labels )"));
  ck_assert_ptr_nonnull(strstr(out, "/P (Glu? )"));
  ck_assert_uint_eq(count_of(out, "/Subtype /Link"), 1);
  run(out, sizeof out, "pdfinfo %s", s.pdf);
  ck_assert_ptr_nonnull(strstr(out, "Caf\xC3\xA9 <&>"));
  scratch_free(&s);
}
END_TEST

/* ---- marks, boxes, shapes ------------------------------------------------------------------ */

/* Four marks beside each other, two with a bar; looked for in the print. */
START_TEST(bars_stand_under_their_marks) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  double size = 60, em = size * MM_PER_PT, width[4];
  static const char *const MARKS[4] = {"16", "16", "Q", "9"};
  for (int i = 0; i < 4; i++)
    width[i] = gw_text_mark(page, 20 + 45 * i, 60, size, MARKS[i], i != 1);
  ck_assert_double_eq(width[0], gw_text_mark_width(doc, size, "16"));
  ck_assert_double_eq(width[0], width[1]);
  save_and_free(doc, s.pdf);
  picture p = render(&s, 1, 254);
  for (int i = 0; i < 4; i++) {
    double x = 20 + 45 * i, top = 60 + GW_MARK_GAP * em;
    gw_area gap = ink(&p, (gw_area){x - 5, top - 0.02 * em, width[i] + 10, 0.01 * em});
    ck_assert_double_eq(gap.w, 0); /* white between mark and bar, even under Q */
    gw_area bar = ink(&p, (gw_area){x - 5, top - 0.02 * em, width[i] + 10, 10});
    ck_assert_double_eq_tol(bar.w, i == 1 ? 0 : width[i], 0.25);
    if (i == 1) continue;
    ck_assert_double_eq_tol(bar.h, GW_MARK_THICK * em, 0.25);
    ck_assert_double_eq_tol(bar.y + bar.h, 60 + gw_text_mark_drop(size), 0.25);
    for (double at = 0.5; at < width[i] - 0.5; at += 0.5)
      ck_assert(dark(&p, x + at, top + GW_MARK_THICK * em / 2));
  }
  free(p.data);
  scratch_free(&s);
}
END_TEST

/* Marks in running text: the same bar, unbroken under neighbours, and no
 * wider for it.  Row 1 stands upright. */
#define LOW "\xCC\xB2" /* U+0332 */
START_TEST(bars_in_running_text) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  gw_type type = GW_TYPE(60);
  double em = 60 * MM_PER_PT, lead = gw_text_width(doc, type, "H ");
  double wide = gw_text_width(doc, type, "16"), last = gw_text_width(doc, type, "9");
  const char *words = "H 1" LOW "6" LOW " 9" LOW;
  ck_assert_double_eq(gw_text_width(doc, type, words), gw_text_width(doc, type, "H 16 9"));
  gw_text_line(page, 20, 60, type, GW_ALIGN_LEFT, words);
  gw_text_turned(page, 60, 200, 90, type, GW_ALIGN_LEFT, words);
  gw_text_line(page, 20, 240, type, GW_ALIGN_LEFT, LOW "H"); /* under nothing */
  double nine = lead + gw_text_width(doc, type, "16 ");
  save_and_free(doc, s.pdf);
  picture p = render(&s, 1, 254);
  double top = 60 + (GW_MARK_GAP - 0.01) * em, thick = GW_MARK_THICK * em;
  gw_area first = ink(&p, (gw_area){15, top, 5 + nine - 1, 10});
  gw_area second = ink(&p, (gw_area){20 + nine - 1, top, 60, 10});
  ck_assert_double_eq_tol(first.x, 20 + lead, 0.25);
  ck_assert_double_eq_tol(first.w, wide, 0.25);
  ck_assert_double_eq_tol(first.h, thick, 0.25);
  ck_assert_double_eq_tol(second.x, 20 + nine, 0.25);
  ck_assert_double_eq_tol(second.w, last, 0.25);
  for (double at = 0.5; at < wide - 0.5; at += 0.5)
    ck_assert(dark(&p, 20 + lead + at, 60 + (GW_MARK_GAP + GW_MARK_THICK / 2) * em));
  gw_area upright = ink(&p, (gw_area){60 + (GW_MARK_GAP - 0.01) * em, 200 - nine + 1, 10,
                                      nine + 5});
  ck_assert_double_eq_tol(upright.h, wide, 0.25);
  ck_assert_double_eq_tol(upright.w, thick, 0.25);
  ck_assert_double_eq_tol(upright.y, 200 - lead - wide, 0.25);
  ck_assert_double_eq(ink(&p, (gw_area){15, 240 + 0.05 * em, 60, 10}).w, 0);
  free(p.data);
  scratch_free(&s);
}
END_TEST

/* Wrapped into lines and made to fit, each bar stays under its figure; none is
 * taken for a missing character. */
START_TEST(bars_survive_wrapping) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  gw_type type = GW_TYPE(40);
  double one = gw_text_width(doc, type, "16"), line = gw_line_height(type), em = 40 * MM_PER_PT;
  gw_text_box(page, (gw_area){20, 20, one * 1.2, 200}, type, GW_ALIGN_LEFT,
              "1" LOW "6" LOW " 17 1" LOW "9" LOW);
  size_t missing;
  gw_doc_missing(doc, &missing);
  ck_assert_uint_eq(missing, 0);
  save_and_free(doc, s.pdf);
  picture p = render(&s, 1, 254);
  for (int i = 0; i < 3; i++) {
    double base = 20 + 0.92 * em + i * line;
    gw_area bar = ink(&p, (gw_area){15, base + (GW_MARK_GAP - 0.01) * em, 60, 0.11 * em});
    ck_assert_double_eq_tol(bar.w, i == 1 ? 0 : one, 0.25);
  }
  free(p.data);
  scratch_free(&s);
}
END_TEST

START_TEST(the_ruler_is_100_mm) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_draw_ruler(gw_page_new(doc, "Sheet"), 30, 50);
  save_and_free(doc, s.pdf);
  picture p = render(&s, 1, 254);
  gw_area line = ink(&p, (gw_area){10, 49.8, 190, 0.4});
  ck_assert_double_eq_tol(line.w, 100.25, 0.3); /* to the outer edges of the end ticks */
  ck_assert_double_eq_tol(line.x, 30 - 0.125, 0.15);
  for (int i = 0; i <= 10; i++) {
    gw_area tick = ink(&p, (gw_area){28 + 10 * i, 46, 4, 3.5});
    ck_assert_double_eq_tol(tick.x + tick.w / 2, 30 + 10 * i, 0.15);
  }
  char out[4096];
  run(out, sizeof out, "pdftotext -layout %s - 2>/dev/null", s.pdf);
  ck_assert_ptr_nonnull(strstr(out, GW_RULER_WORDS));
  gw_area words = ink(&p, (gw_area){10, 51, 190, 20});
  ck_assert_double_le(words.y + words.h, 50 + GW_RULER_DROP);
  free(p.data);
  scratch_free(&s);
}
END_TEST

/* Measured, drawn and counted alike; what does not fit ends in an ellipsis. */
START_TEST(paragraphs_know_their_height) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  const char *text = "Offer the long rail to both legs, tongue first, and tap it home "
                     "with the mallet and a block, a little at each end in turn.";
  double line = gw_line_height(GW_TYPE(12));
  double height = gw_text_box_height(doc, 60, GW_TYPE(12), text);
  ck_assert_double_eq_tol(remainder(height, line), 0, 1e-9);
  ck_assert_double_ge(height, 3 * line);
  ck_assert_double_eq(gw_text_box(page, (gw_area){20, 20, 60, height}, GW_TYPE(12), GW_ALIGN_LEFT,
                                  text), height);
  ck_assert_uint_eq(gw_doc_cut_count(doc), 0);
  ck_assert_double_eq(gw_text_box(page, (gw_area){100, 20, 60, height - 0.1}, GW_TYPE(12),
                                  GW_ALIGN_LEFT, text), height);
  ck_assert_uint_eq(gw_doc_cut_count(doc), 1);
  gw_text_box(page, (gw_area){20, 100, 60, 1}, GW_TYPE(12), GW_ALIGN_LEFT, text);
  ck_assert_uint_eq(gw_doc_cut_count(doc), 2);
  ck_assert_double_eq(gw_text_box(page, (gw_area){20, 100, 60, 1}, GW_TYPE(12), GW_ALIGN_LEFT,
                                  ""), 0);
  ck_assert_double_eq(gw_text_box_height(doc, 60, GW_TYPE(12), NULL), 0);
  save_and_free(doc, s.pdf);
  char out[4096];
  run(out, sizeof out, "pdftotext -layout -x 0 -y 0 -W 255 -H 300 %s - 2>/dev/null", s.pdf);
  ck_assert_ptr_nonnull(strstr(out, "turn."));
  ck_assert_uint_eq(count_of(out, GW_TEXT_ELLIPSIS), 0);
  run(out, sizeof out, "pdftotext -layout -x 255 -y 0 -W 300 -H 300 %s - 2>/dev/null", s.pdf);
  ck_assert_uint_eq(count_of(out, GW_TEXT_ELLIPSIS), 1);
  picture p = render(&s, 1, 127);
  gw_area drawn = ink(&p, (gw_area){10, 10, 80, 80});
  ck_assert(drawn.y > 20 && drawn.y + drawn.h < 20 + height && drawn.x + drawn.w <= 80.2);
  free(p.data);
  scratch_free(&s);
}
END_TEST

START_TEST(lines_are_made_to_fit) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  const char *name = "Bottom rail of the left frame";
  double natural = gw_text_width(doc, GW_TYPE(20), name);
  for (double width = natural / 2.3; width < natural; width += 0.7) {
    double size = gw_text_fit(page, 20, 120, width, GW_TYPE(20), 8, GW_ALIGN_LEFT, name);
    ck_assert_double_le(gw_text_width(doc, GW_TYPE(size), name), width);
    ck_assert_double_gt(gw_text_width(doc, GW_TYPE(size + 0.1), name), width);
  }
  ck_assert_double_eq(gw_text_fit(page, 20, 30, natural, GW_TYPE(20), 8, GW_ALIGN_LEFT, name), 20);
  double size = gw_text_fit(page, 20, 50, natural / 2, GW_TYPE(20), 8, GW_ALIGN_LEFT, name);
  ck_assert_double_eq_tol(size, 10, 0.1001);
  ck_assert_uint_eq(gw_doc_cut_count(doc), 0);
  size = gw_text_fit(page, 20, 70, natural / 4, GW_TYPE(20), 8, GW_ALIGN_LEFT, name);
  ck_assert_double_eq(size, 8);
  ck_assert_uint_eq(gw_doc_cut_count(doc), 1);
  gw_text_fit(page, 20, 90, 0.5, GW_TYPE(20), 8, GW_ALIGN_LEFT, name); /* not even the dots */
  ck_assert_uint_eq(gw_doc_cut_count(doc), 2);
  save_and_free(doc, s.pdf);
  picture p = render(&s, 1, 127);
  static const double PARTS[3] = {1, 2, 4};
  for (int i = 0; i < 3; i++) {
    gw_area line = ink(&p, (gw_area){10, 20 + 20 * i, 195, 14});
    ck_assert_double_gt(line.w, 0.8 * natural / PARTS[i]);
    ck_assert_double_le(line.x + line.w, 20 + natural / PARTS[i] + 0.2);
  }
  ck_assert_double_eq(ink(&p, (gw_area){10, 80, 195, 14}).w, 0);
  free(p.data);
  scratch_free(&s);
}
END_TEST

START_TEST(aligned_and_in_the_middle) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  double wide = gw_text_width(doc, GW_TYPE(30), "HOH");
  gw_text_line(page, 100, 30, GW_TYPE(30), GW_ALIGN_LEFT, "HOH");
  gw_text_line(page, 100, 60, GW_TYPE(30), GW_ALIGN_CENTRE, "HOH");
  gw_text_line(page, 100, 90, GW_TYPE(30), GW_ALIGN_RIGHT, "HOH");
  gw_text_middle(page, (gw_area){50, 120, 60, 40}, GW_TYPE_BOLD(30), 8, "HIH");
  double low = gw_text_middle(page, (gw_area){50, 180, 60, 4}, GW_TYPE_BOLD(30), 8, "HIH");
  ck_assert_double_le(gw_cap_height(doc, GW_TYPE_BOLD(low)), 4);
  ck_assert_double_gt(gw_cap_height(doc, GW_TYPE_BOLD(low)), 3.9);
  save_and_free(doc, s.pdf);
  picture p = render(&s, 1, 127);
  for (int i = 0; i < 3; i++) {
    gw_area line = ink(&p, (gw_area){10, 15 + 30 * i, 190, 20});
    double centre = 100 + wide / 2 - i * wide / 2;
    ck_assert_double_eq_tol(line.x + line.w / 2, centre, 0.4);
  }
  gw_area mid = ink(&p, (gw_area){45, 115, 70, 50}), small = ink(&p, (gw_area){45, 175, 70, 20});
  ck_assert_double_eq_tol(mid.x + mid.w / 2, 80, 0.4);
  ck_assert_double_eq_tol(mid.y + mid.h / 2, 140, 0.3);
  ck_assert_double_eq_tol(small.y + small.h / 2, 182, 0.3);
  free(p.data);
  scratch_free(&s);
}
END_TEST

/* Turned about the anchor: where the ink must be for each quarter. */
START_TEST(text_is_turned) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  gw_type type = GW_TYPE(40);
  double wide = gw_text_width(doc, type, "HHH"), cap = gw_cap_height(doc, type);
  for (int i = 0; i < 4; i++)
    gw_text_turned(page, 100, 40 + 65 * i, 90 * i, type, GW_ALIGN_LEFT, "HHH");
  save_and_free(doc, s.pdf);
  picture p = render(&s, 1, 127);
  for (int i = 0; i < 4; i++) {
    double y = 40 + 65 * i;
    const gw_area want[4] = {{100, y - cap, wide, cap}, {100 - cap, y - wide, cap, wide},
                             {100 - wide, y, wide, cap}, {100, y, cap, wide}};
    gw_area got = ink(&p, (gw_area){40, y - 32, 120, 64});
    double side = i % 2 ? 0.3 : 1.5, along = i % 2 ? 1.5 : 0.3; /* H has room at its sides */
    ck_assert_double_eq_tol(got.x, want[i].x, side);
    ck_assert_double_eq_tol(got.x + got.w, want[i].x + want[i].w, side);
    ck_assert_double_eq_tol(got.y, want[i].y, along);
    ck_assert_double_eq_tol(got.y + got.h, want[i].y + want[i].h, along);
  }
  free(p.data);
  scratch_free(&s);
}
END_TEST

static gw_area inked(const picture *p, double x, double y) {
  return ink(p, (gw_area){x - 2, y - 2, 44, 44});
}

START_TEST(shapes_are_where_they_should_be) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  gw_page_clip(page, (gw_area){20, 20, 10, 20});
  gw_fill_circle(page, 0, 30, 30, 10);
  gw_page_unclip(page);
  gw_draw_circle(page, GW_PEN_THICK, 90, 30, 10);
  gw_draw_arrow(page, GW_PEN_THIN, 140, 30, 160, 30, 6);
  gw_fill_polygon(page, 0, (const gw_spot[]){{20, 80}, {40, 80}, {30, 100}}, 3);
  gw_draw_tick_box(page, 80, 80, 8);
  gw_draw_line(page, GW_PEN_HIDDEN, 140, 90, 180, 90);
  gw_fill_area(page, 0.9, (gw_area){20, 140, 30, 30});
  save_and_free(doc, s.pdf);
  picture p = render(&s, 1, 254);
  gw_area half = inked(&p, 20, 20), ring = inked(&p, 80, 20), arrow = inked(&p, 140, 20);
  ck_assert_double_eq_tol(half.x + half.w, 30, 0.15);
  ck_assert_double_eq_tol(half.h, 20, 0.25);
  ck_assert(ring.w > 20 && ring.w < 21 && !dark(&p, 90, 30) && dark(&p, 100, 30));
  ck_assert_double_eq_tol(arrow.x + arrow.w, 160, 0.2);
  ck_assert_double_eq_tol(arrow.h, 0.7 * 6, 0.3);
  ck_assert(dark(&p, 141, 30) && dark(&p, 155, 31) && !dark(&p, 145, 31));
  ck_assert(dark(&p, 30, 98) && !dark(&p, 21, 98));
  ck_assert(dark(&p, 80, 84) && dark(&p, 88, 84) && !dark(&p, 84, 84));
  size_t changes = 0;
  for (double x = 140.05; x < 179.8; x += 0.1) changes += dark(&p, x, 90) != dark(&p, x + 0.1, 90);
  ck_assert_uint_ge(changes, 16); /* 40 mm of 3.9 mm dash and gap */
  ck_assert_double_eq(ink(&p, (gw_area){15, 135, 40, 40}).w, 0); /* light grey is not dark */
  free(p.data);
  scratch_free(&s);
}
END_TEST

/* ---- guards ------------------------------------------------------------------------------- */

static void nan_line(gw_page *p) { gw_draw_line(p, GW_PEN_THIN, 1, 1, NAN, 5); }
static void inf_line(gw_page *p) { gw_draw_line(p, GW_PEN_THIN, 1, -INFINITY, 2, 5); }
static void off_right(gw_page *p) { gw_draw_line(p, GW_PEN_THIN, 1, 1, 210.5, 5); }
static void off_foot(gw_page *p) { gw_draw_line(p, GW_PEN_THIN, 1, 1, 5, 297.5); }
static void nan_width(gw_page *p) {
  gw_draw_line(p, (gw_pen){GW_STROKE_FULL, NAN, 0}, 1, 1, 2, 2);
}
static void white_pen(gw_page *p) {
  gw_draw_line(p, (gw_pen){GW_STROKE_FULL, 1, 1.5}, 1, 1, 2, 2);
}
static void off_area(gw_page *p) { gw_draw_area(p, GW_PEN_THIN, (gw_area){200, 10, 20, 5}); }
static void negative_area(gw_page *p) { gw_fill_area(p, 0, (gw_area){20, 10, -5, 5}); }
static void bad_grey(gw_page *p) { gw_fill_area(p, -0.1, (gw_area){20, 10, 5, 5}); }
static void off_circle(gw_page *p) { gw_draw_circle(p, GW_PEN_THIN, 5, 50, 6); }
static void off_disc(gw_page *p) { gw_fill_circle(p, 0, 50, 50, NAN); }
static void off_polygon(gw_page *p) {
  gw_fill_polygon(p, 0, (const gw_spot[]){{1, 1}, {2, 2}, {-3, 3}}, 3);
}
static void off_arrow(gw_page *p) { gw_draw_arrow(p, GW_PEN_THIN, 1, 1, NAN, 2, 3); }
static void off_text(gw_page *p) {
  gw_text_line(p, 200, 50, GW_TYPE(20), GW_ALIGN_LEFT, "beyond the edge");
}
static void off_left(gw_page *p) {
  gw_text_line(p, 5, 50, GW_TYPE(20), GW_ALIGN_RIGHT, "before the edge");
}
static void off_top(gw_page *p) { gw_text_line(p, 20, 2, GW_TYPE(20), GW_ALIGN_LEFT, "Top"); }
static void off_turned(gw_page *p) {
  gw_text_turned(p, 20, 10, 90, GW_TYPE(20), GW_ALIGN_LEFT, "through the top");
}
static void odd_turn(gw_page *p) {
  gw_text_turned(p, 50, 50, 45, GW_TYPE(20), GW_ALIGN_LEFT, "x");
}
static void huge_type(gw_page *p) { gw_text_line(p, 20, 50, GW_TYPE(301), GW_ALIGN_LEFT, "x"); }
static void nan_type(gw_page *p) { gw_text_line(p, 20, 50, GW_TYPE(NAN), GW_ALIGN_LEFT, "x"); }
static void off_box(gw_page *p) {
  gw_text_box(p, (gw_area){20, 280, 60, 30}, GW_TYPE(10), GW_ALIGN_LEFT, "x");
}
static void no_width_box(gw_page *p) {
  gw_text_box(p, (gw_area){20, 20, 0, 30}, GW_TYPE(10), GW_ALIGN_LEFT, "x");
}
static void off_middle(gw_page *p) {
  gw_text_middle(p, (gw_area){-5, 20, 20, 30}, GW_TYPE(10), 5, "x");
}
static void nan_fit(gw_page *p) {
  gw_text_fit(p, 20, 20, NAN, GW_TYPE(10), 5, GW_ALIGN_LEFT, "x");
}
static void off_mark(gw_page *p) { gw_text_mark(p, 205, 50, 40, "16", true); }
static void off_ruler(gw_page *p) { gw_draw_ruler(p, 120, 50); }
static void off_clip(gw_page *p) { gw_page_clip(p, (gw_area){0, 0, 300, 10}); }
static void loose_unclip(gw_page *p) { gw_page_unclip(p); }
static void open_clip(gw_page *p) { gw_page_clip(p, (gw_area){0, 0, 10, 10}); }
static void deep_clip(gw_page *p) {
  for (int i = 0; i < 21; i++) gw_page_clip(p, (gw_area){0, 0, 10, 10});
}
static void off_link(gw_page *p) { gw_page_link(p, (gw_area){0, 0, 10, 10}, p, NAN); }
static void off_outline(gw_page *p) { gw_doc_outline(gw_page_doc(p), NULL, "x", p, 400); }
static void off_footer(gw_page *p) { gw_page_footer_at(p, 298); }

/* Each fails the document in words that name the call, and no file is made. */
START_TEST(nothing_wrong_is_drawn_in_silence) {
  static const struct { void (*draw)(gw_page *page); const char *words; } ROW[] = {
    {nan_line, "gw_draw_polyline: the point nan"}, {inf_line, "the point 1, -inf"},
    {off_right, "gw_draw_polyline: the point 210.5"}, {off_foot, "the point 5, 297.5 mm is not on"},
    {nan_width, "the width of line nan"}, {white_pen, "the grey 1.5"},
    {off_area, "gw_draw_area: the point 220, 15"}, {negative_area, "gw_fill_area: the width -5"},
    {bad_grey, "gw_fill_area: the grey -0.1"}, {off_circle, "gw_draw_circle: the point -1"},
    {off_disc, "gw_fill_circle: the radius nan"}, {off_polygon, "gw_fill_polygon: the point -3, 3"},
    {off_arrow, "gw_draw_arrow"}, {off_text, "gw_text_line: the point 2"},
    {off_left, "gw_text_line: the point -"}, {off_top, "gw_text_line: the point 20, -3.6"},
    {off_turned, "gw_text_turned: the point"}, {odd_turn, "gw_text_turned: 45 degrees"},
    {huge_type, "the size of type 301"}, {nan_type, "the size of type nan"},
    {off_box, "gw_text_box: the point 80, 310"}, {no_width_box, "the width 0 is not"},
    {off_middle, "gw_text_middle: the point -5"}, {nan_fit, "gw_text_fit: the width nan"},
    {off_mark, "gw_text_mark: the point"}, {off_ruler, "the point 220, 50"},
    {off_clip, "gw_page_clip: the point 300"}, {loose_unclip, "nothing is clipped"},
    {open_clip, "a clip is not ended"}, {deep_clip, "more than 20 clips"},
    {off_link, "gw_page_link: the point 0, nan"}, {off_outline, "gw_doc_outline: the point 0, 400"},
    {off_footer, "gw_page_footer_at: the point 0, 298"}};
  for (size_t i = 0; i < sizeof ROW / sizeof *ROW; i++) {
    scratch s = scratch_new();
    gw_error err = {GW_OK, ""};
    gw_doc *doc = plain();
    ROW[i].draw(gw_page_new(doc, "Sheet"));
    ck_assert_int_eq(gw_doc_save(doc, s.pdf, &err), GW_INTERNAL);
    ck_assert_msg(strstr(err.words, ROW[i].words) != NULL, "row %zu: %s", i, err.words);
    ck_assert_int_eq(access(s.pdf, F_OK), -1);
    gw_doc_free(doc);
    scratch_free(&s);
  }
}
END_TEST

/* Edges themselves belong to the page. */
START_TEST(the_edge_is_on_the_page) {
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  gw_draw_area(page, GW_PEN_THICK, (gw_area){0, 0, 210, 297});
  gw_fill_circle(page, 0.5, 105, 148.5, 105);
  ck_assert_msg(!gw_doc_failed(doc), "%s", gw_doc_failure(doc)->words);
  gw_doc_free(doc);
}
END_TEST

static void call_everything(gw_doc *doc, gw_page *page) {
  const gw_spot spots[3] = {{1, 1}, {20, 20}, {1, 20}};
  gw_area area = {20, 20, 30, 30};
  size_t count;
  gw_doc_body(doc);
  gw_doc_has_glyph(doc, 'a');
  gw_doc_missing(doc, &count);
  ck_assert_ptr_null(gw_page_new(doc, "Sheet"));
  ck_assert_ptr_null(gw_doc_outline(doc, NULL, "x", page, 0));
  ck_assert_double_eq(gw_text_width(doc, GW_TYPE(10), "x"), 0);
  ck_assert_double_eq(gw_text_box_height(doc, 50, GW_TYPE(10), "x"), 0);
  ck_assert_double_eq(gw_cap_height(doc, GW_TYPE(10)), 0);
  gw_page_footer_at(page, 200);
  gw_page_link(page, area, page, 0);
  gw_page_clip(page, area);
  gw_page_unclip(page);
  gw_text_line(page, 20, 20, GW_TYPE(10), GW_ALIGN_LEFT, "x");
  gw_text_fit(page, 20, 20, 30, GW_TYPE(10), 5, GW_ALIGN_LEFT, "x");
  gw_text_middle(page, area, GW_TYPE(10), 5, "x");
  gw_text_box(page, area, GW_TYPE(10), GW_ALIGN_LEFT, "x");
  gw_text_turned(page, 20, 20, 90, GW_TYPE(10), GW_ALIGN_LEFT, "x");
  gw_text_mark(page, 20, 20, 10, "16", true);
  gw_draw_line(page, GW_PEN_THIN, 1, 1, 2, 2);
  gw_draw_area(page, GW_PEN_THIN, area);
  gw_draw_polyline(page, GW_PEN_THIN, spots, 3, true);
  gw_draw_circle(page, GW_PEN_THIN, 20, 20, 5);
  gw_fill_area(page, 0, area);
  gw_fill_polygon(page, 0, spots, 3);
  gw_fill_circle(page, 0, 20, 20, 5);
  gw_draw_arrow(page, GW_PEN_THIN, 1, 1, 20, 20, 4);
  gw_draw_tick_box(page, 20, 20, 5);
  gw_draw_ruler(page, 20, 20);
}

/* After a failure everything may be called, and the first failure stays. */
START_TEST(a_failure_sticks) {
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  ck_assert(!gw_doc_failed(doc) && gw_doc_failure(doc) == NULL);
  off_right(page);
  nan_line(page);
  call_everything(doc, page);
  ck_assert(gw_doc_failed(doc));
  ck_assert_ptr_nonnull(strstr(gw_doc_failure(doc)->words, "210.5"));
  ck_assert_ptr_nonnull(strstr(gw_doc_failure(doc)->words, "(sheet \"Sheet\")"));
  gw_doc_free(doc);
}
END_TEST

/* What libharu itself refuses is kept as well. */
START_TEST(a_failure_of_the_library_sticks) {
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  HPDF_Page_LineTo(page->pdf, 1, 1); /* no path begun */
  ck_assert(gw_doc_failed(doc));
  gw_error err = {GW_OK, ""};
  ck_assert_int_eq(gw_doc_write(doc, stderr, &err), GW_INTERNAL);
  ck_assert_ptr_nonnull(strstr(err.words, "a drawing call came at the wrong time (code 1051"));
  gw_doc_free(doc);
}
END_TEST

START_TEST(null_is_safe) {
  call_everything(NULL, NULL);
  gw_error err = {GW_OK, ""};
  ck_assert_int_eq(gw_doc_save(NULL, "/tmp/none.pdf", &err), GW_INTERNAL);
  ck_assert(gw_doc_failed(NULL) && gw_doc_failure(NULL) == NULL);
  gw_doc_free(NULL);
}
END_TEST

/* Twenty clips nested, and text longer than one run, are no trouble. */
START_TEST(long_and_deep_is_no_trouble) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  char text[601];
  memset(text, 'i', 600);
  text[600] = '\0';
  for (int i = 0; i < 20; i++) gw_page_clip(page, (gw_area){10, 10, 190, 100});
  gw_text_line(page, 12, 30, GW_TYPE(2), GW_ALIGN_LEFT, text);
  for (int i = 0; i < 20; i++) gw_page_unclip(page);
  gw_text_line(page, 12, 60, GW_TYPE(12), GW_ALIGN_LEFT, "12\xC2\xA0mm"); /* a hard space */
  save_and_free(doc, s.pdf);
  char out[4096];
  run(out, sizeof out, "pdftotext -layout %s - 2>/dev/null", s.pdf);
  ck_assert_ptr_nonnull(strstr(out, text));
  ck_assert_ptr_nonnull(strstr(out, "12 mm"));
  scratch_free(&s);
}
END_TEST

/* ---- saving -------------------------------------------------------------------------------- */

static gw_doc *two_pages(void) {
  gw_doc *doc = doc_new(&(gw_doc_options){.title = "Box", .digest = "12ab", .draft = true});
  stress_page(doc, "Labels");
  stress_page(doc, "Glue-up");
  return doc;
}

START_TEST(same_input_same_bytes) {
  scratch s = scratch_new();
  char other[64], third[64];
  snprintf(other, sizeof other, "%s/other.pdf", s.dir);
  snprintf(third, sizeof third, "%s/third.pdf", s.dir);
  gw_doc *doc = two_pages();
  save(doc, s.pdf);
  sleep(1); /* a clock, were one read, would show */
  save(doc, other);
  gw_doc_free(doc);
  ck_assert(same_files(s.pdf, other));
  save_and_free(two_pages(), other);
  ck_assert(same_files(s.pdf, other));
  FILE *out = fopen(third, "wb");
  doc = two_pages();
  ck_assert_int_eq(gw_doc_write(doc, out, NULL), GW_OK);
  ck_assert_int_eq(fclose(out), 0);
  gw_doc_free(doc);
  ck_assert(same_files(s.pdf, third));
  scratch_free(&s);
}
END_TEST

START_TEST(the_date_comes_from_outside) {
  scratch s = scratch_new();
  char out[4096];
  setenv("SOURCE_DATE_EPOCH", "1709164800", 1);
  gw_doc *doc = plain();
  gw_page_new(doc, "Sheet");
  save_and_free(doc, s.pdf);
  run(out, sizeof out, "TZ=UTC pdfinfo %s", s.pdf);
  ck_assert_ptr_nonnull(strstr(out, "CreationDate:    Thu Feb 29 00:00:00 2024"));
  unsetenv("SOURCE_DATE_EPOCH");
  doc = plain();
  gw_page_new(doc, "Sheet");
  save_and_free(doc, s.pdf);
  run(out, sizeof out, "pdfinfo %s", s.pdf);
  ck_assert_ptr_null(strstr(out, "Date"));
  static const char *const BAD[] = {"soon", "-5", "12x", " 5", "99999999999999999999",
                                    "253402300800"};
  for (size_t i = 0; i < sizeof BAD / sizeof *BAD; i++) {
    gw_error err = {GW_OK, ""};
    setenv("SOURCE_DATE_EPOCH", BAD[i], 1);
    ck_assert_ptr_null(gw_doc_new(&(gw_doc_options){.title = "Box"}, &err));
    ck_assert_int_eq(err.status, GW_BAD_INPUT);
  }
  unsetenv("SOURCE_DATE_EPOCH");
  scratch_free(&s);
}
END_TEST

static void write_old(const char *path) {
  FILE *file = fopen(path, "w");
  ck_assert(file != NULL && fputs("old", file) >= 0 && fclose(file) == 0);
}

static void check_old(const scratch *s) {
  char out[64];
  run(out, sizeof out, "cat %s", s->pdf);
  ck_assert_str_eq(out, "old");
  run(out, sizeof out, "ls -A %s", s->dir);
  ck_assert_str_eq(out, "out.pdf\n"); /* nothing left beside it */
}

static void expect_io_error(gw_doc *doc, const char *path, const char *words) {
  gw_error err = {GW_OK, ""};
  ck_assert_int_eq(gw_doc_save(doc, path, &err), GW_IO);
  ck_assert_int_eq(err.status, GW_IO);
  ck_assert_msg(strstr(err.words, path) && strstr(err.words, words), "%s", err.words);
}

/* The disk fills up on the way (here: a limit on the size of files). */
START_TEST(a_full_disk_leaves_the_old_file) {
  scratch s = scratch_new();
  gw_doc *doc = two_pages();
  write_old(s.pdf);
  struct rlimit was, small;
  ck_assert_int_eq(getrlimit(RLIMIT_FSIZE, &was), 0);
  small = (struct rlimit){20000, was.rlim_max};
  void (*handler)(int) = signal(SIGXFSZ, SIG_IGN);
  ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &small), 0);
  expect_io_error(doc, s.pdf, "File too large");
  ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &was), 0);
  signal(SIGXFSZ, handler);
  check_old(&s);
  save(doc, s.pdf); /* with room again it goes */
  char out[4096];
  run(out, sizeof out, "qpdf --check %s 2>&1", s.pdf);
  gw_doc_free(doc);
  scratch_free(&s);
}
END_TEST

START_TEST(a_full_device_is_told) {
  gw_doc *doc = two_pages();
  gw_error err = {GW_OK, ""};
  struct stat there;
  ck_assert(stat("/dev/full", &there) == 0 && S_ISCHR(there.st_mode));
  FILE *full = fopen("/dev/full", "w");
  ck_assert_ptr_nonnull(full);
  ck_assert_int_eq(gw_doc_write(doc, full, &err), GW_IO);
  ck_assert_ptr_nonnull(strstr(err.words, strerror(ENOSPC)));
  fclose(full);
  gw_doc_free(doc);
}
END_TEST

/* Renaming over a pipe, a device or a directory would put it out of the way. */
START_TEST(only_ordinary_files_are_replaced) {
  scratch s = scratch_new();
  gw_doc *doc = two_pages();
  struct stat there;
  ck_assert_int_eq(mkfifo(s.pdf, 0600), 0);
  expect_io_error(doc, s.pdf, "not an ordinary file");
  ck_assert(stat(s.pdf, &there) == 0 && S_ISFIFO(there.st_mode));
  expect_io_error(doc, s.dir, "not an ordinary file");
  gw_doc_free(doc);
  scratch_free(&s);
}
END_TEST

/* A directory that may not be written in: asked as nobody when run as root,
 * for whom nothing is forbidden. */
START_TEST(a_closed_directory_leaves_the_old_file) {
  scratch s = scratch_new();
  gw_doc *doc = two_pages();
  write_old(s.pdf);
  ck_assert_int_eq(chmod(s.dir, 0555), 0);
  bool root = geteuid() == 0;
  if (root) ck_assert_int_eq(seteuid(65534), 0);
  expect_io_error(doc, s.pdf, strerror(EACCES));
  if (root) ck_assert_int_eq(seteuid(0), 0);
  ck_assert_int_eq(chmod(s.dir, 0755), 0);
  check_old(&s);
  expect_io_error(doc, "/no/such/place/out.pdf", strerror(ENOENT));
  gw_doc_free(doc);
  scratch_free(&s);
}
END_TEST

START_TEST(modes_and_links_are_kept) {
  scratch s = scratch_new();
  char link[64];
  struct stat there;
  gw_doc *doc = two_pages();
  mode_t mask = umask(0);
  save(doc, s.pdf);
  ck_assert(stat(s.pdf, &there) == 0 && (there.st_mode & 0777) == 0644);
  umask(077);
  save(doc, s.pdf);
  ck_assert(stat(s.pdf, &there) == 0 && (there.st_mode & 0777) == 0600);
  umask(mask);
  snprintf(link, sizeof link, "%s/link.pdf", s.dir);
  ck_assert_int_eq(symlink("out.pdf", link), 0);
  write_old(s.pdf);
  save(doc, link);
  ck_assert(lstat(link, &there) == 0 && S_ISLNK(there.st_mode));
  ck_assert(stat(s.pdf, &there) == 0 && there.st_size > 1000);
  gw_doc_free(doc);
  scratch_free(&s);
}
END_TEST

START_TEST(saved_is_finished) {
  scratch s = scratch_new();
  gw_doc *doc = plain();
  gw_error err = {GW_OK, ""};
  ck_assert_int_eq(gw_doc_save(doc, s.pdf, &err), GW_INTERNAL);
  ck_assert_ptr_nonnull(strstr(err.words, "no pages"));
  gw_doc_free(doc);
  doc = plain();
  gw_page *page = gw_page_new(doc, "Sheet");
  save(doc, s.pdf);
  gw_draw_line(page, GW_PEN_THIN, 1, 1, 2, 2);
  ck_assert_int_eq(gw_doc_save(doc, s.pdf, &err), GW_INTERNAL);
  ck_assert_ptr_nonnull(strstr(err.words, "saved already"));
  gw_doc_free(doc);
  scratch_free(&s);
}
END_TEST

/* A file named without a directory goes where we are. */
START_TEST(a_bare_name_is_enough) {
  scratch s = scratch_new();
  char was[512];
  ck_assert_ptr_nonnull(getcwd(was, sizeof was));
  ck_assert_int_eq(chdir(s.dir), 0);
  save_and_free(two_pages(), "out.pdf");
  ck_assert_int_eq(chdir(was), 0);
  ck_assert_int_eq(access(s.pdf, F_OK), 0);
  scratch_free(&s);
}
END_TEST

/* ---- all of it ------------------------------------------------------------------------ */

static TCase *type_tests(void) {
  TCase *tests = tcase_create("type");
  tcase_add_test(tests, type_sizes_by_the_table);
  tcase_add_test(tests, type_sizes_of_the_face);
  tcase_add_test(tests, capitals_are_as_high_as_said);
  tcase_add_test(tests, widths_are_those_of_the_file);
  tcase_add_test(tests, faces_cover_what_is_known);
  tcase_add_test(tests, a_map_made_by_hand);
  tcase_add_test(tests, a_map_cut_short_is_refused);
  tcase_add_test(tests, a_map_out_of_order_is_refused);
  tcase_add_test(tests, a_damaged_map_is_survived);
  tcase_add_test(tests, a_broken_face_is_refused);
  tcase_add_test(tests, the_spare_face_comes_when_needed);
  tcase_add_test(tests, missing_glyphs_are_told);
  tcase_add_test(tests, missing_in_the_title_is_told);
  tcase_add_test(tests, own_words_are_covered);
  return tests;
}

static TCase *page_tests(void) {
  TCase *tests = tcase_create("pages");
  tcase_add_loop_test(tests, full_pages_are_sound, 0, 4);
  tcase_add_loop_test(tests, every_page_has_its_furniture, 0, 2);
  tcase_add_test(tests, a_draft_is_seen_from_afar);
  tcase_add_test(tests, outline_links_and_labels);
  tcase_add_test(tests, bars_stand_under_their_marks);
  tcase_add_test(tests, bars_in_running_text);
  tcase_add_test(tests, bars_survive_wrapping);
  tcase_add_test(tests, the_ruler_is_100_mm);
  tcase_add_test(tests, paragraphs_know_their_height);
  tcase_add_test(tests, lines_are_made_to_fit);
  tcase_add_test(tests, aligned_and_in_the_middle);
  tcase_add_test(tests, text_is_turned);
  tcase_add_test(tests, shapes_are_where_they_should_be);
  return tests;
}

static TCase *guard_tests(void) {
  TCase *tests = tcase_create("guards");
  tcase_add_test(tests, nothing_wrong_is_drawn_in_silence);
  tcase_add_test(tests, the_edge_is_on_the_page);
  tcase_add_test(tests, a_failure_sticks);
  tcase_add_test(tests, a_failure_of_the_library_sticks);
  tcase_add_test(tests, null_is_safe);
  tcase_add_test(tests, long_and_deep_is_no_trouble);
  return tests;
}

static TCase *saving_tests(void) {
  TCase *tests = tcase_create("saving");
  tcase_add_test(tests, same_input_same_bytes);
  tcase_add_test(tests, the_date_comes_from_outside);
  tcase_add_test(tests, a_full_disk_leaves_the_old_file);
  tcase_add_test(tests, a_full_device_is_told);
  tcase_add_test(tests, only_ordinary_files_are_replaced);
  tcase_add_test(tests, a_closed_directory_leaves_the_old_file);
  tcase_add_test(tests, modes_and_links_are_kept);
  tcase_add_test(tests, saved_is_finished);
  tcase_add_test(tests, a_bare_name_is_enough);
  return tests;
}

int main(void) {
  unsetenv("SOURCE_DATE_EPOCH");
  Suite *suite = suite_create("canvas");
  TCase *const cases[] = {type_tests(), page_tests(), guard_tests(), saving_tests()};
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    tcase_set_timeout(cases[i], 60);
    suite_add_tcase(suite, cases[i]);
  }
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
