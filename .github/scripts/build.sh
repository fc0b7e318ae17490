#!/usr/bin/env bash
# Builds kitproof and tells the later steps where it is (KITPROOF).
# In:  KITPROOF   a program that is there already is taken as it is
set -euo pipefail
engine="$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)"

if [ -z "${KITPROOF:-}" ]; then
  cargo build --release --locked --package pipeline --manifest-path "$engine/Cargo.toml"
  KITPROOF="${CARGO_TARGET_DIR:-$engine/target}/release/kitproof"
fi
"$KITPROOF" --version
if [ -n "${GITHUB_ENV:-}" ]; then
  printf 'KITPROOF=%s\n' "$KITPROOF" >>"$GITHUB_ENV"
fi
