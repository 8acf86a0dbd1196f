/* picture_solid.c - a part as a solid: wood less what its halves cut away. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/picture_inner.h"

enum { BOXES_MOST = 128, CELLS_MOST = 200000 };

/* Places closer together than this are one: the play of a joint is no face. */
static const gw_len SNAP = GW_MM / 20;

/* ---- what is cut away --------------------------------------------------------------- */

/* `depth` inwards from the side `at` of a part's box. */
static void sink(gw_box *box, gw_dir at, gw_len depth) {
  int axis = gw_dir_axis(at);
  if (gw_dir_sign(at) > 0) box->lo[axis] = box->hi[axis] - depth;
  else box->hi[axis] = box->lo[axis] + depth;
}

static void span_to(gw_box *box, const gw_box *whole, const gw_span *span, int axis) {
  box->lo[axis] = whole->lo[axis] + span->lo;
  box->hi[axis] = box->lo[axis] + span->size;
}

/* At a corner a half goes in from two sides at once. */
static gw_box corner_space(const gw_sheets_job *job, const gw_half *half, gw_box box) {
  const gw_model *m = job->model;
  const gw_seating *s = &job->fit->seatings[half->joint];
  const gw_half *e = &m->halves[m->joints[half->joint].entering];
  const gw_box whole = job->fit->boxes[half->part];
  int t = 3 - s->normal - s->second;
  if (half->enters) {
    sink(&box, half->at, s->depth_e);
    span_to(&box, &whole, &s->e[t], t);
    return box;
  }
  bool rebate = m->joints[half->joint].kind == GW_REBATE && half->width != GW_UNSET;
  gw_dir inside = gw_dir_back(e->at);
  gw_len deep = rebate ? half->width : s->depth_e;
  sink(&box, inside, deep);
  sink(&box, half->at, s->depth_r);
  span_to(&box, &whole, &s->r[t], t);
  return box;
}

gw_box gw_half_space(const gw_sheets_job *job, int index) {
  const gw_half *half = &job->model->halves[index];
  gw_box box = job->fit->boxes[half->part];
  const gw_box whole = box;
  if (half->joint < 0) return box;
  const gw_seating *s = &job->fit->seatings[half->joint];
  if (gw_is_mitre(job, half->joint)) return gw_mitre_middle(job, half->joint);
  /* A half that lies on a face: where the two parts touch. */
  if (gw_kind_of(job->model->joints[half->joint].kind)->seat == GW_FACE)
    return gw_fit_joint_box(job->fit, job->model, half->joint);
  if (s->style == GW_CORNER) return corner_space(job, half, box);
  sink(&box, half->at, half->enters ? s->depth_e : s->depth_r);
  const gw_span *spans = half->enters ? s->e : s->r;
  for (int axis = 0; axis < 3; ++axis) {
    bool across = s->style == GW_CROSS ? axis != s->normal : axis == s->narrow || axis == s->run;
    if (across) span_to(&box, &whole, &spans[axis], axis);
  }
  return box;
}

static bool is_groove(const gw_sheets_job *job, const gw_half *half) {
  gw_kind kind = job->model->joints[half->joint].kind;
  return !half->enters && (kind == GW_PANEL_GROOVE || kind == GW_TONGUE_GROOVE);
}

/* A groove that runs on past what goes into it is marked where that goes in, and away from
 * its ends: there other joints are. */
static void keep_to_mate(const gw_sheets_job *job, const gw_half *half, gw_box *box) {
  const gw_seating *s = &job->fit->seatings[half->joint];
  int run = s->run;
  if (run < 0 && s->style == GW_CORNER && !gw_is_mitre(job, half->joint))
    run = 3 - s->normal - s->second;
  if (run < 0) return;
  gw_box both = gw_fit_joint_box(job->fit, job->model, half->joint);
  gw_len lo = both.lo[run] > box->lo[run] ? both.lo[run] : box->lo[run];
  gw_len hi = both.hi[run] < box->hi[run] ? both.hi[run] : box->hi[run];
  if (lo >= hi) return;
  gw_len off = is_groove(job, half) ? (hi - lo) / 5 : 0;
  box->lo[run] = lo + off;
  box->hi[run] = hi - off;
}

gw_box gw_half_place(const gw_sheets_job *job, int index) {
  const gw_half *half = &job->model->halves[index];
  gw_box box = gw_half_space(job, index);
  if (half->joint < 0) return box;
  if (!gw_fit_slants(job->fit, half->part)) {
    keep_to_mate(job, half, &box);
    return box;
  }
  if (gw_kind_of(job->model->joints[half->joint].kind)->seat == GW_FACE) return box;
  gw_solid solid = gw_fit_half_solid(job->fit, half, box);
  return gw_solid_section(&solid, box.lo[GW_Z] + (box.hi[GW_Z] - box.lo[GW_Z]) / 2);
}

