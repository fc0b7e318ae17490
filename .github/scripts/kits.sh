#!/usr/bin/env bash
# Lists the kits of a repository as a JSON array of folders, for a matrix: a job a kit.
# Kits that are meant to be faulty, and the recorded revisions of a kit, are no releases and are left out.
# In:  $1   the folder below which kits lie [kits]
# Out: the array on stdout, and as `kits` in GITHUB_OUTPUT
set -euo pipefail
root="${1:-kits}"

if [ ! -d "$root" ]; then
  echo "$root: no such folder; expected one below which kits (folders with a kit.toml) lie" >&2
  exit 2
fi
list=""
while IFS= read -r manifest; do
  kit="${manifest%/kit.toml}"
  case "/${kit#"$root"}/" in
    */faulty/* | */revisions/* | */out/* | */dist/*) continue ;;
  esac
  kit="${kit//\\/\\\\}"
  list="$list,\"${kit//\"/\\\"}\""
done < <(find "$root" -name kit.toml -type f | LC_ALL=C sort)
if [ -z "$list" ]; then
  echo "$root: no kit below it; expected a folder with a kit.toml" >&2
  exit 4
fi
printf '[%s]\n' "${list#,}"
if [ -n "${GITHUB_OUTPUT:-}" ]; then
  printf 'kits=[%s]\n' "${list#,}" >>"$GITHUB_OUTPUT"
fi
