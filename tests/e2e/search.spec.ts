/** Which to build: the search, in the Choose view. */
import type { Page } from '@playwright/test';
import { type Bench, expect, faultless, inEveryLook, open, read, test, write } from './bench.js';

interface Found {
  combinations: number;
  wishes: { aim: string; label: string }[];
  entries: {
    changes: { text: string }[];
    aims: Record<string, { si: number; si_pm?: number; text: string }>;
    gains: string[];
    gives_up: string[];
    setup: Record<string, string>;
    polished?: {
      settings: { text: string }[];
      entry: { aims: Record<string, { text: string }>; setup: Record<string, string> };
    };
  }[];
  ranking: { entry: number; balance: number; beats_next: number | null }[];
  left_out: { reason: string; count: number }[];
}

/** What the command line finds. */
const found = (bench: Bench) =>
  JSON.parse(bench.run('search', bench.file, '--most', '60', '--json')) as Found;

/** The first in the order of the command line. */
function first(all: Found) {
  const entry = all.entries[all.ranking[0]?.entry ?? 0];
  if (!entry) throw new Error('nothing found');
  return entry;
}

const section = (page: Page) => page.getByRole('region', { name: 'Which to build?' });
const rows = (page: Page) =>
  section(page)
    .getByRole('table', { name: /Entries, the most/ })
    .locator('tbody tr:not(.now)');
const plot = (page: Page) => section(page).getByRole('listbox');

const mark = (page: Page, place: number) =>
  plot(page)
    .getByRole('option', { name: new RegExp(`^${place}:`) })
    .locator('.dot');
/** The two wishes on the axes, between which marks lie apart. */
const axes = { across: 'hours', up: 'lock_angle' };
async function spread(page: Page) {
  for (const [name, aim] of Object.entries(axes)) {
    await section(page).getByRole('combobox', { name, exact: true }).selectOption(aim);
  }
}
/** The place of the entry from whose mark the nearest other lies farthest on these axes. */
function apart(all: Found) {
  const values = (aim: string) => all.entries.map(({ aims }) => aims[aim]?.si ?? 0);
  const sides = Object.values(axes).map((aim) => {
    const list = values(aim);
    return { list, size: Math.max(...list) - Math.min(...list) || 1 };
  });
  const off = (a: number, b: number) =>
    Math.hypot(...sides.map(({ list, size }) => ((list[a] ?? 0) - (list[b] ?? 0)) / size));
  const alone = (a: number) =>
    Math.min(...all.entries.map((_, b) => (a === b ? Infinity : off(a, b))));
  const by = all.ranking.map(({ entry }) => alone(entry));
  return by.indexOf(Math.max(...by)) + 1;
}

async function search(page: Page, bench: Bench) {
  await open(page, bench, 'choose');
  await section(page).getByRole('button', { name: 'Search', exact: true }).click();
  await plot(page).waitFor({ timeout: 40_000 });
}

/** As the page sets texts. */
const shown = (text: string) => text.replace(/-(?=[\d.])/g, '\u2212').replace(' ± ', '\u00a0± ');