/* ---- leaning ------------------------------------------------------------------------ */

/* From which shoulder on a part stands upright. */
static void note_upright(const gw_sheets_job *job, const gw_stand *stand, gw_leaning *lean) {
  const gw_part *part = &job->model->parts[stand->part];
  const gw_box *box = &job->fit->boxes[stand->part];
  lean->upright[0] = -INFINITY;
  lean->upright[1] = INFINITY;
  for (int i = part->first_half; i < part->first_half + part->n_halves; ++i) {
    const gw_half *half = &job->model->halves[i];
    if (!half->plumb || half->joint < 0) continue;
    gw_len deep = job->fit->seatings[half->joint].depth_e;
    bool top = gw_dir_sign(half->at) > 0;
    lean->upright[top] = gw_len_mm(top ? box->hi[GW_Z] - deep : box->lo[GW_Z] + deep) +
                         stand->shift[GW_Z];
  }
}

gw_leaning gw_leaning_of(const gw_sheets_job *job, const gw_stand *stand) {
  gw_leaning lean = {.on = job->fit->placed && gw_fit_slants(job->fit, stand->part)};
  if (!lean.on) return lean;
  const gw_box *box = &job->fit->boxes[stand->part];
  for (int side = 0; side < 4; ++side)
    lean.slope[side] = (double)job->fit->slants[stand->part].side[side] / GW_LEAN_ONE;
  for (int axis = 0; axis < 2; ++axis) {
    lean.lo[axis] = gw_len_mm(box->lo[axis]) + stand->shift[axis];
    lean.hi[axis] = gw_len_mm(box->hi[axis]) + stand->shift[axis];
  }
  lean.level = gw_len_mm(box->lo[GW_Z] + box->hi[GW_Z]) / 2 + stand->shift[GW_Z];
  note_upright(job, stand, &lean);
  return lean;
}

static double slope_at(const gw_leaning *lean, int axis, double at) {
  double f = (at - lean->lo[axis]) / (lean->hi[axis] - lean->lo[axis]);
  f = f < 0 ? 0 : f > 1 ? 1 : f;
  return lean->slope[2 * axis] + f * (lean->slope[2 * axis + 1] - lean->slope[2 * axis]);
}

void gw_lean_point(const gw_leaning *lean, double p[3]) {
  if (!lean->on) return;
  double height = fmin(fmax(p[GW_Z], lean->upright[0]), lean->upright[1]);
  for (int axis = 0; axis < 2; ++axis)
    p[axis] += slope_at(lean, axis, p[axis]) * (height - lean->level);
}

/* The plane of a block's side that was square to a level axis. */
static gw_plane leaning_side(const gw_leaning *lean, int axis, double at, int sign) {
  double slope = slope_at(lean, axis, at), length = sqrt(1 + slope * slope);
  gw_plane plane = {.at = sign * (at - slope * lean->level) / length, .closed = true};
  plane.n[axis] = sign / length;
  plane.n[GW_Z] = -sign * slope / length;
  return plane;
}

/* Makes the upright box of a block into the box round it as it leans, cut off at
 * its four sides. */
static bool lean_block(const gw_leaning *lean, gw_block *b) {
  gw_plane sides[4];
  double lo[3], hi[3];
  for (int axis = 0; axis < 2; ++axis) {
    sides[2 * axis] = leaning_side(lean, axis, b->lo[axis], -1);
    sides[2 * axis + 1] = leaning_side(lean, axis, b->hi[axis], 1);
  }
  bool upright = b->lo[GW_Z] >= lean->upright[1] - 0.01 || b->hi[GW_Z] <= lean->upright[0] + 0.01;
  for (int i = 0; i < 8; ++i) {
    double p[3] = {i & 1 ? b->hi[0] : b->lo[0], i & 2 ? b->hi[1] : b->lo[1],
                   i & 4 ? b->hi[2] : b->lo[2]};
    gw_lean_point(lean, p);
    for (int axis = 0; axis < 3; ++axis) {
      lo[axis] = i == 0 || p[axis] < lo[axis] ? p[axis] : lo[axis];
      hi[axis] = i == 0 || p[axis] > hi[axis] ? p[axis] : hi[axis];
    }
  }
  memcpy(b->lo, lo, sizeof lo);
  memcpy(b->hi, hi, sizeof hi);
  return upright || gw_cut_block(sides, 4, b);
}

/* ---- what takes wood away ------------------------------------------------------------ */

