#!/usr/bin/python3
"""How time and memory of `check` grow with the piece, beside xmllint --noout.

usage: scale.py [PROGRAM] [LARGEST]

Made-up fences (make_piece.py) of 100, 1,000, 10,000 and 100,000 parts; those of
more than 3,000 are checked but not ordered.  Both programs on the same file in
the same run, the least of three processor times (user and system) and the
largest memory (never below that of this script, 14 MiB).  xmllint only parses;
with --schema it validates as well, as check does.  Ends with 1 when a part costs
more than twice as much in the piece of 100,000 as in that of 10,000.
"""
import os
import resource
import subprocess
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))


def cost(command):
    """Least processor seconds of three runs, largest resident KiB, exit status."""
    best, memory, status = None, 0, 0
    for _ in range(3):
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        seconds = usage.ru_utime + usage.ru_stime
        best = seconds if best is None else min(best, seconds)
        memory = max(memory, usage.ru_maxrss)
    return best, memory, os.waitstatus_to_exitcode(status)


def main():
    program = sys.argv[1] if len(sys.argv) > 1 else os.path.join(HERE, "../../build/gluewright")
    largest = int(sys.argv[2]) if len(sys.argv) > 2 else 100000
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    per_part, failed = {}, 0
    print("%8s %9s | %9s %9s | %9s %9s | %9s | %7s %7s %7s" %
          ("parts", "bytes", "check s", "MiB", "parse s", "MiB", "+schema s", "x parse", "x sch.",
           "x MiB"))
    with tempfile.TemporaryDirectory() as folder:
        schema = os.path.join(folder, "piece.xsd")
        subprocess.run([program, "schema", "-o", schema], check=True)
        for parts in (100, 1000, 10000, 100000):
            if parts > largest:
                break
            piece = os.path.join(folder, "fence.xml")
            with open(piece, "w", encoding="utf-8") as out:
                subprocess.run([sys.executable, os.path.join(HERE, "make_piece.py"), "fence",
                                str(parts)], stdout=out, check=True)
            check, memory, status = cost([program, "check", "-q", piece])
            parse, parse_memory, _ = cost(["xmllint", "--noout", piece])
            valid, _, _ = cost(["xmllint", "--noout", "--schema", schema, piece])
            per_part[parts] = check / parts
            print("%8d %9d | %9.3f %9.1f | %9.3f %9.1f | %9.3f | %7.1f %7.1f %7.1f" %
                  (parts, os.path.getsize(piece), check, memory / 1024, parse, parse_memory / 1024,
                   valid, check / max(parse, 1e-3), check / max(valid, 1e-3), memory / parse_memory))
            if status != 0:
                print("  check ended with %d" % status)
                failed = 1
    if 100000 in per_part and per_part[100000] > 2 * per_part[10000]:
        print("superlinear: %.1f microseconds a part, %.1f in the smaller piece" %
              (per_part[100000] * 1e6, per_part[10000] * 1e6))
        failed = 1
    return failed


if __name__ == "__main__":
    sys.exit(main())
