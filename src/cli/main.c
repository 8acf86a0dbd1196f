/* The command: options in, exit status out. */
#include <fcntl.h>
#include <getopt.h>
#include <hpdf.h>
#include <libxml/parser.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/cli.h"

static const char usage[] =
    "gluewright checks on paper that a piece of furniture goes together, marks its\n"
    "joints, and times the glue-up.\n"
    "\n"
    "  gluewright check chest.xml              does it go together?\n"
    "  gluewright order chest.xml              in which order, and by when?\n"
    "  gluewright print chest.xml -o sheets/   the four sheets to work from\n"
    "  gluewright follow chest.xml             step by step with a clock, at a terminal\n"
    "  gluewright list chest.xml               parts, joints and order as CSV\n"
    "  gluewright new box -o mybox.xml         a project file to start from (box,\n"
    "                                          door, table, stool, bookcase)\n"
    "  gluewright explain loop-open            what a code in brackets means\n"
    "  gluewright schema -o piece.xsd          the schema, for your editor\n"
    "\n"
    "  -o, --output=PATH     folder of the sheets (output/) or tables, or file to write\n"
    "  -p, --paper=SIZE      a4 or letter\n"
    "  -s, --size=XxYxZ      new: width, depth and height; -u, --units=mm or in\n"
    "  -l, --from-list=FILE  new: from a parts list in CSV\n"
    "  -b, --table=NAME      list: only parts, joints or order\n"
    "  -t, --tree            order: as a tree of sub-assemblies\n"
    "  -w, --ways            order: ways to win time, each planned anew\n"
    "  -S, --start=HH:MM     order: the hours too\n"
    "  -R, --rehearse        order: a table to fill in at a rehearsal\n"
    "  -T, --times=FILE      order: by the real times of that table\n"
    "  -L, --labels=SHEET    print: a bought sheet of labels (see the manual)\n"
    "  -F, --first-label=N   print: the first free label on it\n"
    "  -d, --draft           print: print even what will not mate, marked DRAFT\n"
    "  -m, --as-measured[=FILE]  check: by the sizes as measured (and a list of them)\n"
    "  -r, --relaxng         schema: as RELAX NG\n"
    "  -j, --json            check, order: for programs\n"
    "  -q, --quiet           errors only\n"
    "  -c, --color=WHEN      auto, always or never\n"
    "  -h, --help            this; -V, --version\n"
    "\n"
    "Exit status: 0 it goes together; 1 it does not; 2 it could not be judged;\n"
    "3 the machine failed.\n";

typedef gw_exit command(const gw_options *options);
static const struct {
  const char *name;
  command *run;
  bool needs_operand;
} commands[] = {
    {"check", gw_cli_check, true}, {"order", gw_cli_order, true},
    {"print", gw_cli_print, true}, {"list", gw_cli_list, true},
    {"follow", gw_cli_follow, true},
    {"new", gw_cli_new, false},    {"explain", gw_cli_explain, false},
    {"schema", gw_cli_schema, false},
};
enum { COMMANDS = sizeof commands / sizeof *commands };

static gw_exit wrong_usage(const char *what, const char *word) {
  fprintf(stderr, "gluewright: %s%s\nTry 'gluewright --help'.\n", what, word);
  return GW_EXIT_NOT_JUDGED;
}

static gw_exit print_version(void) {
  printf("gluewright %s\nlibharu %s, libxml2 %s\n", GW_VERSION, HPDF_GetVersion(),
         LIBXML_DOTTED_VERSION);
  return GW_EXIT_MATES;
}

/* Which of the words (ending in NULL) an option holds, or -1 after saying so. */
static int choice(const char *option, const char *given, const char *const *words) {
  for (int i = 0; words[i] != NULL; ++i)
    if (strcmp(given, words[i]) == 0) return i;
  fprintf(stderr, "gluewright: --%s is one of", option);
  for (int i = 0; words[i] != NULL; ++i) fprintf(stderr, "%s %s", i > 0 ? "," : "", words[i]);
  fprintf(stderr, ", not %s\nTry 'gluewright --help'.\n", given);
  return -1;
}

/* Options that hold one of a few words; false when it is another. */
static bool read_choice(int c, gw_options *o) {
  static const char *const papers[] = {"a4", "letter", NULL};
  static const char *const units[] = {"mm", "in", NULL};
  static const char *const colours[] = {"auto", "always", "never", NULL};
  int chosen = c == 'p'   ? choice("paper", optarg, papers)
               : c == 'u' ? choice("units", optarg, units)
                          : choice("color", optarg, colours);
  if (chosen < 0) return false;
  if (c == 'p') o->letter = chosen == 1;
  if (c == 'u') o->units = chosen == 0 ? GW_UNITS_MM : GW_UNITS_INCH;
  if (c == 'c') o->colour = (gw_colour)chosen;
  return true;
}

/* A count from 1 to 99999, or 0 for what is none. */
static int count_of(const char *text) {
  size_t figures = strspn(text, "0123456789");
  return figures > 0 && figures < 6 && text[figures] == '\0' ? (int)strtol(text, NULL, 10) : 0;
}

