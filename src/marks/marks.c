#include "marks/marks.h"

#include <math.h>
#include <stdlib.h>

/* Things closer in height than this are on one level. */
static const gw_len LEVEL = 5 * GW_MM;

/* A thing to be numbered, by its middle. */
typedef struct stop {
  int index;
  gw_len at[3];
  int level;
  double round; /* how far round the piece, from the front left */
} stop;

static int by_height(const void *left, const void *right) {
  const stop *a = left, *b = right;
  if (a->at[GW_Z] != b->at[GW_Z]) return a->at[GW_Z] < b->at[GW_Z] ? -1 : 1;
  return a->index < b->index ? -1 : a->index > b->index;
}

static int by_walk(const void *left, const void *right) {
  const stop *a = left, *b = right;
  if (a->level != b->level) return a->level < b->level ? -1 : 1;
  if (a->round != b->round) return a->round < b->round ? -1 : 1;
  for (int axis = 0; axis < 3; ++axis)
    if (a->at[axis] != b->at[axis]) return a->at[axis] < b->at[axis] ? -1 : 1;
  return a->index < b->index ? -1 : a->index > b->index;
}

/* How far round, in thousandths of a turn: from just before the front left
 * corner (a sixteenth of a turn, so that a joint set in from it still comes
 * first) to the front right, the back right, the back left. */
static double round_the_piece(const gw_fit *fit, const stop *s) {
  double x = (double)(2 * s->at[GW_X] - fit->extent[GW_X]);
  double y = (double)(2 * s->at[GW_Y] - fit->extent[GW_Y]);
  double w = fit->extent[GW_X] > 0 ? (double)fit->extent[GW_X] : 1;
  double d = fit->extent[GW_Y] > 0 ? (double)fit->extent[GW_Y] : 1;
  x /= w;
  y /= d;
  if (x == 0 && y == 0) return -1; /* in the middle: first */
  const double turn = 2 * acos(-1);
  double angle = atan2(y, x) - atan2(-1, -1) + turn / 16;
  /* A hair's breadth decides nothing: round to a thousandth of a turn. */
  long thousandths = lround(angle * 1000 / turn);
  return (double)((thousandths % 1000 + 1000) % 1000);
}

static void walk(const gw_fit *fit, stop *stops, int count) {
  if (fit->placed) {
    qsort(stops, (size_t)count, sizeof *stops, by_height);
    for (int i = 0; i < count; ++i) {
      bool new_level = i > 0 && stops[i].at[GW_Z] - stops[i - 1].at[GW_Z] > LEVEL;
      stops[i].level = i == 0 ? 0 : stops[i - 1].level + new_level;
      stops[i].round = round_the_piece(fit, &stops[i]);
    }
  }
  qsort(stops, (size_t)count, sizeof *stops, by_walk);
}

static void middle(const gw_box *box, stop *s) {
  for (int axis = 0; axis < 3; ++axis) s->at[axis] = (box->lo[axis] + box->hi[axis]) / 2;
}

static gw_status number_joints(const gw_model *m, const gw_fit *fit, stop *stops, gw_marks *marks) {
  for (int i = 0; i < m->n_joints; ++i) {
    stops[i] = (stop){.index = i};
    if (!fit->placed) continue;
    gw_box box = gw_fit_joint_box(fit, m, i);
    middle(&box, &stops[i]);
  }
  walk(fit, stops, m->n_joints);
  gw_mark_mode mode = m->skip_marks ? GW_MARK_SKIP : GW_MARK_BAR;
  for (int i = 0, k = 1; i < m->n_joints; ++i, ++k) {
    marks->joint_walk[i] = stops[i].index;
    GW_TRY(gw_mark_number(k, mode, &marks->joints[stops[i].index]));
  }
  return GW_OK;
}

static gw_status letter_parts(const gw_model *m, const gw_fit *fit, stop *stops, gw_marks *marks) {
  for (int i = 0; i < m->n_parts; ++i) {
    stops[i] = (stop){.index = i};
    if (fit->placed) middle(&fit->boxes[i], &stops[i]);
  }
  walk(fit, stops, m->n_parts);
  for (int i = 0; i < m->n_parts; ++i) {
    marks->part_walk[i] = stops[i].index;
    GW_TRY(gw_mark_letter(i + 1, &marks->parts[stops[i].index]));
  }
  return GW_OK;
}

static gw_status make(const gw_model *m, const gw_fit *fit, gw_marks *marks) {
  size_t joints = (size_t)m->n_joints, parts = (size_t)m->n_parts;
  marks->joints = gw_arena_alloc(marks->arena, joints, sizeof *marks->joints);
  marks->parts = gw_arena_alloc(marks->arena, parts, sizeof *marks->parts);
  marks->joint_walk = gw_arena_alloc(marks->arena, joints, sizeof *marks->joint_walk);
  marks->part_walk = gw_arena_alloc(marks->arena, parts, sizeof *marks->part_walk);
  stop *stops = calloc((joints > parts ? joints : parts) + 1, sizeof *stops);
  gw_status status = GW_NO_MEMORY;
  if (marks->joints && marks->parts && marks->joint_walk && marks->part_walk && stops) {
    status = number_joints(m, fit, stops, marks);
    if (status == GW_OK) status = letter_parts(m, fit, stops, marks);
  }
  free(stops);
  return status;
}

gw_status gw_marks_make(const gw_model *m, const gw_fit *fit, gw_marks **out) {
  gw_marks *marks = calloc(1, sizeof *marks);
  if (marks == NULL) return GW_NO_MEMORY;
  marks->arena = gw_arena_new();
  gw_status status = marks->arena == NULL ? GW_NO_MEMORY : make(m, fit, marks);
  if (status != GW_OK) {
    gw_marks_free(marks);
    return status;
  }
  *out = marks;
  return GW_OK;
}

void gw_marks_free(gw_marks *marks) {
  if (marks == NULL) return;
  gw_arena_free(marks->arena);
  free(marks);
}

char *gw_mark_show(const gw_mark *mark, char *buffer) {
  size_t used = 0;
  for (const char *at = mark->text; *at != '\0'; ++at) {
    buffer[used++] = *at;
    if (!mark->bar) continue;
    buffer[used++] = '\xcc'; /* U+0332 in UTF-8 */
    buffer[used++] = '\xb2';
  }
  buffer[used] = '\0';
  return buffer;
}
