/* Following a glue-up: times and deadlines from what was really done when. */
#include "cli/following.h"
#include "cli/follow_draw.h"

#include "cli/rehearse.h"
#include "cli/view.h"
#include "project.h"

typedef struct followed {
  gw_job job;
  gw_following f;
} followed;

#define SHELVES \
  "<glue id=\"g\" kind=\"pva\" open=\"600 s\" closed=\"500 s\" clamp=\"30 min\"/>" \
  "<part id=\"left\" length=\"900\" width=\"200\" thickness=\"20\" face=\"left\" edge=\"front\">" \
  "<housing id=\"a\" at=\"right\" from-bottom=\"100\" depth=\"7\"/>" \
  "<housing id=\"b\" at=\"right\" from-bottom=\"500\" depth=\"7\"/></part>" \
  "<part id=\"right\" mirror-of=\"left\"/>" \
  "<part id=\"low\" length=\"614\" width=\"200\" thickness=\"20\" face=\"up\" edge=\"front\">" \
  "<shelf-end at=\"left\" into=\"left/a\"/><shelf-end at=\"right\" into=\"right/a\"/></part>" \
  "<part id=\"high\" like=\"low\" into=\"left/b right/b\"/>"

/* 20 degrees and 50 percent: the label's figures are not moved. */
static void begin(followed *w, const char *shop) {
  static char text[4096];
  *w = (followed){.f = {.count = 0}};
  gw_error err = {0};
  int length = snprintf(text, sizeof text, HEAD ">%s" SHELVES "</piece>", shop);
  gw_job_request request = {
      .path = "test.xml", .bytes = text, .count = (size_t)length, .depth = GW_TIMED};
  ck_assert_int_eq(gw_job_run(&w->job, &request, &err), GW_OK);
  ck_assert_ptr_nonnull(w->job.clock);
  ck_assert_int_eq(gw_following_make(&w->job, &w->f), GW_OK);
}

static void clear(followed *w) {
  gw_following_clear(&w->f);
  gw_job_clear(&w->job);
}

static gw_action action_at(const followed *w, int i) { return w->f.items[i].step->action; }

/* Low and high onto one side, one after the other; the other side on top. */
START_TEST(deadlines_follow_the_hands) {
  followed w;
  begin(&w, "<shop/>");
  gw_following *f = &w.f;
  int stage;
  ck_assert_int_eq(f->count, 8);
  ck_assert(gw_following_waits(f, &stage));
  gw_following_done(f, 10000);
  ck_assert(!gw_following_waits(f, &stage));
  ck_assert_int_eq(action_at(&w, 0), GW_SPREAD);
  /* Faces together 600 s after the first glue; 20 s of them to bring it there. */
  ck_assert_int_eq(gw_following_deadline(f, 0), 10000 + 580000);
  ck_assert_int_eq(gw_following_zero(f, 0), 10000);
  gw_following_done(f, 50000);
  ck_assert_int_eq(action_at(&w, 1), GW_BRING);
  ck_assert_int_eq(gw_following_began(f, 1), 50000);
  ck_assert_int_eq(gw_following_deadline(f, 1), 10000 + 600000);
  gw_following_done(f, 80000);
  while (f->at < 6) gw_following_done(f, 80000 + 10000 * f->at);
  ck_assert_int_eq(action_at(&w, 6), GW_BRING);
  /* Its first spread was step 4, begun when step 3 was done. */
  ck_assert_int_eq(gw_following_deadline(f, 6), f->items[3].done_ms + 600000);
  gw_following_done(f, 200000);
  ck_assert_int_eq(action_at(&w, 7), GW_CLAMP);
  /* The joint together first waits longest for pressure. */
  ck_assert_int_eq(gw_following_deadline(f, 7), 80000 + 500000);
  clear(&w);
}
END_TEST

START_TEST(back_takes_back) {
  followed w;
  begin(&w, "<shop/>");
  gw_following *f = &w.f;
  int stage;
  gw_following_back(f);
  ck_assert(gw_following_waits(f, &stage) && f->at == 0);
  gw_following_done(f, 1000);
  gw_following_done(f, 2000);
  gw_following_done(f, 3000);
  ck_assert_int_eq(f->at, 2);
  gw_following_back(f);
  ck_assert_int_eq(f->at, 1);
  ck_assert(f->items[1].done_ms == -1 && f->items[0].done_ms == 2000);
  gw_following_back(f);
  gw_following_back(f);
  ck_assert(gw_following_waits(f, &stage));
  gw_following_done(f, 9000);
  ck_assert_int_eq(gw_following_began(f, 0), 9000);
  clear(&w);
}
END_TEST

