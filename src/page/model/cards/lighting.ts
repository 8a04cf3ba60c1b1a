// SPDX-License-Identifier: Apache-2.0
/** Cards: gas that is lit, or could be. */
import { si, split } from "../quantity";
import type { Table } from "../site";
import { type Experiment, experiment, followed, lengthField, roomField, roomOf, timeField, vesselField } from "./card";

/** s, in which a small vessel has emptied itself, or nearly. */
const hour = 3600;

const tin: Experiment = {
  id: "tin",
  fields: [
    { key: "gas", type: "gas", usual: "methane" },
    lengthField("diameter", ["cm", "mm"], "10 cm"),
    lengthField("height", ["cm", "mm"], "25 cm"),
    lengthField("upper", ["mm", "cm"], "8 mm"),
    lengthField("lower", ["mm", "cm"], "12 mm"),
    roomField,
  ],
  build: (answers, { title, names }) => {
    const { gas = "", diameter = "", height = "", upper = "", lower = "" } = answers;
    const openings: Table[] = [
      { at: "top", diameter: upper, flame: true },
      { at: "bottom", diameter: lower },
    ];
    const initial = { [gas]: "100 %" };
    return experiment(title, {
      judged: followed(hour, 1),
      space: [
        roomOf(answers, names),
        { id: "tin", name: names.tin ?? "", kind: "vessel", diameter, height, material: "metal", initial, openings },
      ],
      release: [],
    });
  },
};

const jar: Experiment = {
  id: "jar",
  fields: [
    { key: "gas", type: "gas", usual: "hydrogen" },
    lengthField("diameter", ["cm", "mm"], "5 cm"),
    lengthField("height", ["cm", "mm"], "20 cm"),
    { key: "mouth", type: "choice", choices: ["up", "down"], usual: "up" },
    roomField,
  ],
  build: (answers, { title, names }) => {
    const { gas = "", diameter = "", height = "", mouth = "" } = answers;
    const initial = { [gas]: "100 %" };
    return experiment(title, {
      judged: followed(hour, 1),
      space: [
        roomOf(answers, names),
        { id: "jar", name: names.jar ?? "", kind: "vessel", diameter, height, material: "glass", mouth, initial },
      ],
      release: [],
    });
  },
};

const oxygen: Experiment = {
  id: "oxygen",
  fields: [
    { key: "gas", type: "gas", usual: "hydrogen" },
    { key: "share", type: "quantity", units: ["%"], usual: "33 %" },
    vesselField("250 mL"),
    lengthField("diameter", ["cm", "mm"], "4 cm"),
    { key: "mouth", type: "choice", choices: ["stoppered", "up", "down"], usual: "stoppered" },
  ],
  build: (answers, { title, names }) => {
    const { gas = "", share = "", vessel = "", diameter = "", mouth = "" } = answers;
    const part = Number(split(share).number);
    const rest = Number((100 - part).toFixed(6));
    const initial = { [gas]: `${rest} %`, oxygen: `${part} %` };
    return experiment(title, {
      space: [
        {
          id: "vessel",
          name: names.vessel ?? "",
          kind: "vessel",
          volume: vessel,
          diameter,
          material: "glass",
          mouth,
          initial,
        },
      ],
      release: [],
    });
  },
};

const burner: Experiment = {
  id: "burner",
  fields: [
    { key: "gas", type: "gas", usual: "natural-gas" },
    { key: "rate", type: "quantity", units: ["L/min", "mL/min", "m3/h"], usual: "5 L/min" },
    timeField("time", "20 min"),
    { ...roomField, usual: "180 m3" },
    { key: "air_changes", type: "quantity", units: ["/h"], usual: "0.5 /h" },
  ],
  build: (answers, { title, names }) => {
    const { gas = "", rate = "", time = "", air_changes = "" } = answers;
    return experiment(title, {
      judged: followed(si(time), 6),
      space: [{ ...roomOf(answers, names), air_changes }],
      release: [{ id: "burner", name: names.burner ?? "", kind: "steady", into: "room", gas, rate, duration: time }],
    });
  },
};

export const lighting: readonly Experiment[] = [tin, jar, oxygen, burner];
