#!/usr/bin/env bash
# Builds the C interface and lays it out below a prefix: header, libraries, pkg-config and CMake files.
#
#     bindings-c/install.sh PREFIX
set -euo pipefail
[ $# = 1 ] || { echo "usage: $0 PREFIX" >&2; exit 2; }
prefix=$(realpath -m "$1")
cd "$(dirname "$0")/.."
cargo build -q -p upstand-c --release
built=${CARGO_TARGET_DIR:-target}/release
version=$(sed -n 's/^#define UPSTAND_VERSION "\(.*\)"$/\1/p' bindings-c/include/upstand.h)
install -d "$prefix/include" "$prefix/lib/pkgconfig" "$prefix/lib/cmake/upstand"
install -m 644 bindings-c/include/upstand.h "$prefix/include/"
install -m 644 "$built/libupstand_c.a" "$prefix/lib/"
install -m 755 "$built/libupstand_c.so" "$prefix/lib/"
sed "s|@PREFIX@|$prefix|; s|@VERSION@|$version|" bindings-c/upstand.pc.in >"$prefix/lib/pkgconfig/upstand.pc"
install -m 644 bindings-c/cmake/upstand-config.cmake "$prefix/lib/cmake/upstand/"
