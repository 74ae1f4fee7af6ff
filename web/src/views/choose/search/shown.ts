import { minus } from '../../../base/format';
import { shown, toShown } from '../../../base/units';
import type { Entry, WishSaid } from '../../../engine_client/search';

/** How the numbers of a wish stand on an axis or in a field. */
export function scaleOf(wish: WishSaid, units: string) {
  if (wish.aim === 'hours') return { factor: 1 / 3600, unit: 'h', decimals: 1 };
  if (wish.aim === 'turns') return { factor: 1 / (2 * Math.PI), unit: 'turns', decimals: 2 };
  if (wish.aim === 'lasting') return { factor: 1, unit: '', decimals: 0 };
  if (wish.aim === 'turning_circle' && units !== 'imperial') {
    return { factor: 1, unit: 'm', decimals: 2 };
  }
  return shown(wish.si_unit, units);
}

/** A chance as people say it; certainty is never claimed of what was measured. */
export function percent(chance: number | null | undefined): string {
  if (chance == null) return '';
  if (chance > 0.995) return 'over 99 %';
  if (chance < 0.005) return 'under 1 %';
  return `${(100 * chance).toFixed(0)} %`;
}

/** What an entry changes, in a line. */
export const changesOf = (entry: Entry) =>
  entry.changes.length ? entry.changes.map(({ text }) => text).join('; ') : 'as it is now';

/** The changes that all entries make, so that they need not be told with each. */
export function sharedBy(entries: Entry[]): string[] {
  const [first, ...others] = entries.map(({ changes }) => changes.map(({ text }) => text));
  if (!first || !others.length) return [];
  return first.filter((text) => others.every((list) => list.includes(text)));
}

/** What an entry changes beside what all of them do. */
export function ownOf(entry: Entry, shared: string[]): string {
  const own = entry.changes.map(({ text }) => text).filter((text) => !shared.includes(text));
  return own.join('; ') || (shared.length ? 'nothing else' : 'as it is now');
}

/** A value and its ± on an axis; null where it is not known. */
export function pointOf(entry: Entry, wish: WishSaid, units: string) {
  const value = entry.aims[wish.aim];
  if (value?.si == null) return null;
  const how = scaleOf(wish, units);
  return { at: toShown(value.si, how), pm: (value.si_pm ?? 0) * how.factor };
}

/** Which way is better, told at an axis. */
export const arrowOf = (wish: WishSaid) =>
  ({ less: 'less is wished', more: 'more is wished', near: wish.text })[wish.want ?? 'near'];

export const tick = (value: number) => minus(String(Number(value.toPrecision(8))));
