// SPDX-License-Identifier: Apache-2.0
import { t } from "../text";
import { useStore } from "./state";

export function Emergency() {
  const store = useStore();
  return (
    <div class="emergency">
      <h1>{t.emergency.title}</h1>
      <ol>
        {t.emergency.steps.map((one) => (
          <li key={one}>{one}</li>
        ))}
      </ol>
      <p>{t.emergency.note}</p>
      <button type="button" onClick={() => store.go(store.doc ? "place" : "start")}>
        {t.emergency.back}
      </button>
    </div>
  );
}
