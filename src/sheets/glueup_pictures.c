/* glueup_pictures.c - a picture of each join of a stage. */
#include <math.h>

#include "sheets/glueup_inner.h"
#include "sheets/picture.h"

#define ARROW "\xE2\x86\x92"

static const double CAPTION_LEAST = 10; /* points */

/* ---- drawings ------------------------------------------------------------------------- */

/* The line of the list in which a join is brought together, from 1. */
static int line_of(const gw_stage *stage, int join) {
  for (int i = 0; i < stage->n_steps; ++i)
    if (stage->steps[i].action == GW_BRING && stage->steps[i].join == join) return i + 1;
  return 0;
}

/* Of more parts than PARTS_IN_PICTURE only those round the join are drawn: the
 * whole would be too small to find them in it.  In a picture of more parts than
 * ALL_LETTERED only those that meet have their letters. */
enum { PARTS_IN_PICTURE = 24, ALL_LETTERED = 8 };

/* What a picture of a join shows; arrays for each part of the model. */
typedef struct scenery {
  int *parts, count;
  bool *meets;  /* has a joint of this join, or is brought without one */
  bool *beside; /* has a joint with one of those */
  bool *lettered; /* meets; of a group that slides in, what is seen of it when it is in */
} scenery;

/* A group that is met is shown whole, and one that is not met and lies there dry, as a
 * drawer does, not at all. */
static void find_near(const gw_model *m, const gw_join *j, scenery *s) {
  for (int i = 0; i < j->n_joints; ++i) {
    const gw_joint *joint = &m->joints[j->joints[i]];
    s->meets[gw_joint_enters(m, joint)] = s->meets[gw_joint_receives(m, joint)] = true;
  }
  for (int i = 0; i < j->n_moving && j->n_joints == 0; ++i) s->meets[j->moving[i]] = true;
  for (int i = 0; i < m->n_joints; ++i) {
    int a = gw_joint_enters(m, &m->joints[i]), b = gw_joint_receives(m, &m->joints[i]);
    if (!m->joints[i].glued && m->parts[a].group != m->parts[b].group) continue;
    if (s->meets[a]) s->beside[b] = true;
    if (s->meets[b]) s->beside[a] = true;
  }
  for (int i = 0; i < m->n_parts; ++i)
    for (int k = 0; k < m->n_parts && m->parts[i].group >= 0; ++k)
      if (s->meets[k] && m->parts[k].group == m->parts[i].group) s->beside[i] = true;
}

/* Of a group that slides in, the part that comes last: a drawer's front. */
static int last_in(const gw_sheets_job *job, const gw_join *j) {
  int axis = j->way.c[GW_X] != 0 ? GW_X : GW_Y, last = j->moving[0];
  for (int i = 1; i < j->n_moving; ++i) {
    const gw_box box = gw_fit_around(job->fit, j->moving[i]);
    const gw_box best = gw_fit_around(job->fit, last);
    bool behind = j->way.c[axis] > 0 ? box.hi[axis] < best.hi[axis] : box.lo[axis] > best.lo[axis];
    if (behind) last = j->moving[i];
  }
  return last;
}

static void find_lettered(glueing *g, int join, scenery *s) {
  const gw_join *j = &g->job->order->joins[join];
  bool slides = gw_session_slides(g->job, join);
  for (int i = 0; i < g->job->model->n_parts; ++i) s->lettered[i] = s->meets[i] && !slides;
  if (slides) s->lettered[last_in(g->job, j)] = true;
}

static bool set_scenery(glueing *g, int join, scenery *s) {
  const gw_model *m = g->job->model;
  const gw_join *j = &g->job->order->joins[join];
  int whole = j->n_moving + j->n_onto;
  s->parts = gw_arena_alloc(g->flow.arena, (size_t)whole + 1, sizeof *s->parts);
  s->meets = gw_arena_alloc(g->flow.arena, (size_t)m->n_parts + 1, sizeof *s->meets);
  s->beside = gw_arena_alloc(g->flow.arena, (size_t)m->n_parts + 1, sizeof *s->beside);
  s->lettered = gw_arena_alloc(g->flow.arena, (size_t)m->n_parts + 1, sizeof *s->lettered);
  if (s->parts == NULL || s->meets == NULL || s->beside == NULL || s->lettered == NULL) {
    g->flow.no_memory = true;
    return false;
  }
  find_near(m, j, s);
  find_lettered(g, join, s);
  bool all = whole <= PARTS_IN_PICTURE || g->use == NULL;
  for (int i = 0; i < whole; ++i) {
    int part = i < j->n_onto ? j->onto[i] : j->moving[i - j->n_onto];
    if (all || s->meets[part] || s->beside[part]) s->parts[s->count++] = part;
  }
  return true;
}

