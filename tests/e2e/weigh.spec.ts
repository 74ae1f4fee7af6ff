/** Weigh it tells the worst first, and of what each weight is made. */
import type { Page } from '@playwright/test';
import {
  type Bench,
  expect,
  faultless,
  inEveryLook,
  open,
  read,
  screens,
  test,
  write,
} from './bench.js';

const made = (page: Page) => page.getByRole('region', { name: /^Of what the weights are made/ });
const pick = (page: Page) => made(page).getByRole('combobox');
const chart = (page: Page, title: string) =>
  page.getByRole('figure').filter({ has: page.getByRole('heading', { name: title, exact: true }) });
const kerb = 'At the kerb, turned to the left';
const road = 'On the road, turned in';
const weights = (page: Page) => page.getByRole('region', { name: 'Weights of all setups' });
const whereFrom = (page: Page) => page.getByRole('dialog', { name: 'Where from?' });

interface Weighed {
  breakdown: Record<string, Record<string, number>>;
  results: Record<
    string,
    {
      label: string;
      group: string;
      si: number;
      text: string;
      from?: { input: string; share: number }[];
    }
  >;
  notes: string[];
}
function weighed(bench: Bench, setup: string): Weighed {
  const all = JSON.parse(bench.run('check', bench.file, '--setup', setup, '--json')) as {
    setups: Weighed[];
  };
  const found = all.setups[0];
  if (!found) throw new Error(`no setup ${setup}`);
  return found;
}
/** As the page sets numbers. */
const shown = (text: string) => text.replace(/-(?=[\d.])/g, '\u2212');

test('beneath a curve stands where the model behind it ends', async ({ page, bench }) => {
  await open(page, bench, 'weigh?setup=keen');
  const boost = page
    .getByRole('figure')
    .filter({ has: page.getByRole('heading', { name: 'Boost' }) });
  await expect(boost).toContainText(
    'Outside the model, in places: twist beyond the last measured point of the valve',
  );
  const kerb = page.getByRole('figure').filter({ hasText: 'At the kerb, turned to the left' });
  await expect(kerb).not.toContainText('Outside the model');
});

test('a reading says where it was read, and is explained by its own situation', async ({
  page,
  bench,
}) => {
  const { results } = weighed(bench, 'keen');
  await open(page, bench, 'weigh?setup=keen');
  await page.getByLabel('with assist lost').check();
  const asks = async (title: string, line: RegExp) => {
    await chart(page, title).getByRole('button', { name: line }).click();
    await whereFrom(page).waitFor();
  };
  for (const [title, line, result] of [
    [road, /^110 km\/h/, 'fast_torque'],
    [road, /^140 km\/h/, 'motorway_torque'],
    [road, /^50 km\/h/, 'town_torque'],
    [kerb, /^brake on/, 'kerb_brake_torque'],
    [kerb, /^assist lost/, 'kerb_lost_torque'],
  ] as const) {
    await asks(title, line);
    await expect(whereFrom(page)).toContainText(results[result]?.label ?? '?');
    await expect(whereFrom(page)).toContainText(results[result]?.text.split(' ')[0] ?? '?');
    await page.keyboard.press('Escape');
  }
  await asks(road, /^110 km\/h/);
  await expect(whereFrom(page)).toContainText(/^.*keen, 110 km\/h, at 4\.0 m\/s²: [\d.]+ ± /);
  await page.keyboard.press('Escape');
  // Another setup's line is explained by that setup.
  await asks(road, /^works, 80 km\/h/);
  await expect(whereFrom(page)).toContainText('works, 80 km/h, at 4.0 m/s²');
  await expect(whereFrom(page)).toContainText(
    weighed(bench, 'works').results.road_torque?.text.split(' ')[0] ?? '?',
  );
  await page.keyboard.press('Escape');
  // What no result tells of has no inputs laid at its door.
  await asks('Boost', /^standing, idle/);
  await expect(whereFrom(page)).toContainText('No result is of this situation');
  await expect(whereFrom(page)).not.toContainText('What makes its ±');
});

test('a curve that has ended reads as nothing', async ({ page, bench }) => {
  await open(page, bench, 'weigh?setup=first-try');
  const drawing = page.getByRole('application', { name: kerb });
  const keen = chart(page, kerb).getByRole('button', { name: /^keen/ });
  await drawing.focus();
  for (let i = 0; i < 25; i++) await page.keyboard.press('ArrowRight');
  await expect(chart(page, kerb)).toContainText('at 80.0 mm');
  await expect(keen).toHaveText(/none here/);
  await keen.click({ force: true });
  await expect(whereFrom(page)).toHaveCount(0);
  for (let i = 0; i < 5; i++) await page.keyboard.press('ArrowLeft');
  await expect(chart(page, kerb).getByRole('button', { name: /^first-try [\d.]+/ })).toBeVisible();
});

