/* Two tenons that meet inside the part that receives them both. */
#include "fit/fit.h"

static bool holds(const gw_box *outer, const gw_box *inner, gw_len play) {
  for (int axis = 0; axis < 3; ++axis)
    if (inner->lo[axis] < outer->lo[axis] - play || inner->hi[axis] > outer->hi[axis] + play)
      return false;
  return true;
}

/* The tenon by which `part` enters another, and in whose room `shared` lies;
 * -1 when there is none. */
static int joint_round(const gw_model *m, const gw_fit *fit, int part, const gw_box *shared,
                       gw_len play) {
  const gw_part *p = &m->parts[part];
  for (int i = p->first_half; i < p->first_half + p->n_halves; ++i) {
    int joint = m->halves[i].joint;
    if (!m->halves[i].enters || joint < 0 || m->joints[joint].kind != GW_MORTISE_TENON) continue;
    gw_box box = gw_fit_joint_box(fit, m, joint);
    if (holds(&box, shared, play)) return joint;
  }
  return -1;
}

static gw_len along(const gw_seating *s, const gw_box *shared) {
  return shared->hi[s->normal] - shared->lo[s->normal];
}

gw_status gw_fit_say_meeting(const gw_model *m, gw_findings *findings, const gw_fit *fit, int a,
                             int b, const gw_box *shared, gw_len play, bool *said) {
  int one = joint_round(m, fit, a, shared, play), two = joint_round(m, fit, b, shared, play);
  *said = one >= 0 && two >= 0 &&
          gw_joint_receives(m, &m->joints[one]) == gw_joint_receives(m, &m->joints[two]);
  if (!*said) return GW_OK;
  const gw_half *first = &m->halves[m->joints[one].entering];
  const gw_half *second = &m->halves[m->joints[two].entering];
  if (first->line > second->line || (first->line == second->line && first > second)) {
    const gw_half *swap = first;
    int joint = one;
    first = second;
    second = swap;
    one = two;
    two = joint;
  }
  gw_len by_one = along(&fit->seatings[one], shared), by_two = along(&fit->seatings[two], shared);
  char at[2][GW_LEN_TEXT];
  gw_len_text(by_one, m->units, at[0], GW_LEN_TEXT);
  gw_len_text(by_two, m->units, at[1], GW_LEN_TEXT);
  GW_TRY(gw_find(findings, GW_ERROR, "tenons-meet", second->line,
                 "the %s of %s and the %s of %s meet inside %s; make the one %s shorter, or the "
                 "other %s, or shorten both and mitre their ends", first->element,
                 m->parts[first->part].id, second->element, m->parts[second->part].id,
                 m->parts[gw_joint_receives(m, &m->joints[one])].id, at[0], at[1]));
  GW_TRY(gw_find_part(findings, first->part));
  GW_TRY(gw_find_part(findings, second->part));
  GW_TRY(gw_find_joint(findings, one));
  return gw_find_joint(findings, two);
}
