#!/bin/sh
# Builds a Debian package out of what `make install-command` installs.
#   deb.sh BUILD VERSION
# Wants dpkg-deb, and dpkg-shlibdeps (dpkg-dev) for the versions of the libraries.
set -eu
cd "$(dirname "$0")/../.."
build=$1 version=$2
work=$build/deb root=$build/deb/root
arch=$(dpkg --print-architecture)
SOURCE_DATE_EPOCH=${SOURCE_DATE_EPOCH:-$(git log -1 --format=%ct 2>/dev/null || stat -c %Y src/cli/cli.h)}
export SOURCE_DATE_EPOCH

rm -rf "$work"
mkdir -p "$root/DEBIAN" "$work/debian"
make --no-print-directory BUILD="$build" DESTDIR="$root" PREFIX=/usr \
  zshdir=/usr/share/zsh/vendor-completions install-command >/dev/null
strip --strip-unneeded --remove-section=.comment --remove-section=.note "$root/usr/bin/gluewright"
gzip -9n "$root"/usr/share/man/man*/*

doc=$root/usr/share/doc/gluewright
{
  echo 'Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/'
  echo 'Upstream-Name: gluewright'
  echo
  echo 'Files: *'
  sed -n 's/^Copyright (c) /Copyright: /p' LICENSE
  echo 'License: Expat'
  sed -n '/^Permission/,$p' LICENSE | sed 's/^$/./; s/^/ /'
} >"$doc/copyright"
{
  echo "gluewright ($version) unstable; urgency=low"
  echo
  echo '  * Built from the source tree.'
  echo
  echo " -- gluewright maintainers <maintainers@gluewright.example>  $(date -u -R -d "@$SOURCE_DATE_EPOCH")"
} | gzip -9n >"$doc/changelog.gz"

printf 'Source: gluewright\n\nPackage: gluewright\nArchitecture: any\n' >"$work/debian/control"
needs=$(cd "$work" && dpkg-shlibdeps -O --ignore-missing-info root/usr/bin/gluewright 2>/dev/null |
  sed -n 's/^shlibs:Depends=//p')
[ -n "$needs" ] || { echo "the libraries' packages are not known"; exit 1; }
cat >"$root/DEBIAN/control" <<END
Package: gluewright
Version: $version
Architecture: $arch
Maintainer: gluewright maintainers <maintainers@gluewright.example>
Installed-Size: $(du -sk --exclude=DEBIAN "$root" | cut -f1)
Depends: $needs, fonts-sil-andika, fonts-dejavu-core
Section: misc
Priority: optional
Description: checks, marks and times the glue-up of hand-made furniture
 Reads a file that describes a piece of furniture, its parts and the two halves
 of each joint, the glue and the workshop. Says whether the piece will go
 together, marks joints so that no mark can be misread upside down, orders and
 times the glue-up against the open time of the glue, and prints labels, a
 marking-out sheet, a dry-fit checklist and a timed glue-up order.
END
(cd "$root" && find usr -type f -print0 | sort -z | xargs -0 md5sum) >"$root/DEBIAN/md5sums"
find "$root" -type d -exec chmod 755 {} +
find "$root" -type f -exec chmod go-w {} +
dpkg-deb --root-owner-group -Zxz --build "$root" "$build/gluewright_${version}_$arch.deb"
