// SPDX-License-Identifier: Apache-2.0
/** A switch for each failure and each release, and the timetable behind them. */
import { hasTogether, type Switch, switches, toggled, togetherToggled, withEvents } from "../model/cases";
import { added, find, freeId, isTable, type Item, list, nameOf, type Table, text } from "../model/site";
import { t } from "../text";
import { Select } from "./fields";
import { ShortList } from "./shortlist";
import { useDoc } from "./state";
import { wayOf } from "./way";

const { failures: words } = t;

function Switches({
  title,
  all,
  sentence,
  caseName,
}: {
  title: string;
  all: Switch[];
  sentence: (name: string, way: string) => string;
  caseName: (n: string) => string;
}) {
  const { store, doc } = useDoc();
  if (all.length === 0) return null;
  const told = (one: Switch) => sentence(one.name, wayOf(doc, find(doc.site, "airway", one.id)));
  return (
    <fieldset>
      <legend>{title}</legend>
      <ShortList label={title} all={all} words={told} kept={(one) => one.made !== undefined}>
        {(shown) =>
          shown.map((one) => (
            <label class="switch" key={one.id}>
              <input
                type="checkbox"
                role="switch"
                checked={one.made !== undefined}
                onChange={() => store.change(toggled(doc, one, caseName(one.name)))}
              />
              <span>{told(one)}</span>
            </label>
          ))
        }
      </ShortList>
    </fieldset>
  );
}

type Change = "starts" | "stops" | "other";
const changeOf = (event: Table): Change => (event.on === true ? "starts" : event.on === false ? "stops" : "other");

function EventRow({ event, change, remove }: { event: Table; change: (event: Table) => void; remove: () => void }) {
  const { doc } = useDoc();
  const things = [
    ...doc.site.airway.map((one) => ({ value: `airway:${one.id}`, words: nameOf(one) })),
    ...doc.site.release.map((one) => ({ value: `release:${one.id}`, words: nameOf(one) })),
    ...(event.space ? [{ value: `space:${text(event.space)}`, words: text(event.space) }] : []),
  ];
  const kind = ["airway", "release", "space"].find((one) => event[one] !== undefined) ?? "airway";
  const pick = (value: string) => {
    const at = value.indexOf(":");
    change({ at: event.at ?? "0 s", [value.slice(0, at)]: value.slice(at + 1), on: event.on ?? false });
  };
  const kinds = [
    { value: "starts", words: words.starts },
    { value: "stops", words: words.stops },
    ...(changeOf(event) === "other" ? [{ value: "other", words: words.other }] : []),
  ];
  return (
    <li class="event">
      <label class="field">
        <span>{words.at}</span>
        <input value={text(event.at)} onChange={(e) => change({ ...event, at: e.currentTarget.value })} />
      </label>
      <Select label={words.what} value={`${kind}:${text(event[kind])}`} options={things} change={pick} />
      <Select
        label={words.change}
        value={changeOf(event)}
        options={kinds}
        change={(next) => change({ ...event, on: next === "starts" })}
      />
      <button type="button" onClick={remove}>
        {words.remove}
      </button>
    </li>
  );
}

function CaseEditor({ one }: { one: Item }) {
  const { store, doc } = useDoc();
  const events = list(one.event).filter(isTable);
  const put = (next: Table[]) => store.change(withEvents(doc, one.id, next));
  const rename = (name: string) =>
    store.change({
      ...doc,
      site: { ...doc.site, case: doc.site.case.map((c) => (c.id === one.id ? { ...c, name } : c)) },
    });
  const firstThing = (): Table => {
    const airway = doc.site.airway[0],
      release = doc.site.release[0];
    return airway ? { airway: airway.id } : { release: release?.id ?? "" };
  };
  return (
    <details class="case">
      <summary>{nameOf(one)}</summary>
      <label class="field">
        <span>{words.case_name}</span>
        <input value={nameOf(one)} onChange={(event) => rename(event.currentTarget.value)} />
      </label>
      <ul>
        {events.map((event, i) => (
          <EventRow
            key={i}
            event={event}
            change={(next) => put(events.map((e, k) => (k === i ? next : e)))}
            remove={() => put(events.filter((_, k) => k !== i))}
          />
        ))}
      </ul>
      <button type="button" onClick={() => put([...events, { at: "10 min", ...firstThing(), on: false }])}>
        {words.add_event}
      </button>
    </details>
  );
}

function Timetable() {
  const { store, doc } = useDoc();
  const add = () => {
    const thing: Table = doc.site.airway[0]
      ? { airway: doc.site.airway[0].id }
      : { release: doc.site.release[0]?.id ?? "" };
    const item: Item = {
      id: freeId(doc.site, "case"),
      name: words.add_case,
      event: [{ at: "0 s", ...thing, on: false }],
    };
    store.change(added(doc, "case", item));
  };
  const criteria: Table = isTable(doc.site.criteria) ? doc.site.criteria : {};
  const follow = (value: string) => {
    const next: Table = { ...criteria };
    if (value.trim() === "") delete next.horizon;
    else next.horizon = value.trim();
    store.change({ ...doc, site: { ...doc.site, criteria: next } });
  };
  return (
    <section aria-label={words.timetable}>
      <h2>{words.timetable}</h2>
      <p class="quiet">{words.timetable_help}</p>
      {doc.site.case.map((one) => (
        <CaseEditor key={one.id} one={one} />
      ))}
      <p class="buttons">
        <button type="button" onClick={add} disabled={doc.site.airway.length + doc.site.release.length === 0}>
          {words.add_case}
        </button>
      </p>
      <label class="field">
        <span>{words.horizon}</span>
        <input value={text(criteria.horizon)} onChange={(event) => follow(event.currentTarget.value)} />
      </label>
    </section>
  );
}

export function FailuresView() {
  const { store, doc } = useDoc();
  const all = switches(doc);
  const of = (kind: string) => all.filter((one) => one.kind === kind);
  const on = all.filter((one) => one.made).length;
  return (
    <>
      <h1>{words.title}</h1>
      <p>{words.help}</p>
      {all.length === 0 && <p class="quiet">{words.none}</p>}
      <Switches title={words.kinds.fan} all={of("fan")} sentence={words.fan} caseName={words.fan_name} />
      <Switches
        title={words.kinds.openings}
        all={of("opening")}
        sentence={words.opening}
        caseName={words.opening_name}
      />
      <Switches
        title={words.kinds.releases}
        all={of("release")}
        sentence={words.release}
        caseName={words.release_name}
      />
      {(on > 1 || hasTogether(doc)) && (
        <label class="switch">
          <input
            type="checkbox"
            role="switch"
            checked={hasTogether(doc)}
            onChange={() => store.change(togetherToggled(doc, words.all_name))}
          />
          <span>{words.all}</span>
        </label>
      )}
      <Timetable />
    </>
  );
}
