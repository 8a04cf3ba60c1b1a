// SPDX-License-Identifier: Apache-2.0
/** What can be filled in about each thing, in the order in which it is asked for. The words are in the catalogue. */
import type { Table, Value } from "./site";

export type FieldType =
  | "text"
  | "quantity"
  | "number"
  | "choice"
  | "gas"
  | "space"
  | "side"
  | "words"
  | "floor"
  | "hole"
  | "reaction"
  | "amounts"
  | "mixture"
  | "running";

export interface Field {
  key: string;
  type: FieldType;
  units?: readonly string[];
  choices?: readonly string[];
  /** The choice may be left open. */
  open?: boolean;
  /** Its word in the catalogue, where that is not its key. */
  label?: string;
  /** What stands there where the user does not know. */
  cautious?: Value;
  required?: boolean;
  /** Shown only on demand. */
  more?: boolean;
}

const flow = ["m3/h", "L/s", "L/min", "mL/min"];
const rate = ["L/min", "mL/min", "m3/h", "g/min", "kg/h", "mmol/s"];
const amount = ["L", "mL", "m3", "g", "kg", "mol"];
const time = ["s", "min", "h", "d"];
const length = ["m", "cm", "mm"];
const volume = ["m3", "L", "mL"];
const area = ["m2", "cm2", "mm2"];
const temperature = ["degC", "degF", "K"];
const pressure = ["bar", "barg", "mbar", "kPa", "psi"];

const name: Field = { key: "name", type: "text" };
const height: Field = { key: "height", type: "quantity", units: length, more: true };

const spaceFields: Record<string, Field[]> = {
  room: [
    name,
    { key: "floor", type: "floor" },
    { key: "air_changes", type: "quantity", units: ["/h"], cautious: "0.1 /h" },
    { key: "mixing_factor", type: "number", cautious: 4 },
    { key: "ignition", type: "words" },
    { key: "temperature", type: "quantity", units: temperature, more: true },
    { key: "stratification", type: "choice", choices: ["mixed", "layered", "worse of both"], more: true },
    { key: "elevation", type: "quantity", units: length, more: true },
  ],
  cabinet: [
    name,
    { key: "floor", type: "floor" },
    { key: "stands_in", type: "space" },
    { key: "air_changes", type: "quantity", units: ["/h"], cautious: "0 /h" },
    { key: "ignition", type: "words" },
  ],
  vessel: [
    name,
    { key: "volume", type: "quantity", units: volume },
    { key: "initial", type: "mixture" },
    { key: "liquid", type: "quantity", units: ["mL", "L"] },
    { key: "mouth", type: "choice", choices: ["stoppered", "up", "down"], open: true },
    { key: "stands_in", type: "space" },
    { key: "diameter", type: "quantity", units: ["cm", "mm"], more: true },
    { key: "height", type: "quantity", units: ["cm", "mm", "m"], label: "inner_height", more: true },
    { key: "material", type: "choice", choices: ["glass", "metal", "plastic"], open: true, more: true },
    { key: "collect", type: "quantity", units: ["mL", "L"], more: true },
    { key: "rated_pressure", type: "quantity", units: ["barg", "bar", "kPa"], more: true },
  ],
  junction: [name],
};

const widthAndHeight: Field[] = [
  { key: "width", type: "quantity", units: length, required: true },
  { key: "height", type: "quantity", units: length, required: true, label: "own_height" },
];
const sill: Field = { key: "sill", type: "quantity", units: length };

const airwayFields: Record<string, Field[]> = {
  fan: [
    { key: "from", type: "side", required: true },
    { key: "to", type: "side", required: true },
    { key: "flow", type: "quantity", units: flow, required: true },
    height,
  ],
  opening: [{ key: "between", type: "side", required: true }],
  exchange: [
    { key: "between", type: "side", required: true },
    { key: "flow", type: "quantity", units: flow, required: true, cautious: "1 m3/h" },
    height,
  ],
  gap: [
    { key: "between", type: "side", required: true },
    { key: "leakage_area", type: "quantity", units: area, required: true },
    height,
    { key: "wind_coefficient", type: "number", more: true },
  ],
  doorway: [{ key: "between", type: "side", required: true }, ...widthAndHeight, { key: "open", type: "number" }],
  louvre: [
    { key: "between", type: "side", required: true },
    ...widthAndHeight,
    { key: "free_share", type: "quantity", units: ["%"], cautious: "30 %" },
    sill,
    { key: "open", type: "number", more: true },
  ],
  window: [
    { key: "between", type: "side", required: true },
    ...widthAndHeight,
    { key: "angle", type: "number" },
    { key: "hinge", type: "choice", choices: ["side", "top", "bottom"] },
    sill,
    { key: "open", type: "number", more: true },
  ],
  undercut: [{ key: "between", type: "side", required: true }, ...widthAndHeight],
};

