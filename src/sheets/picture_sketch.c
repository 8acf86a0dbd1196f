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

#define APART 2.2 /* from a dot to the ring of what lies behind it, mm */

static bool too_near(gw_spot a, gw_spot b) { return hypot(a.x - b.x, a.y - b.y) < 0.6 * APART; }

/* A ring behind a dot, or behind another ring, stands beside it, towards the middle of the
 * part, so that each number has its own. */
static void part_rings(sketch *s) {
  for (size_t i = 0; i < s->n_tags; ++i) {
    gw_tag *ring = &s->tags[i];
    if (ring->seen) continue;
    for (size_t k = 0; k < s->n_tags; ++k) {
      if (k == i || (!s->tags[k].seen && k > i) || !too_near(ring->spot, s->tags[k].spot)) continue;
      double by = ring->spot.x > s->body.x + s->body.w / 2 ? -APART : APART;
      if (s->body.w > 2 * APART) ring->spot.x += by;
    }
  }
}

/* The way a direction of the piece points on paper. */
static gw_spot way_on_paper(const gw_view *view, gw_dir dir) {
  int axis = gw_dir_axis(dir), sign = gw_dir_sign(dir);
  return (gw_spot){view->u[axis] * sign, view->v[axis] * sign};
}

/* On the face edge, so far along it, where the part leans. */
static gw_spot on_leaning_edge(const sketch *s, double along_it) {
  const int index = (int)(s->part - s->job->model->parts), axis = gw_dir_axis(s->part->edge);
  const int along = gw_part_length_axis(s->part);
  const gw_stand stand = {.part = index};
  const gw_leaning lean = gw_leaning_of(s->job, &stand);
  const gw_box *box = &s->job->fit->boxes[index];
  double p[3];
  for (int i = 0; i < 3; ++i) p[i] = gw_len_mm(box->lo[i] + box->hi[i]) / 2;
  p[axis] = gw_len_mm(gw_dir_sign(s->part->edge) > 0 ? box->hi[axis] : box->lo[axis]);
  double from_middle = gw_len_mm(box->hi[along] - box->lo[along]) * (0.5 - along_it);
  p[along] += from_middle;
  gw_lean_point(&lean, p);
  return gw_set_out(&s->set, gw_view_spot(&s->scene.view, p));
}

/* Where the signs stand: the end of the loop's tail and the point of the V, and the
 * areas that the two take. */
typedef struct signs {
  gw_spot at, way;
  double loop;
  gw_area of_edge, of_face;
} signs;

static gw_area strip_to(gw_spot a, gw_spot b, double wide) {
  return (gw_area){fmin(a.x, b.x) - wide, fmin(a.y, b.y) - wide, fabs(b.x - a.x) + 2 * wide,
                   fabs(b.y - a.y) + 2 * wide};
}

static signs signs_at(const sketch *s, double size, double along_it) {
  signs out = {.way = way_on_paper(&s->scene.view, s->part->edge)};
  gw_spot way = out.way, at = {s->body.x + s->body.w * along_it, s->body.y + s->body.h * along_it};
  bool level = fabs(way.x) > fabs(way.y);
  if (level) at.x = way.x > 0 ? s->body.x + s->body.w : s->body.x;
  else at.y = way.y > 0 ? s->body.y + s->body.h : s->body.y;
  if (gw_fit_slants(s->job->fit, (int)(s->part - s->job->model->parts)))
    at = on_leaning_edge(s, along_it);
  out.at = at;
  out.loop = fmin(2 * size, 0.9 * (level ? s->body.w : s->body.h));
  out.of_edge = strip_to(at, (gw_spot){at.x + size * way.x, at.y + size * way.y}, 0.42 * size);
  out.of_face = strip_to(at, (gw_spot){at.x - out.loop * way.x, at.y - out.loop * way.y},
                         0.42 * out.loop);
  return out;
}

static bool over(gw_area a, gw_area b, double by) {
  return a.x < b.x + b.w + by && b.x < a.x + a.w + by && a.y < b.y + b.h + by &&
         b.y < a.y + a.h + by;
}

#define SIGN_NEAR 0.6 /* a joint so near to a sign is in its way, mm */

/* What is in the way of the signs: lines, joints and their marks' spots. */
static double in_the_way(const sketch *s, const signs *at) {
  double cost = gw_ground_lines(s->seen.ground, at->of_edge);
  bool face = s->side == s->part->face;
  if (face) cost += gw_ground_lines(s->seen.ground, at->of_face);
  for (size_t i = 0; i < s->n_tags; ++i) {
    gw_area spot = {s->tags[i].spot.x - 0.5, s->tags[i].spot.y - 0.5, 1, 1};
    cost += 3 * over(at->of_edge, spot, SIGN_NEAR);
    cost += 6 * (face && over(at->of_face, spot, SIGN_NEAR));
  }
  for (int i = s->part->first_half; face && i < s->part->first_half + s->part->n_halves; ++i) {
    if (s->job->model->halves[i].joint < 0) continue;
    gw_box box = half_box(s->job, &s->job->model->halves[i], &s->box);
    cost += 2 * over(at->of_face, on_page(s, &box), 0);
  }
  return cost;
}

/* The sign of the face edge outside of the edge it is on; the sign of the face side
 * inside, its tail running to that edge: where least is in their way, three tenths
 * along the edge if they are free there. */
