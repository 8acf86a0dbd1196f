/* How bad a mix-up is, and what is said of it. */
#include <string.h>

#include "mating/mixups_inside.h"

enum { MAX_NOTES = 12, MAX_NAMED = 12 };

/* ---- harm ------------------------------------------------------------------------ */

static bool same_text(const char *a, const char *b) {
  return a == b || (a != NULL && b != NULL && strcmp(a, b) == 0);
}

static bool is_other_wood(const gw_model *m, const gw_mixup *way) {
  const gw_part *part = &m->parts[way->part], *place = &m->parts[way->place];
  const gw_turn turn = gw_turn_at(way->turn);
  if (!same_text(part->material, place->material)) return true;
  for (int axis = 0; axis < 3; ++axis)
    if (part->size[axis] != place->size[turn.axis[axis]]) return true;
  return false;
}

static bool shows(const gw_model *m, const gw_mixup *way) {
  const gw_part *part = &m->parts[way->part], *place = &m->parts[way->place];
  const gw_turn turn = gw_turn_at(way->turn);
  return gw_turn_dir(&turn, part->face) != place->face ||
         gw_turn_dir(&turn, part->edge) != place->edge;
}

/* A joint whose fit leaves no room is cut to its own mate. */
static bool is_cut_to_mate(const gw_model *m, gw_kind kind) {
  const gw_kind_row *row = gw_kind_of(kind);
  gw_len loose = row->loose_um;
  for (int i = 0; i < m->n_fits; ++i)
    if (m->fits[i].kind == kind) loose = m->fits[i].loose;
  return loose == 0 && row->seat == GW_SHOULDER;
}

int gw_mixup_harm(const gw_model *m, const gw_mixup *way) {
  const gw_part *part = &m->parts[way->part];
  bool cut = false, glued = false;
  for (int i = part->first_half; i < part->first_half + part->n_halves; ++i) {
    if (m->halves[i].joint < 0) continue;
    const gw_joint *joint = &m->joints[m->halves[i].joint];
    cut = cut || is_cut_to_mate(m, joint->kind);
    glued = glued || joint->glued;
  }
  return (is_other_wood(m, way) ? 8 : 0) + (cut ? 4 : 0) + (shows(m, way) ? 2 : 0) + (glued ? 1 : 0);
}

/* ---- words ------------------------------------------------------------------------- */

/* How a part then stands or lies, said of it as it stands: what is up, and where its ends
 * are.  The words that go together with `or` are told in this order. */
enum {
  END_FOR_END, OVER, END_AND_OVER,  /* its length lies level */
  ROUND, FRONT_TO_BACK, LEFT_TO_RIGHT, /* its length stands upright */
  QUARTER, END_AND_QUARTER, UPRIGHT_QUARTER, OVER_AND_QUARTER, FLAT_QUARTER, ACROSS,
  N_TURNED
};
static const char *const TURNED[N_TURNED] = {
    [END_FOR_END] = "turned end for end, the same way up",
    [OVER] = "turned upside down, each end in its place",
    [END_AND_OVER] = "turned end for end and upside down",
    [ROUND] = "turned half round, the same end up",
    [FRONT_TO_BACK] = "turned upside down, its front to the back",
    [LEFT_TO_RIGHT] = "turned upside down, its left to the right",
    [QUARTER] = "rolled a quarter round",
    [END_AND_QUARTER] = "turned end for end and rolled a quarter round",
    [UPRIGHT_QUARTER] = "turned a quarter round, the same end up",
    [OVER_AND_QUARTER] = "turned upside down and a quarter round",
    [FLAT_QUARTER] = "turned a quarter round, the same way up",
    [ACROSS] = "laid across",
};

/* Half a turn about one axis: the one that is not flipped. */
static int half_turned(int length, const gw_turn *turn) {
  if (length == GW_Z)
    return !turn->flip[GW_Z] ? ROUND : turn->flip[GW_Y] ? FRONT_TO_BACK : LEFT_TO_RIGHT;
  if (!turn->flip[GW_Z]) return END_FOR_END;
  return turn->flip[length] ? END_AND_OVER : OVER;
}

static int turned(const gw_part *part, int index) {
  const gw_turn turn = gw_turn_at(index);
  int length = gw_part_length_axis(part);
  bool upright = length == GW_Z;
  if (turn.axis[GW_X] == GW_X && turn.axis[GW_Y] == GW_Y) return half_turned(length, &turn);
  if (turn.axis[length] == length && turn.flip[length])
    return upright ? OVER_AND_QUARTER : END_AND_QUARTER;
  if (turn.axis[length] == length) return upright ? UPRIGHT_QUARTER : QUARTER;
  return turn.axis[GW_Z] == GW_Z && !turn.flip[GW_Z] ? FLAT_QUARTER : ACROSS;
}

/* For each part the ways in which it would go in turned in its own place, a bit each. */
static void gather_turns(const gw_model *m, const gw_mixups *x, unsigned *turns) {
  for (int i = 0; i < x->n_ways; ++i) {
    const gw_mixup *way = &x->ways[i];
    if (way->part == way->place) turns[way->part] |= 1u << turned(&m->parts[way->part], way->turn);
  }
}

