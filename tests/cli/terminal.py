#!/usr/bin/python3
"""What a person at a terminal sees: broken lines, the line of the file with a
caret, colour, progress, and ^C.  Uses a pseudo-terminal.

usage: terminal.py PROGRAM"""
import fcntl
import glob
import os
import pty
import re
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import time

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, total  # noqa: E402: the path is set above

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
BROKEN = os.path.join(TOP, "tests/broken")
ESCAPE = re.compile(r"\033\[[0-9;]*m")
LINE = re.compile(r"\rlooking for the best order: \d+ s, best so far (\d+) \(none below (\d+)\)")


def environment(**changes):
    env = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "NO_COLOR", "TERM")}
    env["LC_ALL"] = "C.UTF-8"
    env.update({"TERM": "xterm"}, **changes)
    return {k: v for k, v in env.items() if v is not None}


def read_to_end(descriptor, seen=None):
    """All that is written there; `seen` is told of what has come so far."""
    shown = b""
    while True:
        try:
            more = os.read(descriptor, 65536)
        except OSError:
            break
        if not more:
            break
        shown += more
        if seen:
            seen(shown)
    os.close(descriptor)
    return shown.decode().replace("\r\n", "\n")


def at_terminal(arguments, width=80, env=None, stdin=None):
    """Standard error on a terminal, standard output in a pipe: (status, out, err)."""
    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, width, 0, 0))
    child = subprocess.Popen(arguments, stdin=stdin or subprocess.DEVNULL, stderr=slave,
                             stdout=subprocess.PIPE, env=env or environment(), close_fds=True)
    os.close(slave)
    err = read_to_end(master)
    out = child.stdout.read().decode()
    return child.wait(), out, err


def plain(arguments, env=None):
    done = subprocess.run(arguments, capture_output=True, text=True, env=env or environment(),
                          stdin=subprocess.DEVNULL, check=False)
    return done.returncode, done.stdout, done.stderr


# ---- findings -------------------------------------------------------------------------

def columns(text):
    return len([c for c in text if not 0x300 <= ord(c) <= 0x36f])


def one_line_form(text):
    """Findings as the one-line form would have them, out of what a terminal shows."""
    lines = []
    for line in ESCAPE.sub("", text).splitlines():
        if re.match(r" *[0-9]* \| ", line) or line.startswith("More about a code"):
            continue
        if line.startswith("  ") and lines:
            lines[-1] += " " + line[2:]
        else:
            lines.append(line)
    return lines


def same_findings(program):
    """On a terminal of any width the same words are shown, and no line is too long."""
    for path in sorted(glob.glob(os.path.join(BROKEN, "*.xml")))[::4]:
        name = os.path.basename(path)
        cwd = os.getcwd()
        os.chdir(os.path.dirname(path))
        status, out, err = plain([program, "check", name])
        expect("\033" not in err and "\n  " not in err and " | " not in err, f"{name}: plain form")
        for width in (44, 80, 200):
            seen = at_terminal([program, "check", name], width=width)
            expect(seen[0] == status and seen[1] == out, f"{name}: status and verdict at {width}")
            want = [re.sub(r" +", " ", line) for line in err.splitlines()]
            got = [re.sub(r" +", " ", line) for line in one_line_form(seen[2])]
            expect(got == want, f"{name} at {width} columns:\n{seen[2]}\n{want}\n{got}")
            shown = [line for line in ESCAPE.sub("", seen[2]).splitlines() if " " in line.strip()]
            expect(all(columns(line) <= max(width, 54) for line in shown),
                   f"{name}: a line is longer than {width}:\n{seen[2]}")
        os.chdir(cwd)


def source_lines(text):
    """(line of the file, its number, what is under it) for each that is shown."""
    lines = ESCAPE.sub("", text).splitlines()
    for i, line in enumerate(lines):
        m = re.match(r" +(\d+) \| (.*)", line)
        if m:
            yield m.group(2), int(m.group(1)), lines[i + 1].split(" | ", 1)[1]


