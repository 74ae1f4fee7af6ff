import { expect, test } from 'vitest';
import type { Entry } from '../../../engine_client/search';
import { ownOf, sharedBy } from './shown';

const entry = (...texts: string[]) =>
  ({ changes: texts.map((text) => ({ of: '', from: '', to: '', text })) }) as Entry;

test('what all entries change is shared, and the rest is their own', () => {
  const all = [entry('rack', 'pump', 'spacer'), entry('rack', 'pump'), entry('pump', 'rack')];
  const shared = sharedBy(all);
  expect(shared).toEqual(['rack', 'pump']);
  expect(all.map((one) => ownOf(one, shared))).toEqual(['spacer', 'nothing else', 'nothing else']);
});

test('an entry by itself, or beside one that changes nothing, shares nothing', () => {
  expect(sharedBy([entry('rack')])).toEqual([]);
  const all = [entry('rack'), entry()];
  expect(sharedBy(all)).toEqual([]);
  expect(all.map((one) => ownOf(one, sharedBy(all)))).toEqual(['rack', 'as it is now']);
});
