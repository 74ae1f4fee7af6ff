/** The real program on a copy of the demo, and a page on it, for each test. */
import { AxeBuilder } from '@axe-core/playwright';
import { test as base, expect, type Page } from '@playwright/test';
import { execFileSync, spawn } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const binary = resolve(process.env.STEERBENCH ?? '../../build/app/src/cli/steerbench');
const examples = fileURLToPath(new URL('../../examples', import.meta.url));

export interface Bench {
  url: string;
  file: string;
  /** Runs the command line on the same file; a limit exceeded is no failure here. */
  run: (...words: string[]) => string;
}

interface Options {
  example: string;
  serverFlags: string[];
}

interface Fixtures extends Options {
  bench: Bench;
  /** Console messages that a test brings about on purpose. */
  expected: RegExp[];
}

function run(...words: string[]): string {
  try {
    return execFileSync(binary, words, { encoding: 'utf8', maxBuffer: 1e8 });
  } catch (error) {
    const failed = error as { status: number; stdout: string; stderr: string };
    if (failed.status === 1) return failed.stdout;
    throw new Error(failed.stderr, { cause: error });
  }
}

/** Collects what a page complains of. */
export function listen(page: Page, into: string[]) {
  page.on('console', (message) => {
    if (message.type() === 'error') into.push(message.text());
  });
  page.on('pageerror', (error) => into.push(String(error)));
}

export const test = base.extend<Fixtures>({
  example: ['tern.toml', { option: true }],
  serverFlags: [[], { option: true }],
  // eslint-disable-next-line no-empty-pattern
  expected: async ({}, use) => use([]),

  bench: async ({ example, serverFlags }, use) => {
    const folder = mkdtempSync(join(tmpdir(), 'steerbench-e2e-'));
    const file = join(folder, example);
    cpSync(join(examples, example), file);
    const server = spawn(binary, ['serve', file, '--port', '0', '--no-open', ...serverFlags]);
    const url = await new Promise<string>((found, failed) => {
      let said = '';
      server.stdout.on('data', (data: Buffer) => {
        said += data.toString();
        const address = /http:\/\/127\.0\.0\.1:\d+/.exec(said);
        if (address) found(address[0]);
      });
      server.stderr.on('data', (data: Buffer) => (said += data.toString()));
      server.on('exit', (code) => failed(new Error(`the server ended with ${code}: ${said}`)));
    });
    await use({ url, file, run });
    const ended = new Promise((done) => server.once('exit', done));
    server.kill('SIGTERM');
    await ended;
    rmSync(folder, { recursive: true });
  },

  page: async ({ page, bench, expected }, use) => {
    void bench; // The server outlives the page.
    const complaints: string[] = [];
    listen(page, complaints);
    await use(page);
    await page.close();
    const unexpected = complaints.filter((text) => !expected.some((known) => known.test(text)));
    expect(unexpected, 'the console stays quiet').toEqual([]);
  },
});

export { expect };

export const screens = {
  desktop: { width: 1440, height: 900 },
  phone: { width: 390, height: 844 },
} as const;

/** The same tests in light and in dark, on a desktop and on a phone. */
export function inEveryLook(
  tests: (screen: keyof typeof screens, colorScheme: 'light' | 'dark') => void,
) {
  for (const colorScheme of ['light', 'dark'] as const) {
    for (const screen of ['desktop', 'phone'] as const) {
      test.describe(`${colorScheme}, ${screen}`, () => {
        test.use({ colorScheme, viewport: screens[screen], hasTouch: screen === 'phone' });
        tests(screen, colorScheme);
      });
    }
  }
}

/** Opens a view and waits until it shows what the engine answered. */
export async function open(page: Page, bench: Bench, route: string) {
  await page.goto(`${bench.url}/#/${route}`);
  const view = route.split('?')[0];
  const shown = {
    car: page.getByRole('heading', { name: 'The car' }),
    turn: page.getByRole('slider', { name: 'Hand wheel' }),
    weigh: page.getByRole('heading', { name: 'What the hand wheel weighs' }),
    choose: page.getByRole('table', { name: /Setups side by side/ }),
    identify: page.getByRole('heading', { level: 2 }).first(),
  }[view ?? ''];
  if (shown) await shown.waitFor();
  if (view === 'turn') await page.getByText(/^Rack \d/).waitFor();
  if (view === 'weigh') await page.getByRole('figure').first().waitFor();
}

/** axe finds nothing on the page, or within a part of it, and nothing runs out sideways. */
export async function faultless(page: Page, within?: string) {
  const axe = new AxeBuilder({ page }).withTags([
    'wcag2a',
    'wcag2aa',
    'wcag21a',
    'wcag21aa',
    'wcag22aa',
    'best-practice',
  ]);
  const { violations } = await (within ? axe.include(within) : axe).analyze();
  expect(violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html).join(' | ')}`)).toEqual([]);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  expect(wide, 'nothing runs out of the screen sideways').toBeLessThanOrEqual(
    page.viewportSize()?.width ?? 0,
  );
}

/** Drags the hand wheel by an angle [deg], left positive, in steps of a few degrees. */
export async function drag(page: Page, degrees: number) {
  const wheel = page.getByRole('slider', { name: 'Hand wheel' });
  await wheel.scrollIntoViewIfNeeded();
  const box = await wheel.boundingBox();
  if (!box) throw new Error('the hand wheel is not there');
  const middle = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  const radius = box.width * 0.4;
  const at = (angle: number) => {
    const a = (angle * Math.PI) / 180;
    return [middle.x - radius * Math.sin(a), middle.y - radius * Math.cos(a)] as const;
  };
  await page.mouse.move(...at(0));
  await page.mouse.down();
  const steps = Math.ceil(Math.abs(degrees) / 8);
  for (let i = 1; i <= steps; i++) await page.mouse.move(...at((degrees * i) / steps));
  await page.mouse.up();
}

export interface Limit {
  limit: string;
  binds: boolean;
  status: string;
  travel: { si: number; text: string } | null;
}
export interface Checked {
  name: string;
  results: Record<string, { si: number | null; text?: string }>;
  travel_limits: { left: Limit[]; right: Limit[] };
}

/** What the command line says of a setup. */
export function check(bench: Bench, setup: string): Checked {
  const all = JSON.parse(bench.run('check', bench.file, '--setup', setup, '--json')) as {
    setups: Checked[];
  };
  const found = all.setups[0];
  if (!found) throw new Error(`no setup ${setup}`);
  return found;
}

export const read = (bench: Bench) => readFileSync(bench.file, 'utf8');

/** At once, as an editor saves: a page that is open never sees half of it. */
export function write(bench: Bench, text: string) {
  writeFileSync(`${bench.file}.new`, text);
  renameSync(`${bench.file}.new`, bench.file);
}

/** Opens a field of the Car view for writing. */
export async function writing(page: Page, path: string) {
  const row = page.locator(`[id="field ${path}"]`);
  await row.getByRole('button', { name: /Change it/ }).click();
  return row;
}
