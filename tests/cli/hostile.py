#!/usr/bin/python3
"""Files that mean harm, or that come from a broken disk.

usage: hostile.py PROGRAM

Each is checked under a limit of memory and of processor time, and must end with
the status and the code that it should have, on the line where it is wrong.  The
largest are as large as a file may be (64 MiB); read.h has the limits.
"""
import os
import re
import resource
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, total  # noqa: E402: the path is set above

MEMORY = 1 << 30  # bytes of address space; 64 MiB of text take a fifth of it
SECONDS = 20      # of the processor, with much to spare: the slowest takes about one
MIB = 1 << 20
HEAD = '<piece xmlns="urn:gluewright:piece:1" version="1" name="x">'
PART = '<part id="%s" length="100" width="50" thickness="10" face="front" edge="up"%s>'
FINDING = re.compile(r"^[^\n]*?(?::(\d+))?: (error|warning|note): .* \[([a-z-]+)\]$", re.M)

slowest = [0.0, ""]


def limit():
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))


class Ran:
    def __init__(self, program, words, stdin=None):
        before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
        done = subprocess.run([program, *words], preexec_fn=limit, capture_output=True,
                              stdin=stdin or subprocess.DEVNULL, timeout=120, check=False)
        self.seconds = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before
        self.status = done.returncode
        self.bytes = done.stderr
        self.words = done.stderr.decode("utf-8", "replace")
        self.codes = [(int(line or 0), code) for line, severity, code in
                      FINDING.findall(self.words) if severity == "error"]


def check(program, folder, name, content, status, code, line=None):
    """Writes the file, checks it, and compares status, code and line."""
    path = os.path.join(folder, "hostile.xml")
    with open(path, "wb") as file:
        for piece in [content] if isinstance(content, (bytes, str)) else content:
            file.write(piece.encode() if isinstance(piece, str) else piece)
    ran = Ran(program, ["check", path])
    if ran.seconds > slowest[0]:
        slowest[:] = [ran.seconds, name]
    first = ran.codes[0] if ran.codes else None
    if code == "sentence":
        right = ran.words.startswith("gluewright: ")
    elif code is None:
        right = not ran.codes
    else:
        right = any(c == code and (line is None or at == line) for at, c in ran.codes)
    expect(ran.status == status and right,
           "%s: status %d, first error %s, wanted %d, %s on line %s: %r" %
           (name, ran.status, first, status, code, line, ran.words[-200:]))
    expect(not re.search(rb"[\x00-\x08\x0b-\x1f\x7f]", ran.bytes),
           "%s: control characters reach the terminal" % name)
    return ran


def entities(t):
    bomb = ['<!DOCTYPE piece [<!ENTITY a0 "ha">']
    bomb += ['<!ENTITY a%d "%s">' % (i, "&a%d;" % (i - 1) * 10) for i in range(1, 12)]
    t("entity bomb", "".join(bomb) + "]>" + HEAD + "&a11;</piece>", 2, "doctype", 1)
    t("entity bomb in an attribute", "".join(bomb) + "]>\n" +
      HEAD.replace('"x"', '"&a11;"') + "</piece>", 2, "doctype", 1)
    t("quadratic entity", '<!DOCTYPE p [<!ENTITY a "' + "x" * MIB + '">]>' + HEAD +
      "&a;" * 60000 + "</piece>", 2, "doctype", 1)
    t("external entity", '\n<!DOCTYPE p [<!ENTITY a SYSTEM "file:///etc/passwd">]>' + HEAD +
      "&a;</piece>", 2, "doctype", 2)
    t("external entity of a device", '<!DOCTYPE p [<!ENTITY a SYSTEM "/dev/zero">]>' + HEAD +
      "&a;</piece>", 2, "doctype", 1)
    t("external document type", '<!DOCTYPE piece SYSTEM "http://192.0.2.1/x.dtd">' + HEAD +
      "</piece>", 2, "doctype", 1)
    t("parameter entity", '<!DOCTYPE p [<!ENTITY % a SYSTEM "file:///etc/passwd"> %a;]>' + HEAD +
      "</piece>", 2, "doctype", 1)
    t("unknown entity", HEAD + "\n&nothing;</piece>", 2, "not-xml", 2)
    t("another schema named", HEAD.replace(">", ' xmlns:xsi="http://www.w3.org/2001/XMLSchema-'
      'instance" xsi:schemaLocation="urn:gluewright:piece:1 file:///etc/passwd">') + "</piece>",
      1, "no-parts", 1)
    t("another file included", HEAD + '\n<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" '
      'href="/etc/passwd" parse="text"/></piece>', 2, "unknown-element", 2)
    t("stylesheet", '<?xml-stylesheet href="file:///etc/passwd"?>' + HEAD + "</piece>", 1,
      "no-parts", 1)


