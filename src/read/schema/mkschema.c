/* mkschema - completes the schema from the table of joint kinds and writes it
 * twice: as a file for editors and as a C array for the reader.
 *
 *   mkschema TEMPLATE OUT.xsd OUT.h */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "model/model.h"

static const char *near_side(gw_kind kind, bool entering) {
  return entering ? gw_kind_of(kind)->entering : gw_kind_of(kind)->receiving;
}

/* What the element takes part in: "through dovetail, with a socket". */
static void describe(FILE *out, const char *name, bool entering) {
  int said = 0;
  for (int i = 0; i < GW_KINDS; ++i) {
    if (strcmp(name, near_side((gw_kind)i, entering)) != 0) continue;
    fprintf(out, "%s%s, with %s", said++ > 0 ? "; " : "", gw_kind_of((gw_kind)i)->words,
            near_side((gw_kind)i, !entering));
  }
}

/* One element declaration for each name on one side of the table. */
static void each_element(FILE *out, bool entering, const char *type) {
  for (int i = 0; i < GW_KINDS; ++i) {
    const char *name = near_side((gw_kind)i, entering);
    bool seen = false;
    for (int j = 0; j < i; ++j)
      seen = seen || strcmp(name, near_side((gw_kind)j, entering)) == 0;
    if (seen) continue;
    fprintf(out, "      <xs:element name=\"%s\" type=\"%s\"><xs:annotation><xs:documentation>", name,
            type);
    describe(out, name, entering);
    fputs("</xs:documentation></xs:annotation></xs:element>\n", out);
  }
}

static void fill(FILE *out, const char *marker) {
  if (strncmp(marker, "@KINDS", 6) == 0) {
    for (int i = 0; i < GW_KINDS; ++i)
      fprintf(out, "    <xs:enumeration value=\"%s\"/>\n", gw_kind_of((gw_kind)i)->code);
  } else if (strncmp(marker, "@PART-HALVES", 12) == 0) {
    each_element(out, true, "entering-half");
    each_element(out, false, "receiving-half");
  } else if (strncmp(marker, "@GROUP-HALVES", 13) == 0) {
    each_element(out, true, "entering-half-of-group");
    each_element(out, false, "receiving-half-of-group");
  } else {
    fprintf(stderr, "mkschema: unknown marker %s", marker);
    exit(1);
  }
}

static FILE *open_or_die(const char *path, const char *mode) {
  FILE *file = fopen(path, mode);
  if (file == NULL) {
    perror(path);
    exit(1);
  }
  return file;
}

static void write_array(const char *xsd, const char *header) {
  FILE *in = open_or_die(xsd, "rb"), *out = open_or_die(header, "wb");
  fputs("static const unsigned char schema_text[] = {", out);
  size_t count = 0;
  for (int c; (c = getc(in)) != EOF; ++count) fprintf(out, "%s%d,", count % 20 ? "" : "\n", c);
  fputs("\n0};\n", out);
  fclose(in);
  if (fclose(out) != 0) exit(1);
}

int main(int argc, char **argv) {
  if (argc != 4) return 2;
  FILE *in = open_or_die(argv[1], "rb"), *out = open_or_die(argv[2], "wb");
  for (char line[4096]; fgets(line, sizeof line, in) != NULL;) {
    if (line[0] == '@')
      fill(out, line);
    else
      fputs(line, out);
  }
  fclose(in);
  if (fclose(out) != 0) return 1;
  write_array(argv[2], argv[3]);
  return 0;
}
