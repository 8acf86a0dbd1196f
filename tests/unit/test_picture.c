/* Drawings: what is hidden, against rays cast box by box; tails against their
 * rules; marks against each other; and what is in the files. */
#pragma GCC diagnostic ignored "-Wunused-function" /* not all of the probe is needed here */
#include "pdf_ops.h"

#include <math.h>

#include "sheets/picture_inner.h"

#define CHEST "projects/lantern-chest.xml"
#define DOOR "projects/pantry-door.xml"
#define TABLE "projects/side-table.xml"
#define BOOKCASE "projects/study-bookcase.xml"
#define FRAME "projects/gallery-frame.xml"
#define RACK "projects/coat-rack.xml"

static const char *const PROJECTS[] = {CHEST, DOOR, TABLE, BOOKCASE, FRAME, RACK};
enum { N_PROJECTS = sizeof PROJECTS / sizeof *PROJECTS };

/* Numbers by chance, the same on every machine. */
static unsigned chance(unsigned *seed) {
  *seed = *seed * 1664525u + 1013904223u;
  return *seed >> 8;
}

static double between(unsigned *seed, double lo, double hi) {
  return lo + (hi - lo) * (chance(seed) % 100000) / 100000.0;
}

/* ---- views -------------------------------------------------------------------------- */

static double dot(const double a[3], const double b[3]) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/* Right and down on paper and the way to the viewer stand square to each other,
 * and are not a mirror: right x up points to the viewer. */
static void check_view(const gw_view *view) {
  double toward[3], up[3], out[3];
  for (int i = 0; i < 3; ++i) {
    toward[i] = view->toward[i];
    up[i] = -view->v[i];
  }
  double length = sqrt(dot(toward, toward));
  for (int i = 0; i < 3; ++i)
    out[i] = view->u[(i + 1) % 3] * up[(i + 2) % 3] - view->u[(i + 2) % 3] * up[(i + 1) % 3];
  ck_assert_double_eq_tol(dot(view->u, view->u), 1, 1e-12);
  ck_assert_double_eq_tol(dot(view->v, view->v), 1, 1e-12);
  ck_assert_double_eq_tol(dot(view->u, view->v), 0, 1e-12);
  for (int i = 0; i < 3; ++i) ck_assert_double_eq_tol(out[i], toward[i] / length, 1e-12);
}

START_TEST(views_are_no_mirrors) {
  gw_view iso = gw_view_isometric();
  check_view(&iso);
  const double z[3] = {0, 0, 1}, x[3] = {1, 0, 0}, y[3] = {0, 1, 0};
  ck_assert_double_eq_tol(dot(iso.u, z), 0, 1e-12); /* up stays up */
  ck_assert(dot(iso.v, z) < 0);
  /* Equal angles: the three axes are drawn equally long. */
  double lx = hypot(dot(iso.u, x), dot(iso.v, x)), ly = hypot(dot(iso.u, y), dot(iso.v, y));
  ck_assert_double_eq_tol(lx, ly, 1e-12);
  ck_assert_double_eq_tol(lx, -dot(iso.v, z), 1e-12);
  for (int axis = 0; axis < 3; ++axis) {
    gw_view onto = gw_view_onto((gw_axis)axis);
    check_view(&onto);
    ck_assert_double_eq_tol(dot(onto.u, z), 0, 1e-12);
    ck_assert(dot(onto.v, z) < 0);
    /* From the same quarter; and what is square to the axis is seen most squarely. */
    for (int side = 0; side < 6; ++side)
      ck_assert(gw_view_faces(&onto, (gw_dir)side) == gw_view_faces(&iso, (gw_dir)side));
    for (int k = 0; k < 3; ++k)
      ck_assert(k == axis || fabs(onto.toward[k]) < 0.6 * fabs(onto.toward[axis]));
  }
  for (int side = 0; side < 6; ++side) {
    gw_view flat = gw_view_from((gw_dir)side);
    check_view(&flat);
    ck_assert_double_eq(flat.toward[side / 2], side % 2 ? 1 : -1);
    if (side / 2 != GW_Z) ck_assert_double_eq(flat.v[GW_Z], -1);
  }
}
END_TEST

/* ---- hidden or not ------------------------------------------------------------------ */

/* A scene of boxes by chance, added by hand: blocks and edges only. */
static void add_box(gw_scene *scene, const double lo[3], const double hi[3]) {
  ck_assert_int_eq(gw_grow(&scene->blocks, &scene->blocks_room, scene->n_blocks + 1,
                           sizeof(gw_block)), GW_OK);
  gw_block *b = &scene->blocks[scene->n_blocks++];
  memcpy(b->lo, lo, sizeof b->lo);
  memcpy(b->hi, hi, sizeof b->hi);
  b->left = b->top = INFINITY;
  b->right = b->bottom = -INFINITY;
  for (int i = 0; i < 8; ++i) {
    const double p[3] = {i & 1 ? hi[0] : lo[0], i & 2 ? hi[1] : lo[1], i & 4 ? hi[2] : lo[2]};
    gw_spot s = gw_view_spot(&scene->view, p);
    b->left = fmin(b->left, s.x);
    b->right = fmax(b->right, s.x);
    b->top = fmin(b->top, s.y);
    b->bottom = fmax(b->bottom, s.y);
  }
}

/* Cuts a box by a plane near its middle. */
static void cut_by_chance(gw_block *b, unsigned *seed) {
  double length = 0, n[3];
  for (int axis = 0; axis < 3; ++axis) {
    n[axis] = between(seed, -1, 1);
    length += n[axis] * n[axis];
  }
  gw_plane plane = {.at = 0};
  for (int axis = 0; axis < 3; ++axis) {
    plane.n[axis] = n[axis] / sqrt(length);
    plane.at += plane.n[axis] * (b->lo[axis] + b->hi[axis]) / 2;
  }
  ck_assert(gw_cut_block(&plane, 1, b));
  ck_assert_int_eq(b->n_cuts, 1);
}

static gw_scene boxes_by_chance(unsigned *seed, gw_view view) {
  gw_scene scene = {.view = view};
  for (int i = 0; i < 12; ++i) {
    double lo[3], hi[3];
    for (int axis = 0; axis < 3; ++axis) {
      lo[axis] = floor(between(seed, 0, 80));
      hi[axis] = lo[axis] + 2 + floor(between(seed, 0, 50));
    }
    add_box(&scene, lo, hi);
    if (i % 3 == 0) cut_by_chance(&scene.blocks[scene.n_blocks - 1], seed);
  }
  return scene;
}

/* The ray from p to the viewer meets the inside of a box made smaller by
 * `skin`: slab by slab, an axis at a time. */
static bool ray_meets(const gw_view *view, const gw_block *b, const double p[3], double skin) {
  double near = 0, far = INFINITY;
  for (int axis = 0; axis < 3; ++axis) {
    double lo = b->lo[axis] + skin, hi = b->hi[axis] - skin, d = view->toward[axis];
    if (d == 0) {
      if (p[axis] <= lo || p[axis] >= hi) return false;
      continue;
    }
    double t1 = (lo - p[axis]) / d, t2 = (hi - p[axis]) / d;
    near = fmax(near, fmin(t1, t2));
    far = fmin(far, fmax(t1, t2));
  }
  for (int i = 0; i < b->n_cuts; ++i) {
    double d = 0, here = gw_plane_beyond(&b->cuts[i], p) + skin;
    for (int axis = 0; axis < 3; ++axis) d += b->cuts[i].n[axis] * view->toward[axis];
    if (d > 0) far = fmin(far, -here / d);
    else if (d < 0) near = fmax(near, -here / d);
    else if (here >= 0) return false;
  }
  return near < far;
}