def carets(program):
    """The caret stands under the attribute that the finding is about."""
    wanted = {"chest--loop-open": 'length="761"', "chest--unknown-half": 'into="back/rigth"',
              "door--too-thick": 'thickness="8.5"', "chest--bad-value": 'face="forward"',
              "door--unknown-attribute": None, "door--left-over": None,
              "bookcase--collision": "<part", "chest--id-twice": None}
    for name, target in wanted.items():
        path = os.path.join(BROKEN, name + ".xml")
        _, _, err = at_terminal([program, "check", "-q", path], width=250)
        shown = list(source_lines(err))
        if not expect(len(shown) == 1, f"{name}: one line of the file\n{err}"):
            continue
        source, number, under = shown[0]
        with open(path, encoding="utf-8") as file:
            expect(file.read().split("\n")[number - 1] == source, f"{name}: the line itself")
        pointed = source[under.index("^"):len(under)]
        expect(under.strip() == "^" + "~" * (len(pointed) - 1), f"{name}: the shape of the caret")
        if target:
            expect(pointed == target, f"{name}: points at {pointed}, not {target}")
        else:
            expect(re.match(r'<[a-z-]+$|[a-z-]+="', pointed), f"{name}: points at {pointed}")


def strange_files(program):
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "strange.xml")
        with open(path, "w", encoding="utf-8") as file:
            file.write('<piece xmlns="urn:gluewright:piece:1" version="1"\n  name="\u5bb6">\n'
                       '<part id="a" name="\u00c4\u5bb6"\tlength="10" width="5"\n   thickness="5" '
                       'face="frunt" edge="up"/>\n</piece>\n')
        shown = list(source_lines(at_terminal([program, "check", path])[2]))
        if expect(len(shown) == 1 and shown[0][1] == 4, "an attribute on a later line of its tag"):
            expect(shown[0][2].index("^") == shown[0][0].index("face="), "its caret")
        with open(path, "w", encoding="utf-8") as file:
            file.write('<piece xmlns="urn:gluewright:piece:1" version="1" name="X">\n'
                       '<part id="a" name="\u00c4\u5bb6\u0332\x9b2J"\tlength="1x" width="5" '
                       'thickness="5" face="front" edge="up"/>\n</piece>\n')
        err = at_terminal([program, "check", path], width=200)[2]
        expect("\x9b" not in err and "\t" not in err, "control characters reach the terminal")
        shown = list(source_lines(err))
        if expect(len(shown) == 1, f"a line with wide characters:\n{err}"):
            before = shown[0][0].split("length=")[0]
            wide = columns(before) + before.count("\u5bb6")
            expect(shown[0][2].index("^") == wide, f"caret below wide characters:\n{err}")
    with open(os.path.join(BROKEN, "door--too-thick.xml"), "rb") as file:
        status, _, err = at_terminal([program, "check", "-"], stdin=file)
    expect(status == 1 and " | " not in err and "[too-thick]" in err, "standard input")
    status, _, err = at_terminal([program, "check", os.path.join(BROKEN, "chest--not-xml.xml")])
    expect(status == 2 and "[not-xml]" in err, "a file that is not XML")


def colours(program):
    check = [program, "check", os.path.join(BROKEN, "door--too-thick.xml")]
    cases = [([], {}, True, True), ([], {"NO_COLOR": "1"}, True, False),
             ([], {"NO_COLOR": ""}, True, True), ([], {"TERM": "dumb"}, True, False),
             ([], {"TERM": None}, True, False), (["--color=never"], {}, True, False),
             (["--color=always"], {"NO_COLOR": "1", "TERM": "dumb"}, True, True),
             (["--color=auto"], {}, True, True), ([], {}, False, False),
             (["--color=always"], {}, False, True), (["-c", "never"], {}, False, False)]
    for options, changes, terminal, coloured in cases:
        env = environment(**changes)
        err = (at_terminal if terminal else plain)(check + options, env=env)[2]
        expect(("\033[" in err) == coloured, f"colour with {options} {changes} {terminal}")
        expect("error" in ESCAPE.sub("", err), f"words with {options} {changes}")
    one = plain(check)[2]
    expect(ESCAPE.sub("", plain(check + ["--color=always"])[2]) == one, "colour only adds colour")
    expect(plain(check + ["--color=blue"])[0] == 2, "a colour that is not there")
    wide = at_terminal(check, width=200)[2]
    expect(at_terminal(check, width=80, env=environment(COLUMNS="200"))[2] == wide, "COLUMNS")
    expect("[too-thick]" in at_terminal(check + ["-q"])[2], "quiet shows errors")
    noted = os.path.join(TOP, "tests/noted/table--gauge.xml")
    status, out, err = at_terminal([program, "check", "-q", noted])
    expect(status == 0 and not out and not err, "quiet shows no notes")


