// SPDX-License-Identifier: Apache-2.0
/** The language that the page speaks. */
import { type Catalogue, en } from "./en";

export const t: Catalogue = en;

/** What the engine says, for people who see neither the file nor the documentation. */
export const plain = (told: string): string =>
  t.plain.reduce((words, [name, instead]) => words.replaceAll(name, instead), told);
