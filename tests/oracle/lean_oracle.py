#!/usr/bin/python3
"""Random stools with legs splayed both ways, against plain vectors.

usage: lean_oracle.py BUILD

Each stool is laid out here by planes and points alone, with the linear algebra
of NumPy (Debian package python3-numpy): a leg is bounded by planes that hold its
direction, corners are where three planes meet, lengths and angles are those
between corners.  No formula of the program is used.  Compared are

  - whether the stool closes with the lengths found here, to a tenth of a
    millimetre, and whether it stops closing with one of them 1 mm longer, by that
    millimetre;
  - true lengths of legs and the longest lines of rails, as the labels print them;
  - every angle of the marking-out sheet, and to which side it goes;
  - the diagonals of the dry-fit sheet;
  - that legs tenoned into the seat in line cannot go in together once they are
    framed, and one by one can.

Ends "N passed, M failed"."""
import math
import os
import random
import re
import subprocess
import sys
import tempfile

import numpy as np

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, total  # noqa: E402: the path is set above

CHECKED, PRINTED = 200, 25
Z = np.array([0.0, 0.0, 1.0])
AXES = {"left": np.array([-1.0, 0, 0]), "right": np.array([1.0, 0, 0]),
        "front": np.array([0, -1.0, 0]), "back": np.array([0, 1.0, 0])}


# ---- planes --------------------------------------------------------------------


def meet(*planes):
    """The point on three planes (normal, a point on it)."""
    normals = np.array([n for n, _ in planes])
    return np.linalg.solve(normals, np.array([n @ p for n, p in planes]))


def level(z):
    return Z, np.array([0, 0, z])


def unit(v):
    return v / np.linalg.norm(v)


def degrees_between(u, v):
    return math.degrees(math.acos(max(-1, min(1, float(unit(u) @ unit(v))))))


class Leg:
    """Foot carried out to `x_side` and `y_side`; faces hold its direction, one pair
    with the line from front to back, the other with that from left to right."""

    def __init__(self, s, x_side, y_side):
        self.x_side, self.y_side = x_side, y_side
        out = AXES[x_side] * s.tan[0] + AXES[y_side] * s.tan[1]
        self.d = unit(Z - out)  # from the foot up
        at = np.array([s.cx if x_side == "left" else s.seat[0] - s.cx,
                       s.cy if y_side == "front" else s.seat[1] - s.cy, s.high])
        self.face = {}
        for side, along, thick in (("left", AXES["back"], s.wide), ("right", AXES["back"], s.wide),
                                   ("front", AXES["right"], s.thick),
                                   ("back", AXES["right"], s.thick)):
            n = unit(np.cross(self.d, along))
            n = n if n @ AXES[side] > 0 else -n
            self.face[side] = (n, at + n * thick / 2)
        self.inner_x = self.face["right" if x_side == "left" else "left"]
        self.inner_y = self.face["back" if y_side == "front" else "front"]

    def arris(self, z):
        """Of the inner corner at that height."""
        return meet(self.inner_x, self.inner_y, level(z))

    def true_length(self, low, high):
        return np.linalg.norm(self.arris(high) - self.arris(low))


