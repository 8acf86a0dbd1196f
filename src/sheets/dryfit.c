/* dryfit.c - the dry-fit sheet: everything that is looked at and measured
 * before the glue is opened, in the order of assembly. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/picture.h"
#include "sheets/session.h"
#include "sheets/square.h"
#include "sheets/table.h"

static const double MARK_COLUMN = 17.0; /* for a joint's number */
static const double CHECK_COLUMN = 15.0; /* two boxes to tick */
static const double BOX = 4.2;

typedef struct fitting {
  gw_flow flow;
  const gw_sheets_job *job;
  int pages;
} fitting;

#define SAY(f, ...) gw_flow_say(&(f)->flow, __VA_ARGS__)
#define OR(f, text) gw_flow_text_or(&(f)->flow, (text))

static bool placed(const fitting *f) { return f->job->fit != NULL && f->job->fit->placed; }

static void page_head(gw_flow *flow, void *data) {
  fitting *f = data;
  gw_flow_title(flow, f->pages++ > 0 ? "Dry fit, continued" : "Dry fit", f->job->model->name, "");
}

static void tick(fitting *f, const char *text) {
  gw_flow_tick(&f->flow, gw_flow_bench(&f->flow), text);
}

/* ---- the whole piece and what to look out for ----------------------------------------- */

/* More marks than these would hide the piece: the parts' letters alone, then. */
enum { MARKS_IN_PICTURE = 24 };
/* And more parts than these would hide each other's letters. */
enum { LETTERS_IN_PICTURE = 24 };

static void draw_whole(fitting *f) {
  gw_flow *flow = &f->flow;
  const gw_model *m = f->job->model;
  if (!placed(f) || f->job->marks == NULL) return;
  gw_picture picture = {.letters = true};
  bool many = m->n_parts + m->n_joints > MARKS_IN_PICTURE;
  if (!many) {
    picture.joints = f->job->marks->joint_walk;
    picture.n_joints = m->n_joints;
  }
  picture.plain_only = m->n_parts > LETTERS_IN_PICTURE;
  const double height = many ? 120 : 92;
  gw_picture_draw(flow->page, (gw_area){flow->body.x, flow->y, flow->body.w, height}, f->job,
                  &picture);
  flow->y += height + 2;
}

/* Findings keep the number under which they are listed. */
static int list_findings(fitting *f, gw_severity severity, int number, bool draw) {
  const gw_findings *findings = f->job->findings;
  for (size_t i = 0; findings != NULL && i < gw_findings_count(findings); ++i) {
    const gw_finding *found = gw_findings_at(findings, i);
    if (found->severity != severity) continue;
    ++number;
    if (draw)
      tick(f, SAY(f, "!%d %s%s", number, severity == GW_ERROR ? "ERROR: " : "",
                  OR(f, gw_session_finding(f->job, f->flow.arena, found))));
  }
  return number;
}

static void look_out(fitting *f) {
  if (list_findings(f, GW_NOTE, list_findings(f, GW_WARNING, list_findings(
          f, GW_ERROR, 0, false), false), false) == 0)
    return;
  gw_flow_heading(&f->flow, "Look out", 12);
  int number = list_findings(f, GW_ERROR, 0, true);
  number = list_findings(f, GW_WARNING, number, true);
  list_findings(f, GW_NOTE, number, true);
}

static bool is_about(const gw_finding *found, int joint) {
  for (int i = 0; i < found->n_joints; ++i)
    if (found->joints[i] == joint) return true;
  return false;
}

/* " (look out !2)" for a joint that findings speak of. */
static const char *see_findings(fitting *f, int joint) {
  const gw_findings *findings = f->job->findings;
  const char *text = "";
  int number = 0;
  for (int severity = GW_ERROR; findings != NULL && severity <= GW_NOTE; ++severity)
    for (size_t i = 0; i < gw_findings_count(findings); ++i) {
      const gw_finding *found = gw_findings_at(findings, i);
      if ((int)found->severity != severity) continue;
      ++number;
      if (is_about(found, joint)) text = SAY(f, "%s; look out !%d", text, number);
    }
  return text;
}

