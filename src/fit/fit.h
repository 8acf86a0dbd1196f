/* fit.h - how the halves seat, and where every part stands.
 *
 * Each joint gives, for each axis, bounds on how far its entering part stands
 * from its receiving part.  These bounds are a system of difference
 * constraints (network room): it has a solution exactly when the piece closes
 * round every loop.  See DEVELOPERS.md, "Geometry". */
#ifndef GW_FIT_H
#define GW_FIT_H

#include "base/findings.h"
#include "model/model.h"

/* A stretch along one axis, counted from the lower side of its part.
 * `located` says whether the project tells where it lies; once the parts are
 * placed, a half that was not placed itself takes its place from its mate. */
typedef struct gw_span {
  gw_len lo, size;
  bool located;
} gw_span;

/* The directions in which the entering part can leave the receiving one. */
typedef struct gw_freedom {
  enum {
    GW_FREE_BOX,  /* any mix of the directions whose bits are set in `ways` */
    GW_FREE_HALF, /* any direction that does not point against `normal` */
    GW_FREE_RAY,  /* along `normal` only */
    GW_FREE_SLANT /* as BOX, but what goes up or down goes along `normal`, which leans */
  } kind;
  unsigned ways;
  gw_vec normal;
} gw_freedom;

/* How far d leads along an axis as the joint sees it, in some unit: of a level axis
 * less what going up is carried along it. */
int64_t gw_freedom_along(const gw_freedom *freedom, gw_vec d, int axis);

/* Whether a joint lets its entering part leave along d. */
bool gw_freedom_allows(const gw_freedom *freedom, gw_vec d);

/* From where on a part a distance is measured: its lower side along the axis,
 * its upper side, or midway. */
typedef enum gw_ref { GW_REF_LOW, GW_REF_HIGH, GW_REF_MIDDLE } gw_ref;

/* lo <= (that place on the entering part) - (that on the receiving) <= hi. */
typedef struct gw_bound {
  gw_ref e, r;
  gw_len lo, hi;
  gw_len give; /* of that, either way, what rounding the sizes of leaning parts takes */
  bool stated; /* false: the joint says nothing along this axis */
} gw_bound;

/* How one joint seats, all sizes filled in. */
typedef struct gw_seating {
  gw_style style;           /* STRAIGHT, CORNER or CROSS */
  int normal;               /* axis along which the entering half enters */
  int second;               /* CORNER: axis of the receiving surface, else -1 */
  int narrow, run;          /* axes of `thickness` and `width`; CORNER: the third
                             * axis is one of the two and the other is -1 */
  gw_len depth_e, depth_r;  /* how far the half enters; how deep the other is cut */
  gw_len thickness, width;  /* of the entering half, GW_UNSET where it has none */
  int slope, count;         /* hundredths (1:8 is 800); tails, dowels or fingers */
  gw_span e[3], r[3];       /* on the entering and on the receiving part */
  gw_bound bound[3];
  gw_freedom freedom;
} gw_seating;

typedef struct gw_box {
  gw_len lo[3], hi[3];
} gw_box;

/* How the four upright sides of a part lean (lean.h), by gw_dir: with the part,
 * or, where an end is cut aslant to meet a part that leans, with that one. */
typedef struct gw_slant {
  int32_t side[4];
} gw_slant;

/* Wood or a hollow whose level section changes evenly with height: `box` tells
 * its lowest and highest plane and its section at the height `at`. */
typedef struct gw_solid {
  gw_box box;
  gw_slant slant;
  gw_len at;
} gw_solid;

typedef struct gw_fit {
  gw_seating *seatings; /* one for each joint of the model */
  gw_box *boxes;        /* one for each part; where it stands.  Of one that leans, or whose
                         * ends are cut aslant: its level section midway up */
  gw_slant *slants;     /* one for each part; NULL when no part leans */
  bool placed;          /* every part has its place; false when errors kept it from that */
  gw_len extent[3];     /* of the whole piece */
  gw_arena *arena;
} gw_fit;

/* Seats every joint, places every part and looks for what will not mate.
 * *out is the caller's (gw_fit_free), also when findings speak of errors.
 * Findings: see DEVELOPERS.md, "Findings". */
gw_status gw_fit_make(const gw_model *model, gw_findings *findings, gw_fit **out);
void gw_fit_free(gw_fit *fit);

/* The space in which the two parts of a joint share room: tenon in mortise,
 * tails between pins, panel edge in groove. */
gw_box gw_fit_joint_box(const gw_fit *fit, const gw_model *model, int joint);

