/* square.h - what a tape tells of a frame: diagonals, openings, lengths that
 * must agree.  Nothing here draws.
 *
 * The formulas are computed geometry.  For a parallelogram of sides W and H
 * with diagonals d1 >= d2, and e the angle by which its corners miss 90 degrees:
 *
 *   d1^2 + d2^2 = 2 (W^2 + H^2)
 *   sin(e) = (d1^2 - d2^2) / (4 W H)
 *   lean over H = (d1^2 - d2^2) / (4 W)
 *
 * Diagonals and leans are in mm, angles in degrees. */
#ifndef GW_SHEETS_SQUARE_H
#define GW_SHEETS_SQUARE_H

#include "fit/fit.h"
#include "model/model.h"

/* Both diagonals when it is square. */
double gw_square_diagonal(double w, double h);
/* The two that differ by `difference`, the sides being true. */
void gw_square_pair(double w, double h, double difference, double *longer, double *shorter);
/* By how much the corners miss 90 degrees. */
double gw_square_angle(double w, double h, double longer, double shorter);
/* How far the sides that stand on `base` lean over, over their own length. */
double gw_square_lean(double base, double longer, double shorter);
/* The difference of diagonals that is let pass: a thousandth of the diagonal, up
 * to the next half millimetre or 64th of an inch (common practice, no source). */
double gw_square_allowed(double diagonal, gw_units units);

/* A rectangle to be measured corner to corner. */
typedef struct gw_opening {
  int axis;           /* along which one looks through it */
  gw_len lo[2], hi[2]; /* along the two other axes, the lower axis first */
  bool outside;       /* over the outer corners of the whole or of a group */
  bool edges;         /* along the upper edges of boards that lean */
  bool posts;         /* between the inner corners of posts */
  int group;          /* -1: parts that stand in no group */
  int parts[4];       /* at its low and high side on each axis; outside: in its corners */
} gw_opening;

/* Sides shorter than this are not worth a tape (common practice, no source). */
#define GW_SQUARE_LEAST (40 * GW_MM)
/* Pieces of more parts are not searched. */
enum { GW_SQUARE_MAX_PARTS = 150 };

/* Finds the openings that four parts of one group, each joined to the next,
 * enclose (or between posts), and for each direction the largest outer rectangle
 * with wood in all four corners around one.
 * *out is the caller's, to be freed.  None when the parts are not placed or
 * there are too many of them. */
gw_status gw_square_openings(const gw_model *model, const gw_fit *fit, gw_opening **out,
                             size_t *count);

/* Across which of its two axes an opening is narrow, or -1.  Where one side is more
 * than GW_SQUARE_NARROW times the other a difference of the diagonals tells little of a
 * lean, and a rule laid across tells it at once (common practice, no source). */
enum { GW_SQUARE_NARROW = 4 };
int gw_square_narrow(const gw_opening *opening);

/* Whether its four parts are in one body: body[] has the number of the body that
 * each part is joined into. */
bool gw_square_stands(const gw_opening *opening, const int *body);

/* Two posts that lean, and a rail or two between them: four corners that are no
 * rectangle, so that each diagonal has a length of its own (computed geometry;
 * equal where the posts lean alike to either side).  mm. */
typedef struct gw_frame {
  int axis;           /* from post to post */
  int posts[2];       /* the lower along the axis first */
  int rails[2];       /* above, and below; -1 for the feet */
  double width[2];    /* between the posts, below and above */
  double side;        /* along the posts, the mean of the two */
  double diagonal[2]; /* from the foot of the first post up, and of the second */
} gw_frame;

/* Below each rail that is joined to two such posts.  *out is the caller's, to be
 * freed. */
gw_status gw_square_frames(const gw_model *model, const gw_fit *fit, gw_frame **out, size_t *count);

/* Whether its posts and rails are in one body. */
bool gw_square_frame_stands(const gw_frame *frame, const int *body);

/* Parts that run side by side over the same stretch, and so must be equally
 * long: in all, or between their shoulders.  A set of equal whole lengths is
 * left out when its parts are also one between shoulders. */
typedef struct gw_equal {
  int axis;
  gw_len length;
  bool shoulders; /* it is the length between the shoulders that agrees */
  int *parts;     /* rising */
  int count;      /* 2 or more */
} gw_equal;

/* The stretches agree when their lengths do and they begin within this. */
#define GW_SQUARE_BESIDE GW_MM

/* All such sets in the order of their first parts; arrays from the arena.
 * Parts that are not placed are compared by axis and length only. */
gw_status gw_square_equals(const gw_model *model, const gw_fit *fit, gw_arena *arena,
                           gw_equal **out, size_t *count);

#endif
