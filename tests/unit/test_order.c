/* Orders of real joints: known cases, and a replay that knows boxes, freedoms
 * and joins only. */
#include <math.h>
#include <stdlib.h>

#include "order/order.h"
#include "project.h"

typedef struct ordered {
  project p;
  gw_marks *marks;
  gw_order *order; /* NULL when locked */
} ordered;

static ordered put_in_order(project p) {
  ordered o = {.p = p};
  ck_assert_msg(project_good(&o.p) && o.p.fit != NULL && o.p.fit->placed, "%s", all_words(&o.p));
  gw_error err = {0};
  ck_assert_int_eq(gw_marks_make(o.p.model, o.p.fit, &o.marks), GW_OK);
  ck_assert_msg(gw_order_make(o.p.model, o.p.fit, o.marks, NULL, o.p.findings, &o.order, &err) ==
                    GW_OK, "%s", err.words);
  return o;
}

static ordered order_text(const char *inside) { return put_in_order(project_fit(project_read(inside))); }

static void clear(ordered *o) {
  gw_order_free(o->order);
  gw_marks_free(o->marks);
  project_clear(&o->p);
}

/* ---- replay ----------------------------------------------------------------------- */

/* Whether box a, moved by `t` half millimetres along d, shares wood with b. */
static bool meets(const gw_box *a, const gw_box *b, gw_vec d, int t) {
  for (int axis = 0; axis < 3; ++axis) {
    gw_len shift = (gw_len)d.c[axis] * t * GW_MM / 2;
    gw_len lo = a->lo[axis] + shift > b->lo[axis] ? a->lo[axis] + shift : b->lo[axis];
    gw_len hi = a->hi[axis] + shift < b->hi[axis] ? a->hi[axis] + shift : b->hi[axis];
    if (hi - lo <= GW_MM / 5) return false;
  }
  return true;
}

/* The same of solids that lean, by their level sections every 3 mm. */
static bool sections_meet(const gw_solid *a, const gw_solid *b, gw_vec d, int t) {
  double most = 1;
  gw_len shift[3];
  for (int axis = 0; axis < 3; ++axis) most = fmax(most, fabs((double)d.c[axis]));
  for (int axis = 0; axis < 3; ++axis)
    shift[axis] = (gw_len)(d.c[axis] / most * t * (double)GW_MM / 2);
  gw_len low = a->box.lo[GW_Z] + shift[GW_Z], high = a->box.hi[GW_Z] + shift[GW_Z];
  if (b->box.lo[GW_Z] > low) low = b->box.lo[GW_Z];
  if (b->box.hi[GW_Z] < high) high = b->box.hi[GW_Z];
  for (gw_len z = low + GW_MM / 5; z < high - GW_MM / 5; z += 3 * GW_MM) {
    gw_box of_a = gw_solid_section(a, z - shift[GW_Z]), of_b = gw_solid_section(b, z);
    bool all = true;
    for (int axis = 0; axis < 2 && all; ++axis)
      all = of_a.hi[axis] + shift[axis] - of_b.lo[axis] > GW_MM / 4 &&
            of_b.hi[axis] - of_a.lo[axis] - shift[axis] > GW_MM / 4;
    if (all) return true;
  }
  return false;
}

static bool joined(const gw_model *m, int a, int b) {
  for (int i = 0; i < m->n_joints; ++i) {
    int e = gw_joint_enters(m, &m->joints[i]), r = gw_joint_receives(m, &m->joints[i]);
    if ((e == a && r == b) || (e == b && r == a)) return true;
  }
  return false;
}

