#!/usr/bin/env bash
# Checks one kit: the verdict in the log, annotations beside kit.toml, the step's summary, every view in a folder.
# In:  $1         the kit's folder
#      KITPROOF   the program [kitproof]
#      BASE       what the kit is compared with [none]
#      FAIL_ON    the least level that fails the step: note, warn, block [block]
#      NEW_ONLY   `true`: only what is new against the base counts
#      FROZEN     `true`: a sign-off that is missing or not of these files and values fails the step
#      RESULTS    a folder with the results of every shard: they are joined, and nothing is measured
#      OUT        where the views go [out, in the kit's folder]
# Out: the exit code of kitproof; `verdict` and `out` in GITHUB_OUTPUT
set -euo pipefail
kit="${1:?the folder of a kit}"
out="${OUT:-$kit/out}"

if [ -n "${RESULTS:-}" ]; then
  arguments=(merge "$RESULTS"/*.kitproof)
else
  arguments=(check "$kit")
fi
arguments+=(--out "$out" --progress never --fail-on "${FAIL_ON:-block}")
arguments+=(--emit "json,html,marks,sarif,junit,summary,comment,annotations")
if [ "${FROZEN:-false}" = true ]; then
  arguments+=(--frozen)
fi
if [ "${BASE:-none}" != none ]; then
  if [ -n "${RESULTS:-}" ]; then
    echo "shards are measured without a base; give BASE or RESULTS, not both" >&2
    exit 2
  fi
  arguments+=(--base "$BASE")
  # Of a kit that had no earlier state everything is new.
  if [ "${NEW_ONLY:-false}" = true ]; then
    arguments+=(--new-only)
  fi
fi

# A log line that starts like a command is one, wherever it comes from; a kit's own words must not be. So commands
# are off while the verdict is told, and the annotations, which kitproof escapes, are read from their file.
rm -f "$out/annotations.txt"
token="kitproof-$RANDOM$RANDOM$RANDOM$RANDOM"
printf '::stop-commands::%s\n' "$token"
code=0
"${KITPROOF:-kitproof}" "${arguments[@]}" | sed '/^::/d' || code="${PIPESTATUS[0]}"
printf '::%s::\n' "$token"
if [ -f "$out/annotations.txt" ]; then
  cat "$out/annotations.txt"
fi

if [ -n "${GITHUB_OUTPUT:-}" ]; then
  verdict="NONE"
  if [ -f "$out/report.json" ]; then
    verdict="$(sed -n 's/^  "verdict": "\([A-Z]*\)",\{0,1\}$/\1/p' "$out/report.json")"
  fi
  printf 'verdict=%s\nout=%s\n' "$verdict" "$out" >>"$GITHUB_OUTPUT"
fi
exit "$code"
