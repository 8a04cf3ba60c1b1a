// SPDX-License-Identifier: Apache-2.0
import { type Doc, find, nameOf, sidesOf, type Table } from "../model/site";
import { t } from "../text";

/** What a way for air joins, in words: ways have no names in a site file. */
export function wayOf(doc: Doc, airway: Table | undefined): string {
  if (!airway) return "";
  const [from, to] = sidesOf(airway).map((id) => {
    const space = find(doc.site, "space", id);
    return space ? nameOf(space) : id === "outside" ? t.place.outside.toLowerCase() : id;
  });
  return t.place.way(from ?? "", to ?? "");
}
