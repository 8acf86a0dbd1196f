/* sheet_probe.h - printed sheets, judged by what other programs find in them:
 * poppler-utils and qpdf.  A missing one fails the test. */
#ifndef GW_TESTS_SHEET_PROBE_H
#define GW_TESTS_SHEET_PROBE_H

#include <check.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/job.h"
#include "sheets/sheets.h"

typedef gw_status probe_print_fn(const gw_sheets_job *job, const char *path, gw_error *err);

typedef struct probe {
  char dir[32], pdf[64], xml[64];
  gw_job job;
  gw_sheets_job sheets;
} probe;

/* ---- commands ------------------------------------------------------------------------- */

/* Runs a command that must succeed; the whole of its output, to be freed. */
__attribute__((format(printf, 1, 2)))
static inline char *probe_run(const char *format, ...) {
  char command[512];
  va_list arguments;
  va_start(arguments, format);
  ck_assert_int_lt(vsnprintf(command, sizeof command, format, arguments), sizeof command);
  va_end(arguments);
  FILE *pipe = popen(command, "r");
  ck_assert_ptr_nonnull(pipe);
  size_t size = 1 << 16, used = 0, got;
  char *out = malloc(size);
  ck_assert_ptr_nonnull(out);
  while ((got = fread(out + used, 1, size - used - 1, pipe)) > 0) {
    used += got;
    if (size - used > 1) continue;
    size *= 2;
    out = realloc(out, size);
    ck_assert_ptr_nonnull(out);
  }
  out[used] = '\0';
  ck_assert_msg(pclose(pipe) == 0, "'%s' failed: %.200s", command, out);
  return out;
}

/* ---- a project ------------------------------------------------------------------------ */

static inline void probe_read(probe *p, const char *path) {
  gw_error err = {GW_OK, ""};
  gw_job_request request = {.path = path, .depth = GW_TIMED};
  ck_assert_msg(gw_job_run(&p->job, &request, &err) == GW_OK, "%s: %s", path, err.words);
  p->sheets = (gw_sheets_job){.model = p->job.model, .fit = p->job.fit, .marks = p->job.marks,
                              .order = p->job.order, .clock = p->job.clock,
                              .findings = p->job.findings};
}

static inline probe probe_place(void) {
  probe p = {.dir = "/tmp/gw-sheet-XXXXXX"};
  ck_assert_ptr_nonnull(mkdtemp(p.dir));
  snprintf(p.pdf, sizeof p.pdf, "%s/sheet.pdf", p.dir);
  snprintf(p.xml, sizeof p.xml, "%s/piece.xml", p.dir);
  return p;
}

static inline probe probe_open(const char *path) {
  probe p = probe_place();
  probe_read(&p, path);
  return p;
}

/* A project changed by `sed` on the way. */
static inline probe probe_open_changed(const char *path, const char *sed) {
  probe p = probe_place();
  free(probe_run("sed '%s' %s > %s", sed, path, p.xml));
  probe_read(&p, p.xml);
  return p;
}

static inline void probe_close(probe *p) {
  free(probe_run("rm -r %s", p->dir));
  gw_job_clear(&p->job);
}

static inline void probe_print(const probe *p, probe_print_fn *print) {
  gw_error err = {GW_OK, ""};
  gw_status status = print(&p->sheets, p->pdf, &err);
  ck_assert_msg(status == GW_OK, "%s", err.words);
}

/* ---- text ----------------------------------------------------------------------------- */

static inline void probe_squeeze(char *text) {
  size_t used = 0;
  for (size_t i = 0; text[i] != '\0'; ++i)
    if (!strchr(" \t\n\f\r", text[i])) text[used++] = text[i];
  text[used] = '\0';
}

/* All text in the order in which it was drawn, all white left out: where a
 * line was broken makes no difference. */
static inline char *probe_text(const probe *p) {
  char *text = probe_run("pdftotext -q -raw %s -", p->pdf);
  probe_squeeze(text);
  return text;
}

static inline bool probe_says(const char *squeezed, const char *words) {
  char *wanted = strdup(words);
  ck_assert_ptr_nonnull(wanted);
  probe_squeeze(wanted);
  bool found = strstr(squeezed, wanted) != NULL;
  free(wanted);
  return found;
}

/* Words with their boxes, in points from the top left. */
typedef struct probe_word {
  int page;
  double x0, y0, x1, y1;
  char text[80];
} probe_word;

typedef struct probe_words {
  probe_word *items;
  size_t count;
  double width, height;
  int pages;
} probe_words;

static inline probe_words probe_words_of(const probe *p) {
  char *out = probe_run("pdftotext -q -bbox %s -", p->pdf), *rest = NULL;
  probe_words words = {.items = calloc(20000, sizeof *words.items)};
  ck_assert_ptr_nonnull(words.items);
  for (char *line = strtok_r(out, "\n", &rest); line != NULL; line = strtok_r(NULL, "\n", &rest)) {
    probe_word w = {.page = words.pages};
    if (sscanf(line, " <page width=\"%lf\" height=\"%lf\"", &words.width, &words.height) == 2)
      words.pages++;
    if (sscanf(line, " <word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\">%79[^<]", &w.x0,
               &w.y0, &w.x1, &w.y1, w.text) != 5)
      continue;
    ck_assert_uint_lt(words.count, 20000);
    words.items[words.count++] = w;
  }
  free(out);
  ck_assert_uint_gt(words.count, 0);
  return words;
}

