// SPDX-License-Identifier: Apache-2.0
import { cardOf } from "../model/experiments";
import { t } from "../text";
import { save, tomlOf } from "./file";
import { type Step, useStore } from "./state";

const steps: Step[] = ["start", "place", "failures", "answer", "working", "print"];

export function Header() {
  const store = useStore();
  const { doc, step } = store;
  const words: Record<string, string> = { ...t.steps };
  if (doc && cardOf(doc)) words.place = t.steps.card;
  const keep = () => {
    if (!doc) return;
    save(doc.file, tomlOf(doc), "application/toml");
    store.markSaved();
    store.say(t.file.saved);
  };
  return (
    <header>
      <p class="brand">{t.name}</p>
      <nav aria-label={t.steps.label}>
        <ul>
          {steps.map((one) => (
            <li key={one} class={`step-${one}`}>
              <button
                type="button"
                disabled={!doc && one !== "start"}
                aria-current={step === one ? "step" : undefined}
                onClick={() => store.go(one)}
              >
                {words[one]}
              </button>
            </li>
          ))}
        </ul>
      </nav>
      <div class="tools">
        {doc && (
          <button type="button" onClick={keep}>
            {t.file.save}
          </button>
        )}
        <button type="button" class="alarm" onClick={() => store.go("emergency")}>
          {t.emergency.button}
        </button>
      </div>
    </header>
  );
}
