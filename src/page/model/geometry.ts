// SPDX-License-Identifier: Apache-2.0
/** Where everything stands in the plan and in the side view, metres. What the file does not say is placed in order. */
import { type Box, type Doc, type Item, type Point, sidesOf, text } from "./site";
import { si } from "./quantity";

export interface Placed extends Box {
  item: Item;
  height: number;
  elevation: number;
  /** The room in which a cabinet, vessel or junction is drawn; null: it stands alone. */
  inside: string | null;
}

const usualHeight = 2.5;
const cubeBelow = 15; // m3: the engine takes a smaller room without a height as a cube

/** Diameter and height inside of a vessel, metres; what the file does not say follows from its volume. */
export function tubeOf(space: Item): { diameter: number; height: number } | null {
  if (text(space.kind) !== "vessel") return null;
  const diameter = si(space.diameter),
    height = si(space.height),
    volume = si(space.volume);
  if (diameter !== null && height !== null) return { diameter, height };
  if (volume === null || !(volume > 0)) return null;
  const across =
    diameter ?? (height !== null ? Math.sqrt((4 * volume) / Math.PI / height) : Math.cbrt((4 * volume) / Math.PI));
  return { diameter: across, height: height ?? (4 * volume) / Math.PI / across ** 2 };
}

export function sizeOf(space: Item): { area: number; height: number } {
  const area = si(space.floor_area),
    height = si(space.height),
    volume = si(space.volume);
  const tube = tubeOf(space);
  if (tube) return { area: (Math.PI / 4) * tube.diameter ** 2, height: tube.height };
  if (area !== null && height !== null) return { area, height };
  if (volume !== null && area !== null) return { area, height: volume / area };
  if (volume !== null && height !== null) return { area: volume / height, height };
  if (volume !== null) {
    const room = text(space.kind) === "room" && volume >= cubeBelow;
    return room
      ? { area: volume / usualHeight, height: usualHeight }
      : { area: volume ** (2 / 3), height: Math.cbrt(volume) };
  }
  if (area !== null) return { area, height: usualHeight };
  return { area: 0.04, height: 0.2 };
}

/**
 * The room that a cabinet or vessel is drawn in: that of stands_in, else the first room that an airway joins to it, else,
 * of a vessel, the only room.
 */
export function roomAround(doc: Doc, space: Item): string | null {
  if (text(space.kind) === "room") return null;
  if (space.stands_in) return text(space.stands_in) === "outside" ? null : text(space.stands_in);
  for (const airway of doc.site.airway) {
    const sides = sidesOf(airway);
    if (!sides.includes(space.id)) continue;
    const other = sides[0] === space.id ? sides[1] : sides[0];
    if (doc.site.space.some((one) => one.id === other && text(one.kind) === "room")) return other;
  }
  const rooms = doc.site.space.filter((one) => text(one.kind) === "room");
  return rooms.length === 1 && text(space.kind) === "vessel" ? (rooms[0]?.id ?? null) : null;
}

function boxOf(doc: Doc, space: Item, at: Point): Placed {
  const { area, height } = sizeOf(space);
  const known = doc.layout.boxes[space.id];
  const width = known && known.width > 0 ? known.width : Math.sqrt(area);
  const depth = known && known.width > 0 ? area / known.width : Math.sqrt(area);
  const place = known ?? at;
  return {
    item: space, x: place.x, y: place.y, width, depth, height,
    elevation: si(space.elevation) ?? 0, inside: null,
  }; // prettier-ignore
}

/** Every space with its box. Rooms that nobody placed stand side by side, cabinets along the wall of their room. */
export function placed(doc: Doc): Placed[] {
  const out: Placed[] = [];
  let right = 0,
    row = 0,
    next = 0;
  const floor = doc.site.space.reduce((sum, one) => sum + (roomAround(doc, one) === null ? sizeOf(one).area : 0), 0);
  const longest = Math.max(14, 1.3 * Math.sqrt(floor)); // metres, of a row
  for (const space of doc.site.space) {
    if (roomAround(doc, space) !== null) continue;
    if (right > longest) {
      row = next;
      right = 0;
    }
    const box = boxOf(doc, space, { x: right, y: row });
    next = Math.max(next, box.y + box.depth + 1);
    right = Math.max(right, box.x + box.width + (text(space.kind) === "room" ? 0.4 : 0.8));
    out.push(box);
  }
  const used: Record<string, number> = {};
  for (const space of doc.site.space) {
    const inside = roomAround(doc, space);
    if (inside === null) continue;
    const room = out.find((one) => one.item.id === inside);
    const along = used[inside] ?? 0.2;
    const box = boxOf(doc, space, { x: (room?.x ?? 0) + along, y: (room?.y ?? 0) + 0.1 });
    used[inside] = along + box.width + 0.4;
    out.push({ ...box, inside, elevation: box.elevation + (room && !space.elevation ? room.elevation : 0) });
  }
  return out;
}

/** Where the middle of an airway is drawn: on the wall between its spaces, or on an outer wall. */
export function airwayPoint(doc: Doc, boxes: Placed[], airway: Item, place: number): Point {
  const known = doc.layout.points[`airway:${airway.id}`];
  if (known) return known;
  const [a, b] = sidesOf(airway).map((id) => boxes.find((one) => one.item.id === id));
  if (a && b) {
    const small = a.inside === b.item.id ? a : b.inside === a.item.id ? b : null;
    if (small) return { x: small.x + small.width / 2, y: small.y + small.depth };
    const left = a.x <= b.x ? a : b,
      right = a.x <= b.x ? b : a;
    const y = Math.max(left.y, right.y) + (0.25 + 0.2 * (place % 4)) * Math.min(left.depth, right.depth);
    return { x: (left.x + left.width + right.x) / 2, y };
  }
  const only = a ?? b;
  if (!only) return { x: 0, y: 0 };
  const share = 0.15 + ((0.3 * place) % 0.8);
  return { x: only.x + share * only.width, y: place % 2 === 0 ? only.y : only.y + only.depth };
}

const mostInRow = 5;

/** Where a source is drawn: those of a space in rows. */
export function releasePoint(doc: Doc, boxes: Placed[], release: Item): Point {
  const known = doc.layout.points[`release:${release.id}`];
  if (known) return known;
  const box = boxes.find((one) => one.item.id === release.into);
  if (!box) return { x: 0, y: 0 };
  const here = doc.site.release.filter((one) => one.into === release.into);
  const columns = Math.min(here.length, mostInRow);
  const rows = Math.ceil(here.length / columns);
  const at = Math.max(0, here.indexOf(release));
  return {
    x: box.x + (((at % columns) + 0.5) / columns) * box.width,
    y: box.y + ((Math.floor(at / columns) + 0.5) / rows) * box.depth,
  };
}
