/* dryfit.c - the dry-fit sheet: everything that is looked at and measured
 * before the glue is opened, in the order of assembly. */
#include <math.h>
#include <string.h>

#include "sheets/dryfit_inner.h"
#include "sheets/picture.h"

bool gw_dryfit_placed(const gw_dryfit *f) { return f->job->fit != NULL && f->job->fit->placed; }

/* ---- what is set one under the other -------------------------------------------------- */

static const char *copy_words(const gw_dryfit *f) {
  return f->job->model->copies > 1 ? "copy ____" : "";
}

static void page_head(gw_flow *flow, void *data) {
  gw_dryfit *f = data;
  gw_flow_title(flow, f->pages++ > 0 ? "Dry fit, continued" : "Dry fit", f->job->model->name,
                copy_words(f));
  if (flow->page == NULL) return; /* the document has failed */
  if (f->section != NULL) gw_flow_text(flow, GW_TYPE_BOLD(flow->bench), 0, f->section);
  if (f->table >= 0) gw_dryfit_table_head(f, f->table, true);
}

double gw_dryfit_page(const gw_dryfit *f) {
  return f->flow.body.y + f->flow.body.h - f->flow.fresh_y;
}

const char *gw_dryfit_name(gw_dryfit *f, int part) {
  return SAY(f, "%s\xC2\xA0(%s)", f->job->model->parts[part].name,
             gw_session_letter(f->job, part));
}

const char *gw_dryfit_whole(gw_dryfit *f, const char *text) {
  enum { SHORT = 12 };
  const char *space = strrchr(text, ' ');
  if (space == NULL || strlen(space + 1) > SHORT) return text;
  return SAY(f, "%.*s\xC2\xA0%s", (int)(space - text), text, space + 1);
}

void gw_dryfit_tick(gw_dryfit *f, const char *text) {
  gw_flow_tick(&f->flow, gw_flow_bench(&f->flow), gw_dryfit_whole(f, text));
}

void gw_dryfit_begin(gw_dryfit *f, const char *heading, double follows) {
  gw_flow_heading(&f->flow, heading, follows);
  f->section = SAY(f, "%.*s, continued", (int)strcspn(heading, ":"), heading);
}

void gw_dryfit_end(gw_dryfit *f) { f->section = NULL; }

/* Of what is together up to so much of a page nothing goes on the next; of what is more,
 * two lines at least stay together at either end. */
static const double TOGETHER = 0.14;

void gw_dryfit_ticks(gw_dryfit *f, const char *heading, const char *const *texts, int count) {
  double all = 0, first = 0, last = 0;
  for (int i = 0; i < count; ++i) {
    double high = gw_flow_tick_height(&f->flow, gw_flow_bench(&f->flow),
                                      gw_dryfit_whole(f, texts[i]));
    all += high;
    if (i < 2 || count < 4) first += high;
    if (i >= count - 2) last += high;
  }
  bool whole = all < TOGETHER * gw_dryfit_page(f);
  gw_dryfit_begin(f, heading, (whole ? all : first) - f->flow.below);
  for (int i = 0; i < count; ++i) {
    if (i > 0 && i == count - 2) gw_flow_need(&f->flow, last - f->flow.below);
    gw_dryfit_tick(f, texts[i]);
  }
  gw_dryfit_end(f);
}

void gw_dryfit_blanks(gw_dryfit *f, const char *const *labels, int count) {
  gw_flow *flow = &f->flow;
  gw_type type = gw_flow_bench(flow);
  const double indent = 6.5, gap = 5, before = 2;
  double base = flow->y + gw_flow_first_baseline(type) + 1, x = flow->body.x + indent;
  double width = flow->body.w - indent;
  for (int i = 0; i < count; ++i)
    width -= gw_text_width(flow->doc, type, labels[i]) + before + (i > 0 ? gap : 0);
  for (int i = 0; i < count; ++i) {
    gw_text_line(flow->page, x, base, type, GW_ALIGN_LEFT, labels[i]);
    x += gw_text_width(flow->doc, type, labels[i]) + before;
    gw_flow_blank(flow, x, base + 0.8, width / count);
    x += width / count + gap;
  }
  flow->y = base + 2.5;
}

