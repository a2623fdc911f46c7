"""Makes reference.json: 50 falls drawn at random, by scipy's DOP853 at a
relative tolerance of 1e-12; ten of them by Radau as well, which must agree.

    /usr/bin/python3 refdata/fall/make_reference.py > refdata/fall/reference.json
"""
import json
import platform
import random
import sys

import scipy

from tower import Law, simulate

draw = random.Random(1950)
NAMES = ["linear", "kelvin-voigt", "zener", "stiffening", "sliding", "knotted"]


def law(name):
    u = draw.uniform
    all_of = {
        "modulus": u(8000, 30000), "viscosity": u(100, 1200), "equilibrium": u(4000, 15000), "growth": u(0.5, 8),
        "branch": u(2000, 20000), "relaxation": u(0.03, 0.5), "contact": u(20000, 60000), "ease": u(5, 60),
        "friction": u(0.05, 0.5), "slip": u(0.02, 0.08), "force": u(500, 3000), "delay": u(0.005, 0.03),
    }
    zener = ["equilibrium", "branch", "relaxation"]
    sliding = zener + ["growth", "contact", "ease", "friction"]
    keys = {"linear": ["modulus"], "kelvin-voigt": ["modulus", "viscosity"], "zener": zener,
            "stiffening": zener + ["growth"], "sliding": sliding, "knotted": sliding + ["slip", "force", "delay"]}
    return {k: round(all_of[k], 4) for k in keys[name]}


cases, i = [], 0
while len(cases) < 50:
    name = NAMES[i % len(NAMES)]
    i += 1
    tower = {"mass": round(draw.uniform(50, 100), 3), "drop": round(draw.uniform(0.8, 5), 4),
             "length": round(draw.uniform(1.5, 4), 4), "friction": round(draw.choice([0, draw.uniform(1, 40)]), 3)}
    p = law(name)
    run = simulate(Law(name, **p), **tower, until=8, method="DOP853", rtol=1e-12, contacts=2)
    if len(run["contacts"]) < 2:
        continue  # caught for good at once: no bounce to compare
    if len(cases) % 5 == 0:
        other = simulate(Law(name, **p), **tower, until=8, method="Radau", rtol=1e-10, contacts=2)
        for key in ("max_stretch", "energy_in", "energy_absorbed", "rebound_speed"):
            if abs(other[key] - run[key]) > 1e-7 * abs(run["energy_in"] if "energy" in key else run[key]):
                sys.exit(f"case {i} {name}: {key} {run[key]} by DOP853, {other[key]} by Radau")
    cases.append({"law": name, "parameters": p, **tower, **run})
    print(f"\r{len(cases)}", end="", file=sys.stderr)
json.dump({"made_with": f"Python {platform.python_version()}, SciPy {scipy.__version__}: solve_ivp, DOP853, rtol 1e-12",
           "cases": cases}, sys.stdout, indent=1)
print()
