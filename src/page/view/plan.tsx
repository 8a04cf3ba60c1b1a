// SPDX-License-Identifier: Apache-2.0
/** The place from above, to scale. Things are dragged, or moved with the arrow keys. */
import { useRef, useState } from "preact/hooks";
import { airwayPoint, placed, type Placed, releasePoint } from "../model/geometry";
import { type Doc, type Item, type Kind, nameOf, type Point, sidesOf, text } from "../model/site";
import { t } from "../text";
import { Flame, flamesOf, Links, Mark, signOf, type Thing } from "./marks";

interface PlanProps {
  doc: Doc;
  change: (doc: Doc) => void;
  select: (kind: Kind, id: string) => void;
  selected: { kind: Kind; id: string } | null;
}
interface Grip extends Thing {
  from: Point;
  moved: boolean;
}

const step = 0.1;
const onGrid = (value: number): number => Math.round(value / step) * step;

function movedDoc(doc: Doc, boxes: Placed[], thing: Thing, to: Point): Doc {
  const at = { x: onGrid(to.x), y: onGrid(to.y) };
  if (thing.kind !== "space") {
    const points = { ...doc.layout.points, [`${thing.kind}:${thing.id}`]: at };
    return { ...doc, layout: { ...doc.layout, points } };
  }
  const next = { ...doc.layout.boxes };
  const box = boxes.find((one) => one.item.id === thing.id);
  if (!box) return doc;
  const shift = { x: at.x - box.x, y: at.y - box.y };
  for (const one of boxes) {
    if (one.item.id !== thing.id && one.inside !== thing.id) continue;
    next[one.item.id] = { x: one.x + shift.x, y: one.y + shift.y, width: one.width, depth: one.depth };
  }
  return { ...doc, layout: { ...doc.layout, boxes: next } };
}

const arrows: Record<string, Point> = {
  ArrowLeft: { x: -step, y: 0 },
  ArrowRight: { x: step, y: 0 },
  ArrowUp: { x: 0, y: -step },
  ArrowDown: { x: 0, y: step },
};

/** What a thing answers to: pointer and keys. */
function useMoving({ doc, change, select }: PlanProps, boxes: Placed[]) {
  const [grip, setGrip] = useState<Grip | null>(null);
  const [at, setAt] = useState<Point | null>(null);
  const svg = useRef<SVGSVGElement>(null);
  const metres = (event: PointerEvent): Point => {
    const matrix = svg.current?.getScreenCTM()?.inverse();
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix);
    return { x: point.x, y: point.y };
  };
  /** A flame is one of the answers in the form of its room. */
  const selectThing = ({ kind, id }: Thing) =>
    kind === "flame" ? select("space", id.slice(0, id.lastIndexOf(":"))) : select(kind, id);
  const handlers = (thing: Thing) => ({
    onPointerDown: (event: PointerEvent) => {
      event.stopPropagation();
      svg.current?.setPointerCapture(event.pointerId);
      setGrip({ ...thing, from: metres(event), moved: false });
    },
    onKeyDown: (event: KeyboardEvent) => {
      if (event.key === "Enter" || event.key === " ") {
        event.preventDefault();
        selectThing(thing);
      }
      const by = arrows[event.key];
      if (!by) return;
      event.preventDefault();
      change(movedDoc(doc, boxes, thing, { x: thing.at.x + by.x, y: thing.at.y + by.y }));
    },
  });
  const onPointerMove = (event: PointerEvent) => {
    if (!grip) return;
    const now = metres(event);
    const far = Math.hypot(now.x - grip.from.x, now.y - grip.from.y) > step / 2;
    if (far || grip.moved) {
      setGrip({ ...grip, moved: true });
      setAt({ x: grip.at.x + now.x - grip.from.x, y: grip.at.y + now.y - grip.from.y });
    }
  };
  const onPointerUp = () => {
    if (grip && grip.moved && at) change(movedDoc(doc, boxes, grip, at));
    else if (grip) selectThing(grip);
    setGrip(null);
    setAt(null);
  };
  const moving = grip && at ? movedDoc(doc, boxes, grip, at) : null;
  return { svg, handlers, moving, pointer: { onPointerMove, onPointerUp, onPointerCancel: onPointerUp } };
}

/** Of more ways for air only the chosen one is drawn, or those of the chosen space. */
const mostWays = 40;

