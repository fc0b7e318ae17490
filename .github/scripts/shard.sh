#!/usr/bin/env bash
# Measures one shard of a kit; gate.sh joins the results and gives the verdict.
# In:  $1         the kit's folder
#      SHARD      K/N
#      KITPROOF   the program [kitproof]
#      OUT        where the result goes [results]
#      SOURCE_DATE_EPOCH  the day by which waivers end, the same for every shard [the commit's]
# Out: a file OUT/result-K-of-N.kitproof
set -euo pipefail
kit="${1:?the folder of a kit}"

# Shards may run on either side of midnight.
if [ -z "${SOURCE_DATE_EPOCH:-}" ]; then
  SOURCE_DATE_EPOCH="$(git -C "$kit" log -1 --format=%ct)"
fi
export SOURCE_DATE_EPOCH
"${KITPROOF:-kitproof}" check "$kit" --shard "${SHARD:?which shard, K/N}" --out "${OUT:-results}" --progress never
