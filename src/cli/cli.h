/* cli.h - the command: options, and one function for each command. */
#ifndef GW_CLI_H
#define GW_CLI_H

#include "cli/job.h"
#include "cli/term.h"

#define GW_VERSION "0.1.0"

/* Exit statuses; see the man page. */
typedef enum gw_exit {
  GW_EXIT_MATES = 0,
  GW_EXIT_WILL_NOT = 1,
  GW_EXIT_NOT_JUDGED = 2,
  GW_EXIT_MACHINE = 3
} gw_exit;

typedef struct gw_options {
  const char *command;
  const char *operand; /* project file, or what `new` makes */
  const char *output;  /* -o: folder of the sheets, or file of `new` */
  const char *size;    /* new: outside size, mm */
  bool json, quiet, draft, tree;
  bool letter;         /* paper */
  const char *labels;  /* print: a sheet of labels, as <labels> describes one */
  int first_label;     /* print: first free label; 0: as the project says */
  bool relaxng;        /* schema: the RELAX NG form */
  const char *from_list; /* new: the file of a parts list */
  bool as_measured;    /* check: by the measured sizes … */
  const char *measured; /* … with those of this list, or NULL */
  const char *table;   /* list: the one table that is wanted */
  bool ways, rehearse; /* order: ways to win time; the table of a rehearsal */
  const char *times;   /* order: a rehearsal's table, filled in */
  const char *start;   /* order: the hour at which the first stage begins */
  const gw_clock_options *clock; /* made from `times` */
  gw_units units;      /* new --from-list: of bare numbers */
  gw_colour colour;
} gw_options;

gw_exit gw_cli_check(const gw_options *options);
gw_exit gw_cli_order(const gw_options *options);
gw_exit gw_cli_print(const gw_options *options);
gw_exit gw_cli_new(const gw_options *options);
gw_exit gw_cli_schema(const gw_options *options);
gw_exit gw_cli_explain(const gw_options *options);
gw_exit gw_cli_list(const gw_options *options);
gw_exit gw_cli_follow(const gw_options *options);

/* print --labels (labels.c): "columns=3,rows=8,width=63.5,height=33.9" and, where
 * they are not nought, left, top, gap-x, gap-y, into *sheet.  False after saying
 * what is wrong. */
bool gw_cli_labels(const char *text, gw_label_sheet *sheet);

/* new --from-list (fromlist.c). */
gw_exit gw_cli_from_list(const gw_options *options);

/* Takes the operand through the rooms, with the progress of a long search shown
 * (gw_job_run); shows the findings; says why it could not be judged (a file that
 * cannot be opened is such a one) and gives the exit status. */
gw_status gw_cli_run(const gw_options *options, gw_depth depth, gw_job *job, gw_error *err);
void gw_cli_show(const gw_options *options, const gw_job *job);
gw_exit gw_cli_unreadable(const gw_options *options, const gw_job *job, gw_status status,
                          const gw_error *err);

/* Says why a command could not go on, and gives its exit status. */
gw_exit gw_cli_failed(gw_status status, const gw_error *err);

/* memory.c: the command ends with a sentence when a library gets no memory.
 * Called before any library is used. */
void gw_cli_watch_memory(void);
void *gw_cli_allocate(unsigned int size);

/* json.c: the shape of DEVELOPERS.md, to standard output; that of `order` is in
 * view.h. */
gw_status gw_json_check(const gw_job *job, FILE *out);

/* text.c */
gw_status gw_text_tree(const gw_job *job, FILE *out);

/* list.c: tables with commas: "parts", "joints", "order". */
gw_status gw_list_table(const gw_job *job, const char *table, FILE *out);

#endif
