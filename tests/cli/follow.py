#!/usr/bin/python3
"""The follow-along mode in a pseudo-terminal.

usage: follow.py PROGRAM

Keys go in, the screen comes out; afterwards the terminal must be as it was, in
every way in which it can end: the last step, q, ^C, a signal.  The recorded times
are read back by `order --times`."""
import csv
import json
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import fcntl
import time

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, total  # noqa: E402: the path is set above

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
PIECE = os.path.join(TOP, "projects/lantern-chest.xml")


def default_signals():
    """What a shell starts in the background has interrupts ignored, and so has all below it."""
    for number in (signal.SIGINT, signal.SIGQUIT):
        signal.signal(number, signal.SIG_DFL)


class Terminal:
    """The program at a terminal of its own."""

    def __init__(self, *args, width=80):
        self.master, self.slave = pty.openpty()
        fcntl.ioctl(self.slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, width, 0, 0))
        self.before = termios.tcgetattr(self.slave)
        self.child = subprocess.Popen(args, stdin=self.slave, stdout=self.slave,
                                      stderr=subprocess.DEVNULL, start_new_session=True,
                                      preexec_fn=default_signals,
                                      env=dict(os.environ, TERM="xterm", LC_ALL="C.UTF-8"))
        self.seen = ""

    def read(self, seconds):
        ready, _, _ = select.select([self.master], [], [], seconds)
        if ready:
            self.seen += os.read(self.master, 65536).decode(errors="replace")
        return bool(ready)

    def frame(self):
        """The last whole screen as it was sent."""
        whole = [frame for frame in self.seen.split("\x1b[H") if frame.rstrip("\0").endswith("\x1b[J")]
        return whole[-1] if whole else ""

    def screen(self):
        """The same without its control sequences."""
        return re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", self.frame())

    def wait_for(self, words, seconds=10, now=False):
        """Waits for words on the screen; with `now` they must be what is to be
        done, not what comes then."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if words in self.screen() and (not now or "\x1b[1m" + words in self.frame()):
                return True
            self.read(0.1)
        return False

    def at_step(self, words):
        return self.wait_for(words, now=True)

    def press(self, keys):
        os.write(self.master, keys)

    def finish(self, seconds=10):
        """Exit status; all output is read."""
        end = time.monotonic() + seconds
        while self.child.poll() is None and time.monotonic() < end:
            self.read(0.05)
        while self.read(0.05):
            pass
        if self.child.poll() is None:
            self.child.kill()
            self.child.wait()
            return None
        return self.child.returncode

    def restored(self):
        return termios.tcgetattr(self.slave) == self.before and "\x1b[?25h" in self.seen and \
            self.seen.rfind("\x1b[?1049l") > self.seen.rfind("\x1b[?1049h")

    def close(self):
        os.close(self.master)
        os.close(self.slave)


def rows_of(path):
    with open(path, newline="") as file:
        return list(csv.DictReader(file))


def plan_of(program, *more):
    done = subprocess.run([program, "order", "--json", *more, PIECE], capture_output=True, text=True)
    return done, json.loads(done.stdout)


def to_the_end(program, folder):
    path = os.path.join(folder, "all.csv")
    t = Terminal(program, "follow", "-o", path, PIECE)
    steps = plan_of(program)[1]["stages"][0]["steps"]
    expect(t.wait_for("Lay everything ready"), "the first screen asks to lay all ready")
    expect(termios.tcgetattr(t.slave)[3] & (termios.ICANON | termios.ECHO) == 0, "keys come one by one")
    t.press(b" ")
    expect(t.wait_for("planned 2:06"), "the first step is on the screen")
    expect("Time left" in t.screen() and "spread glue on joint 5" in t.screen(), "its limit counts down")
    t.press(b"\x1b[A")
    time.sleep(0.5)
    t.read(0.1)
    expect("planned 2:06" in t.screen(), "an arrow key does nothing")
    time.sleep(1.0)
    t.press(b"\r")
    expect(t.at_step("bring Left side"), "Enter goes on")
    t.press(b"b")
    expect(t.at_step("spread glue on joint 5"), "b goes back")
    t.press(b" ")
    expect(t.at_step("bring Left side"), "and on again")
    for step in steps[1:]:
        expect(t.at_step(step["words"][:30]), f"step: {step['words']}")
        t.press(b" ")
    expect(t.finish() == 0, "it ends after the last step")
    expect(t.restored(), "the terminal is as it was after the last step")
    t.close()
    rows = rows_of(path)
    expect([r["words"] for r in rows] == [s["words"] for s in steps], "all steps are in the table")
    expect(all(r["real_s"] != "" for r in rows), "each with its real time")
    expect(1 <= int(rows[0]["real_s"]) <= 8, f"the first took what it took, not {rows[0]['real_s']} s")
    done, plan = plan_of(program, "--times", path)
    expect(len(plan["rehearsal"]) == len(steps), "order --times takes all of them")
    expect(all(s["rate"] == "rehearsed" for s in plan["stages"][0]["steps"]), "and plans by them")
    return path


def stopped(program, folder, name, stop, status):
    path = os.path.join(folder, name + ".csv")
    t = Terminal(program, "follow", "-o", path, PIECE)
    expect(t.wait_for("Lay everything ready"), f"{name}: first screen")
    t.press(b" ")
    expect(t.at_step("spread glue on joint 5"), f"{name}: first step")
    t.press(b" ")
    expect(t.at_step("bring Left side"), f"{name}: second step")
    stop(t)
    got = t.finish()
    expect(got == status, f"{name}: exit status {got}, not {status}")
    expect(t.restored(), f"{name}: the terminal is not as it was")
    t.close()
    rows = rows_of(path)
    expect(rows[0]["real_s"] != "" and all(r["real_s"] == "" for r in rows[1:]),
           f"{name}: one time is recorded")


def narrow(program):
    t = Terminal(program, "follow", PIECE, width=48)
    expect(t.wait_for("Lay everything ready"), "narrow: first screen")
    t.press(b"  ")
    expect(t.at_step("bring Left side"), "narrow: second step")
    lines = t.screen().split("\r\n")
    expect(any("joint 5" in line and "bring Left" not in line for line in lines),
           "narrow: the sentence is broken")
    expect(all(len(line) <= 48 for line in lines), "narrow: no line is too wide")
    t.press(b"q")
    expect(t.wait_for("Stop here?"), "narrow: q asks")
    t.press(b" ")
    expect(t.wait_for("space: done"), "narrow: another key goes on")
    expect("bring Left" in t.screen(), "narrow: and does nothing else")
    t.press(b"qq")
    expect(t.finish() == 0 and t.restored(), "narrow: q twice ends it")
    t.close()


def refusals(program, taken):
    done = subprocess.run([program, "follow", PIECE], stdin=subprocess.DEVNULL, capture_output=True, text=True)
    expect(done.returncode == 2 and "needs a terminal" in done.stderr, "without a terminal it says so")
    with open(taken) as file:
        before = file.read()
    t = Terminal(program, "follow", "-o", taken, PIECE)
    expect(t.finish() == 2, "a table that is there already is not written over")
    t.close()
    with open(taken) as file:
        expect(file.read() == before, "and is left as it was")
    t = Terminal(program, "follow", os.path.join(TOP, "tests/broken/chest--loop-open.xml"))
    expect(t.finish() == 1, "what does not mate is not followed")
    t.close()


def main():
    program = os.path.abspath(sys.argv[1])
    with tempfile.TemporaryDirectory() as folder:
        taken = to_the_end(program, folder)
        stopped(program, folder, "q", lambda t: t.press(b"qq"), 0)
        stopped(program, folder, "control-c", lambda t: t.press(b"\x03"), 0)
        stopped(program, folder, "interrupt", lambda t: t.child.send_signal(signal.SIGINT), -signal.SIGINT)
        stopped(program, folder, "terminate", lambda t: t.child.terminate(), -signal.SIGTERM)
        narrow(program)
        refusals(program, taken)
    return total()


sys.exit(main())
