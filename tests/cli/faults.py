#!/usr/bin/python3
"""The machine fails: disks that are full or go away, streams that are closed, an
end in the middle of writing.

usage: faults.py PROGRAM

Whatever happens to a print, each sheet in the folder is the old one or the new
one, whole; where the command can still speak, it ends with status 3 and a
sentence, and then all sheets are of one print.
"""
import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, total  # noqa: E402: the path is set above

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
SHEETS = ["dry-fit.pdf", "glue-up.pdf", "labels.pdf", "marking-out.pdf"]
BESIDE = ".gluewright-"


def read_all(folder):
    found = {}
    for name in sorted(os.listdir(folder)):
        with open(os.path.join(folder, name), "rb") as file:
            found[name] = hashlib.sha256(file.read()).hexdigest()
    return found


class Bench:
    def __init__(self, program, folder):
        self.program, self.folder = program, folder
        self.shim = os.path.join(folder, "failwrite.so")
        subprocess.run([os.environ.get("CC", "gcc"), "-O2", "-shared", "-fPIC", "-o", self.shim,
                        os.path.join(TOP, "tests/faults/failwrite.c")], check=True)
        self.piece = os.path.join(folder, "door.xml")
        subprocess.run([program, "new", "door", "-o", self.piece], check=True)
        self.sheets = os.path.join(folder, "sheets")
        self.print = ["print", "-o", self.sheets, self.piece]
        self.run(self.print)
        self.new = read_all(self.sheets)
        self.old = self.lay_out_old()

    def lay_out_old(self):
        shutil.rmtree(self.sheets, ignore_errors=True)
        os.mkdir(self.sheets)
        for name in SHEETS:
            with open(os.path.join(self.sheets, name), "wb") as file:
                file.write(b"old " + name.encode())
        return read_all(self.sheets)

    def run(self, words, **settings):
        env = dict(os.environ, LC_ALL="C.UTF-8")
        shims = {k.upper(): str(v) for k, v in settings.items() if k.startswith("failwrite_")}
        if shims:
            env.update(shims, LD_PRELOAD=self.shim)
        rest = {k: v for k, v in settings.items() if not k.startswith("failwrite_")}
        rest.setdefault("stdout", subprocess.PIPE)
        rest.setdefault("stderr", subprocess.PIPE)
        return subprocess.run([self.program, *words], env=env, timeout=60, check=False, **rest)

    def all_of_one(self, name, beside=False):
        now = read_all(self.sheets)
        if beside:
            now = {n: is_ for n, is_ in now.items() if not n.startswith(BESIDE)}
        expect(now in (self.old, self.new), "%s: sheets of two prints, or more than sheets: %s" %
               (name, sorted(now)))

    def each_whole(self, name):
        now = read_all(self.sheets)
        for sheet in SHEETS:
            expect(now.get(sheet) in (self.old[sheet], self.new[sheet]),
                   "%s: %s is neither the old nor the new one" % (name, sheet))
        return now


def refused(name, done, words=None):
    err = (done.stderr or b"").decode("utf-8", "replace")
    last = err.splitlines()[-1] if err else ""
    expect(done.returncode == 3 and last.startswith("gluewright: ") and (words or "") in last,
           "%s: status %d, %r" % (name, done.returncode, last))


def full_disk(b):
    whole = sum(os.path.getsize(os.path.join(b.folder, "keep", name)) for name in SHEETS)
    for share in (0, 1, 5, 20, 40, 60, 80, 95, 99):
        b.lay_out_old()
        room = whole * share // 100
        done = b.run(b.print, failwrite_after=room)
        refused("print, room for %d bytes" % room, done, "No space left")
        b.all_of_one("print, room for %d bytes" % room)