/* 1 hidden, 0 seen, -1 too near to an outline to tell. */
static int cast(const gw_scene *scene, const double p[3]) {
  bool surely = false, perhaps = false;
  for (size_t i = 0; i < scene->n_blocks; ++i) {
    surely = surely || ray_meets(&scene->view, &scene->blocks[i], p, 0.15);
    perhaps = perhaps || ray_meets(&scene->view, &scene->blocks[i], p, -0.1);
  }
  return surely ? 1 : perhaps ? -1 : 0;
}

/* The six square ones, the isometric one, and those more onto one side. */
enum { N_VIEWS = 10 };
static gw_view view_of(int i) {
  return i < 6 ? gw_view_from((gw_dir)i) : i == 6 ? gw_view_isometric()
                                                  : gw_view_onto((gw_axis)(i - 7));
}

START_TEST(hidden_stretches_are_those_of_rays) {
  unsigned seed = 11 + (unsigned)_i;
  int hidden = 0, seen = 0;
  for (int round = 0; round < 20; ++round) {
    gw_scene scene = boxes_by_chance(&seed, view_of(_i));
    for (int n = 0; n < 40; ++n) {
      gw_edge edge = {.thin = false};
      gw_stretch out[64];
      for (int axis = 0; axis < 3; ++axis) {
        edge.a[axis] = between(&seed, -5, 130);
        edge.b[axis] = between(&seed, -5, 130);
      }
      size_t count = gw_scene_seen(&scene, &edge, out, 64);
      for (size_t k = 1; k < count; ++k) ck_assert(out[k - 1].to <= out[k].from);
      for (int k = 0; k <= 50; ++k) {
        double t = k / 50.0, p[3];
        for (int axis = 0; axis < 3; ++axis)
          p[axis] = edge.a[axis] + t * (edge.b[axis] - edge.a[axis]);
        bool is_seen = false;
        for (size_t m = 0; m < count; ++m)
          is_seen = is_seen || (t >= out[m].from && t <= out[m].to);
        int by_ray = cast(&scene, p);
        if (by_ray < 0) continue;
        ck_assert_msg(is_seen == (by_ray == 0), "round %d edge %d t %.2f", round, n, t);
        ck_assert(gw_scene_hides(&scene, p) == (by_ray == 1));
        hidden += by_ray;
        seen += !by_ray;
      }
    }
    gw_scene_clear(&scene);
  }
  ck_assert_int_gt(hidden, 500); /* both happened */
  ck_assert_int_gt(seen, 500);
}
END_TEST

static bool in_piece(const gw_piece *p, gw_spot s, double by) {
  bool clockwise = true, counter = true;
  for (int i = 0; i < p->n; ++i) {
    gw_spot a = p->spots[i], b = p->spots[(i + 1) % p->n];
    double length = hypot(b.x - a.x, b.y - a.y);
    double off = ((b.x - a.x) * (s.y - a.y) - (b.y - a.y) * (s.x - a.x)) / fmax(length, 1e-9);
    clockwise = clockwise && off >= -by;
    counter = counter && off <= by;
  }
  return clockwise || counter;
}

/* Of a flat rectangle among boxes, what is left to be seen: each point of it is
 * in one piece exactly when no ray from it meets a box. */
START_TEST(seen_pieces_are_those_of_rays) {
  unsigned seed = 77 + (unsigned)_i;
  int hidden = 0, seen = 0;
  for (int round = 0; round < 60; ++round) {
    gw_scene scene = boxes_by_chance(&seed, view_of(_i));
    int axis = (int)(chance(&seed) % 3);
    if (scene.view.toward[axis] == 0) axis = _i / 2;
    double corners[4][3], at = floor(between(&seed, 0, 120)), lo[3], hi[3];
    for (int k = 0; k < 3; ++k) {
      lo[k] = between(&seed, -10, 40);
      hi[k] = lo[k] + between(&seed, 10, 90);
    }
    int b = (axis + 1) % 3, c = (axis + 2) % 3;
    for (int k = 0; k < 4; ++k) {
      corners[k][axis] = at;
      corners[k][b] = k == 1 || k == 2 ? hi[b] : lo[b];
      corners[k][c] = k >= 2 ? hi[c] : lo[c];
    }
    gw_dir side = gw_dir_of(axis, scene.view.toward[axis] > 0 ? 1 : -1);
    ck_assert_int_eq(gw_scene_add_facet(&scene, side, 0, 0, (const double(*)[3])corners), GW_OK);
    ck_assert_uint_eq(scene.n_facets, 1);
    gw_piece *pieces = NULL;
    size_t count = 0, room = 0;
    ck_assert_int_eq(gw_scene_pieces(&scene, &scene.facets[0], &pieces, &count, &room), GW_OK);
    for (int n = 0; n < 200; ++n) {
      double p[3];
      p[axis] = at;
      p[b] = between(&seed, lo[b], hi[b]);
      p[c] = between(&seed, lo[c], hi[c]);
      int by_ray = cast(&scene, p), strictly = 0, loosely = 0;
      gw_spot s = gw_view_spot(&scene.view, p);
      for (size_t k = 0; k < count; ++k) {
        strictly += in_piece(&pieces[k], s, -0.05);
        loosely += in_piece(&pieces[k], s, 0.2);
      }
      if (by_ray < 0) continue;
      ck_assert_int_le(strictly, 1); /* pieces do not lie over one another */
      ck_assert_msg(by_ray == 1 ? strictly == 0 : loosely > 0, "round %d point %d", round, n);
      hidden += by_ray;
      seen += !by_ray;
    }
    free(pieces);
    gw_scene_clear(&scene);
  }
  ck_assert_int_gt(hidden, 300);
  ck_assert_int_gt(seen, 300);
}
END_TEST

/* ---- solids ------------------------------------------------------------------------- */

static int part_named(const probe *p, const char *id) {
  for (int i = 0; i < p->job.model->n_parts; ++i)
    if (strcmp(p->job.model->parts[i].id, id) == 0) return i;
  ck_abort_msg("no part %s", id);
  return -1;
}

static bool in_block(const gw_block *b, const double p[3], double by) {
  for (int axis = 0; axis < 3; ++axis)
    if (p[axis] < b->lo[axis] - by || p[axis] > b->hi[axis] + by) return false;
  for (int i = 0; i < b->n_cuts; ++i)
    if (gw_plane_beyond(&b->cuts[i], p) > by) return false;
  return true;
}

/* The area of a side, as it shows along the axis that it is most square to. */
static double area_along(const gw_block *b, int side, int axis) {
  const int u = (axis + 1) % 3, v = (axis + 2) % 3;
  gw_view flat = {.u = {0}, .v = {0}};
  flat.u[u] = flat.v[v] = 1;
  double corners[GW_CORNERS_MOST][3], twice = 0;
  int count = 0;
  for (int i = 0; i < b->n_corners; ++i)
    if (b->corners[i].sides >> side & 1)
      memcpy(corners[count++], b->corners[i].p, sizeof *corners);
  gw_view_sort_round(&flat, corners, count);
  for (int i = 0; i < count; ++i) {
    const double *p = corners[i], *q = corners[(i + 1) % count];
    twice += p[u] * q[v] - p[v] * q[u];
  }
  return fabs(twice) / 2;
}

