/* What to say of a loop that does not close: the way round it, by how much it
 * misses, and which single size would put it right.
 *
 * How a size enters the loop is found by trying: it is made a little larger,
 * the joints of the loop are seated again, and the change of the sum is its
 * sign and share.  So a new kind of joint needs nothing here. */
#include <stdlib.h>
#include <string.h>

#include "fit/asmade.h"
#include "fit/fit.h"

enum { MAX_NAMED = 6, MAX_CANDIDATES = 256 };

/* A size of the project that a loop may hang on. */
typedef struct dimension {
  int part, half;   /* half: -1 when it is the part's own */
  int which;        /* part: axis; half: see half_field() */
  gw_len value;
  gw_len wanted;
  int votes, rounder; /* see likely() */
} dimension;

/* A copy of the model whose sizes can be changed. */
typedef struct trial {
  gw_model m;
  const gw_model *real;
  const gw_fit_loop *loop;
  gw_findings *silent;
  gw_arena *arena;
  int *first, *next; /* the steps at each part; see chain_steps */
  gw_fit whole;      /* where parts lean; see room_leaning */
  gw_len room;       /* round the loop as it is, and whether heights close then */
  bool stands;
} trial;

/* ---- the sum round the loop ------------------------------------------------------- */

static gw_len plane_at(const gw_part *part, int axis, gw_ref ref) {
  return ref == GW_REF_LOW ? 0 : ref == GW_REF_HIGH ? part->size[axis] : part->size[axis] / 2;
}

/* What step i adds to the room round the loop, by what its joint says. */
static void add_room(const trial *t, int i, const gw_bound *b, gw_len *room) {
  const gw_fit_loop *loop = t->loop;
  const gw_joint *joint = &t->m.joints[loop->joints[i]];
  gw_len e = plane_at(&t->m.parts[gw_joint_enters(&t->m, joint)], loop->axis, b->e);
  gw_len r = plane_at(&t->m.parts[gw_joint_receives(&t->m, joint)], loop->axis, b->r);
  *room += loop->high[i] ? b->hi + r - e : -(b->lo + r - e);
}

static gw_status step_room(const trial *t, int i, gw_len *room) {
  gw_seating s;
  GW_TRY(gw_fit_seat(&t->m, t->loop->joints[i], t->silent, &s));
  add_room(t, i, &s.bound[t->loop->axis], room);
  return GW_OK;
}

/* The share of the steps over joints of `part` in the room round the loop.  A
 * size with a tolerance gives twice that much to a loop that uses it; the
 * shortfall has that in it already, so only changes of the room are used. */
static gw_status room_at(const trial *t, int part, gw_len *room) {
  *room = 0;
  for (int k = t->first[part]; k >= 0; k = t->next[k]) GW_TRY(step_room(t, k / 2, room));
  return GW_OK;
}

/* Chains the steps of each part: step i stands in the chain of its entering
 * part as 2i, and of its receiving part as 2i + 1. */
static gw_status chain_steps(trial *t) {
  int steps = t->loop->length;
  t->first = gw_arena_alloc(t->arena, (size_t)t->m.n_parts, sizeof *t->first);
  t->next = gw_arena_alloc(t->arena, 2 * (size_t)steps, sizeof *t->next);
  if (t->first == NULL || t->next == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < t->m.n_parts; ++i) t->first[i] = -1;
  for (int i = 0; i < steps; ++i) {
    const gw_joint *joint = &t->m.joints[t->loop->joints[i]];
    const int part[2] = {gw_joint_enters(&t->m, joint), gw_joint_receives(&t->m, joint)};
    for (int end = 0; end < 2; ++end) {
      t->next[2 * i + end] = t->first[part[end]];
      t->first[part[end]] = 2 * i + end;
    }
  }
  return GW_OK;
}

/* ---- sizes ------------------------------------------------------------------------ */

enum { THICKNESS, WIDTH, DEPTH, LAP, INSET, FROM };

