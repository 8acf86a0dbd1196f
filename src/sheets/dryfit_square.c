/* dryfit_square.c - what a tape and a rule tell: lengths that must agree, diagonals,
 * gaps. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/dryfit_inner.h"
#include "sheets/square.h"

static const double BLANKS = 7.0; /* a line of blanks and the white round it */

/* ---- lengths that must agree ---------------------------------------------------------- */

/* "a, b and c" with names and letters. */
static const char *names_of(gw_dryfit *f, const int *parts, int count) {
  const char *names = "";
  for (int i = 0; i < count; ++i)
    names = SAY(f, "%s%s%s", names, i == 0 ? "" : i + 1 == count ? " and " : ", ",
                gw_dryfit_name(f, parts[i]));
  return names;
}

/* At how many ends a part has a shoulder. */
static int shoulders_of(const gw_dryfit *f, int part, int axis) {
  gw_solid body;
  if (gw_fit_wood(f->job->fit, f->job->model, part, &body, 1) < 1) return 0;
  const gw_box *box = &f->job->fit->boxes[part];
  return (body.box.lo[axis] > box->lo[axis]) + (body.box.hi[axis] < box->hi[axis]);
}

static const char *from_where(gw_dryfit *f, const gw_equal *equal) {
  if (!equal->shoulders || !gw_dryfit_placed(f)) return "";
  int ends = shoulders_of(f, equal->parts[0], equal->axis);
  for (int i = 1; i < equal->count; ++i)
    if (shoulders_of(f, equal->parts[i], equal->axis) != ends) ends = 0;
  return ends == 2   ? " between the shoulders"
         : ends == 1 ? " from the shoulder to the far end"
                     : " between the shoulders, or the ends where there are none";
}

/* Of parts that lean: as a rule laid on them shows it, where that is known. */
static const char *equal_words(gw_dryfit *f, const gw_equal *equal) {
  const gw_fit *fit = f->job->fit;
  const char *where = from_where(f, equal), *aslant = "";
  gw_len length = equal->length, size[3];
  if (gw_dryfit_placed(f) && gw_fit_slants(fit, equal->parts[0])) {
    gw_fit_finished(fit, f->job->model, equal->parts[0], size);
    const gw_box *box = &fit->boxes[equal->parts[0]];
    double high = (double)(box->hi[equal->axis] - box->lo[equal->axis]);
    if (equal->axis == GW_Z) {
      length = (gw_len)llround((double)length * (double)size[0] / high);
      aslant = ", along the wood";
    } else if (equal->shoulders) {
      aslant = ", midway\xC2\xA0up";
    } else {
      length = size[0];
      aslant = " along the longest edge";
    }
  }
  return SAY(f, "%s: %s%s%s", names_of(f, equal->parts, equal->count),
             OR(f, gw_session_length(f->job, f->flow.arena, length)), where, aslant);
}

void gw_dryfit_lengths(gw_dryfit *f) {
  gw_equal *equals;
  size_t count;
  if (gw_square_equals(f->job->model, f->job->fit, f->flow.arena, &equals, &count) != GW_OK) {
    f->flow.no_memory = true;
    return;
  }
  const char **texts = gw_arena_alloc(f->flow.arena, count + 1, sizeof *texts);
  if (texts == NULL) f->flow.no_memory = true;
  if (count == 0 || texts == NULL) return;
  for (size_t i = 0; i < count; ++i) texts[i] = equal_words(f, &equals[i]);
  gw_dryfit_ticks(f, "Lengths that must agree: hold them together, feel ends or shoulders", texts,
                  (int)count);
}

/* ---- diagonals ------------------------------------------------------------------------ */

/* The words of one thing that is measured, and whether blanks are under them. */
typedef struct item {
  const char *words;
  bool blanks;
} item;

typedef struct items {
  item *all;
  size_t count, room;
} items;

static void add_item(gw_dryfit *f, items *list, const char *words, bool blanks) {
  if (list->count < list->room)
    list->all[list->count++] = (item){gw_dryfit_whole(f, words), blanks};
}

