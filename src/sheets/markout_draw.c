/* markout_draw.c - layouts at full scale: each different one once, on as few pages as
 * they fill. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/markout_inner.h"
#include "sheets/picture_inner.h"
#include "sheets/session.h"

/* ---- words -------------------------------------------------------------------------- */

const char *gw_joints_words(gw_flow *flow, const gw_sheets_job *job, const int *joints, int count) {
  const char *words = count == 1 ? "joint" : "joints";
  for (int i = 0; i < count; ++i) {
    char number[GW_MARK_SHOWN];
    const char *link = i == 0 ? " " : i == count - 1 ? " and " : ", ";
    words = gw_flow_say(flow, "%s%s%s", words, link,
                        gw_mark_show(&job->marks->joints[joints[i]], number));
  }
  return words;
}

const char *gw_depth_sentence(gw_flow *flow, const gw_sheets_job *job, int joint) {
  const char *words = gw_session_sentence(flow->arena, gw_goes_in_words(job, flow->arena, joint));
  return gw_flow_say(flow, "%s.", gw_flow_text_or(flow, words));
}

/* "N into C", mitres "N to C", with hard spaces, so that no line ends in it. */
static const char *parts_words(gw_flow *flow, const gw_sheets_job *job, int joint) {
  const gw_model *m = job->model;
  const gw_joint *j = &m->joints[joint];
  int e = gw_joint_enters(m, j), r = gw_joint_receives(m, j);
  const char *link = gw_is_mitre(job, joint) ? "to" : "into";
  return gw_flow_say(flow, "%s" GW_HARD_SPACE "%s" GW_HARD_SPACE "%s", job->marks->parts[e].text,
                     link, job->marks->parts[r].text);
}

/* "Joints 5 and 8: through dovetail (N into C, N into K)"; of many the numbers alone. */
enum { PAIRS_MOST = 6 };
static const char *heading_words(gw_flow *flow, const gw_sheets_job *job, const int *joints,
                                 int count) {
  const char *parts = parts_words(flow, job, joints[0]);
  for (int i = 1; i < count; ++i)
    parts = gw_flow_say(flow, "%s, %s", parts, parts_words(flow, job, joints[i]));
  const char *which = gw_joints_words(flow, job, joints, count) + 1; /* after its small j */
  const char *kind = gw_kind_of(job->model->joints[joints[0]].kind)->words;
  if (count > PAIRS_MOST) return gw_flow_say(flow, "J%s: %s", which, kind);
  return gw_flow_say(flow, "J%s: %s (%s)", which, kind, parts);
}

static double heading_height(gw_flow *flow, const gw_sheets_job *job, const int *joints,
                             int count) {
  return 2 + gw_text_box_height(flow->doc, flow->body.w, GW_TYPE_BOLD(flow->bench),
                                heading_words(flow, job, joints, count));
}

double gw_layout_words_height(gw_flow *flow, const char *words) {
  return 1.5 + gw_text_box_height(flow->doc, flow->body.w, GW_TYPE(GW_LAYOUT_WORDS), words);
}

void gw_layout_words(gw_flow *flow, const char *words) {
  gw_flow_text(flow, GW_TYPE(GW_LAYOUT_WORDS), 0, words);
}

/* ---- each layout once --------------------------------------------------------------- */

gw_form gw_layout_form(const gw_sheets_job *job, int joint) {
  if (gw_tails_counted(job->model, job->fit, joint)) return GW_FORM_TAILS;
  if (gw_section_has(job, joint)) return GW_FORM_SECTION;
  return gw_plates_has(job, joint) ? GW_FORM_STRAIGHT : GW_FORM_NONE;
}

/* The joints of one drawing. */
typedef struct layout {
  gw_form form;
  const int *joints;
  int count;
  gw_layout_size full, half; /* with its heading: on the whole width, and on half of it */
  bool drawn;
} layout;

/* The white under the last drawing of a page may be missing. */
#define MAY_MISS (GW_LAYOUT_BELOW - 1)