# ---- a long search ----------------------------------------------------------------------

def hard_piece(folder, n=16):
    """A grid of slats let into each other: no quick search meets the bound."""
    parts = []
    for i in range(n):
        notches = "".join(f'<halving-under id="n{j}" at="up" from-left="{40 + 60 * j}" '
                          f'thickness="12" depth="20"/>' for j in range(n))
        parts.append(f'<part id="a{i}" length="{60 * n + 40}" width="40" thickness="12" '
                     f'face="front" edge="up">{notches}</part>')
    for j in range(n):
        notches = "".join(f'<halving-over at="down" into="a{i}/n{j}" from-front="{40 + 60 * i}" '
                          f'thickness="12" depth="20" glued="no"/>' for i in range(n))
        parts.append(f'<part id="b{j}" length="{60 * n + 40}" width="40" thickness="12" '
                     f'face="right" edge="up">{notches}</part>')
    path = os.path.join(folder, "grid.xml")
    with open(path, "w", encoding="utf-8") as file:
        file.write('<piece xmlns="urn:gluewright:piece:1" version="1" name="Grid">' +
                   "\n".join(parts) + "</piece>")
    return path


def held_up(arguments, delay, on_terminal, interrupt):
    """Runs the program, holds it up for more than a second inside its search, and
    interrupts it when it shows progress (or, without a terminal, when it goes on)."""
    master, error = pty.openpty() if on_terminal else os.pipe()
    with tempfile.TemporaryFile() as output:
        child = subprocess.Popen(arguments, stdin=subprocess.DEVNULL, stdout=output, stderr=error,
                                 env=environment(), close_fds=True)
        os.close(error)
        time.sleep(delay)
        child.send_signal(signal.SIGSTOP)
        time.sleep(1.2)
        if interrupt and not on_terminal:
            child.send_signal(signal.SIGINT)
        child.send_signal(signal.SIGCONT)
        sent = []

        def seen(shown):
            if interrupt and on_terminal and not sent and b"looking for" in shown:
                child.send_signal(signal.SIGINT)
                sent.append(True)

        err = read_to_end(master, seen)
        status = child.wait()
        output.seek(0)
        return status, output.read().decode(), err


def tries(run, good):
    """The moment of the search differs from machine to machine: several are tried."""
    for delay in [0.1, 0.2, 0.15, 0.3, 0.05, 0.4, 0.25, 0.6, 0.08, 0.12] * 2:
        result = run(delay)
        if good(result):
            break
    return result


def progress(program):
    with tempfile.TemporaryDirectory() as folder:
        order = [program, "order", hard_piece(folder)]
        status, out, err = tries(lambda d: held_up(order, d, True, False), lambda r: LINE.search(r[2]))
        line = LINE.search(err)
        if expect(line, f"no progress is shown:\n{err[:500]}"):
            expect(int(line.group(1)) >= int(line.group(2)) > 0, "best and bound")
            last = err.rindex("looking for")
            expect(re.match(r"[^\r\n]{,80}\r {79}\r", err[last:]), "the line is not taken away")
            expect(status == 0 and "joins" in out, "the order comes in the end")

        def stopped(result):
            return "[search-stopped]" in result[2]

        status, out, err = tries(lambda d: held_up(order, d, True, True), stopped)
        expect(status == 0 and "note:" in err and "[search-stopped]" in err,
               f"^C at a terminal: {status}\n{err[:500]}")
        expect(", a good order (cost " in out, f"^C at a terminal:\n{out[:200]}")
        status, out, err = tries(lambda d: held_up(order + ["--json"], d, False, True), stopped)
        expect("looking for" not in err, "progress without a terminal")
        expect(status == 0 and '"proof": "bound"' in out and '"search-stopped"' in out,
               f"^C without a terminal: {status}\n{err[:300]}")
        status, out, err = held_up(order + ["-q"], 0.15, True, False)
        expect("looking for" not in err, "progress with --quiet")


def main():
    program = os.path.abspath(sys.argv[1])
    same_findings(program)
    carets(program)
    strange_files(program)
    colours(program)
    progress(program)
    return total()


sys.exit(main())
