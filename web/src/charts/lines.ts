/** Plain data of a chart, and how its pieces are laid out. */
import type { Curve } from '../engine_client/types';

/** One curve of a chart, in the units shown. */
export interface Line {
  name: string;
  /** The setup that it is of, and which column of the curve. */
  setup: string;
  column: string;
  /** The curve of the setup chosen, or one laid beside it. */
  main: boolean;
  /** Which dash pattern; 0 is solid. */
  dash: number;
  points: { x: number; y: number | null; pm: number | null }[];
}

/** Dash patterns, so that no curve is told by its colour alone. */
export const dashes = [
  'none',
  '7 4',
  '2 3',
  '11 4 2 4',
  '5 2 1 2',
  '14 5',
  '1 5',
  '8 3 1 3 1 3',
  '4 6',
  '16 3 4 3',
];

interface Shown {
  factor: number;
  offset?: number;
}
const convert = (si: number | null | undefined, how: Shown) =>
  si == null ? null : si * how.factor + (how.offset ?? 0);

/** A column of a curve over its first column, with the column's ± where there is one. */
export function lineOf(
  curve: Curve,
  key: string,
  units: { x: Shown; y: Shown },
  style: Pick<Line, 'name' | 'main' | 'dash'>,
): Line | null {
  const at = curve.columns.findIndex((column) => column.key === key);
  if (at < 0) return null;
  const pmAt = curve.columns.findIndex((column) => column.key === `${key}_pm`);
  const points = curve.rows.flatMap((row) => {
    const x = convert(row[0], units.x);
    if (x === null) return [];
    const pm = pmAt < 0 ? null : (row[pmAt] ?? null);
    return [
      { x, y: convert(row[at], units.y), pm: pm === null ? null : Math.abs(pm * units.y.factor) },
    ];
  });
  const of = { setup: curve.setup, column: key };
  return points.some((point) => point.y !== null) ? { ...style, ...of, points } : null;
}

/** Least and greatest of what lines reach, bands included; zero is always in. */
export function extent(lines: Line[]): { x: [number, number]; y: [number, number] } {
  const points = lines.flatMap((line) => line.points.filter((point) => point.y !== null));
  const xs = points.map((point) => point.x);
  const ys = points.flatMap(({ y, pm }) => [(y ?? 0) - (pm ?? 0), (y ?? 0) + (pm ?? 0)]);
  if (!points.length) return { x: [0, 1], y: [0, 1] };
  return {
    x: [Math.min(...xs), Math.max(...xs)],
    y: [Math.min(0, ...ys), Math.max(0, ...ys)],
  };
}

/** Moves labels apart so that none lies on another: heights in, heights out, in the same order. */
export function apart(heights: number[], gap: number, least: number, most: number): number[] {
  const order = heights.map((y, i) => ({ y, i })).sort((a, b) => a.y - b.y);
  let floor = least;
  for (const label of order) {
    label.y = Math.max(label.y, floor);
    floor = label.y + gap;
  }
  let ceiling = most;
  for (const label of [...order].reverse()) {
    label.y = Math.min(label.y, ceiling);
    ceiling = label.y - gap;
  }
  const out = [...heights];
  for (const { y, i } of order) out[i] = y;
  return out;
}

type Point = Line['points'][number];

/** The points of a line between which it runs: those that have a value. */
export const ends = ({ points }: Line): [Point, Point] | null => {
  const known = points.filter(({ y }) => y !== null);
  const [first, last] = [known[0], known.at(-1)];
  return first && last ? [first, last] : null;
};

/** A line at x, between its points along the straight from one to the next; null where it has ended. */
export function at(line: Line, x: number): Point | null {
  const exact = line.points.find((point) => point.x === x);
  if (exact) return exact.y === null ? null : exact;
  const next = line.points.findIndex((point) => point.x > x);
  const [from, to] = [line.points[next - 1], line.points[next]];
  if (!from || !to || from.y === null || to.y === null) return null;
  const part = (x - from.x) / (to.x - from.x);
  const pm = from.pm === null || to.pm === null ? null : from.pm + part * (to.pm - from.pm);
  return { x, y: from.y + part * (to.y - from.y), pm };
}
