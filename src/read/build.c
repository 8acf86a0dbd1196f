/* From a valid document to a model. */
#include <stdlib.h>
#include <string.h>

#include "read/measured.h"
#include "read/parts.h"

/* ---- attributes -------------------------------------------------------------- */

/* The attribute's value as it stands in the document, or NULL when it is absent.
 * Nearly always one text that can be pointed to; else a copy in the arena. */
static gw_status point_at(gw_draft *d, const xmlNode *node, const char *name, const char **out) {
  const xmlAttr *found = node->properties;
  for (; found != NULL; found = found->next) /* most differ in the first letter */
    if (found->name[0] == (xmlChar)*name && strcmp((const char *)found->name, name) == 0) break;
  *out = NULL;
  if (found == NULL) return GW_OK;
  const xmlNode *text = found->children;
  *out = text == NULL ? "" : (const char *)text->content;
  if (text == NULL || (text->next == NULL && text->type == XML_TEXT_NODE && *out != NULL))
    return GW_OK;
  xmlChar *value = xmlNodeListGetString(node->doc, text, 1);
  if (value == NULL) return GW_NO_MEMORY;
  *out = gw_arena_text(d->model->arena, (const char *)value);
  xmlFree(value);
  return *out == NULL ? GW_NO_MEMORY : GW_OK;
}

/* Moves past blanks before the text; returns its length without those behind. */
static size_t trim(const char **text) {
  *text += strspn(*text, " \t\r\n");
  size_t length = strlen(*text);
  while (length > 0 && strchr(" \t\r\n", (*text)[length - 1]) != NULL) --length;
  return length;
}

/* The attribute's value with blanks at its ends taken off, in the model's
 * arena, or NULL when it is absent. */
static gw_status get_text(gw_draft *d, xmlNode *node, const char *name, const char **out) {
  GW_TRY(point_at(d, node, name, out));
  if (*out == NULL) return GW_OK;
  size_t length = trim(out);
  *out = gw_arena_text_n(d->model->arena, *out, length);
  return *out == NULL ? GW_NO_MEMORY : GW_OK;
}

static gw_status get_len(gw_draft *d, xmlNode *node, const char *name, gw_len *out) {
  const char *text;
  *out = GW_UNSET;
  GW_TRY(point_at(d, node, name, &text));
  if (text == NULL) return GW_OK;
  const char *wrong = gw_len_parse(text, d->model->units, out);
  if (wrong == NULL) return GW_OK;
  *out = GW_UNSET;
  int length = (int)trim(&text);
  return gw_find(d->findings, GW_ERROR, "bad-length", gw_read_line(node), "%s=\"%.*s\" %s", name,
                 length, text, wrong);
}

/* A length that must be more than nought. */
static gw_status get_size(gw_draft *d, xmlNode *node, const char *name, gw_len *out) {
  GW_TRY(get_len(d, node, name, out));
  if (*out == GW_UNSET || *out > 0) return GW_OK;
  *out = GW_UNSET;
  return gw_find(d->findings, GW_ERROR, "size-nought", gw_read_line(node),
                 "%s is nought; wood has a size: give the %s as it is cut", name, name);
}

static gw_status get_number(gw_draft *d, xmlNode *node, const char *name, int otherwise, int *out) {
  const char *text;
  *out = otherwise;
  GW_TRY(point_at(d, node, name, &text));
  if (text != NULL) *out = (int)strtol(text, NULL, 10); /* the schema bounds it */
  return GW_OK;
}

/* Tenths of a degree from "18" or "-2.5"; the schema keeps the form. */
static gw_status get_tenths(gw_draft *d, xmlNode *node, const char *name, int otherwise, int *out) {
  const char *text;
  *out = otherwise;
  GW_TRY(get_text(d, node, name, &text));
  if (text == NULL) return GW_OK;
  bool minus = *text == '-';
  if (*text == '-' || *text == '+') ++text;
  int tenths = 0;
  for (; *text >= '0' && *text <= '9'; ++text) tenths = tenths * 10 + (*text - '0');
  tenths *= 10;
  if (*text == '.' && text[1] >= '0' && text[1] <= '9') tenths += text[1] - '0';
  *out = minus ? -tenths : tenths;
  return GW_OK;
}

static gw_status get_seconds(gw_draft *d, xmlNode *node, const char *name, int *out) {
  const char *text;
  *out = -1;
  GW_TRY(get_text(d, node, name, &text));
  if (text == NULL) return GW_OK;
  long total = 0;
  while (*text != '\0') {
    char *end;
    long number = strtol(text, &end, 10);
    text = end + strspn(end, " ");
    total += number * (*text == 'h' ? 3600 : *text == 'm' ? 60 : 1);
    while (*text != '\0' && (*text < '0' || *text > '9')) ++text;
  }
  *out = (int)total;
  if (total > 0) return GW_OK;
  *out = -1;
  return gw_find(d->findings, GW_ERROR, "size-nought", gw_read_line(node),
                 "%s is no time at all; give it as the glue's label does, such as 6 min", name);
}

static gw_status get_yes_no(gw_draft *d, xmlNode *node, const char *name, int *out) {
  const char *text;
  *out = -1;
  GW_TRY(point_at(d, node, name, &text));
  if (text != NULL) *out = trim(&text) == 3 && strncmp(text, "yes", 3) == 0;
  return GW_OK;
}

