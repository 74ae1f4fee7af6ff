/** What fits what, in the Choose view. */
import { expect, faultless, inEveryLook, open, test } from './bench.js';

test('faces that differ are named with what cures them', async ({ page, bench }) => {
  await open(page, bench, 'choose?setup=first-try');
  const together = page.getByRole('region', { name: 'What fits what, first-try' });
  const pinion = together.getByRole('listitem').filter({ hasText: 'pinion:' });
  await expect(pinion).toContainText('fits with adapter');
  await expect(pinion).toContainText('splines: 36 on car, 40 on rack quick');
  await expect(pinion).toContainText('cure: adapter coupler (machined, price 55.00');
  const pulley = together.getByRole('listitem').filter({ hasText: 'pulley · middle' }).first();
  await expect(pulley).toContainText('differs');
  await expect(pulley).toContainText('ribs: 6 on car, 5 on pulley middle');
  await expect(together.getByRole('heading', { name: 'Needed' })).toBeVisible();
  await expect(together).toContainText('travel stops that act sooner');
  const table = page.getByRole('table', { name: /Setups side by side/ });
  await expect(table.getByRole('row', { name: /^faces that meet/ })).toContainText('belt');
  const standing = table.getByRole('row', { name: /^how it stands/ });
  await expect(standing).toContainText('what was bolted together first');
  await expect(standing.getByText('✗ does not go together')).toHaveCount(1);
  await expect(page.getByRole('region', { name: 'Mind' })).toContainText('licensed inspector');
});

test('a name leads to its face, and mending it there mends the setup', async ({ page, bench }) => {
  await open(page, bench, 'choose?setup=first-try');
  const together = page.getByRole('region', { name: /What fits what/ });
  await together
    .getByRole('listitem')
    .filter({ hasText: 'ribs: 6 on car' })
    .getByRole('button', { name: 'pulley · middle' })
    .click();
  await expect(page.locator('[id="field pulley.middle.face[0].at"]')).toBeInViewport();
  bench.run('set', bench.file, 'pulley.middle.face[0].ribs', '6');
  await open(page, bench, 'choose?setup=first-try');
  await expect(together.getByText('differs', { exact: true })).toHaveCount(0);
  await expect(page.getByText('✗ does not go together')).toHaveCount(0);
});

test('a setup says what it lacks, and where that is written', async ({ page, bench }) => {
  bench.run('set', bench.file, 'setup.calm.pulley', '');
  await open(page, bench, 'choose?setup=calm');
  const together = page.getByRole('region', { name: /What fits what/ });
  await expect(together).toContainText('a pulley for pump middle');
  await together.getByRole('button', { name: 'show setup · calm · pulley' }).click();
  await expect(page.locator('[id="field setup.calm.pulley"]')).toBeInViewport();
});

inEveryLook(() => {
  test('axe finds nothing, and nothing runs out sideways', async ({ page, bench }) => {
    await open(page, bench, 'choose?setup=first-try');
    await page.getByRole('region', { name: /What fits what/ }).scrollIntoViewIfNeeded();
    await faultless(page);
  });
});