/* Steps the moving parts out in half millimetres over the whole piece. */
static void replay_bodies(const ordered *o, const gw_join *j, int index) {
  gw_vec out = {{-j->way.c[0], -j->way.c[1], -j->way.c[2]}};
  gw_len far = o->p.fit->extent[0] + o->p.fit->extent[1] + o->p.fit->extent[2];
  for (int a = 0; a < j->n_moving; ++a)
    for (int b = 0; b < j->n_onto; ++b) {
      if (joined(o->p.model, j->moving[a], j->onto[b])) continue;
      gw_solid wa[16], wb[16];
      int na = gw_fit_wood(o->p.fit, o->p.model, j->moving[a], wa, 16);
      int nb = gw_fit_wood(o->p.fit, o->p.model, j->onto[b], wb, 16);
      bool leans = o->p.fit->slants != NULL;
      for (int t = 0; t * GW_MM / 2 < far; t += leans ? 4 : 1)
        for (int k = 0; k < na * nb; ++k)
          ck_assert_msg(leans ? !sections_meet(&wa[k / nb], &wb[k % nb], out, t)
                              : !meets(&wa[k / nb].box, &wb[k % nb].box, out, t),
                        "join %d: %s runs into %s", index, o->p.model->parts[j->moving[a]].id,
                        o->p.model->parts[j->onto[b]].id);
    }
}

static int on_side(const int *parts, int count, int part) {
  for (int i = 0; i < count; ++i)
    if (parts[i] == part) return 1;
  return 0;
}

/* Every joint between the sides lets go, and is listed; no other is. */
static void replay_joints(const ordered *o, const gw_join *j, int *closed) {
  const gw_model *m = o->p.model;
  gw_vec out = {{-j->way.c[0], -j->way.c[1], -j->way.c[2]}};
  int between = 0;
  for (int i = 0; i < m->n_joints; ++i) {
    int e = gw_joint_enters(m, &m->joints[i]), r = gw_joint_receives(m, &m->joints[i]);
    bool e_moves = on_side(j->moving, j->n_moving, e) && on_side(j->onto, j->n_onto, r);
    bool r_moves = on_side(j->moving, j->n_moving, r) && on_side(j->onto, j->n_onto, e);
    if (!e_moves && !r_moves) continue;
    ++between;
    ++closed[i];
    ck_assert(gw_freedom_allows(&o->p.fit->seatings[i].freedom, e_moves ? out : j->way));
    ck_assert(on_side(j->joints, j->n_joints, i));
  }
  ck_assert_int_eq(between, j->n_joints);
}

static void replay(const ordered *o) {
  ck_assert_msg(o->order != NULL, "no order: %s", all_words(&o->p));
  const gw_model *m = o->p.model;
  int *closed = calloc((size_t)m->n_joints, sizeof *closed);
  ck_assert_int_eq(o->order->n_joins, m->n_parts - 1);
  for (int i = 0; i < o->order->n_joins; ++i) {
    replay_joints(o, &o->order->joins[i], closed);
    replay_bodies(o, &o->order->joins[i], i);
    for (int a = 0; a < o->order->joins[i].n_moving; ++a)
      ck_assert(!on_side(o->order->joins[i].onto, o->order->joins[i].n_onto,
                         o->order->joins[i].moving[a]));
  }
  const gw_join *last = &o->order->joins[o->order->n_joins - 1];
  ck_assert_int_eq(last->n_moving + last->n_onto, m->n_parts);
  for (int i = 0; i < m->n_joints; ++i) ck_assert_int_eq(closed[i], 1);
  free(closed);
}

/* The join in which a part, still single, comes to others. */
static int joins_at(const ordered *o, const char *id) {
  int part = part_of(&o->p, id);
  for (int i = 0; i < o->order->n_joins; ++i) {
    const gw_join *j = &o->order->joins[i];
    if ((j->n_moving == 1 && j->moving[0] == part) || (j->n_onto == 1 && j->onto[0] == part))
      return i;
  }
  return -1;
}

/* ---- pieces ------------------------------------------------------------------------ */

START_TEST(every_piece_is_replayed) {
  static const char *const files[] = {"projects/lantern-chest.xml", "projects/pantry-door.xml",
                                      "projects/side-table.xml", "projects/study-bookcase.xml",
                                      "projects/ringers-stool.xml", "tests/pieces/pear-tray.xml"};
  ordered o = put_in_order(project_file(files[_i]));
  replay(&o);
  ck_assert(o.order->optimal);
  clear(&o);
}
END_TEST

