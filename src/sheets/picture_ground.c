/* picture_ground.c - what a drawing has put where: a grid of small cells, each
 * with the part that shows there and the length of line drawn through it. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheets/picture_inner.h"

#define CELL 0.5     /* mm */
#define STEP 0.25    /* along a line that is noted, mm */
#define END_MORE 0.8 /* an end of a line counts as so much more of it, mm */

struct gw_ground {
  gw_area area;
  int wide, high;
  short *part;  /* of each cell: which shows; -1 none */
  float *lines; /* of each cell: how much line; mm times weight */
  double *sums; /* once closed: of all cells above and left of a corner */
};

enum { CELLS_MOST = 1 << 21 };

gw_ground *gw_ground_new(gw_area area) {
  double wide = ceil(area.w / CELL) + 1, high = ceil(area.h / CELL) + 1;
  if (!(wide >= 1 && high >= 1 && wide * high < CELLS_MOST)) wide = high = 1;
  gw_ground *g = calloc(1, sizeof *g);
  if (g == NULL) return NULL;
  g->area = area;
  g->wide = (int)wide;
  g->high = (int)high;
  size_t cells = (size_t)g->wide * (size_t)g->high;
  g->part = malloc(cells * sizeof *g->part);
  g->lines = calloc(cells, sizeof *g->lines);
  g->sums = calloc((size_t)(g->wide + 1) * (size_t)(g->high + 1), sizeof *g->sums);
  if (g->part == NULL || g->lines == NULL || g->sums == NULL) {
    gw_ground_free(g);
    return NULL;
  }
  for (size_t i = 0; i < cells; ++i) g->part[i] = -1;
  return g;
}

void gw_ground_free(gw_ground *g) {
  if (g == NULL) return;
  free(g->part);
  free(g->lines);
  free(g->sums);
  free(g);
}

static int column(const gw_ground *g, double x) { return (int)floor((x - g->area.x) / CELL); }
static int row(const gw_ground *g, double y) { return (int)floor((y - g->area.y) / CELL); }

static int clamp(int value, int most) { return value < 0 ? 0 : value > most ? most : value; }

static size_t at(const gw_ground *g, int x, int y) {
  return (size_t)y * (size_t)g->wide + (size_t)x;
}

static bool on_grid(const gw_ground *g, int x, int y) {
  return x >= 0 && y >= 0 && x < g->wide && y < g->high;
}

/* ---- noting ------------------------------------------------------------------------- */

void gw_ground_face(gw_ground *g, const gw_spot *spots, int n, int part) {
  double top = INFINITY, bottom = -INFINITY;
  for (int i = 0; i < n; ++i) {
    top = fmin(top, spots[i].y);
    bottom = fmax(bottom, spots[i].y);
  }
  for (int y = clamp(row(g, top), g->high - 1); n > 2 && y < g->high && y <= row(g, bottom); ++y) {
    double middle = g->area.y + (y + 0.5) * CELL, left = INFINITY, right = -INFINITY;
    for (int i = 0; i < n; ++i) {
      gw_spot a = spots[i], b = spots[(i + 1) % n];
      if ((a.y <= middle) == (b.y <= middle)) continue;
      double x = a.x + (middle - a.y) / (b.y - a.y) * (b.x - a.x);
      left = fmin(left, x);
      right = fmax(right, x);
    }
    if (left > right) continue;
    int to = column(g, right - CELL / 2);
    for (int x = clamp(column(g, left + CELL / 2), g->wide - 1); x < g->wide && x <= to; ++x)
      g->part[at(g, x, y)] = (short)part;
  }
}

static void note(gw_ground *g, gw_spot s, double length) {
  int x = column(g, s.x), y = row(g, s.y);
  if (on_grid(g, x, y)) g->lines[at(g, x, y)] += (float)length;
}

void gw_ground_line(gw_ground *g, gw_spot a, gw_spot b, double weight) {
  double length = hypot(b.x - a.x, b.y - a.y);
  int steps = (int)ceil(length / STEP);
  for (int i = 0; i < steps; ++i) {
    double f = (i + 0.5) / steps;
    note(g, (gw_spot){a.x + f * (b.x - a.x), a.y + f * (b.y - a.y)}, weight * length / steps);
  }
  note(g, a, weight * END_MORE);
  note(g, b, weight * END_MORE);
}

static double *sum(const gw_ground *g, int x, int y) {
  return &g->sums[(size_t)y * (size_t)(g->wide + 1) + (size_t)x];
}

void gw_ground_close(gw_ground *g) {
  for (int y = 0; y < g->high; ++y)
    for (int x = 0; x < g->wide; ++x)
      *sum(g, x + 1, y + 1) = (double)g->lines[at(g, x, y)] + *sum(g, x, y + 1) +
                              *sum(g, x + 1, y) - *sum(g, x, y);
}

/* ---- asking ------------------------------------------------------------------------- */

double gw_ground_lines(const gw_ground *g, gw_area a) {
  int left = clamp(column(g, a.x), g->wide), right = clamp(column(g, a.x + a.w) + 1, g->wide);
  int top = clamp(row(g, a.y), g->high), bottom = clamp(row(g, a.y + a.h) + 1, g->high);
  return fmax(0, *sum(g, right, bottom) - *sum(g, left, bottom) - *sum(g, right, top) +
                     *sum(g, left, top));
}

