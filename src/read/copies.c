/* Parts that are like others: copied, turned half round or mirrored.
 *
 * Every such change maps each direction of the piece to another; sizes follow
 * from where the face side and the face edge then point.  A half keeps its id. */
#include <stdlib.h>
#include <string.h>

#include "read/parts.h"

typedef struct dir_map {
  gw_dir to[6];
} dir_map;

/* Swaps the two ends of the axes whose bits are set. */
static dir_map swap_axes(unsigned axes) {
  dir_map map;
  for (int dir = 0; dir < 6; ++dir)
    map.to[dir] = (axes >> (dir / 2)) & 1 ? gw_dir_back((gw_dir)dir) : (gw_dir)dir;
  return map;
}

static dir_map map_of(const struct gw_draft_part *draft) {
  enum { X = 1, Y = 2, Z = 4 };
  if (draft->mirror_of != NULL) {
    if (draft->mirrored == NULL || strcmp(draft->mirrored, "left-right") == 0) return swap_axes(X);
    return swap_axes(strcmp(draft->mirrored, "front-back") == 0 ? Y : Z);
  }
  if (draft->turned == NULL) return swap_axes(0);
  if (strcmp(draft->turned, "about-up") == 0) return swap_axes(X | Y);
  return swap_axes(strcmp(draft->turned, "about-right") == 0 ? Y | Z : X | Z);
}

static gw_half mapped_half(const gw_half *half, const dir_map *map, int part, int line) {
  gw_half copy = *half;
  copy.part = part;
  copy.line = line;
  copy.at = map->to[half->at];
  copy.open = 0;
  for (int dir = 0; dir < 6; ++dir) {
    copy.from[map->to[dir]] = half->from[dir];
    if ((half->open >> dir) & 1) copy.open |= 1u << map->to[dir];
  }
  return copy;
}

/* Up and a side, each with its end changed or not: two changes keep the lean. */
static void copy_lean(gw_part *part, const gw_part *from, const dir_map *map) {
  if (part->splayed) return;
  part->splayed = from->splayed;
  for (int axis = 0; axis < 2; ++axis) {
    bool turned = map->to[2 * axis] != (gw_dir)(2 * axis), over = map->to[GW_UP] != GW_UP;
    part->lean[axis] = turned != over ? -from->lean[axis] : from->lean[axis];
  }
}

static void copy_fields(gw_part *part, const gw_part *from, const dir_map *map) {
  copy_lean(part, from, map);
  if (part->name == NULL) part->name = from->name;
  if (part->material == NULL) part->material = from->material;
  if (part->length == GW_UNSET) part->length = from->length;
  if (part->width == GW_UNSET) part->width = from->width;
  if (part->thickness == GW_UNSET) part->thickness = from->thickness;
  if (part->tolerance == GW_UNSET) part->tolerance = from->tolerance;
  if (part->density == 0) part->density = from->density;
  if (part->cut == GW_CUT_UNSET) part->cut = from->cut;
  if (part->face == GW_NO_DIR && from->face != GW_NO_DIR) part->face = map->to[from->face];
  if (part->edge == GW_NO_DIR && from->edge != GW_NO_DIR) part->edge = map->to[from->edge];
}

/* Gives the entering halves among `halves` the destinations of `list`, in
 * order.  A half whose `keep` says so is left as it is. */
static gw_status redirect(gw_draft *d, int line, const char *what, const char *list,
                          gw_half **halves, size_t count) {
  char *words = gw_arena_text(d->model->arena, list == NULL ? "" : list), *rest;
  if (words == NULL) return GW_NO_MEMORY;
  size_t given = 0, needed = 0;
  char *word = strtok_r(words, " \t\r\n", &rest);
  for (size_t i = 0; i < count; ++i) {
    if (!halves[i]->enters) continue;
    needed++;
    if (word == NULL) continue;
    halves[i]->into = word;
    given++;
    word = strtok_r(NULL, " \t\r\n", &rest);
  }
  for (; word != NULL; word = strtok_r(NULL, " \t\r\n", &rest)) given++;
  if (given == needed) return GW_OK;
  return gw_find(d->findings, GW_ERROR, "into-count", line,
                 "into=\"…\" names %zu halves, but %s has %zu that enter; name one for each, in "
                 "their order", given, what, needed);
}

