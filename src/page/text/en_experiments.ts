// SPDX-License-Identifier: Apache-2.0
/** The texts of the cards of experiments, in English. */
import type { ExperimentWords } from "./words";

const room = "Volume of the room";
const reaction = {
  reaction: "Reaction",
  solid: "Amount of the solid",
  acid: "Amount of acid",
  strength: "Strength of the acid",
};

const cards: Record<string, ExperimentWords> = {
  collecting: {
    title: "Gas made in a flask, collected over water",
    help: "Zinc and acid in a flask, jars in a trough. Which jar is free of air?",
    fields: { ...reaction, vessel: "Volume of the flask", jar: "Volume of a jar", time: "The gas comes within" },
    names: { flask: "Flask", reaction: "Metal and acid" },
  },
  carbide: {
    title: "Carbide and water",
    help: "Calcium carbide and water make acetylene, which is collected over water.",
    fields: {
      solid: "Calcium carbide",
      water: "Water in the flask",
      vessel: "Volume of the flask",
      jar: "Volume of a jar",
      time: "The gas comes within",
    },
    names: { flask: "Flask", reaction: "Carbide and water" },
  },
  flask: {
    title: "Metal and acid in an open flask",
    help: "Magnesium, zinc or iron and acid make hydrogen. The flask is open at its mouth.",
    fields: { ...reaction, vessel: "Volume of the flask", half_time: "Half of the gas comes within", room },
    names: { room: "Room", flask: "Flask", reaction: "Metal and acid" },
  },
  stoppered: {
    title: "Stoppered flask that makes gas",
    help: "Marble or a metal and acid, and somebody puts a stopper on. What pressure does it reach?",
    fields: { ...reaction, vessel: "Volume of the flask", half_time: "Half of the gas comes within" },
    names: { flask: "Flask", reaction: "Reaction in the flask" },
  },
  electrolysis: {
    title: "Electrolysis of water",
    help: "Both gases in one tube, or each in a tube of its own.",
    fields: {
      current: "Current",
      time: "For how long",
      gases: "What rises in the tube",
      vessel: "Volume of the tube",
      water: "Water in the tube",
      diameter: "Diameter of the tube, inside",
    },
    names: { tube: "Tube", cell: "Electrodes" },
  },
  tin: {
    title: "Tin of gas, lit at the top",
    help: "A tall tin with a hole in its lid and one below. When does the flame strike back?",
    fields: {
      gas: "Gas in the tin",
      diameter: "Diameter of the tin",
      height: "Height of the tin",
      upper: "Diameter of the upper hole",
      lower: "Diameter of the lower hole",
      room,
    },
    names: { room: "Room", tin: "Tin" },
  },
  jar: {
    title: "Open jar of gas",
    help: "A gas jar whose lid is taken off, mouth up or mouth down. How long is there anything to burn?",
    fields: {
      gas: "Gas in the jar",
      diameter: "Diameter of the jar",
      height: "Height of the jar",
      mouth: "The jar is",
      room,
    },
    names: { room: "Room", jar: "Jar" },
  },
  oxygen: {
    title: "Gas mixed with oxygen",
    help: "A gas that burns, with oxygen in place of air. How violent is it?",
    fields: {
      gas: "Gas that burns",
      share: "Oxygen in the mixture",
      vessel: "Volume of the vessel",
      diameter: "Diameter of the vessel",
      mouth: "The vessel is",
    },
    names: { vessel: "Vessel" },
  },
  burner: {
    title: "Burner left unlit",
    help: "The tap of a burner is open and nobody lights it.",
    fields: {
      gas: "Gas",
      rate: "Gas flow",
      time: "Until somebody notices",
      room,
      air_changes: "Fresh air (air changes an hour)",
    },
    names: { room: "Room", burner: "Burner" },
  },
  filling: {
    title: "Filling a vessel with gas",
    help: "A gas jar or a tube is filled through a hose and is open at its mouth.",
    fields: { gas: "Gas", vessel: "Volume of the vessel", rate: "Gas flow", room },
    names: { room: "Room", vessel: "Vessel", tube: "Gas hose" },
  },
  swept: {
    title: "Tube swept with nitrogen, then hydrogen",
    help: "Nitrogen drives the air out of a tube before the gas comes. Was that long enough?",
    fields: {
      vessel: "Volume of the tube",
      flow: "Flow of nitrogen",
      time: "Nitrogen for",
      gas: "Then this gas",
      rate: "Flow of that gas",
      gas_time: "For how long",
      room,
    },
    names: { room: "Room", tube: "Tube", nitrogen: "Nitrogen", gas: "Gas after the nitrogen" },
  },
  purging: {
    title: "Vessel of gas swept with nitrogen",
    help: "The gas is driven out of a vessel before it is opened.",
    fields: {
      gas: "Gas in the vessel",
      vessel: "Volume of the vessel",
      flow: "Flow of nitrogen",
      time: "For how long",
      room,
    },
    names: { room: "Room", vessel: "Vessel", nitrogen: "Nitrogen" },
  },
  beaker: {
    title: "Warm beaker of ethanol",
    help: "A liquid that burns is warmed in an open beaker.",
    fields: {
      gas: "Liquid",
      amount: "Amount",
      temperature: "Temperature of the liquid",
      diameter: "Diameter of the beaker",
      height: "Height of the beaker",
      room,
    },
    names: { room: "Room", beaker: "Beaker", liquid: "Warm liquid" },
  },
  bottle: {
    title: "Spilt solvent",
    help: "A bottle breaks, or a solvent stands open.",
    fields: { gas: "Liquid", amount: "Amount", area: "Area of the puddle or the open dish", room },
    names: { room: "Room", spill: "Spilt liquid" },
  },
  charger: {
    title: "Battery on charge",
    help: "Lead and nickel-cadmium batteries give off hydrogen.",
    fields: { cells: "Number of cells (a 12 V battery has 6)", capacity: "Capacity", battery: "Kind", room },
    names: { room: "Room", battery: "Battery" },
  },
};

