/* test_twisted.c - projects whose values have been exchanged at random.  None
 * may upset the program: each is judged, and a piece that is said to go
 * together has its joints where they belong. */
#include "project.h"

#include <stdlib.h>

enum { ROUNDS = 300, MAX_VALUES = 2048, MAX_TEXT = 32768 };

/* A value in the text, between its quotation marks, and its attribute. */
typedef struct value {
  const char *name, *begin;
  int name_length, length;
} value;

static uint32_t next_random(uint32_t *state) {
  *state ^= *state << 13;
  *state ^= *state >> 17;
  return *state ^= *state << 5;
}

static char *read_text(const char *path) {
  FILE *in = fopen(path, "rb");
  ck_assert_ptr_nonnull(in);
  char *text = calloc(MAX_TEXT, 1);
  ck_assert_ptr_nonnull(text);
  size_t length = fread(text, 1, MAX_TEXT - 1, in);
  ck_assert_uint_lt(length, MAX_TEXT - 1);
  fclose(in);
  return text;
}

static int find_values(const char *text, value *values) {
  int count = 0;
  const char *at = strstr(text, "units=");
  ck_assert_ptr_nonnull(at);
  while ((at = strstr(at, "=\"")) != NULL && count < MAX_VALUES) {
    value *v = &values[count++];
    v->name = at;
    while (v->name[-1] != ' ') --v->name;
    v->name_length = (int)(at - v->name);
    v->begin = at + 2;
    v->length = (int)strcspn(v->begin, "\"");
    at = v->begin + v->length + 1;
  }
  return count;
}

static bool same_name(const value *a, const value *b) {
  if (a->name_length >= 5 && b->name_length >= 5 && strncmp(a->name, "from-", 5) == 0)
    return strncmp(b->name, "from-", 5) == 0;
  return a->name_length == b->name_length &&
         strncmp(a->name, b->name, (size_t)a->name_length) == 0;
}

/* Gives one attribute the value that another of the same name has. */
static void twist(const char *text, char *out, uint32_t *state) {
  static value values[MAX_VALUES];
  int count = find_values(text, values);
  const value *to = &values[next_random(state) % (uint32_t)count], *from;
  do from = &values[next_random(state) % (uint32_t)count];
  while (!same_name(to, from));
  int head = (int)(to->begin - text);
  snprintf(out, MAX_TEXT, "%.*s%.*s%s", head, text, from->length, from->begin,
           to->begin + to->length);
}

/* The entering part reaches into the receiving one no deeper than it is cut. */
static void expect_seated(const project *p) {
  for (int i = 0; i < p->model->n_joints; ++i) {
    const gw_seating *s = &p->fit->seatings[i];
    const gw_box box = gw_fit_joint_box(p->fit, p->model, i);
    if (s->style != GW_STRAIGHT) continue;
    gw_len deep = box.hi[s->normal] - box.lo[s->normal];
    ck_assert_msg(deep <= s->depth_r, "joint %d is %f deep in %f", i, gw_len_mm(deep),
                  gw_len_mm(s->depth_r));
  }
}

static void twist_often(const char *path, uint32_t seed) {
  char *text = read_text(path), *changed = calloc(MAX_TEXT, 1), *again = calloc(MAX_TEXT, 1);
  int good = 0, bad = 0;
  ck_assert(changed != NULL && again != NULL);
  for (int round = 0; round < ROUNDS; ++round) {
    twist(text, changed, &seed);
    if (round % 2 == 1) {
      twist(changed, again, &seed);
      strcpy(changed, again);
    }
    project p = project_fit(project_bytes(changed, strlen(changed)));
    ck_assert(p.status == GW_OK || p.status == GW_BAD_INPUT);
    ck_assert(project_good(&p) || gw_findings_count_of(p.findings, GW_ERROR) > 0);
    if (project_good(&p)) expect_seated(&p);
    project_good(&p) ? ++good : ++bad;
    project_clear(&p);
  }
  ck_assert_int_gt(good, 0); /* else the test has looked at nothing */
  ck_assert_int_gt(bad, 0);
  free(text);
  free(changed);
  free(again);
}

START_TEST(twisted) {
  static const char *const paths[] = {"projects/lantern-chest.xml", "projects/pantry-door.xml",
                                      "projects/side-table.xml", "projects/study-bookcase.xml"};
  twist_often(paths[_i], 20240229u + (uint32_t)_i);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("twisted");
  TCase *all = tcase_create("values exchanged");
  tcase_set_timeout(all, 120);
  tcase_add_loop_test(all, twisted, 0, 4);
  suite_add_tcase(suite, all);
  return run_suite(suite);
}