static gw_layout_size size_of(gw_flow *flow, const gw_sheets_job *job, const layout *l) {
  double heading = heading_height(flow, job, l->joints, l->count);
  gw_layout_size size =
      l->form == GW_FORM_TAILS     ? gw_tails_size(flow, job, l->joints, l->count, heading)
      : l->form == GW_FORM_SECTION ? gw_section_size(flow, job, l->joints, l->count)
                                : gw_plates_size(flow, job, l->joints, l->count);
  size.high += heading;
  return size;
}

/* The left or the right half of the page; gw_flow's own body comes back after it. */
static gw_area half_of(const gw_flow *flow, bool right) {
  gw_area half = flow->body;
  half.w = (flow->body.w - GW_LAYOUT_APART) / 2;
  if (right) half.x += half.w + GW_LAYOUT_APART;
  return half;
}

static bool is_narrow(const gw_flow *flow, const layout *l) {
  return l->half.wide <= half_of(flow, false).w;
}

static gw_layout_size size_within(gw_flow *flow, const gw_sheets_job *job, const layout *l,
                                  double wide) {
  gw_area body = flow->body;
  flow->body.w = wide;
  gw_layout_size size = size_of(flow, job, l);
  flow->body = body;
  return size;
}

static void set_sizes(gw_flow *flow, const gw_sheets_job *job, layout *l) {
  l->full = size_of(flow, job, l);
  l->half = size_within(flow, job, l, half_of(flow, false).w);
}

/* Words that fill pages run on; other ones stand over what follows. */
static void draw_layout(gw_flow *flow, const gw_sheets_job *job, layout *l, double high) {
  l->drawn = true;
  double heading = heading_height(flow, job, l->joints, l->count);
  gw_flow_text(flow, GW_TYPE_BOLD(flow->bench), 0, heading_words(flow, job, l->joints, l->count));
  gw_flow_need(flow, high - MAY_MISS - heading);
  if (l->form == GW_FORM_TAILS) gw_tails_draw(flow, job, l->joints, l->count, heading);
  else if (l->form == GW_FORM_SECTION) gw_section_draw(flow, job, l->joints, l->count);
  else gw_plates_draw(flow, job, l->joints, l->count);
}

static bool same_layout(const gw_sheets_job *job, int a, int b) {
  const gw_seating *sa = &job->fit->seatings[a], *sb = &job->fit->seatings[b];
  gw_depths da = gw_goes_in(job, a), db = gw_goes_in(job, b);
  gw_form f = gw_layout_form(job, a);
  if (f != gw_layout_form(job, b) || job->model->joints[a].kind != job->model->joints[b].kind ||
      sa->style != sb->style || sa->count != sb->count || sa->slope != sb->slope)
    return false;
  const gw_len unlike[4] = {sa->depth_e - sb->depth_e, sa->depth_r - sb->depth_r, da.in - db.in,
                            da.deep - db.deep};
  for (int i = 0; i < 4; ++i)
    if (llabs(unlike[i]) >= GW_MM / 100) return false;
  if (f == GW_FORM_SECTION) return gw_section_alike(job, a, b);
  return f == GW_FORM_STRAIGHT ? gw_plates_alike(job, a, b) : gw_tails_alike(job, a, b);
}

int gw_layout_gather(const gw_sheets_job *job, int k, bool *done, int *same) {
  const gw_model *m = job->model;
  const int *walk = job->marks->joint_walk;
  int count = 0;
  for (int i = k; i < m->n_joints; ++i) {
    if (done[walk[i]] || gw_layout_form(job, walk[i]) == GW_FORM_NONE) continue;
    if (!same_layout(job, walk[k], walk[i])) continue;
    done[walk[i]] = true;
    same[count++] = walk[i];
  }
  return count;
}

static bool has_setting(const gw_strikes *list, int joint) {
  for (size_t i = 0; i < list->count; ++i)
    if (list->items[i].joint == joint && list->items[i].tool != GW_TOOL_LEAN) return true;
  return false;
}

