import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

const server = process.env.STEERBENCH_URL ?? 'http://127.0.0.1:8080';

export default defineConfig({
  plugins: [svelte()],
  // The page's policy allows no data: fonts or scripts, so nothing is inlined.
  build: {
    target: 'es2022',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    // three.js [kB], fetched only for the space view.
    chunkSizeWarningLimit: 600,
  },
  server: {
    proxy: { '/api': { target: server, changeOrigin: true, headers: { origin: server } } },
  },
  test: { include: ['src/**/*.test.ts'] },
});
