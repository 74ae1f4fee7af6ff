import { area, line as path } from 'd3-shape';
import type { Line } from './lines';

type P = Line['points'][number];

/** A line as drawn: its curve and, where it has a ±, the band about it, as SVG paths. */
export interface Shape {
  line: Line;
  curve: string | null;
  band: string | null;
  /** The last point that has a value. */
  last: P | undefined;
}

/**
 * Draws lines.
 * @param sx from the x shown to the sheet [px]; `sy` the same of y
 */
export function shapesOf(
  lines: Line[],
  sx: (x: number) => number,
  sy: (y: number) => number,
): Shape[] {
  const curve = path<P>()
    .defined((p) => p.y !== null)
    .x((p) => sx(p.x))
    .y((p) => sy(p.y ?? 0));
  const band = area<P>()
    .defined((p) => p.y !== null && p.pm !== null)
    .x((p) => sx(p.x))
    .y0((p) => sy((p.y ?? 0) - (p.pm ?? 0)))
    .y1((p) => sy((p.y ?? 0) + (p.pm ?? 0)));
  return lines.map((line) => ({
    line,
    curve: curve(line.points),
    band: line.points.some((p) => p.pm) ? band(line.points) : null,
    last: line.points.findLast((p) => p.y !== null),
  }));
}

/** Between a plot and the names of its lines: room for what leads from one to the other [px]. */
export const leader = 22;
/** About as wide is a letter of them [px], also in a saved picture, which has the system's letters. */
const letter = 7.7;

/** How many letters of the names have room beside a plot, and the room that they take with it [px]. */
export function labelRoom(lines: Line[], width: number) {
  const most = Math.max(12, Math.floor((width * 0.34 - leader) / letter));
  const letters = Math.min(most, Math.max(0, ...lines.map(({ name }) => name.length)));
  return { letters, room: leader + letters * letter + 6 };
}

/** A name of at most so many letters; what is cut off is seen to be. */
export const cut = (name: string, letters: number) =>
  name.length > letters ? `${name.slice(0, letters - 1).trimEnd()}…` : name;
