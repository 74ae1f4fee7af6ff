import { drag, expect, faultless, inEveryLook, open, screens, test } from './bench.js';

const views = [
  'car',
  'turn?setup=first-try&hand-wheel=4',
  'weigh?setup=keen',
  'choose?setup=works',
];
inEveryLook(() => {
  for (const view of [
    ...views,
    'turn?setup=keen&look=space',
    'turn?setup=keen&hand-wheel=6&look=circle',
  ]) {
    test(`axe finds nothing on ${view}`, async ({ page, bench }) => {
      await open(page, bench, view);
      await page.waitForTimeout(400);
      await faultless(page);
    });
  }
});

test('axe finds nothing on the dialogs', async ({ page, bench }) => {
  await open(page, bench, 'weigh?setup=keen');
  const clean = async () => {
    await faultless(page);
  };
  await page
    .getByRole('button', { name: /Kerb, brake off, dry, keen/ })
    .first()
    .click();
  await expect(page.getByRole('dialog', { name: 'Where from?' })).toContainText('What makes its ±');
  await clean();
  await page.keyboard.press('Escape');
  await page.getByRole('button', { name: 'More', exact: true }).click();
  await clean();
  await page.getByRole('button', { name: 'History' }).click();
  await clean();
});

test('dark by choice, and kept over a reload', async ({ page, bench }) => {
  await open(page, bench, 'turn');
  const paper = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  const light = await paper();
  await page.getByRole('button', { name: 'More', exact: true }).click();
  await page.getByLabel('dark', { exact: true }).check();
  const dark = await paper();
  expect(dark).not.toBe(light);
  await page.reload();
  await page.getByRole('slider', { name: 'Hand wheel' }).waitFor();
  expect(await paper()).toBe(dark);
});

test('a reload keeps view, setup, hand wheel and handles', async ({ page, bench }) => {
  await open(page, bench, 'turn?setup=calm');
  await drag(page, 200);
  await page.getByLabel('Right wheel up or down', { exact: true }).fill('20');
  const rack = page.getByText(/^Rack \d/);
  await expect(page).toHaveURL(/hand-wheel=/);
  await expect(page).toHaveURL(/right=0\.02/);
  const before = await rack.innerText();
  await page.reload();
  await expect(rack).toHaveText(before);
  await expect(page.getByLabel('Setup', { exact: true })).toHaveValue('calm');
});

test('imperial units, everywhere', async ({ page, bench }) => {
  await open(page, bench, 'turn?setup=calm&hand-wheel=3');
  await page.getByRole('button', { name: 'More', exact: true }).click();
  await page.getByLabel('imperial').check();
  await page.keyboard.press('Escape');
  await expect(page.getByText(/^Rack 0\.\d+ in/)).toBeVisible();
  await page.getByRole('link', { name: 'Weigh it' }).click();
  await expect(page.getByRole('table').first()).toContainText('lbf');
});

test('at 768 px each view is one line in the head', async ({ page, bench }) => {
  await page.setViewportSize({ width: 768, height: 1024 });
  await open(page, bench, 'turn');
  for (const link of await page.getByRole('navigation').getByRole('link').all()) {
    const lines = await link.evaluate((at) => {
      const range = document.createRange();
      range.selectNodeContents(at.lastChild ?? at);
      return new Set([...range.getClientRects()].map(({ top }) => Math.round(top))).size;
    });
    expect(lines).toBe(1);
  }
});

