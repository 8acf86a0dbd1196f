/* picture.c - isometric drawings of placed parts.  See picture.h. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/picture_inner.h"

/* Widths of lines 2 : 1 as in ISO 128 (from memory), one group below those of
 * the canvas since drawings are small. */
static const gw_pen EDGE = {GW_STROKE_FULL, 0.35, 0};
static const gw_pen DETAIL = {GW_STROKE_FULL, 0.18, 0};
static const gw_pen HIDDEN = {GW_STROKE_DASHED, 0.18, 0.35};

static const double GREYS[GW_SHADES] = {[GW_SHADE_TOP] = 0.97, [GW_SHADE_FRONT] = 0.91,
                                        [GW_SHADE_SIDE] = 0.84, [GW_SHADE_CUT] = 0.66,
                                        [GW_SHADE_NONE] = 1};

/* ---- setting out -------------------------------------------------------------------- */

gw_setting_out gw_scene_fit(const gw_scene *scene, gw_area area) {
  gw_area all = gw_scene_bounds(scene);
  double across = all.w > 0 ? area.w / all.w : 1, down = all.h > 0 ? area.h / all.h : 1;
  gw_setting_out set = {.scale = fmin(across, down)};
  set.x = area.x + area.w / 2 - set.scale * (all.x + all.w / 2);
  set.y = area.y + area.h / 2 - set.scale * (all.y + all.h / 2);
  return set;
}

gw_spot gw_set_out(const gw_setting_out *set, gw_spot paper) {
  return (gw_spot){set->scale * paper.x + set->x, set->scale * paper.y + set->y};
}

static gw_spot spot_of(const gw_scene *scene, const gw_setting_out *set, const double p[3]) {
  return gw_set_out(set, gw_view_spot(&scene->view, p));
}

/* ---- facets and edges --------------------------------------------------------------- */

/* Notes a piece as its part's best when it holds more than the one before:
 * twice its area over its outline is about how large a letter it takes. */
static void note_best(gw_face_spot *best, const gw_piece *piece) {
  double twice = 0, outline = 0;
  gw_spot middle = {0, 0};
  for (int i = 0; i < piece->n; ++i) {
    gw_spot a = piece->spots[i], b = piece->spots[(i + 1) % piece->n];
    double part = a.x * b.y - b.x * a.y;
    twice += part;
    middle.x += (a.x + b.x) * part;
    middle.y += (a.y + b.y) * part;
    outline += hypot(b.x - a.x, b.y - a.y);
  }
  if (outline <= 0 || fabs(twice) <= 0 || fabs(twice) / outline <= best[piece->part].size + 1e-9)
    return;
  best[piece->part].size = fabs(twice) / outline;
  best[piece->part].spot = (gw_spot){middle.x / (3 * twice), middle.y / (3 * twice)};
}

typedef struct fills { gw_spot *spots; size_t *counts; size_t n_spots, n; } fills;

static void fill_shade(gw_page *page, const gw_setting_out *set, const gw_piece *pieces,
                       size_t count, int shade, fills *f) {
  f->n = f->n_spots = 0;
  for (size_t i = 0; i < count; ++i) {
    if (pieces[i].shade != shade) continue;
    for (int k = 0; k < pieces[i].n; ++k)
      f->spots[f->n_spots++] = gw_set_out(set, pieces[i].spots[k]);
    f->counts[f->n++] = (size_t)pieces[i].n;
  }
  gw_fill_polygons(page, GREYS[shade], f->spots, f->counts, f->n);
}

static gw_status fill_all(gw_page *page, const gw_setting_out *set, const gw_piece *pieces,
                          size_t count) {
  fills f = {malloc((count + 1) * GW_PIECE_MOST * sizeof *f.spots),
             malloc((count + 1) * sizeof *f.counts), 0, 0};
  gw_status status = f.spots == NULL || f.counts == NULL ? GW_NO_MEMORY : GW_OK;
  for (int shade = 0; shade < GW_SHADES && status == GW_OK; ++shade)
    fill_shade(page, set, pieces, count, shade, &f);
  free(f.spots);
  free(f.counts);
  return status;
}