/* A panel in four grooves cannot be last. */
START_TEST(panel_before_the_part_that_closes_its_groove) {
  ordered o = put_in_order(project_file("projects/lantern-chest.xml"));
  replay(&o);
  ck_assert_int_lt(joins_at(&o, "bottom"), o.order->n_joins - 1);
  ck_assert_int_gt(o.order->joins[o.order->n_joins - 1].n_glued, 1);
  clear(&o);
}
END_TEST

/* Corner posts of a frame 400 by 400 in the plane of x and z. */
#define FRAME_SIDES(kind)                                                                     \
  "<part id='left' length='400' width='40' thickness='20' face='front' edge='right'>"         \
  "<" kind "-face id='bottom' at='down'/><" kind "-face id='top' at='up'/></part>"            \
  "<part id='right' length='400' width='40' thickness='20' face='front' edge='left'>"         \
  "<" kind "-face id='bottom' at='down'/><" kind "-face id='top' at='up'/></part>"            \
  "<part id='bottom' length='400' width='40' thickness='20' face='front' edge='up'>"          \
  "<" kind " at='left' into='left/bottom'/><" kind " at='right' into='right/bottom'/></part>" \
  "<part id='top' length='400' width='40' thickness='20' face='front' edge='down'>"           \
  "<" kind " at='left' into='left/top'/><" kind " at='right' into='right/top'/></part>"

/* Legs tenoned in line with themselves go into a seat one by one, each along its own
 * slant; once two of them are held by a rail, nothing goes in any more, unless their
 * tenons are plumb. */
static ordered slanting_legs(const char *plumb, const char *mortise, const char *rail) {
  char text[2048];
  snprintf(text, sizeof text,
           "<part id='a' length='300' width='40' thickness='40' face='front' edge='left' splay='left 1:5'>"
           "<tenon at='up' into='seat/a' thickness='12' width='20' depth='16' %s/>%s</part>"
           "<part id='b' mirror-of='a' into='seat/b'/>"
           "<part id='seat' length='400' width='200' thickness='30' face='up' edge='front'>"
           "<mortise id='a' at='down' from-left='60' from-front='90'/>"
           "<mortise id='b' at='down' from-right='60' from-front='90'/></part>%s",
           plumb, mortise, rail);
  return order_text(text);
}

START_TEST(legs_go_in_along_themselves) {
  static const char mortise[] = "<mortise id='m' at='right' thickness='10' from-bottom='100' width='30'/>";
  static const char rail[] =
      "<part id='rail' length='%s' width='30' thickness='20' face='front' edge='up'>"
      "<tenon at='left' into='a/m' width='30' depth='20'/>"
      "<tenon at='right' into='b/m' width='30' depth='20'/></part>";
  char text[512];
  ordered o = slanting_legs("", "", "");
  ck_assert_ptr_nonnull(o.order);
  replay(&o);
  for (int i = 0; i < 2; ++i) {
    ck_assert_int_ne(o.order->joins[i].way.c[GW_X], 0);
    ck_assert_int_ne(o.order->joins[i].way.c[GW_Z], 0);
  }
  clear(&o);
  snprintf(text, sizeof text, rail, "326.4"); /* as the loop of the longer one says */
  o = slanting_legs("", mortise, text);
  expect_one(&o.p, "locked", 1);
  clear(&o);
  snprintf(text, sizeof text, rail, "326.8"); /* a plumb tenon is 20 wide on the level */
  o = slanting_legs("plumb='yes'", mortise, text);
  ck_assert_ptr_nonnull(o.order);
  replay(&o);
  clear(&o);
}
END_TEST

START_TEST(plain_mitres_close) {
  ordered o = order_text(FRAME_SIDES("mitre"));
  replay(&o);
  clear(&o);
}
END_TEST

/* The index of the join whose whole is just these parts, or -1. */
static int whole_of(const ordered *o, const char *const *ids, int count) {
  for (int i = 0; i < o->order->n_joins; ++i) {
    const gw_join *j = &o->order->joins[i];
    int found = 0;
    for (int k = 0; k < count; ++k)
      found += on_side(j->moving, j->n_moving, part_of(&o->p, ids[k])) ||
               on_side(j->onto, j->n_onto, part_of(&o->p, ids[k]));
    if (found == count && j->n_moving + j->n_onto == count) return i;
  }
  return -1;
}

