// SPDX-License-Identifier: Apache-2.0
/** The share of the lower flammable limit over time, a plot for each space in which something happens. */
import type { Answer, CaseCourse, SpaceCourse } from "../engine/reply";
import { duration } from "../model/quantity";
import { type Doc, nameOf } from "../model/site";
import { t } from "../text";
import { Fold } from "./fold";
import { percentOf } from "./side";

/** Narrow where the window is, so that the letters stay readable. */
const width = typeof window === "object" && window.innerWidth < 700 ? 360 : 600;
const height = 150;
const left = 52;
const bottom = 22;

/** Up to the limit one scale, above it a logarithmic one, so that both can be read. */
function level(share: number, most: number): number {
  const limit = most > 1.5 ? 0.55 : 1 / Math.max(most, 0.3);
  const up = share <= 1 ? share * limit : limit + ((1 - limit) * Math.log(share)) / Math.log(Math.max(most, 1.5));
  return height - bottom - Math.min(1, Math.max(0, up)) * (height - bottom - 8);
}

function pathOf(course: CaseCourse, line: (number | null)[], most: number): string {
  const last = course.time_s.at(-1) || 1;
  let out = "";
  line.forEach((value, i) => {
    if (value === null) return;
    const x = left + ((course.time_s[i] ?? 0) / last) * (width - left - 8);
    out += `${out === "" ? "M" : "L"}${x.toFixed(1)} ${level(value, most).toFixed(1)}`;
  });
  return out;
}

/** Stretches of time in which the mixture is in one state, in any layer. */
function stretches(course: CaseCourse, space: SpaceCourse, state: string): [number, number][] {
  const out: [number, number][] = [];
  const last = course.time_s.at(-1) || 1;
  const x = (i: number) => left + ((course.time_s[i] ?? 0) / last) * (width - left - 8);
  const lines = space.lower && space.upper ? [space.lower, space.upper] : [space];
  const is = (i: number) => lines.some((one) => one.state[i] === state);
  for (let i = 0; i < course.time_s.length; ++i) {
    if (!is(i)) continue;
    const open = out.at(-1);
    if (open && i > 0 && is(i - 1)) open[1] = x(i);
    else out.push([x(i), x(i)]);
  }
  return out;
}

/** Below the curve: when it can be ignited (solid), when it is too rich (hollow). */
function States({ course, space }: { course: CaseCourse; space: SpaceCourse }) {
  const bars = (state: string, style: string) =>
    stretches(course, space, state).map(([from, to]) => (
      <rect
        key={`${state}${from}`}
        class={style}
        x={from}
        y={height - bottom}
        width={Math.max(2, to - from)}
        height={6}
      />
    ));
  return (
    <g>
      {bars("r", "hollow")}
      {bars("i", "hollow")}
      {bars("f", "burns")}
    </g>
  );
}

interface CurveProps {
  doc: Doc;
  answer: Answer;
  course: CaseCourse;
  space: SpaceCourse;
  at: number;
}

function lines(space: SpaceCourse): { name: string; values: (number | null)[] }[] {
  if (!space.lower || !space.upper) return [{ name: "", values: space.lfl_fraction }];
  return [
    { name: t.place.ceiling, values: space.upper.lfl_fraction },
    { name: t.place.floor, values: space.lower.lfl_fraction },
  ];
}

function Marks({ answer, most }: { answer: Answer; most: number }) {
  const one = answer.limits.length === 1 ? answer.limits[0] : undefined;
  const upper = one ? one.upper / one.lower : null;
  const top = upper !== null && upper < most ? level(upper, most) : level(most, most);
  return (
    <g>
      {most >= 1 && <rect class="band" x={left} y={top} width={width - left - 8} height={level(1, most) - top} />}
      {[answer.criteria.warn_at, 1, ...(upper !== null && upper < most ? [upper] : [])].map((share) => (
        <g key={share}>
          <path class="mark" d={`M${left} ${level(share, most)}H${width - 8}`} />
          <text x={left - 4} y={level(share, most) + 4} text-anchor="end">
            {percentOf(share)}
          </text>
        </g>
      ))}
    </g>
  );
}

export function Curve({ doc, answer, course, space, at }: CurveProps) {
  const drawn = lines(space);
  const most = Math.max(0.3, ...drawn.flatMap((one) => one.values.map((value) => value ?? 0))) * 1.05;
  const last = course.time_s.at(-1) || 1;
  const x = left + ((course.time_s[at] ?? 0) / last) * (width - left - 8);
  const item = doc.site.space.find((one) => one.id === space.id);
  const name = item ? nameOf(item) : space.id;
  return (
    <figure class="curve">
      <figcaption>{name}</figcaption>
      <svg viewBox={`0 0 ${width} ${height}`} role="img" aria-label={`${name}: ${t.answer.course_help}`}>
        <Marks answer={answer} most={most} />
        <States course={course} space={space} />
        {drawn.map((one, i) => (
          <path key={one.name} class={`line line-${i}`} d={pathOf(course, one.values, most)} />
        ))}
        <path class="now" d={`M${x} 4V${height - bottom}`} />
        <path class="axis" d={`M${left} 4V${height - bottom}H${width - 8}`} />
        {[0, 0.25, 0.5, 0.75, 1].map((share) => (
          <text
            key={share}
            x={left + share * (width - left - 8)}
            y={height - 5}
            text-anchor={share === 1 ? "end" : "middle"}
          >
            {duration(share * last)}
          </text>
        ))}
      </svg>
    </figure>
  );
}

function Numbers({ course, doc }: { course: CaseCourse; doc: Doc }) {
  const every = Math.max(1, Math.floor(course.time_s.length / 12));
  const rows = course.time_s.map((time, i) => ({ time, i })).filter((one) => one.i % every === 0);
  return (
    <div class="wide" tabIndex={0} role="region" aria-label={t.answer.numbers}>
      <table>
        <thead>
          <tr>
            <th scope="col">{t.answer.time}</th>
            {course.spaces.map((one) => (
              <th scope="col" key={one.id}>
                {nameOf(doc.site.space.find((item) => item.id === one.id) ?? { name: one.id })}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(({ time, i }) => (
            <tr key={i}>
              <th scope="row">{duration(time)}</th>
              {course.spaces.map((one) => (
                <td key={one.id}>{percentOf(one.lfl_fraction[i])}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

export function Curves({ doc, answer, course, at }: { doc: Doc; answer: Answer; course: CaseCourse; at: number }) {
  const worst = (space: SpaceCourse) =>
    Math.max(...lines(space).flatMap((one) => one.values.map((value) => value ?? 0)));
  const busy = course.spaces.filter((one) => worst(one) > 0.005).sort((a, b) => worst(b) - worst(a));
  return (
    <section aria-label={t.answer.course}>
      <h3>{t.answer.course}</h3>
      <p class="quiet">{t.answer.course_help}</p>
      {busy.slice(0, 4).map((space) => (
        <Curve key={space.id} doc={doc} answer={answer} course={course} space={space} at={at} />
      ))}
      <Fold title={t.answer.numbers} content={() => <Numbers course={course} doc={doc} />} />
    </section>
  );
}
