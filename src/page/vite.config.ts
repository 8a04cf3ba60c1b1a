// SPDX-License-Identifier: Apache-2.0
// Bundles the page, or its worker (`--mode worker`), into one script that imports nothing. assemble.mjs puts the parts
// into one HTML file.
import { defineConfig } from "vite";

export default defineConfig(({ mode }) => {
  const worker = mode === "worker";
  return {
    configFile: false,
    esbuild: { jsx: "automatic", jsxImportSource: "preact", legalComments: "none" },
    define: { "process.env.NODE_ENV": '"production"' },
    build: {
      outDir: "parts", // or what --outDir says
      emptyOutDir: false,
      target: "es2022",
      cssCodeSplit: false,
      lib: {
        entry: worker ? "engine/worker.ts" : "main.tsx",
        formats: ["iife"],
        name: "leanside",
        fileName: () => (worker ? "worker.js" : "page.js"),
        cssFileName: "page",
      },
    },
  };
});
