/* picture_sketch.c - one part, flat, as it stands, with the numbers of its
 * joints where they are to be written. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/picture_inner.h"

static const gw_pen PENCIL = {GW_STROKE_FULL, 0.3, 0};

/* ---- the pencil signs --------------------------------------------------------------- */

/* A spot `in` from the edge and `side` along it. */
static gw_spot from_edge(gw_spot at, double dx, double dy, double in, double side) {
  return (gw_spot){at.x - in * dx - side * dy, at.y - in * dy + side * dx};
}

/* Through these points: from the edge out along one side of the loop, over its
 * top, back along the other side and across the tail. */
static const double STROKE[][2] = {{0, 0}, {0.3, 0.06}, {0.66, 0.3}, {0.92, 0.3}, {1, 0.1},
                                   {0.88, -0.1}, {0.6, -0.06}, {0.36, 0.14}, {0.22, 0.42}};
enum { STROKE_POINTS = sizeof STROKE / sizeof *STROKE, STEPS = 6 };

/* One coordinate of a Catmull-Rom curve between the points i and i + 1. */
static double on_curve(int i, double t, int which) {
  double p[4];
  for (int k = 0; k < 4; ++k) {
    int at = i + k - 1;
    if (at < 0) at = 0;
    if (at >= STROKE_POINTS) at = STROKE_POINTS - 1;
    p[k] = STROKE[at][which];
  }
  return p[1] + t / 2 * (p[2] - p[0] + t * (2 * p[0] - 5 * p[1] + 4 * p[2] - p[3] +
                                            t * (3 * (p[1] - p[2]) + p[3] - p[0])));
}

void gw_draw_face_sign(gw_page *page, double x, double y, double dx, double dy, double size) {
  gw_spot spots[(STROKE_POINTS - 1) * STEPS + 1];
  size_t count = 0;
  for (int i = 0; i < STROKE_POINTS - 1; ++i)
    for (int k = 0; k < STEPS + (i == STROKE_POINTS - 2); ++k) {
      double t = (double)k / STEPS;
      spots[count++] = from_edge((gw_spot){x, y}, dx, dy, size * on_curve(i, t, 0),
                                 size * on_curve(i, t, 1));
    }
  gw_draw_polyline(page, PENCIL, spots, count, false);
}

void gw_draw_edge_sign(gw_page *page, double x, double y, double dx, double dy, double size) {
  const gw_spot at = {x, y};
  const gw_spot spots[3] = {from_edge(at, dx, dy, -0.9 * size, 0.42 * size), at,
                            from_edge(at, dx, dy, -0.9 * size, -0.42 * size)};
  gw_draw_polyline(page, PENCIL, spots, 3, false);
}

/* ---- which side, where it stands ---------------------------------------------------- */

gw_dir gw_sketch_side(const gw_sheets_job *job, int part) {
  const gw_part *p = &job->model->parts[part];
  int at_face = 0, at_back = 0;
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i) {
    at_face += job->model->halves[i].at == p->face;
    at_back += job->model->halves[i].at == gw_dir_back(p->face);
  }
  return at_back > at_face ? gw_dir_back(p->face) : p->face;
}

static gw_box standing(const gw_sheets_job *job, int part) {
  gw_box box;
  for (int axis = 0; axis < 3; ++axis) {
    box.lo[axis] = 0;
    box.hi[axis] = job->model->parts[part].size[axis];
  }
  return job->fit->placed ? gw_fit_around(job->fit, part) : box;
}

/* Where a half lies when the piece has no places: at its side, and as far from
 * the others as it says. */
