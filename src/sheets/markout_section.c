/* markout_section.c - joints cut through, at full scale: each part is cut across
 * its joint and seen square on, the wood white, what is cut away grey, what goes in hatched. */
#include <math.h>
#include <string.h>

#include "sheets/markout_inner.h"
#include "sheets/picture_inner.h"

#define BESIDE 12.0 /* of the part shown beside its joint, mm */
#define NEAR_END 25.0 /* nearer to the part's end than this, the end is shown */
#define ACROSS_MOST 80.0
#define DOWN_MOST 110.0

/* ---- one half ----------------------------------------------------------------------- */

/* Along one axis of the paper, from the part's left or upper side. */
typedef struct stretch {
  int axis;
  gw_dir start;          /* the side of the part that is at the left, or above */
  gw_len lo, size, rest; /* of the joint: before it, it, behind it */
  double from, to;       /* what is drawn, mm */
  double whole;
} stretch;

typedef struct section {
  const gw_sheets_job *job;
  const gw_half *half;
  int joint;
  gw_view view;
  gw_dir side;    /* from which it is seen */
  gw_len cut_at;  /* along that axis */
  stretch across, down, along;
} section;

/* A bridle at a corner: each half keeps its profile along the other part. */
static bool is_corner_bridle(const gw_sheets_job *job, const gw_half *half) {
  return job->model->joints[half->joint].kind == GW_BRIDLE &&
         job->fit->seatings[half->joint].style == GW_CORNER;
}

/* The axis along which the profile stays the same. */
static int axis_along(const gw_sheets_job *job, const gw_half *half) {
  const gw_seating *s = &job->fit->seatings[half->joint];
  if (is_corner_bridle(job, half)) return half->enters ? s->second : s->normal;
  if (s->style == GW_CORNER) return 3 - s->normal - s->second;
  if (s->style == GW_CROSS)
    return 3 - s->normal - (int)gw_part_length_axis(&job->model->parts[half->part]);
  return s->run;
}

static gw_box space_of(const gw_sheets_job *job, const gw_half *half) {
  if (gw_is_mitre(job, half->joint))
    return gw_fit_joint_box(job->fit, job->model, half->joint);
  return gw_half_space(job, (int)(half - job->model->halves));
}

static stretch stretch_of(const gw_box *body, const gw_box *space, gw_dir start, double most) {
  int axis = gw_dir_axis(start);
  bool rising = gw_dir_sign(start) < 0;
  gw_len lo = space->lo[axis] - body->lo[axis], hi = space->hi[axis] - body->lo[axis];
  gw_len whole = body->hi[axis] - body->lo[axis];
  lo = lo < 0 ? 0 : lo > whole ? whole : lo; /* a draft may have a half beside its part */
  hi = hi < lo ? lo : hi > whole ? whole : hi;
  stretch s = {.axis = axis, .start = start, .size = hi - lo, .lo = rising ? lo : whole - hi,
               .rest = rising ? whole - hi : lo, .whole = gw_len_mm(whole)};
  double before = gw_len_mm(s.lo), behind = gw_len_mm(s.rest);
  s.from = before <= NEAR_END ? 0 : before - BESIDE;
  s.to = behind <= NEAR_END ? s.whole : s.whole - behind + BESIDE;
  if (s.to - s.from > most) s.to = s.from + most;
  return s;
}

/* Whether the two halves are drawn each as it is for itself. */
static bool by_itself(const gw_sheets_job *job, const gw_half *half) {
  return job->fit->seatings[half->joint].style == GW_CROSS || is_corner_bridle(job, half);
}

/* What is above on paper: the receiving surface, so that the joint goes in from
 * above; in halvings each part's own notch. */
static gw_dir above_of(const gw_sheets_job *job, const gw_half *half) {
  const gw_joint *j = &job->model->joints[half->joint];
  return by_itself(job, half) ? half->at : job->model->halves[j->receiving].at;
}

/* What is at the left: at a corner the side from which the other part comes,
 * else that from which the joint is nearer, on the part that receives. */
