/* session_steps.c - what a line of the timed list says: the big words for the
 * wall and the sentence beneath them. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/session.h"

#define ARROW "\xE2\x86\x92"
#define HARD_SPACE "\xC2\xA0"

/* ---- a join ------------------------------------------------------------------------------- */

bool gw_session_join_sides(const gw_sheets_job *job, gw_arena *arena, int index,
                           const char **moving, const char **onto) {
  const gw_join *join = &job->order->joins[index];
  *moving = gw_order_side(job->model, job->marks, arena, join, true, false);
  *onto = gw_order_side(job->model, job->marks, arena, join, false, false);
  return *moving != NULL && *onto != NULL;
}

const char *gw_session_join_action(const gw_sheets_job *job, gw_arena *arena, int index) {
  const gw_join *join = &job->order->joins[index];
  const char *moving, *onto;
  char buffer[GW_MARK_SHOWN];
  const char *joints = "";
  for (int i = 0; i < join->n_joints && joints != NULL; ++i)
    joints = gw_arena_printf(arena, "%s%s%s", joints,
                             i == 0 ? "" : join->n_joints > 6 ? ", " : "," HARD_SPACE,
                             gw_session_joint(job, join->joints[i], buffer));
  if (!gw_session_join_sides(job, arena, index, &moving, &onto) || joints == NULL) return NULL;
  if (join->n_joints == 0) return gw_arena_printf(arena, "HOLD %s, %s", moving, onto);
  return gw_arena_printf(arena, "%s" HARD_SPACE ARROW " %s (%s)", moving, onto, joints);
}

/* A face that comes to lie on the other with them, as a drawer's bottom does on its back,
 * makes no difference. */
bool gw_session_goes_in(const gw_sheets_job *job, int index) {
  const gw_model *m = job->model;
  const gw_join *join = &job->order->joins[index];
  bool in = false;
  for (int i = 0; i < join->n_joints; ++i) {
    const gw_joint *joint = &m->joints[join->joints[i]];
    const gw_kind_row *kind = gw_kind_of(joint->kind);
    bool moved = false;
    for (int k = 0; k < join->n_moving; ++k)
      moved = moved || join->moving[k] == gw_joint_enters(m, joint);
    if (!moved || (kind->style != GW_STRAIGHT && kind->seat != GW_FACE)) return false;
    in = in || kind->seat != GW_FACE;
  }
  return in;
}

/* "; no glue here", "; no glue in 3 and 4" */
static const char *dry_words(const gw_sheets_job *job, gw_arena *arena, const gw_join *join) {
  if (join->n_glued == 0) return "; no glue here";
  int count = 0, *dry = gw_arena_alloc(arena, (size_t)join->n_joints + 1, sizeof *dry);
  for (int i = 0; dry != NULL && i < join->n_joints; ++i)
    if (!job->model->joints[join->joints[i]].glued) dry[count++] = join->joints[i];
  const char *list = dry == NULL ? NULL : gw_session_list(job, arena, dry, count, false);
  return list == NULL ? NULL : gw_arena_printf(arena, "; no glue in %s", list);
}

/* "Bring Back (K) to the left onto", "Set Top (C) down onto" */
static const char *moving_words(const gw_sheets_job *job, gw_arena *arena, int index) {
  const gw_join *join = &job->order->joins[index];
  const char *moving = gw_order_side(job->model, job->marks, arena, join, true, true);
  int axis = gw_dir_axis(job->model->lay);
  bool upright = join->way.c[(axis + 1) % 3] == 0 && join->way.c[(axis + 2) % 3] == 0;
  bool down = join->way.c[axis] * gw_dir_sign(job->model->lay) > 0;
  if (moving == NULL) return NULL;
  return gw_arena_printf(arena, "%s %s %s %s", upright ? down ? "Set" : "Raise" : "Bring", moving,
                         !upright ? join->direction : down ? "down" : "up",
                         gw_session_goes_in(job, index) ? "into" : upright && !down ? "to" : "onto");
}

