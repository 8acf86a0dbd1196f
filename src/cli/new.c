/* `gluewright new`: a project file to start from, which already closes. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"
#include "cli/files.h"
#include "model/model.h"

/* Outside sizes in millimetres: left to right, front to back, bottom to top. */
typedef struct outside {
  int x, y, z;
} outside;

static const char head[] =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<!-- Seen from the front: left to right, front to back, bottom to top.  Sizes are overall,\n"
    "     tails and tenons included.  `gluewright check` says what does not fit. -->\n"
    "<piece xmlns=\"urn:gluewright:piece:1\" version=\"1\" name=\"%s\" units=\"mm\">\n"
    "  <!-- Your shop: degrees Celsius, humidity in percent, people at the bench, your clamps. -->\n"
    "  <shop temperature=\"20\" humidity=\"50\" hands=\"%d\">\n"
    "    <clamps kind=\"sash\" count=\"%d\" opening=\"%d\" force=\"2000\"/>\n"
    "  </shop>\n"
    "  <!-- Your glue: put in what the label says; it wins over the typical figures. -->\n"
    "  <glue id=\"bottle\" kind=\"%s\"/>\n\n";

static int largest(outside s) {
  int most = s.x > s.y ? s.x : s.y;
  return most > s.z ? most : s.z;
}

/* Many joints that close at once take two people and a slow glue. */
static void write_head(FILE *out, const char *name, outside s, bool large) {
  fprintf(out, head, name, large ? 2 : 1, large ? 10 : 6, largest(s) + 100,
          large ? "slow-pva" : "pva");
}

static int tails_for(int width) {
  enum { MOST = 99 }; /* as the schema has it */
  int count = width / 50;
  return count < 2 ? 2 : count > MOST ? MOST : count;
}

static void write_box(FILE *out, outside s) {
  int t = largest(s) > 500 ? 20 : 14, tails = tails_for(s.z);
  write_head(out, "Dovetailed box", s, false);
  fprintf(out,
          "  <!-- The pin boards.  Their ends receive the tails; the bottom lies dry in a groove. -->\n"
          "  <part id=\"front\" name=\"Front\" length=\"%d\" width=\"%d\" thickness=\"%d\" face=\"front\" edge=\"up\">\n"
          "    <socket id=\"left\" at=\"left\"/>\n"
          "    <socket id=\"right\" at=\"right\"/>\n"
          "    <groove id=\"floor\" at=\"back\" from-bottom=\"10\" thickness=\"6\" depth=\"6\"/>\n"
          "  </part>\n"
          "  <!-- Turned half round about the upright axis, its left end stands at the right. -->\n"
          "  <part id=\"back\" name=\"Back\" like=\"front\" turned=\"about-up\"/>\n\n"
          "  <!-- The tail boards. -->\n"
          "  <part id=\"left\" name=\"Left side\" length=\"%d\" width=\"%d\" thickness=\"%d\" face=\"left\" edge=\"up\">\n"
          "    <tail at=\"front\" into=\"front/left\" count=\"%d\" slope=\"1:8\"/>\n"
          "    <tail at=\"back\" into=\"back/right\" count=\"%d\" slope=\"1:8\"/>\n"
          "    <groove id=\"floor\" at=\"right\" from-bottom=\"10\" thickness=\"6\" depth=\"6\"/>\n"
          "  </part>\n"
          "  <part id=\"right\" name=\"Right side\" mirror-of=\"left\" into=\"front/right back/left\"/>\n\n",
          s.x, s.z, t, s.y, s.z, t, tails, tails);
  fprintf(out,
          "  <!-- A millimetre short of the grooves' floors all round. -->\n"
          "  <part id=\"bottom\" name=\"Bottom\" length=\"%d\" width=\"%d\" thickness=\"6\" face=\"up\" edge=\"front\">\n"
          "    <panel-edge at=\"front\" into=\"front/floor\"/>\n"
          "    <panel-edge at=\"back\" into=\"back/floor\"/>\n"
          "    <panel-edge at=\"left\" into=\"left/floor\"/>\n"
          "    <panel-edge at=\"right\" into=\"right/floor\"/>\n"
          "  </part>\n"
          "</piece>\n",
          s.x - 2 * t + 10, s.y - 2 * t + 10);
}