static gw_len *half_field(gw_half *half, int which) {
  switch (which) {
    case THICKNESS: return &half->thickness;
    case WIDTH: return &half->width;
    case DEPTH: return &half->depth;
    case LAP: return &half->lap;
    case INSET: return &half->inset;
    default: return &half->from[which - FROM];
  }
}

static const char *half_words(int which) {
  static const char *const words[] = {"thickness", "width",      "depth",     "lap",
                                      "inset",     "from-left",  "from-right", "from-front",
                                      "from-back", "from-bottom", "from-top"};
  return words[which];
}

static const char *part_words(const gw_part *part, int axis) {
  if (axis == (int)gw_dir_axis(part->face)) return "thickness";
  return axis == (int)gw_dir_axis(part->edge) ? "width" : "length";
}

static const char *size_words(const gw_model *m, const dimension *d) {
  return d->half < 0 ? part_words(&m->parts[d->part], d->which) : half_words(d->which);
}

/* Where parts lean, heights count as well: all is seated again, heights are found
 * again, and with them what has shifted.  Silent about what then does not close. */
static gw_status room_leaning(trial *t, gw_len *room, bool *stands) {
  *room = 0;
  *stands = true;
  GW_TRY(gw_fit_seat_all(&t->m, t->silent, t->whole.seatings));
  GW_TRY(gw_fit_place_along(&t->m, t->silent, &t->whole, GW_Z, stands));
  if (*stands) GW_TRY(gw_fit_lean(&t->m, &t->whole));
  for (int i = 0; i < t->loop->length; ++i)
    add_room(t, i, &t->whole.seatings[t->loop->joints[i]].bound[t->loop->axis], room);
  return GW_OK;
}

/* In a larger piece that would take too long. */
enum { LEANING_MOST = 1000 };

static bool is_leaning(const trial *t, const gw_fit *fit) {
  return fit->slants != NULL && t->loop->axis != GW_Z && t->m.n_joints <= LEANING_MOST;
}

static gw_status share_leaning(trial *t, gw_len *place, gw_len *share) {
  gw_len kept = *place, after;
  bool stands;
  *place += GW_MM;
  gw_status status = room_leaning(t, &after, &stands);
  *place = kept;
  *share = t->stands && stands ? after - t->room : 0;
  return status;
}

/* By how much the loop's room grows when the size grows by a millimetre. */
static gw_status share_of(trial *t, const dimension *d, gw_len *share) {
  gw_len *place = d->half < 0 ? &t->m.parts[d->part].size[d->which]
                              : half_field(&t->m.halves[d->half], d->which);
  gw_len kept = *place, before, after;
  if (t->whole.boxes != NULL) return share_leaning(t, place, share);
  GW_TRY(room_at(t, d->part, &before));
  *place += GW_MM;
  gw_status status = room_at(t, d->part, &after);
  *place = kept;
  *share = after - before;
  return status;
}

/* ---- which size is the likely one ------------------------------------------------- */

/* How many other parts have `value` as this size; a part that is equal in its
 * other two sizes is a twin and counts threefold. */
static int parts_with(const gw_model *m, const dimension *d, gw_len value) {
  const gw_part *part = &m->parts[d->part];
  const char *words = part_words(part, d->which);
  int votes = 0;
  for (int i = 0; i < m->n_parts; ++i) {
    const gw_part *other = &m->parts[i];
    if (i == d->part || other->size[d->which] != value) continue;
    if (part_words(other, d->which) != words) continue;
    bool twin = true;
    for (int axis = 0; axis < 3; ++axis)
      if (axis != d->which && other->size[axis] != part->size[axis]) twin = false;
    votes += twin ? 3 : 1;
  }
  return votes;
}