int gw_ground_part(const gw_ground *g, gw_spot s) {
  int x = column(g, s.x), y = row(g, s.y);
  return on_grid(g, x, y) ? g->part[at(g, x, y)] : -1;
}

double gw_ground_astray(const gw_ground *g, gw_area a, const int own[2]) {
  enum { SIDE = 3 };
  int astray = 0;
  for (int i = 0; i < SIDE * SIDE; ++i) {
    gw_spot s = {a.x + a.w * (0.1 + 0.4 * (i % SIDE)), a.y + a.h * (0.1 + 0.4 * (i / SIDE))};
    int part = gw_ground_part(g, s);
    astray += part >= 0 && part != own[0] && part != own[1];
  }
  return (double)astray / (SIDE * SIDE);
}

/* ---- plain faces -------------------------------------------------------------------- */

static float nearer(const gw_ground *g, const float *room, int x, int y, int dx, int dy) {
  double step = hypot(dx, dy);
  if (!on_grid(g, x + dx, y + dy)) return (float)step;
  size_t here = at(g, x, y), there = at(g, x + dx, y + dy);
  return (float)step + (g->part[here] == g->part[there] ? room[there] : 0);
}

/* For each cell how far it is, in cells, to the next line or to where its part
 * does not show: once forwards and once backwards over the grid. */
static void find_rooms(const gw_ground *g, float *room) {
  static const int before[4][2] = {{-1, 0}, {-1, -1}, {0, -1}, {1, -1}};
  size_t cells = (size_t)g->wide * (size_t)g->high;
  for (size_t i = 0; i < cells; ++i)
    room[i] = g->part[i] < 0 || g->lines[i] > 0 ? 0 : (float)(g->wide + g->high);
  for (int pass = 0; pass < 2; ++pass)
    for (size_t n = 0; n < cells; ++n) {
      size_t i = pass == 0 ? n : cells - 1 - n;
      int x = (int)(i % (size_t)g->wide), y = (int)(i / (size_t)g->wide), sign = pass == 0 ? 1 : -1;
      for (int k = 0; k < 4 && room[i] > 0; ++k)
        room[i] = fminf(room[i], nearer(g, room, x, y, sign * before[k][0], sign * before[k][1]));
    }
}

/* What shows of a part: the middle of its cells, and the cells round it. */
typedef struct heap {
  double x, y, count;
  int left, right, top, bottom;
} heap;

static void find_heaps(const gw_ground *g, heap *heaps) {
  for (int y = 0; y < g->high; ++y)
    for (int x = 0; x < g->wide; ++x) {
      int part = g->part[at(g, x, y)];
      if (part < 0) continue;
      heap *h = &heaps[part];
      if (h->count <= 0) *h = (heap){0, 0, 0, x, x, y, y};
      h->x += x;
      h->y += y;
      h->count += 1;
      h->left = x < h->left ? x : h->left;
      h->right = x > h->right ? x : h->right;
      h->bottom = y;
    }
}

#define APART 9.0 /* spots nearer to each other than this are in each other's way, mm */
#define APART_COST 2.0

/* How far a spot is from the others, mm; no more than APART. */
static double apart_from(const gw_crowd *crowd, gw_spot s) {
  double least = APART;
  for (size_t i = 0; i < crowd->count; ++i)
    least = fmin(least, hypot(crowd->spots[i].x - s.x, crowd->spots[i].y - s.y));
  return least;
}

/* The best cell of a part: as much room as is wanted, and then near to the middle of
 * what shows of it, but not close to other spots. */
static gw_face_spot best_of(const gw_ground *g, const float *room, int part, const heap *h,
                            double enough, const gw_crowd *crowd) {
  gw_face_spot best = {0, {0, 0}};
  double least = INFINITY;
  for (int y = h->top; h->count > 0 && y <= h->bottom; ++y)
    for (int x = h->left; x <= h->right; ++x) {
      size_t i = at(g, x, y);
      double size = fmin(enough, CELL * (double)room[i]);
      if (g->part[i] != part || size <= 0 || size < best.size - 1e-6) continue;
      gw_spot s = {g->area.x + (x + 0.5) * CELL, g->area.y + (y + 0.5) * CELL};
      double cost = CELL * hypot(x - h->x / h->count, y - h->y / h->count);
      bool larger = size > best.size + 1e-6;
      if (!larger && cost - APART_COST * APART >= least) continue;
      cost -= APART_COST * apart_from(crowd, s);
      if (!larger && cost >= least - 1e-6) continue;
      least = cost;
      best = (gw_face_spot){size, s};
    }
  return best;
}

gw_status gw_ground_plainest(const gw_ground *g, double enough, int n_parts, gw_crowd *crowd,
                             gw_face_spot *best) {
  float *room = malloc((size_t)g->wide * (size_t)g->high * sizeof *room);
  heap *heaps = calloc((size_t)n_parts + 1, sizeof *heaps);
  gw_status status = room == NULL || heaps == NULL ? GW_NO_MEMORY : GW_OK;
  if (status == GW_OK) {
    find_rooms(g, room);
    find_heaps(g, heaps);
  }
  for (int part = 0; part < n_parts && status == GW_OK; ++part) {
    best[part] = best_of(g, room, part, &heaps[part], enough, crowd);
    if (best[part].size > 0) crowd->spots[crowd->count++] = best[part].spot;
  }
  free(room);
  free(heaps);
  return status;
}
