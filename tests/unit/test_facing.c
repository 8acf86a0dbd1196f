/* What layouts say of sides: that it is true of every joint that is named over the drawing.
 * Sides are reckoned anew here, from face and edge of the parts and the spans of the joints. */
#include <math.h>

#include "pdf_ops.h"
#include "sheets/markout_inner.h"
#include "sheets/picture_inner.h"

static const char *const PIECES[] = {
    "projects/bed-head.xml",      "projects/bench-top.xml",
    "projects/chest-of-drawers.xml", "projects/coat-rack.xml",
    "projects/gallery-frame.xml", "projects/lantern-chest.xml",
    "projects/pantry-door.xml",   "projects/ringers-stool.xml",
    "projects/side-table.xml",    "projects/study-bookcase.xml",
    "projects/tool-tote.xml",     "tests/pieces/carcass-16.xml",
    "tests/pieces/pear-tray.xml", "tests/pieces/plant-stand.xml",
    "tests/pieces/wharf-stool-inch.xml"};
enum { N_PIECES = sizeof PIECES / sizeof *PIECES };

/* The joints of one layout. */
typedef struct group {
  probe *p;
  gw_flow *flow;
  const int *joints;
  int count;
} group;

static const gw_half *half_of(const group *g, int joint, bool entering) {
  const gw_model *m = g->p->job.model;
  return &m->halves[entering ? m->joints[joint].entering : m->joints[joint].receiving];
}

static const gw_part *part_of(const group *g, int joint, bool entering) {
  return &g->p->job.model->parts[half_of(g, joint, entering)->part];
}

static const gw_seating *seating_of(const group *g, int joint) {
  return &g->p->job.fit->seatings[joint];
}

/* ---- sides by their names -------------------------------------------------------------- */

static const char *name_of(const gw_part *p, int dir) {
  static const char *const ends[6] = {"left end", "right end", "front end", "back end",
                                      "lower end", "upper end"};
  if (dir == (int)p->face) return "face side";
  if (dir == (int)(p->face ^ 1)) return "far side";
  if (dir == (int)p->edge) return "face edge";
  return dir == (int)(p->edge ^ 1) ? "far edge" : ends[dir];
}

/* The side that begins `words`, which move past it. */
static gw_dir side_in(const gw_part *p, const char **words) {
  if (strncmp(*words, "the ", 4) == 0) *words += 4;
  for (int dir = 0; dir < 6; ++dir) {
    size_t length = strlen(name_of(p, dir));
    if (strncmp(*words, name_of(p, dir), length) != 0) continue;
    *words += length;
    return (gw_dir)dir;
  }
  ck_abort_msg("no side of %s: '%s'", p->id, *words);
  return GW_NO_DIR;
}

static bool past(const char **words, const char *these) {
  size_t length = strlen(these);
  if (strncmp(*words, these, length) != 0) return false;
  *words += length;
  return true;
}

static void unit_of(gw_dir dir, int out[3]) {
  out[0] = out[1] = out[2] = 0;
  out[dir / 2] = dir % 2 == 0 ? -1 : 1;
}

/* The side at the right where one looks at `seen` with `above` above. */
static gw_dir right_of(gw_dir above, gw_dir seen) {
  int a[3], b[3];
  unit_of(above, a);
  unit_of(seen, b);
  for (int i = 0; i < 3; ++i) {
    int along = a[(i + 1) % 3] * b[(i + 2) % 3] - a[(i + 2) % 3] * b[(i + 1) % 3];
    if (along != 0) return (gw_dir)(2 * i + (along > 0));
  }
  ck_abort_msg("a side is seen from above itself");
  return GW_NO_DIR;
}

/* ---- captions ---------------------------------------------------------------------------- */

/* "upper end above, face edge left" of a part seen from this side. */
static void check_turn(const gw_part *p, gw_dir seen, const char *words) {
  gw_dir above = side_in(p, &words);
  ck_assert_msg(past(&words, " above"), "'%s'", words);
  gw_dir right = right_of(above, seen);
  if (words[0] == '\0') return; /* the rest is its length */
  ck_assert(past(&words, ", "));
  gw_dir beside = side_in(p, &words);
  if (strcmp(words, " right") == 0) ck_assert_int_eq(beside, right);
  else {
    ck_assert_str_eq(words, " left");
    ck_assert_int_eq(beside, right ^ 1);
  }
}

