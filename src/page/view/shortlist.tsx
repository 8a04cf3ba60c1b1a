// SPDX-License-Identifier: Apache-2.0
/** A long list shows its first things, and those that are looked for. */
import type { ComponentChildren } from "preact";
import { useId, useState } from "preact/hooks";
import { t } from "../text";

interface ShortListProps<T> {
  label: string;
  all: T[];
  /** What a search looks in. */
  words: (one: T) => string;
  /** What is shown in any case. */
  kept: (one: T) => boolean;
  children: (shown: T[]) => ComponentChildren;
}

const mostAtOnce = 12;
const first = 5;

export function ShortList<T>({ label, all, words, kept, children }: ShortListProps<T>) {
  const id = useId();
  const [search, look] = useState("");
  const [every, showEvery] = useState(false);
  if (all.length <= mostAtOnce) return <>{children(all)}</>;
  const plain = search.trim().toLowerCase();
  const found = (one: T, place: number) =>
    every || kept(one) || (plain === "" ? place < first : words(one).toLowerCase().includes(plain));
  const shown = all.filter(found);
  return (
    <>
      <div class="search">
        <label for={id}>{t.place.search(all.length)}</label>
        <input id={id} type="search" value={search} onInput={(event) => look(event.currentTarget.value)} />
      </div>
      {children(shown)}
      {(shown.length < all.length || every) && (
        <p class="buttons">
          <button type="button" aria-label={`${label}: ${t.place.every(all.length)}`} onClick={() => showEvery(!every)}>
            {every ? t.place.fewer : t.place.every(all.length)}
          </button>
        </p>
      )}
    </>
  );
}
