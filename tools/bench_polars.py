#!/usr/bin/env python3
"""Time and memory of `plateau pull` on a long log against polars reading the same file into a frame.

Each side is a process of its own, run by turns, so that both meet the same machine. For polars only the call that reads is
timed (not the start of Python and the import); for plateau the whole process, from start to the last byte of its JSON: read,
cut, corrected and figured. Memory is the largest resident size of the process as the kernel counts it.

    python bench_polars.py PLATEAU LOG CELL [ROUNDS]
"""

import json
import os
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


def main():
    plateau, log, cell = sys.argv[1:4]
    rounds = int(sys.argv[4]) if len(sys.argv) > 4 else 5
    skip = str(header_line(log))
    ours, theirs = [], []
    for _ in range(rounds):
        _, rss, out = run([sys.executable, "-c", READ, log, skip])
        took, rows, columns, numbers, version = out.split()
        theirs.append((float(took), rss))
        took, rss, out = run([plateau, "pull", log, "--dyno", cell, "--json"])
        ours.append((took, rss))
    result = json.loads(out)
    data = int(rows) * int(columns) * 8
    size = os.path.getsize(log)
    print(f"log: {size / 1e6:.0f} MB, {int(rows):,} rows x {columns} columns, numbers alone {data / 1e6:.0f} MB as f64")
    print(f"polars {version}, reading only ({numbers} of {columns} columns came out as numbers)")
    for name, side in (("polars", theirs), ("plateau", ours)):
        times = sorted(t for t, _ in side)
        print(f"  {name:8} best {times[0]:.3f} s, median {times[len(times) // 2]:.3f} s, memory {max(m for _, m in side) / 1e6:.0f} MB")
    best = min(t for t, _ in ours) / min(t for t, _ in theirs)
    median = sorted(t for t, _ in ours)[rounds // 2] / sorted(t for t, _ in theirs)[rounds // 2]
    memory = max(m for _, m in ours) / data
    print(f"plateau / polars: best {best:.2f}, median {median:.2f}   (aim: 1 or less)")
    print(f"memory of plateau / numbers alone: {memory:.2f}   (aim: under 2.5)")
    pulls = result.get("pulls")
    print(f"pulls found: {len(pulls) if isinstance(pulls, list) else pulls}")


if __name__ == "__main__":
    main()
