/* marks.h - the mark of each joint and each part, in one walk round the piece.
 *
 * The walk: level by level from the bottom to the top; on each level round the
 * piece against the sun as seen from above, beginning at the front left.  The
 * sheets follow the same walk. */
#ifndef GW_MARKS_H
#define GW_MARKS_H

#include "fit/fit.h"
#include "marks/symbols.h"
#include "model/model.h"

typedef struct gw_marks {
  gw_mark *joints; /* one for each joint of the model */
  gw_mark *parts;  /* one for each part */
  int *joint_walk; /* joint indices in the order of their numbers */
  int *part_walk;  /* part indices in the order of their letters */
  gw_arena *arena;
} gw_marks;

/* *out is the caller's (gw_marks_free).  When the parts have no places, the
 * walk is the order of the file. */
gw_status gw_marks_make(const gw_model *model, const gw_fit *fit, gw_marks **out);
void gw_marks_free(gw_marks *marks);

/* A mark for running text: under each character of one that carries a bar a
 * combining low line (U+0332).  Returns `buffer` (GW_MARK_SHOWN bytes). */
char *gw_mark_show(const gw_mark *mark, char *buffer);
#define GW_MARK_SHOWN (GW_MARK_TEXT * 3)

#endif
