// SPDX-License-Identifier: Apache-2.0
/** The arithmetic of one space, step by step, with blanks for a worksheet. */
import { useEffect, useState } from "preact/hooks";
import type { TextReply } from "../engine/reply";
import { nameOf } from "../model/site";
import { plain, t } from "../text";
import { Select } from "./fields";
import { columnsOf, tomlOf } from "./file";
import { useDoc } from "./state";

const figure = /\d+(?:\.\d+)?(?:e[-+]?\d+)?/g;
const fewestFigures = 4; // a shorter number may be another value that happens to be the same

/** Takes the result out of each line `name = expression = result`, and wherever a later step uses it. */
export function blanked(text: string): string {
  const found = new Set<string>();
  const hidden = (line: string) =>
    line.replace(figure, (one) => (found.has(one) ? "_".repeat(Math.max(6, one.length)) : one));
  return text
    .split("\n")
    .map((line) => {
      const at = line.lastIndexOf(" = ");
      if (at < 0 || line.indexOf(" = ") === at) return hidden(line);
      const result = line.slice(at + 3);
      const unit = /\s[A-Za-z%][A-Za-z0-9/%]*$/.exec(result);
      const head = hidden(line.slice(0, at + 3));
      const value = result.match(figure)?.[0] ?? "";
      if (value.replace(/e.*|\D/g, "").length >= fewestFigures) found.add(value);
      return `${head}____________${unit?.[0] ?? ""}`;
    })
    .join("\n");
}

export function WorkingView() {
  const { store, doc } = useDoc();
  const answer = store.lastGood?.reply.document?.answer;
  const worst = answer?.warnings[0];
  const [space, setSpace] = useState(worst?.space ?? doc.site.space[0]?.id ?? "");
  const [caseId, setCase] = useState(worst?.case ?? "normal");
  const [blanks, setBlanks] = useState(false);
  const [reply, setReply] = useState<TextReply | null>(null);
  useEffect(() => {
    let old = false;
    const ask = async () => {
      const question = {
        command: "explain",
        file: doc.file,
        text: tomlOf(doc),
        space,
        case: caseId,
        columns: columnsOf(),
      };
      const next = JSON.parse(await store.engine.ask(question)) as TextReply;
      if (!old) setReply(next);
    };
    ask().catch(() => setReply({ code: 3, faults: [] }));
    return () => {
      old = true;
    };
  }, [doc, space, caseId, store.engine]);
  const spaces = doc.site.space.map((one) => ({ value: one.id, words: nameOf(one) }));
  const cases = (answer?.cases ?? []).map((one) => ({
    value: one.id,
    words: one.id === "normal" ? t.answer.normal : one.name || one.id,
  }));
  return (
    <>
      <h1>{t.working.title}</h1>
      <p>{t.working.help}</p>
      <div class="form no-print">
        <Select label={t.working.space} value={space} options={spaces} change={setSpace} />
        <Select label={t.working.case} value={caseId} options={cases} change={setCase} />
        <label class="switch">
          <input type="checkbox" checked={blanks} onChange={() => setBlanks(!blanks)} />
          <span>{t.working.blanks}</span>
        </label>
        <p class="buttons">
          <button type="button" onClick={() => window.print()}>
            {t.working.copy}
          </button>
        </p>
      </div>
      {reply?.text !== undefined && (
        <pre class="working" tabIndex={0}>
          {plain(blanks ? blanked(reply.text) : reply.text)}
        </pre>
      )}
      {reply && reply.text === undefined && (
        <div class="faults" role="alert">
          <p>{t.working.failed}</p>
          <p>{reply.faults?.[0]?.message ?? t.answer.failed}</p>
        </div>
      )}
    </>
  );
}
