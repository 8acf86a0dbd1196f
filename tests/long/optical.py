#!/usr/bin/python3
"""Marks on printed labels of halves, read by a machine that knows figures only.

usage: optical.py [BUILD [MARK...]]

BUILD/bench/half_labels prints a label for each of the marks 1 to 199.  They are
rendered as they lie and turned half round, with bars and without, and each mark
is read by tesseract, which may answer with figures only.

The rule of reading, for people and here: a bar is the bottom.  So whoever sees a
bar turns the label until the bar is below, and reads.  A bar is found in the
picture: a band of ink from end to end of the mark with white between it and the
figures.  A mark without a bar is read both ways up, and the surer reading
counts, since a figure that stands on its head is an odd one.

Misread means: read as another mark in use.  By the rule none may be.  Without
the bars the same labels are read as they lie; then some must be misread, or the
test could not see the fault that the bars are there for.
"""
import os
import re
import subprocess
import sys
import tempfile

from PIL import Image

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
MARKS = 199
DPI = 150
WHITE, BLACK = 255, 128  # darker than BLACK is ink


def write_piece(path, joints):
    """Two sides and as many shelves as give that many joints or one more."""
    shelves = (joints + 1) // 2
    with open(path, "w", encoding="utf-8") as out:
        out.write('<piece xmlns="urn:gluewright:piece:1" version="1" name="Pigeon holes">'
                  '<glue id="pot" kind="slow-pva"/>')
        for side, looks, at in (("a", "left", "right"), ("b", "right", "left")):
            out.write('<part id="%s" length="%d" width="250" thickness="20" face="%s" '
                      'edge="front">' % (side, 80 + 60 * shelves, looks))
            for k in range(shelves):
                out.write('<housing id="h%d" at="%s" from-bottom="%d" depth="7"/>'
                          % (k, at, 40 + 60 * k))
            out.write("</part>")
        for k in range(shelves):
            out.write('<part id="p%d" length="500" width="250" thickness="12" face="up" '
                      'edge="front"><shelf-end at="left" into="a/h%d"/>'
                      '<shelf-end at="right" into="b/h%d"/></part>' % (k, k, k))
        out.write("</piece>")


class Labels:
    """The labels of one print, rendered as they lie or turned half round."""

    def __init__(self, build, folder, bars):
        self.folder, self.bars = folder, bars
        self.pdf = os.path.join(folder, "bars.pdf" if bars else "nobars.pdf")
        command = [os.path.join(build, "bench", "half_labels"), os.path.join(folder, "piece.xml"),
                   self.pdf] + ([] if bars else ["nobars"])
        lines = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        self.places = {}
        for line in lines.splitlines():
            mark, bar, page, *box = line.split()
            self.places[int(mark)] = (bar == "1", int(page), [float(v) for v in box])
        self.words = self.find_words()

    def find_words(self):
        """Left and right end, in mm, of each mark on its label."""
        out = subprocess.run(["pdftotext", "-q", "-bbox", self.pdf, "-"], capture_output=True,
                             text=True, check=True).stdout
        page, found = 0, {}
        for line in out.splitlines():
            page += "<page " in line
            word = re.match(r' *<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" '
                            r'yMax="([\d.]+)">(\d+)</word>', line)
            if word is None or int(word[5]) not in self.places:
                continue
            x0, y0, x1, y1 = (float(word[i]) * 25.4 / 72 for i in range(1, 5))
            _, there, (left, top, wide, high) = self.places[int(word[5])]
            if page == there and left <= x0 and x1 <= left + wide and top - 5 <= y0 and \
                    y1 <= top + high and x0 - left < 3:
                found[int(word[5])] = (x0, x1)
        return found

    def render(self, turned, marks):
        """A picture of each of the marks with its bar, trimmed to its ink."""
        pdf = self.pdf
        if turned:
            pdf = os.path.join(self.folder, "turned.pdf")
            subprocess.run(["qpdf", "--rotate=180:1-z", self.pdf, pdf], check=True)
        pages, pictures = {}, {}
        for mark in marks:
            _, page, (_, top, _, high) = self.places[mark]
            if page not in pages:
                root = os.path.join(self.folder, "page")
                subprocess.run(["pdftoppm", "-q", "-gray", "-singlefile", "-r", str(DPI), "-f",
                                str(page), "-l", str(page), pdf, root], check=True)
                pages[page] = Image.open(root + ".pgm").copy()
            x0, x1 = self.words[mark]
            # The upper part of a label, as wide as the mark.
            box = [v * DPI / 25.4 for v in (x0 - 0.3, top, x1 + 0.3, top + 0.62 * high)]
            if turned:
                wide, tall = pages[page].size
                box = [wide - box[2], tall - box[3], wide - box[0], tall - box[1]]
            pictures[mark] = trim(pages[page].crop([round(v) for v in box]))
        return pictures


def trim(picture):
    ink = picture.point(lambda v: 255 if v < BLACK else 0).getbbox()
    return picture.crop(ink)


def bands(picture):
    """Runs of rows with ink in them: (first, behind the last)."""
    wide, tall = picture.size
    rows = picture.tobytes()
    found, start = [], None
    for y in range(tall + 1):
        ink = y < tall and min(rows[y * wide:(y + 1) * wide]) < BLACK
        if ink and start is None:
            start = y
        if not ink and start is not None:
            found.append((start, y))
            start = None
    return found