class Stool:
    def __init__(self, rng):
        self.rng = rng
        self.splay, self.tan = [], []
        for _ in range(2):
            if rng.random() < 0.3:
                n = rng.choice([5, 6, 7.5, 8, 10, 12])
                self.splay.append(f"1:{n:g}")
                self.tan.append(1 / n)
            else:
                a = round(rng.uniform(1.5, 12), rng.choice([0, 1]))
                self.splay.append(f"{a:g}")
                self.tan.append(math.tan(math.radians(a)))
        self.wide, self.thick = rng.choice([34, 38, 42]), rng.choice([34, 38, 42])
        self.high = rng.randint(330, 700)
        self.seat = (rng.randint(340, 460), rng.randint(300, 420))
        self.tenon = (20, 14)
        from_left, from_front = rng.randint(250, 400) / 10, rng.randint(250, 400) / 10
        self.from_left, self.from_front = from_left, from_front
        self.cx, self.cy = from_left + self.tenon[0] / 2, from_front + self.tenon[1] / 2
        self.apron, self.gap = rng.randint(50, 90), rng.randint(0, 12)
        self.depth = 16
        self.legs = {(x, y): Leg(self, x, y) for x in ("left", "right") for y in ("front", "back")}
        self.mid = self.high - self.gap - self.apron / 2
        self.lengths = {"front": self.between(0, self.mid) + 2 * self.depth,
                        "left": self.between(1, self.mid) + 2 * self.depth}

    def between(self, axis, z):
        """From leg to leg at that height, on the line midway across them."""
        a = self.legs["left", "front"]
        b = self.legs["right", "front"] if axis == 0 else self.legs["left", "back"]
        side = (AXES["back"], AXES["right"])[axis]
        face = (lambda g: g.inner_x if axis == 0 else g.inner_y)
        p = meet(face(a), level(z), (side, np.zeros(3)))
        q = meet(face(b), level(z), (side, np.zeros(3)))
        return float(np.linalg.norm(q - p))

    def text(self, plumb=True, framed=True, longer=None):
        plumb = ' plumb="yes"' if plumb else ""
        size = {k: round(v, 1) + (1 if k == longer else 0) for k, v in self.lengths.items()}
        top = 18 + self.gap + 8
        mortises = f"""
    <mortise id="apron" at="right" thickness="8" from-front="6" from-top="{top}"/>
    <mortise id="side" at="back" thickness="8" from-left="6" from-top="{top}"/>""" if framed else ""
        t, w = self.tenon[1], self.tenon[0]
        x, y = self.from_left, self.from_front
        if not plumb:  # a level section of what leans is wider than it is thick
            leg = self.legs["left", "front"]
            x = self.cx - w / abs(leg.inner_x[0] @ AXES["left"]) / 2
            y = self.cy - t / abs(leg.inner_y[0] @ AXES["front"]) / 2
        place = f'from-{{}}="{x:.3f}" from-{{}}="{y:.3f}"'
        lines = [f"""<piece xmlns="urn:gluewright:piece:1" version="1" name="Stool" units="mm">
  <glue id="pot" kind="liquid-hide"/>
  <part id="fl" length="{self.high + 18}" width="{self.wide}" thickness="{self.thick}" face="front" edge="left" splay="left {self.splay[0]} front {self.splay[1]}">
    <tenon at="up" into="seat/fl" thickness="{t}" width="{w}" depth="18"{plumb}/>{mortises}
  </part>
  <part id="fr" mirror-of="fl" into="seat/fr"/>
  <part id="bl" mirror-of="fl" mirrored="front-back" into="seat/bl"/>
  <part id="br" mirror-of="bl" into="seat/br"/>"""]
        if framed:
            for id, length, at, splay, face, from_, into in (
                    ("front", size["front"], ("left", "right"), f"front {self.splay[1]}", "front",
                     "from-front", ("fl/apron", "fr/apron")),
                    ("left", size["left"], ("front", "back"), f"left {self.splay[0]}", "left",
                     "from-left", ("fl/side", "bl/side"))):
                lines.append(f"""  <part id="{id}" length="{length:g}" width="{self.apron}" thickness="18" face="{face}" edge="up" splay="{splay}">
    <tenon at="{at[0]}" into="{into[0]}" width="{self.apron - 16}" {from_}="5" from-top="8" depth="{self.depth}"/>
    <tenon at="{at[1]}" into="{into[1]}" width="{self.apron - 16}" {from_}="5" from-top="8" depth="{self.depth}"/>
  </part>""")
            lines.append("""  <part id="back" mirror-of="front" mirrored="front-back" into="bl/apron br/apron"/>
  <part id="right" mirror-of="left" into="fr/side br/side"/>""")
        lines.append(f'  <part id="seat" length="{self.seat[0]}" width="{self.seat[1]}" thickness="26" '
                     'face="up" edge="front">')
        for id, x, y in (("fl", "left", "front"), ("fr", "right", "front"), ("bl", "left", "back"),
                         ("br", "right", "back")):
            lines.append(f'    <mortise id="{id}" at="down" {place.format(x, y)}/>')
        lines.append("  </part>\n</piece>\n")
        return "\n".join(lines)


def run(program, command, path, *more):
    done = subprocess.run([program, command, path, *more], capture_output=True, text=True,
                          check=False)
    return done.returncode, done.stderr


# ---- closing ---------------------------------------------------------------------


def compare_closing(program, folder, i, rng):
    stool = Stool(rng)
    path = os.path.join(folder, "stool.xml")
    with open(path, "w", encoding="utf-8") as out:
        out.write(stool.text())
    status, said = run(program, "check", path)
    expect(status == 0, f"stool {i}: {said}\n{stool.text()}")
    longer = rng.choice(["front", "left"])
    with open(path, "w", encoding="utf-8") as out:
        out.write(stool.text(longer=longer))
    status, said = run(program, "check", path)
    short = [float(n) for n in re.findall(r"misses by ([0-9.]+)", said)]
    expect(status == 1 and len(short) == 2 and all(abs(n - 1) < 0.06 for n in short),
           f"stool {i}, {longer} longer by 1: {said}")
    expect(f"length of {longer} {round(stool.lengths[longer], 1) + 1:g} to" in said,
           f"stool {i}: {longer} is not named: {said}")