/* Each corner closes along its own slant only, so no side can go in last; but
 * opposite corners slant alike, and two L's close both at once. */
START_TEST(keyed_mitres_close_as_two_halves) {
  ordered o = order_text(FRAME_SIDES("keyed-mitre"));
  replay(&o);
  const gw_join *last = &o.order->joins[o.order->n_joins - 1];
  ck_assert_int_eq(last->n_moving, 2);
  ck_assert_int_eq(last->n_onto, 2);
  ck_assert(last->way.c[0] != 0 && last->way.c[2] != 0);
  clear(&o);
}
END_TEST

#define BOARD(id, face, halves) \
  "<part id='" id "' length='300' width='100' thickness='20' face='" face "' edge='up'>" halves "</part>"

/* Four boards, each with tails at one end and pins at the other: no board can
 * go in last, two L's can. */
START_TEST(pinwheel_closes_as_two_halves) {
  ordered o = order_text(BOARD("front", "front", "<tail at='left' into='left/s'/><socket id='s' at='right'/>")
                         BOARD("left", "left", "<tail at='back' into='back/s'/><socket id='s' at='front'/>")
                         BOARD("back", "back", "<tail at='right' into='right/s'/><socket id='s' at='left'/>")
                         BOARD("right", "right", "<tail at='front' into='front/s'/><socket id='s' at='back'/>"));
  replay(&o);
  const gw_join *last = &o.order->joins[o.order->n_joins - 1];
  ck_assert_int_eq(last->n_moving, 2);
  clear(&o);
}
END_TEST

/* Four corners, no two of which open along one line: two forwards or to the
 * left, two upwards.  Isolating any side, or any pair of sides, means opening
 * two corners along one line, so the box cannot be put together by two hands. */
static const char locked_box[] =
    BOARD("front", "front", "<tail at='left' into='left/front'/>"
                            "<socket id='right' at='up' from-right='0' width='20'/>")
    BOARD("left", "left", "<socket id='front' at='front'/><tail at='back' into='back/left'/>")
    BOARD("back", "back", "<socket id='left' at='left'/><tail at='right' into='right/back'/>")
    BOARD("right", "right", "<socket id='back' at='up' from-back='0' width='20'/>"
                            "<tail at='front' into='front/right'/>");

START_TEST(corners_each_in_its_own_direction_lock) {
  ordered o = order_text(locked_box);
  ck_assert_ptr_null(o.order);
  expect_one(&o.p, "locked", 1);
  const gw_finding *f = gw_findings_at(o.p.findings, 0);
  ck_assert_int_eq(f->n_parts, 4);
  ck_assert_int_eq(f->n_joints, 4); /* any one corner left open would free it */
  ck_assert_msg(strstr(f->words, "all would have to close at once") != NULL, "%s", f->words);
  clear(&o);
}
END_TEST

/* Rungs between two stiles: all of them stand before the second stile closes. */
START_TEST(ladder) {
  char text[8192] = "", more[512];
  for (int side = 0; side < 2; ++side) {
    snprintf(more, sizeof more,
             "<part id='%s' length='1400' width='60' thickness='30' face='front' edge='left'>",
             side ? "right" : "left");
    strcat(text, more);
    for (int i = 0; i < 6; ++i) {
      snprintf(more, sizeof more,
               "<mortise id='r%d' at='%s' from-bottom='%d' width='40' thickness='12' depth='31'/>",
               i, side ? "left" : "right", 100 + 220 * i);
      strcat(text, more);
    }
    strcat(text, "</part>");
  }
  for (int i = 0; i < 6; ++i) {
    snprintf(more, sizeof more,
             "<part id='rung%d' length='360' width='40' thickness='20' face='front' edge='up'>"
             "<tenon at='left' into='left/r%d' depth='30'/>"
             "<tenon at='right' into='right/r%d' depth='30'/></part>", i, i, i);
    strcat(text, more);
  }
  ordered o = order_text(text);
  replay(&o);
  const gw_join *last = &o.order->joins[o.order->n_joins - 1];
  ck_assert_int_eq(last->n_joints, 6);
  ck_assert(last->n_moving == 1 || last->n_onto == 1);
  clear(&o);
}
END_TEST

