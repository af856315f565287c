#!/usr/bin/env bash
# Every table on the cutting engine in benches/README.md: `bash benches/cutting.sh [PART...]`, parts classes lists growth peers overhead
# instructions; without one all. Tables go to target/bench/PART.md. LISTS (8; 0 for all), SECONDS_EACH (20, for peers), LIMIT (60, of
# each academic instance) and MOST (10000 runs, for growth) size it; PYTHON as in peers.sh and overhead.sh.
set -euo pipefail
cd "$(dirname "$0")/.."
target=${CARGO_TARGET_DIR:-target}
out=$target/bench
parts=("$@")
[ "${#parts[@]}" -gt 0 ] || parts=(classes lists growth peers overhead instructions)
mkdir -p "$out"
cargo build -q --release -p upstand-benches --bins

run() {
  case $1 in
    classes) "$target/release/cutting_engine" --seconds "${LIMIT:-60}" all ;;
    lists) "$target/release/cut_lists" ;;
    growth) "$target/release/cutting_growth" --most "${MOST:-10000}" ;;
    peers) bash benches/peers.sh --lists "${LISTS:-8}" --seconds "${SECONDS_EACH:-20}" ;;
    overhead) bash benches/overhead.sh ;;
    instructions) bash benches/instructions.sh ;;
    *) echo "no part $1" >&2; return 2 ;;
  esac
}

machine() {
  echo "$(date +%F), $(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -1), $(nproc) cores, load $(cut -d' ' -f1 /proc/loadavg) at the beginning,"
  echo "$(uname -sr), $(rustc --version), commit $(git rev-parse --short HEAD)"
}

for part in "${parts[@]}"; do
  begun=$(date +%s)
  { machine; echo; run "$part"; } | tee "$out/$part.md"
  echo "$part: $(($(date +%s) - begun)) s"
  echo
done
