// SPDX-License-Identifier: Apache-2.0
// Puts the parts of the page into one file: assemble.mjs PARTS ENGINE.wasm OUTPUT.html. The policy allows the one script
// and the one style sheet by their digests, and nothing from anywhere else.
import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";

const [parts, engine, output] = process.argv.slice(2);
const here = dirname(fileURLToPath(import.meta.url));
const part = (name) => readFileSync(join(parts, name), "utf8").trim();
const digest = (text) => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;
/** Keeps a text from ending the element in which it stands. */
const contained = (text) => text.replaceAll("</script", "<\\/script").replaceAll("<!--", "<\\!--");

const script = contained(part("page.js"));
const style = part("page.css");
const policy = [
  "default-src 'none'",
  `script-src ${digest(script)} 'wasm-unsafe-eval'`,
  `style-src ${digest(style)}`,
  "worker-src blob:",
  "img-src data:",
  "base-uri 'none'",
  "form-action 'none'",
].join("; ");
const notices = readFileSync(join(here, "../../docs/third-party-notices.txt"), "utf8").trim();
if (notices.includes("--")) throw new Error("a comment cannot hold the notices");
const values = {
  NOTICES: notices,
  POLICY: policy,
  STYLE: style,
  SITE: "",
  WORKER: contained(part("worker.js")),
  ENGINE: gzipSync(readFileSync(engine), { level: 9 }).toString("base64"),
  SCRIPT: script,
};
const template = readFileSync(join(here, "page.html"), "utf8");
const page = template.replace(/\b(NOTICES|POLICY|STYLE|SITE|WORKER|ENGINE|SCRIPT)\b/g, (name) => values[name]);
const most = 6_000_000;
if (page.length > most) throw new Error(`the page has ${page.length} bytes, more than ${most}`);
writeFileSync(output, page);
