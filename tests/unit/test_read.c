/* test_read.c - lengths, copies, groups, lines, and files that mean harm. */
#include "project.h"

#include <stdlib.h>

/* ---- lengths ---------------------------------------------------------------------- */

/* In sixteenths of a micrometre.  The factor: 1 in = 25.4 mm exactly
 * (international yard and pound agreement, 1 July 1959); each row is computed
 * from it: thousandths of a micrometre, so that 1/64 in is exact. */
static const struct {
  const char *text;
  int64_t nanometres;
} INCHES[] = {
    {"1/64", 396875},   {"1/32", 793750},    {"1/16", 1587500},   {"3/32", 2381250},
    {"1/8", 3175000},   {"3/16", 4762500},   {"1/4", 6350000},    {"5/16", 7937500},
    {"3/8", 9525000},   {"7/16", 11112500},  {"1/2", 12700000},   {"9/16", 14287500},
    {"5/8", 15875000},  {"11/16", 17462500}, {"3/4", 19050000},   {"13/16", 20637500},
    {"7/8", 22225000},  {"15/16", 23812500}, {"1", 25400000},     {"12", 304800000},
};

START_TEST(inches_are_exact) {
  gw_len length;
  ck_assert_ptr_null(gw_len_parse(INCHES[_i].text, GW_UNITS_INCH, &length));
  ck_assert_int_eq(length * 125, INCHES[_i].nanometres * 2); /* 16 units are 1000 nm */
  char back[GW_LEN_TEXT];
  ck_assert_str_eq(gw_len_text(length, GW_UNITS_INCH, back, sizeof back), INCHES[_i].text);
}
END_TEST

/* The nearest sixty-fourth of an inch, computed with the same factor. */
START_TEST(millimetres_in_inches) {
  static const struct {
    const char *mm, *inch;
  } rows[] = {{"3", "1/8"},   {"6", "15/64"},  {"10", "25/64"},    {"18", "45/64"},
              {"19", "3/4"},  {"25", "63/64"}, {"100", "3 15/16"}, {"600", "23 5/8"}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    gw_len length;
    char text[GW_LEN_TEXT];
    ck_assert_ptr_null(gw_len_parse(rows[i].mm, GW_UNITS_MM, &length));
    ck_assert_str_eq(gw_len_text(length, GW_UNITS_INCH, text, sizeof text), rows[i].inch);
  }
}
END_TEST

START_TEST(ways_to_write_a_length) {
  static const struct {
    const char *text;
    gw_units units;
    gw_len length;
  } rows[] = {
      {"412", GW_UNITS_MM, 412 * GW_MM},
      {"412.5 mm", GW_UNITS_INCH, 412 * GW_MM + GW_MM / 2},
      {" 412.5mm ", GW_UNITS_MM, 412 * GW_MM + GW_MM / 2},
      {"16 1/4in", GW_UNITS_MM, 16 * GW_INCH + GW_INCH / 4},
      {"16 1/4\"", GW_UNITS_MM, 16 * GW_INCH + GW_INCH / 4},
      {"0.5", GW_UNITS_INCH, GW_INCH / 2},
      {"-20", GW_UNITS_MM, -20 * GW_MM},
      {"-1 3/8", GW_UNITS_INCH, -GW_INCH - GW_INCH * 3 / 8},
      {"0", GW_UNITS_MM, 0},
      {"0.001", GW_UNITS_MM, GW_MM / 1000},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    gw_len length = 1;
    ck_assert_msg(gw_len_parse(rows[i].text, rows[i].units, &length) == NULL, "%s", rows[i].text);
    ck_assert_msg(length == rows[i].length, "%s is %lld", rows[i].text, (long long)length);
  }
}
END_TEST

