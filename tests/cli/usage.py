#!/usr/bin/python3
"""What the command says and how it ends when it is used wrongly, or for what it
cannot do: a sentence on standard error, nothing else, and the exit status that the
manual promises (2 it could not be judged, 3 the machine failed).

usage: usage.py PROGRAM"""
import os
import re
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, total  # noqa: E402: the path is set above

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
CHEST = os.path.join(TOP, "projects/lantern-chest.xml")
SHEETS = {"labels.pdf", "marking-out.pdf", "dry-fit.pdf", "glue-up.pdf"}


class Command:
    def __init__(self, program, folder):
        self.program, self.folder = program, folder

    def run(self, *args, **more):
        more = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **more}
        done = subprocess.run([self.program, *args], check=False, timeout=60, cwd=self.folder,
                              env=dict(os.environ, LC_ALL="C.UTF-8"), **more)
        return done.returncode, (done.stdout or b"").decode(), (done.stderr or b"").decode()

    def refuses(self, status, words, *args, **more):
        """Ends so, says that, and writes nothing to standard output."""
        ended, out, err = self.run(*args, **more)
        expect(ended == status and words in err and out == "" and err.endswith("\n"),
               "%s: %d, not %d with %r; %r %r" % (" ".join(args), ended, status, words, out, err))

    def path(self, name):
        return os.path.join(self.folder, name)

    def put(self, name, text):
        with open(self.path(name), "w", encoding="utf-8") as file:
            file.write(text)
        return self.path(name)


def words(c):
    c.refuses(2, "gluewright check chest.xml")  # the usage itself
    c.refuses(2, "did you mean check", "chek", CHEST)
    c.refuses(2, "no such command: wxyzwxyz", "wxyzwxyz")
    c.refuses(2, "first what to do with the file: gluewright check " + CHEST, CHEST)
    c.refuses(2, "door 417 wide, 633 deep and 21 high needs other joints; the size is width x depth x "
              "height, at least 220x20x260", "new", "door", "--size=417x633x21")
    c.refuses(2, "--units=in for inches", "new", "box", "--size=16x10x8")
    c.refuses(2, "box 4 1/2 wide, 10 deep and 7 high needs other joints; the size is width x depth x "
              "height, at least 5x4x2 1/2 in", "new", "box", "--units=in", "--size=4 1/2x10x7")
    there = c.put("there.xml", "mine")
    c.refuses(2, "there.xml is there already, and is not written over", "new", "box", "-o", there)
    with open(there, encoding="utf-8") as file:
        expect(file.read() == "mine", "new wrote over a file")
    for command in ("check", "order", "print", "list", "follow"):
        c.refuses(2, "say which file: gluewright " + command, command)
    c.refuses(2, "one project at a time", "check", CHEST, CHEST)
    c.refuses(2, "gluewright --help", "check", "--no-such-option", CHEST)
    c.refuses(2, "--paper is one of a4, letter, not a5", "print", "--paper=a5", CHEST)
    c.refuses(2, "--color is one of", "check", "--color=sometimes", CHEST)
    c.refuses(2, "--units is one of mm, in, not ft", "new", "box", "--units=ft")
    c.refuses(2, "but no screws", "list", "--table=screws", CHEST)
    c.refuses(2, "14:00", "order", "--quiet", "--start=25:00", CHEST)
    for hour in ("--start=7", "--start=12:60", "--start=12:3x", "--start="):
        c.refuses(2, "--start is an hour", "order", "--quiet", hour, CHEST)
    status, out, err = c.run("--help")
    expect(status == 0 and err == "" and "Exit status" in out, "--help: %d %s" % (status, err))
    status, out, err = c.run("--version")
    expect(status == 0 and re.match(r"gluewright \d+\.\d+", out), "--version: %d %s" % (status, out))


