#!/usr/bin/env bash
# Compares reading a long log here with only reading it into a frame with the Python package polars, both in this run.
# usage: tools/bench_polars.sh TARGET_FOLDER        needs python3 with venv
set -eu
target="$1"
rows="${PLATEAU_BENCH_ROWS:-1000000}"
cargo build --release --bin plateau --bin invent
mkdir -p "$target/bench"
log="$target/bench/big-$rows.csv"
[ -s "$log" ] || "$target/release/invent" big "$log" "$rows"
[ -s "$target/bench/cells/north.toml" ] || "$target/release/invent" log cruiser-after "$target/bench" >/dev/null
if [ ! -x "$target/bench-venv/bin/python" ]; then
  python3 -m venv "$target/bench-venv"
  "$target/bench-venv/bin/pip" install --quiet polars
fi
"$target/bench-venv/bin/python" tools/bench_polars.py "$target/release/plateau" "$log" "$target/bench/cells/north.toml"
