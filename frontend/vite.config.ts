import { defineConfig } from "vite";

// Built files carry fixed names and no hash: they are committed inside the Python package, and CI rebuilds them and
// fails on a difference. The server sends them with its own cache headers.
export default defineConfig({
  base: "/",
  // BOOSTWRIGHT_API: where a running server listens, for `npm run dev` only.
  server: { proxy: { "/api": process.env["BOOSTWRIGHT_API"] ?? "http://127.0.0.1:8600" } },
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    outDir: process.env["BOOSTWRIGHT_STATIC"] ?? "../src/boostwright/web/static",
    emptyOutDir: true,
    target: "es2022",
    sourcemap: false,
    // The polyfill is for browsers older than the target.
    modulePreload: { polyfill: false },
    assetsInlineLimit: 0, // a data: address would be refused by the page's own security policy
    reportCompressedSize: false,
    rollupOptions: {
      output: {
        entryFileNames: "app.js",
        chunkFileNames: "[name].js",
        assetFileNames: (asset) => (asset.names.some((name) => name === "index.css") ? "app.css" : "[name][extname]"),
      },
    },
  },
  test: { environment: "node", include: ["src/**/*.test.ts"] },
} as Parameters<typeof defineConfig>[0]);
