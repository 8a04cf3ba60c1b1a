// SPDX-License-Identifier: Apache-2.0
/** Runs the engine beside the page, so that the page never waits for it. */
import { type Engine, engineFrom, type Question } from "./engine";

let engine: Promise<Engine> | null = null;

self.onmessage = async (event: MessageEvent<{ engine?: ArrayBuffer; id?: number; question?: Question }>) => {
  const { id, question } = event.data;
  if (event.data.engine) engine = engineFrom(event.data.engine);
  if (id === undefined || !question || !engine) return;
  try {
    const reply = await (await engine).ask(question);
    self.postMessage({ id, reply });
  } catch (fault) {
    self.postMessage({ id, fault: String(fault) });
  }
};