/* How many other halves of the same sort have `value` as this size. */
static int halves_with(const gw_model *m, const dimension *d, gw_len value) {
  const gw_half *half = &m->halves[d->half];
  int votes = 0;
  for (int i = 0; i < m->n_halves; ++i)
    if (i != d->half && m->halves[i].element == half->element &&
        *half_field(&m->halves[i], d->which) == value)
      ++votes;
  return votes;
}

/* How round a number is in the units of the file: people choose round ones. */
static int roundness(gw_len value, gw_units units) {
  static const gw_len mm[] = {GW_MM, 5 * GW_MM, 10 * GW_MM, 50 * GW_MM};
  static const gw_len inch[] = {GW_INCH / 16, GW_INCH / 8, GW_INCH / 4, GW_INCH / 2};
  const gw_len *step = units == GW_UNITS_MM ? mm : inch;
  int round = 0;
  while (round < 4 && value % step[round] == 0) ++round;
  return round;
}

/* A size is the likelier culprit the more of its like have the size that is
 * wanted, and the fewer have the one that it has; then, the rounder it gets. */
static void likely(const gw_model *m, dimension *d) {
  d->votes = d->half < 0 ? parts_with(m, d, d->wanted) - parts_with(m, d, d->value)
                         : halves_with(m, d, d->wanted) - halves_with(m, d, d->value);
  if (m->as_measured) {
    /* What a plane can do comes before what needs more wood. */
    d->votes = gw_fit_can_cut(m, d->half, size_words(m, d), d->value, d->wanted) ? 1 : 0;
    d->rounder = 0;
    return;
  }
  d->rounder = roundness(d->wanted, m->units) - roundness(d->value, m->units);
}

static bool tried(const dimension *d, const dimension *list, int count) {
  for (int i = 0; i < count; ++i)
    if (list[i].part == d->part && list[i].half == d->half && list[i].which == d->which)
      return true;
  return false;
}

static gw_status try_size(trial *t, dimension d, dimension *list, int *count) {
  gw_len share;
  if (*count >= MAX_CANDIDATES || tried(&d, list, *count)) return GW_OK;
  GW_TRY(share_of(t, &d, &share));
  if (share == 0) return GW_OK;
  gw_len change = t->loop->short_by * GW_MM / share;
  d.wanted = d.value + change;
  if (d.wanted <= 0 && !(d.half >= 0 && d.which >= LAP)) return GW_OK;
  likely(t->real, &d);
  list[(*count)++] = d;
  return GW_OK;
}

static gw_status try_half(trial *t, int half, dimension *list, int *count) {
  for (int which = 0; which < FROM + 6; ++which) {
    gw_len value = *half_field(&t->m.halves[half], which);
    if (value == GW_UNSET) continue;
    dimension d = {.part = t->m.halves[half].part, .half = half, .which = which, .value = value};
    GW_TRY(try_size(t, d, list, count));
  }
  return GW_OK;
}

static gw_status try_part(trial *t, int part, dimension *list, int *count) {
  for (int axis = 0; axis < 3; ++axis) {
    dimension d = {.part = part, .half = -1, .which = axis, .value = t->m.parts[part].size[axis]};
    GW_TRY(try_size(t, d, list, count));
  }
  return GW_OK;
}

static int by_likelihood(const void *left, const void *right) {
  const dimension *a = left, *b = right;
  if (a->votes != b->votes) return a->votes > b->votes ? -1 : 1;
  if (a->rounder != b->rounder) return a->rounder > b->rounder ? -1 : 1;
  if (a->part != b->part) return a->part < b->part ? -1 : 1;
  if (a->half != b->half) return a->half < b->half ? -1 : 1;
  return a->which < b->which ? -1 : a->which > b->which;
}

static gw_status find_candidates(trial *t, dimension *list, int *count) {
  GW_TRY(chain_steps(t));
  for (int i = 0; i < t->loop->length && *count < MAX_CANDIDATES; ++i) {
    const gw_joint *joint = &t->m.joints[t->loop->joints[i]];
    GW_TRY(try_part(t, gw_joint_enters(&t->m, joint), list, count));
    GW_TRY(try_part(t, gw_joint_receives(&t->m, joint), list, count));
    GW_TRY(try_half(t, joint->entering, list, count));
    GW_TRY(try_half(t, joint->receiving, list, count));
  }
  qsort(list, (size_t)*count, sizeof *list, by_likelihood);
  return GW_OK;
}

