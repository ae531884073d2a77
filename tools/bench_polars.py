#!/usr/bin/env python3
"""Time and memory of `plateau pull` on a long log against polars reading the same file into a frame.

Each side is a process of its own, run by turns, so that both meet the same machine. For polars only the call that reads is
timed (not the start of Python and the import); for plateau the whole process, from start to the last byte of its JSON: read,
cut, corrected and figured. Memory is the largest resident size of the process as the kernel counts it.

    python bench_polars.py PLATEAU LOG CELL [ROUNDS]
"""

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time

READ = """
import sys, time, polars
skip = int(sys.argv[2])
t = time.perf_counter()
frame = polars.read_csv(sys.argv[1], skip_rows=skip, infer_schema_length=10000)
took = time.perf_counter() - t
numbers = sum(1 for kind in frame.dtypes if kind.is_numeric())
print(took, frame.height, frame.width, numbers, polars.__version__)
"""


def run(command):
    """Wall time in s, largest resident size in bytes, standard output."""
    with tempfile.TemporaryFile() as out:
        start = time.perf_counter()
        child = subprocess.Popen(command, stdout=out, stdin=subprocess.DEVNULL)
        _, status, usage = os.wait4(child.pid, 0)
        took = time.perf_counter() - start
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode != 0:
            sys.exit(f"{command[0]} ended with {child.returncode}")
        out.seek(0)
        return took, usage.ru_maxrss * 1024, out.read().decode()


def header_line(path):
    """Lines before the header: the first line with as many commas as the one after it, and more than five."""
    with open(path, encoding="utf-8", errors="replace") as file:
        lines = [file.readline() for _ in range(50)]
    for i, (a, b) in enumerate(zip(lines, lines[1:])):
        if a.count(",") > 5 and a.count(",") == b.count(","):
            return i
    sys.exit("no header found in the first 50 lines")


def spread(values, form):
    """Best, median and worst as text."""
    return ", ".join(f"{name} {form.format(v)}" for name, v in
                     (("best", min(values)), ("median", statistics.median(values)), ("worst", max(values))))


def main():
    plateau, log, cell = sys.argv[1:4]
    rounds = int(sys.argv[4]) if len(sys.argv) > 4 else 7
    skip = str(header_line(log))
    ours, theirs = [], []
    for turn in range(rounds):
        # One after the other, the first of a pair by turns.
        for side in ("polars", "plateau") if turn % 2 == 0 else ("plateau", "polars"):
            if side == "polars":
                _, memory, shape = run([sys.executable, "-c", READ, log, skip])
                theirs.append((float(shape.split()[0]), memory))
            else:
                took, memory, out = run([plateau, "pull", log, "--dyno", cell, "--json"])
                ours.append((took, memory))
    _, rows, columns, numbers, version = shape.split()
    result = json.loads(out)
    data = int(rows) * int(columns) * 8
    load = os.getloadavg()[0]
    print(f"log: {os.path.getsize(log) / 1e6:.0f} MB, {int(rows):,} rows x {columns} columns with time")
    print(f"numbers alone: {data / 1e6:.0f} MB; {numbers} of {columns} columns came out as numbers in polars {version}")
    print(f"{rounds} rounds by turns on {os.cpu_count()} processors, load {load:.1f} at the end")
    for name, side in (("polars, reading", theirs), ("plateau, reading to figures", ours)):
        peak = max(m for _, m in side)
        print(f"  {name:28} {spread([t for t, _ in side], '{:.3f} s')}; memory {peak / 1e6:.0f} MB, {peak / data:.2f} x numbers")
    pairs = [a / b for (a, _), (b, _) in zip(ours, theirs)]
    best = min(t for t, _ in ours) / min(t for t, _ in theirs)
    median = statistics.median(t for t, _ in ours) / statistics.median(t for t, _ in theirs)
    memory = max(m for _, m in ours) / data
    print(f"time, plateau / polars: of the best {best:.2f}, of the medians {median:.2f}; pair by pair {spread(pairs, '{:.2f}')} (aim: 1 or less)")
    print(f"memory of plateau / numbers alone: {memory:.2f} (aim: under 2.5)")
    pulls = result.get("pulls")
    print(f"pulls found: {len(pulls) if isinstance(pulls, list) else pulls}")


if __name__ == "__main__":
    main()
