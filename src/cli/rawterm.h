/* rawterm.h - the terminal, key by key, and put back as it was.
 *
 * While it is open, keys come one by one without Enter, the cursor is hidden and
 * the screen is another one; signals that would end or stop the program are held
 * back and asked for with the keys, so that the terminal is always put back
 * first.  No handler, no global: gw_rawterm_key looks for them. */
#ifndef GW_CLI_RAWTERM_H
#define GW_CLI_RAWTERM_H

#include <signal.h>
#include <stdbool.h>
#include <termios.h>

typedef struct gw_rawterm {
  struct termios before;
  sigset_t mask_before, held;
  int caught; /* the signal that ended it, or 0 */
} gw_rawterm;

enum { GW_KEY_NONE = 0, GW_KEY_END = -1 };

/* False when standard input or output is no terminal; nothing is changed then. */
bool gw_rawterm_open(gw_rawterm *term);
/* Puts the terminal back.  Signals stay held until gw_rawterm_release. */
void gw_rawterm_close(gw_rawterm *term);
/* Lets signals through again; one that ended it then ends the program. */
void gw_rawterm_release(gw_rawterm *term);
/* Waits up to so many milliseconds for a key: its byte, GW_KEY_NONE when there was
 * none (or a sequence such as an arrow key's), GW_KEY_END when the input has
 * ended or a signal came. */
int gw_rawterm_key(gw_rawterm *term, int milliseconds);

#endif
