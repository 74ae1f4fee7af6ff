import { defineConfig } from '@playwright/test';

/** The system's own browser; none is fetched. It talks to loopback only. */
export const launchOptions = {
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: [
    '--no-sandbox',
    '--disable-gpu',
    '--disable-quic',
    '--no-first-run',
    '--disable-background-networking',
    '--disable-component-update',
    '--disable-sync',
    '--use-gl=angle',
    '--use-angle=swiftshader',
    '--enable-unsafe-swiftshader',
  ],
};

export default defineConfig({
  testDir: '.',
  testMatch: process.env.SHOTS ? 'shots.ts' : '*.spec.ts',
  workers: 1,
  timeout: 60_000,
  expect: { timeout: 10_000 },
  use: {
    launchOptions,
    viewport: { width: 1440, height: 900 },
    colorScheme: 'light',
  },
});
