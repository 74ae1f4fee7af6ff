import { describe, expect, it } from 'vitest';
import { below, joinPath, segments } from './path';

describe('a path written and read', () => {
  it.each([
    ['car.front.track', ['car', 'front', 'track']],
    ['setup.first-try_2.rack_up', ['setup', 'first-try_2', 'rack_up']],
    ['rack.slow.boost[2].torque', ['rack', 'slow', 'boost', 2, 'torque']],
    ['identify.box.variant[0].trait[11]', ['identify', 'box', 'variant', 0, 'trait', 11]],
    ['spacer."8.5 mm".thickness', ['spacer', '8.5 mm', 'thickness']],
    ['setup."first try 2".rack_up', ['setup', 'first try 2', 'rack_up']],
    ['pump."mid \\"a]\\\\b[0]: é".face[1].at', ['pump', 'mid "a]\\b[0]: é', 'face', 1, 'at']],
    ['rack."дёшево 🚗"', ['rack', 'дёшево 🚗']],
    ['rack."tab\\t, bell\\u0007, del\\u007f"', ['rack', 'tab\t, bell\x07, del\x7f']],
    ['rack."".travel', ['rack', '', 'travel']],
    ['rack."*".travel', ['rack', '*', 'travel']],
    ['title', ['title']],
    ['', []],
  ])('%s', (path, list) => {
    expect(joinPath(...list)).toBe(path);
    expect(segments(path)).toEqual(list);
  });
});

it.each(['setup.first try.rack', 'rack.*', 'rack.', '.rack', 'rack."slow', 'rack[x]', 'a"b"'])(
  'what is no path is taken as a name: %s',
  (text) => {
    expect(segments(text)).toEqual([text]);
  },
);

it('a path goes on from another one', () => {
  expect(below('', 'title')).toBe('title');
  expect(below('spacer."8.5 mm"', 'face', 0, 'at')).toBe('spacer."8.5 mm".face[0].at');
  expect(below('rack', 'slow one')).toBe('rack."slow one"');
});
