#!/usr/bin/python3
"""What lies on the paper, measured in the files by other programs.

usage: paper.py PROGRAM [all]

For each project, a piece in inches and one that leans, on A4 and on US Letter:
  - the page has the size of the paper, and all text stays 4 mm from its edges
    (most printers leave them white); no word lies over another (pdftotext -bbox);
  - every point of every line and fill is on the page (qpdf --qdf);
  - MuPDF reads the same characters as Poppler;
  - on labels.pdf the large number of each joint is there twice for each copy of
    the piece, and no other large number is;
  - the ruler of a page that says it is 100 mm long is, in the page's operators,
    and drawings at full size have the sizes of the project;
  - what is said after a timed list stands under lines of it, a heading of a layout
    over its drawing, rows of marking out under their setting, and what to look out for
    names parts, with their letters;
  - a second run, in another folder, language and time zone, gives the same bytes.
Then four copies of a piece: each mark stands on two labels with each of the four
signs, each part's letter on one, and no label is without its sign.

The everyday run takes each piece on one paper; `all` takes both.
"""
import collections
import csv
import io
import os
import re
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import printed  # noqa: E402: the path is set above
from tally import expect, total  # noqa: E402

EDGE = 4.0       # mm
SLACK = 0.15     # mm that boxes of words may share
LARGE = 7.6      # mm: taller boxes than those of figures in sketches, of 13 points
SETTING = "With the |Depths|(Marking|Mortise) gauge: |Plough: |Depth: |Sliding bevel: |Rule: "
RULER = "This line is 100 mm long."
SIGN = re.compile(r"[#+]+")
# Thickness and width of mortises in mm, as the projects state them: what is cut away is
# grey in the drawings at full size.
# So are, where a joint is cut through, its housing, rebate, groove or notch, and what
# goes beside a dovetailed halving's tail: 70 mm at 1:8.
FULL_SIZE = {"pantry-door": [(8, 70), (8, 90), (8, 110), (8, 10)],
             "side-table": [(6, 28), (6, 100), (5, 6)],
             "study-bookcase": [(7, 20), (8, 8), (10, 20)], "gallery-frame": [(8, 12), (45, 45)],
             "coat-rack": [(14, 60), (14, 70), (8.75, 70), (60, 70)], "wharf-stool-inch": [(6.35, 38.1)]}
# What goes in is hatched in an outline: tenons, and of panels and boards as much as
# goes in, which is less than their grooves are deep.
GOES_IN = {"pantry-door": [(8, 70), (8, 90), (8, 110), (7, 8), (8, 9)], "lantern-chest": [(6, 10)],
           "side-table": [(6, 28), (6, 100), (4.5, 6)], "study-bookcase": [(7, 20), (7.5, 8), (10, 20)],
           "gallery-frame": [(7, 12)], "wharf-stool-inch": [(6.35, 38.1), (6.35, 19.05)]}


def overlapping(words):
    """Pairs of words of one page that meet.  A box is as high as the tallest
    letters of its face, so a sixth is taken off at the top and at the foot."""
    found = []
    boxes = []
    for word in words:
        sixth = (word.y1 - word.y0) / 6
        boxes.append((word.y0 + sixth, word.y1 - sixth, word))
    boxes.sort(key=lambda box: box[0])
    for i, (_, bottom, one) in enumerate(boxes):
        for top, _, other in boxes[i + 1:]:
            if top >= bottom - SLACK:
                break
            if one.x0 < other.x1 - SLACK and other.x0 < one.x1 - SLACK:
                found.append("'%s' over '%s'" % (one.text, other.text))
    return found


def check_words(pdf, paper, what):
    words, sizes = printed.words(pdf)
    wanted = printed.PAPERS[paper]
    expect(sizes and all(abs(s[i] - wanted[i]) < 0.1 for s in sizes for i in (0, 1)),
           "%s: pages of %s" % (what, sorted(set(sizes))))
    for number, (wide, high) in enumerate(sizes, 1):
        here = [word for word in words if word.page == number]
        expect(here, "%s, page %d: no words" % (what, number))
        out = [w.text for w in here
               if w.x0 < EDGE or w.x1 > wide - EDGE or w.y0 + (w.y1 - w.y0) / 6 < EDGE or
               w.y1 - (w.y1 - w.y0) / 6 > high - EDGE]
        expect(not out, "%s, page %d: off the page: %s" % (what, number, out[:5]))
        over = overlapping(here)
        expect(not over, "%s, page %d: %s" % (what, number, over[:5]))
    return words


