#!/usr/bin/env bash
# The closed cycle of one cylinder by the Python package Cantera, beside what crates/cycle/benches/curve.rs says of ours.
# usage: tools/bench_cantera.sh TARGET_FOLDER        needs python3 with venv
set -eu
target="$1"
if [ ! -x "$target/bench-venv/bin/python" ]; then
  python3 -m venv "$target/bench-venv"
fi
"$target/bench-venv/bin/python" -c "import cantera" 2>/dev/null || "$target/bench-venv/bin/pip" install --quiet cantera==3.2.0
"$target/bench-venv/bin/python" tools/bench_cantera.py
