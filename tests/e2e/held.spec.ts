/** What was read on the car: written down in Car, held against the computed in Weigh. */
import type { Page } from '@playwright/test';
import { check, expect, faultless, inEveryLook, open, read, test, writing } from './bench.js';

/** The section of Weigh that compares. */
const held = (page: Page) =>
  page.getByRole('region', { name: 'Held against what was seen on the car' });
/** Opens what is folded in it: the readings, and what they make known better. */
async function unfold(page: Page) {
  await held(page).waitFor();
  for (const fold of await held(page).locator('summary').all()) await fold.click();
}
const writeDown = (page: Page) =>
  page.getByRole('button', { name: 'Write down what you read on the car' });

test('a reading is written down in Car, and compared in Weigh', async ({ page, bench }) => {
  await open(page, bench, 'weigh?setup=calm');
  await expect(held(page)).toHaveCount(0);
  await writeDown(page).click();
  const table = page.locator('[id="setup.calm.seen"]');
  await expect(table.locator('summary').first()).toContainText(
    'calm: what was read on the car with this setup fitted',
  );
  const row = await writing(page, 'setup.calm.seen.turns');
  await row.getByRole('textbox').first().fill('3.19 ± 0.02 turns');
  await row.getByRole('button', { name: 'Save' }).click();
  // The field is among those known now, and the next Tab goes on from it.
  await expect(row.getByRole('button', { name: /^turns: 3\.19/ })).toBeFocused();
  await expect(table).toContainText(/(^|\D)1 of \d+ known/);
  expect(read(bench)).toMatch(/\[setup\.calm\.seen\]\nturns = "3\.19 ± 0\.02 turns"/);
  await page.getByRole('link', { name: 'Weigh it' }).click();
  await expect(held(page)).toContainText('What was seen agrees with what is computed');
  // The main table comes first, and the readings are folded until they are asked for.
  const lines = held(page).getByRole('row', { name: /^Turns lock to lock/ });
  await expect(lines).toHaveCount(0);
  const main = page.getByRole('heading', { name: 'What the hand wheel weighs' });
  const heights = [await main.boundingBox(), await held(page).boundingBox()].map((at) => at?.y);
  expect(heights[0] ?? NaN).toBeLessThan(heights[1] ?? NaN);
  await unfold(page);
  const line = held(page)
    .getByRole('row', { name: /^Turns lock to lock/ })
    .first();
  await expect(line).toContainText('agrees');
  await expect(line).toContainText('3.190');
  const computed = check(bench, 'calm').results.turns?.text ?? '';
  await expect(line).toContainText(computed.split(' ± ')[0] ?? '?');
});

test('a reading is changed, removed and brought back', async ({ page, bench }) => {
  await open(page, bench, 'car');
  const before = read(bench);
  const row = await writing(page, 'setup.first-try.seen.kerb_pressure');
  await row.getByRole('textbox').first().fill('390 ± 30 psi');
  await row.getByRole('button', { name: 'Save' }).click();
  await expect(row.getByRole('button', { name: /390 ± 30 psi/ })).toBeFocused();
  await row.getByRole('button', { name: /Change it/ }).click();
  await row.getByRole('button', { name: 'Unknown' }).click();
  await expect(page.locator('[id="setup.first-try.seen"]')).toContainText(/(^|\D)2 of \d+ known/);
  for (const expected of [/390 ± 30 psi/, /28 ± 2 bar/]) {
    await page.getByRole('button', { name: 'Undo' }).click();
    await expect(row.getByRole('button', { name: expected })).toBeVisible();
  }
  expect(read(bench)).toBe(before);
  await page.getByRole('button', { name: 'Remove seen' }).click();
  await expect.poll(() => read(bench)).not.toContain('[setup.first-try.seen]');
  // What holds nothing cannot be removed, and is no list to add to.
  await expect(page.getByRole('button', { name: 'Remove seen' })).toHaveCount(0);
  await expect(page.getByRole('button', { name: /Add .*(calm|first-try) seen/ })).toHaveCount(0);
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect.poll(() => read(bench)).toBe(before);
});

test('readings that agree tell what is known better with them', async ({ page, bench }) => {
  await open(page, bench, 'weigh?setup=first-try');
  await unfold(page);
  const counted = held(page).getByRole('table', { name: /^What the readings, counted/ });
  // A pull with the engine off is known better by a luggage scale than by computing.
  await expect(counted.getByRole('row', { name: /^Kerb, assist lost, pull/ })).toContainText('127');
  await expect(counted.getByRole('row', { name: /^the spread of the formulas/ })).toBeVisible();
  await expect(counted.getByRole('row', { name: /lower ball joint/ })).toHaveCount(0);
  await counted.getByRole('button', { name: 'rack · quick · turns' }).click();
  await expect(page.locator('[id="field rack.quick.turns"]')).toBeInViewport();
});

