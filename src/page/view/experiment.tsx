// SPDX-License-Identifier: Apache-2.0
/** Cards by type of apparatus, and the few questions of each. */
import { useState } from "preact/hooks";
import { type Answers, type Experiment, experiments } from "../model/experiments";
import { t } from "../text";
import { ValueInput } from "./fields";
import { useStore } from "./state";

function Questions({ experiment, back }: { experiment: Experiment; back: () => void }) {
  const store = useStore();
  const words = t.experiment.cards[experiment.id];
  const usual: Answers = Object.fromEntries(experiment.fields.map((field) => [field.key, field.usual]));
  const [answers, setAnswers] = useState<Answers>(usual);
  const go = (event: Event) => {
    event.preventDefault();
    store.begin(experiment.build(answers, { title: words?.title ?? "", names: words?.names ?? {} }), "answer");
  };
  return (
    <form class="form" onSubmit={go}>
      <h1>{words?.title}</h1>
      <p>{words?.help}</p>
      {experiment.fields.map((field) => (
        <ValueInput
          key={field.key}
          field={field}
          label={words?.fields[field.key] ?? field.key}
          value={answers[field.key]}
          change={(value) => setAnswers((old) => ({ ...old, [field.key]: String(value ?? "") }))}
        />
      ))}
      <p class="buttons">
        <button type="submit" class="main">
          {t.start.go}
        </button>
        <button type="button" onClick={back}>
          {t.start.back}
        </button>
      </p>
    </form>
  );
}

export function ExperimentStart({ back }: { back: () => void }) {
  const [chosen, choose] = useState<Experiment | null>(null);
  if (chosen) return <Questions experiment={chosen} back={() => choose(null)} />;
  return (
    <>
      <h1>{t.experiment.choose}</h1>
      <ul class="cards">
        {experiments.map((one) => (
          <li key={one.id}>
            <button type="button" class="card" onClick={() => choose(one)}>
              <strong>{t.experiment.cards[one.id]?.title}</strong>
              <span>{t.experiment.cards[one.id]?.help}</span>
            </button>
          </li>
        ))}
      </ul>
      <p>
        <button type="button" onClick={back}>
          {t.start.back}
        </button>
      </p>
    </>
  );
}