/* The sum of the pyramids from the middle to each side. */
static double volume_of_cut(const gw_block *b) {
  double sum = 0, middle[3] = {0, 0, 0};
  for (int i = 0; i < b->n_corners; ++i)
    for (int axis = 0; axis < 3; ++axis) middle[axis] += b->corners[i].p[axis] / b->n_corners;
  for (int side = 0; side < 6 + b->n_cuts; ++side) {
    double n[3] = {0, 0, 0}, off;
    if (side < 6) {
      n[side / 2] = 1;
      off = fabs((side % 2 ? b->hi : b->lo)[side / 2] - middle[side / 2]);
    } else {
      memcpy(n, b->cuts[side - 6].n, sizeof n);
      off = -gw_plane_beyond(&b->cuts[side - 6], middle);
    }
    int axis = fabs(n[0]) > fabs(n[1]) ? 0 : 1;
    if (fabs(n[2]) > fabs(n[axis])) axis = 2;
    sum += off * area_along(b, side, axis) / fabs(n[axis]) / 3;
  }
  return sum;
}

static double volume(const gw_scene *scene) {
  double sum = 0;
  for (size_t i = 0; i < scene->n_blocks; ++i) {
    const gw_block *b = &scene->blocks[i];
    sum += b->n_cuts > 0
               ? volume_of_cut(b)
               : (b->hi[0] - b->lo[0]) * (b->hi[1] - b->lo[1]) * (b->hi[2] - b->lo[2]);
  }
  return sum;
}

static gw_scene scene_of_part(const probe *p, const char *id) {
  gw_scene scene = {.view = gw_view_isometric()};
  gw_stand stand = {.part = part_named(p, id)};
  ck_assert_int_eq(gw_scene_add_part(&scene, &p->sheets, &stand), GW_OK);
  return scene;
}

/* A leg of the stool leans 7 and 5 degrees; its tenon is cut plumb, 14 x 22, in the
 * middle of the 34 x 34 of the leg at the shoulder, 18 mm under the end. */
START_TEST(a_plumb_tenon_stands_upright_on_its_leg) {
  probe stool = probe_open("projects/ringers-stool.xml");
  gw_scene leg = scene_of_part(&stool, "leg-fl");
  int part = part_named(&stool, "leg-fl"), found = 0;
  gw_box whole = stool.sheets.fit->boxes[part];
  gw_solid body = gw_fit_solid(stool.sheets.fit, part, whole);
  gw_len shoulder = whole.hi[GW_Z] - 18 * GW_MM;
  gw_box end = gw_solid_section(&body, shoulder);
  for (size_t i = 0; i < leg.n_blocks; ++i) {
    const gw_block *b = &leg.blocks[i];
    if (b->lo[GW_Z] < gw_len_mm(shoulder) - 0.01) continue;
    ++found;
    ck_assert_int_eq(b->n_cuts, 0); /* square */
    for (int axis = 0; axis < 2; ++axis) {
      double middle = gw_len_mm(end.lo[axis] + end.hi[axis]) / 2;
      ck_assert_double_eq_tol((b->lo[axis] + b->hi[axis]) / 2, middle, 0.15);
      ck_assert_double_eq_tol(b->hi[axis] - b->lo[axis], axis == 0 ? 22 : 14, 0.01);
    }
    ck_assert_double_eq_tol(b->hi[GW_Z] - b->lo[GW_Z], 18, 0.01);
  }
  ck_assert_int_eq(found, 1);
  gw_scene_clear(&leg);
  probe_close(&stool);
}
END_TEST

/* The side table's drawer goes in under the top: the top hides the runners, so it is
 * looked through; what the drawer meets is not, nor is the drawer. */
START_TEST(what_hides_open_joints_is_looked_through) {
  probe table = probe_open(TABLE);
  const gw_model *m = table.job.model;
  enum { MOST = 64 };
  int parts[MOST];
  bool shown[MOST], moved[MOST], apart[MOST], ghost[MOST] = {false};
  const double shift[3] = {0, -250, 0};
  ck_assert(m->n_parts <= MOST && m->n_joints <= MOST);
  for (int i = 0; i < m->n_parts; ++i) {
    parts[i] = i;
    shown[i] = true;
    moved[i] = m->parts[i].group >= 0;
  }
  for (int i = 0; i < m->n_joints; ++i)
    apart[i] = moved[gw_joint_enters(m, &m->joints[i])] != moved[gw_joint_receives(m, &m->joints[i])];
  const gw_apart g = {parts, m->n_parts, shown, moved, apart, shift};
  gw_scene all = {.view = gw_view_isometric()};
  ck_assert_int_eq(gw_apart_add(&all, &table.sheets, &g, ghost, false), GW_OK);
  bool any;
  ck_assert_int_eq(gw_ghosts_choose(&table.sheets, &g, &all, ghost, &any), GW_OK);
  ck_assert(any);
  ck_assert(ghost[part_named(&table, "top")]);
  ck_assert(!ghost[part_named(&table, "runner-l")] && !ghost[part_named(&table, "runner-r")]);
  for (int i = 0; i < m->n_parts; ++i) ck_assert(!(ghost[i] && moved[i]));
  gw_scene_clear(&all);
  /* Nothing stands in front of a drawer's runners when the top is not there. */
  bool without[MOST] = {false};
  parts[part_named(&table, "top")] = parts[m->n_parts - 1];
  const gw_apart fewer = {parts, m->n_parts - 1, shown, moved, apart, shift};
  gw_scene open = {.view = gw_view_isometric()};
  ck_assert_int_eq(gw_apart_add(&open, &table.sheets, &fewer, without, false), GW_OK);
  ck_assert_int_eq(gw_ghosts_choose(&table.sheets, &fewer, &open, without, &any), GW_OK);
  ck_assert(!without[part_named(&table, "top")]);
  gw_scene_clear(&open);
  probe_close(&table);
}
END_TEST

/* Worked out by hand: the wood that is left of a part. */
START_TEST(solids_hold_the_wood_that_is_left) {
  probe door = probe_open(DOOR), bookcase = probe_open(BOOKCASE), table = probe_open(TABLE);
  /* A shelf 774 x 242 x 20 less the notches 7 x 15 at its front corners. */
  gw_scene shelf = scene_of_part(&bookcase, "high");
  ck_assert_double_eq_tol(volume(&shelf), 774.0 * 242 * 20 - 2 * 7 * 15 * 20, 1);
  gw_scene_clear(&shelf);
  /* A rail between shoulders with two tenons, less its groove between them
   * and, 10 deep, through the tenons' upper edges where it runs on. */
  gw_scene rail = scene_of_part(&door, "bottom");
  double body = 370.0 * 150 * 24, tenons = 2 * 60.0 * 110 * 8, groove = 370.0 * 8 * 10;
  ck_assert_double_eq_tol(volume(&rail), body + tenons - groove, 1);
  gw_scene_clear(&rail);
  /* An apron with two tenons and nothing cut away. */
  gw_scene apron = scene_of_part(&table, "back");
  ck_assert_double_eq_tol(volume(&apron), 360.0 * 120 * 18 + 2 * 22.0 * 100 * 6, 1);
  gw_scene_clear(&apron);
  probe_close(&door);
  probe_close(&bookcase);
  probe_close(&table);
}
END_TEST

/* A side of the frame is 520 x 45 x 22 with a mitre at either end, less the
 * rebate 8 wide and 12 deep: 430 long at the inner edge, 446 where it ends. */
/* Tails of dovetailed halvings, 70 long at 1:8: at either side a wedge of 70 by 8.75 goes
 * off the lap, 14 thick, and as much wood stays beside the socket. */
