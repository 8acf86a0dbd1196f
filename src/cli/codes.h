/* codes.h - what each code of a finding means: codes/codes.def. */
#ifndef GW_CLI_CODES_H
#define GW_CLI_CODES_H

#include <stddef.h>

typedef struct gw_code {
  const char *code, *severity, *look_at, *means, *advice;
} gw_code;

size_t gw_code_count(void);
const gw_code *gw_code_at(size_t index);
/* Lines of a project file that show it, or "". */
const char *gw_code_example(size_t index);
int gw_code_find(const char *code); /* -1 when there is none */

#endif
