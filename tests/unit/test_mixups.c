/* Wrong pairings that would also go together, against every assembly tried
 * one by one through the whole fit. */
#include <stdlib.h>

#include "mating/mixups.h"
#include "mating/mixups_inside.h"
#include "project.h"

static gw_mixups *mixups_of(project *p) {
  gw_mixups *x = NULL;
  ck_assert_msg(p->fit != NULL && p->fit->placed, "%s", all_words(p));
  ck_assert_int_eq(gw_mixups_make(p->model, p->fit, p->findings, &x), GW_OK);
  return x;
}

/* ---- turns --------------------------------------------------------------------------- */

START_TEST(turns_are_a_group) {
  for (int i = 0; i < GW_TURNS; ++i) {
    gw_turn one = gw_turn_at(i);
    /* right-handed: x, y, z go to three axes of which the third is the cross
     * product of the first two */
    int c[3][3] = {{0}};
    for (int axis = 0; axis < 3; ++axis) c[axis][one.axis[axis]] = one.flip[axis] ? -1 : 1;
    int det = c[0][0] * (c[1][1] * c[2][2] - c[1][2] * c[2][1]) -
              c[0][1] * (c[1][0] * c[2][2] - c[1][2] * c[2][0]) +
              c[0][2] * (c[1][0] * c[2][1] - c[1][1] * c[2][0]);
    ck_assert_int_eq(det, 1);
    for (int k = 0; k < i; ++k) {
      gw_turn two = gw_turn_at(k);
      bool same = true;
      for (int d = 0; d < 6; ++d)
        same = same && gw_turn_dir(&one, (gw_dir)d) == gw_turn_dir(&two, (gw_dir)d);
      ck_assert(!same);
    }
  }
  gw_turn first = gw_turn_at(0);
  for (int d = 0; d < 6; ++d) ck_assert_int_eq(gw_turn_dir(&first, (gw_dir)d), d);
}
END_TEST

/* ---- counting ------------------------------------------------------------------------- */

static uint64_t permutations(const int *ways, int n, int part, unsigned taken) {
  if (part == n) return 1;
  uint64_t sum = 0;
  for (int place = 0; place < n; ++place)
    if (!((taken >> place) & 1) && ways[part * n + place] > 0)
      sum += (uint64_t)ways[part * n + place] * permutations(ways, n, part + 1, taken | 1u << place);
  return sum;
}

START_TEST(counts_as_permutations_do) {
  unsigned seed = 1;
  for (int n = 0; n <= 8; ++n)
    for (int round = 0; round < 40; ++round) {
      int ways[64];
      for (int i = 0; i < n * n; ++i) {
        seed = seed * 1103515245u + 12345u;
        int draw = (int)(seed >> 16) % 6;
        ways[i] = draw < 3 ? 0 : draw - 2;
      }
      uint64_t count;
      ck_assert_int_eq(gw_mixups_count(ways, n, &count), GW_OK);
      ck_assert_uint_eq(count, permutations(ways, n, 0, 0));
    }
}
END_TEST

START_TEST(known_counts) {
  int ways[400];
  uint64_t count;
  for (int i = 0; i < 400; ++i) ways[i] = 1;
  ck_assert_int_eq(gw_mixups_count(ways, 12, &count), GW_OK);
  ck_assert_uint_eq(count, 479001600u); /* 12! */
  ck_assert_int_eq(gw_mixups_count(ways, 20, &count), GW_OK);
  ck_assert_uint_eq(count, 2432902008176640000u); /* 20! */
  for (int i = 0; i < 400; ++i) ways[i] = 24;
  ck_assert_int_eq(gw_mixups_count(ways, 20, &count), GW_OK);
  ck_assert_uint_eq(count, UINT64_MAX);
  ck_assert_int_eq(gw_mixups_count(ways, 21, &count), GW_TOO_LARGE);
  /* derangements of 10, OEIS A000166 */
  for (int i = 0; i < 100; ++i) ways[i] = i % 11 != 0;
  ck_assert_int_eq(gw_mixups_count(ways, 10, &count), GW_OK);
  ck_assert_uint_eq(count, 1334961u);
}
END_TEST