bool gw_dryfit_has_clamps(const gw_dryfit *f) {
  const gw_clock *clock = f->job->clock;
  for (int i = 0; clock != NULL && i < clock->n_stages; ++i)
    if (clock->stages[i].n_pulls > 0) return true;
  return false;
}

static bool any_seat(const gw_dryfit *f, gw_seat seat) {
  for (int i = 0; i < f->job->model->n_joints; ++i)
    if (gw_kind_of(f->job->model->joints[i].kind)->seat == seat) return true;
  return false;
}

static bool any_kind(const gw_dryfit *f, gw_kind kind) {
  for (int i = 0; i < f->job->model->n_joints; ++i)
    if (f->job->model->joints[i].kind == kind) return true;
  return false;
}

/* ---- the whole piece ------------------------------------------------------------------ */

/* More marks than these would hide the piece: the parts' letters alone, then. */
enum { MARKS_IN_PICTURE = 24 };
/* And more parts than these would hide each other's letters. */
enum { LETTERS_IN_PICTURE = 24 };

static bool many_marks(const gw_model *m) { return m->n_parts + m->n_joints > MARKS_IN_PICTURE; }

static void draw_whole(gw_dryfit *f) {
  gw_flow *flow = &f->flow;
  const gw_model *m = f->job->model;
  if (!gw_dryfit_placed(f) || f->job->marks == NULL) return;
  gw_picture picture = {.letters = true, .plain_only = m->n_parts > LETTERS_IN_PICTURE};
  if (!many_marks(m)) {
    picture.joints = f->job->marks->joint_walk;
    picture.n_joints = m->n_joints;
  }
  if (!f->measuring)
    gw_picture_draw(flow->page, (gw_area){flow->body.x, flow->y, flow->body.w, f->picture}, f->job,
                    &picture);
  flow->y += f->picture + 2;
}

static const char *copies_words(gw_dryfit *f) {
  int copies = f->job->model->copies;
  char first[GW_MARK_TEXT], last[GW_MARK_TEXT];
  if (copies <= 1) return "";
  if (gw_mark_set(1, copies, first) != GW_OK || gw_mark_set(copies, copies, last) != GW_OK)
    return SAY(f, " %d copies are made: one sheet for each; write above which.", copies);
  return SAY(f, " %d copies are made: one sheet for each; write above which. The sign behind a "
                "mark tells its copy, from %s for the first to %s for the last.",
             copies, first, last);
}

static void intro(gw_dryfit *f) {
  const gw_model *m = f->job->model;
  bool few = m->n_parts <= LETTERS_IN_PICTURE;
  bool drawn = gw_dryfit_placed(f) && f->job->marks != NULL;
  const char *words = SAY(
      f, "Put everything together without glue, in the order below, and tick each line. "
         "The glue stays shut until the last line of this sheet is signed.%s%s%s%s",
      drawn ? " In the picture a ring marks what is hidden" : "",
      drawn && !few ? "; parts that hardly show have no letter" : "", drawn ? "." : "",
      copies_words(f));
  gw_flow_text(&f->flow, gw_flow_bench(&f->flow), 0, gw_dryfit_whole(f, words));
  if (!gw_dryfit_placed(f))
    gw_flow_box(&f->flow, "Not all is known",
                "The parts could not be placed, so insets, diagonals and clamp openings are left "
                "out of this sheet.");
  else if (f->job->order == NULL)
    gw_flow_box(&f->flow, "Not all is known",
                "There is no order of assembly, so the joints stand in the order of their numbers, "
                "and there is no rehearsal.");
}

/* ---- what to look out for ------------------------------------------------------------- */

typedef enum sort { PLAIN, MIX_UP, MEASURE } sort;

static sort sort_of(const gw_finding *found) {
  if (strcmp(found->code, "mix-up") == 0) return MIX_UP;
  return strcmp(found->code, "gauge") == 0 ? MEASURE : PLAIN;
}

