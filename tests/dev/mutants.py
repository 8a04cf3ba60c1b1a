#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Puts small faults into the code and the data, and counts those that the tests notice.

    tests/dev/mutants.py FOLDER [--count 220] [--seed 1] [--jobs 2] [--only ID ...] [--in PATH ...]
    tests/dev/mutants.py FOLDER --data [--count 400] [--seed 1]

A fault (mutant) changes a sign, makes a constant 7 % larger, reverses a comparison, or is off by one. All faults go
into one copy of the source in FOLDER, each behind a switch that an environment variable sets, so that one build is
enough. The source tree itself is not changed. A first run of each test records which faults it reaches and how long it
takes. Then, for each fault, the tests that reach it run, quick ones first, until one fails. --in chooses folders and
files below src; without it, all those of FOLDERS and FILES. Needs what tests/run installs, and python3-clang-14. With
ccache, a FOLDER near the source tree shares what is compiled with it. The result is printed and saved in
FOLDER/mutants.json. Faults that were examined and have no visible effect are listed in mutants_examined.txt and
counted separately.

With --data the faults are in the tables of configs: a number 7 % larger, of the other sign, or with two digits
exchanged, one fault at a time. tests/published/pinned_values.py has to notice each; nothing is compiled.
"""

import argparse
import json
import os
import random
import re
import shutil
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

try:
    from clang import cindex
    from clang.cindex import CursorKind, TypeKind
except ModuleNotFoundError:
    if "--data" not in sys.argv:
        sys.exit("mutants.py needs the package python3-clang-14")

SOURCE = Path(__file__).resolve().parents[2]
FOLDERS = ["physics", "model", "airflow", "hazard", "study/purge", "study/detectors", "transport/layered"]
FILES = ["transport/cells/cells.cpp", "transport/linear/vent_surplus.cpp",
         "transport/run/pressure_traces.cpp", "transport/run/release_schedule.cpp", "transport/run/release_traces.cpp"]
DATA = ["substances", "flames", "reactions"]
SWITCH = "".join(f'#pragma GCC diagnostic ignored "-W{name}"\n' for name in (
    "parentheses", "conversion", "sign-compare", "unused-function", "float-conversion", "sign-conversion",
    "type-limits", "bool-compare", "div-by-zero", "array-bounds", "maybe-uninitialized")) + """#include <cstdio>
