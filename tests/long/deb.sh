#!/bin/sh
# Builds the Debian package, looks at it, and runs what is in it.  With
# debootstrap, as root and with the network it is installed into a clean root;
# otherwise it is only unpacked.
#   deb.sh BUILD
set -u
cd "$(dirname "$0")/../.." || exit 2
build=${1:-build}
folder=$(mktemp -d)
root=$folder/root
passed=0 failed=0
finish() {
  umount "$root/proc" 2>/dev/null
  rm -rf "$folder"
}
trap finish EXIT
expect() {
  what=$1
  shift
  if "$@" >"$folder/out" 2>&1; then passed=$((passed + 1))
  else failed=$((failed + 1)); echo "FAILED: $what"; tail -n 8 "$folder/out"; fi
}
rm -f "$build"/gluewright_*.deb
expect "make deb" make --no-print-directory BUILD="$build" deb
deb=$(ls "$build"/gluewright_*.deb)
cp "$deb" "$folder/first.deb"
expect "make deb again" make --no-print-directory BUILD="$build" deb
expect "the same package, byte for byte" cmp "$folder/first.deb" "$deb"

unpacked=$folder/unpacked
expect "unpack" dpkg-deb -x "$deb" "$unpacked"
expect "check from the unpacked package" "$unpacked/usr/bin/gluewright" check \
  "$unpacked/usr/share/doc/gluewright/examples/lantern-chest.xml"
expect "print from the unpacked package" "$unpacked/usr/bin/gluewright" print -o "$folder/sheets" \
  "$unpacked/usr/share/doc/gluewright/examples/lantern-chest.xml"
expect "sheets" test -s "$folder/sheets/labels.pdf"
if command -v lintian >/dev/null; then
  # Not in the archive: no bug to close, and the maintainer has no address.
  expect "lintian" lintian --allow-root --fail-on error,warning \
    --suppress-tags initial-upload-closes-no-bugs,bogus-mail-host,mail-address-loops-or-bounces "$deb"
fi

if command -v debootstrap >/dev/null && [ "$(id -u)" = 0 ] && [ "${OFFLINE:-}" = "" ]; then
  expect "a clean root" debootstrap --variant=minbase "$(. /etc/os-release && echo "$VERSION_CODENAME")" "$root" "${MIRROR:-http://deb.debian.org/debian}"
  cp "$deb" "$root/gluewright.deb"
  cp projects/lantern-chest.xml "$root/chest.xml"
  mount -t proc proc "$root/proc"
  expect "install" chroot "$root" env DEBIAN_FRONTEND=noninteractive \
    apt-get install -y -q --no-install-recommends ./gluewright.deb
  expect "check in the clean root" chroot "$root" gluewright check chest.xml
  expect "print in the clean root" chroot "$root" gluewright print chest.xml -o /sheets
  expect "sheets in the clean root" test -s "$root/sheets/glue-up.pdf"
  expect "remove" chroot "$root" env DEBIAN_FRONTEND=noninteractive apt-get remove -y -q gluewright
  expect "nothing is left" sh -c "! test -e '$root/usr/bin/gluewright' && ! test -e '$root/usr/share/gluewright'"
else
  echo "debootstrap, root or the network is missing: not installed into a clean root"
fi
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
