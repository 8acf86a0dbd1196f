/* markout.c - marking-out.pdf: all that is struck with one setting before it is
 * changed, then the layouts at full scale. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/markout_inner.h"
#include "sheets/session.h"

#define ROW_GAP 1.0
#define ROW_WORDS 10.5 /* size of their type, points */
#define WHOLE_SETTING 45.0 /* what is no higher keeps to one page, mm */
#define COLUMN_GAP 2.5 /* right of letters and of numbers, mm */
#define LETTERS_MOST 21.0
#define NUMBERS_LEAST 14.0 /* narrowest and widest limit of their column, and its steps */
#define NUMBERS_MOST 50.0
#define NUMBERS_STEP 4.0
#define NAMES_MOST 40  /* letters of names before the words of a row */

/* ---- the settings ------------------------------------------------------------------- */

/* What is struck alike with one setting: on one part, or on like parts where no number
 * must be told from another. */
typedef struct row {
  const gw_strike **items; /* by joint */
  size_t count;
  int part;                /* the last that was added */
  const char *letters, *names, *joints, *words, *sides; /* names: "" when too many */
  double of_letters, of_joints, of_words, high; /* mm */
  bool by_itself;          /* with more letters than their column holds: numbers on the
                            * line of the letters, or under them, and then the words */
  double joints_x;         /* then: from the left, mm; 0 when they stand under the letters */
} row;

/* A setting's rows, and the columns of all settings. */
typedef struct rows {
  row *items;
  size_t count;
  size_t from; /* the first of its strikes */
} rows;

typedef struct settings {
  rows *items;
  size_t count;
} settings;

typedef struct columns { double letters, joints; } columns; /* mm */

static size_t setting_end(const gw_strikes *list, size_t from) {
  size_t to = from + 1;
  while (to < list->count && gw_strikes_same_setting(&list->items[from], &list->items[to])) ++to;
  return to;
}

/* Strikes of one part with the same words stand in one row. */
static size_t row_end(const gw_strikes *list, size_t from, size_t end) {
  size_t to = from + 1;
  while (to < end && list->items[to].part == list->items[from].part &&
         strcmp(list->items[to].words, list->items[from].words) == 0)
    ++to;
  return to;
}

/* Whether strike k of a row is counted: of each joint the first, and, where `side` is
 * given, of those from that side. */
static bool counts(const row *r, size_t k, const char *side) {
  if (side != NULL && strcmp(r->items[k]->from, side) != 0) return false;
  for (size_t i = 0; i < k; ++i)
    if (r->items[i]->joint == r->items[k]->joint &&
        (side == NULL || strcmp(r->items[i]->from, side) == 0))
      return false;
  return r->items[k]->joint >= 0;
}

/* "5, 8, 12", in the walk round the piece. */
static const char *numbers(gw_flow *flow, const gw_sheets_job *job, const row *r,
                           const char *side) {
  const char *words = "";
  for (size_t k = 0; k < r->count; ++k) {
    char number[GW_MARK_SHOWN];
    if (!counts(r, k, side)) continue;
    words = gw_flow_say(flow, "%s%s%s", words, words[0] != '\0' ? ", " : "",
                        gw_mark_show(&job->marks->joints[r->items[k]->joint], number));
  }
  return words;
}

static bool new_side(const row *r, size_t k) {
  for (size_t i = 0; i < k; ++i)
    if (strcmp(r->items[i]->from, r->items[k]->from) == 0) return false;
  return r->items[k]->from[0] != '\0';
}

/* Whether all strikes are from an end, and there are two of these. */
static bool from_both_ends(const row *r) {
  size_t found = 0;
  for (size_t k = 0; k < r->count; ++k) {
    const char *from = r->items[k]->from;
    size_t length = strlen(from);
    if (length < 4 || strcmp(from + length - 4, " end") != 0) return false;
    found += new_side(r, k);
  }
  return found == 2;
}

/* ", from the face edge (5, 8) and the far edge (7)".  Numbers are left out where
 * they are those of the whole row. */
