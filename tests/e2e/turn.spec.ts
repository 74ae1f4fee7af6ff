import { readFileSync, rmSync } from 'node:fs';
import { check, drag, expect, open, screens, test } from './bench.js';

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
    // The rack's way and the turn are told together, since here they are not the same.
    const turn = turned === 'left' ? 'Left' : 'Right';
    await expect(page.getByText(new RegExp(`^${turn} turn\\s+Rack`))).toBeVisible();
    await expect(
      page.getByRole('heading', { name: `${turn} turn (rack to the ${way})` }),
    ).toBeVisible();
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
  await page.getByLabel('Speed the control valve is told', { exact: true }).fill('80');
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
  // The picture stands on the sheet and has its title in it.
  const picture = readFileSync(await (await saved).path()).toString('base64');
  const dots = await page.evaluate(async (text) => {
    const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
    const image = await createImageBitmap(new Blob([bytes]));
    const pen = new OffscreenCanvas(image.width, image.height).getContext('2d');
    pen?.drawImage(image, 0, 0);
    const { data } = pen?.getImageData(12, 12, 90, 18) ?? { data: [] };
    const all = Array.from({ length: data.length / 4 }, (_, i) => data.slice(4 * i, 4 * i + 4));
    return {
      sheet: [...(pen?.getImageData(2, 2, 1, 1).data ?? [])],
      title: all.filter(([red = 0, , , opaque]) => red < 90 && opaque === 255).length,
    };
  }, picture);
  expect(dots.sheet).toEqual([252, 250, 245, 255]);
  expect(dots.title).toBeGreaterThan(40);
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

test('words stay readable in a saved drawing', async ({ page, bench }) => {
  await open(page, bench, 'turn?setup=first-try&hand-wheel=4');
  const saved = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save front axle, first-try as SVG' }).click();
  const drawing = readFileSync(await (await saved).path(), 'utf8');
  // The rim of the sheet lies behind the letters, not over them.
  const rimmed = [...drawing.matchAll(/<text[^>]*stroke-width="[34]px"[^>]*>/g)].map(
    ([tag]) => tag,
  );
  expect(rimmed.length).toBeGreaterThan(5);
  for (const tag of rimmed) expect(tag).toContain('paint-order="stroke"');
});

test('a saved chart says of which car and setup it is, on a phone with its key', async ({
  page,
  bench,
}) => {
  const chart = async () => {
    await open(page, bench, 'weigh?setup=keen');
    const saved = page.waitForEvent('download');
    await page.getByRole('button', { name: /^Save at the kerb.* as SVG/ }).click();
    return readFileSync(await (await saved).path(), 'utf8');
  };
  const title = />Tern · at the kerb, [^<]*keen</;
  expect(await chart()).toMatch(title);
  await page.setViewportSize(screens.phone);
  const narrow = await chart();
  expect(narrow).toMatch(title);
  expect(narrow).toMatch(/>first-try</);
  expect(narrow).not.toContain('display="none"');
});

test('what runs out first is told by weight and sign, red only where it is exceeded', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'turn?setup=first-try');
  const { left, right } = check(bench, 'first-try').travel_limits;
  const first = (limits: typeof left) => limits.find(({ binds }) => binds);
  expect(first(left)?.status).toBe('close');
  expect(first(right)?.status).toBe('exceeded');
  const drawing = page.getByRole('img', { name: /Front axle from above/ });
  const fine = drawing.getByText('▶ last full tooth', { exact: true });
  const over = drawing.getByText('✗ ▶ last full tooth', { exact: true });
  const colour = (of: typeof fine) => of.evaluate((at) => getComputedStyle(at).fill);
  const ink = await page.evaluate(() => getComputedStyle(document.body).color);
  expect(await colour(fine)).toBe(ink);
  expect(await colour(over)).not.toBe(ink);
  const row = page.locator('tr[data-binds=true] th').first();
  expect(await row.evaluate((at) => getComputedStyle(at).color)).toBe(ink);
});

test("no setup's name stands over another's numbers while the engine works", async ({
  page,
  bench,
}) => {
  await open(page, bench, 'turn?setup=first-try&hand-wheel=4');
  let letGo = () => {};
  const held = new Promise<void>((done) => (letGo = done));
  await page.route(/api\/turn\?.*setup=calm/, async (route) => {
    await held;
    await route.continue();
  });
  await page.getByLabel('Setup', { exact: true }).selectOption('calm');
  await expect(page.getByText('calm is being worked out')).toBeVisible();
  await expect(page.getByText(/^Rack \d/)).toBeHidden();
  await expect(page.getByRole('img', { name: /setup first-try/ })).toContainText(
    'Tern · first-try',
  );
  letGo();
  await expect(page.getByRole('img', { name: /setup calm/ })).toContainText('Tern · calm');
  await expect(page.getByText('is being worked out')).toBeHidden();
  await expect(page.getByText(/^Rack \d/)).toBeVisible();
});

