import { joinPath } from '../../base/path';
import { showSi } from '../../base/units';
import { valueAt } from '../../engine_client/form';
import type { Figure, FormTable } from '../../engine_client/types';
import type { Turn, Weight, Wheel } from '../../engine_client/turn';

/** Read-outs of a wheel, in the order shown. */
export const wheelRows: { key: keyof Wheel & string; label: string; si_unit: string }[] = [
  { key: 'steer', label: 'Steer', si_unit: 'rad' },
  { key: 'camber', label: 'Camber', si_unit: 'rad' },
  { key: 'caster', label: 'Caster', si_unit: 'rad' },
  { key: 'inclination', label: 'Axis inclination', si_unit: 'rad' },
  { key: 'scrub', label: 'Scrub radius', si_unit: 'm' },
  { key: 'trail', label: 'Mechanical trail', si_unit: 'm' },
  { key: 'rod_arm_angle', label: 'Rod to arm', si_unit: 'rad' },
  { key: 'inner_tilt', label: 'Inner joint tilt', si_unit: 'rad' },
  { key: 'outer_tilt', label: 'Outer joint tilt', si_unit: 'rad' },
];

/** Read-outs of the whole. */
export const wholeRows: { key: keyof Turn & string; label: string; si_unit: string }[] = [
  { key: 'ackermann', label: 'Ackermann, same inner angle', si_unit: '%' },
  { key: 'pump_speed', label: 'Pump speed', si_unit: 'rad/s' },
];

/** What it weighs, standing, turned on from here. */
export const weightRows: { key: keyof Weight & string; label: string; si_unit: string }[] = [
  { key: 'torque', label: 'Torque', si_unit: 'N·m' },
  { key: 'pull', label: 'Pull at the rim', si_unit: 'N' },
  { key: 'pressure', label: 'Oil pressure', si_unit: 'Pa' },
  { key: 'flow', label: 'Oil delivered', si_unit: 'm³/s' },
];

/** A read-out as a figure: with its ± where the engine has given it, bare while the hand moves. */
export function figureOf(
  figures: Record<string, Figure>,
  path: string,
  si: unknown,
  siUnit: string,
  units: string,
): Figure | null {
  const known = figures[path];
  if (known) return known;
  if (typeof si !== 'number') return null;
  const text = siUnit === '%' ? `${(si * 100).toFixed(0)} %` : showSi(si, siUnit, units);
  return { si, text, si_unit: siUnit, meaning: 'at the pose on the screen' };
}

/** Why a read-out has no ±: `told` are those that have one, empty while the hand moves. */
export const withoutPm = (told: Record<string, Figure>) =>
  Object.keys(told).length
    ? 'No ± is worked out for it here.'
    : 'Its ± is worked out when the hand rests.';

/** Whether a setup has a valve that the road speed drives: nothing else here depends on it. */
export const hasControl = (form: FormTable | null | undefined, setup: string) =>
  ['control_valve', 'second_control_valve'].some(
    (key) => form && valueAt(form, joinPath('setup', setup, key)) !== undefined,
  );

/** In which state the hand wheel is weighed: the car stands, whatever its valve is told. */
export function weighedHow(told: number | null, engine: number | null, units: string): string {
  if (!told) return 'Standing on dry ground, turned on from here';
  const runs = engine === null ? 'idling' : `at ${showSi(engine, 'rad/s', units)}`;
  return `Standing on dry ground, the control valve driven as at ${showSi(told, 'm/s', units)}, engine ${runs}, turned on from here`;
}

/** The hand wheel's angle in words: "0.83 turns to the left". */
export function turnsInWords(angle: number): string {
  const turns = Math.abs(angle) / (2 * Math.PI);
  if (turns < 0.005) return 'straight ahead';
  return `${turns.toFixed(2)} turns to the ${angle > 0 ? 'left' : 'right'}`;
}
