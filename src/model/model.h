/* model.h - a project as it was written: the piece, its parts, the halves of
 * their joints, the glues and the shop.  Plain data.
 *
 * Ownership: gw_model_new makes the model and gw_model_free frees it with
 * everything in it; all text and arrays live in its arena.  The reader fills
 * it, mating adds the joints; later rooms only look.
 *
 * Every item knows the line it was written on, for findings.  A length that
 * was not stated is GW_UNSET. */
#ifndef GW_MODEL_H
#define GW_MODEL_H

#include "base/base.h"
#include "model/lean.h"

/* ---- kinds of joints ------------------------------------------------------ */

typedef enum gw_kind {
#define KIND(symbol, ...) GW_##symbol,
#include "model/kinds.def"
#undef KIND
  GW_KINDS,
  GW_NO_KIND = GW_KINDS
} gw_kind;

typedef enum gw_style { GW_STRAIGHT, GW_CORNER, GW_CROSS, GW_EITHER } gw_style;
typedef enum gw_seat { GW_SHOULDER, GW_FLOOR, GW_FACE, GW_FLOAT } gw_seat;
typedef enum gw_per { GW_EACH, GW_FIVE, GW_SPAN, GW_METRE } gw_per;
enum { GW_OUT = 1, GW_AWAY = 2, GW_RUN = 4, GW_HALF = 8, GW_MITRE_WAY = 16, GW_KEY = 32 };

/* A row of kinds.def; see there for what each column means. */
typedef struct gw_kind_row {
  const char *code, *words, *entering, *receiving;
  gw_style style;
  gw_seat seat;
  unsigned freedom;
  bool glued, whole;
  int tight_um, loose_um;
  bool clamp;
  int spread_s;
  gw_per per;
} gw_kind_row;

const gw_kind_row *gw_kind_of(gw_kind kind);
/* The kind that the two elements make together, or GW_NO_KIND. */
gw_kind gw_kind_pair(const char *entering, const char *receiving);
/* Whether an element of the file is an entering half. */
bool gw_kind_enters(const char *element);

/* ---- parts and halves ------------------------------------------------------ */

typedef struct gw_half {
  int part;            /* index of the part it is cut on */
  const char *id;      /* NULL when it has none */
  const char *element; /* "tail", "mortise" … ; static storage */
  int line;
  bool enters;
  gw_dir at;           /* the surface of the part, as the part stands */
  /* Sizes.  `thickness` is the narrow measure (what a mortise gauge or a
   * plough iron is set to), `width` the other measure across the half, `depth`
   * how far it goes in.  The same names serve both halves. */
  gw_len thickness, width, depth;
  gw_len from[6];      /* from that side of the part to the near side of the half */
  gw_len lap;          /* wood left in front of a lapped joint */
  gw_len inset;        /* set in from flush, along the receiving surface's normal */
  int count;           /* tails, dowels, fingers; 0 when not stated */
  int slope;           /* hundredths: 1:8 is 800; 0 when not stated */
  int glued;           /* 1, 0, or -1 when not stated */
  unsigned open;       /* bit per gw_dir */
  bool open_stated;
  bool through;
  bool plumb;          /* on the top or foot of a part that leans: it stands upright
                        * all the same, not in line with the part */
  int glue;            /* index, or -1 for the piece's own */
  /* Where an entering half goes, as written, and found by mating. */
  const char *into;
  int joint;           /* -1 until mated */
} gw_half;

/* How a board was sawn from the log. */
typedef enum gw_cut { GW_CUT_UNSET, GW_CUT_FLAT, GW_CUT_QUARTER } gw_cut;

typedef struct gw_part {
  const char *id;      /* with its group in front: "drawer.front" */
  const char *name, *material;
  int line;
  gw_len size[3];      /* along x, y, z, as it stands: level and plumb.  Of a part whose
                        * ends are cut aslant, its length midway up */
  gw_len length, width, thickness; /* as cut; the same unless it leans */
  int32_t lean[2];     /* see lean.h; 0 when it stands square to the piece */
  bool splayed;        /* splay="…" is stated, here or where it was copied from */
  gw_dir face, edge;   /* where the face side and the face edge point */
  gw_len tolerance;    /* plus or minus on each dimension; 0 unless stated */
  int density;         /* kg per cubic metre */
  gw_cut cut;          /* how it was sawn; GW_CUT_UNSET counts as flat */
  int group;           /* -1 when it stands in the piece itself */
  int first_half, n_halves; /* its halves are contiguous in the model */
} gw_part;

static inline int gw_part_length_axis(const gw_part *p) {
  return 3 - (int)gw_dir_axis(p->face) - (int)gw_dir_axis(p->edge);
}

typedef struct gw_group {
  const char *id, *name;
  int line;
  int parent;          /* always -1: groups do not nest */
} gw_group;

/* One joint: an entering and a receiving half that belong together. */
typedef struct gw_joint {
  int entering, receiving; /* half indices */
  gw_kind kind;
  bool glued;
  int glue;                /* index into glues, -1 when dry */
} gw_joint;

/* ---- glue and shop ------------------------------------------------------------ */

/* A glue of the file.  Figures that the file gives win over those of the
 * kind; -1 means "not stated".  Seconds, tenths of a degree, g/m2, kPa. */
