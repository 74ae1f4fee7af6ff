import { describe, expect, it } from 'vitest';
import { asName, guessed, hasPm, readable, textParts, unbroken } from './format';

describe('a figure taken apart', () => {
  it.each([
    ['54.3 ± 1.3 mm/turn', '54.3', '1.3', 'mm/turn'],
    ['37.2° ± 1.6°', '37.2', '1.6', '°'],
    ['3.9 % ± 1.2 %', '3.9', '1.2', '%'],
    ['-2000 ± 110 rpm', '\u22122000', '110', 'rpm'],
    ['16.31 ± 0.49', '16.31', '0.49', ''],
    ['0 mm', '0', null, 'mm'],
  ])('%s', (text, value, pm, unit) => {
    expect(textParts(text)).toEqual({ value, pm, unit });
  });

  it.each([
    ['6 1/4 in ± 1/32 in', '6 1/4', '1/32', 'in'],
    ['4 5/8 ± 1/16 in', '4 5/8', '1/16', 'in'],
    ["0 deg 6' ± 3'", "0 deg 6'", "3'", ''],
    ['(85, 400, 440) mm ± 2 mm', '(85, 400, 440) mm', '2 mm', ''],
    ['99 in ± 2 mm', '99 in', '2 mm', ''],
    ['0.280 ± 0.087 deg/25 mm', '0.280', '0.087', 'deg/25 mm'],
    ['none', 'none', null, ''],
    ['127 mm +- 1 mm', '127', '1', 'mm'],
    ['5 in +/- 1/32 in', '5', '1/32', 'in'],
    ['127mm±1mm', '127', '1', 'mm'],
  ])('written otherwise: %s', (text, value, pm, unit) => {
    expect(textParts(text)).toEqual({ value, pm, unit });
  });
});

it('a ± is seen however it is written', () => {
  for (const text of ['1 ± 2 mm', '1±2 mm', '1 mm +- 2 mm', '1 mm +/- 2']) {
    expect(hasPm(text), text).toBe(true);
  }
  for (const text of ['1 mm', '-1 mm', '+1/2 in', '1e+3 mm']) expect(hasPm(text), text).toBe(false);
});

it('paths are readable', () => {
  expect(readable('rack.quick.boost[2].torque')).toBe('rack · quick · boost 3 · torque');
  expect(readable('tie_rod.works.rod_end')).toBe('tie rod · works · rod end');
  expect(readable('spacer."8.5 mm".thickness')).toBe('spacer · 8.5 mm · thickness');
  expect(readable('pump."the \\"big\\" one".face[0]')).toBe('pump · the "big" one · face 1');
});

it('titles become names', () => {
  expect(asName('  Pump, large (2) ')).toBe('pump-large-2');
  expect(asName('***')).toBe('');
});

it('keeps a number and its unit in one line', () => {
  const set = (text: string) => unbroken(text).replaceAll('\u00a0', '_');
  expect(set('asks for 0.80 A at 80 km/h, 3 m/s²')).toBe('asks for 0.80_A at 80_km/h, 3_m/s²');
  expect(set('3.87 ± 0.38 N·m, oil of 2 mm²/s')).toBe('3.87_±_0.38_N·m, oil of 2_mm²/s');
  expect(set('2 needles, 3 Amps')).toBe('2 needles, 3 Amps');
});

it('finds the marks of guesses in a sentence', () => {
  const line = 'Kerb so: 13.4 ± 5.2 N·m a, heavy: with a coil it is 3.87 ± 0.38 N·m a';
  expect(guessed(line)).toEqual([
    'Kerb so: 13.4 ± 5.2 N·m',
    ', heavy: with a coil it is 3.87 ± 0.38 N·m',
    '',
  ]);
  expect(guessed('Cure: 3 ± 1 mm of a shim')).toEqual(['Cure: 3 ± 1 mm of a shim']);
});
