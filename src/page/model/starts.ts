// SPDX-License-Identifier: Apache-2.0
/** What a user can begin with: a room, or a store of cylinders. */
import { type Doc, emptyLayout, emptySite, type Item, type SiteTable } from "./site";

const docOf = (site: SiteTable, file: string): Doc => ({ file, site, layout: emptyLayout() });

export function roomStart(words: { title: string; room: string; tap: string; left_open: string }): Doc {
  const site = emptySite(words.title);
  site.space = [
    { id: "room", name: words.room, kind: "room", floor_area: "24 m2", height: "2.7 m", air_changes: "0.3 /h" },
  ];
  site.release = [
    { id: "tap", name: words.tap, kind: "steady", into: "room", gas: "natural-gas", rate: "15 L/min", on: false },
  ];
  site.case = [{ id: "tap-left-open", name: words.left_open, event: [{ at: "0 s", release: "tap", on: true }] }];
  const doc = docOf(site, "room.toml");
  doc.layout.boxes = { room: { x: 0, y: 0, width: 6, depth: 4 } };
  return doc;
}

export interface CylinderRow {
  gas: string;
  count: string;
  size: string;
  pressure: string;
}

/** Sold as compressed gas: what a cylinder holds follows from its pressure. Of the others the label tells. */
const compressed = new Set([
  "hydrogen",
  "methane",
  "natural-gas",
  "carbon-monoxide",
  "nitrogen",
  "oxygen",
  "argon",
  "helium",
  "air",
]);

interface StoreWords {
  title: string;
  store: string;
  named(gas: string): string;
}

export function storeStart(words: StoreWords, rows: CylinderRow[]): Doc {
  const site = emptySite(words.title);
  site.space = [
    { id: "store", name: words.store, kind: "room", floor_area: "6 m2", height: "2.4 m", air_changes: "0.5 /h" },
  ];
  const used = new Set<string>();
  site.release = rows.map((row) => {
    let id = `${row.gas}-cylinder`.replace(/[^A-Za-z0-9_.-]+/g, "-");
    for (let n = 2; used.has(id); ++n) id = `${row.gas}-cylinder-${n}`;
    used.add(id);
    const again = rows.filter((one) => one.gas === row.gas).length > 1;
    const name = words.named(row.gas) + (again ? ` (${row.size})` : "");
    const item: Item = { id, name, kind: "cylinder", into: "store", gas: row.gas };
    item[/kg|m3/.test(row.size) ? "contents" : "water_volume"] = row.size;
    if (row.pressure) item.pressure = row.pressure;
    else if (item.water_volume && compressed.has(row.gas)) item.pressure = "200 bar"; // common practice, no source
    if (Number(row.count) > 1) item.count = Number(row.count);
    return item;
  });
  const doc = docOf(site, "cylinder-store.toml");
  doc.layout.boxes = { store: { x: 0, y: 0, width: 3, depth: 2 } };
  return doc;
}

/** "50" is "50 L"; a decimal comma becomes a point. */
const withUnit = (cell: string, unit: string): string => {
  const plain = cell.replace(",", ".");
  return /^[\d.]+$/.test(plain) ? `${plain} ${unit}` : plain;
};

/** Rows of a spreadsheet: gas, number, size, pressure; with tabs, semicolons or commas between. Headings are left out. */
export function rowsOf(pasted: string): CylinderRow[] {
  return pasted
    .split(/\r?\n/)
    .map((line) => line.split(/\t|;|,(?!\d)/).map((cell) => cell.trim()))
    .filter((cells) => (cells[0] ?? "") !== "" && /^\d*$/.test(cells[1] ?? ""))
    .map((cells) => ({
      gas: (cells[0] ?? "").toLowerCase().replace(/\s+/g, "-"),
      count: cells[1] || "1",
      size: withUnit(cells[2] || "50", "L"),
      pressure: withUnit(cells[3] ?? "", "bar"),
    }));
}
