/* session.h - what the dry-fit and the glue-up sheet both say about a stage:
 * short words for the wall, what must lie on the bench, clamps, times.
 * Nothing here draws.
 *
 * Texts come from the arena that is passed in; NULL when memory is short. */
#ifndef GW_SHEETS_SESSION_H
#define GW_SHEETS_SESSION_H

#include "sheets/sheets.h"
#include "sheets/square.h"

/* ---- names ------------------------------------------------------------------ */

/* The mark of a joint with its bar as U+0332, the letter of a part; "?" when
 * the piece has no marks.  A joint's buffer holds GW_MARK_SHOWN bytes. */
const char *gw_session_joint(const gw_sheets_job *job, int joint, char *buffer);
const char *gw_session_letter(const gw_sheets_job *job, int part);
/* "Right side (F)" */
const char *gw_session_part(const gw_sheets_job *job, gw_arena *arena, int part);
/* "1, 2 and 6" of marks, or letters when `parts`. */
const char *gw_session_list(const gw_sheets_job *job, gw_arena *arena, const int *items, int count,
                            bool parts);
/* A length with its unit. */
const char *gw_session_length(const gw_sheets_job *job, gw_arena *arena, gw_len length);
/* A number of mm from a computation, as fine as a rule is read. */
const char *gw_session_number(const gw_sheets_job *job, gw_arena *arena, double mm);
/* "45 min", "1 h 30 min", "24 h"; seconds are rounded up to a whole minute. */
const char *gw_session_duration(gw_arena *arena, int64_t seconds);
/* "P1": letters belong to parts, so people are numbered. */
const char *gw_session_people(const gw_sheets_job *job, gw_arena *arena, const gw_step *step);

/* ---- steps ------------------------------------------------------------------- */

/* For the wall: "GLUE 6", "F â C + K (2, 6)", "CLAMPS: 3", "SQUARE". */
const char *gw_session_action(const gw_sheets_job *job, gw_arena *arena, const gw_stage *stage,
                              const gw_step *step);
/* Of a join alone: after the arrow the parts that its joints are on; before it all
 * that is moved, when that is more than three parts those that its joints are on. */
const char *gw_session_join_action(const gw_sheets_job *job, gw_arena *arena, int join);
/* What stands before and after the arrow; false when memory is short. */
bool gw_session_join_sides(const gw_sheets_job *job, gw_arena *arena, int join,
                           const char **moving, const char **onto);
/* Whether the moved side goes into the other: tenons, panels, shelves; not what is laid or
 * pushed onto it. */
bool gw_session_goes_in(const gw_sheets_job *job, int join);
/* The same as a sentence: "Bring Right side (F) to the left onto C + K, joints 2 and
 * 6".  With `glue` it says what of it stays dry. */
const char *gw_session_join_words(const gw_sheets_job *job, gw_arena *arena, int join, bool glue);
/* The group that all of the parts belong to, or -1. */
int gw_session_common_group(const gw_sheets_job *job, const int *parts, int count);
/* The group that a join moves, alone and whole, or -1. */
int gw_session_group(const gw_sheets_job *job, int join);
/* Whether that group slides in level and without glue, as a drawer does. */
bool gw_session_slides(const gw_sheets_job *job, int join);
/* "left, middle opening": where a group that slides goes, among those that
 * go in the same way; "" when there is one alone, or they stand in no rows. */
const char *gw_session_opening(const gw_sheets_job *job, gw_arena *arena, int join);
/* The sentence beneath it.  `check` is what is done when the clamps are on. */
const char *gw_session_detail(const gw_sheets_job *job, gw_arena *arena, const gw_stage *stage,
                              const gw_step *step, const char *check);

/* All that has diagonals to be compared (square.h). */
typedef struct gw_session_squares {
  gw_opening *openings;
  gw_frame *frames;
  size_t n_openings, n_frames;
} gw_session_squares;
gw_status gw_session_squares_find(const gw_sheets_job *job, gw_session_squares *out);
void gw_session_squares_clear(gw_session_squares *squares);
/* "compare the diagonals: inside A, C, F and K 814.1 mm (may differ by 1 mm)": of
 * what the stage completes.  Of more than GW_SESSION_DIAGONALS the largest alone; of none
 * "try the corners with a square". */
enum { GW_SESSION_DIAGONALS = 3 };
const char *gw_session_check(const gw_sheets_job *job, gw_arena *arena, int stage,
                             const gw_session_squares *squares);

/* A finding's sentence for the bench: part ids become names with letters, where
 * the sentence begins with them, where it speaks of something of theirs ("the upper
 * side of upper"), and where it goes on about some (", and slat1 and slat2 also go in").
 * Other words that happen to be an id, such as "left", stay. */
const char *gw_session_finding(const gw_sheets_job *job, gw_arena *arena, const gw_finding *found);

/* Words with a capital at their beginning; NULL for NULL. */
const char *gw_session_sentence(gw_arena *arena, const char *words);

/* ---- the stage ----------------------------------------------------------------- */

/* A thing that must lie ready: a part, or what an earlier stage left. */
typedef struct gw_needed {
  int part;         /* -1 when it is a sub-assembly */
  int join, stage;  /* its last join, and the stage that made it; else -1 */
} gw_needed;
/* Fills `needed` (which holds two for each join of the stage), in the order in
 * which they are taken up. */
size_t gw_session_needs(const gw_sheets_job *job, int stage, gw_needed *needed);
/* Its parts. */
const int *gw_session_parts_of(const gw_sheets_job *job, const gw_needed *needed, int *count);

/* "3 sash clamps, opened to 590 mm, left to right" */
const char *gw_session_clamps(const gw_sheets_job *job, gw_arena *arena, const gw_pull *pull);
/* "; tapered to sit on the leaning faces …": by how many degrees the cauls of a
 * stage must taper; "" where no face leans.  NULL when memory is short. */
const char *gw_session_tapers(const gw_sheets_job *job, gw_arena *arena, const gw_stage *stage);

/* Grams to put in the pot: a quarter more than goes on the wood, for brush and
 * pot, up to the next 5 g (common practice, no source). */
int gw_session_pot_grams(double grams);

/* When the joint brought together first begins to hold: the earliest end of a
 * wet bringing-together and the closed time after it.  -1 when nothing is wet. */
int gw_session_grab(const gw_sheets_job *job, const gw_stage *stage);
/* The moment after which nothing should be pulled apart any more: the stage's
 * own, or the grab when that comes first. */
int gw_session_pull_apart(const gw_sheets_job *job, const gw_stage *stage);

/* How much of the open time the joint open longest has used up at time t,
 * 0 to 1 (more when it is over).  With `closing` a joint that is brought
 * together at t counts still, and one spread at t not yet. */
double gw_session_open_used(const gw_sheets_job *job, const gw_stage *stage, int t, bool closing);

/* What to do when it has gone wrong, by what ends the glue's open time. */
const char *gw_session_rescue(gw_glue_family family);
/* Goes on after the open time: " from the project file, times 1.26 for ..."; of a
 * typical one only ", times 1.26 for ...". */
const char *gw_session_open_words(const gw_sheets_job *job, gw_arena *arena,
                                  const gw_glue_use *use);

#endif
