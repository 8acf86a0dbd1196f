#!/bin/sh
# How much of the code the tests run: lines and branches of each file, by gcov.
#
# usage: coverage.sh [FOLDER]
#
# Builds into FOLDER (a temporary one unless named), runs the unit tests and the
# tests of the command, and prints a table, the least covered files first, then the
# longest runs of lines that nothing reaches.  Memory fails at every place where it
# is asked for, so that takes most of the time: about half an hour.
set -u
cd "$(dirname "$0")/../.." || exit 2
folder=${1:-$(mktemp -d)}
mkdir -p "$folder" && folder=$(cd "$folder" && pwd) || exit 2
make --no-print-directory -j"$(nproc)" BUILD="$folder" OPT="-O0 -g" HARDEN= LDHARDEN= SAN=--coverage \
  CFLAGS="-fprofile-update=atomic -Wno-error" all unit >"$folder/log" 2>&1 || { tail "$folder/log"; exit 2; }
find "$folder" -name '*.gcda' -exec rm {} +
for test in "$folder"/tests/test_*; do
  case $test in *.d | *.gcno | *.gcda) ;; *) timeout 600 "$test" >/dev/null 2>&1 </dev/null ;; esac
done
for test in tests/cli/*; do
  case $test in
    */hardened.sh | */renderers.py) ;; # of the real program only, or of other programs
    # What it says is of no use here: the counters too want memory when a run ends.
    */out_of_memory.py)
      /usr/bin/python3 "$test" "$folder/gluewright" >/dev/null 2>&1 </dev/null
      for piece in side-table lantern-chest; do
        /usr/bin/python3 "$test" "$folder/gluewright" --all projects/$piece.xml "check --json" "order" \
          >/dev/null 2>&1 </dev/null
      done ;;
    *.sh) timeout 600 sh "$test" "$folder/gluewright" >/dev/null 2>&1 ;;
    *.py) timeout 600 /usr/bin/python3 "$test" "$folder/gluewright" >/dev/null 2>&1 </dev/null ;;
  esac
done
cd "$folder" || exit 2
find src -name '*.gcda' -exec gcov -b -c --json-format {} + >/dev/null 2>&1
/usr/bin/python3 - "$folder" <<'END'
import glob, gzip, json, sys
lines, branches = {}, {}
for path in glob.glob(sys.argv[1] + "/*.gcov.json.gz"):
    with gzip.open(path) as packed:
        for file in json.load(packed)["files"]:
            if not file["file"].startswith("src/") or not file["file"].endswith(".c"):
                continue
            for line in file["lines"]:
                at = (file["file"], line["line_number"])
                lines[at] = lines.get(at, 0) + line["count"]
                for i, branch in enumerate(line["branches"]):
                    if not branch["throw"]:
                        branches[at + (i,)] = branches.get(at + (i,), 0) + branch["count"]
rows = []
for name in sorted({at[0] for at in lines}):
    run = [n for at, n in lines.items() if at[0] == name]
    way = [n for at, n in branches.items() if at[0] == name]
    rows.append((sum(map(bool, run)), len(run), sum(map(bool, way)), len(way), name))
rows.sort(key=lambda row: (row[0] / row[1], row[4]))
rows.append(tuple(sum(row[i] for row in rows) for i in range(4)) + ("all",))
print("%7s %13s %7s %13s" % ("lines", "", "ways", ""))
for a, b, c, d, name in rows:
    print("%6.1f%% %6d/%6d %6.1f%% %6d/%6d  %s" % (100 * a / b, a, b, 100 * c / max(d, 1), c, d, name))
gaps, last = [], None
for at in sorted(lines):
    if lines[at]:
        last = None
    elif last and last[0] == at[0]:
        last[2], last[3] = at[1], last[3] + 1
    else:
        last = [at[0], at[1], at[1], 1]
        gaps.append(last)
print("\nnever reached, the longest first:")
for name, first, end, count in sorted(gaps, key=lambda gap: (-gap[3], gap[0]))[:25]:
    print("%4d lines  %s:%d-%d" % (count, name, first, end))
END
