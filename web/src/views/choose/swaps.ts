/** "rack slow -> quick" as people read it. */
export const arrows = (swap = '') => swap.replaceAll(' -> ', ' → ');

/**
 * What a change is of, without what it goes from and to: "rack", or "pump, pulley" where several
 * things change as one.
 * @param kinds all that can change: "rack", "rack up", "control valve"
 */
export function kindsOf(swap: string, kinds: string[]): string[] {
  const longestFirst = [...kinds].sort((a, b) => b.length - a.length);
  return swap.split(', ').flatMap((change) => {
    const kind = longestFirst.find((kind) => change.startsWith(`${kind} `));
    return kind && change.includes(' -> ') ? [kind] : [];
  });
}

/** "+4.9 bar, last +5.0" as its two parts. */
export function alone(all: string): { alone: string; last: string } {
  const [alone = '', last = ''] = all.split(', last ');
  return { alone, last };
}
