/* failwrite.c - a disk that is full.  Preloaded into the command:
 *
 *   FAILWRITE_AFTER=n   bytes that fwrite() still takes for files; then it fails with
 *                       ENOSPC, having taken what there was room for
 *   FAILWRITE_SYNC=1    fsync() fails with EIO
 *   FAILWRITE_RENAME=n  the n-th rename() fails with EIO
 *   FAILWRITE_STOP=n    the process kills itself before the n-th fwrite, fsync or
 *                       rename: a loss of power
 *   FAILWRITE_REPORT=f  the number of such calls goes into f
 *
 * Standard output and error are left alone. */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/syscall.h>
#include <unistd.h>

static struct {
  long room, renames, calls, stop;
  bool limited, sync;
} state = {.renames = -1};

static long number_of(const char *name, long otherwise) {
  const char *text = getenv(name);
  return text == NULL ? otherwise : strtol(text, NULL, 10);
}

__attribute__((constructor)) static void begin(void) {
  state.room = number_of("FAILWRITE_AFTER", -1);
  state.limited = state.room >= 0;
  state.sync = number_of("FAILWRITE_SYNC", 0) != 0;
  state.renames = number_of("FAILWRITE_RENAME", -1);
  state.stop = number_of("FAILWRITE_STOP", -1);
}

__attribute__((destructor)) static void report(void) {
  const char *path = getenv("FAILWRITE_REPORT");
  FILE *out = path == NULL ? NULL : fopen(path, "w");
  if (out == NULL) return;
  state.stop = -1;
  fprintf(out, "%ld\n", state.calls);
  fclose(out);
}

static void count_call(void) {
  if (++state.calls == state.stop) raise(SIGKILL);
}

/* What the C library writes from inside itself goes to the kernel directly, so
 * streams are watched where they are filled.  The bound is the stream's, not the
 * disk's: what fwrite has let pass is written. */
size_t fwrite(const void *bytes, size_t size, size_t count, FILE *out) {
  extern size_t _IO_fwrite(const void *, size_t, size_t, FILE *);
  if (fileno(out) <= 2) return _IO_fwrite(bytes, size, count, out);
  count_call();
  long wanted = (long)(size * count);
  if (state.limited && wanted > state.room) {
    _IO_fwrite(bytes, 1, (size_t)state.room, out);
    state.room = 0;
    errno = ENOSPC;
    return 0;
  }
  state.room -= wanted;
  return _IO_fwrite(bytes, size, count, out);
}

int fsync(int fd) {
  count_call();
  if (state.sync) {
    errno = EIO;
    return -1;
  }
  return (int)syscall(SYS_fsync, fd);
}

int rename(const char *from, const char *to) {
  count_call();
  if (state.renames > 0 && --state.renames == 0) {
    errno = EIO;
    return -1;
  }
  return (int)syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
}
