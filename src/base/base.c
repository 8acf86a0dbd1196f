#include "base/base.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

/* ---- status ---------------------------------------------------------------- */

gw_status gw_fail(gw_error *err, gw_status status, const char *format, ...) {
  if (err != NULL) {
    va_list args;
    va_start(args, format);
    err->status = status;
    vsnprintf(err->words, sizeof err->words, format, args);
    va_end(args);
  }
  return status;
}

/* ---- memory ------------------------------------------------------------------ */

/* Blocks are chained newest first; `used` counts bytes in the newest. */
typedef struct block {
  struct block *older;
  size_t size, used;
  max_align_t data[];
} block;

struct gw_arena {
  block *newest;
};

/* Blocks double from the least to the most, so that many small texts take few. */
enum { BLOCK_LEAST = 64 * 1024, BLOCK_MOST = 1024 * 1024 };

gw_arena *gw_arena_new(void) { return calloc(1, sizeof(gw_arena)); }

void gw_arena_free(gw_arena *arena) {
  if (arena == NULL) return;
  for (block *b = arena->newest; b != NULL;) {
    block *older = b->older;
    free(b);
    b = older;
  }
  free(arena);
}

void *gw_arena_alloc(gw_arena *arena, size_t count, size_t size) {
  const size_t align = sizeof(max_align_t);
  if (size != 0 && count > (SIZE_MAX / 2) / size) return NULL;
  size_t bytes = count * size;
  if (bytes == 0) bytes = 1;
  bytes = (bytes + align - 1) / align * align;
  block *b = arena->newest;
  if (b == NULL || b->size - b->used < bytes) {
    size_t room = b == NULL ? BLOCK_LEAST : b->size < BLOCK_MOST / 2 ? 2 * b->size : BLOCK_MOST;
    if (room < bytes) room = bytes;
    b = malloc(sizeof *b + room);
    if (b == NULL) return NULL;
    b->size = room;
    b->used = 0;
    b->older = arena->newest;
    arena->newest = b;
  }
  char *at = (char *)b->data + b->used;
  b->used += bytes;
  memset(at, 0, bytes);
  return at;
}

char *gw_arena_text_n(gw_arena *arena, const char *text, size_t length) {
  char *copy = gw_arena_alloc(arena, length + 1, 1);
  if (copy != NULL) memcpy(copy, text, length);
  return copy;
}

char *gw_arena_text(gw_arena *arena, const char *text) {
  return gw_arena_text_n(arena, text, strlen(text));
}

char *gw_arena_printf(gw_arena *arena, const char *format, ...) {
  va_list args, again;
  va_start(args, format);
  va_copy(again, args);
  int length = vsnprintf(NULL, 0, format, args);
  va_end(args);
  char *text = length < 0 ? NULL : gw_arena_alloc(arena, (size_t)length + 1, 1);
  if (text != NULL) vsnprintf(text, (size_t)length + 1, format, again);
  va_end(again);
  return text;
}

gw_status gw_grow(void *items, size_t *capacity, size_t need, size_t size) {
  if (need <= *capacity) return GW_OK;
  size_t wanted = *capacity < 8 ? 8 : *capacity + *capacity / 2;
  if (wanted < need) wanted = need;
  if (wanted > (SIZE_MAX / 2) / size) return GW_NO_MEMORY;
  void *old;
  memcpy(&old, items, sizeof old);
  char *grown = realloc(old, wanted * size);
  if (grown == NULL) return GW_NO_MEMORY;
  memset(grown + *capacity * size, 0, (wanted - *capacity) * size);
  memcpy(items, &grown, sizeof grown);
  *capacity = wanted;
  return GW_OK;
}

/* ---- lengths ------------------------------------------------------------------- */

/* Digits up to a limit that keeps every later product inside int64. */
static const char *read_whole(const char **at, int64_t *out) {
  int64_t value = 0;
  while (**at >= '0' && **at <= '9') {
    value = value * 10 + (**at - '0');
    if (value > 100000000) return "is far too large";
    ++*at;
  }
  *out = value;
  return NULL;
}

static int64_t round_divide(int64_t number, int64_t by) {
  return (number + by / 2) / by;
}

static const char *skip_blanks(const char *at) {
  while (*at == ' ' || *at == '\t' || *at == '\n' || *at == '\r') ++at;
  return at;
}

