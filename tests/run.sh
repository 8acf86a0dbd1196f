#!/bin/sh
# All tests.  The fast ones first (build, unit, command), then the same units
# under sanitizers and valgrind, a build by the other compiler, and the
# oracles.  Ends with "N passed, M failed".
#   tests/run.sh [fast]
set -u
cd "$(dirname "$0")/.." || exit 2
BUILD=${BUILD:-build}
jobs=$(nproc)
passed=0 failed=0
log=$BUILD/tests.log

count() { # name, exit status; reads the log
  n=$(sed -n 's/.*: Checks: \([0-9]*\), Failures: \([0-9]*\), Errors: \([0-9]*\).*/\1 \2 \3/p' "$log" | tail -n 1)
  p=$(sed -n 's/^\([0-9]*\) passed, \([0-9]*\) failed.*/\1 \2/p' "$log" | tail -n 1)
  if [ -n "$n" ]; then
    # shellcheck disable=SC2086
    set -- "$1" "$2" $n
    good=$(($3 - $4 - $5)) bad=$(($4 + $5))
  elif [ -n "$p" ]; then
    # shellcheck disable=SC2086
    set -- "$1" "$2" $p
    good=$3 bad=$4
  else
    good=0 bad=0
    [ "$2" = 0 ] && good=1
  fi
  # A program that ends badly without saying so has failed once.
  [ "$2" != 0 ] && [ "$bad" = 0 ] && bad=1
  passed=$((passed + good)) failed=$((failed + bad))
  printf '%-44s %6d passed %4d failed\n' "$1" "$good" "$bad"
  [ "$bad" = 0 ] || tail -n 40 "$log"
}

run() { # name, command...
  name=$1
  shift
  "$@" >"$log" 2>&1 </dev/null
  count "$name" $?
}

build() { # name, make arguments...
  name=$1
  shift
  if make --no-print-directory -j"$jobs" "$@" >"$log" 2>&1; then
    echo "built: $name"
  else
    cat "$log"
    failed=$((failed + 1))
    echo "$passed passed, $failed failed"
    exit 1
  fi
}

mkdir -p "$BUILD"
build "gcc" BUILD="$BUILD" all unit bench
for test in "$BUILD"/tests/test_*; do
  case $test in *.d) continue ;; esac
  run "$(basename "$test")" "$test"
done
for test in tests/cli/*; do
  case $test in
    *.sh) run "$test" sh "$test" "$BUILD/gluewright" ;;
    *.py) run "$test" /usr/bin/python3 "$test" "$BUILD/gluewright" ;;
  esac
done
if [ "${1:-}" != fast ]; then
  build "clang" BUILD="$BUILD/clang" CC=clang all unit
  build "gcc with sanitizers" BUILD="$BUILD/asan" OPT="-O1 -g" HARDEN= LDHARDEN= \
    SAN="-fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer" all unit
  for test in "$BUILD"/asan/tests/test_*; do
    case $test in *.d) continue ;; esac
    run "sanitized $(basename "$test")" "$test"
  done
  run "sanitized broken pieces" sh tests/cli/broken.sh "$BUILD/asan/gluewright"
  run "sanitized fuzzing finds" sh tests/cli/found.sh "$BUILD/asan/gluewright"
  build "fuzzing programs" BUILD="$BUILD" fuzz
  run "fuzzing" sh tests/fuzz/run.sh "$BUILD/fuzz"
  for piece in projects/*.xml; do
    run "sanitized sheets of $(basename "$piece")" "$BUILD/asan/gluewright" print -q \
      -o "$BUILD/asan/sheets" "$piece"
  done
  run "valgrind" sh tests/memcheck.sh "$BUILD/gluewright"
  for test in tests/oracle/*; do
    case $test in
      *.sh) run "$test" sh "$test" "$BUILD" ;;
      *.py) run "$test" /usr/bin/python3 "$test" "$BUILD" ;;
    esac
  done
fi
echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