test('table and plot show what the command line finds', async ({ page, bench }) => {
  await search(page, bench);
  const all = found(bench);
  await expect(rows(page)).toHaveCount(all.entries.length);
  // What all entries change is said once above, and each row says the rest of it in full.
  const texts = all.entries.map(({ changes }) => changes.map(({ text }) => text));
  const shared = (texts[0] ?? []).filter((text) => texts.every((list) => list.includes(text)));
  expect(shared.length).toBeGreaterThan(0);
  await expect(section(page)).toContainText(`Every entry has: ${shared.join('; ')}.`);
  for (const [place, rank] of all.ranking.entries()) {
    const entry = all.entries[rank.entry];
    const row = rows(page).nth(place);
    for (const { aim } of all.wishes) {
      await expect(row).toContainText(shown(entry?.aims[aim]?.text ?? '-'));
    }
    await expect(row).toContainText(rank.balance.toFixed(2));
    const own = (entry?.changes ?? []).filter(({ text }) => !shared.includes(text));
    await expect(row.locator('.what')).toHaveText(own.map(({ text }) => text).join('; '));
    expect(
      await row.locator('.what').evaluate((at) => at.scrollHeight - at.clientHeight),
      'nothing of it is cut off',
    ).toBeLessThanOrEqual(1);
  }
  await expect(plot(page).getByRole('option')).toHaveCount(all.entries.length);
  // Places on the sheet go with the values: a dearer entry lies further to the right.
  const costs = await plot(page)
    .getByRole('option')
    .evaluateAll((marks) =>
      marks.map((mark) => ({
        x: Number(mark.querySelector('.dot')?.getAttribute('cx')),
        cost: Number(/cost ([\d.]+)/.exec(mark.getAttribute('aria-label') ?? '')?.[1]),
      })),
    );
  for (const a of costs) for (const b of costs) if (a.cost < b.cost) expect(a.x).toBeLessThan(b.x);
  await expect(section(page).getByText(/combinations, counted from first-try/)).toContainText(
    all.combinations.toLocaleString('en-GB'),
  );
  const left = section(page).getByText(/^Left out/);
  await left.click();
  for (const { reason, count } of all.left_out.slice(0, 4)) {
    await expect(section(page).getByRole('listitem').filter({ hasText: reason })).toContainText(
      count.toLocaleString('en-GB'),
    );
  }
});

test('row, mark and panel go together, by keyboard and by mouse', async ({ page, bench }) => {
  await search(page, bench);
  const all = found(bench);
  const panel = section(page).getByRole('article');
  await expect(panel).toContainText('Entry 1');
  await expect(panel).toContainText(first(all).gains[0]?.split(' ')[0] ?? '-');
  await expect(panel.getByRole('img', { name: /Front axle from above/ })).toBeVisible();
  await rows(page).nth(0).getByRole('button').focus();
  await page.keyboard.press('ArrowDown');
  await expect(panel).toContainText('Entry 2');
  await expect(plot(page).getByRole('option', { selected: true })).toHaveAttribute(
    'aria-label',
    /^2:/,
  );
  await plot(page).focus();
  await page.keyboard.press('End');
  const chosen = plot(page).getByRole('option', { selected: true });
  const place = /^(\d+):/.exec((await chosen.getAttribute('aria-label')) ?? '')?.[1];
  await expect(panel).toContainText(`Entry ${place}`);
  await expect(
    rows(page)
      .nth(Number(place) - 1)
      .getByRole('button'),
  ).toHaveAttribute('aria-pressed', 'true');
  await spread(page);
  const alone = apart(all);
  await page.keyboard.press('Home');
  await mark(page, alone).click();
  await expect(panel).toContainText(`Entry ${alone}`);
});

test('bounds leave out, by fields and by a drag', async ({ page, bench }) => {
  await search(page, bench);
  const all = found(bench);
  const hours = all.entries.map((entry) => (entry.aims.hours?.si ?? 0) / 3600);
  const least = Math.min(...hours);
  await spread(page);
  await section(page).getByRole('spinbutton', { name: 'most hours shown' }).fill(`${least}`);
  await page.keyboard.press('Tab');
  const within = hours.filter((value) => value <= least).length;
  expect(within).toBeLessThan(hours.length);
  await expect(rows(page)).toHaveCount(within);
  await expect(plot(page).getByRole('option')).toHaveCount(within);
  await section(page).getByRole('button', { name: 'Show all' }).click();
  await expect(rows(page)).toHaveCount(hours.length);
  await plot(page).scrollIntoViewIfNeeded();
  const box = await mark(page, 1).boundingBox();
  if (!box) throw new Error('no mark');
  await page.mouse.move(box.x - 14, box.y - 14);
  await page.mouse.down();
  await page.mouse.move(box.x + 20, box.y + 20, { steps: 4 });
  await page.mouse.up();
  const left = await rows(page).count();
  expect(left).toBeLessThan(hours.length);
  expect(left).toBeGreaterThan(0);
  await expect(rows(page).filter({ hasText: first(all).aims.lock_angle?.text.split(' ')[0] ?? '' }))
    .not.toHaveCount(0); // prettier-ignore
});

