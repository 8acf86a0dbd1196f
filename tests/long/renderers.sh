#!/bin/sh
# Every page of every piece on both papers, by two renderers.
#   renderers.sh PROGRAM
cd "$(dirname "$0")/../.." || exit 2
exec /usr/bin/python3 tests/cli/renderers.py "${1:-build/gluewright}" all
