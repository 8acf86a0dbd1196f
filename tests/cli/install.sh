#!/bin/sh
# Installs into a folder, uses what is there as another program would, and takes
# it out again.
#   install.sh PROGRAM
set -u
cd "$(dirname "$0")/../.." || exit 2
build=$(dirname "$1")
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
prefix=$folder/usr
passed=0 failed=0
expect() { # what, command...
  what=$1
  shift
  if "$@" >"$folder/out" 2>&1; then passed=$((passed + 1))
  else failed=$((failed + 1)); echo "FAILED: $what"; tail -n 5 "$folder/out"; fi
}
same() { [ "$1" = "$2" ] || { echo "wanted: $2"; echo "found:  $1"; return 1; }; }
has() { grep -q "$1" "$2"; }
status() { # wanted status, command...
  wanted=$1
  shift
  "$@" >"$folder/said" 2>&1
  same $? "$wanted"
}

expect "make install" make --no-print-directory BUILD="$build" PREFIX="$prefix" install
for file in bin/gluewright lib/libgluewright.so lib/libgluewright.so.0 lib/libgluewright.a \
  lib/pkgconfig/gluewright.pc include/gluewright/gluewright.h share/man/man1/gluewright.1 \
  share/man/man5/gluewright.5 share/gluewright/gluewright.xsd share/gluewright/gluewright.rng \
  share/bash-completion/completions/gluewright share/zsh/site-functions/_gluewright; do
  expect "$file is installed" test -s "$prefix/$file"
done
for piece in projects/*.xml; do
  expect "$piece is installed" cmp "$piece" "$prefix/share/doc/gluewright/examples/$(basename "$piece")"
done
expect "the installed command" status 0 "$prefix/bin/gluewright" check projects/lantern-chest.xml
expect "the installed schema is the one built in" sh -c \
  "'$prefix/bin/gluewright' schema | cmp - '$prefix/share/gluewright/gluewright.xsd'"
expect "paths in the manual" has "$prefix/share/gluewright/gluewright.xsd" "$prefix/share/man/man1/gluewright.1"

# Only the documented interface is seen.
grep -oE '\bgw_project_[a-z_]+\(' include/gluewright/gluewright.h | tr -d '(' | sort -u |
  grep -v -e '^gw_project_t$' >"$folder/documented"
nm -D --defined-only "$prefix/lib/libgluewright.so" | awk '{ print $3 }' | sort -u >"$folder/shared"
nm -g --defined-only "$prefix/lib/libgluewright.a" | awk 'NF == 3 { print $3 }' | sort -u >"$folder/static"
expect "some interface" test "$(wc -l <"$folder/documented")" -ge 10
expect "the shared library shows the interface" cmp "$folder/documented" "$folder/shared"
expect "the static library shows the interface" cmp "$folder/documented" "$folder/static"
objdump -p "$prefix/lib/libgluewright.so" | awk '/SONAME/ { print $2 }' >"$folder/soname"
expect "soname" same "$(cat "$folder/soname")" libgluewright.so.0

# A program that uses it, found by pkg-config, with either library.
PKG_CONFIG_PATH=$prefix/lib/pkgconfig
export PKG_CONFIG_PATH
flags=$(pkg-config --cflags --libs gluewright)
# shellcheck disable=SC2086
expect "the example, shared" ${CC:-cc} -std=c11 -Wall -Wextra -Werror tests/example/report.c $flags -o "$folder/report"
# shellcheck disable=SC2086
expect "the example, static" ${CC:-cc} -std=c11 tests/example/report.c $(pkg-config --cflags gluewright) \
  "$prefix/lib/libgluewright.a" $(pkg-config --libs --static gluewright | sed 's/-lgluewright//') -o "$folder/report-static"
expect "the version" same "$(pkg-config --modversion gluewright)" \
  "$("$prefix/bin/gluewright" --version | awk 'NR == 1 { print $2 }')"
LD_LIBRARY_PATH=$prefix/lib
export LD_LIBRARY_PATH
for report in report report-static; do
  rm -rf "$folder/sheets"
  expect "$report: a piece that mates" status 0 "$folder/$report" projects/lantern-chest.xml "$folder/sheets"
  expect "$report: verdict" has 'Lantern chest mates' "$folder/said"
  expect "$report: marks" has '^6 (with a bar): through-dovetail of right into front$' "$folder/said"
  expect "$report: order" has '^Stage 1, bottle' "$folder/said"
  expect "$report: sheets" test -s "$folder/sheets/glue-up.pdf"
  expect "$report: one that does not" status 1 "$folder/$report" tests/broken/chest--loop-open.xml "$folder/none"
  expect "$report: its finding" has '^line [0-9]*: error: .* \[loop-open\]$' "$folder/said"
  expect "$report: no sheets" test ! -e "$folder/none"
  expect "$report: no project" status 2 "$folder/$report" nowhere.xml "$folder/none"
done
expect "no leak" status 1 valgrind -q --error-exitcode=99 --leak-check=full "$folder/report" \
  tests/broken/chest--loop-open.xml "$folder/none"

expect "make uninstall" make --no-print-directory BUILD="$build" PREFIX="$prefix" uninstall
expect "nothing is left" same "$(find "$prefix" ! -type d | head -n 3)" ""
expect "DESTDIR" make --no-print-directory BUILD="$build" DESTDIR="$folder/stage" PREFIX=/opt/gw install
expect "DESTDIR is not written into anything" has '^prefix=/opt/gw$' "$folder/stage/opt/gw/lib/pkgconfig/gluewright.pc"
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