bool gw_half_cuts(const gw_sheets_job *job, int index) {
  const gw_half *half = &job->model->halves[index];
  if (half->joint < 0) return false;
  const gw_kind kind = job->model->joints[half->joint].kind;
  const gw_seating *s = &job->fit->seatings[half->joint];
  if (s->style == GW_CROSS) return true;
  if (half->enters || gw_kind_of(kind)->seat == GW_FACE) return false;
  bool tails = kind == GW_THROUGH_DOVETAIL || kind == GW_LAPPED_DOVETAIL || kind == GW_COMB;
  return !tails || s->count <= 1; /* counted ones are painted */
}

/* ---- cells -------------------------------------------------------------------------- */

enum { WOOD = 1, CUT = 2, ZONE = 3 };

/* The part's boxes, and the grid of all planes that bound them. */
typedef struct solid {
  gw_box boxes[BOXES_MOST]; /* wood, then cuts */
  int n_wood, n_boxes;
  gw_zone zones[GW_ZONES_MOST];
  int n_zones;
  gw_len planes[3][2 * (BOXES_MOST + GW_ZONES_MOST)];
  int n[3];                 /* cells along each axis */
  unsigned char *cells;     /* 0 air, 1 wood, 2 cut away, from ZONE on wood of a zone */
  unsigned char now;        /* what is being made: the wood, or that of one of the zones */
  double shift[3];
  int part;
} solid;

static int by_value(const void *left, const void *right) {
  gw_len a = *(const gw_len *)left, b = *(const gw_len *)right;
  return a < b ? -1 : a > b;
}

static void find_planes(solid *s, int axis) {
  int count = 0, kept = 0;
  gw_len *planes = s->planes[axis];
  for (int i = 0; i < s->n_boxes; ++i) {
    planes[count++] = s->boxes[i].lo[axis];
    planes[count++] = s->boxes[i].hi[axis];
  }
  for (int i = 0; i < s->n_zones; ++i) {
    planes[count++] = s->zones[i].box.lo[axis];
    planes[count++] = s->zones[i].box.hi[axis];
  }
  qsort(planes, (size_t)count, sizeof *planes, by_value);
  for (int i = 0; i < count; ++i)
    if (kept == 0 || planes[i] - planes[kept - 1] > SNAP) planes[kept++] = planes[i];
  s->n[axis] = kept - 1;
}

/* The plane nearest to a value that one of the boxes has. */
static int plane_of(const solid *s, int axis, gw_len value) {
  int at = 0;
  while (at < s->n[axis] && s->planes[axis][at + 1] <= value) ++at;
  return at;
}

static size_t cell(const solid *s, int x, int y, int z) {
  return ((size_t)x * (size_t)s->n[1] + (size_t)y) * (size_t)s->n[2] + (size_t)z;
}

/* Air outside of the grid. */
static int at_cell(const solid *s, const int c[3]) {
  for (int axis = 0; axis < 3; ++axis)
    if (c[axis] < 0 || c[axis] >= s->n[axis]) return 0;
  return s->cells[cell(s, c[0], c[1], c[2])];
}

static bool is_wood(const solid *s, const int c[3]) {
  return at_cell(s, c) == WOOD || at_cell(s, c) >= ZONE;
}

/* Marks the cells of a box; what is cut away, only where wood is. */
static void fill_box(solid *s, const gw_box *box, int value) {
  int lo[3], hi[3];
  for (int axis = 0; axis < 3; ++axis) {
    lo[axis] = plane_of(s, axis, box->lo[axis]);
    hi[axis] = plane_of(s, axis, box->hi[axis]);
  }
  for (int x = lo[0]; x < hi[0]; ++x)
    for (int y = lo[1]; y < hi[1]; ++y)
      for (int z = lo[2]; z < hi[2]; ++z) {
        unsigned char *at = &s->cells[cell(s, x, y, z)];
        if (value != CUT || *at == WOOD) *at = (unsigned char)value;
      }
}

static gw_status fill_cells(solid *s) {
  for (int axis = 0; axis < 3; ++axis) find_planes(s, axis);
  size_t count = (size_t)s->n[0] * (size_t)s->n[1] * (size_t)s->n[2];
  if (count > CELLS_MOST) { /* too rich to draw: the body alone */
    s->n_wood = s->n_boxes = 1;
    s->n_zones = 0;
    for (int axis = 0; axis < 3; ++axis) find_planes(s, axis);
    count = (size_t)s->n[0] * (size_t)s->n[1] * (size_t)s->n[2];
  }
  s->cells = calloc(count + 1, 1);
  if (s->cells == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < s->n_boxes; ++i) fill_box(s, &s->boxes[i], i < s->n_wood ? WOOD : CUT);
  for (int i = 0; i < s->n_zones; ++i) fill_box(s, &s->zones[i].box, ZONE + i);
  return GW_OK;
}

