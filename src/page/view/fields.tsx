// SPDX-License-Identifier: Apache-2.0
/** One value of a form, of whatever type. Each has a label of its own. */
import { useId, useState } from "preact/hooks";
import type { SubstanceEntry } from "../engine/reply";
import type { Field } from "../model/forms";
import { holes } from "../model/forms";
import { split } from "../model/quantity";
import { isTable, list, type Value } from "../model/site";
import { t } from "../text";
import { useStore } from "./state";

interface InputProps {
  field: Field;
  label: string;
  value: Value | undefined;
  change: (value: Value | undefined) => void;
}

/** A range of the file is shown by its best value and kept until somebody changes it. */
const shownText = (value: Value | undefined): string => {
  if (isTable(value)) return shownText(value.best);
  return typeof value === "string" || typeof value === "number" ? String(value) : "";
};

function QuantityInput({ field, label, value, change }: InputProps) {
  const id = useId();
  const { number, unit } = split(shownText(value));
  const units = field.units ?? [];
  const shown = unit || (units[0] ?? "");
  const all = units.includes(shown) ? units : [shown, ...units];
  const set = (n: string, u: string) => change(n.trim() === "" ? undefined : `${n.trim().replace(",", ".")} ${u}`);
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <span class="pair">
        <input
          id={id}
          inputMode="decimal"
          value={number}
          required={field.required}
          onInput={(event) => set(event.currentTarget.value, shown)}
        />
        <select
          aria-label={`${label}: ${t.place.unit}`}
          value={shown}
          onChange={(event) => set(number, event.currentTarget.value)}
        >
          {all.map((one) => (
            <option key={one}>{one}</option>
          ))}
        </select>
      </span>
    </div>
  );
}

/** What a vessel holds at first: "hydrogen 50 %, nitrogen 10 %"; the rest is air. */
const mixtureText = (value: Value | undefined): string =>
  isTable(value)
    ? Object.entries(value)
        .map(([gas, share]) => `${gas} ${typeof share === "number" ? `${100 * share} %` : shownText(share)}`)
        .join(", ")
    : "";

function mixtureOf(entered: string): Value {
  const parts = entered.split(/,(?!\d)/).map((one) => /^\s*(\S+)\s*(.*?)\s*$/.exec(one));
  return Object.fromEntries(parts.map((one) => [one?.[1] ?? "", (one?.[2] || "100 %").replace(",", ".")]));
}

function TextInput({ field, label, value, change }: InputProps) {
  const id = useId();
  const words = field.type === "words";
  const mixture = field.type === "mixture";
  const shown = words ? list(value).join(", ") : mixture ? mixtureText(value) : shownText(value);
  const set = (entered: string) => {
    if (entered.trim() === "") return change(undefined);
    if (mixture) return change(mixtureOf(entered));
    if (words) {
      return change(
        entered
          .split(",")
          .map((one) => one.trim())
          .filter((one) => one !== ""),
      );
    }
    if (field.type === "number") {
      const n = Number(entered.replace(",", "."));
      return change(Number.isFinite(n) ? n : entered);
    }
    return change(entered);
  };
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        value={shown}
        required={field.required}
        inputMode={field.type === "number" ? "decimal" : undefined}
        onChange={(event) => set(event.currentTarget.value)}
      />
    </div>
  );
}

interface SelectProps {
  label: string;
  value: string;
  options: { value: string; words: string }[];
  change: (value: string) => void;
}

export function Select({ label, value, options, change }: SelectProps) {
  const id = useId();
  const known = options.some((one) => one.value === value);
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={(event) => change(event.currentTarget.value)}>
        {!known && <option value={value}>{value || t.place.choose}</option>}
        {options.map((one) => (
          <option key={one.value} value={one.value}>
            {one.words}
          </option>
        ))}
      </select>
    </div>
  );
}

/** The id of a gas that people call by its name: "Natural gas" is "natural-gas". What is not known stays as it is. */
function idOf(entered: string, substances: SubstanceEntry[]): string {
  const words = entered.trim();
  const plain = words.toLowerCase();
  const known = substances.find((one) => one.id === plain || one.name.toLowerCase() === plain);
  const hyphened = plain.replace(/\s+/g, "-");
  return known?.id ?? substances.find((one) => one.id === hyphened)?.id ?? words;
}

/** Suggests the gases that the engine knows; others may be gases of the file. */
export function GasInput({ label, value, change }: { label: string; value: string; change: (value: string) => void }) {
  const { substances } = useStore();
  const id = useId();
  const [entered, enter] = useState(value);
  const shown = idOf(entered, substances) === value ? entered : value;
  const put = (next: string) => {
    enter(next);
    change(idOf(next, substances));
  };
  return (
    <>
      <input list={id} aria-label={label} value={shown} onInput={(event) => put(event.currentTarget.value)} />
      <datalist id={id}>
        {substances.map((one) => (
          <option key={one.id} value={one.id}>
            {one.name}
          </option>
        ))}
      </datalist>
    </>
  );
}

function HoleInput({ field, label, value, change }: InputProps) {
  const shown = shownText(value);
  const measured = shown !== "" && !(holes as readonly string[]).includes(shown);
  const options = [
    ...(field.key === "hole" ? [{ value: "", words: t.place.hole_none }] : []),
    ...holes.map((one) => ({ value: one as string, words: one as string })),
    { value: "size", words: t.place.hole_size },
  ];
  const choose = (next: string) => change(next === "" ? undefined : next === "size" ? "1 mm" : next);
  return (
    <>
      <Select label={label} value={measured ? "size" : shown} options={options} change={choose} />
      {measured && <QuantityInput field={field} label={t.place.hole_size} value={value} change={change} />}
    </>
  );
}

export function ValueInput(props: InputProps) {
  const { field, label, value, change } = props;
  if (field.type === "quantity") return <QuantityInput {...props} />;
  if (field.type === "hole") return <HoleInput {...props} />;
  if (field.type === "gas") {
    return (
      <div class="field">
        <span aria-hidden="true">{label}</span>
        <GasInput label={label} value={shownText(value)} change={change} />
      </div>
    );
  }
  if (field.type === "choice") {
    const choices = (field.choices ?? []).map((one) => ({ value: one, words: t.choices[one] ?? one }));
    const options = field.open ? [{ value: "", words: t.place.nowhere }, ...choices] : choices;
    const shown = shownText(value) || (options[0]?.value ?? "");
    return <Select label={label} value={shown} options={options} change={(one) => change(one || undefined)} />;
  }
  return <TextInput {...props} />;
}
