#!/usr/bin/env bash
# What a call of the cutting engine from Python and C takes beyond one from Rust: `bash benches/overhead.sh [LISTS ROUNDS
# REPEATS]`. PYTHON names an interpreter with the package of this state, built for release (bindings-py/check.sh makes one).
set -euo pipefail
cd "$(dirname "$0")/.."
target=${CARGO_TARGET_DIR:-target}
python=${PYTHON:-$target/check-py/venv/bin/python}
work=$target/bench-overhead
mkdir -p "$work"
cargo build -q --release -p upstand-benches --bin cutting_calls
cargo build -q --release -p upstand-c
gcc -std=gnu11 -O2 -Wall -Wextra -Werror -Ibindings-c/include benches/overhead/cutting_calls.c "$target/release/libupstand_c.a" \
  -lpthread -ldl -lm -o "$work/cutting_calls_c"
"$python" benches/overhead/run.py "$target/release/cutting_calls" "$work/cutting_calls_c" "$work" "${1:-20}" "${2:-15}" "${3:-5}"
