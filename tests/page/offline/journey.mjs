// SPDX-License-Identifier: Apache-2.0
// What the journeys share: the page and the program under test, pictures, paper.
import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import assert from "node:assert/strict";
import { expectUsable, launch, openPage, step, widths } from "./browser.mjs";

export const [file, program, top] = process.env.LEANSIDE_TEST.split("|");
export const folder = mkdtempSync(join(tmpdir(), "leanside-"));
const pictures = process.env.LEANSIDE_PICTURES; // a folder for screenshots
if (pictures) mkdirSync(pictures, { recursive: true });
export const browser = await launch();
after(() => browser.close());

export const look = async (page, name) => {
  if (pictures)
    await page.screenshot({
      path: join(pictures, `${name}.png`),
      fullPage: true,
    });
};

/** What the program says of a file that the page saved. */
export function checked(text) {
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
export const openForm = (page, name) => page.locator(".items button", { hasText: name }).first().click();

export const journey = (name, walk, more = {}) => {
  for (const width of widths) {
    test(`${name}, ${width} px`, async () => {
      const { page, done } = await openPage(browser, file, width, more);
      await walk(page, width);
      await done();
    });
  }
};

/** Prints what is chosen: each sheet is one side of A4. How many there are. */
export async function sheets(page, name) {
  const paper = await page.pdf({ preferCSSPageSize: true });
  if (pictures && name) writeFileSync(join(pictures, `print-${name}.pdf`), paper);
  const sides = (paper.toString("latin1").match(/\/Type\s*\/Page\b/g) ?? []).length;
  assert.equal(sides, await page.locator(".sheet").count(), "one side for each room");
  return sides;
}

/** Goes to "Print" and prints; each sheet says what has to be on it, and names no place twice in a finding. */
export async function printed(page, name) {
  await step(page, "Print");
  await page.locator(".sheet").first().waitFor();
  await expectUsable(page, "print");
  await look(page, `print-${name}`);
  const sides = await sheets(page, name);
  const words = await page.locator(".sheet").first().innerText();
  for (const word of ["Date", "Name", "Signature", "screening aid"]) assert.match(words, new RegExp(word));
  const twice = await page.locator(".sheet .findings li").evaluateAll((all) =>
    all
      .map((one) => {
        const badge = one.querySelector(".badge").textContent.length;
        const place = one.querySelector("h3").textContent.slice(badge).trim().split(",")[0];
        return `${place}: ${one.querySelector("p").textContent}`;
      })
      .filter((one) => one.startsWith(`${one.split(": ")[0]}: When: ${one.split(": ")[0]}`)),
  );
  assert.deepEqual(twice, [], "a place is named twice");
  return { sides, words };
}