/* ---- every assembly, one by one ----------------------------------------------------------- */

/* An assembly being put together: the piece with each place's halves taken
 * from the part that lies there, turned. */
typedef struct trying {
  const project *p;
  gw_model m;
  gw_part parts[12];
  gw_half halves[64];
  bool used[12];
  bool alone;     /* only one place is filled */
  uint64_t count;
} trying;

static bool size_goes(const gw_part *part, const gw_part *place, const gw_turn *t) {
  for (int axis = 0; axis < 3; ++axis)
    if (part->size[axis] != place->size[t->axis[axis]]) return false;
  return part->n_halves == place->n_halves;
}

static gw_half turned_half(const gw_half *g, const gw_half *slot, const gw_turn *t) {
  gw_half half = *g;
  half.part = slot->part;
  half.joint = slot->joint;
  half.at = gw_turn_dir(t, g->at);
  half.open = 0;
  for (int d = 0; d < 6; ++d) half.from[gw_turn_dir(t, (gw_dir)d)] = g->from[d];
  return half;
}

/* No error in the whole fit, and every part stands in its place. */
static bool goes_together(trying *t) {
  gw_findings *findings = gw_findings_new("-");
  gw_fit *fit = NULL;
  ck_assert_int_eq(gw_fit_make(&t->m, findings, &fit), GW_OK);
  bool good = gw_findings_count_of(findings, GW_ERROR) == 0 && fit->placed;
  for (int i = 0; i < t->m.n_parts && good; ++i)
    for (int axis = 0; axis < 3; ++axis)
      if (llabs(fit->boxes[i].lo[axis] - t->p->fit->boxes[i].lo[axis]) > GW_MM / 5) good = false;
  gw_fit_free(fit);
  gw_findings_free(findings);
  return good;
}

static bool fill_place(trying *t, int place);

/* Fills the slots of a place with the part's halves in every order that puts
 * like on like; true once some order leads to a whole that goes together. */
static bool fill_slots(trying *t, int place, int part, const gw_turn *turn, int slot, unsigned used) {
  const gw_model *m = t->p->model;
  const gw_part *from = &m->parts[part], *to = &m->parts[place];
  if (slot == to->n_halves) {
    if (place + 1 < m->n_parts && !t->alone) return fill_place(t, place + 1);
    return goes_together(t);
  }
  const gw_half *want = &m->halves[to->first_half + slot];
  for (int k = 0; k < from->n_halves; ++k) {
    const gw_half *g = &m->halves[from->first_half + k];
    if ((used >> k) & 1 || g->element != want->element || gw_turn_dir(turn, g->at) != want->at)
      continue;
    t->halves[to->first_half + slot] = turned_half(g, want, turn);
    if (fill_slots(t, place, part, turn, slot + 1, used | 1u << k)) return true;
  }
  return false;
}

/* Counts at the last place; otherwise goes on through all parts and turns. */
static bool fill_place(trying *t, int place) {
  const gw_model *m = t->p->model;
  for (int part = 0; part < m->n_parts; ++part) {
    if (t->used[part]) continue;
    for (int i = 0; i < GW_TURNS; ++i) {
      gw_turn turn = gw_turn_at(i);
      const gw_part *from = &m->parts[part];
      if (!size_goes(from, &m->parts[place], &turn)) continue;
      t->used[part] = true;
      t->parts[place] = m->parts[place];
      t->parts[place].face = gw_turn_dir(&turn, from->face);
      t->parts[place].edge = gw_turn_dir(&turn, from->edge);
      if (fill_slots(t, place, part, &turn, 0, 0) && place + 1 == m->n_parts) t->count++;
      t->used[part] = false;
    }
  }
  return false;
}

