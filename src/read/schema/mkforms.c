/* mkforms - writes the schema in its other forms: RELAX NG, for editors and as
 * a C array, and the reference part of the manual page.
 *
 *   mkforms SCHEMA.xsd OUT.rng OUT.h PAGE.5.in OUT.5
 *
 * Understands what piece.xsd.in uses of W3C XML Schema 1.0 and stops with an
 * error at anything else, and at an element or attribute that has no
 * documentation. */
#include <libxml/parser.h>
#include <libxml/tree.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct forms {
  xmlNode *schema;
  FILE *out;
} forms;

static void die(const char *what, const char *which) {
  fprintf(stderr, "mkforms: %s: %s\n", what, which);
  exit(1);
}

static FILE *open_or_die(const char *path, const char *mode) {
  FILE *file = fopen(path, mode);
  if (file == NULL) die("cannot be opened", path);
  return file;
}

/* ---- looking round in the schema ------------------------------------------------- */

static bool is(const xmlNode *node, const char *name) {
  return node->type == XML_ELEMENT_NODE && strcmp((const char *)node->name, name) == 0;
}

/* The value of an attribute, which stays in the tree; NULL when it has none. */
static const char *get(const xmlNode *node, const char *name) {
  for (const xmlAttr *a = node->properties; a != NULL; a = a->next)
    if (strcmp((const char *)a->name, name) == 0 && a->children != NULL)
      return (const char *)a->children->content;
  return NULL;
}

static const char *need(const xmlNode *node, const char *name) {
  const char *value = get(node, name);
  if (value == NULL) die("attribute missing", name);
  return value;
}

static bool same(const char *a, const char *b) {
  return a != NULL && b != NULL && strcmp(a, b) == 0;
}

static xmlNode *child(const xmlNode *node, const char *name) {
  for (xmlNode *c = node->children; c != NULL; c = c->next)
    if (is(c, name)) return c;
  return NULL;
}

static xmlNode *named(const forms *f, const char *kind, const char *name) {
  for (xmlNode *c = f->schema->children; c != NULL; c = c->next)
    if (is(c, kind) && same(get(c, "name"), name)) return c;
  die("there is no such definition", name);
  return NULL;
}

static const char *documentation(const xmlNode *node) {
  const xmlNode *about = child(node, "annotation");
  const xmlNode *words = about == NULL ? NULL : child(about, "documentation");
  return words == NULL || words->children == NULL ? NULL : (const char *)words->children->content;
}

/* The documentation of an element is its own or that of its type. */
static const char *element_words(const forms *f, const xmlNode *element) {
  const char *words = documentation(element), *type = get(element, "type");
  if (words == NULL && type != NULL) words = documentation(named(f, "complexType", type));
  if (words == NULL) die("element without documentation", need(element, "name"));
  return words;
}

static const char *attribute_words(const xmlNode *attribute) {
  const char *words = documentation(attribute);
  if (words == NULL) die("attribute without documentation", need(attribute, "name"));
  return words;
}

/* ---- RELAX NG -------------------------------------------------------------------- */

static void put_escaped(FILE *out, const char *text) {
  for (; *text != '\0'; ++text) {
    switch (*text) {
      case '<': fputs("&lt;", out); break;
      case '&': fputs("&amp;", out); break;
      case '>': fputs("&gt;", out); break;
      default: fputc(*text, out);
    }
  }
}

static void put_words(FILE *out, const char *words) {
  fputs("<a:documentation>", out);
  put_escaped(out, words);
  fputs("</a:documentation>", out);
}

/* A type by its name: one of ours, or token. */
static void put_type(FILE *out, const char *type) {
  if (strncmp(type, "xs:", 3) == 0)
    fprintf(out, "<data type=\"%s\"/>", type + 3);
  else
    fprintf(out, "<ref name=\"value.%s\"/>", type);
}

/* In W3C XML Schema one of several patterns has to match, in RELAX NG all. */
static void put_patterns(FILE *out, const xmlNode *restriction) {
  int count = 0;
  for (const xmlNode *c = restriction->children; c != NULL; c = c->next) {
    if (!is(c, "pattern")) continue;
    fputs(count++ == 0 ? "<param name=\"pattern\">(" : ")|(", out);
    put_escaped(out, need(c, "value"));
  }
  if (count > 0) fputs(")</param>", out);
}