static void check_view_of(const group *g, int joint, bool entering, const char *words) {
  const gw_part *p = part_of(g, joint, entering);
  const gw_half *half = half_of(g, joint, entering);
  gw_dir seen = half->at;
  if (past(&words, "end view")) ck_assert_str_eq(strstr(name_of(p, seen), "end"), "end");
  else if (past(&words, "seen on ")) {
    seen = side_in(p, &words);
    ck_assert_msg(seen == half->at, "%s is not cut on the %s", p->id, name_of(p, seen));
  } else {
    ck_assert(past(&words, "view of ") || past(&words, "cut, seen from ") ||
              past(&words, "cut at its wider end, seen from "));
    seen = side_in(p, &words);
    ck_assert_msg(seen / 2 != half->at / 2, "a section along the %s of %s", half->element, p->id);
  }
  ck_assert_msg(past(&words, ", "), "'%s'", words);
  check_turn(p, seen, words);
}

/* True of all joints, or of the one that is named. */
static int check_view(const group *g, bool entering, const char *words) {
  char number[GW_MARK_SHOWN], one[GW_MARK_SHOWN + 16];
  gw_mark_show(&g->p->job.marks->joints[g->joints[0]], number);
  snprintf(one, sizeof one, "joint %s: ", number);
  if (past(&words, one)) {
    check_view_of(g, g->joints[0], entering, words);
    return 1;
  }
  for (int i = 0; i < g->count; ++i) check_view_of(g, g->joints[i], entering, words);
  return g->count;
}

/* The stretch of a half along an axis, and what is beside it towards either side. */
typedef struct lies { gw_len size, beside[2]; } lies;

static lies lies_of(const group *g, int joint, bool entering, int axis, bool section) {
  const gw_part *p = part_of(g, joint, entering);
  const gw_half *half = half_of(g, joint, entering);
  const gw_seating *s = seating_of(g, joint);
  const gw_span *span = entering ? &s->e[axis] : &s->r[axis];
  if (!section) {
    gw_len rest = p->size[axis] - span->lo - span->size;
    return (lies){gw_on_wood(p, half, axis, span->size),
                  {gw_on_wood(p, half, axis, span->lo), gw_on_wood(p, half, axis, rest)}};
  }
  gw_box body = g->p->job.fit->boxes[half->part];
  gw_box cut = gw_half_space(&g->p->sheets, (int)(half - g->p->job.model->halves));
  if (entering && s->style != GW_CROSS && axis == (int)half->at / 2) { /* what goes in of it */
    gw_len in = gw_goes_in(&g->p->sheets, joint).in;
    if (cut.hi[axis] - cut.lo[axis] > in && half->at % 2 == 1) cut.lo[axis] = cut.hi[axis] - in;
    else if (cut.hi[axis] - cut.lo[axis] > in) cut.hi[axis] = cut.lo[axis] + in;
  }
  return (lies){cut.hi[axis] - cut.lo[axis],
                {cut.lo[axis] - body.lo[axis], body.hi[axis] - cut.hi[axis]}};
}

static bool has_words(const group *g, gw_len length, const char *words) {
  char text[48];
  return strcmp(gw_length_words(&g->p->sheets, length, text, sizeof text), words) == 0;
}

