/** Choose: setups side by side. */
import { expect, open, test } from './bench.js';

test('where one comes back from a field, Choose is as it was left', async ({ page, bench }) => {
  await open(page, bench, 'choose?setup=first-try');
  await page.getByLabel('every result').check();
  const link = page
    .getByRole('region', { name: /^What fits what/ })
    .getByRole('button', { name: /^show / })
    .last();
  await link.scrollIntoViewIfNeeded();
  const before = await page.evaluate(() => scrollY);
  expect(before).toBeGreaterThan(800);
  await link.click();
  await expect(page).toHaveURL(/#\/car/);
  await page.goBack();
  await expect(link).toBeInViewport();
  await expect(page.getByLabel('every result')).toBeChecked();
  await expect.poll(() => page.evaluate(() => scrollY)).toBeGreaterThan(before - 100);
});

test('a limit whose name says what shall hold fails, and is not exceeded', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'choose?setup=first-try');
  const limits = page.getByRole('table', { name: /Setups side by side/ });
  const row = limits.getByRole('row', { name: /^Pump not over-driven/ });
  await expect(row).toContainText('fails');
  await expect(row).not.toContainText('exceeded');
  await expect(limits).toContainText('✗ 5 fail');
  await expect(limits.getByRole('row', { name: /^needed/ })).toContainText('shorter travel stops');
  await expect(page.getByText('a: leans on a number marked typical or guess.')).toBeVisible();
});

test('which turn a way of the rack makes is said as the command line says it', async ({
  page,
  bench,
}) => {
  const said = bench.run('check', bench.file, '--setup', 'calm');
  await open(page, bench, 'choose?setup=calm');
  const table = page.getByRole('table', { name: /Setups side by side/ });
  for (const rack of ['left', 'right']) {
    const turn = new RegExp(`rack to the ${rack} \\((\\w+) turn\\)`).exec(said)?.[1];
    await expect(
      table.getByRole('rowheader', { name: `${turn} turn (rack to the ${rack})` }),
    ).toBeVisible();
  }
});

test('the base is marked where the changes are against it, not before', async ({ page, bench }) => {
  await open(page, bench, 'choose?setup=keen');
  const table = page.getByRole('table', { name: /Setups side by side/ });
  const marked = table.getByRole('columnheader').filter({ hasText: /base$/ });
  await expect(marked).toHaveText(/keen/);
  let letGo = () => {};
  const held = new Promise<void>((done) => (letGo = done));
  await page.route(/api\/compare\?.*base=calm/, async (route) => {
    await held;
    await route.continue();
  });
  await page.getByLabel('Compare with').selectOption('calm');
  await expect(page).toHaveURL(/setup=calm/);
  await expect(marked).toHaveText(/keen/);
  letGo();
  await expect(marked).toHaveText(/calm/);
});
