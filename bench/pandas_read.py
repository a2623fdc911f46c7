"""What a script with pandas and SciPy does in place of `fallwright read`.

    pandas_read.py FILE ...        one reading a file, as JSON
    pandas_read.py --filter ROWS   seconds of scipy.signal.filtfilt, best of five

The same job in outline: parse, rate, tare and noise from the quiet start, CFC
60 forward and backward, first contact by a threshold, peak, impulse, speed and
stretch by cumulative integration, energy in and absorbed.
"""

import json
import math
import sys
import time

import numpy as np
from scipy import signal

MASS, DROP, G, CLASS = 80.0, 1.5, 9.80665, 60


def cfc(rate):
    wa = math.tan(2 * math.pi * CLASS * 2.0775 / rate / 2)
    d = 1 + math.sqrt(2) * wa + wa * wa
    a0 = wa * wa / d
    padding = math.ceil(40 * math.sqrt(2) / (2 * math.pi * CLASS * 2.0775) * rate)
    return [a0, 2 * a0, a0], [1, 2 * (wa * wa - 1) / d, (1 - math.sqrt(2) * wa + wa * wa) / d], padding


def read(name):
    import pandas as pd
    from scipy.integrate import cumulative_trapezoid, trapezoid

    table = pd.read_csv(name)
    t, f = table.iloc[:, 0].to_numpy(), table.iloc[:, 1].to_numpy()
    rate = (len(t) - 1) / (t[-1] - t[0])
    quiet = np.flatnonzero(np.abs(f - f[0]) > 0.05 * np.ptp(f))[0] * 4 // 5
    tare, noise = f[:quiet].mean(), f[:quiet].std(ddof=1)
    f = f - tare
    b, a, padding = cfc(rate)
    filtered = signal.filtfilt(b, a, f, padtype="odd", padlen=min(padding, len(f) - 1))
    top = int(filtered.argmax())
    level = max(8 * noise, 0.02 * filtered[top])
    start = int(np.flatnonzero(f > level)[0])
    below = np.flatnonzero(f[top:] < level / 2)
    end = top + int(below[0]) if len(below) else len(f) - 1
    ft, tt = f[start : end + 1], t[start : end + 1]
    speed = math.sqrt(2 * G * DROP) + cumulative_trapezoid(G - ft / MASS, tt, initial=0)
    stretch = cumulative_trapezoid(speed, tt, initial=0)
    work = cumulative_trapezoid(ft, stretch, initial=0)
    return {
        "file": name, "sample_rate_Hz": rate, "samples": len(f), "tare_N": tare, "noise_N": noise,
        "peak_force_N": filtered[top], "time_to_peak_s": t[top] - t[start],
        "impulse_first_Ns": trapezoid(ft, tt), "max_stretch_m": stretch.max(),
        "energy_in_J": work[int(stretch.argmax())], "energy_absorbed_J": work[-1], "rebound_speed_mps": -speed[-1],
    }


def filter_alone(rows):
    x = np.sin(np.arange(rows) / 700)
    b, a, padding = cfc(10_000)
    best = math.inf
    for _ in range(5):
        begun = time.perf_counter()
        signal.filtfilt(b, a, x, padtype="odd", padlen=padding)
        best = min(best, time.perf_counter() - begun)
    print(best)


if sys.argv[1] == "--filter":
    filter_alone(int(sys.argv[2]))
else:
    json.dump([read(name) for name in sys.argv[1:]], sys.stdout, indent=1, default=float)
