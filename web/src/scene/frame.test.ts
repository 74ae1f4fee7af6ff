import { expect, it } from 'vitest';
import { arc, niceStep } from './frame';

it.each([
  [100, 5, 20],
  [95, 5, 20],
  [3.7, 5, 1],
  [0.9, 3, 0.5],
])('steps of a scale of %f in about %i', (span, most, step) => {
  expect(niceStep(span, most)).toBeCloseTo(step);
});

it('an arc from straight ahead to the left goes up and to the left', () => {
  expect(arc({ x: 0, y: 0 }, 10, 0, Math.PI / 2)).toBe('M0.00 -10.00A10 10 0 0 0 -10.00 -0.00');
  expect(arc({ x: 0, y: 0 }, 10, 0, -Math.PI / 2)).toContain('0 0 1 10.00');
});
