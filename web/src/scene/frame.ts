import type { Point, SetupResult } from '../engine_client/types';
import type { Turn } from '../engine_client/turn';

/** A point on the sheet [px], x to the right, y down. */
export interface Spot {
  x: number;
  y: number;
}

/** From the vehicle's plan (x forward, y left) [m] to the sheet: forward is up, left is left. */
export interface Frame {
  width: number;
  height: number;
  /** Pixels to a metre. */
  k: number;
  /** The car's middle, and the front axle's line. */
  middle: number;
  axle: number;
  /** Where the travel scale's line lies. */
  scale: number;
  at: (p: Point | readonly [number, number]) => Spot;
}

/** Height of a line of limit names [px], and of how many lines there is room at most. */
export const rowHeight = 18;
export const mostRows = 6;

/** How many lines of limit names the scale of a setup needs. */
export const limitRows = ({ travel_limits: limits }: Pick<SetupResult, 'travel_limits'>) =>
  Math.min(
    mostRows,
    Math.max(
      ...[limits.left, limits.right].map(
        (way) => way.filter((limit) => limit.travel?.si != null).length,
      ),
    ),
  );

const room = { above: 64, scaleBelowWheels: 34, narrow: 560 };

/**
 * Size of the tyres as drawn [m]. Where the file does not tell it, the height of the wheel's centre
 * stands for the radius, and the width is for the eye only.
 */
export function tyreOf(turn: Turn): { radius: number; width: number; assumed: boolean } {
  const height = turn.wheels.left?.centre?.[2] ?? turn.wheels.right?.centre?.[2] ?? 0.3;
  const radius = turn.tyre?.radius ?? height;
  const assumed = turn.tyre?.radius == null || turn.tyre.width == null;
  return { radius, width: turn.tyre?.width ?? 0.58 * radius, assumed };
}

/**
 * Fits the sheet to the linkage as it stands straight ahead.
 * @param width of the sheet [px]
 * @param labels how many lines of limit names the scale needs
 */
export function frameFor(ahead: Turn, width: number, labels: number): Frame {
  const { radius, width: tyreWidth } = tyreOf(ahead);
  const centres = [ahead.wheels.left?.centre, ahead.wheels.right?.centre];
  const out = Math.max(...centres.map((c) => Math.abs(c?.[1] ?? 0.7)));
  const rear =
    Math.max(radius, ...(ahead.car?.obstacles ?? []).map((o) => -(o.at?.[0] ?? 0))) + 0.04;
  const half = out + 0.6 * radius + tyreWidth / 2;
  const k = width / (2 * half);
  const axle = room.above + radius * k;
  const scale = axle + rear * k + room.scaleBelowWheels;
  return {
    width,
    height: Math.round(scale + 30 + labels * rowHeight),
    k,
    middle: width / 2,
    axle,
    scale,
    at: (p) => ({ x: width / 2 - p[1] * k, y: axle - p[0] * k }),
  };
}

/** Whether the sheet is too narrow for the smaller names and dimensions. */
export const narrow = (frame: Frame) => frame.width < room.narrow;

/** SVG path of an arc about a centre, between two headings [rad], left of straight up positive. */
export function arc(centre: Spot, radius: number, from: number, to: number): string {
  const spot = (angle: number) =>
    `${(centre.x - radius * Math.sin(angle)).toFixed(2)} ${(centre.y - radius * Math.cos(angle)).toFixed(2)}`;
  return `M${spot(from)}A${radius} ${radius} 0 0 ${to > from ? 0 : 1} ${spot(to)}`;
}

/** Steps of a scale so that about `most` fit into `span`: 1, 2 or 5 times a power of ten. */
export function niceStep(span: number, most: number): number {
  const rough = span / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  return power * ([1, 2, 5, 10].find((step) => step * power >= rough) ?? 10);
}

/** The rack's ends: its inner joints, as they stand. */
export function rackOf(turn: Turn): { left: Point; right: Point } | null {
  if (turn.rack) return turn.rack;
  const left = turn.wheels.left?.points?.tie_rod_inner;
  const right = turn.wheels.right?.points?.tie_rod_inner;
  return left && right ? { left, right } : null;
}
