/* How far joints go in, as the parts stand: checked by hand from the sizes in the
 * projects. */
#include "sheets/goes_in.h"

#include "sheet_probe.h"

#define MM(n) ((gw_len)((n) * GW_MM))

static int joint_of(const probe *p, const char *entering, const char *receiving, int nth) {
  const gw_model *m = p->job.model;
  for (int i = 0; i < m->n_joints; ++i)
    if (strcmp(m->parts[gw_joint_enters(m, &m->joints[i])].id, entering) == 0 &&
        strcmp(m->parts[gw_joint_receives(m, &m->joints[i])].id, receiving) == 0 && nth-- == 0)
      return i;
  ck_abort_msg("no joint of %s into %s", entering, receiving);
  return -1;
}

/* Words with plain spaces for the hard ones. */
static void check(const probe *p, int joint, gw_len in, gw_len deep, gw_len room,
                  const char *words) {
  gw_depths d = gw_goes_in(&p->sheets, joint);
  ck_assert_int_eq(d.in, in);
  ck_assert_int_eq(d.deep, deep);
  ck_assert_int_eq(d.room, room);
  gw_arena *arena = gw_arena_new();
  const char *said = gw_goes_in_words(&p->sheets, arena, joint);
  ck_assert_ptr_nonnull(said);
  char plain[128];
  size_t used = 0;
  for (const char *at = said; *at != '\0' && used + 1 < sizeof plain; ++at)
    if ((unsigned char)*at != 0xC2) plain[used++] = (unsigned char)*at == 0xA0 ? ' ' : *at;
  plain[used] = '\0';
  ck_assert_str_eq(plain, words);
  gw_arena_free(arena);
}

/* Panels of 384 between stiles 370 apart, of 653 and 518 in openings of 635 and 500. */
START_TEST(panels_less_deep_than_their_grooves) {
  probe p = probe_open("projects/pantry-door.xml");
  const char *sides = "goes in 7 mm, groove 10 mm deep: 3 mm room";
  const char *ends = "goes in 9 mm, groove 10 mm deep: 1 mm room";
  check(&p, joint_of(&p, "upper", "hinge", 0), MM(7), MM(10), MM(3), sides);
  check(&p, joint_of(&p, "lower", "shut", 0), MM(7), MM(10), MM(3), sides);
  check(&p, joint_of(&p, "upper", "top", 0), MM(9), MM(10), MM(1), ends);
  check(&p, joint_of(&p, "lower", "bottom", 0), MM(9), MM(10), MM(1), ends);
  probe_close(&p);
  p = probe_open("projects/lantern-chest.xml"); /* 732 x 392 in 720 x 380 */
  check(&p, joint_of(&p, "bottom", "left", 0), MM(6), MM(8), MM(2),
        "goes in 6 mm, groove 8 mm deep: 2 mm room");
  check(&p, joint_of(&p, "bottom", "front", 0), MM(6), MM(8), MM(2),
        "goes in 6 mm, groove 8 mm deep: 2 mm room");
  probe_close(&p);
}
END_TEST

/* Glass of 344 x 444 in rebates 8 wide round an opening of 330 x 430. */
START_TEST(boards_in_rebates) {
  probe p = probe_open("projects/gallery-frame.xml");
  check(&p, joint_of(&p, "pack", "left", 0), MM(7), MM(8), MM(1),
        "goes in 7 mm, rebate 8 mm wide: 1 mm room");
  probe_close(&p);
  p = probe_open("projects/study-bookcase.xml");
  check(&p, joint_of(&p, "top", "left", 0), MM(10), MM(10), 0, "goes in 10 mm");
  check(&p, joint_of(&p, "back", "right", 0), MM(7.5), MM(8), MM(0.5),
        "goes in 7.5 mm, rebate 8 mm wide: 0.5 mm room");
  check(&p, joint_of(&p, "high", "left", 0), MM(7), MM(7), 0, "goes in 7 mm");
  probe_close(&p);
}
END_TEST

START_TEST(shoulders_stop_at_their_length) {
  probe p = probe_open("tests/pieces/wharf-stool-inch.xml");
  check(&p, joint_of(&p, "rail", "left", 0), MM(12.7), MM(12.7) + GW_MM * 254 / 160,
        0, "goes in 1/2 in, mortise 9/16 in deep");
  check(&p, joint_of(&p, "left", "top", 0), MM(12.7), 0, 0, "goes in 1/2 in");
  probe_close(&p);
  p = probe_open("projects/coat-rack.xml");
  check(&p, joint_of(&p, "top", "middle", 0), MM(14), 0, 0, "goes in 14 mm");
  probe_close(&p);
  p = probe_open("projects/bench-top.xml");
  check(&p, 0, 0, 0, 0, "");
  probe_close(&p);
}
END_TEST

/* Without places it is said how far the halves would go, and nothing of room. */
START_TEST(without_places) {
  probe p = probe_open("projects/pantry-door.xml");
  gw_fit unplaced = *p.job.fit;
  unplaced.placed = false;
  p.sheets.fit = &unplaced;
  check(&p, joint_of(&p, "upper", "hinge", 0), MM(10), MM(10), 0,
        "goes in 10 mm");
  probe_close(&p);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("goes_in");
  TCase *c = tcase_create("goes_in");
  tcase_set_timeout(c, 60);
  tcase_add_test(c, panels_less_deep_than_their_grooves);
  tcase_add_test(c, boards_in_rebates);
  tcase_add_test(c, shoulders_stop_at_their_length);
  tcase_add_test(c, without_places);
  suite_add_tcase(suite, c);
  SRunner *runner = srunner_create(suite);
  srunner_run_all(runner, CK_ENV);
  int failed = srunner_ntests_failed(runner);
  srunner_free(runner);
  return failed > 0;
}
