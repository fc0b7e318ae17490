#!/usr/bin/env bash
# Says which earlier state a kit is compared with, as `kitproof --base` takes it.
# A pull request: the commit at which it left its target branch, where that holds the kit. Anything else: the last
# release of the kit, a tag KIT-ID/REVISION before this commit. `none` where there is no such thing.
# In:  $1                 the kit's folder
#      GITHUB_BASE_REF    the target branch, in a pull request
# Out: the base on stdout, and as `base` in GITHUB_OUTPUT
set -euo pipefail
kit="${1:?the folder of a kit}"

if [ "$(git -C "$kit" rev-parse --is-shallow-repository)" = true ]; then
  echo "this clone is shallow, and the base of $kit may be missing from it" >&2
  echo "give the step that checks out \`fetch-depth: 0\`, or run: git fetch --unshallow --tags" >&2
  exit 2
fi
base=none
if [ -n "${GITHUB_BASE_REF:-}" ]; then
  if ! commit="$(git -C "$kit" merge-base "origin/$GITHUB_BASE_REF" HEAD)"; then
    echo "origin/$GITHUB_BASE_REF and HEAD have no commit in common; run: git fetch origin $GITHUB_BASE_REF" >&2
    exit 2
  fi
  if git -C "$kit" cat-file -e "$commit:./kit.toml" 2>/dev/null; then
    base="$commit"
  fi
else
  id="$(bash "$(dirname "${BASH_SOURCE[0]}")/kit-key.sh" "$kit/kit.toml" id)"
  here="$(git -C "$kit" rev-parse HEAD)"
  while IFS= read -r tag; do
    if [ "$(git -C "$kit" rev-parse "$tag^{commit}")" != "$here" ]; then
      base="$tag"
      break
    fi
  done < <(git -C "$kit" tag --list "$id/*" --merged HEAD --sort=-version:refname)
fi
printf '%s\n' "$base"
if [ -n "${GITHUB_OUTPUT:-}" ]; then
  printf 'base=%s\n' "$base" >>"$GITHUB_OUTPUT"
fi
