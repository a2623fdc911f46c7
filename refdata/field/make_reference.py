"""Catches integrated by SciPy, as reference values for the package field.

One runner, one belayer who may be lifted, a device that may slip, a Zener or a
linear rope, a plumb or leaning wall, in the plane or out of it. Nothing here is
shared with the package but the equations:

  climber   m r'' = m g - T0 r/|r|
  belayer   mb b'' = T1 - mb g        along the rope, once T1 beats the weight
  runner    M u' = T0 K^(-+1/2) - T1 K^(+-1/2), sticks inside 1/K < T0/T1 < K
  device    Md w' = T1 - Fs           while rope runs
  rope      T = E1 eps + q, q' = E2 eps' - q/tau, eps = path/length - 1

Run it with /usr/bin/python3 make_reference.py > reference.json
"""

import json
import math

import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

G = 9.80665


def catch(c):
    n = np.array([math.cos(c["overhang"]), 0, -math.sin(c["overhang"])])
    r0 = np.array([c["above"] * math.tan(c["overhang"]) + c["out"], c["aside"], c["above"]])
    way0, below, k = float(np.linalg.norm(r0)), c["below"], math.exp(c["mu"] * c["theta"])
    length0 = way0 + c["slack"]
    flow_mass, device_mass = c["linear"] * (length0 + below) / 2, c["linear"] * below / 2
    e1, e2, tau = c["e1"], c["e2"], c["tau"]
    merged = k == 1
    if merged:
        device_mass = c["linear"] * (length0 + below) / 2
    # state: r v b b' L0 q0 s0 L1 q1 s1 u w ; s the strain of a slack rope
    y = np.array([*r0, c["push"], 0, 0, 0, 0, length0 + (below if merged else 0), 0, 0, below, 0, 0, 0, 0], float)
    mode = dict(taut0=False, taut1=False, way=0, lifts=False, device=0, wall=False)

    def strains(y):
        r, v = y[:3], y[3:6]
        path = np.linalg.norm(r)
        growth = r @ v / path if path > 0 else 0.0
        if merged:
            l0, d0 = path + below - y[6], growth - y[7]
            i0 = y[15]
            l1 = d1 = i1 = 0.0
        else:
            l0, d0, i0 = path, growth, y[14]
            l1, d1, i1 = below - y[6], -y[7], y[15] - y[14]
        return (l0, d0, i0), (l1, d1, i1)

    def rope(part, length, q, slack, taut):
        path, growth, inflow = part
        if taut:
            eps = path / length - 1
            rate = (growth - (1 + eps) * inflow) / length
            return e1 * eps + q, rate
        return 0.0, (q / tau / (e1 + e2) if e2 else 0.0)

    def forces(y):
        a, b = strains(y)
        t0, d0 = rope(a, y[8], y[9], y[10], mode["taut0"])
        if merged:
            return t0, d0, t0, d0, a, b
        t1, d1 = rope(b, y[11], y[12], y[13], mode["taut1"])
        return t0, d0, t1, d1, a, b

    def pull(y):
        a = np.array([0, 0, -G])
        if mode["taut0"]:
            a = a - forces(y)[0] / c["mass"] * y[:3] / np.linalg.norm(y[:3])
        return a

    def f(_, y):
        t0, d0, t1, d1, pa, pb = forces(y)
        d = np.zeros(16)
        a = pull(y)
        if mode["wall"]:
            a = a - (a @ n) * n
        d[:3], d[3:6] = y[3:6], a
        d[6] = y[7]
        if mode["lifts"]:
            d[7] = (t1 - c["belayer"] * G) / c["belayer"]
        d[8], d[11] = pa[2], pb[2]
        relax = tau if e2 else math.inf
        d[9], d[10] = e2 * d0 - y[9] / relax, d0
        if not merged:
            d[12], d[13] = e2 * d1 - y[12] / relax, d1
        if mode["way"]:
            root = math.sqrt(k) ** mode["way"]
            d[14] = (t0 / root - t1 * root) / flow_mass
        if mode["device"]:
            d[15] = (t1 - c["slip"]) / device_mass
        return d

    def gap0(y):
        (l0, _, _), _ = strains(y)
        return y[8] * (1 + y[10]) - l0

    def gap1(y):
        _, (l1, _, _) = strains(y)
        return y[11] * (1 + y[13]) - l1

    def conditions():
        """what ends a mode when it is no longer above zero"""
        yield "taut0", (lambda y: forces(y)[0] + 1e-6) if mode["taut0"] else (lambda y: gap0(y) + 1e-12)
        if not merged:
            yield "taut1", (lambda y: forces(y)[2] + 1e-6) if mode["taut1"] else (lambda y: gap1(y) + 1e-12)
            if mode["way"]:
                yield "way", lambda y: mode["way"] * y[14] + 1e-13
            else:
                yield "way", lambda y: min(k * forces(y)[2] - forces(y)[0], k * forces(y)[0] - forces(y)[2]) + 1e-6
        if c["belayer"]:
            if mode["lifts"]:
                yield "lifts", lambda y: y[6] + 1e-12
                if not out.get("drawn"):
                    yield "highest", lambda y: y[7]
            else:
                yield "lifts", lambda y: c["belayer"] * G - forces(y)[2] + 1e-6
        if c["slip"]:
            if mode["device"]:
                yield "device", lambda y: y[15] + 1e-13
            else:
                yield "device", lambda y: c["slip"] - forces(y)[2] + 1e-6
        if c["wall"] and not mode["wall"]:
            yield "wall", lambda y: n @ y[:3] - wall_at
        elif mode["wall"]:
            yield "leaves", lambda y: 1e-12 - pull(y) @ n
        if mode["taut0"] and not out.get("low"):
            yield "low", lambda y: -y[5]
        elif out.get("low") and not out.get("apex"):
            yield "apex", lambda y: y[5] if y[5] > 1e-9 or y[2] > -out["low"] + 1e-6 else 1.0

    # modes that begin between these times take short steps: rope that stops over
    # the runner for 0.1 ms is jumped over by longer ones
    c = dict(c)
    grazes = c.pop("grazes", (0, 0))
    out, t, best0, best1, rise, wall_at = {}, 0.0, 0.0, 0.0, 0.0, -1e-9

    def top(sol, which, lo, hi):
        value = lambda s: -forces(sol(s))[which]
        s = np.linspace(lo, hi, 401)
        v = [value(x) for x in s]
        i = int(np.argmin(v))
        a, b = s[max(i - 1, 0)], s[min(i + 1, 400)]
        if a == b:
            return 0.0
        return -min(v[i], minimize_scalar(value, bounds=(a, b), method="bounded", options={"xatol": 1e-12}).fun)

    while t < 12:
        names, funcs = [], []
        for name, g in conditions():
            h = lambda _, y, g=g: g(y)
            h.terminal, h.direction = True, -1
            names.append(name)
            funcs.append(h)
        tol = np.array([1e-13] * 16)
        tol[9] = tol[12] = 1e-9
        s = solve_ivp(f, (t, 12), y, method="DOP853", rtol=1e-12, atol=tol, events=funcs, dense_output=True,
                      max_step=5e-5 if grazes[0] < t < grazes[1] else 0.01)
        if mode["taut0"]:
            best0 = max(best0, top(s.sol, 0, t, s.t[-1]))
        if mode["taut0"] or mode["taut1"]:
            best1 = max(best1, top(s.sol, 2, t, s.t[-1]))
        if mode["lifts"]:
            found = minimize_scalar(lambda x: -s.sol(x)[6], bounds=(t, s.t[-1]), method="bounded", options={"xatol": 1e-12})
            rise = max(rise, float(-found.fun), float(s.y[6, -1]))
        t, y = s.t[-1], s.y[:, -1].copy()
        fired = [names[i] for i in range(len(names)) if len(s.t_events[i])]
        if not fired:
            break
        for name in fired:
            if name == "taut0":
                (l0, _, _), _ = strains(y)
                y[10] = l0 / y[8] - 1
                mode["taut0"] = not mode["taut0"]
                out.setdefault("catch", t)
            elif name == "taut1":
                _, (l1, _, _) = strains(y)
                y[13] = l1 / y[11] - 1
                mode["taut1"] = not mode["taut1"]
            elif name == "way":
                t0, _, t1, *_ = forces(y)
                y[14] = 0
                sticks = mode["way"] and min(k * t1 - t0, k * t0 - t1) + 1e-6 > 0
                mode["way"] = 0 if sticks else (1 if t0 > t1 else -1)
            elif name == "lifts":
                mode["lifts"] = not mode["lifts"]
                y[7] = 0
            elif name == "device":
                mode["device"] = 1 - mode["device"]
                y[15] = 0
            elif name == "wall":
                v = y[3:6]
                normal = float(-(v @ n))
                if normal > out.get("wall_normal", -1):
                    out.update(wall_normal=normal, wall_speed=float(np.linalg.norm(v)), wall_at=t)
                y[3:6] = v - (v @ n) * n
                mode["wall"] = bool(pull(y) @ n < 0)
                if not mode["wall"]:
                    wall_at = min(0, float(n @ y[:3])) - 1e-9
                if out.get("low") and not out.get("apex") and y[5] <= 0:
                    out["apex"] = float(y[2] + out["low"])
            elif name == "highest":
                out["drawn"] = True
            elif name == "leaves":
                mode["wall"], wall_at = False, min(0, float(n @ y[:3])) - 1e-9
            elif name == "low":
                out["low"] = float(-y[2])
                out["low_at"] = t
            elif name == "apex":
                out["apex"] = float(y[2] + out["low"])
        if out.get("apex") and y[7] <= 0 and (not c["wall"] or out.get("wall_at", 0) > out["catch"]):
            break
    ends = y[8] + (0 if merged else y[11]) - (length0 + below)
    return dict(c, peak=best0, belay=best1, lift=rise, slipped=float(ends), **out)


