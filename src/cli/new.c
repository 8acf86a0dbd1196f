/* `gluewright new`: a project file to start from, which already closes.
 *
 * A starter is text in which $a to $z stand for lengths, $A to $T for counts and $U for
 * the unit.
 * Its figures are chosen twice, as a shop with a metric rule and one with an inch
 * rule would choose them (common practice, no source), and never converted. */
#include <string.h>

#include "cli/cli.h"
#include "cli/files.h"
#include "model/model.h"

/* $x, $y and $z are the outside: left to right, front to back, bottom to top. */
typedef struct starter {
  FILE *out;
  gw_units units;
  gw_len length['z' - 'a' + 1];
  int count['T' - 'A' + 1];
} starter;

/* ---- figures --------------------------------------------------------------------------- */

/* A figure as each kind of shop has it. */
typedef struct figure {
  char letter;
  const char *mm, *inch;
} figure;

static gw_len get(const starter *s, char letter) { return s->length[letter - 'a']; }
static void put(starter *s, char letter, gw_len length) { s->length[letter - 'a'] = length; }
static void count(starter *s, char letter, int number) { s->count[letter - 'A'] = number; }

/* One that cannot be read stays nought, with which no starter closes. */
static gw_len choose(gw_units units, const char *mm, const char *inch) {
  gw_len length = 0;
  (void)gw_len_parse(units == GW_UNITS_INCH ? inch : mm, units, &length);
  return length;
}

static void put_all(starter *s, const figure *figures, size_t number) {
  for (size_t i = 0; i < number; ++i)
    put(s, figures[i].letter, choose(s->units, figures[i].mm, figures[i].inch));
}

static const char *unit_word(gw_units units) { return units == GW_UNITS_INCH ? "in" : "mm"; }

static void say(const starter *s, const char *text) {
  char length[GW_LEN_TEXT];
  for (; *text != '\0'; ++text) {
    if (*text != '$') fputc(*text, s->out);
    else if (*++text >= 'a') fputs(gw_len_text(get(s, *text), s->units, length, sizeof length), s->out);
    else if (*text == 'U') fputs(unit_word(s->units), s->out);
    else fprintf(s->out, "%d", s->count[*text - 'A']);
  }
}

static gw_len largest(const starter *s) {
  gw_len most = get(s, 'x') > get(s, 'y') ? get(s, 'x') : get(s, 'y');
  return most > get(s, 'z') ? most : get(s, 'z');
}

/* ---- box ---------------------------------------------------------------------------------- */

static const figure box_figures[] = {
    {'a', "10", "3/8"},  /* wood below the bottom's groove */
    {'g', "6", "1/4"},   /* the bottom is as thick as its groove is wide and deep */
    {'r', "1", "1/32"},  /* room beside the bottom */
};

static const char box_sides[] =
    "  <!-- The pin boards.  Their ends receive the tails; the bottom lies dry in a groove. -->\n"
    "  <part id=\"front\" name=\"Front\" length=\"$x\" width=\"$z\" thickness=\"$t\" face=\"front\" edge=\"up\">\n"
    "    <socket id=\"left\" at=\"left\"/>\n"
    "    <socket id=\"right\" at=\"right\"/>\n"
    "    <groove id=\"floor\" at=\"back\" from-bottom=\"$a\" thickness=\"$g\" depth=\"$g\"/>\n"
    "  </part>\n"
    "  <!-- Turned half round about the upright axis, its left end stands at the right. -->\n"
    "  <part id=\"back\" name=\"Back\" like=\"front\" turned=\"about-up\"/>\n\n"
    "  <!-- The tail boards. -->\n"
    "  <part id=\"left\" name=\"Left side\" length=\"$y\" width=\"$z\" thickness=\"$t\" face=\"left\" edge=\"up\">\n"
    "    <tail at=\"front\" into=\"front/left\" count=\"$N\" slope=\"1:8\"/>\n"
    "    <tail at=\"back\" into=\"back/right\" count=\"$N\" slope=\"1:8\"/>\n"
    "    <!-- Stopped, or it would come out through the tails and show. -->\n"
    "    <groove id=\"floor\" at=\"right\" from-bottom=\"$a\" from-front=\"$s\" from-back=\"$s\" thickness=\"$g\" depth=\"$g\"/>\n"
    "  </part>\n"
    "  <part id=\"right\" name=\"Right side\" mirror-of=\"left\" into=\"front/right back/left\"/>\n\n";

