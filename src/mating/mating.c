#include "mating/mating.h"

#include <stdlib.h>
#include <string.h>

/* ---- names of halves ------------------------------------------------------------ */

/* "part/half" for each receiving half, to its index. */
static gw_status enter_names(gw_model *m, gw_names *names, gw_findings *findings) {
  for (int i = 0; i < m->n_halves; ++i) {
    const gw_half *half = &m->halves[i];
    if (half->id == NULL) continue;
    char *full = gw_arena_printf(m->arena, "%s/%s", m->parts[half->part].id, half->id);
    if (full == NULL) return GW_NO_MEMORY;
    gw_status status = gw_names_add(names, full, i);
    if (status != GW_BAD_INPUT) {
      GW_TRY(status);
      continue;
    }
    GW_TRY(gw_find(findings, GW_ERROR, "id-twice", half->line,
                   "part %s has a half %s already, on line %d; give this one another id",
                   m->parts[half->part].id, half->id,
                   m->halves[gw_names_find(names, full)].line));
    GW_TRY(gw_find_part(findings, half->part));
  }
  return GW_OK;
}

/* A half of the same group first, then one of the piece. */
static gw_status look_up(gw_model *m, const gw_names *names, const gw_half *half, int *out) {
  int group = m->parts[half->part].group;
  *out = -1;
  if (group >= 0 && memchr(half->into, '.', strcspn(half->into, "/")) == NULL) {
    char *full = gw_arena_printf(m->arena, "%s.%s", m->groups[group].id, half->into);
    if (full == NULL) return GW_NO_MEMORY;
    *out = gw_names_find(names, full);
  }
  if (*out < 0) *out = gw_names_find(names, half->into);
  return GW_OK;
}

/* The receiving half that the maker may have meant. */
static gw_status say_unknown(gw_model *m, const gw_half *half, gw_findings *findings) {
  char *best = NULL;
  for (int i = 0; i < m->n_halves; ++i) {
    if (m->halves[i].id == NULL) continue;
    char *name = gw_arena_printf(m->arena, "%s/%s", m->parts[m->halves[i].part].id,
                                 m->halves[i].id);
    if (name == NULL) return GW_NO_MEMORY;
    const char *pair[2] = {best == NULL ? "" : best, name};
    if (gw_nearest(half->into, pair, 2) == 1) best = name;
  }
  GW_TRY(gw_find(findings, GW_ERROR, "unknown-half", half->line,
                 "the %s at the %s of %s goes into %s, which is not there%s%s%s", half->element,
                 gw_dir_name(half->at), m->parts[half->part].id, half->into,
                 best == NULL ? "; add the receiving half" : "; did you mean ",
                 best == NULL ? "" : best, best == NULL ? "" : "?"));
  return gw_find_part(findings, half->part);
}

/* ---- pairing ------------------------------------------------------------------------ */

static const char *wanted_for(const char *entering) {
  for (int i = 0; i < GW_KINDS; ++i)
    if (strcmp(gw_kind_of((gw_kind)i)->entering, entering) == 0)
      return gw_kind_of((gw_kind)i)->receiving;
  return "?";
}

static gw_status find_pair(gw_findings *findings, const gw_half *a, const gw_half *b) {
  GW_TRY(gw_find_part(findings, a->part));
  return a->part == b->part ? GW_OK : gw_find_part(findings, b->part);
}

static gw_status check_pair(gw_model *m, int entering, int receiving, gw_findings *findings,
                            bool *mates) {
  const gw_half *e = &m->halves[entering], *r = &m->halves[receiving];
  const char *e_part = m->parts[e->part].id, *r_part = m->parts[r->part].id;
  *mates = false;
  if (e->part == r->part) {
    GW_TRY(gw_find(findings, GW_ERROR, "into-itself", e->line,
                   "the %s of %s goes into %s itself; name a half of another part", e->element,
                   e_part, r_part));
    return find_pair(findings, e, r);
  }
  if (gw_kind_pair(e->element, r->element) == GW_NO_KIND) {
    GW_TRY(gw_find(findings, GW_ERROR, "wrong-kind", e->line,
                   "the %s of %s goes into %s of %s, which is a %s; a %s wants a %s", e->element,
                   e_part, r->id, r_part, r->element, e->element, wanted_for(e->element)));
    return find_pair(findings, e, r);
  }
  *mates = true;
  return GW_OK;
}

static gw_status say_two(gw_model *m, const gw_half *first, const gw_half *second,
                         const gw_half *into, gw_findings *findings) {
  GW_TRY(gw_find(findings, GW_ERROR, "two-into-one", second->line,
                 "the %s of %s goes into %s of %s, and so does the %s of %s (line %d); give each "
                 "its own", second->element, m->parts[second->part].id, into->id,
                 m->parts[into->part].id, first->element, m->parts[first->part].id, first->line));
  GW_TRY(gw_find_part(findings, second->part));
  GW_TRY(gw_find_part(findings, first->part));
  return gw_find_part(findings, into->part);
}

/* The first glue of the file is the piece's own. */
static int glue_of(const gw_model *m, const gw_half *e, const gw_half *r) {
  if (e->glue >= 0) return e->glue;
  if (r->glue >= 0) return r->glue;
  return m->n_glues > 0 ? 0 : -1;
}

