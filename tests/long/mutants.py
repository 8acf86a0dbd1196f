#!/usr/bin/python3
"""Do the tests notice a mistake?  Makes small ones, one at a time, and counts.

usage: mutants.py [COUNT [SEED]]     60 and 1 unless given

A comparison, a sign, a constant, a truth value is changed in a source file of the
rooms fit, order, clock or marks; the unit tests that include a header of that room
are linked again and run, then the quick tests of the command.  A mutant is noticed
when one of them fails, crashes or hangs.  Those that are not are listed: each is
a test that is missing, or a change that makes no difference.  The latter stand in
tests/long/mutants.txt with the reason, and are passed over:

    file | the line | the change | the reason
"""
import glob
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
ROOMS = ("fit", "order", "clock", "marks")
QUICK = (("broken.sh",), ("noted.sh",), ("json_shapes.py",), ("generated.py", "24"),
         ("out_of_memory.py", "projects/lantern-chest.xml", "check --json"))
SECONDS = 120  # of a test by itself; of a mutant's five times what the test took, and ten
HUNG = 1000
CHANGES = (
    (re.compile(r" <= "), " < "), (re.compile(r" < "), " <= "), (re.compile(r" >= "), " > "),
    (re.compile(r" > "), " >= "), (re.compile(r" == "), " != "), (re.compile(r" != "), " == "),
    (re.compile(r" \+ "), " - "), (re.compile(r" - "), " + "), (re.compile(r" \* "), " + "),
    (re.compile(r" && "), " || "), (re.compile(r" \|\| "), " && "), (re.compile(r"\btrue\b"), "false"),
    (re.compile(r"\bfalse\b"), "true"), (re.compile(r" \+= "), " -= "), (re.compile(r"\bmin\b"), "max"),
    (re.compile(r"\(!(?=[a-z])"), "("))
NUMBER = re.compile(r"(?<![\w.\"%])(\d+)(?![\w.\"])")


def command(words, seconds=SECONDS):
    """How it ends.  What it has started ends with it: tests run in forks of theirs."""
    with subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                          stdin=subprocess.DEVNULL, cwd=TOP, start_new_session=True) as child:
        try:
            return child.wait(seconds)
        except subprocess.TimeoutExpired:
            return HUNG
        finally:
            try:
                os.killpg(child.pid, signal.SIGKILL)
            except ProcessLookupError:
                pass


def places(path):
    """All changes that can be made to a file: (line, from, to, new words)."""
    found, inside = [], False
    with open(path, encoding="utf-8") as file:
        lines = file.read().split("\n")
    for number, line in enumerate(lines):
        bare = line.strip()
        comment = inside or bare.startswith(("/*", "//", "#"))
        inside = (inside or "/*" in line) and "*/" not in line
        if comment or '"' in line or "/*" in line or "assert" in line:
            continue
        for pattern, new in CHANGES:
            found += [(number, m.start(), m.end(), new) for m in pattern.finditer(line)]
        found += [(number, m.start(), m.end(), str(int(m.group(1)) + 1))
                  for m in NUMBER.finditer(line)]
    return lines, found


def equals():
    """The changes that make no difference: (file, line, change)."""
    with open(os.path.join(TOP, "tests/long/mutants.txt"), encoding="utf-8") as file:
        rows = [row.rstrip("\n").split(" | ") for row in file if not row.startswith("#")]
    for row in rows:
        assert len(row) == 4 and row[3], row
    return {tuple(row[:3]) for row in rows}


