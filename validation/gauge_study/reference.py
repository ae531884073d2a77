"""Reference values of the gauge study, by two-way analysis of variance of statsmodels and integrals of scipy.

Run: python reference.py  (needs statsmodels, scipy, pandas; writes anova.csv and factors.csv)
"""

import csv

import numpy as np
import pandas as pd
import statsmodels.api as sm
from scipy import integrate, stats
from statsmodels.formula.api import ols

rows = list(csv.DictReader(open("readings.csv")))
frame = pd.DataFrame({"part": [r["part"] for r in rows], "who": [r["who"] for r in rows],
                      "y": [float(r["reading"]) for r in rows]})
model = ols("y ~ C(part) * C(who)", data=frame).fit()
table = sm.stats.anova_lm(model, typ=1)
p, o, n = 10, 3, 3
names = {"C(part)": "part", "C(who)": "who", "C(part):C(who)": "both", "Residual": "repeat"}
out = [(names[i], row.df, row.sum_sq, row.sum_sq / row.df) for i, row in table.iterrows()]
ms = {k: m for k, _, _, m in out}
f = ms["both"] / ms["repeat"]
out.append(("p_both", 0, f, stats.f.sf(f, (p - 1) * (o - 1), p * o * (n - 1))))
# pooled: the interaction counts as noise
ss = {k: s for k, _, s, _ in out}
df = {k: d for k, d, _, _ in out}
pooled = (ss["both"] + ss["repeat"]) / (df["both"] + df["repeat"])
out.append(("pooled", df["both"] + df["repeat"], ss["both"] + ss["repeat"], pooled))
ev, av = pooled**0.5, ((ms["who"] - pooled) / (p * n)) ** 0.5
pv = ((ms["part"] - pooled) / (o * n)) ** 0.5
grr = (ev**2 + av**2) ** 0.5
for name, value in [("EV", ev), ("AV", av), ("GRR", grr), ("PV", pv), ("TV", (grr**2 + pv**2) ** 0.5)]:
    out.append((name, 0, value, 100 * value / (grr**2 + pv**2) ** 0.5))
with open("anova.csv", "w") as file:
    file.write("name,degrees,squares_or_value,mean_square_or_percent\n")
    for name, d, s, m in out:
        file.write(f"{name},{d:.0f},{s:.10f},{m:.10f}\n")


def d2_moment(k, power):
    """Moments of the range of k standard normal numbers."""
    def below(w):
        return k * integrate.quad(lambda x: stats.norm.pdf(x) * (stats.norm.cdf(x + w) - stats.norm.cdf(x)) ** (k - 1),
                                  -9, 9, epsabs=1e-12)[0]
    if power == 1:
        return integrate.quad(lambda w: 1 - below(w), 0, 12, epsabs=1e-10)[0]
    return integrate.quad(lambda w: 2 * w * (1 - below(w)), 0, 12, epsabs=1e-10)[0]


with open("factors.csv", "w") as file:
    file.write("size,mean_of_range,root_mean_square_of_range\n")
    for k in (2, 3, 4, 5, 8, 10, 15):
        file.write(f"{k},{d2_moment(k, 1):.8f},{d2_moment(k, 2) ** 0.5:.8f}\n")
