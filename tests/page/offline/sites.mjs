// SPDX-License-Identifier: Apache-2.0
// Random sites, all invented: rooms, cabinets and vessels, every kind of airway and most kinds of releases.

/** Numbers from 0 to 1, the same for the same seed (Marsaglia's xorshift, 32 bits). */
export function randomOf(seed) {
  let state = seed >>> 0 || 1;
  return () => {
    state ^= state << 13;
    state >>>= 0;
    state ^= state >>> 17;
    state ^= state << 5;
    state >>>= 0;
    return state / 2 ** 32;
  };
}

const gases = ["hydrogen", "methane", "propane", "natural-gas", "lpg", "ethanol", "nitrogen", "carbon-monoxide"];

export function randomSite(seed) {
  const random = randomOf(seed * 2654435761);
  const between = (low, high) => low * (high / low) ** random();
  const pick = (list) => list[Math.floor(random() * list.length)];
  const figure = (value) => Number(value.toPrecision(3));
  const rooms = 1 + Math.floor(random() * 4);
  let out = `title = "Random site ${seed}"\n[conditions]\ntemperature = "${figure(between(5, 30))} degC"\n`;
  if (random() < 0.5) out += `[criteria]\nhorizon = "${figure(between(1, 20))} h"\n`;
  const spaces = [];
  for (let i = 0; i < rooms; ++i) {
    spaces.push(`room-${i}`);
    out += `[[space]]\nid = "room-${i}"\nkind = "room"\nvolume = "${figure(between(5, 200))} m3"\n`;
    out += `air_changes = "${figure(between(0.05, 3))} /h"\n`;
    if (random() < 0.3) out += `mixing_factor = ${figure(between(1, 4))}\n`;
  }
  if (random() < 0.5) {
    spaces.push("cupboard");
    out += `[[space]]\nid = "cupboard"\nkind = "cabinet"\nvolume = "${figure(between(0.2, 2))} m3"\nstands_in = "room-0"\n`;
    out += `[[airway]]\nid = "gaps"\nkind = "exchange"\nbetween = ["cupboard", "room-0"]\nflow = "${figure(between(0.5, 10))} m3/h"\n`;
  }
  for (let i = 1; i < rooms; ++i) {
    const kind = pick(["exchange", "opening", "gap", "doorway"]);
    out += `[[airway]]\nid = "way-${i}"\nkind = "${kind}"\nbetween = ["room-${i - 1}", "room-${i}"]\n`;
    if (kind === "exchange") out += `flow = "${figure(between(1, 100))} m3/h"\n`;
    if (kind === "gap") out += `leakage_area = "${figure(between(10, 300))} cm2"\n`;
    if (kind === "doorway") out += `width = "0.9 m"\nheight = "2 m"\nopen = ${figure(between(0.05, 1))}\n`;
  }
  for (let i = 0; i < rooms; ++i) {
    out += `[[airway]]\nid = "louvre-${i}"\nkind = "gap"\nbetween = ["room-${i}", "outside"]\n`;
    out += `leakage_area = "${figure(between(20, 500))} cm2"\nheight = "${figure(between(0.1, 2))} m"\n`;
  }
  out += `[[airway]]\nid = "extract"\nkind = "fan"\nfrom = "room-0"\nto = "outside"\nflow = "${figure(between(10, 300))} m3/h"\n`;
  const releases = 1 + Math.floor(random() * 3);
  for (let i = 0; i < releases; ++i) out += release(i, { random, between, pick, figure, spaces });
  out += `[[case]]\nid = "fan-off"\nevent = [{ at = "${figure(between(1, 60))} min", airway = "extract", on = false }]\n`;
  return out;
}

function release(i, { random, between, pick, figure, spaces }) {
  const kind = pick(["steady", "steady", "dump", "fittings", "spill", "cylinder", "orifice"]);
  let out = `[[release]]\nid = "leak-${i}"\nkind = "${kind}"\ninto = "${pick(spaces)}"\n`;
  if (kind === "spill") {
    const gas = pick(["acetone", "ethanol", "n-hexane"]);
    return `${out}gas = "${gas}"\namount = "${figure(between(0.05, 2))} L"\narea = "${figure(between(0.02, 0.3))} m2"\n`;
  }
  if (kind === "cylinder") {
    const gas = pick(["hydrogen", "propane"]);
    out += `gas = "${gas}"\nwater_volume = "${figure(between(2, 50))} L"\n`;
    if (gas === "hydrogen") out += 'pressure = "200 bar"\n';
    return `${out}hole = "${figure(between(0.05, 2))} mm"\n`;
  }
  const gas = pick(gases.slice(0, kind === "orifice" ? 2 : 5)); // the others may be liquid in a line
  out += `gas = "${gas}"\n`;
  if (kind === "steady") out += `rate = "${figure(between(0.05, 20))} L/min"\n`;
  if (kind === "dump") out += `amount = "${figure(between(1, 500))} L"\nover = "${figure(between(0.2, 60))} min"\n`;
  if (kind === "fittings")
    out += `count = ${1 + Math.floor(random() * 6)}\neach = "${figure(between(1, 200))} mL/min"\n`;
  if (kind === "orifice")
    out += `pressure = "${figure(between(0.05, 3))} barg"\nhole = "${figure(between(0.1, 1.5))} mm"\nduration = "2 h"\n`;
  return out;
}