static uint64_t every_assembly(const project *p) {
  static trying t;
  ck_assert_int_le(p->model->n_parts, 12);
  ck_assert_int_le(p->model->n_halves, 64);
  t = (trying){.p = p, .m = *p->model};
  t.m.parts = t.parts;
  t.m.halves = t.halves;
  fill_place(&t, 0);
  return t.count;
}

/* All sizes are stated, so that a part brings them along where it goes. */
static const char *const PIECES[] = {
    /* a box: front and back, the sides, and a bottom */
    "<part id='front' length='300' width='100' thickness='20' face='front' edge='up'>"
    "<socket id='l' at='left' depth='15'/><socket id='r' at='right' depth='15'/>"
    "<groove id='g' at='back' from-bottom='10' thickness='6' depth='6'/></part>"
    "<part id='back' like='front' turned='about-up'/>"
    "<part id='left' length='200' width='100' thickness='15' face='left' edge='up'>"
    "<tail at='front' into='front/l' count='3' depth='20' slope='1:8'/>"
    "<tail at='back' into='back/r' count='3' depth='20' slope='1:8'/>"
    "<groove id='g' at='right' from-bottom='10' thickness='6' depth='6'/></part>"
    "<part id='right' mirror-of='left' into='front/r back/l'/>"
    "<part id='bottom' length='282' width='172' thickness='6' face='up' edge='front'>"
    "<panel-edge at='front' into='front/g' depth='6'/><panel-edge at='back' into='back/g' depth='6'/>"
    "<panel-edge at='left' into='left/g' depth='6'/><panel-edge at='right' into='right/g' "
    "depth='6'/></part>",
    /* a frame with rails of one size; the tenons of the lower lie deeper in */
    "<part id='l' length='400' width='50' thickness='20' face='front' edge='right'>"
    "<mortise id='t' at='right' thickness='6' width='30' depth='31' from-top='10' from-front='7'/>"
    "<mortise id='b' at='right' thickness='6' width='30' depth='31' from-bottom='10' "
    "from-front='7'/></part><part id='r' mirror-of='l'/>"
    "<part id='top' length='260' width='50' thickness='20' face='front' edge='down'>"
    "<tenon at='left' into='l/t' thickness='6' width='30' depth='30' from-top='10' from-front='7'/>"
    "<tenon at='right' into='r/t' thickness='6' width='30' depth='30' from-top='10' from-front='7'/>"
    "</part><part id='bot' like='top' into='l/b r/b'/>",
    /* the same with tenons off the middle of the thickness by 1 mm */
    "<part id='l' length='400' width='50' thickness='20' face='front' edge='right'>"
    "<mortise id='t' at='right' thickness='6' width='30' depth='31' from-top='10' from-front='6'/>"
    "<mortise id='b' at='right' thickness='6' width='30' depth='31' from-bottom='10' "
    "from-front='6'/></part><part id='r' mirror-of='l'/>"
    "<part id='top' length='260' width='50' thickness='20' face='front' edge='down'>"
    "<tenon at='left' into='l/t' thickness='6' width='30' depth='30' from-top='10' from-front='6'/>"
    "<tenon at='right' into='r/t' thickness='6' width='30' depth='30' from-top='10' from-front='6'/>"
    "</part><part id='bot' like='top' into='l/b r/b'/>",
    /* shelves between sides: two alike, one stopped at its front */
    "<part id='l' length='600' width='200' thickness='20' face='left' edge='front'>"
    "<housing id='a' at='right' thickness='20' width='200' depth='7' from-bottom='100' from-front='0'/>"
    "<housing id='b' at='right' thickness='20' width='200' depth='7' from-bottom='300' from-front='0'/>"
    "<housing id='c' at='right' thickness='20' width='190' depth='7' from-bottom='500' from-front='10'/>"
    "</part><part id='r' mirror-of='l'/>"
    "<part id='one' length='314' width='200' thickness='20' face='up' edge='front'>"
    "<shelf-end at='left' into='l/a' width='200' thickness='20' depth='7' from-front='0'/>"
    "<shelf-end at='right' into='r/a' width='200' thickness='20' depth='7' from-front='0'/></part>"
    "<part id='two' like='one' into='l/b r/b'/>"
    "<part id='three' length='314' width='200' thickness='20' face='up' edge='front'>"
    "<shelf-end at='left' into='l/c' width='190' thickness='20' depth='7' from-front='10'/>"
    "<shelf-end at='right' into='r/c' width='190' thickness='20' depth='7' from-front='10'/></part>",
    /* a square rod between two square blocks, round dowels apart as wide as high */
    "<part id='l' length='60' width='60' thickness='20' face='left' edge='front'>"
    "<mortise id='m' at='right' thickness='20' width='20' depth='11' from-front='20' "
    "from-bottom='20'/></part><part id='r' mirror-of='l'/>"
    "<part id='rod' length='200' width='30' thickness='30' face='front' edge='up'>"
    "<tenon at='left' into='l/m' thickness='20' width='20' depth='10' from-front='5' from-bottom='5'/>"
    "<tenon at='right' into='r/m' thickness='20' width='20' depth='10' from-front='5' "
    "from-bottom='5'/></part>",
};
enum { N_PIECES = sizeof PIECES / sizeof *PIECES };