/* ---- lengths that must agree ---------------------------------------------------------- */

static const char *equal_words(fitting *f, const gw_equal *equal) {
  const char *names = "";
  for (int i = 0; i < equal->count; ++i)
    names = SAY(f, "%s%s%s", names, i == 0 ? "" : i + 1 == equal->count ? " and " : ", ",
                OR(f, gw_session_part(f->job, f->flow.arena, equal->parts[i])));
  bool aslant = equal->axis != GW_Z && placed(f) && gw_fit_slants(f->job->fit, equal->parts[0]);
  return SAY(f, "%s: %s%s%s", names, equal->shoulders ? "between the shoulders " : "",
             OR(f, gw_session_length(f->job, f->flow.arena, equal->length)),
             aslant ? ", midway up" : "");
}

static void lengths(fitting *f) {
  gw_equal *equals;
  size_t count;
  if (gw_square_equals(f->job->model, f->job->fit, f->flow.arena, &equals, &count) != GW_OK) {
    f->flow.no_memory = true;
    return;
  }
  if (count == 0) return;
  gw_flow_heading(&f->flow, "Lengths that must agree: stand them together, feel the ends", 14);
  for (size_t i = 0; i < count; ++i) tick(f, equal_words(f, &equals[i]));
}

/* ---- joint by joint ------------------------------------------------------------------- */

static const char *const SIDES[6] = {"left", "right", "front", "back", "bottom", "top"};

/* The sections of the two parts at the height of their joint. */
static void at_height_of(const fitting *f, int joint, gw_box *e, gw_box *r) {
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
}

/* Where the entering part lies on the receiving one along an axis, from the
 * nearer side: what a rule laid across the joint shows. */
static const char *lies(fitting *f, int joint, int axis) {
  const gw_model *m = f->job->model;
  const gw_fit *fit = f->job->fit;
  gw_box e = fit->boxes[gw_joint_enters(m, &m->joints[joint])];
  gw_box r = fit->boxes[gw_joint_receives(m, &m->joints[joint])];
  if (fit->slants != NULL) at_height_of(f, joint, &e, &r);
  const gw_units units = m->units; /* as a rule shows it */
  gw_len low = gw_len_fine(e.lo[axis] - r.lo[axis], units);
  gw_len high = gw_len_fine(r.hi[axis] - e.hi[axis], units);
  if (low == 0 && high == 0)
    return SAY(f, "flush at %s and %s", SIDES[2 * axis], SIDES[2 * axis + 1]);
  bool upper = llabs(high) < llabs(low);
  gw_len off = upper ? high : low;
  const char *side = SIDES[2 * axis + upper];
  if (off == 0) return SAY(f, "flush at the %s", side);
  const char *text = OR(f, gw_session_length(f->job, f->flow.arena, llabs(off)));
  if (off > 0) return SAY(f, "%s from the %s", text, side);
  bool crosses = f->job->fit->seatings[joint].style == GW_CROSS;
  return SAY(f, "%s %s at the %s", text, crosses ? "beyond it" : "proud", side);
}

static const char *insets(fitting *f, int joint) {
  const gw_seating *s = &f->job->fit->seatings[joint];
  const char *text = "";
  if (gw_kind_of(f->job->model->joints[joint].kind)->seat == GW_FLOAT) return text;
  for (int axis = 0; axis < 3; ++axis) {
    if (axis == s->normal && s->style != GW_CORNER) continue;
    text = SAY(f, "%s; %s", text, lies(f, joint, axis));
  }
  return text;
}

