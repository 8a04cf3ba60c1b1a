// SPDX-License-Identifier: Apache-2.0
/** One A4 side for each room: what was found there, its drawing, and room to sign. */
import { useState } from "preact/hooks";
import type { Answer, CheckReply } from "../engine/reply";
import { benchesOf, onlyBench } from "../model/bench";
import { placed, roomAround, sizeOf } from "../model/geometry";
import { short } from "../model/quantity";
import { fieldsOf } from "../model/forms";
import { type Doc, find, isTable, type Item, list, nameOf, sidesOf, text, type Value } from "../model/site";
import { t } from "../text";
import { Badge } from "./answer";
import { Bench } from "./bench";
import { SideView } from "./side";
import { useDoc } from "./state";

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
    own.push({
      severity: warning.severity,
      where: nameOf(find(doc.site, "space", warning.space) ?? { name: warning.space }),
      when: warning.summary,
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
function itemWords(kind: "space" | "release", item: Item): string {
  const parts = fieldsOf(kind, item)
    .filter((field) => !["name", "into", "on", "stands_in"].includes(field.key) && item[field.key] !== undefined)
    .map((field) => {
      const value = told(item[field.key]);
      const words = field.type === "choice" || field.type === "reaction" ? (t.choices[value] ?? value) : value;
      return `${t.fields[field.label ?? field.key] ?? field.key}: ${words}`;
    });
  const holes = list(item.openings)
    .filter(isTable)
    .map((one) => t.print.hole(t.print.places[text(one.at)] ?? text(one.at), text(one.diameter), one.flame === true));
  return `${nameOf(item)}: ${[t.kinds[text(item.kind)] ?? text(item.kind), ...parts, ...holes].join("; ")}`;
}

/** The vessels and sources of a sheet, one a line. */
function Described({ doc }: { doc: Doc }) {
  const all = [
    ...doc.site.space.filter((one) => one.kind === "vessel").map((one) => itemWords("space", one)),
    ...doc.site.release.map((one) => itemWords("release", one)),
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

function Sheet({ room, alone, reply, answer }: { room: Item; alone: boolean; reply: CheckReply; answer: Answer }) {
  const { doc } = useDoc();
  const found = foundAt(doc, answer, reply, room);
  const { area, height } = sizeOf(room);
  const here = only(doc, room);
  const worst = answer.warnings.find((one) => here.site.space.some((space) => space.id === one.space));
  const worstCase = worst?.case ?? "normal";
  const course = reply.course?.find((one) => one.case === worstCase) ?? null;
  const spaces = answer.cases.find((one) => one.id === worstCase)?.spaces;
  const space = spaces?.find((one) => one.id === (worst?.space ?? room.id));
  const at = Math.max(0, course?.time_s.findIndex((one) => one >= (space?.peak.time_s ?? 0)) ?? 0);
  const unsure = unsureOf(doc, here);
  const most = 3;
  const benches = onlyBench(answer, worstCase)
    ? benchesOf(answer, worstCase).filter((one) => here.site.space.some((space) => space.id === one.space))
    : [];
  return (
    <article class="sheet">
      <h2>{alone && benches.length > 0 ? doc.site.title : t.print.of(doc.site.title, nameOf(room))}</h2>
      <p class={`verdict ${answer.calls_for_action ? "act" : ""}`}>
        {!alone && <small>{t.print.whole} </small>}
        {reply.screen?.verdict}
      </p>
      {found.length === 0 && <p>{t.print.nothing}</p>}
      <ol class="findings">
        {found.slice(0, most).map((words) => (
          <li key={words.where + words.severity}>
            <h3>
              <Badge severity={words.severity} /> {words.where}
            </h3>
            <p>
              <b>{t.answer.when}:</b> {words.when}
            </p>
            <p>
              <b>{t.answer.act}:</b> {words.act}
            </p>
          </li>
        ))}
      </ol>
      {found.length > most && <p>{t.answer.more(found.length - most)}</p>}
      {benches.length > 0 && course ? (
        benches.map((one) => <Bench key={one.space} still doc={doc} answer={answer} course={course} bench={one} />)
      ) : (
        <SideView doc={here} course={course} at={at} />
      )}
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

export function PrintView() {
  const { store, doc } = useDoc();
  const [left, leave] = useState<string[]>([]);
  const reply = store.lastGood;
  const answer = reply?.document?.answer;
  const all = heads(doc);
  const toggle = (id: string) => leave(left.includes(id) ? left.filter((one) => one !== id) : [...left, id]);
  return (
    <>
      <div class="no-print">
        <h1>{t.print.title}</h1>
        <p>{t.print.help}</p>
        {all.map((one) => (
          <label class="switch" key={one.id}>
            <input type="checkbox" checked={!left.includes(one.id)} onChange={() => toggle(one.id)} />
            <span>{nameOf(one)}</span>
          </label>
        ))}
        <button type="button" class="main" disabled={!answer} onClick={() => window.print()}>
          {t.print.go}
        </button>
      </div>
      {reply &&
        answer &&
        all
          .filter((one) => !left.includes(one.id))
          .map((one) => <Sheet key={one.id} room={one} alone={all.length === 1} reply={reply} answer={answer} />)}
    </>
  );
}