/* "8 mm, 12 mm from the far edge" of one joint. */
static void check_place_of(const group *g, int joint, bool entering, const char *words,
                           bool section) {
  if (strstr(words, " to the shoulder") != NULL) { /* all of a tongue, and what goes in */
    char whole[48], in[48], both[128];
    const gw_sheets_job *job = &g->p->sheets;
    snprintf(both, sizeof both, "%s to the shoulder, of this %s in",
             gw_length_words(job, seating_of(g, joint)->depth_e, whole, sizeof whole),
             gw_length_words(job, gw_goes_in(job, joint).in, in, sizeof in));
    ck_assert_str_eq(words, both);
    return;
  }
  char size[48] = "";
  const char *comma = strstr(words, ", "), *from = strstr(words, "from the ");
  const gw_part *p = part_of(g, joint, entering);
  size_t length = comma != NULL ? (size_t)(comma - words) : strcspn(words, ";");
  ck_assert_uint_lt(length, sizeof size);
  memcpy(size, words, length);
  size[length] = '\0';
  bool found = false;
  gw_dir side = GW_NO_DIR;
  if (from != NULL) {
    const char *after = from + 5;
    side = side_in(p, &after);
    ck_assert_str_eq(after, "");
  }
  for (int axis = 0; axis < 3 && !found; ++axis) {
    if (side != GW_NO_DIR && (int)side / 2 != axis) continue;
    lies l = lies_of(g, joint, entering, axis, section);
    if (!has_words(g, l.size, size)) continue;
    if (strstr(words, "in the middle") != NULL) found = llabs(l.beside[0] - l.beside[1]) < GW_MM / 50;
    else if (side == GW_NO_DIR) found = true;
    else if (comma + 2 == from) found = l.beside[side % 2] == 0;
    else {
      char off[48] = "";
      ck_assert_int_lt(from - comma - 3, 48);
      memcpy(off, comma + 2, (size_t)(from - comma - 3));
      found = has_words(g, l.beside[side % 2], off);
    }
  }
  char number[GW_MARK_SHOWN];
  ck_assert_msg(found, "joint %s, %s: not '%s'",
                gw_mark_show(&g->p->job.marks->joints[joint], number), p->id, words);
}

static int check_caption(const group *g, bool entering, const gw_caption *c, bool section) {
  int checked = check_view(g, entering, c->lines[0]);
  for (int line = 1; line < GW_CAPTION_LINES; ++line) {
    const char *words = c->lines[line];
    if (words == NULL) continue;
    ck_assert(past(&words, "across: ") || past(&words, "down: ") || past(&words, "along: "));
    for (int i = 0; i < g->count; ++i)
      check_place_of(g, g->joints[i], entering, words, section);
  }
  return checked;
}

/* ---- tails ------------------------------------------------------------------------------- */

/* Whether "On joints 5 and 8, ..." names a joint. */
static bool names(const group *g, const char *words, int joint) {
  char number[GW_MARK_SHOWN];
  gw_mark_show(&g->p->job.marks->joints[joint], number);
  size_t length = strlen(number);
  const char *end = strstr(words, ", with ");
  for (const char *at = words; (at = strstr(at, number)) != NULL && at < end; at += length)
    if (at[-1] == ' ' && (at[length] == ',' || at[length] == ' ')) return true;
  return false;
}

static gw_len before_on(const gw_part *p, const gw_span *span, gw_dir from) {
  return from % 2 == 0 ? span->lo : p->size[from / 2] - span->lo - span->size;
}

static void check_tails_of(const group *g, int joint, const char *words) {
  const gw_part *tails = part_of(g, joint, true), *other = part_of(g, joint, false);
  const gw_seating *s = seating_of(g, joint);
  const char *from = strstr(words, "from the "), *its = strstr(words, "On the other board, from its ");
  const char *on = strstr(words, "On joint");
  ck_assert_ptr_nonnull(from);
  while (strncmp(from, "from the ", 9) == 0 && strncmp(from + 9, "f", 1) != 0)
    ck_assert_ptr_nonnull(from = strstr(from + 1, "from the "));
  from += 5;
  gw_dir edge = side_in(tails, &from), of_other = edge;
  ck_assert_int_eq(edge / 2, s->run);
  gw_len less = before_on(tails, &s->e[s->run], edge) - before_on(other, &s->r[s->run], edge);
  char said[96] = "they are the same.", length[48];
  if (its != NULL) {
    its += strlen("On the other board, from its ");
    of_other = side_in(other, &its);
    ck_assert_int_eq(of_other, edge);
    if (less != 0)
      snprintf(said, sizeof said, "all are %s %s.",
               gw_length_words(&g->p->sheets, llabs(less), length, sizeof length),
               less > 0 ? "less" : "more");
    ck_assert_msg(strncmp(its + 2, said, strlen(said)) == 0, "'%s'", its);
  } else {
    ck_assert_int_eq(less, 0);
    ck_assert_str_eq(name_of(tails, edge), name_of(other, edge));
  }
  gw_dir right = right_of(edge, half_of(g, joint, false)->at);
  gw_dir outside = half_of(g, joint, true)->at;
  bool named = on != NULL && names(g, on, joint);
  ck_assert_msg(outside == (named ? right : (right ^ 1)), "outside of joint %d: '%s'", joint, words);
  if (!named) return;
  ck_assert_ptr_nonnull(on = strstr(on, ", with "));
  on += strlen(", with ");
  ck_assert_int_eq(side_in(other, &on), edge);
}

