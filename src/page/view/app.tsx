// SPDX-License-Identifier: Apache-2.0
import { render } from "preact";
import { useCallback, useEffect, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import type { CheckReply, SubstanceEntry } from "../engine/reply";
import type { EngineClient } from "../engine/client";
import type { Doc, Kind } from "../model/site";
import { fromToml } from "../model/toml";
import { plain, t } from "../text";
import { AnswerView } from "./answer";
import { Emergency } from "./emergency";
import { FailuresView } from "./failures";
import { checkQuestion } from "./file";
import { Header } from "./header";
import { PlaceView } from "./place";
import { PrintView } from "./print";
import { StartView } from "./start";
import { type Answered, type ReactionEntry, type Step, type Store, StoreContext, type Trial } from "./state";
import { WorkingView } from "./working";

interface Past {
  before: Doc[];
  now: Doc | null;
  after: Doc[];
}

const mostKept = 100;

/** The site with what can be taken back. */
function useHistory() {
  const [past, setPast] = useState<Past>({ before: [], now: null, after: [] });
  const change = useCallback((doc: Doc) => {
    setPast((p) => ({ before: p.now ? [...p.before, p.now].slice(-mostKept) : p.before, now: doc, after: [] }));
  }, []);
  const undo = useCallback(() => {
    setPast((p) => {
      const last = p.before.at(-1);
      return last ? { before: p.before.slice(0, -1), now: last, after: p.now ? [p.now, ...p.after] : p.after } : p;
    });
  }, []);
  const redo = useCallback(() => {
    setPast((p) => {
      const next = p.after[0];
      return next ? { before: p.now ? [...p.before, p.now] : p.before, now: next, after: p.after.slice(1) } : p;
    });
  }, []);
  return {
    past,
    change,
    undo: past.before.length > 0 ? undo : null,
    redo: past.after.length > 0 ? redo : null,
    setPast,
  };
}

/** The answer to a site. A newer site is asked for as soon as the engine is free; those between are left out. */
function useAnswer(engine: EngineClient, doc: Doc | null) {
  const [reply, setReply] = useState<CheckReply | null>(null);
  const [lastGood, setLastGood] = useState<Answered | null>(null);
  const [busy, setBusy] = useState(false);
  const [failed, setFailed] = useState(false);
  const asked = useRef<Doc | null>(null);
  const wanted = useRef<Doc | null>(null);
  const running = useRef(false);
  const run = useCallback(async () => {
    if (running.current) return;
    running.current = true;
    while (wanted.current) {
      const next = wanted.current;
      wanted.current = null;
      try {
        const answer = JSON.parse(plain(await engine.ask(checkQuestion(next)))) as CheckReply;
        setReply(answer);
        if (answer.document) setLastGood({ doc: next, reply: answer });
        setFailed(false);
      } catch {
        setFailed(true);
      }
    }
    running.current = false;
    setBusy(false);
  }, [engine]);
  /** Called as soon as a change is known: the engine then works while the page is drawn. */
  const ask = useCallback(
    (next: Doc) => {
      if (next === asked.current) return;
      asked.current = next;
      wanted.current = next;
      setBusy(true);
      void run();
    },
    [run],
  );
  useLayoutEffect(() => {
    if (doc) ask(doc);
  }, [doc, ask]);
  const forget = useCallback(() => {
    setReply(null);
    setLastGood(null);
  }, []);
  return useMemo(() => ({ reply, lastGood, busy, failed, forget, ask }), [reply, lastGood, busy, failed, forget, ask]);
}

function useTables(engine: EngineClient) {
  const [substances, setSubstances] = useState<SubstanceEntry[]>([]);
  const [reactions, setReactions] = useState<ReactionEntry[]>([]);
  useEffect(() => {
    const read = async () => {
      const found = JSON.parse(await engine.ask({ command: "substances" }));
      setSubstances([...(found.document.answer.substances ?? []), ...(found.document.answer.mixtures ?? [])]);
      setReactions(JSON.parse(await engine.ask({ command: "reactions" })).document.answer.reactions ?? []);
    };
    read().catch(() => undefined);
  }, [engine]);
  return { substances, reactions };
}

/** The site that `leanside page FILE` put into the page, if any. */
function siteOfPage(): Doc | null {
  const block = document.getElementById("site")?.textContent?.trim();
  if (!block) return null;
  const { file, text } = JSON.parse(block) as { file: string; text: string };
  return fromToml(text, file);
}

function Main({ step }: { step: Step }) {
  if (step === "emergency") return <Emergency />;
  if (step === "start") return <StartView />;
  if (step === "place") return <PlaceView />;
  if (step === "failures") return <FailuresView />;
  if (step === "working") return <WorkingView />;
  if (step === "print") return <PrintView />;
  return null;
}

/** On a narrow window the answer has a page of its own: this keeps its first words in sight. */
function Strip({ store }: { store: Store }) {
  const { reply, lastGood } = store;
  const errors = (reply?.faults ?? []).filter((one) => one.level === "error");
  const good = lastGood?.reply;
  const act = good?.document?.answer.calls_for_action ? "act" : "";
  return (
    <button type="button" class={`strip ${act}`} onClick={() => store.go("answer")}>
      <b>{t.answer.title}:</b> {errors[0]?.message ?? good?.screen?.verdict ?? t.answer.working}
    </button>
  );
}

function Layout({ store, said }: { store: Store; said: string }) {
  const { step } = store;
  const beside = step === "place" || step === "failures" || step === "answer";
  return (
    <>
      <a class="skip" href="#main">
        {t.skip}
      </a>
      <Header />
      <main id="main" tabIndex={-1} class={beside ? "columns" : "single"}>
        <div class={step === "answer" ? "only-narrow-hidden" : ""}>
          <Main step={step === "answer" ? "place" : step} />
        </div>
        {beside && store.doc && (
          <section id="answer" aria-labelledby="answer-title" class={step === "answer" ? "shown" : ""}>
            <AnswerView />
          </section>
        )}
      </main>
      {store.doc && (step === "place" || step === "failures") && <Strip store={store} />}
      <footer>
        <p>{t.caution}</p>
      </footer>
      <div class="unseen" role="status" aria-live="polite">
        {said}
      </div>
    </>
  );
}

function App({ engine }: { engine: EngineClient }) {
  const history = useHistory();
  const [step, setStep] = useState<Step>("start");
  const [trial, setTrial] = useState<Trial | null>(null);
  const [selected, setSelected] = useState<{ kind: Kind; id: string } | null>(null);
  const [said, say] = useState("");
  const doc = history.past.now;
  const answer = useAnswer(engine, doc);
  const tables = useTables(engine);
  const go = useCallback((next: Step) => {
    setStep(next);
    window.scrollTo(0, 0);
    document.getElementById("main")?.focus({ preventScroll: true });
  }, []);
  const begin = (next: Doc, where: Step) => {
    answer.forget();
    answer.ask(next);
    history.setPast({ before: [], now: next, after: [] });
    setTrial(null);
    setSelected(null);
    go(where);
  };
  useEffect(() => {
    const site = siteOfPage();
    if (site) begin(site, "answer");
  }, []);
  const savedDoc = useRef<Doc | null>(null);
  useEffect(() => {
    const unsaved = (event: BeforeUnloadEvent) => {
      if (history.undo && doc !== savedDoc.current) event.preventDefault();
    };
    window.addEventListener("beforeunload", unsaved);
    if (doc) document.title = `${doc.site.title} - ${t.name}`;
    return () => window.removeEventListener("beforeunload", unsaved);
  }, [doc, history.undo]);
  const change = (next: Doc) => {
    answer.ask(next);
    setTrial(null);
    history.change(next);
  };
  const markSaved = () => {
    savedDoc.current = doc;
  };
  const store: Store = useMemo(
    () => ({
      engine, ...tables, step, go, doc, begin, trial, setTrial, selected, say, ...answer,
      change, markSaved, undo: history.undo, redo: history.redo,
      select: (kind: Kind, id: string) => setSelected({ kind, id }),
    }), // prettier-ignore
    [engine, tables, step, doc, trial, selected, answer, history.undo, history.redo],
  );
  return (
    <StoreContext.Provider value={store}>
      <Layout store={store} said={said} />
    </StoreContext.Provider>
  );
}

export function start(engine: EngineClient): void {
  const root = document.getElementById("page");
  if (!root) return;
  root.textContent = "";
  render(<App engine={engine} />, root);
}
