/* mutate.c - changes to project files that leave them readable more often than
 * not, so that the rooms behind the reader are reached: sizes are changed, values
 * exchanged, elements doubled, moved and taken out. */
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"

size_t LLVMFuzzerMutate(uint8_t *data, size_t size, size_t max_size);
size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t max_size, unsigned int seed);

typedef struct span { size_t from, to; } span;

/* The file being changed, as text with room behind it. */
typedef struct draft {
  char *text;
  size_t size, room;
  uint64_t random;
} draft;

static size_t pick(draft *d, size_t count) {
  d->random = d->random * 6364136223846793005u + 1442695040888963407u; /* Knuth, MMIX */
  return count == 0 ? 0 : (size_t)(d->random >> 33) % count;
}

static bool replace(draft *d, span old, const char *with, size_t length) {
  if (d->size - (old.to - old.from) + length > d->room) return false;
  memmove(d->text + old.from + length, d->text + old.to, d->size - old.to);
  memcpy(d->text + old.from, with, length);
  d->size = d->size - (old.to - old.from) + length;
  return true;
}

/* ---- finding things ------------------------------------------------------------ */

/* From `at`: the value of the next attribute, and its name before it. */
static bool next_value(const draft *d, size_t at, span *name, span *value) {
  for (; at + 1 < d->size; ++at) {
    if (d->text[at] != '=' || d->text[at + 1] != '"') continue;
    const char *end = memchr(d->text + at + 2, '"', d->size - at - 2);
    if (end == NULL) return false;
    name->to = at;
    for (name->from = at; name->from > 0 && strchr(" \n\t<", d->text[name->from - 1]) == NULL;)
      --name->from;
    *value = (span){at + 2, (size_t)(end - d->text)};
    return true;
  }
  return false;
}

/* A value somewhere; the file is gone round once. */
static bool any_value(draft *d, span *name, span *value) {
  return next_value(d, pick(d, d->size), name, value) || next_value(d, 0, name, value);
}

static bool same_name(const draft *d, span a, span b) {
  return a.to - a.from == b.to - b.from &&
         memcmp(d->text + a.from, d->text + b.from, a.to - a.from) == 0;
}

/* An element somewhere: one tag that closes itself, or, with its content, one
 * that is closed before another of its name begins. */
static bool any_element(draft *d, span *out) {
  size_t start = pick(d, d->size);
  const char *open = memchr(d->text + start, '<', d->size - start);
  if (open == NULL || open + 1 >= d->text + d->size || open[1] < 'a' || open[1] > 'z') return false;
  size_t from = (size_t)(open - d->text);
  const char *close = memchr(open, '>', d->size - from);
  if (close == NULL) return false;
  out->from = from;
  out->to = (size_t)(close - d->text) + 1;
  if (close[-1] == '/') return true;
  size_t length = strcspn(open + 1, " >\n\t");
  for (size_t at = out->to; at + length + 3 <= d->size; ++at)
    if (d->text[at] == '<' && d->text[at + 1] == '/' &&
        memcmp(d->text + at + 2, open + 1, length) == 0 && d->text[at + 2 + length] == '>') {
      out->to = at + length + 3;
      return true;
    }
  return false;
}

/* ---- changes --------------------------------------------------------------------- */

static void change_number(draft *d, span value) {
  static const char *const odd[] = {"0",   "0.001", "1",    "99999", "100000", "-5", "1/8in",
                                    "3 1/2", "12.7",  "1e3", "0.0625 mm", "1023/1024in", "7"};
  char text[64], old[32] = "";
  size_t length = value.to - value.from;
  if (length < sizeof old) memcpy(old, d->text + value.from, length);
  double number = strtod(old, NULL);
  size_t how = pick(d, 8);
  if (how == 0) snprintf(text, sizeof text, "%s", odd[pick(d, sizeof odd / sizeof *odd)]);
  else if (how == 1) snprintf(text, sizeof text, "%g", number * 2);
  else if (how == 2) snprintf(text, sizeof text, "%g", number / 2);
  else if (how == 3) snprintf(text, sizeof text, "%zu", pick(d, 2000));
  else snprintf(text, sizeof text, "%g", number + (double)pick(d, 21) - 10);
  replace(d, value, text, strlen(text));
}

