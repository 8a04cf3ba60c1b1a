// SPDX-License-Identifier: Apache-2.0
/** What a vessel on a bench holds at a moment, and how that goes on; from the answer of the engine. */
import type { Answer, BenchAnswer, CaseCourse, SpaceCourse } from "../engine/reply";
import { tubeOf } from "./geometry";
import { si } from "./quantity";
import { isTable, type Item, list, type Table, text } from "./site";

/** Too rich to burn, can burn, too lean to burn. */
export type Phase = "rich" | "burns" | "lean";
export interface Stretch {
  phase: Phase;
  from: number;
  /** s; null: as long as it is followed. */
  to: number | null;
}

export const benchesOf = (answer: Answer, caseId: string): BenchAnswer[] =>
  answer.cases.find((one) => one.id === caseId)?.experiments ?? [];

/** Nothing happens in a case outside of its vessels on the bench. */
export function onlyBench(answer: Answer, caseId: string): boolean {
  const benches = benchesOf(answer, caseId).map((one) => one.space);
  const spaces = answer.cases.find((one) => one.id === caseId)?.spaces ?? [];
  return (
    benches.length > 0 &&
    spaces.every((one) => benches.includes(one.id) || one.worst.lfl_fraction < answer.criteria.note_at)
  );
}

const phaseOf = (state: string | undefined): Phase =>
  state === "f" ? "burns" : state === "r" || state === "i" ? "rich" : "lean";

/** Joins neighbours of one phase. */
function joined(stretches: Stretch[]): Stretch[] {
  const out: Stretch[] = [];
  for (const one of stretches) {
    const last = out.at(-1);
    if (last && last.phase === one.phase) last.to = one.to;
    else if (one.to === null || one.to > one.from) out.push({ ...one });
  }
  return out;
}

function ofCourse(times: number[], space: SpaceCourse, until: number): Stretch[] {
  const out: Stretch[] = [];
  for (let i = 0; i < times.length && (times[i] ?? 0) < until; ++i) {
    const to = times[i + 1];
    out.push({
      phase: phaseOf(space.state[i]),
      from: times[i] ?? 0,
      to: to === undefined ? null : Math.min(to, until),
    });
  }
  return out;
}

/** How it goes on: while gas comes in by the course of the run, then by the window in which the content can burn. */
export function stretchesOf(bench: BenchAnswer, course: CaseCourse): Stretch[] {
  const space = course.spaces.find((one) => one.id === bench.space);
  if (!space) return [];
  if (!bench.window) return joined(ofCourse(course.time_s, space, Infinity));
  const { may_strike_back_from_s: from, too_lean_from_s: until } = bench.window;
  const alone = bench.left_alone_s ?? 0;
  const out = ofCourse(course.time_s, space, alone);
  if (from > alone) out.push({ phase: "rich", from: alone, to: from });
  out.push({ phase: "burns", from, to: until });
  if (until !== null) out.push({ phase: "lean", from: until, to: null });
  return joined(out);
}

/** s, of the drawing: a little more than what happens takes. */
export function spanOf(stretches: Stretch[], course: CaseCourse): number {
  const end = course.time_s.at(-1) ?? 1;
  const last = stretches.at(-1)?.from ?? 0;
  return last > 0 ? Math.max(1.25 * last, 1) : end;
}

/** One way in which entering air may behave. */
export interface Bound {
  id: "mixed" | "apart";
  /** Share of the gas space that `phase` fills; the rest is air. */
  level: number;
  /** The air lies over the content (it does over a heavy gas). */
  air_above: boolean;
  phase: Phase;
}

export const phaseAt = (stretches: Stretch[], time: number): Phase =>
  stretches.filter((one) => one.from <= time).at(-1)?.phase ?? "lean";

/** Both bounds at a time after the vessel was left alone; before that, and where gas goes on coming, one drawing. */
export function boundsAt(bench: BenchAnswer, stretches: Stretch[], time: number): Bound[] {
  if (!bench.window || time < (bench.left_alone_s ?? 0) || bench.course.length === 0) {
    return [{ id: "mixed", level: 1, air_above: false, phase: phaseAt(stretches, time) }];
  }
  const { mixed_from_s, mixed_until_s, unmixed_s } = bench.window;
  const mixed: Phase =
    time < (mixed_from_s ?? Infinity) ? "rich" : time <= (mixed_until_s ?? Infinity) ? "burns" : "lean";
  const point = bench.course.filter((one) => one.time_s <= time).at(-1) ?? bench.course[0];
  const gone = unmixed_s !== null && time >= unmixed_s;
  const air_above = bench.air.density_kg_m3 > bench.air.surrounding_density_kg_m3;
  return [
    { id: "mixed", level: 1, air_above, phase: mixed },
    { id: "apart", level: gone ? 0 : (point?.unmixed_level ?? 1), air_above, phase: gone ? "lean" : "rich" },
  ];
}

export interface Hole {
  at: "top" | "bottom" | "side";
  /** Of the inner height, from the bottom. */
  height: number;
  /** Of the inner diameter. */
  width: number;
  flame: boolean;
}
export interface Glass {
  /** Metres, inside. */
  diameter: number;
  height: number;
  /** Share of the volume that liquid fills. */
  liquid: number;
  mouth: "up" | "down" | "shut" | "tube";
  flame: boolean;
  holes: Hole[];
}

const holeOf = (one: Table, diameter: number, height: number): Hole => {
  const at = text(one.at) === "top" || text(one.at) === "bottom" ? (text(one.at) as "top" | "bottom") : "side";
  const up = at === "top" ? 1 : at === "bottom" ? 0 : (si(one.height) ?? height / 2) / height;
  return { at, height: up, width: Math.min(1, (si(one.diameter) ?? 0) / diameter), flame: one.flame === true };
};

/** What a vessel looks like; null where its size is not known. `leads_out`: an airway of the file leads out of it. */
export function glassOf(space: Item, leads_out: boolean): Glass | null {
  const tube = tubeOf(space);
  if (!tube) return null;
  const { diameter, height } = tube;
  const volume = si(space.volume) ?? (Math.PI / 4) * diameter ** 2 * height;
  const word = text(space.mouth);
  const mouth = word === "up" || word === "down" ? word : space.collect !== undefined || leads_out ? "tube" : "shut";
  return {
    diameter,
    height,
    liquid: Math.min(1, (si(space.liquid) ?? 0) / volume),
    mouth,
    flame: space.flame === true,
    holes: list(space.openings)
      .filter(isTable)
      .map((one) => holeOf(one, diameter, height)),
  };
}
