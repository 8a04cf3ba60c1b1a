// SPDX-License-Identifier: Apache-2.0
/** The parts of a reply that the page reads; docs/results.md describes them all. */

export interface Fault {
  level: "error" | "notice";
  file: string;
  line: number;
  column: number;
  message: string;
}
export interface FindingWords {
  severity: string;
  where: string;
  when: string;
  act: string;
}
export interface Screen {
  verdict: string;
  findings: FindingWords[];
  look_at: string[];
  not_judged: string[];
  assumptions: string[];
}
export interface Instant {
  time_s: number;
  lfl_fraction: number;
  oxygen: number;
  state: string;
}
export interface SpaceAnswer {
  id: string;
  peak: Instant;
  end: Instant;
  worst: { lfl_fraction: number; state: string; oxygen_lowest: number };
  crossings: { threshold: string; up_s: number; down_s: number | null }[];
  flammable_s: number;
  flammable_from_s: number | null;
  air_changes_per_h: number | null;
  pressure_pa: number;
}
export interface Zone {
  release: string;
  space: string;
  reach_m: number;
  keep_out_m: number;
}
/** One of the jars that fill one after the other over water; times in s, volumes in m3, shares mol/mol. */
export interface Jar {
  filled_s: number;
  volume_m3: number;
  fuel: number;
  oxygen: number;
  state: string;
}
/** What a vessel on a bench may do. Times are from the start of the run. */
export interface BenchAnswer {
  space: string;
  sealed: boolean;
  left_alone_s: number | null;
  violent_in_any_amount: boolean;
  flame: { lit: boolean };
  air: { density_kg_m3: number; surrounding_density_kg_m3: number };
  window: {
    may_strike_back_from_s: number;
    may_strike_back_at_latest_s: number | null;
    too_lean_from_s: number | null;
    mixed_from_s: number | null;
    mixed_until_s: number | null;
    unmixed_s: number | null;
  } | null;
  course: { time_s: number; mixed_fuel: number; unmixed_level: number }[];
  fuel: number;
  collection: { jars: Jar[]; jars_in_all: number; jar_m3: number } | null;
}
export interface CaseAnswer {
  id: string;
  name: string;
  spaces: SpaceAnswer[];
  zones: Zone[];
  experiments: BenchAnswer[];
}
export interface Remaining {
  worst: number;
  over: boolean;
}
export interface Warning {
  rank: number;
  severity: string;
  case: string;
  space: string;
  lfl_fraction: number;
  time_s: number | null;
  release?: string;
  summary: string;
  remedy: string;
  remedy_kind: string;
  extra_air_m3_s: number | null;
  vent_area_m2?: number | null;
  causes: { release: string; share: number; initial?: string }[];
  stop: { releases: string[] } | null;
  reduction?: { releases: string[]; share: number } | null;
  opening?: { fan: string; missing: string; free_area_m2: number } | null;
}
export interface Answer {
  site: { title: string };
  conditions: { pressure_pa: number };
  criteria: { warn_at: number; note_at: number; horizon_s: number };
  limits: { gas: string; lower: number; upper: number }[];
  cases: CaseAnswer[];
  warnings: Warning[];
  findings: { severity: string; space: string; cases: string[]; warnings: number[] }[];
  assumptions: { sentence: string }[];
  calls_for_action: boolean;
}
export interface Line {
  lfl_fraction: (number | null)[];
  oxygen: (number | null)[];
  state: string;
}
export interface SpaceCourse extends Line {
  id: string;
  interface_m?: number[];
  gas_above?: boolean;
  lower?: Line;
  upper?: Line;
}
export interface CaseCourse {
  case: string;
  time_s: number[];
  spaces: SpaceCourse[];
}
export interface CheckReply {
  code: number;
  faults?: Fault[];
  document?: { version: string; caution: string; answer: Answer };
  screen?: Screen;
  course?: CaseCourse[];
}
export interface TextReply {
  code: number;
  faults?: Fault[];
  text?: string;
}
export interface SubstanceEntry {
  id: string;
  name: string;
}
