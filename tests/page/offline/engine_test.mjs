// SPDX-License-Identifier: Apache-2.0
// The engine of the page gives the answers of the program: engine_test.mjs PAGE PROGRAM TOP [--same-factorisation]
// [--sites N]. With KLU in the program numbers agree to 1e-6, with the same factorisation to 1e-12.
import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import assert from "node:assert/strict";
import { engineBytes, startEngine } from "./engine.mjs";
import { difference } from "./same.mjs";
import { randomSite } from "./sites.mjs";

const [page, program, top] = process.env.LEANSIDE_TEST.split("|");
const tolerance = process.env.LEANSIDE_SAME_FACTORISATION ? 1e-12 : 1e-6;
const sites = Number(process.env.LEANSIDE_SITES ?? 200);
const folder = mkdtempSync(join(tmpdir(), "leanside-"));
const ask = await startEngine(engineBytes(page));

function run(...options) {
  const done = spawnSync(program, options, {
    cwd: folder,
    encoding: "utf8",
    maxBuffer: 1 << 30,
  });
  return { code: done.status, out: done.stdout, err: done.stderr };
}

async function compare(command, text, more = {}) {
  writeFileSync(join(folder, "site.toml"), text);
  const words = Object.keys(more).length > 0 ? [more.space, "--case", more.case] : [];
  const program = run(command, "site.toml", ...words, "--format", "json", "--quiet");
  const page = await ask({ command, file: "site.toml", text, ...more });
  assert.equal(page.code, program.code, `${command}: ${program.err}`);
  assert.ok(program.code < 2, program.err);
  const other = JSON.parse(program.out);
  assert.equal(difference(page.document, withoutRoundOff(other, page.document), tolerance), null);
}

/** The balance error is round-off itself: it only has to be small in both. */
function withoutRoundOff(program, page) {
  const places = [[program.answer.balance, page.answer.balance]];
  (program.answer.cases ?? []).forEach((one, i) => places.push([one.balance, page.answer.cases[i]?.balance]));
  for (const [one, other] of places) {
    if (!one || !other || one.relative_error === null) continue;
    assert.ok(one.relative_error < 1e-6 && other.relative_error < 1e-6, "round-off");
    one.relative_error = other.relative_error;
  }
  return program;
}

const examples = readdirSync(join(top, "examples")).filter((name) => name.endsWith(".toml"));
const example = (name) => readFileSync(join(top, "examples", name), "utf8");
for (const name of examples) {
  test(`check ${name}`, () => compare("check", example(name)));
  test(`release and stock of ${name}`, async () => {
    await compare("release", example(name));
    await compare("stock", example(name));
  });
}

test("explain shows the same arithmetic", async () => {
  const text = example("school-prep-room.toml");
  for (const [space, one] of [
    ["service-void", "normal"],
    ["prep-room", "tap-left-open-fan-off"],
  ]) {
    await compare("explain", text, { space, case: one });
  }
});

test("a plan to purge is that of the program", async () => {
  const asked = [
    { gas: "hydrogen", volume: "2 L", flow: "1 L/min", oxygen: "100 ppm" },
    { gas: "natural-gas", volume: "1 m3", pressure: "2 barg", vacuum: "50 mbar", temperature: "15 degC" },
    { gas: "acetylene", volume: "200 mL" },
    { gas: "methane", volume: "1 L", oxygen: "8 %" },
  ];
  for (const one of asked) {
    const { gas, oxygen, ...rest } = one;
    const options = Object.entries(rest).flatMap(([name, value]) => [`--${name}`, value]);
    if (oxygen) options.push("--oxygen-in-gas", oxygen);
    const program = run("purge", gas, ...options, "--format", "json", "--quiet");
    const page = await ask({ command: "purge", ...one });
    assert.equal(page.code, program.code, program.err);
    assert.equal(difference(page.document, JSON.parse(program.out), 1e-12), null, gas);
    assert.ok(page.text.split("\n").every((line) => line.length <= 100));
  }
  const wrong = await ask({ command: "purge", gas: "hydrogen", volume: "2 kg", oxygen: "-1 %" });
  assert.deepEqual([wrong.code, wrong.faults.length], [2, 2]);
  assert.match(wrong.faults[1].message, /^oxygen: /);
  assert.equal((await ask({ command: "purge", gas: "hydrogenn", volume: "2 L" })).code, 2);
});

test(`${sites} random sites`, async () => {
  for (let seed = 1; seed <= sites; ++seed) {
    try {
      await compare("check", randomSite(seed));
    } catch (fault) {
      fault.message = `site ${seed}: ${fault.message}`;
      throw fault;
    }
  }
});

test("the tables are those of the program", async () => {
  for (const command of ["substances", "reactions"]) {
    const page = await ask({ command });
    assert.equal(difference(page.document, JSON.parse(run(command, "--format", "json").out), 1e-12), null);
  }
  const starters = await ask({ command: "starters" });
  for (const [name, text] of Object.entries(starters.starters)) {
    assert.equal(text, execFileSync(program, ["new", "--like", name], { encoding: "utf8" }));
  }
});

/** As the program prints a fault. */
function line({ file, line, column, level, message }) {
  const place = [file, line > 0 ? line : null, line > 0 && column > 0 ? column : null].filter(
    (one) => one !== null && one !== "",
  );
  return `${place.join(":")}: ${level}: ${message}`;
}

const bad = join(top, "tests", "cli", "bad");
test("what is wrong with a file is told in the same words", async () => {
  const names = readdirSync(bad).filter((name) => name.endsWith(".toml"));
  assert.ok(names.length > 50);
  for (const name of names) {
    const bytes = readFileSync(join(bad, name));
    const text = bytes.toString("utf8");
    if (Buffer.compare(Buffer.from(text), bytes) !== 0) continue; // no UTF-8: the page reads files as text
    writeFileSync(join(folder, "site.toml"), bytes);
    const program = run("check", "site.toml");
    const page = await ask({ command: "check", file: "site.toml", text });
    assert.equal(page.code, program.code, name);
    if (program.code !== 2) continue;
    const told = program.err.split("\n").filter((one) => /: (error|notice): /.test(one));
    assert.deepEqual(page.faults.map(line), told, name);
  }
});

test("the course in time is that of --series", async () => {
  const text = example("cylinder-store.toml");
  writeFileSync(join(folder, "site.toml"), text);
  run("check", "site.toml", "--series", "course.csv", "--series-points", "24", "--quiet");
  const rows = readFileSync(join(folder, "course.csv"), "utf8")
    .trim()
    .split("\n")
    .slice(1)
    .map((row) => row.split(","));
  const { course } = await ask({
    command: "check",
    file: "site.toml",
    text,
    points: "24",
  });
  let seen = 0;
  for (const [id, time, space, gas, value] of rows) {
    if (gas !== "lfl_fraction" && gas !== "oxygen") continue;
    const one = course.find((c) => c.case === id);
    const at = one.time_s.findIndex((t) => Math.abs(t - Number(time)) <= 1e-4 * (1 + t));
    const found = one.spaces.find((s) => s.id === space)[gas][at];
    assert.ok(
      Math.abs(found - Number(value)) <= 1e-4 * Math.abs(Number(value)) + 1e-9,
      `${id} ${time} ${space} ${gas}`,
    );
    ++seen;
  }
  assert.ok(seen > 200);
});

test("an engine that was given nonsense still answers", async () => {
  assert.equal((await ask({ command: "dance" })).code, 2);
  assert.equal((await ask({ command: "check", text: 'title = "\u0000' })).code, 2);
  await compare("check", example("gas-store.toml"));
});