static const char *sides(gw_flow *flow, const gw_sheets_job *job, const row *r) {
  const char *words = "", *all = numbers(flow, job, r, NULL);
  size_t left = 0;
  if (from_both_ends(r)) return gw_flow_say(flow, ", %s both ends", r->items[0]->link);
  for (size_t k = 0; k < r->count; ++k) left += new_side(r, k);
  for (size_t k = 0; k < r->count; ++k) {
    if (!new_side(r, k)) continue;
    const char *these = numbers(flow, job, r, r->items[k]->from);
    const char *link = words[0] == '\0' ? gw_flow_say(flow, ", %s ", r->items[k]->link)
                       : left == 1 ? " and " : ", ";
    --left;
    words = gw_flow_say(flow, "%s%s%s", words, link, r->items[k]->from);
    if (strcmp(these, all) != 0) words = gw_flow_say(flow, "%s (%s)", words, these);
  }
  return words;
}

/* Spaces that no line may end at: before "side", "edge", "end" and numbers in brackets,
 * and between the last two words. */
static const char *held_together(gw_flow *flow, const char *words) {
  static const char *const before[] = {"side", "edge", "end", "("};
  size_t size = strlen(words), used = 0;
  char *out = gw_arena_alloc(flow->arena, 2 * size + 1, 1);
  const char *last = strrchr(words, ' ');
  if (out == NULL) return gw_flow_text_or(flow, NULL);
  for (const char *at = words; *at != '\0'; ++at) {
    bool hold = at == last;
    for (size_t i = 0; *at == ' ' && i < sizeof before / sizeof *before; ++i)
      hold = hold || strncmp(at + 1, before[i], strlen(before[i])) == 0;
    if (*at == ' ' && hold) {
      memcpy(out + used, GW_HARD_SPACE, 2);
      used += 2;
    } else out[used++] = *at;
  }
  out[used] = '\0';
  return out;
}

static row row_of(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list, size_t from,
                  size_t to) {
  const gw_strike *s = &list->items[from];
  const gw_part *p = &job->model->parts[s->part];
  row r = {.count = to - from, .part = s->part, .letters = job->marks->parts[s->part].text,
           .names = p->name != NULL ? p->name : p->id, .words = s->words};
  r.items = gw_arena_alloc(flow->arena, r.count, sizeof *r.items);
  if (r.items == NULL) {
    flow->no_memory = true;
    r.count = 0;
  }
  for (size_t i = 0; i < r.count; ++i) r.items[i] = &list->items[from + i];
  r.sides = sides(flow, job, &r);
  return r;
}

/* Like rows of two parts are one, but where numbers tell sides apart. */
static bool are_alike(const row *a, const row *b) {
  return a->count > 0 && b->count > 0 && strcmp(a->words, b->words) == 0 &&
         strcmp(a->sides, b->sides) == 0 && strchr(a->sides, '(') == NULL;
}

static int by_joint(const void *left, const void *right) {
  const gw_strike *a = *(const gw_strike *const *)left, *b = *(const gw_strike *const *)right;
  if (a->joint_at != b->joint_at) return a->joint_at < b->joint_at ? -1 : 1;
  if (a->part_at != b->part_at) return a->part_at < b->part_at ? -1 : 1;
  return strcmp(a->from, b->from);
}

static bool has_name(const char *names, const char *name) {
  size_t length = strlen(name);
  for (const char *at = names; (at = strstr(at, name)) != NULL; at += length)
    if ((at == names || at[-1] == ' ') && (at[length] == '\0' || at[length] == ',')) return true;
  return false;
}

static void add_row(gw_flow *flow, row *to, const row *more) {
  size_t count = to->count + more->count;
  const gw_strike **items = gw_arena_alloc(flow->arena, count, sizeof *items);
  if (items == NULL) {
    flow->no_memory = true;
    return;
  }
  memcpy(items, to->items, to->count * sizeof *items);
  memcpy(items + to->count, more->items, more->count * sizeof *items);
  qsort(items, count, sizeof *items, by_joint);
  to->items = items;
  to->count = count;
  if (more->part != to->part) {
    to->letters = gw_flow_say(flow, "%s %s", to->letters, more->letters);
    if (!has_name(to->names, more->names))
      to->names = gw_flow_say(flow, "%s, %s", to->names, more->names);
    to->part = more->part;
  }
}

/* All that stands in the third column. */
static void set_words(gw_flow *flow, row *r) {
  bool named = strlen(r->names) <= NAMES_MOST || strchr(r->names, ',') == NULL;
  const char *words = gw_flow_say(flow, "%s%s", r->words, r->sides);
  words = named ? gw_flow_say(flow, "%s: %s", r->names, words)
                : gw_flow_text_or(flow, gw_session_sentence(flow->arena, words));
  r->words = held_together(flow, words);
}