static const char *depth_words(fitting *f, int joint) {
  const gw_kind_row *kind = gw_kind_of(f->job->model->joints[joint].kind);
  if (f->job->fit == NULL || !placed(f)) return "";
  const gw_seating *s = &f->job->fit->seatings[joint];
  if (s->depth_e <= 0 || kind->seat == GW_FACE)
    return "; faces meet without a gap";
  const char *deep = OR(f, gw_session_length(f->job, f->flow.arena, s->depth_e));
  if (kind->seat == GW_FLOAT)
    return SAY(f, "; %s in; dry, moves by hand", deep);
  if (s->depth_r > s->depth_e)
    return SAY(f, "; goes in %s, its seat is %s deep", deep,
               OR(f, gw_session_length(f->job, f->flow.arena, s->depth_r)));
  return SAY(f, "; goes in %s", deep);
}

static const char *joint_words(fitting *f, int joint) {
  const gw_joint *j = &f->job->model->joints[joint];
  const gw_kind_row *kind = gw_kind_of(j->kind);
  return SAY(f, "%s%s%s%s%s", OR(f, gw_session_sentence(f->flow.arena, kind->words)),
             j->glued || kind->seat == GW_FLOAT ? "" : ", dry", depth_words(f, joint),
             placed(f) ? insets(f, joint) : "", see_findings(f, joint));
}

/* Whether its two sides must close: all but what floats. */
static bool has_sides(const fitting *f, int joint) {
  return gw_kind_of(f->job->model->joints[joint].kind)->seat != GW_FLOAT;
}

static void joint_row(fitting *f, int joint) {
  gw_flow *flow = &f->flow;
  const gw_model *m = f->job->model;
  char mark[GW_MARK_SHOWN];
  gw_type big = GW_TYPE_BOLD(20), bold = GW_TYPE_BOLD(flow->bench), plain = gw_flow_bench(flow);
  double x = flow->body.x + BOX + 2.3 + MARK_COLUMN,
         width = flow->body.w - (x - flow->body.x) - CHECK_COLUMN;
  const char *parts =
      SAY(f, "%s into %s",
          OR(f, gw_session_part(f->job, flow->arena, gw_joint_enters(m, &m->joints[joint]))),
          OR(f, gw_session_part(f->job, flow->arena, gw_joint_receives(m, &m->joints[joint]))));
  const char *words = joint_words(f, joint);
  double first = gw_text_box_height(flow->doc, width, bold, parts);
  double second = gw_text_box_height(flow->doc, width, plain, words);
  gw_flow_need(flow, first + second + 1.5);
  double base = flow->y + gw_flow_first_baseline(big);
  gw_draw_tick_box(flow->page, flow->body.x, flow->y + 1.6, BOX);
  gw_text_fit(flow->page, flow->body.x + BOX + 2.3, base, MARK_COLUMN - 2, big, plain.size,
              GW_ALIGN_LEFT, gw_session_joint(f->job, joint, mark));
  gw_text_box(flow->page, (gw_area){x, flow->y, width, first}, bold, GW_ALIGN_LEFT, parts);
  gw_text_box(flow->page, (gw_area){x, flow->y + first, width, second}, plain, GW_ALIGN_LEFT,
              words);
  for (int i = 0; i < 2 && has_sides(f, joint); ++i)
    gw_draw_tick_box(flow->page, x + width + 3 + i * (BOX + 2), flow->y + 1.6, BOX);
  flow->y += first + second + 1.5;
}

static void joints_of_join(fitting *f, int index) {
  const gw_join *join = &f->job->order->joins[index];
  gw_type type = GW_TYPE_BOLD(f->flow.bench);
  const char *words =
      SAY(f, "%d. %s", index + 1, OR(f, gw_session_sentence(f->flow.arena, join->words)));
  gw_flow_need(&f->flow, gw_text_box_height(f->flow.doc, f->flow.body.w, type, words) +
                             (join->n_joints > 0 ? 22 : 0));
  double x = f->flow.body.x;
  if (f->flow.y > f->flow.fresh_y) /* the head of a page has a line of its own */
    gw_draw_line(f->flow.page, GW_PEN_THIN, x, f->flow.y, x + f->flow.body.w, f->flow.y);
  f->flow.y += 0.6;
  gw_flow_text(&f->flow, type, 0, words);
  for (int i = 0; i < join->n_joints; ++i) joint_row(f, join->joints[i]);
}

