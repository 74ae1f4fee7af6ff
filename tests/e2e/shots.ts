/** Pictures of every view for the docs: SHOTS=1 STEERBENCH=PROGRAM npx playwright test */
import { mkdirSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, open, test } from './bench.js';

const folder =
  process.env.SHOTS_FOLDER ?? fileURLToPath(new URL('../../docs/screenshots', import.meta.url));
const views: Record<string, string> = {
  turn: 'turn?setup=first-try&hand-wheel=5.2',
  car: 'car',
  weigh: 'weigh?setup=keen',
  choose: 'choose?setup=works',
  identify: 'identify',
  search: 'choose',
  space: 'turn?setup=first-try&hand-wheel=5.2&look=space',
  circle: 'turn?setup=first-try&hand-wheel=7&look=circle',
  motion: 'weigh?setup=calm',
  changes: 'choose?setup=calm',
  draws: 'weigh?setup=keen',
};
const screens = { desktop: { width: 1440, height: 900 }, phone: { width: 390, height: 844 } };
/** No picture is larger [bytes]. */
const most = 250_000;

mkdirSync(folder, { recursive: true });
for (const [screen, viewport] of Object.entries(screens)) {
  for (const colorScheme of ['light', 'dark'] as const) {
    test.describe(`${screen}, ${colorScheme}`, () => {
      test.use({ viewport, colorScheme, hasTouch: screen === 'phone' });
      for (const [name, route] of Object.entries(views)) {
        test(name, async ({ page, bench, expected }) => {
          // A setup without a pump has nothing to run.
          if (name === 'motion') expected.push(/422/);
          await open(page, bench, route);
          if (name === 'space') await page.locator('canvas').waitFor();
          if (name === 'search') {
            const section = page.getByRole('region', { name: 'Which to build?' });
            await section.getByRole('button', { name: 'Search', exact: true }).click();
            await section.getByRole('img', { name: /Front axle/ }).waitFor({ timeout: 30_000 });
            await section.evaluate((at) => at.scrollIntoView());
          }
          if (name === 'motion') {
            const section = page.getByRole('region', { name: 'In motion' });
            await section.getByRole('button', { name: 'Run it' }).click();
            await section.getByRole('button', { name: 'Run it' }).waitFor({ timeout: 40_000 });
            await section.evaluate((at) => at.scrollIntoView());
          }
          if (name === 'changes') {
            const section = page.getByRole('region', { name: /^What each change makes/ });
            if (screen === 'phone') {
              await page.getByLabel('beside it stands').selectOption('first-try');
            } else {
              await section.locator('summary', { hasText: 'works' }).click();
              await section.locator('summary', { hasText: 'first-try' }).click();
            }
            await section.evaluate((at) => at.scrollIntoView());
          }
          if (name === 'draws') {
            const section = page.getByRole('region', { name: /all over the ±/ });
            await section.getByRole('button', { name: 'Try it 2000 times within the ±' }).click();
            await section.getByRole('table').waitFor({ timeout: 20_000 });
            await section.evaluate((at) => at.scrollIntoView());
          }
          await page.waitForTimeout(900); // the hand rests, and the ± arrive
          const path = `${folder}/${name}-${screen}-${colorScheme}.png`;
          await page.screenshot({ path });
          expect(statSync(path).size).toBeLessThan(most);
        });
      }
    });
  }
}
