#!/usr/bin/env bash
# Prints an in-toto Statement v1 with a SLSA provenance v1 predicate about the files of a SHA256SUMS.
# It is not signed, and says so: it proves nothing about who built the files. It holds no time, so the same commit
# gives the same bytes.
# In:  $1    the SHA256SUMS
#      TAG, GITHUB_SERVER_URL, GITHUB_REPOSITORY, GITHUB_SHA, GITHUB_WORKFLOW_REF   what was built, and by what
set -euo pipefail
sums="${1:?a file SHA256SUMS}"

# A text as a JSON string; control characters, which none of these texts has a use for, are dropped.
json() {
  local text="$1"
  text="${text//\\/\\\\}"
  text="${text//\"/\\\"}"
  printf '"%s"' "$(printf '%s' "$text" | LC_ALL=C tr -d '\000-\037\177')"
}

server="${GITHUB_SERVER_URL:-}"
repository="$server/${GITHUB_REPOSITORY:-}"
if [ -n "${GITHUB_WORKFLOW_REF:-}" ]; then
  builder="$server/$GITHUB_WORKFLOW_REF"
else
  repository="file:."
  builder="urn:kitproof:builder:local"
fi
commit="${GITHUB_SHA:-$(git rev-parse HEAD)}"

subjects=""
while IFS= read -r line; do
  subjects="$subjects,
    { \"name\": $(json "${line:66}"), \"digest\": { \"sha256\": \"${line:0:64}\" } }"
done <"$sums"

cat <<STATEMENT
{
  "_type": "https://in-toto.io/Statement/v1",
  "subject": [${subjects#,}
  ],
  "predicateType": "https://slsa.dev/provenance/v1",
  "predicate": {
    "buildDefinition": {
      "buildType": "urn:kitproof:release:1",
      "externalParameters": { "tag": $(json "${TAG:-}"), "repository": $(json "$repository") },
      "internalParameters": {
        "signed": false,
        "note": "This statement is not signed: it proves nothing about who built these files."
      },
      "resolvedDependencies": [
        { "uri": $(json "git+$repository"), "digest": { "gitCommit": $(json "$commit") } }
      ]
    },
    "runDetails": {
      "builder": { "id": $(json "$builder") }
    }
  }
}
STATEMENT
