#!/bin/sh
# All that lies on the paper, of every piece on both papers.
#   paper.sh PROGRAM
cd "$(dirname "$0")/../.." || exit 2
exec /usr/bin/python3 tests/cli/paper.py "${1:-build/gluewright}" all