def is_bar(picture, band):
    """Low, and dark from end to end."""
    wide, tall = picture.size
    middle = (band[0] + band[1]) // 2
    row = picture.crop((0, middle, wide, middle + 1)).tobytes()
    dark = sum(v < BLACK for v in row)
    return dark >= 0.95 * wide and band[1] - band[0] < 0.25 * tall


def lay(picture):
    """The figures with the bar below, and whether there was one: (picture, bar)."""
    found = bands(picture)
    if len(found) > 1 and is_bar(picture, found[-1]):
        return trim(picture.crop((0, 0, picture.width, found[-2][1]))), True
    if len(found) > 1 and is_bar(picture, found[0]):
        rest = trim(picture.crop((0, found[1][0], picture.width, picture.height)))
        return rest.transpose(Image.Transpose.ROTATE_180), True
    return picture, False


def read(pictures, folder):
    """What is read on each picture, with how sure: [(text, 0 to 100)]."""
    names = []
    for i, picture in enumerate(pictures):
        page = Image.new("L", (picture.width + 40, picture.height + 40), WHITE)
        page.paste(picture, (20, 20))
        names.append(os.path.join(folder, "mark%d.png" % i))
        page.save(names[-1])
    listing = os.path.join(folder, "marks.txt")
    with open(listing, "w", encoding="utf-8") as out:
        out.write("".join(name + "\n" for name in names))
    rows = subprocess.run(["tesseract", listing, "-", "--psm", "8", "--dpi", str(DPI), "-c",
                           "tessedit_char_whitelist=0123456789", "tsv"], capture_output=True,
                          text=True, check=True, env=dict(os.environ, OMP_THREAD_LIMIT="1")).stdout
    answers = [("", 0.0) for _ in pictures]
    for row in rows.splitlines():
        cells = row.split("\t")
        if len(cells) == 12 and cells[0] == "5" and cells[11].strip():
            text, sure = answers[int(cells[1]) - 1]
            answers[int(cells[1]) - 1] = (text + cells[11].strip(), max(sure, float(cells[10])))
    return answers


def read_by_the_rule(pictures, folder):
    """{mark: (text, bar seen)}"""
    laid = {mark: lay(picture) for mark, picture in pictures.items()}
    lone = [mark for mark in laid if not laid[mark][1]]
    shown = [laid[mark][0] for mark in laid]
    shown += [laid[mark][0].transpose(Image.Transpose.ROTATE_180) for mark in lone]
    answers = read(shown, folder)
    result = dict(zip(laid, answers))
    for mark, other in zip(lone, answers[len(laid):]):
        result[mark] = max(result[mark], other, key=lambda answer: answer[1])
    return {mark: (result[mark][0], laid[mark][1]) for mark in laid}


def misread(mark, text):
    """Whether the text is another mark in use; zeros in front are not read."""
    text = text.lstrip("0")
    return text != str(mark) and text.isdigit() and 1 <= int(text) <= MARKS


def judge(build, marks, say):
    """[words of a failure]; `say` is told the figures."""
    failures = []
    with tempfile.TemporaryDirectory() as folder:
        write_piece(os.path.join(folder, "piece.xml"), MARKS)
        plain, barred = Labels(build, folder, False), Labels(build, folder, True)
        for turned in (False, True):
            way = "turned half round" if turned else "as it lies"
            pictures = plain.render(turned, marks)
            bare = dict(zip(pictures, read(list(pictures.values()), folder)))
            wrong = ["%d as %s" % (m, bare[m][0]) for m in marks if misread(m, bare[m][0])]
            say("%s, no bars, no rule: %d of %d misread%s" %
                (way, len(wrong), len(marks), ": " + ", ".join(wrong) if wrong else ""))
            if turned and not wrong:
                failures.append("without bars nothing is misread: the test cannot see")
            ruled = read_by_the_rule(barred.render(turned, marks), folder)
            wrong = ["%d as %s" % (m, ruled[m][0]) for m in marks if misread(m, ruled[m][0])]
            unread = ["%d as '%s'" % (m, ruled[m][0]) for m in marks
                      if ruled[m][0] != str(m) and not misread(m, ruled[m][0])]
            say("%s, by the rule: %d of %d misread%s; %d not read%s" %
                (way, len(wrong), len(marks), ": " + ", ".join(wrong) if wrong else "",
                 len(unread), ": " + ", ".join(unread) if unread else ""))
            failures += ["%s by the rule, %s" % (words, way) for words in wrong]
            failures += ["bar of %d not seen as printed, %s" % (m, way) for m in marks
                         if ruled[m][1] != barred.places[m][0]]
            # One in twenty that is not read at all is the reader's fault; more is the print's.
            if len(unread) > len(marks) // 20:
                failures.append("%d of %d are not read, %s" % (len(unread), len(marks), way))
    return failures


def main(marks):
    build = sys.argv[1] if len(sys.argv) > 1 else os.path.join(TOP, "build")
    if build.endswith("gluewright"):
        build = os.path.dirname(build) or "."
    marks = [int(mark) for mark in sys.argv[2:]] or marks
    failures = judge(build, marks, print)
    for words in failures:
        print("FAILED:", words)
    checks = 4 * len(marks) + 3  # misread and bar, each both ways; and three of the whole
    print("%d passed, %d failed" % (checks - len(failures), len(failures)))
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(list(range(1, MARKS + 1))))