static void joints(fitting *f) {
  const gw_model *m = f->job->model;
  if (m->n_joints == 0) return;
  gw_flow_heading(&f->flow, "Joint by joint, in the order of assembly", 50);
  gw_flow_text(&f->flow, gw_flow_bench(&f->flow), 0,
               "Tick the left box when the joint is home by hand pressure or a light tap; the two "
               "at the right when its two sides have closed. Do not force: ease and try again.");
  if (f->job->order != NULL)
    for (int i = 0; i < f->job->order->n_joins; ++i) joints_of_join(f, i);
  else
    for (int i = 0; i < m->n_joints; ++i)
      joint_row(f, f->job->marks ? f->job->marks->joint_walk[i] : i);
}

/* ---- diagonals ------------------------------------------------------------------------ */

static const char *opening_name(fitting *f, const gw_opening *o) {
  static const char *const seen[3] = {"from the side", "from the front", "from above"};
  const gw_model *m = f->job->model;
  const char *edges = o->edges ? " along the upper edges" : "";
  if (o->outside)
    return SAY(f, "%s%s, over the outer corners%s, seen %s", o->group >= 0 ? "The " : "The whole",
               o->group >= 0 ? m->groups[o->group].name : "", edges, seen[o->axis]);
  const char *names = "";
  for (int i = 0; i < 4; ++i)
    names = SAY(f, "%s%s%s", names, i == 0 ? "" : i == 3 ? " and " : ", ",
                OR(f, gw_session_part(f->job, f->flow.arena, o->parts[i])));
  return SAY(f, "Inside %s%s%s, seen %s", names, o->posts ? ", from corner post to corner post" : "",
             edges, seen[o->axis]);
}

/* "720 x 380 mm" */
static const char *sides_words(fitting *f, const gw_opening *o) {
  char w[GW_LEN_TEXT];
  gw_len wide = o->hi[0] - o->lo[0];
  gw_len_text(o->edges ? gw_len_fine(wide, f->job->model->units) : wide, f->job->model->units, w,
              sizeof w);
  char *fraction = strchr(w, ' '); /* no line ends within a length */
  return SAY(f, "%.*s%s%s\xC2\xA0\xC3\x97\xC2\xA0%s", (int)strcspn(w, " "), w,
             fraction ? "\xC2\xA0" : "", fraction ? fraction + 1 : "",
             OR(f, gw_session_length(f->job, f->flow.arena, o->hi[1] - o->lo[1])));
}

static void blank_pair(fitting *f) {
  gw_flow *flow = &f->flow;
  gw_type type = gw_flow_bench(flow);
  double base = flow->y + gw_flow_first_baseline(type) + 2, x = flow->body.x + 6.5;
  const char *const words[3] = {"one", "the other", "difference"};
  double width = (flow->body.w - 6.5) / 3;
  for (int i = 0; i < 3; ++i) {
    double label = gw_text_width(flow->doc, type, words[i]) + 2;
    gw_text_line(flow->page, x + i * width, base, type, GW_ALIGN_LEFT, words[i]);
    gw_flow_blank(flow, x + i * width + label, base + 0.8, width - label - 5);
  }
  flow->y = base + 3.5;
}

