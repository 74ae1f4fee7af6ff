import { shown } from '../../../base/units';
import { lineOf, type Line } from '../../../charts/lines';
import type { History, Order } from '../../../engine_client/simulate';

/** The runs that there are, by the server's words. */
export const runs: [string, string][] = [
  ['parking', 'Parking: to just before lock, hold, back'],
  ['step', 'Step: a quick turn, then held'],
  ['ramp', 'Ramp: an even turn, then held'],
  ['sine', 'Sine: to and fro'],
  ['lock-impact', 'Lock impact: on into the stop'],
];

/** How a run was ordered, in words; `idle` as the file has it, where nothing else was asked for. */
export function orderText(order: Order, idle: string): string {
  const engine = order.engine_speed || (idle && `idling at ${idle}`) || 'idling';
  return [
    runs.find(([key]) => key === order.run)?.[1],
    order.amplitude,
    order.time && `${order.run === 'sine' ? 'one wave' : 'turned'} in ${order.time}`,
    order.duration && `${order.duration} in all`,
    `engine ${engine}`,
    order.air ? `air in the oil ${order.air}` : 'no air in the oil',
  ]
    .filter(Boolean)
    .join(', ');
}

/** One chart over time: which column of the history. */
export const plots = [
  { key: 'hand_torque', title: 'Torque of the hand', y: 'torque, to the left +' },
  { key: 'hand_angle', title: 'Hand-wheel angle', y: 'angle, to the left +' },
  { key: 'outlet', title: 'Pressure at the pump', y: 'pressure' },
  { key: 'flow', title: 'Flow delivered', y: 'flow' },
  { key: 'travel', title: 'Rack travel', y: 'travel, to the left +' },
  { key: 'assist', title: 'Force of the oil on the rack', y: 'force, to the left +' },
];
export type MotionPlot = (typeof plots)[number];

/** A setup's line in each chart; its dashes go by its place, so they are the same in all. */
export function linesOf(
  key: string,
  histories: [string, History][],
  chosen: string,
  units: string,
): Line[] {
  const beside = histories.filter(([name]) => name !== chosen).map(([name]) => name);
  return histories.flatMap(([name, history]) => {
    const unit = history.columns.find((column) => column.key === key)?.si_unit ?? '';
    const how = { x: shown('s', units), y: shown(unit, units) };
    const dash = beside.indexOf(name) + 1;
    const line = lineOf(history, key, how, { name, main: name === chosen, dash });
    return line ?? [];
  });
}

/** Unit and decimals of a column as shown. */
export function axisOf(key: string, histories: [string, History][], units: string) {
  const columns = histories[0]?.[1].columns ?? [];
  return shown(columns.find((column) => column.key === key)?.si_unit ?? '', units);
}
