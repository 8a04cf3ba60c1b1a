# SPDX-License-Identifier: Apache-2.0
"""Validates the answers of the program for every example against docs/result.schema.json, and checks that the schema
rejects wrong answers.

    python3 tests/page/schema_test.py PROGRAM SOURCE_FOLDER

Needs the Debian package python3-jsonschema.
"""
import copy
import json
import os
import subprocess
import sys
import tempfile
import unittest

# Debian installs its Python packages here.
sys.path.append("/usr/lib/python3/dist-packages")
import jsonschema  # noqa: E402

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import sites  # noqa: E402

PROGRAM, SOURCE = sys.argv[1], sys.argv[2]


def answer_of(command, site, *options):
    done = subprocess.run([PROGRAM, command, "--quiet", "--format", "json", site, *options], stdin=subprocess.DEVNULL,
                          capture_output=True, timeout=300)
    if done.returncode not in (0, 1):
        raise RuntimeError(done.stderr.decode())
    return json.loads(done.stdout, parse_constant=lambda word: 1 / 0)  # NaN and Infinity are not JSON


def check(site, *options):
    return answer_of("check", site, *options)


class Schema(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        with open(os.path.join(SOURCE, "docs/result.schema.json"), encoding="utf-8") as text:
            schema = json.load(text)
        jsonschema.Draft202012Validator.check_schema(schema)
        cls.validator = jsonschema.Draft202012Validator(schema)
        cls.of_spread = jsonschema.Draft202012Validator({"$ref": "#/$defs/spread", "$defs": schema["$defs"]})

    def faults(self, answer, validator=None):
        return ["%s: %s" % ("/".join(map(str, e.absolute_path)), e.message[:200])
                for e in (validator or self.validator).iter_errors(answer)]

    def test_answers_match_the_schema(self):
        severities = set()
        for name in sorted(os.listdir(os.path.join(SOURCE, "examples"))):
            if name.endswith(".toml"):
                for options in ((), ("--sustained-only",)):
                    answer = check(os.path.join(SOURCE, "examples", name), *options)
                    self.assertEqual(self.faults(answer), [], (name, options))
                    severities |= {warning["severity"] for warning in answer["warnings"]}
        self.assertGreaterEqual(len(severities), 4, severities)
        with tempfile.NamedTemporaryFile("w", suffix=".toml", encoding="utf-8") as site:
            site.write(sites.hostile())
            site.flush()
            self.assertEqual(self.faults(check(site.name)), [])

    def test_spread_answers_match_the_schema(self):
        site = os.path.join(SOURCE, "examples/uncertain-store.toml")
        for options in ((), ("--sustained-only",), ("--shape", "two-piece", "--case", "fan-off")):
            answer = answer_of("spread", site, "--draws", "700", *options)
            self.assertEqual(self.faults(answer, self.of_spread), [], options)
            self.assertGreater(len(answer["spaces"]), 1)
        for change in (lambda a: a.pop("notice"),
                       lambda a: a.update(ranges=[]),
                       lambda a: a["spaces"][0]["over_warn"].update(chance=1.2),
                       lambda a: a["spaces"][0]["lfl_fraction"].pop("50"),
                       lambda a: a["spaces"][0]["matters"][0].pop("total_error"),
                       lambda a: a.update(shape="round")):
            wrong = copy.deepcopy(answer)
            change(wrong)
            self.assertNotEqual(self.faults(wrong, self.of_spread), [])

    def test_schema_rejects_wrong_answers(self):
        good = check(os.path.join(SOURCE, "examples/school-prep-room.toml"))
        for change in (lambda a: a.pop("notice"),
                       lambda a: a["warnings"][0].update(severity="bad"),
                       lambda a: a["warnings"][0].pop("remedy"),
                       lambda a: a["warnings"][0].update(rank="1"),
                       lambda a: a["cases"][0]["spaces"][0]["peak"].update(time_s=-1.0),
                       lambda a: a["cases"][0]["spaces"][0]["peak"]["fraction"].update(methane=1.5),
                       lambda a: a["cases"][0]["spaces"][0]["sustained"].pop("state"),
                       lambda a: a["cases"][0]["spaces"][0]["sustained"].update(reached=False),
                       lambda a: a["cases"][0]["airways"][0].update(flow_m3_s=None),
                       lambda a: a.update(cases=[]),
                       lambda a: a["limits"][0].update(lower_source="")):
            wrong = copy.deepcopy(good)
            change(wrong)
            self.assertNotEqual(self.faults(wrong), [])


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