static const char *rest_words(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list,
                              bool with_settings) {
  int *rest = gw_arena_alloc(flow->arena, (size_t)job->model->n_joints + 1, sizeof *rest);
  int count = 0;
  if (rest == NULL) return gw_flow_text_or(flow, NULL);
  for (int k = 0; k < job->model->n_joints; ++k) {
    int joint = job->marks->joint_walk[k];
    bool meets = gw_kind_of(job->model->joints[joint].kind)->seat == GW_FACE;
    if (gw_layout_form(job, joint) == GW_FORM_NONE &&
        (with_settings ? has_setting(list, joint) : meets && !has_setting(list, joint)))
      rest[count++] = joint;
  }
  if (count == 0) return "";
  const char *joints = gw_joints_words(flow, job, rest, count);
  if (with_settings)
    return gw_flow_say(flow, "For %s the settings give all; no drawing is needed.  ", joints);
  return gw_flow_say(flow, "J%s need%s no marking out: faces meet.", joints + 1,
                     count == 1 ? "s" : "");
}

/* Before the layouts, so that it does not stand on a page by itself. */
static void say_rest(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list) {
  const char *words = gw_flow_say(flow, "%s%s", rest_words(flow, job, list, true),
                                  rest_words(flow, job, list, false));
  if (words[0] == '\0') return;
  gw_flow_gap(flow, 2);
  gw_flow_text(flow, GW_TYPE(10), 0, words);
}

/* All different layouts: by form, then in the walk round the piece. */
static int list_layouts(gw_flow *flow, const gw_sheets_job *job, layout *out, int *joints,
                        bool *done) {
  const gw_model *m = job->model;
  int count = 0;
  for (int pass = GW_FORM_TAILS; pass <= GW_FORM_SECTION; ++pass)
    for (int k = 0; k < m->n_joints && !gw_doc_failed(flow->doc); ++k) {
      int joint = job->marks->joint_walk[k];
      if (done[joint] || (int)gw_layout_form(job, joint) != pass) continue;
      layout *l = &out[count++];
      *l = (layout){.form = (gw_form)pass, .joints = joints,
                    .count = gw_layout_gather(job, k, done, joints)};
      joints += l->count;
      set_sizes(flow, job, l);
    }
  return count;
}

/* ---- on pages ----------------------------------------------------------------------- */

/* The layouts begin on the page of the last settings where the first of them has
 * room there. */
static void begin(gw_flow *flow, double height) {
  gw_layouting *l = flow->data;
  if (!l->waits) return;
  l->waits = false;
  if (gw_flow_left(flow) < height + GW_LAYOUTS_HEAD) {
    gw_flow_page(flow);
    return;
  }
  gw_flow_heading(flow, "Layouts at full scale", GW_LAYOUTS_RULER);
  gw_layouts_key(flow);
}

static double room_left(const gw_flow *flow) {
  const gw_layouting *l = flow->data;
  return gw_flow_left(flow) - (l->waits ? GW_LAYOUTS_HEAD : 0);
}

/* A narrow one may be higher on half of the page than on all of it. */
static double least_high(const gw_flow *flow, const layout *l) {
  return (is_narrow(flow, l) ? fmin(l->full.high, l->half.high) : l->full.high) - MAY_MISS;
}

/* The first that has room on this page, so that small ones fill what tall ones
 * leave; else the first of all, which begins a page. */
static layout *next_layout(const gw_flow *flow, layout *list, int count) {
  layout *first = NULL;
  for (int i = 0; i < count; ++i) {
    if (list[i].drawn) continue;
    if (least_high(flow, &list[i]) <= room_left(flow)) return &list[i];
    if (first == NULL) first = &list[i];
  }
  return first;
}

/* The first narrow one that is no higher. */
static layout *next_narrow(const gw_flow *flow, layout *list, int count, double room) {
  for (int i = 0; i < count; ++i)
    if (!list[i].drawn && is_narrow(flow, &list[i]) && list[i].half.high - MAY_MISS <= room)
      return &list[i];
  return NULL;
}