/* ---- all layouts ------------------------------------------------------------------------- */

static int check_group(const group *g) {
  const gw_sheets_job *job = &g->p->sheets;
  int checked = 0;
  gw_form form = gw_layout_form(job, g->joints[0]);
  if (form == GW_FORM_TAILS) {
    const char *words = gw_tails_words(g->flow, job, g->joints, g->count);
    for (int i = 0; i < g->count; ++i) check_tails_of(g, g->joints[i], words);
    return g->count;
  }
  for (int i = 0; i < 2; ++i) {
    gw_caption c = form == GW_FORM_SECTION
                       ? gw_section_caption(g->flow, job, g->joints, g->count, i == 0)
                       : gw_plates_caption(g->flow, job, g->joints, g->count, i == 0);
    checked += check_caption(g, i == 0, &c, form == GW_FORM_SECTION);
    gw_kind kind = job->model->joints[g->joints[0]].kind;
    if (kind == GW_DOVETAIL_HALVING) {
      c = gw_plan_caption(g->flow, job, g->joints, g->count, i == 0);
      checked += check_view(g, i == 0, c.lines[0]);
    }
  }
  return checked;
}

/* Each joint with a layout is in one group, and what stands over that holds for it. */
START_TEST(sides_are_true_of_every_joint) {
  probe p = probe_open(PIECES[_i]);
  const int n = p.job.model->n_joints;
  bool *done = calloc((size_t)n + 1, sizeof *done);
  int *joints = calloc((size_t)n + 1, sizeof *joints), laid = 0, with_form = 0, checked = 0;
  gw_error err = {GW_OK, ""};
  gw_flow flow;
  gw_doc *doc = gw_sheets_open(&p.sheets, "Marking out", &err);
  ck_assert(doc != NULL && done != NULL && joints != NULL);
  ck_assert(gw_flow_begin(&flow, doc, "Marking out"));
  for (int k = 0; k < n; ++k) {
    int joint = p.job.marks->joint_walk[k];
    with_form += gw_layout_form(&p.sheets, joint) != GW_FORM_NONE;
    if (done[joint] || gw_layout_form(&p.sheets, joint) == GW_FORM_NONE) continue;
    group g = {.p = &p, .flow = &flow, .joints = joints};
    g.count = gw_layout_gather(&p.sheets, k, done, joints);
    checked += check_group(&g);
    laid += g.count;
  }
  ck_assert_int_eq(laid, with_form);
  ck_assert(laid == 0 || checked > 0);
  ck_assert_int_eq(gw_flow_end(&flow), GW_OK);
  gw_doc_free(doc);
  free(joints);
  free(done);
  probe_close(&p);
}
END_TEST

/* ---- on paper ------------------------------------------------------------------------------ */

/* Strokes of the sockets' board under its name: x within it, y from the board's upper end. */
typedef struct stroke { double x, w, from, to; } stroke;

static int strokes_under(const ops *all, const op *name, stroke *out, int room) {
  int count = 0;
  for (size_t i = 0; i < all->count && count < room; ++i) {
    const op *o = &all->items[i];
    if (o->kind != OP_STROKE || o->page != name->page || o->pen < 0.3) continue;
    double top = name->y + 5.2; /* the tails' board begins there */
    if (o->x < name->x - 0.1 || o->x + o->w > name->x + 42 || o->y < top - 0.1) continue;
    bool swap = o->sx[0] > o->sx[1];
    out[count++] = (stroke){o->x - name->x, o->w, (swap ? o->sy[1] : o->sy[0]) - top,
                            (swap ? o->sy[0] : o->sy[1]) - top};
  }
  return count;
}

