import { words } from '../../base/format';
import { fieldOf, type Place } from '../../engine_client/form';
import type { FieldInfo, FieldTable, SetupResult } from '../../engine_client/types';

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
    section.places = list.filter((place) => place.table.section.id === section.id);
    if (section.named) section.places = byName(section.places);
  }
  return sections;
}

/** Keeps the lists of a part with their part. */
function byName(list: Place[]): Place[] {
  const name = (place: Place) => place.path.split('.')[1]?.split('[')[0] ?? '';
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

/** What a table is called on the page. */
export function nameOf(place: Place): string {
  const parts = place.path.split('.');
  const last = parts.at(-1) ?? '';
  const index = /\[(\d+)\]$/.exec(last);
  const bare = words(last.replace(/\[\d+\]$/, ''));
  if (place.path === 'car') return 'as a whole';
  if (index) return `${bare} ${Number(index[1]) + 1}`;
  if (parts.length > 1 && parts[0] !== 'car' && parts.length === 2) return last;
  return bare || 'as a whole';
}

/** Origins that a value may state, with what they mean. */
export const origins = ['measured', 'drawing', 'manual', 'seller', 'guess', 'typical'];

/** Whether a field is a quantity: a number with a unit, ± and origin. */
export const isQuantity = ({ kind, key }: FieldInfo) =>
  !['text', 'boolean', 'choice', 'part'].includes(kind) && !isCount({ kind, key });

/** Whether a field is a bare number. */
export const isCount = ({ kind, key }: Pick<FieldInfo, 'kind' | 'key'>) =>
  kind === 'number' && ['price', 'pinion_teeth'].includes(key);
