#include "cli/view.h"

#include <stdlib.h>
#include <string.h>

enum { DAY_S = 86400 };

bool gw_hour_parse(const char *text, int *seconds) {
  int hour = 0, minute = 0, at = 0;
  if (strspn(text, "0123456789:") != strlen(text)) return false;
  if (sscanf(text, "%2d:%2d%n", &hour, &minute, &at) != 2 || text[at] != '\0') return false;
  if (strlen(strchr(text, ':')) != 3 || hour > 23 || minute > 59) return false;
  *seconds = hour * 3600 + minute * 60;
  return true;
}

char *gw_hour_text(const gw_view *view, int64_t seconds, char *buffer, size_t size) {
  int64_t minutes = (view->start_s + seconds + 59) / 60;
  long long days = minutes * 60 / DAY_S;
  int hour = (int)(minutes / 60 % 24), minute = (int)(minutes % 60);
  if (days == 0) snprintf(buffer, size, "%d:%02d", hour, minute);
  else if (days == 1) snprintf(buffer, size, "%d:%02d the day after", hour, minute);
  else snprintf(buffer, size, "%d:%02d in %lld days", hour, minute, days);
  return buffer;
}
