#!/bin/sh
# The same numbers everywhere: gcc and clang, without and with all optimisation,
# in a locale that writes a comma for the decimal point.  What `check` and `order`
# say of each piece as JSON, and the words of `order`, must be the same to the byte.
#
# usage: same_everywhere.sh [FOLDER]
#
# The locale de_DE.UTF-8 is made in FOLDER with localedef (package locales); without
# it that part is skipped, and says so.
set -u
cd "$(dirname "$0")/../.." || exit 2
folder=${1:-$(mktemp -d)}
mkdir -p "$folder" && folder=$(cd "$folder" && pwd) || exit 2
passed=0 failed=0

say_all() { # program, folder
  mkdir -p "$2"
  for piece in projects/*.xml tests/broken/*.xml tests/noted/*.xml tests/codes/*.xml "$folder"/made/*.xml; do
    name=$(basename "$piece" .xml)
    "$1" check --json "$piece" >"$2/$name.check" 2>&1
    "$1" order --json "$piece" >"$2/$name.order" 2>&1
    "$1" order "$piece" >"$2/$name.words" 2>&1
  done
}

mkdir -p "$folder/made"
for seed in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20; do
  /usr/bin/python3 tests/gen/generate.py $seed >"$folder/made/made-$seed.xml"
done

build() { # name, compiler, optimisation
  make --no-print-directory -j"$(nproc)" BUILD="$folder/$1" CC="$2" OPT="$3" HARDEN=-fPIE all \
    >"$folder/log" 2>&1 || { tail "$folder/log"; exit 2; }
  say_all "$folder/$1/gluewright" "$folder/said/$1"
}

compare() { # name
  if diff -r "$folder/said/gcc-O0" "$folder/said/$1" >"$folder/diff"; then
    passed=$((passed + $(find "$folder/said/$1" -type f | wc -l)))
    echo "$1: $(find "$folder/said/$1" -type f | wc -l) files the same"
  else
    failed=$((failed + $(grep -c '^diff' "$folder/diff")))
    head -n 20 "$folder/diff"
  fi
}

build gcc-O0 gcc "-O0 -g"
for how in "gcc-O3 gcc -O3" "clang-O0 clang -O0" "clang-O3 clang -O3"; do
  # shellcheck disable=SC2086
  set -- $how
  build "$1" "$2" "$3"
  compare "$1"
done

mkdir -p "$folder/locale"
if command -v localedef >/dev/null && [ -f /usr/share/i18n/locales/de_DE ] &&
  { [ -d "$folder/locale/de_DE.UTF-8" ] || localedef -i de_DE -f UTF-8 "$folder/locale/de_DE.UTF-8"; }; then
  LOCPATH=$folder/locale LC_ALL=de_DE.UTF-8
  export LOCPATH LC_ALL
  if [ "$(locale decimal_point)" = , ]; then
    say_all "$folder/gcc-O3/gluewright" "$folder/said/comma"
    compare comma
    "$folder/gcc-O3/gluewright" print -q -o "$folder/comma" projects/pantry-door.xml 2>/dev/null
    LC_ALL=C "$folder/gcc-O3/gluewright" print -q -o "$folder/point" projects/pantry-door.xml 2>/dev/null
    for sheet in labels marking-out dry-fit glue-up; do
      if cmp "$folder/comma/$sheet.pdf" "$folder/point/$sheet.pdf"; then passed=$((passed + 1))
      else failed=$((failed + 1)); fi
    done
  else
    echo "skipped: the locale does not write commas"
  fi
else
  echo "skipped: no locale with decimal commas (apt-get install locales)"
fi
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
