#include "mating/mating.h"

#include <stdlib.h>
#include <string.h>

/* What is known while halves are paired.  For each half: `goes` is where it
 * goes (-1: nowhere), `named` how many go there, `taken` which one does (-1:
 * none), and `hinted` that a finding has spoken of it already. */
typedef struct pairing {
  int searched;    /* unknown names for which the nearest was looked for */
  gw_model *m;
  gw_findings *findings;
  gw_names *names;
  int *goes, *named, *taken, *hinted;
} pairing;

/* ---- names of halves ------------------------------------------------------------ */

/* "part/half"; NULL when memory is short. */
static char *full_name(gw_model *m, const char *part, const char *half) {
  size_t before = strlen(part), behind = strlen(half);
  char *full = gw_arena_alloc(m->arena, before + behind + 2, 1);
  if (full == NULL) return NULL;
  memcpy(full, part, before);
  full[before] = '/';
  memcpy(full + before + 1, half, behind + 1);
  return full;
}

/* For each receiving half, to its index. */
static gw_status enter_names(pairing *p) {
  gw_model *m = p->m;
  gw_names *names = p->names;
  gw_findings *findings = p->findings;
  for (int i = 0; i < m->n_halves; ++i) {
    const gw_half *half = &m->halves[i];
    if (half->id == NULL) continue;
    char *full = full_name(m, m->parts[half->part].id, half->id);
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
    p->hinted[i] = 1;
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

/* How `half` may call the receiving half `i`: without the group that both are
 * in.  NULL when memory is short. */
static const char *name_for(const pairing *p, const gw_half *half, int i) {
  const gw_model *m = p->m;
  const gw_part *part = &m->parts[m->halves[i].part];
  const char *id = part->id, *dot = strchr(id, '.');
  if (dot != NULL && part->group == m->parts[half->part].group) id = dot + 1;
  return gw_arena_printf(m->arena, "%s/%s", id, m->halves[i].id);
}

/* A file in which more names than this are wrong has another fault. */
enum { SEARCHES_MOST = 100 };

/* The receiving half that the maker may have meant. */
static gw_status say_unknown(pairing *p, const gw_half *half) {
  gw_model *m = p->m;
  gw_findings *findings = p->findings;
  const char *best = NULL;
  int meant = -1;
  bool search = p->searched++ < SEARCHES_MOST;
  for (int i = 0; search && i < m->n_halves; ++i) {
    if (m->halves[i].id == NULL) continue;
    const char *name = name_for(p, half, i);
    if (name == NULL) return GW_NO_MEMORY;
    const char *pair[2] = {best == NULL ? "" : best, name};
    if (gw_nearest(half->into, pair, 2) != 1) continue;
    best = name;
    meant = i;
  }
  if (meant >= 0 && p->named[meant] == 0) p->hinted[meant] = 1;
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

/* A half like `into` that nothing goes into, on the same part if there is one. */
static int free_half(const pairing *p, int into) {
  const gw_half *like = &p->m->halves[into];
  int found = -1;
  for (int i = 0; i < p->m->n_halves; ++i) {
    const gw_half *half = &p->m->halves[i];
    if (half->enters || p->named[i] > 0 || strcmp(half->element, like->element) != 0) continue;
    if (half->part == like->part) return i;
    if (found < 0) found = i;
  }
  return found;
}

static gw_status say_two(pairing *p, int first, int second, int into) {
  const gw_model *m = p->m;
  const gw_half *a = &m->halves[first], *b = &m->halves[second], *r = &m->halves[into];
  int other = free_half(p, into);
  if (other >= 0) p->hinted[other] = 1;
  GW_TRY(gw_find(p->findings, GW_ERROR, "two-into-one", b->line,
                 "the %s of %s goes into %s/%s, and so does the %s of %s (line %d); give each "
                 "its own%s%s%s%s", b->element, m->parts[b->part].id, m->parts[r->part].id, r->id,
                 a->element, m->parts[a->part].id, a->line, other < 0 ? "" : ": nothing goes into ",
                 other < 0 ? "" : m->parts[m->halves[other].part].id, other < 0 ? "" : "/",
                 other < 0 ? "" : m->halves[other].id));
  GW_TRY(gw_find_part(p->findings, b->part));
  GW_TRY(gw_find_part(p->findings, a->part));
  return gw_find_part(p->findings, r->part);
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

static gw_status pair_half(pairing *p, int index) {
  int receiving = p->goes[index];
  if (receiving < 0) return say_unknown(p, &p->m->halves[index]);
  if (p->taken[receiving] >= 0) return say_two(p, p->taken[receiving], index, receiving);
  p->taken[receiving] = index;
  bool mates;
  GW_TRY(check_pair(p->m, index, receiving, p->findings, &mates));
  if (mates) add_joint(p->m, index, receiving);
  return GW_OK;
}

static gw_status pair_all(pairing *p) {
  gw_model *m = p->m;
  for (int i = 0; i < m->n_halves; ++i) p->goes[i] = p->taken[i] = -1;
  for (int i = 0; i < m->n_halves; ++i) {
    if (!m->halves[i].enters) continue;
    GW_TRY(look_up(m, p->names, &m->halves[i], &p->goes[i]));
    if (p->goes[i] >= 0) p->named[p->goes[i]]++;
  }
  for (int i = 0; i < m->n_halves; ++i)
    if (m->halves[i].enters) GW_TRY(pair_half(p, i));
  return GW_OK;
}

/* ---- what is left over ---------------------------------------------------------------- */

static const char *wanted_by(const char *receiving) {
  for (int i = 0; i < GW_KINDS; ++i)
    if (strcmp(gw_kind_of((gw_kind)i)->receiving, receiving) == 0)
      return gw_kind_of((gw_kind)i)->entering;
  return "?";
}

static gw_status check_left_over(const pairing *p) {
  const gw_model *m = p->m;
  gw_findings *findings = p->findings;
  for (int i = 0; i < m->n_halves; ++i) {
    const gw_half *half = &m->halves[i];
    if (half->enters || p->named[i] > 0 || p->hinted[i]) continue;
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

static gw_status mate_all(pairing *p, int *parent) {
  size_t before = gw_findings_count_of(p->findings, GW_ERROR);
  GW_TRY(enter_names(p));
  GW_TRY(pair_all(p));
  GW_TRY(check_left_over(p));
  GW_TRY(check_alone(p->m, p->findings));
  /* A missing mate leaves the piece in two as well: say the cause only. */
  if (gw_findings_count_of(p->findings, GW_ERROR) > before) return GW_OK;
  return check_connected(p->m, parent, p->findings);
}

gw_status gw_mate(gw_model *m, gw_findings *findings) {
  size_t halves = (size_t)m->n_halves + 1;
  m->joints = gw_arena_alloc(m->arena, halves, sizeof *m->joints);
  pairing p = {.m = m, .findings = findings, .names = gw_names_new()};
  int *space = calloc(halves * 4 + (size_t)m->n_parts + 1, sizeof *space);
  gw_status status = GW_NO_MEMORY;
  if (m->joints != NULL && p.names != NULL && space != NULL) {
    p.goes = space;
    p.named = space + halves;
    p.taken = space + 2 * halves;
    p.hinted = space + 3 * halves;
    status = mate_all(&p, space + 4 * halves);
  }
  free(space);
  gw_names_free(p.names);
  return status;
}