static const char box_bottom[] =
    "  <!-- Ends $r $U short of the grooves' floors all round. -->\n"
    "  <part id=\"bottom\" name=\"Bottom\" length=\"$l\" width=\"$w\" thickness=\"$g\" face=\"up\" edge=\"front\">\n"
    "    <panel-edge at=\"front\" into=\"front/floor\"/>\n"
    "    <panel-edge at=\"back\" into=\"back/floor\"/>\n"
    "    <panel-edge at=\"left\" into=\"left/floor\"/>\n"
    "    <panel-edge at=\"right\" into=\"right/floor\"/>\n"
    "  </part>\n"
    "</piece>\n";

static int tails_for(gw_len width, gw_len pitch) {
  enum { MOST = 99 }; /* as the schema has it */
  gw_len tails = width / pitch;
  return tails < 2 ? 2 : tails > MOST ? MOST : (int)tails;
}

static void write_box(starter *s) {
  bool large = largest(s) > choose(s->units, "500", "20");
  put_all(s, box_figures, sizeof box_figures / sizeof *box_figures);
  put(s, 't', large ? choose(s->units, "20", "3/4") : choose(s->units, "14", "1/2"));
  count(s, 'N', tails_for(get(s, 'z'), choose(s->units, "50", "2")));
  gw_len less = 2 * (get(s, 't') - get(s, 'g') + get(s, 'r'));
  put(s, 's', get(s, 't') - get(s, 'g')); /* the bottom begins behind that */
  put(s, 'l', get(s, 'x') - less);
  put(s, 'w', get(s, 'y') - less);
  say(s, box_sides);
  say(s, box_bottom);
}

/* ---- door --------------------------------------------------------------------------------- */

static const figure door_figures[] = {
    {'t', "20", "3/4"},   /* frame */
    {'w', "60", "2 1/4"}, /* stiles and top rail */
    {'b', "80", "3"},     /* bottom rail */
    {'p', "6", "1/4"},    /* panel and its groove */
    {'g', "10", "3/8"},   /* depth of the groove, and shoulders above and below the tenons */
    {'n', "7", "1/4"},    /* tenons, about a third of the frame */
    {'d', "40", "1 1/2"},
    {'m', "41", "1 9/16"}, /* mortises, a little deeper */
    {'r', "1", "1/32"},    /* room above and below the panel */
    {'s', "3", "1/8"},     /* room beside it, across its grain */
};

static const char door_frame[] =
    "  <!-- Stiles: mortises for the rails, a groove for the panel. -->\n"
    "  <part id=\"left\" name=\"Left stile\" length=\"$z\" width=\"$w\" thickness=\"$t\" face=\"front\" edge=\"right\">\n"
    "    <mortise id=\"top\" at=\"right\" from-top=\"$g\" width=\"$i\" thickness=\"$n\" depth=\"$m\"/>\n"
    "    <mortise id=\"bottom\" at=\"right\" from-bottom=\"$g\" width=\"$j\" thickness=\"$n\" depth=\"$m\"/>\n"
    "    <groove id=\"panel\" at=\"right\" thickness=\"$p\" depth=\"$g\"/>\n"
    "  </part>\n"
    "  <part id=\"right\" name=\"Right stile\" mirror-of=\"left\"/>\n\n"
    "  <!-- Rails: $d $U tenons at both ends, $g $U shoulders above and below. -->\n"
    "  <part id=\"top\" name=\"Top rail\" length=\"$l\" width=\"$w\" thickness=\"$t\" face=\"front\" edge=\"down\">\n"
    "    <tenon at=\"left\" into=\"left/top\" from-top=\"$g\" depth=\"$d\"/>\n"
    "    <tenon at=\"right\" into=\"right/top\" from-top=\"$g\" depth=\"$d\"/>\n"
    "    <groove id=\"panel\" at=\"down\" thickness=\"$p\" depth=\"$g\"/>\n"
    "  </part>\n"
    "  <part id=\"bottom\" name=\"Bottom rail\" length=\"$l\" width=\"$b\" thickness=\"$t\" face=\"front\" edge=\"up\">\n"
    "    <tenon at=\"left\" into=\"left/bottom\" from-bottom=\"$g\" depth=\"$d\"/>\n"
    "    <tenon at=\"right\" into=\"right/bottom\" from-bottom=\"$g\" depth=\"$d\"/>\n"
    "    <groove id=\"panel\" at=\"up\" thickness=\"$p\" depth=\"$g\"/>\n"
    "  </part>\n\n";