test('one that differs names suspects, and each leads to its field', async ({ page, bench }) => {
  bench.run('set', bench.file, 'setup.calm.seen.kerb_lost_pull', '140 ± 3 N');
  await open(page, bench, 'weigh?setup=calm');
  await unfold(page);
  const line = held(page).getByRole('row', { name: /^Kerb, assist lost/ });
  await expect(line).toContainText('differs');
  await expect(held(page)).toContainText(/1 of 1 differs by more than the ±: Kerb, assist lost/);
  await expect(held(page)).toContainText('Any one of these, if it alone is off, would explain it');
  await expect(held(page).getByRole('table', { name: /counted/ })).toHaveCount(0);
  // A spread of the model is no field.
  const spread = held(page).getByRole('listitem').filter({ hasText: 'spread of the formulas' });
  await expect(spread).toHaveCount(1);
  await expect(spread.getByRole('button')).toHaveCount(0);
  const friction = held(page).getByRole('button', { name: /^car · front · tyre · friction/ });
  await expect(friction).toContainText('in place of 0.90');
  await friction.focus();
  await page.keyboard.press('Enter');
  const field = page.locator('[id="field car.front.tyre.friction"]');
  await expect(field).toBeInViewport();
  await expect(field.getByRole('button', { name: /Change it/ })).toBeFocused();
});

test('where one number cannot explain all, those nearest are named', async ({ page, bench }) => {
  bench.run('set', bench.file, 'setup.first-try.seen.kerb_lost_pull', '190 ± 4 N');
  await open(page, bench, 'weigh?setup=first-try');
  await expect(held(page)).toContainText('No single number of the file explains all of it.');
  const suspects = held(page).getByRole('listitem');
  expect(await suspects.count()).toBeGreaterThan(1);
  expect(await suspects.count()).toBeLessThanOrEqual(6);
  await suspects.getByRole('button', { name: /^car · front · tyre · friction/ }).click();
  await expect(page.locator('[id="field car.front.tyre.friction"]')).toBeInViewport();
});

test('one that no number explains says so', async ({ page, bench }) => {
  bench.run('set', bench.file, 'setup.calm.seen.turns', '6 ± 0.02 turns');
  await open(page, bench, 'weigh?setup=calm');
  await expect(held(page)).toContainText('No single number of the file explains it, even if');
  await expect(held(page).getByRole('listitem')).toHaveCount(0);
  await held(page).getByRole('button', { name: 'Change or add what was read' }).click();
  await expect(page.locator('[id="field setup.calm.seen.turns"]')).toBeInViewport();
});

test('one of which nothing is computed is unknown', async ({ page, bench }) => {
  bench.run('set', bench.file, 'setup.calm.seen.coil_current', '0.8 ± 0.02 A');
  await open(page, bench, 'weigh?setup=calm');
  await unfold(page);
  await expect(held(page).getByRole('row', { name: /^Coil current/ })).toContainText('unknown');
  await expect(held(page)).toContainText('Nothing of this is known by computing yet.');
});

inEveryLook((screen) => {
  for (const pull of ['127 ± 4 N', '170 ± 4 N']) {
    test(`axe finds nothing where ${pull} was seen`, async ({ page, bench }) => {
      bench.run('set', bench.file, 'setup.first-try.seen.kerb_lost_pull', pull);
      await open(page, bench, 'weigh?setup=first-try');
      await held(page).scrollIntoViewIfNeeded();
      await unfold(page);
      await faultless(page, 'section[aria-labelledby="held-against"]');
      const over = await held(page)
        .locator('*')
        .evaluateAll((all) =>
          all
            .filter((at) => at.scrollWidth > at.clientWidth + 1 && at.clientWidth > 1)
            .map((at) => at.outerHTML.slice(0, 120)),
        );
      expect(over, 'nothing in it is wider than its place').toEqual([]);
      if (screen !== 'phone') return;
      const low = await held(page)
        .locator('button, summary')
        .evaluateAll((all) =>
          all.filter((at) => at.getBoundingClientRect().height < 43.5).map((at) => at.textContent),
        );
      expect(low, 'a finger finds everything').toEqual([]);
    });
  }
});
