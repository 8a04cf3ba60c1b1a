// SPDX-License-Identifier: Apache-2.0
/** Advice of the engine that can be put into a copy of the site at once. */
import type { Warning } from "../engine/reply";
import { added, changed, type Doc, find, freeId, nameOf, removed, type Table, text, type Value } from "./site";
import { short, split } from "./quantity";
import { sizeOf } from "./geometry";
import { isLayered } from "./layers";

export interface Change {
  kind: "air" | "stop" | "less" | "opening" | "vents";
  /** What the words of the change name: a flow, an area, a release, a share. */
  words: string[];
  doc: Doc;
}

/** Two significant figures, never less than `value`. */
export function roundedUp(value: number): number {
  if (value <= 0) return 0;
  const unit = 10 ** (Math.floor(Math.log10(value)) - 1);
  return Number((Math.ceil(value / unit - 1e-9) * unit).toPrecision(2));
}

function roundedDown(value: number): number {
  const unit = 10 ** (Math.floor(Math.log10(value)) - 1);
  return Number((Math.floor(value / unit + 1e-9) * unit).toPrecision(2));
}

/** The key that says how much a release gives. */
const sizeKeys: Record<string, string> = { steady: "rate", fittings: "each", dump: "amount", spill: "area" };

function less(doc: Doc, warning: Warning): Change | null {
  const id = warning.reduction?.releases[0];
  const share = warning.reduction?.share ?? 0;
  const release = id === undefined ? undefined : find(doc.site, "release", id);
  if (!release || warning.reduction?.releases.length !== 1 || share <= 0) return null;
  const key = sizeKeys[text(release.kind)];
  const value: Value | undefined = key === undefined ? undefined : release[key];
  if (key === undefined || typeof value !== "string") return null;
  const { number, unit } = split(value);
  const next = `${roundedDown(Number(number) * share)} ${unit}`;
  return {
    kind: "less",
    words: [nameOf(release), `${next}`],
    doc: changed(doc, "release", release.id, { [key]: next }),
  };
}

function moreAir(doc: Doc, warning: Warning): Change | null {
  const flow = warning.extra_air_m3_s;
  if (!flow || flow <= 0) return null;
  const hourly = `${roundedUp(flow * 3600)} m3/h`;
  const id = freeId(doc.site, `more-air-${warning.space}`);
  const space = find(doc.site, "space", warning.space);
  const height: Table = space && isLayered(doc, space.id) ? { height: `${short(sizeOf(space).height / 2, 3)} m` } : {};
  const item = { id, kind: "exchange", between: ["outside", warning.space], flow: hourly, ...height };
  return { kind: "air", words: [hourly], doc: added(doc, "airway", item) };
}

function vents(doc: Doc, warning: Warning): Change | null {
  const area = warning.vent_area_m2;
  const space = find(doc.site, "space", warning.space);
  if (!area || !space) return null;
  const square = roundedUp(area * 1e4);
  const discharge = 0.6; // as the advice was computed
  const gap = (id: string, height: number) => ({
    id: freeId(doc.site, id),
    kind: "gap",
    between: [warning.space, "outside"],
    leakage_area: `${short(square * discharge, 4)} cm2`,
    exponent: 0.5,
    height: `${short(height, 4)} m`,
  });
  const low = added(doc, "airway", gap(`low-vent-${warning.space}`, 0));
  const both = added(low, "airway", gap(`high-vent-${warning.space}`, sizeOf(space).height));
  return { kind: "vents", words: [`${square} cm2`], doc: both };
}

function opening(doc: Doc, warning: Warning): Change | null {
  if (!warning.opening) return null;
  const id = freeId(doc.site, `inlet-${warning.space}`);
  return {
    kind: "opening",
    words: [],
    doc: added(doc, "airway", { id, kind: "opening", between: ["outside", warning.space] }),
  };
}

function stopped(doc: Doc, warning: Warning): Change | null {
  const id = warning.stop?.releases[0] ?? warning.release;
  const release = id === undefined ? undefined : find(doc.site, "release", id);
  if (doc.site.release.length < 2) return null; // without its only source a place is safe: nothing to try
  return release ? { kind: "stop", words: [nameOf(release)], doc: removed(doc, "release", release.id) } : null;
}

/** What can be tried against a warning, the source first. */
export function changesFor(doc: Doc, warning: Warning): Change[] {
  const found = [stopped, less, moreAir, vents, opening].map((make) => make(doc, warning));
  return found.filter((one): one is Change => one !== null);
}