static const char door_panel[] =
    "  <!-- The panel lies dry, with room to move across the grain. -->\n"
    "  <part id=\"panel\" name=\"Panel\" length=\"$k\" width=\"$o\" thickness=\"$p\" face=\"front\" edge=\"left\">\n"
    "    <panel-edge at=\"left\" into=\"left/panel\"/>\n"
    "    <panel-edge at=\"right\" into=\"right/panel\"/>\n"
    "    <panel-edge at=\"up\" into=\"top/panel\"/>\n"
    "    <panel-edge at=\"down\" into=\"bottom/panel\"/>\n"
    "  </part>\n"
    "</piece>\n";

static void write_door(starter *s) {
  put_all(s, door_figures, sizeof door_figures / sizeof *door_figures);
  const gw_len stile = get(s, 'w'), rail = get(s, 'b'), groove = get(s, 'g');
  put(s, 'i', stile - 2 * groove);
  put(s, 'j', rail - 2 * groove);
  put(s, 'l', get(s, 'x') - 2 * stile + 2 * get(s, 'd'));
  put(s, 'k', get(s, 'z') - stile - rail + 2 * (groove - get(s, 'r')));
  put(s, 'o', get(s, 'x') - 2 * stile + 2 * (groove - get(s, 's')));
  say(s, door_frame);
  say(s, door_panel);
}

/* ---- table -------------------------------------------------------------------------------- */

static const figure table_figures[] = {
    {'v', "20", "3/4"},   /* the top reaches over the legs */
    {'q', "45", "1 3/4"}, /* legs */
    {'t', "20", "3/4"},   /* top and aprons */
    {'w', "100", "4"},    /* aprons */
    {'a', "10", "3/8"},   /* wood outside and above the mortises */
    {'n', "9", "1/4"},    /* tenons */
    {'d', "25", "1"},
    {'m', "26", "1 1/16"}, /* mortises, a little deeper; tenons keep clear inside the leg */
};

static const char table_legs[] =
    "  <!-- Legs: the mortise is $a $U in from the outer face. -->\n"
    "  <part id=\"front-left\" name=\"Front left leg\" length=\"$l\" width=\"$q\" thickness=\"$q\" face=\"front\" edge=\"left\">\n"
    "    <mortise id=\"side\" at=\"right\" from-front=\"$a\" from-top=\"$a\" width=\"$o\" thickness=\"$n\" depth=\"$m\"/>\n"
    "    <mortise id=\"end\" at=\"back\" from-left=\"$a\" from-top=\"$a\" width=\"$o\" thickness=\"$n\" depth=\"$m\"/>\n"
    "  </part>\n"
    "  <part id=\"front-right\" name=\"Front right leg\" mirror-of=\"front-left\"/>\n"
    "  <part id=\"back-left\" name=\"Back left leg\" mirror-of=\"front-left\" mirrored=\"front-back\"/>\n"
    "  <part id=\"back-right\" name=\"Back right leg\" mirror-of=\"back-left\"/>\n\n";