int gw_dryfit_number(const gw_dryfit *f, const gw_finding *asked) {
  int number = 0;
  for (int severity = GW_ERROR; asked->n_joints > 0 && severity <= GW_NOTE; ++severity)
    for (size_t i = 0; i < gw_findings_count(f->job->findings); ++i) {
      const gw_finding *found = gw_findings_at(f->job->findings, i);
      if ((int)found->severity != severity || found->n_joints == 0) continue;
      ++number;
      if (found == asked) return number;
    }
  return 0;
}

/* A sentence with its stop.  Of a mix-up only what could go wrong: why that is bad is
 * said once. */
static const char *finding_words(gw_dryfit *f, const gw_finding *found) {
  const char *words = OR(f, gw_session_finding(f->job, f->flow.arena, found));
  size_t length = strlen(words);
  const char *more = strstr(words, "; ");
  if (sort_of(found) == MIX_UP && more != NULL) length = (size_t)(more - words);
  bool stopped = length > 0 && words[length - 1] == '.';
  int number = gw_dryfit_number(f, found);
  return SAY(f, "%s%s%.*s%s", number > 0 ? SAY(f, "!%d\xC2\xA0", number) : "",
             found->severity == GW_ERROR ? "ERROR: " : "", (int)length, words, stopped ? "" : ".");
}

/* All findings of a sort: the worst first, and what is about no part in particular last. */
static int list_findings(gw_dryfit *f, sort asked, const char **texts) {
  const gw_findings *findings = f->job->findings;
  int count = 0;
  for (int severity = GW_ERROR; findings != NULL && severity <= GW_NOTE; ++severity)
    for (int last = 0; last < 2; ++last)
      for (size_t i = 0; i < gw_findings_count(findings); ++i) {
        const gw_finding *found = gw_findings_at(findings, i);
        bool about_none = asked == MIX_UP && found->n_parts == 0;
        if ((int)found->severity == severity && sort_of(found) == asked && about_none == (last > 0))
          texts[count++] = finding_words(f, found);
      }
  return count;
}

static const char **texts_for_findings(gw_dryfit *f) {
  size_t most = f->job->findings == NULL ? 0 : gw_findings_count(f->job->findings);
  const char **texts = gw_arena_alloc(f->flow.arena, most + 1, sizeof *texts);
  if (texts == NULL) f->flow.no_memory = true;
  return texts;
}

/* Whether a mix-up is spoken of that names no part: how many more there are. */
static bool names_none(const gw_dryfit *f) {
  for (size_t i = 0; i < gw_findings_count(f->job->findings); ++i) {
    const gw_finding *found = gw_findings_at(f->job->findings, i);
    if (sort_of(found) == MIX_UP && found->n_parts == 0) return true;
  }
  return false;
}

static void look_out(gw_dryfit *f) {
  const char **texts = texts_for_findings(f);
  int count = texts == NULL ? 0 : list_findings(f, PLAIN, texts);
  if (count > 0) gw_dryfit_ticks(f, "Look out", texts, count);
  count = texts == NULL ? 0 : list_findings(f, MIX_UP, texts);
  if (count == 0) return;
  gw_type type = gw_flow_bench(&f->flow);
  const char *why = "These would go in wrongly, or begin to, though each joint is fitted to its own "
                    "mate. Write the marks before the dry fit is taken apart.";
  gw_dryfit_begin(f, "Look out: what could be mixed up",
                  gw_text_box_height(f->flow.doc, f->flow.body.w, type, why) + f->flow.below +
                      gw_flow_tick_height(&f->flow, type, texts[0]));
  gw_flow_text(&f->flow, type, 0, why);
  bool more = names_none(f); /* it stands last, and is nothing to tick */
  for (int i = 0; i + more < count; ++i) gw_dryfit_tick(f, texts[i]);
  if (more) gw_flow_text(&f->flow, type, 0, texts[count - 1]);
  gw_dryfit_end(f);
}

/* ---- the whole and what lies ready ---------------------------------------------------- */

