// SPDX-License-Identifier: Apache-2.0
/** Cards by type of apparatus, and the few questions of each. */
import { type Answers, built, cardOf, type Experiment, groups, usualOf } from "../model/experiments";
import type { Doc } from "../model/site";
import { t } from "../text";
import { ValueInput } from "./fields";
import { useDoc, useStore } from "./state";

function docOf(experiment: Experiment, answers: Answers): Doc {
  const words = t.experiment.cards[experiment.id];
  return built(experiment, answers, { title: words?.title ?? "", names: words?.names ?? {} });
}

/** The questions of the card that made the site; each answer makes it anew. */
export function CardForm({ experiment, answers }: { experiment: Experiment; answers: Answers }) {
  const { store, doc } = useDoc();
  const words = t.experiment.cards[experiment.id];
  const put = (key: string, value: string) =>
    store.change({ ...docOf(experiment, { ...answers, [key]: value }), layout: doc.layout });
  return (
    <section class="card-form" aria-label={t.experiment.amounts}>
      <p>
        {words?.help} {t.experiment.invented}
      </p>
      <div class="form">
        {experiment.fields.map((field) => (
          <ValueInput
            key={field.key}
            field={field}
            label={words?.fields[field.key] ?? field.key}
            value={answers[field.key]}
            change={(value) => put(field.key, String(value ?? ""))}
          />
        ))}
      </div>
      <p class="buttons">
        <button type="button" onClick={() => store.go("start")}>
          {t.experiment.other}
        </button>
      </p>
    </section>
  );
}

/** The form of the card, if one made the site. */
export const cardWordsOf = (doc: Doc) => {
  const card = cardOf(doc);
  return card ? { ...card, title: t.experiment.cards[card.experiment.id]?.title ?? "" } : null;
};

export function ExperimentStart({ back, purge }: { back: () => void; purge: () => void }) {
  const store = useStore();
  return (
    <>
      <h1>{t.experiment.choose}</h1>
      {groups.map((group) => (
        <section key={group.id} aria-label={t.experiment.groups[group.id]}>
          <h2>{t.experiment.groups[group.id]}</h2>
          <ul class="cards">
            {group.cards.map((one) => (
              <li key={one.id}>
                <button type="button" class="card" onClick={() => store.begin(docOf(one, usualOf(one)), "place")}>
                  <strong>{t.experiment.cards[one.id]?.title}</strong>
                  <span>{t.experiment.cards[one.id]?.help}</span>
                </button>
              </li>
            ))}
            {group.id === "filling" && (
              <li>
                <button type="button" class="card" onClick={purge}>
                  <strong>{t.purge.title}</strong>
                  <span>{t.purge.help}</span>
                </button>
              </li>
            )}
          </ul>
        </section>
      ))}
      <p>
        <button type="button" onClick={back}>
          {t.start.back}
        </button>
      </p>
    </>
  );
}
