import { textParts } from '../../base/format';
import { quantityAt, valueAt } from '../../engine_client/form';
import type { FormTable } from '../../engine_client/types';

/** The units in which people write an engine's speed or a temperature, each to SI. */
const units: [RegExp, (x: number) => number][] = [
  [/rpm/i, (x) => (x * Math.PI) / 30],
  [/rev\/s/, (x) => x * 2 * Math.PI],
  [/deg\/s/, (x) => (x * Math.PI) / 180],
  [/rad\/s/, (x) => x],
  [/c/i, (x) => x + 273.15],
  [/f/i, (x) => (x + 459.67) / 1.8],
  [/k/i, (x) => x],
];

/** An engine's speed or a temperature of the file as SI; null where it is not known. */
export function atRest(form: FormTable | null | undefined, path: string): number | null {
  const quantity = form ? quantityAt(valueAt(form, path)) : null;
  if (!quantity) return null;
  const { value, unit } = textParts(quantity.value);
  const number = Number.parseFloat(value.replace('\u2212', '-'));
  const [, toSi] = units.find(([name]) => name.test(value + unit)) ?? [];
  return toSi && Number.isFinite(number) ? toSi(number) : null;
}
