/* text.h - what happens to words before they are drawn: cleaning, wrapping,
 * cutting.  Nothing here knows of PDF: widths come through a function, so all
 * of it can be tested with a ruler of one's own.
 *
 * Ownership: strings written go to buffers of the caller; nothing is
 * allocated. */
#ifndef GW_SHEETS_TEXT_H
#define GW_SHEETS_TEXT_H

#include "base/base.h"

#define GW_TEXT_REPLACEMENT 0xFFFDu /* drawn for what cannot be drawn */
#define GW_TEXT_HARD_SPACE 0xA0u    /* drawn as a space, never broken at */
#define GW_TEXT_ELLIPSIS "\xE2\x80\xA6"

/* The code point at text[*at], and *at moved past it.  0 at the end.
 * Malformed bytes (overlong forms, surrogates, above U+10FFFF, a sequence cut
 * short) give U+FFFD and move one byte on. */
uint32_t gw_text_next(const char *text, size_t size, size_t *at);

/* Writes one code point below U+10000 as UTF-8 (1 to 3 bytes) to `out`, which
 * holds at least 3; returns the bytes. */
size_t gw_text_put(uint32_t code, char *out);

/* Bytes that gw_text_clean may need for `size` bytes of text, with the NUL. */
size_t gw_text_clean_size(size_t size);

/* Makes text fit to draw: malformed bytes, control characters, non-characters
 * and all above U+FFFF (libharu draws nothing there and measures wrongly)
 * become U+FFFD; tab, newline and the odd-width spaces become a space; the
 * no-break space stays as GW_TEXT_HARD_SPACE; soft hyphen, zero width and
 * direction marks are dropped.  `out` holds gw_text_clean_size(strlen(text))
 * bytes.  Returns the length written, without the NUL. */
size_t gw_text_clean(const char *text, char *out);

/* The width of `bytes` bytes of clean text, in any unit. */
typedef double gw_text_width_fn(void *context, const char *text, size_t bytes);

/* The stretch of a text that is drawn on one line. */
typedef struct gw_text_span { size_t start, bytes; } gw_text_span;

/* Finds the next line of clean text at or after byte `from` that is at most
 * `width` wide, and returns where the line after it begins; equal to
 * strlen(text) when this was the last.  When nothing is left, *line has 0 bytes.
 *
 * Breaks at spaces (which are not drawn at the ends of a line), and after '-'
 * and '/' inside a word, save before a digit: "3/8" and "-5" are not torn.
 * A word wider than the line is broken between code points, and never before
 * a combining mark.  At least one code point is taken, so a caller always
 * gets to the end, even when `width` is too small for it. */
size_t gw_text_wrap(const char *text, size_t from, double width, gw_text_width_fn *measure,
                    void *context, gw_text_span *line);

/* How many lines gw_text_wrap makes of a text (0 for one without words). */
size_t gw_text_line_count(const char *text, double width, gw_text_width_fn *measure,
                          void *context);

/* How many bytes of clean text can be drawn before an ellipsis so that both
 * are at most `width` wide; the whole length when the text fits without one.
 * Spaces before the ellipsis are not counted. */
size_t gw_text_cut(const char *text, size_t bytes, double width, gw_text_width_fn *measure,
                   void *context);

#endif