static void add_cuts(solid *s, const gw_sheets_job *job) {
  const gw_part *p = &job->model->parts[s->part];
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i) {
    if (!gw_half_cuts(job, i) || s->n_boxes >= BOXES_MOST) continue;
    gw_box box = gw_half_space(job, i), whole = job->fit->boxes[s->part];
    gw_tails_trim(job, s->part, &box);
    for (int axis = 0; axis < 3; ++axis) {
      if (box.lo[axis] < whole.lo[axis]) box.lo[axis] = whole.lo[axis];
      if (box.hi[axis] > whole.hi[axis]) box.hi[axis] = whole.hi[axis];
      if (box.hi[axis] < box.lo[axis]) box.hi[axis] = box.lo[axis];
    }
    s->boxes[s->n_boxes++] = box;
  }
}

/* A tenon cut plumb is known by its place on the shoulder, all else midway up. */
static void take_midway(const gw_leaning *lean, const gw_stand *stand, gw_box *box) {
  double middle = gw_len_mm(box->lo[GW_Z] + box->hi[GW_Z]) / 2 + stand->shift[GW_Z];
  double height = fmin(fmax(middle, lean->upright[0]), lean->upright[1]);
  for (int axis = 0; axis < 2; ++axis) {
    double at = gw_len_mm(box->lo[axis] + box->hi[axis]) / 2 + stand->shift[axis];
    gw_len by = (gw_len)llround(slope_at(lean, axis, at) * (height - lean->level) * GW_MM);
    box->lo[axis] -= by;
    box->hi[axis] -= by;
  }
}

static void gather(solid *s, const gw_sheets_job *job, const gw_stand *stand) {
  s->part = stand->part;
  memcpy(s->shift, stand->shift, sizeof s->shift);
  if (!job->fit->placed) {
    s->boxes[0] = *stand->box;
    s->n_wood = s->n_boxes = 1;
    return;
  }
  gw_solid wood[BOXES_MOST / 2];
  s->n_wood = gw_fit_wood(job->fit, job->model, stand->part, wood, BOXES_MOST / 2);
  if (s->n_wood > BOXES_MOST / 2) s->n_wood = BOXES_MOST / 2;
  gw_leaning lean = gw_leaning_of(job, stand);
  static const gw_slant none = {{0, 0, 0, 0}};
  for (int i = 0; i < s->n_wood; ++i) {
    s->boxes[i] = wood[i].box;
    if (lean.on && i > 0 && memcmp(&wood[i].slant, &none, sizeof none) == 0)
      take_midway(&lean, stand, &s->boxes[i]);
  }
  s->n_boxes = s->n_wood;
  add_cuts(s, job);
  s->n_zones = gw_flank_zones(job, stand, s->zones);
}

static double place(const solid *s, int axis, int plane) {
  return gw_len_mm(s->planes[axis][plane]) + s->shift[axis];
}

/* ---- blocks ------------------------------------------------------------------------- */

/* Whether all cells from lo to hi (exclusive) are wood not yet taken. */
static bool all_free(const solid *s, const unsigned char *taken, const int lo[3], const int hi[3]) {
  for (int x = lo[0]; x < hi[0]; ++x)
    for (int y = lo[1]; y < hi[1]; ++y)
      for (int z = lo[2]; z < hi[2]; ++z) {
        size_t at = cell(s, x, y, z);
        if (s->cells[at] != s->now || taken[at]) return false;
      }
  return true;
}

static void take(const solid *s, unsigned char *taken, const int lo[3], const int hi[3]) {
  for (int x = lo[0]; x < hi[0]; ++x)
    for (int y = lo[1]; y < hi[1]; ++y)
      for (int z = lo[2]; z < hi[2]; ++z) taken[cell(s, x, y, z)] = 1;
}

/* Whether what is upright begins at a height. */
static bool is_shoulder(const gw_leaning *lean, double height) {
  return fabs(height - lean->upright[0]) < 0.01 || fabs(height - lean->upright[1]) < 0.01;
}

/* Grows a block from one cell along one axis after the other: not over the shoulder
 * from what leans to what is upright. */
static void grow_block(const solid *s, const gw_leaning *lean, const unsigned char *taken,
                       const int lo[3], int hi[3]) {
  for (int axis = 0; axis < 3; ++axis) {
    int edge_lo[3] = {lo[0], lo[1], lo[2]}, edge_hi[3] = {hi[0], hi[1], hi[2]};
    while (hi[axis] < s->n[axis]) {
      edge_lo[axis] = hi[axis];
      edge_hi[axis] = hi[axis] + 1;
      if (!all_free(s, taken, edge_lo, edge_hi)) break;
      if (axis == GW_Z && lean->on && is_shoulder(lean, place(s, axis, hi[axis]))) break;
      ++hi[axis];
    }
  }
}

