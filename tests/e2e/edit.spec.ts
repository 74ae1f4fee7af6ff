import { readFileSync, writeFileSync } from 'node:fs';
import { check, expect, open, read, test, writing } from './bench.js';

test('a pulley edited in inches changes the pump speed', async ({ page, bench }) => {
  await open(page, bench, 'turn?setup=calm');
  const pump = page.getByRole('button', { name: /Pump speed/ });
  const before = await pump.innerText();
  await page.getByRole('link', { name: 'Car' }).click();
  const row = await writing(page, 'pulley.works.diameter');
  await row.getByRole('textbox').first().fill('4 1/2 in ± 1/64 in');
  await row.getByRole('button', { name: 'Save' }).click();
  await expect(row.getByRole('button', { name: /4 1\/2 in/ })).toBeFocused();
  await page.getByRole('link', { name: 'Turn it' }).click();
  await expect(pump).not.toHaveText(before);
  expect(read(bench)).toContain('4 1/2 in ± 1/64 in');
  const cruise = check(bench, 'calm').results.pump_cruise?.text ?? '';
  await page.getByRole('link', { name: 'Choose' }).click();
  await page.getByLabel('every result').check();
  const cell = page.getByRole('button', { name: /Pump speed at cruise, calm/ });
  await expect(cell).toContainText(cruise.split(' ± ')[0] ?? '?');
});

test('a bad value is refused in the words of the command line', async ({
  page,
  bench,
  expected,
}) => {
  expected.push(/422/);
  await open(page, bench, 'car');
  const before = read(bench);
  const row = await writing(page, 'pulley.works.diameter');
  await row.getByRole('textbox').first().fill('5 3/4 furlongs');
  await row.getByRole('button', { name: 'Save' }).click();
  const alert = row.getByRole('alert');
  await expect(alert).toContainText('furlongs');
  let words = '';
  try {
    bench.run('set', bench.file, 'pulley.works.diameter', '5 3/4 furlongs');
  } catch (error) {
    words = (error as Error).message;
  }
  for (const line of (await alert.innerText()).split('\n')) expect(words).toContain(line.trim());
  expect(read(bench)).toBe(before);
  await page.keyboard.press('Escape');
  await expect(row.getByRole('button', { name: /5 3\/4 in/ })).toBeFocused();
});

test('origin and note are kept with a value', async ({ page, bench }) => {
  await open(page, bench, 'car');
  const row = await writing(page, 'rack.slow.travel');
  await row.getByLabel('Where it comes from').selectOption('seller');
  await row.getByLabel('Note').fill('read off the box');
  await row.getByRole('button', { name: 'Save' }).click();
  await expect(row).toContainText('seller');
  await expect(row).toContainText('read off the box');
  expect(read(bench)).toContain('read off the box');
});

test('undo and redo, by button and by keys', async ({ page, bench }) => {
  await open(page, bench, 'car');
  const row = await writing(page, 'car.wheelbase');
  await row.getByRole('textbox').first().fill('99 in');
  await row.getByRole('button', { name: 'Save' }).click();
  await expect(row).toContainText('99 in');
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(row).toContainText('2515');
  await page.getByRole('button', { name: 'Redo' }).click();
  await expect(row).toContainText('99 in');
  await page.keyboard.press('Control+z');
  await expect(row).toContainText('2515');
  expect(read(bench)).toContain('2515 ± 3 mm');
});

test('a value made unknown says what it would unlock', async ({ page, bench }) => {
  await open(page, bench, 'car');
  const row = await writing(page, 'car.wheelbase');
  await row.getByRole('button', { name: 'Unknown' }).click();
  await expect(row).toContainText(/would unlock \d+ results/);
});

test('a step of the history is named and brought back', async ({ page, bench }) => {
  await open(page, bench, 'car');
  const row = await writing(page, 'car.name');
  await row.getByRole('textbox').first().fill('Plover');
  await row.getByRole('button', { name: 'Save' }).click();
  await expect(row).toContainText('Plover');
  await page.getByRole('button', { name: 'More', exact: true }).click();
  await page.getByRole('button', { name: 'History' }).click();
  await page.getByRole('button', { name: 'Name revision 1' }).click();
  await page.getByLabel('Name of revision 1').fill('as found');
  await page.getByRole('button', { name: 'Name it' }).click();
  await expect(page.getByText('as found')).toBeVisible();
  await page.getByRole('button', { name: 'Restore revision 1' }).click();
  await expect(row).toContainText('Tern');
});

