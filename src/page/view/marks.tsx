// SPDX-License-Identifier: Apache-2.0
/** What stands in the plan: ways for air, sources of gas, flames and sparks. */
import type { Placed } from "../model/geometry";
import { type Doc, type Item, type Kind, list, nameOf, type Point, text } from "../model/site";
import { t } from "../text";

export interface Thing {
  kind: "space" | "airway" | "release" | "flame";
  /** Of a flame "SPACE:NUMBER". */
  id: string;
  at: Point;
}

interface MarkProps {
  thing: Thing;
  kind: string;
  name: string;
  /** What the list beside the plan calls it: a number or a letter. */
  sign: string;
  size: number;
  chosen: boolean;
  /** Its name stands to its left, where there is more room. */
  turned: boolean;
  handlers: object;
}

const longestSign = 3;

/** The sign of an airway (its name if that is short, else 1, 2, ...) or of a source (a, b, ...), in plan and list. */
export function signOf(part: Kind, item: Item, place: number): string {
  if (part === "airway") return item.id.length <= longestSign ? item.id : String(place + 1);
  return part === "release" ? String.fromCharCode(97 + (place % 26)) : "";
}

/** Airways are squares, sources diamonds: told apart without colour. */
export function Mark({ thing, kind, name, sign, size, chosen, turned, handlers }: MarkProps) {
  const { x, y } = thing.at;
  const s = size;
  const square = `M${x - s} ${y - s}h${2 * s}v${2 * s}h${-2 * s}z`;
  const diamond = `M${x} ${y - 1.5 * s}l${1.5 * s} ${1.5 * s}l${-1.5 * s} ${1.5 * s}l${-1.5 * s} ${-1.5 * s}z`;
  return (
    <g
      class={`mark ${thing.kind} ${chosen ? "chosen" : ""}`}
      tabindex={0}
      role="button"
      aria-label={`${sign}: ${name}, ${t.kinds[kind] ?? kind}`}
      {...handlers}
    >
      <title>{name}</title>
      <path d={thing.kind === "airway" ? square : diamond} vector-effect="non-scaling-stroke" />
      <text
        x={x}
        y={y + 0.55 * s}
        font-size={(sign.length > 2 ? 0.9 : sign.length > 1 ? 1.25 : 1.6) * s}
        text-anchor="middle"
      >
        {sign}
      </text>
      {name !== sign && (
        <text
          class="full"
          x={x + (turned ? -2 : 2) * s}
          y={y + 0.6 * s}
          font-size={1.8 * s}
          text-anchor={turned ? "end" : "start"}
        >
          {name}
        </text>
      )}
    </g>
  );
}

/** From an airway to the spaces that it joins. */
export function Links({ from, boxes }: { from: Point; boxes: Placed[] }) {
  const within = (value: number, low: number, size: number) => Math.min(Math.max(value, low), low + size);
  const lines = boxes.map(
    (box) => `M${from.x} ${from.y}L${within(from.x, box.x, box.width)} ${within(from.y, box.y, box.depth)}`,
  );
  return <path class="link" d={lines.join("")} vector-effect="non-scaling-stroke" />;
}

/** What could ignite gas in each space; along a wall until somebody puts it where it is. */
export function flamesOf(doc: Doc, boxes: Placed[]): { thing: Thing; name: string }[] {
  return boxes.flatMap((box) =>
    list(box.item.ignition).map((one, i) => {
      const id = `${box.item.id}:${i}`;
      const wall = { x: box.x + Math.min(0.9, 0.2 * (i + 1)) * box.width, y: box.y + 0.15 * box.depth };
      const at = doc.layout.points[`flame:${id}`] ?? wall;
      return { thing: { kind: "flame" as const, id, at }, name: `${text(one)}, ${nameOf(box.item)}` };
    }),
  );
}

interface FlameProps {
  thing: Thing;
  name: string;
  size: number;
  handlers: object;
}

export function Flame({ thing, name, size: s, handlers }: FlameProps) {
  const { x, y } = thing.at;
  const drop = `M${x} ${y - 1.6 * s}q${1.6 * s} ${1.8 * s} 0 ${2.8 * s}q${-1.6 * s} ${-s} 0 ${-2.8 * s}z`;
  return (
    <g class="mark flame" tabindex={0} role="button" aria-label={t.place.ignition(name)} {...handlers}>
      <title>{t.place.ignition(name)}</title>
      <path d={drop} vector-effect="non-scaling-stroke" />
    </g>
  );
}
