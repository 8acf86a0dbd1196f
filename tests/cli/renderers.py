#!/usr/bin/python3
"""Every printed page looks the same to two programs that have no code in common.

usage: renderers.py PROGRAM [all]

Poppler (pdftoppm) and MuPDF (mutool draw) render each page in grey at 120 dots
per inch, brought down to 40 by the mean of nine (at 40 at once each widens thin
lines in its own way).  Each dot of the one picture may have any grey that the
other has within one dot of the place; what it is beyond that is its excess, 0 to
255, and the other way round.  The pictures are the same when
  - in no square of SQUARE by SQUARE dots (5 mm) the mean excess is over LOCAL,
  - less than SHARE of all dots have an excess over STEP, and
  - the mean difference of all dots, without that allowance, is under MEAN.
The limits are set between what was measured on sound pages (19; 0.24 %; 6.7) and
what a fault gives.  That a fault is seen is tried on every page: the darkest
square of 5 mm is wiped out in the one picture (29 or more), and they must differ.

The files themselves: qpdf --check, and every typeface embedded.  The everyday
run takes half of the pieces on each paper; `all` takes everything.
"""
import os
import sys
import tempfile

from PIL import Image, ImageChops, ImageFilter, ImageStat

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import printed  # noqa: E402: the path is set above

DPI, REDUCE = 120, 3
SQUARE = 8     # dots
LOCAL = 25     # of 255 greys
STEP = 96      # of 255 greys
SHARE = 0.004  # of all dots
MEAN = 8.0     # of 255 greys


def rendered(pdf, folder):
    """[(poppler's picture, mupdf's)]"""
    printed.run("pdftoppm", "-q", "-gray", "-r", str(DPI), pdf, os.path.join(folder, "p"))
    printed.run("mutool", "draw", "-q", "-c", "gray", "-r", str(DPI), "-o",
                os.path.join(folder, "m%04d.pgm"), pdf)
    names = sorted(os.listdir(folder))
    sides = []
    for letter in "pm":
        mine = [os.path.join(folder, name) for name in names if name[0] == letter]
        sides.append([Image.open(name).convert("L").reduce(REDUCE) for name in mine])
        for name in mine:
            os.remove(name)
    if len(sides[0]) != len(sides[1]):
        raise RuntimeError("%d pages and %d" % (len(sides[0]), len(sides[1])))
    return list(zip(*sides))


def excess(one, other):
    """By how much each dot of `one` is beyond those near it in `other`."""
    low, high = other.filter(ImageFilter.MinFilter(3)), other.filter(ImageFilter.MaxFilter(3))
    return ImageChops.add(ImageChops.subtract(low, one), ImageChops.subtract(one, high))


class Difference:
    def __init__(self, one, other):
        self.mean = ImageStat.Stat(ImageChops.difference(one, other)).mean[0]
        worst = ImageChops.lighter(excess(one, other), excess(other, one))
        self.share = sum(worst.histogram()[STEP + 1:]) / (one.width * one.height)
        even = (0, 0, one.width // SQUARE * SQUARE, one.height // SQUARE * SQUARE)
        self.local = max(worst.crop(even).reduce(SQUARE).tobytes())

    def is_small(self):
        return self.mean < MEAN and self.share < SHARE and self.local <= LOCAL

    def words(self):
        return "%d in a square, %.4f %% of the dots beyond, mean difference %.2f" % (
            self.local, 100 * self.share, self.mean)


def same_size(one, other):
    """Both cut to what they share; a dot more or less is how each rounds."""
    if abs(one.width - other.width) > 1 or abs(one.height - other.height) > 1:
        raise RuntimeError("%dx%d and %dx%d dots" % (one.size + other.size))
    box = (0, 0, min(one.width, other.width), min(one.height, other.height))
    return one.crop(box), other.crop(box)


def wiped(picture):
    """The picture without its darkest square."""
    even = (0, 0, picture.width // SQUARE * SQUARE, picture.height // SQUARE * SQUARE)
    small = picture.crop(even).reduce(SQUARE)
    greys = small.tobytes()
    at = min(range(len(greys)), key=lambda i: greys[i])
    x, y = at % small.width * SQUARE, at // small.width * SQUARE
    copy = picture.copy()
    copy.paste(255, (x, y, x + SQUARE, y + SQUARE))
    return copy


class Tally:
    def __init__(self):
        self.passed, self.failures = 0, []
        self.sound, self.faulty = [], []

    def expect(self, truth, what):
        self.passed += bool(truth)
        if not truth:
            self.failures.append(what)

    def judge_page(self, one, other, what):
        one, other = same_size(one, other)
        self.sound.append(Difference(one, other))
        self.faulty.append(Difference(wiped(one), other))
        self.expect(self.sound[-1].is_small(), "%s: %s" % (what, self.sound[-1].words()))
        self.expect(not self.faulty[-1].is_small(), "%s, a square wiped out: only %s" %
                    (what, self.faulty[-1].words()))

    def judge_file(self, pdf, folder, what):
        faults = printed.file_faults(pdf)
        self.expect(not faults, "%s: %s" % (what, "; ".join(faults)))
        for number, (one, other) in enumerate(rendered(pdf, folder), 1):
            self.judge_page(one, other, "%s, page %d" % (what, number))


def main():
    program, everything = sys.argv[1], sys.argv[2:] == ["all"]
    tally = Tally()
    for i, piece in enumerate(printed.pieces()):
        for k, paper in enumerate(printed.PAPERS):
            if not everything and (i + k) % 2:
                continue
            with tempfile.TemporaryDirectory() as sheets, tempfile.TemporaryDirectory() as folder:
                for pdf in printed.print_piece(program, piece, paper, sheets):
                    tally.judge_file(pdf, folder, "%s on %s, %s" % (
                        os.path.basename(piece), paper, os.path.basename(pdf)))
    for what in tally.failures:
        print("FAILED:", what)
    print("%d pages; the most: %d in a square of 5 mm, %.4f %% of the dots beyond, mean difference "
          "%.2f; a square wiped out: %d at the least" %
          (len(tally.sound), max(d.local for d in tally.sound),
           100 * max(d.share for d in tally.sound), max(d.mean for d in tally.sound),
           min(d.local for d in tally.faulty)))
    print("%d passed, %d failed" % (tally.passed, len(tally.failures)))
    return 1 if tally.failures else 0


if __name__ == "__main__":
    sys.exit(main())
