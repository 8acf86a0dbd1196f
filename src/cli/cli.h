/* cli.h - the command: options, and one function for each command. */
#ifndef GW_CLI_H
#define GW_CLI_H

#include "cli/job.h"

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
} gw_options;

gw_exit gw_cli_check(const gw_options *options);
gw_exit gw_cli_order(const gw_options *options);
gw_exit gw_cli_print(const gw_options *options);
gw_exit gw_cli_new(const gw_options *options);
gw_exit gw_cli_schema(const gw_options *options);

/* Prints what stands in the way of a command and gives its exit status. */
gw_exit gw_cli_failed(const gw_job *job, gw_status status, const gw_error *err);

/* json.c: the two shapes of DEVELOPERS.md, to standard output. */
gw_status gw_json_check(const gw_job *job, FILE *out);
gw_status gw_json_order(const gw_job *job, FILE *out);

#endif
