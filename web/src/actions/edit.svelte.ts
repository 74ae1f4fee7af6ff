import { ApiError, engine } from '../engine_client/client';
import type { Changed, Edit, EditValue, Problem } from '../engine_client/types';
import { bench } from './bench.svelte';

/** An edit that met another's: both values, and what to do when mine shall stand. */
export interface Conflict {
  rows: { path: string; mine: EditValue; theirs: unknown }[];
  keepMine: () => Promise<Outcome>;
}

/** How an edit ended: done, refused in the server's words, or met another's. */
export type Outcome =
  | { kind: 'done' }
  | { kind: 'refused'; message: string; problems: Problem[] }
  | { kind: 'conflict' };

class Edits {
  conflict = $state.raw<Conflict | null>(null);
}
export const edits = new Edits();

async function finish(change: Promise<Changed>, said?: (changed: Changed) => string) {
  const changed = await change;
  await bench.reload();
  if (said) bench.say(said(changed));
}

/**
 * Sends edits of fields.
 * @param base the revision that the writer saw when the editing began
 * @param what the words for the history
 */
export async function edit(list: Edit[], base: number, what?: string): Promise<Outcome> {
  try {
    await finish(engine.edit(base, list, what));
    return { kind: 'done' };
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    if (error.status === 409) {
      meet(list, error, what);
      return { kind: 'conflict' };
    }
    return { kind: 'refused', message: error.message, problems: error.problems };
  }
}

/** What an edit would put there. */
const mineOf = (edit: Edit | undefined): EditValue =>
  edit === undefined ? null : 'name' in edit ? edit.name : edit.value;

function meet(list: Edit[], error: ApiError, what?: string) {
  edits.conflict = {
    rows: error.conflicts.map(({ path, value }) => ({
      path,
      mine: mineOf(list.find((e) => e.path === path) ?? list[0]),
      theirs: value,
    })),
    keepMine: async () => {
      edits.conflict = null;
      return edit(list, error.revision ?? bench.revision, what);
    },
  };
  void bench.reload();
}

/** As `edit`, for acts without a field to show an error beside. */
export async function act(list: Edit[], what: string): Promise<boolean> {
  try {
    const outcome = await edit(list, bench.revision, what);
    if (outcome.kind === 'refused') bench.say(messageOf(outcome), true);
    return outcome.kind === 'done';
  } catch (error) {
    bench.complain(error);
    return false;
  }
}

/** The problems of a refusal in one text. */
export function messageOf(outcome: { message: string; problems: Problem[] }): string {
  const errors = outcome.problems.filter((problem) => !problem.warning);
  return errors.length ? errors.map((problem) => problem.message).join('\n') : outcome.message;
}

async function guarded(change: () => Promise<void>) {
  try {
    await change();
  } catch (error) {
    bench.complain(error);
  }
}

export const undo = () =>
  guarded(() => {
    const what = bench.document?.undo?.what ?? '';
    return finish(engine.undo(bench.revision), () => `Undone: ${what}`);
  });

export const redo = () =>
  guarded(() => {
    const what = bench.document?.redo?.what ?? '';
    return finish(engine.redo(bench.revision), () => `Done again: ${what}`);
  });

export const restore = (revision: number) =>
  guarded(() =>
    finish(engine.restore(revision, bench.revision), () => `Revision ${revision} restored.`),
  );

/** Takes in a whole file, TOML or its JSON form; problems come back in the server's words. */
export async function takeIn(file: File): Promise<Problem[]> {
  try {
    await finish(
      engine.importText(await file.text(), bench.revision),
      () => `${file.name} taken in. Undo brings back what stood before.`,
    );
    return [];
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    return error.problems.length ? error.problems : [{ message: error.message }];
  }
}
