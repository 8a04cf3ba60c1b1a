// SPDX-License-Identifier: Apache-2.0
/** Experiments by type of apparatus. To add one: a card in a group, and its words in the catalogue. */
import { type Answers, type CardWords, type Experiment } from "./cards/card";
import { filled } from "./cards/filling";
import { lighting } from "./cards/lighting";
import { making } from "./cards/making";
import { standing } from "./cards/standing";
import type { Doc } from "./site";

export type { Answers, Experiment };

/** The cards, in the order in which they are offered; the keys are those of the catalogue. */
export const groups: readonly { id: string; cards: readonly Experiment[] }[] = [
  { id: "making", cards: making },
  { id: "lighting", cards: lighting },
  { id: "filling", cards: filled },
  { id: "standing", cards: standing },
];

export const usualOf = (experiment: Experiment): Answers =>
  Object.fromEntries(experiment.fields.map((field) => [field.key, field.usual]));

interface Made {
  experiment: Experiment;
  answers: Answers;
}

/** Which card made a site. A site that was changed by other means is another one, and has no card. */
const made = new WeakMap<object, Made>();

export function built(experiment: Experiment, answers: Answers, words: CardWords): Doc {
  const doc = experiment.build(answers, words);
  made.set(doc.site, { experiment, answers });
  return doc;
}

export const cardOf = (doc: Doc): Made | undefined => made.get(doc.site);