static gw_status draw_facets(gw_page *page, const gw_scene *scene, const gw_setting_out *set,
                             gw_face_spot *best) {
  gw_piece *pieces = NULL;
  size_t count = 0, room = 0;
  gw_status status = GW_OK;
  for (size_t i = 0; i < scene->n_facets && status == GW_OK; ++i)
    status = gw_scene_pieces(scene, &scene->facets[i], &pieces, &count, &room);
  if (status == GW_OK) status = fill_all(page, set, pieces, count);
  for (size_t i = 0; i < count && best != NULL && status == GW_OK; ++i)
    if (pieces[i].shade != GW_SHADE_CUT) note_best(best, &pieces[i]);
  free(pieces);
  return status;
}

static void draw_stretch(gw_page *page, const gw_setting_out *set, gw_pen pen, gw_spot a,
                         gw_spot b, gw_stretch s) {
  gw_spot p = gw_set_out(set, (gw_spot){a.x + s.from * (b.x - a.x), a.y + s.from * (b.y - a.y)});
  gw_spot q = gw_set_out(set, (gw_spot){a.x + s.to * (b.x - a.x), a.y + s.to * (b.y - a.y)});
  if (hypot(q.x - p.x, q.y - p.y) >= 0.05) gw_draw_line(page, pen, p.x, p.y, q.x, q.y);
}

enum { STRETCHES = 128 };

static void draw_edge(gw_page *page, const gw_scene *scene, const gw_setting_out *set,
                      const gw_edge *edge, bool dashes) {
  gw_stretch seen[STRETCHES];
  size_t count = gw_scene_seen(scene, edge, seen, STRETCHES);
  gw_spot a = gw_view_spot(&scene->view, edge->a), b = gw_view_spot(&scene->view, edge->b);
  double from = 0;
  for (size_t i = 0; dashes && i <= count; ++i) {
    double to = i < count ? seen[i].from : 1;
    draw_stretch(page, set, HIDDEN, a, b, (gw_stretch){from, to});
    from = i < count ? seen[i].to : 1;
  }
  for (size_t i = 0; !dashes && i < count; ++i)
    draw_stretch(page, set, edge->thin ? DETAIL : EDGE, a, b, seen[i]);
}

gw_status gw_scene_draw(gw_page *page, const gw_scene *scene, const gw_setting_out *set,
                        bool dashes, gw_face_spot *best) {
  GW_TRY(draw_facets(page, scene, set, best));
  for (size_t i = 0; i < scene->n_edges && dashes; ++i)
    draw_edge(page, scene, set, &scene->edges[i], true);
  for (int thin = 1; thin >= 0; --thin)
    for (size_t i = 0; i < scene->n_edges; ++i)
      if (scene->edges[i].thin == (thin == 1)) draw_edge(page, scene, set, &scene->edges[i], false);
  return GW_OK;
}

gw_spot gw_scene_spot_of(const gw_scene *scene, const gw_setting_out *set, const gw_box *box,
                         const double shift[3], bool *seen) {
  double middle[3], best = INFINITY;
  for (int axis = 0; axis < 3; ++axis)
    middle[axis] = gw_len_mm((box->lo[axis] + box->hi[axis]) / 2) + shift[axis];
  gw_spot spot = spot_of(scene, set, middle);
  *seen = false;
  for (int i = 0; i < 27; ++i) {
    const int third[3] = {i % 3, i / 3 % 3, i / 9};
    double p[3], away = 0;
    for (int axis = 0; axis < 3; ++axis) {
      double half = gw_len_mm(box->hi[axis] - box->lo[axis]) / 2;
      p[axis] = middle[axis] + (third[axis] - 1) * half;
      away += (third[axis] != 1) * half * half;
    }
    if (away >= best - 1e-9 || gw_scene_hides(scene, p)) continue;
    best = away;
    *seen = true;
    spot = spot_of(scene, set, p);
  }
  return spot;
}

/* ---- pulled apart ------------------------------------------------------------------- */

