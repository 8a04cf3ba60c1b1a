// SPDX-License-Identifier: Apache-2.0
/** The form of one room, way for air or source of gas. */
import { useState } from "preact/hooks";
import { type Field, fieldsOf } from "../model/forms";
import { sizeOf } from "../model/geometry";
import { short } from "../model/quantity";
import { changed, type Doc, isTable, type Item, list, nameOf, removed, renamedAirway, type Table } from "../model/site";
import { text, unsureKey, type Value } from "../model/site";
import { t } from "../text";
import { Select, ValueInput } from "./fields";
import { faultsOf, useDoc } from "./state";

type Part = "space" | "airway" | "release";
interface FormProps {
  part: Part;
  item: Item;
}
interface FieldProps extends FormProps {
  field: Field;
  set: (values: Record<string, Value | undefined>) => void;
}

const sideOptions = (doc: Doc) => [
  ...doc.site.space.map((one) => ({ value: one.id, words: nameOf(one) })),
  { value: "outside", words: t.place.outside },
];

/** Both sides of a way for air. */
function Sides({ item, set }: FieldProps) {
  const { doc } = useDoc();
  const sides = list(item.between).map(text);
  const put = (place: number, id: string) =>
    set({ between: place === 0 ? [id, sides[1] ?? ""] : [sides[0] ?? "", id] });
  return (
    <>
      {[0, 1].map((place) => (
        <Select
          key={place}
          label={place === 0 ? t.place.between : t.place.and}
          value={sides[place] ?? ""}
          options={sideOptions(doc)}
          change={(id) => put(place, id)}
        />
      ))}
    </>
  );
}

/** Width, depth and height: the file gets the floor area and the height. */
function Floor({ item }: FieldProps) {
  const { store, doc } = useDoc();
  const { area, height } = sizeOf(item);
  const width = doc.layout.boxes[item.id]?.width || Math.sqrt(area);
  const put = (w: number, d: number, h: number) => {
    if (!(w > 0 && d > 0 && h > 0)) return;
    const sized = { floor_area: `${short(w * d, 5)} m2`, height: `${short(h, 5)} m`, volume: undefined };
    const next = changed(doc, "space", item.id, sized);
    const box = doc.layout.boxes[item.id] ?? { x: 0, y: 0, width: w, depth: d };
    const boxes = { ...doc.layout.boxes, [item.id]: { ...box, width: w, depth: d } };
    store.change({ ...next, layout: { ...next.layout, boxes } });
  };
  const input = (label: string, value: number, change: (n: number) => void) => (
    <label class="field">
      <span>{`${label} (m)`}</span>
      <input
        inputMode="decimal"
        value={short(value, 4)}
        onChange={(event) => change(Number(event.currentTarget.value.replace(",", ".")))}
      />
    </label>
  );
  return (
    <div class="triple">
      {input(t.place.width, width, (w) => put(w, area / width, height))}
      {input(t.place.depth, area / width, (d) => put(width, d, height))}
      {input(t.place.height, height, (h) => put(width, area / width, h))}
    </div>
  );
}

function Running({ item, set, field }: FieldProps) {
  const options = [
    { value: "on", words: t.place.running.on },
    { value: "off", words: t.place.running.off },
  ];
  const value = item.on === false ? "off" : "on";
  const change = (next: string) => set({ on: next === "off" ? false : undefined });
  return <Select label={t.fields[field.key] ?? field.key} value={value} options={options} change={change} />;
}

/** An amount a reagent: one value, or a solution of a volume and a strength. */
function Amounts({ item, set }: FieldProps) {
  const { store } = useDoc();
  const amounts: Table = isTable(item.amounts) ? item.amounts : {};
  const reaction = store.reactions.find((one) => one.id === item.reaction);
  const reagents = reaction?.reagents ?? Object.keys(amounts).map((id) => ({ id, name: id }));
  const put = (id: string, value: string) => {
    const parts = value.split(",").map((one) => one.trim());
    set({ amounts: { ...amounts, [id]: parts.length > 1 ? parts : value } });
  };
  return (
    <>
      {reagents.map((one) => {
        const value = amounts[one.id];
        const shown = Array.isArray(value) ? value.join(", ") : String(value ?? "");
        return (
          <label class="field" key={one.id}>
            <span>{one.name}</span>
            <input
              value={shown}
              placeholder="50 mL, 2 mol/L"
              onChange={(event) => put(one.id, event.currentTarget.value)}
            />
          </label>
        );
      })}
    </>
  );
}

