/** Rows of lists: added with all that they need, nested, folded as people leave them. */
import type { Page } from '@playwright/test';
import { expect, open, read, screens, test, writing } from './bench.js';

const table = (page: Page, path: string) => page.locator(`[id="${path}"]`);
const broken = (page: Page) =>
  page.getByRole('heading', { name: 'The file cannot be used as it stands' });

/** Opens the form of another entry and fills it in. */
async function add(page: Page, within: string, button: string, values: [RegExp, string][]) {
  const at = table(page, within);
  await at.getByRole('button', { name: button, exact: true }).click();
  for (const [label, value] of values) {
    const field = at.getByRole('form', { name: /^Add: / }).getByLabel(label);
    if ((await field.evaluate((element) => element.tagName)) === 'SELECT') {
      await field.selectOption(value);
    } else {
      await field.fill(value);
    }
  }
  await at.getByRole('button', { name: 'Add it' }).click();
}

test('rows of readings are added whole, and the file stays usable', async ({ page, bench }) => {
  await open(page, bench, 'car');
  // Lists of the car are added to at the foot of its section.
  for (const [at, button, values, path] of [
    [
      'section[id="car.front"]',
      'Add a turn-plate reading',
      ['30 mm', '14 deg', '13 deg'],
      'car.front.turn_plate[0]',
    ],
    ['section[id="car"]', 'Add a driver current', ['180 km/h', '0.05 A'], 'car.driver.current[4]'],
    ['[id="rack.works"]', 'Add a ratio row', ['0 mm', '36 mm/turn'], 'rack.works.ratio[0]'],
    [
      '[id="pump.small"]',
      'Add a bench reading',
      ['500 rpm', '40 bar', '3 L/min'],
      'pump.small.bench[0]',
    ],
    [
      '[id="control_valve.bypass"]',
      'Add an opening row',
      ['1.3 A', '0 mm'],
      'control_valve.bypass.opening[4]',
    ],
  ] as const) {
    const part = page.locator(at);
    await part.getByRole('button', { name: button, exact: true }).click();
    const form = part.getByRole('form', { name: /^Add: / });
    for (const [i, value] of values.entries()) {
      await form.getByRole('textbox').nth(i).fill(value);
    }
    await form.getByRole('button', { name: 'Add it' }).click();
    await expect(table(page, path)).toHaveAttribute('open', '');
    await expect(broken(page)).toHaveCount(0);
  }
});

test('a row can be told by another field, and says why it is refused', async ({
  page,
  bench,
  expected,
}) => {
  expected.push(/422/);
  await open(page, bench, 'car');
  const slow = table(page, 'rack.slow');
  await slow.getByRole('button', { name: 'Add a boost row' }).click();
  const form = slow.getByRole('form', { name: 'Add: boost row' });
  await expect(form.getByRole('button', { name: 'Add it' })).toBeDisabled();
  await form.getByLabel(/^torque/).fill('1 N·m');
  await form.getByLabel(/^pressure/).fill('90 bar');
  await form.getByRole('button', { name: 'Add it' }).click();
  await expect(form.getByRole('alert')).toContainText('put the rows in order');
  await form.getByLabel('What it is told by').selectOption('pull');
  await expect(form.getByLabel(/^pull/)).toHaveValue('');
  await form.getByRole('button', { name: 'Leave it' }).click();

  // The first row of a boost curve is with the wheel let go.
  const works = table(page, 'rack.works');
  await works.getByRole('button', { name: 'Add a boost row' }).click();
  await expect(works.getByLabel(/^torque/)).toHaveValue('0 N·m');
  await works.getByLabel(/^pressure/).fill('3 bar');
  await works.getByRole('button', { name: 'Add it' }).click();
  await expect(table(page, 'rack.works.boost[0]')).toContainText('torque 0 N·m · pressure 3 bar');
});

