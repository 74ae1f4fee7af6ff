/** Reading the document's JSON form by field paths. */
import type { FieldTable, FormTable, FormValue, QuantityTable } from './types';

type Key = string | number;

/** "rack.slow.boost[2].torque" as ["rack", "slow", "boost", 2, "torque"]. */
export function keysOf(path: string): Key[] {
  return path.split('.').flatMap((part) => {
    const [name = '', ...indices] = part.split('[');
    return [name, ...indices.map((index) => Number.parseInt(index, 10))];
  });
}

/** The value at a path, undefined where nothing stands. */
export function valueAt(form: FormTable, path: string): FormValue | undefined {
  let here: FormValue | undefined = form;
  for (const key of keysOf(path)) {
    if (typeof here !== 'object') return undefined;
    here = (here as Record<Key, FormValue>)[key];
  }
  return here;
}

export const isTable = (value: FormValue | undefined): value is FormTable =>
  typeof value === 'object' && !Array.isArray(value);

/** A field's value, origin and note, whether it is written short or as a table. */
export function quantityAt(value: FormValue | undefined): QuantityTable | null {
  if (value === undefined) return null;
  if (!isTable(value)) return { value: String(value) };
  const { value: text, tolerance, from, note } = value;
  const both = tolerance === undefined ? String(text) : `${String(text)} ± ${String(tolerance)}`;
  return {
    value: both,
    ...(from === undefined ? {} : { from: String(from) }),
    ...(note === undefined ? {} : { note: String(note) }),
  };
}

/** A table of the document as it stands: where it is and what its fields may be. */
export interface Place {
  path: string;
  table: FieldTable;
  there: boolean;
}

/** The paths in the form that a pattern such as "rack.*" or "car.column.joint[]" stands for. */
export function expand(form: FormTable, pattern: string): string[] {
  let paths = [''];
  for (const part of pattern.split('.')) {
    paths = paths.flatMap((path) => step(form, path, part));
  }
  return paths;
}

function step(form: FormTable, path: string, part: string): string[] {
  const join = (key: string) => (path ? `${path}.${key}` : key);
  if (part === '*' || part === 'NAME') {
    const here = path ? valueAt(form, path) : form;
    return isTable(here) ? Object.keys(here).map(join) : [];
  }
  if (part.endsWith('[]')) {
    const list = valueAt(form, join(part.slice(0, -2)));
    return Array.isArray(list) ? list.map((_, i) => `${join(part.slice(0, -2))}[${i}]`) : [];
  }
  return [join(part)];
}

/** Every table of the document in the order of the reference; single tables even where empty. */
export function places(form: FormTable, tables: FieldTable[]): Place[] {
  return tables.flatMap((table) =>
    expand(form, table.path).map((path) => ({
      path,
      table,
      there: path === '' || valueAt(form, path) !== undefined,
    })),
  );
}

/** Whether two paths touch: the same field, or one within the other. */
export function overlaps(a: string, b: string): boolean {
  const within = (outer: string, inner: string) =>
    inner === outer || inner.startsWith(`${outer}.`) || inner.startsWith(`${outer}[`);
  return within(a, b) || within(b, a);
}

/** The field that an input of a figure belongs to: a point's coordinate is part of its field. */
export const fieldOf = (input: string) => input.replace(/\.(x|y|z)$/, '');
