import { drag, expect, open, test } from './bench.js';

/** What the page may take of each frame of 16.7 ms [ms]. */
const most = 8;

test('a drag keeps up with the screen', async ({ page, bench }) => {
  await open(page, bench, 'turn?setup=first-try');
  const session = await page.context().newCDPSession(page);
  await session.send('Performance.enable');
  const metrics = async () => {
    const { metrics: list } = await session.send('Performance.getMetrics');
    const of = (name: string) => list.find((m) => m.name === name)?.value ?? 0;
    return {
      script: of('ScriptDuration'),
      layout: of('LayoutDuration') + of('RecalcStyleDuration'),
      time: of('Timestamp'),
    };
  };
  const waits: number[] = [];
  page.on('requestfinished', (request) => {
    if (!request.url().includes('/api/turn')) return;
    const { requestStart, responseEnd } = request.timing();
    waits.push(responseEnd - requestStart);
  });
  await page.evaluate(() => {
    const counter = window as unknown as { frames: number };
    counter.frames = 0;
    const count = () => {
      counter.frames++;
      requestAnimationFrame(count);
    };
    requestAnimationFrame(count);
  });
  const before = await metrics();
  for (let i = 0; i < 4; i++) await drag(page, i % 2 ? -340 : 340);
  const after = await metrics();
  const frames = await page.evaluate(() => (window as unknown as { frames: number }).frames);

  const script = ((after.script - before.script) * 1000) / frames;
  const layout = ((after.layout - before.layout) * 1000) / frames;
  const sorted = waits.sort((a, b) => a - b);
  const quantile = (q: number) => sorted[Math.floor(q * (sorted.length - 1))]?.toFixed(1);
  console.log(
    `drag: ${frames} frames in ${(after.time - before.time).toFixed(1)} s, script ${script.toFixed(2)} ms ` +
      `and layout ${layout.toFixed(2)} ms a frame; ${sorted.length} poses, ` +
      `answer in the browser p50 ${quantile(0.5)} ms, p99 ${quantile(0.99)} ms`,
  );
  expect(sorted.length).toBeGreaterThan(50);
  expect(script).toBeLessThan(most);
});
