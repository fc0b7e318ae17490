#!/usr/bin/env bash
# Prints a text of a manifest's [kit] table.
# In:  $1   the kit.toml
#      $2   the key, such as id or revision
set -euo pipefail
manifest="${1:?a kit.toml}"
key="${2:?a key}"

awk -v key="$key" '
  /^[ \t]*\[/ { inside = ($0 ~ /^[ \t]*\[[ \t]*kit[ \t]*\]/) }
  inside && $0 ~ "^[ \t]*" key "[ \t]*=" {
    sub(/^[^=]*=[ \t]*["\047]/, "")
    sub(/["\047].*$/, "")
    print
    exit
  }
' "$manifest"