typedef struct drawing {
  gw_page *page;
  const gw_sheets_job *job;
  const gw_picture *picture;
  const int *parts;
  int n_parts;
  bool *shown, *moved, *apart; /* for each part, each part, each joint */
  double shift[3];             /* of the moved parts, mm */
  double gap;                  /* between them and the others, mm */
  gw_scene scene;
  gw_setting_out set;
  gw_face_spot *best;
  gw_tag *tags;
  size_t n_tags;
} drawing;

/* How far the box a must go against the way to be clear of b; 0 when it does
 * not meet it. */
static double clear_of(const gw_box *a, const gw_box *b, const double way[3]) {
  double need = INFINITY;
  for (int axis = 0; axis < 3; ++axis) {
    double a_lo = gw_len_mm(a->lo[axis]), a_hi = gw_len_mm(a->hi[axis]);
    double b_lo = gw_len_mm(b->lo[axis]), b_hi = gw_len_mm(b->hi[axis]);
    if (fabs(way[axis]) < 1e-9) {
      if (a_hi <= b_lo + 0.2 || b_hi <= a_lo + 0.2) return 0;
      continue;
    }
    double far = way[axis] > 0 ? a_hi - b_lo : b_hi - a_lo;
    need = fmin(need, far / fabs(way[axis]));
  }
  return fmax(need, 0);
}

enum { WOOD_MOST = 64 };

static double clear_of_part(const drawing *d, int a, int b, const double way[3]) {
  gw_solid of_a[WOOD_MOST], of_b[WOOD_MOST];
  int n_a = gw_fit_wood(d->job->fit, d->job->model, a, of_a, WOOD_MOST);
  int n_b = gw_fit_wood(d->job->fit, d->job->model, b, of_b, WOOD_MOST);
  double need = 0;
  for (int i = 0; i < n_a && i < WOOD_MOST; ++i)
    for (int j = 0; j < n_b && j < WOOD_MOST; ++j) {
      gw_box box_a = gw_solid_around(&of_a[i]), box_b = gw_solid_around(&of_b[j]);
      need = fmax(need, clear_of(&box_a, &box_b, way));
    }
  return need;
}

static double largest_extent(const drawing *d) {
  double most = 0;
  for (int axis = 0; axis < 3; ++axis) {
    gw_len lo = INT64_MAX, hi = INT64_MIN;
    for (int i = 0; i < d->n_parts; ++i) {
      const gw_box around = gw_fit_around(d->job->fit, d->parts[i]), *box = &around;
      if (box->lo[axis] < lo) lo = box->lo[axis];
      if (box->hi[axis] > hi) hi = box->hi[axis];
    }
    most = fmax(most, gw_len_mm(hi - lo));
  }
  return most;
}

static bool unit_way(const gw_vec *way, double unit[3]) {
  double length = sqrt((double)way->c[0] * way->c[0] + (double)way->c[1] * way->c[1] +
                       (double)way->c[2] * way->c[2]);
  for (int axis = 0; axis < 3; ++axis) unit[axis] = length > 0 ? way->c[axis] / length : 0;
  return length > 0;
}

/* Moved parts stand clear of the others, but no farther away than the whole is
 * long: what slides in over a long way is drawn half way out. */
static void pull_apart(drawing *d) {
  double way[3], need = 0, most = largest_extent(d);
  if (d->picture->n_moved == 0 || !unit_way(&d->picture->way, way)) return;
  for (int i = 0; i < d->n_parts; ++i)
    for (int k = 0; k < d->n_parts && d->moved[d->parts[i]]; ++k)
      if (!d->moved[d->parts[k]])
        need = fmax(need, clear_of_part(d, d->parts[i], d->parts[k], way));
  d->gap = 0.2 * most;
  double far = fmin(need, most) + d->gap;
  for (int axis = 0; axis < 3; ++axis) d->shift[axis] = -way[axis] * far;
}

enum { ARROW_STEPS = 8 }; /* squares along the arrow that are kept free of marks */

