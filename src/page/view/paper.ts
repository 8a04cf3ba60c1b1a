// SPDX-License-Identifier: Apache-2.0
/** Makes a sheet fit one side of A4: smaller letters and drawings where it holds much. */
import type { RefObject } from "preact";
import { useLayoutEffect, useRef } from "preact/hooks";

const pixelsPerMillimetre = 96 / 25.4;

/** From roomy to close; print.css says what each means. */
const steps = ["roomy", "usual", "snug", "close", "closest"];

/** The class `measured` gives a sheet the width and the letters of paper, whatever the window. */
export function useOneSide(): RefObject<HTMLElement> {
  const sheet = useRef<HTMLElement>(null);
  useLayoutEffect(() => {
    const element = sheet.current;
    if (!element) return;
    const { classList } = element;
    classList.add("measured");
    const inside = parseFloat(getComputedStyle(element).getPropertyValue("--side")) * pixelsPerMillimetre;
    for (const step of steps) {
      classList.remove(...steps);
      classList.add(step);
      if (element.getBoundingClientRect().height <= inside) break;
    }
    classList.remove("measured");
  });
  return sheet;
}