START_TEST(halvings_have_flanks) {
  probe p = probe_open(RACK);
  const double wedge = 70 * 8.75 / 2 * 14;
  gw_scene rail = scene_of_part(&p, "top"), post = scene_of_part(&p, "left");
  ck_assert_double_eq_tol(volume(&rail),
                          900 * 60 * 28 - 2 * 70 * 60 * 14 - 60 * 60 * 14 - 4 * wedge, 30);
  ck_assert_double_eq_tol(volume(&post), 420 * 70 * 28 - 2 * 70 * 60 * 14 + 4 * wedge, 30);
  gw_scene_clear(&rail);
  gw_scene_clear(&post);
  probe_close(&p);
}
END_TEST

#define RUN_THROUGH "tests/noted/chest--mix-up.xml"

/* This chest's grooves, 10 x 8 and right through, lie within the lowest tails of its sides:
 * there a side's groove comes out at the ends, while the front's ends at its sockets. */
START_TEST(grooves_end_at_sockets) {
  probe p = probe_open(RUN_THROUGH);
  gw_scene front = scene_of_part(&p, "front"), side = scene_of_part(&p, "left");
  ck_assert_double_eq_tol(volume(&front), 760.0 * 380 * 20 - (760 - 2 * 20) * 10 * 8, 1);
  ck_assert_double_eq_tol(volume(&side), 420.0 * 380 * 20 - 420 * 10 * 8, 1);
  gw_scene_clear(&front);
  gw_scene_clear(&side);
  probe_close(&p);
}
END_TEST

/* Stopped 12 mm short of the ends, as in the project, they do not. */
START_TEST(stopped_grooves_do_not_come_out) {
  probe p = probe_open(CHEST);
  gw_scene side = scene_of_part(&p, "left");
  ck_assert_double_eq_tol(volume(&side), 420.0 * 380 * 20 - (420 - 2 * 12) * 10 * 8, 1);
  gw_scene_clear(&side);
  probe_close(&p);
}
END_TEST

/* Closed, two of these outlets are on the chest's front, 8 wide and 10 high; of the
 * stopped groove there is none. */
START_TEST(grooves_come_out_at_tails) {
  static const char *const PIECES[2] = {RUN_THROUGH, CHEST};
  probe p = probe_open(PIECES[_i]);
  bool *apart = calloc((size_t)p.job.model->n_joints, sizeof *apart);
  gw_stand stand = {.part = part_named(&p, "left"), .apart = apart};
  gw_scene scene = {.view = gw_view_isometric()};
  ck_assert_int_eq(gw_scene_add_part(&scene, &p.sheets, &stand), GW_OK);
  double front = gw_len_mm(p.job.fit->boxes[stand.part].lo[GW_Y]);
  int level = 0, upright = 0;
  for (size_t i = 0; i < scene.n_edges; ++i) {
    const double *a = scene.edges[i].a, *b = scene.edges[i].b;
    if (fabs(a[GW_Y] - front) > 0.01 || fabs(b[GW_Y] - front) > 0.01) continue;
    level += fabs(fabs(a[GW_X] - b[GW_X]) - 8) < 0.01 && fabs(a[GW_Z] - b[GW_Z]) < 0.01;
    upright += fabs(fabs(a[GW_Z] - b[GW_Z]) - 10) < 0.01 && fabs(a[GW_X] - b[GW_X]) < 0.01;
  }
  ck_assert_int_eq(level, _i == 0 ? 2 : 0);
  ck_assert_int_eq(upright, _i == 0 ? 2 : 0);
  free(apart);
  gw_scene_clear(&scene);
  probe_close(&p);
}
END_TEST

START_TEST(mitred_ends_are_cut_off) {
  probe p = probe_open(FRAME);
  gw_scene side = scene_of_part(&p, "left");
  ck_assert_double_eq_tol(volume(&side), 475.0 * 45 * 22 - 438.0 * 8 * 12, 1);
  gw_scene_clear(&side);
  probe_close(&p);
}
END_TEST

/* Where the corners are closed no wood is in two parts, and none is missing:
 * what lies within 45 of the outside belongs to a side, but for the rebate. */
START_TEST(mitres_meet) {
  probe p = probe_open(FRAME);
  const gw_model *m = p.job.model;
  gw_scene sides[4];
  const char *const ids[4] = {"left", "right", "bottom", "top"};
  double lo[3] = {INFINITY, INFINITY, INFINITY}, hi[3] = {-INFINITY, -INFINITY, -INFINITY};
  for (int i = 0; i < 4; ++i) {
    sides[i] = scene_of_part(&p, ids[i]);
    const gw_box *box = &p.job.fit->boxes[part_named(&p, ids[i])];
    for (int axis = 0; axis < 3; ++axis) {
      lo[axis] = fmin(lo[axis], gw_len_mm(box->lo[axis]));
      hi[axis] = fmax(hi[axis], gw_len_mm(box->hi[axis]));
    }
  }
  unsigned seed = 5;
  ck_assert_int_eq(m->n_parts, 5);
  for (int n = 0; n < 20000; ++n) {
    int strictly = 0, loosely = 0;
    double at[3];
    for (int axis = 0; axis < 3; ++axis) at[axis] = between(&seed, lo[axis], hi[axis]);
    for (int i = 0; i < 4; ++i)
      for (size_t k = 0; k < sides[i].n_blocks; ++k) {
        strictly += in_block(&sides[i].blocks[k], at, -0.01);
        loosely += in_block(&sides[i].blocks[k], at, 0.01);
      }
    double in = fmin(fmin(at[0] - lo[0], hi[0] - at[0]), fmin(at[2] - lo[2], hi[2] - at[2]));
    ck_assert_int_le(strictly, 1);
    if (in < 36.99) ck_assert_int_ge(loosely, 1); /* outside of the rebate */
    if (in > 45.01) ck_assert_int_eq(loosely, 0);
  }
  for (int i = 0; i < 4; ++i) gw_scene_clear(&sides[i]);
  probe_close(&p);
}
END_TEST

/* A mitred end shows its slanting face: a facet that is square to no axis, and
 * no edge of the part goes on beyond it. */
START_TEST(mitred_ends_show_their_slant) {
  probe p = probe_open(FRAME);
  gw_scene bottom = scene_of_part(&p, "bottom"), top = scene_of_part(&p, "top");
  const gw_scene *both[2] = {&bottom, &top};
  int slanting = 0;
  for (int i = 0; i < 2; ++i) {
    gw_stand stand = {.part = part_named(&p, i == 0 ? "bottom" : "top")};
    gw_plane planes[GW_CUTS_MOST];
    ck_assert_int_eq(gw_mitre_planes(&p.sheets, &stand, planes), 2);
    for (size_t k = 0; k < both[i]->n_facets; ++k) {
      const gw_plane *plane = &both[i]->facets[k].plane;
      double most = fmax(fabs(plane->n[0]), fmax(fabs(plane->n[1]), fabs(plane->n[2])));
      slanting += most < 0.8;
    }
    ck_assert_uint_gt(both[i]->n_edges, 12);
    for (size_t k = 0; k < both[i]->n_edges; ++k)
      for (int j = 0; j < 2; ++j) {
        ck_assert(gw_plane_beyond(&planes[j], both[i]->edges[k].a) < 0.01);
        ck_assert(gw_plane_beyond(&planes[j], both[i]->edges[k].b) < 0.01);
      }
  }
  ck_assert_int_gt(slanting, 0); /* some face the viewer */
  gw_scene_clear(&bottom);
  gw_scene_clear(&top);
  probe_close(&p);
}
END_TEST