/* A shelf on sliding dovetails that are open at the back only, and a back that
 * is let in between the sides behind it. */
#define SHELF(open)                                                                             \
  "<part id='left' length='600' width='300' thickness='20' face='left' edge='front'>"           \
  "<sliding-socket id='shelf' at='right' from-bottom='300' depth='8' open='" open "'/>"         \
  "<rebate id='back' at='back' width='10' depth='8'/>"                                          \
  "<mortise id='rail' at='right' from-top='10' from-front='2' width='40' thickness='8' depth='12'/></part>" \
  "<part id='right' mirror-of='left'/>"                                                         \
  "<part id='rail' length='484' width='40' thickness='12' face='front' edge='up'>"              \
  "<tenon at='left' into='left/rail' depth='12' thickness='8'/>"                                \
  "<tenon at='right' into='right/rail' depth='12' thickness='8'/></part>"                       \
  "<part id='shelf' length='476' width='280' thickness='18' face='up' edge='front'>"            \
  "<sliding-tail at='left' into='left/shelf' from-front='0'/>"                                  \
  "<sliding-tail at='right' into='right/shelf' from-front='0'/></part>"                         \
  "<part id='back' length='600' width='480' thickness='8' face='back' edge='left'>"             \
  "<board-edge at='left' into='left/back'/><board-edge at='right' into='right/back'/></part>"

START_TEST(sliding_shelf_before_the_back) {
  project p = project_fit(project_read(SHELF("back")));
  ordered o = put_in_order(p);
  replay(&o);
  ck_assert_int_lt(joins_at(&o, "shelf"), joins_at(&o, "back"));
  clear(&o);
}
END_TEST

START_TEST(sliding_shelf_with_no_way_in) {
  ordered o = order_text(SHELF("none"));
  ck_assert_ptr_null(o.order);
  const gw_finding *f = gw_findings_at(o.p.findings, 0);
  ck_assert_str_eq(f->code, "locked");
  ck_assert_int_eq(f->n_parts, 2); /* the shelf and one side: no need of the rest */
  clear(&o);
}
END_TEST

/* Three keys that slide from the back into one base, one behind the other: the
 * foremost must go in first, so there is one order and no other. */
START_TEST(keys_in_one_order_only) {
  ordered o = order_text(
      "<part id='base' length='300' width='60' thickness='40' face='up' edge='left'>"
      "<sliding-socket id='a' at='up' from-left='20' from-front='0' width='60' thickness='20' depth='10' open='back'/>"
      "<sliding-socket id='b' at='up' from-left='20' from-front='80' width='60' thickness='20' depth='10' open='back'/>"
      "<sliding-socket id='c' at='up' from-left='20' from-front='160' width='60' thickness='20' depth='10' open='back'/>"
      "</part>"
      "<part id='c' length='60' width='30' thickness='20' face='left' edge='up'>"
      "<sliding-tail at='down' into='base/c'/></part>"
      "<part id='b' length='60' width='30' thickness='20' face='left' edge='up'>"
      "<sliding-tail at='down' into='base/b'/></part>"
      "<part id='a' length='60' width='30' thickness='20' face='left' edge='up'>"
      "<sliding-tail at='down' into='base/a'/></part>");
  replay(&o);
  ck_assert_int_lt(joins_at(&o, "a"), joins_at(&o, "b"));
  ck_assert_int_lt(joins_at(&o, "b"), joins_at(&o, "c"));
  clear(&o);
}
END_TEST

/* ---- wishes --------------------------------------------------------------------------- */

