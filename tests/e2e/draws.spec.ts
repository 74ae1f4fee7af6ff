/** Weigh it draws a setup many times over the ± of its numbers. */
import type { Page } from '@playwright/test';
import { expect, faultless, inEveryLook, open, test } from './bench.js';

const draws = (page: Page) => page.getByRole('region', { name: 'Does it hold all over the ±?' });
const button = (page: Page) => draws(page).getByRole('button', { name: 'Try it 2000 times' });
const draw = (page: Page) => button(page).click();

test('tells as many exceeded as the command line, until the file changes', async ({
  page,
  bench,
}) => {
  const { setups } = JSON.parse(
    bench.run('check', bench.file, '--setup', 'keen', '--draws', '2000', '--json'),
  ) as { setups: { drawn: { exceeded: { name: string; text: string }[] } }[] };
  await open(page, bench, 'weigh?setup=keen');
  await draw(page);
  const items = draws(page).getByRole('listitem');
  await expect(items.first()).toBeVisible({ timeout: 20_000 });
  const exceeded = setups[0]?.drawn.exceeded ?? [];
  expect(exceeded.length).toBeGreaterThan(3);
  // The names say what shall hold ("Belt does not slip"), so that the head says that they fail.
  await expect(
    draws(page).getByRole('heading', { name: 'Fails in so many of 2000 cars' }),
  ).toBeVisible();
  await expect(items).toHaveText(exceeded.map(({ name, text }) => `${text} ${name}`));
  await expect(draws(page)).toContainText(
    'With the rack to the left it runs out first at: housing stop',
  );
  // What was drawn holds for the file as it was.
  bench.run('set', bench.file, 'car.front_mass', '640 ± 10 kg');
  await expect(items).toHaveCount(0);
  await expect(button(page)).toBeEnabled();
});

test('a setup in which nothing is exceeded says so', async ({ page, bench }) => {
  await open(page, bench, 'weigh?setup=works');
  await draw(page);
  await expect(draws(page)).toContainText(
    'No limit that is known is exceeded in any of the 2000.',
    {
      timeout: 20_000,
    },
  );
});

inEveryLook((screen, colorScheme) => {
  test('axe finds nothing on what was drawn', async ({ page, bench }) => {
    await open(page, bench, 'weigh?setup=keen');
    await draw(page);
    await expect(draws(page).getByRole('table')).toBeVisible({ timeout: 20_000 });
    await draws(page).scrollIntoViewIfNeeded();
    await faultless(page, 'section[aria-labelledby="draws"]');
    if (process.env.LOOK) {
      await draws(page).screenshot({
        path: `${process.env.LOOK}/draws-${screen}-${colorScheme}.png`,
      });
    }
  });
});