def crowds(t):
    # A generator gives pieces, so that no text is twice in memory.
    t("a million attributes", ["\n" + HEAD + "<part ", *('a%d="" ' % i for i in range(10**6)),
                               "/></piece>"], 2, "too-many", 2)
    t("six million attributes on two hundred thousand elements",
      [HEAD] + ["\n<part " + " ".join('a%d=""' % i for i in range(30)) + "/>"] * 200000 +
      ["</piece>"], 2, "too-many")
    t("a million namespaces", [HEAD, "<part ", *('xmlns:a%d="u" ' % i for i in range(10**6)),
                               "/></piece>"], 2, "too-many", 1)
    for wide in ("utf-16-le", "utf-16-be"):
        t("a hundred thousand attributes, " + wide,
          ("\ufeff" + HEAD + "\n<part " + " ".join('a%d=""' % i for i in range(10**5)) +
           "/></piece>").encode(wide), 2, "too-many", 2)
    t("attributes behind marks in comments", HEAD + "<!-- \" --><?a \"?><![CDATA[\"<]]><part " +
      " ".join('a%d=""' % i for i in range(10**5)) + "/></piece>", 2, "too-many", 1)
    t("a comment with many marks", HEAD + "<!--" + '<a="" ' * 10**5 + "--></piece>", 1, "no-parts")
    t("the same attribute twice", HEAD + '\n<part id="a" id="b"/></piece>', 2, "not-xml", 2)
    t("sixteen million elements", [HEAD] + ["<x/>" * 10**6] * 16 + ["</piece>"], 2, "too-many")
    t("ninety thousand strange elements", HEAD + "<x/>" * 90000 + "</piece>", 2, "unknown-element")
    t("ninety thousand glues", [HEAD] + ['<glue id="g%d" kind="pva"/>' % i for i in range(90000)] +
      ["</piece>"], 2, "too-many")
    t("twenty thousand parts alone", [HEAD] + [PART % ("p%d" % i, "/") for i in range(20000)] +
      ["</piece>"], 1, "part-alone")
    t("more parts than are read", [HEAD] + [PART % ("p%d" % i, "/") for i in range(130000)] +
      ["</piece>"], 2, "too-many")
    t("twenty thousand unknown parts",
      [HEAD] + [PART % ("p%d" % i, ' like="%s%d"/' % ("z" * 20, i)) for i in range(20000)] +
      ["</piece>"], 1, "unknown-part")
    t("ninety thousand unknown halves",
      [HEAD] + [PART % ("p%d" % k, "") + "".join('<tenon at="up" into="p%d/%s%d"/>' % (k, "z" * 20, i)
                for i in range(900)) + "</part>" for k in range(100)] + ["</piece>"], 1,
      "unknown-half")
    t("each part like the last and more",
      [HEAD, PART % ("p0", ""), '<mortise id="h0" at="up"/></part>'] +
      ['<part id="p%d" like="p%d"><mortise id="h%d" at="up"/></part>' % (i, i - 1, i)
       for i in range(1, 20000)] + ["</piece>"], 2, "too-many")
    t("copies of a large group",
      [HEAD, '<group id="g0">'] + [PART % ("p%d" % i, "/") for i in range(5000)] + ["</group>\n"] +
      ['<group id="g%d" like="g0"/>' % i for i in range(1, 900)] + ["</piece>"], 2, "too-many", 2)
    t("twenty thousand parts in a ring of likes",
      [HEAD] + ['<part id="p%d" like="p%d"/>' % (i, (i + 1) % 20000) for i in range(20000)] +
      ["</piece>"], 1, "like-in-a-ring")