/* ---- words ------------------------------------------------------------------------ */

/* Text that grows in an arena. */
typedef struct wording {
  gw_arena *arena;
  const char *text;
} wording;

static gw_status add(wording *w, const char *more) {
  w->text = w->text == NULL ? gw_arena_text(w->arena, more)
                            : gw_arena_printf(w->arena, "%s%s", w->text, more);
  return w->text == NULL ? GW_NO_MEMORY : GW_OK;
}

/* In the words of the file, where a part that leans has the sizes of its wood. */
static gw_len written(const gw_model *m, const dimension *d, gw_len value) {
  return d->half < 0 ? gw_part_written(&m->parts[d->part], d->which, value) : value;
}

static gw_len cut(const gw_model *m, const dimension *d, gw_len value) {
  return d->half < 0 ? gw_part_cut(&m->parts[d->part], d->which, value) : value;
}

/* Once the wood is cut: what is to be done. */
static gw_status say_deed(trial *t, const dimension *d, wording *w) {
  const char *deed = gw_fit_do_words(t->arena, t->real, d->part, d->half,
                                     size_words(t->real, d), cut(t->real, d, d->value),
                                     cut(t->real, d, d->wanted));
  return deed == NULL ? GW_NO_MEMORY : add(w, deed);
}

static gw_status say_candidate(trial *t, const dimension *d, wording *w) {
  char value[GW_LEN_TEXT], wanted[GW_LEN_TEXT];
  const gw_model *m = t->real;
  if (m->as_measured) return say_deed(t, d, w);
  gw_len_text(written(m, d, d->value), m->units, value, sizeof value);
  gw_len_text(written(m, d, d->wanted), m->units, wanted, sizeof wanted);
  const char *line =
      d->half < 0
          ? gw_arena_printf(t->arena, "%s of %s %s to %s", part_words(&m->parts[d->part], d->which),
                            m->parts[d->part].id, value, wanted)
          : gw_arena_printf(t->arena, "%s of the %s at the %s of %s %s to %s", half_words(d->which),
                            m->halves[d->half].element, gw_dir_name(m->halves[d->half].at),
                            m->parts[d->part].id, value, wanted);
  return line == NULL ? GW_NO_MEMORY : add(w, line);
}

/* The part at which step i begins. */
static int step_from(const gw_model *m, const gw_fit_loop *loop, int i) {
  const gw_joint *joint = &m->joints[loop->joints[i]];
  return loop->forward[i] ? gw_joint_receives(m, joint) : gw_joint_enters(m, joint);
}

/* Of a long way the beginning and the end. */
static gw_status say_way(trial *t, wording *w) {
  enum { SHOWN = 8 };
  const int length = t->loop->length;
  for (int i = 0; i < length; ++i) {
    if (length > 2 * SHOWN && i == SHOWN) {
      const char *gap = gw_arena_printf(t->arena, "… (%d more) – ", length - 2 * SHOWN);
      if (gap == NULL) return GW_NO_MEMORY;
      GW_TRY(add(w, gap));
      i = length - SHOWN;
    }
    GW_TRY(add(w, t->real->parts[step_from(t->real, t->loop, i)].id));
    GW_TRY(add(w, " – "));
  }
  return add(w, t->real->parts[step_from(t->real, t->loop, 0)].id);
}

