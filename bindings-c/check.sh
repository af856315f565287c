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
flags=(-std=c11 -Wall -Wextra -Wpedantic -Wconversion -Werror -pthread -g -I "$here/include")
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

# The vectors that all languages share, byte for byte.
vectors=tests/vectors
count=0
for input in "$vectors"/plan/*.job.json "$vectors"/adjust/*.network.json "$vectors"/record/*.record.json \
  "$vectors"/cutting/*.cutting.json; do
  folder=$(basename "$(dirname "$input")")
  name=${input%.json}
  name=${name%.*}
  for answer in "$name".{plan,adjusted,report,cut_list,errors}.json; do
    if [ -e "$answer" ]; then
      "$out/vectors-static" "$folder" "$input" "$answer"
      count=$((count + 1))
    fi
  done
done
"$out/vectors-shared" codes "$vectors/codes.json"
"$out/calls-static" "$vectors/cutting_calls.csv"
"$out/calls-shared" "$vectors/cutting_calls.csv"
# A few of them under valgrind: an error, a plan, a cut list.
"${check[@]}" "$out/vectors-static" plan "$vectors"/plan/crossing.{job,errors}.json
"${check[@]}" "$out/vectors-static" plan "$vectors"/plan/kerb.{job,plan}.json
"${check[@]}" "$out/vectors-static" adjust "$vectors"/adjust/blunder.{network,adjusted}.json
"${check[@]}" "$out/vectors-static" adjust "$vectors"/adjust/floating.{network,errors}.json
"${check[@]}" "$out/vectors-static" record "$vectors"/record/slips.{record,report}.json
"${check[@]}" "$out/vectors-static" cutting "$vectors"/cutting/mixed_runs.{cutting,cut_list}.json
[ "$count" -gt 80 ] || { echo "only $count vectors"; exit 1; }
echo "$count vectors"

# What a user of an installed library does, by pkg-config and by CMake.
prefix=$(realpath -m "$out/prefix")
rm -rf "$prefix" "$out/cmake"
bash "$here/install.sh" "$prefix"
export PKG_CONFIG_PATH=$prefix/lib/pkgconfig
read -r -a found <<<"$(pkg-config --cflags --libs upstand)"
[ "$(pkg-config --modversion upstand)" = "$(sed -n 's/^#define UPSTAND_VERSION "\(.*\)"$/\1/p' "$prefix/include/upstand.h")" ]
gcc -std=c11 "$here/examples/plan_roof.c" "${found[@]}" -o "$out/plan_roof-installed"
LD_LIBRARY_PATH=$prefix/lib "$out/plan_roof-installed" "$here/examples/job.json" "$out/plan.json" "$out/plan.svg"
cmake -S "$here/tests/cmake" -B "$out/cmake" -DCMAKE_PREFIX_PATH="$prefix" -DCMAKE_BUILD_TYPE=Debug >"$out/cmake.log"
cmake --build "$out/cmake" >>"$out/cmake.log"
for kind in shared static; do
  "$out/cmake/plan_roof_$kind" "$here/examples/job.json" "$out/plan.json" "$out/plan.svg"
done

test -s "$out/plan.json"
test -s "$out/plan.svg"
echo "bindings-c: all checks passed"
