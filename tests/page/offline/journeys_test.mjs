// SPDX-License-Identifier: Apache-2.0
// Whole journeys of the three people for whom the page is made, at a wide and a narrow window, offline.
import { spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import assert from "node:assert/strict";
import { expectUsable, openPage, pasteInto, saved, step, verdict } from "./browser.mjs";
import { browser, checked, file, folder, journey, look, openForm, printed, program, sheets, top } from "./journey.mjs";

/** Eight cylinders of five gases, as a list in a spreadsheet. */
const eight = "Gas\tNumber\tSize\tPressure\nhydrogen\t2\t50\t200\nacetylene\t1\t8 kg\npropane\t2\t11 kg\noxygen\t2\t50 L\nnitrogen\t1\t50 L";

journey("a teacher looks at a room with a gas tap", async (page, width) => {
  await expectUsable(page, "start");
  await look(page, `start-${width}`);
  await page.getByRole("button", { name: /A room/ }).click();
  await expectUsable(page, "place");
  await look(page, `place-${width}`);
  assert.match(await verdict(page), /burn|ignit|flammable/i);
  await expectUsable(page, "answer");
  await look(page, `answer-${width}`);
  await step(page, "The place");
  await openForm(page, "My room");
  await page.getByLabel("Fresh air through cracks and vents", { exact: false }).first().fill("30");
  await expectUsable(page, "form");
  await look(page, `form-${width}`);
  const text = await saved(page);
  assert.match(text, /air_changes = "30 \/h"/);
  const after = await verdict(page);
  const program = checked(text);
  assert.ok(program.code < 2, program.err);
  assert.equal(program.answer.calls_for_action, /class="verdict act/.test(await page.locator("#answer").innerHTML()));
  assert.ok(after.length > 10);
});

journey("a lab manager lists eight cylinders and tries the advice", async (page, width) => {
  await page.getByRole("button", { name: /A cylinder store/ }).click();
  await page.getByRole("button", { name: "Add a row" }).click();
  await page.getByLabel("Gas, 2").fill("hydrogen");
  await page.getByLabel(/^Size.*, 2$/).fill("50 L");
  await pasteInto(page, "Paste rows of a spreadsheet", eight);
  assert.equal(await page.getByLabel(/^Gas, /).count(), 5);
  await expectUsable(page, "cylinders");
  await look(page, `cylinders-${width}`);
  await page.getByRole("button", { name: "Show the answer" }).click();
  await verdict(page);
  await look(page, `store-${width}`);
  const text = await saved(page);
  const program = checked(text);
  assert.equal(program.code, 1, program.err);
  assert.match(text, /water_volume = "50 L"\npressure = "200 bar"/);
  for (const gas of ["hydrogen", "acetylene", "propane", "oxygen", "nitrogen"]) {
    assert.match(text, new RegExp(`gas = "${gas}"`));
  }
  const held = program.answer.cases.length;
  assert.ok(held > 3, "leaks of the stored cylinders are cases of their own");
  const tries = page.locator(".tries button");
  assert.ok((await tries.count()) > 0);
  await tries.first().click();
  await page.locator("#trial").getByText(/./).first().waitFor();
  await page.getByRole("button", { name: "Keep this change" }).click();
  await page.waitForTimeout(500);
  assert.notEqual(await saved(page), text);
  await printed(page, `store-${width}`);
});

/** A floor of a building as a spreadsheet gives it: name, floor area, height, fresh air. */
const floor = Array.from({ length: 20 }, (_, i) => `Room ${101 + i}\t${20 + i}\t3,2\t${i % 3 === 0 ? "" : "1.5"}`);

journey("a technician pastes a floor from a spreadsheet", async (page, width) => {
  await page.getByRole("button", { name: /A room/ }).click();
  await page.getByRole("button", { name: "All as a table" }).click();
  await pasteInto(page, "Paste rows of a spreadsheet", floor.join("\r\n"));
  await page.getByRole("rowheader", { name: "Room 120" }).first().waitFor();
  await expectUsable(page, "table");
  await look(page, `floor-${width}`);
  const text = await saved(page);
  // The invented room is gone, and its gas is in the first room of the list.
  assert.equal((text.match(/\[\[space\]\]/g) ?? []).length, 20);
  assert.match(text, /into = "room-101"/);
  await page.getByText('20 rows read. "Gas tap" is now in "Room 101"').waitFor();
  assert.equal(await page.locator(".items button", { hasText: /^Room/ }).count(), 5);
  await page.getByLabel("Find one of 20").fill("room 117");
  await openForm(page, "Room 117");
  await page.getByLabel("Find one of 20").fill("");
  await expectUsable(page, "long list");
  assert.match(text, /name = "Room 102"\nkind = "room"\nfloor_area = "21 m2"\nheight = "3.2 m"\nair_changes = "1.5 \/h"/);
  const program = checked(text);
  assert.ok(program.code < 2, program.err);
  assert.match(await verdict(page), /./);
  await expectUsable(page, "answer of a floor");
});

journey("a teacher goes from nothing to the printed side of a prep room", async (page, width) => {
  await page.getByRole("button", { name: /A room/ }).click();
  await openForm(page, "My room");
  await page.getByLabel("Name", { exact: true }).fill("Prep room");
  await page.getByLabel("Name", { exact: true }).blur();
  await page.getByLabel("Width (m)").fill("4");
  await page.getByLabel("Width (m)").blur();
  await page.getByLabel("Add a way for air").selectOption("fan");
  await page.getByLabel("Air flow").first().fill("200");
  await page.getByLabel("Name", { exact: true }).fill("Roof fan");
  await page.getByLabel("Name", { exact: true }).blur();
  assert.match(await verdict(page), /^Fan Roof-fan: too little air/);
  if (width < 900) await step(page, "The place");
  await page.getByLabel("Name", { exact: true }).fill("F1");
  await page.getByLabel("Name", { exact: true }).blur();
  await page.getByLabel("Add a source of gas").selectOption("spill");
  await page.getByLabel("I do not know").first().check();
  await step(page, "What if");
  await page.getByRole("switch", { name: /^The fan/ }).click();
  await verdict(page);
  const program = checked(await saved(page));
  assert.equal(program.code, 1, program.err);
  assert.deepEqual(program.answer.cases.map((one) => one.id), ["normal", "tap-left-open", "f1-off"]);
  const paper = await printed(page, `prep-room-${width}`);
  assert.equal(paper.sides, 1);
  assert.match(paper.words, /^Prep room\n/);
  assert.match(paper.words, /Spilt or open liquid/);
  assert.match(paper.words, /cautious values used/);
});

journey("a technician opens a file, stops a fan and prints", async (page, width) => {
  await page.locator('input[type="file"]').setInputFiles(join(top, "examples", "two-floor-block.toml"));
  await verdict(page);
  await look(page, `block-${width}`);
  await step(page, "What if");
  await expectUsable(page, "what if");
  await look(page, `what-if-${width}`);
  await page.getByLabel("Find one of 59").fill("stair");
  await page.getByRole("switch", { name: /stair-door/ }).first().waitFor();
  const fan = page.getByRole("switch", { name: /^The fan/ }).first();
  const was = await fan.isChecked();
  await fan.click();
  assert.equal(await fan.isChecked(), !was);
  const text = await saved(page);
  const program = checked(text);
  assert.ok(program.code < 2, program.err);
  await verdict(page);
  await step(page, "Working");
  await page.locator("pre.working").waitFor({ timeout: 20000 });
  await expectUsable(page, "working");
  const results = [...(await page.locator("pre.working").textContent()).matchAll(/ = .* = (\d+\.\d{3,})/g)];
  assert.ok(results.length > 2);
  await page.getByLabel("Leave the results blank").check();
  const sheet = await page.locator("pre.working").textContent();
  assert.match(sheet, /= ____/);
  for (const [, result] of results) assert.ok(!sheet.includes(result), `a later step gives away ${result}`);
  assert.doesNotMatch(sheet, /docs\/|\[\w+\]/);
  const paper = await printed(page, `block-${width}`);
  assert.ok(paper.sides > 1);
  assert.ok(paper.sides < (await page.locator(".choice input").count()), "only rooms with a finding");
  await page.getByRole("button", { name: "Every room" }).click();
  const all = await sheets(page);
  assert.equal(all, await page.locator(".choice input").count());
});

journey("everything can be done with the keyboard", async (page, width) => {
  const press = async (name, key = "Enter") => {
    const target = typeof name === "string" ? page.getByRole("button", { name, exact: true }) : name;
    for (let i = 0; i < 120; ++i) {
      await page.keyboard.press("Tab");
      if (
        await target
          .first()
          .evaluate((node) => node === document.activeElement)
          .catch(() => false)
      ) {
        await page.keyboard.press(key);
        return;
      }
    }
    assert.fail(`the keyboard does not reach ${name}`);
  };
  await press(page.getByRole("button", { name: /A room/ }));
  await page.locator(".plan").waitFor();
  const before = await page.locator(".plan .space rect").first().getAttribute("x");
  await press(page.locator('.plan .space[role="button"]'), "ArrowRight");
  await page.waitForTimeout(200);
  assert.notEqual(await page.locator(".plan .space rect").first().getAttribute("x"), before);
  if (width < 900) await press("Answer");
  await page.locator(".verdict").first().waitFor();
  await press("Play");
});

journey("who smells gas reads what to do, without a calculation", async (page, width) => {
  await page.getByRole("button", { name: "It smells of gas" }).click();
  await page.getByText("Leave now").waitFor();
  await expectUsable(page, "emergency");
  await look(page, `emergency-${width}`);
});

journey(
  "the page can be read in the dark",
  async (page, width) => {
    await page.getByRole("button", { name: /Look at an example/ }).click();
    await verdict(page);
    await expectUsable(page, "dark");
    await look(page, `dark-${width}`);
  },
  { colorScheme: "dark" },
);

test("a broken file is refused with its place", async () => {
  const { page, done } = await openPage(browser, file, 1280);
  writeFileSync(join(folder, "broken.toml"), 'title = "Broken"\n[[space]\nid = "a"\n');
  await page.locator('input[type="file"]').setInputFiles(join(folder, "broken.toml"));
  await page.getByRole("alert").waitFor();
  assert.match(await page.getByRole("alert").textContent(), /2:/);
  await done();
});

test("an input that makes no sense is named, and the last answer stays", async () => {
  const { page, done } = await openPage(browser, file, 1280);
  await page.getByRole("button", { name: /A room/ }).click();
  await verdict(page);
  await openForm(page, "Gas tap");
  await page.getByLabel("Gas or liquid").fill("hydrogenn");
  await page.getByRole("alert").waitFor();
  assert.match(await page.getByRole("alert").textContent(), /hydrogen/);
  await page.getByText("belongs to the last complete input").waitFor();
  await page.getByLabel("Gas or liquid").fill("");
  await page.getByLabel("Gas or liquid").pressSequentially("Natural gas"); // by its name, as people write it
  await page.getByRole("alert").waitFor({ state: "detached" });
  assert.match(await saved(page), /gas = "natural-gas"/);
  await done();
});

test("a saved file opens again as it was", async () => {
  const { page, done } = await openPage(browser, file, 1280);
  await page.getByRole("button", { name: /Look at an example/ }).click();
  await verdict(page);
  const first = await saved(page);
  writeFileSync(join(folder, "again.toml"), first);
  await step(page, "Start");
  await page.locator('input[type="file"]').setInputFiles(join(folder, "again.toml"));
  await verdict(page);
  assert.equal(await saved(page), first);
  const example = readFileSync(join(top, "examples", "school-prep-room.toml"), "utf8");
  const one = checked(example).answer,
    other = checked(first).answer;
  assert.deepEqual(other.warnings, one.warnings);
  await done();
});

test("the page with a site file in it begins with its answer", async () => {
  const own = join(folder, "own.html");
  const made = spawnSync(program, ["page", join(top, "examples", "gas-store.toml"), "-o", own], { encoding: "utf8" });
  assert.equal(made.status, 0, made.stderr);
  const { page, done } = await openPage(browser, own, 1280);
  await verdict(page);
  await page.locator(".finding").first().waitFor();
  await done();
});