static gw_dir dir_named(const char *text, size_t length) {
  for (int dir = 0; dir < 6; ++dir)
    if (strlen(gw_dir_name((gw_dir)dir)) == length &&
        strncmp(gw_dir_name((gw_dir)dir), text, length) == 0)
      return (gw_dir)dir;
  return GW_NO_DIR;
}

static gw_status get_dir(gw_draft *d, xmlNode *node, const char *name, gw_dir *out) {
  const char *text;
  *out = GW_NO_DIR;
  GW_TRY(point_at(d, node, name, &text));
  if (text == NULL) return GW_OK;
  size_t length = trim(&text);
  *out = dir_named(text, length);
  return GW_OK;
}

/* Hundredths of n from "1:n". */
static gw_status get_slope(gw_draft *d, xmlNode *node, int *out) {
  const char *text;
  *out = 0;
  GW_TRY(get_text(d, node, "slope", &text));
  if (text == NULL) return GW_OK;
  int places = -1, value = 0;
  for (text += 2; *text != '\0'; ++text) {
    if (*text == '.') {
      places = 0;
    } else {
      value = value * 10 + (*text - '0');
      if (places >= 0) ++places;
    }
  }
  for (; places < 2; places = places < 0 ? 1 : places + 1) value *= 10;
  *out = value;
  return GW_OK;
}

/* ---- splay ----------------------------------------------------------------------- */

/* Hundredths from "7" or "7.25"; *text is left behind the number. */
static int hundredths(const char **text) {
  int value = 0, places = -1;
  for (; (**text >= '0' && **text <= '9') || **text == '.'; ++*text) {
    if (**text == '.') {
      places = 0;
    } else if (places < 2) {
      value = value * 10 + (**text - '0');
      if (places >= 0) ++places;
    }
  }
  for (int i = places < 0 ? 0 : places; i < 2; ++i) value *= 10;
  return value;
}

/* The lean of "7.5" (degrees) or "1:8"; the schema keeps the form.  Above
 * GW_LEAN_MOST for what is steeper than that, and for 1:0. */
static int32_t lean_of(const char **text) {
  const bool slope = strncmp(*text, "1:", 2) == 0;
  if (slope) *text += 2;
  int value = hundredths(text);
  if (!slope) return value > 4500 ? GW_LEAN_MOST + 1 : gw_lean_of_degrees(value);
  return value < 100 ? GW_LEAN_MOST + 1 : (100 * GW_LEAN_ONE + value / 2) / value;
}

/* "left 7 front 1:10": the sides to which the lower end is carried out, so that
 * going up leads the other way. */
static gw_status get_splay(gw_draft *d, xmlNode *node, gw_part *part) {
  const char *text;
  GW_TRY(get_text(d, node, "splay", &text));
  bool given[2] = {false, false};
  part->splayed = text != NULL;
  while (text != NULL && *text != '\0') {
    size_t length = strcspn(text, " \t\r\n");
    gw_dir side = dir_named(text, length);
    text += length + strspn(text + length, " \t\r\n");
    int32_t lean = lean_of(&text);
    text += strspn(text, " \t\r\n");
    int axis = gw_dir_axis(side);
    if (lean > GW_LEAN_MOST)
      return gw_find(d->findings, GW_ERROR, "splay-steep", gw_read_line(node),
                     "a part that leans by more than 45 degrees lies rather than stands; describe "
                     "it lying, or give it less splay");
    if (given[axis])
      return gw_find(d->findings, GW_ERROR, "splay-twice", gw_read_line(node),
                     "splay=\"…\" carries the foot along one line twice; give it once to the left or "
                     "right and once to the front or back");
    given[axis] = true;
    part->lean[axis] = -gw_dir_sign(side) * lean;
  }
  return GW_OK;
}

static gw_status get_open(gw_draft *d, xmlNode *node, gw_half *half) {
  const char *text;
  GW_TRY(get_text(d, node, "open", &text));
  half->open_stated = text != NULL;
  while (text != NULL && *text != '\0') {
    size_t length = strcspn(text, " \t\r\n");
    gw_dir dir = dir_named(text, length);
    if (dir != GW_NO_DIR) half->open |= 1u << dir;
    text += length;
    text += strspn(text, " \t\r\n");
  }
  return GW_OK;
}

/* Adds a zeroed item to an array of the model while it is a draft. */
#define ADD(d, array, count, room) \
  gw_grow(&(d)->model->array, &(d)->room, (size_t)(d)->model->count + 1, sizeof *(d)->model->array)

/* ---- halves --------------------------------------------------------------------- */

static gw_status read_half_sizes(gw_draft *d, xmlNode *node, gw_half *half) {
  static const char *const from[6] = {"from-left", "from-right",  "from-front",
                                      "from-back", "from-bottom", "from-top"};
  GW_TRY(get_size(d, node, "thickness", &half->thickness));
  GW_TRY(get_size(d, node, "width", &half->width));
  GW_TRY(get_size(d, node, "depth", &half->depth));
  for (int i = 0; i < 6; ++i) GW_TRY(get_len(d, node, from[i], &half->from[i]));
  GW_TRY(get_size(d, node, "lap", &half->lap));
  GW_TRY(get_len(d, node, "inset", &half->inset));
  GW_TRY(get_number(d, node, "count", 0, &half->count));
  GW_TRY(get_slope(d, node, &half->slope));
  if (half->slope != 0 || xmlHasProp(node, (const xmlChar *)"slope") == NULL) return GW_OK;
  return gw_find(d->findings, GW_ERROR, "size-nought", gw_read_line(node),
                 "a slope of 1:0 is no slope; write 1:6 or 1:8");
}

