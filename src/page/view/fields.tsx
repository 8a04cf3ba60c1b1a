// SPDX-License-Identifier: Apache-2.0
/** One value of a form, of whatever type. Each has a label of its own. */
import { useId } from "preact/hooks";
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

function TextInput({ field, label, value, change }: InputProps) {
  const id = useId();
  const words = field.type === "words";
  const shown = words ? list(value).join(", ") : shownText(value);
  const set = (entered: string) => {
    if (entered.trim() === "") return change(undefined);
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

/** Suggests the gases that the engine knows; others may be gases of the file. */
export function GasInput({ label, value, change }: { label: string; value: string; change: (value: string) => void }) {
  const { substances } = useStore();
  const id = useId();
  return (
    <>
      <input list={id} aria-label={label} value={value} onInput={(event) => change(event.currentTarget.value.trim())} />
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
    const options = (field.choices ?? []).map((one) => ({ value: one, words: t.choices[one] ?? one }));
    return (
      <Select label={label} value={shownText(value) || (options[0]?.value ?? "")} options={options} change={change} />
    );
  }
  return <TextInput {...props} />;
}