test('a row keeps the numbers that it needs', async ({ page, bench }) => {
  await open(page, bench, 'car');
  await table(page, 'rack.slow.boost[2]').locator('summary').first().click();
  const row = await writing(page, 'rack.slow.boost[2].pressure');
  await expect(row.getByRole('button', { name: 'Unknown' })).toHaveCount(0);
  await row.getByRole('textbox').first().fill('');
  await row.getByRole('button', { name: 'Save' }).click();
  await expect(row.getByRole('alert')).toContainText('remove the row');
});

test('a file that cannot be used is mended by the undo on the page', async ({ page, bench }) => {
  await open(page, bench, 'car');
  const before = read(bench);
  await table(page, 'rack.slow.boost[0]').locator('summary').first().click();
  await page.getByRole('button', { name: 'Remove boost row 1' }).first().click();
  await expect(broken(page)).toBeVisible();
  await page.getByRole('button', { name: 'History' }).click();
  await expect(page.getByRole('dialog', { name: 'History' })).toBeVisible();
  await page.keyboard.press('Escape');
  await page.getByRole('button', { name: /^Undo: rack · slow · boost 1 removed/ }).click();
  await expect(table(page, 'rack.slow.boost[0]')).toBeInViewport();
  expect(read(bench)).toBe(before);
});

test('a part to identify is set up on the page', async ({ page, bench }) => {
  await open(page, bench, 'car');
  await page.getByRole('button', { name: 'Add a part to identify' }).click();
  await page.getByLabel('What do you call the part to identify?').fill('Shelf pump');
  await page.getByRole('button', { name: 'Add shelf-pump' }).click();
  const path = 'identify.shelf-pump';
  await expect(table(page, path)).toBeVisible();
  await add(page, path, 'Add a feature', [
    [/^name /, 'ears'],
    [/^ask /, 'How many ears?'],
  ]);
  await expect(table(page, `${path}.feature[0]`)).toContainText('ears: How many ears?');
  for (const [i, count] of ['2', '3'].entries()) {
    await add(page, path, 'Add a variant', [[/^name /, `pump ${count}`]]);
    const variant = `${path}.variant[${i}]`;
    await expect(table(page, variant)).toHaveAttribute('open', '');
    await add(page, variant, 'Add a trait', [
      [/^feature /, 'ears'],
      [/^What it is told by/, 'count'],
      [/^count /, count],
    ]);
    // They stand within their variant.
    await expect(table(page, variant).locator(`[id="${variant}.trait[0]"]`)).toContainText(
      `ears: ${count}`,
    );
    await add(page, variant, 'Add a thing to order', [
      [/^thing /, 'seal kit'],
      [/^which /, `no. ${count}`],
    ]);
    await expect(table(page, variant).locator(`[id="${variant}.order[0]"]`)).toContainText(
      `seal kit: no. ${count}`,
    );
  }
  await add(page, path, 'Add a look', [
    [/^feature /, 'ears'],
    [/^What it is told by/, 'count'],
    [/^count /, '3'],
  ]);
  await expect(table(page, `${path}.seen[0]`)).toContainText('ears: 3');
  const told = bench.run('identify', bench.file, 'shelf-pump');
  expect(told).toContain('pump 3');
});

test('rows are told as people say them', async ({ page, bench }) => {
  await open(page, bench, 'car');
  await expect(table(page, 'identify.bench-rack.feature[0]')).toContainText(
    'ports: Has the housing two oil ports? · 1 min · wrong 1 in 100',
  );
  await expect(page.getByRole('button', { name: 'Add a job' })).toBeVisible();
  await expect(page.getByRole('button', { name: 'Add a pair of arms' })).toBeVisible();
});

