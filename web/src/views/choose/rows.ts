import { words } from '../../base/format';
import type { Figure, Margin, SetupResult, Status, TravelLimit } from '../../engine_client/types';

/** A row of the comparison: one result across the setups. */
export interface Row {
  key: string;
  label: string;
  group: string;
  figures: (Figure | undefined)[];
  /** Whether it is one of those that a choice is mostly made by. */
  main: boolean;
}

/** Every result that any setup has, side by side. */
export function rowsOf(setups: SetupResult[]): Row[] {
  const keys = [...new Set(setups.flatMap((setup) => Object.keys(setup.results)))];
  return keys.flatMap((key) => {
    const figures = setups.map((setup) => setup.results[key]);
    const first = figures.find((figure) => figure !== undefined);
    if (!first || figures.every((figure) => figure?.si == null)) return [];
    return [
      {
        key,
        label: [first.label ?? words(key), first.side].filter(Boolean).join(', '),
        group: first.group ?? '',
        figures,
        main: first.decides ?? false,
      },
    ];
  });
}

/** Rows under their headings, in the order of the rows. */
export function grouped(rows: Row[]): [string, Row[]][] {
  const by = new Map<string, Row[]>();
  for (const row of rows) by.set(row.group, [...(by.get(row.group) ?? []), row]);
  return [...by];
}

/** A margin across the setups. */
export interface MarginRow {
  key: string;
  label: string;
  margins: (Margin | undefined)[];
}

/** Every margin that any setup has, the worst first. */
export function marginsOf(setups: SetupResult[]): MarginRow[] {
  const keys = [...new Set(setups.flatMap((setup) => Object.keys(setup.margins)))];
  const rows = keys.flatMap((key) => {
    const margins = setups.map((setup) => setup.margins[key]);
    const first = margins.find((margin) => margin !== undefined);
    const shownAtAll = margins.some((m) => m && !m.absent);
    return first && shownAtAll ? [{ key, label: first.label, margins }] : [];
  });
  return rows.sort((a, b) => worst(b) - worst(a));
}

const rank: Record<Status, number> = { exceeded: 3, close: 2, holds: 1, unknown: 0 };
const worst = (row: MarginRow) => Math.max(...row.margins.map((m) => rank[m?.status ?? 'unknown']));

/** The limits of a setup; what is not fitted, or never met, does not count. */
const limitsOf = (setup: SetupResult): (Margin | TravelLimit)[] => [
  ...Object.values(setup.margins).filter((margin) => !margin.absent),
  ...Object.values(setup.travel_limits)
    .flat()
    .filter((limit) => !limit.absent && !limit.beyond_travel_looked_at),
];

/** Names of the limits of a setup that do not hold; one that ends the travel both ways once. */
export const failing = (setup: SetupResult) => [
  ...new Set(
    limitsOf(setup)
      .filter(({ status }) => status === 'exceeded')
      .map((limit) => limit.label ?? ('limit' in limit ? words(limit.limit) : '')),
  ),
];

/** How many limits of a setup stand how. */
export function tally(setup: SetupResult): Record<Status, number> {
  const all = limitsOf(setup);
  const count = (status: Status) => all.filter((one) => one.status === status).length;
  return {
    exceeded: count('exceeded'),
    close: count('close'),
    holds: count('holds'),
    unknown: count('unknown'),
  };
}
