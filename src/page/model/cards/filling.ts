// SPDX-License-Identifier: Apache-2.0
/** Cards: a gas drives another one out of a vessel. */
import { si } from "../quantity";
import {
  type Experiment,
  experiment,
  filledIn,
  followed,
  mouth,
  roomField,
  roomOf,
  timeField,
  vesselField,
} from "./card";

const filling: Experiment = {
  id: "filling",
  fields: [
    { key: "gas", type: "gas", usual: "hydrogen" },
    vesselField("500 mL"),
    { key: "rate", type: "quantity", units: ["mL/min", "L/min"], usual: "200 mL/min" },
    roomField,
  ],
  build: (answers, { title, names }) => {
    const { gas = "", vessel = "", rate = "" } = answers;
    return experiment(title, {
      judged: followed(filledIn(vessel, rate), 8),
      space: [roomOf(answers, names), { id: "vessel", name: names.vessel ?? "", kind: "vessel", volume: vessel }],
      airway: [mouth("vessel")],
      release: [{ id: "tube", name: names.tube ?? "", kind: "steady", into: "vessel", gas, rate }],
    });
  },
};

const swept: Experiment = {
  id: "swept",
  fields: [
    vesselField("150 mL"),
    { key: "flow", type: "quantity", units: ["mL/min", "L/min"], usual: "100 mL/min" },
    timeField("time", "6 min"),
    { key: "gas", type: "gas", usual: "hydrogen" },
    { key: "rate", type: "quantity", units: ["mL/min", "L/min"], usual: "100 mL/min" },
    timeField("gas_time", "10 min"),
    roomField,
  ],
  build: (answers, { title, names }) => {
    const { vessel = "", flow = "", time = "", gas = "", rate = "", gas_time = "" } = answers;
    const first = { id: "nitrogen", name: names.nitrogen ?? "", kind: "steady", into: "tube", gas: "nitrogen" };
    const second = { id: "gas", name: names.gas ?? "", kind: "steady", into: "tube", gas };
    return experiment(title, {
      judged: followed((si(time) ?? 0) + (si(gas_time) ?? 0), 1),
      space: [roomOf(answers, names), { id: "tube", name: names.tube ?? "", kind: "vessel", volume: vessel }],
      airway: [mouth("tube")],
      release: [
        { ...first, rate: flow, duration: time },
        { ...second, rate, start: time, duration: gas_time },
      ],
    });
  },
};

const purging: Experiment = {
  id: "purging",
  fields: [
    { key: "gas", type: "gas", usual: "hydrogen" },
    vesselField("2 L"),
    { key: "flow", type: "quantity", units: ["L/min", "mL/min"], usual: "1 L/min" },
    timeField("time", "10 min"),
    roomField,
  ],
  build: (answers, { title, names }) => {
    const { gas = "", vessel = "", flow = "", time = "" } = answers;
    const full = {
      id: "vessel",
      name: names.vessel ?? "",
      kind: "vessel",
      volume: vessel,
      initial: { [gas]: "100 %" },
    };
    const nitrogen = { id: "nitrogen", name: names.nitrogen ?? "", kind: "steady", into: "vessel", gas: "nitrogen" };
    return experiment(title, {
      judged: followed(si(time), 1.5),
      space: [roomOf(answers, names), full],
      airway: [mouth("vessel")],
      release: [{ ...nitrogen, rate: flow, duration: time }],
    });
  },
};

export const filled: readonly Experiment[] = [filling, swept, purging];
