// SPDX-License-Identifier: Apache-2.0
/** A site as the page holds it: what stands in the site file (docs/site-file.md), and where things stand in the drawing. */

export type Value = string | number | boolean | Value[] | { [key: string]: Value };
export type Table = { [key: string]: Value };
export type Item = Table & { id: string };
export type Kind = "space" | "airway" | "release" | "gas" | "case";
export const kinds: readonly Kind[] = ["space", "airway", "release", "gas", "case"];

export type SiteTable = Table & {
  title: string;
  space: Item[];
  airway: Item[];
  release: Item[];
  gas: Item[];
  case: Item[];
};

export interface Box {
  x: number;
  y: number;
  width: number;
  depth: number;
}
export interface Point {
  x: number;
  y: number;
}
export interface Layout {
  /** Metres, by id of a space. */
  boxes: Record<string, Box>;
  /** Metres, by "airway:ID" or "release:ID". */
  points: Record<string, Point>;
  /** What the user does not know, as "space:ID:key": a cautious value stands there. */
  unsure: string[];
}
export interface Doc {
  file: string;
  site: SiteTable;
  layout: Layout;
}

export const emptyLayout = (): Layout => ({ boxes: {}, points: {}, unsure: [] });

export function emptySite(title: string): SiteTable {
  return { title, space: [], airway: [], release: [], gas: [], case: [] };
}

export const text = (value: Value | undefined): string => (typeof value === "string" ? value : "");
export const list = (value: Value | undefined): Value[] => (Array.isArray(value) ? value : []);
export const isTable = (value: Value | undefined): value is Table =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** What people call a thing: its name, or else its id. */
export const nameOf = (item: Table): string => text(item.name) || text(item.id);

export function find(site: SiteTable, kind: Kind, id: string): Item | undefined {
  return site[kind].find((item) => item.id === id);
}

/** The two sides of an airway, ids of spaces or "outside". */
export function sidesOf(airway: Table): [string, string] {
  const between = list(airway.between);
  if (between.length === 2) return [text(between[0]), text(between[1])];
  return [text(airway.from), text(airway.to)];
}

/** "gas-tap", "gas-tap-2", ...: an id that nothing of the site has. */
export function freeId(site: SiteTable, wish: string): string {
  const base =
    wish
      .toLowerCase()
      .normalize("NFD")
      .replace(/[^a-z0-9]+/g, "-")
      .replace(/^-+|-+$/g, "") || "thing";
  const taken = new Set(kinds.flatMap((kind) => site[kind].map((item) => item.id)));
  if (base !== "outside" && base !== "normal" && !taken.has(base)) return base;
  for (let n = 2; ; ++n) if (!taken.has(`${base}-${n}`)) return `${base}-${n}`;
}

/** "F1", "F2", ...: an id that stands in sentences as the name of a way for air, which has no other. */
export function freeSign(site: SiteTable, letter: string): string {
  const taken = new Set(kinds.flatMap((kind) => site[kind].map((item) => item.id)));
  for (let n = 1; ; ++n) if (!taken.has(`${letter}${n}`)) return `${letter}${n}`;
}

/** A copy in which a way for air is called otherwise, and everything that refers to it too. Null: the name is taken. */
export function renamedAirway(doc: Doc, id: string, wish: string): Doc | null {
  const next = wish.trim().replace(/[^A-Za-z0-9._-]+/g, "-");
  const taken = kinds.some((kind) => doc.site[kind].some((item) => item.id === next));
  if (next === "" || next === "outside" || next === "normal" || taken) return null;
  const follow = (event: Value): Value => (isTable(event) && event.airway === id ? { ...event, airway: next } : event);
  const site: SiteTable = { ...doc.site };
  site.airway = site.airway.map((one) => (one.id === id ? { ...one, id: next } : one));
  site.case = site.case.map((one) => ({ ...one, event: list(one.event).map(follow) }));
  if (site.event) site.event = list(site.event).map(follow);
  const key = (one: string) => (one.startsWith(`airway:${id}:`) ? `airway:${next}:${one.slice(8 + id.length)}` : one);
  const { [`airway:${id}`]: at, ...points } = doc.layout.points;
  if (at) points[`airway:${next}`] = at;
  return { ...doc, site, layout: { ...doc.layout, points, unsure: doc.layout.unsure.map(key) } };
}

/** A copy with one item changed; a value of undefined removes its key. */
export function changed(doc: Doc, kind: Kind, id: string, values: Record<string, Value | undefined>): Doc {
  const items = doc.site[kind].map((item) => {
    if (item.id !== id) return item;
    const next: Item = { ...item };
    for (const [key, value] of Object.entries(values)) {
      if (value === undefined) delete next[key];
      else next[key] = value;
    }
    return next;
  });
  return { ...doc, site: { ...doc.site, [kind]: items } };
}

export function added(doc: Doc, kind: Kind, item: Item): Doc {
  return { ...doc, site: { ...doc.site, [kind]: [...doc.site[kind], item] } };
}

const names = (event: Value, kind: Kind, id: string): boolean => isTable(event) && event[kind] === id;

/** A copy without an item and without what refers to it. */
export function removed(doc: Doc, kind: Kind, id: string): Doc {
  const site: SiteTable = { ...doc.site, [kind]: doc.site[kind].filter((item) => item.id !== id) };
  if (kind === "space") {
    const gone = site.airway.filter((airway) => sidesOf(airway).includes(id)).map((airway) => airway.id);
    site.airway = site.airway.filter((airway) => !gone.includes(airway.id));
    site.release = site.release.filter((release) => release.into !== id);
    site.space = site.space.map((space) => (space.stands_in === id ? without(space, "stands_in") : space));
  }
  const known = (event: Value): boolean =>
    !names(event, kind, id) &&
    isTable(event) &&
    (event.airway === undefined || site.airway.some((a) => a.id === event.airway)) &&
    (event.release === undefined || site.release.some((r) => r.id === event.release)) &&
    (event.space === undefined || site.space.some((s) => s.id === event.space));
  site.case = site.case
    .map((one) => ({ ...one, event: list(one.event).filter(known) }))
    .filter((one) => one.event.length > 0);
  if (site.event) site.event = list(site.event).filter(known);
  return { ...doc, site };
}

function without(item: Item, key: string): Item {
  const next: Item = { ...item };
  delete next[key];
  return next;
}

export const unsureKey = (kind: Kind, id: string, key: string): string => `${kind}:${id}:${key}`;