def compare_order(program, folder, i, rng):
    stool = Stool(rng)
    path = os.path.join(folder, "stool.xml")
    for framed, locks in ((True, True), (False, False)):
        with open(path, "w", encoding="utf-8") as out:
            out.write(stool.text(plumb=False, framed=framed))
        status, said = run(program, "check", path)
        expect((status == 1 and "[locked]" in said) if locks else status == 0,
               f"stool {i}, in line, framed {framed}: {said}")


# ---- what is printed ---------------------------------------------------------------


def pages(pdf):
    done = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True,
                          check=True)
    return re.sub(r"\s+", " ", done.stdout)


def sentences(text):
    """(degrees out of square, what is said) for each row of the sliding bevel."""
    begin = text.find("With the sliding bevel: what leans")
    end = text.find("With the ", begin + 1)
    text = re.sub(r"Stool file [0-9a-f]{16} Marking out, page \d+ of \d+ "
                  r"Marking out: settings(?:, continued)?", "", text[begin:end])
    found = []
    for part in text.split("Sliding bevel: ")[1:]:
        value = float(re.match(r"[0-9.]+° ?, which is ([0-9.]+)°", part).group(1))
        name = r"(?:fl|fr|bl|br|front|back|left|right)"
        names = r"\b((?:%s, )*%s): " % (name, name)
        for match in re.finditer(names + r"(.*?)(?=(?:[A-Z]+ )*(?:[0-9]+(?:, | ))*" + names + "|$)", part):
            for one in match.group(1).split(", "):
                found.append((value, "%s: %s" % (one, match.group(2).strip())))
    return found


def compare_leg(name, leg, leg_high, said, faces_of):
    """faces_of: the words for the pair of faces square to front and back, and the other."""
    for pair, words in zip((("front", "back"), ("left", "right")), faces_of):
        n = leg.face[pair[0]][0]
        line = unit(np.cross(n, Z))
        line = line if line @ leg.d > 0 else -line
        off = 90 - degrees_between(line, leg.d)
        side = [s for s in ("left", "right", "front", "back") if AXES[s] @ line > 0.5][0]
        rows = [v for v, row in said if row.startswith(f"{name}: level lines") and words in row and
                f"nearer to the upper end at the {side}" in row]
        expect(len(rows) == 1 and abs(rows[0] - off) < 0.011,
               f"{name}: level lines on {words} {off:.3f} towards {side}: {rows}")
    # From end to end along the leg: over the eight corners where its level ends meet its arrises.
    corners = [meet(leg.face[x], leg.face[y], level(z)) @ leg.d for x in ("left", "right")
               for y in ("front", "back") for z in (0.0, leg_high)]
    sawn = [float(m[1]) for _, row in said if row.startswith(f"{name}: level lines")
            for m in [re.search(r"sawn ([0-9.]+).mm long", row)] if m]
    expect(sawn and all(abs(v - (max(corners) - min(corners))) < 0.07 for v in sawn),
           f"{name}: sawn {max(corners) - min(corners):.3f}: {sawn}")
    angles = {(x, y): 180 - degrees_between(leg.face[x][0], leg.face[y][0])
              for x in ("left", "right") for y in ("front", "back")}
    blunt = sorted(k for k, v in angles.items() if v > 90)
    off = max(angles.values()) - 90
    rows = [v for v, row in said if row.startswith(f"{name}: section") and
            f"the left {blunt[0][1]} and the right {blunt[1][1]}" in row]
    if off >= 0.06:
        expect(len(rows) == 1 and abs(rows[0] - off) < 0.011, f"{name}: section {off:.3f} {blunt}: {rows}")
    for side, half in ((leg.x_side, "mortise"), (leg.y_side, "mortise")):
        opposite = {"left": "right", "right": "left", "front": "back", "back": "front"}[side]
        n = leg.face[opposite][0]
        into = -AXES[opposite]
        off = degrees_between(into, -n)
        slope = "lower" if into @ leg.d < 0 else "upper"
        rows = [v for v, row in said if row.startswith(f"{name}: {half} in the {opposite} side") and
                f"going in, towards the {slope} end" in row]
        expect(len(rows) == 1 and abs(rows[0] - off) < 0.011,
               f"{name}: {half} {opposite} {off:.3f} {slope}: {rows}")