/* The parts in the four corners, each once. */
static const char *corner_names(gw_dryfit *f, const gw_opening *o) {
  int parts[4], count = 0;
  for (int i = 0; i < 4; ++i) {
    bool again = false;
    for (int k = 0; k < count; ++k) again = again || parts[k] == o->parts[i];
    if (!again) parts[count++] = o->parts[i];
  }
  return names_of(f, parts, count);
}

static const char *opening_name(gw_dryfit *f, const gw_opening *o) {
  static const char *const seen[3] = {"from the side", "from the front", "from above"};
  const char *edges = o->edges ? " along the upper edges" : "";
  if (o->outside)
    return SAY(f, "The outer corners of %s%s, seen %s", corner_names(f, o), edges, seen[o->axis]);
  return SAY(f, "Inside %s%s%s, seen %s", names_of(f, o->parts, 4),
             o->posts ? ", between what stands in its corners" : "", edges, seen[o->axis]);
}

/* "720 x 380 mm" */
static const char *sides_words(gw_dryfit *f, const gw_opening *o) {
  char w[GW_LEN_TEXT];
  gw_len wide = o->hi[0] - o->lo[0];
  gw_len_text(o->edges ? gw_len_fine(wide, f->job->model->units) : wide, f->job->model->units, w,
              sizeof w);
  char *fraction = strchr(w, ' '); /* no line ends within a length */
  return SAY(f, "%.*s%s%s\xC2\xA0\xC3\x97\xC2\xA0%s", (int)strcspn(w, " "), w,
             fraction ? "\xC2\xA0" : "", fraction ? fraction + 1 : "",
             OR(f, gw_session_length(f->job, f->flow.arena, o->hi[1] - o->lo[1])));
}

static const char *diagonal_words(gw_dryfit *f, const gw_opening *o) {
  gw_arena *arena = f->flow.arena;
  double w = gw_len_mm(o->hi[0] - o->lo[0]), h = gw_len_mm(o->hi[1] - o->lo[1]);
  double d = gw_square_diagonal(w, h), longer, shorter;
  double allowed = gw_square_allowed(d, f->job->model->units);
  gw_square_pair(w, h, allowed, &longer, &shorter);
  return SAY(
      f, "%s, %s: both diagonals %s. They may differ by %s: the corners then miss 90\xC2\xB0 by "
      "%.2f\xC2\xB0, a lean of %s over %s.", opening_name(f, o), sides_words(f, o),
      OR(f, gw_session_number(f->job, arena, d)), OR(f, gw_session_number(f->job, arena, allowed)),
      gw_square_angle(w, h, longer, shorter),
      OR(f, gw_session_number(f->job, arena, gw_square_lean(w, longer, shorter))),
      OR(f, gw_session_length(f->job, arena, o->hi[1] - o->lo[1])));
}

/* What a difference of the diagonals means is the same as for a parallelogram of
 * the mean width: d1^2 - d2^2 = 4 W times the lean. */
static const char *leaning_words(gw_dryfit *f, const gw_frame *o) {
  gw_arena *arena = f->flow.arena;
  const double *d = o->diagonal;
  double allowed = gw_square_allowed(fmax(d[0], d[1]), f->job->model->units);
  const char *below = o->rails[1] < 0 ? "the feet" : names_of(f, &o->rails[1], 1);
  bool equal = fabs(d[0] - d[1]) < 0.05;
  const char *first = OR(f, gw_session_number(f->job, arena, d[0]));
  const char *each = equal ? SAY(f, "both diagonals %s", first)
                           : SAY(f, "from the foot of %s up %s, of %s %s",
                                 names_of(f, &o->posts[0], 1), first, names_of(f, &o->posts[1], 1),
                                 OR(f, gw_session_number(f->job, arena, d[1])));
  return SAY(
      f, "Between %s, from %s down to %s, inner corners, midway across each: %s apart above, %s "
      "below, %s. They may %s by %s: the frame then leans %s to one side.",
      names_of(f, o->posts, 2), names_of(f, &o->rails[0], 1), below,
      OR(f, gw_session_number(f->job, arena, o->width[1])),
      OR(f, gw_session_number(f->job, arena, o->width[0])), each,
      equal ? "differ" : "differ from that", OR(f, gw_session_number(f->job, arena, allowed)),
      OR(f, gw_session_number(f->job, arena,
                              allowed * (d[0] + d[1]) / 2 / (o->width[0] + o->width[1]))));
}

