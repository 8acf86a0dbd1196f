/* symbols.h - the rule of readable marks: what may be written on wood.
 *
 * A mark is read by people who may hold the part upside down.  This file says
 * which marks then read as some other mark, and hands out joint numbers, part
 * letters and set signs that cannot be mistaken for one another.
 *
 * Joints bear numbers without leading zeros, parts bear letters.
 *
 * Numbers.  0, 1 and 8 turned half round read as themselves, 6 reads as 9 and
 * 9 as 6 (the digits of OEIS A000787); a number with any other digit reads as
 * no number.  Zeros that come to the front count as not written: 10 turned is
 * "01", which people read as 1, so 10 is ambiguous.  That is the safe side: it
 * costs a bar.  2 and 5 are not counted as reading like themselves: by overlap
 * of the filled shapes, in Andika and in DejaVu Sans Bold, a turned 2 is nearest
 * to Z and a turned 5 to S, which are not used.
 *
 * Letters.  Six are used: A C F K N R.  The others are left out; the reason
 * for each stands in symbols.c and is given by gw_mark_letter_reason().  Small
 * letters are never written, but people read a small letter as its capital, so
 * a turned image that looks like a small letter counts.  All reasons are common
 * practice, no source.
 *
 * No function here allocates. */
#ifndef GW_SYMBOLS_H
#define GW_SYMBOLS_H

#include "base/base.h"

#define GW_MARK_TEXT 16       /* holds every mark and its final zero byte */
#define GW_MARK_MAX 1000000   /* the highest k that is numbered or lettered */
#define GW_MARK_COPIES_MAX 24 /* the most copies of a piece with set signs */

typedef enum gw_mark_mode {
  GW_MARK_BAR, /* 1, 2, 3 ...; the ambiguous ones carry a bar under them */
  GW_MARK_SKIP /* the ambiguous ones are left out */
} gw_mark_mode;

/* A mark as printed: its text, and whether a bar stands under it. */
typedef struct gw_mark {
  char text[GW_MARK_TEXT];
  bool bar;
} gw_mark;

/* Writes what `text` (digits and capital letters) reads as when turned half
 * round, zeros at the front left off, into `buffer` (GW_MARK_TEXT bytes).
 * False, with an empty buffer, when it is not readable or `text` is empty or
 * longer than a mark can be. */
bool gw_mark_turned(const char *text, char *buffer);

/* Whether `text` turned half round reads as a different mark.  8, 11 and 69
 * read the same both ways and so are not ambiguous. */
bool gw_mark_ambiguous(const char *text);

/* The k-th joint number, k from 1.  The bar is set in mode GW_MARK_BAR only.
 * GW_TOO_LARGE when k is under 1 or over GW_MARK_MAX.  Takes time in
 * proportion to k in mode GW_MARK_SKIP. */
gw_status gw_mark_number(int k, gw_mark_mode mode, gw_mark *mark);

/* The k-th part letter, k from 1: A, C, F, K, N, R, AA, AC, ... RR, AAA, ...
 * No bar is ever needed.  GW_TOO_LARGE as above. */
gw_status gw_mark_letter(int k, gw_mark *mark);

/* Why the capital `letter` is left out, as the end of the sentence "B is left
 * out: ..." (static storage); NULL when it is used or is no capital. */
const char *gw_mark_letter_reason(char letter);

/* The sign written after every mark of one copy when several copies of a piece
 * are made: a cross "+" for one and a hash "#" for five, added up, so copy 1 is
 * "+", copy 3 "+++", copy 6 "#+".  Both signs look the same turned half round
 * and only their sum counts, so that the copy reads the same from either end;
 * neither is a digit or a letter, nor can it be taken for the bar.  Copy 1 has
 * its cross too, so that a forgotten sign does not pass for copy 1.  Empty when
 * `copies` is 1.  `buffer` holds GW_MARK_TEXT bytes.  GW_TOO_LARGE when
 * copies is over GW_MARK_COPIES_MAX or copy is not within 1 .. copies. */
gw_status gw_mark_set(int copy, int copies, char *buffer);

#endif
