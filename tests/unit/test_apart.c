/* Whether a piece comes apart: the quick answer against the list of all who stop
 * each other and the search for locked groups in it. */
#include <stdlib.h>
#include <string.h>

#include "order/apart.h"
#include "order/split.h"
#include "project.h"

/* ---- made-up pieces ------------------------------------------------------------- */

enum { PARTS_MOST = 14, JOINTS_MOST = 20 };

typedef struct piece {
  gw_model m;
  gw_fit fit;
  gw_part parts[PARTS_MOST];
  gw_half halves[2 * JOINTS_MOST];
  gw_joint joints[JOINTS_MOST];
  gw_seating seatings[JOINTS_MOST];
  gw_box boxes[PARTS_MOST];
  bool slides[JOINTS_MOST];
} piece;

/* xorshift64, so that the pieces are the same everywhere. */
static int draw(uint64_t *state, int below) {
  *state ^= *state << 13;
  *state ^= *state >> 7;
  *state ^= *state << 17;
  return (int)(*state % (uint64_t)below);
}

static void draw_box(uint64_t *state, gw_box *box) {
  for (int axis = 0; axis < 3; ++axis) {
    box->lo[axis] = draw(state, 7) * 30 * GW_MM;
    box->hi[axis] = box->lo[axis] + (1 + draw(state, 3)) * 30 * GW_MM;
  }
}

static gw_freedom draw_freedom(uint64_t *state) {
  gw_freedom f = {.kind = GW_FREE_BOX, .ways = (unsigned)draw(state, 64)};
  if (draw(state, 6) == 0) {
    f.kind = draw(state, 2) == 0 ? GW_FREE_HALF : GW_FREE_RAY;
    for (int axis = 0; axis < 3; ++axis) f.normal.c[axis] = draw(state, 3) - 1;
    if (f.normal.c[0] == 0 && f.normal.c[1] == 0) f.normal.c[2] = 1;
  }
  return f;
}

/* Gives each part its halves, one behind the other as in a model. */
static void lay_out(piece *p, int ends[][2]) {
  int n = 0;
  for (int part = 0; part < p->m.n_parts; ++part) {
    p->parts[part].first_half = n;
    for (int j = 0; j < p->m.n_joints; ++j)
      for (int side = 0; side < 2; ++side) {
        if (ends[j][side] != part) continue;
        p->halves[n] = (gw_half){.part = part, .enters = side == 0, .joint = j,
                                 .at = side == 0 ? GW_RIGHT : GW_LEFT};
        if (side == 0) p->joints[j].entering = n;
        else p->joints[j].receiving = n;
        ++n;
      }
    p->parts[part].n_halves = n - p->parts[part].first_half;
  }
  p->m.n_halves = n;
}

static void draw_piece(uint64_t *state, piece *p) {
  int ends[JOINTS_MOST][2];
  memset(p, 0, sizeof *p);
  p->m.parts = p->parts;
  p->m.halves = p->halves;
  p->m.joints = p->joints;
  p->fit.seatings = p->seatings;
  p->fit.boxes = p->boxes;
  p->m.n_parts = 1 + draw(state, PARTS_MOST);
  p->m.n_joints = p->m.n_parts == 1 ? 0 : draw(state, JOINTS_MOST + 1);
  for (int i = 0; i < p->m.n_parts; ++i) draw_box(state, &p->boxes[i]);
  for (int j = 0; j < p->m.n_joints; ++j) {
    ends[j][0] = draw(state, p->m.n_parts);
    ends[j][1] = (ends[j][0] + 1 + draw(state, p->m.n_parts - 1)) % p->m.n_parts;
    p->joints[j].kind = draw(state, 2) == 0 ? GW_BUTT : GW_MORTISE_TENON;
    p->joints[j].glued = draw(state, 2) == 0;
    p->seatings[j].narrow = p->seatings[j].run = -1;
    p->seatings[j].freedom = draw_freedom(state);
    p->slides[j] = draw(state, 2) == 0;
  }
  lay_out(p, ends);
}

/* ---- both answers ------------------------------------------------------------------ */

static bool apart_by_list(const gw_model *m, const gw_fit *fit, const bool *slides) {
  gw_blocking b;
  gw_error err = {0};
  gw_split_result *result;
  ck_assert_int_eq(gw_blocking_make(m, fit, slides, &b), GW_OK);
  gw_split_problem problem = gw_split_problem_default();
  problem.n_parts = m->n_parts;
  problem.n_dirs = b.n_dirs;
  problem.dir_opposite = b.opposite;
  problem.arcs = b.arcs;
  problem.n_arcs = b.n_arcs;
  problem.any = true;
  for (size_t i = 0; i < b.n_arcs; ++i) b.arcs[i].joint = -1; /* who they are does not matter */
  ck_assert_msg(gw_split_solve(&problem, &result, &err) == GW_OK, "%s", err.words);
  bool apart = result->kind == GW_SPLIT_ORDER;
  gw_split_free(result);
  gw_blocking_free(&b);
  return apart;
}

START_TEST(as_the_list_says) {
  enum { PIECES = 4000 };
  uint64_t state = 88172645463325252u;
  int count[2] = {0};
  for (int i = 0; i < PIECES; ++i) {
    piece p;
    bool apart;
    draw_piece(&state, &p);
    ck_assert_int_eq(gw_order_apart(&p.m, &p.fit, p.slides, &apart), GW_OK);
    ck_assert_msg(apart == apart_by_list(&p.m, &p.fit, p.slides), "piece %d", i);
    ++count[apart];
  }
  /* The test would be none if nearly all were alike. */
  ck_assert_int_gt(count[0], PIECES / 10);
  ck_assert_int_gt(count[1], PIECES / 10);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("apart");
  TCase *all = tcase_create("apart");
  tcase_set_timeout(all, 120);
  tcase_add_test(all, as_the_list_says);
  suite_add_tcase(suite, all);
  return run_suite(suite);
}