static const char table_aprons[] =
    "  <!-- Aprons: $d $U tenons. -->\n"
    "  <part id=\"front\" name=\"Front apron\" length=\"$i\" width=\"$w\" thickness=\"$t\" face=\"front\" edge=\"up\">\n"
    "    <tenon at=\"left\" into=\"front-left/side\" depth=\"$d\" from-top=\"$a\"/>\n"
    "    <tenon at=\"right\" into=\"front-right/side\" depth=\"$d\" from-top=\"$a\"/>\n"
    "    <butt at=\"up\" into=\"top/front\" glued=\"no\"/>\n"
    "  </part>\n"
    "  <part id=\"back\" name=\"Back apron\" mirror-of=\"front\" mirrored=\"front-back\" into=\"back-left/side back-right/side top/back\"/>\n"
    "  <part id=\"left\" name=\"Left apron\" length=\"$j\" width=\"$w\" thickness=\"$t\" face=\"left\" edge=\"up\">\n"
    "    <tenon at=\"front\" into=\"front-left/end\" depth=\"$d\" from-top=\"$a\"/>\n"
    "    <tenon at=\"back\" into=\"back-left/end\" depth=\"$d\" from-top=\"$a\"/>\n"
    "  </part>\n"
    "  <part id=\"right\" name=\"Right apron\" mirror-of=\"left\" into=\"front-right/end back-right/end\"/>\n\n"
    "  <!-- The top is held by buttons, dry, so that it can move. -->\n"
    "  <part id=\"top\" name=\"Top\" length=\"$x\" width=\"$y\" thickness=\"$t\" face=\"up\" edge=\"front\">\n"
    "    <butt-face id=\"front\" at=\"down\" from-left=\"$b\" from-front=\"$c\"/>\n"
    "    <butt-face id=\"back\" at=\"down\" from-left=\"$b\" from-back=\"$c\"/>\n"
    "  </part>\n"
    "</piece>\n";

/* Tenons are in the middle of the aprons, so that these stand a little in from the
 * outer faces of the legs. */
static void write_table(starter *s) {
  put_all(s, table_figures, sizeof table_figures / sizeof *table_figures);
  const gw_len to_end = get(s, 'v') + get(s, 'q') - get(s, 'd');
  put(s, 'l', get(s, 'z') - get(s, 't'));
  put(s, 'o', get(s, 'w') - 2 * get(s, 'a'));
  put(s, 'i', get(s, 'x') - 2 * to_end);
  put(s, 'j', get(s, 'y') - 2 * to_end);
  put(s, 'b', to_end);
  put(s, 'c', get(s, 'v') + get(s, 'a') - (get(s, 't') - get(s, 'n')) / 2);
  say(s, table_legs);
  say(s, table_aprons);
}

/* ---- stool -------------------------------------------------------------------------------- */

static const figure stool_figures[] = {
    {'v', "25", "1"},     /* the seat reaches over the legs at their tops */
    {'q', "34", "1 3/8"}, /* legs */
    {'u', "26", "1"},     /* seat */
    {'w', "70", "2 7/8"}, /* aprons */
    {'t', "18", "3/4"},
    {'d', "18", "11/16"}, /* all tenons */
    {'m', "19", "3/4"},   /* mortises, a little deeper */
    {'b', "22", "7/8"},   /* tenons of the legs, left to right */
    {'c', "14", "1/2"},   /* and front to back */
    {'n', "8", "1/4"},    /* tenons of the aprons, in the middle of them */
    {'f', "6", "5/16"},   /* wood outside their mortises */
    {'a', "10", "3/8"},   /* shoulders above and below */
};
enum { ACROSS = 7, DEEP = 5 }; /* degrees */

static const char stool_legs[] =
    "  <!-- Legs splayed both ways.  Their length is plumb; the labels give it along the leg.\n"
    "       The tenons are cut plumb, so that the seat can go on last, straight down. -->\n"
    "  <part id=\"front-left\" name=\"Front left leg\" length=\"$l\" width=\"$q\" thickness=\"$q\" face=\"front\" edge=\"left\" splay=\"left $A front $D\">\n"
    "    <tenon at=\"up\" into=\"seat/fl\" thickness=\"$c\" width=\"$b\" depth=\"$d\" plumb=\"yes\"/>\n"
    "    <mortise id=\"side\" at=\"right\" thickness=\"$n\" from-front=\"$f\" from-top=\"$g\" depth=\"$m\"/>\n"
    "    <mortise id=\"end\" at=\"back\" thickness=\"$n\" from-left=\"$f\" from-top=\"$g\" depth=\"$m\"/>\n"
    "  </part>\n"
    "  <part id=\"front-right\" name=\"Front right leg\" mirror-of=\"front-left\" into=\"seat/fr\"/>\n"
    "  <part id=\"back-left\" name=\"Back left leg\" mirror-of=\"front-left\" mirrored=\"front-back\" into=\"seat/bl\"/>\n"
    "  <part id=\"back-right\" name=\"Back right leg\" mirror-of=\"back-left\" into=\"seat/br\"/>\n\n";