START_TEST(no_lengths) {
  static const char *const texts[] = {"",      " ",      "a",    "12 x",      "1/0",      "1/",
                                      "12.",   "1 2",    "--1",  "1e3",       "0x10",     "nan",
                                      "12 cm", "1/2048", "- 1",  "999999999", "100001",   "1 1/",
                                      "12mm5", ".5",     "1,5",  "1/2/3",     "1 1/2 1/2", "½"};
  for (size_t i = 0; i < sizeof texts / sizeof *texts; ++i) {
    gw_len length = 7;
    ck_assert_msg(gw_len_parse(texts[i], GW_UNITS_MM, &length) != NULL, "\"%s\"", texts[i]);
    ck_assert_int_eq(length, 7);
  }
}
END_TEST

START_TEST(lengths_for_people) {
  static const struct {
    gw_len length;
    gw_units units;
    const char *text;
  } rows[] = {
      {412 * GW_MM, GW_UNITS_MM, "412"},
      {412 * GW_MM + GW_MM / 2, GW_UNITS_MM, "412.5"},
      {-GW_MM / 4, GW_UNITS_MM, "-0.25"},
      {GW_MM * 100, GW_UNITS_MM, "100"},
      {GW_MM / 1000, GW_UNITS_MM, "0.001"},
      {0, GW_UNITS_MM, "0"},
      {0, GW_UNITS_INCH, "0"},
      {GW_INCH + GW_INCH * 3 / 8, GW_UNITS_INCH, "1 3/8"},
      {-GW_INCH / 64, GW_UNITS_INCH, "-1/64"},
      {-GW_MM / 16, GW_UNITS_INCH, "0"},
      {-1, GW_UNITS_MM, "0"},
      {GW_INCH - 1, GW_UNITS_INCH, "1"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    char text[GW_LEN_TEXT];
    ck_assert_str_eq(gw_len_text(rows[i].length, rows[i].units, text, sizeof text), rows[i].text);
  }
}
END_TEST

/* ---- copies ----------------------------------------------------------------------- */

/* One of every side, so that a wrong mapping shows. */
#define SOURCE                                                                              \
  "<part id='a' material='oak, white' length='500' width='100' thickness='20' face='front' " \
  "edge='up' tolerance='0.5'>"                                                              \
  "<mortise id='m' at='left' thickness='6' width='50' depth='30' from-top='7' open='right'/>" \
  "<tenon at='right' into='x/y' from-left='1' from-right='2' from-front='3' from-back='4' "  \
  "from-bottom='5' from-top='6'/></part>"

typedef struct mapping {
  const char *how;
  gw_dir to[6]; /* where left, right, front, back, down and up go */
} mapping;

static const mapping MAPPINGS[] = {
    {"like='a'", {GW_LEFT, GW_RIGHT, GW_FRONT, GW_BACK, GW_DOWN, GW_UP}},
    {"like='a' turned='about-up'", {GW_RIGHT, GW_LEFT, GW_BACK, GW_FRONT, GW_DOWN, GW_UP}},
    {"like='a' turned='about-right'", {GW_LEFT, GW_RIGHT, GW_BACK, GW_FRONT, GW_UP, GW_DOWN}},
    {"like='a' turned='about-back'", {GW_RIGHT, GW_LEFT, GW_FRONT, GW_BACK, GW_UP, GW_DOWN}},
    {"mirror-of='a'", {GW_RIGHT, GW_LEFT, GW_FRONT, GW_BACK, GW_DOWN, GW_UP}},
    {"mirror-of='a' mirrored='left-right'", {GW_RIGHT, GW_LEFT, GW_FRONT, GW_BACK, GW_DOWN, GW_UP}},
    {"mirror-of='a' mirrored='front-back'", {GW_LEFT, GW_RIGHT, GW_BACK, GW_FRONT, GW_DOWN, GW_UP}},
    {"mirror-of='a' mirrored='up-down'", {GW_LEFT, GW_RIGHT, GW_FRONT, GW_BACK, GW_UP, GW_DOWN}},
};

START_TEST(copies_turn_and_mirror) {
  const mapping *map = &MAPPINGS[_i];
  char text[2048];
  snprintf(text, sizeof text, SOURCE "<part id='b' %s into='p/q'/>", map->how);
  project p = project_read(text);
  expect_good(&p);
  const gw_part *a = &p.model->parts[0], *b = &p.model->parts[1];
  ck_assert_int_eq(b->face, map->to[GW_FRONT]);
  ck_assert_int_eq(b->edge, map->to[GW_UP]);
  ck_assert_str_eq(b->material, "oak, white");
  ck_assert_int_eq(b->tolerance, GW_MM / 2);
  for (int axis = 0; axis < 3; ++axis) ck_assert_int_eq(b->size[axis], a->size[axis]);
  ck_assert_int_eq(b->n_halves, 2);
  const gw_half *m = half_of(&p, "b", 0), *t = half_of(&p, "b", 1);
  ck_assert_int_eq(m->at, map->to[GW_LEFT]);
  ck_assert_str_eq(m->id, "m");
  ck_assert_uint_eq(m->open, 1u << map->to[GW_RIGHT]);
  ck_assert_int_eq(m->from[map->to[GW_UP]], 7 * GW_MM);
  ck_assert_int_eq(m->from[map->to[GW_DOWN]], GW_UNSET);
  ck_assert_int_eq(t->at, map->to[GW_RIGHT]);
  ck_assert_str_eq(t->into, "p/q");
  ck_assert_str_eq(half_of(&p, "a", 1)->into, "x/y");
  for (int dir = 0; dir < 6; ++dir)
    ck_assert_int_eq(t->from[map->to[dir]], (dir + 1) * GW_MM);
  project_clear(&p);
}
END_TEST

START_TEST(copies_take_what_they_state) {
  project p = project_read(SOURCE
      "<part id='c' like='b' name='C' width='90' into='e/f'><butt-face id='own' at='up'/></part>"
      "<part id='b' mirror-of='a' length='400' into='c/d'/>");
  expect_good(&p);
  const gw_part *c = &p.model->parts[part_of(&p, "c")];
  ck_assert_int_eq(c->length, 400 * GW_MM); /* by way of b, which stands behind it */
  ck_assert_int_eq(c->width, 90 * GW_MM);
  ck_assert_int_eq(c->thickness, 20 * GW_MM);
  ck_assert_str_eq(c->name, "C");
  ck_assert_int_eq(c->n_halves, 3);
  ck_assert_int_eq(half_of(&p, "c", 0)->at, GW_RIGHT);
  ck_assert_str_eq(half_of(&p, "c", 1)->into, "e/f");
  ck_assert_str_eq(half_of(&p, "c", 2)->id, "own");
  project_clear(&p);
}
END_TEST

START_TEST(sizes_follow_face_and_edge) {
  project p = project_read(
      "<part id='a' length='500' width='100' thickness='20' face='front' edge='up'/>"
      "<part id='b' length='500' width='100' thickness='20' face='left' edge='front'/>"
      "<part id='c' length='500' width='100' thickness='20' face='down' edge='right'/>");
  expect_good(&p);
  static const gw_len mm[3][3] = {{500, 20, 100}, {20, 100, 500}, {100, 500, 20}};
  for (int i = 0; i < 3; ++i)
    for (int axis = 0; axis < 3; ++axis)
      ck_assert_int_eq(p.model->parts[i].size[axis], mm[i][axis] * GW_MM);
  project_clear(&p);
}
END_TEST

START_TEST(what_a_source_lacks_is_said_once) {
  project p = project_read("\n<part id='a' width='100' thickness='20' face='front' edge='up'/>"
                           "\n<part id='b' like='a'/>\n<part id='c' mirror-of='b'/>");
  expect_one(&p, "missing-attribute", 2);
  project_clear(&p);
}
END_TEST

START_TEST(rings_end) {
  project p = project_read("\n<part id='a' like='b'/>\n<part id='b' like='c'/>"
                           "\n<part id='c' like='a'/>");
  expect_one(&p, "like-in-a-ring", 4);
  project_clear(&p);
}
END_TEST

START_TEST(a_misspelt_source_is_guessed) {
  project p = project_read("<part id='front' length='500' width='100' thickness='20' "
                           "face='front' edge='up'/>\n<part id='back' like='frnt'/>");
  expect_one(&p, "unknown-part", 2);
  ck_assert_ptr_nonnull(strstr(gw_findings_at(p.findings, 0)->words, "did you mean front?"));
  project_clear(&p);
}
END_TEST

/* A chain of copies as long as a file can well be, written backwards. */
START_TEST(long_chains) {
  enum { LINKS = 20000 };
  size_t room = LINKS * 48 + 512, at;
  char *text = malloc(room);
  ck_assert_ptr_nonnull(text);
  at = (size_t)snprintf(text, room, HEAD ">");
  for (int i = LINKS; i > 0; --i)
    at += (size_t)snprintf(text + at, room - at, "<part id='p%d' like='p%d'/>", i, i - 1);
  at += (size_t)snprintf(text + at, room - at,
                         "<part id='p0' length='9' width='8' thickness='7' face='front' "
                         "edge='up'/></piece>");
  project p = project_bytes(text, at);
  expect_good(&p);
  ck_assert_int_eq(p.model->n_parts, LINKS + 1);
  ck_assert_int_eq(p.model->parts[0].length, 9 * GW_MM);
  project_clear(&p);
  free(text);
}
END_TEST

/* ---- groups ----------------------------------------------------------------------- */

#define BOARD "length='300' width='80' thickness='10' face='left' edge='up'"
#define DRAWER                                                                      \
  "<group id='drawer'><part id='left' " BOARD "><tail at='front' into='front/l'/></part>" \
  "<part id='right' mirror-of='left' into='front/r'/>"                              \
  "<part id='front' length='300' width='80' thickness='10' face='front' edge='up'>" \
  "<socket id='l' at='left'/><socket id='r' at='right'/></part>"                    \
  "<slide part='left' at='down' into='rail/a'/></group>"

START_TEST(groups_bear_their_own_halves) {
  project p = project_read(DRAWER);
  expect_good(&p);
  ck_assert_int_eq(p.model->n_groups, 1);
  ck_assert_int_eq(p.model->parts[part_of(&p, "drawer.left")].n_halves, 2);
  /* What joins the group is not copied from part to part. */
  ck_assert_int_eq(p.model->parts[part_of(&p, "drawer.right")].n_halves, 1);
  ck_assert_str_eq(half_of(&p, "drawer.left", 1)->element, "slide");
  project_clear(&p);
}
END_TEST

START_TEST(groups_like_others) {
  project p = project_read(DRAWER "\n<group id='second' like='drawer' into='rail/b'/>");
  expect_good(&p);
  ck_assert_int_eq(p.model->n_parts, 6);
  const gw_part *left = &p.model->parts[part_of(&p, "second.left")];
  ck_assert_int_eq(left->line, 2);
  ck_assert_int_eq(left->group, 1);
  ck_assert_str_eq(half_of(&p, "second.left", 0)->into, "front/l"); /* stays inside */
  ck_assert_str_eq(half_of(&p, "second.left", 1)->into, "rail/b");
  ck_assert_str_eq(half_of(&p, "drawer.left", 1)->into, "rail/a");
  ck_assert_int_eq(half_of(&p, "second.right", 0)->at, GW_FRONT);
  project_clear(&p);
}
END_TEST

START_TEST(groups_count_their_ways_out) {
  project p = project_read(DRAWER "\n<group id='second' like='drawer' into='rail/b rail/c'/>");
  expect_one(&p, "into-count", 2);
  project_clear(&p);
}
END_TEST

/* ---- lines ------------------------------------------------------------------------ */

START_TEST(lines_of_tags_over_several_lines) {
  project p = project_read("\n"
                           "<part id='a'\n"
                           "      length='500' width='100'\n"
                           "      thickness='20' face='front' edge='up'>\n"
                           "  <!-- a comment\n"
                           "       of two lines with a > and a \" in it -->\n"
                           "  <mortise\n"
                           "     id='m'\n"
                           "     at='left'\n"
                           "  />\n"
                           "  <tenon at='right' into='x/y'/><butt-face id='n'\n"
                           "     at='up'/>\n"
                           "</part>\n"
                           "<part id='b' like='a'\n"
                           "      into='x/z'/>\n");
  expect_good(&p);
  ck_assert_int_eq(p.model->parts[0].line, 2);
  ck_assert_int_eq(half_of(&p, "a", 0)->line, 7);
  ck_assert_int_eq(half_of(&p, "a", 1)->line, 11);
  ck_assert_int_eq(half_of(&p, "a", 2)->line, 11);
  ck_assert_int_eq(p.model->parts[1].line, 14);
  ck_assert_int_eq(half_of(&p, "b", 0)->line, 14);
  project_clear(&p);
}
END_TEST

START_TEST(lines_of_complaints) {
  project p = project_read("\n<part id='a'\n      length='long'\n      width='1'/>\n"
                           "<part\n   length='5'/>\n<prat/>\n<part id='c' colour='red'/>");
  ck_assert_int_eq(p.status, GW_BAD_INPUT);
  gw_findings_sort(p.findings);
  static const struct {
    int line;
    const char *code;
  } rows[] = {{2, "bad-value"}, {5, "missing-attribute"}, {7, "unknown-element"},
              {8, "unknown-attribute"}};
  ck_assert_msg(gw_findings_count(p.findings) == 4, "%s", all_words(&p));
  for (size_t i = 0; i < 4; ++i) {
    ck_assert_int_eq(gw_findings_at(p.findings, i)->line, rows[i].line);
    ck_assert_str_eq(gw_findings_at(p.findings, i)->code, rows[i].code);
  }
  project_clear(&p);
}
END_TEST

/* More lines than sixteen bits hold. */
START_TEST(lines_beyond_65535) {
  enum { LINES = 70000 };
  static char text[LINES + 512];
  int head = snprintf(text, sizeof text, HEAD ">");
  memset(text + head, '\n', LINES);
  snprintf(text + head + LINES, 512, "<part id='a' length='5' width='4' thickness='3' "
           "face='front' edge='up'/></piece>");
  project p = project_bytes(text, strlen(text));
  expect_good(&p);
  ck_assert_int_eq(p.model->parts[0].line, LINES + 1);
  project_clear(&p);
}
END_TEST

/* ---- files that mean harm --------------------------------------------------------- */

static void refuse(const char *bytes, size_t count, const char *code) {
  project p = project_bytes(bytes, count);
  ck_assert_int_eq(p.status, GW_BAD_INPUT);
  ck_assert_ptr_null(p.model);
  ck_assert_uint_ge(gw_findings_count_of(p.findings, GW_ERROR), 1);
  ck_assert_msg(strcmp(gw_findings_at(p.findings, 0)->code, code) == 0, "wanted %s:\n%s", code,
                all_words(&p));
  project_clear(&p);
}

static void refuse_text(const char *text, const char *code) { refuse(text, strlen(text), code); }

START_TEST(entity_bombs) {
  refuse_text("<?xml version='1.0'?>\n<!DOCTYPE piece [<!ENTITY a 'aaaaaaaaaa'>"
              "<!ENTITY b '&a;&a;&a;&a;&a;&a;&a;&a;'><!ENTITY c '&b;&b;&b;&b;&b;&b;&b;&b;'>"
              "<!ENTITY d '&c;&c;&c;&c;&c;&c;&c;&c;'>]>\n" HEAD ">&d;</piece>", "doctype");
  refuse_text("<!DOCTYPE piece SYSTEM 'http://localhost/x.dtd'>" HEAD "/>", "doctype");
  refuse_text("<!DOCTYPE piece [<!ENTITY x SYSTEM 'file:///etc/hostname'>]>" HEAD ">&x;</piece>",
              "doctype");
  refuse_text(HEAD ">&unknown;</piece>", "not-xml");
}
END_TEST

START_TEST(the_line_of_a_doctype) {
  project p = project_bytes("<?xml version='1.0'?>\n\n<!DOCTYPE piece>\n" HEAD "/>",
                            strlen("<?xml version='1.0'?>\n\n<!DOCTYPE piece>\n" HEAD "/>"));
  expect_one(&p, "doctype", 3);
  project_clear(&p);
}
END_TEST

START_TEST(no_text_at_all) {
  refuse("", 0, "not-xml");
  refuse_text("   \n", "not-xml");
  refuse_text("\xEF\xBB\xBF", "not-xml");
  refuse_text("GIF89a", "not-xml");
  refuse_text("<", "not-xml");
  refuse_text(HEAD, "not-xml");
  refuse_text(HEAD ">", "not-xml");
}
END_TEST

START_TEST(nul_bytes) {
  static const char inside[] = HEAD ">\0</piece>";
  refuse(inside, sizeof inside - 1, "not-xml");
  static const char before[] = "\0" HEAD "/>";
  refuse(before, sizeof before - 1, "not-xml");
  static const char nothing[64];
  refuse(nothing, sizeof nothing, "not-xml");
}
END_TEST

START_TEST(deep_nesting) {
  enum { DEEP = 100000 };
  char *text = malloc(DEEP * 6 + 512);
  ck_assert_ptr_nonnull(text);
  char *at = text + sprintf(text, HEAD ">");
  for (int i = 0; i < DEEP; ++i) at = memcpy(at, "<part>", 6), at += 6;
  refuse(text, (size_t)(at - text), "not-xml");
  free(text);
}
END_TEST

START_TEST(other_encodings) {
  refuse_text(HEAD "><part id='\xE9t\xE9'/></piece>", "not-xml"); /* not UTF-8 */
  refuse_text(HEAD "><part id='\xC0\xAF'/></piece>", "not-xml");  /* an overlong form */
  refuse_text("<?xml version='1.0' encoding='no-such'?>" HEAD "/>", "not-xml");
  static const char latin[] = "<?xml version='1.0' encoding='ISO-8859-1'?>" HEAD
      "><part id='a' name='\xC9tag\xE8re' length='5' width='4' thickness='3' face='front' "
      "edge='up'/></piece>";
  project p = project_bytes(latin, sizeof latin - 1);
  expect_good(&p);
  ck_assert_str_eq(p.model->parts[0].name, "\xC3\x89tag\xC3\xA8re");
  project_clear(&p);
}
END_TEST

START_TEST(other_files) {
  refuse_text("<html/>", "not-a-piece");
  refuse_text("<piece version='1' name='x'/>", "not-a-piece");
  refuse_text("<piece xmlns='urn:gluewright:piece:2' version='1' name='x'/>", "not-a-piece");
  refuse_text(HEAD "/><piece/>", "not-xml");
}
END_TEST

START_TEST(large_numbers) {
  project p = project_read("<part id='a' length='99999999999999999999' width='5' thickness='4' "
                           "face='front' edge='up'/>");
  expect_one(&p, "bad-length", 1);
  project_clear(&p);
  p = project_read("<part id='a' length='100000' width='5' thickness='4' face='front' edge='up'/>");
  expect_good(&p);
  project_clear(&p);
  p = project_read("<glue id='a' kind='pva' open='9999 h 99999 min 999999 s'/>"
                   "<part id='a' length='1' width='5' thickness='4' face='front' edge='up'/>");
  expect_good(&p);
  ck_assert_int_eq(p.model->glues[0].open_s, 9999 * 3600 + 99999 * 60 + 999999);
  project_clear(&p);
}
END_TEST

START_TEST(no_such_file) {
  gw_findings *findings = gw_findings_new("x");
  gw_model *model = NULL;
  gw_error err = {0};
  ck_assert_int_eq(gw_read_file("no/such/file.xml", findings, &model, &err), GW_IO);
  ck_assert_ptr_nonnull(strstr(err.words, "no/such/file.xml"));
  ck_assert_int_eq(gw_read_file(".", findings, &model, &err), GW_IO);
  ck_assert_ptr_null(model);
  gw_findings_free(findings);
}
END_TEST

/* ---- shop and glue ---------------------------------------------------------------- */

START_TEST(shop_and_glue) {
  project p = project_read(
      "<shop temperature='-2.5' humidity='40' hands='3' margin='0'>"
      "<clamps kind='sash' count='4' opening='36in' force='2000'/></shop>"
      "<glue id='g' kind='pva' open='1 h 30 min' closed='45 s' clamp='2h' lowest='7.5'/>"
      "<fit kind='mortise-and-tenon' tight='-0.05' loose='0.1'/>"
      "<part id='a' length='5' width='4' thickness='3' face='front' edge='up'/>");
  expect_good(&p);
  const gw_shop *shop = &p.model->shop;
  ck_assert_int_eq(shop->temperature_dc, -25);
  ck_assert_int_eq(shop->humidity_pc, 40);
  ck_assert_int_eq(shop->hands, 3);
  ck_assert_int_eq(shop->margin_pc, 0);
  ck_assert_int_eq(shop->clamps[0].opening, 36 * GW_INCH);
  ck_assert_int_eq(shop->clamps[0].force_n, 2000);
  const gw_glue *glue = &p.model->glues[0];
  ck_assert_int_eq(glue->open_s, 5400);
  ck_assert_int_eq(glue->closed_s, 45);
  ck_assert_int_eq(glue->clamp_s, 7200);
  ck_assert_int_eq(glue->cure_s, -1);
  ck_assert_int_eq(glue->lowest_dc, 75);
  ck_assert_int_eq(p.model->fits[0].tight, -GW_MM / 20);
  project_clear(&p);
}
END_TEST

START_TEST(slopes) {
  static const struct {
    const char *text;
    int hundredths;
  } rows[] = {{"1:8", 800}, {"1:6", 600}, {"1:7.5", 750}, {"1:12", 1200}, {"1:7.25", 725}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    char text[512];
    snprintf(text, sizeof text, "<part id='a' length='5' width='4' thickness='3' face='front' "
             "edge='up'><socket id='s' at='left' slope='%s'/></part>", rows[i].text);
    project p = project_read(text);
    expect_good(&p);
    ck_assert_int_eq(half_of(&p, "a", 0)->slope, rows[i].hundredths);
    project_clear(&p);
  }
}
END_TEST

/* ---- words of the file that change what is read ----------------------------------------- */

START_TEST(two_groups_of_one_name) {
  project p = project_read("<group id='box'><part id='a' " BOARD "/></group>\n"
                           "<group id='box'><part id='b' " BOARD "/></group>");
  expect_one(&p, "id-twice", 2);
  ck_assert_ptr_nonnull(strstr(all_words(&p), "there is a group box already, on line 1"));
  project_clear(&p);
}
END_TEST

/* Flat sawn unless said otherwise. */
START_TEST(how_boards_are_sawn) {
  project p = project_read("<part id='a' " BOARD "/><part id='b' cut='flat' " BOARD "/>"
                           "<part id='c' cut='quarter' " BOARD "/>");
  ck_assert(project_good(&p));
  ck_assert_int_eq(p.model->parts[1].cut, GW_CUT_FLAT);
  ck_assert_int_eq(p.model->parts[2].cut, GW_CUT_QUARTER);
  ck_assert_int_ne(p.model->parts[0].cut, GW_CUT_QUARTER);
  project_clear(&p);
}
END_TEST

START_TEST(marks_and_units_of_the_piece) {
  static const struct { const char *words; bool skip; gw_units units; } rows[] = {
      {"", false, GW_UNITS_MM},
      {" marks='bar' units='mm'", false, GW_UNITS_MM},
      {" marks='skip'", true, GW_UNITS_MM},
      {" units='in'", false, GW_UNITS_INCH}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    char text[512];
    int length = snprintf(text, sizeof text, HEAD "%s><part id='a' " BOARD "/></piece>", rows[i].words);
    project p = project_bytes(text, (size_t)length);
    ck_assert(project_good(&p));
    ck_assert_int_eq(p.model->skip_marks, rows[i].skip);
    ck_assert_int_eq(p.model->units, rows[i].units);
    project_clear(&p);
  }
}
END_TEST

/* Temperatures in whole degrees and tenths, above and below nought. */
START_TEST(degrees) {
  static const struct { const char *text; int tenths; } rows[] = {
      {"18", 180}, {"18.5", 185}, {"-3", -30}, {"-0.5", -5}, {"0", 0}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
    char text[256];
    snprintf(text, sizeof text, "<shop temperature='%s'/><part id='a' " BOARD "/>", rows[i].text);
    project p = project_read(text);
    ck_assert_msg(project_good(&p), "%s: %s", rows[i].text, all_words(&p));
    ck_assert_int_eq(p.model->shop.temperature_dc, rows[i].tenths);
    project_clear(&p);
  }
}
END_TEST

int main(void) {
  Suite *suite = suite_create("read");
  TCase *lengths = tcase_create("lengths");
  tcase_add_loop_test(lengths, inches_are_exact, 0, (int)(sizeof INCHES / sizeof *INCHES));
  tcase_add_test(lengths, millimetres_in_inches);
  tcase_add_test(lengths, ways_to_write_a_length);
  tcase_add_test(lengths, no_lengths);
  tcase_add_test(lengths, lengths_for_people);
  suite_add_tcase(suite, lengths);
  TCase *copies = tcase_create("copies");
  tcase_set_timeout(copies, 30);
  tcase_add_loop_test(copies, copies_turn_and_mirror, 0,
                      (int)(sizeof MAPPINGS / sizeof *MAPPINGS));
  tcase_add_test(copies, copies_take_what_they_state);
  tcase_add_test(copies, sizes_follow_face_and_edge);
  tcase_add_test(copies, what_a_source_lacks_is_said_once);
  tcase_add_test(copies, rings_end);
  tcase_add_test(copies, a_misspelt_source_is_guessed);
  tcase_add_test(copies, long_chains);
  tcase_add_test(copies, groups_bear_their_own_halves);
  tcase_add_test(copies, groups_like_others);
  tcase_add_test(copies, groups_count_their_ways_out);
  suite_add_tcase(suite, copies);
  TCase *lines = tcase_create("lines");
  tcase_add_test(lines, lines_of_tags_over_several_lines);
  tcase_add_test(lines, lines_of_complaints);
  tcase_add_test(lines, lines_beyond_65535);
  suite_add_tcase(suite, lines);
  TCase *harm = tcase_create("harm");
  tcase_add_test(harm, entity_bombs);
  tcase_add_test(harm, the_line_of_a_doctype);
  tcase_add_test(harm, no_text_at_all);
  tcase_add_test(harm, nul_bytes);
  tcase_add_test(harm, deep_nesting);
  tcase_add_test(harm, other_encodings);
  tcase_add_test(harm, other_files);
  tcase_add_test(harm, large_numbers);
  tcase_add_test(harm, no_such_file);
  suite_add_tcase(suite, harm);
  TCase *rest = tcase_create("shop and glue");
  tcase_add_test(rest, shop_and_glue);
  tcase_add_test(rest, slopes);
  tcase_add_test(rest, two_groups_of_one_name);
  tcase_add_test(rest, how_boards_are_sawn);
  tcase_add_test(rest, marks_and_units_of_the_piece);
  tcase_add_test(rest, degrees);
  suite_add_tcase(suite, rest);
  return run_suite(suite);
}
