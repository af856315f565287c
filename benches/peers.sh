#!/usr/bin/env bash
# General solvers beside the engine on the trade's lists: `bash benches/peers.sh [--seconds S] [--lists K]`, K lists of each class
# (8; 0 for all), S seconds for each solver and list (20). PYTHON names an interpreter with highspy, ortools and pyscipopt.
set -euo pipefail
cd "$(dirname "$0")/.."
target=${CARGO_TARGET_DIR:-target}
python=${PYTHON:-python3}
work=$target/bench-lists
cargo build -q --release --example cut_list
cargo build -q --release -p upstand-benches --bin cutting_engine
rm -rf "$work"
"$target/release/cutting_engine" --write "$work" trade joined
rm -f "$work"/joined*.txt
"$python" -c 'import highspy, ortools; print("HiGHS", highspy.Highs().version() + ", OR-Tools", ortools.__version__)'
"$python" -c 'import pyscipopt; print("SCIP", pyscipopt.Model().version())' || echo "without SCIP: pyscipopt is not installed"
echo
"$python" benches/peers/cutting.py --engine "$target/release/examples/cut_list" --lists 8 "$@" "$work"/*