const char *gw_session_join_words(const gw_sheets_job *job, gw_arena *arena, int index, bool glue) {
  const gw_join *join = &job->order->joins[index];
  const char *onto = gw_order_side(job->model, job->marks, arena, join, false, true);
  if (onto == NULL) return NULL;
  if (join->n_joints == 0) {
    const char *moving = gw_order_side(job->model, job->marks, arena, join, true, true);
    if (moving == NULL) return NULL;
    return gw_arena_printf(arena, "Stand %s beside %s and hold both", moving, onto);
  }
  const char *moving = moving_words(job, arena, index);
  const char *joints = gw_session_list(job, arena, join->joints, join->n_joints, false);
  const char *dry =
      !glue || join->n_glued == join->n_joints ? "" : dry_words(job, arena, join);
  const char *where = gw_session_opening(job, arena, index);
  if (moving == NULL || joints == NULL || dry == NULL || where == NULL) return NULL;
  return gw_arena_printf(arena, "%s %s, joint%s" HARD_SPACE "%s%s%s%s", moving, onto,
                         join->n_joints == 1 ? "" : "s", joints, where[0] ? ": " : "", where, dry);
}

/* ---- the big words -------------------------------------------------------------------------- */

static int clamps_of(const gw_stage *stage, int join) {
  int clamps = 0;
  for (int i = 0; i < stage->n_pulls; ++i)
    if (stage->pulls[i].join == join) clamps += stage->pulls[i].count;
  return clamps;
}

const char *gw_session_action(const gw_sheets_job *job, gw_arena *arena, const gw_stage *stage,
                              const gw_step *step) {
  char buffer[GW_MARK_SHOWN];
  if (step->action == GW_SPREAD)
    return gw_arena_printf(arena, "GLUE %s", gw_session_joint(job, step->joint, buffer));
  if (step->action == GW_BRING) return gw_session_join_action(job, arena, step->join);
  int clamps = clamps_of(stage, step->join);
  return clamps == 0 ? "SQUARE" : gw_arena_printf(arena, "CLAMPS: %d", clamps);
}

static const char *spread_detail(const gw_sheets_job *job, gw_arena *arena, const gw_stage *stage,
                                 int joint) {
  const gw_joint *j = &job->model->joints[joint];
  int faces = stage->glue < 0 ? 2 : job->clock->uses[stage->glue].kind->faces.value;
  const char *enters = gw_session_part(job, arena, gw_joint_enters(job->model, j));
  const char *receives = gw_session_part(job, arena, gw_joint_receives(job->model, j));
  if (enters == NULL || receives == NULL) return NULL;
  return gw_session_sentence(
      arena, gw_arena_printf(arena, "%s: %s and %s%s", gw_kind_of(j->kind)->words, enters, receives,
                             faces == 2 ? ", glue on both" : ""));
}

/* ---- where the clamps go -------------------------------------------------------------------- */

/* A place for clamps: a line of joints, named by the parts that run along it, or
 * by the joints. */
typedef struct place {
  const char *name;
  bool by_part, many; /* many: more than one joint is named */
  int clamps;
} place;

/* "A" or "A + C": the parts of the line's joints whose length lies along the
 * axis; "" when there is none, or more than two. */
static const char *parts_along(const gw_sheets_job *job, gw_arena *arena,
                               const gw_clamp_line *line, int axis) {
  const gw_model *m = job->model;
  int found[3], count = 0;
  for (int i = 0; i < 2 * line->n_joints; ++i) {
    const gw_joint *joint = &m->joints[line->joints[i / 2]];
    int part = i % 2 ? gw_joint_receives(m, joint) : gw_joint_enters(m, joint);
    bool new = gw_part_length_axis(&m->parts[part]) == axis;
    for (int k = 0; k < count; ++k) new = new && found[k] != part;
    if (!new) continue;
    if (count == 2) return "";
    found[count++] = part;
  }
  if (count == 0) return "";
  if (count == 1) return gw_session_letter(job, found[0]);
  return gw_arena_printf(arena, "%s" HARD_SPACE "+" HARD_SPACE "%s",
                         gw_session_letter(job, found[0]), gw_session_letter(job, found[1]));
}

static bool make_place(const gw_sheets_job *job, gw_arena *arena, const gw_clamp_line *line,
                       int axis, place *out) {
  const char *along = parts_along(job, arena, line, axis);
  if (along == NULL) return false;
  *out = (place){along, true, false, line->clamps};
  if (along[0] != '\0') return true;
  out->by_part = false;
  out->many = line->n_joints > 1;
  out->name = gw_session_list(job, arena, line->joints, line->n_joints, false);
  return out->name != NULL;
}

/* Lines of the same name are one place. */
static int merge_places(place *places, int count) {
  int kept = 0;
  for (int i = 0; i < count; ++i) {
    int k = 0;
    while (k < kept && (strcmp(places[k].name, places[i].name) != 0 ||
                        places[k].by_part != places[i].by_part))
      ++k;
    if (k < kept) places[k].clamps += places[i].clamps;
    else places[kept++] = places[i];
  }
  return kept;
}