function Unsure({ part, item, field, set }: FieldProps) {
  const { store, doc } = useDoc();
  if (field.cautious === undefined) return null;
  const key = unsureKey(part, item.id, field.key);
  const unsure = doc.layout.unsure.includes(key);
  const toggle = () => {
    const rest = doc.layout.unsure.filter((one) => one !== key);
    const next = unsure ? doc : changed(doc, part, item.id, { [field.key]: field.cautious });
    store.change({ ...next, layout: { ...doc.layout, unsure: unsure ? rest : [...rest, key] } });
  };
  void set;
  return (
    <label class="unsure" title={t.place.cautious}>
      <input type="checkbox" checked={unsure} onChange={toggle} />
      <span>
        {t.place.unsure}
        {unsure && <em>{` (${t.place.unsure_mark}: ${String(field.cautious)})`}</em>}
      </span>
    </label>
  );
}

function FieldInput(props: FieldProps) {
  const { field, item, set } = props;
  const { store, doc } = useDoc();
  const label = t.fields[field.label ?? field.key] ?? field.key;
  const change = (value: Value | undefined) => set({ [field.key]: value });
  if (field.type === "floor") return <Floor {...props} />;
  if (field.type === "running") return <Running {...props} />;
  if (field.type === "amounts") return <Amounts {...props} />;
  if (field.type === "reaction") {
    const options = store.reactions.map((one) => ({ value: one.id, words: one.name }));
    return <Select label={label} value={text(item.reaction)} options={options} change={change} />;
  }
  if (field.type === "side" && field.key === "between") return <Sides {...props} />;
  if (field.type === "side" || field.type === "space") {
    const outside = field.type === "side" || field.key === "stands_in";
    const blank = field.key === "stands_in" ? [{ value: "", words: t.place.nowhere }] : [];
    const options = [
      ...blank,
      ...sideOptions(doc).filter((one) => (outside || one.value !== "outside") && one.value !== item.id),
    ];
    return (
      <Select label={label} value={text(item[field.key])} options={options} change={(id) => change(id || undefined)} />
    );
  }
  return <ValueInput field={field} label={label} value={item[field.key]} change={change} />;
}

/** Keys of the file that no field shows. */
function Others({ part, item }: FormProps) {
  const shown = new Set(fieldsOf(part, item).map((field) => field.key));
  const floor = shown.has("floor") ? ["volume", "floor_area", "height"] : [];
  const rest = Object.entries(item).filter(([key]) => !shown.has(key) && !["id", "kind", ...floor].includes(key));
  if (rest.length === 0) return null;
  return (
    <p class="quiet">
      {t.place.others} {rest.map(([key, value]) => `${key} = ${JSON.stringify(value)}`).join(", ")}
    </p>
  );
}

/** The name of a way for air is its id. */
function AirwayName({ item }: { item: Item }) {
  const { store, doc } = useDoc();
  const rename = (event: Event) => {
    const field = event.currentTarget as HTMLInputElement;
    const next = field.value === item.id ? null : renamedAirway(doc, item.id, field.value);
    if (!next) {
      field.value = item.id;
      return;
    }
    const place = doc.site.airway.findIndex((one) => one.id === item.id);
    store.change(next);
    store.select("airway", next.site.airway[place]?.id ?? "");
  };
  return (
    <div class="asked">
      <label class="field">
        <span>{t.fields.name}</span>
        <input value={item.id} onChange={rename} />
      </label>
    </div>
  );
}

export function ItemForm({ part, item }: FormProps) {
  const { store, doc } = useDoc();
  const [more, showMore] = useState(false);
  const fields = fieldsOf(part, item);
  const set = (values: Record<string, Value | undefined>) => {
    const next = changed(doc, part, item.id, values);
    const named = part === "space" && doc.site.title === nameOf(item) ? text(values.name) : "";
    store.change(named === "" ? next : { ...next, site: { ...next.site, title: named } });
  };
  const takeAway = () => {
    store.change(removed(doc, part, item.id));
    store.say(t.place.removed(nameOf(item)));
  };
  const seen = fields.filter((field) => more || !field.more || item[field.key] !== undefined);
  return (
    <div class="form">
      {part === "airway" && <AirwayName item={item} />}
      {seen.map((field) => (
        <div key={field.key} class="asked">
          <FieldInput part={part} item={item} field={field} set={set} />
          <Unsure part={part} item={item} field={field} set={set} />
        </div>
      ))}
      {faultsOf(store.reply, part, item.id).map((one) => (
        <p key={one} class="faults">
          {one}
        </p>
      ))}
      <Others part={part} item={item} />
      <p class="buttons">
        {fields.length > seen.length && (
          <button type="button" onClick={() => showMore(true)}>
            {t.place.more}
          </button>
        )}
        <button type="button" onClick={takeAway}>
          {t.place.remove}
        </button>
      </p>
    </div>
  );
}
