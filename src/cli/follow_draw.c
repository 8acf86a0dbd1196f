/* Large and plain: what is to be done, in one sentence, and the time that is
 * left for it in figures five lines high.  Nothing depends on colour. */
#include "cli/follow_draw.h"

#include <string.h>

#include "cli/term.h"

/* Ends a line; what stood there before is wiped off. */
#define END "\033[K\r\n"
#define BOLD "\033[1m"
#define PLAIN "\033[0m"
#define REVERSED "\033[7m"

enum { ROWS = 5, COLUMNS = 3 };

/* Three columns by five rows for each character, row by row. */
static const char *glyph(char c) {
  static const char *const figures[10] = {
      "###" "# #" "# #" "# #" "###", " # " " # " " # " " # " " # ", "###" "  #" "###" "#  " "###",
      "###" "  #" "###" "  #" "###", "# #" "# #" "###" "  #" "  #", "###" "#  " "###" "  #" "###",
      "###" "#  " "###" "# #" "###", "###" "  #" "  #" "  #" "  #", "###" "# #" "###" "# #" "###",
      "###" "# #" "###" "  #" "###"};
  if (c >= '0' && c <= '9') return figures[c - '0'];
  if (c == ':') return "   " " # " "   " " # " "   ";
  if (c == '-') return "   " "   " "###" "   " "   ";
  return "   " "   " "   " "   " "   ";
}

static void draw_row(const char *text, int row, FILE *out) {
  fputs("  ", out);
  for (; *text != '\0'; ++text) {
    const char *cells = glyph(*text) + row * COLUMNS;
    for (int i = 0; i < COLUMNS; ++i)
      fputs(cells[i] == '#' ? REVERSED "  " PLAIN : "  ", out);
    fputs("  ", out);
  }
  fputs(END, out);
}

/* The time in large figures, or plain ones where there is no room. */
static void draw_large(const char *text, int width, FILE *out) {
  if ((int)strlen(text) * (COLUMNS * 2 + 2) + 2 > width) {
    fprintf(out, "  " BOLD "%s" PLAIN END, text);
    return;
  }
  for (int row = 0; row < ROWS; ++row) draw_row(text, row, out);
}

/* How many bytes of the text fit into so many columns; broken at a blank if there
 * is one. */
static size_t fitting(const char *text, int columns) {
  size_t at = 0, blank = 0;
  for (int used = 0; text[at] != '\0';) {
    size_t bytes;
    used += gw_term_columns(text + at, &bytes);
    if (used > columns) return blank > 0 ? blank : at > 0 ? at : bytes;
    if (text[at] == ' ') blank = at;
    at += bytes;
  }
  return at;
}

/* Words broken to the width, with what stands before the first and later lines. */
static void draw_broken(const char *first, const char *later, const char *words, int width,
                        bool bold, FILE *out) {
  for (const char *before = first; *words != '\0'; before = later) {
    size_t count = fitting(words, width - 1 - (int)strlen(before));
    fprintf(out, "%s%s%.*s%s" END, before, bold ? BOLD : "", (int)count, words, bold ? PLAIN : "");
    words += count;
    words += strspn(words, " ");
  }
}

static void draw_words(const char *words, int width, FILE *out) {
  draw_broken("  ", "  ", words, width, true, out);
}

/* ---- the three screens ----------------------------------------------------------------------- */

static const char *glue_of(const gw_following *f, int stage) {
  int glue = f->job->clock->stages[stage].glue;
  return glue < 0 ? "dry" : f->job->clock->uses[glue].glue->id;
}

static void draw_keys(const gw_following *f, const char *space, FILE *out) {
  if (f->stopping) fputs(END "  Stop here? q: stop   any other key: go on" END, out);
  else fprintf(out, END "  space: %s   b: back   q: stop" END, space);
}

static void draw_wait(const gw_following *f, int stage, int64_t now_ms, int width, FILE *out) {
  char left[GW_TIME_TEXT];
  int64_t free_ms = gw_following_free(f, stage);
  fprintf(out, "Stage %d of %d, %s" END END, stage + 1, f->job->clock->n_stages, glue_of(f, stage));
  if (free_ms > now_ms) {
    fputs("  Clamps come off what it takes up in" END END, out);
    draw_large(gw_time_text((free_ms - now_ms + 999) / 1000, left, sizeof left), width, out);
    fputs(END, out);
  }
  bool dry = f->job->clock->stages[stage].glue < 0;
  draw_words(dry ? "Lay everything ready."
                 : "Lay everything ready, clamps set to size. Open the glue last.",
             width, out);
  fputs(END, out);
  draw_broken("  First: ", "         ", f->items[f->at].step->words, width, false, out);
  draw_keys(f, "begin", out);
}

static void draw_limit(const gw_following *f, int64_t now_ms, int width, FILE *out) {
  char text[GW_TIME_TEXT];
  int64_t by = gw_following_deadline(f, f->at);
  if (by < 0) {
    fputs("  No limit; so far" END END, out);
    draw_large(gw_time_text((now_ms - gw_following_began(f, f->at)) / 1000, text, sizeof text),
               width, out);
  } else {
    fputs(by >= now_ms ? "  Time left" END END : "  OVER ITS TIME BY" END END, out);
    int64_t left = by >= now_ms ? (by - now_ms) / 1000 : (now_ms - by) / 1000;
    draw_large(gw_time_text(left, text, sizeof text), width, out);
  }
  fputs(END, out);
}

static void draw_step(const gw_following *f, int64_t now_ms, int width, FILE *out) {
  const gw_follow_item *it = &f->items[f->at];
  char clock[GW_TIME_TEXT], took[GW_TIME_TEXT], planned[GW_TIME_TEXT];
  int64_t zero = gw_following_zero(f, it->stage);
  fprintf(out, "Stage %d of %d, %s", it->stage + 1, f->job->clock->n_stages, glue_of(f, it->stage));
  if (zero >= 0) fprintf(out, "   T+%s", gw_time_text((now_ms - zero) / 1000, clock, sizeof clock));
  fputs(END END, out);
  draw_limit(f, now_ms, width, out);
  draw_words(it->step->words, width, out);
  fprintf(out, END "  %sso far %s, planned %s" END,
          it->step->hands > 1 ? "two people; " : "",
          gw_time_text((now_ms - gw_following_began(f, f->at)) / 1000, took, sizeof took),
          gw_time_text(it->step->end_s - it->step->start_s, planned, sizeof planned));
  bool more = f->at + 1 < f->count && f->items[f->at + 1].stage == it->stage;
  draw_broken("  Then: ", "        ",
              more ? f->items[f->at + 1].step->words : "the end of the stage", width, false, out);
  draw_keys(f, "done", out);
}

void gw_follow_draw(const gw_following *f, int64_t now_ms, int width, FILE *out) {
  int stage;
  fputs("\033[H", out);
  if (f->at >= f->count) fputs("All steps are done." END END "  b: back   q: stop" END, out);
  else if (gw_following_waits(f, &stage)) draw_wait(f, stage, now_ms, width, out);
  else draw_step(f, now_ms, width, out);
  fputs("\033[J", out);
  fflush(out);
}
