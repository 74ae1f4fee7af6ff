import { expect, faultless, open, read, test } from './bench.js';

interface Riddle {
  name: string;
  settled: boolean;
  answer: string | null;
  variants: { name: string; text: string }[];
  next: { feature: string; ask: string }[];
}
const solved = (text: string, name: string) => {
  const riddle = (JSON.parse(text) as { riddles: Riddle[] }).riddles.find((r) => r.name === name);
  if (!riddle) throw new Error(`no riddle ${name}`);
  return riddle;
};

test('the numbers are those of the command line', async ({ page, bench }) => {
  await open(page, bench, 'identify');
  const rack = solved(bench.run('identify', bench.file, '--json'), 'bench-rack');
  const article = page.getByRole('article', { name: 'which rack lies on the bench?' });
  for (const { name, text } of rack.variants) {
    await expect(
      article
        .getByRole('list', { name: 'How likely' })
        .getByRole('listitem')
        .filter({ hasText: name })
        .first(),
    ).toContainText(text);
  }
  await expect(article.getByRole('heading', { name: rack.next[0]?.ask })).toBeVisible();
  await expect(article).toContainText('tag: blue was seen, but slow shows green');
  await expect(article).toContainText('✗ wait');
  await expect(article).toContainText('✓ safe to order');
});

test('a measured answer settles it, fills the setup, and is taken back', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'identify');
  const article = page.getByRole('article', { name: 'which rack lies on the bench?' });
  await article.getByLabel('reading').fill('24.05');
  await article.getByLabel('±, 95 % sure').fill('0.1');
  await article.getByRole('button', { name: 'That is it' }).click();
  await expect(article.getByRole('status')).toContainText('settled: it is slow');
  expect(read(bench)).toContain('length = "24.05 ± 0.1 mm"');
  await article.getByLabel('Setup', { exact: true }).selectOption('first-try');
  await article.getByRole('button', { name: 'Fit rack slow in place of quick' }).click();
  await expect(article).toContainText('It has rack slow.');
  expect(read(bench)).toMatch(/\[setup\.first-try\][^[]*rack = "slow"/);
  await article.getByRole('button', { name: 'Take back: rod' }).click();
  await expect(article.getByRole('status')).toContainText('not settled');
  expect(read(bench)).not.toContain('24.05');
});

test('an answer that is refused is said at its field, until one is taken', async ({
  page,
  bench,
  expected,
}) => {
  expected.push(/422/);
  await open(page, bench, 'identify');
  const article = page.getByRole('article', { name: 'which rack lies on the bench?' });
  const reading = article.getByLabel('reading');
  await reading.fill('24,1');
  await article.getByRole('button', { name: 'That is it' }).click();
  await expect(article.getByRole('alert')).toContainText('24,1');
  await expect(reading).toHaveAttribute('aria-invalid', 'true');
  await expect(reading).toHaveAccessibleDescription(/24,1/);
  // Said there, and nowhere else.
  await expect(page.getByText(/24,1/)).toHaveCount(1);
  await reading.fill('24.1');
  await article.getByRole('button', { name: 'That is it' }).click();
  await expect(article.getByRole('listitem').filter({ hasText: 'rod: 24.1' })).toBeVisible();
  await expect(article.getByRole('alert')).toHaveCount(0);
});

test('words, counts and doubt; another question than the best', async ({ page, bench }) => {
  await open(page, bench, 'identify');
  const article = page.getByRole('article', { name: 'which rack lies on the bench?' });
  for (const name of ['Take back: splines 36', 'Take back: tag blue', 'Take back: ports yes']) {
    await article.getByRole('button', { name }).click();
    await expect(article.getByRole('button', { name })).toHaveCount(0);
  }
  await article.getByRole('button', { name: /What colour/ }).click();
  await article.getByLabel(/I could not see it well/).check();
  await article.getByRole('button', { name: 'green', exact: true }).click();
  await expect(article).toContainText('tag: green');
  expect(read(bench)).toContain('wrong = "30 %"');
  await article.getByRole('button', { name: /How many splines/ }).click();
  await article.getByLabel('something else').fill('17');
  await article.getByRole('button', { name: 'That is it' }).click();
  await expect(article).toContainText('splines: 17 was seen, which no variant shows');
  await expect(article.getByRole('heading', { name: /two oil ports/ })).toBeVisible();
  await article.getByRole('button', { name: 'No', exact: true }).click();
  await expect(article).toContainText('ports: no');
});

test('by keyboard alone', async ({ page, bench }) => {
  await open(page, bench, 'turn');
  await page.getByRole('link', { name: 'Identify' }).focus();
  await page.keyboard.press('Enter');
  const reading = page.getByLabel('reading');
  await reading.waitFor();
  await reading.focus();
  await page.keyboard.type('25.0');
  await page.keyboard.press('Tab');
  await page.keyboard.type('0.1');
  await page.keyboard.press('Enter');
  await expect(page.getByRole('status').first()).toContainText('settled: it is quick');
});

test.describe('a file without riddles', () => {
  test.use({ example: 'light-van.toml' });
  test('says how to begin', async ({ page, bench }) => {
    await open(page, bench, 'identify');
    await page.getByRole('button', { name: 'Begin on the Car view' }).click();
    await expect(page).toHaveURL(/#\/car/);
  });
});

for (const colorScheme of ['light', 'dark'] as const) {
  for (const viewport of [
    { width: 1440, height: 900 },
    { width: 390, height: 844 },
  ]) {
    test.describe(`${colorScheme}, ${viewport.width}`, () => {
      test.use({ colorScheme, viewport, hasTouch: viewport.width < 720 });
      test('axe finds nothing, targets are big, nothing runs out sideways', async ({
        page,
        bench,
      }) => {
        await open(page, bench, 'identify');
        await page.waitForTimeout(300);
        await faultless(page);
        for (const button of await page.getByRole('article').getByRole('button').all()) {
          const box = await button.boundingBox();
          expect(box?.height, await button.innerText()).toBeGreaterThanOrEqual(
            viewport.width < 720 ? 44 : 32,
          );
        }
        if (process.env.LOOK) {
          await page.screenshot({
            path: `${process.env.LOOK}/identify-${viewport.width}-${colorScheme}.png`,
            fullPage: true,
          });
        }
      });
    });
  }
}