static void measures(gw_dryfit *f) {
  static const char *const label[] = {"found"};
  const char **texts = texts_for_findings(f);
  int count = texts == NULL ? 0 : list_findings(f, MEASURE, texts);
  if (count == 0) return;
  const double blanks = 7;
  gw_type type = gw_flow_bench(&f->flow);
  gw_dryfit_begin(f, "Measures that the project asks for",
                  gw_flow_tick_height(&f->flow, type, texts[0]) + blanks);
  for (int i = 0; i < count; ++i) {
    gw_flow_need(&f->flow, gw_flow_tick_height(&f->flow, type, texts[i]) + blanks);
    gw_dryfit_tick(f, texts[i]);
    gw_dryfit_blanks(f, label, 1);
  }
  gw_dryfit_end(f);
}

/* Marks of the joints that stay without glue. */
static const char *dry_joints(gw_dryfit *f) {
  const gw_model *m = f->job->model;
  char mark[GW_MARK_SHOWN];
  const char *text = "";
  for (int i = 0; i < m->n_joints; ++i) {
    int joint = f->job->marks ? f->job->marks->joint_walk[i] : i;
    if (m->joints[joint].glued) continue;
    text = SAY(f, "%s%s%s", text, text[0] ? ", " : "", gw_session_joint(f->job, joint, mark));
  }
  return text;
}

static void whole(gw_dryfit *f) {
  const char *texts[4], *dry = dry_joints(f);
  int count = 0;
  texts[count++] = "Not in wind: two straight strips laid across it, sighted one over the other, "
                   "are parallel.";
  if (any_seat(f, GW_SHOULDER))
    texts[count++] = "No gap at any shoulder that takes a strip of thin paper.";
  if (dry[0] != '\0')
    texts[count++] = SAY(f, "Stay%s without glue: joint%s %s. No glue may reach there%s.",
                         strchr(dry, ',') ? "" : "s", strchr(dry, ',') ? "s" : "", dry,
                         any_seat(f, GW_FLOAT) ? "; panels move by hand" : "");
  texts[count++] = "It comes apart again, part by part, in the opposite order.";
  gw_dryfit_ticks(f, "The whole, standing dry", texts, count);
}

typedef struct texts {
  const char **all;
  int count, room;
} texts;

static void add_text(texts *t, const char *words) {
  if (t->count < t->room) t->all[t->count++] = words;
}

static void stage_clamps(gw_dryfit *f, texts *t, int index) {
  const gw_stage *stage = &f->job->clock->stages[index];
  int clamps = 0;
  for (int i = 0; i < stage->n_pulls; ++i) {
    clamps += stage->pulls[i].count;
    add_text(t, SAY(f, "Stage %d: %s; tried once in place, then laid ready", index + 1,
                    OR(f, gw_session_clamps(f->job, f->flow.arena, &stage->pulls[i]))));
  }
  if (clamps > 0)
    add_text(t, SAY(f, "Stage %d: %d cauls %s thick%s", index + 1, 2 * clamps,
                    OR(f, gw_session_length(f->job, f->flow.arena, GW_CAUL)),
                    OR(f, gw_session_tapers(f->job, f->flow.arena, stage))));
}

static void stage_glue(gw_dryfit *f, texts *t, int index) {
  const gw_stage *stage = &f->job->clock->stages[index];
  if (stage->glue < 0) return;
  const gw_glue_use *use = &f->job->clock->uses[stage->glue];
  add_text(t, SAY(f, "Stage %d: %s, \"%s\", %d g", index + 1, use->kind->words, use->glue->id,
                  gw_session_pot_grams(stage->grams)));
}

/* Tools that go two in a line; the first two are for glue. */
static void tools(gw_dryfit *f) {
  bool glue = f->job->model->n_glues > 0;
  const char *const things[] = {
      "water and two rags", any_kind(f, GW_MORTISE_TENON) ? "brush, and a stick for the mortises"
                                                          : "brush or spreader",
      "mallet and a block", "square and tape measure", "pencil", "clock in sight"};
  gw_flow_row row = {.columns = 2};
  for (int i = glue ? 0 : 2; i < 6; ++i)
    gw_flow_tick_in(&f->flow, &row, gw_flow_bench(&f->flow), things[i]);
  gw_flow_row_end(&f->flow, &row);
}

