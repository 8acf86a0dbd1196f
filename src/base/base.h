/* base.h - what every room stands on: status, memory, lengths, directions.
 *
 * Ownership: a gw_arena owns all that is allocated from it and frees it at
 * once; nothing taken from an arena is ever freed singly.  Arrays grown with
 * gw_grow() belong to whoever holds the pointer and are freed with free().
 *
 * Lengths are integers so that 600 - 600 is 0.  The unit is one sixteenth of
 * a micrometre: 1 mm = 16,000 units and 1/128 in = 3,175 units, both exact
 * (1 in = 25.4 mm exactly: international yard and pound agreement, 1959). */
#ifndef GW_BASE_H
#define GW_BASE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

/* ---- status ----------------------------------------------------------- */

/* What a function that can fail returns.  GW_OK is 0, so `if (status)` reads
 * as "if it failed". */
typedef enum gw_status {
  GW_OK = 0,
  GW_NO_MEMORY,   /* an allocation failed */
  GW_IO,          /* reading or writing failed; gw_error has the words */
  GW_BAD_INPUT,   /* the input cannot be judged; findings have the words */
  GW_TOO_LARGE,   /* a documented limit was passed, or a sum would overflow */
  GW_INTERNAL     /* a promise inside the program was broken */
} gw_status;

/* A failure with its words, carried up to the command. */
typedef struct gw_error {
  gw_status status;
  char words[320];
} gw_error;

/* Fills *err (when not NULL) and returns `status`, so that a failing function
 * can end in one line. */
gw_status gw_fail(gw_error *err, gw_status status, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Returns from the calling function when `expression` is not GW_OK. */
#define GW_TRY(expression)                          \
  do {                                              \
    gw_status gw_try_status_ = (expression);        \
    if (gw_try_status_ != GW_OK) return gw_try_status_; \
  } while (0)

/* ---- memory ------------------------------------------------------------ */

typedef struct gw_arena gw_arena;

/* A new, empty arena; NULL when memory is short.  Free with gw_arena_free. */
gw_arena *gw_arena_new(void);
void gw_arena_free(gw_arena *arena);

/* `count` zeroed items of `size` bytes, aligned for any type; NULL when
 * memory is short or count * size overflows.  Owned by the arena. */
void *gw_arena_alloc(gw_arena *arena, size_t count, size_t size);

/* A copy of a string (of its first `length` bytes), owned by the arena. */
char *gw_arena_text(gw_arena *arena, const char *text);
char *gw_arena_text_n(gw_arena *arena, const char *text, size_t length);

/* printf into arena memory; NULL when memory is short. */
char *gw_arena_printf(gw_arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Makes *items (of *capacity items of `size` bytes) hold at least `need`
 * items.  New items are zeroed.  On failure *items is unchanged. */
gw_status gw_grow(void *items, size_t *capacity, size_t need, size_t size);

/* ---- lengths ------------------------------------------------------------ */

typedef int64_t gw_len;

#define GW_MM ((gw_len)16000)      /* units in a millimetre */
#define GW_INCH ((gw_len)406400)   /* units in an inch */
#define GW_UNSET INT64_MIN         /* "not stated" */
#define GW_LEN_MAX (100000 * GW_MM) /* 100 m: no part is longer */

typedef enum gw_units { GW_UNITS_MM, GW_UNITS_INCH } gw_units;

/* Reads a length such as "412", "412.5", "412.5 mm", "3/8in", "1 3/8in".
 * A bare number is in `units`.  Returns NULL and sets *out, or returns a
 * sentence part saying what is wrong (static storage).  A minus sign is read
 * (and may be refused by the caller); more decimals than the unit holds are
 * rounded half away from zero. */
const char *gw_len_parse(const char *text, gw_units units, gw_len *out);

/* Writes a length for people: "412", "412.5" (at most 3 decimals) or, in
 * inches, the nearest 1/64: "1 3/8".  No unit is written.  Returns `buffer`. */
char *gw_len_text(gw_len length, gw_units units, char *buffer, size_t size);
#define GW_LEN_TEXT 32 /* a buffer that always suffices */

/* As fine as a rule is read or a gauge set: the nearest tenth of a millimetre or
 * 64th of an inch; halves go away from nought. */
gw_len gw_len_fine(gw_len length, gw_units units);

/* In millimetres, for drawing and physics only, never for comparing. */
double gw_len_mm(gw_len length);

/* ---- directions --------------------------------------------------------- */

/* The piece seen from its front: left to right is x, front to back is y,
 * bottom to top is z.  dir / 2 is the axis, dir & 1 is its positive end. */
typedef enum gw_dir {
  GW_LEFT, GW_RIGHT, GW_FRONT, GW_BACK, GW_DOWN, GW_UP,
  GW_NO_DIR
} gw_dir;
typedef enum gw_axis { GW_X, GW_Y, GW_Z } gw_axis;

static inline gw_axis gw_dir_axis(gw_dir dir) { return (gw_axis)(dir / 2); }
static inline int gw_dir_sign(gw_dir dir) { return (dir & 1) ? 1 : -1; }
static inline gw_dir gw_dir_back(gw_dir dir) { return (gw_dir)(dir ^ 1); }
static inline gw_dir gw_dir_of(int axis, int sign) {
  return (gw_dir)(axis * 2 + (sign > 0));
}
const char *gw_dir_name(gw_dir dir);

/* A direction of motion that need not be along an axis; small integers. */
typedef struct gw_vec { int32_t c[3]; } gw_vec;

/* ---- ids ------------------------------------------------------------------ */

/* The entry of `words` nearest to `word` when it is near enough to be a
 * misspelling (edit distance at most a third of its length), else -1. */
int gw_nearest(const char *word, const char *const *words, size_t count);

/* A table from text to a number, for ids.  Owned by whoever made it. */
typedef struct gw_names gw_names;
gw_names *gw_names_new(void);
void gw_names_free(gw_names *names);
/* Adds; GW_BAD_INPUT when the text is there already (its number is kept).
 * The text is not copied and must outlive the table. */
gw_status gw_names_add(gw_names *names, const char *text, int number);
/* The number, or -1. */
int gw_names_find(const gw_names *names, const char *text);

#endif
