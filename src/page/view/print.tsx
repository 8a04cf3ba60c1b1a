// SPDX-License-Identifier: Apache-2.0
/** One A4 side for each room: what was found there, its drawing, and room to sign. */
import { useState } from "preact/hooks";
import type { Answer, CheckReply } from "../engine/reply";
import { benchesOf, onlyBench } from "../model/bench";
import { placed, roomAround, sizeOf } from "../model/geometry";
import { short } from "../model/quantity";
import { parted } from "../model/summary";
import { fieldsOf } from "../model/forms";
import { type Doc, find, isTable, type Item, list, nameOf, sidesOf, text, type Value } from "../model/site";
import { t } from "../text";
import { Badge } from "./answer";
import { Bench } from "./bench";
import { Curve } from "./curves";
import { useOneSide } from "./paper";
import { SideView } from "./side";
import { useDoc, useStore } from "./state";

/** Rooms, and whatever stands in none. */
function heads(doc: Doc): Item[] {
  return placed(doc)
    .filter((one) => one.inside === null && one.item.kind !== "junction")
    .map((one) => one.item);
}

interface Found {
  severity: string;
  where: string;
  when: string;
  act: string;
}

/** What was found in a room and in what stands in it: its own findings first, then what reaches it from elsewhere. */
function foundAt(doc: Doc, answer: Answer, reply: CheckReply, room: Item): Found[] {
  const belongs = (id: string) => {
    const space = find(doc.site, "space", id);
    return id === room.id || (space !== undefined && roomAround(doc, space) === room.id);
  };
  const own: Found[] = [];
  const told = new Set<string>();
  answer.findings.forEach((finding, i) => {
    const words = reply.screen?.findings[i];
    if (!words || !belongs(finding.space)) return;
    own.push(words);
    for (const rank of finding.warnings) {
      const warning = answer.warnings.find((one) => one.rank === rank);
      if (warning && belongs(warning.space)) told.add(`${warning.space} ${warning.severity}`);
    }
  });
  for (const warning of answer.warnings) {
    const key = `${warning.space} ${warning.severity}`;
    if (!belongs(warning.space) || told.has(key)) continue;
    told.add(key);
    const name = nameOf(find(doc.site, "space", warning.space) ?? { name: warning.space });
    const of = answer.cases.find((one) => one.id === warning.case);
    const words = parted(warning.summary, name, of?.name || warning.case);
    own.push({
      severity: warning.severity,
      where: words?.where ?? name,
      when: words?.what ?? warning.summary,
      act: warning.remedy,
    });
  }
  return own;
}

/** The room alone, with what stands in it. */
function only(doc: Doc, room: Item): Doc {
  const spaces = doc.site.space.filter((one) => one.id === room.id || roomAround(doc, one) === room.id);
  const known = new Set(spaces.map((one) => one.id));
  const release = doc.site.release.filter((one) => known.has(text(one.into)));
  return { ...doc, site: { ...doc.site, space: spaces, release } };
}

const mostTold = 10;

function told(value: Value | undefined): string {
  if (Array.isArray(value)) return value.map(told).join(", ");
  if (isTable(value)) {
    if (value.best !== undefined) return told(value.best);
    return Object.entries(value)
      .map(([key, one]) => `${key} ${told(one)}`)
      .join("; ");
  }
  return typeof value === "string" || typeof value === "number" ? String(value) : "";
}

/** What a vessel or a source of gas is: its kind, and every value that its form shows. */
function itemWords(kind: "space" | "release", item: Item, nameOfGas: (id: string) => string): string {
  const parts = fieldsOf(kind, item)
    .filter((field) => !["name", "into", "on", "stands_in"].includes(field.key) && item[field.key] !== undefined)
    .map((field) => {
      const value = told(item[field.key]);
      const choice = field.type === "choice" || field.type === "reaction";
      const words = choice ? (t.choices[value] ?? value) : field.type === "gas" ? nameOfGas(value) : value;
      return `${t.fields[field.label ?? field.key] ?? field.key}: ${words}`;
    });
  const holes = list(item.openings)
    .filter(isTable)
    .map((one) => t.print.hole(t.print.places[text(one.at)] ?? text(one.at), text(one.diameter), one.flame === true));
  return `${nameOf(item)}: ${[t.kinds[text(item.kind)] ?? text(item.kind), ...parts, ...holes].join("; ")}`;
}

