/* lean.h - parts that stand out of square to the piece: splayed legs, raked
 * backs, boxes with sloping sides.
 *
 * A part leans when going up shifts it to a side.  It is bounded by a level
 * plane below and above and by four planes that lean; its level section is the
 * same at every height.  So all sizes follow from right-angled triangles; the
 * formulas here are derived in DEVELOPERS.md, "Parts out of square", and are
 * compared with plain vectors in tests/oracle/lean.py.
 *
 * A lean is a tangent in millionths: lean[0] to the right and lean[1] to the
 * back for a height of one.  1:8 is 125,000; one degree is 17,455. */
#ifndef GW_MODEL_LEAN_H
#define GW_MODEL_LEAN_H

#include "base/base.h"

struct gw_part;

enum { GW_LEAN_ONE = 1000000, GW_LEAN_MOST = 1000000 /* 45 degrees */ };

static inline bool gw_leans(const int32_t lean[2]) { return lean[0] != 0 || lean[1] != 0; }

/* How far something that leans has shifted at a height (which may be less than
 * nought), rounded half away from zero, so that left and right are mirror images. */
gw_len gw_lean_shift(int32_t lean, gw_len height);

/* The lean of an angle of hundredths of a degree, and back in degrees. */
int32_t gw_lean_of_degrees(int hundredths);
double gw_lean_degrees(int32_t lean);

/* A size along an axis of the piece as it is cut on the wood, from the size as
 * it stands, and back.  Upright: along the part, since a leaning part is longer
 * than it is high; of a board whose length is level, square to that length.
 * Level: square to the faces, since a level section of what leans is wider than
 * the wood is thick.  Along the length where it is level: the same. */
gw_len gw_part_cut(const struct gw_part *part, int axis, gw_len stands);
gw_len gw_part_stands(const struct gw_part *part, int axis, gw_len cut);

/* The size in the words of the file: upright as it stands, else as it is cut. */
gw_len gw_part_written(const struct gw_part *part, int axis, gw_len stands);

/* A surface that itself leans by `across` (to its own normal) is cut by a plane
 * that leans by `along` (along the surface's level lines): how far the line of
 * the cut is out of square on that surface, degrees:
 * tan = tan(along) cos(across). */
double gw_lean_slant(int32_t across, int32_t along);

/* By how much two such surfaces, one to each side, are out of square to each
 * other, degrees: sin = sin(one) sin(other). */
double gw_lean_bevel(int32_t one, int32_t other);

/* The angle of a leaning part from plumb in the plane in which it leans, and the
 * direction of that plane from the left-right line, degrees 0 to 90 (chair
 * makers: resultant angle and sight line; common practice, no source). */
double gw_lean_resultant(const int32_t lean[2]);
double gw_lean_sight(const int32_t lean[2]);

#endif
