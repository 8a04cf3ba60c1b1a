// SPDX-License-Identifier: Apache-2.0
/** The place: drawings, and a form for each thing in it. */
import { useState } from "preact/hooks";
import { airwayKinds, releaseKinds, spaceKinds } from "../model/forms";
import { added, type Doc, find, freeId, freeSign, type Item, nameOf } from "../model/site";
import { t } from "../text";
import { CardForm, cardWordsOf } from "./experiment";
import { ItemForm } from "./itemform";
import { signOf } from "./marks";
import { Plan } from "./plan";
import { mostDrawn, SideView } from "./side";
import { ShortList } from "./shortlist";
import { faultsOf, useDoc } from "./state";
import { SpaceTable } from "./table";
import { wayOf } from "./way";

type Part = "space" | "airway" | "release";

/** What a new thing of a kind begins with. */
function fresh(doc: Doc, part: Part, kind: string): Item {
  const id = freeId(doc.site, kind === "steady" ? "tap" : kind);
  const first = doc.site.space[0]?.id ?? "";
  const name = t.kinds[kind] ?? kind;
  if (part === "space") {
    if (kind === "vessel") return { id, name, kind, volume: "1 L" };
    if (kind === "cabinet")
      return { id, name, kind, floor_area: "0.6 m2", height: "2 m", ...(first && { stands_in: first }) };
    return { id, name, kind, floor_area: "12 m2", height: "2.5 m", air_changes: "0.3 /h" };
  }
  if (part === "airway") {
    const item: Item = { id: freeSign(doc.site, t.place.letters[kind] ?? "A"), kind };
    if (kind === "fan") return { ...item, from: first, to: "outside", flow: "100 m3/h" };
    item.between = [first, "outside"];
    if (kind === "exchange") item.flow = "10 m3/h";
    if (kind === "gap") item.leakage_area = "50 cm2";
    if (kind === "doorway") return { ...item, width: "0.9 m", height: "2 m" };
    if (kind === "louvre") return { ...item, width: "30 cm", height: "20 cm", free_share: "50 %" };
    if (kind === "window") return { ...item, width: "1 m", height: "1.2 m", angle: 10, sill: "0.9 m" };
    if (kind === "undercut") return { ...item, width: "0.9 m", height: "8 mm" };
    return item;
  }
  const common: Item = { id, name, kind, into: first };
  const rest: Record<string, Partial<Item>> = {
    steady: { gas: "natural-gas", rate: "5 L/min" },
    fittings: { gas: "natural-gas", count: 4, each: "5 mL/min" },
    dump: { gas: "hydrogen", amount: "1 L", over: "1 min" },
    orifice: { gas: "hydrogen", pressure: "2 barg", hole: "1 mm" },
    cylinder: { gas: "propane", contents: "11 kg" },
    dewar: { gas: "nitrogen", contents: "25 L" },
    spill: { gas: "acetone", amount: "500 mL", area: "0.5 m2" },
    electrolysis: { current: "2 A", gases: "both", duration: "20 min" },
    charging: { cells: 6, battery: "vented-lead", regime: "boost", capacity: "75 Ah" },
    reaction: {
      reaction: "magnesium-hydrochloric-acid",
      amounts: { magnesium: "2.4 g", "hydrochloric-acid": ["50 mL", "2 mol/L"] },
      half_time: "1 min",
    },
  };
  return { ...common, ...(rest[kind] as Item) };
}

const kindsOf: Record<Part, readonly string[]> = { space: spaceKinds, airway: airwayKinds, release: releaseKinds };
const titles = { space: t.place.spaces, airway: t.place.airways, release: t.place.releases };
const adds = { space: t.place.add_spaces, airway: t.place.add_airways, release: t.place.add_releases };

function AddMenu({ part }: { part: Part }) {
  const { store, doc } = useDoc();
  const add = (event: Event) => {
    const select = event.currentTarget as HTMLSelectElement;
    const kind = select.value;
    select.value = "";
    if (kind === "") return;
    const item = fresh(doc, part, kind);
    store.change(added(doc, part, item));
    store.select(part, item.id);
  };
  return (
    <select
      class="add"
      aria-label={adds[part]}
      onChange={add}
      disabled={part !== "space" && doc.site.space.length === 0}
    >
      <option value="">{`+ ${adds[part]} ...`}</option>
      {kindsOf[part].map((kind) => (
        <option key={kind} value={kind}>
          {t.kinds[kind]}
        </option>
      ))}
    </select>
  );
}