static const char stool_aprons[] =
    "  <!-- Aprons lean with the legs; their length is that midway up them. -->\n"
    "  <part id=\"front\" name=\"Front apron\" length=\"$i\" width=\"$w\" thickness=\"$t\" face=\"front\" edge=\"up\" splay=\"front $D\">\n"
    "    <tenon at=\"left\" into=\"front-left/side\" width=\"$o\" from-front=\"$e\" from-top=\"$a\" depth=\"$d\"/>\n"
    "    <tenon at=\"right\" into=\"front-right/side\" width=\"$o\" from-front=\"$e\" from-top=\"$a\" depth=\"$d\"/>\n"
    "  </part>\n"
    "  <part id=\"back\" name=\"Back apron\" mirror-of=\"front\" mirrored=\"front-back\" into=\"back-left/side back-right/side\"/>\n"
    "  <part id=\"left\" name=\"Left apron\" length=\"$j\" width=\"$w\" thickness=\"$t\" face=\"left\" edge=\"up\" splay=\"left $A\">\n"
    "    <tenon at=\"front\" into=\"front-left/end\" width=\"$o\" from-left=\"$e\" from-top=\"$a\" depth=\"$d\"/>\n"
    "    <tenon at=\"back\" into=\"back-left/end\" width=\"$o\" from-left=\"$e\" from-top=\"$a\" depth=\"$d\"/>\n"
    "  </part>\n"
    "  <part id=\"right\" name=\"Right apron\" mirror-of=\"left\" into=\"front-right/end back-right/end\"/>\n\n";

static const char stool_seat[] =
    "  <part id=\"seat\" name=\"Seat\" length=\"$x\" width=\"$y\" thickness=\"$u\" face=\"up\" edge=\"front\">\n"
    "    <mortise id=\"fl\" at=\"down\" from-left=\"$h\" from-front=\"$k\" depth=\"$m\"/>\n"
    "    <mortise id=\"fr\" at=\"down\" from-right=\"$h\" from-front=\"$k\" depth=\"$m\"/>\n"
    "    <mortise id=\"bl\" at=\"down\" from-left=\"$h\" from-back=\"$k\" depth=\"$m\"/>\n"
    "    <mortise id=\"br\" at=\"down\" from-right=\"$h\" from-back=\"$k\" depth=\"$m\"/>\n"
    "  </part>\n"
    "</piece>\n";

/* What lies between legs that lean is reckoned midway up it: from the edge of the
 * seat to a mortise, and the length of an apron, as fine as a rule is read.  In
 * inches the legs and aprons are such that this alters an apron by less than 0.1 mm. */
static void reckon_stool(starter *s, int axis, char outside, char stub, char from, char length) {
  const int32_t lean[2] = {gw_lean_of_degrees(100 * ACROSS), gw_lean_of_degrees(100 * DEEP)};
  const gw_part leg = {.face = GW_FRONT, .edge = GW_LEFT, .lean = {lean[0], lean[1]}};
  gw_len level = gw_part_stands(&leg, axis, get(s, 'q'));
  gw_len outwards = gw_lean_shift(lean[axis], get(s, 'w') / 2);
  put(s, from, gw_len_fine(get(s, 'v') + (level - get(s, stub)) / 2, s->units));
  gw_len between = get(s, outside) - 2 * get(s, from) - get(s, stub) - level + 2 * outwards;
  put(s, length, gw_len_fine(between + 2 * get(s, 'd'), s->units));
}

static void write_stool(starter *s) {
  put_all(s, stool_figures, sizeof stool_figures / sizeof *stool_figures);
  count(s, 'A', ACROSS);
  count(s, 'D', DEEP);
  put(s, 'l', get(s, 'z') - get(s, 'u') + get(s, 'd'));
  put(s, 'g', get(s, 'd') + get(s, 'a'));
  put(s, 'o', get(s, 'w') - 2 * get(s, 'a'));
  put(s, 'e', (get(s, 't') - get(s, 'n')) / 2);
  reckon_stool(s, GW_X, 'x', 'b', 'h', 'i');
  reckon_stool(s, GW_Y, 'y', 'c', 'k', 'j');
  say(s, stool_legs);
  say(s, stool_aprons);
  say(s, stool_seat);
}

/* ---- bookcase ------------------------------------------------------------------------------ */

static const figure bookcase_figures[] = {
    {'t', "20", "3/4"},
    {'d', "7", "1/4"},    /* housings */
    {'a', "60", "2 1/2"}, /* below the lowest shelf */
    {'b', "40", "1 1/2"}, /* above the highest */
};

