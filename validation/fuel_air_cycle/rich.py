"""Fuel-air cycle with 5 % residual gas: the rich rows anew, and what is wrong with those of the older table.

Needs Cantera (3.2 was used). Run in this folder: writes rich_residual5pct_101kPa_388K.csv and prints how both kinds of
residual compare with t06_fuel_air_cycle_residual5pct_101kPa_388K.csv.
"""

import csv

import cantera as ct

ct.suppress_thermo_warnings()
FUEL = "C8H18,isooctane"
GASES = {s.name: s for s in ct.Species.list_from_file("nasa_gas.yaml")}
BURNED = "N2 O2 Ar CO2 H2O CO H2 OH O H NO N".split()
gas = ct.Solution(thermo="ideal-gas", species=[GASES[n] for n in BURNED + [FUEL]])


def heating_value():
    """Of the vapour at 25 C with water as vapour, J/kg."""
    h = {}
    for name in (FUEL, "O2", "CO2", "H2O"):
        gas.TPX = 298.15, ct.one_atm, {name: 1}
        h[name] = gas.enthalpy_mole
    return (h[FUEL] + 12.5 * h["O2"] - 8 * h["CO2"] - 9 * h["H2O"]) / gas.molecular_weights[gas.species_index(FUEL)]


def residual(phi, twice):
    """Burned gas of the mixture, in equilibrium at 1400 K. `twice`: the oxygen of CO is put on top of that of the air."""
    o2 = 12.5 / phi
    moles = {"N2": o2 * 0.7808 / 0.2095, "Ar": o2 * 0.0097 / 0.2095}
    if phi <= 1:
        moles |= {"CO2": 8, "H2O": 9, "O2": o2 - 12.5}
    else:
        moles |= {"CO": 8, "H2": 9, "O2": o2 if twice else o2 - 4}
    gas.TPX = 1400, ct.one_atm, moles
    gas.equilibrate("TP", rtol=1e-10)
    return gas.Y.copy()


def cycle(phi, ratio, t1, p1, share, twice):
    o2 = 12.5 / phi
    gas.TPX = 300, p1, {FUEL: 1, "O2": o2, "N2": o2 * 0.7808 / 0.2095, "Ar": o2 * 0.0097 / 0.2095}
    fresh = gas.Y.copy()
    gas.TPY = t1, p1, (1 - share) * fresh + share * residual(phi, twice)
    v1, s1, u1, fuel = 1 / gas.density, gas.entropy_mass, gas.int_energy_mass, gas[FUEL].Y[0]
    gas.SV = s1, v1 / ratio
    out = {"p2_Pa": gas.P, "t2_K": gas.T}
    u2 = gas.int_energy_mass
    gas.UV = u2, v1 / ratio
    gas.equilibrate("UV", rtol=1e-10, max_steps=5000)
    out |= {"p3_Pa": gas.P, "t3_K": gas.T}
    s3 = gas.entropy_mass
    for i in range(1, 61):
        gas.SV = s3, v1 / ratio * ratio ** (i / 60)
        gas.equilibrate("SV", rtol=1e-10, max_steps=5000)
    work = u1 - gas.int_energy_mass
    out |= {"p4_Pa": gas.P, "t4_K": gas.T, "fuel_mass_fraction_1": fuel, "net_work_J_kg_charge": work}
    out |= {"indicated_efficiency_1": work / (fuel * heating_value()), "imep_Pa": work / (v1 - v1 / ratio)}
    return out


rows = list(csv.DictReader(open("t06_fuel_air_cycle_residual5pct_101kPa_388K.csv")))
worst, rich = {}, []
for row in rows:
    phi, ratio = float(row["phi_1"]), float(row["cr_1"])
    for twice in (False, True):
        made = cycle(phi, ratio, 388, 101325, 0.05, twice)
        key = ("rich" if phi > 1 else "lean", "oxygen twice" if twice else "oxygen once")
        off = made["indicated_efficiency_1"] / float(row["indicated_efficiency_1"]) - 1
        if abs(off) > abs(worst.get(key, 0)):
            worst[key] = off
        if phi > 1 and not twice:
            rich.append((row, made))
for key, off in worst.items():
    print(*key, f"efficiency off by at most {off:.1e}")
with open("rich_residual5pct_101kPa_388K.csv", "w", newline="\n") as f:
    f.write("phi_1,cr_1,residual_mass_fraction_1,p1_Pa,t1_K," + ",".join(rich[0][1]) + "\n")
    for row, made in rich:
        f.write(",".join([row["phi_1"], row["cr_1"], "0.05", "101325", "388"] + [f"{x:.8g}" for x in made.values()]) + "\n")
