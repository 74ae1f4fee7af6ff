import { expect, it } from 'vitest';
import { readRoute, start, writeRoute } from './route';

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

it('makes the best of an address that says nothing or nonsense', () => {
  expect(readRoute('')).toEqual(start);
  expect(readRoute('#/turn?hand-wheel=abc&left=&road-speed=NaN')).toEqual(start);
});
