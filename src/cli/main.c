#include "cli/job.h"
int main(int c, char **v) {
  gw_job j; gw_error e = {0};
  gw_status s = gw_job_check(&j, v[c - 1], &e);
  gw_findings_sort(j.findings);
  gw_findings_print(j.findings, stderr);
  if (s) fprintf(stderr, "status %d %s\n", s, e.words);
  else if (j.marks) {
    for (int i = 0; i < j.model->n_parts; ++i) {
      gw_part *p = &j.model->parts[i]; gw_box *b = &j.fit->boxes[i];
      printf("%-14s %-4s", p->id, j.marks->parts[i].text);
      for (int a = 0; a < 3; ++a) printf(" %8.2f..%8.2f", gw_len_mm(b->lo[a]), gw_len_mm(b->hi[a]));
      printf("\n");
    }
    for (int k = 0; k < j.model->n_joints; ++k) { int i = j.marks->joint_walk[k]; gw_joint *jt = &j.model->joints[i];
      printf("%s%s %s %s -> %s ways %x\n", j.marks->joints[i].text, j.marks->joints[i].bar ? "_" : "", gw_kind_of(jt->kind)->code, j.model->parts[gw_joint_enters(j.model, jt)].id, j.model->parts[gw_joint_receives(j.model, jt)].id, j.fit->seatings[i].freedom.ways); }
  }
  gw_job_clear(&j);
  return s;
}
