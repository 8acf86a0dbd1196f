/* What happens when a library gets no memory.
 *
 * libxml2, Jansson and libharu do not all bear it: they read through null
 * pointers, leave out what they could not keep, or take a part for the whole
 * (tests/cli/out_of_memory.py shows where).  None of them gives its allocator
 * anything to report to.  So the command ends there and then.  Nothing has been
 * written at such a moment: findings and sheets come after, and a sheet that is
 * in the making is not in its place yet. */
#include <jansson.h>
#include <libxml/parser.h>
#include <malloc.h>
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"

static void *or_end(void *memory, size_t size) {
  if (memory != NULL || size == 0) return memory;
  fputs("gluewright: memory is short\n", stderr);
  _Exit(GW_EXIT_MACHINE);
}

static void *allocate(size_t size) { return or_end(malloc(size), size); }
static void *allocate_again(void *old, size_t size) { return or_end(realloc(old, size), size); }
static char *copy_text(const char *text) { return or_end(strdup(text), 1); }

void *gw_cli_allocate(unsigned int size) { return allocate(size); }

void gw_cli_watch_memory(void) {
  /* A tree of XML is millions of small blocks freed at once.  Kept on the quick
   * lists of glibc they would be put together one by one, all over the memory,
   * at the next large request; put together as they are freed, neighbours after
   * neighbours, they cost a fifth of that. */
#ifdef M_MXFAST
  mallopt(M_MXFAST, 0);
#endif
  xmlMemSetup(free, allocate, allocate_again, copy_text);
  json_set_alloc_funcs(allocate, free);
}