static gw_status read_glue_of_half(gw_draft *d, xmlNode *node, gw_half *half) {
  const char *glue;
  half->glue = -1;
  GW_TRY(get_text(d, node, "glue", &glue));
  if (glue == NULL) return GW_OK;
  for (int i = 0; i < d->model->n_glues; ++i)
    if (strcmp(d->model->glues[i].id, glue) == 0) half->glue = i;
  if (half->glue >= 0) return GW_OK;
  return gw_find(d->findings, GW_ERROR, "unknown-glue", half->line,
                 "glue=\"%s\" is not a <glue> of this file; give the id of one", glue);
}

/* The element's name from the table of kinds: static storage. */
static const char *element_name(const char *name) {
  for (int i = 0; i < GW_KINDS; ++i) {
    const gw_kind_row *row = gw_kind_of((gw_kind)i);
    if (strcmp(row->entering, name) == 0) return row->entering;
    if (strcmp(row->receiving, name) == 0) return row->receiving;
  }
  return NULL;
}

static gw_status check_id(gw_draft *d, const gw_half *half) {
  const struct gw_draft_part *draft = &d->drafts[half->part];
  for (size_t i = 0; half->id != NULL && i < draft->count; ++i)
    if (draft->halves[i].id != NULL && strcmp(draft->halves[i].id, half->id) == 0)
      return gw_find(d->findings, GW_ERROR, "id-twice", half->line,
                     "part %s has a half %s already, on line %d; give this one another id",
                     d->model->parts[half->part].id, half->id, draft->halves[i].line);
  return GW_OK;
}

gw_status gw_read_more_halves(gw_draft *d, int line, size_t has, size_t more) {
  d->all_halves += more;
  if (has + more <= GW_READ_MAX_HALVES && d->all_halves <= GW_READ_MAX_ALL_HALVES) return GW_OK;
  GW_TRY(gw_find(d->findings, GW_ERROR, "too-many", line,
                 "a part has more than %d halves of joints, or all parts together more than %d",
                 GW_READ_MAX_HALVES, GW_READ_MAX_ALL_HALVES));
  return GW_BAD_INPUT;
}

static gw_status read_half(gw_draft *d, xmlNode *node, int part) {
  struct gw_draft_part *draft = &d->drafts[part];
  GW_TRY(gw_read_more_halves(d, gw_read_line(node), draft->count, 1));
  gw_half half = {.part = part, .line = gw_read_line(node), .joint = -1};
  half.element = element_name((const char *)node->name);
  if (half.element == NULL) return GW_INTERNAL; /* the schema let it through */
  half.enters = gw_kind_enters(half.element);
  int through, plumb;
  GW_TRY(get_text(d, node, "id", &half.id));
  GW_TRY(check_id(d, &half));
  GW_TRY(get_text(d, node, "into", &half.into));
  GW_TRY(get_dir(d, node, "at", &half.at));
  GW_TRY(read_half_sizes(d, node, &half));
  GW_TRY(get_yes_no(d, node, "glued", &half.glued));
  GW_TRY(get_yes_no(d, node, "through", &through));
  half.through = through == 1;
  GW_TRY(get_yes_no(d, node, "plumb", &plumb));
  half.plumb = plumb == 1 && gw_dir_axis(half.at) == GW_Z; /* what lies level is plumb anyhow */
  GW_TRY(read_glue_of_half(d, node, &half));
  GW_TRY(get_open(d, node, &half));
  GW_TRY(gw_grow(&draft->halves, &draft->room, draft->count + 1, sizeof *draft->halves));
  draft->halves[draft->count++] = half;
  return GW_OK;
}

/* There are limits, since later rooms compare each with each. */
static gw_status count_one(gw_draft *d, const xmlNode *node, int most, int *count) {
  if (++*count <= most) return GW_OK;
  GW_TRY(gw_find(d->findings, GW_ERROR, "too-many", gw_read_line(node),
                 "there are more than %d <%s> here; a piece needs far fewer", most,
                 (const char *)node->name));
  return GW_BAD_INPUT;
}

/* ---- parts ------------------------------------------------------------------------ */

static gw_status read_part_fields(gw_draft *d, xmlNode *node, gw_part *part) {
  const char *text;
  GW_TRY(get_text(d, node, "id", &part->id));
  GW_TRY(get_text(d, node, "name", &part->name));
  GW_TRY(get_text(d, node, "material", &text));
  part->material = text;
  GW_TRY(get_size(d, node, "length", &part->length));
  GW_TRY(get_size(d, node, "width", &part->width));
  GW_TRY(get_size(d, node, "thickness", &part->thickness));
  GW_TRY(get_dir(d, node, "face", &part->face));
  GW_TRY(get_dir(d, node, "edge", &part->edge));
  GW_TRY(get_len(d, node, "tolerance", &part->tolerance));
  GW_TRY(get_splay(d, node, part));
  GW_TRY(get_text(d, node, "cut", &text));
  if (text != NULL) part->cut = strcmp(text, "quarter") == 0 ? GW_CUT_QUARTER : GW_CUT_FLAT;
  return get_number(d, node, "density", 0, &part->density);
}

