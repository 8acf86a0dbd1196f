"""What the tests of printed sheets share: prints, words, pictures.  No test by itself."""
import html
import os
import re
import subprocess

TOP = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
SHEETS = ["labels.pdf", "marking-out.pdf", "dry-fit.pdf", "glue-up.pdf"]
INCH = os.path.join(TOP, "tests", "pieces", "wharf-stool-inch.xml")
MM = 25.4 / 72  # of a point


def pieces():
    """Paths of the projects and the piece in inches, in order."""
    folder = os.path.join(TOP, "projects")
    names = sorted(name for name in os.listdir(folder) if name.endswith(".xml"))
    return [os.path.join(folder, name) for name in names] + [INCH]


def run(*command):
    """The output of a command that must succeed."""
    done = subprocess.run(command, capture_output=True, check=False)
    if done.returncode != 0:
        raise RuntimeError("%s: status %d: %s" % (" ".join(command), done.returncode,
                                                  (done.stdout + done.stderr)[-400:]))
    return done.stdout


def print_piece(program, piece, paper, folder, *options):
    """The paths of the sheets."""
    run(program, "print", "-q", "-p", paper, "-o", folder, *options, piece)
    return [os.path.join(folder, name) for name in SHEETS]


def file_faults(pdf):
    """What qpdf finds wrong, and typefaces that are not embedded."""
    done = subprocess.run(["qpdf", "--check", pdf], capture_output=True, text=True, check=False)
    faults = [] if done.returncode == 0 else ["qpdf --check: " + (done.stdout + done.stderr)[-300:]]
    rows = run("pdffonts", pdf).decode().splitlines()[2:]
    if not rows:
        faults.append("has no typefaces")
    # name, type, encoding, then: embedded, a subset, with a table of its characters
    return faults + ["typeface: " + row for row in rows
                     if not re.search(r" yes yes yes +\d+ +\d+$", row)]


class Word:
    """A word with its box in mm from the top left of its page (from 1)."""

    def __init__(self, page, box, text):
        self.page, self.text = page, text
        self.x0, self.y0, self.x1, self.y1 = box


def words(pdf):
    """(words, [(width, height) of each page])"""
    found, sizes = [], []
    for line in run("pdftotext", "-q", "-bbox", pdf, "-").decode().splitlines():
        page = re.search(r'<page width="([\d.]+)" height="([\d.]+)"', line)
        word = re.search(r'<word xMin="(\S+)" yMin="(\S+)" xMax="(\S+)" yMax="(\S+)">(.*)</word>',
                         line)
        if page:
            sizes.append((float(page[1]) * MM, float(page[2]) * MM))
        if word:
            box = [float(word[i]) * MM for i in range(1, 5)]
            found.append(Word(len(sizes), box, html.unescape(word[5])))
    return found, sizes
