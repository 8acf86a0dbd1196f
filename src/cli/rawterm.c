#include "cli/rawterm.h"

#include <poll.h>
#include <stdio.h>
#include <time.h>
#include <unistd.h>

static const int ENDING[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT};
enum { ESCAPE = 27, LONGEST_SEQUENCE = 16 };

bool gw_rawterm_open(gw_rawterm *t) {
  *t = (gw_rawterm){.caught = 0};
  if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO) || tcgetattr(STDIN_FILENO, &t->before) != 0)
    return false;
  sigemptyset(&t->held);
  for (size_t i = 0; i < sizeof ENDING / sizeof *ENDING; ++i) sigaddset(&t->held, ENDING[i]);
  sigaddset(&t->held, SIGTSTP);
  sigprocmask(SIG_BLOCK, &t->held, &t->mask_before);
  struct termios raw = t->before;
  raw.c_lflag &= (tcflag_t) ~(ICANON | ECHO | ISIG | IEXTEN);
  raw.c_iflag &= (tcflag_t) ~(IXON | ICRNL);
  raw.c_cc[VMIN] = 0;
  raw.c_cc[VTIME] = 0;
  if (tcsetattr(STDIN_FILENO, TCSAFLUSH, &raw) != 0) {
    sigprocmask(SIG_SETMASK, &t->mask_before, NULL);
    return false;
  }
  fputs("\033[?1049h\033[?25l", stdout);
  fflush(stdout);
  return true;
}

void gw_rawterm_close(gw_rawterm *t) {
  fputs("\033[?25h\033[?1049l", stdout);
  fflush(stdout);
  tcsetattr(STDIN_FILENO, TCSAFLUSH, &t->before);
}

void gw_rawterm_release(gw_rawterm *t) {
  sigprocmask(SIG_SETMASK, &t->mask_before, NULL);
  if (t->caught != 0) raise(t->caught);
}

/* Takes a held signal, if there is one; being stopped is passed over. */
static bool ended(gw_rawterm *t) {
  struct timespec now = {0};
  int signal;
  while ((signal = sigtimedwait(&t->held, NULL, &now)) > 0) {
    if (signal == SIGTSTP) continue;
    t->caught = signal;
    return true;
  }
  return false;
}

static int read_key(void) {
  unsigned char bytes[LONGEST_SEQUENCE];
  ssize_t count = read(STDIN_FILENO, bytes, 1);
  if (count <= 0) return GW_KEY_END;
  if (bytes[0] != ESCAPE) return bytes[0];
  /* An arrow key's bytes come together: none of them is a key by itself. */
  (void)!read(STDIN_FILENO, bytes, sizeof bytes);
  return GW_KEY_NONE;
}

int gw_rawterm_key(gw_rawterm *t, int milliseconds) {
  struct pollfd in = {.fd = STDIN_FILENO, .events = POLLIN};
  if (ended(t)) return GW_KEY_END;
  int ready = poll(&in, 1, milliseconds);
  if (ended(t)) return GW_KEY_END;
  return ready > 0 ? read_key() : GW_KEY_NONE;
}