static void diagonal(fitting *f, const gw_opening *o) {
  gw_arena *arena = f->flow.arena;
  double w = gw_len_mm(o->hi[0] - o->lo[0]), h = gw_len_mm(o->hi[1] - o->lo[1]);
  double d = gw_square_diagonal(w, h), allowed = gw_square_allowed(d, f->job->model->units), longer, shorter;
  gw_square_pair(w, h, allowed, &longer, &shorter);
  const char *words = SAY(
      f, "%s, %s: both diagonals %s. They may differ by %s: the corners then miss 90\xC2\xB0 by "
      "%.2f\xC2\xB0, a lean of %s over %s.", opening_name(f, o), sides_words(f, o),
      OR(f, gw_session_number(f->job, arena, d)), OR(f, gw_session_number(f->job, arena, allowed)),
      gw_square_angle(w, h, longer, shorter),
      OR(f, gw_session_number(f->job, arena, gw_square_lean(w, longer, shorter))),
      OR(f, gw_session_length(f->job, arena, o->hi[1] - o->lo[1])));
  gw_type type = gw_flow_bench(&f->flow);
  gw_flow_need(&f->flow, gw_text_box_height(f->flow.doc, f->flow.body.w - 6.5, type, words) + 11);
  tick(f, words);
  blank_pair(f);
}

/* What a difference of the diagonals means is the same as for a parallelogram of
 * the mean width: d1^2 - d2^2 = 4 W times the lean. */
static void leaning_diagonal(fitting *f, const gw_frame *o) {
  gw_arena *arena = f->flow.arena;
  const double *d = o->diagonal;
  double allowed = gw_square_allowed(fmax(d[0], d[1]), f->job->model->units);
  const char *posts = SAY(f, "%s and %s", OR(f, gw_session_part(f->job, arena, o->posts[0])),
                          OR(f, gw_session_part(f->job, arena, o->posts[1])));
  const char *below = o->rails[1] < 0 ? "the feet" : OR(f, gw_session_part(f->job, arena, o->rails[1]));
  bool equal = fabs(d[0] - d[1]) < 0.05;
  const char *first = OR(f, gw_session_number(f->job, arena, d[0]));
  const char *each = equal ? SAY(f, "both diagonals %s", first)
                           : SAY(f, "from the foot of %s up %s, of %s %s",
                                 OR(f, gw_session_part(f->job, arena, o->posts[0])), first,
                                 OR(f, gw_session_part(f->job, arena, o->posts[1])),
                                 OR(f, gw_session_number(f->job, arena, d[1])));
  const char *words = SAY(
      f, "Between %s, from %s down to %s, inner corners midway across the posts: %s above, %s below, "
      "%s. They may %s by %s: a lean of %s.", posts,
      OR(f, gw_session_part(f->job, arena, o->rails[0])), below,
      OR(f, gw_session_number(f->job, arena, o->width[1])),
      OR(f, gw_session_number(f->job, arena, o->width[0])), each,
      equal ? "differ" : "differ from that", OR(f, gw_session_number(f->job, arena, allowed)),
      OR(f, gw_session_number(f->job, arena, allowed * (d[0] + d[1]) / 2 / (o->width[0] + o->width[1]))));
  gw_type type = gw_flow_bench(&f->flow);
  gw_flow_need(&f->flow, gw_text_box_height(f->flow.doc, f->flow.body.w - 6.5, type, words) + 11);
  tick(f, words);
  blank_pair(f);
}

/* Returns how many there are. */
static size_t leaning_frames(fitting *f) {
  gw_frame *frames;
  size_t count;
  if (gw_square_frames(f->job->model, f->job->fit, &frames, &count) != GW_OK)
    f->flow.no_memory = true;
  for (size_t i = 0; i < count; ++i) leaning_diagonal(f, &frames[i]);
  free(frames);
  return count;
}

