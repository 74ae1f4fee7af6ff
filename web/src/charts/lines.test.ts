import { expect, it } from 'vitest';
import type { Curve } from '../engine_client/types';
import { apart, at, ends, extent, lineOf } from './lines';

const curve: Curve = {
  revision: 1,
  setup: 'a',
  columns: [
    { key: 'travel', label: '', si_unit: 'm' },
    { key: 'torque', label: '', si_unit: 'N·m' },
    { key: 'torque_pm', label: '', si_unit: 'N·m' },
  ],
  rows: [
    [0, 2, 0.5],
    [0.1, null, null],
    [0.2, 4, 1],
  ],
};
const units = { x: { factor: 1000 }, y: { factor: 1 } };
const style = { name: 'a', main: true, dash: 0 };

it('takes a column with its ±, and leaves gaps', () => {
  const line = lineOf(curve, 'torque', units, style);
  expect(line?.points).toEqual([
    { x: 0, y: 2, pm: 0.5 },
    { x: 100, y: null, pm: null },
    { x: 200, y: 4, pm: 1 },
  ]);
  expect(lineOf(curve, 'nothing', units, style)).toBeNull();
  if (!line) throw new Error('no line');
  expect(extent([line])).toEqual({ x: [0, 200], y: [0, 5] });
  expect(line).toMatchObject({ setup: 'a', column: 'torque' });
});

it('reads between the points of a line, and nothing beyond its ends or in a gap', () => {
  const points = [
    { x: 0, y: null, pm: null },
    { x: 10, y: 2, pm: 0.5 },
    { x: 20, y: 4, pm: 1.5 },
    { x: 30, y: null, pm: null },
    { x: 40, y: 6, pm: null },
    { x: 50, y: 8, pm: null },
  ];
  const line = { ...style, setup: 'a', column: 'torque', points };
  expect(at(line, 15)).toEqual({ x: 15, y: 3, pm: 1 });
  expect(at(line, 20)).toEqual(points[2]);
  expect(at(line, 45)).toEqual({ x: 45, y: 7, pm: null });
  for (const x of [-1, 0, 5, 25, 30, 35, 51]) expect(at(line, x)).toBeNull();
  expect(ends(line)).toEqual([points[1], points[5]]);
  expect(ends({ ...line, points: points.slice(0, 1) })).toBeNull();
});

it('moves labels apart within their bounds', () => {
  const moved = apart([10, 11, 50, 99], 15, 0, 100);
  const sorted = [...moved].sort((a, b) => a - b);
  sorted.slice(1).forEach((y, i) => expect(y - (sorted[i] ?? 0)).toBeGreaterThanOrEqual(15));
  expect(Math.max(...moved)).toBeLessThanOrEqual(100);
  expect(moved[0]).toBeLessThan(moved[1] ?? 0);
});