#define FOUR_LEGS(wish)                                                                         \
  "<part id='fl' length='400' width='40' thickness='40' face='front' edge='left'>"              \
  "<mortise id='x' at='right' from-top='10' width='60' thickness='8' depth='16'/>"              \
  "<mortise id='y' at='back' from-top='10' width='60' thickness='8' depth='16'/></part>"        \
  "<part id='fr' mirror-of='fl'/><part id='bl' mirror-of='fl' mirrored='front-back'/>"          \
  "<part id='br' mirror-of='bl'/>"                                                              \
  "<part id='f' length='330' width='60' thickness='20' face='front' edge='up'>"                 \
  "<tenon at='left' into='fl/x' depth='15'/><tenon at='right' into='fr/x' depth='15'/></part>"  \
  "<part id='b' mirror-of='f' mirrored='front-back' into='bl/x br/x'/>"                         \
  "<part id='l' length='230' width='60' thickness='20' face='left' edge='up'>"                  \
  "<tenon at='front' into='fl/y' depth='15'/><tenon at='back' into='bl/y' depth='15'/></part>"  \
  "<part id='r' mirror-of='l' into='fr/y br/y'/>" wish

START_TEST(table_is_made_of_two_ends) {
  static const char *const left[] = {"fl", "bl", "l"}, *const right[] = {"fr", "br", "r"};
  ordered o = order_text(FOUR_LEGS(""));
  replay(&o);
  ck_assert_int_ge(whole_of(&o, left, 3), 0);
  ck_assert_int_ge(whole_of(&o, right, 3), 0);
  clear(&o);
}
END_TEST

START_TEST(a_wish_is_kept) {
  static const char *const front[] = {"fl", "fr", "f"};
  ordered o = order_text(FOUR_LEGS("<first parts='fl fr f'/>"));
  replay(&o);
  ck_assert_int_ge(whole_of(&o, front, 3), 0);
  clear(&o);
}
END_TEST

/* Laid on its left side, "lower" is to the left, and something is lowered. */
START_TEST(the_side_on_the_bench_is_down) {
  ordered o = order_text(FOUR_LEGS("<lay side='left'/>"));
  replay(&o);
  int lowered = 0;
  for (int i = 0; i < o.order->n_joins; ++i) {
    const gw_join *j = &o.order->joins[i];
    bool lower = strncmp(j->words, "lower ", 6) == 0;
    ck_assert_msg(lower == (j->way.c[0] < 0), "%s", j->words);
    lowered += lower;
  }
  ck_assert_int_gt(lowered, 0);
  clear(&o);
}
END_TEST

/* Mass counts for nothing and joints for much: another order than else. */
START_TEST(weights_of_the_file_count) {
  ordered usual = order_text(FOUR_LEGS("")), o = order_text(FOUR_LEGS("<weights align='0' turn='0'/>"));
  replay(&o);
  ck_assert_int_lt(o.order->cost, usual.order->cost);
  clear(&o);
  clear(&usual);
}
END_TEST

START_TEST(a_wish_for_a_stage_ends_one) {
  static const char *const front[] = {"fl", "fr", "f"};
  ordered o = order_text(FOUR_LEGS("<alone parts='fl fr f'/>"));
  replay(&o);
  int join = whole_of(&o, front, 3);
  ck_assert_int_ge(join, 0);
  for (int i = 0; i < o.order->n_joins; ++i)
    ck_assert_int_eq(o.order->joins[i].ends_stage, i == join);
  clear(&o);
}
END_TEST

START_TEST(a_wish_that_cannot_be_had) {
  /* The bottom after all four boards: its grooves are closed by then. */
  ordered o = order_text(
      "<part id='front' length='300' width='100' thickness='20' face='front' edge='up'>"
      "<socket id='left' at='left'/><socket id='right' at='right'/>"
      "<groove id='g' at='back' from-bottom='10' thickness='6' depth='6'/></part>"
      "<part id='back' like='front' turned='about-up'/>"
      "<part id='left' length='200' width='100' thickness='20' face='left' edge='up'>"
      "<tail at='front' into='front/left'/><tail at='back' into='back/right'/>"
      "<groove id='g' at='right' from-bottom='10' thickness='6' depth='6'/></part>"
      "<part id='right' mirror-of='left' into='front/right back/left'/>"
      "<part id='bottom' length='270' width='170' thickness='6' face='up' edge='front'>"
      "<panel-edge at='front' into='front/g'/><panel-edge at='back' into='back/g'/>"
      "<panel-edge at='left' into='left/g'/><panel-edge at='right' into='right/g'/></part>"
      "<first parts='front back left right'/>");
  const gw_finding *f = gw_findings_at(o.p.findings, 0);
  ck_assert_str_eq(f->code, "wish-refused");
  clear(&o);
}
END_TEST

