// SPDX-License-Identifier: Apache-2.0
/** The answer: verdict, findings with what to do, the course in time, what it rests on. */
import { Fragment } from "preact";
import { useEffect, useMemo, useState } from "preact/hooks";
import type { Answer, CaseCourse, CheckReply, FindingWords, Screen, Warning } from "../engine/reply";
import { type Change, changesFor } from "../model/advice";
import { onlyBench } from "../model/bench";
import { mayLayer, withLayers } from "../model/layers";
import { duration, short } from "../model/quantity";
import { type Doc, find, nameOf } from "../model/site";
import { plain, t } from "../text";
import { Benches } from "./bench";
import { Curves } from "./curves";
import { Select } from "./fields";
import { checkQuestion } from "./file";
import { Fold } from "./fold";
import { percentOf, SideView } from "./side";
import { TimeSlider } from "./slider";
import { type Answered, type Store, useDoc } from "./state";

export function wordsOf(change: Change): string {
  const [first = "", second = ""] = change.words;
  const { tries } = t.answer;
  if (change.kind === "air") return tries.air(first);
  if (change.kind === "stop") return tries.stop(first);
  if (change.kind === "less") return tries.less(first, second);
  if (change.kind === "vents") return tries.vents(first);
  return tries.opening;
}

async function tryOut(store: Store, change: Change): Promise<void> {
  const words = wordsOf(change);
  store.setTrial({ doc: change.doc, words, reply: null });
  try {
    const reply = JSON.parse(plain(await store.engine.ask(checkQuestion(change.doc)))) as CheckReply;
    store.setTrial({ doc: change.doc, words, reply });
    store.say(`${t.answer.trial}: ${reply.screen?.verdict ?? ""}`);
  } catch {
    store.setTrial(null);
    store.say(t.answer.failed);
  }
  document.getElementById("trial")?.scrollIntoView({ block: "nearest" });
}

export function Badge({ severity }: { severity: string }) {
  return <span class={`badge ${severity}`}>{t.answer.severities[severity] ?? severity}</span>;
}

const fewCauses = 4;

/** Where the gas of a warning comes from, if that is more than one source: the largest shares first. */
function causesOf(doc: Doc, warning: Warning): string[] {
  if (warning.causes.length < 2) return [];
  const named = [...warning.causes].sort((a, b) => b.share - a.share).slice(0, fewCauses);
  return named.map(({ release, initial, share }) => {
    const space = initial === undefined ? undefined : find(doc.site, "space", initial);
    const name = nameOf(find(doc.site, "release", release) ?? { name: release });
    return t.answer.cause(percentOf(share), space ? t.answer.at_first(nameOf(space)) : name);
  });
}

interface FindingProps {
  words: FindingWords;
  warning: Warning | undefined;
  /** What else the same cause does. */
  others: string[];
  rank: number;
}

function Finding({ words, warning, others, rank }: FindingProps) {
  const { store, doc } = useDoc();
  const changes = warning ? changesFor(doc, warning) : [];
  const causes = warning ? causesOf(doc, warning) : [];
  return (
    <li class={`finding ${words.severity}`}>
      <h3>
        <span class="rank">{rank}</span> <Badge severity={words.severity} />{" "}
        {others.map((one) => (
          <Fragment key={one}>
            <Badge severity={one} />{" "}
          </Fragment>
        ))}
        {words.where}
      </h3>
      <p>
        <b>{t.answer.when}:</b> {words.when}
      </p>
      <p>
        <b>{t.answer.act}:</b> {words.act}
      </p>
      {causes.length > 0 && (
        <p class="quiet">
          <b>{t.answer.causes}:</b> {causes.join(", ")}
        </p>
      )}
      {changes.length > 0 && (
        <p class="buttons tries">
          <span>{t.answer.try_it}:</span>
          {changes.map((change) => (
            <button key={wordsOf(change)} type="button" onClick={() => void tryOut(store, change)}>
              {wordsOf(change)}
            </button>
          ))}
        </p>
      )}
    </li>
  );
}