class Shop:
    """A build of its own, in which one object is exchanged at a time."""

    def __init__(self, folder):
        self.folder = folder
        flags = subprocess.run(["pkg-config", "--cflags", "--libs", "libxml-2.0", "jansson", "check"],
                               capture_output=True, text=True, check=True).stdout.split()
        self.libs = [f for f in flags if f.startswith(("-l", "-L", "-pthread"))] + ["-lhpdf", "-lm"]
        self.flags = ["-std=c17", "-D_POSIX_C_SOURCE=200809L", "-O1", "-w", "-Isrc", "-Iinclude",
                      "-Itests/unit", "-I" + folder + "/gen"] + [f for f in flags if f.startswith("-I")]
        subprocess.run(["make", "-s", "-j2", "BUILD=" + folder, "OPT=-O1", "HARDEN=", "LDHARDEN=", "all"],
                       cwd=TOP, check=True, stdout=subprocess.DEVNULL)
        self.archive = folder + "/libgluewright.a"
        shutil.copy(self.archive, folder + "/whole.a")
        self.tests = {room: [] for room in ROOMS}
        self.seconds, self.quick = {}, ()
        for source in sorted(glob.glob(TOP + "/tests/unit/test_*.c")):
            with open(source, encoding="utf-8") as file:
                text = file.read()
            name = os.path.basename(source)[:-2]
            rooms = [room for room in ROOMS if '#include "%s/' % room in text]
            if rooms and command(["gcc", *self.flags, "-c", "-o", "%s/%s.o" % (folder, name), source]) == 0:
                for room in rooms:
                    self.tests[room].append(name)

    def link(self, objects, out):
        return command(["gcc", "-o", out, *objects, self.archive, *self.libs])

    def notices(self, path, text):
        """The test that notices the changed file; "" for none; None: not a program."""
        room = path.split("/")[1]
        shutil.copy(self.folder + "/whole.a", self.archive)
        changed = self.folder + "/" + os.path.basename(path)
        with open(changed, "w", encoding="utf-8") as file:
            file.write(text)
        compiled = changed[:-2] + ".o"
        if command(["gcc", *self.flags, "-I" + os.path.dirname(path), "-c", "-o", compiled, changed]) != 0:
            return None
        subprocess.run(["ar", "rs", self.archive, compiled], check=True, capture_output=True)
        for test in self.tests[room]:
            program = self.folder + "/" + test
            if self.link([program + ".o"], program) != 0:
                continue
            ends = command([program], self.seconds[test])
            if ends != 0:
                return test + " (it hangs)" * (ends == HUNG)
        program = self.folder + "/gluewright"
        self.link([self.folder + "/src/cli/main.o"], program)
        for name, *more in self.quick:
            ends = command(self.words(program, name, *more), self.seconds[name])
            if ends != 0:
                return name + " (it hangs)" * (ends == HUNG)
        return ""

    def timed(self, name, words):
        """Whether it passes by itself; how long a mutant may take is kept."""
        begun = time.monotonic()
        passes = command(words) == 0
        self.seconds[name] = 10 + 5 * (time.monotonic() - begun)
        if not passes:
            print("left out, it fails by itself: " + name)
        return passes

    def sound(self):
        """Tests that fail without any mutant tell nothing: they are left out.  The
        quickest are first."""
        good = set()
        for name in sorted({name for room in ROOMS for name in self.tests[room]}):
            program = self.folder + "/" + name
            if self.link([program + ".o"], program) == 0 and self.timed(name, [program]):
                good.add(name)
        for room in ROOMS:
            self.tests[room] = sorted(good.intersection(self.tests[room]), key=self.seconds.get)
        program = self.folder + "/gluewright"
        self.quick = [test for test in QUICK if self.timed(test[0], self.words(program, *test))]

    @staticmethod
    def words(program, name, *more):
        tool = "sh" if name.endswith(".sh") else "/usr/bin/python3"
        return [tool, "tests/cli/" + name, program, *more]


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    chance = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    os.chdir(TOP)
    files = {path: places(path) for room in ROOMS for path in sorted(glob.glob("src/%s/*.c" % room))}
    everything = [(path, change) for path in files for change in files[path][1]]
    tried = {room: [0, 0] for room in ROOMS}
    equal, passed_over = equals(), 0
    with tempfile.TemporaryDirectory() as folder:
        shop = Shop(folder)
        shop.sound()
        for path, (number, start, end, new) in chance.sample(everything, len(everything)):
            if sum(t for t, _ in tried.values()) == count:
                break
            lines = list(files[path][0])
            old = lines[number]
            change = "%s -> %s" % (old[start:end].strip(), new.strip())
            if (path, old.strip(), change) in equal:
                passed_over += 1
                continue
            lines[number] = old[:start] + new + old[end:]
            by = shop.notices(path, "\n".join(lines))
            if by is None:
                continue
            room = path.split("/")[1]
            tried[room][0] += 1
            tried[room][1] += bool(by)
            print("%-9s %s:%d: %s%s" % ("noticed" if by else "MISSED", path, number + 1, change,
                  " by " + by if by else "   | " + old.strip()), flush=True)
    for room, (made, seen) in tried.items():
        print("%s: %d of %d noticed" % (room, seen, made))
    made, seen = (sum(pair[i] for pair in tried.values()) for i in (0, 1))
    print("%d of %d mutants noticed (%d %%), of %d that could be made; %d that make no difference" %
          (seen, made, 100 * seen // max(made, 1), len(everything), passed_over))


if __name__ == "__main__":
    main()
