#!/usr/bin/env python3
"""Time of a closed cycle of one cylinder by Cantera, in its own way: a reactor of ideal gas with a moving wall.

The same problem as in `crates/cycle/benches/curve.rs`: 92 x 92 mm, rod 150 mm, compression ratio 10, 3,000 rpm, air of
100 kPa and 330 K at 130 deg before top dead centre, 1,200 J given off by a Wiebe function (a 5, m 2) from 10 deg before for
50 deg, no heat to the walls, to 130 deg after. Output every degree.

    python bench_cantera.py [ROUNDS]
"""

import math
import sys
import time

import cantera as ct

BORE = STROKE = 0.092
ROD = 0.150
RATIO = 10.0
OMEGA = 3000 * math.pi / 30
AREA = math.pi / 4 * BORE**2
THROW = STROKE / 2
CLEARANCE = AREA * STROKE / (RATIO - 1)
START, END = math.radians(-130), math.radians(130)
BURN_START, BURN, HEAT = math.radians(-10), math.radians(50), 1200.0


def depth(theta):
    return THROW + ROD - (THROW * math.cos(theta) + math.sqrt(ROD**2 - (THROW * math.sin(theta)) ** 2))


def velocity(theta):
    s = THROW * math.sin(theta)
    return OMEGA * s * (1 + THROW * math.cos(theta) / math.sqrt(ROD**2 - s * s))


def burn_rate(theta):
    y = (theta - BURN_START) / BURN
    if not 0 <= y <= 1:
        return 0.0
    return HEAT * OMEGA / BURN * 15 * y * y * math.exp(-5 * y**3)


def cycle():
    gas = ct.Solution("air.yaml")
    gas.TPX = 330.0, 100e3, {"O2": 0.2095, "N2": 0.7808, "AR": 0.0097}
    cylinder = ct.IdealGasReactor(gas, clone=False)
    cylinder.volume = CLEARANCE + AREA * depth(START)
    cylinder.chemistry_enabled = False
    room = ct.Reservoir(ct.Solution("air.yaml"), clone=False)
    wall = ct.Wall(cylinder, room, A=AREA)
    wall.velocity = lambda t: velocity(START + OMEGA * t)
    wall.heat_flux = lambda t: -burn_rate(START + OMEGA * t) / AREA
    net = ct.ReactorNet([cylinder])
    net.rtol, net.atol = 1e-6, 1e-12
    net.max_time_step = math.radians(1) / OMEGA
    work, last = 0.0, (gas.P, cylinder.volume)
    top = 0.0
    steps = round(math.degrees(END - START))
    for n in range(1, steps + 1):
        net.advance(math.radians(n) / OMEGA)
        p, v = gas.P, cylinder.volume
        work += 0.5 * (p + last[0]) * (v - last[1])
        top = max(top, p)
        last = (p, v)
    return work, top


def main():
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    cycle()
    best = math.inf
    for _ in range(rounds):
        start = time.perf_counter()
        work, top = cycle()
        best = min(best, time.perf_counter() - start)
    print(f"Cantera {ct.__version__}, closed cycle: {best * 1e3:.2f} ms, work {work:.1f} J, highest {top / 1e5:.2f} bar")


if __name__ == "__main__":
    main()