def full_file_system(b):
    """A real one, where mounting is allowed."""
    place = os.path.join(b.folder, "small")
    os.mkdir(place)
    for size in ("16k", "64k", "128k"):
        mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=" + size, "tmpfs", place],
                                 capture_output=True, check=False)
        if mounted.returncode != 0:
            print("skipped: file systems cannot be mounted here")
            return
        try:
            done = b.run(["print", "-o", place, b.piece])
            refused("print onto %s" % size, done, "No space left")
            expect(os.listdir(place) == [], "print onto %s leaves %s" % (size, os.listdir(place)))
            with open(os.path.join(place, "filler"), "wb") as file:
                try:
                    file.write(b"x" * 10**6)
                except OSError:
                    pass
            for words in (["new", "door"], ["schema"], ["schema", "--relaxng"]):
                out = os.path.join(place, "half")
                done = b.run([*words, "-o", out])
                refused("%s onto a full %s" % (words[0], size), done)
                expect(not os.path.exists(out), "%s leaves half a file" % words[0])
        finally:
            subprocess.run(["umount", place], check=True)


def failing_calls(b):
    b.lay_out_old()
    done = b.run(b.print, failwrite_sync=1)
    refused("fsync fails", done)
    b.all_of_one("fsync fails")
    for number in range(1, 9):
        b.lay_out_old()
        done = b.run(b.print, failwrite_rename=number)
        refused("rename %d fails" % number, done)
        now = b.each_whole("rename %d fails" % number)
        expect(not any(n.startswith(BESIDE) for n in now), "rename %d fails: litter" % number)


def loss_of_power(b):
    """Killed before each write, fsync and rename in turn."""
    report = os.path.join(b.folder, "report")
    b.run(b.print, failwrite_report=report)
    with open(report, encoding="ascii") as file:
        calls = int(file.read())
    mixed = 0
    for number in range(1, calls + 1):
        b.lay_out_old()
        done = b.run(b.print, failwrite_stop=number)
        expect(done.returncode == -signal.SIGKILL, "call %d: not killed" % number)
        now = b.each_whole("killed before call %d" % number)
        mixed += {n: now[n] for n in SHEETS} not in (b.old, b.new)
    b.run(b.print)
    expect(read_all(b.sheets) == b.new, "the next print leaves what the killed ones left")
    expect(calls > 8 and mixed < len(SHEETS), "killed in %d of %d places, sheets are of two prints" %
           (mixed, calls))
    print("killed before each of %d calls; %d of them between the renames" % (calls, mixed))


def killed_at_random(b):
    rng = random.Random(1)
    start = time.monotonic()
    b.run(b.print)
    usual = time.monotonic() - start
    for i in range(25):
        b.lay_out_old()
        child = subprocess.Popen([b.program, *b.print], stdout=subprocess.DEVNULL,
                                 stderr=subprocess.DEVNULL)
        time.sleep(rng.uniform(0.3, 1.0) * usual)
        child.send_signal(rng.choice([signal.SIGKILL, signal.SIGTERM, signal.SIGINT]))
        child.wait(timeout=30)
        b.each_whole("killed at random, %d" % i)
    b.run(b.print)
    expect(read_all(b.sheets) == b.new, "a print after killed ones")


def two_at_once(b):
    """Two processes print into one folder: one is told to wait, or both come through."""
    b.lay_out_old()
    both = [subprocess.Popen([b.program, *b.print], stdout=subprocess.DEVNULL,
                             stderr=subprocess.PIPE) for _ in range(2)]
    ends = [(child.communicate(timeout=60)[1], child.returncode) for child in both]
    expect(sorted(status for _, status in ends) in ([0, 0], [0, 3]),
           "two prints at once end with %s" % ends)
    expect(all(status == 0 or b"under way" in err for err, status in ends),
           "two prints at once: %s" % ends)
    expect(read_all(b.sheets) == b.new, "two prints at once: not the new sheets")


