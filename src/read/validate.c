/* The schema, and its complaints in plain words.
 *
 * libxml2 says which attribute and which value; what is wanted instead is
 * looked up in the schema's own documentation, so that the two cannot
 * disagree. */
#include <ctype.h>
#include <libxml/parser.h>
#include <libxml/xmlschemas.h>
#include <stdlib.h>
#include <string.h>

#include "read/parts.h"
#include "schema_text.h"

enum { MAX_COMPLAINTS = 20, MAX_ROUNDS = 20 };

const char *gw_read_schema(size_t *length) {
  *length = sizeof schema_text - 1;
  return (const char *)schema_text;
}

/* ---- looking things up in the schema --------------------------------------------- */

static bool is(const xmlNode *node, const char *name) {
  return node->type == XML_ELEMENT_NODE && strcmp((const char *)node->name, name) == 0;
}

static bool has(xmlNode *node, const char *attribute, const char *value) {
  xmlChar *text = xmlGetProp(node, (const xmlChar *)attribute);
  bool same = text != NULL && strcmp((const char *)text, value) == 0;
  xmlFree(text);
  return same;
}

/* Calls `visit` for each element below `node`, in document order, until it
 * returns true. */
typedef bool visitor(xmlNode *node, void *user);
static bool walk(xmlNode *node, visitor *visit, void *user) {
  for (xmlNode *child = node->children; child != NULL; child = child->next) {
    if (child->type != XML_ELEMENT_NODE) continue;
    if (visit(child, user) || walk(child, visit, user)) return true;
  }
  return false;
}

typedef struct wanted {
  const char *kind, *name;
  xmlNode *found;
} wanted;

static bool visit_named(xmlNode *node, void *user) {
  wanted *w = user;
  if (!is(node, w->kind) || !has(node, "name", w->name)) return false;
  w->found = node;
  return true;
}

static xmlNode *find_below(xmlNode *node, const char *kind, const char *name) {
  wanted w = {kind, name, NULL};
  if (node != NULL) walk(node, visit_named, &w);
  return w.found;
}

static xmlNode *find_named(xmlDocPtr schema, const char *kind, const char *name) {
  return find_below(xmlDocGetRootElement(schema), kind, name);
}

/* The attribute as that element has it: open= of a glue is a time, that of a
 * joint is not.  What several elements share stands in a group apart. */
static xmlNode *find_attribute(xmlDocPtr schema, const char *element, const char *attribute) {
  xmlNode *node = find_named(schema, "element", element);
  xmlChar *type = node == NULL ? NULL : xmlGetProp(node, (const xmlChar *)"type");
  if (type != NULL) node = find_named(schema, "complexType", (const char *)type);
  xmlFree(type);
  xmlNode *own = find_below(node, "attribute", attribute);
  return own != NULL ? own : find_named(schema, "attribute", attribute);
}

static bool visit_documentation(xmlNode *node, void *user) {
  if (!is(node, "documentation")) return false;
  *(xmlChar **)user = xmlNodeGetContent(node);
  return true;
}

/* The documentation of the type of an attribute; to be freed with xmlFree. */
static xmlChar *what_is_wanted(xmlDocPtr schema, const char *element, const char *attribute) {
  xmlNode *node = find_attribute(schema, element, attribute);
  if (node == NULL) return NULL;
  xmlChar *type = xmlGetProp(node, (const xmlChar *)"type"), *words = NULL;
  xmlNode *simple = type == NULL ? NULL : find_named(schema, "simpleType", (const char *)type);
  if (simple != NULL) walk(simple, visit_documentation, &words);
  xmlFree(type);
  return words;
}

/* The same of the attribute itself: what it means there. */
static xmlChar *what_it_means(xmlDocPtr schema, const char *element, const char *attribute) {
  xmlNode *node = find_attribute(schema, element, attribute);
  xmlChar *words = NULL;
  if (node != NULL) walk(node, visit_documentation, &words);
  return words;
}

typedef struct nearest_search {
  const char *kind, *word;
  xmlChar *best;
} nearest_search;

static bool visit_nearest(xmlNode *node, void *user) {
  nearest_search *search = user;
  if (!is(node, search->kind)) return false;
  xmlChar *name = xmlGetProp(node, (const xmlChar *)"name");
  if (name == NULL) return false;
  const char *pair[2] = {(const char *)search->best, (const char *)name};
  int nearest = search->best == NULL ? gw_nearest(search->word, pair + 1, 1)
                                     : gw_nearest(search->word, pair, 2);
  if (nearest == (search->best == NULL ? 0 : 1)) {
    xmlFree(search->best);
    search->best = name;
  } else {
    xmlFree(name);
  }
  return false;
}

