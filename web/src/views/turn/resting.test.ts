import { expect, it } from 'vitest';
import { atRest } from './resting';

it.each([
  ['850 ± 30 rpm', (850 * Math.PI) / 30],
  ['850 rpm +- 5 %', (850 * Math.PI) / 30],
  ['14 rev/s', 28 * Math.PI],
  ['89 rad/s', 89],
  ['60 ± 10 °C', 333.15],
  ['60degC', 333.15],
  ['-10 °C', 263.15],
  ['140 °F ± 10 °F', 333.15],
  ['60 °C ± 2 K', 333.15],
  ['333 K', 333],
])('%s is %f', (value, si) => expect(atRest({ car: { at: value } }, 'car.at')).toBeCloseTo(si, 9));

it('reads a value that says where it is from', () => {
  const at = { value: '60 °C', from: 'guess' };
  expect(atRest({ car: { at } }, 'car.at')).toBeCloseTo(333.15, 9);
});

it('is not known where nothing is written, or nothing that it can read', () => {
  expect(atRest(null, 'car.at')).toBe(null);
  expect(atRest({ car: {} }, 'car.at')).toBe(null);
  expect(atRest({ car: { at: 'slow' } }, 'car.at')).toBe(null);
});