static void add_joint(gw_model *m, int entering, int receiving) {
  gw_half *e = &m->halves[entering], *r = &m->halves[receiving];
  gw_joint *joint = &m->joints[m->n_joints];
  joint->entering = entering;
  joint->receiving = receiving;
  joint->kind = gw_kind_pair(e->element, r->element);
  joint->glued = gw_kind_of(joint->kind)->glued;
  if (r->glued >= 0) joint->glued = r->glued;
  if (e->glued >= 0) joint->glued = e->glued;
  joint->glue = joint->glued ? glue_of(m, e, r) : -1;
  e->joint = r->joint = m->n_joints++;
}

static gw_status pair_half(gw_model *m, const gw_names *names, int index, int *taken,
                           gw_findings *findings) {
  gw_half *half = &m->halves[index];
  int receiving;
  GW_TRY(look_up(m, names, half, &receiving));
  if (receiving < 0) return say_unknown(m, half, findings);
  if (taken[receiving] >= 0)
    return say_two(m, &m->halves[taken[receiving]], half, &m->halves[receiving], findings);
  taken[receiving] = index;
  bool mates;
  GW_TRY(check_pair(m, index, receiving, findings, &mates));
  if (mates) add_joint(m, index, receiving);
  return GW_OK;
}

/* ---- what is left over ---------------------------------------------------------------- */

static const char *wanted_by(const char *receiving) {
  for (int i = 0; i < GW_KINDS; ++i)
    if (strcmp(gw_kind_of((gw_kind)i)->receiving, receiving) == 0)
      return gw_kind_of((gw_kind)i)->entering;
  return "?";
}

static gw_status check_left_over(gw_model *m, const int *taken, gw_findings *findings) {
  for (int i = 0; i < m->n_halves; ++i) {
    const gw_half *half = &m->halves[i];
    if (half->enters || taken[i] >= 0) continue;
    GW_TRY(gw_find(findings, GW_ERROR, "left-over", half->line,
                   "nothing goes into the %s %s of %s; give it a %s or take it out",
                   half->element, half->id, m->parts[half->part].id, wanted_by(half->element)));
    GW_TRY(gw_find_part(findings, half->part));
  }
  return GW_OK;
}

static gw_status check_alone(gw_model *m, gw_findings *findings) {
  for (int i = 0; m->n_parts > 1 && i < m->n_parts; ++i) {
    if (m->parts[i].n_halves > 0) continue;
    GW_TRY(gw_find(findings, GW_ERROR, "part-alone", m->parts[i].line,
                   "%s is joined to nothing; give it the half of a joint", m->parts[i].id));
    GW_TRY(gw_find_part(findings, i));
  }
  return GW_OK;
}

static int root_of(int *parent, int i) {
  while (parent[i] != i) i = parent[i] = parent[parent[i]];
  return i;
}

/* A part in each piece that is not joined to the first; parts that are alone
 * have been spoken of. */
static gw_status check_connected(gw_model *m, int *parent, gw_findings *findings) {
  for (int i = 0; i < m->n_parts; ++i) parent[i] = i;
  for (int i = 0; i < m->n_joints; ++i) {
    int a = root_of(parent, gw_joint_enters(m, &m->joints[i]));
    int b = root_of(parent, gw_joint_receives(m, &m->joints[i]));
    if (a < b) parent[b] = a;
    else parent[a] = b;
  }
  int first = -1;
  for (int i = 0; i < m->n_parts; ++i) {
    if (root_of(parent, i) != i || m->parts[i].n_halves == 0) continue;
    if (first < 0) {
      first = i;
      continue;
    }
    GW_TRY(gw_find(findings, GW_ERROR, "not-connected", m->parts[i].line,
                   "no joint leads from %s to %s; the piece falls in two: join them, or keep "
                   "them in two files", m->parts[i].id, m->parts[first].id));
    GW_TRY(gw_find_part(findings, i));
  }
  return GW_OK;
}

static gw_status mate_all(gw_model *m, gw_names *names, int *taken, int *parent,
                          gw_findings *findings) {
  GW_TRY(enter_names(m, names, findings));
  for (int i = 0; i < m->n_halves; ++i) taken[i] = -1;
  size_t before = gw_findings_count_of(findings, GW_ERROR);
  for (int i = 0; i < m->n_halves; ++i)
    if (m->halves[i].enters) GW_TRY(pair_half(m, names, i, taken, findings));
  GW_TRY(check_left_over(m, taken, findings));
  GW_TRY(check_alone(m, findings));
  /* A missing mate leaves the piece in two as well: say the cause only. */
  if (gw_findings_count_of(findings, GW_ERROR) > before) return GW_OK;
  return check_connected(m, parent, findings);
}

gw_status gw_mate(gw_model *m, gw_findings *findings) {
  size_t halves = (size_t)m->n_halves + 1;
  m->joints = gw_arena_alloc(m->arena, halves, sizeof *m->joints);
  gw_names *names = gw_names_new();
  int *taken = malloc(halves * sizeof *taken);
  int *parent = malloc(((size_t)m->n_parts + 1) * sizeof *parent);
  gw_status status = GW_NO_MEMORY;
  if (m->joints != NULL && names != NULL && taken != NULL && parent != NULL)
    status = mate_all(m, names, taken, parent, findings);
  free(parent);
  free(taken);
  gw_names_free(names);
  return status;
}
