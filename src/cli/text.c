/* The order as text: a timed list, or a tree. */
#include "cli/cli.h"

static void write_step(const gw_step *step, FILE *out) {
  char at[GW_TIME_TEXT], by[GW_TIME_TEXT] = "";
  if (step->start_s < 0) snprintf(at, sizeof at, "before");
  else snprintf(at, sizeof at, "T+%s", gw_time_text(step->start_s, by, sizeof by));
  by[0] = '\0';
  if (step->stop_by_s >= 0) gw_time_text(step->stop_by_s, by, sizeof by);
  fprintf(out, "  %-9s %-9s %s%s\n", at, by, step->hands > 1 ? "(two people) " : "", step->words);
}

static void write_stage(const gw_job *job, int index, FILE *out) {
  const gw_stage *stage = &job->clock->stages[index];
  char wet[GW_TIME_TEXT], limit[GW_TIME_TEXT], clamp[GW_TIME_TEXT], apart[GW_TIME_TEXT];
  if (stage->glue < 0) {
    fprintf(out, "\nStage %d, dry\n", index + 1);
  } else {
    const gw_glue_use *use = &job->clock->uses[stage->glue];
    gw_time_text(stage->wet_s, wet, sizeof wet);
    gw_time_text(stage->limit_s, limit, sizeof limit);
    gw_time_text(stage->clamp_s, clamp, sizeof clamp);
    fprintf(out, "\nStage %d, %s: open %s of %s%s, margin %d %%, about %.0f g of glue\n", index + 1,
           use->glue->id, wet, limit, use->typical_open ? " (" GW_GLUE_TYPICAL ")" : "",
           stage->margin_pm / 10, stage->grams);
  }
  fprintf(out, "  %-9s %-9s\n", "at", "done by");
  for (int i = 0; i < stage->n_steps; ++i) write_step(&stage->steps[i], out);
  if (stage->glue < 0) return;
  fprintf(out, "  Last moment to pull apart: T+%s.  In clamps for %s.\n",
         gw_time_text(stage->pull_apart_s, apart, sizeof apart), clamp);
}

gw_status gw_text_order(const gw_job *job, FILE *out) {
  const gw_order *order = job->order;
  fprintf(out, "%s: %d joins", job->model->name, order->n_joins);
  if (order->optimal) fprintf(out, ", the best order there is\n");
  else fprintf(out, ", a good order (cost %lld, none below %lld)\n", (long long)order->cost,
              (long long)order->bound);
  for (int i = 0; i < job->clock->n_stages; ++i) write_stage(job, i, out);
  return ferror(out) ? GW_IO : GW_OK;
}

/* Sub-assemblies, two blanks deeper at each join. */
gw_status gw_text_tree(const gw_job *job, FILE *out) {
  const gw_order *order = job->order;
  for (int i = order->n_joins - 1; i >= 0; --i) {
    int deep = 0;
    for (int up = order->joins[i].parent; up >= 0; up = order->joins[up].parent) ++deep;
    fprintf(out, "%*s%d. %s\n", deep * 2, "", i + 1, order->joins[i].words);
  }
  return ferror(out) ? GW_IO : GW_OK;
}

