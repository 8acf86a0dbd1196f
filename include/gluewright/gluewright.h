/* gluewright.h - a project of hand-made furniture, judged from a program.
 *
 *   gw_project *project = gw_project_open("chest.xml", GW_PROJECT_PLAN);
 *   if (project == NULL) ...memory is short...
 *   if (gw_project_judge(project) == GW_PROJECT_MATES)
 *     gw_project_print(project, "sheets", GW_PROJECT_A4, false);
 *   gw_project_free(project);
 *
 * A project is read and judged once, when it is opened, and does not change
 * afterwards.  All text is UTF-8 and, unless it says otherwise, belongs to the
 * project: it is there until gw_project_free.  Marks are what stands on the wood.
 *
 * Different projects may be used by different threads at once; one project by one
 * thread at a time.  Nothing is written to the standard streams.  libxml2, Jansson
 * and libharu are used with the allocators that the program has given them; call
 * xmlInitParser() first in a program with threads.
 *
 * Link with `pkg-config --cflags --libs gluewright`. */
#ifndef GLUEWRIGHT_H
#define GLUEWRIGHT_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

#define GW_PROJECT_API __attribute__((visibility("default")))

typedef struct gw_project gw_project;

/* How far to go. */
typedef enum gw_project_depth {
  GW_PROJECT_CHECK, /* does it go together? */
  GW_PROJECT_PLAN   /* and the best order, timed: what has an order, and sheets */
} gw_project_depth;

typedef enum gw_project_verdict {
  GW_PROJECT_MATES,
  GW_PROJECT_WILL_NOT,  /* findings say why */
  GW_PROJECT_NOT_JUDGED /* not a project file, or one that cannot be read */
} gw_project_verdict;

typedef enum gw_project_severity {
  GW_PROJECT_ERROR, GW_PROJECT_WARNING, GW_PROJECT_NOTE
} gw_project_severity;

/* What is wrong, as `gluewright check` says it; `gluewright explain CODE` tells
 * more.  line: 1-based, 0 when there is none. */
typedef struct gw_project_finding {
  gw_project_severity severity;
  const char *code, *words;
  int line;
} gw_project_finding;

typedef struct gw_project_part {
  const char *id, *name, *mark;
} gw_project_part;

typedef struct gw_project_joint {
  const char *mark;
  bool bar;               /* stands over a bar, so that it is not misread upside down */
  const char *kind;       /* as "through-dovetail" */
  const char *entering, *receiving; /* ids of the two parts */
  bool glued;
} gw_project_joint;

typedef enum gw_project_paper { GW_PROJECT_A4, GW_PROJECT_LETTER } gw_project_paper;

/* "0.1.0". */
GW_PROJECT_API const char *gw_project_version(void);

/* Reads a file ("-": standard input), or bytes in memory, which are not kept;
 * `name` stands for the file in messages.  NULL only when memory is short; a
 * project that cannot be judged is one too, so that its findings can be had. */
GW_PROJECT_API gw_project *gw_project_open(const char *path, gw_project_depth depth);
GW_PROJECT_API gw_project *gw_project_open_bytes(const char *name, const void *bytes, size_t count,
                                                 gw_project_depth depth);
GW_PROJECT_API void gw_project_free(gw_project *project);

GW_PROJECT_API gw_project_verdict gw_project_judge(const gw_project *project);
/* Why it could not be judged, or printed, beside what the findings say; "" when
 * there is nothing to say. */
GW_PROJECT_API const char *gw_project_trouble(const gw_project *project);
/* The name of the piece, "" when it is not known. */
GW_PROJECT_API const char *gw_project_name(const gw_project *project);

/* Findings, by line; false when there is no such index. */
GW_PROJECT_API size_t gw_project_findings(const gw_project *project);
GW_PROJECT_API bool gw_project_finding_at(const gw_project *project, size_t index,
                                          gw_project_finding *out);

/* Parts and joints in the order of their marks; none when it got no marks. */
GW_PROJECT_API size_t gw_project_parts(const gw_project *project);
GW_PROJECT_API bool gw_project_part_at(const gw_project *project, size_t index,
                                       gw_project_part *out);
GW_PROJECT_API size_t gw_project_joints(const gw_project *project);
GW_PROJECT_API bool gw_project_joint_at(const gw_project *project, size_t index,
                                        gw_project_joint *out);

/* The order of assembly, timed, as `gluewright order` writes it: for people, or
 * as JSON with all the rest.  The caller's, freed with free().  NULL when memory
 * is short, or when there is no order (not opened with GW_PROJECT_PLAN, or it
 * does not go together). */
GW_PROJECT_API char *gw_project_order_text(const gw_project *project);
GW_PROJECT_API char *gw_project_order_json(const gw_project *project);

/* Writes the four sheets into a folder, which is made when it is not there: all
 * or none.  A piece that will not mate is printed only with `draft`, each page
 * marked so.  False when nothing was printed: gw_project_trouble() says why. */
GW_PROJECT_API bool gw_project_print(gw_project *project, const char *folder,
                                     gw_project_paper paper, bool draft);

#ifdef __cplusplus
}
#endif
#endif