static void write_housings(starter *s, int shelves) {
  const gw_len step = choose(s->units, "1", "1/16"), lowest = get(s, 'a');
  const gw_len rise = get(s, 'z') - lowest - get(s, 'b') - get(s, 't');
  for (int i = 1; i <= shelves; ++i) {
    count(s, 'I', i);
    put(s, 'f', lowest + rise * (i - 1) / (shelves - 1) / step * step);
    say(s, "    <housing id=\"s$I\" at=\"right\" from-bottom=\"$f\" thickness=\"$t\" depth=\"$d\"/>\n");
  }
}

static void write_bookcase(starter *s) {
  enum { MOST = 8 };
  const gw_len apart = get(s, 'z') / choose(s->units, "320", "12 1/2");
  const int shelves = apart + 2 > MOST ? MOST : (int)apart + 2;
  put_all(s, bookcase_figures, sizeof bookcase_figures / sizeof *bookcase_figures);
  put(s, 'l', get(s, 'x') - 2 * (get(s, 't') - get(s, 'd')));
  say(s, "  <!-- Sides with through housings for the shelves. -->\n"
         "  <part id=\"left\" name=\"Left side\" length=\"$z\" width=\"$y\" thickness=\"$t\" face=\"left\" edge=\"front\">\n");
  write_housings(s, shelves);
  say(s, "  </part>\n"
         "  <part id=\"right\" name=\"Right side\" mirror-of=\"left\"/>\n\n"
         "  <!-- Shelves, all cut as one set. -->\n"
         "  <part id=\"shelf1\" name=\"Shelf 1\" length=\"$l\" width=\"$y\" thickness=\"$t\" face=\"up\" edge=\"front\">\n"
         "    <shelf-end at=\"left\" into=\"left/s1\"/>\n"
         "    <shelf-end at=\"right\" into=\"right/s1\"/>\n"
         "  </part>\n");
  for (int i = 2; i <= shelves; ++i) {
    count(s, 'I', i);
    say(s, "  <part id=\"shelf$I\" name=\"Shelf $I\" like=\"shelf1\" into=\"left/s$I right/s$I\"/>\n");
  }
  say(s, "</piece>\n");
}

/* ---- which, and how large ------------------------------------------------------------------- */

/* Sizes by units.  Many joints that close at once take two people and a slow glue. */
static const struct kind {
  const char *word, *name;
  void (*write)(starter *s);
  bool many_joints;
  const char *usual[2], *least[2];
} kinds[] = {
    {"box", "Dovetailed box", write_box, false, {"400x260x180", "16x10x7"}, {"120x90x60", "5x4x2 1/2"}},
    {"door", "Frame-and-panel door", write_door, false, {"450x20x700", "18x3/4x28"},
     {"220x20x260", "9x3/4x11"}},
    {"table", "Table", write_table, false, {"700x450x720", "28x18x29"},
     {"260x260x200", "10 1/2x10 1/2x8"}},
    {"stool", "Stool", write_stool, false, {"400x300x450", "16x12x18"}, {"240x220x200", "9 1/2x9x8"}},
    {"bookcase", "Bookcase", write_bookcase, true, {"800x280x1200", "32x11x48"},
     {"200x100x400", "8x4x16"}},
};
enum { KINDS = sizeof kinds / sizeof *kinds };
static const char *const longest[2] = {"5000", "200"};

static void write_head(starter *s, const struct kind *kind) {
  bool many = kind->many_joints;
  fprintf(s->out,
          "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
          "<!-- Seen from the front: left to right, front to back, bottom to top.  Sizes are overall,\n"
          "     tails and tenons included.  `gluewright check` says what does not fit. -->\n"
          "<piece xmlns=\"urn:gluewright:piece:1\" version=\"1\" name=\"%s\" units=\"%s\">\n"
          "  <!-- Your shop: degrees Celsius, humidity in percent, people at the bench, your clamps. -->\n",
          kind->name, unit_word(s->units));
  /* Rounded up, to whole inches as clamps are sold. */
  const gw_len step = choose(s->units, "1", "1"), more = choose(s->units, "100", "4");
  put(s, 'o', (largest(s) + more + step - 1) / step * step);
  count(s, 'H', many ? 2 : 1);
  count(s, 'C', many ? 10 : 6);
  say(s, "  <shop temperature=\"20\" humidity=\"50\" hands=\"$H\">\n"
         "    <clamps kind=\"sash\" count=\"$C\" opening=\"$o\" force=\"2000\"/>\n"
         "  </shop>\n");
  fprintf(s->out,
          "  <!-- Your glue: put in what the label says; it wins over the typical figures. -->\n"
          "  <glue id=\"bottle\" kind=\"%s\"/>\n\n",
          many ? "slow-pva" : "pva");
}

