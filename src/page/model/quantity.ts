// SPDX-License-Identifier: Apache-2.0
/** Quantities as a site file writes them. The engine judges them; here they only place things in the drawing. */
import type { Value } from "./site";

const factors: Record<string, number> = {
  m: 1, cm: 0.01, mm: 0.001, in: 0.0254, ft: 0.3048,
  m2: 1, cm2: 1e-4, mm2: 1e-6, ft2: 0.09290304,
  m3: 1, L: 1e-3, mL: 1e-6, dm3: 1e-3, cm3: 1e-6, ft3: 0.02831685,
  s: 1, min: 60, h: 3600, d: 86400,
}; // prettier-ignore

export interface Quantity {
  number: string;
  unit: string;
}

/** "12.5 m3" -> {"12.5", "m3"}; what is no number before a unit stays in `number`. */
export function split(value: string): Quantity {
  const match = /^\s*([-+]?[0-9.,eE]*[0-9.])\s*([^0-9\s].*)?$/.exec(value);
  if (!match) return { number: value, unit: "" };
  return { number: match[1] ?? "", unit: (match[2] ?? "").trim().replace("²", "2").replace("³", "3") };
}

/** SI value, or null where it is none that the page needs. Of a range the best value. */
export function si(value: Value | undefined): number | null {
  if (typeof value === "object" && value !== null && !Array.isArray(value)) return si(value.best);
  if (typeof value !== "string") return null;
  const { number, unit } = split(value);
  const factor = factors[unit];
  const parsed = Number(number);
  return factor === undefined || number === "" || !Number.isFinite(parsed) ? null : parsed * factor;
}

/** Up to `figures` significant figures, without an exponent. */
export function short(value: number, figures = 3): string {
  if (!Number.isFinite(value)) return "?";
  if (value === 0) return "0";
  const digits = Math.max(0, figures - 1 - Math.floor(Math.log10(Math.abs(value))));
  return String(Number(value.toFixed(Math.min(digits, 12))));
}

/** A time in words of two units at most: "2 h 5 min", "40 s". */
export function duration(seconds: number): string {
  if (seconds < 60) return `${short(seconds, 2)} s`;
  if (seconds < 600) {
    const whole = Math.round(seconds);
    return whole % 60 === 0 ? `${whole / 60} min` : `${Math.floor(whole / 60)} min ${whole % 60} s`;
  }
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return minutes % 60 === 0 ? `${hours} h` : `${hours} h ${minutes % 60} min`;
  const days = Math.floor(hours / 24);
  return hours % 24 === 0 ? `${days} d` : `${days} d ${hours % 24} h`;
}