/* ---- gaps ----------------------------------------------------------------------------- */

/* Whether two narrow openings are gaps of one row. */
static bool in_one_row(const gw_opening *a, const gw_opening *b) {
  int k = gw_square_narrow(a);
  return k >= 0 && gw_square_narrow(b) == k && a->axis == b->axis && a->group == b->group &&
         a->edges == b->edges && a->lo[1 - k] == b->lo[1 - k] && a->hi[1 - k] == b->hi[1 - k];
}

static int by_place(const void *left, const void *right) {
  const gw_opening *a = *(const gw_opening *const *)left, *b = *(const gw_opening *const *)right;
  int k = gw_square_narrow(a);
  return a->lo[k] < b->lo[k] ? -1 : a->lo[k] > b->lo[k];
}

/* The parts from the first gap's low side to the last one's high side. */
static const char *row_names(gw_dryfit *f, const gw_opening *const *row, int count, int k) {
  int *parts = gw_arena_alloc(f->flow.arena, 2 * (size_t)count, sizeof *parts), n = 0;
  if (parts == NULL) return OR(f, NULL);
  for (int i = 0; i < count; ++i)
    for (int far = 0; far < 2; ++far) {
      int part = row[i]->parts[2 * k + far];
      if (n == 0 || parts[n - 1] != part) parts[n++] = part;
    }
  return names_of(f, parts, n);
}

/* "Gaps between A, K and F, from left to right: 75, 110 and 75 mm, each the same above and
 * below." */
static const char *gaps_words(gw_dryfit *f, const gw_opening *const *row, int count) {
  static const char *const ways[3] = {"left to right", "front to back", "below upwards"};
  static const char *const ends[3] = {"at the left and the right", "at the front and the back",
                                      "above and below"};
  int k = gw_square_narrow(row[0]);
  const int axes[2] = {row[0]->axis == 0 ? 1 : 0, row[0]->axis == 2 ? 1 : 2};
  const char *figures = "";
  for (int i = 0; i < count; ++i)
    figures = SAY(f, "%s%s%s", figures, i == 0 ? "" : i + 1 == count ? " and " : ", ",
                  OR(f, gw_session_length(f->job, f->flow.arena, row[i]->hi[k] - row[i]->lo[k])));
  return SAY(f, "Gap%s between %s%s%s: %s, %sthe same %s.", count > 1 ? "s" : "",
             row_names(f, row, count, k), count > 1 ? ", from " : "",
             count > 1 ? ways[axes[k]] : "",
             figures, count > 1 ? "each " : "", ends[axes[1 - k]]);
}

/* The row that begins with openings[first]; those before it had theirs. */
static void add_gaps(gw_dryfit *f, items *list, const gw_opening *openings, size_t count,
                     size_t first) {
  for (size_t i = 0; i < first; ++i)
    if (in_one_row(&openings[first], &openings[i])) return;
  const gw_opening **row = gw_arena_alloc(f->flow.arena, count + 1, sizeof *row);
  int n = 0;
  if (row == NULL) f->flow.no_memory = true;
  for (size_t i = first; i < count && row != NULL; ++i)
    if (in_one_row(&openings[first], &openings[i])) row[n++] = &openings[i];
  if (n == 0) return;
  qsort(row, (size_t)n, sizeof *row, by_place);
  add_item(f, list, gaps_words(f, row, n), false);
}