def streams(b):
    commands = [["check", b.piece], ["check", "--json", b.piece], ["order", b.piece],
                ["order", "--json", b.piece], ["order", "--tree", b.piece], ["new", "box"],
                ["schema"], ["schema", "--relaxng"], ["list", b.piece], ["explain", "loop-open"],
                ["--help"], ["--version"], b.print]
    for words in commands:
        name = " ".join(words[:2] if words[0] != "print" else words[:1])
        with open("/dev/full", "wb") as full:
            refused(name + " >/dev/full", b.run(words, stdout=full))
        quoted = " ".join("'%s'" % w for w in [b.program, *words])
        done = subprocess.run(["sh", "-c", quoted + " >&-"], capture_output=True, check=False)
        refused(name + " >&-", done)
        done = subprocess.run(["sh", "-c", quoted + " 2>&- <&-"], capture_output=True, check=False)
        expect(done.returncode == 0, "%s 2>&- <&-: status %d" % (name, done.returncode))
        reader, writer = os.pipe()
        os.close(reader)
        done = b.run(words, stdout=writer)
        os.close(writer)
        expect(done.returncode in (-signal.SIGPIPE, 3) and b"anitizer" not in done.stderr,
               "%s into a closed pipe: status %d" % (name, done.returncode))
        done = b.run(words, stderr=open("/dev/full", "wb"))
        expect(done.returncode in (0, 3), "%s 2>/dev/full: status %d" % (name, done.returncode))
    b.each_whole("closed streams")
    done = b.run(["check", "-"], stdin=subprocess.DEVNULL)
    expect(done.returncode == 2, "an empty standard input: status %d" % done.returncode)


def places(b):
    """Folders that cannot be written into."""
    plain = os.path.join(b.folder, "plain")
    with open(plain, "w", encoding="ascii") as file:
        file.write("a file\n")
    for name, folder in (("below a file", plain + "/sheets"), ("a file", plain),
                         ("/proc", "/proc/sheets"), ("/dev/null", "/dev/null"), ("no name", "")):
        refused("print into " + name, b.run(["print", "-o", folder, b.piece]))
    b.lay_out_old()
    os.remove(os.path.join(b.sheets, "labels.pdf"))
    os.mkdir(os.path.join(b.sheets, "labels.pdf"))
    refused("a folder in a sheet's place", b.run(b.print), "not an ordinary file")
    b.lay_out_old()
    os.remove(os.path.join(b.sheets, "glue-up.pdf"))
    os.mkfifo(os.path.join(b.sheets, "glue-up.pdf"))
    refused("a pipe in a sheet's place", b.run(b.print), "not an ordinary file")
    b.lay_out_old()
    os.symlink("/dev/full", os.path.join(b.sheets, "new"))
    os.rename(os.path.join(b.sheets, "new"), os.path.join(b.sheets, "dry-fit.pdf"))
    refused("a device behind a sheet's place", b.run(b.print), "not an ordinary file")
    b.lay_out_old()
    os.chmod(b.sheets, 0o555)
    nobody = {"user": 65534, "group": 65534} if os.geteuid() == 0 else {}
    for path in (b.folder, b.sheets):
        os.chmod(path, 0o755 if path == b.folder else 0o555)
    reachable = b.run(["--version"], **nobody).returncode == 0 if reach(b.program) else False
    if reachable:
        refused("a folder that is not ours", b.run(b.print, **nobody), "Permission denied")
    else:
        print("skipped: the program is where only its owner may run it")
    os.chmod(b.sheets, 0o755)
    b.all_of_one("a folder that is not ours")
    for words in (["new", "box", "-o"], ["schema", "-o"]):
        refused(words[0] + " into no folder", b.run([*words, b.folder + "/no/such/x"]))
    target = os.path.join(b.folder, "elsewhere.pdf")
    b.lay_out_old()
    os.remove(os.path.join(b.sheets, "labels.pdf"))
    with open(target, "wb") as file:
        file.write(b"old")
    os.symlink(target, os.path.join(b.sheets, "labels.pdf"))
    expect(b.run(b.print).returncode == 0 and os.path.islink(os.path.join(b.sheets, "labels.pdf"))
           and read_all(b.sheets) == b.new, "a sheet behind a symbolic link")


def reach(path):
    """Whether others may walk down to the program."""
    while path != "/":
        if not os.stat(path).st_mode & 0o001:
            return False
        path = os.path.dirname(path)
    return True


def main():
    program = os.path.abspath(sys.argv[1] if len(sys.argv) > 1 else "build/gluewright")
    with tempfile.TemporaryDirectory() as folder:
        b = Bench(program, folder)
        b.run(["print", "-o", os.path.join(folder, "keep"), b.piece])
        for part in (full_disk, full_file_system, failing_calls, loss_of_power, killed_at_random,
                     two_at_once, streams, places):
            part(b)
    return total()


if __name__ == "__main__":
    sys.exit(main())
