import { expect, it } from 'vitest';
import { expand, fieldOf, keysOf, places, quantityAt, valueAt } from './form';

const form = {
  title: 'x',
  car: { column: { joint: [{ angle: '24 deg' }, { angle: '21 deg' }] } },
  rack: {
    slow: { boost: [{ torque: '2 N·m' }] },
    quick: { travel: { value: '1 m', from: 'guess' } },
  },
};

it('reads by paths', () => {
  expect(keysOf('rack.slow.boost[0].torque')).toEqual(['rack', 'slow', 'boost', 0, 'torque']);
  expect(valueAt(form, 'rack.slow.boost[0].torque')).toBe('2 N·m');
  expect(valueAt(form, 'rack.slow.boost[1].torque')).toBeUndefined();
  expect(valueAt(form, 'title.x.y')).toBeUndefined();
});

it('finds what a pattern stands for', () => {
  expect(expand(form, 'rack.*')).toEqual(['rack.slow', 'rack.quick']);
  expect(expand(form, 'rack.*.boost[]')).toEqual(['rack.slow.boost[0]']);
  expect(expand(form, 'car.column.joint[]')).toHaveLength(2);
  expect(expand(form, 'pump.*')).toEqual([]);
  expect(
    places(form, [
      { path: 'car.oil', section: { id: 'car', title: 'The car' }, help: '', fields: [] },
    ]),
  ).toMatchObject([{ there: false }]);
});

it('reads a quantity in its short and its long form', () => {
  expect(quantityAt('1 m ± 1 mm')).toEqual({ value: '1 m ± 1 mm' });
  expect(quantityAt(form.rack.quick.travel)).toEqual({ value: '1 m', from: 'guess' });
  expect(quantityAt({ value: '8 mm', tolerance: '0.1 mm', note: 'n' })).toEqual({
    value: '8 mm ± 0.1 mm',
    note: 'n',
  });
});

it('a coordinate belongs to its point', () => {
  expect(fieldOf('car.front.left.tie_rod_outer.x')).toBe('car.front.left.tie_rod_outer');
});
