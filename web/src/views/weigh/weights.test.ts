import { expect, it } from 'vitest';
import type { SetupResult } from '../../engine_client/types';
import { notesOn, tellingsOf } from './weights';

const weight = 'What the hand wheel weighs, engine idling';
const oil = 'Oil, engine idling';
const setup = {
  results: {
    turns: { si: 1, label: 'Turns', group: 'Turning' },
    kerb_torque: { si: 1, label: 'Kerb', side: 'torque', group: weight },
    kerb_pull: { si: 1, label: 'Kerb', side: 'pull at the rim', group: weight },
    road_torque: { si: 1, label: 'Road: 80 km/h', side: 'torque', group: weight },
    rest_flow: { si: 1, label: 'Let go', side: 'flow', group: oil },
    idle_flow: { si: null, label: 'Kerb', side: 'flow', group: oil },
  },
} as unknown as SetupResult;

it('takes ways to tell of weights, their rows and their headings from the answer', () => {
  const tellings = tellingsOf([setup]);
  expect(
    tellings.map(({ side, group, rows }) => [side, group, rows.map(({ key }) => key)]),
  ).toEqual([
    ['torque', weight, ['kerb_torque', 'road_torque']],
    ['pull at the rim', weight, ['kerb_pull']],
    ['flow', oil, ['rest_flow', 'idle_flow']],
  ]);
  expect(tellings[0]?.rows[1]?.label).toBe('Road: 80 km/h');
  expect(tellingsOf([])).toEqual([]);
});

it('finds the situations that a note names', () => {
  const notes = [
    'standing, 110 km/h: the coil has less than its pull-in current',
    'Hill or track: 80 km/h, 3 m/s² on and on: the pump turns faster than its maker allows',
    'Turning on and on; Road: 80 km/h, 3 m/s²: the relief valve is open',
    'coldest start: pressure is low',
  ];
  const on = (key: string, label: string) => notesOn(notes, { key, label });
  expect(on('kerb_torque', 'Kerb, brake off, dry')).toEqual([1]);
  expect(on('fast_pull', 'Fast road: 110 km/h, 3 m/s²')).toEqual([1]);
  expect(on('road_pressure', 'Road: 80 km/h, 3 m/s²')).toEqual([3]);
  expect(on('town_torque', 'Town: 50 km/h, 2 m/s²')).toEqual([]);
  expect(on('kerb_lost_torque', 'Kerb, assist lost')).toEqual([]);
});