static void ready(gw_dryfit *f) {
  const gw_clock *clock = f->job->clock;
  texts t = {0};
  for (int i = 0; clock != NULL && i < clock->n_stages; ++i) t.room += clock->stages[i].n_pulls + 2;
  t.all = gw_arena_alloc(f->flow.arena, (size_t)t.room + 1, sizeof *t.all);
  if (t.all == NULL) f->flow.no_memory = true;
  for (int i = 0; clock != NULL && t.all != NULL && i < clock->n_stages; ++i) {
    stage_clamps(f, &t, i);
    stage_glue(f, &t, i);
  }
  gw_type type = gw_flow_bench(&f->flow);
  const double last = 45; /* the tools and what stands under them */
  double high = last;
  for (int i = 0; i < t.count; ++i) high += gw_flow_tick_height(&f->flow, type, t.all[i]);
  gw_dryfit_begin(f, "Ready for the glue", high < f->look.keep * gw_dryfit_page(f) ? high : 20);
  for (int i = 0; i < t.count; ++i) gw_dryfit_tick(f, t.all[i]);
  tools(f);
  gw_dryfit_tick(f, "Every joint's number and every part's letter stand where neither glue nor "
                    "another part hides them.");
  gw_dryfit_tick(f, "What will be hard to reach is cleaned up, and finished where wanted; no "
                    "finish on what is glued.");
  gw_dryfit_end(f);
}

/* ---- the box to sign ------------------------------------------------------------------ */

static void sign_off(gw_dryfit *f) {
  gw_flow *flow = &f->flow;
  if (f->job->draft) {
    gw_flow_gap(flow, 4);
    gw_flow_box(flow, "This piece will not mate: do not open the glue.",
                "Put the project right, print the sheets again, and throw these away.");
    return;
  }
  gw_flow_need(flow, GW_DRYFIT_SIGN_HIGH + GW_DRYFIT_SIGN_GAP);
  gw_flow_gap(flow, GW_DRYFIT_SIGN_GAP);
  gw_area area = {flow->body.x, flow->y, flow->body.w, GW_DRYFIT_SIGN_HIGH};
  gw_draw_area(flow->page, GW_PEN_THICK, area);
  gw_text_line(flow->page, area.x + 3, area.y + 8.5, GW_TYPE_BOLD(18), GW_ALIGN_LEFT,
               "All is ticked: the glue may be opened.");
  gw_type type = gw_flow_bench(flow);
  double base = area.y + 19;
  static const char *const words[2] = {"name", "date"};
  for (int i = 0; i < 2; ++i) {
    double x = area.x + 3 + i * area.w * 0.6, label = gw_text_width(flow->doc, type, words[i]) + 2;
    gw_text_line(flow->page, x, base, type, GW_ALIGN_LEFT, words[i]);
    gw_flow_blank(flow, x + label, base + 0.8, area.w * (i == 0 ? 0.6 : 0.4) - label - 9);
  }
  flow->y += GW_DRYFIT_SIGN_HIGH;
}

/* ---- the sheet ------------------------------------------------------------------------ */

/* Loose, and tighter for a sheet that would else run over onto a page more. */
static const gw_dryfit_look LOOKS[] = {{8.2, 2.5, 1.2, 0.45},
                                       {8.2, 2.5, 1.2, 0},
                                       {7.6, 2.0, 0.8, 0.3},
                                       {7.6, 2.0, 0.8, 0},
                                       {7.0, 1.6, 0.4, 0}};
enum { N_LOOKS = sizeof LOOKS / sizeof *LOOKS };
/* Heights of the picture. */
static const double PICTURES[] = {150, 140, 130, 120, 110, 100, 92};
enum { N_PICTURES = sizeof PICTURES / sizeof *PICTURES };

static gw_status draw(const gw_sheets_job *job, gw_doc *doc, const gw_dryfit_look *look,
                      double picture, bool measuring, int *pages) {
  gw_dryfit f = {.job = job, .look = *look, .picture = picture, .measuring = measuring,
                 .table = -1};
  if (!gw_flow_begin(&f.flow, doc, "Dry fit")) return GW_NO_MEMORY;
  f.flow.head = page_head;
  f.flow.data = &f;
  f.flow.above = look->above;
  f.flow.below = look->below;
  gw_flow_page(&f.flow);
  intro(&f);
  draw_whole(&f);
  look_out(&f);
  gw_dryfit_lengths(&f);
  gw_dryfit_joints(&f);
  gw_dryfit_square(&f);
  measures(&f);
  whole(&f);
  ready(&f);
  gw_dryfit_rehearsal(&f);
  sign_off(&f);
  *pages = f.pages;
  return gw_flow_end(&f.flow);
}