test('no two curves of a chart look alike, each says its state, and none is drawn twice', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'weigh?setup=keen');
  await page.getByLabel('with assist lost').check();
  await expect(chart(page, road).getByRole('button', { name: /^works, 80 km\/h/ })).toBeVisible();
  for (const title of [kerb, road, 'Boost']) {
    const dashes = await chart(page, title)
      .locator('li line')
      .evaluateAll((all) => all.map((at) => at.getAttribute('stroke-dasharray')));
    expect(dashes.length).toBeGreaterThan(4);
    expect(new Set(dashes).size).toBe(dashes.length);
  }
  for (const setup of ['calm', 'first-try']) {
    await expect(
      chart(page, kerb).getByRole('button', { name: new RegExp(`^${setup}, assist lost`) }),
    ).toBeVisible();
  }
  // Without assistance there is none to lose.
  await expect(chart(page, kerb).getByRole('button', { name: /^works, assist lost/ })).toHaveCount(
    0,
  );
});

test('names at the ends of curves are led to their own, and a long one is cut', async ({
  page,
  bench,
}) => {
  const long = 'keen-with-a-name-that-runs-and-runs-and-runs';
  write(bench, read(bench).replaceAll('setup.keen', `setup.${long}`));
  await open(page, bench, 'weigh?setup=calm');
  await expect(chart(page, kerb).getByRole('button', { name: new RegExp(long) })).toBeVisible();
  const drawing = chart(page, kerb).getByRole('application');
  await expect(drawing.getByText(/^keen-with-.*…$/)).toBeVisible();
  const { over, leaders, names } = await drawing.evaluate((at) => {
    const right = at.getBoundingClientRect().right;
    const texts = [...at.querySelectorAll('text')];
    return {
      over: texts.filter((text) => text.getBoundingClientRect().right > right).length,
      leaders: at.querySelectorAll('.leader').length,
      names: texts.filter((text) => text.querySelector('title')).length,
    };
  });
  expect(over).toBe(0);
  expect(names).toBeGreaterThan(3);
  expect(leaders).toBe(names);
});

test('the state is said, and each situation is told as pressure and flow as well', async ({
  page,
  bench,
}) => {
  const { results } = weighed(bench, 'keen');
  await open(page, bench, 'weigh?setup=keen');
  const head = (key: string) =>
    expect(page.getByRole('heading', { name: results[key]?.group ?? '?' })).toBeVisible();
  await head('kerb_torque');
  for (const [side, key] of [
    ['pressure', 'fast_pressure'],
    ['flow delivered', 'idle_flow'],
  ] as const) {
    await page.getByRole('button', { name: side, exact: true }).click();
    await head(key);
    const row = weights(page).getByRole('row', { name: results[key]?.label ?? '?' });
    const number = results[key]?.text.split(' ')[0] ?? '?';
    await expect(row.getByRole('cell').last()).toContainText(number);
    await expect(row.getByRole('cell').first()).toHaveText('–');
  }
  await expect(chart(page, kerb)).toContainText('engine idling, brake off, dry');
  await expect(chart(page, kerb)).toContainText('rack travel, to the left + (right turn), mm');
  await expect(chart(page, 'Oil from the pump')).toContainText(/against [\d.]+ bar/);
});

test('notes stand beneath the weights, and mark the rows that they name', async ({
  page,
  bench,
}) => {
  const { notes } = weighed(bench, 'keen');
  const coil = notes.findIndex((note) => /^110 km\/h, 140 km\/h: .*coil/.test(note)) + 1;
  expect(coil).toBeGreaterThan(0);
  await open(page, bench, 'weigh?setup=keen');
  const section = page.locator('section').filter({ has: weights(page) });
  await expect(section.getByRole('heading', { name: 'To note of keen' })).toBeVisible();
  await expect(section.getByRole('listitem')).toHaveCount(notes.length);
  const cell = (name: RegExp) => weights(page).getByRole('row', { name }).getByRole('cell').last();
  await expect(cell(/^Fast road/)).toContainText(`note ${coil}`);
  await expect(cell(/^Motorway/)).toContainText(`note ${coil}`);
  const edge = notes.findIndex((note) => /^80 km\/h: .*hardly more/.test(note)) + 1;
  await expect(cell(/^Road: /)).toContainText(`note ${edge}`);
  await expect(cell(/^Town: /)).not.toContainText('note');
  // The mark of a guess is raised too.
  const mark = await cell(/^Motorway/)
    .getByText('a', { exact: true })
    .boundingBox();
  const number = await cell(/^Motorway/)
    .getByRole('button')
    .boundingBox();
  if (!mark || !number) throw new Error('not drawn');
  expect(mark.y + mark.height / 2).toBeLessThan(number.y + number.height / 2 - 2);
});