static void put_restriction(FILE *out, const xmlNode *restriction) {
  const char *base = need(restriction, "base") + 3;
  if (child(restriction, "enumeration") != NULL) {
    fputs("<choice>", out);
    for (const xmlNode *c = restriction->children; c != NULL; c = c->next)
      if (is(c, "enumeration")) {
        fprintf(out, "<value type=\"%s\">", base);
        put_escaped(out, need(c, "value"));
        fputs("</value>", out);
      }
    fputs("</choice>", out);
    return;
  }
  fprintf(out, "<data type=\"%s\">", base);
  put_patterns(out, restriction);
  for (const xmlNode *c = restriction->children; c != NULL; c = c->next)
    if (c->type == XML_ELEMENT_NODE && !is(c, "pattern") && !is(c, "annotation"))
      fprintf(out, "<param name=\"%s\">%s</param>", (const char *)c->name, need(c, "value"));
  fputs("</data>", out);
}

/* Types with blanks between their names. */
static void put_union(FILE *out, const char *types) {
  fputs("<choice>", out);
  while (*types != '\0') {
    size_t length = strcspn(types, " ");
    fprintf(out, "<ref name=\"value.%.*s\"/>", (int)length, types);
    types += length + strspn(types + length, " ");
  }
  fputs("</choice>", out);
}

static void put_simple(const forms *f, const xmlNode *type) {
  const xmlNode *restriction = child(type, "restriction"), *list = child(type, "list");
  const xmlNode *either = child(type, "union");
  const char *words = documentation(type);
  fprintf(f->out, "  <define name=\"value.%s\">", need(type, "name"));
  if (words != NULL) put_words(f->out, words);
  if (restriction != NULL) {
    put_restriction(f->out, restriction);
  } else if (list != NULL) {
    fputs("<list><zeroOrMore>", f->out);
    put_type(f->out, need(list, "itemType"));
    fputs("</zeroOrMore></list>", f->out);
  } else if (either != NULL) {
    put_union(f->out, need(either, "memberTypes"));
  } else {
    die("what is this simple type?", need(type, "name"));
  }
  fputs("</define>\n", f->out);
}

static void put_attribute(const forms *f, const xmlNode *attribute) {
  bool required = same(get(attribute, "use"), "required");
  fprintf(f->out, "    %s<attribute name=\"%s\">", required ? "" : "<optional>",
          need(attribute, "name"));
  put_words(f->out, attribute_words(attribute));
  put_type(f->out, need(attribute, "type"));
  fprintf(f->out, "</attribute>%s\n", required ? "" : "</optional>");
}

static void put_element(const forms *f, const xmlNode *element) {
  const char *name = need(element, "name");
  fprintf(f->out, "      <element name=\"%s\">", name);
  put_words(f->out, element_words(f, element));
  fprintf(f->out, "<ref name=\"type.%s\"/></element>\n", need(element, "type"));
}

/* All children may come any number of times, in any order or in sequence. */
static void put_children(const forms *f, const xmlNode *model) {
  bool choice = is(model, "choice");
  if (choice && !(same(get(model, "minOccurs"), "0") && same(get(model, "maxOccurs"), "unbounded")))
    die("a choice that is not free", "");
  if (choice) fputs("    <zeroOrMore><choice>\n", f->out);
  for (const xmlNode *c = model->children; c != NULL; c = c->next) {
    if (!is(c, "element")) continue;
    bool any = same(get(c, "minOccurs"), "0") && same(get(c, "maxOccurs"), "unbounded");
    if (!choice && !any) die("an element of a sequence that is not free", need(c, "name"));
    if (!choice) fputs("      <zeroOrMore>\n", f->out);
    put_element(f, c);
    if (!choice) fputs("      </zeroOrMore>\n", f->out);
  }
  if (choice) fputs("    </choice></zeroOrMore>\n", f->out);
}

/* The inside of a complex type, an extension or a group of attributes. */
static void put_content(const forms *f, const xmlNode *type) {
  for (const xmlNode *c = type->children; c != NULL; c = c->next) {
    if (is(c, "attribute")) put_attribute(f, c);
    else if (is(c, "attributeGroup"))
      fprintf(f->out, "    <ref name=\"group.%s\"/>\n", need(c, "ref"));
    else if (is(c, "choice") || is(c, "sequence")) put_children(f, c);
    else if (is(c, "complexContent")) {
      const xmlNode *extension = child(c, "extension");
      if (extension == NULL) die("content that extends nothing", need(type, "name"));
      fprintf(f->out, "    <ref name=\"type.%s\"/>\n", need(extension, "base"));
      put_content(f, extension);
    } else if (c->type == XML_ELEMENT_NODE && !is(c, "annotation")) {
      die("what is this?", (const char *)c->name);
    }
  }
}