/* A board that nothing is cut from: three facets and twelve edges, nine seen. */
START_TEST(a_plain_board_is_a_box) {
  probe p = probe_open(CHEST);
  gw_scene scene = scene_of_part(&p, "bottom");
  ck_assert_uint_eq(scene.n_blocks, 1);
  ck_assert_uint_eq(scene.n_facets, 3);
  ck_assert_uint_eq(scene.n_edges, 12);
  int seen = 0;
  for (size_t i = 0; i < scene.n_edges; ++i) {
    gw_stretch out[8];
    size_t count = gw_scene_seen(&scene, &scene.edges[i], out, 8);
    ck_assert_uint_le(count, 1);
    seen += count == 1 && out[0].to - out[0].from > 0.999;
  }
  ck_assert_int_eq(seen, 9);
  gw_scene_clear(&scene);
  probe_close(&p);
}
END_TEST

/* Blocks of one part do not share room. */
START_TEST(blocks_do_not_overlap) {
  probe p = probe_open(PROJECTS[_i]);
  for (int part = 0; part < p.job.model->n_parts; ++part) {
    gw_scene scene = scene_of_part(&p, p.job.model->parts[part].id);
    for (size_t i = 0; i < scene.n_blocks; ++i)
      for (size_t k = i + 1; k < scene.n_blocks; ++k) {
        bool apart = false;
        for (int axis = 0; axis < 3; ++axis)
          apart = apart || scene.blocks[i].hi[axis] <= scene.blocks[k].lo[axis] + 1e-9 ||
                  scene.blocks[k].hi[axis] <= scene.blocks[i].lo[axis] + 1e-9;
        ck_assert(apart);
      }
    gw_scene_clear(&scene);
  }
  probe_close(&p);
}
END_TEST

/* ---- tails -------------------------------------------------------------------------- */

/* For every laid out corner of the projects: equal tails, half a pin at either
 * edge, flanks that run out by depth / slope, pins no thinner than a saw kerf. */
START_TEST(tails_follow_their_rules) {
  probe p = probe_open(PROJECTS[_i]);
  const gw_model *m = p.job.model;
  for (int j = 0; j < m->n_joints; ++j) {
    if (!gw_tails_counted(m, p.job.fit, j)) continue;
    const gw_seating *s = &p.job.fit->seatings[j];
    gw_len wide = s->e[s->run].size, out = s->depth_e * 100 / s->slope, hair = 4;
    gw_tail first = gw_tails_at(m, p.job.fit, j, 0);
    for (int k = 0; k < s->count; ++k) {
      gw_tail t = gw_tails_at(m, p.job.fit, j, k);
      ck_assert_int_le(labs((t.end_hi - t.end_lo) - (first.end_hi - first.end_lo)), hair);
      ck_assert_int_le(labs(t.base_lo - t.end_lo - out), hair);
      ck_assert_int_le(labs(t.end_hi - t.base_hi - out), hair);
      ck_assert_int_gt(t.base_hi, t.base_lo);
      gw_len next = k + 1 < s->count ? gw_tails_at(m, p.job.fit, j, k + 1).end_lo
                                     : wide + first.end_lo;
      gw_len pin = next - t.end_hi;
      ck_assert_int_ge(pin, GW_PIN_LEAST - hair);
      ck_assert_int_le(labs(pin - 2 * first.end_lo), hair); /* edges hold half pins */
    }
  }
  probe_close(&p);
}
END_TEST

/* A slope of 1:n runs out by 19 / n over 19 mm; computed independently. */
START_TEST(flanks_run_out) {
  static const struct { int n; double out; } ROWS[] = {
      {4, 4.75}, {5, 3.8}, {6, 3.1667}, {7, 2.7143}, {8, 2.375}, {9, 2.1111}, {10, 1.9}};
  probe p = probe_open(CHEST);
  int joint = -1;
  for (int j = 0; j < p.job.model->n_joints; ++j)
    if (gw_tails_counted(p.job.model, p.job.fit, j)) joint = j;
  ck_assert_int_ge(joint, 0);
  gw_seating *s = &p.job.fit->seatings[joint];
  s->depth_e = 19 * GW_MM;
  for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; ++i) {
    s->slope = ROWS[i].n * 100;
    gw_tail t = gw_tails_at(p.job.model, p.job.fit, joint, 1);
    ck_assert_double_eq_tol(gw_len_mm(t.base_lo - t.end_lo), ROWS[i].out, 1e-4);
  }
  probe_close(&p);
}
END_TEST

/* ---- places for marks --------------------------------------------------------------- */

static bool areas_meet(gw_area a, gw_area b) {
  return a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;
}

static void check_places(gw_area area, const gw_tag *tags, size_t count) {
  for (size_t i = 0; i < count; ++i) {
    if (tags[i].fixed) continue;
    ck_assert_msg(tags[i].place.w > 0, "mark %zu has no place", i);
    ck_assert(tags[i].place.x >= area.x && tags[i].place.y >= area.y &&
              tags[i].place.x + tags[i].place.w <= area.x + area.w &&
              tags[i].place.y + tags[i].place.h <= area.y + area.h);
    for (size_t k = 0; k < count; ++k)
      ck_assert_msg(k == i || !areas_meet(tags[i].place, tags[k].place), "%zu over %zu", i, k);
  }
}

/* Crowds of marks by chance, some letters, some about one spot. */
START_TEST(marks_do_not_meet) {
  gw_error err = {GW_OK, ""};
  gw_doc *doc = gw_doc_new(&(gw_doc_options){.title = "marks"}, &err);
  ck_assert_ptr_nonnull(doc);
  unsigned seed = 5;
  gw_area area = {20, 20, 90, 70};
  for (int round = 0; round < 12; ++round) {
    gw_tag tags[48];
    size_t count = 6 + (size_t)round * 3;
    for (size_t i = 0; i < count; ++i) {
      tags[i] = (gw_tag){.boxed = i % 4 == 0, .on_spot = i % 4 == 0, .seen = i % 3 > 0};
      tags[i].spot = (gw_spot){between(&seed, 25, 105), between(&seed, 25, 85)};
      if (i % 5 == 4) tags[i].spot = tags[i - 1].spot;
      snprintf(tags[i].text, sizeof tags[i].text, "%u", chance(&seed) % 120 + 1);
    }
    tags[1] = (gw_tag){.fixed = true, .place = {60, 40, 20, 10}};
    double size = gw_tags_place(doc, area, NULL, tags, count, 12);
    ck_assert(size >= 6 && size <= 12);
    check_places(area, tags, count);
  }
  gw_doc_free(doc);
}
END_TEST

/* One mark alone: a letter on its spot, a number beside it and not over it. */
START_TEST(a_lone_mark_is_near_its_spot) {
  gw_error err = {GW_OK, ""};
  gw_doc *doc = gw_doc_new(&(gw_doc_options){.title = "marks"}, &err);
  gw_tag letter = {.text = "A", .boxed = true, .on_spot = true, .seen = true, .spot = {60, 60}};
  gw_tag number = {.text = "16", .bar = true, .seen = true, .spot = {60, 60}};
  gw_area area = {20, 20, 90, 90};
  ck_assert_double_eq(gw_tags_place(doc, area, NULL, &letter, 1, 12), 12);
  ck_assert_double_eq_tol(letter.place.x + letter.place.w / 2, 60, 0.01);
  ck_assert_double_eq_tol(letter.place.y + letter.place.h / 2, 60, 0.01);
  gw_tags_place(doc, area, NULL, &number, 1, 12);
  gw_area spot = {59.5, 59.5, 1, 1}, around = {52, 52, 16, 16};
  ck_assert(!areas_meet(number.place, spot) && areas_meet(number.place, around));
  gw_doc_free(doc);
}
END_TEST

