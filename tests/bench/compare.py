#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Times leanside and the same computation in SciPy as whole processes, including reading, and checks that the answers
agree. Prints tables in Markdown. Exits with 1 if the numbers do not agree.

    compare.py BUILD [--rooms 10 10000] [--runs 5] [--steady 10000 20000 50000 100000]

BUILD is a release build folder with leanside and the programs of this folder.
"""

import argparse
import json
import math
import os
import statistics
import subprocess
import sys
import tempfile
import time

HERE = os.path.dirname(os.path.abspath(__file__))
RELATIVE, ABSOLUTE = 1e-5, 1e-9  # of fractions
CROSSING = 1e-6  # of the horizon
SHARE = 1e-4  # of the total; SciPy finds its peak only at one of its steps


def run(command, output, accepted=(0,)):
    """Seconds and peak megabytes of one process that writes its standard output to a file."""
    with open(output, "wb") as out:
        start = time.perf_counter()
        process = subprocess.Popen(command, stdout=out)
        _, status, usage = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in accepted:
        sys.exit(f"{command[0]} ended with {process.returncode}")
    return seconds, usage.ru_maxrss / 1024


def worst_difference(ours, theirs):
    """The largest difference of two fractions over its tolerance, where it is, and the largest relative difference."""
    worst, where, largest_relative = 0.0, "", 0.0
    spaces = {space["id"]: space for space in ours["cases"][0]["spaces"]}
    for kind in ("steady", "end"):
        for name, fractions in theirs[kind].items():
            for gas, value in fractions.items():
                mine = spaces[name][kind]["fraction"][gas]
                difference = abs(mine - value)
                if abs(value) > 1e-6:
                    largest_relative = max(largest_relative, difference / abs(value))
                if difference / (RELATIVE * abs(value) + ABSOLUTE) > worst:
                    worst, where = difference / (RELATIVE * abs(value) + ABSOLUTE), f"{kind} {gas} in {name}"
    for name, value in theirs["peak"].items():
        junction = "peak" not in spaces[name] or spaces[name]["peak"]["lfl_fraction"] < 0.01
        if junction or value == 0.0:
            continue  # SciPy has junctions only at the end, and peaks only at its steps
        mine = spaces[name]["peak"]["lfl_fraction"]
        if abs(mine - value) / (1e-3 * value) > worst:
            worst, where = abs(mine - value) / (1e-3 * value), f"peak in {name}"
    return worst, where, largest_relative


def worst_crossing(ours, theirs, horizon):
    """The largest difference of two threshold times, as a share of the horizon, and how many were compared."""
    spaces = {space["id"]: space for space in ours["cases"][0]["spaces"]}
    names = {0.1: "note", 0.25: "warn", 1.0: "lfl"}
    worst = 0.0
    for name, threshold, at, rising in theirs["crossings"]:
        times = [c["up_s" if rising else "down_s"] for c in spaces[name]["crossings"] if c["threshold"] == names[threshold]]
        times = [t for t in times if t is not None]
        if not times:
            return math.inf, len(theirs["crossings"])
        worst = max(worst, min(abs(t - at) for t in times) / horizon)
    return worst, len(theirs["crossings"])


def worst_share(ours, theirs):
    """The largest difference of two shares of a cause at a peak, and how many peaks were compared."""
    worst, compared = 0.0, 0
    for warning in ours["warnings"]:
        blamed = theirs["causes"].get(warning["space"])
        if blamed is None or warning["worst_is_steady"]:
            continue
        shares = dict(blamed["shares"])
        compared += 1
        for cause in warning["causes"]:
            if cause["release"] in shares:
                worst = max(worst, abs(cause["share"] - shares[cause["release"]]))
    return worst, compared


def compare(build, folder, rooms, runs):
    site = os.path.join(folder, f"building-{rooms}.toml")
    run([os.path.join(build, "tests/bench/leanside_building"), str(rooms)], site)
    out = {name: os.path.join(folder, f"{name}-{rooms}.json") for name in ("leanside", "scipy", "causes", "floor", "fine")}
    commands = {
        "leanside": [os.path.join(build, "leanside"), "check", site, "--format", "json"],
        "scipy": ["/usr/bin/python3", os.path.join(HERE, "baseline_scipy.py"), site],
        "causes": ["/usr/bin/python3", os.path.join(HERE, "baseline_scipy.py"), site, "--causes"],
        "floor": [os.path.join(build, "tests/bench/leanside_parse_floor"), site],
    }
    taken = {name: [] for name in commands}
    for name in commands:  # one run without timing fills the file cache
        run(commands[name], out[name], (0, 1))
    for _ in range(runs):
        for name in commands:
            taken[name].append(run(commands[name], out[name], (0, 1)))
    seconds = {name: statistics.median(t for t, _ in values) for name, values in taken.items()}
    memory = {name: max(m for _, m in values) for name, values in taken.items()}
    run(["/usr/bin/python3", os.path.join(HERE, "baseline_scipy.py"), site, "--fine"], out["fine"])  # for comparison
    with open(out["leanside"]) as a, open(out["fine"]) as b, open(out["causes"]) as c:
        ours, theirs, blamed = json.load(a)["answer"], json.load(b), json.load(c)
    worst, where, relative = worst_difference(ours, theirs)
    share, peaks = worst_share(ours, blamed)
    crossing, crossings = worst_crossing(ours, theirs, 8 * 3600.0)
    print(f"\n{rooms} rooms ({len(ours['cases'][0]['spaces'])} spaces, {os.path.getsize(site) / 1e6:.2f} MB of text), "
          f"8 h, three gases, {len(ours['warnings'])} warnings; median of {runs} runs in turn\n")
    print("| program | seconds | spread | peak MB |\n|---|---|---|---|")
    for name, title in (("leanside", "leanside check"), ("causes", "Python, tomllib, SciPy"),
                        ("scipy", "the same without causes"), ("floor", "reading the TOML alone")):
        times = [t for t, _ in taken[name]]
        print(f"| {title} | {seconds[name]:.3f} | {min(times):.3f} to {max(times):.3f} | {memory[name]:.1f} |")
    print(f"\nRatio {seconds['causes'] / seconds['leanside']:.1f}, without causes in SciPy "
          f"{seconds['scipy'] / seconds['leanside']:.1f}. Shares of causes at {peaks} peaks differ by at most "
          f"{share:.1e}. At rtol 1e-9 fractions differ by at most {relative:.1e} of their value (if above 1e-6), and "
          f"{crossings} threshold times by at most {crossing:.1e} of the horizon.")
    agree = worst <= 1.0 and crossing <= CROSSING and share <= SHARE
    if not agree:
        print(f"THE ANSWERS DO NOT AGREE: {worst:.2f} times the tolerance ({where}); threshold times {crossing:.1e}.")
    return agree


def growth(build, folder, sizes):
    print("\nSteady state only, one process each\n")
    print("| rooms | spaces | reading, s | solving, s | peak MB |\n|---|---|---|---|---|")
    points = []
    for rooms in sizes:
        site = os.path.join(folder, f"steady-{rooms}.toml")
        out = os.path.join(folder, "steady.json")
        run([os.path.join(build, "tests/bench/leanside_building"), str(rooms)], site)
        best = None
        for _ in range(3):
            _, memory = run([os.path.join(build, "tests/bench/leanside_steady"), site], out)
            with open(out) as file:
                result = json.load(file)
            if best is None or result["solve_s"] < best["solve_s"]:
                best = result | {"memory": memory}
        points.append((best["spaces"], best["read_s"], best["solve_s"]))
        print(f"| {rooms} | {best['spaces']} | {best['read_s']:.3f} | {best['solve_s']:.3f} | {best['memory']:.0f} |")
        os.remove(site)
    if len(points) > 1:
        (a, read_a, solve_a), (b, read_b, solve_b) = points[0], points[-1]
        exponent = lambda low, high: math.log(high / low) / math.log(b / a)
        print(f"\nFrom the smallest to the largest: reading grows as n^{exponent(read_a, read_b):.2f}, solving as "
              f"n^{exponent(solve_a, solve_b):.2f}.")


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("build")
    parser.add_argument("--rooms", type=int, nargs="*", default=[10, 10000])
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--steady", type=int, nargs="*", default=[10000, 20000, 50000, 100000])
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        agreed = [compare(arguments.build, folder, rooms, arguments.runs) for rooms in arguments.rooms]
        if arguments.steady:
            growth(arguments.build, folder, arguments.steady)
    sys.exit(0 if all(agreed) else 1)


main()