const gas: Field = { key: "gas", type: "gas", required: true };
const hole: Field = { key: "hole", type: "hole", units: ["mm"], cautious: "broken hose" };
const duration: Field = { key: "duration", type: "quantity", units: time };

const releaseFields: Record<string, Field[]> = {
  steady: [gas, { key: "rate", type: "quantity", units: rate, required: true, cautious: "15 L/min" }, duration],
  dump: [
    gas,
    { key: "amount", type: "quantity", units: amount, required: true },
    { key: "over", type: "quantity", units: time, required: true, cautious: "1 min" },
  ],
  fittings: [
    gas,
    { key: "count", type: "number", required: true },
    { key: "each", type: "quantity", units: ["mL/min", "L/min", "mL/h"], required: true, cautious: "20 mL/min" },
  ],
  orifice: [gas, { key: "pressure", type: "quantity", units: pressure, required: true }, hole, duration],
  cylinder: [
    gas,
    { key: "count", type: "number" },
    { key: "contents", type: "quantity", units: ["kg", "m3", "L"] },
    { key: "water_volume", type: "quantity", units: ["L", "mL"] },
    { key: "pressure", type: "quantity", units: pressure },
    hole,
    { key: "position", type: "choice", choices: ["upright", "lying", "inverted"], more: true },
  ],
  dewar: [
    gas,
    { key: "contents", type: "quantity", units: ["L"], required: true },
    { key: "holding_time", type: "quantity", units: ["d", "h"] },
  ],
  spill: [
    gas,
    { key: "amount", type: "quantity", units: ["L", "mL", "kg", "g"], required: true },
    { key: "area", type: "quantity", units: area, required: true, cautious: "2 m2" },
    { key: "temperature", type: "quantity", units: temperature, more: true },
  ],
  reaction: [
    { key: "reaction", type: "reaction", required: true },
    { key: "amounts", type: "amounts", required: true },
    { key: "over", type: "quantity", units: time },
    { key: "half_time", type: "quantity", units: time },
  ],
  electrolysis: [
    { key: "current", type: "quantity", units: ["A", "mA"], required: true },
    { key: "gases", type: "choice", choices: ["both", "hydrogen", "oxygen"] },
    { key: "cells", type: "number" },
    duration,
  ],
  charging: [
    { key: "cells", type: "number", required: true },
    {
      key: "battery",
      type: "choice",
      choices: ["vented-lead", "valve-regulated-lead", "vented-nickel-cadmium"],
      cautious: "vented-lead",
    },
    { key: "regime", type: "choice", choices: ["boost", "float"], cautious: "boost" },
    { key: "capacity", type: "quantity", units: ["Ah"] },
    { key: "current", type: "quantity", units: ["A"] },
    duration,
  ],
};

export const spaceKinds = ["room", "cabinet", "vessel"] as const;
export const airwayKinds = ["fan", "opening", "exchange", "gap", "doorway", "louvre", "window", "undercut"] as const;
export const releaseKinds = [
  "steady",
  "cylinder",
  "spill",
  "fittings",
  "dump",
  "orifice",
  "reaction",
  "electrolysis",
  "charging",
  "dewar",
] as const;

const releaseCommon: Field[] = [
  { key: "into", type: "space", required: true },
  { key: "on", type: "running" },
  { ...height },
  { key: "start", type: "quantity", units: time, more: true },
];

export function fieldsOf(kind: "space" | "airway" | "release", item: Table): Field[] {
  const word = typeof item.kind === "string" ? item.kind : "";
  if (kind === "space") return spaceFields[word] ?? [name];
  if (kind === "airway") return airwayFields[word === "relief" ? "opening" : word] ?? []; // older files say "relief"
  return [name, ...(releaseFields[word] ?? []), ...releaseCommon];
}

/** Words for a hole that the site file understands; the first is none. */
export const holes = [
  "typical fitting",
  "worn fitting",
  "broken fitting",
  "typical valve stem",
  "worn valve stem",
  "typical flange",
  "worn flange",
  "broken hose",
] as const;
