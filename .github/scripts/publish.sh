#!/usr/bin/env bash
# Publishes a release with its notes as the body and every file attached.
# In:  $1     the folder with the files
#      $2     the body, a Markdown file
#      TAG    the tag; GH_TOKEN a token that may write releases
set -euo pipefail
assets="${1:?the folder with the files to attach}"
body="${2:?the body of the release}"

gh release create "${TAG:?the tag of the release}" --verify-tag --title "$TAG" --notes-file "$body" "$assets"/*
