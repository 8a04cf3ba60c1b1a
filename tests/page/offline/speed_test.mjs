// SPDX-License-Identifier: Apache-2.0
// How long the page takes to answer a change of a place with twenty rooms, in its worker.
import { writeFileSync } from "node:fs";
import { cpus, loadavg } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
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

/** Milliseconds from typing a flow to the verdict for it and to the drawing of it, for each of `flows`. */
async function times(page, flows) {
  const out = [];
  for (const flow of flows) {
    const took = await page.evaluate(
      (typed) =>
        new Promise((resolve) => {
          const labels = [...document.querySelectorAll("label")];
          const field = document.getElementById(labels.find((one) => one.textContent === "Gas flow").htmlFor);
          const seen = () => document.querySelector(".verdict").textContent;
          const drawn = () => document.querySelector("#answer svg.side").getAttribute("aria-label");
          const before = { words: seen(), drawing: drawn() };
          const found = {};
          const watch = new MutationObserver(() => {
            const now = performance.now() - start;
            if (seen() !== before.words) found.words ??= now;
            if (drawn() !== before.drawing) found.drawing ??= now;
            if (found.words === undefined || found.drawing === undefined) return;
            watch.disconnect();
            resolve(found);
          });
          watch.observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true });
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

test("twenty rooms: each change brings its verdict and its drawing; how long that takes is printed", async () => {
  const { page, done } = await openPage(browser, file, 1280);
  writeFileSync(join(folder, "twenty.toml"), twentyRooms());
  await page.locator('input[type="file"]').setInputFiles(join(folder, "twenty.toml"));
  await verdict(page);
  await step(page, "The place");
  await openForm(page, "tap");
  const took = await times(page, [50, 20, 80, 30, 60, 25, 70, 35, 90, 40, 55, 22, 65, 45, 85]);
  for (const [part, name] of [["words", "verdict"], ["drawing", "drawing"]]) {
    const all = took.map((one) => one[part]);
    const figures = all.map((one) => one.toFixed(0)).join(", ");
    console.log(`twenty rooms, ${name}: ${figures} ms; median ${median(all).toFixed(0)} ms`);
  }
  console.log(`load of the machine: ${loadavg()[0].toFixed(1)} on ${cpus().length} cores`);
  await done();
});
