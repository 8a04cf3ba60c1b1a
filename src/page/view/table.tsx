// SPDX-License-Identifier: Apache-2.0
/** All spaces as a table, for large sites; rows of a spreadsheet can be pasted. */
import { sizeOf } from "../model/geometry";
import { short } from "../model/quantity";
import { added, changed, type Doc, freeId, nameOf, text } from "../model/site";
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

export function SpaceTable() {
  const { store, doc } = useDoc();
  const paste = (event: ClipboardEvent) => {
    const made = withRows(doc, event.clipboardData?.getData("text") ?? "");
    if (made.rows === 0) return;
    event.preventDefault();
    store.change(made.doc);
    store.say(t.store.taken(made.rows));
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
    </>
  );
}