static void write_door(FILE *out, outside s) {
  write_head(out, "Frame-and-panel door", s, false);
  fprintf(out,
          "  <!-- Stiles: mortises for the rails, a groove for the panel. -->\n"
          "  <part id=\"left\" name=\"Left stile\" length=\"%d\" width=\"60\" thickness=\"20\" face=\"front\" edge=\"right\">\n"
          "    <mortise id=\"top\" at=\"right\" from-top=\"10\" width=\"40\" thickness=\"7\" depth=\"41\"/>\n"
          "    <mortise id=\"bottom\" at=\"right\" from-bottom=\"10\" width=\"60\" thickness=\"7\" depth=\"41\"/>\n"
          "    <groove id=\"panel\" at=\"right\" thickness=\"6\" depth=\"10\"/>\n"
          "  </part>\n"
          "  <part id=\"right\" name=\"Right stile\" mirror-of=\"left\"/>\n\n",
          s.z);
  fprintf(out,
          "  <!-- Rails: 40 mm tenons at both ends, 10 mm shoulders above and below. -->\n"
          "  <part id=\"top\" name=\"Top rail\" length=\"%d\" width=\"60\" thickness=\"20\" face=\"front\" edge=\"down\">\n"
          "    <tenon at=\"left\" into=\"left/top\" from-top=\"10\" depth=\"40\"/>\n"
          "    <tenon at=\"right\" into=\"right/top\" from-top=\"10\" depth=\"40\"/>\n"
          "    <groove id=\"panel\" at=\"down\" thickness=\"6\" depth=\"10\"/>\n"
          "  </part>\n"
          "  <part id=\"bottom\" name=\"Bottom rail\" length=\"%d\" width=\"80\" thickness=\"20\" face=\"front\" edge=\"up\">\n"
          "    <tenon at=\"left\" into=\"left/bottom\" from-bottom=\"10\" depth=\"40\"/>\n"
          "    <tenon at=\"right\" into=\"right/bottom\" from-bottom=\"10\" depth=\"40\"/>\n"
          "    <groove id=\"panel\" at=\"up\" thickness=\"6\" depth=\"10\"/>\n"
          "  </part>\n\n",
          s.x - 40, s.x - 40);
  fprintf(out,
          "  <!-- The panel lies dry, with room to move across the grain. -->\n"
          "  <part id=\"panel\" name=\"Panel\" length=\"%d\" width=\"%d\" thickness=\"6\" face=\"front\" edge=\"left\">\n"
          "    <panel-edge at=\"left\" into=\"left/panel\"/>\n"
          "    <panel-edge at=\"right\" into=\"right/panel\"/>\n"
          "    <panel-edge at=\"up\" into=\"top/panel\"/>\n"
          "    <panel-edge at=\"down\" into=\"bottom/panel\"/>\n"
          "  </part>\n"
          "</piece>\n",
          s.z - 140 + 18, s.x - 120 + 14);
}

/* Aprons stand 4.5 mm in from the outer faces of the legs; their tenons keep
 * clear of each other inside the leg. */