static rows rows_of(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list, size_t from,
                    size_t to) {
  rows out = {gw_arena_alloc(flow->arena, to - from, sizeof *out.items), 0, from};
  if (out.items == NULL) {
    flow->no_memory = true;
    return out;
  }
  for (size_t i = from; i < to; i = row_end(list, i, to)) {
    row r = row_of(flow, job, list, i, row_end(list, i, to));
    size_t k = 0;
    while (k < out.count && !are_alike(&out.items[k], &r)) ++k;
    if (k < out.count) add_row(flow, &out.items[k], &r);
    else out.items[out.count++] = r;
  }
  for (size_t k = 0; k < out.count; ++k) {
    out.items[k].joints = numbers(flow, job, &out.items[k], NULL);
    set_words(flow, &out.items[k]);
  }
  return out;
}

static settings settings_of(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list) {
  settings out = {gw_arena_alloc(flow->arena, list->count + 1, sizeof *out.items), 0};
  if (out.items == NULL) {
    flow->no_memory = true;
    return out;
  }
  for (size_t i = 0; i < list->count && !gw_doc_failed(flow->doc); i = setting_end(list, i))
    out.items[out.count++] = rows_of(flow, job, list, i, setting_end(list, i));
  return out;
}

/* ---- their columns ------------------------------------------------------------------ */

static double wide_of(gw_flow *flow, const char *text) {
  return gw_text_width(flow->doc, GW_TYPE_BOLD(flow->bench), text) + COLUMN_GAP + 0.1;
}

static void set_by_itself(gw_flow *flow, row *r) {
  gw_type bold = GW_TYPE_BOLD(flow->bench);
  double letters = wide_of(flow, r->letters) + COLUMN_GAP;
  if (letters + wide_of(flow, r->joints) <= flow->body.w) r->joints_x = letters;
  r->of_letters = gw_text_box_height(flow->doc, flow->body.w, bold, r->letters);
  r->of_joints = gw_text_box_height(flow->doc, flow->body.w - r->joints_x, bold, r->joints);
  r->high = r->of_letters + (r->joints_x > 0 ? 0 : r->of_joints) + r->of_words;
}

static void set_height(gw_flow *flow, row *r, const columns *c) {
  gw_type bold = GW_TYPE_BOLD(flow->bench);
  double wide = flow->body.w - c->letters - c->joints;
  r->of_words = gw_text_box_height(flow->doc, wide, GW_TYPE(ROW_WORDS), r->words);
  r->by_itself = wide_of(flow, r->letters) > c->letters + (r->joints[0] == '\0' ? c->joints : 0);
  if (r->by_itself) set_by_itself(flow, r);
  else {
    r->of_letters = gw_line_height(bold);
    r->of_joints = gw_text_box_height(flow->doc, c->joints - COLUMN_GAP, bold, r->joints);
    r->high = fmax(r->of_letters, fmax(r->of_words, r->of_joints));
  }
  r->high += ROW_GAP;
}

/* The heights of all rows; their sum. */
static double set_heights(gw_flow *flow, const settings *all, const columns *c) {
  double high = 0;
  for (size_t i = 0; i < all->count; ++i)
    for (size_t k = 0; k < all->items[i].count; ++k) {
      set_height(flow, &all->items[i].items[k], c);
      high += all->items[i].items[k].high;
    }
  return high;
}

/* As wide as what stands in them, up to a limit: numbers then run on in a second line, and
 * rows of many letters have lines of their own for both. */
static columns columns_within(gw_flow *flow, const settings *all, double most) {
  columns c = {9, 9};
  for (size_t i = 0; i < all->count; ++i)
    for (size_t k = 0; k < all->items[i].count; ++k) {
      const row *r = &all->items[i].items[k];
      double letters = wide_of(flow, r->letters);
      if (letters > LETTERS_MOST) continue;
      c.letters = fmax(c.letters, letters);
      c.joints = fmax(c.joints, fmin(wide_of(flow, r->joints), most));
    }
  return c;
}

/* With the limit that takes the least height, and sets that of all rows. */
static columns columns_of(gw_flow *flow, const settings *all) {
  columns best = columns_within(flow, all, NUMBERS_LEAST);
  double least = set_heights(flow, all, &best);
  for (double most = NUMBERS_LEAST; most < NUMBERS_MOST;) {
    columns c = columns_within(flow, all, most += NUMBERS_STEP);
    if (c.joints <= best.joints) continue;
    double high = set_heights(flow, all, &c);
    if (high >= least - 0.01) continue;
    best = c;
    least = high;
  }
  set_heights(flow, all, &best);
  return best;
}

