/** The steering in motion: time histories, in the Weigh view. */
import type { Page } from '@playwright/test';
import { type Bench, expect, faultless, open, read, test, write } from './bench.js';

const section = (page: Page) => page.getByRole('region', { name: 'In motion' });
const summary = (page: Page) => section(page).getByRole('table', { name: 'What the runs come to' });

async function run(page: Page) {
  // Until the run has begun the button is the one pressed.
  const begun = page.waitForResponse(
    (answer) => answer.url().endsWith('/api/jobs') && answer.request().method() === 'POST',
  );
  await section(page).getByRole('button', { name: 'Run it' }).click();
  await begun;
  await expect(section(page).getByRole('button', { name: 'Run it' })).toBeVisible({
    timeout: 40_000,
  });
}

interface Ran {
  summary: { key: string; label: string; si: number; note: string }[];
}
const said = (bench: Bench, setup: string, ...words: string[]) =>
  JSON.parse(bench.run('simulate', bench.file, '--setup', setup, '--json', ...words)) as Ran;

test('a manoeuvre is run with every setup drawn, as the command line has it', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'weigh?setup=keen');
  const names = await page.getByLabel('Setup', { exact: true }).locator('option').allInnerTexts();
  await section(page).getByLabel('Manoeuvre').selectOption('step');
  await section(page).getByLabel('Time of turning, or of a wave').fill('0.4 s');
  await run(page);
  const heads = summary(page).getByRole('columnheader');
  await expect(heads.filter({ hasText: 'keen' })).toBeVisible();
  const line = said(bench, 'keen', '--run', 'step', '--time', '0.4 s');
  const peak = line.summary.find(({ key }) => key === 'peak_torque');
  if (!peak) throw new Error('no peak');
  const column = (await heads.allInnerTexts()).indexOf('keen');
  const row = summary(page).getByRole('row', { name: peak.label });
  await expect(row.getByRole('cell').nth(column)).toContainText(`${peak.si.toFixed(2)} N·m`);
  await expect(row.getByRole('cell').nth(column)).toContainText(peak.note);
  // Several setups in one chart, each by its own name.
  const chart = section(page).getByRole('figure').filter({ hasText: 'Torque of the hand' });
  const known = (await heads.allInnerTexts()).filter((text) => names.includes(text));
  expect(known.length).toBeGreaterThan(1);
  for (const name of known) await expect(chart.getByRole('button', { name })).toBeVisible();
});

test('a run says how engine and oil stood, also where the form is not printed', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'weigh?setup=calm');
  await run(page);
  await expect(
    section(page).getByRole('heading', {
      name: 'Parking: to just before lock, hold, back, engine idling at 850 rpm, no air in the oil',
    }),
  ).toBeVisible();
  await section(page).getByLabel('Manoeuvre').selectOption('step');
  await section(page).getByLabel('How far, or how hard').fill('60 deg');
  await section(page).getByLabel('Engine speed').fill('3000 rpm');
  await section(page).getByLabel('Air in the oil').fill('2 %');
  await run(page);
  await page.emulateMedia({ media: 'print' });
  const head = section(page).getByRole('heading', { name: /^Step: a quick turn/ });
  await expect(head).toContainText('60 deg, engine 3000 rpm, air in the oil 2 %');
  await expect(section(page)).toContainText('Without ±; the tyres push back as with the rack');
});

test('a setup without a pump is left out and not tried, and the check is folded away', async ({
  page,
  bench,
}) => {
  // The console stays quiet: the server was not asked for what is not there.
  await open(page, bench, 'weigh?setup=calm');
  await expect(section(page)).toContainText('works: no pump fitted, left out.');
  await run(page);
  await expect(summary(page).getByRole('columnheader', { name: 'works' })).toHaveCount(0);
  await expect(section(page)).not.toContainText('lacks what a simulation needs');
  const check = section(page).getByText(/^Energy that does not add up/);
  await expect(check).toBeHidden();
  await section(page).getByText('How well the runs add up').click();
  await expect(check).toBeVisible();
  await expect(
    section(page)
      .getByRole('listitem')
      .filter({ hasText: /^calm: [\d.e-]+ %/ }),
  ).toBeVisible();
});

test('the pointer reads a moment, a press asks where from, and a chart is saved', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'weigh?setup=calm');
  await run(page);
  const chart = page.getByRole('application', { name: /Pressure at the pump/ });
  await chart.scrollIntoViewIfNeeded();
  await chart.hover({ position: { x: 200, y: 120 } });
  const figure = section(page).getByRole('figure').filter({ has: chart });
  await expect(figure).toContainText(/at \d\.\d\d s/);
  await chart.click({ position: { x: 200, y: 120 } });
  const dialog = page.getByRole('dialog', { name: 'Where from?' });
  await expect(dialog).toContainText('docs/methods/simulate.md');
  await expect(dialog).toContainText('without a ±');
  await page.keyboard.press('Escape');
  const saved = page.waitForEvent('download');
  await figure.getByRole('button', { name: /as SVG/ }).click();
  expect((await saved).suggestedFilename()).toContain('pressure at the pump');
});

test('a long run is stopped; what was written wrong is said at its field', async ({
  page,
  bench,
  expected,
}) => {
  expected.push(/422/);
  await open(page, bench, 'weigh?setup=calm');
  await section(page).getByLabel('Manoeuvre').selectOption('sine');
  await section(page).getByLabel('Whole run').fill('600 s');
  await section(page).getByRole('button', { name: 'Run it' }).click();
  await section(page).getByRole('progressbar').waitFor();
  await section(page).getByRole('button', { name: 'Stop' }).click();
  await expect(section(page).getByRole('button', { name: 'Run it' })).toBeVisible();
  await expect(section(page)).toContainText('Not run: calm');
  await section(page).getByLabel('Whole run').fill('3 mm');
  await run(page);
  const field = section(page).getByLabel('Whole run');
  await expect(field).toHaveAttribute('aria-invalid', 'true');
  await expect(field).toHaveAccessibleDescription(/3 mm/);
});

test('a change of the file or the order makes what was run old', async ({ page, bench }) => {
  await open(page, bench, 'weigh?setup=calm');
  await run(page);
  await expect(section(page)).not.toContainText('have changed since');
  write(bench, read(bench).replace('"slow assisted rack on the works arms"', '"slow"'));
  await expect(section(page)).toContainText('have changed since');
  await run(page);
  await expect(section(page)).not.toContainText('have changed since');
  await section(page).getByLabel('Manoeuvre').selectOption('ramp');
  await expect(section(page)).toContainText('have changed since');
});

for (const [screen, viewport] of Object.entries({
  desktop: { width: 1440, height: 900 },
  phone: { width: 390, height: 844 },
})) {
  for (const colorScheme of ['light', 'dark'] as const) {
    test.describe(`${screen}, ${colorScheme}`, () => {
      test.use({ viewport, colorScheme });
      test('axe finds nothing on a run', async ({ page, bench }) => {
        await open(page, bench, 'weigh?setup=calm');
        await run(page);
        await section(page).scrollIntoViewIfNeeded();
        await faultless(page);
      });
    });
  }
}