/* Where "outside left" stands, sockets are wide at the left: the first flank falls. */
START_TEST(sockets_are_wide_at_the_left) {
  probe p = probe_open(PIECES[_i]);
  probe_print(&p, gw_sheets_mark_out);
  ops all = ops_of(&p);
  int flanks = 0;
  for (size_t i = 0; i < all.count; ++i) {
    const op *name = &all.items[i];
    if (name->kind != OP_TEXT || strcmp(name->text, "outside left") != 0) continue;
    op over = *name;
    over.y -= 3.7; /* that of "sockets (end)" */
    stroke s[400];
    int n = strokes_under(&all, &over, s, 400), first = -1;
    for (int k = 0; k < n; ++k) {
      bool flank = s[k].w > 5 && fabs(s[k].to - s[k].from) > 0.5;
      if (flank && (first < 0 || s[k].from < s[first].from)) first = k;
    }
    ck_assert_int_ge(first, 0);
    ck_assert_double_gt(s[first].to, s[first].from);
    ++flanks;
  }
  int tails = 0;
  for (int k = 0; k < p.job.model->n_joints; ++k)
    tails += gw_layout_form(&p.sheets, k) == GW_FORM_TAILS;
  ck_assert_int_eq(tails > 0, flanks > 0);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* The back of the table's drawer is 64 wide and begins 14 above the edge of the sides. */
START_TEST(a_narrower_board_has_its_own_edges) {
  probe p = probe_open("projects/side-table.xml");
  probe_print(&p, gw_sheets_mark_out);
  char *text = probe_text(&p);
  ck_assert(probe_says(text, "On the other board, from its face edge, all are 14 mm less."));
  ck_assert(probe_says(text, "On the other board, from its face side, they are the same."));
  free(text);
  ops all = ops_of(&p);
  int found = 0;
  for (size_t i = 0; i < all.count; ++i) {
    const op *name = &all.items[i];
    if (name->kind != OP_TEXT || strcmp(name->text, "outside left") != 0) continue;
    op over = *name;
    over.y -= 3.7;
    stroke s[400];
    int n = strokes_under(&all, &over, s, 400), ends[2] = {0, 0};
    for (int k = 0; k < n; ++k)
      for (int end = 0; end < 2; ++end)
        ends[end] += fabs(s[k].w - 10) < 0.1 && fabs(s[k].from - (end == 0 ? 14 : 78)) < 0.1 &&
                     fabs(s[k].to - s[k].from) < 0.1;
    found += ends[0] == 1 && ends[1] == 1;
  }
  ck_assert_int_eq(found, 1);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

/* A dovetailed socket cut at its wider end is as wide as its words say. */
START_TEST(a_socket_at_its_wider_end) {
  probe p = probe_open("projects/coat-rack.xml");
  probe_print(&p, gw_sheets_mark_out);
  ops all = ops_of(&p);
  int profiles = 0;
  for (size_t i = 0; i < all.count; ++i) {
    const op *o = &all.items[i];
    if (o->kind != OP_STROKE) continue;
    profiles += fabs(o->w - 80) < 0.1 && fabs(o->h - 14) < 0.1;
    ck_assert(fabs(o->w - 51.25) > 0.2); /* no line runs on under uncut wood */
  }
  ck_assert_int_eq(profiles, 1);
  ops_free(&all);
  probe_close(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("facing");
  TCase *c = tcase_create("facing");
  tcase_set_timeout(c, 300);
  tcase_add_loop_test(c, sides_are_true_of_every_joint, 0, N_PIECES);
  tcase_add_loop_test(c, sockets_are_wide_at_the_left, 0, N_PIECES);
  tcase_add_test(c, a_narrower_board_has_its_own_edges);
  tcase_add_test(c, a_socket_at_its_wider_end);
  suite_add_tcase(suite, c);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed == 0 ? 0 : 1;
}