/* A box round the moved parts where they stand in the piece, mm. */
typedef struct moved_box { double lo[3], hi[3]; } moved_box;

static bool around_moved(const drawing *d, moved_box *b) {
  *b = (moved_box){{INFINITY, INFINITY, INFINITY}, {-INFINITY, -INFINITY, -INFINITY}};
  for (int i = 0; i < d->n_parts; ++i)
    for (int axis = 0; axis < 3 && d->moved[d->parts[i]]; ++axis) {
      const gw_box box = gw_fit_around(d->job->fit, d->parts[i]);
      b->lo[axis] = fmin(b->lo[axis], gw_len_mm(box.lo[axis]));
      b->hi[axis] = fmax(b->hi[axis], gw_len_mm(box.hi[axis]));
    }
  return isfinite(b->lo[0]);
}

/* Whether moved wood is at a place in the piece. */
static bool moved_at(const drawing *d, const double place[3]) {
  for (int i = 0; i < d->n_parts; ++i) {
    if (!d->moved[d->parts[i]]) continue;
    const gw_box box = gw_fit_around(d->job->fit, d->parts[i]);
    bool in = true;
    for (int axis = 0; axis < 3; ++axis)
      in = in && place[axis] >= gw_len_mm(box.lo[axis]) && place[axis] <= gw_len_mm(box.hi[axis]);
    if (in) return true;
  }
  return false;
}

static gw_box middle_box(const drawing *d, int joint) {
  return gw_is_mitre(d->job, joint) ? gw_mitre_middle(d->job, joint)
                                    : gw_fit_joint_box(d->job->fit, d->job->model, joint);
}

/* The middle of the open joint nearest to a place: false when there is none. */
static bool nearest_joint(const drawing *d, const double place[3], double middle[3]) {
  const gw_model *m = d->job->model;
  double best = INFINITY;
  for (int joint = 0; joint < m->n_joints; ++joint) {
    int a = gw_joint_enters(m, &m->joints[joint]), b = gw_joint_receives(m, &m->joints[joint]);
    if (!d->shown[a] || !d->shown[b] || d->moved[a] == d->moved[b]) continue;
    gw_box box = middle_box(d, joint);
    double at[3], away = 0;
    for (int axis = 0; axis < 3; ++axis) {
      at[axis] = gw_len_mm((box.lo[axis] + box.hi[axis]) / 2);
      away += (at[axis] - place[axis]) * (at[axis] - place[axis]);
    }
    if (away >= best) continue;
    best = away;
    memcpy(middle, at, sizeof at);
  }
  return isfinite(best);
}

/* The middle of the way that is drawn: before the middle of the moved parts' leading
 * side, or, where no wood is there, before a joint that is to be closed. */
static bool middle_of_way(const drawing *d, const double way[3], double middle[3]) {
  moved_box b;
  double half = 0, lead[3], joint[3];
  if (!around_moved(d, &b)) return false;
  for (int axis = 0; axis < 3; ++axis) half += fabs(way[axis]) * (b.hi[axis] - b.lo[axis]) / 2;
  for (int axis = 0; axis < 3; ++axis) {
    double centre = (b.lo[axis] + b.hi[axis]) / 2;
    middle[axis] = centre + d->shift[axis] + way[axis] * (half + d->gap / 2);
    lead[axis] = centre + way[axis] * (half - 0.5);
  }
  if (moved_at(d, lead) || !nearest_joint(d, lead, joint)) return true;
  for (int axis = 0; axis < 3; ++axis) middle[axis] = joint[axis] + d->shift[axis] / 2;
  return true;
}

