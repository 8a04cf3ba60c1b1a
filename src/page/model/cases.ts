// SPDX-License-Identifier: Apache-2.0
/** Failures as switches: each is a case with one event, which the switch adds or takes away. */
import { added, type Doc, freeId, isTable, type Item, list, nameOf, type Table, text } from "./site";

export type SwitchKind = "fan" | "opening" | "release";

export interface Switch {
  kind: SwitchKind;
  id: string;
  name: string;
  event: Table;
  /** The case that is this failure and nothing else. */
  made: Item | undefined;
}

function sameEvent(one: Table, other: Table): boolean {
  return one.airway === other.airway && one.release === other.release && one.on === other.on;
}

function caseOf(doc: Doc, event: Table): Item | undefined {
  return doc.site.case.find((one) => {
    const events = list(one.event).filter(isTable);
    const first = events[0];
    return events.length === 1 && first !== undefined && sameEvent(first, event);
  });
}

/** A cylinder without a leak: the engine tries its leaks by itself. */
const onlyStored = (release: Table): boolean => release.kind === "cylinder" && release.hole === undefined;

export function switches(doc: Doc): Switch[] {
  const out: Switch[] = [];
  const put = (kind: SwitchKind, item: Item, event: Table) =>
    out.push({ kind, id: item.id, name: nameOf(item), event, made: caseOf(doc, event) });
  for (const airway of doc.site.airway) {
    const kind = text(airway.kind) === "fan" ? "fan" : "opening";
    if (airway.on !== false) put(kind, airway, { at: "0 s", airway: airway.id, on: false });
  }
  for (const release of doc.site.release) {
    if (release.on === false && !onlyStored(release))
      put("release", release, { at: "0 s", release: release.id, on: true });
  }
  return out;
}

/** Adds the case of a switch, or takes it away. */
export function toggled(doc: Doc, one: Switch, name: string): Doc {
  if (one.made) {
    const gone = one.made.id;
    return { ...doc, site: { ...doc.site, case: doc.site.case.filter((item) => item.id !== gone) } };
  }
  const id = freeId(doc.site, `${one.id}-${one.kind === "release" ? "on" : "off"}`);
  return added(doc, "case", { id, name, event: [one.event] });
}

const together = "all-at-once";

export const hasTogether = (doc: Doc): boolean => doc.site.case.some((one) => one.id === together);

/** A case in which everything that is switched on happens at once; or without it. */
export function togetherToggled(doc: Doc, name: string): Doc {
  const rest = { ...doc, site: { ...doc.site, case: doc.site.case.filter((one) => one.id !== together) } };
  if (hasTogether(doc)) return rest;
  const events = switches(doc)
    .filter((one) => one.made)
    .map((one) => one.event);
  return events.length < 2 ? doc : added(rest, "case", { id: together, name, event: events });
}

export function withEvents(doc: Doc, caseId: string, events: Table[]): Doc {
  const cases =
    events.length === 0
      ? doc.site.case.filter((one) => one.id !== caseId)
      : doc.site.case.map((one) => (one.id === caseId ? { ...one, event: events } : one));
  return { ...doc, site: { ...doc.site, case: cases } };
}
