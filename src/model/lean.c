#include "model/lean.h"

#include <math.h>

#include "model/model.h"

static const double DEGREE = 57.295779513082320877; /* 180 / pi */

static double tangent(int32_t lean) { return (double)lean / GW_LEAN_ONE; }

gw_len gw_lean_shift(int32_t lean, gw_len height) {
  /* No part is higher than that, so that nothing overflows. */
  if (height > GW_LEN_MAX) height = GW_LEN_MAX;
  if (height < -GW_LEN_MAX) height = -GW_LEN_MAX;
  int64_t product = height * (int64_t)lean, half = GW_LEAN_ONE / 2;
  return (product + (product < 0 ? -half : half)) / GW_LEAN_ONE;
}

int32_t gw_lean_of_degrees(int hundredths) {
  return (int32_t)lround(tan(hundredths / 100.0 / DEGREE) * GW_LEAN_ONE);
}

double gw_lean_degrees(int32_t lean) { return atan(tangent(lean)) * DEGREE; }

/* What the size on the wood is to the size as it stands. */
static double factor(const gw_part *part, int axis) {
  int length = gw_part_length_axis(part);
  double sum = 1;
  if (axis == length && axis != GW_Z) return 1;
  for (int side = 0; side < 2; ++side)
    if (axis == GW_Z ? side != length : side == axis)
      sum += tangent(part->lean[side]) * tangent(part->lean[side]);
  return axis == GW_Z ? sqrt(sum) : 1 / sqrt(sum);
}

gw_len gw_part_cut(const gw_part *part, int axis, gw_len stands) {
  return gw_leans(part->lean) ? (gw_len)llround((double)stands * factor(part, axis)) : stands;
}

gw_len gw_part_stands(const gw_part *part, int axis, gw_len cut) {
  return gw_leans(part->lean) ? (gw_len)llround((double)cut / factor(part, axis)) : cut;
}

gw_len gw_part_written(const gw_part *part, int axis, gw_len stands) {
  return axis == GW_Z ? stands : gw_part_cut(part, axis, stands);
}

double gw_lean_slant(int32_t across, int32_t along) {
  return atan(tangent(along) * cos(atan(tangent(across)))) * DEGREE;
}

double gw_lean_bevel(int32_t one, int32_t other) {
  return asin(sin(atan(tangent(one))) * sin(atan(tangent(other)))) * DEGREE;
}

double gw_lean_resultant(const int32_t lean[2]) {
  return atan(hypot(tangent(lean[0]), tangent(lean[1]))) * DEGREE;
}

double gw_lean_sight(const int32_t lean[2]) {
  return atan2(fabs(tangent(lean[1])), fabs(tangent(lean[0]))) * DEGREE;
}