test('a part is added and removed', async ({ page, bench }) => {
  await open(page, bench, 'car');
  await page.getByRole('button', { name: 'Add a pulley' }).click();
  await page.getByLabel('What do you call the pulley?').fill('Big one');
  await page.getByRole('button', { name: 'Add big-one' }).click();
  await expect(page.locator('[id="pulley.big-one"]')).toBeVisible();
  await expect.poll(() => read(bench)).toContain('[pulley.big-one]');
  await page.getByRole('button', { name: 'Remove big-one' }).click();
  await expect(page.locator('[id="pulley.big-one"]')).toHaveCount(0);
  expect(read(bench)).not.toContain('big-one');
});

test('what is exported can be taken in again and is the same', async ({ page, bench }) => {
  await open(page, bench, 'car');
  await page.getByRole('button', { name: 'More', exact: true }).click();
  const saving = page.waitForEvent('download');
  await page.getByRole('link', { name: /Save the file/ }).click();
  const path = await (await saving).path();
  const exported = readFileSync(path, 'utf8');
  expect(exported).toBe(read(bench));
  const changed = exported.replace('name = "Tern"', 'name = "Plover"');
  writeFileSync(path, changed);
  await page.locator('input[type=file]').setInputFiles({
    name: 'tern.toml',
    mimeType: 'text/plain',
    buffer: Buffer.from(changed),
  });
  await expect(page.locator('[id="field car.name"]')).toContainText('Plover');
  expect(read(bench)).toBe(changed);
});

test('a file that is dropped and cannot be used changes nothing and says why', async ({
  page,
  bench,
  expected,
}) => {
  expected.push(/422/);
  await open(page, bench, 'car');
  const before = read(bench);
  const data = await page.evaluateHandle(() => {
    const transfer = new DataTransfer();
    transfer.items.add(new File(['format = 1\n[car]\nwheelbas = "2 m"\n'], 'bad.toml'));
    return transfer;
  });
  await page.dispatchEvent('body', 'drop', { dataTransfer: data });
  const dialog = page.getByRole('dialog', { name: 'The file cannot be used' });
  await expect(dialog).toContainText('wheelbase');
  await expect(dialog).toContainText('line 3');
  expect(read(bench)).toBe(before);
});

test('origin and note can be taken away again', async ({ page, bench }) => {
  await open(page, bench, 'car');
  const row = await writing(page, 'rack.quick.turns');
  await row.getByLabel('Where it comes from').selectOption('');
  await row.getByLabel('Note').fill('');
  await row.getByRole('button', { name: 'Save' }).click();
  await expect(row.getByRole('button', { name: /Change it/ })).toBeFocused();
  await expect(row).not.toContainText('seller');
  expect(read(bench)).not.toContain('told on the phone');
});

test('an entry is added to a list, and removed', async ({ page, bench }) => {
  await open(page, bench, 'car');
  await page.getByRole('button', { name: 'Add a column joint' }).click();
  await page.getByRole('textbox', { name: /^angle/ }).fill('5 deg');
  await page.getByRole('button', { name: 'Add it' }).click();
  const entry = page.locator('[id="car.column.joint[2]"]');
  await expect(entry).toContainText('angle 5 deg');
  expect(read(bench).match(/\[\[car\.column\.joint\]\]/g)).toHaveLength(3);
  await page.getByRole('button', { name: 'Remove joint 3' }).click();
  await expect(entry).toHaveCount(0);
});

