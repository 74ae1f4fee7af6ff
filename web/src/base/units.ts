import { minus } from './format';

/** How an SI unit is shown: factor and offset to the shown unit, its name, decimals. */
interface Shown {
  factor: number;
  offset?: number;
  unit: string;
  decimals: number;
}

const deg = 180 / Math.PI;
const perMinute = 30 / Math.PI;
const angle: Shown = { factor: deg, unit: '°', decimals: 1 };
const metric: Record<string, Shown> = {
  m: { factor: 1000, unit: 'mm', decimals: 1 },
  rad: angle,
  'rad/m': { factor: deg * 0.025, unit: 'deg/25 mm', decimals: 2 },
  'rad/s': { factor: perMinute, unit: 'rpm', decimals: 0 },
  'm/s': { factor: 3.6, unit: 'km/h', decimals: 0 },
  'm/s²': { factor: 1, unit: 'm/s²', decimals: 1 },
  'm³/s': { factor: 60000, unit: 'L/min', decimals: 2 },
  Pa: { factor: 1e-5, unit: 'bar', decimals: 1 },
  N: { factor: 1, unit: 'N', decimals: 0 },
  'N·m': { factor: 1, unit: 'N·m', decimals: 2 },
  K: { factor: 1, offset: -273.15, unit: '°C', decimals: 0 },
  'm/rad': { factor: 2000 * Math.PI, unit: 'mm/turn', decimals: 1 },
  A: { factor: 1, unit: 'A', decimals: 2 },
  s: { factor: 1, unit: 's', decimals: 2 },
  '1': { factor: 1, unit: '', decimals: 2 },
};
const inch = 0.0254;
const poundForce = 4.4482216152605;
const imperial: Record<string, Shown> = {
  ...metric,
  m: { factor: 1 / inch, unit: 'in', decimals: 2 },
  'rad/m': { factor: deg * inch, unit: 'deg/in', decimals: 2 },
  'm/s': { factor: 3600 / 1609.344, unit: 'mph', decimals: 0 },
  'm/s²': { factor: 1 / 0.3048, unit: 'ft/s²', decimals: 1 },
  'm³/s': { factor: 60 / 0.003785411784, unit: 'gal/min', decimals: 2 },
  Pa: { factor: 1 / 6894.757293168, unit: 'psi', decimals: 0 },
  N: { factor: 1 / poundForce, unit: 'lbf', decimals: 1 },
  'N·m': { factor: 1 / (poundForce * 0.3048), unit: 'lbf·ft', decimals: 2 },
  K: { factor: 1.8, offset: -459.67, unit: '°F', decimals: 0 },
  'm/rad': { factor: (2 * Math.PI) / inch, unit: 'in/turn', decimals: 2 },
};

const longLength = (units: string): Shown =>
  units === 'imperial'
    ? { factor: 1 / 0.3048, unit: 'ft', decimals: 1 }
    : { factor: 1, unit: 'm', decimals: 2 };

/** How numbers of this SI unit are shown; a unit not known here is shown as it is. */
export function shown(siUnit: string, units: string): Shown {
  const table = units === 'imperial' ? imperial : metric;
  return table[siUnit] ?? { factor: 1, unit: siUnit, decimals: 3 };
}

/** An SI number as shown, without its unit. */
export const toShown = (si: number, how: Shown) => si * how.factor + (how.offset ?? 0);

/** A shown number as SI. */
export const fromShown = (value: number, how: Shown) => (value - (how.offset ?? 0)) / how.factor;

/** An SI number with unit, for what the server gives without a text: poses and axes. */
export function showSi(si: number, siUnit: string, units: string): string {
  // A length that is more than a car is wide is not told in millimetres.
  const far = siUnit === 'm' && Math.abs(si) >= 3;
  const how = far ? longLength(units) : shown(siUnit, units);
  const number = minus(toShown(si, how).toFixed(how.decimals)).replace(/^\u2212(0\.?0*)$/, '$1');
  return how.unit === '°' ? `${number}°` : `${number} ${how.unit}`.trimEnd();
}
