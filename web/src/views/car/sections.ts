import { words } from '../../base/format';
import { joinPath, segments } from '../../base/path';
import { fieldOf, isTable, valueAt, type Place } from '../../engine_client/form';
import type { FieldInfo, FieldTable, FormTable, SetupResult } from '../../engine_client/types';

/** A group of tables that are shown under one heading. */
export interface Section {
  id: string;
  title: string;
  /** Whether its tables are parts or setups, each with a name. */
  named: boolean;
  places: Place[];
  /** Tables of which another can be added. */
  addable: FieldTable[];
}

/** The file's tables by heading, in the order of the reference. */
export function sectionsOf(list: Place[], tables: FieldTable[]): Section[] {
  const sections: Section[] = [];
  for (const table of tables) {
    let section = sections.find(({ id }) => id === table.section.id);
    if (!section) {
      const named = table.path.endsWith('.*');
      section = { ...table.section, named, places: [], addable: [] };
      sections.push(section);
    }
    // A list within a part is added to from within the part.
    const own = !table.path.slice(0, -2).includes('*');
    if (own && /(\.\*|\[\])$/.test(table.path)) section.addable.push(table);
  }
  for (const section of sections) {
    section.places = list.filter(
      ({ table }) => table.section.id === section.id && !isWithinEntry(table),
    );
    if (section.named) section.places = byName(section.places);
  }
  return sections;
}

/** Whether its rows belong to an entry of another list, and are shown within that. */
const isWithinEntry = (table: FieldTable) => table.path.split('[]').length > 2;

/** Keeps the lists of a part with their part. */
function byName(list: Place[]): Place[] {
  const name = (place: Place) => segments(place.path)[1];
  const names = [...new Set(list.map(name))];
  return names.flatMap((wanted) => list.filter((place) => name(place) === wanted));
}

/** Of how many results, over all setups, an input makes the greatest part of the ±. */
export function weightOf(setups: SetupResult[]): Record<string, number> {
  const count: Record<string, number> = {};
  for (const setup of setups) {
    for (const figure of Object.values(setup.results)) {
      const greatest = [...(figure.from ?? [])].sort((a, b) => b.share - a.share)[0];
      if (!greatest || greatest.share <= 0) continue;
      const field = fieldOf(greatest.input);
      count[field] = (count[field] ?? 0) + 1;
    }
  }
  return count;
}

/** What people call one of them, where its key does not say it. */
const nouns: Record<string, string> = {
  'work.*': 'job',
  'arms.*': 'pair of arms',
  'identify.*': 'part to identify',
  'identify.*.seen[]': 'look',
  'identify.*.variant[].order[]': 'thing to order',
  'car.front.turn_plate[]': 'turn-plate reading',
  'rack.*.ratio[]': 'ratio row',
  'rack.*.boost[]': 'boost row',
  'pump.*.bench[]': 'bench reading',
  'control_valve.*.opening[]': 'opening row',
};

/** What one of a kind is called: "pulley" for a part, "drive pulley" for one of the car's. */
export function nounOf({ path }: FieldTable): string {
  const keys = path.split(/\W+/).filter(Boolean);
  return nouns[path] ?? words(keys.slice(keys[0] === 'car' ? -2 : -1).join(' '));
}

/** What a table is called on the page. */
export function nameOf({ path, table }: Place): string {
  const list = segments(path);
  const last = list.at(-1) ?? '';
  if (path === 'car') return 'as a whole';
  if (typeof last === 'number') {
    return `${nouns[table.path] ?? words(String(list.at(-2)))} ${last + 1}`;
  }
  if (list.length === 2 && list[0] !== 'car') return last;
  return words(last) || 'as a whole';
}

/** The ways to answer what a feature of a part to identify shows. */
const answers = ['yes', 'is', 'count', 'length', 'angle', 'turns', 'mass', 'resistance'];

/**
 * What a row must say to be of use; of keys that stand together one is enough. The engine takes no
 * file in which a row of readings lacks one of these, and none with a face that is nowhere.
 */
const rows: Record<string, string[][]> = {
  'car.front.turn_plate[]': [['travel'], ['left'], ['right']],
  'car.front.obstacle[]': [['name'], ['at']],
  'car.driver.current[]': [['road_speed'], ['current']],
  'rack.*.ratio[]': [['travel'], ['travel_per_turn']],
  'rack.*.boost[]': [['torque', 'pull'], ['pressure']],
  'pump.*.bench[]': [['speed'], ['pressure'], ['flow']],
  'control_valve.*.opening[]': [['current'], ['diameter', 'share']],
  'identify.*.feature[]': [['name'], ['ask']],
  'identify.*.variant[].trait[]': [['feature'], answers],
  'identify.*.variant[].order[]': [['thing'], ['which']],
  'identify.*.seen[]': [['feature'], answers],
};
const needsOf = ({ path }: FieldTable) => (path.endsWith('.face[]') ? [['at']] : rows[path]);

