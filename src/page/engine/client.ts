// SPDX-License-Identifier: Apache-2.0
/** The engine as the page sees it: in a worker, or in the page where the browser allows no worker. */
import { type Engine, engineFrom, type Question } from "./engine";

/** The text of a data block of the page. */
function block(id: string): string {
  return document.getElementById(id)?.textContent?.trim() ?? "";
}

function bytesOf(base64: string): ArrayBuffer {
  const binary = atob(base64);
  const bytes = new Uint8Array(binary.length);
  for (let i = 0; i < binary.length; ++i) bytes[i] = binary.charCodeAt(i);
  return bytes.buffer;
}

type Waiting = { resolve: (reply: string) => void; reject: (fault: Error) => void };

export class EngineClient {
  private worker: Worker | null = null;
  private direct: Promise<Engine> | null = null;
  private readonly waiting = new Map<number, Waiting>();
  private next = 1;

  constructor() {
    const bytes = bytesOf(block("engine"));
    try {
      const address = URL.createObjectURL(new Blob([block("worker")], { type: "text/javascript" }));
      this.worker = new Worker(address);
      this.worker.onmessage = (event) => this.settle(event.data);
      this.worker.onerror = () => this.withoutWorker();
      this.worker.postMessage({ engine: bytes });
    } catch {
      this.withoutWorker();
    }
  }

  /** The reply, or a rejection where the engine stopped. */
  ask(question: Question): Promise<string> {
    if (!this.worker) return (this.direct as Promise<Engine>).then((engine) => engine.ask(question));
    const id = this.next++;
    return new Promise((resolve, reject) => {
      this.waiting.set(id, { resolve, reject });
      this.worker?.postMessage({ id, question });
    });
  }

  private settle(message: { id: number; reply?: string; fault?: string }): void {
    const one = this.waiting.get(message.id);
    this.waiting.delete(message.id);
    if (message.reply !== undefined) one?.resolve(message.reply);
    else one?.reject(new Error(message.fault));
  }

  private withoutWorker(): void {
    this.worker = null;
    this.direct = engineFrom(bytesOf(block("engine")));
    for (const one of this.waiting.values()) one.reject(new Error("the worker did not start"));
    this.waiting.clear();
  }
}