def characters(text):
    return collections.Counter("".join(text.decode("utf-8").split()))


def check_readers(pdf, what):
    one = characters(printed.run("pdftotext", "-q", "-raw", pdf, "-"))
    other = characters(printed.run("mutool", "draw", "-q", "-F", "txt", pdf))
    expect(one == other, "%s: read differently: %s" % (what, dict((one - other) + (other - one))))


# ---- operators ----------------------------------------------------------------------


def pages_of(pdf):
    """The operators of each page as lines."""
    spread = printed.run("qpdf", "--qdf", "--object-streams=disable", pdf, "-").decode("latin-1")
    parts = re.split(r"^%% Contents for page \d+$", spread, flags=re.M)[1:]
    return [part[part.index("stream\n") + 7:part.index("endstream")].splitlines()
            for part in parts]


class Path:
    """A line or fill: its points in mm from the lower left, its operator and grey."""

    def __init__(self, points, how, grey):
        self.points, self.how, self.grey, self.hatched = points, how, grey, False
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        self.x0, self.x1, self.y0, self.y1 = min(xs), max(xs), min(ys), max(ys)
        self.wide, self.high = self.x1 - self.x0, self.y1 - self.y0


def is_hatched(paths):
    """Whether the last is an outline over aslant lines that end on it."""
    outline, lines = paths[-1], 0
    for path in reversed(paths[:-1]):
        inside = outline.x0 - 0.01 < path.x0 and path.x1 < outline.x1 + 0.01 and \
            outline.y0 - 0.01 < path.y0 and path.y1 < outline.y1 + 0.01
        if not (inside and path.how == "S" and abs(path.wide - path.high) < 0.01 and path.wide > 0):
            break
        lines += 1
    return lines > 1


def paths_of(lines):
    """What a page draws; a page with a scale of its own would be measured wrongly."""
    found, points, grey = [], [], 0.0
    for line in lines:
        words = line.split()
        operator = words[-1] if words else ""
        if operator == "cm":
            raise RuntimeError("a page changes its scale: " + line)
        if operator in ("m", "l", "c"):
            values = [float(word) * printed.MM for word in words[:-1]]
            points += list(zip(values[::2], values[1::2]))
        elif operator == "re":
            x, y, wide, high = (float(word) * printed.MM for word in words[:4])
            points += [(x, y), (x + wide, y + high)]
        elif operator == "g":
            grey = float(words[0])
        elif operator in ("S", "s", "f", "n") and points:
            found.append(Path(points, operator, grey))
            found[-1].hatched = operator == "s" and is_hatched(found)
            points = []
    return found


def check_inside(pages, paper, what):
    wide, high = printed.PAPERS[paper]
    for number, paths in enumerate(pages, 1):
        out = [p for p in paths if p.x0 < -0.01 or p.y0 < -0.01 or p.x1 > wide + 0.01 or
               p.y1 > high + 0.01]
        expect(paths and not out, "%s, page %d: %d of %d lines and fills are off the page" %
               (what, number, len(out), len(paths)))


def check_rulers(pages, words, paper, what):
    """The longest level line over the words on the ruler's page, with its ticks."""
    rulers = 0
    high = printed.PAPERS[paper][1]
    for number, paths in enumerate(pages, 1):
        here = [w for w in words if w.page == number]
        text = " ".join(w.text for w in here)
        if RULER not in text:
            continue
        rulers += 1
        at = next(w for i, w in enumerate(here)
                  if " ".join(x.text for x in here[i:i + 6]) == RULER)
        lines = [p for p in paths if p.how == "S" and p.high < 0.01 and p.wide > 50 and
                 abs(p.x0 - at.x0) < 2 and 0 < at.y1 - (high - p.y0) < 8]
        ticks = {round(p.x0 - line.x0, 2) for line in lines for p in paths
                 if p.how == "S" and p.wide < 0.01 and abs(p.y0 - line.y0) < 0.01}
        expect([round(p.wide, 2) for p in lines] == [100.0], "%s, page %d: the ruler is %s" %
               (what, number, ["%.3f" % p.wide for p in lines]))
        expect(ticks >= {10.0 * i for i in range(11)}, "%s, page %d: ticks at %s" %
               (what, number, sorted(ticks)))
    return rulers


