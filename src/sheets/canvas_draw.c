/* canvas_draw.c - lines, shapes, arrows, tick boxes, the ruler. */
#include "sheets/canvas_inner.h"

#include <math.h>

/* Dashes in whole points (libharu takes no others), for a line of 0.25 mm:
 * 12 d = 8.5 pt, 24 d = 17 pt, gaps of 3 d = 2.1 pt, a dot. */
static void set_dash(HPDF_Page pdf, gw_stroke stroke) {
  static const HPDF_UINT16 dashed[2] = {9, 2}, chain[4] = {17, 2, 1, 2};
  if (stroke == GW_STROKE_DASHED) HPDF_Page_SetDash(pdf, dashed, 2, 0);
  else if (stroke == GW_STROKE_CHAIN) HPDF_Page_SetDash(pdf, chain, 4, 0);
  else HPDF_Page_SetDash(pdf, NULL, 0, 0);
}

/* Whether the page can be drawn on; then the pen is taken up. */
static bool take_pen(gw_page *page, const char *call, gw_pen pen) {
  if (!gw_canvas_open(page)) return false;
  if (!gw_canvas_in_range(page->doc, call, "width of line", pen.width, 0.05, 20) ||
      !gw_canvas_in_range(page->doc, call, "grey", pen.grey, 0, 1))
    return false;
  HPDF_Page_SetLineWidth(page->pdf, gw_canvas_x(pen.width));
  HPDF_Page_SetGrayStroke(page->pdf, (HPDF_REAL)pen.grey);
  HPDF_Page_SetLineJoin(page->pdf, HPDF_MITER_JOIN);
  set_dash(page->pdf, pen.stroke);
  return true;
}

static bool take_grey(gw_page *page, const char *call, double grey) {
  if (!gw_canvas_open(page) || !gw_canvas_in_range(page->doc, call, "grey", grey, 0, 1))
    return false;
  HPDF_Page_SetGrayFill(page->pdf, (HPDF_REAL)grey);
  return true;
}

/* ---- outlines ------------------------------------------------------------------ */

void gw_draw_line(gw_page *page, gw_pen pen, double x1, double y1, double x2, double y2) {
  const gw_spot spots[2] = {{x1, y1}, {x2, y2}};
  gw_draw_polyline(page, pen, spots, 2, false);
}

/* Puts a path on the page; every spot is checked before the first is set,
 * since a path once begun must be ended. */
static bool trace(gw_page *page, const char *call, const gw_spot *spots, size_t count) {
  for (size_t i = 0; i < count; i++)
    if (!gw_canvas_on_page(page, call, spots[i].x, spots[i].y)) return false;
  for (size_t i = 0; i < count; i++) {
    HPDF_REAL x = gw_canvas_x(spots[i].x), y = gw_canvas_y(page, spots[i].y);
    if (i == 0) HPDF_Page_MoveTo(page->pdf, x, y);
    else HPDF_Page_LineTo(page->pdf, x, y);
  }
  return true;
}

void gw_draw_polyline(gw_page *page, gw_pen pen, const gw_spot *spots, size_t count,
                      bool closed) {
  const char *call = "gw_draw_polyline";
  if (count < 2 || !take_pen(page, call, pen) || !trace(page, call, spots, count)) return;
  if (closed) HPDF_Page_ClosePathStroke(page->pdf);
  else HPDF_Page_Stroke(page->pdf);
}

void gw_draw_area(gw_page *page, gw_pen pen, gw_area a) {
  if (!gw_canvas_open(page) || !gw_canvas_area_on_page(page, "gw_draw_area", a)) return;
  const gw_spot corners[4] = {
      {a.x, a.y}, {a.x + a.w, a.y}, {a.x + a.w, a.y + a.h}, {a.x, a.y + a.h}};
  gw_draw_polyline(page, pen, corners, 4, true);
}

static bool circle_on_page(gw_page *page, const char *call, double x, double y, double radius) {
  return gw_canvas_in_range(page->doc, call, "radius", radius, 0, 500) &&
         gw_canvas_on_page(page, call, x - radius, y - radius) &&
         gw_canvas_on_page(page, call, x + radius, y + radius);
}