/* ---- the section ---------------------------------------------------------------------- */

static void add_openings(gw_dryfit *f, items *list, const gw_opening *openings, size_t count) {
  for (size_t i = 0; i < count; ++i)
    if (gw_square_narrow(&openings[i]) < 0)
      add_item(f, list, diagonal_words(f, &openings[i]), true);
  for (size_t i = 0; i < count; ++i)
    if (gw_square_narrow(&openings[i]) >= 0) add_gaps(f, list, openings, count, i);
}

static bool gather(gw_dryfit *f, items *list) {
  gw_opening *openings = NULL;
  gw_frame *frames = NULL;
  size_t n_openings = 0, n_frames = 0;
  bool got = gw_square_openings(f->job->model, f->job->fit, &openings, &n_openings) == GW_OK &&
             gw_square_frames(f->job->model, f->job->fit, &frames, &n_frames) == GW_OK;
  list->room = n_openings + n_frames;
  if (got) list->all = gw_arena_alloc(f->flow.arena, list->room + 1, sizeof *list->all);
  got = got && list->all != NULL;
  if (got) add_openings(f, list, openings, n_openings);
  for (size_t i = 0; got && i < n_frames; ++i)
    add_item(f, list, leaning_words(f, &frames[i]), true);
  free(openings);
  free(frames);
  if (!got) f->flow.no_memory = true;
  return got;
}

static double item_height(gw_dryfit *f, const item *it) {
  return gw_flow_tick_height(&f->flow, gw_flow_bench(&f->flow), it->words) +
         (it->blanks ? BLANKS : 0);
}

static void draw_item(gw_dryfit *f, const item *it) {
  static const char *const labels[3] = {"one", "the other", "difference"};
  gw_dryfit_tick(f, it->words);
  if (it->blanks) gw_dryfit_blanks(f, labels, 3);
}

/* What the last item stands over, or "". */
static const char *footnote(gw_dryfit *f, const items *list) {
  bool any = false;
  for (size_t i = 0; i < list->count; ++i) any = any || list->all[i].blanks;
  if (!any) return "";
  return SAY(f, "The difference let pass is a thousandth of the diagonal, up to the next %s "
                "(common practice, no source).%s",
             f->job->model->units == GW_UNITS_INCH ? "64th of an inch" : "half millimetre",
             gw_dryfit_has_clamps(f) ? " A shifted clamp pulls the longer diagonal in." : "");
}

static void draw_items(gw_dryfit *f, const items *list) {
  const char *note = footnote(f, list);
  double under = note[0] == '\0' ? 0 : gw_text_box_height(f->flow.doc, f->flow.body.w,
                                                          GW_FLOW_SMALL, note);
  double first = item_height(f, &list->all[0]) + (list->count == 1 ? under : 0);
  gw_dryfit_begin(f, "Square: both diagonals of every opening, as soon as it stands", first);
  for (size_t i = 0; i < list->count; ++i) {
    gw_flow_need(&f->flow, item_height(f, &list->all[i]) + (i + 1 == list->count ? under : 0));
    draw_item(f, &list->all[i]);
  }
  if (note[0] != '\0') gw_flow_text(&f->flow, GW_FLOW_SMALL, 0, note);
  gw_dryfit_end(f);
}

void gw_dryfit_square(gw_dryfit *f) {
  items list = {0};
  if (!gather(f, &list)) return;
  if (list.count > 0) {
    draw_items(f, &list);
    return;
  }
  const char *words =
      f->job->model->n_parts > GW_SQUARE_MAX_PARTS
          ? "Openings are not sought in a piece of so many parts: measure the diagonals of "
            "each, and try every corner with a square."
      : f->job->fit != NULL && f->job->fit->slants != NULL
          ? "No opening was found that four parts enclose: try every corner with a square, and "
            "what leans with the bevel."
          : "No opening was found that four parts enclose: try every corner with a square.";
  gw_dryfit_ticks(f, "Square", &words, 1);
}