static gw_status read_part_copying(gw_draft *d, xmlNode *node, struct gw_draft_part *draft) {
  GW_TRY(get_text(d, node, "like", &draft->like));
  GW_TRY(get_text(d, node, "mirror-of", &draft->mirror_of));
  GW_TRY(get_text(d, node, "turned", &draft->turned));
  GW_TRY(get_text(d, node, "mirrored", &draft->mirrored));
  return get_text(d, node, "into", &draft->into);
}

/* Makes room for one more part and its draft; sets *index. */
static gw_status add_part(gw_draft *d, int *index) {
  GW_TRY(ADD(d, parts, n_parts, part_room));
  GW_TRY(gw_grow(&d->drafts, &d->draft_room, (size_t)d->model->n_parts + 1, sizeof *d->drafts));
  *index = d->model->n_parts++;
  return GW_OK;
}

/* Gives the part its full name and enters it in the table of names. */
static gw_status name_part(gw_draft *d, int index) {
  gw_part *part = &d->model->parts[index];
  if (part->group >= 0) {
    part->id = gw_arena_printf(d->model->arena, "%s.%s", d->model->groups[part->group].id, part->id);
    if (part->id == NULL) return GW_NO_MEMORY;
  }
  gw_status status = gw_names_add(d->part_names, part->id, index);
  if (status != GW_BAD_INPUT) return status;
  int first = gw_names_find(d->part_names, part->id);
  return gw_find(d->findings, GW_ERROR, "id-twice", part->line,
                 "there is a part %s already, on line %d; give this one another id", part->id,
                 d->model->parts[first].line);
}

/* Room for the halves that stand on the part, and no more: there are many parts. */
static gw_status make_room(struct gw_draft_part *draft, xmlNode *node) {
  size_t count = 0;
  for (const xmlNode *child = node->children; child != NULL; child = child->next)
    count += child->type == XML_ELEMENT_NODE;
  if (count == 0) return GW_OK;
  if (count > GW_READ_MAX_HALVES) count = GW_READ_MAX_HALVES;
  draft->halves = calloc(count, sizeof *draft->halves);
  if (draft->halves == NULL) return GW_NO_MEMORY;
  draft->room = count;
  return GW_OK;
}

static gw_status read_part(gw_draft *d, xmlNode *node, int group) {
  int index, count = d->model->n_parts;
  GW_TRY(count_one(d, node, GW_READ_MAX_PARTS, &count));
  GW_TRY(add_part(d, &index));
  gw_part part = {.line = gw_read_line(node), .group = group};
  size_t before = gw_findings_count(d->findings);
  GW_TRY(read_part_fields(d, node, &part));
  d->drafts[index].lost = gw_findings_count(d->findings) > before;
  d->model->parts[index] = part;
  GW_TRY(name_part(d, index));
  GW_TRY(read_part_copying(d, node, &d->drafts[index]));
  GW_TRY(make_room(&d->drafts[index], node));
  for (xmlNode *child = node->children; child != NULL; child = child->next)
    if (child->type == XML_ELEMENT_NODE) GW_TRY(read_half(d, child, index));
  return GW_OK;
}

/* ---- groups ------------------------------------------------------------------------- */

static gw_status read_group_half(gw_draft *d, xmlNode *node, int group) {
  const char *name;
  GW_TRY(get_text(d, node, "part", &name));
  const struct gw_draft_group *draft = &d->draft_groups[group];
  size_t prefix = strlen(d->model->groups[group].id) + 1;
  for (int i = draft->first_part; i < draft->first_part + draft->n_parts; ++i)
    if (strcmp(d->model->parts[i].id + prefix, name) == 0) {
      d->drafts[i].grouped++;
      return read_half(d, node, i);
    }
  return gw_find(d->findings, GW_ERROR, "unknown-part", gw_read_line(node),
                 "part=\"%s\" is not a part of group %s; give the id of a part inside it", name,
                 d->model->groups[group].id);
}

static bool is_part(const xmlNode *node) { return strcmp((const char *)node->name, "part") == 0; }

static gw_status read_group(gw_draft *d, xmlNode *node) {
  GW_TRY(ADD(d, groups, n_groups, group_room));
  GW_TRY(gw_grow(&d->draft_groups, &d->draft_group_room, (size_t)d->model->n_groups + 1,
                 sizeof *d->draft_groups));
  int index = d->model->n_groups++;
  gw_group *group = &d->model->groups[index];
  struct gw_draft_group *draft = &d->draft_groups[index];
  group->line = gw_read_line(node);
  group->parent = -1;
  GW_TRY(get_text(d, node, "id", &group->id));
  GW_TRY(get_text(d, node, "name", &group->name));
  if (group->name == NULL) group->name = group->id;
  GW_TRY(get_text(d, node, "like", &draft->like));
  GW_TRY(get_text(d, node, "into", &draft->into));
  for (int i = 0; i < index; ++i)
    if (strcmp(d->model->groups[i].id, group->id) == 0)
      GW_TRY(gw_find(d->findings, GW_ERROR, "id-twice", group->line,
                     "there is a group %s already, on line %d; give this one another id",
                     group->id, d->model->groups[i].line));
  draft->first_part = d->model->n_parts;
  for (xmlNode *child = node->children; child != NULL; child = child->next)
    if (child->type == XML_ELEMENT_NODE && is_part(child)) GW_TRY(read_part(d, child, index));
  draft = &d->draft_groups[index];
  draft->n_parts = d->model->n_parts - draft->first_part;
  for (xmlNode *child = node->children; child != NULL; child = child->next)
    if (child->type == XML_ELEMENT_NODE && !is_part(child)) GW_TRY(read_group_half(d, child, index));
  return GW_OK;
}

