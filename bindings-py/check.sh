#!/usr/bin/env bash
# Builds the Python package and runs all of its checks in an environment of its own below the target folder.
set -euo pipefail
cd "$(dirname "$0")"
target=$(realpath -m "${CARGO_TARGET_DIR:-../target}")
venv=$target/check-py/venv
wheels=$target/check-py/wheels
[ -x "$venv/bin/python" ] || python3 -m venv "$venv"
# Every command below is the environment's own, whatever else is on the machine.
export PATH="$venv/bin:$PATH" VIRTUAL_ENV="$venv"
python -m pip install -q --disable-pip-version-check "maturin>=1.16,<2" highspy hypothesis ipykernel jsonschema mypy \
  nbclient nbformat numpy ortools pandas pandas-stubs pint psychrolib pytest ruff scipy shapely types-shapely typing_extensions

ruff format --check .
ruff check .

rm -rf "$wheels"
maturin build -q --release --out "$wheels"
python -m pip install -q --disable-pip-version-check --force-reinstall --no-deps "$wheels"/*.whl

# Run from elsewhere, so that what is tested is the installed wheel and not the sources beside this script.
here=$PWD
mkdir -p "$target/check-py/elsewhere"
cd "$target/check-py/elsewhere"
python -m mypy --strict --config-file "$here/pyproject.toml" "$here/tests/typing_example.py"
python -m mypy.stubtest upstand
python -m pytest -q -c "$here/pyproject.toml" --rootdir "$here" "$here/tests"
python "$here/tests/typing_example.py" >/dev/null
echo "bindings-py: all checks passed"
