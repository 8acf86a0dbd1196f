#!/bin/sh
# Replays what fuzzing has found: each file of tests/fuzz/found is checked,
# ordered and printed, as a draft where it does not mate, and must be judged.
#
# usage: found.sh [PROGRAM]
here=$(cd "$(dirname "$0")/../.." && pwd)
program=${1:-$here/build/gluewright}
[ -x "$program" ] || { echo "$program is not there: build it first"; exit 2; }
passed=0
failed=0
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT

try() { # file, arguments...
  file=$1
  shift
  timeout 60 "$program" "$@" "$file" >"$folder/out" 2>"$folder/err"
  status=$?
  if [ $status -le 2 ]; then passed=$((passed + 1)); return; fi
  failed=$((failed + 1))
  printf 'FAILED %s %s: status %d: %s\n' "$1" "$(basename "$file")" $status \
    "$(tail -n 1 "$folder/err")"
}

for file in "$here"/tests/fuzz/found/*; do
  try "$file" check
  try "$file" order --json
  try "$file" print --draft -o "$folder/sheets"
done

printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
