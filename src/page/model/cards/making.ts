// SPDX-License-Identifier: Apache-2.0
/** Cards: making a gas, and collecting it. */
import { si } from "../quantity";
import {
  type Experiment,
  experiment,
  followed,
  lengthField,
  reactionFields,
  reactionOf,
  roomField,
  roomOf,
  timeField,
  vesselField,
} from "./card";

const metals = [
  "magnesium-hydrochloric-acid",
  "zinc-hydrochloric-acid",
  "zinc-sulfuric-acid",
  "iron-hydrochloric-acid",
];

/** A flask with acid in it: the liquid leaves less room for gas. */
const flaskOf = (name: string | undefined, volume: string, liquid: string, rest: Record<string, string>) => ({
  id: "flask",
  name: name ?? "",
  kind: "vessel",
  volume,
  liquid,
  material: "glass",
  ...rest,
});

const collecting: Experiment = {
  id: "collecting",
  fields: [
    ...reactionFields(
      ["zinc-sulfuric-acid", "zinc-hydrochloric-acid", "magnesium-hydrochloric-acid"],
      "5 g",
      "100 mL",
      "1 mol/L",
    ),
    vesselField("250 mL"),
    { key: "jar", type: "quantity", units: ["mL", "L"], usual: "250 mL" },
    timeField("time", "10 min"),
  ],
  build: (answers, { title, names }) => {
    const { vessel = "", acid = "", jar = "", time = "" } = answers;
    return experiment(title, {
      judged: followed(si(time), 1.5),
      space: [flaskOf(names.flask, vessel, acid, { collect: jar })],
      release: [{ ...reactionOf(answers, names.reaction ?? "", "flask"), over: time }],
    });
  },
};

const carbide: Experiment = {
  id: "carbide",
  fields: [
    { key: "solid", type: "quantity", units: ["g", "mg"], usual: "2 g" },
    { key: "water", type: "quantity", units: ["mL"], usual: "50 mL" },
    vesselField("250 mL"),
    { key: "jar", type: "quantity", units: ["mL", "L"], usual: "100 mL" },
    timeField("time", "5 min"),
  ],
  build: (answers, { title, names }) => {
    const { solid = "", water = "", vessel = "", jar = "", time = "" } = answers;
    const reaction = "calcium-carbide-water";
    const amounts = { "calcium-carbide": solid, water: "excess" };
    return experiment(title, {
      judged: followed(si(time), 1.5),
      space: [flaskOf(names.flask, vessel, water, { collect: jar })],
      release: [
        { id: "reaction", name: names.reaction ?? "", kind: "reaction", into: "flask", reaction, amounts, over: time },
      ],
    });
  },
};

const flask: Experiment = {
  id: "flask",
  fields: [
    ...reactionFields(metals, "2.4 g", "50 mL", "2 mol/L"),
    vesselField("250 mL"),
    timeField("half_time", "1 min"),
    roomField,
  ],
  build: (answers, { title, names }) => {
    const { vessel = "", acid = "", half_time = "" } = answers;
    return experiment(title, {
      judged: followed(si(half_time), 10),
      space: [roomOf(answers, names), flaskOf(names.flask, vessel, acid, { mouth: "up" })],
      release: [{ ...reactionOf(answers, names.reaction ?? "", "flask"), half_time }],
    });
  },
};

const stoppered: Experiment = {
  id: "stoppered",
  fields: [
    ...reactionFields(
      ["calcium-carbonate-hydrochloric-acid", "sodium-hydrogencarbonate-hydrochloric-acid", ...metals],
      "5 g",
      "50 mL",
      "2 mol/L",
    ),
    vesselField("250 mL"),
    timeField("half_time", "2 min"),
  ],
  build: (answers, { title, names }) => {
    const { vessel = "", acid = "", half_time = "" } = answers;
    return experiment(title, {
      judged: followed(si(half_time), 10),
      space: [flaskOf(names.flask, vessel, acid, { mouth: "stoppered" })],
      release: [{ ...reactionOf(answers, names.reaction ?? "", "flask"), half_time }],
    });
  },
};

const electrolysis: Experiment = {
  id: "electrolysis",
  fields: [
    { key: "current", type: "quantity", units: ["A", "mA"], usual: "2 A" },
    timeField("time", "20 min"),
    { key: "gases", type: "choice", choices: ["both", "hydrogen", "oxygen"], usual: "both" },
    vesselField("100 mL"),
    { key: "water", type: "quantity", units: ["mL"], usual: "60 mL" },
    lengthField("diameter", ["cm", "mm"], "2.5 cm"),
  ],
  build: (answers, { title, names }) => {
    const { current = "", time = "", gases = "", vessel = "", water = "", diameter = "" } = answers;
    const tube = { volume: vessel, liquid: water, diameter, material: "glass", mouth: "up" };
    return experiment(title, {
      judged: followed(si(time), 1.5),
      space: [{ id: "tube", name: names.tube ?? "", kind: "vessel", ...tube }],
      release: [
        { id: "cell", name: names.cell ?? "", kind: "electrolysis", into: "tube", current, gases, duration: time },
      ],
    });
  },
};

export const making: readonly Experiment[] = [collecting, carbide, flask, stoppered, electrolysis];
