import { expect, it } from 'vitest';
import { alone, kindsOf } from './swaps';

const kinds = ['rack', 'rack up', 'arms', 'pump', 'pulley', 'control valve'];

it.each([
  ['rack slow -> quick', ['rack']],
  ['rack up 0 ± 0.5 mm -> 9 ± 1 mm', ['rack up']],
  ["arms the car's own -> short", ['arms']],
  ['control valve none -> bypass', ['control valve']],
  ['rack slow -> works, pump middle -> none, pulley works -> none', ['rack', 'pump', 'pulley']],
  ['steering valve', []],
])('%s is a change of %s', (swap, of) => expect(kindsOf(swap, kinds)).toEqual(of));

it('takes what a swap makes apart from what it makes last', () => {
  expect(alone('+4.9 bar, last +5.0')).toEqual({ alone: '+4.9 bar', last: '+5.0' });
  expect(alone('+1.2 bar')).toEqual({ alone: '+1.2 bar', last: '' });
});
