/* picture_inner.h - what the files picture_*.c share, and what the sheets of
 * this room use of it.
 *
 * A drawing is made in four steps.  Each part becomes a solid of square
 * corners (picture_solid.c): the boxes of wood less what its halves cut away,
 * from which come its blocks, the facets that face the viewer, and its edges.
 * All of these are cut off at the part's slanting planes, those of its mitres
 * (picture_cut.c).  Tails and pins, which slope, are painted on the facets
 * (picture_tails.c).
 * Then the scene knows exactly what is hidden (picture_view.c): a point is
 * hidden when the ray from it to the viewer meets the inside of a block, and
 * for blocks and rays like these the hidden stretch of a line and the hidden
 * region of a facet come from a handful of linear inequalities; no order of
 * painting is needed, so parts may touch, interlock or run into each other.
 * Last, marks get their spots (picture_spot.c) and their places (picture_marks.c),
 * off what the drawing has put on the page (picture_ground.c).
 *
 * Ownership: a scene owns its arrays; gw_scene_clear frees them.  Millimetres
 * throughout: `double`s here are for drawing only. */
#ifndef GW_SHEETS_PICTURE_INNER_H
#define GW_SHEETS_PICTURE_INNER_H

#include "fit/review.h"
#include "sheets/picture.h"

/* ---- tails (picture_tails.c) ------------------------------------------------- */

/* One tail or finger, counted along the joint from the lower side of the
 * entering half: where it lies at its end and at the baseline. */
typedef struct gw_tail {
  gw_len end_lo, end_hi, base_lo, base_hi;
} gw_tail;

/* Whether the joint is laid out in tails or fingers, and their number known. */
bool gw_tails_counted(const gw_model *model, const gw_fit *fit, int joint);

/* The k-th (from 0) of the joint's tails.  Equal tails, with half a pin at
 * either edge: with W the width and n the count, the pitch is W / n.  Midway
 * between end and baseline a pin is a quarter of the pitch wide, so that tails
 * are three times as wide as pins; a pin is nowhere under GW_PIN_LEAST, a saw
 * kerf (all common practice, no source).  Slopes run out by depth / slope on
 * either side.  Fingers are half a pitch wide and the first begins at the
 * lower side. */
gw_tail gw_tails_at(const gw_model *model, const gw_fit *fit, int joint, int k);

/* ---- solids (picture_solid.c) -------------------------------------------------- */

typedef struct gw_view {
  double toward[3];  /* the way to the viewer */
  double u[3], v[3]; /* what is to the right and what is down on paper */
} gw_view;

/* From the front, the right and above, at equal angles to the three axes. */
gw_view gw_view_isometric(void);
/* From the same quarter, but more squarely onto the sides that are square to an axis. */
gw_view gw_view_onto(gw_axis axis);
/* Whether what faces this way faces the viewer. */
bool gw_view_faces(const gw_view *view, gw_dir side);
/* Square on from one side, standing as the piece stands: up is up; from above
 * the front is below, from below the front is above. */
gw_view gw_view_from(gw_dir side);

enum { GW_SHADE_TOP, GW_SHADE_FRONT, GW_SHADE_SIDE, GW_SHADE_CUT, GW_SHADE_NONE, GW_SHADES };

enum {
  GW_CUTS_MOST = 8,     /* slanting planes of a part */
  GW_CORNERS_MOST = 24, /* of a box with so many cuts, and of a face */
  GW_SPOTS_MOST = 12    /* of a facet */
};

/* All p with n . p = at; what is greater lies beyond it. */
typedef struct gw_plane {
  double n[3], at; /* n of length 1 */
  bool closed;     /* another part stands against it */
  bool torn;       /* broken off there: without an edge */
} gw_plane;

typedef struct gw_corner {
  double p[3];
  unsigned sides; /* the sides it lies on: bits 0 to 5 of the box, then the cuts */
} gw_corner;

/* A box less what lies beyond its cuts.  One without cuts has no corners noted. */
typedef struct gw_block {
  double lo[3], hi[3];
  double left, right, top, bottom; /* on paper */
  int n_cuts, n_corners;
  gw_plane cuts[GW_CUTS_MOST];
  gw_corner corners[GW_CORNERS_MOST];
} gw_block;

/* A flat convex piece of a surface; its plane's n points out of the wood. */
typedef struct gw_facet {
  int part, shade, n;
  gw_plane plane;
  gw_spot spots[GW_SPOTS_MOST];
} gw_facet;

