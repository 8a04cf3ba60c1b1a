// SPDX-License-Identifier: Apache-2.0
/** All spaces as a table, for large sites; rows of a spreadsheet can be pasted. */
import { useState } from "preact/hooks";
import { sizeOf } from "../model/geometry";
import { short } from "../model/quantity";
import { added, changed, type Doc, freeId, nameOf, removed, text } from "../model/site";
import { roomStart } from "../model/starts";
import { t } from "../text";
import { useDoc } from "./state";

/** Adds a room for each pasted row: name, floor area in m2, height in m, fresh air in volumes an hour. */
export function withRows(doc: Doc, pasted: string): { doc: Doc; rows: number } {
  let next = doc;
  let rows = 0;
  for (const line of pasted.split(/\r?\n/)) {
    const [name = "", area = "", height = "", air = ""] = line.split(/\t|;/).map((cell) => cell.trim());
    const number = (cell: string) => Number(cell.replace(",", "."));
    if (name === "" || !(number(area) > 0)) continue;
    const id = freeId(next.site, name);
    next = added(next, "space", {
      id,
      name,
      kind: "room",
      floor_area: `${number(area)} m2`,
      height: `${number(height) > 0 ? number(height) : 2.5} m`,
      air_changes: `${number(air) > 0 ? number(air) : 0.1} /h`,
    });
    ++rows;
  }
  return { doc: next, rows };
}

/** The invented room with which "A room" begins gives way to the pasted ones; its gas goes into the first of them. */
function withoutInvented(before: Doc, after: Doc): Doc {
  const [invented] = roomStart(t.room).site.space;
  const [room] = before.site.space;
  const first = after.site.space[before.site.space.length];
  const untouched = JSON.stringify(room) === JSON.stringify(invented) && before.site.space.length === 1;
  if (!room || !first || !untouched || before.site.airway.length > 0) return after;
  const release = after.site.release.map((one) => (one.into === room.id ? { ...one, into: first.id } : one));
  return removed({ ...after, site: { ...after.site, release } }, "space", room.id);
}

export function SpaceTable() {
  const { store, doc } = useDoc();
  const [told, tell] = useState("");
  const paste = (event: ClipboardEvent) => {
    const made = withRows(doc, event.clipboardData?.getData("text") ?? "");
    tell(t.store.taken(made.rows));
    if (made.rows === 0) return;
    event.preventDefault();
    const next = withoutInvented(doc, made.doc);
    const [release] = next.site.release;
    const [first] = next.site.space;
    store.change(next);
    if (next === made.doc || !release || !first) return;
    tell(`${t.store.taken(made.rows)} ${t.place.replaced(nameOf(release), nameOf(first))}`);
  };
  const put = (id: string, key: string, value: string) =>
    store.change(changed(doc, "space", id, { [key]: value || undefined }));
  return (
    <>
      <div class="wide" tabIndex={0} role="region" aria-label={t.place.table}>
        <table>
          <thead>
            <tr>
              {[t.fields.name, t.place.area, t.place.height, t.fields.air_changes].map((one) => (
                <th scope="col" key={one}>
                  {one}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {doc.site.space.map((space) => {
              const { area, height } = sizeOf(space);
              return (
                <tr key={space.id}>
                  <th scope="row">{nameOf(space)}</th>
                  <td>{`${short(area, 4)} m2`}</td>
                  <td>{`${short(height, 4)} m`}</td>
                  <td>
                    <input
                      aria-label={`${nameOf(space)}: ${t.fields.air_changes}`}
                      value={text(space.air_changes)}
                      onChange={(event) => put(space.id, "air_changes", event.currentTarget.value)}
                    />
                  </td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </div>
      <label class="field">
        <span>{t.place.paste}</span>
        <textarea rows={2} onPaste={paste} />
      </label>
      <p role="status">{told}</p>
    </>
  );
}
