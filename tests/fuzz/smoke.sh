#!/usr/bin/env bash
# Builds the fuzz targets and runs each for a few seconds, from the kept corpus; fails on a finding,
# whose input stays in build/asan/findings. Usage: tests/fuzz/smoke.sh [SECONDS]
set -euo pipefail
cd "$(dirname "$0")/../.."
seconds=${1:-10}

targets=(quantity document hydraulics linkage evaluate)
cmake --preset asan >/dev/null
cmake --build --preset asan --target "${targets[@]/#/fuzz_}"

# Everything found on the way goes to a copy, so that a run changes no file of the project.
seeds=$(mktemp -d)
trap 'rm -rf "$seeds"' EXIT
cp -r tests/fuzz/corpus/. "$seeds"
mkdir -p "$seeds/evaluate" build/asan/findings
cp examples/*.toml "$seeds/evaluate"

failed=0
for target in "${targets[@]}"; do
  mkdir -p "$seeds/$target"
  echo "== fuzz_$target for $seconds s"
  log=$seeds/$target.log
  if build/asan/tests/fuzz/fuzz_$target -max_total_time="$seconds" -rss_limit_mb=2048 -timeout=120 \
      -max_len=65536 -artifact_prefix=build/asan/findings/$target- "$seeds/$target" >"$log" 2>&1; then
    tail -n 1 "$log"
  else
    tail -n 40 "$log"
    failed=1
  fi
done
exit "$failed"