static void block_on_paper(const gw_view *view, gw_block *b) {
  for (int i = 0; i < (b->n_cuts > 0 ? b->n_corners : 8); ++i) {
    const double of_box[3] = {i & 1 ? b->hi[0] : b->lo[0], i & 2 ? b->hi[1] : b->lo[1],
                              i & 4 ? b->hi[2] : b->lo[2]};
    gw_spot spot = gw_view_spot(view, b->n_cuts > 0 ? b->corners[i].p : of_box);
    if (i == 0 || spot.x < b->left) b->left = spot.x;
    if (i == 0 || spot.x > b->right) b->right = spot.x;
    if (i == 0 || spot.y < b->top) b->top = spot.y;
    if (i == 0 || spot.y > b->bottom) b->bottom = spot.y;
  }
}

/* The faces that the cuts of a block leave, where they face the viewer. */
static gw_status add_slants(gw_scene *scene, const gw_block *b, int part) {
  for (int i = 0; i < b->n_cuts; ++i) {
    double corners[GW_CORNERS_MOST][3];
    int count = 0;
    for (int k = 0; k < b->n_corners; ++k)
      if (b->corners[k].sides >> (6 + i) & 1)
        memcpy(corners[count++], b->corners[k].p, sizeof *corners);
    GW_TRY(gw_scene_add_slant(scene, &b->cuts[i], part, (const double(*)[3])corners, count));
  }
  return GW_OK;
}

static gw_status add_block(gw_scene *scene, const solid *s, const int lo[3], const int hi[3]) {
  GW_TRY(gw_grow(&scene->blocks, &scene->blocks_room, scene->n_blocks + 1, sizeof(gw_block)));
  gw_block *b = &scene->blocks[scene->n_blocks];
  b->n_cuts = 0;
  for (int axis = 0; axis < 3; ++axis) {
    b->lo[axis] = place(s, axis, lo[axis]);
    b->hi[axis] = place(s, axis, hi[axis]);
  }
  if (scene->lean.on && !lean_block(&scene->lean, b)) return GW_OK;
  if (scene->n_cuts > 0 && !gw_cut_block(scene->cuts, scene->n_cuts, b)) return GW_OK;
  ++scene->n_blocks;
  block_on_paper(&scene->view, b);
  return scene->lean.on ? GW_OK : add_slants(scene, b, s->part);
}

static gw_status add_blocks(gw_scene *scene, const solid *s) {
  unsigned char *taken = calloc((size_t)s->n[0] * (size_t)s->n[1] * (size_t)s->n[2] + 1, 1);
  gw_status status = taken == NULL ? GW_NO_MEMORY : GW_OK;
  for (int x = 0; x < s->n[0] && status == GW_OK; ++x)
    for (int y = 0; y < s->n[1] && status == GW_OK; ++y)
      for (int z = 0; z < s->n[2] && status == GW_OK; ++z) {
        const int lo[3] = {x, y, z};
        int hi[3] = {x + 1, y + 1, z + 1};
        if (!all_free(s, taken, lo, hi)) continue;
        grow_block(s, &scene->lean, taken, lo, hi);
        take(s, taken, lo, hi);
        status = add_block(scene, s, lo, hi);
      }
  free(taken);
  return status;
}

/* ---- facets ------------------------------------------------------------------------- */

static int shade_of(gw_dir side) {
  int axis = gw_dir_axis(side);
  return axis == GW_Z ? GW_SHADE_TOP : axis == GW_Y ? GW_SHADE_FRONT : GW_SHADE_SIDE;
}

static gw_status add_face(gw_scene *scene, gw_facet face, const double corners[][3], int count) {
  if (count < 3 || count > GW_SPOTS_MOST) return GW_OK;
  face.n = count;
  for (int i = 0; i < count; ++i) face.spots[i] = gw_view_spot(&scene->view, corners[i]);
  GW_TRY(gw_grow(&scene->facets, &scene->facets_room, scene->n_facets + 1, sizeof(gw_facet)));
  scene->facets[scene->n_facets++] = face;
  return GW_OK;
}

/* Square to two sides of the face, on the side given. */
static gw_plane plane_through(const double corners[4][3], gw_dir side) {
  gw_plane plane = {.at = 0};
  const double *o = corners[0], *a = corners[1], *b = corners[3];
  double length = 0;
  for (int i = 0; i < 3; ++i) {
    int j = (i + 1) % 3, k = (i + 2) % 3;
    plane.n[i] = (a[j] - o[j]) * (b[k] - o[k]) - (a[k] - o[k]) * (b[j] - o[j]);
    length += plane.n[i] * plane.n[i];
  }
  length = sqrt(length) * (plane.n[gw_dir_axis(side)] * gw_dir_sign(side) < 0 ? -1 : 1);
  for (int i = 0; i < 3; ++i) {
    plane.n[i] = fabs(length) > 0 ? plane.n[i] / length : 0;
    plane.at += plane.n[i] * o[i];
  }
  return plane;
}

