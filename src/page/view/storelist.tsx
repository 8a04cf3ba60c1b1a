// SPDX-License-Identifier: Apache-2.0
/** A cylinder store from a list of its cylinders, typed or pasted. */
import { useState } from "preact/hooks";
import { type CylinderRow, rowsOf, storeStart } from "../model/starts";
import { t } from "../text";
import { GasInput } from "./fields";
import { useStore } from "./state";

const first: CylinderRow = { gas: "propane", count: "2", size: "11 kg", pressure: "" };

interface RowProps {
  row: CylinderRow;
  place: number;
  change: (row: CylinderRow) => void;
  remove: () => void;
}

function Row({ row, place, change, remove }: RowProps) {
  const cell = (key: "count" | "size" | "pressure") => (
    <td data-label={t.store[key]}>
      <input
        aria-label={`${t.store[key]}, ${place + 1}`}
        value={row[key]}
        onInput={(event) => change({ ...row, [key]: event.currentTarget.value })}
      />
    </td>
  );
  return (
    <tr>
      <td data-label={t.store.gas}>
        <GasInput label={`${t.store.gas}, ${place + 1}`} value={row.gas} change={(gas) => change({ ...row, gas })} />
      </td>
      {cell("count")}
      {cell("size")}
      {cell("pressure")}
      <td>
        <button type="button" onClick={remove} aria-label={`${t.store.remove} ${place + 1}`}>
          ×
        </button>
      </td>
    </tr>
  );
}

export function StoreStart({ back }: { back: () => void }) {
  const store = useStore();
  const [rows, setRows] = useState<CylinderRow[]>([first]);
  const [told, tell] = useState("");
  const set = (place: number, row: CylinderRow) => setRows(rows.map((one, i) => (i === place ? row : one)));
  const paste = (event: ClipboardEvent) => {
    const pasted = rowsOf(event.clipboardData?.getData("text") ?? "");
    tell(t.store.taken(pasted.length));
    if (pasted.length === 0) return;
    event.preventDefault();
    setRows(pasted);
  };
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        store.begin(storeStart(t.store, rows), "answer");
      }}
    >
      <h1>{t.store.title}</h1>
      <div class="wide">
        <table class="stacked">
          <caption>{t.store.cylinders}</caption>
          <thead>
            <tr>
              {[t.store.gas, t.store.count, t.store.size, t.store.pressure].map((one) => (
                <th key={one} scope="col">
                  {one}
                </th>
              ))}
              <td />
            </tr>
          </thead>
          <tbody>
            {rows.map((row, i) => (
              <Row
                key={i}
                row={row}
                place={i}
                change={(next) => set(i, next)}
                remove={() => setRows(rows.filter((_, k) => k !== i))}
              />
            ))}
          </tbody>
        </table>
      </div>
      <p>
        <button type="button" onClick={() => setRows([...rows, { ...first, count: "1" }])}>
          {t.store.add}
        </button>
      </p>
      <label class="field">
        <span>{t.store.paste}</span>
        <textarea rows={2} onPaste={paste} />
      </label>
      <p role="status">{told}</p>
      <p class="buttons">
        <button type="submit" class="main" disabled={rows.length === 0}>
          {t.start.go}
        </button>
        <button type="button" onClick={back}>
          {t.start.back}
        </button>
      </p>
    </form>
  );
}
