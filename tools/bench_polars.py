#!/usr/bin/env python3
"""Times reading a large CSV log against the package polars, in one run on one machine.

Makes (once) a log of 1,000,000 rows and 20 channels, about 170 MB, by fixed arithmetic, under
target/bench/. Reads it several times with each side, in turn, each time in a fresh process, and prints
the best and the median time of both, their ratio and the peak memory of both.

    tools/bench_polars.py [--rows N] [--rounds N] [--program PATH]

The program is `cargo build --release -p pull --example read_big` by default; another may be named
that takes the file as its only argument and prints one JSON object with "seconds".
"""

import argparse
import json
import math
import os
import statistics
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WORK = ROOT / "target" / "bench"

CHANNELS = [
    ("Time (s)", 3), ("Engine speed (rpm)", 1), ("Torque (Nm)", 3), ("Power (kW)", 3),
    ("Manifold pressure (kPa)", 3), ("Lambda 1", 4), ("Lambda 2", 4), ("Fuel flow (kg/h)", 3),
    ("Air flow (kg/h)", 2), ("Intake air (degC)", 2), ("Coolant out (degC)", 3), ("Oil temperature (degC)", 3),
    ("Oil pressure (kPa)", 2), ("Fuel pressure (kPa)", 2), ("Spark (deg)", 4), ("Throttle (%)", 3),
    ("EGT 1 (degC)", 2), ("EGT 2 (degC)", 2), ("Barometer (kPa)", 4), ("Humidity (%)", 3),
]


def make(path, rows):
    """Writes the log: forty sweeps with noise from a linear congruential generator."""
    state = 12345

    def noise():
        nonlocal state
        state = (state * 1103515245 + 12345) & 0x7FFFFFFF
        return state / 0x3FFFFFFF - 1.0

    with open(path, "w", encoding="utf-8", newline="") as out:
        out.write("Invented log for timing\n")
        out.write(",".join(name for name, _ in CHANNELS) + "\n")
        for row in range(rows):
            phase = (row % 25000) / 25000
            rpm = 2000 + 4500 * phase
            torque = 430 * (1 - 1.6 * (phase - 0.55) ** 2) + noise()
            values = [
                row * 0.01, rpm + 3 * noise(), torque, torque * rpm * math.pi / 30000,
                97 + noise(), 0.88 + 0.01 * noise(), 0.87 + 0.01 * noise(), 40 + 90 * phase + noise(),
                500 + 1100 * phase + 5 * noise(), 25 + noise(), 82 + noise(), 95 + 10 * phase + noise(),
                350 + 100 * phase + noise(), 400 + noise(), 28 + 4 * phase + noise(), 99.5 + 0.3 * noise(),
                640 + 180 * phase + noise(), 655 + 170 * phase + noise(), 98.4 + 0.01 * noise(), 41 + noise(),
            ]
            out.write(",".join(f"{v:.{d}f}" for v, (_, d) in zip(values, CHANNELS)) + "\n")


def run(command):
    """Runs a command; gives its JSON and its peak memory in MB (as counted by the system)."""
    program = (
        "import resource,subprocess,sys\n"
        "done=subprocess.run(sys.argv[1:],capture_output=True,text=True)\n"
        "sys.stderr.write(done.stderr)\n"
        "print(done.stdout.strip().splitlines()[-1] if done.stdout else '{}')\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)\n"
        "sys.exit(done.returncode)\n"
    )
    done = subprocess.run([sys.executable, "-c", program, *map(str, command)], stdout=subprocess.PIPE, text=True, check=True)
    text, memory = done.stdout.strip().splitlines()
    return json.loads(text), int(memory) / 1024


def main():
    args = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    args.add_argument("--rows", type=int, default=1_000_000)
    args.add_argument("--rounds", type=int, default=5)
    args.add_argument("--program", type=Path)
    args = args.parse_args()
    WORK.mkdir(parents=True, exist_ok=True)
    log = WORK / f"log_{args.rows}.csv"
    if not log.exists():
        print(f"making {log.relative_to(ROOT)}")
        part = log.with_suffix(".part")
        make(part, args.rows)
        part.rename(log)
    python = WORK / "venv" / "bin" / "python"
    if not python.exists():
        venv.create(WORK / "venv", with_pip=True)
        subprocess.run([python, "-m", "pip", "install", "--quiet", "polars"], check=True)
    program = args.program
    if program is None:
        subprocess.run(["cargo", "build", "--quiet", "--release", "-p", "pull", "--example", "read_big"], cwd=ROOT, check=True)
        target = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
        program = target / "release" / "examples" / "read_big"
    polars = (
        "import sys,time,json\nimport polars as pl\n"
        "t=time.perf_counter()\nf=pl.read_csv(sys.argv[1],skip_rows=1)\n"
        "print(json.dumps({'seconds':time.perf_counter()-t,'rows':f.height,'columns':f.width,'version':pl.__version__}))"
    )
    ours, theirs = [], []
    for _ in range(args.rounds):
        theirs.append(run([python, "-c", polars, log]))
        ours.append(run([program, log]))
    numbers = args.rows * len(CHANNELS) * 8 / 1e6
    print(f"log: {log.stat().st_size / 1e6:.0f} MB, {args.rows} rows, {len(CHANNELS)} channels; numbers alone {numbers:.0f} MB")
    for name, runs in (("plateau", ours), (f"polars {theirs[0][0]['version']}", theirs)):
        times = [r[0]["seconds"] for r in runs]
        peak = max(r[1] for r in runs)
        print(f"{name:16} best {min(times):.3f} s  median {statistics.median(times):.3f} s  peak {peak:.0f} MiB")
    ratio = statistics.median(r[0]["seconds"] for r in ours) / statistics.median(r[0]["seconds"] for r in theirs)
    memory = max(r[1] for r in ours) * 1.048576 / numbers
    print(f"ratio of medians {ratio:.2f}; our peak memory {memory:.2f} × the numbers")


if __name__ == "__main__":
    main()