/* An arrow, the way the moved parts go in. */
static void draw_way(drawing *d) {
  double way[3], middle[3], from[3], to[3];
  if (d->picture->n_moved == 0 || !unit_way(&d->picture->way, way)) return;
  if (!middle_of_way(d, way, middle)) return;
  for (int axis = 0; axis < 3; ++axis) {
    from[axis] = middle[axis] - way[axis] * 0.42 * d->gap;
    to[axis] = middle[axis] + way[axis] * 0.42 * d->gap;
  }
  gw_spot a = spot_of(&d->scene, &d->set, from), b = spot_of(&d->scene, &d->set, to);
  gw_draw_arrow(d->page, (gw_pen){GW_STROKE_FULL, 2.2, 1}, a.x, a.y, b.x, b.y, 4.4);
  gw_draw_arrow(d->page, (gw_pen){GW_STROKE_FULL, 0.9, 0}, a.x, a.y, b.x, b.y, 3.4);
  for (int i = 0; i < ARROW_STEPS; ++i) {
    double f = (i + 0.5) / ARROW_STEPS;
    gw_area keep = {a.x + f * (b.x - a.x) - 0.8, a.y + f * (b.y - a.y) - 0.8, 1.6, 1.6};
    d->tags[d->n_tags++] = (gw_tag){.fixed = true, .place = keep};
  }
}

/* ---- tags --------------------------------------------------------------------------- */

static void add_tag(drawing *d, const gw_mark *mark, gw_spot spot, bool seen, bool letter) {
  gw_tag *tag = &d->tags[d->n_tags++];
  *tag = (gw_tag){.bar = mark->bar, .boxed = letter, .seen = seen, .on_spot = letter && seen,
                  .spot = spot};
  memcpy(tag->text, mark->text, sizeof tag->text);
}

/* A part that shows less on the page than takes a letter of this height. */
#define PLAIN 2.0

static void tag_letters(drawing *d) {
  for (int i = 0; i < d->n_parts && d->picture->letters; ++i) {
    int part = d->parts[i];
    if (d->picture->lettered != NULL && !d->picture->lettered[part]) continue;
    if (d->picture->plain_only && d->set.scale * d->best[part].size < PLAIN) continue;
    const double still[3] = {0, 0, 0};
    const double *shift = d->moved[part] ? d->shift : still;
    bool seen = d->best[part].size > 0;
    gw_spot spot = gw_set_out(&d->set, d->best[part].spot);
    if (!seen) {
      bool unused;
      spot = gw_scene_spot_of(&d->scene, &d->set, &d->job->fit->boxes[part], shift, &unused);
    }
    add_tag(d, &d->job->marks->parts[part], spot, seen, true);
  }
}

static void tag_half(drawing *d, int joint, const gw_box *box, int part) {
  const double still[3] = {0, 0, 0};
  bool seen;
  gw_spot spot = gw_scene_spot_of(&d->scene, &d->set, box, d->moved[part] ? d->shift : still,
                                  &seen);
  add_tag(d, &d->job->marks->joints[joint], spot, seen, false);
}

/* One number where the joint is closed, one at each half where it is not. */
static void tag_joints(drawing *d) {
  const gw_model *m = d->job->model;
  for (int i = 0; i < d->picture->n_joints && d->picture->joints != NULL; ++i) {
    int joint = d->picture->joints[i];
    const gw_joint *j = &m->joints[joint];
    int a = gw_joint_enters(m, j), b = gw_joint_receives(m, j);
    if (d->shown[a] && d->shown[b] && !d->apart[joint]) {
      gw_box box = middle_box(d, joint);
      tag_half(d, joint, &box, a);
      continue;
    }
    gw_box of_e = gw_half_place(d->job, j->entering), of_r = gw_half_place(d->job, j->receiving);
    if (d->shown[a]) tag_half(d, joint, &of_e, a);
    if (d->shown[b]) tag_half(d, joint, &of_r, b);
  }
}

/* Says so when marks found no room. */
static void say_left_out(drawing *d, gw_area area) {
  int left_out = 0;
  char words[80];
  for (size_t i = 0; i < d->n_tags; ++i) left_out += d->tags[i].place.w <= 0;
  if (left_out == 0) return;
  snprintf(words, sizeof words, "%d mark%s had no room in this drawing", left_out,
           left_out == 1 ? "" : "s");
  gw_text_fit(d->page, area.x, area.y + area.h - 1, area.w, GW_TYPE(7), 5, GW_ALIGN_LEFT, words);
}

