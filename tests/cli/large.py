#!/usr/bin/python3
"""Large and hopeless pieces are judged in bearable time, with findings that help.

usage: large.py [PROGRAM]
"""
import os
import re
import subprocess
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
MAKER = os.path.join(HERE, "..", "bench", "make_piece.py")
SECONDS = 30  # far more than is needed, for slow machines and checked builds

# shape, parts, fault in mm, exit status, codes of the errors, words that one must have
CASES = [
    ("fence", 3000, 0, 0, [], ""),
    ("fence", 10000, 1, 1, ["loop-open"], "length of low3332 401 to 400"),
    ("ring", 10000, 0, 0, [], ""),
    ("ring", 10000, 1, 1, ["loop-open"], "misses by 1 from left to right"),
    ("complete", 60, 0, 1, None, "misses by 100 from left to right"),
    ("complete", 200, 0, 1, None, "misses by 100 from left to right"),
    ("absurd", 3000, 0, 0, [], ""),
    ("loose", 10000, 0, 1, ["no-place"] * 20, "nothing says how high"),
    ("tolerant", 10000, 0, 0, [], ""),
]


def judge(program, folder, case):
    shape, parts, fault, wanted, codes, words = case
    path = os.path.join(folder, "%s.xml" % shape)
    with open(path, "w", encoding="utf-8") as out:
        subprocess.run([sys.executable, MAKER, shape, str(parts), str(fault)], stdout=out, check=True)
    try:
        ran = subprocess.run([program, "check", "-q", path], capture_output=True, text=True,
                             timeout=SECONDS, check=False)
    except subprocess.TimeoutExpired:
        return "not done in %d seconds" % SECONDS
    found = re.findall(r": error: (.*) \[([a-z-]+)\]$", ran.stderr, re.M)
    if ran.returncode != wanted:
        return "exit status %d: %s" % (ran.returncode, ran.stderr[:300])
    if codes is not None and [code for _, code in found] != codes:
        return "errors %s" % found[:3]
    if words and not any(words in text for text, _ in found):
        return "no error says: %s" % words
    if any(len(text) > 2000 for text, _ in found):
        return "an error of %d letters" % max(len(text) for text, _ in found)
    return None


def main():
    program = sys.argv[1] if len(sys.argv) > 1 else os.path.join(HERE, "../../build/gluewright")
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        for case in CASES:
            wrong = judge(program, folder, case)
            if wrong is not None:
                failed += 1
                print("FAILED %s of %d parts: %s" % (case[0], case[1], wrong))
    print("%d passed, %d failed" % (len(CASES) - failed, failed))
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
