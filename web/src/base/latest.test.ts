import { expect, it } from 'vitest';
import { joined, latestWins } from './latest';

it('runs one at a time and skips to the newest', async () => {
  const seen: number[] = [];
  let running = 0;
  let finish = () => {};
  const ask = latestWins<number>(async (n) => {
    expect(++running).toBe(1);
    seen.push(n);
    await new Promise<void>((done) => (finish = done));
    running--;
  });
  for (const n of [1, 2, 3, 4]) ask(n);
  expect(seen).toEqual([1]);
  finish();
  await Promise.resolve();
  await new Promise((done) => setTimeout(done));
  expect(seen).toEqual([1, 4]);
  finish();
  await new Promise((done) => setTimeout(done));
  ask(5);
  expect(seen).toEqual([1, 4, 5]);
});

it('joins those who ask meanwhile into one further run', async () => {
  let runs = 0;
  let finish = () => {};
  const ask = joined(async () => {
    runs++;
    await new Promise<void>((done) => (finish = done));
  });
  const first = ask();
  const second = ask();
  const third = ask();
  expect(runs).toBe(1);
  finish();
  await first;
  await new Promise((done) => setTimeout(done));
  expect(runs).toBe(2);
  finish();
  await Promise.all([second, third]);
  expect(runs).toBe(2);
});