/* How much the captions of a row say: all that the line does; that without the joints,
 * whose numbers are in the picture; no more that only what is near is drawn; only what
 * is moved; only the line's number. */
typedef enum caption_form { WHOLE, SIDES, NO_NEAR, MOVED, NUMBER } caption_form;

static bool part_of_it(glueing *g, int join) {
  const gw_join *j = &g->job->order->joins[join];
  scenery s = {.count = 0};
  return set_scenery(g, join, &s) && s.count < j->n_moving + j->n_onto;
}

static const char *caption_words(glueing *g, int join, caption_form form) {
  int line = line_of(g->stage, join), group = gw_session_group(g->job, join);
  const char *where = OR(g, gw_session_opening(g->job, g->flow.arena, join)), *moving, *onto;
  if (where[0] != '\0') /* the runners cannot be seen, and the opening can */
    return SAY(g, "Line %d: %s, %s", line, g->job->model->groups[group].name, where);
  if (form == NUMBER) return SAY(g, "Line %d", line);
  const char *near = form <= SIDES && part_of_it(g, join) ? ", and what is near" : "";
  if (form == WHOLE)
    return SAY(g, "Line %d: %s%s", line,
               OR(g, gw_session_join_action(g->job, g->flow.arena, join)), near);
  if (!gw_session_join_sides(g->job, g->flow.arena, join, &moving, &onto)) {
    g->flow.no_memory = true;
    return "";
  }
  if (form == MOVED) return SAY(g, "Line %d: %s", line, moving);
  return SAY(g, "Line %d: %s " ARROW " %s%s", line, moving, onto, near);
}

/* What fits the width for each of the pictures, in one form and one size for all. */
typedef struct captions {
  caption_form form;
  gw_type type;
} captions;

static captions choose_captions(glueing *g, const int *joins, int count, double width) {
  gw_type type = GW_TYPE_BOLD(g->flow.bench);
  for (int form = WHOLE; form < NUMBER; ++form) {
    double widest = 0, least = form == WHOLE ? type.size : CAPTION_LEAST;
    for (int i = 0; i < count; ++i) {
      const char *words = caption_words(g, joins[i], (caption_form)form);
      widest = fmax(widest, gw_text_width(g->flow.doc, type, words));
    }
    double size = widest > width ? type.size * width / widest : type.size;
    if (size >= least) return (captions){(caption_form)form, GW_TYPE_BOLD(size)};
  }
  return (captions){NUMBER, type};
}

static void draw_join(glueing *g, gw_area area, int join, const captions *said) {
  const gw_join *j = &g->job->order->joins[join];
  scenery s = {.count = 0};
  if (!set_scenery(g, join, &s)) return;
  gw_picture picture = {.parts = s.parts, .n_parts = s.count, .moved = j->moving,
                        .n_moved = j->n_moving, .way = j->way, .letters = true,
                        .lettered = s.count > ALL_LETTERED ? s.lettered : NULL,
                        .joints = j->joints, .n_joints = j->n_joints};
  if (gw_session_slides(g->job, join)) picture.n_joints = 0; /* all hidden on its runners */
  double caption = gw_line_height(GW_TYPE_BOLD(g->flow.bench));
  gw_text_fit(g->flow.page, area.x, area.y + gw_flow_first_baseline(said->type), area.w,
              said->type, CAPTION_LEAST, GW_ALIGN_LEFT,
              caption_words(g, join, said->form));
  gw_picture_draw(g->flow.page, (gw_area){area.x, area.y + caption, area.w, area.h - caption},
                  g->job, &picture);
}

static const double PICTURE_W = 56, PICTURE_H = 57, /* the least that is worth while */
                    RICH_W = 76, RICH_H = 72,       /* where many marks stand in a picture */
                    PICTURE_MOST = 120;
enum { RICH = 13 };

/* Whether one of the pictures has many marks: a letter on each part, a number
 * on each half. */