/* ---- shop, glue, rules ------------------------------------------------------------------ */

static gw_status read_seasons(gw_draft *d, xmlNode *node, gw_shop *shop) {
  GW_TRY(get_number(d, node, "driest", shop->driest_pc, &shop->driest_pc));
  GW_TRY(get_number(d, node, "dampest", shop->dampest_pc, &shop->dampest_pc));
  if (shop->driest_pc <= shop->dampest_pc) return GW_OK;
  return gw_find(d->findings, GW_ERROR, "range-reversed", shop->line,
                 "the driest air of the year has %d %% and the dampest %d %%; the driest has the "
                 "smaller number", shop->driest_pc, shop->dampest_pc);
}

static gw_status read_shop(gw_draft *d, xmlNode *node) {
  gw_shop *shop = &d->model->shop;
  if (shop->line > 0)
    GW_TRY(gw_find(d->findings, GW_ERROR, "shop-twice", gw_read_line(node),
                   "the shop is described on line %d already; keep one <shop>", shop->line));
  shop->line = gw_read_line(node);
  GW_TRY(get_tenths(d, node, "temperature", 200, &shop->temperature_dc));
  GW_TRY(get_number(d, node, "humidity", 50, &shop->humidity_pc));
  GW_TRY(read_seasons(d, node, shop));
  GW_TRY(get_number(d, node, "hands", 1, &shop->hands));
  GW_TRY(get_number(d, node, "margin", 25, &shop->margin_pc));
  for (xmlNode *child = node->children; child != NULL; child = child->next) {
    if (child->type != XML_ELEMENT_NODE) continue;
    GW_TRY(gw_grow(&shop->clamps, &d->clamp_room, (size_t)shop->n_clamps + 1,
                   sizeof *shop->clamps));
    gw_clamps *clamps = &shop->clamps[shop->n_clamps++];
    clamps->line = gw_read_line(child);
    GW_TRY(get_text(d, child, "kind", &clamps->kind));
    GW_TRY(get_number(d, child, "count", 1, &clamps->count));
    GW_TRY(get_size(d, child, "opening", &clamps->opening));
    GW_TRY(get_number(d, child, "force", 0, &clamps->force_n));
  }
  return GW_OK;
}

static gw_status read_glue(gw_draft *d, xmlNode *node) {
  GW_TRY(ADD(d, glues, n_glues, glue_room));
  gw_glue *glue = &d->model->glues[d->model->n_glues];
  glue->line = gw_read_line(node);
  GW_TRY(get_text(d, node, "id", &glue->id));
  GW_TRY(get_text(d, node, "kind", &glue->kind));
  GW_TRY(get_seconds(d, node, "open", &glue->open_s));
  GW_TRY(get_seconds(d, node, "closed", &glue->closed_s));
  GW_TRY(get_seconds(d, node, "clamp", &glue->clamp_s));
  GW_TRY(get_seconds(d, node, "cure", &glue->cure_s));
  GW_TRY(get_seconds(d, node, "pot", &glue->pot_s));
  GW_TRY(get_tenths(d, node, "lowest", -1000, &glue->lowest_dc));
  GW_TRY(get_number(d, node, "spread", -1, &glue->spread_gm2));
  GW_TRY(get_number(d, node, "pressure", -1, &glue->pressure_kpa));
  for (int i = 0; i < d->model->n_glues; ++i)
    if (strcmp(d->model->glues[i].id, glue->id) == 0)
      GW_TRY(gw_find(d->findings, GW_ERROR, "id-twice", glue->line,
                     "there is a glue %s already, on line %d; give this one another id", glue->id,
                     d->model->glues[i].line));
  d->model->n_glues++;
  return GW_OK;
}

static gw_status read_fit(gw_draft *d, xmlNode *node) {
  GW_TRY(ADD(d, fits, n_fits, fit_room));
  gw_fit_rule *fit = &d->model->fits[d->model->n_fits++];
  const char *kind;
  GW_TRY(get_text(d, node, "kind", &kind));
  GW_TRY(get_len(d, node, "tight", &fit->tight));
  GW_TRY(get_len(d, node, "loose", &fit->loose));
  for (int i = 0; i < GW_KINDS; ++i)
    if (strcmp(gw_kind_of((gw_kind)i)->code, kind) == 0) fit->kind = (gw_kind)i;
  if (fit->tight <= fit->loose) return GW_OK;
  return gw_find(d->findings, GW_ERROR, "range-reversed", gw_read_line(node),
                 "tight is more than loose; the least room comes first");
}

