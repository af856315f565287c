#!/usr/bin/env bash
# Builds the C interface and runs all of its checks: header, C11, C++17, static and shared library, valgrind, example.
set -euo pipefail
cd "$(dirname "$0")/.."
here=bindings-c
target=${CARGO_TARGET_DIR:-target}
out=$target/check-c
profile=${PROFILE:-release}
mkdir -p "$out"

cargo test -q -p upstand-c
cargo build -q -p upstand-c --profile "$profile"
lib=$target/$profile
flags=(-std=c11 -Wall -Wextra -Wpedantic -Wconversion -Werror -g -I "$here/include")
system=(-lpthread -ldl -lm)

g++ -std=c++17 -Wall -Wextra -Wpedantic -Werror -fsyntax-only -x c++ "$here/include/upstand.h"
# Every function of the header is in the library, and the library exports no other name of its own.
grep -oE '\bupstand_[a-z_]+\(' "$here/include/upstand.h" | tr -d '(' | sort -u >"$out/declared"
nm -D --defined-only "$lib/libupstand_c.so" | awk '$2 == "T" { print $3 }' | grep '^upstand_' | sort -u >"$out/exported"
diff "$out/declared" "$out/exported"

check=(valgrind -q --leak-check=full --show-leak-kinds=all --errors-for-leak-kinds=all --error-exitcode=99)
export RUST_BACKTRACE=0
for source in "$here"/tests/*.c "$here"/examples/*.c; do
  name=$(basename "$source" .c)
  gcc "${flags[@]}" "$source" "$lib/libupstand_c.a" "${system[@]}" -o "$out/$name-static"
  gcc "${flags[@]}" "$source" -L "$lib" -lupstand_c -Wl,-rpath,"$(realpath "$lib")" -o "$out/$name-shared"
done
for kind in static shared; do
  "${check[@]}" "$out/interface-$kind"
  "${check[@]}" "$out/plan_roof-$kind" "$here/examples/job.json" "$out/plan.json" "$out/plan.svg"
done
test -s "$out/plan.json"
test -s "$out/plan.svg"
echo "bindings-c: all checks passed"
