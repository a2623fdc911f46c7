"""Makes vectors.json: what SciPy and NumPy give for the signals in it.

    python3 refdata/dsp/make_vectors.py > refdata/dsp/vectors.json

Only the tests of num/dsp read the result; nothing needs Python to build or run.
Signals are rounded to three decimals, so that every reader holds the same
numbers. The filter's coefficients are worked out here from the published
formula, its padding from the rule that docs/METHODS.md states.
"""

import json
import math
import platform
import sys

import numpy as np
import scipy
from scipy import signal

RATES = {
    60: [600, 1234.5, 2000, 9876.54321, 20000, 50000],
    180: [1800, 5000.5, 10000, 48000],
    600: [6000, 11025, 51200],
    1000: [10000, 14142.1356, 100000],
}


def coefficients(cfc, fs):
    wa = math.tan(2 * math.pi * cfc * 2.0775 / fs / 2)
    d = 1 + math.sqrt(2) * wa + wa * wa
    a0 = wa * wa / d
    return [a0, 2 * a0, a0], [1, 2 * (wa * wa - 1) / d, -(-1 + math.sqrt(2) * wa - wa * wa) / d]


def padding(cfc, fs):
    tau = math.sqrt(2) / (2 * math.pi * cfc * 2.0775)
    return math.ceil(max(0.010, 40 * tau) * fs)


def signals(pad):
    """Shapes and lengths, some of them at the edge of what the padding takes."""
    rng = np.random.default_rng(20261125)
    i = np.arange
    yield "noise", 300 + 40 * rng.standard_normal(120)
    yield "half-sine", np.where((i(150) > 50) & (i(150) < 110), 3500 * np.sin(np.pi * (i(150) - 50) / 60), 0)
    yield "step", np.where(i(90) < 50, -120.5, 4000)
    yield "ramp with offset", 7250 - 13.25 * i(80)
    if pad < 200:
        for n in (pad, pad + 1, pad + 2):
            yield f"noise of {n}, padding {pad}", 1000 * rng.standard_normal(n)
        yield "long noise", 300 + 40 * rng.standard_normal(5 * pad + 1)
    else:
        n = pad + 700
        yield "long pulse with noise", 4000 * np.exp(-(((i(n) - 0.6 * n) / (0.1 * n)) ** 2)) + rng.standard_normal(n)
    yield "two samples", np.array([12.5, -3.0])
    yield "one sample", np.array([-7.125])


def by_hand(b, a, x, pad):
    """The same passes in extended precision: what SciPy's rounding is held against."""
    b, a = [np.longdouble(v) for v in b], [np.longdouble(v) for v in a]
    x = x.astype(np.longdouble)
    n = len(x)
    x = np.concatenate([2 * x[0] - x[pad:0:-1], x, 2 * x[-1] - x[-2 : -pad - 2 : -1]])
    for _ in range(2):
        y = np.empty_like(x)
        x1 = x2 = y1 = y2 = x[0]
        for k, x0 in enumerate(x):
            y[k] = b[0] * x0 + b[1] * x1 + b[2] * x2 - a[1] * y1 - a[2] * y2
            x1, x2, y1, y2 = x0, x1, y[k], y1
        x = y[::-1]
    return x[pad : pad + n]


def filters():
    for cfc, rates in RATES.items():
        for fs in rates:
            b, a = coefficients(cfc, fs)
            for name, x in signals(padding(cfc, fs)):
                x = np.round(x, 3)
                pad = min(padding(cfc, fs), len(x) - 1)
                y = signal.filtfilt(b, a, x, padtype="odd", padlen=pad)
                span = max(np.ptp(x), np.abs(x).max())
                stride = 1 + len(x) // 150
                yield {
                    "class": cfc, "rate": fs, "name": name, "padding": pad, "stride": stride,
                    "scipy_off": float(np.abs(y - by_hand(b, a, x, pad)).max() / span),
                    "x": x.tolist(), "y": y[::stride].tolist(),
                }


def smooth(n):
    while True:
        rest = n
        for p in (2, 3, 5):
            while rest % p == 0:
                rest //= p
        if rest == 1:
            return n
        n += 1


