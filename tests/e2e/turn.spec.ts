import { check, drag, expect, open, test } from './bench.js';

test('the demo loads and stands straight ahead', async ({ page, bench }) => {
  await open(page, bench, 'turn');
  await expect(page.getByRole('heading', { level: 1 })).toHaveText(/Tern/);
  await expect(page.getByText('straight ahead', { exact: true })).toBeVisible();
});

for (const [way, turned] of [
  ['left', 'right'],
  ['right', 'left'],
] as const) {
  test(`dragged to the lock, the rack to the ${way}, it stands at the limit that check tells`, async ({
    page,
    bench,
  }) => {
    await open(page, bench, 'turn?setup=first-try');
    await drag(page, turned === 'left' ? 760 : -760);
    const binding = check(bench, 'first-try').travel_limits[way].find((limit) => limit.binds);
    expect(binding?.travel).toBeTruthy();
    const side = page.getByRole('table', {
      name: `Limits of the rack's travel to the ${way}`,
    });
    await expect(page.getByText('the hand wheel stands here')).toBeVisible();
    const row = side.locator('[data-binds=true]');
    await expect(row).toHaveAttribute('data-limit', binding?.limit ?? '');
    const text = (await row.innerText()).replace(/\s+/g, ' ');
    const [value, pm] = (binding?.travel?.text ?? '').replace(' mm', '').split(' ± ');
    expect(text).toContain(value);
    expect(text).toContain(`± ${pm}`);
    const shown = ((binding?.travel?.si ?? 0) * 1000).toFixed(1);
    await expect(page.getByText(`Rack ${shown} mm to the ${way}`)).toBeVisible();
  });
}

test('every setup can be chosen, and the drawing follows', async ({ page, bench }) => {
  await open(page, bench, 'turn?setup=works');
  for (const setup of ['first-try', 'calm', 'keen']) {
    await page.getByLabel('Setup', { exact: true }).selectOption(setup);
    await expect(page.getByRole('img', { name: new RegExp(`setup ${setup}`) })).toBeVisible();
  }
});

test('the other handles reach the engine', async ({ page, bench }) => {
  await open(page, bench, 'turn?setup=keen');
  const row = page.getByRole('row', { name: /Camber/ });
  const before = await row.innerText();
  await page.getByLabel('Left wheel up or down', { exact: true }).fill('30');
  await expect(row).not.toHaveText(before);
  const pump = page.getByRole('button', { name: /Pump speed/ });
  const idle = await pump.innerText();
  await page.getByLabel('Engine speed', { exact: true }).fill('3000');
  await expect(pump).not.toHaveText(idle);
  await page.getByLabel('Road speed', { exact: true }).fill('80');
  await expect(page).toHaveURL(/road-speed=22\.2/);
});

test('in space the same linkage is shown, and can be looked at from elsewhere', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'turn?setup=keen');
  await page.getByRole('button', { name: 'In space' }).click();
  const space = page.getByRole('application', { name: /linkage in space/ });
  await expect(space.locator('canvas')).toBeVisible();
  await page.getByLabel('joints by name').check();
  await expect(space.getByText('tie rod outer').first()).toBeVisible();
  const saved = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save the linkage in space as PNG' }).click();
  expect((await saved).suggestedFilename()).toBe('linkage in space, keen.png');
  const before = await space.screenshot();
  await space.focus();
  for (let i = 0; i < 5; i++) await page.keyboard.press('ArrowLeft');
  await page.waitForTimeout(300);
  expect((await space.screenshot()).equals(before)).toBe(false);
});

test('a drawing is saved as SVG and PNG', async ({ page, bench }) => {
  await open(page, bench, 'turn?setup=calm');
  for (const kind of ['SVG', 'PNG']) {
    const saved = page.waitForEvent('download');
    await page.getByRole('button', { name: `Save front axle, calm as ${kind}` }).click();
    expect((await saved).suggestedFilename()).toBe(`front axle, calm.${kind.toLowerCase()}`);
  }
});

test('the ± of the pose come when the hand rests, and say where they are from', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'turn?setup=first-try');
  await drag(page, 150);
  const steer = page.getByRole('button', { name: /^Steer, left wheel/ });
  await expect(steer).toContainText('±');
  await steer.click();
  const dialog = page.getByRole('dialog', { name: 'Where from?' });
  await expect(dialog).toContainText('What makes its ±');
  await dialog
    .getByRole('button', { name: /tie rod outer/ })
    .first()
    .click();
  await expect(page.locator('[id="field car.front.left.tie_rod_outer"] button')).toBeFocused();
});

test('a control valve without its current is told, with its cures', async ({ page, bench }) => {
  bench.run('set', bench.file, 'setup.keen.control_powered', 'false');
  await open(page, bench, 'weigh?setup=keen');
  await expect(page.getByLabel('Control valve without its current')).toContainText(
    'cure: plugged in',
  );
  await page.getByRole('link', { name: 'Choose' }).click();
  const column = await page
    .getByRole('table', { name: /Setups side by side/ })
    .getByRole('columnheader')
    .evaluateAll((heads) => heads.findIndex((head) => head.textContent?.trim() === 'keen'));
  await expect(
    page
      .getByRole('row', { name: /^how it stands/ })
      .getByRole('cell')
      .nth(column),
  ).toContainText('control valve without its current');
});

test('the turning circle at lock is that of check, drawn and in numbers', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'turn?setup=first-try&look=circle');
  await expect(page.getByRole('img', { name: /no turning circle/ })).toBeVisible();
  await page.getByRole('slider', { name: 'Hand wheel' }).press('Home');
  const { results } = check(bench, 'first-try');
  const metres = (key: string) => `${(results[key]?.si ?? 0).toFixed(2)} m`;
  const drawn = page.getByRole('img', { name: /Turning circle from above, setup first-try/ });
  await expect(drawn).toHaveAccessibleName(
    new RegExp(
      `wall to wall ${metres('wall_circle_left')}, kerb to kerb ${metres('kerb_circle_left')}`,
    ),
  );
  for (const way of ['left', 'right']) {
    const figure = page.getByRole('button', { name: `kerb to kerb, ${way} turn` });
    await expect(figure).toContainText(
      results[`kerb_circle_${way}`]?.text?.split(' ± ')[0] ?? 'nothing',
    );
  }
  await page.reload();
  await expect(page.getByRole('button', { name: 'Turning circle', exact: true })).toHaveAttribute(
    'aria-pressed',
    'true',
  );
});
