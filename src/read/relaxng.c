#include "read/read.h"
#include "relaxng_text.h"

const char *gw_read_relaxng(size_t *length) {
  *length = sizeof relaxng_text - 1;
  return (const char *)relaxng_text;
}
