#!/usr/bin/python3
"""Some hundred random pieces of which the truth is known.

usage: generated.py PROGRAM [COUNT [FIRST_SEED]]

tests/gen/generate.py makes them.  A sound piece must be found sound, by `check`
and by `order`; its JSON must name the parts and the joints that were drawn, no
more and no fewer, each joint once among the joins; some are printed, and every
part and every mark must be on the sheets.  Then one fault is planted: its code
must be found, on the line that was changed where that is the line to name, and
no other error.
"""
import collections
import json
import os
import re
import subprocess
import sys
import tempfile

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
sys.path.insert(0, os.path.join(TOP, "tests/gen"))
sys.path.insert(0, os.path.join(TOP, "tests"))
import generate  # noqa: E402
from tally import expect, total  # noqa: E402: the path is set above

PRINTED = 12   # one piece in so many is printed
FAULTS = 3     # faults planted in each
# A loop may be put right at another of its parts, and of two halves in one place
# either may be the wrong one: the finding then names the changed one in its words.
OTHER_LINE = {"loop-open", "two-into-one"}
FINDING = re.compile(r"^.*?:(?:(\d+):)? error: .* \[([a-z-]+)\]$", re.M)
STATUS_2 = {"unknown-attribute", "bad-value"}

planted, shapes = collections.Counter(), collections.Counter()


def run(program, *words):
    done = subprocess.run([program, *words], capture_output=True, text=True, timeout=60, check=False)
    return done.returncode, done.stdout, done.stderr


def errors_of(text):
    return [(int(line or 0), code) for line, code in FINDING.findall(text)]


def judge_joints(name, piece, order):
    drawn = sorted((e.part.id, r.part.id, kind, glued) for e, r, kind, glued in piece.joints)
    said = sorted((j["entering"], j["receiving"], j["kind"], j["glued"])
                  for j in order["marks"]["joints"])
    expect(drawn == said, "%s: joints %s, drawn were %s" % (name, said, drawn))
    parts = order["marks"]["parts"]
    expect(sorted(parts) == sorted(p.id for p in piece.parts), "%s: parts %s" % (name, sorted(parts)))
    marks = [j["mark"] for j in order["marks"]["joints"]]
    expect(len(set(marks)) == len(marks) and len(set(parts.values())) == len(parts),
           "%s: a mark is given twice" % name)
    closed = [mark for stage in order["stages"] for join in stage["joins"] for mark in join["joints"]]
    expect(sorted(closed) == sorted(marks), "%s: joints closed %s, there are %s" % (name, closed, marks))
    moved = [p for stage in order["stages"] for join in stage["joins"] for p in join["moving"]]
    expect(set(moved) <= set(parts), "%s: strange parts are moved" % name)


def judge_sheets(program, folder, path, name, piece, order):
    sheets = os.path.join(folder, "sheets")
    status, _, err = run(program, "print", "-q", "-o", sheets, path)
    if not expect(status == 0, "%s: print ends with %d: %s" % (name, status, err)):
        return
    for sheet in ("labels", "dry-fit", "glue-up", "marking-out"):
        text = subprocess.run(["pdftotext", "-layout", os.path.join(sheets, sheet + ".pdf"), "-"],
                              capture_output=True, text=True, check=True).stdout
        words = set(re.findall(r"[A-Za-z0-9]+", text))
        if sheet == "labels":
            missing = [p.name for p in piece.parts if not set(p.name.split()) <= words]
            expect(not missing, "%s: %s does not name %s" % (name, sheet, missing))
        if sheet in ("labels", "dry-fit"):
            marks = [re.match(r"[A-Za-z0-9]+", m).group(0) for m in
                     [j["mark"] for j in order["marks"]["joints"]] + list(order["marks"]["parts"].values())]
            missing = [mark for mark in marks if mark not in words]
            expect(not missing, "%s: marks %s are not on %s" % (name, missing, sheet))


def judge_sound(program, folder, path, seed):
    piece = generate.Piece(seed)
    shapes[piece.shape.__name__] += 1
    with open(path, "w", encoding="utf-8") as file:
        file.write(piece.file())
    name = "piece %d (%s)" % (seed, piece.shape.__name__)
    sound = piece.verdict == "mates"
    status, out, err = run(program, "check", "--json", path)
    if not expect(status in (0, 1) and not err, "%s: check ends with %d: %s" % (name, status, err)):
        return
    check = json.loads(out)
    errors = [f["code"] for f in check["findings"] if f["severity"] == "error"]
    expect((status, errors, check["verdict"]) == ((0, [], "mates") if sound else
           (1, [piece.verdict], "will-not-mate")), "%s: %d, %s" % (name, status, errors))
    status, out, err = run(program, "order", "--json", path)
    order = json.loads(out)
    expect(status == (0 if sound else 1) and order["project"] == check["project"] == piece.name,
           "%s: order ends with %d: %s" % (name, status, err))
    if not sound:
        return
    # What the order adds speaks of the plan; what check has found stays.
    left_out = [f for f in check["findings"] if f not in order["findings"]]
    expect(not left_out, "%s: order does not say %s" % (name, left_out))
    judge_joints(name, piece, order)
    if seed % PRINTED == 0:
        judge_sheets(program, folder, path, name, piece, order)


def judge_fault(program, path, seed, code):
    piece = generate.Piece(seed)
    piece.plant(code)
    planted[code] += 1
    text = piece.file()
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    line = next(i for i, words in enumerate(text.split("\n"), 2) if "<!-- fault -->" in words)
    status, _, err = run(program, "check", path)
    errors = errors_of(err)
    name = "piece %d (%s) with %s on line %d" % (seed, piece.shape.__name__, code, line)
    wanted = 2 if code in STATUS_2 else 1
    expect(status == wanted and {found for _, found in errors} == {code},
           "%s: status %d, found %s" % (name, status, errors))
    lines = {at for at, found in errors if found == code}
    words = "".join(w for w in err.split("\n") if "[%s]" % code in w)
    named = [p for p in piece.parts if p.id in words and (p.fault or any(h.fault for h in p.halves))]
    expect(line in lines or (code in OTHER_LINE and named), "%s: found on %s" % (name, sorted(lines)))


def main():
    program = os.path.abspath(sys.argv[1] if len(sys.argv) > 1 else "build/gluewright")
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 240
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "piece.xml")
        for seed in range(first, first + count):
            judge_sound(program, folder, path, seed)
            # In turn, so that each fault is planted about as often.
            possible = sorted(generate.Piece(seed).faults(), key=lambda code: (planted[code], code))
            for code in possible[:FAULTS]:
                judge_fault(program, path, seed, code)
    print("%d pieces: %s" % (count, ", ".join("%s %d" % pair for pair in sorted(shapes.items()))))
    print("%d faults: %s" % (sum(planted.values()),
                             ", ".join("%s %d" % pair for pair in sorted(planted.items()))))
    return total()


if __name__ == "__main__":
    sys.exit(main())
