#!/usr/bin/env bash
# Runs the README's commands and programs and compares what they print with what the README says; then cut_list on files of all sorts.
# The Python and C stages build what this needs; it builds what is missing.
set -euo pipefail
cd "$(dirname "$0")/.."
out=target/readme
mkdir -p "$out"

cargo run -q --release --example plan_roof -- --out "$out/demo" >"$out/plan_roof.txt"
for file in plan.json plan.svg cut_list.svg cut_list.txt; do
  [ -s "$out/demo/$file" ] || { echo "the main command wrote no $file"; exit 1; }
done
echo "main command: 1 passed, 0 failed"

cargo run -q --release --example readme >"$out/rust.txt"
python3 tests/readme.py rust core/examples/readme.rs "$out/rust.txt"

cargo build -q --release -p upstand-c
gcc -std=c11 -Wall -Wextra -Wpedantic -Werror -Ibindings-c/include bindings-c/examples/readme.c \
  -o "$out/readme_c" target/release/libupstand_c.a -lpthread -ldl -lm
"$out/readme_c" >"$out/c.txt"
python3 tests/readme.py c bindings-c/examples/readme.c "$out/c.txt"

python=target/check-py/venv/bin/python
[ -x "$python" ] || bash bindings-py/check.sh
"$python" bindings-py/examples/readme.py >"$out/python.txt"
python3 tests/readme.py python bindings-py/examples/readme.py "$out/python.txt"

cargo build -q --release --example cut_list
python3 tests/cut_list.py target/release/examples/cut_list
