/* Lengths and fractions: what is read is written and read again as the same. */
#include <stdlib.h>
#include <string.h>

#include "base/base.h"
#include "fuzz.h"

/* Inches are written to the nearest 1/64, millimetres to the nearest 1/1000. */
static void check_round(gw_len length, gw_units units) {
  char text[GW_LEN_TEXT], again_text[GW_LEN_TEXT];
  gw_len_text(length, units, text, sizeof text);
  gw_len again, step = units == GW_UNITS_INCH ? GW_INCH / 64 : GW_MM / 1000;
  if (strlen(text) + 1 >= sizeof text) abort();
  /* A rounding up may lead beyond the longest length by less than a step. */
  if (gw_len_parse(text, units, &again) != NULL) {
    if (llabs(length) + step <= GW_LEN_MAX) abort();
    return;
  }
  if (llabs(again - length) * 2 > step) abort();
  if (strcmp(gw_len_text(again, units, again_text, sizeof again_text), text) != 0) abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  char *text = malloc(size + 1);
  if (text == NULL) abort();
  memcpy(text, data, size);
  text[size] = '\0';
  for (int units = GW_UNITS_MM; units <= GW_UNITS_INCH; ++units) {
    gw_len length = GW_UNSET;
    const char *wrong = gw_len_parse(text, (gw_units)units, &length);
    if (wrong != NULL) {
      if (length != GW_UNSET || *wrong == '\0') abort();
      continue;
    }
    if (length > GW_LEN_MAX || length < -GW_LEN_MAX) abort();
    check_round(length, GW_UNITS_MM);
    check_round(length, GW_UNITS_INCH);
  }
  free(text);
  return 0;
}