/* A number as whole part plus numerator / denominator. */
typedef struct mixed {
  int64_t whole, top, bottom;
} mixed;

static const char *read_decimals(const char **at, mixed *number) {
  int kept = 0;
  for (; **at >= '0' && **at <= '9'; ++*at) {
    if (kept++ >= 9) continue; /* finer than any unit: dropped */
    number->top = number->top * 10 + (**at - '0');
    number->bottom *= 10;
  }
  return kept == 0 ? "ends in a decimal point without figures" : NULL;
}

static const char *read_fraction(const char **at, mixed *number) {
  const char *wrong = read_whole(at, &number->top);
  if (wrong) return wrong;
  if (**at != '/') return "is not a length";
  ++*at;
  if (**at < '0' || **at > '9') return "has a fraction without its lower figure";
  wrong = read_whole(at, &number->bottom);
  if (wrong) return wrong;
  if (number->bottom == 0) return "divides by nought";
  if (number->bottom > 1024 || number->top > 100000)
    return "has a finer fraction than 1/1024";
  return NULL;
}

static const char *read_mixed(const char **at, mixed *number) {
  *number = (mixed){0, 0, 1};
  if (**at < '0' || **at > '9') return "is not a length";
  const char *start = *at;
  const char *wrong = read_whole(at, &number->whole);
  if (wrong) return wrong;
  if (**at == '.') {
    ++*at;
    return read_decimals(at, number);
  }
  if (**at == '/') {
    *at = start;
    number->whole = 0;
    return read_fraction(at, number);
  }
  const char *next = skip_blanks(*at);
  if (next != *at && *next >= '0' && *next <= '9') {
    *at = next;
    return read_fraction(at, number);
  }
  return NULL;
}

const char *gw_len_parse(const char *text, gw_units units, gw_len *out) {
  const char *at = skip_blanks(text);
  bool minus = *at == '-';
  if (minus) ++at;
  mixed number;
  const char *wrong = read_mixed(&at, &number);
  if (wrong) return wrong;
  at = skip_blanks(at);
  gw_len unit = units == GW_UNITS_INCH ? GW_INCH : GW_MM;
  if (strncmp(at, "mm", 2) == 0) {
    unit = GW_MM;
    at += 2;
  } else if (strncmp(at, "in", 2) == 0) {
    unit = GW_INCH;
    at += 2;
  } else if (*at == '"') {
    unit = GW_INCH;
    at += 1;
  }
  if (*skip_blanks(at) != '\0')
    return "is not a length (write 412, 412.5 mm or 16 1/4in)";
  gw_len value = number.whole * unit + round_divide(number.top * unit, number.bottom);
  if (value > GW_LEN_MAX) return "is longer than 100 m";
  *out = minus ? -value : value;
  return NULL;
}

static void text_mm(gw_len size, const char *sign, char *buffer, size_t room) {
  int64_t thousandths = round_divide(size * 1000, GW_MM);
  if (thousandths == 0) sign = "";
  int length = snprintf(buffer, room, "%s%lld.%03lld", sign, (long long)(thousandths / 1000),
                        (long long)(thousandths % 1000));
  while (length > 0 && buffer[length - 1] == '0') buffer[--length] = '\0';
  if (length > 0 && buffer[length - 1] == '.') buffer[--length] = '\0';
}

static void text_inch(gw_len size, const char *sign, char *buffer, size_t room) {
  int64_t parts = round_divide(size * 64, GW_INCH), bottom = 64;
  int64_t whole = parts / 64, top = parts % 64;
  if (parts == 0) sign = "";
  while (top != 0 && top % 2 == 0) {
    top /= 2;
    bottom /= 2;
  }
  if (top == 0)
    snprintf(buffer, room, "%s%lld", sign, (long long)whole);
  else if (whole == 0)
    snprintf(buffer, room, "%s%lld/%lld", sign, (long long)top, (long long)bottom);
  else
    snprintf(buffer, room, "%s%lld %lld/%lld", sign, (long long)whole, (long long)top,
             (long long)bottom);
}

gw_len gw_len_fine(gw_len length, gw_units units) {
  const gw_len step = units == GW_UNITS_MM ? GW_MM / 10 : GW_INCH / 64, half = step / 2;
  return (length + (length < 0 ? -half : half)) / step * step;
}

