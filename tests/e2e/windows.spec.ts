import { expect, listen, open, read, test, writing } from './bench.js';

test('two windows see each other and neither loses an edit', async ({
  page,
  context,
  bench,
  expected,
}) => {
  const second = await context.newPage();
  const complaints: string[] = [];
  listen(second, complaints);
  await open(page, bench, 'car');
  await open(second, bench, 'car');

  const row = await writing(page, 'car.wheelbase');
  await row.getByRole('textbox').first().fill('2520 ± 3 mm');
  await row.getByRole('button', { name: 'Save' }).click();
  await expect(second.locator('[id="field car.wheelbase"]')).toContainText('2520');
  await expect(second.getByText(/Changed in another window/)).toBeVisible();

  // Both write the same field: the later is told, with both values.
  expected.push(/409/);
  const here = await writing(page, 'car.rear_track');
  const there = await writing(second, 'car.rear_track');
  await here.getByRole('textbox').first().fill('1390 mm');
  await there.getByRole('textbox').first().fill('1395 mm');
  await there.getByRole('button', { name: 'Save' }).click();
  await expect(there).toContainText('1395');
  await here.getByRole('button', { name: 'Save' }).click();
  const dialog = page.getByRole('dialog', {
    name: 'Changed in another window too',
  });
  await expect(dialog).toContainText('1390 mm');
  await expect(dialog).toContainText('1395 mm');
  expect(read(bench)).toContain('1395 mm');
  await dialog.getByRole('button', { name: 'Put mine in its place' }).click();
  await expect(second.locator('[id="field car.rear_track"]')).toContainText('1390');
  expect(read(bench)).toContain('1390 mm');

  // Different fields do not get in each other's way.
  const a = await writing(page, 'car.front_mass');
  const b = await writing(second, 'car.rear_mass');
  await a.getByRole('textbox').first().fill('600 kg');
  await b.getByRole('textbox').first().fill('510 kg');
  await a.getByRole('button', { name: 'Save' }).click();
  await expect(a).toContainText('600');
  await b.getByRole('button', { name: 'Save' }).click();
  await expect(page.locator('[id="field car.rear_mass"]')).toContainText('510');
  await expect(second.locator('[id="field car.front_mass"]')).toContainText('600');
  expect(complaints).toEqual([]);
});
