import type { Held, SetupResult, Told } from '../../engine_client/types';

/** Below this part of the ± that was, a number is worth a line; as on the command line. */
const muchNarrower = 0.8;
/** So much of that ± away, the same. */
const muchMoved = 0.5;

/**
 * The ± [SI] that the file states of an input, or null where none of the results leans on it.
 * No answer holds it, but a share is the square of sensitivity times it over the result's ±.
 */
export function statedPm({ results }: Pick<SetupResult, 'results'>, input: string): number | null {
  for (const { from, si_pm } of Object.values(results)) {
    const share = from?.find((s) => s.input === input && s.share > 0 && s.sensitivity_si !== 0);
    if (share && si_pm) return (Math.sqrt(share.share) * si_pm) / Math.abs(share.sensitivity_si);
  }
  return null;
}

/** Of those that the readings narrow or move much the `most` that gain most, in their order. */
function worthALine<T extends Told>(
  all: T[],
  most: number,
  before: (of: T) => { si?: number | null; pm: number | null | undefined },
): T[] {
  const gain = (of: T) => {
    const { si, pm } = before(of);
    if (!pm || of.si_pm === null) return null;
    const moved = si != null && Math.abs(of.si - si) > muchMoved * pm;
    return moved || of.si_pm < muchNarrower * pm ? of.si_pm / pm : null;
  };
  const gains = all.map((of) => ({ of, part: gain(of) })).filter(({ part }) => part !== null);
  const kept = gains.sort((a, b) => (a.part ?? 0) - (b.part ?? 0)).slice(0, most);
  return all.filter((of) => kept.some((k) => k.of === of));
}

/** Results that are known better with the readings counted. */
export const resultsWorth = (held: Held, { results }: Pick<SetupResult, 'results'>) =>
  worthALine(held.results, 10, ({ result }) => ({
    si: results[result]?.si ?? null,
    pm: results[result]?.si_pm,
  }));

/** Numbers of the file that are. One that moves much is narrowed as well, so ± alone tells. */
export const inputsWorth = (held: Held, setup: Pick<SetupResult, 'results'>) =>
  worthALine(held.inputs, 6, ({ input }) => ({ pm: statedPm(setup, input) }));