/* A face of a part that leans: it may be seen from where an upright one is not. */
static gw_status add_leaning(gw_scene *scene, gw_dir side, int part, int shade,
                             const double corners[4][3]) {
  double leaning[4][3], facing = 0;
  memcpy(leaning, corners, sizeof leaning);
  for (int i = 0; i < 4; ++i) gw_lean_point(&scene->lean, leaning[i]);
  gw_facet face = {.part = part, .shade = shade};
  face.plane = plane_through((const double(*)[3])leaning, side);
  for (int axis = 0; axis < 3; ++axis) facing += face.plane.n[axis] * scene->view.toward[axis];
  return facing < 1e-6 ? GW_OK : add_face(scene, face, (const double(*)[3])leaning, 4);
}

gw_status gw_scene_add_facet(gw_scene *scene, gw_dir side, int part, int shade,
                             const double corners[4][3]) {
  int axis = gw_dir_axis(side), sign = gw_dir_sign(side);
  if (scene->lean.on) return add_leaning(scene, side, part, shade, corners);
  double cut[GW_CORNERS_MOST][3];
  if (!gw_view_faces(&scene->view, side)) return GW_OK;
  gw_facet face = {.part = part, .shade = shade};
  face.plane.n[axis] = sign;
  face.plane.at = sign * corners[0][axis];
  memcpy(cut, corners, 4 * sizeof *cut);
  int count = gw_cut_face(scene->cuts, scene->n_cuts, cut, 4);
  return add_face(scene, face, (const double(*)[3])cut, count);
}

gw_status gw_scene_add_slant(gw_scene *scene, const gw_plane *plane, int part,
                             const double corners[][3], int count) {
  double facing = 0, round[GW_CORNERS_MOST][3];
  for (int axis = 0; axis < 3; ++axis) facing += plane->n[axis] * scene->view.toward[axis];
  if (facing < 1e-6 || count < 3) return GW_OK;
  gw_facet face = {.part = part, .shade = GW_SHADE_CUT, .plane = *plane};
  memcpy(round, corners, (size_t)count * sizeof *round);
  gw_view_sort_round(&scene->view, round, count);
  return add_face(scene, face, (const double(*)[3])round, count);
}

/* One layer of cells seen from outside: which of their faces are to be drawn. */
typedef struct layer {
  int axis, a, b, at; /* the two axes in the layer; the cell's place along axis */
  gw_dir side;
  unsigned char *mask; /* n[a] x n[b]; 0 none, 1 outside, 2 inside a cut */
} layer;

static void find_mask(const solid *s, layer *l) {
  for (int i = 0; i < s->n[l->a]; ++i)
    for (int j = 0; j < s->n[l->b]; ++j) {
      int here[3] = {0}, outer[3];
      here[l->axis] = l->at;
      here[l->a] = i;
      here[l->b] = j;
      memcpy(outer, here, sizeof outer);
      outer[l->axis] += gw_dir_sign(l->side);
      int beyond = at_cell(s, outer);
      l->mask[i * s->n[l->b] + j] =
          (unsigned char)(at_cell(s, here) != s->now || beyond == WOOD || beyond >= ZONE ? 0
                          : beyond == CUT                                            ? 2
                                                                                     : 1);
    }
}

static bool row_is(const solid *s, const layer *l, int i, int j0, int j1, unsigned char value) {
  for (int j = j0; j < j1; ++j)
    if (l->mask[i * s->n[l->b] + j] != value) return false;
  return true;
}

/* The edges of the slanting faces: where the cuts go through a face. */
static gw_status add_traces(gw_scene *scene, const double corners[4][3]) {
  for (int i = 0; i < scene->n_cuts; ++i) {
    double a[3], b[3];
    const gw_plane *cut = &scene->cuts[i];
    if (!cut->torn && gw_cut_trace(cut, corners, 4, a, b))
      GW_TRY(gw_scene_add_edge(scene, a, b, cut->closed));
  }
  return GW_OK;
}

static gw_status add_rectangle(gw_scene *scene, const solid *s, const layer *l, const int lo[2],
                               const int hi[2], unsigned char value) {
  double at = place(s, l->axis, l->at + (gw_dir_sign(l->side) > 0)), corners[4][3];
  for (int i = 0; i < 4; ++i) {
    corners[i][l->axis] = at;
    corners[i][l->a] = place(s, l->a, i == 1 || i == 2 ? hi[0] : lo[0]);
    corners[i][l->b] = place(s, l->b, i >= 2 ? hi[1] : lo[1]);
  }
  int shade = value == 2 ? GW_SHADE_CUT : shade_of(l->side);
  GW_TRY(add_traces(scene, (const double(*)[3])corners));
  return gw_scene_add_facet(scene, l->side, s->part, shade, (const double(*)[3])corners);
}

