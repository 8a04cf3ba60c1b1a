// SPDX-License-Identifier: Apache-2.0
/** What the cards of experiments have in common. */
import type { Field } from "../forms";
import { si, split } from "../quantity";
import { type Doc, emptyLayout, emptySite, type Item, type Table } from "../site";

export type Answers = Record<string, string>;
export type CardField = Field & { usual: string };
export interface CardWords {
  title: string;
  names: Record<string, string>;
}

export interface Experiment {
  id: string;
  /** The keys are those of the catalogue, experiment.cards.ID.fields. */
  fields: CardField[];
  build(answers: Answers, words: CardWords): Doc;
}

export const roomField: CardField = { key: "room", type: "quantity", units: ["m3"], usual: "150 m3" };

export const roomOf = (answers: Answers, names: Record<string, string>): Item => ({
  id: "room",
  name: names.room ?? "",
  kind: "room",
  volume: answers.room ?? "150 m3",
  air_changes: "0.5 /h",
});

export const vesselField = (usual: string): CardField => ({
  key: "vessel",
  type: "quantity",
  units: ["mL", "L"],
  usual,
});
export const lengthField = (key: string, units: string[], usual: string): CardField => ({
  key,
  type: "quantity",
  units,
  usual,
});
export const timeField = (key: string, usual: string): CardField => ({
  key,
  type: "quantity",
  units: ["min", "s"],
  usual,
});

/** How long to follow it, so that everything is seen: `times` as long as `seconds`. */
export function followed(seconds: number | null, times: number): Table {
  if (seconds === null || !(seconds > 0)) return {};
  return { criteria: { horizon: `${Math.max(1, Math.ceil((times * seconds) / 60))} min` } };
}

/** Seconds in which a flow fills a volume. */
export function filledIn(volume: string | undefined, flow: string | undefined): number | null {
  const { number, unit } = split(flow ?? "");
  const [amount = "", time = ""] = unit.split("/");
  const v = si(volume),
    rate = si(`${number} ${amount}`),
    per = si(`1 ${time}`);
  return v !== null && rate !== null && per !== null && rate > 0 ? (v * per) / rate : null;
}

interface Parts {
  judged?: Table;
  space: Item[];
  airway?: Item[];
  release: Item[];
}

export function experiment(title: string, { judged = {}, space, airway = [], release }: Parts): Doc {
  const site = { ...emptySite(title), ...judged, space, airway, release };
  return { file: "experiment.toml", site, layout: emptyLayout() };
}

/** Air or gas that comes and goes by the mouth of a vessel. */
export const mouth = (vessel: string): Item => ({ id: "mouth", kind: "opening", between: [vessel, "room"] });

/** A solid and the liquid that it is put into, each reaction with the names of both. */
const reagents: Record<string, [string, string]> = {
  "magnesium-hydrochloric-acid": ["magnesium", "hydrochloric-acid"],
  "zinc-hydrochloric-acid": ["zinc", "hydrochloric-acid"],
  "zinc-sulfuric-acid": ["zinc", "sulfuric-acid"],
  "iron-hydrochloric-acid": ["iron", "hydrochloric-acid"],
  "calcium-carbonate-hydrochloric-acid": ["calcium-carbonate", "hydrochloric-acid"],
  "sodium-hydrogencarbonate-hydrochloric-acid": ["sodium-hydrogencarbonate", "hydrochloric-acid"],
};

export const reactionFields = (choices: string[], solid: string, acid: string, strength: string): CardField[] => [
  { key: "reaction", type: "choice", choices, usual: choices[0] ?? "" },
  { key: "solid", type: "quantity", units: ["g", "mg"], usual: solid },
  { key: "acid", type: "quantity", units: ["mL"], usual: acid },
  { key: "strength", type: "quantity", units: ["mol/L"], usual: strength },
];

/** The release of the answers to `reactionFields`. */
export function reactionOf(answers: Answers, name: string, into: string): Item {
  const { reaction = "", solid = "", acid = "", strength = "" } = answers;
  const [first, second] = reagents[reaction] ?? ["", ""];
  return {
    id: "reaction",
    name,
    kind: "reaction",
    into,
    reaction,
    amounts: { [first]: solid, [second]: [acid, strength] },
  };
}