/* The words across a draft lie slanting under the text, in pieces of a letter
 * or two; no other letters take so much room. */
static inline bool probe_slants(const probe_word *w) {
  return w->x1 - w->x0 > 40.0 * (double)strlen(w->text);
}

/* No word leaves the page (nor comes nearer to its edge than 4 mm, which most
 * printers leave white), and no two words overlap.  poppler's boxes are as
 * high as the face's tallest letters, so a third is taken off. */
static inline void probe_check_words(const probe *p) {
  probe_words words = probe_words_of(p);
  const double edge = 4 * 72 / 25.4, slack = 0.4;
  for (size_t i = 0; i < words.count; ++i) {
    probe_word *a = &words.items[i];
    double sixth = (a->y1 - a->y0) / 6;
    a->y0 += sixth;
    a->y1 -= sixth;
    ck_assert_msg(a->x0 >= edge && a->y0 >= edge && a->x1 <= words.width - edge &&
                      a->y1 <= words.height - edge,
                  "'%s' leaves page %d", a->text, a->page);
  }
  for (size_t i = 0; i < words.count; ++i)
    for (size_t k = i + 1; k < words.count; ++k) {
      const probe_word *a = &words.items[i], *b = &words.items[k];
      if (a->page != b->page) break;
      if (p->sheets.draft && (probe_slants(a) || probe_slants(b))) continue;
      bool apart = a->x1 <= b->x0 + slack || b->x1 <= a->x0 + slack || a->y1 <= b->y0 + slack ||
                   b->y1 <= a->y0 + slack;
      ck_assert_msg(apart, "'%s' and '%s' overlap on page %d", a->text, b->text, a->page);
    }
  free(words.items);
}

/* ---- the file ------------------------------------------------------------------------- */

static inline void probe_check_file(const probe *p) {
  free(probe_run("qpdf --check %s > /dev/null", p->pdf));
  char *fonts = probe_run("pdffonts %s 2> /dev/null", p->pdf), *rest = NULL;
  int rows = 0, line = 0;
  for (char *row = strtok_r(fonts, "\n", &rest); row != NULL; row = strtok_r(NULL, "\n", &rest)) {
    if (line++ < 2) continue; /* heads */
    ck_assert_msg(strstr(row, " yes yes yes ") != NULL, "not embedded: %s", row);
    ++rows;
  }
  ck_assert_int_gt(rows, 0);
  free(fonts);
}

static inline void probe_check_same_twice(const probe *p, probe_print_fn *print) {
  gw_error err = {GW_OK, ""};
  char second[80];
  snprintf(second, sizeof second, "%s/second.pdf", p->dir);
  ck_assert_int_eq(print(&p->sheets, second, &err), GW_OK);
  free(probe_run("cmp %s %s", p->pdf, second));
}

/* Each part's name and each joint's number is somewhere in the text. */
static inline void probe_check_names(const probe *p) {
  char *text = probe_text(p);
  const gw_model *m = p->job.model;
  for (int i = 0; i < m->n_parts; ++i)
    ck_assert_msg(probe_says(text, m->parts[i].name), "%s is not named", m->parts[i].name);
  free(text);
  probe_words words = probe_words_of(p);
  for (int i = 0; i < m->n_joints; ++i) {
    bool found = false;
    for (size_t k = 0; k < words.count && !found; ++k) {
      const char *at = words.items[k].text, *mark = p->job.marks->joints[i].text;
      at += strspn(at, "(,");
      size_t n = strcspn(at, ",.;)");
      found = n == strlen(mark) && memcmp(at, mark, n) == 0;
    }
    ck_assert_msg(found, "joint %s is not named", p->job.marks->joints[i].text);
  }
  free(words.items);
}

/* ---- ink ------------------------------------------------------------------------------ */

/* The height in mm of the ink of the n-th (from 0) word with this text, which
 * must be of capitals or figures only: the most rows on end with ink in them,
 * in a rendering of ten dots to the millimetre. */
static inline double probe_ink_height(const probe *p, const char *wanted, int nth) {
  probe_words words = probe_words_of(p);
  const probe_word *w = NULL;
  for (size_t i = 0; i < words.count && w == NULL; ++i)
    if (strcmp(words.items[i].text, wanted) == 0 && nth-- == 0) w = &words.items[i];
  ck_assert_msg(w != NULL, "'%s' is not there", wanted);
  const double dots = 10 * 25.4 / 72; /* in a point */
  char image[80];
  snprintf(image, sizeof image, "%s/word", p->dir);
  free(probe_run("pdftoppm -q -gray -singlefile -r 254 -f %d -l %d -x %d -y %d -W %d -H %d %s %s",
                 w->page, w->page, (int)(w->x0 * dots), (int)(w->y0 * dots),
                 (int)((w->x1 - w->x0) * dots), (int)((w->y1 - w->y0) * dots), p->pdf, image));
  free(words.items);
  strcat(image, ".pgm");
  FILE *file = fopen(image, "rb");
  int width, height, run = 0, longest = 0;
  ck_assert_ptr_nonnull(file);
  ck_assert_int_eq(fscanf(file, "P5 %d %d 255", &width, &height), 2);
  fgetc(file);
  for (int y = 0; y < height; ++y) {
    bool ink = false;
    for (int x = 0; x < width; ++x) ink = (fgetc(file) < 128) || ink;
    run = ink ? run + 1 : 0;
    if (run > longest) longest = run;
  }
  fclose(file);
  return longest / 10.0;
}

#endif