/* In how many turns the part goes into the place while all others are as drawn:
 * tried in the whole fit. */
static int ways_alone(const project *p, int part, int place) {
  static trying t;
  int count = 0;
  for (int i = 0; i < GW_TURNS; ++i) {
    gw_turn turn = gw_turn_at(i);
    if (!size_goes(&p->model->parts[part], &p->model->parts[place], &turn)) continue;
    t = (trying){.p = p, .m = *p->model, .alone = true};
    memcpy(t.parts, p->model->parts, (size_t)p->model->n_parts * sizeof *t.parts);
    memcpy(t.halves, p->model->halves, (size_t)p->model->n_halves * sizeof *t.halves);
    t.m.parts = t.parts;
    t.m.halves = t.halves;
    t.parts[place].face = gw_turn_dir(&turn, p->model->parts[part].face);
    t.parts[place].edge = gw_turn_dir(&turn, p->model->parts[part].edge);
    if (fill_slots(&t, place, part, &turn, 0, 0)) count++;
  }
  return count;
}

START_TEST(against_every_place) {
  project p = project_fit(project_read(PIECES[_i]));
  expect_good(&p);
  gw_mixups *x = mixups_of(&p);
  const int n = p.model->n_parts;
  int ways[144];
  for (int part = 0; part < n; ++part)
    for (int place = 0; place < n; ++place) {
      int found = part == place; /* as it is drawn */
      for (int i = 0; i < x->n_ways; ++i)
        if (x->ways[i].part == part && x->ways[i].place == place) found++;
      ways[part * n + place] = ways_alone(&p, part, place);
      ck_assert_msg(found == ways[part * n + place], "part %d in place %d: %d ways, not %d", part,
                    place, found, ways[part * n + place]);
    }
  ck_assert(x->exact);
  ck_assert_uint_eq(x->wrong + 1, permutations(ways, n, 0, 0));
  gw_mixups_free(x);
  project_clear(&p);
}
END_TEST

/* Every assembly tried as a whole: no fewer go together than were counted, and
 * no more where parts cannot be wrong in agreement.  In the third and the
 * fourth piece they can: all faces about, twice as many. */
START_TEST(against_every_assembly) {
  static const uint64_t in_agreement[N_PIECES] = {1, 1, 2, 2, 1};
  project p = project_fit(project_read(PIECES[_i]));
  gw_mixups *x = mixups_of(&p);
  ck_assert_uint_eq((x->wrong + 1) * in_agreement[_i], every_assembly(&p));
  gw_mixups_free(x);
  project_clear(&p);
}
END_TEST