export function Plan(props: PlanProps) {
  const boxes = placed(props.doc);
  const { svg, handlers, moving, pointer } = useMoving(props, boxes);
  const doc = moving ?? props.doc;
  const shown = moving ? placed(moving) : boxes;
  const frame = frameOf(boxes);
  const unit = frame.width / 40;
  const few = doc.site.airway.length <= mostWays;
  const is = (kind: string, id: string) => props.selected?.kind === kind && props.selected.id === id;
  const seen = (item: Item) => few || is("airway", item.id) || sidesOf(item).some((side) => is("space", side));
  const mark = (kind: "airway" | "release", place: number) => {
    const item = doc.site[kind][place];
    if (!item) return null;
    const at = kind === "airway" ? airwayPoint(doc, shown, item, place) : releasePoint(doc, shown, item);
    const thing = { kind, id: item.id, at };
    return (
      <Mark
        key={`${kind}:${item.id}`}
        thing={thing}
        kind={text(item.kind)}
        name={nameOf(item)}
        sign={signOf(kind, item, place)}
        turned={at.x > frame.x + 0.55 * frame.width}
        size={unit * (few ? 0.7 : 0.45)}
        chosen={is(kind, item.id)}
        handlers={handlers(thing)}
      />
    );
  };
  return (
    <figure>
      <figcaption>{t.place.plan}</figcaption>
      <svg
        ref={svg}
        class="plan"
        viewBox={`${frame.x} ${frame.y} ${frame.width} ${frame.height}`}
        role="group"
        aria-label={t.place.plan}
        {...pointer}
      >
        {shown.map((box) => {
          const thing: Thing = { kind: "space", id: box.item.id, at: { x: box.x, y: box.y } };
          return (
            <SpaceBox
              key={box.item.id}
              box={box}
              unit={unit}
              chosen={is("space", box.item.id)}
              handlers={handlers(thing)}
            />
          );
        })}
        {doc.site.airway.map(
          (item, i) =>
            seen(item) && (
              <Links
                key={item.id}
                from={airwayPoint(doc, shown, item, i)}
                boxes={shown.filter((box) => sidesOf(item).includes(box.item.id))}
              />
            ),
        )}
        {doc.site.airway.map((item, i) => seen(item) && mark("airway", i))}
        {doc.site.release.map((_, i) => mark("release", i))}
        {flamesOf(doc, shown).map(({ thing, name }) => (
          <Flame key={thing.id} thing={thing} name={name} size={unit * 0.7} handlers={handlers(thing)} />
        ))}
        <Scale frame={frame} unit={unit} />
      </svg>
      <p class="quiet">
        {t.place.plan_help} {!few && t.place.some_ways}
      </p>
    </figure>
  );
}

/** A name in lines of at most `most` letters; what does not fit ends in dots. */
function lined(name: string, most: number): string[] {
  const lines: string[] = [];
  for (const word of name.split(" ")) {
    const last = lines.at(-1);
    if (last !== undefined && `${last} ${word}`.length <= most) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines.map((one) => (one.length > most ? `${one.slice(0, most - 1)}…` : one));
}

function SpaceBox({ box, unit, chosen, handlers }: { box: Placed; unit: number; chosen: boolean; handlers: object }) {
  const name = nameOf(box.item);
  const longest = Math.max(...name.split(" ").map((one) => one.length));
  const letter = 0.57; // width of a letter, of its height
  const wide = 0.92 * box.width;
  const size = Math.max(0.65 * unit, Math.min(1.3 * unit, wide / (letter * longest)));
  const fits = Math.floor(wide / (letter * size));
  const lines = fits >= 3 ? lined(name, fits).slice(0, Math.floor(box.depth / size / 1.2)) : [];
  return (
    <g
      class={`space ${text(box.item.kind)} ${chosen ? "chosen" : ""}`}
      tabindex={0}
      role="button"
      aria-label={`${name}, ${t.kinds[text(box.item.kind)]}`}
      {...handlers}
    >
      <title>{name}</title>
      <rect x={box.x} y={box.y} width={box.width} height={box.depth} vector-effect="non-scaling-stroke" />
      {lines.map((line, i) => (
        <text
          key={line}
          x={box.x + 0.04 * box.width}
          y={box.y + box.depth - 0.4 * size - (lines.length - 1 - i) * 1.1 * size}
          font-size={size}
        >
          {line}
        </text>
      ))}
    </g>
  );
}

interface Frame {
  x: number;
  y: number;
  width: number;
  height: number;
}

export function frameOf(boxes: Placed[]): Frame {
  const left = Math.min(0, ...boxes.map((one) => one.x));
  const top = Math.min(0, ...boxes.map((one) => one.y));
  const right = Math.max(1, ...boxes.map((one) => one.x + one.width));
  const bottom = Math.max(1, ...boxes.map((one) => one.y + one.depth));
  const rim = 0.06 * Math.max(right - left, bottom - top);
  return { x: left - rim, y: top - rim, width: right - left + 2 * rim, height: bottom - top + 3.5 * rim };
}

/** A bar of a round number of metres. */
export function Scale({ frame, unit }: { frame: Frame; unit: number }) {
  const wish = frame.width / 5;
  const power = 10 ** Math.floor(Math.log10(wish));
  const metres = [5, 2, 1].map((n) => n * power).find((n) => n <= wish) ?? power;
  const y = frame.y + frame.height - unit * 0.8;
  const x = frame.x + unit;
  return (
    <g class="scale">
      <path d={`M${x} ${y - unit * 0.4}v${unit * 0.4}h${metres}v${-unit * 0.4}`} vector-effect="non-scaling-stroke" />
      <text x={x + metres + unit * 0.4} y={y} font-size={unit * 1.2}>
        {t.place.scale(String(Number(metres.toPrecision(3))))}
      </text>
    </g>
  );
}