START_TEST(seconds_are_rounded) {
  followed w;
  begin(&w, "<shop/>");
  gw_following *f = &w.f;
  int real[16];
  gw_following_done(f, 1000);
  gw_following_done(f, 31400);
  gw_following_done(f, 52000);
  gw_following_seconds(f, real);
  ck_assert_int_eq(real[0], 30);
  ck_assert_int_eq(real[1], 21);
  for (int i = 2; i < f->count; ++i) ck_assert_int_eq(real[i], -1);
  clear(&w);
}
END_TEST

/* Two people spread at once: each one's time counts from what that one did. */
START_TEST(people_have_their_own_time) {
  followed w;
  begin(&w, "<shop hands=\"2\"/>");
  gw_following *f = &w.f;
  int real[16];
  ck_assert_int_eq(action_at(&w, 0), GW_SPREAD);
  ck_assert_int_eq(action_at(&w, 1), GW_SPREAD);
  ck_assert_int_ne(f->items[0].step->hand, f->items[1].step->hand);
  gw_following_done(f, 0);
  gw_following_done(f, 30000);
  gw_following_done(f, 33000);
  gw_following_seconds(f, real);
  ck_assert_int_eq(real[0], 30);
  ck_assert_int_eq(real[1], 33);
  clear(&w);
}
END_TEST

START_TEST(hours) {
  static const struct { const char *text; int seconds; } good[] = {
      {"14:00", 50400}, {"0:00", 0}, {"7:05", 25500}, {"23:59", 86340}};
  static const char *const bad[] = {"24:00",  "14",    "14:60", "1:5", ":30",
                                    "12:300", "-1:00", "1a:00", ""};
  int seconds;
  for (size_t i = 0; i < sizeof good / sizeof *good; ++i) {
    ck_assert_msg(gw_hour_parse(good[i].text, &seconds), "%s", good[i].text);
    ck_assert_int_eq(seconds, good[i].seconds);
  }
  for (size_t i = 0; i < sizeof bad / sizeof *bad; ++i)
    ck_assert_msg(!gw_hour_parse(bad[i], &seconds), "%s", bad[i]);
  gw_view view = {.start_s = 50400};
  char text[GW_HOUR_TEXT];
  ck_assert_str_eq(gw_hour_text(&view, 0, text, sizeof text), "14:00");
  ck_assert_str_eq(gw_hour_text(&view, 61, text, sizeof text), "14:02");
  ck_assert_str_eq(gw_hour_text(&view, 86400, text, sizeof text), "14:00 the day after");
  ck_assert_str_eq(gw_hour_text(&view, 2 * 86400 + 36000, text, sizeof text), "0:00 in 3 days");
}
END_TEST

/* What the screen shows, without the sequences that draw it. */
static const char *screen_at(const gw_following *f, int64_t now_ms) {
  static char shown[8192];
  size_t used = 0;
  FILE *out = fmemopen(shown, sizeof shown, "w");
  ck_assert_ptr_nonnull(out);
  gw_follow_draw(f, now_ms, 80, out);
  ck_assert_int_eq(fclose(out), 0);
  for (const char *at = shown; *at != '\0'; ++at) {
    if (*at == '\033') {
      while (*at != '\0' && strchr("HJKmhl", *at) == NULL) ++at;
      if (*at == '\0') break;
    } else {
      shown[used++] = *at;
    }
  }
  shown[used] = '\0';
  return shown;
}

static void follow_project(followed *w, const char *path) {
  *w = (followed){.f = {.count = 0}};
  gw_error err = {0};
  gw_job_request request = {.path = path, .depth = GW_TIMED};
  ck_assert_int_eq(gw_job_run(&w->job, &request, &err), GW_OK);
  ck_assert_ptr_nonnull(w->job.clock);
  ck_assert_int_eq(gw_following_make(&w->job, &w->f), GW_OK);
}

