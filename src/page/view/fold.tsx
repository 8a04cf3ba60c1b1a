// SPDX-License-Identifier: Apache-2.0
/** A part that is drawn only while it is open. */
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";

export function Fold({ title, content }: { title: string; content: () => ComponentChildren }) {
  const [open, set] = useState(false);
  return (
    <details open={open} onToggle={(event) => set(event.currentTarget.open)}>
      <summary>{title}</summary>
      {open && content()}
    </details>
  );
}
