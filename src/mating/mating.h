/* mating.h - which half goes into which: the joint graph.
 *
 * Every entering half names one receiving half; every receiving half is named
 * by exactly one.  What is not so is a finding. */
#ifndef GW_MATING_H
#define GW_MATING_H

#include "base/findings.h"
#include "model/model.h"

/* Fills model->joints (in the order of the entering halves) and each half's
 * `joint`.  Halves that do not mate get no joint.  Findings: unknown-half,
 * two-into-one, left-over, wrong-kind, into-itself, part-alone, not-connected,
 * id-twice. */
gw_status gw_mate(gw_model *model, gw_findings *findings);

#endif
