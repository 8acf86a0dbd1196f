/* labels_draw.c - what stands on one label. */
#include <math.h>
#include <string.h>

#include "sheets/labels_inner.h"
#include "sheets/picture_inner.h"

#define MM_PT (72.0 / 25.4)

void gw_label_box(gw_page *page, gw_area area, gw_type type, double least, const char *text) {
  gw_doc *doc = gw_page_doc(page);
  if (gw_doc_failed(doc) || area.w < 1 || area.h <= 0) return;
  while (type.size - 0.5 >= least && gw_text_box_height(doc, area.w, type, text) > area.h)
    type.size -= 0.5;
  gw_text_box(page, area, type, GW_ALIGN_LEFT, text);
}

/* The sign of the copy, empty when one is made. */
static const char *set_sign(const gw_sheets_job *job, int copy, char buffer[GW_MARK_TEXT]) {
  if (gw_mark_set(copy, job->model->copies, buffer) != GW_OK) buffer[0] = '\0';
  return buffer;
}

/* A mark and the sign of its copy at most `width` mm wide, its baseline at y.
 * The sign is set smaller and carries no bar.  Returns the width. */
static double draw_mark(gw_page *page, double x, double y, double width, double size,
                        const gw_mark *mark, const char *sign) {
  gw_doc *doc = gw_page_doc(page);
  double of_mark = gw_text_mark_width(doc, size, mark->text);
  double of_sign = sign[0] == '\0' ? 0 : gw_text_mark_width(doc, 0.6 * size, sign) + 0.05 * size;
  double whole = of_mark + of_sign;
  if (whole <= 0) return 0;
  if (whole > width) size *= width / whole;
  double used = gw_text_mark(page, x, y, size, mark->text, mark->bar);
  if (sign[0] != '\0')
    used += 0.05 * size + gw_text_mark(page, x + used + 0.05 * size, y, 0.6 * size, sign, false);
  return used;
}

/* ---- a part's label ----------------------------------------------------------------- */

typedef struct label {
  gw_page *page;
  gw_doc *doc;
  const gw_sheets_job *job;
  const gw_part *part;
  int index, copy;
  double k;     /* how large, 1 for a label of about 88 x 60 mm */
  gw_area free; /* not yet written on */
} label;

/* 20 minutes of arc at 0.7 m: NUREG-0700 Rev 3, 11.4.1.5-1. */
static double bench_size(gw_doc *doc) {
  return gw_type_size_for(0.7, 20, gw_cap_ratio(doc, GW_FACE_BOLD));
}

static const char *part_name(const gw_part *p) { return p->name != NULL ? p->name : p->id; }

/* Names are cut short rather than set smaller than this, points. */
#define LEAST 5.0

static gw_type small(const label *l) { return GW_TYPE(fmax(9 * l->k, LEAST)); }

/* The two pencil signs, and where face side and face edge point: two lines, the
 * first with its baseline at y. */
static void draw_sides(label *l, double x, double y, double width) {
  char words[64];
  double line = gw_line_height(small(l)), sign = 0.85 * line;
  gw_draw_face_sign(l->page, x + sign * 0.35, y + 0.15 * line, 0, 1, sign);
  snprintf(words, sizeof words, "face side: %s", gw_dir_name(l->part->face));
  gw_text_fit(l->page, x + sign + 0.6, y, width - sign - 0.6, small(l), 4, GW_ALIGN_LEFT, words);
  gw_draw_edge_sign(l->page, x + sign * 0.4, y + line + 0.05 * line, 0, -1, 0.8 * sign);
  snprintf(words, sizeof words, "face edge: %s", gw_dir_name(l->part->edge));
  gw_text_fit(l->page, x + sign + 0.6, y + line, width - sign - 0.6, small(l), 4, GW_ALIGN_LEFT,
              words);
}

