#!/usr/bin/python3
"""Pieces of random sizes whose truth is known, because they are drawn first and
written down afterwards.

usage: generate.py SEED [FAULT]     writes a project file to standard output
       generate.py --faults SEED    lists the faults that this piece can have

A piece is made of boxes at known places; each joint lies where two of them meet.
A seed gives the same piece for ever.  With FAULT one thing is made wrong; the
file then has the mark <!-- fault --> before the line.
"""
import random
import sys
from fractions import Fraction

AXES = {"left": 0, "right": 0, "front": 1, "back": 1, "down": 2, "up": 2}
LOW = ("left", "front", "down")
FROM = {"left": "from-left", "right": "from-right", "front": "from-front", "back": "from-back",
        "down": "from-bottom", "up": "from-top"}
KINDS = {("tail", "socket"): "through-dovetail", ("lapped-tail", "lapped-socket"): "lapped-dovetail",
         ("tenon", "mortise"): "mortise-and-tenon", ("panel-edge", "groove"): "panel-in-groove",
         ("shelf-end", "housing"): "housing", ("dowels", "dowel-holes"): "dowels",
         ("fingers", "finger-slots"): "comb", ("butt", "butt-face"): "butt",
         ("bridle-tenon", "bridle-slot"): "bridle", ("tongue", "groove"): "tongue-and-groove"}
# Ids of halves: words that are not alike, so that it is plain which was meant.
WORDS = ("ash", "birch", "cedar", "elder", "fig", "gorse", "hazel", "ivy", "juniper", "larch", "maple",
         "oak", "pine", "quince", "rowan", "spruce", "teak", "walnut", "yew")


class Half:
    """One half of a joint; sizes in grains."""

    def __init__(self, part, element, at, **sizes):
        self.part, self.element, self.at, self.sizes = part, element, at, sizes
        self.id = self.into = None
        self.more = {}
        self.fault = False


class Part:
    def __init__(self, name, low, high, length, face, edge):
        self.name, self.low, self.high, self.face, self.edge = name, low, high, face, edge
        self.id = name.lower().replace(" ", "-")
        self.halves, self.more, self.fault = [], {}, False
        size = [h - l for l, h in zip(low, high)]
        self.length, self.width, self.thickness = (
            size[length], size[AXES[edge]], size[AXES[face]])
        if len({length, AXES[edge], AXES[face]}) != 3:
            raise ValueError("askew: " + name)


