import { expect, it } from 'vitest';
import type { FieldInfo, FieldTable } from '../../engine_client/types';
import { askedOf, helpOf, impliedOf, isNeeded, nounOf, saidOf, told } from './sections';

const field = (key: string, kind = 'text'): FieldInfo => ({ key, kind, help: '' });
const table = (path: string, ...fields: FieldInfo[]): FieldTable => ({
  path,
  section: { id: '', title: '' },
  help: '',
  fields,
});
const row = (...said: [string, string, string][]) =>
  told(said.map(([key, kind, value]) => ({ field: field(key, kind), value })));

it('a row is told as people say it', () => {
  expect(
    row(
      ['name', 'text', 'ports'],
      ['ask', 'text', 'Two oil ports?'],
      ['effort', 'time', '1 min'],
      ['wrong', 'number', '1 %'],
    ),
  ).toBe('ports: Two oil ports? · 1 min · wrong 1 in 100');
  expect(row(['torque', 'torque', '2 N·m'], ['pressure', 'pressure', '5 bar'])).toBe(
    'torque 2 N·m · pressure 5 bar',
  );
  expect(row(['feature', 'text', 'ports'], ['yes', 'boolean', 'false'])).toBe('ports: no');
  expect(row(['feature', 'text', 'turns'], ['turns', 'angle', '3 turns'])).toBe('turns: 3 turns');
  expect(row(['name', 'text', 'idler'], ['back', 'boolean', 'true'])).toBe('idler: back: yes');
  expect(row(['name', 'text', 'works'], ['part', 'text', 'works'])).toBe('works');
  expect(row()).toBe('');
});

it('a row is asked for all that it needs', () => {
  const boost = table('rack.*.boost[]', field('torque'), field('pull'), field('pressure'));
  expect(askedOf(boost).map((ways) => ways.map(({ key }) => key))).toEqual([
    ['torque', 'pull'],
    ['pressure'],
  ]);
  expect(isNeeded(boost, 'torque', ['torque', 'pressure'])).toBe(true);
  expect(isNeeded(boost, 'torque', ['torque', 'pull', 'pressure'])).toBe(false);
  const face = table('pump.*.face[]', field('at'), field('pattern'));
  expect(isNeeded(face, 'at', ['at'])).toBe(true);
  expect(isNeeded(face, 'pattern', ['at', 'pattern'])).toBe(false);
  const joint = table('car.column.joint[]', field('angle'), field('phase'));
  expect(askedOf(joint)).toEqual([[field('angle')]]);
  expect(isNeeded(joint, 'angle', ['angle'])).toBe(false);
});

it.each([
  ['work.*', 'job'],
  ['arms.*', 'pair of arms'],
  ['tie_rod.*', 'tie rod'],
  ['car.column.joint[]', 'column joint'],
  ['identify.*.variant[].trait[]', 'trait'],
  ['identify.*.seen[]', 'look'],
])('one of %s is a %s', (path, noun) => expect(nounOf(table(path))).toBe(noun));

it('a yes or no is called so in what it is for and what it is', () => {
  const help = (text: string) => helpOf({ ...field('owned', 'boolean'), help: text });
  expect(help('true when it is on the shelf')).toBe('yes when it is on the shelf');
  expect(help('false of a manual rack')).toBe('no for a manual rack');
  expect(helpOf({ ...field('note'), help: 'true or false' })).toBe('true or false');
  expect(saidOf(field('owned', 'boolean'), 'false')).toBe('no');
  expect(saidOf(field('note'), 'false')).toBe('false');
});

it('a control valve counts as plugged in, where one is fitted and nothing is said', () => {
  const form = { setup: { keen: { control_valve: 'bypass' } } };
  const implied = (setup: string, key: string) =>
    impliedOf(field(key, 'boolean'), `setup.${setup}.${key}`, form);
  expect(implied('keen', 'control_powered')).toBe('plugged in (not stated)');
  expect(implied('keen', 'second_control_powered')).toBe(null);
  expect(implied('calm', 'control_powered')).toBe(null);
  expect(implied('keen', 'stops')).toBe(null);
});