static gw_dir left_of(const gw_sheets_job *job, const gw_half *half, int across) {
  const gw_joint *j = &job->model->joints[half->joint];
  const gw_seating *s = &job->fit->seatings[half->joint];
  bool itself = by_itself(job, half);
  if (s->style == GW_CORNER && !itself) return gw_dir_back(job->model->halves[j->entering].at);
  const gw_half *by = itself ? half : &job->model->halves[j->receiving];
  gw_box body = job->fit->boxes[by->part], space = space_of(job, by);
  gw_len lo = space.lo[across] - body.lo[across], rest = body.hi[across] - space.hi[across];
  return gw_dir_of(across, lo <= rest ? -1 : 1);
}

/* The view with these sides above and at the left: right, up and towards the
 * viewer make a right-handed three. */
static gw_view view_with(gw_dir above, gw_dir left) {
  gw_view view = {.u = {0}};
  int right[3] = {0}, up[3] = {0};
  right[gw_dir_axis(left)] = -gw_dir_sign(left);
  up[gw_dir_axis(above)] = gw_dir_sign(above);
  for (int i = 0; i < 3; ++i) {
    view.u[i] = right[i];
    view.v[i] = -up[i];
    view.toward[i] = right[(i + 1) % 3] * up[(i + 2) % 3] - right[(i + 2) % 3] * up[(i + 1) % 3];
  }
  return view;
}

/* What goes in is hatched over the wood; what is cut away grey where no wood is. */
static bool goes_in(const section *s) {
  return s->half->enters && !gw_is_mitre(s->job, s->joint) &&
         s->job->fit->seatings[s->joint].style != GW_CROSS;
}

/* A panel's tongue may be longer than it goes in. */
static void keep_what_goes_in(gw_box *space, const gw_half *half, gw_len in) {
  int axis = gw_dir_axis(half->at);
  if (space->hi[axis] - space->lo[axis] <= in) return;
  if (gw_dir_sign(half->at) > 0) space->lo[axis] = space->hi[axis] - in;
  else space->hi[axis] = space->lo[axis] + in;
}

static section section_of(const gw_sheets_job *job, int joint, bool entering) {
  const gw_joint *j = &job->model->joints[joint];
  section s = {.job = job, .joint = joint,
               .half = &job->model->halves[entering ? j->entering : j->receiving]};
  gw_box body = job->fit->boxes[s.half->part], space = space_of(job, s.half);
  if (goes_in(&s)) keep_what_goes_in(&space, s.half, gw_goes_in(job, joint).in);
  int along = axis_along(job, s.half);
  gw_dir above = above_of(job, s.half);
  gw_dir left = left_of(job, s.half, 3 - along - (int)gw_dir_axis(above));
  s.view = view_with(above, left);
  s.side = gw_dir_of(along, s.view.toward[along] > 0 ? 1 : -1);
  s.across = stretch_of(&body, &space, left, ACROSS_MOST);
  s.down = stretch_of(&body, &space, above, DOWN_MOST);
  s.along = stretch_of(&body, &space, gw_dir_of(along, -1), DOWN_MOST);
  s.cut_at = body.lo[along] + s.along.lo + s.along.size / 2;
  return s;
}

/* ---- which joints ------------------------------------------------------------------- */

static bool kind_has(gw_kind kind) {
  switch (kind) {
    case GW_SLIDING_DOVETAIL:
    case GW_TONGUE_GROOVE:
    case GW_PANEL_GROOVE:
    case GW_HOUSING:
    case GW_REBATE:
    case GW_HALVING:
    case GW_DOVETAIL_HALVING:
    case GW_BRIDLE:
    case GW_MITRE:
    case GW_KEYED_MITRE: return true;
    default: return false;
  }
}

bool gw_section_has(const gw_sheets_job *job, int joint) {
  const gw_seating *s = &job->fit->seatings[joint];
  const gw_joint *j = &job->model->joints[joint];
  if (!job->fit->placed || !kind_has(j->kind) || !s->bound[s->normal].stated) return false;
  for (int i = 0; i < 2; ++i) {
    const gw_half *half = &job->model->halves[i == 0 ? j->entering : j->receiving];
    int along = axis_along(job, half);
    if (gw_fit_slants(job->fit, half->part)) return false; /* a slanting cut is no profile */
    if (along < 0 || along > 2 || along == (int)gw_dir_axis(above_of(job, half)))
      return false;
  }
  return true;
}

