/* plain_hpdf.c - the least that libharu needs for so many pages of text and lines.
 *
 *   plain_hpdf OUT.pdf PAGES TEXTS CHARACTERS LINES
 *
 * Writes TEXTS texts of CHARACTERS characters each and LINES lines, spread
 * evenly over PAGES pages of A4, in two embedded faces as the sheets have them
 * and with streams packed as theirs are; no layout, no checks.  Writes one line to
 * standard output: processor seconds, largest resident KiB. */
#include <hpdf.h>
#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

static const char *const FACES[] = {"/usr/share/fonts/truetype/andika/Andika-Regular.ttf",
                                    "/usr/share/fonts/truetype/andika/Andika-Bold.ttf"};
enum { TEXT_ROOM = 256 };

static jmp_buf failed;

static void on_error(HPDF_STATUS code, HPDF_STATUS detail, void *data) {
  (void)data;
  fprintf(stderr, "plain_hpdf: libharu error %04lx, %lu\n", code, detail);
  longjmp(failed, 1);
}

/* Words made from the number, so that no two lines pack into one. */
static void fill_text(char text[TEXT_ROOM], long number, long length) {
  for (long i = 0; i < length; ++i) text[i] = (char)('a' + (number * 7 + i * i * 3 + i) % 26);
  text[length] = '\0';
}

static void draw_page(HPDF_Page page, HPDF_Font fonts[2], long texts, long characters, long lines,
                      long seed) {
  char text[TEXT_ROOM];
  for (long i = 0; i < texts; ++i) {
    fill_text(text, seed + i, characters);
    HPDF_Page_SetFontAndSize(page, fonts[i % 2], 10);
    HPDF_Page_BeginText(page);
    HPDF_Page_TextOut(page, (float)(40 + i * 37 % 300), (float)(40 + i * 11 % 750), text);
    HPDF_Page_EndText(page);
  }
  for (long i = 0; i < lines; ++i) {
    HPDF_Page_SetLineWidth(page, (float)(0.3 + 0.1 * (double)(i % 3)));
    HPDF_Page_MoveTo(page, (float)(40 + i * 13 % 500), (float)(40 + i * 29 % 750));
    HPDF_Page_LineTo(page, (float)(45 + i * 17 % 500), (float)(45 + i * 31 % 750));
    HPDF_Page_Stroke(page);
  }
}

/* What the first `done` of `count` things in `pages` pages come to on the next page. */
static long share(long count, long pages, long page) {
  return count * (page + 1) / pages - count * page / pages;
}

static void write_file(HPDF_Doc pdf, char **argv) {
  long pages = atol(argv[2]), texts = atol(argv[3]), characters = atol(argv[4]);
  long lines = atol(argv[5]);
  HPDF_Font fonts[2];
  HPDF_UseUTFEncodings(pdf);
  HPDF_SetCompressionMode(pdf, HPDF_COMP_ALL);
  for (int i = 0; i < 2; ++i)
    fonts[i] = HPDF_GetFont(pdf, HPDF_LoadTTFontFromFile(pdf, FACES[i], HPDF_TRUE), "UTF-8");
  if (characters >= TEXT_ROOM) characters = TEXT_ROOM - 1;
  for (long k = 0; k < pages; ++k) {
    HPDF_Page page = HPDF_AddPage(pdf);
    HPDF_Page_SetSize(page, HPDF_PAGE_SIZE_A4, HPDF_PAGE_PORTRAIT);
    draw_page(page, fonts, share(texts, pages, k), characters, share(lines, pages, k), 1000 * k);
  }
  HPDF_SaveToFile(pdf, argv[1]);
}

int main(int argc, char **argv) {
  if (argc != 6 || atol(argv[2]) < 1) {
    fputs("usage: plain_hpdf OUT.pdf PAGES TEXTS CHARACTERS LINES\n", stderr);
    return 3;
  }
  HPDF_Doc pdf = HPDF_New(on_error, NULL);
  if (pdf == NULL) return 3;
  if (setjmp(failed) != 0) {
    HPDF_Free(pdf);
    return 3;
  }
  write_file(pdf, argv);
  HPDF_Free(pdf);
  struct rusage used;
  if (getrusage(RUSAGE_SELF, &used) != 0) return 3;
  printf("%.3f %ld\n",
         (double)(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
             1e-6 * (double)(used.ru_utime.tv_usec + used.ru_stime.tv_usec),
         used.ru_maxrss);
  return 0;
}
