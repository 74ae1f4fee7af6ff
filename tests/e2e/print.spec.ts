import { expect, open, read, screens, test, write } from './bench.js';

/** A4 between its margins [CSS px]. */
const paper = { width: 718, height: 1046 };

for (const [name, screen] of Object.entries(screens)) {
  test.describe(`from a ${name}`, () => {
    test.use({ viewport: screen });

    for (const view of [
      'car',
      'turn?setup=first-try&hand-wheel=4',
      'weigh?setup=keen',
      'choose?setup=works',
      'identify',
    ]) {
      test(`${view} prints whole, with nothing to press`, async ({ page, bench }) => {
        await open(page, bench, view);
        await page.waitForTimeout(500);
        const sheets = (await page.pdf({ format: 'A4' })).toString('latin1');
        await page.emulateMedia({ media: 'print' });
        await page.setViewportSize(paper);
        // Folded is what a reader cannot open on paper.
        const folded = await page
          .locator('main details:not([open]) > :not(summary)')
          .evaluateAll((all) =>
            all
              .filter((at) => !at.closest('.screen-only, .unknown'))
              .filter((at) => getComputedStyle(at).display !== 'none' && !at.checkVisibility())
              .map((at) => at.textContent),
          );
        expect(folded).toEqual([]);
        const pressed = await page
          .locator('main :is(.button, .choice, form, input:not(.field))')
          .evaluateAll((all) => all.filter((at) => at.checkVisibility()).map((at) => at.outerHTML));
        expect(pressed).toEqual([]);
        const { width, height } = await page.evaluate(() => ({
          width: document.documentElement.scrollWidth,
          height: document.documentElement.scrollHeight,
        }));
        expect(width, 'nothing runs out of the sheet').toBeLessThanOrEqual(paper.width);
        // No blank sheets: as many as the content fills, and some for what is kept whole.
        const count = sheets.match(/\/Type \/Page\b/g)?.length ?? 0;
        expect(count).toBeGreaterThan(0);
        expect(count).toBeLessThanOrEqual(Math.ceil((1.25 * height) / paper.height) + 1);
      });
    }

    test('Choose prints every setup, and Car every number', async ({ page, bench }) => {
      await open(page, bench, 'choose?setup=works');
      await page.emulateMedia({ media: 'print' });
      await page.setViewportSize(paper);
      await expect(
        page.getByRole('table', { name: /Setups side by side/ }).getByRole('columnheader'),
      ).toHaveText([/works/, /first-try/, /calm/, /keen/]);
      await page.emulateMedia({ media: null });
      await page.setViewportSize(screen);
      await open(page, bench, 'car');
      await page.emulateMedia({ media: 'print' });
      await page.setViewportSize(paper);
      await expect(page.locator('[id="field rack.slow.travel"]')).toBeVisible();
    });
  });
}

test('the names of the weights wrap beside five setups', async ({ page, bench }) => {
  const text = read(bench);
  const keen = /\n\[setup\.keen\]\n(?:[^[].*\n|\n)*/.exec(text)?.[0] ?? '?';
  write(bench, `${text}\n${keen.replace('setup.keen', 'setup.keen-two')}`);
  await open(page, bench, 'weigh?setup=keen');
  await page.emulateMedia({ media: 'print' });
  await page.setViewportSize(paper);
  const rows = page.getByRole('region', { name: 'Weights of all setups' }).locator('tr');
  await expect(rows.first().getByRole('columnheader')).toHaveCount(5);
  const into = await rows.evaluateAll((all) =>
    all.flatMap(({ children: [name, ...cells] }) => {
      if (!name) return [];
      const words = document.createRange();
      words.selectNodeContents(name);
      const numbers = cells.map((cell) => cell.querySelector('.num, .soft') ?? cell);
      const edges = [words, ...numbers].map((at) => at.getBoundingClientRect());
      const runs = edges.some((edge, i) => edge.right > (edges[i + 1]?.left ?? 1e4) + 0.5);
      return runs ? [name.textContent] : [];
    }),
  );
  expect(into).toEqual([]);
});