/* The letter at the left; the name beside it, under that size and material. */
static void draw_head(label *l, bool sides_too) {
  char sign[GW_MARK_TEXT], size[96];
  const gw_mark *mark = &l->job->marks->parts[l->index];
  double letter = fmax(46 * l->k, bench_size(l->doc));
  double cap = gw_cap_height(l->doc, GW_TYPE_BOLD(letter)), line = gw_line_height(small(l));
  gw_area *f = &l->free;
  double high = fmax(cap + 1, 15.5 * l->k), for_name = high - 2 * line;
  double used = draw_mark(l->page, f->x, f->y + cap, 0.42 * f->w, letter, mark,
                          set_sign(l->job, l->copy, sign));
  double x = f->x + used + 3 * l->k, wide = f->x + f->w - x, y = f->y + for_name + 0.75 * line;
  gw_label_box(l->page, (gw_area){x, f->y, wide, for_name},
               GW_TYPE_BOLD(fmin(13 * l->k, for_name * MM_PT / 1.31)), 4, part_name(l->part));
  if (sides_too) draw_sides(l, x + 0.52 * wide, y, 0.48 * wide);
  if (sides_too) wide *= 0.48;
  gw_sheets_size(l->job, l->index, size, sizeof size);
  gw_text_fit(l->page, x, y, wide, small(l), 4, GW_ALIGN_LEFT, size);
  if (l->part->material != NULL)
    gw_text_fit(l->page, x, y + line, wide, small(l), LEAST, GW_ALIGN_LEFT, l->part->material);
  f->y += high + 1.5 * l->k;
  f->h -= high + 1.5 * l->k;
}

/* The joint's number and the letter of the part at its other end. */
static void add_neighbour(const label *l, int joint, char *words, size_t room) {
  char number[GW_MARK_SHOWN];
  const gw_joint *j = &l->job->model->joints[joint];
  int other = gw_joint_enters(l->job->model, j);
  if (other == l->index) other = gw_joint_receives(l->job->model, j);
  size_t used = strlen(words);
  /* A no-break space and arrow: a number stays with its letter. */
  snprintf(words + used, room - used, "%s%s\xC2\xA0\xE2\x86\x92\xC2\xA0%s", used > 0 ? ", " : "",
           gw_mark_show(&l->job->marks->joints[joint], number), l->job->marks->parts[other].text);
}

enum { NEIGHBOURS_ROOM = 4096 };

/* In the order of the joints' numbers, along the foot of what is free; at most
 * `share` of it. */
static void draw_neighbours(label *l, double share) {
  char words[NEIGHBOURS_ROOM] = "";
  const gw_model *m = l->job->model;
  for (int k = 0; k < m->n_joints; ++k) {
    int joint = l->job->marks->joint_walk[k];
    const gw_joint *j = &m->joints[joint];
    if (gw_joint_enters(m, j) == l->index || gw_joint_receives(m, j) == l->index)
      add_neighbour(l, joint, words, sizeof words - 1);
  }
  gw_type type = small(l);
  double most = fmax(gw_line_height(type), share * l->free.h);
  double high = fmin(gw_text_box_height(l->doc, l->free.w, type, words), most);
  if (words[0] == '\0' || l->free.h < high) return;
  gw_label_box(l->page, (gw_area){l->free.x, l->free.y + l->free.h - high, l->free.w, high + 0.01},
               type, 4, words);
  l->free.h -= high + 0.8;
}

/* Up, as the sketch shows it: an arrow, or a ring when up is towards whoever
 * looks (a dot) or away (a cross). */
static void draw_up(label *l, gw_area area, gw_dir side) {
  double x = area.x + area.w / 2, type = fmax(8 * l->k, 5), cap = type / MM_PT;
  double bottom = area.y + area.h - cap - 1.5, top = fmax(area.y + 1, bottom - 30 * l->k);
  if (gw_dir_axis(side) != GW_Z) {
    gw_draw_arrow(l->page, (gw_pen){GW_STROKE_FULL, 0.7, 0}, x, bottom, x, top,
                  fmin(4 * l->k, (bottom - top) / 2));
    gw_text_fit(l->page, x, area.y + area.h - 0.6, area.w, GW_TYPE_BOLD(type), 4, GW_ALIGN_CENTRE,
                "up");
    return;
  }
  double r = fmin(3 * l->k, 0.3 * area.w), y = (top + bottom) / 2;
  gw_pen pen = {GW_STROKE_FULL, 0.5, 0};
  gw_draw_circle(l->page, pen, x, y, r);
  if (side == GW_UP) gw_fill_circle(l->page, 0, x, y, 0.3 * r);
  else {
    double d = r * 0.7;
    gw_draw_line(l->page, pen, x - d, y - d, x + d, y + d);
    gw_draw_line(l->page, pen, x - d, y + d, x + d, y - d);
  }
  gw_text_fit(l->page, x, area.y + area.h - 0.6, area.w, GW_TYPE_BOLD(type), 4, GW_ALIGN_CENTRE,
              side == GW_UP ? "up: to you" : "up: away");
}

static const char *seen_from(gw_dir side) {
  static const char *const words[6] = {
      "seen from the left", "seen from the right", "seen from the front", "seen from the back",
      "seen from below, front above", "seen from above, front below"};
  return words[side];
}

