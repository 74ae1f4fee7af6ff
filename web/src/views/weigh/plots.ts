import { lineOf, type Line } from '../../charts/lines';
import { shown } from '../../base/units';
import type { Curve, CurveKind, SetupResult } from '../../engine_client/types';

/** One chart of the view: which curve, which columns, and which result tells its ±. */
export interface Plot {
  of: Exclude<CurveKind, 'linkage'>;
  title: string;
  x: string;
  y: string;
  /** Columns of the chosen setup, with the name each goes by; the first also of the others. */
  columns: { key: string; name: string; lost?: boolean }[];
  result: string;
}

/** Whether a setup has the curve of a plot: it has if the result of the same chain is known. */
export const drawable = (plot: Plot, setup: SetupResult | undefined) =>
  setup?.results[plot.result]?.si != null;

export const plots: Plot[] = [
  {
    of: 'kerb',
    title: 'At the kerb, turned to the left',
    x: 'rack travel',
    y: 'torque at the hand wheel',
    columns: [
      { key: 'turn_left', name: '' },
      { key: 'brake_turn_left', name: 'brake on' },
      { key: 'lost_left', name: 'assist lost', lost: true },
    ],
    result: 'kerb_torque',
  },
  {
    of: 'road',
    title: 'On the road, turned in',
    x: 'sideways acceleration',
    y: 'torque at the hand wheel',
    columns: [
      { key: 'in_80', name: '80 km/h' },
      { key: 'in_50', name: '50 km/h' },
      { key: 'in_110', name: '110 km/h' },
      { key: 'in_140', name: '140 km/h' },
    ],
    result: 'road_torque',
  },
  {
    of: 'boost',
    title: 'Boost',
    x: 'torque at the valve',
    y: 'pressure',
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
    x: 'engine speed',
    y: 'flow',
    columns: [
      { key: 'flow', name: 'delivered' },
      { key: 'demand', name: 'wanted' },
    ],
    result: 'idle_flow',
  },
];

/** Lines of a plot: the chosen setup's columns, and of the others the first. */
export function linesOf(
  plot: Plot,
  curves: Map<string, Curve>,
  chosen: string,
  units: string,
  withLost: boolean,
): Line[] {
  const own = curves.get(chosen);
  const lines: (Line | null)[] = [];
  const how = (curve: Curve, key: string) => ({
    x: shown(curve.columns[0]?.si_unit ?? '', units),
    y: shown(curve.columns.find((column) => column.key === key)?.si_unit ?? '', units),
  });
  const columns = plot.columns.filter((column) => withLost || !column.lost);
  columns.forEach(({ key, name }, dash) => {
    if (!own) return;
    const style = { name: dash === 0 && name === '' ? chosen : name, main: true, dash };
    lines.push(lineOf(own, key, how(own, key), style));
  });
  let dash = 1;
  for (const [setup, curve] of curves) {
    const first = columns[0];
    if (setup === chosen || !first) continue;
    lines.push(
      lineOf(curve, first.key, how(curve, first.key), { name: setup, main: false, dash: dash++ }),
    );
  }
  return lines.filter((line): line is Line => line !== null);
}

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

/** Units of a plot's axes, from any of its curves. */
export function axesOf(plot: Plot, curves: Map<string, Curve>, units: string) {
  const curve = [...curves.values()].find(({ columns }) => columns.length);
  const column = curve?.columns.find(({ key }) => key === plot.columns[0]?.key);
  const x = shown(curve?.columns[0]?.si_unit ?? '', units);
  const y = shown(column?.si_unit ?? '', units);
  return {
    x: { label: plot.x, unit: x.unit, decimals: x.decimals },
    y: { label: plot.y, unit: y.unit, decimals: y.decimals },
  };
}

/** The situations that the hand wheel is weighed in: result keys without their ending. */
export function situations(setups: SetupResult[]): { key: string; label: string }[] {
  const found = new Map<string, string>();
  for (const setup of setups) {
    for (const [key, figure] of Object.entries(setup.results)) {
      if (key.endsWith('_torque') && setup.results[`${key.slice(0, -7)}_pull`]) {
        found.set(key.slice(0, -7), figure.label ?? key);
      }
    }
  }
  return [...found].map(([key, label]) => ({ key, label }));
}