static gw_status say_remedies(trial *t, const dimension *list, int count, wording *w) {
  if (count == 0) return add(w, "no single size puts it right");
  GW_TRY(add(w, t->real->as_measured ? "do one: " : "change one: "));
  for (int i = 0; i < count && i < MAX_NAMED; ++i) {
    if (i > 0) GW_TRY(add(w, "; or "));
    GW_TRY(say_candidate(t, &list[i], w));
  }
  if (count <= MAX_NAMED) return GW_OK;
  if (count == MAX_CANDIDATES) return add(w, "; or one of very many others");
  if (count == MAX_NAMED + 1) return add(w, "; or one other");
  const char *more = gw_arena_printf(t->arena, "; or one of %d others", count - MAX_NAMED);
  return more == NULL ? GW_NO_MEMORY : add(w, more);
}

static gw_status say(trial *t, gw_findings *findings, const dimension *list, int count) {
  static const char *const along[3] = {"from left to right", "from front to back",
                                       "from bottom to top"};
  const gw_fit_loop *loop = t->loop;
  wording way = {t->arena, NULL}, remedies = {t->arena, NULL};
  GW_TRY(say_way(t, &way));
  GW_TRY(say_remedies(t, list, count, &remedies));
  int line = count > 0 ? (list[0].half >= 0 ? t->real->halves[list[0].half].line
                                            : t->real->parts[list[0].part].line)
                       : t->real->parts[step_from(t->real, loop, 0)].line;
  char by[GW_LEN_TEXT];
  gw_len_text(loop->short_by, t->real->units, by, sizeof by);
  GW_TRY(gw_find(findings, GW_ERROR, "loop-open", line,
                 "the loop %s misses by %s %s; %s", way.text, by, along[loop->axis],
                 remedies.text));
  for (int i = 0; i < loop->length; ++i)
    GW_TRY(gw_find_part(findings, step_from(t->real, loop, i)));
  for (int i = 0; i < loop->length; ++i) GW_TRY(gw_find_joint(findings, loop->joints[i]));
  return GW_OK;
}

static gw_status copy_model(trial *t) {
  t->m = *t->real;
  t->m.parts = gw_arena_alloc(t->arena, (size_t)t->m.n_parts, sizeof *t->m.parts);
  t->m.halves = gw_arena_alloc(t->arena, (size_t)t->m.n_halves, sizeof *t->m.halves);
  if (t->m.parts == NULL || t->m.halves == NULL) return GW_NO_MEMORY;
  memcpy(t->m.parts, t->real->parts, (size_t)t->m.n_parts * sizeof *t->m.parts);
  memcpy(t->m.halves, t->real->halves, (size_t)t->m.n_halves * sizeof *t->m.halves);
  return GW_OK;
}

/* A fit of the trial's own, for room_leaning. */
static gw_status copy_fit(trial *t) {
  t->whole.arena = t->arena;
  t->whole.seatings = gw_arena_alloc(t->arena, (size_t)t->m.n_joints, sizeof *t->whole.seatings);
  t->whole.boxes = gw_arena_alloc(t->arena, (size_t)t->m.n_parts, sizeof *t->whole.boxes);
  if (t->whole.seatings == NULL || t->whole.boxes == NULL) return GW_NO_MEMORY;
  return room_leaning(t, &t->room, &t->stands);
}

gw_status gw_fit_say_loop(const gw_model *m, gw_findings *findings, const gw_fit *fit,
                          const gw_fit_loop *loop) {
  trial t = {.real = m, .loop = loop, .silent = gw_findings_new("-"), .arena = gw_arena_new()};
  dimension *list = malloc(MAX_CANDIDATES * sizeof *list);
  int count = 0;
  gw_status status = GW_NO_MEMORY;
  if (t.silent != NULL && t.arena != NULL && list != NULL) {
    status = copy_model(&t);
    if (status == GW_OK && is_leaning(&t, fit)) status = copy_fit(&t);
    if (status == GW_OK) status = find_candidates(&t, list, &count);
    if (status == GW_OK) status = say(&t, findings, list, count);
  }
  free(list);
  gw_findings_free(t.silent);
  gw_arena_free(t.arena);
  return status;
}
