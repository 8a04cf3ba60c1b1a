// SPDX-License-Identifier: Apache-2.0
/** What the vessels of an experiment hold: a drawing at a moment, how it goes on, the jars, the pressure. */
import { useState } from "preact/hooks";
import type { Answer, BenchAnswer, CaseCourse, Jar } from "../engine/reply";
import { benchesOf, boundsAt, glassOf, type Phase, phaseAt, spanOf, type Stretch, stretchesOf } from "../model/bench";
import { duration, short } from "../model/quantity";
import { type Doc, find, type Item, nameOf, sidesOf, text } from "../model/site";
import { t } from "../text";
import { Apparatus } from "./apparatus";
import { TimeSlider } from "./slider";

const phaseWords = (bench: BenchAnswer, phase: Phase): string => (bench.flame.lit ? t.bench.lit : t.bench.unlit)[phase];

function stretchWords(one: Stretch): string {
  if (one.to === null) return one.from > 0 ? t.bench.from(duration(one.from)) : t.bench.all_along;
  return one.from > 0 ? t.bench.between(duration(one.from), duration(one.to)) : t.bench.until(duration(one.to));
}

/** Lean, burning and rich over time: a bar, and the same in words. */
function Phases({
  bench,
  stretches,
  span,
  time,
}: {
  bench: BenchAnswer;
  stretches: Stretch[];
  span: number;
  time: number;
}) {
  const width = 600;
  const x = (seconds: number) => 4 + (Math.min(seconds, span) / span) * (width - 8);
  const told = stretches.map((one) => `${stretchWords(one)}: ${phaseWords(bench, one.phase)}`);
  return (
    <>
      <svg
        class="phases"
        role="img"
        aria-label={told.join("; ")}
        viewBox={`0 0 ${width} 44`}
        preserveAspectRatio="none"
      >
        {stretches.map((one) => (
          <rect
            key={one.from}
            class={one.phase}
            x={x(one.from)}
            y={one.phase === "lean" ? 24 : 8}
            width={Math.max(2, x(one.to ?? span) - x(one.from))}
            height={one.phase === "lean" ? 4 : 20}
          />
        ))}
        <path class="now" d={`M${x(time)} 2V34`} />
      </svg>
      <ul class="phase-list">
        {stretches.map((one, i) => (
          <li key={one.from}>
            <span class={`swatch ${one.phase}`} aria-hidden="true" /> {told[i]}
          </li>
        ))}
      </ul>
    </>
  );
}

const jarState = (jar: Jar): Phase =>
  jar.state === "flammable" ? "burns" : jar.state === "rich" || jar.state === "inerted" ? "rich" : "lean";

function Jars({ bench }: { bench: BenchAnswer }) {
  const collection = bench.collection;
  if (!collection) return null;
  const percent = (share: number) => (share > 0 && share < 1e-3 ? t.bench.trace : `${short(100 * share, 2)} %`);
  const left = collection.jars_in_all - collection.jars.length;
  return (
    <>
      <div class="wide" tabIndex={0} role="region" aria-label={t.bench.jars}>
        <table>
          <caption>{t.bench.jars}</caption>
          <thead>
            <tr>
              {[t.bench.jar, t.bench.full_after, t.bench.fuel, t.bench.oxygen, t.bench.when_lit].map((one) => (
                <th scope="col" key={one}>
                  {one}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {collection.jars.map((jar, i) => (
              <tr key={i}>
                <th scope="row">{i + 1}</th>
                <td>
                  {duration(jar.filled_s)}
                  {jar.volume_m3 < 0.995 * collection.jar_m3 &&
                    ` (${t.bench.partly(percent(jar.volume_m3 / collection.jar_m3))})`}
                </td>
                <td>{percent(jar.fuel)}</td>
                <td>{percent(jar.oxygen)}</td>
                <td>
                  <span class={`swatch ${jarState(jar)}`} aria-hidden="true" /> {t.bench.jar_states[jarState(jar)]}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {left > 0 && <p class="quiet">{t.answer.more(left)}</p>}
    </>
  );
}

function leadsOut(doc: Doc, space: Item): boolean {
  return doc.site.airway.some((one) => one.on !== false && sidesOf(one).includes(space.id));
}

interface BenchProps {
  doc: Doc;
  answer: Answer;
  course: CaseCourse;
  bench: BenchAnswer;
  /** On paper: the first moment at which it can burn, without a slider. */
  still?: boolean;
}

export function Bench({ doc, answer, course, bench, still }: BenchProps) {
  const stretches = stretchesOf(bench, course);
  const span = spanOf(stretches, course);
  const steps = 60;
  const times = Array.from({ length: steps + 1 }, (_, i) => (span * i) / steps);
  const burns = stretches.find((one) => one.phase === "burns")?.from ?? 0;
  const first = bench.left_alone_s === 0 ? (bench.window?.mixed_from_s ?? burns) : burns;
  const [chosen, set] = useState<number | null>(null);
  const at = Math.min(chosen ?? Math.ceil((first / span) * steps), steps);
  const time = chosen === null ? first : (times[at] ?? 0);
  const bounds = boundsAt(bench, stretches, time);
  const space = find(doc.site, "space", bench.space);
  const glass = space ? glassOf(space, leadsOut(doc, space)) : null;
  if (!space || !glass || stretches.length === 0) return null;
  const measured = space.diameter !== undefined || space.height !== undefined;
  const size = measured ? t.bench.size(100 * glass.diameter, 100 * glass.height) : text(space.volume);
  const result = answer.cases.find((one) => one.id === course.case)?.spaces.find((one) => one.id === bench.space);
  const pressed = result !== undefined && result.pressure_pa > 1.02 * answer.conditions.pressure_pa;
  return (
    <section class="bench-view" aria-label={nameOf(space)}>
      <h3>{nameOf(space)}</h3>
      <p>
        {t.answer.after(duration(time))}: <b>{phaseWords(bench, phaseAt(stretches, time))}</b>
      </p>
      <div class="glasses">
        {bounds.map((bound) => (
          <Apparatus
            key={bound.id}
            glass={glass}
            size={size}
            bound={bound}
            caption={bounds.length > 1 ? t.bench.bounds[bound.id] : ""}
            words={bounds.length > 1 ? t.bench.inside[bound.phase] : phaseWords(bench, bound.phase)}
          />
        ))}
      </div>
      {!still && <TimeSlider times={times} at={at} set={set} time={time} />}
      <Phases bench={bench} stretches={stretches} span={span} time={time} />
      {bounds.length > 1 && <p class="quiet">{t.bench.bounds_help}</p>}
      {pressed && result && (
        <p>
          <b>{t.answer.pressure}:</b>{" "}
          {t.bench.pressure(
            short(result.pressure_pa / 1e5, 3),
            short(result.pressure_pa / answer.conditions.pressure_pa, 2),
          )}
        </p>
      )}
      <Jars bench={bench} />
    </section>
  );
}

const most = 4;

/** The vessels of a case, at most four. */
export function Benches({ doc, answer, course }: { doc: Doc; answer: Answer; course: CaseCourse }) {
  return (
    <>
      {benchesOf(answer, course.case)
        .slice(0, most)
        .map((one) => (
          <Bench key={one.space} doc={doc} answer={answer} course={course} bench={one} />
        ))}
    </>
  );
}
