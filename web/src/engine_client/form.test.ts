import { expect, it } from 'vitest';
import { expand, fieldOf, fieldsAt, places, quantityAt, valueAt } from './form';

const form = {
  title: 'x',
  car: { column: { joint: [{ angle: '24 deg' }, { angle: '21 deg' }] } },
  rack: {
    slow: { boost: [{ torque: '2 N·m' }] },
    quick: { travel: { value: '1 m', from: 'guess' } },
  },
  spacer: { '8.5 mm': { thickness: '8.5 mm' }, '*': { face: [{ at: 'rack' }] } },
};

it('reads by paths', () => {
  expect(valueAt(form, 'rack.slow.boost[0].torque')).toBe('2 N·m');
  expect(valueAt(form, 'rack.slow.boost[1].torque')).toBeUndefined();
  expect(valueAt(form, 'title.x.y')).toBeUndefined();
  expect(valueAt(form, 'spacer."8.5 mm".thickness')).toBe('8.5 mm');
  expect(valueAt(form, '')).toBe(form);
});

it('finds what a pattern stands for', () => {
  expect(expand(form, 'rack.*')).toEqual(['rack.slow', 'rack.quick']);
  expect(expand(form, 'rack.*.boost[]')).toEqual(['rack.slow.boost[0]']);
  expect(expand(form, 'car.column.joint[]')).toHaveLength(2);
  expect(expand(form, 'pump.*')).toEqual([]);
  expect(expand(form, 'spacer.*')).toEqual(['spacer."8.5 mm"', 'spacer."*"']);
  expect(expand(form, 'spacer.*.face[]')).toEqual(['spacer."*".face[0]']);
  expect(expand(form, '')).toEqual(['']);
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

it('takes a table apart into its fields', () => {
  expect(fieldsAt(form.rack, 'copy')).toEqual([
    { path: 'copy.slow.boost[0].torque', value: '2 N·m' },
    { path: 'copy.quick.travel', value: { value: '1 m', from: 'guess' } },
  ]);
});

it('a coordinate belongs to its point', () => {
  expect(fieldOf('car.front.left.tie_rod_outer.x')).toBe('car.front.left.tie_rod_outer');
  expect(fieldOf('rack."2.x"')).toBe('rack."2.x"');
});