/* The numbers themselves, so that both counts cannot be wrong alike. */
START_TEST(counts_by_hand) {
  /* front and back, left and right change places; the bottom has four ways */
  project p = project_fit(project_read(PIECES[0]));
  gw_mixups *x = mixups_of(&p);
  ck_assert_uint_eq(x->wrong + 1, 2 * 2 * 4);
  ck_assert_int_eq(x->part_class[0], x->part_class[1]);
  ck_assert_int_eq(x->part_class[2], x->part_class[3]);
  ck_assert_int_ne(x->part_class[0], x->part_class[2]);
  ck_assert_int_eq(x->n_part_classes, 3);
  gw_mixups_free(x);
  project_clear(&p);
}
END_TEST

/* The coat rack: a dovetailed halving widens to one side.  An outer post goes into the
 * other's place turned end for end, but not so into its own; the middle post goes either
 * way up, and each rail into both places, either way round. */
START_TEST(tails_widen_one_way) {
  project p = project_file("projects/coat-rack.xml");
  gw_mixups *x = mixups_of(&p);
  ck_assert_uint_eq(x->wrong + 1, 2 * 2 * (2 * 2 * 2));
  gw_mixups_free(x);
  project_clear(&p);
}
END_TEST

/* ---- classes, ranks, words ------------------------------------------------------------------ */

START_TEST(classes_of_joints) {
  project p = project_fit(project_read(PIECES[3]));
  gw_mixups *x = mixups_of(&p);
  /* six housings: four run through, two are stopped */
  ck_assert_int_eq(p.model->n_joints, 6);
  ck_assert_int_eq(x->n_joint_classes, 2);
  for (int i = 0; i < 4; ++i) ck_assert_int_eq(x->joint_class[i], x->joint_class[0]);
  ck_assert_int_eq(x->joint_class[4], x->joint_class[5]);
  ck_assert_int_ne(x->joint_class[4], x->joint_class[0]);
  gw_mixups_free(x);
  project_clear(&p);
}
END_TEST

START_TEST(ranked_by_harm) {
  project p = project_fit(project_read(PIECES[0]));
  gw_mixups *x = mixups_of(&p);
  for (int i = 1; i < x->n_ways; ++i) ck_assert_int_ge(x->ways[i - 1].harm, x->ways[i].harm);
  ck_assert_int_eq(x->ways[0].harm, 4 + 1); /* cut to its mate, and glued */
  ck_assert_int_eq(x->ways[x->n_ways - 1].harm, 2); /* a dry panel, another way round */
  ck_assert_ptr_nonnull(strstr(all_words(&p), "front and back could change places; the joints "
                                              "would start, but each is cut to its own mate"));
  ck_assert_ptr_nonnull(strstr(all_words(&p), "bottom also goes in turned end for end, upside "
                                              "down, or both"));
  gw_mixups_free(x);
  project_clear(&p);
}
END_TEST

START_TEST(another_wood_is_worst) {
  static char text[8192];
  snprintf(text, sizeof text, "%s", PIECES[3]);
  char *two = strstr(text, "<part id='two'");
  ck_assert_ptr_nonnull(two);
  char rest[8192];
  snprintf(rest, sizeof rest, "<part id='two' material='walnut'%s", two + strlen("<part id='two'"));
  strcpy(two, rest);
  project p = project_fit(project_read(text));
  gw_mixups *x = mixups_of(&p);
  ck_assert_int_ge(x->ways[0].harm, 8);
  gw_mixups_free(x);
  project_clear(&p);
}
END_TEST

/* A row of n like blocks, each turned in few ways; large pieces are compared by
 * class and counted from below. */
