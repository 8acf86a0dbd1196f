/* pdf_ops.h - what a page of a printed sheet draws, read from its operators as
 * qpdf spreads them out: texts with their places, fills and strokes with their
 * bounds.  Millimetres from the top left, as in canvas.h. */
#ifndef GW_TESTS_PDF_OPS_H
#define GW_TESTS_PDF_OPS_H

#include "sheet_probe.h"

typedef enum op_kind { OP_TEXT, OP_FILL, OP_STROKE } op_kind;

typedef struct op {
  op_kind kind;
  int page;
  double x, y;           /* text: its left end and baseline; else the top left */
  double w, h;           /* of a fill or a stroke; text: the size in points */
  double grey, pen;      /* of the fill or stroke; width of the stroke, mm */
  double sx[2], sy[2];   /* of a path: where it begins and ends */
  bool bold;
  char text[256];        /* characters above U+007E as '?', arrows as '>' */
} op;

typedef struct ops {
  op *items;
  size_t count;
  double width, height;
  int pages;
} ops;

enum { OPS_MOST = 400000 };

/* A path being gathered. */
typedef struct ops_path { double x0, y0, x1, y1, sx[2], sy[2]; int points; } ops_path;

static void ops_point(ops_path *path, double x, double y) {
  if (path->points == 0) {
    path->x0 = path->x1 = path->sx[0] = x;
    path->y0 = path->y1 = path->sy[0] = y;
  }
  path->sx[1] = x;
  path->sy[1] = y;
  if (x < path->x0) path->x0 = x;
  if (x > path->x1) path->x1 = x;
  if (y < path->y0) path->y0 = y;
  if (y > path->y1) path->y1 = y;
  ++path->points;
}

static void ops_hex(const char *hex, char out[256]) {
  size_t used = 0;
  unsigned code;
  for (; used < 255 && sscanf(hex, "%4x", &code) == 1 && strspn(hex, "0123456789abcdef") >= 4;
       hex += 4)
    out[used++] = code == 0x2192 ? '>' : code == 0xA0 ? ' ' : code > 0x7E ? '?' : (char)code;
  out[used] = '\0';
}

static op *ops_add(ops *all, op_kind kind) {
  ck_assert_uint_lt(all->count, OPS_MOST);
  op *o = &all->items[all->count++];
  *o = (op){.kind = kind, .page = all->pages - 1};
  return o;
}

static void ops_path_end(ops *all, ops_path *path, op_kind kind, double grey, double pen) {
  const double mm = 25.4 / 72;
  if (path->points == 0) return;
  op *o = ops_add(all, kind);
  o->x = path->x0 * mm;
  o->y = all->height - path->y1 * mm;
  o->w = (path->x1 - path->x0) * mm;
  o->h = (path->y1 - path->y0) * mm;
  for (int i = 0; i < 2; ++i) {
    o->sx[i] = path->sx[i] * mm;
    o->sy[i] = all->height - path->sy[i] * mm;
  }
  o->grey = grey;
  o->pen = pen * mm;
  path->points = 0;
}

/* What is set when an operator comes. */
typedef struct ops_state {
  double fill, stroke, pen, tx, ty, size;
  char font[8], bold[8];
  ops_path path;
} ops_state;

static bool ops_ends(const char *line, const char *with) {
  size_t a = strlen(line), b = strlen(with);
  return a >= b && strcmp(line + a - b, with) == 0;
}

static void ops_text_line(ops *all, ops_state *s, const char *line) {
  const double mm = 25.4 / 72;
  if (line[0] != '<') return;
  op *o = ops_add(all, OP_TEXT);
  ops_hex(line + 1, o->text);
  o->x = s->tx * mm;
  o->y = all->height - s->ty * mm;
  o->h = s->size;
  o->grey = s->fill;
  o->bold = strcmp(s->font, "F2") == 0;
}

static void ops_line(ops *all, ops_state *s, const char *line) {
  double v[6];
  if (ops_ends(line, " Tm")) {
    if (sscanf(line, "%lf %lf %lf %lf %lf %lf", v, v + 1, v + 2, v + 3, &s->tx, &s->ty) != 6)
      ck_abort_msg("%s", line);
  } else if (ops_ends(line, " Tf")) {
    ck_assert_int_eq(sscanf(line, "/%7s %lf", s->font, &s->size), 2);
  } else if (ops_ends(line, " Tj")) {
    ops_text_line(all, s, line);
  } else if (ops_ends(line, " re")) {
    ck_assert_int_eq(sscanf(line, "%lf %lf %lf %lf", v, v + 1, v + 2, v + 3), 4);
    ops_point(&s->path, v[0], v[1]);
    ops_point(&s->path, v[0] + v[2], v[1] + v[3]);
  } else if (ops_ends(line, " m") || ops_ends(line, " l")) {
    ck_assert_int_eq(sscanf(line, "%lf %lf", v, v + 1), 2);
    ops_point(&s->path, v[0], v[1]);
  } else if (ops_ends(line, " c")) {
    ck_assert_int_eq(sscanf(line, "%*f %*f %*f %*f %lf %lf", v, v + 1), 2);
    ops_point(&s->path, v[0], v[1]);
  } else if (ops_ends(line, " g")) {
    sscanf(line, "%lf", &s->fill);
  } else if (ops_ends(line, " G")) {
    sscanf(line, "%lf", &s->stroke);
  } else if (ops_ends(line, " w")) {
    sscanf(line, "%lf", &s->pen);
  } else if (strcmp(line, "f") == 0) {
    ops_path_end(all, &s->path, OP_FILL, s->fill, 0);
  } else if (strcmp(line, "S") == 0 || strcmp(line, "s") == 0) {
    ops_path_end(all, &s->path, OP_STROKE, s->stroke, s->pen);
  }
}

/* All that the printed sheet draws, to be freed with ops_free. */
static ops ops_of(const probe *p) {
  char *out = probe_run("qpdf --qdf --object-streams=disable %s -", p->pdf), *rest = NULL;
  bool letter = p->sheets.paper == GW_PAPER_LETTER;
  ops all = {.items = calloc(OPS_MOST, sizeof(op)), .width = letter ? 215.9 : 210,
             .height = letter ? 279.4 : 297};
  ops_state s = {.pen = 1};
  bool inside = false;
  ck_assert_ptr_nonnull(all.items);
  for (char *line = strtok_r(out, "\n", &rest); line != NULL; line = strtok_r(NULL, "\n", &rest)) {
    if (strncmp(line, "%% Contents for page", 20) == 0) {
      ++all.pages;
      s = (ops_state){.pen = 1};
      inside = true;
    } else if (strncmp(line, "endstream", 9) == 0) {
      inside = false;
    } else if (inside) {
      ops_line(&all, &s, line);
    }
  }
  free(out);
  ck_assert_uint_gt(all.count, 0);
  return all;
}

static void ops_free(ops *all) { free(all->items); }

/* Whether a bar in black lies under the stretch x0 to x1 of a line of text. */
static inline bool ops_barred(const ops *all, const op *text, double x0, double x1) {
  double em = text->h * 25.4 / 72, top = text->y + 0.15 * em; /* GW_MARK_GAP */
  for (size_t i = 0; i < all->count; ++i) {
    const op *o = &all->items[i];
    if (o->kind != OP_FILL || o->page != text->page || o->grey > 0) continue;
    double off = o->y > top ? o->y - top : top - o->y, thick = o->h / em;
    if (off < 0.03 && thick > 0.09 && thick < 0.11 && o->x < x0 + 0.05 && o->x + o->w > x1 - 0.05)
      return true;
  }
  return false;
}

#endif
