/* failmalloc.c - memory that runs out on purpose.  Preloaded into the command:
 *
 *   FAILMALLOC_AT=n     the n-th allocation (from 1) fails; 0: none does
 *   FAILMALLOC_ON=1     and so do all after it
 *   FAILMALLOC_REPORT=f the number of allocations (till the one that failed), and
 *                       the file of the code that asked for that, go into f
 *   FAILMALLOC_SITES=f  instead of failing, writes into f the number of the first
 *                       allocation from each different chain of callers
 *
 * Allocations are counted from the start of main's libraries; memory made
 * smaller by realloc never fails. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <malloc.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* The C library's own, under the names that it exports for this purpose. */
extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t count, size_t size);
extern void *__libc_realloc(void *old, size_t size);

enum { FRAMES = 48, SLOTS = 1 << 17 };

static struct {
  unsigned long at, count;
  bool on, ready, looking;
  const void *who; /* where the failing allocation was asked for */
  int sites;       /* file descriptor */
  uint64_t seen[SLOTS];
} state = {.sites = -1};

static unsigned long number_of(const char *name) {
  const char *text = getenv(name);
  return text == NULL ? 0 : strtoul(text, NULL, 10);
}

__attribute__((constructor)) static void begin(void) {
  state.at = number_of("FAILMALLOC_AT");
  state.on = number_of("FAILMALLOC_ON") != 0;
  const char *sites = getenv("FAILMALLOC_SITES");
  if (sites != NULL) {
    void *frames[2];
    backtrace(frames, 2); /* loads what it needs, now */
    state.sites = open(sites, O_WRONLY | O_CREAT | O_TRUNC, 0600);
  }
  state.ready = true;
}

/* Whether this chain of callers has not been seen before. */
static bool is_new_chain(void) {
  void *frames[FRAMES];
  int count = backtrace(frames, FRAMES);
  uint64_t hash = 1469598103934665603u;
  for (int i = 0; i < count; ++i) hash = (hash ^ (uintptr_t)frames[i]) * 1099511628211u;
  size_t at = (size_t)(hash ^ (hash >> 32)) % SLOTS;
  while (state.seen[at] != 0 && state.seen[at] != hash) at = (at + 1) % SLOTS;
  if (state.seen[at] == hash) return false;
  state.seen[at] = hash;
  return true;
}

static void note_site(void) {
  if (state.looking) return;
  state.looking = true;
  char line[32];
  if (is_new_chain()) {
    int length = snprintf(line, sizeof line, "%lu\n", state.count);
    if (length > 0 && write(state.sites, line, (size_t)length) < 0) state.sites = -1;
  }
  state.looking = false;
}

/* Written when the allocation fails, since the command may end there. */
static void report(void) {
  const char *path = getenv("FAILMALLOC_REPORT");
  if (path == NULL) return;
  Dl_info info = {0};
  const char *file = "none";
  if (state.who != NULL && dladdr(state.who, &info) != 0 && info.dli_fname != NULL)
    file = info.dli_fname;
  char line[512];
  int length = snprintf(line, sizeof line, "%lu %s\n", state.count, file);
  int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
  if (fd < 0) return;
  if (length > 0 && write(fd, line, (size_t)length) < 0) state.sites = -1;
  close(fd);
}

__attribute__((destructor)) static void finish(void) {
  state.ready = false;
  if (state.who == NULL) report();
}

static bool fails(const void *who) {
  if (!state.ready) return false;
  unsigned long number = ++state.count;
  if (state.sites >= 0) note_site();
  if (state.at == 0 || number < state.at || (number > state.at && !state.on)) return false;
  if (state.who == NULL) {
    state.who = who;
    report();
  }
  errno = ENOMEM;
  return true;
}

void *malloc(size_t size) {
  return fails(__builtin_return_address(0)) ? NULL : __libc_malloc(size);
}

void *calloc(size_t count, size_t size) {
  return fails(__builtin_return_address(0)) ? NULL : __libc_calloc(count, size);
}

void *realloc(void *old, size_t size) {
  bool shrinks = old != NULL && size <= malloc_usable_size(old);
  if (!shrinks && fails(__builtin_return_address(0))) return NULL;
  return __libc_realloc(old, size);
}
