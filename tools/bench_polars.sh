#!/usr/bin/env bash
# Compares reading a long log here, with its figures, with only reading it into a frame with the Python package polars, both
# in this run. Both programs are those that are shipped: plateau is built here with the release profile.
# usage: tools/bench_polars.sh TARGET_FOLDER        needs python3 with venv
# PLATEAU_BENCH_ROWS (1,000,000) and PLATEAU_BENCH_ROUNDS (7) make it shorter or longer.
set -eu
target="$1"
rows="${PLATEAU_BENCH_ROWS:-1000000}"
rounds="${PLATEAU_BENCH_ROUNDS:-7}"
cargo build --release --bin plateau --bin invent
invent="$target/release/invent"
mkdir -p "$target/bench"
log="$target/bench/big-$rows.csv"
cell="$target/bench/cells/north.toml"
# Made anew whenever the program that makes it is newer.
[ "$log" -nt "$invent" ] || "$invent" big "$log" "$rows"
[ "$cell" -nt "$invent" ] || "$invent" log cruiser-after "$target/bench" >/dev/null
if [ ! -x "$target/bench-venv/bin/python" ]; then
  python3 -m venv "$target/bench-venv"
fi
"$target/bench-venv/bin/python" -c "import polars" 2>/dev/null || "$target/bench-venv/bin/pip" install --quiet polars
"$target/bench-venv/bin/python" tools/bench_polars.py "$target/release/plateau" "$log" "$cell" "$rounds"
