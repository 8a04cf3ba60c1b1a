// SPDX-License-Identifier: Apache-2.0
/** The place from the side, to scale, filled with what each space holds at a moment. */
import { useId } from "preact/hooks";
import type { CaseCourse, Line, SpaceCourse } from "../engine/reply";
import { placed, type Placed } from "../model/geometry";
import { short, si } from "../model/quantity";
import { type Doc, nameOf, text } from "../model/site";
import { t } from "../text";
import { Patterns, type Pen } from "./patterns";

interface SideProps {
  doc: Doc;
  /** Null: only the walls are drawn. */
  course: CaseCourse | null;
  /** Place of the moment in course.time_s. */
  at: number;
  /** Drawn small, with letters that can still be read. */
  paper?: boolean;
}

interface Drawn extends Placed {
  left: number;
}

/** Rooms side by side in the order of the plan; what stands in a room is drawn inside it. */
function fromTheSide(doc: Doc): Drawn[] {
  const boxes = placed(doc).filter((one) => one.item.kind !== "junction"); // points of ducts, without a size
  const out: Drawn[] = [];
  let left = 0;
  const alone = boxes.filter((one) => one.inside === null).sort((a, b) => a.x - b.x);
  const gap = 0.04 * alone.reduce((sum, one) => sum + one.width, 0);
  for (const room of alone) {
    const inner = boxes.filter((one) => one.inside === room.item.id);
    const between = 0.02 * room.width;
    const needed = inner.reduce((sum, one) => sum + one.width + between, between);
    const width = Math.max(room.width, inner.length > 0 ? needed : 0);
    out.push({ ...room, width, left });
    let at = left + Math.max(between, (width - needed) / 2);
    for (const one of inner) {
      out.push({ ...one, left: at });
      at += one.width + between;
    }
    left += width + gap;
  }
  return out;
}

/** A share of the lower limit as people read it; never rounded over the limit. */
export const percentOf = (share: number | null | undefined): string => {
  if (share === null || share === undefined) return "";
  const value = 100 * share;
  if (value >= 1000) return `${short(share, 2)} ×`;
  const rounded = Number(value.toPrecision(value >= 100 ? 3 : 2));
  return `${rounded >= 100 === value >= 100 ? rounded : Number(value.toPrecision(4))} %`;
};

interface FillProps {
  box: Drawn;
  line: Line;
  at: number;
  /** Metres above the floor. */
  from: number;
  to: number;
  pen: Pen;
}

function Fill({ box, line, at, from, to, pen }: FillProps) {
  const state = line.state[at] ?? "c";
  const top = -box.elevation - to;
  const high = Math.max(0, to - from);
  const { unit } = pen;
  const words = `${percentOf(line.lfl_fraction[at])}${state === "c" ? "" : ` ${t.answer.states[state] ?? ""}`}`;
  const wide = words.length * unit * 0.75 < box.width;
  const shown = high > unit * 1.4 && box.width > unit * 2.6;
  return (
    <g>
      <rect
        class={`air state-${state}`}
        fill={state === "c" ? "none" : `url(#${pen.prefix}-${state})`}
        x={box.left}
        y={top}
        width={box.width}
        height={high}
      />
      {shown && (
        <text class="level" x={box.left + unit * 0.4} y={top + unit * 1.4} font-size={unit * 1.2}>
          {wide ? words : percentOf(line.lfl_fraction[at])}
        </text>
      )}
    </g>
  );
}

function Contents({ box, space, at, pen }: { box: Drawn; space: SpaceCourse; at: number; pen: Pen }) {
  const edge = space.interface_m?.[at];
  if (edge === undefined || !space.lower || !space.upper) {
    return <Fill box={box} line={space} at={at} from={0} to={box.height} pen={pen} />;
  }
  return (
    <>
      <Fill box={box} line={space.lower} at={at} from={0} to={edge} pen={pen} />
      <Fill box={box} line={space.upper} at={at} from={edge} to={box.height} pen={pen} />
    </>
  );
}

function sentence(doc: Doc, course: CaseCourse | null, at: number): string {
  if (!course) return t.place.side;
  const drawn = course.spaces.filter((one) => doc.site.space.some((item) => item.id === one.id));
  const parts = drawn.map((one) => {
    const space = doc.site.space.find((item) => item.id === one.id);
    const state = t.answer.states[one.state[at] ?? "c"] ?? "";
    return `${space ? nameOf(space) : one.id}: ${percentOf(one.lfl_fraction[at])}, ${state}`;
  });
  return `${t.place.side}. ${parts.join("; ")}`;
}

function SpaceSide({ box, course, at, pen }: { box: Drawn; course: CaseCourse | null; at: number; pen: Pen }) {
  const space = course?.spaces.find((one) => one.id === box.item.id);
  const walls = { x: box.left, y: -box.elevation - box.height, width: box.width, height: box.height };
  return (
    <g class={`space ${text(box.item.kind)}`}>
      <rect class="ground" {...walls} />
      {space && <Contents box={box} space={space} at={at} pen={pen} />}
      <rect class="wall" {...walls} vector-effect="non-scaling-stroke" />
    </g>
  );
}

