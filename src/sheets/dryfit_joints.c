/* dryfit_joints.c - joint by joint: what is looked at when a joint is home, and
 * where the one part lies on the other. */
#include <stdlib.h>
#include <string.h>

#include "sheets/dryfit_inner.h"
#include "sheets/goes_in.h"

static const double MARK_COLUMN = 17.0; /* for a joint's number */
static const double CHECK_COLUMN = 15.0; /* two boxes to tick */
static const double BOX = 4.2;
static const double BETWEEN = 1.5;       /* white under a joint */

static gw_seat seat_of(const gw_dryfit *f, int joint) {
  return gw_kind_of(f->job->model->joints[joint].kind)->seat;
}

/* ---- where a half lies ---------------------------------------------------------------- */

/* The sections of the two parts at the height of their joint, which is returned. */
static gw_len at_height_of(const gw_dryfit *f, int joint, gw_box *e, gw_box *r) {
  const gw_model *m = f->job->model;
  const gw_box box = gw_fit_joint_box(f->job->fit, m, joint);
  const gw_half *half = &m->halves[m->joints[joint].receiving];
  gw_len height = box.lo[GW_Z] + (box.hi[GW_Z] - box.lo[GW_Z]) / 2;
  if (gw_dir_axis(half->at) == GW_Z) /* where the shoulder comes to rest */
    height = gw_dir_sign(half->at) > 0 ? r->hi[GW_Z] : r->lo[GW_Z];
  gw_solid of_e = gw_fit_solid(f->job->fit, gw_joint_enters(m, &m->joints[joint]), *e);
  gw_solid of_r = gw_fit_solid(f->job->fit, gw_joint_receives(m, &m->joints[joint]), *r);
  *e = gw_solid_section(&of_e, height);
  *r = gw_solid_section(&of_r, height);
  return height;
}

/* A part as far as a rule can be laid on it along an axis: to its shoulders, since what
 * is beyond them stands in another part. */
typedef struct stretch {
  int part;
  gw_len lo, hi;
  bool shoulder[2];
  bool hidden[2]; /* no shoulder, and it stands in another part whole by then */
} stretch;

/* The join that closes a joint, or -1. */
static int join_of(const gw_dryfit *f, int joint) {
  const gw_order *order = f->job->order;
  for (int i = 0; order != NULL && i < order->n_joins; ++i)
    for (int k = 0; k < order->joins[i].n_joints; ++k)
      if (order->joins[i].joints[k] == joint) return i;
  return -1;
}

/* The part into which another one goes whole at a side, by a joint that closes before
 * this one or with it, or -1. */
static int housed_in(const gw_dryfit *f, int part, int dir, int joint) {
  const gw_model *m = f->job->model;
  const gw_part *p = &m->parts[part];
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i) {
    const gw_half *half = &m->halves[i];
    if (half->joint < 0 || half->joint == joint || !half->enters || (int)half->at != dir) continue;
    gw_seat seat = seat_of(f, half->joint);
    bool whole = seat == GW_FLOOR || seat == GW_FLOAT;
    if (whole && join_of(f, half->joint) <= join_of(f, joint))
      return gw_joint_receives(m, &m->joints[half->joint]);
  }
  return -1;
}

/* `height`: of the section that the box is, of parts that lean. */
static stretch stretch_of(const gw_dryfit *f, int joint, int part, const gw_box *box, int axis,
                          bool to_shoulders, gw_len height) {
  stretch s = {.part = part, .lo = box->lo[axis], .hi = box->hi[axis]};
  gw_solid body;
  for (int k = 0; k < 2; ++k) s.hidden[k] = housed_in(f, part, 2 * axis + k, joint) >= 0;
  if (!to_shoulders || gw_fit_wood(f->job->fit, f->job->model, part, &body, 1) < 1) return s;
  const gw_box bare = f->job->fit->slants == NULL ? body.box : gw_solid_section(&body, height);
  s.shoulder[0] = bare.lo[axis] > s.lo;
  s.shoulder[1] = bare.hi[axis] < s.hi;
  s.lo = bare.lo[axis];
  s.hi = bare.hi[axis];
  return s;
}

/* "left side", "lower end", "left shoulder" of a part. */
static const char *place_words(gw_dryfit *f, const stretch *s, int axis, bool upper) {
  static const char *const plain[6] = {"left side", "right side", "front", "back", "lower side",
                                       "upper side"};
  static const char *const along[6] = {"left", "right", "front", "back", "lower", "upper"};
  int dir = 2 * axis + upper;
  if (s->shoulder[upper]) return SAY(f, "%s shoulder", along[dir]);
  if (gw_part_length_axis(&f->job->model->parts[s->part]) == axis)
    return SAY(f, "%s end", along[dir]);
  return plain[dir];
}

/* "K's left side 75 mm from A's left shoulder": what a rule laid along an axis shows, on
 * the nearer side. */
