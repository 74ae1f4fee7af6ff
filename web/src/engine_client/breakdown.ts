/** Of what a weight is made, and which weights of a setup are told so. */
import type { Figure, SetupResult } from './types';

/** Parts of a weight by name: torque at the hand wheel [N·m]. */
export type Terms = Record<string, number>;

/** The weights of a setup of which the parts are known, by result key. */
export const weightsOf = (setup: SetupResult): [string, Terms][] =>
  Object.entries(setup.breakdown ?? {});

/**
 * The parts of a figure, wherever it is asked of. An answer of its own, such as a comparison's,
 * holds another object of the same figure: it goes by name and value.
 */
export function partsOf(setups: SetupResult[], figure: Figure) {
  const all = setups.flatMap((setup) =>
    weightsOf(setup).map(([key, terms]) => ({
      setup: setup.name,
      terms,
      figure: setup.results[key],
    })),
  );
  const same = (one: Figure | undefined) =>
    one !== undefined &&
    one.si !== null &&
    one.si === figure.si &&
    one.label === figure.label &&
    one.side === figure.side;
  return (
    all.find((weight) => weight.figure === figure) ?? all.find((weight) => same(weight.figure))
  );
}
