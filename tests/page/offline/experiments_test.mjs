// SPDX-License-Identifier: Apache-2.0
// Experiments: every card and every starter, each against the program; offline, at a wide and a narrow window.
import { spawnSync } from "node:child_process";
import { test } from "node:test";
import assert from "node:assert/strict";
import { expectUsable, openPage, saved, step, verdict } from "./browser.mjs";
import { browser, checked, file, journey, look, printed, program } from "./journey.mjs";

const narrow = (width) => width < 900;

async function toCards(page) {
  await page.getByRole("button", { name: /^An experiment/ }).click();
  await page.getByRole("heading", { level: 1, name: "Which experiment?" }).waitFor();
}

/** Opens a card: its form, and its answer beside it or on the next screen. */
async function openCard(page, title) {
  await toCards(page);
  await page.getByRole("button", { name: title }).click();
  await page.getByRole("heading", { level: 1, name: title }).waitFor();
}

/** Seconds of "1 min 5 s". */
function seconds(words) {
  const unit = { s: 1, min: 60, h: 3600, d: 86400 };
  return [...words.matchAll(/([\d.]+) (s|min|h|d)\b/g)].reduce((sum, [, n, u]) => sum + Number(n) * unit[u], 0);
}

const near = (words, wanted) =>
  assert.ok(Math.abs(seconds(words) - wanted) <= 0.06 * wanted + 0.6, `${words}, ${wanted} s`);

journey("a strike-back experiment from nothing to a printed side", async (page, width) => {
  await openCard(page, "Tin of gas, lit at the top");
  await expectUsable(page, "form of a card");
  await look(page, `tin-form-${width}`);
  await page.getByLabel("Diameter of the lower hole", { exact: true }).fill("6");
  await page.getByLabel("Diameter of the lower hole: unit").selectOption("mm");
  const text = await verdict(page);
  assert.match(text, /may strike back/);
  await page.waitForTimeout(300);
  await expectUsable(page, "answer of a card");
  await look(page, `tin-${width}`);
  const { answer } = checked(await saved(page));
  const { window } = answer.cases[0].experiments[0];
  const told = await page.locator(".phase-list li").allInnerTexts();
  assert.equal(told.length, 3);
  assert.match(told[0], /burns steadily at the opening/);
  assert.match(told[1], /may strike back/);
  assert.match(told[2], /goes out/);
  near(told[0].split(":")[0], window.may_strike_back_from_s);
  near(told[2].split(":")[0], window.too_lean_from_s);
  // The slider fills both drawings: at first gas alone, in the end air alone.
  const slider = page.locator(".bench-view input[type=range]");
  await slider.fill("0");
  assert.match(await page.locator(".glasses").innerText(), /too rich to burn inside[\s\S]*too rich to burn inside/);
  await slider.fill("60");
  assert.match(await page.locator(".glasses").innerText(), /too lean to burn inside[\s\S]*too lean to burn inside/);
  const paper = await printed(page, `tin-${width}`);
  assert.equal(paper.sides, 1);
  assert.match(paper.words, /may strike back/);
});

journey("a closed flask bursts, and less marble does not", async (page, width) => {
  await openCard(page, "Stoppered flask that makes gas");
  await verdict(page);
  await page.locator(".badge.pressure").first().waitFor();
  await look(page, `stoppered-${width}`);
  const first = checked(await saved(page));
  assert.equal(first.code, 1, first.err);
  assert.match(await page.locator(".bench-view").innerText(), /Highest pressure: 7\.\d+ bar absolute/);
  if (narrow(width)) await step(page, "The experiment");
  await page.getByLabel("Amount of the solid", { exact: true }).fill("0.05");
  await verdict(page);
  await page.locator(".badge.pressure").waitFor({ state: "detached" });
  assert.equal(checked(await saved(page)).answer.cases[0].experiments[0].sealed, true);
});

journey("jars over water are listed as the program lists them", async (page, width) => {
  await openCard(page, "Gas made in a flask, collected over water");
  await verdict(page);
  await page.getByRole("table", { name: "The jars" }).waitFor();
  await expectUsable(page, "jars");
  await look(page, `jars-${width}`);
  const { jars } = checked(await saved(page)).answer.cases[0].experiments[0].collection;
  const rows = await page.getByRole("table", { name: "The jars" }).locator("tbody tr").allInnerTexts();
  assert.equal(rows.length, jars.length);
  const words = { flammable: "explodes", rich: "too rich", inerted: "too rich" };
  jars.forEach((jar, i) => assert.match(rows[i], new RegExp(words[jar.state] ?? "too lean"), `jar ${i + 1}`));
});

journey("how much nitrogen a vessel needs", async (page, width) => {
  await toCards(page);
  await page.getByRole("button", { name: /How much nitrogen/ }).click();
  await page.locator("pre.working").waitFor();
  await expectUsable(page, "nitrogen");
  await look(page, `nitrogen-${width}`);
  const done = spawnSync(program, ["purge", "hydrogen", "--volume", "5 L", "--flow", "1 L/min", "--oxygen-in-gas", "100 ppm"], {
    encoding: "utf8",
  });
  const volumes = /Sweep: ([\d.]+) vessel volumes/.exec(done.stdout.replace(/\s+/g, " "))[1];
  await page.getByLabel("Volume of the vessel", { exact: true }).fill("5");
  await page.getByText(new RegExp(`${volumes}\\s+vessel`)).waitFor();
  await page.getByLabel("Volume of the vessel", { exact: true }).fill("0");
  await page.getByRole("alert").getByText("Volume of the vessel").waitFor();
});

journey("every card gives an answer that is the program's", async (page, width) => {
  await toCards(page);
  const cards = (await page.locator(".card strong").allInnerTexts()).filter((one) => !/nitrogen does/.test(one));
  assert.ok(cards.length >= 15);
  await page.getByRole("button", { name: "Back to the start" }).click();
  for (const [i, title] of cards.entries()) {
    if (i > 0) await step(page, "Start");
    await openCard(page, title);
    const words = await verdict(page);
    await page.locator(".verdict, .faults").first().waitFor();
    await look(page, `card-${i}-${width}`);
    assert.equal(await page.getByRole("alert").count(), 0, title);
    const { code, err, answer } = checked(await saved(page));
    assert.ok(code < 2, `${title}: ${err}`);
    assert.equal(answer.calls_for_action, (await page.locator(".verdict.act").count()) > 0, title);
    const benches = answer.cases[0].experiments.length;
    assert.equal(await page.locator(".bench-view").count(), Math.min(benches, 4), title);
    assert.ok(words.length > 10, title);
  }
});

test("every starter of the program is offered, and opens without a fault", async () => {
  const { page, done } = await openPage(browser, file, 1280);
  const starters = await page.locator(".likes button").allInnerTexts();
  const offered = spawnSync(program, ["new", "--help"], { encoding: "utf8" }).stdout;
  const listed = /\{([a-z,-]+)\}/.exec(offered)[1].split(",");
  assert.equal(starters.length, listed.length);
  for (const [i, name] of starters.entries()) {
    if (i > 0) await step(page, "Start");
    await page.locator(".likes").getByRole("button", { name, exact: true }).click();
    await verdict(page);
    assert.equal(await page.getByRole("alert").count(), 0, name);
    const { code, err } = checked(await saved(page));
    assert.ok(code < 2, `${name}: ${err}`);
  }
  await done();
});
