/* clock.h - stages that fit the glue's open time, and a timed list for each.
 *
 * A stage is one glue session: a run of joins of the order, from opening the
 * bottle to the last clamp.  Each glued joint must be brought together within
 * the open assembly time after its spreading began, and come under pressure
 * within the closed assembly time after that; the shop's margin is kept from
 * both.  See DEVELOPERS.md, "Clock".
 *
 * Times are seconds from the first glue on wood of the stage; a step that
 * comes before it (dry parts laid in place) has a negative start. */
#ifndef GW_CLOCK_H
#define GW_CLOCK_H

#include "base/findings.h"
#include "clock/air.h"
#include "clock/glues.h"
#include "fit/fit.h"
#include "marks/marks.h"
#include "model/model.h"
#include "order/order.h"

/* The figures of a glue as used: the file's own, else the kind's typical ones;
 * open to pot are moved by the shop's air. */
typedef struct gw_glue_use {
  const gw_glue *glue;      /* of the file */
  const gw_glue_kind *kind;
  int open_s, closed_s, clamp_s, cure_s, pot_s; /* pot 0: none */
  int spread_gm2, pressure_kpa; /* pressure 0: contact */
  bool typical_open;        /* the open time is the built-in one */
  bool typical_any;
  gw_air_verdict air;
  gw_air_effect effect;
} gw_glue_use;

typedef enum gw_action { GW_SPREAD, GW_BRING, GW_CLAMP } gw_action;

/* Where the seconds of a step come from. */
typedef enum gw_source {
  GW_TYPICAL_RATE, /* built in: common practice, no source */
  GW_OWN_RATE,     /* a <rate> of the file */
  GW_REHEARSED     /* this very action, timed in a rehearsal */
} gw_source;

typedef struct gw_step {
  gw_action action;
  int start_s, end_s;
  int hand;      /* the first of the people who do it, from 0 */
  int hands;     /* how many do it */
  int join;      /* index into the order's joins */
  int joint;     /* SPREAD: index of the joint, else -1 */
  int stop_by_s; /* done by then, all that begins after it being as much later, each of
                  * them still keeps the glue's times and its own stop_by_s; -1: no limit */
  gw_source source;
  const char *words;
} gw_step;

/* A caul under each pad of a clamp (common practice, no source). */
#define GW_CAUL (20 * GW_MM)

/* Clamps that one pull of a stage needs: along an axis, on lines about as long. */
typedef struct gw_pull {
  int join;          /* whose assembly they span */
  int axis;
  int count;         /* to be set: for the lines, and more where the force wants it */
  int wanted;        /* what the force wants, even where the shop has not so many */
  gw_len opening;    /* what stands on the widest line of its joints, and two cauls */
  int kind;          /* index into the shop's clamps; -1: none long enough */
  double area_mm2;   /* of glue that they press: faces square to the pull */
  double force_n;    /* that the glue line asks for in all; 0: contact, or not judged */
} gw_pull;

typedef struct gw_stage {
  int glue;          /* index into uses; -1: a dry stage */
  int *joins;        /* in order */
  int n_joins;
  gw_step *steps;    /* in order of their starts */
  int n_steps;
  gw_pull *pulls;
  int n_pulls;
  int wet_s;         /* longest that a joint is open in the plan */
  int limit_s;       /* open time allowed, margin not taken off */
  int margin_pm;     /* (limit - wet) / limit, thousandths */
  int closed_s;      /* longest from faces together to the last clamp */
  int lead_s;        /* dry parts laid in place before the first glue */
  int end_s;         /* last step ends */
  int pull_apart_s;  /* last moment to pull it apart: the first joint to come
                      * together has then been closed for the closed time */
  int clamp_s;       /* stays in clamps so long */
  int cure_s;
  double area_mm2;   /* glued, both halves counted once */
  double grams;      /* glue for that */
  int64_t begins_s;  /* first step, from the first stage's: hands, what it takes up and
                      * clamps are free by then; first glue is lead_s later */
  bool fits;         /* keeps its limits with the margin */
  bool proven;       /* no plan of these joins keeps a larger margin */
} gw_stage;

typedef struct gw_clock {
  gw_glue_use *uses; /* one for each glue of the model */
  gw_stage *stages; /* as they are begun */
  int n_stages;
  int failing;       /* stages that do not keep their limits with the margin, or want more
                      * clamps than there are */
  int margin_pm;     /* least of all stages with glue; 1000 when there is none */
  int64_t whole_s;   /* to the last clamp off */
  bool proven;       /* stages fewest for this order of joins, each proven */
  gw_arena *arena;
} gw_clock;

/* When the last clamp of a stage comes off, and when its glue has cured (0 when
 * there is none), from the first stage's first step. */
int64_t gw_clock_off(const gw_stage *stage);
int64_t gw_clock_cured(const gw_stage *stage);

/* A line along which a pull presses: the joints behind each other on it, and
 * how many clamps stand there. */
typedef struct gw_clamp_line {
  int *joints;
  int n_joints;
  int clamps;
} gw_clamp_line;

/* The lines of a pull of the stage, in the order of its joins; what the pull has
 * beyond their clamps is there for the force.  *out is the arena's. */
gw_status gw_clock_lines(const gw_model *model, const gw_fit *fit, const gw_order *order,
                         const gw_stage *stage, const gw_pull *pull, gw_arena *arena,
                         gw_clamp_line **out, int *count);

/* A real time of a rehearsal. */
typedef struct gw_time {
  gw_action action;
  int number;        /* SPREAD: the joint's mark; else the join, from 1 */
  int seconds;
} gw_time;
typedef struct gw_times {
  const gw_time *items;
  int count;
} gw_times;

/* Other ways to plan; all zero is the plain one. */
typedef struct gw_clock_options {
  const gw_times *times; /* of a rehearsal, or NULL; what is not in the order is passed over */
  int clamp_pc;          /* setting a clamp takes this part of its time; 0: all */
  bool one_face;         /* spread on one face, where the kind of glue allows it */
  int more_stages;       /* up to so many beyond the fewest, if that raises the margin */
  int64_t effort;        /* of searching for plans, about 25 ns each; 0: GW_CLOCK_EFFORT */
} gw_clock_options;
#define GW_CLOCK_EFFORT ((int64_t)60000000)

/* Whether every glue is of a kind of gw_glue_kind_find; a finding unknown-glue-kind
 * for each that is not. */
gw_status gw_clock_glues_known(const gw_model *model, gw_findings *findings, bool *known);

/* Plans.  *out is the caller's (gw_clock_free).  `options` may be NULL.
 * Findings: no-glue, unknown-glue-kind, too-cold, air-outside, wood-too-damp,
 * wood-too-dry, open-time, closed-time, pot-time, margin-short, clamps-too-few,
 * clamps-too-short, clamps-too-weak. */
gw_status gw_clock_make(const gw_model *model, const gw_fit *fit, const gw_marks *marks,
                        const gw_order *order, gw_findings *findings, gw_clock **out);
gw_status gw_clock_make_with(const gw_model *model, const gw_fit *fit, const gw_marks *marks,
                             const gw_order *order, const gw_clock_options *options,
                             gw_findings *findings, gw_clock **out);
void gw_clock_free(gw_clock *clock);

/* Minutes and seconds for people: "0:00", "12:30", "1:02:00". */
char *gw_time_text(int64_t seconds, char *buffer, size_t size);
#define GW_TIME_TEXT 24

#endif