void gw_draw_circle(gw_page *page, gw_pen pen, double x, double y, double radius) {
  const char *call = "gw_draw_circle";
  if (!take_pen(page, call, pen) || !circle_on_page(page, call, x, y, radius)) return;
  HPDF_Page_Circle(page->pdf, gw_canvas_x(x), gw_canvas_y(page, y), gw_canvas_x(radius));
  HPDF_Page_Stroke(page->pdf);
}

/* ---- filled -------------------------------------------------------------------------- */

void gw_fill_polygon(gw_page *page, double grey, const gw_spot *spots, size_t count) {
  const char *call = "gw_fill_polygon";
  if (count < 3 || !take_grey(page, call, grey) || !trace(page, call, spots, count)) return;
  HPDF_Page_Fill(page->pdf);
}

void gw_fill_polygons(gw_page *page, double grey, const gw_spot *spots, const size_t *counts,
                      size_t polygons) {
  const char *call = "gw_fill_polygons";
  size_t total = 0;
  if (polygons == 0 || !take_grey(page, call, grey)) return;
  for (size_t i = 0; i < polygons; i++) total += counts[i];
  for (size_t i = 0; i < total; i++)
    if (!gw_canvas_on_page(page, call, spots[i].x, spots[i].y)) return;
  for (size_t i = 0, at = 0; i < polygons; at += counts[i++]) {
    if (counts[i] < 3 || !trace(page, call, spots + at, counts[i])) continue;
    HPDF_Page_ClosePath(page->pdf);
  }
  HPDF_Page_Fill(page->pdf);
}

void gw_fill_area(gw_page *page, double grey, gw_area area) {
  const char *call = "gw_fill_area";
  if (!take_grey(page, call, grey) || !gw_canvas_area_on_page(page, call, area)) return;
  HPDF_Page_Rectangle(page->pdf, gw_canvas_x(area.x), gw_canvas_y(page, area.y + area.h),
                      gw_canvas_x(area.w), gw_canvas_x(area.h));
  HPDF_Page_Fill(page->pdf);
}

void gw_fill_circle(gw_page *page, double grey, double x, double y, double radius) {
  const char *call = "gw_fill_circle";
  if (!take_grey(page, call, grey) || !circle_on_page(page, call, x, y, radius)) return;
  HPDF_Page_Circle(page->pdf, gw_canvas_x(x), gw_canvas_y(page, y), gw_canvas_x(radius));
  HPDF_Page_Fill(page->pdf);
}

/* ---- arrows, boxes, the ruler ------------------------------------------------------------ */

void gw_draw_arrow(gw_page *page, gw_pen pen, double x1, double y1, double x2, double y2,
                   double head) {
  if (!gw_canvas_open(page) || !gw_canvas_on_page(page, "gw_draw_arrow", x1, y1) ||
      !gw_canvas_on_page(page, "gw_draw_arrow", x2, y2) ||
      !gw_canvas_in_range(page->doc, "gw_draw_arrow", "head", head, 0.1, 200))
    return;
  double length = hypot(x2 - x1, y2 - y1);
  if (length <= 0) return;
  if (head > length) head = length;
  double ux = (x2 - x1) / length, uy = (y2 - y1) / length, half = 0.35 * head;
  double nx = x2 - head * ux, ny = y2 - head * uy; /* where the shaft meets the head */
  const gw_spot tip[3] = {{x2, y2}, {nx - half * uy, ny + half * ux},
                          {nx + half * uy, ny - half * ux}};
  if (head < length) gw_draw_line(page, pen, x1, y1, nx, ny);
  gw_fill_polygon(page, pen.grey, tip, 3);
}

void gw_draw_tick_box(gw_page *page, double x, double y, double side) {
  gw_draw_area(page, (gw_pen){GW_STROKE_FULL, 0.4, 0}, (gw_area){x, y, side, side});
}

void gw_draw_ruler(gw_page *page, double x, double y) {
  gw_draw_line(page, GW_PEN_THIN, x, y, x + 100, y);
  for (int i = 0; i <= 10; i++) {
    double tick = i % 5 == 0 ? 3 : 2;
    gw_draw_line(page, GW_PEN_THIN, x + 10 * i, y, x + 10 * i, y - tick);
  }
  gw_text_fit(page, x, y + 4, 100, GW_TYPE(8), 6, GW_ALIGN_LEFT, GW_RULER_WORDS);
}