static void write_table(FILE *out, outside s) {
  const int over = 20, leg = 45, top = 20;
  write_head(out, "Table", s, false);
  fprintf(out,
          "  <!-- Legs: the mortise is 10 mm in from the outer face. -->\n"
          "  <part id=\"front-left\" name=\"Front left leg\" length=\"%d\" width=\"%d\" thickness=\"%d\" face=\"front\" edge=\"left\">\n"
          "    <mortise id=\"side\" at=\"right\" from-front=\"10\" from-top=\"10\" width=\"80\" thickness=\"9\" depth=\"26\"/>\n"
          "    <mortise id=\"end\" at=\"back\" from-left=\"10\" from-top=\"10\" width=\"80\" thickness=\"9\" depth=\"26\"/>\n"
          "  </part>\n"
          "  <part id=\"front-right\" name=\"Front right leg\" mirror-of=\"front-left\"/>\n"
          "  <part id=\"back-left\" name=\"Back left leg\" mirror-of=\"front-left\" mirrored=\"front-back\"/>\n"
          "  <part id=\"back-right\" name=\"Back right leg\" mirror-of=\"back-left\"/>\n\n",
          s.z - top, leg, leg);
  fprintf(out,
          "  <!-- Aprons: 25 mm tenons. -->\n"
          "  <part id=\"front\" name=\"Front apron\" length=\"%d\" width=\"100\" thickness=\"20\" face=\"front\" edge=\"up\">\n"
          "    <tenon at=\"left\" into=\"front-left/side\" depth=\"25\" from-top=\"10\"/>\n"
          "    <tenon at=\"right\" into=\"front-right/side\" depth=\"25\" from-top=\"10\"/>\n"
          "    <butt at=\"up\" into=\"top/front\" glued=\"no\"/>\n"
          "  </part>\n"
          "  <part id=\"back\" name=\"Back apron\" mirror-of=\"front\" mirrored=\"front-back\" into=\"back-left/side back-right/side top/back\"/>\n"
          "  <part id=\"left\" name=\"Left apron\" length=\"%d\" width=\"100\" thickness=\"20\" face=\"left\" edge=\"up\">\n"
          "    <tenon at=\"front\" into=\"front-left/end\" depth=\"25\" from-top=\"10\"/>\n"
          "    <tenon at=\"back\" into=\"back-left/end\" depth=\"25\" from-top=\"10\"/>\n"
          "  </part>\n"
          "  <part id=\"right\" name=\"Right apron\" mirror-of=\"left\" into=\"front-right/end back-right/end\"/>\n\n",
          s.x - 2 * over - 2 * leg + 50, s.y - 2 * over - 2 * leg + 50);
  fprintf(out,
          "  <!-- The top is held by buttons, dry, so that it can move. -->\n"
          "  <part id=\"top\" name=\"Top\" length=\"%d\" width=\"%d\" thickness=\"%d\" face=\"up\" edge=\"front\">\n"
          "    <butt-face id=\"front\" at=\"down\" from-left=\"%d\" from-front=\"24.5\"/>\n"
          "    <butt-face id=\"back\" at=\"down\" from-left=\"%d\" from-back=\"24.5\"/>\n"
          "  </part>\n"
          "</piece>\n",
          s.x, s.y, top, over + leg - 25, over + leg - 25);
}

/* Legs of 34 mm that stand 25 mm in from the edges of the seat at their tops; what
 * lies between them is reckoned midway up it. */
