// SPDX-License-Identifier: Apache-2.0
// How long the page takes to answer a change of a place with twenty rooms, in its worker.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import assert from "node:assert/strict";
import { openPage, step, verdict } from "./browser.mjs";
import { browser, file, folder, openForm } from "./journey.mjs";

/** Twenty rooms in a row with a leak at one end; `more` goes to its end. */
export function twentyRooms(more = "") {
  let text = 'title = "Twenty rooms"\n';
  for (let i = 0; i < 20; ++i) {
    text += `[[space]]\nid = "r${i}"\nkind = "room"\nvolume = "60 m3"\nair_changes = "0.5 /h"\n`;
    if (i > 0)
      text += `[[airway]]\nid = "d${i}"\nkind = "exchange"\nbetween = ["r${i - 1}", "r${i}"]\nflow = "20 m3/h"\n`;
  }
  return `${text}[[release]]\nid = "tap"\nkind = "steady"\ninto = "r0"\ngas = "methane"\nrate = "5 L/min"\n${more}`;
}

/** Milliseconds from typing a flow to the verdict for it, of each of `flows`. */
async function times(page, flows) {
  const out = [];
  for (const flow of flows) {
    const took = await page.evaluate(
      (typed) =>
        new Promise((resolve) => {
          const labels = [...document.querySelectorAll("label")];
          const field = document.getElementById(labels.find((one) => one.textContent === "Gas flow").htmlFor);
          const verdict = () => document.querySelector(".verdict").textContent;
          const before = verdict();
          const watch = new MutationObserver(() => {
            if (verdict() === before) return;
            watch.disconnect();
            resolve(performance.now() - start);
          });
          watch.observe(document.body, { subtree: true, childList: true, characterData: true });
          field.value = typed;
          const start = performance.now();
          field.dispatchEvent(new Event("input", { bubbles: true }));
        }),
      String(flow),
    );
    out.push(took);
    await page.waitForTimeout(300);
  }
  return out;
}

const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];

test("an answer to twenty rooms comes within a blink", async () => {
  const { page, done } = await openPage(browser, file, 1280);
  writeFileSync(join(folder, "twenty.toml"), twentyRooms());
  await page.locator('input[type="file"]').setInputFiles(join(folder, "twenty.toml"));
  await verdict(page);
  await step(page, "The place");
  await openForm(page, "tap");
  const took = await times(page, [50, 20, 80, 30, 60, 25, 70, 35, 90]);
  console.log(`twenty rooms: ${took.map((one) => one.toFixed(0)).join(", ")} ms; median ${median(took).toFixed(0)} ms`);
  // 100 ms is for an idle machine; on a busy one this still tells a page that has become slow.
  assert.ok(median(took) < 500, `${median(took)} ms`);
  await done();
});