BASE = dict(mass=80, above=3, out=0.0, aside=0, push=0, overhang=0.0, wall=False, below=12, theta=math.pi, mu=0,
            slack=0.5, belayer=0, slip=0, e1=24000, e2=0, tau=1, linear=0.06)
CASES = {
    "belayer lifted": dict(belayer=90),
    "belayer lifted, damped": dict(belayer=120, above=2, e1=9000, e2=16000, tau=0.2),
    "runner rubs": dict(mu=0.2, linear=0.3),
    "runner rubs, damped, belayer lifted": dict(mu=0.25, theta=2.6, belayer=75, e1=9000, e2=16000, tau=0.15),
    "device slips": dict(slip=2200, e1=10000, e2=15000, tau=0.2),
    "device slips behind a runner": dict(slip=1500, mu=0.2, e1=10000, e2=15000, tau=0.2),
    "swing into a plumb wall": dict(out=1.2, push=0.8, wall=True, belayer=70, mu=0.15, e1=9000, e2=16000, tau=0.2, grazes=(1.405, 1.5)),
    "swing into a leaning wall": dict(above=2, out=0.3, overhang=0.35, wall=True, e1=9000, e2=16000, tau=0.2),
    "swing aside": dict(above=1, out=0.6, aside=3, wall=True, mu=0.2, e1=9000, e2=16000, tau=0.2, slack=0.1),
}

if __name__ == "__main__":
    print(json.dumps({
        "made_by": f"scipy {scipy.__version__}, numpy {np.__version__}, solve_ivp DOP853, rtol 1e-12",
        "cases": [dict(name=name, **catch({**BASE, **c})) for name, c in CASES.items()],
    }, indent=1))
