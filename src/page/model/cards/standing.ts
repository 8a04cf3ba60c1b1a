// SPDX-License-Identifier: Apache-2.0
/** Cards: liquids that stand open, batteries on charge. */
import { si } from "../quantity";
import { type Experiment, experiment, followed, lengthField, roomField, roomOf } from "./card";

const beaker: Experiment = {
  id: "beaker",
  fields: [
    { key: "gas", type: "gas", usual: "ethanol" },
    { key: "amount", type: "quantity", units: ["mL", "L"], usual: "100 mL" },
    { key: "temperature", type: "quantity", units: ["degC"], usual: "50 degC" },
    lengthField("diameter", ["cm", "mm"], "7 cm"),
    lengthField("height", ["cm", "mm"], "9.5 cm"),
    roomField,
  ],
  build: (answers, { title, names }) => {
    const { gas = "", amount = "", temperature = "", diameter = "", height = "" } = answers;
    const across = si(diameter) ?? 0;
    const area = `${Number((2500 * Math.PI * across * across).toPrecision(3))} cm2`;
    const glass = { diameter, height, liquid: amount, material: "glass", mouth: "up", temperature };
    return experiment(title, {
      judged: followed(2 * 3600, 1),
      space: [roomOf(answers, names), { id: "beaker", name: names.beaker ?? "", kind: "vessel", ...glass }],
      release: [
        { id: "liquid", name: names.liquid ?? "", kind: "spill", into: "beaker", gas, amount, area, temperature },
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
    const spill = { id: "spill", name: names.spill ?? "", kind: "spill", into: "room", gas, amount, area };
    return experiment(title, { space: [roomOf(answers, names)], release: [spill] });
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
    const charged = { id: "battery", name: names.battery ?? "", kind: "charging", into: "room", battery, capacity };
    return experiment(title, {
      space: [roomOf(answers, names)],
      release: [{ ...charged, cells: Number(answers.cells), regime: "boost" }],
    });
  },
};

export const standing: readonly Experiment[] = [beaker, bottle, charger];