static gw_rate_action rate_action(const char *word) {
  static const char *const words[] = {"spread", "bring", "clamp", "square"};
  int action = 0;
  while (strcmp(words[action], word) != 0 && action < GW_RATE_SQUARE) ++action;
  return (gw_rate_action)action;
}

/* The schema keeps the words; that a rate is there once only is checked here. */
static gw_status read_rate(gw_draft *d, xmlNode *node) {
  gw_rate rate = {.kind = GW_NO_KIND, .line = gw_read_line(node)};
  const char *action, *joint;
  GW_TRY(get_text(d, node, "action", &action));
  GW_TRY(get_text(d, node, "joint", &joint));
  GW_TRY(get_seconds(d, node, "time", &rate.seconds));
  if (rate.seconds < 0) return GW_OK;
  rate.action = rate_action(action);
  for (int i = 0; joint != NULL && i < GW_KINDS; ++i)
    if (strcmp(gw_kind_of((gw_kind)i)->code, joint) == 0) rate.kind = (gw_kind)i;
  if (joint != NULL && rate.action != GW_RATE_SPREAD)
    return gw_find(d->findings, GW_ERROR, "rate-joint", rate.line,
                   "joint=\"%s\" belongs to a spreading rate; leave it out of action=\"%s\"", joint,
                   action);
  for (int i = 0; i < d->model->n_rates; ++i) {
    const gw_rate *other = &d->model->rates[i];
    if (other->action == rate.action && other->kind == rate.kind)
      return gw_find(d->findings, GW_ERROR, "rate-twice", rate.line,
                     "this rate is given on line %d already; keep one of the two", other->line);
  }
  GW_TRY(ADD(d, rates, n_rates, rate_room));
  d->model->rates[d->model->n_rates++] = rate;
  return GW_OK;
}

gw_status gw_read_part_named(gw_draft *d, int line, const char *word, int *out) {
  *out = gw_names_find(d->part_names, word);
  if (*out >= 0) return GW_OK;
  enum { SEARCHES_MOST = 100 }; /* a file with more wrong names has another fault */
  int best = -1;
  bool search = d->searched++ < SEARCHES_MOST;
  for (int i = 0; search && i < d->model->n_parts; ++i) {
    const char *pair[2] = {best < 0 ? "" : d->model->parts[best].id, d->model->parts[i].id};
    if (gw_nearest(word, pair, 2) == 1) best = i;
  }
  return gw_find(d->findings, GW_ERROR, "unknown-part", line,
                 "there is no part %s%s%s%s", word, best < 0 ? "; give the id of a part" : "; did you mean ",
                 best < 0 ? "" : d->model->parts[best].id, best < 0 ? "" : "?");
}

static gw_status wish_part(gw_draft *d, gw_wish *wish, const char *word) {
  int part;
  GW_TRY(gw_read_part_named(d, wish->line, word, &part));
  if (part >= 0) wish->parts[wish->n_parts++] = part;
  return GW_OK;
}

static gw_status read_wish(gw_draft *d, xmlNode *node) {
  GW_TRY(ADD(d, wishes, n_wishes, wish_room));
  gw_wish *wish = &d->model->wishes[d->model->n_wishes++];
  bool first = strcmp((const char *)node->name, "before") != 0;
  bool alone = strcmp((const char *)node->name, "alone") == 0;
  wish->kind = alone ? GW_WISH_ALONE : first ? GW_WISH_FIRST : GW_WISH_BEFORE;
  wish->line = gw_read_line(node);
  const char *words[2];
  GW_TRY(get_text(d, node, first ? "parts" : "part", &words[0]));
  GW_TRY(get_text(d, node, "then", &words[1]));
  size_t room = strlen(words[0]) / 2 + 2;
  wish->parts = gw_arena_alloc(d->model->arena, room, sizeof *wish->parts);
  char *list = gw_arena_text(d->model->arena, words[0]);
  if (wish->parts == NULL || list == NULL) return GW_NO_MEMORY;
  char *rest;
  for (char *word = strtok_r(list, " \t\r\n", &rest); word != NULL;
       word = strtok_r(NULL, " \t\r\n", &rest))
    GW_TRY(wish_part(d, wish, word));
  return first ? GW_OK : wish_part(d, wish, words[1]);
}

/* A margin or a gap: none unless stated. */
static gw_status get_gap(gw_draft *d, xmlNode *node, const char *name, gw_len *out) {
  GW_TRY(get_len(d, node, name, out));
  if (*out == GW_UNSET) *out = 0;
  return GW_OK;
}

static gw_status read_labels(gw_draft *d, xmlNode *node) {
  gw_label_sheet *sheet = &d->model->labels;
  GW_TRY(get_number(d, node, "columns", 0, &sheet->columns));
  GW_TRY(get_number(d, node, "rows", 0, &sheet->rows));
  GW_TRY(get_number(d, node, "first", 1, &sheet->first));
  GW_TRY(get_size(d, node, "width", &sheet->width));
  GW_TRY(get_size(d, node, "height", &sheet->height));
  GW_TRY(get_gap(d, node, "left", &sheet->left));
  GW_TRY(get_gap(d, node, "top", &sheet->top));
  GW_TRY(get_gap(d, node, "gap-x", &sheet->gap_x));
  return get_gap(d, node, "gap-y", &sheet->gap_y);
}

