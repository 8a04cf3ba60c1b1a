#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Compares the answers of two builds of the program: every number of the JSON and the time series of each shipped
site.

    tests/dev/same_numbers.py PROGRAM OTHER [--tolerance 1e-12]

Texts must be equal. Numbers may differ by the tolerance, relative to the larger one, or by 1e-15. For example, compare
a debug build by g++ with a release build by clang++.
"""

import argparse
import csv
import json
import math
import subprocess
import sys
import tempfile
from pathlib import Path

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
NOTHING = 1e-15


def differences(a, b, tolerance, where=""):
    if isinstance(a, dict) and isinstance(b, dict) and a.keys() == b.keys():
        for key in a:
            yield from differences(a[key], b[key], tolerance, f"{where}/{key}")
    elif isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        for place, (x, y) in enumerate(zip(a, b)):
            yield from differences(x, y, tolerance, f"{where}/{place}")
    elif isinstance(a, (int, float)) and isinstance(b, (int, float)) and not isinstance(a, bool):
        if math.isfinite(a) and abs(a - b) > max(tolerance * max(abs(a), abs(b)), NOTHING):
            yield where, a, b
    elif a != b:
        yield where, a, b


def number(text):
    try:
        return float(text)
    except ValueError:
        return text


def answer(program, site, folder):
    series = Path(folder) / "series.csv"
    done = subprocess.run([program, "check", site, "--format", "json", "--series", series, "--quiet"],
                          capture_output=True, text=True, check=False)
    if done.returncode > 1:
        sys.exit(f"{program} on {site}: {done.stderr}")
    rows = [[number(cell) for cell in row] for row in csv.reader(series.open())]
    document = json.loads(done.stdout)
    return {"answer": document.get("answer", document), "course": rows}


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("program")
    parser.add_argument("other")
    parser.add_argument("--tolerance", type=float, default=1e-12)
    options = parser.parse_args()
    failed = False
    with tempfile.TemporaryDirectory() as folder:
        for site in sorted(EXAMPLES.glob("*.toml")):
            one, two = (answer(program, site, folder) for program in (options.program, options.other))
            found = list(differences(one, two, options.tolerance))
            worst = max((abs(a - b) / max(abs(a), abs(b)) for _, a, b in found
                         if isinstance(a, (int, float)) and isinstance(b, (int, float))), default=0.0)
            print(f"{site.stem}: " + ("the same" if not found else f"{len(found)} differ, by {worst:.1e} at most"))
            for where, a, b in found[:5]:
                print(f"    {where}: {a!r} and {b!r}")
            failed = failed or bool(found)
    sys.exit(failed)


main()