/* ---- what is where on the page --------------------------------------------------------- */

START_TEST(the_ground_knows_lines_and_parts) {
  gw_ground *g = gw_ground_new((gw_area){20, 30, 60, 40});
  ck_assert_ptr_nonnull(g);
  const gw_spot left[4] = {{30, 40}, {50, 40}, {50, 60}, {30, 60}};
  const gw_spot right[4] = {{50, 40}, {70, 40}, {70, 60}, {50, 60}};
  gw_ground_face(g, left, 4, 0);
  gw_ground_face(g, right, 4, 7);
  gw_ground_line(g, (gw_spot){50, 40}, (gw_spot){50, 60}, 1);
  gw_ground_close(g);
  ck_assert_int_eq(gw_ground_part(g, (gw_spot){40, 50}), 0);
  ck_assert_int_eq(gw_ground_part(g, (gw_spot){60, 50}), 7);
  ck_assert_int_eq(gw_ground_part(g, (gw_spot){25, 50}), -1);
  ck_assert_int_eq(gw_ground_part(g, (gw_spot){10, 50}), -1);
  ck_assert_double_eq_tol(gw_ground_lines(g, (gw_area){48, 45, 4, 5}), 5, 0.6);
  ck_assert_double_eq_tol(gw_ground_lines(g, (gw_area){32, 42, 10, 10}), 0, 1e-6);
  /* A corner counts as more than the line that runs into it. */
  ck_assert_double_gt(gw_ground_lines(g, (gw_area){48, 38, 4, 4}),
                      gw_ground_lines(g, (gw_area){48, 45, 4, 2}) + 0.5);
  const int own[2] = {0, -1}, both[2] = {0, 7};
  ck_assert_double_eq(gw_ground_astray(g, (gw_area){52, 42, 5, 5}, own), 1);
  ck_assert_double_eq(gw_ground_astray(g, (gw_area){52, 42, 5, 5}, both), 0);
  ck_assert_double_eq(gw_ground_astray(g, (gw_area){22, 32, 5, 5}, own), 0);
  gw_ground_free(g);
}
END_TEST

/* The plainest spot of each part is in the middle of its face; one that is taken is
 * kept away from, on the same part. */
START_TEST(letters_stand_on_plain_faces) {
  gw_ground *g = gw_ground_new((gw_area){0, 0, 80, 60});
  const gw_spot face[4] = {{10, 10}, {70, 10}, {70, 20}, {10, 20}};
  gw_face_spot best[2];
  gw_spot room[4];
  gw_crowd crowd = {room, 0};
  gw_ground_face(g, face, 4, 0);
  gw_ground_close(g);
  ck_assert_int_eq(gw_ground_plainest(g, 4, 2, &crowd, best), GW_OK);
  ck_assert_uint_eq(crowd.count, 1);
  ck_assert_double_eq_tol(best[0].spot.x, 40, 0.6);
  ck_assert(best[0].spot.y > 13 && best[0].spot.y < 17);
  ck_assert_double_eq_tol(best[0].size, 4, 0.6);
  ck_assert_double_eq(best[1].size, 0);
  gw_spot taken = best[0].spot;
  ck_assert_int_eq(gw_ground_plainest(g, 4, 2, &crowd, best), GW_OK);
  ck_assert_double_gt(hypot(best[0].spot.x - taken.x, best[0].spot.y - taken.y), 8);
  ck_assert_int_eq(gw_ground_part(g, best[0].spot), 0);
  gw_ground_free(g);
}
END_TEST

/* A number does not rub out lines, nor stand on another part, while paper is free. */
START_TEST(marks_keep_off_lines) {
  gw_error err = {GW_OK, ""};
  gw_doc *doc = gw_doc_new(&(gw_doc_options){.title = "marks"}, &err);
  gw_area area = {20, 20, 90, 90};
  gw_ground *g = gw_ground_new(area);
  const gw_spot other[4] = {{60, 20}, {110, 20}, {110, 110}, {60, 110}};
  gw_ground_face(g, other, 4, 3);
  for (int i = 0; i < 20; ++i)
    gw_ground_line(g, (gw_spot){50, 50 + i}, (gw_spot){60, 50 + i}, 1);
  gw_ground_close(g);
  gw_tag tag = {.text = "8", .seen = true, .spot = {58, 60}, .own = {2, -1}};
  gw_tags_place(doc, area, g, &tag, 1, 12);
  ck_assert(tag.place.w > 0);
  ck_assert_double_lt(gw_ground_lines(g, tag.place), 3);
  ck_assert_double_lt(gw_ground_astray(g, tag.place, tag.own), 0.5);
  gw_ground_free(g);
  gw_doc_free(doc);
}
END_TEST

/* Whether a part shows at a spot or just beside it. */
static bool shows_near(const gw_ground *g, gw_spot s, double by) {
  for (int i = 0; i < 9; ++i) {
    gw_spot beside = {s.x + by * (i % 3 - 1), s.y + by * (i / 3 - 1)};
    if (gw_ground_part(g, beside) >= 0) return true;
  }
  return false;
}

/* Where the mark of each half of a lone part points: on its wood, seen or not, and never
 * in the air beside it or in an empty notch. */
START_TEST(dots_lie_on_wood) {
  probe p = probe_open(PROJECTS[_i]);
  const gw_model *m = p.job.model;
  const gw_area area = {20, 30, 150, 150};
  int seen_some = 0;
  for (int part = 0; part < m->n_parts; ++part) {
    gw_error err = {GW_OK, ""};
    gw_doc *doc = gw_sheets_open(&p.sheets, "Spots", &err);
    gw_page *page = gw_page_new(doc, "Spots");
    gw_scene scene = scene_of_part(&p, m->parts[part].id);
    gw_setting_out set = gw_scene_fit(&scene, area);
    gw_seen seen = {.ground = gw_ground_new(area)};
    ck_assert_int_eq(gw_scene_draw(page, &scene, &set, false, &seen), GW_OK);
    for (int i = 0; i < m->parts[part].n_halves; ++i) {
      int index = m->parts[part].first_half + i;
      const gw_half *half = &m->halves[index];
      bool cross = p.job.fit->seatings[half->joint].style == GW_CROSS;
      gw_aim aim = {.box = gw_half_place(&p.sheets, index), .part = part, .mate = -1,
                    .at = half->at, .cut = cross || !half->enters};
      bool is_seen;
      gw_spot spot = gw_scene_spot_of(&scene, &set, &seen, &aim, &is_seen);
      ck_assert_msg(shows_near(seen.ground, spot, 0.7), "%s %s", m->parts[part].id, half->id);
      seen_some += is_seen;
    }
    gw_ground_free(seen.ground);
    gw_seen_clear(&seen);
    gw_scene_clear(&scene);
    gw_doc_free(doc);
  }
  ck_assert_int_gt(seen_some, m->n_halves / 4);
  probe_close(&p);
}
END_TEST

/* The rebates of a mitred frame are cut off by the mitres: their marks point at the
 * middle of what is left. */