static gw_status read_lay(gw_draft *d, xmlNode *node) { return get_dir(d, node, "side", &d->model->lay); }

static gw_status read_weights(gw_draft *d, xmlNode *node) {
  gw_weights *w = &d->model->weights;
  GW_TRY(get_number(d, node, "align", -1, &w->align));
  GW_TRY(get_number(d, node, "beside", -1, &w->beside));
  GW_TRY(get_number(d, node, "loose", -1, &w->loose));
  GW_TRY(get_number(d, node, "hands", -1, &w->hands));
  GW_TRY(get_number(d, node, "direction", -1, &w->direction));
  GW_TRY(get_number(d, node, "mass", -1, &w->mass));
  GW_TRY(get_number(d, node, "slide", -1, &w->slide));
  GW_TRY(get_number(d, node, "turn", -1, &w->turn));
  return get_number(d, node, "against", -1, &w->against);
}

static gw_status read_gauge(gw_draft *d, xmlNode *node) {
  GW_TRY(ADD(d, gauges, n_gauges, gauge_room));
  gw_gauge *gauge = &d->model->gauges[d->model->n_gauges++];
  const char *from, *to;
  gauge->line = gw_read_line(node);
  GW_TRY(get_text(d, node, "name", &gauge->name));
  GW_TRY(get_text(d, node, "from", &from));
  GW_TRY(get_text(d, node, "to", &to));
  GW_TRY(get_dir(d, node, "from-side", &gauge->side[0]));
  GW_TRY(get_dir(d, node, "to-side", &gauge->side[1]));
  GW_TRY(get_len(d, node, "least", &gauge->least));
  GW_TRY(get_len(d, node, "most", &gauge->most));
  GW_TRY(gw_read_part_named(d, gauge->line, from, &gauge->part[0]));
  GW_TRY(gw_read_part_named(d, gauge->line, to, &gauge->part[1]));
  if (gw_dir_axis(gauge->side[0]) != gw_dir_axis(gauge->side[1]))
    GW_TRY(gw_find(d->findings, GW_ERROR, "gauge-askew", gauge->line,
                   "the two sides of a gauge must lie along one line: %s and %s do not",
                   gw_dir_name(gauge->side[0]), gw_dir_name(gauge->side[1])));
  if (gauge->least > gauge->most)
    GW_TRY(gw_find(d->findings, GW_ERROR, "range-reversed", gauge->line,
                   "least is more than most; the smaller distance comes first"));
  return GW_OK;
}

static bool measured_already(const gw_draft *d, const gw_measured *it) {
  for (int i = 0; i < d->model->n_measured; ++i) {
    const gw_measured *other = &d->model->measured[i];
    if (other->part == it->part && other->half == it->half && other->which == it->which)
      return true;
  }
  return false;
}

static gw_status read_measured(gw_draft *d, xmlNode *node) {
  gw_measured it = {.line = gw_read_line(node)};
  const char *part, *half, *size;
  int index;
  GW_TRY(get_text(d, node, "part", &part));
  GW_TRY(get_text(d, node, "half", &half));
  GW_TRY(get_text(d, node, "size", &size));
  GW_TRY(gw_read_part_named(d, it.line, part, &index));
  if (index < 0) return GW_OK;
  const char *wrong = gw_measured_find(d->model, index, half, size, &it);
  if (wrong != NULL)
    return gw_find(d->findings, GW_ERROR, "measured-where", it.line, "size=\"%s\" of %s%s%s %s", size,
                   part, half == NULL ? "" : "/", half == NULL ? "" : half, wrong);
  GW_TRY(it.which < GW_MEASURED_INSET ? get_size(d, node, "value", &it.value)
                                      : get_len(d, node, "value", &it.value));
  if (it.value == GW_UNSET) return GW_OK;
  if (measured_already(d, &it))
    return gw_find(d->findings, GW_ERROR, "measured-twice", it.line,
                   "the %s of %s%s%s is measured twice; keep the later one", size, part,
                   half == NULL ? "" : "/", half == NULL ? "" : half);
  GW_TRY(ADD(d, measured, n_measured, measured_room));
  d->model->measured[d->model->n_measured++] = it;
  return GW_OK;
}

/* ---- the whole ------------------------------------------------------------------------------ */

/* Elements that others refer to are read first, so that the order in the file
 * is free. */
typedef gw_status reading(gw_draft *d, xmlNode *node);
static gw_status read_top_part(gw_draft *d, xmlNode *node) { return read_part(d, node, -1); }

/* The stretch of that name, or a new one; NULL when there are too many. */
static struct gw_draft_stretch *stretch_of(gw_draft *d, const xmlChar *name) {
  for (int i = d->n_stretches - 1; i >= 0; --i)
    if (xmlStrEqual(d->stretches[i].name, name)) return &d->stretches[i];
  if (d->n_stretches == GW_READ_STRETCHES) return NULL;
  d->stretches[d->n_stretches].name = name;
  return &d->stretches[d->n_stretches++];
}

/* One walk over the children finds where each name begins and ends, so that the
 * thousands of one are not walked over for each of the others. */
