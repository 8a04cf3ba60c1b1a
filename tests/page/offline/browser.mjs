// SPDX-License-Identifier: Apache-2.0
// A browser that has no network and tells every console message.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import assert from "node:assert/strict";
import { chromium } from "playwright-core";

const require = createRequire(import.meta.url);
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

export const widths = [1280, 390];

export const launch = () =>
  chromium.launch({
    executablePath: process.env.LEANSIDE_BROWSER ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu"],
  });

/** The page from disk, offline. `done` fails where it asked for anything or wrote to the console. */
export async function openPage(browser, file, width, more = {}) {
  const context = await browser.newContext({
    viewport: { width, height: width > 600 ? 800 : 844 },
    acceptDownloads: true,
    offline: true,
    ...more,
  });
  const page = await context.newPage();
  const heard = [];
  page.on("console", (message) => heard.push(message.text()));
  page.on("pageerror", (fault) => heard.push(String(fault)));
  page.on("request", (request) => {
    const url = request.url();
    if (url !== `file://${file}` && !url.startsWith("blob:") && !url.startsWith("data:"))
      heard.push(`asked for ${url}`);
  });
  await page.goto(`file://${file}`);
  await page.getByRole("heading", { level: 1 }).waitFor();
  const done = async () => {
    assert.deepEqual(heard, []);
    await context.close();
  };
  return { page, done };
}

/** Nothing that axe finds, and nothing wider than the window. */
export async function expectUsable(page, where) {
  // The rules run in the page's own world by the protocol of the browser, past its policy for scripts.
  const session = await page.context().newCDPSession(page);
  const evaluated = async (expression) => {
    const { result, exceptionDetails } = await session.send("Runtime.evaluate", {
      expression,
      awaitPromise: true,
      returnByValue: true,
    });
    if (exceptionDetails) throw new Error(exceptionDetails.exception?.description ?? exceptionDetails.text);
    return result.value;
  };
  await evaluated(`${axe}; null`);
  const violations = await evaluated(
    "axe.run(document, { resultTypes: ['violations'] }).then((r) => r.violations.map((v) => " +
      "v.id + ': ' + v.nodes.map((n) => n.target.join(' ') + ' ' + n.failureSummary).join(' | ')))",
  );
  assert.deepEqual(violations, [], where);
  const over = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  assert.ok(over <= 0, `${where}: ${over} pixels too wide`);
  await session.detach();
}

/** The answer that belongs to what is now in the page. */
export async function verdict(page) {
  const narrow = (await page.viewportSize()).width < 900;
  if (narrow) await page.getByRole("navigation").getByRole("button", { name: "Answer" }).click();
  const found = page.locator(".verdict").first();
  await found.waitFor({ timeout: 20000 });
  await page.waitForTimeout(400);
  return (await found.textContent()).trim();
}

export const step = (page, name) => page.getByRole("navigation").getByRole("button", { name, exact: true }).click();

/** Pastes text into a field as from the clipboard. */
export async function pasteInto(page, label, text) {
  await page.getByLabel(label, { exact: false }).evaluate((field, pasted) => {
    const data = new DataTransfer();
    data.setData("text/plain", pasted);
    field.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
  }, text);
}

/** The text of the file that "Save as a file" gives. */
export async function saved(page) {
  const download = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save as a file" }).click();
  return readFileSync(await (await download).path(), "utf8");
}