/* A part that leans is made into a solid as if it stood upright, by its level
 * section midway up; then each point is shifted by its height.  mm. */
typedef struct gw_leaning {
  bool on;
  double lo[2], hi[2], level; /* the section, and its height */
  double slope[4];            /* of the four sides; what lies between them has what lies between */
  double upright[2];          /* under and over these heights it stands upright: tenons cut plumb */
} gw_leaning;

typedef struct gw_edge {
  double a[3], b[3];
  bool thin;
} gw_edge;

/* What is left to be seen of a facet: convex, at most so many corners. */
enum { GW_PIECE_MOST = 16 };
typedef struct gw_piece {
  gw_spot spots[GW_PIECE_MOST];
  int n, part, shade;
  gw_plane plane; /* that of its facet */
} gw_piece;

typedef struct gw_scene {
  gw_view view;
  gw_block *blocks;
  gw_facet *facets;
  gw_edge *edges;
  size_t n_blocks, n_facets, n_edges;
  size_t blocks_room, facets_room, edges_room;
  gw_plane cuts[GW_CUTS_MOST]; /* of the part that is being added */
  int n_cuts;
  gw_leaning lean; /* of the part that is being added */
} gw_scene;

/* How a part stands in the scene. */
typedef struct gw_stand {
  int part;
  double shift[3];          /* mm, away from its place */
  const bool *apart;        /* for each joint of the model: its halves are drawn
                             * apart; NULL: all of them */
  const gw_box *box;        /* where it stands when the piece has no places */
  const gw_plane *window;   /* it is cut off at these, too */
  int n_window;
} gw_stand;

/* How the part leans; not at all when the piece has no places. */
gw_leaning gw_leaning_of(const gw_sheets_job *job, const gw_stand *stand);
void gw_lean_point(const gw_leaning *lean, double p[3]);

gw_status gw_scene_add_part(gw_scene *scene, const gw_sheets_job *job, const gw_stand *stand);
void gw_scene_clear(gw_scene *scene);

gw_status gw_scene_add_edge(gw_scene *scene, const double a[3], const double b[3], bool thin);
/* A facet of four corners; nothing when it does not face the viewer, or when
 * all of it lies beyond the cuts of its part.  `side` is the way it faces. */
gw_status gw_scene_add_facet(gw_scene *scene, gw_dir side, int part, int shade,
                             const double corners[4][3]);
/* A facet on a slanting plane, of convex corners in any order. */
gw_status gw_scene_add_slant(gw_scene *scene, const gw_plane *plane, int part,
                             const double corners[][3], int count);

/* ---- cuts (picture_cut.c) ------------------------------------------------------ */

/* How far a point lies beyond a plane, mm; below 0 within. */
double gw_plane_beyond(const gw_plane *plane, const double p[3]);
/* Cuts a line off at the planes; false when nothing is left. */
bool gw_cut_line(const gw_plane *planes, int n, double a[3], double b[3]);
/* Cuts a convex face off; it has room for GW_CORNERS_MOST corners.  Returns how
 * many are left, 0 when nothing is. */
int gw_cut_face(const gw_plane *planes, int n, double corners[][3], int count);
/* The line along which a plane goes through a convex face; false when the face
 * lies all on one side. */
bool gw_cut_trace(const gw_plane *plane, const double corners[][3], int count, double a[3],
                  double b[3]);
/* Cuts a block off at those planes that go through its box, and notes its
 * corners; false when nothing is left. */
bool gw_cut_block(const gw_plane *planes, int n, gw_block *block);

bool gw_is_mitre(const gw_sheets_job *job, int joint);
/* The planes of a part's mitres, at most GW_CUTS_MOST; returns how many. */
int gw_mitre_planes(const gw_sheets_job *job, const gw_stand *stand, gw_plane *planes);
/* The line along the middle of a mitre. */
gw_box gw_mitre_middle(const gw_sheets_job *job, int joint);

/* Where a half lies on its part, in the piece (the space that it fills or that
 * is cut away for it). */
gw_box gw_half_space(const gw_sheets_job *job, int half);
/* The same for its mark: of a groove no more than what goes in, and where the part leans
 * moved to where it really is. */
gw_box gw_half_place(const gw_sheets_job *job, int half);

/* Whether a half takes wood away from the boxes of its part. */
bool gw_half_cuts(const gw_sheets_job *job, int half);
/* Ends a cut of a part where its wood ends, in a corner of tails and pins: a groove
 * that comes to a socket, or to the gap between two tails, does not go on. */
