#!/bin/sh
# The tests that take long, one after the other: some three hours on two cores.
# Ends with "N passed, M failed".
#
# usage: run.sh [BUILD]
set -u
cd "$(dirname "$0")/../.." || exit 2
BUILD=${1:-build}
passed=0 failed=0
mkdir -p "$BUILD"
log=$BUILD/long.log

# A program that says how many have passed counts by that, any other as one.
run() { # name, command...
  name=$1
  shift
  "$@" >"$log" 2>&1 </dev/null
  status=$?
  counts=$(sed -n 's/^\([0-9]*\) passed, \([0-9]*\) failed.*/\1 \2/p' "$log" | tail -n 1)
  if [ -z "$counts" ]; then
    if [ $status = 0 ]; then counts="1 0"; else counts="0 1"; fi
  fi
  good=${counts% *} bad=${counts#* }
  [ $status != 0 ] && [ "$bad" = 0 ] && bad=1
  passed=$((passed + good)) failed=$((failed + bad))
  printf '%-44s %6d passed %4d failed\n' "$name" "$good" "$bad"
  [ "$bad" = 0 ] || tail -n 20 "$log"
}

make --no-print-directory BUILD="$BUILD" all unit bench fuzz >"$log" 2>&1 || { cat "$log"; exit 2; }
run "static analysis" sh tests/long/analyse.sh "$BUILD"
run "the same everywhere" sh tests/long/same_everywhere.sh
run "paper, all pieces" sh tests/long/paper.sh "$BUILD/gluewright"
run "two renderers, all pieces" sh tests/long/renderers.sh "$BUILD/gluewright"
run "marks read by an optical reader" /usr/bin/python3 tests/long/optical.py "$BUILD"
run "random pieces" /usr/bin/python3 tests/cli/generated.py "$BUILD/gluewright" 4000
run "memory that fails, everywhere" /usr/bin/python3 tests/cli/out_of_memory.py "$BUILD/gluewright" --all
for target in fuzz_lengths fuzz_reader fuzz_sheets; do
  run "$target, ten minutes" sh tests/fuzz/run.sh "$BUILD/fuzz" 600 $target
done
run "changes that tests must notice" /usr/bin/python3 tests/long/mutants.py 60 1
run "coverage" sh tests/long/coverage.sh
if [ "$(id -u)" = 0 ]; then run "package in a clean root" sh tests/long/deb.sh "$BUILD"
else echo "the package in a clean root wants root: skipped"
fi
echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
