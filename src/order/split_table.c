/* split_table.c - numbers for groups of up to 64 parts, in order of arrival. */
#include <stdlib.h>

#include "order/split_internal.h"

static size_t slot_of(const gw_split_table *t, uint64_t group) {
  uint64_t h = group * UINT64_C(0x9E3779B97F4A7C15); /* 2^64 over the golden ratio */
  size_t at = (size_t)(h >> 32) & (t->n_slots - 1);
  while (t->slots[at] && t->groups[t->slots[at] - 1] != group) at = (at + 1) & (t->n_slots - 1);
  return at;
}

static gw_status widen(gw_split_table *t) {
  size_t n_slots = t->n_slots ? 2 * t->n_slots : 256;
  int *slots = calloc(n_slots, sizeof(int));
  if (!slots) return GW_NO_MEMORY;
  free(t->slots);
  t->slots = slots;
  t->n_slots = n_slots;
  for (int i = 0; i < t->n; i++) t->slots[slot_of(t, t->groups[i])] = i + 1;
  return GW_OK;
}

int gw_split_table_find(const gw_split_table *t, uint64_t group) {
  return t->n_slots ? t->slots[slot_of(t, group)] - 1 : -1;
}

gw_status gw_split_table_add(gw_split_table *t, uint64_t group) {
  if (t->n >= INT32_MAX / 4) return GW_TOO_LARGE;
  if (2 * ((size_t)t->n + 1) > t->n_slots) GW_TRY(widen(t));
  GW_TRY(gw_grow(&t->groups, &t->room, (size_t)t->n + 1, sizeof *t->groups));
  t->groups[t->n++] = group;
  t->slots[slot_of(t, group)] = t->n;
  return GW_OK;
}

void gw_split_table_clear(gw_split_table *t) {
  free(t->groups);
  free(t->slots);
  *t = (gw_split_table){0};
}
