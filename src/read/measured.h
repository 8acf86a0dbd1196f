/* measured.h - sizes as they came out, beside the drawn ones.
 *
 * In the project:  <measured part="front" size="length" value="759.4"/>, with
 * half="…" for a half: its id, or the side it is at when only one half is there.
 * In a list of their own, plain lines under the line  part,size,value  where the
 * part of a half is written part/half.  The list's values win. */
#ifndef GW_READ_MEASURED_H
#define GW_READ_MEASURED_H

#include "base/findings.h"
#include "model/model.h"

/* Fills part, half and which of *out from words; the part's index is known.
 * NULL, or what is wrong with them (static storage, a sentence part). */
const char *gw_measured_find(const gw_model *model, int part, const char *half, const char *size,
                             gw_measured *out);

/* The place of the size in a model. */
gw_len *gw_measured_size(gw_model *model, const gw_measured *measured);

/* Adds the values of a list.  GW_IO or GW_BAD_INPUT with words in *err. */
gw_status gw_measured_list(gw_model *model, const char *path, gw_error *err);

/* Puts the measured values in the place of the drawn ones; a part's tolerance is
 * nought from then on: what was not measured counts as it was drawn.  When
 * nothing is measured, a warning `nothing-measured`. */
gw_status gw_measured_apply(gw_model *model, gw_findings *findings);

#endif
