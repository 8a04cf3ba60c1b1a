// SPDX-License-Identifier: Apache-2.0
/** Sites as files and as questions to the engine. */
import type { Question } from "../engine/engine";
import type { Doc } from "../model/site";
import { toToml } from "../model/toml";
import { t } from "../text";

export const tomlOf = (doc: Doc): string => toToml(doc, t.file.head, t.place.unsure_mark);

export const checkQuestion = (doc: Doc): Question => ({ command: "check", file: doc.file, text: tomlOf(doc) });

/** Columns of a text that the window has room for. */
export const columnsOf = (): string => (window.innerWidth < 700 ? "40" : "100");

export function save(name: string, content: string, type: string): void {
  const address = URL.createObjectURL(new Blob([content], { type }));
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 1000);
}
