#include "fit/review.h"

gw_status gw_fit_review(const gw_model *m, const gw_fit *fit, gw_findings *findings) {
  if (!fit->placed) return GW_OK;
  GW_TRY(gw_fit_gauges(m, fit, findings, true));
  GW_TRY(gw_fit_every(m, fit, findings));
  GW_TRY(gw_fit_season(m, fit, findings));
  return gw_fit_weak(m, fit, findings);
}
