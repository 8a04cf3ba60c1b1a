// SPDX-License-Identifier: Apache-2.0
/** The engine: questions in, JSON texts out (requests.hpp in this folder says what it understands). */
import { systemFunctions } from "./wasi";

export type Question = Record<string, string>;

interface Exports {
  memory: WebAssembly.Memory;
  _initialize(): void;
  leanside_take(bytes: number): number;
  leanside_give_back(address: number): void;
  leanside_answer(address: number, bytes: number): number;
  leanside_reply_bytes(): number;
}

/** Names and values in turn, each as its number of bytes, a colon and the bytes. */
function packedOf(question: Question): Uint8Array {
  const encoder = new TextEncoder();
  const parts = Object.entries(question)
    .flat()
    .flatMap((one) => {
      const bytes = encoder.encode(one);
      return [encoder.encode(`${bytes.length}:`), bytes];
    });
  const packed = new Uint8Array(parts.reduce((sum, one) => sum + one.length, 0));
  let at = 0;
  for (const one of parts) {
    packed.set(one, at);
    at += one.length;
  }
  return packed;
}

export class Engine {
  private exports: Exports | null = null;
  constructor(private readonly module: WebAssembly.Module) {}

  /** Throws where the engine stopped; the next question finds a new one. */
  async ask(question: Question): Promise<string> {
    this.exports ??= await this.start();
    const engine = this.exports;
    const packed = packedOf(question);
    try {
      const address = engine.leanside_take(packed.length);
      new Uint8Array(engine.memory.buffer, address, packed.length).set(packed);
      const reply = engine.leanside_answer(address, packed.length);
      engine.leanside_give_back(address);
      return new TextDecoder().decode(new Uint8Array(engine.memory.buffer, reply, engine.leanside_reply_bytes()));
    } catch (stopped) {
      this.exports = null;
      throw stopped;
    }
  }

  private async start(): Promise<Exports> {
    const holder: { memory?: WebAssembly.Memory } = {};
    const system = systemFunctions(() => holder.memory as WebAssembly.Memory);
    const instance = await WebAssembly.instantiate(this.module, { wasi_snapshot_preview1: system });
    const exports = instance.exports as unknown as Exports;
    holder.memory = exports.memory;
    exports._initialize();
    return exports;
  }
}

/** From the bytes of engine.wasm, compressed with gzip. */
export async function engineFrom(compressed: ArrayBuffer): Promise<Engine> {
  const stream = new Blob([compressed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Engine(await WebAssembly.compile(await new Response(stream).arrayBuffer()));
}
