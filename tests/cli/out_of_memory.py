#!/usr/bin/python3
"""Memory that runs out at every place where memory is asked for.

usage: out_of_memory.py PROGRAM [--all] [PIECE [COMMAND ...]]

tests/faults/failmalloc.c is preloaded and makes one allocation fail, or that
one and all after it.  First the allocations are listed that come from different
chains of callers; each is then made to fail by itself (with --all; otherwise a
fixed share of them, which is printed).  The piece is a door unless one is named, and
the commands are those below, or those named, such as "order --json".  Whatever fails,
the command

  - ends by itself, with exit status 3 and a sentence, and prints nothing else,
    or with the same output as ever when it could do without that memory;
  - leaves sheets that are all the old ones or all the new ones, whole; what it had
    made beside them is taken away by the next print.
"""
import collections
import hashlib
import os
import shutil
import subprocess
import sys
import tempfile

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
SHEETS = ["dry-fit.pdf", "glue-up.pdf", "labels.pdf", "marking-out.pdf"]
# command, share of the chains that are tried in a short run (1 of so many)
COMMANDS = [(["check", "--json"], 2), (["check"], 6), (["order", "--json"], 6), (["order"], 12),
            (["print"], 60)]
SECONDS = 30  # a run takes a fraction of one


class Run:
    """One run of the command with its memory watched."""

    def __init__(self, program, folder, shim):
        self.program, self.folder, self.shim = program, folder, shim
        self.report = os.path.join(folder, "report")

    def __call__(self, command, piece, **settings):
        env = dict(os.environ, LD_PRELOAD=self.shim, FAILMALLOC_REPORT=self.report, LC_ALL="C.UTF-8")
        env.update({"FAILMALLOC_" + name.upper(): str(value) for name, value in settings.items()})
        if os.path.exists(self.report):
            os.remove(self.report)
        done = subprocess.run([self.program, *command, piece], capture_output=True, env=env,
                              timeout=SECONDS, check=False)
        return done.returncode, done.stdout, done.stderr

    def reported(self):
        try:
            with open(self.report, encoding="utf-8") as file:
                count, who = file.read().split(maxsplit=1)
                return int(count), os.path.basename(who.strip())
        except (FileNotFoundError, ValueError):
            return 0, "?"


def read_all(folder):
    found = {}
    for name in sorted(os.listdir(folder)):
        with open(os.path.join(folder, name), "rb") as file:
            found[name] = hashlib.sha256(file.read()).hexdigest()
    return found


def lay_out_old(folder):
    """Sheets of an earlier print; what a failed one left beside them stays."""
    for name in os.listdir(folder):
        if not name.startswith(".gluewright-"):
            os.remove(os.path.join(folder, name))
    for name in SHEETS:
        with open(os.path.join(folder, name), "wb") as file:
            file.write(b"old " + name.encode())
    return read_all(folder)


def is_sentence(words):
    lines = words.decode("utf-8", "replace").splitlines()
    return bool(lines) and lines[-1].startswith("gluewright: ") and len(lines[-1]) > 20


def judge(result, usual, sheets, old, new):
    """What is wrong with how the run ended, or None."""
    status, out, err = result
    if status < 0:
        return "killed by signal %d" % -status
    if b"Sanitizer" in err or b"runtime error" in err:
        return "a sanitizer stopped it"
    if sheets is not None and status == 3:
        # Left beside by a print that ended at once; the next print takes it away.
        sheets = {name: is_ for name, is_ in sheets.items() if not name.startswith(".gluewright-")}
    if sheets is not None and sheets not in (old, new):
        return "half of the sheets: %s" % ", ".join(
            "%s %s" % (name, "old" if old.get(name) == is_ else "new" if new.get(name) == is_ else
                       "of neither print") for name, is_ in sheets.items())
    if status == 3:
        if out and sheets is None:
            return "exit status 3, but output all the same: %r" % out[:80]
        return None if is_sentence(err) else "exit status 3 without a sentence: %r" % err[-200:]
    if status != usual[0]:
        return "exit status %d: %r" % (status, err[-200:])
    if sheets is not None and sheets != new:
        return "exit status %d, but no new sheets" % status
    return None if (out, err) == usual[1:] else "other output than ever: %r" % (out + err)[-200:]


def try_command(run, command, share, piece, folder):
    """Runs `command` with each of the chosen allocations failing; gives (good, bad)."""
    sheets_folder = os.path.join(folder, "sheets")
    prints = command[0] == "print"
    words = command + (["-o", sheets_folder] if prints else [])
    old = lay_out_old(sheets_folder)
    usual = run(words, piece)
    new = read_all(sheets_folder) if prints else None
    total = run.reported()[0]
    sites_file = os.path.join(folder, "sites")
    run(words, piece, sites=sites_file)
    with open(sites_file, encoding="utf-8") as file:
        sites = [int(line) for line in file]
    chosen = sites[::share]
    bad, ends, who_failed = collections.Counter(), collections.Counter(), collections.Counter()
    for later in (0, 1):
        for number in chosen:
            if prints:
                lay_out_old(sheets_folder)
            try:
                result = run(words, piece, at=number, on=later)
                wrong = judge(result, usual, read_all(sheets_folder) if prints else None, old, new)
                ends["refused" if result[0] == 3 else "did without"] += 1
            except subprocess.TimeoutExpired:
                wrong = "still running after %d s" % SECONDS
            who = run.reported()[1]
            who_failed[who] += 1
            if wrong:
                bad[wrong] += 1
                if bad[wrong] <= 3:
                    print("FAILED: %s, allocation %d%s (%s): %s" % (
                        " ".join(command), number, " and all after it" if later else "", who, wrong))
    tried = 2 * len(chosen)
    print("%-14s %6d allocations from %5d chains of callers; %5d failed in %d runs: %s; by %s" % (
        " ".join(command), total, len(sites), len(chosen), tried,
        ", ".join("%d %s" % (n, end) for end, n in sorted(ends.items())),
        ", ".join("%s %d" % pair for pair in who_failed.most_common())))
    wrong = sum(bad.values())
    return tried - wrong, wrong


def main():
    program = os.path.abspath(sys.argv[1] if len(sys.argv) > 1 else "build/gluewright")
    everything = "--all" in sys.argv
    named = [word for word in sys.argv[2:] if word != "--all"]
    passed = failed = 0
    with tempfile.TemporaryDirectory() as folder:
        shim = os.path.join(folder, "failmalloc.so")
        subprocess.run([os.environ.get("CC", "gcc"), "-O2", "-shared", "-fPIC", "-o", shim,
                        os.path.join(TOP, "tests/faults/failmalloc.c"), "-ldl"], check=True)
        piece = os.path.join(folder, "door.xml")
        if named:
            shutil.copy(named[0], piece)
        else:
            subprocess.run([program, "new", "door", "-o", piece], check=True)
        os.mkdir(os.path.join(folder, "sheets"))
        run = Run(program, folder, shim)
        for command, share in COMMANDS:
            if named[1:] and " ".join(command) not in named[1:]:
                continue
            good, bad = try_command(run, command, 1 if everything else share, piece, folder)
            passed, failed = passed + good, failed + bad
    print("%d passed, %d failed" % (passed, failed))
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main())
