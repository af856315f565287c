#!/usr/bin/env bash
# The heavy campaigns that ci.sh leaves out: `bash tests/campaigns.sh` runs all, `bash tests/campaigns.sh laws fuzz` some.
# CASES (default 20000) sizes the laws, ORACLE_CASES (2000) the Python oracles, SECONDS_EACH (300) each fuzz target;
# UPSTAND_DATA may name a folder of footprints (see tests/footprints.rs).
set -euo pipefail
cd "$(dirname "$0")/.."

campaigns=("$@")
[ "${#campaigns[@]}" -gt 0 ] || campaigns=(laws trims refusals footprints oracles fuzz)

campaign_laws() {
  PROPTEST_CASES=${CASES:-20000} cargo test -p upstand-tests --profile test-release --test laws
}

# How far apart cut ends lie at most and whether bodies clash, over 10,000 random roofs and sections.
campaign_trims() {
  UPSTAND_TRIM_CASES=${TRIM_CASES:-10000} cargo test -p upstand-tests --profile test-release --test trims -- --nocapture every_two
}

# Whether the check and the plan name the same problems of jobs spoiled in many ways.
campaign_refusals() {
  UPSTAND_REFUSAL_CASES=${REFUSAL_CASES:-20000} cargo test -p upstand-tests --profile test-release --test refusals -- --nocapture
}

campaign_footprints() {
  cargo test -p upstand-tests --profile test-release --test footprints -- --nocapture
}

# Needs the Python package and its test requirements installed, as bindings-py/check.sh does.
campaign_oracles() {
  UPSTAND_ORACLE_CASES=${ORACLE_CASES:-2000} python -m pytest -q bindings-py/tests/test_oracle_cutting.py bindings-py/tests/test_oracle_geometry.py \
    bindings-py/tests/test_oracle_trims_bodies.py
}

# Needs a nightly compiler and cargo-fuzz.
campaign_fuzz() {
  for target in job cutting; do
    cargo +nightly fuzz run --fuzz-dir tests/fuzz "$target" -- -max_total_time="${SECONDS_EACH:-300}" -timeout=20 -max_len=20000
  done
}

for campaign in "${campaigns[@]}"; do
  declare -F "campaign_$campaign" >/dev/null || { echo "no campaign $campaign"; exit 2; }
  echo "== $campaign"
  start=$SECONDS
  "campaign_$campaign"
  echo "$campaign: $((SECONDS - start)) s"
done
