#!/usr/bin/env python3
"""Reference values for the statistics of repeated pulls, worked out with scipy.

Writes the tables in validation/statistics. The Rust tests read them and use none of this code.
Run in an environment that holds tools/statistics_requirements.txt:

    python3 tools/statistics_check.py validation/statistics
"""

import csv
import math
import sys
from pathlib import Path

import scipy
from scipy import integrate, optimize, stats

# Story 7: mean power over 4,800 to 7,200 rpm of each pull, hp. Invented (validation/stories/SOURCE.md).
A1 = [471.2, 472.9, 471.5]
B = [473.0, 474.4, 472.6]
A2 = [472.8, 471.9, 473.4]


def write(folder: Path, name: str, header: list[str], rows: list[list]) -> None:
    with open(folder / name, "w", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(header)
        out.writerows([[f"{c:.10g}" if isinstance(c, float) else c for c in row] for row in rows])


def difference(now: list[float], before: list[float]) -> dict[str, float]:
    """Difference of means with the pooled-variance 95 % interval (scipy.stats.ttest_ind, equal variances)."""
    result = stats.ttest_ind(now, before, equal_var=True)
    low, high = result.confidence_interval(0.95)
    return {
        "difference": (low + high) / 2,
        "half_width": (high - low) / 2,
        "dof": float(result.df),
        "p_value": float(result.pvalue),
    }


def story_7(folder: Path) -> None:
    rows = []
    for name, now, before in [
        ("b_against_a1_and_a2", B, A1 + A2),
        ("b_against_a1", B, A1),
        ("b_against_a2", B, A2),
        ("a2_against_a1", A2, A1),
    ]:
        for key, value in difference(now, before).items():
            rows.append([name, key, value])
    for name, values in [("a1", A1), ("b", B), ("a2", A2), ("a1_and_a2", A1 + A2)]:
        rows.append([name, "mean", float(sum(values) / len(values))])
        rows.append([name, "sd", float(stats.tstd(values))])
    # Drift along the order in which the pulls of the three runs were made, and within each run.
    for name, values in [("a1", A1), ("b", B), ("a2", A2), ("a1_and_a2", A1 + A2)]:
        fit = stats.linregress(range(1, len(values) + 1), values)
        rows.append([name, "drift_per_pull", float(fit.slope)])
        rows.append([name, "u_drift_per_pull", float(fit.stderr)])
    # Welch's interval, for pulls whose scatter is not alike.
    low, high = stats.ttest_ind(B, A1 + A2, equal_var=False).confidence_interval(0.95)
    rows.append(["b_against_a1_and_a2", "welch_half_width", float(high - low) / 2])
    # What the owner had seen: the best pull with against the worst without.
    rows.append(["b_against_a1_and_a2", "best_to_worst", max(B) - min(A1 + A2)])
    write(folder, "story_7.csv", ["what", "figure", "value"], rows)


def student(folder: Path) -> None:
    rows = []
    for dof in [1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 16, 20, 30, 60, 120]:
        for coverage in [0.6827, 0.90, 0.95, 0.99]:
            rows.append([dof, coverage, float(stats.t.ppf(0.5 + coverage / 2, dof))])
    write(folder, "student.csv", ["dof", "coverage", "factor"], rows)


def maximum_modulus(m: int, dof: int, coverage: float) -> float:
    """Exact factor for m independent means over one common estimate of variance (studentized maximum modulus)."""

    def covered(c: float) -> float:
        # s is the estimate over the true standard deviation: s² · dof follows chi-square.
        density = lambda s: stats.chi2.pdf(dof * s * s, dof) * 2 * dof * s
        inside = lambda s: (2 * stats.norm.cdf(c * s) - 1) ** m * density(s)
        return integrate.quad(inside, 0, 12, limit=400, points=[0.3, 1.0, 2.0])[0]

    top = stats.t.ppf(1 - (1 - coverage) / 2 / m, dof) * 1.01
    return float(optimize.brentq(lambda c: covered(c) - coverage, 0.5, top, xtol=1e-9))


def simultaneous(folder: Path) -> None:
    rows = []
    for m in [1, 2, 5, 10, 16, 20, 30, 43]:
        for dof in [2, 4, 7, 10, 16]:
            sidak = float(stats.t.ppf(0.5 + 0.95 ** (1 / m) / 2, dof))
            bonferroni = float(stats.t.ppf(1 - 0.05 / m / 2, dof))
            rows.append([m, dof, sidak, bonferroni, maximum_modulus(m, dof, 0.95)])
    write(folder, "simultaneous.csv", ["looks", "dof", "sidak", "bonferroni", "maximum_modulus"], rows)


def coverage_bounds(folder: Path) -> None:
    """How many of n intervals may cover the truth when each covers with probability p."""
    rows = []
    for n in [100, 200, 400]:
        for p in [0.95, 0.9545, 0.97]:
            low, high = stats.binom.ppf([0.0005, 0.9995], n, p)
            rows.append([n, p, int(low), int(high)])
    write(folder, "coverage.csv", ["cases", "coverage", "least_at_0.1_percent", "most_at_0.1_percent"], rows)


def main() -> None:
    if len(sys.argv) != 2:
        sys.exit("usage: statistics_check.py FOLDER")
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    story_7(folder)
    student(folder)
    simultaneous(folder)
    coverage_bounds(folder)
    for name, half in [("b_against_a1_and_a2", difference(B, A1 + A2))]:
        print(f"{name}: {half['difference']:+.4f} ± {half['half_width']:.4f} hp, scipy {scipy.__version__}")
        # The handbook prints +1.05 ± 1.50 hp.
        assert math.isclose(half["difference"], 1.05, abs_tol=0.005)
        assert math.isclose(half["half_width"], 1.50, abs_tol=0.011)


if __name__ == "__main__":
    main()