/* One side of "16 1/2x10x7", to whole millimetres or 64ths of an inch. */
static bool read_side(const char *text, size_t length, gw_units units, gw_len *side) {
  char alone[GW_LEN_TEXT];
  gw_len most = choose(units, longest[0], longest[1]);
  if (length == 0 || length >= sizeof alone) return false;
  memcpy(alone, text, length);
  alone[length] = '\0';
  return strspn(alone, "0123456789./ ") == length && gw_len_parse(alone, units, side) == NULL &&
         *side > 0 && *side <= most && *side % choose(units, "1", "1/64") == 0;
}

static bool read_size(const char *text, gw_units units, gw_len sides[3]) {
  for (int i = 0; i < 3; ++i) {
    size_t length = strcspn(text, "x");
    if (!read_side(text, length, units, &sides[i])) return false;
    if (i < 2 ? text[length] != 'x' : text[length] != '\0') return false;
    text += length + 1;
  }
  return true;
}

static gw_exit size_unread(const struct kind *kind, gw_units units) {
  bool inch = units == GW_UNITS_INCH;
  fprintf(stderr, "gluewright: give the size as width x depth x height in %s, each at most %s, such as "
          "--size=%s%s (%s)\n", inch ? "inches" : "whole mm", longest[units],
          kind->usual[units], inch ? " or --size=\"16 1/2x10x7\"" : "",
          inch ? "fractions down to 1/64" : "--units=in for inches");
  return GW_EXIT_NOT_JUDGED;
}

static gw_exit too_small(const struct kind *kind, gw_units units, const gw_len sides[3]) {
  char text[3][GW_LEN_TEXT];
  for (int i = 0; i < 3; ++i) gw_len_text(sides[i], units, text[i], sizeof text[i]);
  fprintf(stderr, "gluewright: a %s %s wide, %s deep and %s high needs other joints; the size is "
          "width x depth x height, at least %s %s%s\n", kind->word, text[0], text[1], text[2],
          kind->least[units], unit_word(units),
          units == GW_UNITS_INCH ? "" : " (--units=in for inches)");
  return GW_EXIT_NOT_JUDGED;
}

static gw_exit write_starter(const gw_options *o, const struct kind *kind, const gw_len sides[3]) {
  gw_error err = {0};
  starter s = {.out = gw_file_open(o->output, true, &err), .units = o->units};
  gw_status status = err.status;
  if (s.out != NULL) {
    for (int i = 0; i < 3; ++i) put(&s, (char)('x' + i), sides[i]);
    write_head(&s, kind);
    kind->write(&s);
    status = gw_file_close(s.out, o->output, &err);
  }
  return status == GW_OK ? GW_EXIT_MATES : gw_cli_failed(status, &err);
}

gw_exit gw_cli_new(const gw_options *o) {
  if (o->from_list != NULL) return gw_cli_from_list(o);
  const struct kind *kind = NULL;
  for (int i = 0; i < KINDS && o->operand != NULL; ++i)
    if (strcmp(kinds[i].word, o->operand) == 0) kind = &kinds[i];
  if (kind == NULL) {
    fprintf(stderr, "gluewright: new makes a box, a door, a table, a stool or a bookcase, not %s\n",
            o->operand == NULL ? "nothing" : o->operand);
    return GW_EXIT_NOT_JUDGED;
  }
  gw_len sides[3], least[3];
  if (!read_size(o->size != NULL ? o->size : kind->usual[o->units], o->units, sides) ||
      !read_size(kind->least[o->units], o->units, least))
    return size_unread(kind, o->units);
  for (int i = 0; i < 3; ++i)
    if (sides[i] < least[i]) return too_small(kind, o->units, sides);
  return write_starter(o, kind, sides);
}
