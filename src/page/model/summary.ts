// SPDX-License-Identifier: Apache-2.0
/** A warning in one sentence, 'Store, in the case "Night": gas can ...', taken apart into where and what. */

/** `name` of the place and `case_name` may hold any sign. Null where the sentence is built otherwise. */
export function parted(sentence: string, name: string, case_name: string): { where: string; what: string } | null {
  if (!sentence.startsWith(name)) return null;
  const quoted = sentence.indexOf(`"${case_name}"`, name.length);
  const after = case_name !== "" && quoted >= 0 ? quoted + case_name.length + 2 : name.length;
  const colon = sentence.indexOf(": ", after);
  if (colon < 0) return null;
  const what = sentence.slice(colon + 2);
  return { where: sentence.slice(0, colon), what: `${what.charAt(0).toUpperCase()}${what.slice(1)}` };
}