test('weights put the entries in another order', async ({ page, bench }) => {
  await search(page, bench);
  const all = found(bench);
  const best = all.entries.reduce((a, b) =>
    (b.aims.lock_angle?.si ?? 0) > (a.aims.lock_angle?.si ?? 0) ? b : a,
  );
  for (const { label } of all.wishes.filter(({ aim }) => aim !== 'lock_angle')) {
    const slider = section(page).getByRole('slider', { name: new RegExp(`weight of: .*${label}`) });
    await slider.focus();
    await page.keyboard.press('Home');
  }
  await expect(rows(page).first()).toContainText(shown(best.aims.lock_angle?.text ?? '-'));
  await expect(rows(page).first()).toContainText('0.00');
  await section(page).getByRole('button', { name: 'All alike' }).click();
  await expect(rows(page).first()).toContainText(all.ranking[0]?.balance.toFixed(2) ?? '-');
});

test('an entry is kept as a setup, and a reload keeps the result', async ({ page, bench }) => {
  await search(page, bench);
  const entry = first(found(bench));
  await section(page).getByRole('button', { name: 'Keep as a setup' }).click();
  const name = section(page).getByRole('textbox', { name: 'Name of the setup' });
  await name.fill('calm');
  await expect(section(page).getByText('There is a setup calm already')).toBeVisible();
  await name.fill('the plan');
  await page.keyboard.press('Enter');
  await expect(section(page).getByText('Kept as the-plan.')).toBeVisible();
  await expect(
    page
      .getByRole('table', { name: /Setups side/ })
      .getByRole('columnheader', { name: /the-plan/ }),
  ).toBeVisible();
  expect(read(bench)).toContain(`[setup.the-plan]`);
  expect(read(bench)).toContain(`rack = "${entry.setup.rack}"`);
  bench.run('check', bench.file, '--setup', 'the-plan');
  await page.reload();
  await plot(page).waitFor();
  await expect(section(page).getByText('The file has changed since')).toHaveCount(0);
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(page.getByRole('columnheader', { name: /the-plan/ })).toHaveCount(0);
});

test('an entry is as in the table unless it is set to the best, and both are told', async ({
  page,
  bench,
}) => {
  await search(page, bench);
  const all = found(bench);
  const entry = first(all);
  const panel = section(page).getByRole('article');
  const best = panel.getByRole('checkbox', { name: /^set to the best/ });
  await expect(best).not.toBeChecked();
  const plain = (text = '-') => text.replace(/-(?=[\d.])/g, '\u2212');
  const otherwise = all.wishes.filter(
    ({ aim }) => entry.aims[aim]?.text !== entry.polished?.entry.aims[aim]?.text,
  );
  expect(otherwise.length).toBeGreaterThan(0);
  const numbers = panel.getByRole('table', { name: /^What comes out otherwise/ });
  await expect(numbers.locator('tbody tr')).toHaveCount(otherwise.length);
  for (const { aim, label } of otherwise) {
    const cells = numbers.getByRole('row', { name: label }).getByRole('cell');
    await expect(cells).toHaveText([
      plain(entry.aims[aim]?.text),
      plain(entry.polished?.entry.aims[aim]?.text),
    ]);
    await expect(cells.first()).toHaveCSS('font-weight', '600');
  }
  await best.check();
  await expect(numbers.getByRole('cell').last()).toHaveCSS('font-weight', '600');
  await expect(panel).toContainText(
    `${entry.polished?.settings[0]?.text} stands in place of what jobs and parts above say`,
  );
});

test('what is picked in the list is seen at once, beside it', async ({ page, bench }) => {
  await search(page, bench);
  const row = rows(page).last().getByRole('button');
  await row.click();
  await expect(section(page).getByRole('article').getByRole('heading').first()).toBeInViewport();
  await expect(row).toBeInViewport();
});