# ---- labels -----------------------------------------------------------------------


def table(program, piece, name):
    done = subprocess.run([program, "list", "-q", "-b", name, piece], capture_output=True,
                          text=True, check=True)
    return list(csv.DictReader(io.StringIO(done.stdout)))


def large_marks(words, pattern):
    """[(mark, sign)] of the large marks; a sign stands at the right of its mark, in
    the same word or in the next."""
    signs = [w for w in words if SIGN.fullmatch(w.text)]
    found = []
    for word in words:
        match = re.fullmatch(pattern + r"([#+]*)", word.text)
        if match is None or word.y1 - word.y0 < LARGE:
            continue
        sign = match[2]
        for other in signs:
            if other.page == word.page and \
                    -0.5 < other.x0 - word.x1 < 0.15 * (word.y1 - word.y0) and \
                    word.y0 < (other.y0 + other.y1) / 2 < word.y1:
                sign += other.text
        found.append((match[1], sign))
    return found


def check_marks(program, piece, words, signs, what):
    joints = [row["mark"] for row in table(program, piece, "joints")]
    wanted = {(mark, sign): 2 for mark in joints for sign in signs}
    found = collections.Counter(large_marks(words, r"(\d+)"))
    expect(joints and found == wanted, "%s: marks and their labels: %s" %
           (what, sorted(k for k in set(found) | set(wanted) if found[k] != wanted.get(k, 0))[:6]))


def check_letters(program, piece, words, signs, what):
    """With signs only: without, the letters on labels of halves look the same."""
    parts = [row["mark"] for row in table(program, piece, "parts")]
    wanted = {(mark, sign): 1 for mark in parts for sign in signs}
    found = collections.Counter(pair for pair in large_marks(words, "([A-Z]+)") if pair[1])
    expect(parts and found == wanted, "%s: letters and their labels: %s" %
           (what, sorted(k for k in set(found) | set(wanted) if found[k] != wanted.get(k, 0))[:6]))