static const char *apart_words(gw_dryfit *f, int joint, const stretch *e, const stretch *r,
                               int axis, bool upper) {
  const gw_units units = f->job->model->units;
  gw_len off = gw_len_fine(upper ? r->hi - e->hi : e->lo - r->lo, units);
  bool crosses = f->job->fit->seatings[joint].style == GW_CROSS;
  bool plumb = axis == GW_Z && gw_fit_slants(f->job->fit, r->part);
  return SAY(f, "%s's %s %s%s %s %s's %s", gw_session_letter(f->job, e->part),
             place_words(f, e, axis, upper),
             OR(f, gw_session_length(f->job, f->flow.arena, llabs(off))), plumb ? " plumb" : "",
             off > 0 ? "from" : crosses ? "beyond" : "proud of", gw_session_letter(f->job, r->part),
             place_words(f, r, axis, upper));
}

/* On which side to measure, or -1 when both are hidden: where the project counts the
 * receiving half from (so do the settings), else on the nearer. */
static int side_of(const gw_dryfit *f, int joint, const stretch *e, const stretch *r, int axis,
                   const gw_len off[2]) {
  const gw_model *m = f->job->model;
  const gw_half *half = &m->halves[m->joints[joint].receiving];
  bool hidden[2], stated[2];
  for (int k = 0; k < 2; ++k) {
    hidden[k] = e->hidden[k] || r->hidden[k];
    stated[k] = half->from[2 * axis + k] != GW_UNSET;
  }
  if (hidden[0] && hidden[1]) return -1;
  if (hidden[0] || hidden[1]) return hidden[0];
  if (off[0] != 0 && off[1] != 0 && stated[0] != stated[1]) return stated[1];
  return llabs(off[1]) < llabs(off[0]);
}

/* "with CC's shoulders ": what is flush with one part's shoulders is not flush with its
 * ends. */
static const char *shoulder_words(gw_dryfit *f, const stretch *e, const stretch *r, bool many) {
  bool of_e = e->shoulder[0] || e->shoulder[1], of_r = r->shoulder[0] || r->shoulder[1];
  if (of_e == of_r) return "";
  return SAY(f, "with %s's shoulder%s ", gw_session_letter(f->job, of_r ? r->part : e->part),
             many ? "s" : "");
}

/* "FC 240 mm above AF", of a part that stands in others at both ends: from the face of one
 * of those, which is what shows.  Empty where that cannot be told. */
static const char *from_housing(gw_dryfit *f, int joint, const stretch *e, int axis) {
  static const char *const beyond[6] = {"right of", "left of", "behind", "in front of", "above",
                                        "below"};
  int receives = gw_joint_receives(f->job->model, &f->job->model->joints[joint]);
  if (f->job->fit->slants != NULL) return "";
  for (int k = 0; k < 2; ++k) {
    int other = housed_in(f, receives, 2 * axis + k, joint);
    if (other < 0 || e->hidden[k]) continue;
    const gw_box *box = &f->job->fit->boxes[other];
    gw_len off = k == 0 ? e->lo - box->hi[axis] : box->lo[axis] - e->hi;
    if (off <= 0) continue;
    return SAY(f, "; %s %s %s %s", gw_session_letter(f->job, e->part),
               OR(f, gw_session_length(f->job, f->flow.arena, off)), beyond[2 * axis + k],
               gw_session_letter(f->job, other));
  }
  return "";
}

/* Empty where it cannot be seen. */
static const char *lies(gw_dryfit *f, int joint, int axis) {
  static const char *const sides[6] = {"left", "right", "front", "back", "bottom", "top"};
  const gw_model *m = f->job->model;
  const gw_fit *fit = f->job->fit;
  const gw_seating *seating = &fit->seatings[joint];
  int enters = gw_joint_enters(m, &m->joints[joint]);
  int receives = gw_joint_receives(m, &m->joints[joint]);
  gw_box in = fit->boxes[enters], on = fit->boxes[receives];
  gw_len height = fit->slants != NULL ? at_height_of(f, joint, &in, &on) : 0;
  bool bare = axis != seating->normal && axis != seating->second;
  if (fit->slants != NULL) bare = bare && axis != GW_Z;
  stretch e = stretch_of(f, joint, enters, &in, axis, bare, height);
  stretch r = stretch_of(f, joint, receives, &on, axis, bare, height);
  const gw_len off[2] = {gw_len_fine(e.lo - r.lo, m->units), gw_len_fine(r.hi - e.hi, m->units)};
  if (off[0] == 0 && off[1] == 0)
    return SAY(f, "; flush %sat %s and %s", shoulder_words(f, &e, &r, true), sides[2 * axis],
               sides[2 * axis + 1]);
  int side = side_of(f, joint, &e, &r, axis, off);
  if (side < 0) return from_housing(f, joint, &e, axis);
  if (off[side] == 0)
    return SAY(f, "; flush %sat the %s", e.shoulder[side] || r.shoulder[side]
                                             ? shoulder_words(f, &e, &r, false) : "",
               sides[2 * axis + side]);
  return SAY(f, "; %s", apart_words(f, joint, &e, &r, axis, side > 0));
}