/* The element or attribute of the schema nearest to a misspelt one, or NULL;
 * to be freed with xmlFree. */
static xmlChar *nearest_name(xmlDocPtr schema, const char *kind, const char *word) {
  nearest_search search = {kind, word, NULL};
  walk(xmlDocGetRootElement(schema), visit_nearest, &search);
  return search.best;
}

/* ---- complaints -------------------------------------------------------------------- */

typedef struct listening {
  gw_findings *findings;
  xmlDocPtr schema;
  xmlNode *stray[MAX_COMPLAINTS]; /* elements that do not belong, to be taken out */
  int n_stray, n_heard;
  int last_line;
  char last_attribute[64];
  gw_status status;
} listening;

/* The attribute is named in the message only: … attribute 'at': … */
static void attribute_of(const char *message, char *out, size_t room) {
  static const char before[] = "attribute '";
  const char *at = message == NULL ? NULL : strstr(message, before);
  out[0] = '\0';
  if (at == NULL) return;
  at += sizeof before - 1;
  size_t length = strcspn(at, "'");
  if (length < room) {
    memcpy(out, at, length);
    out[length] = '\0';
  }
}

static bool decimal_comma(const char *value) {
  const char *comma = strchr(value, ',');
  return comma != NULL && comma > value && isdigit((unsigned char)comma[-1]) &&
         isdigit((unsigned char)comma[1]);
}

static gw_status bad_value(listening *l, int line, const char *element, const char *attribute,
                           const char *value, const char *choices) {
  if (choices != NULL)
    return gw_find(l->findings, GW_ERROR, "bad-value", line,
                   "%s=\"%s\" is not one of %s; use one of these", attribute, value, choices);
  xmlChar *words = what_is_wanted(l->schema, element, attribute);
  gw_status status =
      gw_find(l->findings, GW_ERROR, "bad-value", line,
              "%s=\"%s\" cannot be read; wanted here: %s%s", attribute, value,
              words == NULL ? "another value" : (const char *)words,
              decimal_comma(value) ? "; write a point for the comma" : "");
  xmlFree(words);
  return status;
}

static gw_status missing(listening *l, int line, const char *element, const char *attribute) {
  xmlChar *words = what_it_means(l->schema, element, attribute);
  gw_status status =
      gw_find(l->findings, GW_ERROR, "missing-attribute", line, "<%s> needs %s=\"…\"%s%s", element,
              attribute, words == NULL ? "" : "; ", words == NULL ? "" : (const char *)words);
  xmlFree(words);
  return status;
}

static gw_status unknown_name(listening *l, int line, const char *kind, const char *name,
                              const char *inside) {
  xmlChar *near = nearest_name(l->schema, kind, name);
  bool element = strcmp(kind, "element") == 0;
  bool misspelt = near != NULL && strcmp((const char *)near, name) != 0;
  gw_status status = gw_find(
      l->findings, GW_ERROR, element ? "unknown-element" : "unknown-attribute", line,
      "%s%s%s %s <%s>%s%s%s", element ? "<" : "", name, element ? ">" : "=",
      element ? "does not belong inside" : "does not belong on", inside,
      misspelt ? "; did you mean " : "; take it out", misspelt ? (const char *)near : "",
      misspelt ? "?" : "");
  xmlFree(near);
  return status;
}

static gw_status complain(listening *l, xmlErrorPtr error, xmlNode *node, int line,
                          const char *attribute) {
  const char *name = node == NULL ? "?" : (const char *)node->name;
  const char *value = error->str1 == NULL ? "" : error->str1;
  switch (error->code) {
    case XML_SCHEMAV_CVC_COMPLEX_TYPE_3_2_1:
    case XML_SCHEMAV_CVC_COMPLEX_TYPE_3_2_2:
      return unknown_name(l, line, "attribute", attribute, name);
    case XML_SCHEMAV_CVC_COMPLEX_TYPE_4:
      return missing(l, line, name, value);
    case XML_SCHEMAV_ELEMENT_CONTENT: {
      const xmlNode *parent = node == NULL ? NULL : node->parent;
      if (l->n_stray < MAX_COMPLAINTS) l->stray[l->n_stray++] = node;
      return unknown_name(l, line, "element", name,
                          parent != NULL && parent->type == XML_ELEMENT_NODE
                              ? (const char *)parent->name : "?");
    }
    case XML_SCHEMAV_CVC_ENUMERATION_VALID:
      return bad_value(l, line, name, attribute, value, error->str2);
    case XML_SCHEMAV_CVC_ELT_1:
      return gw_find(l->findings, GW_ERROR, "not-a-piece", line,
                     "<%s> is not a piece; a project file begins with "
                     "<piece xmlns=\"urn:gluewright:piece:1\" version=\"1\" name=\"…\">", name);
    default:
      if (attribute[0] != '\0') return bad_value(l, line, name, attribute, value, NULL);
      return gw_find(l->findings, GW_ERROR, "stray-text", line,
                     "<%s> holds something that does not belong there; take the text out", name);
  }
}