/* A dovetail halving is drawn from above too: there its flanks show. */
static bool has_plan(const gw_sheets_job *job, int joint) {
  return job->model->joints[joint].kind == GW_DOVETAIL_HALVING &&
         job->fit->seatings[joint].slope > 0;
}

/* ---- alike -------------------------------------------------------------------------- */

static bool near(double a, double b) { return fabs(a - b) < 0.01; }

/* The same drawing: how much there is of the part where it is torn does not
 * show. */
static bool same_stretch(const stretch *a, const stretch *b) {
  return near(gw_len_mm(a->lo) - a->from, gw_len_mm(b->lo) - b->from) &&
         near(a->to - a->from, b->to - b->from) && near(gw_len_mm(a->size), gw_len_mm(b->size)) &&
         (a->from > 0) == (b->from > 0) && (a->to < a->whole) == (b->to < b->whole);
}

static bool is_whole(const stretch *s) { return s->lo == 0 && s->rest == 0; }

/* ---- the drawing -------------------------------------------------------------------- */

/* The plane `mm` from the side where a stretch starts, beyond which the part is
 * broken off. */
static gw_plane torn_at(const section *s, const stretch *along, double mm, bool at_start) {
  const gw_box *body = &s->job->fit->boxes[s->half->part];
  int axis = along->axis, sign = gw_dir_sign(along->start);
  double side = gw_len_mm(sign < 0 ? body->lo[axis] : body->hi[axis]);
  gw_plane plane = {.torn = true};
  plane.n[axis] = at_start ? sign : -sign;
  plane.at = plane.n[axis] * (side - sign * mm);
  return plane;
}

static int set_window(const section *s, gw_plane planes[5]) {
  const stretch *both[2] = {&s->across, &s->down};
  int count = 0, axis = gw_dir_axis(s->side);
  for (int i = 0; i < 2; ++i) {
    if (both[i]->from > 0) planes[count++] = torn_at(s, both[i], both[i]->from, true);
    if (both[i]->to < both[i]->whole) planes[count++] = torn_at(s, both[i], both[i]->to, false);
  }
  gw_plane cut = {.at = gw_dir_sign(s->side) * gw_len_mm(s->cut_at)};
  cut.n[axis] = gw_dir_sign(s->side);
  planes[count++] = cut;
  return count;
}

static double clip(const stretch *s, double value) {
  return fmin(fmax(value, s->from), s->to) - s->from;
}

static void fill_joint(gw_flow *flow, const section *s, double x, double y) {
  double left = clip(&s->across, gw_len_mm(s->across.lo));
  double right = clip(&s->across, gw_len_mm(s->across.lo + s->across.size));
  double up = clip(&s->down, gw_len_mm(s->down.lo));
  double low = clip(&s->down, gw_len_mm(s->down.lo + s->down.size));
  const gw_spot spots[4] = {{x + left, y + up}, {x + right, y + up}, {x + right, y + low},
                            {x + left, y + low}};
  if (goes_in(s)) gw_layout_goes_in(flow, spots);
  else gw_fill_polygon(flow->page, GW_LAYOUT_WASTE, spots, 4);
}


static const gw_pen WOOD = {GW_STROKE_FULL, 0.35, 0};

/* Grooves, housings and rebates run past other joints, and a dovetailed socket is as wide as
 * its drawing at one end alone: of these only their own profile is drawn. */
static bool is_groove(const section *s) {
  gw_kind kind = s->job->model->joints[s->joint].kind;
  if (kind == GW_REBATE) return !s->half->enters && s->across.lo == 0 && s->down.lo == 0;
  if (has_plan(s->job, s->joint)) return !s->half->enters;
  return kind == GW_PANEL_GROOVE || kind == GW_TONGUE_GROOVE || kind == GW_HOUSING;
}

/* The sides of the part that are not torn; the left one begins at `left_up`. */
static void draw_flanks(gw_flow *flow, const section *s, double x, double up, double low,
                        double left_up) {
  double right = x + s->across.to - s->across.from;
  if (s->across.from <= 0) gw_draw_line(flow->page, WOOD, x, left_up, x, low);
  if (s->across.to >= s->across.whole) gw_draw_line(flow->page, WOOD, right, up, right, low);
}

