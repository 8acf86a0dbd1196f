#!/usr/bin/python3
"""Every code that a finding can have is explained and has an example.

usage: codes.py PROGRAM

The codes are collected from the sources: the third argument of each gw_find(),
and, where that is a parameter or a variable, what is handed over or assigned to
it in the same file.  An example is the file that codes.def names under tests/;
it must give its code on the line behind its mark, and when the code is an error
no other error.  Two codes have no file: too-many-parts (a piece is made here)
and search-stopped (tests/cli/terminal.py)."""
import glob
import os
import re
import sys
import tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, run, total  # noqa: E402: the path is set above

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
NAME = re.compile(r'"([a-z]+(?:-[a-z]+)*)"')
FINDING = re.compile(r"^.*?:(?:(\d+):)? (error|warning|note): .* \[([a-z-]+)\]$")
WITHOUT_FILE = {"too-many-parts", "search-stopped"}


def without_comments(text):
    return re.sub(r"/\*.*?\*/", " ", text, flags=re.S)


def arguments(text, at):
    """The arguments of the call whose opening bracket stands before `at`."""
    depth, start, found, quoted = 0, at, [], False
    i = at
    while True:
        c = text[i]
        if quoted:
            i += c == "\\"
            quoted = c != '"'
        elif c == '"':
            quoted = True
        elif c in "([{":
            depth += 1
        elif c in ")]}" and depth:
            depth -= 1
        elif c == ")" or (c == "," and not depth):
            found.append(text[start:i].strip())
            start = i + 1
            if c == ")":
                return found
        i += 1


def calls(text, name):
    for m in re.finditer(r"\b%s\(" % name, text):
        yield m.start(), arguments(text, m.end())


def codes_of_parameter(text, word, at):
    """What is handed over as the parameter `word` of the function around `at`."""
    head = [m for m in re.finditer(r"^[a-z][\w \*]*?\b(\w+)\(([^;{]*)\)\s*\{", text[:at], re.M)]
    if not head:
        return set()
    function, parameters = head[-1].group(1), [p.strip() for p in head[-1].group(2).split(",")]
    place = [i for i, p in enumerate(parameters) if re.search(r"\b%s$" % word, p)]
    if place:
        return {code for _, a in calls(text, function) if len(a) > place[0]
                for code in NAME.findall(a[place[0]])}
    body = text[head[-1].start():at]
    return {code for value in re.findall(r"\b%s\s*=\s*([^;]*);" % word, body)
            for code in NAME.findall(value)}


def codes_in_sources():
    found = {}
    for path in sorted(glob.glob(os.path.join(TOP, "src/*/*.c"))):
        if path.endswith("base/findings.c"):
            continue
        with open(path, encoding="utf-8") as file:
            text = without_comments(file.read())
        for at, args in calls(text, "gw_find"):
            if args[2] in ("f->code", "finding->code"):
                continue  # one that was found before is passed on
            codes = set(NAME.findall(args[2]))
            if not codes and re.fullmatch(r"\w+", args[2]):
                codes = codes_of_parameter(text, args[2], at)
            codes -= {"element", "attribute"}
            expect(codes, f"{path}: what codes are these? gw_find(…, {args[2]}, …)")
            for code in codes:
                found.setdefault(code, os.path.basename(path))
    return found


def table():
    with open(os.path.join(TOP, "src/cli/codes/codes.def"), encoding="utf-8") as file:
        text = without_comments(file.read())
    rows = {}
    for _, args in calls(text, "CODE"):
        strings = ["".join(re.findall(r'"((?:[^"\\]|\\.)*)"', a)) for a in args]
        expect(len(strings) == 6, f"{args[0]}: six columns")
        rows[strings[0]] = strings
    return rows


def findings(program, command, path):
    options = ["--as-measured"] if path.endswith("--as-measured.xml") else []
    with tempfile.TemporaryDirectory() as folder:
        options += ["-o", folder] if command == "print" else []
        _, _, words = run(program, command, *options, path)
    found = [FINDING.match(line) for line in words.splitlines()]
    return [(int(m.group(1) or 0), m.group(2), m.group(3)) for m in found if m]