static bool alike(const place *a, const place *b) {
  return a->clamps == b->clamps && a->by_part == b->by_part && !a->many && !b->many;
}

/* "one along each of A, F and AA", "2 along joint 5" of the places like the
 * first, which are marked as told by taking their clamps off. */
static const char *alike_words(gw_arena *arena, place *places, int count, int first) {
  int total = 0, said = 0, clamps = places[first].clamps;
  const place kind = places[first];
  for (int i = first; i < count; ++i) total += i == first || alike(&kind, &places[i]);
  const char *list = "";
  for (int i = first; i < count && list != NULL; ++i) {
    if (i != first && !alike(&kind, &places[i])) continue;
    list = gw_arena_printf(arena, "%s%s%s", list,
                           said == 0 ? "" : said + 1 == total ? " and " : ", ", places[i].name);
    ++said;
    places[i].clamps = 0;
  }
  if (list == NULL) return NULL;
  const char *number = clamps == 1 ? "one" : gw_arena_printf(arena, "%d", clamps);
  const char *joints = kind.by_part ? "" : total > 1 || kind.many ? "joints " : "joint ";
  if (clamps > 1 && kind.many && number != NULL) /* not so many on each of them */
    return gw_arena_printf(arena, "%s side by side, each over joints %s", number, list);
  return number == NULL ? NULL
                        : gw_arena_printf(arena, "%s %s %s%s%s", number,
                                          clamps == 1 && !kind.by_part ? "over" : "along",
                                          total > 1 ? "each of " : "", joints, list);
}

/* ": one along each of A and C, one more beside them" */
static const char *places_words(const gw_sheets_job *job, gw_arena *arena, const gw_stage *stage,
                                const gw_pull *pull) {
  gw_clamp_line *lines;
  int count, set = 0;
  if (gw_clock_lines(job->model, job->fit, job->order, stage, pull, arena, &lines, &count) != GW_OK)
    return NULL;
  place *places = gw_arena_alloc(arena, (size_t)count + 1, sizeof *places);
  for (int i = 0; places != NULL && i < count; ++i) {
    if (!make_place(job, arena, &lines[i], pull->axis, &places[i])) return NULL;
    set += places[i].clamps;
  }
  if (places == NULL) return NULL;
  count = merge_places(places, count);
  if (count == 1 && set < pull->count) places[0].clamps = set = pull->count;
  const char *text = "";
  for (int i = 0; i < count && text != NULL; ++i) {
    if (places[i].clamps == 0) continue;
    const char *words = alike_words(arena, places, count, i);
    if (words == NULL) return NULL;
    text = gw_arena_printf(arena, "%s%s%s", text, text[0] ? ", " : ": ", words);
  }
  int more = pull->count - set;
  if (text == NULL || more <= 0 || set == 0) return text;
  const char *other = more == 1 ? "one more" : gw_arena_printf(arena, "the other %d", more);
  if (other == NULL) return NULL;
  return gw_arena_printf(arena, "%s, %s beside them", text, other);
}

/* ---- the check ------------------------------------------------------------------------------ */

/* Joints that are seated and not clamped: "seat joints 5, 8 with mallet ...". */
static const char *seated_words(const gw_sheets_job *job, gw_arena *arena, const gw_stage *stage) {
  int count = 0, *seated = gw_arena_alloc(arena, (size_t)stage->n_steps + 1, sizeof *seated);
  for (int i = 0; seated != NULL && i < stage->n_steps; ++i) {
    const gw_step *step = &stage->steps[i];
    if (step->action == GW_SPREAD && !gw_kind_of(job->model->joints[step->joint].kind)->clamp)
      seated[count++] = step->joint;
  }
  if (seated == NULL) return NULL;
  if (count == 0) return stage->n_pulls > 0 ? "" : "press every joint home; ";
  const char *list = gw_session_list(job, arena, seated, count, false);
  if (list == NULL) return NULL;
  return gw_arena_printf(arena, "seat joint%s %s with mallet and block: %s no clamp; ",
                         count == 1 ? "" : "s", list, count == 1 ? "it wants" : "they want");
}

static const char *clamp_detail(const gw_sheets_job *job, gw_arena *arena, const gw_stage *stage,
                                int join, const char *check) {
  const char *text = seated_words(job, arena, stage);
  for (int i = 0; i < stage->n_pulls && text != NULL; ++i) {
    if (stage->pulls[i].join != join) continue;
    const char *clamps = gw_session_clamps(job, arena, &stage->pulls[i]);
    const char *places = places_words(job, arena, stage, &stage->pulls[i]);
    text = clamps == NULL || places == NULL
               ? NULL
               : gw_arena_printf(arena, "%s%s%s; ", text, clamps, places);
  }
  if (text == NULL) return NULL;
  return gw_session_sentence(arena, gw_arena_printf(arena, "%sthen %s", text, check));
}