static gw_status copy_halves(gw_draft *d, int index, int source, const dir_map *map) {
  struct gw_draft_part *draft = &d->drafts[index], *from = &d->drafts[source];
  size_t own = draft->count, copied = from->count - from->grouped;
  GW_TRY(gw_read_more_halves(d, d->model->parts[index].line, own, copied));
  GW_TRY(gw_grow(&draft->halves, &draft->room, own + copied, sizeof *draft->halves));
  if (own > 0) memmove(draft->halves + copied, draft->halves, own * sizeof *draft->halves);
  draft->count = own + copied;
  gw_half **list = calloc(copied + 1, sizeof *list);
  if (list == NULL) return GW_NO_MEMORY;
  int line = d->model->parts[index].line;
  for (size_t i = 0; i < copied; ++i) {
    draft->halves[i] = mapped_half(&from->halves[i], map, index, line);
    list[i] = &draft->halves[i];
  }
  gw_status status = redirect(d, line, draft->mirror_of ? draft->mirror_of : draft->like,
                              draft->into, list, copied);
  free(list);
  return status;
}

static int find_part(const gw_draft *d, int index, const char *name) {
  const gw_part *part = &d->model->parts[index];
  if (part->group >= 0 && strchr(name, '.') == NULL) {
    char full[128];
    snprintf(full, sizeof full, "%s.%s", d->model->groups[part->group].id, name);
    int found = gw_names_find(d->part_names, full);
    if (found >= 0) return found;
  }
  return gw_names_find(d->part_names, name);
}

static gw_status check_words(gw_draft *d, int index) {
  const struct gw_draft_part *draft = &d->drafts[index];
  int line = d->model->parts[index].line;
  const char *source = draft->like ? draft->like : draft->mirror_of;
  if (draft->like != NULL && draft->mirror_of != NULL)
    return gw_find(d->findings, GW_ERROR, "like-and-mirror", line,
                   "a part is like another or its mirror image, not both; keep one of like and "
                   "mirror-of");
  if (source != NULL) return GW_OK;
  const char *alone = draft->turned ? "turned" : draft->mirrored ? "mirrored"
                      : draft->into ? "into" : NULL;
  if (alone == NULL) return GW_OK;
  return gw_find(d->findings, GW_ERROR, "nothing-copied", line,
                 "%s=\"…\" says how a part is copied, but like=\"…\" or mirror-of=\"…\" is missing",
                 alone);
}

/* The part that this one copies, or -1; findings for what is wrong. */
static gw_status source_of(gw_draft *d, int index, int *source) {
  const struct gw_draft_part *draft = &d->drafts[index];
  const char *name = draft->like ? draft->like : draft->mirror_of;
  *source = -1;
  if (name == NULL) return GW_OK;
  int found = find_part(d, index, name), line = d->model->parts[index].line;
  if (found < 0 || d->drafts[found].state == 1) d->drafts[index].lost = true;
  if (found < 0) return gw_read_part_named(d, line, name, &found);
  if (d->drafts[found].state == 1)
    return gw_find(d->findings, GW_ERROR, "like-in-a-ring", line,
                   "%s is like itself by way of others; describe one of them in full",
                   d->model->parts[index].id);
  *source = found;
  return GW_OK;
}

/* Chains of copies can be as long as the file: walked with a stack of our
 * own, never by recursion. */
static gw_status resolve(gw_draft *d, int start, int *stack) {
  int depth = 0;
  stack[depth++] = start;
  while (depth > 0) {
    int index = stack[depth - 1], source;
    struct gw_draft_part *draft = &d->drafts[index];
    if (draft->state == 0) {
      draft->state = 1;
      GW_TRY(check_words(d, index));
      GW_TRY(source_of(d, index, &source));
      draft->source = source;
      if (source >= 0 && d->drafts[source].state == 0) {
        stack[depth++] = source;
        continue;
      }
    }
    source = draft->source;
    if (source >= 0) {
      dir_map map = map_of(draft);
      copy_fields(&d->model->parts[index], &d->model->parts[source], &map);
      GW_TRY(copy_halves(d, index, source, &map));
    }
    draft->state = 2;
    --depth;
  }
  return GW_OK;
}

/* ---- groups -------------------------------------------------------------------------- */

/* Whether an entering half of a group goes to another part of that group. */
static bool stays_inside(const gw_draft *d, const gw_half *half) {
  char name[64];
  size_t length = strcspn(half->into, "/");
  if (length >= sizeof name || memchr(half->into, '.', length) != NULL) return false;
  memcpy(name, half->into, length);
  name[length] = '\0';
  int part = find_part(d, half->part, name);
  return part >= 0 && d->model->parts[part].group == d->model->parts[half->part].group;
}

