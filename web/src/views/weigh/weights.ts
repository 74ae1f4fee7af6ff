/** The rows of the table of weights, and which notes bear on them. */
import type { SetupResult } from '../../engine_client/types';

/** Results at the kerb, each of which stands for a way to tell of every situation. */
const tellings = ['kerb_torque', 'kerb_pull', 'kerb_pressure', 'idle_flow'];

export interface Telling {
  key: string;
  /** Torque, pressure and so on. */
  side: string;
  /** What it is under: says how engine and hand stand. */
  group: string;
  /** The same of every situation: result keys. */
  rows: { key: string; label: string }[];
}

/** The ways to tell what the hand wheel weighs, in the words of the answer. */
export function tellingsOf(setups: SetupResult[]): Telling[] {
  return tellings.flatMap((key) => {
    const of = setups.find(({ results }) => results[key])?.results[key];
    if (!of) return [];
    const { side = '', group = '' } = of;
    const found = new Map<string, string>();
    for (const { results } of setups) {
      for (const [each, figure] of Object.entries(results)) {
        const same = figure.side === of.side && figure.group === of.group;
        if (same) found.set(each, figure.label ?? each);
      }
    }
    const rows = [...found].map(([each, label]) => ({ key: each, label }));
    return [{ key, side, group, rows }];
  });
}

/**
 * Numbers of the notes, from 1 on, that name a situation. A note begins with the situations it is
 * of: by their labels, or by their speeds alone ("110 km/h, 140 km/h: ...").
 */
export function notesOn(notes: string[], { key, label }: { key: string; label: string }): number[] {
  if (key.includes('_lost_')) return []; // Without oil no note bears on it.
  const speed = /\d+ km\/h/.exec(label)?.[0] ?? 'standing';
  return notes.flatMap((note, i) => {
    const [, speeds = ''] = /^((?:(?:standing|\d+ km\/h)(?:, )?)+): /.exec(note) ?? [];
    const named = [': ', '; '].some((end) => `; ${note}`.includes(`; ${label}${end}`));
    return named || speeds.split(', ').includes(speed) ? [i + 1] : [];
  });
}