static gw_status find_stretches(gw_draft *d, xmlNode *root) {
  for (xmlNode *child = root->children; child != NULL; child = child->next) {
    if (child->type != XML_ELEMENT_NODE) continue;
    struct gw_draft_stretch *stretch = stretch_of(d, child->name);
    if (stretch == NULL) return GW_INTERNAL; /* the schema let it through */
    if (stretch->first == NULL) stretch->first = child;
    stretch->last = child;
  }
  return GW_OK;
}

static gw_status read_most(gw_draft *d, const char *name, int most, reading *read) {
  int count = 0;
  const struct gw_draft_stretch *stretch = d->stretches, *end = stretch + d->n_stretches;
  while (stretch < end && strcmp((const char *)stretch->name, name) != 0) ++stretch;
  if (stretch == end) return GW_OK;
  for (xmlNode *child = stretch->first; child != stretch->last->next; child = child->next) {
    if (child->type != XML_ELEMENT_NODE || !xmlStrEqual(child->name, stretch->name)) continue;
    GW_TRY(count_one(d, child, most, &count));
    GW_TRY(read(d, child));
  }
  return GW_OK;
}

static gw_status read_all(gw_draft *d, const char *name, reading *read) {
  return read_most(d, name, GW_READ_MAX_RULES, read);
}

static gw_status read_piece(gw_draft *d, xmlNode *root) {
  const char *units, *marks;
  d->model->line = gw_read_line(root);
  GW_TRY(get_text(d, root, "name", &d->model->name));
  GW_TRY(get_text(d, root, "units", &units));
  GW_TRY(get_text(d, root, "marks", &marks));
  GW_TRY(get_number(d, root, "copies", 1, &d->model->copies));
  d->model->units = units != NULL && strcmp(units, "in") == 0 ? GW_UNITS_INCH : GW_UNITS_MM;
  d->model->skip_marks = marks != NULL && strcmp(marks, "skip") == 0;
  GW_TRY(find_stretches(d, root));
  GW_TRY(read_all(d, "shop", read_shop));
  GW_TRY(read_all(d, "glue", read_glue));
  GW_TRY(read_all(d, "fit", read_fit));
  GW_TRY(read_all(d, "rate", read_rate));
  GW_TRY(read_most(d, "part", GW_READ_MAX_PARTS, read_top_part));
  GW_TRY(read_all(d, "group", read_group));
  if (d->model->n_parts == 0)
    GW_TRY(gw_find(d->findings, GW_ERROR, "no-parts", d->model->line,
                   "the piece has no parts; describe each with a <part>"));
  GW_TRY(gw_read_copies(d));
  GW_TRY(read_all(d, "first", read_wish));
  GW_TRY(read_all(d, "before", read_wish));
  GW_TRY(read_all(d, "alone", read_wish));
  GW_TRY(read_all(d, "lay", read_lay));
  GW_TRY(read_all(d, "weights", read_weights));
  GW_TRY(read_all(d, "labels", read_labels));
  GW_TRY(read_all(d, "gauge", read_gauge));
  return read_all(d, "measured", read_measured);
}

/* Moves a grown array into the model's arena, so that the model has one
 * owner.  Called for each array at the end, whatever the outcome. */
static gw_status settle(gw_model *model, void *items, int count, size_t size) {
  void *grown;
  memcpy(&grown, items, sizeof grown);
  if (grown == NULL) return GW_OK;
  void *kept = gw_arena_alloc(model->arena, (size_t)count, size);
  if (kept != NULL) memcpy(kept, grown, (size_t)count * size);
  free(grown);
  memcpy(items, &kept, sizeof kept);
  return kept == NULL ? GW_NO_MEMORY : GW_OK;
}

static gw_status settle_all(gw_model *m) {
  gw_status all[] = {
      settle(m, &m->parts, m->n_parts, sizeof *m->parts),
      settle(m, &m->halves, m->n_halves, sizeof *m->halves),
      settle(m, &m->groups, m->n_groups, sizeof *m->groups),
      settle(m, &m->glues, m->n_glues, sizeof *m->glues),
      settle(m, &m->shop.clamps, m->shop.n_clamps, sizeof *m->shop.clamps),
      settle(m, &m->fits, m->n_fits, sizeof *m->fits),
      settle(m, &m->rates, m->n_rates, sizeof *m->rates),
      settle(m, &m->wishes, m->n_wishes, sizeof *m->wishes),
      settle(m, &m->gauges, m->n_gauges, sizeof *m->gauges),
      settle(m, &m->measured, m->n_measured, sizeof *m->measured),
  };
  for (size_t i = 0; i < sizeof all / sizeof *all; ++i) GW_TRY(all[i]);
  return GW_OK;
}

gw_status gw_read_build(xmlDocPtr doc, gw_model *model, gw_findings *findings) {
  gw_draft draft = {.model = model, .findings = findings, .part_names = gw_names_new()};
  gw_status status =
      draft.part_names == NULL ? GW_NO_MEMORY : read_piece(&draft, xmlDocGetRootElement(doc));
  for (size_t i = 0; i < draft.draft_room; ++i) free(draft.drafts[i].halves);
  free(draft.drafts);
  free(draft.draft_groups);
  gw_names_free(draft.part_names);
  gw_status settled = settle_all(model);
  return status == GW_OK ? settled : status;
}