export const experimentWords = {
  choose: "Which experiment?",
  groups: {
    making: "Making a gas",
    lighting: "Lighting a gas",
    filling: "Filling and sweeping a vessel",
    standing: "Liquids and batteries",
  } as Record<string, string>,
  amounts: "Amounts",
  invented: "All values are invented: put yours in their place. The answer follows at once.",
  other: "Another experiment",
  details: "Change anything else",
  details_help: "A change below takes the short form above away; Undo brings it back.",
  cards,
};

const figure = (value: number): string => String(Number(value.toPrecision(2)));

export const benchWords = {
  size: (across: number, high: number) => `${figure(across)} cm wide, ${figure(high)} cm high`,
  bounds: { mixed: "If the air mixes with the gas at once", apart: "If the air stays apart from the gas" },
  bounds_help:
    "Air gets in by itself, and nobody can say how well it mixes: the truth lies between the two drawings. " +
    "The times above also allow for the error of the method. Act on the earliest.",
  inside: { rich: "too rich to burn inside", burns: "can burn inside", lean: "too lean to burn inside" },
  trace: "below 0.1 %",
  lit: {
    rich: "too rich to burn inside; the flame burns steadily at the opening",
    burns: "can burn inside; the flame may strike back into it",
    lean: "too lean to burn; the flame goes out",
  },
  unlit: {
    rich: "too rich to burn, or too little oxygen",
    burns: "can burn if it is lit",
    lean: "nothing in it that burns, or too little of it",
  },
  around: "The room around it, curves and numbers",
  all_along: "All the time",
  until: (to: string) => `Until ${to}`,
  between: (from: string, to: string) => `From ${from} to ${to}`,
  from: (from: string) => `From ${from} on`,
  pressure: (bars: string, times: string) => `${bars} bar absolute, ${times} times that of the air`,
  jars: "The jars, one after the other",
  jar: "Jar",
  full_after: "Full after",
  partly: (share: string) => `${share} full`,
  fuel: "Gas that burns",
  oxygen: "Oxygen",
  when_lit: "When lit",
  jar_states: { burns: "explodes", rich: "too rich to explode", lean: "too lean to burn" },
};

export const purgeWords = {
  title: "How much nitrogen does a vessel need?",
  help: "Before gas is let into a vessel of air, and before a vessel of gas is opened.",
  gas: "Gas",
  volume: "Volume of the vessel",
  flow: "Flow of nitrogen",
  oxygen: "Oxygen in the nitrogen",
  temperature: "Temperature",
  print: "Print this page",
};
