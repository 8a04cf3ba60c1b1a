// SPDX-License-Identifier: Apache-2.0
/** Rooms in which gas may gather in a layer: what a site needs so that this is counted too. */
import { sizeOf } from "./geometry";
import { short } from "./quantity";
import { changed, type Doc, find, sidesOf, text } from "./site";

/** A copy in which a room is computed mixed and in layers. Heights that nobody gave are half the height of the room. */
export function withLayers(doc: Doc, id: string): Doc {
  const room = find(doc.site, "space", id);
  if (!room) return doc;
  const half = `${short(sizeOf(room).height / 2, 3)} m`;
  let next = changed(doc, "space", id, { stratification: "worse of both", mixing_factor: undefined });
  if (room.floor_area === undefined && room.height === undefined) {
    const { area, height } = sizeOf(room);
    const sized = { floor_area: `${short(area, 6)} m2`, height: `${short(height, 6)} m`, volume: undefined };
    next = changed(next, "space", id, sized);
  }
  for (const release of doc.site.release) {
    if (release.into === id && release.height === undefined && text(release.kind) !== "spill") {
      next = changed(next, "release", release.id, { height: half });
    }
  }
  for (const airway of doc.site.airway) {
    const needs = ["fan", "exchange"].includes(text(airway.kind)) && airway.height === undefined;
    if (needs && sidesOf(airway).includes(id)) next = changed(next, "airway", airway.id, { height: half });
  }
  return next;
}

export const isLayered = (doc: Doc, id: string): boolean => {
  const word = text(find(doc.site, "space", id)?.stratification);
  return word === "layered" || word === "worse of both";
};

/** The rooms of which the engine remarks that gas may gather there although they are computed as mixed, and where. */
export function mayLayer(messages: string[]): { id: string; place: "ceiling" | "floor" }[] {
  const found = new Map<string, "ceiling" | "floor">();
  for (const one of messages) {
    const match = /^space '([^']+)': .* may gather (?:under the|on the) (ceiling|floor), but is computed as mixed/.exec(
      one,
    );
    if (match?.[1]) found.set(match[1], match[2] === "ceiling" ? "ceiling" : "floor");
  }
  return [...found].map(([id, place]) => ({ id, place }));
}