/* A groove is open above, a tongue ends below. */
static void draw_profile(gw_flow *flow, const section *s, double x, double y) {
  double left = x + clip(&s->across, gw_len_mm(s->across.lo)),
         right = x + s->across.to - s->across.from;
  double end = x + clip(&s->across, gw_len_mm(s->across.lo + s->across.size));
  double low = y + s->down.to - s->down.from;
  if (s->half->enters) {
    double deep = gw_len_mm(s->job->fit->seatings[s->joint].depth_e);
    bool shoulders = s->across.lo > 0 || s->across.rest > 0;
    double at = shoulders ? y + clip(&s->down, s->down.whole - deep) : low;
    const gw_spot tongue[6] = {{x, at},    {left, at}, {left, low},
                               {end, low}, {end, at},  {right, at}};
    draw_flanks(flow, s, x, y, at, y);
    gw_draw_polyline(flow->page, WOOD, tongue, 6, false);
  } else {
    double floor = y + clip(&s->down, gw_len_mm(s->down.size));
    const gw_spot groove[6] = {{x, y},       {left, y}, {left, floor},
                               {end, floor}, {end, y},  {right, y}};
    bool rebate = s->job->model->joints[s->joint].kind == GW_REBATE; /* open at the left too */
    draw_flanks(flow, s, x, y, low, rebate ? floor : y);
    gw_draw_polyline(flow->page, WOOD, rebate ? groove + 2 : groove, rebate ? 4 : 6, false);
    if (s->down.to >= s->down.whole) gw_draw_line(flow->page, WOOD, x, low, right, low);
  }
}

/* What is cut away is as large as its box, so that grey may lie over the wood behind. */
static bool is_square_cut(const section *s) {
  gw_kind kind = s->job->model->joints[s->joint].kind;
  return kind == GW_REBATE || kind == GW_HALVING;
}

static gw_status draw_wood(gw_flow *flow, const section *s, gw_scene *scene, double x, double y) {
  gw_plane window[5];
  gw_stand stand = {.part = s->half->part, .window = window, .n_window = set_window(s, window)};
  GW_TRY(gw_scene_add_part(scene, s->job, &stand));
  const gw_box *body = &s->job->fit->boxes[s->half->part];
  double corner[3] = {0, 0, 0};
  const stretch *both[2] = {&s->across, &s->down};
  for (int i = 0; i < 2; ++i) {
    int sign = gw_dir_sign(both[i]->start), axis = both[i]->axis;
    corner[axis] = gw_len_mm(sign < 0 ? body->lo[axis] : body->hi[axis]) - sign * both[i]->from;
  }
  gw_spot at = gw_view_spot(&scene->view, corner);
  gw_setting_out set = {.scale = 1, .x = x - at.x, .y = y - at.y};
  for (size_t i = 0; i < scene->n_facets; ++i) scene->facets[i].shade = GW_SHADE_NONE;
  GW_TRY(gw_scene_draw(flow->page, scene, &set, false, NULL));
  if (!goes_in(s) && !is_square_cut(s)) return GW_OK;
  fill_joint(flow, s, x, y);
  scene->n_facets = 0; /* its lines again */
  return gw_scene_draw(flow->page, scene, &set, false, NULL);
}

static void draw_torn(gw_flow *flow, const stretch *across, const stretch *down, double x,
                      double y) {
  double right = x + across->to - across->from, low = y + down->to - down->from;
  if (across->from > 0) gw_layout_torn_down(flow, x, y, low);
  if (across->to < across->whole) gw_layout_torn_down(flow, right, y, low);
  if (down->from > 0) gw_layout_torn_across(flow, x, right, y);
  if (down->to < down->whole) gw_layout_torn_across(flow, x, right, low);
}

/* ---- words -------------------------------------------------------------------------- */

static gw_place place_of(const char *name, const stretch *s) {
  return (gw_place){name, s->start, s->lo, s->size, s->rest};
}

static const char *place_line(gw_flow *flow, const section *s, const char *name,
                              const stretch *along, bool with_place) {
  gw_place place = place_of(name, along);
  return gw_place_words(flow, s->job, &s->job->model->parts[s->half->part], &place, with_place);
}