test('a file without a setup is opened, and gets its first one on the page', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'car');
  await page.locator('input[type=file]').setInputFiles({
    name: 'new.toml',
    mimeType: 'text/plain',
    buffer: Buffer.from('format = 1\n\n[car]\nname = "Plover"\n'),
  });
  await expect(page.locator('[id="field car.name"]')).toContainText('Plover');
  await page.getByRole('link', { name: 'Turn it' }).click();
  await page.getByRole('button', { name: 'Add one on the Car view' }).click();
  await page.getByRole('button', { name: 'Add a setup' }).click();
  await page.getByLabel('What do you call the setup?').fill('First');
  await page.getByRole('button', { name: 'Add first' }).click();
  await expect.poll(() => read(bench)).toContain('[setup.first]');
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(page.locator('[id="field car.name"]')).toContainText('Tern');
});

test('a setup is renamed in place, and one undo brings its name back', async ({ page, bench }) => {
  await open(page, bench, 'car?setup=calm');
  const before = read(bench);
  await page.getByRole('button', { name: 'Rename calm' }).click();
  const name = page.getByLabel('What is it called?');
  await name.fill('keen');
  await expect(page.getByRole('alert')).toContainText('keen already');
  await name.fill('Gentle one');
  await page.getByRole('button', { name: 'Call it gentle-one' }).click();
  await expect(page.getByRole('button', { name: 'Rename gentle-one' })).toBeVisible();
  expect(read(bench)).toBe(before.replace('[setup.calm]', '[setup.gentle-one]'));
  // The view's last question, so that none is under way when the name goes.
  const settled = page.waitForResponse(/api\/turn.*pm=1/);
  await page.getByRole('link', { name: 'Turn it' }).click();
  await expect(page.getByLabel('Setup', { exact: true })).toHaveValue('gentle-one');
  await settled;
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect.poll(() => read(bench)).toBe(before);
});

test('a ± is one press away, and is seen however it is written', async ({ page, bench }) => {
  await open(page, bench, 'car');
  const row = await writing(page, 'car.rear_track');
  const text = row.getByRole('textbox').first();
  await text.fill('1390 mm');
  await row.getByRole('button', { name: 'Write a ±' }).click();
  await expect(text).toBeFocused();
  await page.keyboard.type('4 mm');
  await expect(text).toHaveValue('1390 mm ± 4 mm');
  // Pressed again it takes the ± that is there for another.
  await row.getByRole('button', { name: 'Write a ±' }).click();
  await page.keyboard.type('3 mm');
  await row.getByRole('button', { name: 'Save' }).click();
  await expect(row).toContainText('± 3');
  expect(read(bench)).toContain('1390 mm ± 3 mm');

  const without = page.getByText(/\d+ without a ±/);
  const before = await without.innerText();
  for (const written of ['1391 mm +- 2 mm', '55 in +/- 1/32 in', '1391mm±2mm']) {
    await writing(page, 'car.rear_track');
    await row.getByRole('textbox').first().fill(written);
    await row.getByRole('button', { name: 'Save' }).click();
    await expect(row.getByRole('button', { name: /Change it/ })).toBeFocused();
    await expect(row).toContainText('±');
    await expect(row).not.toContainText('no ±');
    await expect(without).toHaveText(before);
  }
});

test('a setup is copied to be changed further', async ({ page, bench }) => {
  await open(page, bench, 'car?setup=first-try');
  await page.getByRole('button', { name: 'Copy first-try as' }).click();
  const name = page.getByLabel('What do you call the copy?');
  await name.fill('calm');
  await expect(page.getByRole('alert')).toContainText('calm already');
  await name.fill('Second try');
  await page.getByRole('button', { name: 'Copy it as second-try' }).click();
  await expect(page.locator('[id="setup.second-try"] > summary')).toBeInViewport();
  const { results } = check(bench, 'second-try');
  const of = check(bench, 'first-try').results;
  expect(results.kerb_lost?.text).toBe(of.kerb_lost?.text);
  const copy = read(bench).split('[setup.second-try]')[1]?.split('\n[')[0] ?? '';
  expect(copy).toContain('note = "Second try"');
  expect(copy).toContain('rack_up = "9 ± 1 mm"');
  // It is the one to go on with.
  await page.getByRole('link', { name: 'Turn it' }).click();
  await expect(page.getByLabel('Setup', { exact: true })).toHaveValue('second-try');
  // What was read on the car was read with the other one fitted.
  expect(read(bench).match(/\[setup\.[\w-]+\.seen\]|seen = /g)).toHaveLength(1);
});