typedef struct gw_glue {
  const char *id, *kind;
  int line;
  int open_s, closed_s, clamp_s, cure_s, pot_s;
  int lowest_dc;
  int spread_gm2;
  int pressure_kpa;
} gw_glue;

typedef struct gw_clamps {
  const char *kind;
  int line, count;
  gw_len opening;
  int force_n;
} gw_clamps;

typedef struct gw_shop {
  int line;
  int temperature_dc; /* tenths of a degree C; 200 unless stated */
  int humidity_pc;    /* relative humidity in percent; 50 unless stated */
  int driest_pc, dampest_pc; /* of the air where the piece will stand, through the year; 35
                              * and 65 unless stated (common practice, no source) */
  int hands;          /* people, each doing one thing at a time; 1 unless stated */
  int margin_pc;      /* part of the open time kept in hand; 25 unless stated */
  gw_clamps *clamps;
  int n_clamps;
} gw_shop;

/* The maker's own time for an action, instead of the built-in one. */
typedef enum gw_rate_action {
  GW_RATE_SPREAD, /* glue on both halves of one joint; with a kind, per what kinds.def says */
  GW_RATE_BRING,  /* offer and seat a part with one joint */
  GW_RATE_CLAMP,  /* set one clamp */
  GW_RATE_SQUARE  /* check the diagonals */
} gw_rate_action;
typedef struct gw_rate {
  gw_rate_action action;
  gw_kind kind;      /* SPREAD: of this kind of joint; GW_NO_KIND: of any other */
  int line, seconds;
} gw_rate;

/* A fit that the file sets for a kind of joint, instead of kinds.def's. */
typedef struct gw_fit_rule {
  gw_kind kind;
  gw_len tight, loose;
} gw_fit_rule;

/* The order that the maker asks for. */
typedef enum gw_wish_kind { GW_WISH_FIRST, GW_WISH_BEFORE, GW_WISH_ALONE } gw_wish_kind;
typedef struct gw_wish {
  gw_wish_kind kind;
  int line;
  int *parts;          /* FIRST: put together by themselves; ALONE: and in a stage
                        * of their own; BEFORE: these two */
  int n_parts;
} gw_wish;

/* How a bought sheet of labels is divided; 0 columns: not stated. */
typedef struct gw_label_sheet {
  int columns, rows;
  int first;             /* first free label on a part-used sheet, from 1 */
  gw_len width, height;  /* of one label */
  gw_len left, top;      /* margins of the sheet */
  gw_len gap_x, gap_y;
} gw_label_sheet;

/* What the file says of a good order; -1: not stated (see order/split.h). */
typedef struct gw_weights {
  int align, beside, loose, hands, direction, mass, slide, turn, against;
} gw_weights;

/* A distance that the file asks for: between a surface of one part and a
 * surface of another. */
typedef struct gw_gauge {
  const char *name;
  int line;
  int part[2];
  gw_dir side[2];
  gw_len least, most;
} gw_gauge;

/* A size as it came out.  FROM is followed by one for each gw_dir. */
typedef enum gw_measured_which {
  GW_MEASURED_LENGTH, GW_MEASURED_WIDTH, GW_MEASURED_THICKNESS, GW_MEASURED_DEPTH,
  GW_MEASURED_LAP, GW_MEASURED_INSET, GW_MEASURED_FROM,
  GW_MEASURED_SIZES = GW_MEASURED_FROM + 6
} gw_measured_which;
typedef struct gw_measured {
  int line;            /* 0 when it comes from a list of its own */
  int part, half;      /* half: -1 when it is the part's own size */
  gw_measured_which which;
  gw_len value;
} gw_measured;

/* ---- the whole -------------------------------------------------------------------- */

typedef struct gw_model {
  gw_arena *arena;
  const char *file;       /* as given on the command line */
  const char *name;       /* the piece's */
  int line;
  gw_units units;
  bool skip_marks;        /* marks="skip": ambiguous marks are left out */
  int copies;             /* how many of the piece are made; 1 unless stated */
  char digest[17];        /* of the file's bytes, sixteen hexadecimal figures */
  gw_part *parts;
  int n_parts;
  gw_half *halves;
  int n_halves;
  gw_group *groups;
  int n_groups;
  gw_joint *joints;
  int n_joints;
  gw_glue *glues;
  int n_glues;
  gw_shop shop;
  gw_fit_rule *fits;
  int n_fits;
  gw_rate *rates;
  int n_rates;
  gw_wish *wishes;
  int n_wishes;
  gw_label_sheet labels;
  gw_weights weights;
  gw_dir lay;             /* the side that is down on the bench; GW_DOWN unless stated */
  gw_gauge *gauges;
  int n_gauges;
  gw_measured *measured;
  int n_measured;
  bool as_measured;       /* the measured sizes are in the place of the drawn ones */
} gw_model;

gw_model *gw_model_new(const char *file);
void gw_model_free(gw_model *model);

/* The parts at the two ends of a joint, and a half's part. */
static inline int gw_joint_enters(const gw_model *m, const gw_joint *j) {
  return m->halves[j->entering].part;
}
static inline int gw_joint_receives(const gw_model *m, const gw_joint *j) {
  return m->halves[j->receiving].part;
}

#endif
