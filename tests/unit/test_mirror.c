/* test_mirror.c - whatever holds of a piece holds of its mirror image, in all
 * three directions: places, ways out, faults and their lines. */
#include "project.h"

#include <glob.h>
#include <stdlib.h>

static unsigned six_ways(const gw_freedom *freedom) {
  unsigned ways = 0;
  for (int dir = 0; dir < 6; ++dir) {
    gw_vec d = {{0, 0, 0}};
    d.c[dir / 2] = gw_dir_sign((gw_dir)dir);
    if (gw_freedom_allows(freedom, d)) ways |= 1u << dir;
  }
  return ways;
}

/* Pairs of words that change places when a project is seen in a mirror; ids
 * change with them, which is no harm. */
static const char *const OPPOSITES[3][2][2] = {
    {{"left", "right"}, {"left", "right"}},
    {{"front", "back"}, {"front", "back"}},
    {{"up", "down"}, {"top", "bottom"}},
};

static bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

/* Whether the word at `at` stands in that attribute. */
static bool is_in(const char *text, const char *at, const char *attribute) {
  while (at > text && *at != '"') --at;
  size_t length = strlen(attribute);
  return (size_t)(at - text) >= length && strncmp(at - length, attribute, length) == 0;
}

/* The opposite of the word at `at`, or NULL. */
static const char *opposite(const char *text, const char *at, int axis, size_t *length) {
  if (at > text && is_letter(at[-1])) return NULL;
  if (at - text >= 6 && strncmp(at - 6, "about-", 6) == 0) return NULL; /* half turns stay */
  if (is_in(text, at, " mirrored=")) return NULL;
  /* A splay says where the foot goes: upside down it is the other end, and each
   * side turns into its opposite. */
  if (axis == 2 && is_in(text, at, " splay=")) {
    const char *word = opposite(text, at, 0, length);
    return word != NULL ? word : opposite(text, at, 1, length);
  }
  for (int i = 0; i < 2; ++i)
    for (int k = 0; k < 2; ++k) {
      const char *word = OPPOSITES[axis][i][k];
      *length = strlen(word);
      if (strncmp(at, word, *length) == 0 && !is_letter(at[*length]))
        return OPPOSITES[axis][i][!k];
    }
  return NULL;
}

/* Distances have a sign, which a mirror would turn. */
static void blank_gauges(char *text) {
  for (char *at = strstr(text, "<gauge"); at != NULL; at = strstr(at, "<gauge"))
    memset(at, ' ', strcspn(at, ">") + 1);
}

static project mirrored(const char *path, int axis) {
  enum { ROOM = 65536 };
  char *text = calloc(ROOM, 1), *image = calloc(ROOM, 1), *to = image;
  FILE *in = fopen(path, "rb");
  ck_assert(text != NULL && image != NULL && in != NULL);
  ck_assert_uint_lt(fread(text, 1, ROOM / 2, in), ROOM / 2);
  fclose(in);
  for (const char *at = text; *at != '\0';) {
    size_t length;
    const char *word = opposite(text, at, axis, &length);
    if (word == NULL) {
      *to++ = *at++;
      continue;
    }
    to = stpcpy(to, word);
    at += length;
  }
  blank_gauges(image);
  project p = project_fit(project_bytes(image, (size_t)(to - image)));
  free(text);
  free(image);
  return p;
}

START_TEST(pieces_in_a_mirror) {
  static const char *const paths[] = {"projects/lantern-chest.xml", "projects/pantry-door.xml",
                                      "projects/side-table.xml", "projects/study-bookcase.xml",
                                      "projects/ringers-stool.xml"};
  int axis = _i % 3;
  project p = project_file(paths[_i / 3]), q = mirrored(paths[_i / 3], axis);
  expect_good(&p);
  expect_good(&q);
  for (int i = 0; i < p.model->n_parts; ++i)
    for (int a = 0; a < 3; ++a) {
      const gw_box *one = &p.fit->boxes[i], *two = &q.fit->boxes[i];
      /* Midway between two places is rounded down, in a mirror up: a few units where
       * parts lean, since only they have places that are not round. */
      const gw_len play = p.fit->slants != NULL ? 3 : 0;
      gw_len lo = a == axis ? p.fit->extent[a] - one->hi[a] : one->lo[a];
      gw_len hi = a == axis ? p.fit->extent[a] - one->lo[a] : one->hi[a];
      ck_assert_int_le(llabs(two->lo[a] - lo), play);
      ck_assert_int_le(llabs(two->hi[a] - hi), play);
    }
  for (int i = 0; i < p.model->n_joints; ++i) {
    unsigned one = six_ways(&p.fit->seatings[i].freedom);
    unsigned two = six_ways(&q.fit->seatings[i].freedom);
    unsigned low = (one >> (2 * axis)) & 1, high = (one >> (2 * axis + 1)) & 1;
    one = (one & ~(3u << (2 * axis))) | low << (2 * axis + 1) | high << (2 * axis);
    ck_assert_uint_eq(one, two);
  }
  project_clear(&p);
  project_clear(&q);
}
END_TEST

/* A fault is the same fault in a mirror, on the same line. */
START_TEST(faults_in_a_mirror) {
  glob_t list;
  ck_assert_int_eq(glob("tests/broken/*.xml", 0, NULL, &list), 0);
  ck_assert_uint_gt(list.gl_pathc, 50);
  int looked_at = 0, later = 0;
  for (size_t i = 0; i < list.gl_pathc; ++i) {
    /* A misspelt word has no opposite, and a gauge none of its own. */
    if (strstr(list.gl_pathv[i], "unknown-half") || strstr(list.gl_pathv[i], "gauge")) continue;
    gw_error err;
    project p = {.findings = gw_findings_new("test.xml")};
    p.status = gw_read_file(list.gl_pathv[i], p.findings, &p.model, &err);
    p = project_fit(p);
    if (gw_findings_count(p.findings) == 0) { /* a fault that order or clock finds */
      later++;
      project_clear(&p);
      continue;
    }
    looked_at++;
    project q = mirrored(list.gl_pathv[i], _i);
    ck_assert_int_eq(gw_findings_count(p.findings), 1);
    ck_assert_msg(gw_findings_count(q.findings) == 1, "%s\n%s", list.gl_pathv[i], all_words(&q));
    const gw_finding *one = gw_findings_at(p.findings, 0), *two = gw_findings_at(q.findings, 0);
    ck_assert_str_eq(one->code, two->code);
    ck_assert_msg(one->line == two->line, "%s: %d and %d", list.gl_pathv[i], one->line, two->line);
    project_clear(&p);
    project_clear(&q);
  }
  ck_assert_int_gt(looked_at, 50);
  ck_assert_int_lt(later, 10);
  globfree(&list);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("mirror");
  TCase *all = tcase_create("three mirrors");
  tcase_set_timeout(all, 30);
  tcase_add_loop_test(all, pieces_in_a_mirror, 0, 15);
  tcase_add_loop_test(all, faults_in_a_mirror, 0, 3);
  suite_add_tcase(suite, all);
  return run_suite(suite);
}
