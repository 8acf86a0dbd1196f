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

static void note_pieces(const gw_setting_out *set, const gw_seen *seen) {
  gw_spot spots[GW_PIECE_MOST];
  for (size_t i = 0; i < seen->count && seen->ground != NULL; ++i) {
    const gw_piece *p = &seen->pieces[i];
    for (int k = 0; k < p->n; ++k) spots[k] = gw_set_out(set, p->spots[k]);
    gw_ground_face(seen->ground, spots, p->n, p->part);
  }
}

void gw_seen_clear(gw_seen *seen) {
  free(seen->pieces);
  seen->pieces = NULL;
  seen->count = seen->room = 0;
}

static gw_status draw_facets(gw_page *page, const gw_scene *scene, const gw_setting_out *set,
                             gw_seen *seen) {
  gw_status status = GW_OK;
  for (size_t i = 0; i < scene->n_facets && status == GW_OK; ++i)
    status = gw_scene_pieces(scene, &scene->facets[i], &seen->pieces, &seen->count, &seen->room);
  if (status == GW_OK) status = fill_all(page, set, seen->pieces, seen->count);
  if (status == GW_OK) note_pieces(set, seen);
  return status;
}

/* An edge that is being drawn. */
typedef struct edging {
  gw_page *page;
  const gw_scene *scene;
  const gw_setting_out *set;
  gw_ground *ground; /* NULL: not noted */
  gw_spot a, b;
} edging;

/* Lines as the marks see them: a hidden one counts less. */
#define WEIGHT_EDGE 1.0
#define WEIGHT_DETAIL 0.8
#define WEIGHT_HIDDEN 0.4

static void draw_stretch(const edging *e, gw_pen pen, double weight, gw_stretch s) {
  gw_spot a = e->a, b = e->b;
  gw_spot p = gw_set_out(e->set, (gw_spot){a.x + s.from * (b.x - a.x), a.y + s.from * (b.y - a.y)});
  gw_spot q = gw_set_out(e->set, (gw_spot){a.x + s.to * (b.x - a.x), a.y + s.to * (b.y - a.y)});
  if (hypot(q.x - p.x, q.y - p.y) < 0.05) return;
  gw_draw_line(e->page, pen, p.x, p.y, q.x, q.y);
  if (e->ground != NULL) gw_ground_line(e->ground, p, q, weight);
}

enum { STRETCHES = 128 };

static void draw_edge(edging *e, const gw_edge *edge, bool dashes) {
  gw_stretch seen[STRETCHES];
  size_t count = gw_scene_seen(e->scene, edge, seen, STRETCHES);
  double from = 0;
  e->a = gw_view_spot(&e->scene->view, edge->a);
  e->b = gw_view_spot(&e->scene->view, edge->b);
  for (size_t i = 0; dashes && i <= count; ++i) {
    double to = i < count ? seen[i].from : 1;
    draw_stretch(e, HIDDEN, WEIGHT_HIDDEN, (gw_stretch){from, to});
    from = i < count ? seen[i].to : 1;
  }
  for (size_t i = 0; !dashes && i < count; ++i)
    draw_stretch(e, edge->thin ? DETAIL : EDGE, edge->thin ? WEIGHT_DETAIL : WEIGHT_EDGE, seen[i]);
}

gw_status gw_scene_draw(gw_page *page, const gw_scene *scene, const gw_setting_out *set,
                        bool dashes, gw_seen *seen) {
  gw_seen own = {.ground = NULL};
  edging e = {.page = page, .scene = scene, .set = set, .ground = seen ? seen->ground : NULL};
  gw_status status = draw_facets(page, scene, set, seen ? seen : &own);
  gw_seen_clear(&own);
  GW_TRY(status);
  for (size_t i = 0; i < scene->n_edges && dashes; ++i) draw_edge(&e, &scene->edges[i], true);
  for (int thin = 1; thin >= 0; --thin)
    for (size_t i = 0; i < scene->n_edges; ++i)
      if (scene->edges[i].thin == (thin == 1)) draw_edge(&e, &scene->edges[i], false);
  if (e.ground != NULL) gw_ground_close(e.ground);
  return GW_OK;
}

