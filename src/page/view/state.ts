// SPDX-License-Identifier: Apache-2.0
/** What the whole page knows, and what may be done with it. */
import { createContext } from "preact";
import { useContext } from "preact/hooks";
import type { CheckReply, SubstanceEntry } from "../engine/reply";
import type { EngineClient } from "../engine/client";
import type { Doc, Kind } from "../model/site";

export type Step = "start" | "place" | "failures" | "answer" | "working" | "print" | "emergency";

export interface Trial {
  doc: Doc;
  words: string;
  reply: CheckReply | null;
}

/** A reply with an answer, and the site that it answers. */
export interface Answered {
  doc: Doc;
  reply: CheckReply;
}

export interface ReactionEntry {
  id: string;
  name: string;
  reagents: { id: string; name: string }[];
}

export interface Store {
  engine: EngineClient;
  substances: SubstanceEntry[];
  reactions: ReactionEntry[];
  step: Step;
  go(step: Step): void;
  doc: Doc | null;
  /** Puts another state of the site in place; the earlier one can be brought back. */
  change(doc: Doc): void;
  begin(doc: Doc, step: Step): void;
  /** The site is in a file now: nothing is lost when the page is closed. */
  markSaved(): void;
  undo: (() => void) | null;
  redo: (() => void) | null;
  /** The answer to `doc`, or to an earlier state while `busy`. */
  reply: CheckReply | null;
  /** The last answer: shown while a newer one is worked out, or an input is incomplete. */
  lastGood: Answered | null;
  busy: boolean;
  failed: boolean;
  trial: Trial | null;
  setTrial(trial: Trial | null): void;
  selected: { kind: Kind; id: string } | null;
  select(kind: Kind, id: string): void;
  /** Told to people who cannot see the page. */
  say(words: string): void;
}

export const StoreContext = createContext<Store | null>(null);

export function useStore(): Store {
  const store = useContext(StoreContext);
  if (!store) throw new Error("outside of the page");
  return store;
}

/** For the parts of the page that are shown only with a site. */
export function useDoc(): { store: Store; doc: Doc } {
  const store = useStore();
  if (!store.doc) throw new Error("there is no site yet");
  return { store, doc: store.doc };
}

/** What the engine finds wrong with one thing, without the words that name it. */
export function faultsOf(reply: CheckReply | null, kind: Kind, id: string): string[] {
  const head = `${kind} '${id}': `;
  return (reply?.faults ?? [])
    .filter((fault) => fault.level === "error" && fault.message.startsWith(head))
    .map((fault) => fault.message.slice(head.length));
}
