/* How bad a mix-up is, and what is said of it. */
#include <string.h>

#include "mating/mixups_inside.h"

enum { MAX_NOTES = 12, MAX_NAMED = 5 };

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

/* How a part lies when it is turned in its own place. */
static const char *turn_words(const gw_part *part, int index) {
  const gw_turn turn = gw_turn_at(index);
  int length = gw_part_length_axis(part);
  gw_dir along = gw_dir_of(length, 1);
  bool ends = gw_turn_dir(&turn, along) == gw_dir_back(along);
  bool face = gw_turn_dir(&turn, part->face) == gw_dir_back(part->face);
  bool edge = gw_turn_dir(&turn, part->edge) == gw_dir_back(part->edge);
  if (ends && face) return "end for end, the other face out";
  if (ends && edge) return "end for end, the other edge up";
  if (face && edge) return "face for face and edge for edge";
  return turn.axis[length] == length ? "rolled a quarter round" : "laid across";
}

static char *name_parts(const gw_model *m, const gw_mixups *x, int class, gw_arena *arena,
                        int *count) {
  char *text = NULL;
  *count = 0;
  for (int i = 0; i < m->n_parts; ++i) {
    if (x->part_class[i] != class) continue;
    int at = (*count)++;
    if (at >= MAX_NAMED) continue;
    text = at == 0 ? gw_arena_text(arena, m->parts[i].id)
                   : gw_arena_printf(arena, "%s, %s", text, m->parts[i].id);
    if (text == NULL) return NULL;
  }
  if (*count > MAX_NAMED)
    text = gw_arena_printf(arena, "%s and %d more", text, *count - MAX_NAMED);
  return text;
}

/* In which ways the part would go in turned in its own place; NULL: in none. */
static gw_status name_turns(const gw_model *m, const gw_mixups *x, int part, gw_arena *arena,
                            char **out) {
  const char *said[GW_TURNS];
  int count = 0;
  *out = NULL;
  for (int i = 0; i < x->n_ways; ++i) {
    if (x->ways[i].part != part || x->ways[i].place != part) continue;
    const char *words = turn_words(&m->parts[part], x->ways[i].turn);
    bool again = false;
    for (int k = 0; k < count; ++k) again = again || said[k] == words;
    if (again) continue;
    said[count++] = words;
    *out = *out == NULL ? gw_arena_text(arena, words)
                        : gw_arena_printf(arena, "%s; or %s", *out, words);
    if (*out == NULL) return GW_NO_MEMORY;
  }
  return GW_OK;
}

static const char *harm_words(int harm) {
  if (harm & 8) return "it is of another wood or size, and that shows for good";
  if (harm & 4) return "it would start, but each joint is cut to its own mate";
  if (harm & 2) return "its face side or face edge would then point another way";
  return "nothing would show, but each joint was fitted to its own mate";
}

static gw_status say_class(const gw_model *m, const gw_mixups *x, const gw_mixup *worst,
                           gw_arena *arena, gw_findings *findings) {
  int count, class = x->part_class[worst->part];
  char *names = name_parts(m, x, class, arena, &count), *turns;
  if (names == NULL) return GW_NO_MEMORY;
  GW_TRY(name_turns(m, x, worst->part, arena, &turns));
  const char *id = m->parts[worst->part].id, *place = "";
  if (count > 1) place = count == 2 ? "each goes into the other's place too" : "each goes into the others' places too";
  GW_TRY(gw_find(findings, GW_NOTE, "mix-up", m->parts[worst->part].line,
                 "%s could be mixed up: %s%s%s%s%s; %s: write the marks before the dry fit is taken apart", names, place, turns == NULL ? "" : count > 1 ? ", and " : "it also goes in ",
                 turns == NULL || count == 1 ? "" : id, turns == NULL || count == 1 ? "" : " also goes in ",
                 turns == NULL ? "" : turns, harm_words(worst->harm)));
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
  int classes = 0;
  if (said == NULL) return GW_NO_MEMORY;
  for (int i = 0; i < x->n_ways; ++i) {
    int class = x->part_class[x->ways[i].part];
    if (said[class]) continue;
    said[class] = true;
    if (++classes < MAX_NOTES) GW_TRY(say_class(m, x, &x->ways[i], arena, findings));
  }
  if (classes < MAX_NOTES) return GW_OK;
  return gw_find(findings, GW_NOTE, "mix-up", m->line,
                 "%d more parts or sets of parts would also go in wrongly; go by the marks",
                 classes - MAX_NOTES + 1);
}

gw_status gw_mixups_say(const gw_model *m, const gw_mixups *x, gw_findings *findings) {
  gw_arena *arena = gw_arena_new();
  if (arena == NULL) return GW_NO_MEMORY;
  gw_status status = say_all(m, x, arena, findings);
  gw_arena_free(arena);
  return status;
}
