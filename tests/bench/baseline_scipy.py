#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""The computation of leanside for large sites, written with tomllib and SciPy, for timing.

    baseline_scipy.py SITE.toml [--steady-only | --causes | --fine] > result.json

Balanced flows use a sparse Laplacian, steady-state fractions a sparse LU, and eight hours SciPy's BDF (rtol 1e-6) with
restarts at the events of the site. The script is written for speed: one integration for all gases, one sparse LU of a
single gas shared by all, junctions kept as algebraic unknowns of that LU (eliminating them would fill the Jacobian),
peaks and threshold times taken from the steps, with the interpolant only where a threshold is crossed. It reads only
what leanside_building writes, and finds fractions, peaks and threshold times. With --causes it also finds which release
contributes which share at the peak of each space that reaches a tenth of its limit, by the same integration backwards
in time with the transposed matrix. It finds no remedies and no flammable range. --fine uses a tolerance a thousand
times smaller (rtol 1e-9), for comparison.
"""

import json
import re
import sys
import time
import tomllib

import numpy as np
import scipy.sparse as sp
import scipy.sparse.csgraph as csgraph
import scipy.sparse.linalg as spl
from scipy.integrate import BDF

R = 8.31446261815324
P = 101325.0
LFL = {"methane": 0.044, "hydrogen": 0.04, "propane": 0.017}
THRESHOLDS = (0.10, 0.25, 1.0)
RTOL = 1e-9 if "--fine" in sys.argv else 1e-6
UNITS = {"m3": 1.0, "L": 1e-3, "m3/h": 1 / 3600, "L/min": 1e-3 / 60, "mL/min": 1e-6 / 60, "/h": 1 / 3600,
         "s": 1.0, "min": 60.0, "h": 3600.0}
NUMBER = re.compile(r"([-+0-9.eE]+)\s*(.*)")


def si(text):
    number, unit = NUMBER.fullmatch(text).groups()
    return float(number) + 273.15 if unit == "degC" else float(number) * UNITS[unit]


class Site:
    def __init__(self, data):
        spaces = data["space"]
        self.ids = [s["id"] for s in spaces]
        self.n = n = len(spaces)
        self.index = index = {name: i for i, name in enumerate(self.ids)}
        index["outside"] = n
        self.temperature = np.array([si(s["temperature"]) if "temperature" in s else 293.15 for s in spaces] + [293.15])
        volume = np.array([si(s["volume"]) if "volume" in s else 0.0 for s in spaces])
        self.junction = np.array([s["kind"] == "junction" for s in spaces])
        self.leaky = np.array([s["kind"] in ("room", "cabinet") for s in spaces])
        self.moles = P * volume / (R * self.temperature[:n])
        changes = np.array([si(s["air_changes"]) if "air_changes" in s else 0.0 for s in spaces])
        self.changes = changes * self.moles
        fans, exchanges, openings = [], [], []
        for a in data["airway"]:
            if a["kind"] == "fan":
                fans.append((index[a["from"]], index[a["to"]], si(a["flow"])))
            elif a["kind"] == "exchange":
                exchanges.append((index[a["between"][0]], index[a["between"][1]], si(a["flow"])))
            else:
                openings.append((index[a["between"][0]], index[a["between"][1]]))
        self.fans, self.exchanges = np.array(fans).reshape(-1, 3), np.array(exchanges).reshape(-1, 3)
        self.openings = np.array(openings, dtype=np.int64).reshape(-1, 2)
        self.gases = []
        self.release_ids = [r["id"] for r in data["release"]]
        self.releases = []  # into, gas, mol/s, begin, end
        for r in data["release"]:
            if r["gas"] not in self.gases:
                self.gases.append(r["gas"])
            begin = si(r.get("start", "0 s"))
            if r["kind"] == "dump":
                over = si(r["over"])
                rate, end = si(r["amount"]) / over, begin + over
            else:
                rate = si(r["rate"]) if r["kind"] == "steady" else r["count"] * si(r["each"])
                end = begin + si(r["duration"]) if "duration" in r else np.inf
            self.releases.append((index[r["into"]], self.gases.index(r["gas"]), rate * P / (R * 293.15), begin, end))
        self.horizon = si(data.get("criteria", {}).get("horizon", "8 h"))

    def sources(self, active):
        g = np.zeros((self.n, len(self.gases)))
        for into, gas, rate, begin, end in self.releases:
            if active(begin, end):
                g[into, gas] += rate
        return g


class System:
    """Flows and matrix of one stretch: N dx/dt = M x + g for spaces that store gas, 0 = M x + g for junctions."""

    def __init__(self, site, g):
        n = site.n
        released = g.sum(axis=1)
        rows, columns, rates = [], [], []

        def stream(source, target, rate):
            rows.append(source), columns.append(target), rates.append(rate)

        f, t = site.fans[:, 0].astype(int), site.fans[:, 1].astype(int)
        fan = P * site.fans[:, 2] / (R * site.temperature[f])
        stream(f, t, fan)
        a, b = site.exchanges[:, 0].astype(int), site.exchanges[:, 1].astype(int)
        both = P * site.exchanges[:, 2] / (R * site.temperature[a])
        stream(a, b, both), stream(b, a, both)
        every, outside = np.arange(n), np.full(n, n)
        stream(every, outside, site.changes), stream(outside, every, site.changes)

        excess = np.zeros(n + 1)
        np.add.at(excess, t, fan)
        np.subtract.at(excess, f, fan)
        excess[:n] += released
        ra, rb = site.openings[:, 0], site.openings[:, 1]
        inside = (ra < n) & (rb < n)
        graph = sp.coo_matrix((np.ones(inside.sum()), (ra[inside], rb[inside])), shape=(n, n))
        parts, label = csgraph.connected_components(graph, directed=False)
        open_part = np.zeros(parts, dtype=bool)
        open_part[label[np.minimum(ra, rb)[~inside]]] = True
        total = np.bincount(label, excess[:n], parts)
        total[open_part] = 0.0
        sign = np.sign(total)[label]
        own = np.where(site.leaky, np.maximum(0.0, excess[:n] * sign), 0.0)
        own_total = np.bincount(label, own, parts)
        leaky_count = np.bincount(label, site.leaky.astype(float), parts)
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(own_total[label] > 0, own / own_total[label], site.leaky / leaky_count[label])
        leak = np.where(total[label] != 0.0, -total[label] * share, 0.0)
        stream(every, outside, np.maximum(0.0, -leak)), stream(outside, every, np.maximum(0.0, leak))

        # Potentials of the opening network; outside, or the first space of a closed part, has potential zero.
        balance = excess[:n] + leak
        diagonal = np.bincount(ra[ra < n], minlength=n) + np.bincount(rb[rb < n], minlength=n)
        pinned = np.zeros(n, dtype=bool)
        first = np.unique(label, return_index=True)[1]
        pinned[first[~open_part]] = True
        laplacian = sp.diags(diagonal + pinned) - graph - graph.T
        potential = np.append(spl.splu(laplacian.tocsc(), permc_spec="MMD_AT_PLUS_A").solve(balance), 0.0)
        carried = potential[ra] - potential[rb]
        stream(np.where(carried > 0, ra, rb), np.where(carried > 0, rb, ra), np.abs(carried))

        source, target = np.concatenate(rows), np.concatenate(columns)
        rate = np.concatenate(rates)
        into_space = target < n
        inflow = np.bincount(target[into_space], rate[into_space], n)
        kept = into_space & (source < n) & (rate > 0)
        matrix = sp.coo_matrix((rate[kept], (target[kept], source[kept])), shape=(n, n)) - sp.diags(inflow + released)
        self.matrix, self.g = matrix.tocsc(), g

    def steady_state(self):
        return spl.splu(self.matrix).solve(-self.g)


class SharedBDF(BDF):
    """BDF with the LU of a single gas and the junctions as algebraic unknowns."""

    def __init__(self, fun, t0, y0, t_bound, augmented, mass, gases, **options):
        stored, n = int(mass.sum()), len(mass)

        def no_jacobian(t, y):
            return sp.csc_matrix((len(y0), len(y0)))

        super().__init__(fun, t0, y0, t_bound, jac=no_jacobian, **options)
        self.jac = None  # constant
        self.I, self.J = sp.diags(mass, format="csc"), augmented

        def solve(lu, b):
            right = np.zeros((n, gases))
            right[:stored] = b.reshape(gases, stored).T
            return lu.solve(right)[:stored].T.ravel()

        def factor(matrix):
            self.nlu += 1
            return spl.splu(matrix)

        self.lu, self.solve_lu = factor, solve


class Stretch:
    """The equations from one event to the next: first the spaces that store gas, then the junctions."""

    def __init__(self, site, begin, end, order, stored):
        n = site.n
        self.begin, self.end, self.stored = begin, end, stored
        system = System(site, site.sources(lambda b, e: b <= begin < e))
        self.matrix = system.matrix[order][:, order].tocsr()
        self.g = system.g[order]
        self.moles = site.moles[order[:stored]]
        self.mass = np.concatenate([np.ones(stored), np.zeros(n - stored)])
        self.jx, self.jj = self.matrix[stored:, :stored].tocsr(), self.matrix[stored:, stored:].tocsc()
        self.inner = spl.splu(self.jj) if n > stored else None

    def scaled(self, matrix):
        return sp.diags(np.concatenate([1 / self.moles, np.ones(len(self.mass) - self.stored)])) @ matrix


def causes(site, stretches, order, questions):
    """For each (row, time): the share of the lower limit that each release contributes there, by release."""
    lower = np.array([LFL[g] for g in site.gases])
    place = np.empty(site.n, dtype=int)
    place[order] = np.arange(site.n)
    into = place[np.array([r[0] for r in site.releases])]
    rate = np.array([r[2] / lower[r[1]] for r in site.releases])
    begins, ends = (np.array([r[k] for r in site.releases]) for k in (3, 4))
    answers = []
    for row, time in questions:
        brought = np.zeros(len(site.releases))
        weight = np.zeros(stretches[0].stored)
        weight[row] = 1.0
        for stretch in reversed([s for s in stretches if s.begin < time]):
            stored, transposed = stretch.stored, stretch.matrix.T.tocsr()
            p = weight / stretch.moles
            augmented = stretch.scaled(transposed).tocsc()
            top = augmented[:stored].tocsr()
            xx, xj = top[:, :stored].tocsr(), top[:, stored:].tocsr()
            back = transposed[stored:, :stored].tocsr()
            inner = spl.splu(transposed[stored:, stored:].tocsc()) if stretch.inner is not None else None

            def slope(t, y):
                value = xx @ y
                if inner is not None:
                    value += xj @ inner.solve(-(back @ y))
                return value

            solver = SharedBDF(slope, 0.0, p, min(stretch.end, time) - stretch.begin, augmented, stretch.mass, 1,
                               rtol=1e-6, atol=1e-11 * p.max())
            while solver.status == "running":
                message = solver.step()
                if message:
                    raise RuntimeError(message)
            # The integral of p over the stretch, from its two ends; it includes the junctions.
            change = np.zeros(site.n)
            change[:stored] = stretch.moles * (solver.y - p)
            integral = spl.splu(transposed.tocsc()).solve(change)
            on = (begins <= stretch.begin) & (stretch.begin < ends)
            brought[on] += rate[on] * integral[into[on]]
            weight = stretch.moles * solver.y
        answers.append(brought)
    return answers


def blame(site, stretches, order, peak, peak_time):
    """The five largest causes at the peak of each space that reaches a tenth of its limit."""
    warned = np.flatnonzero(peak >= 0.10)
    found = causes(site, stretches, order, [(row, peak_time[row]) for row in warned])
    blamed = {}
    for row, brought in zip(warned, found):
        most = np.argsort(-brought)[:5]
        blamed[site.ids[order[row]]] = {"peak": peak[row], "brought": brought.sum(),
                                        "shares": [(site.release_ids[k], brought[k] / brought.sum()) for k in most]}
    return blamed


def crossings_of_step(solver, before, after, stored, lower):
    """Threshold crossings within the last step: row, threshold, time, and whether the fraction rises."""
    for threshold in THRESHOLDS:
        passed = np.flatnonzero((before >= threshold) != (after >= threshold))
        if len(passed):
            interpolant = solver.dense_output()
        for i in passed:
            low, high, rising = solver.t_old, solver.t, after[i] >= threshold
            for _ in range(30):
                middle = 0.5 * (low + high)
                value = interpolant(middle)[i::stored] @ (1 / lower)
                low, high = (low, middle) if (value >= threshold) == rising else (middle, high)
            yield i, threshold, high, bool(rising)


def transient(site, with_causes):
    n, gases = site.n, len(site.gases)
    order = np.concatenate([np.flatnonzero(~site.junction), np.flatnonzero(site.junction)])
    stored = int((~site.junction).sum())
    moles = site.moles[order[:stored]]
    lower = np.array([LFL[g] for g in site.gases])
    breakpoints = {0.0, site.horizon}
    for _, _, _, begin, end in site.releases:
        breakpoints |= {c for c in (begin, end) if 0 < c < site.horizon}
    breakpoints = sorted(breakpoints)
    y = np.zeros(stored * gases)
    lfl_of = lambda state: state.reshape(gases, stored).T @ (1 / lower)
    previous = lfl_of(y)
    peak, peak_time = previous.copy(), np.zeros(stored)
    crossings, steps, stretches = [], 0, []
    for begin, end in zip(breakpoints, breakpoints[1:]):
        stretch = Stretch(site, begin, end, order, stored)
        stretches.append(stretch)
        jx, inner, g, mass = stretch.jx, stretch.inner, stretch.g, stretch.mass
        augmented = stretch.scaled(stretch.matrix).tocsc()
        top = augmented[:stored].tocsr()
        xx, xj = top[:, :stored].tocsr(), top[:, stored:].tocsr()
        drive = g[:stored] / moles[:, None]

        def slope(t, state):
            x = state.reshape(gases, stored).T
            value = xx @ x + drive
            if inner is not None:
                value += xj @ inner.solve(-(jx @ x) - g[stored:])
            return value.T.ravel()

        solver = SharedBDF(slope, begin, y, end, augmented, mass, gases, rtol=RTOL, atol=1e-5 * RTOL)
        while solver.status == "running":
            message = solver.step()
            if message:
                raise RuntimeError(message)
            steps += 1
            now = lfl_of(solver.y)
            higher = now > peak
            peak[higher], peak_time[higher] = now[higher], solver.t
            crossings += [(site.ids[order[i]], threshold, at, rising)
                          for i, threshold, at, rising in crossings_of_step(solver, previous, now, stored, lower)]
            previous = now
        y = solver.y
    x = np.zeros((n, gases))
    x[order[:stored]] = y.reshape(gases, stored).T
    if inner is not None:
        x[order[stored:]] = inner.solve(-(jx @ x[order[:stored]]) - g[stored:])
    peaks = np.zeros(n)
    peaks[order[:stored]] = peak
    blamed = blame(site, stretches, order, peak, peak_time) if with_causes else {}
    return x, peaks, crossings, steps, blamed


def main():
    started = time.perf_counter()
    with open(sys.argv[1], "rb") as file:
        site = Site(tomllib.load(file))
    parsed = time.perf_counter()
    steady = System(site, site.sources(lambda begin, end: end == np.inf)).steady_state()
    solved = time.perf_counter()
    result = {"gases": site.gases, "spaces": {}}
    answers = {"steady": steady}
    if "--steady-only" not in sys.argv:
        answers["end"], peaks, crossings, steps, blamed = transient(site, "--causes" in sys.argv)
        result |= {"crossings": crossings, "steps": steps, "causes": blamed, "peak": dict(zip(site.ids, peaks.tolist()))}
    for what, x in answers.items():
        result[what] = {name: dict(zip(site.gases, row)) for name, row in zip(site.ids, x.tolist())}
    result["seconds"] = {"parse": parsed - started, "steady": solved - parsed, "transient": time.perf_counter() - solved}
    json.dump(result, sys.stdout)


main()