START_TEST(rebates_are_marked_where_they_are) {
  probe p = probe_open(FRAME);
  const gw_model *m = p.job.model;
  int count = 0;
  for (int i = 0; i < m->n_halves; ++i) {
    if (m->halves[i].joint < 0 || m->joints[m->halves[i].joint].kind != GW_REBATE) continue;
    if (m->halves[i].enters) continue;
    gw_box box = gw_half_place(&p.sheets, i), whole = p.job.fit->boxes[m->halves[i].part];
    int t = gw_part_length_axis(&m->parts[m->halves[i].part]);
    ck_assert_int_le(llabs((box.lo[t] + box.hi[t]) - (whole.lo[t] + whole.hi[t])), GW_MM);
    ck_assert_int_lt(box.hi[t] - box.lo[t], whole.hi[t] - whole.lo[t] - 50 * GW_MM);
    ++count;
  }
  ck_assert_int_eq(count, 4);
  probe_close(&p);
}
END_TEST

/* Flat pieces are seen more squarely, except where a part goes in from behind. */
START_TEST(flat_pieces_show_their_face) {
  static const char *const flat[] = {DOOR, FRAME, RACK}, *const others[] = {CHEST, TABLE, BOOKCASE};
  gw_view iso = gw_view_isometric(), onto = gw_view_onto(GW_Y);
  for (int i = 0; i < 3; ++i) {
    probe p = probe_open(flat[i]), q = probe_open(others[i]);
    gw_view of_flat = gw_picture_view(&p.sheets, &(gw_picture){0});
    gw_view of_other = gw_picture_view(&q.sheets, &(gw_picture){0});
    ck_assert_mem_eq(&of_flat, &onto, sizeof onto);
    ck_assert_mem_eq(&of_other, &iso, sizeof iso);
    gw_picture from_behind = {.n_moved = 1, .way = {{0, -1, 0}}};
    of_flat = gw_picture_view(&p.sheets, &from_behind);
    ck_assert_mem_eq(&of_flat, &iso, sizeof iso);
    probe_close(&p);
    probe_close(&q);
  }
}
END_TEST

/* ---- in the file -------------------------------------------------------------------- */

/* One page with one picture in this area. */
static const gw_area AREA = {20, 30, 160, 120};

static ops draw(probe *p, const gw_picture *picture) {
  gw_error err = {GW_OK, ""};
  gw_doc *doc = gw_sheets_open(&p->sheets, "Picture", &err);
  gw_page *page = gw_page_new(doc, "Picture");
  gw_picture_draw(page, AREA, &p->sheets, picture);
  ck_assert_msg(gw_doc_save(doc, p->pdf, &err) == GW_OK, "%s", err.words);
  gw_doc_free(doc);
  probe_check_file(p);
  return ops_of(p);
}

static int count_text(const ops *all, const char *text) {
  int count = 0;
  for (size_t i = 0; i < all->count; ++i)
    count += all->items[i].kind == OP_TEXT && strcmp(all->items[i].text, text) == 0;
  return count;
}

static void check_inside(const ops *all) {
  for (size_t i = 0; i < all->count; ++i) {
    const op *o = &all->items[i];
    bool footer = o->y > all->height - 14;
    if (footer || o->kind == OP_TEXT) continue;
    ck_assert_msg(o->x >= AREA.x - 0.5 && o->y >= AREA.y - 0.5 &&
                      o->x + o->w <= AREA.x + AREA.w + 0.5 && o->y + o->h <= AREA.y + AREA.h + 0.5,
                  "drawn outside: %g, %g", o->x, o->y);
  }
}

/* The whole piece: each letter and each number once, nothing over another,
 * nothing outside the area. */