#define SKETCH_LEAST 11.0 /* mm; below that there is no sketch */

static double caption_height(label *l, double wide, double type, gw_dir side) {
  return gw_text_box_height(l->doc, wide, GW_TYPE(type), seen_from(side));
}

static void draw_sketch(label *l, gw_area f, gw_dir side) {
  double wide = gw_dir_axis(side) == GW_Z ? 15 : 10; /* for its words */
  double beside = fmin(wide * l->k, 0.3 * f.w), type = fmax(7 * l->k, LEAST);
  double caption = caption_height(l, f.w - beside - 1.5 * l->k, type, side);
  gw_area area = {f.x, f.y, f.w - beside, f.h - caption};
  if (area.h < SKETCH_LEAST || area.w < SKETCH_LEAST) return;
  gw_sketch_draw(l->page, area, l->job, l->index, side);
  gw_label_box(l->page, (gw_area){f.x, f.y + f.h - caption, f.w - beside - 1.5 * l->k,
                                  caption + 0.01}, GW_TYPE(type), 4, seen_from(side));
  draw_up(l, (gw_area){area.x + area.w, area.y, beside, f.h}, side);
}

/* Whether the sketch is taller than wide and better stands in a column. */
static bool is_tall(const gw_part *p, gw_dir side) {
  gw_view view = gw_view_from(side);
  double wide = 0, high = 0;
  for (int axis = 0; axis < 3; ++axis) {
    wide += fabs(view.u[axis]) * gw_len_mm(p->size[axis]);
    high += fabs(view.v[axis]) * gw_len_mm(p->size[axis]);
  }
  return high > 1.3 * wide;
}

/* All words at the left, the sketch at the right from top to bottom. */
static void draw_tall(label *l, gw_dir side) {
  double column = 0.45 * l->free.w, line = gw_line_height(small(l));
  gw_area right = {l->free.x + l->free.w - column + 2, l->free.y, column - 2, l->free.h};
  l->free.w -= column;
  draw_head(l, false);
  draw_sides(l, l->free.x, l->free.y + 0.8 * line, l->free.w);
  l->free.y += 2.4 * line;
  l->free.h -= 2.4 * line;
  draw_neighbours(l, 1);
  draw_sketch(l, right, side);
}

/* On a small label: no sketch, and the words beside the letter. */
static void draw_compact(label *l) {
  char sign[GW_MARK_TEXT], size[96];
  const gw_mark *mark = &l->job->marks->parts[l->index];
  gw_area *f = &l->free;
  double letter = fmax(0.4 * f->h * MM_PT / gw_cap_ratio(l->doc, GW_FACE_BOLD), bench_size(l->doc));
  double cap = gw_cap_height(l->doc, GW_TYPE_BOLD(letter));
  gw_type type = GW_TYPE(fmin(fmax(6.5 * l->k / 0.4, LEAST), 8));
  double line = gw_line_height(type);
  double used = draw_mark(l->page, f->x, f->y + cap, 0.42 * f->w, letter, mark,
                          set_sign(l->job, l->copy, sign));
  double x = f->x + used + 1.5, wide = f->x + f->w - x, high = fmax(cap + 0.5, 3 * line);
  gw_label_box(l->page, (gw_area){x, f->y, wide, high - line}, GW_TYPE_BOLD(type.size), LEAST,
               part_name(l->part));
  gw_sheets_size(l->job, l->index, size, sizeof size);
  gw_text_fit(l->page, x, f->y + high - 0.25 * line, wide, type, 4, GW_ALIGN_LEFT, size);
  f->y += high;
  f->h -= high;
  draw_neighbours(l, 0.5);
  if (f->h >= 2 * gw_line_height(small(l)))
    draw_sides(l, f->x, f->y + 0.75 * gw_line_height(small(l)), f->w);
}

#define COMPACT 26.0 /* mm; labels lower than this have no room for a sketch */

void gw_label_part(gw_page *page, gw_area area, const gw_sheets_job *job, int part, int copy) {
  double pad = fmin(2.5, 0.06 * fmin(area.w, area.h));
  gw_area inner = {area.x + pad, area.y + pad, area.w - 2 * pad, area.h - 2 * pad};
  label l = {page, gw_page_doc(page), job, &job->model->parts[part], part, copy, 1, inner};
  if (page == NULL || gw_doc_failed(l.doc)) return;
  l.k = fmin(1.5, fmin(inner.w / 88, inner.h / 60));
  gw_dir side = gw_sketch_side(job, part);
  if (inner.h < COMPACT) {
    draw_compact(&l);
    return;
  }
  if (is_tall(l.part, side)) {
    draw_tall(&l, side);
    return;
  }
  draw_head(&l, true);
  if (l.free.h >= 2) draw_neighbours(&l, 0.35);
  draw_sketch(&l, l.free, side);
}

