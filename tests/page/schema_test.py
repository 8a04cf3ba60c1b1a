# SPDX-License-Identifier: Apache-2.0
"""The schemas of docs/schema against what every command answers, and against answers that are wrong.

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
EXAMPLES = os.path.join(SOURCE, "examples")


def validator(name):
    with open(os.path.join(SOURCE, "docs/schema", name + ".schema.json"), encoding="utf-8") as text:
        schema = json.load(text)
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def faults_of(which, answer):
    return ["%s: %s" % ("/".join(map(str, e.absolute_path)), e.message[:200]) for e in which.iter_errors(answer)]


def document(command, *words):
    done = subprocess.run([PROGRAM, command, "--quiet", "--format", "json", *words], stdin=subprocess.DEVNULL,
                          capture_output=True, timeout=300)
    if done.returncode not in (0, 1):
        raise RuntimeError(done.stderr.decode())
    return json.loads(done.stdout, parse_constant=lambda word: 1 / 0)  # NaN and Infinity are not JSON


def example(name):
    return os.path.join(EXAMPLES, name + ".toml")


class Schema(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.envelope = validator("envelope")

    def checked(self, command, *words, files=()):
        """The answer of a command, once envelope and answer have been found to be as described."""
        whole = document(command, *words)
        self.assertEqual(faults_of(self.envelope, whole), [], (command, words))
        self.assertEqual(whole["command"], command)
        self.assertEqual(whole["files"], list(files))
        self.assertEqual(faults_of(validator(command), whole["answer"]), [], (command, words))
        return whole["answer"]

    def refuses(self, command, good, changes):
        for change in changes:
            wrong = copy.deepcopy(good)
            change(wrong)
            self.assertNotEqual(faults_of(validator(command), wrong), [])

    def test_every_command_with_json_has_a_schema(self):
        names = {name.split(".")[0] for name in os.listdir(os.path.join(SOURCE, "docs/schema"))}
        help_text = subprocess.run([PROGRAM, "--help"], capture_output=True, check=True).stdout.decode()
        commands = [line.split()[0] for line in help_text.split("Subcommands:")[1].splitlines() if line.startswith("  ")
                    and not line.startswith("   ")]
        self.assertGreater(len(commands), 12)
        for command in commands:
            options = subprocess.run([PROGRAM, command, "--help"], capture_output=True, check=True).stdout.decode()
            if "--format" in options and command != "merge":  # merge answers as the command that made the parts
                self.assertIn(command, names)
                self.assertIn(command, self.envelope.schema["properties"]["command"]["enum"])

    def test_wrong_envelopes_are_refused(self):
        good = document("reactions")
        self.assertEqual(faults_of(self.envelope, good), [])
        for change in (lambda a: a.pop("caution"),
                       lambda a: a.update(caution=""),
                       lambda a: a.pop("files"),
                       lambda a: a.update(command="guess"),
                       lambda a: a.update(version="new"),
                       lambda a: a.update(reactions=[])):
            wrong = copy.deepcopy(good)
            change(wrong)
            self.assertNotEqual(faults_of(self.envelope, wrong), [])

    def test_check(self):
        severities = set()
        for name in sorted(os.listdir(EXAMPLES)):
            if name.endswith(".toml"):
                path = os.path.join(EXAMPLES, name)
                for options in ((), ("--steady-only",)):
                    answer = self.checked("check", path, *options, files=[path])
                    severities |= {warning["severity"] for warning in answer["warnings"]}
        self.assertGreaterEqual(len(severities), 4, severities)
        with tempfile.NamedTemporaryFile("w", suffix=".toml", encoding="utf-8") as site:
            site.write(sites.hostile())
            site.flush()
            self.checked("check", site.name, files=[site.name])
        self.checked("check")

    def test_wrong_answers_of_check_are_refused(self):
        self.refuses("check", document("check", example("school-prep-room"))["answer"],
                     (lambda a: a.pop("site"),
                      lambda a: a["warnings"][0].update(severity="bad"),
                      lambda a: a["warnings"][0].pop("remedy"),
                      lambda a: a["warnings"][0].update(rank="1"),
                      lambda a: a["cases"][0]["spaces"][0]["peak"].update(time_s=-1.0),
                      lambda a: a["cases"][0]["spaces"][0]["peak"]["fraction"].update(methane=1.5),
                      lambda a: a["cases"][0]["spaces"][0]["steady"].pop("state"),
                      lambda a: a["cases"][0]["spaces"][0]["steady"].update(reached=False),
                      lambda a: a["cases"][0]["airways"][0].update(flow_m3_s=None),
                      lambda a: a.update(cases=[]),
                      lambda a: a["limits"][0].update(lower_source=""),
                      lambda a: a.update(assumptions=["every space is well mixed"]),
                      lambda a: a["assumptions"][0].pop("sentence"),
                      lambda a: a["assumptions"][0].update(kind="Well mixed"),
                      lambda a: a["assumptions"][0].update(values=[1.0], quantity=""),
                      lambda a: a["cases"][1]["flow_differences"][0].pop("flow_m3_s")))

    def test_assumptions_name_what_the_site_has(self):
        for name in sorted(os.listdir(EXAMPLES)):
            if not name.endswith(".toml"):
                continue
            answer = document("check", example(name[:-5]))["answer"]
            case = answer["cases"][0]
            known = {"cases": {c["id"] for c in answer["cases"]}, "spaces": {s["id"] for s in case["spaces"]},
                     "airways": {a["id"] for a in case["airways"]}, "releases": {r["id"] for r in case["releases"]}}
            for assumption in answer["assumptions"]:
                for key, ids in known.items():
                    self.assertLessEqual(set(assumption.get(key, [])), ids, assumption)

    def test_explain(self):
        for name in sorted(os.listdir(EXAMPLES)):
            if not name.endswith(".toml"):
                continue
            path = example(name[:-5])
            for space in document("check", path, "--steady-only")["answer"]["cases"][0]["spaces"]:
                if "layers" in space or "mixed_because" in space or "room_model" in space:
                    continue
                try:
                    answer = self.checked("explain", path, space["id"], files=[path])
                except RuntimeError as refused:
                    self.assertIn("layered rooms", str(refused))
                    continue
                streams = answer["streams"]
                for key, direction in (("inflow_mol_s", "into"), ("outflow_mol_s", "out_of")):
                    total = sum(s["rate_mol_s"] for s in streams if s["direction"] == direction)
                    self.assertAlmostEqual(answer[key], total, delta=1e-12 * (1.0 + total))
                for gas in answer["gases"]:
                    factor = answer["mixing_factor"]
                    brought = sum(streams[t["stream"]]["rate_mol_s"] * t["fraction"] for t in gas["brought_by"])
                    through = answer["inflow_mol_s"] / factor + answer["released_mol_s"]
                    self.assertAlmostEqual(gas["fraction"], (brought / factor + gas["released_mol_s"]) / through, 12)
                share = sum(limit["fraction"] / limit["lower"] for limit in answer["limits"])
                self.assertAlmostEqual(answer["lfl_fraction"], share, delta=1e-9 * (1.0 + share))
        self.refuses("explain", answer, (lambda a: a.pop("streams"),
                                         lambda a: a.update(level="bad"),
                                         lambda a: a["streams"][0].update(direction="up"),
                                         lambda a: a.update(mixing_factor=0.5)))

    def test_spread(self):
        site = example("uncertain-store")
        for options in ((), ("--steady-only",), ("--shape", "two-piece", "--case", "fan-off")):
            answer = self.checked("spread", site, "--draws", "700", *options, files=[site])
            self.assertGreater(len(answer["spaces"]), 1)
        self.refuses("spread", answer,
                     (lambda a: a.pop("site"),
                      lambda a: a.update(ranges=[]),
                      lambda a: a["spaces"][0]["over_warn"].update(chance=1.2),
                      lambda a: a["spaces"][0]["lfl_fraction"].pop("50"),
                      lambda a: a["spaces"][0]["matters"][0].pop("total_error"),
                      lambda a: a.update(shape="round")))

    def test_releases_stock_and_detectors_of_every_example(self):
        for name in sorted(os.listdir(EXAMPLES)):
            if name.endswith(".toml"):
                path = os.path.join(EXAMPLES, name)
                for command in ("release", "stock"):
                    self.checked(command, path, files=[path])
        path = example("school-prep-room")
        self.checked("detectors", path, "--count", "2", files=[path])

    def test_failures_size_and_compare(self):
        path, other = example("school-prep-room"), example("gas-store")
        answer = self.checked("failures", path, files=[path])
        self.assertGreater(len(answer["groups"]), 0)
        self.assertGreater(len(answer["other_cases"]), 0)
        self.refuses("failures", answer, (lambda a: a.pop("other_cases"),
                                          lambda a: a["groups"][0].update(rank=0),
                                          lambda a: a["other_cases"][0].pop("case")))
        answer = self.checked("size", path, files=[path])
        self.refuses("size", answer, (lambda a: a.update(of="rooms"), lambda a: a.pop("found")))
        answer = self.checked("compare", path, other, files=[path, other])
        self.assertGreater(len(answer["spaces"]["added"]), 0)
        self.refuses("compare", answer, (lambda a: a.update(anything_worse="yes"), lambda a: a.pop("flows")))

    def test_the_table_and_purging(self):
        answer = self.checked("substances")
        self.assertGreater(len(answer["substances"]), 50)
        self.refuses("substances", answer, (lambda a: a["substances"][0].pop("limits"),
                                            lambda a: a.update(mixtures=[{"id": "x"}])))
        for name in ("hydrogen", "natural-gas", "nitrogen"):
            self.checked("substances", name)
        self.checked("reactions")
        answer = self.checked("purge", "hydrogen", "--volume", "200 L", "--flow", "2 m3/h", "--pressure", "3 barg")
        self.refuses("purge", answer, (lambda a: a.pop("into_service"), lambda a: a.update(volume_m3=0.0)))

    def test_tracer(self):
        with tempfile.TemporaryDirectory() as folder:
            site, data = os.path.join(folder, "site.toml"), os.path.join(folder, "data.csv")
            with open(site, "w", encoding="utf-8") as text:
                text.write('title = "an invented room"\n[[space]]\nid = "room"\nkind = "room"\nvolume = "50 m3"\n')
            with open(data, "w", encoding="utf-8") as text:
                text.write("# background = 0\ntime_min,room\n")
                for minute in range(0, 60, 5):  # two air changes an hour, and an invented scatter of 1 %
                    text.write("%d,%g\n" % (minute, 100.0 * 2.718281828 ** (-2.0 * minute / 60.0)
                                            * (1.01 if minute % 10 else 0.99)))
            answer = self.checked("tracer", data, site, files=[data, site])
            self.assertAlmostEqual(3600.0 * answer["spaces"][0]["air_change_per_s"]["value"], 2.0, delta=0.1)
            self.refuses("tracer", answer, (lambda a: a.pop("flows"), lambda a: a.update(confidence=2)))


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