static void draw_signs(sketch *s, double size) {
  static const double along[] = {0.3, 0.25, 0.35, 0.2, 0.4, 0.65, 0.7, 0.6,
                                 0.75, 0.45, 0.55, 0.15, 0.85};
  signs best = signs_at(s, size, along[0]);
  double least = in_the_way(s, &best);
  for (size_t i = 1; i < sizeof along / sizeof *along; ++i) {
    signs other = signs_at(s, size, along[i]);
    double cost = in_the_way(s, &other);
    if (cost >= least - 0.5) continue;
    least = cost;
    best = other;
  }
  gw_draw_edge_sign(s->page, best.at.x, best.at.y, best.way.x, best.way.y, size);
  s->tags[s->n_tags++] = (gw_tag){.fixed = true, .place = best.of_edge};
  if (s->side != s->part->face) return;
  gw_draw_face_sign(s->page, best.at.x, best.at.y, best.way.x, best.way.y, best.loop);
  s->tags[s->n_tags++] = (gw_tag){.fixed = true, .place = best.of_face};
}

/* ---- slender parts ------------------------------------------------------------------ */

#define SLENDER 8.0   /* so many times as long as wide */
#define SHOWN 0.42    /* of a slender part, when all its joints are at one end */
#define SHOWN_MORE 1.3

/* How far from the end of a part its halves reach, of its length: from the lower end
 * of the axis, or from the higher one. */
static double reach_from(const sketch *s, int axis, bool high) {
  double most = 0, length = gw_len_mm(s->box.hi[axis] - s->box.lo[axis]);
  for (int i = s->part->first_half; i < s->part->first_half + s->part->n_halves; ++i) {
    const gw_half *half = &s->job->model->halves[i];
    if (half->joint < 0) continue;
    gw_box box = half_box(s->job, half, &s->box);
    double off = gw_len_mm(high ? s->box.hi[axis] - box.lo[axis] : box.hi[axis] - s->box.lo[axis]);
    most = fmax(most, off / length);
  }
  return most;
}

/* A leg whose joints are all at one end is torn off below them, so that these can be
 * drawn large: the plane where, and s->box is what is left.  False when it is shown whole. */
static bool tear(sketch *s, gw_plane *plane) {
  int axis = gw_part_length_axis(s->part), across = 0;
  gw_dir face = s->side;
  for (int i = 0; i < 3; ++i)
    if (i != axis && i != (int)gw_dir_axis(face)) across = i;
  double length = gw_len_mm(s->box.hi[axis] - s->box.lo[axis]);
  double width = gw_len_mm(s->box.hi[across] - s->box.lo[across]);
  if (axis == (int)gw_dir_axis(face) || length < SLENDER * width || s->part->n_halves == 0 ||
      gw_fit_slants(s->job->fit, (int)(s->part - s->job->model->parts)))
    return false;
  bool high = reach_from(s, axis, true) < reach_from(s, axis, false);
  if (SHOWN_MORE * reach_from(s, axis, high) > SHOWN) return false;
  gw_len shown = (gw_len)(SHOWN * (double)(s->box.hi[axis] - s->box.lo[axis]));
  if (high) s->box.lo[axis] = s->box.hi[axis] - shown;
  else s->box.hi[axis] = s->box.lo[axis] + shown;
  *plane = (gw_plane){.torn = true};
  plane->n[axis] = high ? -1 : 1;
  plane->at = plane->n[axis] * gw_len_mm(high ? s->box.lo[axis] : s->box.hi[axis]);
  return true;
}

/* The torn edge: to and fro across the part, its middle along the plane. */
static void draw_tear(const sketch *s, const gw_plane *plane) {
  enum { TEETH = 8 };
  gw_spot spots[TEETH + 1];
  int axis = gw_part_length_axis(s->part);
  gw_spot way = way_on_paper(&s->scene.view, gw_dir_of(axis, plane->n[axis] > 0 ? 1 : -1));
  bool level = fabs(way.x) > fabs(way.y);
  double wide = level ? s->body.h : s->body.w, deep = fmin(0.6, wide / TEETH);
  double x = way.x > 0 ? s->body.x + s->body.w : s->body.x;
  double y = way.y > 0 ? s->body.y + s->body.h : s->body.y;
  for (int i = 0; i <= TEETH; ++i) {
    double along = wide * i / TEETH, out = i % 2 == 0 ? 0 : i % 4 == 1 ? deep : -deep;
    spots[i] = level ? (gw_spot){x + out, s->body.y + along}
                     : (gw_spot){s->body.x + along, y + out};
  }
  gw_draw_polyline(s->page, PENCIL, spots, TEETH + 1, false);
}

static gw_status draw(sketch *s, gw_area area) {
  double least = fmin(area.w, area.h), size = fmin(3.2, 0.12 * least);
  double margin = size + 0.5;
  gw_plane plane;
  const gw_box whole = s->box;
  bool torn = tear(s, &plane);
  gw_stand stand = {.part = (int)(s->part - s->job->model->parts), .box = &whole,
                    .window = &plane, .n_window = torn};
  GW_TRY(gw_scene_add_part(&s->scene, s->job, &stand));
  s->set = gw_scene_fit(&s->scene, (gw_area){area.x + margin, area.y + margin,
                                             area.w - 2 * margin, area.h - 2 * margin});
  s->body = on_page(s, &s->box);
  s->seen.ground = gw_ground_new(area);
  if (s->seen.ground == NULL) return GW_NO_MEMORY;
  GW_TRY(gw_scene_draw(s->page, &s->scene, &s->set, true, &s->seen));
  if (torn) draw_tear(s, &plane);
  for (int i = s->part->first_half; i < s->part->first_half + s->part->n_halves; ++i)
    if (s->job->model->halves[i].joint >= 0) tag_half(s, &s->job->model->halves[i]);
  part_rings(s);
  draw_signs(s, size);
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
