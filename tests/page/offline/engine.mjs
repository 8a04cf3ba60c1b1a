// SPDX-License-Identifier: Apache-2.0
// The engine of leanside.html, taken out of the page and run in Node.js.
import { readFileSync } from "node:fs";
import { gunzipSync } from "node:zlib";

export function engineBytes(page) {
  const found = /<script type="text\/plain" id="engine">([^<]*)<\/script>/.exec(readFileSync(page, "utf8"));
  if (!found) throw new Error(`${page} holds no engine`);
  return gunzipSync(Buffer.from(found[1], "base64"));
}

/** A function that answers a question; each call may use the same engine again. */
export async function startEngine(bytes) {
  const module = await WebAssembly.compile(bytes);
  let engine;
  const view = () => new DataView(engine.memory.buffer);
  const system = {
    environ_sizes_get: (count, size) => (view().setUint32(count, 0, true), view().setUint32(size, 0, true), 0),
    environ_get: () => 0,
    fd_close: () => 8,
    fd_seek: () => 8,
    fd_write: (_, parts, count, written) => {
      let bytes = 0;
      for (let i = 0; i < count; ++i) bytes += view().getUint32(parts + 8 * i + 4, true);
      view().setUint32(written, bytes, true);
      return 0;
    },
    proc_exit: (code) => {
      throw new Error(`exit ${code}`);
    },
  };
  const needed = WebAssembly.Module.imports(module).map((one) => one.name);
  for (const name of needed) if (!(name in system)) throw new Error(`the engine needs ${name}`);
  const start = async () => {
    engine = (await WebAssembly.instantiate(module, { wasi_snapshot_preview1: system })).exports;
    engine._initialize();
  };
  await start();
  return async (question) => {
    const parts = Object.entries(question).flat();
    return askBytes(Buffer.from(parts.map((one) => `${Buffer.byteLength(one)}:${one}`).join("")));
  };
  async function askBytes(packed) {
    try {
      const at = engine.leanside_take(packed.length);
      new Uint8Array(engine.memory.buffer, at, packed.length).set(packed);
      const reply = engine.leanside_answer(at, packed.length);
      engine.leanside_give_back(at);
      const bytes = new Uint8Array(engine.memory.buffer, reply, engine.leanside_reply_bytes());
      return JSON.parse(Buffer.from(bytes).toString("utf8"));
    } catch (fault) {
      await start();
      throw fault;
    }
  }
}