void gw_scene_draw_ghost(gw_page *page, const gw_scene *scene, const gw_setting_out *set,
                         gw_seen *seen) {
  edging e = {.page = page, .scene = scene, .set = set, .ground = seen->ground};
  for (size_t i = 0; i < scene->n_edges; ++i) {
    gw_stretch shown[STRETCHES];
    const gw_edge *edge = &scene->edges[i];
    size_t count = edge->thin ? 0 : gw_scene_seen(scene, edge, shown, STRETCHES);
    e.a = gw_view_spot(&scene->view, edge->a);
    e.b = gw_view_spot(&scene->view, edge->b);
    for (size_t k = 0; k < count; ++k) draw_stretch(&e, HIDDEN, WEIGHT_HIDDEN, shown[k]);
  }
  gw_ground_close(seen->ground);
}

/* ---- pulled apart ------------------------------------------------------------------- */

typedef struct drawing {
  gw_page *page;
  const gw_sheets_job *job;
  const gw_picture *picture;
  const int *parts;
  int n_parts;
  bool *shown, *moved, *apart; /* for each part, each part, each joint */
  bool *ghost;                 /* for each part: only its outline is drawn */
  double shift[3];             /* of the moved parts, mm */
  double gap;                  /* between them and the others, mm */
  gw_scene scene;
  gw_setting_out set;
  gw_seen seen;
  gw_area area;
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

/* Whether wood of the moved parts, or of the others, is at a place in the piece. */
static bool wood_at(const drawing *d, const double place[3], bool moved) {
  for (int i = 0; i < d->n_parts; ++i) {
    if (d->moved[d->parts[i]] != moved) continue;
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

/* An arrow on the page, from a to b. */
typedef struct arrow { gw_spot a, b; } arrow;

static arrow arrow_about(const drawing *d, const double way[3], const double middle[3]) {
  double from[3], to[3];
  for (int axis = 0; axis < 3; ++axis) {
    from[axis] = middle[axis] - way[axis] * 0.42 * d->gap;
    to[axis] = middle[axis] + way[axis] * 0.42 * d->gap;
  }
  return (arrow){spot_of(&d->scene, &d->set, from), spot_of(&d->scene, &d->set, to)};
}

#define ON_MOVED 0.6 /* of an arrow on what moves, against one on what stands */

static gw_spot along_arrow(arrow w, int step) {
  double f = (step + 0.5) / ARROW_STEPS;
  return (gw_spot){w.a.x + f * (w.b.x - w.a.x), w.a.y + f * (w.b.y - w.a.y)};
}

/* How much of an arrow lies on what stands, 0 to 1. */
static double on_standing(const drawing *d, arrow w) {
  int count = 0;
  for (int i = 0; i < ARROW_STEPS; ++i) {
    int part = gw_ground_part(d->seen.ground, along_arrow(w, i));
    count += part >= 0 && !d->moved[part];
  }
  return (double)count / ARROW_STEPS;
}

/* How much of an arrow lies on wood, and the lines that it covers. */
static double cost_of_arrow(const drawing *d, arrow w) {
  double cost = 0;
  for (int i = 0; i < ARROW_STEPS; ++i) {
    gw_spot s = along_arrow(w, i);
    int part = gw_ground_part(d->seen.ground, s);
    cost += part < 0 ? 0 : (d->moved[part] ? ON_MOVED : 1) / ARROW_STEPS;
    cost += 0.1 * gw_ground_lines(d->seen.ground, (gw_area){s.x - 0.8, s.y - 0.8, 1.6, 1.6});
  }
  return cost;
}

/* Before the middle of the moved parts' leading side, when wood is there and wood
 * that stands is on its way. */
static bool before_middle(const drawing *d, const double way[3], double middle[3]) {
  moved_box b;
  double half = 0, lead[3], ahead[3];
  if (!around_moved(d, &b)) return false;
  for (int axis = 0; axis < 3; ++axis) half += fabs(way[axis]) * (b.hi[axis] - b.lo[axis]) / 2;
  for (int axis = 0; axis < 3; ++axis) {
    double centre = (b.lo[axis] + b.hi[axis]) / 2;
    middle[axis] = centre + d->shift[axis] + way[axis] * (half + d->gap / 2);
    lead[axis] = centre + way[axis] * (half - 0.5);
    ahead[axis] = lead[axis] + way[axis];
  }
  return wood_at(d, lead, true) && (wood_at(d, lead, false) || wood_at(d, ahead, false));
}

/* Half way between the halves of a joint that is to be closed: at its middle, or
 * near one end of the longest way through it. */
static bool before_joint(const drawing *d, int joint, int end, double middle[3]) {
  const gw_model *m = d->job->model;
  int a = gw_joint_enters(m, &m->joints[joint]), b = gw_joint_receives(m, &m->joints[joint]);
  if (!d->shown[a] || !d->shown[b] || d->moved[a] == d->moved[b]) return false;
  gw_box box = middle_box(d, joint);
  int longest = 0;
  for (int axis = 0; axis < 3; ++axis) {
    if (box.hi[axis] - box.lo[axis] > box.hi[longest] - box.lo[longest]) longest = axis;
    middle[axis] = gw_len_mm((box.lo[axis] + box.hi[axis]) / 2) + d->shift[axis] / 2;
  }
  middle[longest] += end * 0.45 * gw_len_mm(box.hi[longest] - box.lo[longest]);
  return true;
}

#define BEHIND 0.3
#define HEAD 2.0 /* an arrow keeps so far within the area, mm */

/* How far the stretch from lo to hi must move to lie within the area's. */
static double inwards(double lo, double hi, double area_lo, double area_hi) {
  return lo < area_lo + HEAD ? area_lo + HEAD - lo : hi > area_hi - HEAD ? area_hi - HEAD - hi : 0;
}

static arrow within_area(gw_area a, arrow w) {
  double x = inwards(fmin(w.a.x, w.b.x), fmax(w.a.x, w.b.x), a.x, a.x + a.w);
  double y = inwards(fmin(w.a.y, w.b.y), fmax(w.a.y, w.b.y), a.y, a.y + a.h);
  return (arrow){{w.a.x + x, w.a.y + y}, {w.b.x + x, w.b.y + y}};
}

/* Takes an arrow when it costs less than the best so far. */
static void try_arrow(const drawing *d, const double way[3], const double middle[3], double more,
                      double *best, arrow *out) {
  arrow w = within_area(d->area, arrow_about(d, way, middle));
  double cost = cost_of_arrow(d, w) + more;
  if (cost >= *best - 1e-9) return;
  *best = cost;
  *out = w;
}

/* Behind the moved parts, pushing. */
static bool behind(const drawing *d, const double way[3], double middle[3]) {
  moved_box b;
  double half = 0;
  if (!around_moved(d, &b)) return false;
  for (int axis = 0; axis < 3; ++axis) half += fabs(way[axis]) * (b.hi[axis] - b.lo[axis]) / 2;
  for (int axis = 0; axis < 3; ++axis)
    middle[axis] = (b.lo[axis] + b.hi[axis]) / 2 + d->shift[axis] - way[axis] * (half + d->gap / 2);
  return true;
}

/* The arrow that lies least on wood: before the middle, or at a joint; or behind what
 * moves, where no place between is free. */
static bool best_arrow(const drawing *d, const double way[3], arrow *out) {
  static const int ends[] = {0, -1, 1};
  double best = INFINITY, middle[3];
  if (before_middle(d, way, middle)) try_arrow(d, way, middle, 0, &best, out);
  for (int joint = 0; joint < d->job->model->n_joints; ++joint)
    for (int i = 0; i < 3; ++i)
      if (before_joint(d, joint, ends[i], middle))
        try_arrow(d, way, middle, ends[i] == 0 ? 0.05 : 0.25, &best, out);
  if (isfinite(best) && on_standing(d, *out) > 0.5 && behind(d, way, middle))
    try_arrow(d, way, middle, BEHIND, &best, out);
  return isfinite(best);
}

/* An arrow, the way the moved parts go in. */
static void draw_way(drawing *d) {
  double way[3];
  arrow w = {{0, 0}, {0, 0}};
  if (d->picture->n_moved == 0 || !unit_way(&d->picture->way, way)) return;
  if (!best_arrow(d, way, &w)) {
    moved_box b;
    double middle[3];
    if (!around_moved(d, &b)) return;
    for (int axis = 0; axis < 3; ++axis)
      middle[axis] = (b.lo[axis] + b.hi[axis]) / 2 + d->shift[axis] / 2;
    w = within_area(d->area, arrow_about(d, way, middle));
  }
  gw_draw_arrow(d->page, (gw_pen){GW_STROKE_FULL, 2.0, 1}, w.a.x, w.a.y, w.b.x, w.b.y, 4.2);
  gw_draw_arrow(d->page, (gw_pen){GW_STROKE_FULL, 0.9, 0}, w.a.x, w.a.y, w.b.x, w.b.y, 3.4);
  for (int i = 0; i < ARROW_STEPS; ++i) {
    gw_spot s = along_arrow(w, i);
    d->tags[d->n_tags++] = (gw_tag){.fixed = true, .place = {s.x - 0.8, s.y - 0.8, 1.6, 1.6}};
  }
}

/* ---- tags --------------------------------------------------------------------------- */

static gw_tag *add_tag(drawing *d, const gw_mark *mark, gw_spot spot, bool seen, bool letter) {
  gw_tag *tag = &d->tags[d->n_tags++];
  *tag = (gw_tag){.bar = mark->bar, .boxed = letter, .seen = seen, .on_spot = letter && seen,
                  .spot = spot};
  memcpy(tag->text, mark->text, sizeof tag->text);
  return tag;
}

/* A part that shows no spot with so much free face round it takes no letter, mm. */
#define PLAIN 0.8

static gw_spot middle_of_part(const drawing *d, int part) {
  const gw_box *box = &d->job->fit->boxes[part];
  double p[3];
  for (int axis = 0; axis < 3; ++axis)
    p[axis] = gw_len_mm((box->lo[axis] + box->hi[axis]) / 2) +
              (d->moved[part] ? d->shift[axis] : 0);
  return spot_of(&d->scene, &d->set, p);
}

static void tag_letters(drawing *d) {
  for (int i = 0; i < d->n_parts && d->picture->letters; ++i) {
    int part = d->parts[i];
    if (d->picture->lettered != NULL && !d->picture->lettered[part]) continue;
    if (d->ghost[part]) continue;
    if (d->picture->plain_only && d->best[part].size < PLAIN) continue;
    bool seen = d->best[part].size > 0;
    gw_spot spot = seen ? d->best[part].spot : middle_of_part(d, part);
    gw_tag *tag = add_tag(d, &d->job->marks->parts[part], spot, seen, true);
    tag->own[0] = tag->own[1] = part;
  }
}

/* The spots of letters, away from those of the numbers. */
static gw_status find_faces(drawing *d, double enough) {
  int n_parts = d->job->model->n_parts;
  gw_crowd crowd = {malloc((d->n_tags + (size_t)n_parts + 1) * sizeof *crowd.spots), 0};
  if (crowd.spots == NULL) return GW_NO_MEMORY;
  for (size_t i = 0; i < d->n_tags; ++i)
    if (!d->tags[i].fixed) crowd.spots[crowd.count++] = d->tags[i].spot;
  gw_status status = gw_ground_plainest(d->seen.ground, enough, n_parts, &crowd, d->best);
  free(crowd.spots);
  return status;
}

/* Whether wood is cut away for this half, in which its mark then points at the cut. */
static bool is_cut(const drawing *d, const gw_half *half) {
  return !half->enters || d->job->fit->seatings[half->joint].style == GW_CROSS;
}

/* How far the wood of a part that leans is from where it is midway up the box. */
static double stray_of(const drawing *d, int part, const gw_box *box) {
  if (!gw_fit_slants(d->job->fit, part)) return 0;
  return 0.1 * gw_len_mm(box->hi[GW_Z] - box->lo[GW_Z]);
}

static void tag_aim(drawing *d, int joint, gw_aim *aim) {
  bool seen;
  if (d->moved[aim->part]) memcpy(aim->shift, d->shift, sizeof aim->shift);
  aim->stray = stray_of(d, aim->part, &aim->box);
  gw_spot spot = gw_scene_spot_of(&d->scene, &d->set, &d->seen, aim, &seen);
  gw_tag *tag = add_tag(d, &d->job->marks->joints[joint], spot, seen, false);
  tag->own[0] = aim->part;
  tag->own[1] = aim->mate;
}

static void tag_half(drawing *d, int index) {
  const gw_half *half = &d->job->model->halves[index];
  gw_aim aim = {.box = gw_half_place(d->job, index), .part = half->part, .mate = -1,
                .at = half->at, .cut = is_cut(d, half)};
  if (d->shown[half->part]) tag_aim(d, half->joint, &aim);
}

/* One number where the joint is closed, one at each half where it is not. */
static void tag_joints(drawing *d) {
  const gw_model *m = d->job->model;
  for (int i = 0; i < d->picture->n_joints && d->picture->joints != NULL; ++i) {
    int joint = d->picture->joints[i];
    const gw_joint *j = &m->joints[joint];
    int a = gw_joint_enters(m, j), b = gw_joint_receives(m, j);
    if (d->shown[a] && d->shown[b] && !d->apart[joint]) {
      gw_aim aim = {.box = middle_box(d, joint), .part = a, .mate = b,
                    .at = m->halves[j->entering].at};
      tag_aim(d, joint, &aim);
      continue;
    }
    tag_half(d, j->entering);
    tag_half(d, j->receiving);
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

static gw_apart apart_of(const drawing *d) {
  return (gw_apart){d->parts, d->n_parts, d->shown, d->moved, d->apart, d->shift};
}

/* All parts first, since the whole is set out by them; then without those in the way. */
static gw_status add_parts(drawing *d, gw_area inner) {
  pull_apart(d);
  const gw_apart g = apart_of(d);
  GW_TRY(gw_apart_add(&d->scene, d->job, &g, d->ghost, false));
  d->set = gw_scene_fit(&d->scene, inner);
  bool any = false;
  if (d->picture->n_moved > 0) GW_TRY(gw_ghosts_choose(d->job, &g, &d->scene, d->ghost, &any));
  if (!any) return GW_OK;
  gw_scene_clear(&d->scene);
  return gw_apart_add(&d->scene, d->job, &g, d->ghost, false);
}

static gw_status draw_ghosts(drawing *d) {
  const gw_apart g = apart_of(d);
  gw_scene scene = {.view = d->scene.view};
  gw_status status = gw_apart_add(&scene, d->job, &g, d->ghost, true);
  if (status == GW_OK && scene.n_edges > 0)
    gw_scene_draw_ghost(d->page, &scene, &d->set, &d->seen);
  gw_scene_clear(&scene);
  return status;
}

#define FLAT 0.1        /* thinner than this against the two other ways: flat */
#define LETTER_ROOM 0.8 /* round the middle of a letter, of the size of its type */

/* One view of flat pieces, another of others: where one way is far shorter than the
 * two others, its sides are seen more squarely; but not when that is the way
 * in which parts go in. */
gw_view gw_picture_view(const gw_sheets_job *job, const gw_picture *picture) {
  double extent[3];
  gw_axis thin = GW_X;
  for (int axis = 0; axis < 3; ++axis) extent[axis] = gw_len_mm(job->fit->extent[axis]);
  for (int axis = 1; axis < 3; ++axis)
    if (extent[axis] < extent[thin]) thin = (gw_axis)axis;
  bool flat = true;
  for (int axis = 0; axis < 3; ++axis)
    flat = flat && (axis == (int)thin || extent[thin] < FLAT * extent[axis]);
  if (picture->n_moved > 0 && picture->way.c[thin] != 0) flat = false;
  return flat ? gw_view_onto(thin) : gw_view_isometric();
}

static gw_status draw(drawing *d, gw_area area) {
  bool marked = d->picture->letters || d->picture->joints != NULL;
  double size = fmin(fmax(0.055 * fmin(area.w, area.h) * 72 / 25.4, 9), 20);
  double margin = marked ? fmin(1.4 * size * 25.4 / 72, 0.12 * fmin(area.w, area.h)) : 0.5;
  gw_area inner = {area.x + margin, area.y + margin, area.w - 2 * margin, area.h - 2 * margin};
  d->area = area;
  GW_TRY(add_parts(d, inner));
  d->seen.ground = gw_ground_new(area);
  if (d->seen.ground == NULL) return GW_NO_MEMORY;
  GW_TRY(gw_scene_draw(d->page, &d->scene, &d->set, false, &d->seen));
  GW_TRY(draw_ghosts(d));
  draw_way(d);
  tag_joints(d);
  GW_TRY(find_faces(d, LETTER_ROOM * size * 25.4 / 72));
  tag_letters(d);
  size = gw_tags_place(gw_page_doc(d->page), area, d->seen.ground, d->tags, d->n_tags, size);
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
               .scene = {.view = gw_picture_view(job, picture)}};
  gw_arena *arena = gw_arena_new();
  gw_status status = arena == NULL ? GW_NO_MEMORY : GW_OK;
  if (status == GW_OK) {
    int *all = gw_arena_alloc(arena, parts, sizeof *all);
    d.shown = gw_arena_alloc(arena, parts, sizeof *d.shown);
    d.moved = gw_arena_alloc(arena, parts, sizeof *d.moved);
    d.apart = gw_arena_alloc(arena, joints, sizeof *d.apart);
    d.ghost = gw_arena_alloc(arena, parts, sizeof *d.ghost);
    d.best = gw_arena_alloc(arena, parts, sizeof *d.best);
    d.tags = gw_arena_alloc(arena, tags, sizeof *d.tags);
    if (!all || !d.shown || !d.moved || !d.apart || !d.ghost || !d.best || !d.tags)
      status = GW_NO_MEMORY;
    else if (list_parts(&d, all)) status = draw(&d, area);
  }
  gw_doc_fail(gw_page_doc(page), status, "memory is short");
  gw_ground_free(d.seen.ground);
  gw_seen_clear(&d.seen);
  gw_scene_clear(&d.scene);
  gw_arena_free(arena);
}