/** The vessels and sources of a sheet, one a line. */
function Described({ doc }: { doc: Doc }) {
  const { substances } = useStore();
  const nameOfGas = (id: string) => substances.find((one) => one.id === id)?.name ?? id;
  const all = [
    ...doc.site.space.filter((one) => one.kind === "vessel").map((one) => itemWords("space", one, nameOfGas)),
    ...doc.site.release.map((one) => itemWords("release", one, nameOfGas)),
  ];
  if (all.length === 0) return null;
  return (
    <ul class="small">
      {all.slice(0, mostTold).map((one) => (
        <li key={one}>{one}</li>
      ))}
      {all.length > mostTold && <li>{t.answer.more(all.length - mostTold)}</li>}
    </ul>
  );
}

/** The cautious values of a sheet: of its spaces, of what gets out there, and of its ways for air. */
function unsureOf(doc: Doc, here: Doc): string[] {
  const spaces = here.site.space.map((one) => one.id);
  return doc.layout.unsure.flatMap((key) => {
    const [kind = "", id = "", field = ""] = key.split(":");
    if (kind !== "space" && kind !== "airway" && kind !== "release") return [];
    const item = find(doc.site, kind, id);
    const at = item && (kind === "space" ? [id] : kind === "airway" ? sidesOf(item) : [text(item.into)]);
    return item && at?.some((one) => spaces.includes(one)) ? [`${nameOf(item)}: ${t.fields[field] ?? field}`] : [];
  });
}

/** Of more rooms only those with a finding are printed, unless one says more. */
const fewSheets = 6;

interface ChoiceProps {
  all: Item[];
  with_finding: string[];
  left: string[];
  leave: (ids: string[]) => void;
}

interface SheetProps {
  doc: Doc;
  room: Item;
  alone: boolean;
  reply: CheckReply;
  answer: Answer;
}

/** The first findings in full, the others by name. */
function SheetFindings({ found }: { found: Found[] }) {
  const most = 3;
  const mostNamed = 8;
  const others = found.slice(most);
  const named = [...new Set(others.map((one) => one.where))];
  if (found.length === 0) return <p>{t.print.nothing}</p>;
  return (
    <>
      <ol class="findings">
        {found.slice(0, most).map((words, i) => (
          <li key={words.where + words.severity}>
            <h3>
              <Badge severity={words.severity} /> {words.where}
            </h3>
            <p>
              <b>{t.answer.when}:</b> {words.when}
            </p>
            <p>
              <b>{t.answer.act}:</b> {i > 0 && words.act === found[i - 1]?.act ? t.print.as_above : words.act}
            </p>
          </li>
        ))}
      </ol>
      {named.length > 0 && (
        <p class="small">
          {t.print.also} {named.slice(0, mostNamed).join("; ")}
          {named.length > mostNamed && `; ${t.answer.more(named.length - mostNamed)}`}
        </p>
      )}
    </>
  );
}

/** What the place holds at its worst: its vessels, or the room from the side and its curve. */
function SheetDrawings({ doc, room, reply, answer }: Omit<SheetProps, "alone">) {
  const here = only(doc, room);
  const inHere = (id: string) => here.site.space.some((space) => space.id === id);
  const worst = answer.warnings.find((one) => inHere(one.space));
  const worstCase = worst?.case ?? "normal";
  const course = reply.course?.find((one) => one.case === worstCase) ?? null;
  const id = worst?.space ?? room.id;
  const space = answer.cases.find((one) => one.id === worstCase)?.spaces.find((one) => one.id === id);
  const at = Math.max(0, course?.time_s.findIndex((one) => one >= (space?.peak.time_s ?? 0)) ?? 0);
  const benches = onlyBench(answer, worstCase) ? benchesOf(answer, worstCase).filter((one) => inHere(one.space)) : [];
  if (benches.length > 0 && course) {
    return (
      <>
        {benches.map((one) => (
          <Bench key={one.space} still doc={doc} answer={answer} course={course} bench={one} />
        ))}
      </>
    );
  }
  const line = worst && course?.spaces.find((one) => one.id === id);
  return (
    <>
      <SideView paper doc={here} course={course} at={at} />
      {course && line && <Curve doc={doc} answer={answer} course={course} space={line} at={at} />}
    </>
  );
}

