/* dryfit_inner.h - what the files dryfit*.c share: the sheet while it is being
 * set, and its sections in their order. */
#ifndef GW_SHEETS_DRYFIT_INNER_H
#define GW_SHEETS_DRYFIT_INNER_H

#include "sheets/session.h"
#include "sheets/table.h"

/* How loosely the sheet is set, mm: see dryfit.c. */
typedef struct gw_dryfit_look {
  double row;          /* from line to line of the rehearsal */
  double above, below; /* as in table.h */
  double keep;         /* what belongs together is not torn up to so much of a page */
} gw_dryfit_look;

typedef struct gw_dryfit {
  gw_flow flow;
  const gw_sheets_job *job;
  gw_dryfit_look look;
  double picture;      /* height of the whole piece's */
  bool measuring;      /* the picture is not drawn: only where all ends is asked */
  int pages;
  const char *section; /* what the head of a page says goes on there, or NULL */
  int table;           /* the stage whose table goes on there, or -1 */
} gw_dryfit;

#define SAY(f, ...) gw_flow_say(&(f)->flow, __VA_ARGS__)
#define OR(f, text) gw_flow_text_or(&(f)->flow, (text))

/* Whether places are known. */
bool gw_dryfit_placed(const gw_dryfit *f);
/* How much stands on a page under its head. */
double gw_dryfit_page(const gw_dryfit *f);
/* "Right side (F)", the letter on the line of the name's last word. */
const char *gw_dryfit_name(gw_dryfit *f, int part);
/* A text whose last word does not stand alone on its line, from the arena. */
const char *gw_dryfit_whole(gw_dryfit *f, const char *text);
/* A box to tick and words, kept whole. */
void gw_dryfit_tick(gw_dryfit *f, const char *text);
/* A heading over such boxes: on one page where that wastes little, else gone on
 * with under the same heading. */
void gw_dryfit_ticks(gw_dryfit *f, const char *heading, const char *const *texts, int count);
/* A heading that is said again on each page until gw_dryfit_end. */
void gw_dryfit_begin(gw_dryfit *f, const char *heading, double follows);
void gw_dryfit_end(gw_dryfit *f);
/* Labels with blanks of one width behind them, side by side, on a line. */
void gw_dryfit_blanks(gw_dryfit *f, const char *const *labels, int count);
bool gw_dryfit_has_clamps(const gw_dryfit *f);

/* Numbers of findings that a joint's row names, as they are listed: " !2" of a
 * finding that is about joints, 0 of another. */
int gw_dryfit_number(const gw_dryfit *f, const gw_finding *asked);

/* The sections. */
void gw_dryfit_lengths(gw_dryfit *f);
void gw_dryfit_joints(gw_dryfit *f);
void gw_dryfit_square(gw_dryfit *f);
void gw_dryfit_rehearsal(gw_dryfit *f);
/* Heads of the columns of a stage's table. */
void gw_dryfit_table_head(gw_dryfit *f, int stage, bool again);

/* The box to sign, and the white over it: it does not stand on a page without
 * lines of the rehearsal. */
#define GW_DRYFIT_SIGN_HIGH 24.0
#define GW_DRYFIT_SIGN_GAP 4.0

#endif
