#!/bin/sh
# The built command has what makes a fault in memory hard to use: a place of its
# own each time (PIE), tables that are read-only before main (RELRO, NOW), a
# stack that cannot be run, guards on the stack, and checked forms of the
# library's copying functions.
#
# usage: hardened.sh [PROGRAM]
here=$(cd "$(dirname "$0")/../.." && pwd)
program=${1:-$here/build/gluewright}
[ -x "$program" ] || { echo "$program is not there: build it first"; exit 2; }
command -v readelf >/dev/null || { echo "readelf is not there: apt-get install binutils"; exit 2; }
passed=0
failed=0
expect() { # what, number wanted at least, number found
  if [ "$3" -ge "$2" ]; then passed=$((passed + 1))
  else failed=$((failed + 1)); echo "FAILED: $1"
  fi
}
none() { # what, number found
  if [ "$2" -eq 0 ]; then passed=$((passed + 1))
  else failed=$((failed + 1)); echo "FAILED: $1"
  fi
}
headers=$(readelf -hW "$program") segments=$(readelf -lW "$program") dynamic=$(readelf -dW "$program")
symbols=$(readelf -sW --dyn-syms "$program")
count() { printf '%s\n' "$1" | grep -cE "$2"; }
expect "position independent" 1 "$(count "$headers" 'Type: +DYN')"
expect "marked as PIE" 1 "$(count "$dynamic" 'FLAGS_1.*PIE')"
expect "read-only tables" 1 "$(count "$segments" 'GNU_RELRO')"
expect "bound at the start" 1 "$(count "$dynamic" 'FLAGS.*(BIND_NOW|NOW)')"
none "a stack that can be run" "$(count "$segments" 'GNU_STACK.* RWE')"
none "memory that can be written and run" "$(count "$segments" 'LOAD.* RWE')"
none "text that is changed when loaded" "$(count "$dynamic" 'TEXTREL')"
none "a search path of its own" "$(count "$dynamic" 'RPATH|RUNPATH')"
expect "guards on the stack" 1 "$(count "$symbols" '__stack_chk_fail')"
expect "checked copying" 3 "$(printf '%s\n' "$symbols" | grep -oE '__[a-z]+_chk' | grep -v stack | sort -u | wc -l)"
printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