static const char *turns_words(unsigned turns, gw_arena *arena) {
  const unsigned level = 1u << END_FOR_END | 1u << OVER | 1u << END_AND_OVER;
  const unsigned upright = 1u << ROUND | 1u << FRONT_TO_BACK | 1u << LEFT_TO_RIGHT;
  if (turns == level) return "turned end for end, upside down, or both";
  if (turns == upright) return "turned half round, upside down, or both";
  const char *text = "";
  for (int i = 0; i < N_TURNED && text != NULL; ++i) {
    if (!(turns >> i & 1)) continue;
    turns &= ~(1u << i);
    text = gw_arena_printf(arena, "%s%s%s", text,
                           text[0] == '\0' ? "" : ", or ", TURNED[i]);
  }
  return text;
}

/* "a, b and c": the parts of a class, or those of them with these turns. */
static const char *name_parts(const gw_model *m, const gw_mixups *x, int class,
                              const unsigned *turns, unsigned only, gw_arena *arena, int *count) {
  const char *text = "", *last = NULL;
  *count = 0;
  for (int i = 0; i < m->n_parts && text != NULL; ++i) {
    if (x->part_class[i] != class || (only != 0 && turns[i] != only)) continue;
    if ((*count)++ >= MAX_NAMED) continue;
    if (last != NULL)
      text = gw_arena_printf(arena, "%s%s%s", text, text[0] == '\0' ? "" : ", ", last);
    last = m->parts[i].id;
  }
  if (text == NULL || last == NULL) return text;
  if (*count > MAX_NAMED)
    return gw_arena_printf(arena, "%s, %s and %d more", text, last, *count - MAX_NAMED);
  return gw_arena_printf(arena, "%s%s%s", text, text[0] == '\0' ? "" : " and ", last);
}

/* ", and each also goes in …", or of which of them that is true. */
static const char *also_turned(const gw_model *m, const gw_mixups *x, int class,
                               const unsigned *turns, int members, gw_arena *arena) {
  unsigned said[4];
  int n_said = 0;
  const char *text = "";
  for (int i = 0; i < m->n_parts && n_said < 4 && text != NULL; ++i) {
    bool again = x->part_class[i] != class || turns[i] == 0;
    for (int k = 0; k < n_said; ++k) again = again || said[k] == turns[i];
    if (again) continue;
    said[n_said++] = turns[i];
    int count;
    const char *names = name_parts(m, x, class, turns, turns[i], arena, &count);
    const char *how = turns_words(turns[i], arena);
    if (names == NULL || how == NULL) return NULL;
    text = gw_arena_printf(arena, "%s%s%s also go%s in %s", text, members > 1 ? ", and " : "",
                           count == members && members > 1 ? "each" : names,
                           count == 1 || count == members ? "es" : "", how);
  }
  return text;
}

/* What the marks alone do not say. */
static const char *harm_words(int harm) {
  if (harm & 8) return ", and another wood or size then shows for good";
  if (harm & 4)
    return "; the joints would start, but each is cut to its own mate and will not close";
  return "";
}

static gw_status say_class(const gw_model *m, const gw_mixups *x, const gw_mixup *worst,
                           const unsigned *turns, gw_arena *arena, gw_findings *findings) {
  int count, class = x->part_class[worst->part];
  const char *names = name_parts(m, x, class, turns, 0, arena, &count);
  const char *also = names == NULL ? NULL : also_turned(m, x, class, turns, count, arena);
  if (also == NULL) return GW_NO_MEMORY;
  GW_TRY(gw_find(findings, GW_NOTE, "mix-up", m->parts[worst->part].line, "%s%s%s%s",
                 count > 1 ? names : "", count > 1 ? " could change places" : "", also,
                 harm_words(worst->harm)));
  int named = 0;
  for (int i = 0; i < m->n_parts && named < MAX_NAMED; ++i)
    if (x->part_class[i] == class) {
      GW_TRY(gw_find_part(findings, i));
      named++;
    }
  return GW_OK;
}

/* Ways come ranked: a class is spoken of where its worst way stands. */
static gw_status say_all(const gw_model *m, const gw_mixups *x, gw_arena *arena,
                         gw_findings *findings) {
  bool *said = gw_arena_alloc(arena, (size_t)x->n_part_classes + 1, sizeof *said);
  unsigned *turns = gw_arena_alloc(arena, (size_t)m->n_parts + 1, sizeof *turns);
  int classes = 0;
  if (said == NULL || turns == NULL) return GW_NO_MEMORY;
  gather_turns(m, x, turns);
  for (int i = 0; i < x->n_ways; ++i) {
    int class = x->part_class[x->ways[i].part];
    if (said[class]) continue;
    said[class] = true;
    if (++classes < MAX_NOTES) GW_TRY(say_class(m, x, &x->ways[i], turns, arena, findings));
  }
  if (classes < MAX_NOTES) return GW_OK;
  bool one = classes == MAX_NOTES;
  return gw_find(findings, GW_NOTE, "mix-up", m->line,
                 "%d more part%s or set%s of parts could go in wrongly; go by the marks",
                 classes - MAX_NOTES + 1, one ? "" : "s", one ? "" : "s");
}

gw_status gw_mixups_say(const gw_model *m, const gw_mixups *x, gw_findings *findings) {
  gw_arena *arena = gw_arena_new();
  if (arena == NULL) return GW_NO_MEMORY;
  gw_status status = say_all(m, x, arena, findings);
  gw_arena_free(arena);
  return status;
}
