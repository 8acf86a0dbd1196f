#!/usr/bin/python3
"""Every starter closes, whatever the size: `new` writes a piece that `check` finds
sound, that can be ordered (where it is not too large for its glue), and whose
sheets can be printed; in millimetres and in inches.

usage: starters.py PROGRAM [COUNT]

The smallest, the usual and the largest size of each kind, and COUNT random ones (25
unless given), in inches in quarters."""
import os
import random
import re
import sys
import tempfile
from fractions import Fraction

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, run, total  # noqa: E402: the path is set above

LEAST = {"mm": {"box": (120, 90, 60), "door": (220, 20, 260), "table": (260, 260, 200),
                "stool": (240, 220, 200), "bookcase": (200, 100, 400)},
         "in": {"box": (5, 4, Fraction(5, 2)), "door": (9, Fraction(3, 4), 11),
                "table": (Fraction(21, 2), Fraction(21, 2), 8), "stool": (Fraction(19, 2), 9, 8),
                "bookcase": (8, 4, 16)}}
USUAL = {"mm": {"box": (400, 260, 180), "door": (450, 20, 700), "table": (700, 450, 720),
                "stool": (400, 300, 450), "bookcase": (800, 280, 1200)},
         "in": {"box": (16, 10, 7), "door": (18, Fraction(3, 4), 28), "table": (28, 18, 29),
                "stool": (16, 12, 18), "bookcase": (32, 11, 48)}}
LONGEST = {"mm": 5000, "in": 200}
RANDOM = {"mm": (2000, 1), "in": (80, 4)}  # the largest, and steps in a unit
STEP = {"mm": Fraction(1), "in": Fraction(1, 64)}
# What a shop has: thicknesses of parts and halves.
STOCK = {"mm": {6, 7, 8, 9, 14, 18, 20, 26, 34, 45},
         "in": {Fraction(n, 8) for n in (2, 4, 6, 8, 11, 14)}}
# Where each piece reaches its outside: an attribute of a part for each side.
OUTSIDE = {"box": ("front length", "left length", "front width"), "door": (None, None, "left length"),
           "table": ("top length", "top width", None), "stool": ("seat length", "seat width", None),
           "bookcase": (None, "left width", "left length")}


def written(size):
    """A length as it is typed: 412, 3/4, 16 1/2."""
    whole, rest = divmod(Fraction(size), 1)
    return " ".join([str(whole)] * (whole > 0 or not rest) + [str(rest)] * (rest > 0))


def read(text):
    return sum(Fraction(word) for word in text.split())


def dimensions(size):
    return "--size=" + "x".join(written(side) for side in size)


def figures(name, kind, units, size, text):
    """The file is in its units throughout, in whole steps of a rule, and of the size asked for."""
    parts = {}
    expect('units="%s"' % units in text, "%s: not in %s" % (name, units))
    for element, words in re.findall(r"<([a-z-]+) ([^>]*)>", text):
        given = dict(re.findall(r'([a-z-]+)="([^"]*)"', words))
        for key, value in given.items():
            if key not in ("length", "width", "thickness", "depth", "opening") and not key.startswith("from-"):
                continue
            fine = Fraction(1, 10) if units == "mm" else STEP["in"]
            expect(re.fullmatch(r"\d+(\.\d)?" if units == "mm" else r"\d+|(\d+ )?\d+/\d+", value) and
                   read(value) > 0 and read(value) % fine == 0, "%s: %s is %s" % (name, key, value))
            if key == "thickness":
                expect(read(value) in STOCK[units], "%s: no stock or tool of %s" % (name, value))
            parts[given.get("id", ""), element, key] = read(value)
    for place, side in zip(OUTSIDE[kind], size):
        if place is not None:
            part, key = place.split()
            expect(parts.get((part, "part", key)) == side, "%s: %s is not %s" % (name, place, side))
    expect(parts["", "clamps", "opening"] > max(size), "%s: clamps too short" % name)


