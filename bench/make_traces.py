"""Writes invented traces of a caught fall: time in s, force in N, as CSV.

    make_traces.py ROWS SEED FILE [FILE ...]

A mass of 80 kg falls 1.5 m onto a spring with a damper, leaves it and comes
back until it hangs; noise of 2 N. Everything about it is made up.
"""

import sys

import numpy as np

MASS, DROP, G = 80.0, 1.5, 9.80665
OMEGA, DAMPING = 9.0, 0.12


def force(rows, rng):
    step = max(1, round(1e7 / rows)) * 1e-6  # whole microseconds: six decimals hold them
    t = np.arange(rows) * step
    f = np.zeros(rows)
    at, speed = 0.5, np.sqrt(2 * G * DROP)
    wd, rest = OMEGA * np.sqrt(1 - DAMPING**2), G / OMEGA**2
    while at < t[-1]:
        s = t[t >= at] - at
        b = (speed - DAMPING * OMEGA * rest) / wd
        e, c, sn = np.exp(-DAMPING * OMEGA * s), np.cos(wd * s), np.sin(wd * s)
        x = rest + e * (-rest * c + b * sn)
        v = -DAMPING * OMEGA * (x - rest) + e * wd * (rest * sn + b * c)
        pull = MASS * (OMEGA**2 * x + 2 * DAMPING * OMEGA * v)
        slack = np.flatnonzero(pull < 0)
        end = slack[0] if len(slack) else len(s)
        first = rows - len(s)
        f[first : first + end] = pull[:end]
        if not len(slack):
            break
        speed = -v[end]
        at = t[first + end] + 2 * speed / G
    return t, f + 2 * rng.standard_normal(rows)


def main():
    rows, seed, files = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3:]
    rng = np.random.default_rng(seed)
    for name in files:
        np.savetxt(name, np.column_stack(force(rows, rng)), fmt="%.6f,%.3f", header="time [s],force [N]", comments="")


main()
