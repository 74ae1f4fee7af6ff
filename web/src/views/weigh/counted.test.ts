import { describe, expect, it } from 'vitest';
import type { Figure, Held } from '../../engine_client/types';
import { inputsWorth, resultsWorth, statedPm } from './counted';

/** A result that leans on `bar` (± 3) by half of its squared ±, twice as much as `rod` moves. */
const results: Record<string, Figure> = {
  bare: { si: 1 },
  pull: {
    si: 100,
    si_pm: 6 * Math.SQRT2,
    from: [
      { input: 'bar', sensitivity_si: -2, share: 0.5 },
      { input: 'rod', sensitivity_si: 0, share: 0 },
    ],
  },
  turns: { si: 18, si_pm: 0.5, from: [] },
};
const told = (si: number, si_pm: number | null) => ({ si, si_pm, text: '' });
const held = (part: Partial<Held>): Held => ({
  agree: true,
  compared: [],
  suspects: [],
  inputs: [],
  results: [],
  ...part,
});

describe('with the readings counted', () => {
  it('finds the ± that the file states from the shares', () => {
    expect(statedPm({ results }, 'bar')).toBeCloseTo(3, 12);
    expect(statedPm({ results }, 'rod')).toBeNull();
    expect(statedPm({ results }, 'nothing')).toBeNull();
  });

  it('keeps inputs whose ± falls much', () => {
    const inputs = [
      { input: 'bar', name: 'bar', ...told(1, 2.3) },
      { input: 'rod', name: 'rod', ...told(1, 0.1) },
    ];
    expect(inputsWorth(held({ inputs }), { results }).map((i) => i.input)).toEqual(['bar']);
    const hardly = [{ input: 'bar', name: 'bar', ...told(1, 2.5) }];
    expect(inputsWorth(held({ inputs: hardly }), { results })).toEqual([]);
  });

  it('keeps results that are narrowed or moved, in their order', () => {
    const list = [
      { result: 'bare', name: 'bare', ...told(1, 0.1) },
      { result: 'pull', name: 'pull', ...told(105, 8) },
      { result: 'turns', name: 'turns', ...told(18, 0.1) },
    ];
    const names = resultsWorth(held({ results: list }), { results }).map((r) => r.result);
    expect(names).toEqual(['pull', 'turns']);
    const unmoved = [{ result: 'pull', name: 'pull', ...told(101, 8) }];
    expect(resultsWorth(held({ results: unmoved }), { results })).toEqual([]);
  });

  it('keeps no more than ten, those that gain most', () => {
    const many = Object.fromEntries(
      Array.from({ length: 12 }, (_, i) => [`r${i}`, { si: 0, si_pm: 1 } satisfies Figure]),
    );
    const list = Object.keys(many).map((result, i) => ({
      result,
      name: result,
      ...told(0, 0.7 - 0.05 * i),
    }));
    const kept = resultsWorth(held({ results: list }), { results: many });
    expect(kept.map((r) => r.result)).toEqual(Object.keys(many).slice(2));
  });
});
