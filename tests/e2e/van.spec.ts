import { check, drag, expect, open, test, writing } from './bench.js';

test.use({ example: 'light-van.toml' });

test('a car known by turn plates only: angles without places, and what to measure next', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'turn?setup=now');
  await expect(page.getByText(/where the wheels stand is not known/)).toBeVisible();
  await expect(page.getByRole('button', { name: 'In space' })).toBeDisabled();
  await drag(page, 760);
  const binding = check(bench, 'now').travel_limits.left.find((limit) => limit.binds);
  await expect(page.getByText('the hand wheel stands here')).toBeVisible();
  const shown = ((binding?.travel?.si ?? 0) * 1000).toFixed(1);
  await expect(page.getByText(new RegExp(`^Rack ${shown} mm to the`))).toBeVisible();

  await page.getByRole('link', { name: 'Weigh it' }).click();
  await expect(page.getByRole('heading', { name: 'What the hand wheel weighs' })).toBeVisible();
  await page.getByRole('link', { name: 'Car' }).click();
  await expect(page.getByRole('heading', { name: /Measure next/ })).toBeVisible();
  const row = await writing(page, 'car.body_width');
  await row.getByRole('textbox').first().fill('1.7 m ± 5 mm');
  await row.getByRole('button', { name: 'Save' }).click();
  await expect(row).toContainText('1.7');
});
