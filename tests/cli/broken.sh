#!/bin/sh
# Checks every project, which must be sound, and every broken twin of one,
# which must give exactly one error: the code that its name tells, on the line
# below its mark.
#
# usage: broken.sh [PROGRAM]
#
# A twin is called PIECE--CODE.xml or PIECE--CODE--NOTE.xml.  The mark
# <!-- fault: next line --> stands before the line that the finding must name.
here=$(cd "$(dirname "$0")/../.." && pwd)
program=${1:-$here/build/gluewright}
[ -x "$program" ] || { echo "$program is not there: build it first"; exit 1; }
passed=0
failed=0
errors=$(mktemp)
trap 'rm -f "$errors"' EXIT

pass() { passed=$((passed + 1)); }
fail() {
  failed=$((failed + 1))
  printf 'FAILED %s: %s\n' "$1" "$2"
  sed 's/^/    /' "$errors"
}

# The exit status that a code calls for: 2 when the file is not one of ours.
# missing-attribute is found by the schema, or later when a part copies another.
statuses() {
  case $1 in
    not-xml | doctype | not-a-piece | stray-text | unknown-element | unknown-attribute | bad-value | too-many)
      echo 2 ;;
    missing-attribute) echo "1 2" ;;
    *) echo 1 ;;
  esac
}

for project in "$here"/projects/*.xml; do
  "$program" check "$project" >/dev/null 2>"$errors"
  status=$?
  if [ $status -ne 0 ]; then fail "$project" "exit status $status, not 0"
  elif grep -q ': error: ' "$errors"; then fail "$project" "an error, but exit status 0"
  else pass
  fi
done

for twin in "$here"/tests/broken/*.xml; do
  name=$(basename "$twin" .xml)
  code=${name#*--}
  code=${code%%--*}
  mark=$(grep -n '<!-- fault: next line -->' "$twin" | cut -d: -f1)
  "$program" check "$twin" >/dev/null 2>"$errors"
  status=$?
  count=$(grep -c ': error: ' "$errors")
  found=$(sed -n "s/^.*:\([0-9]*\): error: .* \[\([a-z-]*\)\]\$/\2 on line \1/p" "$errors")
  case " $(statuses "$code") " in
    *" $status "*) ;;
    *) fail "$name" "exit status $status"; continue ;;
  esac
  if [ "$count" -ne 1 ]; then fail "$name" "$count errors, not one"
  elif [ "$found" != "$code on line $((mark + 1))" ]; then
    fail "$name" "wanted $code on line $((mark + 1))"
  else pass
  fi
done

# Every error that reading, mating and fitting can find has a twin.
for code in $(cat "$here"/src/read/*.c "$here"/src/mating/*.c "$here"/src/fit/*.c |
  tr -d '\n' | grep -oE '(GW_ERROR, |unlike\(c, )[^;]{0,60}' | grep -oE '"[a-z]+(-[a-z]+)*"' |
  tr -d '"' | sort -u); do
  case $code in depth | width | thickness | lap | apart | element | attribute) continue ;; esac
  set -- "$here"/tests/broken/*--"$code".xml "$here"/tests/broken/*--"$code"--*.xml
  : >"$errors"
  if [ -e "$1" ] || [ -e "$2" ]; then pass; else fail "$code" "no broken twin"; fi
done

printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
