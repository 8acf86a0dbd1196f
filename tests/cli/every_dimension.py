#!/usr/bin/python3
"""Makes each size of each project one millimetre larger, one at a time.

usage: every_dimension.py [PROGRAM] [-v] [PROJECT...]

For each size `PROGRAM check` is run on the changed project.  Counted are the
sizes for which it finds an error and, where that error is a loop that does
not close, whether the changed size is among those that the finding names or
counts ("one of N others", "one other").  A loop whose finding does neither has failed.
-v lists the sizes for which nothing is found: those that a part may have
without harm (a panel that floats, a piece that becomes a little longer).
"""
import glob
import os
import re
import subprocess
import sys
import tempfile

SIZES = {"length", "width", "thickness", "depth", "lap", "inset", "from-left", "from-right",
         "from-front", "from-back", "from-bottom", "from-top"}
TAG = re.compile(r"<!--.*?-->|<(/?)([a-z-]+)((?:\s+[a-z-]+=\"[^\"]*\")*)\s*(/?)>", re.S)
ATTRIBUTE = re.compile(r"([a-z-]+)=\"([^\"]*)\"")
PLAIN = re.compile(r"-?[0-9]+(\.[0-9]+)?$")
FINDING = re.compile(r"^(.*?):(\d+): error: (.*) \[([a-z-]+)\]$")


def sizes_of(text):
    """Yields (part, element, attribute, value, where in the text) and fills in who copies whom."""
    copies, found = {}, []
    part = group = None
    for tag in TAG.finditer(text):
        closing, name = tag.group(1), tag.group(2)
        if name is None:
            continue
        if closing:
            part = None if name == "part" else part
            group = None if name == "group" else group
            continue
        attributes = dict(ATTRIBUTE.findall(tag.group(3)))
        prefix = group + "." if group else ""
        owner = part
        if name == "group":
            group = attributes["id"]
            continue
        if name == "part":
            owner = prefix + attributes["id"]
            of = attributes.get("like") or attributes.get("mirror-of")
            if of:
                copies[owner] = of if "." in of else prefix + of
            part = None if tag.group(4) else owner
        elif owner is None and group and "part" in attributes:
            owner = prefix + attributes["part"]
        if owner is None:
            continue
        for one in ATTRIBUTE.finditer(text, tag.start(3), tag.end(3)):
            if one.group(1) in SIZES and PLAIN.match(one.group(2)):
                found.append((owner, name, one.group(1), one.group(2), one.span(2)))
    return found, copies


def family(part, copies):
    """The part and all that are copied from it, at first or second hand."""
    def root_chain(one):
        while one:
            yield one
            one = copies.get(one)
    return {part} | {one for one in copies if part in root_chain(one)}


def is_named(words, parts, element, attribute, value):
    which = r"from-[a-z]+" if attribute.startswith("from-") else re.escape(attribute)
    who = "(?:%s)" % "|".join(sorted(map(re.escape, parts)))
    what = "" if element == "part" else "the %s at the [a-z]+ of " % re.escape(element)
    return re.search(r"(?:: |or )%s of %s%s %s to " % (which, what, who, re.escape(value)), words)


def judge(program, path, directory, text, size, copies):
    part, element, attribute, value, (begin, end) = size
    larger = "%g" % (float(value) + 1)
    changed = os.path.join(directory, os.path.basename(path))
    with open(changed, "w", encoding="utf-8") as out:
        out.write(text[:begin] + larger + text[end:])
    ran = subprocess.run([program, "check", changed], capture_output=True, text=True, check=False)
    if ran.returncode not in (0, 1):
        return "broken", ran.stderr
    errors = [FINDING.match(line) for line in ran.stderr.splitlines()]
    errors = [(e.group(3), e.group(4)) for e in errors if e]
    if not errors:
        return "unseen", ""
    loops = [words for words, code in errors if code == "loop-open"]
    if not loops:
        return "other", errors[0][1]
    parts = family(part, copies)
    if any(is_named(words, parts, element, attribute, larger) for words in loops):
        first = is_named(loops[0], parts, element, attribute, larger)
        return ("first" if first and loops[0].find("change one" + first.group(0)) >= 0 else
                "named"), ""
    if any(re.search(r"or one (of [0-9]+ others|other)", words) for words in loops):
        return "counted", loops[0]
    return "lost", loops[0]


def has_loop(path):
    """Whether the joints are more than it takes to hold the parts together."""
    with open(path) as file:
        text = file.read()
    parts = len(re.findall(r"<part\b", text))
    return len(re.findall(r'\binto="', text)) > parts - 1


def main():
    arguments = [a for a in sys.argv[1:] if a != "-v"]
    verbose = len(arguments) < len(sys.argv) - 1
    program = os.path.abspath(arguments[0] if arguments else "build/gluewright")
    here = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..")
    projects = arguments[1:] or sorted(glob.glob(os.path.join(here, "projects", "*.xml")))
    columns = ["unseen", "other", "first", "named", "counted", "lost", "broken"]
    print("%-18s %6s %6s |" % ("project", "sizes", "error") + "".join("%8s" % c for c in columns))
    total, passed, failed = dict.fromkeys(columns, 0), 0, 0
    with tempfile.TemporaryDirectory() as directory:
        for path in projects:
            with open(path, encoding="utf-8") as source:
                text = source.read()
            found, copies = sizes_of(text)
            counts, lines = dict.fromkeys(columns, 0), []
            for size in found:
                what, words = judge(program, path, directory, text, size, copies)
                counts[what] += 1
                line = text.count("\n", 0, size[4][0]) + 1
                if what in ("lost", "broken") or (verbose and what in ("unseen", "counted")):
                    lines.append("  line %d: %s of the %s of %s, %s: %s %s" %
                                 (line, size[2], size[1], size[0], size[3], what, words))
            errors = len(found) - counts["unseen"]
            print("%-18s %6d %6d |" % (os.path.basename(path)[:-4], len(found), errors) +
                  "".join("%8d" % counts[c] for c in columns))
            for line in lines:
                print(line)
            bad = counts["lost"] + counts["broken"]
            if counts["first"] + counts["named"] == 0 and has_loop(path):
                print("  no size of this project opens a loop that names it")
                bad += 1
            failed += bad
            passed += len(found) - counts["lost"] - counts["broken"]
            for column in columns:
                total[column] += counts[column]
    whole = sum(total.values())
    print("%-18s %6d %6d |" % ("all", whole, whole - total["unseen"]) +
          "".join("%8d" % total[c] for c in columns))
    print("%d passed, %d failed" % (passed, failed))
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main())
