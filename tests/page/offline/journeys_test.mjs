// SPDX-License-Identifier: Apache-2.0
// Whole journeys of the three people for whom the page is made, at a wide and a narrow window, offline.
import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import assert from "node:assert/strict";
import { expectUsable, launch, openPage, saved, step, verdict, widths } from "./browser.mjs";

const [file, program, top] = process.env.LEANSIDE_TEST.split("|");
const folder = mkdtempSync(join(tmpdir(), "leanside-"));
const pictures = process.env.LEANSIDE_PICTURES; // a folder for screenshots
if (pictures) mkdirSync(pictures, { recursive: true });
const browser = await launch();
after(() => browser.close());

const look = async (page, name) => {
  if (pictures)
    await page.screenshot({
      path: join(pictures, `${name}.png`),
      fullPage: true,
    });
};

/** What the program says of a file that the page saved. */
function checked(text) {
  writeFileSync(join(folder, "site.toml"), text);
  const done = spawnSync(program, ["check", "site.toml", "--format", "json", "--quiet"], {
    cwd: folder,
    encoding: "utf8",
    maxBuffer: 1 << 28,
  });
  return {
    code: done.status,
    err: done.stderr,
    answer: done.status < 2 ? JSON.parse(done.stdout).answer : null,
  };
}

/** The form of a thing in the lists of "The place". */
const openForm = (page, name) => page.locator(".items button", { hasText: name }).first().click();

const journey = (name, walk, more = {}) => {
  for (const width of widths) {
    test(`${name}, ${width} px`, async () => {
      const { page, done } = await openPage(browser, file, width, more);
      await walk(page, width);
      await done();
    });
  }
};

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

journey("a teacher plans an experiment with a closed flask", async (page, width) => {
  await page.getByRole("button", { name: /An experiment/ }).click();
  await expectUsable(page, "apparatus");
  await page.getByRole("button", { name: /Metal and acid/ }).click();
  await page.getByLabel("The flask is").selectOption("closed");
  await expectUsable(page, "questions");
  await page.getByRole("button", { name: "Show the answer" }).click();
  await verdict(page);
  await page.locator(".badge.pressure").first().waitFor();
  await look(page, `flask-${width}`);
  const program = checked(await saved(page));
  assert.equal(program.code, 1, program.err);
});

journey("a lab manager lists cylinders and tries the advice", async (page, width) => {
  await page.getByRole("button", { name: /A cylinder store/ }).click();
  await page.getByRole("button", { name: "Add a row" }).click();
  await page.getByLabel("Gas, 2").fill("hydrogen");
  await page.getByLabel(/^Size.*, 2$/).fill("50 L");
  await expectUsable(page, "cylinders");
  await look(page, `cylinders-${width}`);
  await page.getByRole("button", { name: "Show the answer" }).click();
  await verdict(page);
  await look(page, `store-${width}`);
  const text = await saved(page);
  const program = checked(text);
  assert.equal(program.code, 1, program.err);
  assert.match(text, /gas = "hydrogen"/);
  const tries = page.locator(".tries button");
  assert.ok((await tries.count()) > 0);
  await tries.first().click();
  await page.locator("#trial").getByText(/./).first().waitFor();
  await page.getByRole("button", { name: "Keep this change" }).click();
  await page.waitForTimeout(500);
  assert.notEqual(await saved(page), text);
});

journey("a technician opens a file, stops a fan and prints", async (page, width) => {
  await page.locator('input[type="file"]').setInputFiles(join(top, "examples", "two-floor-block.toml"));
  await verdict(page);
  await look(page, `block-${width}`);
  await step(page, "What if");
  await expectUsable(page, "what if");
  await look(page, `what-if-${width}`);
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
  await page.getByLabel("Leave the results blank").check();
  assert.match(await page.locator("pre.working").textContent(), /= ____/);
  await step(page, "Print");
  await expectUsable(page, "print");
  await look(page, `print-${width}`);
  const sheets = await page.locator(".sheet").count();
  assert.ok(sheets > 1);
  const paper = await page.pdf({ preferCSSPageSize: true });
  if (pictures) writeFileSync(join(pictures, `print-${width}.pdf`), paper);
  const sides = (paper.toString("latin1").match(/\/Type\s*\/Page\b/g) ?? []).length;
  assert.equal(sides, sheets, "one side for each room");
  for (const word of ["Date", "Name", "Signature", "screening aid"]) {
    assert.match(await page.locator(".sheet").first().textContent(), new RegExp(word));
  }
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

test("an answer to twenty rooms comes within a blink", async () => {
  const { page, done } = await openPage(browser, file, 1280);
  let text = 'title = "Twenty rooms"\n';
  for (let i = 0; i < 20; ++i) {
    text += `[[space]]\nid = "r${i}"\nkind = "room"\nvolume = "60 m3"\nair_changes = "0.5 /h"\n`;
    if (i > 0)
      text += `[[airway]]\nid = "d${i}"\nkind = "exchange"\nbetween = ["r${i - 1}", "r${i}"]\nflow = "20 m3/h"\n`;
  }
  text += '[[release]]\nid = "tap"\nkind = "steady"\ninto = "r0"\ngas = "methane"\nrate = "5 L/min"\n';
  writeFileSync(join(folder, "twenty.toml"), text);
  await page.locator('input[type="file"]').setInputFiles(join(folder, "twenty.toml"));
  await verdict(page);
  await step(page, "The place");
  await openForm(page, "tap");
  const before = await page.locator(".verdict").first().textContent();
  const start = Date.now();
  await page.getByLabel("Gas flow").first().fill("50");
  await page.waitForFunction((old) => document.querySelector(".verdict")?.textContent !== old, before);
  const took = Date.now() - start;
  console.log(`twenty rooms: ${took} ms`);
  assert.ok(took < 1500, `${took} ms`);
  await done();
});
