import { words } from '../../base/format';
import type { Figure, Margin, SetupResult, Status } from '../../engine_client/types';

/** A row of the comparison: one result across the setups. */
export interface Row {
  key: string;
  label: string;
  group: string;
  figures: (Figure | undefined)[];
  /** Whether it is one of those that a choice is mostly made by. */
  main: boolean;
}

const main =
  /^(turns|ratio_centre|kerb_circle_.*|ackermann_inner_.*|scrub_left|trail_left|bump_steer_.*|pump_(idle|top)|(kerb|kerb_lost|road|motorway)_torque|return_torque|idle_flow|catch_up_.*)$/;

/** Headings by how a key begins, for results that do not bring their own. */
const groups: [RegExp, string][] = [
  [/^(travel_|turns|ratio_|column_)/, 'Turning the wheel'],
  [
    /^(inner_|outer_|kerb_circle|wall_circle|off_tracking|ackermann|steering_error|forced)/,
    'At lock',
  ],
  [/^(toe|camber|caster|inclination|scrub|trail)_/, 'Standing straight ahead'],
  [/^(bump_steer|roll_)/, 'Over bumps and in roll'],
  [/^tie_rod/, 'Tie rods'],
  [/^pump_/, 'Pump drive'],
  [/(_torque|_pull|centre_gradient)$/, 'What the hand wheel weighs'],
];

const groupOf = (key: string, figure: Figure) =>
  figure.group ?? groups.find(([pattern]) => pattern.test(key))?.[1] ?? 'Oil and control';

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
        group: groupOf(key, first),
        figures,
        main: main.test(key),
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

/** How many limits of a setup stand how; what is not fitted, or never met, does not count. */
export function tally(setup: SetupResult): Record<Status, number> {
  const all = [
    ...Object.values(setup.margins).filter((margin) => !margin.absent),
    ...Object.values(setup.travel_limits)
      .flat()
      .filter((limit) => !limit.absent && !limit.beyond_travel_looked_at),
  ];
  const count = (status: Status) => all.filter((one) => one.status === status).length;
  return {
    exceeded: count('exceeded'),
    close: count('close'),
    holds: count('holds'),
    unknown: count('unknown'),
  };
}