static void squareness(fitting *f) {
  gw_opening *openings;
  size_t count;
  if (gw_square_openings(f->job->model, f->job->fit, &openings, &count) != GW_OK) {
    f->flow.no_memory = true;
    return;
  }
  gw_flow_heading(&f->flow, "Square: both diagonals of every opening", 30);
  for (size_t i = 0; i < count; ++i) diagonal(f, &openings[i]);
  free(openings);
  count += leaning_frames(f);
  if (count == 0)
    tick(f, f->job->model->n_parts > GW_SQUARE_MAX_PARTS
                ? "Openings are not sought in a piece of so many parts: measure the diagonals of "
                  "each, and try every corner with a square."
                : "No opening was found that four parts enclose: try every corner with a square.");
  else
    gw_flow_text(
        &f->flow, GW_FLOW_SMALL, 0,
        SAY(f, "The difference let pass is a thousandth of the diagonal, up to the next %s "
            "(common practice, no source). What it means is computed geometry: sin "
            "e = (d1\xC2\xB2 \xE2\x88\x92 d2\xC2\xB2) / (4 W H). A shifted clamp pulls the "
            "longer diagonal in.",
            f->job->model->units == GW_UNITS_INCH ? "64th of an inch" : "half millimetre"));
}

/* ---- the whole and what lies ready ---------------------------------------------------- */

/* Marks of the joints that stay without glue. */
static const char *dry_joints(fitting *f) {
  const gw_model *m = f->job->model;
  char mark[GW_MARK_SHOWN];
  const char *text = "";
  for (int i = 0; i < m->n_joints; ++i) {
    int joint = f->job->marks ? f->job->marks->joint_walk[i] : i;
    if (m->joints[joint].glued) continue;
    text = SAY(f, "%s%s%s", text, text[0] ? ", " : "", gw_session_joint(f->job, joint, mark));
  }
  return text;
}

static void whole(fitting *f) {
  gw_flow_heading(&f->flow, "The whole, standing dry", 14);
  tick(f, "Not in wind: two straight sticks across it, sighted one over the other, lie parallel.");
  tick(f, "No gap at any shoulder that takes a strip of thin paper.");
  const char *dry = dry_joints(f);
  if (dry[0] != '\0')
    tick(f, SAY(f, "Stays without glue: joint%s %s. No glue may reach there; panels move by hand.",
                strchr(dry, ',') ? "s" : "", dry));
  tick(f, "Everything can be knocked apart again, and nothing is glued by accident of order.");
}

static void stage_clamps(fitting *f, int index) {
  const gw_stage *stage = &f->job->clock->stages[index];
  int clamps = 0;
  for (int i = 0; i < stage->n_pulls; ++i) {
    clamps += stage->pulls[i].count;
    tick(f, SAY(f, "Stage %d: %s, closed once to their place, then laid where they are needed",
                index + 1, OR(f, gw_session_clamps(f->job, f->flow.arena, &stage->pulls[i]))));
  }
  if (clamps > 0)
    tick(f, SAY(f, "Stage %d: %d cauls %s thick%s", index + 1, 2 * clamps,
                OR(f, gw_session_length(f->job, f->flow.arena,
                                        gw_session_caul(f->job, &stage->pulls[0]))),
                OR(f, gw_session_tapers(f->job, f->flow.arena, stage))));
}

static void stage_glue(fitting *f, int index) {
  const gw_stage *stage = &f->job->clock->stages[index];
  if (stage->glue < 0) return;
  const gw_glue_use *use = &f->job->clock->uses[stage->glue];
  tick(f, SAY(f, "Stage %d: %s, \"%s\", %d g", index + 1, use->kind->words, use->glue->id,
              gw_session_pot_grams(stage->grams)));
}

static void ready(fitting *f) {
  gw_flow_heading(&f->flow, "Ready for the glue", 14);
  for (int i = 0; f->job->clock != NULL && i < f->job->clock->n_stages; ++i) {
    stage_clamps(f, i);
    stage_glue(f, i);
  }
  gw_flow_row row = {.columns = 2};
  static const char *const things[] = {"water and two rags", "mallet and a block",
                                       "square and tape measure", "brush, stick, pencil"};
  for (int i = 0; i < 4; ++i)
    gw_flow_tick_in(&f->flow, &row, gw_flow_bench(&f->flow), things[i]);
  gw_flow_row_end(&f->flow, &row);
  tick(f, "Every joint's number and every part's letter stand where neither glue nor another part "
          "hides them.");
  tick(f, "Inside faces are cleaned up and, where wanted, finished: they are hard to reach later.");
}

