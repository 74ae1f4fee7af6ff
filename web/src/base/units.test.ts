import { expect, it } from 'vitest';
import { fromShown, showSi, shown, toShown } from './units';

it.each([
  [0.0431, 'm', 'metric', '43.1 mm'],
  [0.0254, 'm', 'imperial', '1.00 in'],
  [10.36, 'm', 'metric', '10.36 m'],
  [-Math.PI / 180, 'rad', 'metric', '\u22121.0°'],
  [-1e-9, 'rad', 'metric', '0.0°'],
  [100 / 9.549296585513721, 'rad/s', 'metric', '100 rpm'],
  [1e5, 'Pa', 'metric', '1.0 bar'],
  [373.15, 'K', 'imperial', '212 °F'],
  [1 / 60000, 'm³/s', 'metric', '1.00 L/min'],
  [2.5, 'kg', 'metric', '2.500 kg'],
])('%f %s in %s', (si, unit, units, text) => expect(showSi(si, unit, units)).toBe(text));

it('what is shown comes back as it was', () => {
  for (const units of ['metric', 'imperial']) {
    for (const unit of ['m', 'K', 'Pa', 'rad', 'm/s', 'N·m']) {
      const how = shown(unit, units);
      expect(fromShown(toShown(12.5, how), how)).toBeCloseTo(12.5, 10);
    }
  }
});
