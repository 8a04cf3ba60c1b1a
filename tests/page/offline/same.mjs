// SPDX-License-Identifier: Apache-2.0
// Compares two JSON values: numbers within a tolerance, everything else exactly. Sentences may differ in the last figure
// of a number, where two factorisations round to different sides.

const number = /-?\d+(?:\.\d+)?(?:e[-+]?\d+)?/g;

function sameNumbers(a, b, relative) {
  if (Math.abs(a - b) <= relative * Math.max(Math.abs(a), Math.abs(b)) + 1e-15) return true;
  return false;
}

function sameText(a, b, exact) {
  if (a === b) return true;
  if (exact || a.replace(number, "#") !== b.replace(number, "#")) return false;
  const left = a.match(number) ?? [],
    right = b.match(number) ?? [];
  return left.every((one, i) => sameNumbers(Number(one), Number(right[i]), 0.02));
}

/**
 * The instant of a maximum: the value hardly changes there, so its round-off moves the instant by its square root, and
 * along a plateau by anything. The value itself is compared.
 */
const instantOfMaximum = /\.(peak\.time_s|interface_deepest_s)$/;

/**
 * Advice that is found by trying: the search stops when it is within 5e-3 (src/hazard/air_search.cpp), so a last figure
 * of round-off can end it one step earlier.
 */
const searched =
  /warnings\.\d+\.(extra_air_m3_s|vent_area_m2|value_after|reduction\.share|(after_air|reduction\.after|opening\.after)\.\w+)$/;
const searchTolerance = 5e-3;

/** The first difference as words, or null. `relative` 0: exactly the same. */
export function difference(a, b, relative, path = "") {
  if (typeof a === "number" && typeof b === "number") {
    if (relative > 0 && instantOfMaximum.test(path)) return null;
    if (relative > 1e-12 && searched.test(path) && sameNumbers(a, b, searchTolerance)) return null;
    if (a === b || sameNumbers(a, b, relative) || Math.abs(a - b) <= relative * 1e-3) return null;
    return `${path}: ${a} and ${b}`;
  }
  if (typeof a === "string" && typeof b === "string") {
    return sameText(a, b, relative === 0) ? null : `${path}: ${JSON.stringify(a)} and ${JSON.stringify(b)}`;
  }
  if (a === null || b === null || typeof a !== "object" || typeof b !== "object") {
    return a === b ? null : `${path}: ${JSON.stringify(a)} and ${JSON.stringify(b)}`;
  }
  const keys = new Set([...Object.keys(a), ...Object.keys(b)]);
  for (const key of keys) {
    if (!(key in a) || !(key in b)) return `${path}.${key}: only in one`;
    const found = difference(a[key], b[key], relative, `${path}.${key}`);
    if (found) return found;
  }
  return null;
}
