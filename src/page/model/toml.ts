// SPDX-License-Identifier: Apache-2.0
/** Site files: read into a Doc, and written so that people can read them too. */
import { parse, TomlError } from "smol-toml";
import { type Doc, emptyLayout, isTable, type Item, type Kind, kinds, type Layout, type SiteTable } from "./site";
import { type Table, unsureKey, type Value } from "./site";

const layoutMark = "# Places in the drawing: ";

function bare(key: string): string {
  return /^[A-Za-z0-9_-]+$/.test(key) ? key : JSON.stringify(key);
}

function written(value: Value): string {
  if (typeof value === "string") return JSON.stringify(value).replaceAll("\u007f", "\\u007f");
  if (Array.isArray(value)) return `[${value.map(written).join(", ")}]`;
  if (isTable(value)) {
    const entries = Object.entries(value).map(([key, one]) => `${bare(key)} = ${written(one)}`);
    return entries.length > 0 ? `{ ${entries.join(", ")} }` : "{}";
  }
  return String(value);
}

/** Lists of events get a line each. */
function writtenEvents(value: Value[]): string {
  return `[\n${value.map((one) => `  ${written(one)},\n`).join("")}]`;
}

function line(key: string, value: Value, remark: string): string {
  const body = key === "event" && Array.isArray(value) && value.length > 1 ? writtenEvents(value) : written(value);
  return `${bare(key)} = ${body}${remark}\n`;
}

function section(header: string, table: Table, remarkOf: (key: string) => string): string {
  const lines = Object.entries(table).map(([key, value]) => line(key, value, remarkOf(key)));
  return `\n${header}\n${lines.join("")}`;
}

/** `remark` stands beside every value that the user does not know. */
export function toToml(doc: Doc, head: string, remark: string): string {
  const { site, layout } = doc;
  const lists: readonly string[] = kinds;
  let out = `${head
    .split("\n")
    .map((one) => `# ${one}\n`)
    .join("")}\n`;
  const entries = Object.entries(site).filter(([key]) => !lists.includes(key));
  for (const [key, value] of entries) if (!isTable(value)) out += line(key, value, "");
  for (const [key, value] of entries) if (isTable(value)) out += section(`[${bare(key)}]`, value, () => "");
  for (const kind of kinds) {
    for (const item of site[kind]) {
      const remarkOf = (key: string) => (layout.unsure.includes(unsureKey(kind, item.id, key)) ? `  # ${remark}` : "");
      out += section(`[[${kind}]]`, item, remarkOf);
    }
  }
  return `${out}\n${layoutMark}${JSON.stringify(layout)}\n`;
}

function layoutOf(source: string): Layout {
  const at = source.lastIndexOf(`\n${layoutMark}`);
  if (at < 0) return emptyLayout();
  try {
    const end = source.indexOf("\n", at + 1);
    const read = JSON.parse(source.slice(at + 1 + layoutMark.length, end < 0 ? undefined : end)) as Partial<Layout>;
    return { ...emptyLayout(), ...read };
  } catch {
    return emptyLayout();
  }
}

function plain(value: unknown): Value {
  if (typeof value === "bigint") return Number(value);
  if (value instanceof Date) return value.toString();
  if (Array.isArray(value)) return value.map(plain);
  if (typeof value === "object" && value !== null) {
    return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, plain(one)]));
  }
  return value as Value;
}

/** Null where the text is not TOML with a title and spaces; the engine tells why. */
export function fromToml(source: string, file: string): Doc | null {
  let table: Table;
  try {
    table = plain(parse(source)) as Table;
  } catch (fault) {
    if (fault instanceof TomlError) return null;
    throw fault;
  }
  if (typeof table.title !== "string") return null;
  const items = (kind: Kind): Item[] | null => {
    const value = table[kind] ?? [];
    if (!Array.isArray(value)) return null;
    return value.every((one) => isTable(one) && typeof one.id === "string") ? (value as Item[]) : null;
  };
  const site: Partial<SiteTable> & Table = { ...table };
  for (const kind of kinds) {
    const read = items(kind);
    if (!read) return null;
    site[kind] = read;
  }
  return { file, site: site as SiteTable, layout: layoutOf(source) };
}