/* Two columns of narrow ones, each next one under the shorter of them. */
static void draw_columns(gw_flow *flow, const gw_sheets_job *job, layout *first, layout *second,
                         layout *list, int count) {
  const gw_area body = flow->body, columns[2] = {half_of(flow, false), half_of(flow, true)};
  double top = flow->y, room = gw_flow_left(flow), used[2] = {0, 0};
  layout *next = first;
  first->drawn = second->drawn = true;
  for (int at = 0; next != NULL && !gw_doc_failed(flow->doc);) {
    flow->body = columns[at];
    flow->y = top + used[at];
    draw_layout(flow, job, next, next->half.high);
    used[at] += next->half.high;
    flow->body = body;
    next = next == first ? second : NULL;
    at = next != NULL ? 1 : used[1] < used[0];
    if (next == NULL) next = next_narrow(flow, list, count, room - used[at]);
    if (next == NULL) {
      at = 1 - at;
      next = next_narrow(flow, list, count, room - used[at]);
    }
  }
  flow->y = top + fmax(used[0], used[1]);
}

/* Two that have no room under each other, but beside each other: a narrow one and a wide one. */
typedef struct beside { layout *second; double wide, high; } beside;

static beside next_beside(gw_flow *flow, const gw_sheets_job *job, const layout *l, layout *list,
                          int count) {
  double room = gw_flow_left(flow) + MAY_MISS;
  for (int i = 0; i < count; ++i) {
    layout *other = &list[i];
    double spare = flow->body.w - l->full.wide - other->full.wide - GW_LAYOUT_APART;
    if (other->drawn || other == l || spare < 0 || l->full.high + other->full.high <= room) continue;
    double wide = l->full.wide + spare / 2;
    gw_layout_size a = size_within(flow, job, l, wide);
    gw_layout_size b = size_within(flow, job, other, other->full.wide + spare / 2);
    if (a.wide > wide || b.wide > other->full.wide + spare / 2) continue;
    if (fmax(a.high, b.high) <= room) return (beside){other, wide, fmax(a.high, b.high)};
  }
  return (beside){NULL, 0, 0};
}

static void draw_beside(gw_flow *flow, const gw_sheets_job *job, layout *l, const beside *b) {
  const gw_area body = flow->body;
  double top = flow->y;
  flow->body.w = b->wide;
  draw_layout(flow, job, l, b->high);
  flow->body.x += b->wide + GW_LAYOUT_APART;
  flow->body.w = body.w - b->wide - GW_LAYOUT_APART;
  flow->y = top;
  draw_layout(flow, job, b->second, b->high);
  flow->body = body;
  flow->y = top + b->high;
}

/* One layout, or two columns of narrow ones. */
static void draw_next(gw_flow *flow, const gw_sheets_job *job, layout *l, layout *list, int count) {
  double high = least_high(flow, l);
  begin(flow, high);
  gw_flow_need(flow, high);
  l->drawn = true;
  layout *second = NULL;
  if (is_narrow(flow, l) && l->half.high - MAY_MISS <= gw_flow_left(flow))
    second = next_narrow(flow, list, count, gw_flow_left(flow));
  l->drawn = false;
  beside pair = {NULL, 0, 0};
  if (second == NULL) pair = next_beside(flow, job, l, list, count);
  if (second != NULL)
    draw_columns(flow, job, l, second, list, count);
  else if (pair.second != NULL) draw_beside(flow, job, l, &pair);
  else draw_layout(flow, job, l, l->full.high);
}

gw_status gw_layouts_draw(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *strikes,
                          gw_flow_head_fn *head) {
  size_t room = (size_t)job->model->n_joints + 1;
  bool *done = gw_arena_alloc(flow->arena, room, sizeof *done);
  int *joints = gw_arena_alloc(flow->arena, room, sizeof *joints);
  layout *list = gw_arena_alloc(flow->arena, room, sizeof *list), *next;
  if (done == NULL || joints == NULL || list == NULL) return GW_NO_MEMORY;
  say_rest(flow, job, strikes);
  flow->head = head;
  int count = list_layouts(flow, job, list, joints, done);
  while (!gw_doc_failed(flow->doc) && (next = next_layout(flow, list, count)) != NULL)
    draw_next(flow, job, next, list, count);
  return GW_OK;
}