def labels(c):
    """A bought sheet of labels on the command line."""
    whole = "columns=3,rows=8,width=63.5,height=33.9,left=7,top=13,gap-x=2.5,gap-y=0"
    for sheet, fault in (("columns=3", "missing: rows"), ("columns", "no value for columns"),
                         ("columns=0,rows=8", "1 to 99, not 0"), ("columns=3x,rows=8", "not 3x"),
                         ("columns=100,rows=1", "not 100"), ("colums=3", "no such measure: colums"),
                         (whole.replace("63.5", "wide"), "not a length: wide"),
                         (whole.replace("left=7", "left=-7"), "not a length: -7"),
                         (whole + "," * 256, "too long")):
        c.refuses(2, "--labels: " + fault if "not" not in fault else fault,
                  "print", "--quiet", "-o", c.path("never"), "--labels=" + sheet, CHEST)
    for first in ("0", "-1", "x", "", "12x", "123456789"):
        c.refuses(2, "labels are counted from 1, not " + first, "print", "-F", first, CHEST)
    c.refuses(2, "do not fit on paper", "print", "--quiet", "-o", c.path("never"),
              "--labels=" + whole.replace("63.5", "90"), CHEST)
    expect(not os.path.exists(c.path("never")) or not os.listdir(c.path("never")),
           "sheets were printed of labels that cannot be")
    pages = {}
    for first in (1, 24, 25):
        folder = c.path("first-%d" % first)
        status, out, err = c.run("print", "-o", folder, "--labels=" + whole, "-F", str(first), CHEST)
        if first > 24:
            expect(status == 2 and "24" in err, "the 25th of 24 labels: %d %s" % (status, err))
            continue
        if expect(status == 0 and SHEETS == set(os.listdir(folder)), "labels from %d: %s" % (first, err)):
            info = subprocess.run(["pdfinfo", os.path.join(folder, "labels.pdf")], capture_output=True,
                                  check=True, text=True).stdout
            pages[first] = int(re.search(r"Pages: *(\d+)", info).group(1))
    expect(pages.get(1, 0) > 1 and pages.get(24) == pages[1] + 1,
           "sheets by the first free label: %s" % pages)


def will_not(c):
    """A piece that will not mate: no sheets, unless as a draft."""
    bad = os.path.join(TOP, "tests/broken/chest--loop-open.xml")
    folder = c.path("bad")
    status, out, err = c.run("print", "-o", folder, bad)
    expect(status == 1 and out == "" and "nothing is printed" in err and "--draft" in err and
           not os.path.exists(folder), "print of a bad piece: %d %s %s" % (status, out, err))
    status, out, err = c.run("print", "-q", "-o", folder, bad)
    expect(status == 1 and "nothing is printed" not in err and "loop-open" in err, "the same, quietly")
    alone = os.path.join(TOP, "tests/broken/chest--two-into-one.xml")
    status, out, err = c.run("print", "--draft", "-o", folder, alone)
    expect(status == 1 and "nothing is printed" in err and "--draft" not in err and
           not os.path.exists(folder), "a draft of what cannot be drawn: %d %s" % (status, err))
    for command in ("follow", "list", "order"):
        status, out, err = c.run(command, alone)
        expect(status == 1 and "two-into-one" in err and out == "",
               "%s of a bad piece: %d %s" % (command, status, out))


def altered(c, name, piece, *changes):
    with open(os.path.join(TOP, piece), encoding="utf-8") as file:
        text = file.read()
    for old, new in changes:
        expect(old in text, "%s is not in %s" % (old, piece))
        text = text.replace(old, new)
    return c.put(name, text)


def remedies(c):
    """What the finding says is what to do."""
    locked = altered(c, "in-line.xml", "projects/ringers-stool.xml", (' plumb="yes"', ""))
    status, out, err = c.run("check", locked)
    expect(status == 1 and "[locked]" in err and 'upright, plumb="yes", or open one' in err,
           "tenons in line with splayed legs: %d %s" % (status, err))
    expect(err.count(": leg-bl – ") == 6 and re.search(r"; and so in \d+ other ways\b", err), "walks: %s" % err)
    comma = altered(c, "comma.xml", "projects/lantern-chest.xml", ('length="732"', 'length="732,5"'))
    c.refuses(2, "write a point for the comma", "check", comma)
    for changed, wanted in (('open="10 min"', "A time such as"), ('hands="1"', "A whole number from 1 to 99")):
        word = changed.split('"')[0]
        bare = altered(c, "bare.xml", "projects/lantern-chest.xml", (changed, word + '"some"'))
        c.refuses(2, word + '"some" cannot be read; wanted here: ' + wanted, "check", bare)
    bare = altered(c, "bare.xml", "projects/lantern-chest.xml", (' kind="pva"', ""))
    c.refuses(2, '<glue> needs kind="…"; A generic kind: pva, ', "check", bare)
    glue = altered(c, "glue.xml", "projects/lantern-chest.xml", ('kind="pva"', 'kind="plumbers-paste"'))
    for command in ("check", "order", "print"):
        status, out, err = c.run(command, glue)
        expect(status == 1 and err.count("[unknown-glue-kind]") == 1 and "T+" not in out and
               "take the nearest of pva, cross-linking-pva," in err and "epoxy-slow, and put" in err,
               "%s with a strange glue: %d %s %s" % (command, status, out, err))
    status, out, err = c.run("follow", glue)
    expect(status == 1 and out == "" and "unknown-glue-kind" in err, "follow with a strange glue: %s" % err)