/* The three ways of a section. */
static const stretch *way_of(const section *s, int way, const char **name) {
  static const char *const names[3] = {"across", "down", "along"};
  *name = names[way];
  return way == 0 ? &s->across : way == 1 ? &s->down : &s->along;
}

/* A tongue that is longer than it goes in: its shoulder lies at its whole length.  NULL where
 * there is none. */
static const char *tongue_line(gw_flow *flow, const section *s, const char *name,
                               const stretch *along) {
  char whole[48], part[48];
  gw_len deep = s->job->fit->seatings[s->joint].depth_e, in = gw_goes_in(s->job, s->joint).in;
  bool shoulders = s->across.lo > 0 || s->across.rest > 0;
  if (!goes_in(s) || !is_groove(s) || !shoulders || deep - in < GW_MM / 100 ||
      along->axis != (int)gw_dir_axis(s->half->at))
    return NULL;
  return gw_flow_say(flow, "%s: %s to the shoulder, of this %s in", name,
                     gw_length_words(s->job, deep, whole, sizeof whole),
                     gw_length_words(s->job, in, part, sizeof part));
}

/* What is said of a half's place, or, where that is not the same on all joints of the
 * drawing, its size alone. */
static const char *way_line(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                            bool entering, int way) {
  const char *name;
  section first = section_of(job, joints[0], entering);
  const stretch *of_first = way_of(&first, way, &name);
  const char *words = tongue_line(flow, &first, name, of_first);
  if (words != NULL) return words;
  words = place_line(flow, &first, name, of_first, true);
  for (int i = 1; i < count; ++i) {
    section s = section_of(job, joints[i], entering);
    const stretch *other = way_of(&s, way, &name);
    if (strcmp(words, place_line(flow, &s, name, other, true)) == 0) continue;
    words = place_line(flow, &first, name, of_first, false);
    bool depth = of_first->axis == (int)gw_dir_axis(first.half->at);
    return !depth && gw_half_is_struck(flow, first.half)
               ? gw_flow_say(flow, "%s; its place: see the settings", words) : words;
  }
  return words;
}

/* Right along the part one sees its end; else it is cut. */
static const char *view_line(gw_flow *flow, const section *s) {
  const gw_part *p = &s->job->model->parts[s->half->part];
  const char *turn = gw_turn_words(flow, p, s->down.start, s->across.start);
  const char *cut = has_plan(s->job, s->joint) && !s->half->enters ? "cut at its wider end"
                                                                   : "cut";
  char from[48];
  gw_surface_words(p, s->side, from, sizeof from);
  if (is_whole(&s->along) && (int)gw_dir_axis(s->side) == gw_part_length_axis(p))
    return gw_flow_say(flow, "view of %s, %s", from, turn);
  return gw_flow_say(flow, "%s, seen from %s, %s", cut, from, turn);
}

static const char *through_words(const section *s) {
  const gw_part *p = &s->job->model->parts[s->half->part];
  int axis = s->along.axis;
  if (!is_whole(&s->along) || gw_is_mitre(s->job, s->joint)) return "";
  if (axis == gw_part_length_axis(p)) return ", from end to end";
  return axis == (int)gw_dir_axis(p->edge) ? ", from edge to edge" : ", from face to face";
}

gw_caption gw_section_caption(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                              bool entering) {
  section first = section_of(job, joints[0], entering);
  bool whole = is_whole(&first.along);
  gw_caption c = {.title = gw_flow_say(flow, "%s%s",
                                       gw_halves_title(flow, job, joints, count, entering),
                                       through_words(&first))};
  c.lines[0] = view_line(flow, &first);
  for (int i = 1; i < count; ++i) {
    section s = section_of(job, joints[i], entering);
    if (strcmp(c.lines[0], view_line(flow, &s)) == 0) continue;
    c.lines[0] = gw_of_one_joint(flow, job, joints[0], c.lines[0]);
    break;
  }
  for (int way = 0; way < 3 - whole && !gw_is_mitre(job, joints[0]); ++way)
    c.lines[1 + way] = way_line(flow, job, joints, count, entering, way);
  return c;
}