test('the mark of a guess is no word of a sentence, and a number keeps its unit', async ({
  page,
  bench,
}) => {
  write(bench, read(bench).replace('[setup.keen]\n', '[setup.keen]\ncontrol_powered = false\n'));
  await open(page, bench, 'weigh?setup=keen');
  const trouble = page.getByRole('region', { name: 'Control valves short of current' });
  await expect(trouble.locator('abbr').first()).toHaveAttribute('title', /typical or guess/);
  const text = await trouble.evaluate((at) => at.textContent);
  expect(text).toMatch(/0\.80\u00a0A is asked for/);
  expect(text).toMatch(/[\d.]+\u00a0±\u00a0[\d.]+\u00a0N·m/);
  expect(text).not.toMatch(/N·m a\b/);
});

test('what to measure next leads to its field', async ({ page, bench }) => {
  const { results } = weighed(bench, 'keen');
  const input = results.road_torque?.from?.find(({ input: at }) => !at.startsWith('model.'))?.input;
  await open(page, bench, 'weigh?setup=keen');
  await expect(
    page.getByRole('heading', { name: /^What makes most of the ±, keen/ }),
  ).toBeVisible();
  const asked = page
    .getByRole('definition')
    .filter({ hasText: 'the model itself 16 %' })
    .getByRole('button');
  await expect(asked).toHaveCount(3);
  await asked.first().click();
  await expect(page).toHaveURL(/#\/car/);
  await expect(page.locator(`[id="field ${input}"]`)).toBeInViewport();
});

test('who comes back from Car finds all as it was left', async ({ page, bench }) => {
  await open(page, bench, 'weigh?setup=keen');
  await page.getByLabel('works', { exact: true }).uncheck();
  await page.getByLabel('with assist lost').check();
  await page.getByRole('button', { name: 'pull at the rim' }).click();
  await pick(page).first().selectOption('town_torque');
  await page.getByRole('link', { name: 'Car' }).click();
  await page.getByRole('heading', { name: 'The car' }).waitFor();
  await page.getByRole('link', { name: 'Weigh it' }).click();
  await expect(page.getByLabel('works', { exact: true })).not.toBeChecked();
  await expect(page.getByLabel('with assist lost')).toBeChecked();
  await expect(page.getByRole('button', { name: 'pull at the rim' })).toHaveAttribute(
    'aria-pressed',
    'true',
  );
  await expect(pick(page).first()).toHaveValue('town_torque');
});

test('two weights stand side by side, each picked from all that are known', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'weigh?setup=calm');
  const { breakdown, results } = weighed(bench, 'calm');
  await expect(made(page).getByRole('heading')).toHaveText('Of what the weights are made, calm');
  await expect(pick(page)).toHaveCount(2);
  await expect(pick(page).first()).toHaveValue('kerb_torque');
  await expect(pick(page).last()).toHaveValue('road_torque');
  await expect(pick(page).first().locator('option')).toHaveText(
    Object.keys(breakdown).map((key) => results[key]?.label ?? '?'),
  );
  const key = Object.keys(breakdown).at(-1) ?? '';
  await pick(page).last().selectOption(key);
  const table = made(page).getByRole('table').last();
  for (const [name, value] of Object.entries(breakdown[key] ?? {})) {
    if (Math.abs(value) < 0.01) continue;
    const sign = value > 0 ? '+' : '';
    await expect(table.getByRole('row', { name })).toContainText(
      shown(`${sign}${value.toFixed(2)} N·m`),
    );
  }
  // In all is the weight itself, and leads on to where it is from.
  await table
    .getByRole('row', { name: /^in all/ })
    .getByRole('button')
    .click();
  await expect(whereFrom(page)).toContainText(`${results[key]?.label}, calm`);
});

test('what was picked stays with another setup, or the nearest stands there', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'weigh?setup=calm');
  await pick(page).first().selectOption('town_torque');
  await page.getByLabel('Setup', { exact: true }).selectOption('works');
  await expect(made(page).getByRole('heading')).toContainText('works');
  await expect(pick(page).first()).toHaveValue('town_torque');
});