test('a file in which nothing is known opens on the car, and Turn it and Weigh it say what to measure', async ({
  page,
  bench,
  expected,
}) => {
  // The rack's ratio is not known, which the engine is asked to find out.
  expected.push(/422/);
  rmSync(bench.file);
  bench.run('new', bench.file);
  await expect
    .poll(async () => (await page.request.get(`${bench.url}/api/document`)).text())
    .toContain('my car');
  await page.goto(bench.url);
  await expect(page).toHaveURL(/#\/car$/);
  await expect(page.getByRole('heading', { name: 'The car' })).toBeVisible();
  await page.getByRole('link', { name: 'Turn it' }).click();
  await expect(page.getByRole('heading', { name: /Measure next/ })).toBeVisible();
  // The hand wheel leaves the scale free.
  const scale = await page.getByText('0', { exact: true }).boundingBox();
  const wheel = await page.getByRole('slider', { name: 'Hand wheel' }).boundingBox();
  expect(wheel?.y).toBeGreaterThan((scale?.y ?? 1e9) + (scale?.height ?? 0));
  await page.getByRole('link', { name: 'Weigh it' }).click();
  await expect(page.getByRole('heading', { name: 'What the hand wheel weighs' })).toBeVisible();
  await expect(page.getByRole('heading', { name: /Measure next/ })).toBeVisible();
  await page.getByRole('button', { name: /rack · works · travel/ }).click();
  await expect(page).toHaveURL(/#\/car/);
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

test('beside the speed that the control valve is told, the weight is said to be a standing one', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'turn?setup=keen');
  await expect(
    page.getByRole('heading', { name: 'Standing on dry ground, turned on from here', exact: true }),
  ).toBeVisible();
  await page.getByLabel('Speed the control valve is told', { exact: true }).fill('110');
  await expect(
    page.getByRole('heading', {
      name: 'Standing on dry ground, the control valve driven as at 110 km/h, engine idling, turned on from here',
    }),
  ).toBeVisible();
  await page.getByLabel('Engine speed', { exact: true }).fill('3000');
  await expect(page.getByRole('heading', { name: /engine at 3000 rpm/ })).toBeVisible();
  // Without a control valve the speed does nothing here, and is not asked for.
  await page.getByLabel('Setup', { exact: true }).selectOption('calm');
  await expect(page.getByRole('img', { name: /setup calm/ })).toBeVisible();
  await expect(page.getByLabel('Speed the control valve is told', { exact: true })).toHaveCount(0);
  await expect(page.getByRole('heading', { name: /^Standing/ })).not.toContainText('110');
});

test('a handle that is let go stands where the file says', async ({ page, bench }) => {
  await open(page, bench, 'turn?setup=keen');
  for (const [name, rests, next] of [
    ['Engine speed', '850', '900 rpm'],
    ['Oil temperature', '60', '61 °C'],
    ['Left wheel up or down', '0', '1.0 mm'],
    ['Speed the control valve is told', '0', '1 km/h'],
  ] as const) {
    const handle = page.getByLabel(name, { exact: true });
    await expect(handle).toHaveValue(rests);
    await handle.press('ArrowRight');
    await expect(handle).toHaveAttribute('aria-valuetext', next);
  }
});

test('a read-out without a ± does not say that nothing behind it has one', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'turn?setup=keen&hand-wheel=1');
  const none = 'No input behind it states a ±.';
  const dialog = page.getByRole('dialog', { name: 'Where from?' });
  await expect(page.getByRole('button', { name: /^Torque, turned on to the left/ })).toContainText(
    '±',
  );
  for (const name of ['Torque', 'Pull at the rim', 'Oil pressure', 'Oil delivered']) {
    await page.getByRole('button', { name: `${name}, turned on to the left` }).click();
    await expect(dialog).toContainText('What makes its ±');
    await expect(dialog).not.toContainText(none);
    await page.keyboard.press('Escape');
  }
});

test('a control valve without its current is told beside what it weighs on Turn it', async ({
  page,
  bench,
}) => {
  bench.run('set', bench.file, 'setup.keen.control_powered', 'false');
  await open(page, bench, 'turn?setup=keen');
  await expect(page.getByLabel('Control valves short of current')).toContainText(
    'cure: plugged in',
  );
  await page.getByLabel('Setup', { exact: true }).selectOption('calm');
  await expect(page.getByLabel('Control valves short of current')).toHaveCount(0);
});

test('a control valve without its current is told, with its cures', async ({ page, bench }) => {
  bench.run('set', bench.file, 'setup.keen.control_powered', 'false');
  await open(page, bench, 'weigh?setup=keen');
  await expect(page.getByLabel('Control valves short of current')).toContainText(
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
  ).toContainText('control valve short of current');
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

test.describe('on a phone', () => {
  test.use({ viewport: screens.phone, hasTouch: true });
  test('all that is pressed is as large as a finger needs it', async ({ page, bench }) => {
    for (const route of ['turn?setup=keen&hand-wheel=1&road-speed=30', 'choose?setup=calm']) {
      await open(page, bench, route);
      const buttons = page.getByRole('button');
      await expect(buttons.filter({ visible: true }).first()).toBeVisible();
      const small = await buttons.evaluateAll((all) =>
        all
          .filter((at) => {
            const { width, height } = at.getBoundingClientRect();
            return width > 0 && (width < 43.9 || height < 43.9);
          })
          .map((at) => at.getAttribute('aria-label') ?? at.textContent),
      );
      expect(small).toEqual([]);
    }
  });
});
