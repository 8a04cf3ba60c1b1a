// SPDX-License-Identifier: Apache-2.0
/** The moment that a drawing shows: a slider, and a button that runs it. */
import { useEffect, useState } from "preact/hooks";
import { duration } from "../model/quantity";
import { t } from "../text";

interface SliderProps {
  /** s */
  times: number[];
  /** Place in `times`. */
  at: number;
  set: (at: number) => void;
  /** s, where that is not times[at]. */
  time?: number;
}

export function TimeSlider({ times, at, set, time }: SliderProps) {
  const [running, run] = useState(false);
  const last = times.length - 1;
  const step = Math.max(1, Math.round(last / 240));
  const wait = last < 100 ? 100 : 40; // ms
  useEffect(() => {
    if (!running) return undefined;
    const timer = setTimeout(() => (at >= last ? run(false) : set(Math.min(last, at + step))), wait);
    return () => clearTimeout(timer);
  });
  const start = () => {
    if (at >= last) set(0);
    run(!running);
  };
  const words = t.answer.after(duration(time ?? times[at] ?? 0));
  return (
    <div class="slider">
      <button type="button" onClick={start}>
        {running ? t.answer.pause : t.answer.play}
      </button>
      <label>
        <span>{words}</span>
        <input
          type="range"
          min={0}
          max={last}
          value={at}
          aria-valuetext={words}
          onInput={(event) => set(Number(event.currentTarget.value))}
        />
      </label>
    </div>
  );
}