function Findings({ screen, answer }: { screen: Screen; answer: Answer }) {
  const [all, showAll] = useState(false);
  const atOnce = 3;
  const shown = all ? screen.findings : screen.findings.slice(0, atOnce);
  const left = screen.findings.length - shown.length;
  return (
    <>
      <h2 class="unseen">{t.answer.findings}</h2>
      <ol class="findings">
        {shown.map((words, i) => {
          const ranks = answer.findings[i]?.warnings ?? [];
          const warnings = answer.warnings.filter((one) => ranks.includes(one.rank));
          const [warning] = warnings;
          const also = new Set(warnings.map((one) => one.severity));
          also.delete(words.severity);
          also.delete("note");
          return (
            <Finding
              key={words.where + words.severity}
              words={words}
              warning={warning}
              others={[...also]}
              rank={i + 1}
            />
          );
        })}
      </ol>
      {left > 0 && (
        <button type="button" onClick={() => showAll(true)}>
          {t.answer.more(left)}
        </button>
      )}
    </>
  );
}

export function SentenceList({ title, items, open }: { title: string; items: string[]; open?: boolean }) {
  if (items.length === 0) return null;
  return (
    <details open={open}>
      <summary>
        {title} ({items.length})
      </summary>
      <ul>
        {items.map((one) => (
          <li key={one}>{one}</li>
        ))}
      </ul>
    </details>
  );
}

/** The instant at which the worst space of the case is at its worst. */
function worstMoment(answer: Answer, course: CaseCourse): number {
  const spaces = answer.cases.find((one) => one.id === course.case)?.spaces ?? [];
  const worst = [...spaces].sort((a, b) => b.peak.lfl_fraction - a.peak.lfl_fraction)[0];
  const time = worst?.peak.time_s ?? 0;
  const at = course.time_s.findIndex((one) => one >= time);
  return at < 0 ? course.time_s.length - 1 : at;
}

function Moment({ doc, reply, answer }: { doc: Doc; reply: CheckReply; answer: Answer }) {
  const courses = reply.course ?? [];
  const firstCase = answer.warnings[0]?.case ?? courses[0]?.case ?? "normal";
  const [wanted, choose] = useState<string | null>(null);
  const course = courses.find((one) => one.case === wanted) ?? courses.find((one) => one.case === firstCase);
  const [chosen, set] = useState<number | null>(null);
  if (!course) return null;
  const at = Math.min(chosen ?? worstMoment(answer, course), course.time_s.length - 1);
  const options = answer.cases.map((one) => ({
    value: one.id,
    words: one.id === "normal" ? t.answer.normal : one.name || one.id,
  }));
  const around = () => (
    <>
      <TimeSlider times={course.time_s} at={at} set={set} />
      <SideView doc={doc} course={course} at={at} />
      <Curves doc={doc} answer={answer} course={course} at={at} />
      <Spaces doc={doc} answer={answer} caseId={course.case} />
    </>
  );
  return (
    <>
      {options.length > 1 && (
        <Select label={t.answer.case} value={course.case} options={options} change={(id) => (choose(id), set(null))} />
      )}
      <Benches doc={doc} answer={answer} course={course} />
      {onlyBench(answer, course.case) ? <Fold title={t.bench.around} content={around} /> : around()}
    </>
  );
}