static const char *joint_words(gw_flow *flow, const gw_sheets_job *job, int joint) {
  char depth[48], deep[48], slope[48], end[48];
  const gw_seating *s = &job->fit->seatings[joint];
  const gw_joint *j = &job->model->joints[joint];
  const gw_part *e = &job->model->parts[gw_joint_enters(job->model, j)];
  const gw_part *r = &job->model->parts[gw_joint_receives(job->model, j)];
  const char *flanks = s->slope > 0 ? gw_flow_say(flow, "; both flanks slope %s",
                                                  gw_slope_words(s->slope, slope, sizeof slope))
                                    : "";
  gw_length_words(job, s->depth_e, depth, sizeof depth);
  gw_length_words(job, s->depth_r, deep, sizeof deep);
  if (gw_is_mitre(job, joint)) {
    gw_length_words(job, r->size[s->normal], depth, sizeof depth);
    gw_length_words(job, e->size[s->second], deep, sizeof deep);
    return gw_flow_say(flow, "The slant runs back %s over %s.%s", depth, deep,
                       j->kind == GW_KEYED_MITRE
                           ? "  Its keys are not drawn: their size and place are the maker's."
                           : "");
  }
  if (s->style == GW_CROSS && strcmp(depth, deep) == 0)
    return gw_flow_say(flow, "Both are cut %s deep%s.", depth, flanks);
  if (s->style == GW_CROSS) return gw_flow_say(flow, "Cut %s and %s deep%s.", depth, deep, flanks);
  const char *sentence = gw_depth_sentence(flow, job, joint);
  if (j->kind == GW_REBATE) {
    const gw_half *half = &job->model->halves[j->receiving];
    return gw_flow_say(flow, "%s  The rebate goes %s in from %s.", sentence, deep,
                       gw_surface_words(r, half->at, end, sizeof end));
  }
  if (flanks[0] == '\0') return sentence;
  return gw_flow_say(flow, "%.*s%s.", (int)strlen(sentence) - 1, sentence, flanks);
}

/* ---- dovetail halvings from above --------------------------------------------------- */


/* One half seen on its open side, the wider end of the joint at the left. */
typedef struct plan {
  const gw_half *half;
  stretch across, down;
  double in; /* by which a flank runs in over the joint, mm */
} plan;

/* Up, from the side that is seen and that at the left. */
static gw_dir up_of(gw_dir seen, gw_dir left) {
  int from = gw_dir_axis(seen), to = gw_dir_axis(left);
  int sign = -gw_dir_sign(seen) * gw_dir_sign(left); /* the viewer's side by the right */
  return gw_dir_of(3 - from - to, (from + 1) % 3 == to ? sign : -sign);
}

static plan plan_of(const gw_sheets_job *job, int joint, bool entering) {
  const gw_joint *j = &job->model->joints[joint];
  gw_dir left = gw_fit_wide_end(job->fit, job->model, joint);
  plan p = {.half = &job->model->halves[entering ? j->entering : j->receiving]};
  gw_box body = job->fit->boxes[p.half->part], space = space_of(job, p.half);
  p.across = stretch_of(&body, &space, left, ACROSS_MOST);
  p.down = stretch_of(&body, &space, up_of(p.half->at, left), DOWN_MOST);
  if (p.down.from > 0) p.down.from += BESIDE / 2; /* a page holds it on Letter too */
  if (p.down.to < p.down.whole) p.down.to -= BESIDE / 2;
  p.in = gw_len_mm(p.across.size) * 100 / job->fit->seatings[joint].slope;
  return p;
}

static bool plans_alike(const gw_sheets_job *job, int a, int b) {
  for (int i = 0; i < 2; ++i) {
    plan of_a = plan_of(job, a, i == 0), of_b = plan_of(job, b, i == 0);
    if (!same_stretch(&of_a.across, &of_b.across) || !same_stretch(&of_a.down, &of_b.down) ||
        !near(of_a.in, of_b.in))
      return false;
  }
  return true;
}

/* The joint's corners: at its wider end, along one flank, back along the other. */
static void flanks(const plan *p, double x, double y, gw_spot out[4]) {
  double left = x + clip(&p->across, gw_len_mm(p->across.lo));
  double right = x + clip(&p->across, gw_len_mm(p->across.lo + p->across.size));
  double up = y + clip(&p->down, gw_len_mm(p->down.lo));
  double low = y + clip(&p->down, gw_len_mm(p->down.lo + p->down.size));
  out[0] = (gw_spot){left, low};
  out[1] = (gw_spot){left, up};
  out[2] = (gw_spot){right, up + p->in};
  out[3] = (gw_spot){right, low - p->in};
}

