#include "model/model.h"

#include <stdlib.h>
#include <string.h>

/* The short words of kinds.def, in force in this file only. */
#define STRAIGHT GW_STRAIGHT
#define CORNER GW_CORNER
#define CROSS GW_CROSS
#define EITHER GW_EITHER
#define SHOULDER GW_SHOULDER
#define FLOOR GW_FLOOR
#define FACE GW_FACE
#define FLOAT GW_FLOAT
#define OUT GW_OUT
#define AWAY GW_AWAY
#define RUN GW_RUN
#define HALF GW_HALF
#define MITRE GW_MITRE_WAY
#define KEY GW_KEY
#define EACH GW_EACH
#define FIVE GW_FIVE
#define SPAN GW_SPAN
#define METRE GW_METRE

static const gw_kind_row rows[GW_KINDS] = {
#define KIND(symbol, ...) {__VA_ARGS__},
#include "model/kinds.def"
#undef KIND
};

const gw_kind_row *gw_kind_of(gw_kind kind) { return &rows[kind]; }

gw_kind gw_kind_pair(const char *entering, const char *receiving) {
  for (int i = 0; i < GW_KINDS; ++i)
    if (strcmp(rows[i].entering, entering) == 0 && strcmp(rows[i].receiving, receiving) == 0)
      return (gw_kind)i;
  return GW_NO_KIND;
}

bool gw_kind_enters(const char *element) {
  for (int i = 0; i < GW_KINDS; ++i)
    if (strcmp(rows[i].entering, element) == 0) return true;
  return false;
}

gw_model *gw_model_new(const char *file) {
  gw_model *model = calloc(1, sizeof *model);
  if (model == NULL) return NULL;
  model->arena = gw_arena_new();
  if (model->arena != NULL) model->file = gw_arena_text(model->arena, file);
  if (model->file == NULL) {
    gw_model_free(model);
    return NULL;
  }
  model->copies = 1;
  model->lay = GW_DOWN;
  model->weights = (gw_weights){-1, -1, -1, -1, -1, -1, -1, -1, -1};
  model->shop = (gw_shop){
      .temperature_dc = 200, .humidity_pc = 50, .driest_pc = 35, .dampest_pc = 65, .hands = 1, .margin_pc = 25};
  return model;
}

void gw_model_free(gw_model *model) {
  if (model == NULL) return;
  gw_arena_free(model->arena);
  free(model);
}