test.describe('phone', () => {
  test.use({ viewport: screens.phone, hasTouch: true, isMobile: true });

  test('Choose shows two setups at a time, and no part of it scrolls sideways', async ({
    page,
    bench,
  }) => {
    await open(page, bench, 'choose?setup=works');
    const table = page.getByRole('table', { name: /Setups side by side/ });
    const heads = table.getByRole('columnheader');
    await expect(heads).toHaveText([/works/, /first-try/]);
    await page.getByRole('combobox', { name: 'beside it stands' }).selectOption('keen');
    await expect(heads).toHaveText([/works/, /keen/]);
    await page.getByText(/^What is wished/).click();
    await expect(page.getByRole('textbox', { name: 'cost, at most' })).toBeVisible();
    const scrolls = await page.locator('main *').evaluateAll((all) =>
      all
        .filter((at) => /auto|scroll/.test(getComputedStyle(at).overflowX))
        .filter((at) => at.scrollWidth > at.clientWidth + 1)
        .map((at) => at.getAttribute('aria-label')),
    );
    expect(scrolls).toEqual([]);
    // The names stay in sight under the rows that run by.
    await table.getByRole('rowheader', { name: 'Belt goes on' }).evaluate((row) => {
      row.scrollIntoView({ block: 'center' });
    });
    await expect(heads.last()).toBeInViewport();
  });

  test('Car is folded, and a part is one choice away', async ({ page, bench }) => {
    await open(page, bench, 'car');
    const field = page.locator('[id="field rack.slow.travel"]');
    await expect(field).toBeHidden();
    await page.getByRole('combobox', { name: 'Go to' }).selectOption('rack.slow');
    await expect(field).toBeInViewport();
  });

  for (const view of [...views, 'identify', 'turn?setup=keen&look=space']) {
    test(`a finger finds everything on ${view}`, async ({ page, bench }) => {
      await open(page, bench, view);
      if (view.includes('space')) await page.locator('canvas').waitFor();
      const low = await page
        .locator('main :is(button, select, summary, input)')
        .evaluateAll((all) =>
          all
            .map((at) => at.closest('label') ?? at)
            .filter((at) => at.checkVisibility() && at.getBoundingClientRect().height < 43.5)
            .map((at) => `${at.getAttribute('aria-label') ?? at.textContent}`),
        );
      expect(low).toEqual([]);
    });
  }
  test('the hand wheel stays where it first shows, however late the answers', async ({
    page,
    bench,
  }) => {
    await page.route('**/api/turn?*', async (route) => {
      await page.waitForTimeout(300);
      await route.continue();
    });
    await open(page, bench, 'turn?setup=calm');
    const wheel = page.getByRole('slider', { name: 'Hand wheel' });
    const first = await wheel.boundingBox();
    await expect(page.getByRole('img', { name: /Front axle from above/ })).toBeVisible();
    await page.waitForTimeout(700);
    expect(await wheel.boundingBox()).toEqual(first);
  });
  test('the read-outs come with the drawing, not before it', async ({ page, bench }) => {
    await page.route('**/api/turn?*', async (route) => {
      await page.waitForTimeout(300);
      await route.continue();
    });
    await page.goto(`${bench.url}/#/turn?setup=calm`);
    const aside = page.getByRole('complementary', { name: 'Read-outs' });
    await aside.waitFor();
    const first = await aside.evaluate((at) => at.getBoundingClientRect().top);
    await page.waitForTimeout(900);
    expect(await aside.evaluate((at) => at.getBoundingClientRect().top)).toBe(first);
  });
  test('the turn count stands above the views, and the way back is pressed there', async ({
    page,
    bench,
  }) => {
    await open(page, bench, 'turn?setup=first-try&hand-wheel=4');
    const bar = (await page.getByRole('navigation').boundingBox())?.y ?? 0;
    const count = page.getByText('0.64 turns to the left');
    const back = page.getByRole('button', { name: 'straight ahead' });
    for (const at of [count, back]) {
      const box = await at.boundingBox();
      expect((box?.y ?? 1e9) + (box?.height ?? 0)).toBeLessThanOrEqual(bar);
    }
    await back.click();
    await expect(page.getByText('straight ahead', { exact: true })).toBeVisible();
  });
  test('nothing of the drawing lies on the name of the scale', async ({ page, bench }) => {
    await open(page, bench, 'turn?setup=first-try');
    const name = await page.getByText(/^\s*rack travel, mm\s*$/).boundingBox();
    const marks = await page.locator('.obstacle, .gap').all();
    expect(marks.length).toBeGreaterThan(0);
    for (const mark of marks) {
      const box = await mark.boundingBox();
      if (!box || !name) throw new Error('not drawn');
      const apart =
        box.x > name.x + name.width ||
        box.x + box.width < name.x ||
        box.y > name.y + name.height ||
        box.y + box.height < name.y;
      expect(apart).toBe(true);
    }
  });
  test('the hand wheel turns under a finger, and targets are big', async ({ page, bench }) => {
    await open(page, bench, 'turn?setup=calm');
    const wheel = page.getByRole('slider', { name: 'Hand wheel' });
    const box = await wheel.boundingBox();
    expect(box?.width).toBeGreaterThan(180);
    const session = await page.context().newCDPSession(page);
    const { x, y, width } = box ?? { x: 0, y: 0, width: 0 };
    const at = (angle: number) => ({
      x: x + width / 2 - 80 * Math.sin(angle),
      y: y + width / 2 - 80 * Math.cos(angle),
    });
    const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', angle: number) =>
      session.send('Input.dispatchTouchEvent', {
        type,
        touchPoints: type === 'touchEnd' ? [] : [at(angle)],
      });
    await touch('touchStart', 0);
    for (let i = 1; i <= 12; i++) await touch('touchMove', i * 0.12);
    await touch('touchEnd', 0);
    await expect(page.getByText(/0\.2\d turns to the left/)).toBeVisible();
    for (const link of await page.getByRole('navigation').getByRole('link').all()) {
      const size = await link.boundingBox();
      expect(size?.height).toBeGreaterThanOrEqual(44);
    }
  });
});
