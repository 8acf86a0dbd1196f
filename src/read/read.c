/* From bytes to a checked document. */
#include "read/read.h"

#include <errno.h>
#include <libxml/parser.h>
#include <libxml/parserInternals.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "read/parts.h"

enum { MAX_FINDINGS_OF_XML = 20 };

/* ---- bytes ------------------------------------------------------------------ */

static gw_status read_stream(FILE *in, const char *path, char **bytes, size_t *count,
                             gw_error *err) {
  size_t room = 0;
  *bytes = NULL;
  *count = 0;
  for (;;) {
    if (*count > GW_READ_MAX_BYTES)
      return gw_fail(err, GW_IO, "%s is larger than 64 MiB; a project file is text that was typed",
                     path);
    GW_TRY(gw_grow(bytes, &room, *count + 65536, 1));
    size_t got = fread(*bytes + *count, 1, 65536, in);
    *count += got;
    if (got == 0) break;
  }
  if (ferror(in)) return gw_fail(err, GW_IO, "%s cannot be read: %s", path, strerror(errno));
  return GW_OK;
}

static gw_status open_file(const char *path, FILE **out, gw_error *err) {
  struct stat about;
  if (stat(path, &about) != 0)
    return gw_fail(err, GW_IO, "%s cannot be opened: %s", path, strerror(errno));
  if (!S_ISREG(about.st_mode) && !S_ISFIFO(about.st_mode))
    return gw_fail(err, GW_IO, "%s is not a file; give the path of a project file", path);
  *out = fopen(path, "rb");
  if (*out == NULL && errno == ENOMEM) return GW_NO_MEMORY;
  if (*out == NULL) return gw_fail(err, GW_IO, "%s cannot be opened: %s", path, strerror(errno));
  return GW_OK;
}

gw_status gw_read_file(const char *path, gw_findings *findings, gw_model **out, gw_error *err) {
  FILE *in = stdin;
  bool standard = strcmp(path, "-") == 0;
  if (!standard) GW_TRY(open_file(path, &in, err));
  char *bytes;
  size_t count;
  gw_status status = read_stream(in, path, &bytes, &count, err);
  if (!standard) fclose(in);
  if (status == GW_OK)
    status = gw_read_bytes(standard ? "standard input" : path, bytes, count, findings, out);
  free(bytes);
  return status;
}

/* ---- document ------------------------------------------------------------------ */

/* What the parser's hooks need; hangs on the parser context. */
typedef struct parsing {
  const char *bytes;
  size_t count;
  size_t counted; /* line feeds before this offset have been counted */
  int line;       /* of `counted` */
  bool short_of_memory;
  int doctype_line; /* 0: there is none */
  int elements;
  long attributes;
  bool odd_encoding;
  int reported, last_line;
  gw_findings *findings;
  startElementNsSAX2Func start;
  startDocumentSAXFunc start_document;
} parsing;

/* libxml2 gives a start tag the line on which it ends, so that a tag over
 * several lines is misplaced.  The offset behind the tag is known here: walk
 * back to its "<", which cannot stand inside a start tag. */
static int line_of_tag(parsing *state, xmlParserCtxtPtr parser) {
  long behind = xmlByteConsumed(parser);
  if (behind < 0 || (size_t)behind > state->count) return -1;
  size_t at = (size_t)behind;
  while (at > 0 && state->bytes[at - 1] != '<') --at;
  while (state->counted < at) {
    const char *from = state->bytes + state->counted;
    const char *feed = memchr(from, '\n', at - state->counted);
    state->counted = feed == NULL ? at : (size_t)(feed - state->bytes) + 1;
    state->line += feed != NULL;
  }
  return state->line;
}

static bool is_crowded(const parsing *state) {
  return state->elements > GW_READ_MAX_ELEMENTS || state->attributes > GW_READ_MAX_ALL_ATTRIBUTES;
}

static void start_element(void *context, const xmlChar *name, const xmlChar *prefix,
                          const xmlChar *uri, int n_namespaces, const xmlChar **namespaces,
                          int n_attributes, int n_defaulted, const xmlChar **attributes) {
  xmlParserCtxtPtr parser = context;
  parsing *state = parser->_private;
  ++state->elements;
  state->attributes += n_attributes;
  if (is_crowded(state)) {
    xmlStopParser(parser);
    return;
  }
  state->start(context, name, prefix, uri, n_namespaces, namespaces, n_attributes, n_defaulted,
               attributes);
  if (parser->node == NULL || parser->input == NULL || parser->input->buf == NULL ||
      parser->input->buf->encoder != NULL)
    return; /* offsets are those of the converted text: keep libxml2's own line */
  int line = line_of_tag(state, parser);
  if (line > 0) parser->node->_private = (void *)(intptr_t)line;
}

static void refuse_doctype(void *context, const xmlChar *name, const xmlChar *external,
                           const xmlChar *system) {
  (void)name, (void)external, (void)system;
  xmlParserCtxtPtr parser = context;
  ((parsing *)parser->_private)->doctype_line = parser->input == NULL ? 1 : parser->input->line;
  xmlStopParser(parser);
}

