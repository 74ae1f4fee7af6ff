/** Choose takes the difference between two setups apart, change by change. */
import type { Page } from '@playwright/test';
import { expect, faultless, inEveryLook, open, read, test, write } from './bench.js';

const changes = (page: Page) => page.getByRole('region', { name: /^What each change makes/ });

test('each change has its column, and what makes up for another is seen', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'choose?setup=calm');
  const first = changes(page).locator('details', { hasText: 'first-try' });
  await first.locator('summary').click();
  for (const name of ['rack slow → quick', 'pump middle → large', 'pulley works → middle']) {
    await expect(first.getByRole('columnheader', { name })).toBeVisible();
  }
  const answer = JSON.parse(
    bench.run('compare', bench.file, '--base', 'calm', '--setup', 'first-try', '--json'),
  ) as {
    setups: {
      changes?: { swaps: { text: string; results: Record<string, Record<string, number>> }[] };
    }[];
  };
  const swaps = answer.setups.find((setup) => setup.changes)?.changes?.swaps ?? [];
  const of = (text: string) => swaps.find((s) => s.text === text)?.results.kerb_torque?.alone_si;
  // The quicker rack makes the wheel heavier, the larger pump lighter, by about as much.
  const rack = of('rack slow -> quick') ?? NaN;
  const pump = of('pump middle -> large') ?? NaN;
  expect(rack).toBeGreaterThan(0.1);
  expect(pump).toBeLessThan(-0.1);
  const whole = first.getByRole('region', { name: 'Changes to first-try' });
  const row = whole.getByRole('row', { name: /^Kerb, brake off, dry, torque/ });
  await expect(row).toContainText('same within');
  await expect(row).toContainText(`+${rack.toFixed(2)}`);
  await expect(row).toContainText(`\u2212${Math.abs(pump).toFixed(2)}`);
  // The pump regulates its flow: its pulley turns it faster and brings no more oil.
  const flow = whole.getByRole('row', { name: /^Kerb, brake off, dry, flow delivered/ });
  const pulley = await whole.getByRole('columnheader').allInnerTexts();
  const at = pulley.findIndex((name) => name.startsWith('pulley'));
  await expect(flow.getByRole('cell').nth(at)).toHaveText('0');
});

test('a rack is taken apart into what makes the wheel heavier', async ({ page, bench }) => {
  await open(page, bench, 'choose?setup=calm');
  const first = changes(page).locator('details', { hasText: 'first-try' });
  await first.locator('summary').click();
  const apart = first.getByRole('region', { name: 'rack slow → quick taken apart, first-try' });
  await expect(apart.getByRole('columnheader')).toHaveText([
    'the swap',
    'gearing and travel',
    'place and joints',
    'piston and seals',
    'steering valve',
  ]);
  await expect(first).toContainText('the old rack with only this taken from the new one');
  // What it makes last stands apart from what it makes alone, as in the other cells.
  const swap = apart
    .getByRole('row', { name: /^Turns lock to lock/ })
    .getByRole('cell')
    .first();
  await expect(swap.locator('small')).toHaveText(/^last \u2212\d/);
  // Turns are the gearing's alone; at the kerb the valve does more than the gearing.
  const effects = async (name: RegExp) =>
    (await apart.getByRole('row', { name }).getByRole('cell').allInnerTexts()).map((text) =>
      parseFloat(text.replace('\u2212', '-')),
    );
  const [turns, gearing, place, piston, valve] = await effects(/^Turns lock to lock/);
  expect(turns).toBeLessThan(0);
  expect([gearing, place, piston, valve]).toEqual([turns, 0, 0, 0]);
  const kerb = await effects(/^Kerb, brake off, dry, torque/);
  expect(kerb[4]).toBeGreaterThan(kerb[1]!);
});

test('the base is what changes are told against', async ({ page, bench }) => {
  await open(page, bench, 'choose?setup=keen');
  await expect(changes(page)).toContainText('against keen');
  await expect(changes(page).locator('summary')).toHaveText(['works', 'first-try', 'calm']);
  await page.getByLabel('Compare with').selectOption('works');
  await expect(changes(page)).toContainText('against works');
  // Rack and circuit come together where the other has neither.
  await expect(changes(page)).toContainText('rack works → quick, pump none → large');
  await expect(changes(page)).toContainText(
    'rack, pump, pulley, belt and fluid only make sense together',
  );
});

test('one change is said in a sentence, none too', async ({ page, bench }) => {
  const text = read(bench);
  const calm = text.slice(text.indexOf('[setup.calm]'), text.indexOf('[setup.keen]'));
  const twin = calm.replace('setup.calm', 'setup.twin');
  const other = twin
    .replace('setup.twin', 'setup.other')
    .replace('pulley = "works"', 'pulley = "middle"');
  write(bench, text + twin + other);
  await open(page, bench, 'choose?setup=calm');
  const of = (name: string) =>
    changes(page)
      .locator('details')
      .filter({ has: page.locator('summary', { hasText: new RegExp(`^${name}$`) }) });
  await of('twin').locator('summary').click();
  await expect(of('twin')).toContainText('The same parts and adjustments.');
  await of('other').locator('summary').click();
  await expect(of('other')).toContainText('All that differs comes from pulley works → middle.');
  await expect(of('other').getByRole('columnheader')).toHaveText(['in all']);
  await expect(of('other').getByRole('row', { name: /^Pump speed at idle/ })).toContainText('+134');
});

inEveryLook((screen, colorScheme) => {
  test('axe finds nothing with the changes open', async ({ page, bench }) => {
    await open(page, bench, 'choose?setup=calm');
    if (screen === 'phone') {
      await page.getByLabel('beside it stands').selectOption('first-try');
      // Each change is said once, and the cells go by what it is of.
      const list = changes(page).getByRole('list');
      await expect(list.getByRole('listitem')).toContainText(['rack slow → quick']);
      const cell = changes(page).locator('td[data-of="rack"]').first();
      await expect(cell).toBeVisible();
      await expect(changes(page).locator('td[data-of="rack up"]')).not.toHaveCount(0);
      await expect(changes(page).locator('[data-of*="→"]')).toHaveCount(0);
    } else {
      await changes(page).locator('summary', { hasText: 'first-try' }).click();
    }
    await changes(page).scrollIntoViewIfNeeded();
    await faultless(page, 'section[aria-labelledby="changes"]');
    if (process.env.LOOK) {
      await changes(page).screenshot({
        path: `${process.env.LOOK}/changes-${screen}-${colorScheme}.png`,
      });
    }
  });
});
