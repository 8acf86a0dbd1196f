/* An example of a program that uses the library: says what gluewright finds in a
 * project and prints its sheets.
 *
 *   cc report.c $(pkg-config --cflags --libs gluewright) -o report
 *   ./report chest.xml sheets/ */
#include <gluewright/gluewright.h>
#include <stdio.h>
#include <stdlib.h>

static void say_findings(const gw_project *project) {
  static const char *const severities[] = {"error", "warning", "note"};
  gw_project_finding f;
  for (size_t i = 0; gw_project_finding_at(project, i, &f); ++i)
    printf("line %d: %s: %s [%s]\n", f.line, severities[f.severity], f.words, f.code);
}

static void say_marks(const gw_project *project) {
  gw_project_joint j;
  gw_project_part p;
  for (size_t i = 0; gw_project_part_at(project, i, &p); ++i)
    printf("%s is %s, %s\n", p.mark, p.id, p.name);
  for (size_t i = 0; gw_project_joint_at(project, i, &j); ++i)
    printf("%s%s: %s of %s into %s%s\n", j.mark, j.bar ? " (with a bar)" : "", j.kind, j.entering,
           j.receiving, j.glued ? "" : ", dry");
}

int main(int argc, char **argv) {
  static const char *const verdicts[] = {"mates", "will not mate", "could not be judged"};
  if (argc != 3) return 2;
  gw_project *project = gw_project_open(argv[1], GW_PROJECT_PLAN);
  if (project == NULL) return 3;
  gw_project_verdict verdict = gw_project_judge(project);
  printf("gluewright %s: %s %s\n", gw_project_version(), gw_project_name(project),
         verdicts[verdict]);
  say_findings(project);
  say_marks(project);
  char *order = gw_project_order_text(project);
  if (order != NULL) fputs(order, stdout);
  free(order);
  if (!gw_project_print(project, argv[2], GW_PROJECT_A4, false))
    printf("not printed: %s\n", gw_project_trouble(project));
  gw_project_free(project);
  return (int)verdict;
}