/* Called when the encoding is known, before the first element. */
static void start_document(void *context) {
  xmlParserCtxtPtr parser = context;
  parsing *state = parser->_private;
  const xmlChar *name = parser->encoding;
  if (name == NULL && parser->input != NULL) name = parser->input->encoding;
  state->odd_encoding = !gw_read_knows_encoding(state->bytes, state->count, (const char *)name);
  if (state->odd_encoding) xmlStopParser(parser);
  else state->start_document(context);
}

int gw_read_line(const xmlNode *node) {
  intptr_t line = (intptr_t)node->_private;
  return line > 0 ? (int)line : (int)xmlGetLineNo(node);
}

/* Whether we have stopped the parser ourselves. */
static bool is_refused(const parsing *state) {
  return state->doctype_line > 0 || state->odd_encoding || is_crowded(state);
}

static void hear_parser(void *user, xmlErrorPtr error) {
  parsing *state = user;
  if (is_refused(state) || state->reported++ >= MAX_FINDINGS_OF_XML) return;
  if (error->code == XML_ERR_NO_MEMORY) {
    state->short_of_memory = true;
    return;
  }
  /* One slip makes the parser stumble several times on its line. */
  if (error->line == state->last_line) return;
  state->last_line = error->line;
  int length = error->message == NULL ? 0 : (int)strcspn(error->message, "\n");
  if (gw_find(state->findings, GW_ERROR, "not-xml", error->line,
              "this is not well-formed XML: %.*s; look at this line and the one before it", length,
              error->message == NULL ? "" : error->message) != GW_OK)
    state->short_of_memory = true;
}

static xmlDocPtr parse(parsing *state) {
  xmlParserCtxtPtr parser = xmlNewParserCtxt();
  if (parser == NULL) {
    state->short_of_memory = true;
    return NULL;
  }
  parser->_private = state;
  state->start = parser->sax->startElementNs;
  parser->sax->startElementNs = start_element;
  state->start_document = parser->sax->startDocument;
  parser->sax->startDocument = start_document;
  parser->sax->internalSubset = refuse_doctype;
  parser->sax->serror = NULL;
  xmlSetStructuredErrorFunc(state, hear_parser);
  xmlDocPtr doc = xmlCtxtReadMemory(parser, state->bytes, (int)state->count, NULL, NULL,
                                    XML_PARSE_NONET | XML_PARSE_BIG_LINES | XML_PARSE_NOCDATA |
                                        XML_PARSE_COMPACT);
  xmlSetStructuredErrorFunc(NULL, NULL);
  bool good = doc != NULL && parser->wellFormed && !is_refused(state);
  xmlFreeParserCtxt(parser);
  if (good) return doc;
  xmlFreeDoc(doc);
  return NULL;
}

/* FNV-1a over the bytes: tells two prints of one name apart; no secret. */
static void digest_bytes(const char *bytes, size_t count, char out[17]) {
  uint64_t hash = 1469598103934665603u;
  for (size_t i = 0; i < count; ++i) hash = (hash ^ (unsigned char)bytes[i]) * 1099511628211u;
  snprintf(out, 17, "%016llx", (unsigned long long)hash);
}

static gw_status say_why_not(parsing *state) {
  if (state->short_of_memory) return GW_NO_MEMORY;
  if (state->doctype_line > 0)
    GW_TRY(gw_find(state->findings, GW_ERROR, "doctype", state->doctype_line,
                   "a project file has no document type declaration; take the <!DOCTYPE …> out"));
  if (state->odd_encoding)
    GW_TRY(gw_find(state->findings, GW_ERROR, "not-xml", 1,
                   "this encoding is not read here; save the file as UTF-8"));
  if (is_crowded(state))
    GW_TRY(gw_find(state->findings, GW_ERROR, "too-many", 0,
                   "there are more than %d elements or %d attributes; a piece needs far fewer",
                   GW_READ_MAX_ELEMENTS, GW_READ_MAX_ALL_ATTRIBUTES));
  if (gw_findings_count(state->findings) == 0)
    GW_TRY(gw_find(state->findings, GW_ERROR, "not-xml", 1, "this is not an XML file"));
  return GW_BAD_INPUT;
}

gw_status gw_read_bytes(const char *name, const char *bytes, size_t count,
                        gw_findings *findings, gw_model **out) {
  parsing state = {.bytes = bytes, .count = count, .line = 1, .findings = findings};
  int crowded = gw_read_scan(bytes, count);
  if (crowded > 0) {
    GW_TRY(gw_find(findings, GW_ERROR, "too-many", crowded,
                   "this element has more than %d attributes; none here has so many",
                   GW_READ_MAX_ATTRIBUTES));
    return GW_BAD_INPUT;
  }
  xmlDocPtr doc = count == 0 ? NULL : parse(&state);
  if (doc == NULL) return say_why_not(&state);
  gw_status status = gw_read_validate(doc, findings);
  gw_model *model = NULL;
  if (status == GW_OK) {
    model = gw_model_new(name);
    status = model == NULL ? GW_NO_MEMORY : GW_OK;
  }
  if (status == GW_OK) {
    digest_bytes(bytes, count, model->digest);
    status = gw_read_build(doc, model, findings);
  }
  xmlFreeDoc(doc);
  if (status != GW_OK) {
    gw_model_free(model);
    return status;
  }
  *out = model;
  return GW_OK;
}
