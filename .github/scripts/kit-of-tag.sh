#!/usr/bin/env bash
# Finds the kit that a tag KIT-ID/REVISION releases.
# In:  $1    the folder below which kits lie [kits]
#      TAG   the tag
# Out: the kit's folder on stdout, and as `kit` in GITHUB_OUTPUT
set -euo pipefail
root="${1:-kits}"
tag="${TAG:?a tag KIT-ID/REVISION}"
here="$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)"

found=()
while IFS= read -r manifest; do
  kit="${manifest%/kit.toml}"
  case "/${kit#"$root"}/" in
    */faulty/* | */revisions/* | */out/* | */dist/*) continue ;;
  esac
  id="$(bash "$here/kit-key.sh" "$manifest" id)"
  revision="$(bash "$here/kit-key.sh" "$manifest" revision)"
  if [ "$id/$revision" = "$tag" ]; then
    found+=("$kit")
  fi
done < <(find "$root" -name kit.toml -type f | LC_ALL=C sort)
if [ "${#found[@]}" -ne 1 ]; then
  echo "$tag: ${#found[@]} kits below $root have this id and revision, and one is needed: ${found[*]-}" >&2
  echo "tag KIT-ID/REVISION as kit.toml has them, such as my-kit/1.4.0" >&2
  exit 2
fi
printf '%s\n' "${found[0]}"
if [ -n "${GITHUB_OUTPUT:-}" ]; then
  printf 'kit=%s\n' "${found[0]}" >>"$GITHUB_OUTPUT"
fi
