import { expect, open, read, test } from './bench.js';

test('everything by keyboard alone', async ({ page, bench }) => {
  await open(page, bench, 'turn?setup=calm');
  const press = (key: string) => page.keyboard.press(key);
  const reach = async (name: RegExp, backwards = false) => {
    for (let i = 0; i < 400; i++) {
      await press(backwards ? 'Shift+Tab' : 'Tab');
      const here = await page.evaluate(() => {
        const element = document.activeElement;
        return element?.getAttribute('aria-label') ?? element?.textContent ?? '';
      });
      if (name.test(here.trim())) return;
    }
    throw new Error(`${name} cannot be reached by Tab`);
  };

  await press('Tab');
  await expect(page.getByRole('link', { name: 'Skip to the content' })).toBeFocused();
  await press('Enter');
  await expect(page.locator('main')).toBeFocused();

  await reach(/^Hand wheel$/);
  for (let i = 0; i < 6; i++) await press('ArrowLeft');
  await expect(page.getByText('0.08 turns to the left')).toBeVisible();
  await press('Home');
  await expect(page.getByText('the hand wheel stands here')).toBeVisible();
  await press('0');
  await expect(page.getByText('straight ahead', { exact: true })).toBeVisible();
  const ring = await page
    .getByRole('slider', { name: 'Hand wheel' })
    .evaluate((element) => getComputedStyle(element).outlineStyle);
  expect(ring).toBe('solid');

  await reach(/^Car$/, true);
  await press('Enter');
  await reach(/^wheelbase: /);
  await press('Enter');
  await page.keyboard.type('2530 ± 2 mm');
  await press('Enter');
  await expect(page.locator('[id="field car.wheelbase"]')).toContainText('2530');
  await expect(page.getByRole('button', { name: /^wheelbase: / })).toBeFocused();
  expect(read(bench)).toContain('2530 ± 2 mm');
  await press('Control+z');
  await expect(page.locator('[id="field car.wheelbase"]')).toContainText('2515');

  await reach(/^Choose$/, true);
  await press('Enter');
  await expect(page.getByRole('table', { name: /Setups side by side/ })).toBeVisible();
  await reach(/Turns lock to lock/);
  await press('Enter');
  const dialog = page.getByRole('dialog', { name: 'Where from?' });
  await expect(dialog).toBeVisible();
  await press('Escape');
  await expect(dialog).toHaveCount(0);
});
