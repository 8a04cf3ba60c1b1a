// SPDX-License-Identifier: Apache-2.0
/** A vessel on a bench from the side, to scale, with its liquid, its gas and its openings. */
import { useId } from "preact/hooks";
import type { Bound, Glass, Hole } from "../model/bench";
import { Patterns, type Pen } from "./patterns";

/** Units of the drawing: where the vessel stands, and what its inside may take. */
const middle = 75;
const foot = 170;
const widest = 96;
const tallest = 120;

interface Frame {
  left: number;
  right: number;
  top: number;
  /** Surface of the liquid. */
  surface: number;
}

function frameOf(glass: Glass): Frame {
  const scale = Math.min(widest / glass.diameter, tallest / glass.height);
  const half = Math.max(8, (scale * glass.diameter) / 2);
  const high = scale * glass.height;
  return { left: middle - half, right: middle + half, top: foot - high, surface: foot - high * glass.liquid };
}

/** The gas, and the air where that stays apart from it. */
function Content({ bound, frame, pen }: { bound: Bound; frame: Frame; pen: Pen }) {
  const space = frame.surface - frame.top;
  const high = space * bound.level;
  const top = bound.air_above ? frame.surface - high : frame.top;
  const edge = bound.air_above ? top : top + high;
  const pattern = bound.phase === "burns" ? "f" : "r";
  return (
    <g>
      {bound.phase !== "lean" && (
        <rect
          class={`air state-${pattern}`}
          fill={`url(#${pen.prefix}-${pattern})`}
          x={frame.left}
          y={top}
          width={frame.right - frame.left}
          height={high}
        />
      )}
      {bound.level < 1 && bound.level > 0 && <path class="edge" d={`M${frame.left} ${edge}H${frame.right}`} />}
    </g>
  );
}

function Liquid({ frame }: { frame: Frame }) {
  if (frame.surface >= foot) return null;
  const rows = [];
  for (let y = frame.surface + 6; y < foot - 1; y += 7) rows.push(`M${frame.left + 3} ${y}H${frame.right - 3}`);
  return (
    <g class="liquid">
      <rect x={frame.left} y={frame.surface} width={frame.right - frame.left} height={foot - frame.surface} />
      <path d={`M${frame.left} ${frame.surface}H${frame.right}${rows.join("")}`} />
    </g>
  );
}

const flameAt = (x: number, y: number, up: number): string =>
  `M${x} ${y}c-7 ${-7 * up} -4 ${-13 * up} 0 ${-20 * up}c4 ${7 * up} 7 ${13 * up} 0 ${20 * up}z`;

function Opening({ hole, frame, burning }: { hole: Hole; frame: Frame; burning: boolean }) {
  const half = Math.max(3, (hole.width * (frame.right - frame.left)) / 2);
  const y = foot - (foot - frame.top) * hole.height;
  const gap =
    hole.at === "side" ? `M${frame.right} ${y - half}V${y + half}` : `M${middle - half} ${y}H${middle + half}`;
  const flame =
    hole.at === "side" ? flameAt(frame.right + 6, y + 4, 1) : flameAt(middle, y, hole.at === "top" ? 1 : -1);
  return (
    <g>
      <path class="hole" d={gap} />
      {hole.flame && burning && <path class="flame" d={flame} />}
    </g>
  );
}

function Walls({ glass, frame, burning }: { glass: Glass; frame: Frame; burning: boolean }) {
  const { left, right, top } = frame;
  const upright = `M${left} ${top}V${foot}H${right}V${top}`;
  const turned = `M${left} ${foot}V${top}H${right}V${foot}`;
  const tube = glass.mouth === "tube" ? `M${middle} ${top}V${top - 16}H${right + 22}V${top + 24}` : "";
  const walls = glass.mouth === "down" ? turned : glass.mouth === "up" ? upright : `${upright}z`;
  const stopper = glass.mouth === "shut" && glass.holes.length === 0;
  return (
    <g>
      <path class="wall" d={walls + tube} />
      {stopper && <rect class="stopper" x={middle - 14} y={top - 7} width={28} height={10} />}
      {glass.holes.map((hole) => (
        <Opening key={`${hole.at}${hole.height}`} hole={hole} frame={frame} burning={burning} />
      ))}
      {glass.flame && burning && (
        <path class="flame" d={glass.mouth === "down" ? flameAt(middle, foot, -1) : flameAt(middle, top, 1)} />
      )}
    </g>
  );
}

interface ApparatusProps {
  glass: Glass;
  /** What stands below it. */
  size: string;
  bound: Bound;
  caption: string;
  words: string;
}

export function Apparatus({ glass, size, bound, caption, words }: ApparatusProps) {
  const pen: Pen = { unit: 12, prefix: useId() };
  const frame = frameOf(glass);
  return (
    <figure>
      <svg
        class="apparatus"
        role="img"
        aria-label={caption === "" ? words : `${caption}: ${words}`}
        viewBox="0 0 150 200"
      >
        <Patterns pen={pen} />
        <Content bound={bound} frame={frame} pen={pen} />
        <Liquid frame={frame} />
        <path class="bench" d="M10 173H140" />
        <Walls glass={glass} frame={frame} burning={bound.phase !== "lean"} />
        <text x="75" y="190" text-anchor="middle">
          {size}
        </text>
      </svg>
      {caption !== "" && (
        <figcaption>
          {caption}: {words}
        </figcaption>
      )}
    </figure>
  );
}