def large(t):
    t("deep nesting", HEAD + "<part>" * 10**6, 2, "not-xml", 1)
    t("deep nesting, closed", HEAD + "<part>" * 1000 + "</part>" * 1000 + "</piece>", 2, "not-xml",
      1)
    t("huge text", [HEAD] + ["x" * MIB] * 60 + ["</piece>"], 2, "stray-text", 1)
    t("huge blank text", [HEAD] + [" " * MIB] * 60 + ["</piece>"], 1, "no-parts", 1)
    t("huge attribute", [HEAD.replace('"x">', '"')] + ["x" * MIB] * 60 + ['"></piece>'], 2, "not-xml",
      1)
    t("attribute of nine million letters", HEAD.replace('"x"', '"' + "x" * 9 * 10**6 + '"') +
      "</piece>", 2, "bad-value", 1)
    t("a long id", HEAD + PART % ("p" * 10**6, "/") + "</piece>", 2, "bad-value", 1)
    t("a long size", HEAD + (PART % ("p", "/")).replace("100", "1" * 10**6) + "</piece>", 1,
      "bad-length", 1)
    t("huge comment", [HEAD, "<!--"] + ["x" * MIB] * 60 + ["--></piece>"], 2, "not-xml", 1)
    t("huge name of an element", HEAD + "<" + "x" * MIB + "/></piece>", 2, "not-xml", 1)
    t("one byte too large", [HEAD + "</piece>"] + [" " * MIB] * 64, 2, "sentence")
    t("as large as may be", [HEAD] + ["<!--" + "x" * (MIB - 7) + "-->"] * 63 + ["</piece>"], 1,
      "no-parts", 1)
    t("line 70,006", HEAD + "\n" * 70005 + "<x/></piece>", 2, "unknown-element", 70006)
    t("line 1,000,003, over several lines", HEAD + "\n" * 10**6 + '\n\n<part id="a"\n\n\n length="0"'
      '\nwidth="1" thickness="1" face="up" edge="left"/></piece>', 1, "size-nought", 1000003)
    t("not well formed on line 200,001", HEAD + "\n" * 200000 + "<part</piece>", 2, "not-xml", 200001)


def encodings(t):
    plain = '<?xml version="1.0" encoding="%s"?>\n' + HEAD.replace('"x"', '"Té"') + "</piece>"
    for name, coded in (("UTF-8", "utf-8"), ("UTF-16", "utf-16"), ("UTF-16LE", "utf-16-le"),
                        ("ISO-8859-1", "latin-1"), ("ISO-8859-15", "iso8859-15"),
                        ("windows-1252", "cp1252")):
        t("encoding " + name, (plain % name).encode(coded), 1, "no-parts", 2)
    t("mark before UTF-8", b"\xef\xbb\xbf" + (plain % "UTF-8").encode(), 1, "no-parts", 2)
    t("mark before UTF-16, nothing declared", ("\ufeff" + HEAD + "</piece>").encode("utf-16-be"), 1,
      "no-parts", 1)
    t("declared UTF-8, is Latin-1", (plain % "UTF-8").encode("latin-1"), 2, "not-xml", 2)
    t("nothing declared, is Latin-1", HEAD.replace('"x"', '"é"').encode("latin-1"), 2, "not-xml", 1)
    t("declared UTF-16, is UTF-8", (plain % "UTF-16").encode(), None, None)
    t("UTF-32", (plain % "UTF-32").encode("utf-32"), 2, "not-xml", 1)
    t("UTF-32, no mark", (plain % "UTF-32").encode("utf-32-be"), 2, "not-xml", 1)
    t("EBCDIC", (plain % "IBM037").encode("cp037"), 2, "not-xml", 1)
    t("UTF-7", (plain % "UTF-7").encode("utf-7"), 2, "not-xml", 1)
    t("ISO-2022-JP", (plain % "ISO-2022-JP").replace("é", "e").encode(), 2, "not-xml", 1)
    t("no such encoding", (plain % "nonsense").encode(), 2, "not-xml")
    t("overlong UTF-8", HEAD.encode().replace(b'"x"', b'"\xc0\xaf"') + b"</piece>", 2, "not-xml", 1)
    t("half a surrogate", HEAD.encode().replace(b'"x"', b'"\xed\xa0\x80"') + b"</piece>", 2,
      "not-xml", 1)
    t("UTF-16 cut in a letter", ("\ufeff" + HEAD + "</piece>").encode("utf-16-le")[:-1], None, None)
    t("beyond the first plane", HEAD.replace('"x"', '"\U0001fa91"') + "</piece>", 1, "no-parts", 1)