/* ---- the whole ---------------------------------------------------------------------- */

static bool list_parts(drawing *d, int *all) {
  const gw_model *m = d->job->model;
  d->parts = d->picture->parts == NULL ? all : d->picture->parts;
  d->n_parts = d->picture->parts == NULL ? m->n_parts : d->picture->n_parts;
  for (int i = 0; i < m->n_parts; ++i) all[i] = i;
  for (int i = 0; i < d->n_parts; ++i) d->shown[d->parts[i]] = true;
  for (int i = 0; i < d->picture->n_moved; ++i)
    d->moved[d->picture->moved[i]] = d->shown[d->picture->moved[i]];
  for (int i = 0; i < m->n_joints; ++i) {
    int a = gw_joint_enters(m, &m->joints[i]), b = gw_joint_receives(m, &m->joints[i]);
    d->apart[i] = !d->shown[a] || !d->shown[b] || d->moved[a] != d->moved[b];
  }
  return d->n_parts > 0;
}

static gw_status add_parts(drawing *d) {
  pull_apart(d);
  for (int i = 0; i < d->n_parts; ++i) {
    gw_stand stand = {.part = d->parts[i], .apart = d->apart};
    if (d->moved[d->parts[i]]) memcpy(stand.shift, d->shift, sizeof stand.shift);
    GW_TRY(gw_scene_add_part(&d->scene, d->job, &stand));
  }
  return GW_OK;
}

static gw_status draw(drawing *d, gw_area area) {
  bool marked = d->picture->letters || d->picture->joints != NULL;
  double size = fmin(fmax(0.055 * fmin(area.w, area.h) * 72 / 25.4, 9), 20);
  double margin = marked ? fmin(1.4 * size * 25.4 / 72, 0.12 * fmin(area.w, area.h)) : 0.5;
  gw_area inner = {area.x + margin, area.y + margin, area.w - 2 * margin, area.h - 2 * margin};
  GW_TRY(add_parts(d));
  d->set = gw_scene_fit(&d->scene, inner);
  GW_TRY(gw_scene_draw(d->page, &d->scene, &d->set, false, d->best));
  draw_way(d);
  tag_letters(d);
  tag_joints(d);
  size = gw_tags_place(gw_page_doc(d->page), area, d->tags, d->n_tags, size);
  gw_tags_draw(d->page, d->tags, d->n_tags, size);
  say_left_out(d, area);
  return GW_OK;
}

void gw_picture_draw(gw_page *page, gw_area area, const gw_sheets_job *job,
                     const gw_picture *picture) {
  const gw_model *m = job->model;
  if (page == NULL || gw_doc_failed(gw_page_doc(page)) || !job->fit->placed) return;
  size_t parts = (size_t)m->n_parts + 1, joints = (size_t)m->n_joints + 1;
  size_t tags = parts + 2 * (size_t)(picture->n_joints > 0 ? picture->n_joints : 0) + ARROW_STEPS;
  drawing d = {.page = page, .job = job, .picture = picture,
               .scene = {.view = gw_view_isometric()}};
  gw_arena *arena = gw_arena_new();
  gw_status status = arena == NULL ? GW_NO_MEMORY : GW_OK;
  if (status == GW_OK) {
    int *all = gw_arena_alloc(arena, parts, sizeof *all);
    d.shown = gw_arena_alloc(arena, parts, sizeof *d.shown);
    d.moved = gw_arena_alloc(arena, parts, sizeof *d.moved);
    d.apart = gw_arena_alloc(arena, joints, sizeof *d.apart);
    d.best = gw_arena_alloc(arena, parts, sizeof *d.best);
    d.tags = gw_arena_alloc(arena, tags, sizeof *d.tags);
    if (!all || !d.shown || !d.moved || !d.apart || !d.best || !d.tags) status = GW_NO_MEMORY;
    else if (list_parts(&d, all)) status = draw(&d, area);
  }
  gw_doc_fail(gw_page_doc(page), status, "memory is short");
  gw_scene_clear(&d.scene);
  gw_arena_free(arena);
}