void gw_tails_trim(const gw_sheets_job *job, int part, gw_box *cut);

/* Zones in which a part's own edges are not drawn, because its mate closes the
 * joint there and the lines of the joint take their place. */
enum { GW_VEILS_MOST = 64 };
typedef struct gw_veils {
  gw_box boxes[GW_VEILS_MOST];
  int n;
} gw_veils;
void gw_tails_veil(const gw_sheets_job *job, const gw_stand *stand, gw_veils *veils);
/* Paints tails, pins and fingers on a part. */
gw_status gw_tails_paint(gw_scene *scene, const gw_sheets_job *job, const gw_stand *stand);

/* ---- dovetailed halvings (picture_flanks.c) --------------------------------------- */

/* Wood of a part that is cut off at planes of its own. */
enum { GW_ZONES_MOST = 16 };
typedef struct gw_zone {
  gw_box box; /* in the piece */
  gw_plane planes[2];
  int n;
} gw_zone;
/* The tails of a part's dovetailed halvings, and the wood beside their sockets.
 * Returns how many there are. */
int gw_flank_zones(const gw_sheets_job *job, const gw_stand *stand, gw_zone zones[GW_ZONES_MOST]);
/* Adds the faces and edges beside the flanks that a solid of square corners lacks. */
gw_status gw_flanks_paint(gw_scene *scene, const gw_sheets_job *job, const gw_stand *stand);

/* ---- what is seen (picture_view.c) ------------------------------------------------ */

gw_spot gw_view_spot(const gw_view *view, const double p[3]);
/* Puts the corners of a convex face in order round it, as they lie on paper. */
void gw_view_sort_round(const gw_view *view, double corners[][3], int count);
gw_area gw_scene_bounds(const gw_scene *scene);
bool gw_scene_hides(const gw_scene *scene, const double p[3]);

/* A stretch of a line, from 0 to 1. */
typedef struct gw_stretch { double from, to; } gw_stretch;
/* The stretches of an edge that are seen, in order.  At most `room` are
 * written; returns how many there are. */
size_t gw_scene_seen(const gw_scene *scene, const gw_edge *edge, gw_stretch *out, size_t room);
/* Appends what is seen of a facet. */
gw_status gw_scene_pieces(const gw_scene *scene, const gw_facet *facet, gw_piece **pieces,
                          size_t *count, size_t *room);

/* ---- on the page (picture.c) -------------------------------------------------------- */

/* Where the scene lies on the page. */
typedef struct gw_setting_out {
  double scale, x, y; /* page = scale * paper + (x, y) */
} gw_setting_out;

/* The view in which a picture is drawn. */
gw_view gw_picture_view(const gw_sheets_job *job, const gw_picture *picture);

/* As large as the area allows, in its middle. */
gw_setting_out gw_scene_fit(const gw_scene *scene, gw_area area);
gw_spot gw_set_out(const gw_setting_out *set, gw_spot paper);
/* What a drawing has put where on the page (picture_ground.c): of each small
 * cell of the area, which part shows there and how much line is drawn there. */
typedef struct gw_ground gw_ground;
gw_ground *gw_ground_new(gw_area area); /* NULL when memory is short */
void gw_ground_free(gw_ground *ground);
/* A convex face of a part; a line, counted so many times its length.  After the
 * last, close it before asking for lines. */
void gw_ground_face(gw_ground *ground, const gw_spot *spots, int n, int part);
void gw_ground_line(gw_ground *ground, gw_spot a, gw_spot b, double weight);
void gw_ground_close(gw_ground *ground);
/* The length of line in an area, mm; corners count as some more. */
double gw_ground_lines(const gw_ground *ground, gw_area area);
/* The part that shows at a spot; -1: none. */
int gw_ground_part(const gw_ground *ground, gw_spot spot);
/* How much of an area lies on other parts than these, 0 to 1. */
double gw_ground_astray(const gw_ground *ground, gw_area area, const int own[2]);
/* For each part the spot on it with the most free face round it: a distance in
 * mm, cut off at `enough`; 0 where nothing of the part shows.  They keep away from the
 * spots of the crowd, which has room for n_parts more and gets them. */
typedef struct gw_crowd { gw_spot *spots; size_t count; } gw_crowd;
typedef struct gw_face_spot { double size; gw_spot spot; } gw_face_spot;
gw_status gw_ground_plainest(const gw_ground *ground, double enough, int n_parts,
                             gw_crowd *crowd, gw_face_spot *best);