/* The part's sides, but where it is torn. */
static void draw_sides(gw_flow *flow, const plan *p, double x, double y) {
  double right = x + p->across.to - p->across.from, low = y + p->down.to - p->down.from;
  if (p->across.from <= 0) gw_draw_line(flow->page, WOOD, x, y, x, low);
  if (p->across.to >= p->across.whole) gw_draw_line(flow->page, WOOD, right, y, right, low);
  if (p->down.from <= 0) gw_draw_line(flow->page, WOOD, x, y, right, y);
  if (p->down.to >= p->down.whole) gw_draw_line(flow->page, WOOD, x, low, right, low);
  draw_torn(flow, &p->across, &p->down, x, y);
}

static void draw_socket(gw_flow *flow, const plan *p, double x, double y) {
  gw_spot spots[4];
  flanks(p, x, y, spots);
  gw_fill_polygon(flow->page, GW_LAYOUT_WASTE, spots, 4);
  gw_draw_polyline(flow->page, WOOD, spots, 4, true);
  draw_sides(flow, p, x, y);
}

/* Grey is what goes, between the part's sides and the flanks. */
static void draw_tail(gw_flow *flow, const plan *p, double x, double y) {
  gw_spot spots[4];
  flanks(p, x, y, spots);
  for (int i = 0; i < 2; ++i) {
    gw_spot end = spots[i == 0 ? 1 : 0], root = spots[i == 0 ? 2 : 3];
    const gw_spot wedge[3] = {end, root, {root.x, end.y}};
    gw_fill_polygon(flow->page, GW_LAYOUT_WASTE, wedge, 3);
    gw_draw_polyline(flow->page, WOOD, wedge, 3, true);
  }
  draw_sides(flow, p, x, y);
}

static const char *plan_view(gw_flow *flow, const gw_sheets_job *job, const plan *p) {
  char on[48];
  const gw_part *part = &job->model->parts[p->half->part];
  return gw_flow_say(flow, "seen on %s, %s", gw_surface_words(part, p->half->at, on, sizeof on),
                     gw_turn_words(flow, part, p->down.start, p->across.start));
}

gw_caption gw_plan_caption(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                           bool entering) {
  char wide[48], narrow[48];
  plan p = plan_of(job, joints[0], entering);
  double mm = gw_len_mm(p.down.size) - 2 * p.in;
  gw_length_words(job, p.down.size, wide, sizeof wide);
  gw_length_words(job, (gw_len)llround(mm * GW_MM), narrow, sizeof narrow);
  const char *on = strstr(gw_halves_title(flow, job, joints, count, entering), " on ");
  gw_caption c = {
      .title = gw_flow_say(flow, "%s%s", entering ? "tail" : "socket", on != NULL ? on : ""),
      .lines = {plan_view(flow, job, &p),
                gw_flow_say(flow,
                            entering ? "%s at its end, %s at the shoulder"
                                     : "%s and %s: strike it from the tail itself",
                            wide, narrow)}};
  for (int i = 1; i < count; ++i) {
    plan other = plan_of(job, joints[i], entering);
    if (strcmp(c.lines[0], plan_view(flow, job, &other)) == 0) continue;
    c.lines[0] = gw_of_one_joint(flow, job, joints[0], c.lines[0]);
    break;
  }
  return c;
}

/* The two drawings from above, with their words; nothing is drawn without `draw`. */
static double plans(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count,
                    bool draw) {
  const int joint = joints[0];
  double words = 0, high = 0, y = flow->y;
  if (!has_plan(job, joint)) return 0;
  plan both[2] = {plan_of(job, joint, true), plan_of(job, joint, false)};
  gw_caption captions[2];
  for (int i = 0; i < 2; ++i) {
    captions[i] = gw_plan_caption(flow, job, joints, count, i == 0);
    words = fmax(words, gw_caption_height(flow, &captions[i], flow->body.w / 2 - 4));
    high = fmax(high, both[i].down.to - both[i].down.from);
  }
  for (int i = 0; draw && i < 2; ++i) {
    double x = flow->body.x + i * (flow->body.w / 2);
    gw_caption_draw(flow, &captions[i], x, y, flow->body.w / 2 - 4);
    if (i == 0) draw_tail(flow, &both[i], x, y + words);
    else draw_socket(flow, &both[i], x, y + words);
  }
  return words + high + 4;
}

