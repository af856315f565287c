#!/usr/bin/env bash
# Every check of the project. `bash tests/ci.sh` installs what it needs and runs all stages;
# `bash tests/ci.sh lint test` runs some. Heavy campaigns are off: see tests/campaigns.sh.
set -euo pipefail
cd "$(dirname "$0")/.."

all="fmt lint test doc release c py readme bench"
stages=("${@:-}")
[ -n "${stages[0]}" ] || read -r -a stages <<<"$all"

logs=target/ci
mkdir -p "$logs"
export CARGO_TERM_COLOR=never
export RUST_BACKTRACE=${RUST_BACKTRACE:-1}
# The same random cases every time: a red run is then about the change. The campaigns draw new ones.
export PROPTEST_RNG_SEED=${PROPTEST_RNG_SEED:-1}

as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi; }

need_command() { # need_command NAME DEBIAN_PACKAGE
  command -v "$1" >/dev/null && return
  echo "installing $2 (for $1)"
  as_root apt-get install -y -qq "$2" >/dev/null 2>&1 || { as_root apt-get update -qq && as_root apt-get install -y -qq "$2"; }
}

need_component() { # need_component CARGO_SUBCOMMAND RUSTUP_COMPONENT
  cargo "$1" --version >/dev/null 2>&1 || rustup component add "$2"
}

stage_fmt() {
  need_component fmt rustfmt
  cargo fmt --all --check
}

stage_lint() {
  need_component clippy clippy
  cargo clippy --workspace --all-targets --all-features -- -D warnings
}

stage_test() {
  # A test file that the manifest does not name would never run.
  local file
  for file in tests/*.rs; do
    grep -q "^path = \"$(basename "$file")\"" tests/Cargo.toml || { echo "$file is not in tests/Cargo.toml"; return 1; }
  done
  cargo test --workspace --exclude upstand-py --all-features --lib --bins --tests --no-fail-fast
}

stage_doc() {
  cargo test --workspace --exclude upstand-py --exclude upstand-c --all-features --doc
  RUSTDOCFLAGS="-D warnings" cargo doc --workspace --no-deps --all-features
}

# What users run: optimised, without debug assertions, overflow still caught.
stage_release() {
  cargo test -p upstand -p upstand-tests --all-features --lib --tests --profile test-release --no-fail-fast
}

stage_c() {
  need_command gcc gcc
  need_command g++ g++
  need_command valgrind valgrind
  need_command pkg-config pkg-config
  need_command cmake cmake
  bash bindings-c/check.sh
}

stage_py() {
  bash bindings-py/check.sh
}

# Nothing is written down that is not run: the README's programs and their exact output.
stage_readme() {
  bash tests/readme.sh
}

# Benchmarks run once each, so that they cannot rot; figures come from benches/README.md's command.
stage_bench() {
  cargo test -p upstand-benches --benches
}

# Adds up what the test runners say: cargo test, pytest, and our own `N passed, N failed`.
count() { # count WORD FILE...
  local word=$1
  shift
  cat "$@" 2>/dev/null | grep -E "^test result:|[0-9]+ passed" | grep -oE "[0-9]+ $word" | awk '{ n += $1 } END { print n + 0 }'
}

failed_stages=()
rows=()
begun=$SECONDS
for stage in "${stages[@]}"; do
  declare -F "stage_$stage" >/dev/null || { echo "no stage $stage; there are: $all"; exit 2; }
  echo "== $stage"
  start=$SECONDS
  # A subshell with its own -e: calling a function in an if would switch it off.
  set +e
  ( set -euo pipefail; "stage_$stage" ) 2>&1 | tee "$logs/$stage.log"
  status=${PIPESTATUS[0]}
  set -e
  word=ok
  if [ "$status" != 0 ]; then word=FAILED; failed_stages+=("$stage"); fi
  rows+=("$(printf '%-8s %-7s %5ss %6s passed %4s failed' "$stage" "$word" "$((SECONDS - start))" \
    "$(count passed "$logs/$stage.log")" "$(count failed "$logs/$stage.log")")")
done

echo
printf '%s\n' "${rows[@]}"
files=()
for stage in "${stages[@]}"; do files+=("$logs/$stage.log"); done
passed=$(count passed "${files[@]}")
failed=$(count failed "${files[@]}")
echo "in $((SECONDS - begun)) s"
# A stage can fail without a test failing: formatting, lints, a missing file.
[ "${#failed_stages[@]}" = 0 ] || { [ "$failed" != 0 ] || failed=${#failed_stages[@]}; echo "failed stages: ${failed_stages[*]}"; }
if [ "$passed" = 0 ] && [ "$failed" = 0 ] && [[ " ${stages[*]} " == *" test "* ]]; then
  echo "no test ran"
  failed=1
fi
echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