class Piece:
    """A random piece: parts, the joints between them, and what is known of it."""

    def __init__(self, seed):
        self.random = random.Random(seed)
        self.inches = self.random.random() < 0.25
        self.parts, self.joints, self.rules, self.extra = [], [], [], []
        self.verdict = "mates"
        shapes = [self.box, self.pinwheel, self.frame, self.ladder, self.table, self.bookcase,
                  self.boards, self.knot]
        weights = [4, 2, 5, 3, 4, 5, 2, 1]
        self.shape = self.random.choices(shapes, weights)[0]
        self.shape()
        self.name = "%s %d" % (self.shape.__name__.capitalize(), seed)

    # ---- numbers -----------------------------------------------------------

    def some(self, least, most):
        """A size in grains of half a millimetre (1/64 in); limits in millimetres."""
        whole = self.random.randint(least, most) * 2
        return whole + (self.random.randint(0, 1) if self.random.random() < 0.3 else 0)

    def text(self, grains):
        if not self.inches:
            return "%g" % (grains / 2)
        sign, grains = ("-", -grains) if grains < 0 else ("", grains)
        # A half of an odd number of grains may come in: finer figures are allowed.
        number = Fraction(grains) / 64
        whole, rest = divmod(number, 1)
        if rest == 0:
            return "%s%d" % (sign, whole)
        return sign + ("%d " % whole if whole else "") + "%d/%d" % (rest.numerator, rest.denominator)

    # ---- parts and joints -----------------------------------------------------

    def part(self, name, low, high, length, face, edge):
        made = Part(name, low, high, length, face, edge)
        self.parts.append(made)
        return made

    def join(self, entering, receiving, glued=True):
        """`entering` and `receiving` are halves."""
        count = len(receiving.part.halves)
        receiving.id = WORDS[count % len(WORDS)] + "%d" % (count // len(WORDS)) * (count >= len(WORDS))
        entering.into = "%s/%s" % (receiving.part.id, receiving.id)
        entering.part.halves.append(entering)
        receiving.part.halves.append(receiving)
        if not glued:
            entering.more["glued"] = "no"
        kind = KINDS[entering.element, receiving.element]
        self.joints.append((entering, receiving, kind, glued and kind != "panel-in-groove"))

    def corner(self, kind, tails, pins, at_tails, at_pins):
        """A corner of two boards: tails on the one, sockets in the other."""
        count = max(1, round((tails.high[2] - tails.low[2]) / 2 / 45))
        slope = {} if kind == "fingers" else {"slope": "1:%d" % self.random.choice((6, 7, 8))}
        names = {"tail": "socket", "fingers": "finger-slots"}
        entering = Half(tails, kind, at_tails)
        entering.more.update(count="%d" % count, **slope)
        self.join(entering, Half(pins, names[kind], at_pins))

    def tenon(self, rail, post, at, thickness, depth, width, offset, upright=True, **where):
        """A tenon on a rail's end; the mortise's place on the post is told by `where`."""
        back = {"left": "right", "right": "left", "front": "back", "back": "front"}[at]
        extra = self.random.choice((0, 0, 2, 4))
        mortise = Half(post, "mortise", back, thickness=thickness, width=width, **where)
        if self.random.random() < 0.5:
            mortise.sizes["depth"] = depth + 2 + extra
        sizes = {"thickness": thickness} if self.random.random() < 0.5 else {}
        if upright:
            sizes["from_top"] = offset
        self.join(Half(rail, "tenon", at, depth=depth, width=width, **sizes), mortise)

    # ---- shapes ------------------------------------------------------------------

    def walls(self, x, y, z, t):
        """Four boards; those at the left and right stand over the whole depth."""
        return (self.part("Front", (0, 0, 0), (x, t, z), 0, "front", "up"),
                self.part("Back", (0, y - t, 0), (x, y, z), 0, "back", "up"),
                self.part("Left", (0, 0, 0), (t, y, z), 1, "left", "up"),
                self.part("Right", (x - t, 0, 0), (x, y, z), 1, "right", "up"))

    def floor(self, walls, x, y, t):
        """A panel in grooves all round, a millimetre or so short of their floors."""
        front, back, left, right = walls
        depth, thick, up = self.some(4, 5), self.some(4, 6), self.some(6, 15)
        short = self.random.choice((1, 2))
        panel = self.part("Bottom", (t - depth + short, t - depth + short, up),
                          (x - t + depth - short, y - t + depth - short, up + thick), 0, "up", "front")
        for wall, at, into in ((front, "front", "back"), (back, "back", "front"),
                               (left, "left", "right"), (right, "right", "left")):
            self.join(Half(panel, "panel-edge", at),
                      Half(wall, "groove", into, from_bottom=up, thickness=thick, depth=depth))

    def box(self):
        x, y, z, t = self.some(150, 900), self.some(100, 600), self.some(60, 400), self.some(12, 22)
        kind = self.random.choice(("tail", "tail", "fingers"))
        front, back, left, right = walls = self.walls(x, y, z, t)
        for side, name in ((left, "left"), (right, "right")):
            self.corner(kind, side, front, "front", name)
            self.corner(kind, side, back, "back", name)
        if self.random.random() < 0.7:
            self.floor(walls, x, y, t)

    def pinwheel(self):
        """Each board has tails at one end and sockets at the other: two halves of
        the box come together sideways."""
        x, y, z, t = self.some(150, 600), self.some(150, 600), self.some(60, 300), self.some(12, 20)
        front, back, left, right = self.walls(x, y, z, t)
        self.corner("tail", left, front, "front", "left")
        self.corner("tail", front, right, "right", "front")
        self.corner("tail", right, back, "back", "right")
        self.corner("tail", back, left, "left", "back")

    def frame(self):
        """Stiles, rails between them, panels between the rails."""
        t, stile, depth = self.some(18, 30), self.some(50, 90), self.some(25, 40)
        inner, thick = self.some(150, 700), self.some(5, 8)
        rails = self.random.randint(2, 5)
        widths = [self.some(50, 120) for _ in range(rails)]
        gaps = [self.some(120, 400) for _ in range(rails - 1)]
        tall = sum(widths) + sum(gaps)
        whole = inner + 2 * stile
        left = self.part("Left stile", (0, 0, 0), (stile, t, tall), 2, "front", "right")
        right = self.part("Right stile", (whole - stile, 0, 0), (whole, t, tall), 2, "front", "left")
        panels = self.random.random() < 0.6
        bottom, made = 0, []
        for i, width in enumerate(widths):
            rail = self.part("Rail %d" % (i + 1), (stile - depth, 0, bottom),
                             (whole - stile + depth, t, bottom + width), 0, "front",
                             "up" if i < rails - 1 else "down")
            offset = self.some(10, 14)
            for post, at in ((left, "left"), (right, "right")):
                self.tenon(rail, post, at, thick, depth, width - 2 * offset, offset,
                           from_bottom=bottom + offset)
            made.append(rail)
            bottom += width + (gaps[i] if i < rails - 1 else 0)
        if panels:
            self.panels(made, left, right, widths, gaps, inner, stile, t)

    def panels(self, rails, left, right, widths, gaps, inner, stile, t):
        groove, thick = self.some(8, 10), self.some(5, 6)
        side, end, middle, bottom = self.some(5, 7), self.some(5, 7), Fraction(t - thick, 2), 0
        for i, gap in enumerate(gaps):
            bottom += widths[i]
            panel = self.part("Panel %d" % (i + 1), (stile - side, middle, bottom - end),
                              (stile + inner + side, middle + thick, bottom + gap + end), 2, "front",
                              "left")
            for part, at, into in ((left, "left", "right"), (right, "right", "left"),
                                   (rails[i], "down", "up"), (rails[i + 1], "up", "down")):
                held = self.groove(part, into, thick, groove)
                self.join(Half(panel, "panel-edge", at), held)
            bottom += gap

    @staticmethod
    def groove(part, at, thickness, depth):
        return Half(part, "groove", at, thickness=thickness, depth=depth)

    def ladder(self):
        """Stiles and rungs, dowelled or tenoned."""
        t, stile, inner = self.some(20, 30), self.some(40, 80), self.some(200, 600)
        rungs, step, width = self.random.randint(2, 9), self.some(150, 300), self.some(30, 60)
        dowels, depth = self.random.random() < 0.4, self.some(15, 30)
        reach = 0 if dowels else depth
        tall = rungs * step + step // 2
        whole = inner + 2 * stile
        left = self.part("Left stile", (0, 0, 0), (stile, t, tall), 2, "front", "right")
        right = self.part("Right stile", (whole - stile, 0, 0), (whole, t, tall), 2, "front", "left")
        for i in range(rungs):
            low = step // 2 + i * step
            rung = self.part("Rung %d" % (i + 1), (stile - reach, 0, low),
                             (stile + inner + reach, t, low + width), 0, "front", "up")
            for post, at, into in ((left, "left", "right"), (right, "right", "left")):
                if dowels:
                    entering = Half(rung, "dowels", at, depth=40)
                    entering.more["count"] = "2"
                    self.join(entering, Half(post, "dowel-holes", into, from_bottom=low, from_front=0))
                else:
                    self.tenon(rung, post, at, 14, depth, width - 20, 10, from_bottom=low + 10)

    def table(self):
        leg, tall, t = self.some(45, 70), self.some(350, 800), self.some(18, 24)
        x, y, apron = self.some(300, 1500), self.some(250, 800), self.some(70, 130)
        depth, inset, shoulder = self.some(18, 20), self.some(3, 10), self.some(8, 14)
        thick = self.some(7, 8)
        legs = {}
        for name, low_x, low_y, edge in (("front left", 0, 0, "left"), ("front right", x - leg, 0, "right"),
                                         ("back left", 0, y - leg, "left"),
                                         ("back right", x - leg, y - leg, "right")):
            legs[name] = self.part("Leg " + name, (low_x, low_y, 0), (low_x + leg, low_y + leg, tall), 2,
                                   name.split()[0], edge)
        middle = Fraction(t - thick, 2)
        top = tall - apron
        for name, low_y, ends in (("front", inset, ("front left", "front right")),
                                  ("back", y - inset - t, ("back left", "back right"))):
            rail = self.part("Apron " + name, (leg - depth, low_y, top), (x - leg + depth, low_y + t, tall), 0,
                             name, "up")
            for post, at in zip(ends, ("left", "right")):
                self.tenon(rail, legs[post], at, thick, depth, apron - 2 * shoulder, shoulder,
                           **{"from_top": shoulder, "from_" + name: inset + middle})
        for name, low_x, ends in (("left", inset, ("front left", "back left")),
                                  ("right", x - inset - t, ("front right", "back right"))):
            rail = self.part("Apron " + name, (low_x, leg - depth, top), (low_x + t, y - leg + depth, tall), 1,
                             name, "up")
            for post, at in zip(ends, ("front", "back")):
                self.tenon(rail, legs[post], at, thick, depth, apron - 2 * shoulder, shoulder,
                           **{"from_top": shoulder, "from_" + name: inset + middle})
        if self.random.random() < 0.5:
            self.table_top(legs, x, y, tall, leg)

    def table_top(self, legs, x, y, tall, leg):
        over, thick = self.some(10, 60), self.some(18, 26)
        top = self.part("Top", (-over, -over, tall), (x + over, y + over, tall + thick), 0, "up", "front")
        for name, part in legs.items():
            face = Half(top, "butt-face", "down", thickness=leg, width=leg)
            for side in name.split():
                face.sizes["from_" + side] = over
            self.join(Half(part, "butt", "up"), face, glued=False)

    def bookcase(self):
        x, y, t = self.some(300, 1000), self.some(150, 350), self.some(16, 24)
        depth, shelves = self.some(5, 7), self.random.randint(2, 8)
        gaps = [self.some(60, 340) for _ in range(shelves)]
        tall = sum(gaps) + shelves * t + self.some(20, 60)
        left = self.part("Left side", (0, 0, 0), (t, y, tall), 2, "left", "front")
        right = self.part("Right side", (x - t, 0, 0), (x, y, tall), 2, "right", "front")
        bottom = 0
        for i, gap in enumerate(gaps):
            bottom += gap
            shelf = self.part("Shelf %d" % (i + 1), (t - depth, 0, bottom), (x - t + depth, y, bottom + t), 0,
                              "up", "front")
            for side, at, into in ((left, "left", "right"), (right, "right", "left")):
                self.join(Half(shelf, "shelf-end", at),
                          Half(side, "housing", into, from_bottom=bottom, from_front=0, thickness=t,
                               depth=depth))
            bottom += t

    def boards(self):
        """A panel of boards glued edge to edge."""
        count, t, x = self.random.randint(2, 9), self.some(18, 30), self.some(300, 1500)
        tongue = self.random.random() < 0.5
        reach, thick = (self.some(5, 8), self.some(5, 7)) if tongue else (0, 0)
        front, last = 0, None
        for i in range(count):
            wide = self.some(60, 150)
            board = self.part("Board %d" % (i + 1), (0, front - (reach if last else 0), 0),
                              (x, front + wide, t), 0, "up", "front")
            if last and tongue:
                self.join(Half(board, "tongue", "front", thickness=thick, depth=reach),
                          Half(last, "groove", "back", thickness=thick, depth=reach + 2))
            elif last:
                self.join(Half(board, "butt", "front"), Half(last, "butt-face", "back", from_left=0))
            front, last = front + wide, board

    def knot(self):
        """Three parts, each two of which can only part along an axis of their own."""
        self.verdict = "locked"
        s = self.some(30, 60)
        bar = self.part("Bar", (0, 0, 0), (5 * s, 3 * s, s), 0, "down", "front")
        post = self.part("Post", (5 * s, s, 0), (6 * s, 5 * s, 2 * s), 1, "left", "up")
        cap = self.part("Cap", (0, 0, s), (8 * s, s, 2 * s), 0, "up", "front")
        # The whole side of the one stands on the other, in part beyond its edge.
        for entering, at, receiving, into, where in (
                (bar, "right", post, "left", {"from_front": -s, "from_bottom": 0}),
                (post, "front", cap, "back", {"from_left": 5 * s, "from_bottom": -s}),
                (bar, "up", cap, "down", {"from_left": 0, "from_front": 0})):
            half = Half(entering, "dowels", at, depth=s // 4)
            half.more["count"] = "2"
            self.join(half, Half(receiving, "dowel-holes", into, **where))

    # ---- faults ---------------------------------------------------------------------

    def faults(self):
        """Code of each fault that this piece can be given, and how."""
        if self.verdict != "mates":
            return {}
        entering = [j[0] for j in self.joints]
        tenons = [j for j in self.joints if j[2] == "mortise-and-tenon"]
        housings = [j for j in self.joints if j[2] == "housing"]
        corners = [j for j in self.joints if j[0].element in ("tail", "fingers")]
        possible = {
            "unknown-half": (entering, self.misspell), "left-over": (self.parts, self.leave_over),
            "part-alone": (self.parts, self.leave_alone), "unknown-glue": (entering, self.misname_glue),
            "bad-length": (self.parts, self.spoil_length), "face-edge": (self.parts, self.turn_edge),
            "size-nought": (self.parts, self.no_size), "id-twice": (self.parts[1:], self.same_id),
            "unknown-attribute": (self.parts, self.strange_attribute),
            "missing-attribute": (self.parts, self.no_size_at_all),
            "unknown-part": (self.parts, self.wish_unknown), "bad-value": (entering, self.bad_side),
            "too-thick": (tenons, self.thick_tenon), "too-wide": (tenons, self.wide_tenon),
            "size-missing": ([j for j in tenons if "depth" not in j[1].sizes], self.no_depth),
            "too-deep": (housings, self.deep_shelf), "too-shallow": (housings, self.shallow_shelf),
            "count-unlike": (corners, self.other_count),
            "loop-open": (self.in_loops(), self.longer), "two-into-one": (
                tenons if len(tenons) > 1 else [], self.same_mortise)}
        return {code: (things, how) for code, (things, how) in possible.items() if things}

    def in_loops(self):
        """Parts between two others that another part holds apart too."""
        name = self.shape.__name__
        if name in ("box", "pinwheel"):
            return self.parts[:4]
        if name in ("frame", "ladder"):
            return [p for p in self.parts if p.name.startswith(("Rail", "Rung"))]
        if name == "table":
            return [p for p in self.parts if p.name.startswith("Apron")]
        return [p for p in self.parts if p.name.startswith("Shelf")] if name == "bookcase" else []

    def plant(self, code):
        things, how = self.faults()[code]
        how(self.random.choice(things))

    def misspell(self, half):
        half.into, half.fault = half.into + "x", True

    def leave_over(self, part):
        at = part.face
        half = Half(part, "mortise", at, thickness=10, width=20, depth=6)
        half.id, half.fault = "spare", True
        part.halves.append(half)

    def leave_alone(self, _):
        part = self.part("Spare", (0, 0, 0), (400, 100, 20), 0, "up", "front")
        part.fault = True

    def misname_glue(self, half):
        half.more["glue"], half.fault = "bottel", True

    def spoil_length(self, part):
        part.more["length"], part.fault = "10 1/0", True

    def turn_edge(self, part):
        part.more["edge"], part.fault = part.face, True

    def no_size(self, part):
        part.more["width"], part.fault = "0", True

    def no_size_at_all(self, part):
        part.more["thickness"], part.fault = None, True

    def same_id(self, part):
        part.more["id"], part.fault = self.parts[0].id, True

    def strange_attribute(self, part):
        part.more["lenght"], part.fault = "3", True

    def wish_unknown(self, part):
        self.rules.append('<before part="%s" then="nobody"/>' % part.id)

    def bad_side(self, half):
        half.more["at"], half.fault = "above", True

    def thick_tenon(self, joint):
        joint[0].sizes["thickness"] = joint[1].sizes["thickness"] + 1
        joint[0].fault = True

    def wide_tenon(self, joint):
        joint[1].sizes["width"] = joint[0].sizes["width"] - 2
        joint[0].fault = True

    def no_depth(self, joint):
        del joint[0].sizes["depth"]
        joint[0].fault = True

    def deep_shelf(self, joint):
        joint[0].sizes["depth"] = joint[1].sizes["depth"] + 2
        joint[0].fault = True

    def shallow_shelf(self, joint):
        joint[0].sizes["depth"] = joint[1].sizes["depth"] - 2
        joint[0].fault = True

    def other_count(self, joint):
        joint[1].more["count"] = "%d" % (int(joint[0].more["count"]) + 1)
        joint[0].fault = True

    def longer(self, part):
        part.length += self.random.choice((-3, -2, 2, 4, 9))
        part.fault = True

    def same_mortise(self, joint):
        others = [j for j in self.joints if j[1].element == "mortise" and j is not joint]
        joint[0].into = self.random.choice(others)[0].into
        joint[0].fault = True

    # ---- as a file --------------------------------------------------------------------

    def half_text(self, half):
        fields = {"id": half.id, "at": half.at, "into": half.into}
        fields.update({name.replace("_", "-"): self.text(size) for name, size in half.sizes.items()})
        fields.update(half.more)
        return "    %s<%s %s/>" % ("<!-- fault -->\n    " if half.fault else "", half.element,
                                  attributes(fields))

    def part_text(self, part):
        fields = {"id": part.id, "name": part.name, "length": self.text(part.length),
                  "width": self.text(part.width), "thickness": self.text(part.thickness),
                  "face": part.face, "edge": part.edge, "material": "oak, white"}
        fields.update(part.more)
        mark = "  <!-- fault -->\n" if part.fault else ""
        if not part.halves:
            return mark + "  <part %s/>" % attributes(fields)
        return "\n".join([mark + "  <part %s>" % attributes(fields)] +
                         [self.half_text(half) for half in part.halves] + ["  </part>"])

    def file(self):
        """The project file; the order of its parts is random too."""
        parts = list(self.parts)
        random.Random(self.name).shuffle(parts)
        if any(part.more.get("id") for part in parts):
            parts.sort(key=lambda part: part.more.get("id") is not None)
        return "\n".join(
            ['<?xml version="1.0" encoding="UTF-8"?>',
             '<piece xmlns="urn:gluewright:piece:1" version="1" name="%s"%s>' %
             (self.name, ' units="in"' if self.inches else ""),
             '  <shop hands="2"/>',
             '  <glue id="pot" kind="pva" open="200 min" closed="200 min" clamp="60 min"/>'] +
            [self.part_text(part) for part in parts] +
            ["  <!-- fault -->\n  " + rule for rule in self.rules] + ["</piece>", ""])


def attributes(fields):
    return " ".join('%s="%s"' % pair for pair in fields.items() if pair[1] is not None)


def main():
    words = [word for word in sys.argv[1:] if word != "--faults"]
    piece = Piece(int(words[0]))
    if len(words) < len(sys.argv) - 1:
        print("\n".join(sorted(piece.faults())))
        return
    if len(words) > 1:
        piece.plant(words[1])
    sys.stdout.write(piece.file())


if __name__ == "__main__":
    main()