static void put(gw_flow *flow, double x, double y, double wide, double high, gw_type type,
                const char *text) {
  gw_text_box(flow->page, (gw_area){x, y, wide, high + 0.01}, type, GW_ALIGN_LEFT, text);
}

static void draw_row_by_itself(gw_flow *flow, const row *r, double of_words) {
  gw_type bold = GW_TYPE_BOLD(flow->bench);
  double x = flow->body.x, w = flow->body.w, under = flow->y + r->of_letters;
  put(flow, x, flow->y, w, r->of_letters, bold, r->letters);
  put(flow, x + r->joints_x, r->joints_x > 0 ? flow->y : under, w - r->joints_x, r->of_joints, bold,
      r->joints);
  if (r->joints_x <= 0) under += r->of_joints;
  put(flow, x + of_words, under, w - of_words, r->of_words, GW_TYPE(ROW_WORDS), r->words);
  flow->y += r->high;
}

static void draw_row(gw_flow *flow, const row *r, const columns *c) {
  gw_type bold = GW_TYPE_BOLD(flow->bench), type = GW_TYPE(ROW_WORDS);
  double x = flow->body.x, base = flow->y + gw_flow_first_baseline(bold);
  double of_words = c->letters + c->joints;
  if (r->by_itself) {
    draw_row_by_itself(flow, r, of_words);
    return;
  }
  put(flow, x, flow->y, of_words, r->of_letters, bold, r->letters);
  put(flow, x + c->letters, flow->y, c->joints - COLUMN_GAP, r->of_joints, bold, r->joints);
  double lower = base - gw_flow_first_baseline(type); /* on the same baseline */
  if (lower + r->of_words > flow->y + r->high) lower = flow->y;
  put(flow, x + of_words, lower, flow->body.w - of_words, r->of_words, type, r->words);
  flow->y += r->high;
}

static const char *tool_words(gw_tool tool) {
  static const char *const words[GW_TOOLS] = {
      [GW_TOOL_GAUGE] = "With the marking gauge",
      [GW_TOOL_MORTISE] = "With the mortise gauge",
      [GW_TOOL_PLOUGH] = "With the plough",
      [GW_TOOL_DEPTH] = "Depths",
      [GW_TOOL_BEVEL] = "With the sliding bevel",
      [GW_TOOL_LEAN] = "With the sliding bevel: what leans, before all else",
      [GW_TOOL_RULE] = "With the rule or the story stick"};
  return words[tool];
}

static double heights(const rows *all, size_t from, size_t to) {
  double high = 0;
  for (size_t k = from; k < to && k < all->count; ++k) high += all->items[k].high;
  return high;
}

/* What a setting wants on its first page: all of it, or its first rows, so many that no
 * row is torn from a second one that stays alone. */
static double setting_height(gw_flow *flow, const rows *all) {
  double high = heights(all, 0, all->count);
  bool whole = high <= WHOLE_SETTING || all->count <= 3;
  return gw_line_height(GW_TYPE_BOLD(flow->bench)) + 2.2 + (whole ? high : heights(all, 0, 2));
}

/* Rows that run over a page stand under their setting again, two at the least. */
static void draw_setting(gw_flow *flow, const char *setting, const rows *all, const columns *c) {
  gw_type type = GW_TYPE_BOLD(flow->bench);
  gw_flow_need(flow, setting_height(flow, all));
  gw_flow_tick(flow, type, setting);
  for (size_t k = 0; k < all->count; ++k) {
    size_t with = k + 2 == all->count && k > 1 ? k + 2 : k + 1;
    if (gw_flow_left(flow) < heights(all, k, with) && k > 0) {
      gw_flow_page(flow);
      gw_flow_tick(flow, type, gw_flow_say(flow, "%s, continued", setting));
    }
    draw_row(flow, &all->items[k], c);
  }
  gw_flow_gap(flow, 2.5);
}

static const char WALLS[] = "Where both walls are given, the second is struck from the part that goes in.";

/* Under the heading of the rule, where a row speaks of both walls of a joint. */
static bool has_walls(const gw_strikes *list, size_t from) {
  for (size_t i = from; i < list->count; ++i)
    if (list->items[i].tool == GW_TOOL_RULE && strstr(list->items[i].words, "both walls") != NULL)
      return true;
  return false;
}