static gw_box half_box(const gw_sheets_job *job, const gw_half *half, const gw_box *whole) {
  if (job->fit->placed && half->joint >= 0)
    return gw_half_place(job, (int)(half - job->model->halves));
  gw_box box = *whole;
  int axis = gw_dir_axis(half->at);
  if (gw_dir_sign(half->at) > 0) box.lo[axis] = box.hi[axis];
  else box.hi[axis] = box.lo[axis];
  for (int across = 0; across < 3; ++across) {
    gw_len low = half->from[gw_dir_of(across, -1)], high = half->from[gw_dir_of(across, 1)];
    if (across == axis) continue;
    if (low != GW_UNSET && low >= 0 && low < box.hi[across] - box.lo[across])
      box.lo[across] += low;
    if (high != GW_UNSET && high >= 0 && high < box.hi[across] - box.lo[across])
      box.hi[across] -= high;
  }
  return box;
}

/* ---- drawing ------------------------------------------------------------------------ */

typedef struct sketch {
  gw_page *page;
  const gw_sheets_job *job;
  const gw_part *part;
  gw_dir side;
  gw_box box;
  gw_scene scene;
  gw_setting_out set;
  gw_area body; /* of the part, on the page */
  gw_seen seen;
  gw_tag *tags;
  size_t n_tags;
} sketch;

static gw_area on_page(const sketch *s, const gw_box *box) {
  double lo[3], hi[3];
  for (int axis = 0; axis < 3; ++axis) {
    lo[axis] = gw_len_mm(box->lo[axis]);
    hi[axis] = gw_len_mm(box->hi[axis]);
  }
  gw_spot a = gw_set_out(&s->set, gw_view_spot(&s->scene.view, lo));
  gw_spot b = gw_set_out(&s->set, gw_view_spot(&s->scene.view, hi));
  return (gw_area){fmin(a.x, b.x), fmin(a.y, b.y), fabs(b.x - a.x), fabs(b.y - a.y)};
}

static gw_spot nearest_in(gw_area area, gw_spot spot) {
  return (gw_spot){fmin(fmax(spot.x, area.x), area.x + area.w),
                   fmin(fmax(spot.y, area.y), area.y + area.h)};
}

/* The number goes beside the joint, towards the middle of the part, half way along
 * the joint. */
static void tag_half(sketch *s, const gw_half *half) {
  const gw_mark *mark = &s->job->marks->joints[half->joint];
  gw_box box = half_box(s->job, half, &s->box);
  int run = s->job->fit->placed ? s->job->fit->seatings[half->joint].run : -1;
  if (run >= 0) box.lo[run] = box.hi[run] = box.lo[run] + (box.hi[run] - box.lo[run]) / 2;
  gw_area there = on_page(s, &box);
  gw_spot middle = {s->body.x + s->body.w / 2, s->body.y + s->body.h / 2};
  gw_tag *tag = &s->tags[s->n_tags++];
  *tag = (gw_tag){.bar = mark->bar, .seen = half->at != gw_dir_back(s->side),
                  .spot = nearest_in(there, middle), .home = s->body,
                  .own = {(int)(s->part - s->job->model->parts), -1}};
  memcpy(tag->text, mark->text, sizeof tag->text);
}

/* The way a direction of the piece points on paper. */
static gw_spot way_on_paper(const gw_view *view, gw_dir dir) {
  int axis = gw_dir_axis(dir), sign = gw_dir_sign(dir);
  return (gw_spot){view->u[axis] * sign, view->v[axis] * sign};
}

static void keep_free(sketch *s, gw_spot a, gw_spot b, double wide) {
  gw_area area = {fmin(a.x, b.x) - wide, fmin(a.y, b.y) - wide, fabs(b.x - a.x) + 2 * wide,
                  fabs(b.y - a.y) + 2 * wide};
  s->tags[s->n_tags++] = (gw_tag){.fixed = true, .place = area};
}

