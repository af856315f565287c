#!/usr/bin/env bash
# Instructions that a handful of fixed cut lists take, counted by valgrind: repeatable on a busy machine where times are
# not. `bash benches/instructions.sh >BEFORE`, change the engine, `bash benches/instructions.sh BEFORE` compares.
set -euo pipefail
cd "$(dirname "$0")/.."
before=${1:-}
cargo build -q --release -p upstand-benches --bin cutting_instructions
program=${CARGO_TARGET_DIR:-target}/release/cutting_instructions

count() {
  valgrind --tool=callgrind --callgrind-out-file=/dev/null "$program" "$1" 2>&1 >/dev/null |
    sed -n 's/.*Collected : \([0-9]*\).*/\1/p'
}

nothing=$(count none)
printf '| list | million instructions |%s\n|---|---|%s\n' "${before:+ before | change |}" "${before:+---|---|}"
"$program" | grep -v '^none$' | while read -r name; do
  now=$(awk -v all="$(count "$name")" -v nothing="$nothing" 'BEGIN { printf "%.3f", (all - nothing) / 1e6 }')
  if [ -n "$before" ]; then
    then=$(awk -F' *[|] *' -v name="$name" '$2 == name { print $3 }' "$before")
    awk -v name="$name" -v now="$now" -v then="${then:-0}" \
      'BEGIN { printf "| %s | %s | %s | %s |\n", name, now, then, then > 0 ? sprintf("%+.1f %%", 100 * (now / then - 1)) : "new" }'
  else
    echo "| $name | $now |"
  fi
done
