import { expect, test } from './bench.js';

test.use({ serverFlags: ['--lan'] });

// A browser on this machine needs no pairing, so the session is made to say that it is a phone.
test('a phone that is not yet let in is asked for the code', async ({ page, bench, expected }) => {
  expected.push(/40[13]|429/);
  let paired = false;
  await page.route('**/api/session', (route) =>
    route.fulfill({ json: { title: 'x', version: 'x', lan: true, paired } }),
  );
  await page.goto(bench.url);
  await page.getByLabel('Pairing code').fill('00000000');
  const asked = page.waitForRequest((request) => request.url().endsWith('/api/pair'));
  await page.getByRole('button', { name: 'Let this device in' }).click();
  expect((await asked).postDataJSON()).toEqual({ code: '00000000' });
  await expect(page.getByRole('alert')).not.toBeEmpty();

  await page.route('**/api/pair', (route) => {
    paired = true;
    return route.fulfill({ json: {} });
  });
  await page.getByRole('button', { name: 'Let this device in' }).click();
  await expect(page.getByRole('slider', { name: 'Hand wheel' })).toBeVisible();
});

test('the code in the address lets a phone in by itself, and does not stay there', async ({
  page,
  bench,
}) => {
  let paired = false;
  await page.route('**/api/session', (route) =>
    route.fulfill({ json: { title: 'x', version: 'x', lan: true, paired } }),
  );
  await page.route('**/api/pair', (route) => {
    expect(route.request().postDataJSON()).toEqual({ code: '12345678' });
    paired = true;
    return route.fulfill({ json: {} });
  });
  await page.goto(`${bench.url}/#code=12345678`);
  await expect(page.getByRole('slider', { name: 'Hand wheel' })).toBeVisible();
  expect(page.url()).not.toContain('12345678');
});
