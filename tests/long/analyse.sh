#!/bin/sh
# Static analysis: cppcheck, clang-tidy (.clang-tidy) and gcc -fanalyzer.
#
# usage: analyse.sh [BUILD]
#
# Takes about ten minutes.  tests/long/analysed.txt lists what they find that is
# right as it is, each with the reason: file, kind of finding, reason.  All else
# has failed, and so has a line of that list that nothing gives any more.
set -u
cd "$(dirname "$0")/../.." || exit 2
build=${1:-build}
known=tests/long/analysed.txt
for tool in cppcheck clang-tidy gcc; do
  command -v $tool >/dev/null || { echo "$tool is not there: apt-get install cppcheck clang-tidy gcc"; exit 2; }
done
make --no-print-directory BUILD="$build" all >/dev/null || exit 2
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
flags="-std=c17 -D_POSIX_C_SOURCE=200809L -Isrc -Iinclude -I$build/gen $(pkg-config --cflags libxml-2.0 jansson)"

cppcheck --quiet --std=c11 -D__STDC_VERSION__=201710L --enable=warning,performance,portability \
  --suppress=missingIncludeSystem -D_POSIX_C_SOURCE=200809L -Isrc -Iinclude -I"$build/gen" -j "$(nproc)" \
  --template='{file}:{line}:0: {severity}: {message} [{id}]' src 2>&1 >/dev/null |
  grep -v ': style: ' >"$folder/all"
# shellcheck disable=SC2086
for file in src/*/*.c; do
  clang-tidy --quiet "$file" -- $flags 2>/dev/null
  gcc $flags -O1 -fanalyzer -c -o /dev/null "$file" 2>&1
done | grep -E '(warning|error): ' >>"$folder/all"
# "file kind", with what the tools call the file made short.
sed -n "s|^\($(pwd)/\)\{0,1\}\(src/[a-z_/]*\.[ch]\):[0-9]*:[0-9]*: .*\[\([-A-Za-z0-9.,=]*\)\]\$|\2 \3|p" \
  "$folder/all" | sed 's/ -W/ /' | sort -u >"$folder/found"
grep -v '^#' "$known" | cut -d ' ' -f 1,2 | sort -u >"$folder/known"
comm -23 "$folder/found" "$folder/known" >"$folder/new"
comm -13 "$folder/found" "$folder/known" >"$folder/old"
while read -r file kind; do
  grep -F "$file:" "$folder/all" | grep -F "$kind]" | sort -u | sed 's/^/FAILED: /'
done <"$folder/new"
sed 's/^/FAILED: no longer found, take it out of the list: /' "$folder/old"
failed=$(cat "$folder/new" "$folder/old" | wc -l)
echo "$(comm -12 "$folder/found" "$folder/known" | wc -l) passed, $failed failed"
[ "$failed" -eq 0 ]