char *gw_len_text(gw_len length, gw_units units, char *buffer, size_t size) {
  const char *sign = length < 0 ? "-" : "";
  gw_len magnitude = length < 0 ? -length : length;
  if (units == GW_UNITS_INCH)
    text_inch(magnitude, sign, buffer, size);
  else
    text_mm(magnitude, sign, buffer, size);
  return buffer;
}

double gw_len_mm(gw_len length) { return (double)length / (double)GW_MM; }

/* ---- directions ------------------------------------------------------------------ */

const char *gw_dir_name(gw_dir dir) {
  static const char *const names[] = {"left", "right", "front", "back", "down", "up", "nowhere"};
  return names[dir <= GW_NO_DIR ? dir : GW_NO_DIR];
}

/* ---- ids ---------------------------------------------------------------------------- */

enum { NEAR_MAX = 48 };

/* Levenshtein distance of two short words. */
static size_t edit_distance(const char *a, const char *b) {
  size_t la = strlen(a), lb = strlen(b), row[NEAR_MAX + 1];
  if (la > NEAR_MAX || lb > NEAR_MAX) return SIZE_MAX;
  for (size_t j = 0; j <= lb; ++j) row[j] = j;
  for (size_t i = 1; i <= la; ++i) {
    size_t corner = row[0];
    row[0] = i;
    for (size_t j = 1; j <= lb; ++j) {
      size_t best = corner + (a[i - 1] != b[j - 1]);
      if (row[j] + 1 < best) best = row[j] + 1;
      if (row[j - 1] + 1 < best) best = row[j - 1] + 1;
      corner = row[j];
      row[j] = best;
    }
  }
  return row[lb];
}

int gw_nearest(const char *word, const char *const *words, size_t count) {
  size_t limit = strlen(word) / 3 + 1, best = limit + 1;
  int found = -1;
  for (size_t i = 0; i < count; ++i) {
    size_t distance = edit_distance(word, words[i]);
    if (distance < best) {
      best = distance;
      found = (int)i;
    }
  }
  return found;
}

/* Open addressing; capacity is a power of two, at most half full. */
struct gw_names {
  struct slot {
    const char *text;
    size_t hash;
    int number;
  } *slots;
  size_t capacity, used;
};

gw_names *gw_names_new(void) { return calloc(1, sizeof(gw_names)); }

void gw_names_free(gw_names *names) {
  if (names == NULL) return;
  free(names->slots);
  free(names);
}

static size_t hash_text(const char *text) {
  uint64_t hash = 1469598103934665603u; /* FNV-1a, 64 bit */
  for (; *text != '\0'; ++text) hash = (hash ^ (unsigned char)*text) * 1099511628211u;
  return (size_t)(hash ^ (hash >> 32));
}

static struct slot *find_slot(const gw_names *names, const char *text, size_t hash) {
  size_t mask = names->capacity - 1, at = hash & mask;
  const struct slot *slots = names->slots;
  while (slots[at].text != NULL && (slots[at].hash != hash || strcmp(slots[at].text, text) != 0))
    at = (at + 1) & mask;
  return &names->slots[at];
}

static gw_status widen(gw_names *names) {
  gw_names wide = {NULL, names->capacity ? names->capacity * 2 : 64, names->used};
  wide.slots = calloc(wide.capacity, sizeof *wide.slots);
  if (wide.slots == NULL) return GW_NO_MEMORY;
  for (size_t i = 0; i < names->capacity; ++i)
    if (names->slots[i].text != NULL)
      *find_slot(&wide, names->slots[i].text, names->slots[i].hash) = names->slots[i];
  free(names->slots);
  *names = wide;
  return GW_OK;
}

gw_status gw_names_add(gw_names *names, const char *text, int number) {
  if ((names->used + 1) * 2 > names->capacity) GW_TRY(widen(names));
  size_t hash = hash_text(text);
  struct slot *slot = find_slot(names, text, hash);
  if (slot->text != NULL) return GW_BAD_INPUT;
  *slot = (struct slot){text, hash, number};
  names->used++;
  return GW_OK;
}

int gw_names_find(const gw_names *names, const char *text) {
  if (names->capacity == 0) return -1;
  const struct slot *slot = find_slot(names, text, hash_text(text));
  return slot->text == NULL ? -1 : slot->number;
}
