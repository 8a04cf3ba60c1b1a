// SPDX-License-Identifier: Apache-2.0
/** One A4 side for each room: what was found there, its drawing, and room to sign. */
import { useState } from "preact/hooks";
import type { Answer, CheckReply } from "../engine/reply";
import { placed, roomAround, sizeOf } from "../model/geometry";
import { short } from "../model/quantity";
import { type Doc, find, type Item, nameOf, text } from "../model/site";
import { t } from "../text";
import { Badge } from "./answer";
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

function Sheet({ room, reply, answer }: { room: Item; reply: CheckReply; answer: Answer }) {
  const { doc } = useDoc();
  const found = foundAt(doc, answer, reply, room);
  const { area, height } = sizeOf(room);
  const worstCase = answer.warnings.find((one) => one.space === room.id)?.case ?? "normal";
  const course = reply.course?.find((one) => one.case === worstCase) ?? null;
  const space = answer.cases.find((one) => one.id === worstCase)?.spaces.find((one) => one.id === room.id);
  const at = Math.max(0, course?.time_s.findIndex((one) => one >= (space?.peak.time_s ?? 0)) ?? 0);
  const unsure = doc.layout.unsure
    .filter((one) => one.split(":")[1] === room.id)
    .map((one) => t.fields[one.split(":")[2] ?? ""]);
  const most = 3;
  return (
    <article class="sheet">
      <h2>{t.print.of(doc.site.title, nameOf(room))}</h2>
      <p class={`verdict ${answer.calls_for_action ? "act" : ""}`}>
        <small>{t.print.whole}</small> {reply.screen?.verdict}
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
      <SideView doc={only(doc, room)} course={course} at={at} />
      <p>
        {t.print.sizes}: {short(area, 3)} m2, {short(height, 3)} m
      </p>
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
          {t.print.date}: {new Date().toISOString().slice(0, 10)}
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
          .map((one) => <Sheet key={one.id} room={one} reply={reply} answer={answer} />)}
    </>
  );
}
