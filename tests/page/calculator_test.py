# SPDX-License-Identifier: Apache-2.0
"""Recomputes the arithmetic of `leanside explain`: every line `name = expression = value` is calculated from the
printed numbers, and the fractions are compared with those of `leanside check --format json`.

    python3 tests/page/calculator_test.py PROGRAM SOURCE_FOLDER
"""
import json
import math
import os
import re
import subprocess
import sys
import unittest

PROGRAM, SOURCE = sys.argv[1], sys.argv[2]
LINE = re.compile(r"^ +(\S.*?) = ([-0-9.e+*/() lnxp]+) = (-?[0-9.]+(?:e[-+]?[0-9]+)?)(?: .*)?$")


def leanside(*arguments):
    done = subprocess.run([PROGRAM, *arguments], stdin=subprocess.DEVNULL, capture_output=True, timeout=300)
    if done.returncode not in (0, 1):
        raise RuntimeError("leanside %s: %s" % (arguments, done.stderr.decode()))
    return done.stdout.decode()


def lines_of(text):
    """Yields the name, the printed value and the recomputed value of each line."""
    for line in text.splitlines():
        found = LINE.match(line)
        if found:
            name, expression, value = found.groups()
            again = eval(expression.replace("ln(", "math.log(").replace("exp(", "math.exp("),
                         {"__builtins__": {}, "math": math})
            yield name, float(value), again


class Calculator(unittest.TestCase):
    def check(self, site, space, case, answer):
        text = leanside("explain", "--quiet", "--ascii", site, space, "--case", case)
        lines = list(lines_of(text))
        for name, printed, again in lines:
            # The absolute part is for differences of nearly equal numbers, which lose digits.
            self.assertAlmostEqual(printed, again, delta=2e-4 * abs(again) + 1e-12, msg="%s %s: %s" % (site, space, name))
        result = next(s for c in answer["cases"] if c["id"] == case for s in c["spaces"] if s["id"] == space)
        if not result["steady"]["reached"]:
            self.assertIn("There is no steady state", text)
            return len(lines)
        self.assertNotIn("The engine has", text)
        if "layers" in result:
            # Each layer is explained; what is told of the room is its richest place.
            for gas, fraction in result["steady"]["fraction"].items():
                of_gas = [again for name, _, again in lines if name == "x of " + gas]
                self.assertGreater(len(of_gas), 1, msg=space)
                nearest = min(of_gas, key=lambda x: abs(x - fraction))
                self.assertAlmostEqual(nearest, fraction, delta=2e-4 * fraction + 1e-9, msg=space)
            return len(lines)
        computed = {name: again for name, _, again in lines}
        for gas, fraction in result["steady"]["fraction"].items():
            if fraction > 1e-9:
                self.assertAlmostEqual(computed["x of " + gas], fraction, delta=2e-4 * fraction, msg=space)
        if result["steady"]["lfl_fraction"] > 1e-6:
            level = result["steady"]["lfl_fraction"]
            self.assertAlmostEqual(computed["share of the limit"], level, delta=2e-4 * level, msg=space)
        return len(lines)

    def test_examples_match_recomputation(self):
        count = 0
        for name in sorted(os.listdir(os.path.join(SOURCE, "examples"))):
            if not name.endswith(".toml"):
                continue
            site = os.path.join(SOURCE, "examples", name)
            answer = json.loads(leanside("check", "--quiet", site, "--format", "json"))["answer"]
            cases = [answer["cases"][0], answer["cases"][-1]] if len(answer["cases"]) > 1 else answer["cases"]
            for case in cases:
                for space in case["spaces"][:6]:
                    with self.subTest(site=name, case=case["id"], space=space["id"]):
                        count += self.check(site, space["id"], case["id"], answer)
        self.assertGreater(count, 300)

    def test_one_room_matches_closed_form(self):
        """x = G / (Q + G) and t = -N / (F + G) ln(1 - x/X): a room, clean air, one leak."""
        text = leanside("explain", "--quiet", "--ascii", os.path.join(SOURCE, "tests/page/one-room.toml"), "room")
        computed = {name: again for name, _, again in lines_of(text)}
        x = 2.4 / 52.4  # 40 L/min into 50 m3/h
        self.assertAlmostEqual(computed["x of methane"], x, delta=1e-5 * x)
        level = x / 0.044  # IEC 60079-20-1:2010
        time = -50 / 52.4 * 3600 * math.log(1 - 0.25 / level)
        self.assertAlmostEqual(computed["reaches 25 % of the limit after"], time, delta=1e-4 * time)
        engine = float(re.search(r"reaches 25 %.*\n +the engine: ([0-9.]+) s", text).group(1))
        self.assertAlmostEqual(engine, time, delta=1e-4 * time)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