function Items({ part }: { part: Part }) {
  const { store, doc } = useDoc();
  const selected = store.selected?.kind === part ? find(doc.site, part, store.selected.id) : undefined;
  return (
    <section aria-label={titles[part]}>
      <h2>{titles[part]}</h2>
      {doc.site[part].length === 0 && <p class="quiet">{t.place.none}</p>}
      <ShortList
        label={titles[part]}
        all={doc.site[part].map((item, i) => ({ item, sign: signOf(part, item, i) }))}
        words={({ item }) => `${nameOf(item)} ${t.kinds[String(item.kind)]} ${wayOf(doc, item)}`}
        kept={({ item }) => item === selected || faultsOf(store.reply, part, item.id).length > 0}
      >
        {(shown) => (
          <ul class="items">
            {shown.map(({ item, sign }) => (
              <li key={item.id}>
                <button
                  type="button"
                  aria-expanded={item === selected}
                  onClick={() => store.select(part, item === selected ? "" : item.id)}
                >
                  {sign !== "" && <span class="sign-of">{sign}</span>}
                  {sign !== item.id && <strong>{nameOf(item)}</strong>}{" "}
                  <span>
                    {t.kinds[String(item.kind)]}
                    {part === "airway" && `, ${wayOf(doc, item)}`}
                  </span>
                  {faultsOf(store.reply, part, item.id).length > 0 && <em class="amiss">{t.place.amiss}</em>}
                </button>
                {item === selected && <ItemForm part={part} item={item} />}
              </li>
            ))}
          </ul>
        )}
      </ShortList>
      <AddMenu part={part} />
    </section>
  );
}

function Titles() {
  const { store, doc } = useDoc();
  const set = (key: "title" | "notes", value: string) => {
    const site = { ...doc.site };
    if (key === "title" || value !== "") site[key] = value;
    else delete site.notes;
    store.change({ ...doc, site });
  };
  return (
    <div class="titles">
      <label class="field">
        <span>{t.place.site_title}</span>
        <input value={doc.site.title} onChange={(event) => set("title", event.currentTarget.value)} />
      </label>
      <label class="field">
        <span>{t.place.site_notes}</span>
        <input value={String(doc.site.notes ?? "")} onChange={(event) => set("notes", event.currentTarget.value)} />
      </label>
    </div>
  );
}

/** Of a larger place the table comes first. */
const mostInPlan = 30;

/** Everything that a site file can say, item by item. */
function Everything() {
  const { store, doc } = useDoc();
  const large = doc.site.space.length > mostInPlan;
  const [wish, showTable] = useState<boolean | null>(null);
  const table = wish ?? large;
  return (
    <>
      <p class="buttons">
        <button type="button" disabled={!store.undo} onClick={() => store.undo?.()}>
          {t.place.undo}
        </button>
        <button type="button" disabled={!store.redo} onClick={() => store.redo?.()}>
          {t.place.redo}
        </button>
        <button type="button" aria-pressed={table} onClick={() => showTable(!table)}>
          {t.place.table}
        </button>
      </p>
      {large && table && <p class="quiet">{t.place.large}</p>}
      {table ? <SpaceTable /> : <Drawings />}
      <Items part="space" />
      <Items part="airway" />
      <Items part="release" />
      <Titles />
    </>
  );
}

export function PlaceView() {
  const { store, doc } = useDoc();
  const card = cardWordsOf(doc);
  const Title = store.step === "answer" ? "h2" : "h1"; // beside the answer, whose title is the first then
  if (!card) {
    return (
      <>
        <Title>{t.place.title}</Title>
        <Everything />
      </>
    );
  }
  return (
    <>
      <Title>{card.title}</Title>
      <CardForm experiment={card.experiment} answers={card.answers} />
      <details>
        <summary>{t.experiment.details}</summary>
        <p class="quiet">{t.experiment.details_help}</p>
        <Everything />
      </details>
    </>
  );
}

function Drawings() {
  const { store, doc } = useDoc();
  return (
    <div class="drawings">
      <Plan doc={doc} change={store.change} select={store.select} selected={store.selected} />
      {doc.site.space.length <= mostDrawn && <SideView doc={doc} course={null} at={0} />}
    </div>
  );
}
