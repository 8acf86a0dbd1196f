#include "fit/asmade.h"

#include <string.h>

static bool is(const char *words, const char *size) { return strcmp(words, size) == 0; }

/* A tenon gets longer when its shoulder is cut back; what receives gets larger
 * under the chisel; where a half lies is settled once it is cut. */
bool gw_fit_can_cut(const gw_model *m, int half, const char *words, gw_len value, gw_len wanted) {
  bool larger = wanted > value;
  if (half < 0) return !larger;
  if (strncmp(words, "from-", 5) == 0 || is(words, "inset")) return false;
  if (is(words, "lap")) return !larger;
  if (is(words, "depth")) return larger;
  return m->halves[half].enters ? !larger : larger;
}

static const char *tool_for(const char *words) { return is(words, "length") ? "saw" : "plane"; }

/* How a half's size is changed; NULL when it can only be made again. */
static const char *chisel_words(const gw_half *half, const char *words, bool larger) {
  if (is(words, "depth")) {
    if (larger) return half->enters ? "cut the shoulder back by %s at" : "cut %s deeper";
    return half->enters ? NULL : "glue a shim of %s into";
  }
  if (is(words, "lap")) return larger ? NULL : "pare %s off the lap at";
  if (is(words, "thickness") || is(words, "width")) {
    if (half->enters) return larger ? "glue a shim of %s on" : "pare %s off";
    return larger ? "widen by %s" : "glue a shim of %s into";
  }
  return NULL;
}

const char *gw_fit_do_words(gw_arena *arena, const gw_model *m, int part, int half,
                            const char *words, gw_len value, gw_len wanted) {
  char by[GW_LEN_TEXT], is_now[GW_LEN_TEXT], then[GW_LEN_TEXT];
  const char *id = m->parts[part].id;
  bool larger = wanted > value;
  gw_len_text(larger ? wanted - value : value - wanted, m->units, by, sizeof by);
  gw_len_text(value, m->units, is_now, sizeof is_now);
  gw_len_text(wanted, m->units, then, sizeof then);
  if (half < 0 && !larger)
    return gw_arena_printf(arena, "%s %s off the %s of %s (%s to %s)", tool_for(words), by, words, id,
                           is_now, then);
  if (half < 0)
    return gw_arena_printf(arena, "shim %s by %s, or cut it again, its %s %s instead of %s", id, by,
                           words, then, is_now);
  const gw_half *h = &m->halves[half];
  const char *chisel = chisel_words(h, words, larger);
  if (chisel == NULL)
    return gw_arena_printf(arena, "cut %s again, the %s of its %s at the %s %s instead of %s", id,
                           words, h->element, gw_dir_name(h->at), then, is_now);
  const char *at = strchr(chisel, '%') + 2; /* what stands after the amount */
  return gw_arena_printf(arena, "%.*s%s%s the %s at the %s of %s (%s %s to %s)",
                         (int)(at - 2 - chisel), chisel, by, at, h->element, gw_dir_name(h->at), id,
                         words, is_now, then);
}