def bytes_of_all_kinds(t):
    t("nothing", b"", 2, "not-xml", 1)
    t("one byte", b"<", 2, "not-xml", 1)
    t("two bytes of UTF-16", b"\xff\xfe", 2, "not-xml", 1)
    t("NUL", b"\0", 2, "not-xml", 1)
    t("NUL in text", HEAD.encode() + b"\n\0</piece>", 2, "not-xml", 2)
    t("NUL in a value", HEAD.encode().replace(b'"x"', b'"x\0y"') + b"</piece>", 2, "not-xml", 1)
    # libxml2 takes it for the end of the file; nothing behind it is read.
    t("NUL behind the end", HEAD.encode() + b"</piece>\0<x/>", 1, "no-parts", 1)
    t("a mebibyte of NUL", b"\0" * MIB, 2, "not-xml", 1)
    t("control characters", HEAD.encode() + b"\n<part id=\"\x1b[31m\"/></piece>", 2, "not-xml", 2)
    t("control characters by number", HEAD + '\n<part id="&#27;[31m"/></piece>', 2, "not-xml", 2)
    t("a tab in an id", HEAD + "\n" + PART % ("a&#9;b&#10;c", "/") + "</piece>", 2, "bad-value", 2)
    t("a PDF", b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n", 2, "not-xml", 1)
    t("gzip", b"\x1f\x8b\x08\0\0\0\0\0\0\3\3\0\0\0\0\0\0\0\0\0", 2, "not-xml", 1)
    t("another document", "<html/>", 2, "not-a-piece", 1)
    t("another namespace", HEAD.replace("piece:1", "piece:2") + "</piece>", 2, "not-a-piece", 1)
    t("cut short", HEAD + '\n<part id="a" length="1', 2, "not-xml", 2)
    t("two documents", HEAD + "</piece>\n" + HEAD + "</piece>", 2, "not-xml", 2)
    t("XML 1.1", '<?xml version="1.1"?>' + HEAD + "</piece>", None, None)
    t("old line ends", (HEAD + "\r\r<x/></piece>").encode(), 2, "unknown-element")
    t("two line ends", (HEAD + "\r\n\r\n<x/></piece>").encode(), 2, "unknown-element", 3)


def inputs(program, folder):
    """What is not a file, or not a plain one."""
    for name, path, status in (
            ("a folder", folder, 2), ("/dev/zero", "/dev/zero", 2), ("/dev/null", "/dev/null", 2),
            ("nothing there", folder + "/nothing", 2), ("no name", "", 2),
            ("below a file", sys.argv[0] + "/x", 2), ("a long name", "x" * 5000, 2),
            ("a terminal", "/dev/tty", 2)):
        ran = Ran(program, ["check", path])
        expect(ran.status == status and "gluewright: " in ran.words,
               "%s: status %d, %r" % (name, ran.status, ran.words[-200:]))
    loop = os.path.join(folder, "loop")
    os.symlink(loop, loop)
    expect(Ran(program, ["check", loop]).status == 2, "a link to itself")
    with open("/dev/zero", "rb") as zero:
        ran = Ran(program, ["check", "-"], stdin=zero)
    expect(ran.status == 2 and "64 MiB" in ran.words, "endless standard input: %r" % ran.words)
    pipe = subprocess.Popen(["sh", "-c", "printf '%s' '" + HEAD + "</piece>'"], stdout=subprocess.PIPE)
    ran = Ran(program, ["check", "-"], stdin=pipe.stdout)
    pipe.wait()
    expect(ran.status == 1 and ran.codes == [(1, "no-parts")], "a pipe: %r" % ran.words)
    fifo = os.path.join(folder, "fifo")
    os.mkfifo(fifo)
    writer = subprocess.Popen(["sh", "-c", "printf '%s' '" + HEAD + "</piece>' >" + fifo])
    ran = Ran(program, ["check", fifo])
    writer.wait()
    expect(ran.status == 1 and ran.codes == [(1, "no-parts")], "a named pipe: %r" % ran.words)


def main():
    program = os.path.abspath(sys.argv[1] if len(sys.argv) > 1 else "build/gluewright")
    with tempfile.TemporaryDirectory() as folder:
        def test(name, content, status, code, line=None):
            if status is None:  # any verdict, but one of ours
                path = os.path.join(folder, "hostile.xml")
                with open(path, "wb") as file:
                    file.write(content.encode() if isinstance(content, str) else content)
                ran = Ran(program, ["check", path])
                expect(ran.status in (1, 2) and ran.codes, "%s: status %d, %r" %
                       (name, ran.status, ran.words))
                return
            check(program, folder, name, content, status, code, line)
        for part in (entities, crowds, large, encodings, bytes_of_all_kinds):
            part(test)
        inputs(program, folder)
    print("the slowest took %.1f s of the processor: %s" % tuple(slowest))
    return total()


if __name__ == "__main__":
    sys.exit(main())