static void change_word(draft *d, span value) {
  static const char *const words[] = {
      "left", "right", "front", "back", "up", "down", "yes", "no", "in", "mm", "skip", "bar",
      "about-up", "about-right", "left-right", "front-back", "up-down", "quarter", "pva", "hot-hide",
      "epoxy-slow", "8 min", "1 s", "2 h", "1:8", "1:1", "left right", "up down front back",
      "oak, white", "softwood", "spread", "clamp", "mortise-and-tenon", "panel-in-groove"};
  const char *word = words[pick(d, sizeof words / sizeof *words)];
  replace(d, value, word, strlen(word));
}

/* Gives one attribute the value of another of its name. */
static void exchange(draft *d, span name, span value) {
  span other_name, other;
  for (size_t at = pick(d, d->size); next_value(d, at, &other_name, &other); at = other.to) {
    if (!same_name(d, name, other_name) || other.from == value.from) continue;
    char text[256];
    size_t length = other.to - other.from;
    if (length > sizeof text) return;
    memcpy(text, d->text + other.from, length);
    replace(d, value, text, length);
    return;
  }
}

static void add_attribute(draft *d, span value) {
  static const char *const attributes[] = {
      " lap=\"5\"", " inset=\"3\"", " depth=\"10\"", " width=\"20\"", " thickness=\"6\"",
      " from-top=\"5\"", " from-left=\"12\"", " from-front=\"0\"", " glued=\"no\"", " count=\"3\"",
      " slope=\"1:6\"", " through=\"yes\"", " open=\"up\"", " tolerance=\"0.2\"", " turned=\"about-up\"",
      " splay=\"left 7 front 1:9\"", " plumb=\"yes\"",
      " mirrored=\"up-down\"", " density=\"400\"", " cut=\"quarter\"", " copies=\"3\"",
      " units=\"in\"", " hands=\"3\"", " margin=\"90\""};
  const char *text = attributes[pick(d, sizeof attributes / sizeof *attributes)];
  span behind = {value.to + 1, value.to + 1};
  if (behind.to <= d->size) replace(d, behind, text, strlen(text));
}

static void add_rule(draft *d) {
  static const char *const rules[] = {
      "<lay side=\"back\"/>", "<weights align=\"0\" mass=\"100000\"/>",
      "<fit kind=\"mortise-and-tenon\" tight=\"-1\" loose=\"2\"/>",
      "<glue id=\"other\" kind=\"hot-hide\" open=\"1 min\"/>",
      "<rate action=\"spread\" time=\"300 s\"/>", "<rate action=\"clamp\" time=\"1 s\"/>"};
  const char *end = NULL;
  for (const char *at = d->text; (at = memchr(at, '<', d->size - (size_t)(at - d->text))); ++at)
    if ((size_t)(at - d->text) + 7 < d->size && memcmp(at, "</piece", 7) == 0) end = at;
  if (end == NULL) return;
  const char *rule = rules[pick(d, sizeof rules / sizeof *rules)];
  size_t at = (size_t)(end - d->text);
  replace(d, (span){at, at}, rule, strlen(rule));
}

static void double_element(draft *d, bool take_out) {
  span element, before;
  if (!any_element(d, &element)) return;
  size_t length = element.to - element.from;
  char *copy = malloc(length);
  if (copy == NULL) abort();
  memcpy(copy, d->text + element.from, length);
  if (take_out) replace(d, element, "", 0);
  if (any_element(d, &before)) replace(d, (span){before.from, before.from}, copy, length);
  free(copy);
}

static void change(draft *d) {
  span name, value, element;
  size_t how = pick(d, 16);
  if (how < 3) {
    double_element(d, how == 0);
  } else if (how == 3) {
    if (any_element(d, &element)) replace(d, element, "", 0);
  } else if (how == 4) {
    add_rule(d);
  } else if (any_value(d, &name, &value)) {
    bool number = d->text[value.from] >= '0' && d->text[value.from] <= '9';
    if (how == 5) replace(d, (span){name.from, value.to + 1}, "", 0);
    else if (how == 6) add_attribute(d, value);
    else if (how < 11) exchange(d, name, value);
    else if (number) change_number(d, value);
    else change_word(d, value);
  }
}

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t max_size, unsigned int seed) {
  draft d = {(char *)data, size, max_size, seed};
  pick(&d, 1);
  if (size < 64 || pick(&d, 50) == 0) return LLVMFuzzerMutate(data, size, max_size);
  for (size_t i = pick(&d, 3) + 1; i > 0; --i) change(&d);
  return d.size;
}
