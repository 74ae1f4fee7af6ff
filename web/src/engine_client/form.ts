/** Reading the document's JSON form by field paths. */
import { below, segments, type Segment } from '../base/path';
import type { EditValue, FieldTable, FormTable, FormValue, QuantityTable } from './types';

/** The value at a path, undefined where nothing stands. */
export function valueAt(form: FormTable, path: string): FormValue | undefined {
  let here: FormValue | undefined = form;
  for (const segment of segments(path)) {
    if (typeof here !== 'object') return undefined;
    here = (here as Record<Segment, FormValue>)[segment];
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

/** What stands at a path, field by field, as edits that would put it there. */
export function fieldsAt(value: FormValue, path: string): { path: string; value: EditValue }[] {
  if (Array.isArray(value)) return value.flatMap((each, i) => fieldsAt(each, below(path, i)));
  if (!isTable(value)) return [{ path, value }];
  // A quantity in its long form is one field.
  if (value.value !== undefined) return [{ path, value: value as unknown as QuantityTable }];
  return Object.entries(value).flatMap(([key, each]) => fieldsAt(each, below(path, key)));
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
  if (!pattern) return paths;
  for (const part of pattern.split('.')) {
    paths = paths.flatMap((path) => step(form, path, part));
  }
  return paths;
}

function step(form: FormTable, path: string, part: string): string[] {
  if (part === '*') {
    const here = valueAt(form, path);
    return isTable(here) ? Object.keys(here).map((name) => below(path, name)) : [];
  }
  if (part.endsWith('[]')) {
    const at = below(path, part.slice(0, -2));
    const list = valueAt(form, at);
    return Array.isArray(list) ? list.map((_, i) => below(at, i)) : [];
  }
  return [below(path, part)];
}

/** Every table of the document in the order of the reference; single tables even where empty. */
export function places(form: FormTable, tables: FieldTable[]): Place[] {
  return tables.flatMap((table) =>
    expand(form, table.path).map((path) => ({
      path,
      table,
      there: valueAt(form, path) !== undefined,
    })),
  );
}

/** The field that an input of a figure belongs to: a point's coordinate is part of its field. */
export const fieldOf = (input: string) => input.replace(/\.(x|y|z)$/, '');