def signs_of(copies):
    """Ones are crosses, fives are hashes."""
    return [""] if copies == 1 else ["#" * (n // 5) + "+" * (n % 5) for n in range(1, copies + 1)]


# ---- a piece ------------------------------------------------------------------------


def bytes_again(program, piece, paper, folder):
    """The sheets of a second run elsewhere."""
    environment = dict(os.environ, TZ="Pacific/Chatham", LANG="de_DE.UTF-8", LC_ALL="C")
    subprocess.run([os.path.abspath(program), "print", "-q", "-p", paper, "-o", "again",
                    os.path.abspath(piece)], check=True, cwd=folder, env=environment,
                   capture_output=True)
    return [os.path.join(folder, "again", name) for name in printed.SHEETS]


def content(path):
    with open(path, "rb") as file:
        return file.read()


def check_dry_page(page, rehearsed, what):
    """No rows without their heads, and the box to sign not without rows of the rehearsal."""
    rows = [row.strip() for row in page.splitlines() if row.strip()]
    timed = [n for n, row in enumerate(rows) if re.match(r"\d+ .*\d:\d\d +\d+:\d\d$", row)]
    heads = [n for n, row in enumerate(rows) if re.match(r"Stage \d+.*start +takes +real$", row)]
    sums = [n for n, row in enumerate(rows) if re.match(r"All (clamped|together) and checked", row)]
    expect(not timed or heads and heads[0] < timed[0], what + ": times without a head")
    for n in sums:
        head = max([0] + [k for k in heads if k < n])
        expect("continued" not in rows[head] or sum(head < k < n for k in timed) > 1,
               what + ": a sum without two lines")
    expect("All is ticked" not in page or timed or not rehearsed,
           what + ": the box to sign stands alone")
    expect(not re.match(r"(one|found) ", rows[1]), what + ": blanks without what they are for")
    expect(not re.match(r"The difference let pass", rows[1]), what + ": a footnote alone")
    joint = re.match(r"\d+ +\w.*\([A-Z]+\) (into|against) ", rows[1])
    expect(not joint, what + ": a joint without its join")


def check_together(sheets, ids, what):
    """What belongs together is on one page."""
    texts = {os.path.basename(pdf): printed.run("pdftotext", "-q", "-layout", pdf, "-").decode()
             for pdf in sheets}
    for number, page in enumerate(texts["glue-up.pdf"].split("\f")[:-1], 1):
        expect(not re.search("last clamp on|last joint home", page) or
               re.search(r"\bdo +start", page),
               "%s: glue-up, page %d: what is said after the list stands alone" % (what, number))
        expect("Gone wrong?" not in page or
               re.search(r"\bdo +start|Before you begin|Line \d+:", page),
               "%s: glue-up, page %d: what to do when it goes wrong stands alone" % (what, number))
    expect(texts["glue-up.pdf"].count("Gone wrong?") ==
           len(re.findall("last clamp on|last joint home", texts["glue-up.pdf"])),
           "%s: glue-up: not one box for each stage with glue" % what)
    for number, page in enumerate(texts["marking-out.pdf"].split("\f")[:-1], 1):
        headings = re.findall(r"\bJoints? \d", re.sub(r"Joints? [^:.]*\bno\s+marking\s+out", "", page))
        drawn = re.findall(r"\b(?:Goes in \d|Both are cut|Cut \d|The slant runs|\d+ (?:tail|finger|dowel))",
                           page)
        expect(len(headings) == len(drawn), "%s: marking out, page %d: %d headings, %d layouts" %
               (what, number, len(headings), len(drawn)))
        rows = [row.strip() for row in page.splitlines() if row.strip()]
        expect(not re.match(SETTING, rows[-2]),
               "%s: marking out, page %d: a setting at the foot without rows" % (what, number))
        expect(not rows[0].startswith("Marking out: settings") or
               re.match(SETTING + "|Each setting|No joint|For joint|Joint|Layouts|The parts", rows[1]),
               "%s: marking out, page %d: rows without their setting" % (what, number))
        # Small layouts fill what the tall tenons of its aprons leave.
        expect("side-table" not in what or "Joints 1" not in page or len(headings) != 1,
               "%s: marking out, page %d: one layout alone" % (what, number))
    for number, page in enumerate(texts["dry-fit.pdf"].split("\f")[:-1], 1):
        check_dry_page(page, "Rehearsal" in texts["dry-fit.pdf"],
                       "%s: dry fit, page %d" % (what, number))
    mixed = " ".join(texts["dry-fit.pdf"].split()).split("Write the marks before the dry fit is "
                                                         "taken apart. ")
    expect(len(mixed) <= 2, "%s: dry fit: what to do of mix-ups is said %d times" %
           (what, len(mixed) - 1))
    for words in mixed[1].split(". ") if len(mixed) > 1 else []:
        listed = re.match(r"([^:;]*?)(?: and \d+ more)? (?:could change places|also go(?:es)? in)",
                          words)
        for name in re.split(r"(?<=\)), |(?<=\)) and ", listed[1]) if listed else []:
            expect(name not in ids and re.search(r"\([A-Z]+\)$", name),
                   "%s: dry fit: a part without its letter: %s" % (what, name))


def check_full_size(name, pages, what):
    drawn = {tuple(sorted((round(p.wide, 2), round(p.high, 2)))) for paths in pages for p in paths
             if p.how == "f" and 0 < p.grey < 1}
    for size in FULL_SIZE.get(name, []):
        expect(size in drawn, "%s: no grey stretch of %g x %g mm" % ((what,) + size))
    outlined = {tuple(sorted((round(p.wide, 2), round(p.high, 2)))) for paths in pages for p in paths
                if p.how == "s" and p.hatched}
    for size in GOES_IN.get(name, []):
        expect(size in outlined, "%s: no hatched stretch of %g x %g mm" % ((what,) + size))


def check_level(name, pages, what):
    """A tenon and its mortise stand at one height of the paper."""
    level = 0
    for paths in pages:
        grey = [p for p in paths if p.how == "f" and 0 < p.grey < 1]
        for tenon in (p for p in paths if p.hatched and p.high > 60):
            level += any(abs(p.wide - tenon.wide) < 0.01 and abs(p.y0 - tenon.y0) < 0.01 and
                         abs(p.y1 - tenon.y1) < 0.01 for p in grey)
    expect(name != "pantry-door" or level == 3, "%s: %d tenons level with their mortises" %
           (what, level))


def check_aslant(name, pages, what):
    """The tails of a box whose ends lean by atan(15 / 61.8) in its faces."""
    leans = [abs((b[0] - a[0]) / (b[1] - a[1])) for paths in pages for p in paths
             if p.how == "f" and 0 < p.grey < 1
             for a, b in zip(p.points, p.points[1:]) if abs(a[1] - b[1]) > 1]
    expect(name != "pear-tray" or any(abs(lean - 15 / 61.8) < 0.005 for lean in leans),
           "%s: no end aslant: %s" % (what, sorted(round(lean, 3) for lean in leans)))


def check_flanks(name, pages, what):
    """The socket of a dovetailed halving: 60 mm at one side of the post, 2 x 70/8 less at the
    other."""
    fills = [p.points for paths in pages for p in paths if p.how == "f" and 0 < p.grey < 1]
    upright = [sorted(round(abs(a[1] - b[1]), 2) for a, b in zip(points, points[1:] + points[:1])
                      if abs(a[0] - b[0]) < 0.01 < abs(a[1] - b[1])) for points in fills]
    expect(name != "coat-rack" or [42.5, 60] in upright, what + ": no socket from 60 to 42.5 mm")


def check_piece(program, piece, paper):
    name = os.path.splitext(os.path.basename(piece))[0]
    copies = int((re.search(rb'<piece[^>]* copies="(\d+)"', content(piece)) or [0, b"1"])[1])
    with tempfile.TemporaryDirectory() as folder:
        sheets = printed.print_piece(program, piece, paper, os.path.join(folder, "first"))
        again = bytes_again(program, piece, paper, folder)
        ids = set(re.findall(r'<part id="([^"]+)"', content(piece).decode()))
        check_together(sheets, ids, "%s on %s" % (name, paper))
        for pdf, second in zip(sheets, again):
            what = "%s on %s, %s" % (name, paper, os.path.basename(pdf))
            expect(content(pdf) == content(second), "%s: other bytes the second time" % what)
            words = check_words(pdf, paper, what)
            check_readers(pdf, what)
            pages = [paths_of(lines) for lines in pages_of(pdf)]
            check_inside(pages, paper, what)
            rulers = check_rulers(pages, words, paper, what)
            if pdf.endswith("labels.pdf"):
                expect(rulers == 1, "%s: %d rulers" % (what, rulers))
                check_marks(program, piece, words, signs_of(copies), what)
            if pdf.endswith("marking-out.pdf"):
                check_full_size(name, pages, what)
                check_flanks(name, pages, what)
                check_level(name, pages, what)
                check_aslant(name, pages, what)
                at_full_size = sum("full scale" in " ".join(w.text for w in words if w.page == n)
                                   for n in range(1, len(pages) + 1))
                expect(rulers == at_full_size, "%s: %d pages of layouts at full scale, %d rulers" %
                       (what, at_full_size, rulers))


def check_copies(program, piece, copies):
    with tempfile.TemporaryDirectory() as folder:
        many = os.path.join(folder, "many.xml")
        with open(many, "wb") as out:
            out.write(content(piece).replace(b"<piece ", b'<piece copies="%d" ' % copies, 1))
        labels = printed.print_piece(program, many, "a4", folder)[0]
        what = "%s, %d copies" % (os.path.basename(piece), copies)
        words = check_words(labels, "a4", what)
        check_marks(program, many, words, signs_of(copies), what)
        check_letters(program, many, words, signs_of(copies), what)


def main():
    program, everything = sys.argv[1], sys.argv[2:] == ["all"]
    pieces = printed.pieces()
    papers = list(printed.PAPERS)
    for i, piece in enumerate(pieces + [os.path.join(printed.TOP, "tests", "pieces", "pear-tray.xml")]):
        for k, paper in enumerate(papers):
            if everything or (i + k) % 2:
                check_piece(program, piece, paper)
    for i, piece in enumerate(pieces[:-1]):
        if everything or i % 3 == 0:
            check_copies(program, piece, 4)
    return total()


if __name__ == "__main__":
    sys.exit(main())