/* The height at which the picture is as wide as the page: more is white. */
static double highest_picture(const gw_sheets_job *job, double width) {
  if (job->fit == NULL || !job->fit->placed) return PICTURES[0];
  gw_len lo[3] = {INT64_MAX, INT64_MAX, INT64_MAX}, hi[3] = {INT64_MIN, INT64_MIN, INT64_MIN};
  for (int i = 0; i < job->model->n_parts; ++i) {
    gw_box box = gw_fit_around(job->fit, i);
    for (int axis = 0; axis < 3; ++axis) {
      if (box.lo[axis] < lo[axis]) lo[axis] = box.lo[axis];
      if (box.hi[axis] > hi[axis]) hi[axis] = box.hi[axis];
    }
  }
  double level = gw_len_mm(hi[0] - lo[0]) + gw_len_mm(hi[1] - lo[1]);
  double wide = level / sqrt(2), high = (level + 2 * gw_len_mm(hi[2] - lo[2])) / sqrt(6);
  const double margins = 20;
  return wide <= 0 ? PICTURES[0] : (width - margins) * high / wide + margins;
}

typedef struct choice {
  int look;
  double picture;
} choice;

/* Of all ways to set the sheet, the loosest with the largest picture that needs the fewest
 * pages.  `scratch` takes the pages that are set to find out. */
static gw_status choose(const gw_sheets_job *job, gw_doc *scratch, choice *out) {
  double most = highest_picture(job, gw_doc_body(scratch).w);
  double least = fmin(most, PICTURES[N_PICTURES - 1]);
  int pages, fewest, look = 0;
  GW_TRY(draw(job, scratch, &LOOKS[N_LOOKS - 1], least, true, &fewest));
  for (;; ++look) { /* the last one takes the fewest */
    GW_TRY(draw(job, scratch, &LOOKS[look], least, true, &pages));
    if (pages <= fewest || look == N_LOOKS - 1) break;
  }
  *out = (choice){look, least};
  for (int i = 0; i < N_PICTURES && out->picture == least; ++i) {
    bool white = i + 1 < N_PICTURES && PICTURES[i + 1] >= most; /* beside the picture */
    if (white || PICTURES[i] <= least) continue;
    double picture = fmin(PICTURES[i], most);
    GW_TRY(draw(job, scratch, &LOOKS[look], picture, true, &pages));
    if (pages <= fewest) out->picture = picture;
  }
  return GW_OK;
}

static gw_status draw_best(const gw_sheets_job *job, gw_doc *doc, gw_error *err) {
  /* Of so many parts a sheet set twice and more takes too long, and a page saved is
   * nothing. */
  enum { FEW = 150 };
  choice chosen = {0, 120};
  int pages;
  if (job->model->n_parts <= FEW) {
    gw_doc *scratch = gw_sheets_open(job, "Dry fit", err);
    if (scratch == NULL) return err != NULL ? err->status : GW_INTERNAL;
    gw_status status = choose(job, scratch, &chosen);
    const gw_error *failure = gw_doc_failure(scratch);
    if (status == GW_OK && failure != NULL)
      status = gw_fail(err, failure->status, "%s", failure->words);
    gw_doc_free(scratch);
    GW_TRY(status);
  }
  return draw(job, doc, &LOOKS[chosen.look], chosen.picture, false, &pages);
}

gw_status gw_sheets_dry_fit(const gw_sheets_job *job, const char *path, gw_error *err) {
  gw_doc *doc = gw_sheets_open(job, "Dry fit", err);
  if (doc == NULL) return err != NULL ? err->status : GW_INTERNAL;
  gw_status status = draw_best(job, doc, err);
  if (status == GW_NO_MEMORY) gw_fail(err, status, "memory is short");
  if (status == GW_OK) status = gw_doc_save(doc, path, err);
  gw_doc_free(doc);
  return status;
}
