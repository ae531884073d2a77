#!/usr/bin/env python3
"""Reference values for lift curves, worked out with scipy.

Writes the tables in validation/cam. The Rust tests read them and use none of this code.
Run in an environment that holds tools/lift_curve_requirements.txt:

    python3 tools/lift_curve_check.py validation/cam

The lobes are invented.
"""

import csv
import sys
from pathlib import Path

import numpy as np
from scipy import integrate, optimize, stats
from scipy.interpolate import BSpline, make_splrep
from scipy.linalg import null_space

INCH = 0.0254


def write(folder: Path, name: str, header: list[str], rows: list[list]) -> None:
    with open(folder / name, "w", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(header)
        out.writerows([[f"{c:.12g}" if isinstance(c, float) else c for c in row] for row in rows])


# --- the curve of a card -----------------------------------------------------------------------------------------

CARDS = [
    # lobe lift in, durations at 0.006, 0.050, 0.200 in, ramp on either side
    (0.320, 274.0, 224.0, 138.0, 18.0),
    (0.300, 262.0, 212.0, 122.0, 20.0),
]
INTERVALS = 60
DEGREE = 5


def functions(start: float, end: float) -> list[BSpline]:
    """The degree-5 B-splines on 60 equal intervals whose support lies inside the lobe."""
    knots = np.linspace(start, end, INTERVALS + 1)
    return [
        BSpline.basis_element(knots[j : j + DEGREE + 2], extrapolate=False) for j in range(INTERVALS - DEGREE)
    ]


def value(b: BSpline, x: float, order: int = 0) -> float:
    """Zero outside the support."""
    if not b.t[DEGREE] < x < b.t[-DEGREE - 1]:
        return 0.0
    return float((b.derivative(order) if order else b)(x))


def least_jerk(card: tuple, tight: float) -> tuple[list[BSpline], np.ndarray]:
    """Least integral of jerk squared under the card, velocity coefficients rising once on either side.

    Solved with equations eliminated (null space) and the inequalities by SLSQP.
    """
    lobe, d006, d050, d200, ramp = card
    half = d006 / 2 + ramp
    basis = functions(-half, half)
    h = 2 * half / INTERVALS
    n = len(basis)
    # Angles in knot spacings and lift in lobe lifts, so that numbers are near one.
    jerk = [b.derivative(3) for b in basis]
    gram = np.zeros((n, n))
    nodes, weights = np.polynomial.legendre.leggauss(4)
    for k in range(INTERVALS):
        a = -half + k * h
        x = a + h * (nodes + 1) / 2
        rows = np.array([np.nan_to_num(j(x)) for j in jerk]) * h**3
        gram += (rows * weights / 2) @ rows.T
    points = [(d006, 0.006), (d050, 0.050), (d200, 0.200)]
    equal = [[value(b, 0.0) for b in basis], [value(b, 0.0, 1) * h for b in basis]]
    right = [1.0, 0.0]
    for duration, lift in points:
        for side in (-1, 1):
            equal.append([value(b, side * duration / 2) for b in basis])
            right.append(lift / lobe)
    equal, right = np.array(equal), np.array(right)
    # free minimum for the place of the velocity peaks
    kkt = np.block([[gram, equal.T], [equal, np.zeros((len(right), len(right)))]])
    free = np.linalg.solve(kkt, np.concatenate([np.zeros(n), right]))[:n]
    velocity = np.diff(np.concatenate([[0.0], free, [0.0]]))
    top, bottom = int(np.argmax(velocity)), int(np.argmin(velocity))
    second = np.zeros((n + 2, n))
    for k in range(n + 2):
        sign = 1.0 if k <= top or k > bottom else -1.0
        for back, factor in ((0, 1.0), (1, -2.0), (2, 1.0)):
            if 0 <= k - back < n:
                second[k, k - back] += sign * factor
    particular = np.linalg.lstsq(equal, right, rcond=None)[0]
    space = null_space(equal)
    reduced = space.T @ gram @ space
    linear = space.T @ gram @ particular
    solution = optimize.minimize(
        lambda y: 0.5 * y @ reduced @ y + linear @ y,
        np.linalg.lstsq(space, free - particular, rcond=None)[0],
        jac=lambda y: reduced @ y + linear,
        constraints=[{"type": "ineq", "fun": lambda y: second @ (particular + space @ y), "jac": lambda y: second @ space}],
        method="SLSQP",
        options={"maxiter": 3000, "ftol": tight},
    )
    assert solution.success, solution.message
    return basis, lobe * INCH * (particular + space @ solution.x)


def card_curve(folder: Path) -> None:
    rows, reads = [], []
    for k, card in enumerate(CARDS):
        basis, fine = least_jerk(card, 1e-14)
        _, coarse = least_jerk(card, 1e-12)
        lobe, d006, d050, d200, ramp = card
        half = d006 / 2 + ramp

        def lift(x: float, coefficients=fine, order: int = 0) -> float:
            return sum(c * value(b, x, order) for c, b in zip(coefficients, basis))

        open_m = 10 * max(abs(lift(a) - lift(a, coarse)) for a in np.linspace(-half, half, 31))
        for step in range(-30, 31):
            x = half * step / 30
            rows.append([lobe * INCH, d006, d050, d200, ramp, x, lift(x), open_m])
        # Area and durations at other lifts by quad and brentq on the same curve.
        area = integrate.quad(lift, -half, half, limit=400, points=[-d006 / 2, 0, d006 / 2])[0]
        reads.append([k, "area_m_deg", float(area)])
        for check in (0.020, 0.100, 0.250):
            angle = optimize.brentq(lambda x: lift(x) - check * INCH, 0.0, half)
            reads.append([k, f"duration_{round(check * 1000):03d}_deg", 2 * float(angle)])
        for x in (-90.0, -60.0, -30.0, 0.0):
            for order, name in ((1, "velocity_m_deg"), (2, "acceleration_m_deg2"), (3, "jerk_m_deg3")):
                reads.append([k, f"{name}@{x:g}", lift(x, order=order)])
    write(
        folder,
        "card_curve.csv",
        ["lobe_lift_m", "duration_006_deg", "duration_050_deg", "duration_200_deg", "ramp_deg", "angle_deg", "lift_m", "solver_open_m"],
        rows,
    )
    write(folder, "card_reads.csv", ["card", "what", "value"], reads)


# --- a measured table --------------------------------------------------------------------------------------------

LOBE = 0.0081  # m
HALF = 150.0  # crank degrees
NOSE = 107.3
SKEW = 0.06


def true_lift(angle: np.ndarray) -> np.ndarray:
    """An invented asymmetric lobe in closed form: cos^4 of a bent angle; four derivatives are zero at its ends."""
    u = (np.asarray(angle, dtype=float) - NOSE) / HALF
    bent = u + SKEW * (1 - u * u) * u * u
    inside = np.abs(u) < 1
    return np.where(inside, LOBE * np.cos(np.pi / 2 * np.clip(bent, -1, 1)) ** 4, 0.0)


def crossings(f, level: float, nose: float) -> tuple[float, float]:
    return (
        float(optimize.brentq(lambda x: f(x) - level, nose - HALF, nose)),
        float(optimize.brentq(lambda x: f(x) - level, nose, nose + HALF)),
    )


def reads_of(f, name: str) -> list[list]:
    """Duration at lifts, area, and centreline of any curve, by brentq and quad."""
    out = []
    best = optimize.minimize_scalar(lambda x: -f(x), bounds=(NOSE - 20, NOSE + 20), method="bounded", options={"xatol": 1e-10})
    nose, top = float(best.x), float(-best.fun)
    out.append([name, "lobe_lift_m", top])
    for check in (0.006, 0.020, 0.050, 0.200):
        a, b = crossings(f, check * INCH, nose)
        out.append([name, f"duration_{round(check * 1000):03d}_deg", b - a])
    a, b = crossings(f, top - 0.050 * INCH, nose)
    out.append([name, "centreline_equal_lift_deg", (a + b) / 2])
    a, b = crossings(f, 0.050 * INCH, nose)
    above = lambda x: f(x) - 0.050 * INCH
    whole = integrate.quad(above, a, b, limit=400)[0]
    middle = optimize.brentq(lambda x: integrate.quad(above, a, x, limit=400)[0] - whole / 2, a + 1, b - 1)
    out.append([name, "centreline_area_deg", float(middle)])
    area = integrate.quad(f, NOSE - HALF, NOSE + HALF, limit=600, points=[nose])[0]
    out.append([name, "area_m_deg", float(area)])
    return out


def tables(folder: Path) -> None:
    random = np.random.default_rng(20)
    noises = [("fine", 2.0, 2.5e-6), ("coarse", 4.0, 8e-6)]
    rows, reads, curves = [], [], []
    reads += reads_of(lambda x: float(true_lift(x)), "true")
    for name, step, noise in noises:
        angles = np.arange(NOSE - HALF - 20 - (NOSE - HALF - 20) % step, NOSE + HALF + 20, step)
        lift = true_lift(angles) + random.normal(0.0, noise, len(angles))
        for a, l in zip(angles, lift):
            rows.append([name, noise, float(a), float(f"{l:.8f}")])
        lift = np.round(lift, 8)
        # The quintic smoothing spline of scipy (Dierckx): sum of squares = rows, its own choice of knots.
        fit = make_splrep(angles, lift, w=np.full(len(angles), 1 / noise), k=5, s=float(len(angles)))
        reads += reads_of(lambda x: float(fit(x)), name)
        for x in np.linspace(NOSE - 120, NOSE + 120, 25):
            curves.append([name, float(x), float(true_lift(x)), *(float(fit.derivative(k)(x)) if k else float(fit(x)) for k in range(4)), *derivatives(x)])
    write(folder, "lift_tables.csv", ["table", "u_lift_m", "angle_deg", "lift_m"], rows)
    write(folder, "lift_reads.csv", ["table", "what", "value"], reads)
    write(
        folder,
        "lift_values.csv",
        ["table", "angle_deg", "true_lift_m", "lift_m", "velocity_m_deg", "acceleration_m_deg2", "jerk_m_deg3",
         "true_velocity_m_deg", "true_acceleration_m_deg2", "true_jerk_m_deg3"],
        curves,
    )


def derivatives(x: float) -> list[float]:
    """Derivatives of the closed form by Chebyshev interpolation of degree 12 over ± 4 crank degrees."""
    reach = 4.0
    p = np.polynomial.Chebyshev.interpolate(lambda t: true_lift(x + reach * t), 12)
    return [float(p.deriv(k)(0.0)) / reach**k for k in (1, 2, 3)]


def studentised_range(folder: Path) -> None:
    write(
        folder,
        "studentised_range.csv",
        ["readings", "factor_95"],
        [[k, float(stats.studentized_range.ppf(0.95, k, 1e7))] for k in range(2, 17)],
    )


if __name__ == "__main__":
    target = Path(sys.argv[1])
    target.mkdir(parents=True, exist_ok=True)
    studentised_range(target)
    tables(target)
    card_curve(target)