static void hear_schema(void *user, xmlErrorPtr error) {
  listening *l = user;
  if (l->status != GW_OK || error->code == XML_ERR_NO_MEMORY) {
    if (l->status == GW_OK) l->status = GW_NO_MEMORY;
    return;
  }
  xmlNode *node = error->node;
  int line = node == NULL ? error->line : gw_read_line(node);
  char attribute[64];
  attribute_of(error->message, attribute, sizeof attribute);
  /* One bad value may break two rules of its type: say it once. */
  bool again = attribute[0] != '\0' && line == l->last_line &&
               strcmp(attribute, l->last_attribute) == 0;
  if (again || l->n_heard >= MAX_COMPLAINTS) return;
  l->last_line = line;
  memcpy(l->last_attribute, attribute, sizeof attribute);
  l->n_heard++;
  l->status = complain(l, error, node, line, attribute);
}

static void hear_nothing(void *user, xmlErrorPtr error) { (void)user, (void)error; }

/* ---- validation ------------------------------------------------------------------------ */

/* libxml2 leaves the rest of an element's content unread after a child that
 * does not belong: take such children out and look again, so that one run
 * shows every problem. */
static gw_status validate_rounds(xmlSchemaPtr schema, xmlDocPtr doc, listening *l) {
  for (int round = 0; round < MAX_ROUNDS; ++round) {
    xmlSchemaValidCtxtPtr valid = xmlSchemaNewValidCtxt(schema);
    if (valid == NULL) return GW_NO_MEMORY;
    xmlSchemaSetValidStructuredErrors(valid, hear_schema, l);
    size_t before = gw_findings_count(l->findings);
    l->n_stray = 0;
    int result = xmlSchemaValidateDoc(valid, doc);
    xmlSchemaFreeValidCtxt(valid);
    if (l->status != GW_OK) return l->status;
    if (result < 0) return GW_INTERNAL;
    if (l->n_stray == 0) {
      /* Complaints that earlier rounds made are made again by the last one. */
      return result == 0 && before == 0 ? GW_OK : GW_BAD_INPUT;
    }
    for (int i = 0; i < l->n_stray; ++i) {
      if (l->stray[i] == xmlDocGetRootElement(doc)) return GW_BAD_INPUT;
      xmlUnlinkNode(l->stray[i]);
      xmlFreeNode(l->stray[i]);
    }
  }
  return GW_BAD_INPUT;
}

static gw_status drop_repeats(gw_findings *findings, gw_findings *into) {
  gw_findings_sort(findings);
  for (size_t i = 0; i < gw_findings_count(findings); ++i) {
    const gw_finding *f = gw_findings_at(findings, i);
    const gw_finding *before = i == 0 ? NULL : gw_findings_at(findings, i - 1);
    if (before != NULL && before->line == f->line && strcmp(before->words, f->words) == 0) continue;
    GW_TRY(gw_find(into, f->severity, f->code, f->line, "%s", f->words));
  }
  return GW_OK;
}

static xmlSchemaPtr load_schema(xmlDocPtr text) {
  xmlSchemaParserCtxtPtr parser = xmlSchemaNewDocParserCtxt(text);
  if (parser == NULL) return NULL;
  xmlSchemaSetParserStructuredErrors(parser, hear_nothing, NULL);
  xmlSchemaPtr schema = xmlSchemaParse(parser);
  xmlSchemaFreeParserCtxt(parser);
  return schema;
}

gw_status gw_read_validate(xmlDocPtr doc, gw_findings *findings) {
  size_t length;
  const char *text = gw_read_schema(&length);
  listening l = {.findings = gw_findings_new(gw_findings_file(findings))};
  l.schema = xmlReadMemory(text, (int)length, NULL, NULL, XML_PARSE_NONET);
  xmlSchemaPtr schema = l.schema == NULL ? NULL : load_schema(l.schema);
  gw_status status = GW_NO_MEMORY;
  if (l.findings != NULL && schema != NULL) {
    status = validate_rounds(schema, doc, &l);
    gw_status copied = drop_repeats(l.findings, findings);
    if (copied != GW_OK) status = copied;
  }
  xmlSchemaFree(schema);
  xmlFreeDoc(l.schema);
  gw_findings_free(l.findings);
  return status;
}
