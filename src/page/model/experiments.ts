// SPDX-License-Identifier: Apache-2.0
/** Experiments by type of apparatus. To add one: an entry in `experiments`, and its words in the catalogue. */
import type { Field } from "./forms";
import { si, split } from "./quantity";
import { type Doc, emptyLayout, emptySite, type Item, type Table } from "./site";

export type Answers = Record<string, string>;

export interface Experiment {
  id: string;
  /** The keys are those of the catalogue, experiment.ID.fields. */
  fields: (Field & { usual: string })[];
  build(answers: Answers, words: { title: string; names: Record<string, string> }): Doc;
}

const room = (answers: Answers, names: Record<string, string>): Item => ({
  id: "room",
  name: names.room ?? "",
  kind: "room",
  volume: answers.room ?? "150 m3",
  air_changes: "0.5 /h",
});

const roomField = { key: "room", type: "quantity", units: ["m3"], usual: "150 m3" } as const;

/** How long to follow it, so that everything is seen: `times` as long as `seconds`. */
function followed(seconds: number | null, times: number): Table {
  if (seconds === null || !(seconds > 0)) return {};
  return { criteria: { horizon: `${Math.max(1, Math.ceil((times * seconds) / 60))} min` } };
}

/** Seconds in which a flow fills a volume. */
function filledIn(volume: string | undefined, flow: string | undefined): number | null {
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

function experiment(title: string, { judged = {}, space, airway = [], release }: Parts): Doc {
  const site = { ...emptySite(title), ...judged, space, airway, release };
  return { file: "experiment.toml", site, layout: emptyLayout() };
}

/** Air or gas that comes and goes by the mouth of a vessel. */
const mouth = (vessel: string): Item => ({ id: "mouth", kind: "opening", between: [vessel, "room"] });

const filling: Experiment = {
  id: "filling",
  fields: [
    { key: "gas", type: "gas", usual: "hydrogen" },
    { key: "vessel", type: "quantity", units: ["mL", "L"], usual: "500 mL" },
    { key: "rate", type: "quantity", units: ["mL/min", "L/min"], usual: "200 mL/min" },
    roomField,
  ],
  build: (answers, { title, names }) => {
    const { gas = "", vessel = "", rate = "" } = answers;
    return experiment(title, {
      judged: followed(filledIn(vessel, rate), 8),
      space: [room(answers, names), { id: "vessel", name: names.vessel ?? "", kind: "vessel", volume: vessel }],
      airway: [mouth("vessel")],
      release: [{ id: "tube", name: names.tube ?? "", kind: "steady", into: "vessel", gas, rate }],
    });
  },
};

const flask: Experiment = {
  id: "flask",
  fields: [
    { key: "metal", type: "quantity", units: ["g", "mg"], usual: "2.4 g" },
    { key: "acid", type: "quantity", units: ["mL"], usual: "50 mL" },
    { key: "strength", type: "quantity", units: ["mol/L"], usual: "2 mol/L" },
    { key: "vessel", type: "quantity", units: ["mL", "L"], usual: "250 mL" },
    { key: "half_time", type: "quantity", units: ["min", "s"], usual: "1 min" },
    { key: "vent", type: "choice", choices: ["open", "closed"], usual: "open" },
    roomField,
  ],
  build: (answers, { title, names }) => {
    const { metal = "", acid = "", strength = "", vessel = "", half_time = "" } = answers;
    const reaction: Item = {
      id: "reaction",
      name: names.reaction ?? "",
      kind: "reaction",
      into: "flask",
      reaction: "magnesium-hydrochloric-acid",
      amounts: { magnesium: metal, "hydrochloric-acid": [acid, strength] },
      half_time,
    };
    return experiment(title, {
      judged: followed(si(half_time), 10),
      space: [room(answers, names), { id: "flask", name: names.flask ?? "", kind: "vessel", volume: vessel }],
      airway: answers.vent === "closed" ? [] : [mouth("flask")],
      release: [reaction],
    });
  },
};

const purging: Experiment = {
  id: "purging",
  fields: [
    { key: "gas", type: "gas", usual: "hydrogen" },
    { key: "vessel", type: "quantity", units: ["L", "mL"], usual: "2 L" },
    { key: "flow", type: "quantity", units: ["L/min", "mL/min"], usual: "1 L/min" },
    { key: "time", type: "quantity", units: ["min", "s"], usual: "10 min" },
    roomField,
  ],
  build: (answers, { title, names }) => {
    const { gas = "", vessel = "", flow = "", time = "" } = answers;
    const full: Item = { id: "vessel", name: names.vessel ?? "", kind: "vessel", volume: vessel };
    full.initial = { [gas]: "100 %" };
    return experiment(title, {
      judged: followed(si(time), 1.5),
      space: [room(answers, names), full],
      airway: [mouth("vessel")],
      release: [
        {
          id: "nitrogen",
          name: names.nitrogen ?? "",
          kind: "steady",
          into: "vessel",
          gas: "nitrogen",
          rate: flow,
          duration: time,
        },
      ],
    });
  },
};

const bottle: Experiment = {
  id: "bottle",
  fields: [
    { key: "gas", type: "gas", usual: "acetone" },
    { key: "amount", type: "quantity", units: ["mL", "L"], usual: "500 mL" },
    { key: "area", type: "quantity", units: ["m2", "cm2"], usual: "1 m2" },
    roomField,
  ],
  build: (answers, { title, names }) => {
    const { gas = "", amount = "", area = "" } = answers;
    const spill: Item = { id: "spill", name: names.spill ?? "", kind: "spill", into: "room", gas, amount, area };
    return experiment(title, { space: [room(answers, names)], release: [spill] });
  },
};

const charger: Experiment = {
  id: "charger",
  fields: [
    { key: "cells", type: "number", usual: "6" },
    { key: "capacity", type: "quantity", units: ["Ah"], usual: "75 Ah" },
    {
      key: "battery",
      type: "choice",
      choices: ["vented-lead", "valve-regulated-lead", "vented-nickel-cadmium"],
      usual: "vented-lead",
    },
    { ...roomField, usual: "20 m3" },
  ],
  build: (answers, { title, names }) => {
    const { battery = "", capacity = "" } = answers;
    const charged: Item = {
      id: "battery",
      name: names.battery ?? "",
      kind: "charging",
      into: "room",
      cells: Number(answers.cells),
      battery,
      regime: "boost",
      capacity,
    };
    return experiment(title, { space: [room(answers, names)], release: [charged] });
  },
};

/** The cards, in the order in which they are offered. */
export const experiments: readonly Experiment[] = [filling, flask, purging, bottle, charger];