static gw_status add_copied_part(gw_draft *d, int group, int source) {
  gw_model *m = d->model;
  if (m->n_parts >= GW_READ_MAX_PARTS) {
    GW_TRY(gw_find(d->findings, GW_ERROR, "too-many", m->groups[group].line,
                   "there are more than %d parts with those of the groups that are copied; a "
                   "piece needs far fewer", GW_READ_MAX_PARTS));
    return GW_BAD_INPUT;
  }
  GW_TRY(gw_read_more_halves(d, m->groups[group].line, 0, d->drafts[source].count));
  GW_TRY(gw_grow(&m->parts, &d->part_room, (size_t)m->n_parts + 1, sizeof *m->parts));
  GW_TRY(gw_grow(&d->drafts, &d->draft_room, (size_t)m->n_parts + 1, sizeof *d->drafts));
  int index = m->n_parts++;
  m->parts[index] = m->parts[source];
  m->parts[index].group = group;
  m->parts[index].line = m->groups[group].line;
  const char *inside = strchr(m->parts[source].id, '.') + 1;
  m->parts[index].id = gw_arena_printf(m->arena, "%s.%s", m->groups[group].id, inside);
  if (m->parts[index].id == NULL) return GW_NO_MEMORY;
  d->drafts[index] =
      (struct gw_draft_part){.state = 2, .source = source, .grouped = d->drafts[source].grouped};
  gw_status status = gw_names_add(d->part_names, m->parts[index].id, index);
  if (status != GW_BAD_INPUT) GW_TRY(status);
  struct gw_draft_part *to = &d->drafts[index], *from = &d->drafts[source];
  GW_TRY(gw_grow(&to->halves, &to->room, from->count, sizeof *to->halves));
  dir_map map = swap_axes(0);
  for (; to->count < from->count; ++to->count)
    to->halves[to->count] =
        mapped_half(&from->halves[to->count], &map, index, m->groups[group].line);
  return GW_OK;
}

/* The halves by which a copied group is joined get their own destinations. */
static gw_status redirect_group(gw_draft *d, int group) {
  struct gw_draft_group *draft = &d->draft_groups[group];
  gw_half **outward = NULL;
  size_t count = 0, room = 0;
  gw_status status = GW_OK;
  for (int i = draft->first_part; i < draft->first_part + draft->n_parts; ++i)
    for (size_t j = 0; j < d->drafts[i].count && status == GW_OK; ++j) {
      gw_half *half = &d->drafts[i].halves[j];
      /* The group's own halves come last of a part's, and lead outwards even
       * when a part inside has the name of the one outside. */
      bool own = j >= d->drafts[i].count - (size_t)d->drafts[i].grouped;
      if (!half->enters || (!own && stays_inside(d, half))) continue;
      status = gw_grow(&outward, &room, count + 1, sizeof *outward);
      if (status == GW_OK) outward[count++] = half;
    }
  if (status == GW_OK)
    status = redirect(d, d->model->groups[group].line, draft->like, draft->into, outward, count);
  free(outward);
  return status;
}

static gw_status copy_group(gw_draft *d, int group) {
  struct gw_draft_group *draft = &d->draft_groups[group];
  int source = -1, line = d->model->groups[group].line;
  for (int i = 0; i < group; ++i)
    if (strcmp(d->model->groups[i].id, draft->like) == 0) source = i;
  if (source < 0)
    return gw_find(d->findings, GW_ERROR, "unknown-group", line,
                   "there is no group %s before this one to be like; give the id of one",
                   draft->like);
  if (draft->n_parts > 0)
    return gw_find(d->findings, GW_ERROR, "group-like-and-parts", line,
                   "a group that is like another has no parts of its own; take one of the two out");
  draft->first_part = d->model->n_parts;
  const struct gw_draft_group from = d->draft_groups[source];
  for (int i = from.first_part; i < from.first_part + from.n_parts; ++i)
    GW_TRY(add_copied_part(d, group, i));
  draft->n_parts = d->model->n_parts - draft->first_part;
  return redirect_group(d, group);
}

/* ---- completing parts ------------------------------------------------------------------- */

static gw_status missing_field(gw_draft *d, const gw_part *part, const char *what) {
  return gw_find(d->findings, GW_ERROR, "missing-attribute", part->line,
                 "part %s needs %s=\"…\"", part->id, what);
}

/* What is wrong with a part is said of it alone, not of its copies. */
static bool said_of_source(const gw_draft *d, int index, gw_len part_has, gw_len source_has) {
  return d->drafts[index].lost || (d->drafts[index].source >= 0 && part_has == source_has);
}

