"""A mass on a guide dropped on a rope, by SciPy: shares nothing with package
fall but the equations in docs/METHODS.md."""
import math

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

G = 9.80665


class Law:
    """T(strain, rate, s), ds/dt, strain rate of the slack rope; strain = stretch/length."""

    def __init__(self, name, **p):
        self.name, self.p = name, p
        self.n = {"linear": 0, "kelvin-voigt": 0, "zener": 1, "stiffening": 1, "sliding": 2, "knotted": 3}[name]

    def spring(self, e):
        p = self.p
        return p["equilibrium"] * e * (1 + p.get("growth", 0) * e * e)

    def tension(self, e, r, s):
        p = self.p
        if self.name == "linear":
            return p["modulus"] * e
        if self.name == "kelvin-voigt":
            return p["modulus"] * e + p["viscosity"] * r
        if self.name == "knotted":
            return self.spring(e - s[0]) + s[1] + s[2]
        return self.spring(e) + sum(s)

    def slip(self, e, s):
        p = self.p
        pull = max(0.0, self.tension(e, 0, s))
        return max(0.0, p["slip"] * (1 - math.exp(-pull / p["force"])) - s[0]) / p["delay"]

    def rates(self, e, r, s):
        p = self.p
        if self.n == 0:
            return []
        out = []
        if self.name == "knotted":
            k = self.slip(e, s)
            out, e, r, s = [k], e - s[0], r - k, s[1:]
        out.append(p["branch"] * r - s[0] / p["relaxation"])
        if len(s) == 2:
            limit = p["ease"] + p["friction"] * abs(self.spring(e))
            out.append(p["contact"] * (r - abs(r) * s[1] / limit))
        return out

    def recoil(self, e, s):
        p = self.p
        if self.name == "linear":
            return 0.0
        if self.name == "kelvin-voigt":
            return -p["modulus"] * e / p["viscosity"]
        if self.name == "knotted":
            e, s = e - s[0], s[1:]
        drive = s[0] / p["relaxation"]
        give = p["equilibrium"] * (1 + 3 * p.get("growth", 0) * e * e) + p["branch"]
        if len(s) == 2:
            limit = p["ease"] + p["friction"] * abs(self.spring(e))
            sign = math.copysign(1, drive)
            give += p["contact"] * (1 - sign * s[1] / limit)
        return drive / give


def simulate(law, mass, drop, length, friction, until, method, rtol, contacts=None, to_rest=False):
    """Contacts [start, end, peak, peak at], and the values of the first."""
    X, V, S, W, OWN = 0, 1, 2, 3, 4
    weight = mass * G
    speed = math.sqrt(2 * (G - friction / mass) * drop)
    t = math.sqrt(2 * drop / (G - friction / mass))
    y = np.zeros(OWN + law.n)
    y[V] = speed
    atol = rtol * np.array([drop, speed, drop, weight * drop] + [weight] * law.n)
    out = {"impact_speed": speed, "contacts": []}
    taut, way, top = True, 1, (-math.inf, 0)
    start = t

    def tension(y):
        return law.tension(y[S] / length, y[V] / length, y[OWN:])

    def close(end):
        out["contacts"].append([start, end, top[0], top[1]])

    while t < until:
        def f(_, y):
            d = np.empty_like(y)
            force = tension(y) if taut else 0.0
            grow = y[V] if taut else length * law.recoil(y[S] / length, y[OWN:])
            d[X], d[V] = y[V], 0.0 if way == 0 else G - (way * friction + force) / mass
            d[S], d[W] = grow, force * y[V]
            d[OWN:] = law.rates(y[S] / length, grow / length, y[OWN:])
            return d

        def contact(_, y):
            return tension(y) if taut else y[S] - y[X]

        def onward(_, y):
            return friction - abs(weight - tension(y)) if way == 0 else way * y[V]

        contact.terminal = onward.terminal = True
        contact.direction = onward.direction = -1
        # Events that begin at zero are left alone until they have moved.
        kick = solve_ivp(f, (t, t + 1e-6), y, method=method, rtol=rtol, atol=atol)
        if taut and top[0] == -math.inf:
            top = (tension(y), t)
        t, y = kick.t[-1], kick.y[:, -1]
        run = solve_ivp(f, (t, until), y, method=method, rtol=rtol, atol=atol, events=(contact, onward),
                        dense_output=True, max_step=0.05 if rtol < 1e-9 else 0.15)
        if taut:
            forces = [tension(c) for c in run.y.T]
            i = int(np.argmax(forces))
            best = (forces[i], run.t[i])
            m = minimize_scalar(lambda u: -tension(run.sol(u)), method="bounded",
                                bounds=(run.t[max(i - 1, 0)], run.t[min(i + 1, len(forces) - 1)]),
                                options={"xatol": 1e-10 if rtol < 1e-9 else 1e-6})
            if -m.fun > best[0]:
                best = (-m.fun, m.x)
            top = max(top, best)
        t, y = run.t[-1], run.y[:, -1].copy()
        if run.status == 0:
            break
        if len(run.t_events[0]):
            if taut:
                if not out["contacts"]:
                    out["energy_absorbed"], out["rebound_speed"] = y[W], -y[V]
                close(t)
                if contacts and len(out["contacts"]) == contacts:
                    return out
                taut = False
            else:
                taut, start, top = True, t, (-math.inf, 0)
                y[S] = y[X]
            continue
        y[V] = 0.0
        if way == 1 and taut and not out["contacts"] and "max_stretch" not in out:
            out["max_stretch"], out["energy_in"] = y[X], y[W]
        net = weight - (tension(y) if taut else 0.0)
        if to_rest and abs(net) <= max(friction, 0.01 * weight):
            out["rest_at"] = t
            break
        way = 0 if way and abs(net) < friction else (1 if net > 0 else -1)
    if taut:
        close(t)
    return out