static void draw_heading(gw_flow *flow, const gw_strikes *list, size_t from, double follows) {
  gw_tool tool = list->items[from].tool;
  bool walls = tool == GW_TOOL_RULE && has_walls(list, from);
  if (walls)
    follows += gw_text_box_height(flow->doc, flow->body.w, GW_TYPE(ROW_WORDS), WALLS) + 1.2;
  gw_flow_heading(flow, tool_words(tool), follows);
  if (walls) gw_flow_text(flow, GW_TYPE(ROW_WORDS), 0, WALLS);
}

static void draw_settings(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list) {
  int tool = -1;
  char setting[160];
  settings all = settings_of(flow, job, list);
  columns c = columns_of(flow, &all);
  for (size_t i = 0; i < all.count && !gw_doc_failed(flow->doc); ++i) {
    const gw_strike *first = &list->items[all.items[i].from];
    gw_strike_setting(job, first, setting, sizeof setting);
    if ((int)first->tool != tool)
      draw_heading(flow, list, all.items[i].from, setting_height(flow, &all.items[i]) + 1);
    tool = (int)first->tool;
    draw_setting(flow, setting, &all.items[i], &c);
  }
}

/* ---- the sheet ---------------------------------------------------------------------- */

static const char INTRO[] =
    "Each setting is used everywhere before it is changed: do all its rows, then tick it.  "
    "Sides or faces are the broad surfaces, edges the narrow ones; the far side and the far edge "
    "are those opposite to the face side and the face edge.  "
    "A bar under a number means: this is the bottom.";

/* `data`: whether this is the first page. */
static void settings_head(gw_flow *flow, void *data) {
  bool *first = data;
  gw_flow_title(flow, *first ? "Marking out: settings" : "Marking out: settings, continued", "",
                "");
  *first = false;
}

/* Each page of layouts has its own line of 100 mm. */
static void layouts_head(gw_flow *flow, void *data) {
  (void)data;
  gw_flow_title(flow, "Marking out: layouts at full scale", "", "");
  gw_layouts_key(flow);
}

static void say_what_is_missing(gw_flow *flow, const gw_sheets_job *job) {
  if (job->fit->placed) return;
  gw_flow_text(flow, GW_TYPE_BOLD(10.5), 0,
               "The parts have no places yet: what depends on them is left out.");
}

static gw_status draw(gw_flow *flow, const gw_sheets_job *job, const gw_strikes *list) {
  char copies[96];
  bool first = true;
  flow->head = settings_head;
  flow->data = &first;
  gw_flow_page(flow);
  if (list->count > 0) gw_flow_text(flow, GW_TYPE(10.5), 0, INTRO);
  if (job->model->copies > 1 && list->count > 0) {
    snprintf(copies, sizeof copies, "%d copies are made: do each row on %s.",
             job->model->copies, job->model->copies == 2 ? "both" : "all of them");
    gw_flow_text(flow, GW_TYPE_BOLD(10.5), 0, copies);
  }
  say_what_is_missing(flow, job);
  draw_settings(flow, job, list);
  if (list->count == 0)
    gw_flow_text(flow, GW_TYPE(10.5), 0, "No joint of this piece is struck with a setting.");
  gw_layouting layouting = {.waits = true, .list = list};
  flow->data = &layouting;
  gw_status status = gw_layouts_draw(flow, job, list, layouts_head);
  flow->data = NULL;
  return status;
}

gw_status gw_sheets_mark_out(const gw_sheets_job *job, const char *path, gw_error *err) {
  gw_error own = {GW_OK, ""};
  gw_flow flow;
  gw_strikes list = {0};
  if (err == NULL) err = &own;
  gw_doc *doc = gw_sheets_open(job, "Marking out", err);
  if (doc == NULL) return err->status;
  gw_status status = GW_NO_MEMORY;
  if (gw_flow_begin(&flow, doc, "Marking out")) {
    status = gw_strikes_make(job, flow.arena, &list);
    if (status == GW_OK) status = draw(&flow, job, &list);
    gw_status ended = gw_flow_end(&flow);
    if (status == GW_OK) status = ended;
  }
  free(list.items);
  if (status == GW_OK) status = gw_doc_save(doc, path, err);
  else gw_fail(err, status, "memory is short");
  gw_doc_free(doc);
  return status;
}
