import { readFileSync } from "node:fs";
import { defineConfig, type Plugin } from "vite";
import { VitePWA } from "vite-plugin-pwa";

// Shared memory between the core's worker and the signer needs a page that nothing else can look into; the hub sends the
// same headers (sync-server/app_files.h).
const isolated = {
  "Cross-Origin-Opener-Policy": "same-origin",
  "Cross-Origin-Embedder-Policy": "require-corp",
};

// The version of this build, in one place: package.json, unless its surroundings say another. The app shows it, and the signed
// manifest of a release names it (sync-server/app_release.h).
process.env["VITE_VERSION"] ??= (
  JSON.parse(readFileSync("package.json", "utf8")) as { version: string }
).version;
const saysItsVersion: Plugin = {
  name: "says-its-version",
  generateBundle() {
    this.emitFile({ type: "asset", fileName: "version.txt", source: `${process.env["VITE_VERSION"]}\n` });
  },
};

export default defineConfig({
  esbuild: { jsx: "automatic", jsxImportSource: "preact" },
  build: { target: "es2022", assetsInlineLimit: 0, chunkSizeWarningLimit: 1000 },
  worker: { format: "es" },
  server: { headers: isolated },
  preview: { headers: isolated },
  plugins: [
    saysItsVersion,
    VitePWA({
      registerType: "prompt",
      workbox: { globPatterns: ["**/*.{html,js,css,wasm,svg}"], maximumFileSizeToCacheInBytes: 8_000_000 },
      manifest: {
        name: "Wrackline",
        short_name: "Wrackline",
        description: "Husbandry records at the pool, with or without a network",
        start_url: "/",
        display: "standalone",
        background_color: "#0f3d47",
        theme_color: "#0f3d47",
        icons: [{ src: "/icon.svg", sizes: "any", type: "image/svg+xml", purpose: "any" }],
      },
    }),
  ],
});
