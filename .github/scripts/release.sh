#!/usr/bin/env bash
# Makes the files of a release: the bundle and its loose parts, checksums, a provenance statement, the notes.
# In:  $1                 the kit's folder
#      TAG                the tag KIT-ID/REVISION that is released; it must be this kit at this revision
#      KITPROOF           the program [kitproof]
#      BASE               the release before [none]
#      SOURCE_DATE_EPOCH  the day by which waivers end [the commit's]
# Out: $1/dist/assets/ with every file to attach, $1/dist/body.md; `assets` and `body` in GITHUB_OUTPUT
set -euo pipefail
# File names sort by their bytes.
export LC_ALL=C
kit="${1:?the folder of a kit}"
here="$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)"
dist="$kit/dist"
assets="$dist/assets"

if [ -z "${SOURCE_DATE_EPOCH:-}" ]; then
  SOURCE_DATE_EPOCH="$(git -C "$kit" log -1 --format=%ct)"
fi
export SOURCE_DATE_EPOCH
rm -rf "$dist"

arguments=(release "$kit" --out "$dist" --progress never)
if [ "${BASE:-none}" != none ]; then
  arguments+=(--base "$BASE")
fi
"${KITPROOF:-kitproof}" "${arguments[@]}"

name="${TAG:?the tag of the release, KIT-ID/REVISION}"
bundle="$dist/${name//\//-}.zip"
if [ ! -f "$bundle" ]; then
  echo "$name is not what was released: expected a tag KIT-ID/REVISION of $kit; dist holds:" >&2
  ls "$dist" >&2
  exit 2
fi

# The loose parts come out of the bundle that was just checked, so that they are the same bytes.
"${KITPROOF:-kitproof}" verify "$bundle" --unpack "$dist/unpacked"
mkdir -p "$assets"
for file in "$dist"/*.zip "$dist"/unpacked/stl/* "$dist"/unpacked/3mf/*; do
  if [ -f "$file" ]; then
    cp "$file" "$assets/"
  fi
done
if [ -f "$dist/NOTES.md" ]; then
  cp "$dist/NOTES.md" "$assets/NOTES.md"
  # A page of releases shows no picture that lies in an archive.
  sed 's#!\[\([^]]*\)\](notes/[^)]*)#_\1: picture in the bundle, NOTES.md_#' "$dist/NOTES.md" >"$dist/body.md"
else
  printf '%s\n\nThe read-me in the bundle says how to print it; SHA256SUMS tells whether a file came whole.\n' \
    "$name" >"$dist/body.md"
fi
(cd "$assets" && sha256sum -- * >../SHA256SUMS && mv ../SHA256SUMS .)
bash "$here/provenance.sh" "$assets/SHA256SUMS" >"$assets/provenance.json"

if [ -n "${GITHUB_OUTPUT:-}" ]; then
  printf 'assets=%s\nbody=%s\n' "$assets" "$dist/body.md" >>"$GITHUB_OUTPUT"
fi