function Sheet({ doc, room, alone, reply, answer }: SheetProps) {
  const found = foundAt(doc, answer, reply, room);
  const { area, height } = sizeOf(room);
  const here = only(doc, room);
  const bench = alone && (answer.cases[0]?.experiments.length ?? 0) > 0;
  const unsure = unsureOf(doc, here);
  const sheet = useOneSide();
  return (
    <article class="sheet" ref={sheet}>
      <h2>{bench ? doc.site.title : t.print.of(doc.site.title, nameOf(room))}</h2>
      <p class={`verdict ${answer.calls_for_action ? "act" : ""}`}>
        {!alone && <small>{t.print.whole} </small>}
        {reply.screen?.verdict}
      </p>
      <SheetFindings found={found} />
      <SheetDrawings doc={doc} room={room} reply={reply} answer={answer} />
      {room.kind !== "vessel" && (
        <p>
          {t.print.sizes}: {short(area, 3)} m2, {short(height, 3)} m
        </p>
      )}
      <Described doc={here} />
      {unsure.length > 0 && (
        <p>
          {t.print.unsure} {unsure.join(", ")}
        </p>
      )}
      <p class="small">
        {t.answer.assumptions}: {(reply.screen?.assumptions ?? []).slice(0, 5).join("; ")}
      </p>
      <p class="small">{reply.document?.caution}</p>
      <p class="sign">
        <span>
          {t.print.date}: {new Date().toLocaleDateString("sv-SE")}
        </span>
        <span>{t.print.who}: ____________________</span>
        <span>{t.print.signature}: ____________________</span>
      </p>
      <p class="small">
        {t.print.from} {reply.document?.version}
      </p>
    </article>
  );
}

/** Which rooms have a sheet: every room of a small place; of a large one those with a finding, unless one says more. */
function Choice({ all, with_finding, left, leave }: ChoiceProps) {
  const toggle = (id: string) => leave(left.includes(id) ? left.filter((one) => one !== id) : [...left, id]);
  const others = all.filter((one) => !with_finding.includes(one.id)).map((one) => one.id);
  return (
    <>
      {others.length > 0 && all.length > fewSheets && (
        <p class="buttons">
          <button type="button" onClick={() => leave(others)}>
            {t.print.found}
          </button>
          <button type="button" onClick={() => leave([])}>
            {t.print.all}
          </button>
        </p>
      )}
      <div class="choice">
        {all.map((one) => (
          <label class="switch" key={one.id}>
            <input type="checkbox" checked={!left.includes(one.id)} onChange={() => toggle(one.id)} />
            <span>{nameOf(one)}</span>
          </label>
        ))}
      </div>
    </>
  );
}

export function PrintView() {
  const { store, doc: now } = useDoc();
  const reply = store.lastGood?.reply;
  const doc = store.lastGood?.doc ?? now;
  const answer = reply?.document?.answer;
  const all = heads(doc);
  const found = (room: Item) =>
    reply !== undefined && answer !== undefined && foundAt(doc, answer, reply, room).length > 0;
  const with_finding = all.filter(found).map((one) => one.id);
  const quiet =
    all.length > fewSheets && with_finding.length > 0 ? all.filter((one) => !with_finding.includes(one.id)) : [];
  const [chosen, leave] = useState<string[] | null>(null);
  const left = chosen ?? quiet.map((one) => one.id);
  return (
    <>
      <div class="no-print">
        <h1>{t.print.title}</h1>
        <p>{t.print.help}</p>
        {store.reply && !store.reply.document && <p class="faults">{t.answer.waiting}</p>}
        <Choice all={all} with_finding={with_finding} left={left} leave={leave} />
        <button type="button" class="main" disabled={!answer} onClick={() => window.print()}>
          {t.print.go}
        </button>
      </div>
      {reply &&
        answer &&
        all
          .filter((one) => !left.includes(one.id))
          .map((one) => (
            <Sheet key={one.id} doc={doc} room={one} alone={all.length === 1} reply={reply} answer={answer} />
          ))}
    </>
  );
}