static const char *insets(gw_dryfit *f, int joint) {
  const gw_seating *s = &f->job->fit->seatings[joint];
  const char *text = "";
  if (seat_of(f, joint) == GW_FLOAT) return text;
  for (int axis = 0; axis < 3; ++axis) {
    if (axis == s->normal && s->style != GW_CORNER) continue;
    text = SAY(f, "%s%s", text, lies(f, joint, axis));
  }
  return text;
}

/* ---- a joint's row -------------------------------------------------------------------- */

static bool is_about(const gw_finding *found, int joint) {
  for (int i = 0; i < found->n_joints; ++i)
    if (found->joints[i] == joint) return true;
  return false;
}

/* "; look out !2" for a joint that findings speak of. */
static const char *see_findings(gw_dryfit *f, int joint) {
  const gw_findings *findings = f->job->findings;
  const char *text = "";
  for (int severity = GW_ERROR; findings != NULL && severity <= GW_NOTE; ++severity)
    for (size_t i = 0; i < gw_findings_count(findings); ++i) {
      const gw_finding *found = gw_findings_at(findings, i);
      if ((int)found->severity == severity && is_about(found, joint))
        text = SAY(f, "%s; look\xC2\xA0out\xC2\xA0!%d", text, gw_dryfit_number(f, found));
    }
  return text;
}

static const char *depth_words(gw_dryfit *f, int joint) {
  if (!gw_dryfit_placed(f)) return "";
  if (f->job->model->joints[joint].kind == GW_RUNNER) return "; slides freely";
  const char *in = OR(f, gw_goes_in_words(f->job, f->flow.arena, joint));
  if (in[0] == '\0') return "; faces meet without a\xC2\xA0gap";
  if (seat_of(f, joint) != GW_FLOAT) return SAY(f, "; %s", in);
  return SAY(f, "; %s; dry%s", in,
             gw_goes_in(f->job, joint).room > 0 ? ", moves by\xC2\xA0hand" : "");
}

static const char *joint_words(gw_dryfit *f, int joint) {
  const gw_joint *j = &f->job->model->joints[joint];
  const char *kind = OR(f, gw_session_sentence(f->flow.arena, gw_kind_of(j->kind)->words));
  bool dry = !j->glued && seat_of(f, joint) != GW_FLOAT && j->kind != GW_RUNNER;
  return gw_dryfit_whole(f, SAY(f, "%s%s%s%s%s", kind, dry ? ", dry" : "", depth_words(f, joint),
                                gw_dryfit_placed(f) ? insets(f, joint) : "",
                                see_findings(f, joint)));
}

/* "Lower rail (N) into Left leg (A)" */
static const char *parts_words(gw_dryfit *f, int joint) {
  const gw_model *m = f->job->model;
  const gw_joint *j = &m->joints[joint];
  return gw_dryfit_whole(
      f, SAY(f, "%s %s %s", gw_dryfit_name(f, gw_joint_enters(m, j)),
             seat_of(f, joint) == GW_FACE ? "against" : "into",
             gw_dryfit_name(f, gw_joint_receives(m, j))));
}

/* Whether it has two sides that must close. */
static bool has_sides(const gw_dryfit *f, int joint) {
  return seat_of(f, joint) == GW_SHOULDER || seat_of(f, joint) == GW_FLOOR;
}

typedef struct row {
  const char *parts, *words;
  double x, width, first, second; /* heights */
} row;

static row row_of(gw_dryfit *f, int joint) {
  gw_flow *flow = &f->flow;
  row r = {.parts = parts_words(f, joint), .words = joint_words(f, joint)};
  r.x = flow->body.x + BOX + 2.3 + MARK_COLUMN;
  r.width = flow->body.w - (r.x - flow->body.x) - CHECK_COLUMN;
  r.first = gw_text_box_height(flow->doc, r.width, GW_TYPE_BOLD(flow->bench), r.parts);
  r.second = gw_text_box_height(flow->doc, r.width, gw_flow_bench(flow), r.words);
  return r;
}

static double joint_height(gw_dryfit *f, int joint) {
  row r = row_of(f, joint);
  return r.first + r.second + BETWEEN;
}