test('the parts of the file are gone to by keyboard, and undo stays in sight', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'car');
  const link = page
    .getByRole('navigation', { name: 'Parts of the file' })
    .getByRole('link', { name: 'Setups', exact: true });
  await link.focus();
  await page.keyboard.press('Enter');
  const heading = page.getByRole('heading', { name: 'Setups', exact: true });
  await expect(heading).toBeFocused();
  await page.keyboard.press('Tab');
  await expect(page.locator('[id="setup.works"] > summary')).toBeFocused();
  // Nothing that is gone to lies under the head.
  const head = await page.locator('header').boundingBox();
  const at = await heading.boundingBox();
  expect(head?.y).toBe(0);
  expect(at?.y ?? 0).toBeGreaterThanOrEqual(head?.height ?? 0);
  await expect(page.getByRole('button', { name: 'Undo' })).toBeInViewport();
  await page.getByRole('link', { name: 'keen', exact: true }).click();
  await expect(page.locator('[id="setup.keen"] > summary')).toBeFocused();
});

test('on a narrow screen keys choose a part of the file first, then go to it', async ({
  page,
  bench,
}) => {
  await page.setViewportSize(screens.phone);
  await open(page, bench, 'car');
  const list = page.getByRole('combobox', { name: 'Go to' });
  await list.focus();
  for (let i = 0; i < 4; i++) await page.keyboard.press('ArrowDown');
  await expect(list).toBeFocused();
  await expect(list).toHaveValue('rack');
  await page.getByRole('button', { name: 'Go', exact: true }).press('Enter');
  const heading = page.getByRole('heading', { name: 'Racks' });
  await expect(heading).toBeFocused();
  const bar = await list.boundingBox();
  const at = await heading.boundingBox();
  expect(at?.y ?? 0).toBeGreaterThanOrEqual((bar?.y ?? 0) + (bar?.height ?? 0));
});

for (const [screen, viewport] of Object.entries(screens)) {
  test.describe(screen, () => {
    test.use({ viewport });

    test('tables stay folded or open as they are left, whatever is saved', async ({
      page,
      context,
      bench,
    }) => {
      await open(page, bench, 'car');
      const rack = table(page, 'rack.slow');
      const front = table(page, 'car.front.tyre');
      const wide = screen === 'desktop';
      // On a phone tables begin folded, on a desktop open: either way round.
      await rack.locator('summary').first().click();
      const folded = async () => ((await rack.getAttribute('open')) === null) === wide;
      expect(await folded()).toBe(true);
      if (!wide) await front.locator('summary').first().click();

      // What is being written in one window stays there while another saves the same field.
      const unknown = async (page: Page) => {
        const touch = table(page, 'car.front.tyre_touch');
        if (!wide) await touch.locator('summary').first().click();
        await touch.locator('.unknown > summary').click();
        return writing(page, 'car.front.tyre_touch.left_wheel_right');
      };
      const here = await unknown(page);
      await here.getByRole('textbox').first().fill('42 deg');
      const second = await context.newPage();
      await open(second, bench, 'car');
      const there = await unknown(second);
      await there.getByRole('textbox').first().fill('41 deg');
      await there.getByRole('button', { name: 'Save' }).click();
      // A page behind another draws no frames, after which the focus goes back.
      await page.bringToFront();
      await expect(table(page, 'car.front.tyre_touch')).toContainText(/3 of 4 known/);
      await expect(page.getByText(/Changed in another window/)).toBeVisible();
      await expect(here.getByRole('textbox').first()).toHaveValue('42 deg');
      await expect(here.getByRole('textbox').first()).toBeVisible();
      expect(await folded()).toBe(true);
      await here.getByRole('button', { name: 'Leave as it was' }).click();
      await expect(here.getByRole('button', { name: /Change it/ })).toBeFocused();
      await expect(here).toContainText('41');

      // The window's own save folds nothing either, nor does leaving the view.
      const own = await writing(page, 'car.front.tyre.friction');
      await own.getByRole('textbox').first().fill('0.8 ± 0.1');
      await own.getByRole('button', { name: 'Save' }).click();
      await expect(own.getByRole('button', { name: /Change it/ })).toBeFocused();
      expect(await folded()).toBe(true);
      await page.getByRole('link', { name: 'Weigh it' }).click();
      await page.getByRole('link', { name: 'Car' }).click();
      await expect(rack).toBeVisible();
      expect(await folded()).toBe(true);
    });
  });
}