static void put_define(const forms *f, const char *prefix, const xmlNode *type) {
  fprintf(f->out, "  <define name=\"%s.%s\">\n", prefix, need(type, "name"));
  put_content(f, type);
  fputs("  </define>\n", f->out);
}

/* W3C XML Schema lets every document say where its schema is. */
static void put_start(const forms *f, const xmlNode *root) {
  fprintf(f->out, "  <start><element name=\"%s\">", need(root, "name"));
  put_words(f->out, element_words(f, root));
  fputs("\n    <optional><attribute name=\"schemaLocation\" "
        "ns=\"http://www.w3.org/2001/XMLSchema-instance\"/></optional>\n", f->out);
  put_content(f, child(root, "complexType"));
  fputs("  </element></start>\n", f->out);
}

static void write_relaxng(forms *f, const char *path) {
  f->out = open_or_die(path, "wb");
  fprintf(f->out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                  "<grammar xmlns=\"http://relaxng.org/ns/structure/1.0\"\n"
                  "         xmlns:a=\"http://relaxng.org/ns/compatibility/annotations/1.0\"\n"
                  "         datatypeLibrary=\"http://www.w3.org/2001/XMLSchema-datatypes\"\n"
                  "         ns=\"%s\">\n", need(f->schema, "targetNamespace"));
  for (xmlNode *c = f->schema->children; c != NULL; c = c->next) {
    if (is(c, "element")) put_start(f, c);
    else if (is(c, "simpleType")) put_simple(f, c);
    else if (is(c, "complexType")) put_define(f, "type", c);
    else if (is(c, "attributeGroup")) put_define(f, "group", c);
  }
  fputs("</grammar>\n", f->out);
  if (fclose(f->out) != 0) die("cannot be written", path);
}

static void write_array(const char *from, const char *header) {
  FILE *in = open_or_die(from, "rb"), *out = open_or_die(header, "wb");
  size_t count = 0;
  fputs("static const unsigned char relaxng_text[] = {", out);
  for (int c; (c = getc(in)) != EOF; ++count) fprintf(out, "%s%d,", count % 20 ? "" : "\n", c);
  fputs("\n0};\n", out);
  fclose(in);
  if (fclose(out) != 0) die("cannot be written", header);
}

/* ---- the manual page ------------------------------------------------------------------ */

/* A name in a macro line or a text line: hyphens are minus signs to be typed. */
static void put_name(FILE *out, const char *name) {
  for (; *name != '\0'; ++name) fprintf(out, *name == '-' ? "\\-" : "%c", *name);
}

/* Text lines, a new one for each sentence and where one is full; with a full
 * stop at the end. */
static void put_text(FILE *out, const char *text) {
  enum { FULL = 76 };
  size_t column = 0;
  while (*text != '\0') {
    size_t length = strcspn(text, " ");
    bool sentence = column > 0 && text[-2] == '.' && text[0] >= 'A' && text[0] <= 'Z';
    if (column > 0 && (sentence || column + 1 + length > FULL)) {
      fputc('\n', out);
      column = 0;
    }
    if (column > 0) column += (size_t)fprintf(out, " ");
    else if (*text == '.' || *text == '\'') fputs("\\&", out);
    for (size_t i = 0; i < length; ++i) {
      if (text[i] == '\\') fputs("\\e", out);
      else fputc(text[i], out);
    }
    column += length;
    text += length + (text[length] == ' ');
  }
  fputs(".\n", out);
}

static void page_attribute(FILE *out, const xmlNode *attribute) {
  const char *type = need(attribute, "type");
  fputs(".It Cm ", out);
  put_name(out, need(attribute, "name"));
  fputs(" Ns = Ns Ar ", out);
  put_name(out, strncmp(type, "xs:", 3) == 0 ? "words" : type);
  if (same(get(attribute, "use"), "required")) fputs(" Pq required", out);
  fputc('\n', out);
  put_text(out, attribute_words(attribute));
}