static void write_stool(FILE *out, outside s) {
  enum { LEG = 34, SEAT = 26, IN = 25, APRON = 70, TENON = 18, ACROSS = 7, DEEP = 5 };
  const int32_t lean[2] = {gw_lean_of_degrees(100 * ACROSS), gw_lean_of_degrees(100 * DEEP)};
  const gw_part leg = {.face = GW_FRONT, .edge = GW_LEFT, .lean = {lean[0], lean[1]}};
  const int stub[2] = {22, 14}, size[2] = {s.x, s.y};
  double from[2], length[2];
  for (int axis = 0; axis < 2; ++axis) {
    double level = gw_len_mm(gw_part_stands(&leg, axis, LEG * GW_MM));
    double outwards = gw_len_mm(gw_lean_shift(lean[axis], APRON * GW_MM / 2));
    from[axis] = round(10 * (IN + (level - stub[axis]) / 2)) / 10;
    length[axis] = size[axis] - 2 * (from[axis] + stub[axis] / 2.0 + level / 2 - outwards) + 2 * TENON;
  }
  write_head(out, "Stool", s, false);
  fprintf(out,
          "  <!-- Legs splayed both ways.  Their length is plumb; the labels give it along the leg.\n"
          "       The tenons are cut plumb, so that the seat can go on last, straight down. -->\n"
          "  <part id=\"front-left\" name=\"Front left leg\" length=\"%d\" width=\"%d\" thickness=\"%d\" face=\"front\" edge=\"left\" splay=\"left %d front %d\">\n"
          "    <tenon at=\"up\" into=\"seat/fl\" thickness=\"%d\" width=\"%d\" depth=\"%d\" plumb=\"yes\"/>\n"
          "    <mortise id=\"side\" at=\"right\" thickness=\"8\" from-front=\"6\" from-top=\"28\"/>\n"
          "    <mortise id=\"end\" at=\"back\" thickness=\"8\" from-left=\"6\" from-top=\"28\"/>\n"
          "  </part>\n"
          "  <part id=\"front-right\" name=\"Front right leg\" mirror-of=\"front-left\" into=\"seat/fr\"/>\n"
          "  <part id=\"back-left\" name=\"Back left leg\" mirror-of=\"front-left\" mirrored=\"front-back\" into=\"seat/bl\"/>\n"
          "  <part id=\"back-right\" name=\"Back right leg\" mirror-of=\"back-left\" into=\"seat/br\"/>\n\n",
          s.z - SEAT + TENON, LEG, LEG, ACROSS, DEEP, stub[1], stub[0], TENON);
  fprintf(out,
          "  <!-- Aprons lean with the legs; their length is that midway up them. -->\n"
          "  <part id=\"front\" name=\"Front apron\" length=\"%.1f\" width=\"%d\" thickness=\"18\" face=\"front\" edge=\"up\" splay=\"front %d\">\n"
          "    <tenon at=\"left\" into=\"front-left/side\" width=\"50\" from-front=\"5\" from-top=\"10\" depth=\"%d\"/>\n"
          "    <tenon at=\"right\" into=\"front-right/side\" width=\"50\" from-front=\"5\" from-top=\"10\" depth=\"%d\"/>\n"
          "  </part>\n"
          "  <part id=\"back\" name=\"Back apron\" mirror-of=\"front\" mirrored=\"front-back\" into=\"back-left/side back-right/side\"/>\n"
          "  <part id=\"left\" name=\"Left apron\" length=\"%.1f\" width=\"%d\" thickness=\"18\" face=\"left\" edge=\"up\" splay=\"left %d\">\n"
          "    <tenon at=\"front\" into=\"front-left/end\" width=\"50\" from-left=\"5\" from-top=\"10\" depth=\"%d\"/>\n"
          "    <tenon at=\"back\" into=\"back-left/end\" width=\"50\" from-left=\"5\" from-top=\"10\" depth=\"%d\"/>\n"
          "  </part>\n"
          "  <part id=\"right\" name=\"Right apron\" mirror-of=\"left\" into=\"front-right/end back-right/end\"/>\n\n",
          length[0], APRON, DEEP, TENON, TENON, length[1], APRON, ACROSS, TENON, TENON);
  fprintf(out, "  <part id=\"seat\" name=\"Seat\" length=\"%d\" width=\"%d\" thickness=\"%d\" face=\"up\" edge=\"front\">\n",
          s.x, s.y, SEAT);
  for (int i = 0; i < 4; ++i)
    fprintf(out, "    <mortise id=\"%s%s\" at=\"down\" from-%s=\"%.1f\" from-%s=\"%.1f\"/>\n",
            i < 2 ? "f" : "b", i % 2 ? "r" : "l", i % 2 ? "right" : "left", from[0],
            i < 2 ? "front" : "back", from[1]);
  fputs("  </part>\n</piece>\n", out);
}