static project row(int n) {
  static char text[120000];
  size_t at = (size_t)snprintf(text, sizeof text, HEAD "><part id='base' length='%d' width='60' "
                               "thickness='20' face='up' edge='front'>", n * 50);
  for (int i = 0; i < n; ++i)
    at += (size_t)snprintf(text + at, sizeof text - at, "<mortise id='m%d' at='up' thickness='8' "
                           "width='20' depth='11' from-left='%d' from-front='26'/>", i, 50 * i + 10);
  at += (size_t)snprintf(text + at, sizeof text - at, "</part>");
  for (int i = 0; i < n; ++i)
    at += (size_t)snprintf(text + at, sizeof text - at, "<part id='p%d' length='90' width='30' "
                           "thickness='18' face='front' edge='right'><tenon at='down' "
                           "into='base/m%d' thickness='8' width='20' depth='10' from-front='5' "
                           "from-left='5'/></part>", i, i);
  snprintf(text + at, sizeof text - at, "</piece>");
  return project_fit(project_bytes(text, strlen(text)));
}

START_TEST(rows_of_blocks) {
  static const struct { int n; bool exact; uint64_t count; } rows[] = {
      {3, true, 6 * 8}, {6, true, 720 * 64}, {15, true, 1307674368000u * 32768u},
      {30, false, 1u << 30}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    project p = row(rows[i].n);
    ck_assert_msg(project_good(&p), "%s", all_words(&p));
    gw_mixups *x = mixups_of(&p);
    ck_assert_int_eq(x->exact, rows[i].exact);
    if (rows[i].exact) ck_assert_uint_eq(x->wrong + 1, rows[i].count);
    else ck_assert_uint_ge(x->wrong + 1, rows[i].count);
    gw_mixups_free(x);
    project_clear(&p);
  }
}
END_TEST

START_TEST(large_pieces_by_class) {
  project p = row(250);
  ck_assert_msg(project_good(&p), "%s", all_words(&p));
  gw_mixups *x = mixups_of(&p);
  ck_assert(!x->exact);
  ck_assert_uint_eq(x->wrong, UINT64_MAX - 1);
  ck_assert_int_eq(x->n_part_classes, 2);
  ck_assert_int_eq(x->part_class[1], x->part_class[250]);
  gw_mixups_free(x);
  project_clear(&p);
}
END_TEST

/* ---- the shop's own fits --------------------------------------------------------------- */

/* Blocks joined by two rods with tenons of 10 and of 10.1 in mortises as wide. */
#define RODS                                                                                  \
  "<part id='l' length='160' width='60' thickness='20' face='left' edge='front'>"             \
  "<mortise id='a' at='right' thickness='10' width='20' depth='11' from-front='20' "          \
  "from-bottom='20'/>"                                                                        \
  "<mortise id='b' at='right' thickness='10.1' width='20' depth='11' from-front='20' "        \
  "from-bottom='100'/></part><part id='r' mirror-of='l'/>"                                    \
  "<part id='one' length='200' width='30' thickness='30' face='front' edge='up'>"             \
  "<tenon at='left' into='l/a' thickness='10' width='20' depth='10'/>"                        \
  "<tenon at='right' into='r/a' thickness='10' width='20' depth='10'/></part>"                \
  "<part id='two' length='200' width='30' thickness='30' face='front' edge='up'>"             \
  "<tenon at='left' into='l/b' thickness='10.1' width='20' depth='10'/>"                      \
  "<tenon at='right' into='r/b' thickness='10.1' width='20' depth='10'/></part>"

/* Whether the first rod goes into the second's place, and the other way. */
static void exchange(const char *fit, bool one_goes, bool two_goes, bool cut_to_mate) {
  static char text[8192];
  snprintf(text, sizeof text, "%s%s", fit, RODS);
  project p = project_fit(project_read(text));
  expect_good(&p);
  gw_mixups *x = mixups_of(&p);
  int went[2] = {0, 0};
  for (int i = 0; i < x->n_ways; ++i) {
    const gw_mixup *way = &x->ways[i];
    if (way->part == 2 && way->place == 3) went[0]++;
    if (way->part == 3 && way->place == 2) went[1]++;
    if (way->part >= 2) ck_assert_int_eq((way->harm & 4) != 0, cut_to_mate);
  }
  ck_assert_msg((went[0] > 0) == one_goes, "%s: one into two's place: %d ways", fit, went[0]);
  ck_assert_msg((went[1] > 0) == two_goes, "%s: two into one's place: %d ways", fit, went[1]);
  gw_mixups_free(x);
  project_clear(&p);
}

