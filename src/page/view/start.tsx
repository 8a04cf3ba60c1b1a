// SPDX-License-Identifier: Apache-2.0
/** The first screen: what do you want to look at? */
import { useState } from "preact/hooks";
import type { CheckReply, Fault } from "../engine/reply";
import { roomStart } from "../model/starts";
import { fromToml } from "../model/toml";
import { t } from "../text";
import { ExperimentStart } from "./experiment";
import { PurgeStart } from "./purge";
import { useStore } from "./state";
import { StoreStart } from "./storelist";

type Branch = "choose" | "experiment" | "store" | "purge";

function Card({ title, help, go }: { title: string; help: string; go: () => void }) {
  return (
    <li>
      <button type="button" class="card" onClick={go}>
        <strong>{title}</strong>
        <span>{help}</span>
      </button>
    </li>
  );
}

/** Reads a site file; what is wrong with it is told by the engine. */
function useOpen() {
  const store = useStore();
  const [faults, setFaults] = useState<Fault[] | null>(null);
  const open = async (text: string, file: string) => {
    const doc = fromToml(text, file);
    const reply = JSON.parse(await store.engine.ask({ command: "check", file, text, points: "1" })) as CheckReply;
    const errors = (reply.faults ?? []).filter((fault) => fault.level === "error");
    if (doc && (errors.length === 0 || doc.site.space.length > 0)) {
      setFaults(null);
      store.begin(doc, "answer");
      if (/^\s*#/m.test(text)) store.say(t.file.comments);
    } else {
      setFaults(errors);
    }
  };
  return { open, faults };
}

function Faults({ faults }: { faults: Fault[] }) {
  return (
    <div role="alert" class="faults">
      <p>{t.start.unreadable}</p>
      <ul>
        {faults.slice(0, 20).map((one) => (
          <li key={`${one.line}:${one.column}:${one.message}`}>
            {one.line > 0 ? `${one.line}:${one.column} ` : ""}
            {one.message}
          </li>
        ))}
      </ul>
    </div>
  );
}

function Choose({ choose }: { choose: (branch: Branch) => void }) {
  const store = useStore();
  const { open, faults } = useOpen();
  const starter = async (name: string) => {
    const reply = JSON.parse(await store.engine.ask({ command: "starters" }));
    await open(name === "" ? reply.example : reply.starters[name], `${name || "example"}.toml`);
  };
  const chosen = async (event: Event) => {
    const file = (event.target as HTMLInputElement).files?.[0];
    if (file) await open(await file.text(), file.name);
  };
  return (
    <>
      <h1>{t.start.title}</h1>
      <p>{t.tagline}</p>
      <ul class="cards">
        <Card title={t.start.room} help={t.start.room_help} go={() => store.begin(roomStart(t.room), "place")} />
        <Card title={t.start.experiment} help={t.start.experiment_help} go={() => choose("experiment")} />
        <Card title={t.start.store} help={t.start.store_help} go={() => choose("store")} />
        <li>
          <label class="card">
            <strong>{t.start.open}</strong>
            <span>{t.start.open_help}</span>
            <input type="file" accept=".toml,text/plain" onChange={chosen} />
          </label>
        </li>
        <Card title={t.start.example} help={t.start.example_help} go={() => starter("")} />
      </ul>
      {faults && <Faults faults={faults} />}
      <h2>{t.start.like}</h2>
      <ul class="likes">
        {Object.entries(t.start.likes).map(([name, words]) => (
          <li key={name}>
            <button type="button" onClick={() => starter(name)}>
              {words}
            </button>
          </li>
        ))}
      </ul>
      <p class="quiet">{t.start.kept}</p>
    </>
  );
}

export function StartView() {
  const [branch, choose] = useState<Branch>("choose");
  const back = () => choose("choose");
  if (branch === "experiment") return <ExperimentStart back={back} purge={() => choose("purge")} />;
  if (branch === "purge") return <PurgeStart back={() => choose("experiment")} />;
  if (branch === "store") return <StoreStart back={back} />;
  return <Choose choose={choose} />;
}