/* Joins neighbouring faces of one kind into rectangles. */
static gw_status add_layer(gw_scene *scene, const solid *s, layer *l) {
  int rows = s->n[l->a], columns = s->n[l->b];
  find_mask(s, l);
  for (int i = 0; i < rows; ++i)
    for (int j = 0; j < columns; ++j) {
      unsigned char value = l->mask[i * columns + j];
      if (value == 0) continue;
      int lo[2] = {i, j}, hi[2] = {i + 1, j + 1};
      while (hi[1] < columns && l->mask[i * columns + hi[1]] == value) ++hi[1];
      while (hi[0] < rows && row_is(s, l, hi[0], j, hi[1], value)) ++hi[0];
      GW_TRY(add_rectangle(scene, s, l, lo, hi, value));
      for (int k = lo[0]; k < hi[0]; ++k)
        memset(&l->mask[k * columns + j], 0, (size_t)(hi[1] - j));
    }
  return GW_OK;
}

/* Of a part with cuts all sides are gone through, since those that face away
 * have edges too. */
static gw_status add_facets(gw_scene *scene, const solid *s) {
  gw_status status = GW_OK;
  for (int side = 0; side < 6 && status == GW_OK; ++side) {
    int axis = gw_dir_axis((gw_dir)side);
    bool square = scene->n_cuts == 0 && !scene->lean.on;
    if (square && !gw_view_faces(&scene->view, (gw_dir)side)) continue;
    layer l = {.axis = axis, .a = (axis + 1) % 3, .b = (axis + 2) % 3, .side = (gw_dir)side};
    l.mask = malloc((size_t)s->n[l.a] * (size_t)s->n[l.b] + 1);
    if (l.mask == NULL) return GW_NO_MEMORY;
    for (l.at = 0; l.at < s->n[axis] && status == GW_OK; ++l.at) status = add_layer(scene, s, &l);
    free(l.mask);
  }
  return status;
}

/* ---- edges -------------------------------------------------------------------------- */

gw_status gw_scene_add_edge(gw_scene *scene, const double from[3], const double to[3], bool thin) {
  double a[3] = {from[0], from[1], from[2]}, b[3] = {to[0], to[1], to[2]};
  if (!gw_cut_line(scene->cuts, scene->n_cuts, a, b)) return GW_OK;
  gw_lean_point(&scene->lean, a);
  gw_lean_point(&scene->lean, b);
  GW_TRY(gw_grow(&scene->edges, &scene->edges_room, scene->n_edges + 1, sizeof(gw_edge)));
  gw_edge *e = &scene->edges[scene->n_edges++];
  memcpy(e->a, a, sizeof e->a);
  memcpy(e->b, b, sizeof e->b);
  e->thin = thin;
  return GW_OK;
}

/* A line of the grid along `axis`, at planes j and k of the axes b and c. */
typedef struct run {
  int axis, b, c, j, k;
} run;

/* Whether the wood turns a corner round this step of the line: one or three of
 * the four cells about it, or two across from each other.  0: it does not;
 * 2: where something is cut away; else 1. */
static int edge_kind(const solid *s, const run *r, int i) {
  unsigned round = 0;
  int count = 0, kind = 1, whose = WOOD;
  for (int q = 0; q < 4; ++q) {
    int at[3] = {0};
    at[r->axis] = i;
    at[r->b] = r->j - (q & 1);
    at[r->c] = r->k - (q >> 1);
    if (at_cell(s, at) == 2) kind = 2;
    if (!is_wood(s, at)) continue;
    round |= 1u << q;
    ++count;
    if (at_cell(s, at) > whose) whose = at_cell(s, at);
  }
  if (whose != s->now) return 0; /* it is an edge of a zone, or of the wood beside */
  return count == 1 || count == 3 || round == 0x9 || round == 0x6 ? kind : 0;
}

/* Whether a veil lies over the line; then it reaches from *lo to *hi. */
static bool veiled(const solid *s, const run *r, const gw_box *box, double *lo, double *hi) {
  gw_len b = s->planes[r->b][r->j], c = s->planes[r->c][r->k];
  if (b < box->lo[r->b] || b > box->hi[r->b] || c < box->lo[r->c] || c > box->hi[r->c])
    return false;
  *lo = gw_len_mm(box->lo[r->axis]) + s->shift[r->axis];
  *hi = gw_len_mm(box->hi[r->axis]) + s->shift[r->axis];
  return true;
}