test('where from tells of what a weight is made, in Weigh and in Choose', async ({
  page,
  bench,
}) => {
  const { breakdown, results } = weighed(bench, 'keen');
  const tyre = shown(`+${breakdown.kerb_torque?.['tyre on the spot']?.toFixed(2)} N·m`);
  await open(page, bench, 'weigh?setup=keen');
  for (const view of ['weigh', 'choose']) {
    if (view === 'choose') await open(page, bench, 'choose?setup=keen');
    await page
      .getByRole('button', { name: /^Kerb, brake off, dry.*, keen/ })
      .first()
      .click();
    await expect(whereFrom(page)).toContainText('Of what it is made, keen');
    const table = whereFrom(page).getByRole('table');
    await expect(table.getByRole('row', { name: 'tyre on the spot' })).toContainText(tyre);
    await expect(table.getByRole('row', { name: /^in all/ })).toContainText(
      results.kerb_torque?.text ?? '?',
    );
    await page.keyboard.press('Escape');
  }
  // A pull is no torque at the hand wheel.
  await open(page, bench, 'weigh?setup=keen');
  await page.getByRole('button', { name: 'pull at the rim' }).click();
  await page
    .getByRole('button', { name: /^Kerb, brake off, dry.*, keen/ })
    .first()
    .click();
  await expect(whereFrom(page)).toBeVisible();
  await expect(whereFrom(page).getByRole('table')).toHaveCount(0);
});

test('inputs that are guessed or state no ± are marked', async ({ page, bench }) => {
  write(
    bench,
    read(bench).replaceAll(
      'friction = "0.9 ± 0.1"',
      'friction = { value = "0.9 ± 0.1", from = "guess" }',
    ),
  );
  await open(page, bench, 'weigh?setup=calm');
  await page
    .getByRole('button', { name: /^Kerb, brake off, dry, calm/ })
    .first()
    .click();
  await expect(whereFrom(page)).toContainText('typical or guess: see the marks below');
  await expect(
    whereFrom(page).getByRole('button', { name: /tyre · friction .* guess$/ }),
  ).toBeVisible();
});

test('the worst is said before the weights, and leads to Choose', async ({ page, bench }) => {
  await open(page, bench, 'weigh?setup=first-try');
  const line = page.getByText(/^✗ 5 limits do not hold:/).locator('..');
  await expect(line).toContainText('Pump not over-driven');
  const below = page.getByRole('heading', { name: 'What the hand wheel weighs' });
  const heights = [await line.boundingBox(), await below.boundingBox()].map((at) => at?.y);
  expect(heights[0] ?? NaN).toBeLessThan(heights[1] ?? NaN);
  await expect(page.getByText('✗ does not go together')).toBeVisible();
  await page.getByRole('button', { name: 'See it in Choose' }).click();
  await expect(page).toHaveURL(/#\/choose/);
  // Where all is well nothing is said.
  await open(page, bench, 'weigh?setup=works');
  await expect(page.getByRole('button', { name: 'See it in Choose' })).toHaveCount(0);
});

test.describe('on a phone', () => {
  test.use({ viewport: screens.phone, hasTouch: true });
  test('a tap on a chart reads it, and its key asks', async ({ page, bench }) => {
    await open(page, bench, 'weigh?setup=keen');
    const drawing = page.getByRole('application', { name: road });
    await drawing.scrollIntoViewIfNeeded();
    await drawing.tap({ position: { x: 180, y: 100 } });
    await expect(chart(page, road)).toContainText(/at [12]\.\d m\/s²/);
    await expect(whereFrom(page)).toHaveCount(0);
    await chart(page, road)
      .getByRole('button', { name: /^80 km\/h/ })
      .tap();
    await expect(whereFrom(page)).toContainText(/keen, 80 km\/h, at [12]\.\d m\/s²: /);
  });
  test('one weight is taken apart at a time', async ({ page, bench }) => {
    await open(page, bench, 'weigh?setup=calm');
    await expect(pick(page)).toHaveCount(1);
    expect((await pick(page).boundingBox())?.height).toBeGreaterThanOrEqual(44);
  });
});

inEveryLook(() => {
  test('axe finds nothing on a weight taken apart', async ({ page, bench }) => {
    await open(page, bench, 'weigh?setup=first-try');
    await made(page).scrollIntoViewIfNeeded();
    await faultless(page);
    await made(page)
      .getByRole('row', { name: /^in all/ })
      .first()
      .getByRole('button')
      .click();
    await whereFrom(page).waitFor();
    await faultless(page, 'dialog');
  });
});
