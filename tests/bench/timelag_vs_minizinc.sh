#!/bin/bash
# timelag_vs_minizinc.sh - our schedule search and MiniZinc with Gecode on the
# same instances, one after the other on this machine.
#
# usage: timelag_vs_minizinc.sh [DIRECTORY [SECONDS [EVERY]]]
#
# DIRECTORY holds .sch instances (GLUEWRIGHT_RCPSPMAX, else the directory of
# rcpspmax.sh, else our own small ones); SECONDS is the time limit of each
# instance (2), EVERY takes every so manyth instance (1).  MiniZinc's time
# counts its compiler, since a user waits for it too; the search alone is given
# beside it.  Needs the Debian package minizinc.
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
directory=${1:-${GLUEWRIGHT_RCPSPMAX:-}}
for try in "$top"/../shared/data/rcpspmax/*/ "$top/tests/oracle/lags"; do
  [ -n "$directory" ] || { [ -f "$try/optimum.csv" ] && directory=$try; }
done
seconds=${2:-2}
every=${3:-1}
program=${TIMELAG:-$top/build/bench/timelag}
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT

command -v minizinc >/dev/null || { echo "skipped: minizinc is not installed"; exit 0; }
[ -x "$program" ] || { echo "$program is not built" >&2; exit 2; }

now() { date +%s.%N; }
# add A B: the sum; spent FROM: seconds since
add() { awk -v a="$1" -v b="$2" 'BEGIN { printf "%.3f", a + b }'; }
spent() { awk -v a="$1" -v b="$(now)" 'BEGIN { printf "%.3f", b - a }'; }

# Both print `optimum N`, `infeasible` or something else.
ours() { "$program" -s "$seconds" "$1"; }
theirs() {
  timeout $((seconds + 5)) minizinc --solver gecode --time-limit "$((seconds * 1000))" -s \
    "$here/timelag.mzn" "$1" 2>/dev/null >"$work/out"
  if grep -q '^=====UNSATISFIABLE' "$work/out"; then
    echo infeasible
  elif grep -q '^==========$' "$work/out"; then
    echo "optimum $(grep '^end' "$work/out" | tail -n 1 | cut -d ' ' -f 2)"
  else
    echo open
  fi
}
solve_time() { awk -F= '/solveTime=/ { t += $2 } END { printf "%.3f", t }' "$work/out"; }

count=0 differ=0 number=0
our_solved=0 our_time=0 their_solved=0 their_time=0 their_search=0
for file in "$directory"/*.[Ss][Cc][Hh]; do
  number=$((number + 1))
  [ $((number % every)) = 0 ] || continue
  count=$((count + 1))
  awk -f "$here/sch_to_dzn.awk" "$file" >"$work/data.dzn"
  start=$(now)
  mine=$(ours "$file")
  our_time=$(add "$our_time" "$(spent "$start")")
  start=$(now)
  other=$(theirs "$work/data.dzn")
  their_time=$(add "$their_time" "$(spent "$start")")
  their_search=$(add "$their_search" "$(solve_time)")
  case $mine in optimum* | infeasible) our_solved=$((our_solved + 1)) ;; esac
  case $other in optimum* | infeasible) their_solved=$((their_solved + 1)) ;; esac
  case $mine-$other in
    bound*-* | *-open) ;;
    *) [ "$mine" = "$other" ] || { differ=$((differ + 1)); echo "$file: $mine, $other"; } ;;
  esac
done
echo "$count instances, at most $seconds s each"
echo "gluewright: $our_solved solved, $our_time s"
echo "minizinc with gecode: $their_solved solved, $their_time s, of which search $their_search s"
echo "answers that differ: $differ"
[ "$count" -gt 0 ] && [ "$differ" = 0 ]