/* -1: go on; else the exit status. */
static int read_option(int c, gw_options *o) {
  switch (c) {
    case 'o': o->output = optarg; break;
    case 's': o->size = optarg; break;
    case 'l': o->from_list = optarg; break;
    case 'b': o->table = optarg; break;
    case 'm': o->as_measured = true; o->measured = optarg; break;
    case 'j': o->json = true; break;
    case 't': o->tree = true; break;
    case 'w': o->ways = true; break;
    case 'R': o->rehearse = true; break;
    case 'T': o->times = optarg; break;
    case 'S': o->start = optarg; break;
    case 'L': o->labels = optarg; break;
    case 'F':
      o->first_label = count_of(optarg);
      if (o->first_label < 1) return (int)wrong_usage("labels are counted from 1, not ", optarg);
      break;
    case 'd': o->draft = true; break;
    case 'r': o->relaxng = true; break;
    case 'q': o->quiet = true; break;
    case 'h': fputs(usage, stdout); return GW_EXIT_MATES;
    case 'V': return (int)print_version();
    case 'p':
    case 'u':
    case 'c': return read_choice(c, o) ? -1 : GW_EXIT_NOT_JUDGED;
    default: fputs("Try 'gluewright --help'.\n", stderr); return GW_EXIT_NOT_JUDGED;
  }
  return -1;
}

static int read_options(int argc, char **argv, gw_options *o) {
  static const struct option longer[] = {
      {"output", required_argument, NULL, 'o'},    {"paper", required_argument, NULL, 'p'},
      {"size", required_argument, NULL, 's'},      {"from-list", required_argument, NULL, 'l'},
      {"units", required_argument, NULL, 'u'},     {"table", required_argument, NULL, 'b'},
      {"color", required_argument, NULL, 'c'},     {"json", no_argument, NULL, 'j'},
      {"tree", no_argument, NULL, 't'},            {"draft", no_argument, NULL, 'd'},
      {"as-measured", optional_argument, NULL, 'm'},
      {"ways", no_argument, NULL, 'w'},            {"rehearse", no_argument, NULL, 'R'},
      {"times", required_argument, NULL, 'T'},     {"start", required_argument, NULL, 'S'},
      {"labels", required_argument, NULL, 'L'},    {"first-label", required_argument, NULL, 'F'},
      {"relaxng", no_argument, NULL, 'r'},         {"quiet", no_argument, NULL, 'q'},
      {"help", no_argument, NULL, 'h'},            {"version", no_argument, NULL, 'V'},
      {NULL, 0, NULL, 0}};
  for (int c; (c = getopt_long(argc, argv, "o:p:s:l:u:b:c:m::T:S:L:F:jtdrwRqhV", longer, NULL)) != -1;) {
    int status = read_option(c, o);
    if (status >= 0) return status;
  }
  if (optind < argc) o->command = argv[optind++];
  if (optind < argc) o->operand = argv[optind++];
  if (optind < argc) return (int)wrong_usage("one project at a time: ", argv[optind]);
  return -1;
}

static gw_exit run(const gw_options *o) {
  const char *names[COMMANDS];
  for (int i = 0; i < COMMANDS; ++i) {
    names[i] = commands[i].name;
    if (strcmp(o->command, commands[i].name) != 0) continue;
    if (commands[i].needs_operand && o->operand == NULL)
      return wrong_usage("say which file: gluewright ", o->command);
    return commands[i].run(o);
  }
  int near = gw_nearest(o->command, names, COMMANDS);
  if (near >= 0) return wrong_usage("no such command; did you mean ", names[near]);
  if (access(o->command, F_OK) == 0)
    return wrong_usage("first what to do with the file: gluewright check ", o->command);
  return wrong_usage("no such command: ", o->command);
}

/* A stream that the caller has closed would be taken by the first file opened,
 * and words be written into a sheet.  What is opened here cannot be written to,
 * so that a closed standard output is still a failure. */
static void hold_streams(void) {
  for (int fd = 0; fd <= 2; ++fd)
    if (fcntl(fd, F_GETFD) < 0 && open("/dev/null", O_RDONLY) < 0) return;
}

int main(int argc, char **argv) {
  hold_streams();
  setlocale(LC_CTYPE, "");
  gw_cli_watch_memory();
  LIBXML_TEST_VERSION
  gw_options options = {0};
  int status = read_options(argc, argv, &options);
  if (status < 0 && options.command == NULL) {
    fputs(usage, stderr);
    status = GW_EXIT_NOT_JUDGED;
  }
  if (status < 0) status = (int)run(&options);
  /* A full disk must not look like success. */
  if ((fflush(stdout) != 0 || ferror(stdout)) && status <= GW_EXIT_WILL_NOT) {
    fputs("gluewright: standard output could not be written\n", stderr);
    status = GW_EXIT_MACHINE;
  }
  xmlCleanupParser();
  return status;
}
