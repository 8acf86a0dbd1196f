#!/bin/sh
# What the sheets of large made-up pieces cost, beside a plain libharu program
# that writes as many pages, texts and lines.
#   sheets_bench.sh [BUILD]
# 1,002 labels (a fence of 274 parts and 364 joints) and the four sheets of a piece
# of 202 parts.  Processor seconds, the least of three; the ratio is that of
# printing alone; judging stands beside it.
set -eu
cd "$(dirname "$0")/../.."
build=${1:-build}
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT

least() { # command...: the line of the run with the least in column $column
  for _ in 1 2 3; do "$@"; done | sort -n -k "$column" | head -n 1
}

row() { # piece, sheet
  column=2
  # shellcheck disable=SC2046
  set -- "$1" "$2" $(least "$build/bench/sheets_bench" "$1" "$folder/sheet.pdf" "$2")
  qpdf --qdf --object-streams=disable "$folder/sheet.pdf" "$folder/spread.pdf"
  pages=$(qpdf --show-npages "$folder/sheet.pdf")
  texts=$(LC_ALL=C grep -a -c '> Tj$' "$folder/spread.pdf" || true)
  letters=$(LC_ALL=C grep -a '> Tj$' "$folder/spread.pdf" | wc -c)
  lines=$(LC_ALL=C grep -a -c '^[Ssf]$' "$folder/spread.pdf" || true)
  characters=$(((letters / texts - 6) / 4))
  column=1
  plain=$(least "$build/bench/plain_hpdf" "$folder/plain.pdf" "$pages" "$texts" "$characters" \
    "$lines")
  echo "$2 $pages $texts $lines $3 $4 $5 $(wc -c <"$folder/sheet.pdf") $plain" \
    "$(wc -c <"$folder/plain.pdf")" |
    awk '{ printf "%-9s %5d %6d %6d | %8.2f | %8.3f %8.3f %6.1f | %6.1f %6.1f %5.2f | %6d %6d\n",
             $1, $2, $3, $4, $5, $6, $9, $6 / ($9 > 0.001 ? $9 : 0.001), $7 / 1024, $10 / 1024,
             $7 / $10, $8 / 1024, $11 / 1024 }'
}

echo "sheet     pages  texts  lines |  judge s |  print s  plain s  ratio |    MiB  plain ratio |" \
  "  KiB  plain"
/usr/bin/python3 tests/bench/make_piece.py fence 274 >"$folder/thousand.xml"
row "$folder/thousand.xml" labels
/usr/bin/python3 tests/bench/make_piece.py fence 202 >"$folder/two-hundred.xml"
for sheet in labels mark-out dry-fit glue-up; do row "$folder/two-hundred.xml" "$sheet"; done