def try_size(program, folder, units, kind, size, usual):
    words = ["new", kind] + ["--units=in"] * (units == "in") + ([dimensions(size)] if size else [])
    status, text, err = run(program, *words)
    name = " ".join(words)
    if not expect(status == 0 and not err, "%s: status %d, %s" % (name, status, err)):
        return
    figures(name, kind, units, size or USUAL[units][kind], text)
    path = os.path.join(folder, "piece.xml")
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    status, out, err = run(program, "check", path)
    expect(status == 0 and "it goes together" in out and ": error: " not in err,
           "%s: check ends with %d: %s" % (name, status, err))
    expect(not usual or ": warning: " not in err, "%s: check warns: %s" % (name, err))
    status, _, err = run(program, "order", "--json", path)
    codes = set(re.findall(r": error: .* \[([a-z-]+)\]$", err, re.M))
    # What is far larger than usual may be too much for the glue: that is the truth.
    expect(status == 0 or (not usual and codes <= {"open-time", "closed-time"}),
           "%s: order ends with %d: %s" % (name, status, err))
    for paper in ("a4", "letter") if usual else ():
        status, _, err = run(program, "print", "-q", "-p", paper, "-o", os.path.join(folder, "sheets"), path)
        expect(status == 0, "%s: print on %s ends with %d: %s" % (name, paper, status, err))


def bookshelves(program, units):
    """As far apart as a rule can show."""
    text = run(program, "new", "bookcase", "--units=" + units)[1]
    at = [read(place) for place in re.findall(r'<housing[^>]* from-bottom="([^"]*)"', text)]
    rooms = [high - low for low, high in zip(at, at[1:])]
    expect(len(rooms) > 2 and max(rooms) - min(rooms) <= (1 if units == "mm" else Fraction(1, 16)),
           "shelves at %s %s" % (" ".join(map(written, at)), units))


def refused_size(program, units, kind, size, words):
    status, out, err = run(program, "new", kind, "--units=" + units, "--size=" + size)
    expect(status == 2 and not out and words in err,
           "a %s of %r in %s: %d %s" % (kind, size, units, status, err))


def refusals(program, folder):
    for units, kinds in LEAST.items():
        for kind, least in kinds.items():
            for axis in range(3):
                small = [n - (i == axis) * STEP[units] for i, n in enumerate(least)]
                refused_size(program, units, kind, "x".join(map(written, small)), "at least")
    for size in ("", "1", "400x300", "400x300x", "400x300x200x1", "-400x300x200", "400x300x0",
                 "99999999999999999999x300x200", "400X300X200", "4e2x300x200", "5001x300x200",
                 "400.5x300x200", "400 1/2x300x200", "20inx20inx20in", "0x400x300", " x300x200"):
        refused_size(program, "mm", "box", size, "--size=400x260x180")
    for size in ("", "16", "16x10", "16x10x", "16x10x7x1", "-16x10x7", "16x10x0", "16X10X7", "1e1x10x7",
                 "200 1/64x10x7", "16 1/128x10x7", "16 1/3x10x7", "16 1/x10x7", "16 1/0x10x7",
                 "16-1/2x10x7", "16 1/2 1/4x10x7", "406mmx254mmx178mm", "16.01x10x7", "0 0/4x10x7",
                 "16 " + "1" * 40 + "x10x7"):
        refused_size(program, "in", "box", size, "--size=16x10x7")
    same = [run(program, "new", "stool", "--units=in", "--size=" + size)[1]
            for size in ("16 1/2x12x18 1/4", "33/2x12.0x18.25")]
    expect(same[0] and same[0] == same[1], "one size written in two ways")
    status, out, err = run(program, "new", "boat")
    expect(status == 2 and not out and "boat" in err, "new boat: %d %s" % (status, err))
    path = os.path.join(folder, "there.xml")
    expect(run(program, "new", "box", "-o", path)[0] == 0, "new box -o")
    with open(path, encoding="utf-8") as file:
        first = file.read()
    status, _, err = run(program, "new", "door", "-o", path)
    with open(path, encoding="utf-8") as file:
        expect(status == 2 and "is there already" in err and file.read() == first,
               "a file that is there is written over: %d %s" % (status, err))


def main():
    program = os.path.abspath(sys.argv[1] if len(sys.argv) > 1 else "build/gluewright")
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 25
    chance = random.Random(1)
    with tempfile.TemporaryDirectory() as folder:
        for units, kinds in LEAST.items():
            most, steps = RANDOM[units]
            for kind, least in kinds.items():
                try_size(program, folder, units, kind, None, True)
                try_size(program, folder, units, kind, least, True)
                try_size(program, folder, units, kind, (LONGEST[units],) * 3, False)
                for _ in range(count):
                    size = tuple(Fraction(chance.randint(int(n * steps), most * steps), steps) for n in least)
                    try_size(program, folder, units, kind, size, False)
            bookshelves(program, units)
        refusals(program, folder)
    return total()


if __name__ == "__main__":
    sys.exit(main())