test('what is written and not saved waits, and is said to, where the view changes', async ({
  page,
  bench,
}) => {
  await open(page, bench, 'car');
  const before = read(bench);
  const row = await writing(page, 'pulley.works.diameter');
  await row.getByRole('textbox').first().fill('5 in ± 1/64 in');
  await row.getByLabel('Note').fill('by calliper');
  await page.getByRole('link', { name: 'Turn it' }).click();
  await expect(page.getByText('Not saved yet: pulley · works · diameter')).toBeVisible();
  await page.getByRole('link', { name: 'Car' }).click();
  await expect(row.getByRole('textbox').first()).toBeInViewport();
  await expect(row.getByRole('textbox').first()).toHaveValue('5 in ± 1/64 in');
  await expect(row.getByLabel('Note')).toHaveValue('by calliper');
  expect(read(bench)).toBe(before);
  await row.getByRole('button', { name: 'Save' }).click();
  await expect(row.getByRole('button', { name: /5 in/ })).toBeFocused();
  // Saved, or left as it was, nothing waits any more.
  await writing(page, 'pulley.works.diameter');
  await row.getByRole('textbox').first().fill('6 in');
  await row.getByRole('button', { name: 'Leave as it was' }).click();
  await page.getByRole('link', { name: 'Turn it' }).click();
  await page.getByRole('link', { name: 'Car' }).click();
  await expect(row.getByRole('button', { name: /5 in/ })).toBeVisible();
  await expect(page.getByText('Not saved yet')).toBeHidden();
});

test('a field of what is not known waits behind its fold', async ({ page, bench }) => {
  await open(page, bench, 'car');
  const table = page.locator('[id="setup.calm"]');
  const fold = table.locator('details.unknown');
  await fold.locator('summary').click();
  const row = await writing(page, 'setup.calm.outer_shim');
  await row.getByRole('textbox').first().fill('2 mm');
  await page.getByRole('link', { name: 'Turn it' }).click();
  await page.getByRole('link', { name: 'Car' }).click();
  await expect(row.getByRole('textbox').first()).toHaveValue('2 mm');
  await expect(row.getByRole('textbox').first()).toBeFocused();
});

test('a chosen part is saved by Enter', async ({ page, bench }) => {
  await open(page, bench, 'car');
  const row = await writing(page, 'setup.keen.pulley');
  const select = row.getByRole('combobox');
  await expect(select).toBeFocused();
  await select.selectOption('middle');
  await page.keyboard.press('Enter');
  await expect(row.getByRole('button', { name: /^pulley: middle/ })).toBeFocused();
  expect(read(bench).split('[setup.keen]')[1]).toContain('pulley = "middle"');
});

test("a coil's plug of which nothing is said counts as in, and is said to", async ({
  page,
  bench,
}) => {
  await open(page, bench, 'car');
  const row = page.locator('[id="field setup.keen.control_powered"]');
  await expect(row).toContainText("no when the control valve's coil is unplugged");
  await expect(row.getByRole('button')).toHaveText(/plugged in \(not stated\)/);
  await writing(page, 'setup.keen.control_powered');
  await row.getByRole('combobox').selectOption('no');
  await page.keyboard.press('Enter');
  await expect(row.getByRole('button', { name: 'control powered: no. Change it' })).toBeFocused();
  expect(read(bench)).toContain('control_powered = false');
});

test('what is written in a row that goes does not come up in the next', async ({ page, bench }) => {
  await open(page, bench, 'car');
  const add = async (angle: string) => {
    await page.getByRole('button', { name: 'Add a column joint' }).click();
    await page.getByRole('textbox', { name: /^angle/ }).fill(angle);
    await page.getByRole('button', { name: 'Add it' }).click();
  };
  await add('5 deg');
  const row = await writing(page, 'car.column.joint[2].angle');
  await row.getByRole('textbox').first().fill('7 deg');
  await page.getByRole('button', { name: 'Remove joint 3' }).click();
  await expect(row).toHaveCount(0);
  await add('6 deg');
  await expect(row.getByRole('button', { name: /6 deg/ })).toBeVisible();
});