/* Without a word of the file tenons have from none to 0.15 mm of room. */
START_TEST(fits_of_the_file) {
  exchange("", true, false, false);
  exchange("<fit kind='mortise-and-tenon' tight='-0.1' loose='0.1'/>", true, true, false);
  exchange("<fit kind='mortise-and-tenon' tight='-0.099' loose='0.1'/>", true, false, false);
  exchange("<fit kind='mortise-and-tenon' tight='-0.1' loose='0.099'/>", false, true, false);
  exchange("<fit kind='mortise-and-tenon' tight='0' loose='0'/>", false, false, true);
  exchange("<fit kind='housing' tight='0' loose='0'/>", true, false, false);
}
END_TEST

START_TEST(room_of_a_kind) {
  project p = project_read("<fit kind='mortise-and-tenon' tight='0.1' loose='0.3'/>" RODS);
  expect_good(&p);
  const gw_len tenth = GW_MM / 10;
  ck_assert(!gw_mixup_room(p.model, GW_MORTISE_TENON, 10 * GW_MM, 10 * GW_MM));
  ck_assert(!gw_mixup_room(p.model, GW_MORTISE_TENON, 10 * GW_MM, 10 * GW_MM + tenth - 1));
  ck_assert(gw_mixup_room(p.model, GW_MORTISE_TENON, 10 * GW_MM, 10 * GW_MM + tenth));
  ck_assert(gw_mixup_room(p.model, GW_MORTISE_TENON, 10 * GW_MM, 10 * GW_MM + 3 * tenth));
  ck_assert(!gw_mixup_room(p.model, GW_MORTISE_TENON, 10 * GW_MM, 10 * GW_MM + 3 * tenth + 1));
  /* A housing's are those of its kind: none to 0.2 mm. */
  ck_assert(gw_mixup_room(p.model, GW_HOUSING, 10 * GW_MM, 10 * GW_MM));
  ck_assert(gw_mixup_room(p.model, GW_HOUSING, 10 * GW_MM, 10 * GW_MM + 2 * tenth));
  ck_assert(!gw_mixup_room(p.model, GW_HOUSING, 10 * GW_MM, 10 * GW_MM + 2 * tenth + 1));
  ck_assert(!gw_mixup_room(p.model, GW_HOUSING, 10 * GW_MM, 10 * GW_MM - 1));
  project_clear(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("mixups");
  TCase *mixups = tcase_create("mixups");
  tcase_set_timeout(mixups, 60);
  tcase_add_test(mixups, turns_are_a_group);
  tcase_add_test(mixups, counts_as_permutations_do);
  tcase_add_test(mixups, known_counts);
  tcase_add_loop_test(mixups, against_every_place, 0, N_PIECES);
  tcase_add_loop_test(mixups, against_every_assembly, 0, N_PIECES);
  tcase_add_test(mixups, counts_by_hand);
  tcase_add_test(mixups, tails_widen_one_way);
  tcase_add_test(mixups, classes_of_joints);
  tcase_add_test(mixups, ranked_by_harm);
  tcase_add_test(mixups, another_wood_is_worst);
  tcase_add_test(mixups, rows_of_blocks);
  tcase_add_test(mixups, large_pieces_by_class);
  tcase_add_test(mixups, fits_of_the_file);
  tcase_add_test(mixups, room_of_a_kind);
  suite_add_tcase(suite, mixups);
  return run_suite(suite);
}