def spectra():
    rng = np.random.default_rng(7)
    for n, segment, fs in [(128, 128, 1000), (131, 131, 2000.5), (127, 127, 50), (300, 64, 10000), (260, 77, 1234.5)]:
        t = np.arange(n) / fs
        x = np.round(500 + 20 * rng.standard_normal(n) + 90 * np.sin(2 * np.pi * 0.13 * fs * t), 3)
        size = smooth(segment)
        how = dict(window="hann", detrend="constant", nfft=size, nperseg=segment, noverlap=segment // 2)
        f, density = signal.welch(x, fs, scaling="density", **how)
        _, power = signal.welch(x, fs, scaling="spectrum", **how)
        if segment == n:
            _, once = signal.periodogram(x, fs, window="hann", detrend="constant", nfft=size)
            assert np.allclose(once, density, rtol=1e-12)
        # "spectrum" is the mean square of the sine; at 0 and fs/2 its square.
        sides = np.full(len(f), 2.0)
        sides[0] = 1
        if size % 2 == 0:
            sides[-1] = 1
        yield {
            "rate": fs, "segment": segment, "step": f[1], "x": x.tolist(),
            "density": density.tolist(), "amplitude": np.sqrt(sides * power).tolist(),
        }


def derivatives():
    rng = np.random.default_rng(9)
    x = np.round(np.cumsum(10 * rng.standard_normal(60)), 3)
    for half, order in [(1, 1), (2, 2), (3, 2), (5, 3), (7, 4), (4, 5), (29, 3), (3, 6)]:
        y = signal.savgol_filter(x, 2 * half + 1, order, deriv=1, delta=1 / 2000.5, mode="interp")
        yield {"rate": 2000.5, "half": half, "order": order, "x": x.tolist(), "y": y.tolist()}


def lines():
    rng = np.random.default_rng(11)
    for n, fs, f, amplitude in [(120, 1000, 50, 3.0), (97, 2000.5, 60, 0.4), (200, 400, 150, 12.0), (64, 640, 10.3, 5.0)]:
        i = np.arange(n)
        x = np.round(812 - 0.05 * i + amplitude * np.sin(2 * np.pi * f * i / fs + 1) + rng.standard_normal(n), 3)
        design = np.column_stack([np.ones(n), i, np.cos(2 * np.pi * f * i / fs), np.sin(2 * np.pi * f * i / fs)])
        beta, rss, _, _ = np.linalg.lstsq(design, x, rcond=None)
        noise = math.sqrt(rss[0] / (n - 4))
        cov = np.linalg.inv(design.T @ design)[2:, 2:] * noise**2
        size = math.hypot(beta[2], beta[3])
        g = beta[2:] / size
        yield {
            "rate": fs, "frequency": f, "x": x.tolist(), "amplitude": size,
            "standard": math.sqrt(g @ cov @ g), "noise": noise,
        }


def tops():
    rng = np.random.default_rng(13)
    for half, at in [(1, 20), (4, 22), (9, 18), (15, 20)]:
        i = np.arange(41)
        x = np.round(4000 - 1.7 * (i - 20.3) ** 2 + 0.5 * rng.standard_normal(41), 3)
        t = np.arange(-half, half + 1)
        design = np.column_stack([np.ones(len(t)), t, t**2])
        (a, b, c), *_ = np.linalg.lstsq(design, x[at - half : at + half + 1], rcond=None)
        place = -b / (2 * c)
        row = np.array([1, place, place**2])
        factor = row @ np.linalg.inv(design.T @ design) @ row
        yield {
            "half": half, "at": at, "x": x.tolist(), "place": at + place,
            "value": a + b * place + c * place**2, "factor": factor,
        }


made = {
    "made_with": f"python {platform.python_version()}, numpy {np.__version__}, scipy {scipy.__version__}",
    "filters": list(filters()), "spectra": list(spectra()), "derivatives": list(derivatives()),
    "lines": list(lines()), "tops": list(tops()),
}
blocks = []
for key, value in made.items():
    rows = value if isinstance(value, list) else None
    text = json.dumps(value) if rows is None else "[\n" + ",\n".join(json.dumps(r, separators=(",", ":")) for r in rows) + "\n]"
    blocks.append(json.dumps(key) + ": " + text)
sys.stdout.write("{\n" + ",\n".join(blocks) + "\n}\n")