START_TEST(a_whole_piece) {
  probe p = probe_open(PROJECTS[_i]);
  const gw_model *m = p.job.model;
  ops all = draw(&p, &(gw_picture){.letters = true, .joints = p.job.marks->joint_walk,
                                   .n_joints = m->n_joints});
  for (int i = 0; i < m->n_parts; ++i)
    ck_assert_int_eq(count_text(&all, p.job.marks->parts[i].text), 1);
  for (int i = 0; i < m->n_joints; ++i)
    ck_assert_int_eq(count_text(&all, p.job.marks->joints[i].text), 1);
  check_inside(&all);
  probe_check_words(&p);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* The arrow's shaft: the one thick black line. */
static const op *arrow_of(const ops *all) {
  const op *found = NULL;
  for (size_t i = 0; i < all->count; ++i) {
    const op *o = &all->items[i];
    if (o->kind != OP_STROKE || fabs(o->pen - 0.9) > 0.01 || o->grey > 0) continue;
    ck_assert_ptr_null(found);
    found = o;
  }
  return found;
}

/* Each join pulled apart: its joints' numbers stand at both halves, and an
 * arrow points the way that the moved side goes in. */
START_TEST(joins_pulled_apart) {
  probe p = probe_open(PROJECTS[_i]);
  for (int k = 0; k < p.job.order->n_joins; ++k) {
    const gw_join *j = &p.job.order->joins[k];
    int n = j->n_moving + j->n_onto, *parts = calloc((size_t)n, sizeof *parts);
    memcpy(parts, j->onto, (size_t)j->n_onto * sizeof *parts);
    memcpy(parts + j->n_onto, j->moving, (size_t)j->n_moving * sizeof *parts);
    ops all = draw(&p, &(gw_picture){.parts = parts, .n_parts = n, .moved = j->moving,
                                     .n_moved = j->n_moving, .way = j->way, .letters = true,
                                     .joints = j->joints, .n_joints = j->n_joints});
    /* What is in the way and has no part in it is looked through, without its letter. */
    for (int i = 0; i < n; ++i) {
      bool has_part = i >= j->n_onto;
      for (int q = 0; q < j->n_joints; ++q) {
        const gw_joint *closed = &p.job.model->joints[j->joints[q]];
        has_part = has_part || gw_joint_enters(p.job.model, closed) == parts[i] ||
                   gw_joint_receives(p.job.model, closed) == parts[i];
      }
      int letters = count_text(&all, p.job.marks->parts[parts[i]].text);
      ck_assert_int_le(letters, 1);
      if (has_part) ck_assert_int_eq(letters, 1);
    }
    for (int i = 0; i < j->n_joints; ++i)
      ck_assert_int_eq(count_text(&all, p.job.marks->joints[j->joints[i]].text), 2);
    const op *arrow = arrow_of(&all);
    ck_assert_ptr_nonnull(arrow);
    gw_view view = gw_picture_view(&p.sheets, &(gw_picture){.n_moved = j->n_moving, .way = j->way});
    double way[3] = {j->way.c[0], j->way.c[1], j->way.c[2]};
    gw_spot on_paper = gw_view_spot(&view, way);
    double dx = arrow->sx[1] - arrow->sx[0], dy = arrow->sy[1] - arrow->sy[0];
    double along = dx * on_paper.x + dy * on_paper.y, across = dx * on_paper.y - dy * on_paper.x;
    ck_assert(along > 0);
    ck_assert_double_lt(fabs(across), 0.01 * along);
    check_inside(&all);
    probe_check_words(&p);
    ops_free(&all);
    free(parts);
  }
  probe_close(&p);
}
END_TEST

/* Seen from outside, the chest shows the tails of two of its corners: on each
 * of the two ends that face the viewer, 2 x 7 flanks of one slope. */
START_TEST(tails_show_with_their_slope) {
  probe p = probe_open(CHEST);
  ops all = draw(&p, &(gw_picture){0});
  gw_view view = gw_view_isometric();
  /* On the right end (square to x) a flank runs 20 along y and 2.5 along z. */
  const double up[3] = {0, 20, 2.5}, down[3] = {0, 20, -2.5};
  gw_spot a = gw_view_spot(&view, up), b = gw_view_spot(&view, down);
  int rising = 0, falling = 0;
  for (size_t i = 0; i < all.count; ++i) {
    const op *o = &all.items[i];
    double dx = fabs(o->sx[1] - o->sx[0]);
    double dy = (o->sy[1] - o->sy[0]) * (o->sx[1] > o->sx[0] ? 1 : -1);
    if (o->kind != OP_STROKE || dx < 0.5 || o->y > all.height - 14) continue;
    rising += fabs(dy / dx - a.y / a.x) < 0.01;
    falling += fabs(dy / dx - b.y / b.x) < 0.01;
  }
  ck_assert_int_eq(rising, 14);
  ck_assert_int_eq(falling, 14);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* The whole rack, closed: on its front the four tails have two flanks each, which run
 * apart towards the ends; those of tail and socket fall on each other. */
START_TEST(closed_halvings_show_their_flanks) {
  probe p = probe_open(RACK);
  ops all = draw(&p, &(gw_picture){0});
  gw_view view = gw_picture_view(&p.sheets, &(gw_picture){0});
  const double up[3] = {70, 0, 8.75}, down[3] = {70, 0, -8.75};
  gw_spot a = gw_view_spot(&view, up), b = gw_view_spot(&view, down);
  int rising = 0, falling = 0;
  for (size_t i = 0; i < all.count; ++i) {
    const op *o = &all.items[i];
    double dx = fabs(o->sx[1] - o->sx[0]);
    double dy = (o->sy[1] - o->sy[0]) * (o->sx[1] > o->sx[0] ? 1 : -1);
    if (o->kind != OP_STROKE || dx < 3 || o->y > all.height - 14) continue;
    rising += fabs(dy / dx - a.y / a.x) < 0.01;
    falling += fabs(dy / dx - b.y / b.x) < 0.01;
  }
  ck_assert_int_eq(rising, 8);
  ck_assert_int_eq(falling, 8);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

START_TEST(without_places_nothing_is_drawn) {
  probe p = probe_open_changed(CHEST, "s/length=\"732\"/length=\"742\"/");
  ck_assert(!p.job.fit->placed);
  ops all = draw(&p, &(gw_picture){.letters = true});
  for (size_t i = 0; i < all.count; ++i) ck_assert(all.items[i].y > all.height - 14);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* The flat sketch: each of the part's numbers once, whatever the side. */
START_TEST(sketches_name_their_joints) {
  probe p = probe_open(PROJECTS[_i]);
  const gw_model *m = p.job.model;
  for (int part = 0; part < m->n_parts; ++part) {
    gw_error err = {GW_OK, ""};
    gw_doc *doc = gw_sheets_open(&p.sheets, "Sketch", &err);
    gw_page *page = gw_page_new(doc, "Sketch");
    gw_dir side = gw_sketch_side(&p.sheets, part);
    gw_sketch_draw(page, (gw_area){30, 30, 60, 40}, &p.sheets, part, side);
    ck_assert_int_eq(gw_doc_save(doc, p.pdf, &err), GW_OK);
    gw_doc_free(doc);
    ops all = ops_of(&p);
    for (int i = 0; i < m->parts[part].n_halves; ++i) {
      const gw_half *half = &m->halves[m->parts[part].first_half + i];
      ck_assert_int_eq(count_text(&all, p.job.marks->joints[half->joint].text), 1);
    }
    ops_free(&all);
  }
  probe_close(&p);
}
END_TEST

/* A slender leg whose joints are all at its top is torn off below them and drawn large. */
START_TEST(slender_legs_show_their_joints) {
  probe p = probe_open(TABLE);
  gw_error err = {GW_OK, ""};
  gw_doc *doc = gw_sheets_open(&p.sheets, "Sketch", &err);
  gw_page *page = gw_page_new(doc, "Sketch");
  int leg = part_named(&p, p.job.model->parts[p.job.marks->part_walk[0]].id);
  ck_assert_int_eq(p.job.model->parts[leg].size[GW_Z], 560 * GW_MM);
  gw_sketch_draw(page, (gw_area){30, 30, 40, 60}, &p.sheets, leg, gw_sketch_side(&p.sheets, leg));
  ck_assert_int_eq(gw_doc_save(doc, p.pdf, &err), GW_OK);
  gw_doc_free(doc);
  ops all = ops_of(&p);
  double left = INFINITY, right = -INFINITY;
  for (size_t i = 0; i < all.count; ++i) {
    const op *o = &all.items[i];
    if (o->kind != OP_STROKE || fabs(o->pen - 0.35) > 0.01 || o->h < 20) continue;
    left = fmin(left, o->x);
    right = fmax(right, o->x);
  }
  /* All of it, 560 x 40, would be less than 60 x 40 / 560 wide. */
  ck_assert_double_gt(right - left, 2 * 60.0 * 40 / 560);
  ck_assert_double_lt(right - left, 12);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("picture");
  TCase *tests = tcase_create("pictures");
  tcase_set_timeout(tests, 240);
  tcase_add_test(tests, views_are_no_mirrors);
  tcase_add_loop_test(tests, hidden_stretches_are_those_of_rays, 0, N_VIEWS);
  tcase_add_loop_test(tests, seen_pieces_are_those_of_rays, 0, N_VIEWS);
  tcase_add_test(tests, solids_hold_the_wood_that_is_left);
  tcase_add_test(tests, what_hides_open_joints_is_looked_through);
  tcase_add_test(tests, a_plumb_tenon_stands_upright_on_its_leg);
  tcase_add_test(tests, halvings_have_flanks);
  tcase_add_test(tests, grooves_end_at_sockets);
  tcase_add_test(tests, stopped_grooves_do_not_come_out);
  tcase_add_loop_test(tests, grooves_come_out_at_tails, 0, 2);
  tcase_add_test(tests, mitred_ends_are_cut_off);
  tcase_add_test(tests, mitres_meet);
  tcase_add_test(tests, mitred_ends_show_their_slant);
  tcase_add_test(tests, a_plain_board_is_a_box);
  tcase_add_loop_test(tests, blocks_do_not_overlap, 0, N_PROJECTS);
  tcase_add_loop_test(tests, tails_follow_their_rules, 0, N_PROJECTS);
  tcase_add_test(tests, flanks_run_out);
  tcase_add_test(tests, marks_do_not_meet);
  tcase_add_test(tests, a_lone_mark_is_near_its_spot);
  tcase_add_test(tests, the_ground_knows_lines_and_parts);
  tcase_add_test(tests, letters_stand_on_plain_faces);
  tcase_add_test(tests, marks_keep_off_lines);
  tcase_add_loop_test(tests, dots_lie_on_wood, 0, N_PROJECTS);
  tcase_add_test(tests, rebates_are_marked_where_they_are);
  tcase_add_test(tests, flat_pieces_show_their_face);
  tcase_add_loop_test(tests, a_whole_piece, 0, N_PROJECTS);
  tcase_add_loop_test(tests, joins_pulled_apart, 0, N_PROJECTS);
  tcase_add_test(tests, tails_show_with_their_slope);
  tcase_add_test(tests, closed_halvings_show_their_flanks);
  tcase_add_test(tests, without_places_nothing_is_drawn);
  tcase_add_loop_test(tests, sketches_name_their_joints, 0, N_PROJECTS);
  tcase_add_test(tests, slender_legs_show_their_joints);
  suite_add_tcase(suite, tests);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