/** What is asked for when an entry is added, each with the fields that can say it. */
export const askedOf = (table: FieldTable): FieldInfo[][] =>
  needsOf(table)?.map((keys) => table.fields.filter(({ key }) => keys.includes(key))) ?? [
    table.fields.slice(0, 1),
  ];

/** Whether an entry would be of no use without a field, `known` being what it says. */
export const isNeeded = (table: FieldTable, key: string, known: string[]) =>
  needsOf(table)?.some(
    (keys) => keys.includes(key) && !keys.some((other) => other !== key && known.includes(other)),
  ) ?? false;

/** What the first of some rows begins with, and why. */
export const beginnings: Record<string, { why: string; values: Record<string, string> }> = {
  'rack.*.boost[]': {
    why: 'The first row is with the wheel let go: at a torque or pull of 0.',
    values: { torque: '0 N·m', pull: '0 N' },
  },
};

/** What an entry of a list says, so that it need not be opened to be read. */
export function told(known: { field: FieldInfo; value: string }[]): string {
  const [first, ...rest] = known;
  if (!first) return '';
  // One that has a name goes by it.
  const named = ['text', 'choice'].includes(first.field.kind);
  const texts = (named ? rest : known).map(({ field: { key, kind }, value }) => {
    if (key === 'yes') return value === 'true' ? 'yes' : 'no';
    if (kind === 'boolean') return `${words(key)}: ${value === 'true' ? 'yes' : 'no'}`;
    const plain = ['text', 'choice', 'time'].includes(kind) || (named && answers.includes(key));
    if (plain) return value;
    return `${words(key)} ${key === 'wrong' ? value.replace(/ ?%$/, ' in 100') : value}`;
  });
  if (!named) return texts.join(' · ');
  return [first.value, texts.filter((text) => text !== first.value).join(' · ')]
    .filter(Boolean)
    .join(': ');
}

/** The values that a field can have, where they are few. */
export function choicesOf(field: FieldInfo, path: string, form: FormTable): string[] | null {
  if (field.choices) return field.choices;
  if (field.kind === 'boolean') return ['true', 'false'];
  if (field.part) {
    const parts = valueAt(form, field.part);
    return isTable(parts) ? Object.keys(parts) : [];
  }
  if (field.key === 'feature') {
    // One of those that the same part to identify has.
    const features = valueAt(form, joinPath(...segments(path).slice(0, 2), 'feature'));
    if (!Array.isArray(features)) return null;
    return features.flatMap((each) => (isTable(each) && each.name ? [String(each.name)] : []));
  }
  return null;
}

/** What a field is for; a yes or no is called so, as in its choices. */
export function helpOf({ kind, help }: FieldInfo): string {
  if (kind !== 'boolean') return help;
  return help
    .replace(/\btrue\b/, 'yes')
    .replace('false of', 'no for')
    .replace(/\bfalse\b/, 'no');
}

/** The value of a field as people read it. */
export const saidOf = ({ kind }: FieldInfo, value: string) =>
  kind !== 'boolean' ? value : value === 'true' ? 'yes' : 'no';

/** What counts where a setup says nothing, for a control valve that it has. */
export function impliedOf({ key }: FieldInfo, path: string, form: FormTable): string | null {
  const [place, name] = segments(path);
  if (place !== 'setup' || !/^(second_)?control_powered$/.test(key)) return null;
  const valve = joinPath('setup', name ?? '', key.replace('powered', 'valve'));
  return valueAt(form, valve) === undefined ? null : 'plugged in (not stated)';
}

/** What is typed for a field, as it is sent. */
export function valueOf(field: FieldInfo, text: string): string | number | boolean {
  if (field.kind === 'boolean') return text === 'true';
  if (isCount(field) && Number.isFinite(Number(text))) return Number(text);
  return text.trim();
}

/** Origins that a value may state, with what they mean. */
export const origins = ['measured', 'drawing', 'manual', 'seller', 'guess', 'typical'];

/** Whether a field is a quantity: a number with a unit, ± and origin. */
export const isQuantity = ({ kind, key }: FieldInfo) =>
  !['text', 'boolean', 'choice', 'part'].includes(kind) && !isCount({ kind, key });

/** Whether a field is a bare number. */
export const isCount = ({ kind, key }: Pick<FieldInfo, 'kind' | 'key'>) =>
  kind === 'number' && ['price', 'pinion_teeth', 'count', 'bolts', 'splines', 'ribs'].includes(key);