static void joint_row(gw_dryfit *f, int joint) {
  gw_flow *flow = &f->flow;
  char mark[GW_MARK_SHOWN];
  gw_type big = GW_TYPE_BOLD(20), plain = gw_flow_bench(flow);
  row r = row_of(f, joint);
  gw_flow_need(flow, r.first + r.second);
  gw_draw_tick_box(flow->page, flow->body.x, flow->y + 1.6, BOX);
  gw_text_fit(flow->page, flow->body.x + BOX + 2.3, flow->y + gw_flow_first_baseline(big),
              MARK_COLUMN - 2, big, plain.size, GW_ALIGN_LEFT,
              gw_session_joint(f->job, joint, mark));
  gw_text_box(flow->page, (gw_area){r.x, flow->y, r.width, r.first}, GW_TYPE_BOLD(flow->bench),
              GW_ALIGN_LEFT, r.parts);
  gw_text_box(flow->page, (gw_area){r.x, flow->y + r.first, r.width, r.second}, plain,
              GW_ALIGN_LEFT, r.words);
  for (int i = 0; i < 2 && has_sides(f, joint); ++i)
    gw_draw_tick_box(flow->page, r.x + r.width + 3 + i * (BOX + 2), flow->y + 1.6, BOX);
  flow->y += r.first + r.second + BETWEEN;
}

/* ---- join by join --------------------------------------------------------------------- */

/* The head and as many joints as should stand under it. */
static double room_for(gw_dryfit *f, const gw_join *join, double head) {
  double all = head, first = head;
  for (int i = 0; i < join->n_joints; ++i) {
    double high = joint_height(f, join->joints[i]);
    all += high;
    if (i == 0) first += high;
  }
  return (all <= f->look.keep * gw_dryfit_page(f) ? all : first) - BETWEEN;
}

/* "25. AFR -> NC, continued", on one line. */
static const char *continued_words(gw_dryfit *f, int index) {
  const char *moving, *onto;
  if (!gw_session_join_sides(f->job, f->flow.arena, index, &moving, &onto)) {
    f->flow.no_memory = true;
    return "";
  }
  const char *words = SAY(f, "%d. %s \xE2\x86\x92 %s, continued", index + 1, moving, onto);
  double width = gw_text_width(f->flow.doc, GW_TYPE_BOLD(f->flow.bench), words);
  bool alone = f->job->order->joins[index].n_joints == 0 || width > f->flow.body.w;
  return alone ? SAY(f, "%d, continued", index + 1) : words;
}

static void joints_of_join(gw_dryfit *f, int index) {
  const gw_join *join = &f->job->order->joins[index];
  gw_type type = GW_TYPE_BOLD(f->flow.bench);
  const char *words = OR(f, gw_session_join_words(f->job, f->flow.arena, index, false));
  words = gw_dryfit_whole(f, SAY(f, "%d. %s", index + 1, words));
  double head = gw_text_box_height(f->flow.doc, f->flow.body.w, type, words) + f->flow.below + 0.6;
  f->section = NULL;
  gw_flow_need(&f->flow, room_for(f, join, head));
  double x = f->flow.body.x;
  if (f->flow.y > f->flow.fresh_y) /* the head of a page has a line of its own */
    gw_draw_line(f->flow.page, GW_PEN_THIN, x, f->flow.y, x + f->flow.body.w, f->flow.y);
  f->flow.y += 0.6;
  gw_flow_text(&f->flow, type, 0, words);
  const char *again = continued_words(f, index);
  for (int i = 0; i < join->n_joints; ++i) {
    joint_row(f, join->joints[i]);
    f->section = again;
  }
  f->section = NULL;
}

static bool any_sides(const gw_dryfit *f) {
  for (int i = 0; i < f->job->model->n_joints; ++i)
    if (has_sides(f, i)) return true;
  return false;
}

static double first_join(gw_dryfit *f) {
  const gw_order *order = f->job->order;
  return order != NULL && order->n_joins > 0 && order->joins[0].n_joints > 0
             ? 8 + joint_height(f, order->joins[0].joints[0]) : 15;
}

void gw_dryfit_joints(gw_dryfit *f) {
  const gw_model *m = f->job->model;
  if (m->n_joints == 0) return;
  const char *how = SAY(f, "Tick the left box when the joint is home by hand pressure or a light "
                           "tap%s. Do not force: ease and try again.",
                        any_sides(f) ? "; the two at the right when it has closed on both its "
                                       "faces, the near and the far" : "");
  gw_type type = gw_flow_bench(&f->flow);
  how = gw_dryfit_whole(f, how);
  gw_flow_heading(&f->flow, "Joint by joint, in the order of assembly",
                  gw_text_box_height(f->flow.doc, f->flow.body.w, type, how) + first_join(f));
  gw_flow_text(&f->flow, type, 0, how);
  if (f->job->order != NULL)
    for (int i = 0; i < f->job->order->n_joins; ++i) joints_of_join(f, i);
  else
    for (int i = 0; i < m->n_joints; ++i)
      joint_row(f, f->job->marks ? f->job->marks->joint_walk[i] : i);
}