/* A frame glued up, then its panel laid in dry: not before the clamps are off. */
START_TEST(clamps_hold_what_is_taken_up) {
  followed w;
  int stage;
  follow_project(&w, "projects/gallery-frame.xml");
  gw_following *f = &w.f;
  const gw_clock *clock = w.job.clock;
  ck_assert_int_eq(clock->n_stages, 2);
  ck_assert_int_gt(clock->stages[0].clamp_s, 0);
  ck_assert_int_eq(gw_following_free(f, 0), -1);
  ck_assert_ptr_null(strstr(screen_at(f, 0), "Clamps come off"));
  gw_following_done(f, 1000);
  while (f->items[f->at].stage == 0) {
    ck_assert_int_eq(gw_following_free(f, 1), -1);
    gw_following_done(f, 10000 * (f->at + 1));
  }
  int64_t last = f->items[f->at - 1].done_ms, off = last + clock->stages[0].clamp_s * (int64_t)1000;
  ck_assert(gw_following_waits(f, &stage) && stage == 1);
  ck_assert_int_eq(gw_following_free(f, 1), off);
  /* An hour of clamping, less five minutes: the last second is not shown as over. */
  ck_assert_int_eq(clock->stages[0].clamp_s, 3600);
  const char *shown = screen_at(f, off - 3300001);
  ck_assert_ptr_nonnull(strstr(shown, "Clamps come off what it takes up in"));
  ck_assert_ptr_nonnull(strstr(shown, "Lay everything ready."));
  ck_assert_ptr_nonnull(strstr(shown, "Stage 2 of 2, dry"));
  ck_assert_ptr_nonnull(strstr(screen_at(f, off - 1), "Clamps come off"));
  ck_assert_ptr_null(strstr(screen_at(f, off), "Clamps come off"));
  gw_following_done(f, off);
  /* Without glue there is no limit. */
  ck_assert_int_eq(gw_following_deadline(f, f->at), -1);
  ck_assert_int_eq(gw_following_zero(f, 1), -1);
  ck_assert_ptr_nonnull(strstr(screen_at(f, off + 2000), "No limit; so far"));
  while (f->at < f->count) gw_following_done(f, off + 50000);
  ck_assert_ptr_nonnull(strstr(screen_at(f, off + 60000), "All steps are done."));
  clear(&w);
}
END_TEST

/* A stage waits for what it takes up only: the drawer's glue holds nobody else. */
START_TEST(only_what_is_taken_up_holds) {
  followed w;
  follow_project(&w, "projects/side-table.xml");
  gw_following *f = &w.f;
  const gw_clock *clock = w.job.clock;
  ck_assert_int_eq(clock->n_stages, 4);
  int64_t now = 0, ended[4] = {-1, -1, -1, -1};
  while (f->at < f->count) {
    int stage = f->items[f->at].stage;
    gw_following_done(f, now += 7000);
    ended[stage] = now;
  }
  /* The table glued; the drawer glued meanwhile; the top laid on dry; the drawer put in. */
  ck_assert_int_ge(clock->stages[1].glue, 0);
  ck_assert_int_eq(clock->stages[2].glue, -1);
  ck_assert_int_eq(gw_following_free(f, 1), -1);
  ck_assert_int_eq(gw_following_free(f, 2), ended[0] + clock->stages[0].clamp_s * (int64_t)1000);
  ck_assert_int_eq(gw_following_free(f, 3), ended[1] + clock->stages[1].clamp_s * (int64_t)1000);
  clear(&w);
}
END_TEST

/* Over its time, the screen says by how much. */
START_TEST(over_its_time) {
  followed w;
  begin(&w, "<shop/>");
  gw_following *f = &w.f;
  gw_following_done(f, 0);
  gw_following_done(f, 30000);
  int64_t by = gw_following_deadline(f, f->at);
  ck_assert_int_eq(by, 600000);
  ck_assert_ptr_nonnull(strstr(screen_at(f, by), "Time left"));
  ck_assert_ptr_null(strstr(screen_at(f, by), "OVER"));
  ck_assert_ptr_nonnull(strstr(screen_at(f, by + 1000), "OVER ITS TIME BY"));
  clear(&w);
}
END_TEST

int main(void) {
  Suite *suite = suite_create("following");
  TCase *c = tcase_create("following");
  tcase_add_test(c, deadlines_follow_the_hands);
  tcase_add_test(c, back_takes_back);
  tcase_add_test(c, seconds_are_rounded);
  tcase_add_test(c, people_have_their_own_time);
  tcase_add_test(c, hours);
  tcase_add_test(c, clamps_hold_what_is_taken_up);
  tcase_add_test(c, only_what_is_taken_up_holds);
  tcase_add_test(c, over_its_time);
  suite_add_tcase(suite, c);
  return run_suite(suite);
}
