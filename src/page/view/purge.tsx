// SPDX-License-Identifier: Apache-2.0
/** How much nitrogen a vessel needs: a few questions, and the plan of the engine. */
import { useEffect, useState } from "preact/hooks";
import type { TextReply } from "../engine/reply";
import type { CardField } from "../model/cards/card";
import { t } from "../text";
import { ValueInput } from "./fields";
import { columnsOf } from "./file";
import { useStore } from "./state";

const fields: CardField[] = [
  { key: "gas", type: "gas", usual: "hydrogen" },
  { key: "volume", type: "quantity", units: ["L", "mL", "m3"], usual: "2 L" },
  { key: "flow", type: "quantity", units: ["L/min", "mL/min", "m3/h"], usual: "1 L/min" },
  { key: "oxygen", type: "quantity", units: ["ppm", "%"], usual: "100 ppm" },
  { key: "temperature", type: "quantity", units: ["degC"], usual: "20 degC" },
];
const words = t.purge as Record<string, string>;

/** "oxygen: ..." with the words of the field. */
function told(message: string): string {
  const at = message.indexOf(": ");
  const name = words[message.slice(0, at)];
  return name ? `${name}${message.slice(at)}` : message;
}

export function PurgeStart({ back }: { back: () => void }) {
  const { engine } = useStore();
  const [answers, setAnswers] = useState(() => Object.fromEntries(fields.map((one) => [one.key, one.usual])));
  const [reply, setReply] = useState<TextReply | null>(null);
  useEffect(() => {
    let old = false;
    const ask = async () => {
      const question = { command: "purge", columns: columnsOf(), ...answers };
      const next = JSON.parse(await engine.ask(question)) as TextReply;
      if (!old) setReply(next);
    };
    ask().catch(() => setReply({ code: 3 }));
    return () => {
      old = true;
    };
  }, [answers, engine]);
  return (
    <>
      <h1>{t.purge.title}</h1>
      <p class="no-print">{t.purge.help}</p>
      <div class="form no-print">
        {fields.map((field) => (
          <ValueInput
            key={field.key}
            field={field}
            label={words[field.key] ?? ""}
            value={answers[field.key]}
            change={(value) => setAnswers((before) => ({ ...before, [field.key]: String(value ?? "") }))}
          />
        ))}
      </div>
      {reply?.text !== undefined && (
        <pre class="working" tabIndex={0} aria-live="polite">
          {reply.text}
        </pre>
      )}
      {reply && reply.text === undefined && (
        <div class="faults" role="alert">
          {(reply.faults ?? []).map((one) => (
            <p key={one.message}>{told(one.message)}</p>
          ))}
          {!reply.faults && <p>{t.answer.failed}</p>}
        </div>
      )}
      <p class="buttons">
        <button type="button" onClick={() => window.print()}>
          {t.purge.print}
        </button>
        <button type="button" onClick={back}>
          {t.start.back}
        </button>
      </p>
    </>
  );
}