static void write_bookcase(FILE *out, outside s) {
  enum { MOST = 8 };
  int shelves = s.z / 320 + 2, t = 20;
  if (shelves > MOST) shelves = MOST;
  write_head(out, "Bookcase", s, true);
  fprintf(out,
          "  <!-- Sides with through housings for the shelves. -->\n"
          "  <part id=\"left\" name=\"Left side\" length=\"%d\" width=\"%d\" thickness=\"%d\" face=\"left\" edge=\"front\">\n",
          s.z, s.y, t);
  for (int i = 0; i < shelves; ++i)
    fprintf(out, "    <housing id=\"s%d\" at=\"right\" from-bottom=\"%d\" thickness=\"%d\" depth=\"7\"/>\n",
            i + 1, 60 + (s.z - 100) * i / (shelves - 1) - (i > 0 ? t : 0), t);
  fprintf(out, "  </part>\n"
               "  <part id=\"right\" name=\"Right side\" mirror-of=\"left\"/>\n\n"
               "  <!-- Shelves, all cut as one set. -->\n");
  fprintf(out,
          "  <part id=\"shelf1\" name=\"Shelf 1\" length=\"%d\" width=\"%d\" thickness=\"%d\" face=\"up\" edge=\"front\">\n"
          "    <shelf-end at=\"left\" into=\"left/s1\"/>\n"
          "    <shelf-end at=\"right\" into=\"right/s1\"/>\n"
          "  </part>\n",
          s.x - 2 * t + 14, s.y, t);
  for (int i = 2; i <= shelves; ++i)
    fprintf(out, "  <part id=\"shelf%d\" name=\"Shelf %d\" like=\"shelf1\" into=\"left/s%d right/s%d\"/>\n",
            i, i, i, i);
  fputs("</piece>\n", out);
}

static const struct {
  const char *name;
  void (*write)(FILE *out, outside size);
  outside usual, least;
} starters[] = {
    {"box", write_box, {400, 260, 180}, {120, 90, 60}},
    {"door", write_door, {450, 20, 700}, {220, 20, 260}},
    {"table", write_table, {700, 450, 720}, {260, 260, 200}},
    {"stool", write_stool, {400, 300, 450}, {240, 220, 200}},
    {"bookcase", write_bookcase, {800, 280, 1200}, {200, 100, 400}},
};
enum { STARTERS = sizeof starters / sizeof *starters, LONGEST = 5000 };

/* "400x260x180" */
static bool read_size(const char *text, outside *s) {
  int *sides[3] = {&s->x, &s->y, &s->z};
  for (int i = 0; i < 3; ++i) {
    char *end;
    long value = strtol(text, &end, 10);
    if (end == text || value <= 0 || value > LONGEST) return false;
    *sides[i] = (int)value;
    if (i < 2 ? *end != 'x' : *end != '\0') return false;
    text = end + 1;
  }
  return true;
}

static gw_exit write_starter(const gw_options *o, int which, outside size) {
  gw_error err = {0};
  FILE *out = gw_file_open(o->output, true, &err);
  gw_status status = err.status;
  if (out != NULL) {
    starters[which].write(out, size);
    status = gw_file_close(out, o->output, &err);
  }
  return status == GW_OK ? GW_EXIT_MATES : gw_cli_failed(status, &err);
}

gw_exit gw_cli_new(const gw_options *o) {
  if (o->from_list != NULL) return gw_cli_from_list(o);
  int which = -1;
  for (int i = 0; i < STARTERS && o->operand != NULL; ++i)
    if (strcmp(starters[i].name, o->operand) == 0) which = i;
  if (which < 0) {
    fprintf(stderr, "gluewright: new makes a box, a door, a table, a stool or a bookcase, not %s\n",
            o->operand == NULL ? "nothing" : o->operand);
    return GW_EXIT_NOT_JUDGED;
  }
  if (o->units == GW_UNITS_INCH) {
    fprintf(stderr, "gluewright: a starter is in millimetres, 25.4 to the inch; --units is for "
            "--from-list\n");
    return GW_EXIT_NOT_JUDGED;
  }
  outside size = starters[which].usual, least = starters[which].least;
  if (o->size != NULL && !read_size(o->size, &size)) {
    fprintf(stderr, "gluewright: give the size as width x depth x height in mm: --size=%dx%dx%d\n",
            size.x, size.y, size.z);
    return GW_EXIT_NOT_JUDGED;
  }
  if (size.x < least.x || size.y < least.y || size.z < least.z) {
    fprintf(stderr, "gluewright: a %s %d wide, %d deep and %d high needs other joints; the size is "
            "width x depth x height, at least %dx%dx%d\n", o->operand, size.x, size.y, size.z,
            least.x, least.y, least.z);
    return GW_EXIT_NOT_JUDGED;
  }
  return write_starter(o, which, size);
}
