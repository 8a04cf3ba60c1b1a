#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Measures every goal of speed and memory in one run and prints the table of docs/performance.md: date, machine, load,
goal, what was measured, met or not. SciPy and toml++ alone run beside the rows that they compare with.

    goals.py BUILD [--rows REGEX] [--large] [--runs 3] [--update docs/performance.md]

BUILD is a release build folder with leanside; with the programs of this folder (LEANSIDE_BENCH) the rows on reading are
measured too. --large adds the site of 105,000 spaces. Other load on the machine shows in the wall times: judge a row by
its CPU time then.
"""

import argparse
import json
import os
import platform
import re
import statistics
import subprocess
import sys
import tempfile
import time

HERE = os.path.dirname(os.path.abspath(__file__))
BEGIN, END = "<!-- goals: begin -->", "<!-- goals: end -->"


def run(command, output=os.devnull, accepted=(0, 1)):
    """Wall and CPU seconds and peak MB of one process; None where it ended otherwise than accepted."""
    with open(output, "wb") as out:
        start = time.perf_counter()
        process = subprocess.Popen(command, stdout=out, stderr=subprocess.DEVNULL)
        _, status, usage = os.wait4(process.pid, 0)
        wall = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in accepted:
        return None
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def middle(command, runs, **more):
    """The median of some runs, by each figure."""
    taken = [run(command, **more) for _ in range(runs)]
    if not taken or None in taken:
        return None
    return tuple(statistics.median(values) for values in zip(*taken))


def processor():
    with open("/proc/cpuinfo") as info:
        names = re.findall(r"model name\s*:\s*(.*)", info.read())
    return f"{len(names)} x {names[0]}" if names else platform.machine()


def read_seconds(build, site, runs):
    """Seconds of reading alone, as the program leanside_steady tells them, and toml++ alone beside it."""
    steady, alone = (os.path.join(build, "tests/bench", name) for name in ("leanside_steady", "leanside_parse_floor"))
    if not (os.path.exists(steady) and os.path.exists(alone)):
        return None, "the build has no LEANSIDE_BENCH"
    seconds, memory = [], 0
    for _ in range(runs):
        taken = run([steady, site], site + ".json")
        if taken is None:
            return None, ""
        with open(site + ".json") as file:
            seconds.append(json.load(file)["read_s"])
        memory = taken[2]
    read = statistics.median(seconds)
    parsed = middle([alone, site], runs)
    return (read, read, memory), f"toml++ alone: {parsed[1]:.2f} s of CPU" if parsed else ""


def refused(folder):
    """A file of 50 MB with a fault at its end."""
    path = os.path.join(folder, "refused.toml")
    one = '[[space]]\nid = "room-{}"\nkind = "room"\nvolume = "40 m3"\nair_changes = "1 /h"\n'
    with open(path, "w") as out:
        k = 0
        while out.tell() < 50e6:
            out.write("".join(one.format(k + i) for i in range(1000)))
            k += 1000
        out.write('[[space]]\nid = "last"\nkind = "room"\nvolume = "forty"\n')
    return path


def rows(build, folder, runs):
    """Work, goal, which figure it is about (0 wall, 1 CPU, 2 memory), its unit, and what measures it."""
    program = os.path.join(build, "leanside")

    def site(*what):
        path = os.path.join(folder, "-".join(what) + ".toml")
        if not os.path.exists(path):
            with open(path, "w") as out:
                subprocess.run([sys.executable, os.path.join(HERE, "sites.py"), *what], stdout=out, check=True)
        return path

    def command(name, path, *more):
        return [program, name, path, "--format", "json", *more]

    def whole_floor():
        scipy = middle(["/usr/bin/python3", os.path.join(HERE, "baseline_scipy.py"), site("floor")], runs, accepted=(0,))
        beside = f"SciPy, fractions only: {scipy[1]:.2g} s of CPU" if scipy else "SciPy (python3-scipy) did not run"
        return middle(command("check", site("floor")), runs), beside

    return [
        ("10,500 spaces with fans, 8 h, causes and advice", 0.45, 0, "s", whole_floor),
        ("reading the same file", 0.2, 0, "s", lambda: read_seconds(build, site("floor"), runs)),
        ("the same at 105,000 spaces (--large)", 6, 0, "s", lambda: (run(command("check", site("floor", "105000"))), "")),
        ("1,000 rooms with gaps and doorways, 8 h", 1, 0, "s", lambda: (run(command("check", site("gaps"))), "")),
        ("spread: 24 ranges, 2,000 draws, 31 spaces with solved pressures", 8, 1, "s of CPU",
         lambda: (run(command("spread", site("wing"), "--draws", "2000")), "")),
        ("failures --pairs, course in time, the same site", 2, 0, "s",
         lambda: (run(command("failures", site("wing"), "--pairs")), "")),
        ("five rooms with doorways, wind, 20 cylinders, 8 h, both room models", 2, 0, "s",
         lambda: (run(command("check", site("store"))), "")),
        ("`release` of that site, which solves nothing", 0.1, 0, "s",
         lambda: (middle(command("release", site("store")), runs), "")),
        ("a file of 50 MB that is refused: memory", 400, 2, "MB",
         lambda: (run([program, "check", refused(folder)], accepted=(2,)), "")),
        ("ten spaces, whole process", 0.008, 0, "s", lambda: (middle(command("check", site("floor", "10")), 5 * runs), "")),
    ]


def line(work, goal, figure, unit, measured, beside):
    if measured is None:
        return f"| {work} | {goal} {unit} | not measured | | | no | {beside} |"
    wall, cpu, memory = measured
    met = "yes" if measured[figure] <= goal else "no"
    return f"| {work} | {goal} {unit} | {wall:.3g} s | {cpu:.3g} s | {memory:.0f} MB | {met} | {beside} |"


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("build")
    parser.add_argument("--rows", default="", help="only the rows whose work this expression finds")
    parser.add_argument("--large", action="store_true")
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--update")
    arguments = parser.parse_args()
    load, began = os.getloadavg()[0], time.strftime("%Y-%m-%d", time.gmtime())
    table = []
    with tempfile.TemporaryDirectory() as folder:
        for work, goal, figure, unit, measure in rows(arguments.build, folder, arguments.runs):
            if not re.search(arguments.rows, work) or ("--large" in work and not arguments.large):
                continue
            table.append(line(work, goal, figure, unit, *measure()))
            print(table[-1], file=sys.stderr, flush=True)
    lines = [BEGIN, "", f"Measured on {began} by tests/bench/goals.py on {processor()}. Load before the run",
             f"{load:.1f}, after it {os.getloadavg()[0]:.1f}; with both cores idle it is about 0 and 1. Other load makes wall",
             "times longer, and CPU times somewhat.", "",
             "| work | goal | wall | CPU | peak | met | beside it |", "|---|---|---|---|---|---|---|", *table, "", END]
    print("\n".join(lines))
    if arguments.update:
        with open(arguments.update) as file:
            text = file.read()
        before, rest = text.split(BEGIN)
        with open(arguments.update, "w") as file:
            file.write(before + "\n".join(lines) + rest.split(END)[1])


main()