function Spaces({ doc, answer, caseId }: { doc: Doc; answer: Answer; caseId: string }) {
  const spaces = answer.cases.find((one) => one.id === caseId)?.spaces ?? [];
  const pressed = spaces.some((one) => one.pressure_pa > 1.02 * answer.conditions.pressure_pa);
  const heads = [t.answer.space, t.answer.worst, t.answer.first, t.answer.lasts, t.answer.oxygen];
  if (pressed) heads.push(t.answer.pressure);
  return (
    <div class="wide" tabIndex={0} role="region" aria-label={t.answer.space}>
      <table>
        <thead>
          <tr>
            {heads.map((one) => (
              <th scope="col" key={one}>
                {one}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {spaces.map((one) => (
            <tr key={one.id}>
              <th scope="row">{nameOf(find(doc.site, "space", one.id) ?? { name: one.id })}</th>
              <td>{percentOf(one.worst.lfl_fraction)}</td>
              <td>{one.flammable_from_s === null ? t.answer.never : duration(one.flammable_from_s)}</td>
              <td>{one.flammable_s > 0 ? duration(one.flammable_s) : "-"}</td>
              <td>{`${short(100 * one.worst.oxygen_lowest, 3)} %`}</td>
              {pressed && <td>{`${short(one.pressure_pa / 1e5, 3)} bar`}</td>}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function TrialView() {
  const { store } = useDoc();
  const { trial, reply } = store;
  if (!trial) return null;
  const keep = () => {
    store.change(trial.doc);
    store.setTrial(null);
  };
  return (
    <section id="trial" class="trial" aria-label={t.answer.trial}>
      <h2>{`${t.answer.trial}: ${trial.words}`}</h2>
      <div class="both">
        <div>
          <h3>{t.answer.today}</h3>
          <p>{reply?.screen?.verdict}</p>
        </div>
        <div>
          <h3>{t.answer.trial}</h3>
          <p>{trial.reply ? (trial.reply.screen?.verdict ?? trial.reply.faults?.[0]?.message) : t.answer.working}</p>
        </div>
      </div>
      <p class="buttons">
        <button type="button" class="main" disabled={!trial.reply?.document} onClick={keep}>
          {t.answer.keep}
        </button>
        <button type="button" onClick={() => store.setTrial(null)}>
          {t.answer.discard}
        </button>
      </p>
    </section>
  );
}

function Faults({ reply }: { reply: CheckReply }) {
  const errors = (reply.faults ?? []).filter((one) => one.level === "error");
  if (errors.length === 0) return null;
  return (
    <div class="faults" role="alert">
      <p>{t.answer.faults}</p>
      <ul>
        {errors.slice(0, 10).map((one) => (
          <li key={one.message}>{one.message}</li>
        ))}
      </ul>
    </div>
  );
}

/** Rooms in which gas may gather in a layer: one press counts with it. */
function LayerOffers({ notices }: { notices: string[] }) {
  const { store, doc } = useDoc();
  return (
    <>
      {mayLayer(notices).map(({ id, place }) => {
        const name = nameOf(find(doc.site, "space", id) ?? { name: id });
        return (
          <p key={id}>
            {t.answer.may_layer(name, place)}{" "}
            <button type="button" onClick={() => store.change(withLayers(doc, id))}>
              {t.answer.with_layers}
            </button>
          </p>
        );
      })}
    </>
  );
}

/** What takes longest to draw follows one frame after the first lines. */
function useLater<T>(value: T): T {
  const [shown, show] = useState(value);
  useEffect(() => show(() => value), [value]);
  return shown;
}

/** Drawings, curves and numbers: drawn anew for a new answer only. */
function Drawings({ answered }: { answered: Answered }) {
  const { doc, reply } = useLater(answered);
  const answer = reply.document?.answer;
  return useMemo(() => (answer ? <Moment doc={doc} reply={reply} answer={answer} /> : null), [doc, reply, answer]);
}

export function AnswerView() {
  const { store } = useDoc();
  const { reply, lastGood, busy, failed } = store;
  const shown = lastGood?.reply;
  const answer = shown?.document?.answer;
  const screen = shown?.screen;
  const notices = (reply?.faults ?? []).filter((one) => one.level === "notice").map((one) => one.message);
  return (
    <>
      {store.step === "answer" ? (
        <h1 id="answer-title">{t.answer.title}</h1>
      ) : (
        <h2 id="answer-title">{t.answer.title}</h2>
      )}
      {failed && (
        <p class="faults" role="alert">
          {t.answer.failed}
        </p>
      )}
      {reply && <Faults reply={reply} />}
      {reply && !reply.document && shown && <p class="quiet">{t.answer.waiting}</p>}
      {busy && !screen && <p>{t.answer.working}</p>}
      {answer && screen && lastGood && (
        <>
          <p class={`verdict ${answer.calls_for_action ? "act" : ""}`} aria-live="polite">
            {screen.verdict}
          </p>
          <TrialView />
          <Findings screen={screen} answer={answer} />
          <SentenceList title={t.answer.look_at} items={screen.look_at} open />
          <SentenceList title={t.answer.not_judged} items={screen.not_judged} open />
          <SentenceList title={t.answer.notices} items={notices.filter((one) => mayLayer([one]).length === 0)} open />
          <LayerOffers notices={notices} />
          <Drawings answered={lastGood} />
          <SentenceList title={t.answer.assumptions} items={screen.assumptions} />
          <p class="caution">{shown?.document?.caution}</p>
        </>
      )}
    </>
  );
}
