import { expect, test } from 'vitest';
import { partsOf, weightsOf } from './breakdown';
import type { SetupResult } from './types';

const setup = (name: string, si: number, breakdown: SetupResult['breakdown']): SetupResult => ({
  name,
  level: 'points',
  taken_for_granted: [],
  trouble: [],
  notes: [],
  results: { kerb_torque: { si, label: 'Kerb' }, kerb_pull: { si, label: 'Kerb, pull' } },
  breakdown,
  travel_limits: { left: [], right: [] },
  margins: {},
  cautions: [],
});
const soft = setup('soft', 4, { kerb_torque: { tyre: 5, assistance: -1 } });
const stiff = setup('stiff', 6, { kerb_torque: { tyre: 6 } });

test('a setup of which nothing can be weighed has no weights', () => {
  expect(weightsOf(setup('bare', 1, null))).toEqual([]);
  expect(weightsOf(soft).map(([key]) => key)).toEqual(['kerb_torque']);
});

test('the parts are found of a figure and of its twin in another answer', () => {
  const figure = stiff.results.kerb_torque ?? { si: null };
  expect(partsOf([soft, stiff], figure)).toMatchObject({ setup: 'stiff', terms: { tyre: 6 } });
  expect(partsOf([soft, stiff], { ...figure })?.setup).toBe('stiff');
  expect(partsOf([soft, stiff], { si: 6.1, label: 'Kerb' })).toBeUndefined();
});

test('what is no weight, or not known, has no parts', () => {
  expect(partsOf([soft], { si: 4, label: 'Kerb, pull' })).toBeUndefined();
  expect(partsOf([soft], { si: null, label: 'Kerb' })).toBeUndefined();
});