/* Towards which side a dovetailed halving's tail widens: the end of its part that is
 * nearer (the lower axis side when both are as near). */
gw_dir gw_fit_wide_end(const gw_fit *fit, const gw_model *model, int joint);

/* Whether a part leans or has an end that is cut aslant. */
bool gw_fit_slants(const gw_fit *fit, int part);

/* The smallest box round the whole part, as it stands. */
gw_box gw_fit_around(const gw_fit *fit, int part);

/* A box of wood of the part (by its place midway up) as it leans with it. */
gw_solid gw_fit_solid(const gw_fit *fit, int part, gw_box box);

/* The level section at a height, in lo and hi of the first two axes. */
gw_box gw_solid_section(const gw_solid *solid, gw_len height);

/* The smallest box round a solid. */
gw_box gw_solid_around(const gw_solid *solid);

/* Whether all of the solids share room, by more than `play` every way; then
 * *shared is the heights at which they do, and the room midway between these. */
bool gw_solids_share(const gw_solid *const *all, int count, gw_len play, gw_box *shared);
bool gw_solid_slants(const gw_solid *solid);

/* Length, width and thickness of the finished part: as cut, and over the longest
 * line where two opposite ends or sides are cut unlike aslant.  Of parts that lean nothing
 * is round: theirs are to a tenth of a millimetre or the 64th of an inch. */
void gw_fit_finished(const gw_fit *fit, const gw_model *model, int part, gw_len size[3]);

/* A box of a half (by its place on the part midway up) as it leans: with its part,
 * or not at all where it is cut plumb. */
gw_solid gw_fit_half_solid(const gw_fit *fit, const gw_half *half, gw_box box);

/* The wood of a part: its body without the shoulders that are cut away, and each
 * entering half that stands out from that body.  Fills up to `room` solids, the
 * body first, and returns how many there are. */
int gw_fit_wood(const gw_fit *fit, const gw_model *model, int part, gw_solid *solids, int room);

/* ---- inside the room ---------------------------------------------------------- */

/* Seats one joint into *out. */
gw_status gw_fit_seat(const gw_model *model, int joint, gw_findings *findings, gw_seating *out);
/* Seats all joints; what is wrong with a joint is not said again of its copies. */
gw_status gw_fit_seat_all(const gw_model *model, gw_findings *findings, gw_seating *seatings);
/* Once all parts are placed: where the halves lie that were not placed
 * themselves, and what their freedom then is. */
gw_status gw_fit_locate(const gw_model *model, int joint, const gw_box *boxes,
                        gw_findings *findings, gw_seating *seating);
/* Whether the joint's halves can meet where a part leans; a finding if not.
 * See slant.c. */
gw_status gw_fit_leaning(const gw_model *model, int joint, gw_findings *findings,
                         const gw_seating *seating);
/* Once all heights are known: shifts the joints' bounds across by what leaning
 * parts have shifted at the height of the joint, and fills fit->slants. */
gw_status gw_fit_lean(const gw_model *model, gw_fit *fit);
/* Once all parts are placed: errors `ends-cross` for parts whose ends are cut so
 * aslant that nothing is left between them at the top or the foot. */
gw_status gw_fit_ends(const gw_model *model, const gw_fit *fit, gw_findings *findings);
/* Places all parts; *closes is false when a loop does not close. */
gw_status gw_fit_place_along(const gw_model *model, gw_findings *findings, gw_fit *fit, int axis,
                             bool *closes);
gw_status gw_fit_place(const gw_model *model, gw_findings *findings, gw_fit *fit, bool *closes);
/* Says which sizes would close a loop; see loop.c. */
struct gw_fit_loop;
gw_status gw_fit_say_loop(const gw_model *model, gw_findings *findings, const gw_fit *fit,
                          const struct gw_fit_loop *loop);
/* When what parts a and b share lies where both enter a third part, says that
 * their tenons meet there; *said tells whether it was so. */
gw_status gw_fit_say_meeting(const gw_model *model, gw_findings *findings, const gw_fit *fit, int a,
                             int b, const gw_box *shared, gw_len play, bool *said);
gw_status gw_fit_collide(const gw_model *model, gw_findings *findings, const gw_fit *fit);

/* A loop that does not close: `length` steps, each over a joint from one part
 * to the next; the last comes back to the first part. */
typedef struct gw_fit_loop {
  int axis;
  int *joints;    /* the joint of each step */
  bool *forward;  /* from the receiving to the entering part */
  bool *high;     /* the step uses the bound's hi (else its lo) */
  int length;
  gw_len short_by;
} gw_fit_loop;

#endif
