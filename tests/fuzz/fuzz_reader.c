/* The reader alone, which also sees what is not XML at all. */
#include <stdlib.h>

#include "fuzz.h"
#include "read/read.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  gw_findings *findings = gw_findings_new("file");
  if (findings == NULL) abort();
  gw_model *model = NULL;
  gw_status status = gw_read_bytes("file", (const char *)data, size, findings, &model);
  /* Either a model, or a reason. */
  if (status != GW_OK && status != GW_BAD_INPUT) abort();
  if ((status == GW_OK) != (model != NULL)) abort();
  if (status == GW_BAD_INPUT && gw_findings_count_of(findings, GW_ERROR) == 0) abort();
  gw_model_free(model);
  gw_findings_free(findings);
  return 0;
}
