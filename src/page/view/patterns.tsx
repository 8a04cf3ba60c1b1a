// SPDX-License-Identifier: Apache-2.0
/** The patterns that stand for what a space holds; colours only add to them. */

/** How a filling is drawn: the unit of length of the drawing, and which patterns are its own. */
export interface Pen {
  unit: number;
  prefix: string;
}

type Dot = [x: number, y: number, radius: number];

/** n: note, m: close to the limit, f: can burn, r: too rich, i: too little oxygen. Each drawing has its own. */
export function Patterns({ pen }: { pen: Pen }) {
  const pattern = (state: string, drawing: string, wide: number, dots: Dot[] = []) => (
    <pattern
      id={`${pen.prefix}-${state}`}
      class={`state-${state}`}
      width="1"
      height="1"
      patternUnits="userSpaceOnUse"
      patternTransform={`scale(${pen.unit * 0.7})`}
    >
      {drawing && <path d={drawing} stroke-width={wide} />}
      {dots.map(([x, y, r]) => (
        <circle key={x} cx={x} cy={y} r={r} />
      ))}
    </pattern>
  );
  return (
    <defs>
      {pattern("n", "", 0, [[0.5, 0.5, 0.07]])}
      {pattern("m", "", 0, [
        [0.25, 0.25, 0.12],
        [0.75, 0.75, 0.12],
      ])}
      {pattern("f", "M0 1L1 0M-0.25 0.25L0.25 -0.25M0.75 1.25L1.25 0.75", 0.2)}
      {pattern("r", "M0 1L1 0M0 0L1 1", 0.16)}
      {pattern("i", "M0 0.5H1", 0.14)}
    </defs>
  );
}