def tree(c):
    """The tree has each join once."""
    status, out, err = c.run("order", "--quiet", "--tree", CHEST)
    joins = re.findall(r"^ *(\d+)\. bring ", out, re.M)
    expect(status == 0 and err == "" and sorted(map(int, joins)) == [1, 2, 3, 4] and
           len(out.splitlines()) == 4, "a tree: %d %s" % (status, out))


def machine(c):
    """What the machine refuses: exit status 3, and nothing half-written."""
    there = c.put("file", "not a folder")
    c.refuses(3, "cannot be made", "list", "-q", "-o", os.path.join(there, "tables"), CHEST)
    c.refuses(3, "cannot be written", "schema", "-o", os.path.join(there, "piece.xsd"))
    c.refuses(3, "cannot be written", "order", "-q", "--rehearse", "-o", os.path.join(there, "t.csv"), CHEST)
    c.refuses(2, "cannot be opened", "check", c.path("not-there.xml"))
    c.refuses(2, "cannot be opened", "order", "-q", "--times=" + c.path("not-there.csv"), CHEST)
    for args in (("schema",), ("check", CHEST), ("check", "--json", CHEST), ("order", CHEST),
                 ("order", "--json", CHEST), ("order", "--tree", CHEST), ("list", CHEST),
                 ("order", "--rehearse", CHEST), ("explain",), ("new", "box"), ("--help",)):
        with open("/dev/full", "wb") as full:
            status, _, err = c.run(*args, stdout=full)
        expect(status == 3 and "standard output" in err, "%s on a full disk: %d %s" %
               (" ".join(args), status, err))
    for name in ("schema", "new"):
        status, _, err = c.run(name, "box", "-o", "/dev/full")
        expect(status != 0 and os.path.exists("/dev/full") and "/dev/full" in err,
               "%s into a full disk: %d %s" % (name, status, err))


def large(c):
    """Lists and files that are larger than they can be."""
    head = "id,length,width,thickness\n"
    cases = (("a,%s,2,3\n" % ("1" * 1001), "line 2: a field is longer than 1000 bytes"),
             ("a,%s,2,3\n" % ("1" * 1000), "line 2: length is no length"),
             ("a,1,2,3" + "," * 64 + "\n", "line 2: more than 64 columns"),
             ("a,1,2,3\n" * 100000, "more than 100000 rows"),
             ("a,\"1,2,3\n", "a quotation mark is not closed"),
             ("", "the list has no parts"))
    for rows, fault in cases:
        c.refuses(2, fault, "new", "--from-list=" + c.put("list.csv", head + rows))
    c.refuses(2, "more than", "new", "--from-list=" + c.put(
        "list.csv", "name,length,width,thickness,count\n" + "a,1,2,3,999\n" * 1000))
    big = c.put("big.xml", "")
    os.truncate(big, (64 << 20) + 1)
    c.refuses(2, "64 MiB", "check", big)
    c.refuses(2, "too large for what it should be", "new", "--from-list=" + big)
    c.refuses(2, "too large for what it should be", "order", "-q", "--times=" + big, CHEST)


def rehearsed(c):
    """Times that are no times."""
    head = "action,number,real_s\n"
    for rows, fault in (("glue,1,10\n", "not \"glue\""), ("spread,1,soon\n", "\"soon\" is no time"),
                        ("spread,1,-5\n", "\"-5\" is no time"), ("spread,1,1:75\n", "is no time"),
                        ("clamp,1,86401\n", "is no time")):
        c.refuses(2, fault, "order", "-q", "--times=" + c.put("times.csv", head + rows), CHEST)
    c.refuses(2, "no columns action", "order", "-q", "--times=" + c.put("times.csv", "a,b\n1,2\n"), CHEST)
    c.refuses(2, "empty", "order", "-q", "--times=" + c.put("times.csv", "\n\n"), CHEST)
    status, out, err = c.run("order", "--times=" + c.put("times.csv", head + "clamp,99,10\nspread,999,5\n"),
                             CHEST)
    expect(status == 0 and out and "no join 99 to clamp" in err and "no glued joint 999 to spread" in err,
           "rows of another piece: %d %s" % (status, err))


def main():
    program = os.path.abspath(sys.argv[1] if len(sys.argv) > 1 else "build/gluewright")
    with tempfile.TemporaryDirectory() as folder:
        for part in (words, labels, will_not, remedies, tree, machine, large, rehearsed):
            part(Command(program, folder))
    return total()


if __name__ == "__main__":
    sys.exit(main())