bool gw_section_alike(const gw_sheets_job *job, int a, int b) {
  const gw_seating *sa = &job->fit->seatings[a], *sb = &job->fit->seatings[b];
  if (job->model->joints[a].kind != job->model->joints[b].kind || sa->style != sb->style ||
      sa->slope != sb->slope)
    return false;
  for (int i = 0; i < 2; ++i) {
    section of_a = section_of(job, a, i == 0), of_b = section_of(job, b, i == 0);
    bool whole = is_whole(&of_a.along) && is_whole(&of_b.along);
    if (!same_stretch(&of_a.across, &of_b.across) || !same_stretch(&of_a.down, &of_b.down) ||
        !(whole || same_stretch(&of_a.along, &of_b.along)))
      return false;
  }
  return !has_plan(job, a) || plans_alike(job, a, b);
}

/* ---- all ---------------------------------------------------------------------------- */

static double words_high(gw_flow *flow, const gw_caption both[2], const gw_split *split) {
  return fmax(gw_caption_height(flow, &both[0], split->words[0]),
              gw_caption_height(flow, &both[1], split->words[1]));
}

static double drawn_wide(const section *s) { return s->across.to - s->across.from; }
static double drawn_high(const section *s) { return s->down.to - s->down.from; }

gw_layout_size gw_section_size(gw_flow *flow, const gw_sheets_job *job, const int *joints,
                               int count) {
  section both[2] = {section_of(job, joints[0], true), section_of(job, joints[0], false)};
  gw_caption captions[2] = {gw_section_caption(flow, job, joints, count, true),
                            gw_section_caption(flow, job, joints, count, false)};
  double wide = gw_split_wide(drawn_wide(&both[0]), drawn_wide(&both[1]));
  gw_split split = gw_layout_split(flow, drawn_wide(&both[0]), drawn_wide(&both[1]));
  return (gw_layout_size){has_plan(job, joints[0]) ? flow->body.w : wide,
                          gw_layout_words_height(flow, joint_words(flow, job, joints[0])) +
                              words_high(flow, captions, &split) +
                              fmax(drawn_high(&both[0]), drawn_high(&both[1])) +
                              plans(flow, job, joints, count, false) + GW_LAYOUT_BELOW};
}

static void draw_section(gw_flow *flow, const section *s, double x, double y) {
  if (!goes_in(s) || is_groove(s)) fill_joint(flow, s, x, y); /* grey, where no wood lies over it */
  if (is_groove(s)) draw_profile(flow, s, x, y);
  else {
    gw_scene scene = {.view = s->view};
    gw_status status = draw_wood(flow, s, &scene, x, y);
    gw_scene_clear(&scene);
    gw_doc_fail(flow->doc, status, "memory is short");
  }
  draw_torn(flow, &s->across, &s->down, x, y);
}

void gw_section_draw(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count) {
  section both[2] = {section_of(job, joints[0], true), section_of(job, joints[0], false)};
  gw_caption captions[2] = {gw_section_caption(flow, job, joints, count, true),
                            gw_section_caption(flow, job, joints, count, false)};
  gw_layout_words(flow, joint_words(flow, job, joints[0]));
  gw_split split = gw_layout_split(flow, drawn_wide(&both[0]), drawn_wide(&both[1]));
  double top = flow->y + words_high(flow, captions, &split);
  for (int i = 0; i < 2; ++i) {
    double x = flow->body.x + i * split.second;
    gw_caption_draw(flow, &captions[i], x, flow->y, split.words[i]);
    draw_section(flow, &both[i], x, top);
  }
  flow->y = top + fmax(drawn_high(&both[0]), drawn_high(&both[1])) + 4;
  flow->y += plans(flow, job, joints, count, true) + GW_LAYOUT_BELOW - 4;
}