const char *gw_session_detail(const gw_sheets_job *job, gw_arena *arena, const gw_stage *stage,
                              const gw_step *step, const char *check) {
  if (step->action == GW_SPREAD) return spread_detail(job, arena, stage, step->joint);
  if (step->action == GW_BRING)
    return gw_session_join_words(job, arena, step->join, stage->glue >= 0);
  return clamp_detail(job, arena, stage, step->join, check);
}

/* ---- diagonals ------------------------------------------------------------------------------ */

static int body_of(int *body, int part) {
  while (body[part] != part) part = body[part] = body[body[part]];
  return part;
}

/* Which parts are one body when `stages` of the clock are done. */
static void join_bodies(const gw_sheets_job *job, int stages, int *body) {
  for (int i = 0; i < job->model->n_parts; ++i) body[i] = i;
  for (int s = 0; s < stages; ++s)
    for (int i = 0; i < job->clock->stages[s].n_joins; ++i) {
      const gw_join *j = &job->order->joins[job->clock->stages[s].joins[i]];
      for (int k = 1; k < j->n_moving + j->n_onto; ++k) {
        int part = k < j->n_onto ? j->onto[k] : j->moving[k - j->n_onto];
        body[body_of(body, part)] = body_of(body, j->n_onto > 0 ? j->onto[0] : j->moving[0]);
      }
    }
  for (int i = 0; i < job->model->n_parts; ++i) body[i] = body_of(body, i);
}

static const double SAME_MM = 0.05; /* no tape tells them apart */

/* Something to be measured: where, what it should be, how much may be let pass. */
typedef struct measure {
  const char *words;
  double diagonal, allowed;
  bool unlike; /* its two have each a length of its own */
} measure;

static const char *frame_words(const gw_sheets_job *job, gw_arena *arena, const gw_frame *f) {
  const double *d = f->diagonal;
  const char *one = gw_session_number(job, arena, d[0]), *two = gw_session_number(job, arena, d[1]);
  const char *post[2] = {gw_session_letter(job, f->posts[0]), gw_session_letter(job, f->posts[1])};
  const char *below = f->rails[1] < 0 ? "the feet" : gw_session_letter(job, f->rails[1]);
  if (one == NULL || two == NULL) return NULL;
  const char *where = gw_arena_printf(arena, "between %s and %s from %s down to %s", post[0],
                                      post[1], gw_session_letter(job, f->rails[0]), below);
  if (where == NULL) return NULL;
  if (fabs(d[0] - d[1]) < SAME_MM) return gw_arena_printf(arena, "%s %s", where, one);
  return gw_arena_printf(arena, "%s %s from the foot of %s up and %s from %s", where, one, post[0],
                         two, post[1]);
}

static const char *opening_words(const gw_sheets_job *job, gw_arena *arena, const gw_opening *o,
                                 double diagonal) {
  const char *number = gw_session_number(job, arena, diagonal);
  const char *edges = o->edges ? " along the upper edges" : "";
  if (number == NULL) return NULL;
  if (o->outside && o->group >= 0)
    return gw_arena_printf(arena, "over the outer corners of %s%s: %s",
                           job->model->groups[o->group].name, edges, number);
  if (o->outside) return gw_arena_printf(arena, "over the outer corners%s %s", edges, number);
  const char *parts = gw_session_list(job, arena, o->parts, 4, true);
  const char *posts = o->posts ? ", between what stands in its corners," : "";
  return parts == NULL ? NULL
                       : gw_arena_printf(arena, "inside %s%s%s %s", parts, posts, edges, number);
}

static int by_size(const void *left, const void *right) {
  const measure *a = left, *b = right;
  if (a->diagonal != b->diagonal) return a->diagonal > b->diagonal ? -1 : 1;
  return strcmp(a->words, b->words);
}

/* Those that stand now and did not before; *gaps: whether any are narrow, which have no
 * diagonals.  -1 when memory is short. */