/* What a drawing leaves to be seen.  The ground is the caller's; the pieces are
 * gw_seen_clear's to free. */
typedef struct gw_seen {
  gw_ground *ground;
  gw_piece *pieces; /* on the scene's paper */
  size_t count, room;
} gw_seen;
void gw_seen_clear(gw_seen *seen);

/* The outlines of a scene in dashes, over what is drawn. */
void gw_scene_draw_ghost(gw_page *page, const gw_scene *scene, const gw_setting_out *set,
                         gw_seen *seen);

/* Facets in their greys, then edges; hidden ones in dashes, or left out.  What
 * is seen is noted in `seen` (NULL: not wanted). */
gw_status gw_scene_draw(gw_page *page, const gw_scene *scene, const gw_setting_out *set,
                        bool dashes, gw_seen *seen);

/* A half that a mark is to point at (picture_spot.c). */
typedef struct gw_aim {
  gw_box box;      /* where it lies in the piece */
  double shift[3]; /* how far its part stands away from its place, mm */
  int part, mate;  /* the part it is seen on, or either of these; mate -1: only that */
  gw_dir at;       /* the side of the part it goes in from */
  bool cut;        /* wood is cut away there */
  double stray;    /* wood may be so far from the box, since it leans, mm */
} gw_aim;

/* The spot on the page, and whether it is seen there: on wood of the part, as near
 * to the middle of the half as may be. */
gw_spot gw_scene_spot_of(const gw_scene *scene, const gw_setting_out *set, const gw_seen *seen,
                         const gw_aim *aim, bool *is_seen);

/* ---- what is in the way (picture_ghost.c) ------------------------------------------- */

/* Parts drawn apart: lists of all the model's parts and joints but for `parts`. */
typedef struct gw_apart {
  const int *parts;
  int n_parts;
  const bool *shown, *moved, *apart;
  const double *shift; /* of those moved, mm */
} gw_apart;

/* Adds the parts for which chosen[] is `those`. */
gw_status gw_apart_add(gw_scene *scene, const gw_sheets_job *job, const gw_apart *g,
                       const bool *chosen, bool those);
/* Sets ghost[] of the parts: what stands there and hides all of a half that is to go in or
 * to receive, though it has no part in that.  `all` is the scene with every part.  *any:
 * whether there are any. */
gw_status gw_ghosts_choose(const gw_sheets_job *job, const gw_apart *g, const gw_scene *all,
                           bool *ghost, bool *any);

/* ---- marks (picture_marks.c) -------------------------------------------------------- */

typedef struct gw_tag {
  char text[GW_MARK_TEXT];
  bool bar, boxed;   /* boxed: a part's letter */
  bool seen;         /* what it points at is seen */
  bool on_spot;      /* may cover its own spot */
  bool fixed;        /* no mark: `place` is to be kept free */
  int own[2];        /* the parts that it may lie on, as their drawing notes them */
  gw_spot spot;      /* on the page */
  gw_area home;      /* it had better be in here; w is 0 when anywhere will do */
  gw_area place;     /* found by gw_tags_place; w is 0 when there was no room */
} gw_tag;

/* Finds places for the tags inside the area, no two over one another, and
 * returns the size of type in points.  `most` is the size to begin with.  `ground`
 * is what they had better not lie over; NULL: blank paper. */
double gw_tags_place(gw_doc *doc, gw_area area, const gw_ground *ground, gw_tag *tags,
                     size_t count, double most);
void gw_tags_draw(gw_page *page, const gw_tag *tags, size_t count, double size);

/* ---- one part, flat (picture_sketch.c) ------------------------------------------------ */

/* From which side a part is best shown: its face side, or the side away from
 * it when more halves are cut there. */
gw_dir gw_sketch_side(const gw_sheets_job *job, int part);
/* Draws the part as it stands, seen from that side: what is hidden in dashes,
 * each joint's number where it is to be written, the pencil signs of face side
 * and face edge where they can be seen. */
void gw_sketch_draw(gw_page *page, gw_area area, const gw_sheets_job *job, int part, gw_dir side);

/* The pencil signs (common practice, no source).  Face side: a loop whose tail
 * runs to the face edge; (x, y) is the end of the tail and `dx, dy` the way
 * from the loop to the edge.  Face edge: a V that points at the arris at
 * (x, y), standing on the far side of it. */
void gw_draw_face_sign(gw_page *page, double x, double y, double dx, double dy, double size);
void gw_draw_edge_sign(gw_page *page, double x, double y, double dx, double dy, double size);

#endif