def compare_apron(name, stool, axis, said):
    """The end, on the face that leans; the level edges."""
    leg = stool.legs["left", "front"]
    lean = stool.tan[1 - axis]
    along = (AXES["right"], AXES["back"])[axis]
    out = (AXES["front"], AXES["left"])[axis]
    up = unit(Z - out * lean)                  # up the face, square to its length
    face = np.cross(up, along)
    end = unit(np.cross(face, (leg.inner_x if axis == 0 else leg.inner_y)[0]))
    end = end if end @ Z > 0 else -end
    off = degrees_between(end, up)
    longer = "lower" if end @ along > 0 else "upper"  # the near end goes inwards as it goes up
    rows = [v for v, row in said if row.startswith(f"{name}: both ends") and
            f"the {longer} edge is the longer" in row]
    expect(len(rows) == 1 and abs(rows[0] - off) < 0.011, f"{name}: ends {off:.3f} {longer}: {rows}")
    across = -out
    off = 90 - degrees_between(across, up)
    side = [s for s in AXES if AXES[s] @ across > 0.5][0]
    rows = [v for v, row in said if row.startswith(f"{name}: upper and lower edges") and
            f"the {side} face is the higher" in row]
    expect(len(rows) == 1 and abs(rows[0] - off) < 0.011, f"{name}: edges {off:.3f} {side}: {rows}")
    # Over all four arrises, along the face: the board that the level edges are planed from.
    square = unit(face)
    high, deep = up * (stool.apron / up[2]), across * (18 / abs(across @ square))
    over = [corner @ up for corner in (0 * up, high, deep, high + deep)]
    wide = max(over) - min(over)
    sawn = [float(m[1]) for _, row in said if row.startswith(f"{name}: upper and lower edges")
            for m in [re.search(r"sawn ([0-9.]+).mm wide", row)] if m]
    expect(len(sawn) == 1 and abs(sawn[0] - wide) < 0.0501, f"{name}: sawn {wide:.3f}: {sawn}")


def compare_sheets(program, folder, i, rng):
    stool = Stool(rng)
    path = os.path.join(folder, "stool.xml")
    with open(path, "w", encoding="utf-8") as out:
        out.write(stool.text())
    status, said = run(program, "print", path, "-q", "-o", folder)
    expect(status == 0, f"stool {i}: not printed: {said}")
    if status != 0:
        return
    rows = sentences(pages(os.path.join(folder, "marking-out.pdf")))
    faces = ("the face side and the far side", "the face edge and the far edge")
    for id, key in (("fl", ("left", "front")), ("fr", ("right", "front")), ("bl", ("left", "back")),
                    ("br", ("right", "back"))):
        compare_leg(id, stool.legs[key], stool.high + 18.0, rows, faces)
    compare_apron("front", stool, 0, rows)
    compare_apron("left", stool, 1, rows)
    labels = pages(os.path.join(folder, "labels.pdf"))
    leg = stool.legs["left", "front"].true_length(0, stool.high + 18)
    expect(f"{round(leg, 1):g} × {stool.wide} × {stool.thick} mm" in labels,
           f"stool {i}: a leg of {leg:.2f} is not on the labels")
    for axis, name in ((0, "front"), (1, "left")):
        low = stool.mid - stool.apron / 2
        length = stool.between(axis, low) + 2 * stool.depth
        # The file's length is rounded to a tenth, and so is the label's.
        near = [round(length, 1) + k / 10 for k in (-1, 0, 1)]
        expect(any(f"{n:g} × " in labels for n in near), f"stool {i}: {name} of {length:.2f}")
    dry = pages(os.path.join(folder, "dry-fit.pdf"))
    compare_diagonals(stool, i, dry)


def compare_diagonals(stool, i, dry):
    low, high = 0.0, stool.mid - stool.apron / 2
    for axis, name in ((0, "front"), (1, "left")):
        found = re.search(rf"Between (?:fl|Fl)[^.]*?from {name}[^.]*?down to the feet.*?: ([0-9.]+).mm "
                          r"apart above, ([0-9.]+).mm below, both diagonals ([0-9.]+)", dry)
        expect(found is not None, f"stool {i}: no frame below {name}")
        if found is None:
            continue
        a, b = stool.legs["left", "front"], stool.legs["right", "front"] if axis == 0 else \
            stool.legs["left", "back"]
        other = "inner_y" if axis == 0 else "inner_x"
        inner = "inner_x" if axis == 0 else "inner_y"
        half = (stool.thick if axis == 0 else stool.wide) / 2

        def corner(leg, z):
            n, p = getattr(leg, other)
            return meet(getattr(leg, inner), (n, p - n * half), level(z))

        want = (np.linalg.norm(corner(a, high) - corner(b, high)),
                np.linalg.norm(corner(a, low) - corner(b, low)),
                np.linalg.norm(corner(a, low) - corner(b, high)))
        for value, text in zip(want, found.groups()):
            expect(abs(value - float(text)) < 0.16, f"stool {i}: {name} {value:.2f}, printed {text}")


def main():
    program = os.path.join(sys.argv[1], "gluewright")
    rng = random.Random(20)
    with tempfile.TemporaryDirectory() as folder:
        for i in range(CHECKED):
            compare_closing(program, folder, i, rng)
        for i in range(20):
            compare_order(program, folder, i, rng)
        for i in range(PRINTED):
            compare_sheets(program, folder, i, rng)
    return total()


if __name__ == "__main__":
    sys.exit(main())
