#!/bin/sh
# Checks every example of a warning or a note: the code that its name tells
# must be found, with the severity and on the line below its mark, and there
# must be no error.
#
# usage: noted.sh [PROGRAM]
#
# An example is called PIECE--CODE.xml or PIECE--CODE--NOTE.xml.  The mark
# <!-- warning: next line --> or <!-- note: next line --> stands before the line
# that the finding must name.
here=$(cd "$(dirname "$0")/../.." && pwd)
program=${1:-$here/build/gluewright}
[ -x "$program" ] || { echo "$program is not there: build it first"; exit 2; }
passed=0
failed=0
found=$(mktemp)
trap 'rm -f "$found"' EXIT

fail() {
  failed=$((failed + 1))
  printf 'FAILED %s: %s\n' "$1" "$2"
  sed 's/^/    /' "$found"
}

for example in "$here"/tests/noted/*.xml; do
  name=$(basename "$example" .xml)
  code=${name#*--}
  code=${code%%--*}
  mark=$(grep -nE '<!-- (warning|note): next line -->' "$example" | head -n 1)
  line=$((${mark%%:*} + 1))
  severity=$(printf '%s' "$mark" | grep -oE 'warning|note' | head -n 1)
  options=
  case $name in *--as-measured) options=--as-measured ;; esac
  "$program" check ${options:+"$options"} "$example" >/dev/null 2>"$found"
  status=$?
  if [ $status -ne 0 ]; then fail "$name" "exit status $status, not 0"
  elif ! grep -qE ":$line: $severity: .* \[$code\]\$" "$found"; then
    fail "$name" "wanted a $severity $code on line $line"
  else passed=$((passed + 1))
  fi
done

# Every warning and note that fitting and mating can find has an example.
for code in $(cat "$here"/src/fit/*.c "$here"/src/mating/*.c | tr -d '\n' |
  grep -oE '(GW_WARNING|GW_NOTE), +"[a-z]+(-[a-z]+)*"' | grep -oE '"[a-z-]+"' | tr -d '"' |
  sort -u); do
  set -- "$here"/tests/noted/*--"$code".xml "$here"/tests/noted/*--"$code"--*.xml
  : >"$found"
  if [ -e "$1" ] || [ -e "$2" ]; then passed=$((passed + 1)); else fail "$code" "no example"; fi
done

printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