/* ---- rehearsal ------------------------------------------------------------------------ */

/* Columns from the right: the blank, the time a line takes, its start. */
static const double BLANK = 24, TAKES = 20, START = 24, ROW = 8.2;

static void rehearsal_line(fitting *f, const char *first, const char *start, const char *takes,
                           bool bold) {
  gw_flow *flow = &f->flow;
  gw_type type = bold ? GW_TYPE_BOLD(flow->bench) : gw_flow_bench(flow);
  double right = flow->body.x + flow->body.w, base = flow->y + 5.6;
  gw_text_fit(flow->page, flow->body.x, base, flow->body.w - BLANK - TAKES - START - 3, type, 8,
              GW_ALIGN_LEFT, first);
  gw_text_line(flow->page, right - BLANK - TAKES - 3, base, type, GW_ALIGN_RIGHT, start);
  gw_text_line(flow->page, right - BLANK - 3, base, type, GW_ALIGN_RIGHT, takes);
  if (bold) gw_text_line(flow->page, right - BLANK, base, type, GW_ALIGN_LEFT, "real");
  else gw_flow_blank(flow, right - BLANK, base + 1, BLANK);
  flow->y += ROW;
}

/* The box to sign, and the white over it: it does not stand on a page without
 * lines of the rehearsal. */
static const double SIGN_HIGH = 24, SIGN_GAP = 4;

static void rehearse_stage(fitting *f, int index) {
  const gw_stage *stage = &f->job->clock->stages[index];
  char start[GW_TIME_TEXT], takes[GW_TIME_TEXT];
  double sign = index + 1 == f->job->clock->n_stages ? SIGN_HIGH + SIGN_GAP : 0;
  double after = stage->glue < 0 ? sign : 0; /* else the sums come between */
  gw_flow_need(&f->flow, 5 * ROW + (stage->n_steps < 3 ? after : 0));
  rehearsal_line(f, SAY(f, "Stage %d%s", index + 1, stage->glue < 0 ? ", dry" : ""), "start",
                 "takes", true);
  for (int i = 0; i < stage->n_steps; ++i) {
    const gw_step *step = &stage->steps[i];
    gw_flow_need(&f->flow, i + 2 == stage->n_steps ? 2 * ROW + after : ROW);
    gw_time_text(step->start_s, start, sizeof start);
    gw_time_text(step->end_s - step->start_s, takes, sizeof takes);
    const char *who = f->job->model->shop.hands > 1
                          ? SAY(f, ", %s", OR(f, gw_session_people(f->job, f->flow.arena, step)))
                          : "";
    rehearsal_line(f,
                   SAY(f, "%d  %s%s", i + 1,
                       OR(f, gw_session_action(f->job, f->flow.arena, stage, step)), who),
                   start, takes, false);
  }
  if (stage->glue < 0) return;
  const gw_glue_use *use = &f->job->clock->uses[stage->glue];
  gw_flow_need(&f->flow, 2 * ROW + sign);
  gw_time_text(stage->end_s, start, sizeof start);
  rehearsal_line(f, "All clamped and checked at", start, "", false);
  gw_time_text(stage->wet_s, start, sizeof start);
  gw_time_text(use->open_s, takes, sizeof takes);
  rehearsal_line(f, SAY(f, "Longest from first glue to faces together (open %s)", takes), "", start,
                 false);
}