static bool is_rich(const glueing *g, const int *joins, int count) {
  for (int i = 0; i < count; ++i) {
    const gw_join *j = &g->job->order->joins[joins[i]];
    int parts = j->n_moving + j->n_onto, letters = 2 * j->n_joints;
    if (parts <= ALL_LETTERED || parts < letters) letters = parts;
    if (letters + 2 * j->n_joints > RICH) return true;
  }
  return false;
}

/* Columns that make `count` pictures largest in the area, or 0. */
static int best_columns(const glueing *g, double height, int count, bool rich, double *size) {
  double width = g->flow.body.w, least_w = rich ? RICH_W : PICTURE_W;
  double least_h = rich ? RICH_H : PICTURE_H;
  int best = 0;
  *size = 0;
  for (int columns = 1; columns <= 4; ++columns) {
    int rows = (count + columns - 1) / columns;
    double w = width / columns, h = height / rows;
    double fits = w < h * 1.25 ? w : h * 1.25;
    if (w < least_w || h < least_h || fits <= *size) continue;
    *size = fits;
    best = columns;
  }
  return best;
}

/* How many pictures a fresh page has room for. */
static int most_on_page(const glueing *g, double height, int count, bool rich) {
  double size;
  while (count > 1 && best_columns(g, height, count, rich, &size) == 0) --count;
  return count;
}

static void draw_grid(glueing *g, const int *joins, int from, int to, int columns, double height,
                      bool rich) {
  gw_flow *flow = &g->flow;
  int rows = (to - from + columns - 1) / columns;
  double w = flow->body.w / columns, h = height / rows;
  double most = w < PICTURE_MOST || rich ? w : PICTURE_MOST;
  if (h > most) h = most; /* no taller than wide: white there helps no one */
  const captions said = choose_captions(g, joins + from, to - from, w - GW_GLUEUP_GAP);
  for (int i = from; i < to; ++i) {
    int n = i - from;
    gw_area area = {flow->body.x + w * (n % columns), flow->y + h * (n / columns),
                    w - GW_GLUEUP_GAP, h - GW_GLUEUP_GAP};
    draw_join(g, area, joins[i], &said);
  }
  flow->y += h * rows;
}

/* The joins in the order of their lines. */
static int *joins_by_line(glueing *g, int *count) {
  int *joins = gw_arena_alloc(g->flow.arena, (size_t)g->stage->n_steps + 1, sizeof *joins);
  *count = 0;
  if (joins == NULL) g->flow.no_memory = true;
  for (int i = 0; joins != NULL && i < g->stage->n_steps; ++i)
    if (g->stage->steps[i].action == GW_BRING) joins[(*count)++] = g->stage->steps[i].join;
  return joins;
}

double gw_glueup_pictures_least(glueing *g) {
  int count;
  const int *joins = joins_by_line(g, &count);
  if (!g->job->fit->placed || count == 0) return 0;
  bool rich = is_rich(g, joins, count);
  double least = rich ? RICH_H : PICTURE_H, size;
  int columns = (int)(g->flow.body.w / (rich ? RICH_W : PICTURE_W));
  if (columns > count) columns = count;
  double height = least * ((count + columns - 1) / columns);
  return best_columns(g, height, count, rich, &size) > 0 ? height : 0;
}

void gw_glueup_pictures(glueing *g, double most_h, double below) {
  gw_flow *flow = &g->flow;
  double size, height = most_h > 0 ? most_h : gw_flow_left(flow) - below;
  int count;
  const int *joins = joins_by_line(g, &count);
  if (!g->job->fit->placed || count == 0) return;
  bool rich = is_rich(g, joins, count);
  int columns = best_columns(g, height, count, rich, &size);
  if (columns > 0) {
    draw_grid(g, joins, 0, count, columns, height, rich);
    return;
  }
  /* A page of which little is used is as good as a new one. */
  if (gw_flow_left(flow) < 0.6 * (flow->body.y + flow->body.h - flow->fresh_y)) gw_flow_page(flow);
  int most = most_on_page(g, gw_flow_left(flow) - below, count, rich);
  int pages = (count + most - 1) / most;
  for (int from = 0; from < count; --pages) { /* as many on each */
    int to = from + (count - from + pages - 1) / pages;
    if (from > 0) gw_flow_page(flow);
    height = gw_flow_left(flow) - below;
    columns = best_columns(g, height, to - from, rich, &size);
    draw_grid(g, joins, from, to, columns > 0 ? columns : 1, height, rich);
    from = to;
  }
}
