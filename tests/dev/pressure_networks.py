#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Compares flows of `leanside check` in random networks of gaps, doorways and fans with SciPy's solution of the
balance. The equations of docs/methods.md are written again here. For developers; `tests/run` does not need it. Exits
with 1 if the flows differ.

Below 1e-4 Pa leanside smooths the flow laws of openings; this script does not. Networks in which an opening has less
than 1e-2 Pa across it at some height are therefore compared to a thousandth only.

    pressure_networks.py PROGRAM [--networks 50] [--seed 1]

Needs python3-scipy.
"""

import argparse
import json
import os
import random
import subprocess
import sys
import tempfile

import numpy
from scipy.integrate import quad
from scipy.optimize import root

GRAVITY, GAS_CONSTANT, AIR, PRESSURE = 9.80665, 8.314462618, 0.0289655, 101325.0
REFERENCE = 4.0  # Pa


def draw(rng):
    """A network: rooms with floor and temperature, airways with their sides (-1: outside)."""
    count = rng.randint(2, 8)
    rooms = [{"floor": rng.choice([0.0, 0.0, 3.0, 6.0]), "kelvin": 293.15 + rng.uniform(-8.0, 12.0)} for _ in range(count)]
    airways = []

    def gap(a, b):
        airways.append({"kind": "gap", "sides": (a, b), "area": 10.0 ** rng.uniform(-4.0, -1.5),
                        "exponent": rng.uniform(0.5, 1.0), "height": rng.uniform(0.0, 2.4),
                        "wind": rng.uniform(-0.6, 0.8) if -1 in (a, b) and rng.random() < 0.5 else None})

    for i in range(count):
        gap(i, rng.choice([j for j in range(-1, count) if j != i]))
    gap(0, -1)
    for i in range(1, count):
        gap(i - 1, i)  # every room has a path to outside
    for _ in range(rng.randint(0, 3)):
        a, b = rng.sample(range(-1, count), 2)
        if a == -1:
            a, b = b, a
        airways.append({"kind": "doorway", "sides": (a, b), "width": rng.uniform(0.3, 1.2), "height": rng.uniform(1.0, 2.1),
                        "sill": rng.uniform(0.0, 0.2)})
    for _ in range(rng.randint(0, 2)):
        a, b = rng.sample(range(-1, count), 2)
        airways.append({"kind": "fan", "sides": (a, b), "flow": rng.uniform(0.005, 0.1)})
    return {"rooms": rooms, "airways": airways, "outside": 293.15 + rng.uniform(-25.0, 10.0), "wind": rng.uniform(0.0, 6.0)}


def text_of(network):
    name = lambda side: '"outside"' if side < 0 else f'"room-{side}"'
    out = ['title = "A random network"', "[conditions]", f'outside_temperature = "{network["outside"]:.17g} K"',
           f'wind_speed = "{network["wind"]:.17g} m/s"']
    for i, room in enumerate(network["rooms"]):
        out += ["[[space]]", f'id = "room-{i}"', 'kind = "room"', 'floor_area = "20 m2"', 'height = "2.6 m"',
                f'elevation = "{room["floor"]} m"', f'temperature = "{room["kelvin"]:.17g} K"']
    for k, way in enumerate(network["airways"]):
        a, b = way["sides"]
        out += ["[[airway]]", f'id = "way-{k}"', f'kind = "{way["kind"]}"']
        if way["kind"] == "fan":
            out += [f"from = {name(a)}", f"to = {name(b)}", f'flow = "{way["flow"]:.17g} m3/s"']
            continue
        out.append(f"between = [{name(a)}, {name(b)}]")
        if way["kind"] == "gap":
            out += [f'leakage_area = "{way["area"]:.17g} m2"', f'exponent = {way["exponent"]:.17g}',
                    f'height = "{way["height"]:.17g} m"']
            if way["wind"] is not None:
                out.append(f'wind_coefficient = {way["wind"]:.17g}')
        else:
            out += [f'width = "{way["width"]:.17g} m"', f'height = "{way["height"]:.17g} m"', f'sill = "{way["sill"]:.17g} m"']
    return "\n".join(out) + "\n"


class Model:
    def __init__(self, network):
        self.network = network
        self.outside = self.density(network["outside"])

    @staticmethod
    def density(kelvin):
        return PRESSURE * AIR / (GAS_CONSTANT * kelvin)

    def side(self, side):
        """Temperature, density and floor of a side. The floor of outside is not used."""
        if side < 0:
            return self.network["outside"], self.outside, 0.0
        room = self.network["rooms"][side]
        return room["kelvin"], self.density(room["kelvin"]), room["floor"]

    def over(self, side, pressure, z):
        """Pressure at height z above that of still outside air at the same height."""
        _, density, floor = self.side(side)
        return 0.0 if side < 0 else pressure[side] + (self.outside - density) * GRAVITY * (z - floor)

    def flows(self, way, pressure):
        """Volume flow in each direction, m3/s, at the temperature of its source."""
        a, b = way["sides"]
        if way["kind"] == "fan":
            return way["flow"], 0.0
        _, density_a, floor_a = self.side(a)
        _, density_b, floor_b = self.side(b)
        floor = floor_a if a >= 0 else floor_b
        if way["kind"] == "gap":
            z = floor + way["height"]
            drive = self.over(a, pressure, z) - self.over(b, pressure, z)
            if way["wind"] is not None:
                wind = 0.5 * self.outside * way["wind"] * self.network["wind"] ** 2
                drive += wind if a < 0 else -wind
            density = density_a if drive > 0.0 else density_b
            flow = way["area"] * numpy.sqrt(2.0 * REFERENCE / density) * (abs(drive) / REFERENCE) ** way["exponent"]
            return (flow, 0.0) if drive > 0.0 else (0.0, flow)
        bottom = floor + way["sill"]
        drive = lambda z: self.over(a, pressure, z) - self.over(b, pressure, z)
        low, high = drive(bottom), drive(bottom + way["height"])

        def part(sign, density):
            # The mean of the square root over the height at which this side has the higher pressure, in closed form.
            p, q = sorted((sign * low, sign * high))
            if q <= 0.0:
                return 0.0
            mean = numpy.sqrt(q) if q - p < 1e-12 * q else 2.0 / 3.0 * (q ** 1.5 - max(0.0, p) ** 1.5) / (q - p)
            return 0.6 * way["width"] * way["height"] * numpy.sqrt(2.0 / density) * mean

        return part(1.0, density_a), part(-1.0, density_b)

    def gentlest(self, pressure):
        """The smallest pressure difference across an opening, Pa: 0 if a doorway has a neutral plane."""
        least = numpy.inf
        for way in self.network["airways"]:
            a, b = way["sides"]
            if way["kind"] == "fan":
                continue
            floor = self.side(a if a >= 0 else b)[2]
            heights = [way["height"]] if way["kind"] == "gap" else [way["sill"], way["sill"] + way["height"]]
            drives = [self.over(a, pressure, floor + z) - self.over(b, pressure, floor + z) for z in heights]
            if way.get("wind") is not None:
                wind = 0.5 * self.outside * way["wind"] * self.network["wind"] ** 2
                drives = [d + (wind if a < 0 else -wind) for d in drives]
            least = min(least, 0.0 if min(drives) < 0.0 < max(drives) else min(abs(d) for d in drives))
        return least

    def surplus(self, pressure):
        """Inflow less outflow of each room, mol/s."""
        net = numpy.zeros(len(self.network["rooms"]))
        for way in self.network["airways"]:
            a, b = way["sides"]
            for flow, source, target in zip(self.flows(way, pressure), (a, b), (b, a)):
                moles = flow * PRESSURE / (GAS_CONSTANT * self.side(source)[0])
                if source >= 0:
                    net[source] -= moles
                if target >= 0:
                    net[target] += moles
        return net

    def solve(self, rng):
        best = None
        for attempt in range(60):
            start = numpy.array([rng.gauss(0.0, 0.0 if attempt == 0 else 5.0) for _ in self.network["rooms"]])
            found = root(self.surplus, start, method="hybr" if attempt % 2 == 0 else "lm", tol=1e-14)
            worst = numpy.max(numpy.abs(self.surplus(found.x)))
            if best is None or worst < best[0]:
                best = worst, found.x
            if best[0] < 1e-10:
                break
        return best


def check_doorway_integral():
    """Compares the closed form of the doorway with quadrature."""
    whole, _ = quad(lambda s: numpy.sqrt(max(0.0, -1.0 + 4.0 * s)), 0.0, 1.0, points=[0.25])
    assert abs(whole - 2.0 / 3.0 * 3.0 ** 1.5 / 4.0) < 1e-9


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("program")
    parser.add_argument("--networks", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    check_doorway_integral()
    rng = random.Random(arguments.seed)
    worst, unsolved, compared = {"gentle": (0.0, "none"), "firm": (0.0, "none")}, 0, {"gentle": 0, "firm": 0}
    with tempfile.TemporaryDirectory() as folder:
        for number in range(arguments.networks):
            network = draw(rng)
            path = os.path.join(folder, f"network-{number}.toml")
            with open(path, "w", encoding="utf-8") as file:
                file.write(text_of(network))
            done = subprocess.run([arguments.program, "check", path, "--format", "json"], capture_output=True, check=False)
            if done.returncode not in (0, 1):
                sys.exit(f"network {number}: {done.stderr.decode()}")
            answer = json.loads(done.stdout)["answer"]["cases"][0]["airways"]
            model = Model(network)
            balance, pressure = model.solve(rng)
            if balance > 1e-12:
                unsolved += 1
                continue
            largest = max(max(way["flow_m3_s"], way["return_flow_m3_s"]) for way in answer)
            kind = "gentle" if model.gentlest(pressure) < 1e-2 else "firm"
            compared[kind] += 1
            for ours, way in zip(answer, network["airways"]):
                for mine, theirs in zip((ours["flow_m3_s"], ours["return_flow_m3_s"]), model.flows(way, pressure)):
                    difference = abs(mine - theirs) / largest
                    if difference > worst[kind][0]:
                        worst[kind] = difference, f"network {number}, {ours['id']}: {mine} and {theirs} m3/s"
    for kind, bound in (("firm", 1e-6), ("gentle", 1e-3)):
        print(f"{compared[kind]} networks with {kind} pressures: flows differ by at most {worst[kind][0]:.1e} of the "
              f"largest in their network, {bound:.0e} allowed ({worst[kind][1]})")
    print(f"{unsolved} networks not solved by SciPy")
    agree = worst["firm"][0] <= 1e-6 and worst["gentle"][0] <= 1e-3 and unsolved <= arguments.networks // 5
    return 0 if agree else 1


if __name__ == "__main__":
    sys.exit(main())