static void rehearsal(fitting *f) {
  if (f->job->clock == NULL || f->job->clock->n_stages == 0) return;
  gw_flow_heading(&f->flow, "Rehearsal with the clock running, without glue", 20 + 5 * ROW);
  gw_flow_text(
      &f->flow, gw_flow_bench(&f->flow), 0,
      "Go through the motions of every line and write down how long it really took. A joint "
      "that stays open longer than the glue's open time, less the margin, wants another "
      "pair of hands, a slower glue or one more stage.");
  for (int i = 0; i < f->job->clock->n_stages; ++i) rehearse_stage(f, i);
}

static void sign_off(fitting *f) {
  gw_flow *flow = &f->flow;
  if (f->job->draft) {
    gw_flow_gap(flow, 4);
    gw_flow_box(flow, "This piece will not mate: do not open the glue.",
                "Put the project right, print the sheets again, and throw these away.");
    return;
  }
  const double height = SIGN_HIGH;
  gw_flow_need(flow, height + SIGN_GAP);
  gw_flow_gap(flow, SIGN_GAP);
  gw_area area = {flow->body.x, flow->y, flow->body.w, height};
  gw_draw_area(flow->page, GW_PEN_THICK, area);
  gw_text_line(flow->page, area.x + 3, area.y + 8.5, GW_TYPE_BOLD(18), GW_ALIGN_LEFT,
               "Every line is ticked: the glue may be opened.");
  gw_type type = gw_flow_bench(flow);
  double base = area.y + 19;
  static const char *const words[2] = {"name", "date"};
  for (int i = 0; i < 2; ++i) {
    double x = area.x + 3 + i * area.w * 0.6, label = gw_text_width(flow->doc, type, words[i]) + 2;
    gw_text_line(flow->page, x, base, type, GW_ALIGN_LEFT, words[i]);
    gw_flow_blank(flow, x + label, base + 0.8, area.w * (i == 0 ? 0.6 : 0.4) - label - 9);
  }
  flow->y += height;
}

/* ---- the sheet ------------------------------------------------------------------------ */

static void intro(fitting *f) {
  int copies = f->job->model->copies;
  gw_flow_text(&f->flow, gw_flow_bench(&f->flow), 0,
               SAY(f,
                   "Put everything together without glue, in the order below, and tick each line. "
                   "The glue stays shut until the last line of this sheet is signed. A line "
                   "with a ring at its end shows what is hidden there.%s%s",
                   f->job->model->n_parts > LETTERS_IN_PICTURE
                       ? " Of so many parts, those that hardly show have no letter in the picture." : "",
                   copies > 1 ? SAY(f, " %d of these are made: one sheet for each.", copies) : ""));
  if (!placed(f))
    gw_flow_box(&f->flow, "Not all is known",
                "The parts could not be placed, so insets, diagonals and clamp openings are left "
                "out of this sheet.");
  else if (f->job->order == NULL)
    gw_flow_box(&f->flow, "Not all is known",
                "There is no order of assembly, so the joints stand in the order of their numbers, "
                "and there is no rehearsal.");
}

static gw_status draw(const gw_sheets_job *job, gw_doc *doc) {
  fitting f = {.job = job};
  if (!gw_flow_begin(&f.flow, doc, "Dry fit")) return GW_NO_MEMORY;
  f.flow.head = page_head;
  f.flow.data = &f;
  gw_flow_page(&f.flow);
  intro(&f);
  draw_whole(&f);
  look_out(&f);
  lengths(&f);
  joints(&f);
  squareness(&f);
  whole(&f);
  ready(&f);
  rehearsal(&f);
  sign_off(&f);
  return gw_flow_end(&f.flow);
}

gw_status gw_sheets_dry_fit(const gw_sheets_job *job, const char *path, gw_error *err) {
  gw_doc *doc = gw_sheets_open(job, "Dry fit", err);
  if (doc == NULL) return err != NULL ? err->status : GW_INTERNAL;
  gw_status status = draw(job, doc);
  if (status == GW_NO_MEMORY) gw_fail(err, status, "memory is short");
  if (status == GW_OK) status = gw_doc_save(doc, path, err);
  gw_doc_free(doc);
  return status;
}