def try_example(program, code, severity, path):
    with open(path, encoding="utf-8") as file:
        lines = file.read().split("\n")
    marks = [i for i, line in enumerate(lines) if ": next line -->" in line]
    if not expect(len(marks) == 1, f"{path}: one mark"):
        return
    for command in ("check", "order", "print"):
        found = findings(program, command, path)
        if any(c == code for _, _, c in found):
            break
    here = [f for f in found if f[2] == code]
    if not expect(here, f"{code}: {path} does not give it, but {found}"):
        return
    expect(any(line == marks[0] + 2 for line, _, _ in here),
           f"{code}: on line {here[0][0]}, not {marks[0] + 2}")
    expect(here[0][1] in severity.split(" or "), f"{code}: is explained as {severity}: {here}")
    if here[0][1] == "error":
        others = {c for _, s, c in found if s == "error" and c != code}
        expect(not others, f"{code}: {path} gives the errors {others} as well")
    else:
        expect(not [f for f in found if f[1] == "error"], f"{code}: {path} gives errors")


def too_many_parts(program):
    text = ("<piece xmlns='urn:gluewright:piece:1' version='1' name='Many'>"
            "<part id='left' length='300' width='200' thickness='20' face='left' edge='front'>"
            "<butt-face id='b' at='right' from-bottom='0' from-front='0'/></part>")
    for i in range(3000):
        into = "left/b" if i == 0 else f"p{i - 1}/b"
        text += (f"<part id='p{i}' length='30' width='20' thickness='20' face='front' edge='up'>"
                 f"<butt at='left' into='{into}' from-bottom='0' from-front='0' glued='no'/>"
                 "<butt-face id='b' at='right' from-bottom='0' from-front='0'/></part>")
    text = text[:text.rindex("<butt-face")] + "</part></piece>"
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "many.xml")
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
        found = findings(program, "order", path)
        expect(any(c == "too-many-parts" and s == "warning" for _, s, c in found),
               f"too-many-parts: {found[:3]}")


def main():
    program = os.path.abspath(sys.argv[1])
    known, rows = codes_in_sources(), table()
    expect(len(known) > 60, f"only {len(known)} codes were seen")
    for code in sorted(set(known) - set(rows)):
        expect(False, f"{code} ({known[code]}) is not in codes.def")
    for code in sorted(set(rows) - set(known)):
        expect(False, f"{code} is explained, but nothing finds it")
    expect(list(rows) == sorted(rows), "codes.def is not in the order of the alphabet")
    status, listed, _ = run(program, "explain")
    expect(status == 0 and [line.split()[0] for line in listed.splitlines()] == list(rows),
           "explain does not list every code in one line")
    for code, (_, severity, _, means, advice, example) in rows.items():
        status, text, _ = run(program, "explain", code)
        flat = " ".join(text.split())
        expect(status == 0 and flat.startswith(f"{code} ({severity}) "), f"explain {code}")
        for words in (means, advice):
            expect(" ".join(words.replace('\\"', '"').split()) in flat, f"explain {code}: words")
        expect(all(len(line) <= 78 for line in text.split("For example:")[0].splitlines()),
               f"explain {code}: a long line")
        expect(2 <= len(re.findall(r"[.?](?: |$)", means + " " + advice)) <= 5,
               f"explain {code}: some sentences")
        expect(("For example:" in text) == (code not in WITHOUT_FILE), f"explain {code}: example")
        twins = sorted(glob.glob(os.path.join(TOP, f"tests/broken/*--{code}.xml")) +
                       glob.glob(os.path.join(TOP, f"tests/noted/*--{code}.xml")))
        if twins:
            expect(os.path.join(TOP, "tests", example + ".xml") in twins,
                   f"explain {code}: the example is not one of {twins}")
        if example:
            try_example(program, code, severity, os.path.join(TOP, "tests", example + ".xml"))
        else:
            expect(code in WITHOUT_FILE, f"{code} has no example")
    too_many_parts(program)
    status, out, words = run(program, "explain", "lop-open")
    expect(status == 2 and not out and "loop-open" in words, "a misspelt code")
    status, out, words = run(program, "explain", "zzzzzzzz")
    expect(status == 2 and not out and "lists them" in words, "no code at all")
    return total()


sys.exit(main())