/* ---- a half's label ----------------------------------------------------------------- */

enum { HALF_WORDS = 256 };

static gw_area half_inside(gw_area area) {
  double pad = fmin(2, 0.08 * fmin(area.w, area.h));
  return (gw_area){area.x + pad, area.y + pad, area.w - 2 * pad, area.h - 2 * pad};
}

static double half_scale(gw_area in) { return fmin(1.6, fmin(in.w / 27, in.h / 17)); }

/* What the half is, and with its part's name where that is wanted. */
static const char *half_kind(const gw_sheets_job *job, const gw_half *half, bool name,
                             char words[HALF_WORDS]) {
  snprintf(words, HALF_WORDS, "%.60s", half->element);
  for (char *at = words; *at != '\0'; ++at)
    if (*at == '-') *at = ' ';
  size_t used = strlen(words);
  if (name)
    snprintf(words + used, HALF_WORDS - used, ", %.160s",
             part_name(&job->model->parts[half->part]));
  return words;
}

static const char *half_meets(const gw_sheets_job *job, const gw_half *half,
                              char words[HALF_WORDS]) {
  const gw_model *m = job->model;
  const gw_joint *j = &m->joints[half->joint];
  int other = half->enters ? gw_joint_receives(m, j) : gw_joint_enters(m, j);
  snprintf(words, HALF_WORDS, "meets %s, %.200s", job->marks->parts[other].text,
           part_name(&m->parts[other]));
  return words;
}

#define HALF_TYPE 7.0  /* points, on a label of the least size */
#define HALF_LEAST 5.5 /* not smaller for all because of a long name on one */

gw_half_style gw_label_half_style(gw_doc *doc, gw_area area, const gw_sheets_job *job) {
  gw_area in = half_inside(area);
  gw_half_style style = {fmax(HALF_TYPE * half_scale(in), 4), true};
  char words[HALF_WORDS];
  double meets = 0, named = 0;
  for (int i = 0; i < job->model->n_halves && !gw_doc_failed(doc); ++i) {
    const gw_half *half = &job->model->halves[i];
    if (half->joint < 0) continue;
    meets = fmax(meets, gw_text_width(doc, GW_TYPE(style.type), half_meets(job, half, words)));
    const char *kind = half_kind(job, half, true, words);
    named = fmax(named, gw_text_width(doc, GW_TYPE(style.type), kind));
  }
  double least = fmin(style.type, HALF_LEAST);
  if (meets > in.w) style.type = fmax(least, style.type * in.w / meets);
  style.names = named * style.type / fmax(HALF_TYPE * half_scale(in), 4) <= in.w;
  return style;
}

void gw_label_half(gw_page *page, gw_area area, const gw_sheets_job *job, int index, int copy,
                   const gw_half_style *style) {
  const gw_half *half = &job->model->halves[index];
  const gw_mark *mark = &job->marks->joints[half->joint];
  char sign[GW_MARK_TEXT], words[HALF_WORDS];
  gw_area in = half_inside(area);
  gw_doc *doc = gw_page_doc(page);
  if (page == NULL || gw_doc_failed(doc)) return;
  double k = half_scale(in), type = style->type;
  double line = gw_line_height(GW_TYPE(type)), high = in.h - 2 * line;
  double size = fmin(0.66 * high, 14) / gw_cap_ratio(doc, GW_FACE_BOLD) * MM_PT;
  double cap = gw_cap_height(doc, GW_TYPE_BOLD(size));
  draw_mark(page, in.x, in.y + cap, 0.6 * in.w, size, mark, set_sign(job, copy, sign));
  double letter = fmin(size, 20 * k);
  gw_text_fit(page, in.x + in.w, in.y + gw_cap_height(doc, GW_TYPE_BOLD(letter)), 0.36 * in.w,
              GW_TYPE_BOLD(letter), 5, GW_ALIGN_RIGHT, job->marks->parts[half->part].text);
  gw_text_fit(page, in.x, in.y + in.h - line - 0.25 * line, in.w, GW_TYPE(type), fmin(type, LEAST),
              GW_ALIGN_LEFT, half_kind(job, half, style->names, words));
  gw_text_fit(page, in.x, in.y + in.h - 0.25 * line, in.w, GW_TYPE(type), fmin(type, LEAST),
              GW_ALIGN_LEFT, half_meets(job, half, words));
}
