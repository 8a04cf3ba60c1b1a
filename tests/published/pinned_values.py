#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Compares every value of configs/substances.toml, flames.toml and reactions.toml with a second entry.

    tests/published/pinned_values.py SOURCE_FOLDER

The second entries are in tests/published/pinned: written from the sources, not from configs. single.csv holds the
values that have none; there only a change is noticed. Reactions are worked out again from their equations. A value
of configs without an entry is a failure, and so is an entry that configs does not have.
"""

import csv
import math
import re
import sys
import tomllib
from pathlib import Path

# Standard atomic weights, abridged (IUPAC 2021).
WEIGHTS = {"H": 1.008, "Li": 6.94, "B": 10.81, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "Mg": 24.305,
           "Al": 26.982, "S": 32.06, "Cl": 35.45, "K": 39.098, "Ca": 40.078, "Mn": 54.938, "Fe": 55.845, "Zn": 65.38}
GASES = {"hydrogen": "H2", "acetylene": "C2H2", "methane": "CH4", "carbon-dioxide": "CO2", "oxygen": "O2",
         "ammonia": "NH3", "hydrogen-sulfide": "H2S", "nitrogen": "N2"}
WORDS = ("id", "name", "synonyms", "source", "note", "gas", "equation")


def values_of_entry(name, entry):
    """(id, key, value, source) of every value of a [[substance]], [[mixture]] or [[flame]]."""
    for key, value in entry.items():
        if key in WORDS:
            continue
        if key == "limits_pct":
            for lower, upper, *source in value:
                for part, limit in (("lower", lower), ("upper", upper)):
                    if limit != "-":
                        yield name, f"limits_pct.{part}", limit, " ".join(source)
        elif key == "classification":
            yield name, key, ";".join(sorted(value)), ""
        elif isinstance(value, str):
            yield name, key, value, ""
        elif isinstance(value, dict):
            source = value.get("source", entry.get("source"))
            for part, number in value.items():
                if part == "source":
                    continue
                if isinstance(number, list):
                    for place, one in enumerate(number, 1):
                        yield name, f"{key}.c{place}", one, source
                else:
                    yield name, f"{key}.{part}", number, source
        elif isinstance(value, list):
            yield name, key, value[0], " ".join(value[1:])
        else:
            yield name, key, value, entry.get("source", "")


def same(text, value):
    if isinstance(value, str):
        return text == value
    return math.isclose(float(text), value, rel_tol=1e-9, abs_tol=0.0)


def atoms(formula):
    """Counts the atoms of "Ca(OH)2"."""
    stack = [{}]
    for element, count, opens, closes, times in re.findall(r"([A-Z][a-z]?)(\d*)|(\()|(\))(\d*)", formula):
        if opens:
            stack.append({})
        elif closes:
            for inner, number in stack.pop().items():
                stack[-1][inner] = stack[-1].get(inner, 0) + number * int(times or 1)
        else:
            stack[-1][element] = stack[-1].get(element, 0) + int(count or 1)
    return stack[0]


def side(text):
    """{"HCl": 2} of "Zn + 2 HCl"."""
    parts = (re.fullmatch(r"(?:(\d+) )?(\S+)", part.strip()) for part in text.split(" + "))
    return {part[2]: int(part[1] or 1) for part in parts}


def faults_of_reaction(reaction):
    """What of a reaction its equation does not give, and how many numbers were compared."""
    before, after = (side(half) for half in reaction["equation"].split(" -> "))
    faults, compared = [], 0
    total = {}
    for formulas, sign in ((before, 1), (after, -1)):
        for formula, count in formulas.items():
            for element, number in atoms(formula).items():
                total[element] = total.get(element, 0) + sign * count * number
    if any(total.values()):
        faults.append(f"does not balance: {total}")
    named = {reagent["formula"]: reagent for reagent in reaction["reagents"]}
    if set(named) != set(before):
        faults.append(f"reagents {sorted(named)} are not those of the equation")
    for formula, reagent in named.items():
        mass = sum(WEIGHTS[element] * number for element, number in atoms(formula).items())
        if abs(reagent["molar_mass_g_mol"] - mass) > 5.01e-4:
            faults.append(f"{formula} has {mass:.3f} g/mol, not {reagent['molar_mass_g_mol']}")
        if reagent["count"] != before.get(formula):
            faults.append(f"{formula} counts {before.get(formula)}, not {reagent['count']}")
        compared += 2
    if reaction["gas_count"] != after.get(GASES[reaction["gas"]]):
        faults.append(f"{reaction['gas']} counts {after.get(GASES[reaction['gas']])}, not {reaction['gas_count']}")
    return [f"{reaction['id']}: {fault}" for fault in faults], compared + 1


def entries(folder):
    """{(id, key): [(text, source, file)]} of all second entries."""
    found = {}
    for path in sorted(folder.glob("*.csv")):
        rows = csv.reader(line for line in path.read_text().splitlines() if not line.startswith("#"))
        if next(rows) != ["id", "key", "value", "source"]:
            sys.exit(f"{path}: the columns are id, key, value and source")
        for name, key, value, source in rows:
            found.setdefault((name, key), []).append((value, source, path.stem))
    return found


def compare(configs, pinned):
    faults, counts = [], {}
    for name, key, value, source in configs:
        known = pinned.get((name, key), [])
        match = next((one for one in known if same(one[0], value) and one[1] == source), None)
        if match:
            known.remove(match)
            counts[match[2]] = counts.get(match[2], 0) + 1
        else:
            said = "; ".join(f"{text} ({of})" for text, of, _ in known) or "nothing"
            faults.append(f"{name} {key}: configs has {value} ({source}), the second entry {said}")
    for (name, key), left in pinned.items():
        faults += [f"{name} {key}: {text} ({of}) of {file}.csv is not in configs" for text, of, file in left]
    return faults, counts


def main():
    top = Path(sys.argv[1])
    read = {name: tomllib.loads((top / "configs" / f"{name}.toml").read_text())
            for name in ("substances", "flames", "reactions")}
    configs = []
    for kind in ("substance", "mixture"):
        for entry in read["substances"][kind]:
            configs += values_of_entry(entry["id"], entry)
    for entry in read["flames"]["flame"]:
        configs += values_of_entry(entry["gas"], entry)
    unknown = [kind for file in read.values() for kind in file if kind not in ("substance", "mixture", "flame",
                                                                               "reaction")]
    faults, counts = compare(configs, entries(top / "tests" / "published" / "pinned"))
    faults += [f"tables of the kind '{kind}' are not compared" for kind in unknown]
    worked_out = 0
    for reaction in read["reactions"]["reaction"]:
        wrong, compared = faults_of_reaction(reaction)
        faults += wrong
        worked_out += compared
    for fault in faults:
        print(fault)
    single = counts.pop("single", 0)
    print(f"{len(configs)} values: {sum(counts.values())} agree with a second entry, {single} have none; {worked_out} "
          f"numbers of reactions agree with their equations; {len(faults)} faults")
    sys.exit(1 if faults else 0)


main()
