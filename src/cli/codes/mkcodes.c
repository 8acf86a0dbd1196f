/* mkcodes - takes the example of each code out of its file, as C.
 *
 *   mkcodes FOLDER OUT.h
 *
 * FOLDER holds the files that codes.def names.  Shown are the line behind the
 * mark <!-- fault: next line --> (or warning, note), the start tag of the
 * element around it, and, when it begins an element of its own, the lines up to
 * the end of it. */
#include <ctype.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LINES = 2000, LONGEST = 1000, INSIDE = 6 };

static const char *const files[] = {
#define CODE(code, severity, look_at, means, advice, example) example,
#include "cli/codes/codes.def"
#undef CODE
};

typedef struct text {
  char *lines[LINES];
  int count, marked; /* the line behind the mark, or -1 */
} text;

static void die(const char *what, const char *which) {
  fprintf(stderr, "mkcodes: %s: %s\n", what, which);
  exit(1);
}

static void read_text(const char *path, text *t) {
  FILE *in = fopen(path, "r");
  if (in == NULL) die("cannot be opened", path);
  char line[LONGEST];
  t->count = 0;
  t->marked = -1;
  while (t->count < LINES && fgets(line, sizeof line, in) != NULL) {
    line[strcspn(line, "\r\n")] = '\0';
    if (strstr(line, ": next line -->") != NULL) t->marked = t->count + 1;
    t->lines[t->count] = strdup(line);
    if (t->lines[t->count++] == NULL) die("memory is short", path);
  }
  fclose(in);
  if (t->marked < 0 || t->marked >= t->count) die("no mark", path);
}

static int indent(const char *line) { return (int)strspn(line, " "); }

static void put(FILE *out, const char *line, int strip) {
  fputs("\n    \"", out);
  for (const char *c = line + (indent(line) < strip ? indent(line) : strip); *c != '\0'; ++c) {
    if (*c == '"' || *c == '\\') fputc('\\', out);
    if ((unsigned char)*c >= 0x80)
      fprintf(out, "\\%03o", (unsigned)(unsigned char)*c);
    else
      fputc(*c, out);
  }
  fputs("\\n\"", out);
}

static bool is_mark(const char *line) { return strstr(line, ": next line -->") != NULL; }

/* The start tag around the marked line, the marked line, what follows inside. */
static void put_example(FILE *out, const text *t) {
  const char *line = t->lines[t->marked];
  int depth = indent(line), around = t->marked - 1, strip = depth;
  while (around >= 0 && (t->lines[around][0] == '\0' || indent(t->lines[around]) >= depth ||
                         is_mark(t->lines[around])))
    --around;
  bool inside = depth > 2 && around >= 0 && strchr(t->lines[around], '<') != NULL;
  if (inside) {
    strip = indent(t->lines[around]);
    put(out, t->lines[around], strip);
    if (around + 1 < t->marked - 1) put(out, "  ...", 0);
  }
  put(out, line, strip);
  int shown = 0, at = t->marked + 1;
  for (; at < t->count && indent(t->lines[at]) > depth && t->lines[at][0] != '\0'; ++at)
    if (++shown <= INSIDE && !is_mark(t->lines[at])) put(out, t->lines[at], strip);
  if (shown > INSIDE) put(out, "  ...", 0);
  if (shown > 0 && at < t->count && strncmp(t->lines[at] + depth, "</", 2) == 0)
    put(out, t->lines[at], strip);
}

int main(int argc, char **argv) {
  if (argc != 3) return 2;
  FILE *out = fopen(argv[2], "w");
  if (out == NULL) die("cannot be written", argv[2]);
  fputs("static const char *const examples[] = {\n", out);
  for (size_t i = 0; i < sizeof files / sizeof *files; ++i) {
    char path[LONGEST];
    text t = {0};
    fputs("    \"\"", out);
    if (files[i][0] != '\0') {
      snprintf(path, sizeof path, "%s/%s.xml", argv[1], files[i]);
      read_text(path, &t);
      put_example(out, &t);
    }
    fputs(",\n", out);
    for (int k = 0; k < t.count; ++k) free(t.lines[k]);
  }
  fputs("};\n", out);
  return fclose(out) == 0 ? 0 : 1;
}
