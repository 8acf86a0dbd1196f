#!/bin/sh
# Fuzzing: a fixed number of executions, or as long as is wanted.
#
# usage: run.sh FOLDER             short: the same executions each time
#        run.sh FOLDER SECONDS [PROGRAM]
#                                  long: one of them (fuzz_sheets), on one core; crashes
#                                  do not end it; what it learns stays in FOLDER/corpus
#
# FOLDER is where `make fuzz` has put the programs.  The corpus is made of the
# project files that the other tests use.  What is found goes into FOLDER/found; put
# it into tests/fuzz/found under a name that tells what it is.
set -u
here=$(cd "$(dirname "$0")/../.." && pwd)
folder=$(cd "$1" && pwd) || exit 2
seconds=${2:-}
program=${3:-fuzz_sheets}
seeds=$(mktemp -d)
trap 'rm -rf "$seeds"' EXIT
mkdir -p "$folder/found" "$folder/corpus/$program"
FUZZ_SHEETS=$seeds/sheets
export FUZZ_SHEETS
dictionary=-dict=$here/tests/fuzz/project.dict

mkdir "$seeds/files" "$seeds/lengths"
for file in "$here"/projects/*.xml "$here"/tests/noted/*.xml "$here"/tests/codes/*.xml \
    "$here"/tests/fuzz/found/* ${seconds:+"$here"/tests/broken/*.xml}; do
  [ -f "$file" ] && [ "$(wc -c <"$file")" -lt 20000 ] && cp "$file" "$seeds/files/"
done
i=0
for length in 412 '412.5 mm' '16 1/4in' '3/8"' ' -0.0625 ' 100000 1/1024in 5in; do
  i=$((i + 1))
  printf '%s' "$length" >"$seeds/lengths/$i"
done

if [ -n "$seconds" ]; then
  from=files longest=12000
  [ "$program" = fuzz_lengths ] && from=lengths longest=40 dictionary=
  # shellcheck disable=SC2086
  "$folder/$program" -fork=1 -ignore_crashes=1 -ignore_timeouts=1 -ignore_ooms=1 -timeout=20 \
    -rss_limit_mb=2000 -max_len=$longest -max_total_time="$seconds" $dictionary \
    -artifact_prefix="$folder/found/" "$folder/corpus/$program" "$seeds/$from" 2>&1 |
    grep -E '^#|ERROR|SUMMARY'
  ls "$folder/found"
  exit
fi

passed=0
failed=0
short() { # program, runs, seeds, options...
  name=$1 runs=$2 from=$3
  shift 3
  if "$folder/$name" -runs="$runs" -seed=1 -timeout=20 -rss_limit_mb=2000 -reload=0 \
      -artifact_prefix="$folder/found/" "$@" "$from" >"$seeds/log" 2>&1; then
    passed=$((passed + 1))
    echo "$name: $(tail -n 1 "$seeds/log")"
  else
    failed=$((failed + 1))
    tail -n 30 "$seeds/log"
  fi
}
short fuzz_lengths 300000 "$seeds/lengths" -max_len=40
short fuzz_reader 1500 "$seeds/files" -max_len=12000 "$dictionary"
short fuzz_sheets 700 "$seeds/files" -max_len=12000 "$dictionary"
printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ]