static gw_status check_fields(gw_draft *d, int index, bool *complete) {
  const gw_part *part = &d->model->parts[index];
  int source = d->drafts[index].source;
  const gw_part *from = source >= 0 ? &d->model->parts[source] : part;
  const struct {
    const char *name;
    gw_len has, source_has;
    bool missing;
  } fields[] = {
      {"length", part->length, from->length, part->length == GW_UNSET},
      {"width", part->width, from->width, part->width == GW_UNSET},
      {"thickness", part->thickness, from->thickness, part->thickness == GW_UNSET},
      {"face", part->face, from->face, part->face == GW_NO_DIR},
      {"edge", part->edge, from->edge, part->edge == GW_NO_DIR},
  };
  *complete = true;
  for (size_t i = 0; i < sizeof fields / sizeof *fields; ++i) {
    if (!fields[i].missing) continue;
    *complete = false;
    if (said_of_source(d, index, fields[i].has, fields[i].source_has)) continue;
    GW_TRY(missing_field(d, part, fields[i].name));
  }
  return GW_OK;
}

static bool askew(const gw_part *part) {
  return gw_dir_axis(part->face) == gw_dir_axis(part->edge);
}

/* The upright size of a part that leans is written plumb, as heights are in a
 * drawing; the others as they are planed. */
static void stand_up(gw_part *part, int axis, gw_len *written) {
  if (axis == GW_Z) {
    part->size[axis] = *written;
    *written = gw_part_cut(part, axis, *written);
  } else {
    part->size[axis] = gw_part_stands(part, axis, *written);
  }
}

static gw_status finish_part(gw_draft *d, int index) {
  gw_part *part = &d->model->parts[index];
  int source = d->drafts[index].source;
  if (part->name == NULL) part->name = part->id;
  if (part->tolerance == GW_UNSET || part->tolerance < 0) part->tolerance = 0;
  if (part->density == 0) part->density = 700; /* a middling hardwood, common practice, no source */
  bool complete;
  GW_TRY(check_fields(d, index, &complete));
  if (!complete) return GW_OK;
  if (askew(part) && source >= 0 && askew(&d->model->parts[source])) return GW_OK;
  if (askew(part))
    return gw_find(d->findings, GW_ERROR, "face-edge", part->line,
                   "the face side of %s points %s and its face edge %s; the two stand square to "
                   "each other", part->id, gw_dir_name(part->face), gw_dir_name(part->edge));
  stand_up(part, gw_dir_axis(part->face), &part->thickness);
  stand_up(part, gw_dir_axis(part->edge), &part->width);
  stand_up(part, gw_part_length_axis(part), &part->length);
  gw_len least = part->length;
  if (part->width < least) least = part->width;
  if (part->thickness < least) least = part->thickness;
  bool copied = source >= 0 && d->model->parts[source].tolerance == part->tolerance;
  if (part->tolerance >= least && !copied)
    return gw_find(d->findings, GW_ERROR, "tolerance-too-large", part->line,
                   "the tolerance of %s is as large as the part itself", part->id);
  return GW_OK;
}

static gw_status lay_out_halves(gw_draft *d, int index) {
  gw_model *m = d->model;
  struct gw_draft_part *draft = &d->drafts[index];
  GW_TRY(gw_grow(&m->halves, &d->half_room, (size_t)m->n_halves + draft->count,
                 sizeof *m->halves));
  m->parts[index].first_half = m->n_halves;
  m->parts[index].n_halves = (int)draft->count;
  if (draft->count > 0)
    memcpy(m->halves + m->n_halves, draft->halves, draft->count * sizeof *m->halves);
  m->n_halves += (int)draft->count;
  return GW_OK;
}

gw_status gw_read_copies(gw_draft *d) {
  int written = d->model->n_parts;
  int *stack = calloc((size_t)written + 1, sizeof *stack);
  if (stack == NULL) return GW_NO_MEMORY;
  gw_status status = GW_OK;
  for (int i = 0; i < written && status == GW_OK; ++i)
    if (d->drafts[i].state == 0) status = resolve(d, i, stack);
  free(stack);
  for (int i = 0; i < d->model->n_groups && status == GW_OK; ++i)
    if (d->draft_groups[i].like != NULL) status = copy_group(d, i);
  for (int i = 0; i < d->model->n_parts && status == GW_OK; ++i) {
    status = finish_part(d, i);
    if (status == GW_OK) status = lay_out_halves(d, i);
  }
  return status;
}