static void page_attributes(const forms *f, const xmlNode *type) {
  for (const xmlNode *c = type->children; c != NULL; c = c->next) {
    if (is(c, "attribute")) page_attribute(f->out, c);
    if (is(c, "attributeGroup")) page_attributes(f, named(f, "attributeGroup", need(c, "ref")));
    if (is(c, "complexContent")) {
      const xmlNode *extension = child(c, "extension");
      page_attributes(f, named(f, "complexType", need(extension, "base")));
      page_attributes(f, extension);
    }
  }
}

/* Which elements can stand inside. */
static void page_children(const forms *f, const xmlNode *type) {
  const xmlNode *model = child(type, "choice") != NULL ? child(type, "choice")
                                                       : child(type, "sequence");
  if (model == NULL) return;
  fputs("Inside it stand, any number of times:\n.Bl -tag -width Ds -compact\n", f->out);
  for (const xmlNode *c = model->children; c != NULL; c = c->next) {
    if (!is(c, "element")) continue;
    fputs(".It Ic ", f->out);
    put_name(f->out, need(c, "name"));
    fputc('\n', f->out);
    put_text(f->out, element_words(f, c));
  }
  fputs(".El\n.Pp\n", f->out);
}

static void page_type(const forms *f, const char *title, const char *words, const xmlNode *type) {
  fputs(".Ss ", f->out);
  for (const char *c = title; *c != '\0'; ++c) fputc(*c == '-' ? ' ' : *c, f->out);
  fputc('\n', f->out);
  put_text(f->out, words);
  fputs(".Pp\n", f->out);
  page_children(f, type);
  fputs("Attributes:\n.Bl -tag -width Ds\n", f->out);
  page_attributes(f, type);
  fputs(".El\n", f->out);
}

static void page_elements(const forms *f) {
  for (xmlNode *c = f->schema->children; c != NULL; c = c->next)
    if (is(c, "element"))
      page_type(f, need(c, "name"), element_words(f, c), child(c, "complexType"));
  for (xmlNode *c = f->schema->children; c != NULL; c = c->next) {
    if (!is(c, "complexType")) continue;
    const char *name = need(c, "name"), *words = documentation(c);
    if (words == NULL) die("type without documentation", name);
    page_type(f, name, words, c);
  }
}

static void page_values(const forms *f) {
  fputs(".Bl -tag -width Ds\n", f->out);
  for (xmlNode *c = f->schema->children; c != NULL; c = c->next) {
    if (!is(c, "simpleType")) continue;
    const xmlNode *restriction = child(c, "restriction");
    const char *words = documentation(c);
    if (words == NULL) die("type without documentation", need(c, "name"));
    fputs(".It Ar ", f->out);
    put_name(f->out, need(c, "name"));
    fputc('\n', f->out);
    put_text(f->out, words);
    if (restriction == NULL || child(restriction, "enumeration") == NULL) continue;
    fputs("One of\n", f->out);
    for (const xmlNode *e = restriction->children; e != NULL; e = e->next) {
      if (!is(e, "enumeration")) continue;
      bool last = true;
      for (const xmlNode *n = e->next; n != NULL; n = n->next) last = last && !is(n, "enumeration");
      fputs(".Cm ", f->out);
      put_name(f->out, need(e, "value"));
      fputs(last ? " .\n" : " ,\n", f->out);
    }
  }
  fputs(".El\n", f->out);
}

static void write_page(forms *f, const char *template, const char *path) {
  FILE *in = open_or_die(template, "r");
  f->out = open_or_die(path, "w");
  for (char line[4096]; fgets(line, sizeof line, in) != NULL;) {
    if (strncmp(line, "@ELEMENTS", 9) == 0) page_elements(f);
    else if (strncmp(line, "@VALUES", 7) == 0) page_values(f);
    else fputs(line, f->out);
  }
  fclose(in);
  if (fclose(f->out) != 0) die("cannot be written", path);
}

int main(int argc, char **argv) {
  if (argc != 6) return 2;
  xmlDoc *doc = xmlReadFile(argv[1], NULL, XML_PARSE_NONET | XML_PARSE_NOBLANKS);
  if (doc == NULL) die("cannot be read", argv[1]);
  forms f = {.schema = xmlDocGetRootElement(doc)};
  write_relaxng(&f, argv[2]);
  write_array(argv[2], argv[3]);
  write_page(&f, argv[4], argv[5]);
  xmlFreeDoc(doc);
  xmlCleanupParser();
  return 0;
}
