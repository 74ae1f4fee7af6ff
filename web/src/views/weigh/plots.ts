import { lineOf, type Line } from '../../charts/lines';
import { showSi, shown } from '../../base/units';
import type { Curve, CurveKind, SetupResult } from '../../engine_client/types';

/** A column of a curve that is drawn, and the name that it goes by. */
export interface Drawn {
  key: string;
  name: string;
  lost?: boolean;
  /** The result in the same situation, whose ± has the same inputs behind it; where there is one. */
  result?: string;
}

/** One chart of the view: which curve, and which columns of it. */
export interface Plot {
  of: Exclude<CurveKind, 'linkage'>;
  title: string;
  /** How engine and hand stand in it. */
  state: string;
  x: string;
  y: string;
  /** Columns of the chosen setup; of the others the first, and where assistance is lost. */
  columns: Drawn[];
  /** The result of the same chain: without it there is no curve. */
  result: string;
}

/** Whether a setup has the curve of a plot: it has if the result of the same chain is known. */
export const drawable = (plot: Plot, setup: SetupResult | undefined) =>
  setup?.results[plot.result]?.si != null;

export const plots: Plot[] = [
  {
    of: 'kerb',
    title: 'At the kerb, turned to the left',
    state: 'engine idling, brake off, dry, turned slowly',
    x: 'rack travel, to the left +',
    y: 'torque at the hand wheel',
    columns: [
      { key: 'turn_left', name: '', result: 'kerb_torque' },
      { key: 'brake_turn_left', name: 'brake on', result: 'kerb_brake_torque' },
      { key: 'lost_left', name: 'assist lost', lost: true, result: 'kerb_lost_torque' },
    ],
    result: 'kerb_torque',
  },
  {
    of: 'road',
    title: 'On the road, turned in',
    state: 'engine at cruise speed, turned slowly',
    x: 'sideways acceleration',
    y: 'torque at the hand wheel',
    columns: [
      { key: 'in_80', name: '80 km/h', result: 'road_torque' },
      { key: 'in_50', name: '50 km/h', result: 'town_torque' },
      { key: 'in_110', name: '110 km/h', result: 'fast_torque' },
      { key: 'in_140', name: '140 km/h', result: 'motorway_torque' },
    ],
    result: 'road_torque',
  },
  {
    of: 'boost',
    title: 'Boost',
    state: 'standing with the engine idling, on the road at cruise speed',
    x: 'torque at the valve',
    y: 'pressure',
    // The pressures among the results hang on what the tyres ask for; these do not.
    columns: [
      { key: 'pressure', name: 'standing, idle' },
      { key: 'pressure_80', name: '80 km/h' },
      { key: 'pressure_140', name: '140 km/h' },
    ],
    result: 'kerb_pressure',
  },
  {
    of: 'pump',
    title: 'Oil from the pump',
    state: 'turned slowly at the kerb, brake off, dry',
    x: 'engine speed',
    y: 'flow delivered',
    columns: [{ key: 'flow', name: '', result: 'idle_flow' }],
    result: 'idle_flow',
  },
];

/** Lines of a plot: the chosen setup's columns, and of the others the first, and assist lost. */
export function linesOf(
  plot: Plot,
  curves: Map<string, Curve>,
  chosen: string,
  units: string,
  withLost: boolean,
): Line[] {
  const columns = plot.columns.filter(({ lost }) => withLost || !lost);
  const drawn = (setup: string): Drawn[] =>
    setup === chosen ? columns : columns.filter(({ lost }, i) => i === 0 || lost);
  // The chosen setup comes first, and its dashes are the same whatever is drawn beside it.
  const order = [...curves].sort(([a], [b]) => Number(b === chosen) - Number(a === chosen));
  let beside = plot.columns.length;
  return order.flatMap(([setup, curve]) =>
    drawn(setup).flatMap((column) => {
      const { key, name } = column;
      const main = setup === chosen;
      const dash = main ? plot.columns.indexOf(column) : beside;
      const how = {
        x: shown(curve.columns[0]?.si_unit ?? '', units),
        y: shown(curve.columns.find((one) => one.key === key)?.si_unit ?? '', units),
      };
      const line = lineOf(curve, key, how, { name: nameOf(setup, name, main), main, dash });
      if (!line || (column.lost && !loses(curve, key, plot))) return [];
      if (!main) beside += 1;
      return line;
    }),
  );
}

/** Whether there is assistance to be lost: without any the curve is the first one over again. */
function loses({ columns, rows }: Curve, lost: string, plot: Plot): boolean {
  const [first, other] = [plot.columns[0]?.key, lost].map((of) =>
    columns.findIndex(({ key }) => key === of),
  );
  return rows.some((row) => row[first ?? -1] !== row[other ?? -1]);
}

/** A line of the chosen setup goes by its column, one beside it by its setup as well. */
const nameOf = (setup: string, column: string, main: boolean) =>
  main ? column || setup : [setup, column].filter(Boolean).join(', ');

/** What casts doubt on the chosen setup's lines, with the names of those lines but where it is all. */
export function doubtsOf(plot: Plot, curve: Curve | undefined): string[] {
  const own = plot.columns.filter(({ key }) => curve?.columns.some((column) => column.key === key));
  return (curve?.doubts ?? []).flatMap(({ text, columns }) => {
    const on = own.filter(({ key }) => columns.includes(key));
    if (!on.length) return [];
    const names = on.length < own.length ? on.map(({ name }) => name).filter(Boolean) : [];
    return [names.length ? `${text} (${names.join(', ')})` : text];
  });
}

/** Names and units of a plot's axes, from any of its curves. */
export function axesOf(plot: Plot, curves: Map<string, Curve>, units: string) {
  const curve = [...curves.values()].find(({ columns }) => columns.length);
  const column = curve?.columns.find(({ key }) => key === plot.columns[0]?.key);
  const x = shown(curve?.columns[0]?.si_unit ?? '', units);
  const y = shown(column?.si_unit ?? '', units);
  const turn = turnToLeft([...curves.values()]);
  return {
    x: { label: turn ? `${plot.x} (${turn} turn)` : plot.x, unit: x.unit, decimals: x.decimals },
    y: { label: plot.y, unit: y.unit, decimals: y.decimals },
  };
}

/** The turn that a rack's way to the left makes, where the curves know it and are alike. */
export function turnToLeft(curves: Curve[]): 'left' | 'right' | null {
  const ways = curves.map(({ columns, rows }) => {
    const at = columns.findIndex(({ key }) => key === 'hand_wheel');
    return at < 0 ? 0 : Math.sign(rows.at(-1)?.[at] ?? 0);
  });
  const [first] = ways;
  if (!first || ways.some((way) => way !== first)) return null;
  return first > 0 ? 'left' : 'right';
}

/** The pressure that the pump delivers against all along a curve, where it tells of it. */
export function againstOf(plot: Plot, curve: Curve | undefined, units: string): string | null {
  const at = curve?.columns.findIndex(({ key }) => key === 'pressure') ?? -1;
  if (plot.of !== 'pump' || !curve || at < 0) return null;
  const all = curve.rows.flatMap((row) => row[at] ?? []);
  if (!all.length) return null;
  const [least, most] = [Math.min(...all), Math.max(...all)].map((si) => showSi(si, 'Pa', units));
  return least === most ? `against ${most}` : `against ${least} to ${most}`;
}