/* Adds the stretch from..to of the line, less the veils from the `v`th on. */
static gw_status add_stretch(gw_scene *scene, const solid *s, const run *r, const gw_veils *veils,
                             int v, double from, double to, bool thin) {
  double lo, hi;
  for (; v < veils->n; ++v) {
    if (!veiled(s, r, &veils->boxes[v], &lo, &hi) || hi <= from || lo >= to) continue;
    if (lo > from) GW_TRY(add_stretch(scene, s, r, veils, v + 1, from, lo, thin));
    if (hi >= to) return GW_OK;
    from = hi;
  }
  if (to - from < 0.05) return GW_OK;
  double a[3], b[3];
  a[r->axis] = from;
  b[r->axis] = to;
  a[r->b] = b[r->b] = place(s, r->b, r->j);
  a[r->c] = b[r->c] = place(s, r->c, r->k);
  return gw_scene_add_edge(scene, a, b, thin);
}

static gw_status add_run(gw_scene *scene, const solid *s, const run *r, const gw_veils *veils) {
  int count = s->n[r->axis];
  for (int i = 0; i < count; ++i) {
    int kind = edge_kind(s, r, i), end = i + 1;
    if (kind == 0) continue;
    while (end < count && edge_kind(s, r, end) == kind) ++end;
    GW_TRY(add_stretch(scene, s, r, veils, 0, place(s, r->axis, i), place(s, r->axis, end),
                       kind == 2));
    i = end - 1;
  }
  return GW_OK;
}

static gw_status add_edges(gw_scene *scene, const solid *s, const gw_veils *veils) {
  for (int axis = 0; axis < 3; ++axis) {
    run r = {.axis = axis, .b = (axis + 1) % 3, .c = (axis + 2) % 3};
    for (r.j = 0; r.j <= s->n[r.b]; ++r.j)
      for (r.k = 0; r.k <= s->n[r.c]; ++r.k) GW_TRY(add_run(scene, s, &r, veils));
  }
  return GW_OK;
}

/* ---- the whole part ----------------------------------------------------------------- */

static gw_status add_wood(gw_scene *scene, const solid *s, const gw_veils *veils) {
  GW_TRY(add_blocks(scene, s));
  GW_TRY(add_facets(scene, s));
  return add_edges(scene, s, veils);
}

/* The zones, each cut off at its flanks too. */
static gw_status add_zones(gw_scene *scene, solid *s, const gw_veils *veils) {
  const int before = scene->n_cuts;
  for (int i = 0; i < s->n_zones; ++i) {
    scene->n_cuts = before;
    for (int k = 0; k < s->zones[i].n && scene->n_cuts < GW_CUTS_MOST; ++k)
      scene->cuts[scene->n_cuts++] = s->zones[i].planes[k];
    s->now = (unsigned char)(ZONE + i);
    GW_TRY(add_wood(scene, s, veils));
  }
  return GW_OK;
}

static void set_cuts(gw_scene *scene, const gw_sheets_job *job, const gw_stand *stand) {
  scene->lean = gw_leaning_of(job, stand);
  scene->n_cuts = scene->lean.on ? 0 : gw_mitre_planes(job, stand, scene->cuts);
  for (int i = 0; i < stand->n_window && !scene->lean.on && scene->n_cuts < GW_CUTS_MOST; ++i)
    scene->cuts[scene->n_cuts++] = stand->window[i];
}

static gw_status add_part(gw_scene *scene, const gw_sheets_job *job, const gw_stand *stand,
                          solid *s, gw_veils *veils) {
  s->now = WOOD;
  gather(s, job, stand);
  gw_tails_veil(job, stand, veils);
  set_cuts(scene, job, stand);
  GW_TRY(fill_cells(s));
  GW_TRY(add_wood(scene, s, veils));
  GW_TRY(gw_tails_paint(scene, job, stand));
  GW_TRY(gw_flanks_paint(scene, job, stand));
  return add_zones(scene, s, veils);
}

gw_status gw_scene_add_part(gw_scene *scene, const gw_sheets_job *job, const gw_stand *stand) {
  solid *s = calloc(1, sizeof *s);
  gw_veils *veils = calloc(1, sizeof *veils);
  gw_status status = s == NULL || veils == NULL ? GW_NO_MEMORY : GW_OK;
  if (status == GW_OK) status = add_part(scene, job, stand, s, veils);
  scene->n_cuts = 0;
  scene->lean.on = false;
  if (s != NULL) free(s->cells);
  free(s);
  free(veils);
  return status;
}

void gw_scene_clear(gw_scene *scene) {
  free(scene->blocks);
  free(scene->facets);
  free(scene->edges);
  scene->blocks = NULL;
  scene->facets = NULL;
  scene->edges = NULL;
  scene->n_blocks = scene->n_facets = scene->n_edges = 0;
  scene->blocks_room = scene->facets_room = scene->edges_room = 0;
}
