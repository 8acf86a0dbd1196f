/* glueup_inner.h - what the files of the glue-up sheet share; nobody else's. */
#ifndef GW_SHEETS_GLUEUP_INNER_H
#define GW_SHEETS_GLUEUP_INNER_H

#include "sheets/session.h"
#include "sheets/table.h"

#define GW_GLUEUP_GAP 2.5

struct glueup_row;

typedef struct glueing {
  gw_flow flow;
  const gw_sheets_job *job;
  int index;               /* of the stage */
  const gw_stage *stage;
  const gw_glue_use *use;  /* NULL in a dry stage */
  gw_session_squares squares;
  const char *check;       /* of the stage: what is done when the clamps are on */
  bool measures;           /* that is to compare diagonals */
  const gw_glue_use *told_use; /* whose open time has been told, in which stage, and what of */
  int told_stage;              /* how long a line takes */
  const char *told_rates;
  const char *title;
  bool list;               /* the pages of the timed list have column heads */
  bool with_pictures;      /* the page being begun has pictures above its list */
  double line_h, base_h;   /* a line in wall type, and its baseline under its top */
  double pad;              /* of the lines of this stage */
  double time_w, who_w;    /* columns; 0: not there */
  double x_text, x_at, x_by, x_tick, x_real, x_who;
  struct glueup_row *rows; /* of the stage */
  const char *rescue[2];   /* head and text of a box that is still to be drawn; NULL: drawn */
} glueing;

#define SAY(g, ...) gw_flow_say(&(g)->flow, __VA_ARGS__)
#define OR(g, text) gw_flow_text_or(&(g)->flow, (text))

/* glueup_bench.c: all that is said before the list. */
void gw_glueup_bench(glueing *g);
/* Whether something of glass is moved in the stage. */
bool gw_glueup_glass(const glueing *g);

/* glueup_next.c: when the next stage may begin. */
const char *gw_glueup_next_words(glueing *g);

/* glueup_pictures.c: one picture for each join, from where the flow is; of at
 * most `most` mm height when that is over 0, and with `below` mm free under the last. */
void gw_glueup_pictures(glueing *g, double most, double below);
/* The least height at which they are worth while, all on one page; 0: none. */
double gw_glueup_pictures_least(glueing *g);

#endif