static int gather_measures(const gw_sheets_job *job, gw_arena *arena,
                           const gw_session_squares *squares, const int *before, const int *after,
                           measure *out, bool *gaps) {
  int count = 0;
  *gaps = false;
  for (size_t i = 0; i < squares->n_openings; ++i) {
    const gw_opening *o = &squares->openings[i];
    if (!gw_square_stands(o, after) || gw_square_stands(o, before)) continue;
    bool narrow = gw_square_narrow(o) >= 0;
    *gaps = *gaps || narrow;
    if (narrow) continue;
    double d = gw_square_diagonal(gw_len_mm(o->hi[0] - o->lo[0]), gw_len_mm(o->hi[1] - o->lo[1]));
    out[count] = (measure){opening_words(job, arena, o, d), d, 0, false};
    if (out[count++].words == NULL) return -1;
  }
  for (size_t i = 0; i < squares->n_frames; ++i) {
    const gw_frame *f = &squares->frames[i];
    if (!gw_square_frame_stands(f, after) || gw_square_frame_stands(f, before)) continue;
    double d = fmax(f->diagonal[0], f->diagonal[1]);
    out[count] = (measure){frame_words(job, arena, f), d, 0,
                           fabs(f->diagonal[0] - f->diagonal[1]) >= SAME_MM};
    if (out[count++].words == NULL) return -1;
  }
  for (int i = 0; i < count; ++i)
    out[i].allowed = gw_square_allowed(out[i].diagonal, job->model->units);
  return count;
}

/* "compare the diagonals: inside A, C, F and K 814.1 mm (may differ by 1 mm)" */
static const char *measures_words(const gw_sheets_job *job, gw_arena *arena, const measure *all,
                                  int count) {
  const char *text = "compare the diagonals: ";
  int said = count > GW_SESSION_DIAGONALS ? 1 : count;
  for (int i = 0; i < said && text != NULL; ++i) {
    const char *allowed = gw_session_number(job, arena, all[i].allowed);
    text = allowed == NULL ? NULL
                           : gw_arena_printf(arena, "%s%s%s (%s %s)", text, i > 0 ? ", " : "",
                                             all[i].words,
                                             all[i].unlike ? "each within" : "may differ by",
                                             allowed);
  }
  if (text == NULL || said == count) return text;
  return gw_arena_printf(arena, "%s; the others as in the dry" HARD_SPACE "fit", text);
}

/* Whether all joints of a stage are on parts that lean: no corner there is square. */
static bool leans(const gw_sheets_job *job, int stage) {
  const gw_model *m = job->model;
  for (int i = 0; i < job->clock->stages[stage].n_joins; ++i) {
    const gw_join *join = &job->order->joins[job->clock->stages[stage].joins[i]];
    for (int k = 0; k < join->n_joints; ++k) {
      const gw_joint *joint = &m->joints[join->joints[k]];
      if (!gw_fit_slants(job->fit, gw_joint_enters(m, joint)) &&
          !gw_fit_slants(job->fit, gw_joint_receives(m, joint)))
        return false;
    }
  }
  return true;
}

const char *gw_session_check(const gw_sheets_job *job, gw_arena *arena, int stage,
                             const gw_session_squares *squares) {
  size_t n = (size_t)job->model->n_parts + 1;
  int *before = gw_arena_alloc(arena, n, sizeof *before);
  int *after = gw_arena_alloc(arena, n, sizeof *after);
  measure *all = gw_arena_alloc(arena, squares->n_openings + squares->n_frames + 1, sizeof *all);
  if (before == NULL || after == NULL || all == NULL) return NULL;
  join_bodies(job, stage, before);
  join_bodies(job, stage + 1, after);
  bool gaps;
  int count = gather_measures(job, arena, squares, before, after, all, &gaps);
  if (count < 0) return NULL;
  if (count == 0 && !gaps && leans(job, stage)) return "see that every joint is closed all round";
  if (count == 0)
    return gaps ? "measure the gaps as in the dry fit, and try the corners with a square"
                : "try the corners with a square";
  qsort(all, (size_t)count, sizeof *all, by_size);
  const char *words = measures_words(job, arena, all, count);
  return words == NULL || !gaps || count > GW_SESSION_DIAGONALS
             ? words
             : gw_arena_printf(arena, "%s; the gaps as in the dry" HARD_SPACE "fit", words);
}

gw_status gw_session_squares_find(const gw_sheets_job *job, gw_session_squares *out) {
  *out = (gw_session_squares){0};
  GW_TRY(gw_square_openings(job->model, job->fit, &out->openings, &out->n_openings));
  gw_status status = gw_square_frames(job->model, job->fit, &out->frames, &out->n_frames);
  if (status != GW_OK) gw_session_squares_clear(out);
  return status;
}

void gw_session_squares_clear(gw_session_squares *squares) {
  free(squares->openings);
  free(squares->frames);
  *squares = (gw_session_squares){0};
}
