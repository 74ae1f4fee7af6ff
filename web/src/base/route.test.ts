import { expect, it } from 'vitest';
import { firstView, readRoute, start, writeRoute } from './route';

it('comes back from the address as it went in', () => {
  const route = {
    ...start,
    view: 'weigh',
    setup: 'first try & more',
    handWheel: -4.25,
    left: 0.03,
  };
  expect(readRoute(writeRoute(route))).toEqual(route);
});

it('keeps the name of a setup, whatever it is', () => {
  const setup = 'first try 2? #1 & "50 %" + é = \\';
  expect(readRoute(writeRoute({ ...start, setup })).setup).toBe(setup);
});

it('makes the best of an address that says nothing or nonsense', () => {
  expect(readRoute('')).toEqual(start);
  expect(readRoute('#code=K3XY')).toEqual(start);
  expect(readRoute('#/turn?hand-wheel=abc&left=&road-speed=NaN')).toEqual({
    ...start,
    view: 'turn',
  });
});

it('opens the car while nothing is known', () => {
  expect(firstView([])).toBe('car');
  expect(firstView([{ results: { turns: { si: null } } }])).toBe('car');
  expect(firstView([{ results: { turns: { si: null }, toe_left: { si: 0 } } }])).toBe('turn');
});