/* ---- many ways ---------------------------------------------------------------------- */

/* A seat on legs of which no two lean alike: each goes in a way of its own. */
static ordered spread_legs(int count) {
  static char text[65536];
  size_t at = (size_t)snprintf(text, sizeof text, HEAD "><part id='seat' length='9999' width='300' "
                                                       "thickness='40' face='up' edge='front'>");
  for (int i = 0; i < count; ++i)
    at += (size_t)snprintf(text + at, sizeof text - at,
                           "<mortise id='m%d' at='down' from-left='%d' from-front='60'/>", i, 40 + 60 * i);
  at += (size_t)snprintf(text + at, sizeof text - at, "</part>");
  for (int i = 0; i < count; ++i)
    at += (size_t)snprintf(text + at, sizeof text - at,
                           "<part id='l%d' length='100' width='30' thickness='30' face='front' edge='left' "
                           "splay='front %d.%d'><tenon at='up' into='seat/m%d' thickness='10' width='20' "
                           "depth='20'/></part>", i, 1 + i / 10, i % 10, i);
  at += (size_t)snprintf(text + at, sizeof text - at, "</piece>");
  ck_assert_int_lt((int)at, (int)sizeof text);
  return put_in_order(project_fit(project_bytes(text, at)));
}

START_TEST(legs_that_all_lean_otherwise) {
  ordered o = spread_legs(120);
  ck_assert_msg(o.order != NULL, "%s", all_words(&o.p));
  ck_assert_int_eq(o.order->n_joins, 120);
  clear(&o);
}
END_TEST

/* With more ways than are tried, the lock is said to hang on that, and ways of the
 * same words are counted once: beyond the axes, up and back, and down and to the front. */
START_TEST(more_ways_than_are_tried) {
  ordered o = spread_legs(130);
  ck_assert_ptr_null(o.order);
  const char *words = all_words(&o.p);
  ck_assert_ptr_nonnull(strstr(words, "256 were tried"));
  ck_assert_ptr_nonnull(strstr(words, " to the left: "));
  ck_assert_msg(strstr(words, "; and so in 2 other ways. Of all") != NULL, "%s", words);
  clear(&o);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("order");
  TCase *known = tcase_create("known");
  tcase_set_timeout(known, 60);
  tcase_add_loop_test(known, every_piece_is_replayed, 0, 6);
  tcase_add_test(known, panel_before_the_part_that_closes_its_groove);
  tcase_add_test(known, legs_go_in_along_themselves);
  tcase_add_test(known, plain_mitres_close);
  tcase_add_test(known, keyed_mitres_close_as_two_halves);
  tcase_add_test(known, pinwheel_closes_as_two_halves);
  tcase_add_test(known, corners_each_in_its_own_direction_lock);
  tcase_add_test(known, ladder);
  tcase_add_test(known, sliding_shelf_before_the_back);
  tcase_add_test(known, sliding_shelf_with_no_way_in);
  tcase_add_test(known, keys_in_one_order_only);
  tcase_add_test(known, table_is_made_of_two_ends);
  tcase_add_test(known, a_wish_is_kept);
  tcase_add_test(known, a_wish_for_a_stage_ends_one);
  tcase_add_test(known, the_side_on_the_bench_is_down);
  tcase_add_test(known, weights_of_the_file_count);
  tcase_add_test(known, a_wish_that_cannot_be_had);
  tcase_add_test(known, legs_that_all_lean_otherwise);
  tcase_add_test(known, more_ways_than_are_tried);
  suite_add_tcase(suite, known);
  return run_suite(suite);
}