test.describe('on a phone', () => {
  test.use({ viewport: { width: 390, height: 844 }, hasTouch: true });
  test('what is picked in the list comes into sight, and there is a way back', async ({
    page,
    bench,
  }) => {
    await search(page, bench);
    const row = rows(page).last().getByRole('button');
    await row.scrollIntoViewIfNeeded();
    await row.tap();
    const panel = section(page).getByRole('article');
    const head = panel.getByRole('heading', { name: /^Entry/ });
    await expect(head).toBeInViewport();
    await expect(head).toBeFocused();
    await expect(row).not.toBeInViewport();
    await panel.getByRole('button', { name: 'Back to the list' }).tap();
    await expect(row).toBeInViewport();
    await expect(row).toBeFocused();
  });
});

test('wishes are written into the file', async ({ page, bench, expected }) => {
  expected.push(/422/);
  await search(page, bench);
  await section(page)
    .getByText(/^What is wished/)
    .click();
  await section(page).getByRole('combobox', { name: 'turns, wished' }).selectOption('near');
  const near = section(page).getByRole('textbox', { name: 'turns, near' });
  await near.fill('3 mm');
  await near.press('Tab');
  await expect(section(page).getByRole('alert')).toBeVisible();
  await near.fill('3 turns');
  await near.press('Tab');
  await expect(section(page).getByText('The file has changed since')).toBeVisible();
  expect(read(bench)).toContain('turns = "near"');
  await section(page).getByRole('textbox', { name: 'cost, at most' }).fill('300');
  await page.keyboard.press('Tab');
  await expect.poll(() => read(bench)).toMatch(/\[search\.at_most\]\ncost = "?300/);
  await section(page).getByRole('button', { name: 'Search anew' }).click();
  const label = found(bench).wishes.find(({ aim }) => aim === 'turns')?.label ?? '-';
  await expect(section(page).getByRole('columnheader', { name: label })).toBeVisible({
    timeout: 40_000,
  });
});

test('a search is stopped without loss, and gone on with', async ({ page, bench }) => {
  test.setTimeout(180_000);
  // Many racks more: a search that takes a while.
  const text = read(bench);
  const at = text.indexOf('[rack.slow]');
  const end = /\n(#|\[(?!\[?rack\.slow\b))/.exec(text.slice(at + 5))?.index ?? 0;
  const slow = text.slice(at, at + 5 + end);
  const more = Array.from({ length: 80 }, (_, i) => slow.replaceAll('rack.slow', `rack.slow-${i}`));
  write(bench, `${text}\n\n${more.join('\n\n')}\n`);
  await open(page, bench, 'choose');
  await section(page).getByRole('button', { name: 'Search', exact: true }).click();
  const bar = section(page).getByRole('progressbar');
  await expect.poll(() => bar.getAttribute('value').then(Number)).toBeGreaterThan(0.01);
  await section(page).getByRole('button', { name: 'Stop' }).click();
  await expect(section(page).getByText(/Looked at \d+ %: better ones may be missing/)).toBeVisible({
    timeout: 30_000,
  });
  await section(page).getByRole('button', { name: 'Go on' }).click();
  await expect(section(page).getByRole('button', { name: 'Search anew' })).toBeVisible({
    timeout: 120_000,
  });
  await expect(section(page).getByText(/better ones may be missing/)).toHaveCount(0);
  await plot(page).waitFor();
});

inEveryLook((screen, colorScheme) => {
  test('axe finds nothing, and nothing runs out sideways', async ({ page, bench }, info) => {
    await search(page, bench);
    await section(page)
      .getByText(/^What is wished/)
      .click();
    await section(page)
      .getByText(/^Left out/)
      .click();
    await section(page)
      .getByRole('img', { name: /Front axle/ })
      .waitFor();
    if (screen === 'phone') {
      await spread(page);
      const alone = apart(found(bench));
      await mark(page, alone).tap();
      await expect(section(page).getByRole('article')).toContainText(`Entry ${alone}`);
    }
    const picture = await section(page).screenshot({
      path: process.env.SEARCH_PICTURES
        ? `${process.env.SEARCH_PICTURES}/search-${screen}-${colorScheme}.png`
        : undefined,
    });
    await info.attach('section', { body: picture, contentType: 'image/png' });
    await faultless(page);
  });
});