#include <cstdlib>
namespace mutants {
struct Reached {
  bool of[COUNT] = {};
  ~Reached() {
    const char* name = std::getenv("LEANSIDE_REACHED");
    if (FILE* file = name ? std::fopen(name, "a") : nullptr) {
      for (int id = 0; id < COUNT; ++id) if (of[id]) std::fprintf(file, "%d\\n", id);
      std::fclose(file);
    }
  }
};
inline Reached reached;
inline const int chosen = std::getenv("LEANSIDE_MUTANT") ? std::atoi(std::getenv("LEANSIDE_MUTANT")) : -1;
inline bool is(int id) {
  reached.of[id] = true;
  return chosen == id;
}
}
"""
EXECUTABLES = ["published_tests", "unit_tests", "property_tests", "second_opinion_tests"]
LAUNCHER = ["-DCMAKE_CXX_COMPILER_LAUNCHER=ccache"] if shutil.which("ccache") else []
TURNED = {"+": "-", "-": "+", "*": "/", "/": "*", "<": ">=", ">": "<=", "<=": ">", ">=": "<", "==": "!=", "!=": "==",
          "+=": "-=", "-=": "+="}


def files(chosen_paths):
    """The files below src of the paths; a path that names none is an error, or the list would shrink unseen."""
    found = []
    for name in chosen_paths or FOLDERS + FILES:
        path = SOURCE / "src" / name
        here = sorted(path.rglob("*.cpp")) if path.is_dir() else [path] if path.is_file() else []
        if not here:
            sys.exit(f"there is no source in src/{name}")
        found += here
    return found


def without_constant_expressions(text):
    """A constant expression cannot depend on a switch. The text keeps its length, so that positions stay valid."""
    return re.sub(r"\bconstexpr double\b", "const     double", text)


def floating_kinds():
    return {TypeKind.DOUBLE, TypeKind.FLOAT}


def whole_kinds():
    return {TypeKind.INT, TypeKind.UINT, TypeKind.LONG, TypeKind.ULONG, TypeKind.LONGLONG, TypeKind.ULONGLONG}


def kind_of(cursor):
    return cursor.type.get_canonical().kind


def operator_between(text, left, right):
    between = text[left.extent.end.offset:right.extent.start.offset]
    found = re.fullmatch(r"[\s)]*([-+*/<>=!]+)[\s(]*", between)
    return found.group(1) if found else None


def candidates(path, text, arguments):
    index = cindex.Index.create()
    unit = index.parse(str(path), args=arguments, unsaved_files=[(str(path), text)])
    bad = [d for d in unit.diagnostics if d.severity >= cindex.Diagnostic.Error]
    if bad:
        sys.exit(f"{path}: {bad[0]}")
    result = []

    def add(cursor, what, replacement):
        begin, end = cursor.extent.start.offset, cursor.extent.end.offset
        result.append({"begin": begin, "end": end, "line": cursor.extent.start.line, "what": what,
                       "before": text[begin:end], "after": replacement})

    def visit(cursor):
        if cursor.location.file and cursor.location.file.name != str(path):
            return
        if cursor.kind in (CursorKind.VAR_DECL, CursorKind.FUNCTION_DECL, CursorKind.STATIC_ASSERT,
                           CursorKind.ENUM_DECL, CursorKind.CASE_STMT):
            head = text[cursor.extent.start.offset:cursor.extent.end.offset].split("{")[0].split("=")[0]
            if "constexpr" in head or cursor.kind in (CursorKind.STATIC_ASSERT, CursorKind.ENUM_DECL):
                return
            if cursor.kind == CursorKind.CASE_STMT:
                for child in list(cursor.get_children())[1:]:
                    visit(child)
                return
        children = list(cursor.get_children())
        if text[cursor.extent.start.offset:cursor.extent.start.offset + 6] == "assert":
            return
        if cursor.kind in (CursorKind.BINARY_OPERATOR, CursorKind.COMPOUND_ASSIGNMENT_OPERATOR) and len(children) == 2:
            left, right = children
            op = operator_between(text, left, right)
            kinds = {kind_of(left), kind_of(right)}
            whole = text[cursor.extent.start.offset:cursor.extent.end.offset]
            if op in TURNED and kinds <= floating_kinds() | whole_kinds() and "mutant" not in whole and "\n//" not in whole:
                a = text[left.extent.start.offset:left.extent.end.offset]
                b = text[right.extent.start.offset:right.extent.end.offset]
                if kinds & floating_kinds():
                    other = f"{a} {TURNED[op]} ({b})"
                    if op in ("*", "/", "+", "-"):
                        other = f"({a}) {TURNED[op]} ({b})"
                    kind = "comparison" if op[0] in "<>=!" else "sign" if op[0] in "+-" else "factor"
                    add(cursor, kind, f"(MUTANT ? {other} : {whole})")
                elif op in ("<", "<=", ">", ">="):
                    near = {"<": "<=", "<=": "<", ">": ">=", ">=": ">"}[op]
                    add(cursor, "off by one", f"(MUTANT ? ({a}) {near} ({b}) : {whole})")
        if cursor.kind == CursorKind.FLOATING_LITERAL:
            literal = text[cursor.extent.start.offset:cursor.extent.end.offset]
            try:
                value = float(literal)
            except ValueError:
                value = 0.0
            if value != 0.0:
                add(cursor, "constant", f"(MUTANT ? 1.07 * {literal} : {literal})")
        for child in children:
            visit(child)

    visit(unit.cursor)
    return result


def chosen(all_of_them, count, seed):
    """Chooses evenly among the kinds as far as there are enough. No mutant lies within another."""
    draw = random.Random(seed)
    draw.shuffle(all_of_them)
    by_kind = {}
    for mutant in all_of_them:
        by_kind.setdefault(mutant["what"], []).append(mutant)
    taken = []
    while len(taken) < count and any(by_kind.values()):
        for queue in by_kind.values():
            while queue and len(taken) < count:
                mutant = queue.pop()
                clash = any(t["file"] == mutant["file"] and t["begin"] < mutant["end"] and mutant["begin"] < t["end"]
                            for t in taken)
                if not clash:
                    taken.append(mutant)
                    break
    taken.sort(key=lambda m: (m["file"], m["begin"]))
    for number, mutant in enumerate(taken):
        mutant["id"] = number
    return taken


def write_copy(copy, texts, mutants):
    for name, text in texts.items():
        of_file = [m for m in mutants if m["file"] == name]
        for mutant in sorted(of_file, key=lambda m: -m["begin"]):
            code = mutant["after"].replace("MUTANT", f"mutants::is({mutant['id']})")
            text = text[:mutant["begin"]] + code + text[mutant["end"]:]
        (copy / name).write_text(SWITCH.replace("COUNT", str(len(mutants))) + text)


def tests_of(executable):
    listed = subprocess.run([executable, "--gtest_list_tests"], check=True, text=True, capture_output=True).stdout
    suite, names = "", []
    for line in listed.splitlines():
        name = line.split("#")[0].rstrip()
        if not line.startswith(" "):
            suite = name if name.endswith(".") else suite
        elif name:
            names.append(suite + name.strip())
    return names


def environment(**more):
    return dict(os.environ, RC_PARAMS="seed=20260701", TZ="UTC", **more)


def reached_by(folder, executable, test):
    """How long a test takes without a fault, and which faults it reaches."""
    kept = folder / "reached" / f"{executable.name}.{test.replace('/', '_')}"
    kept.parent.mkdir(exist_ok=True)
    kept.unlink(missing_ok=True)
    begin = time.monotonic()
    done = subprocess.run([executable, "--gtest_brief=1", "--gtest_filter=" + test], text=True, capture_output=True,
                          env=environment(LEANSIDE_REACHED=str(kept)), errors="replace")
    if done.returncode != 0:
        sys.exit(f"{test} does not pass without a fault:\n{done.stdout[-2000:]}")
    seconds = time.monotonic() - begin
    ids = {int(line) for line in kept.read_text().split()} if kept.exists() else set()
    return {"executable": executable, "test": test, "seconds": seconds, "ids": ids}


def batches(tests):
    """Groups the tests, quick ones first, so that starting a program costs little."""
    taken, result = 0.0, []
    for test in sorted(tests, key=lambda t: t["seconds"]):
        if not result or taken > 1.0 and taken + test["seconds"] > 3.0:
            result.append([])
            taken = 0.0
        result[-1].append(test)
        taken += test["seconds"]
    return result


def noticed_by(mutant, tests):
    for batch in batches([t for t in tests if mutant["id"] in t["ids"]]):
        for executable in sorted({t["executable"] for t in batch}):
            chosen_tests = [t for t in batch if t["executable"] == executable]
            limit = 30.0 + 10.0 * sum(t["seconds"] for t in chosen_tests)
            command = [executable, "--gtest_fail_fast", "--gtest_brief=1",
                       "--gtest_filter=" + ":".join(t["test"] for t in chosen_tests)]
            try:
                done = subprocess.run(command, env=environment(LEANSIDE_MUTANT=str(mutant["id"])), text=True,
                                      capture_output=True, timeout=limit, errors="replace")
            except subprocess.TimeoutExpired:
                return f"not finished within {limit:.0f} s"
            if done.returncode != 0:
                failed = re.search(r"\[  FAILED  \] (\S+)", done.stdout)
                return failed.group(1).rstrip(",") if failed else f"{executable.name} ended with {done.returncode}"
    return None


def examined(mutant, text):
    """Why an unnoticed fault has no visible effect; None if nobody has examined it."""
    line = text.splitlines()[mutant["line"] - 1].strip().replace("|", "/")
    key = [mutant["file"], mutant["what"], " ".join(mutant["before"].split()), line]
    for row in Path(__file__).with_name("mutants_examined.txt").read_text().splitlines():
        *known, why = row.split(" | ")
        if known == key:
            return why
    return None


def data_faults(text):
    """(begin, end, other) of each number outside of quotes and comments."""
    for line in re.finditer(r"^[^#\n]*", text, re.MULTILINE):
        bare = re.sub(r'"[^"]*"', lambda quoted: " " * len(quoted[0]), line[0])
        for number in re.finditer(r"(?<![\w.-])-?\d+(?:\.\d+)?(?:e[-+]?\d+)?(?![\w.-])", bare):
            value, begin = number[0], line.start() + number.start()
            others = ["%.12g" % (1.07 * float(value)), value[1:] if value.startswith("-") else "-" + value]
            others += [value[:i] + value[i + 1] + value[i] + value[i + 2:] for i in range(len(value) - 1)
                       if value[i:i + 2].isdigit() and value[i] != value[i + 1] and not (i == 0 and value[1] == "0")]
            for other in others:
                try:
                    if float(other) != float(value) and not re.match(r"-?0\d", other):
                        yield begin, begin + len(value), other
                except ValueError:
                    pass


def run_on_data(folder, count, seed):
    check = SOURCE / "tests" / "published" / "pinned_values.py"
    copy = folder / "data"
    shutil.copytree(SOURCE / "configs", copy / "configs", dirs_exist_ok=True)
    shutil.copytree(check.parent / "pinned", copy / "tests" / "published" / "pinned", dirs_exist_ok=True)
    clean = subprocess.run([sys.executable, check, copy], text=True, capture_output=True)
    if clean.returncode != 0:
        sys.exit(f"the data do not pass without a fault:\n{clean.stdout[-2000:]}")
    texts = {name: (SOURCE / "configs" / f"{name}.toml").read_text() for name in DATA}
    found = [(name, *fault) for name, text in texts.items() for fault in data_faults(text)]
    taken = random.Random(seed).sample(found, min(count, len(found)))
    print(f"{len(found)} faults in {len(texts)} tables, {len(taken)} of them tried, seed {seed}", flush=True)
    missed = 0
    for name, begin, end, other in taken:
        text, path = texts[name], copy / "configs" / f"{name}.toml"
        path.write_text(text[:begin] + other + text[end:])
        if subprocess.run([sys.executable, check, copy], capture_output=True).returncode == 0:
            missed += 1
            print(f"configs/{name}.toml:{text.count(chr(10), 0, begin) + 1} {text[begin:end]} -> {other}: NOT NOTICED")
        path.write_text(text)
    print(f"{len(taken) - missed} of {len(taken)} noticed")


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--count", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--only", type=int, nargs="*")
    parser.add_argument("--in", dest="paths", nargs="*")
    parser.add_argument("--data", action="store_true")
    options = parser.parse_args()
    folder = options.folder.resolve()
    folder.mkdir(parents=True, exist_ok=True)
    if options.data:
        return run_on_data(folder, options.count or 400, options.seed)
    copy = folder / "source"
    build = copy / "build" / "tests"
    shutil.copytree(SOURCE, copy, ignore=shutil.ignore_patterns("build", ".git"), dirs_exist_ok=True)
    flags = ["-std=c++20", "-I" + str(SOURCE / "include"), "-I" + str(SOURCE / "src"), "-I/usr/include/eigen3",
             "-I/usr/include/suitesparse", "-resource-dir=/usr/lib/llvm-14/lib/clang/14.0.6"]
    texts, originals, found = {}, {}, []
    for path in files(options.paths):
        name = str(path.relative_to(SOURCE))
        originals[name] = path.read_text()
        texts[name] = without_constant_expressions(originals[name])
        for mutant in candidates(path, texts[name], flags):
            found.append(dict(mutant, file=name))
    mutants = chosen(found, options.count or 220, options.seed)
    print(f"{len(found)} places in {len(texts)} files, {len(mutants)} of them changed, seed {options.seed}", flush=True)
    write_copy(copy, texts, mutants)
    subprocess.run(["cmake", "-S", copy, "-B", build, "-G", "Ninja", "-DCMAKE_BUILD_TYPE=Debug", *LAUNCHER,
                    "-DCMAKE_CXX_FLAGS_DEBUG=-O1 -g1 -D_GLIBCXX_ASSERTIONS", "-DLEANSIDE_WERROR=ON"],
                   check=True, stdout=subprocess.DEVNULL)
    subprocess.run(["ninja", "-C", build, "-j", str(options.jobs), "-k", "0"] + EXECUTABLES, check=True)
    with ThreadPoolExecutor(options.jobs) as pool:
        executables = [build / "tests" / name for name in EXECUTABLES]
        tests = list(pool.map(lambda what: reached_by(folder, *what),
                              [(executable, test) for executable in executables for test in tests_of(executable)]))
        print(f"{len(tests)} tests, {sum(t['seconds'] for t in tests):.0f} s", flush=True)
        ran = [m for m in mutants if not options.only or m["id"] in options.only]
        for mutant, noticed in zip(ran, pool.map(lambda m: noticed_by(m, tests), ran)):
            mutant["noticed_by"] = noticed
            mutant["reached_by"] = sum(mutant["id"] in t["ids"] for t in tests)
            mutant["changes_nothing"] = None if noticed else examined(mutant, originals[mutant["file"]])
            if mutant["changes_nothing"]:
                noticed = "no effect: " + mutant["changes_nothing"]
            print(f"{mutant['id']:4} {mutant['file']}:{mutant['line']} {mutant['what']}: "
                  f"{' '.join(mutant['before'].split())[:60]!r} -> "
                  f"{noticed or 'NOT NOTICED, reached by ' + str(mutant['reached_by']) + ' tests'}", flush=True)
            (folder / "mutants.json").write_text(json.dumps(mutants, indent=1))
    killed = sum(m["noticed_by"] is not None for m in ran)
    idle = sum(m["changes_nothing"] is not None for m in ran)
    share = 100.0 * killed / max(1, len(ran) - idle)
    print(f"{killed} of {len(ran)} noticed, {idle} without effect: {share:.1f} % of the rest noticed")


main()