/* On the face edge, three tenths of the way along it, where the part leans. */
static gw_spot on_leaning_edge(const sketch *s) {
  const int index = (int)(s->part - s->job->model->parts), axis = gw_dir_axis(s->part->edge);
  const int along = gw_part_length_axis(s->part);
  const gw_stand stand = {.part = index};
  const gw_leaning lean = gw_leaning_of(s->job, &stand);
  const gw_box *box = &s->job->fit->boxes[index];
  double p[3];
  for (int i = 0; i < 3; ++i) p[i] = gw_len_mm(box->lo[i] + box->hi[i]) / 2;
  p[axis] = gw_len_mm(gw_dir_sign(s->part->edge) > 0 ? box->hi[axis] : box->lo[axis]);
  p[along] += 0.2 * gw_len_mm(box->hi[along] - box->lo[along]);
  gw_lean_point(&lean, p);
  return gw_set_out(&s->set, gw_view_spot(&s->scene.view, p));
}

/* The sign of the face edge outside of the edge it is on; the sign of the face
 * side inside, its tail running to that edge. */
static void draw_signs(sketch *s, double size) {
  gw_spot way = way_on_paper(&s->scene.view, s->part->edge);
  bool level = fabs(way.x) > fabs(way.y);
  gw_spot at = {s->body.x + s->body.w * 0.3, s->body.y + s->body.h * 0.3};
  if (level) at.x = way.x > 0 ? s->body.x + s->body.w : s->body.x;
  else at.y = way.y > 0 ? s->body.y + s->body.h : s->body.y;
  if (gw_fit_slants(s->job->fit, (int)(s->part - s->job->model->parts))) at = on_leaning_edge(s);
  gw_draw_edge_sign(s->page, at.x, at.y, way.x, way.y, size);
  keep_free(s, at, (gw_spot){at.x + size * way.x, at.y + size * way.y}, 0.42 * size);
  if (s->side != s->part->face) return;
  double deep = level ? s->body.w : s->body.h, loop = fmin(2 * size, 0.9 * deep);
  gw_draw_face_sign(s->page, at.x, at.y, way.x, way.y, loop);
  keep_free(s, at, (gw_spot){at.x - loop * way.x, at.y - loop * way.y}, 0.42 * loop);
}

static gw_status draw(sketch *s, gw_area area) {
  double least = fmin(area.w, area.h), size = fmin(3.2, 0.12 * least);
  double margin = size + 0.5;
  gw_stand stand = {.part = (int)(s->part - s->job->model->parts), .box = &s->box};
  GW_TRY(gw_scene_add_part(&s->scene, s->job, &stand));
  s->set = gw_scene_fit(&s->scene, (gw_area){area.x + margin, area.y + margin,
                                             area.w - 2 * margin, area.h - 2 * margin});
  s->body = on_page(s, &s->box);
  s->seen.ground = gw_ground_new(area);
  if (s->seen.ground == NULL) return GW_NO_MEMORY;
  GW_TRY(gw_scene_draw(s->page, &s->scene, &s->set, true, &s->seen));
  draw_signs(s, size);
  for (int i = s->part->first_half; i < s->part->first_half + s->part->n_halves; ++i)
    if (s->job->model->halves[i].joint >= 0) tag_half(s, &s->job->model->halves[i]);
  double type = gw_tags_place(gw_page_doc(s->page), area, s->seen.ground, s->tags, s->n_tags,
                              fmin(fmax(0.25 * least * 72 / 25.4, 7), 13));
  gw_tags_draw(s->page, s->tags, s->n_tags, type);
  return GW_OK;
}

void gw_sketch_draw(gw_page *page, gw_area area, const gw_sheets_job *job, int part, gw_dir side) {
  const gw_part *p = &job->model->parts[part];
  if (page == NULL || gw_doc_failed(gw_page_doc(page))) return;
  sketch s = {.page = page, .job = job, .part = p, .side = side, .box = standing(job, part),
              .scene = {.view = gw_view_from(side)}};
  s.tags = calloc((size_t)p->n_halves + 2, sizeof *s.tags);
  gw_status status = s.tags == NULL ? GW_NO_MEMORY : draw(&s, area);
  gw_doc_fail(gw_page_doc(page), status, "memory is short");
  gw_ground_free(s.seen.ground);
  gw_seen_clear(&s.seen);
  gw_scene_clear(&s.scene);
  free(s.tags);
}
