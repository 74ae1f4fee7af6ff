/** Weigh it tells the worst first, and of what each weight is made. */
import type { Page } from '@playwright/test';
import { writeFileSync } from 'node:fs';
import { type Bench, expect, faultless, inEveryLook, open, read, screens, test } from './bench.js';

const made = (page: Page) => page.getByRole('region', { name: /^Of what the weights are made/ });
const pick = (page: Page) => made(page).getByRole('combobox');
const whereFrom = (page: Page) => page.getByRole('dialog', { name: 'Where from?' });

interface Weighed {
  breakdown: Record<string, Record<string, number>>;
  results: Record<string, { label: string; si: number; text: string }>;
}
function weighed(bench: Bench, setup: string): Weighed {
  const all = JSON.parse(bench.run('check', bench.file, '--setup', setup, '--json')) as {
    setups: Weighed[];
  };
  const found = all.setups[0];
  if (!found) throw new Error(`no setup ${setup}`);
  return found;
}
/** As the page sets numbers. */
const shown = (text: string) => text.replace(/-(?=[\d.])/g, '\u2212');

test('beneath a curve stands where the model behind it ends', async ({ page, bench }) => {
  await open(page, bench, 'weigh?setup=keen');
  const boost = page
    .getByRole('figure')
    .filter({ has: page.getByRole('heading', { name: 'Boost' }) });
  await expect(boost).toContainText(
    'Outside the model, in places: twist beyond the last measured point of the valve',
  );
  const kerb = page.getByRole('figure').filter({ hasText: 'At the kerb, turned to the left' });
  await expect(kerb).not.toContainText('Outside the model');
});

test('two weights stand side by side, each picked from all that are known', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'weigh?setup=calm');
  const { breakdown, results } = weighed(bench, 'calm');
  await expect(made(page).getByRole('heading')).toHaveText('Of what the weights are made, calm');
  await expect(pick(page)).toHaveCount(2);
  await expect(pick(page).first()).toHaveValue('kerb_torque');
  await expect(pick(page).last()).toHaveValue('road_torque');
  await expect(pick(page).first().locator('option')).toHaveText(
    Object.keys(breakdown).map((key) => results[key]?.label ?? '?'),
  );
  const key = Object.keys(breakdown).at(-1) ?? '';
  await pick(page).last().selectOption(key);
  const table = made(page).getByRole('table').last();
  for (const [name, value] of Object.entries(breakdown[key] ?? {})) {
    if (Math.abs(value) < 0.01) continue;
    const sign = value > 0 ? '+' : '';
    await expect(table.getByRole('row', { name })).toContainText(
      shown(`${sign}${value.toFixed(2)} N·m`),
    );
  }
  // In all is the weight itself, and leads on to where it is from.
  await table
    .getByRole('row', { name: /^in all/ })
    .getByRole('button')
    .click();
  await expect(whereFrom(page)).toContainText(`${results[key]?.label}, calm`);
});

test('what was picked stays with another setup, or the nearest stands there', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'weigh?setup=calm');
  await pick(page).first().selectOption('town_torque');
  await page.getByLabel('Setup', { exact: true }).selectOption('works');
  await expect(made(page).getByRole('heading')).toContainText('works');
  await expect(pick(page).first()).toHaveValue('town_torque');
});

test('where from tells of what a weight is made, in Weigh and in Choose', async ({
  page,
  bench,
}) => {
  const { breakdown, results } = weighed(bench, 'keen');
  const tyre = shown(`+${breakdown.kerb_torque?.['tyre on the spot']?.toFixed(2)} N·m`);
  await open(page, bench, 'weigh?setup=keen');
  for (const view of ['weigh', 'choose']) {
    if (view === 'choose') await open(page, bench, 'choose?setup=keen');
    await page
      .getByRole('button', { name: /^Kerb, brake off, dry.*, keen/ })
      .first()
      .click();
    await expect(whereFrom(page)).toContainText('Of what it is made, keen');
    const table = whereFrom(page).getByRole('table');
    await expect(table.getByRole('row', { name: 'tyre on the spot' })).toContainText(tyre);
    await expect(table.getByRole('row', { name: /^in all/ })).toContainText(
      results.kerb_torque?.text ?? '?',
    );
    await page.keyboard.press('Escape');
  }
  // A pull is no torque at the hand wheel.
  await open(page, bench, 'weigh?setup=keen');
  await page.getByRole('button', { name: 'pull at the rim' }).click();
  await page
    .getByRole('button', { name: /^Kerb, brake off, dry.*, keen/ })
    .first()
    .click();
  await expect(whereFrom(page)).toBeVisible();
  await expect(whereFrom(page).getByRole('table')).toHaveCount(0);
});

test('inputs that are guessed or state no ± are marked', async ({ page, bench }) => {
  writeFileSync(
    bench.file,
    read(bench).replaceAll(
      'friction = "0.9 ± 0.1"',
      'friction = { value = "0.9 ± 0.1", from = "guess" }',
    ),
  );
  await open(page, bench, 'weigh?setup=calm');
  await page
    .getByRole('button', { name: /^Kerb, brake off, dry, calm/ })
    .first()
    .click();
  await expect(whereFrom(page)).toContainText('typical or guess: see the marks below');
  await expect(
    whereFrom(page).getByRole('button', { name: /tyre · friction .* guess$/ }),
  ).toBeVisible();
});

test('the worst is said before the weights, and leads to Choose', async ({ page, bench }) => {
  await open(page, bench, 'weigh?setup=first-try');
  const line = page.getByText(/^✗ 5 limits do not hold:/).locator('..');
  await expect(line).toContainText('Pump not over-driven');
  const below = page.getByRole('heading', { name: 'What the hand wheel weighs' });
  const heights = [await line.boundingBox(), await below.boundingBox()].map((at) => at?.y);
  expect(heights[0] ?? NaN).toBeLessThan(heights[1] ?? NaN);
  await expect(page.getByText('✗ does not go together')).toBeVisible();
  await page.getByRole('button', { name: 'See it in Choose' }).click();
  await expect(page).toHaveURL(/#\/choose/);
  // Where all is well nothing is said.
  await open(page, bench, 'weigh?setup=works');
  await expect(page.getByRole('button', { name: 'See it in Choose' })).toHaveCount(0);
});

test.describe('on a phone', () => {
  test.use({ viewport: screens.phone, hasTouch: true });
  test('one weight is taken apart at a time', async ({ page, bench }) => {
    await open(page, bench, 'weigh?setup=calm');
    await expect(pick(page)).toHaveCount(1);
    expect((await pick(page).boundingBox())?.height).toBeGreaterThanOrEqual(44);
  });
});

inEveryLook(() => {
  test('axe finds nothing on a weight taken apart', async ({ page, bench }) => {
    await open(page, bench, 'weigh?setup=first-try');
    await made(page).scrollIntoViewIfNeeded();
    await faultless(page);
    await made(page)
      .getByRole('row', { name: /^in all/ })
      .first()
      .getByRole('button')
      .click();
    await whereFrom(page).waitFor();
    await faultless(page, 'dialog');
  });
});
