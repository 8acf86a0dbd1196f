#!/bin/sh
# rcpspmax.sh - solves scheduling instances with known optima and compares.
#
# usage: rcpspmax.sh [BUILD]    (the build folder; build unless given)
#
# Always: our own small instances in tests/oracle/lags, answers worked by hand.
# Also, where it is present: a directory of published instances in the .sch
# format with a file optimum.csv (`FILE,N` or `FILE,unsat`), named by
# GLUEWRIGHT_RCPSPMAX or found as ../shared/data/rcpspmax/*/ beside the project.
# Ends with `N passed, M failed`.
top=$(cd "$(dirname "$0")/../.." && pwd) || exit 2
program=${1:-$top/build}/bench/timelag
seconds=${GLUEWRIGHT_RCPSPMAX_SECONDS:-20}
passed=0
failed=0

# compare FILE EXPECTED
compare() {
  case $2 in
    unsat) expected=infeasible ;;
    *) expected="optimum $2" ;;
  esac
  answer=$("$program" -s "$seconds" "$1" 2>&1)
  if [ "$answer" = "$expected" ]; then
    passed=$((passed + 1))
  else
    failed=$((failed + 1))
    echo "$(basename "$1"): expected $expected, got $answer"
  fi
}

# compare_all DIRECTORY
compare_all() {
  before=$((passed + failed))
  while IFS=, read -r file optimum rest || [ -n "$file" ]; do
    optimum=$(printf %s "$optimum" | tr -d '\r')
    [ "$file" = problem ] || compare "$1/$file" "$optimum"
  done <"$1/optimum.csv"
  echo "$((passed + failed - before)) instances in $(basename "$1")"
}

if [ ! -x "$program" ]; then
  echo "rcpspmax: $program is not built" >&2
  exit 2
fi
compare_all "$top/tests/oracle/lags"

seen=0
if [ -n "$GLUEWRIGHT_RCPSPMAX" ]; then
  set -- "$GLUEWRIGHT_RCPSPMAX" "$GLUEWRIGHT_RCPSPMAX"/*/
else
  set -- "$top"/../shared/data/rcpspmax "$top"/../shared/data/rcpspmax/*/
fi
for directory in "$@"; do
  [ -f "$directory/optimum.csv" ] || continue
  seen=1
  compare_all "${directory%/}"
done
[ $seen = 1 ] || echo "skipped: no published instances (set GLUEWRIGHT_RCPSPMAX to their directory)"

echo "$passed passed, $failed failed"
[ $failed = 0 ] && [ $passed -gt 0 ]
