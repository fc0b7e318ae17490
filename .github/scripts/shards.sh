#!/usr/bin/env bash
# Lists the shards of a kit as a JSON array, for a matrix: a job a shard.
# In:  $1   how many
# Out: the array on stdout, and as `shards` in GITHUB_OUTPUT
set -euo pipefail
of="${1:?a number of shards}"
if ! [[ "$of" =~ ^[1-9][0-9]{0,2}$ ]]; then
  echo "$of: expected a number of shards from 1 to 999" >&2
  exit 2
fi

list=""
for ((number = 1; number <= of; number++)); do
  list="$list${list:+,}\"$number/$of\""
done
printf '[%s]\n' "$list"
if [ -n "${GITHUB_OUTPUT:-}" ]; then
  printf 'shards=[%s]\n' "$list" >>"$GITHUB_OUTPUT"
fi