/** Where gas gets out, at the height that the file gives or at half the height of the space. */
function Sources({ doc, boxes, unit }: { doc: Doc; boxes: Drawn[]; unit: number }) {
  const drawn = doc.site.release.map((release) => {
    const box = boxes.find((one) => one.item.id === release.into);
    if (!box) return null;
    const here = doc.site.release.filter((one) => one.into === release.into);
    const x = box.left + (box.width * (here.indexOf(release) + 0.5)) / here.length;
    const y = -box.elevation - (si(release.height) ?? box.height / 2);
    const h = unit * 0.45;
    return (
      <path
        key={release.id}
        class="source"
        d={`M${x} ${y - h}l${h} ${h}l${-h} ${h}l${-h} ${-h}z`}
        vector-effect="non-scaling-stroke"
      />
    );
  });
  return <g>{drawn}</g>;
}

/** One space alone, with its releases, as if it stood nowhere. */
function alone(doc: Doc, id: string): Doc {
  const space = doc.site.space
    .filter((one) => one.id === id)
    .map((one) => ({ ...one, stands_in: "outside", elevation: "0 m" }));
  const release = doc.site.release.filter((one) => one.into === id);
  return { ...doc, site: { ...doc.site, space, release, airway: [] } };
}

export const mostDrawn = 12;

/** Of a large place the spaces that hold most gas at that moment, with the rooms in which they stand. */
function fullest(doc: Doc, course: CaseCourse | null, at: number): Doc {
  if (!course || doc.site.space.length <= mostDrawn) return doc;
  const held = (one: SpaceCourse) => one.lfl_fraction[at] ?? 0;
  const ids = new Set(
    [...course.spaces]
      .sort((a, b) => held(b) - held(a))
      .slice(0, mostDrawn / 2)
      .map((one) => one.id),
  );
  for (const one of placed(doc)) if (ids.has(one.item.id) && one.inside !== null) ids.add(one.inside);
  return { ...doc, site: { ...doc.site, space: doc.site.space.filter((one) => ids.has(one.id)) } };
}

/** The place, and whatever is too small to be seen in it once more, each at a scale of its own. */
export function SideView(props: SideProps) {
  const doc = fullest(props.doc, props.course, props.at);
  const boxes = fromTheSide(doc);
  const right = Math.max(0.01, ...boxes.map((one) => one.left + one.width));
  const most = 6;
  const seen = 0.12;
  const small = boxes.filter((one) => boxes.length > 1 && one.width < seen * right).slice(0, most);
  return (
    <>
      <Drawing {...props} doc={doc} caption={doc === props.doc ? t.place.side : t.place.fullest} />
      {small.length > 0 && (
        <div class="magnified">
          {small.map((one) => (
            <Drawing
              key={one.item.id}
              {...props}
              small
              doc={alone(doc, one.item.id)}
              caption={t.place.magnified(nameOf(one.item))}
            />
          ))}
        </div>
      )}
    </>
  );
}

/** The name of a room, in smaller letters where it is narrow; what does not fit ends in dots. */
function NameBelow({ box, y, unit }: { box: Drawn; y: number; unit: number }) {
  const name = nameOf(box.item);
  const letter = 0.6; // width of a letter, of its height
  const size = Math.max(0.75 * unit, Math.min(1.2 * unit, box.width / (letter * name.length)));
  const room = Math.max(3, Math.floor(box.width / size / letter));
  return (
    <text x={box.left} y={y} font-size={size}>
      {name.length > room ? `${name.slice(0, room - 1)}…` : name}
    </text>
  );
}

function Drawing({ doc, course, at, paper, caption, small }: SideProps & { caption: string; small?: boolean }) {
  const boxes = fromTheSide(doc);
  const right = Math.max(0.01, ...boxes.map((one) => one.left + one.width));
  const low = boxes.length > 0 ? Math.min(...boxes.map((one) => one.elevation)) : 0; // a room upstairs stands alone
  const top = Math.max(low + 0.01, ...boxes.map((one) => one.elevation + one.height));
  const rim = 0.04 * Math.max(right, top - low);
  const pen: Pen = { unit: Math.max(right, top - low) / (small ? 13 : paper ? 20 : 34), prefix: useId() };
  const { unit } = pen;
  return (
    <figure>
      <figcaption>{caption}</figcaption>
      <svg
        class="side"
        role="img"
        aria-label={sentence(doc, course, at)}
        viewBox={`${-rim} ${-top - rim} ${right + 2 * rim} ${top - low + 2 * rim + unit * 1.6}`}
      >
        <Patterns pen={pen} />
        {boxes.map((box) => (
          <SpaceSide key={box.item.id} box={box} course={course} at={at} pen={pen} />
        ))}
        <Sources doc={doc} boxes={boxes} unit={unit} />
        {boxes
          .filter((one) => one.inside === null)
          .map((one) => (
            <NameBelow key={one.item.id} box={one} y={-low + unit * 1.5} unit={unit} />
          ))}
      </svg>
    </figure>
  );
}
